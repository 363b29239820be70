"""Stations as PDF pages."""

import dataclasses

import pytest
from pdf_pages import letter_boxes, paths, read, texts
from pypdf.generic import ContentStream

from rackgen.export.paper.fonts import fitted, width, wrapped
from rackgen.export.paper.painter import extent
from rackgen.export.paper.pdf import Paper, pdf_bytes, tile_count
from rackgen.export.paper.sheet import MARGIN
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Stroke, Words
from rackgen.sheets.pages import Fields, Figure, Heading, Rows, Station, Template, Text, Ticks
from rackgen.sheets.stamp import Stamp
from rackgen.sheets.table import Column, Table

CLEARED = Stamp("demo", "0123456789", "rackgen 0.1.0")
STOPPED = dataclasses.replace(CLEARED, stops=("bend-clamp", "tube-clear"))
ODD = 'Müller <b>&amp; "Söhne"</b> 😀🦺 \u0416\u4e2d \x07\ud800 </para>'

PLATE = Drawing(
    (
        Stroke(((0, 0), (391, 0), (391, 114), (0, 114)), closed=True, fill="steel"),
        Stroke(((0, 57), (391, 57)), "centre"),
        Circle(300, 57, 3.25, "mark"),
        Dimension((0, 0), (391, 0), "391", -8),
        Dimension((0, 0), (0, 114), "114", 8),
        Dimension((0, 114), (3, 114), "3 and words that are longer", 6),
        Words(195, 57, "P1", 3, bold=True),
        Words(391, 114, "turned", angle=30, align="right", shift=(0, 4)),
    )
)
COLUMNS = (Column("mark", "mark"), Column("part", "part"), Column("saw", "saw mm", True), Column("notes", "notes"))
LONG = Table(
    "long", "A long table", COLUMNS,
    tuple((f"T{i}", "upright", f"{i}.5", "drill a hole of 5 at 61 from A " * (1 + i % 3)) for i in range(90)),
    ("the last note",),
)  # fmt: skip
WIDE = Table(
    "wide", "A wide table", tuple(Column(f"c{i}", f"column{i} measured") for i in range(14)),
    tuple(tuple("unbreakable123" if i % 2 else "5" for i in range(14)) for _ in range(5)),
)  # fmt: skip
WALL = Table("wall", "A wall", COLUMNS, (("T1", "x" * 400, "1", "word " * 3000),))

BOXES = ("left", "right", "initials")
CORNER = Drawing((Stroke(((0, 0), (60, 0), (60, 30)), "cut", True),))

EVERY = (
    Station(
        "one",
        "Everything & more",
        (
            Heading("First"),
            Text("Body text. " * 40),
            Text("Long tubes whip. " * 12, "caution"),
            Text("small print " * 30, "small"),
            Ticks(("Face it. " * 20, "Bend it."), numbered=True),
            Ticks(("one", "two")),
            Fields((("outside width", "1040"), ("a thing with a long name " * 5, "")), BOXES, "As built"),
            Figure(PLATE, "A plate"),
            Rows(LONG, tick=True, below=("notes",)),
            Heading("Last", new_page=True),
        ),
    ),
    Station("two", "Wide", (Heading("Sideways"), Rows(WIDE), Rows(WALL))),
    Station(
        "three",
        "Templates",
        (Heading("Plates"), Template(PLATE, "P1", ("Cut along the line. " * 6,)), Template(CORNER, "P2")),
    ),
)


def one(*blocks: object, stamp: Stamp = CLEARED, paper: Paper = "A4", title: str = "pack") -> bytes:
    return pdf_bytes((Station("x", "Saw", blocks),), stamp, "mm", paper, title)  # type: ignore[arg-type]


