"""The installation sheet for the person who fits the rack at home, in the order of the work."""

from __future__ import annotations

from collections.abc import Iterable

from rackgen.parts.rack import Rack
from rackgen.refs.cautions import Caution
from rackgen.sheets.bolted_fittings import steps
from rackgen.sheets.cautions import cautions, height_words, top
from rackgen.sheets.corner_drawing import corner_drawing
from rackgen.sheets.feet_rows import bolted_on, feet_blocks, first_looks
from rackgen.sheets.installation import DRILL_STOP, Clamp, Installation, fastener_counts, installation
from rackgen.sheets.installation_drawing import outline_words, plan_drawing, plate_drawings
from rackgen.sheets.installation_rows import UNDER, across, holes_table, installation_table, place_name
from rackgen.sheets.load_test import Rating
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.weights import weights
from rackgen.sheets.words import fine, load, load_down, size, small, torque
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.units import INCH, Unit, shown_step, write_length

PILOT = 3.0
"""Drill for the first, small hole, mm; 1/8 in where inches are read (common practice, no source)."""

BEFORE = ("First of all", "Drilling into pillars and roof rails")
"""Cautions that stand before the work; those about welding belong to the bench, the rest to loading."""

AFTER_FIRST = (
    " Measure from datum and middle again. Measure what is held in each of these holes, bedding as spacer and every "
    "sheet: it must lie inside the fastener's grip; if not, get the one that fits before you go on."
)
"""What is done after the first hole of every mount."""

AFTER = "50 km (30 miles)"
"""When bolts are drawn up again (common practice, no source)."""


def installation_station(rack: Rack, shop: Shop, vehicle: Vehicle, rating: Rating | None = None) -> Station:
    """Return the installation sheet: places, holes, fasteners, order, checks, and how it comes off again.

    Args:
        rack: the rack.
        shop: its units, fasteners and torques.
        vehicle: what it is fitted to.
        rating: what the rack is rated for by calculation; None where it is not rated.
    """
    unit, found = shop.unit, installation(rack, shop, vehicle)
    said = cautions(rack, vehicle, weights(rack), unit)
    blocks: list[Block] = [
        Text(f"For {vehicle.name}. Read it through once before the first {_first(found)}. {_lift(found, unit)}"),
        *caution_blocks(c for c in said if c.head in (BEFORE if found.holes else BEFORE[:1])),
        Heading("What you need"),
        Ticks(_tools(found, shop)),
        Heading("Where it goes", new_page=True),
        Text(
            f"Aft is measured from the datum: {found.datum}. Measure level. Across is measured from the vehicle's "
            "middle, level, not round the crown: find the middle first, half-way between the same points of both sides."
        ),
        Figure(
            plan_drawing(found, rack, vehicle, unit),
            f"From above, front at the top. Thin: the frame{_dashed(rack)}.",
            150.0,
        ),
        *_under(found, unit),
        Rows(installation_table(found, unit)),
    ]
    if found.holes:
        blocks += [
            Heading("The holes, seen close"),
            Text(
                "Letters name the mounts, numbers the order of drilling. Beside a plate: aft of the datum. Below it: "
                "from the middle. The 1:1 drill templates show the same holes at full size: measure their check bars "
                "first."
            ),
        ]
    blocks += [
        Figure(drawing, "Roof plates from above, front at the top.", 84.0)
        for drawing in plate_drawings(found, rack, unit)
    ]
    for mount in found.mounts:
        if mount.rear is not None:
            caption = (
                f"{mount.letter} {place_name(mount.name)}: strap's middle {across(mount.at[1], unit)} of the middle; "
                "heights below where the body's flat begins; at the side, forward of the same line."
            )
            blocks.append(Figure(corner_drawing(mount, rack, vehicle, unit), caption, 126.0))
    blocks += [
        *([Rows(holes_table(found, unit))] if found.holes else []),
        *_work(found, shop, vehicle),
        *_finish(rack, found, vehicle, said, rating, unit),
    ]
    return Station("installation", "Fitting it to the vehicle", tuple(blocks))


def caution_blocks(found: Iterable[Caution]) -> list[Block]:
    """Return cautions in full, each text in its own box under its heading, sources below."""
    out: list[Block] = []
    for caution in found:
        out.append(Heading(caution.head))
        out += [Text(text, "caution") for text in caution.texts]
        out.append(Text(f"Source: {caution.source}.", "small"))
    return out


def _lift(found: Installation, unit: Unit) -> str:
    if not found.basket:
        return f"The rack weighs {load(found.mass, unit)}. Two people lift it."
    return (
        f"The rack weighs {load(found.mass, unit)}; the basket, which comes on last, {load(found.basket, unit)} of it. "
        "Two people lift each."
    )


