"""The bill, the estimate and the quotation: what is counted, what is charged, and what is said to be missing."""

import csv
import dataclasses
import io
import json
import math
from collections import Counter
from decimal import Decimal

import pytest

from rackgen import job, paper
from rackgen.export.tables import csv_bytes, json_bytes
from rackgen.geom.cope import Cope
from rackgen.made import Design
from rackgen.parts.kinds import BentTube, Bought, FoldedBar, RivetShape
from rackgen.sheets.amounts import cents, exact, total, written
from rackgen.sheets.bill import LOT, bill
from rackgen.sheets.coating import finish
from rackgen.sheets.cost import Cost, cost
from rackgen.sheets.flats import blanks
from rackgen.sheets.money_rows import bill_table, cost_table, without
from rackgen.sheets.money_station import buying_station, estimate_station, quotation_station
from rackgen.sheets.operations import SET_UPS, WORDS, operations
from rackgen.sheets.pages import Fields, Rows, Text
from rackgen.sheets.quotation import price_words, quotation, quotation_text
from rackgen.sheets.sticks import stick_nest
from rackgen.sheets.welds import weld_map
from rackgen.spec.money import Coating, Labour, Money, Supplies
from rackgen.spec.money_file import MinutesTable, SetUpTable
from rackgen.spec.read import read_job
from rackgen.spec.shape import keys
from rackgen.spec.shop import Shop


@pytest.fixture(scope="module")
def demo() -> Design:
    return job.design(read_job("demo"))


@pytest.fixture(scope="module")
def whole(demo: Design) -> Cost:
    return cost(demo.rack, demo.job.shop)


def silent(shop: Shop) -> Shop:
    """Return a shop that says nothing about money."""
    return dataclasses.replace(
        shop,
        stock=tuple(dataclasses.replace(s, prices=()) for s in shop.stock),
        u_bolts=tuple(dataclasses.replace(b, price=None) for b in shop.u_bolts),
        rivets=tuple(dataclasses.replace(r, price=None) for r in shop.rivets),
        money=Money(),
        labour=Labour(),
        finish=Coating(),
        supplies=Supplies(),
    )


def test_half_a_cent_is_rounded_up_and_nothing_is_lost() -> None:
    assert cents(Decimal("0.125")) == Decimal("0.13")
    assert cents(Decimal("2.675")) == Decimal("2.68")
    assert exact(0.1) + exact(0.2) == exact(0.3)
    assert total([None, Decimal("1.10"), Decimal("2.20")]) == Decimal("3.30")
    assert written(Decimal("1234.5"), "EUR") == "EUR 1,234.50"
    assert written(None, "EUR") == ""


def test_every_operation_has_its_minutes_in_the_file_and_its_words_on_the_sheet() -> None:
    assert set(keys(MinutesTable)) == set(WORDS)
    assert set(keys(SetUpTable)) == set(SET_UPS)


def test_work_is_counted_off_the_rack_itself(demo: Design) -> None:
    rack, shop = demo.rack, demo.job.shop
    welds = weld_map(rack, torch=False)[0]
    nest = stick_nest(rack, shop, ())[0]
    work = operations(rack, shop, nest, blanks(rack, shop)[0], welds, finish(rack, shop))
    count = {o.key: o.count for o in work if not o.set_up}
    tubes = [p.part for p in rack.placed if isinstance(p.part, BentTube)]
    bars = [p.part for p in rack.placed if isinstance(p.part, FoldedBar)]
    assert count["bend"] == sum(len(t.spine.bends) for t in tubes) == 10
    assert count["fold"] == sum(len(b.folds) for b in bars)
    coped = sum(any(isinstance(c, Cope) for c in end) for t in tubes for end in (t.end_a, t.end_b))
    assert count["coped_end"] == coped == 30
    assert count["weld"] == pytest.approx(welds.bead / 1000)
    assert count["joint"] == len(welds.welds)
    assert count["dress"] == 4
    assert count["assemble"] == sum(isinstance(p.part, Bought) for p in rack.placed)
    # Every piece is cut off, every fresh stick faced twice, every bent tube trimmed twice.
    fresh = sum(s.fresh for one in nest.stocks for s in one.sticks)
    assert count["saw_cut"] == len(tubes) + len(bars) + 2 * fresh + 2 * sum(bool(t.spine.bends) for t in tubes)
    assert {o.key for o in work if o.set_up} == set(SET_UPS)
    assert next(o.count for o in work if o.set_up and o.key == "table") == 3


