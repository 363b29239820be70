"""A foot on a drip rail: a jaw with a hook under the gutter, a clamp inside it, and bolts that draw the two together.

The jaw is one flat bar. Its top carries the stub; its web lies on the outside of the lip; its hook comes round under
the gutter and up again until its tip bears under the floor, so that it must move outward to let go. The clamp is a
straight bar that stands in the trough on the inside of the lip, its upper end hard under the jaw's top: what presses
down goes straight into the trough's floor. Above the lip a heel, as thick as the lip, keeps the two parallel when the
bolts between heel and lip are drawn up, so that jaw and clamp bear on both. With the clamp on the inside of the lip the
hook cannot move outward: lifting bends it and no more.

Seen from ahead: u outboard from the lip's outer face, v up from its top edge.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from rackgen.design.bolts import hole_for, nutted, stout_bolt
from rackgen.design.choose import Choice, bar_width, thickness
from rackgen.design.feet.pad import WELD_ROOM, slid, stub_top
from rackgen.design.feet.record import Foot, Header
from rackgen.design.site import Site
from rackgen.errors import BadInput, Finding, Level, Mistake
from rackgen.geom.fold import Fold, legs_and_arcs
from rackgen.geom.frame import Frame, Vec, unit
from rackgen.geom.outline import rectangle
from rackgen.geom.surface import Roof
from rackgen.parts.fold_radius import folded_on
from rackgen.parts.kinds import BarEnd, BarHole, CutPlate, FoldedBar
from rackgen.parts.rack import Group, Joint, OnFace, Placed
from rackgen.spec.foot_place import FootPlace, GutterPlace
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Bolt, Stock

USUAL = (50.0, 5.0)
THICK = (3.0, 8.0)
LEAST_BOLT = 8.0
ABOVE_LIP = 1.5
OVER_HOLE = 2.0
HEEL_HIGH = 20.0
HEEL_THIN = 1.5
ROOF_ROOM = 8.0
TROUGH_ROOM = 1.0
DOOR_ROOM = 3.0
BESIDE_FOLD = 1.0
EASED = 3.0
EDGE = 2.0
PITCH = 3.0
"""Usual bar of a jaw, and how thick one may be; thinnest bolt; a bolt's hole above the lip and the heel above the hole;
height of the heel, and by how much it may be thinner than the lip; the jaw's top over the roof; nut and hook in the
trough; hook over a door; stub beside the fold; corners of the bars' ends; mm; edge and pitch of its bolts in holes'
diameters (common practice, no source)."""

UPTURNS = (15.0, 20.0, 25.0, 30.0)
"""How far past square a hook may be folded, degrees: the least that fits the trough is taken; no fold beyond 120."""


@dataclass(frozen=True)
class Jaw:
    """The section of a jaw and its clamp; mm in u and v, degrees.

    Attributes:
        bar: stock of jaw and clamp.
        bolt: that draws them together.
        radius: inside radius of both folds.
        upturn: of the hook, past square.
        tip: how far inboard the hook reaches, its thickness in it.
        bears: how far inboard its tip bears under the gutter's floor.
        low: how far the hook reaches below the gutter's floor.
        nut: how far inboard the bolts' ends reach.
        bolts: v of the bolts' middles.
        across: of the bolts from mid-width of the bar.
        heel: stock of the heel, or None where the shelf has none thin enough.
        heel_low: v of its lower edge.
        top: v of the jaw's upper face.
        clamp_top: v of the clamp's upper end.
        stub: u of the stub's axis.
        inboard: u of the jaw's inner end.
    """

    bar: Stock
    bolt: Bolt
    radius: float
    upturn: float
    tip: float
    bears: float
    low: float
    nut: float
    bolts: float
    across: tuple[float, ...]
    heel: Stock | None
    heel_low: float
    top: float
    clamp_top: float
    stub: float
    inboard: float

    @property
    def t(self) -> float:
        """Thickness of the bar, mm."""
        return thickness(self.bar)

    @property
    def hook(self) -> float:
        """Straight of the hook beyond its fold, mm."""
        return self.radius / math.tan(math.radians(self.upturn))


def jaw_of(place: GutterPlace, shop: Shop, choice: Choice, roof: Roof, x: float) -> Jaw:
    """Return the section of a jaw at a place of its gutter: of the first bar whose hook the trough has room for.

    Raises:
        BadInput: the shop has no bar or bolt for it.
    """
    bolt = stout_bolt(shop, LEAST_BOLT, f"the jaw at {place.name}")
    wide = choice.frame_od + 2 * WELD_ROOM
    bars = [s for s, f in shop.bars() if f.width >= wide - 1e-6 and THICK[0] - 1e-6 <= f.thickness <= THICK[1] + 1e-6]
    if not bars:
        wanted = (
            f"the jaw at {place.name} needs flat bar {wide:.0f} mm wide or more, {THICK[0]:g} to {THICK[1]:g} thick"
        )
        raise BadInput([Mistake(f"shop {shop.name}", "bar", 0, "", wanted)])
    bars.sort(key=lambda s: (abs(thickness(s) - USUAL[1]), abs(bar_width(s) - USUAL[0]), s.name))
    tries = [_section(place, shop, choice, roof, x, bar, bolt) for bar in bars]
    return next((jaw for jaw in tries if _fits(place, jaw)), tries[0])


def _fits(place: GutterPlace, jaw: Jaw) -> bool:
    room = place.width + place.metal - TROUGH_ROOM
    return jaw.tip <= room and jaw.nut <= room and jaw.low + DOOR_ROOM <= place.below


def _section(place: GutterPlace, shop: Shop, choice: Choice, roof: Roof, x: float, bar: Stock, bolt: Bolt) -> Jaw:
    t, m, hole = thickness(bar), place.metal, hole_for(bolt.diameter)
    r = folded_on(bar, 90.0 + UPTURNS[-1])
    tips = {a: _tip(a, r, t) for a in UPTURNS}
    room = place.width + m - TROUGH_ROOM
    upturn = next((a for a in UPTURNS if tips[a] <= room), UPTURNS[-1])
    height = ABOVE_LIP + hole / 2
    heel_low = height + hole / 2 + OVER_HOLE
    # The clamp's outer corner comes up under the inside of the fold.
    under_fold = r - math.sqrt(max(r * r - max(r - m, 0.0) ** 2, 0.0))
    least = heel_low + HEEL_HIGH + r + t
    stub = -r - BESIDE_FOLD - choice.frame_od / 2
    inboard = stub - choice.frame_od / 2 - WELD_ROOM
    top = math.ceil(max(least, _over_roof(place, roof, x, inboard, bar_width(bar) / 2) + t))
    return Jaw(
        bar, bolt, r, upturn, tips[upturn], tips[upturn] - t * math.sin(math.radians(upturn)), r + t,
        m + t + bolt.washer_thickness + bolt.nut_height + 2.0, height,
        _across(bar_width(bar), hole),
        _heel(shop, m), heel_low, top, top - t - under_fold, stub, inboard,
    )  # fmt: skip


def _across(wide: float, hole: float) -> tuple[float, ...]:
    """Return where bolts stand across a bar: two where it is wide enough for their pitch and edges, else one."""
    half = wide / 2 - EDGE * hole
    return (-half, half) if 2 * half >= PITCH * hole else (0.0,)


def _tip(upturn: float, r: float, t: float) -> float:
    """Return how far inboard of the lip's outer face a hook reaches, mm."""
    a = math.radians(upturn)
    return r + r * math.sin(a) + r / math.tan(a) * math.cos(a) + t * math.sin(a)


