"""The first-article load test: dead weight on the rack, on a stand, and what is read and looked at.

Twice the load that may be moving, or the parked one where that is more, standing still, and a set of at most 1 mm after
unloading: common practice, no source. A test is no rating: the load is that of the calculation, or less.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackgen.design.stands import STUBS
from rackgen.geom.spine import frame_at, length
from rackgen.parts.kinds import BentTube, Bought, FoldedBar
from rackgen.parts.marks import marks
from rackgen.parts.rack import Rack
from rackgen.sheets.installation import Installation, Mount, installation
from rackgen.sheets.installation_rows import place_name
from rackgen.sheets.pages import Block, Fields, Heading, Station, Text, Ticks
from rackgen.sheets.words import fine, load, torque, whole_down
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.units import Unit

TIMES = 2.0
SET = 1.0
STEPS = (0.25, 0.5, 0.75, 1.0)
HOLD = 10
"""Test load over the load; largest set, mm; shares it is put on in; minutes it stays (common practice, no source)."""


@dataclass(frozen=True)
class Rating:
    """What a rack is rated for by calculation.

    Attributes:
        moving: load while moving, kg: on this vehicle where its limit is known, else the rack's own.
        by: what sets it, in words.
        parked: load parked, kg, alike; None for no more than moving.
        rough: how many times its standing weight the load presses on a rough track by calculation; None where none is
            driven.
        too_much: what the empty rack does not bear, in words with the share used.
    """

    moving: float
    by: str
    parked: float | None = None
    rough: float | None = None
    too_much: tuple[str, ...] = ()


def load_test_station(rack: Rack, shop: Shop, vehicle: Vehicle, rating: Rating | None = None) -> Station:
    """Return the form of the first article's load test, for the load that the rack is rated for where it is."""
    unit, found = shop.unit, installation(rack, shop, vehicle)
    blocks: list[Block] = [
        Text(
            "For the first rack of its kind, after the last weld and before coating, so that a crack can be seen. It "
            "shows that welds and tubes hold the test load standing still. It says nothing about fatigue, a crash, or "
            f"the vehicle's roof. {_rough(rating)}"
        ),
        Text(
            "Not on the vehicle: the rack stands on a rigid stand that holds it at its mounts alone, as the vehicle "
            "does. A test on the vehicle is for its handbook alone to allow, parked and within its parked limit.",
            "caution",
        ),
        Text(
            "Nobody reaches or stands under the rack while it is loaded. Weights are set on, not dropped; props stand "
            f"{fine(20.0, unit)} {unit} under the frame to catch it.",
            "caution",
        ),
        Heading("The load"),
        *(_load(found, unit) if rating is None else _rated(found, rating, unit)),
        Heading("Order"),
        Ticks(_steps(found, shop, unit), numbered=True),
        _heights(rack, unit),
        Heading("Look here, with a lamp and a glass"),
        _looked(rack, found),
        *_nuts(found, unit),
        Heading("Result"),
        Ticks(
            (
                f"No set over {fine(SET, unit)} {unit} at any point.",
                "No crack, no dent, no slipped clamp, no nut turned.",
                "Passed. The load written above may be marked on the rack, no more than handbook and mounts allow.",
                "Not passed: what failed is written down; the rack is not fitted.",
            )
        ),
        Fields(
            (("Tested by, date", ""), ("Witnessed by, date", ""), ("Photographs, number", "")), ("name and date",), ""
        ),
    ]
    return Station("load-test", "Load test of the first article", tuple(blocks))


def _rated(found: Installation, rating: Rating, unit: Unit) -> list[Block]:
    """Return the load of the test where the rack is rated."""
    if rating.moving < 1.0:
        said = f"The rack is not rated for any load ({rating.by}): there is nothing to test it for. See its strength."
        return [Text(said, "caution"), _fields(found, "", "", unit)]
    # What stands on the rack's plate, which is rounded down.
    carried = whole_down(rating.moving, unit)
    parked = whole_down(rating.parked or 0.0, unit)
    allowed, test = load(carried, unit), load(max(TIMES * carried, parked), unit)
    said = f"By calculation it is rated for {allowed} of load, moving; set by the {rating.by}. Twice that is "
    said += f"{load(TIMES * carried, unit)}. "
    if parked > TIMES * carried:
        said += f"Parked it may carry {load(parked, unit)}, which is more: it is tested for that. "
    elif parked > carried:
        said += f"Parked it may carry {load(parked, unit)}, which the test covers. "
    said += "A smaller load that you decide on is tested by twice its own weight; a larger one is not tested at all."
    out: list[Block] = [Text(said)]
    if found.limit.kg is None:
        out.append(
            Text(
                f"The vehicle's {found.limit.words} is not in its file: look it up in the handbook. Where it leaves "
                "less, less is carried, whatever the test shows."
            )
        )
    how = "parked" if parked > TIMES * carried else "twice that"
    return [*out, _fields(found, allowed, test, unit, how)]


