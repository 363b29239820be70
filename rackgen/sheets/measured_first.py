"""What is measured on the work before a piece is sawn, and what is added to that to get its length.

Fit-up gap and weld shrinkage are in what is added, as they are in the cut list's lengths.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.design.side_plates import GAP
from rackgen.geom.cope import Cope, End
from rackgen.parts.kinds import BentTube, CutPlate
from rackgen.parts.measure import centre_length
from rackgen.parts.rack import Along, AtEnd, PartId, Placed, Rack
from rackgen.sheets.cutlist import CutLine
from rackgen.spec.shop import FRAME_HOOP
from rackgen.spec.stock import Panel


@dataclass(frozen=True)
class MeasuredFirst:
    """One piece that waits for a measurement; mm.

    Attributes:
        mark: of the piece.
        word: what the shop calls it.
        part: its id.
        stage: when it is cut.
        what: which measurement it waits for, in words.
        should: what that is as drawn.
        cut: length, or width, to cut it to when it is.
    """

    mark: str
    word: str
    part: PartId
    stage: int
    what: str
    should: float
    cut: float

    @property
    def add(self) -> float:
        """What is added to the measurement, mm; negative is taken off."""
        return self.cut - self.should


def measured_first(rack: Rack, lines: tuple[CutLine, ...]) -> tuple[MeasuredFirst, ...]:
    """Return what is measured before each piece of the stages 2 and 3 that was drawn to fit between others.

    Args:
        rack: the rack.
        lines: of its cut list, in order.
    """
    landed = _landed(rack)
    out: list[MeasuredFirst] = []
    for line in lines:
        if line.stage < 2:
            continue
        for part in line.ids:
            placed = rack.part(part)
            if isinstance(placed.part, BentTube):
                found = _tube(placed, placed.part, landed, rack)
                if found is not None:
                    out.append(MeasuredFirst(line.mark, line.word, part, line.stage, *found, line.saw))
            elif isinstance(placed.part, CutPlate):
                out += _plate(line, placed, placed.part, rack)
    return tuple(out)


def _landed(rack: Rack) -> dict[tuple[PartId, str], Placed]:
    """Return what each coped tube end is welded on."""
    out: dict[tuple[PartId, str], Placed] = {}
    for joint in sorted((j for j in rack.joints if j.kind == "coped weld"), key=lambda j: j.rank):
        for one, other in ((joint.a, joint.b), (joint.b, joint.a)):
            if isinstance(one, AtEnd) and isinstance(other, Along):
                out.setdefault((one.part, one.end), rack.part(other.part))
    return out


def _tube(
    placed: Placed, tube: BentTube, landed: dict[tuple[PartId, str], Placed], rack: Rack
) -> tuple[str, float] | None:
    """Return the measurement in words and as drawn, None for a tube that lands on no tube or is bent."""
    at_a, at_b = (landed.get((placed.id, end)) for end in ("A", "B"))
    if tube.spine.bends or (at_a is None and at_b is None):
        return None
    axes = centre_length(tube)
    clear = axes - _half(tube.end_a) - _half(tube.end_b)
    if at_a is not None and at_b is not None:
        one, two = _place(at_a), _place(at_b)
        if one == two:
            return f"inside of the {one} where it sits, from tube to tube", clear
        low, high = sorted((one, two))
        return f"clear from the {low} to the {high} where it stands", clear
    over = at_a or at_b
    assert over is not None
    return f"foot to the underside of the {_place(over)}, on the stub's axis", clear


def _half(end: End) -> float:
    """Return half of the tube that an end lands on, along this one, mm; 0 for a sawn or mitred end."""
    copes = [cut for cut in end if isinstance(cut, Cope)]
    if not copes:
        return 0.0
    return max(c.header_od / 2 / math.sin(math.radians(c.angle)) for c in copes)


def _place(placed: Placed) -> str:
    """Return what a tube is part of, as the shop calls it."""
    for level in ("lower", "middle", "upper"):
        if placed.id.startswith(f"basket.{level}."):
            return f"{level} ring"
    return "frame" if placed.word == FRAME_HOOP else placed.word


def _plate(line: CutLine, placed: Placed, plate: CutPlate, rack: Rack) -> list[MeasuredFirst]:
    def one(what: str, should: float, cut: float) -> MeasuredFirst:
        return MeasuredFirst(line.mark, line.word, placed.id, line.stage, what, should, cut)

    if line.word == "side plate":
        over = "middle" if any(p.id.startswith("basket.middle.") for p in rack.placed) else "upper"
        return [
            one("bay between its uprights, clear", line.saw + 2 * GAP, line.saw),
            one(f"lower ring to {over} ring, clear", line.width + 2 * GAP, line.width),
        ]
    if not isinstance(plate.stock.section, Panel):
        return []
    rings = [p.part for p in rack.placed if p.id.startswith("basket.lower.") and isinstance(p.part, BentTube)]
    od = max((tube.section.od for tube in rings if tube.spine.bends), default=0.0)
    if not od:
        return []
    panels = sum(p.word == line.word for p in rack.placed)
    across = one("lower ring, outside width", line.width + od, line.width)
    # Panels that are joined on a bearer share the length out among them.
    return [one("lower ring, outside length", line.saw + od, line.saw), across] if panels == 1 else [across]
