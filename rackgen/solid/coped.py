"""A coped tube built face by face from the closed form of its copes, without a boolean.

The first way to make a tube whose ends carry at most one cut each. It is some ten times faster than cutting, and no
intersection has to be found that could be missed. What it cannot do it refuses, and the tube is cut instead.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from rackgen.errors import SolidError
from rackgen.geom import cope, spine
from rackgen.geom.cope import Cope, End, Plane
from rackgen.geom.frame import Array, Frame, clock_direction
from rackgen.parts.kinds import BentTube
from rackgen.solid import kernel, kernel_shell, rim
from rackgen.solid.header import cope_axes
from rackgen.solid.kernel import Solid
from rackgen.solid.kernel_shell import (
    COUNTS,
    Corner,
    Flatness,
    Roundness,
    Shell,
    Side,
    Surface,
    Way,
    between,
    checks,
    nodes,
)
from rackgen.solid.rim import Arc, Gaps

LEAST_LINE = 0.01
"""The shortest line along the wall that may be left between the two ends, mm."""

STRAY = 2e-6
"""How far a side may stray from its curve between the points it is laid through, mm."""


@dataclass(frozen=True)
class Limit:
    """Where a straight length of tube ends, in the frame of that length.

    Attributes:
        at: from the begin of the length to the sawn end, mm.
        inward: 1 at the begin, -1 at the end.
        cut: what shapes it, or None where it is square.
        gaps: clock intervals on the outside where the square sawn end takes over from the cut.
        joint: whether the tube goes on there, so that it has no face.
    """

    at: float
    inward: float
    cut: Cope | Plane | None
    gaps: Gaps
    joint: bool = False

    def place(self, local: Array) -> Array:
        """Return points given as (height above the sawn end, y, z) in the frame of the length."""
        return local * (self.inward, 1.0, 1.0) + (self.at, 0.0, 0.0)

    def breaks(self) -> tuple[float, ...]:
        """Return every clock where a rim of this end is split."""
        return rim.kinks(self.cut) + tuple(clock for gap in self.gaps for clock in gap)

    def surface(self) -> Surface:
        """Return the surface that its cut leaves, seen from the tube's body."""
        into = np.array([self.inward, 0.0, 0.0])
        sawn = Frame((self.at, 0.0, 0.0))
        if isinstance(self.cut, Cope):
            axes = cope_axes(sawn, self.inward, self.cut)
            # Closed over on its far side, where the tube never reaches.
            return Roundness(Frame.of(axes.origin, -axes.toward, axes.along), self.cut.header_od / 2 + self.cut.gap)
        if self.cut is None:
            return self.sawn()
        tilt, down = math.radians(self.cut.tilt), clock_direction(self.cut.clock)
        steepest = math.cos(tilt) * down + math.sin(tilt) * into
        normal = math.cos(tilt) * into - math.sin(tilt) * down
        return Flatness(Frame.of((self.at + self.inward * self.cut.depth, 0.0, 0.0), steepest, normal))

    def sawn(self) -> Flatness:
        """Return the plane of the sawn end, seen from the tube's body."""
        return Flatness(Frame.of((self.at, 0.0, 0.0), (0.0, 0.0, 1.0), (self.inward, 0.0, 0.0)))


@dataclass(frozen=True, eq=False)
class Rim:
    """The sides round one radius at one end, from the seam to the seam in the sense of the clock."""

    arcs: tuple[Arc, ...]
    sides: tuple[Side, ...]
    corners: tuple[Corner, ...]

    def ways(self, along: bool) -> list[Way]:
        """Return the rim as a border, with the clock or against it."""
        return _run([(side, True) for side in self.sides], along)

    def corner(self, clock: float) -> Corner:
        """Return the corner nearest to a clock."""
        away = [abs((arc.start - clock + 180.0) % 360.0 - 180.0) for arc in self.arcs]
        return self.corners[int(np.argmin(away))]


def coped(part: BentTube) -> Solid:
    """Return the tube with its ends, its holes not yet drilled.

    Raises:
        SolidError: this way cannot make it.
    """
    if part.slit is not None:
        raise SolidError("a slit sleeve is not built face by face")
    outer, inner = part.section.od / 2, part.section.inner / 2
    pieces = spine.pieces(part.spine)
    first = _limit(0.0, 1.0, part.end_a, outer, inner)
    last = _limit(pieces[-1].length, -1.0, part.end_b, outer, inner)
    seam = rim.best_seam(first.breaks() + last.breaks())
    if first.cut is None and last.cut is None:
        return kernel.pipe(pieces, outer, inner, seam)
    if len(pieces) == 1 and pieces[0].bend is None:
        return _length((first, last), outer, inner, seam).solid()
    # The straights with a cut end are built, what lies between them is swept, and all is sewn together.
    middle = pieces[first.cut is not None : len(pieces) - (last.cut is not None)]
    faces = list(kernel_shell.pipe_faces(middle, outer, inner, seam, closed=(first.cut is None, last.cut is None)))
    for limit, piece in ((first, pieces[0]), (last, pieces[-1])):
        if limit.cut is None:
            continue
        if piece.bend is not None:
            raise SolidError("a cut on a bend")
        joint = Limit(piece.length if limit.inward > 0 else 0.0, -limit.inward, None, (), joint=True)
        both = (limit, joint) if limit.inward > 0 else (joint, limit)
        faces.append(kernel.moved(_length(both, outer, inner, seam).faces(), piece.frame))
    return kernel_shell.sewn(faces)


