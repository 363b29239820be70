"""Every fitting by itself: designed, checked, every sheet written, every solid proved; and what is refused."""

from pathlib import Path

import numpy as np
import pytest

from rackgen import job
from rackgen.check.clearance import gaps
from rackgen.design.fittings.ladder_loads import modulus, rung_stress
from rackgen.errors import BadInput, Level
from rackgen.made import Design
from rackgen.parts.kinds import BentTube, BoltShape, Bought, CutPlate, FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.measure import mass
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.weld_lines import runs
from rackgen.sheets.welds import weld_map
from rackgen.spec.read import read_job
from rackgen.spec.stock import Round
from rackgen.strength.frame_model import frame_model
from tests.fitting_racks import FITTINGS, fitted_job, fitting_job, side_door
from tests.option_racks import PLAIN, written_job

pytestmark = pytest.mark.racks


class Made(dict[str, Design]):
    """Racks with a fitting, each designed when it is asked for.

    Tests take the names with `scope="module"`: rack after rack, so that two processes do not both design all of them.
    """

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.folder = folder

    def __missing__(self, name: str) -> Design:
        place = self.folder / str(len(self))
        place.mkdir()
        self[name] = job.checked(job.design(fitting_job(place, name)))
        return self[name]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Design]:
    return Made(tmp_path_factory.mktemp("fittings"))


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Design:
    """One basket with nearly everything on it, reckoned too."""
    names = ("deflector", "loops", "shovel brackets", "awning brackets", "ladder")
    folder = tmp_path_factory.mktemp("many")
    asked = side_door(folder, fitted_job(folder, "basket", *(FITTINGS[name][1] for name in names)))
    return job.checked(job.strong(job.design(asked)))


@pytest.mark.parametrize("name", FITTINGS, scope="module")
def test_it_is_cleared_with_nothing_to_look_at(made: dict[str, Design], name: str) -> None:
    found = [f for f in made[name].findings if f.level > Level.NOTE]
    assert not found, found


@pytest.mark.parametrize("name", FITTINGS, scope="module")
def test_the_rest_of_the_rack_is_as_without_it(made: dict[str, Design], name: str, tmp_path: Path) -> None:
    asked = fitted_job(tmp_path, FITTINGS[name][0])
    plain = job.design(side_door(tmp_path, asked) if "ladder" in name else asked).rack
    kept = tuple(p for p in made[name].rack.placed if not p.id.startswith("fitting["))
    assert kept == plain.placed
    assert len(kept) < len(made[name].rack.placed)


def test_fittings_stand_beside_one_another(many: Design) -> None:
    # A person on its ladder is more than this light basket's pads bear; the wish is for what stands beside what.
    found = [f for f in many.findings if f.level > Level.NOTE]
    assert [f.code for f in found] == ["not-for-this"]
    assert "A person on the rear ladder" in found[0].text
    assert {p.id[:10] for p in many.rack.placed if p.id.startswith("fitting[")} == {
        f"fitting[{k}]" for k in range(1, 6)
    }


AHEAD = (
    # What stands beside a deflector, whichever the file names first; and on what it then is.
    ("basket", 'kind = "air deflector"', 'kind = "lamp tabs"', "basket.upper."),
    ("basket", 'kind = "lamp tabs"\nstand = "up"', 'kind = "air deflector"', "basket.upper."),
    ("tray", 'kind = "tie-down loops"\nside = "front"', 'kind = "air deflector"', "basket.lower."),
    ("basket", 'kind = "air deflector"\nwidth = 380\ntabs = 2', 'kind = "lamp tabs"', "frame."),
)


