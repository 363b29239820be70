"""Whatever stands in a preset file, reading it gives a record or every mistake, and nothing else."""

import datetime
import math
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path as File

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from preset_texts import RACK, SHOP, STRAIGHTEDGE, VEHICLE

from rackgen.errors import BadInput
from rackgen.spec import limits
from rackgen.spec.places import Path, places
from rackgen.spec.rack import RackSpec
from rackgen.spec.read import read_rack, read_shop, read_vehicle
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

laws = settings(deadline=None, derandomize=True, max_examples=150)

TEXTS = {"shop": SHOP, "vehicle": VEHICLE, "straightedge": STRAIGHTEDGE, "rack": RACK}
READERS: dict[str, Callable[[File], Shop | Vehicle | RackSpec]] = {
    "shop": read_shop,
    "vehicle": read_vehicle,
    "straightedge": read_vehicle,
    "rack": read_rack,
}
which = st.sampled_from(sorted(TEXTS))

texts = st.text(max_size=12) | st.sampled_from(
    ["", "350 mm", "13-3/4 in", "-1 in", "1/0 in", "6 ft", "33,7", "mm", "in", "level line", "straightedge", "levelled",
     "on crown", "roof", "rear corner", "x" * 201, "33.7 x 2.6 tube", "120 kg", "\x07", "\u202e", "1e9", "nan"]
)  # fmt: skip
numbers = st.sampled_from(
    [0, -1, 1, 0.0, -0.0, 1e-300, 1e300, math.inf, -math.inf, math.nan, 10**40, 29_999, 600, 40]
) | (st.integers(-2000, 2000) | st.floats(-2000, 2000))
atoms = texts | numbers | st.booleans() | st.just(datetime.date(2001, 2, 3)) | st.just(datetime.time(4, 5))
keys = st.sampled_from(
    [
        "format",
        "units",
        "name",
        "x",
        "y",
        "z",
        "kind",
        "roof",
        "station",
        "mounts",
        "basket",
        "tube",
        "od",
        "half_width",
        "drops",
    ]
) | st.text(max_size=6)
values = st.recursive(
    atoms, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3), max_leaves=6
)


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> File:
    return tmp_path_factory.mktemp("presets") / "preset.toml"


def outcome(kind: str, file: File, content: bytes) -> BadInput | Shop | Vehicle | RackSpec:
    """Read a file; the law is that nothing but a record or `BadInput` comes of it."""
    file.write_bytes(content)
    try:
        record = READERS[kind](file)
    except BadInput as refusal:
        told(refusal, file, content)
        return refusal
    assert isinstance(record, Shop | Vehicle | RackSpec)
    assert all(map(math.isfinite, floats(record)))
    return record


def told(refusal: BadInput, file: File, content: bytes) -> None:
    """Hold every mistake to what a mistake is: a file, a line in it, what would be right, all on one line."""
    assert refusal.mistakes
    for mistake in refusal.mistakes:
        assert mistake.file == str(file)
        assert mistake.wanted
        assert 0 <= mistake.line <= content.count(b"\n") + 1
        assert "\n" not in str(mistake)


def floats(value: object) -> Iterator[float]:
    """Give every number in a record."""
    if isinstance(value, float):
        yield value
    elif isinstance(value, tuple):
        for inner in value:
            yield from floats(inner)
    elif hasattr(value, "__dataclass_fields__"):
        for name in value.__dataclass_fields__:
            yield from floats(getattr(value, name))


class Writer:
    """Writes data as TOML and remembers the line of every key and entry that begins a line."""

    def __init__(self, data: dict[str, object]) -> None:
        self.rows: list[str] = []
        self.lines: dict[Path, int] = {}
        self.table(data, ())

    @property
    def text(self) -> str:
        return "\n".join(self.rows) + "\n"

    def table(self, data: dict[str, object], path: Path) -> None:
        for key, value in data.items():
            if not is_tables(value) and not isinstance(value, dict):
                self.rows.append(f"{quoted(key)} = {inline(value)}")
                self.lines[(*path, key)] = len(self.rows)
        for key, value in data.items():
            header = ".".join(quoted(k) for k in (*path, key) if isinstance(k, str))
            if isinstance(value, dict):
                self.rows += ["", f"[{header}]"]
                self.lines[(*path, key)] = len(self.rows)
                self.table(value, (*path, key))
            elif is_tables(value):
                for place, entry in enumerate(value):
                    self.rows += ["# [comment] = ", f"[[{header}]]"]
                    self.lines[(*path, key, place)] = len(self.rows)
                    self.table(entry, (*path, key, place))


def is_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)


def quoted(text: str) -> str:
    return '"' + "".join(c if c.isprintable() and c not in '"\\' else f"\\U{ord(c):08x}" for c in text) + '"'


