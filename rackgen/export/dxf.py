# pyright: reportUnknownMemberType=false, reportUnknownArgumentType=false, reportUnknownVariableType=false
# pyright: reportPrivateImportUsage=false
# ezdxf's attributes are typed as anything.
"""DXF as cutting tables read it, and the two files of every flat blank.

R2010, millimetres whatever the shop's unit ($INSUNITS 4, $MEASUREMENT 1). A contour is one closed LWPOLYLINE with true
arcs, a round hole a CIRCLE, a letter the outline of its shape. Layers are named by what is done there. Kerf is never
applied: the table's own program does that once.

`<mark>-cut.dxf` holds closed contours and nothing else; `<mark>-marked.dxf` holds everything. Whether the rack is
cleared stands in both as custom properties of the header, and in the marked one as text too.
"""

from __future__ import annotations

import io
from collections.abc import Generator, Iterable, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rackgen.export.letters import LEADING, lettering
from rackgen.geom import outline
from rackgen.geom.outline import Contour, Vertex
from rackgen.sheets.flats import Blank
from rackgen.sheets.stamp import Stamp

Layer = Literal["cut", "centres", "folds", "fold limits", "mark", "text", "outside curve", "quarters", "clock", "seam"]

COLOURS: Mapping[Layer, int] = {
    "cut": 7,
    "centres": 1,
    "folds": 5,
    "fold limits": 8,
    "mark": 3,
    "text": 8,
    "outside curve": 4,
    "quarters": 8,
    "clock": 1,
    "seam": 2,
}
"""DXF colour number of every layer."""

DASHED: frozenset[Layer] = frozenset({"outside curve", "fold limits"})

TEXT = 3.5
"""Height of the label's capitals, mm."""

CROSS = 3.0
"""Arm of a centre mark, mm."""


@dataclass(frozen=True)
class Line:
    """A polyline with bulges, closed or open."""

    layer: Layer
    vertices: Contour
    closed: bool = True


@dataclass(frozen=True)
class Circle:
    """A circle; mm."""

    layer: Layer
    x: float
    y: float
    diameter: float


Shape = Line | Circle


def straight(layer: Layer, a: tuple[float, float], b: tuple[float, float]) -> Line:
    """Return one open straight line, mm."""
    return Line(layer, (Vertex(*a), Vertex(*b)), closed=False)


def label(lines: Iterable[str], x: float, y: float, height: float = TEXT) -> tuple[Line, ...]:
    """Return lines of text, the first with its foot at y, the others below it, mm."""
    out: list[Line] = []
    for k, text in enumerate(lines):
        out += [Line("text", c) for c in lettering(text, height, x, y - k * LEADING * height)]
    return tuple(out)


@contextmanager
def _without_clock() -> Generator[None]:
    """Let ezdxf write the same dates, handles and ids every time, and leave its options as they were."""
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def dxf_bytes(shapes: Iterable[Shape], stamp: Stamp) -> bytes:
    """Return a DXF file of shapes in mm; the same shapes and stamp give the same bytes."""
    import ezdxf
    from ezdxf import units

    drawn = tuple(shapes)
    with _without_clock():
        doc = ezdxf.new("R2010", setup=False, units=units.MM)
        doc.header["$MEASUREMENT"] = 1
        low, high = _box(drawn)
        doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
        for key, value in (
            ("rack", stamp.rack),
            ("revision", stamp.revision),
            ("program", stamp.program),
            ("state", stamp.state),
        ):
            doc.header.custom_vars.append(key, value)
        layers: list[Layer] = sorted({s.layer for s in drawn})
        if DASHED & set(layers):
            doc.linetypes.add("dashed", [6.0, 4.0, -2.0], description="dashes of 4 mm")
        for layer in layers:
            made = doc.layers.add(layer, color=COLOURS[layer])
            if layer in DASHED:
                made.dxf.linetype = "dashed"
        space = doc.modelspace()
        for shape in drawn:
            if isinstance(shape, Circle):
                space.add_circle((shape.x, shape.y), shape.diameter / 2, dxfattribs={"layer": shape.layer})
            else:
                line = space.add_lwpolyline((), close=shape.closed, dxfattribs={"layer": shape.layer})
                # All at once: each point that is added by itself copies those before it.
                line.lwpoints.set([(round(v.x, 6), round(v.y, 6), 0.0, 0.0, round(v.bulge, 9)) for v in shape.vertices])
        # ezdxf adds classes in the order of a set of names, which changes from one process to the next.
        doc.classes.add_required_classes(doc.dxfversion)
        for key in sorted(doc.classes.classes):
            doc.classes.classes[key] = doc.classes.classes.pop(key)
        out = io.StringIO()
        doc.write(out)
    return doc.encode(out.getvalue())


