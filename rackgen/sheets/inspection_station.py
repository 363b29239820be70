"""The inspection card: as-built sizes, welds by size, torques, and the places where such racks crack."""

from __future__ import annotations

from rackgen.design.stands import STUBS
from rackgen.parts.kinds import BoltShape, Bought, FoldedBar, RivetShape, UBoltShape
from rackgen.parts.marks import marks
from rackgen.parts.rack import Rack
from rackgen.sheets.bolted_fittings import FITTING
from rackgen.sheets.fit_up import SQUARE, fit_up
from rackgen.sheets.fit_up_rows import basket_sizes, limit, sizes
from rackgen.sheets.fit_up_station import size_fields
from rackgen.sheets.pages import Block, Fields, Heading, Station, Text, Ticks
from rackgen.sheets.weld_rows import kind_words, span
from rackgen.sheets.welds import Weld, WeldMap, weld_map
from rackgen.sheets.words import fine, small, torque
from rackgen.spec.shop import Shop
from rackgen.units import Unit

UNDERCUT = 0.1
"""Deepest undercut as a share of the wall: ISO 5817 level C for long imperfections (from memory)."""


def inspection_station(rack: Rack, shop: Shop) -> Station:
    """Return the inspection card."""
    unit, found = shop.unit, fit_up(rack, shop)
    welds, _ = weld_map(rack)
    blocks: list[Block] = [
        Text("As built: after welding, before coating. Torques: after it is fitted. Every box has a number or a name."),
        Heading("Sizes"),
    ]
    if found.bows:
        within = f"alike to {limit(SQUARE, unit)}"
        rows = [
            (f"bow {b.mark}, {what}", f"{fine(size, unit)}, {within}")
            for b in found.bows
            for what, size in (("between the ends of its axis", b.spread), ("back over their line", b.height))
        ]
        blocks.append(Fields(tuple(rows), ("as built", "initials"), f"bows, {unit}"))
    blocks += [size_fields(sizes(a, unit), f"{a.title}, {unit}", ("as built", "initials")) for a in found.assemblies]
    basket = basket_sizes(found, unit)
    if basket:
        blocks.append(size_fields(basket, f"basket, {unit}", ("as built", "initials")))
    blocks += [
        Heading("Welds, looked at and measured"),
        Text(
            "All of them, in good light, brushed, before coating: no crack, no open crater, no hole, no cold lap, "
            "closed all round where that is asked for; root and leg by gauge. Undercut no deeper than a tenth of the "
            "wall (ISO 5817 level C, from memory). A crack is ground out whole and welded again, never over."
        ),
        weld_fields(welds, unit),
        Heading("Where such racks crack"),
        Text(
            "They do not fail under one great load; they crack where every mile bends them a little. Look at these by "
            "name, with a lamp, now, after the load test, after 50 km (30 miles), then every season."
        ),
        Ticks(crack_places(rack)),
    ]
    bolts = bolt_fields(rack, shop)
    if bolts is not None:
        blocks += [Heading("Nuts and bolts"), bolts]
    blocks.append(
        Fields(
            (("Material certificate or heat number", ""), ("Welded by", ""), ("Inspected by", ""), ("Date", "")),
            ("written in",),
            "",
        )
    )
    return Station("inspection", "Inspection card", tuple(blocks))


def weld_fields(found: WeldMap, unit: Unit) -> Fields:
    """Return the welds by type and size, with boxes for what was found."""
    same: dict[tuple[str, float, float], list[Weld]] = {}
    for weld in found.welds:
        same.setdefault((weld.kind, round(weld.leg, 2), round(weld.leg_most, 2)), []).append(weld)
    rows: list[tuple[str, str]] = []
    for (kind, leg, most), group in same.items():
        name = {"stitch": "stitched fillet", "tacks": "tacks", "plug": "plugs"}.get(kind, kind_words(group[0], unit))
        size = small(leg, unit) if most <= leg + 1e-6 else f"{small(leg, unit)} to {small(most, unit)}"
        under = small(UNDERCUT * group[0].wall, unit)
        ids = span(tuple(w.id for w in group))
        what = {"butt": "flush with the tube", "plug": "full, flush"}.get(kind, f"leg {size}")
        rows.append((f"{name}: {ids}", f"{what}, undercut to {under}"))
    return Fields(tuple(rows), ("least", "worst undercut", "initials"), f"by type and size, {unit}", "wanted")