@pytest.mark.parametrize(("basket", "one", "other", "on"), AHEAD)
def test_what_is_at_the_front_keeps_clear_of_an_air_deflector(
    tmp_path: Path, basket: str, one: str, other: str, on: str
) -> None:
    found = job.checked(job.design(fitted_job(tmp_path, basket, one, other)))
    assert not [f.text for f in found.findings if f.level > Level.NOTE]
    welds = [
        j for j in found.rack.joints if j.a.part.startswith("fitting[") and (".tab" in j.a.part or "loop" in j.a.part)
    ]
    words = {p.id: p.word for p in found.rack.placed}
    on_it = {j.b.part for j in welds if words[j.a.part] in ("lamp tab", "tie-down loop") and j.kind == "fillet"}
    assert on_it
    assert all(part.startswith(on) for part in on_it)


def test_what_is_told_to_stand_behind_a_deflector_is_a_stop_that_names_it(tmp_path: Path) -> None:
    tabs = 'kind = "lamp tabs"\non = "frame"\nat = [-200, 200]'
    found = job.checked(job.design(fitted_job(tmp_path, "basket", 'kind = "air deflector"', tabs)))
    said = [f for f in found.findings if f.code == "fitting-on-weld"]
    assert len(said) == 2
    assert all("the air deflector" in f.text and "make the air deflector narrower" in f.help for f in said)
    with pytest.raises(BadInput, match="make the air deflector narrower"):
        job.design(fitted_job(tmp_path, "basket", 'kind = "air deflector"', 'kind = "lamp tabs"\non = "frame"'))


def test_they_are_in_every_sheet(many: Design) -> None:
    sheets = job.sheet_files(many)
    mine = [p for p in many.rack.placed if p.id.startswith("fitting[")]
    for word in {p.word for p in mine}:
        assert word in sheets["cut-list.csv"].decode("utf-8"), word
    for word in {p.word for p in mine if not isinstance(p.part, Bought)} - {"air deflector"}:
        assert word in sheets["welds.txt"].decode("utf-8"), word
    for content in sheets.values():
        assert not {"nan", "None"} & set(content.decode("utf-8").replace(",", " ").split())
    cuts, _ = cut_list(many.rack, many.job.shop)
    assert sum(line.quantity for line in cuts.lines) == len(many.rack.placed)
    total = sum(mass(p.part) for p in many.rack.placed)
    assert sum(line.quantity * line.mass for line in cuts.lines) == pytest.approx(total, rel=1e-6)


def test_the_frames_model_carries_their_weight_and_nothing_else_of_them(many: Design, tmp_path: Path) -> None:
    plain = job.design(side_door(tmp_path, fitted_job(tmp_path, "basket"))).rack
    with_them, without = (frame_model(rack, many.job.vehicle) for rack in (many.rack, plain))
    # A ladder's clamps cut the tube that they are on.
    cut = {m.id for m in with_them.members} ^ {m.id for m in without.members}
    assert all(id.startswith(("basket.upper.rear#", "arm#")) for id in cut)
    at = {n.id: np.asarray(n.at) for n in with_them.nodes}
    clamps = [p for p in many.rack.placed if p.word == "ladder clamp"]
    assert len(with_them.places.hung) == len(clamps) == 2
    for (node, pull), clamp in zip(with_them.places.hung, clamps, strict=True):
        assert abs(at[node][1] - clamp.frame.origin[1]) < 0.5
        assert 0.1 < pull < 2.0
    more = sum(lump.mass for lump in with_them.lumps) - sum(lump.mass for lump in without.lumps)
    mine = sum(mass(p.part) for p in many.rack.placed if p.id.startswith("fitting["))
    assert more == pytest.approx(mine, rel=1e-6)
    assert mine > 5.0
    assert not many.unrated


@pytest.mark.kernel
@pytest.mark.parametrize("name", FITTINGS, scope="module")
def test_every_solid_is_what_its_description_says(made: dict[str, Design], name: str) -> None:
    from rackgen.export.step import step_bytes
    from rackgen.export.stl import stl_files
    from rackgen.solid.build import proved_solids

    distinct = [line for line in lines(made[name].rack) if any(p.id.startswith("fitting[") for p in line.placed)]
    solids = proved_solids(distinct)
    assert step_bytes("fitting", distinct, solids).startswith(b"ISO-10303-21")
    assert len(stl_files("fitting", distinct, solids)) >= len(distinct)


