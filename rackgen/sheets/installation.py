"""Where the rack goes on its vehicle and what holds it there: every mount, hole, rivet and clamp with its place.

Places are in the vehicle frame: aft of the datum, right of the middle, up; mm, not rounded.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from rackgen.geom import outline
from rackgen.geom.breaks import folded_frame
from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import Array, Frame, Vec, vec
from rackgen.mesh.plate import lifted
from rackgen.mesh.sweep import along, evenly
from rackgen.parts.handbook import HandbookLimit, handbook_limit
from rackgen.parts.kinds import BentTube, BoltShape, Bought, CutPlate, FoldedBar, RivetShape, UBoltShape
from rackgen.parts.marks import marks
from rackgen.parts.measure import mass
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.parts.resolve import end_frame
from rackgen.refs.registry import number
from rackgen.sheets.bolted_fittings import BoltedFitting, bolted_fittings
from rackgen.sheets.weld_lines import welded_joints
from rackgen.spec.foot_place import (
    BedRailPlace,
    FootKind,
    FootPlace,
    FrontMount,
    GutterPlace,
    TrackPlace,
    Under,
    kind_of,
    under_of,
)
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import RearMount, Vehicle

DRILL_STOP = 3.0
"""How far a drill may come out below the skin, mm (fire-service training articles on curtain airbags)."""

STEP = 4.0
"""Spacing along a tube's centreline at which the way to a hole is looked along, mm."""

Face = Literal["roof", "rear", "side"]


@dataclass(frozen=True)
class Hole:
    """A hole in the vehicle's skin and what is set in it.

    Attributes:
        label: letter of its mount and number in the order of drilling: "A1".
        part: id of the fastener.
        at: its middle on the skin's outside.
        face: of the body.
        fastener: as it is ordered.
        drill: diameter, mm; None where the shelf does not know the fastener.
        grip: thickness held, bedding and skin in it, mm.
        stop: how far the drill may stick out of its stop with the mount in place, mm.
        room: clear round the drill's axis to the nearest tube that stays on the vehicle, mm; None where there is none.
        covered: whether the fitted basket is in the way.
    """

    label: str
    part: PartId
    at: Vec
    face: Face
    fastener: str
    drill: float | None
    grip: float
    stop: float
    room: float | None
    covered: bool


@dataclass(frozen=True)
class RearPlace:
    """How strap and wrap lie on a rear corner; mm.

    Attributes:
        shut_line: |Y| of the hatch's shut line.
        strap: |Y| of the strap's inner and outer edge.
        strap_end: below the upper end of the body's flat.
        wrap: |Y| of the wrap's inner end.
        wrap_edges: upper and lower edge below the upper end of the body's flat.
        forward: from the rear face forward to the wrap's end on the body's side.
    """

    shut_line: float
    strap: tuple[float, float]
    strap_end: float
    wrap: float
    wrap_edges: tuple[float, float]
    forward: float


@dataclass(frozen=True)
class Drawn:
    """Bolts of one foot that are drawn up at the vehicle.

    Attributes:
        bolt: as it is ordered.
        count: how many.
        grip: thickness held, bedding and sheet in it, mm.
        torque: N·m; None where the shelf does not know the bolt.
        drilled: whether they stand in holes that are drilled for them.
    """

    bolt: str
    count: int
    grip: float
    torque: float | None
    drilled: bool


@dataclass(frozen=True)
class Mount:
    """One mount.

    Attributes:
        letter: "A" for the first.
        name: in the vehicle's file.
        at: middle of the plate on the skin, or of the strap at the upper end of the body's flat.
        edges: fore-and-aft and across, least and largest, of a plate as seen from above; None for a rear corner.
        rear: how strap and wrap lie; None for a plate.
        under: what carries it below the skin.
        skin: thickness of the skin, mm.
        bedding: under it, mm.
        parts: mark and word of what is steel, sorted.
        holes: in the order of drilling.
        kind: what it stands on.
        drawn: its bolts.
    """

    letter: str
    name: str
    at: Vec
    edges: tuple[tuple[float, float], tuple[float, float]] | None
    rear: RearPlace | None
    under: Under
    skin: float
    bedding: float
    parts: tuple[tuple[str, str], ...]
    holes: tuple[Hole, ...]
    kind: FootKind | Literal["rear corner"] = "roof"
    drawn: tuple[Drawn, ...] = ()

    @property
    def side(self) -> str:
        """Left or right, as the driver sits."""
        return "left" if self.at[1] < 0 else "right"


