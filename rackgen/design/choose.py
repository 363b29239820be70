"""Which stock a builder takes: the one named in the rack file, else the shelf's nearest to the usual section."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import assert_never

from rackgen.errors import BadInput, Mistake
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Die, Shop
from rackgen.spec.stock import Flat, Panel, Rivet, Round, Stock, UBolt

USUAL_RING = (33.7, 2.6)
USUAL_BAR = (26.9, 2.6)
USUAL_STRAP = (50.0, 5.0)
USUAL_WRAP = (50.0, 3.0)
USUAL_STRIP = (20.0, 3.0)
USUAL_MOUNT_PLATE = 4.0
USUAL_SIDE_PLATE = 3.0
USUAL_PAD = 5.0
USUAL_PERFORATED = 2.0
USUAL_RIVETS = 6
LEAST_STRAP = 30.0
LEAST_WRAP = 44.0
"""Sections of a light half-length rack, mm; fasteners of a mount plate; and the narrowest bars, mm, whose rivets keep
their edge distance: common practice, no source."""


@dataclass(frozen=True)
class Choice:
    """The stock of every role.

    Attributes:
        frame: hoop, cross bars and saddles.
        frame_die: bends it.
        ring: the basket's rings, or a deck's side rails.
        ring_die: bends it; None for side rails, which are straight.
        bar: bearers and uprights.
        strap: straps and braces.
        wrap: wraps and packers.
        strip: edge strips and fore-aft stops.
        mount_plate: plates on the roof.
        side_plate: side plates.
        pad: clamp pads.
        floor: expanded metal, perforated sheet, or slats of tube or bar; None without a floor.
        u_bolt: holds the basket to the frame.
        rivet: fixes mounts.
        plate_rivets: fasteners of each plate on the roof.
    """

    frame: Stock
    frame_die: Die
    ring: Stock
    ring_die: Die | None
    bar: Stock
    strap: Stock
    wrap: Stock
    strip: Stock
    mount_plate: Stock
    side_plate: Stock
    pad: Stock
    floor: Stock | None
    u_bolt: UBolt
    rivet: Rivet
    plate_rivets: int = USUAL_RIVETS

    @property
    def frame_od(self) -> float:
        """Outside diameter of the frame's tube, mm."""
        return od(self.frame)

    @property
    def ring_od(self) -> float:
        """Outside diameter of the rings' tube, mm."""
        return od(self.ring)

    @property
    def ring_clr(self) -> float:
        """Bend radius of the rings to the tube's centreline, mm; 0 for side rails."""
        return 0.0 if self.ring_die is None else self.ring_die.clr

    @property
    def tube_slats(self) -> bool:
        """Whether the floor is of tubes, which then stand in for bearers."""
        return self.floor is not None and isinstance(self.floor.section, Round)

    @property
    def bar_od(self) -> float:
        """Outside diameter of bearers and uprights, mm."""
        return od(self.bar)


def od(stock: Stock) -> float:
    """Return the outside diameter of a round tube, mm."""
    assert isinstance(stock.section, Round)
    return stock.section.od


def thickness(stock: Stock) -> float:
    """Return the thickness of a bar, sheet or panel, mm."""
    section = stock.section
    assert not isinstance(section, Round)
    return section.overall if isinstance(section, Panel) else section.thickness


def bar_width(stock: Stock) -> float:
    """Return the width of a flat bar, mm."""
    assert isinstance(stock.section, Flat)
    return stock.section.width


class _Shelf:
    """Picks from one shop and gathers what is missing, so that all of it is said at once."""

    def __init__(self, shop: Shop, rack: str) -> None:
        self.shop = shop
        self.rack = rack
        self.mistakes: list[Mistake] = []

    def missing(self, key: str, wanted: str) -> None:
        self.mistakes.append(Mistake(f"shop {self.shop.name}", key, 0, "", wanted))

    def pick(
        self, key: str, name: str | None, found: Sequence[Stock], far: Callable[[Stock], tuple[float, ...]], what: str
    ) -> Stock | None:
        if name is not None:
            named = next((s for s in found if s.name == name), None)
            if named is None:
                offered = ", ".join(s.name for s in found) or "nothing of that kind"
                wanted = f"name a {what}; {self.shop.name} has {offered}"
                self.mistakes.append(Mistake(self.rack, key, 0, f'"{name}"', wanted))
            return named
        if not found:
            self.missing(key, f"put {what} on the shelf")
            return None
        return min(found, key=lambda s: (*far(s), s.name))


