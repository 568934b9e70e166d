"""Solids of the CAD kernel against closed forms, against each other and against the exact integrals.

Sources: volumes and moments of inertia of cone, cylinder, sphere, ellipsoid, ring and plate are those of any mechanics
handbook, derived from their integrals. What a round bore takes out of a wall is integrated with scipy's quadrature.
"""

from __future__ import annotations

import math
import os
import subprocess
import sys
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from geometry_samples import PROFILE_CASES, bore_through, formula_radius, hollow, profile, section, tube, turned
from scipy.integrate import quad

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line
from ferrule.parts.errors import PartError
from ferrule.parts.profiles import Family, Profile
from ferrule.parts.readers import brep, integrals
from ferrule.parts.readers.brep import face_areas, measure, section_area, solid
from ferrule.parts.shape import (
    Array,
    Bevelled,
    Blade,
    Cut,
    Edge,
    EdgeForm,
    Fused,
    Meridian,
    Outline,
    Placed,
    Plate,
    RadialFeature,
    Revolved,
    Rounded,
    Shape,
    circle,
    hole,
    moved,
    polygon,
    rolled,
)

PLAIN = 1e-11
"""Relative, of solids as revolved or extruded: the kernel's rule is exact for their faces but for rounding."""

PADDING = 2e-7
"""The kernel pads the bounds of curved faces by 1e-7 mm."""


def check(shape: Shape, volume: float, centroid: Sequence[float], axial: float, across: float, faces: int) -> None:
    """Volume, centroid and inertia about the centroid, along x and across it, of one sound solid."""
    found = measure(solid(shape))
    assert found.valid
    assert found.bodies == 1
    assert found.faces == faces
    assert found.moments.volume == pytest.approx(volume, rel=PLAIN)
    size = math.sqrt(across / volume)
    assert np.allclose(found.moments.centroid, centroid, rtol=0.0, atol=PLAIN * size)
    inertia = found.moments.inertia()
    assert inertia[0, 0] == pytest.approx(axial, rel=PLAIN)
    assert inertia[1, 1] == pytest.approx(across, rel=PLAIN)
    assert inertia[2, 2] == pytest.approx(across, rel=PLAIN)
    assert np.allclose(inertia, np.diag(np.diag(inertia)), rtol=0.0, atol=PLAIN * across)


def agree(shape: Shape, volume: float, inertia: float, what: str = "the part") -> brep.Solid:
    """A sound solid whose moments are those of the integrals, within relative tolerances."""
    body = solid(shape, what)
    assert brep.is_valid(body)
    found, exact = brep.moments(body), integrals.moments(shape)
    assert found.volume == pytest.approx(exact.volume, rel=volume)
    scale = float(np.abs(exact.inertia()).max())
    assert np.allclose(found.inertia(), exact.inertia(), rtol=0.0, atol=inertia * scale)
    assert np.allclose(found.centroid, exact.centroid, rtol=0.0, atol=10.0 * volume * math.sqrt(scale / exact.volume))
    return body


def test_a_cone() -> None:
    r, length = 33.0, 200.0
    volume = math.pi * r**2 * length / 3.0
    shape = turned((Line((0.0, 0.0), (length, r)),))
    across = 3.0 / 80.0 * volume * (4.0 * r**2 + length**2)
    check(shape, volume, (0.75 * length, 0.0, 0.0), 0.3 * volume * r**2, across, faces=2)


def test_a_tube() -> None:
    r, bore, length = 33.0, 31.5, 300.0
    volume = math.pi * (r**2 - bore**2) * length
    across = volume * (3.0 * (r**2 + bore**2) + length**2) / 12.0
    axial = volume * (r**2 + bore**2) / 2.0
    check(tube(r, bore, length), volume, (length / 2.0, 0.0, 0.0), axial, across, faces=4)


def test_half_an_ellipsoid() -> None:
    r, length = 33.0, 120.0
    volume = 2.0 / 3.0 * math.pi * r**2 * length
    shape = turned(Profile("half-ellipsoid", length, r).chain())
    across = volume * ((r**2 + length**2) / 5.0 - (3.0 / 8.0 * length) ** 2)
    check(shape, volume, (5.0 / 8.0 * length, 0.0, 0.0), 0.4 * volume * r**2, across, faces=2)


