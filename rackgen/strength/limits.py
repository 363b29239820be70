"""What every check of strength is made of: a place, what it can bear, and how much of that is used.

A `Limit` is one kind of check at many places of one frame. It gets the forces of every case at once and says how much
of its resistance each place uses; 1 is all that its factor of safety leaves.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rackgen.geom.frame import Array, Vec
from rackgen.parts.rack import PartId


@dataclass(frozen=True, eq=False)
class Loaded:
    """Forces and movements of a frame under all of its cases at one payload.

    Attributes:
        payload: kg.
        ends: on the members, in the model's order: (members, 2 ends, 6, cases), N and N·mm in member axes: of the node
            on the member.
        supports: of the vehicle on the frame: (supports, 6, cases), in the support's axes.
        moved: of the nodes: (nodes, 6, cases), mm and rad, vehicle axes.
    """

    payload: float
    ends: Array
    supports: Array
    moved: Array

    def only(self, cases: Sequence[int]) -> Loaded:
        """Return the same of some of its cases, by their numbers, in the order asked for."""
        of = list(cases)
        return Loaded(self.payload, self.ends[..., of], self.supports[..., of], self.moved[..., of])


@dataclass(frozen=True)
class Spot:
    """One place that is checked.

    Attributes:
        what: in a fabricator's words: "leg of the frame at the front bend".
        parts: ids, the checked one first.
        at: vehicle frame, mm.
        bears: what it can bear before the factor of safety, in words with its unit.
        keys: preset keys that would change it.
    """

    what: str
    parts: tuple[PartId, ...]
    at: Vec
    bears: str
    keys: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Limit:
    """One kind of check at many places.

    Attributes:
        id: short, stable: "tube-combined".
        title: in words.
        factor: of safety that is in it.
        on: what the factor stands on: "yield", "tensile strength", "deflection" ...
        source: of formula and figures.
        tag: "seen", "memory", "practice", "computed" or "assumed", the weakest of its figures.
        spots: the places.
        use: gives (spots, cases): share of the resistance used, the factor included; 1 is all.
    """

    id: str
    title: str
    factor: float
    on: str
    source: str
    tag: str
    spots: tuple[Spot, ...]
    use: Callable[[Loaded], Array]
