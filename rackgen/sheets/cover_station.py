"""The first page of a shop pack: what is made, of what, in which order, what was found, and how to read the sheets."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Sequence

import numpy as np

from rackgen.errors import Finding, Level, order
from rackgen.mesh.sweep import along, evenly
from rackgen.parts.kinds import BentTube, Bought
from rackgen.parts.measure import mass
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.cautions import cautions
from rackgen.sheets.installation_station import caution_blocks
from rackgen.sheets.pages import Block, Fields, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.stamp import Stamp
from rackgen.sheets.table import Column, Table
from rackgen.sheets.weights import weights
from rackgen.sheets.words import POUND, load, metal, small
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.units import Unit, shown_step, write_length

STAGES = (
    (1, "hoops and what goes into them", "first; bend, trim, measure"),
    (2, "what is cut to the measured hoops", "after rings and frame are measured"),
    (3, "what is cut to the vehicle", "after the dry fit; off the vehicle again for welding"),
    (0, "bought", "ordered with the stock"),
)

Size = tuple[float, float, float]
"""Fore and aft, across, and up; mm."""


def cover_station(
    title: str,
    rack: Rack,
    shop: Shop,
    vehicle: Vehicle,
    stamp: Stamp,
    stations: Sequence[Station] = (),
    findings: Iterable[Finding] = (),
) -> Station:
    """Return the first page of a shop pack.

    Args:
        title: of the rack.
        rack: the rack.
        shop: who makes it.
        vehicle: what it goes on.
        stamp: revision, and whether it is cleared.
        stations: that follow, in the order of the work.
        findings: of builders and check.
    """
    unit = shop.unit
    blocks: list[Block] = [
        Text(f"For {vehicle.name}, made by {shop.name}. State of this revision: {stamp.state}."),
        Rows(glance(rack, unit)),
        Fields(
            (
                ("Customer", ""),
                ("Order, and vehicle's plate", ""),
                ("Date begun", ""),
                ("Revision on the bench", stamp.revision),
            ),
            ("write in",),
            "",
            "",
        ),
    ]
    if stations:
        blocks += [Heading("In this order"), Ticks(tuple(s.title for s in stations), numbered=True)]
    blocks += [Rows(stages(rack)), *_findings(findings, shop.unit)]
    blocks += [_certificates(rack), Heading("How to read these sheets")]
    blocks += [Text(text) for text in reading(shop)]
    return Station("cover", title, tuple(blocks))


def cautions_station(rack: Rack, shop: Shop, vehicle: Vehicle) -> Station:
    """Return the cautions in full, with this rack's own numbers."""
    found = cautions(rack, vehicle, weights(rack), shop.unit)
    return Station("cautions", "Cautions", tuple(caution_blocks(found)))


def extent(placed: Iterable[Placed]) -> Size | None:
    """Return how large the tubes among some parts are over all, mm, in the vehicle's directions; None without tubes."""
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for p in placed:
        if isinstance(p.part, BentTube):
            line = along(p.part.spine, evenly(p.part.spine, 10.0))
            ways = np.abs(np.einsum("ij,nj->ni", p.frame.rotation(), line.axes[:, :, 0]))
            reach = p.part.fitted.od / 2 * np.sqrt(np.maximum(0.0, 1 - ways**2))
            points = p.frame.points(line.origins)
            low, high = np.minimum(low, (points - reach).min(axis=0)), np.maximum(high, (points + reach).max(axis=0))
    if not np.isfinite(low).all():
        return None
    x, y, z = high - low
    return float(x), float(y), float(z)


def glance(rack: Rack, unit: Unit) -> Table:
    """Return what is made, in a few lines."""
    columns = (Column("what", "what"), Column("is", "is"))
    rows: list[tuple[str, str]] = []
    for name, head in (("basket.", "basket"), ("frame.", "frame"), ("", "both")):
        size = extent(p for p in rack.placed if p.id.startswith(name))
        if size is not None and (name or len(rows) > 1):
            rows.append((head, _sizes(size, unit)))
    total = sum(mass(p.part) for p in rack.placed)
    rows.append(("mass", load(total, unit, 1)))
    rows.append(("made of", "; ".join(_stock(rack))))
    return Table("glance", "What is made", columns, tuple(rows), (
        "sizes: long × wide × high, over the tubes; mass: without coating and weld metal",
    ))  # fmt: skip


def _sizes(size: Size, unit: Unit) -> str:
    step = shown_step(unit, fine=False)
    return f"{' × '.join(write_length(v, unit, step) for v in size)} {unit}"


def _stock(rack: Rack) -> list[str]:
    """Return every stock with its material and grade, tubes first, as the cut list names it."""
    found = dict.fromkeys(
        f"{p.part.stock.name} ({metal(p.part.stock.material, p.part.stock.grade)})"
        for tubes in (True, False)
        for p in rack.placed
        if not isinstance(p.part, Bought) and isinstance(p.part, BentTube) == tubes
    )
    return list(found)


