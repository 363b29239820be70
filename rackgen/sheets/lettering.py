"""Texts inside drawings: how many letters go on a line, and blocks of lines. Nothing here knows a font."""

from __future__ import annotations

from collections.abc import Iterable

from rackgen.sheets.drawing import Words

SMALL = 2.4
"""Height of capitals that are read at arm's length, mm."""

LETTER = 0.95
"""Room for one letter over the height of capitals, by the widest faces of office print (common practice, no source)."""

LEADING = 1.75
"""From one line to the next over the height of capitals."""


def room(text: str, height: float, *, bold: bool = False) -> float:
    """Return the length that a line of text takes up at most, mm."""
    return len(text) * height * LETTER * (1.12 if bold else 1.0)


def broken(text: str, width: float, height: float, *, bold: bool = False) -> tuple[str, ...]:
    """Return a text as lines that fit into a width, mm; a longer word stays whole."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and room(longer, height, bold=bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def block(
    texts: Iterable[tuple[str, float, bool]], x: float, top: float, width: float
) -> tuple[tuple[Words, ...], float]:
    """Return texts as lines under each other, centred on `x`, and where the last of them ends, mm.

    Args:
        texts: each with the height of its capitals and whether it is bold.
        x: middle of the lines, mm.
        top: upper edge of the first, mm.
        width: that they may take up, mm.
    """
    out: list[Words] = []
    y = top
    for text, height, bold in texts:
        for line in broken(text, width, height, bold=bold):
            out.append(Words(x, y - height / 2, line, height, bold=bold))
            y -= height * LEADING
    return tuple(out), y


def depth(texts: Iterable[tuple[str, float, bool]], width: float) -> float:
    """Return how high a block is, mm."""
    return -block(texts, 0.0, 0.0, width)[1]
