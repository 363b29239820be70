# VTK's stubs leave most types unknown to the checker.
# pyright: reportUnknownMemberType=false, reportUnknownVariableType=false, reportUnknownArgumentType=false
# pyright: reportMissingTypeStubs=false, reportAttributeAccessIssue=false
"""Pictures of a rack on its roof, drawn off screen by VTK from the numpy meshes; VTK is loaded here and nowhere else.

On a machine without a screen VTK draws through EGL; where that is missing too, `PictureError` says so. Pixels may
differ from one driver to another, so pictures are left out of what has to repeat byte for byte.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from rackgen.errors import PictureError
from rackgen.geom.frame import Array, Frame, Vec
from rackgen.geom.surface import Roof
from rackgen.mesh.edges import edges
from rackgen.mesh.mesh import Ints, Mesh, joined, placed
from rackgen.mesh.triangles import triangles
from rackgen.parts.colours import COLOURS, Colour, colour
from rackgen.parts.rack import Rack
from rackgen.spec.vehicle import Vehicle

View = Literal["front quarter", "rear quarter", "side", "top"]


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
}
"""The vehicle's front is at the left in the views from the side and from the top."""

ROOF: Colour = (0.70, 0.77, 0.84)
INK: Colour = (0.12, 0.14, 0.17)
PAPER: Colour = (1.0, 1.0, 1.0)
FINE: Colour = (0.52, 0.52, 0.49)
"""Ghosted roof, edges, background, and the strands of expanded metal."""

ROOF_STEP = 20.0
"""Spacing of the grid on which the ghosted roof is drawn, mm."""

MARGIN = 1.06
VIEW_ANGLE = 24.0
"""How much wider than the rack the view is; angle of view up and down, degrees."""


def picture(rack: Rack, vehicle: Vehicle | None, view: View, size: tuple[int, int] = (1600, 1000)) -> bytes:
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
    rack: Rack, vehicle: Vehicle | None, views: Iterable[View] = tuple(VIEWS), size: tuple[int, int] = (1600, 1000)
) -> dict[View, bytes]:
    """Return views of a rack as PNG files; see `picture`. What stands in all of them is made once.

    Raises:
        PictureError: the machine offers no OpenGL off screen.
    """
    from vtkmodules.vtkCommonCore import vtkLogger

    shown = vtkLogger.GetCurrentVerbosityCutoff()
    # VTK complains on stderr about every way to OpenGL that it tries in vain; what comes of it is said below.
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    try:
        return _drawn(rack, vehicle, tuple(views), size)
    finally:
        vtkLogger.SetStderrVerbosity(shown)


def _drawn(rack: Rack, vehicle: Vehicle | None, views: tuple[View, ...], size: tuple[int, int]) -> dict[View, bytes]:
    from vtkmodules.vtkRenderingCore import vtkCamera, vtkRenderer, vtkRenderWindow

    # Only when this is loaded does vtkRenderWindow find a way to draw.
    importlib.import_module("vtkmodules.vtkRenderingOpenGL2")
    window = vtkRenderWindow()
    window.SetOffScreenRendering(True)
    window.SetShowWindow(False)
    window.SetSize(*size)
    window.SetMultiSamples(4)
    window.Initialize()
    if not window.GetInitialized():
        raise PictureError("no picture: this machine offers no OpenGL off screen; on Debian install libegl1 and libgl1")
    scene = vtkRenderer()
    scene.SetBackground(*PAPER)
    window.AddRenderer(scene)
    bodies = _bodies(rack)
    points = np.concatenate([m.vertices for m in bodies.values()])
    if vehicle is not None:
        for actor in _ghosts(vehicle):
            scene.AddActor(actor)
    for hue, mesh in bodies.items():
        scene.AddActor(_surface(mesh, hue, 0.6 if hue == COLOURS["mesh"] else 1.0))
    ink, fine = _lines(rack)
    scene.AddActor(_strokes(ink, INK, 1.2))
    if fine:
        scene.AddActor(_strokes(fine, FINE, 0.8))
    out: dict[View, bytes] = {}
    for view in views:
        scene.SetActiveCamera(vtkCamera())
        scene.RemoveAllLights()
        _aim(scene, VIEWS[view], points, size)
        outlines = [_outline(mesh, scene.GetActiveCamera()) for mesh in bodies.values()]
        for outline in outlines:
            scene.AddActor(outline)
        scene.ResetCameraClippingRange()
        window.Render()
        out[view] = _png(window)
        for outline in outlines:
            scene.RemoveActor(outline)
    window.Finalize()
    return out


