"""Drill templates for the vehicle, full size: the holes under every roof plate and round every rear corner.

A roof plate's paper is seen from above, front up. A rear corner's is seen from outside and goes round the corner in
one piece: across runs the skin, from the hatch's shut line over the round to the body's side; down runs the rear face.
Where the round changes with height the side would lie aslant on one flat paper: rear face and side then have one each.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rackgen.geom.breaks import folded_frame
from rackgen.geom.frame import Array
from rackgen.parts.kinds import CutPlate
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Item, Point, Stroke, Words
from rackgen.sheets.flat_drawing import drilled, rim, titled
from rackgen.sheets.flats import RoundHole
from rackgen.sheets.installation import FLAT, Hole, Mount, RearPlace, installation
from rackgen.sheets.installation_rows import across, place_name
from rackgen.sheets.lettering import SMALL
from rackgen.sheets.pages import Station, Template, Text
from rackgen.sheets.words import fine, size
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import RearMount, Vehicle
from rackgen.units import Unit

BEYOND = 16.0
"""How far the middle lines of a roof plate's paper go beyond the plate, mm: as far as a tape or a line on the roof."""

MARGIN, SLIP = 14.0, 4.0
"""Paper below what lies on a corner, and beyond it on the side, mm."""

TITLE = "Drill templates for the vehicle"

COMPARE = "The dry-fitted mount is right where they differ: hold it there and compare before the first hole."

NEAR = 4.0
"""A hole of a plate and its fastener's place on the skin are no further apart, mm."""


@dataclass(frozen=True)
class Corner:
    """A rear corner's skin laid flat, as seen from outside; mm.

    Attributes:
        place: as it was measured.
        side: 1 on the right, -1 on the left, where the paper's side end is to the left.
    """

    place: RearMount
    side: float

    @property
    def round(self) -> float:
        """Length of the round, mm."""
        return math.pi / 2 * self.place.corner_radius

    def down_and_forward(self, hole: Hole) -> tuple[float, float]:
        """Return how far down the rear face a hole lies from the flat's upper end, and how far forward of that face."""
        lean = math.radians(self.place.lean)
        away = np.subtract(hole.at, self.place.at)
        down = float(away @ np.array([math.sin(lean), 0.0, -math.cos(lean)]))
        return down, -float(away @ np.array([math.cos(lean), 0.0, math.sin(lean)]))

    def flat(self, hole: Hole) -> Point:
        """Return where a hole lies on the paper: across from the vehicle's middle along the skin, and up."""
        down, forward = self.down_and_forward(hole)
        far = abs(hole.at[1]) if hole.face == "rear" else self.along(forward)
        return self.side * far, -down

    def beside(self, hole: Hole) -> Point:
        """Return where a hole of the side lies on that side's own paper: across from the rear face, and up."""
        down, forward = self.down_and_forward(hole)
        return self.side * forward, -down

    def along(self, forward: float) -> float:
        """Return how far along the skin from the middle a place on the side is that lies so far from the rear face."""
        return self.place.corner + self.round + forward - self.place.corner_radius

    def height(self, drop: float) -> float:
        """Return how far down the rear face lies what is so much lower, mm."""
        return drop / math.cos(math.radians(self.place.lean))


def templates_for_vehicle(rack: Rack, shop: Shop, vehicle: Vehicle) -> tuple[Template, ...]:
    """Return the drill templates in the order of the installation sheet, holes named as there."""
    found = installation(rack, shop, vehicle)
    places = {p.name: p for p in vehicle.rear}
    out: list[Template] = []
    for mount in found.mounts:
        members = [p for p in rack.placed if p.id.startswith(f"mount.{mount.name}.")]
        if mount.rear is not None:
            out += _rear(mount, mount.rear, places[mount.name], shop.unit)
        elif mount.holes:
            plates = [p for p in members if p.word in FLAT]
            out += [_plate(mount, p, p.part, vehicle.datum, shop.unit) for p in plates if isinstance(p.part, CutPlate)]
    return tuple(out)


def drill_station(rack: Rack, shop: Shop, vehicle: Vehicle) -> Station:
    """Return the drill templates as a station of their own, to follow the installation sheet."""
    found = templates_for_vehicle(rack, shop, vehicle)
    if not found:
        return Station("drill-templates", TITLE, (Text("Nothing is drilled in the vehicle."),))
    return Station("drill-templates", TITLE, found)


def _drill(hole: Hole, diameter: float) -> float:
    return diameter if hole.drill is None else hole.drill


def _sizes(holes: Sequence[Hole], unit: Unit) -> str:
    sizes = sorted({h.drill for h in holes if h.drill is not None})
    return ", ".join(f"{size(s, unit)} {unit}" for s in sizes)


def on_plate(placed: Placed, plate: CutPlate) -> Array:
    """Return the turn from a plate's flat outline to the paper, shape (2, 2): front up, seen from above.

    A plate that lies face down is seen through.
    """
    front = placed.frame.to_local_direction((-1.0, 0.0, 0.0))[:2]
    up = front / np.linalg.norm(front)
    right = np.array([up[1], -up[0]]) * (1.0 if placed.frame.z[2] > 0 else -1.0)
    return np.array([right, up])


