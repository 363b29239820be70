# matplotlib's stubs leave its font reader unknown to the checker.
# pyright: reportUnknownMemberType=false, reportUnknownVariableType=false, reportUnknownArgumentType=false
# pyright: reportMissingTypeStubs=false
"""Lines and letters on pixels, and pixels as a PNG file: what is laid over a picture, whoever drew it.

Rows are counted from the top, as images are; places are given from the lower left corner, as drawings are.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from rackgen.export.callouts import Callout
from rackgen.geom.frame import Array
from rackgen.geom.glyphs import face_file
from rackgen.parts.colours import Colour

Pixels = NDArray[np.uint8]
"""Red, green, blue, shape (rows, columns, 3)."""

INK: Colour = (0.12, 0.14, 0.17)
WHITE: Colour = (1.0, 1.0, 1.0)


def png_bytes(pixels: Pixels) -> bytes:
    """Return pixels as a PNG file (ISO/IEC 15948): 8 bits a colour, each row as it differs from the one above."""
    high, wide, _ = pixels.shape
    rows = pixels.reshape(high, -1)
    differ = np.diff(rows, axis=0, prepend=np.zeros((1, rows.shape[1]), dtype=np.uint8)).astype(np.uint8)
    data = np.concatenate([np.full((high, 1), 2, dtype=np.uint8), differ], axis=1).tobytes()

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    head = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(data, 4)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def stroke(pixels: Pixels, a: Sequence[float], b: Sequence[float], hue: Colour, width: float) -> None:
    """Draw a straight line into pixels, its edges smoothed over one pixel.

    Args:
        pixels: written into.
        a: its begin, from the lower left corner.
        b: its end.
        hue: its colour.
        width: pixels.
    """
    high, wide, _ = pixels.shape
    p, q = np.array([a[0], high - a[1]]), np.array([b[0], high - b[1]])
    reach = width / 2 + 1.0
    low: NDArray[np.int_] = np.maximum(np.floor(np.minimum(p, q) - reach), 0).astype(int)
    top: NDArray[np.int_] = np.minimum(np.ceil(np.maximum(p, q) + reach), [wide - 1, high - 1]).astype(int)
    if (top < low).any():
        return
    x, y = np.meshgrid(np.arange(low[0], top[0] + 1) + 0.5, np.arange(low[1], top[1] + 1) + 0.5)
    way = q - p
    square = max(float(way @ way), 1e-9)
    share = np.clip(((x - p[0]) * way[0] + (y - p[1]) * way[1]) / square, 0.0, 1.0)
    off = np.hypot(x - p[0] - share * way[0], y - p[1] - share * way[1])
    _blend(pixels, low, np.clip(width / 2 + 0.5 - off, 0.0, 1.0), hue)


def letters(pixels: Pixels, text: str, at: Sequence[float], height: float, hue: Colour = INK) -> None:
    """Write one line with its middle at a place, on white.

    Args:
        pixels: written into.
        text: one line.
        at: from the lower left corner.
        height: of the capitals, pixels.
        hue: of the letters.
    """
    shape = _written(text, round(height))
    high, wide, _ = pixels.shape
    rows, columns = shape.shape
    pad = max(2, round(height * 0.3))
    corner = np.array([round(at[0] - columns / 2), round(high - at[1] - rows / 2)])
    corner = np.clip(corner, pad, [max(pad, wide - columns - pad), max(pad, high - rows - pad)])
    x, y = int(corner[0]), int(corner[1])
    pixels[max(0, y - pad) : y + rows + pad, max(0, x - pad) : x + columns + pad] = 255
    fits = shape[: high - y, : wide - x]
    _blend(pixels, corner, fits, hue)


@lru_cache(maxsize=256)
def _written(text: str, height: int) -> Array:
    """Return a line of letters as how much of each pixel they cover, 0 to 1."""
    from matplotlib.ft2font import FT2Font

    font = FT2Font(str(face_file("DejaVuSans-Bold")))
    # Capitals of DejaVu are 0.729 of its size high.
    font.set_size(height / 0.729, 72)
    font.set_text(text)
    font.draw_glyphs_to_bitmap(antialiased=True)
    return np.asarray(font.get_image(), dtype=float) / 255.0


def call_out(pixels: Pixels, marks: Sequence[Callout], height: float) -> None:
    """Write marks beside a picture, each with a line to its part.

    Args:
        pixels: written into.
        marks: where they stand.
        height: of the letters, pixels.
    """
    for one in marks:
        stroke(pixels, one.at, one.label, WHITE, 3.4)
        stroke(pixels, one.at, one.label, INK, 1.2)
        for width, hue in ((9.0, WHITE), (6.0, INK)):
            stroke(pixels, one.at, one.at, hue, width)
    for one in marks:
        letters(pixels, one.mark, one.label, height)


def _blend(pixels: Pixels, corner: NDArray[np.int_], cover: Array, hue: Colour) -> None:
    rows, columns = cover.shape
    part = pixels[corner[1] : corner[1] + rows, corner[0] : corner[0] + columns]
    cover = cover[: part.shape[0], : part.shape[1], None]
    part[:] = np.rint(part * (1 - cover) + np.array(hue) * 255 * cover).astype(np.uint8)
