"""The papers: every sheet as it stands in its file, readable by everyone on any width, and on paper."""

from __future__ import annotations

import base64
import csv
import io
import unicodedata
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser_seen import Seen
from pypdf import PdfReader
from pypdfium2 import PdfDocument

from rackgen.export.packet.packet import Contents

pytestmark = pytest.mark.browser

ONLY_FIRST_ROWS = """() => {
  window.away = [];
  const first = (box, all, most) => [...all].slice(most).forEach((e) => {
    window.away.push([box, e, e.nextSibling]);
    e.remove();
  });
  document.querySelectorAll("#papers tbody").forEach((t) => first(t, t.rows, 1));
  document.querySelectorAll("#papers ul, #papers ol, #which").forEach((l) => first(l, l.children, 1));
}"""
"""Takes out what is made like what stays."""

EVERY_ROW = """() => {
  for (const [box, e, next] of window.away.reverse()) box.insertBefore(e, next);
}"""
"""Puts it back."""

OPEN_ALL = "document.querySelectorAll('#papers details').forEach((d) => (d.open = true))"


def test_every_sheet_s_table_is_its_csv(demo: Seen, sheet_files: dict[str, bytes]) -> None:
    """Row by row and column by column, but for columns that are empty and the stamp that every CSV row carries."""
    page = demo.page
    shown = page.evaluate(
        """Object.fromEntries([...document.querySelectorAll("table[data-sheet]")].map((t) => [t.dataset.sheet,
             [...t.tBodies[0].rows].map((r) => [...r.cells].map((c) => c.textContent))]))"""
    )
    names = {name.removesuffix(".csv") for name in sheet_files if name.endswith(".csv")}
    compared = 0
    for name in sorted(names):
        rows = list(csv.reader(io.StringIO(sheet_files[f"{name}.csv"].decode("utf-8"))))[1:]
        rows = [row[:-2] for row in rows]
        used = [i for i in range(len(rows[0])) if any(row[i] for row in rows)] if rows else []
        wanted = [[row[i] for i in used] for row in rows]
        assert shown.get(name, []) == wanted, name
        compared += len(wanted)
    assert compared > 500


def test_every_page_of_the_work_is_there_in_order(demo: Seen, contents: Contents) -> None:
    page = demo.page
    found = page.evaluate("[...document.querySelectorAll('section[id^=\"at-\"]')].map((s) => s.id)")
    assert found == [f"at-{station.name}" for station in contents.stations]
    for link in page.locator("#papers nav a").all():
        target = link.get_attribute("href")
        assert target is not None
        assert page.locator(target).count() == 1, target


@pytest.mark.parametrize("width", ["phone", "desk"])
def test_nothing_is_clipped(demo: Seen, width: str) -> None:
    """With everything open the page is no wider than the screen, and no element reaches beyond it."""
    page = demo.on(width).page
    page.evaluate(OPEN_ALL)
    page.select_option("#which", index=2)
    page.wait_for_timeout(300)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    beyond = page.evaluate(
        """[...document.querySelectorAll("body *")].filter((e) => {
             if (e.closest(".away, svg, .stage, [hidden]")) return false;
             const r = e.getBoundingClientRect();
             if (!r.width || !r.height) return false;
             const thead = e.closest("thead");
             if (thead && getComputedStyle(thead).position === "absolute") return false;
             const roll = e.closest(".roll");
             if (roll && roll !== e && getComputedStyle(roll).overflowX === "auto") return false;
             return r.right > innerWidth + 1 || r.left < -1 || (e.scrollWidth > e.clientWidth + 1 &&
               getComputedStyle(e).overflowX === "hidden");
           }).slice(0, 8).map((e) => e.tagName + "." + e.className + " " + e.textContent.slice(0, 40))"""
    )
    assert beyond == []


