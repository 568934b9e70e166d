"""Shaded pictures of meshes as PNG, read back before they count; drawn by another process.

The view is a parallel projection on white. What is asked of the graphics library is little: everything is turned into
the view here, and so are the lines: sharp edges of the mesh, and where a curved face turns away from the eye.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..curve import Floats
from ..errors import FerruleError, WriteError
from ..readers.mesh import Mesh
from ..sheets.sheet import Box
from .files import replace, write_bytes
from .normals import smooth_normals
from .picture_process import NO_LIBRARY
from .png import Pixels, png_bytes, png_pixels

Colour = tuple[int, int, int]
"""Red, green and blue of sRGB, 0 to 255 [-]."""

PROCESS = Path(__file__).with_name("picture_process.py")
"""What the other process runs."""

SECONDS = 180.0
"""Longest time that the other process may take [s]."""

LARGEST = 6000
"""Most pixels along a side [-]: drivers stop at 16384, and every pixel is drawn several times over."""

MISSING = (
    "the graphics libraries are missing or do not start: neither EGL nor OSMesa could draw; "
    "on Debian and Ubuntu: apt install libegl1 libgl1-mesa-dri"
)
"""What is told where the other process dies."""

PEN = 1.1
"""Width of lines [pixels]."""

_SHARP = np.cos(np.radians(8.0))
"""Faces whose normals at an edge differ by more than this have a line between them."""

_AHEAD = 0.35
"""By how many pixels lines lie before the face that they are on: little, for they must not show through a thin wall."""

_FINEST = ((1e5, 4), (3e6, 3))
"""Up to so many pixels, how many finer ones are drawn along the side of each [-]; 2 for more."""

_ON_PLANE = 1e-4
"""How far a vertex of a cut face may lie from the plane of the cut [mm]."""

_BLANK = 250
"""A pixel is drawn on where its darkest colour is below this [-]."""


class NoGraphicsError(WriteError):
    """This machine draws no pictures; the message says what is missing."""


@dataclass(frozen=True, slots=True)
class View:
    """A parallel projection: three unit vectors (right, up, towards the eye) at right angles to each other [-]."""

    right: tuple[float, float, float]
    up: tuple[float, float, float]
    toward: tuple[float, float, float]

    @property
    def matrix(self) -> Floats:
        """Rotation (3, 3) into the view [-]."""
        return np.array([self.right, self.up, self.toward])

    def of(self, points: Floats) -> Floats:
        """Points (n, 3) in the view: right, up, towards the eye [mm]."""
        return np.asarray(points @ self.matrix.T)


def lying(toward: tuple[float, float, float], turn: float = 0.0) -> View:
    """The view in which the axis, +x, lies across the picture, its forward end to the left.

    Args:
        toward: direction to the eye [-]; not along the axis.
        turn: the picture turned by this, clockwise [rad]: the forward end goes up.
    """
    eye = np.array(toward) / np.linalg.norm(toward)
    right = np.array([1.0, 0.0, 0.0]) - eye[0] * eye
    right /= np.linalg.norm(right)
    up = np.cross(eye, right)
    c, s = np.cos(turn), np.sin(turn)
    across, upright = c * right + s * up, c * up - s * right
    return View(_triple(across), _triple(upright), _triple(eye))


def upright(toward: tuple[float, float, float]) -> View:
    """The view in which +y, the rail line, stands upright.

    Args:
        toward: direction to the eye [-]; not along +y.
    """
    eye = np.array(toward) / np.linalg.norm(toward)
    up = np.array([0.0, 1.0, 0.0]) - eye[1] * eye
    up /= np.linalg.norm(up)
    return View(_triple(np.cross(up, eye)), _triple(up), _triple(eye))


@dataclass(frozen=True, slots=True)
class Cut:
    """A plane that a mesh was cut along, and the colour of what was cut through.

    Attributes:
        normal: unit normal [-].
        offset: distance of the plane from the origin along it [mm].
        colour: colour of the cut faces.
    """

    normal: tuple[float, float, float]
    offset: float
    colour: Colour


@dataclass(frozen=True, eq=False, slots=True)
class Body:
    """One thing in a picture.

    Attributes:
        mesh: closed mesh, in place [mm].
        colour: its colour.
        shift: moved by this in the view: right, up, towards the eye [mm].
        cut: where it was cut, if it was.
    """

    mesh: Mesh
    colour: Colour
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    cut: Cut | None = None

    def points(self, view: View) -> Floats:
        """Its vertices (n, 3) in the view, moved [mm]."""
        return np.asarray(view.of(self.mesh.vertices) + np.array(self.shift))

    def box(self, view: View) -> Box:
        """Rectangle round it in the view [mm]."""
        points = self.points(view)
        left, low = points[:, :2].min(axis=0).tolist()
        right, high = points[:, :2].max(axis=0).tolist()
        return Box(left, low, right, high)


@dataclass(frozen=True, eq=False, slots=True)
class Picture:
    """What is drawn.

    Attributes:
        bodies: the things in it; at least one.
        view: from where.
        frame: what of the view is drawn [mm].
        width: across [pixels].
        deviation: how far the meshes may lie from their surfaces [mm]; tells curved faces from edges.
        strokes: more lines (n, 2, 3) in the view [mm], hidden by what lies before them.
    """

    bodies: tuple[Body, ...]
    view: View
    frame: Box
    width: int
    deviation: float
    strokes: Floats = field(default_factory=lambda: np.zeros((0, 2, 3)))

    @property
    def pixel(self) -> float:
        """Size of a pixel [mm]."""
        return (self.frame.right - self.frame.left) / self.width

    @property
    def height(self) -> int:
        """Up the picture [pixels]."""
        return max(1, round((self.frame.high - self.frame.low) / self.pixel))


@dataclass(frozen=True, slots=True)
class PictureProof:
    """What was read back from the file.

    Attributes:
        width: across [pixels].
        height: up [pixels].
        drawn: share of the pixels that are not white [-].
    """

    width: int
    height: int
    drawn: float


def write_pictures(
    pictures: Sequence[tuple[Path, Picture]], *, seconds: float = SECONDS, process: Path = PROCESS
) -> tuple[PictureProof, ...]:
    """Draw pictures in one other process, and prove each file by reading it back.

    Args:
        pictures: each with its file; none is written unless all could be drawn.
        seconds: longest time for all of them [s].
        process: what the other process runs.

    Returns:
        What was read back, for each.

    Raises:
        NoGraphicsError: this machine cannot draw, or leaves a picture blank.
        WriteError: there is nothing to draw, or a file cannot be written.
    """
    for path, picture in pictures:
        if not picture.bodies:
            raise WriteError(f"{path.name}: there is nothing in the picture")
        if not 0 < picture.width <= LARGEST or picture.height > LARGEST:
            raise WriteError(f"{path.name}: a side of the picture must be above 0 and at most {LARGEST} pixels")
    if not pictures:
        return ()
    drawn = _drawn([picture for _, picture in pictures], seconds, process)
    for (path, picture), pixels in zip(pictures, drawn, strict=True):
        if pixels.shape != (picture.height, picture.width, 3) or _share(pixels) == 0.0:
            raise NoGraphicsError(f"{path.name} came out blank: {MISSING}")
    return tuple(_written(path, picture, pixels) for (path, picture), pixels in zip(pictures, drawn, strict=True))


def _written(path: Path, picture: Picture, pixels: Pixels) -> PictureProof:
    data = png_bytes(pixels)
    proof: list[PictureProof] = []

    def check(written: Path) -> None:
        found = png_pixels(written.read_bytes(), path.name)
        if not np.array_equal(found, pixels):
            raise WriteError(f"{path.name} did not read back as it was drawn")
        proof.append(PictureProof(picture.width, picture.height, _share(found)))

    replace(path, lambda target: write_bytes(target, data), check)
    return proof[0]


def _share(pixels: Pixels) -> float:
    """Share of a picture that is drawn on [-]."""
    return float(np.mean(pixels.min(axis=2) < _BLANK))


def _drawn(pictures: Sequence[Picture], seconds: float, process: Path) -> list[Pixels]:
    try:
        with tempfile.TemporaryDirectory(prefix="ferrule-picture-", ignore_cleanup_errors=True) as name:
            folder = Path(name)
            for number, picture in enumerate(pictures):
                np.savez(folder / f"scene-{number:04d}.npz", allow_pickle=False, **_scene(picture))
            _run(folder, seconds, process)
            return [_pixels(folder / f"pixels-{number:04d}.npy") for number in range(len(pictures))]
    except FerruleError:
        raise
    except OSError as error:
        raise WriteError(f"no picture was drawn: scenes cannot be written: {error.strerror or error}") from None


def _pixels(path: Path) -> Pixels:
    try:
        return np.asarray(np.load(path), dtype=np.uint8)
    except (OSError, ValueError, EOFError):
        raise NoGraphicsError(f"no picture was drawn: {MISSING}") from None


def _run(folder: Path, seconds: float, process: Path) -> None:
    """Run the other process.

    Raises:
        NoGraphicsError: it did not come to its end.
    """
    around = dict(os.environ)
    if sys.platform.startswith("linux"):
        # Draws without a display; where it does not start, the library tries OSMesa by itself.
        around.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
    # -P: the folder of the script holds modules that are called as those of others are.
    command = [sys.executable, "-P", str(process), str(folder)]
    try:
        done = subprocess.run(  # noqa: S603  this Python with a file of ours
            command, env=around, stdin=subprocess.DEVNULL, capture_output=True, timeout=seconds, check=False
        )
    except subprocess.TimeoutExpired:
        raise NoGraphicsError(f"no picture was drawn: the graphics library took more than {seconds:g} s") from None
    except OSError as error:
        raise NoGraphicsError(f"no picture was drawn: no process could be started: {error.strerror or error}") from None
    if done.returncode == NO_LIBRARY:
        reason = done.stderr.decode("utf-8", "replace").strip().splitlines()[-1:]
        raise NoGraphicsError(f"no picture was drawn: the library vtk cannot be loaded: {' '.join(reason)}")
    if done.returncode != 0:
        raise NoGraphicsError(f"no picture was drawn: {MISSING}")


def _scene(picture: Picture) -> dict[str, NDArray[np.generic]]:
    view, ahead = picture.view, np.array([0.0, 0.0, _AHEAD * picture.pixel])
    points: list[Floats] = []
    normals: list[Floats] = []
    colours: list[NDArray[np.uint8]] = []
    lines = [picture.strokes.reshape(-1, 3)]
    for body in picture.bodies:
        placed = body.points(view)
        upright = view.of(smooth_normals(body.mesh, picture.deviation).reshape(-1, 3))
        points.append(placed[body.mesh.triangles.ravel()])
        normals.append(upright)
        colours.append(_paint(body))
        lines.append(_line_ends(body.mesh, placed, upright.reshape(-1, 3, 3), picture.pixel) + ahead)
    every = np.vstack([*points, *lines])
    finer = next((finer for most, finer in _FINEST if picture.width * picture.height <= most), 2)
    frame = picture.frame
    # The frame is fitted to whole pixels, so that a millimetre is as long across as it is up.
    half, middle = picture.height * picture.pixel / 2.0, (frame.low + frame.high) / 2.0
    return {
        "size": np.array([picture.width, picture.height, finer]),
        "frame": np.array([frame.left, middle - half, frame.right, middle + half]),
        "depth": np.array([every[:, 2].min(), every[:, 2].max()]),
        "pen": np.array(PEN),
        "points": np.vstack(points).astype(np.float32),
        "normals": np.vstack(normals).astype(np.float32),
        "colours": np.vstack(colours),
        "lines": np.vstack(lines).astype(np.float32),
    }


def _paint(body: Body) -> NDArray[np.uint8]:
    """Colour (m, 3) of each triangle."""
    paint = np.tile(np.array(body.colour, dtype=np.uint8), (len(body.mesh.triangles), 1))
    if body.cut is not None:
        paint[cut_faces(body.mesh, body.cut)] = body.cut.colour
    return paint


def cut_faces(mesh: Mesh, cut: Cut) -> NDArray[np.bool_]:
    """Which triangles (m,) of a mesh lie in the plane that it was cut along."""
    away = mesh.vertices @ np.array(cut.normal) - cut.offset
    return np.asarray(np.all(np.abs(away[mesh.triangles]) < _ON_PLANE, axis=1))


def _line_ends(mesh: Mesh, placed: Floats, normals: Floats, pixel: float) -> Floats:
    """Ends (2 n, 3) of the lines that are drawn: sharp edges, and those where a curved face turns away from the eye.

    The latter lie half a pen outside of the face: close behind them it rises steeply towards the eye and would hide
    the other half.
    """
    triangles, count = mesh.triangles, len(mesh.vertices)
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    forth = start * count + end
    mate = np.argsort(forth)[np.searchsorted(np.sort(forth), end * count + start)]
    # Side k of a triangle runs from its corner k to the next; its mate runs the other way in the neighbour.
    side = np.arange(3 * len(triangles))
    after = 3 * (side // 3) + (side + 1) % 3
    beyond = 3 * (mate // 3) + (mate + 1) % 3
    corner = normals.reshape(-1, 3)
    at_start = np.einsum("ij,ij->i", corner[side], corner[beyond])
    at_end = np.einsum("ij,ij->i", corner[after], corner[mate])
    sharp = np.minimum(at_start, at_end) < _SHARP
    a, b, c = (placed[triangles[:, k], :2] for k in range(3))
    faces_eye = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]) > 0.0
    turns = faces_eye[side // 3] & ~faces_eye[mate // 3] & ~sharp
    edges = np.column_stack([placed[start], placed[end]]).reshape(-1, 2, 3)
    # Anticlockwise round a face that is seen, outside is to the right of each side.
    along = edges[turns, 1, :2] - edges[turns, 0, :2]
    long = np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    out = np.column_stack([along[:, 1], -along[:, 0]]) / long * (PEN / 2.0 * pixel)
    contour = edges[turns]
    contour[:, :, :2] += out[:, None, :]
    return np.concatenate([edges[sharp & (start < end)], contour]).reshape(-1, 3)


def _triple(values: Floats) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in values)
    return x, y, z
