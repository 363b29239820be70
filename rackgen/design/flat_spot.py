"""Where in its zone a mount's plate lies on the roof: off ribs and dents, if there is such a place."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rackgen.design.breaks import GAP, breaks_for
from rackgen.design.choose import Choice
from rackgen.design.pairs import FOOT, moved, steps_along
from rackgen.design.seat import Carrier
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame, unit

CLEAR = 0.3
"""A mount is moved to where its plate's gap is smaller by at least this, mm: less no bedding knows of (common practice,
no source)."""


def flattest(
    choice: Choice, leg_y: float, front_x: float, bars: tuple[float, ...], carriers: tuple[Carrier, ...]
) -> tuple[tuple[Carrier, ...], tuple[Finding, ...]]:
    """Return the mounts, those whose plates stand open moved along their tubes, and a note of each move.

    A plate that stands open by less than needs saying stays where it was measured. Another goes to the nearest place in
    its zone where that is so, or else to where it stands open least.
    """
    found: list[Carrier] = []
    notes: list[Finding] = []
    for carrier in carriers:
        was = open_by(front_x, carrier)
        best, gap, far = carrier, was, 0.0
        if was >= GAP:
            for step in sorted(steps_along(choice, leg_y, front_x, bars, carrier), key=abs):
                there = moved(carrier, 0.0, step)
                off = open_by(front_x, there)
                if off < gap - CLEAR:
                    best, gap, far = there, off, step
                if off < GAP:
                    break
        found.append(best)
        notes += _told(carrier, far, was, gap)
    return tuple(found), tuple(notes)


def open_by(front_x: float, carrier: Carrier) -> float:
    """Return how far a mount's plate stands open to the skin at the most, mm; 0 where the skin was not measured."""
    if carrier.skin is None:
        return 0.0
    spot = front_x + carrier.x, carrier.y
    zx, zy = carrier.skin.slopes(*spot)
    across = np.array((0.0, 1.0, 0.0) if carrier.kind == "leg" else (1.0, 0.0, 0.0))
    n = unit((-zx, -zy, 1.0))
    frame = Frame.of((*spot, float(carrier.skin.height(*spot))), across - float(across @ n) * n, n)
    return max((gap for _, gap in breaks_for(carrier.skin.height, frame, *FOOT, 0.0)[1]), default=0.0)


def _told(carrier: Carrier, far: float, was: float, gap: float) -> Iterator[Finding]:
    if far == 0.0:
        return
    way = ("aft", "forward") if carrier.kind == "leg" else ("outboard", "inboard")
    name = carrier.mount.name
    yield Finding(
        "mount-moved",
        Level.NOTE,
        (f"mount.{name}.saddle",),
        f"{name} is moved {abs(far):.0f} mm {way[far < 0]} in its zone: its plate stands open by {gap:.1f} mm at "
        f"the most there, not {was:.1f}",
        at=carrier.mount.at,
        got=gap,
        limit=GAP,
        keys=(f"mounts.{name}",),
    )