@dataclass(frozen=True)
class Clamp:
    """One clamp pad of the basket on a leg of the frame.

    Attributes:
        pad: part id.
        mark: of the pad.
        at: middle of the pad.
        bolts: part ids of its U-bolts.
        bolt: as it is ordered; "" where there is none.
        torque: N·m; None where the shelf does not know the bolt.
        isolator: as it is ordered; "" where there is none.
        grip: under the washers: pad and isolator, mm.
        stop: the fore-aft stops at it: "behind it", "ahead of it", both or "".
    """

    pad: PartId
    mark: str
    at: Vec
    bolts: tuple[PartId, ...]
    bolt: str
    torque: float | None
    isolator: str
    grip: float
    stop: str

    @property
    def side(self) -> str:
        """Left or right, as the driver sits."""
        return "left" if self.at[1] < 0 else "right"


@dataclass(frozen=True)
class Installation:
    """Everything that is fixed at the vehicle.

    Attributes:
        datum: in words, where aft is measured from.
        mounts: front before rear, left before right.
        clamps: front to rear, left before right.
        mass: of the whole rack, kg.
        basket: of what is lifted off when the clamps are loose, kg.
        limit: of the vehicle's handbook.
        fittings: what of them is bolted on.
    """

    datum: str
    mounts: tuple[Mount, ...]
    clamps: tuple[Clamp, ...]
    mass: float
    basket: float
    limit: HandbookLimit
    fittings: tuple[BoltedFitting, ...] = ()

    @property
    def holes(self) -> tuple[Hole, ...]:
        """Every hole of every mount, mount by mount."""
        return tuple(hole for mount in self.mounts for hole in mount.holes)

    @property
    def rounds(self) -> tuple[tuple[str, ...], ...]:
        """The holes' labels in the order of drilling: the first of every mount, then the second, and so on."""
        most = max((len(m.holes) for m in self.mounts), default=0)
        return tuple(tuple(m.holes[k].label for m in self.mounts if k < len(m.holes)) for k in range(most))


@lru_cache(maxsize=8)
def installation(rack: Rack, shop: Shop, vehicle: Vehicle) -> Installation:
    """Return where everything goes that is fixed at the vehicle."""
    named = marks(rack)
    mounts: list[Mount] = []
    for place in (*vehicle.foot_places, *vehicle.rear):
        members = [p for p in rack.placed if p.id.startswith(f"mount.{place.name}.")]
        if members:
            letter = "ABCDEFGHJKLMNPQRSTUVWXYZ"[len(mounts)]
            steel = sorted({(named[p.id], p.word) for p in members if not isinstance(p.part, Bought)})
            skin, under = skin_of(place), place.under if isinstance(place, RearMount) else under_of(place)
            kind = "rear corner" if isinstance(place, RearMount) else kind_of(place)
            holes = _holes(letter, rack, members, skin, shop) if isinstance(place, DRILLED) else ()
            bed = 0.0 if isinstance(place, GutterPlace | TrackPlace) else shop.bedding
            at, edges, rear = _lies(place, members, bed)
            drawn = _drawn(members, shop, drilled=bool(holes))
            mounts.append(
                Mount(letter, place.name, at, edges, rear, under, skin, bed, tuple(steel), holes, kind, drawn)
            )
    return Installation(
        vehicle.datum,
        tuple(mounts),
        _clamps(rack, shop, named),
        sum(mass(p.part) for p in rack.placed),
        _basket_mass(rack),
        handbook_limit(rack, vehicle),
        bolted_fittings(rack, shop, named),
    )


def _basket_mass(rack: Rack) -> float:
    """Return what is lifted off when the clamps are loose, kg: the basket, its clamps, and what is welded to it."""
    on = {p.id for p in rack.placed if p.id.startswith("basket.")}
    joints = [{j.a.part, j.b.part} for j in welded_joints(rack)]
    while more := {part for pair in joints if pair & on for part in pair - on}:
        on |= more
    return sum(mass(p.part) for p in rack.placed if p.id in on)


