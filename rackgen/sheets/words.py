"""End cuts, folds and holes in the words of the shop, lengths in its own unit."""

from __future__ import annotations

import math

import numpy as np

from rackgen.design.sleeve import gap_left
from rackgen.geom import outline
from rackgen.geom.cope import Cope, End, is_tangent, raw_heights
from rackgen.geom.fold import Fold
from rackgen.geom.outline import Contour
from rackgen.parts.kinds import BarEnd, BentTube, FoldedBar
from rackgen.refs.registry import number
from rackgen.spec.shop import Shop
from rackgen.units import INCH, Unit, shown_step, write_decimal, write_length

POUND_FOOT = 1.3558179483314004
"""A pound-force foot in N·m: exact by the definitions of pound, foot and standard gravity."""

POUND = 0.45359237
"""A pound in kg: exact by its definition of 1959."""

BELOW = 2e-6
"""A rating that was closed in on from below may lie this share under the true one."""


def size(mm: float, unit: Unit) -> str:
    """Return a stock size as it is called: 33.7, or 1-3/4 where it is a whole number of 32nds, else 1.315."""
    if unit == "mm":
        return f"{round(mm, 2):g}"
    parts = mm / INCH * 32
    return write_length(mm, "in", 1 / 32) if abs(parts - round(parts)) < 0.02 else write_decimal(mm, "in", 3)


def fine(mm: float, unit: Unit) -> str:
    """Return a length to 0.5 mm or 1/32 in, as marks and brace cuts are read."""
    return write_length(mm, unit, shown_step(unit, fine=True))


def small(mm: float, unit: Unit) -> str:
    """Return a small size to 0.1 mm or 0.001 in."""
    return write_decimal(mm, unit, 1 if unit == "mm" else 3)


def degrees(value: float) -> str:
    """Return an angle to 0.1 degree, without a needless decimal; a whole turn is none."""
    shown = round(value, 1) + 0.0
    return "0" if shown == 360.0 else f"{shown:g}"


def torque(newton_metres: float, unit: Unit) -> str:
    """Return a torque as the shop's wrench is set: "12 N·m" or "9 lb-ft"."""
    return f"{newton_metres:g} N·m" if unit == "mm" else f"{round(newton_metres / POUND_FOOT, 1):g} lb-ft"


def load(kg: float, unit: Unit, places: int = 0) -> str:
    """Return a mass in kilograms, where inches are read in whole pounds with the kilograms behind them."""
    metric = f"{kg:.{places}f} kg"
    return metric if unit == "mm" else f"{kg / POUND:.0f} lb ({metric})"


def whole_down(kg: float, unit: Unit) -> float:
    """Return what may be carried, rounded down to whole kilograms, or pounds where inches are read; kg."""
    kg *= 1 + BELOW
    return float(int(kg)) if unit == "mm" else int(kg / POUND) * POUND


def load_down(kg: float, unit: Unit) -> str:
    """Return what may be carried in words, rounded down to whole kilograms or pounds."""
    return load(whole_down(kg, unit), unit)


def end_words(end: End, unit: Unit) -> str:
    """Return what is cut at a tube's end: "square", or its cuts one after the other."""
    words: list[str] = []
    for cut in end:
        if isinstance(cut, Cope):
            text = f"cope {size(cut.header_od, unit)} at {degrees(cut.angle)}"
            if abs(cut.offset) > 5e-4:
                text += f" offset {size(cut.offset, unit)}"
            words.append(f"{text}, clock {degrees(cut.clock)}")
        elif cut.tilt > 0.05:
            words.append(f"mitre {degrees(cut.tilt)}, short side at clock {degrees(cut.clock)}")
        else:
            words.append("square")
    return " + ".join(words) or "square"


def bar_end_words(end: BarEnd, unit: Unit) -> str:
    """Return what is cut at a bar's end."""
    words: list[str] = []
    if abs(end.bevel) > 0.05:
        words.append(f"bevel {degrees(abs(end.bevel))}, {'upper' if end.bevel > 0 else 'under'} face the longer")
    if abs(end.skew) > 0.05:
        words.append(f"skew {degrees(abs(end.skew))}, {'upper' if end.skew > 0 else 'lower'} edge the longer")
    if end.radius > 0:
        words.append(f"corners R{size(end.radius, unit)}")
    return ", ".join(words) or "square"


def tube_notes(part: BentTube, unit: Unit, trim: float = 0.0) -> tuple[str, ...]:
    """Return what else is done to a tube: bends, slit, holes, and where a hole saw does not reach.

    Args:
        part: the tube.
        unit: the shop's.
        trim: what is still sawn off each end, mm; holes are then named from the trim line, the bend sheet from the end.
    """
    notes: list[str] = []
    if part.spine.bends:
        notes.append("bends " + ", ".join(f"{degrees(b.angle)} on CLR {size(b.clr, unit)}" for b in part.spine.bends))
    if part.slit is not None:
        left = gap_left(part.section.od, part.slit)
        notes.append(
            f"slit a strip {size(part.slit.strip, unit)} wide along the whole length; sprung in, "
            f"{small(left, unit)} stays open"
        )
    for name, end in (("A", part.end_a), ("B", part.end_b)):
        copes = [c for c in end if isinstance(c, Cope)]
        if any(is_tangent(c, part.section.od / 2) for c in copes):
            notes.append(f"{name}: ears nipped")
        if any(not by_hole_saw(c, part.section.od / 2) for c in copes):
            notes.append(f"{name}: not by hole saw, use the wrap")
    end = "A's trim line" if trim > 0 else "A"
    for hole in part.holes:
        at = fine(hole.at, unit)
        notes.append(f"{hole.purpose} {size(hole.diameter, unit)} at {at} from {end}, clock {degrees(hole.clock)}")
    if trim > 0 and part.holes:
        notes.append("drill by the bend sheet, which counts from the end as sawn")
    return tuple(notes)


