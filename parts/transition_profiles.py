"""Transition profile families: a formula r(x) between two radii, its chain of pieces, and what a wall limits inside it.

With u the distance from the smaller end over the length L, r the smaller radius and h the change of radius:

- conical: r + h u
- ogive: an arc of radius (h^2 + L^2) / (2 h), level at the larger end, so that the larger tube runs into it without an
  edge; or a flatter arc of a larger radius that is stated, which meets the larger tube at an angle
- elliptic: r + h sqrt(1 - (1 - u)^2), a quarter of an ellipse: level at the larger end, and upright at the smaller,
  where its slope is infinite and the skin begins as a step

Elementary geometry. All three are exact as pieces: a line, an arc, an arc of an ellipse.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias, get_args

import numpy as np

from .chain import Chain, fit, offset_curve
from .curve import Arc, Bezier, EllipseArc, Floats, Line, Piece
from .errors import PartError

TransitionFamily: TypeAlias = Literal["conical", "ogive", "elliptic"]
TRANSITION_FAMILIES: tuple[TransitionFamily, ...] = get_args(TransitionFamily)

_FLATTEST = 1e7
"""Largest radius of an arc [mm]: beyond, its ends are no longer exact to the join tolerance."""


@dataclass(frozen=True, slots=True)
class TransitionProfile:
    """The skin of a transition between two radii.

    Attributes:
        family: which formula.
        length: along the axis [mm].
        forward_radius: radius at the forward end [mm].
        aft_radius: radius at the aft end [mm]; equal radii are a straight spacer, which is conical.
        arc_radius: ogive alone: radius of an arc that is not level at the larger end [mm]; None for the one that is.

    Raises:
        PartError: equal radii in a family that cannot be straight, or an arc that does not reach from end to end.
    """

    family: TransitionFamily
    length: float
    forward_radius: float
    aft_radius: float
    arc_radius: float | None = None

    def __post_init__(self) -> None:
        if not all(0.0 < value < math.inf for value in (self.length, self.forward_radius, self.aft_radius)):
            raise PartError("length: the length and both radii of a transition must be above 0 mm")
        if self.arc_radius is not None and self.family != "ogive":
            raise PartError(f"arc_radius: the profile {self.family} has no arc; leave it out, or take profile = ogive")
        if self.family == "conical":
            return
        if self.change == 0.0:
            raise PartError(
                f"profile: both ends are {2.0 * self.small:g} mm wide, and {self.family} is a way from one diameter to "
                "another; take profile = conical, which is then a straight spacer"
            )
        if self.family == "ogive":
            self._check_arc()

    def _check_arc(self) -> None:
        if self.length < self.change:
            raise PartError(
                f"length: {self.length:g} mm is less than half the change of diameter, so an arc that is level at the "
                f"larger end would bulge past the smaller; an ogive needs at least "
                f"{math.ceil(100.0 * self.change) / 100.0:g} mm, or take profile = elliptic or conical"
            )
        if self.tangent_arc_radius > _FLATTEST:
            raise PartError(
                f"profile: the diameters differ by {2.0 * self.change:.3g} mm over {self.length:g} mm, which no arc "
                "tells from a line; take profile = conical"
            )
        if self.arc_radius is not None and not self.tangent_arc_radius <= self.arc_radius <= _FLATTEST:
            least = math.ceil(1e3 * self.tangent_arc_radius) / 1e3
            raise PartError(
                f"arc_radius: {self.arc_radius:g} mm must be at least {least:.10g} mm, where the arc is level at the "
                f"larger end and below which it bulges past it, and at most {_FLATTEST:.0f} mm; a larger one is nearer "
                "to a cone"
            )

    @property
    def small(self) -> float:
        """The smaller radius [mm]."""
        return min(self.forward_radius, self.aft_radius)

    @property
    def large(self) -> float:
        """The larger radius [mm]."""
        return max(self.forward_radius, self.aft_radius)

    @property
    def change(self) -> float:
        """The larger radius less the smaller one [mm]."""
        return self.large - self.small

    @property
    def narrows(self) -> bool:
        """True where the smaller end is the aft one, as of a boat tail."""
        return self.aft_radius < self.forward_radius

    @property
    def tangent_arc_radius(self) -> float:
        """Radius of the arc that is level at the larger end [mm]: (h^2 + L^2) / (2 h)."""
        return (self.change**2 + self.length**2) / (2.0 * self.change)

    def radius(self, x: Floats) -> Floats:
        """Radius by the formula at the stations `x` (n,) [mm], 0 <= x <= length from the forward end; shape (n,)."""
        along = np.asarray(x, dtype=float)
        along = self.length - along if self.narrows else along
        share = along / self.length
        if self.family == "conical":
            return np.asarray(self.small + self.change * share)
        if self.family == "elliptic":
            return np.asarray(self.small + self.change * np.sqrt(np.maximum(share * (2.0 - share), 0.0)))
        arc, centre_x, centre_r = self._arc()
        return np.asarray(centre_r + np.sqrt(arc**2 - (along - centre_x) ** 2))

    def chain(self) -> Chain:
        """The skin as pieces from its forward end to its aft end."""
        return turned_round((self._rising(),), self.length) if self.narrows else (self._rising(),)

    def limits(self, wall: float) -> tuple[Chain, ...]:
        """What a wall square to the skin limits the inside to, from the smaller end at 0 to the larger at the length.

        The inside lies under all of them. One is the true normal offset of the skin. Under a curved skin it begins
        beyond the smaller end, so another leads there: a line that keeps its distance from the skin's edge and rises by
        no more than 45 degrees, or than the skin does from end to end where that is steeper. It prints without support
        with the smaller end up, and passes under the place where the offset of a sharply curved skin would fold.

        Args:
            wall: thickness square to the skin [mm], above 0.

        Raises:
            PartError: the wall of a curved skin is not less than its length.
        """
        lean = self.change / self.length
        if self.family == "conical":
            return (self._line(lean, wall),)
        if wall >= self.length:
            raise PartError(
                f"wall: {wall:g} mm is not less than the length of the skin, {self.length:g} mm, so its inside would "
                "fold; make the body solid instead, or take a thinner wall"
            )
        parallel = self._parallel_of_arc(wall) if self.family == "ogive" else self._parallel_of_ellipse(wall)
        lead = self._line(min(self._slope_at_small_end(), max(1.0, lean)), wall)
        return (parallel, lead) if parallel else (lead,)

    def _line(self, slope: float, wall: float) -> Chain:
        """A line of one slope that passes the smaller end's edge at the distance of the wall."""
        start = self.small - wall * math.hypot(1.0, slope)
        return (Line((0.0, start), (self.length, start + slope * self.length)),)

    def _slope_at_small_end(self) -> float:
        if self.family == "elliptic":
            return math.inf
        _, centre_x, centre_r = self._arc()
        return centre_x / (self.small - centre_r) if self.small > centre_r else math.inf

    def _rising(self) -> Piece:
        """The skin from its smaller end, at 0, to its larger one."""
        if self.family == "conical":
            return Line((0.0, self.small), (self.length, self.large))
        if self.family == "elliptic":
            return EllipseArc((self.length, self.small), self.length, self.change, math.pi, -math.pi / 2.0)
        arc, centre_x, centre_r = self._arc()
        start = math.atan2(self.small - centre_r, -centre_x)
        return Arc((centre_x, centre_r), arc, start, self._last_angle() - start)

    def _arc(self) -> tuple[float, float, float]:
        """Radius and centre (x, r) of an ogive's arc, the smaller end at 0 [mm]."""
        if self._is_tangent:
            arc = self.tangent_arc_radius
            return arc, self.length, self.large - arc
        arc = self.arc_radius or 0.0
        chord = math.hypot(self.length, self.change)
        # The centre lies on the perpendicular through the middle of the chord, on the inner side.
        away = math.sqrt(arc * arc - chord * chord / 4.0)
        middle = (self.small + self.large) / 2.0
        return arc, self.length / 2.0 + away * self.change / chord, middle - away * self.length / chord

    @property
    def _is_tangent(self) -> bool:
        return self.arc_radius is None or self.arc_radius <= self.tangent_arc_radius * (1.0 + 1e-12)

    def _last_angle(self) -> float:
        if self._is_tangent:
            return math.pi / 2.0
        _, centre_x, centre_r = self._arc()
        return math.atan2(self.large - centre_r, self.length - centre_x)

    def _parallel_of_arc(self, wall: float) -> Chain:
        skin = self._rising()
        assert isinstance(skin, Arc)  # noqa: S101  chosen so; this tells the type checker
        inner = skin.offset(-wall)
        # Of an arc that still rises at the larger end the parallel runs past that end.
        last = math.acos(max((self.length - inner.centre[0]) / inner.radius, -1.0)) if not self._is_tangent else None
        sweep = inner.sweep if last is None else last - inner.start_angle
        return (replace(inner, sweep=sweep),) if sweep < 0.0 else ()

    def _parallel_of_ellipse(self, wall: float) -> Chain:
        """The offset from where the lead takes over to the larger end; without what folds.

        It folds where the skin is curved more sharply than the wall: of a slender one near its smaller end, under the
        lead; of a blunt one near its larger end, beyond where the offset has passed that end for the first time.
        """
        long, high = self.length, self.change
        first, last = math.atan(min(high / long, 1.0)), math.pi / 2.0
        if long > high:
            square = (long * high * wall) ** (2.0 / 3.0) - high**2
            first = max(first, math.asin(math.sqrt(min(max(square / (long**2 - high**2), 0.0), 1.0))))
        elif wall > long**2 / high:
            last = math.acos(math.sqrt(((wall * high / long) ** 2 - long**2) / (high**2 - long**2)))
        if last - first < 1e-6:
            return ()
        skin = EllipseArc((long, self.small), long, high, math.pi - first, first - last)
        pieces = [piece for piece in fit(offset_curve(skin, -wall), 0.0, 1.0) if isinstance(piece, Bezier)]
        pieces[-1] = Bezier((*pieces[-1].poles[:-1], (long, pieces[-1].end[1])))
        return tuple(pieces)


def turned_round(chain: Chain, length: float) -> Chain:
    """A chain as seen from the other end of a length [mm]: its last point first, x becomes length - x."""
    return tuple(_turned_round(piece, length) for piece in reversed(chain))


def _turned_round(piece: Piece, length: float) -> Piece:
    match piece:
        case Line((x0, r0), (x1, r1)):
            return Line((length - x1, r1), (length - x0, r0))
        case Bezier(poles):
            return Bezier(tuple((length - x, r) for x, r in reversed(poles)))
        case Arc() | EllipseArc():
            x, r = piece.centre
            start = math.pi - piece.start_angle - piece.sweep
            return replace(piece, centre=(length - x, r), start_angle=start)
