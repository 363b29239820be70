# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false, reportArgumentType=false
# reportlab has no types.
"""Ink on pages, in mm from a page's lower left corner: all that is asked of the PDF library.

Every point is written where it is, at 72/25.4 of a mm, under no matrix: what a viewer, a plotter or a test reads off
the page is the drawing itself.
"""

from __future__ import annotations

import io
import math
from collections.abc import Generator, Sequence
from contextlib import contextmanager
from typing import Literal

from rackgen.export.paper.fonts import CAP, POINT, face, plain, width

Align = Literal["left", "centre", "right"]
XY = tuple[float, float]

BLACK, WHITE = 0.0, 1.0


class Ink:
    """A PDF being written, one page after the other."""

    def __init__(self, title: str, program: str) -> None:
        """Begin a file.

        Args:
            title: of the file.
            program: that writes it, with its version.
        """
        from reportlab.pdfgen.canvas import Canvas

        self._file = io.BytesIO()
        # A fixed date and id: the same pages give the same bytes.
        self._canvas = Canvas(self._file, invariant=1, pageCompression=1, initialFontName=face(False))
        self._canvas.setTitle(plain(title))
        self._canvas.setCreator(plain(program))
        self._canvas.setAuthor("")
        # A template that is fitted to the page is scrap; one printed on a back cannot be cut out.
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._canvas.setViewerPreference("Duplex", "Simplex")

    def page(self, wide: float, high: float, chapter: str = "") -> None:
        """Begin a page, mm; a chapter is listed in the viewer's margin."""
        self._canvas.setPageSize((wide / POINT, high / POINT))
        if chapter:
            key = f"page-{self._canvas.getPageNumber()}"
            self._canvas.bookmarkPage(key)
            self._canvas.addOutlineEntry(plain(chapter), key)

    def end_page(self) -> None:
        """End the page."""
        self._canvas.showPage()

    def finished(self) -> bytes:
        """Return the file."""
        self._canvas.save()
        return self._file.getvalue()

    def path(
        self,
        points: Sequence[XY],
        *,
        closed: bool = False,
        wide: float = 0.25,
        dash: Sequence[float] = (),
        grey: float = BLACK,
        fill: float | None = None,
        colour: tuple[float, float, float] | None = None,
    ) -> None:
        """Draw a line through points.

        Args:
            points: two at least, mm.
            closed: whether the last is joined to the first.
            wide: of the line, mm; 0 for none.
            dash: lengths on and off, mm; none for a full line.
            grey: of the line, 0 black to 1 white.
            fill: grey inside, None for nothing.
            colour: red, green, blue of the line, 0 to 1, instead of a grey.
        """
        c = self._canvas
        c.setLineWidth(wide / POINT)
        c.setDash([d / POINT for d in dash])
        c.setLineJoin(1)
        c.setLineCap(0 if dash else 1)
        if colour is None:
            c.setStrokeGray(grey)
        else:
            c.setStrokeColorRGB(*colour)
        if fill is not None:
            c.setFillGray(fill)
        p = c.beginPath()
        p.moveTo(points[0][0] / POINT, points[0][1] / POINT)
        for x, y in points[1:]:
            p.lineTo(x / POINT, y / POINT)
        if closed:
            p.close()
        c.drawPath(p, stroke=int(wide > 0), fill=int(fill is not None))

    def patch(self, points: Sequence[XY], colour: tuple[float, float, float]) -> None:
        """Fill a figure with a colour, red, green and blue from 0 to 1, without an outline; points in mm."""
        c = self._canvas
        c.setFillColorRGB(*colour)
        p = c.beginPath()
        p.moveTo(points[0][0] / POINT, points[0][1] / POINT)
        for x, y in points[1:]:
            p.lineTo(x / POINT, y / POINT)
        p.close()
        c.drawPath(p, stroke=0, fill=1)

    def line(self, x0: float, y0: float, x1: float, y1: float, wide: float = 0.18, grey: float = BLACK) -> None:
        """Draw a straight line, mm."""
        self.path(((x0, y0), (x1, y1)), wide=wide, grey=grey)

    def box(
        self,
        x: float,
        y: float,
        wide: float,
        high: float,
        line: float = 0.25,
        fill: float | None = None,
        grey: float = BLACK,
    ) -> None:
        """Draw a rectangle from its lower left corner, mm; a line of 0 for none."""
        corners = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))
        self.path(corners, closed=True, wide=line, fill=fill, grey=grey)

    def circle(self, x: float, y: float, radius: float, wide: float = 0.25, dash: Sequence[float] = ()) -> None:
        """Draw a circle, mm."""
        c = self._canvas
        c.setLineWidth(wide / POINT)
        c.setDash([d / POINT for d in dash])
        c.setStrokeGray(BLACK)
        c.circle(x / POINT, y / POINT, radius / POINT, stroke=1, fill=0)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        *,
        bold: bool = False,
        align: Align = "left",
        angle: float = 0.0,
        grey: float = BLACK,
    ) -> None:
        """Write one line.

        Args:
            x: of the point that `align` speaks of, mm.
            y: of the foot of the capitals there, mm.
            text: one line.
            size: points.
            bold: whether it is bold.
            align: which part of the line is at the point.
            angle: of the line, degrees anticlockwise.
            grey: 0 black to 1 white.
        """
        text = plain(text)
        if not text.strip():
            return
        back = {"left": 0.0, "centre": 0.5, "right": 1.0}[align] * width(text, size, bold)
        cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        writing = self._canvas.beginText()
        writing.setTextTransform(cos, sin, -sin, cos, (x - back * cos) / POINT, (y - back * sin) / POINT)
        writing.setFont(face(bold), size)
        writing.setFillGray(grey)
        writing.textOut(text)
        self._canvas.drawText(writing)

    @contextmanager
    def within(self, x: float, y: float, wide: float, high: float) -> Generator[None]:
        """Show what is drawn only inside a rectangle, mm."""
        c = self._canvas
        c.saveState()
        p = c.beginPath()
        p.rect(x / POINT, y / POINT, wide / POINT, high / POINT)
        c.clipPath(p, stroke=0, fill=0)
        yield
        c.restoreState()


def baseline(top: float, size: float, leading: float) -> float:
    """Return where the feet of a line of text stand, its capitals in the middle of the line; mm, size in points."""
    return top - (leading + CAP * size * POINT) / 2
