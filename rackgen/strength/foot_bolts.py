"""The bolts that hold feet to a vehicle: what each is, what it goes into, and what it bears. N, mm, MPa."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.errors import RackgenError
from rackgen.geom import outline
from rackgen.geom.frame import Array
from rackgen.parts.kinds import BentTube, BoltShape, Bought, CutPlate, FoldedBar
from rackgen.parts.rack import AtEnd, OnFace, Placed, Rack
from rackgen.parts.resolve import anchor_point
from rackgen.refs.fasteners import BoltGrade, rivet_nut
from rackgen.refs.fasteners import bolt as steel_of
from rackgen.refs.registry import number
from rackgen.refs.strengths import Strengths, check_known, strength_of
from rackgen.spec.foot_place import BedRailPlace, FootPlace, FrontMount, GutterPlace, ThreadsPlace, TrackPlace
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Bolt
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.bolt_limits import OMEGA_BOLT, rod_shear, rod_tension
from rackgen.strength.fastener_group import prying
from rackgen.strength.foot_statics import levered, lips_shear, thread_strips
from rackgen.strength.model import FrameModel
from rackgen.strength.skin import bearing, pull_over

UNMARKED: BoltGrade = "4.6"
"""What a bolt without a grade is taken for: the weakest class."""

TRACK_TENSILE = 160.0
"""Least tensile strength of a track's aluminium, 6060-T5, MPa (EN 755-2, from memory)."""


@dataclass(frozen=True, eq=False)
class FootBolt:
    """One bolt of a foot.

    Attributes:
        support: its number among the model's supports.
        placed: the bolt.
        mount: name of its mount.
        place: of that mount.
        shape: of the bolt.
        bought: its line of the shelf.
        tension: of its steel.
        shear: of its steel.
        source: of the steel's figures.
        tag: how far they may be trusted.
        beyond: what its thread's end holds in tension, or what holds that.
        beyond_words: what that is.
        sheet: bearing of the body's sheet about it; None where it goes into none.
        pried: by how much its tension is multiplied by the plate under its head.
        steel: of the plate or jaw under its head.
        bears: bearing and tear-out of that plate or jaw.
    """

    support: int
    placed: Placed
    mount: str
    place: FootPlace
    shape: BoltShape
    bought: Bolt
    tension: float
    shear: float
    source: str
    tag: str
    beyond: float
    beyond_words: str
    sheet: float | None
    pried: float
    steel: Strengths
    bears: float


