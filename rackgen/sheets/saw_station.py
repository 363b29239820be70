"""The saw: the cut list in its three stages, each piece to tick off, and the sticks that it comes out of."""

from __future__ import annotations

import re
from collections.abc import Mapping

from rackgen.parts.rack import Rack
from rackgen.sheets.cutlist import CutLine, cut_list
from rackgen.sheets.hole_saw import SawnCope, hole_saws
from rackgen.sheets.measured_first import MeasuredFirst, measured_first
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Rows, Station, Text
from rackgen.sheets.stick_drawing import coarse, height, sticks_drawing
from rackgen.sheets.stick_records import StickNest
from rackgen.sheets.stick_rows import bought_table, sticks_table
from rackgen.sheets.sticks import stick_nest
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import fine, size
from rackgen.spec.shop import Shop
from rackgen.units import INCH, Unit, write_length

STAGES: Mapping[int, tuple[str, str]] = {
    1: ("now: hoops and what goes into their butts", "Sawn before anything is bent."),
    2: (
        "after measuring rings and frame",
        "Not sawn yet. When rings and frame are tacked and square, measure what the boxes below ask for, and saw each "
        "piece to its own measurement.",
    ),
    3: (
        "after the dry fit",
        "Not sawn yet. What is measured at the vehicle is on the dry-fit sheet; carry it over into the boxes below.",
    ),
}

TICK = "☐"

A_FIGURE = 8
"""Most sticks in one drawing."""


def saw_station(rack: Rack, shop: Shop) -> Station:
    """Return the saw's pages.

    Args:
        rack: the rack.
        shop: its saw, stock, remnants and allowances.
    """
    unit = shop.unit
    cuts, findings = cut_list(rack, shop)
    nest, said = stick_nest(rack, shop, shop.remnants)
    waits = measured_first(rack, cuts.lines)
    saws = {(s.mark, s.end): s for s in hole_saws(rack, shop)}
    blocks: list[Block] = [Text(f"{f.text}. {f.help}", "caution") for f in (*findings, *said) if f.level.name != "NOTE"]
    for stage, (when, told) in STAGES.items():
        lines = tuple(line for line in cuts.lines if line.stage == stage)
        if not lines:
            continue
        blocks += [Heading(f"Stage {stage}, {when}", new_page=stage > 1), Text(told)]
        sawn = tuple(line for line in lines if line.kind in ("tube", "bar"))
        if sawn:
            blocks.append(Rows(stage_table(stage, sawn, saws, unit), below=("ends", "by", "notes")))
        flat = tuple(line for line in lines if line.kind in ("plate", "mesh"))
        if flat:
            blocks.append(Rows(flat_table(stage, flat, unit)))
        blocks += waiting_blocks(tuple(w for w in waits if w.stage == stage), unit)
        if stage == 3 and any(p.word == "rear strap" for p in rack.placed):
            blocks.append(
                Text("Straps are folded to the bevel found at the dry fit, wraps over their former, braces sawn to the "
                     "corner that is there; the frame's legs are cut at the line scribed on them.")
            )  # fmt: skip
    blocks += stick_blocks(nest)
    return Station("saw", "Saw", tuple(blocks))


def stage_table(stage: int, lines: tuple[CutLine, ...], saws: Mapping[tuple[str, str], SawnCope], unit: Unit) -> Table:
    """Return what is sawn in one stage, a box for every piece."""
    columns = (
        Column("mark", "mark"),
        Column("part", "part"),
        Column("stock", "stock"),
        Column("saw", f"saw {unit}", True),
        Column("long_point", f"long point {unit}", True),
        Column("throat", f"throat {unit}", True),
        Column("centres", f"centre to centre {unit}", True),
        Column("quantity", "qty", True),
        Column("done", "sawn"),
        Column("ends", "ends A / B"),
        Column("by", "shaped by"),
        Column("notes", "also"),
    )
    rows = tuple(
        (
            line.mark,
            line.word,
            line.stock,
            fine(line.saw, unit),
            fine(line.long_point, unit) if abs(line.long_point - line.saw) > 0.01 else "",
            "" if line.throat is None else fine(line.throat, unit),
            "" if line.centres is None else fine(line.centres, unit),
            str(line.quantity),
            " ".join([TICK] * line.quantity),
            "" if line.ends == "square / square" else line.ends,
            shaped_by(line, saws, unit),
            "; ".join(line.notes),
        )
        for line in lines
    )
    notes = (
        "saw: over the longest lines, trim of bent tubes counted in; write the mark on every piece as it comes off",
        "throat: between the deepest points on the outside; centre to centre: as it stands in the finished rack",
    )
    return Table(f"saw-stage-{stage}", f"Sawn in stage {stage}", columns, rows, notes)


