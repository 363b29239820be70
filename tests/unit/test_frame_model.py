"""A rack as beams: what is in it, what hangs together, what it weighs, and where load comes onto it."""

from __future__ import annotations

from collections import defaultdict
from functools import cache

import numpy as np
import pytest

from rackgen.job import design
from rackgen.made import Design
from rackgen.parts import measure
from rackgen.parts.kinds import BentTube, Bought, RivetShape
from rackgen.parts.resolve import anchor_point
from rackgen.spec.read import read_job
from rackgen.strength.frame_model import frame_model
from rackgen.strength.model import FrameModel

SHIPPED = ("demo", "survey-crew")


@cache
def made(name: str) -> Design:
    return design(read_job(name))


@cache
def model(name: str) -> FrameModel:
    return frame_model(made(name).rack, made(name).job.vehicle)


def lengths(frame: FrameModel) -> dict[str, float]:
    at = {n.id: np.asarray(n.at) for n in frame.nodes}
    return {m.id: float(np.linalg.norm(at[m.b] - at[m.a])) for m in frame.members}


@pytest.mark.parametrize("name", SHIPPED)
def test_what_the_model_weighs_is_what_the_rack_weighs(name: str) -> None:
    frame, rack = model(name), made(name).rack
    long = lengths(frame)
    along = {p.id: measure.centre_length(p.part) for p in rack.placed if isinstance(p.part, BentTube)}
    assert along
    mass = sum(m.mass_per_mm * long[m.id] for m in frame.members) + sum(lump.mass for lump in frame.lumps)
    # Chords are a little shorter than their arcs.
    assert mass == pytest.approx(sum(measure.mass(p.part) for p in rack.placed), rel=5e-4)


@pytest.mark.parametrize("name", SHIPPED)
def test_every_carrying_part_hangs_on_the_vehicle(name: str) -> None:
    frame = model(name)
    near: dict[str, set[str]] = defaultdict(set)
    for m in frame.members:
        near[m.a].add(m.b)
        near[m.b].add(m.a)
    reached, open_ = set(), [frame.supports[0].node]
    while open_:
        node = open_.pop()
        if node not in reached:
            reached.add(node)
            open_ += near[node]
    assert {n.id for n in frame.nodes} == reached


@pytest.mark.parametrize("name", SHIPPED)
def test_every_rivet_is_held_by_its_own_mount(name: str) -> None:
    frame, rack = model(name), made(name).rack
    rivets = {p.id for p in rack.placed if isinstance(p.part, Bought) and isinstance(p.part.shape, RivetShape)}
    assert {s.part for s in frame.supports} == rivets
    assert all(s.part.startswith(f"mount.{s.mount}.") for s in frame.supports)


@pytest.mark.parametrize("name", SHIPPED)
def test_an_arm_is_as_long_as_its_two_centrelines_are_apart(name: str) -> None:
    frame, rack = model(name), made(name).rack
    members, long = {p.id: p for p in rack.placed}, lengths(frame)
    arms = {m.joint: long[m.id] for m in frame.members if m.kind == "link"}
    coped = [j for j in rack.joints if j.kind == "coped weld"]
    assert coped
    for joint in coped:
        apart = np.linalg.norm(np.subtract(anchor_point(joint.a, members), anchor_point(joint.b, members)))
        # Of two stations that are nearly one only one is kept.
        assert arms[joint.id] == pytest.approx(float(apart), abs=0.3)


@pytest.mark.parametrize("name", SHIPPED)
def test_no_member_turns_a_corner_and_none_is_a_speck(name: str) -> None:
    frame, long = model(name), lengths(model(name))
    assert min(long.values()) > 0.5
    for m in frame.members:
        if m.bend:
            turned = np.degrees(long[m.id] / m.bend)
            # A station that something is joined at takes the place of a near one of the arc.
            assert turned < (40.0 if m.kind == "bar" else 6.6)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_floor_lies_on_tubes_across_and_is_counted_once(name: str) -> None:
    frame, long, rack = model(name), lengths(model(name)), made(name).rack
    area = sum(d.width * long[d.member] for d in frame.places.floor)
    spec = made(name).job.spec.basket
    # Between the rings' axes, less the corners of the ring's bends that only a bearer's end reaches.
    assert 0.9 < area / (spec.width * spec.length) < 1.0
    parts = {m.id: m.part for m in frame.members}
    words = {p.id: p.word for p in rack.placed}
    assert {words[parts[d.member]] for d in frame.places.floor} == {"bearer", "ring hoop"}


def test_straps_may_be_hooked_where_an_upright_meets_the_upper_ring() -> None:
    ties = dict(model("demo").places.ties)
    assert len(ties) == 8
    assert all(node.startswith("basket.upper.") for node in ties.values())


def test_a_rigid_body_is_said_to_be_rigid() -> None:
    stiff = frame_model(made("demo").rack, made("demo").job.vehicle, rigid=True)
    assert all(np.isinf(s.stiffness[2]) for s in stiff.supports)
    assert all(np.isfinite(s.stiffness[2]) for s in model("demo").supports)
