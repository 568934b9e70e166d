"""Aerofoil sections and fins: as thick as stated, tapered as stated, and one solid with a tab or a sleeve.

The law of the four-digit sections (NACA Report 460, 1933, from memory) is written here a second time, in x and not in
its root; the published ordinates are checked in tests/validation/test_naca_sections.py.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import mpmath
import numpy as np
import pytest
from geometry_samples import tube
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from ferrule.parts.aerofoil import aerofoil_fin, four_digit, named_thickness
from ferrule.parts.curve import Bezier, Line, parameters_at
from ferrule.parts.errors import PartError
from ferrule.parts.readers import brep
from ferrule.parts.readers.integrals import box, moments
from ferrule.parts.readers.mesh import Mesh, mesh
from ferrule.parts.shape import (
    Array,
    Bevelled,
    Blade,
    Edge,
    EdgeForm,
    Fused,
    Outline,
    Placed,
    Role,
    Rounded,
    Ruled,
    Shape,
    moved,
    polygon,
)
from ferrule.parts.writers.step import write_step

FIN = aerofoil_fin(120.0, 60.0, 60.0, 40.0, 8.0, 0.8)


def law(x: Any) -> Any:
    """Half the thickness over t, at x over the chord [-]."""
    return 5.0 * (0.2969 * x**0.5 - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)


def half_thickness(chord: float, thickness: float, trailing: float, x: Any) -> Any:
    """Half the thickness [mm] at x over the chord [-], with the wedge that leaves the trailing edge as stated."""
    t = named_thickness(chord, thickness, trailing)
    return t * chord * (law(x) - law(1.0) * x) + trailing / 2.0 * x


@st.composite
def sections(draw: st.DrawFn) -> tuple[float, float, float]:
    """Chord, thickness and thickness at the trailing edge [mm] over the whole range of a section."""
    chord = draw(st.floats(20.0, 600.0))
    thickness = chord * draw(st.floats(0.005, 0.3))
    return chord, thickness, draw(st.just(0.0) | st.floats(0.01, thickness / 2.0))


# --- the section ------------------------------------------------------------------------------------------------------


@given(sections())
@settings(max_examples=40)
def test_a_section_is_as_thick_as_stated_and_nowhere_thicker(size: tuple[float, float, float]) -> None:
    chord, thickness, trailing = size
    upper = four_digit(*size).outer[-1].piece

    def lack(t: float) -> float:
        return -float(upper.at(np.array([t]))[0, 1])

    found = minimize_scalar(lack, bounds=(0.05, 0.95), method="bounded", options={"xatol": 1e-9})
    assert -2.0 * found.fun == pytest.approx(thickness, rel=1e-9)
    assert four_digit(*size).box() == pytest.approx((0.0, -thickness / 2.0, chord, thickness / 2.0), rel=1e-9)
    assert upper.start == (chord, trailing / 2.0)
    assert upper.end == (0.0, 0.0)


@given(sections())
@settings(max_examples=20)
def test_a_section_follows_its_law(size: tuple[float, float, float]) -> None:
    chord, _, _ = size
    piece = four_digit(*size).outer[-1].piece
    x = chord * np.linspace(0.001, 0.999, 60)
    drawn = piece.at(parameters_at(piece, x))
    np.testing.assert_allclose(drawn[:, 1], half_thickness(*size, x / chord), atol=1e-9 * chord)


def test_a_section_is_symmetric_and_wetted_all_round() -> None:
    outline = four_digit(100.0, 12.0, 1.0)
    lower, end, upper = (edge.piece for edge in outline.outer)
    assert isinstance(lower, Bezier)
    assert lower.degree == 8
    assert isinstance(end, Line)
    assert lower == upper.mirrored().reversed()
    assert {edge.role for edge in outline.outer} == {"wetted"}
    assert len(four_digit(100.0, 12.0, 0.0).outer) == 2, "a sharp trailing edge has no face"


@pytest.mark.parametrize("t", [0.06, 0.12, 0.25])
def test_a_plain_section_has_the_thickness_of_its_name(t: float) -> None:
    """Drawn as thick as its law is where the law's slope vanishes, and as blunt as the law is at its end."""
    crest = mpmath.findroot(lambda x: mpmath.diff(law, x), 0.3)
    thickest, end = 200.0 * t * float(law(crest)), 200.0 * t * float(law(1.0))
    assert named_thickness(100.0, thickest, end) == pytest.approx(t, rel=1e-12)
    assert thickest == pytest.approx(100.0 * t, rel=5e-4), "the name means the thickness, if not to the last digit"