def _rough(rating: Rating | None) -> str:
    """Return how far a test goes against a rough track."""
    if rating is None or rating.rough is None or rating.rough <= TIMES:
        return "Blows on a rough track are not tested: they may be harder than the test."
    return (
        f"On a rough track the load presses with {rating.rough:g} times its weight by calculation: more than the "
        f"{TIMES:g} times of this test, which therefore does not prove it for rough track."
    )


def _load(found: Installation, unit: Unit) -> list[Block]:
    limit, called = found.limit.kg, found.limit.words
    out: list[Block] = []
    if limit is None:
        allowed = test = ""
        out.append(
            Text(
                f"The vehicle's {called} is not in its file, so there is no figure here. Look it up in the handbook, "
                f"take the rack's {load(found.mass, unit)} off it, and write in what is left; the test is twice that."
            )
        )
    else:
        left = whole_down(max(0.0, limit - found.mass), unit)
        allowed, test = load(left, unit), load(TIMES * left, unit)
        out.append(
            Text(
                f"{called.capitalize()} {load(limit, unit)} less the rack's {load(found.mass, unit)} leaves {allowed} "
                f"of load; twice that is {test}. Rack and mounts are not rated by calculation in this pack: a smaller "
                "load that you decide on is tested by twice its own weight."
            )
        )
        if left <= 0:
            out.append(Text(f"The rack alone reaches the {called}: there is nothing to test it for.", "caution"))
    return [*out, _fields(found, allowed, test, unit)]


def _fields(found: Installation, allowed: str, test: str, unit: Unit, how: str = "twice that") -> Fields:
    rows = (
        ("Rack, as weighed", load(found.mass, unit)),
        ("Load it is tested for", allowed),
        (f"Test load, {how}, spread evenly over the {_under(found)}", test),
        ("Weights used: kind, number, each", ""),
    )
    return Fields(rows, ("as used",), "", "by calculation")


def _under(found: Installation) -> str:
    """Return what a load lies on: nothing is clamped on a frame whose bars carry alone."""
    return "floor" if found.clamps else "bars"


def _steps(found: Installation, shop: Shop, unit: Unit) -> tuple[str, ...]:
    mounts = ", ".join(f"{m.letter} {place_name(m.name)}" for m in found.mounts)
    pulls = sorted({torque(c.torque, unit) for c in found.clamps if c.torque is not None})
    clamped = f" Basket clamped as on the vehicle, {' or '.join(pulls)}." if pulls else ""
    shares = ", ".join(f"{s:.0%}" for s in STEPS)
    return (
        f"Bolt the mounts to the stand: {mounts}. Plates on flat steel at their own angle, straps to upright faces; "
        f"the frame's height as on the vehicle.{clamped}",
        "Put half of the test load on, leave it a minute, take it off: everything beds in. Draw the "
        f"{'clamps' if found.clamps else 'bolts'} up again.",
        "Paint a mark at every point below and stretch a line or set a straightedge on the stand, not on the rack. "
        "Read every height from it: before.",
        f"Load in steps of {shares} of the test load, spread evenly over the {_under(found)}, front and rear, left and "
        "right by turns. Stop at the first crack, click or lean.",
        f"Leave the whole test load on for {HOLD} minutes. Read every height: loaded.",
        "Take it off in the same steps. Wait five minutes. Read every height: off again.",
        f"Set is off again less before. More than {fine(SET, unit)} {unit} anywhere is a failure: find what moved.",
        "Clean the welds named below and look at every one; dye penetrant where in doubt.",
    )


