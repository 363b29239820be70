"""Whatever validates gives a rack that is whole, or says what cannot be made: over random shops, roofs and racks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings

from rackgen import job
from rackgen.check.all import check
from rackgen.errors import BadInput, order
from rackgen.made import Design
from rackgen.spec.read import read_job
from tests.soak.drawn import block
from tests.whole_design import AS_DRAWN, Whole, read, shop_text, wholes
from tests.whole_laws import LAWS

pytestmark = pytest.mark.racks

SMALL = 25
"""Parts of the racks that go through the kernel on every run."""


def designed(whole: Whole, most: int | None = None) -> Design | BadInput | None:
    """Design and check what is drawn, or give its refusal, every mistake of which names a key and a cure.

    A rack of more parts than `most` is not checked, and None.
    """
    with TemporaryDirectory() as folder:
        try:
            made = job.design(read(whole, Path(folder)))
        except BadInput as refusal:
            return refusal
    if most is not None and len(made.rack.placed) > most:
        return None
    # As `job.checked` does, but for the sheets that it asks for what they find.
    result, found = check(made.rack, made.job.shop, made.job.vehicle, made.job.spec)
    return replace(made, findings=order((*made.findings, *found)), checked=result)


def test_a_shop_without_bedding_and_isolators_has_every_sheet(tmp_path: Path) -> None:
    shop = tmp_path / "bare.toml"
    shop.write_text(shop_text((("bedding", 0), ("isolator", 0))), "utf-8")
    made = job.checked(job.strong(job.design(read_job("demo", shop=str(shop)))))
    assert not {p.word for p in made.rack.placed} & {"bedding", "isolator"}
    assert made.cleared
    assert len(job.sheet_files(made)) > 40
    for law in LAWS:
        law(made)


@settings(max_examples=300, phases=AS_DRAWN)
@given(wholes())
def test_it_is_a_whole_rack_or_says_why_not(whole: Whole) -> None:
    made = designed(whole)
    assert made is not None
    if isinstance(made, BadInput):
        assert made.mistakes
        assert all(m.wanted and m.key for m in made.mistakes), made
        return
    for law in LAWS:
        law(made)


@pytest.mark.kernel
@pytest.mark.parametrize("seed", range(5))
def test_every_solid_of_five_small_racks_is_what_it_should_be(seed: int) -> None:
    """Valid, closed in STL, of the right volume; copes that seat, no two parts in one place."""
    from tests.whole_solids import wrong_solids

    found: list[str] = []
    through = 0
    for sample in (s for n in range(20) for s in block(100 * seed + n, small=True)):
        made = designed(sample.whole, SMALL)
        if made is None or isinstance(made, BadInput):
            continue
        for law in LAWS:
            law(made)
        found += [f"{sample.block}-{sample.number}: {said}" for said in wrong_solids(made)]
        through += 1
        if through == 5:
            break
    assert through == 5
    assert not found


@settings(max_examples=60, phases=AS_DRAWN)
@given(wholes())
def test_the_reader_takes_what_is_drawn(whole: Whole) -> None:
    """A strategy that draws what is refused at once would prove nothing."""
    with TemporaryDirectory() as folder:
        assert read(whole, Path(folder)).spec.name == "drawn"
