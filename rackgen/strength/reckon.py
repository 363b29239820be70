"""How much a rack carries, from the rack to the report's numbers: model, loads, forces, checks, rating."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from rackgen.errors import FreeError
from rackgen.geom.frame import Array
from rackgen.parts.handbook import handbook_limit
from rackgen.parts.kinds import Bought, UBoltShape
from rackgen.parts.measure import mass
from rackgen.parts.names import part_name
from rackgen.parts.rack import Rack
from rackgen.spec.load import LoadWish
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.actions import actions
from rackgen.strength.cases import cases
from rackgen.strength.checks import all_limits, assumptions
from rackgen.strength.fatigue import crack_places
from rackgen.strength.frame_model import frame_model
from rackgen.strength.frequency import first_frequency, node_masses, vortex
from rackgen.strength.limits import Limit, Spot
from rackgen.strength.load_nodes import split_for_load
from rackgen.strength.loosened import loosened
from rackgen.strength.model import FrameModel, Member
from rackgen.strength.rated import Strength
from rackgen.strength.rating import Caps, Held, Rated, rate
from rackgen.strength.solve import Answer, solve


@dataclass(frozen=True, eq=False)
class Reckoned:
    """A rating and what it was reckoned from.

    Attributes:
        model: the frame with its loads.
        answer: its forces.
        limits: its checks.
        own_mass: of the rack, kg.
        rated: the rating.
    """

    model: FrameModel
    answer: Answer
    limits: tuple[Limit, ...]
    own_mass: float
    rated: Rated


def loaded_model(rack: Rack, vehicle: Vehicle, wish: LoadWish) -> FrameModel:
    """Return the rack as beams with everything that may act on it and every case.

    Raises:
        RackgenError: nothing of the frame carries load, or a case needs what the rack has no place for.
    """
    model = split_for_load(frame_model(rack, vehicle))
    model = replace(model, actions=actions(model, wish))
    return replace(model, cases=cases(wish, model))


def reckon(rack: Rack, vehicle: Vehicle, shop: Shop, wish: LoadWish, *, quick: bool = False) -> Reckoned:
    """Return a rack's rating, any one U-bolt loose as a case; quick for the payloads alone.

    Raises:
        FreeError: something of the rack moves freely, named part by part.
        RackgenError: what something bears is not known, or the load cannot be laid on it.
    """
    model = loaded_model(rack, vehicle, wish)
    answer = solve(model)
    limits = all_limits(model, rack, vehicle, shop)
    own = sum(mass(p.part) for p in rack.placed)
    frames = (Held("", answer.loaded, limits), *_loose(answer, limits, rack))
    limit = handbook_limit(rack, vehicle)
    caps = Caps(limit.kg, own, wish.moving, wish.parked, limit.words)
    rated = rate(frames, model.cases, caps, quick=quick)
    return Reckoned(model, answer, limits, own, rated)


def strength(rack: Rack, vehicle: Vehicle, shop: Shop, wish: LoadWish) -> Strength:
    """Return everything that the report says, no change tried yet.

    Raises:
        FreeError: something of the rack moves freely, named part by part.
        RackgenError: what something bears is not known, or the load cannot be laid on it.
    """
    found = reckon(rack, vehicle, shop, wish)
    model, answer, rated = found.model, found.answer, found.rated
    structure = rated.moving.structure
    return Strength(
        model,
        found.own_mass,
        rated.moving,
        rated.parked,
        rated.events,
        rated.loose,
        first_frequency(answer.frame.moved, node_masses(model, structure)),
        vortex(model, rack),
        crack_places(model, rack, _still(answer, structure)),
        (),
        assumptions(model.cases, found.limits, vehicle),
        answer.loaded(structure),
        rated.shares,
        stands_on=handbook_limit(rack, vehicle).on,
    )


def _still(answer: Answer, payload: float) -> Array:
    """Return the end forces under 1 g of rack and load even over the floor, (members, 2, 6)."""
    share = {"own-down": 1.0, "payload-even": payload}
    return answer.ends @ np.array([share.get(action.id, 0.0) for action in answer.model.actions])


def _loose(answer: Answer, limits: tuple[Limit, ...], rack: Rack) -> Iterator[Held]:
    """Yield the frame with each U-bolt loose in turn; where that lets something go, no load is held at all."""
    places = {p.id: p for p in rack.placed if isinstance(p.part, Bought) and isinstance(p.part.shape, UBoltShape)}
    for member in answer.model.members:
        bolt = places.get(member.part)
        if member.kind != "clamp" or bolt is None:
            continue
        words = _bolt_words(bolt.id)
        try:
            yield Held(words, loosened(answer, member.id).loaded, limits)
        except FreeError:
            yield Held(words, answer.loaded, (*limits, _lost(member, words, bolt.frame.origin)))


def _bolt_words(bolt: str) -> str:
    return f"the {part_name('U-bolt', bolt)}"


def _lost(member: Member, words: str, at: tuple[float, float, float]) -> Limit:
    """Return the check that nothing passes: with this clamp loose the basket is free."""
    spot = Spot("basket on its clamps", (member.part,), at, "nothing, with one of them loose", ("basket.pads",))
    return Limit(
        "clamps-alone", "clamps that hold with one loose", 1.0, "at least two U-bolts a pad", f"{words} is loose",
        "practice", (spot,), lambda loaded: np.full((1, loaded.ends.shape[-1]), 1e3),
    )  # fmt: skip
