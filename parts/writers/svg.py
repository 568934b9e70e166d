"""SVG in true millimetres: cut files on layers, and drawings of sheet items; read back before they count.

Width and height are in mm and so is the viewBox, so that a unit of the file is a millimetre. SVG counts y downwards;
every position is turned over as it is written, so that no transform is left for a reader to lose. Circular and
elliptical arcs stay arcs (A); Beziers are cubics (C).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from dataclasses import replace as changed
from pathlib import Path
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from ..chain import Chain
from ..curve import Arc, EllipseArc, Line, Piece, Point
from ..errors import PartError, WriteError
from ..marks import Mark, Pen
from ..shape import Outline
from ..sheets.letters import POINT, printable
from ..sheets.sheet import DASHES, WIDTHS, CutLine, Item, Solid, Text, Trace
from .contours import split
from .cubic import cubics
from .enclosed import Stretch, cubic_segment, enclosed, segment
from .files import replace, write_bytes
from .layers import NOMINAL, SQUARE, CutPlan, Layer, contour_fault, cut_plan, letter_fault

_LOOK = {
    Layer.CUT: 'stroke="#ff0000" stroke-width="0.2"',
    Layer.ENGRAVE: 'stroke="#0000ff" stroke-width="0.1"',
    Layer.REFERENCE: 'stroke="#606060" stroke-width="0.1" stroke-dasharray="2 1"',
}
"""A wider solid line, a narrower solid one, a dashed one; red for through cuts is common practice."""

_LONGEST_ARC = math.tau / 3.0
"""Longest arc [rad] of one A command: SVG gives no centre, and near half a turn the ends hardly say where it is."""

_MARGIN = 5.0
_SPACE = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True, slots=True)
class SvgProof:
    """What was read back from the file.

    Attributes:
        contours: number of closed contours to cut [-].
        area: area between the outer contours and the holes [mm2].
        entities: number of shapes and lines of text on all layers [-].
    """

    contours: int
    area: float
    entities: int


def write_svg(
    path: Path,
    outline: Outline,
    *,
    title: str,
    marks: Sequence[Mark] = (),
    words: Sequence[str] = (),
    failed_checks: Sequence[str] = (),
    size_words: str = NOMINAL,
    engrave: Sequence[Outline] = (),
) -> SvgProof:
    """Write an outline on the layers CUT, ENGRAVE and REFERENCE, and prove the file by reading it back.

    Layers are groups with those ids. Holes stand before the outer contour, for machines that cut in that order.

    Args:
        path: the file.
        outline: what to cut [mm].
        title: name of the part.
        marks: what its template shows. Lines that lie on the part are engraved. Words that fit on it go to the
            reference layer, in place: the type of a reader is not that of the writer.
        words: lines to read, such as material, thickness and fingerprint.
        failed_checks: names of the checks that the part fails.
        size_words: whether a kerf is in the size.
        engrave: letters to engrave as closed contours, in the outline's coordinates [mm], such as `fitted_on_disc`
            gives.

    Returns:
        What was read back.

    Raises:
        PartError: a coordinate is no number, an edge lies on another, a letter cannot be printed, or one to engrave
            does not lie wholly on the part.
        WriteError: the file cannot be written, or does not hold the part.
    """
    plan = cut_plan(
        outline,
        title=title,
        marks=marks,
        words=words,
        failed_checks=failed_checks,
        size_words=size_words,
        engrave=engrave,
    )
    return write_svg_plan(path, plan, title)


def write_svg_plan(path: Path, plan: CutPlan, title: str) -> SvgProof:
    """Write what a plan holds, such as the parts of a nested sheet, and prove the file by reading it back.

    Args:
        path: the file.
        plan: what it holds, see `layers.sheet_plan`.
        title: title of the document.

    Returns:
        What was read back.

    Raises:
        PartError: a letter of the title cannot be printed.
        WriteError: the file cannot be written, or does not hold what the plan does.
    """
    box = plan.box().grown(_MARGIN)
    pen = _Pen(box.left, box.high)
    layers = {
        Layer.CUT: [pen.shape(chain, closed=True) for chain in plan.contours],
        Layer.ENGRAVE: [
            *(pen.shape(chain, closed=False) for chain in plan.engraved),
            *(pen.shape(chain, closed=True) for chain in plan.letters),
        ],
        Layer.REFERENCE: [
            *(pen.shape(chain, closed=True) for chain in (plan.square, *plan.shown)),
            *(pen.words(text) for text in plan.words),
        ],
    }
    body = [
        line for layer in Layer for line in (f'<g id="{layer}" fill="none" {_LOOK[layer]}>', *layers[layer], "</g>")
    ]
    data = _document(box.right - box.left, box.high - box.low, printable(title, "title"), body).encode("utf-8")
    proof: list[SvgProof] = []
    replace(
        path,
        lambda target: write_bytes(target, data),
        lambda written: proof.append(read_back(written, plan, path.name)),
    )
    return proof[0]


def write_drawing_svg(path: Path, items: Sequence[Item], width: float, height: float, title: str) -> None:
    """Write sheet items as a picture on white, and prove the file by reading it back.

    Args:
        path: the file.
        items: what to draw [mm], the origin in the lower left corner and +y upwards.
        width: width of the picture [mm].
        height: height of the picture [mm].
        title: title of the document.

    Raises:
        PartError: the picture has no size, an item no place, or a letter cannot be printed.
        WriteError: the file cannot be written, or does not hold every item.
    """
    for name, size in (("width", width), ("height", height)):
        if not 0.0 < size < math.inf:
            raise PartError(f"{name}: {size:g} mm of the drawing must be above 0 mm")
    items = [
        changed(item, words=printable(item.words, "words of the drawing")) if isinstance(item, Text) else item
        for item in items
    ]
    for item in items:
        if not all(math.isfinite(side) for side in item.box()):
            raise PartError(f"a {type(item).__name__.lower()} of the drawing has a coordinate that is not a number")
    pen = _Pen(0.0, height)
    clips = {id(item): f"part-{number}" for number, item in enumerate(items, 1) if isinstance(item, CutLine)}
    body = [f'<rect width="{_number(width)}" height="{_number(height)}" fill="#ffffff"/>']
    if clips:
        body.append("<defs>")
        body += [pen.clip(item, clips[id(item)]) for item in items if isinstance(item, CutLine)]
        body.append("</defs>")
    body.append('<g id="drawing" fill="none" stroke="#000000">')
    body += [pen.item(item, clips.get(id(item), "")) for item in items]
    body.append("</g>")
    data = _document(width, height, printable(title, "title"), body).encode("utf-8")
    replace(
        path, lambda target: write_bytes(target, data), lambda written: read_back_drawing(written, items, path.name)
    )


def _document(width: float, height: float, title: str, body: Iterable[str]) -> str:
    size = f'width="{_number(width)}mm" height="{_number(height)}mm" viewBox="0 0 {_number(width)} {_number(height)}"'
    return "\n".join(
        (
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>',
            f"<title>{escape(title)}</title>",
            *body,
            "</svg>\n",
        )
    )


def _number(value: float) -> str:
    """A length [mm] or angle [deg] with at most nine decimals and no more than it needs."""
    text = f"{value:.9f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class _Pen:
    """Writes pieces, words and items, y turned over, measured from the upper left corner of the file."""

    def __init__(self, left: float, high: float) -> None:
        self._left = left
        self._high = high

    def shape(self, chain: Chain, closed: bool, look: str = "") -> str:
        """A whole circle as a circle, anything else as one path."""
        if len(chain) == 1 and isinstance(chain[0], Arc) and abs(chain[0].sweep) == math.tau:
            x, y = self._at(chain[0].centre)
            return f'<circle cx="{x}" cy="{y}" r="{_number(chain[0].radius)}"{look}/>'
        return f'<path d="{self.path(chain, closed)}"{look}/>'

    def words(self, text: Text, look: str = "") -> str:
        """Words that take the width of the sheets' own type in whatever type a reader has."""
        x, y = self._at(text.position)
        weight = ' font-weight="bold"' if text.bold else ""
        turn = f' transform="rotate({_number(-math.degrees(text.turn))} {x} {y})"' if text.turn else ""
        return (
            f'<text x="{x}" y="{y}" font-family="sans-serif" font-size="{_number(text.size * POINT)}"{weight} '
            f'textLength="{_number(text.width)}" lengthAdjust="spacingAndGlyphs" fill="#000000" stroke="none"{turn}'
            f"{look}>{escape(text.words)}</text>"
        )

    def item(self, item: Item, clip: str) -> str:
        """One item of a sheet; a cut line is drawn twice as wide and clipped, so that it lies on the part."""
        if isinstance(item, CutLine):
            look = f' clip-path="url(#{clip})" stroke-width="{_number(2.0 * WIDTHS[Pen.CUT])}"'
            return f'<path d="{self._loops(item)}"{look}/>'
        if isinstance(item, Trace):
            dashes = " ".join(_number(length) for length in DASHES.get(item.pen, ()))
            look = f' stroke-width="{_number(WIDTHS[item.pen])}"' + (f' stroke-dasharray="{dashes}"' if dashes else "")
            return self.shape(item.pieces, math.dist(item.pieces[0].start, item.pieces[-1].end) < 1e-9, look)
        if isinstance(item, Solid):
            points = " ".join(",".join(self._at(corner)) for corner in item.corners)
            return f'<polygon points="{points}" fill="#000000" stroke="none"/>'
        return self.words(item)

    def clip(self, item: CutLine, name: str) -> str:
        """The part as what a line may be drawn on."""
        return f'<clipPath id="{name}"><path d="{self._loops(item)}" clip-rule="evenodd"/></clipPath>'

    def _loops(self, item: CutLine) -> str:
        return " ".join(self.path(tuple(edge.piece for edge in loop), closed=True) for loop in item.outline.loops)

    def path(self, chain: Chain, closed: bool) -> str:
        """The commands of one path."""
        start = self._at(chain[0].start)
        steps = [step for piece in chain for step in self._steps(piece)]
        if closed:
            # Z draws a line to the start; the last digit of a rounded end must not make it one of some length.
            steps[-1] = (*steps[-1][:-2], *start)
        return " ".join(("M", *start, *(word for step in steps for word in step), *(("Z",) if closed else ())))

    def _steps(self, piece: Piece) -> list[tuple[str, ...]]:
        if isinstance(piece, Line):
            return [("L", *self._at(piece.end))]
        if isinstance(piece, (Arc, EllipseArc)):
            return [self._arc(part) for part in _short(piece)]
        return [("C", *(word for point in cubic[1:] for word in self._at(point))) for cubic in cubics(piece)]

    def _arc(self, part: Arc | EllipseArc) -> tuple[str, ...]:
        radii = (part.radius, part.radius) if isinstance(part, Arc) else (part.semi_x, part.semi_y)
        tilt = -math.degrees(part.tilt) if isinstance(part, EllipseArc) else 0.0
        # Anticlockwise is the sense of falling angles where y runs down.
        sense = "0" if part.sweep > 0.0 else "1"
        return ("A", *map(_number, radii), _number(tilt), "0", sense, *self._at(part.end))

    def _at(self, point: Point) -> tuple[str, str]:
        return _number(point[0] - self._left), _number(self._high - point[1])