def words(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("stamp", [CLEARED, STOPPED], ids=["cleared", "stopped"])
def test_nothing_reaches_into_the_margin(paper: Paper, stamp: Stamp) -> None:
    data = pdf_bytes(EVERY, stamp, "mm", paper, "pack")
    for number, (page, letters) in enumerate(zip(read(data).pages, letter_boxes(data), strict=True), 1):
        wide, high = (float(v) * 25.4 / 72 for v in page.mediabox[2:])
        assert letters
        for letter, (x0, y0, x1, y1) in letters:
            assert MARGIN - 0.6 <= x0 <= x1 <= wide - MARGIN + 0.6, (number, letter)
            assert MARGIN - 0.8 <= y0 <= y1 <= high - MARGIN + 0.6, (number, letter)
        for path in paths(page):
            if not path.clipped:
                for x, y in path.points:
                    assert MARGIN - 0.3 <= x <= wide - MARGIN + 0.3, (number, path)
                    assert MARGIN - 0.3 <= y <= high - MARGIN + 0.3, (number, path)


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_pieces_of_a_page_do_not_lie_over_each_other(paper: Paper) -> None:
    # Boxes of slanting letters lie over each other without harm.
    level = Drawing(tuple(i for i in PLATE.items if not isinstance(i, Words) or not i.angle))
    blocks = tuple(Figure(level) if isinstance(b, Figure) else b for b in EVERY[0].blocks)
    said = ("Cut along the line, then round the corners. " * 4,)
    shared = tuple(Template(CORNER, f"P{i} a corner of a plate with a name of its own", said) for i in range(5))
    tiled = Template(level, "P1 side plate, left, with a long name that goes on", said)
    stations = (Station("one", "One", blocks), EVERY[1], Station("three", "Three", (*shared, tiled)))
    data = pdf_bytes(stations, STOPPED, "mm", paper, "pack")
    for letters in letter_boxes(data):
        boxes = sorted((box for _, box in letters), key=lambda b: b[0])
        for i, (_, b0, a1, b1) in enumerate(boxes):
            for c0, d0, c1, d1 in boxes[i + 1 :]:
                if c0 >= a1 - 0.15:
                    break
                # Neighbours in a word may touch; more than that, both ways, is one text over another.
                assert min(b1, d1) - max(b0, d0) < 0.3 or min(a1, c1) - c0 < 0.3


def test_every_page_says_whose_it_is_and_which_of_how_many() -> None:
    data = pdf_bytes(EVERY, dataclasses.replace(STOPPED, waived=("a b: c",)), "in", "A4", "shop pack")
    pages = texts(data)
    for n, text in enumerate(pages, 1):
        for said in (
            f"page {n} of {len(pages)}", "demo", "revision 0123456789", "units: in", "rackgen 0.1.0", "shop pack",
            "NOT CLEARED: bend-clamp, tube-clear", "1 waiver in force",
        ):  # fmt: skip
            assert said in words(text), (n, said)
    assert "NOT" not in texts(pdf_bytes(EVERY, CLEARED, "mm", "A4", ""))[0]
    assert "NOT CHECKED" in texts(pdf_bytes(EVERY, dataclasses.replace(CLEARED, checked=False), "mm", "A4", ""))[0]


def test_any_number_of_stops_leaves_room_for_the_page() -> None:
    stamp = dataclasses.replace(CLEARED, stops=tuple(f"some-code-{i}" for i in range(60)))
    text = words(texts(one(Text("body"), stamp=stamp))[0])
    assert "NOT CLEARED: some-code-0" in text
    assert " more" in text
    assert "body" in text


def test_viewers_are_told_not_to_scale_and_printers_to_use_one_side() -> None:
    root = read(one(Text("x"))).trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert root["/ViewerPreferences"]["/Duplex"] == "/Simplex"


def test_the_same_stations_give_the_same_bytes() -> None:
    assert pdf_bytes(EVERY, STOPPED, "mm", "A4", "pack") == pdf_bytes(EVERY, STOPPED, "mm", "A4", "pack")


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_pages_have_the_paper_s_size(paper: Paper) -> None:
    pages = read(pdf_bytes(EVERY, CLEARED, "mm", paper, "")).pages
    sizes = {tuple(round(float(v) * 25.4 / 72, 1) for v in p.mediabox[2:]) for p in pages}
    wide, high = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}[paper]
    assert sizes == {(wide, high), (high, wide)}


def test_odd_names_come_out() -> None:
    stamp = dataclasses.replace(CLEARED, rack=ODD)
    table = Table("t", ODD, (Column("a", ODD), Column("b", "b", True)), ((ODD, ODD),), (ODD,))
    drawing = Drawing((Words(0, 0, ODD), Dimension((0, 0), (50, 0), ODD), Stroke(((0, 0), (50, 0)))))
    blocks = (Heading(ODD), Text(ODD), Text(ODD, "caution"), Ticks((ODD,)), Fields(((ODD, ODD),), (ODD,), ODD),
              Rows(table, True, ("a",)), Figure(drawing, ODD), Template(drawing, ODD, (ODD,)))  # fmt: skip
    data = pdf_bytes((Station("x", ODD, blocks),), stamp, "mm", "A4", ODD)
    text = texts(data)[0]
    assert 'Müller <b>&amp; "Söhne"</b>' in text
    assert "</para>" in text


