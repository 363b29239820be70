"""Tubes and bars as lines that a frame is made of: where a place along one lies, and its cross section there."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from rackgen.geom import section, spine
from rackgen.geom.fold import Fold, after_fold, legs_and_arcs
from rackgen.geom.frame import Array, Frame, Vec, vec
from rackgen.parts import measure
from rackgen.parts.kinds import BentTube, FoldedBar
from rackgen.parts.place import nearest_along
from rackgen.parts.rack import Placed
from rackgen.refs.registry import number
from rackgen.spec.stock import Flat, Round
from rackgen.strength.model import Elastic, Properties

CHORD = 6.0
"""Largest turn of one chord of a bend, degrees: sixteen on a right angle keep within 0.2 % of the arc."""

FOLD_CHORD = 30.0
"""The same of a fold in a bar, whose arc is short, degrees."""

NEAR = 1.0
"""Two stations this near are one, mm."""


@dataclass(frozen=True)
class Piece:
    """A straight or arc of a line: where it begins along it, its length, mm, its turn, degrees, and its bend's CLR."""

    start: float
    length: float
    turn: float
    clr: float


@dataclass(eq=False)
class Line:
    """A tube or bar where it stands, and the stations along it that become nodes.

    Attributes:
        placed: the part.
        wanted: stations that something is joined at, mm along its centreline.
    """

    placed: Placed
    wanted: list[float] = field(default_factory=list[float])

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Straights and arcs in order."""
        part = self.placed.part
        if isinstance(part, BentTube):
            return tuple(
                Piece(p.start, p.length, 0.0 if p.bend is None else p.bend.angle, 0.0 if p.bend is None else p.bend.clr)
                for p in spine.pieces(part.spine)
            )
        out: list[Piece] = []
        at = 0.0
        for _, length, fold in self._flats:
            turned = 0.0 if fold is None else abs(fold.angle)
            out.append(Piece(at, length, turned, length / math.radians(turned) if turned else 0.0))
            at += length
        return tuple(p for p in out if p.length > 1e-9)

    @cached_property
    def _flats(self) -> list[tuple[Frame, float, Fold | None]]:
        part = self.placed.part
        assert isinstance(part, FoldedBar)
        return legs_and_arcs(part.flats, part.folds, part.section.thickness, part.section.width)

    @cached_property
    def length(self) -> float:
        """Developed length, mm."""
        return sum(p.length for p in self.pieces)

    def frame(self, s: float) -> Frame:
        """Return the frame at `s` mm along, vehicle frame: X along; Z at clock 0 of a tube, off the face of a bar."""
        part = self.placed.part
        if isinstance(part, BentTube):
            return self.placed.frame.then(spine.frame_at(part.spine, s))
        assert isinstance(part, FoldedBar)
        left, flats = s, list(self._flats)
        while len(flats) > 1 and left > flats[0][1] + 1e-9:
            left -= flats.pop(0)[1]
        begin, length, fold = flats[0]
        if fold is None:
            return self.placed.frame.then(begin.moved((left, 0, 0)))
        turned = abs(fold.angle) * left / length
        return self.placed.frame.then(after_fold(begin, fold, part.section.thickness, part.section.width, turned))

    def nearest(self, point: Vec | Array) -> float:
        """Return the place along the line nearest to a point of the vehicle frame, mm."""
        if isinstance(self.placed.part, BentTube):
            return nearest_along(self.placed, vec(point))
        marks, points = self._drawn
        a, b = points[:-1], points[1:]
        way = b - a
        t = np.clip(((np.asarray(point) - a) * way).sum(1) / (way * way).sum(1), 0.0, 1.0)
        best = int(np.argmin(np.linalg.norm(a + t[:, None] * way - np.asarray(point), axis=1)))
        return float(marks[best] + t[best] * (marks[best + 1] - marks[best]))

    @cached_property
    def _drawn(self) -> tuple[Array, Array]:
        marks = np.array(self._base())
        return marks, np.array([self.frame(float(s)).origin for s in marks])

    def _base(self) -> list[float]:
        """Return ends, tangents, and the chords of every arc."""
        most = CHORD if isinstance(self.placed.part, BentTube) else FOLD_CHORD
        out = [0.0]
        for piece in self.pieces:
            count = max(1, math.ceil(piece.turn / most - 1e-9)) if piece.turn else 1
            out += [piece.start + piece.length * (i + 1) / count for i in range(count)]
        return out

    def want(self, s: float) -> float:
        """Ask for a station at `s`, and return it, kept within the line."""
        at = min(max(s, 0.0), self.length)
        self.wanted.append(at)
        return at

    @cached_property
    def stations(self) -> Array:
        """Every station in order, mm; read only once all are wanted. Of two that are near one is left."""
        base = self._base()
        rows = [(s, 0) for s in base if s in (base[0], base[-1])] + [(s, 2) for s in base[1:-1]]
        rows += [(s, 1) for s in self.wanted]
        kept: list[float] = []
        # Ends stay where they are; what is joined comes before a chord's own point, which is as good elsewhere.
        for s, _ in sorted(rows, key=lambda r: (r[1], r[0])):
            if all(abs(s - k) > NEAR for k in kept):
                kept.append(s)
        return np.array(sorted(kept))

    def index(self, s: float) -> int:
        """Return which station stands for a place."""
        return int(np.argmin(np.abs(self.stations - s)))

    def clr(self, s: float) -> float:
        """Return the radius of the bend that a place lies in, mm, 0 on a straight."""
        found = next((p for p in self.pieces if p.start - 1e-9 <= s <= p.start + p.length + 1e-9), self.pieces[-1])
        return found.clr

    @cached_property
    def properties(self) -> Properties:
        """The cross section, nominal."""
        part = self.placed.part
        assert isinstance(part, BentTube | FoldedBar)
        shape = part.section
        return round_properties(shape) if isinstance(shape, Round) else flat_properties(shape)

    @cached_property
    def elastic(self) -> Elastic:
        """Stiffness of the material."""
        part = self.placed.part
        assert isinstance(part, BentTube | FoldedBar)
        return elastic_of(part.stock.material)

    @cached_property
    def mass_per_mm(self) -> float:
        """The part's mass over its length, kg/mm: what copes and holes take is in it."""
        return measure.mass(self.placed.part) / self.length


def round_properties(shape: Round) -> Properties:
    """Return the properties of a round tube."""
    i = section.second_moment(shape.od, shape.wall)
    return Properties(section.area(shape.od, shape.wall), i, i, 2 * i)


def flat_properties(shape: Flat) -> Properties:
    """Return the properties of a flat bar: y across it, z off its face; torsion by Roark's series (from memory)."""
    w, t = max(shape.width, shape.thickness), min(shape.width, shape.thickness)
    j = w * t**3 * (1 / 3 - 0.21 * t / w * (1 - (t / w) ** 4 / 12))
    flat = shape.width * shape.thickness
    return Properties(flat, flat * shape.thickness**2 / 12, flat * shape.width**2 / 12, j)


def elastic_of(material: str) -> Elastic:
    """Return a material's moduli.

    Args:
        material: "steel", "stainless" or "aluminium".
    """
    return Elastic(number(f"young-{material}").value, number(f"shear-{material}").value)
