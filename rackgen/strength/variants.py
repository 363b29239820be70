"""Changes worth trying to a rack that should carry more: stouter stock, one more of what carries, the same elsewhere.

Stock is the shop's own; where its shelf has nothing stouter, the next sizes that a merchant has, said to be bought.
Each is the same job with a few keys of its rack file changed; nothing is known of what it gives before it is designed
and reckoned as any other rack.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from rackgen.design.choose import USUAL_RIVETS, Choice, bar_width, choose, od, thickness
from rackgen.design.plan import Plan, plan
from rackgen.sheets.words import size
from rackgen.spec.rack import RackSpec
from rackgen.spec.read import Job
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Flat, Round, Sheet, Stock
from rackgen.units import INCH, Unit

Changes = Mapping[str, object]
"""Key of the rack file, dotted, to its new value."""

AND = "; "
"""Between the two changes of a pair, in words."""

MOVED = (40.0, -40.0, 80.0, -80.0)
"""How far clamps and basket are moved, mm."""

USUAL: Mapping[Unit, tuple[float, ...]] = MappingProxyType(
    {"mm": (3.0, 4.0, 5.0, 6.0, 8.0, 10.0), "in": tuple(INCH * n / 16 for n in (2, 3, 4, 5, 6))}
)
"""Thicknesses of bar and plate that a merchant has, mm (common practice, no source)."""

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
        bought: what must be bought for it first.
    """

    what: str
    kind: str
    keys: tuple[str, ...]
    spec: RackSpec
    bought: tuple[Stock, ...] = ()

    def asked(self, job: Job) -> Job:
        """Return the job as it is then, what must be bought laid on the shelf."""
        shop = replace(job.shop, stock=(*job.shop.stock, *self.bought)) if self.bought else job.shop
        return replace(job, spec=self.spec, shop=shop)


def variants(job: Job) -> tuple[Variant, ...]:
    """Return the single changes worth trying, grouped by what they change.

    Raises:
        BadInput: the rack as it stands cannot be designed.
    """
    choice = choose(job.spec, job.shop)
    sizes, _ = plan(job.spec, job.shop, job.vehicle, choice)
    found = (*_tubes(job, choice), *_bars_and_plates(job, choice), *_more(job, sizes), *_elsewhere(job, sizes))
    return tuple(
        Variant(what, what.partition(", at ")[0], tuple(changes), changed(job.spec, changes), bought)
        for what, changes, bought in found
    )


def pairs(job: Job, singles: tuple[Variant, ...]) -> tuple[Variant, ...]:
    """Return every two changes together that touch different keys."""
    out: list[Variant] = []
    for one, other in itertools.combinations(singles, 2):
        if set(one.keys) & set(other.keys):
            continue
        both = changed(job.spec, {key: value_of(v.spec, key) for v in (one, other) for key in v.keys})
        what, kind = f"{one.what}{AND}{other.what}", f"{one.kind}{AND}{other.kind}"
        bought = tuple(dict.fromkeys((*one.bought, *other.bought)))
        out.append(Variant(what, kind, (*one.keys, *other.keys), both, bought))
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


Found = tuple[str, Changes, tuple[Stock, ...]]
"""Words, keys with their new values, and what must be bought first."""


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
                yield f"{word} of {stock.name}", {key: stock.name}, ()


def _modulus(stock: Stock) -> float:
    """Return a tube's resistance to bending, up to a factor."""
    section = stock.section
    assert isinstance(section, Round)
    return (section.od**4 - (section.od - 2 * section.wall) ** 4) / section.od


def _bars_and_plates(job: Job, choice: Choice) -> Iterator[Found]:
    """Yield every stouter bar and plate on the shelf for straps, wraps, mount plates and pads, or the next size."""
    for key, word, now in (("mounts.strap", "straps and braces", choice.strap), ("mounts.wrap", "wraps", choice.wrap)):
        stouter = [
            stock
            for stock, section in job.shop.bars()
            if section.width * section.thickness**2 > bar_width(now) * thickness(now) ** 2 * 1.02
            and section.width >= bar_width(now) - 1e-9
        ]
        yield from _stouter(job, key, word, now, stouter)
    plates = (("mounts.plate", "mount plates", choice.mount_plate), ("basket.pad", "clamp pads", choice.pad))
    for key, word, now in plates:
        stouter = [stock for stock, section in job.shop.sheets() if section.thickness > thickness(now) + 1e-9]
        yield from _stouter(job, key, word, now, stouter)


