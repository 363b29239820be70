"""A rack pulled apart: how far each part is moved so that all are seen, for pictures and the live view.

Groups go apart as they are put together: the frame stays, what stands on it goes up, what it stands on goes down.
Within its group a part goes away from the group's middle, and what is bought goes along its own axis besides.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from rackgen.geom.frame import Array, Vec, vec
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar
from rackgen.parts.measure import centroid
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.spec.stock import Panel

LIFT = 0.32
"""By how much groups go apart up and down, of the rack's longest side."""

SPREAD = 0.22
"""By how much a part goes away from its group's middle, of its distance from there."""

ALONG = 60.0
"""By how much a bought part goes along its own axis, mm."""

INBOARD: Mapping[str, float] = {"gutter clamp": 90.0, "gutter heel": 45.0}
UNDER = 60.0
"""By how much what lies inside a jaw goes out of it toward the middle, and what backs a plate goes down, mm."""

LEVELS: Mapping[str, float] = {"basket": 1.0, "frame": 0.0, "mount": -0.55, "foot": -0.55}
"""Of `LIFT`, by the first word of a part's id."""


def apart(rack: Rack) -> Mapping[PartId, Vec]:
    """Return by how much each part is moved, mm, vehicle frame, when the rack is wholly pulled apart."""
    if not rack.placed:
        return {}
    middles = {p.id: np.asarray(p.frame.point(centroid(p.part))) for p in rack.placed}
    every = np.array(list(middles.values()))
    long = max(float(np.ptp(every, axis=0).max()), 300.0)
    groups: dict[str, list[PartId]] = {}
    for placed in rack.placed:
        groups.setdefault(_group(placed.id), []).append(placed.id)
    centres = {name: np.mean([middles[p] for p in of], axis=0) for name, of in groups.items()}
    whole = every.mean(axis=0)
    out: dict[PartId, Vec] = {}
    for placed in rack.placed:
        name = _group(placed.id)
        away = centres[name] - whole
        away[2] = 0.0
        move = SPREAD * away + SPREAD * 2.0 * (middles[placed.id] - centres[name])
        move[2] += long * LIFT * LEVELS.get(placed.id.partition(".")[0], 0.0) + _floor(placed, long)
        out[placed.id] = vec(move + _axis(placed) + _within(placed, middles[placed.id]))
    return out


def _group(part: PartId) -> str:
    """Return what a part goes with: each mount and clamp by itself, basket and frame as a whole."""
    words = part.split(".")
    return ".".join(words[:2]) if words[0] in ("mount", "foot") or "clamp" in words[1:2] else words[0]


def _floor(placed: Placed, long: float) -> float:
    """Return by how much floors and strips are lifted besides, since they lie on what they would hide, mm."""
    if isinstance(placed.part, CutPlate) and isinstance(placed.part.stock.section, Panel):
        return 0.25 * long
    if isinstance(placed.part, FoldedBar) and "strip" in placed.word:
        return 0.33 * long
    return 0.14 * long if isinstance(placed.part, BentTube) and ".upper." in placed.id else 0.0


def _within(placed: Placed, middle: Array) -> Array:
    """Return how a part of a foot goes off that another part of it would hide, mm: inboard, or down under the sheet."""
    inboard = INBOARD.get(placed.word, 0.0) * -np.sign(middle[1])
    return np.array([0.0, inboard, -UNDER if "backing" in placed.word else 0.0])


def _axis(placed: Placed) -> Array:
    """Return how a bought part goes off, mm: a bolt with its head, a U-bolt down, a pad out from under its plate."""
    if not isinstance(placed.part, Bought):
        return np.zeros(3)
    kind = type(placed.part.shape).__name__
    sign = {"UBoltShape": -1.5, "PadShape": -0.6}.get(kind, 1.0)
    return sign * ALONG * np.asarray(placed.frame.z)
