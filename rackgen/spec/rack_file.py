"""The file of a rack: its tables as they are typed, and the record made of them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal, cast

from rackgen.errors import Mistake
from rackgen.spec import limits
from rackgen.spec.as_built_file import AsBuiltTable
from rackgen.spec.document import Document, nearest, written
from rackgen.spec.fields import (
    About,
    Count,
    Entries,
    Length,
    Name,
    Reading,
    Table,
    Words,
    Wrong,
    given,
    is_name,
    refuse,
    wrong_if,
)  # fmt: skip
from rackgen.spec.fittings_file import MOST, Fitting, across_fittings, fitting_stock
from rackgen.spec.frame_file import FrameTable, MountsTable, across_frame, crowded
from rackgen.spec.load_file import LoadTable, across_load
from rackgen.spec.places import Path
from rackgen.spec.rack import BARS_ONLY, BasketWish, FrameWish, Gaps, MountWish, RackSpec, Waiver
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Expanded, Flat, Perforated, Round, Section, Sheet
from rackgen.spec.tops import FloorWish, Motif
from rackgen.spec.tops_file import FloorTable, SidesTable
from rackgen.units import Unit

HEIGHT = "from the underside of the lower ring to the top of the upper"

Place = Annotated[float, Length("a place", -6_000, 6_000)]
Places = tuple[Place, ...] | None


@dataclass(frozen=True, kw_only=True)
class BasketTable(Table):
    """The basket. Only its outside sizes are needed; what is left out follows by the rules of the trade."""

    kind: Annotated[
        Literal["basket", "tray", "deck"] | None,
        About("two rings when left out; a low tray with one ring; a flat deck of slats between side rails"),
    ] = None
    width: Annotated[float, Length("outside width", 200, 3_000)]
    length: Annotated[float, Length("outside length", 200, 6_000)]
    height: Annotated[float | None, Length(HEIGHT, 40, 1_000)] = None
    ring_tube: Annotated[str | None, Words("tube of rings or side rails, by its name in the shop's stock")] = None
    bar_tube: Annotated[str | None, Words("tube of bearers and uprights, by its name in the shop's stock")] = None
    bearers: Annotated[
        Places,
        Entries("fore and aft of mid-length, negative ahead; an even count keeps off the butts", limits.PARTS, 0, True),
    ] = None
    side_uprights: Annotated[Places, Entries("fore and aft of mid-length, negative ahead", limits.PARTS, 0, True)] = (
        None
    )
    end_uprights: Annotated[Places, Entries("across from the middle, negative to the left", limits.PARTS, 0, True)] = (
        None
    )
    floor: Annotated[str | None, Words("stock of the floor, by its name: expanded metal, or what [floor] asks for")] = (
        None
    )
    strip: Annotated[str | None, Words("flat bar over the floor's raw edge, by its name in the shop's stock")] = None
    side_plates: Annotated[int | None, Count("bays a side, from the middle, that get a plate", 0, 100)] = None
    side_plate: Annotated[str | None, Words("plate of the side plates, by its name in the shop's stock")] = None
    pad: Annotated[str | None, Words("plate of the clamp pads, by its name in the shop's stock")] = None
    pads: Annotated[Places, Entries("clamp pads fore and aft of mid-length, negative ahead", limits.PARTS, 0, True)] = (
        None
    )
    forward: Annotated[
        float | None, Length("how far the basket's middle is moved forward of the frame's", -3_000, 3_000)
    ] = None

    def __post_init__(self) -> None:
        """Refuse places beyond the basket's own ends, or in each other."""
        wanted = "places are measured from the middle and lie within {} of it"
        refuse(
            *self._of_kind(),
            wrong_if(_beyond(self.bearers, self.length), "bearers", wanted, self.length / 2),
            wrong_if(_beyond(self.side_uprights, self.length), "side_uprights", wanted, self.length / 2),
            wrong_if(_beyond(self.end_uprights, self.width), "end_uprights", wanted, self.width / 2),
            wrong_if(_beyond(self.pads, self.length), "pads", wanted, self.length / 2),
            *(crowded(key, getattr(self, key)) for key in ("bearers", "side_uprights", "end_uprights", "pads")),
        )

    def _of_kind(self) -> Iterator[Wrong | None]:
        """Return what is missing for a basket, or does not go with a tray or deck."""
        if self.kind in (None, "basket"):
            yield wrong_if(self.height is None, "height", f"add `height`: {HEIGHT}")
            return
        for key in ("height", "side_uprights", "end_uprights", "side_plates"):
            some = getattr(self, key) not in (None, (), 0)
            yield wrong_if(some, key, f"a {self.kind} has no upper ring and nothing that carries one; leave it out")


