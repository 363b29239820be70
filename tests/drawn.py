"""What lies where on a drawing as it is painted: boxes of its texts, and lines that they may not touch."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from rackgen.export.paper.labels import measured, words_label
from rackgen.sheets.drawing import Dimension, Drawing, Stroke, Words


def text_boxes(drawing: Drawing) -> list[tuple[str, BaseGeometry]]:
    """Every text with the box of its letters on paper, without the white round it."""
    out: list[tuple[str, BaseGeometry]] = []
    for item in drawing.items:
        if isinstance(item, Words):
            label = words_label(item, drawing.scale, 0.0, 0.0)
        elif isinstance(item, Dimension):
            label = measured(item, drawing.scale, 0.0, 0.0).label
        else:
            continue
        out.append((label.text, shapely.Polygon(label.corners).buffer(-0.45)))
    return out


def steel(drawing: Drawing) -> BaseGeometry:
    """What the closed outlines enclose, on paper."""
    rings = [shapely.Polygon(np.array(s.points) * drawing.scale).buffer(0) for s in drawing.items
             if isinstance(s, Stroke) and s.closed and s.style == "edge"]  # fmt: skip
    return shapely.union_all(rings)


def mishaps(drawing: Drawing) -> list[str]:
    """Texts that touch another text, or stand on steel."""
    boxes, solid = text_boxes(drawing), steel(drawing)
    out = [f"{a} on {b}" for i, (a, one) in enumerate(boxes) for b, two in boxes[:i] if one.intersects(two)]
    return out + [f"{text} on steel" for text, box in boxes if box.intersects(solid)]
