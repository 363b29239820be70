"""The form that a vehicle is measured with: each box by the key of the vehicle file that it fills, in order of work."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, get_args

from rackgen.spec.fields import Number
from rackgen.spec.foot_file import FootTable
from rackgen.spec.foot_place import FootKind
from rackgen.spec.readings import COLUMNS
from rackgen.spec.shape import choices, keys
from rackgen.units import Unit

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")

PREPARED = frozenset({"units", "reference", "across", "kind", "between"})
"""Keys that stand in an empty form with a value, by their last word."""


@dataclass(frozen=True)
class Form:
    """What is to be measured.

    Attributes:
        unit: that it is read in.
        stations: lines across the roof, 2 to 20.
        offsets: readings to each side at each of them, 1 to 8.
        mounts: places for a plate on the roof to each side, 1 to 4; there is a rear corner to each side always.
        straightedge: whether heights are read below a straightedge on two blocks; else against a level line.
        levelled: whether the bar across is levelled; else it lies on the crown.
        alike: whether the roof is read to one side, as it is alike on both.
        feet: a pair of places of each of these kinds, front to rear: "gutter", "threads", "track" or "bed rail".
    """

    unit: Unit = "mm"
    stations: int = 5
    offsets: int = 3
    mounts: int = 1
    straightedge: bool = False
    levelled: bool = True
    alike: bool = False
    feet: tuple[FootKind, ...] = ()


@dataclass(frozen=True)
class Box:
    """One box of the form.

    Attributes:
        key: of the vehicle file.
        asks: what is read there, a few words.
        unit: of what is written in it: mm, in, deg, kg or nothing.
        value: what is printed in it.
        needed: whether no rack can be made without it.
    """

    key: str
    asks: str
    unit: str = ""
    value: str = ""
    needed: bool = False


@dataclass(frozen=True)
class Group:
    """Boxes that are filled at one place.

    Attributes:
        name: short and unique: "vehicle", "roof", "station 2", "front_left" ...
        title: for people.
        boxes: in order.
    """

    name: str
    title: str
    boxes: tuple[Box, ...]


def roof_mounts(form: Form) -> tuple[str, ...]:
    """Return the names of the mounts on the roof, left before right, front to rear."""
    numbers = [""] if form.mounts == 1 else [f"_{n + 1}" for n in range(form.mounts)]
    return tuple(f"front{n}_{side}" for n in numbers for side in SIDES)


def foot_mounts(form: Form) -> tuple[str, ...]:
    """Return the names of the places for other feet, left before right, in the order asked for."""
    words = [kind.replace(" ", "_") for kind in form.feet]
    return tuple(f"{word}_{words[: k + 1].count(word)}_{side}" for k, word in enumerate(words) for side in SIDES)


def rear_mounts() -> tuple[str, ...]:
    """Return the names of the rear corners."""
    return tuple(f"rear_{side}" for side in SIDES)


def groups(form: Form) -> tuple[Group, ...]:
    """Return all boxes of a form in the order of measuring."""
    u, n = form.unit, form.unit
    front, rear = roof_mounts(form), rear_mounts()
    reference = "straightedge" if form.straightedge else "level line"
    points = "x; y; z"
    return (
        Group(
            "vehicle",
            "The vehicle",
            (
                Box("name", "what it is called on sheets", needed=True),
                Box("datum", "the point on the middle that x is measured from, in words", needed=True),
                Box("units", "of all lengths here without their own", value=u, needed=True),
                Box("roof_limit", "roof limit of the handbook, moving; the rack itself counts", "kg"),
                Box("stood.pitch", "level fore and aft at the datum's sill, + falls to the rear", "deg"),
                Box("stood.roll", "level across at the same place, + falls to the right", "deg"),
            ),
        ),
        Group("roof", "The two references", tuple(_references(form, reference))),
        *(
            Group(f"station {k}", f"Station {k}", tuple(_station(form, f"roof.station[{k}]")))
            for k in range(1, form.stations + 1)
        ),
        *(Group(name, _said(name), tuple(_on_roof(name, n))) for name in front),
        *(
            Group(name, f"{kind.capitalize()}: {name.replace('_', ' ')}", tuple(_under_foot(name, kind, n)))
            for name, kind in zip(foot_mounts(form), _twice(form.feet), strict=True)
        ),
        *(Group(name, _said(name), tuple(_on_corner(name, n))) for name in rear),
        Group("diagonals", "Cross diagonals, as a check", tuple(_diagonals(front, rear, n))),
        Group(
            "hatch",
            "Hatch, tailgate or rear door",
            (
                Box("hatch.name", "what it is called"),
                Box("hatch.hinge[1]", f"left end of the hinge's axis: {points}", n),
                Box("hatch.hinge[2]", f"right end of it: {points}", n),
                Box("hatch.width", "width of the panel", n),
                Box("hatch.height", "from the hinge down its face", n),
                Box("hatch.lean", "of its face from plumb, + when the top leans forward", "deg"),
                Box("hatch.thickness", "of the panel, inward from its outside", n),
                Box("hatch.opens", "how far it opens", "deg"),
            ),
        ),
        Group(
            "things",
            "Aerial, opening roof, driver, heights",
            (
                Box("keep_out[1].kind", "the aerial", value="aerial"),
                Box("keep_out[1].foot", f"foot of it: {points}", n),
                Box("keep_out[1].tip", f"tip of it: {points}", n),
                Box("keep_out[1].radius", "half its thickness", n),
                Box("opening_roof.kind", "an opening roof: tilt, lift or slide"),
                *(Box(f"opening_roof.outline[{k}]", f"corner {k} of its panel: {points}", n) for k in range(1, 5)),
                Box("opening_roof.thickness", "of its panel", n),
                Box("opening_roof.edge[1]", f"tilt: left end of the edge it turns about: {points}", n),
                Box("opening_roof.edge[2]", f"tilt: right end of it: {points}", n),
                Box("opening_roof.opens", "tilt: how far", "deg"),
                Box("opening_roof.height", "lift: how far up", n),
                Box("opening_roof.back", "slide: how far back", n),
                Box("eye.at", f"the driver's eye: {points}", n),
                Box("eye.glass_top", f"upper edge of the windscreen straight ahead of it: {points}", n),
                Box("heights.floor_to_datum", "from the floor up to where z is 0, unladen", n),
                Box("heights.garage", "clear height of the garage door", n),
                Box("heights.trailer", "clear height in a trailer or carrier", n),
            ),
        ),
    )


def _said(name: str) -> str:
    place = name.replace("_", " ")
    return f"Rear corner: {place}" if name.startswith("rear") else f"Mount on the roof: {place}"


def _references(form: Form, reference: str) -> Iterator[Box]:
    yield Box("roof.reference", "what heights are read against", value=reference, needed=True)
    if form.straightedge:
        yield Box("roof.rests[1]", "x of the front block", form.unit, needed=True)
        yield Box("roof.rests[2]", "x of the rear block", form.unit, needed=True)
        yield Box("roof.blocks", "height of the two equal blocks", form.unit, needed=True)
        yield Box("roof.edge_along", "length of the straightedge fore and aft", form.unit)
        yield Box("roof.level", "level on that straightedge, + falls to the rear", "deg")
    yield Box("roof.across", "the bar across", value="levelled" if form.levelled else "on crown", needed=True)
    yield Box("roof.edge_across", "length of the bar across", form.unit)


def _station(form: Form, key: str) -> Iterator[Box]:
    u = form.unit
    yield Box(f"{key}.x", "aft of the datum, measured level", u, needed=True)
    if form.straightedge:
        yield Box(f"{key}.down", "from the straightedge's underside to the crown", u, needed=True)
    else:
        yield Box(f"{key}.crown", "crown over the level line, - below it", u, needed=True)
    if form.alike:
        yield Box(f"{key}.half_width", "from the middle to the roof's edge", u, needed=True)
    else:
        for side in SIDES:
            yield Box(f"{key}.{side}", f"from the middle to the roof's {side} edge", u, needed=True)
    if not form.levelled:
        yield Box(f"{key}.cross_level", "level on the bar, + falls to the right", "deg")
    for k in range(1, form.offsets + 1):
        yield Box(f"{key}.offsets[{k}]", "from the middle out to the reading", u, needed=True)
    for name in ("drops",) if form.alike else ("left_drops", "right_drops"):
        for k in range(1, form.offsets + 1):
            yield Box(f"{key}.{name}[{k}]", "from the bar's underside to the skin", u, needed=True)


def _on_roof(name: str, u: str) -> Iterator[Box]:
    key = f"mounts.{name}"
    yield Box(f"{key}.kind", "a plate on the roof", value="roof", needed=True)
    yield Box(f"{key}.x", "its middle, aft of the datum", u, needed=True)
    yield Box(f"{key}.y", "its middle, + right of the middle, - left", u, needed=True)
    yield Box(f"{key}.roll", "first level reading: across, + falls to the right", "deg")
    yield Box(f"{key}.pitch", "second level reading: fore and aft, + falls to the rear", "deg")
    for k in range(1, 4):
        yield Box(f"{key}.points[{k}]", f"only where no level fits: point {k} of the skin: x; y; z", u)
    yield Box(f"{key}.zone[1]", "how far it may move fore and aft, each way", u, needed=True)
    yield Box(f"{key}.zone[2]", "how far it may move across, each way", u, needed=True)
    yield Box(f"{key}.under", "below the skin: pillar, rail, bow or skin", needed=True)
    yield Box(f"{key}.skin", "thickness of the sheet metal", u, needed=True)


def _on_corner(name: str, u: str) -> Iterator[Box]:
    key = f"mounts.{name}"
    yield Box(f"{key}.kind", "a strap down the rear face", value="rear corner", needed=True)
    yield Box(f"{key}.x", "the rear face at the height z, aft of the datum", u, needed=True)
    yield Box(f"{key}.y", "the strap's middle, + right of the middle, - left", u, needed=True)
    yield Box(f"{key}.z", "where the edge's curve ends and the flat begins", u, needed=True)
    yield Box(f"{key}.lean", "level on the rear face, from plumb, + top leans forward", "deg", needed=True)
    yield Box(f"{key}.corner_radius", "radius of the body corner there, from above", u, needed=True)
    yield Box(f"{key}.z_low", f"a height lower by {'50 mm' if u == 'mm' else '2 in'} or more", u)
    yield Box(f"{key}.corner_radius_low", "radius of the corner at that height", u)
    yield Box(f"{key}.corner", "from the middle to where the flat ends at the corner", u, needed=True)
    yield Box(f"{key}.to_shut_line", "from there inward to the shut line", u, needed=True)
    yield Box(f"{key}.zone", "how far the strap may move across, each way", u, needed=True)
    yield Box(f"{key}.under", "below the skin: pillar, rail, bow or skin", needed=True)
    yield Box(f"{key}.skin", "thickness of the sheet metal", u, needed=True)


def _twice(feet: tuple[FootKind, ...]) -> Iterator[FootKind]:
    for kind in feet:
        yield kind
        yield kind


POCKETS = 2
"""Stake pockets near a bed rail's mount that there are boxes for."""