def choose(spec: RackSpec, shop: Shop) -> Choice:
    """Return the stock of every role.

    Raises:
        BadInput: the shop has nothing for a role, or not what the rack file names; all of it at once.
    """
    shelf = _Shelf(shop, spec.name)
    tubes = [s for s, _ in shop.tubes()]
    bendable = [s for s in tubes if shop.die_for(od(s)) is not None]

    def off(usual: tuple[float, float]) -> Callable[[Stock], tuple[float, ...]]:
        def far(stock: Stock) -> tuple[float, ...]:
            section = stock.section
            if isinstance(section, Round):
                return (abs(section.od - usual[0]), abs(section.wall - usual[1]))
            assert isinstance(section, Flat)
            return (abs(section.width - usual[0]) + 4 * abs(section.thickness - usual[1]),)

        return far

    def thick(usual: float) -> Callable[[Stock], tuple[float, ...]]:
        # Of two as far from the usual one the stouter is taken.
        return lambda stock: (abs(thickness(stock) - usual), -thickness(stock))

    bent = "round tube with a bending die for its OD"
    frame = shelf.pick("frame.tube", spec.frame.tube, bendable, off(USUAL_RING), bent)
    deck = spec.basket.kind == "deck"
    ring = shelf.pick(
        "basket.ring_tube", spec.basket.ring_tube, tubes if deck else bendable, off(USUAL_RING),
        "round tube" if deck else bent,
    )  # fmt: skip
    fits = [s for s in tubes if ring is None or od(s) <= od(ring) + 1e-9]
    bar = shelf.pick("basket.bar_tube", spec.basket.bar_tube, fits, off(USUAL_BAR), "tube no wider than the ring's")
    bars = [s for s, _ in shop.bars()]
    stout = [s for s in bars if bar_width(s) >= LEAST_STRAP]
    strap = shelf.pick("mounts.strap", spec.mounts.strap, stout, off(USUAL_STRAP), "flat bar wide enough for straps")
    wide = [s for s in bars if bar_width(s) >= LEAST_WRAP]
    wrap = shelf.pick("mounts.wrap", spec.mounts.wrap, wide, off(USUAL_WRAP), "flat bar wide enough for wraps")
    strip = shelf.pick("basket.strip", spec.basket.strip, bars, off(USUAL_STRIP), "flat bar for edge strips")
    sheets = [s for s, _ in shop.sheets()]
    plate = shelf.pick("mounts.plate", spec.mounts.plate, sheets, thick(USUAL_MOUNT_PLATE), "plate for mounts")
    side = shelf.pick("basket.side_plate", spec.basket.side_plate, sheets, thick(USUAL_SIDE_PLATE), "side plate")
    pad = shelf.pick("basket.pad", spec.basket.pad, sheets, thick(USUAL_PAD), "plate for clamp pads")
    floor = _floor(shelf, spec, bar, [*fits, *bars])
    u_bolt = _u_bolt(shelf, shop, frame, pad)
    rivets = sorted((r for r in shop.rivets if r.closed_end), key=lambda r: (abs(r.diameter - 6.4), r.name))
    if not rivets:
        shelf.missing("rivet", "put closed-end rivets on the shelf; open-end rivets alone do not hold a mount")
    frame_die = shop.die_for(od(frame)) if frame else None
    ring_die = shop.die_for(od(ring)) if ring and not deck else None
    if shelf.mistakes or not (
        frame and ring and bar and strap and wrap and strip and plate and side and pad
        and u_bolt and rivets and frame_die and (ring_die or deck)
    ):  # fmt: skip
        raise BadInput(shelf.mistakes)
    return Choice(
        frame, frame_die, ring, ring_die, bar, strap, wrap, strip, plate, side, pad, floor, u_bolt, rivets[0],
        spec.mounts.plate_rivets or USUAL_RIVETS,
    )  # fmt: skip


def _floor(shelf: _Shelf, spec: RackSpec, bar: Stock | None, slats: Sequence[Stock]) -> Stock | None:
    """Return what the floor is made of; slats are of the bearers' tube where the rack file names nothing."""
    name, shop = spec.basket.floor, shelf.shop
    sheets = {"expanded metal": shop.meshes(), "perforated sheet": shop.perforated()}
    if spec.floor.kind in sheets and not sheets[spec.floor.kind]:
        has = ", ".join([f'"{kind}"' for kind, found in sheets.items() if found] + ['"slats"'])
        wanted = f"{shop.name} has none on its shelf; floors that it has stock for: {has}"
        shelf.mistakes.append(Mistake(spec.name, "floor.kind", 0, f'"{spec.floor.kind}"', wanted))
        return None
    match spec.floor.kind:
        case "expanded metal":
            meshes = [s for s, _ in shop.meshes()]
            return shelf.pick("basket.floor", name, meshes, lambda s: (thickness(s),), "expanded metal")
        case "perforated sheet":
            sheets = [s for s, _ in shop.perforated()]
            return shelf.pick(
                "basket.floor", name, sheets, lambda s: (abs(thickness(s) - USUAL_PERFORATED),), "perforated sheet"
            )
        case "slats":
            if name is None:
                return bar
            return shelf.pick("basket.floor", name, slats, lambda s: (), "tube no wider than the ring's, or flat bar")
        case "none":
            return None
        case _:
            assert_never(spec.floor.kind)


def _u_bolt(shelf: _Shelf, shop: Shop, frame: Stock | None, pad: Stock | None) -> UBolt | None:
    """Return the smallest U-bolt that passes the frame's tube, its coating and the isolator, and is long enough."""
    if frame is None or pad is None:
        return None
    film = shop.finish.thickness
    wide = od(frame) + (COATING if film is None else 2 * film) + 2 * shop.isolator
    for bolt in sorted(shop.u_bolts, key=lambda b: (b.inside_width, b.rod, b.leg)):
        long = od(frame) + shop.isolator + thickness(pad) + bolt.washer_thickness + bolt.nut_height + bolt.rod / 4
        if bolt.inside_width >= wide - 1e-6 and bolt.leg >= long - 1e-6:
            return bolt
    shelf.missing(
        "u_bolt",
        f"put a U-bolt on the shelf with an inside width of at least {wide:.1f} mm for the frame's tube, legs of at "
        f"least {od(frame) + shop.isolator + thickness(pad) + 12:.0f} mm",
    )
    return None


COATING = 0.2
"""What powder adds to an outside diameter where the shop does not say, mm: 60-100 µm a face (common practice, no
source)."""
