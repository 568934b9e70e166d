"""Nose profiles with a blunted tip: a ball that touches the profile all round, or a flat face.

The finished length, from the real tip to the base, is given; the sharp profile from which the tip is taken is longer,
and its length is solved for, so that every family keeps its own formula behind the tip. A ball of radius a about
(x_c, 0) touches the profile r(x) from inside where the length of the normal down to the axis is that radius:

    r sqrt(1 + r'^2) = a,    x_c = x + r r',    apex x_c - a

Spherical blunting of cone and ogive is standard geometry; with the finished length given both have closed forms, and
so has the flat face on an ogive. For a profile R f(x/L) of sharp length L the two conditions leave one equation in
u = x/L, with s(u) = f f':

    L(u) = R^2 s / sqrt(a^2 - R^2 f^2),    finished length = L (1 - u) - sqrt(a^2 - R^2 f^2) + a

It holds for cone, half-ellipsoid, parabola, power law and Haack bodies; it rises with u and is solved by halving.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, TypeAlias

import numpy as np

from .chain import Chain
from .curve import Arc, Bezier, EllipseArc, Line, Piece, Point, bisect
from .errors import PartError
from .profiles import Family, Profile

TipForm: TypeAlias = Literal["round", "flat"]

SMALLEST_TIP = 0.01
"""Smallest radius of a tip [mm]; nothing that is made is sharper."""

LARGEST_SHARE = 0.95
"""Largest radius of a tip over that of the base [-]; beyond, the profile behind the tip is a sliver."""

_LEAST_TOUCH = 0.01
"""A ball that touches the profile nearer to the axis than this share of its radius [-] only copies its own tip."""


@dataclass(frozen=True, slots=True)
class Tip:
    """How the tip of a nose is blunted.

    Attributes:
        form: `round` for a ball that meets the profile without a corner, `flat` for a face square to the axis.
        radius: radius of the ball, or of the face [mm]; at least 0.01 mm.

    Raises:
        PartError: the radius is too small or no number.
    """

    form: TipForm
    radius: float

    def __post_init__(self) -> None:
        if not SMALLEST_TIP <= self.radius < math.inf:
            raise PartError(f"tip_radius: {self.radius:g} mm must be above 0, and at least {SMALLEST_TIP:g} mm")


@dataclass(frozen=True, slots=True)
class Blunt:
    """A blunted nose.

    Attributes:
        profile: the sharp profile of which it is the rear part; its base is that of the finished nose.
        cut: how much shorter the finished nose is than the sharp one [mm].
        meets: station and radius [mm], in the finished nose, where by the formulas the tip ends and the profile begins;
            fitted pieces begin within 1e-4 mm of it.
        chain: the skin from (0, 0) to the base rim, the tip as its first piece.
    """

    profile: Profile
    cut: float
    meets: Point
    chain: Chain


@lru_cache(maxsize=128)
def blunted(family: Family, length: float, base_radius: float, constant: float | None, tip: Tip) -> Blunt:
    """A nose of a finished length with a blunted tip.

    Where the skin is made of fitted pieces, the sharp chain is stretched along x by up to 1e-6 of itself, so that the
    ball touches the pieces themselves and not only their formula.

    Args:
        family: which formula the profile behind the tip has.
        length: finished length from the blunted tip to the base [mm]; at least the base radius.
        base_radius: radius at the base [mm].
        constant: as for `Profile`; a secant ogive keeps its arc radius, the others their constant.
        tip: the tip.

    Returns:
        The sharp profile, what is cut off it, and the finished skin: exactly on the formula for the families with an
        exact chain, else within 1e-5 mm.

    Raises:
        PartError: the profile cannot be, the tip is too large for the base, or the profile's own tip is rounder.
    """
    finished = Profile(family, length, base_radius, constant)
    if tip.radius >= base_radius:
        raise PartError(
            f"tip_radius: {tip.radius:g} mm must be below the radius of the base, {base_radius:g} mm; "
            f"at most {LARGEST_SHARE * base_radius:.6g} mm can be made"
        )
    if tip.radius > LARGEST_SHARE * base_radius:
        raise PartError(
            f"tip_radius: {tip.radius:g} mm leaves next to no profile in front of a base radius of {base_radius:g} mm; "
            f"it can be at most {LARGEST_SHARE * base_radius:.6g} mm"
        )
    if tip.form == "round":
        _check_not_rounder(finished, tip.radius)
    if family in ("tangent-ogive", "secant-ogive"):
        return _blunted_ogive(finished, tip)
    return _blunted_scaled(finished, tip)


def own_tip_is_rounder(finished: Profile, radius: float) -> bool:
    """Whether a profile's own tip is as round as a ball of a radius [mm] or rounder, so that the ball cannot blunt it.

    So it is with a half-ellipsoid up to R^2/L, a power law with n = 1/2 up to R^2/(2 L), one with a smaller n for every
    radius, and an ogive that stands upright at its tip up to its arc radius.

    Args:
        finished: the profile at its finished length.
        radius: radius of the ball [mm], above 0 and below that of the base.
    """
    if finished.family in ("tangent-ogive", "secant-ogive"):
        return _ogive_round(finished, radius)[2][1] < _LEAST_TOUCH * radius
    return _flat_at_tip(finished) or _touch(finished, radius) is None


def _check_not_rounder(finished: Profile, radius: float) -> None:
    """Refuse a ball that only copies the profile's own tip, with the smallest that does not.

    Raises:
        PartError: it does.
    """
    if not own_tip_is_rounder(finished, radius):
        return
    words = f"tip_radius: {radius:g} mm: the profile's own tip is already rounder"
    largest = LARGEST_SHARE * finished.base_radius
    if _flat_at_tip(finished):
        raise PartError(
            f"{words}, for a power-law with a power_exponent below 0.5 ({_constant(finished):g}) is flat at its tip; "
            "a flat tip works, or a power_exponent above 0.5"
        )
    if own_tip_is_rounder(finished, largest):
        raise PartError(f"{words} than any ball that fits the base; leave it out, or make the nose longer")
    smallest = bisect(lambda value: -1.0 if own_tip_is_rounder(finished, value) else 1.0, radius, largest)
    # Rounded up, so that the number printed works.
    scale = 10.0 ** (4 - math.ceil(math.log10(smallest)))
    raise PartError(f"{words}; it must be at least {math.ceil(smallest * scale) / scale:g} mm")


def _flat_at_tip(finished: Profile) -> bool:
    return finished.family == "power-law" and _constant(finished) < 0.5


# ---- ogives: one arc before and after


def _blunted_ogive(finished: Profile, tip: Tip) -> Blunt:
    length, base = finished.length, finished.base_radius
    find = _ogive_round if tip.form == "round" else _ogive_flat
    (centre_x, centre_r), arc_radius, meets = find(finished, tip.radius)
    if centre_r > 0.0:
        raise PartError(
            f"arc_radius: {arc_radius:g} mm is below {_smallest_flat_arc(finished, tip.radius):.6g} mm, where the arc "
            "stands upright at the tip of the sharp ogive; a larger one is slimmer"
        )
    # Where the arc starts on the axis, in front of the tip; as a product, for the arc may be far larger than the nose.
    before = _square_root(arc_radius, centre_r)
    sharp = length - (centre_x - before)
    profile = Profile(finished.family, sharp, base, finished.constant)
    start = math.atan2(meets[1] - centre_r, meets[0] - centre_x)
    if tip.form == "round":
        start = math.atan2(-centre_r, tip.radius - centre_x)
    upright = finished.family == "tangent-ogive"
    end = math.pi / 2.0 if upright else math.atan2(base - centre_r, length - centre_x)
    behind = Arc((centre_x, centre_r), arc_radius, start, end - start)
    front: Piece = Line((0.0, 0.0), behind.start)
    if tip.form == "round":
        front = Arc((tip.radius, 0.0), tip.radius, math.pi, start - math.pi)
    return Blunt(profile, sharp - length, meets, (front, behind))


_Ogive: TypeAlias = tuple[Point, float, Point]
"""Centre and radius of the arc, and where it meets the tip, in the finished nose."""


def _ogive_round(finished: Profile, radius: float) -> _Ogive:
    """The arc through the base rim that a ball about (radius, 0) touches from inside.

    Its centre is as far from the ball's as the radii differ: |C - (a, 0)| = rho - a, and |C - (L, R)| = rho.
    """
    length, base = finished.length, finished.base_radius
    if finished.family == "tangent-ogive":
        # C = (L, R - rho) in the first equation leaves a linear one for rho.
        arc = ((length - radius) ** 2 + base**2 - radius**2) / (2.0 * (base - radius))
        centre = (length, base - arc)
    else:
        arc = _constant(finished)
        across = math.hypot(length - radius, base)
        along = (across**2 - radius * (2.0 * arc - radius)) / (2.0 * across)
        centre = _beside((radius, 0.0), (length, base), along, _square_root(arc - radius, along))
    # On the line of the two centres, an arc radius from the arc's own.
    share = radius / (arc - radius)
    return centre, arc, (radius + (radius - centre[0]) * share, -centre[1] * share)


def _ogive_flat(finished: Profile, radius: float) -> _Ogive:
    """The arc through the rim of the face, (0, a), and the base rim, (L, R)."""
    length, base = finished.length, finished.base_radius
    if finished.family == "tangent-ogive":
        arc = (length**2 + (base - radius) ** 2) / (2.0 * (base - radius))
        return (length, base - arc), arc, (0.0, radius)
    arc = _constant(finished)
    half = math.hypot(length, base - radius) / 2.0
    return _beside((0.0, radius), (length, base), half, _square_root(arc, half)), arc, (0.0, radius)


def _smallest_flat_arc(finished: Profile, radius: float) -> float:
    """Arc radius [mm] of the circle about a point of the axis through both rims."""
    length, base = finished.length, finished.base_radius
    return math.hypot((length**2 + base**2 - radius**2) / (2.0 * length), radius)


def _beside(first: Point, last: Point, along: float, away: float) -> Point:
    """The point `along` the line from one point to another and `away` to its right [mm]."""
    size = math.dist(first, last)
    x, y = (last[0] - first[0]) / size, (last[1] - first[1]) / size
    return (first[0] + along * x + away * y, first[1] + along * y - away * x)


def _square_root(a: float, b: float) -> float:
    """Square root of a^2 - b^2 [mm], without loss where they are nearly equal; 0 below 0."""
    return math.sqrt(max((a - b) * (a + b), 0.0))


def _constant(profile: Profile) -> float:
    assert profile.constant is not None  # noqa: S101  checked by Profile; this tells the type checker
    return profile.constant


# ---- all others: a radius R f(x/L), stretched along the axis with its length


def _blunted_scaled(finished: Profile, tip: Tip) -> Blunt:
    family, length, base, constant = finished.family, finished.length, finished.base_radius, finished.constant
    if tip.form == "flat":
        meets = (0.0, tip.radius)
        sharp = length / (1.0 - _reaches(finished, tip.radius / base))
    else:
        found = _touch(finished, tip.radius)
        assert found is not None  # noqa: S101  checked by _check_not_rounder; this tells the type checker
        sharp, meets = found
    profile = Profile(family, sharp, base, constant)
    whole = profile.chain()
    place, at = _place_on(whole, length, tip)
    front: Piece = Line((0.0, 0.0), at)
    if tip.form == "round":
        front = Arc((tip.radius, 0.0), tip.radius, math.pi, math.atan2(at[1], at[0] - tip.radius) - math.pi)
        at = front.end
    return Blunt(profile, sharp - length, meets, (front, *_rear_part(whole, place, at, (length, base))))


def _half_slope_of_square(family: Family, constant: float | None, u: float) -> float:
    """The product f f' of a profile f(u) on unit length and base [-]: how far behind u its normal meets the axis."""
    k = 0.0 if constant is None else constant
    if family == "half-ellipsoid":
        return 1.0 - u
    if family == "power-law":
        return k * math.pow(u, 2.0 * k - 1.0)
    if family in ("von-karman", "haack"):
        # f^2 = (t - sin(2 t)/2 + C sin(t)^3)/pi and u = (1 - cos t)/2.
        sine, cosine = 2.0 * math.sqrt(u * (1.0 - u)), 1.0 - 2.0 * u
        return sine * (2.0 + 3.0 * k * cosine) / math.pi
    # The parabola, and the cone as the one with K = 0.
    return 2.0 * u * (2.0 - k * u) * (1.0 - k * u) / (2.0 - k) ** 2


