"""Drag of a plain body against worked values, and its friction against laws that were drawn up by others.

Sources: Blasius' plate (Cengel and Cimbala, Fluid Mechanics, table 10-4); Prandtl and Schlichting, Schlichting's
rough plate, Hoerner's form factor and base (from memory; the numbers are worked from them); the ITTC line of 1957; a
power law in Schlichting, Boundary-Layer Theory, page 644, as a public code has it (0.02666 Re^-0.139); the cut-off
Reynolds number 38.21 (l/k)^1.053 of Raymer 12.5.3 (from memory). Tolerances are the rows' own; where two laws are laid
beside each other, the distance that their books show between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from published import as_published, by_row, rows
from rocket_samples import nose_part, tube_part

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.drag.body import drag_body
from ferrule.analysis.drag.body_friction import form_factor
from ferrule.analysis.drag.fin_friction import thickness_factor
from ferrule.analysis.drag.flow import flow_at
from ferrule.analysis.drag.skin_friction import laminar, rough, transition, turbulent
from ferrule.analysis.drag.terms import drag_terms
from ferrule.analysis.rocket import Item, Rocket

PLAIN = Rocket("plain", (Item("nose", (0.0,), nose_part()), Item("tube", (200.0,), tube_part())))
AIR = Atmosphere().at(0.0)
SMOOTH = drag_body(PLAIN, 0.0)
assert SMOOTH is not None
FLOW = flow_at(100.0, AIR, 0.0)
RE = FLOW.reynolds(900.0)
AREA = SMOOTH.reference_area

TABLE = rows("drag.json")


def still(coefficient: float, factor: float) -> float:
    """A coefficient without what the Mach number does to it: the worked case leaves that out."""
    return coefficient / factor


def friction() -> float:
    return still(SMOOTH.friction.area(FLOW) / AREA, FLOW.on_friction)


def base() -> float:
    # The base is worked out from the friction at speed, which the worked case leaves out too.
    at_speed = SMOOTH.base.area(FLOW, SMOOTH.friction.area(FLOW), burning=False) / AREA
    return still(at_speed, FLOW.on_suction) * math.sqrt(FLOW.on_friction)


READ: dict[str, Callable[[], float]] = {
    "reynolds": lambda: RE,
    "laminar": lambda: laminar(RE),
    "turbulent": lambda: turbulent(RE),
    "transition": lambda: transition(RE),
    "form": lambda: form_factor(66.0, 900.0),
    "wetted": lambda: SMOOTH.friction.wetted[-1],
    "friction": friction,
    "base": base,
    "body": lambda: friction() + base(),
    "fin_form": lambda: thickness_factor(0.03),
}


def test_every_row_of_the_table_is_read() -> None:
    assert [row["id"] for row in TABLE] == list(READ)


@by_row(TABLE)
def test_the_plain_body_at_100_m_s(row: dict[str, Any]) -> None:
    assert READ[row["id"]]() == as_published(row)


def test_nothing_else_drags_on_the_plain_body() -> None:
    """A tangent ogive runs into its tube without a corner and without a step."""
    terms = drag_terms(SMOOTH, 100.0, AIR, burning=False)
    assert [term.name for term in terms] == ["friction", "base"]


PLATES = rows("plate_friction.json")


@by_row([row for row in PLATES if row["law"] == "prandtl-schlichting"])
def test_the_law_of_smooth_plates(row: dict[str, Any]) -> None:
    assert turbulent(row["reynolds"]) == as_published(row)


@by_row([row for row in PLATES if row["law"] == "ittc"])
def test_the_line_of_the_towing_tanks_lies_near(row: dict[str, Any]) -> None:
    """The two were drawn through the same measurements of plates; they part by 5 % at a Reynolds number of 1e6."""
    assert turbulent(row["reynolds"]) == pytest.approx(row["value"], rel=0.05)


@pytest.mark.parametrize("reynolds", [5e6, 1e7, 2e7, 1e8])
def test_the_power_law_for_plates_in_transition_lies_near(reynolds: float) -> None:
    """0.02666 Re^-0.139 and the law less 1700 / Re, both Schlichting's: within 4 % from 5e6 on."""
    assert transition(reynolds) == pytest.approx(0.02666 * reynolds**-0.139, rel=0.04)


@pytest.mark.parametrize("ratio", [2e3, 1e4, 1e5, 5e5])
def test_the_cut_off_of_raymer_gives_the_rough_plate(ratio: float) -> None:
    """Turbulent friction at the Reynolds number that roughness does not let pass: within 5 % of the rough plate."""
    assert turbulent(38.21 * ratio**1.053) == pytest.approx(rough(1000.0, 1000.0 / ratio), rel=0.05)


def test_the_rough_plate_in_figures() -> None:
    """l/k = 10,000: (1.89 + 1.62 x 4)^-2.5 = 8.37^-2.5 = 0.0049338 (worked by hand)."""
    assert rough(500.0, 0.05) == pytest.approx(0.0049338, rel=1e-4)
