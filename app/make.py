"""Makes the files of one part: exact solid, print meshes, cut files and paper templates."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..parts.compensate import cut_compensated, words
from ..parts.errors import FerruleError
from ..parts.fingerprint import fingerprint, short
from ..parts.lettering import has_letters
from ..parts.machine import Cutter, Printer, compensation
from ..parts.part import CutPiece, Part
from ..parts.readers.integrals import moments
from ..parts.writers.layers import NOMINAL
from .emboss_prints import with_words
from .engrave import engraved
from .manifest import Made, Origin, listed
from .names import slug

FORMATS = ("step", "stl", "3mf", "glb", "dxf", "svg", "pdf")
"""Formats that can be asked for, in the order in which they are made."""

STAMPED = ("dxf", "svg", "pdf")
"""Formats that carry the revision and the names of failed checks."""

PRINTED, CUT = ("stl", "3mf"), ("dxf", "svg")
"""Formats that are compensated for a printer or a cutter; STEP, GLB and paper always have the nominal sizes."""

PAPER = ("pdf",)
"""Formats of what is printed on paper."""


@dataclass(frozen=True, slots=True)
class Job:
    """One part to make files of.

    Attributes:
        part: the part.
        name: what it is called.
        design: name of the design, or None for a part on its own.
        quantity: how many to make [-].
        revision: revision as printed, or None.
        date: date as printed, or None.
        notes: sentences for its template.
        machine: the printer or cutter that its files are made for; None for nominal sizes.
    """

    part: Part
    name: str
    design: str | None = None
    quantity: int = 1
    revision: str | None = None
    date: str | None = None
    notes: tuple[str, ...] = ()
    machine: Printer | Cutter | None = None

    @property
    def stem(self) -> str:
        """Start of its file names."""
        return "-".join(filter(None, (slug(self.design or ""), slug(self.name))))

    @property
    def fingerprint(self) -> str:
        """Fingerprint of the part as it is printed."""
        return short(self.part.fingerprint())

    def origin(self, kind: str, failed: tuple[str, ...]) -> Origin:
        """What a file of a kind shows: the part, and on paper and in cut files also the words beside it."""
        shown: list[object] = [self.part.fingerprint()]
        if kind in STAMPED:
            shown += [self.revision, self.date, self.notes, self.quantity, failed]
        if kind in PRINTED:
            shown += [self.mark, self.quantity if kind == "3mf" else 1]
        machine = self.maker_of(kind)
        if machine is not None:
            shown.append(compensation(machine, self.part.material))
        state = short(fingerprint(shown)) if len(shown) > 1 else self.fingerprint
        return Origin(self.design, self.name, self.fingerprint, state)

    def maker_of(self, kind: str) -> Printer | Cutter | None:
        """The machine that a kind of file is made for; None for files of nominal size."""
        kinds = PRINTED if isinstance(self.machine, Printer) else CUT
        return self.machine if kind in kinds else None

    def for_machine(self, kind: str) -> str:
        """End of the file's name that says which machine it is for; empty for nominal sizes."""
        machine = self.maker_of(kind)
        return f"-for-{slug(machine.name)}" if machine else ""

    def sizes(self, kind: str) -> str:
        """What the manifest says of the sizes in a kind of file."""
        machine = self.maker_of(kind)
        return words(machine, self.part.material) if machine else "nominal"

    @property
    def mark(self) -> str:
        """What is sunk into a print: revision and fingerprint, in letters that the lettering has."""
        revision = f"{self.revision} " if self.revision else ""
        return f"{revision if has_letters(revision) else ''}{self.fingerprint[:9]}"

    @property
    def description(self) -> str:
        """Words for the inside of its files."""
        return f"{self.stem} {self.fingerprint}"

    def description_for(self, kind: str) -> str:
        """The same, with whether the sizes in a kind of file are nominal."""
        return f"{self.description}{self.for_machine(kind) or ' nominal'}"


