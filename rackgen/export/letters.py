# pyright: reportUnknownMemberType=false, reportUnknownVariableType=false, reportUnknownArgumentType=false
# matplotlib's font reader gives numpy arrays of no stated kind.
"""Letters as outlines, so that a DXF looks the same on every machine and needs no font there.

The font is matplotlib's bundled DejaVu Sans, read directly: no font is looked for on the machine.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from rackgen.geom.outline import Contour, Vertex, cleaned

CAP = 0.729
"""Height of DejaVu's capitals over its em."""

LEADING = 1.8
"""From one line of text to the next, over the height of capitals."""

CURVE = 2
"""Straight pieces for each curve of a letter: at capitals of 3.5 mm they are within 0.03 mm of it."""

Glyph = tuple[tuple[tuple[tuple[float, float], ...], ...], float]
"""Closed outlines and the advance to the next letter, in em."""


def lettering(text: str, height: float, x: float, y: float) -> tuple[Contour, ...]:
    """Return the closed outlines of one line of text.

    Args:
        text: one line.
        height: of capitals, mm.
        x: left end, mm.
        y: foot of the capitals, mm.
    """
    scale = height / CAP
    out: list[Contour] = []
    for letter in text:
        loops, advance = _glyph(letter)
        for loop in loops:
            # Letters are read, not measured: 0.001 mm keeps the files small.
            contour = cleaned(tuple(Vertex(round(x + px * scale, 3), round(y + py * scale, 3)) for px, py in loop))
            if len(contour) > 2:
                out.append(contour)
        x += advance * scale
    return tuple(out)


def text_width(text: str, height: float) -> float:
    """Return how long one line of text is, mm, for capitals of a height in mm."""
    return sum(_glyph(letter)[1] for letter in text) * height / CAP


def broken(text: str, height: float, width: float) -> tuple[str, ...]:
    """Return a text broken between words into lines no longer than `width` mm, capitals `height` mm high.

    A word that is longer than that keeps a line to itself.
    """
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, height) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


@lru_cache(maxsize=512)
def _glyph(letter: str) -> Glyph:
    import matplotlib
    from matplotlib.ft2font import FT2Font, LoadFlags

    font = FT2Font(str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"))
    glyph = font.load_char(ord(letter), flags=LoadFlags.NO_SCALE)
    points, codes = font.get_path()
    # Outlines come in 64ths of the font's own unit: move 1, line 2, curve with one control point 3, close 79.
    em = font.units_per_EM
    loops: list[tuple[tuple[float, float], ...]] = []
    loop: list[tuple[float, float]] = []
    control: tuple[float, float] | None = None
    for (px, py), code in zip(points.tolist(), codes.tolist(), strict=True):
        p = (px * 64 / em, py * 64 / em)
        if code == 1:
            loop = [p]
        elif code == 2:
            loop.append(p)
        elif code == 3 and control is None:
            control = p
        elif code == 3 and control is not None:
            loop += [_on_curve(loop[-1], control, p, k / CURVE) for k in range(1, CURVE + 1)]
            control = None
        elif code == 79:
            loops.append(tuple(loop))
    return tuple(loops), glyph.horiAdvance / em


def _on_curve(a: tuple[float, float], c: tuple[float, float], b: tuple[float, float], t: float) -> tuple[float, float]:
    u = 1 - t
    return (
        u * u * a[0] + 2 * u * t * c[0] + t * t * b[0],
        u * u * a[1] + 2 * u * t * c[1] + t * t * b[1],
    )
