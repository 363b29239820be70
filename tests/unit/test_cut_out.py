"""Letters and pictures through side plates: islands held, narrow places found, bad drawings refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from shapely.geometry import Polygon
from shapely.ops import unary_union

from rackgen import job
from rackgen.errors import BadInput, Level, RackgenError
from rackgen.geom.glyphs import CAP, face_file, glyph, known
from rackgen.geom.stencil import cut_outs, narrowest_cut, narrowest_metal
from rackgen.made import Design
from rackgen.parts.kinds import CutPlate
from tests.option_racks import PLAIN, written_job
from tests.preset_texts import only

BOX = np.array([(-30.0, -30.0), (130.0, -30.0), (130.0, 100.0), (-30.0, 100.0)])


def letter(sign: str, height: float = 60.0) -> list[np.ndarray]:
    loops, _ = glyph(sign, "DejaVuSans-Bold", deviation=0.05 * CAP / height)
    return [np.array(loop) / CAP * height for loop in loops]


@pytest.mark.parametrize("sign", "ABDOPQRabdegopq04689@&%ÄÖØ€")
@pytest.mark.parametrize("bridge", [3.0, 5.0])
def test_every_island_is_held_by_its_bridges(sign: str, bridge: float) -> None:
    """The plate stays in one piece, and no bridge is thinner than asked: worked out by areas, not by the bridges."""
    made = cut_outs(letter(sign), bridge)
    plate = Polygon(BOX).difference(unary_union([Polygon(r) for r in made]))
    assert plate.geom_type == "Polygon"
    thinner = plate.buffer(-(bridge - 0.1) / 2, join_style="mitre")
    islands = [Polygon(r) for r in letter(sign) if Polygon(r).area > 0][1:] if sign in "O0DQ" else []
    for island in islands:
        whole = [p for p in getattr(thinner, "geoms", [thinner]) if p.intersects(island.centroid.buffer(0.1))]
        assert len(whole) == 1
        assert whole[0].area > 1000
    assert all(Polygon(r).is_valid and Polygon(r).exterior.is_ccw for r in made)


def test_an_o_is_cut_as_two_halves_and_an_i_as_it_is() -> None:
    assert len(cut_outs(letter("O"), 4.0)) == 2
    whole = letter("I")
    assert Polygon(cut_outs(whole, 4.0)[0]).area == pytest.approx(Polygon(whole[0]).area)


def test_an_island_in_an_island_is_cut_again() -> None:
    rings = [
        np.column_stack([r * np.cos(a), r * np.sin(a)]) for r in (40, 30, 20, 10) for a in [np.arange(0, 6.28, 0.05)]
    ]
    made = cut_outs(rings, 4.0)
    area = sum(Polygon(r).area for r in made)
    full = math.pi * (40**2 - 30**2 + 20**2 - 10**2)
    assert full - 4 * 4 * 10 * 1.1 < area < full - 3 * 4 * 10
    assert narrowest_metal(BOX - 40, made, 10.0) == pytest.approx(4.0, abs=0.1)


def test_the_narrowest_place_is_found_by_measure() -> None:
    """Two squares of 20 with 3 between them; a bar of 2.5 joining two squares."""
    squares = [np.array([(x, 0.0), (x + 20, 0.0), (x + 20, 20.0), (x, 20.0)]) for x in (0.0, 23.0)]
    assert narrowest_metal(BOX, squares, 12.0) == pytest.approx(12.0, abs=0.02)
    bone = Polygon([(0, 0), (20, 0), (20, 8), (40, 8), (40, 0), (60, 0), (60, 20), (40, 20), (40, 10.5), (20, 10.5),
                    (20, 20), (0, 20)])  # fmt: skip
    assert narrowest_cut([np.array(bone.exterior.coords)[:-1]], 12.0) == pytest.approx(2.5, abs=0.05)


def test_the_face_knows_its_letters() -> None:
    assert known("Ж", "DejaVuSans-Bold")
    assert not known("\U0001f9f0", "DejaVuSans-Bold")


def made(folder: Path, sides: str, basket: str = PLAIN) -> Design:
    return job.checked(job.design(written_job(folder, {"basket": basket, "sides": sides})))


def plates(design: Design) -> list[CutPlate]:
    found = [p.part for p in design.rack.placed if p.word == "side plate"]
    assert all(isinstance(p, CutPlate) for p in found)
    return found  # type: ignore[return-value]


def test_a_text_is_cut_and_read_from_outside_on_both_sides(tmp_path: Path) -> None:
    """Seen from outside the first letter is to the left: ahead on the left side, aft on the right one."""
    design = made(tmp_path, 'text = "L.."')
    assert not [f for f in design.findings if f.level > Level.NOTE]
    one, other = plates(design)
    assert one == other
    for side, ahead in (("left", True), ("right", False)):
        placed = design.rack.part(f"basket.plate.{side}")
        part = placed.part
        assert isinstance(part, CutPlate)
        tall = max(part.openings, key=lambda o: max(v.y for v in o) - min(v.y for v in o))
        x = np.mean([placed.frame.point((v.x, v.y, 0.0))[0] for v in tall])
        middle = np.mean([placed.frame.point((v.x, v.y, 0.0))[0] for o in part.openings for v in o])
        assert bool(x < middle) is ahead


@pytest.mark.parametrize("text", ["OAK R8", "L..", "MOSS", "RIVER"])
def test_what_goes_on_the_table_reads_as_on_the_vehicle(tmp_path: Path, text: str) -> None:
    """The plate's upper face is its outside on both sides, so that its flat drawing is no mirror image."""
    design = made(tmp_path, f'text = "{text}"')
    for side, out in (("left", -1.0), ("right", 1.0)):
        assert design.rack.part(f"basket.plate.{side}").frame.z[1] == pytest.approx(out)


