"""Floors of panels on ring and bearers, notched round the uprights; raw edges of expanded metal under a strip."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from rackgen.design.choose import bar_width, thickness
from rackgen.design.plan import ring_y
from rackgen.design.site import Site
from rackgen.geom.frame import Frame
from rackgen.geom.outline import QUARTER, Contour, Vertex, cleaned
from rackgen.parts.kinds import CutPlate, FoldedBar
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed
from rackgen.spec.stock import Panel, Perforated

NOTCH = 2.0
INSIDE_PLATE = 2.0
LEAST_STRIP = 40.0
ON_PANEL = 1.0
"""Clearance of floor and strip round an upright; how far inside a side plate's inner face they end; shortest strip
worth cutting; shortest lap of a strip on a panel that is welded; mm (common practice, no source)."""


@dataclass(frozen=True)
class Edge:
    """One straight side of the floor, walked anticlockwise in its own frame: along it, and inward to the left.

    Attributes:
        begin: where its straight begins, along.
        end: where it ends.
        uprights: places along it.
        inset: inside the ring's centreline where a side plate stands, mm.
        bays: the stretches of that inset, each between two uprights.
    """

    begin: float
    end: float
    uprights: tuple[float, ...]
    inset: float = 0.0
    bays: tuple[tuple[float, float], ...] = ()

    def inset_at(self, s: float, *, after: bool) -> float:
        """Return the inset just before or just after a place along the edge, mm."""
        inside = any(low <= s < high if after else low < s <= high for low, high in self.bays)
        return self.inset if inside else 0.0


def edge_path(edge: Edge, radius: float) -> list[tuple[float, float, float]]:
    """Return (along, inward, bulge) of the vertices along an edge, with a round notch of `radius` at each upright."""
    out = [(edge.begin, edge.inset_at(edge.begin, after=True), 0.0)]
    for s in edge.uprights:
        before, behind = edge.inset_at(s, after=False), edge.inset_at(s, after=True)
        # Where the floor ends farther inside than the notch is deep, the notch ends beside the upright.
        deep_in, deep_out = min(before, radius), min(behind, radius)
        reach_in, reach_out = math.sqrt(radius**2 - deep_in**2), math.sqrt(radius**2 - deep_out**2)
        start = math.atan2(deep_in, -reach_in)
        finish = math.atan2(deep_out, reach_out)
        # The notch runs round the upright with the floor on its left, so clockwise.
        arc = [(s - reach_in, deep_in, math.tan((finish - start) / 4)), (s + reach_out, deep_out, 0.0)]
        out += [(s, before, 0.0)] if before > radius else []
        out += arc if min(before, behind) < radius else []
        out += [(s, behind, 0.0)] if behind > radius else []
    out.append((edge.end, edge.inset_at(edge.end, after=False), 0.0))
    return out


def mesh_floor(site: Site) -> Group:
    """Return panels of expanded metal, and strips over their raw edges."""
    members, joints, cuts = _panels(site, "10 mm every 75 to 100 mm, every edge strand caught")
    strips, held = _strips(site, [m.id for m in members], cuts)
    members += strips
    return Group(tuple(members), (*joints, *held), {m.id: ("basket.floor",) for m in members})


def perforated_floor(site: Site) -> Group:
    """Return panels of perforated sheet; their edges are cut through holes and dressed, and need no strip."""
    members, joints, _ = _panels(site, "tacks of 10 mm every 75 to 100 mm, between the holes")
    return Group(tuple(members), tuple(joints), {m.id: ("basket.floor",) for m in members})


def no_floor(site: Site) -> Group:
    """Return nothing: the load lies on the bearers."""
    return Group((), ())


def _panels(site: Site, weld: str) -> tuple[list[Placed], list[Joint], list[float]]:
    """Return the panels, their joints to bearers and ring, and where they begin, are joined and end."""
    spec, choice, plan = site.spec, site.choice, site.plan
    half_x = (spec.basket.length - choice.ring_od) / 2
    assert choice.floor is not None
    section = choice.floor.section
    assert isinstance(section, Panel)
    across = 2 * ring_y(spec, choice)
    # Perforated sheet is alike both ways: a floor wider than its sheet is made of panels that lie across it.
    turned = isinstance(section, Perforated) and section.width < across <= section.length
    cuts = _cuts(plan.bearers, half_x, section.width if turned else section.length)
    top = choice.ring_od / 2
    members: list[Placed] = []
    joints: list[Joint] = []
    for i, (low, high) in enumerate(itertools.pairwise(cuts)):
        contour = panel(site, low, high)
        name = f"basket.floor[{i + 1}]"
        frame = site.basket.moved((0.0, 0.0, top))
        members.append(Placed(name, CutPlate(choice.floor, contour), frame, "floor panel", 2))
        for end, x in (("front", low), ("rear", high)):
            if (end == "front" and low < 0) or (end == "rear" and high > 0):
                header = site.member(f"basket.lower.{end}")
                at = along(header, site.basket.point((math.copysign(half_x, x), 0.0, 0.0)), site.up)
                joints.append(Joint(f"{name}.{end}", "fillet", OnFace(name, "bottom", x, 0.0), at, fixing=weld))
        for k, x in enumerate(sorted(plan.bearers)):
            if low <= x <= high:
                bearer = site.member(f"basket.lower.bearer[{k + 1}]")
                at = along(bearer, site.basket.point((x, 0.0, 0.0)), site.up)
                joints.append(
                    Joint(f"{name}.bearer[{k + 1}]", "fillet", OnFace(name, "bottom", x, 0.0), at, fixing=weld)
                )
    return members, joints, cuts


def _cuts(bearers: tuple[float, ...], half_x: float, longest: float) -> list[float]:
    """Return where the floor begins, is joined on bearers, and ends: as few panels as the sheet's length allows."""
    cuts = [-half_x]
    while half_x - cuts[-1] > longest:
        reach = [b for b in sorted(bearers) if cuts[-1] + 1.0 < b <= cuts[-1] + longest]
        if not reach:
            break
        cuts.append(reach[-1])
    return [*cuts, half_x]


