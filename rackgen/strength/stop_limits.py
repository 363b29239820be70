"""Fore-aft stops: the only thing that holds the basket lengthways, for friction under U-bolts does not count.

The frame takes each stop as holding both ways; a stop bears only on what comes against it. So what all stops of one
side hold together is laid on those that are pressed, and none is taken for less pressed than the frame has it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from rackgen.errors import RackgenError
from rackgen.geom.frame import Array
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar
from rackgen.parts.rack import Placed, Rack
from rackgen.refs.strengths import strength_of, weakest
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel, axes
from rackgen.strength.weld_limits import STOP, Welded, limits_of, welded

OMEGA_BENDING = 1.67
OMEGA_PRESSING = 2.0
"""Factors of safety of a bar in bending (AISC 360 F1) and of faces that bear on each other (J7)."""


@dataclass(frozen=True, eq=False)
class Stop:
    """A fore-aft stop of a frame.

    Attributes:
        member: number of its member in the model.
        placed: the stop.
        pad: what comes against it.
        side: what it shares its load with.
        way: from it toward the pad, vehicle frame.
        at: where the pad comes against it, vehicle frame, mm.
        weld: of the stop to the leg.
        lever: from the leg's wall to `at`, mm.
    """

    member: int
    placed: Placed
    pad: Placed
    side: str
    way: Array
    at: Array
    weld: Welded
    lever: float


def stop_limits(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of fore-aft stops: bending over their weld, their weld, and the pad's edge on them.

    Raises:
        RackgenError: a grade is not known.
    """
    stops = stops_of(model, rack, shop)
    if not stops:
        return ()
    shelf = {s.name: s for s in shop.stock}
    bars = [s.placed.part for s in stops]
    assert all(isinstance(b, FoldedBar) for b in bars)
    bends: list[float] = []
    bears: list[float] = []
    tags: list[str] = []
    for stop in stops:
        bar, pad = stop.placed.part, stop.pad.part
        assert isinstance(bar, FoldedBar)
        assert not isinstance(pad, Bought)
        strong = [strength_of(shelf.get(p.stock.name, p.stock)) for p in (bar, pad)]
        # What is welded of its length bends, and what the load spreads to on its way down.
        wide = min(sum(bar.flats), stop.weld.line.length / 2 + 2 * stop.lever)
        plastic = wide * bar.section.thickness**2 / 4
        bends.append(strong[0].welded_yield * plastic / max(stop.lever, 0.1))
        thick = pad.thickness if isinstance(pad, CutPlate) else bar.section.thickness
        bears.append(1.8 * min(s.yield_ for s in strong) * sum(bar.flats) * thick)
        tags += [s.tag for s in strong]
    tag = weakest(tags)
    return (
        Limit("stop-bending", "Fore-aft stops: bending over their weld", OMEGA_BENDING, "yield strength",
              "AISC 360 F11", tag, tuple(_spot(s, f"{f:.0f} N") for s, f in zip(stops, bends, strict=True)),
              _use(stops, np.array(bends) / OMEGA_BENDING)),
        Limit("stop-bearing", "Fore-aft stops: the pad's edge on them", OMEGA_PRESSING, "yield strength",
              "AISC 360 J7", tag, tuple(_spot(s, f"{f:.0f} N") for s, f in zip(stops, bears, strict=True)),
              _use(stops, np.array(bears) / OMEGA_PRESSING)),
        *limits_of([s.weld for s in stops], "fore-aft stops", lambda loaded: _per_length(stops, loaded)),
    )  # fmt: skip


def stops_of(model: FrameModel, rack: Rack, shop: Shop) -> tuple[Stop, ...]:
    """Return the fore-aft stops of a frame, in the order of its members.

    Raises:
        RackgenError: a grade is not known, or a stop stands off its leg.
    """
    members = {p.id: p for p in rack.placed}
    joints = {j.id: j for j in rack.joints}
    at = {n.id: n.at for n in model.nodes}
    found = [
        (i, m)
        for i, m in enumerate(model.members)
        if m.kind == "clamp" and m.part in members and members[m.part].word == STOP
    ]
    welds = {p.id: w for w in (welded(model, rack, shop) if found else ()) for p in w.parts if p.word == STOP}
    out: list[Stop] = []
    for i, m in found:
        if m.part not in welds:
            raise RackgenError(f"{members[m.part].word} {m.part} has no weld on a leg: it holds nothing there")
        joint, placed, weld = joints[m.joint], members[m.part], welds[m.part]
        pad = members[joint.b.part if joint.a.part == m.part else joint.a.part]
        leg = next(p for p in weld.parts if p.id != m.part)
        here = np.asarray(at[m.a])
        foot = weld.through[0].at
        half = leg.part.section.od / 2 if isinstance(leg.part, BentTube) else 0.0
        lever = max(float(np.linalg.norm(here - foot)) - half, 0.0)
        out.append(Stop(i, placed, pad, m.part.rpartition("[")[0], axes(at[m.a], at[m.b], m.up)[0], here, weld, lever))
    return tuple(out)


def pressed(stops: tuple[Stop, ...], loaded: Loaded) -> Array:
    """Return what each stop is pressed with, N, shape (stops, cases)."""
    own = np.stack([-loaded.ends[s.member, 1, 0] for s in stops])
    out = np.maximum(own, 0.0)
    sides: dict[str, list[int]] = defaultdict(list)
    for i, stop in enumerate(stops):
        sides[stop.side].append(i)
    for side in sides.values():
        facing = np.array([np.sign(float(stops[i].way @ stops[side[0]].way)) for i in side])
        total = facing @ own[side]
        for sign in (1.0, -1.0):
            these = [i for i, f in zip(side, facing, strict=True) if f == sign]
            if these:
                out[these] = np.maximum(out[these], np.maximum(sign * total, 0.0) / len(these))
            else:
                # Nothing stands on that side of the pads: what is there holds both ways, as the frame has it.
                out[side] = np.maximum(out[side], np.maximum(sign * total, 0.0) / len(side))
    return out


def _use(stops: tuple[Stop, ...], allowed: Array) -> Callable[[Loaded], Array]:
    def use(loaded: Loaded) -> Array:
        return pressed(stops, loaded) / allowed[:, None]

    return use


def _per_length(stops: tuple[Stop, ...], loaded: Loaded) -> Array:
    out: list[Array] = []
    for stop, newtons in zip(stops, pressed(stops, loaded), strict=True):
        force = -stop.way[:, None] * newtons[None]
        arm = stop.at - stop.weld.line.centre
        out.append(stop.weld.line.most(force, np.asarray(np.cross(arm, force, axisb=0, axisc=0), dtype=np.float64)))
    return np.stack(out)


def _spot(stop: Stop, bears: str) -> Spot:
    x, y, z = (float(v) for v in stop.at)
    side = "left" if y < 0 else "right"
    return Spot(f"fore-aft stop on the {side}", (stop.placed.id, stop.pad.id), (x, y, z), bears)
