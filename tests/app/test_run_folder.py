"""One run at a time writes into a folder, and whatever ends a run, every file there is whole."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from ferrule.app import make_design
from ferrule.app.cli import app
from ferrule.app.folder_lock import locked
from ferrule.app.manifest import Made
from ferrule.app.run_folder import WORKSHOP, one_run
from ferrule.parts.errors import FerruleError, WriteError

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL and fork are of POSIX systems")

DESIGN = """format = 1
name = "Demo"

[settings]
revision = "A"

[[tube]]
name = "tube"
outside_mm = [68.4]
inside_mm = [65.9]
length = "600 mm"
station = "150 mm"
mass = "90 g"

[[tube]]
name = "motor tube"
use = "motor"
outside_mm = [31.0]
inside_mm = [29.2]
length = "250 mm"
station = "500 mm"
mass = "16 g"

[[part]]
name = "nose"
kind = "nose-cone"
fits = "tube"
profile = "cone"
length = "150 mm"
shoulder_length = "66 mm"
material = "pla"

[[part]]
name = "ring"
kind = "centering-ring"
fits = "tube"
around = "motor tube"
station = "520 mm"
thickness = "6 mm"
material = "birch-plywood"
"""
ALL = "stl,3mf,glb,dxf,svg,pdf"
SECTION = {"demo-nose-section-a4.pdf", "demo-nose-section-letter.pdf"}
PAPERS = {
    *(f"demo-nose-{paper}-{size}.pdf" for paper in ("profile-gauge", "wrap") for size in ("a4", "letter")),
    *SECTION,
}
"""What is made on paper of the nose, which is a cone."""


def run(*arguments: str | Path) -> Result:
    result = CliRunner().invoke(app, [str(argument) for argument in arguments], env={"COLUMNS": "300"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def design(folder: Path, *changes: tuple[str, str]) -> Path:
    text = DESIGN
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    folder.mkdir(exist_ok=True)
    path = folder / "demo.toml"
    path.write_text(text, encoding="utf-8")
    return path


def contents(folder: Path) -> dict[str, bytes]:
    """Every file in a folder and below it."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def manifest(folder: Path) -> dict[str, Any]:
    found = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


def holds_true(folder: Path) -> set[str]:
    """Names of the files in a manifest; each must be as it says."""
    entries = manifest(folder)["files"]
    for entry in entries:
        assert hashlib.sha256((folder / entry["file"]).read_bytes()).hexdigest() == entry["sha256"], entry["file"]
    return {entry["file"] for entry in entries}


# --- the lock ---------------------------------------------------------------------------------------------------------

HOLDER = """
import sys
from pathlib import Path
from ferrule.app.folder_lock import locked
with locked(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.read()
"""


@contextmanager
def held_elsewhere(folder: Path) -> Iterator[subprocess.Popen[str]]:
    """Another process holds the folder."""
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "held\n"
        try:
            yield process
        finally:
            process.kill()


def test_a_folder_that_another_process_holds_is_left_alone(tmp_path: Path) -> None:
    path, out = design(tmp_path / "design"), tmp_path / "out"
    assert run("make", path, "--out", out, "--formats", "stl").exit_code == 0
    before = contents(out)
    ring = (
        "part",
        "centering-ring",
        "--outside-diameter",
        "60 mm",
        "--inside-diameter",
        "30 mm",
        "--thickness",
        "6 mm",
    )
    with held_elsewhere(out) as holder:
        for command in (("make", path), ("template", path), ring):
            result = run(*command, "--out", out)
            assert result.exit_code == 2
            assert result.stderr == (
                f"ferrule: another run is writing into {out}; wait for it, or give another folder with --out\n"
            )
            assert contents(out) == before
        assert run("make", path, "--out", tmp_path / "other", "--formats", "stl").exit_code == 0
        # However it ends, the system lets go of the folder.
        holder.kill()
        holder.wait()
        assert run("make", path, "--out", out, "--formats", "svg").exit_code == 0
    assert not (out / WORKSHOP).exists()