def plate_holes(placed: Placed, plate: CutPlate, holes: Sequence[Hole]) -> list[tuple[RoundHole, Hole | None]]:
    """Return the holes of a plate on the paper, each with the hole of the installation sheet that it is."""
    turn = on_plate(placed, plate)
    out: list[tuple[RoundHole, Hole | None]] = []
    for hole in plate.holes:
        here = placed.frame.then(folded_frame(plate.breaks, plate.thickness, hole.x, hole.y)).point(
            (hole.x, hole.y, 0.0)
        )
        named = min(holes, key=lambda h, here=here: math.dist(h.at, here), default=None)
        if named is not None and math.dist(named.at, here) > NEAR:
            named = None
        x, y = turn @ (hole.x, hole.y)
        out.append((RoundHole(float(x), float(y), hole.diameter), named))
    return out


def _plate(mount: Mount, placed: Placed, plate: CutPlate, datum: str, unit: Unit) -> Template:
    edge = rim(plate.outline) @ on_plate(placed, plate).T
    (x0, y0), (x1, y1) = (tuple(float(v) for v in corner) for corner in (edge.min(axis=0), edge.max(axis=0)))
    mx, my = (x0 + x1) / 2, (y0 + y1) / 2
    items: list[Item] = [
        Stroke(tuple((float(x), float(y)) for x, y in edge), "cut", closed=True),
        Stroke(((x0 - BEYOND, my), (x1 + BEYOND, my)), "centre"),
        Stroke(((mx, y0 - BEYOND), (mx, y1 + BEYOND)), "centre"),
    ]
    for hole, named in plate_holes(placed, plate, mount.holes):
        drill = _drill(named, hole.diameter) if named else hole.diameter
        items += drilled(RoundHole(hole.x, hole.y, drill), unit, named.label if named else "")
    name = place_name(mount.name)
    on = "roof" if mount.kind == "roof" else mount.kind
    texts = ((f"{mount.letter}  {name}", 4.0, True), (f"{on}, seen from above", SMALL, False))
    items += titled(edge, items[1:], texts, (60.0, 40.0))
    items += [
        Words(mx, y1 + BEYOND, "FRONT ▲", 3.0, shift=(0.0, 4.0), bold=True),
        Words(mx, y0 - BEYOND, f"{across(mount.at[1], unit)} of the middle", SMALL, shift=(0.0, -4.0)),
        Words(x0 - BEYOND, my, f"{fine(mount.at[0], unit)} aft of the datum", SMALL, angle=90.0, shift=(-4.0, 0.0)),
        Words(x1 + 3.0, y0, "RIGHT ▶", 3.0, "left", bold=True),
        Words(x0 - 3.0, y0, "◀ LEFT", 3.0, "right", bold=True),
    ]
    notes = (
        f"Middle of the plate: {fine(mount.at[0], unit)} {unit} aft of the datum ({datum}), "
        f"{across(mount.at[1], unit)} of the vehicle's middle, both measured level.",
        f"Lay its dash-dot lines on lines drawn there. Drill {_sizes(mount.holes, unit) or 'as the fasteners ask'}; "
        "numbers are the order of drilling.",
        COMPARE,
    )
    return Template(Drawing(tuple(items)), f"drill {mount.letter}: {name}, {on}", notes)


def _rear(mount: Mount, rear: RearPlace, place: RearMount, unit: Unit) -> list[Template]:
    corner = Corner(place, math.copysign(1.0, mount.at[1]))
    name = place_name(mount.name)
    notes = (
        "Cut it out. Lay the shut line's edge on the hatch's shut line and the upper edge where the body's flat begins",
        f"Drill {_sizes(mount.holes, unit) or 'as the fasteners ask'}; numbers are the order of drilling. Dashed: "
        "strap and wrap.",
        COMPARE,
    )
    title = f"drill {mount.letter}: {name}"
    if abs(place.taper) < 1e-9:
        laid = f"{notes[0]}, then smooth it round."
        return [Template(corner_drawing(mount, rear, corner, unit), f"{title}, round the corner", (laid, *notes[1:]))]
    beside = [h for h in mount.holes if h.face != "rear"]
    out = [Template(_behind(mount, rear, corner, unit), f"{title}, rear face", (f"{notes[0]}.", *notes[1:]))]
    if beside:
        laid = (
            "Cut it out. Lay the upper edge level with where the rear face's flat begins, and the slanting edge where "
            "the round ends on the side."
        )
        out.append(Template(_beside(mount, rear, corner, beside, unit), f"{title}, side", (laid, *notes[1:])))
    return out


