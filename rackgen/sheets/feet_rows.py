"""What the installation sheet says of feet that are bolted on: what is looked at first, how they go on, torques."""

from __future__ import annotations

from collections.abc import Mapping

from rackgen.sheets.installation import Installation, Mount
from rackgen.sheets.installation_rows import place_name
from rackgen.sheets.pages import Block, Fields, Heading, Ticks
from rackgen.sheets.words import degrees, fine, small, torque
from rackgen.spec.foot_place import BedRailPlace, FootPlace, FrontMount, GutterPlace, ThreadsPlace, TrackPlace
from rackgen.units import Unit

FIRST: Mapping[str, str] = {
    "gutter": "lip and floor sound and without rust, its seam whole; every door clears a hook held under it",
    "threads": "cover off; a bolt runs in by hand as deep as the thread, nothing behind it; face clean",
    "track": "track fast on the roof, its slot clean; nuts slide to their places and turn under its lips",
    "bed rail": "room for the backing plate and a spanner under the rail; no wiring, no liner between",
}
"""What is looked at before a foot is put on, by what it stands on."""

STEPS: Mapping[str, tuple[str, ...]] = {
    "gutter": (
        "Gutter: hard tape where jaw, clamp and hook bear. Hook the jaw under the gutter from outside, let it down "
        "until its hook lies under the floor, stand the clamp in the trough with its heel outward, put the bolts "
        "through from outside, nuts in the trough.",
        "Gutter: with the frame's weight on it see that the clamp stands on the floor and the hook's tip bears under "
        "it all along. Draw the bolts up by turns to their torque; heel and lip must both be held. Open every door.",
    ),
    "threads": (
        "Threads: bed the pad, its bolts in the middle of their slots, a little grease on the threads; all bolts of "
        "all pads by hand first, then to their torque. Seal round the pad; cut or plug the cover.",
    ),
    "track": (
        "Track: nuts into the slot, bracket over them, bolts by hand; push the frame to its place and measure it from "
        "the datum, both sides alike, then draw up to the torque. Stops or covers back on the track's ends.",
    ),
    "bed rail": (
        "Bed rail: bed the plate; backing plate under the rail's sheet, washers and nuts below. Draw up evenly to the "
        "torque; the sheet must not draw in. Paint and wax the holes' edges.",
    ),
}
"""How a foot goes on, by what it stands on (common practice, no source)."""


def bolted_on(found: Installation) -> tuple[Mount, ...]:
    """Return the mounts that have bolts."""
    return tuple(m for m in found.mounts if m.drawn)


def first_looks(found: Installation) -> list[Block]:
    """Return what is looked at before feet go on, with boxes; none where only plates and straps hold the rack."""
    rows = tuple((f"{m.letter} {place_name(m.name)}: {FIRST[m.kind]}", "") for m in found.mounts if m.kind in FIRST)
    return [Fields(rows, ("found",), "Where feet go, before they do")] if rows else []


def feet_blocks(found: Installation, unit: Unit, after: str) -> list[Block]:
    """Return how feet go on, and boxes for their torques; none where no mount has bolts.

    Args:
        found: the installation.
        unit: the shop's.
        after: when bolts are drawn up again.
    """
    mounts = bolted_on(found)
    if not mounts:
        return []
    steps = [step for kind in dict.fromkeys(m.kind for m in mounts) for step in STEPS.get(kind, ())]
    rows = tuple(
        (f"{m.letter} {place_name(m.name)}: {d.count} × {d.bolt}", "" if d.torque is None else torque(d.torque, unit))
        for m in mounts
        for d in m.drawn
    )
    out: list[Block] = []
    if steps:
        out += [Heading("Feet"), Ticks(tuple(steps), numbered=True)]
    return [*out, Fields(rows, ("drawn up", f"after {after}", "initials"), "Torque of the feet's bolts", "draw up to")]


def read_again(place: FootPlace, unit: Unit) -> list[tuple[str, str]]:
    """Return what is measured again at a foot's place at the dry fit, each with what its file says."""
    along = "front" if place.pitch < 0 else "rear"
    out = [(f"falls to the {along}, deg", degrees(abs(place.pitch)))]
    match place:
        case GutterPlace():
            out += [
                (f"trough's width, lip to roof, {unit}", fine(place.width, unit)),
                (f"trough's depth, {unit}", fine(place.depth, unit)),
                (f"thickness of the lip, {unit}", small(place.metal, unit)),
                (f"free under the floor, doors opened, {unit}", fine(place.below, unit)),
            ]
            return out
        case ThreadsPlace():
            out.append((f"depth of thread, {unit}", fine(place.depth, unit)))
            if place.apart:
                out.append((f"threads apart, {unit}", fine(place.apart, unit)))
        case TrackPlace():
            out.append((f"slot's mouth, {unit}", fine(place.slot, unit)))
        case BedRailPlace():
            out.append((f"flat top's width, {unit}", fine(place.width, unit)))
        case FrontMount():
            pass
    aside = "left" if place.roll < 0 else "right"
    return [(f"falls to the {aside}, deg", degrees(abs(place.roll))), *out]
