"""What a rating means for the rack: that it carries nothing, or less than is wanted."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from rackgen.errors import Finding, FrameError, Level, RackgenError
from rackgen.refs.registry import number as number_of
from rackgen.spec.load import STANDARD, LoadWish
from rackgen.strength.most_used import most_used
from rackgen.strength.rated import Payload, Strength, Used
from rackgen.strength.rating_plate import STANDING, plate_forbids_standing

CODES = ("carries-nothing", "carries-less", "not-for-this", "posts-lean", "frame-free", "not-rated")
"""Codes of every finding here: a waiver of one waits for the rating."""

LEAST = 1.0
"""A rating under this is none, kg."""


def strength_findings(found: Strength, wish: LoadWish) -> tuple[Finding, ...]:
    """Return a stop where a rack carries nothing, a look where it carries less than is wanted, and what not to do."""
    out: list[Finding] = []
    for state, wanted in ((found.moving, wish.moving), (found.parked, wish.parked)):
        if state.structure < LEAST:
            out.append(_nothing(state))
        elif wanted is not None and _carried(state) < wanted:
            out.append(_less(state, wanted, found))
        elif wanted is not None and state.vehicle is not None and state.vehicle < wanted:
            out.append(_parked_on_this_vehicle(state, wanted, found))
    return (*out, *_sways(found), *_events(found, wish))


def _sways(found: Strength) -> tuple[Finding, ...]:
    """Return how far posts lean when cornering with the rated load on: a note, or a look where it is much.

    Knee braces stand fore and aft. Across, posts, rails and cross bars are a portal whose corners are the welds: what
    these bear is in the rating, how far it leans is said here.
    """
    cases = [i for i, c in enumerate(found.model.cases) if c.id in ("corner-left", "corner-right")]
    posts = {m.part for m in found.model.members if m.part.endswith(".post")}
    if not cases or not posts:
        return ()
    number = {n.id: i for i, n in enumerate(found.model.nodes)}
    at = {n.id: np.asarray(n.at) for n in found.model.nodes}
    worst = (0.0, 0.0, 0.0, "")
    for part in sorted(posts):
        ends = sorted({n for m in found.model.members if m.part == part for n in (m.a, m.b)}, key=lambda n: at[n][2])
        moved = found.at_rating.moved[[number[n] for n in (ends[0], ends[-1])]][:, 1, cases]
        lean, high = float(np.abs(moved[1] - moved[0]).max()), float(at[ends[-1]][2] - at[ends[0]][2])
        worst = max(worst, (lean / high, lean, high, part))
    share, lean, high, part = worst
    least = number_of("post-lean")
    much = share > least.value
    return (
        Finding(
            "posts-lean", Level.LOOK if much else Level.NOTE, (part,),
            f"cornering with {math.floor(found.moving.structure)} kg on, the posts lean {lean:.1f} mm across on "
            f"{high:.0f} mm (1 in {1 / share:.0f}); across there are no braces, the welds of posts, rails and cross "
            "bars hold it, and are in the rating",
            at=tuple(at[next(m.a for m in found.model.members if m.part == part)]), got=share, limit=least.value,
            unit="", source=least.cited, keys=("frame.height", "frame.tube", "frame.cross_bars"),
            help="put a cross bar close beside each pair of posts, take stouter tube, or brace the front or the rear "
            "pair across" if much else "",
        ),
    )  # fmt: skip


def unrated(error: RackgenError) -> Finding:
    """Return the finding that goes with a rack that cannot be reckoned.

    What moves freely is a stop. A grade or a rivet that is not known says nothing against the rack: a look, so that it
    can be made; the question how much it carries has no answer then, and `rackgen strength` ends with 1.
    """
    if isinstance(error, FrameError):
        return Finding(
            "frame-free", Level.STOP, (), f"the rack does not hold together as a frame: {'; '.join(error.reasons)}",
            source="statics", help="join or hold what is named; until then there is no rating",
        )  # fmt: skip
    return Finding(
        "not-rated", Level.LOOK, (), f"no rating was reckoned: {error}", source="",
        help="mend what is named; until then carry nothing by these sheets",
    )  # fmt: skip


def _carried(state: Payload) -> float:
    """Return what of a wish can be had; the handbook's is for a moving vehicle, and a parked wish may exceed it."""
    if state.vehicle is None or state.state == "parked":
        return state.structure
    return state.vehicle


