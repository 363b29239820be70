"""What of the rack's weight hangs on each mount, what two people lift at each end, and how high it all stands.

The rack counts as rigid on mounts that give way equally: four upright forces have three conditions of balance, so one
assumption is needed, and this one is also the least sum of squares. Forces then lie on a plane over the mounts' plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom import outline, spine
from rackgen.geom.frame import Array
from rackgen.mesh.triangles import triangles
from rackgen.parts import measure
from rackgen.parts.kinds import BentTube, BoltShape, Bought, CutPlate, RivetShape
from rackgen.parts.rack import Placed, Rack
from rackgen.parts.resolve import end_frame
from rackgen.spec.vehicle import Vehicle

LOAD = 10.0
"""The load whose shares are shown, kg."""


@dataclass(frozen=True)
class MountShare:
    """What hangs on one mount, standing still.

    Attributes:
        mount: its name in the vehicle's file.
        x: where its fasteners lie on average, aft, mm.
        y: the same to the right, mm.
        own: of the rack's own mass, kg; negative where the rack would lift off.
        load: of `LOAD` in the middle of the floor, or of the bars that carry instead, kg.
    """

    mount: str
    x: float
    y: float
    own: float
    load: float


@dataclass(frozen=True)
class Lift:
    """What two people carry, one at each end.

    Attributes:
        what: what is lifted, in words.
        mass: kg.
        front: on whoever holds it at the front, kg.
        rear: on the other, kg.
    """

    what: str
    mass: float
    front: float
    rear: float


@dataclass(frozen=True)
class Carried:
    """Shares, lifts and heights.

    Attributes:
        mounts: as in the vehicle's file, front before rear; empty when they do not hold the rack level.
        lifts: basket alone, and the whole rack.
        top: highest point above where the vehicle's file has z 0, mm.
        above_roof: the same above the highest measured place of the roof under the rack, mm; None when there is none.
        centre_above_roof: height of the centre of mass above that place, mm.
        finish: mass of the coating, kg.
        weld: mass of weld metal, kg.
        finished: parts, coating and weld metal, kg.
    """

    mounts: tuple[MountShare, ...]
    lifts: tuple[Lift, ...]
    top: float
    above_roof: float | None
    centre_above_roof: float | None
    finish: float
    weld: float
    finished: float


def reactions(places: Sequence[tuple[float, float]], at: tuple[float, float], load: float) -> tuple[float, ...]:
    """Return the upright force on each support under a load: they sum to it and their moments balance its own.

    Supports give way equally under a rigid body. Of all forces in balance these have the least sum of squares.

    Args:
        places: of the supports, x and y.
        at: where the load hangs.
        load: its size, in whatever unit.

    Returns:
        A force each; none when no forces balance the load, as on supports in one line beside it.
    """
    if not places:
        return ()
    system = np.array([(1.0, x, y) for x, y in places]).T
    wanted = load * np.array([1.0, *at])
    found, *_ = np.linalg.lstsq(system, wanted, rcond=None)
    scale = np.array([1.0, *np.maximum(np.abs(system[1:]).max(axis=1), 1.0)]) * abs(load)
    if (np.abs(system @ found - wanted) > 1e-6 * scale).any():
        return ()
    return tuple(float(f) for f in found)


def split(front: float, rear: float, at: float, mass: float) -> tuple[float, float]:
    """Return what hangs on a front and a rear hand under a mass at `at` between them.

    Raises:
        ValueError: both hands are at one place.
    """
    if abs(rear - front) < 1e-9:
        raise ValueError("two people lift at two places")
    share = (rear - at) / (rear - front)
    return mass * share, mass * (1 - share)


def carried(rack: Rack, vehicle: Vehicle, finish: float, weld: float) -> Carried:
    """Return shares, lifts and heights of a rack on its vehicle.

    Args:
        rack: the rack.
        vehicle: what it stands on.
        finish: mass of its coating, kg.
        weld: mass of its weld metal, kg.
    """
    mass, centre = _mass(rack.placed)
    basket = [p for p in rack.placed if p.id.startswith("basket.") and not isinstance(p.part, Bought)]
    lifts = [lift for lift in (_lift("basket alone", basket), _lift("whole rack", rack.placed)) if lift is not None]
    high, roof = top(rack), roof_under(rack, vehicle)
    return Carried(
        _mounts(rack, vehicle, mass, centre),
        tuple(lifts),
        high,
        None if roof is None else high - roof,
        None if roof is None else float(centre[2]) - roof,
        finish,
        weld,
        mass + weld + finish,
    )


def top(rack: Rack) -> float:
    """Return the height of the highest point of what is made, vehicle frame, mm: slats lie on their tubes."""
    return max(_top(p) for p in rack.placed if not isinstance(p.part, Bought))


def _top(one: Placed) -> float:
    if isinstance(one.part, BentTube):
        return _highest(one) + one.part.section.od / 2
    return float(one.frame.points(triangles(one.part).vertices)[:, 2].max())


def _highest(placed: Placed) -> float:
    """Return the height of the highest point of a tube's axis, mm."""
    assert isinstance(placed.part, BentTube)
    line = placed.part.spine
    ends = [end_frame(placed, end)[0].origin[2] for end in ("A", "B")]
    bends = [
        placed.frame.point(spine.frame_at(line, piece.start + share * piece.length).origin)[2]
        for piece in spine.pieces(line)
        if piece.bend is not None
        for share in np.linspace(0.0, 1.0, 13).tolist()
    ]
    return max(*ends, *bends)


