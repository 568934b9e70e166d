"""The commented design file that `ferrule new` writes: it is a design that holds together, also with all its tables."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

import ferrule
from ferrule.app.cli import app
from ferrule.app.design_file import load, parse
from ferrule.app.entries import (
    AllowancesEntry,
    AnchorEntry,
    HarnessEntry,
    JointEntry,
    MotorEntry,
    ParachuteEntry,
    PayloadEntry,
    RailEntry,
)
from ferrule.app.flight_entries import DragEntry, LaunchEntry, LoadsEntry
from ferrule.app.machine_file import CutterEntry
from ferrule.app.starter import starter

ROOT = Path(__file__).resolve().parents[2]
THRUST = "time_s,thrust_N\n0,0\n0.1,80\n1.5,60\n1.8,0\n"


def run(*arguments: str | Path) -> Result:
    result = CliRunner().invoke(app, [str(argument) for argument in arguments], env={"COLUMNS": "200"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def taken_in(text: str) -> str:
    """The file with every commented table used; sentences stay comments."""
    return re.sub(r"(?m)^# (\[|[a-z_]+ = )", r"\1", text)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "rocket.toml"
    result = run("new", path)
    assert result.exit_code == 0
    assert result.stdout == f"{path} is written; put your own readings into it, then: ferrule check {path}\n"
    return path


def checks(path: Path) -> dict[str, Any]:
    result = run("check", path, "--json")
    assert result.exit_code == 0, result.output
    figures: dict[str, Any] = json.loads(result.stdout)
    # What a wind does is told of any rocket, and the winds are the usual ones up to what is flown in at all.
    wind = ("margin in wind at the rail's exit", "speed at deployment", "opening load", "forward ring bent by")
    told = [check for check in figures["checks"] if check["status"] in ("fail", "warn")]
    assert [check for check in told if not check["name"].startswith(wind)] == []
    return figures


def test_what_is_written_is_a_design_that_checks(path: Path) -> None:
    assert path.read_text(encoding="utf-8") == starter()
    assert path.read_bytes().isascii()
    figures = checks(path)
    assert figures["loadings"][0]["mass_g"] > 0.0
    assert figures["body"]["cp_mm"] > 0.0
    assert figures["next"] == "enter the motor as [[motor]]: sizes, loaded and empty mass, where its aft end is"


def test_with_every_commented_table_taken_in_it_still_checks(path: Path) -> None:
    text = taken_in(starter())
    tables = ("joint", "anchor", "harness", "parachute", "payload", "hardware", "motor")
    assert all(f"\n[[{table}]]" in text for table in tables)
    single = ("allowances", "rail", "launch", "drag", "loads", "printer.", "cutter.")
    assert all(f"\n[{table}" in text for table in single)
    path.write_text(text, encoding="utf-8")
    (path.parent / "thrust.csv").write_text(THRUST, encoding="utf-8")
    figures = checks(path)
    # All is stated but what is measured when the rocket stands there, at the bench or in the field.
    unknown = [check["name"] for check in figures["checks"] if check["status"] == "not-stated"]
    assert unknown == [
        "screws, nose to payload tube",
        "screws, payload tube to coupler",
        "centre of gravity measured",
    ]
    assert figures["next"] is None
    assert [(one["motor"], one["name"]) for one in figures["loadings"]] == [
        (None, "without motor"),
        ("motor", "liftoff"),
        ("motor", "burnout"),
    ]


def test_tables_can_be_taken_in_one_after_the_other(path: Path) -> None:
    """No table of the file needs one that stands below it, but for the harness that a parachute hangs on."""
    (path.parent / "thrust.csv").write_text(THRUST, encoding="utf-8")
    blocks = re.split(r"(?m)^(?=# \[)", starter())
    assert len(blocks) > 10
    for number in range(1, len(blocks)):
        text = "".join(taken_in(block) if index <= number else block for index, block in enumerate(blocks))
        path.write_text(text, encoding="utf-8")
        figures = load(path)
        # While only some joints or anchors are entered, a check may well say that one is missing.
        assert figures.loadings


def test_it_shows_the_fields_that_a_flyer_fills_in() -> None:
    text = starter()
    shown = (AllowancesEntry, AnchorEntry, CutterEntry, HarnessEntry, JointEntry, LaunchEntry, LoadsEntry)
    for model in (*shown, ParachuteEntry, PayloadEntry, RailEntry):
        for name in model.model_fields:
            assert name == "screw_length" or re.search(rf"(?m)^# {name} = ", text), name
    # A coefficient stands in place of the roughness: of it a sentence tells.
    for name in DragEntry.model_fields:
        stated = name not in ("coefficient", "reference_diameter", "reference_area", "source")
        assert bool(re.search(rf"(?m)^# {name} = ", text)) == stated, name
    assert "coefficient, reference_diameter and source in place of roughness" in text
    assert "time_s,thrust_N" in text
    for name, field in MotorEntry.model_fields.items():
        assert not field.is_required() or re.search(rf"(?m)^# {name} = ", text), name


def test_the_files_of_the_starting_design_are_made(path: Path) -> None:
    result = run("make", path, "--out", path.parent / "out", "--formats", "stl,svg,pdf")
    assert result.exit_code == 0
    assert (path.parent / "out" / "my-rocket-side-view.svg").is_file()


@pytest.mark.parametrize("what", ["file", "folder", "link to nothing"])
def test_nothing_that_is_there_is_overwritten(what: str, tmp_path: Path) -> None:
    path = tmp_path / "rocket.toml"
    if what == "file":
        path.write_bytes(b"mine")
    elif what == "folder":
        path.mkdir()
    else:
        path.symlink_to(tmp_path / "nothing")
    result = run("new", path)
    assert result.exit_code == 2
    assert result.stderr == f"ferrule: {path} is there already, and nothing was changed; give another name\n"
    assert [item.name for item in tmp_path.iterdir()] == ["rocket.toml"]
    assert what != "file" or path.read_bytes() == b"mine"


@pytest.mark.parametrize("name", ["x" * 300, "file/rocket.toml"])
def test_a_place_that_cannot_be_written_is_a_clear_error(name: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    result = run("new", tmp_path / name)
    assert result.exit_code == 2
    assert "cannot be" in result.stderr
    assert [item.name for item in tmp_path.iterdir()] == ["file"]


def test_a_folder_that_is_missing_is_made(tmp_path: Path) -> None:
    assert run("new", tmp_path / "a" / "b" / "rocket.toml").exit_code == 0
    assert load(tmp_path / "a" / "b" / "rocket.toml").name == "My rocket"


def test_it_lies_in_the_package_where_the_wheel_takes_it_from() -> None:
    """tests/test_house.py holds that every data file is packaged; this one is read by name."""
    assert ferrule.__file__ is not None
    data = Path(ferrule.__file__).parent / "app" / "data" / "starter.toml"
    assert data.read_text(encoding="utf-8") == starter()
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert re.search(r'(?m)^"ferrule\.app" = \["data/\*\.toml"\]', project)
    assert parse(starter()).name == "My rocket"
