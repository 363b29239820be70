"""U-bolts of a frame: pulled by what lifts the basket, bent by what pushes it sideways. N, mm.

Nothing is held by friction: a U-bolt holds up, down and across its tube; along the tube only stops hold. Tightening is
not added to what the load does: it is lost to the soft isolator, and the torques given are small.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rackgen.errors import RackgenError
from rackgen.geom.frame import Array
from rackgen.parts.rack import Rack
from rackgen.refs.fasteners import POUND, bolt, stress_area
from rackgen.refs.registry import table
from rackgen.refs.strengths import weakest
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.bolt_limits import Clamp, clamps_of, sideways
from rackgen.strength.limits import Limit, Loaded
from rackgen.strength.model import FrameModel

NEAR = 0.1
"""A rod is a row's of the table of rated loads when it is this near, mm."""

LEAST_CLASS = "4.6"
"""What rod of unknown grade is taken for, when it bends: the softest property class."""

OMEGA_BENDING = 1.67
"""Factor of safety of a rod in bending, on its proof stress (AISC 360 F1)."""


def rated_load(rod: float) -> float:
    """Return the rated load of a U-bolt pulling on both legs, N; its own factor of safety is in it.

    Between the rods of the table: the least stress of its rows on the thread's stress area.

    Args:
        rod: diameter, mm.

    Raises:
        RackgenError: the rod is thinner than the table's least or no coarse thread.
    """
    rows = table("u-bolt-rated").rows
    for diameter, pounds in rows:
        if abs(diameter - rod) <= NEAR:
            return pounds * POUND
    if rod < rows[0][0]:
        raise RackgenError(f"no rated load is known of a U-bolt of {rod:g} mm rod: use 1/4 in, M8 or more")
    stress = min(pounds * POUND / (2 * stress_area(diameter)) for diameter, pounds in rows)
    return 2 * stress * stress_area(rod)


def u_bolt_limits(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of U-bolts: rated load where no grade is stated, and bending by what comes sideways.

    Raises:
        RackgenError: a U-bolt is not on the shelf, or no load of its rod is known.
    """
    clamps = clamps_of(model, rack, shop)
    if not clamps:
        return ()
    plain = [c for c in clamps if not c.bought.grade]
    rows = table("u-bolt-rated")
    out: list[Limit] = []
    if plain:
        rated = np.array([rated_load(c.shape.rod) for c in plain])
        out.append(
            Limit(
                "u-bolt-rated",
                "U-bolts: rated load",
                1.0,
                "rated load, whose own factor of safety is in it",
                f"{rows.cited}; rods between its rows by their stress area",
                rows.tag,
                tuple(c.spot(f"rated {r:.0f} N pulling on both legs") for c, r in zip(plain, rated, strict=True)),
                lambda loaded: np.stack([c.tension(loaded) for c in plain]) / rated[:, None],
            )
        )
    steels = [bolt(c.bought.grade or LEAST_CLASS) for c in clamps]
    said = f"rod of unknown grade taken as class {LEAST_CLASS}; " if plain else ""
    allowed = np.array([s.proof / OMEGA_BENDING for s in steels])
    out.append(
        Limit(
            "u-bolt-sideways",
            "U-bolts: pulled, and bent by what comes sideways",
            OMEGA_BENDING,
            "proof stress of the rod",
            f"legs and bow as a portal from the nuts to the tube's axis, half of the U-bolts bearing (assumed); {said}"
            f"{steels[0].source}",
            "assumed" if plain else weakest([*(s.tag for s in steels), "assumed"]),
            tuple(c.spot(f"{s.proof:.0f} MPa on the thread") for c, s in zip(clamps, steels, strict=True)),
            lambda loaded: _stress(clamps, loaded) / allowed[:, None],
        )
    )
    return tuple(out)


def _stress(clamps: Sequence[Clamp], loaded: Loaded) -> Array:
    """Return the stress at the threads by pull and bending, MPa, shape (clamps, cases).

    Both legs share: each has half of the pull, and half of the sideways force bends it over half of its height.
    """
    out: list[Array] = []
    for c, across in zip(clamps, sideways(clamps, loaded), strict=True):
        area = stress_area(c.shape.rod)
        modulus = area * math.sqrt(4 * area / math.pi) / 8
        out.append(c.tension(loaded) / 2 / area + across * c.shape.seat / 4 / modulus)
    return np.stack(out)
