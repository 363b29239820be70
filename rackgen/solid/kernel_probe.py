# pyright: reportMissingTypeStubs=false, reportAttributeAccessIssue=false, reportUnknownVariableType=false
# pyright: reportUnknownMemberType=false, reportUnknownArgumentType=false
"""What the kernel says about a finished shape: volume, validity, box, and where a line first meets it."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.gp import gp_Dir, gp_Lin, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector

from rackgen.geom.frame import Array
from rackgen.solid.kernel import Solid, refusal


def bulk(shape: Solid) -> tuple[float, Array]:
    """Return the volume in mm³ and the centre of it in mm, by quadrature that adapts to 1e-6.

    The kernel's plain quadrature, which cadquery's `Shape.Volume` uses, is off by up to 1e-2 on copes.
    """
    properties = GProp_GProps()
    with refusal("a volume"):
        BRepGProp.VolumeProperties_s(shape.shape, properties, 1e-6, False, False)
    centre = properties.CentreOfMass()
    return properties.Mass(), np.array([centre.X(), centre.Y(), centre.Z()])


def volume(shape: Solid) -> float:
    """Return the volume, mm³; see `bulk`."""
    return bulk(shape)[0]


def is_valid(shape: Solid) -> bool:
    """Return whether the kernel's own check finds nothing wrong; it does not see an end left uncut."""
    with refusal("a check"):
        return BRepCheck_Analyzer(shape.shape).IsValid()


def box(shape: Solid) -> tuple[Array, Array]:
    """Return the least and the largest corner of the shape's box, mm, without the kernel's usual margin."""
    bounds = Bnd_Box()
    with refusal("a bounding box"):
        BRepBndLib.AddOptimal_s(shape.shape, bounds, False, False)
        low, high = bounds.CornerMin(), bounds.CornerMax()
    return np.array([low.X(), low.Y(), low.Z()]), np.array([high.X(), high.Y(), high.Z()])


def first_hits(shape: Solid, starts: Iterable[ArrayLike], direction: ArrayLike) -> Array:
    """Return how far lines run from their starts along a unit direction until they meet the shape, mm; inf if never."""
    x, y, z = (float(c) for c in np.asarray(direction))
    along = gp_Dir(x, y, z)
    found: list[float] = []
    with refusal("lines through a shape"):
        faces = IntCurvesFace_ShapeIntersector()
        faces.Load(shape.shape, 1e-7)
        for start in starts:
            px, py, pz = (float(c) for c in np.asarray(start))
            faces.Perform(gp_Lin(gp_Pnt(px, py, pz), along), 0.0, 1e5)
            hits = [faces.WParameter(i) for i in range(1, faces.NbPnt() + 1)]
            found.append(min(hits, default=math.inf))
    return np.array(found)
