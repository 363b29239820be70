"""What the cuts at a tube's end take away, as heights above the sawn end, line by line along the tube.

Every cut is a height field. On the line along the tube at radius `rho` and clock `phi` it takes `height(rho, phi)`
millimetres, measured from the sawn end into the tube; several cuts take the largest of theirs. From that one field
follow the three curves of a cope, which are kept apart by name:

- the *outside curve*, `height(od / 2, phi)`, where the tube's OD meets the other tube;
- the *inside curve*, `height(id / 2, phi)`;
- the *wrap template*, the largest height over the whole wall, for a tube that is cut square through its wall.

Heights of a cope, with header radius R, axes at angle th, offset e and u = rho cos(phi), v = rho sin(phi) counted from
the acute side: z = sqrt(R² - (v + e)²) / sin th + u / tan th from the crossing of the axes. This is the intersection of
two cylinders (analytic geometry; the fitter's ordinates in tests/reference are its case e = 0).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array, Frame, clock_direction, clock_of, unit

TANGENT = 0.05
"""A branch whose side comes within this of its header's side, mm, counts as tangent, from inside or outside."""

NIP = 2.0
"""How far short of its tip the feather ear of a tangent cope is cut off square, mm (common practice, no source)."""

LEAST_ANGLE = 20.0
"""Axes closer to parallel than this, degrees, are not coped."""


@dataclass(frozen=True)
class Plane:
    """A plane cut.

    Attributes:
        depth: from the sawn end to the plane on the tube's axis, mm.
        tilt: of the plane against square, degrees, in [0, 70].
        clock: where the plane reaches deepest into the tube, degrees.
    """

    depth: float
    tilt: float
    clock: float = 0.0


@dataclass(frozen=True)
class Cope:
    """A cut to the outside of a straight header.

    Attributes:
        header_od: outside diameter of the header, mm.
        at: from the sawn end outward to the crossing of the axes, along the tube's axis, mm.
        angle: between the axes, degrees, in [LEAST_ANGLE, 90].
        offset: how far the tube's axis passes beside the header's axis, mm; the header's axis lies at `-offset`
            along the direction at clock + 90.
        clock: the acute side, degrees.
        gap: fit-up gap kept from the header all round, mm.
    """

    header_od: float
    at: float
    angle: float
    offset: float = 0.0
    clock: float = 0.0
    gap: float = 0.0


EndCut = Plane | Cope
End = tuple[EndCut, ...]


def _one(cut: EndCut, rho: Array, phi: Array) -> Array:
    """Return the height field of one cut; negative where the sawn end is already shorter."""
    a = np.radians(phi - cut.clock)
    u, v = rho * np.cos(a), rho * np.sin(a)
    if isinstance(cut, Plane):
        return cut.depth + u * math.tan(math.radians(cut.tilt))
    th = math.radians(cut.angle)
    big = cut.header_od / 2 + cut.gap
    inside = big * big - (v + cut.offset) ** 2
    # A line that passes beside the header is not cut by it; within TANGENT of its side it is cut at the side.
    beside = np.abs(v + cut.offset) > big + TANGENT
    z = np.sqrt(np.maximum(inside, 0.0)) / math.sin(th) + u / math.tan(th) - cut.at
    return np.where(beside, -np.inf, z)


def raw_heights(end: End, rho: ArrayLike, phi: ArrayLike) -> Array:
    """Return the largest height over all cuts, mm, negative where the cut lies beyond the sawn end.

    Args:
        end: the cuts; none gives 0, the square sawn end.
        rho: distance from the tube's axis, mm.
        phi: clock position, degrees; broadcast against `rho`.
    """
    r, p = np.broadcast_arrays(np.asarray(rho, dtype=float), np.asarray(phi, dtype=float))
    if not end:
        return np.zeros(r.shape)
    return np.max([_one(cut, r, p) for cut in end], axis=0)


