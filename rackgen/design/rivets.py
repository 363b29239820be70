"""Which rivet holds a stack of metal, bedding and skin."""

from __future__ import annotations

from rackgen.design.choose import Choice
from rackgen.errors import Finding, Level
from rackgen.parts.kinds import Bought, RivetShape
from rackgen.parts.rack import PartId
from rackgen.spec.shop import Shop

DENSITY = 7850.0
BLIND_WIDE = 1.4
BLIND_LONG = 0.9
"""Steel, kg/m³; a set blind end in body diameters (common practice, no source)."""


def set_rivet(shop: Shop, choice: Choice, grip: float, held: PartId) -> tuple[Bought, tuple[Finding, ...]]:
    """Return the closed-end rivet of the chosen diameter whose grip range holds a stack, as set.

    Args:
        shop: whose shelf.
        choice: says the diameter, which the holes are drilled for.
        grip: thickness of the stack, mm.
        held: the part on top of it.

    Returns:
        The rivet. Where the shelf has none for the grip it is the nearest one, with a stop.
    """
    found = [r for r in shop.rivets if r.closed_end and abs(r.diameter - choice.rivet.diameter) < 1e-6]

    def off(low: float, high: float) -> float:
        return max(low - grip, grip - high, 0.0)

    best = min(found, key=lambda r: (off(*r.grip), r.grip, r.name))
    shape = RivetShape(
        best.diameter, grip, best.head, best.head_height, BLIND_WIDE * best.diameter, BLIND_LONG * best.diameter
    )
    item = Bought(best.name, shape, DENSITY)
    if off(*best.grip) < 1e-6:
        return item, ()
    return item, (
        Finding(
            "rivet-grip",
            Level.STOP,
            (held,),
            f"no closed-end rivet on the shelf grips {grip:.1f} mm; the nearest: {best.grip[0]:g} to {best.grip[1]:g}",
            got=grip,
            limit=best.grip[1],
            keys=("rivet",),
            help=f"put a {best.diameter:g} mm closed-end rivet for a grip of {grip:.1f} mm on the shelf",
        ),
    )
