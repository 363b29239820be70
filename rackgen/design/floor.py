"""Floors of panels on ring and bearers, notched round the uprights; raw edges of expanded metal under a strip."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
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
STRIP_GAP = 2.0
"""Clearance of floor and strip round an upright; how far inside a side plate's inner face they end; shortest strip
worth cutting; shortest lap of a strip on a panel that is welded; from a seam's strip to those at the ends; mm (common
practice, no source)."""


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


@dataclass(frozen=True)
class Piece:
    """One panel of the floor, by where it lies in the basket's frame.

    Attributes:
        id: of the part.
        x: from and to, fore and aft of mid-length, mm.
        y: from and to, left and right of the middle, mm.
    """

    id: str
    x: tuple[float, float]
    y: tuple[float, float]

    @property
    def across(self) -> float:
        """Y of its middle, mm."""
        return sum(self.y) / 2


def mesh_floor(site: Site) -> Group:
    """Return panels of expanded metal, and strips over their raw edges."""
    members, joints, pieces = _panels(site, "10 mm every 75 to 100 mm, every edge strand caught")
    for strips, held in (_strips(site, pieces), seam_strips(site, pieces)):
        members += strips
        joints += held
    return Group(tuple(members), tuple(joints), {m.id: ("basket.floor",) for m in members})


def perforated_floor(site: Site) -> Group:
    """Return panels of perforated sheet; their edges are cut through holes and dressed, and need no strip."""
    members, joints, pieces = _panels(site, "tacks of 10 mm every 75 to 100 mm, between the holes")
    strips, held = seam_strips(site, pieces)
    members += strips
    return Group(tuple(members), (*joints, *held), {m.id: ("basket.floor",) for m in members})


def no_floor(site: Site) -> Group:
    """Return nothing: the load lies on the bearers."""
    return Group((), ())


def _panels(site: Site, weld: str) -> tuple[list[Placed], list[Joint], list[Piece]]:
    """Return the panels, their joints to bearers and ring, and where they lie."""
    spec, choice, plan = site.spec, site.choice, site.plan
    half_x, half_y = (spec.basket.length - choice.ring_od) / 2, ring_y(spec, choice)
    assert choice.floor is not None
    section = choice.floor.section
    assert isinstance(section, Panel)
    # Perforated sheet is alike both ways: a floor wider than its sheet is made of panels that lie across it.
    turned = isinstance(section, Perforated) and section.width < 2 * half_y <= section.length
    rows = _cuts(plan.bearers, half_x, section.width if turned else section.length)
    columns = _seams(site, half_y, section.length if turned else section.width)
    grid = itertools.product(itertools.pairwise(rows), itertools.pairwise(columns))
    pieces = [Piece(f"basket.floor[{i + 1}]", x, y) for i, (x, y) in enumerate(grid)]
    top = choice.ring_od / 2
    members: list[Placed] = []
    joints: list[Joint] = []
    for piece in pieces:
        frame = site.basket.moved((0.0, 0.0, top))
        members.append(Placed(piece.id, CutPlate(choice.floor, panel(site, piece)), frame, "floor panel", 2))
        (low, high), y = piece.x, piece.across
        for end, x in (("front", low), ("rear", high)):
            if (end == "front" and low < 0) or (end == "rear" and high > 0):
                header = site.member(f"basket.lower.{end}")
                at = along(header, site.basket.point((math.copysign(half_x, x), y, 0.0)), site.up)
                joints.append(Joint(f"{piece.id}.{end}", "fillet", OnFace(piece.id, "bottom", x, y), at, fixing=weld))
        for k, x in enumerate(sorted(plan.bearers)):
            if low <= x <= high:
                bearer = site.member(f"basket.lower.bearer[{k + 1}]")
                at = along(bearer, site.basket.point((x, y, 0.0)), site.up)
                joints.append(
                    Joint(f"{piece.id}.bearer[{k + 1}]", "fillet", OnFace(piece.id, "bottom", x, y), at, fixing=weld)
                )
    return members, joints, pieces


def _cuts(bearers: tuple[float, ...], half_x: float, longest: float) -> list[float]:
    """Return where the floor begins, is joined on bearers, and ends: as few panels as the sheet's length allows."""
    cuts = [-half_x]
    while half_x - cuts[-1] > longest:
        reach = [b for b in sorted(bearers) if cuts[-1] + 1.0 < b <= cuts[-1] + longest]
        if not reach:
            break
        cuts.append(reach[-1])
    return [*cuts, half_x]


def _seams(site: Site, half_y: float, widest: float) -> list[float]:
    """Return where the floor begins on the left, where panels meet fore and aft, and where it ends on the right.

    They share the width evenly, but for uprights at the ends, which a seam keeps clear of with its strip.
    """
    count = math.ceil(2 * half_y / widest - 1e-9)
    clear = site.choice.bar_od / 2 + NOTCH + bar_width(site.choice.strip)
    seams: list[float] = []
    for k in range(1, count):
        even = half_y * (2 * k / count - 1)
        tries = [even, *(u + way * clear for u in site.plan.end_uprights for way in (-1.0, 1.0))]
        good = [y for y in tries if all(abs(y - u) >= clear - 1e-6 for u in site.plan.end_uprights)]
        seams.append(min(good, key=lambda y: (abs(y - even), y), default=even))
    return [-half_y, *seams, half_y]


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


