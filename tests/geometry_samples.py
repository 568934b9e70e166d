"""Invented shapes that the geometry tests share, and ways to measure them that use nothing of the code under test.

The profile formulas are the families' definitions as elementary geometry, written here a second time; the series of
the Haack bodies from memory.
"""

from __future__ import annotations

import math

import numpy as np
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from ferrule.parts.chain import Chain
from ferrule.parts.curve import Arc, Bezier, EllipseArc, Floats, Line, Piece
from ferrule.parts.profiles import Family, Profile, inner_profile
from ferrule.parts.readers.mesh import Mesh
from ferrule.parts.shape import Edge, Meridian, Outline, RadialFeature, Revolved, Role, circle, edges

FINENESS_RATIOS = (0.5, 1.0, 2.0, 3.0, 5.0, 10.0)
"""Length over diameter [-]: the range that the profiles promise."""

FAMILY_CONSTANTS: dict[Family, tuple[float | None, ...]] = {
    "cone": (None,),
    "tangent-ogive": (None,),
    "secant-ogive": (0.75, 1.5, 3.0),  # times the tangent ogive's arc radius; the first bulges past the base
    "half-ellipsoid": (None,),
    "parabola": (0.0, 0.5, 0.75, 1.0),
    "power-law": (0.3, 0.5, 0.6, 0.75, 0.76, 0.9, 0.98, 1.0),
    "von-karman": (None,),
    "haack": (0.0, 1.0 / 3.0, 2.0 / 3.0),
}

PROFILE_CASES = tuple((family, constant) for family, constants in FAMILY_CONSTANTS.items() for constant in constants)


def smallest_arc(length: float, base: float) -> float:
    """Arc radius [mm] at which a secant ogive stands upright at the tip."""
    return (length**2 + base**2) / (2.0 * length)


def profile(family: Family, constant: float | None, fineness: float = 3.0, base: float = 33.0) -> Profile:
    """A profile by family; the constant of a secant ogive in tangent arc radii, all others as they are."""
    length = 2.0 * base * fineness
    if family == "secant-ogive":
        assert constant is not None
        constant = max(constant * (length**2 + base**2) / (2.0 * base), 1.0001 * smallest_arc(length, base))
    return Profile(family, length, base, constant)


@st.composite
def profiles(draw: st.DrawFn) -> Profile:
    """Any profile: base radius 4 to 150 mm, fineness 0.5 to 10, the whole range of each constant."""
    family = draw(st.sampled_from(tuple(FAMILY_CONSTANTS)))
    base = draw(st.floats(4.0, 150.0))
    length = max(2.0 * base * draw(st.floats(0.5, 10.0)), base)
    constant: float | None = None
    if family == "secant-ogive":
        constant = smallest_arc(length, base) * draw(st.floats(1.0001, 20.0))
    elif family == "parabola":
        constant = draw(st.floats(0.0, 1.0))
    elif family == "power-law":
        constant = draw(st.floats(0.25, 1.0))
    elif family == "haack":
        constant = draw(st.floats(0.0, 2.0 / 3.0))
    return Profile(family, length, base, constant)


def formula_radius(p: Profile, x: Floats) -> Floats:
    """Radius at the stations [mm] by the family's own definition, not by the code under test."""
    length, base, u = p.length, p.base_radius, x / p.length
    if p.family in ("tangent-ogive", "secant-ogive"):
        arc = (base**2 + length**2) / (2.0 * base) if p.family == "tangent-ogive" else p.constant
        assert arc is not None
        # The chord from tip to rim makes atan(R/L) with the axis and acos(chord / 2 arc) with the radius at the tip.
        lean = math.atan(base / length) - math.acos(math.hypot(length, base) / (2.0 * arc))
        across = np.maximum(arc**2 - (arc * math.cos(lean) - x) ** 2, 0.0)
        return np.asarray(np.sqrt(across) + arc * math.sin(lean))
    if p.family == "half-ellipsoid":
        return np.asarray(base * np.sqrt(np.maximum(1.0 - (1.0 - u) ** 2, 0.0)))
    constant = {"cone": 0.0, "von-karman": 0.0}.get(p.family, p.constant)
    assert constant is not None
    if p.family in ("cone", "parabola"):
        return np.asarray(base * (2.0 * u - constant * u**2) / (2.0 - constant))
    if p.family == "power-law":
        return np.asarray(base * u**constant)
    theta = np.arccos(1.0 - 2.0 * u)
    square = theta - np.sin(2.0 * theta) / 2.0 + constant * np.sin(theta) ** 3
    return np.asarray(base * np.sqrt(np.maximum(square, 0.0) / math.pi))


def formula_points(p: Profile, count: int = 30001) -> Floats:
    """Dense points (count, 2) of a profile by its formula, crowded at the tip as the fourth power [mm].

    Chords of these lie within 5e-8 mm of the curve for every profile sampled here.
    """
    x = p.length * np.sin(np.pi / 2.0 * np.linspace(0.0, 1.0, count) ** 2) ** 2
    return np.column_stack([x, formula_radius(p, x)])


def chain_points(chain: Chain, count: int = 201) -> Floats:
    """Points along a chain, `count` on every piece, ends and all [mm]."""
    return np.vstack([piece.at(np.linspace(0.0, 1.0, count)) for piece in chain])


