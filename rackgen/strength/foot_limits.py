"""Checks of feet: their bolts, what the bolts go into, and jaws on gutters.

A bolt's tension is multiplied by what the plate under its head pries (AISC manual, part 9), that of a pad's only bolt
by the pad's lever too where that is more. What lifts a jaw is all of it held by its hook; what moves it along is held
by friction, and its bolts bear what goes from jaw to clamp in shear.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import Array
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.rack import Placed, Rack
from rackgen.refs.registry import number
from rackgen.refs.strengths import weakest
from rackgen.spec.foot_place import GutterPlace
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.bolt_limits import OMEGA_BOLT
from rackgen.strength.foot_bolts import FootBolt, foot_bolts, of_gutters
from rackgen.strength.foot_statics import floor_bends, held_along, hook_bends
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel
from rackgen.strength.skin import OMEGA_SHEET

OMEGA_BEND = 1.67
OMEGA_SLIP = 1.5
"""Factors of safety: of steel in bending (AISC 360 F1) and against sliding (AISC 360 J3.8)."""

SKIN_YIELD = 0.52
"""Yield over tensile strength of a vehicle's sheet: 140 of 270 MPa (EN 10130 DC04, from memory)."""


def foot_limits(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of feet that are bolted on; none where there is none.

    Raises:
        RackgenError: a bolt is not on the shelf, or the grade of what it holds is not known.
    """
    bolts = foot_bolts(model, rack, vehicle, shop)
    if not bolts:
        return ()
    return (*_bolt_limits(bolts), *_jaw_limits(bolts, rack))


def _bolt_limits(bolts: Sequence[FootBolt]) -> tuple[Limit, ...]:
    made = "; ".join(dict.fromkeys(b.source for b in bolts))
    tag = weakest([*(b.tag for b in bolts), "memory"])
    thin = [b for b in bolts if b.sheet is not None]
    deep = [b for b in bolts if np.isfinite(b.beyond)]
    out = [
        Limit("foot-bolt", "Bolts of feet: tension with prying and shear together", OMEGA_BOLT, "tensile strength",
              f"AISC 360 J3.6 and J3.7, prying by AISC manual part 9 (from memory); {made}", tag,
              _spots(bolts, lambda b: f"{b.tension:.0f} N in tension, {b.shear:.0f} N in shear, prying {b.pried:.2f}"),
              _each(bolts, lambda b, v, t: np.hypot(b.pried * t / b.tension, v / b.shear), OMEGA_BOLT)),
        Limit("foot-bearing", "Plates and jaws: bearing and edge at bolts", OMEGA_BOLT, "tensile strength",
              "AISC 360 J3.10 (from memory)", weakest([*(b.steel.tag for b in bolts), "memory"]),
              _spots(bolts, lambda b: f"{b.bears:.0f} N"), _each(bolts, lambda b, v, _: v / b.bears, OMEGA_BOLT)),
    ]  # fmt: skip
    if deep:
        out.append(
            Limit("foot-thread", "Feet: what the bolts' threads are in", OMEGA_SHEET, "tensile strength of the vehicle",
                  "a track's lips or a thread's cylinder in shear at 0.6 Fu, a rivet nut by its table and pulled "
                  "through the skin (AISI S100, from memory); the vehicle's metal is assumed", "assumed",
                  _spots(deep, lambda b: f"{b.beyond:.0f} N, {b.beyond_words}"),
                  _each(deep, lambda b, _, t: b.pried * t / b.beyond, OMEGA_SHEET))
        )  # fmt: skip
    if thin:
        out.append(
            Limit("foot-skin", "Feet: bearing of the body's sheet at bolts", OMEGA_SHEET,
                  "tensile strength of the skin",
                  f"EN 1993-1-3 table 8.1; {number('skin-tensile').cited}", number("skin-tensile").tag,
                  _spots(thin, lambda b: f"{b.sheet or 0.0:.0f} N"),
                  _each(thin, lambda b, v, _: v / (b.sheet or np.inf), OMEGA_SHEET))
        )  # fmt: skip
    return tuple(out)


@dataclass(frozen=True, eq=False)
class Jaw:
    """One jaw and what it bears, N.

    Attributes:
        bolts: its bolts.
        placed: the jaw.
        hook: lift that bends its hook open.
        floor: lift that bends the gutter's floor up.
        slides: force along the gutter at which it slides.
    """

    bolts: tuple[FootBolt, ...]
    placed: Placed
    hook: float
    floor: float
    slides: float

    def force(self, loaded: Loaded) -> Array:
        """Return the force of the vehicle on the whole jaw, N: along the gutter, outboard, up; shape (6, cases)."""
        return np.asarray(loaded.supports[[b.support for b in self.bolts]].sum(axis=0))

    def spot(self, words: str) -> Spot:
        """Return its place, with what it bears."""
        mount = self.bolts[0].mount
        return Spot(
            f"jaw of the mount {mount.replace('_', ' ')}",
            (self.placed.id,),
            self.bolts[0].place.at,
            words,
            (f"mounts.{mount}",),
        )


def jaws_of(bolts: tuple[FootBolt, ...], rack: Rack) -> tuple[Jaw, ...]:
    """Return the jaws of a frame with what each bears."""
    out: list[Jaw] = []
    for mount, mine in of_gutters(bolts).items():
        placed = rack.part(f"mount.{mount}.jaw")
        part, place, first = placed.part, mine[0].place, mine[0]
        assert isinstance(part, FoldedBar)
        assert isinstance(place, GutterPlace)
        t, wide, bears = part.section.thickness, part.section.width, hook_reach(placed, place)
        skin = SKIN_YIELD * number("skin-tensile").value
        hook = hook_bends(first.steel.yield_, wide, t, bears + t / 2)
        floor = floor_bends(skin, wide, place.metal, place.width + place.metal - bears)
        slides = held_along(first.bought.torque, first.shape.diameter, len(mine))
        out.append(Jaw(tuple(mine), placed, hook, floor, slides))
    return tuple(out)


def _jaw_limits(bolts: tuple[FootBolt, ...], rack: Rack) -> tuple[Limit, ...]:
    jaws = jaws_of(bolts, rack)
    if not jaws:
        return ()
    steel = weakest([*(b.steel.tag for jaw in jaws for b in jaw.bolts), "memory"])

    def lifted(bears: Callable[[Jaw], float], factor: float) -> Callable[[Loaded], Array]:
        return lambda loaded: np.stack(
            [factor * np.maximum(-jaw.force(loaded)[2], 0.0) / bears(jaw) for jaw in jaws]
        )  # fmt: skip

    return (
        Limit("jaw-hook", "Jaws on gutters: the hook bent open", OMEGA_BEND, "yield",
              "a cantilever of the whole bar, AISC 360 F11.1 (from memory)", steel,
              tuple(jaw.spot(f"{jaw.hook:.0f} N of lift") for jaw in jaws), lifted(lambda jaw: jaw.hook, OMEGA_BEND)),
        Limit("jaw-gutter", "Jaws on gutters: the gutter's floor bent up", OMEGA_SHEET, "yield of the skin",
              f"a cantilever from the roof's side, spread at 45 degrees; {number('skin-tensile').cited}", "assumed",
              tuple(jaw.spot(f"{jaw.floor:.0f} N of lift") for jaw in jaws),
              lifted(lambda jaw: jaw.floor, OMEGA_SHEET)),
        Limit("jaw-slide", "Jaws on gutters: sliding along", OMEGA_SLIP, "friction",
              "two faces of the lip at 0.15, preload by torque / (0.2 d): common practice, no source", "practice",
              tuple(jaw.spot(f"{jaw.slides:.0f} N along the gutter") for jaw in jaws),
              lambda loaded: np.stack([OMEGA_SLIP * np.abs(jaw.force(loaded)[0]) / jaw.slides for jaw in jaws])),
    )  # fmt: skip


def hook_reach(jaw: Placed, place: GutterPlace) -> float:
    """Return how far inboard of the lip's outer face a hook bears under its gutter, mm: at its tip's edge."""
    part = jaw.part
    assert isinstance(part, FoldedBar)
    t, w = part.section.thickness, part.section.width
    flats = [(f, long) for f, long, fold in legs_and_arcs(part.flats, part.folds, t, w) if fold is None]
    (first, _), (last, long) = flats[0], flats[-1]
    ends = [jaw.frame.points(first.points([(0.0, 0.0, s * t / 2) for s in (-1.0, 1.0)])),
            jaw.frame.points(last.points([(long, 0.0, s * t / 2) for s in (-1.0, 1.0)]))]  # fmt: skip
    tip = min(ends, key=lambda e: float(e[:, 2].mean()))
    upper = tip[int(np.argmax(tip[:, 2]))]
    return abs(place.at[1]) - abs(float(upper[1]))


def _spots(bolts: Sequence[FootBolt], bears: Callable[[FootBolt], str]) -> tuple[Spot, ...]:
    return tuple(
        Spot(f"bolt {b.placed.id.rpartition('[')[2].rstrip(']')} of the mount {b.mount.replace('_', ' ')}",
             (b.placed.id,), b.placed.frame.origin, bears(b), ("bolt", f"mounts.{b.mount}"))
        for b in bolts
    )  # fmt: skip


def _each(
    bolts: Sequence[FootBolt], used: Callable[[FootBolt, Array, Array], Array], factor: float
) -> Callable[[Loaded], Array]:
    """Return the use of each bolt from its shear and tension; a jaw's bolts are all in shear."""

    def use(loaded: Loaded) -> Array:
        out: list[Array] = []
        for b in bolts:
            force = loaded.supports[b.support]
            if isinstance(b.place, GutterPlace):
                shear, tension = np.hypot(force[0], force[2]), np.abs(force[1])
            else:
                shear, tension = np.hypot(force[0], force[1]), np.maximum(-force[2], 0.0)
            out.append(factor * used(b, shear, tension))
        return np.stack(out)

    return use