@pytest.mark.parametrize("sweep", [-math.pi, math.pi])
def test_a_ball_from_an_arc_either_way_round(sweep: float) -> None:
    r = 20.0
    arc = Arc((r, 0.0), r, math.pi if sweep < 0.0 else 0.0, sweep)
    edges = (Edge(arc if sweep < 0.0 else arc.reversed()), Edge(Line((2.0 * r, 0.0), (0.0, 0.0))))
    volume = 4.0 / 3.0 * math.pi * r**3
    inertia = 0.4 * volume * r**2
    check(Revolved(Meridian(edges)), volume, (r, 0.0, 0.0), inertia, inertia, faces=1)


def test_a_whole_ellipsoid_is_drawn_in_two_faces_and_stays_one() -> None:
    r, half = 20.0, 35.0
    arc = EllipseArc((half, 0.0), half, r, math.pi, -math.pi)
    shape = Revolved(Meridian((Edge(arc), Edge(Line((2.0 * half, 0.0), (0.0, 0.0))))))
    volume = 4.0 / 3.0 * math.pi * r**2 * half
    check(shape, volume, (half, 0.0, 0.0), 0.4 * volume * r**2, volume * (r**2 + half**2) / 5.0, faces=2)


def test_an_o_ring() -> None:
    big, small = 30.0, 4.0
    shape = Revolved(Meridian((Edge(Arc((0.0, big), small, 0.0, -math.tau)),)))
    volume = 2.0 * math.pi**2 * big * small**2
    axial = volume * (big**2 + 0.75 * small**2)
    across = volume * (big**2 / 2.0 + 0.625 * small**2)
    check(shape, volume, (0.0, 0.0, 0.0), axial, across, faces=1)


def test_a_ring_with_four_holes() -> None:
    """Holes on a pitch circle: a plane figure, so each moment is a sum over circles (parallel axes)."""
    outside, bore, screw, pitch, thickness = 33.0, 15.0, 2.0, 24.0, 6.0
    places = tuple((pitch * math.cos(a), pitch * math.sin(a)) for a in np.arange(4) * math.pi / 2.0)
    shape = Plate(Outline(circle(outside), (hole(bore), *(hole(screw, place) for place in places))), thickness)
    area = math.pi * (outside**2 - bore**2 - 4.0 * screw**2)
    polar = math.pi / 2.0 * (outside**4 - bore**4) - 4.0 * math.pi * screw**2 * (pitch**2 + screw**2 / 2.0)
    volume = area * thickness
    across = polar * thickness / 2.0 + volume * thickness**2 / 12.0
    check(shape, volume, (thickness / 2.0, 0.0, 0.0), polar * thickness, across, faces=8)


@pytest.mark.parametrize(("semi_y", "semi_z"), [(30.0, 12.0), (12.0, 30.0)])
@pytest.mark.parametrize("tilt", [0.0, 0.4])
def test_an_elliptic_plate_lies_in_its_plane(semi_y: float, semi_z: float, tilt: float) -> None:
    quarters = tuple(
        Edge(EllipseArc((5.0, -2.0), semi_y, semi_z, k * math.pi / 2.0, math.pi / 2.0, tilt)) for k in range(4)
    )
    found = measure(solid(Plate(Outline(quarters), 3.0)))
    assert found.valid
    assert found.faces == 6
    assert found.moments.volume == pytest.approx(math.pi * semi_y * semi_z * 3.0, rel=PLAIN)
    assert found.moments.centroid == pytest.approx((1.5, 5.0, -2.0), abs=1e-10)
    reach = math.hypot(semi_y * math.cos(tilt), semi_z * math.sin(tilt))
    assert found.high[1] == pytest.approx(5.0 + reach, abs=PADDING)


def test_a_plate_with_curved_edges_agrees_with_the_integrals() -> None:
    outline = Outline(
        (
            Edge(Line((0.0, 0.0), (90.0, 0.0))),
            Edge(Bezier(((90.0, 0.0), (95.0, 20.0), (80.0, 45.0), (70.0, 60.0)))),
            Edge(Arc((60.0, 60.0), 10.0, 0.0, math.pi / 2.0)),
            Edge(EllipseArc((60.0, 0.0), 60.0, 70.0, math.pi / 2.0, math.pi / 2.0)),
        )
    )
    body = agree(Plate(outline, 4.0), PLAIN, PLAIN)
    assert brep.faces(body) == 6


