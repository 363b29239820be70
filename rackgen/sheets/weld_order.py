"""In which order a rack is welded: steps by what is welded, and within a step opposite joints in pairs.

Rings lie flat for their butts; clamp pads go under the lower ring before the bearers that would shut off the torch;
bearers, uprights and upper ring are all tacked before anything of the basket is welded out; the mesh comes last, from
the middle. What waits for the dry fit on the vehicle comes after all that, and on the bench too.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Joint, PartId, Placed, Rack
from rackgen.parts.resolve import anchor_point, end_frame
from rackgen.sheets.weld_lines import welded_joints

STEPS: Mapping[int, tuple[str, str]] = {
    1: (
        "Butts with sleeves",
        "Each ring flat on the table by itself. File the seam's flash, slide the sleeve half in, plug weld that half, "
        "draw the other hoop up, check the diagonals, plug weld it. Then the butts, opposite ones in turn; dress them "
        "flush where the list says what bears there.",
    ),
    2: (
        "Frame: cross bars",
        "Between their stop blocks. Tack every bar at both ends, check diagonals and twist, clamp, then weld opposite "
        "joints in pairs.",
    ),
    3: (
        "Clamp pads",
        "Under the lower ring, welded out before any bearer goes in: a bearer beside a pad shuts off the torch.",
    ),
    4: (
        "Basket: bearers and uprights",
        "Tack all bearers, all uprights and the upper ring on top of them. Check outside sizes, diagonals and twist; "
        "clamp. Only then weld out: bearers from the middle, opposite joints in pairs, then the uprights' feet, then "
        "their tops.",
    ),
    5: ("Side plates", "Tack the corners, then stitch, alternate sides of the plate, opposite plates by turns."),
    6: ("Floor", "Long way of the mesh as on the drawing. Tack from the middle outward, every edge strand caught."),
    7: ("Edge strips", "Over the raw edge of the mesh, stitched through it to the ring."),
    8: (
        "Fore-aft stops",
        "Set the basket on the frame with its isolators, hold each stop against its pad, tack it to the leg. "
        "Basket off, weld.",
    ),
    9: (
        "After the dry fit: stubs under the frame",
        "Clamped, scribed and match-marked on the vehicle, taken off, welded on the bench.",
    ),
    10: (
        "After the dry fit: rear straps",
        "Wrap and packer on the loose strap, ground flush where it says so; strap to leg; brace last. Clamped, scribed "
        "and match-marked on the vehicle, taken off, welded on the bench.",
    ),
    11: (
        "After the dry fit: all else",
        "Clamped, scribed and match-marked on the vehicle, taken off, welded on the bench.",
    ),
    12: (
        "Fittings",
        "Last, when the dry fit has shown that rack and fittings stand clear. Tack every one, look along the side that "
        "all stand in line, then weld opposite ones by turns, short beads, so that no tube is pulled.",
    ),
}
"""Number of a step: its title, and what the welder does there."""

FRAME_STEP = 2
"""The step of the frame's cross bars."""

BASKET_STEP = 4
"""The step of the basket's bearers and uprights."""

FITTINGS = 12
"""The step of what is welded on last."""

FLOOR = 6
"""The step of floors that are laid on; slats of tube go in with the bearers."""

DRY_FIT = 9
"""Steps from here on come after the dry fit."""

_WORDS: Mapping[str, float] = {
    "bow": 9.0,
    "cross bar": 2.0,
    "front tube": 2.0,
    "rear tube": 2.0,
    "tie": 2.1,
    "clamp pad": 3.0,
    "bearer": 4.0,
    "upright": 4.0,
    "side plate": 5.0,
    "mid rail": 4.0,
    "slat": 6.0,
    "floor panel": 6.0,
    "edge strip": 7.0,
    "fore-aft stop": 8.0,
    "saddle": 9.0,
    "post": 9.0,
    "knee brace": 9.1,
    "rear strap": 10.1,
    "corner wrap": 10.0,
    "packer": 10.0,
    "strap brace": 10.2,
    "lamp tab": 12.0,
    "tie-down loop": 12.0,
    "shovel bracket": 12.0,
    "awning bracket": 12.0,
    "deflector tab": 12.0,
    "ladder rung": 12.1,
    "ladder clamp": 12.2,
    "ladder standoff": 12.3,
}
"""The step of a joint by the words of its parts: the last of them in this list. Tenths order a step."""

_ON_TOP: Mapping[str, str] = {
    "slat": "Slats square to the bearers, a spacer as wide as the gap between them. Tack both ends and the middle of "
    "each, check that all lie flat, then weld from the middle outward.",
    "punched": "Tack from the middle outward, between the holes, never over one; edges cut through holes are dressed "
    "round first.",
}


_STUBS: Mapping[str, str] = {
    "saddle": "saddles",
    "post": "posts",
    "knee brace": "knee braces",
    "bow": "legs of bows",
}


def titled(step: int, words: Collection[str]) -> str:
    """Return a step's title, which names of the stubs under a frame those that there are.

    Args:
        step: its number.
        words: what the shop calls the parts that are welded there.
    """
    if step == BASKET_STEP and "upright" not in words:
        return "Basket: bearers"
    stubs = [many for word, many in _STUBS.items() if word in words]
    return f"After the dry fit: {', '.join(stubs)}" if step == DRY_FIT and stubs else STEPS[step][0]