@dataclass(frozen=True, kw_only=True)
class ClearancesTable(Table):
    """Wanted clearances."""

    tube: Annotated[float | None, Length("tube to roof; less is worth a look", 0, 300)] = None
    tube_stop: Annotated[float | None, Length("tube to roof; less is a stop", 0, 300)] = None
    bow: Annotated[float | None, Length("bow of a U-bolt to roof", 0, 300)] = None
    shut_line: Annotated[float | None, Length("wrap to the hatch's shut line", 0, 100)] = None

    def record(self) -> Gaps:
        """Return the record."""
        return Gaps(**given(self))

    def __post_init__(self) -> None:
        """Refuse a stop above its look."""
        gaps = self.record()
        refuse(wrong_if(gaps.tube_stop > gaps.tube, "tube_stop", "not more than `tube`, {}", gaps.tube))


@dataclass(frozen=True, kw_only=True)
class WaiverTable(Table):
    """A finding that was looked at and is accepted; shown on every sheet."""

    code: Annotated[str, Words("code of the finding")]
    part: Annotated[str, Words("id of the part; left out for a finding that names none")] = ""
    reason: Annotated[str, Words("why it is accepted")]


@dataclass(frozen=True, kw_only=True)
class RackFile(Table):
    """A rack that is asked for."""

    format: Annotated[Literal[1], About("always 1")]
    units: Annotated[Unit | None, About("of the bare lengths in this file; angles are degrees")] = None
    name: Annotated[str | None, Name("names the output folder and files; the file's own name when left out")] = None
    title: Annotated[str | None, Words("shown on sheets; the name when left out")] = None
    shop: Annotated[str, Name("name of the shop's preset")]
    vehicle: Annotated[str, Name("name of the vehicle's preset")]
    basket: Annotated[
        BasketTable | None,
        About("the basket: at least its width, length and height; left out, the cross bars of the frame carry"),
    ] = None
    floor: Annotated[FloorTable, About("the floor")] = field(default_factory=FloorTable)
    sides: Annotated[SidesTable, About("the sides between a basket's rings")] = field(default_factory=SidesTable)
    frame: Annotated[FrameTable, About("the frame")] = field(default_factory=FrameTable)
    mounts: Annotated[MountsTable, About("the mounts")] = field(default_factory=MountsTable)
    clearances: Annotated[ClearancesTable, About("wanted clearances")] = field(default_factory=ClearancesTable)
    load: Annotated[LoadTable, About("what it is to carry, and how it is driven")] = field(default_factory=LoadTable)
    as_built: Annotated[
        tuple[AsBuiltTable, ...], Entries("parts that are made already, as measured", limits.PARTS)
    ] = ()
    fitting: Annotated[
        tuple[Fitting, ...],
        Entries("fittings: what is welded, bolted or hung on the rack", MOST),
    ] = ()
    waiver: Annotated[tuple[WaiverTable, ...], Entries("findings that are accepted", limits.PARTS)] = ()

    def __post_init__(self) -> None:
        """Refuse floors and sides that do not go with the kind of basket."""
        basket, asked = self.basket, self.frame.kind or "hoop"
        kind = "bars" if basket is None else basket.kind or "basket"
        floor = self.floor.kind or "slats"
        none = self.floor.kind == "none" and basket is not None and basket.floor is not None
        refuse(
            wrong_if(
                basket is None and asked == "hoop",
                "basket",
                'add [basket]: its width, length and height; or set `kind` under [frame] to "ladder", "bows" or "bed", '
                "whose cross bars carry alone",
            ),
            wrong_if(
                basket is not None and asked == "bows",
                "basket",
                "bows follow the crown: nothing flat lies on them; leave [basket] out, or ask for a ladder frame",
            ),
            wrong_if(
                basket is None and self.floor.kind not in (None, "none"),
                "floor.kind",
                "without [basket] there is no floor; leave [floor] out",
            ),
            *across_frame(self.frame, self.mounts, self.basket is None),
            wrong_if(
                none, "floor.kind", "there is no floor, and `floor` under [basket] names stock for it; leave one out"
            ),
            wrong_if(
                kind == "deck" and floor != "slats", "floor.kind", "a deck is of slats; leave `kind` out under [floor]"
            ),
            wrong_if(
                self.floor.gap is not None and self.floor.kind is None and kind != "deck",
                "floor.gap",
                'that is between slats: add kind = "slats" under [floor], or leave it out',
            ),
            wrong_if(
                kind != "basket" and self.sides.asked,
                "sides",
                "without [basket] there are no sides; leave [sides] out"
                if basket is None
                else f"a {kind} has no sides; leave [sides] out",
            ),
        )

    def record(self, name: str, motif: Motif | None = None) -> RackSpec:
        """Return the record.

        Args:
            name: the file's own name, for a file that gives none.
            motif: what was read from the file that `sides.outline` names.
        """
        name = self.name or name
        return RackSpec(
            name=name,
            title=self.title or name,
            shop=self.shop,
            vehicle=self.vehicle,
            basket=BARS_ONLY if self.basket is None else BasketWish(**given(self.basket)),
            floor=FloorWish("none") if self.basket is None else self.floor.record(deck=self.basket.kind == "deck"),
            sides=self.sides.record(motif),
            frame=FrameWish(**given(self.frame)),
            mounts=MountWish(**given(self.mounts)),
            gaps=self.clearances.record(),
            as_built=tuple(made.record() for made in self.as_built),
            waivers=tuple(Waiver(**given(waiver)) for waiver in self.waiver),
            load=self.load.record(),
            fittings=tuple(one.record(k) for k, one in enumerate(self.fitting, 1)),
        )