@pytest.mark.parametrize(("name", "gap"), [("deflector", 15.0), ("deflector on a tray, steep", 15.0)])
def test_a_deflector_keeps_its_gap_to_the_roof_along_its_whole_edge(
    made: dict[str, Design], name: str, gap: float
) -> None:
    design = made[name]
    found = {g.part: g.gap for g in gaps(design.rack, design.job.vehicle.roof, design.job.spec.gaps)}
    least = found["fitting[1].sheet"]
    assert least is not None
    assert gap - 0.3 <= least <= gap + 4.0


def test_a_deflectors_sheet_lies_on_its_tabs_and_its_holes_are_theirs(made: dict[str, Design]) -> None:
    rack = made["deflector"].rack
    sheet = rack.part("fitting[1].sheet")
    assert isinstance(sheet.part, CutPlate)
    assert len(sheet.part.holes) == 8
    assert len(sheet.part.breaks) == 1
    bolts = [p for p in rack.placed if isinstance(p.part, Bought) and isinstance(p.part.shape, BoltShape)]
    assert len(bolts) == 8
    tabs = {p.id: p for p in rack.placed if p.word == "deflector tab"}
    assert len(tabs) == 4
    for bolt in bolts:
        tab = tabs[bolt.id.rsplit(".", 1)[0]]
        bar = tab.part
        assert isinstance(bar, FoldedBar)
        here = tab.frame.to_local(bolt.frame.origin)
        off = [np.hypot(here[0] - h.along, here[1] - h.across) for h in bar.holes]
        assert min(off) < 1e-6


def test_a_loop_is_welded_along_its_edges_over_the_tube_where_a_torch_gets_at_it(made: dict[str, Design]) -> None:
    """By hand: a flat over a tube of 33.7 is 2.6 off it 9.0 to either side, and the leg ends 9 past the axis."""
    rack = made["loops"].rack
    by_id = {p.id: p for p in rack.placed}
    seams = [j for j in rack.joints if j.a.part.startswith("fitting[1].loop") and j.kind == "fillet"]
    assert len(seams) == 4
    for joint in seams:
        beads = runs(joint, by_id)
        assert len(beads) == 2
        tube = by_id[joint.b.part].frame
        for bead in beads:
            assert bead.bead == pytest.approx(18.0, abs=0.7)
            way = bead.points[-1] - bead.points[0]
            assert abs(float(way @ np.asarray(tube.x))) < 1.0
    assert not [f for f in weld_map(rack)[1] if f.code == "no-torch-access"]


def test_places_are_in_the_users_words(made: dict[str, Design]) -> None:
    rack, job_ = made["lamp tabs up on the upper ring"].rack, made["lamp tabs up on the upper ring"].job
    tabs = [p for p in rack.placed if p.word == "lamp tab"]
    assert [round(p.frame.origin[1]) for p in tabs] == [-300, -100, 100, 300]
    middle = np.mean([p.frame.origin[0] for p in rack.placed if p.word == "upright"])
    assert all(p.frame.origin[0] > middle + job_.spec.basket.length / 2 - 60 for p in tabs)


def test_a_ladder_has_even_rungs_and_feet_on_the_rear_face(made: dict[str, Design]) -> None:
    design = made["ladder"]
    rack, face = design.rack, design.job.vehicle.rear[0]
    rungs = [p for p in rack.placed if p.word == "ladder rung"]
    assert len(rungs) == 4
    assert np.allclose(-np.diff([p.frame.origin[2] for p in rungs]), 295.0)
    pads = [p for p in rack.placed if p.word == "ladder pad"]
    assert len(pads) == 4
    assert all(p.frame.origin[0] == pytest.approx(face.at[0], abs=1e-6) for p in pads)
    stiles = [p for p in rack.placed if p.word == "ladder stile"]
    assert len({p.part for p in stiles}) == 1
    clamps = [p for p in rack.placed if p.id.startswith("fitting[1].clamp") and p.word == "U-bolt"]
    assert len(clamps) == 4


