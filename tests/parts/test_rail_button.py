"""Rail buttons against three discs by hand (elementary geometry), and the way they stand on a tube."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import RailButton
from ferrule.parts.readers.integrals import box, moments

BUTTON = RailButton.build(
    foot_diameter="12 mm",
    foot_height="2 mm",
    waist_diameter="6 mm",
    waist_height="3 mm",
    head_diameter="10 mm",
    head_height="2.5 mm",
    screw_diameter="4 mm",
)


def test_it_is_three_discs_with_a_hole_through_them() -> None:
    discs = [(math.pi * (r**2 - 2.0**2) * h, middle) for r, h, middle in ((6, 2, 1), (3, 3, 3.5), (5, 2.5, 6.25))]
    volume = sum(one for one, _ in discs)
    found = moments(BUTTON.shape())
    assert found.volume == pytest.approx(volume, rel=1e-12)
    outwards = sum(one * middle for one, middle in discs) / volume
    assert found.centroid == pytest.approx((0.0, outwards, 0.0), abs=1e-12)


def test_its_foot_is_on_the_tube_and_its_middle_at_the_station() -> None:
    assert BUTTON.on_surface
    low, high = box(BUTTON.shape())
    assert low == pytest.approx((-6.0, 0.0, -6.0), abs=1e-12)
    assert high == pytest.approx((6.0, 7.5, 6.0), abs=1e-12)
    assert BUTTON.extent() == (-6.0, 6.0)
    assert BUTTON.extent_outwards() == 7.5


def test_it_is_made_standing_on_its_foot() -> None:
    pose = BUTTON.pose()
    assert np.linalg.det(pose.matrix) == pytest.approx(1.0, abs=1e-12)
    foot, head = pose.apply(np.array([[0.0, 0.0, 0.0], [0.0, 7.5, 0.0]]))
    assert foot == pytest.approx((0.0, 0.0, 0.0), abs=1e-12)
    assert head == pytest.approx((0.0, 0.0, 7.5), abs=1e-12)


def test_it_is_no_skin_and_not_cut_from_sheet() -> None:
    assert BUTTON.skin() == ()
    assert BUTTON.cut_pieces() == ()


def test_a_boss_lifts_it_by_its_height() -> None:
    lifted = RailButton.build(**{**BUTTON.model_dump(), "standoff": "6 mm"})
    boss = math.pi * (6.0**2 - 2.0**2) * 6.0
    plain, found = moments(BUTTON.shape()), moments(lifted.shape())
    assert found.volume == pytest.approx(plain.volume + boss, rel=1e-12)
    outwards = (plain.volume * (plain.centroid[1] + 6.0) + boss * 3.0) / (plain.volume + boss)
    assert found.centroid == pytest.approx((0.0, outwards, 0.0), abs=1e-12)
    assert lifted.extent_outwards() == 13.5
    assert box(lifted.shape())[1] == pytest.approx((6.0, 13.5, 6.0), abs=1e-12)


def test_the_face_of_the_rail_is_a_foot_and_a_boss_away_from_the_tube() -> None:
    assert BUTTON.rail_face() == 2.0
    assert BUTTON.clearance_radius(34.2) == pytest.approx(36.2)
    lifted = RailButton.build(**{**BUTTON.model_dump(), "standoff": "6 mm"})
    assert lifted.clearance_radius(34.2) == pytest.approx(42.2)


@pytest.mark.parametrize(
    ("fields", "field", "message"),
    [
        (
            {"head_diameter": "6 mm"},
            "waist_diameter",
            "6 mm is not smaller than the head, 6 mm, so the rail does not hold it",
        ),
        (
            {"foot_diameter": "5 mm"},
            "waist_diameter",
            "6 mm is not smaller than the foot, 5 mm, so the rail does not hold it",
        ),
        ({"screw_diameter": "6 mm"}, "screw_diameter", "6 mm is not smaller than the waist, 6 mm"),
        ({"standoff": "-1 mm"}, "standoff", "must be at least 0 mm, got -1 mm"),
    ],
)
def test_what_cannot_be_is_refused_in_words(fields: dict[str, Any], field: str, message: str) -> None:
    with pytest.raises(DesignError) as refusal:
        RailButton.build(**{**BUTTON.model_dump(), **fields})
    assert [(one.field, one.message) for one in refusal.value.problems] == [(field, message)]
