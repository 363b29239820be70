"""The report of strength as pages: assumptions first, then what may be carried and why, then what the figure is not."""

from __future__ import annotations

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts.handbook import HandbookLimit
from rackgen.parts.marks import marks
from rackgen.parts.rack import Rack
from rackgen.sheets.drawing import Drawing
from rackgen.sheets.pages import Block, Figure, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.words import load, load_down
from rackgen.strength.checks import FIGURES
from rackgen.strength.frame_drawing import BANDS, bent_drawing, use_drawing
from rackgen.strength.most_used import most_used
from rackgen.strength.rated import Payload, Strength
from rackgen.strength.rating_plate import LEAST, plate_drawing, plate_lines
from rackgen.strength.report_rows import (
    Marks,
    cases_table,
    clamps,
    cracks_table,
    events_table,
    gains_table,
    named,
    rating,
    ratings_table,
    share,
    sources_table,
    used_table,
)
from rackgen.strength.shop_words import in_shop_words, moment, moved
from rackgen.units import Unit

TITLE = "How much it carries"

NOT_TESTED = (
    "A calculation: not tested, not certified, and no substitute for the vehicle's handbook, local code or a licensed "
    "engineer. Where they differ from it, follow them."
)

PARKED = 3
"""Checks listed of the parked load: they are mostly those of the moving one."""

CAUTIONS = (
    "Not tested to ISO 11154 or any other standard; no crash is reckoned.",
    "No fatigue life is given. Racks like these seldom fail by one load; they crack after many. Inspect the places "
    "named here, before each trip on rough tracks.",
    "The skin of the body is taken as sound. Look for rust and old filler under every mount before drilling; where the "
    "skin is rusted, this rating does not hold.",
    "Welds are taken as sound, as long and as thick as the weld map says, and the metal as the grade that the shop's "
    "file names. Keep the certificates.",
    "U-bolts drawn up to their torque, and again after 50 km (30 miles). With any one loose the rating still holds; "
    "with two it does not.",
    "The load is tied to the rack, low, and spread as the cases say. Wet rope, sand and people weigh more than they "
    "look.",
    "A rack that was hit, overloaded, bent back or changed has no rating until it is reckoned and tested again.",
)


def strength_station(found: Strength, rack: Rack, limit: HandbookLimit, unit: Unit, revision: str) -> Station:
    """Return the report.

    Args:
        found: what was reckoned.
        rack: for its marks.
        limit: of the vehicle's handbook.
        unit: the shop's.
        revision: that stands on the rack's plate.
    """
    named_by = marks(rack)
    blocks: list[Block] = [
        Text(NOT_TESTED, "caution"),
        Heading("What it stands on"),
        Text(_model_words(found, unit)),
        *_assumptions(found, unit),
        Heading("Result"),
        Rows(ratings_table(found, unit)),
        *(Text(text) for text in result_words(found, limit, named_by, unit)),
        *_plate(found, unit, revision),
        Heading("Where it is used most"),
        Figure(_use(found), f"Share used at {rating(found.moving.structure, unit)} moving; numbers as in the table"),
        Rows(used_table(found.moving, named_by, unit), below=("bears", "case")),
        Rows(used_table(found.parked, named_by, unit, PARKED), below=("bears", "case")),
    ]
    if found.events:
        blocks.append(Rows(events_table(found, named_by, unit)))
    blocks += [Heading("What to change"), *_gains(found, unit)]
    blocks += [Heading("How far it bends, and how it swings"), *_bends(found, unit)]
    if found.cracks:
        blocks += [Heading("Where it may crack"), Rows(cracks_table(found.cracks, named_by, unit), tick=True)]
    blocks += [
        Heading("Loads and checks"),
        Rows(cases_table(found, unit), below=("source", "assumed")),
        Rows(sources_table(found, unit)),
        Heading("What this rating is not"),
        *(Text(text) for text in (CAUTIONS if clamps(found) else (c for c in CAUTIONS if "U-bolt" not in c))),
    ]
    return Station("strength", TITLE, tuple(blocks))


def unrated_station(why: str) -> Station:
    """Return the page that stands in the report's place where a rack cannot be reckoned."""
    first, *more = why.splitlines() or [""]
    return Station(
        "strength",
        TITLE,
        (
            Text(f"Not rated: {first}", "caution"),
            *(Text(line, "caution") for line in more),
            Text("Until that is mended there is no rating: carry nothing on this rack by these sheets."),
        ),
    )


def _model_words(found: Strength, unit: Unit) -> str:
    model = found.model
    steel = sum(m.kind in ("tube", "bar", "plate") for m in model.members)
    count = clamps(found)
    clamped = f"{count} clamps, " if count else ""
    mounts = len({s.mount for s in model.supports})
    return (
        f"The rack as {steel} straight pieces of tube, bar and plate between {len(model.nodes)} points, welded joints "
        f"rigid with the offset between their centrelines, {clamped}{len(model.supports)} fasteners in "
        f"{mounts} mounts; small movements, elastic. It weighs {load(found.own_mass, unit, 1)}. There are "
        f"{len(model.cases)} load cases, each held against every check. The rating is the largest load under which "
        f"every check keeps its factor of safety{', also with any one U-bolt loose' if count else ''}."
    )


