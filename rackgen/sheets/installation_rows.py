"""The installation sheet as rows: mounts and clamps with their fasteners, and every hole with its place."""

from __future__ import annotations

import math

from rackgen.sheets.bolted_fittings import BoltedFitting
from rackgen.sheets.installation import Clamp, Hole, Installation, Mount
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import fine, size, small, torque
from rackgen.units import INCH, Unit, shown_step

ON = {"gutter": "gutter", "threads": "its own threads", "track": "track", "bed rail": "bed rail"}
"""What feet stand on that are not over a part of the roof, in words."""

UNDER = {"pillar": "pillar", "rail": "roof rail", "bow": "roof bow", "skin": "bare skin"}
"""What a vehicle's file calls the metal below the skin, in words."""

NOTES = (
    "aft: of the datum, level; across: from the middle of the vehicle, level, not round the crown",
    "a roof mount's place is the middle of its plate, a rear corner's the strap's middle where the body's flat begins, "
    "a clamp's the middle of its pad",
)


def place_name(name: str) -> str:
    """Return a name of the vehicle's file as words: "front left" for "front_left"."""
    return name.replace("_", " ")


def across(y: float, unit: Unit) -> str:
    """Return a place across: how far from the middle and to which side."""
    text = fine(abs(y), unit)
    return f"{text} {'left' if y < 0 else 'right'}" if abs(y) >= 0.25 else text


def down_to(mm: float, unit: Unit) -> str:
    """Return a length to 0.5 mm or 1/32 in, never more than it is: how far a drill may go."""
    step = shown_step(unit, fine=True) * (INCH if unit == "in" else 1.0)
    return fine(math.floor(mm / step + 1e-6) * step, unit)


def installation_table(found: Installation, unit: Unit) -> Table:
    """Return a row for each mount and kind of fastener, then for each clamp and each fitting that is bolted on."""
    columns = (
        Column("at", "at"),
        Column("mount", "mount"),
        Column("aft", f"aft {unit}", True),
        Column("across", f"across {unit}", True),
        Column("under", "under it"),
        Column("skin", f"skin {unit}", True),
        Column("drill", f"drill {unit}", True),
        Column("fastener", "fastener"),
        Column("count", "count", True),
        Column("grip", f"grip {unit}", True),
        Column("torque", "torque"),
    )
    rows = [row for mount in found.mounts for row in (*_mount_rows(mount, unit), *_drawn_rows(mount, unit))]
    rows += [_clamp_row(clamp, unit) for clamp in found.clamps]
    rows += [_fitting_row(fitting, unit) for fitting in found.fittings]
    return Table("installation", "Installation", columns, tuple(rows), (f"datum: {found.datum}", *NOTES))


def _mount_rows(mount: Mount, unit: Unit) -> list[tuple[str, ...]]:
    kinds = dict.fromkeys((h.fastener, h.drill, round(h.grip, 6)) for h in mount.holes)
    return [
        (
            mount.letter,
            place_name(mount.name),
            fine(mount.at[0], unit),
            across(mount.at[1], unit),
            on_what(mount),
            small(mount.skin, unit),
            "" if drill is None else size(drill, unit),
            fastener,
            str(sum((h.fastener, h.drill, round(h.grip, 6)) == (fastener, drill, grip) for h in mount.holes)),
            small(grip, unit),
            next((torque(d.torque, unit) for d in mount.drawn if d.bolt == fastener and d.torque is not None), ""),
        )
        for fastener, drill, grip in kinds
    ]


def on_what(mount: Mount) -> str:
    """Return what a mount stands on, or what is under it, in words."""
    return ON.get(mount.kind, UNDER[mount.under])


def _drawn_rows(mount: Mount, unit: Unit) -> list[tuple[str, ...]]:
    """Return a row for each kind of bolt for which nothing is drilled."""
    return [
        (
            mount.letter,
            place_name(mount.name),
            fine(mount.at[0], unit),
            across(mount.at[1], unit),
            on_what(mount),
            "",
            "none",
            d.bolt,
            str(d.count),
            small(d.grip, unit),
            "" if d.torque is None else torque(d.torque, unit),
        )
        for d in mount.drawn
        if not d.drilled
    ]


def _clamp_row(clamp: Clamp, unit: Unit) -> tuple[str, ...]:
    return (
        clamp.mark,
        f"clamp pad {clamp.side}",
        fine(clamp.at[0], unit),
        across(clamp.at[1], unit),
        "frame leg",
        "",
        "",
        clamp.bolt,
        str(len(clamp.bolts)),
        small(clamp.grip, unit),
        "" if clamp.torque is None else torque(clamp.torque, unit),
    )


def _fitting_row(fitting: BoltedFitting, unit: Unit) -> tuple[str, ...]:
    return (
        fitting.mark,
        fitting.word,
        fine(fitting.at[0], unit),
        across(fitting.at[1], unit),
        "the rack",
        "",
        "",
        fitting.fastener,
        str(fitting.count),
        small(fitting.grip, unit),
        "" if fitting.torque is None else torque(fitting.torque, unit),
    )


def holes_table(found: Installation, unit: Unit) -> Table:
    """Return a row for each hole, mount by mount in the order of drilling."""
    columns = (
        Column("hole", "hole"),
        Column("mount", "mount"),
        Column("face", "in"),
        Column("aft", f"aft {unit}", True),
        Column("across", f"across {unit}", True),
        Column("down", f"down {unit}", True),
        Column("drill", f"drill {unit}", True),
        Column("stop", f"drill stop {unit}", True),
        Column("grip", f"grip {unit}", True),
        Column("room", f"room {unit}", True),
        *((Column("basket", "basket"),) if found.basket else ()),
    )
    rows = [_hole_row(mount, hole, unit)[: len(columns)] for mount in found.mounts for hole in mount.holes]
    return Table("holes", "Holes in the body", columns, tuple(rows), (
        *(("down: on a rear corner, plumb, below where the body's flat begins",) if _cornered(found) else ()),
        "drill stop: how far the drill sticks out with the mount in place on its spacers: what is held and "
        f"{fine(3.0, unit)} {unit} more, never further",
        "room: from the hole's middle to the nearest tube that stays on, seen along the drill: half as wide as drill "
        "chuck and rivet gun may be",
        *(
            ("none: a tube stands over the hole; drill by the 1:1 template before the frame is set on",)
            if any(h.room is not None and h.room <= 0 for h in found.holes)
            else ()
        ),
        *(("basket off: the fitted basket covers the hole",) if found.basket else ()),
    ))  # fmt: skip


def _cornered(found: Installation) -> bool:
    return any(m.rear is not None for m in found.mounts)


def _hole_row(mount: Mount, hole: Hole, unit: Unit) -> tuple[str, ...]:
    words = {"roof": "roof", "rear": "rear face", "side": "body side"}
    return (
        hole.label,
        place_name(mount.name),
        "bed rail" if mount.kind == "bed rail" else words[hole.face],
        fine(hole.at[0], unit),
        across(hole.at[1], unit),
        "" if mount.rear is None else fine(mount.at[2] - hole.at[2], unit),
        "" if hole.drill is None else size(hole.drill, unit),
        down_to(hole.stop, unit),
        small(hole.grip, unit),
        "" if hole.room is None else "none" if hole.room <= 0 else fine(hole.room, unit),
        "off" if hole.covered else "",
    )