def _under_foot(name: str, kind: FootKind, u: str) -> Iterator[Box]:
    """Return a box for every key of a kind's table, each with what the table says of it."""
    table = next(t for t in get_args(FootTable) if choices(keys(t)["kind"].hint)[0] == kind)
    for word, key in keys(table).items():
        at = f"mounts.{name}.{word}"
        if word == "kind":
            yield Box(at, key.about.about, value=kind, needed=True)
        elif word == "pockets":
            for k in range(1, POCKETS + 1):
                yield Box(f"{at}[{k}]", f"stake pocket {k} near it: from x; to x", u)
        elif choices(key.hint):
            yield Box(at, f"{key.about.about}: {', '.join(choices(key.hint))}", needed=key.needed)
        else:
            yield Box(at, key.about.about, "deg" if isinstance(key.about, Number) else u, needed=key.needed)


def _diagonals(front: tuple[str, ...], rear: tuple[str, ...], u: str) -> Iterator[Box]:
    pairs = [("datum", name) for name in (*front, *rear)]
    pairs += [(a, b) for a in front for b in rear if a.rsplit("_", 1)[1] != b.rsplit("_", 1)[1]]
    for k, (a, b) in enumerate(pairs, start=1):
        yield Box(f"diagonal[{k}].between", "", value=f"{a}; {b}")
        yield Box(f"diagonal[{k}].length", f"{a} to {b}, tape held straight".replace("_", " "), u)


def is_empty_form(content: bytes) -> bool:
    """Return whether a file is a form of this kind into which nothing was written."""
    try:
        rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))
    except (UnicodeDecodeError, csv.Error):
        return False
    if not rows or tuple(rows[0]) != COLUMNS:
        return False
    last = {row[0].rsplit(".", 1)[-1]: row for row in rows[1:] if row and any(row[1:2] + row[3:])}
    return set(last) <= PREPARED


def empty_csv(form: Form) -> str:
    """Return the form as a table to fill in: a row a box."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for group in groups(form):
        writer.writerow((f"# {group.title}", "", "", ""))
        for box in group.boxes:
            writer.writerow((box.key, box.value, box.unit, ""))
    return out.getvalue()
