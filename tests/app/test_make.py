"""Files that are whole or not there, and a manifest that is true, also when a run fails in the middle."""

from __future__ import annotations

import hashlib
import json
import math
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ferrule.app.make import FORMATS, Job, check_formats, make_part
from ferrule.app.manifest import Heading, Made, heading_of
from ferrule.app.run_folder import WORKSHOP, one_run
from ferrule.parts.errors import FerruleError, WriteError
from ferrule.parts.kinds import CenteringRing, Tube
from ferrule.parts.writers import files
from ferrule.parts.writers.files import replace, sum_of, write_text

RING = CenteringRing.build(**CenteringRing.example)
TUBE = Tube.build(**Tube.example)


def silent(line: str) -> None:
    assert line


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def manifest(folder: Path) -> dict[str, Any]:
    found = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


def hold_true(folder: Path) -> set[str]:
    """Every entry of a manifest against its file; the names."""
    entries = manifest(folder)["files"]
    for entry in entries:
        data = (folder / entry["file"]).read_bytes()
        assert (len(data), hashlib.sha256(data).hexdigest()) == (entry["bytes"], entry["sha256"])
    names = [entry["file"] for entry in entries]
    assert names == sorted(set(names))
    return set(names)


# --- one file ---------------------------------------------------------------------------------------------------------


def write_new(target: Path) -> None:
    target.write_text("new")


def accept(target: Path) -> None:
    assert target.read_text() == "new"


def fails(error: BaseException) -> Callable[..., None]:
    def fail(*_: object) -> None:
        raise error

    return fail


def half(error: BaseException) -> Callable[[Path], None]:
    def fail(target: Path) -> None:
        target.write_text("ne")
        raise error

    return fail


def test_a_file_is_written_under_a_temporary_name_with_its_suffix_in_its_own_folder(tmp_path: Path) -> None:
    seen: list[Path] = []

    def write(target: Path) -> None:
        seen.append(target)
        write_new(target)

    replace(tmp_path / "new" / "a.stl", write, accept)
    assert contents(tmp_path / "new") == {"a.stl": b"new"}
    assert seen[0].parent == tmp_path / "new"
    assert seen[0].suffix == ".stl"
    assert seen[0].name.startswith(".")


FAULTS: list[tuple[BaseException, type[BaseException]]] = [
    (OSError(28, "No space left on device"), WriteError),
    (PermissionError(13, "Permission denied"), WriteError),
    (WriteError("a.txt: not what was meant"), WriteError),
    (FerruleError("refused"), FerruleError),
    (KeyboardInterrupt(), KeyboardInterrupt),
    (ZeroDivisionError(), ZeroDivisionError),
]


@pytest.mark.parametrize("old", [None, b"old"])
@pytest.mark.parametrize("stage", ["write", "half written", "read back", "rename"])
@pytest.mark.parametrize(("error", "seen"), FAULTS, ids=lambda item: getattr(item, "__name__", repr(item)))
def test_a_fault_at_any_stage_leaves_the_old_file_or_none_and_nothing_beside_it(
    error: BaseException,
    seen: type[BaseException],
    stage: str,
    old: bytes | None,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    path = tmp_path / "a.txt"
    if old is not None:
        path.write_bytes(old)
    write = {"write": fails(error), "half written": half(error)}.get(stage, write_new)
    if stage == "rename":
        monkeypatch.setattr(os, "replace", fails(error))
    with pytest.raises(seen) as caught:
        replace(path, write, fails(error) if stage == "read back" else accept)
    assert contents(tmp_path) == ({} if old is None else {"a.txt": old})
    if isinstance(error, OSError) and not isinstance(error, WriteError):
        assert str(caught.value) == f"{path} cannot be written: {error.strerror}"
        assert caught.value.__cause__ is None


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for folder in (tmp_path / "file", tmp_path / "file" / "out"):
        with pytest.raises(WriteError, match="cannot be made") as caught:
            replace(folder / "a.txt", write_new, accept)
        assert str(folder) in str(caught.value)


def test_a_folder_where_the_file_should_be_is_a_clear_error(tmp_path: Path) -> None:
    (tmp_path / "a.txt").mkdir()
    with pytest.raises(WriteError, match=r"a\.txt cannot be written"):
        replace(tmp_path / "a.txt", write_new, accept)
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]


