"""The pages of a pack, station by station in the order of the work, the PDFs that they are printed as, the packet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rackgen.made import Design
from rackgen.paper import Sheet, strength_pages
from rackgen.sheets.load_test import Rating
from rackgen.sheets.pages import Station

if TYPE_CHECKING:
    from rackgen.export.packet.packet import Contents

PUT_TOGETHER = 10
"""How many racks of the tolerance study are put together part by part for the pages: `rackgen fit` does more, and its
list of joints is the same, since that rests on the slopes."""


def shop_stations(made: Design) -> tuple[Station, ...]:
    """Return every page of the shop's pack, first page first; needs a checked design."""
    from rackgen.check.all import possible
    from rackgen.check.cleared import cleared
    from rackgen.check.gap_map import gap_map
    from rackgen.design.settle import bench
    from rackgen.design.tolerance import study
    from rackgen.export.clearance_station import clearance_station
    from rackgen.sheets.bend_station import bend_station
    from rackgen.sheets.bill import bill
    from rackgen.sheets.coating_station import coating_station
    from rackgen.sheets.cost import cost
    from rackgen.sheets.cover_station import cautions_station, cover_station
    from rackgen.sheets.drill_templates import drill_station
    from rackgen.sheets.dry_fit_station import RoofGap, dry_fit_station
    from rackgen.sheets.fit_station import fit_station, left_open
    from rackgen.sheets.fit_up_station import fit_up_station
    from rackgen.sheets.fold_station import fold_station
    from rackgen.sheets.inspection_station import inspection_station
    from rackgen.sheets.installation_station import installation_station
    from rackgen.sheets.load_test import load_test_station
    from rackgen.sheets.money_station import buying_station, estimate_station
    from rackgen.sheets.saw_station import saw_station
    from rackgen.sheets.table_station import mesh_station, table_station
    from rackgen.sheets.templates_station import templates_station
    from rackgen.sheets.weld_station import weld_station

    assert made.checked is not None, "the pages of a dry fit show the gaps of a check"
    rack, job = made.rack, made.job
    shop, vehicle = job.shop, job.vehicle
    near = tuple(
        RoofGap(g.mark, g.word, g.part, g.gap, g.limit)
        for g in made.checked.gaps
        if g.gap is not None and g.limit is not None
    )
    sure = study(bench(rack, vehicle, shop.isolator), shop.spread, full=PUT_TOGETHER)
    clear = cleared(rack, shop, vehicle, job.spec, made.checked.gaps, made.rating)
    drawn = gap_map(possible(rack)[0], vehicle.roof, made.checked.gaps)
    work = (
        cautions_station(rack, shop, vehicle),
        *((strength_pages(made),) if made.reckoned else ()),
        buying_station(bill(rack, shop), shop.unit),
        saw_station(rack, shop),
        bend_station(rack, shop),
        templates_station(rack, shop),
        table_station(rack, shop, made.layout, kerf_drawn=made.kerf_drawn),
        mesh_station(rack, shop),
        fold_station(rack, shop),
        fit_station(rack, sure, shop.unit),
        fit_up_station(rack, shop),
        weld_station(rack, shop),
        clearance_station(clear, drawn, job.spec.gaps, shop.unit),
        dry_fit_station(rack, shop, vehicle, near, left_open(rack, sure, shop.unit)),
        load_test_station(rack, shop, vehicle, load_rating(made)),
        coating_station(rack, shop),
        installation_station(rack, shop, vehicle, load_rating(made)),
        drill_station(rack, shop, vehicle),
        inspection_station(rack, shop),
        estimate_station(cost(rack, shop)),
    )
    work = tuple(station for station in work if not _idle(station))
    cover = cover_station(job.spec.name, rack, shop, vehicle, made.stamp, work, made.findings)
    return (cover, *work)


LEFT_OUT = ("table", "mesh", "folds")
"""Stations that are left out of a pack when there is nothing for them to do."""


def _idle(station: Station) -> bool:
    """Return whether a station says no more than that it has nothing to do."""
    return station.name in LEFT_OUT and len(station.blocks) == 1


def load_rating(made: Design) -> Rating | None:
    """Return what a rack is rated for, on its vehicle where that is known; None where it is not rated."""
    from rackgen.refs.registry import number
    from rackgen.strength.report_rows import too_much

    found, wish = made.strength, made.job.spec.load
    if found is None:
        return None
    moving, parked = (p.rack if p.vehicle is None else p.vehicle for p in (found.moving, found.parked))
    rough = number("vertical-rough").value if wish.rough is None else wish.rough
    unit = made.job.shop.unit
    return Rating(moving, found.moving.by, parked, rough if wish.rough_track else None, too_much(found, unit))


def customer_stations(made: Design) -> tuple[Station, ...]:
    """Return the quotation: the only pages that show a price to the customer, and no page of the shop's."""
    from rackgen.sheets.cost import cost
    from rackgen.sheets.money_station import quotation_station
    from rackgen.sheets.quotation import quotation

    job = made.job
    found = quotation(made.rack, job.shop, job.vehicle, job.spec, cost(made.rack, job.shop))
    return (quotation_station(found),)


def pdfs(made: Design, pages: tuple[Station, ...] | None = None) -> dict[str, bytes]:
    """Return every PDF of a checked design by its file name; `pages` are its shop's stations, where they are known."""
    from rackgen.export.paper.pdf import pdf_bytes

    shop = made.job.shop
    paper = made.paper or shop.paper.size
    pages = shop_stations(made) if pages is None else pages
    of = {station.name: station for station in pages}
    drill = of["drill-templates"]
    printed = {
        f"{made.job.spec.name}-pack": ("Shop pack", pages),
        "templates": ("Templates at full size", (of["templates"], drill)),
        "installation": ("Installation", (of["installation"], drill)),
        "quotation": ("Quotation", customer_stations(made)),
    }
    return {
        f"{name}.pdf": pdf_bytes(stations, made.stamp, shop.unit, paper, title)
        for name, (title, stations) in printed.items()
    }


def packet_contents(
    made: Design,
    pages: tuple[Station, ...],
    sheets: Mapping[str, Sheet],
    files: Mapping[str, bytes],
    pictures: tuple[str, ...] = (),
) -> Contents:
    """Return what goes into the packet of a checked design.

    Args:
        made: the design.
        pages: its shop's stations.
        sheets: all of its sheets.
        files: the pack's other files, which the packet holds or links.
        pictures: names of the pack's pictures, which differ from machine to machine and lie beside it.
    """
    from rackgen.check.all import possible
    from rackgen.check.gap_map import gap_map
    from rackgen.export.packet.packet import Contents

    assert made.checked is not None, "a packet shows the gaps of a check"
    job, found = made.job, made.checked.gaps
    return Contents(
        title=job.spec.title,
        rack=made.rack,
        vehicle=job.vehicle,
        wish=job.spec.gaps,
        shop=job.shop.name,
        unit=job.shop.unit,
        paper=made.paper or job.shop.paper.size,
        stamp=made.stamp,
        findings=made.findings,
        strength=made.strength,
        unrated=made.unrated,
        stations=pages,
        sheets={name: (table, text) for name, (table, text, _) in sheets.items()},
        gap_map=gap_map(possible(made.rack)[0], job.vehicle.roof, found),
        gaps=found,
        files=files,
        pictures=pictures,
    )
