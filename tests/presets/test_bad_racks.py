"""Bad and extreme racks: a clear mistake or finding each, never a traceback, a number that is none, or silence."""

import dataclasses
import math
from pathlib import Path
from typing import Any

import pytest

from rackgen import job
from rackgen.errors import BadInput, Level
from rackgen.spec.read import read_job
from rackgen.spec.shipped import shipped

pytestmark = pytest.mark.racks

SHOP, VEHICLE = "slipway-mm", "boxy-wagon-mm"
Edits = list[tuple[str, str]]


def toml(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml(v) for v in value) + "]"
    return repr(value)


def written(folder: Path, wishes: dict[str, Any], shop: Edits, vehicle: Edits) -> Path:
    """Write a rack of the demo's sizes with other wishes, and the shipped shop and vehicle with other lines."""
    for kind, name, edits in (("shops", SHOP, shop), ("vehicles", VEHICLE, vehicle)):
        text = (shipped() / kind / f"{name}.toml").read_text("utf-8")
        for old, new in edits:
            assert old in text, old
            text = text.replace(old, new)
        (folder / kind).mkdir()
        (folder / kind / f"{name}.toml").write_text(text, "utf-8")
    tables: dict[str, dict[str, Any]] = {"basket": {"width": 1040, "length": 1080, "height": 184}}
    for key, value in wishes.items():
        table, _, name = key.partition(".")
        tables.setdefault(table, {})[name] = value
    lines = ["format = 1", f'shop = "{SHOP}"', f'vehicle = "{VEHICLE}"', 'units = "mm"']
    for table, keys in tables.items():
        lines += [f"[{table}]", *(f"{key} = {toml(value)}" for key, value in keys.items())]
    (folder / "racks").mkdir()
    file = folder / "racks" / "bad.toml"
    file.write_text("\n".join(lines) + "\n", "utf-8")
    return file


def found(
    folder: Path, wishes: dict[str, Any], shop: Edits | None = None, vehicle: Edits | None = None
) -> dict[str, tuple[Level, str, str]]:
    """Give each code with its worst level, and the text and the cure of the first of that level."""
    made = job.checked(job.design(read_job(str(written(folder, wishes, shop or [], vehicle or [])))))
    out: dict[str, tuple[Level, str, str]] = {}
    for f in made.findings:
        for number in (f.got, f.limit, *(f.at or ())):
            assert number is None or math.isfinite(number), f
        assert "nan" not in f"{f.text} {f.help}".split(), f
        assert f.level is Level.NOTE or f.help, f
        out.setdefault(f.code, (f.level, f.text, f.help))
    assert made.cleared == all(level is not Level.STOP for level, _, _ in out.values())
    return out