def test_slots_and_letters_share_a_plate(tmp_path: Path) -> None:
    without = plates(made(tmp_path, 'text = "IL"'))[0]
    both = plates(made(tmp_path, 'text = "IL"\nslots = true'))[0]
    none = plates(made(tmp_path, "slots = false"))[0]
    assert len(without.openings) == 2
    assert len(both.openings) == 5
    assert len(none.openings) == 0


STOPPED = [
    ('text = "A VERY LONG NAME OF A VERY LARGE COMPANY"', "text-too-long", "a shorter text"),
    ('text = "OAK"\nletter_height = 150', "text-too-long", "letters of at most"),
]


@pytest.mark.parametrize(("sides", "code", "cure"), STOPPED)
def test_a_text_that_does_not_fit_is_a_stop_with_what_would(tmp_path: Path, sides: str, code: str, cure: str) -> None:
    design = made(tmp_path, sides)
    stop = next(f for f in design.findings if f.code == code)
    assert stop.level is Level.STOP
    assert cure in stop.help
    assert stop.parts == ("basket.plate.left", "basket.plate.right")
    assert not plates(design)[0].openings


def test_letters_narrower_than_the_kerf_allows_are_said(tmp_path: Path) -> None:
    design = made(tmp_path, 'text = "@&@&@&"\nletter_height = 12')
    codes = {f.code: f for f in design.findings}
    assert codes["cut-narrow"].level is Level.STOP
    assert codes["cut-narrow"].got is not None
    assert codes["cut-narrow"].got < 1.5


def test_a_thin_bridge_is_said(tmp_path: Path) -> None:
    design = made(tmp_path, 'text = "O"\nbridge = 2')
    found = next(f for f in design.findings if f.code == "bridge-narrow")
    assert found.level is Level.LOOK
    assert found.got == pytest.approx(2.0, abs=0.1)


STRANGE = {
    "a sign that the face lacks": "\\U0001f9f0",
    "letters that run from right to left": "\\u05d0\\u05d1",
    "a mark that goes over the letter before it": "Xo\\u0305K",
}


