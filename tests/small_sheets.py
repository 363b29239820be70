"""Blanks of plate and a shop to nest them in, put together by hand: what the tests of nests look at."""

import dataclasses
from collections.abc import Sequence

from small_rack import MM, PLATE

from rackgen.geom.outline import Contour, Vertex, rectangle
from rackgen.sheets.flats import Blank, RoundHole
from rackgen.spec.shop import SheetRemnant, Shop
from rackgen.spec.stock import Stock


def blank(
    mark: str,
    contour: Contour,
    quantity: int = 1,
    stock: Stock = PLATE,
    openings: tuple[Contour, ...] = (),
    holes: tuple[RoundHole, ...] = (),
) -> Blank:
    """Give a blank of a contour, without folds."""
    return Blank(
        mark, "plate", quantity, stock.name, 4.0, contour, contour, openings, holes, (), (), (), True, ()
    )  # fmt: skip


def plain(mark: str, along: float, across: float, quantity: int = 1, stock: Stock = PLATE) -> Blank:
    """Give a rectangle."""
    return blank(mark, rectangle(along, across), quantity, stock)


def corners(points: Sequence[tuple[float, float]]) -> Contour:
    """Give the contour through points."""
    return tuple(Vertex(x, y) for x, y in points)


def shop(*remnants: SheetRemnant, base: Shop = MM, **table: object) -> Shop:
    """Give the small shop, its plate 2000 long and 1000 wide, with remnants and with its table changed."""
    return dataclasses.replace(
        base,
        sheet_remnants=remnants,
        table=dataclasses.replace(base.table, **table),  # type: ignore[arg-type]
    )


def left_piece(length: float, width: float, count: int = 1) -> SheetRemnant:
    """Give remnants of the small shop's plate."""
    return SheetRemnant(PLATE.name, width, length, count)