# --- the fin ----------------------------------------------------------------------------------------------------------


def by_hand(root: float, tip: float, span: float, sweep: float, thickness: float, trailing: float) -> dict[str, float]:
    """Moments of a fin from its law, by quadrature in 30 digits along the chord and along the span."""
    with mpmath.workdps(30):
        t, ratio = mpmath.mpf(named_thickness(root, thickness, trailing)), mpmath.mpf(tip) / root

        def chord_wise(n: int, m: int) -> Any:
            """Integral of x^n z^(m - 1) over the root section, in the root of x over the chord."""

            def strip(s: Any) -> Any:
                half = t * root * (law(s * s) - law(mpmath.mpf(1)) * s * s) + trailing / 2 * s * s
                return (root * s * s) ** n * 2 * half**m / m * 2 * s * root

            return mpmath.quad(strip, [0, 0.25, 1])

        def out(n: int, m: int) -> Any:
            """Integral of size^n way^m from root to tip."""
            return mpmath.quad(lambda u: (1 + (ratio - 1) * u) ** n * u**m, [0, 1])

        area, first, along, across = chord_wise(0, 1), chord_wise(1, 1), chord_wise(2, 1), chord_wise(0, 3)
        exact = {
            "volume": span * out(2, 0) * area,
            "x": span * (out(3, 0) * first + sweep * out(2, 1) * area),
            "y": span**2 * out(2, 1) * area,
            "xx": span * (out(4, 0) * along + 2 * sweep * out(3, 1) * first + sweep**2 * out(2, 2) * area),
            "yy": span**3 * out(2, 2) * area,
            "zz": span * out(4, 0) * across,
            "xy": span**2 * (out(3, 1) * first + sweep * out(2, 2) * area),
        }
        return {name: float(value) for name, value in exact.items()}


FINS = {
    "tapered and swept": (120.0, 60.0, 60.0, 40.0, 8.0, 0.8),
    "sharp": (120.0, 60.0, 60.0, 40.0, 8.0, 0.0),
    "untapered": (90.0, 90.0, 45.0, 0.0, 10.8, 1.0),
    "ending in a point": (120.0, 0.0, 60.0, 100.0, 8.0, 0.8),
    "wider at its tip": (80.0, 110.0, 50.0, -20.0, 6.0, 0.6),
    "thick": (100.0, 40.0, 80.0, 60.0, 30.0, 3.0),
    "thin": (200.0, 150.0, 120.0, 30.0, 1.0, 0.5),
}


@pytest.mark.parametrize("sizes", FINS.values(), ids=FINS)
def test_the_moments_of_a_fin_are_those_of_its_sections(sizes: tuple[float, ...]) -> None:
    found, exact = moments(aerofoil_fin(*sizes)), by_hand(*sizes)
    xx, yy, zz, xy, xz, yz = found.second
    read = dict(zip(exact, (found.volume, *found.first[:2], xx, yy, zz, xy), strict=True))
    for name, value in exact.items():
        assert read[name] == pytest.approx(value, rel=1e-12), name
    assert (found.first[2], xz, yz) == pytest.approx((0.0, 0.0, 0.0), abs=1e-12 * xx)
    assert found.error <= 1e-12


@pytest.mark.parametrize("sizes", FINS.values(), ids=FINS)
def test_the_kernel_and_the_file_hold_the_same_fin(sizes: tuple[float, ...], tmp_path: Path) -> None:
    fin = aerofoil_fin(*sizes)
    exact, body = moments(fin), brep.solid(fin)
    found = brep.measure(body)
    assert found.valid
    assert found.bodies == 1
    # Two sides and two ends, one less at a point, one more for a blunt trailing edge.
    assert found.faces == 4 - (sizes[1] == 0.0) + (sizes[5] > 0.0)
    assert found.moments.volume == pytest.approx(exact.volume, rel=1e-12)
    scale = max(exact.second[:3])
    np.testing.assert_allclose(found.moments.second, exact.second, atol=1e-11 * scale)
    assert found.moments.second[2] == pytest.approx(exact.second[2], rel=1e-9)
    low, high = box(fin)
    np.testing.assert_allclose((found.low, found.high), (low, high), atol=2e-7)
    proof = write_step(tmp_path / "fin.step", fin, name="fin")
    assert proof.volume == pytest.approx(exact.volume, rel=1e-9)
    assert proof.faces == found.faces


