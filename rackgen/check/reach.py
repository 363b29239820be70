"""Whether drill, rivet gun and spanner reach what they have to: mount holes, U-bolt nuts, and metal under the skin."""

from __future__ import annotations

import numpy as np

from rackgen.design.stands import STUBS
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Array, Vec
from rackgen.mesh.plate import lifted
from rackgen.mesh.sweep import along, evenly
from rackgen.parts.kinds import BentTube, BoltShape, Bought, CutPlate, UBoltShape
from rackgen.parts.rack import Placed, Rack
from rackgen.refs.registry import number
from rackgen.spec.vehicle import Vehicle

MOUNT_PLATE = "mount plate"
RAIL_PLATE = "rail plate"
BACKING = "backing"
"""Words of the parts that this check looks for."""

STEP = 4.0
"""Spacing along a tube's centreline at which the view is looked through, mm."""

SPANNER = 0.9
"""Radius of a ring spanner's head, in widths of the nut across its flats (common practice, no source)."""

SOCKET = 0.62
"""Radius that even a thin socket needs, in widths across flats: the nut's corners and a wall (common practice)."""

ABOVE_LEG = 15.0
"""How far above a leg's end a ring spanner is lifted to come off, mm (common practice, no source)."""


Tube = tuple[Placed, float, Array]


def reach_findings(rack: Rack, vehicle: Vehicle) -> list[Finding]:
    """Return holes, nuts and mounts that cannot be reached or have nothing behind them."""
    out: list[Finding] = []
    tubes = _centrelines(rack)
    for placed in rack.placed:
        if isinstance(placed.part, CutPlate) and placed.word == MOUNT_PLATE:
            out += _holes(placed, placed.part, tubes)
        if isinstance(placed.part, CutPlate) and placed.word == RAIL_PLATE:
            out += _low(placed, placed.part, tubes)
        if isinstance(placed.part, Bought) and isinstance(placed.part.shape, UBoltShape):
            out += _nuts(placed, placed.part.shape, tubes)
        if isinstance(placed.part, Bought) and isinstance(placed.part.shape, BoltShape):
            out += _head(placed, placed.part.shape, tubes)
    return out + _backing(rack, vehicle)


def _centrelines(rack: Rack) -> list[Tube]:
    """Return every tube with its outside radius and points of its centreline, vehicle frame, mm."""
    return [
        (p, p.part.fitted.od / 2, p.frame.points(along(p.part.spine, evenly(p.part.spine, STEP)).origins))
        for p in rack.placed
        if isinstance(p.part, BentTube)
    ]


def _holes(plate: Placed, part: CutPlate, tubes: list[Tube]) -> list[Finding]:
    """Hold a mount's holes clear of the stub on it and of the tubes over it that are there when they are drilled."""
    stub_room, tube_room = number("drill-clear-stub"), number("drill-clear-tube")
    worst: dict[str, Finding] = {}
    covered = False
    for hole in part.holes:
        top = plate.frame.points(lifted(part, np.array([[hole.x, hole.y]]), part.thickness))[0]
        low = plate.frame.points(lifted(part, np.array([[hole.x, hole.y]]), 0.0))[0]
        if top[2] < low[2]:
            # Canonical parts may lie face down; a roof's holes are drilled from above all the same.
            top, low = low, top
        axis = (top - low) / np.linalg.norm(top - low)
        for tube, radius, line in tubes:
            stub = tube.word in STUBS
            if stub and _mount(tube) != _mount(plate):
                continue
            off = line - top
            up = off @ axis
            above = up > 0
            if not above.any():
                continue
            beside = float(np.linalg.norm(off[above] - up[above, None] * axis, axis=1).min())
            rule = stub_room if stub else tube_room
            clear = beside - radius
            if clear >= rule.value - 0.05:
                continue
            if tube.id.startswith("basket."):
                covered = True
                continue
            finding = Finding(
                "hole-behind-tube",
                Level.STOP if clear < hole.diameter / 2 else Level.LOOK,
                (plate.id, tube.id),
                f"a hole of {plate.word} {plate.id} is {clear:.1f} mm clear of {tube.word} {tube.id}, "
                f"seen along the drill; {rule.value:g} mm is wanted",
                at=(float(top[0]), float(top[1]), float(top[2])),
                got=clear,
                limit=rule.value,
                source=rule.cited,
                help=f"move the holes {rule.value - clear:.0f} mm further out on a larger plate",
            )
            if tube.id not in worst or clear < (worst[tube.id].got or 0.0):
                worst[tube.id] = finding
    out = list(worst.values())
    if covered:
        out.append(
            Finding(
                "hole-under-basket",
                Level.NOTE,
                (plate.id,),
                f"the fitted basket covers holes of the {plate.word} {_where(plate)}; take it off to get at them",
                at=plate.frame.origin,
            )
        )
    return out


def _low(plate: Placed, part: CutPlate, tubes: list[Tube]) -> list[Finding]:
    """Return a note where a rail runs so low over a foot's holes that no drill goes between."""
    room = number("drill-long")
    lowest = float("inf")
    for hole in part.holes:
        top = np.asarray(plate.frame.point((hole.x, hole.y, part.thickness)))
        low = np.asarray(plate.frame.point((hole.x, hole.y, 0.0)))
        top, axis = (top, (top - low) / part.thickness) if top[2] > low[2] else (low, (low - top) / part.thickness)
        for tube, radius, line in tubes:
            off = line - top
            up = off @ axis
            over = (up > 0) & (np.linalg.norm(off - up[:, None] * axis, axis=1) < radius + hole.diameter / 2)
            if tube.word not in STUBS and over.any():
                lowest = min(lowest, float(up[over].min()) - radius)
    if lowest >= room.value:
        return []
    return [
        Finding(
            "low-for-drill", Level.NOTE, (plate.id,),
            f"a tube stands {lowest:.0f} mm over the holes of {plate.word} {plate.id}; a drill with its bit takes "
            f"{room.value:.0f}",
            at=plate.frame.origin, got=lowest, limit=room.value, source=room.cited, keys=("frame.height",),
            help="drill by the 1:1 template before the frame is set on, or with an angle head",
        )
    ]  # fmt: skip


