r"""A joint between two sections of a turned part that is printed in pieces: spigot, socket, glue groove and keys.

Both sections meet in a flat ring. The aft one carries a spigot that reaches forward into the socket of the one ahead.
Everything is drawn so that each section prints without support standing on its aft end.

::

        ________________________________________________________  <- skin
         forward section              |
        ______________________________|  <- ring face, at the station
         socket
               ________________   _____
              /                \_/        aft section
             |  keys here      glue
             |_________________________________
              <--- spigot_length ----><- land ->\
                                                 \  <- the cavity opens at 45 degrees
        - - - - - - - - - - - - - - - - - - - - - - - - - - - -

The spigot of a solid part is a plug that ends in a cone of 45 degrees, and so does its socket.
Sizes of details are common practice for extruded plastics with a nozzle of 0.4 mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from .chain import Chain
from .curve import Floats, Line, Point, crowded
from .errors import PartError
from .shape import Edge, Loop, Role

SHORTEST_SPIGOT, LONGEST_SPIGOT = 12.0, 20.0
"""Length of a spigot [mm]: shorter leaves no room for keys and glue, longer binds before it is home."""

LARGEST_GAP = 0.5
"""Largest gap [mm per side]: glue does not bridge more."""

THINNEST_SOCKET, THINNEST_SPIGOT = 1.2, 1.6
"""Thinnest walls of socket and spigot [mm]: three and four lines of a nozzle of 0.4 mm."""

SMALLEST_SPIGOT, SMALLEST_BORE = 6.0, 3.0
"""Smallest outside radius of a spigot and smallest radius of its bore [mm]: below, keys leave nothing to glue."""

DEFAULT_LAND = 5.0
"""How far the bore of a spigot runs on behind the ring face [mm]."""

LEAD_IN = 0.5
"""Chamfer on the spigot's forward edge, and on the mouth of the socket, where the bed squeezes a print out [mm]."""

END_GAP = 0.5
"""How much deeper than its spigot a blind socket is [mm]: the ring faces must meet first."""

THROAT = 2.0
"""How far the cavity ahead of a socket is no wider than the socket [mm], so that a socket may be widened a little."""

GROOVE_WIDTH, GROOVE_DEPTH = 2.0, 0.4
"""Groove for glue round the spigot, with flanks of 45 degrees [mm]."""

KEY_LENGTH = 6.0
"""How far the keys reach aft from the forward edge of a spigot [mm]."""

_OPENING = 500.0
"""How far the cavity behind a joint opens at 45 degrees [mm]: past the largest radius of any part."""


@dataclass(frozen=True, slots=True)
class Joint:
    """Where two sections meet, and the spigot that joins them.

    Attributes:
        station: of the ring face in which both sections meet [mm].
        spigot_length: how far the spigot reaches forward from there [mm]; the cone of a plug comes on top.
        spigot_radius: outside radius of the spigot [mm].
        bore: radius of its bore [mm]; 0 for the plug of a solid part.
        gap: between spigot and socket [mm per side].
        land: how far the bore runs on behind the ring face before it opens at 45 degrees [mm].
    """

    station: float
    spigot_length: float
    spigot_radius: float
    bore: float
    gap: float
    land: float = DEFAULT_LAND

    @property
    def solid(self) -> bool:
        """True where the spigot is a plug."""
        return self.bore == 0.0

    @property
    def socket_radius(self) -> float:
        """Inside radius of the socket [mm]."""
        return self.spigot_radius + self.gap

    @property
    def front(self) -> float:
        """Station of the spigot's forward edge [mm]."""
        return self.station - self.spigot_length

    @property
    def first(self) -> float:
        """Foremost station of the spigot [mm]: its forward edge, or the point of a plug."""
        return self.front - self.spigot_radius if self.solid else self.front

    @property
    def edge(self) -> float:
        """Station at which a socket that ends blind starts to close at 45 degrees [mm]."""
        return self.front - END_GAP

    @property
    def reach(self) -> float:
        """Foremost station that the joint takes [mm]; the roof of a socket beside a cavity lies within that wall."""
        return self.edge - self.socket_radius if self.solid else self.edge


