"""The centreline of a bent tube as the bender sees it: feed, bend, turn the tube, feed again.

A spine in its own frame starts at the origin along +X. Before each bend the tube is turned about its own axis by the
bend's `turn`, then bent toward its clock 0, which for the first bend without a turn is +Z.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array, Frame, turn, unit


@dataclass(frozen=True)
class Bend:
    """One bend.

    Attributes:
        angle: finished angle, degrees, in (0, 180).
        clr: radius to the tube's centreline, mm.
        turn: turn of the bend plane against the bend before, degrees in (-180, 180], positive about the tube's
            own direction; 0 for the first bend of a part in its own frame.
    """

    angle: float
    clr: float
    turn: float = 0.0


@dataclass(frozen=True)
class Spine:
    """Straights and the bends between them; one more straight than bends.

    Attributes:
        straights: lengths between bend tangents, mm, in order from end A.
        bends: the bends, in order from end A.

    Raises:
        GeometryError: counts that do not fit, a negative straight, an angle outside (0, 180), or no CLR.
    """

    straights: tuple[float, ...]
    bends: tuple[Bend, ...] = ()

    def __post_init__(self) -> None:
        if len(self.straights) != len(self.bends) + 1:
            raise GeometryError(f"{len(self.bends)} bends need {len(self.bends) + 1} straights")
        if not all(math.isfinite(s) and s >= -1e-9 for s in self.straights):
            raise GeometryError(f"straights {self.straights} mm: a straight between bends would be negative")
        for bend in self.bends:
            if not (0 < bend.angle < 180 and bend.clr > 0):
                raise GeometryError(f"a bend of {bend.angle:g} deg on a radius of {bend.clr:g} mm cannot be made")

    def __hash__(self) -> int:
        """Return the same for equal spines; worked out once, since places along a spine are asked for by thousands."""
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash((self.straights, self.bends))


@dataclass(frozen=True)
class Piece:
    """One straight or arc of a spine, in the spine's own frame.

    Attributes:
        start: where it begins along the spine, mm.
        length: its length, mm.
        frame: frame at its begin: X along the tube, Z at the tube's clock 0.
        bend: the bend when it is an arc, else None. The arc bends toward `frame` turned by `bend.turn` about X.
    """

    start: float
    length: float
    frame: Frame
    bend: Bend | None


def length(spine: Spine) -> float:
    """Return the developed length along straights and arcs, mm."""
    return sum(spine.straights) + sum(arc_length(b) for b in spine.bends)


def arc_length(bend: Bend) -> float:
    """Return the length of the bend's centreline, CLR × angle, mm."""
    return bend.clr * math.radians(bend.angle)


def setback(bend: Bend) -> float:
    """Return the distance from the corner of the two axes to the tangent point, CLR tan(angle / 2), mm."""
    return bend.clr * math.tan(math.radians(bend.angle) / 2)


def gain(bend: Bend) -> float:
    """Return by how much the two set-backs together exceed the arc, mm."""
    return 2 * setback(bend) - arc_length(bend)


def _along(frame: Frame, bend: Bend, degrees: float) -> Frame:
    """Return the tube's frame after `degrees` of a bend that begins at `frame`.

    The clock reference is carried by the metal: a line drawn along the tube stays at its clock position.
    """
    plane = frame.then(turn((1, 0, 0), bend.turn))
    a = math.radians(degrees)
    at = (bend.clr * math.sin(a), 0.0, bend.clr * (1 - math.cos(a)))
    # Bending toward +Z turns X toward Z, which is a right-handed turn about -Y.
    bent = turn((0, 1, 0), -degrees)
    return plane.then(Frame(at, bent.x, bent.y, bent.z)).then(turn((1, 0, 0), -bend.turn))


@lru_cache(maxsize=1024)
def pieces(spine: Spine) -> tuple[Piece, ...]:
    """Return straights and arcs in order. Straights of no length are left out.

    The clock reference after a bend with a turn stays that of the first straight: turns add up along `bends`
    and are applied to the bend plane, never to the metal.
    """
    out: list[Piece] = []
    frame, at, clock = Frame(), 0.0, 0.0
    for i, straight in enumerate(spine.straights):
        if straight > 1e-9:
            out.append(Piece(at, straight, frame, None))
            frame, at = frame.moved((straight, 0, 0)), at + straight
        if i < len(spine.bends):
            b = spine.bends[i]
            clock += b.turn
            here = Bend(b.angle, b.clr, clock)
            out.append(Piece(at, arc_length(b), frame, here))
            frame, at = _along(frame, here, b.angle), at + arc_length(b)
    return tuple(out)


def frame_at(spine: Spine, s: float) -> Frame:
    """Return the tube's frame at `s` mm from end A: X along the tube, Z at the tube's clock 0.

    Beyond either end the last straight is continued.
    """
    parts = pieces(spine)
    if not parts or s < 0:
        return Frame().moved((s, 0, 0))
    piece = next((p for p in parts if s <= p.start + p.length), parts[-1])
    if piece.bend is None:
        return piece.frame.moved((s - piece.start, 0, 0))
    into = s - piece.start
    if into > piece.length:
        end = _along(piece.frame, piece.bend, piece.bend.angle)
        return end.moved((into - piece.length, 0, 0))
    return _along(piece.frame, piece.bend, math.degrees(into / piece.bend.clr))


