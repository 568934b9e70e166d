"""`ferrule picture`: what the pictures of a design show, and how they are told where none can be drawn."""

from __future__ import annotations

import base64
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

from ferrule.app import picture as module
from ferrule.app.cli import app
from ferrule.app.design import Design
from ferrule.app.design_file import load, parse
from ferrule.app.lengths import Lengths
from ferrule.app.picture import NoPictures, page_of, part_names, part_pictures, pictures_or_reason
from ferrule.app.picture_page import WIDTH, Page, Words, in_place, on_lines
from ferrule.app.picture_scene import COLOURS, CUTAWAY, EXPLODED, MOTOR, Named, cut_open, in_rows, pulled_apart, whole
from ferrule.app.summary import summary
from ferrule.parts.sheets.sheet import Box, Text, around
from ferrule.parts.tables import materials
from ferrule.parts.writers.picture import Picture, write_pictures
from ferrule.parts.writers.png import Pixels

MARRAM = Path(__file__).resolve().parent.parent.parent / "examples" / "marram" / "marram.toml"

SMALL = """format = 1
name = "Small"

[[tube]]
name = "body"
outside_mm = [54.0]
inside_mm = [52.0]
length = "200 mm"
station = "120 mm"
material = "kraft-tube"

[[part]]
name = "nose"
kind = "nose-cone"
fits = "body"
profile = "cone"
length = "120 mm"
shoulder_length = "54 mm"
material = "petg"
"""
WORDS = Words("Name", "what it is", ("a line",), ())


@pytest.fixture(scope="module")
def marram() -> Design:
    return load(MARRAM, {})


# --- colours ----------------------------------------------------------------------------------------------------------


def grey(colour: tuple[int, int, int]) -> float:
    """Luma of ITU-R BT.601 [0 to 255], as a printer in grey makes of it."""
    return float(np.dot(colour, (0.299, 0.587, 0.114)))


def test_every_family_of_materials_has_its_colour() -> None:
    assert {one.family for one in materials().values()} == set(COLOURS) - {""}


def test_colours_are_told_apart_in_grey() -> None:
    """15 of 255 is a step of 6 %; common practice asks for 5 % between neighbours."""
    for (one, first), (other, second) in combinations(COLOURS.items(), 2):
        assert abs(grey(first) - grey(second)) >= 15.0, (one, other)
    assert min(grey(colour) for colour in (*COLOURS.values(), MOTOR)) > 90.0, "no part is a black patch"


# --- pulled apart -----------------------------------------------------------------------------------------------------


def test_parts_are_pulled_apart_in_order_and_clear_of_each_other(marram: Design) -> None:
    groups, gap = pulled_apart(marram)
    for count in (1, 2, 3):
        rows = in_rows(groups, gap, count)
        assert 1 <= len(rows) <= count
        assert [one.name for row in rows for one in row.pieces] == [one.name for group in groups for one in group]
        for row in rows:
            boxes = [around([one.body.box(EXPLODED) for one in group]) for group in grouped(row.pieces, groups)]
            assert all(a.right + gap * 0.99 < b.left for a, b in pairwise(boxes))
    assert gap > 10.0


def grouped(pieces: tuple[Named, ...], groups: tuple[tuple[Named, ...], ...]) -> Iterator[list[Named]]:
    left = list(pieces)
    for group in groups:
        if left and left[0].name == group[0].name:
            yield [left.pop(0) for _ in group]


def test_parts_on_the_axis_move_along_it_alone(marram: Design) -> None:
    """A shift in the view is one along the axis of the rocket: back in space it has no y and no z."""
    groups, gap = pulled_apart(marram)
    for row in in_rows(groups, gap, 2):
        for one in row.pieces:
            _, y, z = EXPLODED.matrix.T @ np.array(one.body.shift)
            assert (y, z) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_every_copy_of_every_part_is_there_once(marram: Design) -> None:
    groups, _ = pulled_apart(marram)
    items = [item for item in marram.rocket.items if item.part is not None]
    assert sum(len(group) for group in groups) == sum(item.quantity for item in items)
    assert len(whole(marram)) == sum(item.quantity for item in items)
    named = {one.name for group in groups for one in group}
    assert {"nose", "fin, 4", "rail button, 2", "fin ring 1", "fin ring 2"} <= named


