"""Feet: what stands on the vehicle at a place, and the face that it offers to the stub above it.

A foot is plates, bars, bedding and fasteners with the joints between them. The frame's builder stands a tube on its
face, its end A cut to the face and welded there, its end B coped to the frame.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from rackgen.design.feet.plate import plate_foot
from rackgen.design.feet.record import Foot, Header
from rackgen.design.site import Site
from rackgen.spec.foot_place import FootKind, FootPlace, kind_of

__all__ = ["FEET", "Foot", "Footer", "Header", "foot"]

Footer = Callable[[Site, FootPlace, Header], Foot]

FEET: Mapping[FootKind, Footer] = {
    "roof": plate_foot,
}
"""Builders of feet, by what they stand on."""


def foot(site: Site, place: FootPlace, header: Header) -> Foot:
    """Return the foot at a place under a tube of the frame."""
    return FEET[kind_of(place)](site, place, header)
