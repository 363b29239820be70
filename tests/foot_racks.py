"""Feet by themselves: one foot of each kind with a stub up to a piece of cross bar, and pairs of them."""

from __future__ import annotations

import dataclasses
from functools import cache
from pathlib import Path

import numpy as np

from rackgen.design.choose import choose
from rackgen.design.foot import Header, face_at, foot
from rackgen.design.plan import plan
from rackgen.design.site import Site, straight
from rackgen.errors import Finding
from rackgen.geom.frame import Frame, Vec, vec
from rackgen.parts.place import along
from rackgen.parts.rack import AtEnd, Group, Joint, Layout, Rack
from rackgen.parts.resolve import resolve
from rackgen.spec.foot_place import BedRailPlace, FootPlace, GutterPlace, ThreadsPlace, TrackPlace
from rackgen.spec.read import Job, read_job

GUTTER = GutterPlace("gutter_right", (500.0, 640.0, -60.0), 0.5, 22.0, 12.0, 3.0, 25.0, 200.0)
THREADS = ThreadsPlace("threads_right", (300.0, 560.0, -30.0), 6.0, -1.0, 8.0, 80.0, 20.0, 60.0, 160.0)
ONE_THREAD = ThreadsPlace("thread_right", (900.0, 560.0, -30.0), 6.0, 1.0, 8.0, 0.0, 20.0, 60.0, 120.0)
TRACK = TrackPlace("track_right", (600.0, 560.0, -10.0), 3.0, 0.5, 34.0, 11.0, 8.0, 3.0, 8.0, 300.0)
BED_RAIL = BedRailPlace(
    "rail_right", (2200.0, 780.0, -400.0), 2.0, 0.5, 70.0, 1.0, 150.0, ((2140.0, 2190.0), (2600.0, 2650.0))
)
WIDE_RAIL = dataclasses.replace(BED_RAIL, name="wide_right", width=110.0, pockets=())
PLACES: tuple[FootPlace, ...] = (GUTTER, THREADS, ONE_THREAD, TRACK, BED_RAIL, WIDE_RAIL)
OVER = 110.0
"""From a foot's face up to the axis of the tube over it, mm."""


@cache
def demo() -> Job:
    """Return the demo."""
    return read_job(Path(__file__).parents[1] / "presets/racks/demo.toml")


def site_with(*places: FootPlace) -> Site:
    """Return the demo's site on a vehicle that has these places too."""
    job = demo()
    vehicle = dataclasses.replace(job.vehicle, feet=places)
    choice = choose(job.spec, job.shop)
    sizes, _ = plan(job.spec, job.shop, vehicle, choice)
    return Site(job.spec, job.shop, vehicle, choice, sizes)


def mirrored(place: FootPlace) -> FootPlace:
    """Return the partner of a place on the left."""
    x, y, z = place.at
    left = dataclasses.replace(place, name=place.name.replace("right", "left"), at=(x, -y, z))
    return left if isinstance(left, GutterPlace) else dataclasses.replace(left, roll=-left.roll)


def over(site: Site, place: FootPlace, way: Vec, x: float | None = None) -> Header:
    """Return a tube over a place along a way."""
    at, _ = face_at(place, site.shop, site.vehicle, site.choice, place.at[0] if x is None else x)
    return Header(vec(np.add(at, (0.0, 0.0, OVER))), way, site.choice.frame_od)


def standing(site: Site, place: FootPlace, way: Vec = (0.0, 1.0, 0.0), x: float | None = None
             ) -> tuple[Rack, tuple[Finding, ...]]:  # fmt: skip
    """Return one foot with its stub and a piece of the tube over it, 300 mm long."""
    header = over(site, place, way, x)
    made = foot(site, place, header)
    half = 150.0 * np.asarray(way)
    ends = [vec(np.asarray(header.at) + s * half) for s in (-1.0, 1.0)]
    bar = straight(Frame(), f"frame.bar.{place.name}", "cross bar", 2, site.choice.frame, *ends)
    stub = straight(Frame(), f"mount.{place.name}.saddle", "saddle", 3, site.choice.frame, made.at, made.top)
    joints = (
        Joint(f"{stub.id}.foot", "plane weld", AtEnd(stub.id, "A"), made.face, "a", fixing="fillet all round"),
        Joint(f"{stub.id}.top", "coped weld", AtEnd(stub.id, "B"), along(bar, made.top, (0.0, 0.0, -1.0)), "a",
              fixing="fillet all round"),
    )  # fmt: skip
    return resolve(Layout((made.group, Group((stub, bar), joints))))
