"""A dimensioned sketch of anything bent from one length, as it is drawn on the bench: true proportions, outside sizes.

One view square to the bends where they lie in one plane; plan and side view, in line with each other, where they do
not. A size stands in the view that shows it true.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from rackgen.geom import spine
from rackgen.geom.frame import Array
from rackgen.geom.spine import Spine
from rackgen.sheets.bent_views import (
    View,
    extent,
    leg_ends,
    normals,
    on_wall,
    outside_legs,
    planar,
    sampled,
    views,
)
from rackgen.sheets.board import SCALES, Board
from rackgen.sheets.drawing import Drawing
from rackgen.sheets.silhouette import silhouette

TRUE = 0.99995
"""A direction at least that much in a view's plane is shown true there."""

TICK = 1.6
"""How far a tangent's tick reaches past the edge, mm on paper."""

SAME = 0.05
"""Sizes that differ by less are one, mm."""


@dataclass(frozen=True)
class Bent:
    """What is drawn.

    Attributes:
        line: centreline between its finished ends, mm.
        half: from it to the outside, mm.
        ends: what is written at the begin and at the end.
        bends: what is written at each bend.
        shown: writes a size.
        trims: left on begin and end until later, mm.
        marks: place along the centreline and what is written there.
        holes: place along the centreline, clock and diameter.
        seam: clock of a weld seam, or None.
        eye: the sides that it is drawn from; none for those that show it best.
    """

    line: Spine
    half: float
    ends: tuple[str, str]
    bends: tuple[str, ...]
    shown: Callable[[float], str]
    trims: tuple[float, float] = (0.0, 0.0)
    marks: tuple[tuple[float, str], ...] = ()
    holes: tuple[tuple[float, float, float], ...] = ()
    seam: float | None = None
    eye: tuple[View, ...] = ()


def bent_sketch(bent: Bent, wide: float = 180.0, high: float = 120.0) -> Drawing:
    """Return a sketch, laid out for the largest usual scale at which it fits.

    Args:
        bent: what is drawn.
        wide: room on paper, mm.
        high: room on paper, mm; for two views, both together.
    """
    shown = bent.eye or views(bent.line, wide, high)
    low, top = np.array([sampled_box(bent, v) for v in shown]).transpose(1, 0, 2)
    size_x, size_y = float((top - low)[:, 0].max()), float((top - low)[:, 1].sum())
    board = Board(SCALES[-1])
    for scale in SCALES:
        if size_x * scale > wide - 24 or size_y * scale > high - 24 * len(shown):
            continue
        board = _laid_out(bent, shown, scale)
        left, bottom, right, upper = board.extent
        if right - left <= wide and upper - bottom <= high:
            break
    return board.drawing


def sampled_box(bent: Bent, view: View) -> tuple[Array, Array]:
    """Return the lowest and highest corner of the finished thing in a view, mm."""
    x = extent(bent.line, bent.half, view.u)
    y = extent(bent.line, bent.half, view.v)
    return np.array([x[0], y[0]]), np.array([x[1], y[1]])


def _laid_out(bent: Bent, shown: tuple[View, ...], scale: float) -> Board:
    board = Board(scale)
    told: set[int] = set()
    named: set[int] = set()
    for number, view in enumerate(shown):
        top = sampled_box(bent, view)[1]
        drop = 0.0
        if number:
            # Below everything that stands round the view before it.
            left, bottom = board.extent[:2]
            drop = (bottom - 20.0) / scale - top[1]
            board.title(view.name, left / scale, (bottom - 6.0) / scale)
        _View(board, bent, view, np.array([0.0, drop]), number == 0, told, named).draw()
        if view.name and not number:
            board.title(view.name, board.extent[0] / scale, (board.extent[3] + 4.0) / scale)
    return board


