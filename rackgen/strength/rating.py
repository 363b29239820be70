"""The rating: the largest payload for which every check keeps its factor of safety, and what caps it further.

How much of a resistance is used is piecewise smooth in the payload: the first payload at which anything is used up is
bracketed and closed in on, by counted work. What comes back is the lower end of the bracket, so that nothing is over 1.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np

from rackgen.errors import RackgenError
from rackgen.geom.frame import Array
from rackgen.strength.limits import Limit, Loaded
from rackgen.strength.model import Case
from rackgen.strength.rated import Payload, Share, Used

CLOSE = 1e-6
"""A payload is found to this share of itself."""

FIRST = 64.0
"""The first payload that is tried, kg; doubled until something is used up."""

MOST = 65_536.0
"""A frame that still holds this many kg is not loaded by its payload at all."""

BELOW = 3
"""Payloads below the one found that are looked at too, evenly: what is used need not only grow with the load."""

STEPS = 200
"""Steps of the search, far more than it needs; each third one halves the bracket at least."""

State = Literal["moving", "parked"]


@dataclass(frozen=True, eq=False)
class Held:
    """A frame held in one way: as built, or with one clamp loose.

    Attributes:
        words: "" as built, else what is loose: "the U-bolt at ...".
        loaded: gives its forces and movements at a payload, kg.
        limits: its checks.
    """

    words: str
    loaded: Callable[[float], Loaded]
    limits: tuple[Limit, ...]


@dataclass(frozen=True)
class Caps:
    """What a payload is held to besides the structure; kg.

    Attributes:
        limit: of the vehicle's handbook, the rack included; None when it is not known.
        own_mass: of the rack.
        moving: the user's own limit while moving, None for none.
        parked: the same, parked.
        called: what sheets call the handbook's limit.
    """

    limit: float | None
    own_mass: float
    moving: float | None = None
    parked: float | None = None
    called: str = "roof limit"


@dataclass(frozen=True)
class Rated:
    """Ratings.

    Attributes:
        moving: payload while moving.
        parked: payload while parked.
        events: the most used check of each case without payload.
        loose: moving payload with the worst one clamp loose, and which; None where nothing can come loose.
        shares: what is used of every part at every place at the moving structural payload.
    """

    moving: Payload
    parked: Payload
    events: tuple[Used, ...]
    loose: tuple[float, str] | None
    shares: tuple[Share, ...]


def rate(frames: Sequence[Held], cases: Sequence[Case], caps: Caps, *, quick: bool = False) -> Rated:
    """Return the ratings of a frame.

    Args:
        frames: the frame as built first, then with each clamp loose in turn: a case like any other.
        cases: in the order of the frames' `Loaded`.
        caps: the handbook's limit and own limits.
        quick: look for the payloads alone: what is used with a clamp loose is not listed, and no event is looked at.

    Raises:
        RackgenError: no check at all, a state without a case, a check that gives no number, or a payload that no
            check feels.
    """
    if not frames or not frames[0].limits:
        raise RackgenError("strength: without checks there is no rating")
    tables = [_Uses(frame) for frame in frames]
    moving, loose, spots = _state(tables, cases, caps, "moving", quick)
    parked, _, _ = _state(tables, cases, caps, "parked", quick)
    among = [n for n, case in enumerate(cases) if case.state == "event"]
    events = tuple(
        max(_worst(tables[:1], 0.0, [n], cases, among), key=lambda u: u.use) for n in ([] if quick else among)
    )
    shares = tuple(Share(u.parts[0], u.at, u.use) for u in spots if u.parts)
    return Rated(moving, parked, events, loose, shares)


class _Uses:
    """What a frame uses of its resistances, by payload and cases; what was asked for is kept."""

    def __init__(self, frame: Held) -> None:
        self.frame = frame
        self._kept = cache(self._at)

    def at(self, payload: float, columns: Sequence[int]) -> tuple[Array, ...]:
        """Return what every limit's spots use in some cases."""
        return self._kept(payload, tuple(columns))

    def _at(self, payload: float, columns: tuple[int, ...]) -> tuple[Array, ...]:
        # Most of a rating is spent in the checks, and a state has half of the cases or fewer.
        loaded = self.frame.loaded(payload).only(columns)
        out: list[Array] = []
        for limit in self.frame.limits:
            use = np.asarray(limit.use(loaded), dtype=float)
            if use.shape != (len(limit.spots), len(columns)) or np.isnan(use).any():
                raise RackgenError(f"strength: check {limit.id} gives no number for every place and case")
            out.append(use)
        return tuple(out)

    def most(self, payload: float, columns: Sequence[int]) -> float:
        """Return the largest share used among some cases."""
        return max((float(use.max()) for use in self.at(payload, columns) if use.size), default=0.0)

    def used_up(self, payload: float, columns: Sequence[int]) -> Callable[[float], float]:
        """Return the largest share used by payload, of those checks alone that are used up at one."""
        pairs = zip(self.frame.limits, self.at(payload, columns), strict=True)
        over = [limit for limit, use in pairs if use.size and float(use.max()) > 1.0]

        def most(payload: float) -> float:
            loaded = self.frame.loaded(payload).only(columns)
            return max((float(np.asarray(limit.use(loaded)).max()) for limit in over), default=0.0)

        return most

    def largest(self, columns: Sequence[int], first: float = FIRST) -> float:
        """Return the largest payload up to which nothing is used over 1 in some cases, kg; `first` is tried first."""
        return largest(lambda p: self.most(p, columns), lambda p: self.used_up(p, columns), first)


