"""The vehicle's skin round the rivets: bearing, the edge at a shut line, and being pulled over the blind ends."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts.rack import Rack
from rackgen.refs.registry import number
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.limits import Limit, Loaded
from rackgen.strength.model import Case, FrameModel
from rackgen.strength.rivet_limits import FOR_SHEET, shear_and_tension, spot
from rackgen.strength.rivet_places import Fastened, fastened
from rackgen.strength.skin import OMEGA_SHEET


def skin_limits(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of the skin that a frame is riveted to; none where there are no rivets.

    Raises:
        RackgenError: what a rivet bears, the grade of what it holds, or what it goes into is not known.
    """
    rivets = fastened(model, rack, vehicle, shop)
    if not rivets:
        return ()
    fu = number("skin-tensile")
    steel = f"skin of {fu.value:g} MPa assumed, the least of {fu.source.title}, sound and without rust; {FOR_SHEET}"
    book = "EN 1993-1-3 table 8.1 (from memory)"
    near = [r for r in rivets if r.edge is not None]
    edges = Limit(
        "skin-edge", "Skin: tearing to the hatch's shut line", OMEGA_SHEET, "tensile strength of the skin",
        f"{book}; {steel}", fu.tag, tuple(spot(r, f"{r.edge:.0f} N, {r.skin.words}") for r in near),
        _use(near, lambda r, v, _: v / r.edge if r.edge else np.full_like(v, np.inf)),
    )  # fmt: skip
    return (
        Limit("skin-bearing", "Skin: bearing at rivets", OMEGA_SHEET, "tensile strength of the skin",
              f"{book}, as sheets alike where there is bedding between; {steel}", fu.tag,
              tuple(spot(r, f"{r.bearing:.0f} N, {r.skin.words}") for r in rivets),
              _use(rivets, lambda r, v, _: v / r.bearing)),
        *((edges,) if near else ()),
        Limit("skin-pull-over", "Skin: pulled over the rivets' blind ends", OMEGA_SHEET,
              "tensile strength of the skin",
              f"AISI S100 pull-over (from memory) with the blind end for the head, prying by AISC manual part 9 (from "
              f"memory); {steel}", fu.tag,
              tuple(spot(r, f"{r.pull_over:.0f} N, prying {r.pried:.2f}, {r.skin.words}") for r in rivets),
              _use(rivets, lambda r, _, t: r.pried * t / r.pull_over)),
    )  # fmt: skip


def _use(rivets: Sequence[Fastened], used: Callable[[Fastened, Array, Array], Array]) -> Callable[[Loaded], Array]:
    def use(loaded: Loaded) -> Array:
        return np.stack([OMEGA_SHEET * used(r, *shear_and_tension(loaded.supports[r.support])) for r in rivets])

    return use


def pressing(model: FrameModel, loaded: Loaded, cases: Sequence[Case]) -> tuple[str, ...]:
    """Return, a sentence a mount, with how much its plates press on the skin at most, and in which case.

    The model lets a mount press where its fasteners are; in truth a plate presses with its whole face, which is easier
    on the skin.
    """
    out: list[str] = []
    for mount in dict.fromkeys(s.mount for s in model.supports):
        mine = [i for i, s in enumerate(model.supports) if s.mount == mount]
        pressed = np.maximum(loaded.supports[mine, 2], 0.0).sum(axis=0)
        worst = int(np.argmax(pressed))
        if pressed[worst] > 0:
            out.append(
                f"the mount {mount.replace('_', ' ')} presses on the skin with up to {pressed[worst]:.0f} N "
                f"({cases[worst].title}): look for dents after the first loaded trip"
            )
    return tuple(out)