DRILLED = FrontMount | RearMount | BedRailPlace
"""Places where holes are drilled; gutters, tracks and factory threads are left as they are."""

FLAT = ("mount plate", "foot pad", "track bracket", "rail plate")
"""Words of the plates that feet lie with."""


def skin_of(place: FootPlace | RearMount) -> float:
    """Return the thickness of the sheet that a place is on, mm; 0 where none is drilled."""
    return place.skin if isinstance(place, DRILLED) else 0.0


def _drawn(members: Sequence[Placed], shop: Shop, *, drilled: bool) -> tuple[Drawn, ...]:
    """Return a mount's bolts by name and grip."""
    counts: Counter[tuple[str, float]] = Counter()
    for placed in members:
        if isinstance(placed.part, Bought) and isinstance(placed.part.shape, BoltShape):
            counts[(placed.part.name, round(placed.part.shape.grip, 6))] += 1
    torques = {b.name: b.torque for b in shop.bolts}
    return tuple(
        Drawn(name, count, grip, next((t for b, t in torques.items() if name.startswith(f"{b} ×")), None), drilled)
        for (name, grip), count in counts.items()
    )


def _lies(
    place: FootPlace | RearMount, members: Sequence[Placed], bedding: float
) -> tuple[Vec, tuple[tuple[float, float], tuple[float, float]] | None, RearPlace | None]:
    """Return where a mount's middle lies, its plate's edges from above, or how its strap and wrap lie."""
    if isinstance(place, RearMount):
        rear = _rear(place, members)
        middle = (rear.strap[0] + rear.strap[1]) / 2
        return (place.at[0], float(np.copysign(middle, place.at[1])), place.at[2]), None, rear
    for placed in members:
        if isinstance(placed.part, CutPlate) and placed.word in FLAT:
            low = seen(placed)[:, :2]
            rim = outline.polygon(placed.part.outline)
            x, y = (rim.min(axis=0) + rim.max(axis=0)) / 2
            under = placed.frame.then(folded_frame(placed.part.breaks, placed.part.thickness, float(x), float(y)))
            (front, left), (back, right) = low.min(axis=0), low.max(axis=0)
            edges = ((float(front), float(back)), (float(left), float(right)))
            # Canonical plates may lie face down: the skin is on the side that the fasteners go into.
            ways = [float(np.dot(p.frame.z, placed.frame.z)) for p in members if _fastener(p)]
            down = sum(ways) < 0
            return under.point((float(x), float(y), placed.part.thickness + bedding if down else -bedding)), edges, None
    return place.at, None, None


def _fastener(placed: Placed) -> bool:
    return isinstance(placed.part, Bought) and isinstance(placed.part.shape, RivetShape | BoltShape)


def seen(placed: Placed) -> Array:
    """Return a plate's rim on its underside where it stands, vehicle frame, mm, shape (n, 3)."""
    assert isinstance(placed.part, CutPlate)
    return placed.frame.points(lifted(placed.part, outline.polygon(placed.part.outline), 0.0))


def flats(placed: Placed) -> tuple[Array, ...]:
    """Return the four corners of every flat of a bar at mid-thickness, vehicle frame, mm, shape (4, 3) each."""
    bar = placed.part
    assert isinstance(bar, FoldedBar)
    half = bar.section.width / 2
    out: list[Array] = []
    for frame, long, fold in legs_and_arcs(bar.flats, bar.folds, bar.section.thickness, bar.section.width):
        if fold is None:
            corners = [(0, -half, 0), (long, -half, 0), (long, half, 0), (0, half, 0)]
            out.append(placed.frame.then(frame).points(corners))
    return tuple(out)


def _rear(place: RearMount, members: Sequence[Placed]) -> RearPlace:
    """Measure strap and wrap where they stand."""
    straps = [flat for p in members if p.word == "rear strap" for flat in flats(p)]
    wraps = [flat for p in members if p.word == "corner wrap" for flat in flats(p)]
    body = min(straps, key=lambda f: float(f[:, 2].mean()))
    across = np.abs(body[:, 1])
    behind = min(wraps, key=lambda f: float(np.abs(f[:, 1]).mean()))
    beside = max(wraps, key=lambda f: float(np.abs(f[:, 1]).mean()))
    top = place.at[2]
    return RearPlace(
        place.corner - place.to_shut_line,
        (float(across.min()), float(across.max())),
        top - float(body[:, 2].min()),
        float(np.abs(behind[:, 1]).min()),
        (top - float(behind[:, 2].max()), top - float(behind[:, 2].min())),
        place.at[0] - float(beside[:, 0].min()),
    )


