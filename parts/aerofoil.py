"""The symmetric four-digit section of the NACA as an exact outline, and a fin that has it from root to tip.

The law of half the thickness along the chord, with t the thickness over the chord:

    y/c = 5 t (0.2969 sqrt(x/c) - 0.1260 x/c - 0.3516 (x/c)^2 + 0.2843 (x/c)^3 - 0.1015 (x/c)^4)

Source: Jacobs, Ward and Pinkerton, "The Characteristics of 78 Related Airfoil Sections from Tests in the
Variable-Density Wind Tunnel", NACA Report 460, 1933 (coefficients from memory). The last one is the report's 0.1015,
which leaves 1.05 % of the thickness on each side at the trailing edge; a wedge that grows with x takes that away and
leaves the thickness that is wanted there. In s = sqrt(x/c) both coordinates are polynomials, so that each side is one
Bezier piece and nothing is fitted.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.polynomial import Polynomial

from .curve import Bezier, Line
from .errors import PartError
from .shape import SMALLEST_RATIO, Edge, Outline, Role, Ruled

LAW = Polynomial([0.0, 1.4845, -0.63, 0.0, -1.758, 0.0, 1.4215, 0.0, -0.5075])
"""Half the thickness over the thickness of the name, as a polynomial in sqrt(x/c) [-]."""

_WEDGE = Polynomial([0.0, 0.0, 1.0])
"""x/c as a polynomial in sqrt(x/c) [-]."""

SLIMMEST, THICKEST = 0.005, 0.3
"""Thickness over chord that a section may have [-]; the report's own reach from 0.06 to 0.25."""

SHARPEST = 0.01
"""Smallest thickness of a blunt trailing edge [mm]; no machine makes less."""


def four_digit(chord: float, thickness: float, trailing_edge_thickness: float) -> Outline:
    """Symmetric four-digit section: leading edge at the origin, chord along +x, all of role `wetted`.

    Args:
        chord: leading to trailing edge [mm].
        thickness: largest thickness of the section as drawn, its wedge included [mm]; 0.5 to 30 % of the chord.
        trailing_edge_thickness: thickness at the trailing edge [mm], at most half the largest; 0 makes it sharp.

    Returns:
        The outline in (x, z) from the leading edge along the lower side: two Beziers of degree 8, and the straight
        trailing edge if it has one.

    Raises:
        PartError: a size is out of its range.
    """
    if not 0.0 < chord < math.inf:
        raise PartError(f"chord: {chord:g} mm must be above 0")
    _check_thickness(chord, thickness, trailing_edge_thickness, "chord")
    return _section(chord, thickness, trailing_edge_thickness)


def named_thickness(chord: float, thickness: float, trailing_edge_thickness: float) -> float:
    """The t of the law [-] whose section, given its trailing edge, is as thick as stated at its thickest.

    Half the thickness is t g(s) + e s^2. That it reaches the stated half, and nowhere more, makes t the least of
    (half - e s^2) / g(s).

    Args:
        chord: leading to trailing edge [mm].
        thickness: largest thickness of the section [mm].
        trailing_edge_thickness: thickness at the trailing edge [mm].
    """
    over, under = thickness / 2.0 / chord - trailing_edge_thickness / 2.0 / chord * _WEDGE, _sharp()
    roots = (over.deriv() * under - over * under.deriv()).roots()
    inside = roots.real[(np.abs(roots.imag) < 1e-9) & (roots.real > 1e-6) & (roots.real < 1.0 - 1e-6)]
    return float((over(inside) / under(inside)).min())