def test_a_folder_is_held_once_and_let_go_after_an_error(tmp_path: Path) -> None:
    with locked(tmp_path):
        with pytest.raises(WriteError, match="another run is writing into"), locked(tmp_path):
            pytest.fail("held twice")
        with pytest.raises(WriteError, match="another run is writing into"), one_run(tmp_path):
            pytest.fail("held twice")
    with pytest.raises(ZeroDivisionError), one_run(tmp_path):
        raise ZeroDivisionError
    with one_run(tmp_path):
        assert (tmp_path / WORKSHOP).is_dir()
    assert list(tmp_path.iterdir()) == []


def test_a_new_folder_is_taken_away_when_nothing_came_of_it(tmp_path: Path) -> None:
    def half(folder: Path) -> None:
        with one_run(folder) as found:
            (found.workshop / "half").write_text("")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        half(tmp_path / "new")
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "old").mkdir()
    with pytest.raises(ZeroDivisionError):
        half(tmp_path / "old")
    assert list((tmp_path / "old").iterdir()) == []


# --- a run that is killed ---------------------------------------------------------------------------------------------

KILLED = """
import os, shutil, signal, sys
from pathlib import Path
from typer.testing import CliRunner
from ferrule.app.cli import app

design, old, folders = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
formats, step = sys.argv[4], int(sys.argv[5])
EVENTS = {"open", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "shutil.rmtree"}
state = {"watching": None, "left": 0, "seen": 0}


def hook(event, arguments):
    # The system tells of every file that is opened, moved or removed before it happens.
    if state["watching"] is None or event not in EVENTS or not arguments:
        return
    if str(arguments[0]).startswith(state["watching"]) or str(arguments[0]).startswith("."):
        state["seen"] += 1
        if state["seen"] == state["left"]:
            os.kill(os.getpid(), signal.SIGKILL)


sys.addaudithook(hook)


def make(folder):
    return CliRunner().invoke(app, ["make", design, "--out", str(folder), "--formats", formats]).exit_code


# Once in whole: what is imported late is there for all the others, and the events are counted.
folder = folders / "whole"
shutil.copytree(old, folder)
state.update(watching=str(folder), left=0, seen=0)
code = make(folder)
assert code == 0, code
events = state["seen"]
for number in range(1, events + 1, step):
    folder = folders / f"{number:03}"
    shutil.copytree(old, folder)
    child = os.fork()
    if child == 0:
        state.update(watching=str(folder), left=number, seen=0)
        make(folder)
        os._exit(9)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL, (number, status)
print(events)
"""


@POSIX
def test_a_run_that_is_killed_at_any_moment_leaves_every_file_whole(tmp_path: Path) -> None:
    """Killed before each time that it opens, moves or removes a file; the old folder has files that become stale."""
    old, folders = tmp_path / "old", tmp_path / "killed"
    before = design(tmp_path / "before")
    assert run("make", before, "--out", old, "--formats", "stl,dxf,svg").exit_code == 0
    folders.mkdir()
    step = 1 if "FERRULE_EXAMPLES" in os.environ else 5  # every moment in a search, else every fifth
    after = design(
        tmp_path / "after", ('revision = "A"', 'revision = "B"'), ("inside_mm = [65.9]", "inside_mm = [65.8]")
    )
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(after), str(old), str(folders), "stl,svg", str(step)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    events = int(done.stdout)
    assert events > 40
    were, are = contents(old), contents(folders / "whole")
    # The cut files in the other format are of the old state, and the whole run took them away.
    assert were.keys() - are.keys() == {"demo-ring.dxf", "demo-nose-profile-gauge.dxf", "demo-nose-wrap.dxf"}
    mixed = 0
    for number in range(1, events + 1, step):
        folder = folders / f"{number:03}"
        found = {name: data for name, data in contents(folder).items() if not name.startswith(WORKSHOP)}
        assert found.keys() <= were.keys() | are.keys(), number
        assert all(data in (were.get(name), are.get(name)) for name, data in found.items()), number
        assert found["manifest.json"] in (were["manifest.json"], are["manifest.json"])
        mixed += found not in (were, are)
        # Nothing half made is left to be taken for a file, and the next run puts everything right.
        assert run("make", after, "--out", folder, "--formats", "stl,svg").exit_code == 0
        assert contents(folder) == are, number
        shutil.rmtree(folder)
    assert mixed > 0  # the moments between two moves were met


