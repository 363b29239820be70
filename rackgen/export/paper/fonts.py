# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false
# reportlab has no types.
"""The two faces of the pages, how long a text is, and how it is broken into lines.

Faces are matplotlib's bundled DejaVu Sans, found without loading matplotlib; no font is looked for on the machine. A
letter that they lack comes out as an empty box.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from rackgen.geom.glyphs import face_file

CAP = 0.729
"""Height of DejaVu's capitals over its em."""

POINT = 25.4 / 72
"""A point, mm."""

LEADING = 1.28
"""From one line to the next, over the em."""

_SOFT = re.compile(r"(?<=[./,_\-\[\]:;=@|\\])")
"""A word that is too long is broken behind one of these first."""


@lru_cache(maxsize=2)
def face(bold: bool) -> str:
    """Return the name of a face, after it was made known to the PDF library.

    Raises:
        RackgenError: its file is missing.
    """
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    name = "DejaVuSans-Bold" if bold else "DejaVuSans"
    pdfmetrics.registerFont(TTFont(name, str(face_file(name))))
    return name


def points(capitals: float) -> float:
    """Return the size in points whose capitals are so many mm high."""
    return capitals / CAP / POINT


def plain(text: str) -> str:
    """Return a text with every control character as a blank and every half of a broken letter as the sign for it."""
    if text.isprintable():
        return text
    return "".join(_plain(letter) for letter in text)


def _plain(letter: str) -> str:
    kind = unicodedata.category(letter)
    return "\ufffd" if kind == "Cs" else " " if kind == "Cc" else letter


@lru_cache(maxsize=16384)
def width(text: str, size: float, bold: bool = False) -> float:
    """Return how long one line of text is, mm, at a size in points."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(plain(text), face(bold), size)) * POINT


def wrapped(text: str, size: float, room: float, bold: bool = False) -> tuple[str, ...]:
    """Return a text as lines no longer than `room` mm; longer words are broken, line ends in the text are kept."""
    out: list[str] = []
    blank = width(" ", size, bold)
    for part in text.split("\n"):
        lines: list[str] = []
        # A line is as long as its words and blanks: letters are not drawn closer together in pairs.
        taken = 0.0
        for word in part.split():
            long = width(word, size, bold)
            if lines and taken + blank + long <= room:
                lines[-1] += f" {word}"
                taken += blank + long
            elif long <= room:
                lines.append(word)
                taken = long
            else:
                lines += _broken(word, size, room, bold)
                taken = width(lines[-1], size, bold)
        out += lines or [""]
    return tuple(out)


def longest_word(text: str, size: float, most: float, bold: bool = False) -> float:
    """Return the length of the longest piece that stays whole, mm.

    A word over `most` mm may be broken behind its dots and dashes, over twice that anywhere.
    """
    found = 0.0
    for word in text.split():
        long = width(word, size, bold)
        if long > most:
            long = max((width(piece, size, bold) for piece in _SOFT.split(word) if piece), default=0.0)
        found = max(found, min(long, 2 * most))
    return found


def fitted(text: str, size: float, room: float, bold: bool = False) -> str:
    """Return one line of text, its end replaced by … where it is longer than `room` mm."""
    text = " ".join(plain(text).split())
    if width(text, size, bold) <= room:
        return text
    while text and width(text + "…", size, bold) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def _broken(word: str, size: float, room: float, bold: bool) -> list[str]:
    """Return a word that is too long in pieces: behind its dots and dashes, else between any two letters."""
    pieces: list[str] = []
    for soft in _SOFT.split(word):
        if pieces and width(pieces[-1] + soft, size, bold) <= room:
            pieces[-1] += soft
        elif width(soft, size, bold) <= room:
            pieces.append(soft)
        else:
            pieces += _letters(soft, size, room, bold)
    return [p for p in pieces if p]


def _letters(word: str, size: float, room: float, bold: bool) -> list[str]:
    pieces = [""]
    for letter in word:
        if pieces[-1] and width(pieces[-1] + letter, size, bold) > room:
            pieces.append("")
        pieces[-1] += letter
    return pieces