@pytest.mark.parametrize("what", STRANGE)
def test_a_text_that_cannot_be_set_letter_by_letter_is_refused(tmp_path: Path, what: str) -> None:
    with pytest.raises(BadInput) as refused:
        made(tmp_path, f'text = "{STRANGE[what]}"')
    mistake = only(refused.value.mistakes)
    assert mistake.key == "sides.text"
    assert mistake.read
    assert "from left to right" in mistake.wanted


def test_a_letter_written_in_two_signs_is_cut_as_the_one_it_is(tmp_path: Path) -> None:
    assert plates(made(tmp_path, 'text = "E\\u0301"')) == plates(made(tmp_path, 'text = "\\u00c9"'))


def test_a_low_plate_takes_the_least_letters_where_they_fit(tmp_path: Path) -> None:
    """What is said not to fit does not: the room is 16 mm high, and least letters are 12."""
    design = made(tmp_path, 'text = "HI"', PLAIN.replace("220", "109"))
    found = {f.code: f for f in design.findings}
    assert "text-too-long" not in found, found["text-too-long"].text


@pytest.mark.parametrize("sides", ['text = "OAK"', 'outline = "picture.svg"'])
def test_letters_and_pictures_without_a_plate_to_cut_are_said(tmp_path: Path, sides: str) -> None:
    svg(tmp_path, '<rect width="40" height="20"/>')
    design = made(tmp_path, sides, PLAIN + "\nside_plates = 0")
    found = next(f for f in design.findings if f.code == "no-plate-to-cut")
    assert found.level is Level.LOOK
    assert found.keys == ("basket.side_plates", f"sides.{sides.split(' ', maxsplit=1)[0]}")


def svg(folder: Path, inner: str, size: str = 'width="100mm" viewBox="0 0 100 60"') -> str:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>'
    (folder / "picture.svg").write_text(f"{head}{inner}</svg>", "utf-8")
    return 'outline = "picture.svg"'


def area(part: CutPlate) -> float:
    return sum(Polygon([(v.x, v.y) for v in o]).area for o in part.openings)


DRAWN: list[tuple[str, float]] = [
    ('<circle cx="50" cy="30" r="20"/>', math.pi * 400),
    ('<ellipse cx="50" cy="30" rx="30" ry="10"/>', math.pi * 300),
    ('<rect x="10" y="10" width="40" height="20"/>', 800),
    ('<polygon points="0,0 40,0 40,30"/>', 600),
    ('<path d="M10 10h40v20h-40z"/>', 800),
    ('<path d="m10,10 l40,0 0,20 -40,0z"/>', 800),
    ('<path d="M30,30 a20,20 0 1 0 40,0 a20,20 0 1 0 -40,0z"/>', math.pi * 400),
    ('<path d="M0,0 C20,40 40,40 60,0 Z"/>', 60 * 40 * 0.5),
    ('<path d="M0,0 Q30,60 60,0 Z"/>', 60 * 60 / 3),
    ('<path d="M0,0 Q15,30 30,0 T60,0 L60,-40 L0,-40 Z"/>', 2400),
    ('<path d="M0,0 C10,20 20,20 30,0 S50,-20 60,0 L60,40 L0,40 Z"/>', 2400),
    ('<g transform="translate(10 10) scale(2)"><rect width="20" height="10"/></g>', 800),
    ('<g transform="rotate(30)"><rect width="40" height="20"/></g>', 800),
    ('<g transform="matrix(0 1 -1 0 50 0)"><rect width="40" height="20"/></g>', 800),
    ('<rect width="40" height="20" rx="5"/>', 800 - (4 - math.pi) * 25),
    ('<rect width="40px" height="20" rx="30" ry="5"/>', 20 * 40 - (4 - math.pi) * 20 * 5),
    ('<rect width="40" height="20"/><circle cx="5" cy="5" r="3" style="fill:red; display : none"/>', 800),
    ('<rect width="40" height="20"/><g visibility="hidden"><circle cx="50" cy="30" r="9"/></g>', 800),
]


