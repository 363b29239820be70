"""DXF read back by GDAL, which did not write it, and by its plain text."""

import dataclasses
import math
import os
import subprocess
import sys
from functools import lru_cache
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from small_rack import MM, small_rack

from rackgen.export.dxf import Circle, Line, blank_files, dxf_bytes
from rackgen.export.wraps import wrap_files
from rackgen.geom import outline
from rackgen.sheets.flats import Blank, blanks
from rackgen.sheets.stamp import Stamp
from rackgen.sheets.wraps import Wrap, wraps

CLEARED = Stamp("small", "0123456789", "rackgen 0")
STOPPED = dataclasses.replace(CLEARED, stops=("clamp-short", "roof-gap"))
MARKING = dataclasses.replace(MM, table=dataclasses.replace(MM.table, can_mark=True, smallest_hole=4.0))


@pytest.fixture(autouse=True, scope="module")
def _fine_arcs():
    # GDAL breaks arcs into chords of 4 degrees unless told otherwise; at a quarter of one they are within 4e-7.
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.25"})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def read(data: bytes, folder: Path) -> dict[str, list[np.ndarray]]:
    """Give the lines of every layer as GDAL sees them."""
    path = folder / "drawing.dxf"
    path.write_bytes(data)
    meta, _, shapes, fields = pyogrio.raw.read(path)
    layers = dict(zip(meta["fields"], fields, strict=True))["Layer"]
    out: dict[str, list[np.ndarray]] = {}
    for shape, layer in zip(shapely.from_wkb(shapes), layers, strict=True):
        assert shape.geom_type == "LineString"
        out.setdefault(layer, []).append(np.array(shape.coords)[:, :2])
    return out


def closed(line: np.ndarray) -> bool:
    return float(np.linalg.norm(line[0] - line[-1])) < 1e-6


def area(line: np.ndarray) -> float:
    return abs(shapely.Polygon(line).area)


def entities(data: bytes) -> list[str]:
    """Give the kinds of all entities, from the text alone."""
    pairs = data.decode("cp1252").splitlines()
    tags = list(zip((code.strip() for code in pairs[::2]), pairs[1::2], strict=True))
    begin = tags.index(("2", "ENTITIES"))
    end = tags.index(("0", "ENDSEC"), begin)
    return [value for code, value in tags[begin:end] if code == "0"]


def header(data: bytes, name: str) -> str:
    lines = data.decode("cp1252").splitlines()
    return lines[lines.index(name) + 2].strip()


BLANKS = blanks(small_rack(), MM)[0]
WRAPS = wraps(small_rack(), MM)


@lru_cache(maxsize=2)
def pack(stamp: Stamp) -> dict[str, bytes]:
    return blank_files(BLANKS, stamp) | wrap_files(WRAPS, stamp)


@pytest.mark.parametrize(
    "blank", [b for b in (*BLANKS, *blanks(small_rack(), MARKING)[0]) if b.on_table], ids=lambda b: b.mark
)
def test_a_cutting_file_holds_the_blanks_closed_contours_and_nothing_else(blank: Blank, tmp_path: Path) -> None:
    data = blank_files([blank], CLEARED)[f"{blank.mark}-cut.dxf"]
    assert set(entities(data)) <= {"LWPOLYLINE", "CIRCLE"}
    assert entities(data).count("CIRCLE") == len(blank.holes)
    seen = read(data, tmp_path)
    assert set(seen) == {"cut"}
    assert all(closed(line) for line in seen["cut"])
    wanted = [abs(outline.area(c)) for c in (blank.cut, *blank.openings)]
    wanted += [math.pi / 4 * h.diameter**2 for h in blank.holes]
    assert len(seen["cut"]) == len(wanted)
    assert sorted(map(area, seen["cut"])) == pytest.approx(sorted(wanted), rel=3e-5)
    for hole in blank.holes:
        rings = [
            line
            for line in seen["cut"]
            if np.allclose(line.min(axis=0) + hole.diameter / 2, (hole.x, hole.y), atol=1e-3)
        ]
        assert len(rings) == 1


@pytest.mark.parametrize("blank", BLANKS, ids=lambda b: b.mark)
def test_a_marked_file_holds_everything(blank: Blank, tmp_path: Path) -> None:
    seen = read(pack(CLEARED)[f"{blank.mark}-marked.dxf"], tmp_path)
    assert len(seen["cut"]) == 1 + len(blank.openings) + len(blank.holes)
    crosses = [line for line in seen.get("centres", []) if not closed(line)]
    assert len(crosses) == 2 * len(blank.centres)
    middles = {tuple(np.round(line.mean(axis=0), 3)) for line in crosses}
    assert middles == {(round(h.x, 3), round(h.y, 3)) for h in blank.centres}
    assert len(seen.get("folds", [])) == len(blank.folds)
    assert seen["text"]
    assert all(closed(line) for line in seen["text"] + seen["mark"])
    # The mark stands on the steel, clear of every hole; the label stands beside it.
    steel = shapely.Polygon(outline.polygon(blank.outline))
    for line in seen["mark"]:
        letter = shapely.Polygon(line)
        assert steel.contains(letter)
        assert all(math.dist((h.x, h.y), p) > h.diameter / 2 for h in (*blank.holes, *blank.centres) for p in line)
    assert not any(steel.intersects(shapely.LineString(line)) for line in seen["text"])


def test_expanded_metal_has_no_cutting_file() -> None:
    floor = next(b for b in blanks(small_rack(), MM)[0] if b.word == "floor")
    assert list(blank_files([floor], CLEARED)) == [f"{floor.mark}-marked.dxf"]