def crack_places(rack: Rack) -> tuple[str, ...]:
    """Return the strap folds, saddle toes and last rivets by mark and side."""
    named = marks(rack)
    out: list[str] = []
    for placed in sorted(rack.placed, key=lambda p: p.id):
        side = _place(placed.id)
        if placed.word == "rear strap" and isinstance(placed.part, FoldedBar) and placed.part.folds:
            out.append(
                f"{side}: outside of the fold of strap {named[placed.id]}, right across, and the weld's end above it."
            )
            rivets = [
                p for p in rack.placed
                if p.id.startswith(placed.id.rsplit(".", 1)[0] + ".rivet") and isinstance(p.part, Bought)
                and isinstance(p.part.shape, RivetShape)
            ]  # fmt: skip
            if rivets:
                last = min(rivets, key=lambda p: p.frame.origin[2])
                out.append(
                    f"{side}: last rivet, the lowest ({named[last.id]}): loose, black round its head, or a crack in "
                    "strap or skin from its hole."
                )
        if placed.word == "gutter jaw":
            out.append(
                f"{side}: inside of both folds of jaw {named[placed.id]}, right across; the gutter's seam at it."
            )
        if placed.word in STUBS:
            out.append(
                f"{side}: toe of the weld round {placed.word} {named[placed.id]}, on its tube and at the plate, fore "
                "and aft."
            )
    return tuple(out)


def _place(part_id: str) -> str:
    words = part_id.split(".")
    return words[1].replace("_", " ") if len(words) > 1 else part_id


def bolt_fields(rack: Rack, shop: Shop) -> Fields | None:
    """Return a row a U-bolt and a row a bolt of a foot with its torque, None without any."""
    shelf = {b.name: b for b in shop.u_bolts}
    rows: list[tuple[str, str]] = []
    for placed in sorted(rack.placed, key=lambda p: p.id):
        part = placed.part
        if not isinstance(part, Bought) or not isinstance(part.shape, UBoltShape) or part.name not in shelf:
            continue
        words = placed.id.replace("basket.clamp.", "").replace(".u_bolt", ", bolt ")
        rows.append((_on_fitting(rack, placed.id) or _bolt_name(words), torque(shelf[part.name].torque, shop.unit)))
    feet = {b.name: b.torque for b in shop.bolts}
    for placed in sorted(rack.placed, key=lambda p: p.id):
        part = placed.part
        if isinstance(part, Bought) and isinstance(part.shape, BoltShape):
            drawn = next((t for name, t in feet.items() if part.name.startswith(f"{name} ×")), None)
            number = placed.id.rpartition("[")[2].rstrip("]")
            if drawn is not None:
                name = _on_fitting(rack, placed.id) or f"{_place(placed.id)}, bolt {number}"
                rows.append((name, torque(drawn, shop.unit)))
    if not rows:
        return None
    boxes = ("drawn up", "after 50 km (30 miles)", "initials")
    return Fields(tuple(rows), boxes, "both nuts of a U-bolt by turns, a torque wrench", "draw to")


def _on_fitting(rack: Rack, bolt: str) -> str:
    """Return "deflector tab 2, bolt 1" for a bolt of a fitting, "" for any other."""
    if not bolt.startswith(FITTING):
        return ""
    held, _, last = bolt.rpartition(".")
    count = held.rpartition("[")[2].rstrip("]")
    return f"{rack.part(held).word} {count}, bolt {last.rpartition('[')[2].rstrip(']')}"


def _bolt_name(text: str) -> str:
    """Return "left pad 1, bolt 2" of "left[1], bolt [2]"."""
    return text.replace("[", " pad ", 1).replace("]", "", 1).replace("[", "").replace("]", "")
