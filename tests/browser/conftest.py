"""One design, one browser: what every test of the packet looks at, and looks with."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from browser_seen import Opener, Seen
from playwright.sync_api import Browser, sync_playwright

from rackgen import job
from rackgen.export.gap_map_svg import gap_map_file
from rackgen.export.packet.packet import Contents, packet
from rackgen.made import Design
from rackgen.spec.read import read_job
from rackgen.stations import packet_contents, shop_stations

FLAGS = (
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
"""No sandbox since tests run as root too; 3-D drawn by the processor; nothing that asks the network by itself."""

WIDTHS = {"phone": (360, 760), "desk": (1440, 1000)}


def chromium() -> str:
    """Give the path of Chromium; without one the tests fail, they are not skipped."""
    found = os.environ.get("RACKGEN_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        pytest.fail("no Chromium: on Debian `apt-get install chromium`, or give its path in RACKGEN_CHROMIUM")
    return found


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Give a headless Chromium."""
    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=chromium(), args=list(FLAGS))
        yield started
        started.close()


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
    files = sheet_files | gap_map_file(design.rack, asked.vehicle, asked.spec, asked.shop.unit, design.checked)
    files["demo.step"] = b"ISO-10303-21; stands in for the solids\n" * 400
    files["T1-A-wrap-cut.dxf"] = bytes(range(256)) * 20
    return packet_contents(design, shop_stations(design), job.all_sheets(design), files)


@pytest.fixture(scope="session")
def packet_file(contents: Contents, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the demo rack's packet as a file."""
    file = tmp_path_factory.mktemp("packet") / "packet.html"
    file.write_bytes(packet(contents))
    return file


@pytest.fixture
def opened(browser: Browser) -> Iterator[Opener]:
    """Give what opens a file with the network off, on a phone or at a desk, light or dark."""
    contexts = []

    def open_it(file: Path, width: str = "desk", scheme: str = "light") -> Seen:
        wide, high = WIDTHS[width]
        context = browser.new_context(
            viewport={"width": wide, "height": high}, color_scheme=scheme, offline=True, has_touch=width == "phone"
        )
        contexts.append(context)
        seen = Seen(context.new_page())
        seen.page.goto(file.as_uri())
        return seen.ready()

    yield open_it
    for context in contexts:
        context.close()
