"""Whatever validates gives a rack that is whole, or says what cannot be made: over random shops, roofs and racks."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings

from rackgen import job
from rackgen.errors import BadInput
from rackgen.made import Design
from rackgen.spec.read import read_job
from tests.whole_design import AS_DRAWN, Whole, read, shop_text, wholes
from tests.whole_laws import LAWS

pytestmark = pytest.mark.racks


def designed(whole: Whole) -> Design | BadInput:
    """Design and check what is drawn, or give its refusal, every mistake of which names a key and a cure."""
    with TemporaryDirectory() as folder:
        try:
            return job.checked(job.design(read(whole, Path(folder))))
        except BadInput as refusal:
            return refusal


def test_a_shop_without_bedding_and_isolators_has_every_sheet(tmp_path: Path) -> None:
    shop = tmp_path / "bare.toml"
    shop.write_text(shop_text((("bedding", 0), ("isolator", 0))), "utf-8")
    made = job.checked(job.strong(job.design(read_job("demo", shop=str(shop)))))
    assert not {p.word for p in made.rack.placed} & {"bedding", "isolator"}
    assert made.cleared
    assert len(job.sheet_files(made)) > 40
    for law in LAWS:
        law(made)


@settings(max_examples=60, phases=AS_DRAWN)
@given(wholes())
def test_it_is_a_whole_rack_or_says_why_not(whole: Whole) -> None:
    made = designed(whole)
    if isinstance(made, BadInput):
        assert made.mistakes
        assert all(m.wanted and m.key for m in made.mistakes), made
        return
    for law in LAWS:
        law(made)


@settings(max_examples=60, phases=AS_DRAWN)
@given(wholes())
def test_the_reader_takes_what_is_drawn(whole: Whole) -> None:
    """A strategy that draws what is refused at once would prove nothing."""
    with TemporaryDirectory() as folder:
        assert read(whole, Path(folder)).spec.name == "drawn"
