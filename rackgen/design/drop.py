"""Whether the legs get a drop bend, where and how steep: alike on both sides, so that the frame stays level across."""

from __future__ import annotations

import bisect
import math
from collections.abc import Callable

import numpy as np

from rackgen.design.choose import Choice, bar_width, thickness
from rackgen.design.hoop import Drop
from rackgen.design.rear import RearEnd
from rackgen.design.seat import round_up
from rackgen.errors import Finding, Level
from rackgen.geom.surface import Roof
from rackgen.spec.rack import RackSpec

DROP_FROM = 80.0
DROP_TO = 54.0
DROP_STEP = 5.0
DROP_ANGLE = 0.5
LEAST_FALL = 10.0
STEEPEST = 45.0
UNDER_BASKET = 0.25
SAMPLE = 20.0
"""A leg's height over the roof from which it gets a drop bend, and the least height it drops to; step of the bend's
place, mm, and of its angle, degrees; the least fall worth a bend, mm; the steepest bend, degrees; how much of the
basket's length may reach beyond the bend (common practice, no source); spacing of the places looked at, mm."""

Ends = tuple[RearEnd, RearEnd]


def drop_bend(
    spec: RackSpec,
    choice: Choice,
    roof: Roof,
    straight: Ends,
    basket_rear: float,
    stood: float,
    ends: Callable[[Drop], Ends],
) -> tuple[Drop | None, tuple[Finding, ...]]:
    """Return the drop bend of both legs, or None, and a finding where one was asked for and would be none.

    Args:
        spec: says what is wanted of the legs.
        choice: of stock.
        roof: the vehicle's roof.
        straight: both rear ends without a drop.
        basket_rear: X of the basket's rear end, rack frame, and what room is wanted behind the clamps besides, mm.
        stood: X up to which the legs stay flat for what stands on feet, mm.
        ends: both rear ends with a drop.
    """
    wish = spec.frame.leg
    heights = [end.above_roof for end in straight if math.isfinite(end.above_roof)]
    if wish == "drop" and not heights:
        return None, (_unknown(straight),)
    if wish in ("straight", "tail") or not heights or (wish == "auto" and max(heights) <= DROP_FROM):
        return None, ()
    clr = choice.frame_die.clr
    start = max(basket_rear - UNDER_BASKET * spec.basket.length, 2 * clr, stood)

    def bend(step: int) -> Drop:
        """Return a bend that begins behind the clamps, whatever its angle."""
        angle = step * DROP_ANGLE
        return Drop(round_up(start + clr * math.tan(math.radians(angle) / 2), DROP_STEP), angle)

    def too_steep(step: int) -> bool:
        dropped = ends(bend(step))
        low = min(end.above_roof for end in dropped) < DROP_TO
        back = clr * math.tan(math.radians(step * DROP_ANGLE) / 2)
        # The strap lies under the last straight, behind the bend.
        low = low or any(end.strap_front < back for end in dropped)
        return low or not all(clears(end, roof, spec, choice) for end in dropped)

    steps = range(1, round(STEEPEST / DROP_ANGLE) + 1)
    best = bisect.bisect_left(steps, True, key=too_steep)
    lowest = min(heights)
    if best and lowest - min(end.above_roof for end in ends(bend(best))) >= LEAST_FALL:
        return bend(best), ()
    return None, (_needless(lowest),) if wish == "drop" else ()


def clears(end: RearEnd, roof: Roof, spec: RackSpec, choice: Choice) -> bool:
    """Return whether the last straight of a leg and the strap's top flat under it keep the wanted gap to the roof."""
    tube, strap = choice.frame_od / 2, thickness(choice.strap)
    along = np.append(np.arange(0.0, end.end, SAMPLE), end.end)
    leg = np.column_stack([along, np.zeros_like(along), np.full_like(along, -tube)])
    x, y = np.meshgrid(np.linspace(end.strap_front, end.fold_begin, 7), (-bar_width(choice.strap) / 2, 0.0,
                                                                         bar_width(choice.strap) / 2))  # fmt: skip
    flat = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, -tube - strap)])
    return float(roof.gap(end.leg.points(np.concatenate([leg, flat]))).min()) >= spec.gaps.tube


def standing_high(ends: Ends) -> tuple[Finding, ...]:
    """Return a look for each leg that stands so high over the roof that its strap is long and weak sideways."""
    return tuple(
        Finding(
            "leg-high",
            Level.LOOK,
            (f"mount.{end.mount.name}.strap",),
            f"the leg at {end.mount.name} stands {end.above_roof:.0f} mm over the roof; over {DROP_FROM:.0f} mm its "
            "strap is long and gives sideways",
            at=end.leg.point((end.fold_begin, 0.0, 0.0)),
            got=end.above_roof,
            limit=DROP_FROM,
            keys=("frame.leg", "frame.rake"),
            help='set frame.leg to "drop", or rake the frame with the roof',
        )
        for end in ends
        if math.isfinite(end.above_roof) and end.above_roof > DROP_FROM + LEAST_FALL
    )


def _unknown(ends: Ends) -> Finding:
    return Finding(
        "drop-unknown",
        Level.LOOK,
        ("frame.hoop",),
        "a drop bend was asked for, and how high the legs stand over the roof is not known: their ends lie beside what "
        "was measured of it; they were left straight",
        at=ends[0].leg.point((ends[0].fold_begin, 0.0, 0.0)),
        keys=("frame.leg", "roof.station.half_width"),
        help='measure the roof out to the rear corners, or set frame.leg to "straight"',
    )


def _needless(lowest: float) -> Finding:
    return Finding(
        "drop-needless",
        Level.LOOK,
        ("frame.hoop",),
        f"a drop bend was asked for; straight, the lower leg stands {lowest:.0f} mm over the roof, and a leg drops to "
        f"{DROP_TO:.0f} mm: it was left straight",
        got=lowest,
        limit=DROP_TO + LEAST_FALL,
        keys=("frame.leg",),
        help='set frame.leg to "straight" or "auto"',
    )