def test_fins_are_clear_of_the_tube_that_they_come_from(marram: Design) -> None:
    groups, _ = pulled_apart(marram)
    (group,) = [group for group in groups if any(one.name == "fin, 4" for one in group)]
    tube = np.linalg.norm(group[0].body.mesh.vertices[:, 1:], axis=1).max()
    assert group[0].name == "booster tube"
    assert len(group) == 1 + 4 + 2
    assert all(np.linalg.norm(one.body.mesh.vertices[:, 1:], axis=1).min() > tube for one in group[1:])


# --- cut open ---------------------------------------------------------------------------------------------------------


def test_half_of_everything_is_left(marram: Design) -> None:
    """Fins stand in pairs on either side of the plane; the motor is not cut."""
    things = cut_open(marram)
    volume = sum(one.body.mesh.moments().volume for one in things if one.body.cut is not None)
    total = sum(body.mesh.moments().volume for body in whole(marram))
    # Screw holes and marks are not the same on both sides.
    assert volume == pytest.approx(total / 2.0, rel=0.01)
    assert all(one.body.mesh.vertices[:, 2].max() < 1e-6 for one in things if one.body.cut is not None)
    (motor,) = [one for one in things if one.body.cut is None]
    assert motor.name == marram.motors[0].name
    assert motor.body.mesh.vertices[:, 0].max() == pytest.approx(marram.motors[0].aft_end)


def test_a_line_to_a_name_starts_on_its_part(marram: Design) -> None:
    for one in cut_open(marram):
        box = one.body.box(CUTAWAY).grown(1e-6)
        assert box.holds(Box(*one.point, *one.point)), one.name


# --- pages ------------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def pages(marram: Design) -> dict[str, Page]:
    figures = summary(marram)
    return {view: page_of(marram, view, figures, 800) for view in ("exploded", "cutaway")}


@pytest.mark.parametrize("view", ["exploded", "cutaway"])
def test_names_lie_on_the_page_and_on_no_other(pages: dict[str, Page], view: str) -> None:
    page = pages[view]
    sheet = Box(0.0, 0.0, page.width, page.height)
    texts = [item for item in page.items if isinstance(item, Text)]
    assert page.width == WIDTH
    assert all(sheet.holds(item.box()) for item in page.items)
    assert sheet.holds(page.box)
    for one, other in combinations(texts, 2):
        assert not one.box().meets(other.box()), (one.words, other.words)
    assert all(page.box.high < text.box().low for text in texts if text.bold), "the head is over the picture"


@pytest.mark.parametrize("view", ["exploded", "cutaway"])
def test_a_page_names_every_part_and_says_what_it_is_not(marram: Design, pages: dict[str, Page], view: str) -> None:
    words = [item.words for item in pages[view].items if isinstance(item, Text)]
    for name in part_names(marram):
        assert any(text.split(",")[0].rstrip(" 12") == name for text in words), name
    joined = "\n".join(words)
    assert str(summary(marram)["fingerprint"]) in joined
    assert "Predicted" in joined
    assert "Not a clearance to fly" in joined
    assert "at 250 mm (9.8 in)" in words


def test_the_picture_lies_where_its_names_say(pages: dict[str, Page]) -> None:
    """The box on paper has the proportions of the pixels, so that nothing is stretched."""
    for page in pages.values():
        across = (page.box.right - page.box.left) / page.picture.width
        assert (page.box.high - page.box.low) / page.picture.height == pytest.approx(across, rel=1e-9)


def test_a_page_of_one_part_and_of_a_very_long_name(marram: Design) -> None:
    (nose, *_), gap = pulled_apart(marram)
    long = Named("a very long name " * 8, nose[0].body, nose[0].point, 0.0)
    lengths = Lengths("in")
    for page in (
        on_lines([[long]], gap, EXPLODED, WORDS, lengths, 300),
        in_place([long], CUTAWAY, WORDS, lengths, 300),
    ):
        assert all(Box(0.0, 0.0, page.width, page.height).holds(item.box()) for item in page.items)
        assert any(isinstance(item, Text) and item.words.endswith("…") for item in page.items)
        assert page.height <= 210.0 + 1e-9


