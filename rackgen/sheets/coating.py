"""The finish: how much surface the rack has, what powder or paint that takes, and what zinc would weigh instead."""

from __future__ import annotations

from dataclasses import dataclass

from rackgen.parts import skin
from rackgen.parts.kinds import Bought
from rackgen.parts.marks import lines
from rackgen.parts.rack import Rack
from rackgen.refs.registry import number, table
from rackgen.sheets.table import Column, Table
from rackgen.spec.money import Coating, Method
from rackgen.spec.shop import Shop
from rackgen.units import INCH, Unit, write_decimal

POUND = 0.45359237
"""A pound in kg, exactly."""


@dataclass(frozen=True)
class CoatedPart:
    """Equal parts: surface of one, mm².

    Attributes:
        mark: theirs.
        word: what the shop calls them.
        quantity: how many.
        outside: what is seen.
        inside: the bore of a tube, which only a dip reaches.
        steel: thickness of the steel, mm.
        hidden: whether it lies inside another tube and gets no coat.
    """

    mark: str
    word: str
    quantity: int
    outside: float
    inside: float
    steel: float
    hidden: bool


@dataclass(frozen=True)
class Finish:
    """The finish of one rack.

    Attributes:
        name: what the customer is told, "" when the shop does not say.
        method: how it is put on.
        film: thickness on each face, mm; for a dip the mean that the steel's thickness gives.
        density: kg/l.
        efficiency: per cent that ends on the rack; 100 for a dip.
        parts: by mark, in cut-list order; bought parts are not coated.
        area: coated from outside, mm².
        added: what the chosen finish adds to the rack, kg.
        used: powder or paint that it takes, as solids, kg; 0 for a dip.
        zinc: what a hot dip would add, inside and outside, kg.
        dipped: surface that a hot dip would cover, mm².
        assumed: what the shop does not say and was taken instead, a phrase each.
    """

    name: str
    method: Method
    film: float
    density: float
    efficiency: float
    parts: tuple[CoatedPart, ...]
    area: float
    added: float
    used: float
    zinc: float
    dipped: float
    assumed: tuple[str, ...]


def film_mass(film: float, density: float) -> float:
    """Return the mass of a film on a square metre, kg.

    Args:
        film: mm.
        density: kg/l.
    """
    return film * density


def coverage(film: float, density: float, efficiency: float) -> float:
    """Return how far a kilogram of powder goes, m².

    Args:
        film: mm.
        density: kg/l.
        efficiency: per cent that ends on the work.
    """
    return efficiency / 100 / film_mass(film, density)


def zinc_mass(steel: float) -> float:
    """Return the mean hot dip coating on steel of a thickness in mm, kg/m²."""
    return next(row[3] for row in table("hot-dip").rows if row[0] < steel <= row[1]) / 1000


def finish(rack: Rack, shop: Shop) -> Finish:
    """Return the coated surface of a rack and what its finish takes."""
    # What is plug-welded sits inside: sleeves get no coat from outside, and a dip reaches only their bore.
    sleeves = {joint.a.part for joint in rack.joints if joint.kind == "plug weld"}
    parts = tuple(
        CoatedPart(
            line.mark,
            line.placed[0].word,
            len(line.placed),
            skin.outside(line.part),
            skin.inside(line.part),
            skin.steel(line.part),
            all(p.id in sleeves for p in line.placed),
        )
        for line in lines(rack)
        if not isinstance(line.part, Bought)
    )
    seen = [p for p in parts if not p.hidden]
    area = sum(p.outside * p.quantity for p in seen)
    dipped = sum((p.outside + p.inside) * p.quantity for p in seen)
    zinc = sum((p.outside + p.inside) * p.quantity * zinc_mass(p.steel) for p in seen) * 1e-6
    asked = shop.finish
    if asked.method == "hot dip":
        film = zinc / (dipped * 1e-6) / number("zinc").value if dipped else 0.0
        density = number("zinc").value
        return Finish(asked.name, "hot dip", film, density, 100.0, parts, area, zinc, 0.0, zinc, dipped, ())
    film, density, efficiency, assumed = _film(asked)
    added = area * 1e-6 * film_mass(film, density)
    used = added * 100 / efficiency
    return Finish(asked.name, asked.method, film, density, efficiency, parts, area, added, used, zinc, dipped, assumed)


