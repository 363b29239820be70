"""The view: opens from a file with the network off, turns, and does what its tools say."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import numpy as np
import pytest
from browser_seen import Seen
from matplotlib.image import imread

from rackgen.check.gap_map import tightest
from rackgen.export.gap_map_drawing import LETTERS
from rackgen.made import Design
from rackgen.parts.marks import marks
from rackgen.strength.most_used import most_used
from rackgen.units import Unit, shown_step, write_length

pytestmark = pytest.mark.browser


def canvas(seen: Seen) -> np.ndarray:
    """Give the view's pixels on white, read by a library that did not make them."""
    url = seen.page.evaluate('(() => { rackView.view.draw(); return rackView.view.canvas.toDataURL("image/png"); })()')
    shown = imread(io.BytesIO(base64.b64decode(url.partition(",")[2])))
    solid = shown[:, :, 3:] if shown.shape[2] == 4 else 1.0
    return np.rint((shown[:, :, :3] * solid + (1 - solid)) * 255).astype(int)


def stage(seen: Seen) -> np.ndarray:
    """Give a picture of the view with its background."""
    seen.page.wait_for_timeout(250)
    return np.rint(imread(io.BytesIO(seen.page.locator(".stage").screenshot()))[:, :, :3] * 255).astype(int)


def differ(a: np.ndarray, b: np.ndarray) -> float:
    """Give the share of pixels that are not alike."""
    return float((np.abs(a - b).max(axis=2) > 24).mean())


def test_it_opens_from_a_file_and_asks_the_network_for_nothing(demo: Seen, packet_file: Path) -> None:
    seen = demo
    assert {asked for asked in seen.asked if not asked.startswith("blob:")} == {packet_file.as_uri()}
    shown = canvas(seen)
    assert len(np.unique(shown.reshape(-1, 3), axis=0)) > 200
    assert packet_file.stat().st_size < 5_000_000


def test_the_demo_rack_is_light_to_draw(demo: Seen) -> None:
    page = demo.page
    for box in ("#show-stay-out", "#show-marks", "#show-grid"):
        page.check(box)
    page.wait_for_timeout(300)
    drawn = page.evaluate("(() => { const i = rackView.info(); return [i.calls, i.triangles]; })()")
    assert 20 < drawn[0] <= 80
    assert 50_000 < drawn[1] <= 150_000


def test_picking_a_known_part_shows_its_mark(demo: Seen) -> None:
    """The upper front ring's own middle is in nobody's way from above: a click there takes it in hand."""
    page = demo.page
    page.click('button[data-look="top"]')
    page.wait_for_timeout(100)
    spot = page.evaluate(
        """(() => {
          const { view, rack } = rackView;
          const n = rack.byId.get("basket.upper.front");
          const p = rack.parts[n].base.elements;
          return view.onScreen(rackView.point([12, 13, 14].map((k) => p[k] + 40 * p[k - 12])));
        })()"""
    )
    area = page.locator("#canvas").bounding_box()
    assert area is not None
    page.mouse.click(area["x"] + spot["x"], area["y"] + spot["y"])
    card = page.locator("#card")
    assert card.locator(".stamp").inner_text() == "T2"
    text = card.inner_text()
    for told in ("basket.upper.front", "33.7 x 2.6 tube", "kg each", "saw mm", "butt with sleeve"):
        assert told in text
    page.keyboard.press("Escape")


def test_a_part_is_taken_and_put_down_by_list_and_card(demo: Seen) -> None:
    page = demo.page
    page.select_option("#which", label="P2 basket.plate.left")
    assert page.locator("#card .stamp").inner_text() == "P2"
    page.locator("#card .joints button").first.click()
    assert page.locator("#card .stamp").inner_text() != "P2"
    page.click("#release")
    assert page.locator("#card").inner_text() == ""


def test_pulled_apart_every_part_has_moved_and_none_is_lost(demo: Seen) -> None:
    seen = demo
    before = canvas(seen)
    where = "rackView.rack.parts.map((p, n) => rackView.rack.middle(n).toArray())"
    still = np.array(seen.page.evaluate(where))
    seen.page.fill("#apart", "100")
    moved = np.array(seen.page.evaluate(where))
    off = np.linalg.norm(moved - still, axis=1)
    assert np.isfinite(moved).all()
    assert (off > 5.0).mean() > 0.9
    assert np.ptp(moved[:, 2]) > 1.5 * np.ptp(still[:, 2])
    assert differ(before, canvas(seen)) > 0.02
    seen.page.fill("#apart", "0")
    assert np.allclose(np.array(seen.page.evaluate(where)), still)


def test_a_saw_cut_shows_sawn_faces_at_the_place_it_tells(demo: Seen) -> None:
    seen = demo
    seen.page.uncheck("#show-roof")
    before = canvas(seen)
    seen.page.check('input[name="saw"][value="along"]')
    assert "right of the middle" in seen.page.locator("#saw-said").inner_text()
    sawn = canvas(seen)
    assert differ(before, sawn) > 0.01

    def faces(shown: np.ndarray) -> int:
        return int(((shown[:, :, 0] > 200) & (shown[:, :, 2] < 110) & (shown[:, :, 1] > 140)).sum())

    assert faces(sawn) > faces(before) + 40
    seen.page.check('input[name="saw"][value="none"]')
    assert differ(before, canvas(seen)) < 0.001


def test_what_is_shown_and_hidden_changes_the_picture(demo: Seen) -> None:
    seen = demo
    boxes = ("#show-roof", "#show-stay-out", "#show-bought", "#show-edges", "#show-sizes")
    before = first = canvas(seen)
    for box in boxes:
        seen.page.locator(box).click()
        after = canvas(seen)
        assert differ(before, after) > 0.0005, box
        before = after
    for box in boxes:
        seen.page.locator(box).click()
    assert differ(first, canvas(seen)) == 0.0


