"""The dry fit: what is clamped, measured and match-marked at the vehicle, then taken off and welded on the bench."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.design.stands import STUBS
from rackgen.geom.cope import Cope
from rackgen.mesh.sweep import along, evenly
from rackgen.parts.kinds import BentTube, FoldedBar
from rackgen.parts.marks import marks
from rackgen.parts.measure import centre_length
from rackgen.parts.names import part_name
from rackgen.parts.rack import Placed, Rack
from rackgen.refs.registry import number
from rackgen.sheets.feet_rows import read_again
from rackgen.sheets.installation import Installation, Mount, flats, installation, leg_over
from rackgen.sheets.installation_rows import across, place_name
from rackgen.sheets.pages import Block, Fields, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import degrees, fine, radii, small
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.units import Unit

FEELER = 1.0
"""More than this beyond its bedding under a plate's edge is not filled but mended, mm (common practice, no source)."""

WITHIN = 3.0
"""Further off than this, a mount was measured wrong or the frame was made wrong, mm (common practice, no source)."""

SQUARE = 2.0
"""Diagonals differ by no more, mm (common practice, no source)."""

SHOWN = 10
"""Gaps to the roof that are read again at the vehicle, nearest first."""


FEET: Mapping[str, str] = {
    "roof": "Lay the mount plates on spacers of {bed}, the thickness of the bedding, and tape them down on their "
    "lines.",
    "gutter": "Hook the jaws under the gutter on hard tape, clamps in the trough, bolts finger tight: hook and heel "
    "bear along their whole width, and no door touches.",
    "threads": "Lay the pads on spacers of {bed}, their bolts finger tight in the middle of the slots.",
    "track": "Slide the nuts to their places and set the brackets on the track, bolts finger tight.",
    "bed rail": "Lay the rail plates on spacers of {bed} and tape them down on their lines; look under the rail at "
    "each hole.",
}
"""How feet are laid out for the dry fit, by what they stand on (common practice, no source)."""

BOWS = (
    "The bows' legs still have their trim and stand beside their feet: mark each where it meets its foot's top, along "
    "that face, both sides of a bow alike from its back. Saw, offer up again."
)
"""What is done with bows, whose legs stand on their feet without stubs."""

STRAPS = (
    "Find the straps' fold with a bevel between the leg's underside and the rear face; fold, offer up with wrap "
    "and packer on spacers, then fit the brace into the corner."
)
"""How the rear straps are found."""


@dataclass(frozen=True)
class RoofGap:
    """How far a part stays from the roof by the check.

    Attributes:
        mark: its mark.
        word: what the shop calls it.
        part: its id.
        gap: mm.
        wanted: least, mm.
    """

    mark: str
    word: str
    part: str
    gap: float
    wanted: float


@dataclass(frozen=True)
class OpenJoint:
    """A joint that is left for the dry fit by the tolerance study.

    Attributes:
        name: what it joins, by mark and word.
        gap: between which two gaps 95 of 100 racks are, in the shop's unit.
        drivers: what drives it most.
    """

    name: str
    gap: str
    drivers: str


def dry_fit_station(
    rack: Rack, shop: Shop, vehicle: Vehicle, gaps: Sequence[RoofGap] = (), left: Sequence[OpenJoint] | None = None
) -> Station:
    """Return the dry fit: order, boxes for what is measured, and what goes back to the bench.

    Args:
        rack: the rack.
        shop: the shop.
        vehicle: the vehicle.
        gaps: of parts that have to stay clear of the roof, from a check; the nearest are read again.
        left: joints that the tolerance study leaves for it, None where none was made.
    """
    unit, found = shop.unit, installation(rack, shop, vehicle)
    blocks: list[Block] = [
        Text(
            f"Stage 3. {_made(rack)} made and the frame is welded and square; {_waits(rack)} for what is "
            "measured here. No hole is drilled yet."
        ),
        Text(
            "Nothing is welded on the vehicle, not even a tack. Clamp, scribe and match-mark here, weld on the bench.",
            "caution",
        ),
        *_left(left, unit),
        *_steps(rack, found, shop, unit),
        Heading("What is measured"),
        _readings(vehicle, found, unit),
        *(f for f in (_blocks(rack, found, vehicle, unit), _stubs(rack, found, shop, unit)) if f.rows),
        *_corners(rack, found, vehicle, unit),
    ]
    blocks += _gaps(gaps, unit)
    blocks += [
        Heading("Off the vehicle"),
        Ticks(_off(found, shop)),
        Fields((("Dry fit by, date", ""), ("Stage 3 released for cutting by, date", "")), ("name and date",), ""),
    ]
    return Station("dry-fit", "Dry fit at the vehicle", tuple(blocks))