def _state(
    tables: Sequence[_Uses], cases: Sequence[Case], caps: Caps, state: State, quick: bool
) -> tuple[Payload, tuple[float, str] | None, list[Used]]:
    """Return the rating of one state, the payload with the worst clamp loose, and every spot at the structure's."""
    columns = [n for n, case in enumerate(cases) if case.state == state]
    if not columns:
        raise RackgenError(f"strength: there is no case of a {state} load, so there is no {state} rating")
    built = structure = tables[0].largest(columns)
    loose: tuple[float, str] | None = None
    # The clamp that is missed most comes first; most of the others then only need to be looked at once, and of them
    # only what would be used up at the frame's own payload.
    for table in sorted(tables[1:], key=lambda t: -t.most(built, columns)):
        if loose is None or table.used_up(max(built, loose[0]), columns)(loose[0]) > 1.0 + CLOSE:
            loose = table.largest(columns, built), table.frame.words
    if loose is not None:
        structure = min(structure, loose[0])
    if not quick:
        # What eases off with more load may still be over it: then all of it is looked at.
        over = [t for t in tables if structure > 0.0 and t.most(structure, columns) > 1.0 + 2 * CLOSE]
        structure = min([structure, *(t.largest(columns, structure) for t in over)])
    spots = _worst(tables[:1] if quick else tables, structure, columns, cases)
    own = caps.moving if state == "moving" else caps.parked
    rack = structure if own is None else min(structure, own)
    left = None if caps.limit is None else max(0.0, caps.limit - caps.own_mass)
    by = "structure" if own is None or structure <= own else "limit asked for"
    if left is not None and left < rack:
        by = caps.called
    vehicle = None if left is None else min(rack, left)
    return Payload(state, structure, rack, vehicle, by, places(spots)), loose, spots


def largest(
    use: Callable[[float], float],
    narrowed: Callable[[float], Callable[[float], float]] | None = None,
    first: float = FIRST,
) -> float:
    """Return the largest payload up to which nothing is used over 1, kg; 0 when an empty rack is over it.

    Args:
        use: largest share used at a payload.
        narrowed: gives the same of only what is used up at a payload: quicker to ask, and all that can be used up
            first below it unless something eases off on the way, which is looked at afterwards.
        first: payload that is tried first, kg.

    Raises:
        RackgenError: nothing is used up at any payload.
    """
    low, high = 0.0, max(first, 1.0)
    if use(low) > 1.0:
        return 0.0
    while use(high) <= 1.0:
        low, high = high, 2 * high
        if high > MOST:
            raise RackgenError(f"strength: no check is used up at {MOST:.0f} kg; the payload does not reach the frame")
    found = _closed_in(use if narrowed is None else narrowed(high), low, high)
    tried = [*(found * k / BELOW for k in range(BELOW)), found]
    over = next((k for k, p in enumerate(tried) if use(p) > 1.0), None)
    return found if over is None else _closed_in(use, tried[over - 1], tried[over])


def _closed_in(use: Callable[[float], float], low: float, high: float) -> float:
    """Return the lower end of a bracket that was closed in on where `use` passes 1: the Illinois way, with halving."""
    a, b = use(low) - 1.0, use(high) - 1.0
    side = 0
    for step in range(STEPS):
        wide = high - low
        if wide <= CLOSE * high:
            return low
        mid = low + wide / 2 if step % 3 == 2 or not np.isfinite(b) else low - a * wide / (b - a)
        # Never nearer to an end than half of what is asked, so that the other end comes in as well.
        mid = min(max(mid, low + 0.5 * CLOSE * high), high - 0.5 * CLOSE * high)
        c = use(mid) - 1.0
        if c > 0.0:
            high, b = mid, c
            a = a / 2 if side == 1 else a
            side = 1
        else:
            low, a = mid, c
            b = b / 2 if side == -1 else b
            side = -1
    raise RackgenError("strength: the search for the payload does not end")


def _worst(
    tables: Sequence[_Uses],
    payload: float,
    columns: Sequence[int],
    cases: Sequence[Case],
    among: Sequence[int] | None = None,
) -> list[Used]:
    """Return every spot at its worst case among some, and of the frames in which it is checked in the worst.

    Args:
        tables: the frames.
        payload: kg.
        columns: numbers of the cases.
        cases: all of them.
        among: cases that are asked for together, with `columns` in them; None for `columns` alone.
    """
    asked = columns if among is None else among
    places = [list(asked).index(n) for n in columns]
    of: dict[int, list[tuple[Held, Limit, Array]]] = {}
    for table in tables:
        for limit, use in zip(table.frame.limits, table.at(payload, asked), strict=True):
            of.setdefault(id(limit), []).append((table.frame, limit, use[:, places]))
    out: list[Used] = []
    for found in of.values():
        limit = found[0][1]
        each: Array = np.array([use.max(axis=1) for _, _, use in found])
        worst = each.argmax(axis=0)
        for k, spot in enumerate(limit.spots):
            n = int(worst[k])
            frame, _, use = found[n]
            out.append(
                Used(
                    limit.id, limit.title, spot.what, spot.parts, spot.at, cases[columns[int(use[k].argmax())]].id,
                    float(each[n, k]), spot.bears, limit.factor, limit.on, limit.source, limit.tag, spot.keys,
                    frame.words,
                )
            )  # fmt: skip
    return out


def places(used: Iterable[Used]) -> tuple[Used, ...]:
    """Return the worst of each check and place, most used first; a place is its words and its first part."""
    best: dict[tuple[str, str, str], Used] = {}
    for one in used:
        key = (one.limit, one.parts[0] if one.parts else "", one.what)
        if key not in best or one.use > best[key].use:
            best[key] = one
    # Rounded, so that the last bits of equal twins do not settle their order.
    return tuple(sorted(best.values(), key=lambda u: (-round(u.use, 6), u.limit, u.parts, u.what)))
