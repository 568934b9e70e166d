"""`ferrule wrap`: the papers for the tubes, printed again to the length that was read, and of which state they are."""

from __future__ import annotations

import json
from pathlib import Path

import pdfplumber
import pytest
from typer.testing import CliRunner

from ferrule.app.cli import app

TUBE = """format = 1
name = "Lone tube"

[[tube]]
name = "body"
outside_mm = [66.9, 66.8]
inside_mm = [65.1, 65.0]
length = "300 mm"
station = "0 mm"
vents = ["150 mm"]
vent_diameter = "4 mm"
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "lone.toml"
    path.write_text(TUBE, encoding="utf-8")
    return path


def run(*arguments: object) -> tuple[int, str]:
    done = CliRunner().invoke(app, [str(one) for one in arguments])
    return done.exit_code, done.output


def wraps(folder: Path) -> set[str]:
    return {path.name for path in folder.glob("*wrap*")}


def test_the_papers_are_written_and_told_how_to_be_read(file: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    code, words = run("wrap", file, "--out", out)
    assert code == 0
    assert wraps(out) == {f"lone-tube-body-wrap{end}" for end in (".dxf", ".svg", "-a4.pdf", "-letter.pdf")}
    assert "--strip" in words
    listed = json.loads((out / "manifest.json").read_text(encoding="utf-8"))["files"]
    assert {entry["file"] for entry in listed} == wraps(out)


def test_what_was_read_is_printed_and_does_not_change_what_the_papers_are_of(file: Path, tmp_path: Path) -> None:
    states = []
    for extra in ((), ("--strip", "body=211.4 mm"), ("--whole",)):
        out = tmp_path / f"out{len(states)}"
        assert run("wrap", file, "--out", out, *extra)[0] == 0
        listed = json.loads((out / "manifest.json").read_text(encoding="utf-8"))["files"]
        states.append({entry["state"] for entry in listed})
        (printed,) = {entry["fingerprint"] for entry in listed}
        assert f"fingerprint {printed}" in (out / "lone-tube-body-wrap.svg").read_text(encoding="utf-8")
    assert states[0] == states[1] == states[2]


@pytest.mark.parametrize(
    ("strip", "words"),
    [
        ("bodi=211 mm", "there is no airframe tube 'bodi'; did you mean 'body'?"),
        ("211 mm", "is not a tube and a length"),
        ("body=211", "has a number without a unit"),
        ("body=300 mm", "strip"),
    ],
)
def test_a_slip_is_named_and_nothing_is_written(strip: str, words: str, file: Path, tmp_path: Path) -> None:
    code, told = run("wrap", file, "--out", tmp_path / "out", "--strip", strip)
    assert code == 2
    assert words in told
    assert not (tmp_path / "out").exists()


def test_a_run_keeps_papers_of_its_own_state_and_takes_away_those_of_another(file: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("wrap", file, "--out", out, "--strip", "body=211.4 mm")[0] == 0
    assert run("make", file, "--out", out, "--formats", "svg")[0] == 0
    assert len(wraps(out)) == 4
    file.write_text(TUBE.replace('"150 mm"', '"160 mm"'), encoding="utf-8")
    code, told = run("make", file, "--out", out, "--formats", "svg")
    assert code == 0
    assert "wrap" in told
    assert wraps(out) == set()


# Sleeves

FINS = """
[[part]]
name = "fin"
kind = "fin"
fits = "body"
count = 3
station = "210 mm"
root_chord = "70 mm"
tip_chord = "30 mm"
semi_span = "40 mm"
sweep_length = "30 mm"
thickness = "3 mm"
tab_length = "40 mm"
tab_depth = "8 mm"
tab_position = "10 mm"
"""

PAYLOAD = """
[[tube]]
name = "payload"
outside_mm = [66.9, 66.8]
inside_mm = [65.1, 65.0]
length = "200 mm"
station = "-200 mm"
"""


def sleeves(folder: Path) -> set[str]:
    return {path.name for path in folder.glob("*sleeve*")}


def test_a_sleeve_lies_beside_the_wraps_until_the_design_is_another(file: Path, tmp_path: Path) -> None:
    """Neither run takes the other's files away; a changed design takes both."""
    out = tmp_path / "out"
    file.write_text(TUBE + FINS, encoding="utf-8")
    assert run("wrap", file, "--out", out)[0] == 0
    plain = wraps(out)
    assert plain
    code, told = run("wrap", file, "--out", out, "--sleeve", "--paper", "a3")
    assert (code, "glue" in told) == (0, True)
    assert sleeves(out) == {f"lone-tube-body-sleeve{end}" for end in (".dxf", ".svg", "-a3.pdf")}
    assert wraps(out) == plain
    assert run("wrap", file, "--out", out, "--paper", "a3")[0] == 0
    assert len(sleeves(out)) == 3
    assert run("make", file, "--out", out, "--formats", "svg", "--only", "fin")[0] in {0, 1}
    assert plain <= wraps(out)
    assert len(sleeves(out)) == 3
    file.write_text(TUBE + FINS.replace('"210 mm"', '"200 mm"'), encoding="utf-8")
    code, told = run("wrap", file, "--out", out, "--sleeve", "--paper", "a4")
    assert code == 0
    assert "removed lone-tube-body-sleeve-a3.pdf" in told
    assert wraps(out) == set()
    assert sleeves(out) == {f"lone-tube-body-sleeve{end}" for end in (".dxf", ".svg", "-a4.pdf")}


