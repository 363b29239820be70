"""What `rackgen new` chooses: frame, feet, top and floor by what is carried, what a vehicle offers and a shop has."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, assert_never

from rackgen.design.choose import Choice, choose
from rackgen.design.foot_pairs import offered, pairs_of
from rackgen.design.plan_bows import plan_bows
from rackgen.design.rear import spanner_offset, strap_range
from rackgen.errors import BadInput, Mistake
from rackgen.geom import spine
from rackgen.spec.foot_place import FootKind, FrontMount, zone_of
from rackgen.spec.frames import FrameKind
from rackgen.spec.keepouts import Aerial, Box, Cylinder
from rackgen.spec.rack import BARS_ONLY, BasketWish, FrameWish, MountWish, RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Perforated
from rackgen.spec.tops import BasketKind, FloorKind, FloorWish
from rackgen.spec.vehicle import Vehicle
from rackgen.units import INCH

Load = Literal["gear", "crates", "tent", "ladders", "boats"]

LOADS: Mapping[Load, str] = {
    "gear": "loose gear: tools, bags, cans, rope",
    "crates": "crates and boxes of one size",
    "tent": "a roof tent, or boards that a person stands on",
    "ladders": "ladders, poles, pipes and timber",
    "boats": "boats and surfboards",
}
"""What a rack carries, and in words."""

TOPS: Mapping[Load, BasketKind] = {
    "gear": "basket",
    "crates": "tray",
    "tent": "deck",
    "ladders": "bars",
    "boats": "bars",
}
"""What lies on the frame for it: a rim to hold loose things, a low one for crates, none for what is strapped down."""

FLOORS: Mapping[BasketKind, tuple[FloorKind, ...]] = {
    "basket": ("expanded metal", "perforated sheet", "slats"),
    "tray": ("perforated sheet", "expanded metal", "slats"),
    "deck": ("slats",),
    "bars": ("none",),
}
"""Floors of a top: the first that a shop has stock for is taken."""

HEIGHT = 185.0
LOW_BED = 450.0
OVER_CAB = 75.0
PAST_FEET = 100.0
NARROWER = 60.0
OBSTACLE_GAP = 20.0
"""Height of a basket; of a bed frame over the rails for what stands on its bars, and over the cab's roof for what
reaches over it; how far a top reaches past the feet of a ladder or bed frame at each end; how much narrower a top is
made so that its floor comes out of one sheet; what is kept from an obstacle that states no gap; mm (common practice, no
source)."""

STEP: Mapping[str, float] = {"mm": 10.0, "in": INCH / 2}
"""Steps of sizes that are chosen, mm."""


@dataclass(frozen=True)
class Offer:
    """A frame that a vehicle can carry.

    Attributes:
        frame: its kind.
        feet: what its feet stand on; the front ones of a hoop.
        pairs: how many pairs of such feet there are.
    """

    frame: FrameKind
    feet: FootKind
    pairs: int


@dataclass(frozen=True)
class Sizes:
    """Sizes that were asked for, mm; None leaves them to the vehicle."""

    width: float | None = None
    length: float | None = None
    height: float | None = None


def offers(vehicle: Vehicle) -> tuple[Offer, ...]:
    """Return the frames that a vehicle can carry, what the maker of the vehicle put there before holes in its roof."""
    found = pairs_of(vehicle)
    order: tuple[FootKind, ...] = ("bed rail", "threads", "track", "gutter", "roof")
    corners = {math.copysign(1.0, m.at[1]) for m in vehicle.rear} == {-1.0, 1.0}
    out: list[Offer] = []
    for feet in order:
        n = sum(p.kind == feet for p in found)
        if n == 0:
            continue
        if feet == "bed rail":
            out += [Offer("bed", feet, n)] if n > 1 else []
            continue
        out += [Offer("ladder", feet, n)] if n > 1 else []
        out += [Offer("hoop", feet, n)] if corners else []
        out += [Offer("bows", feet, n)] if n > 1 else []
    return tuple(out)


def pick(
    vehicle: Vehicle, load: Load, frame: FrameKind | None, feet: FootKind | None, top: BasketKind | None
) -> tuple[Offer, BasketKind]:
    """Return the frame and what lies on it.

    Args:
        vehicle: what it stands on.
        load: what it carries.
        frame: a kind of frame, where one is asked for.
        feet: a kind of feet, where one is asked for.
        top: a kind of top, where one is asked for.

    Raises:
        BadInput: the vehicle cannot carry what is asked for; with what it offers instead.
    """
    found = offers(vehicle)
    has = f"{vehicle.name} has {offered(vehicle)}"
    if not found:
        raise BadInput([_mistake("vehicle", f"no frame stands there: {has}", vehicle.name)])
    wrong: list[Mistake] = []
    if frame is not None and not any(o.frame == frame for o in found):
        kinds = ", ".join(f'"{k}"' for k in dict.fromkeys(o.frame for o in found))
        wrong.append(_mistake("frame", f"{has}; it carries a frame of kind {kinds}", frame))
    if feet is not None and not any(o.feet == feet for o in found):
        wrong.append(_mistake("mounts", has, feet))
    if wrong:
        raise BadInput(wrong)
    fits = [o for o in found if frame in (None, o.frame) and feet in (None, o.feet)]
    if not fits:
        raise BadInput([_mistake("mounts", f"no {frame} frame stands on those: {has}", str(feet))])
    wanted = top or TOPS[load]
    best = _first(fits, wanted, load)
    if best is not None:
        return best, wanted
    if top is not None:
        said = "bows follow the crown, nothing lies on them" if frame == "bows" else "a hoop's legs carry no load alone"
        raise BadInput([_mistake("top", f"{said}; leave --top or --frame out", top)])
    # A vehicle that carries a hoop alone gets a flat deck for what would lie on bars; bows carry bars whatever is said.
    instead: BasketKind = "bars" if wanted != "bars" else "deck"
    best = _first(fits, instead, load)
    assert best is not None, "every frame carries bars or a deck"
    return best, instead


def _first(fits: Sequence[Offer], top: BasketKind, load: Load) -> Offer | None:
    """Return the frame that suits a top best."""
    if top == "bars":
        order: tuple[FrameKind, ...] = ("bows", "ladder", "bed") if load == "ladders" else ("ladder", "bed", "bows")
        # Bows are for gutters: plates and pads under single bows rock fore and aft.
        fits = [o for o in fits if o.frame != "bows" or o.feet == "gutter" or all(f.frame == "bows" for f in fits)]
    else:
        order = ("bed", "ladder", "hoop")
    ranked = [o for o in fits if o.frame in order]
    return min(ranked, key=lambda o: (o.feet == "roof" and o.frame == "ladder", order.index(o.frame)), default=None)


def wish(
    name: str, title: str, shop: tuple[str, Shop], vehicle: tuple[str, Vehicle], offer: Offer, top: BasketKind,
    load: Load, floor: FloorKind | None, sizes: Sizes,
) -> tuple[RackSpec, Choice]:  # fmt: skip
    """Return the rack that is wanted with its sizes, and the stock of every role.

    Args:
        name: of the rack.
        title: of the rack.
        shop: its preset's name, and the shop.
        vehicle: its preset's name, and the vehicle.
        offer: the frame and what it stands on.
        top: what lies on it.
        load: what it carries.
        floor: a kind of floor, where one is asked for.
        sizes: as asked for.

    Raises:
        BadInput: the shop has no stock for it, or a size was given that such a rack has not.
    """
    wrong: list[Mistake] = []
    if offer.frame == "bows":
        for key in ("width", "length"):
            if getattr(sizes, key) is not None:
                wrong.append(_mistake(key, "bows stand where the feet are, as wide as they are apart; leave it out"))
    if sizes.height is not None and top != "basket" and offer.frame != "bed":
        wrong.append(_mistake("height", "it is for a basket, or for a bed frame; leave it out"))
    kinds = _floors(top, floor, shop[1], wrong)
    if wrong:
        raise BadInput(wrong)
    unit = shop[1].unit
    step = STEP[unit]
    mounts = MountWish(front=None if offer.frame == "bed" else offer.feet)
    basket = BARS_ONLY if top == "bars" else BasketWish(1000.0, 1000.0, 0.0 if top != "basket" else HEIGHT, kind=top)
    start = RackSpec(name, title, shop[0], vehicle[0], basket, FrameWish(kind=offer.frame), mounts)
    start = replace(start, floor=FloorWish(kinds[0]))
    choice = choose(start, shop[1])
    frame = replace(start.frame, tube=choice.frame.name)
    if offer.frame == "bed":
        frame = replace(frame, height=sizes.height or _rounded(_bed_height(vehicle[1], top), step))
    if offer.frame == "bows":
        frame = replace(frame, ties=_ties(start, shop[1], vehicle[1], offer, choice, step))
    if top == "bars":
        if sizes.width is not None:
            frame = replace(frame, width=sizes.width)
        if sizes.length is not None:
            frame = replace(frame, length=sizes.length)
        return replace(start, frame=frame), choice
    widest = _rounded(2 * (_over(vehicle[1], offer, start, choice) - spanner_offset(choice)) + choice.ring_od, step)
    kind, width = _fitting(kinds, sizes.width, widest, shop[1], choice, step)
    start = replace(start, floor=FloorWish(kind))
    choice = choose(start, shop[1])
    length, forward = sizes.length, 0.0
    if length is not None and offer.frame in ("ladder", "bed"):
        # A half-length rack has a half-length frame, on the feet that lie under it.
        frame = replace(frame, length=length)
    if length is None:
        low, high = _free(vehicle[1], *_reach(vehicle[1], offer), width / 2)
        length = math.floor((high - low) / step + 1e-6) * step
        forward = _rounded(sum(_reach(vehicle[1], offer)) / 2 - (low + high) / 2, step)
    high = 0.0
    if top == "basket":
        given = None if offer.frame == "bed" else sizes.height
        high = _rounded(HEIGHT, step / 2) if given is None else given
    basket = replace(
        basket, width=width, length=length, height=high, ring_tube=choice.ring.name, bar_tube=choice.bar.name,
        floor=None if choice.floor is None else choice.floor.name, forward=forward,
    )  # fmt: skip
    return replace(start, frame=frame, basket=basket), choice


def _ties(
    start: RackSpec, shop: Shop, vehicle: Vehicle, offer: Offer, choice: Choice, step: float
) -> tuple[float, float]:
    """Return Y of two ties between bows: halfway out to the feet, or as near to that as bends and the roof let them.

    Without them nothing but the width of its feet keeps a bow from tipping fore and aft.
    """
    feet = [pair for pair in pairs_of(vehicle) if pair.kind == offer.feet]
    low, high, half = min(p.x for p in feet), max(p.x for p in feet), min(p.y for p in feet)
    room = choice.frame_od / 2
    taken = [
        (y0 - gap - room, y1 + gap + room)
        for x0, x1, y0, y1, gap in _standing(vehicle)
        if x1 + gap > low and x0 - gap < high
    ]
    taken += list(_bends(start, shop, vehicle, choice))
    tries = [_rounded(half * share / 100, step) for share in range(20, 86, 5)]
    free = [y for y in tries if not any(a < side * y < b for a, b in taken for side in (-1.0, 1.0))]
    y = min(free or tries, key=lambda t: (abs(t - half / 2), t))
    return -y, y


def _bends(start: RackSpec, shop: Shop, vehicle: Vehicle, choice: Choice) -> Iterator[tuple[float, float]]:
    """Yield from which Y to which a bow's bends leave no room for a tie: one diameter past their tangents."""
    sizes, _ = plan_bows(start, shop, vehicle, choice)
    for bow in sizes.bows:
        line, frame = spine.from_points(bow.points, choice.frame_die.clr)
        for piece in spine.pieces(line):
            if piece.bend is not None:
                ends = [frame.point(spine.frame_at(line, piece.start + at).origin)[1] for at in (0.0, piece.length)]
                yield min(ends) - choice.frame_od - 1.0, max(ends) + choice.frame_od + 1.0


