"""A page that was opened in a browser, with everything that went wrong in it."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page

WIDTHS = {"phone": (360, 640), "desk": (1440, 760), "bench": (1100, 560)}
"""Width and height of what the page is seen on, CSS pixels; a bench has the desk's layout and less to draw."""

PLAIN_EDGES = """
  const given = HTMLCanvasElement.prototype.getContext;
  HTMLCanvasElement.prototype.getContext = function (kind, more) {
    return given.call(this, kind, kind.startsWith("webgl") ? { ...more, antialias: false } : more);
  };
"""
"""Run before the page: without smooth edges a processor draws in half the time."""

AS_OPENED = """() => {
  document.querySelectorAll("details").forEach((d, k) => (d.open = window.openedAs[k]));
  const tape = document.getElementById("tape");
  if (tape.getAttribute("aria-pressed") === "true") tape.click();
  for (const i of document.querySelectorAll(".tools input")) {
    const slides = i.type === "range";
    if (slides ? i.value === i.defaultValue : i.checked === i.defaultChecked) continue;
    if (slides) i.value = i.defaultValue;
    else i.checked = i.defaultChecked;
    i.dispatchEvent(new Event("input"));
    i.dispatchEvent(new Event("change"));
  }
  rackView.choose(-1);
  rackView.view.look("front left");
  delete document.documentElement.dataset.theme;
  document.body.classList.remove("shot");
  document.activeElement?.blur();
  scrollTo(0, 0);
}"""
"""Everything as it is when a packet is opened."""


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
        """Wait until the view is drawn."""
        self.page.wait_for_selector("body[data-ready]", timeout=20_000)
        self.page.evaluate("window.openedAs = [...document.querySelectorAll('details')].map((d) => d.open)")
        return self

    def on(self, width: str, scheme: str = "light") -> Seen:
        """Look at it on a phone or at a desk, light or dark."""
        wide, high = WIDTHS[width]
        if self.page.viewport_size != {"width": wide, "height": high}:
            self.page.set_viewport_size({"width": wide, "height": high})
        self.page.emulate_media(color_scheme="dark" if scheme == "dark" else "light", media="null")
        return self

    def as_opened(self) -> Seen:
        """Put everything back to what it is when it is opened, which costs less than opening it again."""
        self.on("bench")
        self.page.evaluate(AS_OPENED)
        return self


Opener = Callable[..., Seen]