def done_there(step: int, words: Collection[str], hows: Collection[str]) -> str:
    """Return what the welder does in a step.

    Args:
        step: its number.
        words: what the shop calls the parts that are welded there.
        hows: how.
    """
    if step == BASKET_STEP and "upright" not in words:
        return (
            "Tack everything at both ends. Check outside sizes, diagonals and twist; clamp. Only then weld out, from "
            "the middle, opposite joints in pairs."
        )
    if step == FRAME_STEP and any("mitre" in how for how in hows):
        return f"Mitred corners first. {STEPS[step][1]}"
    if step == FITTINGS and "ladder rung" in words:
        return (
            f"{STEPS[step][1]} A ladder lies flat on its stiles, rungs square by their diagonals; its standoffs are "
            "scribed to the body first."
        )
    if step == FLOOR and "slat" in words:
        return _ON_TOP["slat"]
    if step == FLOOR and not any("strand" in how for how in hows):
        return _ON_TOP["punched"]
    return STEPS[step][1]


Ranks = Mapping[str, float]
"""Joint id to its place in the order: the whole part is the step."""


def ranks(rack: Rack, members: Mapping[PartId, Placed]) -> dict[str, float]:
    """Return the place in the order of every welded joint, by its id."""
    joints = welded_joints(rack)
    rings = list(dict.fromkeys(_ring(j) for j in joints if j.kind in ("butt with sleeve", "plug weld")))
    out: dict[str, float] = {}
    for joint in joints:
        if joint.kind in ("butt with sleeve", "plug weld"):
            share = 0.9 / max(1, len(rings))
            place = rings.index(_ring(joint)) + (0.5 if joint.kind == "butt with sleeve" else 0.0)
            out[joint.id] = 1.0 + place * share
            continue
        parts = [members[a.part] for a in (joint.a, joint.b)]
        named = [place for word, place in _WORDS.items() if any(p.word == word for p in parts)]
        plain = 4.0 if all(isinstance(p.part, BentTube) for p in parts) else 5.0
        place = named[-1] if named else plain
        if place == FLOOR and all(isinstance(p.part, BentTube) for p in parts):
            # Slats of tube are coped in with whatever else is.
            place = plain
        out[joint.id] = 11.0 if waits(joint, members) and place < DRY_FIT else place
    return out


def _ring(joint: Joint) -> str:
    """Return what a butt belongs to: the beginning of its id, "basket.lower"."""
    return ".".join(joint.id.split(".")[:2])


def waits(joint: Joint, members: Mapping[PartId, Placed]) -> bool:
    """Return whether a joint waits for the dry fit: one of its parts is only cut after it."""
    return any(members[a.part].stage == 3 for a in (joint.a, joint.b))


def on_when_welded(rack: Rack, order: Ranks) -> Mapping[float, Mapping[PartId, frozenset[PartId]]]:
    """Return for every place in the order what hangs together then: part to all parts tacked or welded to it."""
    joints = welded_joints(rack)
    group: dict[PartId, set[PartId]] = {}
    out: dict[float, Mapping[PartId, frozenset[PartId]]] = {}
    for rank in sorted(set(order.values())):
        for joint in joints:
            if order[joint.id] != rank:
                continue
            a = group.setdefault(joint.a.part, {joint.a.part})
            b = group.setdefault(joint.b.part, {joint.b.part})
            if a is not b:
                a |= b
                for part in b:
                    group[part] = a
        frozen: dict[int, frozenset[PartId]] = {}
        out[rank] = {p: frozen.setdefault(id(g), frozenset(g)) for p, g in group.items()}
    return out


def in_order(rack: Rack, order: Ranks, alike: Mapping[str, object]) -> tuple[Joint, ...]:
    """Return the welded joints in the order of welding.

    Args:
        rack: the rack.
        order: place of each joint.
        alike: joint id to what makes it equal to others: equal joints of one step stand together, opposite ones in
            pairs, those nearest to the middle first.
    """
    members = {p.id: p for p in rack.placed}
    joints = welded_joints(rack)
    at = {j.id: np.asarray(anchor_point(j.a, members)) for j in joints}
    out: list[Joint] = []
    for rank in sorted({order[j.id] for j in joints}):
        here = sorted((j for j in joints if order[j.id] == rank), key=lambda j: _turn(j, members, at[j.id]))
        for key in dict.fromkeys((_turn(j, members, at[j.id]), alike[j.id]) for j in here):
            out += _paired([j for j in here if (_turn(j, members, at[j.id]), alike[j.id]) == key], at)
    return tuple(out)


def _turn(joint: Joint, members: Mapping[PartId, Placed], at: Array) -> int:
    """Return a joint's turn within its step: feet of uprights before tops, mesh on bearers before its rim."""
    parts = [members[a.part] for a in (joint.a, joint.b)]
    upright = next((p for p in parts if p.word == "upright"), None)
    if upright is not None:
        middle = np.mean([end_frame(upright, e)[0].origin for e in ("A", "B")], axis=0)
        return 1 if float(at[2]) < float(middle[2]) else 2
    return 1 if any(p.word == "floor panel" for p in parts) and not any(p.word == "bearer" for p in parts) else 0


def _paired(joints: list[Joint], at: Mapping[str, Array]) -> list[Joint]:
    middle = np.mean([at[j.id] for j in joints], axis=0)
    left = sorted(joints, key=lambda j: (round(abs(float(at[j.id][0] - middle[0]))), float(at[j.id][0]), j.id))
    out: list[Joint] = []
    while left:
        first = left.pop(0)
        out.append(first)
        if left:
            opposite = 2 * middle - at[first.id]
            other = min(left, key=lambda j: (round(float(np.linalg.norm(at[j.id] - opposite)), 1), j.id))
            left.remove(other)
            out.append(other)
    return out