@pytest.mark.parametrize("wall", [None, 2.0], ids=["solid", "hollow"])
@pytest.mark.parametrize("fineness", [0.5, 0.75, 1.0, 3.0, 6.0, 10.0])
@pytest.mark.parametrize(("family", "constant"), PROFILE_CASES)
def test_every_profile_revolves_into_a_sound_solid(
    family: Family, constant: float | None, fineness: float, wall: float | None
) -> None:
    p = profile(family, constant, fineness)
    shape = turned(p.chain()) if wall is None else hollow(p, wall)
    body = agree(shape, PLAIN, PLAIN)
    off_axis = [e for e in shape.meridian.edges if max(e.piece.start[1], e.piece.end[1]) > 1e-7]
    assert brep.faces(body) == len(off_axis), "one face for each piece of the section"


@pytest.mark.parametrize(("family", "constant"), [("von-karman", None), ("half-ellipsoid", None), ("power-law", 0.6)])
def test_sections_follow_the_formula_at_many_stations(family: Family, constant: float | None) -> None:
    p = profile(family, constant)
    body = solid(turned(p.chain()))
    stations = p.length * (np.arange(12) + 0.5) / 12.0
    found = [section_area(body, float(x)) for x in stations]
    # The chain is within 1e-5 mm of the formula, which at the first station's radius of 5 mm is 4e-6 of the area.
    assert found == pytest.approx((math.pi * formula_radius(p, stations) ** 2).tolist(), rel=4e-6)


def test_the_section_of_a_tube_is_a_ring_and_beside_it_nothing() -> None:
    body = solid(tube(33.0, 30.0, 100.0))
    assert section_area(body, 40.0) == pytest.approx(math.pi * (33.0**2 - 30.0**2), rel=1e-12)
    assert section_area(body, 140.0) == 0.0


def test_face_areas_are_those_of_the_tube() -> None:
    found = sorted(face_areas(solid(tube(33.0, 30.0, 100.0))))
    end = math.pi * (33.0**2 - 30.0**2)
    assert found == pytest.approx([end, end, math.tau * 3000.0, math.tau * 3300.0], rel=1e-12)


@pytest.mark.parametrize("roll", [0.0, 0.3, math.pi])
def test_three_bores_through_a_tube_take_what_quadrature_says(roll: float) -> None:
    """At roll 0 and half a turn a bore lies across the seam of the turned faces."""
    outside, bore, radius = 30.0, 28.0, 2.0
    drilled = Array(bore_through(radius, 50.0, 40.0, roll), 3)
    body = agree(Cut(tube(outside, bore, 100.0), (drilled,)), 1e-10, 1e-9)

    def depth(w: float) -> float:
        return math.sqrt(outside**2 - w**2) - math.sqrt(bore**2 - w**2)

    taken = quad(
        lambda phi: 2.0 * (radius * math.cos(phi)) ** 2 * depth(radius * math.sin(phi)), -math.pi / 2, math.pi / 2
    )
    whole = math.pi * (outside**2 - bore**2) * 100.0
    assert brep.moments(body).volume == pytest.approx(whole - 3.0 * taken[0], rel=1e-10)
    assert brep.faces(body) == 4 + 3


def test_a_square_slot_across_a_bar_takes_its_closed_form() -> None:
    """Half width h out of radius R, to the axis: length times h sqrt(R^2 - h^2) + R^2 asin(h/R)."""
    r, h, length = 20.0, 3.0, 12.0
    square = Outline(polygon(((-length / 2, -h), (length / 2, -h), (length / 2, h), (-length / 2, h))))
    body = solid(Cut(tube(r, 0.0, 80.0), (RadialFeature(40.0, 0.7, square, 0.0, 30.0),)))
    taken = length * (h * math.sqrt(r**2 - h**2) + r**2 * math.asin(h / r))
    assert brep.is_valid(body)
    assert brep.moments(body).volume == pytest.approx(math.pi * r**2 * 80.0 - taken, rel=1e-12)


