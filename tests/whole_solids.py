"""What a whole rack must be once it is solid: laws held through the kernel, for the suite's samples and for the soak.

Every law gives sentences, one for each thing that is wrong; none where nothing is.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import lru_cache

import numpy as np
import trimesh

from rackgen.check.all import possible
from rackgen.check.bodies import Body, bodies, distance, meet
from rackgen.check.interference import near_pairs
from rackgen.errors import SolidError
from rackgen.export.stl import TRIANGLE, stl_files
from rackgen.geom import spine
from rackgen.geom.cope import End
from rackgen.geom.frame import Array, Frame, clock_direction
from rackgen.made import Design
from rackgen.mesh.triangles import triangles
from rackgen.parts.kinds import BentTube
from rackgen.parts.marks import Line, lines
from rackgen.parts.measure import volume
from rackgen.parts.rack import Along, AtEnd, Joint, Placed, Rack
from rackgen.sheets.wraps import developed
from rackgen.solid import kernel, kernel_probe
from rackgen.solid.build import proved_solids, solid

NEAR = 0.2
"""Parts that no joint joins are compared exactly where their meshes come this near, mm."""

SHARED = 2.0
"""Common volume that two parts may have, mm³: what 0.05 mm leave where the edges of a tube and a bar touch."""

ENTERS, TOUCHES = 0.05, 0.05
"""How far a tube cut along its wrap may enter its header, and how far from it it may stand, mm."""

GRID = 14
"""Points along each side of the box that two parts share, where their meshes are asked."""

ROUNDED = 0.03
"""Share of a part's volume that triangles 0.1 mm off its curves may lack."""


def wrong_solids(made: Design) -> list[str]:
    """Tell what is wrong with the rack's solids, its STL files, its copes, and where parts are in one place."""
    rack, _ = possible(made.rack)
    distinct = lines(rack)
    try:
        solids = proved_solids(distinct)
    except SolidError as error:
        return [f"no solid: {error}"]
    out = [*skins(stl_files("rack", distinct, solids), distinct)]
    cannot = {i for f in made.findings if f.code in ("cannot-cope", "cope-too-deep") for i in f.parts}
    out += wraps_that_do_not_seat(rack, cannot)
    return [*out, *shared_places(made, rack)]


def skins(files: dict[str, bytes], distinct: tuple[Line, ...]) -> Iterator[str]:
    """Tell which STL files are not closed or of another volume; each part's is read by another program."""
    whole = np.frombuffer(files["rack.stl"][84:], dtype=TRIANGLE)["corners"]
    start = 0
    for line in distinct:
        mesh = trimesh.load(io.BytesIO(files[f"{line.mark}.stl"]), file_type="stl")
        wanted = volume(line.part)
        if not mesh.is_watertight or not mesh.is_winding_consistent:
            yield f"{line.mark}.stl, {line.placed[0].id}, is not watertight"
        if abs(mesh.volume - wanted) > ROUNDED * wanted + 1.0:
            yield f"{line.mark}.stl, {line.placed[0].id}, holds {mesh.volume:.1f} mm³ instead of {wanted:.1f}"
        for placed in line.placed:
            if not closes(whole[start : start + len(mesh.faces)]):
                yield f"{placed.id} is not closed in rack.stl"
            start += len(mesh.faces)
    if start != len(whole):
        yield f"rack.stl has {len(whole)} triangles instead of {start}"


def closes(corners: Array) -> bool:
    """Give whether triangles bound a body: every side is met by one that runs the other way."""
    # Points as their bytes, sides as one number: many times as fast as row by row. Zero has two bytes' worth of signs.
    points = np.ascontiguousarray(corners.reshape(-1, 3) + np.float32(0.0)).view("V12").ravel()
    _, names = np.unique(points, return_inverse=True)
    faces = names.reshape(-1, 3)
    # Far from the origin, points nearer than a 32-bit float can tell are one.
    faces = faces[(faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])]
    sides = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    there, back = (np.sort(s[:, 0] * len(points) + s[:, 1]) for s in (sides, sides[:, ::-1]))
    return len(faces) > 0 and np.array_equal(there, back)


def wraps_that_do_not_seat(rack: Rack, cannot: set[str]) -> Iterator[str]:
    """Tell which tubes, cut square through their walls along their wraps, enter a header or stand off all of theirs."""
    of = {p.id: p for p in rack.placed}
    ends: dict[tuple[str, str], list[Joint]] = {}
    for joint in rack.joints:
        if joint.kind == "coped weld" and joint.yields is not None:
            mine, other = (joint.a, joint.b) if joint.yields == "a" else (joint.b, joint.a)
            if isinstance(mine, AtEnd) and isinstance(other, Along) and mine.part not in cannot:
                ends.setdefault((mine.part, mine.end), []).append(joint)
    for (part, end), joints in ends.items():
        if part not in of:
            continue
        points = cut_wall(of[part], end)
        gaps: list[float] = []
        for joint in joints:
            other = joint.b if joint.yields == "a" else joint.a
            assert isinstance(other, Along)
            if other.part in of:
                gaps.append(float(off_header(of[other.part], other.at, points).min()))
        if gaps and min(gaps) < -ENTERS:
            yield f"end {end} of {part} cut along its wrap enters its header by {-min(gaps):.3f} mm"
        if gaps and min(gaps) > TOUCHES:
            yield f"end {end} of {part} cut along its wrap stands {min(gaps):.3f} mm off its header"


