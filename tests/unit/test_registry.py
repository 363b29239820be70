"""The registry of reference numbers."""

import pytest

from rackgen.errors import RackgenError
from rackgen.refs import registry

SOURCES = """
[book]
title = "The book"
seen = "whole"
"""
GOOD = """
[number.width]
value = 3
unit = "mm"
source = "book"
tag = "memory"
text = "a width"

[table.list]
source = "book"
tag = "seen"
text = "a list"
columns = ["a", "b"]
rows = [[1, 2], [3, 4]]
"""


def test_a_number_comes_with_its_source() -> None:
    found = registry.read(GOOD, SOURCES)
    assert found.numbers["width"].value == 3.0
    assert found.numbers["width"].cited == "The book (from memory)"
    assert found.tables["list"].rows == ((1.0, 2.0), (3.0, 4.0))
    assert found.tables["list"].cited == "The book"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('source = "book"\n', "", "width has no source|list has no source"),
        ('source = "book"', 'source = "hearsay"', "no source 'hearsay'"),
        ('tag = "memory"', 'tag = "sure"', "tag 'sure'"),
        ('text = "a width"', 'text = ""', "width does not say what it is"),
        ('unit = "mm"', 'unit = ""', "value and a unit"),
        ("value = 3", 'value = "3"', "value and a unit"),
        ("[3, 4]", "[3]", "every row needs 2 numbers"),
    ],
)
def test_a_number_without_its_papers_is_refused(old: str, new: str, said: str) -> None:
    assert old in GOOD
    with pytest.raises(RackgenError, match=said):
        registry.read(GOOD.replace(old, new), SOURCES)


def test_everything_shipped_has_a_source() -> None:
    shipped = registry.shipped()
    assert shipped.numbers
    for entry in (*shipped.numbers.values(), *shipped.tables.values()):
        assert entry.source.title
        assert entry.source.seen
        assert entry.text


def test_no_source_is_listed_in_vain() -> None:
    import tomllib
    from importlib import resources

    folder = resources.files("rackgen.refs")
    listed = tomllib.loads(folder.joinpath("sources.toml").read_text("utf-8"))
    shipped = registry.shipped()
    used = {e.source.title for e in (*shipped.numbers.values(), *shipped.tables.values())}
    assert {entry["title"] for entry in listed.values()} == used
