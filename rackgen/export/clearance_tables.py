"""Clearances as a table and as text: hatch, doors and the like, sliding the basket, heights, the driver's view."""

from __future__ import annotations

import math
from itertools import groupby

from rackgen.check.cleared import FAR, Cleared
from rackgen.check.heights import HEADROOM
from rackgen.check.keepouts import Clear
from rackgen.check.slide import Bound
from rackgen.export.text import table_text
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import load
from rackgen.units import Unit, shown_step, write_length

SHORT = 100.0
"""From here on a length is told to whole millimetres, mm: nobody measures a height or a place on a car finer."""

NEAREST = 5
"""How many parts the text names of each thing; the table has all."""

NOTES = (
    "least gap over the whole way of what moves, certain to 0.1 mm, triangles within 0.05 mm of round tubes",
    "parts that sit on the body are held to the shut line's gap beside the hatch",
)


def clearance_table(found: Cleared, unit: Unit) -> Table:
    """Return how near every part comes to everything that it stays out of, in the shop's unit."""
    return _table(found.near, unit)


def clearances_text(found: Cleared, unit: Unit) -> str:
    """Return the nearest parts of each thing, then sliding, heights and view in sentences."""
    near = [row for _, rows in groupby(found.near, key=_thing) for row in list(rows)[:NEAREST]]
    parts = [table_text(_table(tuple(near), unit))] if near else []
    parts += [f"Nothing of the rack comes within {spoken(FAR, unit)} of the {name}.\n" for name in found.far]
    if not parts:
        parts = ["Nothing was measured that the rack stays out of.\n"]
    parts += [
        _section("Nearest the roof", _tight(found, unit)),
        _section("Sliding the basket on its frame, clamps and all", slide_lines(found, unit)),
        _section("Heights", height_lines(found, unit)),
        _section("The driver's view", view_lines(found)),
    ]
    return "\n".join(parts)


def _thing(row: Clear) -> str:
    return row.thing


def _table(near: tuple[Clear, ...], unit: Unit) -> Table:
    step = shown_step(unit, fine=True)
    columns = (
        Column("to", "to"),
        Column("mark", "mark"),
        Column("part", "part"),
        Column("word", "what"),
        Column("gap", f"gap {unit}", True),
        Column("wanted", f"wanted {unit}", True),
        Column("passes", "passes"),
        Column("when", "when it is", True),
        Column("aft", f"aft {unit}", True),
        Column("right", f"right {unit}", True),
        Column("up", f"up {unit}", True),
    )

    rows = tuple(
        (
            row.thing,
            row.mark,
            row.part,
            row.word,
            write_length(row.gap, unit, step),
            write_length(row.limit, unit, step),
            "yes" if passes(row) else "NO",
            when(row, unit),
            *(write_length(c, unit, step) for c in row.at),
        )
        for row in near
    )
    places = "places are of the part, in the vehicle's frame: aft of the datum, right of the middle, up from z 0"
    far = f"parts farther than {spoken(FAR, unit)} are left out"
    return Table("clearances", "Clearance to what stands and moves", columns, rows, (NOTES[0], places, far, NOTES[1]))


def passes(row: Clear) -> bool:
    """Return whether a part keeps the gap that it is held to."""
    return row.gap >= row.limit - 0.05


def when(row: Clear, unit: Unit) -> str:
    """Return at which place of a thing's way it comes nearest, "" for what stands still."""
    if row.unit == "deg":
        return f"{row.when:.1f}° open"
    return f"{spoken(row.when, unit)} along" if row.unit else ""


def _section(title: str, lines: list[str]) -> str:
    return "\n".join([title, "", *(f"- {line}" for line in lines)]) + "\n"


def spoken(mm: float, unit: Unit) -> str:
    """Return a length with its unit, finer where it is short."""
    return f"{distance(mm, unit)} {unit}"


def distance(mm: float, unit: Unit) -> str:
    """Return a length without its unit, over 100 mm as a tape is read, below that to half a millimetre or 1/32 in."""
    return write_length(mm, unit, shown_step(unit, fine=abs(mm) < SHORT))


