"""Every rivet of a frame: what it is made to bear, what it goes through, and how the metal round it is held."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from rackgen.errors import RackgenError
from rackgen.geom import outline
from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import Array, Vec
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, RivetShape
from rackgen.parts.rack import AtEnd, Joint, OnFace, PartId, Placed, Rack
from rackgen.parts.resolve import anchor_point
from rackgen.refs.fasteners import WEAKEST, rivet_loads
from rackgen.refs.registry import number
from rackgen.refs.strengths import Strengths, check_known, strength_of, weakest
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Rivet
from rackgen.spec.vehicle import RearMount, Vehicle
from rackgen.strength.fastener_group import prying
from rackgen.strength.model import FrameModel
from rackgen.strength.skin import OMEGA_SHEET, Skin, bearing, edge_tearing, mount_of, pull_over, skin_of

FACES_AFT = 0.7
"""A rivet's axis with this much of X in it goes into the rear face."""


@dataclass(frozen=True)
class RivetStrength:
    """What one rivet bears by its maker, its standard, or as the weakest of the tables; N, minimum ultimate."""

    shear: float
    tension: float
    source: str
    tag: str


@dataclass(frozen=True)
class Around:
    """The part under a rivet's head about its hole; mm.

    Attributes:
        edge: from the rivet's middle to the part's nearest edge.
        inner: to where the part is held toward the load: a tube's wall, a fold, the next rivet.
        pitch: width of metal that goes with this rivet.
    """

    edge: float
    inner: float
    pitch: float


@dataclass(frozen=True, eq=False)
class Fastened:
    """One rivet into the vehicle; N where no unit is said.

    Attributes:
        support: its number among the model's supports.
        rivet: the rivet.
        mount: name of its mount.
        skin: what it goes into.
        strength: of the rivet.
        bearing: of the skin, without a factor.
        edge: tearing of the skin to the hatch's shut line; None where no edge is near.
        pull_over: of the skin over the blind end.
        plate: bearing of the thinnest steel part it goes through, without a factor.
        pried: by how much prying multiplies its tension.
        rim: from its middle to the nearest edge of the part under its head, mm.
        tag: of the steel parts' strengths.
    """

    support: int
    rivet: Placed
    mount: str
    skin: Skin
    strength: RivetStrength
    bearing: float
    edge: float | None
    pull_over: float
    plate: float
    pried: float
    rim: float
    tag: str

    @property
    def in_shear(self) -> float:
        """The lesser of rivet and skin in shear, N."""
        return min(self.strength.shear, self.bearing, self.edge if self.edge is not None else self.bearing)

    @property
    def in_tension(self) -> float:
        """The lesser of rivet and skin in tension, N."""
        return min(self.strength.tension, self.pull_over)


def rivet_strength(rivet: Rivet) -> RivetStrength:
    """Return what a rivet on the shelf bears: its maker's figures first, then its standard's, else the weakest table's.

    Raises:
        RackgenError: neither the shop's file nor the tables know it.
    """
    standard = rivet.standard or WEAKEST
    known = rivet_loads(standard, rivet.diameter)
    shear, tension = (
        own if own is not None else table
        for own, table in (
            (rivet.shear, known.shear if known else None),
            (rivet.tension, known.tension if known else None),
        )
    )
    if shear is None or tension is None:
        raise RackgenError(
            f"what {rivet.name} bears is not known: no table here has a rivet of {rivet.diameter:g} mm; write its "
            "least ultimate shear and tension in newtons from the maker's sheet into the shop's file"
        )
    if rivet.shear is not None and rivet.tension is not None:
        return RivetStrength(shear, tension, "maker's figures in the shop's file", "seen")
    assert known is not None
    if rivet.standard:
        return RivetStrength(shear, tension, known.source, known.tag)
    end = "closed-end" if rivet.closed_end else "open-end"
    return RivetStrength(
        shear,
        tension,
        f"the make of the {end} rivet {rivet.diameter:g} is not stated: taken as {known.source}, the weakest with a "
        "steel stem",
        "assumed",
    )


