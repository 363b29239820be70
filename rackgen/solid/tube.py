"""Round tube as a solid: the pipe along its spine, less what its end cuts, holes and slit take away.

Everything is made in the part's own frame; the kernel is least reliable where a part stands in the vehicle. Each way to
make a tube is only a proposal: `build.solid` takes the first that proves to be what the description says.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from rackgen.errors import SolidError
from rackgen.geom import cope, spine
from rackgen.geom.cope import Cope, EndCut, Plane
from rackgen.geom.frame import Frame, clock_direction
from rackgen.geom.outline import Contour, Vertex, rectangle
from rackgen.parts.kinds import BentTube, TubeHole
from rackgen.solid import kernel
from rackgen.solid.coped import coped
from rackgen.solid.header import CopeAxes, cope_axes
from rackgen.solid.kernel import Solid
from rackgen.solid.kernel_probe import volume

CLEAR = 5.0
"""How far tools reach beyond what they cut, mm."""

HALF_TURN = 1.0
"""Bulge of half a circle."""


def ways(part: BentTube) -> Iterator[Callable[[], Solid]]:
    """Give the ways to make the tube, best first; the result is the same where the kernel does its work."""
    yield partial(_built, part)
    for header_tool in (_whole_header, _half_header):
        for splines in (False, True):
            yield partial(_cut, part, header_tool, splines, 0.0)
    yield partial(_cut, part, _whole_header, False, kernel.FUZZY)


HeaderTool = Callable[[CopeAxes, Cope, float, float], Solid]


def _built(part: BentTube) -> Solid:
    return _drilled(part, coped(part))


def _cut(part: BentTube, header_tool: HeaderTool, splines: bool, fuzzy: float) -> Solid:
    """Return the tube cut from its uncut pipe with a tool for each cut."""
    body = _body(part)
    # One tool after the other: two tools in one cut have gone wrong where one after the other did not.
    for end, at, inward in ((part.end_a, 0.0, 1.0), (part.end_b, spine.length(part.spine), -1.0)):
        frame = spine.frame_at(part.spine, at)
        for one in end:
            tool = _end_tool(part, frame, inward, one, header_tool)
            if tool is not None:
                body = _kept(kernel.cut(body, (kernel.as_splines(tool) if splines else tool,), fuzzy))
    return _drilled(part, body)


def _drilled(part: BentTube, body: Solid) -> Solid:
    for hole in part.holes:
        body = _kept(kernel.cut(body, (_hole_tool(part, hole),)))
    return body


def _body(part: BentTube) -> Solid:
    section = part.fitted
    if part.slit is None:
        return kernel.pipe(spine.pieces(part.spine), section.od / 2, section.inner / 2)
    if part.spine.bends:
        raise SolidError("a slit sleeve is straight")
    # The gap's sides are radial; its angle keeps the arc that is left at mid-wall when the tube springs to the bore.
    left = math.pi * (part.section.od - part.section.wall) - part.slit.strip
    arc = left / ((section.od - section.wall) / 2)
    if not 0 < arc < 2 * math.pi:
        raise SolidError(f"a strip of {part.slit.strip:g} mm does not let the sleeve spring to {part.slit.bore:g} mm")
    across = Frame((0, 0, 0), (0, 0, 1), (0, -1, 0), (1, 0, 0))  # clock 0 along its X, clocks anticlockwise
    return kernel.prism(across, _ring_part(section.od / 2, section.inner / 2, arc), (), (0, 0, part.spine.straights[0]))


def _ring_part(outer: float, inner: float, arc: float) -> Contour:
    """Return a part of a ring, open toward +X."""
    start = math.pi - arc / 2
    bulge = math.tan(arc / 4)
    ends = [(r * math.cos(start), r * math.sin(start)) for r in (outer, inner)]
    (ox, oy), (ix, iy) = ends
    return (Vertex(ox, oy, bulge), Vertex(ox, -oy), Vertex(ix, -iy, -bulge), Vertex(ix, iy))


def _end_tool(part: BentTube, end: Frame, inward: float, cut: EndCut, header_tool: HeaderTool) -> Solid | None:
    """Return what a cut removes near the tube's end, or None where the sawn end is already shorter."""
    outer, inner = part.fitted.od / 2, part.fitted.inner / 2
    deep = cope.deepest((cut,), inner, outer)
    if deep <= 0:
        return None
    if isinstance(cut, Plane):
        return _plane_tool(end, inward, cut, outer)
    if abs(cut.offset) + outer > cut.header_od / 2 + cut.gap + cope.TANGENT:
        raise SolidError(f"the tube is wider than the header of {cut.header_od:g} mm that it lands on")
    return header_tool(cope_axes(end, inward, cut), cut, outer, deep)


