"""Where pictures are taken from, and how points of the vehicle frame come to lie on them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rackgen.geom.frame import Array, Frame, Vec, vec

View = Literal["front quarter", "rear quarter", "side", "top", "pulled apart"]


@dataclass(frozen=True)
class Camera:
    """Where a view is taken from, vehicle frame.

    Attributes:
        toward: the viewer, from the middle of the rack.
        up: of the picture.
        flat: without perspective.
    """

    toward: Vec
    up: Vec
    flat: bool


VIEWS: Mapping[View, Camera] = {
    "front quarter": Camera((-1.0, -0.9, 0.62), (0.0, 0.0, 1.0), False),
    "rear quarter": Camera((1.0, 0.9, 0.62), (0.0, 0.0, 1.0), False),
    "side": Camera((0.0, -1.0, 0.0), (0.0, 0.0, 1.0), True),
    "top": Camera((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), True),
    "pulled apart": Camera((-1.0, -0.8, 0.5), (0.0, 0.0, 1.0), False),
}
"""The vehicle's front is at the left in the views from the side and from the top."""

PART_CAMERA = Camera((-0.55, -1.0, 0.75), (0.0, 0.0, 1.0), False)
"""Of a part by itself in its own frame."""

MARGIN = 1.06
VIEW_ANGLE = 24.0
"""How much wider than the rack the view is; angle of view up and down, degrees."""


@dataclass(frozen=True)
class Aim:
    """A camera that was aimed.

    Attributes:
        frame: looks along its X with Z up; left in the picture is its Y. Its origin is the eye.
        up: of the picture.
        flat: without perspective.
        half: half the height of what is seen: mm when flat, else of a plane 1 mm away.
    """

    frame: Frame
    up: Vec
    flat: bool
    half: float

    def pixels(self, points: Array, size: tuple[int, int]) -> tuple[Array, Array]:
        """Return points of the vehicle frame as pixels from the lower left corner, (n, 2), and their depth, mm."""
        local = self.frame.to_local(points)
        deep = local[:, 0]
        reach = self.half * (np.ones_like(deep) if self.flat else deep)
        x = size[0] / 2 - local[:, 1] / reach * size[1] / 2
        y = size[1] / 2 + local[:, 2] / reach * size[1] / 2
        return np.column_stack([x, y]), deep


def aimed(camera: Camera, points: Array, size: tuple[int, int], room: float = 1.0) -> Aim:
    """Return the camera turned and moved so that all points just fill the picture.

    Args:
        camera: the view.
        points: of what is drawn, vehicle frame, mm, shape (n, 3).
        size: of the picture, pixels.
        room: share of the picture's width that they may take.
    """
    frame = Frame.of((0, 0, 0), -np.asarray(camera.toward), camera.up)
    local = frame.to_local(points)
    low, high = local.min(axis=0), local.max(axis=0)
    shape = np.array([size[0] / size[1] * room, 1.0])
    if camera.flat:
        eye = np.array([low[0] - 1000.0, *(low[1:] + high[1:]) / 2])
        half = MARGIN * float(((high - low)[1:] / shape).max()) / 2
    else:
        # Slopes of the lines of sight; moved and drawn back until the outermost ones fill the picture evenly.
        half = float(np.tan(np.radians(VIEW_ANGLE / 2)))
        eye = np.array([low[0] - 2 * float((high - low).max()), *(low[1:] + high[1:]) / 2])
        for _ in range(30):
            sight = (local[:, 1:] - eye[1:]) / (local[:, :1] - eye[0])
            least, most = sight.min(axis=0), sight.max(axis=0)
            far = float((local[:, 0] - eye[0]).mean())
            eye[1:] += (least + most) / 2 * far
            eye[0] -= far * (MARGIN * float(((most - least) / 2 / shape).max()) / half - 1)
            eye[0] = min(eye[0], low[0] - 100.0)
    return Aim(Frame(frame.point(vec(eye)), frame.x, frame.y, frame.z), camera.up, camera.flat, half)


def box_corners(points: Array) -> Array:
    """Return the eight corners of the box of points along their axes, shape (8, 3)."""
    ends = np.array([points.min(axis=0), points.max(axis=0)])
    return np.array([[ends[k & 1, 0], ends[k >> 1 & 1, 1], ends[k >> 2, 2]] for k in range(8)])


def grid(view: View, points: Array, square: float) -> list[Array]:
    """Return lines of a grid behind or below what is drawn, each two points of the vehicle frame, mm.

    Args:
        view: a side view has it upright behind the rack, the others level below it.
        points: of what is drawn.
        square: side of a square, mm.
    """
    low, high = points.min(axis=0), points.max(axis=0)
    across = 1 if view == "side" else 2
    behind = high[1] + 1.0 if view == "side" else low[2] - 1.0
    first, second = (a for a in range(3) if a != across)
    ticks: list[Array] = [
        np.arange(float(np.floor(low[a] / square)), float(np.ceil(high[a] / square)) + 1) * square
        for a in (first, second)
    ]
    out: list[Array] = []
    for axis, other, own, far in ((first, second, ticks[0], ticks[1]), (second, first, ticks[1], ticks[0])):
        for value in own:
            line = np.zeros((2, 3))
            line[:, across], line[:, axis] = behind, value
            line[:, other] = far[[0, -1]]
            out.append(line)
    return out


def square_for(longest: float, inches: bool) -> tuple[float, str]:
    """Return a square's side, mm, for something so long, about eight to a side, and how it is called."""
    steps = (
        ((25.4 * n, f"{n:g} in" if n >= 1 else f"1/{round(1 / n)} in") for n in (0.125, 0.25, 0.5, 1, 2, 4, 12))
        if inches
        else ((float(n), f"{n:g} mm") for n in (2, 5, 10, 20, 50, 100, 200))
    )
    found = list(steps)
    return next((s for s in found if longest / s[0] <= 14), found[-1])
