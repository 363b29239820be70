"""How fast a loaded rack swings by itself, and the tone of the wind on its leading tube.

Masses stand at the nodes; a load on the floor is taken as lying on it, spread by area, and stiffens nothing.
"""

# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.sparse import linalg

from rackgen.geom.frame import Array
from rackgen.parts.rack import Rack
from rackgen.refs.registry import number
from rackgen.strength.deflection import Stretch, stretches
from rackgen.strength.model import FrameModel

SMALL = 12
"""Ways to move up to which every column is worked out instead of iterating."""

ACROSS = 0.9
"""A stretch whose direction has this much of Y lies across the wind."""

HINGED, BUILT_IN = math.pi**2, 22.3733
"""First roots of a beam's own swing, hinged and built in at its ends: f = root / 2π · √(E I / m L⁴) (Roark, from
memory)."""


def node_masses(model: FrameModel, payload: float) -> Array:
    """Return the mass at each node, kg: of the members by halves, of what is not modelled, of the load by area.

    Args:
        model: the frame.
        payload: kg; on the floor, or on the cross bars where there is none.
    """
    numbers = {n.id: i for i, n in enumerate(model.nodes)}
    out = np.zeros(len(model.nodes))
    length: dict[str, float] = {}
    ends: dict[str, tuple[int, int]] = {}
    for m in model.members:
        a, b = numbers[m.a], numbers[m.b]
        length[m.id] = math.dist(model.nodes[a].at, model.nodes[b].at)
        ends[m.id] = a, b
        for node in (a, b):
            out[node] += m.mass_per_mm * length[m.id] / 2
    for lump in model.lumps:
        out[numbers[lump.node]] += lump.mass
    decks = model.places.floor or model.places.bars
    wide = any(d.width > 0 for d in decks)
    areas = {d.member: length[d.member] * (d.width if wide else 1.0) for d in decks}
    whole = sum(areas.values())
    for member, area in areas.items():
        for node in ends[member]:
            out[node] += payload * area / whole / 2
    return out


def first_frequency(moved: Callable[[Array], Array], masses: Array) -> float | None:
    """Return the first natural frequency of a frame, Hz; None without mass that can move.

    The largest root of M½ K⁻¹ M½ by Lanczos; K⁻¹ is asked of the solver's own factor.

    Args:
        moved: gives how nodes move under forces on them, both (nodes, 6, columns), mm and N: `Frame.moved` of
            `rackgen.strength.solve`.
        masses: at the nodes, kg.
    """
    root = np.repeat(np.sqrt(masses / 1000.0), 3)
    here = np.flatnonzero(root)
    if not len(here):
        return None

    def columns(x: Array) -> Array:
        force = np.zeros((len(masses), 6, x.shape[1]))
        flat = np.zeros((3 * len(masses), x.shape[1]))
        flat[here] = root[here, None] * x
        force[:, :3] = flat.reshape(len(masses), 3, -1)
        return root[here, None] * moved(force)[:, :3].reshape(3 * len(masses), -1)[here]

    if len(here) <= SMALL:
        largest = float(np.linalg.eigvalsh(columns(np.eye(len(here))))[-1])
    else:
        count = len(here)
        sparse: Any = linalg

        def column(x: Array) -> Array:
            return columns(x.reshape(-1, 1))[:, 0]

        one = sparse.LinearOperator((count, count), matvec=column, matmat=columns, dtype=np.float64)
        # A stated begin, uneven so that it is square to no way of swinging, keeps the answer the same every time.
        begin = 1.0 + 0.5 * np.sin(1.0 + np.arange(count))
        largest = float(sparse.eigsh(one, k=1, which="LA", v0=begin, return_eigenvectors=False, tol=1e-9)[0])
    return None if largest <= 0 else 1 / (2 * math.pi * math.sqrt(largest))


def beam_frequencies(e: float, i: float, mass_per_mm: float, length: float) -> tuple[float, float]:
    """Return a beam's first own frequency with hinged and with built-in ends, Hz.

    Args:
        e: Young's modulus, MPa.
        i: second moment of area, mm⁴.
        mass_per_mm: kg/mm.
        length: mm.
    """
    base = math.sqrt(1000 * e * i / (mass_per_mm * length**4)) / (2 * math.pi)
    return HINGED * base, BUILT_IN * base


def tone(speed: float, od: float) -> float:
    """Return how often eddies leave a round tube, Hz: 0.2 v / D.

    Args:
        speed: of the wind across it, km/h.
        od: mm.
    """
    return number("strouhal").value * speed / 3.6 / (od / 1000)


def vortex(model: FrameModel, rack: Rack, speed: float = 100.0) -> str:
    """Return a sentence on the wind's tone at the leading cross tube, "" when there is none.

    Args:
        model: the frame; X aft.
        rack: names its parts.
        speed: of the wind, km/h.
    """
    leading = _leading(model)
    if leading is None:
        return ""
    m = model.members[leading.members[0]]
    placed = next((p for p in rack.placed if p.id == m.part), None)
    section = getattr(getattr(placed, "part", None), "section", None)
    if placed is None or section is None or m.mass_per_mm <= 0:
        return ""
    low, high = beam_frequencies(m.elastic.e, m.properties.iy, m.mass_per_mm, leading.span)
    first, last = (f / tone(1.0, section.od) for f in (low, high))
    return (
        f"Wind at {speed:.0f} km/h sheds eddies from the leading {placed.word} "
        f"{tone(speed, section.od):.0f} times a second (0.2 v / D, from memory); its straight {leading.span:.0f} mm "
        f"would swing by itself about {low:.0f} (hinged) to {high:.0f} (built in) times a second, which wind of "
        f"{first:.0f} to {last:.0f} km/h would meet: if it hums there, wrap a spiral of cord round it or set a fairing "
        "before it."
    )


def _leading(model: FrameModel) -> Stretch | None:
    """Return the foremost stretch of tube across, the longest of those in front."""
    at = np.array([n.at for n in model.nodes])
    rows: list[tuple[float, float, int]] = []
    found = stretches(model)
    for k, x in enumerate(found):
        way = (at[x.end] - at[x.begin]) / x.span
        if abs(way[1]) > ACROSS:
            rows.append((round(float(at[x.begin][0] + at[x.end][0]) / 2, 0), -x.span, k))
    return found[min(rows)[2]] if rows else None
