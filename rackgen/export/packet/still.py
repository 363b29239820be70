"""The rack as a plain picture of lines and areas, for browsers that draw no 3-D: painted from far to near."""

from __future__ import annotations

import numpy as np

from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import Array
from rackgen.geom.outline import polygon
from rackgen.mesh.sweep import along, evenly
from rackgen.parts.colours import COLOURS, Colour, colour
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.isometric import FRONT_LEFT, View, looking

STEP = 60.0
"""Tubes are painted in pieces of this length, mm, so that each lies at its own depth."""

INK = "#20262c"


def still(rack: Rack, title: str) -> str:
    """Return the rack seen askew from ahead, left and above, as SVG; bought parts are left out.

    Args:
        rack: resolved.
        title: as text that is safe in an attribute.
    """
    view = looking(FRONT_LEFT)
    sight = np.asarray(view.sight)
    found: list[tuple[float, str]] = []
    spots: list[Array] = []
    for placed in rack.placed:
        for deep, points, drawn in _pieces(placed, view, sight):
            found.append((deep, drawn))
            spots.append(points)
    if not spots:
        return f'<svg viewBox="0 0 10 10" role="img" aria-label="{title}"></svg>'
    every = np.concatenate(spots)
    low, high = every.min(axis=0) - 40.0, every.max(axis=0) + 40.0
    found.sort(key=lambda piece: (-piece[0], piece[1]))
    box = f"{low[0]:.0f} {-high[1]:.0f} {high[0] - low[0]:.0f} {high[1] - low[1]:.0f}"
    body = "".join(drawn for _, drawn in found)
    return f'<svg viewBox="{box}" role="img" aria-label="{title}" stroke-linejoin="round">{body}</svg>'


def _pieces(placed: Placed, view: View, sight: Array) -> list[tuple[float, Array, str]]:
    part = placed.part
    hue = colour(part)
    if isinstance(part, BentTube):
        line = placed.frame.points(along(part.spine, evenly(part.spine, 12.0)).origins)
        flat, deep = view.flat(line), line @ sight
        each = max(2, round(STEP / 12.0))
        out: list[tuple[float, Array, str]] = []
        for k in range(0, len(line) - 1, each):
            piece = flat[k : k + each + 1]
            way = _way(piece)
            out.append((float(deep[k : k + each + 1].mean()), piece, _rod(way, part.fitted.od, hue)))
        return out
    if isinstance(part, CutPlate):
        rim = polygon(part.outline, 1.0)
        faces = [placed.frame.points(np.column_stack([rim, np.full(len(rim), part.thickness)]))]
    elif isinstance(part, FoldedBar):
        half = part.section.width / 2
        faces = [
            placed.frame.points([f.point(p) for p in ((0, -half, 0), (long, -half, 0), (long, half, 0), (0, half, 0))])
            for f, long, fold in legs_and_arcs(part.flats, part.folds, part.section.thickness, part.section.width)
            if fold is None
        ]
    else:
        return []
    opacity = ' fill-opacity="0.55"' if hue == COLOURS["mesh"] else ""
    return [
        (
            float((face @ sight).mean()),
            view.flat(face),
            f'<path d="{_way(view.flat(face))}z" fill="{_rgb(hue)}"{opacity} stroke="{INK}" stroke-width="2"/>',
        )
        for face in faces
    ]


def _rod(way: str, od: float, hue: Colour) -> str:
    return (
        f'<path d="{way}" fill="none" stroke="{INK}" stroke-width="{od + 4:.1f}"/>'
        f'<path d="{way}" fill="none" stroke="{_rgb(hue)}" stroke-width="{od - 1:.1f}" stroke-linecap="square"/>'
    )


def _way(points: Array) -> str:
    return "M" + "L".join(f"{x:.0f} {-y:.0f}" for x, y in points)


def _rgb(hue: Colour) -> str:
    return "#" + "".join(f"{round(255 * c):02x}" for c in hue)