Kinds = type[Section] | tuple[type[Section], ...]
"""A kind of section, or several."""

_STOCK: tuple[tuple[Path, Kinds, str], ...] = (
    (("basket", "ring_tube"), Round, "tube"),
    (("basket", "bar_tube"), Round, "tube"),
    (("basket", "strip"), Flat, "bar"),
    (("basket", "side_plate"), Sheet, "plate"),
    (("frame", "tube"), Round, "tube"),
    (("mounts", "plate"), Sheet, "plate"),
    (("mounts", "strap"), Flat, "bar"),
    (("mounts", "wrap"), Flat, "bar"),
)


_FLOORS: Mapping[str, tuple[Kinds, str]] = {
    "expanded metal": (Expanded, "mesh"),
    "slats": ((Round, Flat), "tube or bar"),
    "perforated sheet": (Perforated, "perforated sheet"),
}


def _floor_stock(document: Document) -> Iterator[tuple[Path, Kinds, str]]:
    """Return what `floor` under [basket] may name."""
    kind = document.get(("floor", "kind"))
    if kind is None:
        kind = "slats" if document.get(("basket", "kind")) == "deck" else "expanded metal"
    if isinstance(kind, str) and kind in _FLOORS:
        yield ("basket", "floor"), *_FLOORS[kind]


def unknown_stock(document: Document, shop: Shop) -> Iterator[Mistake]:
    """Return what a rack file asks for that the shop does not have, with the nearest that it has."""
    for key, section, kind in (*_STOCK, *_floor_stock(document), *fitting_stock(document)):
        asked = document.get(key)
        if not isinstance(asked, str):
            continue
        shelf = {s.name: s.section for s in shop.stock}
        right = [name for name, found in shelf.items() if isinstance(found, section)]
        asked_name = " ".join(asked.split())
        if asked_name in right:
            continue
        if asked_name in shelf:
            wanted = f"that is no {kind}; {shop.name} has {_listed(right)}"
        elif near := nearest(asked_name, right):
            wanted = f'{shop.name} has no such {kind}; did you mean "{near}"? it has {_listed(right)}'
        else:
            wanted = f"{shop.name} has no such {kind}; it has {_listed(right)}"
        yield document.mistake(key, wanted, written(asked))


def across_rack(document: Document, reading: Reading) -> Iterator[Mistake]:
    """Return what is wrong between the tables of a rack file: no name for files, too many parts, an unknown load."""
    if "name" not in document.data and not is_name(document.path.stem):
        wanted = "add `name`: the file's own name cannot name the output folder"
        yield document.mistake(("name",), wanted, written(document.path.stem))
    lists = [("basket", key) for key in ("bearers", "side_uprights", "end_uprights", "pads")]
    asked = [document.get(key) for key in (*lists, ("frame", "cross_bars"))]
    count = sum(len(cast("list[object]", entries)) for entries in asked if isinstance(entries, list))
    if count > limits.PARTS:
        yield document.mistake(("basket",), f"ask for at most {limits.PARTS:,} parts", f"{count:,} places")
    yield from across_load(document)
    yield from across_fittings(document)


def _beyond(places: tuple[float, ...] | None, whole: float) -> bool:
    return any(abs(place) >= whole / 2 for place in places or ())


def _listed(names: list[str]) -> str:
    return ", ".join(f'"{name}"' for name in names) or "none"