def test_the_card_is_as_thick_as_it_is_said_to_be(file: Path, tmp_path: Path) -> None:
    file.write_text(TUBE + FINS, encoding="utf-8")
    for arguments, words in (
        (("--sleeve",), "card, 0.30 mm"),
        (("--sleeve", "--card", "0.45 mm"), "card, 0.45 mm"),
        (("--card", "0.2 mm"), "paper, 0.20 mm"),
        ((), "paper, 0.10 mm"),
    ):
        out = tmp_path / words.replace(" ", "-")
        assert run("wrap", file, "--out", out, "--paper", "a3", *arguments)[0] == 0
        for path in out.glob("*.pdf"):
            with pdfplumber.open(path) as document:
                assert words in document.pages[0].extract_text()


def test_a_tube_without_slots_is_passed_over_with_a_word(file: Path, tmp_path: Path) -> None:
    file.write_text(
        TUBE.replace('"0 mm"', '"200 mm"').replace('"150 mm"', '"350 mm"')
        + FINS.replace('"210 mm"', '"410 mm"')
        + PAYLOAD.replace('"-200 mm"', '"0 mm"'),
        encoding="utf-8",
    )
    code, told = run("wrap", file, "--out", tmp_path / "out", "--sleeve", "--paper", "a3")
    assert code == 0
    assert "no sleeve for payload, which has no slot" in told
    assert sleeves(tmp_path / "out") == {f"lone-tube-body-sleeve{end}" for end in (".dxf", ".svg", "-a3.pdf")}


@pytest.mark.parametrize(
    ("arguments", "fins", "words"),
    [
        (("--sleeve",), "", "--sleeve: no airframe tube of the design has a slot"),
        (("--sleeve", "--card", "1.5 mm"), FINS, "--card: 1.5 mm must be above 0 and at most 1 mm"),
        (("--card", "0 mm"), FINS, "--card: 0 mm must be above 0"),
        (("--card", "0.3"), FINS, "--card: "),
    ],
)
def test_what_cannot_be_is_refused(
    arguments: tuple[str, ...], fins: str, words: str, file: Path, tmp_path: Path
) -> None:
    file.write_text(TUBE + fins, encoding="utf-8")
    code, told = run("wrap", file, "--out", tmp_path / "out", *arguments)
    assert code == 2
    assert words in told
    assert not (tmp_path / "out").exists()
