"""Which bolt goes through a stack, how long, and the holes and slots for it."""

from __future__ import annotations

from typing import Literal

from rackgen.design.rivets import DENSITY
from rackgen.errors import BadInput, Mistake
from rackgen.geom.outline import Contour, rectangle
from rackgen.parts.kinds import BoltShape, Bought
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Bolt, RivetNut
from rackgen.units import shown_step, write_length

End = Literal["nut", "slot nut", "rivet nut", "thread"]

NEAR = 0.15
"""A bolt is of a thread when its diameter is this near, mm."""

OUT_OF_NUT = 2.0
"""A bolt's tip comes out of its nut by so much or more, mm: two threads (common practice, no source)."""

CLEAR = ((6.0, 6.6), (8.0, 9.0), (10.0, 11.0), (12.0, 13.5))
"""Diameters of threads and of their clearance holes, medium series, mm (ISO 273, from memory)."""

SLOT = 8.0
"""How far a bolt can slide in its slot from end to end, mm (common practice, no source)."""

ENGAGED = 1.0
"""Least thread that a bolt takes hold of in steel, in diameters (common practice, no source)."""


def hole_for(thread: float) -> float:
    """Return the diameter of the clearance hole of a thread, mm: of the table's row, else a tenth over it."""
    return next((hole for d, hole in CLEAR if abs(d - thread) < NEAR), round(1.1 * thread, 1))


def slot_for(thread: float, x: float, y: float, *, across: bool) -> Contour:
    """Return a slot for a bolt about a point; across lies along Y."""
    wide = hole_for(thread)
    size = (wide, wide + SLOT) if across else (wide + SLOT, wide)
    return rectangle(*size, wide / 2, (x, y))


def shelf_bolt(shop: Shop, thread: float, where: str) -> Bolt:
    """Return the shop's bolt of a thread.

    Args:
        shop: whose shelf.
        thread: its diameter, mm.
        where: what needs it, for the message.

    Raises:
        BadInput: there is none.
    """
    found = [b for b in shop.bolts if abs(b.diameter - thread) < NEAR]
    if not found:
        wanted = f"{where} needs M{thread:g} bolts: put them on the shelf as [[bolt]]"
        raise BadInput([Mistake(f"shop {shop.name}", "bolt", 0, "", wanted)])
    return min(found, key=lambda b: (abs(b.diameter - thread), b.name))


def stout_bolt(shop: Shop, least: float, where: str) -> Bolt:
    """Return the thinnest bolt of at least a diameter.

    Raises:
        BadInput: there is none.
    """
    found = [b for b in shop.bolts if b.diameter >= least - NEAR]
    if not found:
        wanted = f"{where} needs bolts of {least:g} mm or more: put them on the shelf as [[bolt]]"
        raise BadInput([Mistake(f"shop {shop.name}", "bolt", 0, "", wanted)])
    return min(found, key=lambda b: (b.diameter, b.name))


def shelf_rivet_nut(shop: Shop, least: float, skin: float, where: str) -> RivetNut:
    """Return the smallest rivet nut of at least a thread that a skin holds.

    Raises:
        BadInput: there is none.
    """
    found = [n for n in shop.rivet_nuts if n.thread >= least - NEAR and n.grip[0] <= skin + 1e-6 <= n.grip[1] + 2e-6]
    if not found:
        wanted = (
            f"{where} needs rivet nuts of M{least:g} or more for {skin:g} mm: put them on the shelf as [[rivet_nut]]"
        )
        raise BadInput([Mistake(f"shop {shop.name}", "rivet_nut", 0, "", wanted)])
    return min(found, key=lambda n: (n.thread, n.name))


def nutted(shop: Shop, bolt: Bolt, grip: float, where: str) -> Bought:
    """Return a bolt with its nut through a stack.

    Raises:
        BadInput: no length on the shelf is long enough.
    """
    need = grip + 2 * bolt.washer_thickness + bolt.nut_height + OUT_OF_NUT
    return _cut(shop, bolt, grip, need, "nut", bolt.head_across, bolt.nut_height, where)


def threaded(shop: Shop, bolt: Bolt, grip: float, depth: float, where: str) -> Bought:
    """Return a bolt into a thread that the vehicle has: as long as its depth lets it be.

    Raises:
        BadInput: none on the shelf takes hold of a diameter of it without bottoming.
    """
    least = grip + bolt.washer_thickness + ENGAGED * bolt.diameter
    most = grip + bolt.washer_thickness + depth
    fits = [n for n in bolt.lengths if least - 1e-6 <= n <= most + 1e-6]
    if not fits:
        wanted = f"{where} needs {bolt.name} from {least:.1f} to {most:.1f} mm long: put one on the shelf"
        raise BadInput([Mistake(f"shop {shop.name}", "bolt.lengths", 0, "", wanted)])
    return _made(shop, bolt, max(fits), grip, "thread", 0.0, 0.0)


def in_slot(shop: Shop, bolt: Bolt, grip: float, nut: tuple[float, float], where: str) -> Bought:
    """Return a bolt into a slot nut, given across and high.

    Raises:
        BadInput: no length on the shelf is long enough.
    """
    need = grip + bolt.washer_thickness + nut[1] - 1.0
    return _cut(shop, bolt, grip, need, "slot nut", *nut, where)


def in_rivet_nut(shop: Shop, bolt: Bolt, grip: float, nut: RivetNut, where: str) -> Bought:
    """Return a bolt into a rivet nut; what is gripped reaches down to the lower face of the skin.

    Raises:
        BadInput: no length on the shelf is long enough.
    """
    need = grip + bolt.washer_thickness + bolt.diameter
    made = _cut(shop, bolt, grip, need, "rivet nut", nut.hole, nut.length, where)
    return Bought(f"{made.name}, {nut.name}", made.shape, made.density)


def _cut(shop: Shop, bolt: Bolt, grip: float, need: float, end: End, across: float, high: float, where: str) -> Bought:
    fits = [n for n in bolt.lengths if n >= need - 1e-6]
    if not fits:
        wanted = f"{where} needs {bolt.name} at least {need:.1f} mm long: put one on the shelf"
        raise BadInput([Mistake(f"shop {shop.name}", "bolt.lengths", 0, "", wanted)])
    return _made(shop, bolt, min(fits), grip, end, across, high)


def _made(shop: Shop, bolt: Bolt, length: float, grip: float, end: End, across: float, high: float) -> Bought:
    shape = BoltShape(
        bolt.diameter, length, grip, bolt.head_across, bolt.head_height, bolt.washer, bolt.washer_thickness,
        end, across, high,
    )  # fmt: skip
    return Bought(ordered(shop, bolt, length), shape, DENSITY)


def ordered(shop: Shop, bolt: Bolt, length: float) -> str:
    """Return a bolt as it is ordered: its name and length, in whole millimetres where that is what it is sold in."""
    if shop.unit == "mm" or abs(length - round(length)) < 1e-6:
        return f"{bolt.name} × {length:g} mm"
    return f"{bolt.name} × {write_length(length, shop.unit, shown_step(shop.unit, fine=True))} {shop.unit}"