def test_what_a_killed_run_left_is_cleared_by_the_next(tmp_path: Path) -> None:
    path, out = design(tmp_path / "design"), tmp_path / "out"
    (out / WORKSHOP / "deep").mkdir(parents=True)
    (out / WORKSHOP / "demo-nose.stl").write_text("half")
    (out / WORKSHOP / "deep" / "file").write_text("half")
    assert run("make", path, "--out", out, "--formats", "stl").exit_code == 0
    assert {item.name for item in out.iterdir()} == holds_true(out) | {"manifest.json"}


# --- two runs at once -------------------------------------------------------------------------------------------------


def test_of_two_runs_at_once_the_folder_is_that_of_one(tmp_path: Path) -> None:
    """Whichever of the two is started first."""
    first = design(tmp_path / "first")
    second = design(
        tmp_path / "second", ('revision = "A"', 'revision = "B"'), ("inside_mm = [65.9]", "inside_mm = [65.8]")
    )
    alone = []
    for number, path in enumerate((first, second)):
        assert run("make", path, "--out", tmp_path / f"alone-{number}", "--formats", ALL).exit_code == 0
        alone.append(contents(tmp_path / f"alone-{number}"))
    for number, order in enumerate(((first, second), (second, first))):
        out = tmp_path / f"out-{number}"
        processes = [
            subprocess.Popen(
                [sys.executable, "-m", "ferrule", "make", str(path), "--out", str(out), "--formats", ALL],
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
            )
            for path in order
        ]
        ended = [(process.communicate()[1], process.returncode) for process in processes]
        codes = [code for _, code in ended]
        assert 0 in codes
        assert set(codes) <= {0, 2}
        for words, code in ended:
            assert code == 0 or f"another run is writing into {out}" in words
        assert contents(out) in alone
        assert holds_true(out) == {path.name for path in out.iterdir()} - {"manifest.json"}


# --- two designs and two states in one folder -------------------------------------------------------------------------


