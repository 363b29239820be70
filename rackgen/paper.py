"""Every sheet and every station of a design by name.

Each is loaded when it is asked for, so that a quick command stays quick.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from rackgen.export.text import findings_text, table_text
from rackgen.made import Design
from rackgen.parts.handbook import handbook_limit
from rackgen.sheets.pages import Station
from rackgen.sheets.table import Table
from rackgen.spec.shop import Remnant

Sheet = tuple[Table | None, str, object]
"""A sheet's table or None where it is running text, its text, and its record for JSON."""


def cut_list(made: Design) -> Sheet:
    """Return the cut list."""
    from rackgen.sheets import cutlist
    from rackgen.sheets.rows import cut_table, totals_table

    found, _ = cutlist.cut_list(made.rack, made.job.shop)
    table = cut_table(found)
    return table, "\n".join((table_text(table), table_text(totals_table(found)))), found


def sticks(made: Design) -> Sheet:
    """Return the cut list on sticks, the shop's remnants first."""
    return on_sticks(made, made.job.shop.remnants)


def on_sticks(made: Design, remnants: Sequence[Remnant], *, fresh: bool = True) -> tuple[Table, str, object]:
    """Return the cut list on sticks.

    Args:
        made: the design.
        remnants: pieces at hand.
        fresh: whether sticks may be bought; without, the sheet says what comes out of the remnants alone.
    """
    from rackgen.sheets.stick_rows import bars_text, bought_table, sticks_table
    from rackgen.sheets.sticks import stick_nest

    found, said = stick_nest(made.rack, made.job.shop, remnants, fresh=fresh)
    table = sticks_table(found)
    parts = [bars_text(found), table_text(bought_table(found)), table_text(table)]
    if said:
        parts.append(findings_text(said))
    return table, "\n".join(parts), found


def nest(made: Design) -> Sheet:
    """Return the blanks of plate nested on sheets: as a layout file has them where one is given."""
    from rackgen.sheets import nest
    from rackgen.sheets.nest_rows import pieces_table, sheets_table

    found, flat, said = nest.nest(made.rack, made.job.shop, made.layout)
    table = pieces_table(found, flat)
    parts = [table_text(sheets_table(found)), table_text(table)]
    if said:
        parts.append(findings_text(said))
    return table, "\n".join(parts), found


def mesh(made: Design) -> Sheet:
    """Return the panels of expanded metal on their sheets."""
    from rackgen.sheets.flats import blanks
    from rackgen.sheets.mesh_layout import mesh_nests
    from rackgen.sheets.mesh_rows import mesh_table
    from rackgen.sheets.nest_fit import panels_too_big

    flat, _ = blanks(made.rack, made.job.shop)
    found = mesh_nests(flat, made.job.shop)
    table = mesh_table(found, {blank.mark: blank for blank in flat}, made.job.shop.unit)
    said = panels_too_big(made.rack, flat, made.job.shop)
    return table, "\n".join([table_text(table), *([findings_text(said)] if said else [])]), found


def trial_bend(made: Design) -> Sheet:
    """Return the test-bend form."""
    from rackgen.sheets.bends import bend_sheets
    from rackgen.sheets.trial_bend import trial_bends, trial_bends_text

    found = trial_bends(bend_sheets(made.rack, made.job.shop)[0])
    return None, trial_bends_text(found, made.job.shop.unit), found


def trial_strip(made: Design) -> Sheet:
    """Return the test-strip form."""
    from rackgen.parts.marks import lines
    from rackgen.sheets.trial_strip import trial_strips, trial_strips_text

    found = trial_strips(lines(made.rack), made.job.shop)
    return None, trial_strips_text(found, made.job.shop.unit), found


def bends(made: Design) -> Sheet:
    """Return the bend sheets."""
    from rackgen.sheets.bend_rows import READING, bend_tables, bends_table
    from rackgen.sheets.bends import bend_sheets

    unit = made.job.shop.unit
    found, _ = bend_sheets(made.rack, made.job.shop)
    said = "\n".join((*(table_text(t) for t in bend_tables(found, unit)), "\n".join(READING) + "\n"))
    return bends_table(found, unit), said, found


def folds(made: Design) -> Sheet:
    """Return the fold sheet."""
    from rackgen.sheets.folds import fold_rows, folds_table

    found = fold_rows(made.rack, made.job.shop)
    table = folds_table(found, made.job.shop.unit)
    return table, table_text(table), found


def hole_saw(made: Design) -> Sheet:
    """Return the copes by hole saw."""
    from rackgen.sheets.hole_saw import hole_saw_table, hole_saws

    found = hole_saws(made.rack, made.job.shop)
    table = hole_saw_table(found, made.job.shop.unit)
    return table, table_text(table), found


def fit_up(made: Design) -> Sheet:
    """Return the fit-up sheet: outside sizes, diagonals, stop blocks and stations."""
    from rackgen.sheets import fit_up
    from rackgen.sheets.fit_up_rows import fit_up_table

    found = fit_up.fit_up(made.rack, made.job.shop)
    table = fit_up_table(found, made.job.shop.unit)
    return table, table_text(table), found


def welds(made: Design) -> Sheet:
    """Return the weld map: every joint in order of welding, and in its text equal joints step by step."""
    from rackgen.sheets.weld_rows import step_table, weld_notes, welds_table
    from rackgen.sheets.welds import weld_map

    unit = made.job.shop.unit
    found, said = weld_map(made.rack)
    parts = [table_text(step_table(found, step, unit)) for step in sorted({w.step for w in found.welds})]
    parts.append("\n".join(weld_notes(found, unit)) + "\n")
    if said:
        parts.append(findings_text(said))
    return welds_table(found, unit), "\n".join(parts), found


