"""`ferrule verify`: reads a finished folder anew, with readers that know nothing of how it was made, and proves it.

Nothing is written and nothing outside the folder is read. What the manifest says is not taken on trust: a name that
leads out of the folder is refused, and a file longer than `LARGEST` is not read into memory.
"""

from __future__ import annotations

import hashlib
import json
import stat
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeAlias

from ..parts.errors import FerruleError
from .manifest import MANIFEST, SCHEMA
from .proof.findings import Findings, Listed, NotReadableError, plural
from .run_folder import WORKSHOP

LARGEST = 1 << 28
"""Longest file whose content is read [bytes]."""

_LONGEST_MANIFEST = 1 << 26
_CHUNK = 1 << 20
_LONGEST_NAME = 255
_MOST_TOLD = 40

_MADE_FROM = ("step", "stp", "stl", "3mf", "glb", "dxf", "svg", "pdf")
"""What a part is cut, printed or drawn from: one of these that the manifest does not list may be of any state."""

Prove: TypeAlias = Callable[[bytes, Listed, Findings], None]
Told: TypeAlias = Callable[[Findings], str]


@dataclass(frozen=True, slots=True)
class Group:
    """What was found in all files of one format.

    Attributes:
        title: its name.
        files: how many there are [-].
        wrong: how many of them are not as they should be [-].
        words: what was proved of the others.
    """

    title: str
    files: int
    wrong: int
    words: str

    def line(self) -> str:
        """The group in one line."""
        wrong = f", {self.wrong} not as they should be" if self.wrong else ""
        return f"  {self.title:<5} {plural(self.files, 'file')}{wrong}: {self.words}"


