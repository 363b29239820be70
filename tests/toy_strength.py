"""Small frames for the rating: what each spot uses is a straight line or a curve in the payload, told case by case."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from rackgen.geom.frame import Array
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import Case, Elastic, FrameModel, Member, Node, Properties, Support
from rackgen.strength.rated import CrackPlace, Gain, Strength
from rackgen.strength.rating import Caps, Held, rate

CASES = (
    Case("still", "standing still on the road", (), (), "moving", "test"),
    Case("brake", "braking", (), (), "moving", "test"),
    Case("tent", "parked with a tent", (), (), "parked", "test"),
    Case("person", "a person in the middle", (), (), "event", "test"),
)


def loaded(payload: float) -> Loaded:
    """Return a frame's answer that carries nothing but its payload, and at its one support the number of each case."""
    numbers = np.tile(np.arange(len(CASES), dtype=float), (1, 6, 1))
    return Loaded(payload, np.zeros((0, 2, 6, len(CASES))), numbers, np.zeros((0, 6, len(CASES))))


def spot(what: str, y: float = 0.0, part: str = "frame.hoop") -> Spot:
    """Return a place."""
    return Spot(what, (part,), (100.0, y, 1500.0), "100 N", ("frame.tube",))


def limit(name: str, use: Callable[[float], Sequence[Sequence[float]]], spots: Sequence[Spot]) -> Limit:
    """Return a check whose use is told by payload, a row of cases for each spot."""

    def rows(at: Loaded) -> Array:
        found = np.array(use(at.payload))
        return found[:, at.supports[0, 0].astype(int)] if found.ndim == 2 and found.shape[1] == len(CASES) else found

    return Limit(name, name, 1.5, "yield", "a test", "computed", tuple(spots), rows)


def held(*limits: Limit, words: str = "") -> Held:
    """Return a frame with some checks."""
    return Held(words, loaded, limits)


def straight(name: str, own: float, per_kg: Sequence[float], y: float = 0.0) -> Limit:
    """Return a check at one place that uses `own` empty and so much more a kg in each case."""
    return limit(name, lambda p: [[own + a * p for a in per_kg]], [spot(name, y)])


STEEL = Elastic(210_000.0, 81_000.0)
TUBE = Properties(254.0, 30_900.0, 30_900.0, 61_800.0)


def portal() -> FrameModel:
    """Return a portal on two mounts: two legs and a bar of two pieces, 1 m wide and 0.2 m high."""
    nodes = (
        Node("a", (500.0, -500.0, 1500.0)),
        Node("b", (500.0, -500.0, 1700.0)),
        Node("c", (500.0, 0.0, 1700.0)),
        Node("d", (500.0, 500.0, 1700.0)),
        Node("e", (500.0, 500.0, 1500.0)),
    )
    members = tuple(
        Member(f"{part}#{n}", one, other, "tube", TUBE, STEEL, (1.0, 0.0, 0.0), part)
        for n, (part, one, other) in enumerate(
            (("left", "a", "b"), ("bar", "b", "c"), ("bar", "c", "d"), ("right", "d", "e"))
        )
    )
    supports = tuple(Support(n, (1e4, 1e4, 1e4, 0.0, 0.0, 0.0), mount=m) for n, m in (("a", "left"), ("e", "right")))
    return FrameModel(nodes, members, supports, cases=CASES)


BOXY = Caps(120.0, 48.0)


def strong(caps: Caps = BOXY, scale: float = 1.0) -> Strength:
    """Return the strength of the portal, rated by straight lines."""
    model = portal()
    spots = [
        Spot("leg at the left saddle", ("left",), (500.0, -500.0, 1600.0), "1.20 kN·m", ("frame.tube",)),
        Spot("leg at the right saddle", ("right",), (500.0, 500.0, 1600.0), "1.20 kN·m", ("frame.tube",)),
        Spot("cross bar, middle", ("bar",), (500.0, 0.0, 1700.0), "235 MPa", ("frame.cross_bars",)),
    ]

    def use(p: float) -> list[list[float]]:
        return [[scale * (0.1 + k * p), scale * 0.006 * p, scale * 0.005 * p, 1.2] for k in (0.009, 0.009, 0.004)]

    checks = (limit("tube in bending", use, spots), straight("rivet", 0.1, (0.002, 0.002, 0.001, 0.2)))
    loose = held(limit("clamp pad", lambda p: use(0.9 * p)[:1], spots[:1]), words="the U-bolt at the front left")
    found = rate([held(*checks), loose], CASES, caps)
    sag = np.zeros((len(model.nodes), 6, len(CASES)))
    sag[2, 2] = -2.5
    ends = np.full((len(model.members), 2, 6, len(CASES)), 150_000.0)
    at = Loaded(found.moving.structure, ends, np.zeros((2, 6, len(CASES))), sag)
    return Strength(
        model, caps.own_mass, found.moving, found.parked, found.events, found.loose, 11.24,
        "The front tube hums at about 115 Hz at 100 km/h.",
        (CrackPlace("toe of the saddle, left", ("left",), (500.0, -500.0, 1550.0), 61.0, 63.0, "a test"),),
        (Gain("frame tube 42.4 x 2.6", ("frame.tube",), found.moving.structure + 35.5, 180.0, 3.2),),
        ("vertical factor on a rough track 3.0: assumed",), at, found.shares,
    )  # fmt: skip
