"""The folding bench: test strips first, then every folded or drilled bar and every broken plate with its marks."""

from __future__ import annotations

from rackgen.geom.fold import Fold
from rackgen.parts.kinds import CutPlate, FoldedBar
from rackgen.parts.marks import Line, lines
from rackgen.parts.rack import Rack
from rackgen.sheets.bent_views import outside_legs
from rackgen.sheets.flats import Blank, blanks, flattened
from rackgen.sheets.fold_sketch import (
    FlatMark,
    bar_shape,
    break_names,
    break_shape,
    flat_drawing,
    fold_names,
    marks_of_bar,
    marks_of_plate,
    shape_drawing,
)
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.table import Column, Table
from rackgen.sheets.trial_strip import strip_blocks
from rackgen.sheets.words import degrees, fine, radii, size
from rackgen.spec.shop import Shop
from rackgen.units import Unit

MOST = 4
"""Parts that get a box each beside every size; of more, those go into one box."""

FLAT, SHAPE = 75.0, 68.0
"""Height of the drawings, mm on paper."""

READING = (
    "Marks run from end A, or from a plate's left edge, none is chained: hook the tape there once. Blanks are drawn "
    "with the face up that is seen on the marked drawing; up folds toward you, down away from you.",
    "A fold begins and ends at the two thin lines; its middle, dash-dotted, lies under the middle of the former's "
    "curve. Outside sizes run to where the two outside faces would meet, past 90° to the outside of the fold.",
)


def fold_station(rack: Rack, shop: Shop) -> Station:
    """Return the folding bench's pages.

    Args:
        rack: the rack.
        shop: its way of reckoning folds, its table, its unit.
    """
    distinct = lines(rack)
    flat = {blank.mark: blank for blank in blanks(rack, shop)[0]}
    strips = strip_blocks(distinct, shop)
    shown = [line for line in distinct if _is_shown(line)]
    blocks: list[Block] = [*strips]
    if not shown:
        blocks.append(Text("Nothing of this rack is folded, broken or drilled in bar."))
    reading = [Heading("How to read the marks"), *(Text(said) for said in READING)]
    if shown and not strips:
        blocks += reading
    for n, line in enumerate(shown):
        if isinstance(line.part, FoldedBar):
            blocks += bar_blocks(line, line.part, flat[line.mark], shop)
        elif isinstance(line.part, CutPlate):
            blocks += plate_blocks(line.part, flat[line.mark], shop.unit)
        if n == 0 and strips:
            blocks += reading
    return Station("folds", "Folding bench", tuple(blocks))


def _is_shown(line: Line) -> bool:
    part = line.part
    if isinstance(part, FoldedBar):
        return bool(part.folds or part.holes)
    return isinstance(part, CutPlate) and bool(part.breaks)


def bar_blocks(line: Line, bar: FoldedBar, blank: Blank, shop: Shop) -> list[Block]:
    """Return the pages of one bar."""
    unit, half = shop.unit, bar.section.width / 2
    flat = flattened(bar, shop.folding)
    limits: list[tuple[tuple[float, float], tuple[float, float]]] = []
    for i in range(len(bar.folds)):
        low, high = flat.limits(i, -half), flat.limits(i, half)
        limits.append(((low[0], high[0]), (low[1], high[1])))
    marks = marks_of_bar(blank, bar, limits, unit)
    blocks: list[Block] = [
        Heading(f"{blank.mark} {blank.called}, {blank.quantity} of {blank.stock}", new_page=bool(bar.folds)),
        Figure(
            flat_drawing(blank, marks, fold_names(bar, unit), unit, high=FLAT),
            f"flat blank, the face that is seen up; numbers as in the table; {unit}{_by(flat.by)}",
            FLAT + 3.0,
        ),
        Rows(marks_table(blank, marks, "from end A", unit)),
    ]
    if bar.folds:
        said = f"finished, from the lower edge, the face that is marked up; outside sizes, {unit}"
        if any(f.far_radius is not None for f in bar.folds):
            said += "; drawn at mid-width"
        shape = bar_shape(bar, unit)
        blocks.append(Figure(shape_drawing(shape, high=SHAPE), said, SHAPE + 3.0))
        blocks.append(Ticks(fold_steps(line, bar, unit), numbered=True))
        legs = outside_legs(shape.line, shape.half)
        rows = [*_fold_rows(bar, unit), *_leg_rows(legs, unit)]
        blocks.append(_as_folded(blank, rows))
    return blocks


def _by(said: tuple[str, ...]) -> str:
    """Return what says how much goes into the folds."""
    return f"; what goes into the fold by {', '.join(dict.fromkeys(said))}" if said else ""


