"""The cutting table's page, a sheet of plate after the other; and the page where expanded metal is cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from rackgen.errors import Finding
from rackgen.parts.marks import lines
from rackgen.parts.rack import Rack
from rackgen.refs.registry import number
from rackgen.sheets.flats import Blank, blanks
from rackgen.sheets.mesh_layout import mesh_nests
from rackgen.sheets.mesh_rows import mesh_left_words, mesh_table
from rackgen.sheets.nest import nest
from rackgen.sheets.nest_drawing import corner_drawing, mesh_drawing, sheet_drawing, used
from rackgen.sheets.nest_fit import panels_too_big
from rackgen.sheets.nest_records import WORKED_OUT, Nest, PlateNest, PlateSheet
from rackgen.sheets.nest_rows import (
    TURNED,
    ZERO,
    all_sheets,
    bought_words,
    file_name,
    kerf_file_name,
    left_words,
    percent,
    sheet_pieces_table,
    sheet_words,
)
from rackgen.sheets.pages import Block, Figure, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.words import size
from rackgen.spec.layout import SheetLayout
from rackgen.spec.shop import Shop

FIGURE = 105.0
"""Height of a sheet's figure where it has the page to itself, mm."""


def table_station(rack: Rack, shop: Shop, layout: SheetLayout | None = None, *, kerf_drawn: bool = False) -> Station:
    """Return the cutting table's station.

    Args:
        rack: the rack.
        shop: its plates, remnants and table.
        layout: where pieces are to lie, None to work it out.
        kerf_drawn: whether files with the kerf drawn lie beside the usual ones.

    Raises:
        BadInput: the layout does not go with the blanks of today.
        NestError: the nest is not what was asked for; a mistake of this program.
    """
    found, flat, stops = nest(rack, shop, layout)
    out: list[Block] = _stops(stops)
    if not all_sheets(found):
        return Station("table", "Cutting table", (*out, Text("Nothing of plate is cut on the table.")))
    out += _before(found, shop, kerf_drawn)
    out += _stages(rack, {p.mark for _, sheet in all_sheets(found) for p in sheet.pieces})
    for place, (plate, sheet) in enumerate(all_sheets(found)):
        out += _one(found, plate, sheet, flat, shop, kerf_drawn=kerf_drawn, new_page=place > 0)
    return Station("table", "Cutting table", tuple(out))


DIAMONDS = (
    "The long way of the diamonds runs as the arrow shows: a panel may be turned by half a turn, never by a quarter.",
    "Wear gloves: raw strands are sharp.",
)
PUNCHED = ("A panel may lie either way on its sheet.", "Wear gloves, and dress edges that go through holes.")
"""What is said of panels of expanded metal, and of perforated sheet."""


def mesh_station(rack: Rack, shop: Shop) -> Station:
    """Return the station where panels of expanded metal or perforated sheet are cut, by shear or disc."""
    unit = shop.unit
    every, _ = blanks(rack, shop)
    flat = {blank.mark: blank for blank in every}
    out: list[Block] = _stops(panels_too_big(rack, every, shop))
    found = mesh_nests(every, shop)
    if not any(one.sheets for one in found):
        return Station("mesh", "Expanded metal", (*out, Text("No panel of expanded metal is cut.")))
    punched = {s.name for s, _ in shop.perforated()} & {one.mesh for one in found if one.sheets}
    title, way, sharp = ("Perforated sheet", *PUNCHED) if punched else ("Expanded metal", *DIAMONDS)
    out.append(
        Text(
            f"Cut with a shear or a disc, never on the table. {way} Every cut goes right through what is in hand; "
            f"measure from the last cut edge. {sharp}"
        )
    )
    out += _stages(rack, {p.mark for one in found for sheet in one.sheets for p in sheet.panels})
    for one in found:
        for sheet in one.sheets:
            name = f"{one.mesh}, sheet {sheet.number}: {size(sheet.length, unit)} × {size(sheet.width, unit)} {unit}"
            out.append(Heading(name))
            out.append(
                Figure(
                    mesh_drawing(sheet, flat, unit, FIGURE),
                    f"{'Arrows: long way of the diamonds. ' if sheet.diamonds else ''}Dashed: left whole.",
                    height=FIGURE,
                )
            )
            steps = [f"{cut[0].upper()}{cut[1:]}." for cut in sheet.cuts]
            for mark, count in Counter(p.mark for p in sheet.panels).items():
                steps.append(
                    f"{mark} {flat[mark].word}, {count} off: corners and notches with a disc or snips, from "
                    f"{mark}-marked.dxf or off the ring itself. Write the mark on it."
                )
            if left := mesh_left_words(sheet, unit):
                steps.append(f"Write on what is left: {one.mesh}, {left} {unit}, the long way first.")
            out.append(Ticks(tuple(steps), numbered=True))
    out.append(Rows(replace(mesh_table(found, flat, unit), notes=())))
    return Station("mesh", title, tuple(out))


def _stages(rack: Rack, marks: Collection[str]) -> list[Block]:
    """Return when pieces are cut, where that is not at once."""
    stages: dict[int, list[str]] = {}
    for line in lines(rack):
        if line.mark in marks:
            stages.setdefault(max(p.stage for p in line.placed), []).append(line.mark)
    waits = {2: "after rings and frame are measured", 3: "after the dry fit"}
    said = [f"{', '.join(found)}: stage {stage}, {waits[stage]}" for stage, found in stages.items() if stage in waits]
    return [Text(f"{'; '.join(said)}.", "small")] if said else []


