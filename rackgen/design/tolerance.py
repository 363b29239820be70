"""How sure it is that the rack fits: every reading, cut, bend and weld a little off, many times over.

Parts are cut once, from the measured values. Each sample then gives every size a deviation of its own, normally
distributed, and the vehicle its true shape: as measured plus the error of every reading. The gaps follow from their
slopes about the rack as drawn, except that a body with more supports than three rests on other three each time, which
is worked out sample by sample; full samples, put together part by part, say how well that agrees.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from rackgen.design.as_made import Deviations, Source, part_sources
from rackgen.design.fit_up import Bench
from rackgen.design.rest import rest
from rackgen.design.roof_spots import bumped, counts, felt
from rackgen.design.settle import Settled, Truth, settle
from rackgen.geom.frame import Array
from rackgen.geom.surface import Roof
from rackgen.spec.spread import Spreads
from rackgen.spec.vehicle import Vehicle

SAMPLES = 2000
FULL = 50
SEED = 20_240
"""How many samples, how many of them put together part by part, and where their random numbers start."""

STEP = 0.25
"""How far a source is moved to find slopes, in spreads."""

DRY_FIT = 1.6
"""A joint that may come to stand open by more is left for the dry fit, mm (the most that is welded by wire feed on
2 mm and up: common practice, no source)."""

LEAST_RANGE = 0.05
"""A joint whose gaps spread less, mm, is left out when the two ways are compared."""

LEAST_SHARE = 0.02
"""A source with a smaller share of a joint's variance does not drive it."""

ROOF = ("crown", "drop")
"""Kinds of readings of the roof."""

RANGE = (2.5, 97.5)
"""Percentiles between which 95 % of the gaps lie."""


@dataclass(frozen=True)
class JointSpread:
    """How far one joint may stand open.

    Attributes:
        joint: its id, or "<plate id>.skin" for a mount plate on the roof.
        drawn: gap as drawn, mm.
        low: 2.5 % of the samples are below, mm.
        high: 2.5 % of the samples are above, mm.
        drivers: what drives it, most first, with its share of the variance of the point that varies most.
        dry_fit: whether it is left for the dry fit.
    """

    joint: str
    drawn: float
    low: float
    high: float
    drivers: tuple[tuple[Source, float], ...]
    dry_fit: bool


@dataclass(frozen=True)
class Study:
    """A tolerance study.

    Attributes:
        joints: of every joint, widest first.
        samples: how many.
        full: how many were put together part by part.
        off: the largest disagreement between the two ways over those, as a share of a joint's 95 % range; joints whose
            range is under 0.05 mm are left out.
        scatter: of a scan's points about the roof, mm; None where it was read with a tape.
    """

    joints: tuple[JointSpread, ...]
    samples: int
    full: int
    off: float
    scatter: float | None = None

    @property
    def dry_fit(self) -> tuple[str, ...]:
        """Ids of the joints left for the dry fit, sorted."""
        return tuple(sorted(j.joint for j in self.joints if j.dry_fit))


def sources(on: Bench, spreads: Spreads) -> tuple[Source, ...]:
    """Return everything that may be off: sizes of parts, pull of welds, readings of roof and rear faces.

    The heights of a roof out of a scan are off by what the scan's points scatter about it, not by a tape's reading.
    """
    read = spreads.tape if on.vehicle.roof_scatter is None else on.vehicle.roof_scatter
    out = list(part_sources(on.rack, spreads))
    out += [Source(j.id, "pull", 0, spreads.pull) for j in on.rack.joints if j.kind == "coped weld"]
    for i, section in enumerate(on.vehicle.roof.sections):
        out.append(Source("roof", "crown", i, read))
        out += [Source(f"roof.station[{i + 1}]", "drop", k, read) for k, y in enumerate(section.ys) if y != 0]
    for mount in on.vehicle.rear:
        out += [Source(mount.name, "face", 0, spreads.tape), Source(mount.name, "lean", 0, spreads.level)]
    return tuple(out)