def _box(shapes: tuple[Shape, ...]) -> tuple[tuple[float, float], tuple[float, float]]:
    xs: list[float] = []
    ys: list[float] = []
    for shape in shapes:
        if isinstance(shape, Circle):
            xs += [shape.x - shape.diameter / 2, shape.x + shape.diameter / 2]
            ys += [shape.y - shape.diameter / 2, shape.y + shape.diameter / 2]
        else:
            points = outline.polygon(shape.vertices) if shape.closed else [(v.x, v.y) for v in shape.vertices]
            xs += [float(p[0]) for p in points]
            ys += [float(p[1]) for p in points]
    return (min(xs), min(ys)), (max(xs), max(ys))


def cut_shapes(blank: Blank) -> tuple[Shape, ...]:
    """Return what the table cuts: the outside, the openings, and the holes it cuts clean."""
    return (
        Line("cut", blank.cut),
        *(Line("cut", o) for o in blank.openings),
        *(Circle("cut", h.x, h.y, h.diameter) for h in blank.holes),
    )


def marked_shapes(blank: Blank, stamp: Stamp) -> tuple[Shape, ...]:
    """Return everything there is to know about a blank: contours, centre marks, folds, its mark and its label."""
    out: list[Shape] = list(cut_shapes(blank))
    for hole in blank.centres:
        x, y = hole.x, hole.y
        out.append(straight("centres", (x - CROSS, y), (x + CROSS, y)))
        out.append(straight("centres", (x, y - CROSS), (x, y + CROSS)))
    out += [Line("centres", o) for o in blank.drilled]
    for fold in blank.folds:
        out.append(straight("folds", fold.start, fold.end))
        out += [straight("fold limits", *ends) for ends in fold.limits]
    out += _mark_on_steel(blank)
    left, bottom = (float(v) for v in outline.polygon(blank.outline).min(axis=0))
    out += label(_words(blank, stamp), left, bottom - 3 * TEXT)
    return tuple(out)


def _words(blank: Blank, stamp: Stamp) -> tuple[str, ...]:
    return (
        *stamp.lines,
        f"{blank.mark}: {blank.called}, {blank.quantity} off, {blank.stock}",
        *((f"{blank.hand} as the driver sits",) if blank.hand else ()),
        *(f.label for f in blank.folds),
        *blank.notes,
    )


def _mark_on_steel(blank: Blank) -> tuple[Line, ...]:
    """Return the mark in the widest free place of the blank, clear of holes and folds."""
    import shapely

    free = shapely.Polygon(outline.polygon(blank.outline))
    for opening in (*blank.openings, *blank.drilled):
        free = free.difference(shapely.Polygon(outline.polygon(opening)))
    for hole in (*blank.holes, *blank.centres):
        free = free.difference(shapely.Point(hole.x, hole.y).buffer(max(hole.diameter / 2, CROSS)))
    for fold in blank.folds:
        free = free.difference(
            shapely.LineString([fold.start, fold.end]).buffer(max(fold.width / 2, (fold.far_width or 0.0) / 2, 1.0))
        )
    # The widest circle inside comes back as the line from its middle to its rim.
    reach = shapely.maximum_inscribed_circle(np.array([free], dtype=object))[0]
    x, y = reach.coords[0]
    # Two or three letters stay inside a circle of their own height and a half.
    height = min(8.0, reach.length / 1.5)
    width = height * 0.85 * len(blank.mark)
    return tuple(Line("mark", c) for c in lettering(blank.mark, height, float(x) - width / 2, float(y) - height / 2))


def blank_files(blanks: Iterable[Blank], stamp: Stamp) -> dict[str, bytes]:
    """Return the DXF files of every blank by name; expanded metal has no cutting file."""
    files: dict[str, bytes] = {}
    for blank in blanks:
        if blank.on_table:
            files[f"{blank.mark}-cut.dxf"] = dxf_bytes(cut_shapes(blank), stamp)
        files[f"{blank.mark}-marked.dxf"] = dxf_bytes(marked_shapes(blank, stamp), stamp)
    return files
