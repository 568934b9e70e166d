"""`ferrule template` and `ferrule wrap` on other paper, put right for a printer, and mirrored; all in one folder.

Sources: ISO 216 for A3; 24 in are 609.6 mm; what one printer makes of 100 mm scales every length by as much.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner, Result

from ferrule.app.cli import app
from ferrule.app.paper_choice import USUAL, choice_of
from ferrule.parts.errors import FerruleError
from ferrule.parts.sheets.paper import A3, A4, US_LETTER

MM = 25.4 / 72.0
"""One point [mm]."""

DESIGN = """format = 1
name = "Demo"

[settings]
revision = "A"

[[tube]]
name = "body"
outside_mm = [66.9, 66.8]
inside_mm = [65.1, 65.0]
length = "300 mm"
station = "150 mm"
vents = ["300 mm"]
vent_diameter = "4 mm"

[[part]]
name = "nose"
kind = "nose-cone"
fits = "body"
profile = "cone"
length = "150 mm"
shoulder_length = "66 mm"
material = "pla"

[[part]]
name = "plate"
kind = "bulkhead"
fits = "body"
station = "400 mm"
thickness = "6 mm"
material = "birch-plywood"
"""
PLATE = "demo-plate"
SECTIONS = {"demo-nose-section-a4.pdf", "demo-nose-section-letter.pdf"}


def design(folder: Path, *changes: tuple[str, str]) -> Path:
    text = DESIGN
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / "demo.toml"
    path.write_text(text, encoding="utf-8")
    return path


def run(*arguments: object) -> Result:
    found = CliRunner().invoke(app, [str(one) for one in arguments], env={"COLUMNS": "300"})
    assert found.exception is None or isinstance(found.exception, SystemExit), found.exception
    return found


def entries(folder: Path) -> dict[str, dict[str, Any]]:
    listed = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    return {entry["file"]: entry for entry in listed}


def names(folder: Path, start: str = "") -> set[str]:
    return {path.name for path in folder.glob(f"{start}*.pdf")}


def said(path: Path) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(path).pages)


# What is asked for


def test_a4_and_us_letter_are_usual() -> None:
    assert choice_of(()) == USUAL
    assert [paper for _, paper in USUAL.laid_out()] == [A4, US_LETTER]


@pytest.mark.parametrize(
    ("asked", "word", "width"),
    [
        ("a3", "a3", 297.0),
        ("A3", "a3", 297.0),
        ("US Letter", "letter", 215.9),
        ("roll 610 mm", "roll-610", 610.0),
        ("Roll  24 in", "roll-610", 609.6),
        ("roll 91.4cm", "roll-914", 914.0),
    ],
)
def test_papers_are_named_in_plain_words(asked: str, word: str, width: float) -> None:
    ((end, paper),) = choice_of((asked,)).laid_out()
    assert end == word
    assert paper.width == pytest.approx(width)


def test_several_papers_may_be_asked_for_and_none_is_made_twice() -> None:
    choice = choice_of(("a3", "a4", "A3"), ("99.2 mm", "98.8 mm"), mirrored=True)
    assert [end for end, _ in choice.laid_out()] == ["a3-mirrored-corrected", "a4-mirrored-corrected"]
    assert [paper.area_width * paper.scale[0] for _, paper in choice.laid_out()] == pytest.approx([277.0, 190.0])
    assert dict(choice.papers) == {"a3": A3, "a4": A4}


@pytest.mark.parametrize(
    ("papers", "printed", "words"),
    [
        (("a5",), None, "--paper: 'a5' is no paper that is known; papers: a4, letter, a3, or a roll such as"),
        (("leter",), None, "did you mean 'letter'?"),
        (("roll",), None, 'a roll needs its width; write it as "roll 610 mm"'),
        (("roll 610",), None, "--paper: '610' has a number without a unit"),
        (("roll 200 mm",), None, "--paper: roll: 200 mm wide must be from 210 to 1600 mm"),
        ((), ("99", "98 mm"), "--printed: '99' has a number without a unit"),
        ((), ("99 mm", "98 g"), "--printed: '98 g'"),
        ((), ("89 mm", "98 mm"), "--printed: X of 89 mm must be from 90 to 110 mm; so far from 100 mm it is the print"),
        ((), ("100 mm", "4 in"), ""),
        ((), ("100 mm", "111 mm"), "--printed: Y of 111 mm must be from 90 to 110 mm"),
    ],
)
def test_what_cannot_be_is_refused_with_its_value(
    papers: tuple[str, ...], printed: tuple[str, str] | None, words: str
) -> None:
    if not words:
        # 4 in are 101.6 mm: it may have been the other bar, but so may a printer be.
        assert choice_of(papers, printed).sizes.endswith("101.6 mm up (Y)")
        return
    with pytest.raises(FerruleError) as caught:
        choice_of(papers, printed)
    assert words in str(caught.value)


# One folder


def test_sheets_on_other_paper_lie_beside_the_usual_ones(tmp_path: Path) -> None:
    file, out = design(tmp_path), tmp_path / "out"
    assert run("template", file, "--out", out).exit_code == 0
    usual = names(out)
    assert {f"{PLATE}-a4.pdf", f"{PLATE}-letter.pdf"} | SECTIONS <= usual
    for options, end in (
        (("--paper", "a3"), "-a3"),
        (("--paper", "roll 610 mm"), "-roll-610"),
        (("--paper", "a4", "--printed", "99.2 mm", "98.8 mm"), "-a4-corrected"),
        (("--paper", "letter", "--mirrored"), "-letter-mirrored"),
    ):
        before = {name: (out / name).read_bytes() for name in names(out)}
        result = run("template", file, "--out", out, "--only", "plate", *options)
        assert result.exit_code == 0, result.output
        assert "removed" not in result.output
        assert names(out) - set(before) == {f"{PLATE}{end}.pdf"}
        assert all((out / name).read_bytes() == content for name, content in before.items())
    listed = entries(out)
    assert set(listed) >= names(out)
    assert {listed[name]["sizes"] for name in usual} == {"nominal"}
    corrected = listed[f"{PLATE}-a4-corrected.pdf"]
    assert corrected["sizes"] == "corrected for a printer that prints 100 mm as 99.2 mm across (X) and 98.8 mm up (Y)"
    assert corrected["self_check"]["check_bars_drawn_mm"] == [100.8065, 101.2146]
    assert listed[f"{PLATE}-letter-mirrored.pdf"]["self_check"]["mirrored"] is True
    assert listed[f"{PLATE}-roll-610.pdf"]["self_check"]["paper"].startswith("Roll, 610 x ")
    # All of one state of the design: a new one takes all of them away together.
    states = {entry["state"] for name, entry in listed.items() if name.startswith(PLATE)}
    assert len(states) == 1
    kinds = {name for name in names(out) if name.startswith(PLATE)}
    other = design(tmp_path, ('revision = "A"', 'revision = "B"'))
    result = run("template", other, "--out", out, "--only", "plate", "--paper", "a4")
    assert names(out, PLATE) == {f"{PLATE}-a4.pdf"}
    assert {line.split()[1].rstrip(",") for line in result.output.splitlines() if line.startswith("removed")} == (
        (kinds | usual) - {f"{PLATE}-a4.pdf"}
    )


def test_the_usual_sheets_leave_a_corrected_one_of_the_same_state(tmp_path: Path) -> None:
    file, out = design(tmp_path), tmp_path / "out"
    assert run("template", file, "--out", out, "--only", "plate", "--printed", "99 mm", "99 mm").exit_code == 0
    assert names(out) == {f"{PLATE}-a4-corrected.pdf", f"{PLATE}-letter-corrected.pdf"}
    result = run("template", file, "--out", out, "--only", "plate")
    assert "removed" not in result.output
    assert names(out) == {f"{PLATE}-{end}.pdf" for end in ("a4", "a4-corrected", "letter", "letter-corrected")}


def test_drawings_to_scale_are_neither_corrected_nor_mirrored_nor_on_other_paper(tmp_path: Path) -> None:
    file = design(tmp_path)
    gauge, wrap = "demo-nose-profile-gauge", "demo-nose-wrap"
    for number, (options, wanted) in enumerate(
        (
            (("--paper", "a3"), {f"{gauge}-a3.pdf", f"{wrap}-a3.pdf"}),
            (("--paper", "a4"), {f"{gauge}-a4.pdf", f"{wrap}-a4.pdf", "demo-nose-section-a4.pdf"}),
            (
                ("--paper", "a4", "--printed", "99 mm", "99 mm"),
                {f"{gauge}-a4-corrected.pdf", f"{wrap}-a4-corrected.pdf"},
            ),
        )
    ):
        out = tmp_path / f"out{number}"
        assert run("template", file, "--out", out, "--only", "nose", *options).exit_code == 0
        assert names(out) == wanted


def test_nothing_to_mirror_is_said_and_nothing_is_written(tmp_path: Path) -> None:
    result = run("template", design(tmp_path), "--out", tmp_path / "out", "--only", "nose", "--mirrored")
    assert result.exit_code == 2
    assert "nothing of it is cut from sheet" in result.stderr
    assert not (tmp_path / "out").exists()


def test_a_slip_on_the_command_line_is_no_traceback(tmp_path: Path) -> None:
    for options in (("--paper", "a5"), ("--printed", "80 mm", "100 mm"), ("--printed", "99 mm")):
        assert run("template", design(tmp_path), "--out", tmp_path / "out", *options).exit_code == 2
    assert not (tmp_path / "out").exists()


def test_the_sheets_say_what_they_are(tmp_path: Path) -> None:
    file, out = design(tmp_path), tmp_path / "out"
    told = run("template", file, "--out", out, "--only", "plate").output
    assert '--printed "99.2 mm" "98.8 mm"' in told
    told = run("template", file, "--out", out, "--only", "plate", "--printed", "99.2 mm", "98.8 mm").output
    assert "corrected for a printer that prints 100 mm as 99.2 mm across (X) and 98.8 mm up (Y)" in told
    assert "print again" not in told
    run("template", file, "--out", out, "--only", "plate", "--mirrored")
    for end in ("a4", "letter"):
        assert "Corrected" not in said(out / f"{PLATE}-{end}.pdf")
        assert "Corrected for a printer" in said(out / f"{PLATE}-{end}-corrected.pdf")
        assert "MIRRORED" in said(out / f"{PLATE}-{end}-mirrored.pdf")
        metadata = PdfReader(out / f"{PLATE}-{end}-mirrored.pdf").metadata
        assert metadata is not None
        assert metadata.title is not None
        assert "mirrored template" in metadata.title


# Wraps


def test_wraps_on_other_paper_and_for_a_printer(tmp_path: Path) -> None:
    file, out = design(tmp_path), tmp_path / "out"
    assert run("wrap", file, "--out", out).exit_code == 0
    usual = names(out)
    result = run("wrap", file, "--out", out, "--paper", "roll 24 in", "--printed", "100.4 mm", "99.6 mm")
    assert result.exit_code == 0, result.output
    assert names(out) - usual == {"demo-body-wrap-roll-610-corrected.pdf"}
    listed = entries(out)
    assert listed["demo-body-wrap-roll-610-corrected.pdf"]["sizes"].startswith("corrected for a printer")
    assert {listed[f"demo-body-wrap.{kind}"]["sizes"] for kind in ("dxf", "svg")} == {"nominal"}
    (page,) = PdfReader(out / "demo-body-wrap-roll-610-corrected.pdf").pages
    assert float(page.mediabox.width) * MM == pytest.approx(609.6, abs=0.01)


def test_a_wrap_of_a_67_mm_tube_takes_one_lying_page(tmp_path: Path) -> None:
    """Once round is pi (66.85 + 0.1) = 210.3 mm and 12 mm of overlap: more than any sheet is wide."""
    out = tmp_path / "out"
    run("wrap", design(tmp_path), "--out", out)
    for end, wide in (("a4", 297.0), ("letter", 11.0 * 25.4)):
        (page,) = PdfReader(out / f"demo-body-wrap-{end}.pdf").pages
        assert float(page.mediabox.width) * MM == pytest.approx(wide, abs=0.01)


def test_a_length_read_off_belongs_to_sheets_corrected_alike(tmp_path: Path) -> None:
    file, out = design(tmp_path), tmp_path / "out"
    told = run("wrap", file, "--out", out, "--strip", "body=211 mm", "--printed", "99 mm", "99 mm").output
    assert "must have been read off a print made with the same --printed" in told


def test_wraps_of_another_state_are_taken_away_whatever_paper_they_are_on(tmp_path: Path) -> None:
    file, out = design(tmp_path), tmp_path / "out"
    assert run("wrap", file, "--out", out, "--paper", "a3").exit_code == 0
    assert run("template", file, "--out", out, "--only", "plate").exit_code == 0
    other = design(tmp_path, ('vents = ["300 mm"]', 'vents = ["310 mm"]'))
    told = run("wrap", other, "--out", out).output
    assert "removed demo-body-wrap-a3.pdf, which is of another state of the design" in told
    assert names(out, "demo-body") == {"demo-body-wrap-a4.pdf", "demo-body-wrap-letter.pdf"}
    assert {f"{PLATE}-a4.pdf", f"{PLATE}-letter.pdf"} <= names(out), "what is no wrap is not looked at"
