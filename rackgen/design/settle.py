"""Put a rack together as its parts were made, in fit-up order, on what really exists, and read every gap.

Parts are rigid. On the bench the frame grows from its hoop and the basket from its lower front hoop: each next part is
set into those that lie there so that its joints fit as well as they can together. At the vehicle mount plates lie on
the true roof, each saddle stands on its plate, and the frame is set down on the saddles, its rear on blocks of the
height that the legs have over the roof as drawn. Straps slide along their rear face to the legs. Bows are set each on
its own feet, ties in between. Last the basket is set on the legs. Where a body has more than three supports it rests on
three (`rest`), and the others stand open.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from rackgen.design.as_made import Deviations
from rackgen.design.contacts import Place, Touch, frame_of, place_of, touches
from rackgen.design.fit_up import Bench, FitUp, fit_up_order, moved
from rackgen.design.rest import Supports, mean_rest, rest
from rackgen.design.stands import STUBS
from rackgen.geom.frame import Array, Frame
from rackgen.parts.kinds import BentTube, Bought, CutPlate
from rackgen.parts.rack import Along, Joint, OnFace, PartId, Placed, Rack
from rackgen.spec.shop import BOW
from rackgen.spec.vehicle import Vehicle

Height = Callable[[ArrayLike, ArrayLike], Array]
"""Height of a roof above the datum's level at x and y, mm."""

LEANS = np.array([-20.0, -15.0])
LEANS.setflags(write=False)
"""From the middle of a body to where its weight counts, mm: a little to the front left, so that over two opposite
supports it rocks one way and not either."""


@dataclass(frozen=True)
class Truth:
    """What the vehicle really is, where it differs from what was measured.

    Attributes:
        roof: true height, or None where it is as measured.
        faces: by rear mount, how far its true face lies behind the measured one, mm, and how much more its top leans
            forward, degrees.
    """

    roof: Height | None = None
    faces: Mapping[str, tuple[float, float]] = field(default_factory=dict[str, tuple[float, float]])


@dataclass(frozen=True, eq=False)
class Settled:
    """A rack put together.

    Attributes:
        frames: where every part that sets a gap came to lie, vehicle frame.
        off: by joint, how far each point that should touch is off, mm: open positive, run into negative. The skin
            under a mount plate stands under "<plate's id>.skin", a point for every hole, against the plate as drawn.
        aside: by joint, how far butted tubes are out of line, mm.
        frame: the frame over its supports, as near to all of them as can be.
        basket: the basket over the legs, likewise.
    """

    frames: Mapping[PartId, Frame]
    off: Mapping[str, Array]
    aside: Mapping[str, Array]
    frame: Supports
    basket: Supports

    def gaps(self) -> dict[str, float]:
        """Return the gap of every joint, mm."""
        none = np.zeros(0)
        return {name: gap(values, self.aside.get(name, none)) for name, values in self.off.items()}


def gap(off: Array, aside: Array) -> float:
    """Return the widest opening of a joint once it runs into nothing, or how far out of line, the larger, mm.

    Args:
        off: of its points, mm.
        aside: of two butted axes, mm; empty for other joints.
    """
    wide = max(float(np.max(off)), 0.0) - min(float(np.min(off)), 0.0)
    return max([wide, *np.abs(aside).tolist()])


def bench(rack: Rack, vehicle: Vehicle, isolator: float) -> Bench:
    """Return what settling needs of a rack as drawn.

    Args:
        rack: as drawn.
        vehicle: as measured.
        isolator: between clamp pads and legs, mm.
    """
    placed = {p.id: p for p in rack.placed}
    found = touches(rack)
    of: dict[PartId, list[Touch]] = {p: [] for p in placed}
    for touch in found:
        of[touch.of.part].append(touch)
        of[touch.on.part].append(touch)
    local = {place: frame_of(placed[place.part].part, place) for t in found for place in (t.of, t.on)}
    by_part = {p: tuple(t) for p, t in of.items()}
    order = {members[0]: fit_up_order(placed, by_part, members, members[0]) for members in assemblies(rack)}
    drawn = Bench(rack, vehicle, isolator, found, placed, by_part, local, {}, order, (None,) * len(found), {})
    grown: dict[PartId, Mapping[PartId, Frame]] = {}
    off: list[Array | None] = [None] * len(found)
    for root in order:
        fit = FitUp(drawn, {})
        fit.grow(root)
        grown[root] = fit.frames
        for k, touch in enumerate(found):
            if touch.of.part in fit.frames and touch.on.part in fit.frames:
                off[k] = fit.read(touch)[0]
    middles = {members[0]: _middle(drawn, list(grown[members[0]])) for members in assemblies(rack)}
    return replace(drawn, grown=grown, off=tuple(off), middles=middles)