def weights(made: Design) -> Sheet:
    """Return weights, centre of mass, shares on the mounts, lifts and heights."""
    from rackgen.sheets import weights
    from rackgen.sheets.coating import finish
    from rackgen.sheets.rows import weights_table
    from rackgen.sheets.shares import carried
    from rackgen.sheets.welds import weld_map

    added, laid = finish(made.rack, made.job.shop).added, weld_map(made.rack, torch=False)[0].metal
    found = replace(weights.weights(made.rack), carried=carried(made.rack, made.job.vehicle, added, laid))
    table = weights_table(found, made.job.shop.unit)
    return table, table_text(table), found


def strength(made: Design) -> Sheet:
    """Return how much the rack carries: the most used checks as rows, the report as text; needs a reckoned design."""
    from rackgen.export.text import station_text
    from rackgen.strength.report_rows import checks_table
    from rackgen.strength.summary import summary

    assert made.reckoned, "the report is read off a reckoned design"
    found, unit = made.strength, made.job.shop.unit
    table = checks_table(found, made.rack, unit)
    return table, station_text(strength_pages(made)), None if found is None else summary(found)


def strength_pages(made: Design) -> Station:
    """Return the report of strength as a station; needs a reckoned design."""
    from rackgen.strength.report import strength_station, unrated_station

    if made.strength is None:
        return unrated_station(made.unrated)
    job = made.job
    limit = handbook_limit(made.rack, job.vehicle)
    return strength_station(made.strength, made.rack, limit, job.shop.unit, made.stamp.revision)


def installation(made: Design) -> Sheet:
    """Return the installation sheet: mounts and clamps, and in its text every hole."""
    from rackgen.sheets import installation as fitting
    from rackgen.sheets.installation_rows import holes_table, installation_table

    unit = made.job.shop.unit
    found = fitting.installation(made.rack, made.job.shop, made.job.vehicle)
    table = installation_table(found, unit)
    return table, "\n".join((table_text(table), table_text(holes_table(found, unit)))), found


def seats(made: Design) -> Sheet:
    """Return how the mount plates lie on the roof, with the gap left under every fastener."""
    from rackgen.sheets.seats import seats, seats_table

    found = seats(made.rack, made.job.shop, made.job.vehicle)
    table = seats_table(found, made.job.shop.unit)
    return table, table_text(table), found


def gaps(made: Design) -> Sheet:
    """Return every gap to the vehicle; needs a checked design."""
    from rackgen.export.check_tables import gap_table

    assert made.checked is not None, "gaps are read off a checked design"
    table = gap_table(made.checked, made.job.shop.unit)
    return table, table_text(table), made.checked


def clearances(made: Design) -> Sheet:
    """Return clearances to hatch, doors and the like, sliding, heights and view; needs a checked design."""
    from rackgen.check.cleared import cleared
    from rackgen.export.clearance_tables import clearance_table, clearances_text

    assert made.checked is not None, "clearances are read off a checked design"
    job = made.job
    found = cleared(made.rack, job.shop, job.vehicle, job.spec, made.checked.gaps, made.rating)
    return clearance_table(found, job.shop.unit), clearances_text(found, job.shop.unit), found


def findings(made: Design) -> Sheet:
    """Return the findings; needs a checked design."""
    from rackgen.export.check_tables import findings_table

    return findings_table(made.findings), findings_text(made.findings), made.findings


def cautions(made: Design) -> Sheet:
    """Return the cautions."""
    from rackgen.sheets import cautions
    from rackgen.sheets.weights import weights

    found = cautions.cautions(made.rack, made.job.vehicle, weights(made.rack), made.job.shop.unit)
    return None, cautions.cautions_text(found), found


def coating(made: Design) -> Sheet:
    """Return the coated surface and what the finish takes."""
    from rackgen.sheets.coating import coating_table, finish

    found = finish(made.rack, made.job.shop)
    table = coating_table(found, made.job.shop.unit)
    return table, table_text(table), found


def bill(made: Design) -> Sheet:
    """Return what to buy."""
    from rackgen.sheets.bill import bill
    from rackgen.sheets.money_rows import bill_table

    shop = made.job.shop
    found = bill(made.rack, shop)
    table = bill_table(found, shop.unit, shop.money.currency)
    return table, table_text(table), found


def cost(made: Design) -> Sheet:
    """Return the shop's own estimate."""
    from rackgen.sheets.cost import cost
    from rackgen.sheets.money_rows import cost_table

    found = cost(made.rack, made.job.shop)
    table = cost_table(found)
    return table, table_text(table), found


def quotation(made: Design) -> Sheet:
    """Return the quotation for the customer."""
    from rackgen.sheets.cost import cost
    from rackgen.sheets.quotation import quotation, quotation_table, quotation_text

    job = made.job
    found = quotation(made.rack, job.shop, job.vehicle, job.spec, cost(made.rack, job.shop))
    return quotation_table(found), quotation_text(found), found


SHEETS: Mapping[str, Callable[[Design], Sheet]] = {
    "cut-list": cut_list,
    "sticks": sticks,
    "nest": nest,
    "mesh": mesh,
    "test-bend": trial_bend,
    "test-strip": trial_strip,
    "bends": bends,
    "folds": folds,
    "hole-saw": hole_saw,
    "fit-up": fit_up,
    "welds": welds,
    "weights": weights,
    "strength": strength,
    "coating": coating,
    "bill": bill,
    "cost": cost,
    "quotation": quotation,
    "installation": installation,
    "seats": seats,
    "gaps": gaps,
    "clearances": clearances,
    "findings": findings,
    "cautions": cautions,
}
"""Every sheet in work order."""