def _mount(placed: Placed) -> str:
    """Return the mount that a part belongs to: "mount.front_left" of "mount.front_left.plate"."""
    return placed.id.rsplit(".", 1)[0]


def _where(placed: Placed) -> str:
    """Return where a part's mount is, in words: "front left"."""
    return _mount(placed).removeprefix("mount.").replace("_", " ").replace(".", " ")


def _nuts(bolt: Placed, shape: UBoltShape, tubes: list[Tube]) -> list[Finding]:
    """Hold a ring spanner's circle clear of every tube, from the washers' seat to above the leg's end."""
    half = (shape.inside_width + shape.rod) / 2
    low, high = shape.seat, shape.leg - shape.drop + ABOVE_LEG
    wanted, least = SPANNER * shape.nut_across, SOCKET * shape.nut_across
    out: list[Finding] = []
    for tube, radius, line in tubes:
        p = bolt.frame.to_local(line)
        # How far the tube's section reaches beside its axis at the nearest height of the spanner's way.
        off = np.maximum(0.0, np.maximum(low - p[:, 2], p[:, 2] - high))
        inside = off < radius
        if not inside.any():
            continue
        width = np.sqrt(np.maximum(radius**2 - off[inside] ** 2, 0.0))
        for side in (half, -half):
            clear = float((np.hypot(p[inside, 0], p[inside, 1] - side) - width).min())
            if clear < wanted - 0.05:
                at = bolt.frame.point((0.0, side, shape.seat + shape.washer_thickness))
                out.append(_nut(bolt, tube, clear, wanted, least, at))
    return out


def _head(bolt: Placed, shape: BoltShape, tubes: list[Tube]) -> list[Finding]:
    """Hold a ring spanner's circle round a bolt's head clear of every tube, up to where it comes off the head."""
    low, high = 0.0, shape.washer_thickness + shape.head_height + ABOVE_LEG
    wanted, least = SPANNER * shape.head_across, SOCKET * shape.head_across
    out: list[Finding] = []
    for tube, radius, line in tubes:
        p = bolt.frame.to_local(line)
        off = np.maximum(0.0, np.maximum(low - p[:, 2], p[:, 2] - high))
        inside = off < radius
        if not inside.any():
            continue
        width = np.sqrt(np.maximum(radius**2 - off[inside] ** 2, 0.0))
        clear = float((np.hypot(p[inside, 0], p[inside, 1]) - width).min())
        if clear < wanted - 0.05:
            out.append(
                Finding(
                    "bolt-out-of-reach",
                    Level.STOP if clear < least else Level.LOOK,
                    (bolt.id, tube.id),
                    f"the head of {bolt.id} has {clear:.1f} mm from its axis to {tube.word} {tube.id}; a ring spanner "
                    f"needs {wanted:.1f} mm",
                    at=bolt.frame.origin,
                    got=clear,
                    limit=wanted,
                    keys=_fitting(bolt, tube) or (f"mounts.{bolt.id.split('.')[1]}",),
                    help=_apart(bolt, tube, wanted - clear)
                    or f"move the tube {wanted - clear:.0f} mm away, or stand the stub higher",
                )
            )
    return out


def _nut(bolt: Placed, tube: Placed, clear: float, wanted: float, least: float, at: Vec) -> Finding:
    return Finding(
        "nut-out-of-reach",
        Level.STOP if clear < least else Level.LOOK,
        (bolt.id, tube.id),
        f"a nut of {bolt.id} has {clear:.1f} mm from its axis to {tube.word} {tube.id}; "
        f"a ring spanner needs {wanted:.1f} mm",
        at=at,
        got=clear,
        limit=wanted,
        keys=_fitting(bolt, tube) or ("frame.width", "basket.width"),
        help=_apart(bolt, tube, wanted - clear) or f"move the leg {wanted - clear:.0f} mm further out",
    )


def _fitting(bolt: Placed, tube: Placed) -> tuple[str, ...]:
    """Return the keys of the fittings that a bolt or the tube beside it belongs to; none of a rack's own."""
    return tuple(dict.fromkeys(p.id.split(".")[0] for p in (bolt, tube) if p.id.startswith("fitting[")))


def _apart(bolt: Placed, tube: Placed, by: float) -> str:
    """Return what to do where a fitting stands in a spanner's way; "" where none does."""
    return f"move the fitting, or what stands beside it, {by:.0f} mm" if _fitting(bolt, tube) else ""


def _backing(rack: Rack, vehicle: Vehicle) -> list[Finding]:
    """Refuse a mount on bare skin that has no backing plate under it."""
    out: list[Finding] = []
    backed = {_mount(p) for p in rack.placed if BACKING in p.word}
    used = {_mount(p): p for p in rack.placed if p.id.startswith("mount.") and p.id.count(".") >= 2}
    for mount in (*vehicle.front, *vehicle.rear):
        name = f"mount.{mount.name}"
        if mount.under != "skin" or name not in used or name in backed:
            continue
        out.append(
            Finding(
                "bare-skin",
                Level.STOP,
                (used[name].id,),
                f"{mount.name} has nothing but {mount.skin:g} mm of skin under it",
                at=mount.at,
                got=mount.skin,
                keys=(f"mounts.{mount.name}.under",),
                help="move the mount over a pillar, rail or roof bow, or put a backing plate under the skin",
            )
        )
    return out
