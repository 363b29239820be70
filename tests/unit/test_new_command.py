"""`rackgen new` as it is typed: by options, by questions; nothing is written over and nothing is left half done."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from rackgen.app import new as command
from rackgen.app.cli import main
from rackgen.errors import BadInput
from rackgen.spec.find import presets
from rackgen.spec.read import read_job
from rackgen.spec.shipped import shipped

WAGON = ("--vehicle", "boxy-wagon-mm", "--shop", "slipway-mm", "--carries", "gear")


def run(*words: str | Path, typed: str | None = None) -> tuple[int, str, str]:
    """Return exit code, standard output and standard error of the command."""
    done = CliRunner().invoke(main, ["new", *map(str, words)], input=typed)
    return done.exit_code, done.stdout, done.stderr


def test_options_give_a_file_that_builds_as_it_stands(tmp_path: Path) -> None:
    file = tmp_path / "my-rack.toml"
    code, out, err = run(file, *WAGON)
    assert (code, err) == (0, "")
    assert out.splitlines()[-1] == str(file)
    assert "0 stop" in out
    text = file.read_text("utf-8")
    assert not text.startswith("#:schema")  # there is none beside it
    assert "Boxy five-door wagon" in text
    assert all(len(line) <= 180 and line == line.rstrip() for line in text.splitlines())
    assert read_job(file).spec.name == "my-rack"


def test_a_file_beside_schemas_names_them(tmp_path: Path) -> None:
    (tmp_path / "schemas").mkdir()
    (tmp_path / "schemas" / "rack.schema.json").write_text("{}")
    file = tmp_path / "racks" / "my-rack.toml"
    assert run(file, *WAGON)[0] == 0
    assert file.read_text("utf-8").startswith("#:schema ../schemas/rack.schema.json\n")


def test_nothing_is_written_over(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text("mine")
    code, _, err = run(file, *WAGON)
    assert code == 2
    assert "nothing is written over" in err
    assert file.read_text() == "mine"
    with pytest.raises(BadInput, match="there already"):
        command.write_new("x", file)
    assert file.read_text() == "mine"
    link = tmp_path / "link.toml"
    link.symlink_to(tmp_path / "nowhere.toml")
    assert run(link, *WAGON)[0] == 2
    assert not (tmp_path / "nowhere.toml").exists()


def test_every_mistake_is_told_at_once(tmp_path: Path) -> None:
    code, out, err = run(tmp_path / "my rack.txt", "--vehicle", "boxy-wagn-mm", "--width", "much")
    assert (code, out) == (2, "")
    for words in ("ending in .toml", "boxy-wagon-mm", "slipway-mm", "--carries", "--width"):
        assert words in err
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(("title", "says"), [("", "not empty"), ("a\x07b", "control"), ("x" * 201, "at most 200")])
def test_a_title_that_no_file_may_hold_is_refused_at_its_option(tmp_path: Path, title: str, says: str) -> None:
    code, out, err = run(tmp_path / "a.toml", *WAGON, "--title", title, "--width", "-5")
    assert (code, out) == (2, "")
    assert [line.split(": ")[1] for line in err.splitlines()[:2]] == ["--title", "--width"]
    assert says in err
    assert not list(tmp_path.iterdir())


def test_a_shop_that_its_name_would_not_find_is_refused(tmp_path: Path) -> None:
    own = tmp_path / "shelf" / "barn.toml"
    own.parent.mkdir()
    own.write_text((shipped() / "shops" / "slipway-mm.toml").read_text("utf-8"), "utf-8")
    rest = ("--vehicle", "boxy-wagon-mm", "--shop", own, "--carries", "gear")
    code, _, err = run(tmp_path / "a.toml", *rest)
    assert code == 2
    assert "by its name alone" in err
    assert run(tmp_path / "shelf" / "a.toml", *rest)[0] == 0
    assert read_job(tmp_path / "shelf" / "a.toml").sources.shop.samefile(own)


def test_a_rack_that_stops_is_written_and_says_what_stops_it(tmp_path: Path) -> None:
    file = tmp_path / "wide.toml"
    code, out, _ = run(file, *WAGON, "--width", "1100")
    assert code == 1
    assert "NOT CLEARED: strap-off-zone" in out
    assert file.exists()


def test_questions_lead_to_the_same_file_as_options(tmp_path: Path) -> None:
    vehicles = [p.name for p in presets() if p.kind == "vehicle"]
    asked, given = tmp_path / "asked.toml", tmp_path / "given.toml"
    number = vehicles.index("small-camper-inch") + 1
    code, _, err = run(asked, typed=f"{number}\nslipway-mm\ncrates\nhoop\n\n1100\n")
    assert code == 0, err
    assert "Small camper van" in err
    assert "[ladder]" in err  # what Enter would have taken
    options = ("--vehicle", "small-camper-inch", "--shop", "slipway-mm", "--carries", "crates")
    assert run(given, *options, "--frame", "hoop", "--length", "1100")[0] == 0
    assert asked.read_text("utf-8") == given.read_text("utf-8")


def test_questions_that_are_not_answered_to_the_end_write_nothing(tmp_path: Path) -> None:
    code, _, err = run(tmp_path / "a.toml", typed="1\n")
    assert code == 2
    assert "nothing was written" in err
    assert not list(tmp_path.iterdir())
    code, _, err = run(tmp_path / "a.toml", typed="no such van\n1\n1\n")
    assert code == 2
    assert "known vehicles are" in err
