# ezdxf's entities are of no stated kind.
# pyright: reportUnknownMemberType=false, reportUnknownVariableType=false, reportUnknownArgumentType=false
# pyright: reportPrivateImportUsage=false
"""Closed outlines out of a DXF file: closed polylines, circles, and lines and arcs that join end to end."""

from __future__ import annotations

import io
import math

import numpy as np

from rackgen.geom.frame import Array
from rackgen.spec.svg_file import DEVIATION, DrawingError

JOINED = 0.01
"""Ends this near each other are one point, in the file's units."""

READ = ("LWPOLYLINE", "POLYLINE", "CIRCLE", "ELLIPSE", "SPLINE", "LINE", "ARC")
IGNORED = ("TEXT", "MTEXT", "DIMENSION", "POINT", "VIEWPORT", "ATTDEF", "ATTRIB", "LEADER")
"""What has outlines, and what is only written beside them."""

UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0}
"""mm in the units of $INSUNITS (DXF reference); 0 says nothing."""


def dxf_outlines(content: bytes) -> tuple[list[Array], float | None]:
    """Return the outlines of a DXF file as closed rows of points, and mm in one of its units.

    Returns:
        Outlines in the file's units, shape (n, 2) each; None for mm where the file states no units.

    Raises:
        DrawingError: it is no DXF, an outline is open, or it holds what has no outline.
    """
    import ezdxf
    from ezdxf import path
    from ezdxf.lldxf.const import DXFError

    if content.startswith(b"AutoCAD Binary DXF"):
        raise DrawingError("it is a binary DXF; save it as text")
    try:
        drawing = ezdxf.read(io.StringIO(content.decode("utf-8", errors="surrogateescape")))
    except (DXFError, OSError, ValueError, IndexError, KeyError, TypeError, AttributeError) as error:
        raise DrawingError(f"it is not a DXF that can be read: {str(error)[:80]}") from None
    scale = UNITS.get(int(drawing.header.get("$INSUNITS", 0)))
    closed: list[Array] = []
    open_rows: list[Array] = []
    dark = {layer.dxf.name.lower() for layer in drawing.layers if layer.is_off() or layer.is_frozen()}
    for entity in drawing.modelspace():
        kind = entity.dxftype()
        if kind in IGNORED or entity.dxf.get("invisible", 0) or entity.dxf.get("layer", "0").lower() in dark:
            continue
        if kind not in READ:
            raise DrawingError(f"{kind} has no outline that is read; explode it into lines, arcs and polylines")
        row = np.array([(p.x, p.y) for p in path.make_path(entity).flattening(DEVIATION / (scale or 1.0))])
        if not len(row):
            continue
        ends = math.dist(row[0], row[-1])
        if getattr(entity, "is_closed", False) or getattr(entity, "closed", False) or kind == "CIRCLE" or ends < JOINED:
            closed.append(row[:-1] if ends < JOINED else row)
        else:
            open_rows.append(row)
    return closed + _joined(open_rows), scale


def _joined(rows: list[Array]) -> list[Array]:
    """Return rows put together end to end into closed ones."""
    left = list(rows)
    out: list[Array] = []
    while left:
        chain = left.pop(0)
        while math.dist(chain[0], chain[-1]) >= JOINED:
            k = next((i for i, r in enumerate(left) if min(math.dist(chain[-1], r[0]), math.dist(chain[-1], r[-1]))
                      < JOINED), None)  # fmt: skip
            if k is None:
                x, y = chain[-1]
                raise DrawingError(f"an outline is open at {x:.2f}, {y:.2f}; close it")
            more = left.pop(k)
            chain = np.concatenate([chain, (more if math.dist(chain[-1], more[0]) < JOINED else more[::-1])[1:]])
        out.append(chain[:-1])
    return out
