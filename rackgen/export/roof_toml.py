"""A roof as the stations of a vehicle file, so that a scan's roof is read, shown and edited as any other."""

from __future__ import annotations

import math
import re
import tomllib

from rackgen.errors import BadInput, Mistake
from rackgen.geom.scan_roof import ScannedRoof
from rackgen.geom.surface import Section
from rackgen.units import INCH, Unit

_HEADING = re.compile(r"\s*\[{1,2}\s*([A-Za-z0-9_-]+)[^\[\],]*\]{1,2}\s*(?:#.*)?$")


def roof_toml(
    found: ScannedRoof, unit: Unit, source: str, landmarks: float | None, pitch: float = 0.0, roll: float = 0.0
) -> str:
    """Return the `[roof]` of a vehicle file.

    Args:
        found: the roof.
        unit: of the file's bare numbers.
        source: what was scanned, for a comment.
        landmarks: distance of the worst landmark from its place, mm; None with an explicit frame.
        pitch: how the vehicle file says that the vehicle stood, degrees; its level readings are freed of it.
        roll: the same across.
    """
    plain = " ".join(source.split())
    lines = [
        f"# Read from the scan {plain if plain.isprintable() else 'whose name cannot be printed'}.",
        "[roof]",
        'reference = "level line"',
        'across = "levelled"',
        "",
        "[roof.scan]",
        f"points = {found.points}",
        f"rms = {_short(found.rms, unit)}",
        f"within = {_short(found.within, unit)}",
    ]
    if landmarks is not None:
        lines.append(f"landmarks = {_short(landmarks, unit)}")
    for section in found.roof.sections:
        lines += ["", *_station(section, unit, math.tan(math.radians(pitch)), math.tan(math.radians(roll)))]
    return "\n".join(lines) + "\n"


def with_roof(text: str, roof: str, file: str) -> str:
    """Return a vehicle file with its roof replaced and every other line as it was.

    Args:
        text: the vehicle file.
        roof: its new `[roof]`, as `roof_toml` gives it.
        file: its name, for messages.

    Raises:
        BadInput: its roof does not stand in tables of its own.
    """
    kept: list[str] = []
    cut: list[str] = []
    inside, placed = False, False
    for line in text.splitlines():
        heading = _HEADING.match(line)
        if heading and heading[1] == "roof":
            if not placed:
                kept.append(_NEW)
            inside, placed, cut = True, True, []
        elif heading and inside:
            # What stands right above the next table belongs to that.
            kept += ["", *_trailing(cut)]
            inside = False
        (cut if inside else kept).append(line)
    if not placed:
        kept.append(_NEW)
    made = "\n".join(roof.rstrip("\n") if line is _NEW else line for line in kept) + "\n"
    before, after = tomllib.loads(text), _loaded(made)
    if after != {**before, "roof": tomllib.loads(roof)["roof"]}:
        wanted = "its roof cannot be replaced line by line; write it as [roof] and [[roof.station]] tables"
        raise BadInput([Mistake(file, "roof", 0, "", wanted)])
    return made


_NEW = "\0"


def _loaded(text: str) -> dict[str, object] | None:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return None


def _trailing(lines: list[str]) -> list[str]:
    """Return the comments at the end, after the last blank line but one above them."""
    k = len(lines)
    while k and (not lines[k - 1].strip() or lines[k - 1].lstrip().startswith("#")):
        k -= 1
    tail = lines[k:]
    while tail and not tail[0].strip():
        tail = tail[1:]
    return tail


def _station(section: Section, unit: Unit, pitch: float, roll: float) -> list[str]:
    middle = section.ys.index(0.0)
    crown = section.zs[middle]
    right = list(zip(section.ys[middle + 1 :], section.zs[middle + 1 :], strict=True))
    left = list(zip(section.ys[:middle], section.zs[:middle], strict=True))[::-1]

    def drops(side: list[tuple[float, float]]) -> str:
        return ", ".join(_short(crown - z + y * roll, unit) for y, z in side)

    return [
        "[[roof.station]]",
        f"x = {_short(section.x, unit)}",
        f"crown = {_short(crown - section.x * pitch, unit)}",
        f"left = {_short(section.left, unit)}",
        f"right = {_short(section.right, unit)}",
        f"offsets = [{', '.join(_short(y, unit) for y, _ in right)}]",
        f"left_drops = [{drops(left)}]",
        f"right_drops = [{drops(right)}]",
    ]


def _short(mm: float, unit: Unit) -> str:
    """Return a bare number to 0.05 mm or 0.002 in: finer than any scan."""
    return f"{round(mm / INCH, 3) + 0.0:g}" if unit == "in" else f"{round(mm, 1) + 0.0:g}"
