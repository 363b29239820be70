"""The line of every key, table and list entry, on texts where each value is its own line."""

import tomllib
from collections.abc import Iterator

import pytest

from rackgen.spec import limits
from rackgen.spec.places import Path, TooDeepError, places

TEXT = """\
# a comment = 2
top = 2
"quoted key" = 3   # x = 7
'literal' = 4
"esc\\u0061pe" = 5
dotted.inner . deep = 6
text = "a = 1 # [no]"
many = [
  9,          # with a comment ] in it
  10, [10,
    11],
  {a = 12, b = {c = 12}},
]
long = \"\"\"
[not.a.table]
x = 16 \\\"\"\" still
\"\"\"\"
lit = '''
[nor.this]
'''

[table]
key = 23
date = 1979-05-27 07:32:00
number = 1.5e3

[table."in side".more]
key = 28

[[list]]
key = 31
[list.sub]
key = 33
[[list.inner]]
key = 35
[[list.inner]]
key = 37
[[list]]
key = 39
[[list.inner]]
key = 41
inline = { a = 42, "b" = [42, 42] }
last = 43"""


def leaves(value: object, path: Path = ()) -> Iterator[tuple[Path, object]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*path, key))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield from leaves(inner, (*path, place))
    else:
        yield path, value


def test_every_value_that_is_its_own_line_stands_there() -> None:
    found = places(TEXT)
    checked = 0
    for path, value in leaves(tomllib.loads(TEXT)):
        if isinstance(value, int):
            assert found[path] == value, path
            checked += 1
    assert checked == 23


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ((), 1),
        (("many",), 8),
        (("many", 2), 10),
        (("many", 3), 12),
        (("long",), 14),
        (("lit",), 18),
        (("table",), 22),
        (("table", "date"), 24),
        (("table", "number"), 25),
        (("table", "in side", "more"), 27),
        (("list",), 30),
        (("list", 0), 30),
        (("list", 0, "sub"), 32),
        (("list", 0, "inner", 1), 36),
        (("list", 1), 38),
        (("list", 1, "inner", 0), 40),
        (("dotted", "inner"), 6),
    ],
)
def test_tables_and_lists_stand_where_they_begin(path: Path, line: int) -> None:
    assert places(TEXT)[path] == line


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        "=",
        "= = =",
        "[",
        "[[",
        "]]",
        "[a",
        "a = [",
        "a = {",
        "a = }",
        "a = [}]",
        '"',
        "'''",
        "a.b.",
        ".a",
        "[.]",
        "a = [1,,2]",
        "{a = 1}",
        "a = {a, b}",
        "a = {[}",
        "\x00",
        "a = [{[{",
        "a = 'x\nb = 2",
    ],
)
def test_what_is_not_toml_does_no_harm(text: str) -> None:
    assert places(text)[()] == 1


def test_nesting_is_followed_to_the_limit_and_no_further() -> None:
    deep = limits.DEPTH
    places("a = " + "[" * deep + "]" * deep)
    places(".".join("a" * deep) + " = 1")
    with pytest.raises(TooDeepError) as caught:
        places("x = 1\na = " + "[" * (deep + 1))
    assert caught.value.line == 2
    with pytest.raises(TooDeepError):
        places(".".join("a" * (deep + 1)) + " = 1")