def _left(left: Sequence[OpenJoint] | None, unit: Unit) -> list[Block]:
    """Return the joints that are left open, with what they may stand open by and a box for what they do."""
    if left is None:
        return []
    if not left:
        return [Text("By the tolerance study no joint at the vehicle has to be left for the dry fit.")]
    columns = (Column("joint", "joint"), Column("gap", f"gap {unit}, 95 of 100", True), Column("by", "driven by"))
    table = Table(
        "left-open",
        "Left open until here, the widest first",
        columns,
        tuple((j.name, j.gap, j.drivers) for j in left),
        ("offered up, scribed and cut or closed here; the page How sure the fit is has every joint",),
    )
    return [Rows(table, tick=True, below=("by",))]


def _stub_word(rack: Rack) -> str:
    """Return what the tubes from the feet up to the frame are called; "" where there are none."""
    words = {p.word for p in rack.placed}
    return "post" if "post" in words else "stub" if words & set(STUBS) else ""


def _made(rack: Rack) -> str:
    words = {p.word for p in rack.placed}
    made = ["bows"] if "bow" in words else ["hoops" if "frame hoop" in words else "rails", "cross bars"]
    return f"{', '.join(made).capitalize()} and plates are"


def _waits(rack: Rack) -> str:
    """Return what of a rack waits for the dry fit, with its verb."""
    words = {p.word for p in rack.placed}
    stub = _stub_word(rack)
    waits = [
        *([f"{stub}s"] if stub else []),
        *(["knee braces"] if "knee brace" in words else []),
        *(["the straps' fold", "wraps", "braces"] if "rear strap" in words else []),
        *(["the legs' ends"] if words & {"rear strap", "bow"} else []),
        *(["the ladder's standoffs"] if "ladder standoff" in words else []),
    ]
    return f"{', '.join(waits[:-1])} and {waits[-1]} wait" if len(waits) > 1 else f"{waits[0]} wait"


def _front(rack: Rack) -> float:
    """Return X of the frame's foremost outside, mm."""
    ahead = [
        float(p.frame.points(along(p.part.spine, evenly(p.part.spine, 20.0)).origins)[:, 0].min())
        - p.part.fitted.od / 2
        for p in rack.placed
        if p.id.startswith("frame.") and isinstance(p.part, BentTube)
    ]
    return min(ahead)


def _steps(rack: Rack, found: Installation, shop: Shop, unit: Unit) -> list[Block]:
    bed = f"{small(shop.bedding, unit)} {unit}"
    stub = _stub_word(rack)
    legs = " and ".join(dict.fromkeys(across(float(leg_over(rack, m)[1][1]), unit) for m in found.mounts if m.rear))
    steps = [
        "Vehicle on level ground, tyres right, empty. Cover the roof. Put the level on the datum, fore and aft and "
        "across, and write both readings down: they come off every other reading.",
        "Mark datum and middle on tape; draw each mount's place by the installation sheet.",
        *(FEET[kind].format(bed=bed) for kind in dict.fromkeys(m.kind for m in found.mounts) if kind in FEET),
        "Set the frame on blocks of the heights below, never on its mounts. Its front outside is "
        f"{fine(_front(rack), unit)} {unit} aft of the datum"
        + (f", the legs' axes {legs} of the middle." if legs else "."),
        "Level it as drawn; both diagonals from the legs' ends to two equal points of the front alike within "
        f"{fine(SQUARE, unit)} {unit}. Open hatch and doors fully.",
        *(
            [f"Measure the {stub}s' heights, cut the first {stub} by what is measured, offer it up, then the others."]
            if stub
            else []
        ),
        *([BOWS] if any(p.word == "bow" for p in rack.placed) else []),
        *([STRAPS] if any(m.rear is not None for m in found.mounts) else []),
        "Clamp everything in place. Feelers under every plate edge and at every cope. Hatch and doors once more.",
        "Scribe round every joint, three match marks across each, letter and side on every part with a paint pen, "
        "front arrow on every plate. Photograph each corner.",
        *(["Mark the legs' ends to be cut, square."] if any(m.rear is not None for m in found.mounts) else []),
    ]
    return [Heading("Order"), Ticks(tuple(steps), numbered=True)]