def _short(piece: Arc | EllipseArc) -> Sequence[Arc | EllipseArc]:
    if isinstance(piece, Arc):
        return split(piece, _LONGEST_ARC)
    number = max(1, math.ceil(abs(piece.sweep) / _LONGEST_ARC - 1e-9))
    return [piece.part(i / number, (i + 1) / number) for i in range(number)]


# Reading back


def read_back(path: Path, plan: CutPlan, name: str) -> SvgProof:
    """Hold the written file to what it should contain.

    Args:
        path: where the file is now.
        plan: what it should hold.
        name: what messages call it.

    Returns:
        What it holds.

    Raises:
        WriteError: something is missing, too much, or not closed.
    """
    root = _root(path, name)
    layers = {group.get("id"): list(group) for group in root.iter(f"{_SPACE}g")}
    cut = layers.get(Layer.CUT, [])
    areas, gap = enclosed(stretch for shape in cut for stretch in _stretches(shape, name))
    engraved = layers.get(Layer.ENGRAVE, [])
    letters = engraved[len(plan.engraved) :]
    box = plan.box().grown(_MARGIN)
    size = (box.right - box.left, box.high - box.low)
    reference = layers.get(Layer.REFERENCE, [])
    fault = contour_fault(plan, areas, gap) or letter_fault(
        plan, *enclosed(stretch for shape in letters for stretch in _stretches(shape, name))
    )
    for wrong, what in (
        (not _is_true_size(root, *size), f"it is not {size[0]:.3f} by {size[1]:.3f} mm in units of a millimetre"),
        (len(engraved) < len(plan.engraved), "lines to engrave are missing"),
        (bool(fault), fault),
        (len(cut) != len(plan.contours), "a contour is in more than one path"),
        (len(letters) != len(plan.letters), "a contour of a letter is in more than one path"),
        ([shape.text for shape in reference if shape.text] != [text.words for text in plan.words], "words are missing"),
        (not reference or not _is_square(reference[0], name), f"it has no reference square of {SQUARE:g} mm"),
        (
            [shape.get("d") for shape in reference if not shape.text][1:]
            != [_Pen(box.left, box.high).path(chain, closed=True) for chain in plan.shown],
            "a line to be seen is not as it was written",
        ),
    ):
        if wrong:
            raise WriteError(f"{name} did not read back as the part: {what}")
    return SvgProof(len(areas), plan.between(areas), sum(len(shapes) for shapes in layers.values()))


