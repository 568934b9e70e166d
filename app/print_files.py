"""What is printed: every piece as a mesh of its own, all of them on a plate, and the notes that lie beside them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..parts.errors import PartError
from ..parts.lettering import has_letters
from ..parts.machine import Printer
from ..parts.readers.integrals import moments
from ..parts.writers.files import write_text
from .emboss_prints import with_words
from .job import PRINT_NOTES, Job, Proof, against
from .names import slug

if TYPE_CHECKING:
    from ..parts.plate import Bed
    from ..parts.readers.mesh import Mesh
    from ..parts.writers.threemf import PrintObject


def print_files(job: Job, folder: Path, wanted: set[str], failed: tuple[str, ...]) -> Iterator[tuple[str, Path, Proof]]:
    """The print files of a part and, unless it is cut from sheet, its print notes.

    Args:
        job: what to make.
        folder: where to.
        wanted: formats that are wanted.
        failed: names of failed checks, stamped on the notes.

    Raises:
        FerruleError: a file could not be made.
    """
    made = tuple(_meshes(job, folder, wanted))
    yield from made
    if has_print_notes(job):
        from .print_text import print_text  # noqa: PLC0415  only where something is printed

        path = folder / f"{job.stem}-print-notes.md"
        write_text(path, print_text(job, tuple(file.name for _, file, _ in made), failed))
        yield PRINT_NOTES, path, {"read_back": True}


def has_print_notes(job: Job) -> bool:
    """Whether print notes lie beside the print files of a part."""
    return job.part.may_be_printed and not job.part.cut_pieces()


def _meshes(job: Job, folder: Path, wanted: set[str]) -> Iterator[tuple[str, Path, Proof]]:
    """Each piece to print on its own, and all of them on one plate."""
    pieces = [_sunk(job, number) for number in range(len(job.part.printed_pieces()))]
    for piece in pieces:
        stem = "-".join(filter(None, (job.stem, slug(piece.word))))
        if "stl" in wanted:
            from ..parts.writers.stl import write_stl  # noqa: PLC0415

            path = folder / f"{stem}{job.for_machine('stl')}.stl"
            words = " ".join(filter(None, (job.description_for("stl"), piece.word)))
            stl = write_stl(path, piece.posed, f"ferrule mm {words}")
            figures: Proof = {"triangles": stl.triangles, "closed_and_oriented": True, **piece.marked}
            figures["bounds_mm"] = [round(edge, 4) for edge in piece.posed.bounds()]
            yield "stl", path, {**figures, **against(stl.volume, piece.volume)}
        if "3mf" in wanted and len(pieces) > 1:
            one = _object(job, piece)
            yield _plate(job, folder, stem, (one,), piece.volume * one.count, piece.marked)
    if "3mf" in wanted:
        yield from _plates(job, folder, pieces)


def _plates(job: Job, folder: Path, pieces: Sequence[_Piece]) -> Iterator[tuple[str, Path, Proof]]:
    """All pieces laid out on the printer's bed, on as many plates as they need; on one where no printer is stated."""
    from ..parts.plate import Bed  # noqa: PLC0415
    from ..parts.writers.threemf import on_plates  # noqa: PLC0415

    objects = [_object(job, piece) for piece in pieces]
    bed = Bed(job.printer.width, job.printer.depth) if job.printer and job.part.may_be_printed else None
    groups: Sequence[Sequence[PrintObject]] = [objects]
    if bed is not None:
        try:
            groups = on_plates(objects, bed)
        except PartError:
            bed = None  # a piece is wider than the bed, which a check says; its file is made all the same
    volumes = {one.name: piece.volume for one, piece in zip(objects, pieces, strict=True)}
    for number, group in enumerate(groups, 1):
        stem = f"{job.stem}-plate-{number}-of-{len(groups)}" if len(groups) > 1 else job.stem
        marked = pieces[0].marked if len(pieces) == 1 else {}
        yield _plate(job, folder, stem, group, sum(volumes[one.name] * one.count for one in group), marked, bed)


@dataclass(frozen=True)
class _Piece:
    """One piece as it is printed: in its pose, with its words, and its exact volume [mm3]."""

    word: str
    posed: Mesh
    volume: float
    marked: Proof


def _sunk(job: Job, number: int) -> _Piece:
    from ..parts.readers.mesh import mesh  # noqa: PLC0415  loads numpy and manifold3d only when a mesh is wanted

    printer, piece = job.maker_of("stl"), job.part.printed_pieces()[number]
    for_printer = printer if isinstance(printer, Printer) else None
    shape, sunk = piece.shape, ""
    for words in _words(job, piece.word):
        shape, sunk = with_words(job.part, words, for_printer, number)
        if sunk:
            break
    marked: Proof = {"sunk_words": sunk} if sunk else {}
    return _Piece(piece.word, mesh(shape).placed(piece.pose), moments(shape).volume, marked)


def _words(job: Job, section: str) -> Iterator[str]:
    """What a piece may say, the most of it first: sections lie about loose, and say of which part they are."""
    if section and has_letters(job.name):
        yield f"{job.name} {job.mark} {section}"
    yield " ".join(filter(None, (job.mark, section)))


def _object(job: Job, piece: _Piece) -> PrintObject:
    from ..parts.writers.threemf import PrintObject  # noqa: PLC0415

    name = " ".join(filter(None, (job.name, piece.word)))
    return PrintObject(name, piece.posed, job.part.material, job.quantity)


def _plate(
    job: Job,
    folder: Path,
    stem: str,
    objects: Sequence[PrintObject],
    exact: float,
    marked: Proof,
    bed: Bed | None = None,
) -> tuple[str, Path, Proof]:
    from ..parts.writers.threemf import write_3mf  # noqa: PLC0415

    path = folder / f"{stem}{job.for_machine('3mf')}.3mf"
    plate = write_3mf(path, objects, f"{job.description}, {job.sizes('3mf')}", bed)
    figures: Proof = {"triangles": plate.triangles, "items": plate.items, "closed_and_oriented": True, **marked}
    return "3mf", path, {**figures, **against(plate.volume, exact)}