def _floors(top: BasketKind, asked: FloorKind | None, shop: Shop, wrong: list[Mistake]) -> tuple[FloorKind, ...]:
    """Return the floors that a shop has stock for, the usual one first; the one that is asked for alone."""
    shelf: dict[FloorKind, bool] = {
        "expanded metal": bool(shop.meshes()), "perforated sheet": bool(shop.perforated()), "slats": True, "none": True,
    }  # fmt: skip
    fits: tuple[FloorKind, ...] = tuple(k for k in FLOORS[top] if shelf[k])
    if asked is None:
        return fits
    if asked not in (*FLOORS[top], "none") or (top == "deck" and asked == "none"):
        wrong.append(_mistake("floor", f"of a rack with {top} it is {' or '.join(FLOORS[top])}", asked))
    elif not shelf[asked]:
        wrong.append(_mistake("floor", f"{shop.name} has no stock for it; it has {', '.join(fits)}", asked))
    return (asked,)


def _fitting(
    kinds: tuple[FloorKind, ...], asked: float | None, widest: float, shop: Shop, choice: Choice, step: float
) -> tuple[FloorKind, float]:
    """Return the first floor whose sheet is wide enough, and the width: a little less where that saves the sheet.

    Args:
        kinds: of floor, the usual one first.
        asked: outside width that is asked for, or None.
        widest: outside width that suits the vehicle.
        shop: whose sheets.
        choice: of stock.
        step: of the width.
    """
    wide = widest if asked is None else asked
    for kind in kinds:
        sheets = {"expanded metal": shop.meshes(), "perforated sheet": shop.perforated()}.get(kind)
        if sheets is None:
            return kind, wide
        # A panel's edges end on the middles of the ring's sides.
        # Perforated sheet may lie across, its panels joined on bearers.
        most = max(s.length if isinstance(s, Perforated) else s.width for _, s in sheets) + choice.ring_od
        if wide <= most:
            return kind, wide
        if asked is None and wide - most <= NARROWER:
            return kind, math.floor(most / step) * step
    return kinds[-1], wide