def assemblies(rack: Rack) -> tuple[list[PartId], ...]:
    """Return the parts of the frame and of the basket, each from its root on; what the rack lacks is left out."""
    found = ([p.id for p in rack.placed if p.id.startswith(prefix)] for prefix in ("frame.", "basket."))
    return tuple(members for members in found if members)


def settle(
    on: Bench, deviations: Deviations, truth: Truth, nudge: tuple[ArrayLike, ArrayLike] | None = None
) -> Settled:
    """Return the rack as it came together.

    Args:
        on: the rack as drawn.
        deviations: of parts and welds; those of readings on the vehicle belong into `truth`.
        truth: what the vehicle really is.
        nudge: rise and slopes by which frame and basket lie off their place nearest to all supports; None lets them
            rest on three supports each.
    """
    fit = FitUp(on, deviations)
    placed = on.rack.placed
    frame = [p.id for p in placed if p.id.startswith("frame.")]
    basket = [p.id for p in placed if p.id.startswith("basket.")]
    off = {f"{p.id}.skin": _lay_plate(fit, p, truth) for p in placed if p.word == "mount plate"}
    # Gutters, threads, tracks and bed rails were not read as a surface: what stands on them lies as drawn.
    fit.frames |= {p.id: p.frame for p in placed if _on_hard_points(p)}
    saddles = [p.id for p in placed if p.word in STUBS]
    for saddle in saddles:
        fit.add(saddle)
    bows = [p.id for p in placed if p.word == BOW]
    for members in assemblies(on.rack):
        if members[0] in bows:
            # Each bow is set on its own two feet; ties are set in between bows that stand.
            for part in (*bows, *(m for m in members if m not in bows)):
                fit.add(part)
        else:
            fit.grow(members[0])
    frame = [p for p in frame if p in fit.frames]
    basket = [p for p in basket if p in fit.frames]
    under_frame = _set_down(fit, frame, saddles, truth, None if nudge is None else nudge[0])
    for one in placed:
        if one.word == "rear strap":
            _slide_strap(fit, one, truth)
    for one in placed:
        if one.word in ("corner wrap", "packer") and fit.links(one.id):
            fit.add(one.id)
    under_basket = _seat_basket(fit, basket, None if nudge is None else nudge[1])
    aside: dict[str, Array] = {}
    for number, touch in enumerate(on.touches):
        if touch.of.part in fit.frames and touch.on.part in fit.frames:
            into = aside if touch.aside else off
            values = fit.off(number)
            into[touch.joint] = np.concatenate([into[touch.joint], values]) if touch.joint in into else values
    for joint, _, gap_there in _pads(fit):
        off[joint.id] = np.array([gap_there])
    return Settled(fit.frames, off, aside, under_frame, under_basket)


def higher(on: Bench, truth: Truth, x: Array, y: Array) -> Array:
    """Return how much higher the true roof is than the measured one, mm; beyond its ends as at its ends."""
    if truth.roof is None:
        return np.zeros(len(x))
    roof = on.vehicle.roof
    first, last = roof.sections[0].x, roof.sections[-1].x
    at = np.clip(x, first, last)
    side = roof.half_width(at, y)
    across = np.clip(y, -side, side)
    found = np.asarray(truth.roof(at, across)) - roof.height(at, across)
    return np.where(np.isfinite(found), found, 0.0)


