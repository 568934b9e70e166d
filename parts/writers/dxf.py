"""DXF for a cutting machine: AutoCAD R2010, millimetres, every loop one closed contour, read back before it counts.

Lines and arcs of a loop are one closed LWPOLYLINE whose bulges are the arcs; a full circle is a CIRCLE. A loop with an
ellipse arc or a Bezier, which no LWPOLYLINE can hold, is a chain of LINE, ARC, ELLIPSE and SPLINE entities in order.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..chain import JOIN_TOLERANCE, Chain
from ..curve import Arc, EllipseArc, Line, Piece, Point
from ..errors import WriteError
from ..marks import Mark
from ..shape import Outline
from ..sheets.letters import POINT
from ..sheets.sheet import Text
from .cubic import cubics
from .enclosed import Stretch, cubic_segment, enclosed, segment
from .files import replace, write_bytes
from .layers import NOMINAL, SQUARE, CutPlan, Layer, contour_fault, cut_plan, letter_fault

_RELEASE = "AC1024"
_MILLIMETRES = 4
_CAPITALS = 0.729
"""Height of the capitals of the sheets' type, by which DXF measures letters, as a part of the type size [-]."""

_COLOURS = {Layer.CUT: 1, Layer.ENGRAVE: 5, Layer.REFERENCE: 8}
"""Red, blue and grey by the numbers of the format; red for through cuts is common practice."""

_LINE_WIDTHS = {Layer.CUT: 25, Layer.ENGRAVE: 13, Layer.REFERENCE: 13}
"""Widths on screen and paper [mm/100]."""

_DASHES = (3.0, 2.0, -1.0)
"""The dashed line of the reference layer: its whole length, dash, gap [mm]."""


@dataclass(frozen=True, slots=True)
class DxfProof:
    """What was read back from the file.

    Attributes:
        contours: number of closed contours to cut [-].
        area: area between the outer contours and the holes [mm2].
        entities: number of entities on all layers [-].
    """

    contours: int
    area: float
    entities: int


def write_dxf(
    path: Path,
    outline: Outline,
    *,
    title: str,
    marks: Sequence[Mark] = (),
    words: Sequence[str] = (),
    failed_checks: Sequence[str] = (),
    size_words: str = NOMINAL,
    engrave: Sequence[Outline] = (),
) -> DxfProof:
    """Write an outline on the layers CUT, ENGRAVE and REFERENCE, and prove the file by reading it back.

    The outline keeps its coordinates. Holes stand before the outer contour, for machines that cut in that order.

    Args:
        path: the file.
        outline: what to cut [mm].
        title: name of the part.
        marks: what its template shows. Lines that lie on the part are engraved. Words that fit on it go to the
            reference layer, in place: machines draw letters in a type of their own or not at all.
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
    return write_dxf_plan(path, plan)


def write_dxf_plan(path: Path, plan: CutPlan) -> DxfProof:
    """Write what a plan holds, such as the parts of a nested sheet, and prove the file by reading it back.

    Args:
        path: the file.
        plan: what it holds, see `layers.sheet_plan`.

    Returns:
        What was read back.

    Raises:
        WriteError: the file cannot be written, or does not hold what the plan does.
    """
    data = _text(plan).encode("utf-8")
    proof: list[DxfProof] = []
    replace(
        path,
        lambda target: write_bytes(target, data),
        lambda written: proof.append(read_back(written, plan, path.name)),
    )
    return proof[0]


def _text(plan: CutPlan) -> str:
    with _without_dates():
        document = _library().new("R2010", units=_MILLIMETRES)
        document.linetypes.add("REFERENCE", pattern=_DASHES, description="not to be cut _ _ _")
        for layer in Layer:
            document.layers.add(
                layer,
                color=_COLOURS[layer],
                linetype="REFERENCE" if layer == Layer.REFERENCE else "Continuous",
                lineweight=_LINE_WIDTHS[layer],
            )
        space = document.modelspace()
        for chain in plan.contours:
            _contour(space, chain, Layer.CUT)
        for chain in plan.engraved:
            for piece in chain:
                _entity(space, piece, Layer.ENGRAVE)
        for chain in plan.letters:
            _contour(space, chain, Layer.ENGRAVE)
        for chain in (plan.square, *plan.shown):
            _polyline(space, chain, Layer.REFERENCE)
        for words in plan.words:
            _words(space, words)
        box = plan.box().grown(5.0)
        middle, high = ((box.left + box.right) / 2.0, (box.low + box.high) / 2.0), box.high - box.low
        # A new drawing opens on a view of a metre or so about the origin; this one opens on the part.
        document.set_modelspace_vport(max(high, (box.right - box.left) / 1.5), middle)
        space.reset_extents((box.left, box.low, 0.0), (box.right, box.high, 0.0))
        _sort_classes(document)
        stream = io.StringIO()
        document.write(stream)
    return stream.getvalue()


@contextmanager
def _without_dates() -> Iterator[None]:
    """The library's one switch for files without the time and without numbers drawn by lot."""
    options = _library().options
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _sort_classes(document: Any) -> None:  # noqa: ANN401
    """The library lists the classes of a drawing in the order of a set, which differs from process to process."""
    document.classes.add_required_classes(document.dxfversion)
    ordered = sorted(document.classes.classes.items())
    document.classes.classes.clear()
    document.classes.classes.update(ordered)


