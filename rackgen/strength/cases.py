"""Which loads come together: standard cases, each with its source and what of it is assumed, and the user's own.

Rough track is driven unless the wish says no; the road's uneven lays are then left out, for they are the rough track's
with a smaller factor on everything.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from rackgen.errors import RackgenError
from rackgen.refs.registry import number
from rackgen.spec.load import CORNERS, LAYS, STANDARD, LoadCase, LoadWish, State, within
from rackgen.strength.actions import UNIT, centre_height
from rackgen.strength.air import pressure
from rackgen.strength.model import GRAVITY, Case, FrameModel

Factors = tuple[tuple[str, float], ...]

LAY_WORDS: Mapping[str, str] = {
    "even": "load even over the floor",
    "front-half": "load on the front half",
    "rear-half": "load on the rear half",
    "left-half": "load on the left half",
    "right-half": "load on the right half",
    "long-item": "one long item on the cross bars",
}

STILL: Factors = (("own-down", 1.0),)
EVEN: Factors = (("payload-even", 1.0),)


@dataclass(frozen=True)
class _Figure:
    """A figure of a case: the user's own, or from refs with what is said of it when it is an assumption."""

    value: float
    assumed: str = ""


def cases(wish: LoadWish, model: FrameModel) -> tuple[Case, ...]:
    """Return every case that a frame is held against.

    Args:
        wish: what the rack is to carry and how it is driven, with cases added, changed and left out.
        model: the frame: which places for straps it has, and whether it has cross bars.

    Raises:
        RackgenError: a case of the user's needs what this rack has no place for.
    """
    found = [case for case in _standard(wish, model) if not any(within(case.id, entry) for entry in wish.without)]
    changes = {case.id: case for case in wish.cases}
    out = [_changed(case, changes[case.id]) if case.id in changes else case for case in found]
    have = {case.id for case in found}
    for own in wish.cases:
        if own.id in have:
            continue
        if not own.factors:
            raise RackgenError(f"strength: case {own.id} is changed, and this rack has no such case; give it factors")
        out.append(_added(own))
    missing = {"payload-long-item"} if not model.places.bars else set[str]()
    missing |= set() if model.places.ties else {"straps"}
    missing |= set() if model.places.hung else {"person-ladder"}
    for case in out:
        for action, _ in (*case.always, *case.per_kg):
            if action in missing:
                raise RackgenError(f"strength: case {case.id} has {action}, and this rack has no place for that load")
    return tuple(out)


def air_speed(wish: LoadWish) -> float:
    """Return how fast the air passes the load, km/h: speed and head wind, faster over the roof."""
    speed, wind = _asked(wish.speed, "speed"), _asked(wish.head_wind, "head-wind")
    return (speed + wind) * number("roof-speed-up").value


def _standard(wish: LoadWish, model: FrameModel) -> tuple[Case, ...]:
    lays = LAYS if model.places.bars else LAYS[:-1]
    out = [
        Case(f"parked-{lay}", f"Parked, people or a tent: {LAY_WORDS[lay]}", STILL, _lay(lay, 1.0, wish), "parked",
             "weight at rest", _said("that nobody jumps on it", _lay_words(lay, wish)))
        for lay in lays
    ]  # fmt: skip
    out += _vertical("road", "Road", wish.road, ("even",) if wish.rough_track else lays, wish)
    if wish.rough_track:
        out += _vertical("rough", "Rough track", wish.rough, lays, wish)
    return (*out, *_thrown(wish), *_lifted(wish), *_events(wish, model))


def _vertical(group: str, word: str, own: float | None, lays: tuple[str, ...], wish: LoadWish) -> list[Case]:
    """Return the cases of a vertical factor, one for each way that the load may lie."""
    figure = _figure(own, f"vertical-{group}", "{:g} times standing weight")
    source = number(f"vertical-{group}").cited if own is None else "the rack's file"
    return [
        Case(f"{group}-{lay}", f"{word}, {figure.value:g} g down: {LAY_WORDS[lay]}", (("own-down", figure.value),),
             _lay(lay, figure.value, wish), "moving", source, _said(figure.assumed, _lay_words(lay, wish)))
        for lay in lays
    ]  # fmt: skip


def _thrown(wish: LoadWish) -> tuple[Case, ...]:
    """Return braking, accelerating and cornering, each by itself with 1 g down; of two rules the harder."""
    height = _figure(wish.centre_height, "load-centre", "the load's centre {:g} mm over the floor")
    centre = centre_height(wish)
    rows = (
        ("brake", "Braking", "forward", "forward", 1.0),
        ("accelerate", "Accelerating or hit from behind", "rearward", "forward", -1.0),
        ("corner-left", "Cornering, thrown to the left", "sideways", "sideways", -1.0),
        ("corner-right", "Cornering, thrown to the right", "sideways", "sideways", 1.0),
    )
    out: list[Case] = []
    for id, words, rule, action, sign in rows:
        one, other = number(f"cfr-{rule}"), number(f"en-12195-{rule}")
        g = max(one.value, other.value)
        out.append(
            Case(
                id, f"{words}: {g:g} g with 1 g down, centre {centre:.0f} mm over the floor",
                (*STILL, (f"own-{action}", sign * g)), (*EVEN, (f"payload-{action}", sign * g)), "moving",
                f"{one.cited}: {one.value:g} g; {other.cited}: {other.value:g} g",
                _said("1 g down besides, which 49 CFR 393.102 does not state", height.assumed),
            )
        )  # fmt: skip
    return tuple(out)


