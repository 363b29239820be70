"""Straight tubes: axial force with buckling, bending both ways, shear, torsion, all together; holes; thin walls."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.geom import section as ring
from rackgen.geom.frame import Array, vec
from rackgen.parts.kinds import BentTube, TubeHole
from rackgen.parts.rack import PartId, Rack
from rackgen.refs.strengths import Strengths
from rackgen.spec.shop import Shop
from rackgen.strength.cuts import Cuts, chosen, cuts_of, forces_at
from rackgen.strength.held import Held, held
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel, Member
from rackgen.strength.sections import Borne, part_words, section_use, spots, weld_zones
from rackgen.strength.stocks import Wall, cited, design_wall, part_of, strengths, trust
from rackgen.strength.tube_strength import (
    SOURCE,
    TENSILE_FACTOR,
    YIELD_FACTOR,
    Bears,
    tube_bears,
    wall_class,
    wall_use,
)


@dataclass(frozen=True, eq=False)
class Tubes:
    """The tube members that are checked, and what is known of them.

    Attributes:
        cuts: the members.
        held: how they are held.
        parts: tubes by id.
        strong: their strengths by id.
        walls: their design walls by id.
    """

    cuts: Cuts
    held: Held
    parts: dict[PartId, BentTube]
    strong: dict[PartId, Strengths]
    walls: dict[PartId, Wall]

    @property
    def used(self) -> set[PartId]:
        """Ids of the parts that are checked."""
        return {m.part for m in self.cuts.members}

    @property
    def source(self) -> str:
        """Of formulas, strengths and walls."""
        return cited(self.strong, self.used, SOURCE, *(self.walls[p].source for p in sorted(self.used)))

    @property
    def tag(self) -> str:
        """The weakest of all figures; aluminium is held to steel's curves, which is an assumption."""
        metals = {self.parts[p].stock.material for p in self.used}
        more = ("memory", *(self.walls[p].tag for p in self.used), *(("assumed",) if metals - {"steel"} else ()))
        return trust(self.strong, self.used, *more)


def tubes_of(model: FrameModel, rack: Rack, shop: Shop, *, bent: bool) -> Tubes:
    """Return the straight or the bent tube members of a frame.

    Raises:
        RackgenError: a grade is not known.
    """
    parts = {p: t for p, t in part_of(rack).items() if isinstance(t, BentTube)}

    def keep(m: Member) -> bool:
        return m.kind == "tube" and m.part in parts and (m.bend > 0) == bent

    cuts = cuts_of(model, keep)
    walls = {p: design_wall(t.stock, t.fitted.wall) for p, t in parts.items()}
    return Tubes(cuts, held(model, rack), parts, strengths(model, rack, shop), walls)


