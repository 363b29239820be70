"""Readings of a roof that do not go with the others, and what the readings leave open, by the rest of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rackgen.geom.outlier import Odd, odd_drops, odd_heights, spread_at
from rackgen.spec.doubts import Doubt
from rackgen.spec.fields import Reading
from rackgen.spec.places import Path
from rackgen.spec.roof_file import RoofTable
from rackgen.units import INCH

ENOUGH = 5
"""Stations from which on a wrong height along the middle shows: found by trying on roofs with a formula."""

FITS = 4.0
"""How near a reading put right comes to what the others say, mm."""


@dataclass(frozen=True)
class _Drop:
    key: Path
    x: float
    y: float
    drop: float


def roof_doubts(roof: RoofTable, reading: Reading) -> Iterator[Doubt]:
    """Return the readings of a roof that do not go with the others."""
    key = "crown" if roof.reference == "level line" else "down"
    heights = [station.crown if key == "crown" else station.down for station in roof.station]
    read, up = [h or 0.0 for h in heights], 1.0 if key == "crown" else -1.0
    for found in odd_heights([s.x for s in roof.station], [up * h for h in read]):
        odd = replace(found, around=up * found.around)
        yield _doubt(("roof", "station", odd.index, key), read[odd.index], odd, reading)
    drops = _drops(roof)
    for odd in odd_drops([d.x for d in drops], [d.y for d in drops], [d.drop for d in drops]):
        yield _doubt(drops[odd.index].key, drops[odd.index].drop, odd, reading)


def roof_open(roof: RoofTable, places: Sequence[tuple[str, float, float]], reading: Reading) -> Iterator[str]:
    """Return what the number of readings leaves open, a sentence each.

    Args:
        roof: its readings.
        places: name, x and y of the places whose height is wanted, mm.
        reading: the file's unit.
    """
    if len(roof.station) < ENOUGH:
        yield (
            f"With {len(roof.station)} stations a wrong height along the middle cannot be told from a crowned roof "
            f"({ENOUGH} would show it): read those twice."
        )
    drops = _drops(roof)
    xs, ys = [d.x for d in drops], [d.y for d in drops]
    if all(station.drops is not None for station in roof.station):
        xs, ys = [*xs, *xs], [*ys, *(-y for y in ys)]
    unsure = [(2 * spread_at(xs, ys, (x, y)), name) for name, x, y in places]
    loose = [(off, name) for off, name in unsure if off > FITS]
    if loose:
        names = ", ".join(name for _, name in loose)
        most = reading.says(max(off for off, _ in loose), rough=True)
        yield (
            f"The stations leave the roof's height at {names} open by up to {most} either way; a station through the "
            "mounts, or more offsets, would settle it."
        )


def _drops(roof: RoofTable) -> list[_Drop]:
    """Return all drops; those that are alike on both sides once, as to the right."""
    out: list[_Drop] = []
    for n, station in enumerate(roof.station):
        sides = (
            ("drops", station.drops, 1),
            ("left_drops", station.left_drops, -1),
            ("right_drops", station.right_drops, 1),
        )
        for name, drops, sign in sides:
            for k, drop in enumerate(drops or ()):
                out.append(_Drop(("roof", "station", n, name, k), station.x, sign * station.offsets[k], drop))
    return out


def _doubt(key: Path, read: float, odd: Odd, reading: Reading) -> Doubt:
    step = INCH / 16 if reading.unit == "in" else 1.0
    around = round(odd.around / step) * step
    text = f"the readings round it say {reading.says(around)}{_slip(read, odd, reading)}"
    return Doubt(key, text, reading.says(read), abs(read - odd.around))


def _slip(read: float, odd: Odd, reading: Reading) -> str:
    """Return how a right reading may have become this one, as a question, or nothing."""
    scale = INCH if reading.unit == "in" else 1.0
    near = max(FITS, 2 * odd.spread)
    typed = f"{abs(read) / scale:g}"
    sign = -1.0 if read < 0 else 1.0
    pairs = [k for k in range(len(typed) - 1) if typed[k].isdigit() and typed[k + 1].isdigit()]
    turned = [float(typed[:k] + typed[k + 1] + typed[k] + typed[k + 2 :]) for k in pairs]
    if any(abs(sign * t * scale - odd.around) <= near for t in turned):
        return "; typed the wrong way round?"
    if abs(-read - odd.around) <= near:
        return "; is its sign right?"
    if any(abs(read * by - odd.around) <= near for by in (0.1, 10.0)):
        return "; is its decimal point right?"
    return ""
