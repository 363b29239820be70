"""Laws of the nest of sticks: every piece once, no stick overfull, between bound and first fit, whatever the order."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from small_rack import MM, TUBE

from rackgen.sheets.cutting import Offer, Order, Plan, first_fit
from rackgen.sheets.cutting_best import Work, best
from rackgen.sheets.patterns import patterns
from rackgen.sheets.stick_records import Piece, StickNest, StockNest
from rackgen.sheets.sticks import nest_stock
from rackgen.sheets.sticks_check import check_sticks
from rackgen.spec.shop import Remnant, Saw, Shop

QUICK = settings(deadline=None, derandomize=True, max_examples=80)

LENGTHS = st.lists(st.floats(20, 3200).map(lambda mm: round(mm, 2)), min_size=1, max_size=14)
REMNANTS = st.lists(st.tuples(st.sampled_from((400.0, 1250.5, 2900.0)), st.integers(1, 3)), max_size=3)
SAWS = st.builds(Saw, st.sampled_from((0.0, 1.5, 3.175)), st.sampled_from((0.0, 10.0)), st.sampled_from((0.0, 300.0)))
SOLD = st.sampled_from((((), ()), ((1500.0, 3300.0), ()), ((1500.0, 3300.0), (20.5, 50.0)), ((), (33.0,))))


def pieces(lengths: list[float]) -> list[Piece]:
    return [Piece(f"p[{k}]", f"T{k % 3}", "tube", k % 3 + 1, mm) for k, mm in enumerate(lengths)]


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    sold, prices = draw(SOLD)
    return replace(MM, stock=(replace(TUBE, stick=3300.0, lengths=sold, prices=prices),), saw=draw(SAWS))


def nested(made: list[Piece], shop: Shop, remnants: tuple[Remnant, ...], *, fresh: bool) -> StockNest:
    nest, _ = nest_stock(shop.stock[0], "tube", made, shop, remnants, fresh=fresh)
    return nest


@given(LENGTHS, shops(), REMNANTS, st.booleans(), st.randoms(use_true_random=False))
@QUICK
def test_every_piece_once_no_stick_overfull_and_the_order_given_changes_nothing(
    lengths: list[float], shop: Shop, left: list[tuple[float, int]], fresh: bool, random: object
) -> None:
    remnants = tuple(Remnant(TUBE.name, length, count) for length, count in left)
    made = pieces(lengths)
    nest = nested(made, shop, remnants, fresh=fresh)
    whole = StickNest("mm", shop.saw.kerf, shop.saw.least_remnant, fresh, (nest,))
    check_sticks(whole, {TUBE.name: tuple(made)}, shop, remnants)
    assert not nest.left_out or not fresh
    assert nest.least <= nest.cost

    # The same by hand, without the records' own sums.
    for stick in nest.sticks:
        sawn = sum(c.piece.saw for c in stick.cuts) + shop.saw.kerf * (len(stick.cuts) - 1)
        assert sawn <= stick.length - 2 * stick.trim + 1e-4
    there = sorted([c.piece.part for s in nest.sticks for c in s.cuts] + [p.part for p in nest.left_out])
    assert there == sorted(p.part for p in made)

    shuffle = random.shuffle  # type: ignore[attr-defined]
    shuffle(made)
    turned = list(remnants)
    shuffle(turned)
    assert nested(made, shop, tuple(turned), fresh=fresh) == nest


@st.composite
def orders(draw: st.DrawFn) -> Order:
    """Draw small orders with one or two lengths to buy, and perhaps something there already."""
    sizes = tuple(sorted(draw(st.sets(st.integers(8, 60), min_size=1, max_size=6)), reverse=True))
    wanted = tuple(draw(st.integers(1, 5)) for _ in sizes)
    bought = draw(st.sampled_from(((Offer(100, 100),), (Offer(70, 75), Offer(100, 100)), (Offer(100, 7),))))
    there = tuple(Offer(room, 0, 2) for room in draw(st.sets(st.integers(10, 90), max_size=2)))
    leave = draw(st.booleans()) and bool(there)
    return Order(sizes, wanted, draw(st.integers(0, 3)), (() if leave else bought) + there, leave)


def plain_first_fit(order: Order) -> int:
    """Give the cost of first fit as the books have it: one length, the longest piece first."""
    rooms: list[int] = []
    for size, n in zip(order.sizes, order.wanted, strict=True):
        for _ in range(n):
            need = size + order.kerf
            place = next((k for k, room in enumerate(rooms) if room >= need), None)
            if place is None:
                rooms.append(order.offers[0].room + order.kerf)
                place = -1
            rooms[place] -= need
    return len(rooms) * order.offers[0].cost


def comes_to(order: Order, plan: Plan) -> bool:
    used = [sum(f.pieces[k] for f in plan.filled) + plan.left[k] for k in range(len(order.sizes))]
    return tuple(used) == order.wanted


@given(orders())
@QUICK
def test_never_worse_than_first_fit_and_never_below_the_bound(order: Order) -> None:
    found, simple = best(order), first_fit(order)
    assert comes_to(order, found)
    assert comes_to(order, simple)
    assert simple.least <= found.least <= found.cost <= simple.cost
    if len(order.offers) == 1 and not order.may_leave:
        assert simple.cost == plain_first_fit(order)
    hurried = best(order, Work(steps=20, patterns=5, nodes=1))
    assert comes_to(order, hurried)
    # A bound that was found in a hurry is still one.
    assert hurried.least <= found.cost <= hurried.cost <= simple.cost


def least_by_trying(order: Order) -> int:
    """Give the fewest lengths by going through all that can be cut, one length after the other."""
    sizes = [size + order.kerf for size in order.sizes]
    states, count = {order.wanted}, 0
    while (0,) * len(sizes) not in states:
        after: set[tuple[int, ...]] = set()
        for state in states:
            for pattern in patterns(sizes, state, order.offers[0].room + order.kerf, 10_000)[0]:
                after.add(tuple(have - n for have, n in zip(state, pattern, strict=True)))
        states, count = after, count + 1
    return count


@given(st.sets(st.integers(20, 60), min_size=1, max_size=4), st.data())
@settings(QUICK, max_examples=40)
def test_the_best_is_what_trying_everything_finds(made: set[int], data: st.DataObject) -> None:
    sizes = tuple(sorted(made, reverse=True))
    wanted = tuple(data.draw(st.integers(1, 3)) for _ in sizes)
    order = Order(sizes, wanted, 2, (Offer(100, 1),))
    found = best(order)
    assert found.cost == found.least == least_by_trying(order)