def tube_limits(model: FrameModel, rack: Rack, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of straight tubes.

    Raises:
        RackgenError: a grade is not known.
    """
    tubes = tubes_of(model, rack, shop, bent=False)
    every = Tubes(cuts_of(model, lambda m: m.kind == "tube" and m.part in tubes.parts), tubes.held, tubes.parts,
                  tubes.strong, tubes.walls)  # fmt: skip
    if not every.cuts.members:
        return ()
    found = [_thin(every, rack)]
    if tubes.cuts.members:
        found.insert(0, _combined(tubes, rack))
    pierced = _pierced(every, rack)
    return (*found, *(() if pierced is None else (pierced,)))


def _combined(tubes: Tubes, rack: Rack) -> Limit:
    cuts = tubes.cuts
    whole: list[Bears] = []
    beside: list[Bears] = []
    for m in cuts.members:
        od, wall = tubes.parts[m.part].fitted.od, tubes.walls[m.part].wall
        s, reach = tubes.strong[m.part], tubes.held.reach[m.id]
        whole.append(tube_bears(od, wall, s.yield_, s.e, reach))
        beside.append(tube_bears(od, wall, s.welded_yield, s.e, reach))
    use = section_use(cuts, Borne.of(whole), Borne.of(beside), YIELD_FACTOR, weld_zones(cuts, tubes.held), around=True)
    return Limit(
        "tube-combined",
        "tube in axial force, bending, shear and torsion together",
        YIELD_FACTOR,
        "yield",
        tubes.source,
        tubes.tag,
        spots(cuts, rack, tubes.held, whole, beside, _wall_words(tubes)),
        use,
    )


def _wall_words(tubes: Tubes) -> str:
    found = dict.fromkeys(tubes.walls[p].words for p in sorted(tubes.used))
    return f" (on {' or '.join(found)})"


def _thin(tubes: Tubes, rack: Rack) -> Limit:
    """Return the gate on D/t: thicker than this no formula here is reduced for a wall that buckles by itself."""
    by_id = {p.id: p for p in rack.placed}
    first: dict[PartId, int] = {}
    for i, m in enumerate(tubes.cuts.members):
        first.setdefault(m.part, i)
    rows: list[float] = []
    places: list[Spot] = []
    for part, i in first.items():
        tube, wall, s = tubes.parts[part].fitted, tubes.walls[part].wall, tubes.strong[part]
        rows.append(wall_use(tube.od, wall, s.yield_, s.e))
        at = tubes.cuts.a[i]
        words = f"OD over wall {tube.od / wall:.1f}, class {wall_class(tube.od, wall, s.yield_)} of EN 1993-1-1"
        places.append(
            Spot(f"wall of {part_words(by_id, part)}", (part,), (float(at[0]), float(at[1]), float(at[2])), words)
        )
    column = np.array(rows)[:, None]

    def use(loaded: Loaded) -> Array:
        return np.broadcast_to(column, (len(rows), loaded.ends.shape[-1])).copy()

    source = "AISC 360 table B4.1 and EN 1993-1-1 table 5.2 (AISC from memory)"
    return Limit("tube-wall", "wall thick enough not to buckle by itself", 1.0, "OD over wall", source, "memory",
                 tuple(places), use)  # fmt: skip


def _pierced(tubes: Tubes, rack: Rack) -> Limit | None:
    """Return the check of rupture at each hole: pull, and the bending that pulls at the hole, on what it leaves."""
    found: list[tuple[int, float, TubeHole]] = []
    for i, m in enumerate(tubes.cuts.members):
        low, high = min(m.from_a, m.from_b), max(m.from_a, m.from_b)
        share = tubes.cuts.length[i] / (m.from_b - m.from_a)
        # What a plug weld fills is whole again.
        holes = [h for h in tubes.parts[m.part].holes if low <= h.at < high and h.purpose != "plug weld"]
        found += [(i, (h.at - m.from_a) * share, h) for h in holes]
    if not found:
        return None
    some = chosen(tubes.cuts, [i for i, _, _ in found])
    x = np.array([place for _, place, _ in found])
    rows: list[tuple[float, float, float, float, float]] = []
    places: list[Spot] = []
    by_id = {p.id: p for p in rack.placed}
    for m, along, (_, _, hole), a, b in zip(some.members, x / some.length, found, some.a, some.b, strict=True):
        od, wall = tubes.parts[m.part].fitted.od, tubes.walls[m.part].wall
        gone = hole.diameter * wall
        inertia = ring.second_moment(od, wall) - gone * ((od - wall) / 2) ** 2
        clock, tensile = math.radians(hole.clock), tubes.strong[m.part].welded_tensile
        rows.append((ring.area(od, wall) - gone, 2 * inertia / od, math.cos(clock), math.sin(clock), tensile))
        name = part_words(by_id, m.part)
        what = f"{name}, {hole.purpose} hole {hole.at:.0f} mm from its end A"
        bears = f"{tensile * 2 * inertia / od / 1e3:.0f} N·m to rupture at a hole of {hole.diameter:g} mm"
        places.append(Spot(what, (m.part,), vec(a + along * (b - a)), bears))
    area, modulus, cos, sin, tensile = (np.array(column)[:, None] for column in zip(*rows, strict=True))

    def use(loaded: Loaded) -> Array:
        f = forces_at(some, loaded.ends, x)
        # Clock 0 is the member's z: the fibre at the hole lies at (-sin, cos) of its y and z.
        pull, bend = np.maximum(f[:, 0], 0.0) / area, np.abs(f[:, 4] * cos + f[:, 5] * sin) / modulus
        return TENSILE_FACTOR * (pull + bend) / tensile

    return Limit("tube-hole", "tube torn through a hole", TENSILE_FACTOR, "tensile strength", tubes.source, tubes.tag,
                 tuple(places), use)  # fmt: skip
