"""A price from width, length, height and tube alone."""

import json

import pytest
from click.testing import CliRunner

from rackgen.app.cli import main
from rackgen.app.quote import Asked, find_tube, quick_quote, quote_text
from rackgen.errors import BadInput
from rackgen.spec.read import read_shop

DEMO = Asked("1040", "1080", "183.7", "33.7 x 2.6", "slipway-mm", None, None)


def run(*words: str) -> tuple[int, str, str]:
    """Return exit code, standard output and standard error of the command."""
    done = CliRunner().invoke(main, ["quote", *words])
    return done.exit_code, done.stdout, done.stderr


def test_a_quick_price_is_that_of_a_real_rack() -> None:
    found, made = quick_quote(DEMO)
    assert found.cost.missing == ()
    assert found.stops == ()
    assert 40 < found.mass < 60
    assert {p.part for p in made.rack.placed}
    text = quote_text(found, "mm")
    assert "a plain flat roof" in text
    assert "33.7 x 2.6 tube" in text
    assert "without tax" in text


def test_a_measured_vehicle_is_taken_when_it_is_named() -> None:
    found, made = quick_quote(Asked("1040", "1080", "183.7", "33.7 x 2.6 tube", "slipway-mm", "boxy-wagon-mm", 2))
    assert made.job.vehicle.name == "Boxy five-door wagon"
    assert not any("plain flat roof" in text for text in found.assumed)
    assert found.cost.quantity == 2
    assert " each" in quote_text(found, "mm")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("33.7 x 2.6 tube", "33.7 x 2.6 tube"),
        ("33.7x2.6", "33.7 x 2.6 tube"),
        ("33.7 × 2.6", "33.7 x 2.6 tube"),
        ("48.3", "48.3 x 3.2 tube"),
        ("26.9 mm x 2.6 mm", "26.9 x 2.6 tube"),
    ],
)
def test_a_tube_is_found_by_its_name_or_its_size(text: str, name: str) -> None:
    assert find_tube(text, read_shop("slipway-mm")) == name


@pytest.mark.parametrize(
    ("text", "said"),
    [("1-1/2", "more than one"), ("2 x 0.120", "no such tube"), ("strong", "no such tube"), ("1x2x3", "no such tube")],
)
def test_a_tube_that_is_not_one_is_told_with_what_there_is(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said) as caught:
        find_tube(text, read_shop("threshing-barn-inch"))
    assert '"1 x 0.083 tube"' in str(caught.value)


def test_without_a_shop_the_first_that_has_the_tube_is_taken() -> None:
    found, made = quick_quote(Asked("41 in", "46 in", "6 in", "1-1/2 x 0.120", None, None, None))
    assert made.job.shop.name == "Threshing barn"
    assert 'shop "threshing-barn-inch", since none was named' in found.assumed


def test_every_mistake_is_told_at_once() -> None:
    code, out, err = run("--width", "20 ft", "--height", "tall", "--shop", "nope", "--vehicle", "no", "--quantity", "0")
    assert code == 2
    assert out == ""
    for said in ("--width", "--length: give it", "--height: read tall", "--tube", "nope:", "no:", "--quantity"):
        assert said in err, err
    assert "7 mistakes; nothing was written" in err


def test_sizes_that_cannot_be_made_are_told_by_their_option() -> None:
    code, _, err = run("--width", "250", "--length", "300", "--height", "50", "--tube", "33.7", "--shop", "slipway-mm")
    assert code == 2
    assert err.count("must be at least") + err.count("need at least") == 3
    assert all(f"--{key}: read" in err for key in ("width", "length", "height"))


def test_a_rack_that_cannot_be_made_so_is_priced_all_the_same_and_ends_with_1() -> None:
    code, out, _ = run("--width", "1500", "--length", "4000", "--height", "180", "--tube", "33.7 x 2.6")
    assert code == 1
    assert "CANNOT BE MADE SO" in out
    assert "longer-than-stick" in out
    assert "price " in out


def test_json_carries_the_numbers() -> None:
    words = ("--width", "1040 mm", "--length", "1080 mm", "--height", "184 mm", "--tube", "33.7 x 2.6", "--as", "json")
    code, out, _ = run(*words)
    assert code == 0
    data = json.loads(out)["data"]
    assert (data["width"], data["tube"]) == (1040.0, "33.7 x 2.6 tube")
    assert float(data["cost"]["price"]) > 500