def read_back_drawing(path: Path, items: Sequence[Item], name: str) -> None:
    """Hold a written drawing to its items: as many shapes, of the right sort, and the words themselves.

    Raises:
        WriteError: something is missing.
    """
    groups = [group for group in _root(path, name).iter(f"{_SPACE}g") if group.get("id") == "drawing"]
    shapes = [shape for group in groups for shape in group]
    if len(shapes) != len(items):
        raise WriteError(f"{name} reads back with {len(shapes)} shapes instead of {len(items)}")
    for shape, item in zip(shapes, items, strict=True):
        wanted = item.words if isinstance(item, Text) else None
        if shape.text != wanted:
            raise WriteError(f"{name} reads back with {shape.text!r} where {wanted!r} was written")


def _root(path: Path, name: str) -> ElementTree.Element:
    try:
        return ElementTree.parse(path).getroot()  # noqa: S314  a file written a moment ago
    except (ElementTree.ParseError, UnicodeError) as error:
        raise WriteError(f"{name} does not read back as an SVG: {error}") from None


def _is_true_size(root: ElementTree.Element, width: float, height: float) -> bool:
    sizes = (root.get("width", ""), root.get("height", ""))
    unit = root.get("viewBox", "").split()
    return sizes == (f"{_number(width)}mm", f"{_number(height)}mm") and unit == ["0", "0", *(s[:-2] for s in sizes)]


