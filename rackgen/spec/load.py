"""What a rack is asked to carry, and which loads its strength is reckoned for. None leaves a figure to refs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

State = Literal["moving", "parked", "event"]

LAYS = ("even", "front-half", "rear-half", "left-half", "right-half", "long-item")
"""How a load may lie: all over the floor, on one half of it, or as one long item on the cross bars."""

CORNERS = ("front-left", "front-right", "rear-left", "rear-right")

ACTIONS: Mapping[str, str] = MappingProxyType(
    {
        "own-down": "the rack's own weight",
        "own-forward": "the rack's own mass thrown forward with 1 g; a negative factor throws it rearward",
        "own-sideways": "the rack's own mass thrown to the right with 1 g; a negative factor throws it left",
        "payload-even": "1 kg of load, even over the floor",
        "payload-front-half": "1 kg of load, even over the front half of the floor",
        "payload-rear-half": "1 kg of load, even over the rear half of the floor",
        "payload-left-half": "1 kg of load, even over the left half of the floor",
        "payload-right-half": "1 kg of load, even over the right half of the floor",
        "payload-long-item": "1 kg of one long item, on the middle of every cross bar alike",
        "payload-forward": "1 kg of load thrown forward with 1 g at the height of its centre; negative: rearward",
        "payload-sideways": "1 kg of load thrown to the right with 1 g at the height of its centre; negative: left",
        "person-middle": "1 kN of a person who stands on the middle of the floor",
        **{f"person-on-{c}": f"1 kN of a person who stands on the {c.replace('-', ' ')} corner" for c in CORNERS},
        **{
            f"person-pulls-{c}": f"1 kN of a person's pull out and down at the {c.replace('-', ' ')} corner"
            for c in CORNERS
        },
        "person-ladder": "1 kN of a person on a rear ladder, on its clamps alike, and what its feet pull them aft with",
        "straps": "1 kN straight up at every place for a strap, pressed onto the floor by the load",
        "wind-tubes": "head wind of 1 Pa on the tubes",
        "wind-load": "head wind of 1 Pa on the load's front",
        "lift-load": "lift of 1 Pa on the load, seen from above",
    }
)
"""What may act, each at the unit size that its words say; `payload-` ones are per kg of what is rated."""

STANDARD: Mapping[str, State] = MappingProxyType(
    {
        **{f"parked-{lay}": "parked" for lay in LAYS},
        **{f"road-{lay}": "moving" for lay in LAYS},
        **{f"rough-{lay}": "moving" for lay in LAYS},
        **dict.fromkeys(("brake", "accelerate", "corner-left", "corner-right", "rebound", "wind"), "moving"),
        **dict.fromkeys(("lift", "straps", "person-middle"), "event"),
        **{f"person-{does}-{corner}": "event" for does in ("on", "pulls") for corner in CORNERS},
        "person-on-ladder": "event",
    }
)
"""The cases that every rack is held against, and their states; besides them one `tie-...` for each place of a strap."""

GROUPS = ("parked", "road", "rough", "corner", "tie", "person", "person-on", "person-pulls")
"""Beginnings of ids that stand for all cases that begin so."""


@dataclass(frozen=True)
class LoadCase:
    """A case that the user adds, or what is changed of a standard one.

    Attributes:
        id: short; that of a standard case changes it.
        title: in words; None keeps a standard one's.
        state: None keeps a standard one's.
        factors: action and factor; () keeps a standard one's.
        source: where its figures are from, in the user's words.
    """

    id: str
    title: str | None = None
    state: State | None = None
    factors: tuple[tuple[str, float], ...] = ()
    source: str = "the rack's file"


@dataclass(frozen=True)
class LoadWish:
    """What the rack is to carry, and how it is driven.

    Attributes:
        moving: most that the user means to carry while moving, kg.
        parked: the same parked, kg.
        centre_height: of the load's centre over the floor, mm.
        rough_track: whether rough track is driven.
        road: vertical factor on a road, g.
        rough: the same on rough track, g.
        rebound: upward, g.
        speed: km/h.
        head_wind: that blows against it, km/h.
        load_width: across, of a bluff load, mm.
        load_height: of it over the floor, mm.
        load_length: fore and aft, mm.
        long_item: share of the load that one long item on the cross bars may be.
        person: mass of one, kg.
        strap_pull: what a strap is pulled with, kg of force.
        cases: added or changed.
        without: ids or groups of standard cases that are left out.
    """

    moving: float | None = None
    parked: float | None = None
    centre_height: float | None = None
    rough_track: bool = True
    road: float | None = None
    rough: float | None = None
    rebound: float | None = None
    speed: float | None = None
    head_wind: float | None = None
    load_width: float | None = None
    load_height: float | None = None
    load_length: float | None = None
    long_item: float | None = None
    person: float | None = None
    strap_pull: float | None = None
    cases: tuple[LoadCase, ...] = ()
    without: tuple[str, ...] = ()


def within(id: str, entry: str) -> bool:
    """Return whether a case is meant by an entry of `without`: its own id, or the group that it is of."""
    return id == entry or (entry in GROUPS and id.startswith(f"{entry}-"))
