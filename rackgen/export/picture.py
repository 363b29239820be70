# VTK's stubs leave most types unknown to the checker.
# pyright: reportUnknownMemberType=false, reportUnknownVariableType=false, reportUnknownArgumentType=false
# pyright: reportMissingTypeStubs=false, reportAttributeAccessIssue=false
"""Pictures of a rack on its roof, drawn off screen by VTK from the numpy meshes; VTK is loaded here and nowhere else.

On a machine without a screen VTK draws through EGL; where that is missing too, `PictureError` says so, and
`plain_picture.py` draws instead. Pixels may differ from one driver to another, so pictures are left out of what has to
repeat byte for byte.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

import numpy as np

from rackgen.errors import PictureError
from rackgen.export.apart import apart
from rackgen.export.callouts import COLUMN, callouts, pointed
from rackgen.export.cameras import PART_CAMERA, VIEWS, Aim, View, aimed, grid, square_for
from rackgen.export.pixels import INK, Pixels, call_out, letters, png_bytes
from rackgen.export.roof_skin import roof_mesh
from rackgen.export.staging import Stage, part_stage, staged
from rackgen.geom.frame import Array
from rackgen.mesh.mesh import Ints, Mesh
from rackgen.parts.colours import COLOURS, Colour
from rackgen.parts.marks import Line, Mark, lines
from rackgen.parts.rack import Rack
from rackgen.spec.vehicle import Vehicle

ROOF: Colour = (0.70, 0.77, 0.84)
PAPER: Colour = (1.0, 1.0, 1.0)
FINE: Colour = (0.52, 0.52, 0.49)
GRID: Colour = (0.86, 0.85, 0.82)
"""Ghosted roof, background, strands of expanded metal, and the grid for scale."""

SIZE, PART_SIZE = (1600, 1000), (720, 450)
"""Pixels of a view of the rack, and of a part."""

LETTER = 0.016
"""Height of marks, of the picture's height."""

BEFORE = 6.0
"""What is nearer than a part's surface by more than this stands before it, mm."""

Near = Callable[[Array, Array], Array]
"""Says which places on screen nothing stands before at which depth."""

Draw = Callable[[Aim, Stage, list[Any], list[Array]], tuple[Pixels, Near]]
"""Draws actors and grid lines."""


def picture(rack: Rack, vehicle: Vehicle | None, view: View, size: tuple[int, int] = SIZE) -> bytes:
    """Return one view of a rack as a PNG file.

    Args:
        rack: resolved.
        vehicle: whose roof and obstacles are drawn as ghosts, or None for the rack alone.
        view: one of `VIEWS`.
        size: width and height, pixels.

    Raises:
        PictureError: the machine offers no OpenGL off screen.
    """
    return pictures(rack, vehicle, (view,), size)[view]


def pictures(
    rack: Rack,
    vehicle: Vehicle | None,
    views: Iterable[View] = tuple(VIEWS),
    size: tuple[int, int] = SIZE,
    inches: bool | None = None,
) -> dict[View, bytes]:
    """Return views of a rack as PNG files; see `picture`.

    Args:
        rack: resolved.
        vehicle: whose roof and obstacles are drawn as ghosts, or None for the rack alone. Not where it is pulled apart.
        views: of `VIEWS`.
        size: width and height, pixels.
        inches: whether the grid is in inches, else in mm; None for neither grid nor marks.

    Raises:
        PictureError: the machine offers no OpenGL off screen.
    """
    distinct = lines(rack)
    whole = staged(distinct)
    out: dict[View, bytes] = {}
    with _window(size) as window:
        ghosts = _ghosts(vehicle) if vehicle is not None else []
        actors = _actors(whole)
        for view in views:
            if view == "pulled apart":
                stage = staged(distinct, apart(rack))
                drawn, behind = _actors(stage), []
            else:
                stage, drawn, behind = whole, actors, ghosts
            aim = aimed(VIEWS[view], stage.corners, size, 1.0 if inches is None else 1.0 - 2.2 * COLUMN)
            rows: list[Array] = []
            told = ""
            if inches is not None:
                square, name = square_for(float(np.ptp(stage.corners, axis=0).max()), inches)
                rows, told = grid(view, stage.corners, square), f"grid {name}"
            pixels, near = window(aim, stage, [*behind, *drawn], rows)
            if inches is not None:
                # Bought parts are named where they do not crowd the others.
                named = {m: rows for m, rows in stage.spots.items() if view == "pulled apart" or not m.startswith("H")}
                _mark(pixels, near, named, aim, size)
                _tell(pixels, told)
            out[view] = png_bytes(pixels)
    return out