def _mass(placed: Iterable[Placed]) -> tuple[float, Array]:
    """Return the mass of parts, kg, and their centre of mass, vehicle frame, mm."""
    total, moment = 0.0, np.zeros(3)
    for one in placed:
        mass = measure.mass(one.part)
        total += mass
        moment += mass * np.asarray(one.frame.point(measure.centroid(one.part)))
    return total, moment / total if total else moment


def _mounts(rack: Rack, vehicle: Vehicle, mass: float, centre: Array) -> tuple[MountShare, ...]:
    names = [m.name for m in (*vehicle.foot_places, *vehicle.rear)]
    spots = [_fixed(rack, name) for name in names]
    names = [name for name, spot in zip(names, spots, strict=True) if spot is not None]
    places = [spot for spot in spots if spot is not None]
    middle = _floor(rack)
    own = reactions(places, (float(centre[0]), float(centre[1])), mass)
    load = reactions(places, middle, LOAD) if middle else tuple(0.0 for _ in places)
    if not own or not load:
        return ()
    return tuple(
        MountShare(name, x, y, o, w) for name, (x, y), o, w in zip(names, places, own, load, strict=True)
    )  # fmt: skip


def _fixed(rack: Rack, mount: str) -> tuple[float, float] | None:
    """Return the middle of a mount's fasteners in plan, or of its parts where it has none yet."""
    members = [p for p in rack.placed if p.id.startswith(f"mount.{mount}.")]
    fixing = [p for p in members if isinstance(p.part, Bought) and isinstance(p.part.shape, RivetShape | BoltShape)]
    points = [p.frame.origin if fixing else p.frame.point(measure.centroid(p.part)) for p in fixing or members]
    if not points:
        return None
    x, y, _ = np.mean(np.array(points), axis=0)
    return float(x), float(y)


def _floor(rack: Rack) -> tuple[float, float] | None:
    """Return the middle of the basket's floor in plan; of what carries instead where there is none."""
    floor = [p for p in rack.placed if p.id.startswith("basket.floor")]
    lower = [p for p in rack.placed if p.id.startswith("basket.lower.")]
    bars = [p for p in rack.placed if p.id.startswith(("frame.bar", "frame.bow", "frame.front", "frame.rear"))]
    total, moment = 0.0, np.zeros(3)
    for panel in floor or lower or bars:
        part = panel.part
        area = outline.area(part.outline) if isinstance(part, CutPlate) else measure.volume(part)
        total += area
        moment += area * np.asarray(panel.frame.point(measure.centroid(panel.part)))
    return (float(moment[0] / total), float(moment[1] / total)) if total else None


def _axes(placed: Iterable[Placed]) -> Array:
    """Return the corners of the tubes' axes, vehicle frame, shape (n, 3)."""
    found = [p.frame.points(spine.corners(p.part.spine)) for p in placed if isinstance(p.part, BentTube)]
    return np.concatenate(found) if found else np.zeros((0, 3))


def _lift(what: str, placed: Sequence[Placed]) -> Lift | None:
    """Return what two people lift who hold the foremost and the rearmost tube."""
    axes = _axes(placed)
    if not len(axes):
        return None
    low, high = float(axes[:, 0].min()), float(axes[:, 0].max())
    mass, centre = _mass(placed)
    return Lift(what, mass, *split(low, high, float(centre[0]), mass))


def roof_under(rack: Rack, vehicle: Vehicle) -> float | None:
    """Return the height of the highest measured place of the roof under the rack, mm."""
    axes = _axes(rack.placed)
    if not len(axes):
        return None
    low, high = axes.min(axis=0), axes.max(axis=0)
    step = np.arange(41) / 40
    xs, ys = low[0] + (high[0] - low[0]) * step, low[1] + (high[1] - low[1]) * step
    heights = vehicle.roof.height(xs[:, None], ys[None, :])
    return None if np.isnan(heights).all() else float(np.nanmax(heights))