def test_only_the_two_faces_are_in_the_file_and_only_in_part() -> None:
    data = pdf_bytes(EVERY, STOPPED, "mm", "A4", "pack")
    fonts = {str(f.get_object()["/BaseFont"]) for p in read(data).pages for f in p["/Resources"]["/Font"].values()}
    assert fonts
    assert all("+DejaVuSans" in name for name in fonts)
    assert len(data) < 400_000


def test_a_long_table_repeats_its_titles_and_loses_no_row() -> None:
    pages = texts(one(Rows(LONG, tick=True, below=("notes",))))
    assert len(pages) > 2
    assert all("saw mm" in text for text in pages)
    all_of_it = words(" ".join(pages))
    assert all(f"T{i} upright {i}.5" in all_of_it for i in range(90))
    assert all_of_it.count("drill a hole") == sum(1 + i % 3 for i in range(90))
    assert "notes: drill" in all_of_it


def test_notes_do_not_stand_alone_on_a_page() -> None:
    for count in range(40, 56):
        table = dataclasses.replace(LONG, rows=tuple((f"T{i}", "x", "1", "") for i in range(count)))
        last = texts(one(Rows(table)))[-1]
        assert f"T{count - 1}" in last
        assert "the last note" in last


def test_a_heading_is_never_the_last_thing_on_a_page() -> None:
    for count in range(40, 60):
        for block in (
            Text("follows it"),
            Text("follows it", "caution"),
            Ticks(("follows it",)),
            Figure(PLATE, "follows it"),
        ):
            filled = Text("\n".join(["line"] * count))
            pages = texts(one(filled, Heading("A heading"), Heading("Under it"), block))
            (page,) = (text for text in pages if "A heading" in text)
            assert "Under it" in page
            assert "follows it" in page


def test_small_print_keeps_to_what_it_is_about() -> None:
    for count in range(40, 60):
        filled = Text("\n".join(["line"] * count))
        pages = texts(one(filled, Text("take care", "caution"), Text("Source: a book", "small")))
        assert any("take care" in text and "Source: a book" in text for text in pages)


def test_a_short_paragraph_stays_with_the_table_it_leads_to() -> None:
    table = dataclasses.replace(LONG, rows=LONG.rows[:3])
    for count in range(40, 60):
        filled = Text("\n".join(["line"] * count))
        pages = texts(one(filled, Ticks(("tick",)), Heading("Step"), Text("Tack it."), Rows(table)))
        assert any(all(w in text for w in ("Step", "Tack it.", "T0")) for text in pages)


def test_paragraphs_fill_their_pages() -> None:
    blocks = [b for i in range(40) for b in (Heading(f"H{i}"), Text("take care", "caution"), Text("a book", "small"))]
    # A heading, a box and a line take about 33 mm of 256.
    assert len(texts(one(*blocks))) == 6
    assert len(texts(one(*blocks, Rows(LONG)))) <= 6 + len(texts(one(Rows(LONG))))


def test_few_boxes_to_fill_are_not_parted() -> None:
    for count in range(30, 60):
        pages = texts(one(Text("\n".join(["line"] * count)), Fields((("first", ""), ("second", ""), ("third", "")))))
        assert any(all(w in text for w in ("measured", "first", "second", "third")) for text in pages)


def test_a_last_page_is_not_two_lines_or_signatures_alone() -> None:
    signed = Fields((("Fitted by", ""), ("Checked by", "")), ("name and date",))
    for count in range(20, 75):
        for end in (Text("and this"), signed):
            last = texts(one(*(Text(f"paragraph {n}") for n in range(count)), end))[-1]
            assert last.count("paragraph") >= 4


def test_a_wall_of_words_goes_over_pages_whole() -> None:
    text = " ".join(texts(one(Rows(WALL))))
    assert text.count("word") == 3000
    assert text.count("x") >= 400


