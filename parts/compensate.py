"""A part as it has to be drawn so that a machine makes it at size: once, before its mesh or cut file, never in a STEP.

Order for a printer: the faces of role `fit` move back by what the machine makes too much of, then everything grows by
what the material will shrink. The machine's own errors and the shrinkage then undo both, in the other order.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .curve import Arc, Bezier, EllipseArc, Line, Piece, Point
from .errors import PartError
from .machine import Compensation, Cutter, Printer, compensation
from .moved_edges import moved_loop, moved_outline
from .outline_offset import check_apart, offset_outline
from .shape import (
    Array,
    Bevelled,
    Blade,
    Cut,
    Edge,
    EdgeForm,
    Fused,
    Loop,
    Meridian,
    Outline,
    Placed,
    Placement,
    Plate,
    RadialFeature,
    Revolved,
    Rounded,
    Ruled,
    Shape,
    moved,
)


def compensated(shape: Shape, printer: Printer, material: str | None, pose: Placement = Placement()) -> Shape:
    """A shape as it has to be drawn for a printer.

    Outside faces of role `fit` move in by the printer's `outside`, holes and bores of that role grow by its `hole`,
    square to themselves; flat faces across the axis and a plate's two sides stay, and so does every face without that
    role. Then everything is scaled by 1 / (1 - shrinkage) about the middle of the bed.

    Args:
        shape: the part as it shall be.
        printer: the machine.
        material: what it is printed of; without a shrinkage stated for it nothing is scaled.
        pose: motion to the bed's frame, whose origin is the middle of the bed; the default is the part's own frame.

    Returns:
        The shape itself where nothing is to be done.

    Raises:
        PartError: a wall or a hole vanishes.
    """
    todo = compensation(printer, material)
    if todo.nothing:
        return shape
    try:
        found = _moved(shape, todo, hollow=False)
    except PartError as error:
        raise PartError(f"{words(printer, material)}: {error}") from None
    if not todo.shrinkage:
        return found
    factor = 1.0 / (1.0 - todo.shrinkage)
    middle = -np.asarray(pose.move) @ pose.matrix
    x, y, z = (middle * (1.0 - factor) + 0.0).tolist()
    grown = scaled(found, factor)
    return Placed(grown, moved(x, y, z)) if (x, y, z) != (0.0, 0.0, 0.0) else grown


def cut_compensated(outline: Outline, cutter: Cutter, material: str | None) -> Outline:
    """The path of the middle of a beam that leaves an outline at size: half its width outside it, inside its holes.

    Raises:
        PartError: the beam does not go into a hole or a slot.
    """
    todo = compensation(cutter, material)
    try:
        return offset_outline(outline, todo.outside)
    except PartError as error:
        raise PartError(f"{words(cutter, material)}: {error}") from None


def words(machine: Printer | Cutter, material: str | None) -> str:
    """One line that says what is done to a part, for the file's own text and the manifest.

    Example:
        >>> words(Printer("tall", 250, 250, 340, outside=0.1, hole=0.15, shrinkage={"petg": 0.003}), "petg")
        'compensated for tall: outside -0.10 mm and holes +0.15 mm per side on faces that fit, petg shrinkage 0.30 %'
    """
    todo = compensation(machine, material)
    kind = "cutter" if isinstance(machine, Cutter) else "printer"
    if todo.kerf is not None:
        if todo.nothing:
            return f"nominal: no kerf is stated for the cutter {todo.machine}"
        whose = f" in {material}" if isinstance(machine, Cutter) and material in machine.kerf_for else ""
        sides = f"outside {_signed(todo.outside)} mm and holes {_signed(todo.hole)} mm per side"
        return f"compensated for {todo.machine}: {sides}, half the kerf of {_plain(todo.kerf)} mm{whose}"
    shrinks = f"{material or 'material'} shrinkage {_percent(todo)}"
    if todo.nothing:
        return f"nominal: nothing is compensated for the {kind} {todo.machine}, {shrinks}"
    sides = f"outside {_signed(todo.outside)} mm and holes {_signed(todo.hole)} mm per side on faces that fit"
    return f"compensated for {todo.machine}: {sides}, {shrinks}"


def _plain(value: float) -> str:
    """At least two digits after the point, and as many as there are."""
    text = f"{value:.6f}".rstrip("0")
    digits = len(text.partition(".")[2])
    return f"{value:.{max(digits, 2)}f}"


def _signed(value: float) -> str:
    return f"{'+' if value >= 0.0 else '-'}{_plain(abs(value))}"


def _percent(todo: Compensation) -> str:
    return "not stated" if todo.shrinkage is None else f"{_plain(100.0 * todo.shrinkage)} %"


# --- faces that fit ---------------------------------------------------------------------------------------------------


def _moved(shape: Shape, todo: Compensation, hollow: bool) -> Shape:
    """The shape with its fit faces moved; `hollow` where it is what a cut takes away."""
    match shape:
        case Revolved():
            return Revolved(_section(shape.meridian, todo, hollow))
        case Plate():
            return replace(shape, outline=_outline(shape.outline, todo, hollow)[0])
        case RadialFeature():
            return replace(shape, outline=_outline(shape.outline, todo, hollow)[0])
        case Blade():
            planform, places = _outline(shape.planform, todo, hollow)
            forms = tuple(replace(form, edge=places[form.edge]) for form in shape.forms)
            return replace(shape, planform=planform, forms=forms)
        case Ruled():
            return shape  # none of its faces fits into anything
        case Array():
            return replace(shape, shape=_moved(shape.shape, todo, hollow))
        case Placed():
            return replace(shape, shape=_moved(shape.shape, todo, hollow))
        case Fused():
            return Fused(tuple(_moved(member, todo, hollow) for member in shape.members))
        case Cut():
            tools = tuple(_moved(tool, todo, not hollow) for tool in shape.tools)
            return Cut(_moved(shape.base, todo, hollow), tools)


def _outside(todo: Compensation, hollow: bool) -> float:
    """How far an outside face of a solid moves out; of a hollow one, which is the face of a hole in what is left."""
    return todo.hole if hollow else todo.outside


def _inside(todo: Compensation, hollow: bool) -> float:
    """How far the face of a hole moves so that the hole grows."""
    return todo.outside if hollow else todo.hole


def _outline(outline: Outline, todo: Compensation, hollow: bool) -> tuple[Outline, tuple[int, ...]]:
    outer = _outside(todo, hollow)
    # A hole that grows moves into the material.
    inner = -_inside(todo, hollow)
    away = [tuple(outer if edge.role == "fit" else 0.0 for edge in outline.outer)]
    away += [tuple(inner if edge.role == "fit" else 0.0 for edge in hole) for hole in outline.holes]
    if not any(any(distances) for distances in away):
        return outline, tuple(range(len(outline.outer)))
    found = moved_outline(outline, away)
    check_apart(found.outline.loops)
    return found.outline, found.places


def _section(meridian: Meridian, todo: Compensation, hollow: bool) -> Meridian:
    """The section with its fit edges moved; those that run aft are outsides, those that run forward bores."""

    def left(edge: Edge) -> float:
        run = edge.piece.end[0] - edge.piece.start[0]
        if edge.role != "fit" or run == 0.0:
            return 0.0
        return _outside(todo, hollow) if run > 0.0 else -_inside(todo, hollow)

    # The section has its material on the right.
    found = moved_loop(meridian.edges, tuple(0.0 - left(edge) for edge in meridian.edges))
    return meridian if found.loop is meridian.edges else Meridian(found.loop)


# --- size -------------------------------------------------------------------------------------------------------------


def scaled(shape: Shape, factor: float) -> Shape:
    """A shape with every length multiplied by a factor [-] above 0, about the origin of its frame.

    Raises:
        PartError: the factor is not above 0.
    """
    if not 0.0 < factor < float("inf"):
        raise PartError(f"a shape is scaled by a factor above 0, got {factor:g}")
    return _scaled(shape, factor)


def _scaled(shape: Shape, k: float) -> Shape:
    match shape:
        case Revolved():
            return Revolved(Meridian(_scaled_loop(shape.meridian.edges, k)))
        case Plate():
            return Plate(_scaled_outline(shape.outline, k), shape.thickness * k)
        case Blade():
            forms = tuple(_scaled_form(form, k) for form in shape.forms)
            return Blade(_scaled_outline(shape.planform, k), shape.thickness * k, forms)
        case Ruled():
            section = _scaled_outline(shape.section, k)
            return Ruled(section, shape.from_y * k, shape.to_y * k, shape.ratio, shape.sweep * k)
        case RadialFeature():
            return RadialFeature(
                shape.station * k,
                shape.roll,
                _scaled_outline(shape.outline, k),
                shape.from_radius * k,
                shape.to_radius * k,
            )
        case Array():
            return Array(_scaled(shape.shape, k), shape.count)
        case Fused():
            return Fused(tuple(_scaled(member, k) for member in shape.members))
        case Cut():
            return Cut(_scaled(shape.base, k), tuple(_scaled(tool, k) for tool in shape.tools))
        case Placed():
            x, y, z = shape.placement.move
            return Placed(_scaled(shape.shape, k), Placement(shape.placement.turn, (x * k, y * k, z * k)))


def _scaled_form(item: EdgeForm, k: float) -> EdgeForm:
    form: Rounded | Bevelled
    if isinstance(item.form, Rounded):
        form = Rounded(item.form.radius * k)
    else:
        form = replace(item.form, depth=item.form.depth * k, land=item.form.land * k)
    return EdgeForm(item.edge, form, item.clearance_start * k, item.clearance_end * k)


def _scaled_outline(outline: Outline, k: float) -> Outline:
    return Outline(_scaled_loop(outline.outer, k), tuple(_scaled_loop(hole, k) for hole in outline.holes))


def _scaled_loop(loop: Loop, k: float) -> Loop:
    return tuple(Edge(_scaled_piece(edge.piece, k), edge.role) for edge in loop)


def _scaled_piece(piece: Piece, k: float) -> Piece:
    def at(point: Point) -> Point:
        return (point[0] * k, point[1] * k)

    match piece:
        case Line():
            return Line(at(piece.start), at(piece.end))
        case Arc():
            return replace(piece, centre=at(piece.centre), radius=piece.radius * k)
        case EllipseArc():
            return replace(piece, centre=at(piece.centre), semi_x=piece.semi_x * k, semi_y=piece.semi_y * k)
        case Bezier():
            return Bezier(tuple(at(pole) for pole in piece.poles))