@pytest.mark.parametrize("count", [1, 3])
def test_bosses_fused_onto_a_tube_count_once_where_they_overlap(count: int) -> None:
    boss = Array(bore_through(4.0, 50.0, 34.0, 0.3, 29.0), count)
    body = agree(Fused((tube(30.0, 28.0, 100.0), boss)), 1e-9, 1e-8)
    assert brep.bodies(body) == 1


@pytest.mark.parametrize(("family", "constant"), [("tangent-ogive", None), ("half-ellipsoid", None), ("haack", 1 / 3)])
def test_screw_holes_through_a_curved_wall(family: Family, constant: float | None) -> None:
    p = profile(family, constant)
    # The kernel fits the edges of the holes to 1e-7 mm and weighs them as its integrals can: see its tolerance.
    agree(Cut(hollow(p, 2.0), (Array(bore_through(1.6, 150.0, 40.0, 0.2, 5.0), 3),)), 1e-6, 1e-5)


def test_roll_is_clockwise_seen_from_behind() -> None:
    """From +y at roll 0 towards -z at a quarter turn."""
    boss = bore_through(2.0, 50.0, 40.0, math.pi / 2.0, 29.0)
    found = measure(solid(Fused((tube(30.0, 28.0, 100.0), boss))))
    assert found.low[2] == pytest.approx(-40.0, abs=PADDING)
    assert found.high[2] == pytest.approx(30.0, abs=PADDING)
    assert found.high[1] == pytest.approx(30.0, abs=PADDING)
    turned_round = measure(solid(Placed(bore_through(2.0, 50.0, 40.0, 0.0, 29.0), rolled(math.pi / 2.0))))
    assert turned_round.low[2] == pytest.approx(-40.0, abs=PADDING)


SQUARE = Outline(polygon(((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0))))


def test_a_blade_as_cut_stands_in_the_fin_frame() -> None:
    found = measure(solid(Blade(SQUARE, 4.0)))
    assert found.moments.volume == pytest.approx(100.0 * 60.0 * 4.0, rel=1e-14)
    assert found.low == pytest.approx((0.0, 0.0, -2.0), abs=1e-12)
    assert found.high == pytest.approx((100.0, 60.0, 2.0), abs=1e-12)


def test_a_rounded_edge_takes_its_two_corners() -> None:
    """(1 - pi/4) r^2 of each corner, over the length less the clearances at which it stops square."""
    form = EdgeForm(1, Rounded(1.5), clearance_start=8.0, clearance_end=2.0)
    body = solid(Blade(SQUARE, 4.0, (form,)))
    taken = 2.0 * (1.0 - math.pi / 4.0) * 1.5**2 * (60.0 - 10.0)
    assert brep.is_valid(body)
    assert brep.moments(body).volume == pytest.approx(100.0 * 60.0 * 4.0 - taken, rel=1e-12)


def test_an_edge_rounded_to_half_the_thickness_is_half_a_cylinder() -> None:
    body = solid(Blade(SQUARE, 4.0, (EdgeForm(1, Rounded(2.0)),)))
    assert brep.is_valid(body)
    assert brep.moments(body).volume == pytest.approx((98.0 * 4.0 + math.pi * 2.0) * 60.0, rel=1e-12)


@pytest.mark.parametrize(("sides", "land"), [(1, 1.0), (2, 1.0), (1, 0.0), (2, 0.0)])
def test_a_bevelled_edge_takes_its_wedge(sides: Any, land: float) -> None:
    """From one side a triangle of depth times (thickness - land) / 2 in all, from both sides the same in two halves."""
    body = solid(Blade(SQUARE, 4.0, (EdgeForm(1, Bevelled(10.0, land, sides)),)))
    taken = 10.0 * (4.0 - land) / 2.0 * 60.0
    assert brep.is_valid(body)
    assert brep.moments(body).volume == pytest.approx(100.0 * 60.0 * 4.0 - taken, rel=1e-12)


def test_bevels_that_meet_at_a_corner_leave_one_sound_solid() -> None:
    forms = (EdgeForm(3, Bevelled(10.0, 1.0), 5.0), EdgeForm(2, Bevelled(8.0, 1.0)), EdgeForm(1, Rounded(2.0), 5.0))
    blade = Blade(Outline(polygon(((0.0, 0.0), (120.0, 0.0), (110.0, 58.0), (50.0, 58.0)))), 4.0, forms)
    # The integrals take what curved tools share from a mesh, good to 5e-7 of the blade here.
    agree(blade, 1e-6, 1e-5)


