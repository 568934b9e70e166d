"""The core of a solid print against closed forms, against the definition of a shell's depth, and against the kernel.

Volumes of cylinder, cone and frustum, and the parallel of a cone's flank, are elementary geometry: the parallel of a
flank that makes the angle a with the axis, d deep, cuts the axis d / sin(a) behind the tip.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from geometry_samples import PROFILE_CASES, chain_points, distances, formula_points, profile
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.parts import infill
from ferrule.parts.chain import Chain, crossings, cut
from ferrule.parts.curve import Arc, Line
from ferrule.parts.errors import PartError
from ferrule.parts.infill import around, core
from ferrule.parts.profiles import Profile
from ferrule.parts.readers import brep
from ferrule.parts.readers.integrals import moments
from ferrule.parts.shape import Cut, Edge, Meridian, Revolved, edges

SHELL, CAPS = 1.2, 0.8


def bar(radius: float, length: float) -> tuple[Chain, Chain, Chain]:
    """Front, skin and rear of a cylinder [mm]."""
    return (
        (Line((0.0, 0.0), (0.0, radius)),),
        (Line((0.0, radius), (length, radius)),),
        (Line((length, radius), (length, 0.0)),),
    )


def base(station: float, radius: float) -> Chain:
    return (Line((station, radius), (station, 0.0)),)


def shouldered(station: float, rim: float, shoulder: float, length: float, chamfer: float = 0.0) -> Chain:
    """A base with a shoulder behind it, its end chamfered at 45 degrees [mm]."""
    end = station + length
    corners = [(station, rim), (station, shoulder), (end - chamfer, shoulder), (end, shoulder - chamfer), (end, 0.0)]
    return tuple(Line(a, b) for a, b in itertools.pairwise(corners) if a != b)


def solid(skin: Chain, rear: Chain, front: Chain = ()) -> Meridian:
    chain = (*front, *skin, *rear)
    return Meridian((*edges(chain), Edge(Line(chain[-1].end, chain[0].start))))


def volume(section: Meridian | None) -> float:
    assert section is not None
    return moments(Revolved(section)).volume


def frustum(first: float, last: float, height: float) -> float:
    return math.pi * height / 3.0 * (first**2 + first * last + last**2)


@given(st.floats(2.0, 60.0), st.floats(2.0, 200.0), st.floats(0.2, 1.9), st.floats(0.0, 0.9))
@settings(max_examples=40)
def test_a_cylinder_keeps_its_core(radius: float, length: float, shell: float, caps: float) -> None:
    front, skin, rear = bar(radius, length)
    expected = math.pi * (radius - shell) ** 2 * (length - 2.0 * caps)
    assert volume(core(skin, shell, rear, caps, front)) == pytest.approx(expected, rel=1e-12)


@given(st.floats(4.0, 60.0), st.floats(0.6, 6.0), st.floats(0.2, 0.8))
@settings(max_examples=40)
def test_a_cone_keeps_a_smaller_cone(radius: float, fineness: float, shell: float) -> None:
    """Its apex d / sin(a) behind the tip, its base `caps` ahead of the base."""
    length = 2.0 * radius * fineness
    found = core(Profile("cone", length, radius).chain(), shell, base(length, radius), CAPS)
    height = length - CAPS - shell * math.hypot(length, radius) / radius
    assert volume(found) == pytest.approx(math.pi / 3.0 * height * (height * radius / length) ** 2, rel=1e-10)


def test_a_cone_with_a_shoulder() -> None:
    """Cone to 0.8 mm ahead of the base, then the shoulder 1.2 mm smaller, from there to 0.8 mm ahead of its end."""
    found = core(Profile("cone", 100.0, 25.0).chain(), SHELL, shouldered(100.0, 25.0, 23.0, 30.0), CAPS)
    height = 100.0 - CAPS - SHELL * math.hypot(100.0, 25.0) / 25.0
    cone = math.pi / 3.0 * height * (height / 4.0) ** 2
    assert volume(found) == pytest.approx(cone + math.pi * (23.0 - SHELL) ** 2 * 30.0, rel=1e-12)


def test_a_frustum_with_a_shoulder_at_each_end() -> None:
    front = tuple(piece.reversed() for piece in reversed(shouldered(0.0, 20.0, 18.0, 25.0)))
    front = tuple(Line((-a.start[0], a.start[1]), (-a.end[0], a.end[1])) for a in front)
    found = core((Line((0.0, 20.0), (60.0, 34.0)),), SHELL, shouldered(60.0, 34.0, 32.0, 40.0), CAPS, front)
    drop = SHELL * math.hypot(60.0, 14.0) / 60.0
    ends = (20.0 + 14.0 / 60.0 * CAPS - drop, 34.0 - 14.0 / 60.0 * CAPS - drop)
    expected = (
        frustum(*ends, 60.0 - 2.0 * CAPS) + math.pi * (18.0 - SHELL) ** 2 * 25.0 + math.pi * (32.0 - SHELL) ** 2 * 40.0
    )
    assert volume(found) == pytest.approx(expected, rel=1e-12)


def test_the_disc_of_a_flat_tip_is_a_flat_face() -> None:
    skin = (Line((0.0, 0.0), (0.0, 6.0)), Line((0.0, 6.0), (100.0, 25.0)))
    drop = SHELL * math.hypot(1.0, 0.19)
    first, last = 6.0 + 0.19 * CAPS - drop, 25.0 - 0.19 * CAPS - drop
    found = volume(core(skin, SHELL, base(100.0, 25.0), CAPS))
    assert found == pytest.approx(frustum(first, last, 100.0 - 2.0 * CAPS), rel=1e-12)


@pytest.mark.parametrize(
    ("chamfer", "bites"),
    [(0.2, False), (0.29, False), (0.31, True), (2.0, True)],
)
def test_a_chamfer_is_gone_where_the_shell_is_thicker(chamfer: float, bites: bool) -> None:
    """The parallel of a flank of 45 degrees cuts the core's corner if chamfer + d sqrt(2) > caps + d: from 0.303 mm."""
    plain = volume(core(Profile("cone", 100.0, 25.0).chain(), SHELL, shouldered(100.0, 25.0, 23.0, 30.0), CAPS))
    found = volume(
        core(Profile("cone", 100.0, 25.0).chain(), SHELL, shouldered(100.0, 25.0, 23.0, 30.0, chamfer), CAPS)
    )
    leg = max(chamfer + SHELL * math.sqrt(2.0) - CAPS - SHELL, 0.0)
    assert (leg > 0.0) is bites
    rim = 23.0 - SHELL
    # A ring of triangular section: Pappus, its middle a third of a leg inside the rim.
    assert plain - found == pytest.approx(math.pi * (rim - leg / 3.0) * leg**2, rel=1e-6, abs=1e-7)


