"""What a shop's file says about folding bar and plate."""

import math
from dataclasses import dataclass
from typing import Annotated

from rackgen.spec.fields import About, Entries, Length, Number, Table, refuse, wrong_if
from rackgen.spec.folding import HANDBOOK_K, SAME_RADIUS, SAME_THICKNESS, Folding, Material, Method, Strip

Leg = Annotated[float, Length("a leg from its end to where the outsides of both meet", 10, 2_000)]


@dataclass(frozen=True, kw_only=True)
class StripTable(Table):
    """A strip that was folded once: what went into the fold."""

    thickness: Annotated[float, Length("of the bar or plate it was cut from", 0.5, 40)]
    inside_radius: Annotated[float, Length("of the former, or of the fold as a radius gauge reads it", 0, 400)]
    length: Annotated[float, Length("flat, before it was folded", 30, 3_000)]
    legs: Annotated[
        tuple[Leg, ...], Entries("both legs after, each from its end to where the outsides of both meet", 2, 2)
    ]
    angle: Annotated[float, Number("how far it was turned; 90 when left out", 60, 120, "degrees")] = 90.0
    material: Annotated[Material, About("what it was; steel when left out")] = "steel"

    def __post_init__(self) -> None:
        """Refuse a strip whose neutral line would lie outside its metal."""
        share = self.record().share
        wanted = "length and legs do not go together: the neutral line would lie outside the metal; measure again"
        refuse(wrong_if(math.isfinite(share) and not 0.0 <= share <= 1.0, "legs", wanted))

    def record(self) -> Strip:
        """Return the record."""
        a, b = self.legs
        return Strip(self.thickness, self.inside_radius, self.length, (a, b), self.angle, self.material)


@dataclass(frozen=True, kw_only=True)
class FoldingTable(Table):
    """How much of a bar or plate goes into a fold, and what it is folded in."""

    allowance: Annotated[
        Method, About("how folds without a test strip of their own are reckoned; DIN 6935 when left out")
    ] = "DIN 6935"
    handbook_k: Annotated[
        float | None,
        Number("where the handbook has the neutral line, from the inside; 0.4469 when left out", 0.2, 0.6,
               "a share of the thickness"),
    ] = None  # fmt: skip
    openings: Annotated[
        tuple[Annotated[float, Length("width of a die that bar and plate are pressed into", 4, 400)], ...],
        Entries("every such die, narrow before wide", 50, 0, rising=True),
    ] = ()
    strip: Annotated[tuple[StripTable, ...], Entries("test strips, one for a thickness and inside radius", 200)] = ()

    def __post_init__(self) -> None:
        """Refuse two strips that would speak for one fold."""
        same = any(
            a.material == b.material
            and abs(a.thickness - b.thickness) <= SAME_THICKNESS
            and abs(a.inside_radius - b.inside_radius) < SAME_RADIUS / 2
            for i, a in enumerate(self.strip)
            for b in self.strip[:i]
        )
        refuse(wrong_if(same, "strip", "two strips of one thickness and inside radius; keep the one you trust"))

    def record(self) -> Folding:
        """Return the record."""
        k = HANDBOOK_K if self.handbook_k is None else self.handbook_k
        return Folding(self.allowance, k, tuple(s.record() for s in self.strip), self.openings)
