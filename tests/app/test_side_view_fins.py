"""What the side view shows of fins: the same rim flat or aerofoil, their openings, and fins that are one with a sleeve.

Sources: elementary geometry; a fin at roll a is seen shortened by cos(a).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from rocket_samples import fin_part

from ferrule.analysis.rocket import Item
from ferrule.app.side_view import outlines
from ferrule.parts.kinds.fin_can import FinCan
from ferrule.parts.marks import Pen
from ferrule.parts.part import Part

STATION, RADIUS, COUNT = 780.0, 33.0, 4
"""Of four fins, two stand half a right angle above the axis and two as much below it [mm, -]."""


def seen(part: Part) -> list[tuple[list[tuple[float, float]], Pen]]:
    """Chains of points from the part's own origin, heights as they are before they are seen aslant."""
    found = outlines(Item("fins", (STATION,), part, COUNT, RADIUS))
    return [([(x - STATION, y / math.cos(math.pi / 4.0)) for x, y in points], pen) for points, pen in found]


def corners(part: Part) -> set[tuple[float, float]]:
    return {(round(x, 6), round(abs(y), 6)) for points, _ in seen(part) for x, y in points}


def test_an_aerofoil_has_the_rim_of_a_flat_fin() -> None:
    sizes = {"root_chord": "120 mm", "tip_chord": "60 mm", "semi_span": "70 mm", "sweep_length": "50 mm"}
    flat = fin_part(**sizes)
    printed = fin_part(**sizes, section="naca-four-digit", thickness="8 mm", material="petg")
    assert corners(flat) == {(0.0, 33.0), (120.0, 33.0), (110.0, 103.0), (50.0, 103.0)}
    assert corners(printed) == corners(flat)
    assert {pen for _, pen in seen(printed)} == {Pen.CUT}
    assert {y > 0.0 for points, _ in seen(printed) for _, y in points} == {True, False}, "above and below the axis"


def test_holes_in_a_fin_are_seen() -> None:
    plain, holed = fin_part(), fin_part(pin_hole_diameter="3 mm")
    rounds = [np.array(points) for points, _ in seen(holed) if len(points) > 2]
    assert len(seen(holed)) > len(seen(plain))
    assert rounds
    for points in rounds:
        wide, high = np.ptp(points, axis=0)
        assert (wide, high) == pytest.approx((3.0, 3.0), rel=1e-6)


@pytest.mark.parametrize("section", ["flat", "naca-four-digit"])
def test_fins_of_a_can_are_seen_and_their_roots_lie_inside(section: str) -> None:
    can = FinCan.build(
        bore_diameter="66 mm",
        wall="3 mm",
        length="140 mm",
        fin_count="4",
        root_chord="90 mm",
        tip_chord="45 mm",
        semi_span="60 mm",
        sweep_length="45 mm",
        thickness="6 mm",
        section=section,
        material="petg",
    )
    found = outlines(Item("can", (STATION,), can))
    aslant = math.cos(math.pi / 4.0)
    tips = [points for points, pen in found if pen is Pen.CUT and np.abs(points[:, 1]).max() > 60.0]
    assert max(np.abs(points[:, 1]).max() for points in tips) == pytest.approx((36.0 + 60.0) * aslant, abs=1e-9)
    sunk = [points for points, pen in found if pen is Pen.REFERENCE and np.abs(points[:, 1]).max() < 36.1 * aslant]
    lowest = min(np.abs(points[:, 1]).min() for points in sunk)
    assert lowest == pytest.approx((36.0 - 1.5) * aslant, abs=1e-9), "to mid-wall"
