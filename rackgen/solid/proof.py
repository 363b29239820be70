"""Whether a solid is what its description says: the kernel's word is not taken for it.

An end that a boolean left uncut is one solid, valid by the kernel's own check, and only its volume is wrong. A cope
turned to the wrong clock has the right volume. So a solid is held to a volume and a centre reached by arithmetic, to a
box, at a tube's ends and holes to lines that must meet metal where the closed form says, and its triangles must close.
"""

from __future__ import annotations

import math

import numpy as np

from rackgen.errors import SolidError
from rackgen.geom import cope, spine
from rackgen.geom.frame import Array, Frame, clock_direction
from rackgen.parts import measure
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, Part, TubeHole, UBoltShape
from rackgen.solid import kernel
from rackgen.solid.envelope import envelope
from rackgen.solid.kernel import Solid
from rackgen.solid.kernel_mesh import triangles
from rackgen.solid.kernel_probe import box, bulk, first_hits, is_valid
from rackgen.solid.plate import missing_area

CLOCKS = 24
"""Lines at each of three radii through a tube's wall at each end."""

LINE = 0.01
"""How far from its place the metal may begin on a line along a tube, or the line stand from its place, mm."""

HOLE = 0.2
"""How far from its place a hole's edge may be, mm."""

BOX = 0.02
"""How far a solid may stand out of its envelope, mm."""


def prove(part: Part, solid: Solid, label: str) -> None:
    """Refuse a solid that is not what its description says.

    Args:
        part: the description.
        solid: the solid, in the part's own frame.
        label: mark or id, which the message begins with.

    Raises:
        SolidError: it is not.
    """
    said = fault(part, solid)
    if said:
        raise SolidError(f"{label}: {said}")


def fault(part: Part, solid: Solid) -> str:
    """Return what is wrong with a solid in words, "" when it is what its description says."""
    count, wanted = len(kernel.solids(solid)), pieces(part)
    if count != wanted:
        return f"{count} solids instead of {wanted}"
    if not is_valid(solid):
        return "the kernel's check finds the solid invalid"
    volume, centre = bulk(solid)
    right = expected_volume(part)
    if not abs(volume - right) <= tolerance(part, right):
        return f"its volume is {volume:.2f} mm³ instead of {right:.2f} mm³"
    away = float(np.linalg.norm(centre - measure.centroid(part)))
    if not away <= centre_tolerance(part):
        return f"its centre of mass is {away:.3f} mm from its place"
    low, high = box(solid)
    least, most = envelope(part)
    if np.any(low < least - BOX) or np.any(high > most + BOX):
        return f"it reaches from {_words(low)} to {_words(high)}, out of the box from {_words(least)} to {_words(most)}"
    said = _tube_fault(part, solid) if isinstance(part, BentTube) else ""
    if said:
        return said
    try:
        triangles(solid)
    except SolidError as error:
        return str(error)
    return ""


def pieces(part: Part) -> int:
    """Return of how many solids a part is: one, or three for a U-bolt whose legs end below its washers."""
    if isinstance(part, Bought) and isinstance(part.shape, UBoltShape):
        return 3 if part.shape.leg - part.shape.drop <= part.shape.seat else 1
    return 1


def expected_volume(part: Part) -> float:
    """Return the volume by arithmetic, mm³; a twice-broken plate lacks what its quarters do not keep of the blank."""
    volume = measure.volume(part)
    return volume - missing_area(part) * part.thickness if isinstance(part, CutPlate) else volume


def tolerance(part: Part, volume: float) -> float:
    """Return by how much a solid's volume may differ, mm³.

    Measured over some thousand solids of each kind: plain bodies 3e-6 mm³; tubes up to 0.9 mm³ where the height field
    has edges that the quadrature of `measure` steps over; broken plates 2e-5 of their volume, since the slivers at the
    mitres are counted to first order. The smallest cope that could be left uncut is some tens of mm³.
    """
    if isinstance(part, BentTube) and (part.end_a or part.end_b or part.holes):
        return 1.2 + 2e-6 * volume
    if isinstance(part, CutPlate) and part.breaks:
        return 1e-4 * volume
    return 0.01 + 1e-7 * volume


