"""Whether the shop can make every part: one arm per kind. Bought parts are bought."""

from __future__ import annotations

import dataclasses
from typing import assert_never

from rackgen.check.bending import bending_findings
from rackgen.check.flats import bar_findings, plate_findings
from rackgen.errors import Finding
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.shop import Shop


def makeable_findings(rack: Rack, shop: Shop) -> list[Finding]:
    """Return what the shop cannot make as described; what is true of equal parts is said once for all of them."""
    out: list[Finding] = []
    for line in lines(rack):
        ids = tuple(placed.id for placed in line.placed)
        for finding in worst(part_findings(line.placed[0], shop)):
            out.append(dataclasses.replace(finding, parts=ids))
    return out


def worst(findings: list[Finding]) -> list[Finding]:
    """Return of each code the finding that is farthest from its limit, which says how many more there are."""
    out: list[Finding] = []
    for code in sorted({f.code for f in findings}):
        same = sorted((f for f in findings if f.code == code), key=lambda f: (-f.level, -_off(f), f.text))
        more = f" ({len(same) - 1} more like it)" if len(same) > 1 else ""
        out.append(dataclasses.replace(same[0], text=same[0].text + more))
    return out


def _off(finding: Finding) -> float:
    return abs((finding.got or 0.0) - (finding.limit or 0.0))


def part_findings(placed: Placed, shop: Shop) -> list[Finding]:
    """Return what the shop cannot make of one part."""
    part = placed.part
    match part:
        case BentTube():
            return bending_findings(placed, part, shop)
        case FoldedBar():
            return bar_findings(placed, part, shop)
        case CutPlate():
            return plate_findings(placed, part)
        case Bought():
            return []
        case _:
            assert_never(part)