def foot_bolts(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[FootBolt, ...]:
    """Return the bolts that hold a frame to its vehicle, in the order of its supports.

    Raises:
        RackgenError: a bolt is not on the shelf, or the grade of what it holds is not known.
    """
    members = {p.id: p for p in rack.placed}
    places = {p.name: p for p in vehicle.foot_places}
    out: list[FootBolt] = []
    for i, support in enumerate(model.supports):
        placed = members.get(support.part)
        if placed is None or not isinstance(placed.part, Bought) or not isinstance(placed.part.shape, BoltShape):
            continue
        held = next(members[j.b.part] for j in rack.joints if j.kind == "bolts" and j.a.part == placed.id)
        shelf = next((b for b in shop.bolts if placed.part.name.startswith(f"{b.name} ×")), None)
        if shelf is None:
            raise RackgenError(f"{placed.part.name} is not on the shelf of {shop.name}: what it bears is not known")
        out.append(_one(i, placed, placed.part.shape, places[support.mount], shelf, held, rack, shop))
    return tuple(out)


def _one(support: int, placed: Placed, shape: BoltShape, place: FootPlace, shelf: Bolt, held: Placed, rack: Rack,
         shop: Shop) -> FootBolt:  # fmt: skip
    steel = steel_of(shelf.grade or UNMARKED)
    part = held.part
    assert isinstance(part, CutPlate | FoldedBar)
    known = {s.name: s for s in shop.stock}.get(part.stock.name, part.stock)
    check_known([known])
    strong = strength_of(known)
    thick = part.thickness if isinstance(part, CutPlate) else part.section.thickness
    tension, shear = rod_tension(shape.diameter, steel.tensile), rod_shear(shape.diameter, steel.tensile)
    beyond, words = _beyond(shape, place)
    edge, inner, pitch, hole = _around(placed, held, rack)
    pried = 1.0
    if isinstance(part, CutPlate):
        holds = min(tension, beyond) / OMEGA_BOLT
        pried = prying(holds, thick, strong.tensile, inner, edge, pitch, shape.diameter, hole)
        if isinstance(place, ThreadsPlace) and not place.apart:
            pried = max(pried, levered(_to_stub(held, placed, rack)[0], edge))
    grade = "" if shelf.grade else f", taken as class {UNMARKED} since the shop states no grade"
    return FootBolt(
        support, placed, place.name, place, shape, shelf, tension, shear, f"{steel.source}{grade}",
        steel.tag if shelf.grade else "assumed", beyond, words, _sheet(shape, place, thick), pried, strong,
        min(2.4 * shape.diameter, 1.2 * max(edge - hole / 2, 0.0)) * thick * strong.tensile,
    )  # fmt: skip


def _beyond(shape: BoltShape, place: FootPlace) -> tuple[float, str]:
    """Return what holds a bolt's thread, in tension, and its words."""
    skin = number("skin-tensile").value
    match shape.end:
        case "nut":
            return math.inf, "its nut"
        case "slot nut":
            assert isinstance(place, TrackPlace)
            return lips_shear(shape.nut_across, place.lip, TRACK_TENSILE), f"track, lips of {place.lip:g} mm"
        case "rivet nut":
            nut = rivet_nut(shape.diameter)
            sheet = place.skin if isinstance(place, FrontMount | BedRailPlace) else 1.0
            over = pull_over(sheet, shape.nut_across, skin)
            return min(over, math.inf if nut is None else nut.proof), f"rivet nut in skin of {sheet:g} mm"
        case "thread":
            assert isinstance(place, ThreadsPlace)
            engaged = min(-shape.tip - shape.grip, place.depth, shape.diameter)
            return thread_strips(shape.diameter, engaged, skin), f"{engaged:.0f} mm of the vehicle's thread"


def _sheet(shape: BoltShape, place: FootPlace, thick: float) -> float | None:
    if not isinstance(place, FrontMount | BedRailPlace):
        return None
    return bearing(shape.diameter, place.skin, thick, number("skin-tensile").value)


def _around(placed: Placed, held: Placed, rack: Rack) -> tuple[float, float, float, float]:
    """Return from a bolt to its plate's edge, to the stub's wall, to the next bolt, and its hole; mm."""
    part = held.part
    assert isinstance(placed.part, Bought)
    assert isinstance(placed.part.shape, BoltShape)
    wide = 1.125 * placed.part.shape.diameter
    if isinstance(part, FoldedBar):
        return min(part.section.width / 2 - abs(h.across) for h in part.holes), 0.0, part.section.width, wide
    assert isinstance(part, CutPlate)
    here = held.frame.to_local(placed.frame.origin)[:2]
    rim = outline.polygon(part.outline, 0.5)
    mates = [p for p in rack.placed if p.id.rsplit(".", 1)[0] == placed.id.rsplit(".", 1)[0] and p.word == "bolt"]
    apart = [float(np.hypot(*(held.frame.to_local(p.frame.origin)[:2] - here))) for p in mates]
    width = float(np.ptp(rim, axis=0).min())
    return _to_rim(here, rim), _to_stub(held, placed, rack)[1], min([a for a in apart if a > 1.0] + [width]), wide


def _to_rim(point: Array, rim: Array) -> float:
    a, way = rim, np.roll(rim, -1, axis=0) - rim
    share = np.clip(((point - a) * way).sum(axis=1) / np.maximum((way * way).sum(axis=1), 1e-12), 0.0, 1.0)
    return float(np.linalg.norm(a + share[:, None] * way - point, axis=1).min())


def _to_stub(plate: Placed, bolt: Placed, rack: Rack) -> tuple[float, float]:
    """Return from a bolt to the axis and to the wall of the stub on its plate, mm; 0 where none stands on it."""
    members = {p.id: p for p in rack.placed}
    here = plate.frame.to_local(bolt.frame.origin)[:2]
    for joint in rack.joints:
        lands, on = (joint.a, joint.b) if isinstance(joint.a, AtEnd) else (joint.b, joint.a)
        if joint.kind == "plane weld" and isinstance(on, OnFace) and on.part == plate.id and isinstance(lands, AtEnd):
            tube = members[lands.part].part
            assert isinstance(tube, BentTube)
            far = float(np.hypot(*(plate.frame.to_local(anchor_point(on, members))[:2] - here)))
            return far, max(far - tube.section.od / 2, 0.0)
    return 0.0, 0.0


def of_gutters(bolts: tuple[FootBolt, ...]) -> dict[str, list[FootBolt]]:
    """Return the bolts of each jaw by its mount."""
    out: dict[str, list[FootBolt]] = {}
    for one in bolts:
        if isinstance(one.place, GutterPlace):
            out.setdefault(one.mount, []).append(one)
    return out
