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

NEAREST = 5
"""How many parts the text names of each thing; the table has all."""


def clearance_table(found: Cleared, unit: Unit) -> Table:
    """Return how near every part comes to everything that it stays out of, in the shop's unit."""
    return _table(found.near, unit)


def clearances_text(found: Cleared, unit: Unit) -> str:
    """Return the nearest parts of each thing, then sliding, heights and view in sentences."""
    near = [row for _, rows in groupby(found.near, key=_thing) for row in list(rows)[:NEAREST]]
    parts = [table_text(_table(tuple(near), unit))] if near else []
    parts += [f"Nothing of the rack comes within {_say(FAR, unit)} of the {name}.\n" for name in found.far]
    if not parts:
        parts = ["Nothing was measured that the rack stays out of.\n"]
    parts += [
        _section("Nearest the roof", _tight(found, unit)),
        _section("Sliding the basket on its frame, clamps and all", _slide(found, unit)),
        _section("Heights", _heights(found, unit)),
        _section("The driver's view", _view(found)),
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

    def when(row: Clear) -> str:
        if row.unit == "deg":
            return f"{row.when:.1f}° open"
        return f"{write_length(row.when, unit, step)} {unit} along" if row.unit else ""

    rows = tuple(
        (
            row.thing,
            row.mark,
            row.part,
            row.word,
            write_length(row.gap, unit, step),
            write_length(row.limit, unit, step),
            "yes" if row.gap >= row.limit - 0.05 else "NO",
            when(row),
            *(write_length(c, unit, step) for c in row.at),
        )
        for row in near
    )
    return Table("clearances", "Clearance to what stands and moves", columns, rows, (
        "least gap over the whole way of what moves, certain to 0.1 mm, triangles within 0.05 mm of round tubes",
        "places are of the part, in the vehicle's frame: aft of the datum, right of the middle, up from z 0",
        f"parts farther than {_say(FAR, unit)} are left out",
        "parts that sit on the body are held to the shut line's gap beside the hatch",
    ))  # fmt: skip


def _section(title: str, lines: list[str]) -> str:
    return "\n".join([title, "", *(f"- {line}" for line in lines)]) + "\n"


def _say(mm: float, unit: Unit) -> str:
    return f"{write_length(mm, unit, shown_step(unit, fine=True))} {unit}"


def _tight(found: Cleared, unit: Unit) -> list[str]:
    out: list[str] = []
    for number, gap in enumerate(found.tight, 1):
        assert gap.gap is not None
        assert gap.at is not None
        assert gap.limit is not None
        x, y, _ = gap.at
        side = f"{_say(abs(y), unit)} to the {'right' if y > 0 else 'left'}" if abs(y) >= 1 else "on the middle"
        out.append(
            f"{number}: {gap.word} {gap.mark} ({gap.part}), {_say(gap.gap, unit)} where {_say(gap.limit, unit)} is "
            f"wanted, {_say(x, unit)} aft of the datum, {side}"
        )
    return out or ["no part stands over the measured roof"]


def _slide(found: Cleared, unit: Unit) -> list[str]:
    slide = found.slide

    def way(name: str, bounds: tuple[Bound, ...]) -> list[str]:
        near = [b for b in bounds if math.isfinite(b.room)]
        far = f"{name}: up to {_say(near[0].room, unit)}, until {near[0].what}"
        more = [f"{name}, after that: {_say(b.room, unit)}, {b.what}" for b in near[1:4]]
        return [far, *more]

    out = [*way("forward", slide.forward), *way("to the rear", slide.rearward)]
    now, best = slide.share, slide.best_share
    loaded = f" and {now[1]:.0%} under {load(slide.load, unit)}" if slide.load else ""
    out.append(f"as it is the foremost mounts carry {now[0]:.0%} of the weight empty{loaded}")
    if abs(slide.best) < 1e-9:
        out.append("it stands best where it is")
    else:
        toward = "to the rear" if slide.best > 0 else "forward"
        carries = best[1] if slide.load else best[0]
        out.append(
            f"it would stand best {_say(abs(slide.best), unit)} {toward}: the foremost mounts then carry "
            f"{carries:.0%} (basket.forward {'less' if slide.best > 0 else 'more'} by that)"
        )
    return out


def _heights(found: Cleared, unit: Unit) -> list[str]:
    if found.heights is None or found.standing is None:
        return ["not given: add [heights] to the vehicle's file for garage and trailer"]
    stands, asked = found.standing, found.heights
    out = [f"empty, over the floor: {_say(stands.unladen, unit)}"]
    if stands.load:
        out.append(
            f"with {load(stands.load, unit)} standing {_say(stands.load_height, unit)} over the floor of the basket: "
            f"{_say(stands.laden, unit)}"
        )
    high = max(stands.unladen, stands.laden if stands.load else stands.unladen)
    for name, clear in (("garage", asked.garage), ("trailer", asked.trailer)):
        if clear is not None:
            room = clear - high
            passes = "passes" if room >= HEADROOM else "passes barely" if room >= 0 else "does NOT pass"
            out.append(f"{name} {_say(clear, unit)}: {passes}, {_say(room, unit)} to spare")
    return out


def _view(found: Cleared) -> list[str]:
    if not found.eye:
        return ["not given: add [eye] to the vehicle's file"]
    if found.seen is None:
        return ["all of the rack is behind the driver's eye"]
    shown = "it shows" if found.seen.shows else "it does not show"
    glass = "" if found.seen.glass is None else f"; the windscreen ends at {found.seen.glass:.1f}°"
    return [f"its front edge ({found.seen.part}) stands {found.seen.angle:.1f}° above the horizon{glass}: {shown}"]
