"""Whether the shop can cut, drill and fold flat bar and plate: folds, holes, sheet and stick."""

from __future__ import annotations

import math

import numpy as np

from rackgen.check.bending import NOISE, too_long
from rackgen.check.folding import fold_findings
from rackgen.errors import Finding, Level
from rackgen.geom.fold import slant
from rackgen.geom.frame import Array, Vec
from rackgen.geom.outline import polygon
from rackgen.mesh.bar import bent, flat_begins, flat_outlines
from rackgen.mesh.plate import DEVIATION, heading, lifted
from rackgen.parts.kinds import CutPlate, FoldedBar
from rackgen.parts.rack import Placed
from rackgen.parts.unfold import blank_length
from rackgen.refs.registry import number
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Expanded, Panel, Sheet

LEAST_EDGE = 1.5
"""Range of EN 1993-1-3 Table 8.1 for blind rivets, in diameters from a hole's centre to an edge (from memory)."""

HOLE_TO_FOLD = 2.5
"""From a hole's edge to the inside of a fold, in thicknesses beyond the fold's radius (common practice, no source)."""

WIDEST_HOLE = 0.5
"""Widest hole in a bar, in widths of the bar (common practice, no source)."""


def bar_findings(placed: Placed, part: FoldedBar, shop: Shop) -> list[Finding]:
    """Return what cannot be sawn, folded or drilled in a bar as it is described."""
    out: list[Finding] = []
    need = blank_length(part, shop.folding)
    usable = part.stock.stick - 2 * shop.saw.end_trim
    if part.stock.stick and need > usable + NOISE:
        out.append(too_long(placed, need, usable))
    out += fold_findings(placed, part, shop)
    begins, rims = flat_begins(part), flat_outlines(part)
    slants = [slant(fold, part.section.thickness, part.section.width) for fold in part.folds]
    for hole in part.holes:
        x, y, d = begins[hole.flat] + hole.along, hole.across, hole.diameter
        at = placed.frame.point(bent(part, np.array([[x, y]]), part.section.thickness / 2)[0])
        rim = rims[hole.flat]
        sides = np.stack([rim, np.roll(rim, -1, axis=0)], axis=1)
        # The two ends of a flat that run into folds are no edges.
        low, high = begins[hole.flat], begins[hole.flat] + part.flats[hole.flat]
        inner = np.zeros(len(sides), dtype=bool)
        if hole.flat > 0:
            inner |= np.all(np.abs(sides[:, :, 0] - sides[:, :, 1] * slants[hole.flat - 1] - low) < 1e-6, axis=1)
        if hole.flat < len(part.flats) - 1:
            inner |= np.all(np.abs(sides[:, :, 0] + sides[:, :, 1] * slants[hole.flat] - high) < 1e-6, axis=1)
        out += _edge(placed, _to_sides((x, y), sides[~inner]), d, at)
        if d > WIDEST_HOLE * part.section.width + NOISE:
            out.append(_wide(placed, d, part.section.width, at))
        for k, edge in ((hole.flat - 1, hole.along), (hole.flat, part.flats[hole.flat] - hole.along)):
            if 0 <= k < len(part.folds):
                fold, t = part.folds[k], part.section.thickness
                # The limit of a fold with two radii is aslant, and the hole keeps its distance square to it.
                off = (edge - hole.across * slants[k]) / math.hypot(1.0, slants[k])
                out += _near_fold(placed, off - d / 2, t, fold.tightest, at)
    centres = np.array([(begins[h.flat] + h.along, h.across) for h in part.holes]).reshape(-1, 2)
    return out + _pitch(placed, centres, [h.diameter for h in part.holes])


def plate_findings(placed: Placed, part: CutPlate) -> list[Finding]:
    """Return what cannot be cut or drilled in a plate as it is described."""
    out = _sheet(placed, part)
    rows = [polygon(c, DEVIATION) for c in (part.outline, *part.openings)]
    sides = np.concatenate([np.stack([r, np.roll(r, -1, axis=0)], axis=1) for r in rows])
    for hole in part.holes:
        at = placed.frame.point(lifted(part, np.array([[hole.x, hole.y]]), part.thickness)[0])
        out += _edge(placed, _to_sides((hole.x, hole.y), sides), hole.diameter, at)
        for fold in part.breaks:
            d = heading(fold)
            off = abs((hole.y - fold.point[1]) * d[0] - (hole.x - fold.point[0]) * d[1])
            if off < hole.diameter / 2:
                out.append(_on_break(placed, off, hole.diameter, at))
    centres = np.array([(h.x, h.y) for h in part.holes]).reshape(-1, 2)
    return out + _pitch(placed, centres, [h.diameter for h in part.holes])


def _to_sides(point: tuple[float, float], sides: Array) -> float:
    """Return the distance from a point to the nearest of straight sides, shape (n, 2, 2), mm."""
    p, a = np.array(point), sides[:, 0]
    d = sides[:, 1] - a
    t = np.clip(np.einsum("ni,ni->n", p - a, d) / np.maximum(np.einsum("ni,ni->n", d, d), 1e-18), 0.0, 1.0)
    return float(np.linalg.norm(a + t[:, None] * d - p, axis=1).min())


