"""What is wrong with a model before it is solved: names that lead nowhere, numbers that are none, absurd loads."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator

import numpy as np

from rackgen.errors import FrameError
from rackgen.geom.frame import Vec
from rackgen.strength.model import FREEDOMS, FrameModel, Member, Support

SHORTEST = 1e-3
"""A member shorter than this, mm, is two nodes at one place."""

ASKEW = 1e-6
"""Sine of the least angle between a direction and the one that is to be square to it."""

MOST_FORCE = 1e7
MOST_MOMENT = 1e10
MOST_LINE = 1e5
MOST_MASS = 1e5
"""N, N·mm, N/mm and kg: a thousand tonnes, and as absurd; no vehicle stands under a hundredth of it."""


def refuse(model: FrameModel) -> None:
    """Refuse a model that cannot be reckoned with.

    Raises:
        FrameError: with everything that is wrong.
    """
    # A name that leads nowhere is one mistake, not one for each thing that hangs on it, so names come first.
    for kinds in ((_names,), (_shapes, _supports, _lumps, _actions, _cases)):
        reasons = [reason for kind in kinds for reason in kind(model)]
        if reasons:
            raise FrameError(reasons)


def _names(model: FrameModel) -> Iterator[str]:
    if not model.nodes or not model.members:
        yield "the frame has no members"
    for what, ids in (
        ("node", [n.id for n in model.nodes]),
        ("member", [m.id for m in model.members]),
        ("action", [a.id for a in model.actions]),
        ("case", [c.id for c in model.cases]),
    ):
        for one, count in Counter(ids).items():
            if count > 1:
                yield f"{what} {one}: {count} have this name; give each its own"
    nodes = {n.id for n in model.nodes}
    for member in model.members:
        for end in (member.a, member.b):
            if end not in nodes:
                yield f"{said(member)}: ends at node {end}, which is not in the frame"
    used = {end for m in model.members for end in (m.a, m.b)}
    for node in model.nodes:
        if node.id not in used:
            yield f"node {node.id} at {_place(node.at)}: no part ends there"


def _shapes(model: FrameModel) -> Iterator[str]:
    for node in model.nodes:
        if not _finite(node.at):
            yield f"node {node.id}: its place {node.at} is not made of numbers"
    at = {n.id: n.at for n in model.nodes}
    for m in model.members:
        p, e = m.properties, m.elastic
        for name, value in (("area", p.area), ("iy", p.iy), ("iz", p.iz), ("j", p.j), ("E", e.e), ("G", e.g)):
            if not (math.isfinite(value) and value > 0.0):
                yield f"{said(m)}: its {name} is {value}; it must be more than 0"
        if _finite(at[m.a]) and _finite(at[m.b]):
            (ax, ay, az), (bx, by, bz) = at[m.a], at[m.b]
            along = (bx - ax, by - ay, bz - az)
            if math.hypot(*along) < SHORTEST:
                yield f"{said(m)}: both its ends are at {_place(at[m.a])}"
            elif not _square(m.up, along):
                yield f"{said(m)}: its direction up, {m.up}, lies along it or is none"
        yield from _freedoms(m)


def _freedoms(m: Member) -> Iterator[str]:
    for freedom in (*m.free_a, *m.free_b):
        if freedom not in FREEDOMS:
            yield f"{said(m)}: {freedom!r} is no freedom; there are {', '.join(FREEDOMS)}"
    both = set(m.free_a) & set(m.free_b)
    for freedom, motion in (
        ("dx", "slides along its own length"), ("dy", "moves sideways"), ("dz", "moves sideways"),
        ("rx", "turns about its own length"),
    ):  # fmt: skip
        if freedom in both:
            yield f"{said(m)}: freed of {freedom} at both ends, it {motion} and nothing keeps it; hold it at one"
    for way, turn in (("dy", "rz"), ("dz", "ry")):
        # A pin at each end is a strut; a slider and a pin, or two pins and a slider, leave the piece itself to swing.
        free = [f for f in (way, turn) for held in (m.free_a, m.free_b) if f in held]
        if len(free) > 2 and way not in both:
            yield f"{said(m)}: freed of {way} and of {turn} at both ends, it swings and nothing keeps it"


def _supports(model: FrameModel) -> Iterator[str]:
    nodes = {n.id for n in model.nodes}
    for s in model.supports:
        if s.node not in nodes:
            yield f"{held(s)}: node {s.node} is not in the frame"
        if any(math.isnan(k) or k < 0.0 for k in s.stiffness):
            yield f"{held(s)}: its stiffness {s.stiffness} must be 0 or more each, inf for rigid"
        if not _square(s.x, s.z):
            yield f"{held(s)}: its axes x {s.x} and z {s.z} must be two different directions"


def _lumps(model: FrameModel) -> Iterator[str]:
    nodes = {n.id for n in model.nodes}
    for lump in model.lumps:
        if lump.node not in nodes:
            yield f"a mass of {lump.mass} kg: its node {lump.node} is not in the frame"
        if not 0.0 <= lump.mass <= MOST_MASS:
            yield f"the mass at node {lump.node} is {lump.mass} kg; it must be 0 to {MOST_MASS:.0f}"


def _actions(model: FrameModel) -> Iterator[str]:
    nodes = {n.id for n in model.nodes}
    members = {m.id for m in model.members}
    for action in model.actions:
        forces = np.array([load.force for load in action.nodes], dtype=float).reshape(-1, 3)
        moments = np.array([load.moment for load in action.nodes], dtype=float).reshape(-1, 3)
        lines = np.array([load.force for load in action.lines], dtype=float).reshape(-1, 3)
        for load in action.nodes:
            if load.node not in nodes:
                yield f"action {action.id}: loads node {load.node}, which is not in the frame"
        for load in action.lines:
            if load.member not in members:
                yield f"action {action.id}: loads member {load.member}, which is not in the frame"
        for what, values, most, unit in (
            ("a force", forces, MOST_FORCE, "N"),
            ("a moment", moments, MOST_MOMENT, "N·mm"),
            ("a line load", lines, MOST_LINE, "N/mm"),
        ):
            wrong = ~(np.abs(values) <= most).all(axis=1)
            for n in np.flatnonzero(wrong):
                where = action.lines[n].member if what == "a line load" else action.nodes[n].node
                read = ", ".join(f"{v:g}" for v in values[n])
                yield f"action {action.id}: {what} of ({read}) {unit} on {where}; it must be a number up to {most:g}"


def _cases(model: FrameModel) -> Iterator[str]:
    actions = {a.id for a in model.actions}
    for case in model.cases:
        for action, factor in (*case.always, *case.per_kg):
            if action not in actions:
                yield f"case {case.id}: action {action} is not in the model"
            if not math.isfinite(factor):
                yield f"case {case.id}: the factor of action {action} is {factor}; it must be a number"


def said(member: Member) -> str:
    """Return how a member is spoken of: by its part, and by its own name where that says more."""
    return member.id if not member.part or member.id.startswith(member.part) else f"{member.part} ({member.id})"


def held(support: Support) -> str:
    """Return how a support is spoken of."""
    names = [n for n in (support.mount, support.part) if n]
    return f"the support at {', '.join(names) or support.node}"


def _finite(values: Iterable[float]) -> bool:
    return all(math.isfinite(v) for v in values)


def _place(at: Vec) -> str:
    return "(" + ", ".join(f"{v:.1f}" for v in at) + ")"


def _square(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Tell whether two directions are directions, and two different ones."""
    if not (_finite(one) and _finite(other)):
        return False
    # Plain numbers: each member asks, and an array costs ten times its sums.
    (a, b, c), (x, y, z) = one, other
    across = math.hypot(b * z - c * y, c * x - a * z, a * y - b * x)
    lengths = math.hypot(a, b, c) * math.hypot(x, y, z)
    return lengths > 0.0 and across > ASKEW * lengths
