"""The whole design space in one file: random shops, vehicles and racks as preset files; a new option comes here first.

Everything is drawn as the text of a file and read by the program's own reader, so that what is drawn is what a user can
ask for. Roofs are alike left and right, so that whatever is built on them should be.

Three of four samples are fitted to one another as somebody with a tape would: a basket about as wide as what it stands
on, places apart from one another; any one of their keys may still be anything. The fourth is anything throughout.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from hypothesis import Phase
from hypothesis import strategies as st

from rackgen.spec.read import Job, read_job
from rackgen.spec.shipped import shipped
from tests.option_racks import FERN, PERFORATED

Keys = dict[str, Any]
"""Lines of a table, by key."""

FLATTENED = """\
[[mesh]]
name = "flattened mesh 12 x 30"
style = "flattened"
swd = 12.7
lwd = 30.5
strand_thickness = 2
strand_width = 2.4
overall = 2
mass_per_area = 6.8
width = 1250
length = 2500
grade = "mild steel, no certificate"
coating = "bare"

"""
WIDE_BAR = """\
[[bar]]
name = "80 x 6 bar"
width = 80
thickness = 6
grade = "S235JR EN 10025-2"
coating = "bare"
stick = "6 m"

"""

SHELVES: dict[str, dict[str, tuple[str, ...]]] = {
    "slipway-mm": {
        "tube": ("26.9 x 2.6 tube", "33.7 x 2.6 tube", "42.4 x 2.6 tube", "48.3 x 3.2 tube"),
        "slat": ("26.9 x 2.6 tube", "28 x 2 tube", "33.7 x 2.6 tube", "20 x 3 bar", "50 x 5 bar", "80 x 6 bar"),
        "mesh": ("raised mesh 23 x 50", "flattened mesh 12 x 30"),
        "bar": ("20 x 3 bar",),
    },
    "viaduct-arch-mm": {
        "tube": ("25.4 x 2 tube", "33.7 x 2.6 tube", "42.4 x 2 tube"),
        "slat": ("25.4 x 2 tube", "28 x 2 tube", "40 x 4 bar", "80 x 6 bar"),
        "mesh": ("flattened mesh 20 x 43", "flattened mesh 12 x 30"),
        "bar": ("20 x 3 bar", "40 x 4 bar"),
    },
    "threshing-barn-inch": {
        "tube": ("1 x 0.083 tube", "1-1/4 x 0.083 tube", "1-1/2 x 0.120 tube", "1-3/4 x 0.120 tube"),
        "slat": ("1 x 0.083 tube", "1-1/2 x 3/16 bar", "80 x 6 bar"),
        "mesh": ("raised mesh 3/4 #13", "flattened mesh 12 x 30"),
        "bar": ("3/4 x 1/8 bar",),
    },
}  # fmt: skip
"""Shipped shops, and what racks may ask for by name, thin tubes before thick."""

BASES = ("slipway-mm", "slipway-mm", "viaduct-arch-mm", "threshing-barn-inch")

TEXTS = ("OAK", "R8", "BOGS & co. @8", "i", "A VERY LONG NAME INDEED", "ÄÖ%§", "O0O0O0")


@dataclass(frozen=True)
class Whole:
    """Three files.

    Attributes:
        shop: keys of a shipped shop, with more on its shelf, that have other values.
        vehicle: text.
        rack: text.
        base: the shipped shop, of `SHELVES`.
    """

    shop: tuple[tuple[str, Any], ...]
    vehicle: str
    rack: str
    base: str = "slipway-mm"


def steps(low: float, high: float, step: float) -> st.SearchStrategy[float]:
    """Numbers on a tape: from low to high by steps."""
    return st.integers(0, round((high - low) / step)).map(lambda k: round(low + k * step, 4))


def mostly(odd: bool, fitting: st.SearchStrategy[Any], anything: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Values that fit what else is drawn; one in twelve, and on an odd sample every one, is anything."""
    return anything if odd else st.integers(0, 11).flatmap(lambda n: anything if n == 7 else fitting)


