"""Sticks drawn as bars, all to one scale along their length: pieces, kerfs, end trims, and what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackgen.sheets.board import SCALES, text_width
from rackgen.sheets.drawing import Drawing, Fill, Item, Stroke, Words
from rackgen.sheets.stick_records import Cut, Stick
from rackgen.sheets.words import fine
from rackgen.units import Unit, shown_step, write_length

BAR, OVER = 6.0, 9.5
"""Height of a bar, and room over it for its name, mm on paper."""

HEIGHT = 2.3
"""Of capitals, mm on paper."""

BELOW = 3.6
"""From a bar to the first row of labels under it, and between rows, mm on paper."""

HATCH = 2.5
"""Between the lines of what is left, mm on paper."""

FILLS: dict[int, Fill] = {1: "steel", 2: "light"}
"""Of the pieces of a stage; those of stage 3 are white."""


@dataclass(frozen=True)
class Label:
    """A text that wants to stand under a place; mm on paper."""

    at: float
    text: str

    @property
    def wide(self) -> float:
        """How long it is with a little room on both sides."""
        return text_width(self.text, HEIGHT) + 2.0


def sticks_drawing(sticks: Sequence[Stick], unit: Unit, longest: float, wide: float = 185.0) -> Drawing:
    """Return sticks one under the other.

    Args:
        sticks: of one stock.
        unit: the shop's.
        longest: of all sticks that are drawn to the same scale, mm.
        wide: room on paper, mm.
    """
    scale = next(s for s in (*SCALES, 1 / 250, 1 / 500) if longest * s <= wide)
    items: list[Item] = []
    down = 0.0
    for stick in sticks:
        drawn, depth = _stick(stick, unit, scale, -down / scale, wide)
        items += drawn
        down += OVER + BAR + depth
    return Drawing(tuple(items), scale)


def height(sticks: Sequence[Stick], unit: Unit, longest: float, wide: float = 185.0) -> float:
    """Return what a drawing of sticks takes on paper, mm."""
    drawing = sticks_drawing(sticks, unit, longest, wide)
    (_, low), (_, top) = drawing.box
    return (top - low) * drawing.scale + OVER


def _stick(stick: Stick, unit: Unit, scale: float, y: float, wide: float) -> tuple[list[Item], float]:
    """Return a stick whose lower edge lies at `y`, and how far its labels reach below it, mm on paper."""
    high = BAR / scale
    items: list[Item] = []

    def box(x0: float, x1: float, fill: Fill) -> None:
        items.append(Stroke(((x0, y), (x1, y), (x1, y + high), (x0, y + high)), "edge", closed=True, fill=fill))

    name = "fresh stick" if stick.fresh else "remnant"
    kept = "to keep" if stick.kept else "scrap"
    left = f", left {coarse(stick.left, unit)} {unit} {kept}" if stick.left > 0 else ""
    items.append(
        Words(0.0, y + high, f"{stick.number}  {name} {coarse(stick.length, unit)} {unit}{left}", HEIGHT, "left",
              shift=(0.0, 3.0), bold=True)
    )  # fmt: skip
    if stick.trim:
        box(0.0, stick.trim, "dark")
        box(stick.length - stick.trim, stick.length, "dark")
    labels: list[Label] = []
    for group in groups(stick.cuts):
        said = f"{group[0].piece.mark} {fine(group[0].piece.saw, unit)}"
        narrow = text_width(said, HEIGHT) + 1.0 > group[0].piece.saw * scale
        for cut in group:
            x0, x1 = stick.trim + cut.start, stick.trim + cut.end
            box(x0, x1, FILLS.get(cut.piece.stage, ""))
            if not narrow:
                items.append(Words((x0 + x1) / 2, y + high / 2, said, HEIGHT))
        if narrow:
            middle = stick.trim + (group[0].start + group[-1].end) / 2
            labels.append(Label(middle * scale, said if len(group) == 1 else f"{len(group)} × {said}"))
    end = stick.length - stick.trim
    begin = end - stick.left
    if stick.left > 0:
        box(begin, end, "")
        items += _hatched(begin, end, y, high, scale, cross=not stick.kept)
    named, depth = _labels(labels, y, scale, wide)
    return items + named, depth


def groups(cuts: Sequence[Cut]) -> list[list[Cut]]:
    """Return cuts in runs of equal pieces of one mark and stage, as they follow one another."""
    out: list[list[Cut]] = []
    for cut in cuts:
        last = out[-1][-1].piece if out else None
        if last is not None and (last.mark, last.stage, round(last.saw, 3)) == (
            cut.piece.mark,
            cut.piece.stage,
            round(cut.piece.saw, 3),
        ):
            out[-1].append(cut)
        else:
            out.append([cut])
    return out


def _hatched(x0: float, x1: float, y: float, high: float, scale: float, *, cross: bool) -> list[Item]:
    """Return the lines of what is left, leaning one way, and both ways where it is scrap."""
    items: list[Item] = []
    step = HATCH / scale
    at = x0 - high
    while at < x1:
        a, b = max(at, x0), min(at + high, x1)
        if b - a > 1e-6:
            items.append(Stroke(((a, y + a - at), (b, y + b - at)), "thin"))
            if cross:
                items.append(Stroke(((a, y + high - (a - at)), (b, y + high - (b - at))), "thin"))
        at += step
    return items


def _labels(labels: list[Label], y: float, scale: float, room: float) -> tuple[list[Item], float]:
    """Return the labels of pieces that are too short to carry them, with lines to them, and their depth on paper.

    In as many rows as needed.
    """
    if not labels:
        return [], 0.0
    rows = 1
    while any(sum(label.wide for label in labels[k::rows]) > room for k in range(rows)) and rows < len(labels):
        rows += 1
    items: list[Item] = []
    for k in range(rows):
        own = labels[k::rows]
        for label, x in zip(own, spread([label.at for label in own], [label.wide for label in own], room), strict=True):
            down = BELOW + 1.0 + (rows - 1 - k) * BELOW
            foot = y - (down - HEIGHT / 2 - 0.7) / scale
            items.append(Stroke(((label.at / scale, y), (x / scale, foot)), "thin"))
            items.append(Words(x / scale, y - down / scale, label.text, HEIGHT))
    return items, 1.0 + rows * BELOW + HEIGHT / 2


def spread(wanted: Sequence[float], widths: Sequence[float], room: float) -> list[float]:
    """Return places as near as can be to the wanted ones at which things of some widths lie clear of one another.

    The least sum of squares: neighbours that would touch are moved together as one (pooling of adjacent violators).

    Args:
        wanted: middles, rising.
        widths: of the things.
        room: from 0; what does not fit in it stands over its end.
    """
    blocks: list[list[float]] = []
    before = 0.0
    offsets: list[float] = []
    for at, wide in zip(wanted, widths, strict=True):
        offsets.append(before + wide / 2)
        blocks.append([at - offsets[-1], 1.0])
        before += wide
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            mean, count = blocks.pop()
            blocks[-1] = [(blocks[-1][0] * blocks[-1][1] + mean * count) / (blocks[-1][1] + count),
                          blocks[-1][1] + count]  # fmt: skip
    starts = [max(0.0, min(mean, room - before)) for mean, count in blocks for _ in range(int(count))]
    return [start + offset for start, offset in zip(starts, offsets, strict=True)]


def coarse(mm: float, unit: Unit) -> str:
    """Return a stick's length as it is called."""
    return write_length(mm, unit, shown_step(unit, fine=False))