def test_text_is_written_as_utf_8_with_plain_line_ends(tmp_path: Path) -> None:
    write_text(tmp_path / "a.md", "Größe\n60 °C\n")
    data = (tmp_path / "a.md").read_bytes()
    assert data == b"Gr\xc3\xb6\xc3\x9fe\n60 \xc2\xb0C\n"
    assert sum_of(tmp_path / "a.md") == files.Sum(len(data), hashlib.sha256(data).hexdigest())


def test_text_that_does_not_read_back_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "write_bytes", lambda target, data: target.write_bytes(data[:-1]))
    with pytest.raises(WriteError, match="did not read back"):
        write_text(tmp_path / "a.md", "words")
    assert contents(tmp_path) == {}


# --- the files of a part ----------------------------------------------------------------------------------------------


def made(folder: Path, formats: str = "stl,pdf", name: str = "ring", failed: tuple[str, ...] = ()) -> list[Made]:
    """The files of a ring, made in a folder."""
    folder.mkdir(exist_ok=True)
    return make_part(Job(RING, name, "demo"), folder, check_formats([formats]), failed, silent)


def run(
    folder: Path, formats: str = "stl,pdf", names: tuple[str, ...] = ("ring",), failed: tuple[str, ...] = ()
) -> list[str]:
    """One whole run of a design into a folder; names of the files that it took away."""
    states = {
        (name, kind): Job(RING, name, "demo").origin(kind, failed).state
        for name in ("ring", "one", "two", "three", "four")
        for kind in FORMATS
    }
    with one_run(folder, "demo") as found:
        files = [item for name in names for item in made(found.workshop, formats, name, failed)]
        found.publish(files, Heading("demo", "1a2b", failed), states)
    return found.removed


def test_a_part_cut_from_sheet_has_templates_and_another_has_none(tmp_path: Path) -> None:
    assert [item.file for item in made(tmp_path)] == ["demo-ring.stl", "demo-ring-a4.pdf", "demo-ring-letter.pdf"]
    assert make_part(Job(TUBE, "tube"), tmp_path, ("pdf", "dxf", "svg"), (), silent) == []


def test_a_part_of_a_design_has_no_picture_of_its_own_and_one_on_its_own_has(tmp_path: Path) -> None:
    assert make_part(Job(RING, "ring", "demo"), tmp_path, ("glb",), (), silent) == []
    assert [item.file for item in make_part(Job(RING, "ring"), tmp_path, ("glb",), (), silent)] == ["ring.glb"]


def test_the_manifest_lists_size_hash_and_proof_of_every_file(tmp_path: Path) -> None:
    run(tmp_path, "stl,3mf,dxf,svg,pdf", failed=("static margin",))
    assert hold_true(tmp_path) == set(contents(tmp_path)) - {"manifest.json"}
    assert heading_of(tmp_path) == Heading("demo", "1a2b", ("static margin",))
    assert manifest(tmp_path)["failed_checks"] == ["static margin"]
    entries = {entry["file"]: entry for entry in manifest(tmp_path)["files"]}
    for file, kind in (("demo-ring.stl", "stl"), ("demo-ring.3mf", "3mf")):
        assert (entries[file]["kind"], entries[file]["design"], entries[file]["part"]) == (kind, "demo", "ring")
        assert entries[file]["self_check"]["closed_and_oriented"] is True
        # Fit faces are kept clear by facets.
        assert abs(entries[file]["self_check"]["volume_against_integral"]) < 2e-3
    # Rim, bore and holes; area of the ring in closed form.
    assert RING.hole_diameter is not None
    holes = len(RING.hole_rolls)
    area = math.pi * (RING.outside_diameter**2 - RING.inside_diameter**2 - holes * RING.hole_diameter**2) / 4.0
    for file in ("demo-ring.dxf", "demo-ring.svg"):
        assert entries[file]["self_check"]["contours"] == 2 + holes
        assert entries[file]["self_check"]["area_mm2"] == pytest.approx(area, rel=1e-6)