def plate_blocks(plate: CutPlate, blank: Blank, unit: Unit) -> list[Block]:
    """Return the pages of one broken plate."""
    marks = marks_of_plate(blank, plate, unit)
    blocks: list[Block] = [
        Heading(f"{blank.mark} {blank.called}, {blank.quantity} of {blank.stock}", new_page=True),
        Figure(
            flat_drawing(blank, marks, break_names(plate), unit, high=FLAT),
            f"flat blank, its upper face; numbers as in the table; {unit}",
            FLAT + 3.0,
        ),
        Rows(marks_table(blank, marks, "from the left edge", unit)),
    ]
    rows: list[tuple[str, str]] = []
    for n, (each, name) in enumerate(zip(plate.breaks, break_names(plate), strict=True), 1):
        shape = break_shape(plate, each, name, unit)
        along = "along the break" if len(plate.breaks) == 1 else f"along break {n}, the other left out"
        blocks.append(Figure(shape_drawing(shape, high=40.0), f"finished, seen {along}, upper face up; {unit}", 43.0))
        way = "down" if each.angle > 0 else "up"
        called = "break" if len(plate.breaks) == 1 else f"break {n}"
        rows.append((f"{called}: turned {way} out of flat, by gauge", f"{degrees(abs(each.angle))}°"))
        for leg, edge in zip(outside_legs(shape.line, shape.half), shape.ends, strict=True):
            rows.append((f"{edge} to {called}", f"{fine(leg, unit)} {unit}"))
    steps = [
        "Scribe each break across the face that folds hollow, punch its ends on both edges.",
        "Break it in the press or over a bar's edge a little at a time; try it with its gauge from the templates.",
    ]
    if len(plate.breaks) > 1:
        steps.insert(1, "The longer break first, right across; then the other, from both sides toward the crossing.")
    return [*blocks, Ticks(tuple(steps), numbered=True), _as_folded(blank, rows)]


def marks_table(blank: Blank, marks: tuple[FlatMark, ...], start: str, unit: Unit) -> Table:
    """Return the running marks of a blank, numbered as on its drawing."""
    columns = (
        Column("number", "no.", True),
        Column("at", f"{start} {unit}", True),
        Column("far", f"at the upper edge {unit}", True),
        Column("what", "what"),
    )
    rows = tuple(
        (str(n), fine(m.at, unit), fine(m.far, unit) if abs(m.far - m.at) > 0.01 else "", m.what)
        for n, m in enumerate(marks, 1)
    )
    return Table(f"marks-{blank.mark}", f"{blank.mark} marks", columns, rows, blank.notes)


def fold_order(bar: FoldedBar) -> tuple[int, ...]:
    """Return in which order folds are made: from the ends inward, the shorter side first (common practice, no source).

    So the longer piece stays in the hand or under the clamp, and no fold made earlier stands in the next one's way.
    """
    left, right = 0, len(bar.folds) - 1
    out: list[int] = []
    while left <= right:
        if bar.flats[left] <= bar.flats[right + 1]:
            out.append(left)
            left += 1
        else:
            out.append(right)
            right -= 1
    return tuple(out)


def fold_steps(line: Line, bar: FoldedBar, unit: Unit) -> tuple[str, ...]:
    """Return what is done to a bar, in order."""
    steps = ["Scribe every mark from end A across the face that is seen; centre-punch the holes."]
    if bar.holes:
        steps.append("Drill the holes while it is flat, and take off the burr.")
    if line.placed[0].stage == 3:
        steps.append("Wait for the dry fit: fold to the angle found there where it differs from the one below.")
    for i in fold_order(bar):
        steps.append(_fold_step(i, bar.folds[i], bar, unit))
    ends = [name for name, end in (("A", bar.end_a), ("B", bar.end_b)) if abs(end.bevel) > 0.05]
    if ends:
        steps.append(f"Grind the bevel at end {' and '.join(ends)}.")
    return tuple(steps)


def _fold_step(i: int, fold: Fold, bar: FoldedBar, unit: Unit) -> str:
    way = "up, toward you" if fold.angle > 0 else "down, away from you"
    short = "A" if bar.flats[i] <= bar.flats[i + 1] else "B"
    held = "B" if short == "A" else "A"
    return (
        f"Fold {i + 1}: {degrees(abs(fold.angle))}° {way}, over a former of {radii(fold, unit)}, side {held} clamped, "
        f"side {short} pulled round. Stop short, release, read with the gauge, go on; it does not go back."
    )


def _fold_rows(bar: FoldedBar, unit: Unit) -> list[tuple[str, str]]:
    out: list[tuple[str, str]] = []
    for n, fold in enumerate(bar.folds, 1):
        turned = abs(fold.angle)
        between = f", {degrees(180 - turned)}° between" if abs(turned - 90) > 0.05 else ""
        out.append((f"fold {n}: turned out of straight", f"{degrees(turned)}°{between}"))
        if fold.far_radius is None:
            out.append((f"fold {n}: inside radius", f"R{size(fold.inside_radius, unit)}"))
        else:
            out.append((f"fold {n}: inside radius, lower edge", f"R{size(fold.inside_radius, unit)}"))
            out.append((f"fold {n}: inside radius, upper edge", f"R{size(fold.far_radius, unit)}"))
    return out


def _leg_rows(legs: tuple[float, ...], unit: Unit) -> list[tuple[str, str]]:
    out: list[tuple[str, str]] = []
    for i, leg in enumerate(legs):
        first, last = i == 0, i == len(legs) - 1
        begin = "end A" if first else f"outside of fold {i}"
        end = "end B" if last else f"outside of fold {i + 1}"
        out.append((f"{begin} to {end}", f"{fine(leg, unit)} {unit}"))
    return out


def _as_folded(blank: Blank, rows: list[tuple[str, str]]) -> Fields:
    many = 1 < blank.quantity <= MOST
    boxes = tuple(f"no. {n + 1}" for n in range(blank.quantity)) if many else ("as folded",)
    return Fields(tuple(rows), boxes, f"{blank.mark} {blank.called} as folded")
