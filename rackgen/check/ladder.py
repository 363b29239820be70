"""Whether a ladder bears the person on it: a note, or a stop where tube gives way (`design/fittings/ladder_loads`)."""

from __future__ import annotations

import numpy as np

from rackgen.design.fittings.ladder import RUNG, STANDOFF, STILE
from rackgen.design.fittings.ladder_loads import PERSON, allowed, foot_push, rung_stress, stile_stress
from rackgen.errors import Finding, Level
from rackgen.geom import spine
from rackgen.geom.frame import Array
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.refs.strengths import unknown


def ladder_findings(rack: Rack) -> list[Finding]:
    """Return what a person does to every ladder: a note, or a stop where tube gives way."""
    out: list[Finding] = []
    for name in dict.fromkeys(p.id.split(".")[0] for p in rack.placed if p.word == STILE):
        parts = [p for p in rack.placed if p.id.startswith(f"{name}.")]
        stiles, rungs, feet = ([p for p in parts if p.word == word] for word in (STILE, RUNG, STANDOFF))
        if stiles and rungs and feet:
            out.append(_one(stiles, rungs, feet))
    return out


def _one(stiles: list[Placed], rungs: list[Placed], feet: list[Placed]) -> Finding:
    stile, rung = stiles[0].part, rungs[0].part
    assert isinstance(stile, BentTube)
    assert isinstance(rung, BentTube)
    head, corner = _bend(stiles[0])
    run = float(np.hypot(*(corner - head)[:2]))
    span = float(np.linalg.norm(_bend(stiles[-1])[1] - corner))
    below = min(float(head[2] - f.frame.origin[2]) for f in feet)
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
        f"{PERSON / 2:.0f} N, each upper foot presses on the body with {foot_push(run, below):.0f} N"
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
