"""Files of marking wraps, read back by other readers: pdfplumber, ezdxf; sizes by hand from the demo's own tubes."""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import pdfplumber
import pytest

from ferrule.app.design import Design
from ferrule.app.design_file import load, parse
from ferrule.app.wrap_sheets import WrapChoice, marked_tubes, wrap_files, wrap_origin
from ferrule.parts.errors import FerruleError
from ferrule.parts.papers.tube_wrap import tube_wraps

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"
SLIM = """format = 1
name = "Slim"
[[tube]]
name = "airframe"
outside_mm = [29.0]
inside_mm = [27.4]
length = "150 mm"
station = "100 mm"
[[part]]
name = "fin"
kind = "fin"
fits = "airframe"
count = 3
station = "180 mm"
root_chord = "60 mm"
tip_chord = "30 mm"
semi_span = "30 mm"
sweep_length = "30 mm"
thickness = "2 mm"
tab_length = "40 mm"
tab_depth = "4 mm"
tab_position = "10 mm"
"""


def slim() -> Design:
    return parse(SLIM, "slim.toml")


def test_the_demo_has_its_marks_on_both_tubes() -> None:
    """Stations of the design less those of the tubes' forward ends, 250 and 530 mm; fins 4.0 mm thick."""
    payload, booster = marked_tubes(load(MARRAM))
    assert (payload.name, booster.name) == ("payload tube", "booster tube")
    # Means of the readings as they stand in the file.
    assert (payload.diameter, booster.diameter) == pytest.approx((68.4, 68.4))
    assert payload.round == pytest.approx(math.pi * 68.5)
    assert {(slot.first, slot.last) for slot in booster.slots} == {(504.5, 595.5)}
    assert {round(slot.width, 9) for slot in booster.slots} == {4.5}
    assert {(band.words, round(band.first, 2)) for band in booster.bands if "ring" in band.words} == {
        ("forward ring", 390.0),
        ("fin ring", 498.65),
        ("fin ring", 595.35),
    }
    assert [(hole.words, hole.station) for hole in booster.holes] == [
        ("vent", 95.0),
        ("rail button", 393.0),
        ("rail button", 580.0),
    ]
    assert {hole.words for hole in payload.holes} == {"vent", "nose screw", "coupler screw"}
    papers = [pattern for tube in (payload, booster) for pattern in tube_wraps(tube)]
    assert len(papers) == 5
    assert not [note for pattern in papers for note in pattern.notes if "want of room" in note]
    named = {band.words for band in booster.bands}
    assert {"CP", "CG without motor", "CG with DEMO-29"} <= named


def test_wraps_are_written_and_read_back(tmp_path: Path) -> None:
    made = list(wrap_files(slim(), tmp_path, {"pdf", "dxf", "svg", "step"}, ("static margin",)))
    assert {origin for origin, *_ in made} == {wrap_origin(slim(), marked_tubes(slim())[0], ("static margin",))}
    assert [(origin.part, kind, path.name) for origin, kind, path, _ in made] == [
        ("airframe", "dxf", "slim-airframe-wrap.dxf"),
        ("airframe", "svg", "slim-airframe-wrap.svg"),
        ("airframe", "pdf", "slim-airframe-wrap-a4.pdf"),
        ("airframe", "pdf", "slim-airframe-wrap-letter.pdf"),
    ]
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(path.name for _, _, path, _ in made)
    with pdfplumber.open(tmp_path / "slim-airframe-wrap-a4.pdf") as document:
        text = document.pages[0].extract_text()
    for words in ("airframe, wrap", "CHECK FAILED: static margin", "paper, 0.10 mm", "strip", "Measure both bars"):
        assert words in text


def test_the_cut_file_has_the_outline_and_the_slots(tmp_path: Path) -> None:
    """Three slots of 2.5 x 41 mm out of a strip pi (29.0 + 0.1) + 12 mm long."""
    made = list(wrap_files(slim(), tmp_path, {"dxf"}))
    proof = made[0][3]
    assert proof["contours"] == 4
    shapes = [item for item in ezdxf.readfile(made[0][2]).modelspace() if item.dxf.layer == "CUT"]
    sizes = []
    for shape in shapes:
        points = [(x, y) for x, y, *_ in shape.get_points()]
        across, along = zip(*points, strict=True)
        sizes.append((max(across) - min(across), max(along) - min(along)))
    assert sorted(sizes)[:3] == [pytest.approx((2.5, 41.0), abs=1e-6)] * 3
    assert sorted(sizes)[3][0] == pytest.approx(math.pi * 29.1 + 12.0, abs=1e-6)


def test_what_is_not_wanted_is_not_made(tmp_path: Path) -> None:
    assert list(wrap_files(slim(), tmp_path, {"step", "stl"})) == []
    assert list(tmp_path.iterdir()) == []


def test_a_strip_divides_its_own_tube_anew() -> None:
    payload, booster = marked_tubes(load(MARRAM), WrapChoice(strips={"booster tube": 216.0}))
    assert booster.round == 216.0
    assert payload.round == pytest.approx(math.pi * 68.5)


def test_a_strip_of_no_such_tube_is_refused() -> None:
    with pytest.raises(FerruleError, match=r"strip: there is no airframe tube 'boster tube'.*booster tube"):
        marked_tubes(load(MARRAM), WrapChoice(strips={"boster tube": 216.0}))
    with pytest.raises(FerruleError, match="there is no airframe tube 'motor tube'"):
        marked_tubes(load(MARRAM), WrapChoice(strips={"motor tube": 97.0}))


def test_the_state_follows_what_is_shown() -> None:
    design = slim()
    (tube,) = marked_tubes(design)
    (other,) = marked_tubes(design, WrapChoice(strips={"airframe": 92.0}))
    (thick,) = marked_tubes(design, WrapChoice(thickness=0.2))
    states = [wrap_origin(design, one).state for one in (tube, other, thick)]
    states += [wrap_origin(design, tube, ("static margin",)).state, wrap_origin(design, tube, whole=True).state]
    assert len(set(states)) == len(states)
    assert wrap_origin(slim(), marked_tubes(slim())[0]).state == states[0]


def test_a_name_that_cannot_be_printed_is_refused_and_leaves_no_file(tmp_path: Path) -> None:
    design = parse(SLIM.replace("airframe", "tube Ж"), "slim.toml")
    with pytest.raises(FerruleError, match="which the templates cannot print"):
        list(wrap_files(design, tmp_path, {"pdf"}))
    assert list(tmp_path.iterdir()) == []
