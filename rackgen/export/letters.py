"""Letters as outlines, so that a DXF looks the same on every machine and needs no font there.

The font is matplotlib's bundled DejaVu Sans, read directly: no font is looked for on the machine.
"""

from __future__ import annotations

from rackgen.geom.glyphs import CAP, Glyph, glyph
from rackgen.geom.outline import Contour, Vertex, cleaned

LEADING = 1.8
"""From one line of text to the next, over the height of capitals."""

CURVE = 2
"""Straight pieces for each curve of a letter: at capitals of 3.5 mm they are within 0.03 mm of it."""


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


def _glyph(letter: str) -> Glyph:
    return glyph(letter, "DejaVuSans", pieces=CURVE)