def heights(end: End, rho: ArrayLike, phi: ArrayLike) -> Array:
    """Return how much is taken from the sawn end on each line, mm, never negative."""
    return np.maximum(raw_heights(end, rho, phi), 0.0)


def wrap_heights(end: End, inner: float, outer: float, phi: ArrayLike) -> Array:
    """Return the wrap template: at each clock the largest height over the wall from `inner` to `outer` radius, mm.

    On a ray of one clock the height of a cope is concave in the radius, so its largest value lies at an end of the
    wall or where its slope is zero: sin a (v + e) = cos a cos th sqrt(R² - (v + e)²).
    """
    p = np.asarray(phi, dtype=float)
    best = np.maximum(heights(end, inner, p), heights(end, outer, p))
    for cut in end:
        if isinstance(cut, Plane):
            continue
        a = np.radians(p - cut.clock)
        big, lean = cut.header_od / 2 + cut.gap, math.cos(math.radians(cut.angle))
        # The zero-slope point q = v + e; its sign is that of cos a / sin a, and arctan2 stays finite at sin a = 0.
        s = np.sin(a)
        q = big * np.sin(np.arctan2(np.cos(a) * np.where(s < 0, -lean, lean), np.abs(s)))
        safe = np.where(np.abs(s) < 1e-12, 1.0, s)
        rho = np.where(np.abs(s) < 1e-12, inner, (q - cut.offset) / safe)
        best = np.maximum(best, heights(end, np.clip(rho, inner, outer), p))
    return best


def long_point(end: End, outer: float) -> float:
    """Return the least raw height on the outside curve, mm: where the tube's longest line ends.

    Over the whole wall the least height is on the outside, because the height of a cope is concave over the section.
    """
    if not end:
        return 0.0
    phi = np.arange(0.0, 360.0, 0.125)
    z = raw_heights(end, outer, phi)
    k = int(np.argmin(z))
    fine = phi[k] + np.linspace(-0.125, 0.125, 501)
    return float(np.min(raw_heights(end, outer, fine)))


def throat(end: End, outer: float) -> float:
    """Return the largest height on the outside curve, mm: where the tube's shortest line ends."""
    if not end:
        return 0.0
    phi = np.arange(0.0, 360.0, 0.125)
    z = heights(end, outer, phi)
    k = int(np.argmax(z))
    return float(np.max(heights(end, outer, phi[k] + np.linspace(-0.125, 0.125, 501))))


def deepest(end: End, inner: float, outer: float) -> float:
    """Return the largest height over the whole wall, mm: how much straight tube the end needs."""
    return float(np.max(wrap_heights(end, inner, outer, np.arange(0.0, 360.0, 0.5))))


def is_tangent(cut: Cope, outer: float) -> bool:
    """Return whether the branch's side lies at the header's side, so that its ear runs out to a feather."""
    return outer + abs(cut.offset) >= cut.header_od / 2 - TANGENT