Proof = dict[str, Any]
"""What was found when a file was read back, for the manifest."""

Say = Callable[[str], None]
"""Told about each file."""


def make_part(job: Job, folder: Path, formats: Iterable[str], failed: tuple[str, ...], say: Say) -> list[Made]:
    """Write the files of one part.

    Args:
        job: what to make.
        folder: where to.
        formats: which of `FORMATS`; cut files and templates are made only of parts that are cut from sheet, a GLB only
            of a part on its own, because that of a design shows the whole rocket.
        failed: names of failed checks, stamped on every sheet.
        say: told about each file.

    Raises:
        FerruleError: a file could not be made.
    """
    wanted, made = set(formats), list[Made]()

    def keep(kind: str, path: Path, proof: Proof) -> None:
        made.append(listed(path, kind, job.origin(kind, failed), proof, job.sizes(kind)))
        say(f"{job.name}: {path.name}")

    if "step" in wanted:
        keep("step", *_step(job, folder))
    if "glb" in wanted and job.design is None:
        keep("glb", *_glb(job, folder))
    if wanted & set(PRINTED):
        for kind, path, proof in _meshes(job, folder, wanted):
            keep(kind, path, proof)
    for piece in job.part.cut_pieces() if wanted & {"dxf", "svg", "pdf"} else ():
        for kind, path, proof in _cut_files(job, piece, folder, wanted, failed):
            keep(kind, path, proof)
    return made


def _step(job: Job, folder: Path) -> tuple[Path, Proof]:
    from ..parts.writers.step import write_step  # noqa: PLC0415  loads the kernel, which takes longer than all the rest

    path, shape = folder / f"{job.stem}.step", job.part.shape()
    proof = write_step(path, shape, name=job.stem, placement=job.part.pose(), description=job.description_for("step"))
    return path, _against(proof.volume, moments(shape).volume)


def _meshes(job: Job, folder: Path, wanted: set[str]) -> Iterator[tuple[str, Path, Proof]]:
    from ..parts.readers.mesh import mesh  # noqa: PLC0415  loads numpy and manifold3d only when a mesh is wanted

    printer = job.maker_of("stl")
    shape, sunk = with_words(job.part, job.mark, printer if isinstance(printer, Printer) else None)
    marked: Proof = {"sunk_words": sunk} if sunk else {}
    found, exact = mesh(shape), moments(shape).volume
    posed = found.placed(job.part.pose())
    if "stl" in wanted:
        from ..parts.writers.stl import write_stl  # noqa: PLC0415

        path = folder / f"{job.stem}{job.for_machine('stl')}.stl"
        stl = write_stl(path, posed, f"ferrule mm {job.description_for('stl')}")
        figures: Proof = {"triangles": stl.triangles, "closed_and_oriented": True, **marked}
        yield "stl", path, {**figures, **_against(stl.volume, exact)}
    if "3mf" in wanted:
        from ..parts.writers.threemf import PrintObject, write_3mf  # noqa: PLC0415

        path = folder / f"{job.stem}{job.for_machine('3mf')}.3mf"
        title = f"{job.description}, {job.sizes('3mf')}"
        plate = write_3mf(path, [PrintObject(job.name, posed, job.part.material, job.quantity)], title)
        figures = {"triangles": plate.triangles, "items": plate.items, "closed_and_oriented": True, **marked}
        yield "3mf", path, {**figures, **_against(plate.volume, exact * plate.items)}


def _glb(job: Job, folder: Path) -> tuple[Path, Proof]:
    from ..parts.readers.mesh import mesh  # noqa: PLC0415  loads numpy and manifold3d only when a mesh is wanted
    from ..parts.writers.glb import Node, write_glb  # noqa: PLC0415  the whole rocket's is made elsewhere

    path, shape = folder / f"{job.stem}.glb", job.part.shape()
    node = Node(job.name, mesh(shape), material=job.part.material, fingerprint=job.fingerprint)
    proof = write_glb(path, [node], job.description)
    return path, {"triangles": proof.triangles, "unit": "m", **_against(proof.volume, moments(shape).volume)}


