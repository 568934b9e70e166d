"""Files that are whole or not there, whatever goes wrong on the way."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from ferrule.parts.errors import WriteError
from ferrule.parts.writers.files import Sum, replace, sum_of, write_text


def names(folder: Path) -> list[str]:
    return sorted(item.name for item in folder.iterdir())


def nothing(_: Path) -> None:
    return None


def new(target: Path) -> None:
    target.write_text("new")


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "ring.svg"
    path.write_text("old")
    return path


def test_a_file_is_written_aside_read_back_and_then_renamed(old: Path) -> None:
    seen: list[Path] = []

    def look(written: Path) -> None:
        assert written.read_text() == "new"
        assert old.read_text() == "old", "the old file stays until the new one is proved"
        seen.append(written)

    replace(old, new, look)
    assert old.read_text() == "new"
    assert names(old.parent) == ["ring.svg"]
    assert seen[0].parent == old.parent, "a rename is whole only within one folder"
    assert seen[0].name.startswith(".")
    assert seen[0].suffix == ".svg"


def test_two_at_once_use_different_names(tmp_path: Path) -> None:
    used: list[Path] = []

    def note(target: Path) -> None:
        used.append(target)
        new(target)

    for _ in range(2):
        replace(tmp_path / "ring.svg", note, nothing)
    assert used[0] != used[1]


def test_folders_are_made(tmp_path: Path) -> None:
    replace(tmp_path / "a" / "b" / "ring.svg", new, nothing)
    assert (tmp_path / "a" / "b" / "ring.svg").read_text() == "new"


def test_a_new_file_is_as_readable_as_any_other(tmp_path: Path) -> None:
    replace(tmp_path / "ring.svg", new, nothing)
    (tmp_path / "plain").write_text("")
    assert (tmp_path / "ring.svg").stat().st_mode == (tmp_path / "plain").stat().st_mode


@pytest.mark.parametrize("error", [KeyboardInterrupt, MemoryError, ValueError])
@pytest.mark.parametrize("stage", ["write", "read back"])
def test_an_interruption_leaves_the_old_file_alone(old: Path, error: type[BaseException], stage: str) -> None:
    def half(target: Path) -> None:
        target.write_text("ne")
        if stage == "write":
            raise error

    def stop(_: Path) -> None:
        raise error

    with pytest.raises(error):
        replace(old, half, stop)
    assert old.read_text() == "old"
    assert names(old.parent) == ["ring.svg"]


def test_what_does_not_read_back_is_not_kept(old: Path) -> None:
    def refuse(_: Path) -> None:
        raise WriteError("the bar is 97 mm long")

    with pytest.raises(WriteError, match=r"^the bar is 97 mm long$"):
        replace(old, new, refuse)
    assert old.read_text() == "old"
    assert names(old.parent) == ["ring.svg"]


def test_a_full_disk_is_said(old: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full, the device that is always full")

    def to_the_full_disk(target: Path) -> None:
        target.symlink_to("/dev/full")
        target.write_text("new")

    with pytest.raises(WriteError, match=r"ring\.svg cannot be written: No space left on device"):
        replace(old, to_the_full_disk, nothing)
    assert old.read_text() == "old"
    assert names(old.parent) == ["ring.svg"]


def test_a_folder_that_cannot_be_written_is_said(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The tests may run as one who may write everywhere, so the refusal is put in."""

    def refuse(source: Path, target: Path) -> None:
        raise PermissionError(13, os.strerror(13), str(source), None, str(target))

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(WriteError, match=r"ring\.svg cannot be written: Permission denied$"):
        replace(old, new, nothing)
    assert old.read_text() == "old"
    assert names(old.parent) == ["ring.svg"]


@pytest.mark.parametrize("below", ["ring.svg", "ring.svg/deeper"])
def test_a_file_in_the_place_of_the_folder_is_said(old: Path, below: str) -> None:
    with pytest.raises(WriteError, match=r"^the folder .*ring\.svg.* cannot be made: a file is in its place$"):
        replace(old.parent / below / "new.svg", new, nothing)
    assert old.read_text() == "old"


def test_a_folder_in_the_place_of_the_file_is_said(tmp_path: Path) -> None:
    (tmp_path / "ring.svg").mkdir()
    with pytest.raises(WriteError, match=r"ring\.svg cannot be written: Is a directory$"):
        replace(tmp_path / "ring.svg", new, nothing)
    assert names(tmp_path) == ["ring.svg"]


def test_text_is_utf8_with_plain_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "note.txt"
    write_text(path, "1°\n2\n")
    assert path.read_bytes() == b"1\xc2\xb0\n2\n"


def test_the_sum_of_a_file(tmp_path: Path) -> None:
    path = tmp_path / "abc"
    path.write_bytes(b"abc")
    # The digest of "abc" is the first example of FIPS 180-4's published test values (from memory).
    digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert sum_of(path) == Sum(3, digest)
    assert hashlib.sha256(b"abc").hexdigest() == digest
