"""The gap map in the view: the bands and letters of its page laid on the roof, and every part by its own least gap."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from rackgen.check.gap_map import GapMap
from rackgen.check.result import Gap
from rackgen.export.gap_map_drawing import LETTERS, banded, gap_map_drawing
from rackgen.export.gap_map_svg import COLOURS, band_words, bands
from rackgen.export.packet.scene import Record, packed
from rackgen.geom.frame import Array
from rackgen.geom.surface import Roof
from rackgen.mesh.mesh import Ints, Mesh
from rackgen.parts.names import part_name
from rackgen.sheets.drawing import Words
from rackgen.spec.rack import Gaps
from rackgen.units import Unit, shown_step, write_length

LIFT = 3.0
"""The map lies so far above the roof, mm, so that neither is seen through the other."""

TOLD = (
    "Least gap to the roof: on the roof of whatever stands over each place, on a part the least anywhere on it. "
    "Grey: sits on the body, or nothing was measured below it. The letters are those of the page."
)


def gaps(drawn: GapMap, found: tuple[Gap, ...], wish: Gaps, roof: Roof, unit: Unit) -> Record | None:
    """Return what the view needs to show the gap map, None where nothing stands over the measured roof.

    Args:
        drawn: the map.
        found: the gaps of every part, as the check has them.
        wish: wanted gaps, where bands change.
        roof: on which it is laid.
        unit: of the texts.
    """
    drawing = gap_map_drawing(drawn, wish, unit)
    if drawing is None:
        return None
    ends = bands(wish)
    mesh, counts = _laid(drawn, ends, roof)
    if not sum(counts):
        return None
    wide = max(len(row) for row in drawn.rows) * drawn.cell
    letters = [w for w in drawing.items if isinstance(w, Words) and w.text in LETTERS and 0.0 <= w.x <= wide]
    spots = np.array([(drawn.x - w.y, drawn.y + w.x) for w in letters]).reshape(-1, 2)
    return {
        "mesh": packed(mesh),
        "counts": counts,
        "bands": [
            {"letter": LETTERS[k], "colour": COLOURS[k], "words": f"{LETTERS[k]}: {band_words(ends, k, unit)} {unit}"}
            for k in range(len(ends) + 1)
        ],
        "letters": [
            {"text": w.text, "at": [round(float(v), 1) for v in at]}
            for w, at in zip(letters, np.column_stack([spots, _heights(roof, spots)]), strict=True)
        ],
        "parts": _by_part(found, ends),
        "tight": [
            {
                "at": [round(float(c), 1) for c in g.at],
                "part": g.part,
                "gap": f"{_say(g.gap, unit)} {unit}",
                "what": f"{g.mark} {part_name(g.word, g.part)}, {_say(g.limit, unit)} {unit} wanted",
            }
            for g in drawn.tight
            if g.at is not None and g.gap is not None and g.limit is not None
        ],
        "told": TOLD,
    }


def _say(mm: float, unit: Unit) -> str:
    return write_length(mm, unit, shown_step(unit, fine=True))


def _by_part(found: tuple[Gap, ...], ends: tuple[float, ...]) -> Mapping[str, int]:
    """Return the band of every part that has a gap."""
    return {g.part: sum(g.gap >= end for end in ends) for g in found if g.gap is not None and g.limit is not None}


def _laid(drawn: GapMap, ends: tuple[float, ...], roof: Roof) -> tuple[Mesh, list[int]]:
    """Return the map's places laid on the roof, those of the first band first, and how many triangles each band has."""
    grid = banded(drawn, ends)
    high, wide = grid.shape
    corners = _corners(drawn, high, wide, roof)
    faces: list[Ints] = []
    counts: list[int] = []
    for band in range(len(ends) + 1):
        i, j = np.nonzero(grid == band)
        a = i * (wide + 1) + j
        behind = a + wide + 1
        pair = np.concatenate([np.stack([a, behind, a + 1], 1), np.stack([a + 1, behind, behind + 1], 1)])
        pair = pair[np.isfinite(corners[pair.ravel(), 2]).reshape(-1, 3).all(axis=1)]
        faces.append(pair)
        counts.append(len(pair))
    used, where = np.unique(np.concatenate(faces), return_inverse=True)
    return Mesh(corners[used], where.reshape(-1, 3)), counts


def _corners(drawn: GapMap, high: int, wide: int, roof: Roof) -> Array:
    """Return the corners of every place on the roof; one beyond what was measured lies as high as places beside it."""
    x: Array = drawn.x + drawn.cell * np.arange(high + 1, dtype=float)
    y: Array = drawn.y + drawn.cell * np.arange(wide + 1, dtype=float)
    at = np.column_stack([np.repeat(x, wide + 1), np.tile(y, high + 1)])
    heights = _heights(roof, at).reshape(high + 1, wide + 1)
    half = drawn.cell / 2
    middles = _heights(roof, np.column_stack([np.repeat(x[:-1] + half, wide), np.tile(y[:-1] + half, high)]))
    padded = np.pad(middles.reshape(high, wide), 1, constant_values=np.nan)
    beside = np.stack([padded[1:, 1:], padded[1:, :-1], padded[:-1, 1:], padded[:-1, :-1]])
    known = np.isfinite(beside)
    mean = np.where(known, beside, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
    mean[~known.any(axis=0)] = np.nan
    return np.column_stack([at, np.where(np.isfinite(heights), heights, mean).ravel()])


def _heights(roof: Roof, flat: Array) -> Array:
    return np.asarray(roof.height(flat[:, 0], flat[:, 1]), dtype=float) + LIFT
