"""Every check of what joins a rack and holds it to its vehicle: welds, rivets, skin, U-bolts, stops."""

from __future__ import annotations

from rackgen.parts.rack import Rack
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.bolt_limits import bolt_limits
from rackgen.strength.foot_limits import foot_limits
from rackgen.strength.limits import Limit
from rackgen.strength.model import FrameModel
from rackgen.strength.rivet_limits import rivet_limits
from rackgen.strength.skin_limits import skin_limits
from rackgen.strength.stop_limits import stop_limits
from rackgen.strength.u_bolt_limits import u_bolt_limits
from rackgen.strength.weld_limits import weld_limits

MAKERS = (weld_limits, rivet_limits, skin_limits, bolt_limits, u_bolt_limits, stop_limits, foot_limits)


def joint_limits(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of all joints.

    Raises:
        RackgenError: a strength or grade that is needed is not known.
    """
    return tuple(limit for maker in MAKERS for limit in maker(model, rack, vehicle, shop))
