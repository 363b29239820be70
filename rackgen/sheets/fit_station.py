"""How sure the fit is: every joint's gap in 95 of 100 racks, what drives it, and what that leaves for the dry fit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from rackgen.design.as_made import Source
from rackgen.design.tolerance import DRY_FIT, JointSpread, Study
from rackgen.parts.marks import Mark, marks
from rackgen.parts.names import part_name, plain
from rackgen.parts.rack import Joint, PartId, Rack
from rackgen.sheets.dry_fit_station import OpenJoint
from rackgen.sheets.fit_rows import SKIN, SURE, WHAT, at_vehicle, fit_notes, fit_table
from rackgen.sheets.pages import Block, Rows, Station, Text
from rackgen.sheets.table import Column, Table
from rackgen.units import Unit, write_decimal


class Named:
    """What joints and sources of a rack are called on paper: by mark, by word, and by which of equal parts it is."""

    def __init__(self, rack: Rack) -> None:
        self.joints: dict[str, Joint] = {j.id: j for j in rack.joints}
        self.marks: dict[PartId, Mark] = dict(marks(rack))
        self.words: dict[PartId, str] = {p.id: p.word for p in rack.placed}
        self._often = Counter(self._ends(j) for j in self.joints)

    def part(self, part: PartId) -> str:
        """Return a part: "T4 cross bar 2"."""
        return f"{self.marks[part]} {part_name(self.words[part], part)}"

    def joint(self, joint: str) -> str:
        """Return a joint by what it joins, or a plate on its skin."""
        if joint.endswith(SKIN):
            return f"{self.part(joint[: -len(SKIN)])}, on the skin"
        said = self._ends(joint)
        sides = [word for word in ("left", "right") if word in joint.replace("[", ".").split(".")]
        # Both ends of a bar land on one hoop, and two hoops meet on either side.
        return f"{said}, {sides[0]}" if sides and self._often[said] > 1 else said

    def _ends(self, joint: str) -> str:
        found = self.joints[joint]
        return f"{self.part(found.a.part)}, to {self.part(found.b.part)}"

    def driver(self, source: Source, joint: str) -> str:
        """Return what drives a joint's gap: "T1 frame hoop, bend 2"."""
        what = WHAT[source.kind].format(source.index + 1)
        if source.owner in self.words:
            return f"{self.part(source.owner)}, {what}"
        if source.owner == joint:
            return "its own weld's pull"
        if source.owner in self.joints:
            return f"{what} of {self.joint(source.owner)}"
        # What is read on the vehicle: "roof.station[3]", "rear_left".
        return f"{plain(source.owner)}, {what}"


def left_for_dry_fit(rack: Rack, found: Study) -> tuple[tuple[JointSpread, ...], tuple[JointSpread, ...]]:
    """Return the joints that are left for the dry fit: those made at the vehicle, and those made on the bench."""
    left = [j for j in found.joints if j.dry_fit]
    there = tuple(j for j in left if at_vehicle(rack, j.joint))
    return there, tuple(j for j in left if j not in there)


def drivers(named: Named, joint: JointSpread, most: int = 3) -> str:
    """Return what drives a joint's gap, most first, with its share."""
    return "; ".join(f"{named.driver(s, joint.joint)} ({share:.0%})" for s, share in joint.drivers[:most])


def _ends(joint: JointSpread, unit: Unit) -> tuple[str, str]:
    """Return between which two gaps 95 of 100 racks are."""
    digits = 1 if unit == "mm" else 3
    return write_decimal(joint.low, unit, digits), write_decimal(joint.high, unit, digits)


def fit_station(rack: Rack, found: Study, unit: Unit) -> Station:
    """Return the page of a tolerance study.

    Args:
        rack: the rack.
        found: its study.
        unit: of the shop.
    """
    named = Named(rack)
    there, bench = left_for_dry_fit(rack, found)
    others = [j for j in found.joints if not j.dry_fit and j.high > SURE]
    limit = write_decimal(DRY_FIT, unit, 1 if unit == "mm" else 3)
    blocks: list[Block] = [
        Text(
            "Cut from the measured values, no rack comes out quite as drawn. Of 100 racks 95 have a gap at each joint "
            "between the two values below; one in 40 has more than the larger."
        )
    ]
    if there:
        blocks.append(_rows("dry-fit-vehicle", "Left for the dry fit, at the vehicle", there, named, unit))
    if bench:
        title = f"May stand open by more than {limit} {unit} on the bench: fit it there before tacking"
        blocks.append(_rows("dry-fit-bench", title, bench, named, unit))
    if others:
        title = "Goes together as cut" if there or bench else "Every joint goes together as cut"
        blocks.append(_rows("goes-together", title, others, named, unit, most=1))
    blocks += [Text(f"{note[0].upper()}{note[1:]}.", "small") for note in fit_notes(found, unit)]
    return Station("fit", "How sure the fit is", tuple(blocks))


def fit_words(rack: Rack, found: Study, unit: Unit) -> Table:
    """Return every joint that may stand open as on the page, by marks and words; `fit_table` has their ids.

    Args:
        rack: the rack.
        found: its tolerance study.
        unit: of the shop.
    """
    named, of = Named(rack), {j.joint: j for j in found.joints}
    table = fit_table(rack, found, unit)
    at = {column.key: n for n, column in enumerate(table.columns)}
    kept = tuple(column for column in table.columns if column.key != "what")

    def cell(row: tuple[str, ...], key: str) -> str:
        joint = row[at["joint"]]
        match key:
            case "joint":
                return named.joint(joint)
            case "drivers":
                return drivers(named, of[joint])
            case _:
                return row[at[key]]

    rows = tuple(tuple(cell(row, column.key) for column in kept) for row in table.rows)
    return Table(table.name, table.title, kept, rows, table.notes)


def left_open(rack: Rack, found: Study, unit: Unit) -> tuple[OpenJoint, ...]:
    """Return the joints at the vehicle that are left for the dry fit, as its page has them, the widest first."""
    named = Named(rack)
    there, _ = left_for_dry_fit(rack, found)
    return tuple(OpenJoint(named.joint(j.joint), " to ".join(_ends(j, unit)), drivers(named, j)) for j in there)


def _rows(name: str, title: str, joints: Iterable[JointSpread], named: Named, unit: Unit, most: int = 3) -> Rows:
    columns = (
        Column("joint", "joint"),
        Column("low", f"least {unit}", True),
        Column("high", f"most {unit}", True),
        Column("drivers", "driven by" if most > 1 else "most by"),
    )
    rows = tuple((named.joint(j.joint), *_ends(j, unit), drivers(named, j, most)) for j in joints)
    return Rows(Table(name, title, columns, rows), below=("drivers",) if most > 1 else ())
