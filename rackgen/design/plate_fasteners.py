"""What holds a plate on the roof: blind rivets, bolts into rivet nuts, or bolts through backing strips behind it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rackgen.design.bolts import hole_for, in_rivet_nut, nutted, shelf_bolt, shelf_rivet_nut, stout_bolt
from rackgen.design.choose import thickness
from rackgen.design.rivets import set_rivet
from rackgen.design.site import Site
from rackgen.errors import Finding, Level
from rackgen.geom.breaks import folded_frame
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.parts.kinds import Bought, CutPlate, PlateHole
from rackgen.parts.rack import Joint, OnFace, Placed
from rackgen.spec.foot_place import FrontMount

LEAST_THREAD = 6.0
BESIDE_HOLE = 14.0
CORNER = 6.0
BETWEEN = 0.5
"""Thinnest bolt of a plate on the roof; how far a backing strip goes beyond its holes, its corners, and how far it ends
from the middle between it and the next one across a break; mm (common practice, no source)."""

CLOSED = ("pillar", "rail")
"""What is closed all round: no hand gets a nut or a backing strip in there."""


@dataclass(frozen=True)
class Held:
    """The fasteners of a plate.

    Attributes:
        members: fasteners, and backing where there is any.
        joints: between them and the plate.
        findings: what could not be had.
    """

    members: tuple[Placed, ...]
    joints: tuple[Joint, ...]
    findings: tuple[Finding, ...]


def plate_hole(site: Site, mount: FrontMount) -> float:
    """Return the diameter of the holes in a plate on the roof, mm.

    Raises:
        BadInput: the shop has not what is asked for.
    """
    where = f"the plate at {mount.name}"
    match site.spec.mounts.fastener:
        case "rivets":
            return site.choice.rivet.hole
        case "rivet nuts":
            return hole_for(shelf_rivet_nut(site.shop, LEAST_THREAD, mount.skin, where).thread)
        case "bolts":
            return hole_for(stout_bolt(site.shop, LEAST_THREAD, where).diameter)


def hold(site: Site, name: str, plate: Placed, mount: FrontMount) -> Held:
    """Return what holds a plate on the roof.

    Raises:
        BadInput: the shop has not what is asked for.
    """
    part = plate.part
    assert isinstance(part, CutPlate)
    stack = thickness(part.stock) + site.shop.bedding + mount.skin
    where = f"the plate at {mount.name}"
    match site.spec.mounts.fastener:
        case "rivets":
            item, findings = set_rivet(site.shop, site.choice, stack, plate.id)
            return Held(*_set(name, "rivet", plate, part, item), findings)
        case "rivet nuts":
            nut = shelf_rivet_nut(site.shop, LEAST_THREAD, mount.skin, where)
            bolt = shelf_bolt(site.shop, nut.thread, where)
            return Held(*_set(name, "bolt", plate, part, in_rivet_nut(site.shop, bolt, stack, nut, where)), ())
        case "bolts":
            bolt = stout_bolt(site.shop, LEAST_THREAD, where)
            item = nutted(site.shop, bolt, stack + thickness(part.stock), where)
            bolts, joints = _set(name, "bolt", plate, part, item)
            backing = _backing(site, name, plate, part, mount)
            joints = (*joints, *_behind(bolts, backing, part, item))
            return Held((*bolts, *backing), joints, _no_way_in(plate, mount))


def _at(plate: Placed, part: CutPlate, hole: PlateHole) -> Frame:
    """Return the frame of the plate's piece that a hole is in."""
    return plate.frame.then(folded_frame(part.breaks, part.thickness, hole.x, hole.y))


def _set(
    name: str, word: str, plate: Placed, part: CutPlate, item: Bought
) -> tuple[tuple[Placed, ...], tuple[Joint, ...]]:
    kind = "rivets" if word == "rivet" else "bolts"
    members: list[Placed] = []
    joints: list[Joint] = []
    for i, hole in enumerate(part.holes):
        one = Placed(
            f"{name}.{word}[{i + 1}]", item, _at(plate, part, hole).moved((hole.x, hole.y, part.thickness)), word, 0
        )
        members.append(one)
        joints += [
            Joint(one.id, kind, OnFace(one.id, "bottom", 0, 0), OnFace(plate.id, "top", hole.x, hole.y), None, 0,
                  "vehicle", item.name),
            Joint(f"{one.id}.bedding", "contact", OnFace(one.id, "bottom", 0, 0),
                  OnFace(f"{name}.bedding", "top", hole.x, hole.y), None, 0, "vehicle", "through the bedding"),
        ]  # fmt: skip
    return tuple(members), tuple(joints)


def _strips(part: CutPlate) -> list[list[PlateHole]]:
    """Return the holes that lie on one flat of the plate and in one row, row by row."""
    rows: dict[tuple[float, Frame], list[PlateHole]] = {}
    for hole in part.holes:
        rows.setdefault((hole.x, folded_frame(part.breaks, part.thickness, hole.x, hole.y)), []).append(hole)
    return list(rows.values())


def _backing(site: Site, name: str, plate: Placed, part: CutPlate, mount: FrontMount) -> tuple[Placed, ...]:
    """Return a strip of the plate's own stock under the skin for each row of holes on one of its flats."""
    down = site.shop.bedding + mount.skin + part.thickness
    out: list[Placed] = []
    for i, row in enumerate(_strips(part)):
        # Across a break the next strip begins: each ends half way between the holes on either side of it.
        ys = [h.y for h in part.holes if h.x == row[0].x]
        low, high = min(h.y for h in row), max(h.y for h in row)
        below = max((y for y in ys if y < low), default=-math.inf)
        above = min((y for y in ys if y > high), default=math.inf)
        low = max(low - BESIDE_HOLE, (below + low) / 2 + BETWEEN)
        high = min(high + BESIDE_HOLE, (high + above) / 2 - BETWEEN)
        border = rectangle(2 * BESIDE_HOLE, high - low, CORNER, (row[0].x, (low + high) / 2))
        strip = CutPlate(part.stock, border, tuple(row))
        frame = _at(plate, part, row[0]).moved((0.0, 0.0, -down))
        out.append(Placed(f"{name}.backing[{i + 1}]", strip, frame, "backing strip", 2))
    return tuple(out)


def _behind(bolts: Sequence[Placed], backing: Sequence[Placed], part: CutPlate, item: Bought) -> tuple[Joint, ...]:
    joints: list[Joint] = []
    for bolt, hole in zip(bolts, part.holes, strict=True):
        strip = next(s for s in backing if isinstance(s.part, CutPlate) and hole in s.part.holes)
        joints.append(
            Joint(f"{bolt.id}.backing", "bolts", OnFace(bolt.id, "bottom", 0, 0),
                  OnFace(strip.id, "bottom", hole.x, hole.y), None, 0, "vehicle", item.name)
        )  # fmt: skip
    return tuple(joints)


def _no_way_in(plate: Placed, mount: FrontMount) -> tuple[Finding, ...]:
    if mount.under not in CLOSED:
        return ()
    return (
        Finding(
            "nut-inside-closed",
            Level.STOP,
            (plate.id,),
            f"under {mount.name} is a {'roof rail' if mount.under == 'rail' else mount.under}, closed all round: no "
            "hand gets a nut in there",
            at=mount.at,
            keys=("mounts.fastener", f"mounts.{mount.name}.under"),
            help='set fastener = "rivet nuts" or "rivets" under [mounts]; both are set from outside',
        ),
    )
