"""A plate on the roof with its bedding and rivets, and where the stub above it stands."""

from __future__ import annotations

import numpy as np

from rackgen.design.breaks import GAP, breaks_for
from rackgen.design.choose import thickness
from rackgen.design.plate_fasteners import hold, plate_hole
from rackgen.design.seat import DRILL_ROOM, HOLE_ROW, round_up
from rackgen.design.site import Site
from rackgen.design.skin import Skin
from rackgen.design.uneven import uneven
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame, Vec, unit, vec
from rackgen.geom.outline import Contour, rectangle
from rackgen.parts.kinds import Bought, CutPlate, PadShape, PlateHole
from rackgen.parts.rack import Joint, OnFace, Placed
from rackgen.spec.vehicle import FrontMount

ACROSS = 120.0
CORNER = 12.0
EDGE = 15.0
BESIDE_BREAK = 11.5
WORST_GAP = 5.0
BEDDING_DENSITY = 1400.0
"""A mount plate's size across its tube, corner radius, hole to edge, the inner holes of a row that a
break runs through, and the gap under a plate that no bedding fills, mm; density of sealant, kg/m³ (common practice, no
source)."""


def mount_plate(site: Site, mount: FrontMount, skin: Skin, top: Vec, way: Vec) -> tuple[Placed, tuple[Finding, ...]]:
    """Return the plate of a mount on the roof, and findings.

    Args:
        site: the site.
        mount: its place.
        skin: the roof about it.
        top: the point on the carried tube's axis over it, vehicle frame, mm.
        way: unit vector along that tube, about fore-aft or about across the vehicle.
    """
    choice, tube = site.choice, np.asarray(way)
    spot = float(top[0]), float(top[1])
    zx, zy = skin.slopes(*spot)
    n = unit((-zx, -zy, 1.0))
    across = np.array((0.0, 1.0, 0.0) if abs(way[0]) > abs(way[1]) else (1.0, 0.0, 0.0))
    under = np.array([*spot, float(skin.height(*spot))])
    axis = n if site.spec.mounts.tilt == "cope" else np.asarray(site.up)
    aside = np.asarray(top) - axis * float((np.asarray(top) - under) @ n) / float(axis @ n) - under
    # The plate's middle is the foot of the saddle's axis, but a square foot is moved along the tube instead.
    if site.spec.mounts.tilt == "cope":
        aside = aside - tube * float(aside @ tube)
        aside = aside - n * float(aside @ n)
    at = under + aside
    frame = Frame.of(at + n * site.shop.bedding, across - float(across @ n) * n, n)
    # Seen along the drill the tube stands nearer the holes where the saddle leans across the plate.
    nearer = float(np.linalg.norm(np.asarray(top) - at)) * abs(float(axis @ np.asarray(frame.x)))
    row = max(ACROSS / 2 - EDGE, round_up(choice.frame_od / 2 + DRILL_ROOM + nearer, 5.0))
    count = choice.plate_rivets // 2
    half = (count - 1) / 2 * HOLE_ROW
    outline = rectangle(2 * (row + EDGE), 2 * (half + EDGE), CORNER)
    breaks, said = breaks_for(skin.height, frame, row + EDGE, half + EDGE, site.shop.bedding)
    # A rivet on a break would bear on two slopes: where one runs through the rows, two holes straddle it.
    through = any(line.direction == 0.0 for line in breaks)
    places = [HOLE_ROW * k - half for k in range(count)]
    if through and count % 2:
        places[count // 2 : count // 2 + 1] = [-BESIDE_BREAK, BESIDE_BREAK]
    holes = tuple(PlateHole(sx * row, y, plate_hole(site, mount)) for sx in (-1.0, 1.0) for y in places)
    name = f"mount.{mount.name}.plate"
    part = CutPlate(choice.mount_plate, outline, holes, (), breaks)
    findings = (*(_gap(name, mount, text, got) for text, got in said), *uneven(site.vehicle.roof, mount, name))
    return Placed(name, part, frame, "mount plate", 2), findings


def _gap(name: str, mount: FrontMount, text: str, got: float) -> Finding:
    return Finding(
        "plate-gap",
        Level.STOP if got > WORST_GAP else Level.LOOK,
        (name,),
        text,
        at=mount.at,
        got=got,
        limit=GAP,
        keys=(f"mounts.{mount.name}",),
        help=f"fill the {got:.1f} mm there with a bed or a strip of that thickness; or give the mount a zone that "
        "reaches a flatter place, on a rib's crest or between two ribs; or read its level again",
    )


def fixings(
    site: Site, name: str, plate: Placed, mount: FrontMount
) -> tuple[list[Placed], Placed, list[Joint], tuple[Finding, ...]]:
    """Return the fasteners and the bedding of a plate on the roof, the joints that hold them, and findings."""
    part = plate.part
    assert isinstance(part, CutPlate)
    bore: tuple[Contour, ...] = tuple(rectangle(h.diameter, h.diameter, h.diameter / 2, (h.x, h.y)) for h in part.holes)
    bed = Placed(
        f"{name}.bedding",
        Bought(
            f"bedding {site.ordered(site.shop.bedding)}",
            PadShape(part.outline, bore, site.shop.bedding),
            BEDDING_DENSITY,
        ),
        plate.frame.moved((0.0, 0.0, -site.shop.bedding)),
        "bedding",
        0,
    )
    joints = [
        Joint(f"{name}.bedding", "contact", OnFace(plate.id, "bottom", 0, 0), OnFace(bed.id, "top", 0, 0), None, 0,
              "vehicle", "sealant bed or hard tape, on the roof")
    ]  # fmt: skip
    held = hold(site, name, plate, mount)
    return list(held.members), bed, [*joints, *held.joints], held.findings


def stub_ends(site: Site, plate: Placed, top: Vec, way: Vec) -> tuple[Vec, Vec]:
    """Return where a stub's axis meets a plate's top and where it meets the carried tube's axis, vehicle frame, mm.

    A cut foot stands square under the tube. A square foot stands square on the plate; its upper end then meets the tube
    at a slant and the cope takes up the tilt, so the stub's foot is kept under the plate's middle along the tube.
    """
    end, tube, part = np.asarray(top), np.asarray(way), plate.part
    assert isinstance(part, CutPlate)
    n, t = np.asarray(plate.frame.z), thickness(part.stock)
    face = np.asarray(plate.frame.point((0.0, 0.0, t)))
    axis = n if site.spec.mounts.tilt == "cope" else np.asarray(site.up)
    foot: Vec = vec(end - axis * float((end - face) @ n) / float(axis @ n))
    if site.spec.mounts.tilt == "cope":
        shift = tube * float((np.asarray(plate.frame.origin) - np.asarray(foot)) @ tube)
        end, foot = end + shift, vec(np.asarray(foot) + shift - n * float(shift @ n) / float(n @ n))
        foot = vec(np.asarray(foot) + n * float((face - np.asarray(foot)) @ n))
    return foot, vec(end)
