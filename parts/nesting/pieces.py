"""What is nested, on what, and what comes of it.

A sheet lies with its length along x and its width along y, its lower left corner at the origin. Lengths in [mm], angles
in [rad], areas in [mm2].
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ..errors import PartError
from ..shape import Outline, signed_area

SAME_THICKNESS = 0.05
"""A sheet serves a piece whose thickness differs from its own by no more than this [mm]."""

SIDE = 5000.0
"""Longest side of a sheet [mm]."""


@dataclass(frozen=True, slots=True)
class NestPiece:
    """A piece to cut.

    Attributes:
        name: what it is called; unique among those that are nested together.
        outline: what is cut [mm], with the kerf in it where the file shall have it.
        material: what it is cut from; None where it is not stated.
        thickness: thickness of its sheet [mm].
        count: how many of it [-].
        grain: direction of its grain in the outline's own coordinates [rad]; None where any will do.
        batch: pieces of different batches share no sheet, such as those for different cutters.

    Raises:
        PartError: a size is out of its range.
    """

    name: str
    outline: Outline
    material: str | None
    thickness: float
    count: int = 1
    grain: float | None = None
    batch: str = ""

    def __post_init__(self) -> None:
        if self.count < 1:
            raise PartError(f"count: {self.count} of {self.name!r} must be at least 1")
        if not 0.0 < self.thickness < math.inf:
            raise PartError(f"thickness: {self.thickness:g} mm of {self.name!r} must be above 0 mm")
        if self.grain is not None and not math.isfinite(self.grain):
            raise PartError(f"grain: of {self.name!r} must be a number, got {self.grain}")

    @property
    def area(self) -> float:
        """Area between its rim and its holes [mm2]."""
        return sum(signed_area(loop) for loop in self.outline.loops)


@dataclass(frozen=True, slots=True)
class SheetStock:
    """A sheet as it is to be had.

    Attributes:
        name: what it is called.
        material: what it is.
        thickness: its thickness [mm].
        width: side along y as it lies on the machine [mm].
        length: side along x [mm].
        grain: the side that its grain runs along; None where that is not stated.
        margin: what stays free along its rim [mm].
        gap: least distance of two pieces, which is also that of a piece in a hole from the rim of the hole [mm].
        quantity: how many there are [-]; None for as many as it takes.

    Raises:
        PartError: a size is out of its range, or the margins leave nothing.
    """

    name: str
    material: str
    thickness: float
    width: float
    length: float
    grain: Literal["length", "width"] | None = None
    margin: float = 5.0
    gap: float = 4.0
    quantity: int | None = None

    def __post_init__(self) -> None:
        for name in ("thickness", "width", "length"):
            if not 0.0 < getattr(self, name) <= SIDE:
                raise PartError(
                    f"{name}: of the sheet {self.name!r} must be above 0 mm, at most {SIDE:g} mm, got "
                    f"{getattr(self, name):g} mm"
                )
        for name in ("margin", "gap"):
            if not 0.0 <= getattr(self, name) <= 100.0:
                raise PartError(
                    f"{name}: of the sheet {self.name!r} must be at least 0 mm, at most 100 mm, got "
                    f"{getattr(self, name):g} mm"
                )
        if 2.0 * self.margin >= min(self.width, self.length):
            raise PartError(
                f"margin: {self.margin:g} mm on every side leaves nothing of the sheet {self.name!r}, "
                f"{self.length:g} x {self.width:g} mm"
            )
        if self.quantity is not None and self.quantity < 1:
            raise PartError(f"quantity: {self.quantity} of the sheet {self.name!r} must be at least 1")

    @property
    def area(self) -> float:
        """Its area [mm2]."""
        return self.width * self.length

    @property
    def grain_turn(self) -> float:
        """Direction of its grain [rad]; along its length where none is stated."""
        return math.pi / 2.0 if self.grain == "width" else 0.0

    def serves(self, piece: NestPiece) -> bool:
        """Whether a piece may be cut from it, by material and thickness."""
        # A hair more than the limit, for what a subtraction of decimals leaves.
        return self.material == piece.material and abs(self.thickness - piece.thickness) <= SAME_THICKNESS + 1e-9


@dataclass(frozen=True, slots=True)
class Laid:
    """A piece in its place.

    Attributes:
        piece: the piece.
        number: which of its kind it is, from 1 [-].
        x: move along the sheet's length [mm] ...
        y: ... and along its width [mm], after a turn about the outline's own origin.
        turn: that turn [rad].
    """

    piece: NestPiece
    number: int
    x: float
    y: float
    turn: float

    def outline(self) -> Outline:
        """The outline in the sheet's coordinates [mm]."""
        return self.piece.outline.placed(self.x, self.y, self.turn)


@dataclass(frozen=True, slots=True)
class NestedSheet:
    """One sheet with what is cut from it.

    Attributes:
        stock: the sheet.
        batch: the batch that it is of.
        number: which of its stock and batch it is, from 1 [-].
        count: how many of those there are [-].
        laid: the pieces in the order of cutting: what lies in a hole of another comes before that one.
        used: length of the strip that is used up, from x = 0, with the margin behind the last piece [mm].
        method: how the places were found.
    """

    stock: SheetStock
    batch: str
    number: int
    count: int
    laid: tuple[Laid, ...]
    used: float
    method: str

    @property
    def area_of_parts(self) -> float:
        """Area of its pieces without their holes [mm2]."""
        return sum(one.piece.area for one in self.laid)

    @property
    def utilisation(self) -> float:
        """Area of the pieces over that of the sheet [-]."""
        return self.area_of_parts / self.stock.area

    @property
    def strip_utilisation(self) -> float:
        """Area of the pieces over that of the strip that is used up [-]."""
        return self.area_of_parts / (self.used * self.stock.width)

    @property
    def rest(self) -> tuple[float, float]:
        """Length and width of what is left behind the strip [mm]."""
        return self.stock.length - self.used, self.stock.width


@dataclass(frozen=True, slots=True)
class NotPlaced:
    """Pieces that lie on no sheet.

    Attributes:
        piece: the piece.
        count: how many of it [-].
        reason: why, and what would help.
    """

    piece: NestPiece
    count: int
    reason: str


@dataclass(frozen=True, slots=True)
class Nest:
    """What comes of nesting.

    Attributes:
        sheets: the sheets, in the order of their stock.
        not_placed: what lies on none of them.
    """

    sheets: tuple[NestedSheet, ...]
    not_placed: tuple[NotPlaced, ...]
