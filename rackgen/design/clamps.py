"""What holds the basket on the frame: pads under the lower ring, isolators, U-bolts round the legs, fore-aft stops."""

from __future__ import annotations

import math

from rackgen.design.choose import bar_width, thickness
from rackgen.design.plan import ring_y
from rackgen.design.seat import round_up
from rackgen.design.site import Site
from rackgen.design.spread import PAD_LENGTH, PAD_SPACING
from rackgen.geom.frame import Frame
from rackgen.geom.outline import Contour, rectangle
from rackgen.parts.kinds import Bought, CutPlate, FoldedBar, PadShape, UBoltShape
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed

PAD_EDGE = 24.0
PAD_CORNER = 8.0
LEAST_PAD = 60.0
SLOT_LONG = 5.0
ISOLATOR_DENSITY = 1200.0
STEEL = 7850.0
STOP_LENGTH = 40.0
STOP_WIDE = 1200.0
STOP_LONG = 2000.0
"""From a U-bolt's leg to the pad's edge; pad corners; least width of a pad; how much longer than wide a slot is;
rubber; length of a fore-aft stop; width and length of a basket that one stop a side holds each way, in braking and in
the wind on what it carries; mm and kg/m³ (common practice, no source)."""


def clamps(site: Site) -> Group:
    """Return pads, isolators, U-bolts and stops, front to rear, left before right."""
    members: list[Placed] = []
    joints: list[Joint] = []
    ordered = sorted(site.plan.pads)
    basket, pads = site.spec.basket, len(ordered)
    count = min(pads, max(math.ceil(basket.width / STOP_WIDE), math.ceil(basket.length / STOP_LONG)))
    for side, sign in (("left", -1.0), ("right", 1.0)):
        for i, at in enumerate(ordered):
            more, made = _pad(site, f"basket.clamp.{side}[{i + 1}]", sign, at)
            members += more
            joints += made
            # Stops behind the foremost and before the rearmost pads hold the basket both ways.
            for there, number, facing in (
                (i < count, i + 1, 1.0), (i >= pads - count, i + 2 * count - pads + 1, -1.0),
            ):  # fmt: skip
                if there:
                    stop, held = _stop(site, f"frame.stop.{side}[{number}]", sign, at, facing, more[0])
                    members.append(stop)
                    joints += held
    return Group(tuple(members), tuple(joints), {m.id: ("basket.pads", "frame.width") for m in members})


def pad_span(site: Site) -> tuple[float, float]:
    """Return |Y| of a pad's inner and outer edge: from the ring's inner side to past the U-bolt's outer leg."""
    inner = ring_y(site.spec, site.choice) - site.choice.ring_od / 2
    bolt = site.choice.u_bolt
    outer = site.plan.leg_y + (bolt.inside_width + bolt.rod) / 2 + PAD_EDGE
    return inner, inner + round_up(max(outer - inner, LEAST_PAD), 5.0)


