"""What a nose carries for recovery and balance: a seat for a plywood plate, a rod on the axis, dowels and ballast.

The harness pulls on metal that goes through plywood or is bedded on a rod: a printed loop is never an anchor, and this
kind has none.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal, NamedTuple

import numpy as np
from pydantic import AfterValidator, Field

from ..chain import Chain, crossings, cut
from ..envelope import radius_at
from ..errors import PartError
from ..hardware import (
    ClearanceHole,
    HexNut,
    ThreadedRod,
    UnifiedScrew,
    UnknownHardwareError,
    Washer,
    sized,
)
from ..params import Count, Length, Mass
from ..part import Carried, Part
from ..shape import Outline, Placed, Placement, Plate, circle
from ..tables import material

ROD_SIZES = ("M4", "M5", "M6", "M8", "1/4-20")
"""Threads of rods that noses of this size carry (common practice)."""

_OUT = 15.0
"""How far a rod stands out of the rear where its length is not stated [mm]: a plate, a washer and an eye nut."""

_BED = 3.0
"""Material round the forward end of a rod's hole where its place is not stated [mm] (common practice)."""

_BED_LENGTH = 4.0
"""Least length over which a rod is bedded in epoxy, in its own diameters [-] (common practice)."""

_CLEAR = 1.0
"""Material that stays beside a dowel [mm] (common practice)."""

_PLAY = 0.5
"""Between a washer and the inside of the nose [mm] (common practice)."""

_HEAVIEST = 11.35e-3
"""Density of lead [g/mm3], the densest ballast that is usual (from memory)."""

_LEAST_REST = 1.0
"""Width of the shelf of a recess on which a plate rests at least [mm] (common practice)."""

_LEAST_WALL = 1.2
"""Wall that must stay outside the recess for a plate [mm]: three lines of a 0.4 mm nozzle (common practice)."""


def _known_rod(value: str) -> str:
    text = value.strip().upper().replace("MM", "")
    found = next(
        (size for size in ROD_SIZES if text in (size, size.partition("-")[0], f"{size.partition('-')[0]} IN")), None
    )
    if found is None:
        raise ValueError(f"{value!r} is not among {', '.join(ROD_SIZES)}")
    return found


def _known_washer(value: str) -> str:
    try:
        return sized(Washer, value).size
    except UnknownHardwareError as error:
        raise ValueError(str(error)) from None


class Bore(NamedTuple):
    """A round hole on the axis, ahead of the cavity and open to it; its forward end is a point of 45 degrees.

    A drill leaves such a point, and it prints without support.

    Attributes:
        start: station at which it is as wide as it gets [mm].
        radius: its radius [mm].
    """

    start: float
    radius: float