def panel(site: Site, piece: Piece) -> Contour:
    """Return the outline of a panel, basket frame, anticlockwise.

    Edges end on the ring's top centreline, or inside a side plate; corners follow the ring's curve. Panels meet on the
    middle of a bearer, and of a strip fore and aft.
    """
    choice = site.choice
    half_x, half_y = (site.spec.basket.length - choice.ring_od) / 2, ring_y(site.spec, choice)
    front, rear, left, right = edges(site)
    radius = choice.bar_od / 2 + NOTCH
    (low, high), (begin, end) = piece.x, piece.y
    at_front, at_rear = low <= -half_x + 1e-6, high >= half_x - 1e-6
    at_left, at_right = begin <= -half_y + 1e-6, end >= half_y - 1e-6
    out: list[Vertex] = []

    def clipped(edge: Edge, a: float, b: float) -> list[tuple[float, float, float]]:
        first, last = max(edge.begin, a), min(edge.end, b)
        inside = tuple(u for u in edge.uprights if first < u < last)
        return edge_path(Edge(first, last, inside, edge.inset, edge.bays), radius)

    def corner(there: bool) -> None:
        if there:
            out[-1] = Vertex(out[-1].x, out[-1].y, QUARTER)

    # Left side at -half_y walked aft, rear walked to the right, right side walked forward, front walked to the left.
    if at_left:
        out += [Vertex(s, -half_y + inward, bulge) for s, inward, bulge in clipped(left, low, high)]
    else:
        out += [Vertex(low, begin), Vertex(high, begin)]
    if at_rear:
        corner(at_left)
        out += [Vertex(half_x - inward, s, bulge) for s, inward, bulge in clipped(rear, begin, end)]
        corner(at_right)
    if at_right:
        out += [Vertex(-s, half_y - inward, bulge) for s, inward, bulge in clipped(backward(right), -high, -low)]
    else:
        out += [Vertex(high, end), Vertex(low, end)]
    if at_front:
        corner(at_right)
        out += [Vertex(-half_x + inward, -s, bulge) for s, inward, bulge in clipped(backward(front), -end, -begin)]
        corner(at_left)
    return cleaned(tuple(out))


def _strips(site: Site, pieces: Sequence[Piece]) -> tuple[list[Placed], list[Joint]]:
    """Return the straight strips over the floor's raw edges, between the notches of the uprights."""
    choice = site.choice
    wide = bar_width(choice.strip)
    half_x, half_y = (site.spec.basket.length - choice.ring_od) / 2, ring_y(site.spec, choice)
    z = _on_floor(site)
    radius = choice.bar_od / 2 + NOTCH
    front, rear, left, right = edges(site)
    members: list[Placed] = []
    joints: list[Joint] = []
    for side, edge in (("front", front), ("rear", rear), ("left", left), ("right", right)):
        stops = [edge.begin, *(s for u in edge.uprights for s in (u - radius, u + radius)), edge.end]
        free = [(a, b) for a, b in zip(stops[::2], stops[1::2], strict=True) if b - a >= LEAST_STRIP]
        for i, (a, b) in enumerate(free):
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
            joints += _laps(name, place, b - a, pieces, "through the mesh to the ring")
    return members, joints


def seam_strips(site: Site, pieces: Sequence[Piece]) -> tuple[list[Placed], list[Joint]]:
    """Return the strips over the seams fore and aft, where no tube lies under them, between the strips at the ends."""
    choice = site.choice
    half_x = (site.spec.basket.length - choice.ring_od) / 2
    long = 2 * (half_x - bar_width(choice.strip) - STRIP_GAP)
    members: list[Placed] = []
    joints: list[Joint] = []
    for k, y in enumerate(sorted({piece.y[0] for piece in pieces})[1:]):
        place = Frame((-long / 2, y, _on_floor(site)), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
        name = f"basket.strip.seam[{k + 1}]"
        members.append(Placed(name, FoldedBar(choice.strip, (long,)), site.basket.then(place), "edge strip", 2))
        joints += _laps(name, place, long, pieces, "both panels to it, 20 mm every 100 mm")
    return members, joints


def _on_floor(site: Site) -> float:
    """Return Z of the middle of a strip that lies on the floor, basket frame, mm."""
    choice = site.choice
    assert choice.floor is not None
    return choice.ring_od / 2 + thickness(choice.floor) + thickness(choice.strip) / 2


def _laps(name: str, place: Frame, long: float, pieces: Sequence[Piece], weld: str) -> Iterator[Joint]:
    """Yield the joints of a strip to the panels that it lies on; its place is in the basket's frame."""
    run, aside = (0, 1) if place.x[0] else (1, 0)
    ends = sorted((place.origin[run], place.origin[run] + long * place.x[run]))
    for piece in pieces:
        spans = piece.x, piece.y
        first, last = max(ends[0], spans[run][0]), min(ends[1], spans[run][1])
        over = spans[aside][0] - 1e-6 <= place.origin[aside] <= spans[aside][1] + 1e-6
        if not over or last - first < ON_PANEL:
            continue
        middle = (first + last) / 2
        at = (place.origin[0], middle) if run else (middle, place.origin[1])
        yield Joint(
            f"{name}.{piece.id.split('.')[-1]}", "fillet", OnFace(name, "bottom", abs(middle - place.origin[run]), 0.0),
            OnFace(piece.id, "top", *at), fixing=weld,
        )  # fmt: skip
