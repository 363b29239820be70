"""How far every part stays from what stands and moves on the vehicle: hatch, doors, roof panel, aerial, boxes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from rackgen.check.bodies import Body
from rackgen.check.clearance import NEAR_OBSTACLE, NOISE, on_the_body
from rackgen.check.sweep import (
    Hinge,
    Near,
    Slide,
    Thing,
    Way,
    box,
    edge_pieces,
    hinge,
    nearest,
    needle,
    panel_pieces,
    rod,
    whole,
)
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Array, Vec, vec
from rackgen.mesh.triangles import triangles
from rackgen.parts.marks import Mark, marks
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.spec.keepouts import Aerial, Box, Cylinder, Door, Hatch, OpeningRoof
from rackgen.spec.rack import Gaps
from rackgen.spec.vehicle import Vehicle

FURTHEST = 400
"""How far a part is moved to find what would clear it, mm."""

MOST = 5
"""Of the parts that are too near one thing, this many nearest ones are told."""


@dataclass(frozen=True)
class KeepOut:
    """One thing that the rack stays out of.

    Attributes:
        name: what it is.
        thing: its shape and way.
        wanted: gap, mm.
        beside: wanted gap to what sits on the body beside it, mm.
        unit: of its way: "deg", "mm", or "" for what stands still.
        key: of the vehicle's file.
    """

    name: str
    thing: Thing
    wanted: float
    beside: float
    unit: str
    key: str

    def limit(self, placed: Placed) -> float:
        """Return the gap that a part is held to, mm."""
        return self.beside if on_the_body(placed) else self.wanted


@dataclass(frozen=True)
class Clear:
    """How near one part comes to one thing.

    Attributes:
        thing: its name.
        part: id.
        mark: mark.
        word: what the shop calls it.
        gap: mm, 0 where they meet.
        at: nearest place of the part, vehicle frame, mm.
        when: how far the thing is along its way then.
        unit: of `when`: "deg", "mm", or "" for what stands still.
        limit: wanted gap, mm.
    """

    thing: str
    part: PartId
    mark: Mark
    word: str
    gap: float
    at: Vec
    when: float
    unit: str
    limit: float


def keep_outs(vehicle: Vehicle, wish: Gaps) -> tuple[KeepOut, ...]:
    """Return everything that the rack stays out of, with the wanted gaps; boxes of `[[obstacle]]` first."""
    asked = vehicle.keep_outs
    out = [
        KeepOut(o.name, Thing((box(o.low, o.high),)), NEAR_OBSTACLE, NEAR_OBSTACLE, "", "obstacle")
        for o in vehicle.obstacles
    ]
    for fixed in asked.fixed:
        match fixed:
            case Box():
                thing = Thing((box(fixed.low, fixed.high),))
            case Cylinder():
                thing = rod(fixed.start, fixed.end, fixed.radius)
            case Aerial():
                thing = needle(fixed.foot, fixed.tip, fixed.radius)
        out.append(KeepOut(fixed.name, thing, fixed.gap, fixed.gap, "", "keep_out"))
    if asked.hatch is not None:
        out.append(KeepOut(asked.hatch.name, hatch_thing(asked.hatch), asked.hatch.gap, wish.shut_line, "deg", "hatch"))
    if asked.opening_roof is not None:
        panel = asked.opening_roof
        unit = "deg" if panel.path == "tilt" else "mm"
        out.append(KeepOut("opening roof", roof_thing(panel), panel.gap, panel.gap, unit, "opening_roof"))
    out += [KeepOut(d.name, door_thing(d), d.gap, d.gap, "deg", "door") for d in asked.doors]
    return tuple(out)


def hatch_thing(hatch: Hatch) -> Thing:
    """Return a hatch as it swings: its panel's middle first moves aft, or up where it lies flat."""
    outline = np.array(hatch.outline)
    way = hinge(*hatch.hinge, hatch.opens, outline, np.array([1.0, 0.0, 0.1]))
    return Thing(panel_pieces(outline, np.array([-1.0, 0.0, -0.1]), hatch.thickness, way), way)


