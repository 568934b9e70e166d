"""Pictures: what is asked of the other process, what it gives, and what is told where it gives nothing.

Sources: sizes and volumes are closed forms; PNG files are read by Pillow, which shares nothing with our writer.
"""

from __future__ import annotations

import io
import math
import os
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from ferrule.parts.curve import Floats
from ferrule.parts.errors import WriteError
from ferrule.parts.readers.facets import Fineness
from ferrule.parts.readers.mesh import Mesh, beyond_plane, mesh
from ferrule.parts.shape import Outline, Plate, circle, hole, polygon
from ferrule.parts.sheets.sheet import Box
from ferrule.parts.writers.picture import (
    Body,
    Cut,
    NoGraphicsError,
    Picture,
    cut_faces,
    lying,
    upright,
    write_pictures,
)
from ferrule.parts.writers.png import Pixels, png_bytes, png_pixels

FRONT = upright((0.0, 0.0, 1.0))
"""From the side: +x to the right, +y up, +z to the eye."""

RED, BLUE = (200, 60, 60), (60, 60, 200)
FINE = Fineness(0.02, 0.02, hold_fit=False)


def block(x: float, y: float, z: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Mesh:
    """A block with a corner at a place [mm]."""
    found = mesh(Plate(Outline(polygon(((0.0, 0.0), (y, 0.0), (y, z), (0.0, z)))), x))
    return Mesh(found.vertices + np.array(at), found.triangles)


def pipe(outside: float, bore: float, length: float) -> Mesh:
    return mesh(Plate(Outline(circle(outside), (hole(bore),)), length), FINE)


# --- PNG --------------------------------------------------------------------------------------------------------------


def test_a_png_is_what_another_reader_sees() -> None:
    pixels = np.random.default_rng(7).integers(0, 256, (23, 31, 3), dtype=np.uint8)
    data = png_bytes(pixels)
    with Image.open(io.BytesIO(data)) as image:
        image.load()
        assert (image.size, image.mode, image.info) == ((31, 23), "RGB", {}), "no date and no profile"
        assert np.array_equal(np.asarray(image), pixels)
    assert np.array_equal(png_pixels(data, "a.png"), pixels)
    assert png_bytes(pixels.copy()) == data


def test_a_png_that_is_not_whole_is_refused() -> None:
    data = png_bytes(np.full((4, 5, 3), 90, dtype=np.uint8))
    for broken in (b"", data[:-1], data[:20], b"x" + data[1:], data[:60] + bytes([data[60] ^ 1]) + data[61:]):
        with pytest.raises(WriteError, match=r"a\.png is not a"):
            png_pixels(broken, "a.png")


# --- views and cuts ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("toward", [(0.4, 0.3, 1.0), (-1.0, 0.2, 0.3), (0.0, 0.0, 1.0)])
def test_the_axis_lies_across_with_its_forward_end_to_the_left(toward: tuple[float, float, float]) -> None:
    view = lying(toward)
    assert view.matrix @ view.matrix.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(view.matrix) == pytest.approx(1.0), "not mirrored"
    right, up, _ = view.of(np.array([[1.0, 0.0, 0.0]]))[0]
    assert right > 0.0
    assert up == pytest.approx(0.0, abs=1e-12)
    turned = lying(toward, math.radians(30.0)).of(np.array([[-1.0, 0.0, 0.0]]))[0]
    assert math.degrees(math.atan2(turned[1], -turned[0])) == pytest.approx(30.0), "the forward end goes up"
    assert upright(toward).of(np.array([[0.0, 1.0, 0.0]]))[0][0] == pytest.approx(0.0, abs=1e-12)


def test_half_of_a_pipe_has_half_its_volume_and_shows_its_walls() -> None:
    """Two walls of (outside - bore) x length are cut through."""
    whole = pipe(20.0, 18.0, 100.0)
    normal = (0.0, 0.0, -1.0)
    half = beyond_plane(whole, normal, 0.0)
    assert half is not None
    assert half.faults() == ()
    assert half.moments().volume == pytest.approx(whole.moments().volume / 2.0, rel=1e-6)
    assert half.vertices[:, 2].max() <= 1e-6, "what is kept lies where the normal points"
    faces = half.vertices[half.triangles[cut_faces(half, Cut(normal, 0.0, RED))]]
    area = np.linalg.norm(np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0]), axis=1).sum() / 2.0
    assert area == pytest.approx(2.0 * 2.0 * 100.0, rel=2e-3)  # facets of 0.02 mm
    assert beyond_plane(whole, normal, 30.0) is None