def fastened(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Fastened, ...]:
    """Return the rivets that hold a frame to its vehicle, in the order of its supports.

    Raises:
        RackgenError: a rivet is not on the shelf, its strength or the grade of what it holds is not known, or the
            vehicle has no such mount.
    """
    members = {p.id: p for p in rack.placed}
    shelf = {r.name: r for r in shop.rivets}
    through: dict[PartId, list[Joint]] = defaultdict(list)
    for joint in rack.joints:
        if joint.kind == "rivets" and not isinstance(members[joint.b.part].part, Bought):
            through[joint.a.part].append(joint)
    strong = _strong([members[j.b.part] for js in through.values() for j in js], shop)
    out: list[Fastened] = []
    for i, support in enumerate(model.supports):
        placed = members.get(support.part)
        if placed is None or not isinstance(placed.part, Bought) or not isinstance(placed.part.shape, RivetShape):
            continue
        if placed.part.name not in shelf:
            raise RackgenError(f"{placed.part.name} is not on the shelf of {shop.name}: what it bears is not known")
        held = [members[j.b.part] for j in through[placed.id]]
        if not held:
            raise RackgenError(f"{placed.id} holds nothing of the rack")
        out.append(_one(i, placed, support.mount, held, strong, shelf[placed.part.name], rack, vehicle, shop))
    return tuple(out)


def _strong(parts: list[Placed], shop: Shop) -> dict[PartId, Strengths]:
    shelf = {s.name: s for s in shop.stock}
    stocks = {p.id: shelf.get(p.part.stock.name, p.part.stock) for p in parts if not isinstance(p.part, Bought)}
    check_known(stocks.values())
    known = {stock: strength_of(stock) for stock in dict.fromkeys(stocks.values())}
    return {part: known[stock] for part, stock in stocks.items()}


def _one(support: int, placed: Placed, mount: str, held: list[Placed], strong: dict[PartId, Strengths], rivet: Rivet,
         rack: Rack, vehicle: Vehicle, shop: Shop) -> Fastened:  # fmt: skip
    shape = placed.part.shape if isinstance(placed.part, Bought) else None
    assert isinstance(shape, RivetShape)
    skin, strength = skin_of(vehicle, mount), rivet_strength(rivet)
    fu = number("skin-tensile").value
    # A bed of sealant or tape between lets the rivet lean, so that the plate does not hold it square in the skin.
    other = skin.thickness if shop.bedding > 0 else max(_thick(p) for p in held)
    over = pull_over(skin.thickness, shape.blind, fu)
    around = _around(placed, held[0], rack)
    bears = min(strength.tension, over) / OMEGA_SHEET
    head = strong[held[0].id]
    pried = prying(bears, _thick(held[0]), head.tensile, around.inner, around.edge, around.pitch, shape.diameter,
                   rivet.hole)  # fmt: skip
    edge = _to_shut_line(placed, mount, vehicle)
    return Fastened(
        support,
        placed,
        mount,
        skin,
        strength,
        bearing(shape.diameter, skin.thickness, other, fu),
        None if edge is None else edge_tearing(edge, skin.thickness, fu),
        over,
        min(_plate_bearing(strong[p.id].tensile, _thick(p), shape.diameter, rivet.hole, _around(placed, p, rack).edge)
            for p in held),
        pried,
        around.edge,
        weakest([strong[p.id].tag for p in held]),
    )  # fmt: skip


def _plate_bearing(tensile: float, thickness: float, diameter: float, hole: float, edge: float) -> float:
    """Return bearing and tear-out of steel at a fastener, N (AISC 360 J3.10, from memory)."""
    return min(2.4 * diameter, 1.2 * max(edge - hole / 2, 0.0)) * thickness * tensile


