# pyright: reportUnknownMemberType=false
# shapely's distance has arguments without a type.
"""The cutting file of every nested sheet: closed contours on layer `cut` and nothing else.

The sheet's datum corner is at the origin, its length along X. No outline of the sheet, no marks, no text, no lead-ins:
those are the table's own program's, and so is the kerf. Of a piece what is inside comes before its outside.

The variant with the kerf drawn is for a table whose program cannot take it off. Its contours run half a kerf outside a
piece and half a kerf inside its holes and openings; whoever takes the kerf off once more spoils every piece.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely

from rackgen.errors import NestError
from rackgen.export.dxf import Circle, Line, Shape, dxf_bytes
from rackgen.geom import outline
from rackgen.geom.outline import Contour, Vertex
from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_place import ARC, in_place
from rackgen.sheets.nest_records import Nest, PlateSheet
from rackgen.sheets.nest_rows import all_sheets, file_name, kerf_file_name
from rackgen.sheets.stamp import Stamp

NEAR = 0.01
"""By how much a contour with the kerf drawn may be off, mm."""


def nest_files(nest: Nest, blanks: Mapping[str, Blank], stamp: Stamp, *, kerf_drawn: bool = False) -> dict[str, bytes]:
    """Return the cutting file of every sheet by name.

    Args:
        nest: the nest.
        blanks: by mark.
        stamp: of the rack.
        kerf_drawn: whether the variant with the kerf drawn is wanted beside each.

    Raises:
        NestError: a hole or opening is no wider than the kerf that is to be drawn.
    """
    files: dict[str, bytes] = {}
    for plate, sheet in all_sheets(nest):
        files[file_name(nest, plate, sheet)] = dxf_bytes(sheet_shapes(sheet, blanks), stamp)
        if kerf_drawn:
            drawn = with_kerf(sheet, blanks, nest.kerf)
            files[kerf_file_name(nest, plate, sheet)] = dxf_bytes(drawn, stamp)
    return files


def sheet_shapes(sheet: PlateSheet, blanks: Mapping[str, Blank]) -> tuple[Shape, ...]:
    """Return what is cut of a sheet, piece by piece, mm from its datum corner."""
    out: list[Shape] = []
    for laid in sheet.pieces:
        outside, openings, holes = in_place(blanks[laid.mark], laid)
        out += [Circle("cut", h.x, h.y, h.diameter) for h in holes]
        out += [Line("cut", o) for o in openings]
        out.append(Line("cut", outside))
    return tuple(out)


def with_kerf(sheet: PlateSheet, blanks: Mapping[str, Blank], kerf: float) -> tuple[Shape, ...]:
    """Return the middle of the cut instead of the edges of the pieces; arcs of contours become fine chords.

    Raises:
        NestError: a hole or opening is no wider than the kerf.
    """
    out: list[Shape] = []
    for laid in sheet.pieces:
        outside, openings, holes = in_place(blanks[laid.mark], laid)
        for hole in holes:
            if hole.diameter <= kerf + NEAR:
                raise NestError(_vanishes(laid.mark, kerf))
            out.append(Circle("cut", hole.x, hole.y, hole.diameter - kerf))
        out += [Line("cut", _offset(o, -kerf / 2, laid.mark)) for o in openings]
        out.append(Line("cut", _offset(outside, kerf / 2, laid.mark)))
    return tuple(out)


def _offset(contour: Contour, by: float, mark: str) -> Contour:
    """Return a contour moved outward by so much, held against the contour it came from."""
    shape = shapely.Polygon(outline.polygon(contour, ARC))
    # A narrow neck gives several polygons or none, which shapely's types do not say.
    moved = shape.buffer(by, quad_segs=16)
    if moved.geom_type != "Polygon" or moved.is_empty or moved.interiors:
        raise NestError(_vanishes(mark, 2 * abs(by)))
    ring = shapely.get_coordinates(moved.exterior)[:-1]
    middles = (ring + np.roll(ring, -1, axis=0)) / 2
    away = shapely.distance(shapely.points(np.concatenate([ring, middles])), shape.exterior)
    inner, outer = (shape, moved) if by > 0 else (moved, shape)
    if float(np.abs(away - abs(by)).max()) > NEAR or not outer.buffer(NEAR).contains(inner):
        raise NestError(f"{mark}: a contour with the kerf drawn is not {abs(by):.3f} mm from the piece")
    return tuple(Vertex(float(x), float(y)) for x, y in ring)


def _vanishes(mark: str, kerf: float) -> str:
    return f"{mark}: a hole or opening is no wider than the kerf of {kerf:g} mm; build without the kerf drawn"
