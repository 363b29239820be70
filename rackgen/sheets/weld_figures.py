"""Where each weld is: the rack in groups, seen askew, with the ids of the joints at their places."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.board import SCALES, Board, text_width
from rackgen.sheets.drawing import Drawing, Words
from rackgen.sheets.isometric import FRONT_LEFT, Bools, Line, View, lines, looking
from rackgen.sheets.weld_lines import runs, welded_joints
from rackgen.sheets.weld_rows import span
from rackgen.sheets.welds import Weld, WeldMap

WIDE = 176.0
"""Room on either paper, mm."""

TOGETHER = (5.0, 9.0, 14.0)
"""Joints nearer to one another than this share a label, mm on paper: the first of these at which all labels fit."""


MANY = 48
"""More joints than this are not named in one view."""

HOOPS = ("ring hoop", "frame hoop", "leg tail")
"""What the shop calls the tubes that all others stand on."""


@dataclass(frozen=True)
class Group:
    """One view.

    Attributes:
        title: of the view.
        steps: whose joints are named.
        words: of the parts that are drawn; empty for all that the named joints join and nothing else.
        named: the words of the landing parts whose joints are named; empty for all.
    """

    title: str
    steps: tuple[int, ...]
    words: tuple[str, ...]
    named: tuple[str, ...] = ()


FRAME = ("frame hoop", "frame rail", "leg tail", "cross bar", "front tube", "rear tube", "bow")
"""Tubes of a frame."""

GROUPS = (
    Group("Rings: plugs and butts", (1,), ("ring hoop", "frame hoop", "frame rail", "leg tail")),
    Group("Frame: cross bars and stops", (2, 8), (*FRAME, "tie", "fore-aft stop")),
    Group(
        "Lower ring: clamp pads and bearers",
        (3, 4),
        ("ring hoop", "side rail", "bearer", "slat", "clamp pad"),
        ("clamp pad", "bearer", "slat"),
    ),
    Group("Basket: uprights", (4,), ("ring hoop", "upright", "mid rail"), ("upright",)),
    Group("Side plates", (5,), ("ring hoop", "upright", "side plate")),
    Group("Floor", (6, 7), ("ring hoop", "side rail", "bearer", "slat", "floor panel", "edge strip")),
    Group("After the dry fit", (9, 10, 11), ()),
    Group("Fittings", (12,), ()),
)
"""The views, in order of welding."""


def group_drawing(rack: Rack, found: WeldMap, group: Group, high: float = 106.0) -> Drawing | None:
    """Return one view with the ids of its joints, without ids where they are too many, None when it has no joint.

    Args:
        rack: the rack.
        found: its weld map.
        group: what is shown.
        high: room on paper, mm.
    """
    welds = tuple(
        w for w in found.welds if w.step in group.steps and (not group.named or set(group.named) & set(w.words))
    )
    if not welds:
        return None
    joined = {p for w in welds for p in w.parts}
    parts = [p for p in rack.placed if _shown(p, group, p.id in joined)]
    return _drawn(rack, parts, welds, looking(FRONT_LEFT), high, None)


def _shown(placed: Placed, group: Group, joined: bool) -> bool:
    """Return whether a part is drawn: of hoops and tails only those that a joint of the view is on."""
    if not group.words:
        return joined or placed.word in FRAME
    return placed.word in group.words and (joined or placed.word not in HOOPS)


def detail_drawing(rack: Rack, found: WeldMap, around: Array, reach: float, high: float = 90.0) -> Drawing | None:
    """Return a close view of the joints round a place, None when there are none.

    Args:
        rack: the rack.
        found: its weld map.
        around: vehicle frame, mm.
        reach: half the side of the cube that is drawn, mm.
        high: room on paper, mm.
    """

    def within(points: Array) -> Bools:
        return np.asarray(np.abs(points - around).max(axis=1) < reach)

    welds = tuple(w for w in found.welds if w.waits and bool(within(np.asarray(w.at)[None, :])[0]))
    if not welds:
        return None
    joined = {p for w in welds for p in w.parts}
    parts = [p for p in rack.placed if p.id in joined]
    side = -1.0 if float(around[1]) > 0 else 1.0
    return _drawn(rack, parts, welds, looking((-0.8, 1.0 * side, -0.55)), high, within)


def _drawn(rack: Rack, parts: Sequence[Placed], welds: tuple[Weld, ...], view: View, high: float,
           within: Callable[[Array], Bools] | None) -> Drawing:  # fmt: skip
    drawn = lines(parts, view, within)
    spots = _spots(rack, welds, view)
    every = np.concatenate([line.points for line in drawn])
    size = every.max(axis=0) - every.min(axis=0)
    fitting = [s for s in SCALES if size[0] * s <= WIDE and size[1] * s <= high]
    for scale in fitting if len(spots) <= MANY else ():
        for together in TOGETHER:
            drawing, wide, tall = _labelled(drawn, _labels(spots, scale, together), scale)
            if wide <= WIDE and tall <= high and not _clash(drawing):
                return drawing
    # So many joints, or so near one another, that their names would hide them: the rack alone is drawn.
    return _labelled(drawn, (), fitting[0])[0]


def _labelled(drawn: Sequence[Line], labels: Sequence[tuple[str, Array]], scale: float
              ) -> tuple[Drawing, float, float]:  # fmt: skip
    """Return a drawing with its labels, and its size, mm on paper."""
    every = np.concatenate([line.points for line in drawn])
    board = Board(scale)
    for line in drawn:
        board.stroke(line.points, "thin" if line.thin else "edge")
    middle = (every.max(axis=0) + every.min(axis=0)) / 2
    for ids, at in labels:
        toward = at - middle
        board.words(ids, at, (float(toward[0]), float(toward[1]) + 1e-6), bold=True, near=2.0)
    left, low, right, top = board.extent
    return board.drawing, right - left, top - low


def _clash(drawing: Drawing) -> bool:
    """Return whether two labels stand on one another."""
    boxes: list[tuple[float, float, float, float]] = []
    for item in drawing.items:
        if isinstance(item, Words):
            x, y = item.x * drawing.scale, item.y * drawing.scale
            # A W is wider than most letters.
            wide, high = 0.6 * text_width(item.text, item.height, bold=item.bold) + 0.5, item.height
            boxes.append((x - wide, y - high, x + wide, y + high))
    return any(a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for a, b in itertools.combinations(boxes, 2))


def _spots(rack: Rack, welds: tuple[Weld, ...], view: View) -> list[tuple[str, Array]]:
    """Return id and place on the drawing of each weld: the point of its beads that is nearest to the eye."""
    members = {p.id: p for p in rack.placed}
    joints = {j.id: j for j in welded_joints(rack)}
    out: list[tuple[str, Array]] = []
    for weld in welds:
        beads = runs(joints[weld.joint], members)
        if weld.kind == "tacks" or not beads:
            point = np.asarray(weld.at)
            if beads:
                points = np.concatenate([r.points for r in beads])
                point = points[np.linalg.norm(points - point, axis=1).argmin()]
        else:
            points = np.concatenate([r.points for r in beads])
            point = points[(points @ np.asarray(view.sight)).argmin()]
        out.append((weld.id, view.flat(point[None, :])[0]))
    return out


def _labels(spots: list[tuple[str, Array]], scale: float, together: float) -> list[tuple[str, Array]]:
    """Return labels, joints that lie close together under one."""
    heaps: list[tuple[list[str], Array]] = []
    for name, at in spots:
        near = next((h for h in heaps if float(np.linalg.norm(h[1] - at)) * scale < together), None)
        if near is None:
            heaps.append(([name], at))
        else:
            near[0].append(name)
    return [(span(tuple(names)), at) for names, at in heaps]
