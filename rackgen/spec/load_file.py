"""What a rack's file says about its load: limits, how it is driven, and load cases added, changed or left out."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Literal, cast

from rackgen.errors import Mistake
from rackgen.refs.registry import number
from rackgen.spec import limits
from rackgen.spec.document import Document, nearest, written
from rackgen.spec.fields import (
    About,
    Amount,
    Entries,
    Length,
    Name,
    Number,
    Table,
    Words,
    YesNo,
    given,
    refuse,
    wrong_if,
)  # fmt: skip
from rackgen.spec.load import ACTIONS, GROUPS, STANDARD, LoadCase, LoadWish, State, within

_VERTICAL = "times standing weight (1 is standing still, less is lighter than that)"
_FACTOR = "a factor"


@dataclass(frozen=True, kw_only=True)
class LoadCaseTable(Table):
    """A load case: a new one, or with the id of a standard one what is changed of it."""

    id: Annotated[str, Name("short; that of a standard case changes it")]
    title: Annotated[str | None, Words("in words; a standard case keeps its own when left out")] = None
    state: Annotated[
        Literal["moving", "parked", "event"] | None,
        About("rated as moving or as parked load; an event carries no load"),
    ] = None
    factors: Annotated[
        dict[str, Annotated[float, Number("times the action's unit size", -100_000, 100_000, _FACTOR)]] | None,
        About("what acts, by name, and how many times; names that begin with payload- are per kg of load"),
    ] = None
    source: Annotated[str | None, Words("where its figures are from; shown in the report")] = None

    def __post_init__(self) -> None:
        """Refuse a case in which nothing acts, and one whose load does not go with its state."""
        acts = self.factors or {}
        zero = next((name for name, factor in acts.items() if factor == 0), "")
        standard = STANDARD.get(self.id)
        state = self.state or standard
        carries = any(name.startswith("payload-") for name in acts)
        tied = self.id == "tie" or self.id.startswith("tie-")
        new = standard is None and not tied
        refuse(
            wrong_if(tied, "id", "ids that begin with tie are those of straps; change them by `strap_pull`"),
            wrong_if(new and self.title is None, "title", "a new case needs a title"),
            wrong_if(new and self.state is None, "state", 'a new case needs state = "moving", "parked" or "event"'),
            wrong_if(new and not acts, "factors", "a new case needs factors: what acts, and how many times"),
            wrong_if(self.factors == {} and not new, "factors", "nothing would act; leave it out, or name what acts"),
            wrong_if(bool(zero), "factors", f"a factor of 0 does nothing; leave `{zero}` out"),
            wrong_if(state == "event" and carries, "factors",
                     "an event carries no load to be rated: leave payload- actions out, or make it moving or parked"),
            wrong_if(state in ("moving", "parked") and bool(acts) and not carries, "factors",
                     'a moving or parked case carries load: name a payload- action, or make it state = "event"'),
            wrong_if(not new and not acts and self.state not in (None, standard), "factors",
                     "another state needs its own factors"),
        )  # fmt: skip

    def record(self) -> LoadCase:
        """Return the record."""
        values = given(self, "factors")
        return LoadCase(**values, factors=tuple((self.factors or {}).items()))


@dataclass(frozen=True, kw_only=True)
class LoadTable(Table):
    """The load: what is to be carried and how it is driven. What is left out is assumed, and the report says so."""

    moving: Annotated[
        float | None, Amount('most that is to be carried while moving: kg, or text such as "150 lb"', "mass", 1, 2_000)
    ] = None
    parked: Annotated[
        float | None, Amount("most that is to stand on it parked, people or a tent: kg, or text", "mass", 1, 5_000)
    ] = None
    centre_height: Annotated[float | None, Length("of the load's centre over the floor", 0, 1_500)] = None
    rough_track: Annotated[bool, YesNo("whether rough track is driven; true when left out")] = True
    road: Annotated[float | None, Number("vertical factor on a road", 1, 6, _VERTICAL)] = None
    rough: Annotated[float | None, Number("vertical factor on rough track", 1, 10, _VERTICAL)] = None
    rebound: Annotated[float | None, Number("net, upward, after a bump", 0.1, 6, "times standing weight")] = None
    speed: Annotated[float | None, Amount('top speed with the rack on: "110 km/h" or "70 mph"', "speed", 20, 250)] = (
        None
    )
    head_wind: Annotated[float | None, Amount('wind against it: "30 km/h" or "20 mph"', "speed", 0, 150)] = None
    load_width: Annotated[float | None, Length("of a bluff load, across; the floor's when left out", 50, 3_000)] = None
    load_height: Annotated[
        float | None, Length("of it over the floor; twice the centre's height when left out", 20, 3_000)
    ] = None
    load_length: Annotated[float | None, Length("of it, fore and aft; the floor's when left out", 50, 6_000)] = None
    long_item: Annotated[
        float | None, Number("share of the load that one long item on the cross bars may be", 0.05, 1, "a share")
    ] = None
    person: Annotated[
        float | None, Amount("mass of one who stands on it or pulls at it: kg, or text", "mass", 30, 250)
    ] = None
    strap_pull: Annotated[
        float | None, Amount('what a strap is pulled with: kg of force, or text such as "220 lb"', "mass", 5, 2_500)
    ] = None
    case: Annotated[tuple[LoadCaseTable, ...], Entries("load cases, added or changed", 20)] = ()
    without: Annotated[
        tuple[Annotated[str, Words("id of a standard case, or the beginning that a group of them shares")], ...],
        Entries("standard cases that are left out", limits.PARTS),
    ] = ()

    def __post_init__(self) -> None:
        """Refuse a rack that carries less parked than moving, a kinder rough track, a centre above its load."""
        road = self.road or number("vertical-road").value
        rough = self.rough or number("vertical-rough").value
        lighter = self.moving is not None and self.parked is not None and self.parked < self.moving
        high = self.centre_height is not None and self.load_height is not None and self.centre_height > self.load_height
        refuse(
            wrong_if(lighter, "parked", "not less than `moving`: what rides on the rack also stands on it parked"),
            wrong_if(rough < road and self.rough is not None, "rough", f"not less than on a road, {road:g}"),
            wrong_if(rough < road and self.rough is None, "road", f"not more than on rough track, {rough:g}"),
            wrong_if(high, "centre_height", "not above the top of the load, {}", self.load_height or 0.0),
        )

    def record(self) -> LoadWish:
        """Return the record."""
        return LoadWish(**given(self, "case"), cases=tuple(case.record() for case in self.case))


def across_load(document: Document) -> Iterator[Mistake]:
    """Return what is wrong with the names in a rack file's load: unknown actions and cases, ids that repeat."""
    ids: set[str] = set()
    for path, table in document.tables("load", "case"):
        id = table.get("id")
        if isinstance(id, str):
            if id in ids:
                yield document.mistake((*path, "id"), "an earlier case has this id; give each its own", written(id))
            ids.add(id)
        factors = table.get("factors")
        for name in cast("Mapping[str, object]", factors) if isinstance(factors, dict) else ():
            if name not in ACTIONS:
                yield document.mistake((*path, "factors", name), _unknown("action", name, ACTIONS))
    stated = document.get(("load", "without"))
    without = cast("list[object]", stated) if isinstance(stated, list) else []
    left = [" ".join(entry.split()) for entry in without if isinstance(entry, str)]
    known = [*STANDARD, *GROUPS]
    for place, entry in enumerate(without):
        if isinstance(entry, str) and " ".join(entry.split()) not in known:
            yield document.mistake(("load", "without", place), _unknown("standard case", entry, known), written(entry))
    for id in sorted(ids):
        if any(within(id, entry) for entry in left):
            wanted = f"`{id}` is changed under [[load.case]] and left out here; keep one of the two"
            yield document.mistake(("load", "without"), wanted)
    yield from _nothing_left(document, left)


def _nothing_left(document: Document, left: list[str]) -> Iterator[Mistake]:
    """Return that a state has no case any more; without one there is no rating."""
    added = {table.get("state") for _, table in document.tables("load", "case")}
    rough = document.get(("load", "rough_track")) is not False
    states: tuple[State, ...] = ("moving", "parked")
    for state in states:
        kept = [
            id for id, of in STANDARD.items()
            if of == state and not any(within(id, entry) for entry in left) and (rough or not within(id, "rough"))
        ]  # fmt: skip
        if not kept and state not in added:
            wanted = f"at least one {state} case stays, or there is no {state} rating"
            yield document.mistake(("load", "without"), wanted)


def _unknown(what: str, name: str, known: Iterable[str]) -> str:
    if near := nearest(name, known):
        return f"there is no such {what}; did you mean `{near}`?"
    return f"there is no such {what}; known are {', '.join(f'`{n}`' for n in known)}"
