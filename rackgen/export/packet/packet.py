"""The packet: one HTML file with the rack turning in it and every sheet of its pack, which opens without a network."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from html import escape

from rackgen.check.gap_map import GapMap
from rackgen.check.result import Gap
from rackgen.errors import Finding
from rackgen.export.packet import page, scene
from rackgen.export.packet.gaps import gaps
from rackgen.export.packet.loads import loads
from rackgen.export.packet.shelf import shelf
from rackgen.export.packet.still import still
from rackgen.parts.marks import lines
from rackgen.parts.measure import mass
from rackgen.parts.rack import Rack
from rackgen.sheets.cover_station import STAGES, in_shop_unit
from rackgen.sheets.pages import Block, Heading, Station
from rackgen.sheets.stamp import Stamp
from rackgen.sheets.table import Table
from rackgen.sheets.words import load
from rackgen.spec.paper import PaperSize
from rackgen.spec.rack import Gaps
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.rated import Payload, Strength
from rackgen.strength.report_rows import rating
from rackgen.units import Unit, shown_step, write_length

MOST = 4_700_000
"""Bytes that papers, data, view and files may take together: the packet stays under 5 MB."""

KINDS: Mapping[str, str] = {
    "tube": "tube",
    "bar": "flat bar",
    "plate": "plate",
    "mesh": "expanded metal or perforated sheet",
    "bought": "bought",
}
"""What the colours of the view stand for."""


@dataclass(frozen=True)
class Contents:
    """What goes into a packet.

    Attributes:
        title: of the rack.
        rack: resolved.
        vehicle: that carries it.
        wish: wanted gaps.
        shop: its name.
        unit: the shop's.
        paper: what the shop prints on.
        stamp: revision, and whether it is cleared.
        findings: worst first.
        strength: the rating, or None.
        unrated: why there is none, in words.
        stations: the pages in work order, the first page first.
        sheets: every sheet by name in work order: its table, or None and its text.
        gap_map: the gaps to the roof in plan.
        gaps: of every part.
        files: the pack's other files by name.
        pictures: names of the pack's pictures.
        customer: whether it is the one for the customer.
    """

    title: str
    rack: Rack
    vehicle: Vehicle
    wish: Gaps
    shop: str
    unit: Unit
    paper: PaperSize
    stamp: Stamp
    findings: tuple[Finding, ...]
    strength: Strength | None
    unrated: str
    stations: tuple[Station, ...]
    sheets: Mapping[str, tuple[Table | None, str]]
    gap_map: GapMap
    gaps: tuple[Gap, ...]
    files: Mapping[str, bytes]
    pictures: tuple[str, ...] = ()
    customer: bool = False


def packet(of: Contents) -> bytes:
    """Return the packet as HTML."""
    distinct = lines(of.rack)
    radii = scene.tube_radii(of.rack)
    low, high = scene.size(distinct)
    shapes = scene.marks(distinct)
    cuts = of.sheets["cut-list"][0] if "cut-list" in of.sheets else None
    for shape in shapes:
        shape["card"] = _card(shape["mark"], cuts)
    strong = None if of.strength is None else loads(of.strength, of.rack, radii, of.unit)
    data: scene.Record = {
        "revision": of.stamp.revision,
        "unit": of.unit,
        "size": [list(low), list(high)],
        "sizes": [_long(b - a, of.unit) for a, b in zip(low, high, strict=True)],
        "kinds": dict(KINDS),
        "stages": [[n, f"stage {n}: {what}" if n else what] for n, what, _ in STAGES],
        "marks": shapes,
        "parts": scene.parts(distinct, of.rack),
        "joints": scene.joints(of.rack),
        "roof": scene.roof(of.vehicle),
        "stay_out": scene.stay_out(of.vehicle, of.wish),
        "findings": scene.findings(of.findings),
        "loads": strong,
        "gaps": gaps(of.gap_map, of.gaps, of.wish, of.vehicle.roof, of.unit),
    }
    marks = {line.mark for line in distinct}
    papers = page.papers(
        findings=tuple(
            replace(f, text=in_shop_unit(f.text, of.unit), help=in_shop_unit(f.help, of.unit)) for f in of.findings
        ),
        stations=of.stations,
        sheets=of.sheets,
        marks=marks,
        files=of.files.keys(),
        customer=of.customer,
    )
    told = page.script_json(data)
    held = shelf(of.files, MOST - len(papers.encode()) - len(told.encode()) - len(page.shipped("view.js").encode()))
    listed: list[scene.Record] = [] if strong is None else strong["listed"]
    tight: list[scene.Record] | None = None if data["gaps"] is None else data["gaps"]["tight"]
    return page.written(
        title=of.title,
        paper=of.paper,
        head=_head(of),
        stops=of.stamp.state if of.stamp.stops else "",
        bench=page.bench(
            still(of.rack, escape(f"{of.title}, seen from ahead, left and above")),
            list(enumerate(f"{line.mark} {placed.id}" for line in distinct for placed in line.placed)),
            listed,
            tight,
            bent=strong["times"] if strong else None,
            stay_out=bool(data["stay_out"]),
            square="100 mm" if of.unit == "mm" else "4 in",
        ),
        papers=papers + page.shelf_section(held, of.pictures),
        data=told,
        shelf=held,
        customer=of.customer,
    ).encode("utf-8")


FOR_CUSTOMER = ("strength", "clearances", "cautions")
"""The shop's pages that a customer gets, in this order, after the quotation."""