def _heights(rack: Rack, unit: Unit) -> Fields:
    rows = tuple((name, "") for name, _ in reading_points(rack))
    return Fields(
        rows, ("before", "loaded", "off again", "set"), f"Heights, {unit}; set at most {fine(SET, unit)}", "calculated"
    )


def reading_points(rack: Rack) -> tuple[tuple[str, tuple[float, float, float]], ...]:
    """Return what is read in a load test: the middles of cross bars, bows, bearers and slats, both sides of the ring.

    Returns:
        Name with mark, and the place on the axis, vehicle frame, mm.
    """
    named = marks(rack)
    out: list[tuple[str, tuple[float, float, float]]] = []
    for word in ("cross bar", "bow", "bearer", "slat"):
        across = [p for p in rack.placed if p.word == word and isinstance(p.part, BentTube)]
        for number, placed in enumerate(sorted(across, key=lambda p: p.frame.origin[0]), start=1):
            tube = placed.part
            assert isinstance(tube, BentTube)
            x, y, z = placed.frame.point(frame_at(tube.spine, length(tube.spine) / 2).origin)
            out.append((f"{named[placed.id]} {word} {number} from the front, middle", (x, y, z)))
    rings = [p for p in rack.placed if p.id.startswith("basket.lower.") and p.word == "ring hoop"]
    ends = np.array([p.frame.origin for p in rings])
    for side, sign in (("left", -1.0), ("right", 1.0)):
        here = ends[ends[:, 1] * sign > 0] if len(ends) else ends
        if len(here):
            x, y, z = here.mean(axis=0)
            out.append((f"Lower ring {side}, mid-length", (float(x), float(y), float(z))))
    return tuple(out)


def _looked(rack: Rack, found: Installation) -> Fields:
    """Return the places where racks like these crack, each with boxes."""
    named = marks(rack)
    rows: list[tuple[str, str]] = []
    for mount in found.mounts:
        name = f"{mount.letter} {place_name(mount.name)}"
        for placed in rack.placed:
            if not placed.id.startswith(f"mount.{mount.name}.") or isinstance(placed.part, Bought):
                continue
            mark = named[placed.id]
            if placed.word in STUBS:
                rows.append((f"{name}: toe of {placed.word} {mark}, on the plate and under the tube", ""))
            elif isinstance(placed.part, FoldedBar) and placed.part.folds and placed.word == "rear strap":
                rows.append((f"{name}: fold of strap {mark}, both faces, and its weld's ends on the leg", ""))
            elif placed.word == "gutter jaw":
                rows.append((f"{name}: inside of both folds of jaw {mark}, and the gutter's seam at it", ""))
            elif placed.word == "strap brace":
                rows.append((f"{name}: both ends of brace {mark}", ""))
        last = _last(mount)
        if last:
            rows.append((f"{name}: last hole, {last}", ""))
    butts = [j for j in rack.joints if j.kind == "butt with sleeve"]
    if butts:
        rows.append((f"{len(butts)} butts and their plug welds", ""))
    pads = sorted({c.mark for c in found.clamps})
    if pads:
        rows.append((f"{len(found.clamps)} clamp pads {', '.join(pads)}: welds to the ring", ""))
    return Fields(tuple(rows), ("sound", "initials"), "", "")


def _last(mount: Mount) -> str:
    """Return the hole that carries most when the mount is pulled off: a strap's lowest, a plate's outermost."""
    if not mount.holes:
        return ""
    if mount.rear is not None:
        return min((h for h in mount.holes if h.face == "rear"), key=lambda h: h.at[2], default=mount.holes[0]).label
    far = max(round(abs(h.at[1])) for h in mount.holes)
    return ", ".join(sorted(h.label for h in mount.holes if round(abs(h.at[1])) == far))


def _nuts(found: Installation, unit: Unit) -> list[Block]:
    rows = tuple(
        (
            f"{c.mark} {c.side}, {fine(c.at[0], unit)} aft: {len(c.bolts)} U-bolts",
            "" if c.torque is None else torque(c.torque, unit),
        )
        for c in found.clamps
        if c.bolts
    )
    return [Fields(rows, ("before", "after"), "Torque that the nuts still hold", "drawn up to")] if rows else []
