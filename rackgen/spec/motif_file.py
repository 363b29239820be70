"""A picture for side plates out of a DXF or SVG file, held to what can be cut."""

from __future__ import annotations

import numpy as np

from rackgen.errors import BadInput
from rackgen.geom.outline import Vertex
from rackgen.geom.stencil import cross, crosses_itself
from rackgen.spec.document import Document, content_of, written
from rackgen.spec.dxf_file import dxf_outlines
from rackgen.spec.places import Path
from rackgen.spec.svg_file import DrawingError, svg_outlines
from rackgen.spec.tops import Motif

MOST_POINTS = 20_000
MOST_OUTLINES = 500
"""What a table's program and a plate can take, and more than any picture for a plate needs."""

KEY: Path = ("sides", "outline")


def read_motif(document: Document, name: str, sized: bool) -> Motif:
    """Return the picture that a rack file names.

    Args:
        document: the rack file, beside which the picture's file stands.
        name: as it stands in the rack file.
        sized: whether the rack file says how long it is; else the drawing must state its units.

    Raises:
        BadInput: the file cannot be read, or an outline in it cannot be cut.
    """

    def wrong(wanted: str) -> BadInput:
        return BadInput([document.mistake(KEY, wanted, written(name))])

    path = document.path.parent / name
    read = {".svg": svg_outlines, ".dxf": dxf_outlines}.get(path.suffix.lower())
    if read is None:
        raise wrong("name a file that ends in .svg or .dxf")
    try:
        content = content_of(path, name)
    except BadInput as error:
        raise wrong("; ".join(m.wanted for m in error.mistakes)) from None
    try:
        rows, scale = read(content)
    except DrawingError as error:
        raise wrong(str(error)) from None
    if not rows:
        raise wrong("there is no closed outline in it")
    if len(rows) > MOST_OUTLINES or sum(map(len, rows)) > MOST_POINTS:
        raise wrong(f"at most {MOST_OUTLINES} outlines and {MOST_POINTS:,} points; draw it plainer")
    if not all(np.isfinite(row).all() for row in rows):
        raise wrong("a number in it is not finite")
    if scale is None and not sized:
        raise wrong("the drawing states no units; add outline_length, how long it is on the plate")
    rows = [row * (scale or 1.0) for row in rows]
    if float(np.ptp(np.concatenate(rows), axis=0).min()) <= 0.0:
        raise wrong("it has no size")
    if scale is None:
        # Of a size to be stretched anyway, but not so small that it is lost in rounding.
        rows = [row * (100.0 / float(np.ptp(np.concatenate(rows)[:, 0]))) for row in rows]
    for k, row in enumerate(rows):
        x, y = row[0]
        if crosses_itself(row):
            raise wrong(f"the outline that begins at {x:.1f}, {y:.1f} crosses itself or encloses nothing")
        if any(cross(row, other) for other in rows[:k]):
            raise wrong(f"the outline that begins at {x:.1f}, {y:.1f} crosses another; join the two into one")
    return Motif(name, tuple(tuple(Vertex(round(float(x), 4), round(float(y), 4)) for x, y in row) for row in rows))
