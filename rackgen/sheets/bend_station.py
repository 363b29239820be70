"""The station of the bender: the test bend first, then every bent tube with its sketch, marks and boxes to fill."""

from __future__ import annotations

import numpy as np

from rackgen.geom import spine
from rackgen.geom.spine import Spine
from rackgen.parts.kinds import BentTube
from rackgen.parts.marks import Line, lines
from rackgen.parts.rack import Rack
from rackgen.refs.registry import number
from rackgen.sheets.bend_rows import READING, bend_tables
from rackgen.sheets.bends import BendSheet, bend_sheet
from rackgen.sheets.bent_sketch import SAME, sampled_box
from rackgen.sheets.bent_views import outside_legs, planar, views
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.sketch import bent_tube, seen_part, tube_sketch
from rackgen.sheets.trial_bend import TrialBend, file_lines, trial_bends
from rackgen.sheets.words import degrees, fine, small
from rackgen.spec.shop import Shop
from rackgen.units import Unit, write_decimal, write_length

MOST = 4
"""Tubes that get a box each beside every size; of more, those go into one box."""

ROCK = 2.0
"""How far off a flat table a tube of one plane may stand, mm (common practice, no source)."""

NUMBERS = "no.: the bold numbers on the sketch; sizes on the sketch are outside, between the trim lines"

WIDE, HIGH, HIGH_TWO = 182.0, 105.0, 165.0
"""Room for a sketch of one view and of two, mm on paper."""

MEASURED = "Every die and tube of this rack has its test bend in the shop's file; set angles go by it."

CREEP = (
    "No test bend of this tube on this die: the set angles are estimates. Stop at the finished angle, release, read, "
    "creep up; stop short sooner than far, for a bend does not go back. Note what the bender's scale said at the last "
    "stop: the next tube of this stock needs the same."
)


def bend_station(rack: Rack, shop: Shop) -> Station:
    """Return the bender's pages.

    Args:
        rack: the rack.
        shop: its dies, its allowances, its unit.
    """
    bent = [line for line in lines(rack) if isinstance(line.part, BentTube) and line.part.spine.bends]
    sheets = tuple(bend_sheet(line, shop) for line in bent)
    blocks: list[Block] = []
    forms = trial_bends(sheets)
    for n, form in enumerate(forms):
        blocks += trial_blocks(form, shop.unit, new_page=n > 0)
    if not bent:
        blocks.append(Text("No tube of this rack is bent."))
    elif not forms:
        blocks.append(Text(MEASURED))
    reading = [Heading("How to read the marks"), *(Text(said) for said in (*READING, NUMBERS))]
    if bent and not forms:
        blocks += reading
    for n, (line, sheet, table) in enumerate(zip(bent, sheets, bend_tables(sheets, shop.unit), strict=True)):
        assert isinstance(line.part, BentTube)
        blocks.append(Heading(f"{sheet.mark} {sheet.word}", new_page=True))
        blocks.append(_figure(line.part, sheet, shop.unit))
        blocks.append(Rows(table))
        if sheet.springback_from != "test bend":
            blocks.append(Text(CREEP, "caution"))
        blocks.append(_as_bent(line, sheet, shop.unit))
        if n == 0 and forms:
            blocks += reading
    return Station("bender", "Bender", tuple(blocks))


def trial_blocks(form: TrialBend, unit: Unit, *, new_page: bool) -> tuple[Block, ...]:
    """Return the form of one test bend: steps, boxes for what is read, boxes for what comes of it."""
    step = 1.0 if unit == "mm" else 1 / 16
    mark, offcut = (f"{write_length(v, unit, step)} {unit}" for v in (form.mark, form.offcut))
    legs, to_axis, od = (_exact(v, unit) for v in (form.legs, form.od / 2 + form.clr, form.od))
    look, most = (number(n).value for n in ("bend-ovality-look", "bend-ovality"))
    results = [
        ("springback = (S - F) × 90 / F", "degrees"),
        (f"elongation = a + b - L - {legs}", unit),
        (f"die_mark_offset = a - m - {to_axis}", unit),
        (f"roundness = (D - d) / {od} × 100", f"good to {look:g} %, never over {most:g} %"),
    ]
    return (
        Heading(f"Test bend: die {form.die} with {form.tube}", new_page=new_page),
        Text(f"Before the first tube is cut: the shop's file lacks {', '.join(form.lacks)}. One offcut tells it."),
        Ticks(
            (
                f"Saw an offcut of this tube square, {offcut} long or more, and measure it: L.",
                f"Draw a line round it, {mark} from the end that goes into the clamp, and measure that: m.",
                "Clamp it with that line at the bender's mark, or where the bend starts if there is none.",
                "Bend until it reads 90° released, to a quarter of a degree: stop at 90, release, read, creep up. Read "
                "the bender's own scale under load at the last stop: S. Read the released angle: F.",
                "On a flat table with a square, measure from the clamped end to the outside of the other leg: a; from "
                "the other end to the outside of the clamped leg: b.",
                "Measure the largest and the smallest outside diameter in the bend: D and d.",
            ),
            numbered=True,
        ),
        Fields(
            (
                ("L  length of the offcut", f"{offcut} or more"),
                ("m  line from the clamped end", mark),
                ("S  bender's scale at the last stop", ""),
                ("F  angle released", "90°"),
                ("a  clamped end to outside of the other leg", ""),
                ("b  other end to outside of the clamped leg", ""),
                ("D  largest diameter in the bend", ""),
                ("d  smallest diameter in the bend", ""),
            ),
            title="Read",
        ),
        Fields(tuple(results), ("result",), "Work out", "in"),
        Text(f"Into the shop's file, below the die {form.die}: {'; '.join(file_lines(form))}"),
    )