def _holes(letter: str, rack: Rack, members: Sequence[Placed], skin: float, shop: Shop) -> tuple[Hole, ...]:
    """Return a mount's holes in the order of drilling: each next one as far as may be from those that are done."""
    found: list[tuple[Placed, RivetShape | BoltShape, Vec]] = []
    backing = max((p.part.thickness for p in members if isinstance(p.part, CutPlate) and BACKING in p.word), default=0)
    for p in members:
        if isinstance(p.part, Bought) and isinstance(p.part.shape, RivetShape | BoltShape):
            below = backing if isinstance(p.part.shape, BoltShape) else 0.0
            found.append((p, p.part.shape, p.frame.point((0.0, 0.0, skin + below - p.part.shape.grip))))
    left = sorted(found, key=_first)
    done: list[tuple[Placed, RivetShape | BoltShape, Vec]] = []
    while left:
        far = [min((float(np.linalg.norm(np.subtract(f[2], d[2]))) for d in done), default=0.0) for f in left]
        done.append(left.pop(max(range(len(left)), key=lambda k: (round(far[k]), -k))))
    out: list[Hole] = []
    for k, (p, shape, at) in enumerate(done):
        assert isinstance(p.part, Bought)
        name = p.part.name
        drill = _drill(shape, name, shop)
        room, covered = _way(rack, p.frame)
        # What lies behind the sheet is put there after drilling.
        stop = shape.grip - (backing if isinstance(shape, BoltShape) else 0.0) + DRILL_STOP
        out.append(Hole(f"{letter}{k + 1}", p.id, at, _face(p.frame.z), name, drill, shape.grip, stop, room, covered))
    return tuple(out)


BACKING = "backing"
"""In the word of a plate behind the sheet."""

CLEARANCE = ((6.0, 6.6), (8.0, 9.0), (10.0, 11.0), (12.0, 13.5))
"""Threads and their clearance holes, medium series, mm (ISO 273, from memory)."""


def _drill(shape: RivetShape | BoltShape, name: str, shop: Shop) -> float | None:
    """Return the drill of a fastener's hole in the body, mm; None where the shelf does not know it."""
    if isinstance(shape, RivetShape):
        return next((r.hole for r in shop.rivets if r.name == name), None)
    if shape.end == "rivet nut":
        return shape.nut_across
    return next((hole for d, hole in CLEARANCE if abs(d - shape.diameter) < 0.15), round(1.1 * shape.diameter, 1))


def _first(found: tuple[Placed, RivetShape | BoltShape, Vec]) -> tuple[bool, int, int, int, PartId]:
    """Rank holes for the first to drill: on the roof the foremost and innermost, on a corner the highest behind."""
    placed, _, (x, y, z) = found
    face = _face(placed.frame.z)
    return face == "side", round(x) if face == "roof" else 0, round(abs(y)), -round(z), placed.id


def _face(out: Vec) -> Face:
    return "roof" if abs(out[2]) > 0.6 else "rear" if abs(out[0]) > 0.6 else "side"


def _way(rack: Rack, drill: Frame) -> tuple[float | None, bool]:
    """Return the room round a drill's axis to the tubes that stay on, and whether the basket is in its way.

    Args:
        rack: the rack.
        drill: origin at the fastener's head, Z toward the person who drills.
    """
    room: float | None = None
    covered = False
    for p in rack.placed:
        basket = p.id.startswith("basket.")
        if isinstance(p.part, BentTube):
            line = drill.to_local(p.frame.points(along(p.part.spine, evenly(p.part.spine, STEP)).origins))
            # What stands farther off than a drill with its bit is long is in nobody's way.
            above = line[(line[:, 2] > 0) & (line[:, 2] < number("drill-long").value + p.part.fitted.od / 2)]
            if not len(above):
                continue
            clear = float(np.hypot(above[:, 0], above[:, 1]).min()) - p.part.fitted.od / 2
            if basket:
                covered = covered or clear < number("drill-clear-tube").value
            else:
                room = clear if room is None else min(room, clear)
        elif basket and isinstance(p.part, CutPlate):
            covered = covered or _under(drill, p, p.part)
    return room, covered