def _heel(shop: Shop, metal: float) -> Stock | None:
    """Return the thickest plate that is no thicker than the lip, and not much thinner."""
    fits = [s for s, p in shop.sheets() if metal - HEEL_THIN - 1e-6 <= p.thickness <= metal + 1e-6]
    return max(fits, key=lambda s: (thickness(s), s.name), default=None)


def _over_roof(place: GutterPlace, roof: Roof, x: float, inboard: float, half: float) -> float:
    """Return how high over the lip's top edge the jaw's underside has to be to clear the roof beside the gutter."""
    at = slid(place.at, place.pitch, place.zone, x)
    side = math.copysign(1.0, at[1])
    out: list[float] = []
    for along in (-half, 0.0, half):
        here = at[0] + along
        edge = float(roof.half_width(here, at[1]))
        level = at[2] - along * math.tan(math.radians(place.pitch))
        for u in np.linspace(inboard, 0.0, 12):
            y = min(abs(at[1]) + float(u), edge) if math.isfinite(edge) else math.nan
            z = float(roof.height(here, side * y)) if math.isfinite(y) else math.nan
            # Beside the measured roof its edge is the nearest that is known of it.
            if math.isfinite(z) and abs(at[1]) + float(u) <= edge + ROOF_ROOM:
                out.append(z - level)
    return max(out, default=-math.inf) + ROOF_ROOM


