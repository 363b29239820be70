"""A headless Chromium for tests, and what opens a packet in it with the network off."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from browser_seen import WIDTHS, Opener, Seen
from playwright.sync_api import Browser, sync_playwright

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


@pytest.fixture
def opened(browser: Browser) -> Iterator[Opener]:
    """Give what opens a file afresh with the network off."""
    contexts = []

    def open_it(file: Path) -> Seen:
        wide, high = WIDTHS["bench"]
        context = browser.new_context(viewport={"width": wide, "height": high}, offline=True)
        contexts.append(context)
        seen = Seen(context.new_page())
        seen.page.goto(file.as_uri())
        return seen.ready()

    yield open_it
    for context in contexts:
        context.close()