def roof_thing(panel: OpeningRoof) -> Thing:
    """Return a roof panel as it tilts, lifts or slides."""
    outline = np.array(panel.outline)
    up = np.array([0.0, 0.0, 1.0])
    way: Way
    if panel.edge is not None:
        way = hinge(*panel.edge, panel.by, outline, up)
    else:
        way = Slide((0.0, 0.0, 1.0) if panel.path == "lift" else (1.0, 0.0, 0.0), panel.by)
    return Thing(panel_pieces(outline, -up, panel.thickness, way), way)


def door_thing(door: Door) -> Thing:
    """Return a door's top edge as it swings outward."""
    edge = np.array(door.edge)
    out = np.array([0.0, math.copysign(1.0, float(edge[:, 1].mean())), 0.0])
    way: Hinge = hinge(*door.hinge, door.opens, edge, out)
    return Thing(edge_pieces(edge, way), way)


def clearances(
    rack: Rack, of: Mapping[PartId, Body], things: Iterable[KeepOut], *, reach: float | None = None
) -> tuple[Clear, ...]:
    """Return how near every part comes to every thing, by thing as they come, nearest first.

    Args:
        rack: the rack.
        of: its bodies.
        things: what it stays out of.
        reach: leave out what is farther than this, mm; of None, what is farther than it is held to.
    """
    found: list[tuple[KeepOut, Placed, float, Near]] = []
    faces: dict[PartId, Array] = {}
    for thing in things:
        mine: list[tuple[KeepOut, Placed, float, Near]] = []
        for one in of.values():
            held = thing.limit(one.placed)
            near = _near(one, thing.thing, held if reach is None else reach, faces)
            if near is not None and (reach is not None or near.gap < held - NOISE):
                mine.append((thing, one.placed, held, near))
        found += sorted(mine, key=lambda m: (round(m[3].gap, 2), m[1].id))
    if not found:
        return ()
    names = marks(rack)
    return tuple(
        Clear(
            thing.name,
            placed.id,
            names[placed.id],
            placed.word,
            round(near.gap, 2) + 0.0,
            vec(np.round(near.at, 2) + 0.0),
            round(near.when, 2) + 0.0,
            thing.unit,
            held,
        )
        for thing, placed, held, near in found
    )


def _near(one: Body, thing: Thing, reach: float, faces: dict[PartId, Array]) -> Near | None:
    if not thing.may_reach(one.low, one.high, reach):
        return None
    if one.placed.id not in faces:
        mesh = triangles(one.placed.part)
        faces[one.placed.id] = one.placed.frame.points(mesh.vertices)[mesh.faces]
    # Where all parts are asked for, most of each counts: then its whole tree is made once for all things.
    tree = whole(one.placed) if math.isinf(reach) else None
    return nearest(one.low, one.high, faces[one.placed.id], thing, reach, tree)


def keep_out_findings(near: Iterable[Clear], things: Iterable[KeepOut], of: Mapping[PartId, Body]) -> list[Finding]:
    """Return what is nearer to something than is wanted, the nearest parts of each.

    Args:
        near: from `clearances`.
        things: what they are near to.
        of: bodies of the parts.
    """
    by_name = {t.name: t for t in things}
    told: dict[str, int] = {}
    out: list[Finding] = []
    for row in near:
        told[row.thing] = told.get(row.thing, 0) + 1
        if row.gap < row.limit - NOISE and told[row.thing] <= MOST:
            out.append(_too_near(row, by_name[row.thing], of[row.part]))
    return out


