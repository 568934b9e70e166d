"""A printed ring with a guide for the drill at each hole of one row round a tube."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ..errors import PartError
from ..poses import FLAT, STANDING
from ..shape import Cut, Fused, Outline, Placement, RadialFeature, Shape, circle, polygon
from .collar import Collar, gaps
from .jig import Jig, ToPrint, TubeInHand, writable

GUIDE_OVER_HOLE = 0.1
"""How much wider a guide is than the hole, on diameter [mm] (common practice)."""

FROM_END = 80.0
"""A hole nearer to a tube's end than this is set off from that end [mm]."""

BESIDE_LINE = 15.0
"""From the face that is set on a line to the holes [mm]."""

OVER = 6.0
"""How far a boss stands out of the ring [mm]."""

_AROUND = 4.0
_BEYOND = 8.0
_NOTCH = (1.8, 2.5)
_LEAST = 3.0
_PAST = 1.0

End = Literal["forward", "aft"]


@dataclass(frozen=True, slots=True)
class Row:
    """A row of holes round a tube.

    Attributes:
        what: what the holes are for, such as `rail button`.
        diameter: diameter of each [mm].
        rolls: roll of each [rad].
        places: the tube's forward end to the middle of the row, for each of such rows [mm].
    """

    what: str
    diameter: float
    rolls: tuple[float, ...]
    places: tuple[float, ...]

    def end(self, length: float) -> tuple[End, float] | None:
        """The end that the row is set off from, and how far [mm]; None where it is set on a line.

        Args:
            length: length of the tube [mm].
        """
        if len(self.places) > 1:
            return None
        (place,) = self.places
        nearer: tuple[End, float] = ("forward", place) if place <= length / 2.0 else ("aft", length - place)
        return nearer if nearer[1] < FROM_END else None


def drill_guide(name: str, tube: TubeInHand, row: Row, words: tuple[str, str]) -> Jig:
    """The guide for one row of holes.

    Args:
        name: what files call it.
        tube: the tube.
        row: the holes.
        words: what is written on it: the design and the fingerprint.

    Raises:
        PartError: the holes are too large for the tube, or too near to its end.
    """
    end = row.end(tube.length)
    half = (row.diameter + GUIDE_OVER_HOLE) / 2.0
    if end is not None and end[1] < half + _LEAST:
        raise PartError(
            f"place: holes of {row.diameter:g} mm, {end[1]:.3g} mm from the end of the {tube.name}, are too near to "
            f"it; a guide needs {half + _LEAST:.3g} mm"
        )
    away = end[1] if end else BESIDE_LINE
    long = away + (max(_BEYOND, half + _AROUND) if end else BESIDE_LINE)
    index: End = end[0] if end else "forward"
    station = away if index == "forward" else long - away
    ring = Collar(tube.hole, long)
    pads = tuple(_boss(ring, station, half, index, roll) for roll in row.rolls)
    guides = tuple(ring.through(Outline(circle(half, role="fit")), roll, station, OVER + _PAST) for roll in row.rolls)
    notches = tuple(ring.notch(0.0, *_NOTCH, aft=aft, outwards=OVER + _PAST) for aft in (False, True))
    shape: Shape = Cut(Fused((ring.shape(), *pads)), (Fused((*guides, *notches)),))
    shape = _written(shape, ring, row, half, words, index if end else None)
    pose: Placement = FLAT if index == "forward" else STANDING.at(long)
    return Jig(
        name,
        f"drilling guide for {_counted(row)} in the {tube.name}",
        f"Print it standing on its index face, the {index} one, no support, of any plastic. Run the drill through each "
        "guide by hand once, to clear it.",
        _use(tube, row, end, index),
        "Before drilling measure from the "
        + (
            f"{end[0]} end of the tube to the middle of a guide: {end[1]:.1f} mm."
            if end
            else f"index face to the middle of a guide: {BESIDE_LINE:g} mm."
        ),
        (
            ("bore", tube.hole_words()),
            (
                "guides",
                f"{2.0 * half:.2f} mm: the hole, {row.diameter:.2f} mm, and {GUIDE_OVER_HOLE:g} mm; "
                f"{len(row.rolls)} at roll {', '.join(f'{math.degrees(roll):.4g}°' for roll in row.rolls)}, clockwise "
                "from the rail line seen from behind",
            ),
            ("index face to the guides", f"{away:.2f} mm"),
        ),
        (ToPrint("", shape, pose),),
        (),
        words[-1],
    )


def _boss(ring: Collar, station: float, half: float, index: End, roll: float) -> RadialFeature:
    """A boss round a guide, which grows from the index face so that nothing hangs over the bed."""
    side = half + _AROUND
    low, high = (0.0, station + side) if index == "forward" else (station - side, ring.length)
    low, high = max(low, 0.0), min(high, ring.length)
    # It begins in the wall, clear of what a printer's own correction moves of the bore.
    return RadialFeature(
        0.0,
        roll,
        Outline(polygon(((low, -side), (high, -side), (high, side), (low, side)))),
        ring.inner + 1.0,
        ring.outer + OVER,
    )


def _written(shape: Shape, ring: Collar, row: Row, half: float, words: tuple[str, str], end: End | None) -> Shape:
    """What it is for, which way round it goes, and of which design, in the widest gap between bosses."""
    face = f"INDEX ON {end.upper()} END" if end else "INDEX ON LINE"
    first, *rest = writable((f"{row.what.upper()} {row.diameter:g}", face, " ".join(words))) or ("",)
    if not first:
        return shape
    taken = (half + _AROUND) / ring.outer
    rooms = sorted(gaps((0.0, *row.rolls)), key=lambda one: (-round(one[1], 6), one[0]))
    high = 5.0
    # As many lines one above the other as the ring is long; the rest in the next gap.
    rows = max(1, int((ring.length - 2.0 * _NOTCH[1] - 1.0) // (high + 2.0)))
    lines = [first, *rest]
    for roll, wide in rooms:
        here, lines = lines[:rows], lines[rows:]
        start = ring.length / 2.0 - (len(here) - 1) * (high + 2.0) / 2.0
        for number, text in enumerate(here):
            room = (wide - 2.0 * taken) * ring.outer - 2.0
            shape = ring.written(shape, text, start + number * (high + 2.0), roll, room, high)
    return ring.written(shape, "^ FWD", ring.length / 2.0, 2.0 * taken, 12.0, 4.0) if len(row.rolls) < 2 else shape


def _counted(row: Row) -> str:
    count = len(row.rolls)
    return f"the {row.what} hole" if count == 1 else f"the {count} {row.what} holes"


def _use(tube: TubeInHand, row: Row, end: tuple[End, float] | None, index: End) -> str:
    if end:
        where = (
            f"Slide it over the {end[0]} end of the {tube.name} until its index face, the {index} one, is flush with "
            f"that end: stand both on a flat table. The holes are {end[1]:.1f} mm from the end. "
        )
    else:
        lines = " and ".join(f"{place - BESIDE_LINE:.1f} mm" for place in row.places)
        where = (
            f"Draw a line round the {tube.name} {lines} from its forward end and slide the guide on until its index "
            f"face, the forward one, lies on the line: the hole is {BESIDE_LINE:g} mm behind it. "
        )
    return (
        f"{where}Turn it until the notches in both faces lie on the rail line, and tape it to the tube. Drill "
        f"through each guide with a sharp drill of {row.diameter:g} mm, square to the wall and without force. What is "
        "to be drilled together with the tube, such as a shoulder or a coupler, is in its place and cannot "
        "turn. Take the guide off and smooth the edge of each hole. Eye protection on; nothing loose near the drill."
    )
