"""Flat bars: axial force, bending across their thickness and on edge, torsion, together; in folds; through holes."""

from __future__ import annotations

from itertools import groupby

import numpy as np

from rackgen.geom.fold import din_6935_k, legs_and_arcs
from rackgen.geom.frame import Array, vec
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.rack import PartId, Rack
from rackgen.refs.strengths import Strengths
from rackgen.spec.shop import Shop
from rackgen.strength.cuts import Cuts, chosen, cuts_of, forces_at
from rackgen.strength.flat_strength import SOURCE, flat_bears, folded_thickness
from rackgen.strength.held import held
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel, Member
from rackgen.strength.sections import Borne, part_words, section_use, spots, weld_zones
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
    torn = _pierced(cuts, parts, strong, rack, (source, tag))
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
    cuts: Cuts, parts: dict[PartId, FoldedBar], strong: dict[PartId, Strengths], rack: Rack, said: tuple[str, str]
) -> Limit | None:
    """Return the check of rupture at each row of holes: pull and bending on what the row leaves."""
    found: list[int] = []
    places_x: list[float] = []
    rows: list[tuple[float, float, float, float]] = []
    places: list[Spot] = []
    by_id = {p.id: p for p in rack.placed}
    for i, m in enumerate(cuts.members):
        bar = parts[m.part]
        w, t = bar.section.width, bar.section.thickness
        tensile = strong[m.part].welded_tensile
        for s, holes in hole_rows(bar):
            if not min(m.from_a, m.from_b) <= s < max(m.from_a, m.from_b):
                continue
            net = w - sum(d for _, d in holes)
            edge = t * w**3 / 12 - sum(t * d**3 / 12 + d * t * y**2 for y, d in holes)
            share = (s - m.from_a) / (m.from_b - m.from_a)
            found.append(i)
            places_x.append(share * float(cuts.length[i]))
            rows.append((net * t, net * t**2 / 6, edge / (w / 2), tensile))
            name = part_words(by_id, m.part)
            what = f"{name}, {'hole' if len(holes) == 1 else 'holes'} {s:.0f} mm from its end A"
            bears = f"{tensile * net * t**2 / 6e3:.0f} N·m to rupture on {net:.0f} mm beside holes"
            places.append(Spot(what, (m.part,), vec(cuts.a[i] + share * (cuts.b[i] - cuts.a[i])), bears))
    if not found:
        return None
    some, x = chosen(cuts, found), np.array(places_x)
    area, flat, edge, tensile = (np.array(column)[:, None] for column in zip(*rows, strict=True))

    def use(loaded: Loaded) -> Array:
        f = forces_at(some, loaded.ends, x)
        pull, bend = np.maximum(f[:, 0], 0.0) / area, np.abs(f[:, 4]) / flat + np.abs(f[:, 5]) / edge
        return TENSILE_FACTOR * (pull + bend) / tensile

    source, tag = said
    title = "flat bar torn through its holes"
    return Limit("bar-hole", title, TENSILE_FACTOR, "tensile strength", source, tag, tuple(places), use)