@pytest.mark.parametrize(("inner", "right"), DRAWN, ids=[d[0][:40] for d in DRAWN])
def test_shapes_of_an_svg_have_their_area(tmp_path: Path, inner: str, right: float) -> None:
    """Closed forms: circle, ellipse, parabola with one control point (b h / 3), cubic with two (b h / 2)."""
    part = plates(made(tmp_path, svg(tmp_path, inner)))[0]
    assert area(part) == pytest.approx(right, rel=0.004)


def test_a_picture_is_stretched_to_its_length_and_stands_upright(tmp_path: Path) -> None:
    sides = svg(tmp_path, '<polygon points="0,0 40,0 40,30"/>', 'viewBox="0 0 100 60"')
    part = plates(made(tmp_path, sides + "\noutline_length = 80"))[0]
    assert area(part) == pytest.approx(4 * 600, rel=0.001)


def dxf(folder: Path, draw: Callable[[object], None], units: int = 4) -> str:
    drawing = ezdxf.new("R2010")
    drawing.header["$INSUNITS"] = units
    draw(drawing.modelspace())
    drawing.saveas(folder / "picture.dxf")
    return 'outline = "picture.dxf"'


CORNERS = ((0, 0), (40, 0), (40, 20))
DXF: list[tuple[str, Callable[..., object], float]] = [
    ("a circle", lambda m: m.add_circle((5, 5), 20), math.pi * 400),
    ("a polyline", lambda m: m.add_lwpolyline([(0, 0), (40, 0), (40, 20), (0, 20)], close=True), 800),
    ("an arc in it", lambda m: m.add_lwpolyline([(0, 0, 1), (40, 0, 0)], format="xyb", close=True), math.pi * 200),
    ("lines", lambda m: [m.add_line(a, b) for a, b in zip(CORNERS, (*CORNERS[1:], CORNERS[0]), strict=True)], 400),
    ("an arc and a line", lambda m: [m.add_arc((0, 0), 20, 0, 180), m.add_line((-20, 0), (20, 0))], math.pi * 200),
    ("a closed spline", lambda m: m.add_spline([(0, 0), (20, 30), (40, 0), (20, -30), (0, 0)]), 1800),
    ("an ellipse", lambda m: m.add_ellipse((0, 0), (30, 0), 0.5), math.pi * 450),
    ("what is switched off", lambda m: [m.doc.layers.add("A").off(), m.add_circle((50, 0), 9, {"layer": "A"}),
                                        m.add_circle((5, 5), 20)], math.pi * 400),
    ("words beside it", lambda m: [m.add_circle((5, 5), 20), m.add_text("scale 1:1")], math.pi * 400),
]  # fmt: skip


@pytest.mark.parametrize(("name", "draw", "right"), DXF, ids=[d[0] for d in DXF])
def test_outlines_of_a_dxf_have_their_area(
    tmp_path: Path, name: str, draw: Callable[..., object], right: float
) -> None:
    part = plates(made(tmp_path, dxf(tmp_path, draw)))[0]
    assert area(part) == pytest.approx(right, rel=0.15 if "spline" in name else 0.004)


def test_a_dxf_in_inches_is_taken_in_inches(tmp_path: Path) -> None:
    part = plates(made(tmp_path, dxf(tmp_path, lambda m: m.add_circle((0, 0), 1.0), 1)))[0]
    assert area(part) == pytest.approx(math.pi * 25.4**2, rel=0.004)


BAD: list[tuple[str, str, str]] = [
    ("open.svg", '<path d="M0 0 L40 0 L40 20"/>', "open"),
    ("line.svg", '<line x1="0" y1="0" x2="9" y2="9"/>', "encloses nothing"),
    ("crossing.svg", '<path d="M0 0 L40 20 L40 0 L0 20 Z"/>', "crosses itself"),
    ("two.svg", '<rect width="40" height="20"/><rect x="20" y="10" width="40" height="20"/>', "crosses another"),
    ("text.svg", "<text>OAK</text>", "turn it into paths"),
    ("skewed.svg", '<rect width="40" height="20" transform="skewX(20)"/>', "skewX"),
    ("empty.svg", "", "no closed outline"),
    ("broken.svg", '<path d="M0 0 L40"/>', "breaks off"),
    ("strange.svg", '<path d="M0 0 % L40 9 z"/>', "has '%'"),
    ("number.svg", '<circle r="much"/>', "is no number"),
    ("endless.svg", '<path d="M0 0 L1e400 0 L40 20 Z"/>', "is no number"),
    ("unit.svg", '<rect width="40mm" height="20"/>', "is no number"),
    ("share.svg", '<rect width="50%" height="20"/>', "is no number"),
    ("page.svg", '<svg x="10"><rect width="40" height="20"/></svg>', "drawing within"),
    ("turned.svg", '<rect width="40" height="20" style="transform: rotate(9deg)"/>', "apply it"),
]


