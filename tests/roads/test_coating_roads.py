"""Surface by arithmetic against the surface of triangles, which are made in another way."""

import dataclasses
import math

import numpy as np
import pytest
from numpy.typing import NDArray

from rackgen import job
from rackgen.mesh.triangles import triangles
from rackgen.parts import skin
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, Part
from rackgen.parts.marks import lines
from rackgen.sheets.coating import finish
from rackgen.spec.read import read_job
from rackgen.spec.stock import Expanded

RACKS = ("demo", "survey-crew")


def triangle_areas(part: Part) -> NDArray[np.float64]:
    """Return the area of each of a part's triangles, mm²."""
    mesh = triangles(part)
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    return np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2


def area(part: Part) -> float:
    """Return the surface of a part's triangles, mm²."""
    return float(triangle_areas(part).sum())


@pytest.mark.parametrize("name", RACKS)
def test_bars_and_plates_have_the_surface_of_their_triangles(name: str) -> None:
    """Within 0.5 %: triangles of folds and breaks are chords, and a broken plate's flat is taken at mid-thickness."""
    found = 0
    for line in lines(job.design(read_job(name)).rack):
        part = line.part
        if isinstance(part, FoldedBar) or (isinstance(part, CutPlate) and not isinstance(part.stock.section, Expanded)):
            assert skin.outside(part) == pytest.approx(area(part), rel=5e-3), line.mark
            found += 1
    assert found >= 8


@pytest.mark.parametrize("name", RACKS)
def test_straight_tubes_have_the_surface_of_their_outer_and_inner_triangles(name: str) -> None:
    """Within 0.3 %: a triangle belongs to a side when all its corners lie on it; holes are missing in neither."""
    found = 0
    for line in lines(job.design(read_job(name)).rack):
        part = line.part
        if not isinstance(part, BentTube) or part.slit is not None or part.spine.bends:
            continue
        plain = dataclasses.replace(part, holes=())
        mesh = triangles(plain)
        radius = np.hypot(mesh.vertices[:, 1], mesh.vertices[:, 2])[mesh.faces]
        each = triangle_areas(plain)
        for side, worked_out in ((part.section.od, skin.outside(plain)), (part.section.inner, skin.inside(plain))):
            on = (np.abs(radius - side / 2) < 1e-6).all(axis=1)
            assert worked_out == pytest.approx(each[on].sum(), rel=3e-3), line.mark
        found += 1
    assert found >= 5


@pytest.mark.parametrize("name", RACKS)
def test_bent_tubes_have_the_surface_of_their_triangles(name: str) -> None:
    """Within 0.5 %, square end faces added."""
    found = 0
    for line in lines(job.design(read_job(name)).rack):
        part = line.part
        if not isinstance(part, BentTube) or not part.spine.bends or part.end_a or part.end_b:
            continue
        plain = dataclasses.replace(part, holes=())
        faces = 2 * math.pi / 4 * (part.section.od**2 - part.section.inner**2)
        assert skin.outside(plain) + skin.inside(plain) + faces == pytest.approx(area(plain), rel=5e-3), line.mark
        found += 1
    assert found >= 1


def test_bought_parts_have_no_coat() -> None:
    rack = job.design(read_job("demo")).rack
    bought = {line.mark for line in lines(rack) if isinstance(line.part, Bought)}
    coated = {p.mark for p in finish(rack, read_job("demo").shop).parts}
    assert bought
    assert not bought & coated
