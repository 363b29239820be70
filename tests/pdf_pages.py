"""What stands on the pages of a PDF, read by libraries that did not write it."""

import io
from dataclasses import dataclass

import numpy as np
import pypdf
import pypdfium2 as pdfium
from pypdf.generic import ContentStream

MM = 25.4 / 72

XY = tuple[float, float]


@dataclass(frozen=True)
class Path:
    """A path as painted, mm from the page's lower left corner.

    Attributes:
        points: of its straight pieces and curves' ends.
        closed: whether it was closed.
        how: the operator that paints it.
        wide: of its line.
        clipped: whether a clip was in force.
    """

    points: tuple[XY, ...]
    closed: bool
    how: str
    wide: float
    clipped: bool


def paths(page: pypdf.PageObject) -> list[Path]:
    """Return every path of a page; refuses pages that put a matrix before their paths."""
    out: list[Path] = []
    points: list[XY] = []
    closed, wide, clips, kept = False, 1.0, 0, []
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        n = [float(o) for o in operands] if operator in (b"m", b"l", b"c", b"re", b"w", b"cm") else []
        match operator:
            case b"cm":
                assert n == [1, 0, 0, 1, 0, 0], "a matrix stands before the paths"
            case b"q":
                kept.append((wide, clips))
            case b"Q":
                wide, clips = kept.pop()
            case b"w":
                wide = n[0] * MM
            case b"m" | b"l" | b"c":
                points.append((n[-2] * MM, n[-1] * MM))
            case b"re":
                x, y, w, h = (v * MM for v in n)
                points += [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
            case b"h":
                closed = True
            case b"S" | b"s" | b"f" | b"f*" | b"B" | b"B*" | b"b" | b"b*":
                out.append(Path(tuple(points), closed, operator.decode(), wide, clips > 0))
                points, closed = [], False
            case b"W" | b"W*":
                clips += 1
            case b"n":
                points, closed = [], False
            case _:
                pass
    return out


def read(data: bytes) -> pypdf.PdfReader:
    """Return a reader of a PDF."""
    return pypdf.PdfReader(io.BytesIO(data), strict=True)


def texts(data: bytes) -> list[str]:
    """Return the text of every page, as pdfium reads it."""
    document = pdfium.PdfDocument(data)
    out = [page.get_textpage().get_text_bounded() for page in document]
    document.close()
    return out


def letter_boxes(data: bytes) -> list[list[tuple[str, tuple[float, float, float, float]]]]:
    """Return every letter of every page with its box: left, bottom, right, top, mm."""
    document = pdfium.PdfDocument(data)
    out = []
    for page in document:
        text = page.get_textpage()
        found = []
        for i in range(text.count_chars()):
            letter = text.get_text_range(i, 1)
            if letter.strip():
                found.append((letter, tuple(v * MM for v in text.get_charbox(i))))
        out.append(found)
    document.close()
    return out


def ink(data: bytes, page: int, dpi: int = 600) -> np.ndarray:
    """Return a page as printed: 0 white to 1 black, row 0 at the top."""
    document = pdfium.PdfDocument(data)
    bitmap = document[page].render(scale=dpi / 72, grayscale=True)
    grey = bitmap.to_numpy().astype(float)
    document.close()
    return 1.0 - (grey[:, :, 0] if grey.ndim == 3 else grey) / 255.0
