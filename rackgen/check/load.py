"""What the handbook's limit leaves for load, once the rack itself is counted."""

from __future__ import annotations

from rackgen.errors import Finding, Level
from rackgen.parts.handbook import handbook_limit
from rackgen.parts.measure import mass
from rackgen.parts.rack import Rack
from rackgen.spec.vehicle import Vehicle

WORTH_CARRYING = 20.0
"""Less load than this, kg, is hardly worth a rack (common practice, no source)."""


def load_findings(rack: Rack, vehicle: Vehicle) -> list[Finding]:
    """Return a stop when the rack alone is heavier than the handbook's limit, a look when it leaves next to nothing.

    A limit that nobody knows is among the vehicle's measuring notes.
    """
    limit = handbook_limit(rack, vehicle)
    if limit.kg is None:
        return []
    total = sum(mass(p.part) for p in rack.placed)
    left = limit.kg - total
    if left >= WORTH_CARRYING:
        return []
    return [
        Finding(
            "roof-limit",
            Level.STOP if left <= 0 else Level.LOOK,
            (),
            f"the rack weighs {total:.1f} kg; of the {limit.words} of {limit.kg:.0f} kg it leaves "
            f"{max(0.0, left):.1f} kg for load",
            got=total,
            limit=limit.kg,
            unit="kg",
            source="the vehicle's handbook, by its file",
            keys=(limit.key, "basket.ring_tube", "frame.tube"),
            help="look the limit up again; take thinner tube, or a smaller basket",
        )
    ]
