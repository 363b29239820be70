"""What is made and done for the price, a sentence each: what carries the load, its frame, its feet, its fittings."""

from __future__ import annotations

from collections import Counter
from typing import assert_never

from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Rack
from rackgen.sheets.fit_up import fit_up
from rackgen.sheets.installation import installation
from rackgen.spec.fittings import LadderWish
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.units import shown_step, write_length

FEET = {
    "roof": "plate{s} on the roof",
    "gutter": "clamp{s} on the drip rails",
    "threads": "pad{s} on the body's own threads",
    "track": "bracket{s} on the roof's tracks",
    "bed rail": "plate{s} on the bed's rails",
    "rear corner": "strap{s} down the rear corners",
}
"""A rack's feet by what they stand on."""

FITTED = ("air deflector", "lamp tab", "tie-down loop", "shovel bracket", "awning bracket")
"""Fittings by the word of the part that is counted."""


def drilled(rack: Rack, shop: Shop, vehicle: Vehicle) -> bool:
    """Return whether the body is drilled for it."""
    return bool(installation(rack, shop, vehicle).holes)


def scope(rack: Rack, shop: Shop, vehicle: Vehicle, spec: RackSpec) -> tuple[str, ...]:
    """Return what is made and done, a sentence each."""
    words = Counter(p.word for p in rack.placed)
    out = [*_top(rack, shop, spec), _frame(rack, shop, spec), _feet(rack, shop, vehicle)]
    fitted = [_counted(words[word], word) for word in FITTED if words[word]]
    if any(isinstance(f, LadderWish) for f in spec.fittings):
        fitted.append("a ladder down the rear")
    out += [", ".join(fitted)] if fitted else []
    bought = ["fasteners"]
    bought += ["isolators"] if words["isolator"] else []
    out.append(
        " and ".join(bought) + (", sealant and paint for the drilled holes" if drilled(rack, shop, vehicle) else "")
    )
    out.append(f"finish: {shop.finish.name or shop.finish.method}")
    out.append("dry fit on the vehicle and fitting")
    return tuple(out)


def _counted(count: int, word: str) -> str:
    if count == 1:
        return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"
    return f"{count} {word}s"


def _long(mm: float, shop: Shop) -> str:
    return write_length(mm, shop.unit, shown_step(shop.unit, fine=False))


def _top(rack: Rack, shop: Shop, spec: RackSpec) -> list[str]:
    """Return what lies on the frame, and what is on its sides; nothing of bars."""
    basket, sides = spec.basket, spec.sides
    high = f", {_long(basket.height, shop)} high" if basket.height else ""
    size = f"{_long(basket.width, shop)} wide, {_long(basket.length, shop)} long{high} outside ({shop.unit})"
    match basket.kind:
        case "bars":
            return []
        case "tray":
            out = [f"a low tray {size}, one ring of bent tube, {_floor(rack, spec)}"]
        case "deck":
            out = [f"a flat deck {size}, two side rails, {_floor(rack, spec)}"]
        case "basket":
            rings = "three" if sides.mid_rail == "ring" else "two"
            out = [f"a cargo basket {size}, {rings} rings of bent tube, {_floor(rack, spec)}"]
        case _:
            assert_never(basket.kind)
    if sides.mid_rail == "rails":
        out.append("rails between its uprights")
    if plates := sum(p.id.startswith("basket.plate") for p in rack.placed):
        cut = [
            *(["slots for straps"] if sides.with_slots else []),
            *([f"the words {sides.text} cut through"] if sides.text else []),
            *(["a picture cut through"] if sides.motif else []),
        ]
        out.append(f"{plates} side plates" + (f" with {' and '.join(cut)}" if cut else ""))
    return out


def _floor(rack: Rack, spec: RackSpec) -> str:
    match spec.floor.kind:
        case "expanded metal":
            edged = any(p.word == "edge strip" for p in rack.placed)
            return "floor of expanded metal" + (" with covered edges" if edged else "")
        case "perforated sheet":
            return "floor of perforated sheet"
        case "slats":
            slats = [p for p in rack.placed if p.word == "slat"]
            of = "tube" if slats and isinstance(slats[0].part, BentTube) else "flat bar"
            return f"floor of {len(slats)} slats of {of}"
        case "none":
            return "without a floor"
        case _:
            assert_never(spec.floor.kind)


def _frame(rack: Rack, shop: Shop, spec: RackSpec) -> str:
    """Return the frame; with its size and what a load is lashed to where nothing lies on it."""
    words = Counter(p.word for p in rack.placed)
    top = spec.basket.kind
    if top != "bars":
        of = {"hoop": "a frame", "ladder": "a ladder frame", "bed": "a frame over the bed", "bows": "bows"}
        return f"{of[spec.frame.kind]} that carries it; the {top} comes off with its U-bolts"
    if spec.frame.kind == "bows":
        ties = f", tied by {_counted(words['tie'], 'straight tube')}" if words["tie"] else ""
        return f"{_counted(words['bow'], 'bowed tube')} across the roof{ties}, to lash on"
    sizes = [f"{_long(a.width, shop)} wide, {_long(a.length, shop)} long outside ({shop.unit})"
             for a in fit_up(rack, shop).assemblies if a.name == "frame"]  # fmt: skip
    over = f", {_long(spec.frame.height, shop)} over the bed's rails" if spec.frame.height else ""
    kind = "a frame over the bed" if spec.frame.kind == "bed" else "a ladder frame"
    return f"{' '.join([kind, *sizes])}{over}, {_counted(words['cross bar'], 'cross bar')} to lash on"


def _feet(rack: Rack, shop: Shop, vehicle: Vehicle) -> str:
    """Return what it stands on."""
    kinds = Counter(mount.kind for mount in installation(rack, shop, vehicle).mounts)
    told = [f"{n} {FEET[kind].format(s='' if n == 1 else 's')}" for kind, n in kinds.items()]
    return f"it stands on {' and '.join(told)}"