def points_at(spine: Spine, places: ArrayLike) -> Array:
    """Return the points of the centreline at places from end A, mm, shape (n, 3): the origins of `frame_at`, at once.

    Beyond either end the last straight is continued, ahead of end A along +X.
    """
    at = np.asarray(places, dtype=float)
    out = np.zeros((len(at), 3))
    out[:, 0] = at
    for piece in pieces(spine):
        # Later pieces write over what lies beyond this one.
        here = at > piece.start if piece.start > 0 else at >= 0
        into = at[here] - piece.start
        x, origin = np.asarray(piece.frame.x), np.asarray(piece.frame.origin)
        if piece.bend is None:
            out[here] = origin + into[:, None] * x
            continue
        inward = np.asarray(piece.frame.then(turn((1, 0, 0), piece.bend.turn)).z)
        swung, on = np.minimum(into, piece.length) / piece.bend.clr, np.maximum(into - piece.length, 0.0)
        s, c, r = np.sin(swung)[:, None], np.cos(swung)[:, None], piece.bend.clr
        out[here] = origin + r * s * x + r * (1 - c) * inward + on[:, None] * (c * x + s * inward)
    return out


def end_frame(spine: Spine) -> Frame:
    """Return the frame at end B."""
    return frame_at(spine, length(spine))


def corners(spine: Spine) -> Array:
    """Return begin, axis corners of each bend, and end, in the spine's frame, mm, shape (bends + 2, 3)."""
    points = [np.zeros(3)]
    for piece in pieces(spine):
        if piece.bend is not None:
            points.append(piece.frame.points((setback(piece.bend), 0, 0)))
    points.append(np.asarray(end_frame(spine).origin))
    return np.array(points)


def from_points(points: ArrayLike, clr: float | Sequence[float], up: ArrayLike = (0, 0, 1)) -> tuple[Spine, Frame]:
    """Return the spine through axis corners, and where its own frame stands.

    Args:
        points: begin, corners, end; shape (n, 3), mm. Corners in line with their neighbours carry no bend.
        clr: centreline radius of every bend, or one per corner, mm.
        up: where clock 0 of a tube without bends should look.

    Raises:
        GeometryError: repeated points, a corner that turns back on itself, or a straight too short for its bends.
    """
    p = np.asarray(points, dtype=float)
    radii = [float(clr)] * (len(p) - 2) if isinstance(clr, int | float) else [float(c) for c in clr]
    dirs = [unit(b - a) for a, b in itertools.pairwise(p)]
    angles = [math.degrees(math.atan2(float(np.linalg.norm(np.cross(a, b))), float(a @ b)))
              for a, b in itertools.pairwise(dirs)]  # fmt: skip
    bent = [i for i, a in enumerate(angles) if a > 1e-7]
    if not bent:
        x = dirs[0]
        z = np.asarray(up, dtype=float)
        if np.linalg.norm(np.cross(x, z)) < 1e-9:
            z = np.array([1.0, 0, 0]) if abs(x[0]) < 0.9 else np.array([0, 1.0, 0])
        return Spine((float(np.linalg.norm(p[-1] - p[0])),)), Frame.of(p[0], x, z)
    start = Frame.of(p[0], dirs[0], dirs[bent[0] + 1])
    bends: list[Bend] = []
    frame, last = start, 0.0
    for i in bent:
        toward = frame.to_local_direction(dirs[i + 1])
        clock = math.degrees(math.atan2(-float(toward[1]), float(toward[2])))
        swing = (clock - last + 180.0) % 360.0 - 180.0
        bend = Bend(angles[i], radii[i], 180.0 if swing == -180.0 else swing)
        bends.append(bend)
        last = clock
        frame = _along(frame, Bend(bend.angle, bend.clr, clock), bend.angle)
    stops = [p[0], *(p[i + 1] for i in bent), p[-1]]
    gaps = [float(np.linalg.norm(b - a)) for a, b in itertools.pairwise(stops)]
    cut = [0.0, *(setback(b) for b in bends), 0.0]
    straights = tuple(g - cut[i] - cut[i + 1] for i, g in enumerate(gaps))
    if min(straights) < -1e-6:
        raise GeometryError(
            f"straights of {', '.join(f'{s:.1f}' for s in straights)} mm: the bends on CLR {max(radii):g} mm do not fit"
        )
    return Spine(tuple(max(0.0, s) for s in straights), tuple(bends)), start


def reverse(spine: Spine) -> tuple[Spine, Frame]:
    """Return the same tube described from its other end, and where that description stands in this one's frame."""
    return from_points(corners(spine)[::-1], [b.clr for b in reversed(spine.bends)], up=(0, 0, 1))


def mirror(spine: Spine) -> Spine:
    """Return the spine mirrored in its own XZ plane."""
    return Spine(spine.straights, tuple(Bend(b.angle, b.clr, -b.turn if b.turn != 180 else 180) for b in spine.bends))
