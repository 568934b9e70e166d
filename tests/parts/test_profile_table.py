"""Profiles from a table of points, against scipy's own monotone cubic and closed forms.

Sources: `scipy.interpolate.PchipInterpolator` (the same rule by Fritsch and Carlson, written by others); elementary
geometry of cones.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from geometry_samples import chain_points, distances, section, turned
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from ferrule.parts.chain import Chain, gaps, reverse
from ferrule.parts.curve import Bezier, Line, normals
from ferrule.parts.errors import PartError
from ferrule.parts.profile_table import TableProfile, slopes
from ferrule.parts.profiles import Profile, inner_profile
from ferrule.parts.readers import brep, integrals

STATIONS = (0.0, 12.0, 40.0, 90.0, 150.0, 180.0)
RADII = (0.0, 7.0, 16.0, 27.0, 33.0, 33.0)
"""An invented nose with a short parallel part at its base."""


@st.composite
def tables(draw: st.DrawFn) -> TableProfile:
    """Three to nine points, uneven, some radii equal, the first sometimes above 0."""
    count = draw(st.integers(2, 8))
    steps = draw(st.lists(st.floats(0.05, 60.0), min_size=count, max_size=count))
    rises = draw(st.lists(st.one_of(st.just(0.0), st.floats(0.01, 12.0)), min_size=count, max_size=count))
    first = draw(st.sampled_from([0.0, 2.5]))
    stations = np.concatenate([[0.0], np.cumsum(steps)])
    radii = first + np.concatenate([[0.0], np.cumsum(rises)])
    if first == 0.0:
        radii[1:] += 0.5
    stations *= max(1.0, radii[-1] / stations[-1] * (1.0 + 1e-9))
    if first == 0.0 and slopes(tuple(stations.tolist()), tuple(radii.tolist()))[0] == 0.0:
        radii += 1.0
        stations *= max(1.0, radii[-1] / stations[-1] * (1.0 + 1e-9))
    return TableProfile(tuple(stations.tolist()), tuple(radii.tolist()))


def pieces_of(table: TableProfile) -> Chain:
    """The chain without its flat face."""
    return table.chain()[1 if table.radii[0] > 0.0 else 0 :]


@given(tables())
def test_the_chain_is_the_monotone_cubic_of_another_library(table: TableProfile) -> None:
    other = PchipInterpolator(table.stations, table.radii)
    chain = pieces_of(table)
    assert len(chain) == len(table.stations) - 1
    for piece in chain:
        points = piece.at(np.linspace(0.0, 1.0, 33))
        np.testing.assert_allclose(points[:, 1], other(points[:, 0]), rtol=1e-12, atol=1e-12)


@given(tables())
def test_the_slopes_are_those_of_another_library(table: TableProfile) -> None:
    other = PchipInterpolator(table.stations, table.radii).derivative()(table.stations)
    np.testing.assert_allclose(slopes(table.stations, table.radii), other, rtol=1e-11, atol=1e-11)


@given(tables())
def test_a_table_runs_from_the_axis_through_every_point_to_the_base_without_a_corner(table: TableProfile) -> None:
    chain = table.chain()
    assert chain[0].start == (0.0, 0.0)
    assert [piece.end for piece in pieces_of(table)] == list(zip(table.stations, table.radii, strict=True))[1:]
    assert gaps(chain, closed=False) == 0.0
    points = chain_points(chain, 65)
    assert np.all(np.diff(points[:, 0]) >= -1e-12)
    assert np.all(np.diff(points[:, 1]) >= -1e-12)
    rear = pieces_of(table)
    ends = np.vstack([normals(piece, np.array([1.0])) for piece in rear[:-1]])
    starts = np.vstack([normals(piece, np.array([0.0])) for piece in rear[1:]])
    np.testing.assert_allclose(ends, starts, atol=1e-9)


def test_points_of_a_cone_make_straight_lines() -> None:
    table = TableProfile((0.0, 50.0, 120.0, 200.0), (0.0, 8.25, 19.8, 33.0))
    assert all(isinstance(piece, Line) for piece in table.chain())
    volume = integrals.moments(turned(table.chain())).volume
    assert volume == pytest.approx(math.pi * 33.0**2 * 200.0 / 3.0, rel=1e-12)


def test_a_first_radius_makes_a_flat_face() -> None:
    table = TableProfile((0.0, 40.0, 100.0), (5.0, 20.0, 30.0))
    assert table.chain()[0] == Line((0.0, 0.0), (0.0, 5.0))
    assert (table.length, table.base_radius) == (100.0, 30.0)


def test_a_fine_table_of_a_formula_lies_on_the_formula() -> None:
    p = Profile("tangent-ogive", 200.0, 33.0)
    x = np.linspace(0.0, 200.0, 101)
    table = TableProfile(tuple(x.tolist()), tuple(p.radius(x).tolist()))
    fine = np.linspace(0.0, 200.0, 20001)
    away = distances(chain_points(table.chain(), 21), np.column_stack([fine, p.radius(fine)]))
    # Worst at the base, where the chords' slopes fall as 3 : 1 to 0 and their harmonic mean errs by half of the last,
    # h/2 rho = 1.6e-3 over pieces of 2 mm: a cubic strays by 4/27 of the slope's error times its length.
    assert away.max() <= 4.0 / 27.0 * 2.0 * 0.8e-3 * 1.1


@pytest.mark.parametrize(
    ("stations", "radii", "words"),
    [
        ((0.0, 10.0, 50.0), (0.0, 9.0), r"point_radii: 2 of them and 3 point_stations"),
        ((0.0, 50.0), (0.0, 9.0), r"point_stations: 2 points are too few .* 3 or more"),
        ((1.0, 10.0, 50.0), (0.0, 5.0, 9.0), r"point_stations: row 1: 1 mm must be 0 mm"),
        ((0.0, 10.0, 10.0, 50.0), (0.0, 5.0, 6.0, 9.0), r"point_stations: row 3: 10 mm .* 0.01 mm behind row 2, 10 mm"),
        ((0.0, 30.0, 20.0, 50.0), (0.0, 5.0, 6.0, 9.0), r"point_stations: row 3: 20 mm .* behind row 2, 30 mm"),
        (
            (0.0, 30.0, 40.0, 50.0),
            (0.0, 5.0, 4.5, 9.0),
            r"point_radii: row 3: 4.5 mm is below row 2, 5 mm; a nose does",
        ),
        ((0.0, 30.0, 50.0), (-1.0, 5.0, 9.0), r"point_radii: row 1: -1 mm must be at least 0 mm"),
        ((0.0, 30.0, 50.0), (0.0, 0.0, 9.0), r"point_radii: row 2: 0 mm must be above 0 mm"),
        ((0.0, 30.0, 50.0), (0.0, math.nan, 9.0), r"point_radii: row 2: nan mm is not a finite number"),
        ((0.0, 30.0, math.inf), (0.0, 5.0, 9.0), r"point_stations: row 3: inf mm is not a finite number"),
        (
            (0.0, 4.0, 8.0),
            (0.0, 5.0, 9.0),
            r"point_stations: row 3: 8 mm is shorter than half the base diameter \(9 mm\)",
        ),
        ((0.0, 10.0, 20.0, 60.0), (0.0, 0.1, 10.0, 33.0), r"point_radii: row 2: 0.1 mm .* needle .* a flat tip"),
    ],
)
def test_a_table_that_is_no_profile_is_refused_by_row(
    stations: tuple[float, ...], radii: tuple[float, ...], words: str
) -> None:
    with pytest.raises(PartError, match=words):
        TableProfile(stations, radii)


def test_stations_a_hundredth_apart_are_kept_apart_in_decimals() -> None:
    assert TableProfile((0.0, 0.01, 0.02, 0.03), (0.0, 0.01, 0.015, 0.02)).length == 0.03


@pytest.mark.parametrize("wall", [0.4, 1.6, 5.0, 12.0])
@pytest.mark.parametrize(
    "table",
    [
        TableProfile(STATIONS, RADII),
        TableProfile((0.0, 20.0, 60.0, 100.0, 160.0), (0.0, 1.0, 3.0, 20.0, 33.0)),  # hollow, like a trumpet
        TableProfile((0.0, 10.0, 100.0, 130.0, 160.0), (2.0, 8.0, 30.0, 33.0, 33.0)),
        TableProfile(STATIONS, tuple(radius + 6.0 for radius in RADII)),
    ],
    ids=["nose", "trumpet", "small face", "large face"],
)
def test_the_inside_of_a_table_is_the_wall_away_and_the_kernel_revolves_it(table: TableProfile, wall: float) -> None:
    chain = table.chain()
    inside = inner_profile(chain, wall)
    # 4,000 chords of a piece of 60 mm lie within 1e-6 mm of it.
    away = distances(chain_points(inside, 41), chain_points(chain, 4001))
    assert np.abs(away - wall).max() <= 1e-5
    shape = section(
        (chain, "wetted"),
        ((Line(chain[-1].end, inside[-1].end),), ""),
        (reverse(inside), ""),
        ((Line(inside[0].start, chain[0].start),), ""),
    )
    found = brep.measure(brep.solid(shape))
    assert found.valid
    assert found.moments.volume == pytest.approx(integrals.moments(shape).volume, rel=1e-10)


@settings(max_examples=40)
@given(tables(), st.floats(0.02, 0.6))
def test_the_inside_of_any_table_is_sound_or_refused_in_words(table: TableProfile, share: float) -> None:
    wall = share * table.base_radius
    chain = table.chain()
    try:
        inside = inner_profile(chain, wall)
    except PartError as refusal:
        assert str(refusal).startswith(f"wall: {wall:g} mm")
        return
    skin = chain_points(chain, 2001)
    away = distances(chain_points(inside, 21), skin)
    assert away.min() >= wall - 2e-5
    assert away.max() <= wall + 2e-5


def test_the_inside_of_a_table_that_is_uneven_by_its_readings_is_trimmed_at_every_step() -> None:
    rng = np.random.default_rng(3)
    x = np.linspace(0.0, 200.0, 81)
    radii = 1.0 + Profile("von-karman", 200.0, 33.0).radius(x) + 0.2 * rng.standard_normal(81)
    table = TableProfile(tuple(x.tolist()), tuple(np.maximum.accumulate(np.abs(radii)).tolist()))
    chain = table.chain()
    inside = inner_profile(chain, 8.0)
    away = distances(chain_points(inside, 9), chain_points(chain, 1001))
    assert np.abs(away - 8.0).max() <= 1e-5
    ends = np.vstack([normals(piece, np.array([1.0])) for piece in inside[:-1]])
    starts = np.vstack([normals(piece, np.array([0.0])) for piece in inside[1:]])
    assert np.count_nonzero(np.hypot(*(starts - ends).T) > 0.01) >= 5, "corners where the parallel crosses itself"


def test_a_straight_stretch_next_to_a_curved_one_keeps_its_kind() -> None:
    chain = TableProfile(STATIONS, RADII).chain()
    assert [type(piece) for piece in chain] == [Bezier, Bezier, Bezier, Bezier, Line]
