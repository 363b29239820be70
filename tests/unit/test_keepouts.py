"""What the check says of hatch, doors, roof panel, aerial, heights and the driver's view."""

from dataclasses import replace

import pytest
from roofs import SPEC, roof, vehicle
from small_rack import TUBE

from rackgen.check.bodies import bodies
from rackgen.check.heights import height_findings, seen, standing, view_findings
from rackgen.check.keepouts import Clear, clearances, keep_out_findings, keep_outs
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame
from rackgen.geom.spine import Spine
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.keepouts import Aerial, Box, Cylinder, Door, Eye, Hatch, Heights, KeepOuts, OpeningRoof

TOP = 1800.0
R = 33.7 / 2
HATCH = Hatch(
    "hatch",
    ((1500.0, -400.0, 1700.0), (1500.0, 400.0, 1700.0)),
    ((1500.0, -500.0, 1700.0), (1500.0, 500.0, 1700.0), (1500.0, 500.0, 900.0), (1500.0, -500.0, 900.0)),
    20.0, 120.0, 25.0,
)  # fmt: skip
LID = ((400.0, -300.0, 1700.0), (400.0, 300.0, 1700.0), (900.0, 300.0, 1700.0), (900.0, -300.0, 1700.0))


def across(x: float, z: float = TOP, name: str = "basket.lower.rear") -> Rack:
    """Give one tube across the vehicle, its axis at x and z."""
    tube = BentTube(TUBE, Spine((800.0,)))
    return Rack((Placed(name, tube, Frame.of((x, -400.0, z), (0, 1, 0), (0, 0, 1)), "ring", 1),), ())


def looked(rack: Rack, asked: KeepOuts) -> tuple[tuple[Clear, ...], list[Finding]]:
    things = keep_outs(replace(vehicle(roof()), keep_outs=asked), SPEC.gaps)
    of = bodies(rack)
    near = clearances(rack, of, things, reach=float("inf"))
    return near, keep_out_findings(near, things, of)


def test_a_hatch_that_opens_past_upright_meets_the_basket() -> None:
    """At 200 degrees the panel leans forward over the roof by 20: a tube 250 above and 50 ahead is in its way."""
    near, found = looked(across(1450.0, 1950.0), KeepOuts(hatch=replace(HATCH, opens=200.0)))
    assert near[0].gap == 0.0
    assert [f.code for f in found] == ["in-way-of-hatch"]
    assert found[0].level is Level.STOP
    # Square to the panel's outside the axis keeps 25 and the tube's radius: at 181.9 degrees, or 85.5 further forward.
    assert "move it forward by 86 mm, or stop the hatch at 181 degrees" in found[0].help
    # At 120 it rises aft by 30: square to it the tube's axis is 250 cos 30 + 50 sin 30 away.
    near, found = looked(across(1450.0, 1950.0), KeepOuts(hatch=HATCH))
    assert near[0].gap == pytest.approx(250.0 * 0.75**0.5 + 25.0 - R, abs=0.1)
    # At 90 it lies level behind its hinge: the nearest is the inner edge while it is shut.
    near, found = looked(across(1450.0, 1950.0), KeepOuts(hatch=replace(HATCH, opens=90.0)))
    assert not found
    assert near[0].gap == pytest.approx((250.0**2 + 30.0**2) ** 0.5 - R, abs=0.1)


def test_a_hatch_near_the_basket_is_told_with_its_angle() -> None:
    """At 180 degrees it stands straight up over the hinge: a tube ahead of it is nearest at the very end."""
    near, found = looked(across(1463.0), KeepOuts(hatch=replace(HATCH, opens=180.0)))
    assert near[0].gap == pytest.approx(37.0 - R, abs=0.1)
    assert near[0].when == pytest.approx(180.0, abs=1.5)
    assert [(f.code, f.level) for f in found] == [("near-hatch", Level.LOOK)]
    assert "forward by 5 mm" in found[0].help


