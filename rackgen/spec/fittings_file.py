"""The tables of a rack file about fittings: one [[fitting]] each, told apart by its `kind`."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

from rackgen.errors import Mistake
from rackgen.spec.document import Document, written
from rackgen.spec.fields import About, Count, Entries, Length, Number, Table, Words, given, refuse, wrong_if
from rackgen.spec.fittings import BracketsWish, DeflectorWish, FittingWish, LadderWish, LampTabsWish, LoopsWish, Side
from rackgen.spec.frame_file import crowded
from rackgen.spec.places import Path
from rackgen.spec.stock import Flat, Round, Section, Sheet

MOST = 40
"""Fittings that one rack file may ask for, and places of one."""

AWNING_REACH = 90.0
"""Usual shelf of an awning bracket, mm: room for two bolts (common practice, no source)."""

Place = Annotated[float, Length("a place", -6_000, 6_000)]
Places = Annotated[
    tuple[Place, ...] | None,
    Entries(
        "places from the side's middle: left and right on front and rear, fore and aft on left and right; negative to "
        "the left and ahead; the usual ones when left out",
        MOST,
        1,
        True,
    ),
]
Bar = Annotated[str | None, Words("flat bar that they are of, by its name in the shop's stock")]
SIDE = About("the side of the rack")


@dataclass(frozen=True, kw_only=True)
class DeflectorTable(Table):
    """A sheet ahead of the front tube that turns the air up, bolted on tabs."""

    kind: Annotated[Literal["air deflector"], About("a sheet ahead of the front tube, bolted on tabs")]
    width: Annotated[float | None, Length("of the sheet; as the front tube is straight when left out", 300, 2_500)] = (
        None
    )
    above: Annotated[float | None, Length("how far it reaches over the front tube, along its slope", 30, 300)] = None
    tilt: Annotated[float | None, Number("how far its top leans back from upright", 20, 75, "degrees")] = None
    gap: Annotated[float | None, Length("from its lower edge to the roof", 5, 100)] = None
    tabs: Annotated[int | None, Count("tabs that hold it, two bolts each", 2, 12)] = None
    plate: Annotated[str | None, Words("sheet that it is of, by its name in the shop's stock")] = None
    bar: Bar = None

    def record(self, entry: int) -> FittingWish:
        """Return the record."""
        return DeflectorWish(entry, **given(self, "kind"))


@dataclass(frozen=True, kw_only=True)
class LampTabsTable(Table):
    """Tabs of flat bar with a hole, welded on a tube."""

    kind: Annotated[Literal["lamp tabs"], About("tabs with a hole for a lamp's bolt")]
    side: Annotated[Side | None, SIDE] = None
    at: Places = None
    on: Annotated[
        Literal["frame", "lower ring", "upper ring"] | None,
        About("what they are welded to; the frame when left out, a ring where an air deflector takes its front"),
    ] = None
    stand: Annotated[
        Literal["out", "up"] | None, About("out of the side, the hole upright, when left out; or up, the hole level")
    ] = None
    hole: Annotated[float | None, Length("diameter of the hole", 4, 20)] = None
    length: Annotated[float | None, Length("of the tab beyond the tube", 25, 150)] = None
    bar: Bar = None

    def __post_init__(self) -> None:
        """Refuse a hole that the tab has no room for, and places within one another."""
        long, hole = 50.0 if self.length is None else self.length, 10.5 if self.hole is None else self.hole
        refuse(
            wrong_if(long < 3 * hole, "length", "at least three diameters of the hole, {}", 3 * hole),
            crowded("at", self.at),
        )

    def record(self, entry: int) -> FittingWish:
        """Return the record."""
        return LampTabsWish(entry, **given(self, "kind"))


@dataclass(frozen=True, kw_only=True)
class LoopsTable(Table):
    """Loops of flat bar, folded round a tube and welded to it."""

    kind: Annotated[Literal["tie-down loops"], About("loops for straps and hooks")]
    side: Annotated[Side | None, SIDE] = None
    at: Places = None
    on: Annotated[
        Literal["frame", "lower ring", "upper ring"] | None,
        About("what they are welded to; the upper ring when left out, the frame where there is none"),
    ] = None
    eye: Annotated[float | None, Length("clear between the tube and the loop", 12, 80)] = None
    bar: Bar = None

    def __post_init__(self) -> None:
        """Refuse places within one another."""
        refuse(crowded("at", self.at))

    def record(self, entry: int) -> FittingWish:
        """Return the record."""
        return LoopsWish(entry, **given(self, "kind"))


@dataclass(frozen=True, kw_only=True)
class ShovelTable(Table):
    """Brackets in which a shovel lies along the basket's side, at the height of its rim."""

    kind: Annotated[Literal["shovel brackets"], About("brackets in which a shovel lies along the basket's side")]
    side: Annotated[Side | None, SIDE] = None
    at: Places = None
    reach: Annotated[float | None, Length("clear width between basket and lip", 40, 250)] = None
    lip: Annotated[float | None, Length("how far the lip stands up", 25, 150)] = None
    hole: Annotated[float | None, Length("diameter of the hole in the lip, for a strap's hook", 4, 20)] = None
    bar: Bar = None

    def __post_init__(self) -> None:
        """Refuse places within one another, and a hole that the lip has no room for."""
        lip, hole = 50.0 if self.lip is None else self.lip, 9.0 if self.hole is None else self.hole
        refuse(
            crowded("at", self.at), wrong_if(lip < 4 * hole, "lip", "at least four diameters of the hole, {}", 4 * hole)
        )

    def record(self, entry: int) -> FittingWish:
        """Return the record."""
        return BracketsWish(entry, "shovel", **given(self, "kind"))


