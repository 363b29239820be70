"""Every part of every foot through the kernel: valid, of the volume by arithmetic, its centre where that says."""

from __future__ import annotations

import numpy as np
import pytest
from foot_racks import PLACES, site_with, standing

from rackgen.parts.measure import centroid
from rackgen.solid import kernel_probe
from rackgen.solid.build import solid
from rackgen.solid.proof import expected_volume
from rackgen.spec.foot_place import FootPlace

pytestmark = pytest.mark.kernel


@pytest.mark.parametrize("place", PLACES, ids=[p.name for p in PLACES])
def test_every_part_is_a_solid_of_its_volume(place: FootPlace) -> None:
    rack, _ = standing(site_with(place), place)
    for placed in rack.placed:
        by_kernel, centre = kernel_probe.bulk(solid(placed.part))
        assert by_kernel == pytest.approx(expected_volume(placed.part), rel=2e-5), placed.id
        if placed.word not in ("saddle", "cross bar"):
            np.testing.assert_allclose(centre, centroid(placed.part), atol=0.02, err_msg=placed.id)
