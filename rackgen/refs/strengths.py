"""How strong a stock is: by its grade's name, or by a certificate that the shop's file states."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from rackgen.errors import RackgenError
from rackgen.refs.grades import KNOWN, Grade, grade_of
from rackgen.refs.registry import number

CERTIFICATE = "certificate stated in the shop's file"

MATERIALS = ("steel", "aluminium")
"""Materials of which grades are known by name."""

_TRUST = ("computed", "seen", "practice", "memory", "assumed")


class Graded(Protocol):
    """What a strength is asked of: a line of the shelf."""

    @property
    def name(self) -> str:
        """As the shop calls it."""
        ...

    @property
    def material(self) -> str:
        """Steel, stainless or aluminium."""
        ...

    @property
    def grade(self) -> str:
        """As on the delivery note."""
        ...

    @property
    def yield_strength(self) -> float | None:
        """Of a certificate, MPa."""
        ...

    @property
    def tensile_strength(self) -> float | None:
        """Of a certificate, MPa."""
        ...


@dataclass(frozen=True)
class Strengths:
    """A material's strength and stiffness; MPa.

    Attributes:
        yield_: least yield strength.
        tensile: least tensile strength.
        welded_yield: yield strength within 25 mm of a weld.
        welded_tensile: tensile strength there.
        e: Young's modulus.
        g: shear modulus.
        density: kg/m³.
        tag: how far it may be trusted, the weakest of its figures: "seen", "memory" or "assumed".
        source: where the figures are from.
        certified: whether grade or certificate promises them; False where they are assumed.
    """

    yield_: float
    tensile: float
    welded_yield: float
    welded_tensile: float
    e: float
    g: float
    density: float
    tag: str
    source: str
    certified: bool


def strength_of(stock: Graded) -> Strengths:
    """Return how strong a stock is; a certificate's figures count before the grade's.

    Raises:
        RackgenError: its grade is not known and no certificate is stated, or it is aluminium of unknown strength
            beside welds.
    """
    problem = unknown(stock)
    if problem:
        raise RackgenError(problem)
    grade = grade_of(stock.grade, stock.material)
    stiff = {kind: number(f"{kind}-{stock.material}").value for kind in ("young", "shear", "density")}
    certified = grade is not None and grade.certified
    if grade is None:
        # What `unknown` lets pass has both figures of a certificate; welding takes cold work out of drawn tube only.
        welded = number("yield-a513-1020"), number("tensile-a513-1020")
        drawn = _drawn(stock.grade)
        assert stock.yield_strength is not None
        assert stock.tensile_strength is not None
        fy, fu = stock.yield_strength, stock.tensile_strength
        beside = (min(fy, welded[0].value), min(fu, welded[1].value)) if drawn else (fy, fu)
        return Strengths(
            fy, fu, *beside, stiff["young"], stiff["shear"], stiff["density"], "seen", CERTIFICATE, certified=True
        )
    own = [number(f"{kind}-{grade.key}") for kind in ("yield", "tensile")]
    by_weld = [number(f"{kind}-{grade.beside_welds}") for kind in ("yield", "tensile")]
    stated = (stock.yield_strength, stock.tensile_strength)
    fy, fu = (n.value if s is None else s for s, n in zip(stated, own, strict=True))
    if grade.welded:
        beside = min(fy, by_weld[0].value), min(fu, by_weld[1].value)
        used = [n for s, n in zip(stated, own, strict=True) if s is None] + by_weld
    else:
        beside = fy, fu
        used = [n for s, n in zip(stated, own, strict=True) if s is None]
    notes = [CERTIFICATE] if any(stated) else [grade.note] if grade.note else []
    cited = dict.fromkeys([n.cited for n in used] + notes)
    tag = weakest(n.tag for n in used)
    return Strengths(
        fy, fu, *beside, stiff["young"], stiff["shear"], stiff["density"], tag, "; ".join(cited),
        certified or None not in stated,
    )  # fmt: skip


def unknown(stock: Graded) -> str:
    """Return what must be written before a stock's strength is known, as a sentence, "" when it is."""
    grade: Grade | None = grade_of(stock.grade, stock.material)
    if grade is not None:
        return ""
    other = [kind for kind in MATERIALS if kind != stock.material and grade_of(stock.grade, kind) is not None]
    if other:
        return f'the grade "{stock.grade}" of {stock.name} is of {other[0]}: write material = "{other[0]}" beside it'
    if stock.material == "aluminium":
        return (
            f'the grade "{stock.grade}" of {stock.name} is not known beside welds: write 6061-T6 or 6063-T5, the '
            "aluminium alloys whose strength within 25 mm of a weld is known here"
        )
    if stock.yield_strength is None or stock.tensile_strength is None:
        return (
            f'the grade "{stock.grade}" of {stock.name} is not known: write a grade such as {KNOWN}; or give '
            "yield_strength and tensile_strength of its certificate"
        )
    return ""


def check_known(stocks: Iterable[Graded]) -> None:
    """Refuse stocks of unknown strength, all of them at once.

    Raises:
        RackgenError: there is one; a line for each.
    """
    problems = dict.fromkeys(problem for stock in stocks if (problem := unknown(stock)))
    if problems:
        raise RackgenError("\n".join(problems))


def weakest(tags: Iterable[str]) -> str:
    """Return the tag that says least trust: "computed", "seen", "practice", "memory", then "assumed"."""
    return max(tags, key=_TRUST.index, default="seen")


def _drawn(grade: str) -> bool:
    return re.search(r"(?<![a-z])(dom|drawn|type 5)(?![a-z0-9])", grade.lower()) is not None