def _library() -> Any:  # noqa: ANN401  its types leave out what it passes on from its own modules
    import ezdxf

    return ezdxf


def _contour(space: Any, chain: Chain, layer: Layer) -> None:  # noqa: ANN401  ezdxf's layouts are not typed for us
    if len(chain) > 1 and all(isinstance(piece, (Line, Arc)) for piece in chain):
        _polyline(space, chain, layer)
        return
    for piece in chain:
        _entity(space, piece, layer)


def _polyline(space: Any, chain: Chain, layer: Layer) -> None:  # noqa: ANN401
    points = [(*_tidy(piece.start), math.tan(piece.sweep / 4.0) if isinstance(piece, Arc) else 0.0) for piece in chain]
    space.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": layer})


def _entity(space: Any, piece: Piece, layer: Layer) -> None:  # noqa: ANN401
    """One piece as an entity. DXF runs all arcs anticlockwise, so those that run clockwise change their ends."""
    attributes = {"layer": layer}
    if isinstance(piece, Line):
        space.add_line(_tidy(piece.start), _tidy(piece.end), dxfattribs=attributes)
    elif isinstance(piece, Arc):
        if abs(piece.sweep) == math.tau:
            space.add_circle(_tidy(piece.centre), piece.radius, dxfattribs=attributes)
            return
        first, last = sorted((piece.start_angle, piece.start_angle + piece.sweep))
        ends = (math.degrees(first) % 360.0, math.degrees(last) % 360.0)
        space.add_arc(piece.centre, piece.radius, *ends, dxfattribs=attributes)
    elif isinstance(piece, EllipseArc):
        _ellipse(space, piece, attributes)
    else:
        # Cubic, although the format knows higher degrees: most programs that drive a machine read no others, and
        # half a micrometre is far below what any beam or cutter follows. Up to degree 3 this is exact.
        poles = cubics(piece)
        spline = space.add_spline(degree=3, dxfattribs=attributes)
        spline.control_points = [_tidy(poles[0][0]), *(_tidy(pole) for cubic in poles for pole in cubic[1:])]
        inner = [float(number) for number in range(1, len(poles)) for _ in range(3)]
        spline.knots = [0.0] * 4 + inner + [float(len(poles))] * 4


def _ellipse(space: Any, piece: EllipseArc, attributes: dict[str, Any]) -> None:  # noqa: ANN401
    """DXF gives an ellipse by its longer semi-axis and counts the angle from there."""
    upright = piece.semi_y > piece.semi_x
    longer, shorter = (piece.semi_y, piece.semi_x) if upright else (piece.semi_x, piece.semi_y)
    turn, shift = (piece.tilt + math.pi / 2.0, -math.pi / 2.0) if upright else (piece.tilt, 0.0)
    first, last = sorted((piece.start_angle + shift, piece.start_angle + shift + piece.sweep))
    whole = last - first >= math.tau
    space.add_ellipse(
        piece.centre,
        major_axis=(longer * math.cos(turn), longer * math.sin(turn)),
        ratio=shorter / longer,
        start_param=0.0 if whole else first % math.tau,
        end_param=math.tau if whole else last % math.tau,
        dxfattribs=attributes,
    )


def _words(space: Any, text: Text) -> None:  # noqa: ANN401
    space.add_text(
        _escaped(text.words),
        height=round(_CAPITALS * text.size * POINT, 6),
        rotation=math.degrees(text.turn),
        dxfattribs={"layer": Layer.REFERENCE, "insert": _tidy(text.position)},
    )


def _escaped(words: str) -> str:
    """A caret starts a control letter in DXF, and so do two percent signs, which cannot stand for themselves."""
    return words.replace("^", "^ ").replace("%%", "% %")


def _tidy(point: Point) -> Point:
    """A point to 1e-11 mm: no 1e-15 for 0, and no -0."""
    return (round(point[0], 11) + 0.0, round(point[1], 11) + 0.0)


# Reading back


