"""Closed outlines out of an SVG file: paths and plain shapes, with transforms, in the file's own physical size."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator
from xml.etree import ElementTree

import numpy as np

from rackgen.geom.frame import Array

DEVIATION = 0.05
"""How far chords may lie from curves, mm."""

UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "q": 0.25}
"""mm in a unit that has a size (CSS Values and Units 3); a px has none that can be trusted."""

NAMESPACE = "{http://www.w3.org/2000/svg}"
SKIPPED = ("defs", "symbol", "clipPath", "mask", "pattern", "marker", "metadata", "style", "title", "desc")

_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_STEP = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])|([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)")


class DrawingError(ValueError):
    """A drawing cannot be used; the message says why and what to do."""


def svg_outlines(content: bytes) -> tuple[list[Array], float | None]:
    """Return the outlines of an SVG file as closed rows of points, Y up, and mm in one of its units.

    Args:
        content: of the file.

    Returns:
        Outlines in the file's units, shape (n, 2) each; None for mm where the file has no physical size.

    Raises:
        DrawingError: it is no SVG, an outline is open, or it holds what has no outline.
    """
    if b"<!ENTITY" in content:
        raise DrawingError("the file defines entities; save it as plain SVG")
    try:
        # Entities, which could grow without end, are refused above.
        root = ElementTree.fromstring(content)
    except ElementTree.ParseError as error:
        raise DrawingError(f"it is not XML: {error}") from None
    if root.tag not in ("svg", f"{NAMESPACE}svg"):
        raise DrawingError("it is not an SVG file")
    scale = _scale(root)
    fine = DEVIATION / (scale or 1.0)
    rows = [row * np.array([1.0, -1.0]) for row in _rows(root, np.eye(3), fine)]
    return rows, scale


def _scale(root: ElementTree.Element) -> float | None:
    """Return mm in a unit of the drawing, by the root's width and view box."""
    size = re.fullmatch(r"\s*([\d.eE+-]+)\s*([a-zA-Z]*)\s*", root.get("width", ""))
    if size is None or size.group(2).lower() not in UNITS:
        return None
    width = _float(size.group(1)) * UNITS[size.group(2).lower()]
    box = [_float(n) for n in _NUMBER.findall(root.get("viewBox", ""))]
    if len(box) == 4 and box[2] > 0:
        return width / box[2]
    return UNITS[size.group(2).lower()] if not box else None


def _rows(element: ElementTree.Element, motion: Array, fine: float, *, root: bool = True) -> Iterator[Array]:
    name = element.tag.removeprefix(NAMESPACE)
    styled = {k.strip(): v.strip() for k, _, v in (s.partition(":") for s in element.get("style", "").split(";"))}
    hidden = (
        styled.get(key, element.get(key)) == word for key, word in (("display", "none"), ("visibility", "hidden"))
    )
    if name in SKIPPED or any(hidden):
        return
    if "transform" in styled:
        raise DrawingError("a transform within `style` is not read; apply it in the drawing first")
    motion = motion @ _transform(element.get("transform", ""))
    if name == "svg" and not root:
        raise DrawingError("a drawing within the drawing is not read; take it out of its frame first")
    if name in ("text", "image", "use", "foreignObject"):
        raise DrawingError(f"<{name}> has no outline of its own; turn it into paths first")
    step = fine / max(1e-9, math.sqrt(abs(float(np.linalg.det(motion[:2, :2])))))
    for row in _shape(element, name, step):
        yield row @ motion[:2, :2].T + motion[:2, 2]
    for inner in element:
        yield from _rows(inner, motion, fine, root=False)


def _float(text: str | None, otherwise: float = 0.0) -> float:
    if text is None:
        return otherwise
    found = re.fullmatch(rf"\s*({_NUMBER.pattern})\s*(?:px)?\s*", text)
    number = math.inf if found is None else float(found.group(1))
    if not math.isfinite(number):
        raise DrawingError(f"{text[:40]!r} is no number in the drawing's own units")
    return number