# --- the command ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Ran:
    """What a run of the command came to."""

    code: int
    output: str
    folder: Path


PROGRAM = """import sys
from ferrule.app.cli import main
sys.argv = ["ferrule", "picture", sys.argv[1], "--out", sys.argv[2], "--width", "320"]
try:
    main()
finally:
    print("loaded:", sorted({"vtkmodules", "OCP"} & set(sys.modules)))
"""


@pytest.fixture(scope="module")
def ran(tmp_path_factory: pytest.TempPathFactory) -> Ran:
    folder = tmp_path_factory.mktemp("run")
    (folder / "small.toml").write_text(SMALL, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(folder / "small.toml"), str(folder / "out")],
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    return Ran(done.returncode, done.stdout + done.stderr, folder / "out")


def test_the_command_draws_or_says_what_is_missing(ran: Ran) -> None:
    assert "Traceback" not in ran.output
    if ran.code == 0:
        assert "7 files and manifest.json in" in ran.output
    else:
        assert ran.code == 2
        assert "no picture was drawn" in ran.output
        assert "libegl1" in ran.output or "vtk" in ran.output
        assert not ran.folder.exists()


def test_the_graphics_library_is_not_loaded_here(ran: Ran) -> None:
    assert "loaded: []" in ran.output


@pytest.fixture
def files(ran: Ran) -> Path:
    if ran.code:
        pytest.skip(f"this machine draws no pictures: {ran.output}")
    return ran.folder


def test_every_file_is_listed_with_what_was_read_back(files: Path) -> None:
    listed = {one["file"]: one for one in json.loads((files / "manifest.json").read_text(encoding="utf-8"))["files"]}
    names = ("whole.png", "exploded.png", "exploded.svg", "cutaway.png", "cutaway.svg", "body-picture.png")
    assert set(listed) == {f"small-{end}" for end in (*names, "nose-picture.png")}
    assert {path.name for path in files.iterdir()} == {*listed, "manifest.json"}
    for name, one in listed.items():
        assert one["bytes"] == (files / name).stat().st_size
        if name.endswith(".png"):
            with Image.open(files / name) as image:
                assert image.size == (one["self_check"]["width"], one["self_check"]["height"])
            assert 0.03 < one["self_check"]["drawn_share"] < 0.9, name
    nose = listed["small-nose-picture.png"]
    assert nose["part"] == "nose"
    assert (nose["self_check"]["width"], nose["self_check"]["height"]) == (120, 120)
    assert listed["small-whole.png"]["self_check"]["width"] == 320


def pixels(path: Path) -> Pixels:
    with Image.open(path) as image:
        return np.asarray(image)


@pytest.mark.parametrize("view", ["whole", "exploded", "cutaway", "nose-picture", "body-picture"])
def test_a_picture_fills_its_frame_and_no_more(files: Path, view: str) -> None:
    """White all round, but not much of it on the longer side; and many tones."""
    found = pixels(files / f"small-{view}.png").min(axis=2)
    rows, columns = np.nonzero(found < 250)
    height, width = found.shape
    room = (columns.min(), width - 1 - columns.max(), rows.min(), height - 1 - rows.max())
    assert min(room) >= 1
    assert min(room) <= 24
    assert len(np.unique(found)) > 30


def test_the_nose_lies_to_the_left(files: Path) -> None:
    """A cone: little of the first columns is drawn on, much of the last ones."""
    drawn = (pixels(files / "small-whole.png").min(axis=2) < 250).sum(axis=0)
    assert drawn[20] < 0.4 * drawn[250]
    red, _, blue = pixels(files / "small-whole.png")[:, 60:100].reshape(-1, 3).astype(float).mean(axis=0)
    assert blue > red, "plastic"
    red, _, blue = pixels(files / "small-whole.png")[:, 200:280].reshape(-1, 3).astype(float).mean(axis=0)
    assert red > blue, "kraft paper"


