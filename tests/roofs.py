"""Roofs and vehicles for the tests of the checks."""

from rackgen.geom.frame import Vec
from rackgen.geom.surface import Roof, Section
from rackgen.spec.rack import BasketWish, RackSpec
from rackgen.spec.vehicle import FrontMount, Obstacle, Under, Vehicle


def roof(crown: float = 0.0, fall: float = 0.0, half: float = 620.0, stations: int = 4, top: float = 1700.0) -> Roof:
    """Give a roof from x = 0 to 1500: `crown` mm lower at y = ±500, `fall` mm lower at its two ends; parabolas."""
    ys = (-500.0, -250.0, 0.0, 250.0, 500.0)
    sections: list[Section] = []
    for k in range(stations):
        x = 1500.0 * k / (stations - 1)
        level = top - fall * ((x - 750.0) / 750.0) ** 2
        sections.append(Section(x, ys, tuple(level - crown * (y / 500.0) ** 2 for y in ys), half, half))
    return Roof(tuple(sections))


def vehicle(over: Roof, obstacles: tuple[Obstacle, ...] = (), under: Under = "pillar") -> Vehicle:
    """Give a vehicle with that roof and one front mount at (300, 400)."""
    at: Vec = (300.0, 400.0, float(over.height(300.0, 400.0)))
    mount = FrontMount("front_right", at, 0.0, 0.0, (30.0, 30.0), under, 0.8)
    return Vehicle("a van", "the front edge of the roof", over, (mount,), (), obstacles)


SPEC = RackSpec("one", "One", "the shed", "a van", BasketWish(1000.0, 1000.0, 180.0))