@dataclass(frozen=True, slots=True)
class Sizes:
    """What is chosen about a joint, wherever it is.

    Attributes:
        spigot_length: 12 to 20 mm.
        gap: between spigot and socket, above 0 and at most 0.5 mm per side.
        socket_wall: least wall of the socket, square to the skin, at least 1.2 mm.
        spigot_wall: wall of the spigot, at least 1.6 mm; of no account in a solid part.
        solid: True for a part without a cavity, whose spigot is a plug.
        land: length of the bore behind the ring face, at least 1 mm.

    Raises:
        PartError: one of them is out of its range.
    """

    spigot_length: float
    gap: float
    socket_wall: float
    spigot_wall: float
    solid: bool
    land: float = DEFAULT_LAND

    def __post_init__(self) -> None:
        if not SHORTEST_SPIGOT <= self.spigot_length <= LONGEST_SPIGOT:
            raise PartError(
                f"spigot_length: {self.spigot_length:g} mm must be from {SHORTEST_SPIGOT:g} to {LONGEST_SPIGOT:g} mm"
            )
        if not 0.0 < self.gap <= LARGEST_GAP:
            raise PartError(f"joint_gap: {self.gap:g} mm per side must be above 0 and at most {LARGEST_GAP:g} mm")
        if not THINNEST_SOCKET <= self.socket_wall < math.inf:
            raise PartError(f"socket_wall: {self.socket_wall:g} mm must be at least {THINNEST_SOCKET:g} mm")
        if not THINNEST_SPIGOT <= self.spigot_wall < math.inf:
            raise PartError(f"spigot_wall: {self.spigot_wall:g} mm must be at least {THINNEST_SPIGOT:g} mm")
        if not 1.0 <= self.land < math.inf:
            raise PartError(f"land: {self.land:g} mm must be at least 1 mm")


def joint_at(
    skin: Chain,
    station: float,
    spigot_length: float,
    gap: float,
    socket_wall: float,
    spigot_wall: float,
    solid: bool,
    land: float = DEFAULT_LAND,
) -> Joint:
    """The joint at a station: as wide a spigot as the skin allows, a plug no wider than twice its length.

    Args:
        skin: wetted skin from forward to aft [mm].
        station: of the ring face [mm].
        spigot_length: as in `Sizes`, like all that follows [mm].
        gap: between spigot and socket [mm per side].
        socket_wall: least wall of the socket [mm].
        spigot_wall: wall of the spigot [mm].
        solid: True for a part without a cavity.
        land: length of the bore behind the ring face [mm].

    Raises:
        PartError: a size is out of its range, or the skin leaves no room for the joint.
    """
    sizes = Sizes(spigot_length, gap, socket_wall, spigot_wall, solid, land)
    first, last = skin[0].start[0], skin[-1].end[0]
    if not first < station < last:
        raise PartError(f"joint_stations: {station:g} mm is not on the skin, which runs from {first:g} to {last:g} mm")
    room = Room.of(skin)
    found = room.joint(station, sizes)
    reason = room.objection(found, socket_wall)
    if reason:
        better = room.nearest(station, sizes)
        hint = f"; the nearest station with room is {better:g} mm" if better is not None else "; no station has room"
        raise PartError(f"joint_stations: at {station:g} mm {reason}{hint}")
    return found


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """What a skin leaves inside itself, from points that lie on it closely.

    Attributes:
        points: positions (n, 2) [mm] on the skin.
    """

    points: Floats

    @classmethod
    def of(cls, skin: Chain) -> Room:
        """The room inside a skin."""
        t = crowded(801)
        return cls(np.vstack([piece.at(t) for piece in skin]))

    def radius(self, x: float) -> float:
        """Radius of the skin at a station [mm], to a few micrometres."""
        return float(np.interp(x, self.points[:, 0], self.points[:, 1]))

    def steepest(self, first: float, last: float) -> float:
        """Largest lean of the skin to the axis between two stations [rad]."""
        x = np.linspace(first, last, 33)
        r = np.interp(x, self.points[:, 0], self.points[:, 1])
        return float(np.arctan(np.abs(np.diff(r) / np.diff(x)).max()))

    def within(self, first: float, last: float, wall: float) -> float:
        """Radius of the widest hole between two stations that keeps a wall from the skin [mm].

        Beside the hole's rims the skin is looked at in steps of a 200th of the wall.
        """
        step = wall * np.linspace(0.0, 1.0, 201)
        rim = wall * np.sqrt(1.0 - np.linspace(0.0, 1.0, 201) ** 2)
        over = self.points[(self.points[:, 0] > first) & (self.points[:, 0] < last), 1]
        rows = [over - wall, self._radii(first - step) - rim, self._radii(last + step) - rim]
        return float(min(row.min() for row in rows if row.size))

    def _radii(self, x: Floats) -> Floats:
        """Radius of the skin at stations (n,) [mm]; beyond its ends nothing limits."""
        r = np.interp(x, self.points[:, 0], self.points[:, 1])
        return np.where((x < self.points[0, 0]) | (x > self.points[-1, 0]), np.inf, r)

    def joint(self, station: float, sizes: Sizes) -> Joint:
        """The joint with the widest spigot, whether there is room for it or not."""
        length = sizes.spigot_length
        socket = self.within(station - length - END_GAP, station, sizes.socket_wall)
        # Rounded to what a caliper shows. Below 0 there is no spigot at all, which is for `objection` to say.
        spigot = math.floor((socket - sizes.gap) * 100.0) / 100.0
        if sizes.solid:
            # A cone as long as the plug is wide stands on it; as long as the plug itself is enough.
            return Joint(station, length, min(spigot, length), 0.0, sizes.gap, sizes.land)
        return Joint(station, length, spigot, round(spigot - sizes.spigot_wall, 6), sizes.gap, sizes.land)

    def objection(self, joint: Joint, socket_wall: float) -> str:
        """Why a joint has no room, in words; empty where it has."""
        first = float(self.points[0, 0])
        if joint.edge - THROAT <= first:
            return f"a spigot of {joint.spigot_length:g} mm reaches past the forward end of the skin"
        if joint.station + joint.land > self.points[-1, 0]:
            return f"its land of {joint.land:g} mm reaches past the aft end of the skin"
        if joint.spigot_radius < SMALLEST_SPIGOT:
            return (
                f"the skin leaves a spigot of {max(joint.spigot_radius, 0.0):.4g} mm radius, and it needs "
                f"{SMALLEST_SPIGOT:g} mm"
            )
        if not joint.solid and joint.bore < SMALLEST_BORE:
            return (
                f"the spigot is left a bore of {max(joint.bore, 0.0):.4g} mm radius, and it needs {SMALLEST_BORE:g} mm"
            )
        if joint.solid and not self._covers_roof(joint, socket_wall):
            return f"the roof of the socket comes nearer to the skin than {socket_wall:g} mm"
        return ""

    def _covers_roof(self, joint: Joint, wall: float) -> bool:
        """True where the cone over the socket of a solid part keeps a wall from the skin."""
        edge = joint.edge
        x, r = self.points.T
        ahead = x < edge
        dx, dr = x[ahead] - edge, r[ahead] - joint.socket_radius
        # From the rim of the roof, or square to its slope, whichever is met first.
        down = np.maximum(-(dx + dr) / math.sqrt(2.0), 0.0)
        away = np.hypot(dx + down / math.sqrt(2.0), dr + down / math.sqrt(2.0))
        above = dr - dx > 0.0
        return bool(ahead.any() and np.all(above) and np.all(away >= wall - 1e-3))

    def nearest(self, station: float, sizes: Sizes) -> float | None:
        """The whole millimetre next to a station at which a joint has room; None where there is none."""
        first, last = math.ceil(self.points[0, 0]), math.floor(self.points[-1, 0])
        for x in sorted(range(first + 1, last), key=lambda x: abs(x - station)):
            if not self.objection(self.joint(float(x), sizes), sizes.socket_wall):
                return float(x)
        return None