def test_a_table_too_wide_to_stand_upright_lies_sideways_with_its_heading() -> None:
    pages = read(one(Text("before"), Ticks(("a tick",)), Heading("Leads to it"), Rows(WIDE))).pages
    assert [float(p.mediabox[2]) > float(p.mediabox[3]) for p in pages] == [False, True]
    assert "Leads to it" in pages[1].extract_text()


def test_no_text_is_smaller_than_eight_points() -> None:
    sizes: list[float] = []
    for page in read(pdf_bytes(EVERY, STOPPED, "mm", "A4", "pack")).pages:
        for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
            if operator == b"Tf":
                sizes.append(float(operands[1]))
    assert sizes
    assert min(sizes) >= 8


def test_boxes_to_fill_are_tall_enough_to_write_in() -> None:
    page = read(one(Fields((("outside width", "1040"), ("diagonal", "")), ("measured", "initials")))).pages[0]
    boxes = [p for p in paths(page) if len(p.points) == 4 and p.closed and abs(p.wide - 0.3) < 1e-3]
    assert len(boxes) == 4
    for box in boxes:
        ys = [y for _, y in box.points]
        assert max(ys) - min(ys) >= 8


def test_ticks_are_empty_squares() -> None:
    page = read(one(Ticks(("one", "two", "three"), numbered=True))).pages[0]
    boxes = [p for p in paths(page) if len(p.points) == 4 and p.how in ("S", "s")]
    assert len(boxes) == 3
    assert "2." in page.extract_text()


def test_a_figure_says_its_scale() -> None:
    assert "A plate (scale 1 : 2.5)" in words(texts(one(Figure(PLATE, "A plate")))[0])
    assert "not to scale" in texts(one(Figure(PLATE, "A plate", schematic=True)))[0]


def test_no_line_runs_through_the_text_of_a_dimension() -> None:
    drawing = Drawing((Stroke(((0, 0), (100, 0))), Dimension((0, 0), (100, 0), "100", 8)))
    page = read(one(Figure(drawing, height=40))).pages[0]
    found = paths(page)
    white = max(i for i, p in enumerate(found) if len(p.points) == 4 and p.how.startswith("f"))
    (x0, y0), (x1, y1) = found[white].points[0], found[white].points[2]
    assert all(len(p.points) != 2 or p.points[0][1] == p.points[1][1] for p in found[white + 1 :]), "only head and foot"
    for path in found[white + 1 :]:
        assert not any(x0 < x < x1 and y0 < y < y1 for x, y in path.points)


def test_texts_count_in_what_a_drawing_covers() -> None:
    bare = extent(Drawing((Stroke(((0, 0), (10, 0))),)))
    worded = extent(Drawing((Stroke(((0, 0), (10, 0))), Words(10, 0, "a long text", align="left"))))
    assert worded[2] > bare[2] + 10


def test_small_templates_share_a_page_and_large_ones_do_not() -> None:
    small = [Template(Drawing((Stroke(((0, 0), (60, 0), (60, 30)), "cut", True),)), f"P{i}") for i in range(4)]
    assert len(read(one(*small)).pages) == 1
    large = Template(Drawing((Stroke(((0, 0), (150, 0), (150, 150)), "cut", True),)), "P9")
    assert len(read(one(large, large)).pages) == 2
    assert tile_count(large, "A4") == 1


def test_every_template_page_says_how_to_print_it() -> None:
    for text in texts(one(Template(PLATE, "P1", ("note",)), Heading("Q"), *[Template(PLATE, "P2")])):
        for said in ("print at 100 %, no fit to page", "measure this: 100 mm", "measure this: 4 in"):
            assert said in text


def test_a_heading_before_a_template_names_its_pages() -> None:
    pages = texts(one(Text("x"), Heading("Gauges"), Template(PLATE, "P1")))
    assert "Saw: Gauges" in pages[1]


def test_lines_are_no_longer_than_their_room() -> None:
    text = "basket.upright.left[2] " * 5 + "W" * 80
    for room in (5.0, 20.0, 60.0):
        lines = wrapped(text, 9, room)
        assert all(width(line, 9) <= room for line in lines)
        assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert fitted("W" * 80, 9, 40).endswith("…")
    assert width(fitted("W" * 80, 9, 40), 9) <= 40