class NoseRecovery(Part):
    """The fields of what a nose carries."""

    plate_seat: Annotated[
        Literal["recess", "ledge"] | None,
        Field(
            description="seat for a plywood plate (a bulkhead of its own) that closes the rear: a recess in the "
            "shoulder's end, or a ledge in its bore; harness anchors are metal through that plate, never printed loops"
        ),
    ] = None
    plate_thickness: Annotated[
        Length | None, Field(gt=0, le=50, description="plate_seat: thickness of the plate, which ends flush")
    ] = None
    seat_diameter: Annotated[
        Length | None,
        Field(
            gt=0, le=500, description="plate_seat: diameter of the recess; half the shoulder's wall deep if not stated"
        ),
    ] = None
    seat_width: Annotated[
        Length, Field(gt=0, le=20, description="plate_seat: width of the ledge that the plate rests on")
    ] = 2.5
    rod_size: Annotated[
        str | None,
        AfterValidator(lambda value: None if value is None else _known_rod(value)),
        Field(description="thread of a rod on the axis, bedded in epoxy at the tip: M4, M5, M6, M8 or 1/4-20"),
    ] = None
    rod_start: Annotated[
        Length | None,
        Field(gt=0, le=3000, description="tip to the forward end of the rod's hole; as far as 3 mm of material allow"),
    ] = None
    rod_length: Annotated[
        Length | None,
        Field(gt=0, le=3000, description="length of the rod; to 15 mm behind the rear if not stated"),
    ] = None
    dowel_diameter: Annotated[
        Length | None,
        Field(gt=0, le=20, description="diameter of holes right across the tip, for dowels that bed the rod"),
    ] = None
    dowel_distances: Annotated[
        tuple[Annotated[Length, Field(gt=0, le=3000)], ...],
        Field(max_length=6, description="tip to the middle of each dowel; every second one lies across the first"),
    ] = ()
    washer_count: Annotated[
        Count, Field(ge=0, le=200, description="ballast: steel washers in a stack on the rod, between two nuts")
    ] = 0
    washer_size: Annotated[
        str | None,
        AfterValidator(lambda value: None if value is None else _known_washer(value)),
        Field(description="ballast: size of those washers, ISO 7089; that of the rod if not stated"),
    ] = None
    washer_distance: Annotated[
        Length | None,
        Field(gt=0, le=3000, description="ballast: tip to the forward end of the stack; as far forward as it fits"),
    ] = None
    pocket_diameter: Annotated[
        Length | None, Field(gt=0, le=300, description="ballast: diameter of a pocket on the axis, open to the rear")
    ] = None
    pocket_length: Annotated[Length | None, Field(gt=0, le=1000, description="ballast: length of that pocket")] = None
    ballast_mass: Annotated[
        Mass | None,
        Field(gt=0, le=1e5, description="ballast: what is put into the pocket and held by the rod's nut or a plate"),
    ] = None

    # --- seat --------------------------------------------------------------------------------------------------------

    def seat(self, outside: float, bore: float) -> tuple[float, float]:
        """Radius of the plate's seat and of the opening that it rests on [mm].

        Args:
            outside: radius of the shoulder's outside [mm].
            bore: radius of its bore [mm].

        Raises:
            PartError: a size is missing, or does not go with the shoulder.
        """
        if self.plate_thickness is None:
            raise PartError("plate_thickness: is needed for the seat of a plate and not stated")
        if self.plate_seat == "ledge":
            if self.seat_diameter is not None:
                raise PartError("seat_diameter: is of a recess; a plate on a ledge is as wide as the shoulder's bore")
            if self.seat_width >= bore:
                raise PartError(f"seat_width: {self.seat_width:g} mm closes the bore of {bore:g} mm radius")
            return bore, bore - self.seat_width
        radius = (outside + bore) / 2.0 if self.seat_diameter is None else self.seat_diameter / 2.0
        least, most = bore + _LEAST_REST, outside - _LEAST_WALL
        if not least - 1e-9 <= radius <= most + 1e-9:
            field = "shoulder_wall" if self.seat_diameter is None else "seat_diameter"
            room = (
                f"at least {2.0 * least:g} mm, at most {2.0 * most:g} mm"
                if least <= most
                else f"which needs a shoulder_wall of {_LEAST_REST + _LEAST_WALL:g} mm"
            )
            raise PartError(
                f"{field}: the plate must rest on {_LEAST_REST:g} mm round the bore of {2.0 * bore:g} mm, and the "
                f"recess leave {_LEAST_WALL:g} mm of the shoulder's {2.0 * outside:g} mm: {room}; "
                "or take plate_seat = ledge"
            )
        return radius, bore

    def check_seat(self, shoulder_length: float) -> None:
        """Whether there is a seat for the sizes that are stated, and a place for it.

        Raises:
            PartError: there is not.
        """
        if self.plate_seat is None:
            for field in ("plate_thickness", "seat_diameter"):
                if getattr(self, field) is not None:
                    raise PartError(f"plate_seat: is needed for {field} and not stated; recess or ledge")
        elif shoulder_length == 0.0:
            raise PartError("plate_seat: the seat lies in the shoulder, and there is none; give shoulder_length")

    # --- on the axis -------------------------------------------------------------------------------------------------

    @property
    def rod_hole(self) -> float:
        """Diameter of the rod's hole [mm]: a medium clearance hole, which leaves room for epoxy."""
        if self.rod_size is None:
            return 0.0
        if self.rod_size.startswith("M"):
            return sized(ClearanceHole, self.rod_size).medium
        return sized(UnifiedScrew, self.rod_size).clearance_normal

    def bores(self, skin: Chain, inside: Chain, rear: float, wall: float) -> tuple[Bore, ...]:
        """The rod's hole and the pocket.

        Args:
            skin: the nose's skin.
            inside: the cavity, into which they open; empty in a solid nose, where they open at the rear.
            rear: last station of the nose [mm].
            wall: least material that must stay round them [mm].

        Raises:
            PartError: a size is missing, or they come too near the skin.
        """
        found: list[Bore] = []
        opening = inside[0].start[0] if inside else rear
        if self.rod_size is not None:
            bore = Bore(self._rod_start(skin, wall), self.rod_hole / 2.0)
            _check_round(skin, "rod_start", bore, wall)
            bed = _BED_LENGTH * rod_outside(self.rod_size)
            if opening - bore.start < bed:
                raise PartError(
                    f"solid_tip: a {self.rod_size} rod must be bedded over {bed:g} mm, and its hole reaches from "
                    f"{bore.start:.4g} to {opening:.4g} mm; give a solid_tip of {math.ceil(bore.start + bed)} mm "
                    "or more"
                )
            found.append(bore)
        for field in ("rod_start", "rod_length"):
            if self.rod_size is None and getattr(self, field) is not None:
                raise PartError(f"rod_size: is needed for {field} and not stated")
        if (self.pocket_diameter is None) != (self.pocket_length is None):
            missing = "pocket_length" if self.pocket_length is None else "pocket_diameter"
            raise PartError(f"{missing}: is needed for the pocket and not stated")
        if self.pocket_diameter is not None and self.pocket_length is not None:
            if self.pocket_diameter <= self.rod_hole:
                raise PartError(
                    f"pocket_diameter: {self.pocket_diameter:g} mm is not above that of the rod's hole, "
                    f"{self.rod_hole:g} mm"
                )
            bore = Bore(self._pocket_end(inside, rear) - self.pocket_length, self.pocket_diameter / 2.0)
            _check_round(skin, "pocket_length", bore, wall)
            found.append(bore)
        elif self.ballast_mass is not None:
            raise PartError("pocket_diameter: is needed for ballast_mass and not stated")
        return tuple(found)

    def _pocket_end(self, inside: Chain, rear: float) -> float:
        """Station at which the pocket opens: where the cavity is as wide, or the rear of a solid nose [mm].

        Raises:
            PartError: the cavity is nowhere so wide.
        """
        if not inside:
            return rear
        radius = (self.pocket_diameter or 0.0) / 2.0
        found = crossings(inside, lambda points: points[:, 1] - radius)
        if not found:
            raise PartError(f"pocket_diameter: {2.0 * radius:g} mm is wider than the cavity anywhere")
        return float(cut(inside, found[0], None)[0].start[0])

    def _rod_start(self, skin: Chain, wall: float) -> float:
        """Station at which the rod begins [mm]: as stated, else as far forward as the material round it allows.

        Raises:
            PartError: there is no such place.
        """
        if self.rod_start is not None:
            return self.rod_start
        need, radius = max(wall, _BED), self.rod_hole / 2.0
        found = next((x for x in _places(skin) if _clearance(skin, Bore(x, radius)) >= need), None)
        if found is None:
            raise PartError(
                f"rod_size: the hole of {self.rod_hole:g} mm and {need:g} mm of material round it do not go into this "
                "nose; take a thinner rod"
            )
        return found

    # --- across ------------------------------------------------------------------------------------------------------

    def dowels(self, skin: Chain, opening: float) -> tuple[Placed, ...]:
        """Holes right across the tip, every second one turned by a quarter.

        Args:
            skin: the nose's skin.
            opening: station at which the cavity begins [mm].

        Raises:
            PartError: a size is missing, or a dowel is not wholly in the solid tip.
        """
        if self.dowel_diameter is None:
            if self.dowel_distances:
                raise PartError("dowel_diameter: is needed for the dowels and not stated")
            return ()
        if not self.dowel_distances:
            raise PartError("dowel_distances: is needed for the dowels and not stated")
        radius, found = self.dowel_diameter / 2.0, list[Placed]()
        # Beside the rod, touching its thread; on the axis where there is none.
        away = rod_outside(self.rod_size) / 2.0 + radius if self.rod_size else 0.0
        last = min(opening, skin[-1].end[0])
        for index, x in enumerate(self.dowel_distances):
            inside = radius < x and x + radius + _CLEAR <= last
            if not inside or radius_at(skin, x - radius) < away + radius + _CLEAR:
                raise PartError(
                    f"dowel_distances: a dowel of {self.dowel_diameter:g} mm at {x:g} mm is not wholly in the solid "
                    f"tip, which ends at {last:.4g} mm; give a longer solid_tip, or a place where the nose is wider"
                )
            if any(abs(x - other) < self.dowel_diameter + _CLEAR for other in self.dowel_distances[:index]):
                raise PartError(f"dowel_distances: dowels at {x:g} mm and beside it leave less than 1 mm between them")
            reach = radius_at(skin, x + radius) + 1.0
            side = away if index % 4 < 2 else -away
            found.append(_across(x, radius, reach, side, turned=bool(index % 2)))
        return tuple(found)

    # --- what it weighs ----------------------------------------------------------------------------------------------

    def carried_items(self, bores: tuple[Bore, ...], cavity: Chain, way_in: Chain, rear: float) -> tuple[Carried, ...]:
        """Rod, washers and what is in the pocket, as masses with a place.

        Args:
            bores: the rod's hole and the pocket, as far as it has them.
            cavity: the cavity without the bores on the axis; empty in a solid nose.
            way_in: the same before sections are joined, through which rod and washers are put in.
            rear: last station of the nose [mm].

        Raises:
            PartError: the washers do not fit, or the pocket cannot hold so much.
        """
        found: list[Carried] = []
        steel, rod_end = material("steel").density, 0.0
        if self.rod_size is not None:
            start = bores[0].start
            length = rear + _OUT - start if self.rod_length is None else self.rod_length
            area = math.pi / 4.0 * _rod_diameter(self.rod_size) ** 2
            words = f"{self.rod_size} rod, {length:.0f} mm"
            found.append(Carried("rod", words, area * length * steel, start + length / 2.0))
            self._check_way_in("rod_size", f"the {self.rod_size} rod", rod_outside(self.rod_size) / 2.0, way_in, start)
            rod_end = start + length
        if self.washer_count:
            shelf = rear - (self.plate_thickness or 0.0)
            found.append(self._washers(cavity, way_in, steel, min(rod_end, shelf)))
        elif self.washer_distance is not None or self.washer_size is not None:
            raise PartError("washer_count: is needed for a stack of washers and not stated")
        if self.ballast_mass is not None and self.pocket_diameter is not None and self.pocket_length is not None:
            ring = self.pocket_diameter**2 - self.rod_hole**2
            room = math.pi / 4.0 * ring * self.pocket_length
            if self.ballast_mass > room * _HEAVIEST:
                raise PartError(
                    f"ballast_mass: {self.ballast_mass:g} g do not go into a pocket of {room / 1000.0:.1f} cm3; of "
                    f"lead it holds {room * _HEAVIEST:.0f} g, of steel {room * steel:.0f} g"
                )
            words = f"{self.ballast_mass:g} g in the pocket of {room / 1000.0:.1f} cm3"
            found.append(Carried("ballast", words, self.ballast_mass, bores[-1].start + self.pocket_length / 2.0))
        return tuple(found)

    def _washers(self, inside: Chain, way_in: Chain, steel: float, last: float) -> Carried:
        """The stack with two nuts at each of its ends, locked against each other.

        Raises:
            PartError: it has no room, does not hold, or cannot be put in.
        """
        if self.rod_size is None:
            raise PartError("rod_size: is needed for a stack of washers, which sits on the rod; not stated")
        if not inside:
            raise PartError("washer_count: a solid nose has no room for washers on its rod; give it a pocket")
        size = self.washer_size or ("M6" if self.rod_size == "1/4-20" else self.rod_size)
        washer, (flats, height) = sized(Washer, size), _nut(self.rod_size)
        if washer.inside_diameter < rod_outside(self.rod_size):
            raise PartError(f"washer_size: {size} washers do not go over a {self.rod_size} rod")
        if flats < washer.inside_diameter + 1.0:
            raise PartError(
                f"washer_size: a {self.rod_size} nut, {flats:g} mm across, is pulled through {size} washers of "
                f"{washer.inside_diameter:g} mm inside; take those of the rod's own size"
            )
        length, nuts = self.washer_count * washer.thickness, 2.0 * height
        wide, corner = washer.outside_diameter / 2.0 + _PLAY, flats / math.sqrt(3.0) + _PLAY
        first = inside[0].start[0]

        def fits(start: float) -> bool:
            ahead, behind = start - nuts, start + length + nuts
            if ahead < first or behind > min(last, inside[-1].end[0]):
                return False
            return narrowest(inside, ahead, behind) >= corner and narrowest(inside, start, start + length) >= wide

        places = _steps(first, last) if self.washer_distance is None else (self.washer_distance,)
        start = next((x for x in places if fits(x)), None)
        if start is None:
            raise PartError(
                f"{'washer_count' if self.washer_distance is None else 'washer_distance'}: a stack of "
                f"{self.washer_count} {size} washers, {washer.outside_diameter:g} mm wide and {length:g} mm long, with "
                f"{nuts:g} mm of nuts at each end, has no room there on the rod; take fewer or "
                "smaller ones, or a pocket"
            )
        self._check_way_in("washer_size", f"a stack of {size} washers", wide - _PLAY, way_in, start)
        stack = math.pi / 4.0 * (washer.outside_diameter**2 - washer.inside_diameter**2) * length
        hexagon = flats**2 * math.sqrt(3.0) / 2.0 - math.pi / 4.0 * rod_outside(self.rod_size) ** 2
        words = f"{self.washer_count} {size} washers, {length:g} mm, and 4 nuts"
        return Carried("washers", words, (stack + 4.0 * hexagon * height) * steel, start + length / 2.0)

    def _check_way_in(self, field: str, what: str, radius: float, way_in: Chain, first: float) -> None:
        """Whether what goes on the axis passes everything behind its place.

        Raises:
            PartError: it does not.
        """
        if not way_in:
            return
        free = narrowest(way_in, max(first, way_in[0].end[0]), way_in[-1].end[0])
        if free < radius + _PLAY:
            raise PartError(
                f"{field}: {what}, {2.0 * radius:g} mm wide, does not pass the opening of {2.0 * free:.4g} mm behind "
                "its place; a narrower seat_width, or a smaller size"
            )