def cope_of(tube: Frame, inward: ArrayLike, outer: float, header: Frame, header_od: float) -> Cope:
    """Return the cut that seats a tube's end on a straight header.

    Args:
        tube: the tube's frame at that end (X along the tube from A to B, Z at clock 0); its origin is the sawn end.
        inward: unit direction from the end into the tube, in the same parent frame: +X of `tube` at A, -X at B.
        outer: the tube's outside radius, mm.
        header: any frame on the header's axis with X along it.
        header_od: its outside diameter, mm.

    Returns:
        The cope, without fit-up gap.

    Raises:
        GeometryError: the axes are too near parallel, the tube misses the header, or is wider than what it lands on.
    """
    w = unit(inward)
    d = np.asarray(header.x)
    lean = float(d @ w)
    if lean < 0:
        d, lean = -d, -lean
    angle = math.degrees(math.acos(min(1.0, lean)))
    if angle < LEAST_ANGLE:
        raise GeometryError(
            f"the axes meet at {angle:.1f} deg; under {LEAST_ANGLE:g} deg no cope can be cut or welded round"
        )
    across = np.cross(w, d)
    n = across / np.linalg.norm(across)
    between = np.asarray(header.origin) - np.asarray(tube.origin)
    beside = float(between @ n)
    # With the acute side at u and v along clock + 90, find which way n points in the tube's clock.
    acute = clock_of(tube.to_local_direction(d - lean * w)) if angle < 90 - 1e-9 else None
    if acute is None:
        acute = clock_of(tube.to_local_direction(d))
    v_axis = np.asarray(tube.direction(clock_direction(acute + 90.0)))
    header_v = beside * float(np.sign(v_axis @ n))
    offset = -header_v
    # The crossing: the point on the tube's axis nearest to the header's axis.
    along_perp = d - lean * w
    at = -float(between @ w) + float(between @ along_perp) / float(along_perp @ along_perp) * lean
    big = header_od / 2
    if abs(offset) >= big + outer:
        raise GeometryError(f"the tube passes {abs(offset):.1f} mm beside the header's axis and misses it")
    if outer + abs(offset) > big + TANGENT:
        raise GeometryError(
            f"the tube reaches {outer + abs(offset) - big:.2f} mm beyond the header's side "
            f"(tube {2 * outer:g} mm, offset {abs(offset):.2f} mm, header {header_od:g} mm)"
        )
    return _normal_cope(Cope(header_od, at, angle, offset, acute % 360.0))


def normal(cut: EndCut) -> EndCut:
    """Return the one description among equals: square copes have offset ≥ 0, and without offset a clock under 180."""
    return _normal_plane(cut) if isinstance(cut, Plane) else _normal_cope(cut)


def _normal_plane(cut: Plane) -> Plane:
    return Plane(cut.depth, cut.tilt, cut.clock % 360.0 if cut.tilt > 1e-6 else 0.0)


def _normal_cope(cut: Cope) -> Cope:
    clock, offset = cut.clock % 360.0, cut.offset
    if abs(cut.angle - 90.0) < 1e-5:
        if offset < -1e-6:
            clock, offset = (clock + 180.0) % 360.0, -offset
        if abs(offset) <= 1e-6:
            clock, offset = clock % 180.0, 0.0
            if 180.0 - clock < 1e-6:
                clock = 0.0
    return Cope(cut.header_od, cut.at, cut.angle, offset, clock, cut.gap)


def turned(cut: EndCut, degrees: float) -> EndCut:
    """Return the cut with its clock turned."""
    if isinstance(cut, Plane):
        return normal(Plane(cut.depth, cut.tilt, cut.clock + degrees))
    return normal(Cope(cut.header_od, cut.at, cut.angle, cut.offset, cut.clock + degrees, cut.gap))


def mirrored(cut: EndCut) -> EndCut:
    """Return the cut with clocks counted the other way round from the same clock 0."""
    if isinstance(cut, Plane):
        return normal(Plane(cut.depth, cut.tilt, -cut.clock))
    return normal(Cope(cut.header_od, cut.at, cut.angle, -cut.offset, -cut.clock, cut.gap))


def sawn_back(cut: EndCut, by: float) -> EndCut:
    """Return the cut as seen from a sawn end that lies `by` mm further into the tube."""
    if isinstance(cut, Plane):
        return Plane(cut.depth - by, cut.tilt, cut.clock)
    return Cope(cut.header_od, cut.at + by, cut.angle, cut.offset, cut.clock, cut.gap)


def with_gap(cut: EndCut, gap: float) -> EndCut:
    """Return a cope that keeps a fit-up gap from its header; a plane is drawn back by it along its normal."""
    if isinstance(cut, Plane):
        return Plane(cut.depth + gap / math.cos(math.radians(cut.tilt)), cut.tilt, cut.clock)
    return Cope(cut.header_od, cut.at, cut.angle, cut.offset, cut.clock, gap)