def _png(window: Any) -> bytes:
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkIOImage import vtkPNGWriter
    from vtkmodules.vtkRenderingCore import vtkWindowToImageFilter

    image = vtkWindowToImageFilter()
    image.SetInput(window)
    image.SetInputBufferTypeToRGB()
    image.ReadFrontBufferOff()
    image.ShouldRerenderOff()
    writer = vtkPNGWriter()
    writer.SetInputConnection(image.GetOutputPort())
    writer.WriteToMemoryOn()
    writer.Write()
    return vtk_to_numpy(writer.GetResult()).tobytes()


def _bodies(rack: Rack) -> dict[Colour, Mesh]:
    """Return the whole rack's meshes in the vehicle frame, one for each colour."""
    found: dict[Colour, list[Mesh]] = {}
    for one in rack.placed:
        found.setdefault(colour(one.part), []).append(placed(triangles(one.part), one.frame))
    return {hue: joined(meshes) for hue, meshes in found.items()}


def _lines(rack: Rack) -> tuple[list[Array], list[Array]]:
    """Return the rack's feature lines in the vehicle frame: those of solid parts, and those of expanded metal."""
    ink: list[Array] = []
    fine: list[Array] = []
    for one in rack.placed:
        target = fine if colour(one.part) == COLOURS["mesh"] else ink
        target += [one.frame.points(line) for line in edges(one.part)]
    return ink, fine


def _aim(scene: Any, camera: Camera, points: Array, size: tuple[int, int]) -> None:
    """Turn the scene's camera so that all points just fill the picture."""
    view = scene.GetActiveCamera()
    # A frame that looks along its X with Z up; left in the picture is its Y.
    frame = Frame.of((0, 0, 0), -np.asarray(camera.toward), camera.up)
    local = frame.to_local(points)
    low, high = local.min(axis=0), local.max(axis=0)
    shape = np.array([size[0] / size[1], 1.0])
    if camera.flat:
        eye = np.array([low[0] - 1000.0, *(low[1:] + high[1:]) / 2])
        view.ParallelProjectionOn()
        view.SetParallelScale(MARGIN * float(((high - low)[1:] / shape).max()) / 2)
    else:
        # Slopes of the lines of sight; moved and drawn back until the outermost ones fill the picture evenly.
        tall = float(np.tan(np.radians(VIEW_ANGLE / 2)))
        eye = np.array([low[0] - 2 * float((high - low).max()), *(low[1:] + high[1:]) / 2])
        for _ in range(30):
            sight = (local[:, 1:] - eye[1:]) / (local[:, :1] - eye[0])
            least, most = sight.min(axis=0), sight.max(axis=0)
            far = float((local[:, 0] - eye[0]).mean())
            eye[1:] += (least + most) / 2 * far
            eye[0] -= far * (MARGIN * float(((most - least) / 2 / shape).max()) / tall - 1)
            eye[0] = min(eye[0], low[0] - 100.0)
        view.SetViewAngle(VIEW_ANGLE)
    view.SetPosition(*frame.point(eye))
    view.SetFocalPoint(*frame.point(eye + np.array([1000.0, 0.0, 0.0])))
    view.SetViewUp(*camera.up)
    _light(scene, frame)


def _light(scene: Any, frame: Frame) -> None:
    """Light the scene from a little above the viewer, and weaker from straight above the rack."""
    from vtkmodules.vtkRenderingCore import vtkLight

    scene.AutomaticLightCreationOff()
    for toward, strength in ((frame.direction((-1.0, -0.1, 0.3)), 0.75), ((0.0, 0.0, 1.0), 0.3)):
        light = vtkLight()
        light.SetLightTypeToSceneLight()
        light.PositionalOff()
        light.SetPosition(*toward)
        light.SetFocalPoint(0.0, 0.0, 0.0)
        light.SetIntensity(strength)
        scene.AddLight(light)


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


def _strokes(rows: list[Array], hue: Colour, width: float) -> Any:
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


def roof_mesh(roof: Roof, step: float = ROOF_STEP) -> Mesh:
    """Return the measured roof as an open sheet of triangles, vehicle frame, mm; not where nothing was measured."""
    first, last = roof.sections[0].x, roof.sections[-1].x
    wide = max(max(s.left, s.right) for s in roof.sections)
    across = np.linspace(-1.0, 1.0, max(9, 2 * int(np.ceil(wide / step)) + 1))
    x = np.linspace(first, last, max(3, int(np.ceil((last - first) / step)) + 1))
    xs, share = np.repeat(x, len(across)), np.tile(across, len(x))
    ys = share * (roof.half_width(xs, share) - 1e-6)
    n = len(across)
    a = (np.arange(len(x) - 1)[:, None] * n + np.arange(n - 1)[None, :]).ravel()
    faces = np.concatenate([np.stack([a, a + n, a + n + 1], axis=1), np.stack([a, a + n + 1, a + 1], axis=1)])
    return Mesh(np.column_stack([xs, ys, roof.height(xs, ys)]), faces)
