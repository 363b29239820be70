"""Strength that a certificate states, in the shop's file."""

from pathlib import Path

import pytest

from rackgen.errors import BadInput
from rackgen.refs.strengths import strength_of
from rackgen.spec.read import read_job
from rackgen.spec.shipped import shipped
from rackgen.spec.stock import Stock
from rackgen.units import read_quantity

TUBE = 'name = "33.7 x 2.6 tube"\nod = 33.7\n'


def shelf(folder: Path, extra: str) -> dict[str, Stock]:
    text = (shipped() / "shops" / "slipway-mm.toml").read_text("utf-8")
    assert text.count(TUBE) == 1
    file = folder / "shop.toml"
    file.write_text(text.replace(TUBE, TUBE + extra), "utf-8")
    return {s.name: s for s in read_job("demo", shop=file).shop.stock}


def test_a_certificate_is_read(tmp_path: Path) -> None:
    stock = shelf(tmp_path, 'yield_strength = 290\ntensile_strength = "60 ksi"\n')["33.7 x 2.6 tube"]
    assert stock.yield_strength == 290
    # 1 ksi = 6.894757 MPa (NIST SP 811, appendix B.8; from memory).
    assert stock.tensile_strength == pytest.approx(60 * 6.894757, rel=1e-7)
    assert strength_of(stock).yield_ == 290


def test_without_one_the_grade_counts(tmp_path: Path) -> None:
    stocks = shelf(tmp_path, "")
    assert stocks["33.7 x 2.6 tube"].yield_strength is None
    assert strength_of(stocks["33.7 x 2.6 tube"]).yield_ == 235


@pytest.mark.parametrize(
    ("extra", "key", "wanted"),
    [
        ("yield_strength = 290\n", "tensile_strength", "write both of the certificate"),
        ("tensile_strength = 290\n", "yield_strength", "write both of the certificate"),
        ("yield_strength = 390\ntensile_strength = 290\n", "yield_strength", "no more than tensile_strength"),
        ("yield_strength = 2\ntensile_strength = 290\n", "yield_strength", "from 20 to 1500 MPa"),
        ('yield_strength = "36 kg"\ntensile_strength = 290\n', "yield_strength", "36 ksi"),
        ("yield_strength = nan\ntensile_strength = 290\n", "yield_strength", "finite"),
    ],
)
def test_a_certificate_that_cannot_be(tmp_path: Path, extra: str, key: str, wanted: str) -> None:
    with pytest.raises(BadInput) as refusal:
        shelf(tmp_path, extra)
    (mistake,) = refusal.value.mistakes
    assert mistake.key.endswith(key)
    assert wanted in mistake.wanted


def test_every_shipped_grade_is_known() -> None:
    for rack in ("demo", "survey-crew"):
        for stock in read_job(rack).shop.stock:
            found = strength_of(stock)
            assert 0 < found.welded_yield <= found.yield_ < found.tensile


@pytest.mark.parametrize(
    ("typed", "mpa"), [(235, 235), ("235 MPa", 235), ("235 N/mm²", 235), ("1 ksi", 6.894757293168)]
)
def test_stresses_are_read(typed: object, mpa: float) -> None:
    assert read_quantity(typed, "stress") == pytest.approx(mpa, rel=1e-12)
