"""Tubes in their bends: the section as bending leaves it, under all forces together."""

from __future__ import annotations

from rackgen.geom.bent_wall import thinning
from rackgen.parts.rack import Rack
from rackgen.refs.registry import number
from rackgen.spec.shop import Shop
from rackgen.strength.bent_strength import SOURCE, bent_bears
from rackgen.strength.limits import Limit
from rackgen.strength.model import FrameModel
from rackgen.strength.sections import Borne, section_use, spots, weld_zones
from rackgen.strength.tube_limits import tubes_of
from rackgen.strength.tube_strength import YIELD_FACTOR, Bears


def bent_limits(model: FrameModel, rack: Rack, shop: Shop) -> tuple[Limit, ...]:
    """Return the check of tubes in their bends.

    No bend has been measured: each is taken as oval as is allowed, 8 % of the diameter.

    Raises:
        RackgenError: a grade is not known.
    """
    tubes = tubes_of(model, rack, shop, bent=True)
    cuts = tubes.cuts
    if not cuts.members:
        return ()
    oval = number("bend-ovality")
    whole: list[Bears] = []
    beside: list[Bears] = []
    thins: list[float] = []
    for m in cuts.members:
        od, wall = tubes.parts[m.part].fitted.od, tubes.walls[m.part].wall
        s, reach = tubes.strong[m.part], tubes.held.reach[m.id]
        for rows, fy in ((whole, s.yield_), (beside, s.welded_yield)):
            rows.append(bent_bears(od, wall, m.bend, fy, s.e, reach, oval.value / 100))
        thins.append(thinning(m.bend, od))
    use = section_use(cuts, Borne.of(whole), Borne.of(beside), YIELD_FACTOR, weld_zones(cuts, tubes.held), around=True)
    walls = dict.fromkeys(tubes.walls[p].words for p in sorted(tubes.used))
    note = f" (on {' or '.join(walls)}, thinned by up to {max(thins):.0f} % and {oval.value:g} % oval)"
    return (
        Limit(
            "bend-combined",
            "tube in its bend, thinned and oval, in axial force, bending, shear and torsion together",
            YIELD_FACTOR,
            "yield",
            "; ".join(dict.fromkeys([*tubes.source.split("; "), SOURCE, oval.cited])),
            tubes.tag,
            spots(cuts, rack, tubes.held, whole, beside, note),
            use,
        ),
    )
