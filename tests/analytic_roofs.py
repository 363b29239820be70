"""Ten invented roofs as surfaces with a formula, and the tape readings that somebody would take on them."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

SIXTEENTH = 25.4 / 16

Height = Callable[[np.ndarray, np.ndarray], np.ndarray]


@dataclass(frozen=True)
class TrueRoof:
    """A roof that is known everywhere.

    Attributes:
        name: what is particular about it.
        height: of the skin at x, y, mm.
        half: half its width at x, mm.
        long: from x = 0 to its rear end, mm.
    """

    name: str
    height: Height
    half: Callable[[float], float]
    long: float = 1400.0


def _crowned(across: float, along: float, long: float = 1400.0, half: float = 620.0) -> Height:
    return lambda x, y: -across * (y / half) ** 2 - along * ((x - long / 2) / (long / 2)) ** 2


def _wide(half: float) -> Callable[[float], float]:
    return lambda x: half


ROOFS: tuple[TrueRoof, ...] = (
    TrueRoof("flat", lambda x, y: 0.0 * x, _wide(620.0)),
    TrueRoof("crowned both ways", _crowned(70.0, 60.0), _wide(620.0)),
    TrueRoof("tapered", lambda x, y: -38.0 * (y / (650.0 - 0.09 * x)) ** 2 - 8.0 * ((x - 700) / 700) ** 2,
             lambda x: 650.0 - 0.09 * x),
    TrueRoof("raked", lambda x, y: -0.03 * x - 30.0 * (y / 620.0) ** 2, _wide(620.0)),
    TrueRoof("ribbed", lambda x, y: _crowned(36.0, 8.0)(x, y) + 4.0 * np.cos(2 * np.pi * y / 124.0), _wide(620.0)),
    TrueRoof("dented on one side",
             lambda x, y: _crowned(36.0, 8.0)(x, y) - 9.0 * np.exp(-(((x - 700) / 220) ** 2) - ((y - 380) / 150) ** 2),
             _wide(620.0)),
    TrueRoof("narrow", _crowned(30.0, 10.0, half=450.0), _wide(450.0)),
    TrueRoof("long", _crowned(40.0, 25.0, long=2600.0), _wide(640.0), 2600.0),
    TrueRoof("gutter-edged",
             lambda x, y: _crowned(34.0, 6.0)(x, y) - 22.0 * np.clip((np.abs(y) - 560.0) / 40.0, 0.0, 1.0),
             _wide(620.0)),
    TrueRoof("domed front",
             lambda x, y: _crowned(36.0, 6.0)(x, y) - 45.0 * (np.maximum(0.0, 420.0 - x) / 420.0) ** 2
             * (1 + 0.5 * (y / 620.0) ** 2),
             _wide(620.0)),
)  # fmt: skip


def tape(
    true: TrueRoof,
    stations: int = 6,
    offsets: int = 4,
    step: float = SIXTEENTH,
    error: Callable[[], float] = lambda: 0.0,
) -> str:
    """Return the stations of a vehicle file as read on a roof: a level line, a levelled bar, every reading rounded.

    Args:
        true: the roof.
        stations: how many.
        offsets: readings to each side.
        step: that every reading is rounded to, mm.
        error: gives the error of the next reading of a height or drop, mm.
    """

    def read(mm: float) -> float:
        return round(round(float(mm) / step) * step, 4)

    def at(x: float, y: float) -> float:
        return float(true.height(np.array(x), np.array(y)))

    out: list[str] = []
    for x in np.linspace(0.0, true.long, stations):
        half = true.half(float(x))
        ys = [read(half * (k + 1) / offsets - 12 * (k + 1) / offsets) for k in range(offsets)]
        rows = [[read(at(x, 0.0) - at(x, side * y) + error()) for y in ys] for side in (-1, 1)]
        out.append(
            f"[[roof.station]]\nx = {read(x)}\ncrown = {read(at(x, 0.0) + error())}\nhalf_width = {read(half)}\n"
            f"offsets = {ys}\nleft_drops = {rows[0]}\nright_drops = {rows[1]}\n"
        )
    return "\n".join(out)
