"""The rating as a record of plain numbers, for JSON: what the report says, without the model behind it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rackgen.strength.most_used import most_used
from rackgen.strength.rated import CrackPlace, Gain, Payload, Strength, Used


@dataclass(frozen=True)
class CaseLine:
    """A load case in words."""

    id: str
    title: str
    state: str
    source: str
    assumed: str


@dataclass(frozen=True)
class Summary:
    """What a rating says; masses in kg.

    Attributes:
        own_mass: of the rack.
        moving: rating, its ten most used checks with it.
        parked: the same, parked.
        events: most used check of every case without payload.
        loose_payload: moving, with the worst one U-bolt loose; None where there are none.
        loose: which.
        frequency: first natural frequency with the moving structural payload, Hz.
        vortex: on the hum of the leading tube.
        cracks: places to inspect.
        gains: changes tried.
        cases: load cases.
        assumptions: a sentence each.
    """

    own_mass: float
    moving: Payload
    parked: Payload
    events: tuple[Used, ...]
    loose_payload: float | None
    loose: str
    frequency: float | None
    vortex: str
    cracks: tuple[CrackPlace, ...]
    gains: tuple[Gain, ...]
    cases: tuple[CaseLine, ...]
    assumptions: tuple[str, ...]


def summary(found: Strength) -> Summary:
    """Return a strength's record."""
    payload, which = (None, "") if found.loose is None else found.loose
    return Summary(
        found.own_mass,
        replace(found.moving, used=most_used(found.moving.used)),
        replace(found.parked, used=most_used(found.parked.used)),
        found.events,
        payload,
        which,
        found.frequency,
        found.vortex,
        found.cracks,
        found.gains,
        tuple(CaseLine(c.id, c.title, c.state, c.source, c.assumed) for c in found.model.cases),
        found.assumptions,
    )
