"""Vehicles with invented roofs as a fabricator measures them: read with a tape to 1/16 in, and with a level.

Only what is written in the vehicle's file reaches the program; the roofs themselves are kept to hold its racks against.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rackgen.design.settle import Truth
from rackgen.spec.document import open_document
from rackgen.spec.read import Job, read_job, vehicle_of
from rackgen.spec.vehicle import Vehicle

INCH = 25.4
TAPE = INCH / 16
LEVEL = 0.1
"""How finely a tape and a level are read, mm and degrees."""

CHORD = 50.0
"""Half the length of the level that is laid on the skin at a mount, mm: no longer than a mount plate, as asked."""

BEHIND = 20.0
"""From the end of the measured roof to the rear face, mm."""

SHOP = "slipway-mm"

A = NDArray[np.float64]


@dataclass(frozen=True)
class Formula:
    """A roof from x = 0 to `length`: its height in mm at (x, y), and its half width at x."""

    height: Callable[[A, A], A]
    half: Callable[[A], A]
    length: float = 1500.0


def _plain(x: A, y: A) -> A:
    return -12 * ((x - 750) / 750) ** 2 - 35 * (y / 600) ** 2


def _wide(x: A) -> A:
    return np.full_like(x, 600.0)


def _edge(t: A) -> A:
    """Rise from 0 to 1 without a kink."""
    s = np.clip(t, 0, 1)
    return s * s * (3 - 2 * s)


TEN = {
    "flat": Formula(lambda x, y: 0 * x, _wide),
    "crowned": Formula(lambda x, y: -45 * ((x - 700) / 750) ** 2 - 80 * (y / 600) ** 2, _wide),
    "tapered": Formula(_plain, lambda x: 620 - 130 * x / 1500),
    "raked": Formula(lambda x, y: _plain(x, y) - 0.06 * x, _wide),
    "ribbed": Formula(lambda x, y: _plain(x, y) + 3 * np.cos(2 * np.pi * y / 180), _wide),
    "dented": Formula(lambda x, y: _plain(x, y) - 14 * np.exp(-(((x - 900) ** 2 + (y - 330) ** 2) / 120**2)), _wide),
    "narrow": Formula(lambda x, y: -8 * ((x - 600) / 600) ** 2 - 22 * (y / 430) ** 2, lambda x: 0 * x + 430, 1200),
    "long": Formula(lambda x, y: -20 * ((x - 1600) / 1600) ** 2 - 25 * (y / 700) ** 2, lambda x: 0 * x + 700, 3200),
    "gutter": Formula(lambda x, y: _plain(x, y) - 28 * _edge((abs(y) - 570) / 25), _wide),
    "domed": Formula(lambda x, y: _plain(x, y) - 90 * np.clip(1 - x / 380, 0, None) ** 2.5, _wide),
}


@dataclass(frozen=True)
class Place:
    """Where a roof's rack stands.

    Attributes:
        front: x of the rows of front mounts, mm.
        out: their distance from the middle, in half widths.
        basket: length and height of the basket, mm.
        stations: how many.
        offsets: how many readings to each side.
        step: from the middle to an edge that the roof falls over, where a reading is taken besides the last one, mm.
    """

    front: tuple[float, ...] = (380.0,)
    out: float = 0.7
    basket: tuple[float, float] = (900.0, 160.0)
    stations: int = 6
    offsets: int = 4
    step: float | None = None


PLACES = {
    "flat": Place(),
    "crowned": Place(),
    "tapered": Place(),
    "raked": Place(),
    # Ribs want a reading on every crest and in every valley, and between.
    "ribbed": Place(offsets=12),
    "dented": Place((700.0,), basket=(640.0, 160.0)),
    "narrow": Place((300.0,), basket=(700.0, 140.0)),
    "long": Place((500.0, 1500.0), basket=(1900.0, 180.0), stations=9),
    "gutter": Place(step=566.0),
    "domed": Place((330.0,)),
}


def tape(mm: float) -> float:
    """Return a length as the tape says it, mm."""
    return round(mm / TAPE) * TAPE


def _in(mm: float) -> str:
    return f"{round(mm / TAPE) / 16:.4f}"


def level(roof: Formula, x: float, y: float) -> tuple[float, float]:
    """Return pitch and roll of a level on its two ends, degrees, as read."""

    def slope(dx: float, dy: float) -> float:
        ends = [float(roof.height(np.array(x + k * dx), np.array(y + k * dy))) for k in (-1, 1)]
        fall = math.degrees(math.atan2(ends[0] - ends[1], 2 * CHORD))
        return round(fall / LEVEL) * LEVEL

    return slope(CHORD, 0.0), slope(0.0, CHORD)


def stations_text(
    name: str, stations: int = 6, offsets: int = 4, step: float = TAPE, error: Callable[[], float] = lambda: 0.0
) -> str:
    """Return stations in mm as read against a level line below a levelled bar, evenly over a roof.

    Args:
        name: of the roof.
        stations: how many.
        offsets: readings to each side.
        step: that all readings are rounded to, mm.
        error: gives the error of the next reading of a height or drop, mm.
    """
    roof = TEN[name]

    def read_as(mm: float) -> float:
        return round(round(float(mm) / step) * step, 4)

    def z(x: float, y: float) -> float:
        return float(roof.height(np.array(x), np.array(y)))

    out: list[str] = []
    for x in np.linspace(0.0, roof.length, stations).tolist():
        half = float(roof.half(np.array(x)))
        ys = [read_as((half - 12) * (k + 1) / offsets) for k in range(offsets)]
        rows = [[read_as(z(x, 0.0) - z(x, side * y) + error()) for y in ys] for side in (-1, 1)]
        out.append(
            f"[[roof.station]]\nx = {read_as(x)}\ncrown = {read_as(z(x, 0.0) + error())}\n"
            f"half_width = {read_as(half)}\noffsets = {ys}\nleft_drops = {rows[0]}\nright_drops = {rows[1]}\n"
        )
    return "\n".join(out)


def vehicle_text(name: str, error: np.random.Generator | None = None, sd: float = 0.0) -> str:
    """Return the vehicle's file: readings off the true roof, rounded as tape and level are read.

    Args:
        name: of the roof.
        error: what the tape is off by besides, if it is.
        sd: its standard deviation, mm.
    """
    roof, place = TEN[name], PLACES[name]

    def off() -> float:
        return 0.0 if error is None else float(error.normal(0.0, sd))

    def z(x: float, y: float) -> float:
        return float(roof.height(np.array(x), np.array(y)))

    out = [
        'format = 1\nunits = "in"',
        f'name = "Roof {name}"',
        'datum = "front edge"\nroof_limit = 150',
        '[roof]\nreference = "level line"\nacross = "levelled"',
    ]
    for x in np.linspace(0.0, roof.length, place.stations):
        at = tape(float(x))
        half = tape(float(roof.half(np.array(at))))
        within = place.step or half
        offsets = [tape(within * k / place.offsets) for k in range(1, place.offsets)] + [tape(half - 12)]
        if place.step:
            offsets.insert(-1, tape(place.step))
        crown = z(at, 0.0)
        sides = [[crown - z(at, side * o) + off() for o in offsets] for side in (-1, 1)]
        out.append(
            f"[[roof.station]]\nx = {_in(at)}\ncrown = {_in(crown + off())}\nhalf_width = {_in(half)}\n"
            f"offsets = [{', '.join(map(_in, offsets))}]\n"
            f"left_drops = [{', '.join(map(_in, sides[0]))}]\nright_drops = [{', '.join(map(_in, sides[1]))}]"
        )
    for row, x in enumerate(place.front):
        y = tape(place.out * float(roof.half(np.array(x))))
        for side, way in (("left", -1.0), ("right", 1.0)):
            pitch, roll = level(roof, tape(x), way * y)
            out.append(
                f'[mounts.front{row + 1}_{side}]\nkind = "roof"\nx = {_in(x)}\ny = {_in(way * y)}\n'
                f"z = {_in(z(tape(x), way * y) + off())}\nroll = {roll:.1f}\npitch = {pitch:.1f}\n"
                f'zone = [1.5, 1.5]\nunder = "bow"\nskin = 0.032'
            )
    half = tape(float(roof.half(np.array(roof.length))))
    for side, way in (("left", -1.0), ("right", 1.0)):
        top = z(roof.length, way * (half - 62)) - 42
        out.append(
            f'[mounts.rear_{side}]\nkind = "rear corner"\n'
            f"x = {_in(roof.length + BEHIND + off())}\ny = {_in(way * (half - 62))}\n"
            f"z = {_in(top + off())}\nlean = 0\ncorner_radius = 1.5\ncorner = {_in(half - 30)}\n"
            f'to_shut_line = 2.75\nzone = 0.5\nunder = "pillar"\nskin = 0.032'
        )
    return "\n".join(out) + "\n"


def truth(name: str, vehicle: Vehicle) -> Truth:
    """Return what the vehicle really is, against what was read."""
    roof = TEN[name]

    def height(x: ArrayLike, y: ArrayLike) -> A:
        return roof.height(np.asarray(x, dtype=float), np.asarray(y, dtype=float))

    return Truth(height, {m.name: (roof.length + BEHIND - m.at[0], 0.0) for m in vehicle.rear})


def rack_text(name: str) -> str:
    """Return the rack's file: a basket as wide as the rear straps let it be."""
    roof, place = TEN[name], PLACES[name]
    half = tape(float(roof.half(np.array(roof.length))))
    width = math.floor((2 * (half - 62 - 56) + 33.7) / 10) * 10
    return (
        f'format = 1\nname = "{name}"\ntitle = "Rack on the {name} roof"\nshop = "{SHOP}"\nvehicle = "{name}"\n'
        f'units = "mm"\n[basket]\nwidth = {width}\nlength = {place.basket[0]}\nheight = {place.basket[1]}\n'
    )


def read(name: str, folder: Path, error: np.random.Generator | None = None, sd: float = 0.0) -> Job:
    """Return what is read from the files of a roof's vehicle and rack."""
    for kind, text in (("vehicles", vehicle_text(name, error, sd)), ("racks", rack_text(name))):
        (folder / kind).mkdir(parents=True, exist_ok=True)
        (folder / kind / f"{name}.toml").write_text(text)
    return read_job(str(folder / "racks" / f"{name}.toml"))


def measured_again(job: Job, name: str, error: np.random.Generator, sd: float) -> Job:
    """Return a job with its vehicle measured once more."""
    path = job.sources.vehicle
    assert path is not None
    path.write_text(vehicle_text(name, error, sd))
    return replace(job, vehicle=vehicle_of(open_document(path, str(path))))