@pytest.mark.parametrize(("family", "constant"), PROFILE_CASES)
def test_the_core_of_every_profile_is_a_shell_deep(family: str, constant: float | None) -> None:
    """No point of its flank is nearer to the formula's own curve than the shell, and none but the corners further."""
    p = profile(family, constant)  # type: ignore[arg-type]
    found = core(p.chain(), SHELL, shouldered(p.length, 33.0, 31.75, 60.0), CAPS)
    assert found is not None
    points = chain_points(tuple(edge.piece for edge in found.edges))
    points = points[(points[:, 0] < p.length - CAPS - 1e-6) & (points[:, 1] > 1e-6)]
    away = distances(points, formula_points(p))
    assert away.min() > SHELL - 2e-5
    ahead = points[:, 0] < p.length - 3.0  # a bulging profile's parallel runs on straight to the base
    assert away[ahead].max() < SHELL + 2e-5


@pytest.mark.parametrize("radius", [0.5, 3.0, 8.0])
@pytest.mark.parametrize("family", ["cone", "tangent-ogive", "half-ellipsoid", "von-karman"])
def test_a_profile_cut_off_flat(family: str, radius: float) -> None:
    """A disc narrower than the shell leaves a pointed core; a wider one a flat end, as deep as the flat layers."""
    p = profile(family, None)  # type: ignore[arg-type]
    (place, *_) = crossings(p.chain(), lambda points: points[:, 1] - radius)
    rest = cut(p.chain(), place, None)
    x, r = rest[0].start
    found = core((Line((x, 0.0), (x, r)), *rest), SHELL, base(p.length, 33.0), CAPS)
    assert found is not None
    points = chain_points(tuple(edge.piece for edge in found.edges[:-1]))
    assert points[:, 0].min() > x + CAPS - 1e-9
    curve = formula_points(p)
    away = distances(points, curve[curve[:, 0] >= x])
    assert away.min() > SHELL - 2e-5
    flank = (points[:, 0] < p.length - CAPS - 1e-6) & (points[:, 0] > x + 2.0 * SHELL)
    assert away[flank].max() < SHELL + 2e-5
    assert bool(points[0, 0] > x + CAPS + 1e-6) is (radius == 0.5)


@pytest.mark.parametrize(("family", "constant"), PROFILE_CASES)
def test_shell_and_core_are_together_the_part(family: str, constant: float | None) -> None:
    """Volume, first and second moments, by integrals that are exact for each."""
    p = profile(family, constant)  # type: ignore[arg-type]
    rear = shouldered(p.length, 33.0, 31.75, 60.0)
    whole, inside = solid(p.chain(), rear), core(p.chain(), SHELL, rear, CAPS)
    assert inside is not None
    both = moments(around(whole, inside)) + moments(Revolved(inside))
    expected = moments(Revolved(whole))
    assert both.volume == pytest.approx(expected.volume, rel=1e-12)
    np.testing.assert_allclose(both.first, expected.first, rtol=1e-12, atol=1e-6)
    np.testing.assert_allclose(both.second_matrix, expected.second_matrix, rtol=1e-12, atol=1e-3)


