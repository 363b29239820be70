# pyright: reportUnknownMemberType=false, reportUnknownVariableType=false, reportUnknownArgumentType=false
# matplotlib's font reader gives numpy arrays of no stated kind.
"""Letters as closed outlines in em, from the DejaVu faces that come with matplotlib: no other font is looked for."""

from __future__ import annotations

import math
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Literal

from rackgen.errors import RackgenError

CAP = 0.729
"""Height of DejaVu's capitals over its em."""

Point = tuple[float, float]

Glyph = tuple[tuple[tuple[Point, ...], ...], float]
"""Closed outlines and the advance to the next letter, in em."""

Face = Literal["DejaVuSans", "DejaVuSans-Bold"]


def face_file(face: Face) -> Path:
    """Return the file of a face, found without loading matplotlib.

    Raises:
        RackgenError: it is not there, as where an installation was thinned out.
    """
    spec = find_spec("matplotlib")
    folders = [] if spec is None else list(spec.submodule_search_locations or ())
    files = [Path(folder) / "mpl-data" / "fonts" / "ttf" / f"{face}.ttf" for folder in folders]
    found = next((file for file in files if file.is_file()), None)
    if found is None:
        raise RackgenError(f"the font {face}.ttf that comes with matplotlib is missing: install matplotlib anew")
    return found


def known(letter: str, face: Face) -> bool:
    """Return whether a face has a letter of its own, and not its sign for what it lacks."""
    return _font(face).get_char_index(ord(letter)) != 0


def glyph(letter: str, face: Face, *, pieces: int = 0, deviation: float = 0.0) -> Glyph:
    """Return a letter's outlines.

    Args:
        letter: one character.
        face: which face.
        pieces: straight pieces for each curve; 0 for as many as `deviation` takes.
        deviation: how far chords may lie from curves, em.
    """
    loops, advance = _curves(letter, face)
    out: list[tuple[Point, ...]] = []
    for start, steps in loops:
        loop = [start]
        for control, end in steps:
            if control is None:
                loop.append(end)
                continue
            a = loop[-1]
            bow = math.hypot(a[0] - 2 * control[0] + end[0], a[1] - 2 * control[1] + end[1]) / 4
            n = pieces or max(1, math.ceil(math.sqrt(bow / deviation)))
            loop += [_on_curve(a, control, end, k / n) for k in range(1, n + 1)]
        out.append(tuple(loop))
    return tuple(out), advance


Steps = tuple[tuple[Point | None, Point], ...]
"""Sides of an outline: control point of a curve, or None, and where the side ends."""


@lru_cache(maxsize=512)
def _curves(letter: str, face: Face) -> tuple[tuple[tuple[Point, Steps], ...], float]:
    from matplotlib.ft2font import LoadFlags

    font = _font(face)
    found = font.load_char(ord(letter), flags=LoadFlags.NO_SCALE)
    points, codes = font.get_path()
    # Outlines come in 64ths of the font's own unit: move 1, line 2, curve with one control point 3, close 79.
    em = font.units_per_EM
    loops: list[tuple[Point, Steps]] = []
    start: Point = (0.0, 0.0)
    steps: list[tuple[Point | None, Point]] = []
    control: Point | None = None
    for (px, py), code in zip(points.tolist(), codes.tolist(), strict=True):
        p = (px * 64 / em, py * 64 / em)
        if code == 1:
            start, steps = p, []
        elif code == 2:
            steps.append((None, p))
        elif code == 3 and control is None:
            control = p
        elif code == 3:
            steps.append((control, p))
            control = None
        elif code == 79:
            loops.append((start, tuple(steps)))
    return tuple(loops), found.horiAdvance / em


@lru_cache(maxsize=4)
def _font(face: Face) -> Any:
    from matplotlib.ft2font import FT2Font

    return FT2Font(str(face_file(face)))


def _on_curve(a: Point, c: Point, b: Point, t: float) -> Point:
    u = 1 - t
    return (
        u * u * a[0] + 2 * u * t * c[0] + t * t * b[0],
        u * u * a[1] + 2 * u * t * c[1] + t * t * b[1],
    )
