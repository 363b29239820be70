"""Bars whose folds have two radii, by arithmetic, by triangles and by the kernel."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import reals

from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.mesh import mesh
from rackgen.mesh.triangles import triangles
from rackgen.parts import measure
from rackgen.parts.canonical import canonical, mirror
from rackgen.parts.kinds import BarEnd, BarHole, FoldedBar
from rackgen.solid.bar import bar
from rackgen.solid.build import solid
from rackgen.solid.kernel_probe import bulk
from rackgen.solid.proof import fault
from rackgen.spec.stock import Flat, Stock

pytestmark = pytest.mark.kernel

BAR = Stock("50 x 3", Flat(50.0, 3.0), "steel", "S235", "bare", 6000.0)
FEW = settings(max_examples=12, deadline=None, derandomize=True)
WRAP = FoldedBar(
    BAR,
    (60.0, 45.0),
    (Fold(-90.0, 45.0, 38.0),),
    BarEnd(radius=5.0),
    BarEnd(radius=5.0),
    (BarHole(0, 30.0, 8.0, 6.5), BarHole(1, 22.0, 12.0, 6.5)),
)


@st.composite
def bars(draw: st.DrawFn) -> FoldedBar:
    count = draw(st.integers(1, 3))
    folds = tuple(
        Fold(draw(reals(10, 120)) * draw(st.sampled_from([1, -1])), draw(reals(10, 50)), draw(st.none() | reals(8, 40)))
        for _ in range(count - 1)
    )
    near = draw(reals(10, 50))
    sure = Fold(draw(reals(10, 120)) * draw(st.sampled_from([1, -1])), near, near + draw(reals(0.5, 10)))
    flats = tuple(draw(reals(60, 150)) for _ in range(count + 1))
    return FoldedBar(BAR, flats, (*folds, sure), BarEnd(skew=draw(reals(-15, 15)), bevel=draw(reals(-20, 20))))


@FEW
@given(bars())
def test_arithmetic_triangles_and_kernel_agree(part: FoldedBar) -> None:
    made = bar(part)
    assert fault(part, made) == ""
    volume, centre = bulk(made)
    assert volume == pytest.approx(measure.volume(part), rel=1e-7)
    assert centre == pytest.approx(measure.centroid(part), abs=0.02)
    found = triangles(part)
    assert mesh.volume(found) == pytest.approx(volume, rel=2e-3)
    assert mesh.centroid(found) == pytest.approx(centre, abs=0.15)


def test_left_and_right_wraps_are_one_anothers_mirror_image() -> None:
    left, right = (canonical(p)[0] for p in (WRAP, mirror(WRAP)))
    assert left != right
    volumes, centres = zip(*(bulk(solid(p)) for p in (left, right)), strict=True)
    assert volumes[0] == pytest.approx(volumes[1], rel=1e-9)
    (one, into), (other, back) = canonical(WRAP), canonical(mirror(WRAP))
    assert (one, other) == (left, right)
    seen = [Frame().then(f).point(c) for f, c in zip((into, back), centres, strict=True)]
    assert seen[1] == pytest.approx((seen[0][0], -seen[0][1], seen[0][2]), abs=1e-4)