def _unit_radius(profile: Profile) -> Callable[[float], float]:
    unit = Profile(profile.family, 1.0, 1.0, profile.constant)
    return lambda u: float(unit.radius(np.array([u]))[0])


def _reaches(profile: Profile, share: float) -> float:
    """Station over length at which the profile has this share of its base radius [-]."""
    radius = _unit_radius(profile)
    return bisect(lambda u: radius(u) - share, 0.0, 1.0)


def _touch(finished: Profile, radius: float) -> tuple[float, Point] | None:
    """Sharp length and where the ball meets the finished nose's profile [mm]; None where it only copies the tip."""
    length, base = finished.length, finished.base_radius
    share = _unit_radius(finished)

    def sharp_and_reach(u: float) -> tuple[float, float]:
        """Sharp length, and how far the ball's centre is behind the place where it touches [mm]."""
        reach = _square_root(radius, base * share(u))
        slope = _half_slope_of_square(finished.family, finished.constant, u)
        return (base**2 * slope / reach if reach else math.inf), reach

    def excess(u: float) -> float:
        sharp, reach = sharp_and_reach(u)
        return math.inf if math.isinf(sharp) else sharp * (1.0 - u) - reach + radius - length

    low, high = _reaches(finished, _LEAST_TOUCH * radius / base), _reaches(finished, radius / base)
    if excess(low) >= 0.0:
        return None
    u = bisect(excess, low, high)
    sharp, reach = sharp_and_reach(u)
    return sharp, (radius - reach, base * share(u))


