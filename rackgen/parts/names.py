"""What a part of a rack is called among equal ones, from its word and its id."""

from __future__ import annotations

PLAIN = str.maketrans({"_": " ", ".": " ", "[": " ", "]": None})


def plain(of: str) -> str:
    """Return an id or a role as words: "roof.station[3]" is "roof station 3"."""
    return of.translate(PLAIN)


def part_name(word: str, part: str) -> str:
    """Return which of equal parts it is, from its word and id: "cross bar 2", "U-bolt 1, clamp left 2"."""
    *on, last = part.replace("_", " ").split(".")[1:] or [part]
    name, _, number = last.rstrip("]").partition("[")
    known = _words(word)
    where = " ".join(t.rstrip("]").replace("[", " ") for t in on if not _words(t) <= known)
    # "bar" is already in "cross bar", "u bolt" in "U-bolt"; "right" is not in "upright", nor "front" in a ring.
    said = _words(name) <= known
    return ", ".join(t for t in (f"{word} {number}".strip(), where, "" if said else name) if t)


def _words(text: str) -> set[str]:
    return set(text.lower().replace("-", " ").split())
