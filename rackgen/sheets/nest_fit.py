"""Which blanks come out of no sheet: by their boxes alone, so that a check may ask it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from rackgen.errors import Finding, Level
from rackgen.parts.marks import lines
from rackgen.parts.rack import Rack
from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_place import extent, meshes, plates
from rackgen.sheets.words import size
from rackgen.spec.shop import Shop, Table
from rackgen.spec.stock import Expanded, Panel, Perforated, Sheet

NEAR = 0.01
"""What a table and a shear cannot tell apart, mm."""

QUARTERS = (0.0, 90.0, 180.0, 270.0)
HALVES = (0.0, 180.0)


def angles(table: Table) -> tuple[float, ...]:
    """Return the angles that a piece may be turned by on a sheet, degrees."""
    return HALVES if table.rotations == "half turns only" else QUARTERS


def sheet_sizes(plate: str, shop: Shop) -> tuple[tuple[float, float], ...]:
    """Return length and width of every remnant of a plate at hand, and last of a fresh sheet, mm."""
    sizes = {(r.length, r.width) for r in shop.sheet_remnants if r.plate == plate}
    return (*sorted(sizes), _fresh(plate, shop))


def _fresh(plate: str, shop: Shop) -> tuple[float, float]:
    section = next(stock.section for stock in shop.stock if stock.name == plate)
    assert isinstance(section, Sheet | Panel)
    return section.length, section.width


def fits(blank: Blank, length: float, width: float, turned: Iterable[float], margin: float = 0.0) -> bool:
    """Return whether a blank goes on a sheet at one of some angles in degrees; mm."""
    room = length - 2 * margin + NEAR, width - 2 * margin + NEAR
    sizes = (extent(blank, angle) for angle in turned)
    return any(along <= room[0] and across <= room[1] for along, across in sizes)


def panel_fits(blank: Blank, section: Panel) -> bool:
    """Return whether a panel comes out of its sheet: expanded metal keeps its long way, perforated sheet has none."""
    return fits(blank, section.length, section.width, QUARTERS if isinstance(section, Perforated) else HALVES)


def lies_across(blank: Blank, section: Panel) -> bool:
    """Return whether a panel lies across its sheet: of perforated sheet, alike both ways, where only so it fits."""
    return not fits(blank, section.length, section.width, HALVES) and panel_fits(blank, section)


def panel_extent(blank: Blank, section: Panel) -> tuple[float, float]:
    """Return how long and wide a panel lies on its sheet, mm; expanded metal keeps its long way along the sheet."""
    along, across = extent(blank)
    return (across, along) if lies_across(blank, section) else (along, across)


def too_big(rack: Rack, blanks: Sequence[Blank], shop: Shop) -> tuple[Finding, ...]:
    """Return a stop for every blank that is bigger than every sheet, plate and expanded metal alike.

    Args:
        rack: whose parts they are.
        blanks: all of them.
        shop: its sheets and its table.
    """
    return (*plates_too_big(rack, blanks, shop), *panels_too_big(rack, blanks, shop))


def plates_too_big(rack: Rack, blanks: Sequence[Blank], shop: Shop) -> tuple[Finding, ...]:
    """Return a stop for every blank of plate that is bigger than every sheet and remnant of it."""
    found: list[Finding] = []
    margin, turned = shop.table.margin, angles(shop.table)
    for plate, group in plates(blanks, shop).items():
        sizes = sheet_sizes(plate, shop)
        for blank in group:
            if not any(fits(blank, *one, turned, margin) for one in sizes):
                found.append(_bigger_than_sheet(blank, shop, sizes))
    return _with_ids(rack, found)


def panels_too_big(rack: Rack, blanks: Sequence[Blank], shop: Shop) -> tuple[Finding, ...]:
    """Return a stop for every panel of expanded metal or perforated sheet that is bigger than its sheet."""
    found: list[Finding] = []
    for mesh, group in meshes(blanks, shop).items():
        section = next(stock.section for stock in shop.stock if stock.name == mesh)
        assert isinstance(section, Panel)
        found += [_bigger_than_mesh(b, shop, section) for b in group if not panel_fits(b, section)]
    return _with_ids(rack, found)


def _with_ids(rack: Rack, found: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return findings with the ids of the parts that have the mark they name."""
    if not found:
        return ()
    ids = {line.mark: tuple(p.id for p in line.placed) for line in lines(rack)}
    return tuple(replace(f, parts=ids[f.parts[0]]) for f in found)


def _bigger_than_sheet(blank: Blank, shop: Shop, sizes: tuple[tuple[float, float], ...]) -> Finding:
    unit, margin = shop.unit, shop.table.margin
    long, wide = extent(blank)
    length, width = max(sizes, key=lambda s: (s[0] * s[1], s))
    got, limit = _over((long, wide), (length - 2 * margin, width - 2 * margin), shop.table)
    cures = ["buy a larger sheet"]
    if any(fits(blank, *one, angles(shop.table)) for one in sizes):
        cures.insert(0, f"a margin under {size(margin, unit)} {unit}")
    if any(fits(blank, *one, QUARTERS, margin) for one in sizes):
        cures.insert(0, 'rotations = "any quarter turn", if the grain does not matter')
    cures.append("or split the piece in two with a butt weld; everything else is nested")
    return Finding(
        "bigger-than-sheet",
        Level.STOP,
        (blank.mark,),
        f"{blank.mark} {blank.word}: {size(long, unit)} × {size(wide, unit)} {unit} on {blank.stock}; the largest "
        f"piece of it is {size(length, unit)} × {size(width, unit)}, less a margin of {size(margin, unit)} "
        f"{unit} all round",
        got=got,
        limit=limit,
        keys=("plate.width", "plate.length", "table.margin", "table.rotations"),
        help=", ".join(cures),
    )


def _bigger_than_mesh(blank: Blank, shop: Shop, section: Panel) -> Finding:
    unit = shop.unit
    long, wide = extent(blank)
    too_long = long > section.length + NEAR
    got, limit = (long, section.length) if too_long else (wide, section.width)
    kept = ", and the long way is kept" if isinstance(section, Expanded) else ""
    way = f"{'along' if too_long else 'across'} {'the long way' if kept else 'the length'} of"
    # Panels are joined on bearers, which run across.
    cure = (
        f"put a bearer within {size(limit, unit)} {unit} of the panel's end, so that two panels are joined on it"
        if too_long
        else f"make the basket {size(math.ceil(2 * (got - limit)) / 2, unit)} {unit} narrower; or choose slats"
    )
    return Finding(
        "bigger-than-sheet",
        Level.STOP,
        (blank.mark,),
        f"{blank.mark} {blank.word}: {size(got, unit)} {unit} {way} {blank.stock}; its sheet is "
        f"{size(limit, unit)} {unit} that way{kept}",
        got=got,
        limit=limit,
        keys=("mesh.width", "mesh.length"),
        help=f"{cure}, or buy a larger sheet",
    )


def _over(piece: tuple[float, float], room: tuple[float, float], table: Table) -> tuple[float, float]:
    """Return the size of a piece that is over the most, and what there is for it."""
    ways = [piece] if table.rotations == "half turns only" else [piece, piece[::-1]]
    best = min(ways, key=lambda way: max(way[0] - room[0], way[1] - room[1]))
    place = 0 if best[0] - room[0] >= best[1] - room[1] else 1
    return best[place], room[place]
