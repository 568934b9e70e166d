"""A payload's bay and what it feels; standard gravity as in ISO 80000-3."""

from __future__ import annotations

import math

import pytest

from ferrule.analysis.flight.payload import WORDS, PayloadBay, felt, payload_checks, room_check
from ferrule.parts.errors import PartError

BAY = PayloadBay("camera", 120.0, 64.0, 80.0, 40.0, 150.0, 40.0)


def test_the_room_of_a_bay() -> None:
    assert BAY.volume == pytest.approx(math.pi * 32.0**2 * 120.0, rel=1e-12)
    assert PayloadBay("camera", 120.0).volume is None


def test_ten_g() -> None:
    assert felt(98.0665) == pytest.approx(10.0, rel=1e-12)


def test_within_its_limit_in_boost_and_beyond_it_at_opening() -> None:
    boost, opening = payload_checks(BAY, "H", 22.0 * 9.80665, 45.0 * 9.80665)
    assert (boost.name, boost.status) == ("camera: g in boost, H", "pass")
    # 0.15 kg x 22 x 9.80665 m/s2 = 32.4 N
    assert boost.value == "22.0 g, 32 N on what holds it"
    assert (opening.name, opening.status) == ("camera: g as the parachute opens, H", "fail")
    assert opening.note == "more than the payload bears"
    for check in (boost, opening):
        assert check.formula
        assert check.inputs
        assert "40 g" in check.limit


def test_without_a_limit_of_its_own_the_figure_stands_and_nothing_passes() -> None:
    boost, opening = payload_checks(PayloadBay("camera"), "H", 22.0 * 9.80665, None)
    assert (boost.status, boost.value) == ("not-stated", "22.0 g")
    assert boost.note.startswith(WORDS)
    assert (opening.status, opening.value) == ("not-stated", None)
    assert "not known" in opening.inputs[0]


@pytest.mark.parametrize(
    ("bay", "status"),
    [
        (BAY, "pass"),
        (PayloadBay("camera", 120.0, 64.0, 121.0, 40.0), "fail"),
        (PayloadBay("camera", 120.0, 64.0, 80.0, 65.0), "fail"),
        (PayloadBay("camera", None, 64.0, None, 65.0), "fail"),
        (PayloadBay("camera", 120.0, 64.0), "not-stated"),
        (PayloadBay("camera", 120.0, None, 80.0, 40.0), "not-stated"),
        (PayloadBay("camera"), "not-stated"),
    ],
)
def test_room_for_a_payload(bay: PayloadBay, status: str) -> None:
    check = room_check(bay)
    assert check.status == status
    assert len(check.inputs) == 4
    assert (check.note == "") == (status == "pass")
    if bay.bore is not None:
        assert check.value is not None
        assert "bore 64.0 mm" in check.value


def test_values_that_cannot_be_are_refused() -> None:
    with pytest.raises(PartError, match="bore: must be above 0 mm, got 0 mm"):
        PayloadBay("camera", bore=0.0)
    with pytest.raises(PartError, match="mass: must be above 0 g, got -1 g"):
        PayloadBay("camera", mass=-1.0)
    with pytest.raises(PartError, match="bears: must be above 0 g, got nan g"):
        PayloadBay("camera", bears=math.nan)
