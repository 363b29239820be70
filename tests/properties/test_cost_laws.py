"""Laws of money: more work, dearer things and larger orders never cost less."""

import dataclasses
from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackgen import job
from rackgen.design.plain_roof import plain_roof
from rackgen.made import Design
from rackgen.sheets.amounts import cents, exact, total
from rackgen.sheets.bill import Bill, bill
from rackgen.sheets.coating import Finish, finish
from rackgen.sheets.cost import Cost, cost, estimate
from rackgen.sheets.operations import Operation
from rackgen.spec.money import Labour
from rackgen.spec.read import read_job

PARTS = st.floats(0.0, 500.0)


@lru_cache(maxsize=1)
def demo() -> Design:
    """Return the demo, designed once."""
    return job.design(read_job("demo"))


@lru_cache(maxsize=1)
def bought() -> tuple[Bill, Finish]:
    """Return its bill and its coating."""
    return bill(demo().rack, demo().job.shop), finish(demo().rack, demo().job.shop)


def priced(count: float, minutes: float, rate: float, margin: float, quantity: int = 1) -> Cost:
    """Return an estimate of one operation."""
    found, coat = bought()
    shop = demo().job.shop
    shop = dataclasses.replace(
        shop,
        labour=Labour(rate, (("weld", minutes),), (("weld", 30.0),)),
        money=dataclasses.replace(shop.money, margin=margin),
    )
    work = (Operation("weld", "weld", "length", count), Operation("weld", "weld", "piece", 1.0, True))
    return estimate(shop, quantity, dataclasses.replace(found, quantity=quantity), work, coat, 40.0)


@given(PARTS, st.floats(0, 60), st.floats(1, 200), st.floats(0, 90), st.floats(0, 100))
def test_more_work_a_dearer_hour_and_more_margin_never_cost_less(
    count: float, minutes: float, rate: float, margin: float, more: float
) -> None:
    base = priced(count, minutes, rate, margin)
    assert priced(count + more, minutes, rate, margin).price >= base.price
    assert priced(count, minutes + more, rate, margin).price >= base.price
    assert priced(count, minutes, rate + more, margin).price >= base.price
    assert priced(count, minutes, rate, min(95.0, margin + more)).price >= base.price


@given(PARTS, st.floats(0, 60), st.floats(1, 200), st.floats(0, 90))
def test_sums_are_sums_of_rounded_rows_and_the_margin_is_of_the_price(
    count: float, minutes: float, rate: float, margin: float
) -> None:
    found = priced(count, minutes, rate, margin)
    assert total(r.amount for r in found.rows) == found.cost
    assert all(r.amount == cents(r.amount) for r in found.rows if r.amount is not None)
    assert float(found.price - found.cost) == pytest.approx(float(found.price) * margin / 100, abs=0.02)


@given(st.integers(1, 60))
@settings(max_examples=5)
def test_more_racks_cost_more_in_all(quantity: int) -> None:
    shop = demo().job.shop
    some, more = cost(demo().rack, shop, quantity), cost(demo().rack, shop, quantity + 1)
    assert more.price >= some.price
    for a, b in zip(some.rows, more.rows, strict=True):
        if a.group == "labour":
            assert b.amount is not None
            assert a.amount is not None
            assert b.amount >= a.amount


@pytest.mark.parametrize(("shorter", "longer"), [(800.0, 1000.0), (1000.0, 1300.0)])
def test_a_longer_rack_is_heavier_and_dearer(shorter: float, longer: float) -> None:
    asked = read_job("demo")

    def made(length: float) -> Cost:
        basket = dataclasses.replace(asked.spec.basket, length=length, bearers=None, side_uprights=None, pads=None)
        frame = dataclasses.replace(asked.spec.frame, width=None, front=None, cross_bars=None)
        spec = dataclasses.replace(asked.spec, basket=basket, frame=frame)
        one = job.design(dataclasses.replace(asked, spec=spec, vehicle=plain_roof(basket.width, length)))
        return cost(one.rack, asked.shop)

    assert made(longer).price > made(shorter).price


@given(st.floats(0.01, 1e6), st.floats(0.01, 1e6))
def test_cents_keep_order(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert cents(exact(low)) <= cents(exact(high))
