"""Side plates: in the bays about mid-length, in the plane of the tubes' axes, with slots for straps."""

from __future__ import annotations

import dataclasses
import math

from rackgen.design.basket import upright_id
from rackgen.design.choose import thickness
from rackgen.design.cut_out import Room, cut_out
from rackgen.design.floor import plated
from rackgen.design.plan import ring_y
from rackgen.design.site import Site
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame
from rackgen.geom.outline import cropped, rectangle
from rackgen.parts.kinds import CutPlate
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed
from rackgen.spec.tops import SidesWish

GAP = 1.0
CROP = 12.0
RIM = 12.0
SLOT = (60.0, 14.0)
SLOT_CORNER = 3.0
SLOT_PITCH = 120.0
SLOT_FROM_TOP = 30.0
STITCH = "25 on 75 mm, alternate sides"
"""Gap all round, cropped corners that drain, whole metal round letters and pictures, strap slots with their corners,
spacing and place, and the weld; mm (common practice, no source)."""


def side_plates(site: Site) -> Group:
    """Return the side plates of as many bays a side as are asked for, counted from the middle."""
    spec, plan = site.spec, site.plan
    wanted = spec.basket.side_plates
    bays = plated(plan.side_uprights, wanted)
    findings: tuple[Finding, ...] = ()
    if len(bays) < wanted:
        findings = (
            Finding(
                "no-bay-for-plate", Level.LOOK, (),
                f"plates are asked for in {wanted} bays a side, counted from the middle; "
                f"the side uprights leave place for {len(bays)}",
                got=len(bays), limit=wanted, unit="",
                keys=("basket.side_uprights", "basket.side_plates"),
                help=f"place {wanted + 1} uprights a side, alike fore and aft of mid-length, "
                f"or set side_plates to {len(bays)}",
            ),
        )  # fmt: skip
    findings += _nothing_to_cut(spec.sides) if not bays else ()
    members: list[Placed] = []
    joints: list[Joint] = []
    narrow: dict[Finding, list[str]] = {}
    for side, sign in (("left", -1.0), ("right", 1.0)):
        for i, bay in enumerate(bays):
            name = f"basket.plate.{side}" if len(bays) == 1 else f"basket.plate.{side}[{i + 1}]"
            plate, made, said = _one(site, name, side, sign, bay)
            members.append(plate)
            joints += made
            for one in said:
                narrow.setdefault(dataclasses.replace(one, parts=()), []).append(name)
    findings += tuple(dataclasses.replace(one, parts=tuple(names)) for one, names in narrow.items())
    return Group(tuple(members), tuple(joints), {m.id: ("basket.side_plates",) for m in members}, findings)


def _nothing_to_cut(sides: SidesWish) -> tuple[Finding, ...]:
    """Return that letters or a picture are asked for and there is no plate to cut them through."""
    if sides.text is None and sides.motif is None:
        return ()
    what, key = (f'"{sides.text}"', "text") if sides.text is not None else ("the picture", "outline")
    return (
        Finding(
            "no-plate-to-cut", Level.LOOK, (),
            f"{what} is asked for, and the basket has no side plate that it could be cut through",
            keys=("basket.side_plates", f"sides.{key}"),
            help=f"set side_plates under [basket] to 1, or leave `{key}` out",
        ),
    )  # fmt: skip


def _shape(site: Site, length: float, height: float) -> tuple[CutPlate, tuple[Finding, ...]]:
    """Return a plate with cropped corners, a row of slots under the upper ring, and what else is cut through it."""
    corners = [(sx * length / 2, sy * height / 2) for sx, sy in ((1, -1), (1, 1), (-1, 1), (-1, -1))]
    # A plate too low or too short for a slot with metal all round stays whole.
    room = length - 2 * CROP - SLOT[0]
    whole = room < 0 or height < 2 * (SLOT_FROM_TOP + SLOT[1] / 2) or not site.spec.sides.with_slots
    count = 0 if whole else math.floor(room / SLOT_PITCH) + 1
    y = height / 2 - SLOT_FROM_TOP
    slots = tuple(
        rectangle(SLOT[0], SLOT[1], SLOT_CORNER, ((k - (count - 1) / 2) * SLOT_PITCH, y)) for k in range(count)
    )
    outline = cropped(corners, CROP)
    top = y - SLOT[1] / 2 if slots else height / 2
    left = Room(length - 2 * RIM, top + height / 2 - 2 * RIM, (0.0, (top - height / 2) / 2))
    more = cut_out(site, outline, slots, left)
    return CutPlate(site.choice.side_plate, outline, (), (*slots, *more.contours)), more.findings


def _one(
    site: Site, name: str, side: str, sign: float, bay: tuple[float, float]
) -> tuple[Placed, list[Joint], tuple[Finding, ...]]:
    """Return the plate of one bay, its joints to uprights and to the rings below and above it, and what is doubtful."""
    spec, choice, plan = site.spec, site.choice, site.plan
    over, rise = ("middle", plan.rise / 2) if spec.sides.mid_rail == "ring" else ("upper", plan.rise)
    length = bay[1] - bay[0] - choice.bar_od - 2 * GAP
    height = rise - choice.ring_od - 2 * GAP
    t, y, middle = thickness(choice.side_plate), sign * ring_y(spec, choice), (bay[0] + bay[1]) / 2
    # Plate X aft, Y up; its thickness then runs to the left, from t / 2 right of the plane of axes.
    at = Frame((middle, y + t / 2, rise / 2), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
    part, findings = _shape(site, length, height)
    faced = sign > 0 and len(part.openings) > 0 and not site.spec.sides.plain
    if faced:
        # What is to be read is read from outside on either side: the right plate stands turned about.
        at = Frame((middle, y - t / 2, rise / 2), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    turn = -1.0 if faced else 1.0
    plate = Placed(name, part, site.basket.then(at), "side plate", 2)
    joints: list[Joint] = []
    for i, x in enumerate(sorted(plan.side_uprights)):
        if x in bay:
            upright = site.member(upright_id(site, f"{side}[{i + 1}]", "lower"))
            mid = site.basket.point((x, y, rise / 2))
            toward = site.plan.frame.direction((math.copysign(1.0, middle - x), 0.0, 0.0))
            edge = turn * math.copysign(length / 2, x - middle)
            joints.append(
                Joint(f"{name}.upright[{i + 1}]", "fillet", OnFace(name, "edge", edge, 0.0),
                      along(upright, mid, toward), fixing=STITCH)
            )  # fmt: skip
    # A plate across mid-length is welded to both hoops of a ring, any other to the one that runs past it.
    halves = {"front": (bay[0], min(bay[1], 0.0)), "rear": (max(bay[0], 0.0), bay[1])}
    for ring_name, z, toward, edge in (
        ("lower", 0.0, site.up, -height / 2),
        (over, rise, site.down, height / 2),
    ):
        for end, (low, high) in halves.items():
            if high - low < CROP:
                continue
            x = (low + high) / 2
            hoop = site.member(f"basket.{ring_name}.{end}")
            joints.append(
                Joint(f"{name}.{ring_name}.{end}", "fillet", OnFace(name, "edge", turn * (x - middle), edge),
                      along(hoop, site.basket.point((x, y, z)), toward), fixing=STITCH)
            )  # fmt: skip
    return plate, joints, findings
