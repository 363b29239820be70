"""Plates on the roof held by rivets, by bolts into rivet nuts, or by bolts through backing strips."""

from __future__ import annotations

import dataclasses

import pytest
from foot_racks import demo

from rackgen.check.bodies import bodies
from rackgen.check.interference import interference_findings
from rackgen.check.reach import reach_findings
from rackgen.design.build import layout
from rackgen.errors import BadInput, Finding, Level
from rackgen.parts.kinds import BoltShape, Bought, CutPlate, RivetShape
from rackgen.parts.rack import Rack
from rackgen.parts.resolve import resolve
from rackgen.sheets.installation import installation
from rackgen.spec.rack import Fastener
from rackgen.spec.read import Job, read_job
from rackgen.strength.foot_limits import foot_limits
from rackgen.strength.frame_model import frame_model


def _built(fastener: Fastener, job: Job | None = None) -> tuple[Rack, tuple[Finding, ...]]:
    job = job or demo()
    spec = dataclasses.replace(job.spec, mounts=dataclasses.replace(job.spec.mounts, fastener=fastener))
    return resolve(layout(spec, job.shop, job.vehicle))


def _of_front(rack: Rack, shape: type) -> list[str]:
    return [
        p.id for p in rack.placed
        if p.id.startswith("mount.front") and isinstance(p.part, Bought) and isinstance(p.part.shape, shape)
    ]  # fmt: skip


@pytest.mark.parametrize("fastener", ["rivets", "rivet nuts", "bolts"])
def test_each_fastener_fills_every_hole_of_its_plates(fastener: Fastener) -> None:
    rack, findings = _built(fastener)
    holes = sum(len(p.part.holes) for p in rack.placed if p.word == "mount plate" and isinstance(p.part, CutPlate))
    rivets, bolts = _of_front(rack, RivetShape), _of_front(rack, BoltShape)
    assert (len(rivets), len(bolts)) == ((holes, 0) if fastener == "rivets" else (0, holes))
    assert not [f for f in findings if f.level is Level.STOP]
    assert interference_findings(rack, bodies(rack)) == []


def test_rivet_nuts_are_drilled_for_their_bodies_and_the_plate_for_the_bolts() -> None:
    rack, _ = _built("rivet nuts")
    plate = rack.part("mount.front_left.plate").part
    assert isinstance(plate, CutPlate)
    assert {h.diameter for h in plate.holes} == {6.6}
    found = installation(rack, demo().shop, demo().vehicle)
    front = [h for m in found.mounts if m.kind == "roof" for h in m.holes]
    assert {h.drill for h in front} == {9.0}
    assert {h.fastener for h in front} == {"M6 8.8 × 16 mm, closed-end rivet nut M6"}
    assert {d.torque for m in found.mounts if m.kind == "roof" for d in m.drawn} == {7.0}


def test_backing_strips_lie_under_the_skin_with_the_plates_holes() -> None:
    rack, _ = _built("bolts")
    for side in ("left", "right"):
        name = f"mount.front_{side}"
        plate = rack.part(f"{name}.plate")
        strips = [p for p in rack.placed if p.id.startswith(f"{name}.backing")]
        assert isinstance(plate.part, CutPlate)
        count = sum(len(s.part.holes) for s in strips if isinstance(s.part, CutPlate))
        assert count == len(plate.part.holes)
        for bolt in (p for p in rack.placed if p.id.startswith(f"{name}.bolt")):
            assert isinstance(bolt.part, Bought)
            assert isinstance(bolt.part.shape, BoltShape)
            shape = bolt.part.shape
            # Plate 4, bed 1.5, skin 0.8, strip 4.
            assert shape.grip == pytest.approx(4.0 + demo().shop.bedding + 0.8 + 4.0)
            near = min(
                abs(float(bolt.frame.to_local(s.frame.point((h.x, h.y, z)))[2]) + shape.grip)
                for s in strips if isinstance(s.part, CutPlate)
                for h in s.part.holes for z in (0.0, s.part.thickness)
                if float(abs(bolt.frame.to_local(s.frame.point((h.x, h.y, z)))[:2]).max()) < 0.05
            )  # fmt: skip
            assert near < 0.01


def test_bolts_do_not_go_into_a_closed_pillar_and_rivet_nuts_do() -> None:
    job = demo()
    front = tuple(dataclasses.replace(m, under="pillar") for m in job.vehicle.front)
    closed = dataclasses.replace(job, vehicle=dataclasses.replace(job.vehicle, front=front))
    assert [f.code for f in _built("bolts", closed)[1]].count("nut-inside-closed") == 2
    assert "nut-inside-closed" not in [f.code for f in _built("rivet nuts", closed)[1]]


def test_backing_makes_bare_skin_good() -> None:
    job = demo()
    front = tuple(dataclasses.replace(m, under="skin") for m in job.vehicle.front)
    bare = dataclasses.replace(job, vehicle=dataclasses.replace(job.vehicle, front=front))
    for fastener, stops in (("rivets", 2), ("rivet nuts", 2), ("bolts", 0)):
        rack, _ = _built(fastener, bare)
        assert [f.code for f in reach_findings(rack, bare.vehicle)].count("bare-skin") == stops, fastener


def test_without_rivet_nuts_on_the_shelf_they_are_refused_by_mount() -> None:
    job = demo()
    empty = dataclasses.replace(job, shop=dataclasses.replace(job.shop, rivet_nuts=()))
    with pytest.raises(BadInput) as told:
        _built("rivet nuts", empty)
    assert "front_left" in told.value.mistakes[0].wanted


def test_a_rivet_nut_holds_no_more_than_its_skin() -> None:
    rack, _ = _built("rivet nuts")
    model = frame_model(rack, demo().vehicle)
    limits = {lim.id: lim for lim in foot_limits(model, rack, demo().vehicle, demo().shop)}
    # AISI S100 pull-over with a body of 9 mm: 1.5 · 0.8 · 9 · 270 = 2.9 kN, far under the nut's proof of 16.5 kN.
    assert {s.bears for s in limits["foot-thread"].spots} == {"2916 N, rivet nut in skin of 0.8 mm"}
    assert len(limits["foot-bolt"].spots) == len(_of_front(rack, BoltShape))


def test_backing_strips_of_a_broken_plate_end_before_the_next_flats() -> None:
    """On a roof that falls away fore and aft and across, each hole may get a strip of its own."""
    job = read_job("market-gardener")
    rack, findings = resolve(layout(job.spec, job.shop, job.vehicle))
    assert any(p.word == "mount plate" and isinstance(p.part, CutPlate) and p.part.breaks for p in rack.placed)
    assert sum(p.word == "backing strip" for p in rack.placed) > 4
    assert not [f for f in findings if f.level is Level.STOP]
    assert interference_findings(rack, bodies(rack)) == []