def test_rivets_come_by_grip_with_spares(demo: Design) -> None:
    found = bill(demo.rack, demo.job.shop)
    set_ones = Counter(
        p.part.name for p in demo.rack.placed if isinstance(p.part, Bought) and isinstance(p.part.shape, RivetShape)
    )
    assert set_ones
    for name, count in set_ones.items():
        line = next(x for x in found.lines if x.name == name)
        assert line.spare == max(2, math.ceil(count / 10))
        assert line.count == count + line.spare
        grips = next(r.grip for r in demo.job.shop.rivets if r.name == name)
        held = [float(w) for w in line.note.replace(",", "").split() if w.replace(".", "").isdigit() and "." in w]
        assert held
        assert all(grips[0] - 1e-6 <= g <= grips[1] + 1e-6 for g in held)


def test_the_u_bolt_says_what_it_passes(demo: Design) -> None:
    line = next(x for x in bill(demo.rack, demo.job.shop).lines if x.name.startswith("U-bolt"))
    assert line.count == 8
    assert "passes 39.9 mm: tube 33.7, coating 0.16, isolator twice 3" in line.note


def test_a_thicker_coating_asks_for_a_wider_u_bolt() -> None:
    asked = read_job("demo")
    thick = dataclasses.replace(asked.shop, finish=dataclasses.replace(asked.shop.finish, thickness=0.3))
    made = job.design(dataclasses.replace(asked, shop=thick))
    bolts = {p.part.name for p in made.rack.placed if p.word == "U-bolt" and isinstance(p.part, Bought)}
    assert bolts == {"U-bolt M8 x 50"}


def test_sticks_are_charged_whole_and_sheets_by_area(demo: Design) -> None:
    shop = demo.job.shop
    found = bill(demo.rack, shop)
    tube = next(x for x in found.lines if x.name == "33.7 x 2.6 tube")
    assert (tube.count, tube.price, tube.charged) == (3, Decimal("90.00"), Decimal("90.00"))
    mesh = next(x for x in found.lines if x.kind == "mesh")
    assert mesh.share == pytest.approx(mesh.used * 1.15 / (1250 * 2500))
    assert mesh.charged == cents(exact(mesh.share) * 70)
    assert (mesh.count, mesh.price) == (1, Decimal("70.00"))


def test_the_estimate_adds_up_by_hand(whole: Cost) -> None:
    assert whole.missing == ()
    assert total(r.amount for r in whole.rows) == whole.cost
    assert whole.material + whole.labour + whole.coating + whole.added == whole.cost
    assert whole.price == cents(whole.cost / Decimal("0.8"))
    for row in whole.rows:
        if row.group == "labour":
            assert row.minutes is not None
            assert row.amount == cents(exact(row.minutes) * 48 / 60)
    assert whole.hours == pytest.approx(sum(r.minutes or 0 for r in whole.rows) / 60)


def test_a_least_charge_holds_and_a_coater_does_our_work(demo: Design) -> None:
    shop = demo.job.shop
    small = next(r for r in cost(demo.rack, shop).rows if r.group == "coating")
    assert small.amount == Decimal("25.00")
    assert "least charge" in small.words
    coater = dataclasses.replace(shop, finish=Coating("c", price_per_area=100.0))
    found = cost(demo.rack, coater)
    row = next(r for r in found.rows if r.group == "coating")
    assert row.amount == cents(exact(finish(demo.rack, shop).area * 1e-6) * 100)
    assert not any("coat" in r.words for r in found.rows if r.group == "labour")
    dip = dataclasses.replace(shop, finish=Coating("zinc", "hot dip", price_per_mass=2.0))
    assert next(r for r in cost(demo.rack, dip).rows if r.group == "coating").words == "zinc, kg of steel dipped"


def test_racks_alike_share_set_ups(demo: Design, whole: Cost) -> None:
    four = cost(demo.rack, demo.job.shop, 4)
    assert four.quantity == 4
    one = {r.words: r for r in whole.rows}
    for row in four.rows:
        if row.words.startswith("set up"):
            assert row.amount == one[row.words].amount
    assert four.price_each < whole.price
    assert four.price > whole.price


def test_large_orders_are_bought_in_lots(demo: Design) -> None:
    shop = demo.job.shop
    lots = bill(demo.rack, shop, 2 * LOT + 1)
    assert lots.quantity == 21
    for line in bill(demo.rack, shop, LOT).lines:
        if line.kind in ("tube", "bar"):
            more = next(x for x in lots.lines if x.name == line.name)
            assert 2 * line.count < more.count <= 3 * line.count


def test_a_silent_shop_is_told_what_to_write_and_gets_the_rest(demo: Design) -> None:
    found = cost(demo.rack, silent(demo.job.shop))
    said = {lack.key for lack in found.missing}
    assert {'prices, under [[tube]] "33.7 x 2.6 tube"', 'price, under [[mesh]] "raised mesh 23 x 50"'} <= said
    assert {"rate, under [labour]"} & said == set()
    assert "saw_cut, under [labour.minutes]" in said
    assert {"margin, under [money]", "currency, under [money]", "cap, under [supplies]"} <= said
    assert found.cost == Decimal("0.00")
    assert "without price of 33.7 x 2.6 tube" in without(found)
    table = cost_table(found)
    assert table.columns[4].title == "money"
    assert all(row[5] or row[0] == "sum" for row in table.rows)


