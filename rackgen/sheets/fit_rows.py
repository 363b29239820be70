"""How the rack comes together and how sure that is, as rows of text in the shop's own unit."""

from __future__ import annotations

from collections.abc import Mapping

from rackgen.design.as_made import Source
from rackgen.design.tolerance import DRY_FIT, Study
from rackgen.parts.rack import Rack
from rackgen.sheets.table import Column, Table
from rackgen.units import Unit, write_decimal

WHAT: Mapping[str, str] = {
    "straight": "straight {}",
    "bend": "bend {}",
    "turn": "turn before bend {}",
    "flat": "flat {}",
    "fold": "fold {}",
    "pull": "weld pull",
    "crown": "crown at station {}",
    "drop": "reading {} from the left",
    "scan": "heights by the scan",
    "face": "rear face",
    "lean": "lean of the rear face",
}
"""What a source is called; its number counts from 1."""

SKIN = ".skin"
SURE = 0.02
"""A gap that never exceeds this, mm, has nothing to say."""


def fit_table(rack: Rack, found: Study, unit: Unit) -> Table:
    """Return every joint that may stand open: as drawn, in 95 of 100 racks, and what drives it.

    Args:
        rack: the rack.
        found: its tolerance study.
        unit: of the shop.
    """
    words = {p.id: p.word for p in rack.placed}
    of_joint = {j.id: f"{words[j.a.part]} to {words[j.b.part]}" for j in rack.joints}
    columns = (
        Column("joint", "joint"),
        Column("what", "what"),
        Column("drawn", f"as drawn {unit}", True),
        Column("low", f"least {unit}", True),
        Column("high", f"most {unit}", True),
        Column("drivers", "driven by"),
        Column("dry_fit", "leave open until"),
    )
    rows = tuple(
        (
            j.joint,
            "mount plate to the roof's skin" if j.joint.endswith(SKIN) else of_joint[j.joint],
            _gap(j.drawn, unit),
            _gap(j.low, unit),
            _gap(j.high, unit),
            ", ".join(f"{source_words(s)} {round(100 * share)} %" for s, share in j.drivers),
            ("the dry fit" if at_vehicle(rack, j.joint) else "the bench: fit it before tacking") if j.dry_fit else "",
        )
        for j in found.joints
        if j.high > SURE
    )
    return Table("fit", "How sure the fit is", columns, rows, fit_notes(found, unit))


def fit_notes(found: Study, unit: Unit) -> tuple[str, ...]:
    """Return what a study rests on, a sentence each."""
    quiet = sum(j.high <= SURE for j in found.joints)
    notes = (
        f"{found.samples} racks with every reading, cut, bend, fold and weld a little off, as the shop's file says "
        "(spread) or as is usual; least and most leave out 2.5 in a hundred on either side",
        f"{found.full} of them put together part by part agree within {found.off:.0%} of a joint's range"
        if found.full
        else "no rack was put together part by part to compare",
        f"left for the dry fit: more than {_gap(DRY_FIT, unit)} {unit} in one of 40; {quiet} more joints follow what "
        "they are welded to",
        "parts are rigid; a hoop's legs, and a bow, are trued to width and flat on the table before anything is welded "
        "to them",
    )
    if found.scatter is not None:
        notes += (
            f"the roof's heights are off by what the scan's points scatter about it, {_gap(found.scatter, unit)} "
            f"{unit} rms, each reading by itself; how well the scan lies on the vehicle is not in it",
        )
    return notes


def at_vehicle(rack: Rack, joint: str) -> bool:
    """Return whether a joint is made at the vehicle: at a mount, on the skin, or where the basket sits on its frame."""
    if joint.endswith(SKIN):
        return True
    found = next(j for j in rack.joints if j.id == joint)
    return found.kind == "contact" or any(p.startswith("mount.") for p in (found.a.part, found.b.part))


def source_words(source: Source) -> str:
    """Return a source in words: "frame.hoop bend 2", "roof crown at station 3"."""
    return f"{source.owner} {WHAT[source.kind].format(source.index + 1)}"


def _gap(mm: float, unit: Unit) -> str:
    return write_decimal(mm, unit, 1 if unit == "mm" else 3)