def part_pictures(
    distinct: Sequence[Line], size: tuple[int, int] = PART_SIZE, inches: bool = False
) -> dict[Mark, bytes]:
    """Return each distinct part by itself over a grid as a PNG file, by its mark.

    Args:
        distinct: the parts.
        size: width and height, pixels.
        inches: whether the grid is in inches, else in mm.

    Raises:
        PictureError: the machine offers no OpenGL off screen.
    """
    out: dict[Mark, bytes] = {}
    with _window(size) as window:
        for line in distinct:
            stage = part_stage(line)
            aim = aimed(PART_CAMERA, stage.corners, size)
            square, name = square_for(float(np.ptp(stage.corners, axis=0).max()), inches)
            pixels, _ = window(aim, stage, _actors(stage), grid("front quarter", stage.corners, square))
            _tell(pixels, f"{line.mark}  {line.placed[0].word}  grid {name}")
            out[line.mark] = png_bytes(pixels)
    return out


def _mark(pixels: Pixels, near: Near, named: Mapping[Mark, Sequence[Array]], aim: Aim, size: tuple[int, int]) -> None:
    """Write the marks of parts of which something is seen."""
    places: dict[Mark, Array] = {}
    for mark, rows in named.items():
        most = 0
        for row in rows:
            spots, deep = aim.pixels(row, size)
            seen = near(spots, deep)
            at = pointed(spots, seen)
            if at is not None and int(seen.sum()) > most:
                places[mark], most = at, int(seen.sum())
    height = LETTER * size[1]
    call_out(pixels, callouts(places, size, height), height)


def _tell(pixels: Pixels, text: str) -> None:
    height = max(8.0, LETTER * pixels.shape[0])
    letters(pixels, text, (pixels.shape[1] / 2, 1.6 * height), height)


@contextmanager
def _window(size: tuple[int, int]) -> Generator[Draw]:
    """Give what draws off screen.

    Raises:
        PictureError: the machine offers no OpenGL off screen.
    """
    from vtkmodules.vtkCommonCore import vtkLogger

    shown = vtkLogger.GetCurrentVerbosityCutoff()
    # VTK complains on stderr about every way to OpenGL that it tries in vain; what comes of it is said below.
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    try:
        from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow

        # Only when this is loaded does vtkRenderWindow find a way to draw.
        importlib.import_module("vtkmodules.vtkRenderingOpenGL2")
        window = vtkRenderWindow()
        window.SetOffScreenRendering(True)
        window.SetShowWindow(False)
        window.SetSize(*size)
        # Edges are smoothed after drawing: on a processor that draws by itself this takes a third of the time.
        window.SetMultiSamples(0)
        window.Initialize()
        if not window.GetInitialized():
            raise PictureError(
                "no picture: this machine offers no OpenGL off screen; on Debian install libegl1 and libgl1"
            )
        scene = vtkRenderer()
        scene.SetBackground(*PAPER)
        scene.UseFXAAOn()
        scene.AutomaticLightCreationOff()
        window.AddRenderer(scene)

        def draw(aim: Aim, stage: Stage, actors: list[Any], rows: list[Array]) -> tuple[Pixels, Near]:
            return _drawn(window, scene, aim, stage, actors, rows)

        yield draw
        window.Finalize()
    finally:
        vtkLogger.SetStderrVerbosity(shown)