def _first(found: Installation) -> str:
    return "hole" if found.holes else "bolt"


def _dashed(rack: Rack) -> str:
    said = outline_words(rack)
    return f"; dashed: {said}, which {'go' if said.endswith('s') else 'goes'} on last" if said else ""


def pilot(unit: Unit) -> str:
    """Return the drill of the first small hole as it is called."""
    return size(PILOT, unit) if unit == "mm" else write_length(PILOT, "in", 1 / 8)


def _drills(found: Installation, unit: Unit) -> str:
    return ", ".join(size(d, unit) for d in sorted({h.drill for h in found.holes if h.drill is not None}))


def _tools(found: Installation, shop: Shop) -> tuple[str, ...]:
    unit = shop.unit
    nuts = {b.nut_across for b in shop.u_bolts if any(c.bolt == b.name for c in found.clamps)}
    out = [f"{n} × {name}" for name, n in fastener_counts(found)]
    out += [f"{len(c)} × {name}" for name, c in _isolators(found)]
    out += [
        f"Sealant or hard tape for a bed of {small(shop.bedding, unit)} {unit} under the mounts, and spacers of that "
        "thickness for the dry fit (washers taped down)"
        if any(m.bedding for m in found.mounts)
        else "Hard tape where feet bear on paint",
        "Primer, touch-up paint, cavity wax with a hose, masking tape, cleaner without chlorine",
        *_measuring_tools(found, unit),
    ]
    if any(h.fastener in {r.name for r in shop.rivets} for h in found.holes):
        out.append("A rivet gun for structural rivets of this size; a small hand gun does not set them")
    if any(n.name in h.fastener for n in shop.rivet_nuts for h in found.holes):
        out.append("A setting tool for rivet nuts of this thread")
    if heads := {b.head_across for b in shop.bolts for m in bolted_on(found) for d in m.drawn if b.name in d.bolt}:
        out.append(f"Ring spanners and socket {', '.join(_across(n, unit) for n in sorted(heads))}, torque wrench")
    if found.clamps:
        out.append(f"Ring spanner {', '.join(_across(n, unit) for n in sorted(nuts))} and a torque wrench")
    return (*out, "Eye and ear protection, gloves; blankets over the roof; a second person")


def _across(flats: float, unit: Unit) -> str:
    """Return the spanner for a nut: a metric one keeps its millimetres in an inch shop."""
    parts = flats / INCH * 16
    metric = unit == "mm" or abs(parts - round(parts)) * INCH / 16 > 0.1
    return f"{flats:g} mm" if metric else f"{size(flats, unit)} in"


def _measuring_tools(found: Installation, unit: Unit) -> list[str]:
    to_measure = "Tape measure, steel rule, straightedge, two squares, level, scriber"
    if not found.holes:
        return [to_measure]
    return [
        f"{to_measure}; drills {pilot(unit)} and {_drills(found, unit)} {unit}, a drill stop, countersink or deburring "
        "tool, vacuum cleaner",
        f"{2 * sum(bool(m.holes) for m in found.mounts)} spring pins or loose bolts of the holes' size: two hold a "
        "mount while the next hole is drilled",
    ]


def _isolators(found: Installation) -> list[tuple[str, list[Clamp]]]:
    names = dict.fromkeys(c.isolator for c in found.clamps if c.isolator)
    return [(name, [c for c in found.clamps if c.isolator == name]) for name in names]


def _under(found: Installation, unit: Unit) -> list[Block]:
    """Return what stands under each mount, in words, and boxes for what is found there."""
    rows = tuple(
        (
            f"{m.letter} {place_name(m.name)}: what is under it, behind the trim",
            f"{UNDER[m.under]}, skin {small(m.skin, unit)} {unit}",
        )
        for m in found.mounts
        if m.kind in ("roof", "rear corner")
    )
    behind = Fields(rows, ("found", "skin measured"), "Behind the trim, before any hole", "by the vehicle's file")
    return [*([behind] if rows else []), *first_looks(found)]