@pytest.mark.parametrize("family", ["cone", "tangent-ogive", "von-karman"])
def test_the_kernel_finds_the_same_volumes(family: str) -> None:
    p = profile(family, None)  # type: ignore[arg-type]
    rear = shouldered(p.length, 33.0, 31.75, 60.0)
    inside = core(p.chain(), SHELL, rear, CAPS)
    assert inside is not None
    for shape in (Revolved(inside), around(solid(p.chain(), rear), inside)):
        body = brep.solid(shape)
        assert brep.is_valid(body)
        assert brep.moments(body).volume == pytest.approx(moments(shape).volume, rel=1e-9)


def test_a_round_tip_is_skin() -> None:
    """Of a hemisphere on a cylinder the parallel of the sphere is a sphere: volume 2/3 pi (r - d)^3 and a cylinder."""
    skin = (Arc((10.0, 0.0), 10.0, math.pi, -math.pi / 2.0), Line((10.0, 10.0), (40.0, 10.0)))
    inside = 10.0 - SHELL
    expected = 2.0 / 3.0 * math.pi * inside**3 + math.pi * inside**2 * (30.0 - CAPS)
    assert volume(core(skin, SHELL, base(40.0, 10.0), CAPS)) == pytest.approx(expected, rel=1e-9)


FLAT = ((40.0, 0.0), (40.0, 4.0), (100.0, 4.0))
POINTED = ((36.0, 0.0), (40.0, 4.0), (100.0, 4.0))
STEPPED = ((40.0, 0.0), (40.0, 2.0), (70.0, 2.0), (70.0, 4.0), (100.0, 4.0))


@pytest.mark.parametrize("bore", [FLAT, POINTED, STEPPED], ids=["flat", "pointed", "stepped"])
def test_a_bore_has_a_shell_round_it(bore: tuple[tuple[float, float], ...]) -> None:
    """Of a cone's core, less the bore grown by the shell on its radius and by the flat layers at its end.

    The parallel of a flank of 45 degrees meets the axis d sqrt(2) further forward.
    """
    skin, rear = Profile("cone", 100.0, 25.0).chain(), (Line((100.0, 25.0), (100.0, 4.0)),)
    holes = tuple(Line(a, b) for a, b in itertools.pairwise(bore))
    inside = core(skin, SHELL, rear, CAPS, bore=holes)
    end, wide = 100.0 - CAPS, 4.0 + SHELL
    taken = {
        FLAT: math.pi * wide**2 * (end - 40.0 + CAPS),
        POINTED: math.pi * wide**2 * (wide / 3.0 + end - (36.0 - SHELL * math.sqrt(2.0) + wide)),
        STEPPED: math.pi * (2.0 + SHELL) ** 2 * 30.0 + math.pi * wide**2 * (end - 70.0 + CAPS),
    }
    plain = core(skin, SHELL, base(100.0, 25.0), CAPS)
    assert volume(inside) == pytest.approx(volume(plain) - taken[bore], rel=1e-12)
    assert inside is not None
    back = tuple(piece.reversed() for piece in reversed(holes))
    whole = Meridian((*edges((*skin, *rear, *back)), Edge(Line(bore[0], (0.0, 0.0)))))
    shell = around(whole, inside)
    assert isinstance(shell, Revolved)
    assert moments(shell).volume + volume(inside) == pytest.approx(volume(whole), rel=1e-12)


def test_a_core_round_a_bore_through_the_tip_is_a_ring() -> None:
    """It begins where the shells of skin and bore meet, and ends ahead of the base."""
    skin, rear = Profile("cone", 100.0, 25.0).chain(), (Line((100.0, 25.0), (100.0, 0.5)),)
    holes = (Line((3.0, 0.0), (3.0, 0.5)), Line((3.0, 0.5), (100.0, 0.5)))
    inside = core(skin, SHELL, rear, CAPS, bore=holes)
    plain = core(skin, SHELL, base(100.0, 25.0), CAPS)
    wide, apex = 0.5 + SHELL, SHELL * math.hypot(100.0, 25.0) / 25.0
    tip = math.pi / 3.0 * wide**2 * 4.0 * wide
    taken = tip + math.pi * wide**2 * (100.0 - CAPS - apex - 4.0 * wide)
    assert volume(inside) == pytest.approx(volume(plain) - taken, rel=1e-9)
    assert inside is not None
    whole = Meridian((*edges((*skin, *rear)), *edges((holes[1].reversed(), holes[0].reversed(), Line((3, 0), (0, 0))))))
    shell = around(whole, inside)
    assert isinstance(shell, Cut)
    # What a cut shares with its base is meshed, to 1e-4 of itself.
    assert moments(shell).volume + volume(inside) == pytest.approx(volume(whole), rel=1e-4)