def inline(value: object) -> str:
    match value:
        case bool():
            return str(value).lower()
        case str():
            return quoted(value)
        case float():
            return repr(value)
        case list():
            return "[" + ", ".join(map(inline, value)) + "]"
        case dict():
            return "{" + ", ".join(f"{quoted(k)} = {inline(v)}" for k, v in value.items()) + "}"
        case datetime.date() | datetime.time():
            return value.isoformat()
        case _:
            return str(value)


def spots(value: object, path: Path = ()) -> Iterator[Path]:
    """Give the path of everything in parsed TOML."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, found in inner:
        yield (*path, key)
        yield from spots(found, (*path, key))


@laws
@given(which, st.binary(max_size=200))
def test_any_bytes(file: File, kind: str, content: bytes) -> None:
    outcome(kind, file, content)


@laws
@given(which, st.text(alphabet="ab=[]{}.,\"'#\n\\ 0-+_é", max_size=80))
def test_any_text_that_looks_like_toml(file: File, kind: str, text: str) -> None:
    outcome(kind, file, text.encode())


@laws
@given(which, st.dictionaries(keys, values, max_size=6))
def test_any_toml(file: File, kind: str, data: dict[str, object]) -> None:
    outcome(kind, file, Writer(data).text.encode())


@laws
@given(which, st.data())
def test_any_file_with_bytes_cut_out_or_put_in(file: File, kind: str, data: st.DataObject) -> None:
    content = bytearray(TEXTS[kind].encode())
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(content)))
        content[at : at + data.draw(st.integers(0, 20))] = data.draw(st.binary(max_size=4))
    outcome(kind, file, bytes(content))


@laws
@given(which, st.data())
def test_any_file_with_lines_moved_doubled_or_lost(file: File, kind: str, data: st.DataObject) -> None:
    rows = TEXTS[kind].splitlines()
    for _ in range(data.draw(st.integers(1, 4))):
        a, b = (data.draw(st.integers(0, len(rows) - 1)) for _ in range(2))
        match data.draw(st.sampled_from(["lose", "double", "swap"])):
            case "lose":
                del rows[a]
            case "double":
                rows.insert(b, rows[a])
            case _:
                rows[a], rows[b] = rows[b], rows[a]
    outcome(kind, file, "\n".join(rows).encode())


@settings(deadline=None, derandomize=True, max_examples=400)
@given(which, st.data())
def test_any_file_with_other_values(file: File, kind: str, data: st.DataObject) -> None:
    tree = tomllib.loads(TEXTS[kind])
    for _ in range(data.draw(st.integers(1, 3))):
        path = data.draw(st.sampled_from(sorted(spots(tree), key=str)))
        around: object = tree
        for step in path[:-1]:
            around = around[step]  # type: ignore[index]
        match data.draw(st.sampled_from(["value", "value", "lose", "key"])):
            case "value":
                around[path[-1]] = data.draw(values)  # type: ignore[index]
            case "lose":
                del around[path[-1]]  # type: ignore[attr-defined]
            case _:
                if isinstance(around, dict):
                    around[data.draw(keys)] = data.draw(values)
    outcome(kind, file, Writer(tree).text.encode())


@laws
@given(st.dictionaries(st.text(max_size=5), values, max_size=5))
def test_lines_are_those_that_were_written(data: dict[str, object]) -> None:
    written = Writer(data)
    if any(len(path) > limits.DEPTH for path in spots(data)):
        return
    found = places(written.text)
    for path, line in written.lines.items():
        assert found[path] == line, path
    # Everything that TOML reads there has a line.
    assert set(spots(tomllib.loads(written.text))) <= set(found)


@laws
@given(st.sampled_from(["shop", "vehicle", "straightedge"]), st.floats(0.98, 1.02))
def test_a_file_in_inches_is_the_same_as_its_twin_in_millimetres(file: File, kind: str, scale: float) -> None:
    tree = tomllib.loads(TEXTS[kind])
    degrees = {"level", "cross_level", "roll", "pitch", "lean", "rake"}
    others = degrees | {"format", "mass_per_area", "torque", "roof_limit", "side_plates"}

    def scaled(value: object, key: object, by: float) -> object:
        if isinstance(value, dict):
            return {k: scaled(v, k, by) for k, v in value.items()}
        if isinstance(value, list):
            return [scaled(v, key, by) for v in value]
        plain = isinstance(value, bool) or not isinstance(value, int | float)
        return value if plain or key in others else value * by

    metric = outcome(kind, file, Writer(scaled(tree, "", scale)).text.encode())  # type: ignore[arg-type]
    inches = {**scaled(tree, "", scale / 25.4), "units": "in"}  # type: ignore[dict-item]
    imperial = outcome(kind, file, Writer(inches).text.encode())
    if isinstance(metric, BadInput) or isinstance(imperial, BadInput):
        assert isinstance(metric, BadInput)
        assert isinstance(imperial, BadInput)
        assert [m.key for m in metric.mistakes] == [m.key for m in imperial.mistakes]
        return
    assert list(floats(imperial)) == pytest.approx(list(floats(metric)), rel=1e-9, abs=1e-9)