def _work(found: Installation, shop: Shop, vehicle: Vehicle) -> list[Block]:
    unit = shop.unit
    bed, more = f"{small(shop.bedding, unit)} {unit}", f"{fine(DRILL_STOP, unit)} {unit}"
    covered = [h.label for h in found.holes if h.covered]
    first = (
        "Park on level ground. Read the handbook on roof load, airbags and battery; take the trim off at every place "
        "that is drilled and find airbag, inflator, wiring, drains and aerial cable with your own eyes.",
        f"{'Basket off the frame. ' if found.basket else ''}Cover the roof. Mark the datum and the vehicle's middle "
        "with masking tape; draw each plate's middle and edges on tape by the drawings, from the datum and from the "
        "middle, never from each other.",
        f"Dry fit, no fasteners and no sealant: tape spacers of {bed} where each mount lies, lower the frame straight "
        "down, two people. Every mount must lie on its spacers without being pushed.",
        "Measure both sides alike from the datum and from the middle; hatch, doors and opening roof must swing free. "
        "If a mount does not lie, stop: it goes back to the bench. Do not pull it down with fasteners.",
        "Look from inside at what each hole will come out in. If that is not what this sheet says, stop.",
    )
    drill = (
        f"Set the stop so that no more of the drill sticks out than the table says: what is held and {more}. Where a "
        "second sheet under the skin is to be held too, set it anew for that and measure the grip again.",
        f"One hole at a time: centre punch through the mount, pilot {pilot(unit)}, open to size, put a spring pin or a "
        "loose bolt in, check that nothing has moved, then the next hole.",
        *(
            f"Round {k + 1}: {', '.join(labels)}.{AFTER_FIRST if k == 0 else ''}"
            for k, labels in enumerate(found.rounds)
        ),
        "Pins out, frame off. Deburr every hole on both faces, take up every chip with a vacuum cleaner: chips rust.",
        "Prime and paint every bare edge, let it dry as the tin says.",
    )
    fix = (
        f"Bed each mount in sealant or on hard tape, {bed} thick, round every hole, no gaps; frame down, pins in the "
        "first holes.",
        "Set the fasteners that the table names from the middle of each mount outward; a little sealant in each hole."
        + (
            " The gun stands square and bears on the head; the stem must stay in. Rivets that turn are drilled out "
            "and set again."
            if any(h.fastener in {r.name for r in shop.rivets} for h in found.holes)
            else ""
        ),
        "Wipe off what squeezes out and seal round heads and plate edges. Wax the cavity from inside and refit the "
        "trim when the airbag's path is as it was.",
        "When the sealant has cured, spray water over every mount for five minutes and look inside.",
    )
    if not found.holes:
        first = (first[1], first[3])
    title = "First without a hole" if found.holes else "First without a bolt"
    out: list[Block] = [Heading(title, new_page=True), Ticks(first, numbered=True)]
    if covered:
        out.append(
            Text(
                f"The fitted basket covers {', '.join(covered)}: these holes are drilled and fastened with the basket "
                "off, and it must come off again to get at them.",
                "caution",
            )
        )
    if found.holes:
        out += [Heading("Drill"), Ticks(drill, numbered=True), Heading("Fasten and seal"), Ticks(fix, numbered=True)]
    return [*out, *feet_blocks(found, unit, AFTER), *_basket(found, unit), *_fittings(found)]


def _fittings(found: Installation) -> list[Block]:
    """Return how fittings are bolted on; none where the rack has none."""
    said = steps(found.fittings)
    return [Heading("Fittings"), Ticks(said, numbered=True)] if said else []


def _basket(found: Installation, unit: Unit) -> list[Block]:
    if not found.clamps:
        return []
    stops = [f"{c.side}, {fine(c.at[0], unit)} aft: stop {c.stop}" for c in found.clamps if c.stop]
    pulls = sorted({torque(c.torque, unit) for c in found.clamps if c.torque is not None})
    steps = [
        "Lay an isolator on the frame's leg under each clamp pad; none sticks out under the pad.",
        f"Lower the basket between the fore-aft stops ({'; '.join(stops)}): each pad bears on its stop. A gap is "
        "packed with a shim against the stop, never left to the U-bolts.",
        "U-bolts from below, bow under the leg, washers and nuts on top. Draw up evenly, side by side, until the "
        f"isolator just bulges, then to {' or '.join(pulls)}. More crushes the tube.",
        f"Draw all nuts up again to the same torque after {AFTER}, then before each trip.",
    ]
    rows = tuple(
        (
            f"{c.mark} {c.side}, {fine(c.at[0], unit)} aft: {len(c.bolts)} × {c.bolt}",
            "" if c.torque is None else torque(c.torque, unit),
        )
        for c in found.clamps
    )
    boxes = Fields(rows, ("fitted", f"after {AFTER}", "initials"), "Torque", "draw up to")
    return [Heading("Basket on"), Ticks(tuple(steps), numbered=True), boxes]


