"""The file of a motor: what is stated above its thrust, what is refused there, and what a design may leave to it.

Sources: the impulse by triangles; the bounds of the classes as in analysis/motor_class.py, twice the one before, from A
that reaches to 2.5 N s.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ferrule.analysis.motor import Motor
from ferrule.app.design_file import load, parse
from ferrule.app.motor_file import ROWS, MotorSheet, read_motor_file
from ferrule.parts.errors import DesignError

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram"

ABOVE = """# invented for this test
name,TRY-24
data,invented
loaded_mass,130 g
propellant_mass,60 g
diameter,24 mm
length,124 mm
delays,4 s,6 s,8 s
delay_tolerance,1.5 s
class,E
"""
TABLE = "time_s,thrust_N\n0,0\n0.1,50\n1.1,0\n"  # 50 N over 1.1 s: 27.5 N s, class E, 20 to 40 N s
FILE = ABOVE + TABLE

HEAD = 'format = 1\nname = "Demo"\n[[mass]]\nname = "m"\nmass = "3 g"\nstation = "4 mm"\n'
MOTOR = '[[motor]]\nname = "motor"\naft_end = "900 mm"\nthrust = "motor.csv"\n'


def refused(text: str) -> list[str]:
    with pytest.raises(DesignError) as caught:
        read_motor_file(text)
    return [
        f"{one.line}: {'' if one.field is None else f'{one.field}: '}{one.message}" for one in caught.value.problems
    ]


def changed(old: str, new: str) -> str:
    assert FILE.count(old) == 1
    return FILE.replace(old, new)


def of_design(folder: Path, more: str = "", file: str = FILE) -> Motor:
    (folder / "motor.csv").write_text(file, encoding="utf-8")
    (motor,) = parse(HEAD + MOTOR + more, "demo.toml", folder).motors
    return motor


def faults(folder: Path, more: str = "", file: str = FILE, motor: str = MOTOR) -> list[str]:
    (folder / "motor.csv").write_text(file, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        parse(HEAD + motor + more, "demo.toml", folder)
    return str(caught.value).split("\n")


# --- the file alone ---------------------------------------------------------------------------------------------------


def test_all_that_is_stated_is_read() -> None:
    found = read_motor_file(FILE)
    sheet = found.sheet
    assert (sheet.name, sheet.data, sheet.impulse_class) == ("TRY-24", "invented", "E")
    assert (sheet.loaded_mass, sheet.propellant_mass, found.empty_mass) == (130.0, 60.0, 70.0)
    assert (sheet.diameter, sheet.length) == (24.0, 124.0)
    assert (sheet.delays, sheet.delay_tolerance) == ((4.0, 6.0, 8.0), 1.5)
    assert found.thrust.total_impulse == pytest.approx(27.5, rel=1e-12)
    assert found.lines == {name: number for number, name in enumerate(ROWS_IN_FILE, 2)}


ROWS_IN_FILE = [line.partition(",")[0] for line in ABOVE.split("\n")[1:-1]]


def test_the_words_of_the_file_are_those_that_are_shown() -> None:
    assert sorted(ROWS) == sorted(ROWS_IN_FILE)


def test_a_table_alone_is_a_file_too() -> None:
    found = read_motor_file(TABLE)
    assert (found.sheet, found.empty_mass, found.lines) == (MotorSheet(), None, {})
    assert found.thrust == read_motor_file(FILE).thrust


@pytest.mark.parametrize("left_out", ROWS_IN_FILE)
def test_every_line_may_be_left_out(left_out: str) -> None:
    lines = [line for line in FILE.split("\n") if not line.startswith(f"{left_out},")]
    found = read_motor_file("\n".join(lines))
    assert left_out not in found.lines
    assert len(found.lines) == len(ROWS_IN_FILE) - 1


def test_other_units_and_a_spreadsheets_commas_and_line_ends_read_the_same() -> None:
    text = FILE.replace("130 g", "0.13 kg").replace("24 mm", "2.4 cm").replace("1.5 s", "1500 ms")
    text = text.replace("12.4 cm", "124 mm").replace(",", " , ").replace("\n", ",,,\r\n")
    found = read_motor_file("\ufeff" + text)
    assert found.sheet == read_motor_file(FILE).sheet
    assert found.thrust == read_motor_file(FILE).thrust


@pytest.mark.parametrize(
    ("old", "new", "messages"),
    [
        ("name,", "nmae,", ["2: nothing is called 'nmae' above the table; did you mean 'name'?"]),
        ("name,", "total,", ["2: nothing is called 'total' above the table; there are name, data, loaded_mass,"]),
        ("name,TRY-24", "name,", ["2: name: has no value; give it, or leave the line out"]),
        ("name,TRY-24", "name", ["2: name: has no value; give it, or leave the line out"]),
        ("name,TRY-24", "name,TRY,24", ["2: name: takes one value, got 2: TRY, 24"]),
        ("name,TRY-24", "name,TRY\t24", ["2: name: 'TRY\\t24' holds a character that cannot be printed"]),
        ("data,invented", "data,guessed", ["3: data: 'guessed' is not one of invented, measured, maker"]),
        ("data,invented", "data,mesured", ["3: data: 'mesured' is not one of invented, measured, maker; did you mean"]),
        ("data,invented", "name,again", ["3: name: is stated already, in line 2"]),
        ("130 g", "130", ["4: loaded_mass: '130' has a number without a unit; write \"130 g\""]),
        ("130 g", "130 mm", ["4: loaded_mass: '130 mm' is a length, expected a mass"]),
        ("130 g", "0 g", ["4: loaded_mass: must be above 0 g, got 0 g"]),
        ("130 g", "101 kg", ["4: loaded_mass: must be at most 100000 g, got 101 kg"]),
        ("60 g", "130 g", ["5: propellant_mass: 130 g is not less than the loaded mass, 130 g"]),
        ("60 g", "-60 g", ["5: propellant_mass: must be above 0 g, got -60 g"]),
        ("diameter,24 mm", "diameter,24", ["6: diameter: '24' has a number without a unit; write \"24 mm\""]),
        ("diameter,24 mm", "diameter,301 mm", ["6: diameter: must be at most 300 mm, got 301 mm"]),
        ("length,124 mm", "length,124 g", ["7: length: '124 g' is a mass, expected a length"]),
        ("4 s,6 s,8 s", "4 s,6,8 s", ["8: delays: '6' has a number without a unit; write \"6 s\""]),
        ("4 s,6 s,8 s", "4 s,,8 s", ["8: delays: a time is expected and the text is empty"]),
        ("4 s,6 s,8 s", "4 s,8 s,6 s", ["8: delays: must rise, got 4, 8, 6 s"]),
        ("4 s,6 s,8 s", "4 s,4 s", ["8: delays: must rise, got 4, 4 s"]),
        ("4 s,6 s,8 s", "0 s", ["8: delays: must be above 0 s, got 0 s"]),
        ("4 s,6 s,8 s", "2 min", ["8: delays: must be at most 60 s, got 2 min"]),
        ("1.5 s", "1.5 N", ["9: delay_tolerance: '1.5 N' is a force, expected a time"]),
        ("1.5 s", "11 s", ["9: delay_tolerance: must be at most 10 s, got 11 s"]),
        ("class,E", "class,P", ["10: class: 'P' is not one of micro, 1/4A, 1/2A, A, B,"]),
        ("class,E", "class,D", ["10: class: D is above 10 and up to 20 N s (classes A to O,"]),
        ("class,E", "class,F", ["10: class: F is above 40 and up to 80 N s (classes A to O,"]),
        ("time_s,thrust_N\n", "", ["None: the line time_s,thrust_N is missing between what is stated and the points"]),
        ("1.1,0", "1.1,5", ["14: the curve must end at 0 N, got 5 N at 1.1 s; add the point at which the thrust is"]),
        ("0.1,50", "0.1,-50", ["13: a thrust must be from 0 to 1e+06 N, got -50 N"]),
        ("1.1,0", "0.1,0", ["14: times must rise, got 0.1 s after 0.1 s"]),
    ],
)
def test_what_is_wrong_is_said_with_its_line(old: str, new: str, messages: list[str]) -> None:
    found = refused(changed(old, new))
    assert len(found) == len(messages)
    for shown, message in zip(found, messages, strict=True):
        assert shown.startswith(message)


def test_a_class_says_what_the_curve_has() -> None:
    (line,) = refused(changed("class,E", "class,F"))
    assert line.endswith("and the curve has 27.50 N s, class E")


@pytest.mark.parametrize(
    ("peak", "letter", "fits"),
    [(80.0, "E", True), (80.1, "E", False), (80.1, "F", True), (40.0, "D", True), (40.0, "E", False)],
)
def test_a_class_holds_its_upper_bound_and_not_its_lower_one(peak: float, letter: str, fits: bool) -> None:
    """A triangle of 1 s: half its peak in N s. E is above 20 and up to 40 N s, D up to 20."""
    text = f"class,{letter}\ntime_s,thrust_N\n0,0\n0.5,{peak}\n1,0\n"
    if fits:
        assert read_motor_file(text).sheet.impulse_class == letter
    else:
        assert len(refused(text)) == 1


def test_everything_wrong_is_said_at_once() -> None:
    text = FILE
    for old, new in (("130 g", "130"), ("data,invented", "date,2030"), ("1.5 s", "1.5"), ("0.1,50", "0.1;50")):
        text = text.replace(old, new)
    assert [line.split(":")[0] for line in refused(text)] == ["3", "4", "9", "13"]


@given(st.text(max_size=60) | st.from_regex(r"([a-z_]{1,8},[0-9a-z ,.]{0,12}\n){0,4}", fullmatch=True))
@example("name")
@example(",\n,,\n")
@example("class,\ntime_s,thrust_N\n")
@example("name,x\x85time_s,thrust_N")
def test_junk_raises_nothing_but_a_design_error(text: str) -> None:
    for whole in (text, text + TABLE, text + "\n" + FILE):
        try:
            found = read_motor_file(whole)
        except DesignError as error:
            assert error.problems
        else:
            assert found.thrust.total_impulse > 0.0


# --- with a design ----------------------------------------------------------------------------------------------------


def test_a_design_may_leave_to_the_file_what_it_states(tmp_path: Path) -> None:
    motor = of_design(tmp_path)
    assert (motor.name, motor.aft_end, motor.data) == ("motor", 900.0, "invented")
    assert (motor.diameter, motor.length, motor.loaded_mass, motor.empty_mass) == (24.0, 124.0, 130.0, 70.0)
    assert (motor.delays, motor.delay_tolerance) == ((4.0, 6.0, 8.0), 1.5)
    assert motor.thrust == read_motor_file(TABLE).thrust


SAME = (
    'diameter = "24.1 mm"',
    'length = "124.5 mm"',
    'loaded_mass = "130.5 g"',
    'empty_mass = "70.3 g"',
    'delays = ["4 s", "6 s", "8 s"]',
    'delay_tolerance = "1.5 s"',
)


@pytest.mark.parametrize("line", SAME)
def test_what_both_state_agrees_within_half_a_per_cent_and_the_design_counts(line: str, tmp_path: Path) -> None:
    motor = of_design(tmp_path, f"{line}\n")
    name, _, value = line.partition(" = ")
    if name != "delays":
        assert getattr(motor, name) == float(value.strip('"').split(" ")[0])


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('diameter = "24.2 mm"', "24.2 mm here and 24 mm in motor.csv, line 6: the two must agree within 0.5 %"),
        ('length = "123 mm"', "123 mm here and 124 mm in motor.csv, line 7: the two must agree"),
        ('loaded_mass = "131 g"', "131 g here and 130 g in motor.csv, line 4: the two must agree"),
        (
            'empty_mass = "71 g"',
            "71 g here and 70 g in motor.csv, line 5 by loaded_mass less propellant_mass: the two must agree",
        ),
        ('delays = ["4 s", "6 s"]', "4, 6 s here and 4, 6, 8 s in motor.csv, line 8: the two must be the same"),
        ('delay_tolerance = "1 s"', "1 s here and 1.5 s in motor.csv, line 9: the two must agree"),
    ],
)
def test_what_contradicts_the_file_is_said_with_both_places(line: str, message: str, tmp_path: Path) -> None:
    (shown,) = faults(tmp_path, f"{line}\n")
    name = line.split(" ")[0]
    number = (HEAD + MOTOR).count("\n") + 1
    assert shown.startswith(f"demo.toml:{number}:1: motor[1].{name}: {message}")
    assert shown.endswith("put one right, or leave it out here")


def test_a_variant_of_a_design_is_not_held_to_the_file(tmp_path: Path) -> None:
    """Moving a value to see what it does is no second statement of the maker's."""
    (tmp_path / "motor.csv").write_text(FILE, encoding="utf-8")
    text = HEAD + MOTOR + 'loaded_mass = "150 g"\n'
    assert parse(text, "demo.toml", tmp_path, compare=False).motors[0].loaded_mass == 150.0


