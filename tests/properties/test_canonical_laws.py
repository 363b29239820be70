"""Equal parts have one description, whichever way they were described; unequal ones keep apart."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given

from rackgen.geom import cope, outline, spine
from rackgen.geom.frame import Array, clock_direction
from rackgen.parts import measure
from rackgen.parts.canonical import canonical, handed, mirror
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar, Part
from tests.strategies import bent_tubes, clocks, cut_plates, folded_bars, parts


def landmarks(part: Part) -> Array:
    """Return points that pin a part in its own frame: places on its surface, its holes, its ends' curves."""
    points: list[Array] = []
    if isinstance(part, BentTube):
        total, outer = spine.length(part.spine), part.section.od / 2
        for end, at, inward in ((part.end_a, 0.0, 1.0), (part.end_b, total, -1.0)):
            frame = spine.frame_at(part.spine, at)
            for clock in range(0, 360, 15):
                h = float(cope.heights(end, outer, clock))
                points.append(frame.points(clock_direction(clock) * outer + np.array([inward * h, 0, 0])))
        for hole in part.holes:
            points.append(spine.frame_at(part.spine, hole.at).points(clock_direction(hole.clock) * outer))
    return np.array(points)


@given(parts)
def test_canonical_is_idempotent(part: Part) -> None:
    """The canonical description of a canonical description is itself, where it stands."""
    once, _ = canonical(part)
    twice, frame = canonical(once)
    assert twice == once
    assert np.allclose(frame.matrix(), np.eye(4), atol=2e-3) or canonical(twice)[0] == once


@given(parts)
def test_canonical_keeps_volume_and_centroid(part: Part) -> None:
    """Only the description changes: volume and centroid are where they were."""
    once, frame = canonical(part)
    assert measure.volume(once) == pytest.approx(measure.volume(part), rel=2e-4)
    assert np.allclose(frame.point(measure.centroid(once)), measure.centroid(part), atol=0.02)


@given(bent_tubes())
def test_canonical_tube_stands_where_it_stood(part: BentTube) -> None:
    """Curves and holes of the canonical tube, put in place, lie where the described ones did."""
    once, frame = canonical(part)
    mine, theirs, most = landmarks(part), frame.points(landmarks(once)), _shifted(part)
    for point in theirs[48:]:
        assert np.linalg.norm(mine[48:] - point, axis=1).min() < most
    for point in theirs[:48:7]:
        # The clocks may run the other way, so compare with the curve drawn densely.
        assert _distance_to_ends(part, point) < most


def _shifted(part: BentTube) -> float:
    """Return how far rounding to 0.001 mm and degrees may move the far end, mm: half a step for each number.

    A straight tube keeps within 0.01; an angle or a turn swings all that follows, 0.009 mm for each metre of it.
    """
    angles = max(0, 2 * len(part.spine.bends) - 1)
    return 0.01 + np.radians(0.0005) * spine.length(part.spine) * angles


def _distance_to_ends(part: BentTube, point: Array) -> float:
    outer, best = part.section.od / 2, np.inf
    for end, at, inward in ((part.end_a, 0.0, 1.0), (part.end_b, spine.length(part.spine), -1.0)):
        frame, clock = spine.frame_at(part.spine, at), np.arange(0, 360, 0.25)
        # A cope as wide as its header comes to a corner, which chords between clocks of 0.25 deg cut by 0.05 mm:
        # drawn again finely where the coarse curve is nearest.
        for finer in (0.0, 0.25):
            h = cope.heights(end, outer, clock)
            rim = frame.points(clock_direction(clock) * outer + np.stack([inward * h, 0 * h, 0 * h], axis=-1))
            a, b = (rim, np.roll(rim, -1, axis=0)) if not finer else (rim[:-1], rim[1:])
            along = np.clip(((point - a) * (b - a)).sum(1) / np.maximum(((b - a) ** 2).sum(1), 1e-12), 0, 1)
            off = np.linalg.norm(a + (b - a) * along[:, None] - point, axis=1)
            best = min(best, float(off.min()))
            clock = clock[int(off.argmin())] + np.linspace(-0.5, 0.75, 251)
    return best


