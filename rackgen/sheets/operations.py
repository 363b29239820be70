"""What has to be done to make one rack, counted from its own records: cuts, copes, bends, welds, metres and pieces."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from rackgen.geom import outline
from rackgen.geom.cope import Cope
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar
from rackgen.parts.rack import Rack
from rackgen.sheets.coating import Finish
from rackgen.sheets.flats import Blank
from rackgen.sheets.stick_records import StickNest
from rackgen.sheets.welds import WeldMap
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Round

Per = Literal["piece", "length", "area"]
"""How an operation is counted: pieces, metres or square metres."""


@dataclass(frozen=True)
class Operation:
    """One kind of work.

    Attributes:
        key: as the shop's file names its minutes; with `set-up` of it.
        words: what is counted, as the sheet says it.
        per: how it is counted.
        count: pieces, m or m² for one rack; how many set-ups for a set-up.
        set_up: whether it is a set-up, done once however many racks.
    """

    key: str
    words: str
    per: Per
    count: float
    set_up: bool = False

    @property
    def path(self) -> str:
        """The key of its minutes in the shop's file."""
        return f"labour.{'set_up' if self.set_up else 'minutes'}.{self.key}"


WORDS: Mapping[str, tuple[str, Per]] = MappingProxyType(
    {
        "saw_cut": ("saw cuts, facings and trims", "piece"),
        "coped_end": ("coped ends", "piece"),
        "bend": ("bends", "piece"),
        "fold": ("folds and breaks", "piece"),
        "pierce": ("contours begun on the table", "piece"),
        "table_cut": ("cut on the table", "length"),
        "mesh_cut": ("mesh trimmed", "length"),
        "hole": ("holes and slots drilled", "piece"),
        "fit": ("parts fitted and tacked", "piece"),
        "joint": ("welded joints begun and ended", "piece"),
        "weld": ("weld", "length"),
        "dress": ("butts dressed", "piece"),
        "coat": ("cleaned, masked and coated", "area"),
        "assemble": ("bought parts put on", "piece"),
        "dry_fit": ("dry fit on the vehicle, scribing, final fit", "piece"),
    }
)
SET_UPS: Mapping[str, str] = MappingProxyType(
    {
        "saw": "saw",
        "cope": "coping",
        "bend": "bender, for each die",
        "fold": "folding",
        "table": "cutting table, for each thickness",
        "drill": "drill",
        "weld": "welding table, stops and machine",
        "coat": "coating",
    }
)


def operations(
    rack: Rack, shop: Shop, nest: StickNest, blanks: tuple[Blank, ...], welds: WeldMap, finish: Finish
) -> tuple[Operation, ...]:
    """Return all work on one rack in work order, then the set-ups; what is not needed is left out.

    Args:
        rack: the rack.
        shop: says what bent tubes are trimmed by, and who coats.
        nest: of its sticks.
        blanks: of its bars and plates.
        welds: its weld map.
        finish: its coating.
    """
    count = dict.fromkeys(WORDS, 0.0)
    dies: set[float] = set()
    for stick in (s for one in nest.stocks for s in one.sticks):
        count["saw_cut"] += len(stick.cuts) + (2 if stick.fresh else 0)
    for placed in rack.placed:
        match placed.part:
            case BentTube() as tube:
                ends = (tube.end_a, tube.end_b)
                count["coped_end"] += sum(any(isinstance(cut, Cope) for cut in end) for end in ends)
                count["bend"] += len(tube.spine.bends)
                count["hole"] += len(tube.holes)
                # A bent tube's trim is sawn off after bending, both ends; a slit sleeve is slit twice along.
                count["saw_cut"] += 2 if tube.spine.bends and shop.trim_of(placed.word) else 0
                count["saw_cut"] += 2 if tube.slit is not None else 0
                if tube.spine.bends and isinstance(tube.stock.section, Round):
                    dies.add(tube.stock.section.od)
            case FoldedBar() as bar:
                count["fold"] += len(bar.folds)
                count["hole"] += len(bar.holes)
            case CutPlate() as plate:
                count["fold"] += len(plate.breaks)
            case Bought():
                count["assemble"] += 1
    thicknesses: set[float] = set()
    plates = {line.mark for line in blanks if line.mark.startswith("P")}
    for blank in (b for b in blanks if b.mark in plates):
        if not blank.on_table:
            count["mesh_cut"] += outline.perimeter(blank.outline) * blank.quantity / 1000
            continue
        holes = [math.pi * h.diameter for h in blank.holes]
        inner = [outline.perimeter(o) for o in blank.openings]
        count["pierce"] += (1 + len(holes) + len(inner)) * blank.quantity
        count["table_cut"] += (outline.perimeter(blank.cut) + sum(holes) + sum(inner)) * blank.quantity / 1000
        count["hole"] += (len(blank.centres) + len(blank.drilled)) * blank.quantity
        thicknesses.add(round(blank.thickness, 3))
    count["fit"] = len({part for weld in welds.welds for part in weld.parts})
    count["joint"] = len(welds.welds)
    count["weld"] = welds.bead / 1000
    count["dress"] = sum(weld.kind == "butt" for weld in welds.welds)
    # A coater's own price has his time in it.
    ours = shop.finish.price_per_area is None and shop.finish.method != "hot dip"
    count["coat"] = finish.area * 1e-6 if ours else 0.0
    count["dry_fit"] = 1
    needed = {
        "saw": 1.0,
        "cope": float(count["coped_end"] > 0),
        "bend": float(len(dies)),
        "fold": float(count["fold"] > 0),
        "table": float(len(thicknesses)),
        "drill": float(count["hole"] > 0),
        "weld": float(count["joint"] > 0),
        "coat": float(ours),
    }
    work = [Operation(key, *WORDS[key], count[key]) for key in WORDS if count[key] > 0]
    return (*work, *(Operation(k, SET_UPS[k], "piece", n, True) for k, n in needed.items() if n > 0))
