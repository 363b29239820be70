"""Every kind of frame on invented vehicles: ladders, bows and bed frames, from their files to their solids."""

import dataclasses
import math
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from rackgen import job
from rackgen.check.reach import reach_findings
from rackgen.errors import BadInput, Level
from rackgen.export.text import station_text
from rackgen.geom.spine import frame_at
from rackgen.geom.spine import length as along
from rackgen.made import Design
from rackgen.parts.kinds import BentTube, FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.rack import Along, AtEnd, Placed
from rackgen.parts.resolve import end_frame
from rackgen.sheets.installation import installation
from rackgen.sheets.installation_drawing import plan_drawing
from rackgen.sheets.pages import Fields
from rackgen.spec.read import read_job
from rackgen.stations import customer_stations, shop_stations
from rackgen.strength.findings import strength_findings

pytestmark = pytest.mark.racks

RACKS = Path(__file__).with_name("frames") / "racks"
# Tests take them with `scope="module"`: rack after rack, so that two processes do not both design all of them.
NAMES = sorted(p.stem for p in RACKS.glob("*.toml"))


@cache
def made(name: str) -> Design:
    return job.checked(job.strong(job.design(read_job(str(RACKS / f"{name}.toml")))))


def word(name: str, what: str) -> list[Placed]:
    return [p for p in made(name).rack.placed if p.word == what]


def tube(placed: Placed) -> BentTube:
    assert isinstance(placed.part, BentTube)
    return placed.part


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_it_is_cleared_with_nothing_to_look_at(name: str) -> None:
    # What a rack may not be used for depends on how it is loaded: the rating's word, not the frame's.
    found = [f for f in made(name).findings if f.level > Level.NOTE and f.code != "not-for-this"]
    assert not found, found


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_every_sheet_and_page_is_written_and_says_no_nonsense(name: str) -> None:
    from rackgen.stations import pdfs

    sheets = job.sheet_files(made(name))
    for sheet, content in sheets.items():
        words = content.decode("utf-8").replace(",", " ").split()
        assert "nan" not in words, sheet
        assert "None" not in words, sheet
    assert all(page.startswith(b"%PDF") for page in pdfs(made(name)).values())


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_it_is_rated(name: str) -> None:
    strength = made(name).strength
    assert strength is not None, made(name).unrated
    assert strength.moving.structure > 10


@pytest.mark.kernel
@pytest.mark.parametrize("name", NAMES, scope="module")
def test_every_solid_is_what_its_description_says(name: str) -> None:
    from rackgen.export.step import step_bytes
    from rackgen.export.stl import stl_files
    from rackgen.solid.build import proved_solids

    distinct = lines(made(name).rack)
    solids = proved_solids(distinct)
    assert step_bytes(name, distinct, solids).startswith(b"ISO-10303-21")
    assert len(stl_files(name, distinct, solids)) >= len(distinct)


@pytest.mark.parametrize("name", [n for n in NAMES if n.startswith("bows")])
def test_bows_keep_an_even_gap_lie_in_one_line_and_are_alike(name: str) -> None:
    design = made(name)
    roof = design.job.vehicle.roof
    bows = word(name, "bow")
    backs = {(tuple(np.round(tube(p).spine.straights[1:-1], 3)), tube(p).spine.bends) for p in bows}
    # On plates the middle bow stands higher on the crown's own rise, so that its legs are shorter.
    assert len(backs) == (1 if name == "bows-gutter" else 2)
    tops: list[tuple[float, float]] = []
    for bow in bows:
        line, od = tube(bow).spine, tube(bow).section.od
        points = np.array([bow.frame.point(frame_at(line, s).origin) for s in np.arange(0, along(line), 5.0)])
        tops.append((float(points[:, 0].mean()), float(points[:, 2].max())))
        over = points[np.abs(points[:, 1]) < 450]
        gaps = roof.gap(over) - od / 2
        assert gaps.min() >= design.job.spec.gaps.tube
        # Bends cut their corners short of the straights, so that the gap is more even yet than that of the corners.
        assert np.ptp(gaps) <= 10.0
        assert np.ptp(points[:, 0]) < 0.1, "it stands upright"
        assert all(abs(b.turn) < 0.01 for b in line.bends), "it is bent in one plane"
    (x0, z0), (x1, z1), (x2, z2) = sorted(tops)
    assert z1 == pytest.approx(z0 + (z2 - z0) * (x1 - x0) / (x2 - x0), abs=3.0)