def shaped_by(line: CutLine, saws: Mapping[tuple[str, str], SawnCope], unit: Unit) -> str:
    """Return where each end that is not square is laid out, in words."""
    said: dict[str, list[str]] = {}
    for end, words in zip("AB", line.ends.split(" / "), strict=False):
        cope = saws.get((line.mark, end))
        if cope is not None and cope.saw is not None:
            how = f"hole saw {size(cope.saw.saw, unit)} (sheet hole-saw) or its wrap template"
        elif cope is not None:
            how = f"wrap template, not hole saw ({cope.wrap})"
        elif mitre := re.search(r"mitre ([\d.]+)", words):
            how = f"saw set {mitre.group(1)}° off square, or its wrap template"
        elif bevel := re.search(r"bevel ([\d.]+)", words):
            how = f"saw or grinder, {bevel.group(1)}° off square"
        else:
            continue
        said.setdefault(how, []).append(end)
    return "; ".join(f"{' and '.join(ends)}: {how}" for how, ends in said.items())


def flat_table(stage: int, lines: tuple[CutLine, ...], unit: Unit) -> Table:
    """Return what of a stage is cut from sheet, for completeness."""
    columns = (
        Column("mark", "mark"),
        Column("part", "part"),
        Column("stock", "stock"),
        Column("size", f"box {unit}"),
        Column("quantity", "qty", True),
        Column("done", "cut"),
        Column("where", "where"),
    )
    rows = tuple(
        (
            line.mark,
            line.word,
            line.stock,
            f"{fine(line.saw, unit)} × {fine(line.width, unit)}",
            str(line.quantity),
            " ".join([TICK] * line.quantity),
            "shear or disc" if line.kind == "mesh" else "cutting table",
        )
        for line in lines
    )
    return Table(f"flat-stage-{stage}", f"Cut from sheet in stage {stage}", columns, rows)


def waiting_blocks(waits: tuple[MeasuredFirst, ...], unit: Unit) -> tuple[Block, ...]:
    """Return boxes for what is measured before pieces are cut, equal pieces under one heading."""
    same: dict[tuple[str, str, str, float], list[MeasuredFirst]] = {}
    for wait in waits:
        same.setdefault((wait.mark, wait.word, wait.what, round(wait.add, 3)), []).append(wait)
    out: list[Block] = []
    if same:
        out.append(Heading("Measure first, then cut"))
        out.append(Text("Numbers run from front to rear, then from left to right.", "small"))
    for (mark, word, what, _), group in same.items():
        # What is added is the difference of the two sizes as they are written, so that the sum comes out on paper.
        step = 0.1 if unit == "mm" else INCH / 64
        add = (round(group[0].cut / step) - round(group[0].should / step)) * step
        sign = "+" if add >= 0 else "-"
        rows = tuple((_called(w), f"{_near(w.should, unit)}, cut {_near(w.cut, unit)}") for w in group)
        title = f"{mark} {word}: {what} {sign} {_near(abs(add), unit)} {unit} = cut to"
        out.append(Fields(rows, ("measured", "cut to"), title, f"as drawn, {unit}"))
    return tuple(out)


def _near(mm: float, unit: Unit) -> str:
    return write_length(mm, unit, 0.1 if unit == "mm" else 1 / 64)


def _called(wait: MeasuredFirst) -> str:
    """Return which of equal pieces it is, from its id: "bearer 1", "upright left 2"."""
    said = {"basket", "lower", "upper", "frame", "mount", *wait.word.split()}
    tail: list[str] = []
    for token in wait.part.split("."):
        name, _, number = token.rstrip("]").partition("[")
        tail += ([] if name in said else [name.replace("_", " ")]) + ([number] if number else [])
    return " ".join((wait.word, *tail))


def stick_blocks(nest: StickNest) -> tuple[Block, ...]:
    """Return what to take, the sticks drawn, their cuts with running dimensions, and what goes back on the rack."""
    unit = nest.unit
    out: list[Block] = [Heading("Sticks", new_page=True), Rows(bought_table(nest))]
    longest = max((s.length for one in nest.stocks for s in one.sticks), default=1.0)
    for one in nest.stocks:
        for k in range(0, len(one.sticks), A_FIGURE):
            some = one.sticks[k : k + A_FIGURE]
            caption = f"{one.stock}: grey is stage 1, light stage 2, white stage 3; hatched is left, crossed is scrap"
            out += [
                Heading(one.stock if k == 0 else f"{one.stock}, more"),
                Figure(sticks_drawing(some, unit, longest), caption, height(some, unit, longest) + 6.0),
            ]
    out.append(Heading("Cuts, stick by stick", new_page=True))
    out.append(Rows(sticks_table(nest), tick=True))
    out.append(Rows(left_table(nest), tick=True))
    return tuple(out)


def left_table(nest: StickNest) -> Table:
    """Return the remnants that go back on the rack."""
    unit = nest.unit
    columns = (
        Column("stock", "stock"),
        Column("stick", "of stick", True),
        Column("left", f"left {unit}", True),
    )
    rows = tuple(
        (one.stock, str(stick.number), coarse(stick.left, unit))
        for one in nest.stocks
        for stick in one.sticks
        if stick.kept
    )
    notes = ("write stock and length on each end, and into the shop's file, so that the next rack is cut from them",)
    return Table("sticks-left", "Back on the rack", columns, rows, notes)
