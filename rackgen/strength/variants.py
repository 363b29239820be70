"""Changes worth trying to a rack that should carry more: what stands on the shop's shelf, one more of what carries.

Each is the same job with a few keys of its rack file changed; nothing is known of what it gives before it is designed
and reckoned as any other rack.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from rackgen.design.choose import Choice, bar_width, choose, od, thickness
from rackgen.design.front_mount import USUAL_RIVETS
from rackgen.design.plan import Plan, plan
from rackgen.spec.rack import RackSpec
from rackgen.spec.read import Job
from rackgen.spec.stock import Round, Stock

Changes = Mapping[str, object]
"""Key of the rack file, dotted, to its new value."""

ASIDE = (0.0, -40.0, 40.0, -80.0, 80.0)
"""How far from the middle of a bay a new cross bar is tried, mm: it must keep off the clamps."""


@dataclass(frozen=True)
class Variant:
    """A change.

    Attributes:
        what: in a fabricator's words.
        kind: the same for the same change at several places.
        keys: of the rack file that it changes.
        spec: the rack that is asked for then.
    """

    what: str
    kind: str
    keys: tuple[str, ...]
    spec: RackSpec


def variants(job: Job) -> tuple[Variant, ...]:
    """Return the single changes worth trying, grouped by what they change.

    Raises:
        BadInput: the rack as it stands cannot be designed.
    """
    choice = choose(job.spec, job.shop)
    sizes, _ = plan(job.spec, job.shop, job.vehicle, choice)
    found = (*_tubes(job, choice), *_bars_and_plates(job, choice), *_more(job, sizes))
    return tuple(
        Variant(what, what.partition(", at ")[0], tuple(changes), changed(job.spec, changes)) for what, changes in found
    )


def pairs(job: Job, singles: tuple[Variant, ...]) -> tuple[Variant, ...]:
    """Return every two changes together that touch different keys."""
    out: list[Variant] = []
    for one, other in itertools.combinations(singles, 2):
        if set(one.keys) & set(other.keys):
            continue
        both = changed(job.spec, {key: value_of(v.spec, key) for v in (one, other) for key in v.keys})
        what, kind = f"{one.what}; {other.what}", f"{one.kind}; {other.kind}"
        out.append(Variant(what, kind, (*one.keys, *other.keys), both))
    return tuple(out)


def changed(spec: RackSpec, changes: Changes) -> RackSpec:
    """Return a rack that is asked for with some keys changed, such as "frame.tube"."""
    for key, value in changes.items():
        table, _, name = key.partition(".")
        spec = replace(spec, **{table: replace(getattr(spec, table), **{name: value})})
    return spec


def value_of(spec: RackSpec, key: str) -> object:
    """Return the value of a dotted key."""
    table, _, name = key.partition(".")
    return getattr(getattr(spec, table), name)


Found = tuple[str, Changes]


def _tubes(job: Job, choice: Choice) -> Iterator[Found]:
    """Yield every stouter tube on the shelf for frame, rings, and bearers with uprights."""
    for key, word, now, bent in (
        ("frame.tube", "frame", choice.frame, True),
        ("basket.ring_tube", "rings", choice.ring, True),
        ("basket.bar_tube", "bearers and uprights", choice.bar, False),
    ):
        for stock, section in job.shop.tubes():
            if bent and job.shop.die_for(section.od) is None:
                continue
            if key == "basket.bar_tube" and section.od > od(choice.ring) + 1e-9:
                continue
            if _modulus(stock) > _modulus(now) * 1.02:
                yield f"{word} of {stock.name}", {key: stock.name}


def _modulus(stock: Stock) -> float:
    """Return a tube's resistance to bending, up to a factor."""
    section = stock.section
    assert isinstance(section, Round)
    return (section.od**4 - (section.od - 2 * section.wall) ** 4) / section.od


def _bars_and_plates(job: Job, choice: Choice) -> Iterator[Found]:
    """Yield every stouter bar and plate on the shelf for straps, wraps and mount plates."""
    for key, word, now in (("mounts.strap", "straps and braces", choice.strap), ("mounts.wrap", "wraps", choice.wrap)):
        for stock, section in job.shop.bars():
            stouter = section.width * section.thickness**2 > bar_width(now) * thickness(now) ** 2 * 1.02
            if stouter and section.width >= bar_width(now) - 1e-9:
                yield f"{word} of {stock.name}", {key: stock.name}
    plates = (("mounts.plate", "mount plates", choice.mount_plate), ("basket.pad", "clamp pads", choice.pad))
    for key, word, now in plates:
        for stock, section in job.shop.sheets():
            if section.thickness > thickness(now) + 1e-9:
                yield f"{word} of {stock.name}", {key: stock.name}


def _more(job: Job, sizes: Plan) -> Iterator[Found]:
    """Yield two more fasteners a plate, one more cross bar in each wide bay, two more bearers, one more pad a side."""
    rivets = job.spec.mounts.plate_rivets or USUAL_RIVETS
    yield "two more fasteners in each plate on the roof", {"mounts.plate_rivets": rivets + 2}
    places = (0.0, *sizes.bars)
    for a, b in itertools.pairwise(places):
        if b - a < 300.0:
            continue
        for aside in ASIDE:
            at = round((a + b) / 2 + aside)
            yield f"one more cross bar, at {at} mm", {"frame.cross_bars": tuple(sorted((*sizes.bars, float(at))))}
    bearers = sorted(sizes.bearers)
    if len(bearers) > 1:
        count = len(bearers) + 2
        pitch = (bearers[-1] - bearers[0]) / (count - 1)
        spread = tuple(float(round(bearers[0] + k * pitch)) for k in range(count))
        yield "two more bearers", {"basket.bearers": spread, "basket.side_uprights": None}
    pads = sorted(sizes.pads)
    if len(pads) > 1:
        middle = float(round((pads[0] + pads[-1]) / 2))
        for aside in ASIDE:
            at = middle + aside
            yield f"one more clamp pad a side, at {at:.0f} mm", {"basket.pads": tuple(sorted((*pads, at)))}
