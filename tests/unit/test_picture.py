"""Pictures: each view shows the rack, and a machine without OpenGL is told so."""

import io
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread
from roofs import roof, vehicle
from small_rack import small_rack

from rackgen.export.picture import PAPER, VIEWS, View, picture, roof_mesh
from rackgen.parts.colours import COLOURS
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
