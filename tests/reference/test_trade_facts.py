"""Facts of the trade, common practice, no source: what fabricators who build these racks know to come out."""

import math

import pytest
from small_rack import MM

from rackgen.design.hoop import Leg, hoop
from rackgen.design.sleeve import gap_left
from rackgen.geom import outline, spine
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.parts.canonical import canonical
from rackgen.parts.kinds import BarEnd, BentTube, FoldedBar, Slit
from rackgen.parts.rack import Placed, Rack
from rackgen.parts.unfold import allowance
from rackgen.refs.registry import number
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.flats import flattened
from rackgen.spec.folding import Folding
from rackgen.spec.stock import Flat, Round, Stock

INCH = 25.4
OD, CLR, LEG, BACK = 1.25 * INCH, 4.5 * INCH, 14 * INCH, 33 * INCH


def a_hoop() -> spine.Spine:
    """Give a hoop of 1-1/4 in tube on a 4-1/2 in CLR die with 14 in legs and a 33 in back."""
    legs = Leg(LEG + CLR + OD / 2)
    return hoop(BACK + 2 * CLR + OD, legs, legs, OD, CLR)[0]


def test_a_two_hoops_make_a_ring_of_about_44_by_38() -> None:
    line = a_hoop()
    assert line.straights == pytest.approx((LEG, BACK, LEG))
    corners = spine.corners(line) / INCH
    wide = math.dist(corners[1], corners[2]) + 1.25
    deep = 2 * math.dist(corners[0], corners[1]) + 1.25
    # Computed 43-1/4 x 38-1/4; measured "about 44 x 38", allow 1 in.
    assert (wide, deep) == pytest.approx((43.25, 38.25), abs=1e-9)
    assert wide == pytest.approx(44, abs=1)
    assert deep == pytest.approx(38, abs=1)


def test_a_three_such_hoops_come_out_of_a_20_ft_stick() -> None:
    stock = Stock("1-1/4 × 0.083", Round(OD, 0.083 * INCH), "steel", "A513", "bare", 240 * INCH)
    tube, _ = canonical(BentTube(stock, a_hoop()))
    placed = tuple(Placed(f"hoop[{k}]", tube, Frame(), "hoop", 1) for k in (1, 2, 3))
    found, _ = cut_list(Rack(placed, ()), MM)
    (total,) = found.totals
    # With the trim of bent tubes, two kerfs between, and both ends of the stick squared.
    needed = total.length + 2 * MM.saw.kerf + 2 * MM.saw.end_trim
    assert found.lines[0].quantity == 3
    assert needed <= stock.stick
    assert needed + total.length / 3 > stock.stick


@pytest.mark.parametrize("host_wall", [0.065, 0.090])
def test_b_a_three_quarter_inch_strip_is_enough_for_a_slit_sleeve(host_wall: float) -> None:
    # 1-1/4 x 0.065 tube sprung into the same tube, or into 1-1/4 x 0.090: more than enough, and it leaves a gap.
    bore = (1.25 - 2 * host_wall) * INCH
    gap = gap_left(OD, Slit(0.75 * INCH, bore)) / INCH
    assert 0.1 < gap < 0.75
    # A strip of a quarter inch would not let it in.
    assert gap_left(OD, Slit(0.25 * INCH, bore)) < 0


def test_c_a_brace_cut_8_degrees_off_square() -> None:
    # 2 in tall, square at one end: 1 in at the narrow edge, 1-1/4 in at the wide one, within 3/64.
    bar = Stock("2 × 1/4", Flat(2 * INCH, INCH / 4), "steel", "A36", "bare", 240 * INCH)
    middle = (1 + math.tan(math.radians(8))) * INCH
    points = outline.polygon(flattened(FoldedBar(bar, (middle,), end_b=BarEnd(skew=8.0))).outline) / INCH
    narrow, wide = sorted(float(max(x for x, y in points if y * side > 0)) for side in (-1, 1))
    assert narrow == pytest.approx(1.0, abs=1e-6)
    assert wide == pytest.approx(1.25, abs=3 / 64)


def test_d_a_bar_hammered_round_a_tube() -> None:
    # 1/8 x 2 bar round 1-3/4 tube: its inner radius is the tube's, 7/8 in; of a 5 in piece turned through 90 deg about
    # 3-1/2 in are left for the two flats.
    radius = 1.75 / 2 * INCH
    assert radius == pytest.approx(7 / 8 * INCH)
    bar = Stock("2 x 1/8 bar", Flat(2 * INCH, INCH / 8), "steel", "A36", "bare", 6000.0)
    into = allowance(Fold(90.0, radius), bar, Folding()).length
    assert 5 - into / INCH == pytest.approx(3.5, abs=1 / 16)


def test_e_half_a_degree_of_rake_and_a_sixteenth_at_the_root_are_acceptable() -> None:
    rake, root = number("rake-look"), number("root-gap-look")
    assert (rake.value, rake.unit) == (0.5, "deg")
    assert (root.value, root.unit) == (INCH / 16, "mm")
    assert rake.cited == root.cited == "common practice, no source"
