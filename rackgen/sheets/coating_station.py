"""The station of coating: what is open, what is masked, how it hangs, what the finish takes."""

from __future__ import annotations

from collections import Counter

from rackgen.parts.kinds import Bought, CutPlate, FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.rack import Rack
from rackgen.sheets.coating import coating_notes, finish
from rackgen.sheets.finishing import hung, unvented
from rackgen.sheets.openings import caps, openings, openings_table
from rackgen.sheets.pages import Block, Fields, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import load
from rackgen.spec.shop import Shop
from rackgen.units import INCH

FIT = "coat in them takes up the fit of what goes through"


def coating_station(rack: Rack, shop: Shop) -> Station:
    """Return the coating station."""
    found = finish(rack, shop)
    film = f"{found.film * 1000:.0f} µm" if shop.unit == "mm" else f"{found.film / INCH * 1000:.1f} mil"
    blocks: list[Block] = [
        Text(
            "After the dry fit, the last weld and the load test. A sealed tube bursts or blows bubbles at baking heat: "
            "every vent and drain below is open, and no cutting fluid or water is left in any tube.",
            "caution",
        ),
        Text("Fumes: no coating near hot work, and no hot work on coated steel. Mask or supplied air as the tin says.",
             "caution"),
        Heading("Before it is coated"),
        Ticks(
            (
                "Every weld cleaned of spatter and slag; butts under the clamp pads and the floor dressed flush.",
                "No sharp edge: tube ends, plate corners and strips broken to a radius that a glove slides over.",
                "Tubes blown through and dry; vents and drains open from both sides.",
                "Blasted or etched bright, not touched by hand again, coated the same day.",
                "Marks that are still needed are punched, not painted.",
            )
        ),
        Rows(openings_table(openings(rack), shop.unit), tick=True),
        *_shut(rack),
        Heading("Masked, or kept thin"),
        Rows(masking(rack), tick=True),
        Heading("Hanging"),
        Text(
            f"Hang {_hung(rack)} from two cross tubes each, by hooks in places that are covered later, one end a "
            "hand's breadth lower, so that what runs off leaves by a drain. Saddles, straps and plates come with the "
            "part that they are welded to."
        ),
        Rows(_pieces(rack, shop)),
        Heading("What it takes"),
        *(Text(note) for note in coating_notes(found, shop.unit)),
        Heading("After it is coated"),
        Ticks(
            (
                "Masks off while it is warm, threads run through by hand, U-bolts tried over the coated legs.",
                *(f"{count} × {name} pressed in, with sealant, its drain left open." for name, count in caps(rack)),
                "Film measured at five places, and written below.",
            )
        ),
        Fields(
            (("film, five readings", f"{film} a face"), ("runs, bare spots, made good", ""),
             ("coated by, date", "")),
            ("found",),
        ),
    ]  # fmt: skip
    return Station("coating", "Coating", tuple(blocks))


def _shut(rack: Rack) -> list[Block]:
    """Return what is said of tubes without a vent of their own: how air gets through them, or that none does."""
    found = unvented(rack)
    through = [f"{u.word} {u.mark} {u.how}" for u in found if u.how]
    shut = [f"{u.word} {u.mark}" for u in found if not u.how]
    out: list[Block] = []
    if through:
        out.append(Text(f"No vent of their own, and need none: {'; '.join(through)}."))
    if shut:
        out.append(Text(f"Closed, without any vent: {', '.join(shut)}. Drill one before any heat.", "caution"))
    return out


def _hung(rack: Rack) -> str:
    return "frame and basket" if any(p.id.startswith("basket.") for p in rack.placed) else "the frame"


LIGHT = 2.0
"""A piece of less is weighed to a tenth, kg."""


def _pieces(rack: Rack, shop: Shop) -> Table:
    """Return the pieces that hang by themselves, with their masses."""
    columns = (Column("what", "piece"), Column("mass", "weighs each", True), Column("by", "hangs by"))
    same = Counter((h.what, load(h.mass, shop.unit, 1 if h.mass < LIGHT else 0), h.by) for h in hung(rack))
    rows = tuple((f"{n} × {what}" if n > 1 else what, each, by) for (what, each, by), n in same.items())
    return Table("hung", "Pieces, right way up so that the vents are lowest", columns, rows)


def _holes(count: int) -> str:
    return f"{count} hole{'s' if count > 1 else ''}, with plugs"


def masking(rack: Rack) -> Table:
    """Return what is masked or kept bare, each with its reason; only what the rack has."""
    columns = (Column("mark", "mark"), Column("part", "part"), Column("where", "where"), Column("why", "why"))
    rows: list[tuple[str, str, str, str]] = []
    for line in lines(rack):
        word = line.placed[0].word
        part = line.part
        if isinstance(part, Bought):
            if word in ("U-bolt", "cap"):
                rows.append((line.mark, word, "all of it", "comes after coating"))
            continue
        if isinstance(part, CutPlate) and part.holes:
            rows.append((line.mark, word, _holes(len(part.holes)), FIT))
        if isinstance(part, CutPlate) and word == "clamp pad":
            rows.append((line.mark, word, "slots, and a washer's width round them above",
                         "thick coat under a washer creeps, and the nut comes loose"))  # fmt: skip
        if isinstance(part, CutPlate) and word == "mount plate":
            rows.append(
                (line.mark, word, "underside: a thin coat and no runs", "it lies on bedding; bare, it would rust there")
            )
        if isinstance(part, FoldedBar) and part.holes:
            rows.append((line.mark, word, _holes(len(part.holes)), FIT))
    rows.append(("", "earth", "one spot of a coin's size where a lamp's earth is wanted, else none",
                 "coat does not conduct; grease it after"))  # fmt: skip
    return Table("masking", "Masking", columns, tuple(rows))
