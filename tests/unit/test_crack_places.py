"""Where to look for cracks."""

import numpy as np
import pytest

from rackgen.geom import section as ring
from rackgen.geom.frame import Array
from rackgen.parts.kinds import BarHole
from rackgen.strength.fatigue import crack_places, fold_factor
from rackgen.strength.model import FrameModel
from tests.small_frames import bar, bent_tube, even, loaded, plate_strip, straight_tube, tee

EN, FLAT = "S235JRH EN 10219-1", "S235JR EN 10025-2"


def ends(model: FrameModel, **given: object) -> Array:
    return loaded(model, given).ends[..., 0]  # type: ignore[arg-type]


def test_a_tube_without_a_weld_has_none() -> None:
    model, rack, _ = straight_tube(33.7, 2.6, EN, 800.0)
    assert crack_places(model, rack, ends(model, **{"t#0": even((1e4, 0, 0, 0, 1e5, 0))})) == ()


def test_the_toe_of_a_weld() -> None:
    model, rack, _ = tee((48.3, 3.2), (33.7, 2.6), EN)
    forces = ends(model, **{"h#0": even((0, 0, 0, 0, 3e4, 4e4)), "b#0": even((1000, 0, 0, 0, 0, 0))})
    first, second = crack_places(model, rack, forces)
    # From 1 g down to 1 g up: twice M / S on the design wall.
    assert first.range == pytest.approx(2 * 5e4 / ring.elastic_modulus(48.3, 0.9 * 3.2))
    assert first.category == 36.0
    assert first.parts == ("h", "b")
    assert second.parts == ("b", "h")
    assert second.range == pytest.approx(2 * 1000 / ring.area(33.7, 0.9 * 2.6))
    assert "from memory" in first.source


def test_a_bend_and_a_fold() -> None:
    model, rack, _ = bent_tube(33.7, 2.6, 120.0, EN)
    (place,) = crack_places(model, rack, ends(model, **{"t#0": even((0, 0, 0, 0, 1e5, 0))}))
    assert place.what.startswith("bend: ")
    assert place.category == 71.0
    assert place.range > 2 * 1e5 / ring.elastic_modulus(33.7, 0.9 * 2.6)
    model, rack, _ = bar(50.0, 5.0, FLAT, fold=8.0)
    (place,) = crack_places(model, rack, ends(model, **{"s#1": even((0, 0, 0, 0, 1e4, 0))}))
    assert place.what.startswith("fold line: ")
    assert place.range > 2 * 1e4 * 6 / (50 * 25) * 1.1


def test_holes_of_a_bar_and_edges_of_a_plate() -> None:
    model, rack, _ = bar(50.0, 5.0, FLAT, holes=(BarHole(0, 40.0, 0.0, 10.0),))
    (place,) = crack_places(model, rack, ends(model, **{"s#0": even((0, 0, 0, 0, 1e4, 0))}))
    assert place.range == pytest.approx(2 * 1e4 * 6 / (40 * 25))
    model, rack, _ = plate_strip(30.0, 4.0, 40.0, FLAT)
    (place,) = crack_places(model, rack, ends(model, **{"p#1": even((0, 0, 0, 0, 1e4, 0))}))
    assert place.what.startswith("edge of the plate")


def test_no_more_than_asked_for_and_worst_first() -> None:
    model, rack, _ = tee((48.3, 3.2), (33.7, 2.6), EN)
    forces = ends(model, **{"h#0": even((0, 0, 0, 0, 1e3, 0)), "b#0": even((0, 0, 0, 0, 9e4, 0))})
    (only,) = crack_places(model, rack, forces, most=1)
    assert only.parts == ("b", "h")


def test_stress_at_the_hollow_side_of_a_fold() -> None:
    # Curved bars of rectangular section: the table of Timoshenko / Roark, R over half the depth 1.2, 2, 4, 10: 2.89,
    # 1.52, 1.20, 1.07 at the inside (from memory).
    for ratio, factor in ((1.2, 2.89), (2.0, 1.52), (4.0, 1.20), (10.0, 1.07)):
        assert fold_factor(ratio * 2.5, 5.0) == pytest.approx(factor, abs=0.006)
    assert fold_factor(0.0, 5.0) == 1.0
    assert np.isfinite(fold_factor(2.5, 5.0))