@pytest.mark.parametrize("name", ["bed-bars", "ladder-deck-track"])
def test_mitred_corners_halve_the_corner_on_both_tubes(name: str) -> None:
    design = made(name)
    corners = [j for j in design.rack.joints if j.kind == "mitre weld"]
    assert len(corners) == 4
    for joint in corners:
        for anchor in (joint.a, joint.b):
            assert isinstance(anchor, AtEnd)
            part = tube(design.rack.part(anchor.part))
            (cut,) = part.end_a if anchor.end == "A" else part.end_b
            assert cut.tilt == pytest.approx(45.0, abs=1e-3)  # type: ignore[union-attr]
        a, b = (end_frame(design.rack.part(x.part), x.end)[0].origin for x in (joint.a, joint.b))  # type: ignore[union-attr]
        # Sawn ends lie half a tube beyond the corner, each along its own tube.
        assert math.dist(a, b) == pytest.approx(part.section.od / math.sqrt(2), abs=0.01)


def test_a_mitred_front_tube_over_feet_is_vented_into_the_stubs_under_it() -> None:
    asked = read_job("kayak-school")
    feet = [p for p in asked.vehicle.foot_places if p.name.startswith("point1")]
    frame = dataclasses.replace(asked.spec.frame, front=feet[0].at[0], length=None, bar_count=None)
    rack = job.design(dataclasses.replace(asked, spec=dataclasses.replace(asked.spec, frame=frame, fittings=()))).rack
    stood = [j for j in rack.joints if j.a.part.startswith("mount.point1") and j.b.part == "frame.front"]
    assert len(stood) == len(feet) == 2
    front = rack.part("frame.front")
    vents = [h.at for h in tube(front).holes if h.purpose == "vent"]
    for joint in stood:
        assert isinstance(joint.b, Along)
        assert any(abs(v - joint.b.at) < 1.0 for v in vents)


def test_how_far_posts_lean_across_is_said_and_much_of_it_is_looked_at() -> None:
    """Without braces across they are a portal: a force on its head by its own movement, alike for every post."""
    design = made("bed-bars")
    found, wish = design.strength, design.job.spec.load
    assert found is not None
    said = [f for f in strength_findings(found, wish) if f.code == "posts-lean"]
    assert [f.level for f in said] == [Level.NOTE]
    top = max(n.at[2] for n in found.model.nodes)
    case = [c.id for c in found.model.cases].index("corner-left")
    number = {n.id: i for i, n in enumerate(found.model.nodes)}
    heads = [number[n.id] for n in found.model.nodes if n.at[2] > top - 60.0]
    swayed = float(np.abs(found.at_rating.moved[heads, 1, case]).max())
    post = tube(word("bed-bars", "post")[0])
    assert said[0].got is not None
    assert said[0].got * along(post.spine) == pytest.approx(swayed, rel=0.15)
    far = dataclasses.replace(found.at_rating, moved=found.at_rating.moved * 0.02 / said[0].got)
    said = [f for f in strength_findings(dataclasses.replace(found, at_rating=far), wish) if f.code == "posts-lean"]
    assert [f.level for f in said] == [Level.LOOK]
    assert "cross bar" in said[0].help


@pytest.mark.parametrize(("name", "low"), [("hedge-layer", False), ("beekeeper", True)])
def test_a_rail_low_over_a_feets_holes_is_said(name: str, low: bool) -> None:
    """260 from the bed rails to the rails' tops, less 42.4 of tube and 5.5 of plate and bedding, is 212."""
    made = job.design(read_job(name))
    found = [f for f in reach_findings(made.rack, made.job.vehicle) if f.code == "low-for-drill"]
    rooms = [h.room for h in installation(made.rack, made.job.shop, made.job.vehicle).holes]
    assert len(found) == (6 if low else 0)
    assert all(f.got == pytest.approx(212.1, abs=0.5) for f in found)
    # Past a post, a chuck goes down beside it.
    assert all(room is not None and (room < 0 if low else room > 19.5) for room in rooms)


def test_posts_are_braced_toward_the_middle_of_tube_or_of_bar_on_edge() -> None:
    for name, kind in (("bed-bars", FoldedBar), ("bed-tubes", BentTube)):
        braces = word(name, "knee brace")
        assert len(braces) == 6
        for brace in braces:
            assert isinstance(brace.part, kind)
            on = {made(name).rack.part(j.b.part).word for j in made(name).rack.joints if j.a.part == brace.id}
            assert on <= {"post", "frame rail", "frame hoop"}
            assert len(on) == 2
            x, _, z = brace.frame.x
            assert abs(abs(x) - abs(z)) < 0.02, "45 degrees"


