"""A tighter nest, by the shapes of the pieces instead of their boxes. It does not come out the same twice: keep it.

Sheet by sheet everything that is still to be cut is packed into a strip as wide as the sheet; what lies within the
sheet's length stays, the rest goes on to the next. Each plate keeps the better of this and the repeatable nest.
"""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import shapely

from rackgen.errors import NestError
from rackgen.geom import outline
from rackgen.sheets import tighter_worker
from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_check import check_nest
from rackgen.sheets.nest_fit import NEAR, angles, fits
from rackgen.sheets.nest_make import plate_nest, plate_sheet
from rackgen.sheets.nest_place import ARC, box, plates
from rackgen.sheets.nest_records import Laid, Nest, PlateNest, PlateSheet
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Sheet

# -P keeps this folder's own names off the worker's path.
WORKER = (sys.executable, "-P", str(Path(tighter_worker.__file__)))

GRACE = 30
"""Longer than it was told to take, and the worker is ended, s."""

OUTSIDE = 0.05
"""Shapes are simplified to an outline this far outside them at most, mm."""

Place = tuple[int, float, float, float]
"""Which shape, degrees, and the move after turning, mm."""


def tighter_nest(
    usual: Nest,
    flat: Sequence[Blank],
    shop: Shop,
    seconds: int,
    said: Callable[[str], None] = lambda text: None,
    worker: Sequence[str] = WORKER,
) -> tuple[Nest, tuple[str, ...]]:
    """Return the better nest of every plate, and the names of the plates that came out tighter.

    Args:
        usual: the repeatable nest of the same blanks.
        flat: the blanks.
        shop: its plates, remnants and table.
        seconds: for every sheet, 1 or more.
        said: called with what is being packed.
        worker: the command that packs a strip.

    Raises:
        NestError: the worker failed, was killed, or gave what is not right; the usual nest still stands.
    """
    wanted = plates(flat, shop)
    out: list[PlateNest] = []
    better: list[str] = []
    for one in usual.plates:
        said(f"{one.plate} tighter")
        found = _plate(one, wanted[one.plate], shop, seconds, worker) if one.sheets else one
        if _score(found) < _score(one):
            better.append(one.plate)
            out.append(found)
        else:
            out.append(one)
    made = replace(usual, plates=tuple(out))
    check_nest(made, wanted, shop)
    return made, tuple(better)


def _score(nest: PlateNest) -> tuple[float, ...]:
    """Return how good a nest is, less being better: as the repeatable one is chosen."""
    kept = [s.left.length * s.left.width for s in nest.sheets if s.left is not None]
    fresh_area = sum(s.area for s in nest.sheets if s.fresh)
    remnants = sum(s.length * s.width for s in nest.sheets if not s.fresh)
    return len(nest.left_out), nest.fresh, round(fresh_area, 1), remnants, -max(kept, default=0.0)


def _plate(usual: PlateNest, group: Sequence[Blank], shop: Shop, seconds: int, worker: Sequence[str]) -> PlateNest:
    table = shop.table
    section = next(stock.section for stock in shop.stock if stock.name == usual.plate)
    assert isinstance(section, Sheet)
    offers = [(s.length, s.width, False) for s in usual.sheets if not s.fresh]
    offers += [(section.length, section.width, True)] * sum(s.fresh for s in usual.sheets)
    open_ = Counter({b.mark: b.quantity - usual.left_out.count(b.mark) for b in group})
    numbers: Counter[str] = Counter()
    sheets: list[PlateSheet] = []
    for length, width, fresh in offers:
        turned = angles(table)
        here = [b for b in group if open_[b.mark] and fits(b, length, width, turned, table.margin)]
        if not here:
            continue
        room = width - 2 * table.margin
        laid: list[Laid] = []
        for item, angle, dx, dy in _strip(here, open_, room, usual.spacing, shop, seconds, worker):
            blank = here[item]
            left, low, right, _ = box(blank.cut, angle)
            if right + dx > length - 2 * table.margin + NEAR / 2:
                continue
            numbers[blank.mark] += 1
            open_[blank.mark] -= 1
            place = round(table.margin + left + dx, 3), round(table.margin + low + dy, 3)
            laid.append(Laid(blank.mark, numbers[blank.mark], *place, angle))
        if laid:
            sheets.append(plate_sheet(len(sheets) + 1, length, width, fresh, laid, group, usual.spacing))
    left_out = sorted([*usual.left_out, *open_.elements()])
    return plate_nest(usual.plate, usual.thickness, usual.spacing, sheets, left_out, group, shop)


def _strip(
    blanks: Sequence[Blank],
    counts: Counter[str],
    room: float,
    spacing: float,
    shop: Shop,
    seconds: int,
    worker: Sequence[str],
) -> list[Place]:
    """Return places of all pieces in a strip `room` wide, from its own corner; each as blank, degrees and move."""
    # The worker keeps its separation from the strip's edges too, where the margin is already.
    separation = spacing + 0.02
    asked = {
        "angles": list(angles(shop.table)),
        "separation": separation,
        "seconds": seconds,
        "height": room + 2 * separation + NEAR / 2,
        "items": [{"points": _around(b), "count": counts[b.mark]} for b in blanks],
    }
    places = _ask(asked, seconds, worker)
    if Counter(k for k, *_ in places) != Counter({k: counts[b.mark] for k, b in enumerate(blanks)}):
        raise NestError("the tighter nest lost pieces; the usual nest still stands")
    return [(k, round(angle) % 360 + 0.0, dx - separation, dy - separation) for k, angle, dx, dy in places]


def _around(blank: Blank) -> list[tuple[float, float]]:
    """Return an outline of few points that holds the whole blank."""
    shape = shapely.Polygon(outline.polygon(blank.cut, ARC))
    loose = shape.buffer(OUTSIDE, join_style="mitre").simplify(0.8 * OUTSIDE)
    # A polygon without holes has the points of its outside and no others.
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(loose)[:-1]]


def _ask(asked: dict[str, Any], seconds: int, worker: Sequence[str]) -> list[Place]:
    try:
        done = subprocess.run(
            worker, input=json.dumps(asked), capture_output=True, text=True, timeout=seconds + GRACE, check=False
        )
    except subprocess.TimeoutExpired:
        raise NestError(_failed(f"it did not end within {seconds + GRACE} s")) from None
    except OSError as error:
        raise NestError(_failed(f"it cannot be started: {error.strerror or error}")) from error
    if done.returncode < 0:
        raise NestError(_failed(f"its process was ended by {_signal(-done.returncode)}"))
    if done.returncode:
        last = next((line for line in reversed(done.stderr.splitlines()) if line.strip()), "no reason given")
        raise NestError(_failed(last.strip()))
    try:
        return [(int(k), float(angle), float(dx), float(dy)) for k, angle, dx, dy in json.loads(_last(done.stdout))]
    except (ValueError, TypeError) as error:
        raise NestError(_failed("what it gave cannot be read")) from error


def _last(text: str) -> str:
    return text.splitlines()[-1] if text.strip() else ""


def _signal(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"


def _failed(why: str) -> str:
    return f"the tighter nest failed: {why}; the usual nest still stands"
