"""The four kinds of part, classed by how a shop makes them: bent tube, folded bar, cut plate, bought.

A part is its description, in its own frame, in mm and degrees; nothing computed is stored.

- A tube starts at the origin along +X, its first bend in the XZ plane. Its spine runs from sawn end to sawn end.
  Clock 0 is +Z, positive about +X.
- A bar starts at the origin along +X at mid-thickness and mid-width, Y across, Z off its face.
- A plate's outline is in XY, its thickness up +Z from z = 0.
- A bought part stands as its shape says.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.geom.breaks import Break
from rackgen.geom.cope import End
from rackgen.geom.fold import Fold
from rackgen.geom.outline import Contour
from rackgen.geom.spine import Spine
from rackgen.spec.stock import Flat, Panel, Round, Sheet, Stock


@dataclass(frozen=True)
class TubeHole:
    """A round hole square through one wall of a tube.

    Attributes:
        at: along the spine from sawn end A, mm.
        clock: degrees.
        diameter: mm.
        purpose: "vent", "drain" or "plug weld".
    """

    at: float
    clock: float
    diameter: float
    purpose: Literal["vent", "drain", "plug weld"]


@dataclass(frozen=True)
class Slit:
    """A strip sawn out along the whole of a straight tube so that it springs into another.

    Attributes:
        strip: width removed at mid-wall, mm.
        bore: inside diameter of the host it sits sprung in, mm; its OD as fitted.
    """

    strip: float
    bore: float


@dataclass(frozen=True)
class BentTube:
    """A round tube, straight or bent.

    Attributes:
        stock: of section `Round`.
        spine: centreline from sawn end to sawn end.
        end_a: cuts at the begin; the steel left is what every cut leaves. Empty is sawn square.
        end_b: cuts at the end.
        holes: in order along the tube.
        slit: for a slit sleeve.
    """

    stock: Stock
    spine: Spine
    end_a: End = ()
    end_b: End = ()
    holes: tuple[TubeHole, ...] = ()
    slit: Slit | None = None

    @property
    def section(self) -> Round:
        """The tube's section as cut."""
        assert isinstance(self.stock.section, Round)
        return self.stock.section

    @property
    def fitted(self) -> Round:
        """The section as it sits in the rack: a slit sleeve is sprung to its host's bore."""
        if self.slit is None:
            return self.section
        return Round(self.slit.bore, self.section.wall)


@dataclass(frozen=True)
class BarEnd:
    """The cut at a bar's end.

    Attributes:
        bevel: off square through the thickness, degrees; positive leaves the +Z face longer.
        skew: off square across the width, degrees; positive leaves the +Y edge longer.
        radius: of the two corners, mm.
    """

    bevel: float = 0.0
    skew: float = 0.0
    radius: float = 0.0


@dataclass(frozen=True)
class BarHole:
    """A round hole square through a flat of a bar.

    Attributes:
        flat: which flat, counted from end A, 0 first.
        along: from the begin of that flat, mm.
        across: from mid-width, mm.
        diameter: mm.
    """

    flat: int
    along: float
    across: float
    diameter: float


@dataclass(frozen=True)
class FoldedBar:
    """A flat bar, straight or folded. Flats are the straights between bend tangents, along mid-thickness, mm."""

    stock: Stock
    flats: tuple[float, ...]
    folds: tuple[Fold, ...] = ()
    end_a: BarEnd = BarEnd()
    end_b: BarEnd = BarEnd()
    holes: tuple[BarHole, ...] = ()

    @property
    def section(self) -> Flat:
        """The bar's section."""
        assert isinstance(self.stock.section, Flat)
        return self.stock.section


@dataclass(frozen=True)
class PlateHole:
    """A round hole through a plate; mm."""

    x: float
    y: float
    diameter: float


@dataclass(frozen=True)
class CutPlate:
    """A plate, side plate, pad, or panel of expanded metal or perforated sheet.

    Attributes:
        stock: of section `Sheet`, `Expanded` or `Perforated`; the long way of expanded metal, and the rows of
            perforated sheet, lie along X. A panel is its plain envelope.
        outline: of the flat blank, anticlockwise.
        holes: round holes.
        openings: other holes, each anticlockwise.
        breaks: none, one, or two square to each other; lines at mid-thickness.
    """

    stock: Stock
    outline: Contour
    holes: tuple[PlateHole, ...] = ()
    openings: tuple[Contour, ...] = ()
    breaks: tuple[Break, ...] = ()

    @property
    def thickness(self) -> float:
        """Thickness of the sheet, or over all of a panel, mm."""
        section = self.stock.section
        assert isinstance(section, Sheet | Panel)
        return section.thickness if isinstance(section, Sheet) else section.overall


