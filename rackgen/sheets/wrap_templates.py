"""Paper wraps, full size: the edge of every coped or mitred tube end, to go round its outside.

Seen from outside with the sawn end down and the tube going up. The paper lies on the tube, so its girth is
π × (OD + paper thickness); every clock keeps its share of it, heights stay as they are.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.cope import Cope, End
from rackgen.geom.frame import Array
from rackgen.parts.rack import Rack
from rackgen.sheets.drawing import Dimension, Drawing, Item, Stroke, Words
from rackgen.sheets.hole_saw import hole_saw, saw_words
from rackgen.sheets.lettering import SMALL, block, depth
from rackgen.sheets.pages import Template
from rackgen.sheets.template_sizes import TAB
from rackgen.sheets.tube_ends import TubeEnd, planes, tube_ends
from rackgen.sheets.words import degrees, fine, size, small
from rackgen.sheets.wraps import Points, developed
from rackgen.spec.shop import Shop
from rackgen.units import INCH, Unit

LABEL = 4.0
"""Room for one row of clocks, mm."""

TICK = 4.0
"""Length of the quarter ticks at the upper edge, mm."""

HATCH = 4.0
"""Between the lines of the hatching, mm."""

SAME = 0.01
"""Ends whose templates nowhere differ by more than this share one, mm."""


@dataclass(frozen=True)
class PaperWrap:
    """One wrap on paper.

    Attributes:
        ends: the ends that it is for: of the same tube, and nowhere different.
        girth: of the paper round the tube, without the tab, mm.
        template: what is cut square through the wall, x from 0 to `girth`, mm.
        outside: where the OD meets the header; the same.
        top: upper edge of the paper above the sawn end, mm.
    """

    ends: tuple[TubeEnd, ...]
    girth: float
    template: Points
    outside: Points
    top: float

    @property
    def quantity(self) -> int:
        """How many tube ends are marked with it."""
        return sum(e.quantity for e in self.ends)


def paper_wraps(rack: Rack, shop: Shop) -> tuple[PaperWrap, ...]:
    """Return one wrap for every distinct edge, in cut-list order."""
    groups: list[tuple[list[TubeEnd], Points, Points]] = []
    for end in tube_ends(rack, shop):
        section = end.tube.section
        outside, template = developed(end.cuts, section.od, section.wall, end.seen, shop.fit_up_gap)
        for ends, other, _ in groups:
            if _alike(ends[0], end) and _nowhere_apart(other, template):
                ends.append(end)
                break
        else:
            groups.append(([end], template, outside))
    return tuple(_wrap(tuple(ends), template, outside, shop) for ends, template, outside in groups)


def _alike(one: TubeEnd, other: TubeEnd) -> bool:
    """Return whether two ends may share a wrap as far as words go."""
    headers = [sorted(c.header_od for c in e.cuts if isinstance(c, Cope)) for e in (one, other)]
    same = one.tube.stock.name == other.tube.stock.name and (one.line, one.zero) == (other.line, other.zero)
    return same and headers[0] == headers[1]


def _nowhere_apart(one: Points, other: Points) -> bool:
    a, b = np.array(one), np.array(other)
    at = np.linspace(0.0, float(a[-1, 0]), 721)
    return float(np.abs(np.interp(at, a[:, 0], a[:, 1]) - np.interp(at, b[:, 0], b[:, 1])).max()) < SAME


def _wrap(ends: tuple[TubeEnd, ...], template: Points, outside: Points, shop: Shop) -> PaperWrap:
    od = ends[0].tube.section.od
    scale = (od + shop.paper.thickness) / od

    def on_paper(points: Points) -> Points:
        return tuple((x * scale, y) for x, y in points)

    girth = math.pi * (od + shop.paper.thickness)
    body = _clock_top(template, ends) + depth(_texts(ends, shop), girth - 4.0) + TICK + 2.0
    step = 5.0 if shop.unit == "mm" else INCH / 4
    return PaperWrap(ends, girth, on_paper(template), on_paper(outside), math.ceil(body / step - 1e-9) * step)


def wrap_templates(rack: Rack, shop: Shop) -> tuple[Template, ...]:
    """Return the wraps as templates in cut-list order."""
    return tuple(wrap_template(wrap, shop) for wrap in paper_wraps(rack, shop))


def how_to_wrap() -> tuple[str, ...]:
    """Return how every wrap is used, step by step."""
    return (
        "Cut out along the outer lines, tab and all. Card lasts longer than paper; its thickness goes into the "
        "shop's file.",
        "Draw the line of clock 0 along the tube that the wrap names; for both ends of a tube it is the same line.",
        "Lay the wrap round the tube, printed side out, the lower edge on the sawn end, both edges meeting on the "
        "line. The tab goes under the other edge, and that edge comes onto the thick line beside the tab: a gap or a "
        "lap there says that the print is not at 100 % or the tube is not the size named.",
        "Where its lower corners meet and its upper corners meet, it stands square. Tape it down.",
        "Mark along the FULL line and cut there square through the wall, hatched side away: cut so, the tube seats. "
        "At the ears a groove stays open for the weld.",
        "The DASHED line is where the tube's outside meets the other tube, and what a hole saw leaves. Cut along it "
        "only if you then grind the wall's inside back until the tube seats: a closer joint for more work.",
        "Quarter lines are at clocks 0, 90, 180 and 270, as on bend sheets and cut list: holes and bends are counted "
        "from the same line.",
        "Try it on a piece of the other tube before it is welded.",
    )


def wrap_template(wrap: PaperWrap, shop: Shop) -> Template:
    """Return one wrap as a template."""
    names = ", ".join(e.name for e in wrap.ends)
    words = " / ".join(dict.fromkeys(e.part for e in wrap.ends))
    files = tuple(f"{e.mark}-{e.end}-wrap" for e in wrap.ends)
    return Template(wrap_drawing(wrap, shop), f"wrap {names}: {words}", _notes(wrap, shop), files)


def wrap_drawing(wrap: PaperWrap, shop: Shop) -> Drawing:
    """Return the wrap at full size, mm; the sawn end is y = 0, clock 0 is x = 0 and x = girth."""
    w, top, unit = wrap.girth, wrap.top, shop.unit
    line = wrap.ends[0].line
    items: list[Item] = [
        Stroke(((w, 0.0), (0.0, 0.0), (0.0, top), (w, top)), "thin"),
        Stroke(((w, 0.0), (w + TAB, 2.0), (w + TAB, top - 2.0), (w, top)), "thin"),
        *_hatching(wrap),
        *_quarters(wrap),
        Stroke(wrap.outside, "hidden"),
        *_waste_words(wrap),
    ]
    texts, _ = block(_texts(wrap.ends, shop), w / 2, top - TICK - 1.0, w - 4.0)
    items += texts
    items += [
        Words(w + TAB / 2, top / 2, "glue here", SMALL, angle=90.0),
        Words(w / 2, 0.0, f"this edge on {line}", SMALL, shift=(0.0, -3.5), bold=True),
        Dimension((0.0, 0.0), (w, 0.0), f"{small(w, unit)} {unit} round the tube", -9.0),
        Dimension((0.0, 0.0), (0.0, top), f"{fine(top, unit)}", 7.0),
        # The line that the other edge comes to, and the line that is cut: nothing may hide them.
        Stroke(((w, 0.0), (w, top)), "mark"),
        Stroke(wrap.template, "cut"),
    ]
    return Drawing(tuple(items))


def _texts(ends: tuple[TubeEnd, ...], shop: Shop) -> tuple[tuple[str, float, bool], ...]:
    """Return what stands on the piece itself, which is parted from the page."""
    first = ends[0]
    words = " / ".join(dict.fromkeys(e.part for e in ends))
    count = sum(e.quantity for e in ends)
    cuts = dict.fromkeys(cut_words(e.cuts, shop.unit) for e in ends)
    return (
        (", ".join(e.name for e in ends), 3.2, True),
        (f"{words}, {count} {'end' if count == 1 else 'ends'}", SMALL, False),
        (first.tube.stock.name, SMALL, False),
        *((text, SMALL, False) for text in cuts),
        ("THIS SIDE OUT, sawn end down", SMALL, True),
    )


def cut_words(cuts: End, unit: Unit) -> str:
    """Return what an end is cut to, for the person who marks it."""
    words: list[str] = []
    for cut in cuts:
        if isinstance(cut, Cope):
            text = f"cope on OD {size(cut.header_od, unit)} at {degrees(cut.angle)}°"
            if abs(cut.offset) > 5e-4:
                text += f", offset {size(abs(cut.offset), unit)}"
            words.append(text)
    words += [f"mitre {degrees(c.tilt)}°, short side at {degrees(c.clock)}" for c in planes(cuts)]
    return " + ".join(words)


def _clock_top(template: Points, ends: tuple[TubeEnd, ...]) -> float:
    """Return where the rows of clocks end above the sawn end, mm."""
    rows = len({e.seen for e in ends})
    return max(y for _, y in template) + 3.0 + LABEL * rows


def _quarters(wrap: PaperWrap) -> list[Item]:
    """Return the lines at every quarter of the girth, their clocks, and ticks at the upper edge."""
    w = wrap.girth
    high = max(y for _, y in wrap.template) + 2.5
    items: list[Item] = []
    runs = sorted({e.seen for e in wrap.ends})
    curve = np.array(wrap.template)
    for k in range(5):
        x = w * k / 4
        if 0 < k < 4:
            y = float(np.interp(x, curve[:, 0], curve[:, 1]))
            items.append(Stroke(((x, 0.0), (x, y)), "thin"))
            items.append(Stroke(((x, y), (x, high)), "centre"))
            items.append(Stroke(((x, wrap.top - TICK), (x, wrap.top)), "thin"))
        for row, run in enumerate(runs):
            clock = 90 * k % 360 if run == "A" else (360 - 90 * k) % 360
            text = f"{clock}°" if len(runs) == 1 else f"{run} {clock}°"
            y = high + LABEL * row + LABEL / 2
            if k == 0:
                items.append(Words(0.0, y, text, SMALL, "left", shift=(1.2, 0.0), bold=True))
            elif k == 4:
                items.append(Words(w, y, text, SMALL, "right", shift=(-1.2, 0.0), bold=True))
            else:
                items.append(Words(x, y, text, SMALL))
    return items


def _hatching(wrap: PaperWrap) -> list[Item]:
    """Return lines at 45 degrees over what is cut away."""
    curve = np.array(wrap.template)
    high, w = float(curve[:, 1].max()), wrap.girth
    items: list[Item] = []
    for start in np.arange(-high, w, HATCH):
        along = np.linspace(0.0, high, max(2, math.ceil(high / 0.1)))
        x = start + along
        inside = (x >= 0) & (x <= w) & (along < np.interp(x, curve[:, 0], curve[:, 1]) - 0.3)
        items += [Stroke(run, "thin") for run in _runs(x, along, inside)]
    return items


def _runs(x: Array, y: Array, inside: NDArray[np.bool_]) -> list[Points]:
    """Return the ends of every unbroken run of points that are inside."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], inside.astype(int), [0]])))
    out: list[Points] = []
    for first, after in zip(edges[::2], edges[1::2], strict=True):
        if after - first > 1:
            last = after - 1
            out.append(((float(x[first]), float(y[first])), (float(x[last]), float(y[last]))))
    return out