class _View:
    """One view as it is drawn."""

    def __init__(
        self, board: Board, bent: Bent, view: View, move: Array, first: bool, told: set[int], named: set[int]
    ) -> None:
        self.board, self.bent, self.view, self.move, self.first, self.told, self.named = (
            board,
            bent,
            view,
            move,
            first,
            told,
            named,
        )

    def at(self, points: Array) -> Array:
        return self.view.flat(points) + self.move

    def draw(self) -> None:
        bent, board = self.bent, self.board
        points, ways = sampled(bent.line)
        rings = silhouette(points, ways, bent.half, self.view.u, self.view.v)
        for ring in rings:
            fill = "light" if len(rings) == 1 else ""
            board.stroke(ring + self.move, "edge", closed=True, fill=fill, taken=False)
        board.take(self.at(points), bent.half)
        self._trims()
        self._tangents()
        self._seam()
        self._holes()
        self._sizes()
        self._bends()
        self._ends()
        if self.first:
            self._marks()

    def _trims(self) -> None:
        line, half = self.bent.line, self.bent.half
        begin, end = spine.frame_at(line, 0.0), spine.end_frame(line)
        for frame, trim, sign in ((begin, self.bent.trims[0], -1.0), (end, self.bent.trims[1], 1.0)):
            if trim <= 0:
                continue
            points = np.array([frame.origin, frame.moved((sign * trim, 0, 0)).origin])
            for ring in silhouette(points, np.array([frame.x] * 2), half, self.view.u, self.view.v):
                self.board.stroke(ring + self.move, "thin", closed=True, taken=False)
            self.board.take(self.at(points), half)

    def _tangents(self) -> None:
        """Tick every tangent across the tube."""
        at = 0.0
        for straight, bend in zip(self.bent.line.straights, self.bent.line.bends, strict=False):
            for s in (at + straight, at + straight + spine.arc_length(bend)):
                frame = spine.frame_at(self.bent.line, s)
                way = self.view.flat(frame.x)
                size = float(np.hypot(*way))
                if size > 0.2:
                    across = np.array([-way[1], way[0]]) / size * (self.bent.half + TICK / self.board.scale)
                    middle = self.at(np.array(frame.origin))
                    self.board.stroke([middle - across, middle + across], "thin")
            at += straight + spine.arc_length(bend)

    def _seam(self) -> None:
        if self.bent.seam is None:
            return
        line = self.bent.line
        total = spine.length(line)
        n = max(2, round(total / 10.0))
        spots = [on_wall(line, total * k / n, self.bent.seam, self.bent.half) for k in range(n + 1)]
        facing = float(np.mean([way @ self.view.n for _, way in spots]))
        self.board.stroke(self.at(np.array([p for p, _ in spots])), "centre" if facing > 0 else "hidden", taken=False)
        if not self.first:
            return
        # Where the longest straight is, a third along it.
        legs = leg_ends(line, self.bent.half)
        longest = max(range(len(legs)), key=lambda i: line.straights[i])
        begin = sum(line.straights[:longest]) + sum(spine.arc_length(b) for b in line.bends[:longest])
        at, way = on_wall(line, begin + line.straights[longest] * 0.3, self.bent.seam, self.bent.half)
        side = (
            "toward you" if way @ self.view.n > 0.7 else "away from you" if way @ self.view.n < -0.7 else "at the edge"
        )
        if abs(way @ self.view.n) <= 0.7:
            side = f"at clock {self.bent.seam:.0f}"
        self.board.words(f"seam {side}", self.at(at), self._inward(longest), near=4.5)

    def _holes(self) -> None:
        for along, clock, diameter in self.bent.holes:
            at, way = on_wall(self.bent.line, along, clock, self.bent.half)
            x, y = self.at(at)
            facing = float(way @ self.view.n)
            if abs(facing) > 0.5:
                self.board.circle(float(x), float(y), diameter / 2, "edge" if facing > 0 else "hidden")
            else:
                flat = self.view.flat(way)
                flat = flat / max(1e-9, float(np.hypot(*flat)))
                a, b = np.array([x, y]) - flat * self.bent.half * 0.3, np.array([x, y]) + flat * 1.0 / self.board.scale
                self.board.stroke([a, b], "mark")

    def _inward(self, leg: int) -> Array:
        """Return the way from a straight to where most of the rest lies, square to it, in the view."""
        ends = leg_ends(self.bent.line, self.bent.half)[leg]
        way = self.view.flat(ends[2])
        size = float(np.hypot(*way))
        if size < 1e-6:
            return np.array([0.0, 1.0])
        left = np.array([-way[1], way[0]]) / size
        points, _ = sampled(self.bent.line)
        rest = self.view.flat(points.mean(axis=0)) - self.view.flat((ends[0] + ends[1]) / 2)
        return left if rest @ left >= 0 else -left

    def _sizes(self) -> None:
        """Dimension every straight outside where it is seen true, and the overall size unless a straight is it."""
        bent, view, board = self.bent, self.view, self.board
        sizes = outside_legs(bent.line, bent.half)
        low, top = sampled_box(bent, view)
        told: list[tuple[int, float]] = []
        drawn: list[Array] = []
        for i, (a, b, way) in enumerate(leg_ends(bent.line, bent.half)):
            flat = view.flat(way)
            if float(np.hypot(*flat)) < TRUE or i in self.told:
                continue
            self.told.add(i)
            flat = flat / float(np.hypot(*flat))
            left = np.array([-flat[1], flat[0]])
            side = self._outer(i, left)
            edge = left * side * bent.half
            both = np.sort(np.round([self.at(a) + edge, self.at(b) + edge], 1), axis=0)
            if any(np.abs(both - d).max() < 0.2 for d in drawn):
                # Seen one behind the other: one size says both.
                continue
            drawn.append(both)
            board.dimension(self.at(a) + edge, self.at(b) + edge, bent.shown(sizes[i]), side)
            for axis in (0, 1):
                if abs(flat[axis]) > TRUE:
                    told.append((axis, sizes[i]))
        for axis in (0, 1):
            size = float(top[axis] - low[axis])
            if any(a == axis and abs(size - s) < SAME for a, s in told):
                continue
            if view.name == "side" and axis == 0:
                continue
            corner = low + self.move
            end = corner + np.array([size, 0.0] if axis == 0 else [0.0, size])
            board.dimension(corner, end, bent.shown(size), -1.0 if axis == 0 else 1.0, near=9.0)

    def _outer(self, i: int, left: Array) -> float:
        """Return 1 where the outside of a straight's bends is to its left in the view, else -1."""
        turns = 0.0
        axes = normals(self.bent.line)
        for k in (i - 1, i):
            if 0 <= k < len(axes):
                turns += float(axes[k] @ self.view.n) * self.bent.line.bends[k].angle
        if abs(turns) > 1e-6:
            return -1.0 if turns > 0 else 1.0
        return -1.0 if self._inward(i) @ left > 0 else 1.0

    def _bends(self) -> None:
        """Name every bend in the view that shows it best."""
        line = self.bent.line
        axes = normals(line)
        flat = planar(line)
        at = 0.0
        for i, bend in enumerate(line.bends):
            at += line.straights[i]
            middle = at + spine.arc_length(bend) / 2
            at += spine.arc_length(bend)
            if i in self.named or (self.first and not flat and abs(axes[i] @ self.view.n) < 0.75):
                continue
            self.named.add(i)
            frame = spine.frame_at(line, middle)
            inside = self.view.flat(np.cross(axes[i], frame.x))
            size = float(np.hypot(*inside))
            inside = inside / size if size > 0.2 else np.array([0.6, -0.8])
            spot = self.at(np.array(frame.origin)) + inside * self.bent.half
            self.board.words(self.bent.bends[i], spot, inside, near=3.0)

    def _ends(self) -> None:
        line = self.bent.line
        begin, end = spine.frame_at(line, -self.bent.trims[0]), spine.end_frame(line).moved((self.bent.trims[1], 0, 0))
        for frame, sign, text in ((begin, -1.0, self.bent.ends[0]), (end, 1.0, self.bent.ends[1])):
            way = self.view.flat(frame.x) * sign
            if float(np.hypot(*way)) < 0.2:
                way = np.array([-1.0, -1.0])
            said = text if self.first else text.split(",")[0]
            self.board.words(said, self.at(np.array(frame.origin)), way, height=2.8, bold=True, leader=False, near=3.0)

    def _marks(self) -> None:
        """Write at every mark, beside the tube, those of one place together."""
        bent = self.bent
        places: list[tuple[float, str]] = []
        for s, text in sorted(bent.marks):
            if places and s - places[-1][0] < 0.3:
                places[-1] = (places[-1][0], f"{places[-1][1]}, {text}")
            else:
                places.append((s, text))
        for s, text in places:
            frame = spine.frame_at(bent.line, s)
            way = self.view.flat(frame.x)
            size = float(np.hypot(*way))
            way = way / size if size > 0.2 else np.array([1.0, 0.0])
            left = np.array([-way[1], way[0]])
            middle = self.at(np.array(frame.origin))
            self.board.stroke([middle - left * bent.half, middle + left * bent.half], "mark", taken=False)
            inner = left if self._inward(self._leg(s)) @ left >= 0 else -left
            self.board.words(text, middle + inner * bent.half, inner, height=2.6, bold=True, near=3.0)

    def _leg(self, s: float) -> int:
        """Return the straight that a place lies on or nearest behind."""
        at = 0.0
        for i, straight in enumerate(self.bent.line.straights[:-1]):
            at += straight + spine.arc_length(self.bent.line.bends[i]) / 2
            if s < at:
                return i
        return len(self.bent.line.straights) - 1
