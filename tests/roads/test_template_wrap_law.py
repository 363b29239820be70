"""A wrap as it is printed: its path is read off the PDF, laid round a tube of its OD, and the tube seats.

The path is read by a PDF reader that did not write it, in points of 1/72 in. Its girth is that of the paper's outside;
the cut tube is put together and held against its header by the wrap law of test_wrap_law.
"""

import io
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream
from small_rack import MM
from test_wrap_law import END_A, END_B, Header, header, sawn, wall

from rackgen.export.paper.pdf import pdf_bytes
from rackgen.geom import cope
from rackgen.geom.frame import Frame
from rackgen.geom.spine import Spine
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.pages import Station
from rackgen.sheets.stamp import Stamp
from rackgen.sheets.template_sizes import TAB
from rackgen.sheets.wrap_templates import wrap_templates
from rackgen.spec.paper import Paper
from rackgen.spec.stock import Round, Stock

POINT = 25.4 / 72
SEATS_WITHIN = 0.05
LONG = 500.0
STAMP = Stamp("tried", "0", "rackgen")
PAPERS = [Paper("A4", 0.1), Paper("letter", 0.3)]


@dataclass(frozen=True)
class Path:
    """A path on a page, mm, and whether its line is dashed."""

    points: np.ndarray
    dashed: bool


def paths(page: object, reader: PdfReader) -> list[Path]:
    """Give every open path that is stroked on a page; no matrix may stand over them."""
    out: list[Path] = []
    points: list[tuple[float, float]] = []
    dashed = closed = False
    for operands, name in ContentStream(page.get_contents(), reader).operations:  # type: ignore[attr-defined]
        if name == b"cm":
            assert [float(v) for v in operands] == [1, 0, 0, 1, 0, 0]
        elif name == b"d":
            dashed = len(operands[0]) > 0
        elif name in (b"m", b"l"):
            points = [] if name == b"m" else points
            points.append((float(operands[0]) * POINT, float(operands[1]) * POINT))
        elif name == b"h":
            closed = True
        elif name in (b"S", b"n", b"f", b"B"):
            if name == b"S" and not closed:
                out.append(Path(np.array(points), dashed))
            points, closed = [], False
    return out


@dataclass(frozen=True)
class Printed:
    """A wrap on paper: its girth and height as printed, cut and dashed line from its lower left corner, mm."""

    girth: float
    high: float
    cut: np.ndarray
    dashed: np.ndarray


def printed(tube: BentTube, paper: Paper, gap: float) -> list[Printed]:
    """Give the wraps of a tube as they stand on the page, in reading order."""
    shop = replace(MM, paper=paper, fit_up_gap=gap)
    rack = Rack((Placed("tried", tube, Frame(), "bar", 2),), ())
    blocks = wrap_templates(rack, shop)
    reader = PdfReader(io.BytesIO(pdf_bytes([Station("t", "T", blocks)], STAMP, "mm", paper.size, "")))
    girth = math.pi * (tube.section.od + paper.thickness)
    out: list[Printed] = []
    for page in reader.pages:
        found = paths(page, reader)
        for edge in found:
            # The paper's edge: right, left and up, left and right again.
            if len(edge.points) != 4 or edge.dashed or abs(np.linalg.norm(edge.points[1] - edge.points[0]) - girth) > 2:
                continue
            origin, x = edge.points[1], edge.points[0] - edge.points[1]
            y = edge.points[2] - edge.points[1]
            wide, high = float(np.linalg.norm(x)), float(np.linalg.norm(y))
            assert abs(float(x @ y)) < 1e-3
            across, up = x / wide, y / high
            lines: dict[bool, np.ndarray] = {}
            for path in found:
                local = np.column_stack([(path.points - origin) @ across, (path.points - origin) @ up])
                if len(local) > 20 and abs(local[0, 0]) < 1e-3 and -1e-3 <= local[0, 1] <= high:
                    assert path.dashed not in lines
                    lines[path.dashed] = local
            out.append(Printed(wide, high, lines[False], lines[True]))
    return out


Law = tuple[Header, tuple[Frame, str, float], float]
"""A header, the end that lands on it, and how far in that was sawn."""


