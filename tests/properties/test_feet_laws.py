"""Feet over random shops and vehicles: whatever validates gives a foot that is whole, or says what cannot be made."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from foot_racks import demo, site_with, standing
from hypothesis import given, settings

from rackgen.check.bodies import bodies
from rackgen.check.interference import interference_findings
from rackgen.check.landing import landing_findings
from rackgen.design.choose import choose
from rackgen.design.site import Site
from rackgen.errors import BadInput, Finding, Level
from rackgen.geom.frame import Vec
from rackgen.parts.canonical import canonical, mirror
from rackgen.parts.kinds import Bought
from rackgen.parts.measure import mass
from rackgen.parts.rack import Rack
from rackgen.spec.foot_place import FootPlace
from rackgen.spec.read import Job
from tests.whole_design import AS_DRAWN, Whole, read, wholes

WITH_FEET = wholes(kinds=1, bases=("slipway-mm",))
"""A shop, a vehicle with places for feet, and a rack that is not asked for here."""


def _read(whole: Whole) -> Job:
    with TemporaryDirectory() as folder:
        return read(whole, Path(folder))


def _site(job: Job) -> Site:
    """Give the drawn shop and vehicle with the demo's rack over them: feet ask of a rack only which way is up."""
    return Site(demo().spec, job.shop, job.vehicle, choose(demo().spec, job.shop), site_with().plan)


def _made(site: Site, place: FootPlace, way: Vec) -> tuple[Rack, tuple[Finding, ...]] | BadInput:
    try:
        return standing(site, place, way)
    except BadInput as refusal:
        return refusal


@settings(max_examples=30, phases=AS_DRAWN)
@given(WITH_FEET)
def test_a_foot_is_whole_or_says_why_not(whole: Whole) -> None:
    job = _read(whole)
    site = _site(job)
    for place in job.vehicle.feet:
        for way in ((0.0, 1.0, 0.0), (1.0, 0.0, 0.0)):
            made = _made(site, place, way)
            if isinstance(made, BadInput):
                assert all(m.key and place.name in m.wanted for m in made.mistakes)
                continue
            rack, findings = made
            assert all(f.help and f.keys for f in findings if f.code != "cope-too-deep"), findings
            for placed in rack.placed:
                f = placed.frame
                assert np.isfinite([*f.origin, *f.x, *f.y, *f.z]).all(), placed.id
                assert mass(placed.part) > 0, placed.id
            if not [f for f in findings if f.level is Level.STOP]:
                of = bodies(rack)
                assert interference_findings(rack, of) == []
                assert landing_findings(rack, of) == []


@settings(max_examples=30, phases=AS_DRAWN)
@given(WITH_FEET)
def test_left_and_right_are_mirror_images(whole: Whole) -> None:
    job = _read(whole)
    site = _site(job)
    for place in (p for p in job.vehicle.feet if p.at[1] > 0):
        other = next(p for p in job.vehicle.feet if p.name == place.name.replace("right", "left"))
        pair = [_made(site, p, (0.0, 1.0, 0.0)) for p in (place, other)]
        if any(isinstance(made, BadInput) for made in pair):
            assert all(isinstance(made, BadInput) for made in pair)
            continue
        (right, left) = (made[0] for made in pair if not isinstance(made, BadInput))
        for one in right.placed:
            like = left.part(one.id.replace("right", "left"))
            if not isinstance(one.part, Bought):
                assert canonical(mirror(one.part))[0] == canonical(like.part)[0], one.id
            np.testing.assert_allclose(mass(one.part), mass(like.part), rtol=1e-9)