def _assumptions(found: Strength, unit: Unit) -> list[Block]:
    if not found.assumptions:
        return []
    said = [in_shop_words(text, unit) for text in found.assumptions]
    ticked = tuple(text for text in said if not text.startswith(FIGURES))
    return [
        Text("Assumed, from memory or by practice. Tick what holds for your work; where one does not, nor does this."),
        *([Ticks(ticked)] if ticked else []),
        # Nobody at a bench can say whether a table's figure was remembered well.
        *(Text(text, "small") for text in said if text.startswith(FIGURES)),
    ]


def result_words(found: Strength, limit: HandbookLimit, named_by: Marks, unit: Unit) -> tuple[str, ...]:
    """Return the result in sentences: what sets it, the weakest link, a loose clamp, the roof."""
    out = [_weakest(found.moving, found, named_by, unit), _weakest(found.parked, found, named_by, unit)]
    if found.loose is not None:
        payload, which = found.loose
        if payload >= LEAST:
            out.append(f"With {which} loose it still carries {rating(payload, unit)} moving; that is in the rating.")
    if limit.kg is None:
        out.append(
            f"The {limit.words} is not in the vehicle's file, so there is no rating for this vehicle: only the rack's "
            "own. Take the rack's weight off the handbook's limit; carry the lower of that and the rack's rating."
        )
    else:
        left = max(0.0, limit.kg - found.own_mass)
        out.append(
            f"{limit.words.capitalize()} in the vehicle's file {load(limit.kg, unit)} moving, less the rack's "
            f"{load(found.own_mass, unit, 1)}, leaves {load_down(left, unit)}."
        )
    return tuple(out)


def _weakest(state: Payload, found: Strength, named_by: Marks, unit: Unit) -> str:
    """Return a state's rating and its weakest link as a sentence."""
    if not state.used:
        return f"{state.state.capitalize()}: nothing was checked."
    worst = most_used(state.used, 1)[0]
    titles = {c.id: c.title for c in found.model.cases}
    mark = named(worst.parts, named_by)
    where = f"{in_shop_words(worst.what, unit)}{f' ({mark})' if mark else ''}: {worst.title}, in the case {worst.case}"
    why = f"{where} ({titles.get(worst.case, worst.case)})" + (f", with {worst.loose} loose" if worst.loose else "")
    if state.structure <= 0.0:
        return (
            f"{state.state.capitalize()}: no load at all. Even empty the rack uses {share(worst.use)} at {why}. "
            "Change that before anything is cut."
        )
    said = f"{state.state.capitalize()}, the weakest link is {why}; it is used up at {rating(state.structure, unit)}."
    if state.by != "structure":
        said += f" The rating is lower, by the {state.by}."
    return said


def _plate(found: Strength, unit: Unit, revision: str) -> list[Block]:
    lines = plate_lines(found, unit, revision)
    return [Figure(plate_drawing(lines), "Plate to fix to the rack, where it is read when loading: stamp or engrave")]


def _use(found: Strength) -> Drawing:
    listed = most_used(found.moving.used)
    named_places = [(u.at, f"{n}: {share(u.use)}") for n, u in enumerate(listed, start=1)]
    return use_drawing(found.model, found.shares, named_places)


def _gains(found: Strength, unit: Unit) -> list[Block]:
    if not found.gains and found.tried:
        return [Text(f"{found.tried} changes were tried, and none of them lets it carry more.")]
    if not found.gains:
        return [
            Text(
                "No change was tried. `rackgen strength RACK --gains` tries them one by one, "
                "`rackgen build RACK --gains` also for these pages."
            )
        ]
    return [Rows(gains_table(found, unit))]


def bent_case(found: Strength) -> int:
    """Return the moving case in which the frame moves most."""
    sizes = np.linalg.norm(found.at_rating.moved[:, :3, :], axis=1).max(axis=0)
    moving = [n for n, case in enumerate(found.model.cases) if case.state == "moving"]
    return max(moving, key=lambda n: (float(sizes[n]), -n))


def member_moments(found: Strength, case: int) -> Array:
    """Return the larger bending moment at the ends of each member in a case, N·mm."""
    bending = found.at_rating.ends[:, :, 4:6, case]
    return np.asarray(np.linalg.norm(bending, axis=2).max(axis=1))


def _bends(found: Strength, unit: Unit) -> list[Block]:
    case = bent_case(found)
    shifts = found.at_rating.moved[:, :3, case]
    moments = member_moments(found, case)
    steel = np.array([m.kind in ("tube", "bar", "plate") for m in found.model.members])
    top = float(moments[steel].max()) if steel.any() else 0.0
    most = float(np.linalg.norm(shifts, axis=1).max())
    words = [f"to {moment(b.to * top if np.isfinite(b.to) else top, unit)}" for b in BANDS]
    drawing, times = bent_drawing(found.model, shifts, moments, words, moved(most, unit))
    title = found.model.cases[case].title
    frequency = (
        "It was not found out how the rack swings by itself."
        if found.frequency is None
        else f"With the structure's load moving on it, it swings by itself {found.frequency:.1f} times a second, the "
        "load taken as fixed to it."
    )
    return [
        Figure(drawing, f"Moved {times:g} times as far as it is, at {rating(found.moving.structure, unit)}: {title}"),
        Text(f"Most it moves anywhere: {moved(most, unit)}, in that case."),
        Text(frequency),
        *([Text(in_shop_words(found.vortex, unit))] if found.vortex else []),
    ]