def test_a_ladder_before_a_hatch_is_a_stop_or_a_look_at_the_hatch(tmp_path: Path) -> None:
    design = job.checked(job.design(fitted_job(tmp_path, "basket", FITTINGS["ladder"][1])))
    told = [f for f in design.findings if f.parts and f.parts[0].startswith("fitting[1]") and f.level is Level.STOP]
    assert any("hatch" in f.text for f in told), design.findings


def test_a_ladders_load_is_what_a_handbook_says(made: dict[str, Design]) -> None:
    """26.9 x 2.6: W = 1.10 cm³ (EN 10219-2 gives 1.10, from memory); F L / 4 with 1.1 kN on 326.9 mm is 89.9 N·m."""
    assert modulus(Round(26.9, 2.6)) == pytest.approx(1100.0, rel=0.01)
    assert rung_stress(326.9, Round(26.9, 2.6)) == pytest.approx(81.7, abs=0.7)
    assert "ladder-load" in {f.code for f in made["ladder"].findings}


def test_a_ladder_far_aft_of_its_clamps_gets_a_stouter_tube(tmp_path: Path) -> None:
    lines_ = 'kind = "rear ladder"\nat = 170\noff = 270'
    design = job.checked(job.design(side_door(tmp_path, fitted_job(tmp_path, "basket", lines_))))
    stile = design.rack.part("fitting[1].stile[1]").part
    assert isinstance(stile, BentTube)
    assert stile.section.od > 27
    assert "ladder-weak" not in {f.code for f in design.findings}
    thin = lines_ + '\ntube = "26.9 x 2.6 tube"'
    design = job.checked(job.design(side_door(tmp_path, fitted_job(tmp_path, "basket", thin))))
    assert "ladder-weak" in {f.code for f in design.findings}


def test_the_distance_that_a_ladder_is_told_to_keep_can_be_bent(tmp_path: Path) -> None:
    def tried(off: float) -> Design:
        lines = f'\n\n[[fitting]]\nkind = "rear ladder"\nat = 180\noff = {off}'
        asked = written_job(tmp_path, {"basket": PLAIN + "\nforward = -80" + lines})
        return job.checked(job.design(side_door(tmp_path, asked)))

    with pytest.raises(BadInput, match="set off to") as refusal:
        tried(70)
    told = float(str(refusal.value).partition("set off to ")[2].partition(" mm")[0])
    assert not [f.text for f in tried(told).findings if f.level > Level.NOTE]
    with pytest.raises(BadInput, match="set off to"):
        tried(told - 2)


def test_a_vehicle_without_a_rear_face_has_no_place_for_a_ladder(tmp_path: Path) -> None:
    frames = Path(__file__).parent / "frames"
    (tmp_path / "vehicles").mkdir()
    (tmp_path / "racks").mkdir()
    (tmp_path / "vehicles" / "tall-van-mm.toml").write_text(
        (frames / "vehicles" / "tall-van-mm.toml").read_text("utf-8"), "utf-8"
    )
    rack = tmp_path / "racks" / "ladder-gutter.toml"
    text = (frames / "racks" / "ladder-gutter.toml").read_text("utf-8")
    rack.write_text(text + '\n[[fitting]]\nkind = "rear ladder"\nat = 200\n', "utf-8")
    with pytest.raises(BadInput, match="has no rear face that is known"):
        job.design(read_job(str(rack)))