def _waste_words(wrap: PaperWrap) -> list[Item]:
    """Return the word in the widest places of what is cut away, where there is room for it."""
    curve = np.array(wrap.template)
    half = 8.0
    at = np.linspace(0.0, wrap.girth, 721)
    y = np.interp(at, curve[:, 0], curve[:, 1])
    # Two lines of capitals high over the whole length of the word.
    room = np.array([y[(at > a - half) & (at < a + half)].min() if half < a < wrap.girth - half else 0.0 for a in at])
    items: list[Item] = []
    while room.max() > SMALL + 2.5 and len(items) < 2:
        k = int(np.argmax(room))
        items.append(Words(float(at[k]), float(room[k]) / 2, "waste", SMALL, bold=True))
        room[np.abs(at - at[k]) < wrap.girth / 4] = 0.0
    return items


def _notes(wrap: PaperWrap, shop: Shop) -> tuple[str, ...]:
    first, unit = wrap.ends[0], shop.unit
    curve, outside = np.array(wrap.template), np.array(wrap.outside)
    each = ", ".join(f"{e.name} × {e.quantity}" for e in wrap.ends)
    groove = _groove(curve, outside)
    seats = f", weld groove up to {fine(groove, unit)} {unit}" if groove > 0.5 else ""
    notes = [
        f"For {wrap.quantity} {'end' if wrap.quantity == 1 else 'ends'}: {each}.",
        f"Clock 0, where the edges meet: on {first.zero}.",
        f"Lower edge on {first.line}. With the waste cut off: upper edge {fine(wrap.top, unit)} {unit} from there.",
        f"FULL line: cut, square through the wall{seats}.",
    ]
    if any(isinstance(c, Cope) for c in first.cuts):
        gap = f" Fit-up gap of {small(shop.fit_up_gap, unit)} {unit} is in both." if shop.fit_up_gap else ""
        notes[-1] += " DASHED line: where the outside meets the other tube, only with the inside ground back." + gap
        notes.append(saw_words(hole_saw(first, shop), unit))
    return tuple(notes)


def _groove(template: Array, outside: Array) -> float:
    """Return how far the template at most stands beyond the outside curve, mm."""
    at = np.linspace(0.0, float(template[-1, 0]), 721)
    apart = np.interp(at, template[:, 0], template[:, 1]) - np.interp(at, outside[:, 0], outside[:, 1])
    return float(apart.max())
