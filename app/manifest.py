"""The manifest of a folder: every file with its size, its hash and what was found when it was read back."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from ..parts.writers.files import sum_of, write_text
from .made_with import made_with

MANIFEST = "manifest.json"
SCHEMA = "ferrule/manifest/1"


@dataclass(frozen=True, slots=True)
class Made:
    """One file as the manifest lists it.

    Attributes:
        file: its name.
        kind: its format, or what it is.
        design: name of the design that it is of; None for a part on its own.
        part: name of its part; None for what is of the whole design.
        bytes: its size.
        sha256: its hash.
        fingerprint: fingerprint of the part or design that it was made from.
        state: fingerprint of everything that it shows, also of revision and failed checks where those are printed.
        sizes: `nominal`, or what they are compensated for.
        self_check: what was found when it was read back.
        made_with: which program made it: the `id` of that.
        together: how many files were made in one go with it, itself among them; 0 for one that is always made anew.
        seal: fingerprint of all that it was made from and of this entry; empty for one that is always made anew.
    """

    file: str
    kind: str
    design: str | None
    part: str | None
    bytes: int
    sha256: str
    fingerprint: str
    state: str
    sizes: str
    self_check: dict[str, Any]
    made_with: str
    together: int = 0
    seal: str = ""


@dataclass(frozen=True, slots=True)
class Origin:
    """What a file is made from.

    Attributes:
        design: name of the design; None for a part on its own.
        part: name of the part; None for what is of the whole design.
        fingerprint: fingerprint of that part or design.
        state: fingerprint of everything that the file shows.
    """

    design: str | None
    part: str | None
    fingerprint: str
    state: str


def listed(path: Path, kind: str, origin: Origin, self_check: dict[str, Any], sizes: str = "nominal") -> Made:
    """A file that was just written, as the manifest lists it.

    Args:
        path: the file.
        kind: its format, or what it is.
        origin: what it is made from.
        self_check: what was found when it was read back.
        sizes: `nominal`, or what they are compensated for.
    """
    total = sum_of(path)
    return Made(
        path.name,
        kind,
        origin.design,
        origin.part,
        total.size,
        total.sha256,
        origin.fingerprint,
        origin.state,
        sizes,
        self_check,
        made_with()["id"],
    )


@dataclass(frozen=True, slots=True)
class Heading:
    """What a manifest says of the design whose folder it is.

    Attributes:
        design: its name; None where the folder holds parts on their own.
        fingerprint: its fingerprint.
        failed_checks: names of the checks that fail.
    """

    design: str | None
    fingerprint: str | None
    failed_checks: tuple[str, ...] = ()


def write_manifest(folder: Path, heading: Heading, entries: Iterable[dict[str, Any]]) -> None:
    """Write the manifest into a folder; it names the program that runs, and each entry the one that made its file.

    Raises:
        WriteError: it cannot be written.
    """
    content = {
        "schema": SCHEMA,
        "design": heading.design,
        "fingerprint": heading.fingerprint,
        "failed_checks": list(heading.failed_checks),
        "made_with": made_with(),
        "files": sorted(entries, key=lambda entry: str(entry["file"])),
    }
    write_text(folder / MANIFEST, json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def entries_of(made: Iterable[Made]) -> list[dict[str, Any]]:
    """The entries of files that were made."""
    return [asdict(item) for item in made]


def heading_of(folder: Path) -> Heading:
    """What the manifest in a folder says of its design; of nothing where there is none of ours."""
    found = _read(folder)
    design, fingerprint, failed = found.get("design"), found.get("fingerprint"), found.get("failed_checks")
    return Heading(
        design if isinstance(design, str) else None,
        fingerprint if isinstance(fingerprint, str) else None,
        tuple(str(name) for name in failed) if isinstance(failed, list) else (),
    )


def still_true(folder: Path) -> list[dict[str, Any]]:
    """Entries of the manifest in a folder whose files are still as it says."""
    try:
        return [
            entry
            for entry in _read(folder).get("files", [])
            if Path(entry["file"]).name == entry["file"]
            and (folder / entry["file"]).is_file()
            and sum_of(folder / entry["file"]).sha256 == entry["sha256"]
        ]
    except (OSError, ValueError, KeyError, TypeError):
        return []


def _read(folder: Path) -> dict[str, Any]:
    """The manifest that lies in the folder; nothing where there is none, or one that is not ours."""
    try:
        found = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) and found.get("schema") == SCHEMA else {}