def _drawn(
    window: Any, scene: Any, aim: Aim, stage: Stage, actors: list[Any], rows: list[Array]
) -> tuple[Pixels, Near]:
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkCommonCore import vtkFloatArray, vtkUnsignedCharArray

    first, last = _look(scene, aim, np.concatenate([stage.corners, *rows]))
    shown = [*actors, *([_strokes(rows, GRID, 1.0)] if rows else [])]
    shown += [_outline(mesh, scene.GetActiveCamera()) for mesh in stage.bodies.values()]
    for actor in shown:
        scene.AddActor(actor)
    window.Render()
    wide, high = window.GetSize()
    colours, depths = vtkUnsignedCharArray(), vtkFloatArray()
    window.GetPixelData(0, 0, wide - 1, high - 1, 0, colours, 0)
    window.GetZbufferData(0, 0, wide - 1, high - 1, depths)
    pixels: Pixels = np.ascontiguousarray(vtk_to_numpy(colours).reshape(high, wide, 3)[::-1], dtype=np.uint8)
    buffer = vtk_to_numpy(depths).reshape(high, wide)
    scene.RemoveAllViewProps()

    def near(spots: Array, depth: Array) -> Array:
        column, row = np.floor(spots).astype(int).T
        inside = (column >= 0) & (column < wide) & (row >= 0) & (row < high)
        z = buffer[np.clip(row, 0, high - 1), np.clip(column, 0, wide - 1)].astype(float)
        there = first + z * (last - first) if aim.flat else first * last / (last - z * (last - first))
        return np.asarray(inside & (depth <= there + BEFORE))

    return pixels, near


def _look(scene: Any, aim: Aim, points: Array) -> tuple[float, float]:
    """Aim the scene's camera and its lights; return the depths between which things are drawn, mm."""
    from vtkmodules.vtkRenderingCore import vtkCamera, vtkLight

    camera = vtkCamera()
    if aim.flat:
        camera.ParallelProjectionOn()
        camera.SetParallelScale(aim.half)
    else:
        camera.SetViewAngle(2 * float(np.degrees(np.arctan(aim.half))))
    camera.SetPosition(*aim.frame.origin)
    camera.SetFocalPoint(*aim.frame.point((1000.0, 0.0, 0.0)))
    camera.SetViewUp(*aim.up)
    deep = aim.frame.to_local(points)[:, 0]
    # The roof, which is drawn as a ghost, may reach farther than the rack.
    first, last = max(10.0, 0.5 * float(deep.min())), float(deep.max()) + 4000.0
    camera.SetClippingRange(first, last)
    scene.SetActiveCamera(camera)
    scene.RemoveAllLights()
    # From a little above the viewer, and weaker from straight above the rack.
    for toward, strength in ((aim.frame.direction((-1.0, -0.1, 0.3)), 0.75), ((0.0, 0.0, 1.0), 0.3)):
        light = vtkLight()
        light.SetLightTypeToSceneLight()
        light.PositionalOff()
        light.SetPosition(*toward)
        light.SetFocalPoint(0.0, 0.0, 0.0)
        light.SetIntensity(strength)
        scene.AddLight(light)
    return first, last


def _actors(stage: Stage) -> list[Any]:
    out = [_surface(mesh, hue, 0.6 if hue == COLOURS["mesh"] else 1.0) for hue, mesh in stage.bodies.items()]
    if stage.ink:
        out.append(_strokes(stage.ink, INK, 1.2))
    if stage.fine:
        out.append(_strokes(stage.fine, FINE, 0.8))
    return out


