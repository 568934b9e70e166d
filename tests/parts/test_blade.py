"""Worked fin edges against volumes by hand.

Sources: elementary geometry. A rounded corner of radius r leaves (1 - pi/4) r^2 less section than a square one; a bevel
of depth d that leaves a land l of a thickness t takes a triangle of d (t - l) / 2, whether from one side or from both.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from geometry_samples import layer_area
from hypothesis import given
from hypothesis import strategies as st

from ferrule.parts.blade import as_plates
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import GRID, mesh
from ferrule.parts.shape import Bevelled, Blade, Cut, EdgeForm, Outline, Placed, Rounded, polygon

LENGTH, SPAN, THICK = 100.0, 40.0, 3.0
RECTANGLE = Outline(polygon(((0.0, 0.0), (LENGTH, 0.0), (LENGTH, SPAN), (0.0, SPAN))))
"""Edges: 0 root along +x, 1 trailing, 2 tip, 3 leading."""

FLAT = 1e-9
"""Relative: flat tools are exact but for the mesh grid of 1e-6 mm on a tool's share of the blade."""

ROUND = 1e-7
"""Relative: rounded tools are meshed within 0.002 mm and true in volume, but for the mesh grid."""

ROOT, TRAILING, TIP, LEADING = range(4)


def volume(forms: tuple[EdgeForm, ...], planform: Outline = RECTANGLE, thickness: float = THICK) -> float:
    return moments(Blade(planform, thickness, forms)).volume


def test_a_blade_as_cut_is_one_plate_in_the_middle_of_its_thickness() -> None:
    found = as_plates(Blade(RECTANGLE, THICK))
    assert isinstance(found, Placed)
    assert moments(found).volume == pytest.approx(LENGTH * SPAN * THICK, rel=1e-13)
    assert moments(found).centroid == pytest.approx((LENGTH / 2, SPAN / 2, 0.0), abs=1e-12)


@pytest.mark.parametrize("radius", [0.2, 1.0, 1.5])
@pytest.mark.parametrize(("edge", "run"), [(ROOT, LENGTH), (TRAILING, SPAN), (TIP, LENGTH), (LEADING, SPAN)])
def test_a_rounded_edge_loses_two_corners(edge: int, run: float, radius: float) -> None:
    taken = LENGTH * SPAN * THICK - volume((EdgeForm(edge, Rounded(radius)),))
    assert taken == pytest.approx(2.0 * (1.0 - math.pi / 4.0) * radius**2 * run, abs=ROUND * LENGTH * SPAN * THICK)


@pytest.mark.parametrize("sides", [1, 2])
@pytest.mark.parametrize("land", [0.0, 0.5, 2.9])
@pytest.mark.parametrize(("edge", "run"), [(ROOT, LENGTH), (TRAILING, SPAN), (TIP, LENGTH), (LEADING, SPAN)])
def test_a_bevelled_edge_loses_a_triangle(edge: int, run: float, land: float, sides: int) -> None:
    depth = 8.0
    form = EdgeForm(edge, Bevelled(depth, land, sides))  # type: ignore[arg-type]
    taken = LENGTH * SPAN * THICK - volume((form,))
    assert taken == pytest.approx(depth * (THICK - land) / 2.0 * run, abs=FLAT * LENGTH * SPAN * THICK)


@given(st.floats(0.5, 30.0), st.floats(0.0, 0.95), st.floats(0.3, 12.0), st.sampled_from([1, 2]))
def test_any_bevel_takes_its_triangle(depth: float, land_share: float, thickness: float, sides: int) -> None:
    land = land_share * thickness
    whole = LENGTH * SPAN * thickness
    form = EdgeForm(TIP, Bevelled(depth, land, sides))  # type: ignore[arg-type]
    taken = whole - volume((form,), thickness=thickness)
    # What a tool shares with the blade is measured on facets whose corners lie on a grid of 1e-6 mm.
    slack = GRID * 2.0 * (depth + thickness) * LENGTH
    assert taken == pytest.approx(depth * (thickness - land) / 2.0 * LENGTH, abs=slack + 1e-12 * whole)


