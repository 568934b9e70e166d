"""Draws scenes with the graphics library: run as a process of its own, which may die without harm to the caller.

Where no graphics driver starts, the library ends its process by a segmentation fault; nothing else in the house loads
it. The process reads `scene-N.npz` from the folder that it is given and leaves `pixels-N.npy` there.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np

LIGHTS = (
    ((-0.45, 0.75, 0.85), 0.50),
    ((0.9, 0.15, 0.6), 0.36),
    ((0.0, -0.8, 0.6), 0.22),
)
"""Where each light comes from, in the view (right, up, towards the eye), and how bright it is [-]."""

AMBIENT = 0.36
"""Light from everywhere [-]: no side falls into black, for a page that is printed in grey."""

INK = (0.13, 0.13, 0.15)
"""Colour of lines [-]."""

NO_LIBRARY = 3
"""Exit code where the library is not installed."""


def main(folder: Path) -> int:
    """Draw all scenes of a folder."""
    try:
        import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  registers what draws
    except ImportError as error:
        sys.stderr.write(f"{error}\n")
        return NO_LIBRARY
    for path in sorted(folder.glob("scene-*.npz")):
        with np.load(path) as scene:
            pixels = draw(scene)
        np.save(folder / f"{path.stem.replace('scene', 'pixels')}.npy", pixels)
    return 0


def draw(scene: Any) -> np.ndarray[Any, np.dtype[np.uint8]]:  # noqa: ANN401  a loaded archive
    """One scene as pixels (height, width, 3), the top row first.

    Points are in the view already: right, up, towards the eye [mm].
    """
    from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow, vtkWindowToImageFilter

    width, height, finer = (int(one) for one in scene["size"])
    left, low, right, high = (float(one) for one in scene["frame"])
    renderer = vtkRenderer()
    renderer.SetBackground(1.0, 1.0, 1.0)
    renderer.AddActor(_surface(scene))
    renderer.AddActor(_lines(scene, finer))
    _light(renderer)
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    near, far = (float(one) for one in scene["depth"])
    across, up = (left + right) / 2.0, (low + high) / 2.0
    camera.SetPosition(across, up, far + 10.0)
    camera.SetFocalPoint(across, up, near)
    camera.SetViewUp(0.0, 1.0, 0.0)
    camera.SetParallelScale((high - low) / 2.0)
    camera.SetClippingRange(5.0, far - near + 15.0)
    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetSize(width * finer, height * finer)
    window.AddRenderer(renderer)
    window.Render()
    grab = vtkWindowToImageFilter()
    grab.SetInput(window)
    grab.ReadFrontBufferOff()
    grab.ShouldRerenderOff()
    grab.Update()
    image = grab.GetOutput()
    columns, rows, _ = image.GetDimensions()
    fine = _arrays().vtk_to_numpy(image.GetPointData().GetScalars()).reshape(rows, columns, -1)[::-1, :, :3]
    window.Finalize()
    # Every pixel is the mean of a square of finer ones, which smooths all edges alike on any driver.
    total = np.zeros((height, width, 3), dtype=np.uint16)
    for i in range(finer):
        for j in range(finer):
            total += fine[i::finer, j::finer]
    return np.asarray((total + finer**2 // 2) // finer**2, dtype=np.uint8)


def _surface(scene: Any) -> Any:  # noqa: ANN401  the library has no types here
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    points, normals, colours = scene["points"], scene["normals"], scene["colours"]
    data = _poly(points, np.arange(len(points), dtype=np.int64).reshape(-1, 3), "SetPolys")
    upright = _arrays().numpy_to_vtk(np.ascontiguousarray(normals, dtype=np.float32), deep=True)
    data.GetPointData().SetNormals(upright)
    paint = _arrays().numpy_to_vtk(np.ascontiguousarray(colours, dtype=np.uint8), deep=True)
    data.GetCellData().SetScalars(paint)
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(data)
    mapper.SetColorModeToDirectScalars()
    mapper.SetScalarModeToUseCellData()
    actor = vtkActor()
    actor.SetMapper(mapper)
    look = actor.GetProperty()
    look.SetInterpolationToPhong()
    look.SetAmbient(AMBIENT)
    look.SetDiffuse(1.0)
    return actor


def _lines(scene: Any, finer: int) -> Any:  # noqa: ANN401
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    ends = scene["lines"]
    data = _poly(ends, np.arange(len(ends), dtype=np.int64).reshape(-1, 2), "SetLines")
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(data)
    actor = vtkActor()
    actor.SetMapper(mapper)
    look = actor.GetProperty()
    look.LightingOff()
    look.SetColor(*INK)
    look.SetLineWidth(float(scene["pen"]) * finer)
    return actor


def _poly(points: Any, cells: Any, setter: str) -> Any:  # noqa: ANN401
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

    places = vtkPoints()
    places.SetData(_arrays().numpy_to_vtk(np.ascontiguousarray(points, dtype=np.float32), deep=True))
    found = vtkCellArray()
    size = cells.shape[1]
    offsets = np.arange(0, cells.size + 1, size, dtype=np.int64)
    found.SetData(
        _arrays().numpy_to_vtkIdTypeArray(offsets, deep=True),
        _arrays().numpy_to_vtkIdTypeArray(np.ascontiguousarray(cells.ravel()), deep=True),
    )
    data = vtkPolyData()
    data.SetPoints(places)
    getattr(data, setter)(found)
    return data


def _arrays() -> Any:  # noqa: ANN401  what turns arrays to and fro, of which only a part has types
    from vtkmodules.util import numpy_support

    return numpy_support


def _light(renderer: Any) -> None:  # noqa: ANN401
    from vtkmodules.vtkRenderingCore import vtkLight

    renderer.AutomaticLightCreationOff()
    for place, bright in LIGHTS:
        light = vtkLight()
        light.SetLightTypeToCameraLight()
        light.SetPosition(*place)
        light.SetFocalPoint(0.0, 0.0, 0.0)
        light.SetIntensity(bright)
        renderer.AddLight(light)


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
