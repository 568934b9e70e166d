"""What a file for a cutting machine holds, whatever its format: contours to cut, lines to engrave, words to read.

Neither DXF nor a machine that reads it can be trusted with units, so a labelled 100 mm square lies beside the part or
the sheet. The file is of the nominal size unless its words say otherwise: whose beam is how wide is not the part's
business.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import accumulate

from ..chain import JOIN_TOLERANCE, Chain
from ..curve import Bezier, bounds
from ..errors import PartError
from ..marks import SMALLEST_TYPE, Mark, Pen
from ..shape import Outline, signed_area
from ..sheets.letters import ASCENT, LEADING, POINT, printable, wrap
from ..sheets.sheet import Box, Text, around, centred, rectangle
from .contours import check_finite, check_single, contour
from .cubic import NEAR
from .on_part import lying_on_part, off_part


class Layer(StrEnum):
    """The layers of a file, by the names that cutting shops use (common practice)."""

    CUT = "CUT"
    ENGRAVE = "ENGRAVE"
    REFERENCE = "REFERENCE"


SQUARE = 100.0
"""Side of the reference square [mm]."""

SQUARE_WORDS = "100 mm square: measure it before cutting; not to be cut"
"""What the reference square says of itself."""

NOMINAL = "nominal size: no kerf in it"
"""What a file says whose contours are the part's own size."""

AREA_TOLERANCE = 1e-6
"""Largest relative difference [-] of the area that a contour encloses in the file from that of the part.

Beziers of a degree above 3 stand in a file as cubics and may add their distance from the piece along its length.
"""


_BESIDE = 10.0
_PAD = 4.0
_TITLE_SIZE = 11.0
_FAILED_SIZE = 13.0


@dataclass(frozen=True, slots=True)
class CutPlan:
    """Everything in one file [mm], in the coordinates of the outline, or of the sheet that several parts lie on.

    Attributes:
        contours: the closed contours to cut, each meeting itself within 1e-9 mm; the holes first, because a part that
            is cut free may drop or shift before its holes are cut. A full circle is one arc, every other arc runs at
            most half a turn.
        areas: the area [mm2] that each contour encloses by the part's own pieces.
        engraved: lines to engrave.
        letters: closed contours of letters to engrave, each meeting itself like those to cut.
        letter_areas: the area [mm2] that each of them encloses.
        square: the reference square.
        words: what is to be read and neither cut nor engraved.
        rims: places in `contours` of those that go round a part; the others are holes.
        shown: closed lines that are to be seen and neither cut nor engraved, such as the rim of the sheet.
    """

    contours: tuple[Chain, ...]
    areas: tuple[float, ...]
    engraved: tuple[Chain, ...]
    letters: tuple[Chain, ...]
    letter_areas: tuple[float, ...]
    square: Chain
    words: tuple[Text, ...]
    rims: frozenset[int]
    shown: tuple[Chain, ...] = ()

    def box(self) -> Box:
        """Rectangle round all of it [mm]."""
        chains = (*self.contours, *self.engraved, *self.letters, self.square, *self.shown)
        pieces = [piece for chain in chains for piece in chain]
        return around([*(Box(*bounds(piece)) for piece in pieces), *(text.box() for text in self.words)])

    def between(self, areas: Sequence[float]) -> float:
        """Area between rims and holes [mm2], from the area that each contour encloses."""
        return sum(area if place in self.rims else -area for place, area in enumerate(areas))


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """One of several parts in a file.

    Attributes:
        outline: what to cut [mm], in coordinates of its own.
        x: move to its place on the sheet [mm] ...
        y: ... after a turn about its own origin [mm].
        turn: that turn [rad].
        name: what is written on it for reading; empty where what is engraved says it.
        marks: lines and words of its template, in its own coordinates.
        engrave: letters to engrave, in its own coordinates [mm].
    """

    outline: Outline
    x: float
    y: float
    turn: float = 0.0
    name: str = ""
    marks: tuple[Mark, ...] = ()
    engrave: tuple[Outline, ...] = ()