def _edge(placed: Placed, off: float, diameter: float, at: Vec) -> list[Finding]:
    target = number("hole-edge")
    if off >= target.value * diameter - NOISE:
        return []
    least = off < LEAST_EDGE * diameter - NOISE
    wanted = LEAST_EDGE if least else target.value
    return [
        Finding(
            "hole-near-edge",
            Level.LOOK if least else Level.NOTE,
            (placed.id,),
            f"a {diameter:g} mm hole in {placed.word} is {off:.1f} mm ({off / diameter:.1f} diameters) from an edge, "
            f"not {wanted:g}",
            at=at,
            got=off,
            limit=wanted * diameter,
            source="EN 1993-1-3 Table 8.1, range (from memory)" if least else target.cited,
            help=f"move it in by {wanted * diameter - off:.1f} mm",
        )
    ]


def _pitch(placed: Placed, centres: Array, diameters: list[float]) -> list[Finding]:
    limit = number("hole-pitch")
    out: list[Finding] = []
    for i in range(len(centres)):
        for j in range(i + 1, len(centres)):
            off, d = float(np.hypot(*(centres[i] - centres[j]))), max(diameters[i], diameters[j])
            if off < limit.value * d - NOISE:
                out.append(
                    Finding(
                        "holes-close",
                        Level.LOOK,
                        (placed.id,),
                        f"two {d:g} mm holes in {placed.word} are {off:.1f} mm apart, not {limit.value * d:.1f}",
                        got=off,
                        limit=limit.value * d,
                        source=limit.cited,
                        help="spread them, or use fewer",
                    )
                )
    return out


def _near_fold(placed: Placed, edge: float, thickness: float, radius: float, at: Vec) -> list[Finding]:
    """Hold a hole's edge to 2.5 t + R from where the inside faces of a square fold meet: 2.5 t from its tangent."""
    need = HOLE_TO_FOLD * thickness
    if edge >= need - NOISE:
        return []
    return [
        Finding(
            "hole-near-fold",
            Level.LOOK,
            (placed.id,),
            f"a hole in {placed.word} ends {edge:.1f} mm before a fold of radius {radius:g} mm; it will pull oval",
            at=at,
            got=edge,
            limit=need,
            help=f"keep {need:.1f} mm, or drill it after folding",
        )
    ]


def _wide(placed: Placed, diameter: float, width: float, at: Vec) -> Finding:
    return Finding(
        "hole-wide",
        Level.LOOK,
        (placed.id,),
        f"a {diameter:g} mm hole takes {100 * diameter / width:.0f} % of the width of {placed.word}",
        at=at,
        got=diameter,
        limit=WIDEST_HOLE * width,
        help="use a smaller fastener or a wider bar",
    )


def _on_break(placed: Placed, off: float, diameter: float, at: Vec) -> Finding:
    return Finding(
        "hole-on-break",
        Level.NOTE,
        (placed.id,),
        f"a {diameter:g} mm hole in {placed.word} lies on its break; the fastener's head bears on two slopes",
        at=at,
        got=off,
        limit=diameter / 2,
        help="move the break or the hole, or put a thick washer under the head",
    )


def _sheet(placed: Placed, part: CutPlate) -> list[Finding]:
    section = part.stock.section
    assert isinstance(section, Sheet | Panel)
    if not section.width or not section.length:
        return []
    row = polygon(part.outline, DEVIATION)
    if isinstance(section, Expanded):
        # The long way lies along X and may not be turned; perforated sheet is alike both ways.
        size = np.ptp(row, axis=0)
        fits = size[0] <= section.length + NOISE and size[1] <= section.width + NOISE
    else:
        size, fits = np.ptp(row, axis=0), False
        for a in np.arange(0.0, 90.0, 1.0):
            c, s = math.cos(math.radians(a)), math.sin(math.radians(a))
            turned = np.sort(np.ptp(row @ np.array([[c, -s], [s, c]]), axis=0))
            fits = fits or bool(np.all(turned <= np.sort([section.width, section.length]) + NOISE))
    if fits:
        return []
    return [
        Finding(
            "larger-than-sheet",
            Level.STOP,
            (placed.id,),
            f"{placed.word} is {size[0]:.0f} × {size[1]:.0f} mm; a sheet of its stock is "
            f"{section.length:.0f} × {section.width:.0f} mm",
            at=placed.frame.origin,
            got=float(size.max()),
            limit=max(section.width, section.length),
            keys=() if isinstance(section, Panel) else ("stock",),
            help=_join(section, float(size[1])) if isinstance(section, Panel) else "make it in two pieces",
        )
    ]


def _join(section: Panel, across: float) -> str:
    """Return what to do about a floor panel larger than its sheet; panels are joined fore and aft, on a bearer."""
    if across > section.width + NOISE:
        return f"make the basket {across - section.width:.0f} mm narrower, or choose a wider sheet"
    return f"put a bearer within {section.length:.0f} mm of the panel's end, so that it is joined there"
