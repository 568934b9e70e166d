"""A cone or frustum unrolled flat: the sector of a ring, exactly.

Developable cone, elementary geometry: with half angle a, a point at the distance l from the apex along the skin lies at
the distance l from the sector's centre, and the sector's angle is 2 pi sin(a) = 2 pi R / l. A wrap of thickness t lies
with its inside on the skin and bends without stretch in its middle, on the parallel cone t/2 outside: the same sector
angle, every rim larger in radius by t/2 cos(a), and an apex that lies t / (2 sin(a)) further ahead.

The sheet is seen from outside the skin with its forward end up, so roll grows to the right. It is cut open at roll 180
degrees, opposite the rail line. `u` [-] is the part of a turn from the cut, 0 at the left to 1 at the right; `v` [mm]
is the distance along the skin from the forward rim.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..chain import Chain
from ..curve import Arc, Line, Piece, Point
from ..errors import PartError

_SAME = 0.005
"""Ends that differ by less than this in radius [mm] are unrolled as those of a tube: their arcs differ by 0.03 mm."""


@dataclass(frozen=True, slots=True)
class Development:
    """A frustum of skin, unrolled.

    Attributes:
        first: station of its forward rim [mm].
        last: station of its aft rim [mm].
        forward_radius: radius of the skin at the forward rim [mm]; 0 for a pointed cone.
        aft_radius: radius of the skin at the aft rim [mm]; 0 for a pointed tail.
        thickness: thickness of the paper [mm].

    Raises:
        PartError: a size is negative or no number, or there is nothing to unroll.
    """

    first: float
    last: float
    forward_radius: float
    aft_radius: float
    thickness: float = 0.1

    def __post_init__(self) -> None:
        small, large = sorted((self.forward_radius, self.aft_radius))
        if not (self.last > self.first and small >= 0.0 and 0.0 < large < math.inf and self.last - self.first < 1e5):
            raise PartError(
                f"wrap: there is no cone from station {self.first:g} to {self.last:g} mm with radii "
                f"{self.forward_radius:g} and {self.aft_radius:g} mm"
            )
        if not 0.0 <= self.thickness <= 3.0:
            raise PartError(f"thickness: {self.thickness:g} mm of the paper of a wrap must be from 0 to 3 mm")

    @property
    def is_tube(self) -> bool:
        """Whether both ends are alike, so that it unrolls to a rectangle."""
        return abs(self.aft_radius - self.forward_radius) < _SAME

    @property
    def sine(self) -> float:
        """Sine of the half angle of the cone [-]."""
        rise = 0.0 if self.is_tube else abs(self.aft_radius - self.forward_radius)
        return rise / math.hypot(self.last - self.first, rise)

    @property
    def sweep(self) -> float:
        """Angle of the sector [rad], below a full turn; 0 for a tube."""
        return math.tau * self.sine

    @property
    def forward_arc(self) -> float:
        """Length of the forward rim [mm]: the circumference of the paper's middle there."""
        return math.tau * self._middle_radius(self.forward_radius)

    @property
    def aft_arc(self) -> float:
        """Length of the aft rim [mm]."""
        return math.tau * self._middle_radius(self.aft_radius)

    @property
    def slant(self) -> float:
        """Distance of the rims along the paper [mm]; of a pointed cone to the paper's own apex."""
        if self.is_tube:
            return self.last - self.first
        return abs(self.aft_arc - self.forward_arc) / self.sweep

    def _middle_radius(self, skin: float) -> float:
        """Radius of the paper's middle [mm] over a rim of the skin; at a point the paper comes to its own."""
        if self.is_tube:
            skin = (self.forward_radius + self.aft_radius) / 2.0
        return 0.0 if skin == 0.0 else skin + self.thickness / 2.0 * math.sqrt(1.0 - self.sine**2)

    def girth(self, v: float) -> float:
        """Length of the arc at a distance from the forward rim [mm]."""
        share = v / self.slant
        return self.forward_arc * (1.0 - share) + self.aft_arc * share

    def bend(self, v: float) -> float:
        """Radius of the arc there on the sheet [mm]; infinite for a tube."""
        return math.inf if self.is_tube else self.girth(v) / self.sweep

    @property
    def _widens_aft(self) -> bool:
        return self.aft_radius >= self.forward_radius

    def _angle(self, u: float) -> float:
        """Direction of a line along the skin, from the sector's centre [rad]."""
        if self._widens_aft:
            return -math.pi / 2.0 + (u - 0.5) * self.sweep
        return math.pi / 2.0 - (u - 0.5) * self.sweep

    def at(self, u: float, v: float) -> Point:
        """Where a point of the skin lies on the sheet [mm]."""
        if self.is_tube:
            return (u * self.forward_arc, -v)
        radius, angle = self.bend(v), self._angle(u)
        return (radius * math.cos(angle), radius * math.sin(angle))

    def forward(self, u: float) -> Point:
        """Unit direction on the sheet that points forward along the skin [-]."""
        if self.is_tube:
            return (0.0, 1.0)
        angle = self._angle(u)
        sign = -1.0 if self._widens_aft else 1.0
        return (sign * math.cos(angle), sign * math.sin(angle))

    def rim(self, v: float) -> Piece | None:
        """The arc at a distance from the forward rim, from left to right; None where it is a point."""
        if self.is_tube:
            return Line(self.at(0.0, v), self.at(1.0, v))
        radius = self.bend(v)
        if radius <= 0.0:
            return None
        return Arc((0.0, 0.0), radius, self._angle(0.0), self.sweep if self._widens_aft else -self.sweep)


def conical(skin: Chain) -> Line | None:
    """The straight stretch of a skin, or None where it has none, or several, or a curve that is longer.

    Args:
        skin: from forward to aft in the (x, r) plane; a cone with a blunt tip has a straight stretch behind the tip.
    """
    straight = [piece for piece in skin if isinstance(piece, Line) and piece.end[0] - piece.start[0] > 1e-9]
    if len(straight) != 1 or straight[0].length() < sum(piece.length() for piece in skin) / 2.0:
        return None
    return straight[0]


def unrolled(skin: Chain, thickness: float = 0.1) -> Development:
    """The straight stretch of a skin, unrolled.

    Args:
        skin: from forward to aft in the (x, r) plane [mm].
        thickness: thickness of the paper [mm], 0 to 3.

    Raises:
        PartError: the skin is not conical.
    """
    line = conical(skin)
    if line is None:
        raise PartError("wrap: only a cone or a conical transition unrolls flat; this skin is curved along its length")
    return Development(line.start[0], line.end[0], line.start[1], line.end[1], thickness)