@given(bent_tubes(), clocks)
def test_rolled_and_reversed_tubes_are_equal(part: BentTube, roll: float) -> None:
    """A tube described from its other end, or rolled if it is straight, has the same canonical description."""
    back, frame = spine.reverse(part.spine)
    total = spine.length(part.spine)

    def there(at: float, clock: float) -> float:
        out = frame.to_local_direction(spine.frame_at(part.spine, at).direction(clock_direction(clock)))
        local = spine.frame_at(back, total - at).to_local_direction(out)
        return float(np.degrees(np.arctan2(-local[1], local[2])) % 360)

    other = dataclasses.replace(
        part,
        spine=back,
        end_a=tuple(cope.turned(cope.mirrored(c), there(total, 0.0)) for c in part.end_b),
        end_b=tuple(cope.turned(cope.mirrored(c), there(0.0, 0.0)) for c in part.end_a),
        holes=tuple(dataclasses.replace(h, at=total - h.at, clock=there(h.at, h.clock)) for h in part.holes),
    )
    assert _close(canonical(other)[0], canonical(part)[0])


def _close(a: Part, b: Part) -> bool:
    """Return whether two descriptions agree but for the last digit of the grid."""

    def numbers(value: object) -> list[float]:
        if dataclasses.is_dataclass(value):
            return [n for f in dataclasses.fields(value) for n in numbers(getattr(value, f.name))]
        if isinstance(value, tuple):
            return [n for v in value for n in numbers(v)]
        return [float(value)] if isinstance(value, int | float) else []

    one, two = numbers(a), numbers(b)
    return len(one) == len(two) and all(
        min(abs(x - y), 360 - abs(x - y)) < 2.1e-3 for x, y in zip(one, two, strict=True)
    )


@given(parts)
def test_mirrored_parts_weigh_the_same_and_return(part: Part) -> None:
    """Left and right weigh the same, and the mirror image of the mirror image is the part."""
    assert measure.mass(mirror(part)) == pytest.approx(measure.mass(part), rel=1e-9)
    assert _close(canonical(mirror(mirror(part)))[0], canonical(part)[0])


@given(folded_bars() | cut_plates())
def test_parts_with_a_plane_of_symmetry_are_not_handed(part: FoldedBar | CutPlate) -> None:
    """A bar of plain folds without skew or holes, and a plate without breaks, turn over into their mirror image."""
    if isinstance(part, CutPlate):
        assert not handed(part)
    else:
        straight = dataclasses.replace(
            part,
            holes=(),
            folds=tuple(dataclasses.replace(f, far_radius=None) for f in part.folds),
            end_a=dataclasses.replace(part.end_a, skew=0.0),
            end_b=dataclasses.replace(part.end_b, skew=0.0),
        )
        assert not handed(straight)


def test_a_plate_turned_over_stands_right() -> None:
    """The frame of a canonical plate maps its holes back onto the described ones."""
    from rackgen.parts.kinds import PlateHole
    from rackgen.spec.stock import Sheet, Stock

    stock = Stock("4", Sheet(4, 1000, 2000), "steel", "S235", "bare")
    plate = CutPlate(stock, outline.rectangle(120, 100, 12, (30, 40)), (PlateHole(60, 70, 6.5), PlateHole(10, 20, 8)))
    flipped = mirror(plate)
    for one in (plate, flipped):
        assert isinstance(one, CutPlate)
        same, frame = canonical(one)
        assert isinstance(same, CutPlate)
        back = sorted(
            (round(frame.point((h.x, h.y, 2.0))[0], 3), round(frame.point((h.x, h.y, 2.0))[1], 3)) for h in same.holes
        )
        assert back == sorted((h.x, h.y) for h in one.holes)
    assert canonical(flipped)[0] == canonical(plate)[0]
