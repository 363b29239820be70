"""A sheet as rows of text, already in the shop's unit and rounded: what CSV, terminal and pages print alike."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Column:
    """One column.

    Attributes:
        key: short name without blanks, for files.
        title: for people, with the unit where it has one.
        number: whether it reads best set to the right.
    """

    key: str
    title: str
    number: bool = False


@dataclass(frozen=True)
class Table:
    """One sheet.

    Attributes:
        name: file-safe name.
        title: for people.
        columns: in order.
        rows: one text per column; "" where there is nothing to say.
        notes: sentences below it.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(f"{self.name}: a row of {len(row)} texts under {len(self.columns)} columns")