def _is_square(shape: ElementTree.Element, name: str) -> bool:
    stretches = _stretches(shape, name)
    sides = [math.dist(stretch.start, stretch.end) for stretch in stretches]
    areas, gap = enclosed(stretches)
    right = len(areas) == 1 and not gap and abs(areas[0] - SQUARE**2) <= 1e-6
    return right and len(sides) == 4 and all(abs(side - SQUARE) <= 1e-8 for side in sides)


def _stretches(shape: ElementTree.Element, name: str) -> list[Stretch]:
    """A circle or a closed path as stretches between ends.

    Raises:
        WriteError: it is neither.
    """
    if shape.tag == f"{_SPACE}circle":
        x, y, radius = (float(shape.get(key, "nan")) for key in ("cx", "cy", "r"))
        return [Stretch((x + radius, y), (x + radius, y), math.pi * radius**2)]
    steps = re.findall(r"([MLACZ])([^MLACZ]*)", shape.get("d", ""))
    if [command for command, _ in steps if command in "MZ"] != ["M", "Z"] or steps[-1][0] != "Z":
        raise WriteError(f"{name} did not read back as the part: a contour is not one closed path")
    found: list[Stretch] = []
    start: Point = (math.nan, math.nan)
    for command, text in steps[:-1]:
        numbers = [float(number) for number in text.split()]
        end = (numbers[-2], numbers[-1])
        if command != "M":
            found.append(Stretch(start, end, _bulge(command, start, numbers)))
        start = end
    if start != found[0].start:
        found.append(Stretch(start, found[0].start))
    return found


def _bulge(command: str, start: Point, numbers: Sequence[float]) -> float:
    if command == "C":
        return cubic_segment((start, *zip(numbers[0::2], numbers[1::2], strict=True)))
    if command == "L":
        return 0.0
    semi_x, semi_y, tilt, _, sense, x, y = numbers
    # In units of the semi-axes the arc is one of a circle of radius 1.
    c, s = math.cos(math.radians(tilt)), math.sin(math.radians(tilt))
    dx, dy = x - start[0], y - start[1]
    chord = math.hypot((c * dx + s * dy) / semi_x, (c * dy - s * dx) / semi_y)
    return math.copysign(segment(2.0 * math.asin(min(chord / 2.0, 1.0)), semi_x, semi_y), 1.0 if sense else -1.0)
