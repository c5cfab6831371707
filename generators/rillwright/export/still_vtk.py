"""A sheet to draw on: actors, light, camera and file, by VTK off screen.

Modules are imported one by one, since all of VTK takes four times as long. VTK carries no types: what comes from it
is Any.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import vtkmodules.vtkInteractionStyle
import vtkmodules.vtkRenderingFreeType
import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  its import makes the drawing classes known
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkIOImage import vtkPNGWriter
from vtkmodules.vtkRenderingCore import (
    vtkActor,
    vtkActor2D,
    vtkLight,
    vtkPolyDataMapper,
    vtkPolyDataMapper2D,
    vtkRenderer,
    vtkRenderWindow,
    vtkTextActor,
    vtkWindowToImageFilter,
)

from .still_scene import Drawn, Floats, Ints

SIZE = (1200, 900)  # px
MARGINS = (60, 60, 44, 100)  # px: left, right, below, above
VIEW_ANGLE = 18.0  # degrees
PAPER, PAPER_TOP = (0.985, 0.985, 0.98), (0.90, 0.915, 0.93)
INK, GREY = (0.13, 0.15, 0.18), (0.42, 0.45, 0.49)
PACKING = 2  # of PNG, 0 to 9: a third of the time of the usual 6 for a tenth more bytes
Colour = tuple[float, float, float]
_floats: Any = numpy_to_vtk
_ids: Any = numpy_to_vtkIdTypeArray


class NoDrawing(RuntimeError):
    """The machine has nothing to draw with."""


class Easel:
    """What sheets are drawn on, one after another: opening it costs more than a picture."""

    def __init__(self) -> None:
        self.window: Any = vtkRenderWindow()
        self.window.SetOffScreenRendering(1)
        self.window.SetSize(*SIZE)
        self.window.SetMultiSamples(0)  # edges are smoothed by the sheet, which is quicker

    def save(self, sheet: Sheet, path: Path) -> None:
        """Draw a sheet and write it as PNG; raises NoDrawing where nothing comes of it, OSError."""
        self.window.AddRenderer(sheet.scene)
        self.window.Render()
        grab: Any = vtkWindowToImageFilter()
        grab.SetInput(self.window)
        grab.ReadFrontBufferOff()
        grab.ShouldRerenderOff()
        grab.Update()
        self.window.RemoveRenderer(sheet.scene)
        image = grab.GetOutput()
        low, high = image.GetScalarRange() if image.GetNumberOfPoints() else (0, 0)
        if image.GetDimensions()[:2] != SIZE or high <= low:
            raise NoDrawing("the graphics library of this machine draws nothing")
        writer: Any = vtkPNGWriter()
        writer.SetFileName(str(path))
        writer.SetCompressionLevel(PACKING)
        writer.SetInputConnection(grab.GetOutputPort())
        writer.Write()
        if writer.GetErrorCode():
            raise OSError(f"{path.name} could not be written")


class Sheet:
    """One picture of SIZE in the making.

    Clear surfaces are blended in the order in which they are added, far side before near side: right for parts that
    are added from the back to the front, and four times as fast as sorting every pixel.
    """

    def __init__(self) -> None:
        self.scene: Any = vtkRenderer()
        self.low, self.high = np.full(3, np.inf), np.full(3, -np.inf)
        self.scene.SetBackground(*PAPER)
        self.scene.SetBackground2(*PAPER_TOP)
        self.scene.GradientBackgroundOn()
        self.scene.DitherGradientOff()  # its noise would be half of the file
        self.scene.UseFXAAOn()
        smoothing = self.scene.GetFXAAOptions()  # edges here are straight or gently bent: nothing finer can be seen
        smoothing.UseHighQualityEndpointsOff()
        smoothing.SetEndpointSearchIterations(4)

    def surface(
        self, part: Drawn, colour: Colour, opacity: float = 1.0, shine: float = 0.15, back: float = 2.0
    ) -> None:
        """Add the triangles of a part; of two surfaces in one place that with the smaller `back` is seen."""
        if not len(part.triangles):
            return
        data = _triangles(part.points, part.triangles)
        data.GetPointData().SetNormals(_floats(part.normals.astype(np.float32), deep=True))
        used = part.points[part.triangles].reshape(-1, 3)
        self.low, self.high = np.minimum(self.low, used.min(axis=0)), np.maximum(self.high, used.max(axis=0))
        for far_side in (True, False) if opacity < 1 else (None,):
            look = self._actor(data, colour, opacity, back)
            look.SetInterpolationToPhong()
            look.SetAmbient(0.30)
            look.SetDiffuse(0.74)
            look.SetSpecular(shine)
            look.SetSpecularPower(40)
            if far_side is not None:
                look.SetFrontfaceCulling(far_side)
                look.SetBackfaceCulling(not far_side)

    def flat(self, points: Floats, triangles: Ints, colour: Colour, opacity: float = 1.0) -> None:
        """Add triangles of one even colour, whatever the light: cut faces."""
        if len(triangles):
            look = self._actor(_triangles(points, triangles), colour, opacity)
            look.LightingOff()

    def lines(self, segments: Floats, colour: Colour = INK, width: float = 1.2, opacity: float = 1.0) -> None:
        """Add straight pieces (k, 2, 3), `width` in px."""
        if not len(segments):
            return
        data = vtkPolyData()
        points = vtkPoints()
        points.SetData(_floats(segments.reshape(-1, 3).astype(np.float32), deep=True))
        data.SetPoints(points)
        data.SetLines(_cells(np.arange(2 * len(segments)).reshape(-1, 2)))
        look = self._actor(data, colour, opacity)
        look.SetLineWidth(width)
        look.LightingOff()

    def _actor(self, data: Any, colour: Colour, opacity: float, back: float = 2.0) -> Any:
        mapper: Any = vtkPolyDataMapper()
        mapper.SetInputData(data)
        # Edges lie in their faces; pushed back a little, the faces leave them whole.
        mapper.SetResolveCoincidentTopologyToPolygonOffset()
        mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(back, back)
        mapper.SetRelativeCoincidentTopologyLineOffsetParameters(-1.0, -4.0)
        actor: Any = vtkActor()
        actor.SetMapper(mapper)
        look = actor.GetProperty()
        look.SetColor(*colour)
        look.SetOpacity(opacity)
        self.scene.AddActor(actor)
        return look

    def text(self, words: str, at: tuple[float, float], size: int = 17, colour: Colour = INK, *, middle: bool = False,
             bold: bool = False) -> None:  # fmt: skip
        """Add a line of words at a place in px from the lower left corner."""
        actor: Any = vtkTextActor()
        actor.SetInput(words)
        actor.SetPosition(*at)
        style = actor.GetTextProperty()
        style.SetFontFamilyToArial()
        style.SetFontSize(size)
        style.SetColor(*colour)
        style.SetBold(bold)
        style.SetVerticalJustificationToCentered()
        if middle:
            style.SetJustificationToCentered()
            style.SetBackgroundColor(1, 1, 1)
            style.SetBackgroundOpacity(0.82)
        self.scene.AddViewProp(actor)

    def caption(self, title: str, more: str, loops: Mapping[str, Colour]) -> None:
        """What the picture shows at the upper left, the loops with their colours at the upper right."""
        self.text(title, (32, SIZE[1] - 36), 22, bold=True)
        if more:
            self.text(more, (32, SIZE[1] - 66), 16, GREY)
        for i, (loop, colour) in enumerate(loops.items()):
            x, y = SIZE[0] - 210, SIZE[1] - 36 - 26 * i
            self.shape([(x, y - 7), (x + 14, y - 7), (x + 14, y + 7), (x, y + 7)], colour)
            self.text(loop, (x + 24, y), 16)

    def shape(self, corners: Sequence[tuple[float, float]], colour: Colour) -> None:
        """Add a filled convex polygon given in px from the lower left corner."""
        points = np.column_stack([np.array(corners, np.float64), np.zeros(len(corners))])
        mapper: Any = vtkPolyDataMapper2D()
        mapper.SetInputData(_triangles(points, np.arange(len(corners))[None]))
        actor: Any = vtkActor2D()
        actor.SetMapper(mapper)
        actor.GetProperty().SetColor(*colour)
        self.scene.AddViewProp(actor)

    def look(self, direction: Sequence[float], up: Sequence[float], *, parallel: bool = True) -> None:
        """Aim at everything from `direction`, as near as MARGINS allow. Light comes over the left shoulder."""
        camera = self.scene.GetActiveCamera()
        back = np.array(direction) / np.linalg.norm(direction)
        middle = (self.low + self.high) / 2
        reach = float(np.linalg.norm(self.high - self.low))
        camera.SetParallelProjection(parallel)
        camera.SetViewAngle(VIEW_ANGLE)
        camera.SetFocalPoint(*middle)
        camera.SetPosition(*(middle + back * reach / np.radians(VIEW_ANGLE) * 1.1))
        camera.SetViewUp(*up)
        camera.SetParallelScale(reach / 2)
        self.scene.ResetCameraClippingRange()
        # Twice: a nearer camera sees the corners a little wider apart.
        for _ in range(2):
            self._frame(camera)
        self.scene.RemoveAllLights()
        for place, strength in (((-0.9, 1.3, 1.4), 0.80), ((1.2, 0.2, 0.9), 0.38), ((0.0, -1.2, 0.5), 0.16)):
            light: Any = vtkLight()
            light.SetLightTypeToCameraLight()
            light.SetPosition(*place)
            light.SetFocalPoint(0, 0, 0)
            light.SetIntensity(strength)
            self.scene.AddLight(light)

    def _frame(self, camera: Any) -> None:
        """Move and zoom so that the corners of everything fill the picture inside its margins."""
        corners = np.array(list(product(*zip(self.low, self.high, strict=True))))
        seen = self._seen(camera, corners)
        low, high = seen.min(axis=0), seen.max(axis=0)
        left, right, bottom, top = MARGINS
        room = np.array([SIZE[0] - left - right, SIZE[1] - bottom - top])
        camera.Zoom(float((room / (high - low)).min()))
        seen = self._seen(camera, corners)
        off = (seen.min(axis=0) + seen.max(axis=0)) / 2 - [left + room[0] / 2, bottom + room[1] / 2]
        # The window's centre moves by parts of half a picture, which shifts without turning.
        was = camera.GetWindowCenter()
        camera.SetWindowCenter(was[0] + off[0] * 2 / SIZE[0], was[1] + off[1] * 2 / SIZE[1])
        self.scene.ResetCameraClippingRange()

    def _seen(self, camera: Any, points: Floats) -> Floats:
        """Places (n, 2) in px of points (n, 3)."""
        matrix = camera.GetCompositeProjectionTransformMatrix(SIZE[0] / SIZE[1], -1, 1)
        m = np.array([[matrix.GetElement(r, c) for c in range(4)] for r in range(4)])
        h = np.column_stack([points, np.ones(len(points))]) @ m.T
        place: Floats = (h[:, :2] / h[:, 3:] + 1) / 2 * SIZE
        return place

    def pixel(self, point: Sequence[float]) -> tuple[float, float]:
        """Where a point (mm) lies on the picture, px from the lower left corner; after `look`."""
        x, y = self._seen(self.scene.GetActiveCamera(), np.array([point], np.float64))[0]
        return (float(x), float(y))


def _triangles(points: Floats, triangles: Ints) -> Any:
    data = vtkPolyData()
    held = vtkPoints()
    held.SetData(_floats(points.astype(np.float32), deep=True))
    data.SetPoints(held)
    data.SetPolys(_cells(triangles))
    return data


def _cells(corners: Any) -> Any:
    cells = vtkCellArray()
    count, each = corners.shape
    offsets = _ids(np.arange(0, count * each + 1, each, dtype=np.int64), deep=True)
    cells.SetData(offsets, _ids(np.ascontiguousarray(corners, np.int64).ravel(), deep=True))
    return cells