def cut_plan(
    outline: Outline,
    *,
    title: str,
    marks: Sequence[Mark],
    words: Sequence[str],
    failed_checks: Sequence[str],
    size_words: str,
    engrave: Sequence[Outline] = (),
) -> CutPlan:
    """Settle what a file holds and where.

    Args:
        outline: what to cut [mm].
        title: name of the part.
        marks: of these, lines that lie on the part are engraved, and words that fit on it are kept for reading.
        words: lines such as material, thickness and fingerprint.
        failed_checks: names of the checks that the part fails.
        size_words: whether a kerf is in the size.
        engrave: letters to engrave, in the outline's coordinates [mm].

    Raises:
        PartError: a coordinate is no number, an edge lies on another, a letter cannot be printed, or one to engrave
            does not lie wholly on the part.
    """
    _check_part(outline, engrave)
    box = Box(*outline.box())
    frame = Box(box.right + _BESIDE, box.low, box.right + _BESIDE + SQUARE, box.low + SQUARE)
    on_part, engraved = lying_on_part(outline, marks)
    stamp = _stamp(frame, title, (*words, size_words), failed_checks)
    return _plan([outline], engraved, engrave, frame, (*on_part, *stamp))


def sheet_plan(
    parts: Sequence[PlacedPart],
    *,
    length: float,
    width: float,
    title: str,
    words: Sequence[str],
    failed_checks: Sequence[str],
    size_words: str,
) -> CutPlan:
    """Settle what a file of several parts on one sheet holds and where.

    The sheet lies with its lower left corner at the origin, its rim on the reference layer. Of each part the holes come
    before its rim, and the parts come in the order in which they are given. A name goes on the middle of its part.

    Args:
        parts: what to cut, in the order of cutting.
        length: side of the sheet along x [mm].
        width: side of the sheet along y [mm].
        title: name of the sheet.
        words: lines such as material, thickness and fingerprint.
        failed_checks: names of the checks that the design fails.
        size_words: whether a kerf is in the sizes.

    Raises:
        PartError: there is no part or no sheet, a part does not lie on the sheet, a coordinate is no number, an edge
            lies on another, a letter cannot be printed, or one to engrave does not lie wholly on its part.
    """
    if not parts:
        raise PartError("parts: a sheet needs at least one")
    for name, size in (("length", length), ("width", width)):
        if not 0.0 < size < math.inf:
            raise PartError(f"{name}: {size:g} mm of the sheet must be above 0 mm")
    sheet = Box(0.0, 0.0, length, width)
    outlines: list[Outline] = []
    engraved: list[Chain] = []
    letters: list[Outline] = []
    names: list[Text] = []
    for part in parts:
        _check_part(part.outline, part.engrave)
        where = (part.x, part.y, part.turn)
        outlines.append(part.outline.placed(*where))
        box = Box(*outlines[-1].box())
        if not sheet.grown(JOIN_TOLERANCE).holds(box):
            raise PartError(
                f"{part.name or 'a part'} from ({box.left:.3f}, {box.low:.3f}) to ({box.right:.3f}, {box.high:.3f}) mm "
                f"does not lie on the sheet of {length:g} x {width:g} mm"
            )
        _, lines = lying_on_part(part.outline, part.marks)
        engraved += [tuple(piece.placed(*where) for piece in chain) for chain in lines]
        letters += [letter.placed(*where) for letter in part.engrave]
        if part.name:
            middle = ((box.left + box.right) / 2.0, (box.low + box.high) / 2.0)
            names.append(centred(printable(part.name, "name of a part"), middle))
    frame = Box(length + _BESIDE, 0.0, length + _BESIDE + SQUARE, SQUARE)
    stamp = _stamp(frame, title, (*words, size_words), failed_checks)
    return _plan(outlines, engraved, letters, frame, (*names, *stamp), (rectangle(sheet, Pen.REFERENCE).pieces,))


