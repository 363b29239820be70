"""The test-bend form: one bend in an offcut tells springback, stretch and what the mark means.

With a bend that reads 90 deg released and outside legs a and b, the axis is a + b - OD - 2 CLR + CLR π / 2 long; what
that exceeds the offcut by is its stretch (closed form, as every place on the bend sheets goes by the die's CLR).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from rackgen.refs.registry import number
from rackgen.sheets.bends import BendSheet
from rackgen.spec.stock import Round
from rackgen.units import Unit, write_decimal, write_length

ROOM = 40.0
"""What an offcut has more than clamp, bend and tail need, mm."""


@dataclass(frozen=True)
class TrialBend:
    """What to bend and measure for one die and tube; mm.

    Attributes:
        die: its name.
        tube: name on the shelf.
        od: of the tube.
        clr: of the die.
        offcut: least length.
        mark: where its line goes, from the end that goes into the clamp.
        legs: what both outside legs together exceed an offcut by that does not stretch.
        lacks: what the shop's file lacks.
    """

    die: str
    tube: str
    od: float
    clr: float
    offcut: float
    mark: float
    legs: float
    lacks: tuple[str, ...]


def legs_less_length(od: float, clr: float) -> float:
    """Return by how much the outside legs of a bend of 90 deg together exceed the length of its axis, mm."""
    return od + 2 * clr - clr * math.pi / 2


def trial_bends(sheets: Iterable[BendSheet]) -> tuple[TrialBend, ...]:
    """Return a form for each die and tube that bend sheets need and the shop has not measured."""
    out: dict[tuple[str, str], TrialBend] = {}
    for sheet in sheets:
        die, section = sheet.die, sheet.stock.section
        if die is None:
            continue
        assert isinstance(section, Round)
        measured = die.measured_for(sheet.stock.name)
        lacks = [n for n in ("springback", "elongation") if getattr(measured, n) is None]
        lacks += ["mark_at"] if die.mark_at is None else []
        if lacks:
            mark = _up(die.clamp + ROOM / 2)
            offcut = _up(mark + die.clr * math.pi / 2 + die.tail + ROOM / 2)
            legs = legs_less_length(section.od, die.clr)
            out[(die.name, sheet.stock.name)] = TrialBend(
                die.name, sheet.stock.name, section.od, die.clr, offcut, mark, legs, tuple(lacks)
            )
    return tuple(out.values())


def _up(mm: float) -> float:
    return math.ceil(mm / 10) * 10.0


def trial_bends_text(forms: tuple[TrialBend, ...], unit: Unit) -> str:
    """Return the forms as plain text with boxes to fill; one sentence when nothing is to be measured."""
    if not forms:
        return "Test bends\n\nevery die and tube of this rack has its test bend in the shop's file\n"
    return "\n".join(_form(form, unit) for form in forms)


def file_lines(form: TrialBend) -> tuple[str, ...]:
    """Return what the form fills in the shop's file, as it is written there."""
    keys = [f"{name} = ..." for name in ("springback", "elongation") if name in form.lacks]
    below = [f'measured = [{{ tube = "{form.tube}", {", ".join(keys)} }}]'] if keys else []
    below += ['mark_at = "die mark"', "die_mark_offset = ..."] if "mark_at" in form.lacks else []
    return tuple(below)


def _form(form: TrialBend, unit: Unit) -> str:
    step = 1.0 if unit == "mm" else 1 / 16
    mark, offcut = (write_length(v, unit, step) for v in (form.mark, form.offcut))
    legs, to_axis, od = (_exact(v, unit) for v in (form.legs, form.od / 2 + form.clr, form.od))
    look, most = (number(n).value for n in ("bend-ovality-look", "bend-ovality"))
    return "\n".join(
        (
            f"Test bend: die {form.die} with {form.tube}",
            "",
            f"Before the first tube is cut; the shop's file lacks {', '.join(form.lacks)}.",
            "",
            _box(f"1  Saw an offcut of this tube square, {offcut} {unit} long or more. Its length", "L", unit),
            _box(f"2  Draw a line round it, {mark} {unit} from the end that goes into the clamp. As drawn", "m", unit),
            "   Bring it to the bender's mark, or to where the bend starts if there is none.",
            _box("3  Bend until it reads 90 deg released, to a quarter of a degree. Released", "F", "deg"),
            "   Stop at 90, release, read, creep up.",
            _box("   The bender's own scale under load at the last stop", "S", "deg"),
            _box("4  On a flat table with a square: clamped end to the outside of the other leg", "a", unit),
            _box("   The other end to the outside of the clamped leg", "b", unit),
            _box("5  Largest outside diameter in the bend", "D", unit),
            _box("   Smallest", "d", unit),
            "",
            _box("springback = (S - F) x 90 / F", "", "deg"),
            _box(f"elongation = a + b - L - {legs}", "", unit),
            _box(f"die_mark_offset = a - m - {to_axis}", "", unit),
            _box(f"roundness = (D - d) / {od} x 100: good to {look:g} %, never over {most:g} %", "", "%"),
            "",
            f"In the shop's file, below the die {form.die}:",
            *file_lines(form),
            "",
        )
    )


def _box(text: str, letter: str, unit: str) -> str:
    return f"{text:82}{letter:>2} [________] {unit}".rstrip()


def _exact(mm: float, unit: Unit) -> str:
    return write_decimal(mm, unit, 1 if unit == "mm" else 3)