def _free(vehicle: Vehicle, low: float, high: float, half: float) -> tuple[float, float]:
    """Return the longest stretch fore and aft that nothing stands in which is fixed on the roof, vehicle frame, mm.

    Args:
        vehicle: what stands there.
        low: where the stretch begins at most.
        high: where it ends at most.
        half: half its width.
    """
    taken = [(a - gap, b + gap) for a, b, y0, y1, gap in _standing(vehicle) if y0 - gap < half and y1 + gap > -half]
    cuts = sorted([low, *(min(max(c, low), high) for span in taken for c in span), high])
    free = [
        (a, b) for a, b in itertools.pairwise(cuts) if not any(x0 < (a + b) / 2 < x1 for x0, x1 in taken)
    ]  # fmt: skip
    return max(free, key=lambda f: f[1] - f[0], default=(low, high))


def _standing(vehicle: Vehicle) -> Iterator[tuple[float, float, float, float, float]]:
    """Yield what stands on a roof: X from and to, Y from and to, and the gap wanted, mm."""
    for o in vehicle.obstacles:
        yield o.low[0], o.high[0], o.low[1], o.high[1], OBSTACLE_GAP
    for thing in vehicle.keep_outs.fixed:
        match thing:
            case Box():
                a, b, r = thing.low, thing.high, 0.0
            case Cylinder():
                a, b, r = thing.start, thing.end, thing.radius
            case Aerial():
                a, b, r = thing.foot, thing.tip, thing.radius
            case _:
                assert_never(thing)
        (x0, x1), (y0, y1) = sorted((a[0], b[0])), sorted((a[1], b[1]))
        yield x0 - r, x1 + r, y0 - r, y1 + r, thing.gap
    panel = vehicle.keep_outs.opening_roof
    if panel is not None:
        xs, ys = [p[0] for p in panel.outline], [p[1] for p in panel.outline]
        back = panel.by if panel.path == "slide" else 0.0
        yield min(xs), max(xs) + back, min(ys), max(ys), panel.gap


