"""Every way rackgen says no: mistakes in the input stop a run, findings about the design are reported.

A `Mistake` is one wrong thing in an input file; `BadInput` carries all of them at once. A `Finding` is one thing
that is wrong, doubtful or worth knowing about the rack that was asked for. A broken promise of our own (a solid that
is not what its description says, a pack folder that holds somebody else's file) is a `RackgenError`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum


class RackgenError(Exception):
    """Root of every error that rackgen raises on purpose."""


@dataclass(frozen=True)
class Mistake:
    """One wrong thing in one input file.

    Attributes:
        file: the file as the user named it.
        key: dotted key path inside the file, "" when the file as a whole is wrong.
        line: 1-based line of the key, 0 when there is none.
        read: what was read, as text.
        wanted: what would be right, as a sentence that says what to do.
    """

    file: str
    key: str
    line: int
    read: str
    wanted: str

    def __str__(self) -> str:
        place = self.file + (f":{self.line}" if self.line else "")
        key = f" {self.key}:" if self.key else ""
        read = f" read {self.read};" if self.read else ""
        told = f"{place}:{key}{read} {self.wanted}"
        # What a file holds is shown on a terminal, never obeyed by it.
        return "".join(c if c.isprintable() else repr(c)[1:-1] for c in told)


class BadInput(RackgenError):
    """The input cannot be used; carries every mistake found, in file and line order. Exit code 2."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(sorted(mistakes, key=lambda m: (m.file, m.line, m.key, m.wanted)))
        super().__init__("\n".join(str(m) for m in self.mistakes))


class LengthError(RackgenError, ValueError):
    """A text is not a length; the message says what would be."""


class GeometryError(RackgenError, ValueError):
    """A shape that cannot exist was asked for (a bend with no radius, a branch that misses its header)."""


class SolidError(RackgenError):
    """The kernel gave an empty, invalid or wrong solid. The message begins with the part's mark or id."""


class FrameError(RackgenError):
    """A frame cannot be solved: what is wrong with it or moves freely, part by part, every reason at once."""

    def __init__(self, reasons: Iterable[str]) -> None:
        self.reasons = tuple(reasons)
        super().__init__("\n".join(self.reasons))


class FreeError(FrameError):
    """Something of a frame moves freely, part by part."""


class NestError(RackgenError):
    """A nest that was made is not what was asked for: a piece twice or nowhere, or a stick overfull."""


class PackError(RackgenError):
    """The output folder cannot be written as a whole: foreign files in it, or another build at work."""


class PictureError(RackgenError):
    """No picture can be drawn: the machine offers no OpenGL off screen. The rest of the pack does not need it."""


class Level(IntEnum):
    """How much a finding matters; only `STOP` makes a command exit 1."""

    NOTE = 0
    LOOK = 1
    STOP = 2

    def __str__(self) -> str:
        return self.name.lower()


@dataclass(frozen=True)
class Finding:
    """One statement about the rack.

    Attributes:
        code: short stable name, e.g. "clamp-short"; waivers use it.
        level: note, look or stop.
        parts: ids of the parts concerned, in the order that reads best.
        text: one sentence that says what is so, with its numbers.
        at: place in the vehicle frame, mm, or None.
        got: measured value in `unit`, or None.
        limit: the value it was held against in `unit`, or None.
        unit: unit of `got` and `limit`: "mm", "deg", "N", "" ...
        source: where the limit is from.
        keys: preset keys that would change it.
        help: what to do, with numbers.
    """

    code: str
    level: Level
    parts: tuple[str, ...]
    text: str
    at: tuple[float, float, float] | None = None
    got: float | None = None
    limit: float | None = None
    unit: str = "mm"
    source: str = "common practice, no source"
    keys: tuple[str, ...] = ()
    help: str = ""


def order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings worst first, then by code and part, without repeats."""
    return tuple(sorted(set(findings), key=lambda f: (-f.level, f.code, f.parts, f.text)))