def read_back(path: Path, plan: CutPlan, name: str) -> DxfProof:
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
    library = _library()
    try:
        document = library.readfile(path)
    except (library.DXFError, OSError, ValueError, LookupError, StopIteration) as error:
        raise WriteError(f"{name} does not read back as a DXF: {error or 'it ends too soon'}") from None
    audit = document.audit()
    entities = list(document.modelspace())
    areas, gap = _areas(entity for entity in entities if entity.dxf.layer == Layer.CUT)
    engraved = [entity for entity in entities if entity.dxf.layer == Layer.ENGRAVE]
    lines = sum(len(chain) for chain in plan.engraved)
    header = document.dxfversion, document.header["$INSUNITS"], document.header["$MEASUREMENT"]
    fault = contour_fault(plan, areas, gap) or letter_fault(plan, *_areas(engraved[lines:]))
    read = [entity.plain_text() for entity in entities if entity.dxftype() == "TEXT"]
    for wrong, what in (
        (audit.has_errors or audit.has_fixes, "the audit finds errors in it"),
        (header != (_RELEASE, _MILLIMETRES, 1), "it is not an R2010 drawing in millimetres"),
        (len(engraved) < lines, "lines to engrave are missing"),
        (bool(fault), fault),
        (read != [words.words.replace("%%", "% %") for words in plan.words], "its words are not those written"),
        (not _has_square(entities), f"it has no reference square of {SQUARE:g} mm"),
        (not _shows(entities, plan), "a line to be seen is not as it was written"),
    ):
        if wrong:
            raise WriteError(f"{name} did not read back as the part: {what}")
    return DxfProof(len(areas), plan.between(areas), len(entities))


def _has_square(entities: Iterable[Any]) -> bool:
    """Whether the first closed line to be seen is the square."""
    points = next(iter(_closed_lines(entities)), [])
    if len(points) != 4:
        return False
    sides = [math.dist(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True)]
    across = math.dist(points[0], points[2])
    return all(abs(side - SQUARE) <= JOIN_TOLERANCE for side in sides) and abs(across - SQUARE * math.sqrt(2.0)) <= 1e-6


def _shows(entities: Iterable[Any], plan: CutPlan) -> bool:
    """Whether the other closed lines to be seen are those of the plan."""
    found = _closed_lines(entities)[1:]
    wanted = [[_tidy(piece.start) for piece in chain] for chain in plan.shown]
    return len(found) == len(wanted) and all(
        len(points) == len(corners)
        and all(math.dist(a, b) <= JOIN_TOLERANCE for a, b in zip(points, corners, strict=True))
        for points, corners in zip(found, wanted, strict=True)
    )


def _closed_lines(entities: Iterable[Any]) -> list[list[Point]]:
    """Corners of the closed lines of the reference layer."""
    return [
        [(float(x), float(y)) for x, y in entity.get_points("xy")]
        for entity in entities
        if entity.dxf.layer == Layer.REFERENCE and entity.dxftype() == "LWPOLYLINE" and entity.closed
    ]


def _areas(entities: Iterable[Any]) -> tuple[list[float], float]:
    return enclosed(stretch for entity in entities for stretch in _stretches(entity))


def _stretches(entity: Any) -> list[Stretch]:  # noqa: ANN401  ezdxf's entities are not typed for us
    """An entity as stretches between ends; a closed one begins and ends at one point."""
    kind = entity.dxftype()
    if kind == "CIRCLE":
        x, y, _ = entity.dxf.center
        start = (x + entity.dxf.radius, y)
        return [Stretch(start, start, math.pi * entity.dxf.radius**2)]
    if kind == "LWPOLYLINE":
        return _polyline_stretches(entity)
    if kind == "SPLINE":
        poles = [(float(pole[0]), float(pole[1])) for pole in entity.control_points]
        runs = [poles[i : i + 4] for i in range(0, len(poles) - 1, 3)]
        return [Stretch(run[0], run[-1], cubic_segment(run)) for run in runs]
    start, end = ((float(point[0]), float(point[1])) for point in _ends(entity, kind))
    bulge = 0.0
    if kind == "ARC":
        angle = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360.0)
        bulge = segment(angle, entity.dxf.radius, entity.dxf.radius)
    elif kind == "ELLIPSE":
        angle = (entity.dxf.end_param - entity.dxf.start_param) % math.tau or math.tau
        longer = entity.dxf.major_axis.magnitude
        bulge = segment(angle, longer, longer * entity.dxf.ratio)
    return [Stretch(start, end, bulge)]


def _ends(entity: Any, kind: str) -> tuple[Any, Any]:  # noqa: ANN401
    if kind == "LINE":
        return entity.dxf.start, entity.dxf.end
    return entity.start_point, entity.end_point


def _polyline_stretches(entity: Any) -> list[Stretch]:  # noqa: ANN401
    points = [(float(x), float(y), float(bulge)) for x, y, bulge in entity.get_points("xyb")]
    following = (*points[1:], points[0]) if entity.closed else points[1:]
    stretches = []
    for (x0, y0, bulge), (x1, y1, _) in zip(points, following, strict=False):
        angle = 4.0 * math.atan(bulge)
        radius = math.dist((x0, y0), (x1, y1)) / 2.0 / math.sin(abs(angle) / 2.0) if bulge else 0.0
        stretches.append(Stretch((x0, y0), (x1, y1), segment(angle, radius, radius)))
    return stretches