def truth_of(vehicle: Vehicle, deviations: Deviations) -> Truth:
    """Return what the vehicle is when its readings are off: the reading plus its deviation."""
    crowns = {s.index: d for s, d in deviations.items() if s.kind == "crown"}
    drops = {(s.owner, s.index): d for s, d in deviations.items() if s.kind == "drop"}
    faces = {
        m.name: tuple(
            sum(d for s, d in deviations.items() if s.owner == m.name and s.kind == kind) for kind in ("face", "lean")
        )
        for m in vehicle.rear
    }
    roof: Callable[[ArrayLike, ArrayLike], Array] | None = None
    if crowns or drops:
        sections = tuple(
            replace(
                section,
                zs=tuple(
                    z + crowns.get(i, 0.0) + drops.get((f"roof.station[{i + 1}]", k), 0.0)
                    for k, z in enumerate(section.zs)
                ),
            )
            for i, section in enumerate(vehicle.roof.sections)
        )
        roof = Roof(sections, vehicle.roof.margin).height
    return Truth(roof, {name: (values[0], values[1]) for name, values in faces.items()})


def study(on: Bench, spreads: Spreads, *, samples: int = SAMPLES, full: int = FULL) -> Study:
    """Return the tolerance study of a rack.

    Args:
        on: the rack as drawn.
        spreads: standard deviations.
        samples: how many, at least `full`.
        full: how many of them are put together part by part as well.
    """
    inputs = sources(on, spreads)
    scatter = np.array([s.spread for s in inputs])
    drawn = np.random.default_rng(SEED).standard_normal((samples, len(inputs))) * scatter
    slopes = _Slopes(on, inputs)
    gaps = slopes.gaps(drawn)
    off = _disagreement(on, inputs, drawn[:full], gaps)
    joints = [
        JointSpread(
            name,
            float(slopes.as_drawn[name]),
            *(float(v) for v in np.percentile(values, RANGE)),
            drivers=slopes.drivers(name, scatter),
            dry_fit=bool(np.percentile(values, RANGE[1]) > DRY_FIT),
        )
        for name, values in gaps.items()
    ]
    return Study(tuple(sorted(joints, key=lambda j: (-j.high, j.joint))), samples, full, off, on.vehicle.roof_scatter)


