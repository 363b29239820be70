"""Whether a ladder bears the person on it: a note, or a stop where tube gives way (`design/fittings/ladder_loads`)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackgen.design.fittings.ladder import RUNG, STANDOFF, STILE
from rackgen.design.fittings.ladder_loads import PERSON, allowed, foot_push, rung_stress, stile_stress
from rackgen.errors import Finding, Level
from rackgen.geom import spine
from rackgen.geom.frame import Array
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.refs.strengths import unknown


@dataclass(frozen=True)
class Ladder:
    """A ladder as a person loads it; mm.

    Attributes:
        name: its parts' ids begin so.
        stiles: left and right.
        rungs: from the top.
        run: from the clamps to the corner of the stiles' axes.
        span: of a rung, from axis to axis of the stiles.
        below: of the upper feet below the clamps.
    """

    name: str
    stiles: tuple[Placed, ...]
    rungs: tuple[Placed, ...]
    run: float
    span: float
    below: float


def ladders(rack: Rack) -> tuple[Ladder, ...]:
    """Return every ladder of a rack."""
    out: list[Ladder] = []
    for name in dict.fromkeys(p.id.split(".")[0] for p in rack.placed if p.word == STILE):
        parts = [p for p in rack.placed if p.id.startswith(f"{name}.")]
        stiles, rungs, feet = (tuple(p for p in parts if p.word == word) for word in (STILE, RUNG, STANDOFF))
        if not (stiles and rungs and feet):
            continue
        head, corner = _bend(stiles[0])
        span = float(np.linalg.norm(_bend(stiles[-1])[1] - corner))
        below = min(float(head[2] - f.frame.origin[2]) for f in feet)
        out.append(Ladder(name, stiles, rungs, float(np.hypot(*(corner - head)[:2])), span, below))
    return tuple(out)


def ladder_findings(rack: Rack) -> list[Finding]:
    """Return what a person does to every ladder: a note, or a stop where tube gives way."""
    return [_one(ladder) for ladder in ladders(rack)]


def _one(ladder: Ladder) -> Finding:
    stiles, rungs, run, span, below = ladder.stiles, ladder.rungs, ladder.run, ladder.span, ladder.below
    stile, rung = stiles[0].part, rungs[0].part
    assert isinstance(stile, BentTube)
    assert isinstance(rung, BentTube)
    source = "elastic bending; AISC 360 F1 (ASD)"
    if said := unknown(stile.stock):
        return Finding(
            "ladder-grade", Level.LOOK, (stiles[0].id,), f"whether the ladder bears a person is not known: {said}",
            at=stiles[0].frame.origin, source=source, help="write the grade or the certificate in the shop's file",
        )  # fmt: skip
    on_rung, on_stile = rung_stress(span, rung.section), stile_stress(run, stile.section)
    # Rungs and stiles are of one tube.
    most, limit = max(on_rung, on_stile), allowed(stile.stock)
    assert limit is not None
    says = (
        f"a person of {PERSON / 1000:g} kN on the middle of one rung bends a rung with {on_rung:.0f} MPa and the "
        f"stiles at their bends with {on_stile:.0f} MPa; {limit:.0f} MPa are allowed. Each clamp then bears "
        f"{PERSON / 2:.0f} N, each upper foot presses on the body with {foot_push(run, below):.0f} N. What the rack "
        "bears of it is the rating's case person-on-ladder; clamps count as hinges, and no tube's weld is reckoned"
    )
    worst = rungs[0] if on_rung > on_stile else stiles[0]
    if most > limit:
        return Finding(
            "ladder-weak", Level.STOP, (worst.id,), says, at=worst.frame.origin, got=most, limit=limit, unit="MPa",
            source=source,
            help="use stouter tube for the ladder, make it narrower, or bring its clamps nearer to the roof's edge",
        )  # fmt: skip
    return Finding(
        "ladder-load", Level.NOTE, (stiles[0].id,), f"{says}; one person at a time", at=stiles[0].frame.origin,
        got=most, limit=limit, unit="MPa", source=source,
    )  # fmt: skip


def _bend(stile: Placed) -> tuple[Array, Array]:
    """Return a stile's upper end and the corner of its axes, vehicle frame; canonical tubes may run either way."""
    assert isinstance(stile.part, BentTube)
    points = stile.frame.points(spine.corners(stile.part.spine))
    return (points[0], points[1]) if points[0][2] > points[-1][2] else (points[-1], points[-2])
