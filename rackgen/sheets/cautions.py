"""The cautions that go with a rack, with its own weight and height in them: printed where the work is."""

from __future__ import annotations

from rackgen.parts.handbook import handbook_limit
from rackgen.parts.rack import Rack
from rackgen.refs.cautions import Caution, usual_cautions
from rackgen.sheets.shares import roof_under, top
from rackgen.sheets.weights import Weights
from rackgen.sheets.words import load, load_down
from rackgen.spec.vehicle import Vehicle
from rackgen.units import Unit, shown_step, write_length

DRILLING = "Drilling into pillars and roof rails"
"""The head of the cautions that a rack on gutters alone does not need."""

DRILLED = {"mount plate", "rear strap", "foot pad", "rail plate", "track bracket", "rivet"}
"""What the shop calls the parts that may be fastened in holes of a body."""


def cautions(rack: Rack, vehicle: Vehicle, sheet: Weights, unit: Unit) -> tuple[Caution, ...]:
    """Return the usual cautions and those that need this rack's numbers, lengths in the shop's unit."""
    allowed = handbook_limit(rack, vehicle)
    if allowed.kg is None:
        limit = (
            f"The {allowed.words} is not in the vehicle's file: look it up in the handbook before anything is loaded."
        )
    else:
        left = max(0.0, allowed.kg - sheet.total)
        limit = (
            f"{allowed.words.capitalize()} in the vehicle's file: {load(allowed.kg, unit)} moving. The rack weighs "
            f"{load(sheet.total, unit, 1)} without coating and weld metal, which leaves at most "
            f"{load_down(left, unit)} of load. Check both figures."
        )
    height = (
        f"The rack's highest point stands {height_words(rack, vehicle, unit)}. Measure the overall height with the "
        "load on and keep it in the driver's sight: garages, car washes, low bridges."
    )
    words = {p.word for p in rack.placed}
    usual = (c for c in usual_cautions() if not (c.head == DRILLING and "gutter jaw" in words and not words & DRILLED))
    return (*usual, Caution("This rack", "computed", (limit, height)))


def height_words(rack: Rack, vehicle: Vehicle, unit: Unit) -> str:
    """Return how high a rack stands over what can be found with a tape: the highest place of the roof under it."""
    roof, step = roof_under(rack, vehicle), shown_step(unit, fine=False)
    if roof is None:
        return f"{write_length(top(rack), unit, step)} {unit} above the level that the heights were measured from"
    return f"{write_length(top(rack) - roof, unit, step)} {unit} above the roof's highest place under it"


def cautions_text(found: tuple[Caution, ...]) -> str:
    """Return the cautions as plain text."""
    blocks = ("\n".join((c.head.upper(), *(f"- {text}" for text in c.texts))) for c in found)
    return "\n\n".join(blocks) + "\n"