def _over(vehicle: Vehicle, offer: Offer, spec: RackSpec, choice: Choice) -> float:
    """Return |Y| of the legs or rails that suits the vehicle best: over feet that cannot move, else over the straps."""
    feet = [p for pair in pairs_of(vehicle) if pair.kind == offer.feet for p in (pair.left, pair.right)]
    fixed = [abs(p.at[1]) for p in feet if not isinstance(p, FrontMount)]
    if offer.frame != "hoop":
        # A plate may stand inboard of its rail, under a cross bar: no wider than its zone lets it be.
        return min(fixed or [abs(p.at[1]) + zone_of(p)[1] for p in feet])
    low, high = zip(*(strap_range(m, spec, choice) for m in vehicle.rear), strict=True)
    wanted = fixed[0] if fixed else sum(abs(m.at[1]) for m in vehicle.rear) / len(vehicle.rear)
    return min(max(wanted, *low), *high)


def _reach(vehicle: Vehicle, offer: Offer) -> tuple[float, float]:
    """Return X from where to where a top reaches: over the feet and a little past them, or back to the rear corners."""
    xs = [pair.x for pair in pairs_of(vehicle) if pair.kind == offer.feet]
    if offer.frame == "hoop":
        return min(xs), min(m.at[0] for m in vehicle.rear)
    return min(xs) - PAST_FEET, max(xs) + PAST_FEET


def _bed_height(vehicle: Vehicle, top: BasketKind) -> float:
    """Return the height of a bed frame over its rails: under the cab's roof, or over it for what reaches over it."""
    if top != "bars":
        return LOW_BED
    rail = max(p.left.at[2] for p in pairs_of(vehicle) if p.kind == "bed rail")
    cab = max(max(s.zs) for s in vehicle.roof.sections)
    return cab - rail + OVER_CAB


def _rounded(mm: float, step: float) -> float:
    """Return a size on a step; nearest, for half a step is less than a foot's stub may lean."""
    return round(mm / step) * step


def _mistake(option: str, wanted: str, read: str = "") -> Mistake:
    return Mistake("rackgen new", f"--{option}", 0, read, wanted)
