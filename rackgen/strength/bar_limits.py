"""Flat bars: axial force, bending across their thickness and on edge, torsion, together; in folds; through holes."""

from __future__ import annotations

from itertools import groupby

import numpy as np

from rackgen.geom.fold import din_6935_k, legs_and_arcs
from rackgen.geom.frame import Array
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.rack import PartId, Rack
from rackgen.refs.strengths import Strengths
from rackgen.spec.shop import Shop
from rackgen.strength.cuts import Cuts, cuts_of, forces, gathered, thirds
from rackgen.strength.flat_strength import SOURCE, flat_bears, folded_thickness
from rackgen.strength.held import Held, held
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel, Member
from rackgen.strength.sections import Borne, beside_weld, place_words, section_use, spots, weld_zones
from rackgen.strength.stocks import cited, part_of, strengths, trust
from rackgen.strength.tube_strength import TENSILE_FACTOR, YIELD_FACTOR, Bears

ONE_ROW = 1.0
"""Holes whose places along a bar are this near are one row across it, mm."""


def bar_limits(model: FrameModel, rack: Rack, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of flat bars.

    A fold is checked on what bending leaves of its thickness. Its inside is strained past yield when it is made; what
    that costs in cracks is the fatigue screen's and the fold check's affair, not a static one.

    Raises:
        RackgenError: a grade is not known.
    """
    parts = {p: b for p, b in part_of(rack).items() if isinstance(b, FoldedBar)}
    cuts = cuts_of(model, lambda m: m.kind == "bar" and m.part in parts)
    if not cuts.members:
        return ()
    strong, how = strengths(model, rack, shop), held(model, rack)
    used = {m.part for m in cuts.members}
    metals = {parts[p].stock.material for p in used}
    tag = trust(strong, used, "memory", *(("assumed",) if metals - {"steel"} else ()))
    whole: list[Bears] = []
    beside: list[Bears] = []
    for m in cuts.members:
        shape, s = parts[m.part].section, strong[m.part]
        t = thickness_in(m, shape.thickness)
        for rows, fy in ((whole, s.yield_), (beside, s.welded_yield)):
            rows.append(flat_bears(shape.width, t, fy, s.e, how.reach[m.id]))
    near = weld_zones(cuts, how)
    use = section_use(cuts, Borne.of(whole), Borne.of(beside), YIELD_FACTOR, near, around=False)
    source = cited(strong, used, SOURCE, "DIN 6935 for what a fold leaves")
    all_together = Limit(
        "bar-combined",
        "flat bar in axial force, bending both ways, shear and torsion together",
        YIELD_FACTOR,
        "yield",
        source,
        tag,
        spots(cuts, rack, how, whole, beside),
        use,
    )
    torn = _pierced(cuts, parts, strong, how, rack, (source, tag))
    return (all_together,) if torn is None else (all_together, torn)


def thickness_in(m: Member, thickness: float) -> float:
    """Return the thickness of a bar in a member, mm: less in a fold, whose mid-thickness radius is the member's."""
    if m.bend <= 0:
        return thickness
    inside = max(0.0, m.bend - thickness / 2)
    return min(thickness, folded_thickness(thickness, inside, din_6935_k(inside, thickness) / 2))


def hole_rows(bar: FoldedBar) -> tuple[tuple[float, tuple[tuple[float, float], ...]], ...]:
    """Return the rows of holes across a bar: place along it, mm, and each hole's place across and diameter."""
    begin: list[float] = []
    at = 0.0
    for _, length, fold in legs_and_arcs(bar.flats, bar.folds, bar.section.thickness, bar.section.width):
        if fold is None:
            begin.append(at)
        at += length
    found = sorted((begin[h.flat] + h.along, h.across, h.diameter) for h in bar.holes)
    rows = [list(row) for _, row in groupby(found, key=lambda h: round(h[0] / ONE_ROW))]
    return tuple((row[0][0], tuple((y, d) for _, y, d in row)) for row in rows)


def _pierced(
    cuts: Cuts,
    parts: dict[PartId, FoldedBar],
    strong: dict[PartId, Strengths],
    how: Held,
    rack: Rack,
    said: tuple[str, str],
) -> Limit | None:
    """Return the check of rupture where holes weaken a bar: pull and bending on what the weakest row leaves."""
    rows: list[int] = []
    left: list[tuple[float, float, float, float, float]] = []
    for i, m in enumerate(cuts.members):
        bar = parts[m.part]
        w, t = bar.section.width, bar.section.thickness
        nets: list[tuple[float, float, float, float]] = []
        low, high = min(m.from_a, m.from_b), max(m.from_a, m.from_b)
        for s, holes in hole_rows(bar):
            if low - 1e-6 <= s <= high + 1e-6:
                net = w - sum(d for _, d in holes)
                edge = t * w**3 / 12 - sum(t * d**3 / 12 + d * t * y**2 for y, d in holes)
                nets.append((net, net * t, net * t**2 / 6, edge / (w / 2)))
        if nets:
            net, area, flat, edge = min(nets)
            rows.append(i)
            left.append((area, flat, edge, strong[m.part].welded_tensile, net))
    if not rows:
        return None
    some = Cuts(tuple(cuts.members[i] for i in rows), cuts.index[rows], cuts.length[rows], cuts.a[rows], cuts.b[rows])
    area, flat, edge, tensile, _ = (np.array(column)[:, None, None] for column in zip(*left, strict=True))

    def use(loaded: Loaded) -> Array:
        _, f = forces(some, loaded.ends)
        pull = np.maximum(f[:, :, 0], 0.0) / area
        bend = np.abs(f[:, :, 4]) / flat + np.abs(f[:, :, 5]) / edge
        return gathered(TENSILE_FACTOR * (pull + bend) / tensile)

    by_id = {p.id: p for p in rack.placed}
    places = tuple(
        Spot(
            place_words(by_id, m, s, beside_weld(m, s, how), between=k % 3 == 1),
            (m.part,),
            at,
            f"{left[k // 3][3] * left[k // 3][1] / 1e3:.0f} N·m to rupture on {left[k // 3][4]:.0f} mm between holes",
        )
        for k, (m, s, at) in enumerate(thirds(some))
    )
    source, tag = said
    return Limit(
        "bar-hole", "flat bar torn through its holes", TENSILE_FACTOR, "tensile strength", source, tag, places, use
    )
