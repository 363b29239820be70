"""A page that was opened in a browser, with everything that went wrong in it."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page


class Seen:
    """A page that was opened, and what went wrong in it."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.wrong: list[str] = []
        self.asked: list[str] = []
        page.on(
            "console", lambda m: self.wrong.append(f"{m.type}: {m.text}") if m.type in ("error", "warning") else None
        )
        page.on("pageerror", lambda e: self.wrong.append(str(e)))
        page.on("request", lambda r: self.asked.append(r.url))

    def ready(self) -> Seen:
        self.page.wait_for_selector("body[data-ready]", timeout=20_000)
        return self


Opener = Callable[..., Seen]
