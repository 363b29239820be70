"""The sizes of what lies on a frame: basket, tray or deck, and whether the shop can make and mount it."""

from __future__ import annotations

from rackgen.design.choose import Choice, thickness
from rackgen.design.rear import spanner_offset
from rackgen.design.slat_places import end_reach
from rackgen.design.span import thin_slats, wide_bays
from rackgen.design.spread import PAD_LENGTH, spread
from rackgen.design.tails import PAST_BUTT
from rackgen.errors import Finding, Level, Mistake
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop

Top = tuple[float, float, tuple[float, ...], tuple[float, ...], tuple[float, ...]]
"""Axis of the lower ring or of the side rails, rise to the upper ring, bearers, side uprights, end uprights, mm."""


LONGEST_PAD = 110.0
"""From the side of a ring or deck to the leg beside it, axis to axis: farther, and a clamp pad gives, mm (common
practice, no source)."""


def top_sizes(spec: RackSpec, shop: Shop, choice: Choice) -> tuple[Top, tuple[Finding, ...]]:
    """Return the sizes of what lies on the frame, see `Plan`, and bays that are too wide; nothing for bars alone."""
    if spec.basket.kind == "bars":
        return (0.0, 0.0, (), (), ()), ()
    bearers, uprights, end_uprights = spread(spec, choice)
    ring_z = choice.frame_od / 2 + shop.isolator + thickness(choice.pad) + choice.ring_od / 2
    rise = spec.basket.height - choice.ring_od if spec.basket.kind == "basket" else 0.0
    wide = (*wide_bays(spec, choice, bearers, end_reach(spec, choice)), *thin_slats(spec, shop, choice))
    return (ring_z, rise, bearers, uprights, end_uprights), wide


def too_small(spec: RackSpec, choice: Choice, trim: float) -> list[Mistake]:
    """Return why a basket is too small for its own bends, bars and clamps."""
    if spec.basket.kind == "bars":
        return []
    mistakes: list[Mistake] = []
    basket, clr, od = spec.basket, choice.ring_clr, choice.ring_od
    die = choice.ring_die
    bends = 2 * clr + od
    pads = 2 * (PAST_BUTT * od + PAD_LENGTH)
    if die is None:
        rooms = (
            ("basket.width", basket.width, 6 * od, "between two side rails something must go"),
            ("basket.length", basket.length, bends + pads, "with room for two clamp pads a side"),
        )
    else:
        bent = f"with bends on CLR {clr:g} mm, and room for die {die.name} to clamp"
        rooms = (
            ("basket.width", basket.width, bends + max(die.clamp, 2 * od),
             f"{bent} and an upright to stand between them"),
            ("basket.length", basket.length, bends + max(die.clamp + die.tail - 2 * trim, pads),
             f"{bent} and two clamp pads a side"),
        )  # fmt: skip
    for key, value, room, why in rooms:
        if value < room:
            wanted = f"{why}, it must be at least {room:.0f} mm"
            mistakes.append(Mistake(spec.name, key, 0, f"{value:.0f} mm", wanted))
    rings = 3 if spec.sides.mid_rail == "ring" else 2
    least = rings * od + (rings - 1) * 1.5 * choice.bar_od
    if basket.kind == "basket" and basket.height < least:
        many = {2: "two", 3: "three"}[rings]
        wanted = f"{many} rings of {od:g} mm and uprights that can be welded between them need at least {least:.0f} mm"
        mistakes.append(Mistake(spec.name, "basket.height", 0, f"{basket.height:.0f} mm", wanted))
    return mistakes


def nuts_reach(choice: Choice, side: float, wanted: float) -> list[Finding]:
    """Return a stop where a spanner does not reach the U-bolts' nuts beside what lies on the legs, a look at long pads.

    Args:
        choice: of stock.
        side: |Y| of the ring's or deck's side axes, mm.
        wanted: |Y| of the legs' axes, mm.
    """
    offset = spanner_offset(choice)
    if wanted > side + LONGEST_PAD + 1e-6:
        return [
            Finding(
                "pads-long",
                Level.LOOK,
                (),
                f"the legs lie {wanted - side:.0f} mm beside what stands on them: up to {LONGEST_PAD:.0f} mm a clamp "
                "pad is stiff",
                got=wanted - side,
                limit=LONGEST_PAD,
                keys=("frame.width", "basket.width"),
                help=f"make the basket at least {2 * (wanted - LONGEST_PAD) + choice.ring_od:.0f} mm wide, or the "
                f"frame at most {2 * (side + LONGEST_PAD) + choice.frame_od:.0f} mm",
            )
        ]
    if wanted >= side + offset - 1e-6:
        return []
    place = "beside" if wanted > side else "inside"
    return [
        Finding(
            "nuts-out-of-reach",
            Level.STOP,
            (),
            f"the legs lie {abs(wanted - side):.0f} mm {place} the basket's ring; a spanner needs "
            f"{offset:.0f} mm beside it",
            got=wanted - side,
            limit=offset,
            keys=("frame.width", "basket.width"),
            help=f"make the frame at least {2 * (side + offset) + choice.frame_od:.0f} mm wide, "
            f"or the basket at most {2 * (wanted - offset) + choice.ring_od:.0f} mm",
        )
    ]