@lru_cache(maxsize=256)
def wrap_line(end: End, od: float, wall: float, name: str) -> Array:
    return np.array(developed(end, od, wall, "A" if name == "A" else "B", 0.0)[1])


def cut_wall(placed: Placed, name: str) -> Array:
    """Give points of a placed tube's wall where it is cut square along its wrap and beyond, vehicle frame."""
    tube = placed.part
    assert isinstance(tube, BentTube)
    end = tube.end_a if name == "A" else tube.end_b
    section = tube.section
    frame = placed.frame.then(Frame() if name == "A" else spine.end_frame(tube.spine))
    inward = np.asarray(frame.x) * (1.0 if name == "A" else -1.0)
    line = wrap_line(end, section.od, section.wall, name)
    at = np.linspace(0, line[-1, 0], 361)
    # The paper is seen from outside with the tube going up, so its X runs along inward x outward.
    a = at / (section.od / 2)
    zero = np.asarray(frame.direction(clock_direction(0.0)))
    outward = np.cos(a)[:, None] * zero + np.sin(a)[:, None] * np.cross(inward, zero)
    height = np.interp(at, line[:, 0], line[:, 1])
    rho = np.linspace(section.od / 2 - section.wall, section.od / 2, 5)
    beyond = np.array([0.0, 0.3, 3.0])
    return (
        np.asarray(frame.origin)
        + (height[:, None, None, None] + beyond[None, None, :, None]) * inward
        + rho[None, :, None, None] * outward[:, None, None, :]
    ).reshape(-1, 3)


def off_header(placed: Placed, at: float, points: Array) -> Array:
    """Give the distance of points from a tube's outside about the straight that has a place along it."""
    tube = placed.part
    assert isinstance(tube, BentTube)
    straights = [p for p in spine.pieces(tube.spine) if p.bend is None]
    piece = min(straights, key=lambda p: max(p.start - at, at - p.start - p.length, 0.0))
    local = placed.frame.then(piece.frame).to_local(points)
    return np.hypot(local[:, 1], local[:, 2]) - tube.fitted.od / 2


def shared_places(made: Design, rack: Rack) -> Iterator[str]:
    """Tell which parts are in one place without a finding that says so, and which findings say so without cause.

    Boxes, then meshes at 0.05 mm, then the exact common volume where no joint joins two that are near, or a mesh says
    that they meet.
    """
    said = {frozenset(f.parts) for f in made.findings if f.code == "runs-through"}
    joined = {frozenset((j.a.part, j.b.part)) for j in rack.joints}
    of = bodies(rack)
    coped = {frozenset((j.a.part, j.b.part)) for j in rack.joints if j.kind == "coped weld"}
    for a, b in near_pairs(tuple(one for one in of.values() if one.placed.word != "bedding")):
        pair = frozenset((a.placed.id, b.placed.id))
        if pair in joined:
            # A mesh cannot tell a cope that seats from one that runs in; the wrap law and the proof of its solid can.
            suspicious = pair in said or (pair not in coped and meet(a, b))
        else:
            suspicious = pair in said or distance(a, b) <= NEAR
        if not suspicious:
            continue
        try:
            both = common_volume(a, b)
        except SolidError as error:
            yield f"{a.placed.id} and {b.placed.id} cannot be compared: {error}"
            continue
        if both > SHARED and pair not in said:
            yield f"{a.placed.id} and {b.placed.id} share {both:.1f} mm³ and nothing says so"
        # Where a tube lands on a bend uncut, the kernel finds nothing either way.
        if both <= 0.0 and pair in said and not in_both(a, b):
            yield f"{a.placed.id} and {b.placed.id} are said to run into one another and share nothing"


def common_volume(a: Body, b: Body) -> float:
    """Give what two placed parts have in common, mm³, in the first one's frame, where numbers are smallest.

    Nothing in common is asked for once more with splines for cylinders, since the kernel's closed forms miss harmless
    pairs (tests/kernel has two).
    """
    there = a.placed.frame.inverse().then(b.placed.frame)
    pair = solid(a.placed.part), kernel.moved(solid(b.placed.part), there)
    for one, other in (pair, tuple(kernel.as_splines(shape) for shape in pair)):
        found = sum(kernel_probe.volume(shape) for shape in kernel.solids(kernel.common(one, other)))
        if found > 0:
            return found
    return 0.0


def in_both(a: Body, b: Body) -> bool:
    """Give whether a point lies within both meshes, by the solid angle of their triangles: a road past the kernel."""
    low, high = np.maximum(a.low, b.low), np.minimum(a.high, b.high)
    if (high <= low).any():
        return False
    steps = [np.linspace(p, q, 2 * GRID + 1)[1::2] for p, q in zip(low, high, strict=True)]
    at = np.stack(np.meshgrid(*steps, indexing="ij"), axis=-1).reshape(-1, 3)
    for body in (a, b):
        mesh = triangles(body.placed.part)
        corners = body.placed.frame.points(mesh.vertices)[mesh.faces]
        at = at[[abs(solid_angle(corners - p)) > 2 * np.pi for p in at]]
    return len(at) > 0


def solid_angle(corners: Array) -> float:
    """Give how much of the sphere about the origin triangles fill: 4 pi from within, nothing from outside."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    one, two, three = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    below = one * two * three
    for u, v, w in ((a, b, three), (b, c, one), (c, a, two)):
        below = below + np.einsum("ni,ni->n", u, v) * w
    return float(2 * np.arctan2(np.einsum("ni,ni->n", a, np.cross(b, c)), below).sum())
