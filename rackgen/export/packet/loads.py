"""Strength for the live view: how much is used of every piece, how it bends, and the places that use most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from rackgen.export.packet.scene import Record
from rackgen.parts.rack import PartId, Rack
from rackgen.strength.frame_drawing import BANDS, use_by_member
from rackgen.strength.most_used import most_used
from rackgen.strength.rated import Strength
from rackgen.strength.report import bent_case, member_moments
from rackgen.strength.report_rows import rating, share
from rackgen.strength.shop_words import in_shop_words, moment, moved
from rackgen.units import Unit

SHOWN = 0.05
"""Bent, the frame is drawn moved by at most this share of its size."""


USE_WORDS = ("to 25 %", "to 50 %", "to 75 %", "to 90 %", "over 90 %")

USE_TOLD = (
    "the most by the structure; 100 % is all that the factor of safety leaves. Tubes as they were reckoned, in "
    "straight pieces; other parts by the most used anywhere on them."
)


def loads(found: Strength, rack: Rack, radii: Mapping[PartId, float], unit: Unit) -> Record:
    """Return what the view needs to colour the rack by its strength.

    Args:
        found: the rating.
        rack: for the order of its parts.
        radii: outer radius of every tube, mm.
        unit: of the shop.
    """
    model = found.model
    at = {n.id: k for k, n in enumerate(model.nodes)}
    points = np.array([n.at for n in model.nodes])
    used = use_by_member(model, found.shares)
    case = bent_case(found)
    shifts = found.at_rating.moved[:, :3, case]
    moments = member_moments(found, case)
    steel = [k for k, m in enumerate(model.members) if m.kind in ("tube", "bar", "plate")]
    top = float(max((moments[k] for k in steel), default=0.0))
    most = float(np.linalg.norm(shifts, axis=1).max())
    titles = {c.id: c.title for c in model.cases}
    chains: dict[PartId, list[int]] = {}
    for k in steel:
        if model.members[k].part in radii:
            chains.setdefault(model.members[k].part, []).append(k)
    tubes: list[Record] = []
    for part, row in chains.items():
        row.sort(key=lambda k: model.members[k].from_a)
        tubes.append(
            {
                "part": part,
                "radius": round(radii[part], 2),
                "pieces": [
                    {
                        "a": at[model.members[k].a],
                        "b": at[model.members[k].b],
                        "use": round(used.get(model.members[k].id, 0.0), 4),
                        "moment": round(float(moments[k]) / top, 4) if top else 0.0,
                    }
                    for k in row
                ],
            }
        )
    listed = most_used(found.moving.used)
    return {
        "nodes": [[round(float(c), 2) for c in p] for p in points],
        "moved": [[round(float(c), 4) for c in s] for s in shifts],
        "times": _times(points, most),
        "most": moved(most, unit),
        "case": titles[model.cases[case].id],
        "at": rating(found.moving.structure, unit),
        "tubes": tubes,
        "flat": {p: round(u, 4) for p, u in _by_part(found).items() if p not in radii},
        "listed": [
            {
                "at": [round(float(c), 1) for c in u.at],
                "used": share(u.use),
                "what": in_shop_words(u.what, unit),
                "check": u.title,
                "case": titles.get(u.case, u.case),
                "parts": list(u.parts),
            }
            for u in listed
        ],
        "bands": [{"to": b.to if np.isfinite(b.to) else None, "colour": list(b.colour)} for b in BANDS],
        "use_words": list(USE_WORDS),
        "use_told": f"Share used at {rating(found.moving.structure, unit)} moving, {USE_TOLD}",
        "moment_told": f"Bending of the tubes at {rating(found.moving.structure, unit)} moving, in the case in which "
        f"the frame moves most: {titles[model.cases[case].id]}. It moves {moved(most, unit)} at most.",
        "moment_words": [f"to {moment(min(b.to, 1.0) * top, unit)}" for b in BANDS],
    }


def _by_part(found: Strength) -> Mapping[PartId, float]:
    """Return the most that is used of each part anywhere."""
    out: dict[PartId, float] = {}
    for one in found.shares:
        out[one.part] = max(out.get(one.part, 0.0), one.use)
    return out


def _times(points: Sequence[Sequence[float]] | np.ndarray, most: float) -> float:
    """Return by what a movement is multiplied so that it shows: a round number."""
    size = float(np.linalg.norm(np.ptp(np.asarray(points), axis=0)))
    if most <= 0.0:
        return 1.0
    wanted = SHOWN * size / most
    return float(next((t for t in (500, 200, 100, 50, 20, 10, 5, 2) if t <= wanted), 1))