@given(sections(), st.floats(0.02, 1.5) | st.just(0.0), st.floats(0.2, 1.5), st.floats(-1.0, 2.0))
@settings(max_examples=25)
def test_any_fin_meshes_soundly_with_its_own_volume(
    size: tuple[float, float, float], taper: float, slimness: float, sweep: float
) -> None:
    chord, thickness, trailing = size
    fin = aerofoil_fin(chord, taper * chord, slimness * chord, sweep * chord, thickness, trailing)
    found, exact = mesh(fin), moments(fin)
    assert found.faults() == ()
    # What is left is the grid of 1e-6 mm, half of it on each of the two sides.
    assert found.moments().volume == pytest.approx(exact.volume, abs=1e-6 * 2.5 * chord * slimness * chord)


def test_a_sunk_fin_is_the_same_fin_that_goes_on_inwards() -> None:
    sunk = aerofoil_fin(120.0, 60.0, 60.0, 40.0, 8.0, 0.8, sink=6.0)
    # What lies below starts at a tenth of the sweep ahead, a tenth of the taper larger, and ends where the fin starts.
    below = Ruled(sunk.section, -6.0, 0.0, 120.0 / 126.0, 4.0 * 120.0 / 126.0)
    whole = moments(below) + moments(FIN)
    found = moments(sunk)
    assert found.volume == pytest.approx(whole.volume, rel=1e-12)
    np.testing.assert_allclose(found.second, whole.second, atol=1e-12 * max(whole.second))
    assert box(sunk)[0][:2] == pytest.approx((-4.0, -6.0))


def test_the_smallest_tip_that_is_named_is_taken() -> None:
    assert aerofoil_fin(120.0, 2.4, 60.0, 40.0, 8.0, 0.8).ratio == pytest.approx(0.02)
    sunk = aerofoil_fin(120.0, 2.986, 60.0, 40.0, 8.0, 0.8, sink=15.0)
    found = mesh(sunk)
    assert found.faults() == ()
    tip = found.vertices[found.vertices[:, 1] == 60.0]
    assert (tip[:, 0].min(), tip[:, 0].max()) == pytest.approx((40.0, 42.986), abs=2e-6)
    # Growing outwards, a trailing edge as sharp as is allowed at the root is sharper below it.
    assert moments(aerofoil_fin(60.0, 90.0, 60.0, 0.0, 6.0, 0.01, sink=5.0)).volume > 0.0


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"root_chord": 0.0}, "root_chord: 0 mm must be above 0"),
        ({"semi_span": -1.0}, "semi_span: -1 mm must be above 0"),
        ({"sweep_length": math.nan}, "sweep_length: nan mm must be finite"),
        ({"tip_chord": 2.0}, "tip_chord: 2 mm of an aerofoil fin must be 0 or from 2.4 to 6000 mm"),
        ({"tip_chord": math.nan}, "tip_chord: nan mm of an aerofoil fin"),
        ({"tip_chord": -1.0}, "tip_chord: -1 mm of an aerofoil fin"),
        ({"thickness": 40.0}, "thickness: 40 mm of an aerofoil must be from 0.6 to 36 mm, 0.5% to 30% of root_chord"),
        ({"thickness": 0.5}, "thickness: 0.5 mm of an aerofoil"),
        ({"trailing_edge_thickness": 5.0}, "trailing_edge_thickness: 5 mm must be 0 or from 0.01 to 4 mm"),
        ({"trailing_edge_thickness": 0.001}, "trailing_edge_thickness: 0.001 mm must be 0"),
        ({"sink": -0.1}, "sink: -0.1 mm must be at least 0"),
        (
            {"tip_chord": 600.0, "sink": 15.0},
            "tip_chord: 600 mm of an aerofoil fin must be 0 or from 2.985 to 555.6 mm",
        ),
    ],
)
def test_sizes_out_of_range_are_refused(change: dict[str, float], message: str) -> None:
    sizes = {
        "root_chord": 120.0,
        "tip_chord": 60.0,
        "semi_span": 60.0,
        "sweep_length": 40.0,
        "thickness": 8.0,
        "trailing_edge_thickness": 0.8,
    }
    with pytest.raises(PartError, match=message):
        aerofoil_fin(**{**sizes, **change})


