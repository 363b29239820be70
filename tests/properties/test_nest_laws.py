"""Laws of nests: whatever is asked for lies on its sheets, and nothing on anything else."""

import math

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from small_sheets import blank, corners, left_piece, shop

from rackgen.geom import outline
from rackgen.sheets.flats import Blank
from rackgen.sheets.nest import nest_blanks
from rackgen.sheets.nest_fit import angles, fits, sheet_sizes
from rackgen.sheets.nest_records import Laid
from rackgen.spec.shop import Shop


@st.composite
def star(draw: st.DrawFn) -> outline.Contour:
    """Give a polygon round a point that is not its middle, by falling angles and any radii."""
    n = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(20, 700), min_size=n, max_size=n))
    begin = draw(st.floats(0, 6))
    points = [
        (300 + r * math.cos(begin + 2 * math.pi * k / n), -50 + r * math.sin(begin + 2 * math.pi * k / n))
        for k, r in enumerate(radii)
    ]
    return corners(points)


@st.composite
def orders(draw: st.DrawFn) -> tuple[list[Blank], Shop]:
    """Give blanks with quantities, and a shop with remnants and rules of its table."""
    contours = draw(st.lists(star(), min_size=1, max_size=5))
    flat = [blank(f"P{k}", c, draw(st.integers(1, 4))) for k, c in enumerate(contours, 1)]
    remnants = [
        left_piece(draw(st.floats(50, 1500)), draw(st.floats(50, 900)), draw(st.integers(1, 2)))
        for _ in range(draw(st.integers(0, 3)))
    ]
    there = shop(
        *remnants,
        spacing=draw(st.none() | st.floats(1.5, 60)),
        margin=draw(st.floats(0, 80)),
        rotations=draw(st.sampled_from(["any quarter turn", "half turns only"])),
    )
    return flat, there


def lies(made: Blank, laid: Laid) -> shapely.Polygon:
    """Give a piece in its place, by what its place is said to be."""
    shape = affinity.rotate(shapely.Polygon([(v.x, v.y) for v in made.cut]), laid.angle, origin=(0, 0))
    return affinity.translate(shape, laid.x - shape.bounds[0], laid.y - shape.bounds[1])


@settings(deadline=None, derandomize=True, max_examples=60)
@given(order=orders())
def test_every_piece_lies_once_clear_of_the_others_and_inside(order: tuple[list[Blank], Shop]) -> None:
    flat, there = order
    (one,) = nest_blanks(flat, there).plates
    by_mark = {b.mark: b for b in flat}
    laid = [p for s in one.sheets for p in s.pieces]
    assert len({(p.mark, p.number) for p in laid}) == len(laid)
    margin, gap = there.table.margin, there.table.between(4.0)
    for b in flat:
        goes = any(fits(b, *size, angles(there.table), margin) for size in sheet_sizes("plate 4", there))
        there_are = sum(p.mark == b.mark for p in laid)
        assert there_are + one.left_out.count(b.mark) == b.quantity
        # What goes on a fresh sheet is never left out.
        if fits(b, 2000, 1000, angles(there.table), margin):
            assert there_are == b.quantity
        if not goes:
            assert there_are == 0
    for sheet in one.sheets:
        shapes = [lies(by_mark[p.mark], p) for p in sheet.pieces]
        room = shapely.box(margin - 0.01, margin - 0.01, sheet.length - margin + 0.01, sheet.width - margin + 0.01)
        assert all(room.contains(s) for s in shapes)
        assert all(a.distance(b) >= gap - 0.01 for k, a in enumerate(shapes) for b in shapes[:k])
        if sheet.left is not None:
            left = sheet.left
            free = shapely.box(left.x, left.y, left.x + left.length, left.y + left.width)
            assert all(free.distance(s) >= gap - 0.03 for s in shapes)
            assert left.length * left.width <= sheet.length * sheet.width - sheet.area + 1.0
        assert abs(sheet.area - sum(s.area for s in shapes)) < 1e-3
    assert one.fresh >= one.least


@settings(deadline=None, derandomize=True, max_examples=15)
@given(order=orders())
def test_the_same_order_gives_the_same_nest(order: tuple[list[Blank], Shop]) -> None:
    assert nest_blanks(*order) == nest_blanks(*order)


@settings(deadline=None, derandomize=True, max_examples=30)
@given(order=orders())
def test_a_remnant_more_never_takes_a_fresh_sheet_more(order: tuple[list[Blank], Shop]) -> None:
    flat, there = order
    none = shop(**{k: getattr(there.table, k) for k in ("spacing", "margin", "rotations")})
    assert nest_blanks(flat, there).plates[0].fresh <= nest_blanks(flat, none).plates[0].fresh