def stages(rack: Rack) -> Table:
    """Return what is cut in which stage, counted by what the shop calls it."""
    columns = (Column("stage", "stage"), Column("what", "what"), Column("when", "when"), Column("parts", "parts"))
    rows: list[tuple[str, ...]] = []
    for stage, what, when in STAGES:
        words = Counter(p.word for p in sorted(rack.placed, key=lambda p: p.id) if p.stage == stage)
        if words:
            parts = ", ".join(f"{n} {word if n == 1 else plural(word)}" for word, n in sorted(words.items()))
            rows.append((str(stage) if stage else "", what, when, parts))
    return Table("stages", "Stages", columns, tuple(rows))


def plural(word: str) -> str:
    """Return the plural of a word that the shop uses for a part; of what is laid out by the strip, the word itself."""
    return word if word == "bedding" else f"{word}s"


_MILLIMETRES = re.compile(r"(?<![\d./-])-?\d+(?:\.\d+)?(?: (?:×|to) -?\d+(?:\.\d+)?)* mm\b")


_KILOGRAMS = re.compile(r"(?<![\d./-])(\d+(?:\.\d+)?) kg\b(?!/)")


def in_shop_unit(text: str, unit: Unit) -> str:
    """Return a finding's words with inches behind its millimetres and pounds behind its kilograms in an inch shop.

    Checks write mm and kg whatever the shop, and now and then a bare limit behind them: the millimetres stay, so that
    it is still read against its own unit.
    """
    if unit == "mm":
        return text

    def both(found: re.Match[str]) -> str:
        inches = re.sub(r"\d+(?:\.\d+)?", lambda n: small(float(n.group()), unit), found.group()[: -len(" mm")])
        return f"{found.group()} ({inches} {unit})"

    # Whole pounds and no more of them than the kilograms are: a load is never read as larger.
    weighed = _KILOGRAMS.sub(lambda n: f"{n.group()} ({math.floor(float(n.group(1)) / POUND)} lb)", text)
    return _MILLIMETRES.sub(both, weighed)


def _findings(found: Iterable[Finding], unit: Unit) -> list[Block]:
    listed = order(found)
    if not listed:
        return [Heading("What was found"), Text("Nothing was found that a check looks for.")]
    columns = (Column("level", ""), Column("text", "found"), Column("help", "what helps"))
    same = Counter((f.level, f.code, f.help) for f in listed)
    shown: dict[tuple[Level, str, str], Finding] = {}
    for f in listed:
        shown.setdefault((f.level, f.code, f.help), f)
    rows = tuple(
        (
            str(f.level).upper(),
            in_shop_unit(f.text, unit) + (f" (and {same[key] - 1} more)" if same[key] > 1 else ""),
            in_shop_unit(f.help, unit),
        )
        for key, f in shown.items()
    )
    note = "STOP: must be mended before anything is cut; LOOK: look at it and decide; NOTE: worth knowing"
    return [Rows(Table("found", "What was found", columns, rows, (note,)))]


def _certificates(rack: Rack) -> Fields:
    rows = tuple((text, "") for text in _stock(rack))
    return Fields(rows, ("certificate", "heat number"), "Material", "")


def reading(shop: Shop) -> tuple[str, ...]:
    """Return how marks, ends, clocks, units and rounding are read."""
    unit = shop.unit
    if unit == "mm":
        rounding = (
            "Lengths are millimetres: saw lengths, marks and what a tape checks to 0.5, small sizes and what is added "
            "to a measured size to 0.1."
        )
    else:
        rounding = (
            "Lengths are inches: saw lengths, marks and what a tape checks to 1/32, what is added to a measured size "
            "to 1/64, small sizes to 0.001 in decimals."
        )
    return (
        f"Units. {rounding} Every number is rounded once, from the exact one; running dimensions are from one stated "
        "end, so nothing adds up. Angles are degrees, masses kilograms"
        + (" or pounds" if unit == "in" else "")
        + ". Check bars on every template page: measure both before you cut.",
        "Marks. T tubes, B bars, P plates and mesh, H bought. Equal parts share a mark; write it on every piece as "
        "soon as it is cut, and left or right where the sheet says so. Left and right are as the driver sits.",
        "Ends. Every tube and bar has an end A and an end B. Running dimensions start at A unless the sheet says "
        "otherwise. Draw an arrow toward B.",
        "Clocks. Degrees round a tube, clockwise seen from end A. 0 is at the inside of the first bend; on a straight "
        "tube it is one line that both ends share. A cope's clock is its acute side.",
        "Lengths of coped tubes. Long point: what the saw cuts. Throat: what the tape measures between the hollows. "
        "Centre to centre: as it stands in the rack.",
        "Plates and bars. The face shown is the one up; text is never mirrored. Up folds come toward you.",
        "Stages. Do not cut a later stage before its boxes are filled: measured sizes win over drawn ones, and what "
        "differs goes into the preset files and the pack is made anew.",
        f"Allowances of this shop: fit-up gap {small(shop.fit_up_gap, unit)} a coped end, weld shrinkage "
        f"{small(shop.weld_shrinkage, unit)} a joint, trim {small(shop.trim, unit)} an end of bent tubes, "
        f"{small(shop.leg_trim, unit)} on the frame's legs ({unit}): in saw lengths and templates, not in sizes "
        "between axes.",
        "The stamp at the head of every page says the revision, and NOT CLEARED as long as a stop stands. Two pages of "
        "different revision do not belong together.",
    )
