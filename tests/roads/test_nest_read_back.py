"""The cutting files of nested sheets read back by GDAL, which did not write them, and held against shapely's blanks."""

import math
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from shapely import affinity
from small_sheets import blank, left_piece, plain, shop
from test_dxf_read_back import CLEARED, closed, entities, read

from rackgen import job
from rackgen.errors import NestError
from rackgen.export.nest_dxf import nest_files
from rackgen.geom import outline
from rackgen.geom.outline import rectangle
from rackgen.sheets.flats import Blank, RoundHole
from rackgen.sheets.nest import nest, nest_blanks
from rackgen.sheets.nest_records import Nest, PlateSheet
from rackgen.sheets.nest_rows import all_sheets, file_name, kerf_file_name
from rackgen.spec.read import read_job

KERF = 1.5


@pytest.fixture(autouse=True, scope="module")
def _fine_arcs():
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.25"})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def example() -> tuple[Nest, dict[str, Blank]]:
    """Give rounded plates with slots and holes, and plain ones, on a remnant and a sheet."""
    flat = [
        blank(
            "P1",
            outline.moved(rectangle(300, 120, 12), 35.0, -20.0),
            5,
            openings=(rectangle(60, 14, 3, (60, -20)),),
            holes=(RoundHole(-60.0, -30.0, 10.0), RoundHole(-60.0, 10.0, 20.0)),
        ),
        plain("P2", 90, 40, 3),
    ]
    return nest_blanks(flat, shop(left_piece(360, 300))), {b.mark: b for b in flat}


def wanted(sheet: PlateSheet, blanks: dict[str, Blank]) -> list[shapely.Polygon]:
    """Give every contour that is to be cut, outsides and insides, as a filled polygon in its place."""
    out: list[shapely.Polygon] = []
    for laid in sheet.pieces:
        made = blanks[laid.mark]
        outside = affinity.rotate(shapely.Polygon(outline.polygon(made.cut, 1e-4)), laid.angle, origin=(0, 0))
        dx, dy = laid.x - outside.bounds[0], laid.y - outside.bounds[1]
        inside = [shapely.Polygon(outline.polygon(o, 1e-4)) for o in made.openings]
        inside += [shapely.Point(h.x, h.y).buffer(h.diameter / 2, quad_segs=400) for h in made.holes]
        turned = [affinity.rotate(s, laid.angle, origin=(0, 0)) for s in inside]
        out += [affinity.translate(s, dx, dy) for s in (outside, *turned)]
    return out


def test_a_sheets_file_holds_the_contours_in_place_and_nothing_else(tmp_path: Path) -> None:
    found, blanks = example()
    files = nest_files(found, blanks, CLEARED)
    assert sorted(files) == ["nest-plate-4-1-cut.dxf", "nest-plate-4-2-cut.dxf"]
    for plate, sheet in all_sheets(found):
        data = files[file_name(found, plate, sheet)]
        assert set(entities(data)) <= {"LWPOLYLINE", "CIRCLE"}
        seen = read(data, tmp_path)
        assert set(seen) == {"cut"}
        assert all(closed(line) for line in seen["cut"])
        drawn = [shapely.Polygon(line) for line in seen["cut"]]
        want = wanted(sheet, blanks)
        assert len(drawn) == len(want)
        for shape in want:
            nearest = min(drawn, key=lambda d, s=shape: d.symmetric_difference(s).area)
            assert nearest.symmetric_difference(shape).area < 2e-4 * shape.area + 0.05
        # The sheet's own edges are not drawn, and nothing comes nearer to them than the margin.
        assert min(d.bounds[0] for d in drawn) == pytest.approx(10, abs=0.01)
        assert max(d.bounds[2] for d in drawn) <= sheet.length - 9.99


def test_arcs_stay_arcs() -> None:
    found, blanks = example()
    data = nest_files(found, blanks, CLEARED)["nest-plate-4-1-cut.dxf"].decode("cp1252")
    bulges = {
        round(abs(float(v)), 6)
        for c, v in zip(data.splitlines()[::2], data.splitlines()[1::2], strict=True)
        if c.strip() == "42"
    }
    assert round(math.tan(math.pi / 8), 6) in bulges