def distances(points: Floats, polyline: Floats) -> Floats:
    """Distance (n,) [mm] of points from a dense open polyline: nearest vertex, then its two segments."""
    nearest = cKDTree(polyline).query(points)[1]
    best = np.full(len(points), np.inf)
    for step in (-1, 0):
        first = np.clip(nearest + step, 0, len(polyline) - 2)
        a, along = polyline[first], polyline[first + 1] - polyline[first]
        share = np.einsum("ij,ij->i", points - a, along) / np.maximum(np.einsum("ij,ij->i", along, along), 1e-300)
        best = np.minimum(best, np.linalg.norm(points - a - along * np.clip(share, 0.0, 1.0)[:, None], axis=1))
    return best


def turned(chain: Chain, role: Role = "") -> Revolved:
    """A solid under a profile that starts on the axis, closed by its base."""
    end_x, end_r = chain[-1].end
    closing = (Edge(Line((end_x, end_r), (end_x, 0.0))), Edge(Line((end_x, 0.0), chain[0].start)))
    return Revolved(Meridian((*edges(chain, role), *closing)))


def hollow(p: Profile, wall: float) -> Revolved:
    """A nose of constant wall, open at its base."""
    outer, inner = p.chain(), inner_profile(p.chain(), wall)
    back = tuple(piece.reversed() for piece in reversed(inner))
    return Revolved(
        Meridian(
            (
                *edges(outer, "wetted"),
                Edge(Line(outer[-1].end, inner[-1].end)),
                *edges(back),
                Edge(Line(inner[0].start, outer[0].start)),
            )
        )
    )


def section(*stretches: tuple[Chain, Role]) -> Revolved:
    """A turned solid from stretches of its section, in order, the last one meeting the first."""
    return Revolved(Meridian(tuple(edge for chain, role in stretches for edge in edges(chain, role))))


def tube(outside: float, bore: float, length: float, outer_role: Role = "", bore_role: Role = "") -> Revolved:
    """A tube by its radii and length [mm]; a bore of 0 makes a bar."""
    return section(
        ((Line((0.0, outside), (length, outside)),), outer_role),
        ((Line((length, outside), (length, bore)),), ""),
        ((Line((length, bore), (0.0, bore)),), bore_role),
        ((Line((0.0, bore), (0.0, outside)),), ""),
    )


def bore_through(
    radius: float, station: float, to_radius: float, roll: float = 0.0, start: float = 0.0
) -> RadialFeature:
    """A round radial feature [mm]."""
    return RadialFeature(station, roll, Outline(circle(radius)), start, to_radius)


CURVES: dict[str, Piece] = {
    "line": Line((3.0, -2.0), (11.0, 4.0)),
    "arc": Arc((2.0, -3.0), 7.0, 0.4, 1.9),
    "clockwise arc": Arc((2.0, -3.0), 7.0, 0.4, -2.6),
    "ellipse arc": EllipseArc((1.0, 2.0), 9.0, 4.0, 0.3, 2.2, 0.0),
    "tilted ellipse arc": EllipseArc((1.0, 2.0), 9.0, 4.0, 2.0, -2.9, 0.7),
    "parabola": Bezier(((0.0, 0.0), (4.0, 9.0), (12.0, 5.0))),
    "bezier of degree 5": Bezier(((0.0, 0.0), (3.0, 4.0), (5.0, -6.0), (9.0, 8.0), (11.0, 2.0), (15.0, 3.0))),
    "bezier with an upright tip": Bezier(((0.0, 0.0), (0.0, 0.0), (0.0, 6.0), (10.0, 8.0))),
}
"""One piece of each sort, none of them special."""


def layer_area(found: Mesh, height: float) -> float:
    """Area [mm2] that a mesh encloses in the plane x = height, each part counted as often as it is wrapped."""
    corners = found.vertices[found.triangles]
    above = corners[:, :, 0] > height
    cut = above.any(axis=1) & ~above.all(axis=1)
    corners, above = corners[cut], above[cut]
    alone = np.argmax(above == (above.sum(axis=1) == 1)[:, None], axis=1)
    row = np.arange(len(corners))
    a, b, c = corners[row, alone], corners[row, (alone + 1) % 3], corners[row, (alone + 2) % 3]
    p = a + (b - a) * ((height - a[:, 0]) / (b[:, 0] - a[:, 0]))[:, None]
    q = a + (c - a) * ((height - a[:, 0]) / (c[:, 0] - a[:, 0]))[:, None]
    twice = p[:, 1] * q[:, 2] - p[:, 2] * q[:, 1]
    # Triangles run anticlockwise seen from outside; with the lone corner above, the cut runs from p to q.
    return float(np.sum(np.where(above[row, alone], twice, -twice))) / 2.0


def facet_points(found: Mesh, per_side: int = 4) -> Floats:
    """Points (n, 3) spread over every facet of a mesh, its corners among them [mm]."""
    shares = [
        (i / per_side, j / per_side, (per_side - i - j) / per_side)
        for i in range(per_side + 1)
        for j in range(per_side + 1 - i)
    ]
    return np.asarray(np.einsum("sk,mkd->msd", np.array(shares), found.vertices[found.triangles]).reshape(-1, 3))


def radial(points: Floats) -> Floats:
    """Points (n, 3) as station and radius (n, 2) [mm]."""
    return np.column_stack([points[:, 0], np.hypot(points[:, 1], points[:, 2])])


def closed_polyline(chain: Chain, count: int = 4001) -> Floats:
    """Dense points of a closed chain, first point repeated at the end [mm]."""
    points = chain_points(chain, count)
    return np.vstack([points, points[:1]])