def test_two_runs_give_the_same_bytes(tmp_path: Path) -> None:
    for folder in (tmp_path / "a", tmp_path / "b"):
        run(folder, "stl,3mf,dxf,svg,pdf")
    assert contents(tmp_path / "a") == contents(tmp_path / "b")
    run(tmp_path / "a", "stl,3mf,dxf,svg,pdf")
    assert contents(tmp_path / "a") == contents(tmp_path / "b")


def test_entries_of_an_earlier_run_stay_only_while_their_files_are_as_they_were(tmp_path: Path) -> None:
    run(tmp_path, "stl", ("one", "two", "three", "four"))
    (tmp_path / "demo-two.stl").unlink()
    (tmp_path / "demo-three.stl").write_bytes(b"changed")
    assert run(tmp_path, "stl", ("four",)) == []
    assert hold_true(tmp_path) == {"demo-one.stl", "demo-four.stl"}
    assert (tmp_path / "demo-three.stl").read_bytes() == b"changed"


@pytest.mark.parametrize(
    "old",
    [
        b"",
        b"{",
        b"\xff",
        b"[]",
        b"3",
        b'{"files": 3}',
        b'{"files": [3]}',
        b'{"files": ["x"]}',
        b'{"files": [{}]}',
        b'{"schema": "ferrule/manifest/1", "design": 3, "files": 3}',
        b'{"schema": "ferrule/manifest/1", "failed_checks": 3, "files": [3]}',
        b'{"schema": "ferrule/manifest/1", "files": [{"file": 3}]}',
        b'{"schema": "ferrule/manifest/1", "files": [{"file": "../secret", "sha256": "0"}]}',
        b'{"schema": "ferrule/manifest/1", "files": [{"file": ".", "sha256": "0"}]}',
        b'{"schema": "ferrule/manifest/1", "files": [{"file": "a\\u0000b", "sha256": "0"}]}',
        b'{"schema": "ferrule/manifest/1", "files": [{"file": "demo-ring.stl"}]}',
        b"[" * 100_000,
    ],
    ids=range(17),
)
def test_a_manifest_that_is_not_ours_is_replaced(old: bytes, tmp_path: Path) -> None:
    (tmp_path / "manifest.json").write_bytes(old)
    (tmp_path / "demo-ring.stl").write_bytes(b"somebody's")
    run(tmp_path, "stl")
    assert hold_true(tmp_path) == {"demo-ring.stl"}


@pytest.mark.parametrize("error", [WriteError("no"), KeyboardInterrupt()], ids=["WriteError", "KeyboardInterrupt"])
def test_a_run_that_fails_in_the_middle_leaves_the_folder_as_it_was(
    error: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run(tmp_path)
    before = contents(tmp_path)
    calls = 0
    whole = os.replace

    def second_fails(source: Path, target: Path) -> None:
        nonlocal calls
        calls += 1
        if calls == 2:
            raise error
        whole(source, target)

    monkeypatch.setattr(os, "replace", second_fails)
    with pytest.raises(type(error)):
        run(tmp_path, failed=("static margin",))
    assert calls == 2
    assert not (tmp_path / WORKSHOP).exists()
    assert contents(tmp_path) == before


@pytest.mark.parametrize(
    ("asked", "given"),
    [
        (["step,stl,pdf"], ("step", "stl", "pdf")),
        ([",".join(reversed(FORMATS))], ("step", "stl", "3mf", "glb", "dxf", "svg", "pdf")),
        (["PDF, stl"], ("stl", "pdf")),
        (["stl", "stl"], ("stl",)),
        (["stl,"], ("stl",)),
    ],
)
def test_formats_are_read_as_typed(asked: list[str], given: tuple[str, ...]) -> None:
    assert check_formats(asked) == given


@pytest.mark.parametrize("asked", ["", ",", "stp", "stl;pdf", "stl,../x"])
def test_a_format_that_does_not_exist_is_refused(asked: str) -> None:
    with pytest.raises(FerruleError, match="is not among step, stl, 3mf, glb, dxf, svg, pdf"):
        check_formats([asked])
