"""An air deflector: a sheet tilted back ahead of the front tube, on tabs welded to that tube, two bolts to a tab.

Seen from the side, v runs up the sheet from where its tabs touch the tube. The lower edge follows the crown in one arc;
near the upper edge the sheet is broken back along its length, so that it does not flap.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.design.bolts import hole_for, nutted, stout_bolt
from rackgen.design.choose import bar_width, thickness
from rackgen.design.fittings.bars import bar_for
from rackgen.design.fittings.host import SHEET, Host, frame_on
from rackgen.design.fittings.placing import hosted, placed, refused
from rackgen.design.site import Site
from rackgen.errors import Finding, Level
from rackgen.geom.breaks import Break, folded_frame
from rackgen.geom.frame import Array, Frame, Vec, vec
from rackgen.geom.outline import QUARTER, Contour, Vertex
from rackgen.geom.surface import Roof
from rackgen.parts.kinds import BarHole, CutPlate, FoldedBar, PlateHole
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed
from rackgen.spec.fittings import DeflectorWish
from rackgen.spec.stock import Bolt, Stock

TAB = "deflector tab"
USUAL_SHEET = 2.0
USUAL_BAR = (40.0, 4.0)
WIDEST_BAR = 60.0
LEAST_BOLT = 6.0
SPANNER = 0.9
PAST_BOLT = 2.25
FROM_EDGE = 5.0
FROM_END = 50.0
LIP = 25.0
LIP_ANGLE = 20.0
CORNER = 20.0
CROP = 10.0
LOOKED_AT = 21
"""Usual sheet and bar, the widest bar and the thinnest bolt; from a bolt's middle to the tube, in widths of its head;
from a bolt's middle to the tab's end, in diameters; from a tab's end to the sheet's edge; from the outermost tab to the
sheet's end; how far from the upper edge and by how much the sheet is broken back, degrees; radius of its upper corners,
crop of its lower ones; mm (common practice, no source). At how many places its lower edge is held against the roof."""


@dataclass(frozen=True)
class _Lie:
    """How the sheet lies; mm, vehicle frame.

    Attributes:
        origin: of v and y: where tabs touch the tube's outside, in the vehicle's middle.
        across: unit vector along the tube, to the right.
        up: unit vector up the slope.
        out: unit vector off the sheet's face, forward and up.
        back: from the tube's outside to the sheet's back: the tabs' thickness.
        thick: of the sheet.
    """

    origin: Vec
    across: Vec
    up: Vec
    out: Vec
    back: float
    thick: float

    def point(self, y: float, v: float, off: float) -> Array:
        """Return a point by its place across and up, and how far it is off the tube's outside."""
        return self.points(np.array([y]), np.array([v]), off)[0]

    def points(self, y: Array, v: Array, off: float) -> Array:
        """Return points alike, shape (n, 3)."""
        return (
            np.asarray(self.origin)
            + y[:, None] * np.asarray(self.across)
            + v[:, None] * np.asarray(self.up)
            + off * np.asarray(self.out)
        )


def deflector(site: Site, wish: DeflectorWish) -> Group:
    """Return the sheet, its tabs and bolts.

    Raises:
        BadInput: no front tube runs across, or the shop lacks sheet, bar or bolts.
    """
    here = hosted(site, wish.entry, "frame", "front")
    sheet, bar = _sheet(site, wish), bar_for(site, wish.entry, wish.bar, USUAL_BAR, WIDEST_BAR)
    bolt = stout_bolt(site.shop, LEAST_BOLT, "the air deflector")
    a = math.radians(wish.tilt)
    out, up = np.asarray(here.out), np.asarray(here.up)
    slope, off = up * math.cos(a) - out * math.sin(a), out * math.cos(a) + up * math.sin(a)
    here = here.touched(vec(off))
    low, high = here.open_ends()
    width = wish.width or 5.0 * math.floor((high - low) / 5.0)
    half = bar_width(bar) / 2
    reach = min(width / 2 - FROM_END, min(-low, high) - half)
    usual = [-reach + 2 * reach * k / (wish.tabs - 1) for k in range(wish.tabs)]
    at = placed(site, wish.entry, here, None, usual, half)
    first = here.over(at[0], half)
    assert first is not None
    origin = np.asarray(first.point(at[0])) - at[0] * np.asarray(first.way) + here.radius * off
    lie = _Lie(vec(origin), vec(np.asarray(site.plan.frame.y)), vec(slope), vec(off), thickness(bar), thickness(sheet))
    nut = here.radius + SPANNER * bolt.head_across
    end = nut + PAST_BOLT * bolt.diameter
    edge, said = _lower_edge(site.vehicle.roof, lie, wish, width)
    _room(site, wish, -max(edge), end)
    name = f"fitting[{wish.entry}]"
    part = _sheet_part(
        sheet, wish, width, edge, end, [(-y, v) for y in at for v in (-nut, nut)], hole_for(bolt.diameter)
    )
    frame = Frame.of(lie.point(0.0, 0.0, lie.back), -np.asarray(lie.across), lie.out)
    frame = frame.then(folded_frame(part.breaks, lie.thick, 0.0, 0.0).inverse())
    panel = Placed(f"{name}.sheet", part, frame, SHEET, 2)
    members, joints = [panel], list[Joint]()
    for k, y in enumerate(at, 1):
        more, made = _tab(site, wish, here, lie, bar, bolt, panel, f"{name}.tab[{k}]", y, nut, end)
        members += more
        joints += made
    findings = list(said)
    if len(at) < wish.tabs:
        findings.append(_fewer(wish, panel, len(at)))
    return Group(tuple(members), tuple(joints), {m.id: (name,) for m in members}, tuple(findings))


