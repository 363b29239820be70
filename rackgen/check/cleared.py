"""Everything about clearance beside the roof in one record: what the sheet of clearances shows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from rackgen.check.all import possible
from rackgen.check.bodies import bodies
from rackgen.check.gap_map import tightest
from rackgen.check.heights import Seen, Standing, seen, standing
from rackgen.check.keepouts import Clear, clearances, keep_outs
from rackgen.check.result import Gap
from rackgen.check.slide import SlideRange, slide_range
from rackgen.parts.rack import Rack
from rackgen.spec.keepouts import Heights
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

FAR = 150.0
"""Parts farther from what moves or stands are not listed, mm: nobody looks there, and most of the time went there."""


@dataclass(frozen=True)
class Cleared:
    """Clearances of a rack.

    Attributes:
        near: of every part to everything it stays out of that comes within `FAR`, by thing, nearest first.
        far: names of the things that nothing comes near.
        slide: how far the basket may slide, or None without one.
        heights: what it passes under, or None.
        standing: how high it stands, or None.
        eye: whether the driver's eye was measured.
        seen: what shows ahead of the driver, or None.
        tight: the parts nearest the roof of those that are held to a gap, nearest first.
    """

    near: tuple[Clear, ...]
    far: tuple[str, ...]
    slide: SlideRange | None
    heights: Heights | None
    standing: Standing | None
    eye: bool
    seen: Seen | None
    tight: tuple[Gap, ...]


@lru_cache(maxsize=4)
def cleared(
    rack: Rack, shop: Shop, vehicle: Vehicle, spec: RackSpec, gaps: tuple[Gap, ...], rating: float | None = None
) -> Cleared:
    """Return the clearances of a rack; parts that cannot exist as described are left out.

    Args:
        rack: as designed.
        shop: that makes it.
        vehicle: that carries it.
        spec: what was asked for.
        gaps: to the roof, as the check has them.
        rating: load while moving that it is rated for, kg; None where that was not reckoned.
    """
    rack, _ = possible(rack)
    of = bodies(rack)
    things = keep_outs(vehicle, spec.gaps)
    high, eye = vehicle.keep_outs.heights, vehicle.keep_outs.eye
    near = clearances(rack, of, things, reach=FAR)
    return Cleared(
        near,
        tuple(t.name for t in things if t.name not in {c.thing for c in near}),
        None if spec.basket.kind == "bars" else slide_range(rack, of, things, shop, vehicle, spec, rating),
        high,
        None if high is None else standing(of, high),
        eye is not None,
        None if eye is None else seen(of, eye),
        tightest(gaps),
    )