def gutter_frame(place: GutterPlace, x: float) -> Frame:
    """Return the frame of a gutter at a place: origin on the lip's top edge, X outboard, Z off the rail.

    Y is along the rail: forward on the right, aft on the left.
    """
    at = slid(place.at, place.pitch, place.zone, x)
    tilt = math.radians(place.pitch)
    up = unit((math.sin(tilt), 0.0, math.cos(tilt)))
    return Frame.of(at, (0.0, math.copysign(1.0, at[1]), 0.0), up)


def jaw_face(place: GutterPlace, shop: Shop, choice: Choice, roof: Roof, x: float) -> tuple[Vec, Vec]:
    """Return where a stub's axis meets the jaw's top, and the way off it, vehicle frame.

    Raises:
        BadInput: the shop has no bar or bolt for it.
    """
    jaw, frame = jaw_of(place, shop, choice, roof, x), gutter_frame(place, x)
    return frame.point((jaw.stub, 0.0, jaw.top)), frame.z


def gutter_foot(site: Site, place: FootPlace, header: Header) -> Foot:
    """Return jaw, clamp, heel and bolts on a drip rail under a tube.

    Raises:
        BadInput: the shop has no bar or bolt for them.
    """
    assert isinstance(place, GutterPlace)
    name, x = f"mount.{place.name}", header.at[0]
    jaw = jaw_of(place, site.shop, site.choice, site.vehicle.roof, x)
    frame = gutter_frame(place, x)
    hooked, clamp = _jaw_part(name, place, jaw, frame), _clamp_part(name, place, jaw, frame)
    heel = _heel_part(name, place, jaw, frame)
    members, joints = [hooked, clamp], list[Joint]()
    if heel is not None:
        members.append(heel)
        joints.append(
            Joint(heel.id, "fillet", OnFace(clamp.id, "top", jaw.heel_low + HEEL_HIGH / 2 + place.depth, 0.0),
                  OnFace(heel.id, "bottom", 0.0, 0.0), None, 0, "bench",
                  "both ends of the heel, flush with the clamp's edges")
        )  # fmt: skip
    item = nutted(site.shop, jaw.bolt, 2 * jaw.t + place.metal, f"the jaw at {place.name}")
    along = _to_bolts(hooked, jaw)
    for i, y in enumerate(jaw.across):
        at = Frame.of(frame.point((jaw.t, y, jaw.bolts)), frame.z, frame.x)
        one = Placed(f"{name}.bolt[{i + 1}]", item, at, "bolt", 0)
        members.append(one)
        joints += [
            Joint(f"{one.id}.{part.id.rsplit('.', 1)[1]}", "bolts", OnFace(one.id, "bottom", 0.0, 0.0), on, None, 0,
                  "vehicle", item.name)
            for part, on in (
                (hooked, OnFace(hooked.id, "top", along, y)),
                (clamp, OnFace(clamp.id, "top", place.depth + jaw.bolts, -y)),
            )
        ]  # fmt: skip
    at = frame.point((jaw.stub, 0.0, jaw.top))
    keys = {m.id: (f"mounts.{place.name}",) for m in members}
    return Foot(
        Group(tuple(members), tuple(joints), keys, tuple(_wrong(place, jaw, hooked))),
        OnFace(hooked.id, "top", jaw.stub - jaw.inboard, 0.0),
        at,
        frame.z,
        stub_top(at, header),
    )


def _jaw_part(name: str, place: GutterPlace, jaw: Jaw, frame: Frame) -> Placed:
    """Return the jaw: end A inboard on top, then round the outside of the lip, its hook last."""
    t, r = jaw.t, jaw.radius
    web = jaw.top - t - r + place.depth + place.metal
    flats = (-r - jaw.inboard, web, jaw.hook)
    folds = (Fold(-90.0, r), Fold(-90.0 - jaw.upturn, r))
    down = jaw.top - t - r - jaw.bolts
    holes = tuple(BarHole(1, down, y, hole_for(jaw.bolt.diameter)) for y in jaw.across)
    part = FoldedBar(jaw.bar, flats, folds, BarEnd(radius=EASED), BarEnd(radius=EASED), holes)
    return Placed(f"{name}.jaw", part, frame.moved((jaw.inboard, 0.0, jaw.top - t / 2)), "gutter jaw", 3)