@pytest.mark.parametrize(("name", "inner", "says"), BAD, ids=[b[0] for b in BAD])
def test_a_bad_drawing_is_refused_at_its_key(tmp_path: Path, name: str, inner: str, says: str) -> None:
    with pytest.raises(BadInput) as refused:
        made(tmp_path, svg(tmp_path, inner))
    mistake = only(refused.value.mistakes)
    assert mistake.key == "sides.outline"
    assert says in mistake.wanted


FILES: list[tuple[str, bytes, str]] = [
    ("missing.svg", b"", "there is no such file"),
    ("picture.png", b"x", "ends in .svg or .dxf"),
    ("words.svg", b"hello", "not XML"),
    ("page.svg", b"<html/>", "not an SVG"),
    ("bomb.svg", b'<!DOCTYPE a [<!ENTITY b "c">]><svg/>', "entities"),
    ("words.dxf", b"hello", "not a DXF"),
    ("bytes.dxf", bytes(range(256)), "not a DXF"),
    ("large.svg", b"<svg>" + b" " * 1_000_001, "at most"),
    ("unsized.svg", b'<svg><rect width="10" height="10"/></svg>', "add outline_length"),
]


@pytest.mark.parametrize(("name", "content", "says"), FILES, ids=[f[0] for f in FILES])
def test_a_file_that_cannot_be_used_is_refused_at_its_key(tmp_path: Path, name: str, content: bytes, says: str) -> None:
    if name != "missing.svg":
        (tmp_path / name).write_bytes(content)
    with pytest.raises(BadInput) as refused:
        made(tmp_path, f'outline = "{name}"')
    mistake = only(refused.value.mistakes)
    assert mistake.key == "sides.outline"
    assert says in mistake.wanted
    assert mistake.line > 0


def test_open_lines_and_blocks_of_a_dxf_are_refused(tmp_path: Path) -> None:
    for draw, says in (
        (lambda m: m.add_line((0, 0), (40, 0)), "open at"),
        (lambda m: m.add_blockref("X", (0, 0)), "INSERT"),
    ):
        with pytest.raises(BadInput) as refused:
            made(tmp_path, dxf(tmp_path, draw))
        assert says in only(refused.value.mistakes).wanted


def test_a_picture_larger_than_the_plate_is_a_stop_with_the_length_that_fits(tmp_path: Path) -> None:
    sides = svg(tmp_path, '<rect width="500" height="20"/>')
    design = made(tmp_path, sides)
    stop = next(f for f in design.findings if f.code == "outline-too-big")
    assert stop.level is Level.STOP
    most = stop.help.split("outline_length to ")[1].split(" ")[0]
    again = made(tmp_path, f"{sides}\noutline_length = {most}")
    assert "outline-too-big" not in {f.code for f in again.findings}
    assert plates(again)[0].openings


def test_a_font_that_is_missing_is_told_with_a_cure(monkeypatch: pytest.MonkeyPatch) -> None:
    assert face_file("DejaVuSans").read_bytes()[:4] == b"\x00\x01\x00\x00"
    monkeypatch.setattr("rackgen.geom.glyphs.find_spec", lambda name: None)
    with pytest.raises(RackgenError, match=r"DejaVuSans-Bold\.ttf .* install matplotlib anew"):
        face_file("DejaVuSans-Bold")