def test_a_folder_of_another_design_is_refused_by_its_name(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("make", design(tmp_path / "a"), "--out", out, "--formats", "stl").exit_code == 0
    before = contents(out)
    other = design(tmp_path / "b", ('"Demo"', '"Other"'))
    for command in ("make", "template"):
        result = run(command, other, "--out", out)
        assert result.exit_code == 2
        assert result.stderr == (f"ferrule: {out} holds the files of 'Demo'; give 'Other' another folder with --out\n")
        assert contents(out) == before


def test_files_of_another_state_are_taken_away_and_the_rest_stays(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("make", design(tmp_path / "a"), "--out", out, "--formats", "stl,dxf,svg,pdf").exit_code == 0
    (out / "notes.txt").write_text("mine")
    before = contents(out)
    # A revision is printed on paper and in cut files, and sunk into the nose's shoulder; a ring's mesh is plain.
    path = design(tmp_path / "a", ('revision = "A"', 'revision = "B"'))
    result = run("make", path, "--out", out, "--formats", "stl,svg")
    assert result.exit_code == 0
    stale = {"demo-ring.dxf", "demo-ring-a4.pdf", "demo-ring-letter.pdf", *PAPERS}
    stale |= {"demo-nose-profile-gauge.dxf", "demo-nose-wrap.dxf"}
    assert {line.split()[1].rstrip(",") for line in result.stdout.splitlines() if line.startswith("removed")} == stale
    assert contents(out).keys() == before.keys() - stale
    assert contents(out)["demo-ring.stl"] == before["demo-ring.stl"]
    assert contents(out)["demo-nose.stl"] != before["demo-nose.stl"]
    assert b"revision B" in contents(out)["demo-nose-print-notes.md"]
    assert contents(out)["notes.txt"] == b"mine"
    assert holds_true(out) == before.keys() - stale - {"notes.txt", "manifest.json"}


def test_files_of_the_same_state_are_kept(tmp_path: Path) -> None:
    path, out = design(tmp_path / "a"), tmp_path / "out"
    for formats in ("stl", "svg", "pdf"):
        result = run("make", path, "--out", out, "--formats", formats)
        assert result.exit_code == 0
        assert "removed" not in result.stdout
    for part in ("ring", "nose"):
        result = run("make", path, "--out", out, "--only", part, "--formats", "dxf")
        assert result.exit_code == 0
        assert "removed" not in result.stdout
    assert run("template", path, "--out", out).exit_code == 0
    assert {"demo-nose.stl", "demo-ring.svg", "demo-ring.dxf", "demo-ring-a4.pdf", "demo-side-view.svg"} <= holds_true(
        out
    )
    together = tmp_path / "together"
    assert run("make", path, "--out", together, "--formats", "stl,dxf,svg,pdf").exit_code == 0
    one, other = contents(out), contents(together)
    for found in (one, other):
        del found["report.md"], found["manifest.json"]  # the report lists the files of its own run
    assert one == other


@pytest.mark.parametrize(
    ("old", "new", "stale"),
    [
        # Both sizes of the nose and the rim of the ring follow from this tube.
        (
            "inside_mm = [65.9]",
            "inside_mm = [65.8]",
            {"demo-nose.stl", "demo-nose-print-notes.md", "demo-ring.stl", "demo.glb"},
        ),
        # The bore of the ring alone.
        ("outside_mm = [31.0]", "outside_mm = [31.1]", {"demo-ring.stl", "demo.glb"}),
        # No part, but the place of the whole.
        ('station = "520 mm"', 'station = "521 mm"', {"demo.glb"}),
    ],
)
def test_new_readings_take_away_what_follows_from_the_old_ones(
    old: str, new: str, stale: set[str], tmp_path: Path
) -> None:
    out = tmp_path / "out"
    assert run("make", design(tmp_path / "a"), "--out", out, "--formats", "stl,glb").exit_code == 0
    path = design(tmp_path / "a", (old, new))
    result = run("make", path, "--out", out, "--only", "nose", "--formats", "svg")
    assert result.exit_code == 0
    assert {line.split()[1].rstrip(",") for line in result.stdout.splitlines() if line.startswith("removed")} == stale
    made = {"demo-nose-section.svg", "demo-nose-profile-gauge.svg", "demo-nose-wrap.svg"}
    kept = {"demo-nose.stl", "demo-nose-print-notes.md", "demo-ring.stl", "demo.glb"} - stale
    assert holds_true(out) == made | kept | {"report.md", "build-order.md"}


def test_a_failed_check_makes_what_was_stamped_without_it_stale(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("make", design(tmp_path / "a"), "--out", out, "--formats", "stl,pdf").exit_code == 0
    path = design(
        tmp_path / "a", ('shoulder_length = "66 mm"', 'shoulder_length = "66 mm"\nshoulder_diameter = "66 mm"')
    )
    result = run("make", path, "--out", out, "--only", "nose", "--formats", "stl")
    assert result.exit_code == 1
    notes = "demo-nose-print-notes.md"
    assert holds_true(out) == {"demo-nose.stl", notes, "demo-ring.stl", "report.md", "build-order.md"}
    assert "**CHECK FAILED: nose: shoulder in tube" in (out / notes).read_text(encoding="utf-8")


def test_a_file_that_somebody_changed_stays_and_is_no_longer_listed(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("make", design(tmp_path / "a"), "--out", out, "--formats", "stl,pdf").exit_code == 0
    (out / "demo-ring-a4.pdf").write_bytes(b"with notes")
    path = design(tmp_path / "a", ('revision = "A"', 'revision = "B"'))
    result = run("make", path, "--out", out, "--formats", "stl")
    assert "removed demo-ring-letter.pdf" in result.stdout
    assert "demo-ring-a4.pdf" not in result.stdout
    assert (out / "demo-ring-a4.pdf").read_bytes() == b"with notes"
    assert "demo-ring-a4.pdf" not in holds_true(out)


def test_a_part_made_on_its_own_stays_in_the_folder_of_a_design(tmp_path: Path) -> None:
    path, out = design(tmp_path / "a"), tmp_path / "out"
    spare = (
        *("part", "centering-ring", "--outside-diameter", "60 mm", "--inside-diameter", "30 mm", "--thickness", "6 mm"),
        *("--name", "spare", "--formats", "stl,pdf", "--out", out),
    )
    assert run(*spare).exit_code == 0
    assert manifest(out)["design"] is None
    alone = {name: data for name, data in contents(out).items() if name != "manifest.json"}
    assert run("make", path, "--out", out, "--formats", "stl").exit_code == 0
    assert manifest(out)["design"] == "Demo"
    path = design(tmp_path / "a", ('revision = "A"', 'revision = "B"'), ("inside_mm = [65.9]", "inside_mm = [65.8]"))
    assert run("make", path, "--out", out, "--formats", "stl").exit_code == 0
    assert alone.items() <= contents(out).items()
    assert alone.keys() <= holds_true(out)
    heading = {key: manifest(out)[key] for key in ("design", "fingerprint", "failed_checks")}
    assert run(*spare).exit_code == 0
    assert {key: manifest(out)[key] for key in heading} == heading


# --- faults -----------------------------------------------------------------------------------------------------------


def test_a_fault_at_any_move_leaves_every_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    old = tmp_path / "old"
    assert run("make", design(tmp_path / "a"), "--out", old, "--formats", "stl,svg").exit_code == 0
    path = design(tmp_path / "a", ("inside_mm = [65.9]", "inside_mm = [65.8]"))
    assert run("make", path, "--out", tmp_path / "whole", "--formats", "stl,svg").exit_code == 0
    were, are = contents(old), contents(tmp_path / "whole")
    calls, whole = 0, os.replace
    for call in range(1, 12):
        out = tmp_path / f"out-{call}"
        shutil.copytree(old, out)
        calls = 0

        def fails(source: Path, target: Path, last: int = call) -> None:
            nonlocal calls
            calls += 1
            if calls == last:
                raise OSError(28, "No space left on device")
            whole(source, target)

        with monkeypatch.context() as patch:
            patch.setattr(os, "replace", fails)
            result = run("make", path, "--out", out, "--formats", "stl,svg")
        assert result.exit_code == 2, call
        assert result.stderr.splitlines()[-1].endswith("cannot be written: No space left on device")
        found = contents(out)
        assert found.keys() == were.keys()
        assert all(data in (were[name], are[name]) for name, data in found.items())
        assert run("make", path, "--out", out, "--formats", "stl,svg").exit_code == 0
        assert contents(out) == are, call


def test_a_folder_in_the_place_of_a_file_is_a_clear_error(tmp_path: Path) -> None:
    path, out = design(tmp_path / "a"), tmp_path / "out"
    (out / "demo-ring.svg").mkdir(parents=True)
    result = run("make", path, "--out", out, "--formats", "stl,svg")
    assert result.exit_code == 2
    assert f"{out} cannot be written: " in result.stderr
    assert not (out / "manifest.json").exists()
    (out / "demo-ring.svg").rmdir()
    assert run("make", path, "--out", out, "--formats", "stl,svg").exit_code == 0


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="needs a folder that may not be written")
def test_a_folder_that_may_not_be_written_is_a_clear_error(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir(mode=0o500)
    with pytest.raises(FerruleError, match="cannot be made"), one_run(out):
        pytest.fail("written")
    out.chmod(0o700)


def test_a_signal_from_the_keyboard_leaves_the_folder_as_it_was(tmp_path: Path) -> None:
    path, out = design(tmp_path / "a"), tmp_path / "out"
    assert run("make", path, "--out", out, "--formats", "stl").exit_code == 0
    before = contents(out)

    def interrupted() -> None:
        with one_run(out, "Demo") as folder:
            (folder.workshop / "demo-nose.stl").write_text("half")
            signal.raise_signal(signal.SIGINT)

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert contents(out) == before


# --- killed at any time -----------------------------------------------------------------------------------------------

KILLED_AT_RANDOM = """
import os, random, signal, sys, time
from pathlib import Path
from typer.testing import CliRunner
from ferrule.app.cli import app
from ferrule.app.run_folder import WORKSHOP

first, second, folders, kills = sys.argv[1], sys.argv[2], Path(sys.argv[3]), int(sys.argv[4])
designs, draw = (first, second), random.Random(int(sys.argv[5]))
MINE = {"notes.txt": b"mine", "old/demo-ring.stl": b"of last year"}


def make(design, folder):
    return CliRunner().invoke(app, ["make", design, "--out", str(folder), "--formats", "svg"]).exit_code


def contents(folder):
    found = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    return {name: data for name, data in found.items() if not name.startswith(WORKSHOP)}


# Each by itself and in whole, twice: what is imported late is there for all the others.
for _ in range(2):
    times, clean = [], []
    for number, design in enumerate(designs):
        start = time.perf_counter()
        assert make(design, folders / f"{number}-{_}") == 0
        times.append(time.perf_counter() - start)
        clean.append(contents(folders / f"{number}-{_}"))
whole = max(times)

out = folders / "out"
(out / "old").mkdir(parents=True)
for name, data in MINE.items():
    (out / name).write_bytes(data)
killed = mixed = tries = 0
while killed < kills:
    tries += 1
    assert tries < 20 * kills, (killed, tries)
    child = os.fork()
    if child == 0:
        os._exit(make(designs[tries % 2], out))
    # Every other time near the end, where files are moved.
    time.sleep(whole * (draw.random() if tries % 2 else draw.uniform(0.7, 1.2)))
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    if not os.WIFSIGNALED(status):
        assert os.WEXITSTATUS(status) == 0, status
    killed += os.WIFSIGNALED(status)
    found = contents(out)
    assert {name: found.pop(name) for name in MINE} == MINE
    for name, data in found.items():
        assert data in [one.get(name) for one in clean], name
    mixed += found not in ({}, *clean)
print(killed, mixed, tries)
for number, design in enumerate(designs):
    assert make(design, out) == 0
    assert contents(out) == {**clean[number], **MINE}
"""


@POSIX
def test_killed_fifty_times_at_random_no_file_is_half_and_no_other_is_lost(tmp_path: Path) -> None:
    """By the clock, wherever the run is, into one folder that goes to and fro between two states."""
    first, second = (
        design(tmp_path / "first"),
        design(tmp_path / "second", ('revision = "A"', 'revision = "B"'), ("inside_mm = [65.9]", "inside_mm = [65.8]")),
    )
    kills = 500 if "FERRULE_EXAMPLES" in os.environ else 50
    done = subprocess.run(
        [sys.executable, "-c", KILLED_AT_RANDOM, str(first), str(second), str(tmp_path / "made"), str(kills), "20"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout.split()[0]) == kills


# --- a full disk ------------------------------------------------------------------------------------------------------

FULL = """
import json, os, resource, signal, sys
from pathlib import Path
from typer.testing import CliRunner
from ferrule.app.cli import app

design, out = sys.argv[1], sys.argv[2]


def make(word):
    # One file after the other is refused once it is longer than this, as on a disk that has no more room.
    done = CliRunner().invoke(app, ["make", design, "--out", out, "--formats", word])
    assert done.exception is None or isinstance(done.exception, SystemExit), repr(done.exception)
    return done.exit_code, done.stderr.splitlines()[-1]


signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
# What is imported and cached late must not meet the limit.
for word in sys.argv[3:]:
    CliRunner().invoke(app, ["make", design, "--out", out + "-free", "--formats", word])
for word in sys.argv[3:]:
    for limit in (0, 100, 1500):
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            os.write(writing, json.dumps([word, limit, *make(word)]).encode() + b"\\n")
            os._exit(0)
        os.close(writing)
        assert os.waitpid(child, 0)[1] == 0
        print(os.read(reading, 10_000).decode(), end="", flush=True)
        os.close(reading)
"""


@POSIX
def test_a_disk_that_is_full_leaves_the_folder_as_it_was_and_says_so(tmp_path: Path) -> None:
    before = design(tmp_path / "before")
    after = design(
        tmp_path / "after", ('revision = "A"', 'revision = "B"'), ("inside_mm = [65.9]", "inside_mm = [65.8]")
    )
    out = tmp_path / "out"
    assert run("make", before, "--out", out, "--formats", ALL).exit_code == 0
    (out / "notes.txt").write_text("mine")
    were = contents(out)
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(after), str(out), "step", *ALL.split(",")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(lines) == 21
    for word, limit, code, told in lines:
        assert code == 2, (word, limit, told)
        assert told.startswith("ferrule: "), (word, limit, told)
        assert "File too large" in told or "cannot be written" in told or "not read back" in told, (word, limit, told)
    assert contents(out) == were
    assert holds_true(out) == were.keys() - {"manifest.json", "notes.txt"}
    # With room again it goes on as if nothing had been.
    assert run("make", after, "--out", out, "--formats", ALL).exit_code == 0
    assert run("make", after, "--out", tmp_path / "clean", "--formats", ALL).exit_code == 0
    assert contents(out) == {**contents(tmp_path / "clean"), "notes.txt": b"mine"}


# --- a folder that may not be written ---------------------------------------------------------------------------------

MAY_NOT = """
import os, sys
from typer.testing import CliRunner
from ferrule.app.cli import app

design, new, old = sys.argv[1:]
assert CliRunner().invoke(app, ["make", design, "--out", new, "--formats", "svg"]).exit_code == 0
if os.geteuid() == 0:
    os.setuid(65534)  # nobody: what may be written is nothing to who may do everything
for folder in (old, old + "/deeper"):
    done = CliRunner().invoke(app, ["make", design, "--out", folder, "--formats", "svg"])
    assert isinstance(done.exception, SystemExit), repr(done.exception)
    print(done.exit_code, done.stderr.splitlines()[-1])
"""


@POSIX
def test_make_into_a_folder_that_may_not_be_written_says_so(tmp_path: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path, old = design(Path(folder) / "a"), Path(folder) / "old"
        old.mkdir()
        (old / "notes.txt").write_text("mine")
        old.chmod(0o555)
        Path(folder).chmod(0o755)
        done = subprocess.run(
            [sys.executable, "-c", MAY_NOT, str(path), str(tmp_path / "new"), str(old)],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        assert contents(old) == {"notes.txt": b"mine"}
        assert done.stdout.splitlines() == [
            f"2 ferrule: the folder {old / WORKSHOP} cannot be made: Permission denied",
            f"2 ferrule: the folder {old / 'deeper'} cannot be made: Permission denied",
        ]
        old.chmod(0o755)


# --- a design file that changes while it is made ----------------------------------------------------------------------


def test_a_design_file_that_changes_during_the_run_is_made_as_it_was_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, out = design(tmp_path / "a"), tmp_path / "out"
    assert run("make", path, "--out", tmp_path / "first", "--formats", "stl,svg").exit_code == 0
    whole, calls = make_design.make_or_keep, 0

    def edited_meanwhile(*arguments: Any) -> list[Made]:
        nonlocal calls
        calls += 1
        design(tmp_path / "a", ('revision = "A"', 'revision = "B"'), ("inside_mm = [65.9]", "inside_mm = [65.8]"))
        return whole(*arguments)

    monkeypatch.setattr(make_design, "make_or_keep", edited_meanwhile)
    assert run("make", path, "--out", out, "--formats", "stl,svg").exit_code == 0
    assert calls == 2
    assert contents(out) == contents(tmp_path / "first")
    monkeypatch.undo()
    # The next run is of what the file says then, and leaves nothing of the old state.
    assert run("make", path, "--out", out, "--formats", "stl,svg").exit_code == 0
    assert run("make", path, "--out", tmp_path / "second", "--formats", "stl,svg").exit_code == 0
    assert contents(out) == contents(tmp_path / "second")


def test_a_kept_file_that_changes_during_the_run_is_no_part_of_the_manifest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was found true at the start must be so at the end."""
    path, out = design(tmp_path / "a"), tmp_path / "out"
    assert run("make", path, "--out", out, "--formats", "stl,svg").exit_code == 0
    before, whole = contents(out), make_design.build_sheet

    def edited_meanwhile(*arguments: Any) -> str:
        (out / "demo-ring.stl").write_bytes(b"edited")
        return whole(*arguments)

    monkeypatch.setattr(make_design, "build_sheet", edited_meanwhile)
    result = run("make", path, "--out", out, "--formats", "stl,svg")
    assert result.exit_code == 2
    assert result.stderr.splitlines()[-1] == (
        f"ferrule: {out / 'demo-ring.stl'} was changed while this run was made; run it again"
    )
    monkeypatch.undo()
    assert contents(out) == {**before, "demo-ring.stl": b"edited"}
    assert run("make", path, "--out", out, "--formats", "stl,svg").exit_code == 0
    assert contents(out) == before
