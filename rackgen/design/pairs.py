"""Left and right alike: two partner mounts get the same parts where the skin under them is alike.

It is alike where a tape cannot tell one side from the other; where it can, mounts are moved a little within their zones
to where it cannot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rackgen.design.choose import Choice
from rackgen.design.seat import Carrier, outermost
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Array
from rackgen.spec.foot_place import zone_of
from rackgen.spec.rack import RackSpec

TAPE = 1.0
MOVE = 5.0
FOOT = (60.0, 50.0)
"""How far the skin may differ from left to right and still be taken as one, what a tape on a roof gives; the steps in
which mounts are moved; how far from its middle a plate's corners are looked at, mm (common practice, no source)."""


@dataclass(frozen=True)
class _Move:
    """Moves of two partners: both fore and aft with their bar, then each along its tube, mm."""

    bar: float
    left: float
    right: float

    @property
    def cost(self) -> tuple[float, ...]:
        """Least first: the farthest of the moves, symmetrical ones before others, along the tube before the bar's."""
        far = max(abs(self.bar), abs(self.left), abs(self.right))
        return far, abs(self.left - self.right), abs(self.bar), self.left, self.right, self.bar


def alike(
    spec: RackSpec,
    choice: Choice,
    leg_y: float,
    front_x: float,
    bars: tuple[float, ...],
    carriers: tuple[Carrier, ...],
) -> tuple[tuple[float, ...], tuple[Carrier, ...], tuple[Finding, ...]]:
    """Return bars and carriers after the moves that make left and right alike, and notes of what was done.

    A rack that is to lie out of level has unlike sides, and keeps its mounts.
    """
    if spec.frame.roll != 0:
        return bars, carriers, ()
    row, found, notes = list(bars), list(carriers), list[Finding]()
    for i, left in enumerate(carriers):
        names = left.mount.name, left.mount.name.replace("left", "right")
        partner = next((k for k, c in enumerate(carriers) if c.mount.name == names[1] != names[0]), None)
        if partner is None or left.kind != carriers[partner].kind or left.bar != carriers[partner].bar:
            continue
        right = carriers[partner]
        left_skin, right_skin = left.skin, right.skin
        if left_skin is None or right_skin is None:
            continue
        alone = left.kind == "bar" and spec.frame.cross_bars is None and _only(left, right, carriers)
        move, off = _moves(choice, leg_y, front_x, bars, left, right, free_bar=alone)
        if move is None:
            notes.append(_unlike(left, right, off))
            continue
        if alone:
            row[left.bar] += move.bar
        left, right = (moved(c, move.bar, along) for c, along in ((left, move.left), (right, move.right)))
        if off > 1e-6:
            apart, total = right.x - left.x, left.y + right.y
            found[i] = replace(left, skin=replace(left_skin, mirror=right_skin, across=(apart, total)))
            found[partner] = replace(right, skin=replace(right_skin, mirror=left_skin, across=(-apart, total)))
            notes.append(_averaged(left, right, off, move))
    return tuple(row), tuple(found), tuple(notes)


def _only(left: Carrier, right: Carrier, carriers: Sequence[Carrier]) -> bool:
    """Return whether a bar carries these two mounts and no others."""
    return all(c in (left, right) for c in carriers if c.bar == left.bar)


def moved(carrier: Carrier, bar: float, along: float) -> Carrier:
    """Return a carrier moved with its bar, and along its tube: outboard on a bar, aft on a leg."""
    if carrier.kind == "leg":
        return replace(carrier, x=carrier.x + along)
    return replace(carrier, x=carrier.x + bar, y=carrier.y + float(np.sign(carrier.y)) * along)