def test_one_price_missing_leaves_a_sum_without_it(demo: Design, whole: Cost) -> None:
    shop = demo.job.shop
    lacking = dataclasses.replace(shop, supplies=dataclasses.replace(shop.supplies, sealant=None))
    found = cost(demo.rack, lacking)
    assert [(m.what, m.key) for m in found.missing] == [
        ("price of sealant, does not harden", "sealant, under [supplies]")
    ]
    assert found.material == whole.material - Decimal("9.00")
    assert any(row[1] == "cost without price of sealant, does not harden" for row in cost_table(found).rows)


def test_without_a_rate_the_minutes_are_still_there(demo: Design, whole: Cost) -> None:
    shop = demo.job.shop
    found = cost(demo.rack, dataclasses.replace(shop, labour=dataclasses.replace(shop.labour, rate=None)))
    assert [m.key for m in found.missing] == ["rate, under [labour]"]
    assert found.labour == 0
    assert found.hours == pytest.approx(whole.hours)


def test_the_customer_sees_none_of_the_shops_own(demo: Design, whole: Cost) -> None:
    found = quotation(demo.rack, demo.job.shop, demo.job.vehicle, demo.job.spec, whole)
    text = quotation_text(found)
    assert price_words(found) == "EUR 1,792.86 without tax, for one rack"
    for secret in ("margin", "overhead", "hours", "minutes", "an hour", "48.00", f"{whole.cost}", f"{whole.labour}"):
        assert secret not in text
    assert "tax             ____" in text
    assert "1040 wide, 1080 long, 184 high" in text
    assert "120 kg moving" in text
    assert "NOT TO BE HANDED OUT" not in text


def test_an_incomplete_price_is_not_offered(demo: Design) -> None:
    shop = silent(demo.job.shop)
    found = quotation(demo.rack, shop, demo.job.vehicle, demo.job.spec, cost(demo.rack, shop))
    assert found.price is None
    assert price_words(found) == "not worked out yet"
    assert "NOT TO BE HANDED OUT" in quotation_text(found)
    station = quotation_station(found)
    assert isinstance(station.blocks[0], Text)
    assert station.blocks[0].kind == "caution"


def test_an_unknown_roof_limit_is_said(demo: Design, whole: Cost) -> None:
    vehicle = dataclasses.replace(demo.job.vehicle, roof_limit=None)
    assert "not known to us" in quotation_text(quotation(demo.rack, demo.job.shop, vehicle, demo.job.spec, whole))


def test_the_sheets_read_back_from_csv_and_json(demo: Design) -> None:
    for name in ("coating", "bill", "cost", "quotation"):
        table, text, record = paper.SHEETS[name](demo)
        assert table is not None
        assert table.title.split()[0] in text
        rows = list(csv.DictReader(io.StringIO(csv_bytes(table, demo.stamp).decode("utf-8"))))
        assert len(rows) == len(table.rows)
        assert json.loads(json_bytes(name, record, demo.stamp))["data"]
    _, _, record = paper.SHEETS["cost"](demo)
    data = json.loads(json_bytes("cost", record, demo.stamp))["data"]
    assert Decimal(data["cost"]) == total(Decimal(r["amount"]) for r in data["rows"])


def test_the_pages_hold_every_line(demo: Design, whole: Cost) -> None:
    shop = demo.job.shop
    found = bill(demo.rack, shop)
    buying = buying_station(found, shop.unit)
    listed = [row[2] for b in buying.blocks if isinstance(b, Rows) for row in b.table.rows]
    assert listed == [line.name for line in found.lines]
    boxes = next(b for b in buying.blocks if isinstance(b, Fields))
    assert "heat or certificate no." in boxes.boxes
    estimate = estimate_station(whole)
    rows = [row for b in estimate.blocks if isinstance(b, Rows) for row in b.table.rows]
    assert len(rows) == len(whole.rows) + 7


def test_what_comes_out_of_remnants_is_not_bought() -> None:
    made = job.design(read_job("survey-crew"))
    found = bill(made.rack, made.job.shop)
    plate = next(line for line in found.lines if line.kind == "plate")
    assert plate.count == 0
    assert "remnants at hand" in plate.note
    texts = [b.text for b in buying_station(found, "in").blocks if isinstance(b, Text)]
    assert any("3/16 plate" in text for text in texts)
    assert bill_table(found, "in", "USD").rows
