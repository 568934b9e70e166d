"""What is done to an edge of a fin, as a person writes it: as cut, rounded or bevelled."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import PlainSerializer, PlainValidator

from ..errors import PartError, QuantityError
from ..quantity import Dimension, exact, parse, show
from ..shape import Bevelled, Rounded


@dataclass(frozen=True, slots=True)
class EdgeWork:
    """How an edge is worked, as it is stated; what follows from the thickness is worked out where it is known.

    Attributes:
        way: what is done to it.
        radius: radius of a round [mm]; None for half the thickness.
        depth: how far a bevel reaches in from the rim, square to the edge [mm]; None where it follows.
        land: thickness that a bevel leaves at the rim [mm]; None where it follows.
        angle: bevelled face to flat face [rad]; None where it follows.
        sides: faces that are bevelled, 1 or 2 [-].
    """

    way: Literal["as cut", "round", "bevel"] = "as cut"
    radius: float | None = None
    depth: float | None = None
    land: float | None = None
    angle: float | None = None
    sides: Literal[1, 2] = 2

    def __str__(self) -> str:
        """As a person would write it."""
        return self._written(show)

    def exactly(self) -> str:
        """The text that reads back as the very same value."""
        return self._written(exact)

    def _written(self, number: Callable[[float, Dimension], str]) -> str:
        if self.way == "round":
            return "round" if self.radius is None else f"round {number(self.radius, 'length')}"
        if self.way == "as cut":
            return "as cut"
        words = [number(self.depth, "length")] if self.depth is not None else []
        words += [number(self.angle, "angle")] if self.angle is not None else []
        words += [f"land {number(self.land, 'length')}"] if self.land is not None else []
        words += ["one side"] if self.sides == 1 else []
        return f"bevel {', '.join(words)}"

    def form(self, thickness: float) -> Rounded | Bevelled | None:
        """What is worked on a fin of some thickness [mm]; None for an edge as cut.

        Raises:
            PartError: a radius above half the thickness, a land that is none, or a bevel without depth.
        """
        if self.way == "as cut":
            return None
        if self.way == "round":
            radius = thickness / 2.0 if self.radius is None else self.radius
            if radius > thickness / 2.0:
                raise PartError(f"a round of {radius:g} mm is more than half the thickness of {thickness:g} mm")
            return Rounded(radius)
        slope = None if self.angle is None else math.tan(self.angle)
        depth, land = self.depth, self.land
        if land is not None and land >= thickness:
            raise PartError(f"a land of {land:g} mm leaves nothing to bevel of a thickness of {thickness:g} mm")
        if depth is None:
            assert slope is not None and land is not None  # noqa: PT018, S101  two of the three are stated
            depth = (thickness - land) / self.sides / slope
        elif land is None:
            assert slope is not None  # noqa: S101  two of the three are stated
            land = thickness - self.sides * depth * slope
            if land < 0.0:
                raise PartError(
                    f"a bevel of {show(self.angle or 0.0, 'angle', digits=1)} over {depth:g} mm takes more than the "
                    f"thickness of {thickness:g} mm; at most {thickness / self.sides / slope:.2f} mm do not"
                )
        return Bevelled(depth, land, self.sides)


AS_CUT = EdgeWork()
"""An edge that is not worked."""

_HOW = (
    "write 'as cut', 'round', 'round 1.5 mm', or 'bevel' with two of depth, angle and land such as "
    "'bevel 12 mm, land 1.3 mm', 'bevel 12 mm, 8 deg' or 'bevel 8 deg, land 1.3 mm', and 'one side' if it is on one"
)
_STEEPEST = math.radians(80.0)
_DEEPEST = 500.0


def read_edge_work(value: object) -> EdgeWork:
    """How an edge is worked, from its text.

    Raises:
        ValueError: it is not a text, or says nothing that can be done to an edge.
    """
    if isinstance(value, EdgeWork):
        return value
    if not isinstance(value, str):
        raise ValueError(f"{value!r} is not a text; write it in quotes: 'as cut', 'round' or 'bevel 12 mm, land 1 mm'")
    found = re.fullmatch(r"\s*(as[ -]cut|round|bevel)\b\s*(.*?)\s*", value, re.IGNORECASE | re.DOTALL)
    if found is None:
        raise ValueError(f"{value!r} is nothing that is done to an edge; {_HOW}")
    items = [item.strip() for item in found[2].split(",")] if found[2] else []
    match found[1].lower():
        case "round":
            return _round(value, items)
        case "bevel":
            return _bevel(value, items)
        case _:
            if items:
                raise ValueError(f"{value!r}: an edge as cut has no sizes")
            return AS_CUT


def _round(text: str, items: Sequence[str]) -> EdgeWork:
    if any(item.lower() == "one side" for item in items):
        raise ValueError(f"{text!r}: a round is on both corners of an edge; a bevel may be on one side")
    if len(items) > 1:
        raise ValueError(f"{text!r}: a round has one radius; {_HOW}")
    return EdgeWork("round", radius=_within(items[0], "length", _DEEPEST, "the radius") if items else None)


def _bevel(text: str, items: Sequence[str]) -> EdgeWork:
    sizes: dict[str, float] = {}
    sides: Literal[1, 2] = 2
    for item in items:
        words = item.lower()
        if words in ("one side", "both sides"):
            sides = 1 if words == "one side" else 2
            continue
        name, size = _size(item)
        if name in sizes:
            raise ValueError(f"{text!r} states its {name} twice")
        sizes[name] = size
    if len(sizes) != 2:
        raise ValueError(f"{text!r} states {' and '.join(sizes) or 'no size'}; {_HOW}")
    return EdgeWork("bevel", depth=sizes.get("depth"), land=sizes.get("land"), angle=sizes.get("angle"), sides=sides)


def _size(item: str) -> tuple[str, float]:
    if item.lower().startswith("land"):
        return "land", _within(item[4:], "length", _DEEPEST, "the land", zero=True)
    try:
        parse(item, "angle")
    except QuantityError:
        return "depth", _within(item, "length", _DEEPEST, "the depth")
    return "angle", _within(item, "angle", _STEEPEST, "the angle")


def _within(text: str, dimension: Dimension, most: float, what: str, zero: bool = False) -> float:
    value = parse(text, dimension)
    if not (0.0 <= value <= most if zero else 0.0 < value <= most):
        least = "at least" if zero else "above"
        raise ValueError(
            f"{what} of an edge must be {least} {show(0.0, dimension)} and at most {show(most, dimension)}, "
            f"got {show(value, dimension)}"
        )
    return value


WorkOfEdge = Annotated[
    EdgeWork, PlainValidator(read_edge_work), PlainSerializer(lambda value: value.exactly(), return_type=str)
]
"""How an edge is worked; a model with it round-trips."""
