"""Odd input: names that could break a page, a rack of 400 parts, a browser without 3-D; and the customer's file."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from browser_seen import Opener, Seen
from playwright.sync_api import Browser

from rackgen.errors import Finding, Level
from rackgen.export.packet.packet import Contents, for_customer, packet
from rackgen.made import Design
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.amounts import written
from rackgen.sheets.cost import cost
from rackgen.sheets.pages import Heading, Station, Text, Ticks
from rackgen.stations import customer_stations

pytestmark = pytest.mark.browser

NASTY = (
    "</script><script>window.broken = 1</script> <!-- & \"double\" 'single' ]]> \u2028 😀 "
    '<img src=x onerror="window.broken=1">'
)


def named(contents: Contents, odd: str) -> Contents:
    """Give contents in which everything that somebody typed, and more, is odd."""
    first = contents.rack.placed[0]
    renamed = Rack((replace(first, word=odd), *contents.rack.placed[1:]), contents.rack.joints)
    return replace(
        contents,
        title=odd,
        shop=odd,
        rack=renamed,
        vehicle=replace(contents.vehicle, name=odd),
        stamp=replace(contents.stamp, rack=odd, stops=("odd-name",)),
        findings=(
            Finding("odd-name", Level.STOP, (first.id,), odd, (100.0, 0.0, 0.0), 1.0, 2.0, "mm", odd, (odd,), odd),
        ),
        stations=(*contents.stations, Station("odd", odd, (Heading(odd), Text(odd, "caution"), Ticks((odd,))))),
        files={**contents.files, "a & b <c>.txt": odd.encode("utf-8")},
    )


def four_times(contents: Contents) -> Contents:
    """Give contents with the rack four times behind itself, over 400 parts, without joints and rating."""
    rows: list[Placed] = list(contents.rack.placed)
    for k in range(1, 4):
        for p in contents.rack.placed:
            x, y, z = p.frame.origin
            rows.append(replace(p, id=f"{p.id}.copy{k}", frame=replace(p.frame, origin=(x + 1400.0 * k, y, z))))
    assert len(rows) > 400
    return replace(contents, rack=Rack(tuple(rows), ()), strength=None, unrated="it is four racks")


def test_odd_names_are_shown_as_they_are_and_400_parts_open_and_turn(
    opened: Opener, contents: Contents, tmp_path: Path
) -> None:
    """Both in one packet, since opening it is most of the work."""
    odd = four_times(named(contents, NASTY))
    file = tmp_path / "packet.html"
    file.write_bytes(packet(odd))
    assert file.stat().st_size < 5_000_000
    seen = opened(file)
    page = seen.page
    assert seen.wrong == []
    assert seen.asked == [file.as_uri()]
    assert page.evaluate("window.broken") is None

    def plain(text: str) -> str:
        return re.sub(r"\s+", " ", text).strip()

    assert plain(page.locator("h1").text_content() or "") == plain(NASTY)
    assert "NOT CLEARED: odd-name" in page.locator(".stopped").inner_text()
    page.locator("button[data-finding]").first.click()
    assert plain(NASTY) in plain(page.locator("#card").text_content() or "")
    assert page.locator("#at-odd h2").count() == 1
    count = len(odd.rack.placed)
    assert page.evaluate("rackView.rack.parts.length") == count
    assert page.locator("#which option").count() == count + 1
    page.fill("#apart", "60")
    page.select_option("#which", index=400)
    assert page.locator("#card .stamp").count() == 1
    assert page.locator('input[value="use"]').count() == 0
    assert "not rated" in page.locator("#head").inner_text()
    assert seen.wrong == []


def test_without_3d_the_drawing_stands_in_and_every_sheet_is_there(browser: Browser, packet_file: Path) -> None:
    context = browser.new_context(offline=True)
    seen = Seen(context.new_page())
    seen.page.add_init_script(
        "const was = HTMLCanvasElement.prototype.getContext;"
        "HTMLCanvasElement.prototype.getContext = function (kind, ...more) {"
        "  return kind.startsWith('webgl') ? null : was.call(this, kind, ...more); };"
    )
    seen.page.goto(packet_file.as_uri())
    seen.ready()
    assert seen.page.locator("#still svg path").count() > 100
    assert seen.page.locator("#still").is_visible()
    assert not seen.page.locator("#canvas").is_visible()
    assert "WebGL" in seen.page.locator("#said").inner_text()
    assert seen.page.locator("table[data-sheet]").count() > 15
    assert not [w for w in seen.wrong if "WebGL" not in w]
    context.close()


def test_without_scripts_the_drawing_and_the_sheets_are_there(browser: Browser, packet_file: Path) -> None:
    context = browser.new_context(offline=True, java_script_enabled=False)
    page = context.new_page()
    page.goto(packet_file.as_uri())
    assert page.locator("#still").is_visible()
    assert page.locator("#at-saw summary").is_visible()
    context.close()


def test_the_customer_s_file_shows_the_rack_and_nothing_of_the_shop_s_own(
    opened: Opener, design: Design, contents: Contents, tmp_path: Path
) -> None:
    """The price is in it once, no rate, cost, sheet or drawing; every link leads somewhere."""
    file = tmp_path / "for-customer.html"
    file.write_bytes(packet(for_customer(contents, customer_stations(design))))
    seen = opened(file)
    page = seen.page
    assert seen.wrong == []
    assert page.evaluate("rackView.info().triangles") > 50_000
    sections = page.evaluate("[...document.querySelectorAll('#papers section')].map((s) => s.id)")
    assert sections == ["at-quotation", "at-strength", "at-clearances", "at-cautions", "files"]
    for link in page.locator("nav a").all():
        assert page.locator(link.get_attribute("href") or "nowhere").count() == 1
    found = cost(design.rack, design.job.shop)
    told = page.locator("#papers").text_content() or ""
    assert written(found.price_each, found.currency) in told
    for kept in ("margin", "overhead", "saw cuts", "Shop estimate", "cut-list", "--gains", f"{found.cost:,.2f}"):
        assert kept not in told, kept
    page.select_option("#which", index=2)
    assert page.locator("#card .stamp").count() == 1
    assert file.stat().st_size < 2_500_000
