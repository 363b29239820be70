"""Where cross bars stand behind those over the front mounts."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np

from rackgen.design.choose import Choice
from rackgen.design.rear import RearEnd, axis_at
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame
from rackgen.geom.surface import Roof
from rackgen.spec.rack import RackSpec

BAR_STEP = 10.0
LONGEST_OPEN = 1000.0
FROM_STRAP = 120.0
LANDING = 1.0
LEAST_OPEN = 3.0
"""Step of cross bar places; longest stretch of frame without a cross bar; how far the last one may stand ahead of the
straps, mm; in diameters of the tube, a landing's distance from a bend's tangent, and the least distance of two bars
(common practice, no source)."""

Ends = tuple[RearEnd, RearEnd]


def bar_choices(
    spec: RackSpec, choice: Choice, roof: Roof, rack: Frame, bars: tuple[float, ...], rear: Ends
) -> Iterator[tuple[float, ...]]:
    """Yield rows of cross bars, best first; at least one.

    A row is those over the front mounts, one ahead of the straps, and equally spaced ones where the frame would be too
    open between them. The last bar stands as near the straps as it clears the roof: a strongly crowned roof may keep it
    ahead of the legs' drop bends. Where it clears it nowhere, the one place is the nearest to the straps.

    Args:
        spec: for the wanted gap, and bars placed by hand, which are then the only row.
        choice: of stock.
        roof: the vehicle's roof.
        rack: the rack's frame in the vehicle frame.
        bars: X of the bars known so far.
        rear: both rear ends.
    """
    if spec.frame.cross_bars is not None:
        yield bars
        return
    od = choice.frame_od
    nearest = math.floor((straps_at(rear) - od) / BAR_STEP + 1e-6) * BAR_STEP
    tries = np.arange(nearest, max(bars, default=0.0) + LEAST_OPEN * od, -BAR_STEP)
    none = True
    for x in tries.tolist():
        if free(x, spec, choice, roof, rack, rear):
            none = False
            yield _filled(bars, x)
    if none:
        yield _filled(bars, nearest)


def _filled(bars: tuple[float, ...], last: float) -> tuple[float, ...]:
    out: list[float] = []
    for a, b in itertools.pairwise((*(bars or (0.0,)), last)):
        between = math.ceil((b - a) / LONGEST_OPEN) - 1
        out += [round((a + (b - a) * k / (between + 1)) / BAR_STEP) * BAR_STEP for k in range(1, between + 1)]
    return tuple(sorted((*bars, *out, last)))


def free(x: float, spec: RackSpec, choice: Choice, roof: Roof, rack: Frame, rear: Ends) -> bool:
    """Return whether a cross bar at X of the rack's frame keeps off the legs' drop bends and clears the roof."""
    od = choice.frame_od
    for end in rear:
        if end.drop is not None and end.flat_to - LANDING * od < x < end.drop_to + LANDING * od:
            return False
    a, b = (np.asarray(axis_at(rack, end.y, end.drop, x)) for end in rear)
    axis = a + np.linspace(0.0, 1.0, 61)[:, None] * (b - a)
    return float(roof.gap(axis).min()) >= od / 2 + spec.gaps.tube


def straps_at(rear: Ends) -> float:
    """Return X of the front edge of the foremost strap on the rack's frame, mm."""
    return min(
        end.strap_front if end.drop is None else end.drop.at + end.strap_front * math.cos(math.radians(end.drop.angle))
        for end in rear
    )


def untied(choice: Choice, bars: tuple[float, ...], rear: Ends) -> tuple[Finding, ...]:
    """Return a look where the last cross bar is too far from the straps to keep the legs from spreading."""
    off = straps_at(rear) - max(bars, default=0.0)
    limit = FROM_STRAP + choice.frame_od
    if off <= limit:
        return ()
    return (
        Finding(
            "legs-untied",
            Level.LOOK,
            ("frame.hoop",),
            f"the last cross bar is {off:.0f} mm ahead of the straps; within {limit:.0f} mm it keeps the legs from "
            "spreading",
            got=off,
            limit=limit,
            keys=("frame.cross_bars",),
            help="put a cross bar nearer the straps, as far as it clears the roof",
        ),
    )