def _too_near(row: Clear, thing: KeepOut, one: Body) -> Finding:
    through = row.gap <= 0
    key = thing.key
    where = {"deg": f" when it is {row.when:.1f} degrees open", "mm": f" when it has moved {row.when:.0f} mm", "": ""}
    says = "is in the way of" if through else f"comes within {row.gap:.1f} mm of"
    the = "" if key in ("keep_out", "obstacle") else "the "
    return Finding(
        f"in-way-of-{_CODES[key]}" if through else f"near-{_CODES[key]}",
        Level.STOP if through else Level.LOOK,
        (row.part,),
        f"{row.word} {row.mark} {says} {the}{row.thing}{where[row.unit]}; {row.limit:g} mm is wanted",
        at=row.at,
        got=row.gap,
        limit=row.limit,
        keys=(key, *_MOVES[key]),
        help=_cure(row, thing, one),
    )


_CODES = {
    "obstacle": "obstacle",
    "keep_out": "keep-out",
    "hatch": "hatch",
    "opening_roof": "opening-roof",
    "door": "door",
}
_MOVES = {
    "obstacle": ("basket.forward", "frame.front"),
    "keep_out": ("basket.forward", "frame.front"),
    "hatch": ("basket.forward", "basket.length"),
    "opening_roof": ("frame.front", "basket.forward"),
    "door": ("frame.width",),
}
_WAYS: Mapping[str, tuple[tuple[str, Vec], ...]] = {
    "obstacle": (("forward", (-1.0, 0.0, 0.0)), ("back", (1.0, 0.0, 0.0))),
    "keep_out": (("forward", (-1.0, 0.0, 0.0)), ("back", (1.0, 0.0, 0.0))),
    "hatch": (("forward", (-1.0, 0.0, 0.0)),),
    "opening_roof": (("back", (1.0, 0.0, 0.0)), ("forward", (-1.0, 0.0, 0.0)), ("up", (0.0, 0.0, 1.0))),
    "door": (("up", (0.0, 0.0, 1.0)),),
}


def _cure(row: Clear, thing: KeepOut, one: Body) -> str:
    """Return what would clear a part: the shortest of the ways it may be moved, and how far the thing may open."""
    tries = [
        (far, way) for way, toward in _WAYS[thing.key] if (far := _away(one, thing, row.limit, toward)) is not None
    ]
    cures = [f"move it {way} by {far} mm" for far, way in sorted(tries)[:1]]
    if isinstance(thing.thing.way, Hinge) and (most := _opens_to(one, thing, row.limit)) >= 1:
        cures.append(f"stop the {row.thing} at {most} degrees")
    sheet = "; the sheet clearances has how far the basket may go" if thing.key == "hatch" else ""
    return (", or ".join(cures) or f"keep clear of {row.thing}, or measure it again") + sheet


def _is_clear(one: Body, thing: Thing, wanted: float, by: Array) -> bool:
    mesh = triangles(one.placed.part)
    faces = (one.placed.frame.points(mesh.vertices) + by)[mesh.faces]
    near = nearest(one.low + by, one.high + by, faces, thing, wanted)
    return near is None or near.gap >= wanted - NOISE


def _away(one: Body, thing: KeepOut, wanted: float, toward: Vec) -> int | None:
    """Return by how much a part has to be moved one way to be clear, whole mm; None when `FURTHEST` is too little."""
    step = np.asarray(toward)
    low, high = 0, FURTHEST
    if not _is_clear(one, thing.thing, wanted, step * high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _is_clear(one, thing.thing, wanted, step * middle) else (middle, high)
    return high


def _opens_to(one: Body, thing: KeepOut, wanted: float) -> int:
    """Return how far a hinged thing may open with a part clear of it, whole degrees; 0 when it may not at all."""
    way = thing.thing.way
    assert isinstance(way, Hinge)
    low, high = 0, math.ceil(way.last)
    while high - low > 1:
        middle = (low + high) // 2
        shorter = Thing(thing.thing.pieces, replace(way, last=float(middle)), thing.thing.radius)
        low, high = (middle, high) if _is_clear(one, shorter, wanted, np.zeros(3)) else (low, middle)
    return low
