"""The coped and mitred ends of tubes as the person sees them who marks them: from which line clocks are counted there.

Clocks on paper are those of the bend sheet: where a tube is bent from its end B first, they are counted from that end.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.geom.cope import Cope, End, Plane, long_point, sawn_back
from rackgen.parts.bend_order import first_end, turned_round
from rackgen.parts.hands import called, hands
from rackgen.parts.kinds import BentTube
from rackgen.parts.marks import Line, lines
from rackgen.parts.rack import PartId, Rack
from rackgen.sheets.allowance import gapped
from rackgen.sheets.words import fine
from rackgen.spec.shop import BOW, FRAME_HOOP, Shop

Name = Literal["A", "B"]

SQUARE = 0.05
"""A plane cut that is less off square is sawn and needs no template, degrees."""


@dataclass(frozen=True)
class TubeEnd:
    """One end of equal tubes.

    Attributes:
        mark: of the tube.
        end: its name on every sheet.
        word: what the shop calls the tube.
        hand: "left" or "right" as the driver sits, of mirror images on either side; "" for all others.
        quantity: how many ends are cut to it.
        parts: ids of the tubes.
        tube: the tube, described from the end that clocks are counted at.
        cuts: from the sawn end of the solid, without fit-up gap.
        seen: which end it is of `tube`; clocks run to the right at A when seen from outside with the tube going up.
        line: what the lower edge of a template is laid on, in words.
        zero: what fixes clock 0, in words.
    """

    mark: str
    end: Name
    word: str
    hand: str
    quantity: int
    parts: tuple[PartId, ...]
    tube: BentTube
    cuts: End
    seen: Name
    line: str
    zero: str

    @property
    def name(self) -> str:
        """Mark and end."""
        return f"{self.mark} {self.end}"

    @property
    def part(self) -> str:
        """What the shop calls the tube, with its hand."""
        return called(self.word, self.hand)

    def gapped(self, gap: float) -> End:
        """Return the cuts with the fit-up gap, from the sawn end that the cut list saws to."""
        return gapped(self.cuts, gap)


def tube_ends(rack: Rack, shop: Shop) -> tuple[TubeEnd, ...]:
    """Return every end that is not sawn square, of every distinct tube, in cut-list order."""
    found = lines(rack)
    named = hands(found)
    out: list[TubeEnd] = []
    for line in found:
        if isinstance(line.part, BentTube):
            out += _ends(line, line.part, named.get(line.mark, ""), shop)
    return tuple(out)


def _ends(line: Line, tube: BentTube, hand: str, shop: Shop) -> list[TubeEnd]:
    word, parts = line.placed[0].word, tuple(p.id for p in line.placed)
    trim = shop.trim_of(word) if tube.spine.bends else 0.0
    die = shop.die_for(tube.section.od)
    names: tuple[Name, Name] = ("A", "B")
    if tube.spine.bends and die and first_end(tube, die, trim) == "B":
        tube, names = turned_round(tube), ("B", "A")
    zero = _zero(tube)
    at = "the sawn end" if not trim else (
        f"the trim line, {fine(trim, shop.unit)} {shop.unit} from the end as sawn"
        + (", after the dry fit" if word in (FRAME_HOOP, BOW) else ", after bending")
    )  # fmt: skip
    ends: tuple[tuple[Name, Name, End], ...] = ((names[0], "A", tube.end_a), (names[1], "B", tube.end_b))
    return [
        TubeEnd(
            mark=line.mark,
            end=name,
            word=word,
            hand=hand,
            quantity=len(parts),
            parts=parts,
            tube=tube,
            cuts=sawn(cuts, tube.section.od / 2),
            seen=seen,
            line=at,
            zero=zero,
        )
        for name, seen, cuts in ends
        if cut(cuts)
    ]


def cut(end: End) -> bool:
    """Return whether an end is coped or mitred, and not merely sawn square."""
    return any(isinstance(c, Cope) or c.tilt > SQUARE for c in end)


def sawn(cuts: End, outer: float) -> End:
    """Return the cuts from where the saw goes: cuts that take something all round leave a shorter longest line."""
    waste = max(0.0, long_point(cuts, outer))
    return tuple(sawn_back(c, waste) for c in cuts) if waste > 0 else cuts


def _zero(tube: BentTube) -> str:
    """Return in words what the line at clock 0 is."""
    if tube.spine.bends:
        return "the line that comes inside the first bend, as on the bend sheet"
    if cut(tube.end_a) and cut(tube.end_b):
        return "one straight line drawn along the whole tube, the same for ends A and B"
    if tube.holes:
        return "a straight line along the tube that its holes are counted from too"
    return "any straight line along the tube"


def planes(cuts: End) -> tuple[Plane, ...]:
    """Return the plane cuts that are not square."""
    return tuple(c for c in cuts if isinstance(c, Plane) and c.tilt > SQUARE)
