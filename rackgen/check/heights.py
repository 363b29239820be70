"""How high it all stands, against garage and trailer, and what of it the driver sees ahead."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from rackgen.check.bodies import Body
from rackgen.errors import Finding, Level
from rackgen.mesh.triangles import triangles
from rackgen.parts.rack import PartId
from rackgen.spec.keepouts import Eye, Heights

HEADROOM = 50.0
"""Least room over the rack when it drives in, mm: the vehicle nods (common practice, no source)."""


CARRIES = (
    ("basket.floor", "the floor of the basket"),
    ("basket.lower.", "the basket's bearers"),
    ("frame.", "the bars"),
)
"""What a load lies on, by the first words of part ids: a floor, else a basket's bearers, else the frame's bars."""


@dataclass(frozen=True)
class Standing:
    """Overall heights over the floor, mm.

    Attributes:
        unladen: of the rack's top as the vehicle stood when it was measured; what the rack's own weight presses down
            is left out, on the safe side.
        laden: of the rack or its load, whichever is higher, sunk under the load.
        load: kg.
        load_height: of the load over what it lies on.
        on: what that is, in words.
    """

    unladen: float
    laden: float
    load: float
    load_height: float
    on: str = CARRIES[0][1]


@dataclass(frozen=True)
class Seen:
    """What of the rack shows ahead of the driver.

    Attributes:
        part: whose place shows lowest.
        angle: above the horizon in the side view, degrees.
        glass: up to which angle the windscreen goes, or None when that was not measured.
        shows: whether it is below both that and the field that is asked for.
    """

    part: PartId
    angle: float
    glass: float | None
    shows: bool


def standing(of: Mapping[PartId, Body], heights: Heights) -> Standing:
    """Return the overall heights of a rack on its vehicle."""
    top = max((float(b.high[2]) for b in of.values()), default=0.0)
    carries = ((words, [float(b.high[2]) for part, b in of.items() if part.startswith(on)]) for on, words in CARRIES)
    on, tops = next(((words, tops) for words, tops in carries if tops), ("the rack", [top]))
    floor = max(tops)
    high = max(top, floor + heights.load_height if heights.load else top)
    sunk = heights.sag_per_100kg * heights.load / 100
    base = heights.floor_to_datum
    return Standing(base + top, base + high - sunk, heights.load, heights.load_height, on)


def height_findings(of: Mapping[PartId, Body], heights: Heights) -> list[Finding]:
    """Return where the rack, or its load, does not pass."""
    found = standing(of, heights)
    out: list[Finding] = []
    for name, clear, key in (
        ("garage", heights.garage, "heights.garage"), ("trailer", heights.trailer, "heights.trailer")
    ):  # fmt: skip
        if clear is None:
            continue
        for state, high in (("empty", found.unladen), (f"with {found.load:.0f} kg on it", found.laden)):
            room = clear - high
            if room >= HEADROOM or (state != "empty" and not found.load):
                continue
            out.append(
                Finding(
                    f"too-high-for-{name}",
                    Level.STOP if room < 0 else Level.LOOK,
                    (),
                    f"{state} the vehicle stands {high:.0f} mm high with its rack; the {name} has {clear:.0f} mm",
                    got=room,
                    limit=HEADROOM,
                    keys=(key, *_lowered_by(of)),
                    help=_lower(of, math.ceil(HEADROOM - room), laden=state != "empty" and found.laden > found.unladen),
                )
            )
    return out


def _lowered_by(of: Mapping[PartId, Body]) -> tuple[str, ...]:
    """Return the keys of the rack file that a rack's height goes by; none where the roof alone decides."""
    ringed = any(part.startswith("basket.upper.") for part in of)
    posted = any(b.placed.word == "post" for b in of.values())
    return (*(("basket.height",) if ringed else ()), *(("frame.height",) if posted else ()))


def _lower(of: Mapping[PartId, Body], by: int, *, laden: bool) -> str:
    """Return the cures for a rack, or its load, that stands too high by so many mm."""
    keys = _lowered_by(of)
    cures = [f"pack the load {by} mm lower"] if laden else []
    # A basket's rim does not carry what stands on its floor.
    cures += [f"make the basket {by} mm lower"] if "basket.height" in keys and not laden else []
    cures += [f"make the bed frame {by} mm lower"] if "frame.height" in keys else []
    return ", or ".join([*cures, "unload it before driving in" if laden else "take the rack off before driving in"])


def seen(of: Mapping[PartId, Body], eye: Eye) -> Seen | None:
    """Return what shows lowest ahead of the driver, or None where all of the rack is behind the eye."""
    x, _, z = eye.at
    best: tuple[float, PartId] | None = None
    for part, one in of.items():
        if float(one.low[0]) >= x - 1:
            continue
        p = one.placed.frame.points(triangles(one.placed.part).vertices)
        p = p[p[:, 0] < x - 1]
        angle = float(np.degrees(np.arctan2(p[:, 2] - z, x - p[:, 0])).min())
        if best is None or angle < best[0]:
            best = angle, part
    if best is None:
        return None
    glass = None
    if eye.glass_top is not None:
        glass = math.degrees(math.atan2(eye.glass_top[2] - z, x - eye.glass_top[0]))
    field = eye.look_up if glass is None else min(eye.look_up, glass)
    return Seen(best[1], best[0], glass, best[0] < field)


def view_findings(of: Mapping[PartId, Body], eye: Eye) -> list[Finding]:
    """Return a note where the rack shows in the driver's view ahead."""
    found = seen(of, eye)
    if found is None or not found.shows:
        return []
    return [
        Finding(
            "in-drivers-view",
            Level.NOTE,
            (found.part,),
            f"the rack shows ahead of the driver from {found.angle:.1f} degrees above the horizon; "
            f"up to {eye.look_up:g} degrees is looked at",
            got=found.angle,
            limit=eye.look_up,
            unit="deg",
            keys=("eye", "frame.front"),
            help="move the rack's front back, or raise it, until it is out of sight",
        )
    ]