BAD = [
    ("basket", 'kind = "air deflector"\ntilt = 20\ngap = 60', "fitting[1].kind", "let it lean further back"),
    ("basket", 'kind = "air deflector"\nabove = 35', "fitting[1].above", "set above to that or more"),
    ("tray", 'kind = "air deflector"\n\n[[fitting]]\nkind = "air deflector"', "fitting[2].kind", "one air deflector"),
    ("basket", 'kind = "lamp tabs"\nat = [-800]', "fitting[1].at", "-800 mm is past the straight of the frame's front"),
    ("basket", 'kind = "lamp tabs"\nat = [0, 430]', "fitting[1].at", "the nearest good place is 413 mm"),
    ("basket", 'kind = "tie-down loops"\nside = "left"\nat = [2]', "fitting[1].at", "a butt"),
    ("tray", 'kind = "shovel brackets"', "fitting[1].kind", "both rings of a basket"),
    ("deck", 'kind = "rear ladder"\nat = 0', "fitting[1].kind", "a deck lies over them"),
    ("basket", 'kind = "rear ladder"\nat = 400', "fitting[1].at", "the nearest good place is"),
    ("basket", 'kind = "rear ladder"\nat = 150\noff = 70\ntube = "48.3 x 3.2 tube"', "fitting[1].off", "set off to"),
    ("basket", 'kind = "rear ladder"\nat = 180\nrungs = 2', "fitting[1].rungs", "ask for"),
    ("basket", 'kind = "rear ladder"\nat = 180\nspacing = 310', "fitting[1].spacing", "from 250 mm to 300 mm"),
    ("tray", 'kind = "tie-down loops"\non = "upper ring"', "fitting[1].on", "has no upper ring"),
    ("basket", 'kind = "lamp tab"', "fitting[1].kind", 'did you mean "lamp tabs"?'),
    ("basket", 'kind = "winch"', "fitting[1].kind", 'write "air deflector" or "lamp tabs"'),
    ("basket", 'kind = "lamp tabs"\nhole = 19', "fitting[1].length", "three diameters"),
    ("basket", 'kind = "lamp tabs"\nat = [0, 5]', "fitting[1].at", "at least 10 mm apart"),
    ("basket", 'kind = "lamp tabs"\nbar = "50 x 6 bar"', "fitting[1].bar", 'did you mean "50 x 5 bar"?'),
    ("basket", 'kind = "awning brackets"\nside = "roof"', "fitting[1].side", 'write "front" or "rear"'),
]  # fmt: skip


@pytest.mark.parametrize(("basket", "lines_", "key", "says"), BAD)
def test_bad_input_is_refused_at_its_line(tmp_path: Path, basket: str, lines_: str, key: str, says: str) -> None:
    with pytest.raises(BadInput) as caught:
        job.design(fitted_job(tmp_path, basket, lines_))
    assert any(m.key == key and says in m.wanted and m.line > 0 for m in caught.value.mistakes), caught.value


def test_every_bad_place_of_every_fitting_is_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        job.design(
            fitted_job(
                tmp_path, "basket", 'kind = "lamp tabs"\nat = [-800, 800]', 'kind = "tie-down loops"\nat = [900]'
            )
        )
    assert [m.key for m in caught.value.mistakes] == ["fitting[1].at", "fitting[1].at", "fitting[2].at"]


def test_a_fitting_on_a_weld_or_on_another_is_a_stop_with_the_nearest_free_place(tmp_path: Path) -> None:
    lines_ = 'kind = "tie-down loops"\nside = "left"\nat = [210]'
    design = job.checked(job.design(fitted_job(tmp_path, "basket", lines_)))
    found = [f for f in design.findings if f.code == "fitting-on-weld"]
    assert len(found) == 1
    assert found[0].level is Level.STOP
    assert "put it at" in found[0].help
    two = 'kind = "lamp tabs"\nat = [0, 30]'
    design = job.checked(job.design(fitted_job(tmp_path, "basket", two)))
    assert "fittings-close" in {f.code for f in design.findings}
    design = job.checked(job.design(fitted_job(tmp_path, "basket", 'kind = "lamp tabs"\nat = [0]', two)))
    assert "fitting-on-weld" in {f.code for f in design.findings}