# --- what is drawn ----------------------------------------------------------------------------------------------------


def scenes() -> dict[str, Picture]:
    big, small = block(60.0, 30.0, 10.0), block(20.0, 10.0, 2.0, (20.0, 10.0, -5.0))
    frame = Box(-20.0, -10.0, 80.0, 40.0)
    ahead = block(20.0, 10.0, 2.0, (20.0, 10.0, 12.0))
    half = beyond_plane(pipe(20.0, 10.0, 50.0), (0.0, 0.0, -1.0), 0.0)
    assert half is not None
    stroke: Floats = np.array([[[-15.0, 15.0, 5.0], [75.0, 15.0, 5.0]]])
    face = Picture((Body(big, BLUE),), FRONT, frame, 200, 0.02)
    return {
        "face": face,
        "again": face,
        "behind": replace(face, bodies=(Body(big, BLUE), Body(small, RED))),
        "before": replace(face, bodies=(Body(big, BLUE), Body(ahead, RED))),
        "moved": replace(face, bodies=(Body(big, BLUE, shift=(10.0, 5.0, 0.0)),)),
        "axis": replace(face, strokes=stroke),
        "half": Picture(
            (Body(half, BLUE, cut=Cut((0.0, 0.0, -1.0), 0.0, RED)),), FRONT, Box(-25.0, -25.0, 75.0, 25.0), 200, 0.02
        ),
    }


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Path] | str:
    """The files by their names, or what is told on a machine that draws nothing."""
    folder = tmp_path_factory.mktemp("pictures")
    files = {name: folder / f"{name}.png" for name in scenes()}
    try:
        write_pictures([(files[name], picture) for name, picture in scenes().items()])
    except NoGraphicsError as error:
        assert not any(folder.iterdir())
        return str(error)
    return files


def test_a_machine_draws_or_says_what_is_missing(drawn: Mapping[str, Path] | str) -> None:
    if isinstance(drawn, str):
        assert "libegl1" in drawn or "vtk" in drawn
    else:
        assert {path.name for path in next(iter(drawn.values())).parent.iterdir()} == {
            path.name for path in drawn.values()
        }


@pytest.fixture
def pixels(drawn: Mapping[str, Path] | str) -> dict[str, Pixels]:
    if isinstance(drawn, str):
        pytest.skip(f"this machine draws no pictures: {drawn}")
    found: dict[str, Pixels] = {}
    for name, path in drawn.items():
        with Image.open(path) as image:
            found[name] = np.asarray(image)
    return found


def bounds(pixels: Pixels) -> tuple[int, int, int, int]:
    """Left, upper, right and lower end of what is not white [pixels]."""
    rows, columns = np.nonzero(pixels.min(axis=2) < 250)
    return columns.min(), rows.min(), columns.max() + 1, rows.max() + 1


def reddish(pixels: Pixels) -> int:
    return int(np.count_nonzero(pixels[:, :, 0].astype(int) > pixels[:, :, 2].astype(int) + 30))


def test_a_block_is_as_large_as_it_is(pixels: dict[str, Pixels]) -> None:
    """60 x 30 mm in a frame of 100 x 50 mm on 200 pixels: 120 x 60 pixels, 40 from the left, 20 from either end."""
    assert pixels["face"].shape == (100, 200, 3)
    assert bounds(pixels["face"]) == pytest.approx((40, 20, 160, 80), abs=1)
    assert bounds(pixels["moved"]) == pytest.approx((60, 10, 180, 70), abs=1)
    assert np.all(pixels["face"][:15] == 255)


def test_a_face_has_one_colour_inside_dark_edges(pixels: dict[str, Pixels]) -> None:
    inside = pixels["face"][30:70, 50:150].reshape(-1, 3)
    assert inside.std(axis=0).max() <= 1.0
    red, green, blue = inside.mean(axis=0)
    assert blue > red + 60
    edge = pixels["face"][18:22, 100]
    assert edge.min() < 80
    assert red + green + blue > 150, "no side falls into black"


def test_what_lies_behind_is_hidden(pixels: dict[str, Pixels]) -> None:
    assert reddish(pixels["behind"]) == 0
    assert reddish(pixels["before"]) == pytest.approx(40 * 20, rel=0.15)
    assert np.array_equal(pixels["behind"], pixels["face"])


