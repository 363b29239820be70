"""Yield strength by the name of a grade as it stands on a delivery note."""

from __future__ import annotations

import re

from rackgen.refs.registry import Number, number

_GRADES: tuple[tuple[tuple[str, ...], str], ...] = (
    # The first line whose words all stand in the name decides.
    (("a513", "1020", "dom"), "yield-a513-1020-drawn"),
    (("a513", "1020", "type 5"), "yield-a513-1020-drawn"),
    (("a513", "1020", "type 1"), "yield-a513-1020"),
    (("a513", "1010", "type 1"), "yield-a513-1010"),
    (("a53", "grade b"), "yield-a53-b"),
    (("e235",), "yield-e235"),
    (("e355",), "yield-e355"),
    (("s235",), "yield-s235"),
    (("s355",), "yield-s355"),
)


def yield_strength(grade: str) -> Number | None:
    """Return the yield strength of a grade, MPa, or None when the name says too little.

    Args:
        grade: such as "S235JRH EN 10219-1" or "1020 ASTM A513 type 1".
    """
    name = " ".join(grade.lower().split())
    for words, key in _GRADES:
        if all(re.search(rf"(?<![a-z0-9]){re.escape(word)}(?![0-9])", name) for word in words):
            return number(key)
    return None