def _shape(element: ElementTree.Element, name: str, step: float) -> list[Array]:
    def of(key: str) -> float:
        return _float(element.get(key))

    if name == "path":
        return _path(element.get("d", ""), step)
    if name == "rect":
        x, y, w, h = of("x"), of("y"), of("width"), of("height")
        return [_rectangle(x, y, w, h, _corner(element, w, h), step)] if w > 0 and h > 0 else []
    if name in ("circle", "ellipse"):
        rx, ry = (of("r"), of("r")) if name == "circle" else (of("rx"), of("ry"))
        if rx <= 0 or ry <= 0:
            return []
        a = np.linspace(0.0, 2 * math.pi, _chords(max(rx, ry), 2 * math.pi, step), endpoint=False)
        return [np.column_stack([of("cx") + rx * np.cos(a), of("cy") + ry * np.sin(a)])]
    if name in ("polygon", "polyline"):
        numbers = [_float(n) for n in _NUMBER.findall(element.get("points", ""))]
        row = np.array(numbers[: len(numbers) // 2 * 2]).reshape(-1, 2)
        if name == "polyline" and (len(row) < 2 or not np.allclose(row[0], row[-1])):
            raise DrawingError("a polyline is open; close it")
        return [row]
    if name == "line":
        raise DrawingError("a line encloses nothing; draw closed outlines")
    return []


def _corner(element: ElementTree.Element, w: float, h: float) -> tuple[float, float]:
    """Return the radii of a rectangle's corners: one that is left out is as the other (SVG 1.1, chapter 9.2)."""
    given = [None if element.get(key) in (None, "auto") else _float(element.get(key)) for key in ("rx", "ry")]
    rx, ry = (next((g for g in (one, other) if g is not None), 0.0) for one, other in (given, given[::-1]))
    return (min(rx, w / 2), min(ry, h / 2)) if rx > 0 and ry > 0 else (0.0, 0.0)


def _rectangle(x: float, y: float, w: float, h: float, corner: tuple[float, float], step: float) -> Array:
    """Return a rectangle with its corners rounded."""
    rx, ry = corner
    if rx == 0:
        return np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    quarter = np.linspace(0.0, math.pi / 2, _chords(max(rx, ry), math.pi / 2, step))
    middles = ((x + w - rx, y + h - ry), (x + rx, y + h - ry), (x + rx, y + ry), (x + w - rx, y + ry))
    row = [
        (mx + rx * math.cos(a + k * math.pi / 2), my + ry * math.sin(a + k * math.pi / 2))
        for k, (mx, my) in enumerate(middles) for a in quarter
    ]  # fmt: skip
    # A corner as large as half a side ends where the next begins.
    return np.array([p for p, q in itertools.pairwise([*row, row[0]]) if math.dist(p, q) > 1e-9])


def _chords(radius: float, angle: float, step: float) -> int:
    each = 2 * math.acos(max(-1.0, 1 - min(step, radius) / radius))
    return max(8, math.ceil(abs(angle) / each))


def _transform(text: str) -> Array:
    out = np.eye(3)
    for name, inside in re.findall(r"(\w+)\s*\(([^)]*)\)", text):
        n = [_float(v) for v in _NUMBER.findall(inside)]
        one = np.eye(3)
        if name == "matrix" and len(n) == 6:
            one[:2] = [[n[0], n[2], n[4]], [n[1], n[3], n[5]]]
        elif name == "translate" and n:
            one[:2, 2] = (n[0], n[1] if len(n) > 1 else 0.0)
        elif name == "scale" and n:
            one[0, 0], one[1, 1] = n[0], n[1] if len(n) > 1 else n[0]
        elif name == "rotate" and n:
            c, s = math.cos(math.radians(n[0])), math.sin(math.radians(n[0]))
            x, y = n[1:3] if len(n) > 2 else (0.0, 0.0)
            one[:2] = [[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y]]
        else:
            raise DrawingError(f"the transform {name}(...) is not read; apply it in the drawing first")
        out = out @ one
    return out


def _path(text: str, step: float) -> list[Array]:
    """Return the closed rows of a path (SVG 1.1, chapter 8)."""
    if rest := _STEP.sub("", text).replace(",", "").strip():
        raise DrawingError(f"a path has {rest[:20]!r} in it")
    tokens = [a or _float(b) for a, b in _STEP.findall(text)]
    rows: list[Array] = []
    row: list[tuple[float, float]] = []
    at = start = last = (0.0, 0.0)
    command, before, k = "", "", 0

    def done(closed: bool) -> None:
        if len(row) > 1:
            if not closed and math.dist(row[0], row[-1]) > 1e-6 * max(1.0, *map(abs, row[0])):
                raise DrawingError("a path is open; close it")
            rows.append(np.array(row))

    while k < len(tokens):
        token = tokens[k]
        if isinstance(token, str):
            command, k = token, k + 1
            if command in "Zz":
                done(True)
                row, at, before = [start], start, "Z"
                continue
        elif command in ("", "Z", "z"):
            raise DrawingError("a path begins with a number")
        n = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}[command.upper()]
        values = tokens[k : k + n]
        if len(values) < n or any(isinstance(v, str) for v in values):
            raise DrawingError(f"a path breaks off after {command}")
        v, k = [float(x) for x in values], k + n
        relative, kind = command.islower(), command.upper()
        base = at if relative else (0.0, 0.0)
        if kind == "H":
            v = [v[0] + base[0], at[1]]
        elif kind == "V":
            v = [at[0], v[0] + base[1]]
        elif kind == "A":
            v = [*v[:5], v[5] + base[0], v[6] + base[1]]
        else:
            v = [x + base[i % 2] for i, x in enumerate(v)]
        end = (v[-2], v[-1])
        if kind == "M":
            done(False)
            row, start, command = [end], end, "l" if relative else "L"
        elif kind in "LHV":
            row.append(end)
        elif kind == "A":
            row += _arc(at, v, step)
        else:
            mirrored = (2 * at[0] - last[0], 2 * at[1] - last[1])
            smooth = before in ("CS" if kind in "CS" else "QT")
            if kind in "ST":
                v = [*(mirrored if smooth else at), *v]
            row += _curve([at, *((v[i], v[i + 1]) for i in range(0, len(v), 2))], step)
            last = (v[-4], v[-3])
        at, before = end, kind
    done(False)
    return [r[:-1] if math.dist(r[0], r[-1]) < 1e-9 else r for r in rows if len(r) > 2]


def _curve(points: list[tuple[float, float]], step: float) -> list[tuple[float, float]]:
    """Return points along a Bézier curve of three or four points, without its begin."""
    p = np.array(points)
    bend = max(float(np.linalg.norm(p[i] - 2 * p[i + 1] + p[i + 2])) for i in range(len(p) - 2))
    degree = len(p) - 1
    n = min(400, max(1, math.ceil(math.sqrt(degree * (degree - 1) * bend / (8 * step)))))
    t = np.arange(1, n + 1)[:, None] / n
    rows: list[Array] = [np.repeat(q[None], n, axis=0) for q in p]
    while len(rows) > 1:
        rows = [a * (1 - t) + b * t for a, b in itertools.pairwise(rows)]
    return [(float(x), float(y)) for x, y in rows[0]]


def _arc(begin: tuple[float, float], v: list[float], step: float) -> list[tuple[float, float]]:
    """Return points along an elliptical arc, without its begin (SVG 1.1, appendix F.6)."""
    rx, ry, turn, large, sweep, x2, y2 = abs(v[0]), abs(v[1]), math.radians(v[2]), v[3] != 0, v[4] != 0, v[5], v[6]
    if rx == 0 or ry == 0 or math.dist(begin, (x2, y2)) == 0:
        return [(x2, y2)]
    c, s = math.cos(turn), math.sin(turn)
    dx, dy = (begin[0] - x2) / 2, (begin[1] - y2) / 2
    x, y = c * dx + s * dy, -s * dx + c * dy
    grow = math.sqrt(max(1.0, (x / rx) ** 2 + (y / ry) ** 2))
    rx, ry = rx * grow, ry * grow
    root = max(0.0, (rx * ry) ** 2 - (rx * y) ** 2 - (ry * x) ** 2) / ((rx * y) ** 2 + (ry * x) ** 2)
    k = math.sqrt(root) * (-1.0 if large == sweep else 1.0)
    cx, cy = k * rx * y / ry, -k * ry * x / rx
    a1, a2 = math.atan2((y - cy) / ry, (x - cx) / rx), math.atan2((-y - cy) / ry, (-x - cx) / rx)
    angle = a2 - a1
    if sweep and angle < 0:
        angle += 2 * math.pi
    elif not sweep and angle > 0:
        angle -= 2 * math.pi
    a = a1 + angle * np.arange(1, _chords(max(rx, ry), angle, step) + 1) / _chords(max(rx, ry), angle, step)
    px, py = rx * np.cos(a) + cx, ry * np.sin(a) + cy
    mx, my = (begin[0] + x2) / 2, (begin[1] + y2) / 2
    return [(float(c * p - s * q + mx), float(s * p + c * q + my)) for p, q in zip(px, py, strict=True)]