def _poly(points: Array, cells: Ints, counts: Ints, *, lines: bool) -> Any:
    """Return VTK's record of triangles, or of rows of points as lines.

    Args:
        points: shape (n, 3), mm.
        cells: the numbers of the points of one cell after the other.
        counts: how many points each cell has.
        lines: whether cells are lines or faces.
    """
    from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

    where = vtkPoints()
    where.SetData(numpy_to_vtk(np.ascontiguousarray(points), deep=True))
    array = vtkCellArray()
    array.SetData(
        numpy_to_vtkIdTypeArray(np.concatenate([[0], np.cumsum(counts)]).astype(np.int64), deep=True),
        numpy_to_vtkIdTypeArray(np.ascontiguousarray(cells.ravel()), deep=True),
    )
    data = vtkPolyData()
    data.SetPoints(where)
    if lines:
        data.SetLines(array)
    else:
        data.SetPolys(array)
    return data


def _faces(mesh: Mesh) -> Any:
    return _poly(mesh.vertices, mesh.faces, np.full(len(mesh.faces), 3), lines=False)


def _surface(mesh: Mesh, hue: Colour, opacity: float = 1.0) -> Any:
    from vtkmodules.vtkFiltersCore import vtkPolyDataNormals
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    smooth = vtkPolyDataNormals()
    smooth.SetInputData(_faces(mesh))
    smooth.SetFeatureAngle(30.0)
    smooth.ConsistencyOff()
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(smooth.GetOutputPort())
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    actor = vtkActor()
    actor.SetMapper(mapper)
    looks = actor.GetProperty()
    looks.SetColor(*hue)
    looks.SetOpacity(opacity)
    # What is translucent is shown flat, so that it does not darken what lies behind it.
    looks.SetAmbient(0.38 if opacity == 1.0 else 0.85)
    looks.SetDiffuse(0.75 if opacity == 1.0 else 0.15)
    return actor


def _outline(mesh: Mesh, camera: Any) -> Any:
    """Return the lines where surfaces turn away from the viewer."""
    from vtkmodules.vtkFiltersHybrid import vtkPolyDataSilhouette
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    turn = vtkPolyDataSilhouette()
    turn.SetInputData(_faces(mesh))
    turn.SetCamera(camera)
    if camera.GetParallelProjection():
        turn.SetDirectionToSpecifiedVector()
        turn.SetVector(*camera.GetDirectionOfProjection())
    turn.SetEnableFeatureAngle(0)
    turn.BorderEdgesOff()
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(turn.GetOutputPort())
    mapper.ScalarVisibilityOff()
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(*INK)
    actor.GetProperty().SetLineWidth(1.2)
    actor.GetProperty().LightingOff()
    return actor


def _strokes(rows: Sequence[Array], hue: Colour, width: float) -> Any:
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    points, counts = np.concatenate(rows), np.array([len(r) for r in rows])
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(_poly(points, np.arange(len(points)), counts, lines=True))
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0.0, -8.0)
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(*hue)
    actor.GetProperty().SetLineWidth(width)
    actor.GetProperty().LightingOff()
    return actor


def _ghosts(vehicle: Vehicle) -> list[Any]:
    """Return the roof's skin, pale and translucent with a line at every station, and the obstacles' edges."""
    skin = roof_mesh(vehicle.roof)
    out = [_surface(skin, ROOF, 0.45)] if len(skin.faces) else []
    rows: list[Array] = []
    for section in vehicle.roof.sections:
        y = np.linspace(-section.left, section.right, 61)[1:-1]
        x = np.full(len(y), section.x)
        rows.append(np.column_stack([x, y, vehicle.roof.height(x, y)]))
    for box in vehicle.obstacles:
        corner = np.array([box.low, box.high])
        for axis in range(3):
            for k in range(4):
                ends = np.array([[corner[k & 1, 0], corner[k >> 1, 1], corner[0, 2]]] * 2)
                others = [i for i in range(3) if i != axis]
                ends[:, others[0]], ends[:, others[1]] = corner[k & 1, others[0]], corner[k >> 1, others[1]]
                ends[:, axis] = corner[:, axis]
                rows.append(ends)
    out.append(_strokes([r[np.isfinite(r).all(axis=1)] for r in rows], ROOF, 1.4))
    return out
