"""Drawings on screen: the same lines and texts as on paper, as SVG in mm of that paper."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from rackgen.export.paper.blocks import usual_scale
from rackgen.export.paper.fonts import CAP
from rackgen.export.paper.labels import Label, measured, words_label
from rackgen.export.paper.painter import CROSS, GREYS, LAST, PENS, extent
from rackgen.sheets.drawing import Circle, Colour, Dimension, Drawing, Stroke, Words
from rackgen.sheets.pages import Figure

ROOM = 182.0
"""Width of the paper that figures are laid out for, mm."""

ANCHORS: Mapping[str, str] = {"left": "start", "centre": "middle", "right": "end"}

XY = tuple[float, float]


def figure(block: Figure) -> str:
    """Return a figure with its caption as HTML; of a scale nothing is said, since screens have none."""
    drawing = block.drawing
    scale = drawing.scale or usual_scale(drawing, ROOM, block.height)
    said = "not to scale" if block.schematic else ""
    caption = f"{block.caption} ({said})" if block.caption and said else block.caption or said
    below = f"<figcaption>{escape(caption)}</figcaption>" if caption else ""
    return f'<figure class="drawing">{svg(drawing, scale, block.caption or "drawing")}{below}</figure>'


def svg(drawing: Drawing, scale: float, title: str) -> str:
    """Return a drawing as SVG, its unit a mm of paper at that scale."""
    x0, y0, x1, y1 = extent(drawing, scale)
    fills: list[str] = []
    lines: list[str] = []
    last: list[str] = []
    labels: list[Label] = []
    for item in drawing.items:
        match item:
            case Stroke():
                points = [(x * scale, -y * scale) for x, y in item.points]
                if item.inside is not None:
                    fills.append(_path(points, closed=True, fill=_rgb(item.inside)))
                    continue
                grey = GREYS[item.fill]
                if grey is not None:
                    fills.append(_path(points, closed=True, fill=_rgb((grey, grey, grey))))
                wide, dash = PENS[item.style]
                drawn = _path(points, item.closed, wide=item.wide or wide, dash=dash, colour=item.colour)
                (last if item.style in LAST else lines).append(drawn)
            case Circle():
                (last if item.style in LAST else lines).append(_circle(item, scale))
            case Dimension():
                parts = measured(item, scale, 0.0, 0.0)
                lines += [_path([(x, -y) for x, y in line], wide=PENS["thin"][0]) for line in parts.lines]
                lines += [_path([(x, -y) for x, y in arrow], closed=True, fill="#000") for arrow in parts.arrows]
                labels.append(parts.label)
            case Words():
                labels.append(words_label(item, scale, 0.0, 0.0))
    backs = [_path([(x, -y) for x, y in label.corners], closed=True, fill="#fff") for label in labels]
    texts = [_text(label) for label in labels]
    box = f"{x0 - 1:.2f} {-y1 - 1:.2f} {x1 - x0 + 2:.2f} {y1 - y0 + 2:.2f}"
    return (
        f'<svg viewBox="{box}" role="img" aria-label="{escape(title)}" style="--wide:{x1 - x0 + 2:.0f}">'
        f"{''.join((*fills, *lines, *backs, *texts, *last))}</svg>"
    )


def _path(
    points: list[XY],
    closed: bool = False,
    *,
    wide: float = 0.0,
    dash: tuple[float, ...] = (),
    colour: Colour | None = None,
    fill: str = "none",
) -> str:
    way = "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points) + ("z" if closed else "")
    dashes = f' stroke-dasharray="{" ".join(f"{d:g}" for d in dash)}"' if dash else ""
    pen = f' stroke="{_rgb(colour) if colour else "#000"}" stroke-width="{wide:g}"{dashes}' if wide else ""
    return f'<path d="{way}" fill="{fill}"{pen}/>'


def _circle(item: Circle, scale: float) -> str:
    x, y, r = item.x * scale, -item.y * scale, item.radius * scale
    wide, dash = PENS[item.style]
    dashes = f' stroke-dasharray="{" ".join(f"{d:g}" for d in dash)}"' if dash else ""
    out = f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{r:.2f}" fill="none" stroke="#000" stroke-width="{wide:g}"{dashes}/>'
    if item.style == "mark":
        arm = r + CROSS
        out += _path([(x - arm, y), (x + arm, y)], wide=PENS["thin"][0])
        out += _path([(x, y - arm), (x, y + arm)], wide=PENS["thin"][0])
    return out


def _text(label: Label) -> str:
    if not label.text:
        return ""
    x, y = label.foot
    weight = ' font-weight="bold"' if label.bold else ""
    turn = f' transform="rotate({-label.angle:.2f} {x:.2f} {-y:.2f})"' if label.angle else ""
    return (
        f'<text x="{x:.2f}" y="{-y:.2f}" font-size="{label.height / CAP:.2f}" text-anchor="{ANCHORS[label.align]}"'
        f'{weight}{turn} textLength="{label.length:.2f}" lengthAdjust="spacingAndGlyphs">{escape(label.text)}</text>'
    )


def _rgb(colour: Colour) -> str:
    return "#" + "".join(f"{round(255 * min(1.0, max(0.0, c))):02x}" for c in colour)
