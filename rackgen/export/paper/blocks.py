"""Headings, paragraphs, ticks, boxes to fill and figures as pieces of a page."""

from __future__ import annotations

from collections.abc import Sequence

from rackgen.export.paper.flow import Piece, kept, space
from rackgen.export.paper.fonts import LEADING, POINT, width, wrapped
from rackgen.export.paper.ink import Ink, baseline
from rackgen.export.paper.painter import extent, paint
from rackgen.export.paper.sheet import Sheet
from rackgen.sheets.drawing import Drawing
from rackgen.sheets.pages import Fields, Figure, Heading, Text, Ticks

BODY, SMALL, HEADING = 10.0, 8.5, 12.0
"""Sizes of text, points."""

TICK = 4.0
"""Side of a box to tick, mm."""

FIELD = 9.0
"""Least height of a box to write in, mm."""

MOST = 30
"""Lines of one paragraph or cell that are kept on one page."""

SCALES = (5, 4, 3, 2.5, 2, 1, 1 / 2, 1 / 2.5, 1 / 3, 1 / 4, 1 / 5, 1 / 6, 1 / 8, 1 / 10, 1 / 12, 1 / 15,
          1 / 16, 1 / 20, 1 / 25, 1 / 30, 1 / 40, 1 / 50, 1 / 60, 1 / 80, 1 / 100, 1 / 150, 1 / 200)  # fmt: skip
"""Scales that a figure may have: those of ISO 5455 and the steps between that a shop can read."""


def heading(block: Heading) -> list[Piece]:
    """Return a heading, kept to what follows it."""
    return [space(3.5), *lines(block.text, HEADING, bold=True, stays=True), space(1.2, stays=True)]


def lines(
    text: str, size: float, *, room: float = 1e9, bold: bool = False, stays: bool = False, indent: float = 0.0
) -> list[Piece]:
    """Return a text as lines of its own, in pieces of as many as stay together."""
    wrap = wrapped(text, size, room - indent, bold)
    step = size * LEADING * POINT
    out: list[Piece] = []
    for part in parts(wrap, MOST):

        def draw(ink: Ink, x: float, y: float, part: Sequence[str] = part) -> None:
            for i, line in enumerate(part):
                ink.text(x + indent, baseline(y - i * step, size, step), line, size, bold=bold)

        out.append(Piece(len(part) * step, draw, stays=stays))
    return out


def text(block: Text, sheet: Sheet) -> list[Piece]:
    """Return a paragraph."""
    if block.kind == "caution":
        return [space(1.5), *_caution(block.text, sheet.room), space(2.5)]
    size = BODY if block.kind == "body" else SMALL
    return [*lines(block.text, size, room=sheet.room), space(1.8)]


def _caution(said: str, room: float) -> list[Piece]:
    step = BODY * LEADING * POINT
    wrap = ("", *wrapped(said, BODY, room - 12.0))
    out: list[Piece] = []
    for n, part in enumerate(parts(wrap, MOST)):
        high = len(part) * step + 4.0

        def draw(ink: Ink, x: float, y: float, part: Sequence[str] = part, high: float = high, n: int = n) -> None:
            ink.box(x + 0.15, y - high, room - 0.3, high, 0.3)
            ink.box(x + 0.15, y - high, 3.0, high, 0, fill=0.0)
            for i, line in enumerate(part):
                at = baseline(y - 2.0 - i * step, BODY, step)
                ink.text(x + 7.0, at, "Caution" if i == n == 0 else line, BODY, bold=i == n == 0)

        out.append(Piece(high, draw))
    return out


def ticks(block: Ticks, sheet: Sheet) -> list[Piece]:
    """Return steps, each behind an empty box."""
    out: list[Piece] = []
    step = BODY * LEADING * POINT
    inset = TICK + 3.0
    number = width(f"{len(block.items)}.", BODY, bold=True) + 2.0 if block.numbered else 0.0
    for n, item in enumerate(block.items):
        wrap = wrapped(item, BODY, sheet.room - inset - number)
        for k, part in enumerate(parts(wrap, MOST)):
            high = max(len(part) * step, TICK) + 1.6

            def draw(ink: Ink, x: float, y: float, part: Sequence[str] = part, n: int = n, k: int = k) -> None:
                if k == 0:
                    ink.box(x + 0.2, y - 0.2 - TICK, TICK, TICK, 0.3)
                    if block.numbered:
                        ink.text(x + inset, baseline(y, BODY, step), f"{n + 1}.", BODY, bold=True)
                for i, line in enumerate(part):
                    ink.text(x + inset + number, baseline(y - i * step, BODY, step), line, BODY)

            out.append(Piece(high, draw))
    return [*kept(out), space(1.8)]