def collar(joint: Joint) -> Chain:
    """How wide the cavity may be at a joint: a limit for the envelope of the inside, over its own stations.

    The bore of the spigot up to the land behind the ring face, from where it opens at 45 degrees. Just ahead of the
    spigot the cavity is no wider than the socket.
    """
    front, flare = joint.front, joint.station + joint.land
    corners: tuple[Point, ...] = (
        (front - THROAT, joint.socket_radius),
        (front, joint.socket_radius),
        (front, joint.bore),
        (flare, joint.bore),
        (flare + _OPENING, joint.bore + _OPENING),
    )
    return tuple(Line(a, b) for a, b in pairwise(corners))


def spigot(joint: Joint) -> Loop:
    """The outside of a spigot from its bore (or the point of a plug on the axis) aft to the ring face."""
    r, front, root = joint.spigot_radius, joint.front, joint.station
    keys_end = front + KEY_LENGTH + joint.gap
    middle, half, floor = (keys_end + root) / 2.0, GROOVE_WIDTH / 2.0, r - GROOVE_DEPTH
    corners: tuple[tuple[Point, Role], ...] = (
        ((middle - half, r), "fit"),
        ((middle - half + GROOVE_DEPTH, floor), "fit"),
        ((middle + half - GROOVE_DEPTH, floor), "fit"),
        ((middle + half, r), "fit"),
        ((root, r), "fit"),
    )
    if joint.solid:
        return _path(((joint.first, 0.0), "fit"), ((front, r), "fit"), *corners)
    chamfer: tuple[tuple[Point, Role], ...] = (((front, r - LEAD_IN), "fit"), ((front + LEAD_IN, r), "fit"))
    return _path(((front, joint.bore), "joint"), *chamfer, *corners)


def socket(joint: Joint, end: float) -> Loop:
    """The inside of a socket from its mouth in the ring face forward to the station `end` [mm]."""
    r, mouth = joint.socket_radius, joint.station
    return _path(((mouth, r + LEAD_IN), "fit"), ((mouth - LEAD_IN, r), "fit"), ((end, r), "fit"))


def _path(*corners: tuple[Point, Role]) -> Loop:
    """Straight edges through the corners; each has the role that stands at its start."""
    return tuple(Edge(Line(a, b), role) for (a, role), (b, _) in pairwise(corners))