def _on_hard_points(placed: Placed) -> bool:
    on_roof = (*STUBS, "mount plate", "rear strap", "corner wrap", "packer", "strap brace")
    return placed.id.startswith("mount.") and placed.word not in on_roof and not isinstance(placed.part, Bought)


def _lay_plate(fit: FitUp, placed: Placed, truth: Truth) -> Array:
    """Lay a mount plate on the true roof, least squares over its holes; return what is left at each, mm."""
    part = placed.part
    assert isinstance(part, CutPlate)
    holes = np.array([(h.x, h.y) for h in part.holes] or [(0.0, 0.0)])
    there = placed.frame.points(np.column_stack([holes, np.zeros(len(holes))]))
    up = higher(fit.on, truth, there[:, 0], there[:, 1]) * placed.frame.z[2]
    rise, along, across = mean_rest(Supports(holes, -up))
    left = rise + holes @ np.array([along, across]) - up
    fit.frames[placed.id] = _tipped(placed, (rise, along, across))
    return np.asarray(left, dtype=np.float64)


def _tipped(placed: Placed, pose: tuple[float, float, float]) -> Frame:
    """Return a plate's frame raised off its own plane and sloped along its own X and Y."""
    rise, along, across = pose
    f = placed.frame
    turned = np.asarray(f.x) * across - np.asarray(f.y) * along
    return moved(f, f.origin, np.concatenate([np.asarray(f.z) * rise, turned]))


def _posed(pose: ArrayLike) -> Array:
    """Return rise and slopes in x and y as a rigid move, vehicle frame."""
    rise, along, across = np.asarray(pose, dtype=float)
    return np.array([0.0, 0.0, rise, across, -along, 0.0])


def _set_down(
    fit: FitUp, frame: Sequence[PartId], saddles: Sequence[PartId], truth: Truth, nudge: ArrayLike | None
) -> Supports:
    """Set the frame on its saddles, and its rear on blocks of the height that its legs have over the roof as drawn."""
    if not frame:
        return Supports(np.zeros((0, 2)), np.zeros(0))
    members = set(frame)
    links = [t for t in fit.on.touches if t.of.part in saddles and t.on.part in members]
    blocks = over_straps(fit.on)
    centre = np.mean([fit.frames[p].origin for p in frame], axis=0)
    centre[:2] = fit.on.middles[frame[0]] + LEANS

    def supports() -> Supports:
        spots: list[Array] = []
        gaps: list[float] = []
        for touch in links:
            off, opens, points = fit.read(touch)
            # The frame is the header: it lowers as the saddle's points close upward.
            bears = np.maximum(opens[:, 2] * -1.0, 0.0) + 1e-6
            spots.append(np.average(points, axis=0, weights=bears)[:2] - centre[:2])
            gaps.append(float(np.average(off, weights=bears)))
        if blocks:
            now = np.array([fit.at(p).origin for p in blocks])
            drawn = np.array([fit.drawn(p).origin for p in blocks])
            up = higher(fit.on, truth, now[:, 0], now[:, 1])
            # The block under one leg is packed until both touch: the two count as one at their middle.
            spots.append(now.mean(axis=0)[:2] - centre[:2])
            gaps.append(float(np.mean(now[:, 2] - drawn[:, 2] - up)))
        return Supports(np.array(spots).reshape(-1, 2), np.array(gaps))

    for _ in range(2):
        found = supports()
        if not len(found.gaps):
            return found
        fit.move(frame, centre, _posed(mean_rest(found)))
        aside = fit.step(centre, members, links, 0.3)
        aside[2:5] = 0.0
        fit.move(frame, centre, aside)
    found = supports()
    pose = rest(found.points, found.gaps[None, :])[0] if nudge is None else nudge
    fit.move(frame, centre, _posed(pose))
    return found


def _middle(on: Bench, parts: Sequence[PartId]) -> Array:
    """Return the middle of a bench assembly as drawn, seen from above: near enough to where its weight counts."""
    mine = set(parts)
    spots = np.array([on.drawn(place).origin for t in on.touches for place in (t.of, t.on) if place.part in mine])
    return np.asarray((spots.min(axis=0) + spots.max(axis=0))[:2] / 2, dtype=np.float64)


