"""Where cross bars stand behind those over the front mounts."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from rackgen.design.choose import Choice
from rackgen.design.rear import RearEnd, axis_at
from rackgen.design.spread import bolt_room
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame
from rackgen.geom.surface import Roof
from rackgen.spec.rack import RackSpec

BAR_STEP = 10.0
LONGEST_OPEN = 1000.0
FROM_STRAP = 120.0
LANDING = 1.0
LEAST_OPEN = 3.0
BESIDE_STUB = 2.5
"""Step of cross bar places; longest stretch of frame without a cross bar; how far the last one may stand ahead of the
straps, mm; in diameters of the tube, a landing's distance from a bend's tangent, the least distance of two bars, and
a bar's from a stub's under a leg (common practice, no source)."""

FURTHEST_ASIDE = 150.0
"""How far a bar between two others moves aside at most, mm (common practice, no source)."""

Ends = tuple[RearEnd, RearEnd]


@dataclass(frozen=True)
class Taken:
    """What cross bars keep clear of.

    Attributes:
        stubs: X of stubs that stand right under the legs, rack frame, mm.
        bolts: X of U-bolts placed by hand.
    """

    stubs: tuple[float, ...] = ()
    bolts: tuple[float, ...] = ()

    def clear(self, x: float, choice: Choice) -> bool:
        """Return whether a bar at X of the rack's frame, mm, clears all of them."""
        return all(abs(x - s) >= BESIDE_STUB * choice.frame_od for s in self.stubs) and all(
            abs(x - b) >= bolt_room(choice) for b in self.bolts
        )


def bar_choices(
    spec: RackSpec,
    choice: Choice,
    roof: Roof,
    rack: Frame,
    bars: tuple[float, ...],
    rear: Ends,
    taken: Taken,
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
        taken: what stands on the legs already.
    """
    if spec.frame.cross_bars is not None:
        yield bars
        return
    od = choice.frame_od
    nearest = math.floor((straps_at(rear) - od) / BAR_STEP + 1e-6) * BAR_STEP
    first = max(bars, default=0.0) + LEAST_OPEN * od
    if bars and nearest < first:
        # The last bar over a foot ties the legs at the straps as well.
        yield _filled(bars[:-1], bars[-1], choice, rear, taken)
        return
    none = True
    for x in np.arange(nearest, first, -BAR_STEP).tolist():
        if free(x, spec, choice, roof, rack, rear) and taken.clear(x, choice):
            none = False
            yield _filled(bars, x, choice, rear, taken)
    if none:
        yield _filled(bars, nearest, choice, rear, taken)


def _filled(bars: tuple[float, ...], last: float, choice: Choice, rear: Ends, taken: Taken) -> tuple[float, ...]:
    out: list[float] = []
    for a, b in itertools.pairwise((*(bars or (0.0,)), last)):
        between = math.ceil((b - a) / LONGEST_OPEN) - 1
        even = [round((a + (b - a) * k / (between + 1)) / BAR_STEP) * BAR_STEP for k in range(1, between + 1)]
        out += [_aside(x, choice, rear, taken) for x in even]
    return tuple(sorted((*bars, *out, last)))


def _aside(x: float, choice: Choice, rear: Ends, taken: Taken) -> float:
    """Return the place nearest to X that is clear of what is there already, X itself where none is near."""
    steps = range(int(FURTHEST_ASIDE // BAR_STEP) + 1)
    tries = (x + way * BAR_STEP * k for k in steps for way in (1.0, -1.0))
    return next((t for t in tries if taken.clear(t, choice) and off_drops(t, choice, rear)), x)


def free(x: float, spec: RackSpec, choice: Choice, roof: Roof, rack: Frame, rear: Ends) -> bool:
    """Return whether a cross bar at X of the rack's frame keeps off the legs' drop bends and clears the roof."""
    if not off_drops(x, choice, rear):
        return False
    a, b = (np.asarray(axis_at(rack, end.y, end.drop, x)) for end in rear)
    axis = a + np.linspace(0.0, 1.0, 61)[:, None] * (b - a)
    return float(roof.gap(axis).min()) >= choice.frame_od / 2 + spec.gaps.tube


def off_drops(x: float, choice: Choice, rear: Ends) -> bool:
    """Return whether a cross bar at X of the rack's frame keeps off the legs' drop bends."""
    clear = LANDING * choice.frame_od
    return all(e.drop is None or not e.flat_to - clear < x < e.drop_to + clear for e in rear)


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
