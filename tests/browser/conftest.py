"""One design, one browser, one page: what every test of the packet looks at, and looks with."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from browser_seen import PLAIN_EDGES, WIDTHS, Seen
from playwright.sync_api import Browser

from rackgen import job
from rackgen.export.gap_map_svg import gap_map_file
from rackgen.export.packet.packet import Contents, packet
from rackgen.made import Design
from rackgen.spec.read import read_job
from rackgen.stations import packet_contents, shop_stations


@pytest.fixture(scope="session")
def design() -> Design:
    """Give the demo rack, reckoned and checked."""
    return job.checked(job.strong(job.design(read_job("demo"))))


@pytest.fixture(scope="session")
def sheet_files(design: Design) -> dict[str, bytes]:
    """Give its sheets as files."""
    return job.sheet_files(design)


@pytest.fixture(scope="session")
def contents(design: Design, sheet_files: dict[str, bytes]) -> Contents:
    """Give what goes into its packet; of the pack's other files its sheets, and a stand-in for what needs solids."""
    asked = design.job
    assert design.checked is not None
    files = sheet_files | gap_map_file(design.rack, asked.vehicle, asked.spec, asked.shop.unit, design.checked)
    files["demo.step"] = b"ISO-10303-21; stands in for the solids\n" * 400
    files["T4-A-wrap-cut.dxf"] = bytes(range(256)) * 20
    return packet_contents(design, shop_stations(design), job.all_sheets(design), files, ("demo-side.png",))


@pytest.fixture(scope="session")
def packet_file(contents: Contents, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the demo rack's packet as a file."""
    file = tmp_path_factory.mktemp("packet") / "packet.html"
    file.write_bytes(packet(contents))
    return file


@pytest.fixture(scope="session")
def page_of_demo(browser: Browser, packet_file: Path) -> Iterator[Seen]:
    """Give the demo rack's packet, opened once with the network off."""
    wide, high = WIDTHS["bench"]
    context = browser.new_context(viewport={"width": wide, "height": high}, offline=True, has_touch=True)
    context.add_init_script(PLAIN_EDGES)
    seen = Seen(context.new_page())
    seen.page.goto(packet_file.as_uri())
    yield seen.ready()
    context.close()


@pytest.fixture
def demo(page_of_demo: Seen) -> Iterator[Seen]:
    """Give the demo rack's packet as it is when it is opened; nothing may go wrong in it."""
    yield page_of_demo.as_opened()
    assert page_of_demo.wrong == []