def _film(asked: Coating) -> tuple[float, float, float, tuple[str, ...]]:
    """Return thickness, density and efficiency, the usual ones where the shop does not say, and which those are."""
    assumed: list[str] = []

    def given(value: float | None, usual: str, words: str) -> float:
        if value is not None:
            return value
        found = number(usual)
        assumed.append(words)
        return found.value

    film = given(asked.thickness, "powder-film", "film")
    density = given(asked.density, "powder-density", "density")
    efficiency = given(asked.efficiency, "powder-efficiency", "share that ends on the rack")
    return film, density, efficiency, tuple(assumed)


def area_words(mm2: float, unit: Unit) -> str:
    """Return an area as the shop reads it, m² or ft², two decimals."""
    return f"{mm2 / 1e6:.2f}" if unit == "mm" else f"{mm2 / (12 * INCH) ** 2:.2f}"


def mass_words(kg: float, unit: Unit) -> str:
    """Return a mass as a coater reads it: "0.43 kg", or pounds in an inch shop."""
    return f"{kg:.2f} kg" if unit == "mm" else f"{kg / POUND:.2f} lb ({kg:.2f} kg)"


def coating_table(sheet: Finish, unit: Unit) -> Table:
    """Return the coated surface by mark, the whole, and what the finish takes."""
    square = "m2" if unit == "mm" else "ft2"
    columns = (
        Column("mark", "mark"),
        Column("part", "part"),
        Column("quantity", "qty", True),
        Column("each", f"{square} each", True),
        Column("all", square, True),
        Column("note", "note"),
    )
    each = 1e6 if unit == "mm" else (12 * INCH) ** 2
    rows = [
        (
            p.mark,
            p.word,
            str(p.quantity),
            "" if p.hidden else f"{p.outside / each:.3f}",
            "" if p.hidden else f"{p.outside * p.quantity / each:.3f}",
            "inside another tube, not coated" if p.hidden else "",
        )
        for p in sheet.parts
    ]
    rows.append(("", "whole rack", "", "", f"{sheet.area / each:.3f}", ""))
    return Table("coating", "Coating", columns, tuple(rows), coating_notes(sheet, unit))


def coating_notes(sheet: Finish, unit: Unit) -> tuple[str, ...]:
    """Return what the finish takes and what was taken for granted, in sentences."""
    square = "m2" if unit == "mm" else "ft2"
    notes: list[str] = []
    film = f"{write_decimal(sheet.film, unit, 3)} {unit}"
    if sheet.method == "hot dip":
        notes.append(
            f"{sheet.name or 'hot dip'}: zinc adds {mass_words(sheet.added, unit)} on "
            f"{area_words(sheet.dipped, unit)} {square} inside and outside ({table('hot-dip').cited})"
        )
    else:
        notes.append(
            f"{sheet.name or sheet.method}: {film} on each face at {sheet.density:g} kg/l leaves "
            f"{mass_words(sheet.added, unit)} on the rack; with {sheet.efficiency:g} % of it ending there, "
            f"{mass_words(sheet.used, unit)} are needed"
        )
        notes.append(
            f"hot dip instead would add {mass_words(sheet.zinc, unit)} on {area_words(sheet.dipped, unit)} {square} "
            f"inside and outside ({table('hot-dip').cited}), and wants larger vents than powder: ask the galvaniser"
        )
    if sheet.assumed:
        usual = number("powder-film").cited
        notes.append(f"usual values, since the shop's file does not say: {', '.join(sheet.assumed)} ({usual})")
    notes.append(
        "by each part on its own: faces that lie on each other and strips under welds count as coated, end faces of "
        "tubes do not; expanded metal by its strands; bought parts are put on after coating"
    )
    return tuple(notes)