def _readings(vehicle: Vehicle, found: Installation, unit: Unit) -> Fields:
    rows: list[tuple[str, str]] = [
        ("Level at the datum, falls to the rear, deg", ""),
        ("Level at the datum, falls to the right, deg", ""),
    ]
    used = {m.name for m in found.mounts}
    for mount in vehicle.front:
        if mount.name in used:
            name = place_name(mount.name)
            aside, along_it = "left" if mount.roll < 0 else "right", "front" if mount.pitch < 0 else "rear"
            rows.append((f"{name}: skin falls to the {aside}, deg", degrees(abs(mount.roll))))
            rows.append((f"{name}: skin falls to the {along_it}, deg", degrees(abs(mount.pitch))))
    for mount in vehicle.rear:
        if mount.name in used:
            name = place_name(mount.name)
            rows.append((f"{name}: rear face leans forward at its top, deg", degrees(mount.lean)))
            rows.append((f"{name}: corner's radius seen from above, {unit}", fine(mount.corner_radius, unit)))
            rows.append((f"{name}: corner's begin to the shut line, {unit}", fine(mount.to_shut_line, unit)))
    for place in (p for p in vehicle.feet if p.name in used):
        rows += [(f"{place_name(place.name)}: {what}", value) for what, value in read_again(place, unit)]
    return Fields(tuple(rows), ("read", "less datum"), "The vehicle, read again", "by its file")


def _blocks(rack: Rack, found: Installation, vehicle: Vehicle, unit: Unit) -> Fields:
    """Return how high the frame's cross bars stand above the roof where blocks are set under them."""
    bars = sorted(
        (p for p in rack.placed if p.word in ("cross bar", "bow") and isinstance(p.part, BentTube)),
        key=lambda p: p.frame.origin[0],
    )
    rows: list[tuple[str, str]] = []
    for bar in dict.fromkeys((*bars[:1], *bars[-1:])):
        tube = bar.part
        assert isinstance(tube, BentTube)
        line = bar.frame.points(along(tube.spine, evenly(tube.spine, 5.0)).origins)
        reach = float(np.abs(line[:, 1]).max()) / 2
        for side, y in (("left", -reach), ("right", reach)):
            x, _, z = line[int(np.abs(line[:, 1] - y).argmin())]
            high = float(z) - tube.section.od / 2 - float(vehicle.roof.height(float(x), y))
            value = fine(high, unit) if np.isfinite(high) else "not over the measured roof"
            name = f"{bar.word.capitalize()} {fine(float(x), unit)} aft, {fine(reach, unit)} {side}"
            rows.append((f"{name}: underside to roof", value))
    for mount in found.mounts:
        if mount.rear is not None:
            tube, end = leg_over(rack, mount)
            assert isinstance(tube.part, BentTube)
            high = float(end[2]) - tube.part.fitted.od / 2 - mount.at[2]
            where = "where the body's flat begins"
            rows.append((f"Leg's end {mount.side}: underside above {where}", fine(high, unit)))
    return Fields(tuple(rows), ("measured",), f"The frame on its blocks, {unit}", "should be")


def _stubs(rack: Rack, found: Installation, shop: Shop, unit: Unit) -> Fields:
    named = marks(rack)
    bed = small(shop.bedding, unit)
    rows: list[tuple[str, str]] = []
    for mount in found.mounts:
        for stub in (s for word in STUBS for s in _of(rack, mount, word)):
            tube = stub.part
            assert isinstance(tube, BentTube)
            copes = [cut for end in (tube.end_a, tube.end_b) for cut in end if isinstance(cut, Cope)]
            if not copes:
                continue
            high = centre_length(tube) - copes[0].header_od / 2
            wall = tube.section.wall / 2
            most = max(wall, number("root-gap-look").value) if tube.section.wall >= 2.0 else wall
            name = f"{mount.letter} {place_name(mount.name)}"
            rows.append(
                (f"{name}: {named[stub.id]}, plate's top to the tube's underside on its axis", fine(high, unit))
            )
            rows.append(
                (
                    f"{name}: largest gap at the cope's root, offered up",
                    f"to {small(wall, unit)}, never over {small(most, unit)}",
                )
            )
            rows.append(
                (
                    f"{name}: largest gap under the plate's edges, spacers in",
                    f"{bed}, to {small(shop.bedding + FEELER, unit)}",
                )
            )
    return Fields(
        tuple(rows),
        ("measured", "cut to"),
        f"Stubs and plates, {unit}; off by more than {fine(WITHIN, unit)}: find out why first",
        "should be",
    )