def test_a_line_is_hidden_by_what_lies_before_it(pixels: dict[str, Pixels]) -> None:
    beside, over = pixels["axis"][48:52, 15:35], pixels["axis"][48:52, 60:140]
    assert beside.min() < 180, "a pen of 1.1 pixels that may lie over two rows"
    assert np.array_equal(over, pixels["face"][48:52, 60:140])


def test_what_is_cut_through_has_its_own_colour(pixels: dict[str, Pixels]) -> None:
    """Two walls of 10 x 50 mm at 2 pixels a millimetre, less their edges."""
    assert reddish(pixels["half"]) == pytest.approx(2 * 20 * 100, rel=0.15)


def test_a_round_face_is_shaded(pixels: dict[str, Pixels]) -> None:
    """The bore is seen from inside: it gets darker or lighter across, in many steps."""
    column = pixels["half"][32:68, 100].astype(int).sum(axis=1)
    assert len(set(column.tolist())) > 10
    assert np.abs(np.diff(column[4:-4])).max() < 60, "smooth"


def test_the_same_scene_gives_the_same_bytes(drawn: Mapping[str, Path] | str) -> None:
    if isinstance(drawn, str):
        pytest.skip(f"this machine draws no pictures: {drawn}")
    assert drawn["face"].read_bytes() == drawn["again"].read_bytes()


# --- a machine without graphics ---------------------------------------------------------------------------------------

DIES = "import os, signal\nos.kill(os.getpid(), signal.SIGSEGV)\n"
HANGS = "import time\ntime.sleep(60)\n"
LACKS = "import sys\nsys.stderr.write('No module named vtkmodules')\nsys.exit(3)\n"
IDLE = ""
BLANK = "import sys, numpy\nnumpy.save(sys.argv[1] + '/pixels-0000.npy', numpy.full((100, 200, 3), 255, numpy.uint8))\n"


@pytest.mark.parametrize(
    ("script", "words"),
    [
        pytest.param(DIES, "apt install libegl1", marks=pytest.mark.skipif(os.name != "posix", reason="has no signal")),
        (HANGS, "took more than 1 s"),
        (LACKS, "vtk cannot be loaded: No module named vtkmodules"),
        (IDLE, "apt install libegl1"),
        (BLANK, "came out blank"),
    ],
    ids=["dies", "hangs", "lacks", "idle", "blank"],
)
def test_where_nothing_is_drawn_the_old_file_stays(tmp_path: Path, script: str, words: str) -> None:
    process, path = tmp_path / "process.py", tmp_path / "out" / "a.png"
    process.write_text(script, encoding="utf-8")
    path.parent.mkdir()
    path.write_bytes(b"old")
    seconds = 1.0 if script == HANGS else 30.0
    with pytest.raises(NoGraphicsError, match=words) as told:
        write_pictures([(path, scenes()["face"])], seconds=seconds, process=process)
    assert told.value.exit_code == 2
    assert [one.name for one in path.parent.iterdir()] == ["a.png"]
    assert path.read_bytes() == b"old"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="EGL is how it is drawn on Linux")
def test_without_a_driver_the_library_dies_and_we_do_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The loader of EGL drivers looks where this says; there is none there."""
    monkeypatch.setenv("__EGL_VENDOR_LIBRARY_DIRS", str(tmp_path))
    try:
        write_pictures([(tmp_path / "a.png", scenes()["face"])])
    except NoGraphicsError as error:
        assert "libegl1" in str(error) or "vtk" in str(error)
        assert not any(tmp_path.iterdir())
        return
    pytest.skip("OSMesa draws on this machine")


@pytest.mark.parametrize("width", [0, 6001])
def test_a_picture_has_a_size_that_can_be_drawn(tmp_path: Path, width: int) -> None:
    with pytest.raises(WriteError, match="must be above 0 and at most 6000 pixels"):
        write_pictures([(tmp_path / "a.png", replace(scenes()["face"], width=width))])


def test_a_picture_shows_something(tmp_path: Path) -> None:
    with pytest.raises(WriteError, match="there is nothing in the picture"):
        write_pictures([(tmp_path / "a.png", replace(scenes()["face"], bodies=()))])
    assert write_pictures([]) == ()
