"""Side plates: one a side in the bay at mid-length, in the plane of the tubes' axes, with slots for straps."""

from __future__ import annotations

import math

from rackgen.design.choose import thickness
from rackgen.design.floor import plated
from rackgen.design.plan import ring_y
from rackgen.design.site import Site
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame
from rackgen.geom.outline import cropped, rectangle
from rackgen.parts.kinds import CutPlate
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed

GAP = 1.0
CROP = 12.0
SLOT = (60.0, 14.0)
SLOT_CORNER = 3.0
SLOT_PITCH = 120.0
SLOT_FROM_TOP = 30.0
STITCH = "25 on 75 mm, alternate sides"
"""Gap all round, cropped corners that drain, strap slots with their corners, spacing and place, and the weld; mm
(common practice, no source)."""


def side_plates(site: Site) -> Group:
    """Return the side plates, none when none are asked for or there is no bay for them."""
    spec, choice, plan = site.spec, site.choice, site.plan
    bay = plated(tuple(sorted(plan.side_uprights)))
    if not spec.basket.side_plates:
        return Group((), ())
    if bay is None:
        finding = Finding(
            "no-bay-for-plate", Level.LOOK, (),
            "no two side uprights stand fore and aft of mid-length, so there is no bay for a side plate",
            keys=("basket.side_uprights", "basket.side_plates"),
            help="place side uprights fore and aft of mid-length, or set side_plates to 0",
        )  # fmt: skip
        return Group((), (), {}, (finding,))
    length = bay[1] - bay[0] - choice.bar_od - 2 * GAP
    height = plan.rise - choice.ring_od - 2 * GAP
    corners = [(sx * length / 2, sy * height / 2) for sx, sy in ((1, -1), (1, 1), (-1, 1), (-1, -1))]
    outline = cropped(corners, CROP)
    # A plate too low or too short for a slot with metal all round stays whole.
    room = length - 2 * CROP - SLOT[0]
    count = 0 if room < 0 or height < 2 * (SLOT_FROM_TOP + SLOT[1] / 2) else math.floor(room / SLOT_PITCH) + 1
    y = height / 2 - SLOT_FROM_TOP
    slots = tuple(
        rectangle(SLOT[0], SLOT[1], SLOT_CORNER, ((k - (count - 1) / 2) * SLOT_PITCH, y)) for k in range(count)
    )
    t = thickness(choice.side_plate)
    part = CutPlate(choice.side_plate, outline, (), slots)
    members: list[Placed] = []
    joints: list[Joint] = []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        at = ((bay[0] + bay[1]) / 2, sign * ring_y(spec, choice) + t / 2, plan.rise / 2)
        # Plate X aft, Y up; its thickness then runs to the left, from t / 2 right of the plane of axes.
        frame = site.basket.then(Frame(at, (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)))
        name = f"basket.plate.{side}"
        members.append(Placed(name, part, frame, "side plate", 2))
        for i, x in enumerate(sorted(plan.side_uprights)):
            if x in bay:
                upright = site.member(f"basket.upright.{side}[{i + 1}]")
                mid = site.basket.point((x, sign * ring_y(spec, choice), plan.rise / 2))
                toward = site.plan.frame.direction((math.copysign(1.0, -x), 0.0, 0.0))
                joints.append(
                    Joint(f"{name}.upright[{i + 1}]", "fillet", OnFace(name, "edge", math.copysign(length / 2, x), 0.0),
                          along(upright, mid, toward), fixing=STITCH)
                )  # fmt: skip
        for ring_name, toward, edge in (("lower", site.up, -height / 2), ("upper", site.down, height / 2)):
            for end, x in (("front", bay[0] / 2), ("rear", bay[1] / 2)):
                hoop = site.member(f"basket.{ring_name}.{end}")
                z = 0.0 if ring_name == "lower" else plan.rise
                spot = site.basket.point((x, sign * ring_y(spec, choice), z))
                joints.append(
                    Joint(f"{name}.{ring_name}.{end}", "fillet", OnFace(name, "edge", x, edge),
                          along(hoop, spot, toward),
                          fixing=STITCH)
                )  # fmt: skip
    return Group(tuple(members), tuple(joints), {m.id: ("basket.side_plates",) for m in members})