def edges(site: Site) -> tuple[Edge, Edge, Edge, Edge]:
    """Return front, rear, left and right edges: places along them are Y for the ends and X for the sides."""
    spec, choice, plan = site.spec, site.choice, site.plan
    half_x, half_y, clr = (spec.basket.length - choice.ring_od) / 2, ring_y(spec, choice), choice.ring_clr
    radius = choice.bar_od / 2 + NOTCH
    # An upright on a bend cannot be coped; the floor leaves it out, so that the rest can be shown.
    sides, ends = (
        tuple(u for u in sorted(places) if abs(u) <= half - clr - radius)
        for places, half in ((plan.side_uprights, half_x), (plan.end_uprights, half_y))
    )
    inset = thickness(choice.side_plate) / 2 + INSIDE_PLATE
    bays = plated(plan.side_uprights, spec.basket.side_plates)
    return (
        Edge(-(half_y - clr), half_y - clr, ends),
        Edge(-(half_y - clr), half_y - clr, ends),
        Edge(-(half_x - clr), half_x - clr, sides, inset, bays),
        Edge(-(half_x - clr), half_x - clr, sides, inset, bays),
    )


def backward(edge: Edge) -> Edge:
    """Return the edge walked the other way, places along it negated."""
    bays = tuple((-high, -low) for low, high in reversed(edge.bays))
    return Edge(-edge.end, -edge.begin, tuple(-u for u in reversed(edge.uprights)), edge.inset, bays)


def plated(side_uprights: tuple[float, ...], count: int) -> tuple[tuple[float, float], ...]:
    """Return the bays that side plates fill, front to rear: the `count` nearest mid-length, each between two uprights.

    There are fewer where there are not so many bays. Of two bays equally far from mid-length both are filled or none.
    """
    bays = sorted(itertools.pairwise(sorted(side_uprights)), key=_off_middle)
    out = bays[:count]
    if len(bays) > count > 0 and _off_middle(bays[count]) == _off_middle(out[-1]):
        out = [bay for bay in out if _off_middle(bay) != _off_middle(out[-1])]
    return tuple(sorted(out))


def _off_middle(bay: tuple[float, float]) -> float:
    return round(abs(bay[0] + bay[1]) / 2, 3)


