"""Gaps and findings as tables."""

from __future__ import annotations

from collections.abc import Iterable

from rackgen.check.result import CheckResult
from rackgen.errors import Finding, order
from rackgen.sheets.table import Column, Table
from rackgen.units import Unit, shown_step, write_length


def gap_table(result: CheckResult, unit: Unit) -> Table:
    """Return the gap of every part to the roof, nearest first, in the shop's unit."""
    step = shown_step(unit, fine=True)
    columns = (
        Column("mark", "mark"),
        Column("part", "part"),
        Column("word", "what"),
        Column("gap", f"gap {unit}", True),
        Column("limit", f"wanted {unit}", True),
        Column("aft", f"aft {unit}", True),
        Column("right", f"right {unit}", True),
        Column("up", f"up {unit}", True),
    )
    rows: list[tuple[str, ...]] = []
    for gap in result.gaps:
        where = ("", "", "") if gap.at is None else tuple(write_length(c, unit, step) for c in gap.at)
        shown = "" if gap.gap is None else write_length(gap.gap, unit, step)
        wanted = "" if gap.limit is None else write_length(gap.limit, unit, step)
        rows.append((gap.mark, gap.part, gap.word, shown, wanted, *where))
    return Table("gaps", "Gap of every part to the roof", columns, tuple(rows), (
        "places in the vehicle's frame: aft of the datum, right of the middle, up from where its file has z 0",
        "no wanted gap: the part lies on the body by design; no gap: it is not over the measured roof",
    ))  # fmt: skip


def findings_table(findings: Iterable[Finding]) -> Table:
    """Return the findings, worst first; numbers in the finding's own unit."""
    columns = tuple(
        Column(k, k) for k in ("level", "code", "parts", "text", "got", "limit", "unit", "help", "keys", "source")
    )
    rows = tuple(
        (
            str(f.level),
            f.code,
            " ".join(f.parts),
            f.text,
            "" if f.got is None else f"{f.got:.3f}",
            "" if f.limit is None else f"{f.limit:.3f}",
            "" if f.got is None else f.unit,
            f.help,
            " ".join(f.keys),
            f.source,
        )
        for f in order(findings)
    )
    return Table("findings", "Findings", columns, rows)
