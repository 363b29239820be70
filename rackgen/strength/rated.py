"""What a rating says: how much may be carried, what sets it, and what is not known. Pure records; masses in kg."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.geom.frame import Vec
from rackgen.parts.rack import PartId
from rackgen.strength.limits import Loaded
from rackgen.strength.model import FrameModel


@dataclass(frozen=True)
class Used:
    """One check at its worst place and case.

    Attributes:
        limit: id of its `Limit`.
        title: of the limit.
        what: the place, in a fabricator's words.
        parts: ids, the checked one first.
        at: vehicle frame, mm.
        case: id of the case that uses most.
        use: share of the resistance used there, factor of safety included.
        bears: what the place can bear before the factor, in words.
        factor: of safety.
        on: what the factor stands on.
        source: of formula and figures.
        tag: how far they may be trusted.
        keys: preset keys that would change it.
        loose: what is loose where it is used so: "the U-bolt at ..."; "" on the rack as built.
    """

    limit: str
    title: str
    what: str
    parts: tuple[PartId, ...]
    at: Vec
    case: str
    use: float
    bears: str
    factor: float
    on: str
    source: str
    tag: str
    keys: tuple[str, ...]
    loose: str = ""


@dataclass(frozen=True)
class Share:
    """How much is used of one part at one place, vehicle frame, mm."""

    part: PartId
    at: Vec
    use: float


@dataclass(frozen=True)
class Payload:
    """The rating of one state, moving or parked.

    Attributes:
        state: "moving" or "parked".
        structure: largest payload for which every check keeps its factor, before any cap; 0 when none does.
        rack: the same, never more than the user's own limit: what the rack itself is rated for.
        vehicle: never more than the handbook's limit less the rack's own mass either; None when that is unknown.
        by: what sets it: "structure", "roof limit", "bed limit" or "limit asked for".
        used: at `structure`, every check at every place, most used first.
    """

    state: str
    structure: float
    rack: float
    vehicle: float | None
    by: str
    used: tuple[Used, ...]


@dataclass(frozen=True)
class Gain:
    """One change that was tried: what, the preset keys, and the payloads it gives, kg; mass it adds, kg."""

    what: str
    keys: tuple[str, ...]
    moving: float
    parked: float
    added: float


@dataclass(frozen=True)
class CrackPlace:
    """A place to inspect for cracks: stress range there against its detail category, both MPa."""

    what: str
    parts: tuple[PartId, ...]
    at: Vec
    range: float
    category: float
    source: str


@dataclass(frozen=True)
class Strength:
    """Everything that a report of strength says.

    Attributes:
        model: the frame, with its actions and cases.
        own_mass: of the rack as the model has it, kg.
        moving: rating of the moving load.
        parked: rating of the parked load.
        events: most used check of every case without payload that is rated by itself (a person, a pull, wind).
        loose: payload moving with the worst one U-bolt loose, and which; None where there are none.
        frequency: first natural frequency with the moving rating on, Hz; None without mass.
        vortex: sentence on vortex shedding of the leading tube.
        cracks: places to inspect, worst first.
        gains: changes tried, best first.
        assumptions: figures that are assumed or from memory, a sentence each.
        at_rating: forces and movements at the moving structural payload.
        shares: what is used there of every part at every place, for drawings.
        tried: how many changes were tried.
        stands_on: what the handbook's limit is one of.
    """

    model: FrameModel
    own_mass: float
    moving: Payload
    parked: Payload
    events: tuple[Used, ...]
    loose: tuple[float, str] | None
    frequency: float | None
    vortex: str
    cracks: tuple[CrackPlace, ...]
    gains: tuple[Gain, ...]
    assumptions: tuple[str, ...]
    at_rating: Loaded
    shares: tuple[Share, ...] = ()
    tried: int = 0
    stands_on: Literal["roof", "bed"] = "roof"

    @property
    def limit_words(self) -> str:
        """What sheets call the handbook's limit."""
        return f"{self.stands_on} limit"

    @property
    def limit_key(self) -> str:
        """Key of the vehicle's file."""
        return f"{self.stands_on}_limit"