@pytest.mark.parametrize("view", ["exploded", "cutaway"])
def test_the_drawing_holds_the_very_picture(files: Path, view: str) -> None:
    root = ElementTree.parse(files / f"small-{view}.svg").getroot()  # noqa: S314  a file of our own
    (image,) = root.findall("{http://www.w3.org/2000/svg}image")
    data = base64.b64decode(image.get("href", "").partition("base64,")[2])
    assert data == (files / f"small-{view}.png").read_bytes()
    words = [text.text for text in root.iter("{http://www.w3.org/2000/svg}text")]
    assert {"body", "nose", "Small"} <= set(words)


def run(*arguments: object) -> tuple[int, str]:
    done = CliRunner().invoke(app, [str(one) for one in arguments])
    return done.exit_code, done.output


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--view", "exploed"), "--view: there is no view 'exploed'"),
        (("--part", "nose cone"), "--part: there is no part 'nose cone'"),
        (("--width", "50"), "--width: 50 pixels must be at least 100 and at most 6000"),
        (("--width", "7000"), "--width: 7000 pixels must be at least 100"),
    ],
)
def test_what_cannot_be_shown_is_told_and_nothing_is_written(
    tmp_path: Path, options: tuple[str, ...], words: str
) -> None:
    file, out = tmp_path / "small.toml", tmp_path / "out"
    file.write_text(SMALL, encoding="utf-8")
    code, output = run("picture", file, "--out", out, *options)
    assert code == 2
    assert words in output
    assert not out.exists()


def test_a_design_without_a_part_has_nothing_to_show(tmp_path: Path) -> None:
    file = tmp_path / "empty.toml"
    mass = '[[mass]]\nname = "ballast"\nmass = "5 g"\nstation = "10 mm"\n'
    file.write_text(f'format = 1\nname = "Empty"\n{mass}', encoding="utf-8")
    code, output = run("picture", file, "--out", tmp_path / "out")
    assert code == 2
    assert "nothing to show" in output


@pytest.mark.parametrize(
    ("options", "wanted"),
    [
        ((), {"whole", "exploded", "cutaway", "nose", "body"}),
        (("--view", "all"), {"whole", "exploded", "cutaway", "nose", "body"}),
        (("--view", "whole"), {"whole"}),
        (("--view", "parts"), {"nose", "body"}),
        (("--part", "nose"), {"nose"}),
        (("--view", "exploded", "--part", "nose"), {"exploded", "nose"}),
    ],
)
def test_what_is_asked_for_is_drawn_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, options: tuple[str, ...], wanted: set[str]
) -> None:
    asked: list[set[str]] = []

    def note(pictures: list[tuple[Path, Picture]]) -> tuple[object, ...]:
        asked.append({path.stem.removeprefix("small-").removesuffix("-picture") for path, _ in pictures})
        return write_pictures(pictures, process=dying)

    dying = tmp_path / "process.py"
    dying.write_text("raise SystemExit(1)\n", encoding="utf-8")
    monkeypatch.setattr(module, "write_pictures", note)
    file = tmp_path / "small.toml"
    file.write_text(SMALL, encoding="utf-8")
    code, output = run("picture", file, "--out", tmp_path / "out", *options)
    assert (code, asked) == (2, [wanted])
    assert "libegl1" in output
    assert not (tmp_path / "out").exists()


def test_who_asks_for_pictures_beside_other_files_gets_the_reason(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dying = tmp_path / "process.py"
    dying.write_text("raise SystemExit(1)\n", encoding="utf-8")
    monkeypatch.setattr(module, "write_pictures", partial(write_pictures, process=dying))
    design = parse(SMALL, "small.toml")
    found = part_pictures(design, tmp_path / "out")
    assert isinstance(found, NoPictures)
    assert "libegl1" in found.reason
    assert isinstance(pictures_or_reason(design, tmp_path / "out", ("whole",), summary(design)), NoPictures)
    assert not (tmp_path / "out").exists()
