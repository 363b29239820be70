"""Figures of the measuring sheet: a roof that is nobody's, with what is read on it and where."""

from __future__ import annotations

import math

from rackgen.sheets.drawing import Circle, Dimension, Drawing, Item, Point, Stroke, Words
from rackgen.spec.measuring_form import Form

SCALE = 1 / 14
"""Of plan, side and rear, as laid out; a figure that is no vehicle's is printed as not to scale."""

HALF, FRONT, FIRST, LAST, END = 620.0, -120.0, 60.0, 1360.0, 1460.0
"""Of the drawn roof: half its width, its front edge, the first and last station, its rear face; mm."""

LOOK: dict[str, Point] = {"front": (330.0, 430.0), "rear": (END, 500.0)}
"""Where drawn mounts stand: x, and y to the right."""


def _seen(x: float, y: float) -> Point:
    """Return a place as seen from above, the vehicle's front up."""
    return y, -x


def _stations(form: Form) -> list[float]:
    return [FIRST + (LAST - FIRST) * k / (form.stations - 1) for k in range(form.stations)]


def _half(x: float) -> float:
    ahead = max(0.0, 260.0 - x) / 380.0
    return HALF - 70.0 * ahead**2


def _offsets(form: Form) -> list[float]:
    return [550.0 * (k + 1) / form.offsets for k in range(form.offsets)]


def plan_figure(form: Form) -> Drawing:
    """Return the roof from above: datum, stations, both straightedges, mounts, diagonals, hatch, aerial, opening."""
    sides = [(x, _half(x)) for x in (FRONT, 0.0, 100.0, 200.0, 300.0, 900.0, END - 45.0)]
    round_off = [(END - 45 + 45 * math.sin(t), HALF - 45 + 45 * math.cos(t)) for t in (0.3, 0.7, 1.1, math.pi / 2)]
    right = [_seen(x, y) for x, y in (*sides, *round_off)]
    outline = (*right, *((-x, y) for x, y in reversed(right)))
    items: list[Item] = [Stroke(tuple(outline), "edge", closed=True)]
    items += _opening()
    for k, x in enumerate(_stations(form), start=1):
        half = _half(x)
        items.append(Stroke((_seen(x, -half - 60), _seen(x, half + 60)), "thin"))
        items.append(Words(*_seen(x, half + 60), f"station[{k}]", align="left", shift=(1.2, 0.0)))
        for y in (*_offsets(form), *(-o for o in _offsets(form))):
            items.append(Circle(*_seen(x, y), 9.0, "thin"))
    items.append(Stroke((_seen(FRONT - 130, 0.0), _seen(END + 90, 0.0)), "centre"))
    items += _edges(form)
    items += _mounts()
    items += _datum()
    items += _rear()
    items += [
        Circle(*_seen(-75.0, -270.0), 14.0),
        Words(*_seen(-75.0, -270.0), "aerial", align="left", shift=(1.8, 0.0)),
        Dimension(_seen(0.0, -HALF - 60), _seen(_stations(form)[1], -HALF - 60), "x", -14.0),
    ]
    return Drawing(tuple(items), SCALE)


def _opening() -> list[Item]:
    corners = tuple(_seen(x, y) for x, y in ((480, -320), (480, 320), (640, 320), (640, -320)))
    return [
        Stroke(corners, "hidden", closed=True),
        Words(*_seen(560, -160), "opening roof"),
    ]


