"""Every check of a rack in one call, from numpy and numbers alone: no kernel, no solids, under a second."""

from __future__ import annotations

from rackgen.check.bodies import bodies
from rackgen.check.clearance import gaps, obstacle_findings, roof_findings
from rackgen.check.heights import height_findings, view_findings
from rackgen.check.held import held_findings
from rackgen.check.interference import interference_findings
from rackgen.check.keepouts import clearances, keep_out_findings, keep_outs
from rackgen.check.ladder import ladder_findings
from rackgen.check.landing import landing_findings
from rackgen.check.level import level_findings
from rackgen.check.load import load_findings
from rackgen.check.makeable import makeable_findings
from rackgen.check.reach import reach_findings
from rackgen.check.result import CheckResult
from rackgen.errors import Finding, GeometryError, Level, order
from rackgen.mesh.triangles import triangles
from rackgen.parts.rack import Rack
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle


def check(rack: Rack, shop: Shop, vehicle: Vehicle, spec: RackSpec) -> tuple[CheckResult, tuple[Finding, ...]]:
    """Return the gap of every part to the roof, and all findings, worst first. Waivers are not applied here.

    Args:
        rack: resolved, ends cut.
        shop: that will make it.
        vehicle: that will carry it.
        spec: for the wanted clearances.

    Returns:
        Parts that cannot exist as described have a stop of their own and are left out of everything else.
    """
    rack, impossible = possible(rack)
    of = bodies(rack)
    table = gaps(rack, vehicle.roof, spec.gaps)
    # Boxes of `[[obstacle]]` have a check of their own.
    moving = tuple(thing for thing in keep_outs(vehicle, spec.gaps) if thing.key != "obstacle")
    high, eye = vehicle.keep_outs.heights, vehicle.keep_outs.eye
    findings = [
        *impossible,
        *roof_findings(table, rack, spec.gaps),
        *obstacle_findings(of, vehicle),
        *keep_out_findings(clearances(rack, of, moving), moving, of),
        *(height_findings(of, high) if high is not None else ()),
        *(view_findings(of, eye) if eye is not None else ()),
        *interference_findings(rack, of),
        *landing_findings(rack, of),
        *makeable_findings(rack, shop),
        *held_findings(rack),
        *reach_findings(rack, vehicle),
        *level_findings(rack),
        *load_findings(rack, vehicle),
        *ladder_findings(rack),
        *(Finding("measuring", Level.NOTE, (), note, source="") for note in vehicle.notes),
        *(
            Finding(
                "reading",
                Level.LOOK,
                (),
                f"{d.name} = {d.read}: {d.text}.",
                source="the other readings",
                keys=(d.name,),
                help="read it again on the vehicle; where it is right, leave it as it is",
            )
            for d in vehicle.doubts
        ),
    ]
    return CheckResult(table), order(findings)


def possible(rack: Rack) -> tuple[Rack, list[Finding]]:
    """Return the rack without the parts whose shape cannot exist, and a stop for each of those."""
    findings: list[Finding] = []
    for placed in rack.placed:
        try:
            triangles(placed.part)
        except GeometryError as error:
            findings.append(
                Finding(
                    "impossible-shape",
                    Level.STOP,
                    (placed.id,),
                    f"{placed.word} {placed.id} cannot exist as described: {error}",
                    at=placed.frame.origin,
                    source="geometry",
                    help="change what asks for it until its holes, cuts and folds fit its size",
                )
            )
    out = {f.parts[0] for f in findings}
    if not out:
        return rack, findings
    kept = tuple(p for p in rack.placed if p.id not in out)
    joints = tuple(j for j in rack.joints if j.a.part not in out and j.b.part not in out)
    return Rack(kept, joints), findings