def corner_drawing(mount: Mount, rear: RearPlace, corner: Corner, unit: Unit) -> Drawing:
    """Return the paper that goes round a corner; across from the vehicle's middle, up from the flat's upper end."""
    far = corner.along(rear.forward)
    low = corner.height(max(rear.strap_end, rear.wrap_edges[1])) + MARGIN
    items = _sheet(corner, rear.shut_line, far + SLIP, low)
    items += _strap(corner, rear)
    top, bottom = (-corner.height(d) for d in rear.wrap_edges)
    wrap = ((rear.wrap, top), (far, top), (far, bottom), (rear.wrap, bottom))
    items.append(Stroke(tuple((corner.side * x, y) for x, y in wrap), "hidden", closed=True))
    begin, end = corner.place.corner, corner.place.corner + corner.round
    for x in (begin, end):
        items.append(Stroke(((corner.side * x, 0.0), (corner.side * x, -low)), "thin"))
    items += _holes(mount.holes, corner, unit)
    words = (
        ((rear.shut_line + begin) / 2, "rear face"),
        ((begin + end) / 2, f"round, R{size(corner.place.corner_radius, unit)}"),
        ((end + far + SLIP) / 2, "side"),
    )
    items += [Words(corner.side * x, -low, text, SMALL, shift=(0.0, 3.0)) for x, text in words]
    items += _words(mount, rear, corner, low, unit)
    return Drawing(tuple(items))


def _behind(mount: Mount, rear: RearPlace, corner: Corner, unit: Unit) -> Drawing:
    """Return the paper of the rear face alone."""
    holes = [h for h in mount.holes if h.face == "rear"]
    low = corner.height(max(rear.strap_end, rear.wrap_edges[1])) + MARGIN
    far = corner.place.corner
    items = [*_sheet(corner, rear.shut_line, far, low), *_strap(corner, rear), *_holes(holes, corner, unit)]
    items += _words(mount, rear, corner, low, unit)
    return Drawing(tuple(items))


def _beside(mount: Mount, rear: RearPlace, corner: Corner, holes: Sequence[Hole], unit: Unit) -> Drawing:
    """Return the paper of the body's side: across forward from the rear face, up as on the rear face."""
    low = corner.height(rear.wrap_edges[1]) + MARGIN
    s, place = corner.side, corner.place
    # The round is wider where its radius is larger; beyond it the side is flat.
    near = ((s * place.radius_at(0.0), 0.0), (s * place.radius_at(low), -low))
    far = s * (rear.forward + MARGIN)
    edge = (*near, (far, -low), (far, 0.0))
    items: list[Item] = [Stroke(edge, "cut", closed=True)]
    for hole in holes:
        items += _hole(hole, corner.beside(hole), unit)
    items += titled(np.array(edge), items[1:], ((f"{mount.letter} side", 3.2, True),), (30.0,))
    items.append(
        Words((near[0][0] + far) / 2, 0.0, "level with the upper end of the rear flat", SMALL, shift=(0.0, 4.0))
    )
    items.append(Words(*near[1], "slanting edge: where the round ends", SMALL, "left" if s > 0 else "right",
                       shift=(0.0, -4.0)))  # fmt: skip
    return Drawing(tuple(items))


def _hole(hole: Hole, at: Point, unit: Unit) -> list[Item]:
    if hole.drill is None:
        return [Circle(*at, 1.0, "mark"), Words(*at, hole.label, SMALL, shift=(0.0, 5.0), bold=True)]
    return drilled(RoundHole(*at, hole.drill), unit, hole.label)


def _holes(holes: Sequence[Hole], corner: Corner, unit: Unit) -> list[Item]:
    return [item for hole in holes for item in _hole(hole, corner.flat(hole), unit)]


def _sheet(corner: Corner, begin: float, end: float, low: float) -> list[Item]:
    """Return the paper's edges: those that are laid on the vehicle to cut along, the others thin."""
    s = corner.side
    laid = ((s * begin, -low), (s * begin, 0.0), (s * end, 0.0))
    return [Stroke(laid, "cut"), Stroke(((s * end, 0.0), (s * end, -low), (s * begin, -low)), "thin")]


def _strap(corner: Corner, rear: RearPlace) -> list[Item]:
    low = -corner.height(rear.strap_end)
    (a, b), s = rear.strap, corner.side
    middle = s * (a + b) / 2
    return [
        Stroke(((s * a, 0.0), (s * a, low), (s * b, low), (s * b, 0.0)), "hidden"),
        Stroke(((middle, 4.0), (middle, low - 4.0)), "centre"),
    ]


def _words(mount: Mount, rear: RearPlace, corner: Corner, low: float, unit: Unit) -> list[Item]:
    """Return what the edges are, the strap's place from the shut line, and which way is up."""
    s = corner.side
    begin, strap = s * rear.shut_line, s * (rear.strap[0] + rear.strap[1]) / 2
    # From the shut line's end on, so that they stand whole on one tile.
    align: Literal["left", "right"] = "left" if s > 0 else "right"
    return [
        Words(begin, 0.0, "upper edge: where the body's flat begins", SMALL, align, shift=(0.0, 12.0)),
        Words(begin, -low / 2, "shut line", SMALL, angle=-90.0, shift=(-s * 3.0, 0.0), bold=True),
        Words(
            begin, -low, f"UP ▲   {mount.letter}  {place_name(mount.name)}", 3.2, align, shift=(0.0, -6.0), bold=True
        ),
        Dimension((begin, 0.0), (strap, 0.0), fine(abs(strap - begin), unit), s * 6.0),
    ]
