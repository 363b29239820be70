"""The gap map as a picture of lines and areas (SVG): plan view, front up, coloured by clearance over the roof.

The colours run from dark to light in even steps of lightness, so that they are told apart without seeing hue.
"""

from __future__ import annotations

from html import escape

from rackgen.check.all import possible
from rackgen.check.gap_map import GapMap, gap_map
from rackgen.check.result import CheckResult
from rackgen.parts.rack import Rack
from rackgen.spec.rack import Gaps, RackSpec
from rackgen.spec.vehicle import Vehicle
from rackgen.units import Unit, shown_step, write_length

COLOURS = ("#00224e", "#213b6e", "#4c556c", "#6c6e72", "#8e8978", "#b1a570", "#d9c55c", "#fee838")
"""From the tightest band to the widest."""

BEYOND = (1.4, 2.0, 3.0, 5.0)
"""Where bands end beyond the wanted gap, in wanted gaps."""

MARGIN = 60.0
KEY = 620.0
LINE = 30.0
"""Room round the plan, width of the key beside it and height of one of its lines, mm of the drawn thing."""


def bands(wish: Gaps) -> tuple[float, ...]:
    """Return where one colour ends and the next begins, mm: 0, a U-bolt's gap, the stop, the wanted gap and beyond."""
    ends = {0.0, wish.bow, wish.tube_stop, wish.tube, *(k * wish.tube for k in BEYOND)}
    return tuple(sorted(ends))[: len(COLOURS) - 1]


def band_words(ends: tuple[float, ...], band: int, unit: Unit) -> str:
    """Return what a band stands for: "12.0 to 20.0"."""
    said = [write_length(mm, unit, shown_step(unit, fine=True)) for mm in ends]
    if band == 0:
        return f"below {said[0]}"
    return f"{said[-1]} and more" if band == len(ends) else f"{said[band - 1]} to {said[band]}"


def gap_map_file(rack: Rack, vehicle: Vehicle, spec: RackSpec, unit: Unit, checked: CheckResult) -> dict[str, bytes]:
    """Return the picture of a checked rack by its file name."""
    drawn = gap_map(possible(rack)[0], vehicle.roof, checked.gaps)
    return {f"{spec.name}-gap-map.svg": gap_map_svg(drawn, spec.gaps, unit, spec.title)}


def gap_map_svg(drawn: GapMap, wish: Gaps, unit: Unit, title: str) -> bytes:
    """Return the picture.

    Args:
        drawn: the map.
        wish: wanted gaps, where the colours change.
        unit: of the texts.
        title: of the rack.
    """
    ends = bands(wish)
    count = max((len(row) for row in drawn.rows), default=0)
    wide, high = count * drawn.cell, len(drawn.rows) * drawn.cell
    tall = max(high, LINE * (2 * len(drawn.tight) + len(COLOURS) + 8))
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide + 3 * MARGIN + KEY:g} {tall + 3 * MARGIN:g}" '
        'font-family="sans-serif" font-size="22">',
        f"<title>Gap to the roof, {escape(title)}</title>",
        '<rect width="100%" height="100%" fill="#ffffff"/>',
        _text(MARGIN, MARGIN, f"Gap to the roof, {title}: seen from above, front of the vehicle up", bold=True),
    ]
    left, top = MARGIN, 2 * MARGIN
    for i, row in enumerate(drawn.rows):
        begin = 0
        shades = [None if g is None else _band(g, ends) for g in row]
        for j in range(1, len(row) + 1):
            if j < len(row) and shades[j] == shades[begin]:
                continue
            shade = shades[begin]
            if shade is not None:
                out.append(
                    f'<rect x="{left + begin * drawn.cell:g}" y="{top + i * drawn.cell:g}" '
                    f'width="{(j - begin) * drawn.cell:g}" height="{drawn.cell:g}" fill="{COLOURS[shade]}"/>'
                )
            begin = j
    for number, gap in enumerate(drawn.tight, 1):
        if gap.at is None:
            continue
        x, y = left + gap.at[1] - drawn.y, top + gap.at[0] - drawn.x
        out.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="17" fill="#ffffff" stroke="#000000" stroke-width="3"/>')
        out.append(_text(x, y + 8, str(number), bold=True, anchor="middle"))
    out += _key(drawn, ends, unit, left + wide + MARGIN, top)
    return ("\n".join([*out, "</svg>"]) + "\n").encode("utf-8")


def _key(drawn: GapMap, ends: tuple[float, ...], unit: Unit, x: float, y: float) -> list[str]:
    def say(mm: float) -> str:
        return write_length(mm, unit, shown_step(unit, fine=True))

    out = [_text(x, y + LINE / 2, f"gap, {unit}", bold=True)]
    for k in range(len(ends) + 1):
        y += LINE
        out.append(
            f'<rect x="{x:g}" y="{y:g}" width="60" height="{LINE:g}" fill="{COLOURS[k]}" stroke="#000000" '
            'stroke-width="1"/>'
        )
        out.append(_text(x + 75, y + 0.72 * LINE, band_words(ends, k, unit)))
    y += 3 * LINE
    out.append(_text(x, y, "the tightest", bold=True))
    for number, gap in enumerate(drawn.tight, 1):
        if gap.gap is None or gap.limit is None:
            continue
        y += LINE
        out.append(_text(x, y, f"{number}  {say(gap.gap)} {unit}, {say(gap.limit)} wanted: {gap.word} {gap.mark}"))
        y += 0.85 * LINE
        out.append(_text(x + 30, y, gap.part, small=True))
    # A scale of lengths beside the scale of colours.
    y += 2 * LINE
    long, words = (200.0, "200 mm") if unit == "mm" else (203.2, "8 in")
    out.append(f'<path d="M{x:g} {y - 8:g}v16m0 -8h{long:g}m0 -8v16" fill="none" stroke="#000000" stroke-width="3"/>')
    out.append(_text(x + long + 15, y + 8, words))
    return out


def _band(gap: float, ends: tuple[float, ...]) -> int:
    return sum(gap >= end for end in ends)


def _text(x: float, y: float, words: str, *, bold: bool = False, small: bool = False, anchor: str = "start") -> str:
    weight = ' font-weight="bold"' if bold else ""
    size = ' font-size="18"' if small else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{weight}{size}>{escape(words)}</text>'
