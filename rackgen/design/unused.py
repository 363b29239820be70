"""What a rack file says of parts that the rack has none of: said, so that nobody counts on it."""

from __future__ import annotations

from collections.abc import Iterable

from rackgen.errors import Finding, Level
from rackgen.parts.rack import Group
from rackgen.spec.rack import MountWish, RackSpec

ON_ROOF = ("mount plate",)
FLAT = (*ON_ROOF, "foot pad", "track bracket", "rail plate")
"""Words of the plates on the roof, and of all plates that feet stand on."""


def unused(spec: RackSpec, groups: Iterable[Group]) -> Group:
    """Return notes of wishes for the plates of mounts on a rack whose feet have none, as a group without parts."""
    words = {member.word for group in groups for member in group.members}
    mounts, usual = spec.mounts, MountWish()
    wishes = (
        ("plate", mounts.plate != usual.plate, FLAT, "no foot of this rack stands on a plate"),
        ("plate_rivets", mounts.plate_rivets != usual.plate_rivets, ON_ROOF, "no plate of this rack lies on the roof"),
        ("fastener", mounts.fastener != usual.fastener, ON_ROOF, "no plate of this rack lies on the roof"),
    )
    return Group((), (), {}, tuple(_note(key, why) for key, asked, of, why in wishes if asked and words.isdisjoint(of)))


def _note(key: str, why: str) -> Finding:
    return Finding(
        "not-used",
        Level.NOTE,
        (),
        f"{key} under [mounts] is said and {why}: nothing is made by it",
        keys=(f"mounts.{key}",),
        help="leave it out",
    )
