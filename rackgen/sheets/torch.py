"""Whether a torch gets at a weld: a nozzle laid to points along its beads, given the parts that are already on.

The nozzle is a cylinder, tried at 45 deg between the two faces, then leaned along the bead and steeper or flatter, as a
hand would. Parts are capsules and boxes, so a verdict within a millimetre of the line may go either way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array
from rackgen.parts.rack import PartId
from rackgen.sheets.capsules import Body, distance, near
from rackgen.sheets.weld_lines import Run

Bools = NDArray[np.bool_]

NOZZLE = 16.0
"""Outside diameter of the nozzle, mm."""

NEAREST = 20.0
REACH = 100.0
"""From the root of the weld along the nozzle: where its round front's middle is held (12 mm of wire stick out of it),
and how much of nozzle and neck has to find room; mm (common practice, no source)."""

STATION = 8.0
"""Spacing of the points along the nozzle at which room is looked for, mm."""

TOUCH = 0.75
"""The nozzle may come nearer than its own radius by so much, mm: parts are worn round by their capsules."""

LEANS = (0.0, 10.0, -10.0, 20.0, -20.0)
WORK = (0.0, -20.0, 20.0)
OPEN = (0.0, -30.0, 30.0, -45.0, 45.0)
"""Leans along the bead that are tried, and turns about it away from the middle between both faces; on an open face,
where there is no corner to look into, the turns of `OPEN`; degrees."""

ENOUGH = 0.85
"""Share of each bead that a nozzle has to reach (common practice, no source)."""

POINTS = 18
"""At most so many points along a bead are tried."""


@dataclass(frozen=True)
class Access:
    """How well a torch reaches a weld.

    Attributes:
        share: of the bead that is reached worst, 0 to 1.
        blockers: parts in the way that are not of the joint, most in the way first; empty where the joint's own two
            parts leave no room.
    """

    share: float
    blockers: tuple[PartId, ...]

    @property
    def enough(self) -> bool:
        """Whether the weld can be made."""
        return self.share >= ENOUGH - 1e-9


def access(runs: tuple[Run, ...], own: frozenset[PartId], bodies: Mapping[PartId, Body]) -> Access:
    """Return how well a nozzle reaches the beads of a joint.

    Args:
        runs: the beads.
        own: the two parts that are joined.
        bodies: of every part that is on when the joint is welded, its own two among them.
    """
    share, counts = 1.0, dict[PartId, int]()
    for run in runs:
        if run.bead <= 0:
            continue
        picked = np.unique(np.linspace(0, len(run.points) - 1, min(POINTS, len(run.points))).round().astype(int))
        points, middle = run.points[picked], _middle(run.one[picked], run.other[picked])
        along = run.along[picked]
        low, high = points.min(axis=0), points.max(axis=0)
        around: dict[PartId, Body] = {}
        for part, whole in bodies.items():
            close = near(whole, low - REACH, high + REACH, NOZZLE)
            if close is not None:
                around[part] = close
        reached = np.zeros(len(points), dtype=np.bool_)
        struck: list[dict[PartId, Bools]] = []
        flat = bool(np.all(np.einsum("ni,ni->n", run.one, run.other) > 0.99))
        for work in OPEN if flat else WORK:
            for lean in LEANS:
                todo = np.flatnonzero(~reached)
                if not len(todo):
                    break
                way = _leaned(middle[todo], along[todo], work, lean)
                hit = {k: np.zeros(len(points), dtype=np.bool_) for k in around}
                clear = np.ones(len(todo), dtype=np.bool_)
                for part, one in around.items():
                    bad = _strikes(points[todo], way, one)
                    hit[part][todo] = bad
                    clear &= ~bad
                reached[todo] = clear
                struck.append(hit)
        share = min(share, float(reached.mean()))
        for k in np.flatnonzero(~reached):
            for part in _in_the_way(struck, int(k), own):
                counts[part] = counts.get(part, 0) + 1
    return Access(share, tuple(sorted(counts, key=lambda p: (-counts[p], p))))


def _middle(one: Array, other: Array) -> Array:
    """Return the directions half way between two normals; the first where they are opposed."""
    both = one + other
    size = np.linalg.norm(both, axis=1, keepdims=True)
    return np.where(size > 0.1, both / np.maximum(size, 1e-9), one)


def _leaned(middle: Array, along: Array, work: float, lean: float) -> Array:
    aside = np.cross(along, middle)
    aside /= np.maximum(np.linalg.norm(aside, axis=1, keepdims=True), 1e-9)
    w, a = np.radians(work), np.radians(lean)
    way = np.cos(w) * middle + np.sin(w) * aside
    return np.cos(a) * way + np.sin(a) * along


def _strikes(points: Array, ways: Array, one: Body) -> Bools:
    """Return for each nozzle whether it strikes a body."""
    s = np.arange(NEAREST, REACH + 1e-9, STATION)
    line = points[:, None, :] + s[None, :, None] * ways[:, None, :]
    gaps = distance(one, line.reshape(-1, 3)).reshape(len(points), len(s))
    return np.asarray((gaps < NOZZLE / 2 - TOUCH).any(axis=1), dtype=np.bool_)


def _in_the_way(struck: list[dict[PartId, Bools]], point: int, own: frozenset[PartId]) -> tuple[PartId, ...]:
    """Return what stands in the way of the best try at a point: the fewest parts, none of them the joint's own."""
    tries = [tuple(part for part, bad in hit.items() if bad[point]) for hit in struck]
    good = [t for t in tries if t and not own & set(t)]
    return min(good, key=lambda t: (len(t), t)) if good else ()