def test_fins_sunk_into_a_tube_make_one_solid() -> None:
    fin = Placed(Blade(SQUARE, 4.0), moved(x=10.0, y=29.0))
    body = solid(Fused((tube(30.0, 28.0, 150.0), Array(fin, 3))))
    assert brep.is_valid(body)
    assert brep.bodies(body) == 1
    # Out of the tube stands the slab of 4 mm, less what lies inside the radius of 30 mm.
    inside = 2.0 * math.sqrt(30.0**2 - 4.0) + 30.0**2 * math.asin(2.0 / 30.0)
    above = (4.0 * (29.0 + 60.0) - inside) * 100.0
    whole = math.pi * (30.0**2 - 28.0**2) * 150.0 + 3.0 * above
    assert brep.moments(body).volume == pytest.approx(whole, rel=1e-12)


def test_members_that_do_not_touch_stay_apart() -> None:
    found = measure(solid(Array(Placed(Blade(SQUARE, 4.0), moved(y=40.0)), 3)))
    assert found.bodies == 3
    assert found.valid
    assert found.moments.volume == pytest.approx(3.0 * 100.0 * 60.0 * 4.0, rel=1e-12)


def test_inertia_about_the_origin_is_the_parallel_axis_sum() -> None:
    found = measure(solid(Placed(tube(30.0, 0.0, 50.0), moved(x=100.0, y=7.0))))
    c = np.array(found.moments.centroid)
    shift = found.moments.volume * (c @ c * np.eye(3) - np.outer(c, c))
    assert np.allclose(found.inertia, found.moments.inertia() + shift, rtol=1e-12, atol=1e-6)


def test_a_section_that_ends_a_hair_beside_its_axis_closes_on_it() -> None:
    hair = 9e-8
    shape = section(
        ((Line((0.0, hair), (50.0, 20.0)),), ""),
        ((Line((50.0, 20.0), (50.0, hair)),), ""),
        ((Line((50.0, hair), (0.0, hair)),), ""),
    )
    body = solid(shape)
    assert brep.is_valid(body)
    assert brep.faces(body) == 2


@pytest.mark.parametrize("share", [1.0 / 16.0, 1.0 / 4.0])
def test_a_tip_that_keeps_within_a_hair_of_its_axis_for_long_is_revolved(share: float) -> None:
    """Degree 8: x = 200 s^8 and r = 33 s^6, in two pieces; the first starts with five derivatives of zero."""
    x = (*(0.0,) * 8, 200.0)
    r = (*(0.0,) * 6, 33.0 / 28.0, 33.0 / 4.0, 33.0)
    whole = Bezier(tuple(zip(x, r, strict=True)))
    volume = math.pi * 33.0**2 * 200.0 * 8.0 / 20.0
    body = solid(turned((whole.part(0.0, share), whole.part(share, 1.0))))
    assert brep.is_valid(body)
    assert brep.moments(body).volume == pytest.approx(volume, rel=PLAIN)


def test_nothing_left_is_said_by_the_name_of_the_part() -> None:
    with pytest.raises(PartError, match=r"^ring 2: nothing is left of the solid"):
        solid(Cut(tube(20.0, 10.0, 5.0), (Placed(tube(30.0, 0.0, 20.0), moved(x=-5.0)),)), "ring 2")


def test_a_failure_of_the_kernel_says_what_was_being_built() -> None:
    flat = RadialFeature(12.0, 0.0, Outline(circle(2.0)), 0.0, 1e-300)  # above 0, and nothing to the kernel
    with pytest.raises(
        PartError, match=r"^tube 1: the radial feature at station 12 mm: the CAD kernel could not extrude"
    ):
        solid(Cut(tube(20.0, 10.0, 50.0), (flat,)), "tube 1")


def test_the_reader_starts_without_the_kernel() -> None:
    code = "import sys, ferrule.parts.readers.brep, ferrule.parts.writers.step; sys.exit('OCP' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], check=False, env=path_of_the_tests())
    assert done.returncode == 0


def path_of_the_tests() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
