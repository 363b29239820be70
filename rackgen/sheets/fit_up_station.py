"""The fit-up table: rings, frame and basket laid out, blocked, measured and tacked before anything is welded out."""

from __future__ import annotations

from rackgen.parts.rack import Rack
from rackgen.sheets.fit_up import BLOCK, FitUp, fit_up
from rackgen.sheets.fit_up_drawing import layout_drawing
from rackgen.sheets.fit_up_rows import Size, basket_sizes, blocks_table, fit_up_notes, limit, sizes
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.words import fine, small
from rackgen.spec.shop import Shop

BOXES = ("tacked", "welded", "initials")
"""Headings of the boxes beside a size."""


def fit_up_station(rack: Rack, shop: Shop) -> Station:
    """Return the station of the fit-up table."""
    unit, found = shop.unit, fit_up(rack, shop)
    blocks: list[Block] = [
        Text(
            "Everything here is tacked on the bench or the table, never on the vehicle. Measure when tacked, again "
            "when welded, and write both down: the inspection card asks for the second."
        ),
        Ticks(_before(found, shop)),
    ]
    alike = _alike(found)
    for k, one in enumerate(found.assemblies):
        twin = alike.get(one.name)
        blocks.append(Heading(one.title.capitalize(), new_page=k > 0 and twin is None))
        if twin is not None:
            blocks.append(Text(f"On the same blocks as the {twin}; only what stands on it differs."))
            stations = ", ".join(f"{s.what} {fine(s.at, unit)}" for s in one.stations if s.along == "aft")
            blocks.append(Text(f"From the front outside: {stations}."))
        else:
            said = f"{one.title}, seen from above, front at the top; dashed and dotted: the diagonals"
            blocks.append(Figure(layout_drawing(rack, one, unit, found.margin), said, 165.0))
            blocks.append(Rows(blocks_table(one, unit), tick=True))
        blocks.append(size_fields(sizes(one, unit), f"{one.title}, {unit}"))
    basket = basket_sizes(found, unit)
    if basket:
        blocks += [
            Heading("Basket, both rings tacked"),
            Text(
                "Upper ring on its uprights, plumb over the lower: square from the table at every corner point. "
                "Bearers flush with the lower ring's top, straightedge across."
            ),
            size_fields(basket, f"basket, {unit}"),
        ]
    blocks.append(Heading("Match marks"))
    blocks.append(Ticks(_marks(rack)))
    blocks += [Text(note, "small") for note in fit_up_notes(found, unit)]
    return Station("fit-up", "Fit-up table", tuple(blocks))


def _alike(found: FitUp) -> dict[str, str]:
    """Return the assemblies whose outside and blocks are those of an earlier one, with that one's title."""
    out: dict[str, str] = {}
    for k, one in enumerate(found.assemblies):
        for before in found.assemblies[:k]:
            if one.blocks == before.blocks and abs(one.width - before.width) + abs(one.length - before.length) < 0.1:
                out.setdefault(one.name, before.title)
    return out


def size_fields(rows: tuple[Size, ...], title: str, boxes: tuple[str, ...] = BOXES) -> Fields:
    """Return sizes with boxes to fill in, the limit behind each size."""
    return Fields(tuple((what, f"{size}, {within}") for what, size, within in rows), boxes, title)


def _before(found: FitUp, shop: Shop) -> tuple[str, ...]:
    unit = shop.unit
    clean, block = ("25 mm", f"{BLOCK:g} mm") if unit == "mm" else ("1 in", "1-1/2 in")
    return (
        f"Table flat within {limit(1.0, unit)} under the work: straightedge and feeler both ways and across.",
        f"Stop blocks about {block} square, tall enough to reach the tube's axis, screwed or tacked to the table"
        + (" by the places below. Front and left fixed; right and rear with wedges." if found.assemblies else "."),
        "Stations marked on the long tubes as running dimensions from one end, never from one to the next, and "
        f"punched; clocking lines agree. Bright metal {clean} each side of every joint.",
        f"Copes tried: root gap to half the wall. Fit-up gap of {small(shop.fit_up_gap, unit)} {unit} an end is in the "
        "lengths: share it out, do not close it at one end.",
        "Four tacks a joint, opposite ones first, short and hot. Diagonals after every tack that pulls.",
    )


PUNCHED = "Basket and frame: a punch mark on left front pad and leg, two on the right front, three and four behind."


def _marks(rack: Rack) -> tuple[str, ...]:
    clamped = any(p.word == "clamp pad" for p in rack.placed)
    return (
        "Number of the weld, front arrow and left or right on every part with a paint pen; the mark stamped on a face "
        "that nobody sees.",
        "Three strokes across every joint that comes apart again, scribed, not painted: coating and cleaning take "
        "paint off, and two joints are never marked alike.",
        *((PUNCHED,) if clamped else ()),
    )
