"""Makes the files of a design: solids, meshes, templates, the report and the manifest that vouches for them."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..parts.errors import FerruleError
from ..parts.fingerprint import short
from ..parts.part import Part
from ..parts.readers.integrals import moments
from ..parts.writers.files import sum_of, write_text
from .names import slug

if TYPE_CHECKING:
    from ..parts.sheets.sheet import Sheet

FORMATS = ("step", "stl", "pdf")
"""Formats that can be asked for."""

MANIFEST = "manifest.json"
SCHEMA = "ferrule/manifest/1"


@dataclass(frozen=True, slots=True)
class Job:
    """One part to make files of.

    Attributes:
        part: the part.
        name: what it is called.
        design: name of the design, or None for a part on its own.
        quantity: how many to make [-].
        revision: revision and date as printed, or None.
        notes: sentences for its template.
    """

    part: Part
    name: str
    design: str | None = None
    quantity: int = 1
    revision: str | None = None
    notes: tuple[str, ...] = ()

    @property
    def stem(self) -> str:
        """Start of its file names."""
        return "-".join(filter(None, (slug(self.design or ""), slug(self.name))))


@dataclass(frozen=True, slots=True)
class Made:
    """One file as the manifest lists it."""

    file: str
    kind: str
    part: str | None
    bytes: int
    sha256: str
    fingerprint: str
    sizes: str
    self_check: dict[str, Any]


def check_templates(jobs: Iterable[Job], formats: Iterable[str], failed: tuple[str, ...]) -> None:
    """Draw every template once before any file is written, so that one that cannot be drawn leaves nothing half made.

    Raises:
        FerruleError: a template cannot be drawn, such as for a name with letters that the type does not have.
    """
    if "pdf" in formats:
        for job in jobs:
            _sheets(job, failed)


def make_part(
    job: Job, folder: Path, formats: Iterable[str], failed: tuple[str, ...], say: Callable[[str], None]
) -> list[Made]:
    """Write the files of one part.

    Args:
        job: what to make.
        folder: where to; made where it is missing.
        formats: which of `FORMATS`; a template is made only of parts that are cut from sheet.
        failed: names of failed checks, stamped on every sheet.
        say: told about each file.

    Raises:
        FerruleError: a file could not be made; the others stay.
    """
    made: list[Made] = []
    wanted = set(formats)
    for kind, write in (("step", _step), ("stl", _stl), ("pdf", _templates)):
        if kind in wanted:
            for path, proof in write(job, folder, failed):
                made.append(_listed(path, kind, job, proof))
                say(f"{job.name}: {path.name}")
    return made


def _listed(path: Path, kind: str, job: Job, proof: dict[str, Any]) -> Made:
    total = sum_of(path)
    fingerprint = short(job.part.fingerprint())
    return Made(path.name, kind, job.name, total.size, total.sha256, fingerprint, "nominal", proof)


def _step(job: Job, folder: Path, failed: tuple[str, ...]) -> list[tuple[Path, dict[str, Any]]]:  # noqa: ARG001
    from ..parts.writers.step import write_step  # noqa: PLC0415  loads the kernel, which takes longer than all the rest

    path = folder / f"{job.stem}.step"
    shape = job.part.shape()
    proof = write_step(path, shape, name=job.stem, placement=job.part.pose(), description=_description(job))
    exact = moments(shape).volume
    return [(path, {"volume_mm3": proof.volume, "volume_against_integral": proof.volume / exact - 1.0})]


def _stl(job: Job, folder: Path, failed: tuple[str, ...]) -> list[tuple[Path, dict[str, Any]]]:  # noqa: ARG001
    from ..parts.readers.mesh import mesh  # noqa: PLC0415  loads numpy and manifold3d only when a mesh is wanted
    from ..parts.writers.stl import write_stl  # noqa: PLC0415

    path = folder / f"{job.stem}.stl"
    shape = job.part.shape()
    proof = write_stl(path, mesh(shape).placed(job.part.pose()), f"ferrule mm {_description(job)}")
    exact = moments(shape).volume
    figures = {
        "triangles": proof.triangles,
        "closed_and_oriented": True,
        "volume_mm3": proof.volume,
        "volume_against_integral": proof.volume / exact - 1.0,
    }
    return [(path, figures)]


def _templates(job: Job, folder: Path, failed: tuple[str, ...]) -> list[tuple[Path, dict[str, Any]]]:
    found: list[tuple[Path, dict[str, Any]]] = []
    for word, sheets in _sheets(job, failed):
        from ..parts.writers.pdf import write_pdf  # noqa: PLC0415  only for what is cut from sheet

        path, paper = folder / f"{job.stem}-{word}.pdf", sheets[0].paper
        write_pdf(path, sheets, f"{job.design or job.part.kind}: {job.name}, template, {paper.words}")
        found.append((path, {"pages": len(sheets), "check_bar_mm": 100.0, "paper": paper.words}))
    return found


def _sheets(job: Job, failed: tuple[str, ...]) -> list[tuple[str, tuple[Sheet, ...]]]:
    """The template's pages on each paper, with the paper's word for file names; nothing for what is not cut."""
    outline = job.part.template()
    if outline is None:
        return []
    from ..parts.sheets.block import TemplateLabel  # noqa: PLC0415  only for what is cut from sheet
    from ..parts.sheets.paper import A4, US_LETTER  # noqa: PLC0415
    from ..parts.sheets.template import template_sheets  # noqa: PLC0415

    label = TemplateLabel(
        design=job.design or job.part.kind,
        part=job.name,
        quantity=job.quantity,
        material=job.part.material,
        thickness=job.part.sheet_thickness(),
        fingerprint=short(job.part.fingerprint()),
        revision=job.revision,
        notes=job.notes,
    )
    marks = job.part.marks()
    return [
        (word, tuple(template_sheets(outline, label=label, paper=paper, marks=marks, failed_checks=failed)))
        for word, paper in (("a4", A4), ("letter", US_LETTER))
    ]


def _description(job: Job) -> str:
    return f"{job.stem} {short(job.part.fingerprint())}"


def write_report(folder: Path, name: str, text: str, fingerprint: str) -> Made:
    """Write a text file for people and list it."""
    path = folder / name
    write_text(path, text)
    total = sum_of(path)
    return Made(name, "report", None, total.size, total.sha256, fingerprint, "nominal", {"read_back": True})


def write_manifest(
    folder: Path, design: str, fingerprint: str, made: Iterable[Made], keep_others: bool, failed: tuple[str, ...]
) -> None:
    """Write the manifest of a design's folder: every file with its size, hash and proof.

    Args:
        folder: where the files are.
        design: name of the design.
        fingerprint: fingerprint of all of it.
        made: the files of this run.
        keep_others: True keeps the entries of an earlier run whose files are still as it left them.
        failed: names of failed checks.

    Raises:
        WriteError: the manifest cannot be written.
    """
    heading = {"schema": SCHEMA, "design": design, "fingerprint": fingerprint, "failed_checks": list(failed)}
    _write_manifest(folder, heading, _still_true(folder) if keep_others else {}, made)


def add_to_manifest(folder: Path, made: Iterable[Made]) -> None:
    """Enter the files of a part that was made on its own; what the manifest says of a design stays as it is.

    Args:
        folder: where the files are.
        made: the files of this run.

    Raises:
        WriteError: the manifest cannot be written.
    """
    before = _earlier(folder)
    heading = {
        "schema": SCHEMA,
        "design": before.get("design"),
        "fingerprint": before.get("fingerprint"),
        "failed_checks": before.get("failed_checks", []),
    }
    _write_manifest(folder, heading, _still_true(folder), made)


def _write_manifest(
    folder: Path, heading: dict[str, Any], kept: dict[str, dict[str, Any]], made: Iterable[Made]
) -> None:
    files = {**kept, **{item.file: asdict(item) for item in made}}
    content = {**heading, "files": [files[name] for name in sorted(files)]}
    write_text(folder / MANIFEST, json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def _earlier(folder: Path) -> dict[str, Any]:
    """The manifest that lies in the folder; nothing where there is none, or one that is not ours."""
    try:
        found = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) and found.get("schema") == SCHEMA else {}


def _still_true(folder: Path) -> dict[str, dict[str, Any]]:
    """Entries of the earlier manifest whose files are still as it says."""
    try:
        named = {str(entry["file"]): entry for entry in _earlier(folder).get("files", [])}
        return {
            name: entry
            for name, entry in named.items()
            if Path(name).name == name and (folder / name).is_file() and sum_of(folder / name).sha256 == entry["sha256"]
        }
    except (OSError, ValueError, KeyError, TypeError):
        return {}


def check_formats(formats: Iterable[str]) -> tuple[str, ...]:
    """The formats asked for, in their usual order.

    Raises:
        FerruleError: there is no such format.
    """
    asked = [word.strip().lower() for item in formats for word in item.split(",") if word.strip()]
    unknown = [word for word in asked if word not in FORMATS]
    if unknown or not asked:
        raise FerruleError(f"formats: {', '.join(unknown) or 'nothing'} is not among {', '.join(FORMATS)}")
    return tuple(word for word in FORMATS if word in asked)