@dataclass(frozen=True, kw_only=True)
class AwningTable(Table):
    """Brackets on which an awning's case is bolted, outside on the basket's side."""

    kind: Annotated[Literal["awning brackets"], About("brackets on which an awning's case is bolted")]
    side: Annotated[Side | None, SIDE] = None
    at: Places = None
    reach: Annotated[float | None, Length("width of the shelf beyond the basket", 70, 250)] = None
    hole: Annotated[
        float | None, Length("diameter of the holes in the shelf: two, where it has room for them", 4, 14)
    ] = None
    bar: Bar = None

    def __post_init__(self) -> None:
        """Refuse places within one another."""
        refuse(crowded("at", self.at))

    def record(self, entry: int) -> FittingWish:
        """Return the record."""
        return BracketsWish(entry, "awning", reach=self.reach or AWNING_REACH, **given(self, "kind", "reach"))


@dataclass(frozen=True, kw_only=True)
class LadderTable(Table):
    """A ladder down the rear: clamped to the rack, standing off the body on feet."""

    kind: Annotated[Literal["rear ladder"], About("a ladder down the rear")]
    at: Annotated[float, Length("of its middle, from the vehicle's middle; negative to the left", -1_500, 1_500)]
    on: Annotated[
        Literal["frame", "upper ring"] | None,
        About("what it is clamped to; the upper ring when left out, the rearmost cross bar where there is none"),
    ] = None
    rungs: Annotated[int | None, Count("rungs", 2, 10)] = None
    spacing: Annotated[float | None, Length("from rung to rung", 250, 300)] = None
    width: Annotated[float | None, Length("clear between the stiles", 280, 500)] = None
    off: Annotated[float | None, Length("from the rear face to the stiles' axes", 70, 300)] = None
    tube: Annotated[str | None, Words("tube of stiles and rungs, by its name in the shop's stock")] = None
    plate: Annotated[str | None, Words("plate of clamps and feet, by its name in the shop's stock")] = None

    def record(self, entry: int) -> FittingWish:
        """Return the record."""
        return LadderWish(entry, **given(self, "kind"))


Fitting = DeflectorTable | LampTabsTable | LoopsTable | ShovelTable | AwningTable | LadderTable

_STOCK: tuple[tuple[str, type[Section], str], ...] = (
    ("bar", Flat, "bar"),
    ("plate", Sheet, "plate"),
    ("tube", Round, "tube"),
)


def fitting_stock(document: Document) -> Iterator[tuple[Path, type[Section], str]]:
    """Return what fittings may name from the shop's shelf."""
    for path, _ in document.tables("fitting"):
        for key, section, kind in _STOCK:
            yield (*path, key), section, kind


def across_fittings(document: Document) -> Iterator[Mistake]:
    """Return fittings that ask for what the rack does not have: a basket's rings."""
    basket = document.get(("basket",)) is not None
    kind = (document.get(("basket", "kind")) or "basket") if basket else "bars"
    seen = False
    for path, table in document.tables("fitting"):
        if table.get("kind") == "air deflector":
            if seen:
                yield document.mistake((*path, "kind"), "a rack has one air deflector; leave this one out")
            seen = True
        asked, on = table.get("kind"), table.get("on")
        if asked in ("shovel brackets", "awning brackets") and kind != "basket":
            wanted = "they are welded to both rings of a basket, which this rack has not; leave them out"
            yield document.mistake((*path, "kind"), wanted, written(asked))
        if asked == "rear ladder" and kind in ("tray", "deck"):
            wanted = (
                "its clamps go round a tube that is free at the rear, an upper ring, or the last cross bar of a rack "
                f"without [basket]; a {kind} lies over them; leave it out"
            )
            yield document.mistake((*path, "kind"), wanted, written(asked))
        elif on == "upper ring" and kind != "basket":
            has = '"frame"' if kind == "bars" else '"frame" or "lower ring"'
            if asked == "rear ladder":
                has = '"frame"'
            yield document.mistake((*path, "on"), f"this rack has no upper ring; write {has}", written(on))
        if on == "lower ring" and kind == "bars":
            yield document.mistake((*path, "on"), 'this rack has no basket; write "frame"', written(on))
