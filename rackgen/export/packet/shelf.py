"""The pack's other files inside the packet: as many as there is room for, those that are asked for most first."""

from __future__ import annotations

import base64
import zlib
from collections.abc import Mapping
from dataclasses import dataclass

FIRST = (
    "-pack.pdf", "templates.pdf", "installation.pdf", "quotation.pdf", ".step", "-wrap-cut.dxf", "-cut.dxf",
    "-wrap-marked.dxf", "-marked.dxf", ".glb", "-frame.json",
)  # fmt: skip
"""Ends of names in the order in which they are put in."""

USES: Mapping[str, str] = {
    "-pack.pdf": "every page on paper",
    "templates.pdf": "templates at full size",
    "installation.pdf": "pages for whoever fits it",
    "quotation.pdf": "for the customer",
    ".step": "exact solids of the whole rack",
    ".glb": "the rack for other viewers, metres",
    ".stl": "triangles, mm",
    "-wrap-cut.dxf": "wrap template, cut line only",
    "-wrap-marked.dxf": "wrap template with its lines",
    "-cut.dxf": "for the cutting table",
    "-marked.dxf": "blank with fold lines, holes, text",
    "-gap-map.svg": "gap to the roof from above, as a drawing",
    "-frame.json": "the frame as it was reckoned",
    ".csv": "rows of a sheet",
    ".json": "numbers of a sheet",
    ".txt": "a sheet as text",
    ".html": "to send to the customer: the rack in the round, quotation and what it carries",
    ".png": "picture",
}
"""What a file is for, by the end of its name; the first that fits."""


@dataclass(frozen=True)
class Held:
    """One of the pack's files.

    Attributes:
        name: in the pack's folder.
        use: what it is for.
        size: bytes.
        inside: compressed (zlib, base64) when it is in the packet, "" else.
    """

    name: str
    use: str
    size: int
    inside: str


def shelf(files: Mapping[str, bytes], room: int) -> tuple[Held, ...]:
    """Return the pack's files by name, with their content as long as there is room, bytes."""
    held: dict[str, str] = {}
    left = room
    for end in FIRST:
        for name in sorted(files):
            if name in held or not name.endswith(end):
                continue
            small = base64.b64encode(zlib.compress(files[name], 6)).decode("ascii")
            if len(small) <= left:
                held[name] = small
                left -= len(small)
    return tuple(Held(name, _use(name), len(files[name]), held.get(name, "")) for name in sorted(files))


def _use(name: str) -> str:
    return next((use for end, use in USES.items() if name.endswith(end)), "")