def centre_tolerance(part: Part) -> float:
    """Return by how much a solid's centre may differ from that of `measure`, mm.

    Measured: 0.006 mm. Rounded bar corners and broken plates are counted by `measure` as if they were square and flat.
    """
    if isinstance(part, FoldedBar):
        return 0.02 + (part.end_a.radius + part.end_b.radius) / 20
    if isinstance(part, CutPlate) and part.breaks:
        least, most = envelope(part)
        return 0.02 + float(most[2] - least[2])
    return 0.02


def _tube_fault(part: BentTube, solid: Solid) -> str:
    for name, end, at, inward in (
        ("A", part.end_a, 0.0, 1.0),
        ("B", part.end_b, spine.length(part.spine), -1.0),
    ):
        said = _end_fault(part, solid, end, spine.frame_at(part.spine, at), inward)
        if said:
            return f"end {name}: {said}"
    for i, hole in enumerate(part.holes, start=1):
        if not _hole_is_there(part, solid, hole):
            return f"hole {i} is not where it should be"
    return ""


def _hole_is_there(part: BentTube, solid: Solid, hole: TubeHole) -> bool:
    """Return whether lines through the hole just inside its edge pass the near wall and those just outside meet it."""
    far = part.fitted.od / 2 + 1.0
    at = spine.frame_at(part.spine, hole.at)
    out = np.array(at.direction(clock_direction(hole.clock)))
    across = np.array(at.direction(clock_direction(hole.clock + 90.0)))
    round_it = [math.cos(a) * np.array(at.x) + math.sin(a) * across for a in np.radians([0.0, 90.0, 180.0, 270.0])]
    starts = [
        np.array(at.origin) + far * out + (hole.diameter / 2 + step) * way for step in (-HOLE, HOLE) for way in round_it
    ]
    met = first_hits(solid, starts, -out)
    return bool(np.all(met[:4] > far) and np.all(met[4:] < far))


def _end_fault(part: BentTube, solid: Solid, end: cope.End, frame: Frame, inward: float) -> str:
    """Return what is wrong at one end, by lines along the tube that must first meet metal at the cut's height."""
    outer, inner = part.fitted.od / 2, part.fitted.inner / 2
    rho = inner + (outer - inner) * np.array([0.05, 0.5, 0.95])
    phi = (np.arange(CLOCKS) + 0.37) * 360.0 / CLOCKS
    if part.slit is not None:
        # The slot is open at clock 0, some degrees to either side.
        phi = phi[(phi > 90.0) & (phi < 270.0)]
    r, p = (a.ravel() for a in np.meshgrid(rho, phi, indexing="ij"))
    starts = frame.points(r[:, None] * clock_direction(p) - (inward, 0.0, 0.0))
    found = first_hits(solid, list(starts), np.array(frame.x) * inward) - 1.0
    low, high = _height_range(end, r, p)
    wrong = ~((found >= low - LINE) & (found <= high + LINE))
    if not wrong.any():
        return ""
    k = int(np.argmax(wrong))
    right = (low[k] + high[k]) / 2
    return f"at clock {p[k]:.0f} the metal begins {found[k]:.3f} mm from the sawn end instead of {right:.3f} mm"


def _height_range(end: cope.End, rho: Array, phi: Array) -> tuple[Array, Array]:
    """Return the least and largest height of the cut within LINE of each line."""
    off = np.degrees(LINE / rho)
    around = [
        cope.heights(end, rho + dr, phi + df) for dr in (-LINE, 0.0, LINE) for df in (-off, np.zeros_like(off), off)
    ]
    return np.min(around, axis=0), np.max(around, axis=0)


def _words(point: Array) -> str:
    return "(" + ", ".join(f"{v:.2f}" for v in point) + ")"
