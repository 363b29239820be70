"""Strengths of bought fasteners: blind rivets, rivet nuts, threads. Newtons, millimetres, MPa."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

from rackgen.errors import RackgenError
from rackgen.refs.registry import Tag, table

POUND = 4.4482216
"""Newtons of a pound-force (exact to the digits given)."""

KSI = 6.894757
"""MPa of a ksi."""

NEAR = 0.15
"""A diameter is a row's when it is this near, mm: 6.35 is sold as 6.4, 4.76 as 4.8."""

RivetStandard = Literal[
    "ISO 15977 low",
    "ISO 15977 high",
    "ISO 15979",
    "ISO 15981",
    "ISO 15983",
    "ISO 16585",
    "IFI-114 grade 10",
    "IFI-114 grade 30",
    "IFI-114 grade 40",
    "IFI-114 grade 51",
]
"""Standards whose tables are here. ISO 15981 lacks tension and ISO 16585 shear: those are then the maker's."""

BoltGrade = Literal["4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9", "SAE 1", "SAE 2", "SAE 5", "SAE 8"]
"""Property classes of ISO 898-1 up to M16, and grades of SAE J429 up to 3/4 in."""

WEAKEST: RivetStandard = "ISO 15977 low"
"""What a rivet of unknown make is taken for: the weakest of the tables with a steel stem."""


@dataclass(frozen=True)
class RivetLoads:
    """Minimum ultimate loads of one set rivet by a table.

    Attributes:
        shear: N, None where the table does not say.
        tension: N, None where the table does not say.
        source: of the figures, as findings print it.
        tag: how far they may be trusted.
    """

    shear: float | None
    tension: float | None
    source: str
    tag: Tag


@dataclass(frozen=True)
class RivetNut:
    """A steel rivet nut set in a rigid washer; a thin skin lets go of it far sooner.

    Attributes:
        proof: axial, N.
        shear: N.
        turn_out: torque at which it turns in its hole, N·m.
        hole: mm.
        source: of the figures.
        tag: how far they may be trusted.
    """

    proof: float
    shear: float
    turn_out: float
    hole: float
    source: str
    tag: Tag


@dataclass(frozen=True)
class Bolt:
    """Strength of bolt or rod steel: tensile strength and proof stress, MPa."""

    tensile: float
    proof: float
    source: str
    tag: Tag


def rivet_loads(standard: RivetStandard, diameter: float) -> RivetLoads | None:
    """Return what a standard asks of a rivet, or None when its table has no such diameter.

    Args:
        standard: one of `RivetStandard`.
        diameter: of the body, mm.
    """
    if standard.startswith("IFI-114"):
        rows = table("rivet-ifi-114")
        grade = float(standard.rsplit(" ", 1)[1])
        found = _near([r[1:] for r in rows.rows if r[0] == grade], diameter)
        return (
            RivetLoads(found[1] * POUND, found[2] * POUND, f"{rows.cited}, grade {grade:g}", rows.tag)
            if (found)
            else None
        )
    rows = table(_TABLES[standard])
    found = _near(rows.rows, diameter)
    if found is None:
        return None
    match standard:
        case "ISO 15981":
            return RivetLoads(found[1], None, rows.cited, rows.tag)
        case "ISO 16585":
            return RivetLoads(None, found[1], rows.cited, rows.tag)
        case _:
            memory = " (from memory)" if rows.tag == "memory" else ""
            return RivetLoads(found[1], found[2], f"{standard}, table 3{memory}", rows.tag)


def rivet_nut(thread: float) -> RivetNut | None:
    """Return the strength of a steel rivet nut of a metric thread, or None when the table has no such thread."""
    rows = table("rivet-nut")
    found = _near(rows.rows, thread)
    if found is None:
        return None
    _, proof, shear, turn_out, hole = found
    return RivetNut(proof, shear, turn_out, hole, rows.cited, rows.tag)


def bolt(grade: str) -> Bolt:
    """Return the strength of a property class of ISO 898-1 or a grade of SAE J429.

    Args:
        grade: such as "8.8" or "SAE 5".

    Raises:
        RackgenError: there is no such grade.
    """
    if grade not in get_args(BoltGrade):
        raise RackgenError(f"bolt grade {grade!r} is unknown: {', '.join(get_args(BoltGrade))}")
    if grade.startswith("SAE"):
        rows, wanted, to_mpa = table("bolt-sae-j429"), float(grade[4:]), KSI
    else:
        rows, wanted, to_mpa = table("bolt-iso-898-1"), float(grade), 1.0
    found = next(r for r in rows.rows if r[0] == wanted)
    return Bolt(found[1] * to_mpa, found[2] * to_mpa, rows.cited, rows.tag)


def stress_area(diameter: float) -> float:
    """Return the stress area of a coarse thread, mm²: 0.7854 (d - k P)², k 0.9382 of metric, 0.9743 of inch threads.

    Args:
        diameter: nominal, mm.

    Raises:
        RackgenError: the diameter is none of the coarse threads from 5 to 12.7 mm.
    """
    found = min(table("thread-coarse").rows, key=lambda r: abs(r[0] - diameter))
    if abs(found[0] - diameter) > 0.05:
        raise RackgenError(f"a thread of {diameter:g} mm is not in the table of coarse threads")
    return math.pi / 4 * (diameter - found[2] * found[1]) ** 2


_TABLES = {
    "ISO 15977 low": "rivet-iso-15977-low",
    "ISO 15977 high": "rivet-iso-15977-high",
    "ISO 15979": "rivet-iso-15979",
    "ISO 15983": "rivet-iso-15983",
    "ISO 15981": "rivet-iso-15981-shear",
    "ISO 16585": "rivet-iso-16585-tension",
}


def _near(rows: tuple[tuple[float, ...], ...] | list[tuple[float, ...]], diameter: float) -> tuple[float, ...] | None:
    found = min(rows, key=lambda r: abs(r[0] - diameter))
    return found if abs(found[0] - diameter) <= NEAR else None
