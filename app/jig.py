"""`ferrule jig`: writes the jigs of a design with the sheet for the bench."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from ..parts.compensate import words
from ..parts.errors import FerruleError
from ..parts.fingerprint import fingerprint, short
from ..parts.jigs.jig import Jig
from ..parts.machine import Cutter
from ..parts.quantity import read
from ..parts.writers.files import write_text
from .bench_files import BenchFiles, BenchThing
from .design import Design
from .design_file import load
from .gauges_of import Sourced, machine_named
from .jig_sheet import jig_sheet
from .jigs_of import THICKNESS, jigs_of
from .machine_file import load_machines
from .manifest import Made, Origin, listed
from .names import slug
from .run_folder import one_run

KIND = "jig"
NOMINAL = "nominal"

_ANY_SHEET = "any flat sheet"
"""What the paper of a jig says it is cut from: plywood, board, whatever lies about of that thickness."""


def write_jigs(
    file: Path, out: Path, machine: str | None = None, only: Sequence[str] = (), thickness: str | None = None
) -> tuple[str, ...]:
    """Write the jigs of a design file with the sheet for the bench.

    Args:
        file: the design file.
        out: folder for the files.
        machine: name of the printer or cutter that they are made on, which they are compensated for; None for nominal
            sizes and for both kinds of machine.
        only: names of the jigs to make; all where there is none.
        thickness: thickness of the sheet for plates and stands with its unit, 2 to 12 mm; None for 4 mm.

    Returns:
        The names of the files.

    Raises:
        FerruleError: the file is wrong, there is no such machine or jig, nothing is there that a jig is for, or a file
            cannot be made; nothing is written then.
    """
    personal = load_machines()
    design = load(file, personal)
    sourced = machine_named(machine, file, personal) if machine is not None else None
    jigs = jigs_of(design, sourced, read_thickness(thickness), only)
    material = _material(design, sourced)
    sizes = words(sourced.machine, material) if sourced else NOMINAL
    suffix = f"-for-{slug(machine)}" if machine is not None else ""
    made: list[Made] = []
    names: dict[str, list[str]] = {}
    with one_run(out, design.name) as folder:
        for jig in jigs.made:
            stem = f"{slug(design.name)}-jig-{jig.name}"
            state = short(fingerprint([design.name, jig, sizes]))
            files = BenchFiles(
                bench_thing(design, jig, material), sourced.machine if sourced else None, folder.workshop, stem, suffix
            )
            for kind, path, proof in files.files(jig.mark):
                made.append(listed(path, kind, Origin(None, None, jig.mark, state), proof, sizes))
                names.setdefault(jig.name, []).append(path.name)
        sheet = folder.workshop / f"{slug(design.name)}-jigs{suffix}.md"
        text = jig_sheet(design.name, machine, jigs.made, {one.name: sizes for one in jigs.made}, names, jigs.refused)
        write_text(sheet, text)
        state = short(fingerprint([text]))
        made.append(listed(sheet, "jig sheet", Origin(None, None, state, state), {"read_back": True}))
        # A jig says by its own fingerprint what it is made from; a run that makes parts leaves it alone.
        folder.publish(made, None, {})
    return tuple(item.file for item in made)


def bench_thing(design: Design, jig: Jig, material: str | None = None) -> BenchThing:
    """A jig as its files show it.

    Args:
        design: the design that it belongs to.
        jig: the jig.
        material: what it is made of; None where that is not stated.
    """
    return BenchThing(
        design.name,
        jig.name,
        jig.title,
        jig.printed,
        jig.cut,
        material,
        _ANY_SHEET,
        also_svg=True,
        on_bed=True,
        revision=", ".join(filter(None, (design.settings.revision, design.settings.date))) or None,
    )


def read_thickness(text: str | None) -> float:
    """Thickness of the sheet [mm] as the command line has it.

    Raises:
        FerruleError: it is no length.
    """
    if text is None:
        return THICKNESS
    try:
        return read(text, "length")
    except FerruleError as error:
        raise FerruleError(f"--thickness: {error}") from None


def _material(design: Design, sourced: Sourced | None) -> str | None:
    """What jigs are made of: of what the rest is made of on such a machine, where that is one material."""
    if sourced is None:
        return None
    found = set(_materials(design, isinstance(sourced.machine, Cutter)))
    return next(iter(found)) if len(found) == 1 else None


def _materials(design: Design, cutting: bool) -> Iterator[str]:
    for item in design.rocket.items:
        part = item.part
        if part is None or part.material is None:
            continue
        if part.cut_pieces() if cutting else part.may_be_printed and not part.cut_pieces():
            yield part.material
