"""Plates: the strips between what stands on them and their fasteners, mostly in bending."""

from __future__ import annotations

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts.kinds import CutPlate
from rackgen.parts.rack import Rack
from rackgen.spec.shop import Shop
from rackgen.strength.cuts import cuts_of
from rackgen.strength.flat_strength import SOURCE, flat_bears
from rackgen.strength.held import held
from rackgen.strength.limits import Limit
from rackgen.strength.model import FrameModel
from rackgen.strength.sections import Borne, section_use, spots
from rackgen.strength.stocks import cited, part_of, strengths, trust
from rackgen.strength.tube_strength import YIELD_FACTOR, Bears

WIDTHS = "width of plate that works as one strip: assumption of this program"


def plate_limits(model: FrameModel, rack: Rack, shop: Shop) -> tuple[Limit, ...]:
    """Return the check of plates as strips; their welded strength counts all along, for strips are short.

    Raises:
        RackgenError: a grade is not known.
    """
    parts = {p: plate for p, plate in part_of(rack).items() if isinstance(plate, CutPlate)}
    cuts = cuts_of(model, lambda m: m.kind == "plate" and m.part in parts)
    if not cuts.members:
        return ()
    strong, how = strengths(model, rack, shop), held(model, rack)
    used = {m.part for m in cuts.members}
    bears: list[Bears] = []
    for m in cuts.members:
        t, s = parts[m.part].thickness, strong[m.part]
        bears.append(flat_bears(m.properties.area / t, t, s.welded_yield, s.e, how.reach[m.id]))

    def nowhere(x: Array) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        return np.zeros(x.shape, dtype=bool)

    borne = Borne.of(bears)
    return (
        Limit(
            "plate-combined",
            "plate bent between what stands on it and its fasteners",
            YIELD_FACTOR,
            "yield",
            cited(strong, used, SOURCE, WIDTHS),
            trust(strong, used, "assumed"),
            spots(cuts, rack, how, bears, bears),
            section_use(cuts, borne, borne, YIELD_FACTOR, nowhere, around=False),
        ),
    )
