"""The body of a bar some of whose folds have two radii, face by face: flats, true cones and cylinders, ruled edges.

Its ends are square; what shapes them and its holes are cut afterwards like those of other bars.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from rackgen.errors import SolidError
from rackgen.geom import fold
from rackgen.geom.cone import Cone
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Array, Frame
from rackgen.parts.kinds import FoldedBar
from rackgen.solid.kernel import Solid
from rackgen.solid.kernel_shell import (
    COUNTS,
    TOLERANCE,
    Coniness,
    Corner,
    Flatness,
    Roundness,
    Ruling,
    Shell,
    Side,
    Surface,
    Way,
    between,
    checks,
    nodes,
)

Place = tuple[int, int]
"""Which long edge: -1 or 1 across, then -1 or 1 off mid-thickness."""

EDGES: tuple[Place, ...] = ((-1, -1), (-1, 1), (1, -1), (1, 1))


def body(part: FoldedBar, over: tuple[float, ...]) -> Solid:
    """Return the bar with square ends, lengthened by `over` at A and B, mm.

    Raises:
        SolidError: two folds meet, or an edge is too sharp for a smooth side.
    """
    t, width = part.section.thickness, part.section.width
    flats = (part.flats[0] + over[0], *part.flats[1:-1], part.flats[-1] + over[1])
    pieces = fold.legs_and_arcs(flats, part.folds, t, width)
    away = Frame((-over[0], 0.0, 0.0))
    build = _Body(Shell(), t, width)
    frames = [away.then(frame) for frame, _, _ in pieces]
    slants = [0.0, *(fold.slant(bend, t, width) for bend in part.folds), 0.0]
    here = build.corners(frames[0], 0.0)
    build.rim(here, _Beside())
    first = build.sides
    for k, (frame, (_, length, bend)) in enumerate(zip(frames, pieces, strict=True)):
        # A fold's begin leans against the one before it, its end with it.
        if bend is None:
            lean = -slants[k // 2 + 1]
            if length - abs(slants[k // 2]) * width / 2 - abs(lean) * width / 2 <= 0:
                raise SolidError("two folds of a bar meet")
            there = build.corners(frame.moved((length, 0.0, 0.0)), lean)
            nxt = pieces[k + 1][2] if k + 1 < len(pieces) else None
            follow = _Beside() if nxt is None else build.round_faces(frames[k + 1], nxt)
            build.flat(frame, here, there, follow)
        else:
            there = build.corners(frames[k + 1], slants[k // 2 + 1])
            build.fold(frame, bend, here, there)
        here = there
    build.end(frames[0], first, outward=False)
    last = frames[-1].moved((pieces[-1][1], 0.0, 0.0))
    build.end(last, build.sides, outward=True)
    return build.shell.solid()


class _Beside:
    """The surfaces of a fold that its cross sides touch: below, above, at the -Y and the +Y edge."""

    def __init__(self, faces: dict[int, Surface] | None = None, edges: dict[int, Ruling] | None = None) -> None:
        self.faces = faces or {}
        self.edges = edges or {}


Rim = dict[tuple[str, int], Side]
"""Cross sides: ("face", -1 or 1) across the bar, from -Y to +Y; ("edge", -1 or 1) through it, from -Z to +Z."""


class _Body:
    """A bar in the making, from end A on."""

    def __init__(self, shell: Shell, thickness: float, width: float) -> None:
        self.shell, self.half, self.wide = shell, thickness / 2, width / 2
        self.sides: Rim = {}
        self.beside = _Beside()

    def corners(self, frame: Frame, lean: float) -> dict[Place, Corner]:
        return {
            (y, z): self.shell.corner(np.array(frame.point((lean * y * self.wide, y * self.wide, z * self.half))))
            for y, z in EDGES
        }

    def rim(self, at: dict[Place, Corner], beside: _Beside) -> None:
        """Set the cross sides at four corners, beside the surfaces of a fold on either side."""
        self.sides = {
            **{
                ("face", z): self.shell.line(at[-1, z], at[1, z], tuple(b for k, b in beside.faces.items() if k == z))
                for z in (-1, 1)
            },
            **{
                ("edge", y): self.shell.line(at[y, -1], at[y, 1], tuple(b for k, b in beside.edges.items() if k == y))
                for y in (-1, 1)
            },
        }

    def round_faces(self, begin: Frame, bend: Fold) -> _Beside:
        """Return the surfaces of a fold; the ruled ones with the points of their curves."""
        t, width = 2 * self.half, 2 * self.wide
        bent_on = fold.cone_of(bend, t, width)
        faces: dict[int, Surface] = {}
        edges: dict[int, Ruling] = {}
        rows = {place: _laid(lambda s, p=place: self._curve(begin, bend, bent_on, p, s)) for place in EDGES}
        count = max(len(row) for row in rows.values())
        rows = {place: self._curve(begin, bend, bent_on, place, nodes(count)) for place in EDGES}
        for z in (-1, 1):
            faces[z] = _round(begin, bend, bent_on, self.half, z)
        for y in (-1, 1):
            edges[y] = Ruling(rows[y, -1], rows[y, 1], t)
        return _Beside(faces, edges)

    def _curve(self, begin: Frame, bend: Fold, bent_on: Cone | None, place: Place, share: Array) -> Array:
        y, off = place[0] * self.wide, place[1] * self.half
        if bent_on is not None:
            x = (bent_on.apex + y) * np.tan(bent_on.spread * (2 * share - 1))
            return begin.then(bent_on.middle()).points(bent_on.points(x, np.full_like(x, y), off))
        side, turns = math.copysign(1.0, bend.angle), np.radians(abs(bend.angle)) * share
        r = bend.inside_radius + self.half
        reach = r - side * off
        local = np.stack([reach * np.sin(turns), np.full_like(turns, y), side * (r - reach * np.cos(turns))], axis=1)
        return begin.points(local)

    def flat(self, frame: Frame, here: dict[Place, Corner], there: dict[Place, Corner], follow: _Beside) -> None:
        low = self.sides
        self.rim(there, follow)
        long = {place: self.shell.line(here[place], there[place], ()) for place in EDGES}
        self.beside = follow
        faces = {z: Flatness(frame.moved((0.0, 0.0, z * self.half))) for z in (-1, 1)}
        upright = Frame.of(frame.origin, frame.x, frame.direction((0.0, -1.0, 0.0)))
        edges = {y: Flatness(upright.moved((0.0, 0.0, -y * self.wide))) for y in (-1, 1)}
        for z in (-1, 1):
            border = _run_round(long[-1, z], self.sides["face", z], long[1, z], low["face", z])
            self.shell.face(faces[z], (border,), outward=z > 0)
        for y in (-1, 1):
            border = _run_round(long[y, -1], self.sides["edge", y], long[y, 1], low["edge", y])
            self.shell.face(edges[y], (border,), outward=y < 0)

    def fold(self, begin: Frame, bend: Fold, here: dict[Place, Corner], there: dict[Place, Corner]) -> None:
        around, low = self.beside, self.sides
        self.rim(there, around)
        long: dict[Place, Side] = {}
        for y, z in EDGES:
            ruling = around.edges[y]
            points = ruling.first if z < 0 else ruling.second
            long[y, z] = self.shell.spline(points, here[y, z], there[y, z], (around.faces[z], ruling))
        hollow_up = bend.angle > 0
        for z in (-1, 1):
            border = _run_round(long[-1, z], self.sides["face", z], long[1, z], low["face", z])
            # A cylinder or cone is seen from outside: from below where the fold is hollow above.
            self.shell.face(around.faces[z], (_back(border) if hollow_up else border,), outward=(z > 0) != hollow_up)
        for y in (-1, 1):
            border = _run_round(long[y, -1], self.sides["edge", y], long[y, 1], low["edge", y])
            self.shell.face(around.edges[y], (border,), outward=y < 0)

    def end(self, frame: Frame, sides: Rim, *, outward: bool) -> None:
        across = Frame(frame.origin, frame.y, frame.z, frame.x)
        border = _run_round(sides["face", -1], sides["edge", 1], sides["face", 1], sides["edge", -1])
        self.shell.face(Flatness(across), (border,), outward=outward)


def _round(begin: Frame, bend: Fold, bent_on: Cone | None, half: float, z: int) -> Surface:
    """Return the surface of one face of a fold, closed over on the side away from the metal."""
    side = math.copysign(1.0, bend.angle)
    if bent_on is None:
        r = bend.inside_radius + half
        turn = math.radians(abs(bend.angle)) / 2
        # The middle of the metal as seen from the fold's axis; the frame's X points away from it.
        metal = np.array([math.sin(turn), 0.0, -side * math.cos(turn)])
        axis = begin.moved((0.0, 0.0, side * r))
        frame = Frame.of(axis.origin, begin.direction(-metal), begin.y)
        return Roundness(frame, r - side * z * half)
    a, middle = bent_on.slope, begin.then(bent_on.middle())
    axis = np.array([0.0, math.cos(a), side * math.sin(a)]) * math.copysign(1.0, a)
    metal = np.array([0.0, math.sin(a), -side * math.cos(a)])
    rho = bent_on.apex * math.tan(a) - side * z * half
    radius = rho * math.cos(a)
    foot = np.array([0.0, 0.0, z * half]) - metal * radius
    return Coniness(Frame.of(middle.point(foot), middle.direction(-metal), middle.direction(axis)), radius, abs(a))


def _run_round(along: Side, up: Side, back: Side, down: Side) -> list[Way]:
    return [(along, True), (up, True), (back, False), (down, False)]


def _back(border: list[Way]) -> list[Way]:
    return [(side, not forward) for side, forward in reversed(border)]


def _laid(curve: Callable[[Array], Array]) -> Array:
    """Return points of a curve over [0, 1], as many as a side through them needs to keep to it."""
    for count in COUNTS:
        points = curve(nodes(count))
        if np.max(np.abs(between(points) - curve(checks(count)))) <= TOLERANCE:
            return points
    raise SolidError("an edge too sharp for a smooth side")