def test_full_length_rails_are_butted_with_sleeves() -> None:
    assert len(word("ladder-mixed", "sleeve")) == 2
    assert len(word("ladder-mixed", "leg tail")) == 2


def test_feet_of_two_kinds_carry_one_ladder() -> None:
    words = {p.word for p in made("ladder-mixed").rack.placed}
    assert {"mount plate", "gutter jaw"} <= words


REFUSED: list[tuple[str, str, str, str]] = [
    ("ladder-gutter", 'front = "gutter"', 'front = "threads"', '4 pairs of kind "gutter"'),
    ("ladder-gutter", 'front = "gutter"', 'rear = "rear corner"', "rear corner"),
    ("bows-plates", 'kind = "bows"', 'kind = "hoop"', '"bows"; this|that is for kind = "bows"'),
    ("ladder-gutter", 'front_end = "open"', 'front_end = "open"\nleg = "drop"', "only a hoop's legs drop"),
    ("ladder-gutter", 'front = "gutter"', 'front = "gutter"\npairs = 7', "2 to 4 pairs"),
    ("bows-gutter", "pairs = 3", 'tilt = "cope"', "cut to their feet"),
    ("bows-gutter", 'kind = "bows"', 'kind = "bows"\nrear_end = "mitred"', '"ladder" or "bed"'),
    ("bed-bars", "height = 450", "", "add `height`"),
    ("bed-bars", 'kind = "bed"', 'kind = "ladder"', "height"),
    ("bed-bars", "height = 450", "height = 450\nties = [0]", '"bows"'),
    ("ladder-basket", 'kind = "ladder"', 'kind = "bows"', "nothing flat lies on them"),
    ("ladder-basket", 'kind = "ladder"', 'kind = "bed"\nheight = 300', 'offers|has 3 pairs of kind "roof"'),
]


@pytest.mark.parametrize(("name", "old", "new", "says"), REFUSED)
def test_what_does_not_go_together_is_refused_with_what_would(
    tmp_path: Path, name: str, old: str, new: str, says: str
) -> None:
    text = (RACKS / f"{name}.toml").read_text("utf-8")
    assert old in text
    file = tmp_path / "rack.toml"
    file.write_text(text.replace(old, new, 1), "utf-8")
    vehicle = RACKS.parent / "vehicles" / f"{text.split('vehicle = ')[1].split(chr(34))[1]}.toml"
    with pytest.raises(BadInput) as refusal:
        job.design(read_job(str(file), shop="slipway-mm", vehicle=str(vehicle)))
    assert any(one in str(refusal.value) for one in says.split("|")), str(refusal.value)


UNFIT: list[tuple[str, str, list[tuple[str, str, str]]]] = [
    ("high-roof-van-mm", 'kind = "hoop"', [("frame.kind", '"hoop"', 'it offers 4 pairs of kind "gutter"')]),
    ("high-roof-van-mm", 'kind = "bed"\nheight = 600', [("frame.kind", '"bed"', '4 pairs of kind "gutter"')]),
    ("farm-pickup-inch", 'kind = "ladder"', [("frame.kind", '"ladder"', '3 pairs of kind "bed rail"')]),
    ("boxy-wagon-mm", 'kind = "ladder"', [("frame.kind", '"ladder"', "2 pairs of feet; Boxy five-door wagon has 1")]),
    ("boxy-wagon-mm", 'kind = "bows"', [("frame.kind", '"bows"', "2 pairs of feet; Boxy five-door wagon has 1")]),
    ("high-roof-van-mm", 'kind = "ladder"\n[mounts]\nfront = "track"\nrear = "threads"',
     [("mounts.front", '"track"', '4 pairs of kind'), ("mounts.rear", '"threads"', '4 pairs of kind "gutter"')]),
    ("long-estate-mm", 'kind = "ladder"\n[mounts]\nfront = "roof"', [("mounts.front", '"roof"', "2 pairs of feet")]),
    ("long-estate-mm", 'kind = "ladder"\n[mounts]\nrear = "gutter"', [("mounts.rear", '"gutter"', '3 pairs of kind')]),
]  # fmt: skip


