"""The basket's tubes: rings of two butted hoops each, bearers flush with the lower, uprights between; or a tray's."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Mapping

from rackgen.design.choose import od
from rackgen.design.frame import plug_holes
from rackgen.design.hoop import Leg, hoop
from rackgen.design.plan import ring_y
from rackgen.design.site import Site, bent, hole_toward, straight, vented, with_holes
from rackgen.design.sleeve import sleeve
from rackgen.errors import BadInput, Finding, GeometryError, Mistake
from rackgen.geom import spine
from rackgen.geom.frame import Frame, Vec, vec
from rackgen.parts.place import along
from rackgen.parts.rack import AtEnd, Group, Joint, Placed
from rackgen.spec.stock import Stock


def basket(site: Site) -> Group:
    """Return all rings with their sleeves, bearers and uprights.

    Raises:
        BadInput: the rings' bends do not fit the basket.
    """
    rise = site.plan.rise
    middle = {"middle": rise / 2} if site.spec.sides.mid_rail == "ring" else {}
    return _of_rings(site, {"lower": 0.0, **middle, "upper": rise})


def tray(site: Site) -> Group:
    """Return one ring with its sleeves, and bearers.

    Raises:
        BadInput: the ring's bends do not fit the tray.
    """
    return _of_rings(site, {"lower": 0.0})


def _of_rings(site: Site, levels: Mapping[str, float]) -> Group:
    """Return rings by name and height of their axes, bearers in the lowest, and uprights from each to the next."""
    members: list[Placed] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    for name, z in levels.items():
        more, made, said = ring(site, f"basket.{name}", z)
        members += more
        joints += made
        findings += said
    hoops = {m.id: m for m in members}
    bearers, coped = across(
        site,
        "basket.lower.bearer",
        "bearer",
        site.choice.bar,
        site.plan.bearers,
        lambda _, x: side_of(hoops, "lower", x),
    )
    uprights, more_coped = _uprights(site, hoops, levels)
    members += [*bearers, *uprights]
    return Group(
        tuple(members), (*joints, *coped, *more_coped), {m.id: ("basket",) for m in members}, tuple(findings)
    )  # fmt: skip


def ring(site: Site, name: str, z: float) -> tuple[list[Placed], list[Joint], list[Finding]]:
    """Return a closed frame of two equal hoops butted leg to leg at mid-length.

    Args:
        site: the site.
        name: id prefix.
        z: of its plane of axes in the basket's frame, mm.
    """
    spec, choice = site.spec, site.choice
    leg = Leg(spec.basket.length / 2)
    try:
        line, inner = hoop(spec.basket.width, leg, leg, choice.ring_od, choice.ring_clr)
    except GeometryError as error:
        raise BadInput([Mistake(spec.name, "basket", 0, "", f"the ring cannot be bent: {error}")]) from error
    total = spine.length(line)
    reach = (spec.basket.length - choice.ring_od) / 2
    middle = site.basket.moved((0.0, 0.0, z))
    hoops: list[Placed] = []
    for end, x, frame in (
        ("front", -reach, Frame((-reach, 0.0, 0.0))),
        ("rear", reach, Frame((reach, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0))),
    ):
        one = bent(middle.then(frame), f"{name}.{end}", "ring hoop", choice.ring, line, inner)
        # The low side of a back, clear of bends and of the uprights that land on it.
        lands = [middle.point((x, y, 0.0)) for y in site.plan.end_uprights]
        vent = _vent_in_back(one, line, site.down, lands)
        holes = [
            *plug_holes(choice.ring.section, 0.0, 1.0),
            *plug_holes(choice.ring.section, total, -1.0),
            hole_toward(one, vent, site.down, "vent"),
        ]
        hoops.append(with_holes(one, holes))
    members, joints, findings = list(hoops), list[Joint](), list[Finding]()
    y = ring_y(spec, choice)
    for side, sign, a, b in (("left", -1.0, "A", "B"), ("right", 1.0, "B", "A")):
        butt = middle.moved((0.0, sign * y, 0.0))
        front = AtEnd(hoops[0].id, "A" if a == "A" else "B")
        rear = AtEnd(hoops[1].id, "A" if b == "A" else "B")
        more, made, said = sleeve(f"{name}.sleeve.{side}", choice.ring, site.shop, butt, front, rear)
        members += more
        joints += made
        findings += said
    return members, joints, findings


def _vent_in_back(placed: Placed, line: spine.Spine, down: Vec, lands: list[Vec]) -> float:
    """Return how far along a hoop its vent lies: on the back, farthest from its bends and from what lands there."""
    start = line.straights[0] + spine.arc_length(line.bends[0])
    back = line.straights[1]
    spots = [along(placed, p, down).at - start for p in lands]
    edges = sorted([0.0, *(s for s in spots if 0 < s < back), back])
    low, high = max(itertools.pairwise(edges), key=lambda pair: (round(pair[1] - pair[0], 3), -pair[0]))
    return start + (low + high) / 2


def side_of(hoops: dict[str, Placed], ring_name: str, x: float) -> Placed:
    """Return the hoop of a ring that runs past a place fore (x < 0) or aft of mid-length."""
    return hoops[f"basket.{ring_name}.{'front' if x < 0 else 'rear'}"]


def across(
    site: Site, name: str, word: str, stock: Stock, places: Iterable[float], header: Callable[[float, float], Placed]
) -> tuple[list[Placed], list[Joint]]:
    """Return tubes coped between the sides, their tops level with the sides': axes lie the difference of radii higher.

    Args:
        site: the site.
        name: of their ids, which are numbered from the front.
        word: what the shop calls them.
        stock: their tube.
        places: fore and aft of mid-length, mm.
        header: gives what carries an end, by the sign of its side and its place.
    """
    choice, y = site.choice, ring_y(site.spec, site.choice)
    up = (choice.ring_od - od(stock)) / 2
    tubes: list[Placed] = []
    joints: list[Joint] = []
    for i, x in enumerate(sorted(places)):
        one = f"{name}[{i + 1}]"
        ends = [site.basket.point((x, side * y, up)) for side in (-1.0, 1.0)]
        tube = straight(Frame(), one, word, 2, stock, ends[0], ends[1])
        tubes.append(vented(tube, site.down, [(p, choice.ring_od / 2) for p in ends]))
        for side, letter, sign, point in (("left", "A", -1.0, ends[0]), ("right", "B", 1.0, ends[1])):
            at = along(header(sign, x), point, vec((0.0, -sign, 0.0)))
            joints.append(
                Joint(f"{one}.{side}", "coped weld", AtEnd(one, "A" if letter == "A" else "B"), at, "a",
                      fixing="fillet all round")
            )  # fmt: skip
    return tubes, joints


def upright_places(site: Site) -> list[tuple[str, float, float]]:
    """Return role, X from mid-length and Y of every upright, sides before ends, left before right; mm."""
    spec, choice, plan = site.spec, site.choice, site.plan
    y, x_end = ring_y(spec, choice), (spec.basket.length - choice.ring_od) / 2
    places: list[tuple[str, float, float]] = []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        places += [(f"{side}[{i + 1}]", x, sign * y) for i, x in enumerate(sorted(plan.side_uprights))]
    for end, sign in (("front", -1.0), ("rear", 1.0)):
        places += [(f"{end}[{i + 1}]", sign * x_end, at) for i, at in enumerate(sorted(plan.end_uprights))]
    return places


def upright_id(site: Site, role: str, level: str) -> str:
    """Return the id of an upright: a third ring parts every upright into a lower and an upper one."""
    return f"basket.upright.{role}" + (f".{level}" if site.spec.sides.mid_rail == "ring" else "")


def _uprights(site: Site, hoops: dict[str, Placed], levels: Mapping[str, float]) -> tuple[list[Placed], list[Joint]]:
    """Return uprights from each ring to the next above it."""
    choice = site.choice
    uprights: list[Placed] = []
    joints: list[Joint] = []
    for role, x, y in upright_places(site):
        for (low, z_low), (high, z_high) in itertools.pairwise(levels.items()):
            name = upright_id(site, role, "lower" if low == "lower" else "upper")
            ends = [site.basket.point((x, y, z)) for z in (z_low, z_high)]
            upright = straight(Frame(), name, "upright", 2, choice.bar, ends[0], ends[1])
            welds = [(p, choice.ring_od / 2) for p in ends]
            if site.spec.sides.mid_rail == "rails":
                welds.append((site.basket.point((x, y, (z_low + z_high) / 2)), choice.bar_od / 2))
            uprights.append(vented(upright, _inward(site, x, y), welds))
            for ring_name, letter, toward in ((low, "A", site.up), (high, "B", site.down)):
                header = side_of(hoops, ring_name, x)
                at = along(header, ends[0] if letter == "A" else ends[1], toward)
                joints.append(
                    Joint(f"{name}.{ring_name}", "coped weld", AtEnd(name, "A" if letter == "A" else "B"), at, "a",
                          fixing="fillet all round")
                )  # fmt: skip
    return uprights, joints


def _inward(site: Site, x: float, across: float) -> Vec:
    """Return the direction from an upright to the inside of the basket, vehicle frame: where its vent looks."""
    x_end = (site.spec.basket.length - site.choice.ring_od) / 2
    if math.isclose(abs(x), x_end):
        return site.plan.frame.direction((-math.copysign(1.0, x), 0.0, 0.0))
    return site.plan.frame.direction((0.0, -math.copysign(1.0, across), 0.0))