def _against(volume: float, exact: float) -> Proof:
    return {"volume_mm3": volume, "volume_against_integral": volume / exact - 1.0}


def _cut_files(
    job: Job, piece: CutPiece, folder: Path, wanted: set[str], failed: tuple[str, ...]
) -> Iterator[tuple[str, Path, Proof]]:
    stem = "-".join(filter(None, (job.stem, slug(piece.word))))
    name = " ".join(filter(None, (job.name, piece.word)))
    lines = (
        f"{job.design}: {name}" if job.design else name,
        f"make {job.quantity * piece.count}",
        f"{job.part.material or 'material not stated'}, thickness {piece.thickness:g} mm",
        f"fingerprint {job.fingerprint}",
        *((f"revision {job.revision}",) if job.revision else ()),
        *((job.date,) if job.date else ()),
    )
    cutter = job.maker_of("dxf")
    outline, size_words = piece.outline, NOMINAL
    if isinstance(cutter, Cutter):
        outline, size_words = cut_compensated(outline, cutter, job.part.material), job.sizes("dxf")
    # What is engraved must lie clear of the part's own edge, wherever the beam runs.
    engrave = engraved(job, piece)
    if "dxf" in wanted:
        from ..parts.writers.dxf import write_dxf  # noqa: PLC0415  loads ezdxf only where it is needed

        path = folder / f"{stem}{job.for_machine('dxf')}.dxf"
        dxf = write_dxf(
            path,
            outline,
            title=name,
            marks=piece.marks,
            words=lines,
            failed_checks=failed,
            size_words=size_words,
            engrave=engrave,
        )
        yield "dxf", path, {"contours": dxf.contours, "area_mm2": dxf.area, "reference_square_mm": 100.0}
    if "svg" in wanted:
        from ..parts.writers.svg import write_svg  # noqa: PLC0415

        path = folder / f"{stem}{job.for_machine('svg')}.svg"
        svg = write_svg(
            path,
            outline,
            title=name,
            marks=piece.marks,
            words=lines,
            failed_checks=failed,
            size_words=size_words,
            engrave=engrave,
        )
        yield "svg", path, {"contours": svg.contours, "area_mm2": svg.area, "reference_square_mm": 100.0}
    if "pdf" in wanted:
        yield from _templates(job, piece, folder / stem, name, failed)


def _templates(
    job: Job, piece: CutPiece, stem: Path, name: str, failed: tuple[str, ...]
) -> Iterator[tuple[str, Path, Proof]]:
    from ..parts.sheets.block import TemplateLabel  # noqa: PLC0415  only for what is cut from sheet
    from ..parts.sheets.paper import A4, US_LETTER  # noqa: PLC0415
    from ..parts.sheets.template import template_sheets  # noqa: PLC0415
    from ..parts.writers.pdf import write_pdf  # noqa: PLC0415

    label = TemplateLabel(
        design=job.design or job.part.kind,
        part=name,
        quantity=job.quantity * piece.count,
        material=job.part.material,
        thickness=piece.thickness,
        fingerprint=job.fingerprint,
        revision=", ".join(filter(None, (job.revision, job.date))) or None,
        notes=job.notes,
    )
    for word, paper in (("a4", A4), ("letter", US_LETTER)):
        sheets = template_sheets(piece.outline, label=label, paper=paper, marks=piece.marks, failed_checks=failed)
        path = stem.with_name(f"{stem.name}-{word}.pdf")
        write_pdf(path, sheets, f"{job.design or job.part.kind}: {name}, template, {paper.words}")
        yield "pdf", path, {"pages": len(sheets), "check_bar_mm": 100.0, "paper": paper.words}


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