def _tight(found: Cleared, unit: Unit) -> list[str]:
    out: list[str] = []
    for number, gap in enumerate(found.tight, 1):
        assert gap.gap is not None
        assert gap.at is not None
        assert gap.limit is not None
        x, y, _ = gap.at
        side = f"{spoken(abs(y), unit)} to the {'right' if y > 0 else 'left'}" if abs(y) >= 1 else "on the middle"
        out.append(
            f"{number}: {gap.word} {gap.mark} ({gap.part}), {spoken(gap.gap, unit)} where {spoken(gap.limit, unit)} is "
            f"wanted, {spoken(x, unit)} aft of the datum, {side}"
        )
    return out or ["no part stands over the measured roof"]


def slide_lines(found: Cleared, unit: Unit) -> list[str]:
    """Return how far the basket may slide and where it stands best, a line each."""
    slide = found.slide
    if slide is None:
        return ["nothing lies on this frame that could slide"]

    def way(name: str, bounds: tuple[Bound, ...]) -> list[str]:
        near = [b for b in bounds if math.isfinite(b.room)]
        far = f"{name}: up to {spoken(near[0].room, unit)}, until {near[0].what}"
        more = [f"{name}, after that: {spoken(b.room, unit)}, {b.what}" for b in near[1:4]]
        return [far, *more]

    return [*way("forward", slide.forward), *way("to the rear", slide.rearward), *balance_lines(found, unit)]


def balance_lines(found: Cleared, unit: Unit) -> list[str]:
    """Return what the foremost mounts carry, and where the basket would stand best, a line each."""
    slide = found.slide
    if slide is None:
        return []
    out: list[str] = []
    now, best = slide.share, slide.best_share
    loaded = f" and {now[1]:.0%} under {load(slide.load, unit)}, {slide.by}" if slide.load else ""
    out.append(f"as it is the foremost mounts carry {now[0]:.0%} of the weight empty{loaded}")
    if abs(slide.best) < 1e-9:
        out.append("it stands best where it is")
    else:
        toward = "to the rear" if slide.best > 0 else "forward"
        carries = best[1] if slide.load else best[0]
        out.append(
            f"it would stand best {spoken(abs(slide.best), unit)} {toward}: the foremost mounts then carry "
            f"{carries:.0%} (basket.forward {'less' if slide.best > 0 else 'more'} by that)"
        )
    return out


def height_lines(found: Cleared, unit: Unit) -> list[str]:
    """Return how high it all stands, empty and loaded, and what it passes under, a line each."""
    if found.heights is None or found.standing is None:
        return ["not given: add [heights] to the vehicle's file for garage and trailer"]
    stands, asked = found.standing, found.heights
    out = [f"empty, over the floor: {spoken(stands.unladen, unit)}"]
    if stands.load:
        out.append(
            f"with {load(stands.load, unit)} standing {spoken(stands.load_height, unit)} over {stands.on}: "
            f"{spoken(stands.laden, unit)}"
        )
    high = max(stands.unladen, stands.laden if stands.load else stands.unladen)
    for name, clear in (("garage", asked.garage), ("trailer", asked.trailer)):
        if clear is not None:
            room = clear - high
            passes = "passes" if room >= HEADROOM else "passes barely" if room >= 0 else "does NOT pass"
            out.append(f"{name} {spoken(clear, unit)}: {passes}, {spoken(room, unit)} to spare")
    return out


def view_lines(found: Cleared) -> list[str]:
    """Return what the driver sees of it, a line."""
    if not found.eye:
        return ["not given: add [eye] to the vehicle's file"]
    if found.seen is None:
        return ["all of the rack is behind the driver's eye"]
    shown = "it shows" if found.seen.shows else "it does not show"
    glass = "" if found.seen.glass is None else f"; the windscreen ends at {found.seen.glass:.1f}°"
    return [f"its front edge ({found.seen.part}) stands {found.seen.angle:.1f}° above the horizon{glass}: {shown}"]
