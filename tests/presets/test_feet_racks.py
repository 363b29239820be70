"""Whole racks on feet of every kind: ladder frames on a vehicle that has nothing else to stand on."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from foot_racks import BED_RAIL, GUTTER, THREADS, TRACK, demo, mirrored

from rackgen import job
from rackgen.errors import Level
from rackgen.made import Design
from rackgen.parts.kinds import BoltShape, Bought
from rackgen.spec.foot_place import FootKind, FootPlace, kind_of
from rackgen.spec.rack import FrameWish, MountWish
from rackgen.strength.frame_model import frame_model

pytestmark = pytest.mark.racks


def _pairs(kind: FootKind) -> tuple[FootPlace, ...]:
    """Give two pairs of a kind under the rails of a half-length rack on the demo's vehicle."""
    out: list[FootPlace] = []
    for k, x in enumerate((220.0, 1000.0)):
        place: FootPlace
        match kind:
            case "gutter":
                place = dataclasses.replace(GUTTER, at=(x, 640.0, -60.0), pitch=0.0, zone=60.0)
            case "threads":
                apart = 80.0 if k == 0 else 0.0
                place = dataclasses.replace(THREADS, at=(x, 560.0, -30.0), pitch=0.0, roll=4.0, apart=apart)
            case "track":
                place = dataclasses.replace(TRACK, at=(x, 560.0, -10.0), pitch=0.0)
            case _:
                place = dataclasses.replace(BED_RAIL, at=(x, 720.0, -60.0), pitch=0.0, pockets=())
        place = dataclasses.replace(place, name=f"{kind.replace(' ', '_')}_{k + 1}_right")
        out += [mirrored(place), place]
    return tuple(out)


def _made(kind: FootKind) -> Design:
    given = demo()
    vehicle = dataclasses.replace(given.vehicle, front=(), rear=(), feet=_pairs(kind))
    wish = FrameWish(kind="ladder")
    spec = dataclasses.replace(given.spec, frame=wish, mounts=MountWish(front=kind, rear=kind), waivers=())
    return job.checked(job.design(dataclasses.replace(given, spec=spec, vehicle=vehicle)))


@pytest.mark.parametrize("kind", ["gutter", "threads", "track", "bed rail"])
def test_a_ladder_stands_on_feet_of_a_kind_and_nothing_is_a_stop(kind: FootKind) -> None:
    made = _made(kind)
    assert [f for f in made.findings if f.level is Level.STOP] == []
    vehicle = made.job.vehicle
    assert {kind_of(p) for p in vehicle.feet} == {kind}
    for place in vehicle.feet:
        mine = [p for p in made.rack.placed if p.id.startswith(f"mount.{place.name}.")]
        assert any(isinstance(p.part, Bought) and isinstance(p.part.shape, BoltShape) for p in mine), place.name
        assert any(p.word == "saddle" for p in mine), place.name
    # All that holds the frame is its feet's bolts, one support each.
    model = frame_model(made.rack, vehicle)
    bolts = {p.id for p in made.rack.placed if p.word == "bolt"}
    assert {s.part for s in model.supports} == bolts
    assert {s.mount for s in model.supports} == {p.name for p in vehicle.feet}
    # Left and right are held alike.
    at = {n.id: np.asarray(n.at) for n in model.nodes}
    held = np.array([at[s.node] for s in model.supports])
    for point in held:
        assert float(np.linalg.norm(held - point * (1.0, -1.0, 1.0), axis=1).min()) < 1.0