def over_straps(on: Bench) -> list[Place]:
    """Return the places on the legs above the straps, where blocks hold the frame's rear."""
    out: list[Place] = []
    for joint in on.rack.joints:
        if isinstance(joint.b, Along) and on.placed[joint.a.part].word == "rear strap":
            leg = on.placed[joint.b.part]
            out.append(place_of(leg.part, leg.id, joint.b))
    return out


def _slide_strap(fit: FitUp, placed: Placed, truth: Truth) -> None:
    """Hold a strap against its true rear face, by its body flat, and slide it along until it meets the leg."""
    name = placed.id.split(".")[1]
    behind, lean = truth.faces.get(name, (0.0, 0.0))
    mount = next(m for m in fit.on.vehicle.rear if m.name == name)
    held = place_of(placed.part, placed.id, OnFace(placed.id, "bottom", 1e9, 0.0))
    fit.frames[placed.id] = placed.frame
    drawn = fit.drawn(held)
    now = fit.at(held)
    fit.frames[placed.id] = drawn.then(now.inverse()).then(placed.frame)
    face = np.concatenate([[behind, 0.0, 0.0], np.radians([0.0, -lean, 0.0])])
    fit.frames[placed.id] = moved(fit.frames[placed.id], mount.at, face)
    down = np.asarray(fit.at(held).x)
    links = fit.links(placed.id)
    for _ in range(2):
        along: list[Array] = []
        gaps: list[Array] = []
        for touch in links:
            off, opens, _ = fit.read(touch)
            along.append((opens @ down) * (1.0 if touch.of.part == placed.id else -1.0))
            gaps.append(off)
        if not links:
            return
        a, g = np.concatenate(along), np.concatenate(gaps)
        far = -float(a @ g) / max(float(a @ a), 1e-9)
        fit.move([placed.id], mount.at, np.concatenate([down * far, np.zeros(3)]))


def _pads(fit: FitUp) -> list[tuple[Joint, Array, float]]:
    """Return, for every clamp pad, its joint on the leg, where that is, and how far it stands off, mm."""
    out: list[tuple[Joint, Array, float]] = []
    for joint in fit.on.rack.joints:
        pad = joint.a.part.rsplit(".", 1)[0] + ".pad"
        if joint.kind != "contact" or not isinstance(joint.b, Along) or pad not in fit.frames:
            continue
        leg = fit.on.placed[joint.b.part]
        assert isinstance(leg.part, BentTube)
        if leg.id not in fit.frames:
            continue
        axis = np.asarray(fit.at(place_of(leg.part, leg.id, joint.b)).origin)
        plate = fit.frames[pad]
        off = float((np.asarray(plate.origin) - axis) @ np.asarray(plate.z))
        out.append((joint, axis, off - leg.part.section.od / 2 - fit.on.isolator))
    return out


def _seat_basket(fit: FitUp, basket: Sequence[PartId], nudge: ArrayLike | None) -> Supports:
    """Set the basket on the legs, where the frame came to lie."""
    empty = Supports(np.zeros((0, 2)), np.zeros(0))
    root = next((p for p in fit.frames if p.startswith("frame.")), None)
    if not basket or root is None:
        return empty
    # The basket goes along with the frame first.
    onward = fit.frames[root].then(fit.on.placed[root].frame.inverse())
    for part in basket:
        fit.frames[part] = onward.then(fit.frames[part])
    centre = np.mean([fit.frames[p].origin for p in basket], axis=0)
    centre[:2] = fit.on.middles[basket[0]] + LEANS

    def supports() -> Supports:
        found = _pads(fit)
        spots = np.array([axis[:2] - centre[:2] for _, axis, _ in found]).reshape(-1, 2)
        return Supports(spots, np.array([off for _, _, off in found]))

    for _ in range(2):
        found = supports()
        if not len(found.gaps):
            return found
        fit.move(basket, centre, _posed(mean_rest(found)))
    found = supports()
    pose = rest(found.points, found.gaps[None, :])[0] if nudge is None else nudge
    fit.move(basket, centre, _posed(pose))
    return found
