"""Sketches of any bent tube: true proportions, sizes that are the tube's own, and nothing over anything else."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rackgen.geom import spine
from rackgen.geom.spine import Bend, Spine
from rackgen.sheets.bent_sketch import Bent, bent_sketch
from rackgen.sheets.bent_views import extent, outside_legs, planar, sampled, views
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Stroke, Words
from tests.drawn import mishaps
from tests.strategies import reals, spines

LAW = settings(max_examples=12, deadline=None, derandomize=True)


def bent(line: Spine, half: float = 16.85) -> Bent:
    total = spine.length(line)
    return Bent(
        line,
        half,
        ("end A, first", "end B"),
        tuple(f"bend {i}: {b.angle:.1f}°, CLR {b.clr:.0f}" for i, b in enumerate(line.bends, 1)),
        lambda mm: f"{mm:.1f}",
        (10.0, 10.0),
        tuple((total * k / 7, str(k + 1)) for k in range(8)),
        ((total * 0.1, 90.0, 5.0), (total * 0.9, 0.0, 8.0)),
        270.0,
    )


def numbers(drawing: Drawing) -> list[float]:
    out: list[float] = []
    for item in drawing.items:
        match item:
            case Stroke():
                out += [c for p in item.points for c in p]
            case Circle():
                out += [item.x, item.y, item.radius]
            case Words():
                out += [item.x, item.y]
            case Dimension():
                out += [*item.start, *item.end, item.offset]
    return out


@LAW
@given(spines(), st.sampled_from([12.5, 16.85, 24.15]))
def test_a_sketch_has_no_text_on_another_and_no_number_that_is_none(line: Spine, half: float) -> None:
    drawing = bent_sketch(bent(line, half))
    assert all(math.isfinite(n) for n in numbers(drawing))
    assert mishaps(drawing) == []


@LAW
@given(spines(), st.sampled_from([12.5, 16.85, 24.15]))
def test_the_drawn_outline_is_as_large_as_the_tube(line: Spine, half: float) -> None:
    shown = views(line, 180.0, 120.0)
    rings = [np.array(i.points) for i in bent_sketch(bent(line, half)).items
             if isinstance(i, Stroke) and i.closed and i.style == "edge"]  # fmt: skip
    points, ways = sampled(line, 0.2)
    for axis in (0, 1):
        ways_of = [v.u if axis == 0 else v.v for v in shown]
        for d in ways_of:
            # A disc square to t reaches its radius times the sine of its tilt along a direction.
            reach = half * np.linalg.norm(np.cross(ways, d), axis=1)
            size = float((points @ d + reach).max() - (points @ d - reach).min())
            low, high = extent(line, half, d)
            assert abs(high - low - size) < 0.02
            if len(shown) == 1:
                drawn = np.vstack(rings)[:, axis]
                assert abs(np.ptp(drawn) - size) < 0.15


@LAW
@given(st.lists(reals(20.0, 400.0), min_size=3, max_size=3), reals(5.0, 150.0), reals(60.0, 200.0))
def test_legs_are_what_a_straightedge_finds(straights: list[float], angle: float, clr: float) -> None:
    half = 16.85
    line = Spine(tuple(straights), (Bend(angle, clr), Bend(90.0, clr)))
    legs = outside_legs(line, half)
    # A leg before a bend past 90 deg reads to the outside of the bend, one before a lesser bend to the crossing of the
    # two outside edges.
    points, ways = sampled(line, 0.2)
    if angle >= 90:
        only = Spine(tuple(straights[:2]), (Bend(angle, clr),))
        arc = spine.arc_length(only.bends[0])
        on_arc = [spine.frame_at(line, straights[0] + arc * k / 400) for k in range(401)]
        far = max(f.origin[0] + half * math.sqrt(max(0.0, 1 - f.x[0] ** 2)) for f in on_arc)
        assert abs(legs[0] - far) < 0.02
    else:
        turned = math.radians(angle)
        corner = straights[0] + clr * math.tan(turned / 2)
        # Two lines half the OD off the axes, on the outside, cross at the axes' corner moved by half tan(turned / 2).
        assert abs(legs[0] - (corner + half * math.tan(turned / 2))) < 1e-6
    assert len(points) == len(ways)


def test_a_hoop_is_drawn_true_and_once_and_a_dropped_one_from_two_sides() -> None:
    hoop = Spine((400.0, 700.0, 400.0), (Bend(90, 120), Bend(90, 120)))
    dropped = Spine((300.0, 400.0, 700.0, 400.0, 300.0),
                    (Bend(15, 120), Bend(90, 120, -90), Bend(90, 120), Bend(15, 120, 90)))  # fmt: skip
    assert planar(hoop)
    assert [v.name for v in views(hoop, 180, 120)] == [""]
    assert not planar(dropped)
    assert [v.name for v in views(dropped, 180, 120)] == ["plan", "side"]
    for line in (hoop, dropped):
        for v in views(line, 180, 120):
            # Right-handed: a view is never a mirror image.
            assert np.allclose(np.cross(v.u, v.v), v.n)
    texts = [d.text for d in bent_sketch(bent(hoop)).items if isinstance(d, Dimension)]
    assert sorted(texts) == ["536.8", "536.8", "973.7"]
    side = [d.text for d in bent_sketch(bent(dropped), high=160.0).items if isinstance(d, Dimension)]
    assert f"{300 + (120 + 16.85) * math.tan(math.radians(7.5)):.1f}" in side