def test_a_section_without_a_chord_is_refused() -> None:
    with pytest.raises(PartError, match="chord: 0 mm must be above 0"):
        four_digit(0.0, 8.0, 0.8)


# --- one solid with what it stands on ---------------------------------------------------------------------------------


def separate(found: Mesh) -> int:
    """Number of bodies of a mesh that share no vertex."""
    a, b = found.triangles[:, :2].T, found.triangles[:, 1:].T
    count = len(found.vertices)
    links = coo_array((np.ones(a.size), (a.ravel(), b.ravel())), shape=(count, count))
    return int(connected_components(links, directed=False)[0])


def tab(up: float) -> Blade:
    """A tab 70 x 18 x 4 mm from 20 mm aft of the root leading edge, reaching `up` into the fin."""
    return Blade(Outline(polygon(((20.0, -18.0), (90.0, -18.0), (90.0, up), (20.0, up)))), 4.0)


@pytest.mark.parametrize("up", [0.0, 1.0], ids=["face to face", "let in"])
def test_a_fin_with_a_tab_is_one_solid(up: float, tmp_path: Path) -> None:
    """The tab is thinner than the fin wherever it stands, so that all of it that is let in counts once."""
    shape = Fused((FIN, tab(up)))
    exact = moments(FIN).volume + 70.0 * 18.0 * 4.0
    assert moments(shape).volume == pytest.approx(exact, rel=1e-9)
    body = brep.measure(brep.solid(shape))
    assert (body.valid, body.bodies) == (True, 1)
    assert body.moments.volume == pytest.approx(exact, rel=1e-9)
    found = mesh(shape)
    assert found.faults() == ()
    assert separate(found) == 1
    assert found.moments().volume == pytest.approx(exact, rel=1e-6)
    assert write_step(tmp_path / "fin.step", shape, name="fin").volume == pytest.approx(exact, rel=1e-9)


def flat_fin(forms: tuple[EdgeForm, ...] = ()) -> Blade:
    """The planform of the aerofoil fin, 4 mm thick, with a root that goes on 1.5 mm inwards."""
    points = ((0.0, -1.5), (120.0, -1.5), (120.0, 0.0), (100.0, 60.0), (40.0, 60.0), (0.0, 0.0))
    roles: tuple[Role, ...] = ("joint", "joint", "wetted", "wetted", "wetted", "joint")
    return Blade(Outline(tuple(Edge(e.piece, r) for e, r in zip(polygon(points), roles, strict=True))), 4.0, forms)


WORKED = (EdgeForm(2, Bevelled(10.0, 1.0), 5.0), EdgeForm(4, Rounded(2.0), 0.0, 5.0))

ON_A_SLEEVE: dict[str, Shape] = {
    "aerofoil": aerofoil_fin(120.0, 60.0, 60.0, 40.0, 8.0, 0.8, sink=1.5),
    "flat": flat_fin(),
    "worked": flat_fin(WORKED),
}


@pytest.mark.parametrize("count", [3, 4])
@pytest.mark.parametrize("name", ON_A_SLEEVE)
def test_fins_sunk_to_the_middle_of_a_wall_are_one_solid_with_it(name: str, count: int) -> None:
    """A sleeve of 54/60 mm: kernel and mesh know nothing of how the integrals count what is shared."""
    fins = Array(Placed(ON_A_SLEEVE[name], moved(x=10.0, y=30.0)), count)
    shape = Fused((tube(30.0, 27.0, 140.0, "wetted"), fins))
    exact = moments(shape)
    body = brep.measure(brep.solid(shape))
    assert (body.valid, body.bodies) == (True, 1)
    # What is shared is meshed within 0.002 mm, true in volume: 1e-6 of the part, as its own error says.
    assert body.moments.volume == pytest.approx(exact.volume, rel=1e-6)
    assert exact.error <= 1e-5
    np.testing.assert_allclose(body.inertia, inertia_of(exact.second_matrix), atol=2e-6 * np.abs(body.inertia).max())
    found = mesh(shape)
    assert found.faults() == ()
    assert separate(found) == 1
    assert found.moments().volume == pytest.approx(exact.volume, rel=2e-5)


def inertia_of(second: np.ndarray) -> np.ndarray:
    """Inertia about the axes through the origin from second moments."""
    return np.asarray(np.trace(second) * np.eye(3) - second)
