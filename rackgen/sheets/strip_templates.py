"""Flat bars at full size on paper: folds and holes along the strip, end A at the left, the drawn face up."""

from __future__ import annotations

from rackgen.parts.kinds import FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.rack import Rack
from rackgen.sheets.drawing import Dimension, Drawing, Item, Words
from rackgen.sheets.flat_drawing import LONG, box_of, flat_items, fold_items, rim, titled
from rackgen.sheets.flats import Blank, blanks
from rackgen.sheets.lettering import SMALL
from rackgen.sheets.pages import Template
from rackgen.sheets.template_sizes import is_marked
from rackgen.sheets.words import degrees, fine, radii
from rackgen.spec.shop import Shop
from rackgen.units import Unit


def strip_templates(rack: Rack, shop: Shop) -> tuple[Template, ...]:
    """Return a template of every distinct bar with folds or holes, in cut-list order."""
    flat = {b.mark: b for b in blanks(rack, shop)[0]}
    return tuple(
        strip_template(line.part, flat[line.mark], shop)
        for line in lines(rack)
        if isinstance(line.part, FoldedBar) and is_marked(line.part)
    )


def strip_template(bar: FoldedBar, blank: Blank, shop: Shop) -> Template:
    """Return one bar as a template."""
    unit = shop.unit
    name = blank.called
    notes = [
        f"{blank.quantity} of {blank.stock}. Lay it on the bar, end A on the sawn end, and punch through every cross."
    ]
    if bar.folds:
        notes.append(
            "Dash-double-dot: middle of the fold; thin lines beside it: where the flats end. Up: toward you; down: "
            "away from you. The fold gauge has the angle."
        )
    notes += [f"{f.label[0].upper()}{f.label[1:]}." for f in blank.folds]
    # Nicks are the table's; on paper the fold line itself is there.
    notes += [f"{n[0].upper()}{n[1:]}." for n in blank.notes if not n.startswith("edge nicks")]
    return Template(_drawing(bar, blank, name, unit), f"strip {blank.mark}: {name}", tuple(notes), (blank.mark,))


def _drawing(bar: FoldedBar, blank: Blank, name: str, unit: Unit) -> Drawing:
    edge = rim(blank.outline)
    x0, y0, x1, y1 = box_of(edge)
    items: list[Item] = flat_items(blank, unit)
    for line, fold in zip(blank.folds, bar.folds, strict=True):
        way = "up" if fold.angle > 0 else "down"
        label = f"fold {degrees(abs(fold.angle))}° {way} {radii(fold, unit)}"
        items += [*fold_items(line, ""), Words(line.start[0], y1, label, SMALL, shift=(0.0, 3.0))]
    texts = [(blank.mark, 4.0, True), (name, SMALL, False), (f"{blank.quantity} off, {blank.stock}", SMALL, False)]
    length = f"{fine(x1 - x0, unit)} {unit}"
    if x1 - x0 > LONG:
        # A dimension's text would stand on a tile's edge.
        texts.append((f"{length} long", SMALL, False))
    items += titled(edge, items[1:], texts, (70.0, 50.0, 35.0))
    items.append(Words(x0, 0.0, "A", 4.0, shift=(-4.0, 0.0), bold=True))
    items.append(Words(x1, 0.0, "B", 4.0, shift=(4.0, 0.0), bold=True))
    for k, line in enumerate(blank.folds):
        at = line.start[0]
        items.append(Dimension((x0, y0), (at, y0), f"{fine(at - x0, unit)}", -8.0 - 7.0 * k))
    if x1 - x0 <= LONG:
        items.append(Dimension((x0, y0), (x1, y0), length, -8.0 - 7.0 * len(blank.folds)))
    items.append(Dimension((x1, y0), (x1, y1), fine(y1 - y0, unit), -10.0))
    return Drawing(tuple(items))
