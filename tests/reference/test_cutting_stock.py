"""Cutting-stock instances that were published with their optimum, and what the trade cuts from a stick."""

import math
from dataclasses import replace

import pytest
from small_rack import MM

from rackgen.design.hoop import Leg, hoop
from rackgen.geom import spine
from rackgen.geom.frame import Frame
from rackgen.parts.canonical import canonical
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.cutting import Offer, Order, first_fit
from rackgen.sheets.cutting_best import best
from rackgen.sheets.sticks import stick_nest
from rackgen.spec.shop import Saw
from rackgen.spec.stock import Round, Stock

# Widths and orders of the paper rolls in the encyclopaedia's article "Cutting stock problem" (Wikipedia), read in the
# cutting-stock example of an open-source library of optimisation that cites the article and says "Best known solution
# uses 73"; fewer there cannot be, for all widths together fill more than 72 rolls.
ROLL = 5600
WIDTHS = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
    2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
}  # fmt: skip


def order_of(wanted: dict[int, int], roll: int) -> Order:
    sizes = tuple(sorted(wanted, reverse=True))
    return Order(sizes, tuple(wanted[s] for s in sizes), 0, (Offer(roll, 1),))


def test_the_paper_rolls_take_73() -> None:
    order = order_of(WIDTHS, ROLL)
    found = best(order)
    assert math.ceil(sum(w * n for w, n in WIDTHS.items()) / ROLL) == 73
    assert (found.cost, found.least) == (73, 73)
    assert first_fit(order).cost > 73


def test_the_text_books_rolls_take_453() -> None:
    # Chvatal, Linear Programming (1983), chapter 13: 97 of 45, 610 of 36, 395 of 31 and 211 of 14 from rolls of 100,
    # read in public course notes that cite the book; the optimum of the relaxation, 452.25, and 453 from memory.
    found = best(order_of({45: 97, 36: 610, 31: 395, 14: 211}, 100))
    assert (found.cost, found.least) == (453, 453)


def test_three_ring_hoops_come_out_of_a_6_m_stick() -> None:
    # Common practice, no source: a ring hoop of 1949.6 with 10 trim an end, saw 3, stick ends 10.
    # 3 x 1969.6 + 2 x 3 + 2 x 10 = 5934.8; one more does not go in.
    def sticks(count: int) -> int:
        return len(best(Order((196_960,), (count,), 300, (Offer(600_000 - 2_000, 1),))).filled)

    assert (sticks(3), sticks(4)) == (1, 2)


INCH = 25.4
OD, CLR, LEG, BACK = 1.25 * INCH, 4.5 * INCH, 14 * INCH, 33 * INCH


@pytest.mark.parametrize(("count", "sticks"), [(3, 1), (4, 2)])
def test_three_hoops_with_14_in_legs_come_out_of_a_20_ft_stick(count: int, sticks: int) -> None:
    # Common practice, no source: 1-1/4 in tube, 33 in backs, two bends of 90 deg on a 4-1/2 in CLR die.
    stock = Stock("1-1/4 × 0.083", Round(OD, 0.083 * INCH), "steel", "A513", "bare", 240 * INCH)
    shop = replace(MM, stock=(stock,), unit="in", trim=0.5 * INCH, saw=Saw(0.125 * INCH, 0.5 * INCH))
    legs = Leg(LEG + CLR + OD / 2)
    line = hoop(BACK + 2 * CLR + OD, legs, legs, OD, CLR)[0]
    assert line.straights == pytest.approx((LEG, BACK, LEG))
    tube, _ = canonical(BentTube(stock, line))
    placed = tuple(Placed(f"hoop[{k}]", tube, Frame(), "hoop", 1) for k in range(count))
    (nest,) = stick_nest(Rack(placed, ()), shop, ())[0].stocks
    assert len(nest.sticks) == sticks
    if count == 3:
        used = 3 * (spine.length(line) + INCH) + 2 * shop.saw.kerf
        assert nest.sticks[0].cuts[-1].end == pytest.approx(used, abs=0.1)