def _plane_tool(end: Frame, inward: float, cut: Plane, outer: float) -> Solid:
    tilt = math.radians(cut.tilt)
    into = np.array(end.x) * inward
    down = np.array(end.direction(clock_direction(cut.clock)))
    # In the plane: along the steepest line, and across it; the tool lies outward of it.
    steepest = math.cos(tilt) * down + math.sin(tilt) * into
    normal = math.sin(tilt) * down - math.cos(tilt) * into
    reach = outer / math.cos(tilt) + CLEAR
    back = cut.depth * math.cos(tilt) + outer * math.sin(tilt) + CLEAR
    frame = Frame.of(np.array(end.origin) + cut.depth * into, steepest, normal)
    return kernel.prism(frame, rectangle(2 * reach, 2 * (outer + CLEAR)), (), (0, 0, back))


def _span(cut: Cope, outer: float, deep: float) -> tuple[float, float]:
    """Return from where to where along the header a tool must reach, from the point beside the crossing, mm."""
    lean = math.radians(cut.angle)
    side = outer * math.sin(lean) + CLEAR
    return cut.at * math.cos(lean) - side, (cut.at + deep) * math.cos(lean) + side


def _whole_header(axes: CopeAxes, cut: Cope, outer: float, deep: float) -> Solid:
    """Return the header itself as the tool, closed over on the side away from the tube."""
    start, end = _span(cut, outer, deep)
    frame = Frame.of(axes.origin, axes.along, -axes.toward)
    return kernel.cylinder(frame, cut.header_od / 2 + cut.gap, start, end)


def _half_header(axes: CopeAxes, cut: Cope, outer: float, deep: float) -> Solid:
    """Return the half of the header that faces the tube, and all that lies behind it.

    Also cuts where the tube's side reaches up to TANGENT beyond the header's, and where the sawn end lies beyond the
    header; the whole header is surer where the two are of one diameter.
    """
    start, end = _span(cut, outer, deep)
    lean = math.radians(cut.angle)
    radius = cut.header_od / 2 + cut.gap
    wide = max(radius, outer + abs(cut.offset)) + CLEAR
    behind = -max(0.0, outer * math.cos(lean) - cut.at * math.sin(lean)) - CLEAR
    profile = (
        Vertex(radius, 0.0, HALF_TURN),
        Vertex(-radius, 0.0),
        Vertex(-wide, 0.0),
        Vertex(-wide, behind),
        Vertex(wide, behind),
        Vertex(wide, 0.0),
    )
    x = np.cross(axes.toward, axes.along)
    frame = Frame.of(axes.origin + start * axes.along, x, axes.along)
    return kernel.prism(frame, profile, (), (0, 0, end - start))


def _hole_tool(part: BentTube, hole: TubeHole) -> Solid:
    """Return a drill from the tube's axis outward."""
    section = part.fitted
    if hole.diameter >= section.inner:
        raise SolidError(f"a hole of {hole.diameter:g} mm is as wide as the tube's bore")
    at = spine.frame_at(part.spine, hole.at)
    out = at.direction(clock_direction(hole.clock))
    return kernel.cylinder(Frame.of(at.origin, out, at.x), hole.diameter / 2, 0.0, section.od / 2 + CLEAR)


def _kept(shape: Solid) -> Solid:
    """Return the largest piece left by a cut: a sawn end that lies beyond its header leaves a loose one."""
    pieces = kernel.solids(shape)
    if not pieces:
        raise SolidError("a cut left nothing")
    if len(pieces) == 1:
        return pieces[0]
    return max(pieces, key=volume)
