"""Marking wraps of the airframe tubes of a design: outlines to cut and sheets to print."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..analysis.tube_marks import TubeMark, TubeMarks, tube_marks
from ..parts.errors import FerruleError
from ..parts.fingerprint import fingerprint, short
from ..parts.papers.marked_tube import PAPER, Band, Hole, MarkedTube, Root, Slot
from ..parts.papers.pattern import Pattern
from ..parts.papers.sleeve import CARD, tube_sleeves
from ..parts.papers.tube_wrap import tube_wraps
from ..parts.params import near
from .design import Design
from .job import Proof
from .manifest import Origin
from .names import slug
from .paper_choice import AGAIN, USUAL, PaperChoice

if TYPE_CHECKING:
    from ..parts.sheets.block import TemplateLabel

WRAP_FORMATS = ("dxf", "svg", "pdf")
"""Formats that wraps are made in."""


@dataclass(frozen=True, slots=True)
class WrapChoice:
    """How wraps are printed.

    Attributes:
        whole: one paper over the whole length of each tube, in place of one for each stretch that holds marks.
        thickness: thickness of the paper or card [mm]; None for the usual one.
        strips: lengths once round as read off a first print [mm], by the name of the tube.
        paper: what they are printed on, and for which printer.
        sleeve: sleeves with windows in place of wraps, of the tubes that have slots.
    """

    whole: bool = False
    thickness: float | None = None
    strips: Mapping[str, float] | None = None
    paper: PaperChoice = USUAL
    sleeve: bool = False


def marked_tubes(design: Design, choice: WrapChoice = WrapChoice()) -> tuple[MarkedTube, ...]:
    """The airframe tubes of a design with all that is marked on them, from forward to aft.

    Args:
        design: the design.
        choice: how the wraps are printed.

    Raises:
        FerruleError: a strip is of no such tube, or a size is out of its range.
    """
    found = tube_marks(design.rocket, design.loadings)
    names = {one.name for one in found}
    strips = choice.strips or {}
    for name in strips:
        if name not in names:
            known = ", ".join(sorted(names)) or "none"
            raise FerruleError(f"strip: there is no airframe tube {name!r}{near(name, names)}; tubes: {known}")
    thickness = choice.thickness
    if thickness is None:
        thickness = CARD if choice.sleeve else PAPER
    return tuple(marked(one, thickness, strips.get(one.name)) for one in found)


def marked(tube: TubeMarks, thickness: float = PAPER, strip: float | None = None) -> MarkedTube:
    """What is to be marked on a tube, as its paper takes it.

    Args:
        tube: the tube and its marks.
        thickness: thickness of the paper [mm].
        strip: length once round as read off a first print [mm].

    Raises:
        PartError: a size is out of its range.
    """
    slots, roots, bands, holes = list[Slot](), list[Root](), list[Band](), list[Hole]()
    for mark in tube.marks:
        if mark.what == "slot":
            slots.append(Slot(mark.roll or 0.0, mark.first, mark.last, mark.size, mark.lean))
        elif mark.what == "root":
            roots.append(Root(mark.roll or 0.0, mark.first, mark.last, mark.lean))
        elif mark.roll is None:
            # A tenth of a millimetre is finer than any balance is known.
            digits = 1 if mark.what == "balance" else 9
            bands.append(Band(mark.name, *(min(round(x, digits), tube.length) for x in (mark.first, mark.last))))
        else:
            holes.append(Hole(_words(mark), mark.roll, mark.first, mark.size))
    return MarkedTube(
        tube.name,
        tube.diameter,
        tube.length,
        tube.fin_rolls,
        tuple(slots),
        tuple(roots),
        tuple(bands),
        tuple(holes),
        thickness,
        strip,
    )


def _words(mark: TubeMark) -> str:
    """What a hole is for, in few words: a vent is the tube's own."""
    return {"vent": "vent", "button": mark.name}.get(mark.what, f"{mark.name} {mark.what}")


def wrap_files(
    design: Design,
    folder: Path,
    wanted: set[str],
    failed: tuple[str, ...] = (),
    choice: WrapChoice = WrapChoice(),
) -> Iterator[tuple[Origin, str, Path, Proof]]:
    """Write the wraps of all airframe tubes, or the sleeves of those that have slots.

    Args:
        design: the design.
        folder: where to.
        wanted: formats that are wanted: `pdf` of the sheets, `dxf` and `svg` of the outline to cut.
        failed: names of failed checks, stamped on every sheet.
        choice: how the wraps are printed.

    Yields:
        What the file shows, kind of file, the file, and what was found when it was read back.

    Raises:
        FerruleError: a strip is of no such tube, or a file could not be made.
    """
    if not wanted & set(WRAP_FORMATS):
        return
    for tube in marked_tubes(design, choice):
        origin = wrap_origin(design, tube, failed, choice.whole)
        for pattern in (tube_sleeves if choice.sleeve else tube_wraps)(tube, choice.whole):
            for kind, path, proof in _files(design, tube, pattern, folder, wanted, failed, choice.paper):
                yield origin, kind, path, proof


def wrap_origin(design: Design, tube: MarkedTube, failed: tuple[str, ...] = (), whole: bool = False) -> Origin:
    """What the wraps of a tube show: the tube with its marks, and the words beside them.

    Args:
        design: the design.
        tube: the tube and its marks.
        failed: names of failed checks, stamped on every sheet.
        whole: whether one paper covers all of it.
    """
    beside = (design.head.note, design.settings.revision, design.settings.date, failed, whole)
    return Origin(design.name, tube.name, _mark(tube), short(fingerprint([design.name, tube, beside])))


def _mark(tube: MarkedTube) -> str:
    """Fingerprint of a tube and its marks as it is printed."""
    return short(fingerprint(tube))


def _files(
    design: Design,
    tube: MarkedTube,
    pattern: Pattern,
    folder: Path,
    wanted: set[str],
    failed: tuple[str, ...],
    paper: PaperChoice,
) -> Iterator[tuple[str, Path, Proof]]:
    from .pattern_files import pattern_files  # noqa: PLC0415  only where wraps are wanted

    label = wrap_label(design, tube, pattern)
    stem = "-".join(filter(None, (slug(design.name), slug(tube.name), slug(pattern.word))))
    dated = tuple(filter(None, (design.settings.revision, design.settings.date)))
    lines = (f"{design.name}: {label.part}", f"fingerprint {label.fingerprint}", *dated)
    yield from pattern_files(pattern, folder / stem, label, lines, wanted, failed, pattern.marks, paper)


def wrap_label(design: Design, tube: MarkedTube, pattern: Pattern) -> TemplateLabel:
    """What the sheets of a wrap say."""
    from ..parts.sheets.block import TemplateLabel  # noqa: PLC0415  only where wraps are wanted

    return TemplateLabel(
        design=design.name,
        part=f"{tube.name}, {pattern.word}",
        fingerprint=_mark(tube),
        revision=", ".join(filter(None, (design.settings.revision, design.settings.date))) or None,
        notes=(*pattern.notes, *((design.head.note,) if design.head.note else ())),
        stock=pattern.stock,
        again=AGAIN,
    )
