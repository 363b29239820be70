"""Where on a side fittings go: as told, or the usual places moved to the nearest that is free."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

from rackgen.design.fittings.host import Host, host
from rackgen.design.site import Site
from rackgen.errors import BadInput, Finding, Level, Mistake
from rackgen.geom.frame import Vec
from rackgen.parts.rack import PartId
from rackgen.spec.fittings import Carrier, Side


def refused(site: Site, entry: int, key: str, wanted: str) -> BadInput:
    """Return the refusal of one key of a fitting."""
    return BadInput([Mistake(site.spec.name, f"fitting[{entry}].{key}", 0, "", wanted)])


def hosted(site: Site, entry: int, on: Carrier, side: Side) -> Host:
    """Return a side of the frame or of a ring.

    Raises:
        BadInput: no tube runs along that side.
    """
    found = host(site, on, side)
    if found is None:
        sides: tuple[Side, ...] = ("front", "rear", "left", "right")
        others = [s for s in sides if host(site, on, s) is not None]
        offers = " or ".join(f'"{s}"' for s in others) or "none"
        raise refused(site, entry, "side", f"no tube of the {on} runs along its {side}; sides with one: {offers}")
    return found


def roomiest(
    site: Site, entry: int, on: Carrier | None, usual: Carrier, side: Side, at: Sequence[float] | None, half: float,
    places: Callable[[Host], Sequence[float]], *ways: Callable[[Host], Vec],
) -> Host:  # fmt: skip
    """Return the side that a fitting goes on: as told, else of the usual tube, or a ring where a deflector is.

    Args:
        site: the site.
        entry: number of the fitting.
        on: what is told, or None.
        usual: what it goes on where nothing is told.
        side: of the rack.
        at: the places that are told, or None.
        half: half of what is welded there, along the tube, mm.
        places: the usual places on a side.
        ways: from the tube's axis to where it is welded, by the side.

    Raises:
        BadInput: no tube runs along that side.
    """

    def here(carrier: Carrier) -> Host:
        found = hosted(site, entry, carrier, side)
        return found.touched(*(way(found) for way in ways))

    rings: dict[str, Carrier] = {"basket": "upper ring", "tray": "lower ring"}
    ring = rings.get(site.spec.basket.kind)
    first = here(on or usual)
    behind = any("deflector" in first.blocked(y, half) for y in (places(first) if at is None else at))
    if on is not None or ring is None or not behind:
        return first
    room = [first.nearest_free(y, half) for y in places(first)] if at is None else []
    return first if room and None not in room and len(set(room)) == len(room) else here(ring)


def placed(
    site: Site, entry: int, here: Host, at: Sequence[float] | None, usual: Sequence[float], half: float
) -> tuple[float, ...]:
    """Return where the pieces of a fitting go on a side, in order; mm.

    Args:
        site: the site.
        entry: number of the fitting.
        here: the side.
        at: the places that are told, or None.
        usual: places to begin from where none are told.
        half: half of what is welded there, along the tube.

    Raises:
        BadInput: a place that is told lies off the tube or on a bend, all of them at once; or no usual place is free.
    """
    if at is None:
        found: list[float] = []
        for one in usual:
            near = here.nearest_free(one, half)
            if near is not None and all(abs(near - f) >= 2 * half for f in found):
                found.append(near)
        if not found:
            raise refused(
                site, entry, "side",
                f"{here.called} has no straight free for {2 * half:.0f} mm; choose another side"
                f"{_or_narrower(here, usual)}",
            )  # fmt: skip
        return tuple(sorted(found))
    wrong = [_off(site, entry, here, one, half) for one in at if here.over(one, half) is None]
    if wrong:
        raise BadInput(wrong)
    return tuple(sorted(at))


def _or_narrower(here: Host, places: Sequence[float]) -> str:
    """Return one cure more where an air deflector takes the places."""
    behind = any("deflector" in here.blocked(y, 0.0) for y in places)
    return ", or make the air deflector narrower" if behind else ""


def _off(site: Site, entry: int, here: Host, at: float, half: float) -> Mistake:
    low, high = here.stretches[0].low, here.stretches[-1].high
    if not low <= at <= high:
        where = "past the straight of"
    elif any(s.low <= at <= s.high for s in here.stretches):
        where = "too near a bend, a butt or the end of"
    else:
        where = "on a bend of"
    near = here.nearest_free(at, half)
    cure = "no place on it has room" if near is None else f"the nearest good place is {near:.0f} mm"
    return Mistake(
        site.spec.name, f"fitting[{entry}].at", 0, "",
        f"{at:.0f} mm is {where} {here.called}, which is straight from {low:.0f} to {high:.0f} mm of the middle, and "
        f"{2 * half:.0f} mm wide are needed; {cure}",
    )  # fmt: skip


def on_something(
    entry: int, here: Host, at: Sequence[float], half: float, name: Callable[[int], PartId], word: str
) -> list[Finding]:
    """Return a stop for every piece that stands on a weld or a clamp, or on its neighbour.

    Args:
        entry: number of the fitting.
        here: the side.
        at: its places, in order.
        half: half of what is welded there, along the tube, mm.
        name: gives the id of a piece by its number from 1.
        word: what the shop calls it.
    """
    out: list[Finding] = []
    for k, one in enumerate(at, 1):
        if here.is_free(one, half):
            continue
        near = here.nearest_free(one, half)
        cure = f"put it at {near:.0f} mm" if near is not None else f"choose another side{_or_narrower(here, [one])}"
        out.append(
            Finding(
                "fitting-on-weld", Level.STOP, (name(k),),
                f"{word} {name(k)} at {one:.0f} mm of {here.called} stands on {here.blocked(one, half)}, or leaves no "
                "room beside it",
                at=(stretch.point(one) if (stretch := here.over(one, half)) is not None else None),
                keys=(f"fitting[{entry}].at",), help=cure,
            )
        )  # fmt: skip
    for k, (a, b) in enumerate(itertools.pairwise(at), 1):
        if b - a < 2 * half:
            out.append(
                Finding(
                    "fittings-close", Level.STOP, (name(k), name(k + 1)),
                    f"{word} {name(k)} and the next are {b - a:.0f} mm apart and {2 * half:.0f} mm wide",
                    got=b - a, limit=2 * half, keys=(f"fitting[{entry}].at",),
                    help=f"put them {2 * half:.0f} mm apart or more",
                )
            )  # fmt: skip
    return out