def panel(site: Site, low: float, high: float) -> Contour:
    """Return the outline of the floor between two places fore and aft of mid-length, basket frame, anticlockwise.

    Edges end on the ring's top centreline, or inside a side plate; corners follow the ring's curve.
    """
    choice = site.choice
    half_x, half_y = (site.spec.basket.length - choice.ring_od) / 2, ring_y(site.spec, choice)
    front, rear, left, right = edges(site)
    radius = choice.bar_od / 2 + NOTCH
    out: list[Vertex] = []
    at_front, at_rear = low <= -half_x + 1e-6, high >= half_x - 1e-6

    def clipped(edge: Edge, a: float, b: float) -> list[tuple[float, float, float]]:
        begin, end = max(edge.begin, a), min(edge.end, b)
        inside = tuple(u for u in edge.uprights if begin < u < end)
        return edge_path(Edge(begin, end, inside, edge.inset, edge.bays), radius)

    # Left side at -half_y walked aft, rear walked to the right, right side walked forward, front walked to the left.
    for s, inward, bulge in clipped(left, low, high):
        out.append(Vertex(s, -half_y + inward, bulge))
    if at_rear:
        out[-1] = Vertex(out[-1].x, out[-1].y, QUARTER)
        path = edge_path(rear, radius)
        out += [Vertex(half_x - inward, s, bulge) for s, inward, bulge in path]
        out[-1] = Vertex(out[-1].x, out[-1].y, QUARTER)
    for s, inward, bulge in clipped(backward(right), -high, -low):
        out.append(Vertex(-s, half_y - inward, bulge))
    if at_front:
        out[-1] = Vertex(out[-1].x, out[-1].y, QUARTER)
        path = edge_path(backward(front), radius)
        out += [Vertex(-half_x + inward, -s, bulge) for s, inward, bulge in path]
        out[-1] = Vertex(out[-1].x, out[-1].y, QUARTER)
    return cleaned(tuple(out))


def _strips(site: Site, panels: list[str], cuts: list[float]) -> tuple[list[Placed], list[Joint]]:
    """Return the straight strips over the floor's raw edges, between the notches of the uprights."""
    choice = site.choice
    assert choice.floor is not None
    t, wide = thickness(choice.strip), bar_width(choice.strip)
    half_x, half_y = (site.spec.basket.length - choice.ring_od) / 2, ring_y(site.spec, choice)
    z = choice.ring_od / 2 + thickness(choice.floor) + t / 2
    radius = choice.bar_od / 2 + NOTCH
    front, rear, left, right = edges(site)
    members: list[Placed] = []
    joints: list[Joint] = []
    for side, edge in (("front", front), ("rear", rear), ("left", left), ("right", right)):
        stops = [edge.begin, *(s for u in edge.uprights for s in (u - radius, u + radius)), edge.end]
        pieces = [(a, b) for a, b in zip(stops[::2], stops[1::2], strict=True) if b - a >= LEAST_STRIP]
        for i, (a, b) in enumerate(pieces):
            deep = edge.inset_at((a + b) / 2, after=True) + wide / 2
            place = {
                "front": Frame((-half_x + deep, b, z), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
                "rear": Frame((half_x - deep, a, z), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
                "left": Frame((a, -half_y + deep, z), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
                "right": Frame((b, half_y - deep, z), (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
            }[side]
            name = f"basket.strip.{side}[{i + 1}]"
            frame = site.basket.then(place)
            members.append(Placed(name, FoldedBar(choice.strip, (b - a,)), frame, "edge strip", 2))
            begin, end = (site.basket.to_local(frame.point((along_it, 0.0, 0.0))) for along_it in (0.0, b - a))
            low, high = sorted((float(begin[0]), float(end[0])))
            for k, panel_id in enumerate(panels):
                # The strip lies on this panel from here to there, fore and aft of mid-length.
                first, last = max(low, cuts[k]), min(high, cuts[k + 1])
                if (last - first < ON_PANEL and high - low >= ON_PANEL) or last < first - 1e-6:
                    continue
                x = (first + last) / 2
                on_it = (b - a) / 2 if high - low < ON_PANEL else abs(x - float(begin[0]))
                y = float(begin[1] + end[1]) / 2
                joints.append(
                    Joint(f"{name}.{panel_id.split('.')[-1]}", "fillet", OnFace(name, "bottom", on_it, 0.0),
                          OnFace(panel_id, "top", x, y), fixing="through the mesh to the ring")
                )  # fmt: skip
    return members, joints
