"""Nose and transition profile families: each a formula r(x), and a chain of pieces that is the shape.

Every chain runs from the tip (0, 0) to the base (length, base_radius) in the (x, r) plane [mm]. Cone, ogives,
half-ellipsoid, parabola and the power law with exponent 1/2 and 3/4 are exact; the others are Bezier pieces of degree 9
in the family's smooth parameter, within 0.01 micrometre of the formula for fineness ratios 0.5 to 10.

Formulas: the standard definitions of the families as elementary geometry; the series of Haack bodies after W. Haack,
"Geschossformen kleinsten Wellenwiderstandes", Lilienthal-Gesellschaft Report 139, 1941 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, TypeAlias, get_args

import numpy as np

from .chain import Chain, Flat, fit
from .curve import Arc, Bezier, EllipseArc, Floats, Line
from .errors import PartError
from .inner_profile import inner_profile as inner_profile

Family: TypeAlias = Literal[
    "cone",
    "tangent-ogive",
    "secant-ogive",
    "half-ellipsoid",
    "parabola",
    "power-law",
    "von-karman",
    "haack",
]
FAMILIES: tuple[Family, ...] = get_args(Family)

CONSTANTS: dict[Family, str] = {
    "secant-ogive": "arc_radius",
    "parabola": "parabola_constant",
    "power-law": "power_exponent",
    "haack": "haack_constant",
}
"""The one field beyond length and base that a family needs, by the name its formula gives it."""


_RANGES = {"parabola_constant": (0.0, 1.0), "power_exponent": (0.1, 1.0), "haack_constant": (0.0, 2.0 / 3.0)}
"""Where the formulas hold [-]: beyond, a profile bulges past its base or is no nose."""


@dataclass(frozen=True, slots=True)
class Profile:
    """One profile: family, length [mm], base radius [mm] and the constant of the family, if it has one.

    Attributes:
        family: which formula.
        length: tip to base [mm]; at least the base radius.
        base_radius: radius at the base [mm].
        constant: arc radius [mm] of a secant ogive, exponent [-] of a power law, constant [-] of a parabola or Haack
            body; None for the families without one.

    Raises:
        PartError: a constant is missing, not used by the family, or outside its range.
    """

    family: Family
    length: float
    base_radius: float
    constant: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 < self.base_radius < math.inf or not 0.0 < self.length < math.inf:
            raise PartError(f"length: {self.length:g} mm and base radius {self.base_radius:g} mm must be above 0")
        if self.length < self.base_radius:
            raise PartError(
                f"length: {self.length:g} mm is shorter than half the base diameter ({self.base_radius:g} mm); "
                "a profile needs a fineness ratio of at least 0.5"
            )
        name = CONSTANTS.get(self.family)
        if name is None and self.constant is not None:
            raise PartError(f"the profile {self.family} has no constant; leave it out")
        if name is not None and self.constant is None:
            raise PartError(f"{name}: the profile {self.family} needs it; it is not stated")
        low, high = _RANGES.get(name or "", (0.0, math.inf))
        if self.constant is not None and not low <= self.constant <= high:
            raise PartError(f"{name}: {self.constant:g} must be from {low:g} to {high:g}")
        if name == "arc_radius" and self.constant is not None:
            smallest = (self.length**2 + self.base_radius**2) / (2.0 * self.length)
            if self.constant < smallest:
                raise PartError(
                    f"arc_radius: {self.constant:g} mm is below {smallest:.6g} mm, where the arc stands upright at "
                    f"the tip; the tangent ogive has {self.tangent_arc_radius:.6g} mm, a larger one is slimmer"
                )

    @property
    def tangent_arc_radius(self) -> float:
        """Arc radius of the tangent ogive on this length and base [mm]: (R^2 + L^2) / (2 R)."""
        return (self.base_radius**2 + self.length**2) / (2.0 * self.base_radius)

    def radius(self, x: Floats) -> Floats:
        """Radius by the formula at the stations `x` (n,) [mm], 0 <= x <= length; shape (n,) [mm]."""
        return _FORMULAS[self.family](self, np.asarray(x, dtype=float))

    def chain(self) -> Chain:
        """The profile as pieces from the tip to the base."""
        return _chain_of(self)


@lru_cache(maxsize=64)
def _chain_of(profile: Profile) -> Chain:
    """Fitted once: every check and figure of a design asks for its skin again."""
    return _CHAINS[profile.family](profile)


def _k(profile: Profile) -> float:
    assert profile.constant is not None  # noqa: S101  checked in __post_init__; this tells the type checker
    return profile.constant


def _arc_geometry(p: Profile) -> tuple[float, float, float]:
    """Arc radius and centre (x, r) of an ogive through the tip and the base rim."""
    length, base = p.length, p.base_radius
    if p.family == "tangent-ogive":
        return p.tangent_arc_radius, length, base - p.tangent_arc_radius
    arc = _k(p)
    chord = math.hypot(length, base)
    # The centre lies on the perpendicular through the middle of the chord from tip to rim, on the inner side.
    away = math.sqrt(arc * arc - chord * chord / 4.0)
    return arc, length / 2.0 + away * base / chord, base / 2.0 - away * length / chord


def _cone_radius(p: Profile, x: Floats) -> Floats:
    """R x / L."""
    return p.base_radius * x / p.length


def _cone_chain(p: Profile) -> Chain:
    return (Line((0.0, 0.0), (p.length, p.base_radius)),)


def _ogive_radius(p: Profile, x: Floats) -> Floats:
    """sqrt(rho^2 - (x - x_c)^2) + r_c, the arc of radius rho about (x_c, r_c)."""
    _, centre_x, centre_r = _arc_geometry(p)
    # Written as a difference of squares: the plain form loses digits near the tip of a slender ogive.
    rise = x * (2.0 * centre_x - x)
    root = np.sqrt(np.maximum(centre_r**2 + rise, 0.0))
    return np.asarray(rise / (root - centre_r)) if centre_r < 0.0 else np.asarray(root + centre_r)


def _ogive_chain(p: Profile) -> Chain:
    arc, centre_x, centre_r = _arc_geometry(p)
    start = math.atan2(abs(centre_r), -centre_x)
    end = math.pi / 2.0 if p.family == "tangent-ogive" else math.atan2(p.base_radius - centre_r, p.length - centre_x)
    return (Arc((centre_x, centre_r), arc, start, end - start),)


def _ellipsoid_radius(p: Profile, x: Floats) -> Floats:
    """R sqrt(1 - (1 - x/L)^2)."""
    return np.asarray(p.base_radius * np.sqrt(np.maximum(x * (2.0 * p.length - x), 0.0)) / p.length)


def _ellipsoid_chain(p: Profile) -> Chain:
    return (EllipseArc((p.length, 0.0), p.length, p.base_radius, math.pi, -math.pi / 2.0),)


def _parabola_radius(p: Profile, x: Floats) -> Floats:
    """R (2 (x/L) - K (x/L)^2) / (2 - K)."""
    u = x / p.length
    return np.asarray(p.base_radius * (2.0 * u - _k(p) * u * u) / (2.0 - _k(p)))


def _parabola_chain(p: Profile) -> Chain:
    if _k(p) == 0.0:
        return _cone_chain(p)
    return (Bezier(((0.0, 0.0), (p.length / 2.0, p.base_radius / (2.0 - _k(p))), (p.length, p.base_radius))),)


def _power_radius(p: Profile, x: Floats) -> Floats:
    """R (x/L)^n."""
    return np.asarray(p.base_radius * (x / p.length) ** _k(p))


def _power_chain(p: Profile) -> Chain:
    exponent, length, base = _k(p), p.length, p.base_radius
    if exponent == 1.0:
        return _cone_chain(p)
    if exponent == 0.5:
        return (Bezier(((0.0, 0.0), (0.0, base / 2.0), (length, base))),)
    if exponent == 0.75:
        tip = (0.0, 0.0)
        return (Bezier((tip, tip, tip, (0.0, base / 4.0), (length, base))),)
    # r = R s^m, x = L s^(m/n). Near a cone m = 6 keeps x and r apart, else m = 3 is smooth enough with few pieces.
    power = 3 if exponent < 0.75 else 6

    def curve(s: Floats) -> Floats:
        return np.column_stack([length * s ** (power / exponent), base * s**power])

    return fit(curve, 0.0, 1.0, start=Flat(x=min(math.ceil(power / exponent) - 1, 7), y=power - 1))


def _haack_square(theta: Floats, constant: float) -> Floats:
    """Theta - sin(2 theta)/2 + C sin(theta)^3 without cancellation near the tip [-]."""
    y = 2.0 * theta
    small = np.minimum(y, 0.5)
    series = small**3 / 6.0 * (1 - small**2 / 20 * (1 - small**2 / 42 * (1 - small**2 / 72 * (1 - small**2 / 110))))
    return np.asarray(np.where(y < 0.5, series, y - np.sin(y)) / 2.0 + constant * np.sin(theta) ** 3)


def _haack_constant(p: Profile) -> float:
    return 0.0 if p.family == "von-karman" else _k(p)


def _haack_radius(p: Profile, x: Floats) -> Floats:
    """R sqrt((theta - sin(2 theta)/2 + C sin(theta)^3) / pi), theta = acos(1 - 2 x/L)."""
    theta = 2.0 * np.arcsin(np.sqrt(np.clip(x / p.length, 0.0, 1.0)))
    return np.asarray(p.base_radius * np.sqrt(_haack_square(theta, _haack_constant(p)) / math.pi))


def _haack_chain(p: Profile) -> Chain:
    constant = _haack_constant(p)

    def curve(s: Floats) -> Floats:
        # s = sqrt(theta / pi): near the tip r goes as theta^(3/2) and x as theta^2, both whole powers of s.
        theta = math.pi * s * s
        x = p.length * np.sin(theta / 2.0) ** 2
        return np.column_stack([x, p.base_radius * np.sqrt(_haack_square(theta, constant) / math.pi)])

    # At the base x goes as the square of the distance in theta and r as its cube.
    return fit(curve, 0.0, 1.0, start=Flat(x=3, y=2), end=Flat(x=1, y=2))


_FORMULAS: dict[Family, Callable[[Profile, Floats], Floats]] = {
    "cone": _cone_radius,
    "tangent-ogive": _ogive_radius,
    "secant-ogive": _ogive_radius,
    "half-ellipsoid": _ellipsoid_radius,
    "parabola": _parabola_radius,
    "power-law": _power_radius,
    "von-karman": _haack_radius,
    "haack": _haack_radius,
}

_CHAINS: dict[Family, Callable[[Profile], Chain]] = {
    "cone": _cone_chain,
    "tangent-ogive": _ogive_chain,
    "secant-ogive": _ogive_chain,
    "half-ellipsoid": _ellipsoid_chain,
    "parabola": _parabola_chain,
    "power-law": _power_chain,
    "von-karman": _haack_chain,
    "haack": _haack_chain,
}