def _stouter(job: Job, key: str, word: str, now: Stock, shelf: Sequence[Stock]) -> Iterator[Found]:
    """Yield what is stouter on the shelf; where there is nothing, the next two thicknesses that a merchant has."""
    for stock in shelf:
        yield f"{word} of {stock.name}", {key: stock.name}, ()
    for thick in () if shelf else _thicker(thickness(now), job.shop.unit):
        stock = _bought(now, thick, job.shop)
        yield f"{word} of {stock.name}, not on the shelf", {key: stock.name}, (stock,)


def _thicker(now: float, unit: Unit) -> tuple[float, ...]:
    return tuple(t for t in USUAL[unit] if t > now + 0.1)[:2]


def _bought(like: Stock, thick: float, shop: Shop) -> Stock:
    """Return bar or plate as one on the shelf, thicker, by a name that the shelf does not have; no price is known."""
    section = like.section
    assert isinstance(section, Flat | Sheet)
    said = f"{size(thick, shop.unit)} {shop.unit} plate"
    if isinstance(section, Flat):
        said = f"{size(section.width, shop.unit)} x {size(thick, shop.unit)} bar"
    taken = {s.name for s in shop.stock}
    name = said if said not in taken else f"{said}, bought"
    return replace(like, name=name, section=replace(section, thickness=thick), prices=())


def _more(job: Job, sizes: Plan) -> Iterator[Found]:
    """Yield two more fasteners a plate, one more cross bar in each wide bay, two more bearers, one more pad a side."""
    rivets = job.spec.mounts.plate_rivets or USUAL_RIVETS
    yield "two more fasteners in each plate on the roof", {"mounts.plate_rivets": rivets + 2}, ()
    places = (0.0, *sizes.bars)
    for a, b in itertools.pairwise(places):
        if b - a < 300.0:
            continue
        for aside in ASIDE:
            at = round((a + b) / 2 + aside)
            yield f"one more cross bar, at {at} mm", {"frame.cross_bars": tuple(sorted((*sizes.bars, float(at))))}, ()
    bearers = sorted(sizes.bearers)
    if len(bearers) > 1:
        count = len(bearers) + 2
        pitch = (bearers[-1] - bearers[0]) / (count - 1)
        spread = tuple(float(round(bearers[0] + k * pitch)) for k in range(count))
        yield "two more bearers", {"basket.bearers": spread, "basket.side_uprights": None}, ()
    pads = sorted(sizes.pads)
    if len(pads) > 1:
        middle = float(round((pads[0] + pads[-1]) / 2))
        for aside in ASIDE:
            at = middle + aside
            yield f"one more clamp pad a side, at {at:.0f} mm", {"basket.pads": tuple(sorted((*pads, at)))}, ()


def _elsewhere(job: Job, sizes: Plan) -> Iterator[Found]:
    """Yield what costs no more metal: clamps nearer together or farther apart, the basket moved, bolts for rivets."""
    pads = sorted(sizes.pads)
    if len(pads) > 1:
        for by in MOVED:
            there = (pads[0] - by, *pads[1:-1], pads[-1] + by)
            way = "farther apart" if by > 0 else "nearer together"
            words = f"clamp pads {way}, at {there[0]:.0f} and {there[-1]:.0f} mm"
            yield words, {"basket.pads": tuple(float(round(p)) for p in there)}, ()
        for by in MOVED:
            way = "forward" if by > 0 else "to the rear"
            yield f"basket moved {way}, at {abs(by):.0f} mm", {"basket.forward": job.spec.basket.forward + by}, ()
    if job.spec.mounts.fastener != "bolts":
        yield "bolts through backing strips in the plates on the roof", {"mounts.fastener": "bolts"}, ()
