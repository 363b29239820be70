"""What must hold of every whole rack, by numbers alone: laws for the suite's samples and for the soak."""

from __future__ import annotations

import math
import re
from collections import Counter

import numpy as np
import pytest

from rackgen.errors import Level
from rackgen.made import Design
from rackgen.parts.kinds import CutPlate
from rackgen.parts.measure import centroid, mass
from rackgen.parts.rack import Placed
from rackgen.sheets.cutlist import cut_list

MIRRORED = 0.6
"""How far a part's middle may lie from its like's across the vehicle's middle, mm: vents look one way."""


def no_number_is_none(made: Design) -> None:
    for placed in made.rack.placed:
        f = placed.frame
        assert np.isfinite([*f.origin, *f.x, *f.y, *f.z]).all(), placed.id
        assert np.allclose(np.cross(f.x, f.y), f.z, atol=1e-6), placed.id
        assert math.isfinite(mass(placed.part)), placed.id
        assert mass(placed.part) > 0, placed.id
    for found in made.findings:
        assert all(n is None or math.isfinite(n) for n in (found.got, found.limit, *(found.at or ()))), found
        assert not re.search(r"\b(nan|inf|None)\b", f"{found.text} {found.help}"), found
        assert found.level is Level.NOTE or found.help, found
        named = [i for i in found.parts if "." in i or "[" in i]
        known = {p.id for p in made.rack.placed}
        assert found.code in NOWHERE or set(named) <= known, found


NOWHERE = {"no-place-for-pad"}
"""Findings about a part that could not be placed."""


def no_part_is_missing(made: Design) -> None:
    ids = [p.id for p in made.rack.placed]
    assert len(ids) == len(set(ids))
    for joint in made.rack.joints:
        assert joint.a.part in ids, joint
        assert joint.b.part in ids, joint
    words = Counter(p.word for p in made.rack.placed)
    spec = made.job.spec
    rings = {"basket": 2, "tray": 1, "deck": 0, "bars": 0}[spec.basket.kind] + (spec.sides.mid_rail == "ring")
    assert words["ring hoop"] == 2 * rings
    assert words["side rail"] == (2 if spec.basket.kind == "deck" else 0)
    assert bool(words["upright"]) == (spec.basket.kind == "basket")
    assert bool(words["slat"]) == (spec.floor.kind == "slats")
    assert bool(words["floor panel"]) == (spec.floor.kind in ("expanded metal", "perforated sheet"))
    frame, bent = spec.frame.kind, spec.frame.front_end == "bent"
    assert words["frame hoop"] == (frame != "bows" and bent)
    assert words["frame rail"] == (0 if frame in ("hoop", "bows") or bent else 2)
    assert words["front tube"] == (spec.frame.front_end == "mitred")
    assert words["rear tube"] == (spec.frame.rear_end == "mitred")
    stood = {i.split(".")[1] for i in ids if i.startswith("mount.")}
    if frame == "hoop":
        assert {m.name for m in (*made.job.vehicle.front, *made.job.vehicle.rear)} <= stood
    if frame == "bows":
        assert words["bow"] == len(stood) / 2 >= 2
        assert words["tie"] == (words["bow"] - 1) * len(spec.frame.ties)
    else:
        assert len(stood) >= 4
    # Whatever is not held by anything is a finding of its own.
    joined = {j.a.part for j in made.rack.joints} | {j.b.part for j in made.rack.joints}
    loose = set(ids) - joined
    said = {i for f in made.findings if f.code == "not-held" for i in f.parts}
    assert loose <= said, loose - said


def cut_list_is_conserved(made: Design) -> None:
    cuts, _ = cut_list(made.rack, made.job.shop)
    assert sum(line.quantity for line in cuts.lines) == len(made.rack.placed)
    total = sum(mass(p.part) for p in made.rack.placed)
    assert sum(line.quantity * line.mass for line in cuts.lines) == pytest.approx(total, rel=1e-6)


def sides_agree(made: Design) -> None:
    """Every part off the middle has a like across it: as heavy, as far out, as high, as far aft."""
    of: dict[str, list[tuple[float, np.ndarray]]] = {}
    for placed in made.rack.placed:
        # Fittings stand on the side that is asked for.
        if not turned_about(placed) and not placed.id.startswith("fitting["):
            of.setdefault(placed.word, []).append((mass(placed.part), middle(placed)))
    for word, found in of.items():
        masses, at = np.array([m for m, _ in found]), np.array([p for _, p in found])
        for weight, here in found:
            off = np.linalg.norm(at - here * np.array([1.0, -1.0, 1.0]), axis=1)
            like = (off <= MIRRORED) & (np.abs(masses - weight) <= 1e-3 * weight)
            assert like.any(), f"{word} at {here} has no like on the other side"


def middle(placed: Placed) -> np.ndarray:
    return np.asarray(placed.frame.point(centroid(placed.part)))


def turned_about(placed: Placed) -> bool:
    """Return whether it is a side plate with letters or a picture, which reads the same on both sides."""
    part = placed.part
    return isinstance(part, CutPlate) and any(all(v.bulge == 0 for v in o) for o in part.openings)


LAWS = (no_number_is_none, no_part_is_missing, cut_list_is_conserved, sides_agree)
"""All of them; each raises AssertionError where it does not hold."""