def _length(limits: tuple[Limit, Limit], outer: float, inner: float, seam: float) -> Shell:
    """Return the faces of a straight length of tube in its own frame."""
    shell = Shell()
    walls = [Roundness(Frame.of((0, 0, 0), clock_direction(seam), (1, 0, 0)), radius) for radius in (outer, inner)]
    outside = [_rim(shell, limit, walls[0], seam, limit.gaps) for limit in limits]
    inside = [_rim(shell, limit, walls[1], seam, ()) for limit in limits]
    for wall, (first, last), outward in ((walls[0], outside, True), (walls[1], inside, False)):
        _wall(shell, wall, first, last, outward=outward)
    for limit, out, bore in zip(limits, outside, inside, strict=True):
        if not limit.joint:
            _end_faces(shell, limit, out, bore, outer, inner)
    return shell


def _limit(at: float, inward: float, end: End, outer: float, inner: float) -> Limit:
    active = [cut for cut in end if cope.deepest((cut,), inner, outer) > rim.SLACK]
    if len(active) > 1:
        raise SolidError("an end of several cuts is not built face by face")
    if not active:
        return Limit(at, inward, None, ())
    return Limit(at, inward, active[0], rim.flats(active[0], outer, inner))


def _rim(shell: Shell, limit: Limit, wall: Roundness, seam: float, gaps: Gaps) -> Rim:
    arcs = (Arc(seam, seam + 360.0, True),) if limit.cut is None else rim.arcs(rim.kinks(limit.cut), gaps, seam)

    def points(arc: Arc, places: Array) -> Array:
        cut = Plane(0.0, 0.0) if arc.flat or limit.cut is None else limit.cut
        return limit.place(rim.arc_points(cut, wall.radius, arc, places))

    through = [points(arc, np.zeros(1)) if arc.flat else _laid(lambda t, arc=arc: points(arc, t)) for arc in arcs]
    corners = tuple(shell.corner(p[0]) for p in through)
    surface = limit.surface()
    sides: list[Side] = []
    for i, arc in enumerate(arcs):
        start, end = corners[i], corners[(i + 1) % len(arcs)]
        if arc.flat:
            turns = (math.radians(arc.start - seam), math.radians(arc.end - seam))
            sides.append(shell.ring(wall, limit.at, turns, start, end))
        else:
            sides.append(shell.spline(through[i], start, end, (wall, surface)))
    return Rim(arcs, tuple(sides), corners)


def _laid(curve: Callable[[Array], Array]) -> Array:
    """Return points of a curve over [0, 1], as many as a side through them needs to keep to it."""
    for count in COUNTS:
        points = curve(nodes(count))
        if np.max(np.abs(between(points) - curve(checks(count)))) <= STRAY:
            return points
    raise SolidError("a rim too sharp for a smooth side")


def _wall(shell: Shell, wall: Roundness, first: Rim, last: Rim, *, outward: bool) -> None:
    if last.corners[0].point[0] - first.corners[0].point[0] < LEAST_LINE:
        raise SolidError("the cuts of the two ends meet")
    closing = shell.closing(wall, first.corners[0], last.corners[0])
    border = [*first.ways(True), (closing, True), *last.ways(False), (closing, False)]
    shell.face(wall, (border,), outward=outward)


def _end_faces(shell: Shell, limit: Limit, out: Rim, bore: Rim, outer: float, inner: float) -> None:
    """Add the face that the cut leaves, and the flats where the square sawn end takes over."""
    clockwise = limit.inward > 0  # seen from the tube's body, borders run with the clock at A, against it at B
    surface = limit.surface()
    border: list[Way] = []
    ridges: dict[int, tuple[Side, list[Way]]] = {}
    for arc, side in zip(out.arcs, out.sides, strict=True):
        gap = rim.gap_of(arc, limit.gaps)
        if gap is None:
            border.append((side, True))
            continue
        if gap not in ridges:
            ridges[gap] = (_ridge(shell, limit, limit.gaps[gap], out, outer, inner, surface), [])
            border.append((ridges[gap][0], True))
        ridges[gap][1].append((side, True))
    shell.face(surface, (_run(border, clockwise), bore.ways(not clockwise)), outward=False)
    for ridge, flat in ridges.values():
        shell.face(limit.sawn(), (_run([*flat, (ridge, False)], clockwise),), outward=False)


def _ridge(
    shell: Shell, limit: Limit, gap: tuple[float, float], out: Rim, outer: float, inner: float, surface: Surface
) -> Side:
    cut = limit.cut
    assert isinstance(cut, Cope)

    def points(places: Array) -> Array:
        return limit.place(rim.ridge_points(cut, outer, inner, gap, places))

    return shell.spline(_laid(points), out.corner(gap[0]), out.corner(gap[1]), (surface,))


def _run(ways: list[Way], along: bool) -> list[Way]:
    """Return a border as it is, or run the other way round."""
    return ways if along else [(side, not forward) for side, forward in reversed(ways)]