def test_a_bevel_from_one_side_leaves_its_land_on_the_far_face() -> None:
    one, both = (moments(Blade(RECTANGLE, THICK, (EdgeForm(TIP, Bevelled(8.0, 0.5, n)),))) for n in (1, 2))
    # The triangle of 8 x 2.5 has its centroid a third of its height under the face: 1.5 - 2.5/3 from the middle.
    taken = 8.0 * 2.5 / 2.0 * LENGTH
    assert one.centroid[2] == pytest.approx(-taken * (1.5 - 2.5 / 3.0) / one.volume, abs=1e-7)
    assert both.centroid[2] == pytest.approx(0.0, abs=1e-7)
    edge = mesh(Blade(RECTANGLE, THICK, (EdgeForm(TIP, Bevelled(8.0, 0.5, 1)),))).vertices
    rim = edge[np.abs(edge[:, 1] - SPAN) < 1e-5]
    assert (rim[:, 2].min(), rim[:, 2].max()) == pytest.approx((-1.5, -1.0), abs=1e-5)


def test_a_knife_edge_from_both_sides_lies_in_the_middle() -> None:
    vertices = mesh(Blade(RECTANGLE, THICK, (EdgeForm(TIP, Bevelled(8.0, 0.0)),))).vertices
    rim = vertices[np.abs(vertices[:, 1] - SPAN) < 1e-5]
    assert np.abs(rim[:, 2]).max() < 1e-5


@pytest.mark.parametrize("form", [Rounded(1.5), Bevelled(8.0, 0.5, 1), Bevelled(8.0, 0.5, 2)])
@pytest.mark.parametrize(("start", "end"), [(7.0, 0.0), (0.0, 12.0), (7.0, 12.0)])
def test_a_worked_edge_stops_square_at_its_clearances(form: Rounded | Bevelled, start: float, end: float) -> None:
    blade = Blade(RECTANGLE, THICK, (EdgeForm(ROOT, form, start, end),))
    section = 2.0 * (1.0 - math.pi / 4.0) * form.radius**2 if isinstance(form, Rounded) else 8.0 * 2.5 / 2.0
    taken = LENGTH * SPAN * THICK - moments(blade).volume
    assert taken == pytest.approx(section * (LENGTH - start - end), abs=ROUND * LENGTH * SPAN * THICK)
    found = mesh(blade)
    assert found.faults() == ()
    # The root runs along x, so that a layer is a section: whole up to the clearance, worked right behind it.
    for x in (0.5, start - 1e-3, start + 1e-3, LENGTH / 2.0, LENGTH - end - 1e-3, LENGTH - end + 1e-3, LENGTH - 0.5):
        if 0.0 < x < LENGTH:
            worked = start < x < LENGTH - end
            # A rounded corner is meshed within 0.02 mm along its quarter circle of 1.5 mm.
            exact = SPAN * THICK - (section if worked else 0.0)
            assert layer_area(found, x) == pytest.approx(exact, abs=1e-4 if worked else 1e-6)


def test_edges_of_one_blade_are_worked_one_by_one() -> None:
    forms = (EdgeForm(LEADING, Rounded(1.5), 5.0, 5.0), EdgeForm(TRAILING, Bevelled(8.0, 0.5), 0.0, 10.0))
    both = volume(forms)
    whole = LENGTH * SPAN * THICK
    assert whole - both == pytest.approx(sum(whole - volume((form,)) for form in forms), abs=ROUND * whole)


def test_bevels_that_meet_at_a_corner_take_what_they_share_once() -> None:
    depth, land = 8.0, 0.5
    forms = (EdgeForm(TRAILING, Bevelled(depth, land)), EdgeForm(TIP, Bevelled(depth, land)))
    # In the corner square the thickness is land + (t - land) min(u, v), whose mean over the square is a third.
    corner = depth**2 * (land + (THICK - land) / 3.0)
    sides = (LENGTH + SPAN - 2.0 * depth) * depth * (THICK + land) / 2.0
    exact = corner + sides + (LENGTH - depth) * (SPAN - depth) * THICK
    assert volume(forms) == pytest.approx(exact, rel=FLAT)


