"""What is measured on a transition: points on its section, and figures that are stated sizes or sums by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from ferrule.parts.kinds import Transition
from ferrule.parts.measures import (
    AngleToAxis,
    AxialLength,
    Chamfer,
    Detail,
    DiameterAt,
    Holes,
    Measure,
    RadiusOf,
    Wall,
)
from ferrule.parts.shape import Cut, Revolved

TAIL: dict[str, Any] = {
    "profile": "ogive",
    "forward_diameter": "102 mm",
    "aft_diameter": "70 mm",
    "length": "110 mm",
    "wall": "2 mm",
    "forward_shoulder_length": "60 mm",
    "forward_shoulder_diameter": "98 mm",
    "forward_screw_count": 3,
    "motor_bore_diameter": "54.6 mm",
    "retainer_recess_diameter": "62 mm",
    "retainer_recess_depth": "8 mm",
    "vent_hole_diameter": "5 mm",
    "vent_hole_distance": "50 mm",
}
JOINER: dict[str, Any] = {
    "forward_diameter": "54 mm",
    "aft_diameter": "75 mm",
    "length": "60 mm",
    "forward_shoulder_length": "40 mm",
    "forward_shoulder_diameter": "51 mm",
    "aft_shoulder_length": "50 mm",
    "aft_shoulder_diameter": "72 mm",
    "aft_screw_count": 4,
}


def named(part: Transition) -> dict[tuple[str, str], Measure]:
    return {(type(one).__name__, one.words): one for one in part.measures()}


def off_section(part: Transition, point: tuple[float, float]) -> float:
    """Distance of a point from the section's outline, sampled 2,000 times an edge [mm]."""
    shape = part.shape()
    base = shape.base if isinstance(shape, Cut) else shape
    assert isinstance(base, Revolved)
    t = np.linspace(0.0, 1.0, 2001)
    return min(float(np.hypot(*(edge.piece.at(t) - np.asarray(point)).T).min()) for edge in base.meridian.edges)


def test_a_tail_cone_is_measured_by_its_stated_sizes() -> None:
    found = named(Transition.build(**TAIL))
    sizes = {key: one.value for key, one in found.items() if isinstance(one, AxialLength | DiameterAt | Chamfer | Wall)}
    assert sizes == pytest.approx(
        {
            ("AxialLength", "length"): 110.0,
            ("AxialLength", "forward shoulder"): 60.0,
            ("AxialLength", "overall"): 170.0,
            ("AxialLength", "recess"): 8.0,
            ("AxialLength", "skin to screw"): 30.0,
            ("AxialLength", "forward end to vent"): 50.0,
            ("DiameterAt", "forward end"): 102.0,
            ("DiameterAt", "aft end"): 70.0,
            ("DiameterAt", "forward shoulder"): 98.0,
            ("DiameterAt", "forward bore"): 98.0 - 4.8,
            ("DiameterAt", "motor bore"): 54.6,
            ("DiameterAt", "sleeve"): 54.6 + 3.2,
            ("DiameterAt", "recess"): 62.0,
            ("Chamfer", "chamfer"): 0.6,
            ("Wall", "wall"): 2.0,
        },
        abs=1e-6,
    )
    arc, screws, vent = found["RadiusOf", "arc"], found["Holes", "screw"], found["Holes", "vent"]
    assert isinstance(arc, RadiusOf)
    # (16^2 + 110^2) / 32
    assert arc.value == pytest.approx(386.125, abs=1e-9)
    assert isinstance(screws, Holes)
    assert isinstance(vent, Holes)
    assert (screws.count, screws.diameter, vent.count, vent.diameter) == (3, 3.4, 1, 5.0)


def test_a_joiner_is_measured_at_both_ends() -> None:
    found = named(Transition.build(**JOINER))
    angle = found["AngleToAxis", "angle to the axis"]
    assert isinstance(angle, AngleToAxis)
    assert angle.value == pytest.approx(math.atan2(10.5, 60.0), abs=1e-12)
    for end, bore in (("forward", 51.0 - 4.8), ("aft", 72.0 - 4.8)):
        one = found["DiameterAt", f"{end} bore"]
        assert isinstance(one, DiameterAt)
        assert one.value == pytest.approx(bore, abs=1e-9)
        assert ("AxialLength", f"{end} shoulder") in found
        assert ("Detail", f"{end} step") in found


@pytest.mark.parametrize("fields", [TAIL, JOINER, {**TAIL, "profile": "elliptic"}, {**TAIL, "body": "solid"}])
def test_every_point_lies_on_the_section(fields: dict[str, Any]) -> None:
    fields = {name: value for name, value in fields.items() if fields.get("body") != "solid" or "vent" not in name}
    part = Transition.build(**fields)
    for one in part.measures():
        match one:
            case DiameterAt() | RadiusOf():
                points: tuple[tuple[float, float], ...] = (one.point,)
            case Wall():
                points = (one.outside, one.inside)
            case Chamfer():
                points = (one.start, one.end)
            case _:
                continue
        for point in points:
            # Edges are up to 170 mm long: a sample lies within half of 170 / 2,000 mm of any point of them.
            assert off_section(part, point) < 0.05, one


def test_a_filled_or_solid_one_has_no_wall_and_no_bores() -> None:
    for fields in ({"body": "solid"}, {"aft_diameter": "100 mm", "motor_bore_diameter": "94 mm"}):
        kept = {name: value for name, value in TAIL.items() if not name.startswith(("vent", "retainer"))}
        fields = {**kept, "forward_screw_count": 0, "forward_shoulder_diameter": "99.5 mm", **fields}
        part = Transition.build(**fields)
        words = {words for _, words in named(part)}
        assert words.isdisjoint({"wall", "forward bore", "sleeve"})
        assert part.cavity_stations() is None
    assert Transition.build(**{**kept, "body": "solid"}).walls() == {}


def test_the_walls_are_named() -> None:
    assert Transition.build(**TAIL).walls() == {"body": 2.0, "shoulder": 2.4, "sleeve": 1.6}
    plain = Transition.build(forward_diameter="60 mm", aft_diameter="50 mm", length="40 mm")
    assert plain.walls() == {"body": 1.6}
    assert plain.cavity_stations() == (0.0, 40.0)
    assert not any(isinstance(one, Detail) for one in plain.measures())