def _to_bolts(hooked: Placed, jaw: Jaw) -> float:
    """Return how far along the jaw's developed middle its bolts are, mm."""
    part = hooked.part
    assert isinstance(part, FoldedBar)
    pieces = legs_and_arcs(part.flats, part.folds, part.section.thickness, part.section.width)
    return pieces[0][1] + pieces[1][1] + part.holes[0].along


def _clamp_part(name: str, place: GutterPlace, jaw: Jaw, frame: Frame) -> Placed:
    """Return the clamp: end A on the trough's floor, its +Z face on the inside of the lip."""
    long = jaw.clamp_top + place.depth
    # Stood up, its Y runs the other way than the jaw's.
    holes = tuple(BarHole(0, place.depth + jaw.bolts, -y, hole_for(jaw.bolt.diameter)) for y in jaw.across)
    part = FoldedBar(jaw.bar, (long,), (), BarEnd(), BarEnd(), holes)
    foot = frame.point((-place.metal - jaw.t / 2, 0.0, -place.depth))
    return Placed(f"{name}.clamp", part, Frame.of(foot, frame.z, frame.x), "gutter clamp", 3)


def _heel_part(name: str, place: GutterPlace, jaw: Jaw, frame: Frame) -> Placed | None:
    """Return the heel on the clamp's face above the bolts, its top on the jaw's side."""
    if jaw.heel is None:
        return None
    part = CutPlate(jaw.heel, rectangle(HEEL_HIGH, bar_width(jaw.bar), 0.0))
    at = frame.point((-place.metal, 0.0, jaw.heel_low + HEEL_HIGH / 2))
    return Placed(f"{name}.heel", part, Frame.of(at, frame.z, frame.x), "gutter heel", 3)


def _wrong(place: GutterPlace, jaw: Jaw, hooked: Placed) -> Iterator[Finding]:
    room = place.width + place.metal - TROUGH_ROOM
    reach = max(jaw.tip, jaw.nut)
    if reach > room + 1e-6:
        what = "hook" if jaw.tip >= jaw.nut else "bolts"
        yield Finding(
            "gutter-narrow", Level.STOP, (hooked.id,),
            f"the jaw's {what} reach {reach:.0f} mm in from the lip's outside; the gutter has room for {room:.0f} mm",
            at=place.at, got=reach, limit=room, keys=(f"mounts.{place.name}.width",),
            help="put thinner flat bar on the shelf for the jaw, or stand the rack on mounts of another kind",
        )  # fmt: skip
    if jaw.low + DOOR_ROOM > place.below + 1e-6:
        yield Finding(
            "hook-in-door", Level.STOP, (hooked.id,),
            f"the hook reaches {jaw.low:.0f} mm below the gutter; with {DOOR_ROOM:g} mm to spare a door lets it reach "
            f"{place.below - DOOR_ROOM:.0f} mm",
            at=place.at, got=jaw.low, limit=place.below - DOOR_ROOM, keys=(f"mounts.{place.name}.below",),
            help="put the foot where no door opens under it, or put thinner flat bar on the shelf for the jaw",
        )  # fmt: skip
    if jaw.heel is None:
        yield Finding(
            "gutter-heel", Level.LOOK, (hooked.id,),
            f"no plate on the shelf is as thick as the lip, {place.metal:g} mm: without a heel above them the bolts "
            "draw jaw and clamp askew",
            at=place.at, got=place.metal, keys=(f"mounts.{place.name}.metal",),
            help=f"put plate of {_from(place.metal - HEEL_THIN)} {place.metal:g} mm on the shelf, or weld a bead as "
            "high as the lip is thick along the clamp's upper edge and file it level",
        )  # fmt: skip


def _from(least: float) -> str:
    """Return the begin of a range of thicknesses in words; no plate is thinner than nothing."""
    return f"{least:.1f} to" if least > 0 else "up to"
