"""A fin can in a design: its sizes from the tube, its mass from its shape, its normal force by the published equations.

Source: J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966: equations 57, 59 and 77
for fins, and the change of section of slender bodies for the sleeve's forward taper.
"""

from __future__ import annotations

import math

import pytest
from rocket_samples import rocket, tube_part

from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import normal_forces
from ferrule.app.design_file import parse
from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import FinCan
from ferrule.parts.readers.integrals import moments
from ferrule.parts.tables import material

DESIGN = """
format = 1
name = "Can"

[[tube]]
name = "airframe"
outside = ["66.1 mm", "66.3 mm"]
inside = ["63.2 mm"]
length = "600 mm"
station = "250 mm"
material = "kraft-tube"

[[part]]
kind = "fin-can"
name = "can"
fits = "airframe"
station = "730 mm"
length = "120 mm"
fin_count = 3
root_chord = "90 mm"
tip_chord = "45 mm"
semi_span = "60 mm"
sweep_length = "45 mm"
thickness = "4 mm"
material = "petg"
sectors = 3
"""


def test_its_bore_follows_from_the_tube_and_its_mass_from_its_shape() -> None:
    """A sliding fit of a print: 0.4 mm over the largest reading, 66.3 mm (common practice)."""
    design = parse(DESIGN)
    derived = design.derived["can"]["bore_diameter"]
    assert derived.value == pytest.approx(66.7)
    (item,) = [one for one in design.rocket.items if one.name == "can"]
    assert isinstance(item.part, FinCan)
    assert item.part.bore_diameter == pytest.approx(66.7)
    grams = moments(item.part.shape()).volume * material("petg").density
    assert item.volume_moments().volume * material("petg").density == pytest.approx(grams, rel=1e-12)
    pieces = sum(moments(piece.shape).volume for piece in item.part.printed_pieces()) * material("petg").density
    assert 0.0 < grams - pieces < 0.2, "less than a fifth of a gram goes into the gaps for glue"


def test_what_cannot_be_is_told_with_its_line() -> None:
    with pytest.raises(DesignError) as caught:
        parse(DESIGN.replace("sectors = 3", "sectors = 4"))
    (problem,) = caught.value.problems
    assert problem.field == "part[1].sectors"
    assert problem.line == DESIGN.split("\n").index("sectors = 3") + 1


def test_its_normal_force_is_that_of_its_fins_and_of_its_step() -> None:
    """Tube of 66 mm, sleeve of 71.2 mm, whose section is the reference."""
    part = FinCan.build(**{**FinCan.example, "bore_diameter": "66.4 mm"})
    items = (rocket().items[0], Item("tube", (200.0,), tube_part()), Item("can", (780.0,), part))
    found = normal_forces(Rocket("can", items))["can"]
    radius, span, root, tip, sweep = 35.6, 60.0, 90.0, 45.0, 45.0
    mid_chord = math.hypot(span, sweep + (tip - root) / 2.0)
    one = 4.0 * 3.0 * (span / (2.0 * radius)) ** 2 / (1.0 + math.sqrt(1.0 + (2.0 * mid_chord / (root + tip)) ** 2))
    fins = (1.0 + radius / (span + radius)) * one
    step = 2.0 * (1.0 - (33.0 / radius) ** 2)
    assert found.slope == pytest.approx(fins + step, rel=1e-9)
    behind = sweep / 3.0 * (root + 2.0 * tip) / (root + tip) + (root + tip - root * tip / (root + tip)) / 6.0
    assert found.station == pytest.approx((fins * (810.0 + behind) + step * 783.6) / (fins + step), abs=0.3)