def _edges(form: Form) -> list[Item]:
    """Return the bar across on its second station, and the line or straightedge along the middle."""
    x = _stations(form)[1]
    bar = tuple(_seen(a, b) for a, b in ((x - 12, -600), (x - 12, 600), (x + 12, 600), (x + 12, -600)))
    out: list[Item] = [
        Stroke(bar, "edge", closed=True, fill="light"),
        Words(*_seen(x, 150), "bar across", shift=(0.0, -2.8)),
    ]
    if form.straightedge:
        a, b = FIRST - 40, LAST + 40
        out.append(
            Stroke(
                tuple(_seen(p, q) for p, q in ((a, -12), (a, 12), (b, 12), (b, -12))), "edge", closed=True, fill="light"
            )
        )
        for rest in (_stations(form)[1] - 90, LAST - 120):
            block = tuple(_seen(rest + dx, dy) for dx, dy in ((-25, -35), (-25, 35), (25, 35), (25, -35)))
            out += [
                Stroke(block, "edge", closed=True),
                Words(*_seen(rest, 35), "block", align="left", shift=(1.0, 0.0)),
            ]
        out.append(Words(*_seen(LAST - 330, 0.0), "straightedge along", angle=90.0, shift=(-2.6, 0.0)))
    else:
        out.append(Words(*_seen(LAST - 330, 0.0), "level line or laser", angle=90.0, shift=(-2.2, 0.0)))
    return out


def _mounts() -> list[Item]:
    (fx, fy), (rx, ry) = LOOK["front"], LOOK["rear"]
    out: list[Item] = []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        plate = tuple(_seen(fx + dx, sign * fy + dy) for dx, dy in ((-60, -50), (-60, 50), (60, 50), (60, -50)))
        strap = tuple(_seen(rx + dx, sign * ry + dy) for dx, dy in ((-60, -25), (-60, 25), (8, 25), (8, -25)))
        out += [
            Stroke(plate, "edge", closed=True),
            Stroke(strap, "edge", closed=True),
            Stroke((_seen(fx, sign * fy), _seen(rx, -sign * ry)), "hidden"),
            Stroke((_seen(0.0, 0.0), _seen(fx, sign * fy)), "hidden"),
            Words(*_seen(fx - 60, sign * fy), f"front_{side}", shift=(0.0, 2.4)),
            Words(
                *_seen(rx - 60, sign * ry), f"rear_{side}", align="right" if sign > 0 else "left", shift=(-sign * 3, 3)
            ),
        ]
    return out


def _datum() -> list[Item]:
    x, y = _seen(0.0, 0.0)
    return [
        Circle(x, y, 28.0),
        Stroke(((x - 45, y), (x + 45, y)), "edge"),
        Stroke(((x, y - 45), (x, y + 45)), "edge"),
        Words(x, y, "datum: x = 0, y = 0", align="left", shift=(3.6, 2.6)),
        Stroke((_seen(FRONT - 60, -560), _seen(FRONT - 60, -400)), "edge"),
        Words(*_seen(FRONT - 60, -400), "y, to the right", align="left", shift=(1.0, 0.0)),
        Stroke((_seen(FRONT - 60, -560), _seen(FRONT + 70, -560)), "edge"),
        Words(*_seen(FRONT + 70, -560), "x, aft", align="left", shift=(1.2, 1.0)),
        Words(*_seen(FRONT - 130, 0.0), "front", shift=(0.0, 2.4), bold=True),
    ]


def _rear() -> list[Item]:
    x = END - 30
    return [
        Stroke((_seen(x, -420), _seen(x, 420)), "centre"),
        Words(*_seen(x, 0.0), "hatch hinge: hinge[1] to hinge[2]", shift=(0.0, -6.5)),
        *(Stroke((_seen(END - 45, s * 527.0), _seen(END + 25, s * 527.0)), "cut") for s in (-1.0, 1.0)),
        Words(*_seen(END + 25, 527.0), "shut line", align="left", shift=(1.0, -1.4)),
        Words(*_seen(END + 25, -527.0), "shut line", align="right", shift=(-1.0, -1.4)),
    ]


def _crown(x: float) -> float:
    return -160.0 * ((x - 760.0) / 760.0) ** 2


