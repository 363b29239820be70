"""The packet's pieces without a browser: escaping, packing, drawings, files, and how a rack comes apart."""

from __future__ import annotations

import base64
import json
import zlib
from html.parser import HTMLParser
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from roofs import roof, vehicle
from small_rack import small_rack

from rackgen.check.gap_map import GapMap
from rackgen.check.result import Gap
from rackgen.export.apart import apart
from rackgen.export.gap_map_drawing import LETTERS
from rackgen.export.gap_map_svg import COLOURS, bands
from rackgen.export.packet import blocks, page, scene
from rackgen.export.packet.figure import svg
from rackgen.export.packet.gaps import LIFT, gaps
from rackgen.export.packet.shelf import shelf
from rackgen.export.packet.still import still
from rackgen.mesh.triangles import triangles
from rackgen.parts.marks import lines
from rackgen.parts.measure import centroid
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Stroke, Words
from rackgen.sheets.pages import Fields, Heading, Rows, Station, Template, Text, Ticks
from rackgen.sheets.table import Column, Table
from rackgen.spec.rack import Gaps

NASTY = "</script><b> & \"x\" 'y' \u2028\u2029 😀 <!--"


class Texts(HTMLParser):
    """Collects the tags and texts of HTML."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.text = ""
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        self.text += data


@given(st.text())
def test_data_in_a_script_can_end_nothing_and_reads_back(text: str) -> None:
    told = page.script_json({"a": [text]})
    assert not set("<>&\u2028\u2029") & set(told)
    assert json.loads(told) == {"a": [text]}


@given(st.text(alphabet=st.characters(exclude_categories=("Cs", "Cc")), min_size=1))
def test_whatever_is_typed_makes_no_tags(text: str) -> None:
    columns = (Column("mark", text), Column("a", "a"), Column("b", "b"), Column("c", text))
    table = Table("t", text, columns, ((text, text, text, text), ("T1", "", "x", "y")), (text,))
    station = Station("s", text, (
        Heading(text), Text(text), Text(text, "caution"), Ticks((text,), numbered=True),
        Fields(((text, text),), (text,), text), Rows(table, tick=True, below=("c",)),
    ))  # fmt: skip
    plain = Texts(blocks.station(_with_plain_words(station), {"T1"}))
    odd = Texts(blocks.station(station, {"T1"}))
    if text.strip() and text != "T1" and "T1" not in text.split(" "):
        assert odd.tags == plain.tags
        assert text in odd.text


def _with_plain_words(station: Station) -> Station:
    """Give a station of the same shape whose every typed text is one harmless word."""
    columns = (Column("mark", "w"), Column("a", "a"), Column("b", "b"), Column("c", "w"))
    table = Table("t", "w", columns, (("w", "w", "w", "w"), ("T1", "", "x", "y")), ("w",))
    return Station("s", "w", (
        Heading("w"), Text("w"), Text("w", "caution"), Ticks(("w",), numbered=True),
        Fields((("w", "w"),), ("w",), "w"), Rows(table, tick=True, below=("c",)),
    ))  # fmt: skip


def test_marks_in_tables_are_buttons_and_nothing_else_is() -> None:
    table = Table("t", "t", (Column("mark", "mark"), Column("x", "x")), (("T1 H2", "T1"), ("T9", "")))
    made = blocks.table(table, {"T1", "H2"})
    assert made.count("<button") == 2
    assert Texts(made).text.count("T1") == 2


def test_meshes_come_back_within_a_hair() -> None:
    for line in lines(small_rack()):
        mesh = triangles(line.part)
        packed = scene.packed(mesh)
        whole = np.frombuffer(base64.b64decode(packed["corners"]), dtype="<u2").reshape(-1, 3)
        assert np.abs(whole * packed["step"] + packed["low"] - mesh.vertices).max() < 0.03
        faces = np.frombuffer(base64.b64decode(packed["faces"]), dtype="<u4" if packed["wide"] else "<u2")
        assert (faces.reshape(-1, 3) == mesh.faces).all()


def test_every_part_and_joint_is_in_the_scene() -> None:
    rack = small_rack()
    distinct = lines(rack)
    parts = scene.parts(distinct, rack)
    assert sorted(p["id"] for p in parts) == sorted(p.id for p in rack.placed)
    assert len(scene.joints(rack)) == len(rack.joints)
    assert json.dumps([scene.marks(distinct), scene.roof(vehicle(roof())), scene.stay_out(vehicle(roof()), Gaps())])
    low, high = scene.size(distinct)
    assert all(a < b for a, b in zip(low, high, strict=True))


def test_pulled_apart_everything_stands_farther_from_everything_else() -> None:
    rack = small_rack()
    moves = apart(rack)
    assert moves.keys() == {p.id for p in rack.placed}
    middles = np.array([p.frame.point(centroid(p.part)) for p in rack.placed])
    after = middles + np.array([moves[p.id] for p in rack.placed])
    made = [n for n, p in enumerate(rack.placed) if p.stage]

    def between(points: np.ndarray) -> np.ndarray:
        return np.linalg.norm(points[made][:, None] - points[made][None], axis=2)

    nearer = (between(after) < between(middles) - 1.0).mean()
    assert nearer < 0.1
    assert between(after).mean() > 1.25 * between(middles).mean()


def test_files_go_in_by_rank_as_long_as_there_is_room() -> None:
    noise = np.random.default_rng(5).bytes
    files = {"demo-pack.pdf": noise(3000), "T1.stl": noise(200), "demo.step": noise(3000), "a-cut.dxf": b"x" * 5000}
    held = {one.name: one for one in shelf(files, 4500)}
    assert held.keys() == files.keys()
    assert zlib.decompress(base64.b64decode(held["demo-pack.pdf"].inside)) == files["demo-pack.pdf"]
    # The solids no longer fit, what is small after them does; triangles are never put in.
    assert held["demo.step"].inside == ""
    assert zlib.decompress(base64.b64decode(held["a-cut.dxf"].inside)) == files["a-cut.dxf"]
    assert held["T1.stl"].inside == ""
    assert sum(len(one.inside) for one in held.values()) <= 4500


def test_a_drawing_is_sound_svg_with_all_of_its_texts() -> None:
    drawing = Drawing((
        Stroke(((0.0, 0.0), (100.0, 0.0), (50.0, 40.0)), "hidden", closed=True, fill="light"),
        Circle(50.0, 10.0, 4.0, "mark"),
        Dimension((0.0, 0.0), (100.0, 0.0), "1-1/4 & <2>", -8.0),
        Words(50.0, 20.0, NASTY.replace("\u2028\u2029", ""), bold=True, angle=30.0),
    ))  # fmt: skip
    made = svg(drawing, 0.5, NASTY.replace("\u2028\u2029", ""))
    tree = ElementTree.fromstring(made)
    texts = [e.text for e in tree.iter("text")]
    assert "1-1/4 & <2>" in texts
    assert len(texts) == 2
    x, y, wide, high = (float(v) for v in tree.attrib["viewBox"].split())
    assert wide > 50.0
    assert high > 20.0
    for path in tree.iter("path"):
        for pair in path.attrib["d"].strip("Mz").split("L"):
            px, py = (float(v) for v in pair.split())
            assert x - 0.1 <= px <= x + wide + 0.1
            assert y - 0.1 <= py <= y + high + 0.1


def test_the_still_drawing_shows_every_made_part() -> None:
    tree = ElementTree.fromstring(still(small_rack(), "small"))
    made = [p for p in small_rack().placed if p.stage]
    assert len(list(tree)) > len(made)


@pytest.mark.parametrize("name", ["view.js", "page.css", "three-LICENSE.txt"])
def test_the_built_view_is_there_and_cannot_end_its_own_script(name: str) -> None:
    text = page.shipped(name)
    assert len(text) > 500
    assert "</script" not in text.lower()
    assert "</style" not in text.lower()
    assert "http" not in text or name == "view.js"


def test_the_gap_map_lies_on_the_roof_in_the_bands_and_letters_of_its_page() -> None:
    """Two triangles a place at the roof's height; parts on the body have no band, others that of their gap."""
    skin, wish = roof(top=-110.0, half=660.0), Gaps()
    rows = tuple(tuple(None if k < 3 else 10.0 + 4.0 * k for k in range(40)) for _ in range(30))
    near = Gap("a", "T1", "tube", 22.0, (50.0, 40.0, -80.0), 25.0)
    on_it = Gap("b", "P1", "mount plate", 0.0, (0.0, 0.0, -110.0), None)
    drawn = GapMap(100.0, -130.0, 20.0, rows, (near,))
    made = gaps(drawn, (near, on_it), wish, skin, "mm")
    assert made is not None
    assert sum(made["counts"]) == 2 * 37 * 30
    whole = np.frombuffer(base64.b64decode(made["mesh"]["corners"]), dtype="<u2").reshape(-1, 3)
    at = whole * made["mesh"]["step"] + made["mesh"]["low"]
    assert at[:, 0].min() == pytest.approx(100.0, abs=0.1)
    assert at[:, 0].max() == pytest.approx(700.0, abs=0.1)
    assert at[:, 1].max() == pytest.approx(670.0, abs=0.1)
    assert np.allclose(at[:, 2], LIFT - 110.0, atol=0.1)
    ends = bands(wish)
    assert made["parts"] == {"a": sum(e <= 22.0 for e in ends)}
    assert [b["colour"] for b in made["bands"]] == list(COLOURS[: len(ends) + 1])
    assert made["letters"]
    for letter in made["letters"]:
        x, y, _ = letter["at"]
        gap = rows[int((x - 100.0) // 20)][int((y + 130.0) // 20)]
        assert gap is not None
        assert letter["text"] == LETTERS[sum(gap >= e for e in ends)]
    assert gaps(GapMap(0.0, 0.0, 20.0, (), ()), (), wish, skin, "mm") is None


def test_a_template_is_shown_in_small_with_the_files_that_hold_it() -> None:
    card = Template(Drawing((Stroke(((0.0, 0.0), (90.0, 0.0)), "thin"),)), "wrap T1 A", ("cut it",), ("T1-A-wrap",))
    station = Station("s", "s", (card,))
    made = blocks.station(station, set(), {"templates.pdf", "T1-A-wrap-cut.dxf", "other.dxf"})
    assert 'data-file="templates.pdf"' in made
    assert 'href="./T1-A-wrap-cut.dxf"' in made
    assert "T1-A-wrap-marked.dxf" not in made
    assert "cut nothing by this" in made
    assert "<a " not in blocks.station(station, set(), ())
