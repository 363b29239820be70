"""Templates on paper against rulers that did not draw them: pixels of a page, and paths as another reader has them."""

import math
from collections import Counter

import numpy as np
import pypdf
import pytest
from pdf_pages import Path, ink, paths, read

from rackgen.export.paper.pdf import Paper, pdf_bytes, tile_count
from rackgen.sheets.drawing import Circle, Drawing, Stroke, Words
from rackgen.sheets.pages import Station, Template
from rackgen.sheets.stamp import Stamp

STAMP = Stamp("river <&> rack", "0123456789", "rackgen 0", ("hole-near-edge", "tube-clear"))
DPI = 600

WAVE = tuple((x / 2, 15 + 9.123456 * math.sin(x / 20)) for x in range(220))
OVAL = tuple((300 + 280 * math.cos(t / 90 * math.pi), 240 + 220 * math.sin(t / 90 * math.pi)) for t in range(180))
LONG = ((0.0, 0.0), (371.111, 0.0), (360.0, 83.333), (7.0, 90.0))

SMALL = Template(Drawing((Stroke(WAVE, "cut"), Words(50, 40, "T1 end A"))), "T1 end A", ("one note",))
LARGE = Template(Drawing((Stroke(OVAL, "cut", True), Circle(300, 240, 10, "mark"))), "P1")
SLIM = Template(Drawing((Stroke(LONG, "cut", True),)), "P2", ("first note", "second note"))


def printed(paper: Paper, *templates: Template) -> bytes:
    return pdf_bytes((Station("templates", "Templates", templates),), STAMP, "mm", paper, "pack")


def _runs(line: np.ndarray) -> list[tuple[int, int]]:
    """Return first and past-last place of every run of ink along a line of pixels."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (line > 0.3).astype(int), [0]])))
    return list(zip(edges[::2], edges[1::2], strict=True))


def bars(page: np.ndarray) -> list[float]:
    """Return the lengths of the level bars on a page, mm: between the middles of the ticks at their ends."""
    mm = DPI / 25.4
    out: list[float] = []
    for row in np.flatnonzero((page > 0.3).sum(axis=1) > 99.0 * mm):
        for a, b in _runs(page[row]):
            if not 99.0 < (b - a) / mm < 103.0:
                continue
            off = round(1.0 * mm)
            beside = page[row - off] * page[row + off]
            ends: list[float] = []
            for at in (a, b):
                near = np.arange(at - round(mm / 2), at + round(mm / 2))
                if beside[near].sum() > 0.5:
                    ends.append(float((near * beside[near]).sum() / beside[near].sum()))
            if len(ends) == 2:
                out.append((ends[1] - ends[0]) / mm)
    return out


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_check_bars_are_true_across_and_up_on_every_page(paper: Paper) -> None:
    data = printed(paper, SMALL, SLIM)
    for n in range(len(read(data).pages)):
        page = ink(data, n)
        for way in (page, page.T):
            found = bars(way)
            for wanted in (100.0, 101.6):
                near = [b for b in found if abs(b - wanted) < 0.5]
                assert near, f"no bar of {wanted} mm on page {n + 1}"
                assert max(abs(b - wanted) for b in near) < 0.05


def _cut(page: pypdf.PageObject, count: int) -> Path:
    found = [p for p in paths(page) if len(p.points) == count and abs(p.wide - 0.25) < 1e-3]
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_a_path_on_paper_is_the_drawing_itself(paper: Paper) -> None:
    page = read(printed(paper, SMALL)).pages[0]
    got, wanted = np.array(_cut(page, len(WAVE)).points), np.array(WAVE)
    assert np.abs((got - got[0]) - (wanted - wanted[0])).max() < 0.002


def _moves(pdf: pypdf.PdfReader, outline: tuple[tuple[float, float], ...]) -> list[tuple[np.ndarray, bool]]:
    """Return for every tile how far the drawing was moved, and whether it was turned; checks every point on the way."""
    out: list[tuple[np.ndarray, bool]] = []
    for page in pdf.pages:
        found = [p for p in paths(page) if len(p.points) == len(outline) and p.closed and abs(p.wide - 0.25) < 1e-3]
        if not found:
            continue
        got = np.array(found[0].points)
        upright = np.array(outline)
        turned = np.column_stack([-upright[:, 1], upright[:, 0]])
        fits = [np.abs((got - got[0]) - (p - p[0])).max() < 0.002 for p in (upright, turned)]
        assert any(fits)
        out.append((got[0] - (upright if fits[0] else turned)[0], not fits[0]))
    return out


def _crosses(page: pypdf.PageObject) -> list[np.ndarray]:
    lines = [np.array(p.points) for p in paths(page) if len(p.points) == 2 and abs(p.wide - 0.15) < 1e-3]
    level = [m.mean(axis=0) for m in lines if abs(np.ptp(m[:, 0]) - 10) < 0.01 and np.ptp(m[:, 1]) < 1e-6]
    upright = [m.mean(axis=0) for m in lines if abs(np.ptp(m[:, 1]) - 10) < 0.01 and np.ptp(m[:, 0]) < 1e-6]
    return [a for a in level if any(np.abs(a - b).max() < 1e-3 for b in upright)]


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_crosses_of_neighbouring_tiles_are_one_place_on_the_drawing(paper: Paper) -> None:
    for template, outline in ((LARGE, OVAL), (SLIM, LONG)):
        pdf = read(printed(paper, template))
        moves = _moves(pdf, outline)
        assert len(pdf.pages) == tile_count(template, paper) > 1
        # The outline is skipped on a tile that its box does not meet; none of these is such a one.
        assert len(moves) == len(pdf.pages)
        places: Counter[tuple[float, float]] = Counter()
        for page, (move, _) in zip(pdf.pages, moves, strict=True):
            found = _crosses(page)
            assert len(found) >= 2
            for cross in found:
                x, y = (cross - move).tolist()
                places[(round(x, 2) + 0.0, round(y, 2) + 0.0)] += 1
        assert min(places.values()) >= 2, "a cross without its like on the next tile"


def test_a_template_is_turned_where_that_saves_tiles() -> None:
    assert tile_count(SLIM, "A4") == 2
    moves = _moves(read(printed("A4", SLIM)), LONG)
    assert [turned for _, turned in moves] == [True, True]
    assert tile_count(SMALL, "A4") == 1


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_every_part_of_a_large_template_is_on_a_tile(paper: Paper) -> None:
    # The windows, as the clips have them, moved back onto the drawing, must cover the outline with a lap of 10 mm.
    pdf = read(printed(paper, LARGE))
    windows = []
    moves = _moves(pdf, OVAL)
    turned = moves[0][1]
    for page, (move, _) in zip(pdf.pages, moves, strict=True):
        frame = [p for p in paths(page) if len(p.points) == 4 and abs(p.wide - 0.1) < 1e-3]
        corners = np.array(frame[0].points) - move
        windows.append((corners.min(axis=0), corners.max(axis=0)))
    points = np.array(OVAL)
    points = np.column_stack([-points[:, 1], points[:, 0]]) if turned else points
    seen = [any((low < p).all() and (p < high).all() for low, high in windows) for p in points]
    assert all(seen)
    lefts = sorted({round(float(low[0]), 3) for low, _ in windows})
    wide = windows[0][1][0] - windows[0][0][0]
    assert all(lefts[i] + wide - lefts[i + 1] >= 10 for i in range(len(lefts) - 1))
