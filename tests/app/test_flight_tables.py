"""The flight as plain data and in words: every figure is the flight's own, and nothing is told that is not stated."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.drag.term import DragTerm
from ferrule.analysis.drag_curve import stated_drag
from ferrule.analysis.flight.bands import flight_bands
from ferrule.analysis.flight.canopy import Canopy
from ferrule.analysis.flight.deployment import COUNTED, deployments, window
from ferrule.analysis.flight.descent import descent
from ferrule.analysis.flight.drift import drift
from ferrule.analysis.flight.fly import fly
from ferrule.analysis.flight.result import Flight, NotFlown
from ferrule.analysis.flight.vehicle import Vehicle
from ferrule.analysis.launch import Launch
from ferrule.analysis.motor import Thrust
from ferrule.app.cautions import NOT_A_CLEARANCE
from ferrule.app.design_file import load, parse
from ferrule.app.flight_figures import (
    band_figures,
    delay_figures,
    descent_figures,
    drag_figures,
    drift_figures,
    flight_figures,
)
from ferrule.app.flight_tables import FLIGHT_CAUTIONS, NOT_MODELLED, flight_lines, flight_section
from ferrule.app.summary import summary

GRAVITY = 9.80665
"""Standard gravity [m/s2] (ISO 80000-3)."""

BLOCK = Thrust((0.0, 1.5), (60.0, 60.0))
DEMO = Thrust((0.0, 0.04, 0.2, 0.6, 1.0, 1.3, 1.5, 1.6), (0.0, 125.0, 138.0, 126.0, 106.0, 88.0, 50.0, 0.0))
BURNS_ON = Thrust((0.0, 0.2, 0.6, 1.4, 5.0, 5.6), (0.0, 120.0, 90.0, 2.0, 2.0, 0.0))
NO_REASON = "the drag coefficient is not stated"


def flown(thrust: Thrust, mass: float = 1225.0, propellant: float = 90.0, coefficient: float = 0.5) -> Flight:
    drag = stated_drag(coefficient, 3680.0, "known of such rockets")
    found = fly(Vehicle(mass, propellant, thrust, drag, 1415.0, 1602.0), Launch(), Atmosphere())
    assert isinstance(found, Flight)
    return found


def filled() -> dict[str, Any]:
    """Everything that a section can be made from, of two motors of which one does not fly."""
    flight, air = flown(DEMO), Atmosphere()
    canopy = Canopy("main", 760.0, 0.75, "constructed")
    term = DragTerm(
        "base", "booster tube", 0.12, "0.029 / sqrt(CfB)", "a book | of drag", "Mach 0.8", 1150.0, ("a note of it",)
    )
    check = {
        "name": "rail exit speed, A",
        "status": "not-stated",
        "value": None,
        "limit": "fails below 13 m/s",
        "source": "common practice",
        "note": "",
        "formula": "v = sqrt(2 a s)",
        "inputs": ("mass 1225 g (weighed)", "rail 2.4 m (stated)"),
    }
    return {
        "flights": flight_figures({"A": flight, "B": NotFlown(NO_REASON)}),
        "delays": [delay_figures("A", deployments(flight, (6.0, 8.0)), (6.0, 8.0), window(flight, 20.0))],
        "descent": [
            descent_figures("A", descent(1135.0, (canopy,), 500.0, air)),
            descent_figures("B", None, "needs the diameter of the parachute"),
        ],
        "drift": [drift_figures("A", drift(68.0, (2.0, 8.0), 12.0))],
        "bands": [band_figures("A", flight_bands(flight, (1150.0, 1300.0)))],
        "drag_terms": [drag_figures("A", 100.0, False, (term,))],
        "checks": [check, check | {"name": "without one", "formula": "", "inputs": ()}],
    }


def cells(section: str, start: str) -> list[str]:
    """Cells of the first row of a table that starts with a word."""
    row = next(line for line in section.splitlines() if line.startswith(f"| {start} |"))
    return [cell.strip() for cell in row.strip("|").split("|")]


def test_figures_of_the_closed_form() -> None:
    """Thrust F on a mass m that stays, without drag: exact values of a throw after an even push."""
    (found,) = flight_figures({"A": flown(BLOCK, 1200.0, 0.0, 0.0)})
    rise, burn = 60.0 / 1.2 - GRAVITY, 1.5
    speed = rise * burn
    assert found["motor"] == "A"
    assert found["not_stated"] is None
    assert found["mean_thrust_to_weight"] == pytest.approx(60.0 / (1.2 * GRAVITY))
    assert found["first_thrust_to_weight"] == pytest.approx(60.0 / (1.2 * GRAVITY))
    assert found["forward_button_speed_m_per_s"] == pytest.approx(math.sqrt(2.0 * rise * 1.415), rel=1e-6)
    assert found["aft_button_speed_m_per_s"] == pytest.approx(math.sqrt(2.0 * rise * 1.602), rel=1e-6)
    assert found["greatest_speed_m_per_s"] == pytest.approx(speed, rel=1e-6)
    assert found["greatest_acceleration_m_per_s2"] == pytest.approx(50.0, rel=1e-6)
    assert found["greatest_acceleration_g"] == pytest.approx(50.0 / GRAVITY, rel=1e-6)
    assert (found["burnout_time_s"], found["burnout_speed_m_per_s"]) == pytest.approx((burn, speed), rel=1e-6)
    assert found["burnout_height_m"] == pytest.approx(rise * burn**2 / 2.0, rel=1e-6)
    assert found["apogee_height_m"] == pytest.approx(rise * burn**2 / 2.0 + speed**2 / 2.0 / GRAVITY, rel=1e-6)
    assert found["coast_time_s"] == found["delay_wanted_s"] == pytest.approx(speed / GRAVITY, rel=1e-5)
    assert found["reference_area_mm2"] == 3680.0
    assert found["drag_source"] == "known of such rockets"


def test_figures_are_plain_and_have_the_same_keys_whether_it_flies_or_not() -> None:
    flying, held = flight_figures({"A": flown(DEMO), "B": NotFlown(NO_REASON)})
    assert list(flying) == list(held)
    assert held["not_stated"] == NO_REASON
    numbers = [key for key, value in flying.items() if isinstance(value, float)]
    assert all(held[key] is None for key in numbers if key != "first_moment_s")
    figures = filled()
    assert json.loads(json.dumps(figures))["flights"][0]["apogee_height_m"] == figures["flights"][0]["apogee_height_m"]
    assert [one["name"] for one in flying["events"]][-1] == "apogee"


def test_a_motor_that_burns_on_wants_no_delay() -> None:
    flight = flown(BURNS_ON, 2000.0, 40.0)
    assert flight.coast_time < 0.0
    figures = {"flights": flight_figures({"A": flight})}
    assert figures["flights"][0]["delay_wanted_s"] is None
    assert cells(flight_section(figures), "A")[0] == "A"
    assert "still burns at the apogee" in flight_section(figures)
    assert "still burning there" in "\n".join(flight_lines(figures))


def test_a_row_for_each_motor_that_flies_and_a_reason_for_each_other() -> None:
    figures = filled()
    one, section = figures["flights"][0], flight_section(figures)
    assert section.startswith("## Flight\n\n- B: *not stated*: the drag coefficient is not stated.")
    assert cells(section, "A") == [
        "A",
        "1,225",
        "1,135",
        f"{one['mean_thrust_to_weight']:.1f}",
        f"{one['first_thrust_to_weight']:.1f}",
        f"{one['forward_button_speed_m_per_s']:.1f}",
        f"{one['aft_button_speed_m_per_s']:.1f}",
    ]
    second = cells(section[section.index("| Motor | Greatest speed") :], "A")
    assert second[1:6] == [
        f"{one['greatest_speed_m_per_s']:.1f}",
        f"{one['greatest_mach']:.2f}",
        f"{one['greatest_acceleration_m_per_s2']:,.0f}",
        f"{one['greatest_acceleration_g']:.1f}",
        f"{one['greatest_dynamic_pressure_pa'] / 1000.0:.2f}",
    ]
    # The international foot is 304.8 mm (NIST SP 811, appendix B).
    assert second[7:9] == [f"{one['apogee_height_m']:,.0f}", f"{one['apogee_height_m'] / 0.3048:,.0f}"]
    assert second[10] == f"{one['delay_wanted_s']:.1f}"


def test_every_table_has_as_many_cells_in_each_row() -> None:
    for block in flight_section(filled()).split("\n\n"):
        if block.startswith("|"):
            counts = {row.replace("\\|", "").count("|") for row in block.splitlines()}
            assert len(counts) == 1, block
            assert "None" not in block
            assert "nan" not in block


def test_delays_are_told_with_what_they_count_from() -> None:
    figures = filled()
    section = flight_section(figures)
    delays = section[section.index("### Delays") : section.index("### Under the parachute")]
    assert COUNTED[1:] in delays
    assert cells(delays, "6.0 (stated)")[3].endswith(", rising")
    assert figures["delays"][0]["window"] in delays
    assert "common practice" in delays
    wanted = f"{figures['flights'][0]['delay_wanted_s']:.1f}"
    assert cells(delays, wanted)[3] == "0.0"
    only = {"flights": figures["flights"]}
    assert COUNTED in flight_section(only)
    assert COUNTED in "\n".join(flight_lines(only))


def test_a_delay_that_is_too_long_ends_on_the_ground() -> None:
    flight = flown(DEMO)
    figures = filled() | {"delays": [delay_figures("A", deployments(flight, (50.0,)), (50.0,))]}
    assert cells(flight_section(figures), "50.0 (stated)")[2] == "on the ground before that"


def test_what_follows_the_flight_is_told_where_it_is_known() -> None:
    figures = filled()
    section = flight_section(figures)
    down = figures["descent"][0]
    under = section[section.index("### Under the parachute") : section.index("### Drift")]
    assert cells(under, "A")[1:] == [
        "1,135",
        f"{0.75 * math.pi * 0.76**2 / 4.0:.3f}",
        f"{down['first_speed_m_per_s']:.1f}",
        f"{down['speed_m_per_s']:.1f}",
        f"{down['time_s']:.0f}",
        f"{down['energy_j']:.0f}",
    ]
    assert "- B: *not stated*: needs the diameter of the parachute." in under
    assert cells(section, "8.0") == ["8.0", "544", "12", "556"]
    bands = section[section.index("### How sure") :]
    apogee = cells(bands, "Apogee [m]")
    assert float(apogee[2]) < float(apogee[1]) < float(apogee[3])
    assert len(apogee) == 7
    assert "No confidence is claimed." in bands
    terms = section[section.index("### Drag, term by term") :]
    assert "| base | booster tube | 0.1200 | 0.029 / sqrt(CfB) | a book \\| of drag | Mach 0.8 |" in terms
    assert "- Note: a note of it." in terms
    assert "at 100 m/s, coasting" in terms


def test_a_check_is_told_with_its_formula_and_what_went_into_it() -> None:
    section = flight_section(filled())
    row = cells(section, "rail exit speed, A")
    assert row[1:] == [
        "not stated",
        "*not stated*",
        "fails below 13 m/s",
        "v = sqrt(2 a s)",
        "mass 1225 g (weighed); rail 2.4 m (stated)",
        "common practice",
    ]
    assert "without one" not in section


def test_what_is_not_modelled_and_the_cautions_are_always_there() -> None:
    for figures in (filled(), {"flights": flight_figures({"B": NotFlown(NO_REASON)})}):
        section = flight_section(figures)
        assert section.endswith("\n".join(f"- {caution}" for caution in FLIGHT_CAUTIONS))
        told = section[section.index("### What is not modelled") :].lower()
        assert all(one in told for one in NOT_MODELLED)
        assert NOT_A_CLEARANCE in section
    assert any("No modification of motors" in caution for caution in FLIGHT_CAUTIONS)


def test_nothing_is_told_without_a_motor() -> None:
    assert flight_section({"flights": []}) == ""
    assert flight_section({}) == ""
    assert list(flight_lines({})) == []


def test_lines_of_the_check() -> None:
    figures = filled()
    one = figures["flights"][0]
    lines = list(flight_lines(figures))
    assert lines == [
        f"  A in flight, predicted: apogee {one['apogee_height_m']:.0f} m ({one['apogee_height_m'] / 0.3048:,.0f} ft) "
        f"after {one['apogee_time_s']:.1f} s, delay wanted {one['delay_wanted_s']:.1f} s; greatest speed "
        f"{one['greatest_speed_m_per_s']:.0f} m/s (Mach {one['greatest_mach']:.2f}), "
        f"{one['greatest_acceleration_g']:.1f} g",
        "  B in flight: not stated: the drag coefficient is not stated",
        f"  ({COUNTED})",
    ]


def test_the_report_tells_what_the_wind_takes_and_sets_motors_beside_each_other() -> None:
    marram = Path(__file__).parents[2] / "examples" / "marram" / "marram.toml"
    text = marram.read_text(encoding="utf-8")
    start, end = text.index("[[motor]]"), text.index("# --- sheets that rings")
    one = summary(load(marram))
    section = flight_section(one)
    assert "### Turned into the wind" in section
    for row in one["in_wind"][0]["rows"]:
        assert f"| {row['wind_m_per_s']:.1f} | {row['apogee_m']:.0f} | {row['apogee_lost_m']:.0f} |" in section
        assert row["apogee_m"] + row["apogee_lost_m"] == pytest.approx(one["flights"][0]["apogee_height_m"], abs=1e-9)
    assert "Motors beside each other" not in section
    again = text[start:end].replace('name = "DEMO-29"', 'name = "DEMO-29 again"')
    two = summary(parse(text[:end] + again + text[end:], "marram.toml", marram.parent))
    section = flight_section(two)
    assert "### Motors beside each other" in section
    for words in ("| DEMO-29 | 2.18 | 2.57 |", "| DEMO-29 again | 2.18 | 2.57 |", "Speed off a rail of 1.8 m [m/s]"):
        assert words in section
