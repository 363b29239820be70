"""Pictures: each view shows the rack, and a machine without OpenGL is told so."""

import io
import os
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread
from roofs import roof, vehicle
from small_rack import small_rack

from rackgen import job
from rackgen.errors import PictureError
from rackgen.export.callouts import callouts, pointed, spaced
from rackgen.export.cameras import VIEWS, View, aimed, square_for
from rackgen.export.picture import PAPER, part_pictures, picture, pictures
from rackgen.export.pixels import png_bytes
from rackgen.export.plain_picture import plain_part_pictures, plain_pictures
from rackgen.export.roof_skin import roof_mesh
from rackgen.parts.colours import COLOURS
from rackgen.parts.marks import lines
from rackgen.spec.read import read_job
from rackgen.spec.vehicle import Obstacle

pytestmark = pytest.mark.racks

SIZE = (320, 200)
VAN = vehicle(roof(top=-110.0), (Obstacle("the aerial", (100.0, -20.0, -100.0), (140.0, 20.0, 0.0)),))


def pixels(png: bytes) -> np.ndarray:
    """Read a PNG by a library that did not write it, as whole numbers from 0 to 255."""
    return np.rint(imread(io.BytesIO(png))[:, :, :3] * 255).astype(int)


def drawn(view: View, on_roof: bool = True) -> bytes:
    return picture(small_rack(), VAN if on_roof else None, view, SIZE)


@pytest.mark.parametrize("view", list(VIEWS))
def test_every_view_fills_the_picture_and_leaves_a_margin(view: View) -> None:
    shown = pixels(drawn(view, on_roof=False))
    assert shown.shape == (SIZE[1], SIZE[0], 3)
    ink = np.any(shown != 255, axis=2)
    assert not ink[[0, -1]].any()
    assert not ink[:, [0, -1]].any()
    wide, high = (np.ptp(np.flatnonzero(ink.any(axis=k))) for k in (0, 1))
    assert wide > 0.88 * SIZE[0] or high > 0.88 * SIZE[1]


def test_the_roof_is_a_ghost_behind_the_rack() -> None:
    alone, over = pixels(drawn("top", on_roof=False)), pixels(drawn("top"))
    assert np.count_nonzero(np.all(over == 255, axis=2)) < 0.7 * np.count_nonzero(np.all(alone == 255, axis=2))


def test_the_roof_s_mesh_lies_on_the_roof() -> None:
    skin = roof_mesh(VAN.roof)
    assert np.allclose(skin.vertices[:, 2], VAN.roof.height(skin.vertices[:, 0], skin.vertices[:, 1]))
    assert float(np.ptp(skin.vertices[:, 1])) == pytest.approx(1240.0, abs=1e-3)


def test_colours_are_apart_from_one_another_and_from_the_paper() -> None:
    every = [PAPER, *COLOURS.values()]
    for i, a in enumerate(every):
        for b in every[i + 1 :]:
            assert float(np.abs(np.subtract(a, b)).max()) > 0.15


def test_marks_and_grid_stand_in_the_views_and_the_parts_are_apart() -> None:
    """With marks more is drawn, in columns at the sides; pulled apart the same parts cover more of the picture."""
    bare = pictures(small_rack(), None, ("front quarter",), (640, 400))["front quarter"]
    marked = pictures(small_rack(), None, ("front quarter", "pulled apart"), (640, 400), inches=False)
    column = 640 // 20
    for view in ("front quarter", "pulled apart"):
        shown = pixels(marked[view])
        assert (shown[:, :column] < 90).all(axis=2).sum() > 100
        assert (shown[:, -column:] < 90).all(axis=2).sum() > 60
    assert not (pixels(bare)[:, :column] < 90).all(axis=2).any()


def test_every_distinct_part_has_its_picture_in_its_colour() -> None:
    distinct = lines(small_rack())
    drawn = part_pictures(distinct, (240, 150))
    assert list(drawn) == [line.mark for line in distinct]
    for line in distinct:
        shown = pixels(drawn[line.mark])
        assert (shown[:-25].min(axis=2) < 205).sum() > 150, line.mark


def test_a_view_takes_less_than_three_seconds() -> None:
    """Of the processor's time, whatever else the machine does; all views and every part together stay under that."""
    begun = time.process_time()
    pictures(small_rack(), VAN, ("front quarter",), inches=False)
    assert time.process_time() - begun < 3.0


