"""Files that cannot be opened or parsed: one clear mistake each, never anything else."""

import os
from pathlib import Path

import pytest
from preset_texts import RACK, SHOP, line_of, mistakes_of, only, saved, swapped

from rackgen.spec import limits
from rackgen.spec.document import nearest, open_document, written, written_key
from rackgen.spec.read import read_rack, read_shop


def test_crlf_and_a_byte_order_mark_are_read_as_if_they_were_not_there(tmp_path: Path) -> None:
    plain = read_shop(saved(tmp_path, SHOP, "a.toml"))
    assert read_shop(saved(tmp_path, SHOP.replace("\n", "\r\n"), "b.toml")) == plain
    assert read_shop(saved(tmp_path, b"\xef\xbb\xbf" + SHOP.encode(), "c.toml")) == plain


def test_lines_are_right_with_crlf(tmp_path: Path) -> None:
    text = SHOP.replace("od = 28", "od = true")
    assert only(mistakes_of(read_shop, saved(tmp_path, text.replace("\n", "\r\n")))).line == line_of(text, "od = true")


@pytest.mark.parametrize("codec", ["utf-16", "utf-16-le", "latin-1"])
def test_other_encodings_are_named(tmp_path: Path, codec: str) -> None:
    content = RACK.replace("looked at", "läuft").encode(codec)
    if codec == "utf-16-le":
        content = b"\xff\xfe" + content
    mistake = only(mistakes_of(read_rack, saved(tmp_path, content)))
    assert "UTF-8" in mistake.wanted
    assert mistake.line == (line_of(RACK, "looked at") if codec == "latin-1" else 1)


def test_a_missing_file_names_its_nearest_neighbour_and_the_presets(tmp_path: Path) -> None:
    saved(tmp_path, RACK, "my-rack.toml")
    mistake = only(mistakes_of(read_rack, tmp_path / "my-rcak.toml"))
    assert "no such file" in mistake.wanted
    assert '"my-rack.toml"' in mistake.wanted
    assert "demo" in mistake.wanted
    assert mistake.file == str(tmp_path / "my-rcak.toml")


def test_a_folder_is_refused(tmp_path: Path) -> None:
    assert only(mistakes_of(read_rack, tmp_path)).read == "a folder"


def test_a_chain_of_links_that_ends_nowhere_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.toml").symlink_to(tmp_path / "b.toml")
    (tmp_path / "b.toml").symlink_to(tmp_path / "a.toml")
    assert "links" in only(mistakes_of(read_rack, tmp_path / "a.toml")).wanted


def test_a_link_to_nothing_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.toml").symlink_to(tmp_path / "gone.toml")
    assert "no such file" in only(mistakes_of(read_rack, tmp_path / "a.toml")).wanted


def test_a_link_to_a_preset_is_followed(tmp_path: Path) -> None:
    (tmp_path / "a.toml").symlink_to(saved(tmp_path, SHOP, "real.toml"))
    assert read_shop(tmp_path / "a.toml").name == "Test shop"


def test_a_pipe_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    assert "ordinary file" in only(mistakes_of(read_rack, tmp_path / "pipe.toml")).wanted


