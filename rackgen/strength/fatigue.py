"""Where to look for cracks: stress range of ±1 g on a rough track against the low end of EN 1993-1-9's categories.

A screen, never a life: nobody knows the track, the number of bumps, or the weld. Stresses are elastic and nominal, on
the design wall, thinned in bends, raised at the hollow side of folds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from rackgen.geom import section as ring
from rackgen.geom.bent_wall import thinning
from rackgen.geom.frame import Array, Vec
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.rack import PartId, Rack
from rackgen.refs.registry import Number, number
from rackgen.strength.bar_limits import hole_rows, thickness_in
from rackgen.strength.cuts import cuts_of, forces, thirds
from rackgen.strength.held import Weld, held
from rackgen.strength.model import FrameModel, Member
from rackgen.strength.rated import CrackPlace
from rackgen.strength.sections import NEAR, part_words, place_words
from rackgen.strength.stocks import design_wall, part_of

WORST = 5
"""How many places are named."""

SWING = 2.0
"""From 1 g down to 1 g up is twice the stress of 1 g."""

ALIKE = 0.9
"""Parts of one name that use this much of what the worst of them does are named with it."""

TIGHTEST = 0.1
"""A fold's inside radius counts as no less than this share of the thickness: sharper ones have no closed form."""


def crack_places(model: FrameModel, rack: Rack, ends: Array, most: int = WORST) -> tuple[CrackPlace, ...]:
    """Return the places to inspect for cracks, worst first, one for each kind of place on parts of one name.

    Args:
        model: the frame.
        rack: its parts.
        ends: end forces under 1 g of rack and load, as `Loaded.ends`, one case: (members, 2, 6).
        most: how many.
    """
    parts, by_id, how = part_of(rack), {p.id: p for p in rack.placed}, held(model, rack)
    cuts = cuts_of(model, lambda m: m.kind in ("tube", "bar", "plate") and m.part in parts)
    if not cuts.members:
        return ()
    _, f = forces(cuts, ends[..., None])
    best: dict[tuple[PartId, str], tuple[float, CrackPlace]] = {}
    for k, (m, s, at) in enumerate(thirds(cuts)):
        rows = f[k // 3, {0: slice(0, 1), 1: slice(1, -1), 2: slice(-1, None)}[k % 3], :, 0]
        part = parts[m.part]
        weld = min(
            (w for w in how.welds.get(m.part, ()) if abs(w.at - s) <= NEAR and k % 3 != 1),
            key=lambda w: (abs(w.at - s), w.other),
            default=None,
        )
        detail = _detail(part, m, weld, rack, between=k % 3 == 1)
        if detail is None:
            continue
        category, words = detail
        stress = SWING * max(_stress(part, m, row) for row in rows)
        what = f"{words}: {place_words(by_id, m, s, weld, between=k % 3 == 1)}"
        named = (m.part,) if weld is None or weld.other == m.part else (m.part, weld.other)
        place = _place(what, named, at, stress, category)
        key = (m.part, words)
        if key not in best or stress / category.value > best[key][0]:
            best[key] = (stress / category.value, place)
    found = sorted(((share, words, place) for (_, words), (share, place) in best.items()), key=_order)
    return tuple(_alike(rack, found)[:most])


def _order(row: tuple[float, str, CrackPlace]) -> tuple[float, tuple[PartId, ...], str]:
    return -round(row[0], 9), row[2].parts, row[2].what


def _alike(rack: Rack, found: Sequence[tuple[float, str, CrackPlace]]) -> list[CrackPlace]:
    """Return the places, those of one kind on parts of one name as one place at the worst of them.

    Parts that are within a tenth of the worst are named with it.
    """
    by_id = {p.id: p for p in rack.placed}
    word = {p.id: p.word for p in rack.placed}
    groups: dict[tuple[str, str], list[tuple[float, CrackPlace]]] = {}
    for share, words, place in found:
        groups.setdefault((word.get(place.parts[0], place.parts[0]), words), []).append((share, place))
    out: list[CrackPlace] = []
    for rows in groups.values():
        worst, first = rows[0]
        others = [place.parts[0] for share, place in rows[1:] if share >= ALIKE * worst]
        what = first.what + (f"; as much on {'; '.join(part_words(by_id, p) for p in others)}" if others else "")
        out.append(replace(first, what=what, parts=(*first.parts, *others)))
    return out


def _place(what: str, parts: tuple[PartId, ...], at: Vec, stress: float, category: Number) -> CrackPlace:
    return CrackPlace(what, parts, at, stress, category.value, category.cited)


def _detail(
    part: BentTube | FoldedBar | CutPlate, m: Member, weld: Weld | None, rack: Rack, *, between: bool
) -> tuple[Number, str] | None:
    """Return the category of a place and what it is in words; None where the metal is plain."""
    if isinstance(part, CutPlate):
        return number("crack-edge"), "edge of the plate"
    if weld is not None:
        on = next((p.part for p in rack.placed if p.id == weld.other), None)
        if isinstance(part, FoldedBar) or not isinstance(on, BentTube):
            return number("crack-fillet"), "toe of the weld"
        joined = {j.kind for j in rack.joints if {j.a.part, j.b.part} == {m.part, weld.other}}
        if "butt with sleeve" in joined:
            return number("crack-butt"), "butt"
        return number("crack-coped"), "toe of the weld"
    if m.bend > 0:
        return number("crack-edge"), "bend" if isinstance(part, BentTube) else "fold line"
    if isinstance(part, FoldedBar) and between and _net(part, m) < part.section.width:
        return number("crack-edge"), "holes"
    return None


def _net(bar: FoldedBar, m: Member) -> float:
    """Return the least width that holes leave of a bar within a member, mm."""
    low, high = min(m.from_a, m.from_b) - 1e-6, max(m.from_a, m.from_b) + 1e-6
    gone = [sum(d for _, d in row) for s, row in hole_rows(bar) if low <= s <= high]
    return bar.section.width - max(gone, default=0.0)


def _stress(part: BentTube | FoldedBar | CutPlate, m: Member, force: Sequence[float] | Array) -> float:
    """Return the largest nominal stress on a cut, MPa."""
    n, _, _, _, my, mz = (abs(float(v)) for v in force)
    if isinstance(part, BentTube):
        od = part.fitted.od
        wall = design_wall(part.stock, part.fitted.wall).wall
        if m.bend > 0:
            wall *= 1 - thinning(m.bend, od) / 100
        return n / ring.area(od, wall) + math.hypot(my, mz) / ring.elastic_modulus(od, wall)
    if isinstance(part, CutPlate):
        t = part.thickness
        width = m.properties.area / t
        return n / (width * t) + my * 6 / (width * t**2) + mz * 6 / (t * width**2)
    width, t = _net(part, m), thickness_in(m, part.section.thickness)
    return n / (width * t) + fold_factor(m.bend, t) * my * 6 / (width * t**2) + mz * 6 / (t * width**2)


def fold_factor(radius: float, thickness: float) -> float:
    """Return how much more the hollow side of a curved bar is stressed in bending than a straight one's.

    Winkler's theory of curved bars of rectangular section (Timoshenko; from memory).

    Args:
        radius: of the fold at mid-thickness, mm; 0 for a straight bar.
        thickness: mm.
    """
    if radius <= 0:
        return 1.0
    inside = max(radius - thickness / 2, TIGHTEST * thickness)
    middle = inside + thickness / 2
    neutral = thickness / float(np.log((inside + thickness) / inside))
    return (neutral - inside) * thickness / (6 * (middle - neutral) * inside)
