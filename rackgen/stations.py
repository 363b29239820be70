"""The pages of a pack, station by station in the order of the work, and the PDFs that they are printed as."""

from __future__ import annotations

from rackgen.made import Design
from rackgen.paper import strength_pages
from rackgen.sheets.load_test import Rating
from rackgen.sheets.pages import Station

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
    clear = cleared(rack, shop, vehicle, job.spec, made.checked.gaps)
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
        installation_station(rack, shop, vehicle),
        drill_station(rack, shop, vehicle),
        inspection_station(rack, shop),
        estimate_station(cost(rack, shop)),
    )
    cover = cover_station(job.spec.name, rack, shop, vehicle, made.stamp, work, made.findings)
    return (cover, *work)


def load_rating(made: Design) -> Rating | None:
    """Return what a rack is rated for while moving, on its vehicle where that is known; None where it is not rated."""
    if made.strength is None:
        return None
    state = made.strength.moving
    return Rating(state.rack if state.vehicle is None else state.vehicle, state.by)


def customer_stations(made: Design) -> tuple[Station, ...]:
    """Return the quotation: the only pages that show a price to the customer, and no page of the shop's."""
    from rackgen.sheets.cost import cost
    from rackgen.sheets.money_station import quotation_station
    from rackgen.sheets.quotation import quotation

    job = made.job
    found = quotation(made.rack, job.shop, job.vehicle, job.spec, cost(made.rack, job.shop))
    return (quotation_station(found),)


def pdfs(made: Design) -> dict[str, bytes]:
    """Return every PDF of a checked design by its file name."""
    from rackgen.export.paper.pdf import pdf_bytes

    shop = made.job.shop
    paper = made.paper or shop.paper.size
    pages = shop_stations(made)
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