def _of(rack: Rack, mount: Mount, word: str) -> list[Placed]:
    return [p for p in rack.placed if p.id.startswith(f"mount.{mount.name}.") and p.word == word]


def _corners(rack: Rack, found: Installation, vehicle: Vehicle, unit: Unit) -> list[Block]:
    named = marks(rack)
    front = _front(rack)
    out: list[Block] = []
    for mount in found.mounts:
        if mount.rear is None:
            continue
        rows: list[tuple[str, str]] = []
        for strap in _of(rack, mount, "rear strap"):
            bar = strap.part
            assert isinstance(bar, FoldedBar)
            for fold in bar.folds:
                rows.append((f"{named[strap.id]} strap: fold, deg off straight", degrees(abs(fold.angle))))
                rows.append((f"{named[strap.id]} strap: inside radius", radii(fold, unit)))
            heights = [float(f[:, 2].mean()) for f in flats(strap)]
            top_first = heights[0] >= heights[-1]
            names = ("top flat", "body flat") if top_first else ("body flat", "top flat")
            rows += [
                (f"{named[strap.id]} strap: {name} between bend tangents", fine(flat, unit))
                for name, flat in zip(names, (bar.flats[0], bar.flats[-1]), strict=True)
            ]
        for wrap in _of(rack, mount, "corner wrap"):
            bar = wrap.part
            assert isinstance(bar, FoldedBar)
            for fold in bar.folds:
                rows.append((f"{named[wrap.id]} wrap: inside radius, over the former", radii(fold, unit)))
                rows.append((f"{named[wrap.id]} wrap: fold, deg off straight", degrees(abs(fold.angle))))
            rows.append((f"{named[wrap.id]} wrap: flats", " and ".join(fine(f, unit) for f in sorted(bar.flats))))
        for brace in _of(rack, mount, "strap brace"):
            bar = brace.part
            assert isinstance(bar, FoldedBar)
            bevels = " and ".join(degrees(abs(end.bevel)) for end in (bar.end_a, bar.end_b))
            long = f"{fine(sum(bar.flats), unit)}, bevels {bevels} deg"
            rows.append((f"{named[brace.id]} brace: length at mid-thickness", long))
        rear = mount.rear
        rows.append(("Strap's edge to the shut line", fine(rear.strap[0] - rear.shut_line, unit)))
        rows.append(("Wrap's end to the shut line", fine(rear.wrap - rear.shut_line, unit)))
        tube, end = leg_over(rack, mount)
        rows.append(
            (f"{named[tube.id]} leg: front tube's outside to where the leg is cut", fine(float(end[0]) - front, unit))
        )
        title = f"{mount.letter} {place_name(mount.name)}, {unit}"
        out.append(Fields(tuple(rows), ("measured", "made to"), title, "should be"))
    return out


def _gaps(gaps: Sequence[RoofGap], unit: Unit) -> list[Block]:
    if not gaps:
        return []
    near = sorted(gaps, key=lambda g: (g.gap, g.part))[:SHOWN]
    on = ", basket set on for it" if any(g.part.startswith("basket.") for g in gaps) else ""
    title = f"Gap to the roof, nearest first{on}, {unit}"
    rows = tuple(
        (f"{g.mark} {part_name(g.word, g.part)}", f"{fine(g.gap, unit)}, at least {fine(g.wanted, unit)}") for g in near
    )
    return [
        Fields(rows, ("measured",), title, "by calculation"),
        Text("Numbers run from front to rear, then from left to right.", "small"),
    ]


def _off(found: Installation, shop: Shop) -> tuple[str, ...]:
    bed = f"{small(shop.bedding, shop.unit)} {shop.unit}"
    letters = ", ".join(m.letter for m in found.mounts)
    return (
        f"Every part of {letters} bears its letter, left or right, front arrow and three match marks a joint.",
        "Measured values written in. Within the limits above, stage 3 is cut and folded to what was measured. Beyond "
        "them nothing more is cut: the measured values go into the rack's or the vehicle's file, and this pack is made "
        "anew.",
        f"Clamps off, parts to the bench. Set the plates on a board at the angles measured, spacers of {bed} under "
        "them, and the frame on its blocks; tack to the match marks, check, then weld out.",
        "After welding, once more to the vehicle: it must lie on its spacers without being pushed.",
        "Then the load test, then coat; the holes in the body come last of all, by the installation sheet.",
    )