def _lifted(wish: LoadWish) -> tuple[Case, ...]:
    """Return rebound, and head wind without and with lift."""
    rebound = _figure(wish.rebound, "rebound", "{:g} g net upward")
    speed = _figure(wish.speed, "speed", "{:g} km/h")
    wind = _figure(wish.head_wind, "head-wind", "head wind of {:g} km/h")
    q = pressure(air_speed(wish))
    over = number("roof-speed-up").value
    drag = (
        f"{number('drag-cylinder').cited}: {number('drag-cylinder').value:g} on tubes, {number('drag-bluff').value:g}"
    )
    source = f"{drag} on the load"
    assumed = _said(speed.assumed, wind.assumed, f"air {over:g} times as fast over the roof", _size_words(wish))
    at = f"{round(speed.value, 1):g} km/h against {round(wind.value, 1):g} km/h, {q:.0f} Pa"
    blown: Factors = (*STILL, ("wind-tubes", q), ("wind-load", q))
    return (
        Case("rebound", f"Rebound, {rebound.value:g} g net upward", (("own-down", -rebound.value),),
             (("payload-even", -rebound.value),), "moving",
             number("rebound").cited if wish.rebound is None else "the rack's file",
             _said(rebound.assumed, "that the load pulls up on the floor, to which it is lashed")),
        Case("wind", f"Head wind on the load: {at}", blown, EVEN, "moving", source, assumed),
        Case("lift", f"Head wind and lift on a light, flat load: {at}", (*blown, ("lift-load", q)), (), "event",
             f"{source}, lift {number('lift-flat').value:g}", assumed),
    )  # fmt: skip


def _events(wish: LoadWish, model: FrameModel) -> tuple[Case, ...]:
    """Return straps, and one person standing or pulling, without load."""
    person = _figure(wish.person, "person", "a person of {:g} kg")
    pull = _figure(wish.strap_pull, "strap-pull", "straps pulled with {:g} kg")
    weight, force = person.value * GRAVITY / UNIT, pull.value * GRAVITY / UNIT
    out: list[Case] = []
    who = number("person").cited if wish.person is None else "the rack's file"
    how = number("strap-pull").cited if wish.strap_pull is None else "the rack's file"
    if model.places.ties:
        out.append(
            Case("straps", "All straps tight over a load, straight up", (*STILL, ("straps", force)), (), "event",
                 how, pull.assumed)
        )  # fmt: skip
    for name, _ in model.places.ties:
        out.append(
            Case(f"tie-{name}", f"A strap pulled at the {tie_words(name)}, up and inward",
                 (*STILL, (f"tie-{name}", force)), (), "event", how, pull.assumed)
        )  # fmt: skip
    out.append(
        Case("person-middle", "A person stands on the middle", (*STILL, ("person-middle", weight)), (), "event",
             who, person.assumed)
    )  # fmt: skip
    for does, words in (("on", "stands on"), ("pulls", "pulls out and down at")):
        for corner in CORNERS:
            out.append(
                Case(f"person-{does}-{corner}", f"A person {words} the {corner.replace('-', ' ')} corner",
                     (*STILL, (f"person-{does}-{corner}", weight)), (), "event", who, person.assumed)
            )  # fmt: skip
    if model.places.hung:
        out.append(
            Case("person-on-ladder", "A person on the rear ladder", (*STILL, ("person-ladder", weight)), (), "event",
                 who, person.assumed)
        )  # fmt: skip
    return tuple(out)


def tie_words(name: str) -> str:
    """Return the place of a strap in words: "upright.front[1]" is "front upright 1"."""
    what, _, where = name.partition(".")
    side, _, rest = where.partition("[")
    return f"{side} {what} {rest.rstrip(']')}".strip() if where else name


def _changed(case: Case, by: LoadCase) -> Case:
    """Return a standard case with what the user changed of it."""
    if by.factors:
        always, per_kg = _parted(by.factors)
        case = replace(case, always=always, per_kg=per_kg, state=by.state or case.state, source=by.source, assumed="")
    return replace(case, title=by.title or case.title)


def _added(own: LoadCase) -> Case:
    """Return a case of the user's; one that the standard ones have no more keeps its state."""
    always, per_kg = _parted(own.factors)
    state: State = own.state or STANDARD[own.id]
    return Case(own.id, own.title or own.id, always, per_kg, state, own.source)


def _parted(factors: Factors) -> tuple[Factors, Factors]:
    """Return what acts as it is, and what acts for each kg of load."""
    return (
        tuple(f for f in factors if not f[0].startswith("payload-")),
        tuple(f for f in factors if f[0].startswith("payload-")),
    )


def _lay(lay: str, factor: float, wish: LoadWish) -> Factors:
    """Return the load in one of its lays; what is not of the long item lies even."""
    if lay != "long-item":
        return ((f"payload-{lay}", factor),)
    share = _asked(wish.long_item, "long-item")
    rest = (("payload-even", factor * (1 - share)),) if share < 1.0 else ()
    return (("payload-long-item", factor * share), *rest)


def _lay_words(lay: str, wish: LoadWish) -> str:
    if lay != "long-item":
        return ""
    return _figure(wish.long_item, "long-item", "a long item of {:.0%} of the load, on the bars' middles").assumed


def _size_words(wish: LoadWish) -> str:
    if wish.load_width and wish.load_height and wish.load_length:
        return ""
    return "a load as long and wide as the floor and twice as high as its centre, where no size is given"


def _asked(own: float | None, name: str) -> float:
    return number(name).value if own is None else own


def _figure(own: float | None, name: str, words: str) -> _Figure:
    """Return the user's own figure, or that of refs with its words."""
    return _Figure(_asked(own, name), words.format(_asked(own, name)) if own is None else "")


def _said(*words: str) -> str:
    return "; ".join(w for w in words if w)