def test_the_tape_reads_what_the_design_is(demo: Seen) -> None:
    """Between the legs' axes seen from above: the frame's width over its tubes less one tube."""
    page = demo.page
    page.uncheck("#show-roof")
    page.click('button[data-look="top"]')
    page.click("#tape")
    area = page.locator("#canvas").bounding_box()
    assert area is not None
    spots = page.evaluate(
        """(() => {
          const z = rackView.rack.middle(rackView.rack.byId.get("frame.hoop")).z + 33.7 / 2;
          return [-558, 558].map((y) => rackView.view.onScreen(rackView.point([683, y, z])));
        })()"""
    )
    for spot in spots:
        page.mouse.click(area["x"] + spot["x"], area["y"] + spot["y"])
    text = page.locator("#reading").inner_text()
    across = float(text.split("fore and aft, ")[1].split(" mm across")[0])
    assert across == pytest.approx(1150.0 - 33.7, abs=4.0), text


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_the_tape_writes_lengths_as_the_sheets_do(demo: Seen, unit: Unit) -> None:
    page = demo.page
    lengths = [0.0, 0.25, 0.75, 1.0, 19.05, 25.4, 33.7, 0.396875, 0.79375, 1150.26, 1290.6375, 304.8, -3.2]
    for fine in (True, False):
        wanted = [write_length(mm, unit, shown_step(unit, fine=fine)) for mm in lengths]
        told = page.evaluate(
            "([all, unit, fine]) => all.map((mm) => rackView.length(mm, unit, fine))", [lengths, unit, fine]
        )
        assert told == wanted


def test_strength_colours_the_tubes_and_numbers_the_worst(demo: Seen, design: Design) -> None:
    assert design.strength is not None
    worst = most_used(design.strength.moving.used)[0]
    seen = demo
    before = canvas(seen)
    seen.page.check('input[name="colour"][value="use"]')
    assert differ(before, canvas(seen)) > 0.02
    labels = seen.page.locator(".label.use")
    assert labels.count() == 10
    assert (labels.first.text_content() or "").replace(" ", "") == "1:100%"
    assert seen.page.locator("#legend li").count() == 5
    seen.page.locator("#listed button").first.click()
    assert seen.page.locator("#card .stamp").inner_text() == marks(design.rack)[worst.parts[0]]
    assert "strength used, most" in seen.page.locator("#card").inner_text()
    seen.page.check('input[name="colour"][value="moment"]')
    straight = canvas(seen)
    seen.page.check("#bent")
    assert differ(straight, canvas(seen)) > 0.01
    assert "N·m" in seen.page.locator("#legend").inner_text()


def test_the_gap_map_lies_on_the_roof_with_the_letters_and_numbers_of_its_page(demo: Seen, design: Design) -> None:
    assert design.checked is not None
    before = canvas(demo)
    page = demo.page
    page.click('button[data-look="top"]')
    page.check('input[name="colour"][value="gap"]')
    assert differ(before, canvas(demo)) > 0.05
    legend = page.locator("#legend li").all_inner_texts()
    assert [text[:2] for text in legend] == [f"{letter}:" for letter in LETTERS]
    tight = tightest(design.checked.gaps)
    labels = page.locator(".label.use").all_inner_texts()
    assert labels == [
        f"{n}: {write_length(g.gap or 0.0, 'mm', shown_step('mm', fine=True))} mm" for n, g in enumerate(tight, 1)
    ]
    assert set(page.locator(".label.mark").all_inner_texts()) <= set(LETTERS)
    page.locator("#tight button").first.click()
    assert page.locator("#card .stamp").inner_text() == marks(design.rack)[tight[0].part]


def test_a_finding_is_shown_at_its_place(demo: Seen) -> None:
    seen = demo
    before = canvas(seen)
    button = seen.page.locator("button[data-finding]").first
    button.click()
    assert seen.page.locator("#card .stamp").inner_text() in seen.page.locator("#which option:checked").inner_text()
    assert differ(before, canvas(seen)) > 0.05


def test_the_view_is_worked_by_keys_alone(demo: Seen) -> None:
    seen = demo
    page = seen.page
    page.focus("#theme")
    for _ in range(12):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "canvas":
            break
    assert page.evaluate("document.activeElement.id") == "canvas"
    before = canvas(seen)
    for key in ("ArrowLeft", "ArrowUp", "+", "Shift+ArrowRight"):
        page.keyboard.press(key)
        after = canvas(seen)
        assert differ(before, after) > 0.005, key
        before = after
    page.keyboard.press("n")
    assert page.locator("#card .stamp").inner_text() == "T1"
    page.keyboard.press("Home")
    page.keyboard.press("Escape")
    page.keyboard.press("Enter")
    assert page.locator("#card .stamp").count() == 1


def test_two_fingers_and_a_tap_do_on_a_phone(demo: Seen) -> None:
    seen = demo.on("phone")
    area = seen.page.locator("#canvas").bounding_box()
    assert area is not None
    seen.page.touchscreen.tap(area["x"] + area["width"] / 2, area["y"] + area["height"] / 2)
    assert seen.page.locator("#card .stamp").count() == 1


def test_light_and_dark_are_two_looks(demo: Seen) -> None:
    assert stage(demo).mean() > 160
    assert stage(demo.on("bench", "dark")).mean() < 90
    assert stage(demo.on("phone", "dark")).mean() < 90
    demo.page.click("#theme")
    assert stage(demo).mean() > 160