def _words(worst: Used) -> str:
    said = f"{worst.what}: {worst.title}, in the case {worst.case}"
    return f"{said}, with {worst.loose} loose" if worst.loose else said


def _nothing(state: Payload) -> Finding:
    worst = most_used(state.used, 1)[0]
    return Finding(
        "carries-nothing", Level.STOP, worst.parts,
        f"{state.state}, the rack carries no load: even empty it uses {worst.use:.0%} at {_words(worst)}",
        at=worst.at, got=worst.use, limit=1.0, unit="", source=worst.source, keys=worst.keys,
        help="see `rackgen strength RACK --gains` for what would help most",
    )  # fmt: skip


def _less(state: Payload, wanted: float, found: Strength) -> Finding:
    carried = _carried(state)
    if carried < state.structure:
        return Finding(
            "carries-less", Level.LOOK, (),
            f"{state.state}, {wanted:.0f} kg are wanted and the {found.limit_words} leaves {math.floor(carried)} kg",
            got=carried, limit=wanted, unit="kg", source="the vehicle's handbook, by its file",
            keys=(f"load.{state.state}", found.limit_key), help="carry less, or look the limit up again",
        )  # fmt: skip
    worst = most_used(state.used, 1)[0]
    return Finding(
        "carries-less", Level.LOOK, worst.parts,
        f"{state.state}, {wanted:.0f} kg are wanted and the rack carries {math.floor(carried)} kg, by {_words(worst)}"
        f"{_cap(state, found)}",
        at=worst.at, got=carried, limit=wanted, unit="kg", source=worst.source,
        keys=(*worst.keys, f"load.{state.state}"), help="see `rackgen strength RACK --gains` for what would help most",
    )  # fmt: skip


def _cap(state: Payload, found: Strength) -> str:
    """Return what the handbook leaves where that is less than the rack carries, as the end of a sentence."""
    if state.vehicle is None or state.vehicle >= state.structure:
        return ""
    return (
        f"; on this vehicle the {found.limit_words} leaves {math.floor(state.vehicle)} kg, which is for a moving one: "
        "its plate says no more unless the handbook gives a parked limit"
    )


def _parked_on_this_vehicle(state: Payload, wanted: float, found: Strength) -> Finding:
    """Return the note that a rack carries what is wanted, parked, and the one limit that is known does not allow it."""
    assert state.vehicle is not None
    return Finding(
        "carries-less", Level.NOTE, (),
        f"{state.state}, {wanted:.0f} kg are wanted and the rack carries them{_cap(state, found)}",
        got=state.vehicle, limit=wanted, unit="kg", source="the vehicle's handbook, by its file",
        keys=(f"load.{state.state}", found.limit_key),
        help=f"look up what the handbook allows on a parked {found.stands_on}",
    )  # fmt: skip


def _events(found: Strength, wish: LoadWish) -> tuple[Finding, ...]:
    """Return what the empty rack does not bear: a look, and a note on what its plate forbids and on wind.

    Nobody reads a strap's pull or a person's on the plate. Standing on it is a look where the plate does not forbid it,
    or where the rack's file gives a person's mass, for then somebody is to stand there.
    """

    def worth_a_look(event: Used) -> bool:
        if event.case.startswith(STANDING):
            return wish.person is not None or not plate_forbids_standing(found)
        return event.case.startswith(("straps", "tie-", "person-")) or event.case not in STANDARD

    over = [e for e in found.events if e.use > 1.0]
    looks = [e for e in over if worth_a_look(e)]
    return (
        *_not_for(found, Level.LOOK, looks),
        *_not_for(found, Level.NOTE, [e for e in over if e not in looks]),
    )


def _not_for(found: Strength, level: Level, over: Iterable[Used]) -> tuple[Finding, ...]:
    worst = sorted(over, key=lambda e: (-e.use, e.case))
    if not worst:
        return ()
    titles = {c.id: c.title for c in found.model.cases}
    listed = "; ".join(f"{titles[e.case]} ({e.use:.0%})" for e in worst[:4])
    more = f" and {len(worst) - 4} more" if len(worst) > 4 else ""
    return (
        Finding(
            "not-for-this", level, worst[0].parts, f"more than its checks allow: {listed}{more}",
            at=worst[0].at, got=worst[0].use, limit=1.0, unit="", source=worst[0].source, keys=worst[0].keys,
            help="do not do it, or make it stronger",
        ),
    )  # fmt: skip