@pytest.mark.parametrize("wrap", WRAPS, ids=lambda w: f"{w.mark}-{w.end}")
def test_a_wraps_cutting_file_is_one_open_line_over_one_girth(wrap: Wrap, tmp_path: Path) -> None:
    data = pack(CLEARED)[f"{wrap.mark}-{wrap.end}-wrap-cut.dxf"]
    assert entities(data) == ["LWPOLYLINE"]
    (line,) = read(data, tmp_path)["cut"]
    assert not closed(line)
    od = {"T2": 33.7, "T3": 26.9, "T5": 33.7}[wrap.mark]
    assert line[0, 0] == 0.0
    assert line[-1, 0] == pytest.approx(math.pi * od, abs=1e-6)
    assert line[0, 1] == line[-1, 1]
    assert np.all(np.diff(line[:, 0]) > 0)
    assert np.all(line[:, 1] >= 0)


@pytest.mark.parametrize("wrap", WRAPS, ids=lambda w: f"{w.mark}-{w.end}")
def test_a_wraps_marked_file_has_both_curves_and_the_lines(wrap: Wrap, tmp_path: Path) -> None:
    seen = read(pack(CLEARED)[f"{wrap.mark}-{wrap.end}-wrap-marked.dxf"], tmp_path)
    (template,), (outside,) = seen["cut"], seen["outside curve"]
    x = np.linspace(0, wrap.girth, 500)
    above = np.interp(x, *template.T) - np.interp(x, *outside.T)
    assert float(above.min()) > -0.01
    assert float(above.max()) > 1.0
    assert sorted(round(float(q[0, 0]) / wrap.girth, 6) for q in seen["quarters"]) == [0.25, 0.5, 0.75]
    assert sorted(float(s[0, 0]) for s in seen["seam"]) == pytest.approx([0.0, wrap.girth], abs=1e-5)
    assert sorted(float(s[0, 0]) for s in seen["clock"]) == pytest.approx([0.0, wrap.girth], abs=1e-5)
    # The label goes round the tube no more than once, and stands above the cut, on the metal that stays.
    letters = np.concatenate(seen["text"])
    assert 0 <= float(letters[:, 0].min()) <= float(letters[:, 0].max()) <= wrap.girth
    assert float(letters[:, 1].min()) > wrap.top


def test_units_are_millimetres_in_every_file() -> None:
    for data in pack(CLEARED).values():
        # DXF reference: $INSUNITS 4 is millimetres, $MEASUREMENT 1 metric; AC1024 is R2010.
        assert (header(data, "$INSUNITS"), header(data, "$MEASUREMENT"), header(data, "$ACADVER")) == (
            "4",
            "1",
            "AC1024",
        )


def test_a_rack_that_is_not_cleared_says_so_in_every_file(tmp_path: Path) -> None:
    good, bad = pack(CLEARED), pack(STOPPED)
    assert good.keys() == bad.keys()
    for name, data in bad.items():
        assert b"NOT CLEARED: clamp-short, roof-gap" in data
        assert b"0123456789" in data
        assert b"NOT CLEARED" not in good[name]
        if "cut" in name:
            assert entities(data) == entities(good[name])
        elif name.startswith(("T3-A", "P")):
            # And as text that can be read on the steel and on paper.
            assert len(read(data, tmp_path)["text"]) > len(read(good[name], tmp_path)["text"]) + 20


def test_the_same_rack_gives_the_same_bytes() -> None:
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    rack = small_rack()
    assert blank_files(blanks(rack, MM)[0], CLEARED) | wrap_files(wraps(rack, MM), CLEARED) == pack(CLEARED)
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


@settings(deadline=None, derandomize=True, max_examples=25)
@given(
    width=st.floats(30, 600),
    height=st.floats(30, 600),
    share=st.floats(0, 0.5),
    turned=st.floats(-180, 180),
    holes=st.lists(st.floats(1, 14), max_size=3),
)
def test_area_is_read_back_within_three_parts_in_100000(
    tmp_path_factory: pytest.TempPathFactory,
    width: float,
    height: float,
    share: float,
    turned: float,
    holes: list[float],
) -> None:
    contour = outline.turned(outline.rectangle(width, height, share * min(width, height)), turned)
    shapes = [Line("cut", contour), *(Circle("cut", 3.0 * k, 0.0, d) for k, d in enumerate(holes))]
    lines = read(dxf_bytes(shapes, CLEARED), tmp_path_factory.mktemp("dxf"))["cut"]
    assert area(lines[0]) == pytest.approx(outline.area(contour), rel=3e-5)
    assert [area(line) for line in lines[1:]] == pytest.approx([math.pi / 4 * d * d for d in holes], rel=3e-5)


def test_another_process_writes_the_same_bytes() -> None:
    # Sets of text come in another order in every process, unless the seed of their hashes is set.
    code = (
        "import hashlib\n"
        "from rackgen.export.dxf import Circle, dxf_bytes\n"
        "from rackgen.sheets.stamp import Stamp\n"
        "print(hashlib.sha256(dxf_bytes([Circle('cut', 0.0, 0.0, 8.0)], Stamp('r', 'v', 'p'))).hexdigest())\n"
    )

    def made(seed: int) -> str:
        environment = {**os.environ, "PYTHONHASHSEED": str(seed)}
        top = Path(__file__).resolve().parents[2]
        done = subprocess.run(
            [sys.executable, "-c", code], cwd=top, env=environment, capture_output=True, text=True, check=True
        )
        return done.stdout

    # Left to a set, the drawing's classes come in another order for seed 4 than for seed 1 (CPython 3.11).
    assert made(1) == made(4)