def test_inside_is_cut_before_outside() -> None:
    found, blanks = example()
    kinds = entities(nest_files(found, blanks, CLEARED)["nest-plate-4-1-cut.dxf"])
    assert kinds[:4] == ["CIRCLE", "CIRCLE", "LWPOLYLINE", "LWPOLYLINE"]


def test_the_kerf_is_drawn_only_when_asked_in_a_file_that_says_so(tmp_path: Path) -> None:
    found, blanks = example()
    plain_files = nest_files(found, blanks, CLEARED)
    files = nest_files(found, blanks, CLEARED, kerf_drawn=True)
    assert all(files[name] == data for name, data in plain_files.items())
    assert all("kerf-drawn" in name for name in files.keys() - plain_files.keys())
    for plate, sheet in all_sheets(found):
        seen = read(files[kerf_file_name(found, plate, sheet)], tmp_path)
        assert set(seen) == {"cut"}
        drawn = [shapely.Polygon(line) for line in seen["cut"]]
        outsides = {k for k, d in enumerate(drawn) if not any(o.contains(d) for o in drawn if o is not d)}
        want = wanted(sheet, blanks)
        assert len(drawn) == len(want)
        assert len(outsides) == len(sheet.pieces)
        for k, path in enumerate(drawn):
            edge = min(want, key=lambda w, p=path: w.symmetric_difference(p).area)
            points = np.array(path.exterior.segmentize(0.5).coords)
            away = shapely.distance(shapely.points(points), edge.exterior)
            # Every place of the cut's middle is half a kerf from the finished edge, outside or inside.
            assert float(np.abs(away - KERF / 2).max()) < 0.01
            assert path.contains(edge) if k in outsides else edge.contains(path)
            # By Steiner's formula the band between a convex edge and a path outside it is perimeter times width and
            # the ends of its corners.
            if k in outsides:
                band = edge.length * KERF / 2 + math.pi * (KERF / 2) ** 2
                assert path.area - edge.area == pytest.approx(band, rel=1e-3)


def test_a_hole_no_wider_than_the_kerf_is_refused() -> None:
    made = blank("P1", rectangle(100, 100), holes=(RoundHole(0, 0, 1.4),))
    found = nest_blanks([made], shop())
    assert nest_files(found, {"P1": made}, CLEARED)
    with pytest.raises(NestError, match="no wider than the kerf"):
        nest_files(found, {"P1": made}, CLEARED, kerf_drawn=True)
    slot = blank("P1", rectangle(100, 100), openings=(rectangle(30, 1.2),))
    with pytest.raises(NestError, match="no wider than the kerf"):
        nest_files(nest_blanks([slot], shop()), {"P1": slot}, CLEARED, kerf_drawn=True)


@pytest.mark.parametrize("rack", ["demo", "survey-crew"])
def test_both_shipped_racks_cut_all_their_plate(rack: str, tmp_path: Path) -> None:
    made = job.design(read_job(rack))
    found, blanks, said = nest(made.rack, made.job.shop)
    assert said == ()
    assert all(one.left_out == () for one in found.plates)
    files = nest_files(found, blanks, CLEARED, kerf_drawn=True)
    total = 0.0
    for plate, sheet in all_sheets(found):
        seen = read(files[file_name(found, plate, sheet)], tmp_path)
        drawn = [shapely.Polygon(line) for line in seen["cut"]]
        holes = [d for d in drawn if any(o.contains(d) for o in drawn if o is not d)]
        total += sum(d.area for d in drawn) - 2 * sum(d.area for d in holes)
    want = 0.0
    for b in blanks.values():
        if any(b.stock == one.plate for one in found.plates):
            out = sum(outline.area(o) for o in b.openings) + sum(math.pi / 4 * h.diameter**2 for h in b.holes)
            want += b.quantity * (outline.area(b.cut) - out)
    assert total == pytest.approx(want, rel=1e-4)