class _Slopes:
    """The gaps' slopes about the rack as drawn."""

    def __init__(self, on: Bench, inputs: Sequence[Source]) -> None:
        still = (np.zeros(3), np.zeros(3))
        self.inputs = inputs
        scatter = on.vehicle.roof_scatter
        self.scanned = None if scatter is None else Source("roof", "scan", 0, scatter)
        self.base = settle(on, {}, Truth(), still)
        self.as_drawn = settle(on, {}, Truth()).gaps()
        start, aside = _all(self.base.off), _all(self.base.aside)
        before = _numbers(self.base)
        of_roof = self._of_roof(on, before, still)
        self.by_source: list[tuple[Array, ...]] = []
        self.curves: list[tuple[int, Array]] = []
        for source in inputs:
            if source in of_roof:
                self.by_source.append(of_roof[source])
                continue
            # What never scatters has a slope all the same.
            step = STEP * (source.spread or 1.0)
            after = _numbers(settle(on, *_given(on.vehicle, {source: step}), still))
            if source.unit == "mm":
                self.by_source.append(tuple((b - a) / step for a, b in zip(before, after, strict=True)))
                continue
            # A turn moves what is far off along an arc: its slope alone would not do.
            back = _numbers(settle(on, *_given(on.vehicle, {source: -step}), still))
            self.by_source.append(tuple((b - c) / (2 * step) for b, c in zip(after, back, strict=True)))
            self.curves.append((len(self.by_source) - 1, (after[0] + back[0] - 2 * before[0]) / step**2))
        self.nudged: list[tuple[Array, Array]] = []
        for k in range(6):
            size = 0.5 if k % 3 == 0 else 1e-3
            pose = np.zeros(6)
            pose[k] = size
            there = settle(on, {}, Truth(), (pose[:3], pose[3:]))
            self.nudged.append(((_all(there.off) - start) / size, (_all(there.aside) - aside) / size))

    def _of_roof(
        self, on: Bench, before: tuple[Array, ...], still: tuple[Array, Array]
    ) -> dict[Source, tuple[Array, ...]]:
        """Return the slopes of the roof's readings: of the places where the roof is felt, as each counts there."""
        readings = [s for s in self.inputs if s.kind in ROOF]
        roof, spots = on.vehicle.roof, felt(on)
        if not readings or not len(spots.x):
            return {}
        by_spot = [
            [(b - a) / STEP for a, b in zip(before, _numbers(settle(on, {}, higher, still)), strict=True)]
            for higher in (bumped(roof, spots, k, STEP) for k in range(len(spots.x)))
        ]
        count = counts(roof, spots, readings)
        every = [count @ np.stack(one) for one in zip(*by_spot, strict=True)]
        return {source: tuple(one[i] for one in every) for i, source in enumerate(readings)}

    def gaps(self, deviations: Array) -> dict[str, Array]:
        """Return the gap of every joint for samples of deviations, shape (samples, inputs), mm."""
        off, aside, frame, basket = (np.stack([s[k] for s in self.by_source]) for k in range(4))
        nudge = np.hstack(
            [
                rest(supports.points, supports.gaps + deviations @ slope)
                for supports, slope in ((self.base.frame, frame), (self.base.basket, basket))
            ]
        )
        all_off = _all(self.base.off) + deviations @ off + nudge @ np.stack([n[0] for n in self.nudged])
        for source, curve in self.curves:
            all_off += np.outer(deviations[:, source] ** 2 / 2, curve)
        all_aside = _all(self.base.aside) + deviations @ aside + nudge @ np.stack([n[1] for n in self.nudged])
        sides = {name: all_aside[:, part] for name, part in _parts(self.base.aside).items()}
        out: dict[str, Array] = {}
        for name, part in _parts(self.base.off).items():
            values = all_off[:, part]
            wide = np.maximum(values.max(axis=1), 0.0) - np.minimum(values.min(axis=1), 0.0)
            out[name] = np.maximum(wide, np.abs(sides[name]).max(axis=1)) if name in sides else wide
        return out

    def drivers(self, joint: str, scatter: Array) -> tuple[tuple[Source, float], ...]:
        """Return the three sources that drive a joint most, with their share of the variance of its worst point."""
        part = _parts(self.base.off)[joint]
        spread = np.stack([s[0][part] for s in self.by_source]) * scatter[:, None]
        total = (spread**2).sum(axis=0)
        worst = int(np.argmax(total))
        if total[worst] < 1e-8:
            return ()
        share = spread[:, worst] ** 2 / total[worst]
        shares: dict[Source, float] = {}
        for source, part in zip(self.inputs, share.tolist(), strict=True):
            # A scan has hundreds of readings, none of which drives anything by itself.
            under = self.scanned if self.scanned and source.kind in ROOF else source
            shares[under] = shares.get(under, 0.0) + part
        ranked = sorted(shares.items(), key=lambda pair: -round(pair[1], 6))
        return tuple((source, part) for source, part in ranked[:3] if part > LEAST_SHARE)


def _given(vehicle: Vehicle, deviations: Deviations) -> tuple[Deviations, Truth]:
    """Return deviations of the parts, and the truth that those of the readings make."""
    read = {*ROOF, "face", "lean"}
    return {s: d for s, d in deviations.items() if s.kind not in read}, truth_of(vehicle, deviations)


def whole(on: Bench, deviations: Deviations) -> Settled:
    """Return the rack put together part by part with deviations of parts, welds and readings."""
    return settle(on, *_given(on.vehicle, deviations))


def _disagreement(on: Bench, inputs: Sequence[Source], drawn: Array, gaps: Mapping[str, Array]) -> float:
    """Return the largest share of a joint's 95 % range by which 95 % of the full samples agree with its slopes."""
    found: dict[str, list[float]] = {name: [] for name in gaps}
    for row in drawn:
        for name, value in whole(on, dict(zip(inputs, row.tolist(), strict=True))).gaps().items():
            found[name].append(value)
    worst = 0.0
    for name, values in found.items():
        if not values:
            continue
        low, high = np.percentile(gaps[name], RANGE)
        if high - low >= LEAST_RANGE:
            apart = np.abs(np.array(values) - gaps[name][: len(values)])
            worst = max(worst, float(np.percentile(apart, 95) / (high - low)))
    return worst


def _numbers(found: Settled) -> tuple[Array, Array, Array, Array]:
    return _all(found.off), _all(found.aside), found.frame.gaps, found.basket.gaps


def _all(values: Mapping[str, Array]) -> Array:
    return np.concatenate(list(values.values())) if values else np.zeros(0)


def _parts(values: Mapping[str, Array]) -> dict[str, slice]:
    out: dict[str, slice] = {}
    at = 0
    for name, points in values.items():
        out[name] = slice(at, at + len(points))
        at += len(points)
    return out
