"""What the air meets where a sleeve with fins lies over a tube: against the same body written without an overlap."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import ClassVar

import pytest
from rocket_samples import fin_part, rocket, trapezoid, tube_part

from ferrule.analysis.allowances import painted_skin
from ferrule.analysis.joints import Joint, sections
from ferrule.analysis.outer_skin import outer_skin
from ferrule.analysis.place_checks import place_checks
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import HIDDEN, normal_forces, stability
from ferrule.parts.fin_set import FinSet
from ferrule.parts.kinds import Tube

EXACT = 1e-9


class Sleeve(Tube):
    """A straight sleeve with three fins in one with it, their roots on its outside from 10 mm behind its front."""

    kind: ClassVar[str] = "sleeve with fins, for tests"

    def fin_set(self) -> FinSet:
        return FinSet(trapezoid(120.0, 60.0, 70.0, 50.0), 3.0, 10.0, 3, self.outside_diameter / 2.0)


def sleeve(station: float, length: float = 140.0, diameter: float = 70.0) -> Item:
    part = Sleeve.build(outside_diameter=f"{diameter} mm", inside_diameter="66.2 mm", length=f"{length} mm")
    return Item("can", (station,), part, stated_mass=80.0)


NOSE, TUBE, *_ = rocket().items


def with_can(station: float, length: float = 140.0) -> Rocket:
    return Rocket("can", (NOSE, TUBE, sleeve(station, length)))


def test_a_tube_goes_on_in_front_of_a_sleeve_and_behind_it() -> None:
    found = [
        (one.item.name, one.skin.station + one.skin.chain[0].start[0], one.skin.station + one.skin.chain[-1].end[0])
        for one in outer_skin(with_can(740.0))
    ]
    assert found == [
        ("nose", pytest.approx(0.0, abs=1e-9), 200.0),
        ("tube", 200.0, pytest.approx(740.0)),
        ("can", 740.0, 880.0),
        ("tube", pytest.approx(880.0), 900.0),
    ]


@pytest.mark.parametrize(("station", "length"), [(740.0, 140.0), (760.0, 140.0), (760.3, 140.0)])
def test_a_body_with_a_sleeve_has_the_force_of_the_same_body_in_pieces(station: float, length: float) -> None:
    """Tube, wider tube, tube: what the outside is. A sleeve that ends with the tube has no step down behind it."""
    behind = 900.0 - station - length
    tubes = [("tube", 200.0, "66 mm", station - 200.0), ("wide", station, "70 mm", length)]
    tubes += [("rest", station + length, "66 mm", behind)] if behind > 0.5 else []
    plain = Rocket(
        "pieces",
        (
            NOSE,
            *(Item(n, (x,), tube_part(outside_diameter=d, length=f"{long!r} mm")) for n, x, d, long in tubes),
            Item("fins", (station + 10.0,), fin_part(), 3, 35.0),
        ),
    )
    found, expected = stability(with_can(station, length)), stability(plain)
    assert found is not None
    assert expected is not None
    assert found.reference_diameter == expected.reference_diameter == pytest.approx(70.0)
    assert found.normal_force.slope == pytest.approx(expected.normal_force.slope, rel=EXACT)
    assert found.normal_force.station == pytest.approx(expected.normal_force.station, rel=EXACT)
    paint, as_pieces = painted_skin(with_can(station, length)), painted_skin(plain)
    assert paint == pytest.approx(as_pieces, rel=EXACT)


def test_the_step_up_to_a_sleeve_and_the_step_down_behind_it_count_once_each() -> None:
    """2 dA over the reference area at each (equations 14 and 15 at no length), and they cancel in the sum."""
    forces = normal_forces(with_can(740.0))
    step = 2.0 * (1.0 - (66.0 / 70.0) ** 2)
    assert forces["tube"].slope == pytest.approx(-step, rel=EXACT)
    assert forces["tube"].station == pytest.approx(880.0)
    fins = normal_forces(Rocket("fins", (NOSE, TUBE, Item("fins", (750.0,), fin_part(), 3, 35.0))), 70.0)["fins"]
    assert forces["can"].slope == pytest.approx(fins.slope + step, rel=EXACT)
    bodies = forces["nose"].slope + forces["tube"].slope + forces["can"].slope - fins.slope
    assert bodies == pytest.approx(2.0 * (66.0 / 70.0) ** 2, rel=EXACT)


def test_a_tube_that_is_all_hidden_has_no_force_and_says_so() -> None:
    short = replace(TUBE, name="short", stations=(900.0,), part=tube_part(length="100 mm"))
    found = Rocket("hidden", (NOSE, TUBE, short, sleeve(890.0, 120.0)))
    forces = normal_forces(found)
    assert forces["short"].slope == 0.0
    assert forces["short"].notes == (HIDDEN,)


def test_a_sleeve_is_no_gap_in_the_body_and_goes_with_its_tube() -> None:
    found = with_can(740.0)
    assert [check.name for check in place_checks(found) if check.status == "fail"] == []
    opens = (Joint(("nose", "tube"), "releases"),)
    assert sections(found, opens) == (("nose",), ("tube", "can"))


def test_two_tubes_that_overlap_by_a_slip_are_still_found() -> None:
    far = replace(TUBE, name="far", stations=(880.0,))
    checks = [check for check in place_checks(Rocket("slip", (NOSE, TUBE, far))) if check.status == "fail"]
    assert [check.name for check in checks] == ["tube to far"]
    assert len(outer_skin(Rocket("slip", (NOSE, TUBE, far)))) == 3


def test_fins_of_a_sleeve_are_fins_of_the_rocket() -> None:
    (fins,) = with_can(740.0).fin_sets
    assert (fins.name, fins.station, fins.radius, fins.count) == ("can", 750.0, 35.0, 3)
    assert fins.rolls == pytest.approx([math.pi / 3.0, math.pi, 5.0 * math.pi / 3.0])
    assert with_can(740.0).fins == ()
    found = stability(with_can(740.0))
    assert found is not None
    assert "no fins are stated" not in found.notes