def _place_on(chain: Chain, length: float, tip: Tip) -> tuple[float, Point]:
    """Where on a sharp chain the tip ends: piece and parameter in one number, and the point in the finished nose."""
    end_x = chain[-1].end[0]
    radius = tip.radius

    def place(where: float) -> tuple[Piece, float]:
        index = min(int(where), len(chain) - 1)
        return chain[index], where - index

    def short_of_rim(where: float) -> float:
        piece, t = place(where)
        return float(piece.at(np.array([t]))[0, 1]) - radius

    def excess(where: float) -> float:
        """How much longer the nose would be if the ball touched the chain here, and the chain were stretched to it."""
        piece, t = place(where)
        x, r = (float(value) for value in piece.at(np.array([t]))[0])
        if r >= radius:
            return math.inf
        if r <= _LEAST_TOUCH * radius / 2.0:
            return -math.inf
        slope_x, slope_r = (float(value) for value in piece.slope(np.array([t]))[0])
        reach = _square_root(radius, r)
        if slope_x <= 0.0:
            return -math.inf
        return slope_r / slope_x * r / reach * (end_x - x) - reach + radius - length

    if tip.form == "flat":
        return bisect(short_of_rim, 0.0, float(len(chain))), (0.0, radius)
    where = bisect(excess, 0.0, float(len(chain)))
    piece, t = place(where)
    r = float(piece.at(np.array([t]))[0, 1])
    return where, (radius - _square_root(radius, r), r)


