"""Every check of a rack in one call, from numpy and numbers alone: no kernel, no solids, under a second."""

from __future__ import annotations

from rackgen.check.bodies import bodies
from rackgen.check.clearance import gaps, obstacle_findings, roof_findings
from rackgen.check.interference import interference_findings
from rackgen.check.landing import landing_findings
from rackgen.check.level import level_findings
from rackgen.check.makeable import makeable_findings
from rackgen.check.reach import reach_findings
from rackgen.check.result import CheckResult
from rackgen.errors import Finding, order
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
    """
    of = bodies(rack)
    table = gaps(rack, vehicle.roof, spec.gaps)
    findings = [
        *roof_findings(table, rack, spec.gaps),
        *obstacle_findings(of, vehicle),
        *interference_findings(rack, of),
        *landing_findings(rack, of),
        *makeable_findings(rack, shop),
        *reach_findings(rack, vehicle),
        *level_findings(rack),
    ]
    return CheckResult(table), order(findings)