def test_what_sits_on_the_body_is_held_to_the_shut_line() -> None:
    """A mount's part beside the hatch keeps the shut line's gap, not that of the swing."""
    near, found = looked(across(1463.0, name="mount.rear_left.strap"), KeepOuts(hatch=replace(HATCH, opens=180.0)))
    assert near[0].limit == SPEC.gaps.shut_line
    assert not found


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        (KeepOuts(fixed=(Box("rail", (600, -500, 1690), (800, 500, 1770), 20),)), "near-keep-out"),
        (KeepOuts(fixed=(Cylinder("lamp", (700, -500, 1760), (700, 500, 1760), 10, 20),)), "near-keep-out"),
        (KeepOuts(fixed=(Aerial("aerial", (730, 0, 1700), (730, 0, 2000), 3, 20),)), "near-keep-out"),
        (KeepOuts(opening_roof=OpeningRoof(LID, 20, "tilt", 30.0, (LID[0], LID[1]), 15)), "in-way-of-opening-roof"),
        (KeepOuts(opening_roof=OpeningRoof(LID, 20, "lift", 75.0, None, 15)), "near-opening-roof"),
        (KeepOuts(opening_roof=OpeningRoof(LID, 20, "slide", 300.0, None, 15)), None),
        (KeepOuts(doors=(Door("door", ((0, -700, 900), (0, -690, 1500)), ((50, -650, 1650), (900, -650, 1650)), 70, 20),
                         )), None),
        (KeepOuts(doors=(Door("door", ((700, -700, 900), (700, -700, 1500)), ((700, -410, 1800), (700, -700, 1800)), 9,
                              20),)), "near-door"),
    ],
)  # fmt: skip
def test_each_kind_is_looked_at(asked: KeepOuts, code: str | None) -> None:
    """A tube across the roof at x 700, 100 over it, against each kind of thing."""
    _, found = looked(across(700.0), asked)
    assert [f.code for f in found] == ([code] if code else [])


def test_heights_unladen_and_with_a_load() -> None:
    """Top of the tube over the floor; a load sinks the roof and may stand higher."""
    of = bodies(across(700.0))
    asked = Heights(300.0, 2160.0, None, 10.0, 80.0 + 1e-4, 400.0)
    found = standing(of, asked)
    assert found.unladen == pytest.approx(300 + TOP + R)
    assert found.laden == pytest.approx(300 + TOP + R + 400 - 8)
    said = height_findings(of, asked)
    assert "with 80 kg on it" in said[1].text
    assert [(f.code, f.level) for f in said] == [
        ("too-high-for-garage", Level.LOOK), ("too-high-for-garage", Level.STOP)
    ]  # fmt: skip
    assert said[1].got == pytest.approx(2160 - found.laden)
    assert not height_findings(of, replace(asked, garage=3000.0, trailer=3000.0))
    assert [f.code for f in height_findings(of, replace(asked, garage=None, trailer=2000.0))] == [
        "too-high-for-trailer"
    ] * 2


def test_too_high_is_cured_by_what_the_rack_has() -> None:
    """A basket is made lower, a bed frame too; bare bars on the roof are taken off; a load is packed lower."""
    plain, tall = across(700.0), Heights(300.0, 300 + TOP + R + 10, None, 0.0, 0.0, 0.0)

    def cure(name: str, word: str) -> tuple[tuple[str, ...], str]:
        rack = replace(plain, placed=tuple(replace(p, id=name, word=word) for p in plain.placed), joints=())
        (found,) = height_findings(bodies(rack), tall)
        return found.keys, found.help

    assert cure("basket.upper.front", "ring hoop") == (
        ("heights.garage", "basket.height"), "make the basket 40 mm lower, or take the rack off before driving in"
    )  # fmt: skip
    assert cure("frame.bar[1]", "cross bar") == (("heights.garage",), "take the rack off before driving in")
    assert cure("mount.bed_left.post", "post") == (
        ("heights.garage", "frame.height"), "make the bed frame 40 mm lower, or take the rack off before driving in"
    )  # fmt: skip
    loaded = replace(tall, load=50.0, load_height=200.0, garage=300 + TOP + R + 240)
    of = bodies(replace(plain, placed=tuple(replace(p, id="frame.bar[1]") for p in plain.placed), joints=()))
    assert [f.help for f in height_findings(of, loaded)] == [
        "pack the load 10 mm lower, or unload it before driving in"
    ]


def test_the_drivers_view() -> None:
    """A tube 1000 ahead and 176 up shows at 10 degrees; the roof's edge may hide it; what is behind is not seen."""
    of = bodies(across(700.0))
    eye = Eye((1700.0, -350.0, TOP - R - 176.33), None, 15.0)
    found = seen(of, eye)
    assert found is not None
    assert found.angle == pytest.approx(10.0, abs=0.15)
    assert [f.code for f in view_findings(of, eye)] == ["in-drivers-view"]
    assert not view_findings(of, replace(eye, look_up=5.0))
    assert not view_findings(of, replace(eye, glass_top=(1400.0, -350.0, TOP - R - 176.33 + 20)))
    assert seen(of, replace(eye, at=(0.0, -350.0, 1500.0))) is None
