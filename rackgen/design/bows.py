"""Bows across a van: each bent from one tube, its legs cut to their feet; straight ties between them if asked for."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np

from rackgen.design.bow_shape import Bow
from rackgen.design.foot import Header, foot
from rackgen.design.site import Site, bent, hole_toward, straight, tube_of, vented, with_holes
from rackgen.errors import BadInput, Finding, GeometryError, Mistake
from rackgen.geom import spine
from rackgen.geom.frame import Frame, Vec, vec
from rackgen.parts.place import along
from rackgen.parts.rack import AtEnd, Group, Joint, Placed
from rackgen.spec.shop import BOW

DRAIN = 2.5
"""Where a leg drains over its foot, in diameters (common practice, no source)."""


def bows(site: Site) -> Group:
    """Return the bows with their feet, and the ties.

    Raises:
        BadInput: a bow cannot be bent, or the shop has no bolt or bar for a foot.
    """
    members: list[Placed] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    keys: dict[str, tuple[str, ...]] = {}
    arches: list[Placed] = []
    shapes: list[Bow] = []
    for i, shape in enumerate(site.plan.bows):
        name = f"frame.bow[{i + 1}]"
        way = vec(np.subtract(shape.points[-1], shape.points[0]) * (1.0, 1.0, 0.0))
        x = (shape.left.at[0] + shape.right.at[0]) / 2
        feet = [
            # A leg may lean: the foot lies under the place where it stands, not under its shoulder. It is set at the
            # same X as its face was asked for, so that the bow lies in one plane.
            foot(site, place, Header((x, shape.points[at][1], shape.points[1][2]), _unit(way), site.choice.frame_od))
            for place, at in ((shape.left, 0), (shape.right, -1))
        ]
        shape = _upright(shape, feet[0].at, feet[1].at)
        shapes.append(shape)
        arch = _bow(site, name, shape)
        arches.append(arch)
        members.append(arch)
        keys[name] = ("frame", "clearances.tube")
        for place, letter, stands in ((shape.left, "A", feet[0]), (shape.right, "B", feet[1])):
            joints.append(
                Joint(f"{name}.{place.name}", "plane weld", AtEnd(name, "A" if letter == "A" else "B"), stands.face,
                      "a", fixing="fillet all round")
            )  # fmt: skip
            members += stands.group.members
            joints += stands.group.joints
            findings += stands.group.findings
            keys |= stands.group.keys
    ties, coped = _ties(site, arches, shapes)
    keys |= {t.id: ("frame.ties",) for t in ties}
    return Group((*members, *ties), (*joints, *coped), keys, tuple(findings))


def _upright(shape: Bow, left: Vec, right: Vec) -> Bow:
    """Return a bow from foot to foot as these stand, in one plane through both: a bender turns no tube by a hair."""

    def over(point: Vec) -> Vec:
        return vec((left[0] + (right[0] - left[0]) * (point[1] - left[1]) / (right[1] - left[1]), *point[1:]))

    return replace(shape, points=(left, *(over(p) for p in shape.points[1:-1]), right))


def _bow(site: Site, name: str, shape: Bow) -> Placed:
    try:
        line, inner = spine.from_points(shape.points, site.choice.frame_die.clr)
    except GeometryError as error:
        raise BadInput([Mistake(site.spec.name, "frame", 0, "", f"a bow cannot be bent: {error}")]) from error
    arch = bent(Frame(), name, BOW, site.choice.frame, line, inner)
    total, off = spine.length(tube_of(arch).spine), DRAIN * site.choice.frame_od
    drains = [
        hole_toward(arch, at, (0.0, inboard, 0.0), "drain") for at, inboard in ((off, 1.0), (total - off, -1.0))
    ]  # fmt: skip
    return with_holes(arch, drains)


def _ties(site: Site, arches: list[Placed], shapes: list[Bow]) -> tuple[list[Placed], list[Joint]]:
    """Return straight tubes from each bow to the next, numbered front to rear, then left to right."""
    ties: list[Placed] = []
    joints: list[Joint] = []
    for (k, one), (_, other) in itertools.pairwise(enumerate(arches)):
        for y in sorted(site.spec.frame.ties):
            ends = [_at(shape, y) for shape in shapes[k : k + 2]]
            name = f"frame.tie[{len(ties) + 1}]"
            tie = straight(Frame(), name, "tie", 2, site.choice.bar, ends[0], ends[1])
            half = site.choice.frame_od / 2
            ties.append(vented(tie, (0.0, 0.0, -1.0), [(p, half) for p in ends]))
            for bow, letter, here, there in ((one, "A", ends[0], ends[1]), (other, "B", ends[1], ends[0])):
                toward = vec(np.subtract(there, here))
                joints.append(
                    Joint(f"{name}.{'front' if letter == 'A' else 'rear'}", "coped weld",
                          AtEnd(name, "A" if letter == "A" else "B"), along(bow, here, toward), "a",
                          fixing="fillet all round")
                )  # fmt: skip
    return ties, joints


def _at(shape: Bow, y: float) -> Vec:
    """Return the point of a bow's back at a place across."""
    back = shape.points[1:-1]
    ys = [p[1] for p in back]
    return vec([float(np.interp(y, ys, [p[i] for p in back])) if i != 1 else y for i in range(3)])


def _unit(way: Vec) -> Vec:
    return vec(np.asarray(way) / float(np.linalg.norm(way)))