def narrowest(inside: Chain, first: float, last: float) -> float:
    """Smallest radius of the cavity between two stations, at their ends and at its corners [mm]."""
    corners = [piece.start[0] for piece in inside if first < piece.start[0] < last]
    return min(radius_at(inside, x) for x in (first, *corners, last))


def _nut(size: str) -> tuple[float, float]:
    """Across flats and height of the hexagon nut of a rod [mm]: ISO 4032; ASME B18.2.2 for 1/4-20 (from memory)."""
    if size == "1/4-20":
        return 7.0 / 16.0 * 25.4, 7.0 / 32.0 * 25.4
    nut = sized(HexNut, size)
    return nut.across_flats, nut.height


def _places(skin: Chain) -> tuple[float, ...]:
    """Stations of a skin in steps of half a millimetre."""
    return tuple(0.5 * step for step in range(1, int(2.0 * skin[-1].end[0])))


def _clearance(skin: Chain, bore: Bore) -> float:
    """Least distance of the forward end of a hole on the axis from the skin [mm]; below 0 where it leaves it."""
    if bore.start <= bore.radius or bore.start >= skin[-1].end[0] or radius_at(skin, bore.start) <= bore.radius:
        return -1.0
    t = np.linspace(0.0, 1.0, 9)[:, None]
    tip, corner = np.array([bore.start - bore.radius, 0.0]), np.array([bore.start, bore.radius])
    points = np.vstack([tip + t * (corner - tip), corner + t * [2.0 * bore.radius, 0.0]])
    outside = np.vstack([piece.at(np.linspace(0.0, 1.0, 200)) for piece in skin])
    return float(np.hypot(points[:, None, 0] - outside[None, :, 0], points[:, None, 1] - outside[None, :, 1]).min())


