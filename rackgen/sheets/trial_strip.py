"""The test-strip form: one fold in a strip of the bar tells how much of it goes into a fold.

Folded by 90 deg with outside legs a and b, both flats are a + b - 2 (R + t) long; what the strip had more than that
went into the fold, and lies at (into / (π / 2) - R) / t thicknesses from the inside.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from rackgen.geom.fold import Fold
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.marks import Line
from rackgen.parts.unfold import allowance, named
from rackgen.sheets.pages import Block, Fields, Heading, Text, Ticks
from rackgen.sheets.words import size
from rackgen.spec.folding import SAME_RADIUS
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Stock
from rackgen.units import INCH, Unit, write_decimal, write_length

LENGTH = 150.0
FLAT = 45.0
"""Least length of a strip, and what of it each flat gets at least so that a square stands on it, mm (common practice,
no source)."""


@dataclass(frozen=True)
class TrialStrip:
    """What to fold and measure for one thickness and inside radius; mm.

    Attributes:
        stock: names on the shelf of the bars that are folded so.
        thickness: of the bar.
        inside_radius: of the former.
        material: of the bar.
        length: of the strip.
        marks: of the parts that wait for it.
        until: what their folds go by until then.
    """

    stock: tuple[str, ...]
    thickness: float
    inside_radius: float
    material: str
    length: float
    marks: tuple[str, ...]
    until: str


def trial_strips(lines: Iterable[Line], shop: Shop) -> tuple[TrialStrip, ...]:
    """Return a form for each fold that a rack needs and the shop has no test strip for.

    Args:
        lines: of the rack.
        shop: whose strips they would be.
    """
    folding = shop.folding
    wanted: dict[tuple[float, float, str], list[tuple[Stock, str]]] = {}
    until: dict[tuple[float, float, str], str] = {}
    for line in lines:
        if not isinstance(line.part, FoldedBar):
            continue
        stock, t = line.part.stock, line.part.section.thickness
        for fold in line.part.folds:
            radius = fold.middle_radius
            into = allowance(fold, stock, folding)
            if into.by == "test strip":
                continue
            near = (k for k in wanted if k[0] == t and k[2] == stock.material and abs(k[1] - radius) <= SAME_RADIUS)
            key = next(near, (t, radius, stock.material))
            wanted.setdefault(key, []).append((stock, line.mark))
            until[key] = named(into)
    return tuple(
        TrialStrip(
            tuple(dict.fromkeys(stock.name for stock, _ in asked)),
            key[0],
            key[1],
            key[2],
            _length(key[1], asked[0][0], shop),
            tuple(dict.fromkeys(mark for _, mark in asked)),
            until[key],
        )
        for key, asked in wanted.items()
    )


def _length(radius: float, stock: Stock, shop: Shop) -> float:
    into = allowance(Fold(90.0, radius), stock, shop.folding).length
    step = 10.0 if shop.unit == "mm" else INCH / 2
    return math.ceil(max(LENGTH, into + 2 * FLAT) / step) * step


def trial_strips_text(forms: tuple[TrialStrip, ...], unit: Unit) -> str:
    """Return the forms as plain text with boxes to fill; one sentence when nothing is to be folded."""
    if not forms:
        return "Test strips\n\nevery fold of this rack has its test strip in the shop's file, or there is no fold\n"
    return "\n".join(_form(form, unit) for form in forms)


def title(form: TrialStrip, unit: Unit) -> str:
    """Return what a form is for, in words."""
    return f"Test strip: {', '.join(form.stock)}, inside radius {size(form.inside_radius, unit)}"


def why(form: TrialStrip, unit: Unit) -> str:
    """Return which parts wait for it, and how near the fold must come to the wanted radius."""
    near = write_decimal(SAME_RADIUS, unit, 1 if unit == "mm" else 2)
    return (
        f"Folds of {', '.join(form.marks)} go by {form.until} until this is filled in; it speaks for folds whose "
        f"inside radius is within {near} {unit} of its own."
    )


def steps(form: TrialStrip, unit: Unit) -> tuple[tuple[str, str], ...]:
    """Return what is done and measured, each with the letter of its box or "" where nothing is written down."""
    length = write_length(form.length, unit, 1.0 if unit == "mm" else 1 / 16)
    return (
        (f"Cut a strip of this bar, both ends square, {length} {unit} long. Its length", "L"),
        ("Draw a line across its middle", ""),
        (f"Fold it by 90 deg on the line, over the former of radius {size(form.inside_radius, unit)}", ""),
        ("Try it with a square: released, it stands at 90 deg", ""),
        ("On a flat table with a square: end A to the outside of the other leg", "a"),
        ("End B to the outside of the first leg", "b"),
        ("Inside radius of the fold by a radius gauge", "R"),
    )


def results(form: TrialStrip, unit: Unit) -> tuple[str, ...]:
    """Return what comes out of the boxes, as formulas."""
    t = _exact(form.thickness, unit)
    return (f"goes into the fold = L - a - b + 2 x (R + {t})", f"neutral line = (that / 1.5708 - R) / {t}")


def keys(form: TrialStrip, unit: Unit) -> tuple[str, ...]:
    """Return what is written into the shop's file."""
    other = (f'material = "{form.material}"',) if form.material != "steel" else ()
    head = ("[[folding.strip]]", f"thickness = {_exact(form.thickness, unit)}", "inside_radius = R", "length = L")
    return (*head, "legs = [a, b]", *other)


def _form(form: TrialStrip, unit: Unit) -> str:
    lines = [title(form, unit), "", why(form, unit), ""]
    for i, (text, letter) in enumerate(steps(form, unit), 1):
        lines.append(_box(f"{i}  {text}", letter, unit) if letter else f"{i}  {text}")
    lines += ["", *(_box(text, "", unit if "goes" in text else "t") for text in results(form, unit))]
    lines += ["", f"In the shop's file, bare numbers in its own unit ({unit} here):", *keys(form, unit), ""]
    return "\n".join(lines)


def strip_blocks(rack_lines: Iterable[Line], shop: Shop) -> tuple[Block, ...]:
    """Return the forms as blocks of a page; none when every fold has its strip."""
    unit = shop.unit
    out: list[Block] = []
    for form in trial_strips(rack_lines, shop):
        todo = tuple(text for text, letter in steps(form, unit) if not letter)
        asked = tuple((f"{letter}: {text}", "") for text, letter in steps(form, unit) if letter)
        out += [
            Heading(title(form, unit)),
            Text(why(form, unit)),
            Ticks(todo, numbered=True),
            Fields((*asked, *((text, "") for text in results(form, unit))), (unit,)),
            Text("In the shop's file: " + "; ".join(keys(form, unit)) + ".", "small"),
        ]
    return tuple(out)


def _box(text: str, letter: str, unit: str) -> str:
    return f"{text:82}{letter:>2} [________] {unit}".rstrip()


def _exact(mm: float, unit: Unit) -> str:
    return f"{round(mm, 3):g}" if unit == "mm" else write_decimal(mm, unit, 4)