def _rear_part(chain: Chain, where: float, start: Point, end: Point) -> Chain:
    """A sharp chain behind a place, moved and stretched along x so that it runs from `start` to `end` exactly."""
    index = min(int(where), len(chain) - 1)
    t = where - index
    if t > 1.0 - 1e-9 and index < len(chain) - 1:
        index, t = index + 1, 0.0
    first = chain[index].part(t, 1.0)
    kept = (first, *chain[index + 1 :])
    stretch = (end[0] - start[0]) / (chain[-1].end[0] - first.start[0])
    pieces = [_stretched(piece, stretch, end[0] - stretch * chain[-1].end[0]) for piece in kept]
    pieces[0] = _with_ends(pieces[0], start, pieces[0].end)
    pieces[-1] = _with_ends(pieces[-1], pieces[-1].start, end)
    return tuple(pieces)


def _stretched(piece: Piece, factor: float, move: float) -> Piece:
    """A line, Bezier or upright ellipse arc with x replaced by factor x + move."""
    if isinstance(piece, Line):
        return Line((factor * piece.start[0] + move, piece.start[1]), (factor * piece.end[0] + move, piece.end[1]))
    if isinstance(piece, Bezier):
        return Bezier(tuple((factor * x + move, r) for x, r in piece.poles))
    assert isinstance(piece, EllipseArc)  # noqa: S101  circles are ogives, which are not stretched
    centre = (factor * piece.centre[0] + move, piece.centre[1])
    return EllipseArc(centre, factor * piece.semi_x, piece.semi_y, piece.start_angle, piece.sweep)


def _with_ends(piece: Piece, start: Point, end: Point) -> Piece:
    """The piece with its ends, which are right but for rounding, set to the last bit; an ellipse keeps its own."""
    if isinstance(piece, Line):
        return Line(start, end)
    if isinstance(piece, Bezier):
        return Bezier((start, *piece.poles[1:-1], end))
    return piece