@pytest.mark.parametrize(("vehicle", "frame", "told"), UNFIT, ids=[f"{u[0]}: {u[1][:30]!r}" for u in UNFIT])
def test_what_the_vehicle_has_no_place_for_is_told_at_what_was_written(
    tmp_path: Path, vehicle: str, frame: str, told: list[tuple[str, str, str]]
) -> None:
    file = tmp_path / "rack.toml"
    head = f'format = 1\nshop = "slipway-mm"\nvehicle = "{vehicle}"\nunits = "mm"\n'
    basket = "\n[basket]\nwidth = 1000\nlength = 1000\nheight = 180\n" if "hoop" in frame else "\n"
    file.write_text(f"{head}[frame]\n{frame}{basket}", "utf-8")
    with pytest.raises(BadInput) as refusal:
        job.design(read_job(str(file)))
    for mistake, (key, read, says) in zip(refusal.value.mistakes, told, strict=True):
        assert (mistake.file, mistake.key, mistake.read) == (str(file), key, read)
        assert says in mistake.wanted
        assert file.read_text("utf-8").splitlines()[mistake.line - 1].startswith(key.rpartition(".")[2])


def test_sides_far_outside_their_feet_are_worth_a_look(tmp_path: Path) -> None:
    head = 'format = 1\nshop = "slipway-mm"\nvehicle = "high-roof-van-mm"\nunits = "mm"\n'
    for width, looked in ((2900, True), (1880, False), (1890, True)):
        file = tmp_path / f"wide-{width}.toml"
        file.write_text(f'{head}[frame]\nkind = "ladder"\nwidth = {width}\n', "utf-8")
        found = [f for f in job.design(read_job(str(file))).findings if f.code == "sides-past-feet"]
        assert bool(found) is looked, width
        if looked:
            # The feet of the gutters stand 776 mm out.
            assert found[0].level is Level.LOOK
            assert found[0].got == pytest.approx(width / 2 - 16.85 - 776, abs=1.5)
            assert "mm wide or less" in found[0].help


def test_wishes_for_plates_that_a_rack_has_not_are_said(tmp_path: Path) -> None:
    wish = '[mounts]\nplate = "4 mm plate"\nplate_rivets = 8\nfastener = "bolts"\n'
    for vehicle, said in (("high-roof-van-mm", ["plate", "plate_rivets", "fastener"]),
                          ("long-estate-mm", ["plate_rivets", "fastener"])):  # fmt: skip
        file = tmp_path / f"on-{vehicle}.toml"
        head = f'format = 1\nshop = "slipway-mm"\nvehicle = "{vehicle}"\nunits = "mm"\n'
        file.write_text(f'{head}[frame]\nkind = "ladder"\n{wish}', "utf-8")
        found = [f for f in job.design(read_job(str(file))).findings if f.code == "not-used"]
        assert {key for f in found for key in f.keys} == {f"mounts.{key}" for key in said}
        assert all(f.level is Level.NOTE for f in found)


@pytest.mark.parametrize("name", ["bows-gutter", "bed-bars"])
def test_what_has_no_basket_is_never_told_of_one_and_its_tubes_are_in_the_plan(name: str) -> None:
    asked = made(name)
    pages = {s.name: station_text(s) for s in (*shop_stations(asked), *customer_stations(asked))}
    assert {"installation", "dry-fit", "welds", "clearances"} <= set(pages), set(pages)
    assert not {"floor", "clamps"} & set(re.findall(r"[a-z]+", pages["load-test"].lower()))
    told = {page: [line for line in text.splitlines() if "basket" in line.lower()] for page, text in pages.items()}
    # Which steps of welding a rack has not is told by their names.
    assert not {p: lines for p, lines in told.items() if any("This rack has none of steps" not in x for x in lines)}
    fit = next(s for s in shop_stations(asked) if s.name == "dry-fit")
    assert all(block.rows for block in fit.blocks if isinstance(block, Fields))
    assert ("stub" in pages["dry-fit"]) is any(p.word == "saddle" for p in asked.rack.placed)
    found = installation(asked.rack, asked.job.shop, asked.job.vehicle)
    whole = plan_drawing(found, asked.rack, asked.job.vehicle, "mm")
    bars = [p for p in asked.rack.placed if p.word in ("cross bar", "bow", "rear tube")]
    bare = dataclasses.replace(asked.rack, placed=tuple(p for p in asked.rack.placed if p not in bars))
    without = plan_drawing(found, bare, asked.job.vehicle, "mm")
    assert len(whole.items) >= len(without.items) + 2 * len(bars)