def side_figure(form: Form) -> Drawing:
    """Return the vehicle's roof from its left side, front to the left: the fore-and-aft reference, hatch, heights."""
    xs = [FRONT + (END - FRONT) * k / 40 for k in range(41)]
    roof = tuple((x, _crown(x)) for x in xs)
    top, floor = _crown(END), -1500.0
    glass = (FRONT - 520, -700.0)
    tail = (END + 60, -950.0)
    items: list[Item] = [
        Stroke((glass, *roof, tail, (END + 60, -1250.0)), "edge"),
        Stroke(((FRONT - 800, floor), (END + 950, floor)), "edge"),
        Words(760.0, floor, "level ground", shift=(0.0, 2.6)),
    ]
    stations = _stations(form)
    second, height = stations[1], 60.0
    if form.straightedge:
        a, b = second - 90, LAST - 120
        lift = max(_crown(a), _crown(b)) + height
        items.append(
            Stroke(
                ((FIRST - 40, lift), (LAST + 40, lift), (LAST + 40, lift + 30), (FIRST - 40, lift + 30)),
                "edge", closed=True, fill="light",
            )
        )  # fmt: skip
        for rest, name in ((a, "rests[1]"), (b, "rests[2]")):
            z = _crown(rest)
            items.append(
                Stroke(((rest - 25, z), (rest + 25, z), (rest + 25, lift), (rest - 25, lift)), "edge", closed=True)
            )
            items.append(Words(rest, lift + 30, name, shift=(0.0, 2.4)))
        line, zero, name = lift, _crown(a), "down, to the crown"
    else:
        line, zero, name = height, height, "crown, negative below the line"
        items.append(Stroke(((FRONT - 600, line), (END + 250, line)), "centre"))
        items.append(Words(FRONT - 600, line, "level line: z = 0", align="left", shift=(1.0, 2.4)))
    for x in stations:
        items.append(Stroke(((x, _crown(x)), (x, line)), "thin"))
    if form.straightedge:
        items.append(Words(stations[-1], line + 30, name, align="right", shift=(6.0, 6.0)))
    else:
        items.append(Words(stations[-1], line, name, align="right", shift=(8.0, 2.6)))
    pivot, long = (END - 30.0, top - 30.0), tail[1] - top + 30.0
    swing = math.radians(95)
    start = math.atan2(long, tail[0] - pivot[0])
    arc = [start + swing * k / 24 for k in range(25)]
    radius = math.hypot(long, tail[0] - pivot[0])
    way = tuple((pivot[0] + radius * math.cos(t), pivot[1] + radius * math.sin(t)) for t in arc)
    items += [
        Circle(*pivot, 14.0),
        Stroke(way, "hidden"),
        Stroke((pivot, way[-1]), "hidden"),
        Words(way[10][0], way[10][1], "opens", align="right", shift=(-2.0, 0.0)),
        Words(*pivot, "hinge", align="right", shift=(-2.0, -2.6)),
        Dimension((FRONT - 600, floor), (FRONT - 600, zero), "floor_to_datum", 6.0),
        Stroke(((FRONT - 800, 420.0), (END + 950, 420.0)), "thin"),
        Words(760.0, 420.0, "lowest point of the garage door", shift=(0.0, 2.4)),
        Dimension((FRONT - 720, floor), (FRONT - 720, 420.0), "garage", 8.0),
        Stroke(((FRONT + 40, _crown(FRONT + 40)), (FRONT + 90, _crown(FRONT + 40) + 450)), "edge"),
        Words(FRONT + 90, _crown(FRONT + 40) + 450, "aerial", align="left", shift=(1.0, 0.0)),
    ]
    return Drawing(tuple(items), 1 / 25)


def _across(y: float) -> float:
    return -120.0 * (abs(y) / HALF) ** 2.4