def _sheet(site: Site, wish: DeflectorWish) -> Stock:
    sheets = [s for s, _ in site.shop.sheets()]
    if wish.plate is not None:
        return next(s for s in sheets if s.name == wish.plate)
    if not sheets:
        raise refused(site, wish.entry, "plate", f"put sheet of about {USUAL_SHEET:g} mm on the shelf")
    return min(sheets, key=lambda s: (abs(thickness(s) - USUAL_SHEET), s.name))


def _lower_edge(
    roof: Roof, lie: _Lie, wish: DeflectorWish, width: float
) -> tuple[tuple[float, float, float], tuple[Finding, ...]]:
    """Return v of the lower edge at its left end, middle and right end: in one arc it keeps the gap everywhere."""
    first, last = roof.span()

    places = np.linspace(-width / 2, width / 2, LOOKED_AT)

    def over(v: Array) -> Array:
        """Return how far the nearer of the edge's two corners is from the roof's tangent plane, at every place."""
        least = np.full(LOOKED_AT, np.inf)
        for off in (lie.back, lie.back + lie.thick):
            x, across, z = lie.points(places, v, off).T
            x = np.clip(x, first, last)
            most = roof.half_width(x, across) - 1e-3
            across = np.clip(across, -most, most)
            zx, zy = roof.slope(x, across)
            least = np.minimum(least, (z - roof.height(x, across)) / np.sqrt(1 + zx * zx + zy * zy))
        return least

    # Where the gap is just kept: halved at all places at once.
    low, wanted = np.full(LOOKED_AT, -600.0), np.full(LOOKED_AT, wish.above)
    for _ in range(50):
        half = (low + wanted) / 2
        under = over(half) < wish.gap
        low, wanted = np.where(under, half, low), np.where(under, wanted, half)
    left, middle, right = float(wanted[0]), float(wanted[LOOKED_AT // 2]), float(wanted[-1])
    share = places / (width / 2)
    # Near enough to the arc for lifting it by what a place lacks; the three points are then on whole millimetres.
    arc = middle + (right - left) / 2 * share + ((left + right) / 2 - middle) * share**2
    lift = max(0.0, float((wanted - arc).max()))
    edge = (math.ceil(left + lift), math.ceil(middle + lift), math.ceil(right + lift))
    ahead = first - float(lie.point(0.0, edge[1], lie.back)[0])
    if ahead <= 0:
        return edge, ()
    return edge, (
        Finding(
            "roof-not-measured", Level.LOOK, (f"fitting[{wish.entry}].sheet",),
            f"the deflector's lower edge lies {ahead:.0f} mm ahead of where the roof was measured; the roof is taken "
            "as level from there",
            got=ahead, limit=0.0, keys=("roof.station", f"fitting[{wish.entry}]"),
            help="measure a station further ahead, or cut the lower edge to a template held on the roof",
        ),
    )  # fmt: skip


def _sheet_part(
    sheet: Stock,
    wish: DeflectorWish,
    width: float,
    edge: tuple[float, float, float],
    end: float,
    holes: list[tuple[float, float]],
    diameter: float,
) -> CutPlate:
    """Return the sheet: X to the left, Y up the slope, Z off its face."""
    half, top = width / 2, wish.above
    left, middle, right = edge
    r = min(CORNER, half / 2)
    # The arc ends where the lower corners are cropped.
    share = 1.0 - CROP / half
    bow = (left + right) / 2 - middle
    ends = [middle + side * (right - left) / 2 * share + bow * share**2 for side in (1.0, -1.0)]
    sag = middle - sum(ends) / 2
    chord = math.hypot(width - 2 * CROP, ends[0] - ends[1])
    # Anticlockwise from the lower corner on the right side of the vehicle, which is at -X.
    outline: Contour = (
        Vertex(-half, right + CROP),
        Vertex(-half + CROP, ends[0], -2.0 * sag / chord if abs(sag) > 0.25 else 0.0),
        Vertex(half - CROP, ends[1]),
        Vertex(half, left + CROP),
        Vertex(half, top - r, QUARTER),
        Vertex(half - r, top),
        Vertex(-half + r, top, QUARTER),
        Vertex(-half, top - r),
    )
    breaks = (Break((0.0, top - LIP), 0.0, LIP_ANGLE),) if top - LIP > end + FROM_EDGE else ()
    return CutPlate(sheet, outline, tuple(PlateHole(x, v, diameter) for x, v in holes), (), breaks)


def _tab(
    site: Site,
    wish: DeflectorWish,
    here: Host,
    lie: _Lie,
    bar: Stock,
    bolt: Bolt,
    panel: Placed,
    name: str,
    y: float,
    nut: float,
    end: float,
) -> tuple[list[Placed], list[Joint]]:
    """Return one tab with its two bolts."""
    stretch, frame = frame_on(here, y, bar_width(bar) / 2)
    hole = hole_for(bolt.diameter)
    part = FoldedBar(bar, (2 * end,), (), holes=tuple(BarHole(0, end + v, 0.0, hole) for v in (-nut, nut)))
    tab = Placed(name, part, Frame.of(lie.point(y, -end, lie.back / 2), lie.up, lie.out), TAB, 2)
    item = nutted(site.shop, bolt, lie.back + lie.thick, "the air deflector")
    joints = [
        Joint(f"{name}.weld", "fillet", OnFace(name, "bottom", end, 0.0), along(stretch.tube, frame.origin, lie.out),
              fixing="fillet both sides of the tube"),
        Joint(f"{name}.sheet", "contact", OnFace(name, "top", end, 0.0), OnFace(panel.id, "bottom", -y, 0.0),
              None, 0, "vehicle", "bolted on after coating"),
    ]  # fmt: skip
    members = [tab]
    for k, v in enumerate((-nut, nut), 1):
        one = Placed(
            f"{name}.bolt[{k}]", item, Frame.of(lie.point(y, v, lie.back + lie.thick), lie.up, lie.out), "bolt", 0
        )
        members.append(one)
        joints += [
            Joint(f"{one.id}.sheet", "bolts", OnFace(one.id, "bottom", 0.0, 0.0), OnFace(panel.id, "top", -y, v),
                  None, 0, "vehicle", item.name),
            Joint(f"{one.id}.tab", "bolts", OnFace(one.id, "bottom", 0.0, 0.0), OnFace(name, "top", end + v, 0.0),
                  None, 0, "vehicle", item.name),
        ]  # fmt: skip
    return members, joints


def _room(site: Site, wish: DeflectorWish, below: float, end: float) -> None:
    """Refuse a sheet that does not reach past its tabs' ends, below or above the tube."""
    need = math.ceil(end + FROM_EDGE)
    if below < need:
        raise refused(
            site, wish.entry, "kind",
            f"at a tilt of {wish.tilt:g} degrees and a gap of {wish.gap:.0f} mm it reaches {below:.0f} mm below the "
            f"front tube along its slope, and its tabs with their bolts need {need} mm: let it lean further back or "
            "come nearer the roof, or lift the frame",
        )  # fmt: skip
    if wish.above < need:
        raise refused(
            site, wish.entry, "above",
            f"its tabs with their bolts need {need} mm above the front tube; set above to that or more",
        )  # fmt: skip


def _fewer(wish: DeflectorWish, panel: Placed, count: int) -> Finding:
    return Finding(
        "deflector-tabs", Level.LOOK, (panel.id,),
        f"the front tube has room for {count} of the {wish.tabs} tabs that are asked for",
        got=count, limit=wish.tabs, unit="", keys=(f"fitting[{wish.entry}].tabs",), help=f"set tabs to {count}",
    )  # fmt: skip
