"""Every check of a frame, part by part, and what of their figures is assumed or from memory."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rackgen.parts.rack import Rack
from rackgen.refs.registry import number
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.joint_limits import joint_limits
from rackgen.strength.limits import Limit
from rackgen.strength.member_limits import member_limits
from rackgen.strength.model import Case, FrameModel

WEAK = {"memory": "from memory", "assumed": "assumed", "practice": "practice of the trade, no source"}
"""Tags that a report warns of."""

FIGURES = "At least one figure"
"""How what is said of figures begins, unlike what is assumed of loads and of the body."""


def all_limits(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Limit, ...]:
    """Return every check of a frame: members, walls under branches, movement, welds, fasteners and skin.

    Raises:
        RackgenError: what something bears is not known: a grade, a rivet, what a mount goes into.
    """
    found = (*member_limits(model, rack, shop), *joint_limits(model, rack, vehicle, shop))
    return tuple(limit for limit in found if limit.spots)


def assumptions(cases: Sequence[Case], limits: Sequence[Limit], vehicle: Vehicle) -> tuple[str, ...]:
    """Return what a rating stands on without having been seen or measured, a sentence each: loads, skin, checks."""
    out: list[str] = []
    for words in dict.fromkeys(case.assumed for case in cases if case.assumed):
        ids = [case.id for case in cases if case.assumed == words]
        out.append(f"Cases {_few(ids)}: {words}.")
    names = ("skin-in-plane", *(f"skin-span-{u}" for u in sorted({m.under for m in (*vehicle.front, *vehicle.rear)})))
    for name in names:
        found = number(name)
        out.append(f"{found.text[0].upper()}{found.text[1:]}: {found.value:g} {found.unit}, {found.tag}.")
    for tag, words in WEAK.items():
        titles = dict.fromkeys(limit.title for limit in limits if limit.tag == tag)
        if titles:
            out.append(f"{FIGURES} {words}, each named in the table of checks: {'; '.join(titles)}.")
    return tuple(dict.fromkeys(out))


def _few(ids: Iterable[str]) -> str:
    """Return ids as a list, the first few where there are many."""
    listed = list(ids)
    return ", ".join(listed) if len(listed) <= 4 else f"{', '.join(listed[:3])} and {len(listed) - 3} more"