def _pad(site: Site, name: str, sign: float, at: float) -> tuple[list[Placed], list[Joint]]:
    choice, plan, shop = site.choice, site.plan, site.shop
    bolt = choice.u_bolt
    inner, outer = pad_span(site)
    middle = (inner + outer) / 2
    t = thickness(choice.pad)
    top_of_leg = choice.frame_od / 2
    # Pad frame: X aft, Y to the right, its underside on the isolator.
    frame = plan.frame.moved((plan.middle + at, sign * middle, top_of_leg + shop.isolator))
    leg = sign * (plan.leg_y - middle)
    arm = (bolt.inside_width + bolt.rod) / 2
    # A loose hole for a bolt is 2 mm wide of it; between that and a close one the table's clean hole decides.
    wide = max(bolt.rod + 1.0, min(shop.table.smallest_hole, bolt.rod + 2.0))
    slots: tuple[Contour, ...] = tuple(
        rectangle(wide, wide + SLOT_LONG, wide / 2, (k * PAD_SPACING / 2, leg + m * arm))
        for k in (-1, 1)
        for m in (-1, 1)
    )
    outline = rectangle(PAD_LENGTH, outer - inner, PAD_CORNER)
    pad = Placed(f"{name}.pad", CutPlate(choice.pad, outline, (), slots), frame, "clamp pad", 2)
    soft = Bought(
        f"isolator strip {site.ordered(bolt.inside_width - 2, PAD_LENGTH, shop.isolator)}",
        PadShape(rectangle(PAD_LENGTH, bolt.inside_width - 2), (), shop.isolator),
        ISOLATOR_DENSITY,
    )
    isolator = Placed(f"{name}.isolator", soft, frame.moved((0.0, leg, -shop.isolator)), "isolator", 0)
    ring = site.rim_at(sign, at)
    on = "rail" if site.spec.basket.kind == "deck" else "ring"
    on_ring = site.basket.point((at, sign * ring_y(site.spec, choice), 0.0))
    on_leg = plan.frame.point((plan.middle + at, sign * plan.leg_y, 0.0))
    hoop = site.leg_at(sign, plan.middle + at)
    joints = [
        Joint(f"{name}.pad", "fillet", OnFace(pad.id, "top", 0.0, 0.0), along(ring, on_ring, site.down),
              fixing=f"fillet both sides of the {on}, welded on before the bearers"),
        Joint(f"{name}.isolator", "contact", OnFace(isolator.id, "top", 0.0, 0.0), OnFace(pad.id, "bottom", 0.0, leg),
              None, 0, "vehicle", "loose, clamped"),
        Joint(f"{name}.leg", "contact", OnFace(isolator.id, "bottom", 0.0, 0.0), along(hoop, on_leg, site.up),
              None, 0, "vehicle", "clamped"),
    ]  # fmt: skip
    members = [pad, isolator]
    shape = UBoltShape(
        bolt.rod,
        bolt.inside_width,
        bolt.inside_width / 2,
        top_of_leg,
        bolt.leg,
        top_of_leg + shop.isolator + t,
        bolt.washer,
        bolt.washer_thickness,
        bolt.nut_across,
        bolt.nut_height,
    )
    for k, x in enumerate((-PAD_SPACING / 2, PAD_SPACING / 2)):
        here = plan.frame.moved((plan.middle + at + x, sign * plan.leg_y, 0.0))
        one = Placed(f"{name}.u_bolt[{k + 1}]", Bought(bolt.name, shape, STEEL), here, "U-bolt", 0)
        members.append(one)
        text = f"{bolt.torque:g} N·m, again after 50 km"
        axis = plan.frame.point((plan.middle + at + x, sign * plan.leg_y, 0.0))
        joints += [
            Joint(f"{one.id}.pad", "U-bolt", OnFace(one.id, "top", 0.0, 0.0), OnFace(pad.id, "top", x, leg), None, 0,
                  "vehicle", text),
            Joint(f"{one.id}.leg", "U-bolt", OnFace(one.id, "bottom", 0.0, 0.0), along(hoop, axis, site.down), None, 0,
                  "vehicle", text),
        ]  # fmt: skip
    return members, joints


def _stop(site: Site, name: str, sign: float, at: float, facing: float, pad: Placed) -> tuple[Placed, list[Joint]]:
    """Return a bar on edge across the leg's top, welded to it, against a pad's edge: it holds the basket."""
    choice, plan = site.choice, site.plan
    t, tall = thickness(choice.strip), bar_width(choice.strip)
    x = plan.middle + at + facing * (PAD_LENGTH / 2 + t / 2)
    base = plan.frame.moved((x, sign * plan.leg_y, choice.frame_od / 2 + tall / 2))
    # Bar along the vehicle's Y, its width upright: Y of the bar is up, Z looks aft.
    frame = base.then(Frame((0.0, -STOP_LENGTH / 2, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)))
    part = FoldedBar(choice.strip, (STOP_LENGTH,))
    stop = Placed(name, part, frame, "fore-aft stop", 2)
    leg = plan.frame.point((x, sign * plan.leg_y, 0.0))
    return stop, [
        Joint(f"{name}.leg", "fillet", OnFace(name, "edge", STOP_LENGTH / 2, 0.0),
              along(site.leg_at(sign, x), leg, site.up),
              fixing="fillet both sides, to the leg only"),
        Joint(f"{name}.pad", "contact", OnFace(name, "edge", STOP_LENGTH / 2, 0.0), OnFace(pad.id, "edge", 0.0, 0.0),
              None, 0, "vehicle", "bears on the pad's edge"),
    ]  # fmt: skip
