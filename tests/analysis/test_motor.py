"""Thrust curves and motors.

Sources: area of a trapezoid; moments of inertia of a solid cylinder as in any mechanics handbook; the curve of the
invented motor summed by hand.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from ferrule.analysis.motor import Motor, Thrust, read_thrust
from ferrule.parts.errors import DesignError, PartError
from ferrule.parts.fingerprint import canonical

CURVE = """time_s,thrust_N
# an invented motor
0,0
0.04,125
0.2,138

0.6,126
1.0,106
1.3,88
1.5,50
1.6,0
"""

MOTOR = Motor("invented", 29.0, 220.0, 190.0, 100.0, 1158.0)


def refused(text: str) -> list[tuple[int | None, str]]:
    with pytest.raises(DesignError) as caught:
        read_thrust(text)
    return [(problem.line, problem.message) for problem in caught.value.problems]


def test_the_impulse_of_a_curve_summed_by_hand() -> None:
    found = read_thrust(CURVE)
    # 0.04 x 62.5 + 0.16 x 131.5 + 0.4 x 132 + 0.4 x 116 + 0.3 x 97 + 0.2 x 69 + 0.1 x 25
    assert found.total_impulse == pytest.approx(2.5 + 21.04 + 52.8 + 46.4 + 29.1 + 13.8 + 2.5, rel=1e-12)
    assert found.total_impulse == pytest.approx(168.1, abs=0.05)
    assert found.burn_time == pytest.approx(1.6)
    assert found.mean == pytest.approx(168.14 / 1.6, rel=1e-12)
    assert found.mean == pytest.approx(105.0, abs=0.1)
    assert found.greatest == 138.0


def test_the_impulse_is_the_integral_of_the_straight_lines() -> None:
    found = read_thrust(CURVE)
    integral, _ = quad(lambda t: np.interp(t, found.times, found.thrusts), 0.0, 1.6, points=found.times[1:-1])
    assert found.total_impulse == pytest.approx(integral, rel=1e-12)


def test_zeros_that_pad_the_table_are_no_burn() -> None:
    plain = Thrust((0.5, 1.0, 1.5), (0.0, 80.0, 0.0))
    padded = Thrust((0.0, 0.5, 1.0, 1.5, 9.0), (0.0, 0.0, 80.0, 0.0, 0.0))
    assert padded.burn_time == plain.burn_time == 1.0
    assert padded.mean == plain.mean == 40.0


def test_a_pause_belongs_to_the_burn() -> None:
    found = Thrust((0.0, 1.0, 2.0, 3.0, 4.0), (50.0, 0.0, 0.0, 0.0, 50.0))
    assert found.burn_time == 4.0
    assert found.total_impulse == 50.0


@pytest.mark.parametrize(
    ("times", "thrusts", "words"),
    [
        ((0.0,), (5.0,), "at least two points"),
        ((), (), "at least two points"),
        ((0.0, 1.0, 1.0), (0.0, 5.0, 0.0), "times must rise, got 1 s after 1 s"),
        ((0.0, -1.0), (0.0, 5.0), "must be from 0"),
        ((0.0, 1.0), (5.0, -1.0), "got -1 N"),
        ((0.0, 1.0), (5.0, math.nan), "got nan N"),
        ((0.0, math.inf), (5.0, 5.0), "got inf s"),
        ((0.0, 1.0), (0.0, 0.0), "no point has any thrust"),
        ((0.0, 1.0), (5.0,), "2 times and 1 thrusts"),
    ],
)
def test_a_curve_that_cannot_be_is_refused(times: tuple[float, ...], thrusts: tuple[float, ...], words: str) -> None:
    with pytest.raises(PartError, match=r"^thrust: ") as caught:
        Thrust(times, thrusts)
    assert words in str(caught.value)


def test_every_bad_line_is_named_at_once() -> None:
    found = refused("time_s,thrust_N\n0,0\n# note\n0.1;5\n0.2,-3\n0.15,abc\n\n0.1,7\n0.3\n0.4,1,2\n")
    assert [line for line, _ in found] == [4, 5, 6, 8, 9, 10]
    assert "0.1;5" in found[0][1]
    assert "got -3 N" in found[1][1]
    assert "got 0.1 s after 0.2 s" in found[3][1]


@pytest.mark.parametrize("text", ["", "\n\n", "# only words\n"])
def test_an_empty_file_says_how_it_starts(text: str) -> None:
    [(line, message)] = refused(text)
    assert line is None
    assert "time_s,thrust_N" in message


def test_a_missing_header_is_one_problem_and_its_point_is_read() -> None:
    [(line, message)] = refused("0,0\n1,5\n")
    assert line == 1
    assert "time_s,thrust_N" in message
    assert [line for line, _ in refused("time,thrust\n0,0\n0,1\n")] == [1, 3]


@pytest.mark.parametrize("text", ["1_0,5", "１,5", "nan,5", "inf,5", "0x1,5", "1e9999,5", "1 2,5", "0,5 N", "0,5e"])
def test_only_plain_numbers_are_numbers(text: str) -> None:
    assert [line for line, _ in refused(f"time_s,thrust_N\n0,0\n{text}\n3,0\n")] == [3]


def test_a_table_without_enough_in_it_has_no_line() -> None:
    assert refused("time_s,thrust_N\n0,5\n") == [(None, "a thrust curve needs at least two points, got 1")]
    assert refused("time_s,thrust_N\n0,0\n1,0\n") == [(None, "no point has any thrust")]


def test_a_file_saved_by_a_spreadsheet_reads_the_same() -> None:
    assert read_thrust("\ufeff" + CURVE.replace("\n", "\r\n").replace(",", " , ")) == read_thrust(CURVE)


def test_a_curve_ends_at_zero_or_is_told_to() -> None:
    [(line, message)] = refused("time_s,thrust_N\n0,0\n0.1,50\n# the end\n1.1,5\n")
    assert line == 5
    assert message == "the curve must end at 0 N, got 5 N at 1.1 s; add the point at which the thrust is gone"
    assert read_thrust("time_s,thrust_N\n0,0\n0.1,50\n1.1,5\n1.2,0\n").burn_time == 1.2


def test_what_stands_above_the_table_is_not_the_curves() -> None:
    stated = "name,invented\nloaded_mass,190 g\n\n"
    assert read_thrust(stated + CURVE) == read_thrust(CURVE)
    assert refused(stated + "time_s,thrust_N\n0,0\n1,x\n") == [
        (6, "needs a time [s], a comma and a thrust [N], got '1,x'")
    ]


def test_empty_cells_of_a_spreadsheet_say_nothing() -> None:
    assert read_thrust(CURVE.replace("\n", ",,\n")) == read_thrust(CURVE)
    assert refused("time_s,thrust_N\n0,0\n1,,5\n2,0\n") == [
        (3, "needs a time [s], a comma and a thrust [N], got '1,,5'")
    ]


def test_what_a_motor_burns_is_what_it_loses() -> None:
    assert MOTOR.propellant == 90.0


def test_a_fingerprint_takes_what_came_later_only_where_it_is_stated() -> None:
    """The canonical form of a motor before it had delays: its name as a value, and nine fields."""
    nine = ["invented", 29.0, 220.0, 190.0, 100.0, 1158.0, None, None, None]
    assert canonical(MOTOR.identity) == canonical(["Motor", *nine])
    later = [
        replace(MOTOR, delays=(6.0, 8.0)),
        replace(MOTOR, delay_tolerance=1.5),
        replace(MOTOR, data="measured"),
        replace(MOTOR, thrust=read_thrust(CURVE)),
    ]
    assert len({canonical(one.identity) for one in (MOTOR, *later)}) == 5


@pytest.mark.parametrize("loaded", [True, False])
def test_a_motor_is_a_solid_cylinder(loaded: bool) -> None:
    found, mass = MOTOR.properties(loaded), 190.0 if loaded else 100.0
    assert found.mass == mass
    assert found.cg == (1158.0 - 110.0, 0.0, 0.0)
    across = mass * (3.0 * 14.5**2 + 220.0**2) / 12.0
    assert np.array(found.inertia) == pytest.approx(np.diag([mass * 14.5**2 / 2.0, across, across]), rel=1e-12)
    assert "solid cylinder" in found.method
    assert "middle of its length" in found.method
    assert found.basis == "stated"


def test_a_stated_centre_of_gravity_is_from_the_forward_end() -> None:
    motor = replace(MOTOR, loaded_cg=118.0, empty_cg=96.0)
    assert motor.properties(True).cg[0] == 1158.0 - 220.0 + 118.0
    assert motor.properties(False).cg[0] == 1158.0 - 220.0 + 96.0
    assert "CG as given" in motor.properties(True).method


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"diameter": 0.0}, "diameter: must be above 0 mm, got 0 mm"),
        ({"length": -1.0}, "length: must be above 0 mm"),
        ({"loaded_mass": math.inf}, "loaded_mass: must be above 0 g"),
        ({"empty_mass": 190.0}, "empty_mass: 190 g is not less than the loaded mass, 190 g"),
        ({"aft_end": math.nan}, "aft_end: must be a station"),
        ({"loaded_cg": 221.0}, "loaded_cg: 221 mm is not within the motor's length, 220 mm"),
        ({"empty_cg": -0.1}, "empty_cg: -0.1 mm is not within"),
        ({"delays": (0.0, 6.0)}, "delays: each must be above 0 and at most 60 s, got 0, 6 s"),
        ({"delays": (6.0, math.nan)}, "delays: each must be above 0"),
        ({"delays": (8.0, 6.0)}, "delays: must rise, got 8, 6 s"),
        ({"delays": (6.0, 6.0)}, "delays: must rise, got 6, 6 s"),
        ({"delay_tolerance": 0.0}, "delay_tolerance: must be above 0 s, got 0 s"),
        ({"delay_tolerance": math.inf}, "delay_tolerance: must be above 0 s, got inf s"),
    ],
)
def test_a_motor_that_cannot_be_is_refused(change: dict[str, object], words: str) -> None:
    with pytest.raises(PartError) as caught:
        replace(MOTOR, **change)  # type: ignore[arg-type]
    assert str(caught.value).startswith(words)