def toml(value: Any) -> str:
    """Write a value as TOML."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml(v) for v in value) + "]"
    return repr(value)


def table(name: str, keys: Keys) -> str:
    """Write a table, leaving out what is None; nothing at all where it has no keys."""
    lines = [f"{key} = {toml(value)}" for key, value in keys.items() if value is not None]
    return "\n".join([f"[{name}]", *lines, ""]) + "\n" if lines else ""


# ---- shops -----------------------------------------------------------------------------------------------------------


MACHINES: dict[str, st.SearchStrategy[Any]] = {
    "kerf": steps(0.2, 3.0, 0.1),
    "smallest_hole": steps(4, 14, 1),
    "can_mark": st.booleans(),
    "fit_up_gap": steps(0, 1.5, 0.5),
    "weld_shrinkage": steps(0, 1, 0.5),
    "isolator": steps(0, 5, 1),
    "bedding": steps(0, 1.5, 0.5),
    "clamp": steps(60, 120, 5),
}
"""Keys of a shop, and what their values may be instead, mm: of the cutting table, of the first die, of the shop."""

FIRST = {"kerf": 1}
"""Of keys that stand in several tables, which is meant: the saw has a kerf before the cutting table has."""


@st.composite
def shops(draw: st.DrawFn) -> tuple[tuple[str, Any], ...]:
    """Other machines and allowances for a shipped shop."""
    return tuple((key, draw(values)) for key, values in MACHINES.items() if draw(st.booleans()))


def shop_text(changed: tuple[tuple[str, Any], ...], base: str = "slipway-mm") -> str:
    """Write a shipped shop with more on its shelf and some keys changed; a length carries its unit."""
    text = (shipped() / "shops" / f"{base}.toml").read_text("utf-8")
    more = FLATTENED + WIDE_BAR + ("" if "[[perforated]]" in text else PERFORATED)
    more = re.sub(r"^((?!mass)\w+) = ([\d.]+)$", r'\1 = "\2 mm"', more, flags=re.MULTILINE)
    mark = "# ---- Bending dies"
    assert mark in text
    text = text.replace(mark, more + mark, 1)
    for key, value in changed:
        found = [*re.finditer(rf"^{key} = [^#\n]*", text, re.MULTILINE)][FIRST.get(key, 0)]
        said = toml(value if isinstance(value, bool) else f"{value} mm")
        text = text[: found.start()] + f"{key} = {said} " + text[found.end() :]
    return text


# ---- vehicles --------------------------------------------------------------------------------------------------------


@st.composite
def vehicles(
    draw: st.DrawFn,
    kinds: int = 0,
    least: Mapping[str, int] = MappingProxyType({}),
    rear: str | None = None,
    odd: bool = False,
) -> str:
    """A roof of parabolas, alike left and right: long or short, wide or narrow, flat or crowned, level or raked.

    Args:
        draw: of hypothesis.
        kinds: of places for feet beside plates on the roof, at least.
        least: pairs of places by their kind that it has for certain.
        rear: kind of places that lie behind others.
        odd: whether its mounts may be anything.
    """
    half = draw(steps(450, 720, 5))
    length = draw(steps(900, 2600, 50))
    side, ahead = draw(steps(0, 70, 1)), draw(steps(0, 60, 1))
    rake = draw(steps(-0.03, 0.03, 0.005))
    count = draw(st.integers(3, 7))
    text = 'format = 1\nname = "Drawn wagon"\nunits = "mm"\ndatum = "a seam on the middle"\nroof_limit = 120\n'
    text += "bed_limit = 150\n\n"
    text += '[roof]\nreference = "level line"\nacross = "levelled"\n\n'
    offsets = [round(half * share, 1) for share in (0.35, 0.7, 0.96)]

    def crown(x: float) -> float:
        return round(-ahead * ((x - length / 2) / (length / 2)) ** 2 - rake * x, 2)

    for k in range(count):
        x = round(length * k / (count - 1), 1)
        drops = [round(side * (o / half) ** 2, 2) for o in offsets]
        text += "[[roof.station]]\n" + table("x", {"x": x, "crown": crown(x), "half_width": half, "offsets": offsets,
                                             "drops": drops}).partition("\n")[2]  # fmt: skip
    front = draw(mostly(odd, steps(230, max(235, 0.25 * length), 5), steps(150, 0.4 * length, 5)))
    out = round(half * draw(steps(0.55, 0.85, 0.05)), 1)
    under = draw(st.sampled_from(["bow", "pillar"]))
    tangent = half - draw(steps(10, 40, 5))
    corner = draw(mostly(odd, steps(35, 60, 5), steps(20, 60, 5)))
    shut = draw(mostly(odd, steps(140, 200, 4), steps(60, 200, 4)))
    zone = draw(mostly(odd, steps(30, 60, 4), steps(4, 60, 4)))
    rows = [b for b in ((), (), (0.5,), (0.5, 0.9), (0.5, 0.75)) if len(b) + 1 >= least.get("roof", 0)]
    # Two plates are not measured where one would lie on the other.
    apart = [b for b in rows if not b or b[0] * length - front > 250] or rows
    behind = draw(mostly(odd, st.sampled_from(apart), st.sampled_from(rows)))
    for end, x in (("front", front), *((f"roof_{k + 2}", round(share * length)) for k, share in enumerate(behind))):
        for name, sign in (("left", -1.0), ("right", 1.0)):
            text += table(f"mounts.{end}_{name}", {"kind": "roof", "x": x, "y": sign * out, "zone": [40, 30],
                                                   "under": under, "skin": 0.8})  # fmt: skip
    for name, sign in (("left", -1.0), ("right", 1.0)):
        text += table(f"mounts.rear_{name}", {
            "kind": "rear corner", "x": length + 20, "y": sign * (tangent - corner), "lean": 0,
            "z": round(crown(length) - 65.0, 1), "corner_radius": corner, "corner": tangent, "to_shut_line": shut,
            "zone": zone, "under": "pillar", "skin": 0.8,
        })  # fmt: skip
    others = st.lists(st.sampled_from(FEET), min_size=kinds, max_size=2, unique=True)
    for kind in dict.fromkeys((*(k for k in least if k != "roof"), *draw(others))):
        text += draw(feet(kind, half, length, least.get(kind, 1), odd, kind == rear))
    return text


FEET = ("gutter", "threads", "track", "bed rail")
"""Kinds of place where feet stand beside plates on the roof."""


@st.composite
def feet(
    draw: st.DrawFn, kind: str, half: float, length: float, least: int = 1, odd: bool = False, last_row: bool = False
) -> str:
    """One to three pairs of places of a kind, alike left and right; some of them too narrow for any foot.

    Args:
        draw: of hypothesis.
        kind: of `FEET`.
        half: half the roof's width, mm.
        length: of the roof, mm.
        least: pairs.
        odd: whether they may be anything.
        last_row: whether a single pair lies at the rear.
    """
    count = draw(st.sampled_from([n for n in (1, 2, 2, 3) if n >= least]))
    first = draw(mostly(odd, steps(230, max(235, 0.3 * length), 5), steps(100, 0.3 * length, 5)))
    last, ahead = length - first, 0.0
    pitch, roll = draw(steps(-2, 2, 0.5)), draw(steps(0, 8, 0.5))
    match kind:
        case "gutter":
            out, low = half + draw(steps(8, 40, 1)), draw(steps(-140, -60, 5))
            keys = {
                "pitch": pitch,
                "width": draw(mostly(odd, steps(30, 40, 1), steps(14, 40, 1))),
                "depth": draw(mostly(odd, steps(8, 14, 1), steps(5, 20, 1))),
                "metal": draw(mostly(odd, steps(3, 4, 0.5), steps(1, 4, 0.5))),
                "below": draw(mostly(odd, steps(20, 40, 1), steps(8, 40, 1))), "zone": draw(steps(0, 300, 20)),
            }  # fmt: skip
        case "threads":
            out, low = half - draw(steps(20, 80, 5)), draw(steps(-60, 0, 5))
            keys = {
                "thread": draw(st.sampled_from(["M6", "M8", "M10"])), "pitch": pitch, "roll": roll,
                "apart": draw(st.none() | steps(30, 140, 5)), "depth": draw(steps(10, 30, 1)),
                "width": draw(mostly(odd, steps(60, 120, 5), steps(30, 120, 5))), "length": draw(steps(140, 300, 10)),
            }  # fmt: skip
        case "track":
            out, low = half - draw(steps(20, 80, 5)), draw(steps(-40, 20, 5))
            keys = {
                "pitch": pitch, "roll": roll, "width": draw(steps(25, 60, 1)), "slot": draw(steps(11, 20, 1)),
                "thread": draw(st.sampled_from(["M6", "M8", "M10"])), "lip": draw(steps(2, 6, 0.5)),
                "room": draw(steps(4, 14, 0.5)), "zone": draw(steps(0, 300, 20)),
            }  # fmt: skip
        case _:
            out, low = half + draw(steps(20, 120, 5)), draw(steps(-500, -50, 10))
            zone = draw(steps(0, 200, 20))
            gap = draw(mostly(odd, st.booleans() if zone >= 100 else st.just(value=False), st.booleans()))
            # A bed lies behind the cab.
            ahead = draw(
                mostly(odd, steps(length + 50, length + 150, 50), st.just(0.0) | steps(length + 50, length + 150, 50))
            )
            first, last = first + ahead, last + ahead
            keys = {
                "pitch": pitch, "roll": roll,
                "width": draw(mostly(odd, steps(70, 140, 5), steps(40, 140, 5))), "skin": draw(steps(0.7, 2, 0.1)),
                "zone": zone, "pockets": [[first - 20, first + 25]] if gap else None,
            }  # fmt: skip
    text = ""
    for k in range(count):
        x = round(first + (last - first) * (1 if last_row and count == 1 else k) / max(count - 1, 1), 1)
        for name, sign in (("left", -1.0), ("right", 1.0)):
            here = {"kind": kind, "x": x, "y": sign * out, "z": low, **keys}
            if "roll" in here:
                here["roll"] = sign * roll
            text += table(f"mounts.{kind.replace(' ', '_')}_{k + 1}_{name}", here)
    return text


# ---- racks -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Room:
    """What a rack fits on: a drawn vehicle as its maker would see it.

    Attributes:
        out: from the middle to what legs or rails stand over, mm.
        begin: X of the foremost feet, mm.
        end: X of the rearmost feet or of the rear corners, mm.
        closed: whether no nut can be held under its plates.
        alike: whether all feet lie as far out, so that rails stand over them and cross bars may be anywhere.
    """

    out: float
    begin: float
    end: float
    closed: bool
    alike: bool

    @property
    def span(self) -> float:
        """From the foremost feet to the rearmost, mm."""
        return self.end - self.begin


def room(vehicle: str, kind: str | None, mounts: Keys) -> Room:
    """Return the room for a frame of a kind that stands on mounts."""
    found = tomllib.loads(vehicle)["mounts"].values()
    named = {mounts.get("front") or "roof", mounts.get("rear") or mounts.get("front") or "roof"}
    kinds = {None: {"roof", "rear corner"}, "bed": {"bed rail"}}.get(kind, named)
    stood = [m for m in found if m["kind"] in kinds]
    legs = [m for m in stood if m["kind"] == "rear corner"] if kind is None else stood
    xs = [m["x"] for m in stood] or [0.0, 1000.0]
    out = max((abs(m["y"]) for m in legs), default=500.0)
    alike = out >= 420 and all(abs(m["y"]) > out - 25 for m in legs)
    return Room(out, min(xs), max(xs), any(m.get("under") == "pillar" for m in stood), alike)


@st.composite
def places(
    draw: st.DrawFn, reach: float, odd: bool = True, first: float = 60, pitch: float = 60, *, full: bool = False
) -> list[float] | None:
    """Places on both sides of the middle, alike; or left to the rules.

    Args:
        draw: of hypothesis.
        reach: of the outermost.
        odd: whether they may be anything; else some of those at `first` and every `pitch` from there.
        first: see `odd`.
        pitch: see `odd`.
        full: whether it is then all of those.
    """
    if draw(st.integers(0, 3)):
        return None
    lattice = [first + pitch * k for k in range(int(max(0.0, reach - 60 - first) // pitch) + 1)]
    if draw(mostly(odd, st.just(value=True), st.just(value=False))):
        some = draw(st.sets(st.sampled_from(lattice), max_size=3))
        half = lattice if full else sorted({*some, lattice[-1]})
        return [-h for h in reversed(half)] + half
    half = sorted(set(draw(st.lists(steps(60, max(65, reach), 5), min_size=1, max_size=4))))
    half = [h for k, h in enumerate(half) if k == 0 or h - half[k - 1] >= 60]
    return [-h for h in reversed(half)] + half


def seldom(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """What rack files mostly leave out."""
    return st.integers(0, 3).flatmap(lambda n: st.none() if n else values)


@st.composite
def baskets(draw: st.DrawFn, base: str, on: Room, odd: bool = True) -> dict[str, Keys]:
    """Kind, sizes, floor and sides of what the frame carries.

    Args:
        draw: of hypothesis.
        base: shop.
        on: what it stands on.
        odd: whether they may be anything.
    """
    shelf = SHELVES[base]
    kind = draw(st.sampled_from(["basket", "basket", "tray", "deck"]))
    # Beside a ring there is room for a spanner, and no more than a pad can bear.
    across = round(2 * on.out, -1)
    least, most = min(max(700, across - 170), 1200), min(max(710, across - 140), 1300)
    width = draw(mostly(odd, steps(least, most, 10), steps(700, 1300, 10)))
    along = min(max(700, round(0.9 * on.span, -1)), 2000)
    length = draw(
        mostly(odd, steps(max(680, min(along - 10, round(0.5 * on.span, -1))), along, 10), steps(600, 2000, 10))
    )
    floor = (
        draw(st.sampled_from(["expanded metal", "slats", "perforated sheet", "none"])) if kind != "deck" else "slats"
    )
    stock = {
        "expanded metal": st.sampled_from(shelf["mesh"]), "slats": st.none() | st.sampled_from(shelf["slat"]),
        "perforated sheet": st.none(), "none": st.none(),
    }[floor]  # fmt: skip
    basket: Keys = {
        "kind": kind, "width": width, "length": length,
        "ring_tube": draw(st.none() | st.none() | st.sampled_from(shelf["tube"])),
        "bar_tube": draw(seldom(st.sampled_from(shelf["tube"][:2]))), "floor": draw(stock),
        "bearers": draw(places(length / 2 - 160, odd, 80, 160, full=True)) if floor != "slats" else None,
        "pads": draw(places(length / 2 - 160, odd, 120, 120)) if odd or draw(st.integers(0, 2)) == 1 else None,
        "forward": draw(seldom(mostly(odd, steps(-40, 40, 10), steps(-200, 200, 10)))),
    }  # fmt: skip
    sides: Keys = {}
    if kind == "basket":
        sides = draw(all_sides(odd))
        lowest = 220 if sides["mid_rail"] == "ring" else 140
        basket |= {
            "height": draw(steps(lowest, 420, 10)),
            "side_plates": draw(st.none() | mostly(odd, st.integers(0, 1), st.integers(0, 3))),
            "side_uprights": draw(places(length / 2 - 160, odd, 160, 160)) if odd or floor != "slats" else None,
            "end_uprights": draw(places(width / 2 - 160, odd, 60, 80)),
        }  # fmt: skip
    gap = draw(st.none() | mostly(odd, steps(50, 150, 5), steps(20, 150, 5))) if floor == "slats" else None
    return {"basket": basket, "floor": {"kind": floor if kind != "deck" else None, "gap": gap}, "sides": sides}


@st.composite
def all_sides(draw: st.DrawFn, odd: bool = True) -> Keys:
    """Mid rails, and what is cut through side plates."""
    cut = draw(st.sampled_from(["slots", "text", "outline", "nothing"]))
    keys: Keys = {"mid_rail": draw(st.sampled_from([None, "ring", "rails"]))}
    if cut == "text":
        text = draw(mostly(odd, st.sampled_from(TEXTS[:2]), st.sampled_from(TEXTS)))
        keys |= {"text": text, "letter_height": draw(mostly(odd, st.none(), st.none() | steps(12, 90, 1)))}
    if cut == "outline":
        keys |= {"outline": "fern.svg", "outline_length": draw(mostly(odd, steps(60, 150, 10), steps(30, 400, 10)))}
    if cut in ("text", "outline"):
        keys["bridge"] = draw(st.none() | mostly(odd, steps(3, 6, 0.5), steps(1, 8, 0.5)))
    keys["slots"] = draw(st.none() | st.booleans()) if cut != "nothing" else False
    return keys


KINDS = (None, None, "ladder", "ladder", "bows", "bed")
"""Kinds of frame; None is a hoop."""


@st.composite
def frames(draw: st.DrawFn, kind: str | None, base: str, on: Room, odd: bool = True) -> Keys:
    """The frame that carries it: a hoop, or one of the kinds that stand on feet alone.

    Args:
        draw: of hypothesis.
        kind: of `KINDS`.
        base: shop.
        on: what it stands on.
        odd: whether it may be anything.
    """
    level = st.none() | mostly(odd, steps(-0.5, 0.5, 0.5), steps(-2, 2, 0.5))
    keys: Keys = {"kind": kind, "tube": draw(st.none() | st.none() | st.sampled_from(SHELVES[base]["tube"][1:]))}
    if kind is None:
        return keys | {
            "leg": draw(st.sampled_from([None, None, "straight", "drop", "tail"])),
            "rake": draw(level),
            "front": draw(
                seldom(mostly(odd, steps(max(10, on.begin - 260), max(20, on.begin - 200), 10), steps(60, 500, 10)))
            ),
        }
    if kind == "bows":
        ties = [None, [0], [-300, 300], [-420, 0, 420]]
        within = [t for t in ties if t is None or max(t) <= on.out - 250]
        return keys | {"ties": draw(mostly(odd, st.sampled_from(within), st.sampled_from(ties)))}
    if kind == "bed":
        keys |= {"height": draw(steps(120, 700, 10)), "knee_braces": draw(st.sampled_from([None, "bar", "none"]))}
    anywhere = st.lists(steps(150, 1500, 25), min_size=1, max_size=5, unique=True).map(sorted)
    apart = st.lists(steps(330, max(335, on.span + 60), 25), min_size=1, max_size=4, unique=True).map(spaced)
    some = draw(st.none() | mostly(odd, apart if on.alike else st.none(), anywhere))
    long, wide = on.span + 450, 2 * on.out + 30
    lengths = st.none() | steps(long, long + 250, 10) if long <= 2350 else st.none()
    widths = st.none() | steps(round(wide - 20), round(wide + 20), 10)
    return keys | {
        "front_end": draw(st.sampled_from([None, "mitred", "open"])),
        "rear_end": draw(st.sampled_from([None, "mitred"])),
        "leg": draw(st.sampled_from([None, None, "straight", "tail"])),
        "length": draw(mostly(odd, lengths, st.none() | steps(900, 2600, 10))),
        "width": draw(mostly(odd, widths, st.none() | steps(900, 1500, 10))),
        "bar_count": draw(st.none() | mostly(odd, st.integers(2, 4), st.integers(1, 6))) if some is None else None,
        "cross_bars": some,
        "rake": draw(level) if kind == "ladder" else None,
    }


def spaced(bars: list[float]) -> list[float]:
    """Return cross bars in order, those too near to one before them left out."""
    out: list[float] = []
    for x in sorted(bars):
        if not out or x - out[-1] >= 150:
            out.append(x)
    return out


@st.composite
def stood_on(draw: st.DrawFn, kind: str | None, pairs: int | None = None) -> tuple[Keys, dict[str, int]]:
    """What the feet of a frame stand on, how many pairs; and what pairs its vehicle has to have for that."""
    if kind is None:
        return {"front": draw(st.sampled_from([None, "roof"]))}, {}
    pairs = pairs or draw(st.none() | st.integers(2, 3))
    if kind == "bed":
        return {"pairs": pairs}, {"bed rail": pairs or 2}
    front = draw(st.sampled_from(["roof", *FEET[:3]]))
    rears = [None, None, None, "roof", *FEET[:3], *FEET]
    rear = draw(st.sampled_from(rears)) if kind == "ladder" else None
    if rear in (None, front):
        return {"front": front, "rear": rear, "pairs": pairs}, {front: pairs or 2}
    return {"front": front, "rear": rear}, {front: 1, rear: 2 if rear == "roof" else 1}


@st.composite
def fitting(draw: st.DrawFn, kind: str, base: str, on: Room, odd: bool = True) -> Keys:
    """One fitting that goes with a kind of basket; its places mostly left to the rules, else anywhere."""
    carriers = {"basket": ["frame", "lower ring", "upper ring"], "bars": ["frame"]}.get(kind, ["frame", "lower ring"])
    what = ["air deflector", "lamp tabs", "tie-down loops"]
    if kind == "basket":
        what += ["shovel brackets", "awning brackets"]
    if kind in ("basket", "bars"):
        what.append("rear ladder")
    asked = draw(st.sampled_from(what))
    keys: Keys = {"kind": asked}
    bar = seldom(st.sampled_from(SHELVES[base]["bar"]))
    if asked == "air deflector":
        return keys | {
            "width": draw(st.none() | steps(300, 1400, 10)), "above": draw(st.none() | steps(45, 200, 5)),
            "tilt": draw(st.none() | steps(20, 75, 1)), "gap": draw(st.none() | steps(5, 60, 5)),
            "tabs": draw(st.none() | st.integers(2, 6)), "bar": draw(bar),
        }  # fmt: skip
    if asked == "rear ladder":
        return keys | {
            "at": draw(mostly(odd, steps(-100, 100, 10), steps(-450, 450, 10))), "rungs": draw(st.integers(2, 6)),
            "spacing": draw(st.none() | steps(250, 300, 5)), "width": draw(st.none() | steps(280, 400, 10)),
            "off": draw(st.none() | steps(70, 300, 10)), "tube": draw(seldom(st.sampled_from(SHELVES[base]["tube"]))),
        }  # fmt: skip
    reach = mostly(odd, st.just(max(2, min(30, round((on.out - 300) / 20)))), st.just(30))
    spots = reach.flatmap(
        lambda most: st.lists(st.integers(-most, most), min_size=1, max_size=4, unique=True).map(
            lambda n: sorted(20 * k for k in n)
        )
    )
    keys |= {
        "side": draw(st.sampled_from([None, "front", "rear", "left", "right"])),
        "at": draw(st.none() | st.none() | spots), "bar": draw(bar),
    }  # fmt: skip
    if asked == "lamp tabs":
        stand, hole = draw(st.sampled_from([None, "out", "up"])), draw(st.none() | steps(6, 14, 0.5))
        return keys | {"on": draw(st.sampled_from([None, *carriers])), "stand": stand, "hole": hole}
    if asked == "tie-down loops":
        return keys | {"on": draw(st.sampled_from([None, *carriers])), "eye": draw(st.none() | steps(12, 60, 2))}
    return keys | {"reach": draw(st.none() | steps(70, 200, 10))}


@st.composite
def fittings(draw: st.DrawFn, kind: str, base: str, on: Room, odd: bool = True) -> str:
    """Fittings of a rack file; none on most racks."""
    asked = draw(st.lists(fitting(kind, base, on, odd), max_size=3, unique_by=lambda keys: keys["kind"]))
    return "".join(table("[fitting]", keys) for keys in asked) if draw(st.booleans()) else ""


@st.composite
def racks(
    draw: st.DrawFn, kind: str | None, mounts: Keys, base: str, on: Room, small: bool = False, odd: bool = True
) -> str:
    """A rack file with any options.

    Args:
        draw: of hypothesis.
        kind: of frame.
        mounts: what its feet stand on.
        base: shop.
        on: what it stands on.
        small: whether nothing lies on it.
        odd: whether it may be anything.
    """
    tables = draw(baskets(base, on, odd))
    frame = draw(frames(kind, base, on, odd))
    if small and kind != "bows":
        frame |= {"bar_count": 2, "cross_bars": None}
    if small or kind == "bows" or (kind is not None and draw(st.booleans())):
        # The frame's cross bars carry alone.
        tables = {}
    tables["frame"] = frame
    if frame.get("cross_bars") and "basket" in tables and not odd:
        tables["basket"]["pads"] = None
    if frame.get("width") and "basket" in tables and not odd and frame["width"] < tables["basket"]["width"] + 150:
        frame["width"] = None
    fasteners = [None, "rivets", "rivet nuts", "bolts"]
    tables["mounts"] = {
        "tilt": draw(st.sampled_from([None, "foot", *(["cope"] if kind != "bows" else [])])),
        **mounts,
        "fastener": draw(
            mostly(odd, st.sampled_from(fasteners[:3] if on.closed else fasteners), st.sampled_from(fasteners))
        ),
        "plate_rivets": draw(seldom(st.sampled_from([4, 6, 8, 10]))),
    }
    head = 'format = 1\nname = "drawn"\nshop = "shop"\nvehicle = "vehicle"\nunits = "mm"\n\n'
    top = tables["basket"]["kind"] if "basket" in tables else "bars"
    return head + "".join(table(name, keys) for name, keys in tables.items()) + draw(fittings(top, base, on, odd))


@st.composite
def wholes(draw: st.DrawFn, kinds: int = 0, bases: Sequence[str] = BASES, small: bool = False) -> Whole:
    """A shop, a vehicle and a rack: one that the vehicle has places for, but for one in eight.

    Args:
        draw: of hypothesis.
        kinds: of places for feet beside plates on the roof, at least.
        bases: shops.
        small: whether it has few parts: cross bars or bows that carry alone, on two pairs of feet.
    """
    base = draw(st.sampled_from(bases))
    kind = draw(st.sampled_from(KINDS[2:] if small else KINDS))
    mounts, least = draw(stood_on(kind, 2 if small else None))
    odd = draw(st.integers(0, 3)) == 2
    if not small and draw(st.integers(0, 7)) == 5:
        least = {}
    vehicle = draw(vehicles(kinds, least, mounts.get("rear"), odd))
    on = room(vehicle, kind, mounts)
    return Whole(draw(shops()), vehicle, draw(racks(kind, mounts, base, on, small, odd)), base)


# What fails is told as it was drawn: hunting for a smaller one takes minutes.
AS_DRAWN = (Phase.explicit, Phase.generate)


def read(whole: Whole, folder: Path) -> Job:
    """Write the three files, with the picture that racks name, and read them.

    Raises:
        BadInput: what is drawn is refused.
    """
    for name, text in (("shop", shop_text(whole.shop, whole.base)), ("vehicle", whole.vehicle), ("rack", whole.rack)):
        (folder / f"{name}.toml").write_text(text, "utf-8")
    (folder / "fern.svg").write_text(FERN, "utf-8")
    return read_job(str(folder / "rack.toml"), shop=str(folder / "shop.toml"), vehicle=str(folder / "vehicle.toml"))