def seat(
    od: float, thick: float, header_od: float, angle: float, offset: float, clock: float
) -> tuple[BentTube, list[Law]]:
    """Give a straight tube with such a cope at both ends, and header, end and how far in it was sawn for each end."""
    ends: list[cope.End] = []
    law: list[Law] = []
    for where in (END_A, END_B):
        tube, _, sign = where
        inward = sign * np.asarray(tube.x)
        one = header(tube, inward, header_od / 2, angle, offset, clock, 60.0)
        end, taken = sawn((one.cut(tube, inward, od / 2),), od / 2)
        ends.append(end)
        law.append((one, where, taken))
    stock = Stock("tried", Round(od, thick), "steel", "E235", "bare", 6000.0)
    return BentTube(stock, Spine((LONG,)), ends[0], ends[1]), law


def gap_of(line: np.ndarray, girth: float, tube: BentTube, law: Law) -> float:
    """Give the least distance from its header of a tube that is cut square along a printed line."""
    one, (frame, _, sign), taken = law
    od, thick = tube.section.od, tube.section.wall
    on_steel = np.column_stack([line[:, 0] / girth * math.pi * od, line[:, 1]])
    return float(one.gap(wall(on_steel, od, thick, frame, sign * np.asarray(frame.x), taken)).min())


SEATS = [(33.7, 2.6, 33.7, 90.0, 0.0, 20.0), (26.9, 2.6, 33.7, 90.0, 3.4, 0.0), (33.7, 2.6, 48.3, 60.0, 2.0, 130.0),
         (48.3, 3.2, 48.3, 45.0, 0.0, 200.0), (25.4, 2.1, 38.1, 72.0, -4.0, 300.0)]  # fmt: skip


def wraps_of(sizes: tuple[float, ...], paper: Paper, gap: float = 0.0) -> list[tuple[Printed, BentTube, Law]]:
    """Give each end's printed wrap with the end that it is laid round; equal ends share one."""
    tube, law = seat(*sizes)
    found = printed(tube, paper, gap)
    assert len(found) in (1, 2)
    return [(wrap, tube, one) for wrap, one in zip(found if len(found) == 2 else found * 2, law, strict=True)]


@pytest.mark.parametrize("paper", PAPERS, ids=lambda p: p.size)
@pytest.mark.parametrize("sizes", SEATS, ids=lambda s: f"{s[0]} on {s[2]} at {s[3]:g}")
def test_a_tube_cut_along_the_printed_line_seats(sizes: tuple[float, ...], paper: Paper) -> None:
    for wrap, tube, law in wraps_of(sizes, paper):
        assert wrap.cut[-1, 0] == pytest.approx(wrap.girth, abs=1e-3)
        assert abs(gap_of(wrap.cut, wrap.girth, tube, law)) <= SEATS_WITHIN


@pytest.mark.parametrize("sizes", SEATS[:3])
def test_the_dashed_line_does_not_seat_without_grinding(sizes: tuple[float, ...]) -> None:
    for wrap, tube, law in wraps_of(sizes, PAPERS[0]):
        assert gap_of(wrap.dashed, wrap.girth, tube, law) < -4 * SEATS_WITHIN


def test_a_print_fitted_to_the_page_does_not_seat() -> None:
    # 97 % is what printers make of a page that they fit.
    for wrap, tube, law in wraps_of(SEATS[2], PAPERS[0]):
        assert abs(gap_of(0.97 * wrap.cut, 0.97 * wrap.girth, tube, law)) > 4 * SEATS_WITHIN


def test_the_other_end_does_not_seat_on_an_ends_wrap() -> None:
    # The line of clock 0 is one for both ends, so a cope that leans to clock 130 goes round the other way at B.
    (a, tube, at_a), (b, _, at_b) = wraps_of(SEATS[2], PAPERS[0])
    assert gap_of(a.cut, a.girth, tube, at_b) < -4 * SEATS_WITHIN
    assert gap_of(b.cut, b.girth, tube, at_a) < -4 * SEATS_WITHIN


@pytest.mark.parametrize("paper", PAPERS, ids=lambda p: p.size)
def test_the_print_is_full_size(paper: Paper) -> None:
    for sizes in SEATS[1:3]:
        for wrap, tube, _ in wraps_of(sizes, paper):
            # Bands of paper of that thickness round tubes: a tape round them reads this.
            assert wrap.girth == pytest.approx(math.pi * (tube.section.od + paper.thickness), abs=2e-3)
            assert wrap.high == pytest.approx(5 * round(wrap.high / 5), abs=2e-3)


def test_the_tab_is_wide_enough_to_glue() -> None:
    assert 8.0 <= TAB <= 10.0
