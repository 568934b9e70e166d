"""Makes the files of one part: exact solid, print meshes, cut files and paper templates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from ..parts.compensate import cut_compensated
from ..parts.errors import FerruleError
from ..parts.machine import Cutter
from ..parts.part import CutPiece
from ..parts.readers.integrals import moments
from ..parts.writers.layers import NOMINAL
from .engrave import engraved
from .job import FORMATS, PAPER, PRINT_NOTES, PRINTED, TURNING_TABLE, Job, Proof, Say, against
from .kept import Kept, part_recipes, sealed
from .manifest import Made, listed
from .names import slug
from .paper_choice import AGAIN, USUAL, PaperChoice
from .print_files import has_print_notes, print_files
from .turned_sheets import turned_files

if TYPE_CHECKING:
    from ..parts.sheets.paper import Paper
    from ..parts.sheets.sheet import Sheet

__all__ = ["FORMATS", "Job", "check_formats", "make_or_keep", "make_part", "template_pages"]


def make_part(
    job: Job,
    folder: Path,
    formats: Iterable[str],
    failed: tuple[str, ...],
    say: Say,
    paper: PaperChoice = USUAL,
) -> list[Made]:
    """Write the files of one part.

    Args:
        job: what to make.
        folder: where to.
        formats: which of `FORMATS`; cut files and templates are made only of parts that are cut from sheet, a GLB only
            of a part on its own, because that of a design shows the whole rocket.
        failed: names of failed checks, stamped on every sheet.
        say: told about each file.
        paper: how the sheets are printed.

    Raises:
        FerruleError: a file could not be made.
    """
    wanted, made = set(formats), list[Made]()

    def keep(kind: str, path: Path, proof: Proof) -> None:
        sizes = paper.sizes if kind in PAPER else job.sizes(kind)
        made.append(listed(path, kind, job.origin(kind, failed), proof, sizes))
        say(f"{job.name}: {path.name}")

    if "step" in wanted:
        keep("step", *_step(job, folder))
    if "glb" in wanted and job.design is None:
        keep("glb", *_glb(job, folder))
    if wanted & set(PRINTED):
        for kind, path, proof in print_files(job, folder, wanted, failed):
            keep(kind, path, proof)
    for piece in job.part.cut_pieces() if wanted & {"dxf", "svg", "pdf"} else ():
        for kind, path, proof in _cut_files(job, piece, folder, wanted, failed, paper):
            keep(kind, path, proof)
    for kind, path, proof in turned_files(job, folder, wanted, failed, paper):
        keep(kind, path, proof)
    return made


def make_or_keep(
    job: Job, folder: Path, formats: Iterable[str], failed: tuple[str, ...], say: Say, paper: PaperChoice, kept: Kept
) -> list[Made]:
    """The files of one part, by name: those of an earlier run where they are what would be made, else made.

    Args:
        job: what to make.
        folder: where to.
        formats: which of `FORMATS`.
        failed: names of failed checks, stamped on every sheet.
        say: told about each file that is made.
        paper: how the sheets are printed.
        kept: what is there already.

    Raises:
        FerruleError: a file could not be made.
    """
    recipes = part_recipes(job, formats, failed, paper)
    there = {kind: kept.of(job.name, recipe) for kind, recipe in recipes.items()}
    # A mesh and a plate are of one solid, and the notes list both: they are made together or not at all.
    printed = [kind for kind in (*PRINTED, PRINT_NOTES) if kind in recipes]
    needed = [kind for kind in printed if kind != PRINT_NOTES or has_print_notes(job)]
    if not all(there[kind] for kind in needed):
        there |= {kind: [] for kind in printed}
    kept_files = [item for found in there.values() for item in found]
    kept.keep(kept_files)
    wanted = [kind for kind in recipes if kind in FORMATS and not there[kind]]
    made: dict[str, list[Made]] = {}
    for item in make_part(job, folder, wanted, failed, say, paper):
        made.setdefault("pdf" if item.kind == TURNING_TABLE else item.kind, []).append(item)
    new = [item for kind, found in made.items() for item in sealed(found, recipes[kind])]
    return sorted([*kept_files, *new], key=lambda item: item.file)


def _step(job: Job, folder: Path) -> tuple[Path, Proof]:
    from ..parts.writers.step import write_step  # noqa: PLC0415  loads the kernel, which takes longer than all the rest

    path, shape = folder / f"{job.stem}.step", job.part.shape()
    proof = write_step(path, shape, name=job.stem, placement=job.part.pose(), description=job.description_for("step"))
    return path, against(proof.volume, moments(shape).volume)


def _glb(job: Job, folder: Path) -> tuple[Path, Proof]:
    from ..parts.readers.mesh import mesh  # noqa: PLC0415  loads numpy and manifold3d only when a mesh is wanted
    from ..parts.writers.glb import Node, write_glb  # noqa: PLC0415  the whole rocket's is made elsewhere

    path, shape = folder / f"{job.stem}.glb", job.part.shape()
    node = Node(job.name, mesh(shape), material=job.part.material, fingerprint=job.fingerprint)
    proof = write_glb(path, [node], job.description)
    return path, {"triangles": proof.triangles, "unit": "m", **against(proof.volume, moments(shape).volume)}


def _cut_files(
    job: Job, piece: CutPiece, folder: Path, wanted: set[str], failed: tuple[str, ...], paper: PaperChoice
) -> Iterator[tuple[str, Path, Proof]]:
    stem = "-".join(filter(None, (job.stem, slug(piece.word))))
    name = " ".join(filter(None, (job.name, piece.word)))
    lines = (
        f"{job.design}: {name}" if job.design else name,
        f"make {job.quantity * piece.count}",
        f"{job.part.material or 'material not stated'}, thickness {piece.thickness:g} mm",
        f"fingerprint {job.fingerprint}",
        *job.dated,
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
        yield from _templates(job, piece, folder / stem, name, failed, paper)


def _templates(
    job: Job, piece: CutPiece, stem: Path, name: str, failed: tuple[str, ...], paper: PaperChoice
) -> Iterator[tuple[str, Path, Proof]]:
    from ..parts.writers.pdf import write_pdf  # noqa: PLC0415  only for what is cut from sheet

    what = "mirrored template" if paper.mirrored else "template"
    for end, size in paper.laid_out():
        sheets = template_pages(job, piece, size, failed, paper.mirrored)
        path = stem.with_name(f"{stem.name}-{end}.pdf")
        write_pdf(path, sheets, f"{job.design or job.part.kind}: {name}, {what}, {sheets[0].paper.words}")
        yield "pdf", path, paper.proof(sheets)


def template_pages(
    job: Job, piece: CutPiece, size: Paper, failed: tuple[str, ...], mirrored: bool = False
) -> tuple[Sheet, ...]:
    """The pages of the template of one piece.

    Args:
        job: the part.
        piece: the piece of it.
        size: what they are printed on.
        failed: names of failed checks, stamped on every sheet.
        mirrored: whether it is drawn as seen from the other face.

    Raises:
        FerruleError: a page cannot be laid out.
    """
    from ..parts.sheets.block import TemplateLabel  # noqa: PLC0415  only for what is cut from sheet
    from ..parts.sheets.template import template_sheets  # noqa: PLC0415

    label = TemplateLabel(
        design=job.design or job.part.kind,
        part=" ".join(filter(None, (job.name, piece.word))),
        quantity=job.quantity * piece.count,
        material=job.part.material,
        thickness=piece.thickness,
        fingerprint=job.fingerprint,
        revision=job.state_words,
        notes=job.notes,
        again=AGAIN if job.design else None,
    )
    return tuple(
        template_sheets(
            piece.outline, label=label, paper=size, marks=piece.marks, failed_checks=failed, mirrored=mirrored
        )
    )


def check_formats(formats: Iterable[str], also: tuple[str, ...] = ()) -> tuple[str, ...]:
    """The formats asked for, in their usual order.

    Args:
        formats: words, or words with commas between them.
        also: what may be asked for beside the usual ones.

    Raises:
        FerruleError: there is no such format.
    """
    asked = [word.strip().lower() for item in formats for word in item.split(",") if word.strip()]
    known = (*FORMATS, *also)
    unknown = [word for word in asked if word not in known]
    if unknown or not asked:
        raise FerruleError(f"formats: {', '.join(unknown) or 'nothing'} is not among {', '.join(known)}")
    return tuple(word for word in known if word in asked)