def _exact(mm: float, unit: Unit) -> str:
    return write_decimal(mm, unit, 1 if unit == "mm" else 3)


def _figure(part: BentTube, sheet: BendSheet, unit: Unit) -> Figure:
    flat = planar(part.spine)
    high = HIGH if flat else HIGH_TWO
    said = f"end {sheet.end} goes into the clamp first; bold numbers are the rows below; outside sizes, {unit}"
    if not flat:
        said += "; what both views show is dimensioned once"
    return Figure(tube_sketch(part, sheet, unit, WIDE, high), said, high + 2.0)


def _as_bent(line: Line, sheet: BendSheet, unit: Unit) -> Fields:
    """Return boxes for what a tube came out as, a column for each tube of the mark."""
    assert isinstance(line.part, BentTube)
    boxes = tuple(f"no. {n + 1}" for n in range(sheet.quantity)) if 1 < sheet.quantity <= MOST else ("as bent",)
    return Fields(
        as_bent_rows(line.part, sheet, unit),
        boxes,
        f"{sheet.mark} {sheet.word} as bent, before the ends are trimmed",
    )


def as_bent_rows(part: BentTube, sheet: BendSheet, unit: Unit) -> tuple[tuple[str, str], ...]:
    """Return what is measured on a bent tube and what it should be: angles, outside sizes, flatness, roundness."""
    seen = seen_part(part, sheet).spine
    rows: list[tuple[str, str]] = []
    for bend in sheet.bends:
        rows.append((f"bend {bend.number}: angle released", f"{degrees(bend.angle)}°"))
        should = "" if bend.set_angle is None else f"{degrees(bend.set_angle)}°"
        rows.append((f"bend {bend.number}: bender's scale at the last stop", should))
        if bend.number > 1 and abs(bend.turn) > 0.05:
            rows.append((f"bend {bend.number}: turn from bend {bend.number - 1}", f"{degrees(bend.turn)}°"))
    rows += _sizes(seen, part.section.od / 2, sheet, unit)
    rows += _overall(part, sheet, unit)
    if planar(seen):
        rows.append(("stands off a flat table, at worst", f"{fine(ROCK, unit)} {unit} or less"))
    limit = part.section.od * number("bend-ovality-look").value / 100
    rows.append(("first bend: largest less smallest diameter", f"{small(limit, unit)} {unit} or less"))
    return tuple(rows)


def _sizes(seen: Spine, half: float, sheet: BendSheet, unit: Unit) -> list[tuple[str, str]]:
    legs = outside_legs(seen, half)
    far = "B" if sheet.end == "A" else "A"
    to = "trim line" if sheet.trim else "end"
    out: list[tuple[str, str]] = []
    for i, leg in enumerate(legs):
        if i == 0:
            name = f"leg {sheet.end}: outside of bend 1 to the {to}"
        elif i == len(legs) - 1:
            name = f"leg {far}: outside of bend {i} to the {to}"
        else:
            name = f"outside of bend {i} to outside of bend {i + 1}"
        out.append((name, f"{fine(leg, unit)} {unit}"))
    first, last = spine.frame_at(seen, 0.0).x, spine.end_frame(seen).x
    if planar(seen) and float(np.dot(first, last)) < -0.99999:
        start, end = (np.array(spine.frame_at(seen, s).origin) for s in (0.0, spine.length(seen)))
        apart = float(np.linalg.norm(np.cross(end - start, first))) + 2 * half
        out.append(("outside across both legs, at their ends", f"{fine(apart, unit)} {unit}"))
    return out


def _overall(part: BentTube, sheet: BendSheet, unit: Unit) -> list[tuple[str, str]]:
    """Return the overall sizes that no straight is."""
    bent = bent_tube(part, sheet, unit)
    legs = outside_legs(bent.line, bent.half)
    out: list[tuple[str, str]] = []
    seen: list[float] = []
    for view in views(bent.line, WIDE, HIGH):
        low, top = sampled_box(bent, view)
        for axis, name in enumerate(("long", "high" if view.name == "side" else "wide")):
            size = float(top[axis] - low[axis])
            if not any(abs(size - known) < SAME for known in (*legs, *seen)):
                where = f"{view.name}: " if view.name else ""
                out.append((f"{where}overall outside, {name}", f"{fine(size, unit)} {unit}"))
            seen.append(size)
    return out
