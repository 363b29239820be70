"""Every check of what a frame's members bear, together."""

from __future__ import annotations

from rackgen.parts.rack import Rack
from rackgen.spec.shop import Shop
from rackgen.strength.bar_limits import bar_limits
from rackgen.strength.bent_limits import bent_limits
from rackgen.strength.chord_limits import chord_limits
from rackgen.strength.deflection import deflection_limits
from rackgen.strength.limits import Limit
from rackgen.strength.model import FrameModel
from rackgen.strength.plate_limits import plate_limits
from rackgen.strength.tube_limits import tube_limits


def member_limits(model: FrameModel, rack: Rack, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of tubes, bends, bars, plates, headers' walls, and of how far tubes move.

    Raises:
        RackgenError: a grade is not known; a line for each.
    """
    return (
        *tube_limits(model, rack, shop),
        *bent_limits(model, rack, shop),
        *bar_limits(model, rack, shop),
        *plate_limits(model, rack, shop),
        *chord_limits(model, rack, shop),
        *deflection_limits(model, rack),
    )