def _thick(placed: Placed) -> float:
    part = placed.part
    if isinstance(part, FoldedBar):
        return part.section.thickness
    assert isinstance(part, CutPlate)
    return part.thickness


def _to_shut_line(rivet: Placed, mount: str, vehicle: Vehicle) -> float | None:
    found = mount_of(vehicle, mount)
    if not isinstance(found, RearMount) or abs(rivet.frame.z[0]) < FACES_AFT:
        return None
    return abs(abs(rivet.frame.origin[1]) - (found.corner - found.to_shut_line))


def _around(rivet: Placed, held: Placed, rack: Rack) -> Around:
    at = rivet.frame.origin
    part = held.part
    if isinstance(part, CutPlate):
        return _on_plate(held, part, at, rack)
    assert isinstance(part, FoldedBar)
    return _on_bar(held, part, at)


def _on_plate(held: Placed, part: CutPlate, at: Vec, rack: Rack) -> Around:
    here = held.frame.to_local(at)[:2]
    rim = outline.polygon(part.outline, 0.5)
    others = [float(np.hypot(h.x - here[0], h.y - here[1])) for h in part.holes]
    pitch = min((d for d in others if d > 1.0), default=2 * _to_line(here, rim))
    return Around(_to_line(here, rim), _to_wall(held, at, rack), pitch)


def _to_line(point: Array, rim: Array) -> float:
    a, b = rim, np.roll(rim, -1, axis=0)
    way = b - a
    share = np.clip(((point - a) * way).sum(axis=1) / np.maximum((way * way).sum(axis=1), 1e-12), 0.0, 1.0)
    return float(np.linalg.norm(a + share[:, None] * way - point, axis=1).min())


def _to_wall(plate: Placed, at: Vec, rack: Rack) -> float:
    """Return how far a place is from the nearest wall of a tube that stands on a plate, mm; 0 where none does."""
    members = {p.id: p for p in rack.placed}
    out: list[float] = []
    for joint in rack.joints:
        foot, stands = (joint.b, joint.a) if joint.b.part == plate.id else (joint.a, joint.b)
        if foot.part != plate.id or not isinstance(foot, OnFace) or not isinstance(stands, AtEnd):
            continue
        tube = members[stands.part].part
        assert isinstance(tube, BentTube)
        apart = plate.frame.to_local(at)[:2] - plate.frame.to_local(anchor_point(foot, members))[:2]
        out.append(float(np.linalg.norm(apart)) - tube.section.od / 2)
    return max(min(out, default=0.0), 0.0)


def _on_bar(held: Placed, part: FoldedBar, at: Vec) -> Around:
    """Return what is about a hole in a bar: it is held at the fold or rivet before it, and on nearest its edges."""
    flats = [
        (held.frame.then(frame), length)
        for frame, length, bend in legs_and_arcs(part.flats, part.folds, part.section.thickness, part.section.width)
        if bend is None
    ]

    def off(k: int) -> float:
        frame, length = flats[k]
        x, _, z = frame.to_local(at)
        return abs(float(z)) + max(0.0, -float(x), float(x) - length)

    flat = min(range(len(flats)), key=off)
    frame, length = flats[flat]
    x, y, _ = (float(v) for v in frame.to_local(at))
    last = len(flats) - 1
    ends = ([x] if flat == 0 else []) + ([length - x] if flat == last else [])
    folds = ([0.0] if flat > 0 else []) + ([length] if flat < last else [])
    rivets = [h.along for h in part.holes if h.flat == flat and abs(h.along - x) > 1.0]
    toward = min(folds, key=lambda f: abs(f - x), default=None)
    if toward is None:
        before = rivets
    else:
        before = [toward, *(r for r in rivets if (r - x) * (toward - x) > 0)]
    edge = min([part.section.width / 2 - abs(y), *ends])
    inner = min((abs(b - x) for b in before), default=0.0)
    return Around(max(edge, 0.0), inner, part.section.width)