def rear_figure(form: Form) -> Drawing:
    """Return the roof from behind: the bar across with its drops, half widths, strap, corner and shut line."""
    ys = [-HALF + 2 * HALF * k / 40 for k in range(41)]
    section = [(y, _across(y)) for y in ys]
    low = -560.0
    body = ((-HALF - 8, low), *section, (HALF + 8, low))
    lift = 0.0
    items: list[Item] = [
        Stroke(body, "edge"),
        Stroke(((-640, lift), (640, lift), (640, lift + 26), (-640, lift + 26)), "edge", closed=True, fill="light"),
        Words(
            0.0,
            lift + 26,
            "bar across, levelled" if form.levelled else "bar across, lying on the crown",
            shift=(0.0, 2.6),
        ),
        Stroke(((0.0, 120.0), (0.0, low)), "centre"),
    ]
    offsets = _offsets(form)
    for sign, name in ((-1.0, "left_drops"), (1.0, "right_drops")):
        for k, off in enumerate(offsets, start=1):
            y = sign * off
            items.append(Stroke(((y, _across(y)), (y, lift)), "thin"))
            items.append(Words(y, _across(y), f"[{k}]", shift=(0.0, -2.6)))
        if form.alike and sign < 0:
            continue
        said = "drops" if form.alike else name
        out = 700.0 if sign > 0 else 650.0
        items.append(Words(sign * out, -60.0, f"{said}[k]", align="left" if sign > 0 else "right", shift=(sign * 4, 0)))
    for k, off in enumerate(offsets):
        items.append(Dimension((0.0, lift + 26), (off, lift + 26), f"offsets[{k + 1}]", 9.0 + 6.0 * k))
    right = "half_width" if form.alike else "right"
    items.append(Dimension((0.0, lift + 26), (HALF, lift + 26), right, 9.0 + 6.0 * len(offsets)))
    if not form.alike:
        items.append(Dimension((-HALF, lift + 26), (0.0, lift + 26), "left", 9.0))
    strap = ((475.0, -190.0), (525.0, -190.0), (525.0, -370.0), (475.0, -370.0))
    items += [
        Stroke(strap, "edge", closed=True),
        Stroke(tuple((-y, z) for y, z in strap), "edge", closed=True),
        Stroke(((450.0, -170.0), (450.0, low)), "cut"),
        Stroke(((-450.0, -170.0), (-450.0, low)), "cut"),
        Words(450.0, -480.0, "shut line", align="right", shift=(-1.0, 0.0)),
        Words(-450.0, -480.0, "shut line", align="left", shift=(1.0, 0.0)),
        Stroke(((-420.0, -170.0), (420.0, -170.0)), "centre"),
        Words(0.0, -170.0, "hatch hinge", align="left", shift=(2.0, -2.6)),
        Dimension((0.0, -370.0), (500.0, -370.0), "y", -4.0),
        Words(-500.0, -370.0, "strap", shift=(0.0, -2.6)),
        Dimension((525.0, -190.0), (525.0, lift), "z", -16.0),
    ]
    return Drawing(tuple(items), 1 / 12)


def corner_figure() -> Drawing:
    """Return a rear corner seen from above, front up: the flat, the corner's radius, the shut line and the strap."""
    radius, corner, shut, y = 45.0, 175.0, 107.0, 138.0
    arc = [(corner + radius * math.sin(t), radius * (1 - math.cos(t))) for t in (math.pi / 2 * k / 8 for k in range(9))]
    items: list[Item] = [
        Stroke(((0.0, 0.0), (shut - 3, 0.0)), "edge"),
        Stroke(((shut + 3, 0.0), *arc, (corner + radius, 130.0)), "edge"),
        Stroke(((shut, -14.0), (shut, 40.0)), "cut"),
        Words(shut, 30.0, "shut line", align="right", shift=(-1.0, 0.0)),
        Stroke(((y - 25, -5.0), (y + 25, -5.0), (y + 25, 0.0), (y - 25, 0.0)), "edge", closed=True, fill="light"),
        Words(y, -5.0, "strap", shift=(0.0, -2.4)),
        Dimension((shut, 0.0), (corner, 0.0), "to_shut_line", -10.0),
        Dimension((0.0, 0.0), (y, 0.0), "y", -17.0),
        Dimension((0.0, 0.0), (corner, 0.0), "corner", -24.0),
        Stroke(((corner, radius), (corner + radius * 0.707, radius * 0.293)), "thin"),
        Words(corner, radius, "corner_radius", align="right", shift=(-1.0, 2.0)),
        Stroke(((0.0, 120.0), (0.0, -30.0)), "centre"),
        Words(0.0, 120.0, "middle", align="left", shift=(1.5, -1.5)),
        Words(corner + radius, 130.0, "side", align="left", shift=(1.5, -2.0)),
        Words(0.0, 0.0, "rear face", align="left", shift=(3.0, 2.6)),
    ]
    return Drawing(tuple(items), 1 / 2.5)
