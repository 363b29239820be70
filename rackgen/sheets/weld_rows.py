"""The weld map as tables: one row a joint for files, equal joints of a step together for people."""

from __future__ import annotations

from rackgen.sheets.table import Column, Table
from rackgen.sheets.weld_order import DRY_FIT, titled
from rackgen.sheets.welds import GAP_WALL, Weld, WeldMap
from rackgen.sheets.words import size, small
from rackgen.units import Unit, shown_step, write_length

POUND = 0.45359237
"""kg, exactly (international avoirdupois pound, 1959)."""

COLUMNS = (
    Column("id", "id"),
    Column("step", "step", number=True),
    Column("type", "type"),
    Column("part", "part"),
    Column("to", "to"),
    Column("leg", "leg", number=True),
    Column("leg_most", "at most", number=True),
    Column("length", "weld", number=True),
    Column("gap", "gap good to", number=True),
    Column("gap_most", "weld up to", number=True),
    Column("stage", "when"),
    Column("how", "where the bead runs"),
)


def kind_words(weld: Weld, unit: Unit) -> str:
    """Return the weld in words, as the drawing symbols of ISO 2553 would say it."""
    match weld.kind:
        case "all round":
            return "fillet all round"
        case "butt":
            return "square butt all round, dressed flush"
        case "plug":
            return f"{weld.pieces} plugs of {size(weld.size, unit)}"
        case "fillet":
            return "fillet"
        case "stitch":
            return f"stitched fillet, {weld.pieces} × {_stitch(weld, unit)}"
        case "tacks":
            return f"{weld.pieces} tacks of {_stitch(weld, unit)}"


def _stitch(weld: Weld, unit: Unit) -> str:
    if unit == "mm":
        return f"{weld.size:g}"
    return {25.0: "1", 10.0: "3/8"}.get(weld.size, small(weld.size, unit))


def how_words(how: str, unit: Unit) -> str:
    """Return where a bead runs, its spacings in the shop's unit."""
    if unit == "mm":
        return how
    return how.replace("25 on 75 mm", "1 on 3 in").replace("10 mm every 75 to 100 mm", "3/8 in every 3 to 4 in")


def when_words(weld: Weld) -> str:
    """Return when a weld is made; always on the bench."""
    return "bench, after the dry fit" if weld.waits or weld.step >= DRY_FIT else "bench, before the dry fit"


def mass_words(kg: float, unit: Unit) -> str:
    """Return a small mass, g or oz."""
    return f"{kg * 1000:.0f} g" if unit == "mm" else f"{kg / POUND * 16:.1f} oz"


def _row(weld: Weld, unit: Unit) -> tuple[str, ...]:
    step = shown_step(unit, fine=False)
    return (
        weld.id,
        f"{weld.step}",
        kind_words(weld, unit),
        f"{weld.words[0]} {weld.marks[0]}",
        f"{weld.words[1]} {weld.marks[1]}",
        small(weld.leg, unit),
        small(weld.leg_most, unit),
        write_length(weld.bead, unit, step),
        small(weld.gap_good, unit),
        small(weld.gap_most, unit),
        when_words(weld),
        how_words(weld.how, unit),
    )


def welds_table(found: WeldMap, unit: Unit) -> Table:
    """Return the whole weld map, one row a joint, in order of welding."""
    return Table("welds", f"Welds, in order of welding ({unit})", COLUMNS, tuple(_row(w, unit) for w in found.welds),
                 weld_notes(found, unit))  # fmt: skip


def span(ids: tuple[str, ...]) -> str:
    """Return ids in short: "W3-W6, W9"."""
    numbers = sorted(int(i[1:]) for i in ids)
    out: list[str] = []
    begin = last = numbers[0]
    for n in [*numbers[1:], -1]:
        if n == last + 1:
            last = n
            continue
        out.append(f"W{begin}" if begin == last else f"W{begin}-W{last}")
        begin = last = n
    return ", ".join(out)


def grouped(found: WeldMap, step: int) -> tuple[tuple[Weld, ...], ...]:
    """Return the equal welds of a step together, in order of the first of them."""
    same: dict[tuple[object, ...], list[Weld]] = {}
    for weld in found.welds:
        if weld.step == step:
            same.setdefault(weld.alike, []).append(weld)
    return tuple(tuple(g) for g in same.values())


def step_table(found: WeldMap, step: int, unit: Unit) -> Table:
    """Return one step for the bench: equal joints in one row, each with its ids."""
    columns = (
        Column("ids", "welds"),
        Column("joint", "joint"),
        Column("type", "weld"),
        Column("leg", f"leg ({unit})", number=True),
        Column("length", "each", number=True),
        Column("count", "joints", number=True),
        Column("gap", "root gap (most)", number=True),
        Column("how", "where the bead runs"),
    )
    rows: list[tuple[str, ...]] = []
    words = {word for w in found.welds if w.step == step for word in w.words}
    for group in grouped(found, step):
        w = group[0]
        leg = small(w.leg, unit)
        rows.append(
            (
                span(tuple(g.id for g in group)),
                f"{w.words[0]} {w.marks[0]} to {w.words[1]} {w.marks[1]}",
                kind_words(w, unit),
                leg if w.leg_most <= w.leg + 1e-6 else f"{leg} to {small(w.leg_most, unit)}",
                write_length(w.bead, unit, shown_step(unit, fine=False)),
                f"{len(group)}",
                f"{small(w.gap_good, unit)} ({small(w.gap_most, unit)})",
                how_words(w.how, unit),
            )
        )
    return Table(f"welds-{step}", f"Step {step}: {titled(step, words)}", columns, tuple(rows))


def weld_notes(found: WeldMap, unit: Unit) -> tuple[str, ...]:
    """Return what is true of every weld of the rack, and the sum of them."""
    metres = f"{found.bead / 1000:.1f} m" if unit == "mm" else f"{found.bead / 304.8:.1f} ft"
    wall = f"{GAP_WALL:g} mm" if unit == "mm" else f"{small(GAP_WALL, unit)} in"
    return (
        "Nothing is welded on the vehicle: what waits for it is clamped, scribed and match-marked there, taken off and "
        "welded on the bench.",
        "Leg: the thinner wall, up to 1.2 times it; least sizes for plate do not apply under 3 mm (1/8 in). Butts, "
        "plugs and laps along an edge: the size given, no more. Common practice; edges AISC 360 J2.2b.",
        "Root gap is read where the tube is nearest the other, not across the groove: good up to half the thinner "
        f"wall; to {small(1.6, unit)} {unit} by wire feed on walls of {wall} and more; wider is cut again. Common "
        "practice.",
        "Wire feed (MAG, process 135 of ISO 4063), solid wire 0.8 mm (0.030 in); short runs, let cool between.",
        f"Sum: {len(found.welds)} joints, {metres} of weld, {mass_words(found.metal, unit)} of weld metal, "
        f"{mass_words(found.wire, unit)} of wire at 93 % yield.",
        *found.moved,
    )
