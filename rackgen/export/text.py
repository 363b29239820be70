"""Sheets and findings as plain text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from rackgen.errors import Finding, order
from rackgen.sheets.pages import Heading, Rows, Station, Text, Ticks
from rackgen.sheets.stamp import Stamp
from rackgen.sheets.table import Table


def table_text(table: Table) -> str:
    """Return a sheet with its columns set under each other; columns without any text are left out."""
    used = [i for i in range(len(table.columns)) if any(row[i] for row in table.rows)]
    heads = [table.columns[i].title for i in used]
    body = [[row[i] for i in used] for row in table.rows]
    widths = [max(len(text) for text in column) for column in zip(heads, *body, strict=True)]
    numbers = [table.columns[i].number for i in used]

    def line(texts: list[str]) -> str:
        cells = (
            t.rjust(w) if right else t.ljust(w) for t, w, right in zip(texts, widths, numbers, strict=True)
        )  # fmt: skip
        return "  ".join(cells).rstrip()

    out = [table.title, "", line(heads), line(["-" * w for w in widths]), *(line(row) for row in body)]
    if table.notes:
        out += ["", *table.notes]
    return "\n".join(out) + "\n"


WIDTH = 100
"""Characters of a line of running text."""


def station_text(station: Station) -> str:
    """Return a station's headings, paragraphs, steps and tables as plain text, without its figures and boxes."""
    out: list[str] = []
    for block in station.blocks:
        match block:
            case Heading():
                out.append(block.text.upper() + "\n")
            case Text():
                out.append(textwrap.fill(block.text, WIDTH, break_long_words=False, break_on_hyphens=False) + "\n")
            case Ticks():
                out.append("".join(f"- {item}\n" for item in block.items))
            case Rows():
                out.append(table_text(block.table))
            case _:
                pass
    return "\n".join(out)


def stamped(stamp: Stamp, *parts: str) -> str:
    """Return texts under the stamp."""
    return "\n".join(["\n".join(stamp.lines) + "\n", *parts])


def findings_text(findings: Iterable[Finding]) -> str:
    """Return findings worst first, each with its numbers, where it is, what to do and where its limit is from."""
    out: list[str] = []
    for f in order(findings):
        out.append(f"{f.level!s:4}  {f.code}  {', '.join(f.parts)}".rstrip())
        out.append(f"      {f.text}")
        if f.got is not None and f.limit is not None:
            out.append(f"      {f.got:.2f} against {f.limit:.2f} {f.unit} ({f.source})".rstrip())
        if f.at is not None:
            out.append(f"      at {', '.join(f'{c:.0f}' for c in f.at)} mm (aft, right, up)")
        if f.help:
            out.append(f"      {f.help}")
        if f.keys:
            out.append(f"      see {', '.join(f.keys)}")
    return "\n".join(out) + "\n" if out else "no findings\n"
