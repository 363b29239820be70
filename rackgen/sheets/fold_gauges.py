"""Fold gauges: cards to cut out that fit into the hollow of a fold, with its finished angle and inside radius."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from rackgen.geom import outline
from rackgen.parts.hands import called, hands
from rackgen.parts.kinds import CutPlate, FoldedBar
from rackgen.parts.marks import Line, lines
from rackgen.parts.rack import Rack
from rackgen.sheets.drawing import Drawing, Item, Point, Stroke, Words
from rackgen.sheets.flat_drawing import box_of, rim, titled
from rackgen.sheets.lettering import SMALL
from rackgen.sheets.pages import Template
from rackgen.sheets.words import degrees, size
from rackgen.spec.shop import Shop
from rackgen.units import Unit

ARM = 90.0
"""Length of a gauge's arms, mm: no longer than the flats that they lie on, no shorter than `LEAST_ARM`."""

LEAST_ARM = 25.0
BODY = 42.0
"""Height of the card behind the arms of a shallow break, mm."""

SHALLOW = 60.0
"""Folds of less than this have a card with a body behind its arms, degrees."""


@dataclass(frozen=True)
class Gauge:
    """One gauge.

    Attributes:
        mark: of the part.
        word: what the shop calls it, with its hand.
        what: "fold", "fold 2 from A", "break 1".
        turned: by how much the metal is turned out of its straight, degrees.
        radius: inside radius, mm; 0 for a break.
        hollow: the side on which the gauge lies, in words.
        arms: lengths of its two arms from where they would meet, mm.
    """

    mark: str
    word: str
    what: str
    turned: float
    radius: float
    hollow: str
    arms: tuple[float, float]

    @property
    def angle(self) -> float:
        """Between the arms, degrees."""
        return 180.0 - self.turned


def gauges(rack: Rack) -> tuple[Gauge, ...]:
    """Return a gauge for every fold and break of every distinct part, in cut-list order; equal ones of a part once."""
    found = lines(rack)
    named = hands(found)
    out: dict[Gauge, None] = {}
    for line in found:
        word = called(line.placed[0].word, named.get(line.mark, ""))
        if isinstance(line.part, FoldedBar):
            out.update(dict.fromkeys(_of_bar(line, word, line.part)))
        elif isinstance(line.part, CutPlate):
            out.update(dict.fromkeys(_of_plate(line, word, line.part)))
    return tuple(out)


def _of_bar(line: Line, word: str, bar: FoldedBar) -> Iterator[Gauge]:
    for k, fold in enumerate(bar.folds):
        turned = abs(fold.angle)
        side = "the drawn face" if fold.angle > 0 else "the back of the drawn face"
        name = "fold" if len(bar.folds) == 1 else f"fold {k + 1} from A"
        edges = ((name, fold.inside_radius),) if fold.far_radius is None else (
            (f"{name}, lower edge", fold.inside_radius), (f"{name}, upper edge", fold.far_radius)
        )  # fmt: skip
        for what, radius in edges:
            # From where the arms would meet to the tangent; a fold past a right angle has its corner far out.
            setback = radius * math.tan(math.radians(min(turned, 150.0)) / 2)
            a, b = (setback + max(LEAST_ARM, min(ARM - min(setback, ARM / 2), f)) for f in bar.flats[k : k + 2])
            yield Gauge(line.mark, word, what, turned, radius, side, (a, b))


def _of_plate(line: Line, word: str, plate: CutPlate) -> Iterator[Gauge]:
    x0, y0, x1, y1 = box_of(rim(plate.outline))
    for k, found in enumerate(plate.breaks):
        across = abs(math.sin(math.radians(found.direction))) * (x1 - x0) + abs(
            math.cos(math.radians(found.direction))
        ) * (y1 - y0)
        arm = max(LEAST_ARM, min(ARM, across / 2))
        side = "the back of the drawn face" if found.angle > 0 else "the drawn face"
        name = "break" if len(plate.breaks) == 1 else f"break {k + 1}"
        yield Gauge(line.mark, word, name, abs(found.angle), 0.0, side, (arm, arm))


def fold_gauges(rack: Rack, shop: Shop) -> tuple[Template, ...]:
    """Return the gauges as templates."""
    return tuple(gauge_template(g, shop.unit) for g in gauges(rack))


def gauge_template(gauge: Gauge, unit: Unit) -> Template:
    """Return one gauge as a template."""
    radius = f", inside radius {size(gauge.radius, unit)} {unit}" if gauge.radius else ""
    notes = [
        f"Finished: {degrees(gauge.turned)} deg out of straight, {degrees(gauge.angle)} deg between the arms{radius}.",
        f"Cut it out of card and lay the edge with the corner into the hollow, on {gauge.hollow}: no light under "
        "either arm.",
    ]
    if gauge.radius:
        notes.append("Flat at the corner and light at the arms: not folded far enough. Light at the corner: too far.")
    else:
        notes.append("The piece that falls off along that edge fits the outside.")
    return Template(gauge_drawing(gauge, unit), f"gauge {gauge.mark} {gauge.what}: {gauge.word}", tuple(notes))


def gauge_edge(gauge: Gauge) -> tuple[Point, ...]:
    """Return the edge that is laid on the part: along one arm, round the corner, along the other, mm."""
    half = math.radians(gauge.angle) / 2
    # The corner is up; the arms go down to both sides.
    left, right = (-math.sin(half), -math.cos(half)), (math.sin(half), -math.cos(half))
    a, b = gauge.arms
    ends = (left[0] * a, left[1] * a), (right[0] * b, right[1] * b)
    if gauge.radius <= 0:
        return ends[0], (0.0, 0.0), ends[1]
    rounded = outline.polygon(outline.rounded([ends[0], ends[1], (0.0, 0.0)], [0.0, 0.0, gauge.radius]))
    # The contour begins at the left end and runs to the right end, then back over the corner.
    over = rounded[2:][::-1]
    return (ends[0], *((float(x), float(y)) for x, y in over), ends[1])


def gauge_drawing(gauge: Gauge, unit: Unit) -> Drawing:
    """Return a gauge at full size, its corner up."""
    edge = gauge_edge(gauge)
    (ax, ay), (bx, by) = edge[0], edge[-1]
    low = min(ay, by) - (BODY if gauge.turned < SHALLOW else 0.0)
    behind: tuple[Point, ...] = ((bx, low), (ax, low)) if gauge.turned < SHALLOW else ()
    card = (*edge, *behind)
    items: list[Item] = [Stroke(card, "cut", closed=True)]
    radius = f", R{size(gauge.radius, unit)}" if gauge.radius else ""
    texts = (
        (gauge.mark, 4.0, True),
        (gauge.word, SMALL, False),
        (f"{gauge.what} {degrees(gauge.turned)}°{radius}", SMALL, False),
        (f"on {gauge.hollow}", SMALL, False),
    )
    items += titled(np.array(card), (), texts, (60.0, 45.0, 32.0, 24.0), above=9.0)
    top = max(y for _, y in edge)
    items.append(Words(0.0, top, f"{degrees(gauge.angle)}° between the arms, into the hollow", SMALL, shift=(0.0, 4.0)))
    return Drawing(tuple(items))