def _moves(
    choice: Choice,
    leg_y: float,
    front_x: float,
    bars: tuple[float, ...],
    left: Carrier,
    right: Carrier,
    *,
    free_bar: bool,
) -> tuple[_Move | None, float]:
    """Return the least move after which left and right are alike, None without one, and how far they differ then."""
    still = _feet(front_x, [left]), _feet(front_x, [right])
    off = float(np.abs(still[0] - still[1]).max())
    if off < TAPE:
        return _Move(0.0, 0.0, 0.0), off
    fore_aft = _steps(min(zone_of(left.mount)[0], zone_of(right.mount)[0])) if free_bar else (0.0,)
    rows = [
        b for b in fore_aft if all(abs(front_x + c.x + b - c.mount.at[0]) <= zone_of(c.mount)[0] for c in (left, right))
    ]
    along = [steps_along(choice, leg_y, front_x, bars, c) for c in (left, right)]
    best: tuple[tuple[float, ...], _Move, float] | None = None
    one, other = (
        _feet(front_x, [moved(c, b, a) for b in rows for a in steps]).reshape(len(rows), len(steps), -1)
        for c, steps in zip((left, right), along, strict=True)
    )
    for n, b in enumerate(rows):
        apart = np.abs(one[n][:, None, :] - other[n][None, :, :]).max(axis=2)
        for i, k in np.argwhere(apart < TAPE).tolist():
            move = _Move(b, along[0][i], along[1][k])
            if best is None or move.cost < best[0]:
                best = move.cost, move, float(apart[i, k])
    return (None, off) if best is None else best[1:]


def _steps(zone: float) -> tuple[float, ...]:
    most = int(zone // MOVE)
    return tuple(MOVE * k for k in range(-most, most + 1))


def steps_along(choice: Choice, leg_y: float, front_x: float, bars: tuple[float, ...], c: Carrier) -> list[float]:
    """Return how far a mount may move along its tube, in steps, within its zone and clear of what else is there."""
    out: list[float] = []
    od, clr = choice.frame_od, choice.frame_die.clr
    zone_x, zone_y = zone_of(c.mount)
    for step in _steps(2 * max(zone_x, zone_y)):
        there = moved(c, 0.0, step)
        if c.kind == "leg":
            within = abs(front_x + there.x - c.mount.at[0]) <= zone_x
            clear = there.x >= clr + od and all(abs(there.x - bar) >= 2 * od for bar in bars)
        else:
            within = abs(there.y - c.mount.at[1]) <= zone_y
            most = outermost(c.mount, choice, leg_y) if c.kind == "bar" else leg_y - clr - od
            clear = abs(there.y) <= max(most, abs(c.y)) and there.y * c.y > 0
        if step == 0.0 or (within and clear):
            out.append(step)
    return out


def _feet(front_x: float, places: Sequence[Carrier]) -> Array:
    """Return the heights of the skin at nine places under a plate, from its front inboard corner on, mm.

    Args:
        front_x: X of the rack's front tube.
        places: one mount at one place or more; a row of heights each.
    """
    grid = np.array([(i * FOOT[0], k * FOOT[1]) for i in (-1, 0, 1) for k in (-1, 0, 1)])
    out = np.sign(places[0].y)
    x = np.array([front_x + c.x for c in places])[:, None] + grid[:, 0]
    y = np.array([c.y for c in places])[:, None] + out * grid[:, 1]
    skin = places[0].skin
    assert skin is not None, "only plates on the roof are held alike"
    return skin.height(x, y)


def _averaged(left: Carrier, right: Carrier, off: float, move: _Move) -> Finding:
    names = left.mount.name, right.mount.name
    ways = ("aft", "forward") if left.kind == "leg" else ("outboard", "inboard")
    moves = [
        f"{name} is moved {abs(far):.0f} mm {ways[far < 0]}"
        for name, far in zip(names, (move.left, move.right), strict=True)
        if far != 0
    ]
    if move.bar != 0:
        moves.append(f"both are moved {abs(move.bar):.0f} mm {'aft' if move.bar > 0 else 'forward'} with their bar")
    return Finding(
        "sides-alike",
        Level.NOTE,
        tuple(f"mount.{name}.saddle" for name in names),
        f"{'; '.join([*moves, ''])}under {names[0]} and {names[1]} the skin differs by up to {off:.1f} mm, as a tape "
        "may read it: plates and saddles are made alike, to the mean",
        at=left.mount.at,
        got=off,
        limit=TAPE,
        keys=tuple(f"mounts.{name}" for name in names),
    )


def _unlike(left: Carrier, right: Carrier, off: float) -> Finding:
    names = left.mount.name, right.mount.name
    return Finding(
        "sides-unlike",
        Level.NOTE,
        tuple(f"mount.{name}.saddle" for name in names),
        f"under {names[0]} and {names[1]} the skin differs by up to {off:.1f} mm, and no move within their zones makes "
        "it alike: their plates and saddles differ",
        at=left.mount.at,
        got=off,
        limit=TAPE,
        keys=tuple(f"mounts.{name}" for name in names),
    )
