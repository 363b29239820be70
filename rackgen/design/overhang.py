"""What reaches beyond what carries it: bars beyond the legs, a basket beyond its frame, a frame off the roof."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rackgen.design.choose import Choice
from rackgen.design.rear import LegEnd
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame
from rackgen.geom.surface import Roof
from rackgen.spec.rack import RackSpec

LONGEST = 150.0
"""How far a basket may reach beyond the frame that carries it, and a frame beyond its feet, mm (common practice, no
source)."""


def overhangs(
    spec: RackSpec, choice: Choice, roof: Roof, rack: Frame, bars: tuple[float, ...], ends: Sequence[LegEnd],
    middle: float, leg: str = "frame.hoop",
) -> tuple[Finding, ...]:  # fmt: skip
    """Return what reaches too far; bars are X of the cross bars, middle is X of the basket's mid-length, rack frame."""
    reach = min(end.reach for end in ends)
    tube = choice.frame_od / 2
    out = [_bar_off(i, bar, reach - choice.frame_od) for i, bar in enumerate(bars) if bar > reach - choice.frame_od]
    half = spec.basket.length / 2
    lies = spec.basket.kind != "bars"
    for end, off in (("front", half - middle - tube), ("rear", middle + half - reach)):
        if lies and off > LONGEST:
            out.append(_basket_off(spec, end, off))
    ahead = roof.span()[0] - rack.point((-tube, 0.0, 0.0))[0]
    if ahead > 0:
        out.append(_roof_off(ahead, leg))
    return tuple(out)


def past_feet(leg_y: float, feet: Sequence[float], tube: float, leg: str) -> tuple[Finding, ...]:
    """Return that a frame's sides stick out past its feet; |Y| of the sides and of the feet, outside diameter, mm."""
    off = leg_y - max(feet, default=leg_y)
    if off <= LONGEST:
        return ()
    return (
        Finding(
            "sides-past-feet",
            Level.LOOK,
            (leg,),
            f"the frame's sides lie {off:.0f} mm outside its feet, on cross bars that stick out; {LONGEST:.0f} mm is "
            "usual",
            got=off,
            limit=LONGEST,
            keys=("frame.width", "basket.width"),
            help=f"make the frame {math.floor(2 * (leg_y - off + LONGEST) + tube)} mm wide or less",
        ),
    )


def _bar_off(number: int, at: float, most: float) -> Finding:
    return Finding(
        "bar-off-legs",
        Level.STOP,
        (f"frame.bar[{number + 1}]",),
        f"a cross bar at {at:.0f} mm finds no leg to land on; the legs let one land up to {most:.0f} mm",
        got=at,
        limit=most,
        keys=("frame.cross_bars",),
        help=f"place it at {math.floor(most)} mm or less aft of the front tube's axis",
    )


def _basket_off(spec: RackSpec, end: str, off: float) -> Finding:
    rails = ("basket.rail.left", "basket.rail.right")
    return Finding(
        "basket-overhangs",
        Level.LOOK,
        rails if spec.basket.kind == "deck" else (f"basket.lower.{end}",),
        f"the basket reaches {off:.0f} mm beyond the {end} of its frame; {LONGEST:.0f} mm is usual",
        got=off,
        limit=LONGEST,
        keys=("basket.length", "basket.forward"),
        help="shorten the basket, move it with basket.forward, or move the frame's front",
    )


def _roof_off(ahead: float, leg: str) -> Finding:
    return Finding(
        "off-the-roof",
        Level.LOOK,
        (leg,),
        f"the frame begins {ahead:.0f} mm ahead of the measured roof: what it clears there is not known",
        got=ahead,
        limit=0.0,
        keys=("frame.front",),
        help="move the front tube back, or measure a station further forward",
    )
