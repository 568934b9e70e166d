"""The figures of one piece to print: its size on the bed, its mass, its walls in lines, what hangs over nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ..parts.errors import PartError
from ..parts.machine import Printer
from ..parts.print_defaults import print_defaults
from ..parts.readers.integrals import moments
from ..parts.shape import Placement, Shape
from ..parts.tables import material as material_of
from ..parts.tables import softening
from .material_checks import REFUSED_BELOW
from .overhangs import Overhangs, overhangs
from .printed_size import printed_size

_WHOLE = 0.02
"""A wall this near to a whole number of lines is one [-]: no printer comes nearer."""


@dataclass(frozen=True, slots=True)
class PrintedMass:
    """Mass of a print as it is to be expected.

    Attributes:
        amount: the estimate [g].
        low: with every doubt on the light side [g].
        high: with every doubt on the heavy side [g].
        shell: of it, what is printed full [g].
        infill: of it, what is filled in part [g].
        method: how it was found, and what the band is of.
    """

    amount: float
    low: float
    high: float
    shell: float
    infill: float
    method: str


@dataclass(frozen=True, slots=True)
class WallLines:
    """A wall in lines side by side.

    Attributes:
        name: which wall.
        thickness: how thick it is [mm].
        line: width of a line [mm].
        lines: how many lines it is wide [-].
        source: where the width of the line comes from.
    """

    name: str
    thickness: float
    line: float
    lines: float
    source: str

    @property
    def whole(self) -> int | None:
        """The number of lines where it is a whole one [-]; None between two."""
        nearest = round(self.lines)
        return nearest if nearest and abs(self.lines - nearest) <= _WHOLE else None

    @property
    def between(self) -> tuple[int, int]:
        """The whole numbers of lines at or on both sides of it [-]."""
        if self.whole is not None:
            return self.whole, self.whole
        return math.floor(self.lines), math.ceil(self.lines)


@dataclass(frozen=True, slots=True)
class Room:
    """What a printer has more than a piece needs, as the piece lies; below 0 it is too little.

    Attributes:
        printer: what the printer is called.
        width: left of the bed's width [mm].
        depth: left of the bed's depth [mm].
        height: left of the height [mm].
    """

    printer: str
    width: float
    depth: float
    height: float

    @property
    def fits(self) -> bool:
        """True where the piece goes on the printer."""
        return min(self.width, self.depth, self.height) >= -1e-9


@dataclass(frozen=True, slots=True)
class PrintNotes:
    """The figures of one piece, nominal sizes.

    Attributes:
        name: what the piece is called, such as `1 of 3`.
        height: height on the bed [mm].
        width: width of the box round it, as it lies [mm].
        depth: depth of that box [mm].
        is_round: True where it stands on end and is round, so that width and depth are its diameter.
        volume: volume [mm3].
        material: what it is printed of; None where it is not stated.
        mass: the estimate; None where neither material nor density is stated.
        walls: its walls in lines.
        overhangs: what hangs over nothing, and holes through standing walls.
        room: what the printer has to spare; None where no printer is stated.
        refused: why it must not be made of this material; None where nothing says so.
        tip: what is to be said about its tip; empty for a piece without one.
        cautions: what to mind with this material.
    """

    name: str
    height: float
    width: float
    depth: float
    is_round: bool
    volume: float
    material: str | None
    mass: PrintedMass | None
    walls: tuple[WallLines, ...]
    overhangs: Overhangs
    room: Room | None
    refused: str | None
    tip: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Core:
    """What of a solid piece is filled in part.

    Attributes:
        volume: volume of the core [mm3].
        infill: share of it that is filled [-], from 0 to 1.
    """

    volume: float
    infill: float

    def __post_init__(self) -> None:
        if not 0.0 <= self.infill <= 1.0:
            raise PartError(f"infill: {self.infill:g} must be from 0 to 1")
        if not 0.0 <= self.volume < math.inf:
            raise PartError(f"the volume of a core must be at least 0 mm3, got {self.volume:g} mm3")


def print_notes(
    name: str,
    shape: Shape,
    pose: Placement,
    material: str | None = None,
    printer: Printer | None = None,
    walls: Mapping[str, float] | None = None,
    *,
    density: float | None = None,
    line_width: float | None = None,
    core: Core | None = None,
    tip_radius: float | None = None,
    refused: str | None = None,
) -> PrintNotes:
    """The figures of one piece to print.

    Args:
        name: what the piece is called.
        shape: the piece, nominal.
        pose: motion to the bed's frame, z up.
        material: name of its material in the table; None where it is not stated.
        printer: the printer that it is meant for; None for none.
        walls: thickness of each wall [mm] by what it is called.
        density: density [g/mm3], where the table's is not the one in hand.
        line_width: width of a line [mm] where it is stated; else the printer's nozzle, else 0.4 mm (common practice).
        core: what of a solid piece is filled in part; None for a piece that is printed as modelled.
        tip_radius: radius of the tip [mm], 0 for a sharp one, infinite for a flat one; None for a piece without a tip.
        refused: why a check refuses the piece in this material; None where none does.

    Raises:
        PartError: a wall or a line is not wider than 0, or the core is larger than the piece.
        UnknownMaterialError: there is no such material in the table.
    """
    volume = moments(shape).volume
    width, depth, height, is_round = printed_size(shape, pose)
    return PrintNotes(
        name=name,
        height=height,
        width=width,
        depth=depth,
        is_round=is_round,
        volume=volume,
        material=material,
        mass=printed_mass(volume, material, density, core),
        walls=tuple(wall_lines(word, thickness, printer, line_width) for word, thickness in (walls or {}).items()),
        overhangs=overhangs(shape, pose),
        room=_room(printer, width, depth, height),
        refused=refused,
        tip="" if tip_radius is None else _tip(tip_radius),
        cautions=tuple(_cautions(material)),
    )


def printed_mass(
    volume: float, material: str | None, density: float | None = None, core: Core | None = None
) -> PrintedMass | None:
    """Mass of a print: the shell at full density, and the share of the core that is filled.

    The band takes every doubt the same way: density of the material as the table has it, walls +-3 % and infill +-10 %
    of their own mass (common practice; rows `wall-mass` and `infill-mass` of print_defaults.csv).

    Args:
        volume: volume of the whole piece [mm3].
        material: name in the table; None where it is not stated.
        density: density [g/mm3] that is stated; it has no band of its own.
        core: what is filled in part; None for none.

    Returns:
        The estimate; None where neither material nor density is stated.

    Raises:
        PartError: the core is larger than the piece.
        UnknownMaterialError: there is no such material in the table.
    """
    core = core or Core(0.0, 1.0)
    if core.volume > volume * (1.0 + 1e-9):
        raise PartError(f"a core of {core.volume:.6g} mm3 is larger than its piece of {volume:.6g} mm3")
    if density is not None:
        least = usual = most = density
        words = f"density as stated, {1e6 * density:.4g} kg/m3"
    elif material is not None:
        row = material_of(material)
        least, usual, most = row.low, row.density, row.high
        words = (
            f"density of {row.name} {1e6 * usual:.4g} kg/m3, {1e6 * least:.4g} to {1e6 * most:.4g} ({row.source}; "
            f"{row.mark})"
        )
    else:
        return None
    full, filled = volume - core.volume, core.volume * core.infill
    wall, inside = print_defaults()["wall-mass"], print_defaults()["infill-mass"]
    method = f"volume x {words}; walls +-{100.0 * wall.amount:g} % ({wall.mark})"
    if core.volume > 0.0:
        method = (
            f"shell {full / 1000.0:.4g} cm3 + {100.0 * core.infill:.3g} % of a core of {core.volume / 1000.0:.4g} cm3, "
            f"{method}, infill +-{100.0 * inside.amount:g} % ({inside.mark})"
        )
    return PrintedMass(
        amount=usual * (full + filled),
        low=least * (full * (1.0 - wall.amount) + filled * (1.0 - inside.amount)),
        high=most * (full * (1.0 + wall.amount) + filled * (1.0 + inside.amount)),
        shell=usual * full,
        infill=usual * filled,
        method=method,
    )


def wall_lines(
    name: str, thickness: float, printer: Printer | None = None, line_width: float | None = None
) -> WallLines:
    """A wall in lines of the printer.

    Args:
        name: which wall.
        thickness: how thick it is [mm].
        printer: its nozzle gives the width of a line where `line_width` does not.
        line_width: width of a line [mm].

    Raises:
        PartError: the wall or the line is not wider than 0.
    """
    if line_width is not None:
        line, source = line_width, "as stated"
    elif printer is not None and printer.nozzle is not None:
        line, source = printer.nozzle, f"nozzle of {printer.name}"
    else:
        usual = print_defaults()["nozzle"]
        line, source = usual.amount, f"nozzle not stated; {usual.amount:g} mm is usual, {usual.mark}"
    for word, value in ((name, thickness), ("line_width", line)):
        if not 0.0 < value < math.inf:
            raise PartError(f"{word}: must be above 0 mm, got {value:g} mm")
    return WallLines(name, thickness, line, thickness / line, source)


def _room(printer: Printer | None, width: float, depth: float, height: float) -> Room | None:
    if printer is None:
        return None
    return Room(printer.name, printer.width - width, printer.depth - depth, printer.height - height)


def _tip(radius: float) -> str:
    row = print_defaults()["tip-radius"]
    least = f"a tip prints cleanly from about {row.amount:g} mm radius ({row.mark})"
    if radius <= 0.0:
        return f"sharp: {least}; a sharp one ends in layers too small to cool, and breaks: round it"
    if radius < row.amount:
        return f"{radius:.3g} mm radius: {least}; this one is sharper: print it slowly, or round it more"
    return f"{radius:.3g} mm radius: {least}" if math.isfinite(radius) else f"flat: {least}"


def _cautions(material: str | None) -> Iterator[str]:
    if material is None:
        yield "material not stated: what it weighs and when it softens is not known"
        return
    row = softening().get(material_of(material).name)
    if row is None:
        if material_of(material).is_plastic:
            yield f"{written(material)}: the table does not say when it softens; ask its maker before it lies in a car"
        return
    if row.temperature < REFUSED_BELOW:
        yield (
            f"{written(material)} softens near {row.temperature:g} °C ({row.source}; {row.mark}), less than a parked "
            "car reaches: do not leave it in one; another material for anything that travels"
        )
    else:
        yield (
            f"{written(material)} softens near {row.temperature:g} °C ({row.source}; {row.mark}): keep it out of the "
            "sun behind glass"
        )


def written(material: str) -> str:
    """Name of a plastic as it is written, such as `PLA`."""
    name = material_of(material).name
    return name.upper() if len(name) <= 4 else name