@pytest.mark.parametrize("name", ["a\x00b.toml", "x" * 5000 + ".toml", "a.toml/b.toml", "no/such/folder/a.toml", ""])
def test_impossible_names_are_refused(tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    saved(tmp_path, RACK, "a.toml")
    only(mistakes_of(read_rack, name))


def test_a_file_that_may_not_be_read_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = saved(tmp_path, RACK)

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError

    monkeypatch.setattr(Path, "open", refuse)
    assert "permissions" in only(mistakes_of(read_rack, path)).wanted


def test_a_file_beyond_the_limit_is_refused_and_one_at_the_limit_is_read(tmp_path: Path) -> None:
    fill = limits.FILE_BYTES - len(SHOP)
    filled = SHOP + "\n".join("#" * 99 for _ in range(fill // 100)) + "#" * (fill % 100 + 1)
    assert len(filled) == limits.FILE_BYTES
    assert read_shop(saved(tmp_path, filled)).name == "Test shop"
    mistake = only(mistakes_of(read_shop, saved(tmp_path, filled + "#")))
    assert "1,000,000 bytes" in mistake.wanted


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("format = 1\nunits = mm\n", 2, "in quotes"),
        ("format = 1\nwidth = 5 mm\n", 2, "in quotes"),
        ("format = 1\nunits = “mm”\n", 2, "straight quotes"),
        ("format = 1\nwidth = 33,7\n", 2, "not TOML"),
        ("format = 1\nname\n", 2, "not TOML"),
        ("format = 1\nname = \n", 2, "not TOML"),
        ("format = 1\n[basket\nwidth = 5\n", 2, "not TOML"),
        ('format = 1\nname = "x\n', 2, "not TOML"),
        ("format = 1\nname = 'x\n", 3, "further up"),
        ('format = 1\nname = "a\\q"\n', 2, "not TOML"),
        ("format = 1\nbearers = [1, 2\n", 3, "further up"),
        ("format = 1\nname = '''x\n\n", 4, "further up"),
        ("format = 1\nformat = 1\n", 2, "second time"),
        ("format = 1\n[basket]\n[basket]\n", 3, "second time"),
        ("format = 1\n[basket]\n[[basket]]\n", 3, "second time"),
        ("format = 1\ra = 2\r", 1, "LF"),
        ("format = 1\n\x00\n", 2, "not TOML"),
        ("{}", 1, "not TOML"),
        ("format = 1\nwhen = 1979-02-31\n", 2, "not TOML"),
    ],
)
def test_what_is_not_toml_is_told_with_its_line(tmp_path: Path, text: str, line: int, says: str) -> None:
    mistake = only(mistakes_of(read_rack, saved(tmp_path, text)))
    assert mistake.line == line, mistake
    assert says in mistake.wanted


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 3000 + "]" * 3000,
        "a = " + "[" * 200_000,
        "a = " + "{b = " * 3000,
        ".".join("a" * 100_000) + " = 1",
        "[" + ".".join("a" * 100_000) + "]",
        "\n".join(f"[{'.'.join('a' * 400)}.b{i}]" for i in range(200)),
        'a = {b = {c = {d = [[[[[[[[[[[[[1]]]]]]]]]]]]]}}}',
    ],
)  # fmt: skip
def test_bottomless_nesting_is_refused_at_once(tmp_path: Path, text: str) -> None:
    assert "deeper" in only(mistakes_of(read_rack, saved(tmp_path, text))).wanted


def test_a_number_of_thousands_of_digits_is_refused(tmp_path: Path) -> None:
    text = swapped(RACK, "width = 1000", "width = " + "9" * 5000)
    assert "digits" in only(mistakes_of(read_rack, saved(tmp_path, text))).wanted


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ('"' + "x" * 201 + '"', "200 characters"),
        ("nan", "finite"),
        ("inf", "finite"),
        ("-inf", "finite"),
        ("1e999", "finite"),
        ("[1, [nan]]", "finite"),
        ("{a = {b = inf}}", "finite"),
        ("[" + "1," * 1001 + "]", "1,000 entries"),
    ],
)
def test_what_no_preset_may_hold_anywhere(tmp_path: Path, value: str, says: str) -> None:
    text = swapped(RACK, "width = 1000", f"width = {value}")
    mistake = only(mistakes_of(read_rack, saved(tmp_path, text)))
    assert says in mistake.wanted
    assert mistake.line == line_of(text, "width = ")


def test_a_long_key_is_refused(tmp_path: Path) -> None:
    assert "a key has" in only(mistakes_of(read_rack, saved(tmp_path, RACK + "k" * 201 + " = 1"))).wanted


def test_an_empty_file_says_what_it_lacks(tmp_path: Path) -> None:
    keys = {m.key for m in mistakes_of(read_rack, saved(tmp_path, ""))}
    assert keys == {"format", "shop", "vehicle"}


def test_values_are_shown_as_they_are_typed() -> None:
    assert written("a") == '"a"'
    assert written("a" * 300) == '"' + "a" * 57 + '..."'
    assert written("a\tb") == '"a\\tb"'
    assert written(True) == "true"
    assert written(1.5) == "1.5"
    assert written(10**5000) == "a number too large"
    assert written([1, 2]) == "a list of 2"
    assert written({}) == "a table"


def test_keys_are_shown_as_a_person_counts() -> None:
    assert written_key(("roof", "station", 0, "x")) == "roof.station[1].x"
    assert written_key(("mounts", "front left", "x")) == 'mounts."front left".x'
    assert written_key(()) == ""


def test_the_nearest_word_is_found_whatever_its_case() -> None:
    assert nearest("Width", ["width", "weight"]) == "width"
    assert nearest("widht", ["width", "length"]) == "width"
    assert nearest("zzz", ["width", "length"]) == ""
    assert nearest("x", []) == ""


def test_a_value_is_found_by_its_path(tmp_path: Path) -> None:
    document = open_document(saved(tmp_path, RACK), "preset.toml")
    assert document.get(("basket", "width")) == 1000
    assert document.get(("waiver", 0, "code")) == "shut-line"
    for nothing in (("basket", "depth"), ("waiver", 1), ("waiver", "code"), ("basket", 0), ("shop", "x"), ("x", "y")):
        assert document.get(nothing) is None
