"""The shape language: what closes and which way it runs, rigid motions, and where a radial feature stands.

Sources: elementary geometry; the conventions of Ferrule's frames (axis +x aft, roll 0 on +y, positive roll clockwise
seen from behind), stated here once more in plain vectors.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from geometry_samples import bore_through, hollow, profile, tube, turned
from hypothesis import given
from hypothesis import strategies as st

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line, Piece
from ferrule.parts.errors import PartError
from ferrule.parts.readers.integrals import moments
from ferrule.parts.shape import (
    FLAT_TO_PLATE,
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
    Placement,
    Plate,
    RadialFeature,
    Revolved,
    Rounded,
    Shape,
    circle,
    edges,
    hole,
    instances,
    moved,
    polygon,
    radial_prism,
    rolled,
    signed_area,
)

SQUARE = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))

angles = st.floats(-10.0, 10.0)
lengths = st.floats(-200.0, 200.0)
placements = st.lists(
    st.builds(rolled, angles) | st.builds(moved, lengths, lengths, lengths) | st.just(FLAT_TO_PLATE),
    min_size=1,
    max_size=5,
).map(lambda steps: _after_each_other(steps))


def _after_each_other(steps: list[Placement]) -> Placement:
    total = Placement()
    for step in steps:
        total = step.after(total)
    return total


# ---- outlines and meridians


def test_an_outline_without_edges_is_refused() -> None:
    with pytest.raises(PartError, match="the outline has no edges"):
        Outline(())
    with pytest.raises(PartError, match="a hole of the outline has no edges"):
        Outline(circle(5.0), ((),))


def test_an_open_outline_is_refused_with_its_gap() -> None:
    with pytest.raises(PartError, match=r"the outline is open by 0\.001 mm"):
        Outline((*polygon(SQUARE)[:3], Edge(Line((0.0, 4.0), (0.0, 0.001)))))
    with pytest.raises(PartError, match="a hole of the outline is open by 1 mm"):
        Outline(circle(5.0), (tuple(reversed(polygon(((0.0, 0.0), (0.0, 1.0), (1.0, 0.0)))[:2])),))


def test_an_outline_that_runs_the_wrong_way_is_refused() -> None:
    with pytest.raises(PartError, match="must run anticlockwise"):
        Outline(polygon(SQUARE[::-1]))
    with pytest.raises(PartError, match="hole of the outline must run clockwise"):
        Outline(circle(5.0), (circle(1.0),))


def test_an_outline_round_no_area_is_refused() -> None:
    with pytest.raises(PartError, match="round some area"):
        Outline(polygon(((0.0, 0.0), (4.0, 0.0))))


def test_an_open_section_is_refused() -> None:
    with pytest.raises(PartError, match="the section is open by 4 mm"):
        Meridian(polygon(SQUARE[::-1])[:3])


def test_a_section_that_runs_forward_along_its_outside_is_refused() -> None:
    with pytest.raises(PartError, match="must run aft along its outside"):
        Meridian(polygon(SQUARE))


def test_a_section_that_crosses_the_axis_is_refused_but_rounding_is_not() -> None:
    with pytest.raises(PartError, match=r"crosses its own axis by 0\.01 mm"):
        Meridian(polygon(((0.0, -0.01), (0.0, 4.0), (4.0, 4.0), (4.0, 0.0))))
    Meridian(polygon(((0.0, -1e-12), (0.0, 4.0), (4.0, 4.0), (4.0, 0.0))))


def test_a_section_that_dips_under_the_axis_between_its_ends_is_refused() -> None:
    dip = Bezier(((4.0, 0.5), (2.0, -2.0), (0.0, 0.5)))
    loop = (
        Edge(Line((0.0, 4.0), (4.0, 4.0))),
        Edge(Line((4.0, 4.0), (4.0, 0.5))),
        Edge(dip),
        Edge(Line((0.0, 0.5), (0.0, 4.0))),
    )
    with pytest.raises(PartError, match=r"crosses its own axis by 0\.75 mm"):
        Meridian(loop)


def test_the_pieces_of_a_role_come_in_order() -> None:
    section = tube(10.0, 8.0, 50.0, "wetted", "fit").meridian
    assert section.role("wetted") == (Line((0.0, 10.0), (50.0, 10.0)),)
    assert section.role("fit") == (Line((50.0, 8.0), (0.0, 8.0)),)
    assert section.role("seat") == ()
    assert len(section.role("")) == 2
    assert section.box() == (0.0, 50.0, 10.0)


def test_the_box_of_a_bulging_section_takes_in_the_bulge() -> None:
    # Largest radius of a secant ogive: arc radius (1 + sin alpha), the top of its circle.
    p = profile("secant-ogive", 0.75, 200.0 / 66.0)
    assert p.constant is not None
    lean = math.atan(33.0 / 200.0) - math.acos(math.hypot(200.0, 33.0) / (2.0 * p.constant))
    assert turned(p.chain()).meridian.box()[2] == pytest.approx(p.constant * (1.0 + math.sin(lean)), rel=1e-12)


@pytest.mark.parametrize(
    ("loop", "area"),
    [
        (circle(3.0, (5.0, -2.0)), math.pi * 9.0),
        (hole(3.0, (5.0, -2.0)), -math.pi * 9.0),
        ((Edge(EllipseArc((1.0, 1.0), 5.0, 2.0, 0.3, math.tau, 0.8)),), math.pi * 10.0),
        (polygon(((0.0, 0.0), (4.0, 0.0), (0.0, 3.0))), 6.0),
        # A parabola cuts two thirds off the box over its chord.
        (edges((Line((6.0, 0.0), (0.0, 0.0)), Bezier(((0.0, 0.0), (3.0, -8.0), (6.0, 0.0)))), ""), 16.0),
    ],
)
def test_the_area_in_a_loop_is_its_closed_form(loop: tuple[Edge, ...], area: float) -> None:
    assert signed_area(loop) == pytest.approx(area, rel=1e-12)


@given(lengths, lengths, angles)
def test_an_outline_keeps_its_area_when_it_is_placed(dx: float, dy: float, turn: float) -> None:
    outline = Outline(polygon(((0.0, 0.0), (9.0, 0.0), (7.0, 5.0), (1.0, 4.0))), (hole(1.0, (4.0, 2.0)),))
    placed = outline.placed(dx, dy, turn)
    # Areas of a 9 mm part 280 mm away lose 1e-16 * 280^2 mm2.
    assert [signed_area(loop) for loop in placed.loops] == pytest.approx(
        [signed_area(loop) for loop in outline.loops], abs=1e-9
    )


def test_the_box_of_an_outline_is_that_of_its_outer_loop() -> None:
    assert Outline(circle(5.0, (1.0, 2.0)), (hole(1.0),)).box() == pytest.approx((-4.0, -3.0, 6.0, 7.0), abs=1e-14)


# ---- rigid motions


@given(placements)
def test_every_placement_is_rigid(placement: Placement) -> None:
    turn = placement.matrix
    np.testing.assert_allclose(turn @ turn.T, np.eye(3), atol=1e-14)
    assert np.linalg.det(turn) == pytest.approx(1.0, abs=1e-14)


@given(placements, placements)
def test_a_placement_after_another_does_the_other_first(last: Placement, first: Placement) -> None:
    points = np.array([[1.0, 2.0, 3.0], [-4.0, 0.5, 7.0]])
    np.testing.assert_allclose(last.after(first).apply(points), last.apply(first.apply(points)), atol=1e-10)


@given(angles, angles)
def test_rolls_add(one: float, other: float) -> None:
    np.testing.assert_allclose(rolled(one).after(rolled(other)).matrix, rolled(one + other).matrix, atol=1e-14)


def test_a_roll_is_clockwise_seen_from_behind() -> None:
    # The viewer stands aft and looks forward, along -x, with roll 0 (+y) up. To the right is forward x up.
    forward, up = np.array([-1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    right = np.cross(forward, up)
    np.testing.assert_allclose(rolled(math.pi / 2.0).apply(up[None])[0], right, atol=1e-15)
    np.testing.assert_allclose(rolled(math.pi / 2.0).apply(right[None])[0], -up, atol=1e-15)
    np.testing.assert_allclose(rolled(1.0).apply(forward[None])[0], forward, atol=1e-15)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 7])
def test_an_array_is_spaced_evenly_starting_where_its_shape_is(count: int) -> None:
    members = instances(Array(Plate(Outline(circle(1.0, (10.0, 0.0))), 2.0), count))
    assert len(members) == count
    centres = np.array([moments(member).centroid for member in members])
    rolls = np.arctan2(-centres[:, 2], centres[:, 1]) % math.tau
    np.testing.assert_allclose(rolls, math.tau * np.arange(count) / count, atol=1e-14)
    assert members[0].placement == Placement()


# ---- radial features


@given(st.floats(-50.0, 50.0), angles, st.floats(0.0, 30.0), st.floats(1.0, 20.0))
def test_a_radial_prism_stands_on_its_radius(station: float, roll: float, start: float, height: float) -> None:
    u, w = 2.0, 0.7
    outline = Outline(polygon(((u, w), (u + 1.0, w), (u + 1.0, w + 1.0), (u, w + 1.0))))
    prism = radial_prism(RadialFeature(station, roll, outline, start, start + height))
    assert isinstance(prism.shape, Plate)
    assert prism.shape.thickness == pytest.approx(height, rel=1e-12)
    outward = np.array([0.0, math.cos(roll), -math.sin(roll)])
    onward = np.array([0.0, -math.sin(roll), -math.cos(roll)])  # d(outward) / d(roll)
    # Plate coordinates are (thickness, first, second coordinate of the outline).
    found = prism.placement.apply(np.array([[0.0, u, w], [height, u, w]]))
    along = np.array([station + u, 0.0, 0.0])
    np.testing.assert_allclose(found[0], along + start * outward + w * onward, atol=1e-12)
    np.testing.assert_allclose(found[1], along + (start + height) * outward + w * onward, atol=1e-12)


# ---- blades


FIN = polygon(((0.0, 0.0), (120.0, 0.0), (110.0, 58.0), (50.0, 58.0)))
ROUND_FIN = (
    Edge(Line((0.0, 0.0), (100.0, 0.0))),
    Edge(EllipseArc((50.0, 0.0), 50.0, 40.0, 0.0, math.pi)),
)


@pytest.mark.parametrize(
    ("planform", "form", "words"),
    [
        (ROUND_FIN, EdgeForm(1, Rounded(1.0)), "only a straight edge"),
        (ROUND_FIN, EdgeForm(1, Bevelled(5.0, 1.0)), "only a straight edge"),
        (FIN, EdgeForm(2, Rounded(1.0), 30.0, 30.0), "clearances .* leave nothing"),
        (FIN, EdgeForm(2, Rounded(1.51)), "edge radius: 1.51 mm .* half the thickness, 1.5 mm"),
        (FIN, EdgeForm(2, Rounded(0.0)), "edge radius: 0 mm must be above 0"),
        (FIN, EdgeForm(2, Bevelled(5.0, 3.0)), "bevel land: 3 mm .* below the thickness, 3 mm"),
        (FIN, EdgeForm(2, Bevelled(5.0, -0.1)), "bevel land: -0.1 mm must be at least 0"),
    ],
)
def test_an_edge_that_cannot_be_worked_is_refused(planform: tuple[Edge, ...], form: EdgeForm, words: str) -> None:
    with pytest.raises(PartError, match=words):
        Blade(Outline(planform), 3.0, (form,))


# ---- values


def every_sort_of_shape() -> dict[str, Shape]:
    body = tube(33.0, 31.5, 100.0, "wetted", "fit")
    blade = Blade(Outline(FIN), 3.0, (EdgeForm(1, Rounded(1.5)), EdgeForm(3, Bevelled(8.0, 1.0))))
    feature = bore_through(2.0, 50.0, 40.0)
    return {
        "revolved": body,
        "hollow nose": hollow(profile("von-karman", None), 1.6),
        "plate": Plate(Outline(circle(30.0), (hole(10.0),)), 6.0),
        "blade": blade,
        "radial feature": feature,
        "array": Array(feature, 3),
        "fused": Fused((body, Array(Placed(blade, moved(10.0, 33.0)), 4))),
        "cut": Cut(body, (Array(feature, 3),)),
        "placed": Placed(body, rolled(0.3)),
    }


@pytest.mark.parametrize("name", every_sort_of_shape())
def test_shapes_made_alike_are_equal_values_with_equal_hashes(name: str) -> None:
    one, other = every_sort_of_shape()[name], every_sort_of_shape()[name]
    assert one is not other
    assert one == other
    assert hash(one) == hash(other)


def test_shapes_that_differ_are_different_values() -> None:
    shapes = every_sort_of_shape()
    assert len(set(shapes.values())) == len(shapes)


@pytest.mark.parametrize(
    ("value", "field"),
    [
        (Line((0.0, 0.0), (1.0, 0.0)), "start"),
        (Plate(Outline(circle(1.0)), 1.0), "thickness"),
        (Revolved(tube(2.0, 1.0, 3.0).meridian), "meridian"),
        (Placement(), "move"),
    ],
)
def test_values_cannot_be_changed(value: object, field: str) -> None:
    with pytest.raises(AttributeError):
        setattr(value, field, None)


def test_edges_carry_one_role() -> None:
    pieces: tuple[Piece, ...] = (Line((0.0, 0.0), (1.0, 0.0)), Arc((1.0, 1.0), 1.0, -math.pi / 2.0, 1.0))
    assert edges(pieces, "seat") == (Edge(pieces[0], "seat"), Edge(pieces[1], "seat"))
