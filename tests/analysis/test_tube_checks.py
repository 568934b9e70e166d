"""A tube's readings held against each other; every bound is common practice and stands in the data."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest

from ferrule.analysis.limits import Check
from ferrule.analysis.tube_checks import tube_checks
from ferrule.parts.tubes import MeasuredTube

GOOD = MeasuredTube(
    "tube",
    outside_forward=(68.42, 68.36),
    outside_aft=(68.44, 68.38),
    inside_forward=(65.92, 65.88),
    inside_aft=(65.94, 65.86),
    wall=(1.24, 1.26),
    strip=(math.pi * 68.50,),
    strip_thickness=0.1,
)


def warned(tube: MeasuredTube) -> dict[str, Check]:
    return {check.name: check for check in tube_checks(tube) if check.status != "pass"}


def test_a_tube_that_agrees_with_itself_passes_all_eleven() -> None:
    """Two readings, two ends out of round and a taper for each side, the wall's scatter and its sum, the strip."""
    found = list(tube_checks(GOOD))
    assert len(found) == 11
    assert len({check.name for check in found}) == 11
    assert {check.status for check in found} == {"pass"}
    assert all(check.note == "" and check.value and check.limit and check.source for check in found)


WARNINGS: list[tuple[dict[str, Any], str, str, str]] = [
    ({"outside_aft": (68.60, 68.29)}, "tube: outside out of round, aft end", "0.31 mm", "smallest inside"),
    ({"inside_aft": (66.21, 66.11)}, "tube: inside, aft end against forward", "+0.26 mm", "that end"),
    # By hand: (68.40 - 65.90) / 2 is 1.25, which is 0.11 off 1.36.
    ({"wall": (1.36,)}, "tube: wall", "1.36 mm read, 1.25 mm by the diameters", "jaws"),
    ({"wall": (1.20, 1.31)}, "tube: scatter of the wall", "0.11 mm", "again"),
    # By hand: 68.71 less 0.1 of paper is 0.21 above 68.40.
    (
        {"strip": (math.pi * 68.71,)},
        "tube: outside by the strip",
        "68.61 mm by the strip, 68.40 mm by the calipers",
        "strip",
    ),
    (
        {"strip": (math.pi * 68.44, math.pi * 68.56)},
        "tube: scatter of the strip, on diameter",
        "0.12 mm",
        "again",
    ),
    (
        {"outside_forward": (), "outside_aft": (), "outside": (68.4,)},
        "tube: readings of the outside",
        "1",
        "two directions",
    ),
    (
        {"inside_forward": (), "inside_aft": (), "inside": (65.84, 65.95)},
        "tube: scatter of the inside",
        "0.11 mm",
        "which end",
    ),
]


@pytest.mark.parametrize(("fields", "name", "value", "note"), WARNINGS)
def test_a_reading_that_contradicts_warns_and_says_what_to_do(
    fields: dict[str, Any], name: str, value: str, note: str
) -> None:
    found = warned(dataclasses.replace(GOOD, **fields))
    assert set(found) == {name}
    check = found[name]
    assert (check.status, check.value) == ("warn", value)
    assert note in check.note
    assert "common practice" in check.source
    assert check.limit.startswith("warns ")


@pytest.mark.parametrize(
    "fields",
    [
        {"outside_aft": (68.55, 68.25)},  # 0.3 mm out of round
        {"wall": (1.35,)},
        {"outside": (65.1 + 3.0, 65.0 + 3.0), "outside_forward": (), "outside_aft": (), "strip": (), "wall": ()},
    ],
)
def test_on_the_bound_is_good(fields: dict[str, Any]) -> None:
    """65.1 less 65.0 is more than 0.1 in binary."""
    assert warned(dataclasses.replace(GOOD, **fields)) == {}


def test_nothing_is_said_of_what_was_not_read() -> None:
    names = {check.name for check in tube_checks(MeasuredTube("tube", (68.4,), (65.9,)))}
    assert names == {"tube: readings of the outside", "tube: readings of the inside"}