@pytest.mark.parametrize(("width", "scheme", "opens"), [
    ("desk", "light", "#papers details.station, #sheet-cut-list details, #sheet-welds details"),
    ("phone", "dark", "#at-bender details, #at-saw details, #at-templates details, #files details"),
])  # fmt: skip
def test_axe_finds_nothing_serious(demo: Seen, width: str, scheme: str, opens: str) -> None:
    """At a desk with every page of the work open, and of the rows two sheets.

    Axe looks at one piece after another, and takes minutes for thousands of cells that are all made alike: of every
    table it is shown the first rows. Drawings are left out, each is one picture with a name.
    """
    page = demo.on(width, scheme).page
    page.select_option("#which", index=2)
    page.check('input[name="colour"][value="use"]')
    page.evaluate("(which) => document.querySelectorAll(which).forEach((d) => (d.open = true))", opens)
    page.evaluate(ONLY_FIRST_ROWS)
    found = Axe().run(page, context={"exclude": [["svg"]]}, options={"resultTypes": ["violations"]}).response
    page.evaluate(EVERY_ROW)
    serious = [
        f"{v['id']} ({v['impact']}): {v['help']}: {v['nodes'][0]['html'][:160]} and {len(v['nodes']) - 1} more"
        for v in found["violations"]
        if v["impact"] in ("serious", "critical")
    ]
    assert serious == []
    assert page.locator("svg:not([role=img][aria-label])").count() == 0


def test_files_inside_are_saved_as_they_are(demo: Seen, contents: Contents) -> None:
    page = demo.page
    page.evaluate(OPEN_ALL)
    for name in ("demo.step", "T4-A-wrap-cut.dxf"):
        with page.expect_download() as waited:
            page.click(f'button[data-save="{name}"]')
        assert waited.value.suggested_filename == name
        assert Path(waited.value.path()).read_bytes() == contents.files[name]
    links = page.evaluate("[...document.querySelectorAll('#files a')].map((a) => a.getAttribute('href'))")
    assert "./cut-list.csv" in links
    told = page.locator("#files").inner_text()
    assert all(name in told for name in contents.files)


def test_what_is_ticked_and_written_stays(demo: Seen) -> None:
    page = demo.page
    page.evaluate(OPEN_ALL)
    tick, line = "#at-bender input[type=checkbox]", "#at-bender input.write"
    page.locator(tick).first.check()
    page.locator(line).first.fill("92,5 <b>&")
    page.locator(line).first.blur()
    page.reload()
    demo.ready()
    assert page.locator(tick).first.is_checked()
    assert page.locator(line).first.input_value() == "92,5 <b>&"
    page.evaluate("localStorage.clear()")


def test_a_mark_in_a_table_takes_the_part_in_hand(demo: Seen) -> None:
    page = demo.page
    page.click('nav a[href="#at-saw"]')
    page.locator('#at-saw button[data-mark="T4"]').first.click()
    assert page.locator("#card .stamp").inner_text() == "T4"


def test_it_prints_as_the_shop_packet(demo: Seen, contents: Contents) -> None:
    """Head, picture and every page of the work; of the row-by-row sheets those that are open, a wide one sideways."""
    page = demo.on("desk", "dark").page
    page.evaluate("document.querySelector('#sheet-cut-list details').open = true")
    printed = page.pdf(prefer_css_page_size=True)
    pages = list(PdfDocument(printed))
    # Letters that a font joins are told apart again.
    texts = [unicodedata.normalize("NFKC", p.get_textpage().get_text_bounded()) for p in pages]
    text = "\n".join(texts)
    assert contents.stamp.revision in texts[0]
    assert max(image.image.size[0] for image in PdfReader(io.BytesIO(printed)).pages[0].images) > 600
    for station in contents.stations[1:]:
        assert station.title in text
    wide = [t for p, t in zip(pages, texts, strict=True) if p.get_width() > p.get_height()]
    assert wide
    assert all(t.startswith("Cut list") for t in wide[:1])
    assert len(wide) < 5
    assert "Gap of every part to the roof" not in text
    assert "Files of the pack" not in text


def test_of_the_rows_only_what_is_open_is_printed(demo: Seen) -> None:
    page = demo.page
    page.evaluate("document.querySelector('#sheet-welds details').open = true")
    page.emulate_media(media="print")
    assert page.locator("#sheet-welds table").is_visible()
    assert not page.locator("#sheet-gaps summary").is_visible()
    assert not page.locator(".tools").is_visible()


def test_the_printed_picture_is_the_view_on_white(demo: Seen) -> None:
    page = demo.on("desk", "dark").page
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    url = page.locator("#shot").get_attribute("src")
    assert url is not None
    assert len(base64.b64decode(url.partition(",")[2])) > 30_000
    assert page.evaluate("document.documentElement.dataset.theme ?? 'own'") == "own"
