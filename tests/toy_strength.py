"""Small frames for the rating: what each spot uses is a straight line or a curve in the payload, told case by case."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import Case
from rackgen.strength.rating import Held

CASES = (
    Case("still", "standing still on the road", (), (), "moving", "test"),
    Case("brake", "braking", (), (), "moving", "test"),
    Case("tent", "parked with a tent", (), (), "parked", "test"),
    Case("person", "a person in the middle", (), (), "event", "test"),
)


def loaded(payload: float) -> Loaded:
    """Return a frame's answer that carries nothing but its payload."""
    none = np.zeros((0, 6, len(CASES)))
    return Loaded(payload, np.zeros((0, 2, 6, len(CASES))), none, none)


def spot(what: str, y: float = 0.0, part: str = "frame.hoop") -> Spot:
    """Return a place."""
    return Spot(what, (part,), (100.0, y, 1500.0), "100 N", ("frame.tube",))


def limit(name: str, use: Callable[[float], Sequence[Sequence[float]]], spots: Sequence[Spot]) -> Limit:
    """Return a check whose use is told by payload, a row of cases for each spot."""
    return Limit(name, name, 1.5, "yield", "a test", "computed", tuple(spots), lambda at: np.array(use(at.payload)))


def held(*limits: Limit, words: str = "") -> Held:
    """Return a frame with some checks."""
    return Held(words, loaded, limits)


def straight(name: str, own: float, per_kg: Sequence[float], y: float = 0.0) -> Limit:
    """Return a check at one place that uses `own` empty and so much more a kg in each case."""
    return limit(name, lambda p: [[own + a * p for a in per_kg]], [spot(name, y)])