def fields(block: Fields, sheet: Sheet) -> list[Piece]:
    """Return ruled boxes to write in, one row for each thing that is asked."""
    size = 9.0
    step = size * LEADING * POINT
    wanted = any(value for _, value in block.rows)
    box = min(50.0, max(20.0, sheet.room * 0.5 / max(1, len(block.boxes))))
    left = sheet.room - box * len(block.boxes)
    if left < 60.0:
        box = (sheet.room - 60.0) / len(block.boxes)
        left = 60.0
    value = 0.0
    if wanted:
        longest = max(width(t, size) for t in (block.wanted, *(v for _, v in block.rows)))
        value = min(left * 0.45, longest + 3.0)
    widths = [left - value, *([value] if wanted else []), *[box] * len(block.boxes)]
    heads = ["", *([block.wanted] if wanted else []), *block.boxes]
    # The heading of a narrow box may take several lines.
    titles = [wrapped(h, size, w - 2.4, bold=True) for h, w in zip(heads, widths, strict=True)]
    head_high = max(len(t) for t in titles) * step + 1.6

    def draw_head(ink: Ink, x: float, y: float) -> None:
        for title, w in zip(titles, widths, strict=True):
            for i, line in enumerate(title):
                ink.text(x + 1.2, baseline(y - 0.8 - i * step, size, step), line, size, bold=True)
            x += w

    head = Piece(head_high, draw_head, stays=True)
    before: list[Piece] = [space(1.5)]
    if block.title:
        before += lines(block.title, BODY, room=sheet.room, bold=True, stays=True)
    out: list[Piece] = []
    for asked, should in block.rows:
        cells = [wrapped(asked, size, widths[0] - 2.4), *([wrapped(should, size, value - 2.4)] if wanted else [])]
        deep = max(len(c) for c in cells)
        high = max(FIELD, deep * step + 1.6)

        def draw(ink: Ink, x: float, y: float, cells: list[tuple[str, ...]] = cells, high: float = high) -> None:
            for i, w in enumerate(widths):
                ink.box(x, y - high, w, high, 0.3 if i >= len(cells) else 0.18)
                if i < len(cells):
                    top = y - (high - len(cells[i]) * step) / 2
                    for k, line in enumerate(cells[i]):
                        ink.text(x + 1.2, baseline(top - k * step, size, step), line, size)
                x += w

        out.append(Piece(high, draw, again=head))
    return [*before, head, *kept(out, sheet.depth / 2), space(3.0)]


def figure(block: Figure, sheet: Sheet) -> list[Piece]:
    """Return a drawing with its scale and caption below it.

    At the scale that its texts were laid out for if it fits so, else at the largest usual one.
    """
    most = min(block.height, sheet.depth - 20.0)
    scale = block.drawing.scale or usual_scale(block.drawing, sheet.room, most)
    x0, y0, x1, y1 = extent(block.drawing, scale)
    if x1 - x0 > sheet.room + 1e-9 or y1 - y0 > most + 1e-9:
        scale = usual_scale(block.drawing, sheet.room, most)
        x0, y0, x1, y1 = extent(block.drawing, scale)
    said = "not to scale" if block.schematic else f"scale {scale_words(scale)}"
    under = f"{block.caption} ({said})" if block.caption else said

    def draw(ink: Ink, x: float, y: float) -> None:
        paint(ink, block.drawing, scale, x + (sheet.room - (x1 - x0)) / 2 - x0, y - y1)

    return [
        space(2.0),
        Piece(y1 - y0, draw, stays=True),
        space(1.5, stays=True),
        *lines(under, SMALL, room=sheet.room),
        space(3.0),
    ]


def usual_scale(drawing: Drawing, wide: float, high: float) -> float:
    """Return the largest usual scale at which a drawing with its texts is no larger than that, mm.

    A scale that the drawing was laid out for is kept where it fits. Where its texts alone are larger, or it is larger
    than at any usual scale, the smallest one is returned or halved until the drawn thing itself fits.
    """

    def fits(scale: float) -> bool:
        x0, y0, x1, y1 = extent(drawing, scale)
        return x1 - x0 <= wide + 1e-9 and y1 - y0 <= high + 1e-9

    for scale in (drawing.scale, *SCALES):
        if scale > 0.0 and fits(scale):
            return scale
    scale = SCALES[-1]
    (ax, ay), (bx, by) = drawing.box
    while (bx - ax) * scale > wide or (by - ay) * scale > high:
        scale /= 2
    return scale


def scale_words(scale: float) -> str:
    """Return a scale as it is written: "1 : 8" or "2 : 1"."""
    return f"{round(scale, 3):g} : 1" if scale > 1 else f"1 : {round(1 / scale, 3):g}"


def parts(wrap: Sequence[str], most: int) -> list[Sequence[str]]:
    """Return lines in runs of at most so many."""
    return [wrap[i : i + most] for i in range(0, max(1, len(wrap)), most)]
