"""Plates at full size on paper: to lay out, punch and check by, seen on the face that the marked drawing shows."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from rackgen.geom.outline import Contour, turned
from rackgen.parts.kinds import BentTube, CutPlate
from rackgen.parts.marks import Line, lines
from rackgen.parts.rack import AtEnd, OnFace, Placed, Rack
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Item, Stroke, Words
from rackgen.sheets.flat_drawing import box_of, flat_items, fold_items, rim, titled
from rackgen.sheets.flats import Blank, RoundHole, blanks
from rackgen.sheets.lettering import SMALL
from rackgen.sheets.pages import Template
from rackgen.sheets.template_sizes import has_template
from rackgen.sheets.words import fine
from rackgen.spec.shop import Shop
from rackgen.units import Unit

ALIKE = 3.0
"""Parts whose directions differ by no more than this stand alike, degrees."""

FEET = 3.0
"""Tubes that stand on equal plates within this of each other stand alike, mm: each is scribed at the dry fit."""

LEANS = 0.85
"""A direction that lies less than this in the plate's plane is none of it."""

EDGE = 10.0
"""From a plate's edge to the words about its directions, mm."""


def plate_templates(rack: Rack, shop: Shop) -> tuple[Template, ...]:
    """Return a template of every distinct plate that is small enough for one, in cut-list order."""
    flat = {b.mark: b for b in blanks(rack, shop)[0]}
    return tuple(
        plate_template(line, flat[line.mark], rack, shop)
        for line in lines(rack)
        if isinstance(line.part, CutPlate) and has_template(line.part)
    )


def plate_template(line: Line, blank: Blank, rack: Rack, shop: Shop) -> Template:
    """Return one plate as a template, turned so that what points to the front points up."""
    ways = directions(line.placed)
    up = next((ways[w] for w in ("FRONT", "UP", "TO THE MIDDLE") if w in ways), None)
    turn = 0.0 if up is None else 90.0 - up
    ways = {word: (angle + turn) % 360.0 for word, angle in ways.items()}
    part = line.part
    assert isinstance(part, CutPlate)
    name = blank.called
    feet = turned_feet(tube_feet(line.placed, rack), turn)
    drawing = _drawing(rolled(blank, turn), feet, name, face(line.placed), ways, shop.unit)
    notes = [
        f"{blank.quantity} of {blank.stock}. Cut along the outline, or punch through every cross and scribe round."
    ]
    if feet:
        notes.append("Dashed circle: about where the tube stands; the dry fit says where.")
    if part.breaks:
        notes.append(
            "Dash-double-dot: break line. Down: both sides go down from the line, away from this face; up: toward you. "
            "The fold gauge has the angle."
        )
    # Nicks are the table's; on paper the break line itself is there.
    notes += [f"{n[0].upper()}{n[1:]}." for n in blank.notes if not n.startswith("edge nicks")]
    return Template(drawing, f"plate {line.mark}: {name}", tuple(notes), (line.mark,))


def rolled(blank: Blank, degrees: float) -> Blank:
    """Return a blank turned about its origin, anticlockwise."""
    if degrees == 0:
        return blank
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def point(x: float, y: float) -> tuple[float, float]:
        return c * x - s * y, s * x + c * y

    def contour(found: Contour) -> Contour:
        return turned(found, degrees)

    def holes(found: Iterable[RoundHole]) -> tuple[RoundHole, ...]:
        return tuple(RoundHole(*point(h.x, h.y), h.diameter) for h in found)

    return replace(
        blank,
        outline=contour(blank.outline),
        cut=contour(blank.cut),
        openings=tuple(contour(o) for o in blank.openings),
        holes=holes(blank.holes),
        centres=holes(blank.centres),
        drilled=tuple(contour(o) for o in blank.drilled),
        folds=tuple(replace(f, start=point(*f.start), end=point(*f.end)) for f in blank.folds),
    )


def tube_feet(placed: Sequence[Placed], rack: Rack) -> tuple[Circle, ...]:
    """Return where tubes stand on the drawn face of equal plates, where it is about the same on all of them."""
    own = {p.id: p for p in placed}
    found: list[tuple[float, float, float]] = []
    for joint in rack.joints:
        tube, on = (joint.a, joint.b) if isinstance(joint.a, AtEnd) else (joint.b, joint.a)
        if joint.kind == "plane weld" and isinstance(tube, AtEnd) and isinstance(on, OnFace) and on.part in own:
            part = rack.part(tube.part).part
            if isinstance(part, BentTube) and on.face == "top":
                found.append((on.x, on.y, part.section.od / 2))
    if len(found) != len(placed) or any(math.dist(f, found[0]) > FEET for f in found):
        return ()
    x, y, radius = (float(v) for v in np.mean(found, axis=0))
    return (Circle(x, y, radius, "hidden"),)