@dataclass(frozen=True)
class UBoltShape:
    """A U-bolt with washers and nuts drawn up.

    Frame: origin on the axis of the tube it holds, X along that tube, Z from the bow toward the ends of the legs.

    Attributes:
        rod: rod diameter, mm.
        inside_width: clear between the legs, mm.
        bow: inside radius of the bow, mm; the bow's inside touches the held tube at -Z.
        drop: from the origin down to the inside of the bow, mm.
        leg: from the inside of the bow to the ends of the legs, mm.
        seat: from the origin up to the face that the washers sit on, mm.
        washer: outside diameter, mm.
        washer_thickness: mm.
        nut_across: across flats, mm.
        nut_height: mm.
    """

    rod: float
    inside_width: float
    bow: float
    drop: float
    leg: float
    seat: float
    washer: float
    washer_thickness: float
    nut_across: float
    nut_height: float


@dataclass(frozen=True)
class RivetShape:
    """A set rivet. Frame: origin on the face under its head, Z out of that face.

    Attributes:
        diameter: body, mm.
        grip: thickness held, mm.
        head: head diameter, mm.
        head_height: mm.
        blind: diameter of the set blind end, mm.
        blind_length: of the blind end beyond the grip, mm.
    """

    diameter: float
    grip: float
    head: float
    head_height: float
    blind: float
    blind_length: float


@dataclass(frozen=True)
class CapShape:
    """A push-in end cap. Frame: origin in the middle of the tube's end face, Z out of the tube.

    Attributes:
        od: of its head, mm.
        head_height: mm.
        plug: diameter of the part inside the tube, mm.
        depth: of that part, mm.
    """

    od: float
    head_height: float
    plug: float
    depth: float


@dataclass(frozen=True)
class PadShape:
    """A flat soft or hard pad: isolator, hard tape, sealant bed. Frame: outline in XY, up +Z from z = 0.

    Attributes:
        outline: anticlockwise, mm.
        holes: openings, each anticlockwise.
        thickness: mm.
    """

    outline: Contour
    holes: tuple[Contour, ...]
    thickness: float


@dataclass(frozen=True)
class BoltShape:
    """A hexagon bolt drawn up, with its washer and what its thread ends in. Frame: as a rivet's, Z toward the head.

    Attributes:
        diameter: of thread and shank, mm.
        length: from under the head to the tip, mm.
        grip: from the origin, under the washer, to where nut, washer or thread beyond begins, mm.
        head_across: across the head's flats, mm.
        head_height: mm.
        washer: outside diameter, mm.
        washer_thickness: mm; 0 without washers.
        end: "nut": a hexagon nut on a second washer; "slot nut": square, in a track; "rivet nut": round, set in the
            skin; "thread": one that the vehicle has, which is not part of the rack.
        nut_across: across the nut's flats, or its diameter, mm; 0 for a thread.
        nut_height: mm; 0 for a thread.
    """

    diameter: float
    length: float
    grip: float
    head_across: float
    head_height: float
    washer: float
    washer_thickness: float
    end: Literal["nut", "slot nut", "rivet nut", "thread"]
    nut_across: float
    nut_height: float

    @property
    def tip(self) -> float:
        """Z of the tip, mm."""
        return self.washer_thickness - self.length

    @property
    def low(self) -> float:
        """Z of the lower face of the nut, or of the tip where the thread is the vehicle's, mm."""
        if self.end == "thread":
            return self.tip
        return -self.grip - self.nut_height - (self.washer_thickness if self.end == "nut" else 0.0)


Shape = UBoltShape | RivetShape | BoltShape | CapShape | PadShape


@dataclass(frozen=True)
class Bought:
    """A bought part.

    Attributes:
        name: as it is ordered, with its size.
        shape: its envelope as fitted.
        density: kg/m³ of its material; mass is density × volume of the shape.
    """

    name: str
    shape: Shape
    density: float


Part = BentTube | FoldedBar | CutPlate | Bought