def _plan(
    outlines: Sequence[Outline],
    engraved: Sequence[Chain],
    engrave: Sequence[Outline],
    frame: Box,
    words: tuple[Text, ...],
    shown: tuple[Chain, ...] = (),
) -> CutPlan:
    loops = [loop for outline in outlines for loop in (*outline.holes, outline.outer)]
    letter_loops = [loop for letter in engrave for loop in letter.loops]
    contours, letters = tuple(contour(loop) for loop in loops), tuple(contour(loop) for loop in letter_loops)
    check_single((*contours, *letters))
    return CutPlan(
        contours,
        tuple(abs(signed_area(loop)) for loop in loops),
        tuple(engraved),
        letters,
        tuple(abs(signed_area(loop)) for loop in letter_loops),
        rectangle(frame, Pen.REFERENCE).pieces,
        words,
        frozenset(place - 1 for place in accumulate(1 + len(outline.holes) for outline in outlines)),
        shown,
    )


def _check_part(outline: Outline, engrave: Sequence[Outline]) -> None:
    """Every coordinate is a number, and every letter to engrave lies wholly on the part.

    Raises:
        PartError: one is not, or does not.
    """
    check_finite(edge.piece for one in (outline, *engrave) for loop in one.loops for edge in loop)
    off = off_part(outline, engrave)
    if off:
        left, low, right, high = off.box()
        raise PartError(
            f"engrave: the letter from ({left:.3f}, {low:.3f}) to ({right:.3f}, {high:.3f}) mm does not lie wholly on "
            "the part"
        )


def _stamp(frame: Box, title: str, words: Sequence[str], failed_checks: Sequence[str]) -> tuple[Text, ...]:
    """The words in the reference square, its own at the foot; below it where they are too many."""
    room = SQUARE - 2.0 * _PAD
    lines = [
        (line, size, bold)
        for sentence, size, bold, what in (
            *((f"CHECK FAILED: {name}", _FAILED_SIZE, True, "name of the check") for name in failed_checks),
            (title, _TITLE_SIZE, True, "title"),
            *((sentence, SMALLEST_TYPE, False, "words of the file") for sentence in words),
        )
        for line in wrap(printable(sentence, what), room, size, bold)
    ]
    own = wrap(SQUARE_WORDS, room, SMALLEST_TYPE)
    high = sum(size for _, size, _ in lines) * LEADING * POINT
    own_high = len(own) * SMALLEST_TYPE * LEADING * POINT
    top = frame.high - _PAD if high + own_high + 3.0 * _PAD <= SQUARE else frame.low - _PAD
    left = frame.left + _PAD
    return (
        *_column([(line, SMALLEST_TYPE, False) for line in own], left, frame.low + _PAD + own_high),
        *_column(lines, left, top),
    )


def _column(lines: Iterable[tuple[str, float, bool]], left: float, top: float) -> Iterator[Text]:
    for line, size, bold in lines:
        yield Text(line, (left, top - ASCENT * size * POINT), size, bold)
        top -= LEADING * size * POINT


def contour_fault(plan: CutPlan, areas: Sequence[float], gap: float) -> str:
    """What is wrong with the contours read back from a file, in words; empty if nothing is."""
    return _fault("a contour", "closed contours", plan.contours, plan.areas, areas, gap)


def letter_fault(plan: CutPlan, areas: Sequence[float], gap: float) -> str:
    """What is wrong with the letters to engrave read back from a file, in words; empty if nothing is."""
    return _fault("a letter to engrave", "contours of letters", plan.letters, plan.letter_areas, areas, gap)


def _fault(
    one: str, many: str, chains: Sequence[Chain], exact_areas: Sequence[float], areas: Sequence[float], gap: float
) -> str:
    if gap:
        return f"{one} is open by {gap:.3g} mm"
    if len(areas) != len(chains):
        return f"it has {len(areas)} {many} instead of {len(chains)}"
    for found, exact, chain in zip(areas, exact_areas, chains, strict=True):
        near = sum(piece.length() for piece in chain if isinstance(piece, Bezier) and piece.degree > 3) * NEAR
        if not abs(found - exact) <= AREA_TOLERANCE * exact + near:
            return f"{one} encloses {found:.8g} mm2 instead of {exact:.8g} mm2"
    return ""