@dataclass(frozen=True, slots=True)
class Verified:
    """The proof of a folder.

    Attributes:
        folder: the folder.
        design: name of its design; None where it holds parts on their own.
        fingerprint: fingerprint of the design; None where the manifest names none.
        files: how many files the manifest lists [-].
        proofs: how many things were held against what they should be, and were so [-].
        groups: what was proved, by format.
        faults: what is not as it should be: name of a file, and what is wrong with it.
        notes: what else is to be told.
    """

    folder: Path
    design: str | None
    fingerprint: str | None
    files: int
    proofs: int
    groups: tuple[Group, ...]
    faults: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Whether everything is as it should be."""
        return not self.faults

    def lines(self) -> tuple[str, ...]:
        """The proof in lines, the summary last."""
        of = ", ".join(
            filter(None, (self.design or "of no design", f"fingerprint {self.fingerprint}" if self.fingerprint else ""))
        )
        failed = f"{plural(len(self.faults), 'fault')} in {', '.join(self._wrong())}" if self.faults else "all hold"
        left = len(self.faults) - _MOST_TOLD
        return (
            *(group.line() for group in self.groups),
            *self.notes,
            *(f"NOT PROVED: {file}: {what}" for file, what in self.faults[:_MOST_TOLD]),
            *((f"NOT PROVED: {left} more",) if left > 0 else ()),
            f"{plural(self.files, 'file')}, {plural(self.proofs, 'proof')}, {failed}; {of}",
        )

    def _wrong(self) -> list[str]:
        names = list(dict.fromkeys(file for file, _ in self.faults))
        return names if len(names) <= 5 else [*names[:5], f"{len(names) - 5} more"]


def verify_folder(folder: Path, with_kernel: bool = True) -> Verified:
    """Prove the files of a folder that its manifest lists.

    Args:
        folder: the folder.
        with_kernel: whether the solids of STEP files are read, for which the CAD kernel is loaded.

    Raises:
        FerruleError: it is no folder, or holds no manifest that can be read.
    """
    manifest = _manifest(folder)
    entries = manifest.get("files")
    if not isinstance(entries, list):
        raise FerruleError(f"{folder / MANIFEST}: files: must be a list of files")
    faults: list[tuple[str, str]] = []
    listed = list(_listed(entries, faults))
    with ExitStack() as stack:
        formats, notes = _formats(listed, with_kernel, stack)
        for one in listed:
            faults += [(one.file, _shown(fault, 300)) for fault in _prove(folder, one, formats[_format(one)])]
    others = len(entries) - sum(form.as_listed for form in formats.values())
    foreign, beside = _beside(folder, {one.file for one in listed})
    return Verified(
        folder,
        _text(manifest.get("design")) or _common(entries),
        _text(manifest.get("fingerprint")),
        len(entries),
        sum(form.found.proofs for form in formats.values()),
        (
            Group("all", len(entries), others, f"{'the others ' if others else ''}there, bytes and SHA-256 as listed"),
            *(form.group() for form in formats.values() if form.files),
        ),
        (*faults, *foreign),
        (*_failed(manifest), *notes, *beside),
    )


def _manifest(folder: Path) -> dict[str, Any]:
    """The manifest of a folder.

    Raises:
        FerruleError: there is none of ours.
    """
    path = folder / MANIFEST
    try:
        if not folder.is_dir():
            raise FerruleError(f"{folder} is not a folder")
        about = path.lstat()
        if not stat.S_ISREG(about.st_mode) or about.st_size > _LONGEST_MANIFEST:
            raise FerruleError(f"{path} is not a manifest of Ferrule")
        found = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise FerruleError(f"{folder} holds no {MANIFEST}: nothing says what should be in it") from None
    except OSError as error:
        raise FerruleError(f"{path} cannot be read: {error.strerror or error}") from None
    except (ValueError, RecursionError):
        raise FerruleError(f"{path} is not a manifest of Ferrule: it is not whole JSON") from None
    if not isinstance(found, dict) or found.get("schema") != SCHEMA:
        raise FerruleError(f"{path} is not a manifest of Ferrule: schema must be {SCHEMA!r}")
    return found


def _listed(entries: Sequence[Any], faults: list[tuple[str, str]]) -> Iterator[Listed]:
    """The entries that name a file of the folder; of the others, what is wrong with them."""
    seen: set[str] = set()
    for number, entry in enumerate(entries, 1):
        name = entry.get("file") if isinstance(entry, dict) else None
        if not isinstance(name, str) or not name:
            faults.append((f"entry {number}", "the manifest names no file"))
            continue
        fault = _entry_fault(name, entry, seen)
        if fault:
            faults.append((_shown(name), fault))
            continue
        seen.add(name)
        check = entry.get("self_check")
        yield Listed(
            name,
            str(entry.get("kind")),
            entry["bytes"],
            entry["sha256"],
            str(entry.get("fingerprint")),
            check if isinstance(check, dict) else {},
        )


def _entry_fault(name: str, entry: dict[str, Any], seen: set[str]) -> str:
    if any(letter in name for letter in "/\\:\0") or name in (".", ".."):
        return "the manifest leads out of the folder; not read"
    if not name.isprintable() or name == MANIFEST or len(name.encode()) > _LONGEST_NAME:
        return "the manifest lists what is no name of a file; not read"
    if name in seen:
        return "the manifest lists it twice"
    size, total = entry.get("bytes"), entry.get("sha256")
    if not isinstance(size, int) or isinstance(size, bool) or not isinstance(total, str):
        return "the manifest lists no size or no hash"
    return ""


@dataclass(slots=True)
class _Format:
    """Files of one format: how they are read, and what was found."""

    title: str
    prove: Prove | None
    told: Told
    found: Findings = field(default_factory=Findings)
    files: int = 0
    as_listed: int = 0
    wrong: int = 0

    def group(self) -> Group:
        """What was found in all of them."""
        words = self.told(self.found) if self.files > self.wrong else "none is proved"
        return Group(self.title, self.files, self.wrong, words)


_SOLID_AND_FLAT = ("step", "stl", "3mf", "glb", "dxf", "svg", "pdf")
_SUFFIXES = {"stp": "step", "md": "text", "csv": "text", "txt": "text", "json": "text", "toml": "text"}


def _format(listed: Listed) -> str:
    suffix = _SUFFIXES.get(listed.suffix, listed.suffix)
    return suffix if suffix in (*_SOLID_AND_FLAT, "png", "text") else ""


def _formats(listed: Sequence[Listed], with_kernel: bool, stack: ExitStack) -> tuple[dict[str, _Format], list[str]]:
    """The readers of the formats, in the order in which they are told, and what is to be said of them."""
    from .proof import (  # noqa: PLC0415  they load numpy, which the command line starts without
        dxf_file,
        glb_file,
        pdf_file,
        png_file,
        step_file,
        stl_file,
        svg_file,
        text_file,
        threemf_file,
    )

    notes: list[str] = []
    step: Prove = stack.enter_context(step_file.Kernel()).prove
    if any(_format(one) == "step" for one in listed) and not (with_kernel and step_file.kernel_is_there()):
        step = step_file.prove_text
        why = "it is not installed" if with_kernel else "--without-kernel"
        notes.append(f"the solids of STEP files were not read, which needs the CAD kernel: {why}")
    formats = {
        "step": _Format("STEP", step, step_file.told),
        "stl": _Format("STL", stl_file.prove, stl_file.told),
        "3mf": _Format("3MF", threemf_file.prove, threemf_file.told),
        "glb": _Format("GLB", glb_file.prove, glb_file.told),
        "dxf": _Format("DXF", dxf_file.prove, dxf_file.told),
        "svg": _Format("SVG", svg_file.prove, svg_file.told),
        "pdf": _Format("PDF", pdf_file.prove, pdf_file.told),
        "png": _Format("PNG", png_file.prove, png_file.told),
        "text": _Format("text", text_file.prove, text_file.told),
        "": _Format("other", None, lambda _: "of no format that is read: there, and as listed"),
    }
    return formats, notes


def _prove(folder: Path, listed: Listed, form: _Format) -> list[str]:
    """Prove one file: that it is the listed one, and that it holds what it should; gives what is wrong with it."""
    import numpy as np  # noqa: PLC0415  the command line starts without it

    form.files += 1
    found = Findings()
    try:
        data, size, total = _read(folder / listed.file)
        changed = f"{size} bytes where the manifest lists {listed.size}" if size != listed.size else "another SHA-256"
        as_listed = found.hold((size, total) == (listed.size, listed.sha256), f"not the file that was made: {changed}")
        form.as_listed += as_listed
        kind = listed.kind.rpartition(" ")[2]
        if kind in _SOLID_AND_FLAT:
            found.hold(kind == _format(listed), f"it is listed as {kind}, which its name does not end in")
        if data is None:
            found.faults.append(f"{size} bytes are too many to be read; at most {LARGEST}")
        elif form.prove is not None:
            with np.errstate(all="ignore"):  # numbers that run over end in faults, as they fit nothing
                form.prove(data, listed, found)
    except NotReadableError as error:
        found.faults.append(str(error))
    except MemoryError:
        found.faults.append("it needs more memory than there is")
    if found.faults:
        form.wrong += 1
    else:
        form.found.add(found)
    return found.faults


def _read(path: Path) -> tuple[bytes | None, int, str]:
    """Content, size and SHA-256 of a file; no content where it is too long.

    Raises:
        NotReadableError: it is not there, or no file.
    """
    total, chunks, size = hashlib.sha256(), list[bytes](), 0
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            raise NotReadableError("it is no file but a folder, a link or a device; not read")
        with path.open("rb") as file:
            while chunk := file.read(_CHUNK):
                size += len(chunk)
                total.update(chunk)
                if size <= LARGEST:
                    chunks.append(chunk)
                else:
                    chunks.clear()
    except FileNotFoundError:
        raise NotReadableError("it is not there") from None
    except (OSError, ValueError) as error:
        raise NotReadableError(f"it cannot be read: {getattr(error, 'strerror', None) or error}") from None
    return (b"".join(chunks) if size <= LARGEST else None), size, total.hexdigest()


def _beside(folder: Path, names: set[str]) -> tuple[list[tuple[str, str]], list[str]]:
    """What lies in the folder and is not listed: faults of what could be taken for a proved file, and notes.

    Raises:
        FerruleError: the folder cannot be read.
    """
    try:
        found = sorted(path.name for path in folder.iterdir() if path.name not in names | {MANIFEST})
    except OSError as error:
        raise FerruleError(f"{folder} cannot be read: {error.strerror or error}") from None
    faults: list[tuple[str, str]] = []
    others: list[str] = []
    for name in found:
        if name == WORKSHOP:
            others.append(f"{name} (a run that writes here now, or was stopped)")
        elif name.rpartition(".")[2].lower() in _MADE_FROM:
            faults.append((_shown(name), "the manifest does not list it: nobody knows of which state it is"))
        elif not name.startswith("."):
            others.append(_shown(name))
    more = f" and {len(others) - _MOST_TOLD} more" if len(others) > _MOST_TOLD else ""
    return faults, [f"not in the manifest, not looked into: {', '.join(others[:_MOST_TOLD])}{more}"] if others else []


def _failed(manifest: dict[str, Any]) -> Iterator[str]:
    """The checks that failed when the files were made: the files are what they should be, the design is not."""
    names = manifest.get("failed_checks")
    if isinstance(names, list) and names:
        yield _shown(f"CHECK FAILED when the files were made: {', '.join(map(str, names[:_MOST_TOLD]))}", 1000)


def _common(entries: Sequence[dict[str, Any]]) -> str | None:
    """The design that every file is of, where a run of single sheets left the head of the manifest empty."""
    names = {_text(entry.get("design")) if isinstance(entry, dict) else None for entry in entries}
    return names.pop() if len(names) == 1 else None


def _text(value: object) -> str | None:
    return _shown(value) if isinstance(value, str) and value else None


def _shown(text: str, longest: int = 100) -> str:
    """A text that may hold anything, as it can stand in a line."""
    safe = text if text.isprintable() else ascii(text)[1:-1]
    return safe if len(safe) <= longest else f"{safe[: longest - 3]}..."
