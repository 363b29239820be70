"""The cut list on sticks: what is sawn from what, what is left, and what is said when it does not work out."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from small_rack import BAR, MM, THIN, TUBE, small_rack

from rackgen.errors import Level, NestError
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.cutting import Filled, Offer, Order, first_fit
from rackgen.sheets.cutting_best import Work, best
from rackgen.sheets.stick_records import Cut, Piece, Stick, StickNest, StockNest
from rackgen.sheets.stick_rows import bars_text, bought_table, sticks_table
from rackgen.sheets.sticks import nest_stock, stick_nest
from rackgen.sheets.sticks_check import check_sticks
from rackgen.spec.shop import Remnant, Saw, Shop
from rackgen.spec.stock import Stock

HARD = Order((1200, 890), (2, 4), 3, (Offer(3000, 3020),))
HARD_PIECES = (1200, 1200, 890, 890, 890, 890)


def pieces(*lengths: float, stage: int = 1) -> list[Piece]:
    return [Piece(f"part[{k}]", f"T{k}", "tube", stage, length) for k, length in enumerate(lengths, 1)]


def nested(stock: Stock, made: list[Piece], *remnants: Remnant, fresh: bool = True, shop: Shop = MM) -> StockNest:
    """Nest pieces of one stock and prove it."""
    shop = replace(shop, stock=(stock,))
    nest, _ = nest_stock(stock, "tube", made, shop, remnants, fresh=fresh)
    check_sticks(
        StickNest("mm", shop.saw.kerf, shop.saw.least_remnant, fresh, (nest,)),
        {stock.name: tuple(made)},
        shop,
        remnants,
    )
    return nest


def test_the_small_rack_comes_out_of_a_stick_of_each_stock() -> None:
    nest, findings = stick_nest(small_rack(), MM, ())
    assert [s.stock for s in nest.stocks] == ["33.7 × 2.6", "26.9 × 2.6", "33.7 × 2.0", "50 × 5"]
    assert [s.kind for s in nest.stocks] == ["tube", "tube", "tube", "bar"]
    assert all(len(s.sticks) == 1 and s.proven and not s.left_out for s in nest.stocks)
    lines = [line for line in cut_list(small_rack(), MM)[0].lines if line.kind in ("tube", "bar")]
    sawn = {c.piece.part: c.piece.saw for s in nest.stocks for stick in s.sticks for c in stick.cuts}
    assert sawn == {part: line.saw for line in lines for part in line.ids}
    assert [f.code for f in findings] == ["stick-price"]


def test_running_dimensions_leave_room_for_the_blade() -> None:
    (stick,) = nested(TUBE, pieces(1000, 2000, 500)).sticks
    assert [(c.piece.mark, c.start, c.end) for c in stick.cuts] == [
        ("T2", 0, 2000),
        ("T1", 2003, 3003),
        ("T3", 3006, 3506),
    ]
    # 6000, two ends of 10, and the last cut's blade.
    assert stick.left == pytest.approx(6000 - 20 - 3506 - 3)
    assert stick.kept


def test_a_stick_is_sawn_by_stages() -> None:
    late, early = pieces(2000, stage=3), [Piece("early", "T9", "tube", 1, 500.0)]
    (stick,) = nested(TUBE, late + early).sticks
    assert [c.piece.mark for c in stick.cuts] == ["T9", "T1"]


@pytest.mark.parametrize(("longer", "sticks"), [(0.0, 1), (0.01, 2)])
def test_the_last_piece_may_end_where_the_stick_does(longer: float, sticks: int) -> None:
    # 5980 between the trims, one blade: two of 2988.5 use it up.
    nest = nested(TUBE, pieces(2988.5, 2988.5 + longer))
    assert len(nest.sticks) == sticks
    if sticks == 1:
        assert (nest.sticks[0].left, nest.sticks[0].kept) == (0.0, False)


def test_what_is_short_is_scrap_and_all_of_the_stick_is_accounted_for() -> None:
    nest = nested(TUBE, pieces(5690, 5600))
    assert [(round(s.left), s.kept) for s in nest.sticks] == [(287, False), (377, True)]
    assert nest.pieces + nest.kept + nest.scrap == pytest.approx(12_000)
    longer = replace(MM, saw=Saw(3.0, 10.0, 400.0))
    assert not any(s.kept for s in nested(TUBE, pieces(5690, 5600), shop=longer).sticks)


def test_first_fit_is_bettered() -> None:
    # Longest first: two long, three short, one short. Better: one long and two short, twice.
    assert first_fit(HARD).cost == 3 * 3020
    assert best(HARD).cost == 2 * 3020
    nest = nested(replace(TUBE, stick=3020.0), pieces(*HARD_PIECES))
    assert (nest.cost, nest.least, nest.proven) == (2 * 3020, 2 * 3020, True)
    assert [sorted(c.piece.saw for c in s.cuts) for s in nest.sticks] == [[890, 890, 1200]] * 2


def test_remnants_are_used_before_anything_is_bought() -> None:
    nest = nested(TUBE, pieces(2000, 1000), Remnant(TUBE.name, 2000.0), Remnant(TUBE.name, 1100.0, 4))
    assert [(s.length, s.fresh, s.trim) for s in nest.sticks] == [(2000, False, 0), (1100, False, 0)]
    assert (nest.bought, nest.cost) == (0.0, 0.0)


def test_the_short_stick_is_bought_where_it_does() -> None:
    stock = replace(TUBE, lengths=(3000.0, 6000.0))
    assert [s.length for s in nested(stock, pieces(5000, 2500)).sticks] == [6000, 3000]
    assert [s.length for s in nested(stock, pieces(2500)).sticks] == [3000]


def test_prices_decide_where_there_are_any() -> None:
    dear = replace(TUBE, lengths=(3000.0, 6000.0), prices=(50.0, 60.0))
    nest = nested(dear, pieces(2500, 2500))
    assert ([s.length for s in nest.sticks], nest.price, nest.measure) == ([6000], 60.0, "price")
    cheap = replace(TUBE, lengths=(3000.0, 6000.0), prices=(29.99, 60.0))
    nest = nested(cheap, pieces(2500, 2500))
    assert ([s.length for s in nest.sticks], nest.price) == ([3000, 3000], 59.98)


def test_a_piece_longer_than_every_stick_is_told_and_the_rest_is_nested() -> None:
    short = replace(TUBE, stick=1500.0)
    shop = replace(MM, stock=(short, THIN, replace(BAR, prices=(20.0,)), *MM.stock[2:3]))
    nest, findings = stick_nest(small_rack(), shop, ())
    stop = next(f for f in findings if f.level is Level.STOP)
    hoop = next(line for line in cut_list(small_rack(), MM)[0].lines if line.word == "hoop")
    assert (stop.code, stop.parts, stop.got, stop.limit) == ("longer-than-stick", ("frame.hoop",), hoop.saw, 1480.0)
    assert "sleeve" in stop.help
    first = nest.stocks[0]
    assert [p.part for p in first.left_out] == ["frame.hoop"]
    assert sum(len(s.cuts) for s in first.sticks) == 2
    assert "comes out of no stick: 1 of T" in " ".join(sticks_table(nest).notes)
    note = next(f for f in findings if f.code == "stick-price")
    assert note.text.startswith("no price for 33.7 × 2.6, 26.9 × 2.6, 33.7 × 2.0: ")


def test_what_comes_out_of_the_offcuts_alone() -> None:
    # 2200 takes 1400 and 780, or three of 700 (but there is one); leaving 1000 out is the least that can be.
    made = pieces(1400, 1000, 780, 700)
    nest = nested(TUBE, made, Remnant(TUBE.name, 2200.0), Remnant(TUBE.name, 700.0), fresh=False)
    assert [p.mark for p in nest.left_out] == ["T2"]
    assert (nest.measure, nest.cost, nest.least) == ("length left out", 1000, 1000)
    assert nest.price is None
    nothing = nested(TUBE, made, fresh=False)
    assert len(nothing.left_out) == 4
    assert (nothing.cost, nothing.least, nothing.sticks) == (3880, 3880, ())


def test_offcuts_are_filled_better_than_first_fit_fills_them() -> None:
    # The longest first leaves 500 of 1000 unused; two of 500 use all of it.
    order = Order((600, 500), (1, 2), 0, (Offer(1000, 0, 1),), may_leave=True)
    assert first_fit(order).left == (0, 2)
    found = best(order)
    assert (found.filled, found.left, found.cost, found.least) == ((Filled(0, (0, 2)),), (1, 0), 600, 600)


def test_with_too_little_work_first_fit_stands_with_its_bound() -> None:
    for work in (Work(steps=3), Work(patterns=2)):
        found = best(HARD, work)
        assert found == first_fit(HARD)
        assert found.least == 2 * 3020 < found.cost
    short = replace(TUBE, stick=3020.0)
    shop = replace(MM, stock=(short,))
    nest, findings = nest_stock(short, "tube", pieces(*HARD_PIECES), shop, (), work=Work(steps=3))
    assert not nest.proven
    (note,) = findings
    assert (note.code, note.level) == ("sticks-not-proven", Level.NOTE)
    assert "9060.00 mm bought" in note.text
    assert "6040.00, a difference of 3020.00" in note.text
    table = bought_table(StickNest("mm", 3.0, 300.0, True, (nest,)))
    assert table.rows[0][-1] == "length bought not under 6040, difference 3020"


def test_a_piece_that_fits_nothing_is_refused_by_the_sum() -> None:
    with pytest.raises(ValueError, match="longer than everything"):
        first_fit(Order((10,), (1,), 0, (Offer(9, 1),)))


def test_the_solver_says_nothing_on_standard_output(capfd: pytest.CaptureFixture[str]) -> None:
    best(HARD)
    assert capfd.readouterr() == ("", "")


def test_bars_are_drawn_to_scale() -> None:
    nest = StickNest("mm", 3.0, 300.0, True, (nested(TUBE, pieces(3000, 1500, 40)),))
    lines = bars_text(nest).splitlines()
    bar = lines[lines.index("33.7 × 2.6") + 2].strip()
    first, second, third, rest = bar[1:-1].split("|")
    assert (first[:2], second[:2], third) == ("T1", "T2", "T")
    assert abs(len(first) - 48) <= 1
    assert abs(len(second) - 24) <= 1
    assert set(rest) == {"."}
    assert bar.isascii()


def test_rows_are_in_the_shops_unit() -> None:
    nest, _ = stick_nest(small_rack(), replace(MM, unit="in"), ())
    table = sticks_table(nest)
    assert table.columns[7].title == "saw in"
    assert {row[3] for row in table.rows} == {"236-1/4"}
    assert sum(int(row[4]) for row in bought_table(nest).rows) == len(table.rows)


GOOD = nested(TUBE, pieces(3000, 2000, 1500), Remnant(TUBE.name, 1600.0))


def spoilt(change: Callable[[tuple[Stick, ...]], tuple[Stick, ...]]) -> StockNest:
    return replace(GOOD, sticks=change(GOOD.sticks))


def moved(stick: Stick, by: float) -> Stick:
    """Give a stick whose last cut lies elsewhere."""
    last = stick.cuts[-1]
    return replace(stick, cuts=(*stick.cuts[:-1], Cut(last.piece, last.start + by, last.end + by)))


@pytest.mark.parametrize(
    ("nest", "says"),
    [
        (replace(GOOD, stock="other"), "does not have the stocks"),
        (spoilt(lambda s: s[:1]), "not there exactly once: part"),
        (spoilt(lambda s: (*s, s[0])), "not there exactly once: part"),
        (replace(GOOD, left_out=(GOOD.sticks[0].cuts[0].piece,)), "not there exactly once: part"),
        (spoilt(lambda s: (s[0], moved(s[1], -1.0))), "no room for the blade"),
        (spoilt(lambda s: (s[0], moved(s[1], 2000.0))), "mm are cut from 5980.00 mm"),
        (spoilt(lambda s: (s[0], replace(s[1], left=1.0))), "what is left"),
        (spoilt(lambda s: (s[0], replace(s[1], cuts=(Cut(s[1].cuts[0].piece, 0, 10), *s[1].cuts[1:])))), "as long as"),
        (spoilt(lambda s: (replace(s[0], length=1700.0, left=s[0].left + 100), s[1])), "more remnants are used"),
        (spoilt(lambda s: (s[0], replace(s[1], length=7000.0, left=s[1].left + 1000))), "a length that is not bought"),
        (replace(GOOD, least=6001.0), "under its own lower bound"),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_a_wrong_nest_is_refused(nest: StockNest, says: str) -> None:
    wanted = {TUBE.name: tuple(pieces(3000, 2000, 1500))}
    whole = StickNest("mm", 3.0, 300.0, True, (nest,))
    with pytest.raises(NestError, match=says):
        check_sticks(whole, wanted, replace(MM, stock=(TUBE,)), (Remnant(TUBE.name, 1600.0),))
