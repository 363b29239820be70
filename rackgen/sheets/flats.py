"""Flat blanks: what a plate or a bar is before it is folded, and what of it the cutting table may see.

The table's contour is the blank's outline. The one exception are edge nicks, which show a fold line where the table
cannot mark. Holes too small for the table are centre marks: they stand on the marked drawing and are drilled from it.
Expanded metal is trimmed by shear or disc and never goes on the table (common practice, no source): it has a marked
drawing to lay out from and no cutting file.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from rackgen.errors import Finding, GeometryError, Level
from rackgen.geom import outline
from rackgen.geom.fold import slant
from rackgen.geom.outline import Contour
from rackgen.parts.hands import called, hands
from rackgen.parts.kinds import Break, CutPlate, FoldedBar
from rackgen.parts.marks import Line, lines
from rackgen.parts.rack import Rack
from rackgen.parts.unfold import allowances, named
from rackgen.refs.registry import number
from rackgen.sheets.nick import crossings, nicked
from rackgen.sheets.words import bar_end_words, degrees, fine, radii, size
from rackgen.spec.folding import Folding
from rackgen.spec.shop import Shop, Table
from rackgen.spec.stock import Panel, Perforated

Point = tuple[float, float]


@dataclass(frozen=True)
class RoundHole:
    """A round hole or centre mark on the blank, mm."""

    x: float
    y: float
    diameter: float


@dataclass(frozen=True)
class FoldLine:
    """The middle of a fold or break on the blank.

    Attributes:
        start: on the blank's edge, mm.
        end: on the opposite edge, mm.
        width: how much of the blank goes into the fold at its start, mm; 0 for a break.
        label: what is done there, with where from in the shop's unit.
        far_width: how much goes into it at its end, mm; as much as at its start when None.
    """

    start: Point
    end: Point
    width: float
    label: str
    far_width: float | None = None

    @property
    def limits(self) -> tuple[tuple[Point, Point], ...]:
        """The lines where the fold begins and ends, each from the start's edge to the end's; none of a break."""
        if not self.width:
            return ()
        along = (self.end[1] - self.start[1], self.start[0] - self.end[0])
        long = math.hypot(*along)
        way = (along[0] / long, along[1] / long)

        def beside(point: Point, off: float) -> Point:
            return point[0] + way[0] * off, point[1] + way[1] * off

        far = self.width if self.far_width is None else self.far_width
        return tuple((beside(self.start, s * self.width / 2), beside(self.end, s * far / 2)) for s in (-1, 1))


@dataclass(frozen=True)
class Blank:
    """One distinct flat blank.

    Attributes:
        mark: of the part.
        word: what the shop calls it.
        quantity: how many are cut.
        stock: name on the shelf.
        thickness: mm.
        outline: of the solid's blank, anticlockwise, mm.
        cut: what the table cuts outside: the outline, with nicks where the table cannot mark.
        openings: cut inside.
        holes: round, cut inside.
        centres: too small to cut clean: marked, and drilled to their diameter.
        drilled: openings too narrow to cut clean: on the marked drawing alone.
        folds: where it is folded.
        on_table: whether it may be cut on the table at all.
        notes: what else is done to it, in words.
        hand: "left" or "right" as the driver sits, of mirror images on either side; "" for all others.
    """

    mark: str
    word: str
    quantity: int
    stock: str
    thickness: float
    outline: Contour
    cut: Contour
    openings: tuple[Contour, ...]
    holes: tuple[RoundHole, ...]
    centres: tuple[RoundHole, ...]
    drilled: tuple[Contour, ...]
    folds: tuple[FoldLine, ...]
    on_table: bool
    notes: tuple[str, ...]
    hand: str = ""

    @property
    def called(self) -> str:
        """Name and hand."""
        return called(self.word, self.hand)


@dataclass(frozen=True)
class Flattened:
    """A bar laid flat: X from end A along mid-width, Y across; mm.

    Attributes:
        length: along mid-width at mid-thickness.
        outline: anticlockwise; a bevelled end reaches to its longer face.
        holes: in the order of the part's.
        folds: middle of each fold from end A, and the width that goes into it at mid-width.
        slants: by how much either limit of each fold moves outward for each mm across; 0 for those of one radius.
        by: what says how much goes into each, as sheets name it.
    """

    length: float
    outline: Contour
    holes: tuple[RoundHole, ...]
    folds: tuple[tuple[float, float], ...]
    by: tuple[str, ...] = ()
    slants: tuple[float, ...] = ()

    def limits(self, fold: int, across: float) -> tuple[float, float]:
        """Return where a fold begins and ends from end A, mm.

        Args:
            fold: which, counted from end A, 0 first.
            across: from mid-width, mm.
        """
        at, into = self.folds[fold]
        half = into / 2 + across * self.slants[fold]
        return at - half, at + half


def flattened(bar: FoldedBar, folding: Folding | None = None) -> Flattened:
    """Return the bar as it lies before folding.

    Args:
        bar: the bar.
        folding: how the shop reckons what goes into folds; DIN 6935 when left out.
    """
    into = allowances(bar, folding or Folding())
    slants = tuple(slant(fold, bar.section.thickness, bar.section.width) for fold in bar.folds)
    width, t = bar.section.width, bar.section.thickness
    begins: list[float] = []
    folds: list[tuple[float, float]] = []
    x = 0.0
    for i, flat in enumerate(bar.flats):
        begins.append(x)
        x += flat
        if i < len(bar.folds):
            folds.append((x + into[i].length / 2, into[i].length))
            x += into[i].length

    def lean(skew: float) -> float:
        return width / 2 * math.tan(math.radians(skew))

    def long(bevel: float) -> float:
        return t / 2 * math.tan(math.radians(abs(bevel)))

    a, b = bar.end_a, bar.end_b
    corners = [
        (lean(a.skew) - long(a.bevel), -width / 2),
        (x - lean(b.skew) + long(b.bevel), -width / 2),
        (x + lean(b.skew) + long(b.bevel), width / 2),
        (-lean(a.skew) - long(a.bevel), width / 2),
    ]
    radii = [a.radius, b.radius, b.radius, a.radius]
    holes = tuple(RoundHole(begins[h.flat] + h.along, h.across, h.diameter) for h in bar.holes)
    return Flattened(x, outline.rounded(corners, radii), holes, tuple(folds), tuple(named(i) for i in into), slants)


def closure_error(plate: CutPlate) -> float:
    """Return by how much a plate with two breaks fails to close on its flat blank, mm; 0 for fewer breaks.

    At the crossing the four quarters of the folded plate leave out 4 asin(sin(a/2) sin(b/2)) of a whole turn. The
    error is that missing angle times the longest half-break, from the crossing to the plate's edge.

    Raises:
        GeometryError: the breaks are parallel.
    """
    if len(plate.breaks) < 2:
        return 0.0
    one, two = plate.breaks[:2]
    sines = [math.sin(math.radians(abs(b.angle)) / 2) for b in (one, two)]
    missing = 4 * math.asin(sines[0] * sines[1])
    x, y = _meeting(one, two)
    reach = 0.0
    for line in (one, two):
        reach = max(reach, *(math.dist((x, y), p) for p in _ends(plate.outline, line)))
    return missing * reach


def _meeting(one: Break, two: Break) -> Point:
    a, b = math.radians(one.direction), math.radians(two.direction)
    cross = math.sin(b - a)
    if abs(cross) < 1e-6:
        raise GeometryError("the two breaks of a plate are parallel")
    dx, dy = two.point[0] - one.point[0], two.point[1] - one.point[1]
    s = (dx * math.sin(b) - dy * math.cos(b)) / cross
    return one.point[0] + s * math.cos(a), one.point[1] + s * math.sin(a)


def _ends(contour: Contour, line: Break) -> tuple[Point, Point]:
    found = crossings(contour, line.point, line.direction)
    if len(found) < 2:
        raise GeometryError("a break does not cross its plate")
    return found[0], found[-1]


def blanks(rack: Rack, shop: Shop) -> tuple[tuple[Blank, ...], tuple[Finding, ...]]:
    """Return the flat blank of every distinct bar and plate, in cut-list order, and what is doubtful about them."""
    out: list[Blank] = []
    findings: list[Finding] = []
    distinct = lines(rack)
    sides = hands(distinct)
    for line in distinct:
        if isinstance(line.part, FoldedBar):
            out.append(_bar_blank(line, line.part, shop, findings))
        elif isinstance(line.part, CutPlate):
            out.append(_plate_blank(line, line.part, shop, findings))
    return tuple(replace(blank, hand=sides.get(blank.mark, "")) for blank in out), tuple(findings)


def _bar_blank(line: Line, bar: FoldedBar, shop: Shop, findings: list[Finding]) -> Blank:
    flat = flattened(bar, shop.folding)
    half = bar.section.width / 2
    folds = tuple(
        FoldLine(
            (at, -half),
            (at, half),
            into - 2 * half * slope,
            f"fold {degrees(abs(f.angle))} {'up' if f.angle > 0 else 'down'} {radii(f, shop.unit)} "
            f"at {fine(at, shop.unit)} from A, by {by}",
            into + 2 * half * slope if slope else None,
        )
        for (at, into), slope, f, by in zip(flat.folds, flat.slants, bar.folds, flat.by, strict=True)
    )
    bevels = tuple(
        f"end {name}: {bar_end_words(end, shop.unit)}; drawn to the longer face, ground back after cutting"
        for name, end in (("A", bar.end_a), ("B", bar.end_b))
        if abs(end.bevel) > 0.05
    )
    return _blank(line, bar, bar.section.thickness, flat.outline, (), flat.holes, folds, bevels, shop, findings)


def _plate_blank(line: Line, plate: CutPlate, shop: Shop, findings: list[Finding]) -> Blank:
    folds = tuple(
        FoldLine(*_ends(plate.outline, b), 0.0, f"break {degrees(abs(b.angle))} {'down' if b.angle > 0 else 'up'}")
        for b in plate.breaks
    )
    error, limit = closure_error(plate), number("closure-look")
    notes: tuple[str, ...] = ()
    if error > 0:
        notes = (f"two breaks: closes within {error:.2f} mm",)
    if error > limit.value:
        findings.append(
            Finding(
                "breaks-do-not-close",
                Level.LOOK,
                tuple(p.id for p in line.placed),
                f"{line.placed[0].word} with two breaks fails to close by {error:.2f} mm on its flat blank",
                at=line.placed[0].frame.origin,
                got=error,
                limit=limit.value,
                source=limit.cited,
                help="use one break, shallower breaks, or a smaller plate",
            )
        )
    holes = tuple(RoundHole(h.x, h.y, h.diameter) for h in plate.holes)
    return _blank(
        line, plate, plate.thickness, plate.outline, plate.openings, holes, folds, notes, shop, findings
    )  # fmt: skip


def _blank(line: Line, part: FoldedBar | CutPlate, thickness: float, contour: Contour, openings: tuple[Contour, ...],
           holes: tuple[RoundHole, ...], folds: tuple[FoldLine, ...], notes: tuple[str, ...], shop: Shop,
           findings: list[Finding]) -> Blank:  # fmt: skip
    """Return the blank, its holes shared out between table and drill."""
    table = shop.table
    on_table = not isinstance(part.stock.section, Panel)
    narrow = tuple(o for o in openings if _narrow(o, table))
    if narrow and on_table:
        findings.append(
            Finding(
                "opening-narrow",
                Level.LOOK,
                tuple(p.id for p in line.placed),
                f"{line.placed[0].word} has {len(narrow)} openings narrower than the table cuts clean",
                at=line.placed[0].frame.origin,
                got=min(_width(o) for o in narrow),
                limit=table.smallest_hole,
                help="drill and file them from the marked drawing, or make them wider",
                keys=("table.smallest_hole",),
            )
        )
    nicks = [p for f in folds for p in (f.start, f.end)] if on_table and not table.can_mark else []
    small = tuple(h for h in holes if h.diameter < table.smallest_hole - 1e-9) if on_table else holes
    more: tuple[str, ...] = ()
    for d in sorted({h.diameter for h in small}):
        count = sum(h.diameter == d for h in small)
        more += (f"{count} {'centre' if count == 1 else 'centres'}: drill {size(d, shop.unit)} {shop.unit}",)
    if nicks:
        more += (f"edge nicks {size(number('nick').value, shop.unit)} {shop.unit} deep show the fold lines",)
    if not on_table:
        way = "rows of holes" if isinstance(part.stock.section, Perforated) else "long way"
        more += (f"trim by shear or disc, not on the table; {way} along X",)
    return Blank(
        line.mark,
        line.placed[0].word,
        len(line.placed),
        part.stock.name,
        thickness,
        contour,
        nicked(contour, nicks, number("nick").value),
        tuple(o for o in openings if o not in narrow),
        tuple(h for h in holes if h not in small),
        small,
        narrow,
        folds,
        on_table,
        (*notes, *more),
    )


def _width(contour: Contour) -> float:
    """Return the lesser side of the opening's box, mm."""
    points = outline.polygon(contour)
    return float(min(points.max(axis=0) - points.min(axis=0)))


def _narrow(contour: Contour, table: Table) -> bool:
    """Return whether the table cuts an opening no longer clean.

    Outlines of straight sides alone are letters and pictures, which nothing passes through: a kerf must pass.
    """
    drawn = all(v.bulge == 0.0 for v in contour)
    return _width(contour) < (table.kerf if drawn else table.smallest_hole) - 1e-9
