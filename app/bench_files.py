"""Files of small things for the bench that belong to no part, such as gauges and jigs: prints, cut files, paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from ..parts.compensate import compensated, cut_compensated, words
from ..parts.gauges.gauge import Sheeted
from ..parts.jigs.jig import ToPrint
from ..parts.machine import Cutter, Printer
from .names import slug

if TYPE_CHECKING:
    from ..parts.sheets.paper import Paper
    from ..parts.sheets.sheet import Sheet
    from ..parts.writers.threemf import PrintObject

Written: TypeAlias = tuple[str, Path, dict[str, Any]]
"""Kind of a file, where it lies, and what was read back of it."""


@dataclass(frozen=True, slots=True)
class BenchThing:
    """What is to be made.

    Attributes:
        design: name of the design.
        name: what files call it.
        title: what it is, in words.
        printed: the pieces to print, each with its pose.
        cut: the pieces to cut from sheet.
        material: what it is printed or cut of, for the machine's values; None where that is not stated.
        paper_material: what its paper says it is cut from; None where that is not stated.
        as_drawn: True for what must be cut along the drawn lines whatever the machine is.
        also_svg: True for cut files as SVG beside those as DXF.
        on_bed: True for plates that are laid out on the printer's own bed.
        revision: revision of the design; None where it is not stated.
    """

    design: str
    name: str
    title: str
    printed: tuple[ToPrint, ...]
    cut: tuple[Sheeted, ...]
    material: str | None = None
    paper_material: str | None = None
    as_drawn: bool = False
    also_svg: bool = False
    on_bed: bool = False
    revision: str | None = None

    def pages(self, state: str, paper: Paper) -> tuple[Sheet, ...]:
        """Its templates; what is cut by hand along a line on paper has no kerf.

        Args:
            state: fingerprint of all that it shows, in its printed form.
            paper: what they are printed on.

        Raises:
            FerruleError: a page cannot be laid out.
        """
        from ..parts.sheets.block import TemplateLabel  # noqa: PLC0415  only for what is cut from sheet
        from ..parts.sheets.template import template_sheets  # noqa: PLC0415

        return tuple(
            sheet
            for one in self.cut
            for sheet in template_sheets(
                one.piece.outline,
                label=TemplateLabel(
                    design=self.design,
                    part=" ".join(filter(None, (self.name, one.piece.word))),
                    quantity=one.piece.count,
                    material=self.paper_material,
                    thickness=one.piece.thickness,
                    fingerprint=state,
                    revision=self.revision,
                ),
                paper=paper,
                marks=one.piece.marks,
            )
        )


@dataclass(frozen=True, slots=True)
class BenchFiles:
    """Writes the files of one thing into a folder.

    Attributes:
        thing: the thing.
        machine: what it is made on; None for nominal sizes and for both kinds of machine.
        folder: where to.
        stem: how the names of its files begin.
        suffix: how they end, before the kind.
    """

    thing: BenchThing
    machine: Printer | Cutter | None
    folder: Path
    stem: str
    suffix: str

    def files(self, state: str) -> Iterator[Written]:
        """Each file with its kind and what was read back.

        Args:
            state: fingerprint of all that it shows, in its printed form.

        Raises:
            FerruleError: a file cannot be made.
        """
        if not isinstance(self.machine, Cutter) and self.thing.printed:
            yield from self._printed(state)
        if not isinstance(self.machine, Printer) and self.thing.cut:
            yield from self._cut(state)

    def _path(self, word: str, kind: str) -> Path:
        return self.folder / f"{'-'.join(filter(None, (self.stem, slug(word))))}{self.suffix}.{kind}"

    def _printed(self, state: str) -> Iterator[Written]:
        from ..parts.readers.mesh import mesh  # noqa: PLC0415  loads manifold3d only when a mesh is wanted
        from ..parts.writers.stl import write_stl  # noqa: PLC0415
        from ..parts.writers.threemf import PrintObject  # noqa: PLC0415

        thing, objects = self.thing, []
        for piece in thing.printed:
            shape = piece.shape
            if isinstance(self.machine, Printer):
                shape = compensated(shape, self.machine, thing.material, piece.pose)
            posed = mesh(shape).placed(piece.pose)
            objects.append(
                PrintObject(" ".join(filter(None, (thing.name, piece.word))), posed, thing.material, piece.count)
            )
            path = self._path(piece.word, "stl")
            stl = write_stl(path, posed, f"ferrule mm {path.stem} {state}")
            figures = {"triangles": stl.triangles, "closed_and_oriented": True, "volume_mm3": stl.volume}
            yield "stl", path, {**figures, "bounds_mm": [round(edge, 4) for edge in posed.bounds()]}
        yield from self._plates(objects, state)

    def _plates(self, objects: list[PrintObject], state: str) -> Iterator[Written]:
        from ..parts.plate import Bed  # noqa: PLC0415
        from ..parts.writers.threemf import on_plates, write_3mf  # noqa: PLC0415

        bed = None
        groups: list[list[PrintObject]] = [objects]
        if self.thing.on_bed and isinstance(self.machine, Printer):
            bed = Bed(self.machine.width, self.machine.depth, self.machine.name)
            groups = [list(group) for group in on_plates(objects, bed)]
        for number, group in enumerate(groups, 1):
            path = self._path(f"plate {number} of {len(groups)}" if len(groups) > 1 else "", "3mf")
            plate = write_3mf(path, group, f"{self.stem} {state}", bed)
            proof = {"triangles": plate.triangles, "items": plate.items, "closed_and_oriented": True}
            yield "3mf", path, {**proof, "volume_mm3": plate.volume}

    def _cut(self, state: str) -> Iterator[Written]:
        from ..parts.writers.dxf import write_dxf  # noqa: PLC0415  only for what is cut from sheet
        from ..parts.writers.layers import NOMINAL as NO_KERF  # noqa: PLC0415
        from ..parts.writers.svg import write_svg  # noqa: PLC0415

        thing = self.thing
        for one in thing.cut:
            piece, outline, said = one.piece, one.piece.outline, NO_KERF
            if thing.as_drawn:
                said = f"{NO_KERF}; cut along the lines as drawn"
            elif isinstance(self.machine, Cutter):
                outline = cut_compensated(outline, self.machine, thing.material)
                said = words(self.machine, thing.material)
            title = " ".join(filter(None, (thing.name, piece.word)))
            many = (f"make {piece.count}",) if piece.count > 1 else ()
            thick = f"thickness {piece.thickness:g} mm"
            told = (f"{thing.design}: {thing.title}", thick, *many, f"fingerprint {state}")
            path = self._path(piece.word, "dxf")
            dxf = write_dxf(path, outline, title=title, words=told, size_words=said, engrave=one.letters)
            yield "dxf", path, {"contours": dxf.contours, "area_mm2": dxf.area, "reference_square_mm": 100.0}
            if thing.also_svg:
                path = self._path(piece.word, "svg")
                svg = write_svg(path, outline, title=title, words=told, size_words=said, engrave=one.letters)
                yield "svg", path, {"contours": svg.contours, "area_mm2": svg.area, "reference_square_mm": 100.0}
        yield from self._paper(state)

    def _paper(self, state: str) -> Iterator[Written]:
        from ..parts.sheets.paper import A4, US_LETTER  # noqa: PLC0415  only for what is cut from sheet
        from ..parts.writers.pdf import write_pdf  # noqa: PLC0415

        for word, paper in (("a4", A4), ("letter", US_LETTER)):
            sheets = self.thing.pages(state, paper)
            path = self._path(word, "pdf")
            write_pdf(path, sheets, f"{self.thing.design}: {self.thing.title}, {paper.words}")
            yield "pdf", path, {"pages": len(sheets), "check_bar_mm": 100.0, "paper": paper.words}