def _finish(
    rack: Rack, found: Installation, vehicle: Vehicle, said: tuple[Caution, ...], rating: Rating | None, unit: Unit
) -> list[Block]:
    coarse = shown_step(unit, fine=False)
    heights = vehicle.keep_outs.heights
    ground = "" if heights is None else write_length(heights.floor_to_datum + top(rack), unit, coarse)
    checks = [
        "Hatch opens fully and shuts, its seal all round; every door opens fully; sunroof and blinds move.",
        "Rear lamps, third brake light, rear wiper, washer, camera and number plate are not covered.",
        "Rock the rack hard by hand at each corner, fore and aft, sideways, up: nothing moves, nothing clicks.",
        "No sharp edge or open tube end where a head can be; caps in, drains open.",
        "Interior lamps, aerial and airbag warning lamp behave as before.",
        "A short drive on an empty road: no whistle, no rattle; then feel every mount and nut again.",
    ]
    checks += [f"Clear of the {o.name}, also when it moves." for o in vehicle.obstacles]
    return [
        Heading("Before it is driven"),
        Ticks(tuple(checks)),
        Fields(
            (
                (f"Overall height, ground to the highest point, {unit}", ground),
                ("The rack's top", height_words(rack, vehicle, unit)),
                (f"Vehicle and rack, overall length and width, {unit}", ""),
            ),
            ("measured",),
            "Measure, and put the height in the driver's sight",
        ),
        Text(
            "Height, width, overhang, lamps and plates that the law allows differ from country to country and state to "
            "state: look them up where you drive. Tell the insurer if the policy asks for it."
        ),
        *_limit(found, said, rating, unit),
        *_off(found, unit),
        Fields(
            (("Fitted by, date", ""), ("Checked by, date", ""), (f"After {AFTER}, by, date", "")),
            ("name and date",),
            "",
        ),
    ]


def _limit(found: Installation, said: tuple[Caution, ...], rating: Rating | None, unit: Unit) -> list[Block]:
    """Return what may be carried: never more than the rack is rated for, where that was reckoned."""
    limit = found.limit.kg
    left = "" if limit is None else load_down(max(0.0, limit - found.mass), unit)
    most = ("Load at most: limit less rack, or less", left)
    if rating is not None:
        no_more = "; no more than limit less rack" if limit is None else ""
        most = (
            f"Load at most, moving, by calculation: set by the {rating.by}{no_more}",
            load_down(rating.moving, unit),
        )
    rows = (
        (f"{found.limit.words.capitalize()} by the handbook, moving", "" if limit is None else load(limit, unit)),
        ("Rack, as weighed", load(found.mass, unit)),
        *((("Limit less rack", left),) if rating is not None else ()),
        most,
    )
    return [
        Heading("What it may carry"),
        *caution_blocks(c for c in said if c.head not in (*BEFORE, "Welding")),
        Fields(rows, ("by handbook and scale",), "Load", "by calculation"),
        *_too_much(rating),
    ]


def _too_much(rating: Rating | None) -> list[Block]:
    """Return what the rack does not bear even empty, for whoever loads it."""
    if rating is None or not rating.too_much:
        return []
    return [
        Text(f"Never do this, by calculation it is too much for the rack: {'; '.join(rating.too_much)}.", "caution")
    ]


def _off(found: Installation, unit: Unit) -> list[Block]:
    screwed = sum(d.count for m in found.mounts for d in m.drawn)
    bolts = sum(len(c.bolts) for c in found.clamps)
    rivets = len(found.holes) - sum(d.count for m in found.mounts for d in m.drawn if d.drilled)
    steps: list[str] = []
    first = "basket off first, then " if found.basket else ""
    if bolts:
        steps.append(
            f"The basket alone: {2 * bolts} nuts on {bolts} U-bolts off, U-bolts out downward, lift it straight up, "
            f"{load(found.basket, unit)}. Isolators stay with it. Frame and mounts stay on the vehicle."
        )
    if rivets:
        steps.append(
            f"Frame and mounts: {first}{rivets} rivets. For each: drive the stem out with a punch, "
            "drill the head off with the hole's drill and the stop set to the head, punch the body through, catch it. "
            "Cut the sealant with a wire or a plastic blade, two people lift."
        )
        steps.append(
            "To go back on: same places, new rivets and new bedding, painted again. To stay off: close every hole with "
            "a sealed rivet or plug the same day; water gets into the body."
        )
    if screwed:
        steps.append(
            f"Feet that are bolted on: {first}{screwed} bolts; two people lift. Their holes in a body "
            "are closed with plugs, covers go back on threads and tracks. To go back on: same places, new "
            "bedding, torque."
        )
    return [Heading("How it comes off again"), Ticks(tuple(steps))]