RESULT = ("Result", "What this rating is not")
"""The headings under which a rating stands, without how it was reckoned."""


def _told(station: Station) -> Station:
    """Return a page as a customer reads it: of the strength only its result, where there is one."""
    heads = [b.text for b in station.blocks if isinstance(b, Heading)]
    if station.name != "strength" or RESULT[0] not in heads:
        return station
    kept: list[Block] = []
    under = RESULT[0]
    for block in station.blocks:
        under = block.text if isinstance(block, Heading) else under
        if under in RESULT:
            kept.append(block)
    return replace(station, blocks=tuple(kept))


def for_customer(of: Contents, quotation: tuple[Station, ...]) -> Contents:
    """Return what goes into the customer's packet: nothing of the shop's prices, sheets and drawings.

    Args:
        of: what goes into the shop's.
        quotation: its pages.
    """
    pages = {s.name: s for s in of.stations}
    return replace(
        of,
        findings=(),
        stations=(*quotation, *(_told(pages[name]) for name in FOR_CUSTOMER if name in pages)),
        sheets={},
        files={name: content for name, content in of.files.items() if name == "quotation.pdf"},
        pictures=(),
        customer=True,
    )


def _head(of: Contents) -> Sequence[tuple[str, str, bool]]:
    """Return what stands in the title block: name, text, and whether it is bad news."""
    out = [
        ("vehicle", of.vehicle.name, False),
        ("shop", of.shop, False),
        ("weighs, bare", load(sum(mass(p.part) for p in of.rack.placed), of.unit, 1), False),
    ]
    if of.strength is None:
        out.append(("carries", of.unrated and "not rated", True))
    else:
        out += [(f"carries, {s.state}", _carries(s, of.unit), False) for s in (of.strength.moving, of.strength.parked)]
    out += [
        ("rack, revision", f"{of.stamp.rack}, {of.stamp.revision}", False),
        ("made by", of.stamp.program, False),
        ("state", of.stamp.state, bool(of.stamp.stops)),
    ]
    return out


def _carries(state: Payload, unit: Unit) -> str:
    kg = state.rack if state.vehicle is None else state.vehicle
    where = "by the rack alone" if state.vehicle is None else f"set by the {state.by}"
    return f"{rating(kg, unit)}, {where}"


def _card(mark: str, cuts: Table | None) -> list[list[str]]:
    """Return what the cut list says of a mark, a pair a column."""
    if cuts is None:
        return []
    out: list[list[str]] = []
    for row in cuts.rows:
        told = dict(zip((c.key for c in cuts.columns), row, strict=True))
        if told["mark"] == mark:
            out += [
                [c.title, text]
                for c, text in zip(cuts.columns, row, strict=True)
                if text and c.key not in ("mark", "part")
            ]
    return out


def _long(mm: float, unit: Unit) -> str:
    return f"{write_length(mm, unit, shown_step(unit, fine=False))} {unit}"