def aerofoil_fin(
    root_chord: float,
    tip_chord: float,
    semi_span: float,
    sweep_length: float,
    thickness: float,
    trailing_edge_thickness: float,
    sink: float = 0.0,
) -> Ruled:
    """A fin of one four-digit section in the blade's frame, ruled straight from the root at y = 0 to the tip.

    The tip's section is similar to the root's: its largest thickness and that of its trailing edge are the root's
    times `tip_chord` over `root_chord`.

    Args:
        root_chord: chord at y = 0 [mm].
        tip_chord: chord at the tip [mm]; 0 makes a point, otherwise at least 2 % of the root's.
        semi_span: root to tip [mm].
        sweep_length: how far the tip's leading edge lies aft of the root's [mm].
        thickness: largest thickness at the root [mm].
        trailing_edge_thickness: thickness of the trailing edge at the root [mm]; 0 makes it sharp.
        sink: how far the same taper goes on below the root [mm], into a wall that it is to be one with.

    Raises:
        PartError: a size is out of its range.
    """
    for name, value in (("root_chord", root_chord), ("semi_span", semi_span)):
        if not 0.0 < value < math.inf:
            raise PartError(f"{name}: {value:g} mm must be above 0")
    if not math.isfinite(sweep_length):
        raise PartError(f"sweep_length: {sweep_length:g} mm must be finite")
    if not 0.0 <= sink < math.inf:
        raise PartError(f"sink: {sink:g} mm must be at least 0")
    below = sink / semi_span
    least, most = SMALLEST_RATIO, 1.0 / SMALLEST_RATIO
    # Of the whole, sunk root and all; seen from the root at y = 0 these are its chords.
    smallest = root_chord * least * (1.0 + below) / (1.0 + least * below)
    largest = root_chord * most * (1.0 + below) / (1.0 + most * below)
    if tip_chord != 0.0 and not smallest <= tip_chord * (1.0 + 1e-12) <= largest * (1.0 + 2e-12):
        raise PartError(
            f"tip_chord: {tip_chord:g} mm of an aerofoil fin must be 0 or from {smallest:.4g} to {largest:.4g} mm for "
            f"its root_chord of {root_chord:g} mm"
        )
    _check_thickness(root_chord, thickness, trailing_edge_thickness, "root_chord")
    # The taper goes on inwards: at y = -sink the section is larger by as much as it is smaller outwards.
    inner = 1.0 + (1.0 - tip_chord / root_chord) * below
    section = _section(inner * root_chord, inner * thickness, inner * trailing_edge_thickness)
    ratio, ahead = tip_chord / root_chord / inner, -sweep_length * below
    if ratio:
        ratio = min(max(ratio, least), most)  # rounding alone
    return Ruled(section.placed(ahead, 0.0), -sink, semi_span, ratio, sweep_length - ahead * ratio)


def _check_thickness(chord: float, thickness: float, trailing_edge_thickness: float, of: str) -> None:
    if not SLIMMEST * chord <= thickness <= THICKEST * chord:
        raise PartError(
            f"thickness: {thickness:g} mm of an aerofoil must be from {SLIMMEST * chord:g} to {THICKEST * chord:g} mm, "
            f"{SLIMMEST:.1%} to {THICKEST:.0%} of {of}"
        )
    if trailing_edge_thickness != 0.0 and not SHARPEST <= trailing_edge_thickness <= thickness / 2.0:
        raise PartError(
            f"trailing_edge_thickness: {trailing_edge_thickness:g} mm must be 0 or from {SHARPEST:g} to "
            f"{thickness / 2.0:g} mm, half the thickness"
        )


def _section(chord: float, thickness: float, trailing_edge_thickness: float) -> Outline:
    blunt = trailing_edge_thickness / 2.0 / chord
    law = named_thickness(chord, thickness, trailing_edge_thickness) * _sharp() + blunt * _WEDGE
    upper = _bezier(chord, law, trailing_edge_thickness / 2.0)
    role: Role = "wetted"
    end = (Edge(Line((chord, -trailing_edge_thickness / 2.0), upper.end), role),) if trailing_edge_thickness else ()
    return Outline((Edge(upper.mirrored(), role), *end, Edge(upper.reversed(), role)))


def _sharp() -> Polynomial:
    """The law with the wedge that closes it at the trailing edge."""
    return LAW - float(LAW(1.0)) * _WEDGE


def _bezier(chord: float, law: Polynomial, last: float) -> Bezier:
    """The upper side from the leading edge as a Bezier in sqrt(x/c), whose last ordinate [mm] is known exactly."""
    degree = LAW.degree()
    rises = [
        sum(math.comb(i, k) / math.comb(degree, k) * float(law.coef[k]) for k in range(i + 1)) for i in range(degree)
    ]
    # x/c = s^2 has the poles i (i - 1) / (n (n - 1)).
    runs = [chord * i * (i - 1) / (degree * (degree - 1)) for i in range(degree)]
    return Bezier((*((x, chord * y) for x, y in zip(runs, rises, strict=True)), (chord, last)))
