"""Sleeves: a stock tube that slides in whole, else one slit to spring to the bore."""

from __future__ import annotations

import dataclasses
import math

import pytest

from rackgen.design.sleeve import gap_left, sleeve_length, sleeve_stock
from rackgen.geom.spine import Spine
from rackgen.parts import measure
from rackgen.parts.kinds import BentTube, Slit
from rackgen.spec.read import read_shop
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Round, Stock
from rackgen.units import INCH


def shelf(*sizes: tuple[float, float]) -> Shop:
    """A shop with these tubes only."""
    stock = tuple(Stock(f"{od} x {wall}", Round(od, wall), "steel", "E235", "bare", 6000.0) for od, wall in sizes)
    return dataclasses.replace(read_shop("slipway-mm"), stock=stock)


def test_a_tube_that_slides_in_is_taken_whole() -> None:
    """28 × 2 goes into 33.7 × 2.6 with 0.5 mm to spare; slitting it would be wrong."""
    found = sleeve_stock(Round(33.7, 2.6), shelf((33.7, 2.6), (28.0, 2.0), (26.9, 2.6)))
    assert found is not None
    assert (found.stock.name, found.slit) == ("28.0 x 2.0", None)


def test_too_loose_and_too_tight_are_passed_over() -> None:
    """26.9 rattles in a bore of 28.5 and 28.4 binds; the host's own tube is slit instead."""
    found = sleeve_stock(Round(33.7, 2.6), shelf((33.7, 2.6), (28.4, 2.0), (26.9, 2.6)))
    assert found is not None
    assert found.slit is not None
    assert found.stock.name == "28.4 x 2.0"
    only = sleeve_stock(Round(33.7, 2.6), shelf((33.7, 2.6), (26.9, 2.6)))
    assert only is not None
    assert only.stock.name == "33.7 x 2.6"
    assert only.slit is not None


def test_nothing_fits() -> None:
    """A shelf of thin tube has no sleeve for a wide one."""
    assert sleeve_stock(Round(60.3, 2.6), shelf((26.9, 2.6))) is None


def test_slit_leaves_the_gap_that_is_computed() -> None:
    """The metal keeps its length at mid-wall, so the strip less the gap is what the smaller circle takes."""
    slit = Slit(0.75 * INCH, (1.25 - 2 * 0.065) * INCH)
    left = gap_left(1.25 * INCH, slit) / INCH
    assert left == pytest.approx(0.75 - math.pi * 0.13)
    host = Round(1.25 * INCH, 0.065 * INCH)
    tube = BentTube(Stock("t", host, "steel", "1010", "bare", 6000.0), Spine((100.0,)), slit=slit)
    middle = (tube.fitted.od - tube.fitted.wall) / 2
    arc = 2 * math.pi * middle - left * INCH
    assert measure.volume(tube) == pytest.approx(arc * host.wall * 100.0)


def test_length_is_three_diameters_to_five() -> None:
    """100 for 33.7 tube."""
    assert sleeve_length(Round(33.7, 2.6)) == 100.0
    assert sleeve_length(Round(48.3, 3.2)) == 145.0
