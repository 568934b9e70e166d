"""Drawings as PNG, read by Pillow: places and sizes from first principles, letters against FreeType through Pillow."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from ferrule.parts.curve import Arc, Bezier, Line
from ferrule.parts.errors import PartError, WriteError
from ferrule.parts.marks import Pen
from ferrule.parts.shape import Outline, circle, hole
from ferrule.parts.sheets.sheet import CutLine, Item, Solid, Text, Trace, line
from ferrule.parts.writers import drawing_png
from ferrule.parts.writers.drawing_png import pixels, write_drawing_png

DPI = 254.0
"""Ten dots on a millimetre."""

ITEMS: tuple[Item, ...] = (
    line((5.0, 5.0), (45.0, 5.0), Pen.CUT),
    line((5.0, 10.0), (45.0, 10.0), Pen.REFERENCE),
    Trace(
        (Arc((25.0, 20.0), 6.0, 0.0, 3.0), Bezier(((19.06, 20.85), (19.0, 14.0), (30.0, 14.0), (30.0, 20.0)))), Pen.BAR
    ),
    Solid(((5.0, 25.0), (9.0, 25.0), (5.0, 29.0))),
    Text("Speed [m/s], £2 & $3 of 4 $", (12.0, 25.0)),
    Text("turned", (46.0, 12.0), bold=True, turn=1.5707963267948966),
)


def dots(path: Path, items: tuple[Item, ...], width: float = 50.0, height: float = 30.0, dpi: float = DPI) -> Any:
    """Darkness of every dot (height, width), 0 white to 255 black, row 0 at the bottom of the drawing."""
    write_drawing_png(path, items, width, height, "trial", dpi)
    with Image.open(path) as picture:
        return 255 - np.asarray(picture.convert("L"), dtype=int)[::-1]


def test_it_has_the_size_and_nothing_of_the_day_or_the_program(tmp_path: Path) -> None:
    assert write_drawing_png(tmp_path / "a.png", ITEMS, 297.0, 210.0, "Marram: trial") == (1754, 1240)
    with Image.open(tmp_path / "a.png") as picture:
        picture.load()
        assert picture.size == (1754, 1240)
        assert picture.text == {"Title": "Marram: trial"}
        assert picture.info["dpi"] == pytest.approx((150.0, 150.0), abs=0.02)
        assert np.ptp(np.asarray(picture.convert("L"))) == 255
    assert [path.name for path in tmp_path.iterdir()] == ["a.png"]


@pytest.mark.parametrize(("width", "dpi", "wanted"), [(297.0, 150.0, 1754), (25.4, 100.0, 100), (0.001, 1.0, 1)])
def test_dots_are_rounded_to_the_nearest(width: float, dpi: float, wanted: int, tmp_path: Path) -> None:
    assert pixels(width, width, dpi) == (wanted, wanted)
    write_drawing_png(tmp_path / "a.png", (), width, width, "trial", dpi)
    with Image.open(tmp_path / "a.png") as picture:
        assert picture.size == (wanted, wanted)


def test_what_is_filled_lies_where_it_should(tmp_path: Path) -> None:
    """A square of 10 mm is 100 dots wide, from the 100th dot to the 200th, and 12 mm up."""
    found = dots(tmp_path / "a.png", (Solid(((10.0, 12.0), (20.0, 12.0), (20.0, 22.0), (10.0, 22.0))),))
    assert found.shape == (300, 500)
    assert (found[120:220, 100:200] == 255).all()
    assert found.sum() == 255 * 100 * 100


def test_a_line_is_as_wide_as_its_pen(tmp_path: Path) -> None:
    """The pens of ISO 128-2: 0.6 mm is 6 dots; dashes of 2.4 and gaps of 1.2 mm cover two thirds."""
    found = dots(tmp_path / "a.png", (line((5.0, 15.0), (45.0, 15.0), Pen.HEAVY_FRAME),))
    assert found[:, 200].sum() / 255.0 == pytest.approx(6.0, abs=0.3)
    assert found[150].sum() / 255.0 == pytest.approx(400.0, abs=2.0)
    dashed = dots(tmp_path / "a.png", (line((5.0, 15.0), (41.0, 15.0), Pen.REFERENCE),))
    assert dashed.sum() / 255.0 == pytest.approx(1.8 * 360.0 * 2.0 / 3.0, rel=0.15)
    assert (np.diff((dashed.max(axis=0) > 128).astype(int)) == 1).sum() == pytest.approx(10, abs=1)


def test_curves_are_followed(tmp_path: Path) -> None:
    """Every dark dot of a full circle of 10 mm lies on it."""
    found = dots(tmp_path / "a.png", (Trace((Arc((25.0, 15.0), 10.0, 0.0, 2.0 * np.pi),), Pen.CUT),))
    rows, columns = np.nonzero(found > 200)
    away = np.hypot((columns + 0.5) / 10.0 - 25.0, (rows + 0.5) / 10.0 - 15.0)
    assert len(away) > 1500
    assert np.abs(away - 10.0).max() < 0.25


def test_a_cut_line_lies_on_the_part_and_never_in_its_hole(tmp_path: Path) -> None:
    ring = Outline(circle(12.0, (25.0, 15.0)), (hole(6.0, (25.0, 15.0)),))
    found = dots(tmp_path / "a.png", (CutLine(ring),))
    rows, columns = np.nonzero(found > 128)
    away = np.hypot((columns + 0.5) / 10.0 - 25.0, (rows + 0.5) / 10.0 - 15.0)
    assert away.min() > 6.0 - 0.08
    assert away.max() < 12.0 + 0.08
    # 0.35 mm of line on either side of the material.
    assert not ((away > 6.0 + 0.45) & (away < 12.0 - 0.45)).any()
    assert found.sum() / 255.0 / 100.0 == pytest.approx(np.pi * (12.0**2 - 11.65**2 + 6.35**2 - 6.0**2), rel=0.1)


def test_words_fill_their_own_box(tmp_path: Path) -> None:
    for turn in (0.0, np.pi / 2.0):
        text = Text("Hamburg, 123 g", (20.0, 4.0), 9.0, turn=turn)
        found = dots(tmp_path / "a.png", (text,))
        rows, columns = np.nonzero(found > 64)
        box = text.box().grown(0.1)
        assert (columns + 0.5).min() / 10.0 > box.left
        assert (columns + 0.5).max() / 10.0 < box.right
        assert (rows + 0.5).min() / 10.0 > box.low
        assert (rows + 0.5).max() / 10.0 < box.high
        along = columns if turn == 0.0 else rows
        assert np.ptp(along) / 10.0 > 0.95 * text.width


@pytest.mark.parametrize(("letter", "bold"), [("M", False), ("g", True), ("Å", False), ("$", False)])
def test_letters_are_those_of_the_font(letter: str, bold: bool, tmp_path: Path) -> None:
    """FreeType draws the same glyph of the same file through Pillow: covered area within 4 %, box within two dots."""
    import reportlab

    file = Path(reportlab.__file__).parent / "fonts" / ("VeraBd.ttf" if bold else "Vera.ttf")
    size = 72.0 * 100 / DPI  # points of a type of 100 dots
    found = dots(tmp_path / "a.png", (Text(letter, (20.0, 10.0), size, bold=bold),))
    font = ImageFont.truetype(str(file), 100, layout_engine=ImageFont.Layout.BASIC)
    other = Image.new("L", (500, 300))
    ImageDraw.Draw(other).text((200, 200), letter, fill=255, font=font, anchor="ls")
    wanted = np.asarray(other, dtype=int)[::-1]
    assert found.sum() == pytest.approx(wanted.sum(), rel=0.04)
    for axis in (0, 1):
        mine, theirs = (np.nonzero(one.max(axis=axis) > 128)[0] for one in (found, wanted))
        assert abs(mine[0] - theirs[0]) <= 2
        assert abs(mine[-1] - theirs[-1]) <= 2


def test_the_same_bytes_every_time_whatever_a_person_sets(tmp_path: Path) -> None:
    write_drawing_png(tmp_path / "a.png", ITEMS, 50.0, 30.0, "trial")
    write_drawing_png(tmp_path / "b.png", ITEMS, 50.0, 30.0, "trial")
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()
    (tmp_path / "matplotlibrc").write_text(
        "figure.facecolor: black\nsavefig.dpi: 33\npath.simplify: True\npath.snap: False\nlines.scale_dashes: True\n"
        "patch.antialiased: False\nsavefig.bbox: tight\nfont.size: 40\nlines.dash_capstyle: round\n"
        "patch.linewidth: 7\nagg.path.chunksize: 20\n"
    )
    (tmp_path / "items").write_bytes(pickle.dumps(ITEMS))
    script = (
        "import pickle, sys; from pathlib import Path; "
        "from ferrule.parts.writers.drawing_png import write_drawing_png; folder = Path(sys.argv[1]); "
        "items = pickle.loads((folder / 'items').read_bytes()); "
        "write_drawing_png(folder / 'c.png', items, 50.0, 30.0, 'trial')"
    )
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(sys.path),
        "MATPLOTLIBRC": str(tmp_path / "matplotlibrc"),
        "TZ": "Pacific/Auckland",
        "SOURCE_DATE_EPOCH": "0",
    }
    subprocess.run([sys.executable, "-c", script, str(tmp_path)], check=True, env=environment)
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "c.png").read_bytes()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"width": 0.0}, "width: 0 mm of the drawing must be above 0 mm"),
        ({"height": float("nan")}, "height: nan mm"),
        ({"dpi": 0.0}, "dpi: must be above 0"),
        ({"dpi": 1201.0}, "dpi: must be above 0 and at most 1200"),
        ({"width": 3000.0, "dpi": 200.0}, "at most 12000 a side"),
        ({"items": (Trace((Line((0.0, 0.0), (float("nan"), 1.0)),), Pen.CUT),)}, "not a number"),
        ({"items": (Text("日本", (1.0, 1.0)),)}, "cannot print"),
        ({"title": "日本"}, "cannot print"),
    ],
)
def test_what_cannot_be_drawn_is_refused_and_leaves_nothing(
    change: dict[str, Any], message: str, tmp_path: Path
) -> None:
    given: dict[str, Any] = {"items": ITEMS, "width": 50.0, "height": 30.0, "title": "trial", "dpi": 50.0} | change
    with pytest.raises(PartError, match=message):
        write_drawing_png(tmp_path / "a.png", **given)
    assert list(tmp_path.iterdir()) == []


def test_a_blank_picture_is_refused_where_something_was_to_be_seen(tmp_path: Path) -> None:
    with pytest.raises(WriteError, match=r"a\.png is blank"):
        write_drawing_png(tmp_path / "a.png", (line((80.0, 80.0), (90.0, 80.0), Pen.CUT),), 50.0, 30.0, "trial")
    assert list(tmp_path.iterdir()) == []
    write_drawing_png(tmp_path / "white.png", (), 50.0, 30.0, "trial")


def test_a_file_that_does_not_read_back_is_noticed(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    found = dots(path, ITEMS)
    drawn = np.full((*found.shape, 4), 255, dtype=np.uint8)
    for wrong, message in (
        (drawn[:-1], "reads back with 500 x 300 pixels instead of 500 x 299"),
        (drawn, "other dots"),
    ):
        with pytest.raises(WriteError, match=message):
            drawing_png.read_back_png(path, wrong, True, "a.png")
    path.write_bytes(path.read_bytes()[:200])
    with pytest.raises(WriteError, match="does not read back as a PNG"):
        drawing_png.read_back_png(path, drawn, True, "a.png")


def test_a_folder_that_cannot_be_written_gives_a_message(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(WriteError, match="a file is in its place"):
        write_drawing_png(tmp_path / "file" / "a.png", ITEMS, 50.0, 30.0, "trial")