def bevel_over(edge_length: float, wider: float, depth: float, drop: float) -> float:
    """What a bevel takes from an edge whose parallel at a depth s is `edge_length` + `wider` s long."""
    # Integral of drop (1 - s/d) (L + k s) over 0 to d.
    return drop * (edge_length * depth / 2.0 + wider * depth**2 / 6.0)


def test_a_bevel_runs_off_a_sharp_corner() -> None:
    planform = Outline(polygon(((0.0, 0.0), (100.0, 0.0), (70.0, 40.0), (30.0, 40.0))))
    taken = 70.0 * 40.0 * THICK - volume((EdgeForm(ROOT, Bevelled(8.0, 1.0)),), planform)
    # Both sides lean inwards by 30 in 40.
    assert taken == pytest.approx(bevel_over(100.0, -1.5, 8.0, THICK - 1.0), rel=1e-7)


def test_a_bevel_runs_over_all_that_lies_beyond_a_wide_corner() -> None:
    planform = Outline(polygon(((30.0, 0.0), (70.0, 0.0), (100.0, 40.0), (0.0, 40.0))))
    taken = 70.0 * 40.0 * THICK - volume((EdgeForm(ROOT, Bevelled(8.0, 1.0)),), planform)
    assert taken == pytest.approx(bevel_over(40.0, 1.5, 8.0, THICK - 1.0), rel=1e-7)


def test_a_bevel_runs_over_all_that_lies_beyond_a_very_wide_corner() -> None:
    # A leading edge swept by 63 degrees meets the tip at 153 degrees: 10 mm deep, the blade goes on for 20 mm.
    planform = Outline(polygon(((0.0, 0.0), (120.0, 0.0), (130.0, 30.0), (60.0, 30.0))))
    taken = 95.0 * 30.0 * THICK - volume((EdgeForm(LEADING, Bevelled(10.0, 1.0)),), planform)
    # Its parallels between root and tip are all as long as the edge.
    assert taken == pytest.approx(bevel_over(math.hypot(60.0, 30.0), 0.0, 10.0, THICK - 1.0), rel=1e-7)


def test_a_bevel_that_runs_off_the_root_leaves_the_tab_as_it_is() -> None:
    points = (
        (0.0, 0.0),
        (15.0, 0.0),
        (15.0, -18.0),
        (105.0, -18.0),
        (105.0, 0.0),
        (120.0, 0.0),
        (120.0, 58.0),
        (0.0, 58.0),
    )
    planform = Outline(polygon(points))
    blade = Blade(planform, THICK, (EdgeForm(5, Bevelled(20.0, 1.0)),))
    taken = (120.0 * 58.0 + 90.0 * 18.0) * THICK - moments(blade).volume
    # A tool has to reach a little past the corner, here over 5 mm of the tab's width.
    assert taken == pytest.approx(bevel_over(58.0, 0.0, 20.0, THICK - 1.0), abs=0.1)


def test_worked_blades_are_sound_meshes_of_their_volume() -> None:
    planform = Outline(polygon(((0.0, 0.0), (120.0, 0.0), (110.0, 58.0), (50.0, 58.0))))
    forms = (
        EdgeForm(1, Bevelled(10.0, 1.0), 5.0, 0.0),
        EdgeForm(2, Rounded(1.5)),
        EdgeForm(3, Rounded(1.5), 0.0, 5.0),
    )
    blade = Blade(planform, THICK, forms)
    found = mesh(blade)
    assert found.faults() == ()
    assert isinstance(as_plates(blade), Cut)
    assert found.moments().volume == pytest.approx(moments(blade).volume, rel=1e-5)  # rounded corners within 0.02 mm
    assert found.moments().centroid[2] == pytest.approx(0.0, abs=1e-4)