def test_what_neither_states_is_missing(tmp_path: Path) -> None:
    found = faults(tmp_path, file=TABLE)
    assert [line.split(": ")[1] for line in found] == [
        f"motor[1].{name}" for name in ("diameter", "length", "loaded_mass", "empty_mass")
    ]
    assert all("is needed and not stated" in line for line in found)


def test_what_an_unreadable_file_may_state_is_not_missing(tmp_path: Path) -> None:
    assert faults(tmp_path, file=changed("130 g", "130")) == [
        "motor.csv:4: loaded_mass: '130' has a number without a unit; write \"130 g\""
    ]
    (line,) = faults(tmp_path, motor=MOTOR.replace("motor.csv", "none.csv"))
    assert "there is no such thrust table" in line


def test_what_the_design_says_wrong_is_said_beside_an_unreadable_file(tmp_path: Path) -> None:
    found = faults(tmp_path, 'length = "124"\n', changed("130 g", "130"))
    assert len(found) == 2
    assert "motor[1].length: '124' has a number without a unit" in found[0]
    assert found[1].startswith("motor.csv:4: ")


def test_where_a_value_is_stated_changes_no_fingerprint(tmp_path: Path) -> None:
    (tmp_path / "motor.csv").write_text(FILE, encoding="utf-8")
    left_out = parse(HEAD + MOTOR, "demo.toml", tmp_path).fingerprint
    stated = HEAD + MOTOR + 'diameter = "24 mm"\nlength = "12.4 cm"\nloaded_mass = "130 g"\n'
    assert parse(stated, "demo.toml", tmp_path).fingerprint == left_out
    (tmp_path / "motor.csv").write_text(changed("4 s,6 s", "5 s,6 s"), encoding="utf-8")
    assert parse(HEAD + MOTOR, "demo.toml", tmp_path).fingerprint != left_out


def test_the_large_example_has_its_motor_in_a_file() -> None:
    """Class H from 160 to 320 N s; the design states sizes and masses as well, and they agree."""
    (motor,) = load(MARRAM / "marram.toml").motors
    found = read_motor_file((MARRAM / "demo-29.csv").read_text(encoding="utf-8"))
    assert (found.sheet.name, found.sheet.data, found.sheet.impulse_class) == ("DEMO-29", "invented", "H")
    assert (motor.loaded_mass, motor.empty_mass, motor.propellant) == (190.0, 100.0, 90.0)
    assert (motor.delays, motor.data) == ((6.0, 8.0, 10.0), "invented")
    assert found.thrust.total_impulse == pytest.approx(168.14, abs=1e-9)