def hole_saw_depth(cut: Cope, outer: float) -> float:
    """Return how far a hole saw travels along the header's axis to cut a cope right through the tube, mm.

    Args:
        cut: the cope.
        outer: the branch's outside radius, mm.
    """
    phi = np.arange(0.0, 360.0, 1.0)
    th = math.radians(cut.angle)
    from_crossing = raw_heights((cut,), outer, phi) + cut.at
    along = from_crossing * math.cos(th) + outer * np.cos(np.radians(phi - cut.clock)) * math.sin(th)
    return float(np.ptp(along[np.isfinite(along)]))


SAW_SLACK = 0.2
"""A hole saw that is short by less than this, mm, still gets through: its pilot is pushed that much harder."""


def by_hole_saw(cut: Cope, outer: float) -> bool:
    """Return whether the shop's hole saw reaches through a cope (limits: common practice, no source)."""
    return cut.angle >= number("hole-saw-angle").value - 1e-6 and (
        hole_saw_depth(cut, outer) <= number("hole-saw-depth").value + SAW_SLACK
    )


def radii(fold: Fold, unit: Unit) -> str:
    """Return a fold's inside radius, or both: "R45 at the lower edge to R38 at the upper"; lower is the bar's -Y."""
    if fold.far_radius is None:
        return f"R{size(fold.inside_radius, unit)}"
    return f"R{size(fold.inside_radius, unit)} at the lower edge to R{size(fold.far_radius, unit)} at the upper"


def bar_notes(part: FoldedBar, places: tuple[float, ...], unit: Unit, by: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Return a bar's folds and holes.

    Args:
        part: the bar.
        places: the middle of each fold on the flat blank, from end A, mm.
        unit: the shop's.
        by: what says how much goes into each fold; not said where left out.
    """
    fine = 1 / 32 if unit == "in" else 0.5
    said = tuple(f", by {b}" for b in by) or ("",) * len(places)
    notes = [
        f"fold {degrees(abs(f.angle))} {'up' if f.angle > 0 else 'down'}, inside {radii(f, unit)}, "
        f"middle at {write_length(at, unit, fine)} from A{named}"
        for f, at, named in zip(part.folds, places, said, strict=True)
    ]
    notes += hole_notes(tuple(h.diameter for h in part.holes), unit)
    return tuple(notes)


def opening_notes(openings: tuple[Contour, ...], unit: Unit) -> tuple[str, ...]:
    """Return a plate's openings counted by the size of their boxes, longer side first: "4 openings 14 × 9"."""
    drawn = [o for o in openings if all(v.bulge == 0.0 for v in o)]
    if drawn:
        # Letters and pictures are told by their outlines on the drawing, not by the sizes of their boxes.
        rest = opening_notes(tuple(o for o in openings if o not in drawn), unit)
        return (*rest, f"{len(drawn)} {'outline' if len(drawn) == 1 else 'outlines'} of letters or a picture")
    boxes = [np.ptp(outline.polygon(o), axis=0) for o in openings]
    sizes = [" × ".join(size(float(side), unit) for side in sorted(box, reverse=True)) for box in boxes]
    return tuple(
        f"{sizes.count(s)} {'opening' if sizes.count(s) == 1 else 'openings'} {s}" for s in dict.fromkeys(sizes)
    )


def bought_notes(name: str, shop: Shop) -> tuple[str, ...]:
    """Return what the shelf knows of a bought part: how tight a U-bolt is drawn, which hole a rivet wants."""
    notes: list[str] = []
    for bolt in shop.u_bolts:
        if bolt.name == name:
            notes.append(f"draw up to {torque(bolt.torque, shop.unit)}, again after 50 km (30 miles)")
    notes += [f"drill {size(r.hole, shop.unit)}" for r in shop.rivets if r.name == name]
    return tuple(notes)


def hole_notes(diameters: tuple[float, ...], unit: Unit) -> tuple[str, ...]:
    """Return holes counted by size: "4 holes 6.5"."""
    sizes = sorted(set(diameters))
    return tuple(
        f"{diameters.count(d)} {'hole' if diameters.count(d) == 1 else 'holes'} {size(d, unit)}" for d in sizes
    )


def metal(material: str, grade: str) -> str:
    """Return what stock is made of, with the material told once: "steel, S235JR EN 10025-2"."""
    return grade if material in grade.lower().replace(",", " ").split() else f"{material}, {grade}"
