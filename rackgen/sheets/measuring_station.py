"""The measuring sheet: what the person at the vehicle brings, does and writes down, box by box of a vehicle file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rackgen.sheets.measuring_drawing import corner_figure, plan_figure, rear_figure, side_figure
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Station, Text, Ticks
from rackgen.spec.measuring_form import Box, Form, Group, foot_mounts, groups, rear_mounts, roof_mounts

ABREAST = 6
"""Most stations side by side in one table."""

LEAST = "*"
"""Stands before a box that no rack can be made without."""


def measuring_station(form: Form) -> Station:
    """Return the sheet for one form."""
    found = {group.name: group for group in groups(form)}
    blocks: list[Block] = [
        Text(
            "For the person at the vehicle. Every box has the name of a key in the vehicle's file; the same names "
            "stand in the table that comes with this sheet, to be typed in afterwards. A box with "
            f"{LEAST} is needed; any other may stay empty, and what that costs in certainty is said then. Three "
            "stations with two readings to each side and four mounts are enough to build from."
        ),
        Heading("What to bring"),
        Ticks(_bring(form)),
        Heading("How the vehicle stands"),
        Ticks(
            (
                "On level, firm ground, wheels straight, out of the wind and the sun; a hot roof has moved.",
                "Tyres at the handbook's pressure, load out, doors and hatch shut, nobody inside or leaning on it.",
                "Old racks, trim and whatever else comes off the roof are off; the skin is clean where it is touched.",
                "Read the level at one flat place (a door sill across, a seat rail along) before and after: "
                "stood.pitch and stood.roll. If the two readings differ, the vehicle has moved; start again.",
            )
        ),
        Heading("In this order"),
        Ticks(_order(form), numbered=True),
        Heading("The datum"),
        Text(
            "One point on the middle of the vehicle that stays for good and that anybody finds again: a seam of the "
            "roof, the top edge of the windscreen's glass. Halve the width there with the tape from both sides, mark "
            "it on masking tape, and describe it in words. x runs aft from it, measured level and not along the skin; "
            "y runs to the right as the driver sits, left is negative; z is "
            + ("0 on the roof under the front block." if form.straightedge else "0 at the level line.")
        ),
        Figure(plan_figure(form), "From above, front up", 142.0, schematic=True),
        _single(found["vehicle"]),
        Figure(side_figure(form), "From the left side", 100.0, schematic=True),
        Text(f"Written in the table already: {_given(found)}."),
        _single(found["roof"]),
        Figure(rear_figure(form), "From behind, a station", 95.0, schematic=True),
        *_stations(form, found),
        Heading("Mounts on the roof"),
        Text(
            "Two level readings at each, across and fore and aft, with a short level on the bare skin; turn the level "
            "end for end, read again, and write the mean. Where no level can lie, three points of the skin round the "
            "mount, set out as a triangle 100 mm or more on a side, instead of both."
            if form.unit == "mm"
            else "Two level readings at each, across and fore and aft, with a short level on the bare skin; turn the "
            "level end for end, read again, and write the mean. Where no level can lie, three points of the skin round "
            "the mount, set out as a triangle 4 in or more on a side, instead of both."
        ),
        *_abreast(found, roof_mounts(form)),
        *_feet(form, found),
        Heading("Rear corners"),
        Figure(corner_figure(), "The right rear corner from above", 75.0, schematic=True),
        *_abreast(found, rear_mounts()),
        Heading("Cross diagonals"),
        Text(
            "A tape held straight from the datum to the middle of each mount, and crosswise from each mount on the "
            "roof to the rear corner of the other side. They say which mount was read wrong, while the vehicle still "
            "stands there."
        ),
        _single(found["diagonals"]),
        Heading("What moves and what stands up"),
        Text(
            "Points are x; y; z, from the same datum and the same height, with the panel closed. Leave empty what the "
            "vehicle does not have. Doors that swing out over the roof's edge, boxes and rails may be added as rows "
            "of the table."
        ),
        _single(found["hatch"]),
        _single(found["things"]),
        Heading("Before leaving"),
        Ticks(
            (
                "Read again: the middle station's crown, one drop on each side, one level of each mount. They agree "
                "within " + ("2 mm and half a degree." if form.unit == "mm" else "1/16 in and half a degree."),
                "Level at the sill as at the start.",
                "Trim looked behind where a hole may go: pillar, rail, bow or bare skin; airbags and wires noted.",
                "Photographs: from both sides, from behind, every mount with the tape in the picture.",
            )
        ),
        Fields((("Measured by, date", ""), ("Vehicle, number plate", "")), ("written",), ""),
    ]
    return Station("measuring", "Measuring a vehicle", tuple(blocks))


def _bring(form: Form) -> tuple[str, ...]:
    along = (
        "A straightedge as long as the roof, straight within a tape's reading, and two equal blocks that do not mark."
        if form.straightedge
        else "A laser with a level line on a tripod, or a string and a water level, and a rule to read it by."
    )
    return (
        "This sheet, a pencil, masking tape, a felt pen.",
        along,
        "A stiff straight bar as wide as the roof, to lie across it"
        + (", with a level on it." if form.levelled else "."),
        "Two tapes, a steel rule, a square, a plumb line for what hangs over.",
        "An angle gauge or a level that reads tenths of a degree, with a foot no longer than a mount plate.",
        "A radius gauge or a piece of card for the body corners, a gauge for the skin's thickness where an edge shows.",
        "Blankets, a step on each side, and a second pair of hands for the tape.",
    )


def _order(form: Form) -> tuple[str, ...]:
    reference = (
        "Set the two blocks on the crown at two stations, lay the straightedge along the middle on them, and read its "
        "slope; from its underside down to the crown is the box down."
        if form.straightedge
        else "Set the level line along the middle, near the crown; how far the crown stands over it is the box crown."
    )
    across = (
        "Lay the bar across with its middle touching the crown, pack it level, and read the drop from its underside"
        if form.levelled
        else "Lay the bar across on the crown, read its slope, and read the drop from its underside"
    )
    return (
        "Level at the sill, both ways.",
        "Mark the datum and the stations on masking tape, front to rear, the first and last as far out as a rack may "
        "reach, one of them over the mounts.",
        reference,
        f"{across} to the skin at each offset, the last within "
        + ("120 mm" if form.unit == "mm" else "4-1/2 in")
        + " of the roof's edge, one more on the brink of a gutter; then the distance from the middle to the edge.",
        "Mark the mounts, read x and y, then the two levels at each.",
        "Rear corners: height where the flat begins, lean, radius, corner and shut line.",
        "Cross diagonals, before anything is packed up.",
        "Hatch, aerial, opening roof, heights.",
    )


def _asked(box: Box, tail: str) -> str:
    unit = f", {box.unit}" if box.unit else ""
    return f"{LEAST if box.needed else ''}{tail}: {box.asks}{unit}"


def _given(found: dict[str, Group]) -> str:
    return ", ".join(f"{b.key} = {b.value}" for name in ("vehicle", "roof") for b in found[name].boxes if b.value)


def _single(group: Group) -> Fields:
    """Return the empty boxes of a group, one below the other."""
    rows = tuple((_asked(box, box.key), "") for box in group.boxes if not box.value)
    return Fields(rows, ("read",), group.title)


def _stations(form: Form, found: dict[str, Group]) -> Iterator[Block]:
    yield Heading("Stations, from front to rear")
    names = [f"station {k}" for k in range(1, form.stations + 1)]
    for start in range(0, len(names), ABREAST):
        some = names[start : start + ABREAST]
        boxes = found[some[0]].boxes
        rows = tuple((_asked(box, box.key.rsplit(".", 1)[1]), "") for box in boxes)
        heads = tuple(f"[{start + k + 1}]" for k in range(len(some)))
        yield Fields(rows, heads, f"roof.station[{start + 1}] to roof.station[{start + len(some)}]")


def _feet(form: Form, found: dict[str, Group]) -> list[Block]:
    """Return the places for feet other than plates on the roof, none where none are asked for."""
    if not form.feet:
        return []
    ask = Text(
        "A foot stands on what is there: look at it first, and read it where the foot will stand. A gutter's metal "
        "with a caliper over all its layers; how deep a thread is with a bolt run in by hand; below a gutter with the "
        "door opening slowly past."
    )
    return [Heading("Gutters, threads, tracks and bed rails"), ask, *_abreast(found, foot_mounts(form))]


def _abreast(found: dict[str, Group], names: Sequence[str]) -> Iterator[Block]:
    """Return mounts side by side, left and right of a pair in one table."""
    for start in range(0, len(names), 2):
        pair = names[start : start + 2]
        boxes = found[pair[0]].boxes
        rows = tuple((_asked(box, box.key.split(".", 2)[2]), "") for box in boxes if not box.value)
        yield Fields(rows, tuple(pair), f"mounts.{pair[0]}, mounts.{pair[1]}")