def turned_feet(feet: Sequence[Circle], degrees: float) -> tuple[Circle, ...]:
    """Return circles turned about the origin, anticlockwise."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return tuple(Circle(c * f.x - s * f.y, s * f.x + c * f.y, f.radius, f.style) for f in feet)


def _drawing(blank: Blank, feet: Sequence[Circle], name: str, this: str, ways: dict[str, float], unit: Unit) -> Drawing:
    edge = rim(blank.outline)
    x0, y0, x1, y1 = box_of(edge)
    mx, my = (x0 + x1) / 2, (y0 + y1) / 2
    items: list[Item] = [
        Stroke(((x0 - 4.0, my), (x1 + 4.0, my)), "centre"),
        Stroke(((mx, y0 - 4.0), (mx, y1 + 4.0)), "centre"),
        *flat_items(blank, unit),
    ]
    for fold in blank.folds:
        items += fold_items(fold, fold.label)
    texts: list[tuple[str, float, bool]] = [
        (blank.mark, 4.0, True),
        (name, SMALL, False),
        (f"{blank.quantity} off, {blank.stock}", SMALL, False),
    ]
    if this:
        texts.append((this, SMALL, True))
    # Over the word for what lies that way, where one stands there.
    items += titled(edge, items[2:], texts, (70.0, 50.0, 35.0), above=13.0 if ways else 6.0)
    items[2:2] = feet
    items += arrows(ways, (x0, y0, x1, y1))
    items.append(Dimension((x0, y0), (x1, y0), f"{fine(x1 - x0, unit)} {unit}", -EDGE - 7.0))
    items.append(Dimension((x0, y0), (x0, y1), f"{fine(y1 - y0, unit)} {unit}", EDGE + 7.0))
    return Drawing(tuple(items))


def directions(placed: Sequence[Placed]) -> dict[str, float]:
    """Return in which direction of the drawing front, up and the vehicle's middle lie, degrees from +X.

    Only what is the same for all the parts, and lies in their plane.
    """
    found: dict[str, list[np.ndarray]] = {"FRONT": [], "UP": [], "TO THE MIDDLE": []}
    for p in placed:
        middle = p.frame.origin[1]
        for word, way in (("FRONT", (-1.0, 0.0, 0.0)), ("UP", (0.0, 0.0, 1.0)),
                          ("TO THE MIDDLE", (0.0, -math.copysign(1.0, middle), 0.0))):  # fmt: skip
            if word != "TO THE MIDDLE" or abs(middle) > 50.0:
                found[word].append(p.frame.to_local_direction(way)[:2])
    out: dict[str, float] = {}
    for word, ways in found.items():
        if len(ways) < len(placed) or min(float(np.linalg.norm(w)) for w in ways) < LEANS:
            continue
        angles = [math.degrees(math.atan2(float(w[1]), float(w[0]))) for w in ways]
        if all(abs((a - angles[0] + 180.0) % 360.0 - 180.0) <= ALIKE for a in angles):
            out[word] = angles[0]
    return out


def face(placed: Sequence[Placed]) -> str:
    """Return which way the drawn face looks on the vehicle, in words, where it is the same for all the parts."""
    ups = [p.frame.z[2] for p in placed]
    if min(ups) > LEANS:
        return "this face up"
    if max(ups) < -LEANS:
        return "this face down"
    outs = [p.frame.z[1] * math.copysign(1.0, p.frame.origin[1]) for p in placed]
    if min(outs) > LEANS:
        return "this face outward"
    return "this face inward" if max(outs) < -LEANS else ""


def arrows(ways: dict[str, float], box: tuple[float, float, float, float]) -> list[Item]:
    """Return the words for directions beside a box, each with a mark that points there."""
    x0, y0, x1, y1 = box
    mx, my = (x0 + x1) / 2, (y0 + y1) / 2
    out: list[Item] = []
    for word, angle in ways.items():
        quarter = round(angle / 90.0) % 4
        if abs((angle - quarter * 90.0 + 180.0) % 360.0 - 180.0) > 15.0:
            continue
        match quarter:
            case 0:
                out.append(Words(x1, my, f"{word} ▲", 3.0, angle=-90.0, shift=(7.0, 0.0), bold=True))
            case 1:
                out.append(Words(mx, y1, f"{word} ▲", 3.0, shift=(0.0, 7.0), bold=True))
            case 2:
                out.append(Words(x0, my, f"{word} ▲", 3.0, angle=90.0, shift=(-7.0, 0.0), bold=True))
            case _:
                out.append(Words(mx, y0, f"{word} ▼", 3.0, shift=(0.0, -7.0), bold=True))
    return out