def test_a_bore_may_leave_no_core() -> None:
    holes = (Line((3.0, 0.0), (3.0, 23.0)), Line((3.0, 23.0), (100.0, 23.0)))
    assert (
        core(Profile("cone", 100.0, 25.0).chain(), SHELL, (Line((100.0, 25.0), (100.0, 23.0)),), CAPS, bore=holes)
        is None
    )


def test_a_bore_that_narrows_aft_is_refused() -> None:
    holes = (Line((50.0, 0.0), (50.0, 4.0)), Line((50.0, 4.0), (80.0, 4.0)), Line((80.0, 4.0), (100.0, 2.0)))
    with pytest.raises(PartError, match="no narrower there than ahead"):
        core(Profile("cone", 100.0, 25.0).chain(), SHELL, (Line((100.0, 25.0), (100.0, 2.0)),), CAPS, bore=holes)


def test_where_no_core_is_left() -> None:
    front, skin, rear = bar(5.0, 30.0)
    assert core(skin, 5.0, rear, CAPS, front) is None
    assert core(skin, 6.0, rear, CAPS, front) is None
    assert core(skin, 1.0, rear, 15.0, front) is None
    assert core(skin, 1.0, rear, 16.0, front) is None
    cone = Profile("cone", 40.0, 5.0).chain()
    assert core(cone, 4.99, base(40.0, 5.0), CAPS) is None
    assert core(cone, 30.0, base(40.0, 5.0), CAPS) is None


def test_a_shoulder_thinner_than_its_shell_has_no_core() -> None:
    """The core then ends ahead of the base."""
    found = core(Profile("cone", 100.0, 25.0).chain(), SHELL, shouldered(100.0, 25.0, 1.0, 30.0), CAPS)
    plain = core(Profile("cone", 100.0, 25.0).chain(), SHELL, base(100.0, 25.0), CAPS)
    assert volume(found) == pytest.approx(volume(plain), rel=1e-12)


@pytest.mark.parametrize(
    ("skin", "shell", "rear", "caps", "said"),
    [
        (Profile("cone", 40.0, 5.0).chain(), 0.0, base(40.0, 5.0), 0.8, "must be thicker than 0 mm"),
        (Profile("cone", 40.0, 5.0).chain(), math.nan, base(40.0, 5.0), 0.8, "must be thicker than 0 mm"),
        (Profile("cone", 40.0, 5.0).chain(), 1.0, base(40.0, 5.0), -0.1, "flat layers at least 0"),
        (Profile("cone", 40.0, 5.0).chain(), 1.0, (), 0.8, "from the axis to the axis"),
        (Profile("cone", 40.0, 5.0).chain(), 1.0, base(41.0, 5.0), 0.8, "from the axis to the axis"),
        (Profile("cone", 40.0, 5.0).chain(), 1.0, (Line((40.0, 5.0), (40.0, 1.0)),), 0.8, "from the axis to the axis"),
        (
            Profile("cone", 40.0, 5.0).chain(),
            1.0,
            (Arc((40.0, 0.0), 5.0, math.pi / 2.0, -math.pi / 2.0),),
            0.8,
            "must be straight",
        ),
    ],
)
def test_what_is_no_solid_part_is_refused(skin: Chain, shell: float, rear: Chain, caps: float, said: str) -> None:
    with pytest.raises(PartError, match=said):
        core(skin, shell, rear, caps)


def test_a_shell_that_folds_says_which(monkeypatch: pytest.MonkeyPatch) -> None:
    def folds(skin: Chain, wall: float) -> Chain:
        raise PartError(f"wall: {wall:g} mm of {len(skin)} pieces folds")

    monkeypatch.setattr(infill, "inner_profile", folds)
    with pytest.raises(PartError, match=r"^a shell of 1\.6 mm: wall: 1\.6 mm of 1 pieces folds$"):
        core(Profile("cone", 40.0, 5.0).chain(), 1.6, base(40.0, 5.0), CAPS)


def test_a_part_with_a_bore_has_no_shell_around_a_core() -> None:
    front, skin, rear = bar(5.0, 30.0)
    inside = core(skin, 1.0, rear, CAPS, front)
    assert inside is not None
    tube = Meridian(edges((Line((0, 2), (0, 5)), Line((0, 5), (30, 5)), Line((30, 5), (30, 2)), Line((30, 2), (0, 2)))))
    with pytest.raises(PartError, match="only a solid part has a core"):
        around(tube, inside)