def _under(drill: Frame, placed: Placed, plate: CutPlate) -> bool:
    """Return whether a drill's axis, going out from its hole, runs into a plate or panel."""
    origin, way = placed.frame.to_local(drill.origin), placed.frame.to_local_direction(drill.z)
    if abs(way[2]) < 0.1:
        return False
    far = -float(origin[2]) / float(way[2])
    x, y = (origin + far * way)[:2]
    return far > 0 and _inside(outline.polygon(plate.outline), float(x), float(y))


def _inside(rim: Array, x: float, y: float) -> bool:
    """Return whether a point lies inside a closed row of points, by counting the sides that a ray crosses."""
    (ax, ay), (bx, by) = rim.T, np.roll(rim, -1, axis=0).T
    astride = (ay > y) != (by > y)
    rise = np.where(astride, by - ay, 1.0)
    return bool(np.count_nonzero(astride & (x < ax + (y - ay) * (bx - ax) / rise)) % 2)


def _clamps(rack: Rack, shop: Shop, named: Mapping[PartId, str]) -> tuple[Clamp, ...]:
    """Return the basket's clamps, front to rear, left before right."""
    stops = [(j.a.part, j.b.part) for j in rack.joints if j.kind == "contact" and j.a.part.startswith("frame.stop.")]
    out: list[Clamp] = []
    for pad in rack.placed:
        if pad.word != "clamp pad" or not isinstance(pad.part, CutPlate):
            continue
        group = pad.id.rsplit(".", 1)[0] + "."
        members = [p for p in rack.placed if p.id.startswith(group) and isinstance(p.part, Bought)]
        bolts = [p for p in members if isinstance(p.part, Bought) and isinstance(p.part.shape, UBoltShape)]
        soft = [p.part.name for p in members if p not in bolts and isinstance(p.part, Bought)]
        rim = seen(pad)
        at = vec((rim.min(axis=0) + rim.max(axis=0)) / 2)
        first = bolts[0].part if bolts else None
        name, grip = "", 0.0
        if isinstance(first, Bought) and isinstance(first.shape, UBoltShape):
            name, grip = first.name, first.shape.seat - first.shape.drop
        torque = next((b.torque for b in shop.u_bolts if b.name == name), None)
        held = sorted(rack.part(stop).frame.origin[0] > at[0] for stop, other in stops if other == pad.id)
        where = " and ".join("behind it" if behind else "ahead of it" for behind in held)
        out.append(
            Clamp(pad.id, named[pad.id], at, tuple(b.id for b in bolts), name, torque, ", ".join(soft), grip, where)
        )
    return tuple(sorted(out, key=lambda c: (round(c.at[0]), c.at[1])))


def leg_over(rack: Rack, mount: Mount) -> tuple[Placed, Array]:
    """Return the frame's tube over a rear corner and the point of its axis where it ends there, vehicle frame, mm."""
    ends = [
        (p, np.asarray(end_frame(p, end)[0].origin))
        for p in rack.placed
        if p.id.startswith("frame.") and isinstance(p.part, BentTube)
        for end in ("A", "B")
    ]
    return min(ends, key=lambda e: float(np.linalg.norm(e[1] - np.asarray(mount.at))))


def fastener_counts(found: Installation) -> tuple[tuple[str, int], ...]:
    """Return how many of each fastener are set at the vehicle, by name as ordered, in reading order."""
    counts = Counter(hole.fastener for hole in found.holes)
    for mount in found.mounts:
        counts.update({d.bolt: d.count for d in mount.drawn if not d.drilled})
    counts.update({c.bolt: 0 for c in found.clamps if c.bolt})
    for clamp in found.clamps:
        if clamp.bolt:
            counts[clamp.bolt] += len(clamp.bolts)
    for fitting in found.fittings:
        counts[fitting.fastener] += fitting.count
    return tuple(counts.items())
