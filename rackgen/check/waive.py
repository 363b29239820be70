"""Waivers: findings that the user has looked at and accepts, with a reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from rackgen.errors import Finding, Level, order
from rackgen.spec.rack import Waiver


def waive(findings: Iterable[Finding], waivers: tuple[Waiver, ...]) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Return the findings with waived ones as notes that carry the reason, and "code part: reason" of each in force.

    A waiver without a part covers findings that name none. One that fits no finding brings a look, so that it is not
    forgotten when the rack changes.
    """
    out: list[Finding] = []
    used: set[Waiver] = set()
    for finding in findings:
        fits = [
            w for w in waivers if w.code == finding.code and (w.part in finding.parts or not (w.part or finding.parts))
        ]
        used.update(fits)
        if fits:
            finding = replace(finding, level=Level.NOTE, text=f"{finding.text} (waived: {fits[0].reason})")
        out.append(finding)
    for waiver in waivers:
        if waiver not in used:
            text = f"the waiver of {waiver.code} for {waiver.part or 'the rack'} fits no finding"
            out.append(
                Finding(
                    "waiver-unused", Level.LOOK, (), text, keys=("waiver",), source="", help="take it out of the file"
                )
            )
    in_force = tuple(f"{w.code} {w.part}: {w.reason}".replace(" :", ":") for w in waivers if w in used)
    return order(out), in_force
