"""Tables of the strength report, in the shop's unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rackgen.parts.marks import Mark, marks
from rackgen.parts.rack import PartId, Rack
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import POUND, load_down
from rackgen.spec.load import GROUPS, within
from rackgen.strength.model import Case
from rackgen.strength.most_used import TEN, most_used
from rackgen.strength.rated import CrackPlace, Payload, Strength, Used
from rackgen.strength.shop_words import in_shop_words, stress
from rackgen.units import Unit

TAGS: Mapping[str, str] = {
    "seen": "seen in a public text",
    "memory": "from memory",
    "practice": "practice of the trade",
    "computed": "computed",
    "assumed": "assumed",
}

Marks = Mapping[PartId, Mark]


def share(use: float) -> str:
    """Return a share used in whole per cent."""
    return f"{100 * use:.0f}%" if use < 9.995 else "over 999%"


def rating(kg: float, unit: Unit) -> str:
    """Return a rating rounded down to whole kilograms or pounds; what was found lies just below the true one."""
    return load_down(kg, unit)


def ratings_table(found: Strength, unit: Unit) -> Table:
    """Return what may be carried, moving and parked."""
    columns = (
        Column("state", ""),
        Column("structure", "by the structure alone", True),
        Column("rack", "the rack is rated", True),
        Column("vehicle", "on this vehicle", True),
        Column("by", "set by"),
    )
    rows = tuple(
        (
            p.state,
            rating(p.structure, unit),
            rating(p.rack, unit),
            "not known" if p.vehicle is None else rating(p.vehicle, unit),
            p.by,
        )
        for p in (found.moving, found.parked)
    )
    notes = ["of load, the rack's own weight not counted in; rounded down"]
    if found.moving.vehicle is None:
        notes.append(
            f"on this vehicle: not known, since its {found.limit_words} is not; look it up before anything is loaded"
        )
    else:
        notes.append(
            f"on this vehicle: no more than the handbook's {found.limit_words} less the rack's own weight. The limit "
            "is for a moving vehicle; it is kept to parked as well, where the handbook may allow more"
        )
    return Table("rating", "What it may carry", columns, rows, tuple(notes))


def cases_table(found: Strength, unit: Unit) -> Table:
    """Return the load cases with where their figures are from."""
    columns = (
        Column("case", "case"),
        Column("state", "rated as"),
        Column("title", "what acts"),
        Column("source", "source"),
        Column("assumed", "assumed in it"),
    )
    alike: dict[tuple[str, ...], list[Case]] = {}
    for case in found.model.cases:
        alike.setdefault((group_of(case.id), case.state, case.source, case.assumed), []).append(case)
    rows = tuple(
        (
            named[0].id if len(named) == 1 else f"{key[0]}-...",
            key[1],
            in_shop_words(named[0].title, unit) + (f" (and {len(named) - 1} more like it)" if len(named) > 1 else ""),
            *(in_shop_words(text, unit) for text in key[2:]),
        )
        for key, named in alike.items()
    )
    return Table("cases", "Load cases", columns, rows)


def group_of(case: str) -> str:
    """Return the group of cases that one is of, its own id where it is of none."""
    return next((g for g in sorted(GROUPS, key=len, reverse=True) if within(case, g)), case)


USED = (
    Column("number", "no.", True),
    Column("use", "used", True),
    Column("place", "where"),
    Column("parts", "mark"),
    Column("check", "check"),
    Column("case", "case"),
    Column("bears", "bears, before the factor"),
    Column("factor", "factor", True),
)


def used_table(state: Payload, of: Marks, unit: Unit, count: int = TEN) -> Table:
    """Return the most used checks of a state, ten unless fewer are asked for, numbered as on the drawing."""
    rows = tuple(
        (
            str(n), share(u.use), in_shop_words(u.what, unit), named(u.parts, of), u.title,
            u.case + (f", {u.loose} loose" if u.loose else ""), in_shop_words(u.bears, unit), f"{u.factor:.2f}",
        )
        for n, u in enumerate(most_used(state.used, count), start=1)
    )  # fmt: skip
    note = (
        f"at {rating(state.structure, unit)} {state.state}, the most by the structure; 100 % is all the factor leaves"
    )
    return Table(f"used-{state.state}", f"Most used checks, {state.state}", USED, rows, (note,))


def checks_table(found: Strength | None, rack: Rack, unit: Unit) -> Table:
    """Return the ten most used checks of both states as one table; without rows where nothing was rated."""
    columns = (Column("state", "rated as"), *USED, Column("source", "source"), Column("figures", "figures"))
    rows: list[tuple[str, ...]] = []
    if found is not None:
        of = marks(rack)
        for state in (found.moving, found.parked):
            for row, u in zip(used_table(state, of, unit).rows, most_used(state.used), strict=True):
                rows.append((state.state, *row, in_shop_words(once(u.source), unit), TAGS.get(u.tag, u.tag)))
    return Table("strength", "Most used checks", columns, tuple(rows))


def named(parts: Sequence[PartId], of: Marks) -> str:
    """Return the marks of parts, each once."""
    return " ".join(dict.fromkeys(of[p] for p in parts if p in of))


def events_table(found: Strength, of: Marks, unit: Unit) -> Table:
    """Return what a person, a strap, wind and the like use of an empty rack: the worst of each group of cases."""
    columns = (
        Column("case", "case"),
        Column("title", "what acts"),
        Column("use", "used", True),
        Column("place", "where"),
        Column("parts", "mark"),
        Column("check", "check"),
    )
    titles = {c.id: c.title for c in found.model.cases}
    rows = tuple(
        (
            e.case,
            in_shop_words(titles[e.case], unit),
            share(e.use),
            in_shop_words(e.what, unit),
            named(e.parts, of),
            e.title,
        )
        for e in worst_events(found.events)
    )
    built = EVENTS if clamps(found) else "reckoned as built"
    notes = (built, "the worst of each kind; over 100 % do not do it")
    return Table("events", "Without load on it", columns, rows, notes)


def clamps(found: Strength) -> int:
    """Return how many clamps hold a basket on its frame: none where there is no basket."""
    return sum(m.kind == "clamp" for m in found.model.members)


EVENTS = "reckoned as built: with every U-bolt tight, none loose as for the ratings"


def too_much(found: Strength, unit: Unit) -> tuple[str, ...]:
    """Return what an empty rack does not bear, the worst of each kind in words with the share that it uses."""
    titles = {c.id: c.title for c in found.model.cases}
    return tuple(
        f"{in_shop_words(titles[e.case], unit)}: {share(e.use)} of what its checks allow"
        for e in worst_events(found.events)
        if e.use > 1.0
    )


def worst_events(events: Sequence[Used]) -> tuple[Used, ...]:
    """Return the most used event of each group of cases, most used first."""
    best: dict[str, Used] = {}
    for event in events:
        group = group_of(event.case)
        if group not in best or event.use > best[group].use:
            best[group] = event
    return tuple(sorted(best.values(), key=lambda e: (-round(e.use, 6), e.case)))


def gains_table(found: Strength, unit: Unit) -> Table:
    """Return what was tried and what it gave."""
    columns = (
        Column("what", "change"),
        Column("moving", "moving", True),
        Column("gain", "gain", True),
        Column("parked", "parked", True),
        Column("added", "weight", True),
        Column("keys", "key"),
    )
    rows = tuple(
        (
            in_shop_words(g.what, unit), rating(g.moving, unit), _signed(g.moving - found.moving.structure, unit),
            rating(g.parked, unit), _signed(g.added, unit, 1), ", ".join(g.keys),
        )
        for g in found.gains
    )  # fmt: skip
    note = (
        "by the structure alone, each change designed and reckoned anew by itself; the handbook's limit and other caps "
        "stand"
    )
    return Table("gains", "What to change to gain most", columns, rows, (note,))


def _signed(kg: float, unit: Unit, places: int = 0) -> str:
    """Return a difference with its sign."""
    value, name = (kg, "kg") if unit == "mm" else (kg / POUND, "lb")
    value = round(value, places) + 0.0
    return f"{value:+.{places}f} {name}" if value else f"0 {name}"


def cracks_table(cracks: Sequence[CrackPlace], of: Marks, unit: Unit) -> Table:
    """Return the places to inspect for cracks, worst first."""
    columns = (
        Column("place", "place"),
        Column("parts", "mark"),
        Column("range", "stress range", True),
        Column("category", "detail category", True),
        Column("against", "against it"),
        Column("source", "source"),
    )
    rows = tuple(
        (
            in_shop_words(c.what, unit), named(c.parts, of), stress(c.range, unit), stress(c.category, unit),
            "OVER" if c.range > c.category else "under", c.source,
        )
        for c in cracks
    )  # fmt: skip
    note = "a screen, not a life: for ±1 g on a rough track, against the low end of the category; nothing is promised"
    over = (
        "OVER its category: by the standard it bears fewer than two million such bumps; look there first and most often"
    )
    return Table("cracks", "Inspect for cracks", columns, rows, (note, over))


def sources_table(found: Strength, unit: Unit) -> Table:
    """Return every check that was made: how often, its factor, where its formula and figures are from.

    Sources are numbered, for most of them stand behind several checks; each is told once, below the rows.
    """
    columns = (
        Column("check", "check"),
        Column("places", "places", True),
        Column("factor", "factor", True),
        Column("on", "on"),
        Column("tag", "figures"),
        Column("source", "sources"),
    )
    first: dict[str, Used] = {}
    count: dict[str, int] = {}
    for u in sorted(found.moving.used, key=lambda u: u.limit):
        first.setdefault(u.limit, u)
        count[u.limit] = count.get(u.limit, 0) + 1
    numbers: dict[str, int] = {}
    for u in first.values():
        for source in parted(u.source):
            numbers.setdefault(source, len(numbers) + 1)
    rows = tuple(
        (
            u.title, str(count[k]), f"{u.factor:.2f}", u.on, TAGS.get(u.tag, u.tag),
            ", ".join(str(numbers[source]) for source in parted(u.source)),
        )
        for k, u in first.items()
    )  # fmt: skip
    notes = tuple(f"{n}: {in_shop_words(source, unit)}" for source, n in numbers.items())
    return Table("checks", "Checks made", columns, rows, notes)


def once(source: str) -> str:
    """Return sources parted by semicolons, each once."""
    return "; ".join(parted(source))


def parted(source: str) -> tuple[str, ...]:
    """Return sources parted by semicolons, each once; one that is partly from memory only as that."""
    parts = tuple(dict.fromkeys(part.strip() for part in source.split(";")))
    return tuple(part for part in parts if f"{part}{MEMORY}" not in parts)


MEMORY = " (from memory)"
