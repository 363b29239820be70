"""The two DXF files of every wrap.

`<mark>-<end>-wrap-cut.dxf` holds the wrap template alone: one open polyline over exactly one girth, its first and last
height equal, which is what a rotary cutting table follows. `<mark>-<end>-wrap-marked.dxf` is for paper: the template
full, the outside curve dashed, seam, quarter lines, the line at clock 0, and the label on the side of the tube that
stays.
"""

from __future__ import annotations

from collections.abc import Iterable

from rackgen.export.dxf import Layer, Line, Shape, dxf_bytes, label, straight
from rackgen.export.letters import LEADING, broken, text_width
from rackgen.geom.outline import Vertex
from rackgen.sheets.stamp import Stamp
from rackgen.sheets.wraps import Points, Wrap

REACH = 12.0
"""How far the lines along the tube go beyond the template, mm."""

SMALL = 2.5
"""Height of the label's capitals, mm: its lines go round the tube no more than once."""


def _curve(layer: Layer, points: Points) -> Line:
    return Line(layer, tuple(Vertex(x, y) for x, y in points), closed=False)


def cut_shapes(wrap: Wrap) -> tuple[Shape, ...]:
    """Return the template alone."""
    return (_curve("cut", wrap.template),)


def marked_shapes(wrap: Wrap, stamp: Stamp) -> tuple[Shape, ...]:
    """Return the template with everything that helps to put it on."""
    high = wrap.top + REACH
    out: list[Shape] = [_curve("cut", wrap.template), _curve("outside curve", wrap.outside)]
    for x in (0.0, wrap.girth):
        out.append(straight("seam", (x, 0.0), (x, wrap.top)))
    for x, clock in wrap.clocks:
        layer = "quarters" if clock else "clock"
        out.append(straight(layer, (x, 0.0 if clock else wrap.top), (x, high)))
        # The last label stands left of its line, so that it is still on the paper.
        number = f"{clock:g}"
        left = x + 1.0 if x < wrap.girth else x - 1.0 - text_width(number, SMALL)
        out += label([number], left, high - SMALL, SMALL)
    words = [line for text in (*stamp.lines, *wrap.label) for line in broken(text, SMALL, wrap.girth - 2.0)]
    out += label(words, 1.0, high + SMALL + LEADING * SMALL * (len(words) - 1), SMALL)
    return tuple(out)


def wrap_files(wraps: Iterable[Wrap], stamp: Stamp) -> dict[str, bytes]:
    """Return the DXF files of every wrap by name."""
    files: dict[str, bytes] = {}
    for wrap in wraps:
        name = f"{wrap.mark}-{wrap.end}-wrap"
        files[f"{name}-cut.dxf"] = dxf_bytes(cut_shapes(wrap), stamp)
        files[f"{name}-marked.dxf"] = dxf_bytes(marked_shapes(wrap, stamp), stamp)
    return files
