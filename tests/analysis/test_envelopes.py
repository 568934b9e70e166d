"""The room that fittings and turned parts take up: places by hand, volumes against the integrals."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from rocket_samples import bulkhead_part, fin_part, nose_part, ring_part, tube_part

import ferrule
from ferrule.analysis.bands import bands
from ferrule.analysis.envelopes import Envelope, nuts
from ferrule.analysis.rocket import Item
from ferrule.parts.kinds import MotorMount, RailButton
from ferrule.parts.readers.integrals import moments
from ferrule.parts.shape import Fused, Placed, Plate, Shape, moved, rolled

ANCHORED = ring_part(hole_diameter="5.5 mm", hole_circle_diameter="53 mm", hole_rolls=("20 deg", "70 deg"))


def test_washers_on_a_ring_are_where_its_holes_are() -> None:
    """Holes on a circle of 53 mm at 20 and 70 degrees, both faces; from behind, positive roll is towards -z."""
    found = nuts("U-bolt", Item("ring", (850.0,), ANCHORED), 10.0, 7.0)
    assert [(one.first, one.last) for one in found] == [(-7.0, 0.0), (-7.0, 0.0), (6.0, 13.0), (6.0, 13.0)]
    middle = moments(found[1].shape()).centroid
    roll = math.radians(70.0)
    assert middle == pytest.approx((846.5, 26.5 * math.cos(roll), -26.5 * math.sin(roll)))
    assert nuts("U-bolt", Item("nose", (0.0,), nose_part()), 10.0, 7.0) == ()


def test_an_eyebolt_goes_through_the_hole_in_the_middle() -> None:
    disc = bulkhead_part(centre_hole_diameter="6 mm", **HOLES)
    found = nuts("eyebolt", Item("bulkhead", (100.0, 300.0), disc), 16.0, 9.0)
    assert [(one.station, one.first, one.last, one.offset_radius) for one in found] == [
        (100.0, -9.0, 0.0, 0.0),
        (100.0, 6.0, 15.0, 0.0),
        (300.0, -9.0, 0.0, 0.0),
        (300.0, 6.0, 15.0, 0.0),
    ]
    assert moments(found[1].shape()).volume == pytest.approx(math.pi * 8.0**2 * 9.0)


def test_places_of_ones_own() -> None:
    found = nuts("U-bolt", Item("ring", (850.0,), ANCHORED), 10.0, 7.0, ((24.0, 0.0), (24.0, math.pi)))
    assert moments(found[0].shape()).centroid == pytest.approx((846.5, 24.0, 0.0), abs=1e-9)
    assert moments(found[1].shape()).centroid == pytest.approx((846.5, -24.0, 0.0), abs=1e-9)


HOLES = {"hole_diameter": "3 mm", "hole_circle_diameter": "44 mm", "hole_rolls": ("90 deg",)}


@pytest.mark.parametrize(
    ("changes", "word"),
    [({"last": -7.0}, "aft end"), ({"radius": 0.0}, "radius"), ({"station": math.nan}, "finite")],
)
def test_an_envelope_that_cannot_be(changes: dict[str, float], word: str) -> None:
    with pytest.raises(ferrule.FerruleError, match=word):
        replace(Envelope("nut", 100.0, -7.0, 0.0, 5.0), **changes)


@pytest.mark.parametrize(
    "shape",
    [
        nose_part(body="hollow", shoulder_length="60 mm", shoulder_diameter="63.5 mm").shape(),
        nose_part(profile="von-karman").shape(),
        Fused((ring_part().shape(), Placed(tube_part().shape(), moved(6.0)))),
        Placed(Placed(ring_part().shape(), rolled(1.0)), moved(3.0)),
        MotorMount.build(**{**MotorMount.example, "hole_rolls": ()}).shape(),
    ],
)
def test_bands_hold_the_volume_of_what_they_stand_for(shape: Shape) -> None:
    """Volume of a frustum's shell, by hand, against the integrals; chords depart by 0.001 mm."""

    def frustum(length: float, radii: tuple[float, float]) -> float:
        return math.pi * length / 3.0 * (radii[0] ** 2 + radii[0] * radii[1] + radii[1] ** 2)

    found = bands(shape)
    assert found is not None
    total = sum(frustum(b.last - b.first, b.outer) - frustum(b.last - b.first, b.inner) for b in found)
    assert total == pytest.approx(moments(shape).volume, rel=2e-4)


def test_what_is_not_turned_about_the_axis_has_no_bands() -> None:
    ring = ring_part().shape()
    assert bands(fin_part().shape()) is None
    assert bands(RailButton.build(**RailButton.example).shape()) is None
    assert bands(Placed(ring, moved(0.0, 1.0))) is None
    assert bands(Plate(fin_part().shape().planform, 3.0)) is None  # type: ignore[attr-defined]
