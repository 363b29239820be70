"""The plate that is fixed to the rack: what it may carry, for whoever loads it."""

from __future__ import annotations

from collections.abc import Sequence

from rackgen.sheets.drawing import Circle, Drawing, Item, Stroke, Words
from rackgen.sheets.lettering import room
from rackgen.strength.rated import Strength
from rackgen.strength.report_rows import clamps, rating
from rackgen.units import Unit

CAPITAL = 2.6
"""Height of the capitals on the plate, mm."""

EDGE = 6.0
HOLE = 3.2
"""Margin, and holes for small rivets, mm."""

LEAST = 1.0
"""A load under this, kg, is none."""

STANDING = ("person-on-front", "person-on-rear", "person-middle")
"""Ids of cases in which a person stands on the rack begin so."""


def plate_forbids_standing(found: Strength) -> bool:
    """Return whether the plate says that nobody stands on the rack: it is rated, and a check does not bear a person."""
    return _on_road(found) >= LEAST and any(e.use > 1.0 and e.case.startswith(STANDING) for e in found.events)


def is_rated(found: Strength) -> bool:
    """Return whether the plate allows any load."""
    return _on_road(found) >= LEAST


def _on_road(found: Strength) -> float:
    moving = found.moving
    return moving.rack if moving.vehicle is None else moving.vehicle


def plate_lines(found: Strength, unit: Unit, revision: str) -> tuple[str, ...]:
    """Return the text of the plate, line by line; the rating on this vehicle where it is known, else the rack's own."""
    moving, parked = found.moving, found.parked
    known = moving.vehicle is not None
    on_road = _on_road(found)
    standing = parked.rack if parked.vehicle is None else parked.vehicle
    if not is_rated(found):
        return ("NOT RATED FOR ANY LOAD", "DO NOT LOAD", f"REVISION {revision}")
    lines = [
        f"LOAD, MOVING: {rating(on_road, unit)} AT MOST",
        f"LOAD, PARKED: {rating(standing, unit)} AT MOST",
        "RACK'S OWN WEIGHT EXCLUDED",
    ]
    if known:
        lines.append(f"WITH IT, ON THE {found.stands_on.upper()}: {rating(on_road + found.own_mass, unit)}")
    else:
        lines.append("AND NO MORE THAN THE VEHICLE'S HANDBOOK ALLOWS")
    if plate_forbids_standing(found):
        lines.append("DO NOT STAND ON IT")
    tight = "U-BOLTS" if clamps(found) else "FEET"
    lines += [f"REVISION {revision}", f"CALCULATED, NOT CERTIFIED. {tight} TIGHT?"]
    return tuple(lines)


def plate_drawing(lines: Sequence[str]) -> Drawing:
    """Return the plate at full size."""
    wide = max(room(line, CAPITAL, bold=True) for line in lines) + 2 * EDGE + 8.0
    step = 1.9 * CAPITAL
    high = step * len(lines) + 2 * EDGE
    corners = ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
    items: list[Item] = [Stroke(corners, closed=True)]
    items += [Circle(x, high / 2, HOLE / 2) for x in (EDGE, wide - EDGE)]
    for n, line in enumerate(lines):
        items.append(Words(wide / 2, high - EDGE - (n + 0.5) * step, line, CAPITAL, bold=n < 2))
    return Drawing(tuple(items), 1.0)