def test_the_plain_pictures_show_what_the_others_show() -> None:
    """Drawn by another road: the rack covers the same pixels but for edges and what lies between strewn points."""
    for view in ("front quarter", "side"):
        plain = pixels(plain_pictures(small_rack(), (view,), SIZE)[view])
        good = pixels(drawn(view, on_roof=False))

        def covered(shown: np.ndarray) -> np.ndarray:
            return (shown.min(axis=2) < 200)[: SIZE[1] - 30]

        both = (covered(plain) & covered(good)).sum()
        assert both > 0.85 * covered(good).sum(), view
        assert both > 0.85 * covered(plain).sum(), view
    marks = [line.mark for line in lines(small_rack())]
    assert list(plain_part_pictures(lines(small_rack()))) == marks


def test_without_opengl_a_pack_has_plain_pictures_of_the_same_names_and_a_note(monkeypatch: pytest.MonkeyPatch) -> None:
    made = job.design(read_job("demo"))
    made = replace(made, rack=small_rack())
    good, nothing = job._pictures(made)

    def refused(*_: object, **__: object) -> None:
        raise PictureError("no picture: this machine offers none")

    monkeypatch.setattr("rackgen.export.picture.pictures", refused)
    plain, said = job._pictures(made)
    assert nothing == ()
    assert plain.keys() == good.keys()
    assert all(pixels(png).min() < 120 for png in plain.values())
    assert len(said) == 1
    assert "drawn plainly instead" in said[0]


def test_pixels_come_back_from_a_png() -> None:
    shown = np.random.default_rng(1).integers(0, 256, (37, 53, 3), dtype=np.uint8)
    assert (pixels(png_bytes(shown)) == shown).all()


def test_points_land_where_the_camera_s_law_puts_them() -> None:
    """A flat view keeps proportions; in both kinds every point lies within the picture, the outermost near its rim."""
    points = np.array([[0.0, -300.0, 0.0], [900.0, 300.0, 0.0], [0.0, 300.0, 150.0], [900.0, -300.0, 150.0]])
    for view, camera in VIEWS.items():
        where, deep = aimed(camera, points, (800, 500)).pixels(points, (800, 500))
        assert (deep > 0).all()
        assert ((where >= 0) & (where <= (800, 500))).all(), view
        spread = np.ptp(where, axis=0) / (800, 500)
        assert spread.max() == pytest.approx(1 / 1.06, abs=0.01), view
    where, _ = aimed(VIEWS["top"], points, (800, 500)).pixels(points, (800, 500))
    assert np.ptp(where[:, 0]) / np.ptp(where[:, 1]) == pytest.approx(900 / 600)


def test_marks_stand_apart_from_one_another_and_inside() -> None:
    places = {f"T{n}": np.array([20.0 * n, 50.0 + (n % 3)]) for n in range(30)}
    found = callouts(places, (600, 400), 12.0)
    assert {one.mark for one in found} == set(places)
    for side in {one.label[0] for one in found}:
        heights = sorted(one.label[1] for one in found if one.label[0] == side)
        assert min(np.diff(heights)) > 17.9
        assert heights[0] >= 12.0
        assert heights[-1] <= 388.0


def test_too_many_marks_share_the_room_evenly() -> None:
    found = spaced([5.0] * 50, 20.0, 0.0, 490.0)
    assert found[0] == 0.0
    assert found[-1] == 490.0
    assert np.allclose(np.diff(found), 10.0)


def test_what_is_hidden_is_not_pointed_at() -> None:
    spots = np.array([[0.0, 0.0], [10.0, 0.0], [20.0, 0.0], [90.0, 0.0]])
    assert pointed(spots, np.zeros(4)) is None
    at = pointed(spots, np.array([1, 1, 1, 0]))
    assert at is not None
    assert at.tolist() == [10.0, 0.0]


def test_the_grid_s_square_suits_what_is_drawn() -> None:
    assert square_for(1300.0, False) == (100.0, "100 mm")
    assert square_for(60.0, False) == (5.0, "5 mm")
    assert square_for(1300.0, True) == (101.6, "4 in")
    assert square_for(9000.0, True)[1] == "12 in"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="EGL is hidden the way Linux looks for it")
def test_without_opengl_there_is_a_plain_error() -> None:
    script = (
        "import sys; sys.path.insert(0, 'tests')\n"
        "from small_rack import small_rack\n"
        "from rackgen.errors import PictureError\n"
        "from rackgen.export.picture import picture\n"
        "try:\n"
        "    picture(small_rack(), None, 'side', (64, 48))\n"
        "except PictureError as error:\n"
        "    print(error)\n"
    )
    hidden = {k: v for k, v in os.environ.items() if k != "DISPLAY"}
    hidden |= {"__EGL_VENDOR_LIBRARY_FILENAMES": str(Path(__file__).parent / "no-such-vendor.json")}
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, env=hidden)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("no picture: this machine offers no OpenGL off screen")
    assert done.stderr == ""
