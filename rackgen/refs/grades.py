"""Grades of steel and aluminium by their names as they stand on a delivery note: one list for every use."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from rackgen.refs.registry import Number, number


@dataclass(frozen=True)
class Grade:
    """What is known of a grade.

    Attributes:
        words: that all stand in its name.
        key: its numbers are `yield-<key>` and `tensile-<key>` of values.toml.
        material: "steel" or "aluminium".
        welded: key of what it is beside a weld; the same where welding takes nothing.
        certified: whether the grade promises its strength; False where the figure is assumed.
        note: what goes with its figures wherever they are cited, "" for nothing.
    """

    words: tuple[str, ...]
    key: str
    material: str = "steel"
    welded: str = ""
    certified: bool = True
    note: str = ""

    @property
    def beside_welds(self) -> str:
        """Key of what it is beside a weld."""
        return self.welded or self.key


_DRAWN = "a513-1020"
"""Weld heat takes the cold work out of drawn tube: beside welds it is 1020 as welded (from memory)."""

_ORDERED = "A513's strengths bind only where they were ordered"
"""Quoted from ASTM A513: when tensile properties are required, they shall be specified."""

_GRADES: tuple[Grade, ...] = (
    # The first one whose words all stand in the name decides.
    Grade(("a513", "1020", "dom"), "a513-1020-drawn", welded=_DRAWN, note=_ORDERED),
    Grade(("a513", "1020", "type 5"), "a513-1020-drawn", welded=_DRAWN, note=_ORDERED),
    Grade(("a513", "1026", "dom"), "a513-1026-drawn", welded=_DRAWN, note=_ORDERED),
    Grade(("a513", "1026", "type 5"), "a513-1026-drawn", welded=_DRAWN, note=_ORDERED),
    # DOM is A513's type 5 by another name.
    Grade(("1020", "dom"), "a513-1020-drawn", welded=_DRAWN, note=_ORDERED),
    Grade(("1026", "dom"), "a513-1026-drawn", welded=_DRAWN, note=_ORDERED),
    Grade(("a513", "1020", "type 1"), "a513-1020", note=_ORDERED),
    Grade(("a513", "1015", "type 1"), "a513-1015", note=_ORDERED),
    Grade(("a513", "1010", "type 1"), "a513-1010", note=_ORDERED),
    Grade(("a513", "1008", "type 1"), "a513-1008", note=_ORDERED),
    Grade(("a500-21", "grade c"), "a500-21-c"),
    Grade(("a500-21", "grade b"), "a500-21-b"),
    # Without its year a grade is that of the weaker edition.
    Grade(("a500", "grade c"), "a500-c"),
    Grade(("a500", "grade b"), "a500-b"),
    Grade(("a53", "grade b"), "a53-b"),
    Grade(("a36",), "a36"),
    Grade(("e220",), "e220"),
    Grade(("e235",), "e235"),
    Grade(("e355",), "e355"),
    Grade(("s235", "10025-2"), "s235-flat"),
    Grade(("s275", "10025-2"), "s275-flat"),
    Grade(("s355", "10025-2"), "s355-flat"),
    Grade(("s235",), "s235"),
    Grade(("s355",), "s355"),
    Grade(("6061-t6",), "6061-t6", "aluminium", "6061-t6-welded"),
    Grade(("6063-t5",), "6063-t5", "aluminium", "6063-t5-welded"),
    Grade(("no certificate",), "no-certificate", certified=False),
    Grade(("a1011", "cs"), "no-certificate", certified=False),
    Grade(("hot rolled",), "no-certificate", certified=False),
    Grade(("mild steel",), "no-certificate", certified=False),
    Grade(("carbon steel",), "no-certificate", certified=False),
)

KNOWN = (
    "S235JRH EN 10219-1, S355J2H EN 10219-1, S235JR, S275JR or S355J2 EN 10025-2, E220+CR2, E235+CR1 or E355+CR1 EN "
    "10305-3, "
    "ASTM A36, ASTM A53 grade B, ASTM A500 grade B or C, 1008 to 1020 ASTM A513 type 1, 1020 or 1026 ASTM A513 DOM, "
    "6061-T6, 6063-T5, or steel with no certificate"
)
"""The grades that are known, as they may be written."""


@lru_cache(maxsize=256)
def grade_of(name: str, material: str = "steel") -> Grade | None:
    """Return the grade that a name says, or None when the name says too little or another material's.

    Args:
        name: such as "S235JRH EN 10219-1" or "1020 ASTM A513 type 1"; "gr. B" is grade B.
        material: "steel", "stainless" or "aluminium".
    """
    plain = re.sub(r"(?<![a-z])gr(?:\.|(?= ?[a-c](?![a-z]))) ?", "grade ", " ".join(name.lower().split()))
    for grade in _GRADES:
        if grade.material == material and all(
            re.search(rf"(?<![a-z0-9]){re.escape(word)}(?![0-9])", plain) for word in grade.words
        ):
            return grade
    return None


def yield_strength(grade: str) -> Number | None:
    """Return the yield strength that a grade of steel promises, MPa, or None when the name says too little.

    Args:
        grade: such as "S235JRH EN 10219-1" or "1020 ASTM A513 type 1".
    """
    found = grade_of(grade)
    return number(f"yield-{found.key}") if found is not None and found.certified else None