def _check_round(skin: Chain, field: str, bore: Bore, wall: float) -> None:
    """Whether enough material stays round the forward end of a hole on the axis.

    Raises:
        PartError: it does not.
    """
    # The samples of the skin lie some tenths apart, so that they are a few hundredths too far away at most.
    if bore.start < skin[-1].end[0] and _clearance(skin, bore) < wall - 0.02:
        raise PartError(
            f"{field}: a hole of {2.0 * bore.radius:g} mm whose point reaches to {bore.start - bore.radius:.4g} mm "
            f"from the tip does not leave {wall:g} mm of material round its forward end"
        )


def _steps(first: float, last: float) -> tuple[float, ...]:
    """Stations from one to another, a millimetre apart or a little less."""
    count = max(2, math.ceil(last - first) + 1)
    return tuple(first + (last - first) * i / (count - 1) for i in range(count)) if last > first else (first,)


def _rod_diameter(size: str) -> float:
    """Diameter of a plain rod as heavy as the threaded one [mm]: the pitch diameter."""
    return sized(ThreadedRod, size).pitch_diameter if size.startswith("M") else sized(UnifiedScrew, size).pitch_diameter


def rod_outside(size: str) -> float:
    """Outside diameter of the thread of a rod [mm]."""
    return sized(ThreadedRod, size).major_diameter if size.startswith("M") else sized(UnifiedScrew, size).major_diameter


def _across(x: float, radius: float, reach: float, side: float, turned: bool) -> Placed:
    """A round bar right across the nose at a station, beside the axis: along y, or along z where it is turned."""
    bar = Plate(Outline(circle(radius)), 2.0 * reach)
    # A plate's thickness runs along +x; here it runs along +y (or +z), and its y along +x.
    if turned:
        return Placed(bar, Placement((0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 1.0, 0.0, 0.0), (x, side, -reach)))
    return Placed(bar, Placement((0.0, 1.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, -1.0), (x, -reach, side)))
