"""Where the header that a tube end is coped to stands, in the tube's own frame."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.geom.cope import Cope
from rackgen.geom.frame import Array, Frame, clock_direction


@dataclass(frozen=True, eq=False)
class CopeAxes:
    """The axes of one cope; unit directions.

    Attributes:
        along: the header's direction, leaning into the tube at the acute side.
        toward: square to the header, toward the tube's body.
        across: square to both axes, at clock + 90.
        origin: on the header's axis, beside the crossing, mm.
    """

    along: Array
    toward: Array
    across: Array
    origin: Array


def cope_axes(end: Frame, inward: float, cut: Cope) -> CopeAxes:
    """Return the axes of a cut.

    Args:
        end: the tube's frame at its sawn end.
        inward: 1 where the frame's +X points into the tube (end A), -1 where it points out of it (end B).
        cut: the cope.
    """
    into = np.array(end.x) * inward
    acute = np.array(end.direction(clock_direction(cut.clock)))
    across = np.array(end.direction(clock_direction(cut.clock + 90.0)))
    lean = math.radians(cut.angle)
    return CopeAxes(
        math.cos(lean) * into + math.sin(lean) * acute,
        math.sin(lean) * into - math.cos(lean) * acute,
        across,
        np.array(end.origin) - cut.at * into - cut.offset * across,
    )