def _stops(found: Iterable[Finding]) -> list[Block]:
    return [Text(f"NOT CUT HERE. {f.text}. What would help: {f.help}.", "caution") for f in found]


def _before(nest: Nest, shop: Shop, kerf_drawn: bool) -> list[Block]:
    unit, kerf = nest.unit, size(nest.kerf, nest.unit)
    out: list[Block] = []
    if kerf_drawn:
        out.append(
            Text(
                f"THERE ARE TWO FILES A SHEET. In those named kerf-drawn the kerf of {kerf} {unit} IS DRAWN ALREADY: "
                "switch the table's own kerf OFF for them. In those named cut it is NOT: leave it ON. Taken off twice "
                "or not at all, every piece comes out wrong.",
                "caution",
            )
        )
    bought = "; ".join(bought_words(one) for one in nest.plates if one.fresh)
    out.append(
        Text(
            f"A file a sheet, in mm, with closed outlines to cut and nothing else: no marks, no words, no edge of the "
            f"sheet. It shows the finished edges. The table's own program adds lead-ins and takes its kerf of {kerf} "
            f"{unit} off, outside the pieces and inside their holes and openings. Pieces stand {_spacings(nest)} apart "
            f"or more, {size(nest.margin, unit)} {unit} or more from the edges; turned: {nest.rotations}."
        )
    )
    where = "" if nest.layout == WORKED_OUT else f" Layout as kept in {nest.layout}."
    out.append(Text(f"Remnants first. {bought or 'No fresh sheet is needed'}.{where}", "small"))
    out.append(
        Ticks(
            (
                "Sheet or remnant of the right plate, flat and clean, its length along the table's x.",
                "Table's zero on the datum corner. Move the torch round the used corner before it is lit.",
                "Holes and openings first, outsides last.",
                f"Measure the first piece that comes off against its drawing; wrong by the kerf ({kerf} {unit}) means "
                "that kerf was taken off twice or not at all.",
            ),
        )
    )
    return out


def _spacings(nest: Nest) -> str:
    sizes = dict.fromkeys(f"{size(one.spacing, nest.unit)} {nest.unit}" for one in nest.plates if one.sheets)
    return " or ".join(sizes)


def _one(
    nest: Nest,
    plate: PlateNest,
    sheet: PlateSheet,
    flat: Mapping[str, Blank],
    shop: Shop,
    *,
    kerf_drawn: bool,
    new_page: bool,
) -> list[Block]:
    unit = nest.unit
    corner = used(sheet, flat)
    out: list[Block] = [Heading(f"{plate.plate}, sheet {sheet.number}: {sheet_words(sheet, unit)}", new_page)]
    files = file_name(nest, plate, sheet)
    if kerf_drawn:
        files += f" (kerf not drawn) or {kerf_file_name(nest, plate, sheet)} (KERF DRAWN)"
    out.append(Text(f"{files}: {len(sheet.pieces)} pieces, {percent(sheet.share)} of the sheet."))
    # The first sheet shares its page with what goes for all of them.
    alone, whole, larger = (FIGURE, 60.0, 95.0) if new_page else (68.0, 44.0, 66.0)
    high = whole if corner else alone
    out.append(Figure(sheet_drawing(nest, sheet, flat, high, marks=corner is None), height=high))
    if corner is not None:
        caption = "The used corner, larger. Its edges go on."
        out.append(Figure(corner_drawing(sheet, flat, corner, larger), caption, height=larger))
    out.append(Rows(sheet_pieces_table(nest, sheet, flat), tick=True))
    out.append(Text(f"{ZERO}; {TURNED}.", "small"))
    out.append(Ticks(tuple(_after(plate, sheet, flat, shop))))
    return out


def _after(plate: PlateNest, sheet: PlateSheet, flat: Mapping[str, Blank], shop: Shop) -> list[str]:
    """Return what is done when the sheet is cut."""
    unit = shop.unit
    steps = ["Write its mark on every piece as it comes off; knock off dross and edges."]
    for mark, count in Counter(p.mark for p in sheet.pieces).items():
        blank = flat[mark]
        name = f"{mark} {blank.word}, {count} off"
        for d in sorted({h.diameter for h in blank.centres}):
            many = sum(h.diameter == d for h in blank.centres)
            steps.append(
                f"{name}: {many} {'hole is' if many == 1 else 'holes are'} too small for the table and not in the "
                f"file: centre-punch from the 1:1 template, drill {size(d, unit)} {unit}."
            )
        if blank.drilled:
            steps.append(f"{name}: {len(blank.drilled)} openings too narrow for the table: drill and file, as marked.")
        if blank.folds and shop.table.can_mark:
            steps.append(f"{name}: fold lines are not in the file: mark them from {mark}-marked.dxf or its template.")
        elif blank.folds:
            nick = size(number("nick").value, unit)
            steps.append(f"{name}: nicks {nick} {unit} deep in its edges, cut with it, show where it is folded.")
    if left := left_words(sheet, unit):
        steps.append(f"Write on what is left and put it back: {plate.plate}, {left} {unit}, its length first.")
    return steps
