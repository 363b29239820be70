"""Readings that do not go with the others of a vehicle."""

from __future__ import annotations

from dataclasses import dataclass

from rackgen.spec.document import written_key
from rackgen.spec.places import Path


@dataclass(frozen=True)
class Doubt:
    """One reading that does not belong.

    Attributes:
        key: where it stands in the vehicle's file.
        text: what the others say, a clause with its numbers.
        read: as it was read, in the file's unit.
        off: from what the others say, mm or degrees.
    """

    key: Path
    text: str
    read: str
    off: float

    @property
    def name(self) -> str:
        """The key as a person reads it."""
        return written_key(self.key)