REFUSED: dict[str, tuple[dict[str, Any], Edits, list[str]]] = {
    "a basket smaller than its bends": (
        {"basket.width": 200, "basket.length": 200, "basket.height": 40},
        [],
        ["basket.height", "basket.length", "basket.width"],
    ),
    "a basket too short for its pads": ({"basket.length": 500}, [], ["basket.length"]),
    "no size at all": ({"basket.width": -10, "basket.length": 0}, [], ["basket.width", "basket.length"]),
    "rings that touch": ({"basket.height": 80}, [], ["basket.height"]),
    "a frame too narrow to bend": ({"frame.width": 250}, [], ["frame"]),
    "U-bolts too small for the tube": (
        {},
        [(f"inside_width = {wide}", "inside_width = 35") for wide in (40, 50, 56)],
        ["u_bolt"],
    ),
    "an isolator too thick for the U-bolts": ({}, [("isolator = 3", "isolator = 15")], ["u_bolt"]),
    "a frame tube without a die": (
        {"frame.tube": "33.7 x 2.6 tube"},
        [("tube_od = 33.7", "tube_od = 35")],
        ["frame.tube"],
    ),
    "bars larger than the ring": ({"basket.bar_tube": "48.3 x 3.2 tube"}, [], ["basket.bar_tube"]),
    "a wrap no rivet fits on": ({"mounts.wrap": "20 x 3 bar"}, [], ["mounts.wrap"]),
    "a floor that the shelf has none of": ({"floor.kind": "perforated sheet"}, [], ["floor.kind"]),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_is_refused_with_its_key(tmp_path: Path, case: str) -> None:
    wishes, shop, keys = REFUSED[case]
    with pytest.raises(BadInput) as refused:
        found(tmp_path, wishes, shop)
    assert sorted(m.key for m in refused.value.mistakes) == sorted(keys)
    lines = (tmp_path / "racks" / "bad.toml").read_text("utf-8").splitlines()
    for mistake in refused.value.mistakes:
        assert mistake.wanted
        if mistake.key in wishes or mistake.key.startswith("basket."):
            # What the rack file says is told where it says it, and what it says.
            assert mistake.file == str(tmp_path / "racks" / "bad.toml")
            assert lines[mistake.line - 1].startswith(mistake.key.rpartition(".")[2])
            assert mistake.read


EVEN = [-450 + 900 / 59 * k for k in range(60)]
MOUNTS = [("y = -470", "y = -600"), ("y = 470", "y = 600")]
STOPPED: dict[str, tuple[dict[str, Any], Edits, Edits, str]] = {
    "a bearer on a bend": ({"basket.bearers": [-500, -100, 100, 500]}, [], [], "cannot-cope"),
    "a bearer on a butt": ({"basket.bearers": [-300, 0, 300]}, [], [], "lands-near-butt"),
    "a bearer where an upright stands": (
        {"basket.bearers": [-300, -210, 210, 300], "basket.side_uprights": [-210, 210]}, [], [], "runs-through",
    ),
    "sixty bearers": ({"basket.bearers": EVEN}, [], [], "runs-through"),
    "a cross bar beyond the legs": ({"frame.cross_bars": [170, 1500]}, [], [], "bar-off-legs"),
    "a cross bar on a bend": ({"frame.cross_bars": [60, 1100]}, [], [], "cannot-cope"),
    "no cross bar over the mounts": ({"frame.cross_bars": []}, [], [], "no-tube-over-mount"),
    "mounts outside the legs": ({}, [], MOUNTS, "no-tube-over-mount"),
    "mounts that overlap": ({}, [], [("y = -470", "y = -20"), ("y = 470", "y = 20")], "runs-through"),
    "wider than the vehicle": ({"basket.width": 2500, "basket.length": 2000}, [], [], "strap-off-zone"),
    "a frame inside its basket": ({"frame.width": 900}, [], [], "nuts-out-of-reach"),
    "a frame that begins behind its mounts": ({"frame.front": 1000}, [], [], "no-place-for-pad"),
    "legs too short": ({"frame.left_leg": 700, "frame.right_leg": 700}, [], [], "leg-end"),
    "one leg too long": ({"frame.left_leg": 3000}, [], [], "leg-end"),
    "a basket moved off its frame": ({"basket.forward": 900}, [], [], "no-place-for-pad"),
    "longer than a stick": ({"basket.length": 6000}, [], [], "longer-than-stick"),
    "pads on the bends": ({"basket.pads": [-530, 530]}, [], [], "runs-through"),
    "no pads": ({"basket.pads": []}, [], [], "not-held"),
    "an upper ring on nothing": (
        {"basket.side_uprights": [], "basket.end_uprights": [], "basket.side_plates": 0}, [], [], "not-held",
    ),
    "uprights on a bend": ({"basket.end_uprights": [-500, 500]}, [], [], "cannot-cope"),
    "a plate thicker than any rivet": (
        {"mounts.plate": "4 mm plate"}, [("thickness = 4\n", "thickness = 30\n")], [], "rivet-grip",
    ),
    "a strap thicker than its brace has room for": (
        {"mounts.strap": "50 x 5 bar"}, [("width = 50\nthickness = 5", "width = 50\nthickness = 30")], [],
        "runs-through",
    ),
    "no room beside the shut line": ({"clearances.shut_line": 100}, [], [], "strap-off-zone"),
    "a rear face above its leg": ({}, [], [("z = -64.5", "z = 300")], "strap-too-high"),
    "a level that contradicts the roof": (
        {}, [], [('under = "bow"                   #', 'roll = -45\npitch = 30\nunder = "bow" #')], "skin-uneven",
    ),
    "an obstacle in the basket": (
        {}, [], [("low = [-150, 260, -15]", "low = [400, 260, -15]"), ("high = [-90", "high = [500")], "in-obstacle",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", STOPPED)
def test_what_must_not_be_built_is_stopped(tmp_path: Path, case: str) -> None:
    wishes, shop, vehicle, code = STOPPED[case]
    codes = found(tmp_path, wishes, shop, vehicle)
    assert code in codes, codes
    assert codes[code][0] is Level.STOP
    assert "impossible-shape" not in codes or case == "a frame inside its basket"


LOOKED_AT: dict[str, tuple[dict[str, Any], Edits, Edits, str]] = {
    "a rake of 10 degrees forward": ({"frame.rake": -10.0}, [], [], "rake"),
    "no bearers": ({"basket.bearers": []}, [], [], "bay-wide"),
    "one pad a side": ({"basket.pads": [200]}, [], [], "one-pad"),
    "a frame over the bonnet": ({"frame.front": -200}, [], [], "off-the-roof"),
    "more plates than bays": ({"basket.side_plates": 100}, [], [], "no-bay-for-plate"),
    "two of three bays": (
        {"basket.side_plates": 2, "basket.side_uprights": [-370, -150, 150, 370]}, [], [], "no-bay-for-plate",
    ),
    "a drop that is not needed": ({"frame.leg": "drop"}, [], [], "drop-needless"),
    "a strap down to the bumper": ({}, [], [("z = -64.5", "z = -1500")], "strap-long"),
    "a corner sharper than its wrap": ({}, [], [("corner_radius = 45", "corner_radius = 2")], "fold-tight"),
    "a gap that lifts the rack high": (
        {"clearances.tube": 300, "clearances.tube_stop": 200}, [], [], "leg-high",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", LOOKED_AT)
def test_what_is_odd_is_worth_a_look(tmp_path: Path, case: str) -> None:
    wishes, shop, vehicle, code = LOOKED_AT[case]
    codes = found(tmp_path, wishes, shop, vehicle)
    assert codes[code][0] is Level.LOOK
    assert not [c for c, (level, _, _) in codes.items() if level is Level.STOP]


def test_a_drop_beside_the_measured_roof_is_not_left_out_in_silence() -> None:
    asked = read_job("core-boxes")
    frame = dataclasses.replace(asked.spec.frame, leg="drop")
    made = job.design(dataclasses.replace(asked, spec=dataclasses.replace(asked.spec, frame=frame)))
    assert [f.level for f in made.findings if f.code == "drop-unknown"] == [Level.LOOK]


CLEARED: dict[str, tuple[dict[str, Any], Edits, Edits]] = {
    "a face that leans 40 degrees forward": ({}, [], [("lean = 0", "lean = 40")]),
    "a face that overhangs by 30 degrees": ({}, [], [("lean = 0", "lean = -30")]),
    "a side plate as thick as its uprights": (
        {"basket.side_plate": "3 mm plate"},
        [("thickness = 3\nwidth = 1250", "thickness = 28\nwidth = 1250")],
        [],
    ),
    "bars of the ring's own tube": ({"basket.bar_tube": "33.7 x 2.6 tube"}, [], []),
    "heavy frame, light basket": (
        {"frame.tube": "48.3 x 3.2 tube", "basket.ring_tube": "26.9 x 2.6 tube", "basket.bar_tube": "26.9 x 2.6 tube"},
        [],
        [],
    ),
    "no clearance wanted": ({"clearances.tube": 0, "clearances.tube_stop": 0, "clearances.bow": 0}, [], []),
    "tails that are not needed": ({"frame.leg": "tail"}, [], []),
}


@pytest.mark.parametrize("case", CLEARED)
def test_what_is_only_unusual_is_cleared(tmp_path: Path, case: str) -> None:
    codes = found(tmp_path, *CLEARED[case])
    assert not [c for c, (level, _, _) in codes.items() if level > Level.NOTE], codes


def test_the_cures_can_be_acted_on(tmp_path: Path) -> None:
    """A stop names the length that would do, and with it the stop is gone."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    legs = {"frame.left_leg": 1200, "frame.right_leg": 1200}
    level, _, cure = found(tmp_path / "a", legs)["leg-end"]
    assert level is Level.STOP
    assert "longer" in cure
    more = int(cure.split(" mm longer")[0].rsplit(" ", 1)[1])
    assert "leg-end" not in found(tmp_path / "b", dict.fromkeys(legs, 1200 + more))
