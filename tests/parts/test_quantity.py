"""Quantities: what builders type, the factors against an independent library, and what is refused.

Sources of the factors: NIST SP 811 (2008), appendix B; the `pint` library as an independent second reading of it.
"""

from __future__ import annotations

import math
import pickle
from fractions import Fraction
from typing import get_args

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ferrule.parts.errors import DesignError, FerruleError, PartError, Problem, QuantityError, WriteError
from ferrule.parts.quantity import (
    UNITS,
    Dimension,
    Quantity,
    convert,
    deg,
    exact,
    g,
    inch,
    inches_64,
    kg_per_m3,
    mm,
    oz,
    parse,
    read,
    show,
)

DIMENSIONS: tuple[Dimension, ...] = get_args(Dimension)
finite = st.floats(allow_nan=False, allow_infinity=False)


@pytest.mark.parametrize(
    ("typed", "dimension", "expected"),
    [
        ("54 mm", "length", 54.0),
        ("54mm", "length", 54.0),
        ("  54\tmm ", "length", 54.0),
        ("+54 mm", "length", 54.0),
        ("-3 mm", "length", -3.0),
        ("−3 mm", "length", -3.0),
        ("5.4e1 mm", "length", 54.0),
        (".5 mm", "length", 0.5),
        ("5. mm", "length", 5.0),
        ("1.2 m", "length", 1200.0),
        ("5.4 cm", "length", 54.0),
        ("10 µm", "length", 0.01),
        ("10 thou", "length", 0.254),
        ("2.25 in", "length", 57.15),
        ("2.25in.", "length", 57.15),
        ('2.25"', "length", 57.15),
        ("2.25''", "length", 57.15),
        ("2.25”", "length", 57.15),
        ("1/8 in", "length", 3.175),
        ('1/8"', "length", 3.175),
        ("2 1/4 in", "length", 57.15),
        ("2-1/4 in", "length", 57.15),
        ('2¼"', "length", 57.15),
        ("¾ in", "length", 19.05),
        ("3 ft 6 in", "length", 1066.8),
        ("3 ft. 6 in.", "length", 1066.8),
        ("-3 ft 6 in", "length", -1066.8),
        ("5ft3in", "length", 1600.2),
        ("5ft3 in", "length", 1600.2),
        ("3'6\"", "length", 1066.8),
        ("3' 2 1/4\"", "length", 971.55),
        ("3′2″", "length", 965.2),
        ("1 m 20 cm 3 mm", "length", 1203.0),
        ("3 oz", "mass", 85.048569375),
        ("1 lb 3 oz", "mass", 538.640939375),
        ("85 grams", "mass", 85.0),
        ("168.1 N s", "impulse", 168.1),
        ("168.1 N·s", "impulse", 168.1),
        ("168.1 N*s", "impulse", 168.1),
        ("168.1 Ns", "impulse", 168.1),
        ("1 min 30 s", "time", 90.0),
        ("36 km/h", "speed", 10.0),
        ("5°", "angle", math.radians(5)),
        ("5 deg", "angle", math.radians(5)),
        ("2.7 g/cm3", "density", 0.0027),
        ("2.7 g/cm^3", "density", 0.0027),
        ("2.7 g / cm³", "density", 0.0027),
        ("2700 kg/m3", "density", 0.0027),
        ("20 cm2", "area", 2000.0),
        ("12 g/m", "linear density", 12.0),
        ("150 g/m2", "areal density", 150.0),
        ("2.1 GPa", "pressure", 2100.0),
        ("101.325 kPa", "pressure", 0.101325),
        ("15 degC", "temperature", 288.15),
        ("15 °C", "temperature", 288.15),
        ("15℃", "temperature", 288.15),
        ("-40 degC", "temperature", 233.15),
        ("-40 °F", "temperature", 233.15),
        ("59 degF", "temperature", 288.15),
        ("288 K", "temperature", 288.0),
        ("20 %", "percentage", 20.0),
        ("20%", "percentage", 20.0),
    ],
)
def test_what_builders_type_is_read(typed: str, dimension: Dimension, expected: float) -> None:
    assert parse(typed, dimension) == pytest.approx(expected, rel=1e-15)


@pytest.mark.parametrize(
    ("typed", "dimension", "message"),
    [
        ("54", "length", "'54' has a number without a unit; write \"54 mm\""),
        ("2 1/4", "length", "'2 1/4' has a number without a unit; write \"2 1/4 mm\""),
        ("3 oz", "length", "'3 oz' is a mass, expected a length"),
        ("3 mm", "area", "'3 mm' is a length, expected an area"),
        ("3 lb", "force", "'3 lb' is a mass, expected a force; did you mean 'lbf'?"),
        ("54 mn", "length", "'mn' in '54 mn' is not a unit of length; did you mean 'mm'?"),
        ("54 MM", "length", "'MM' in '54 MM' is not a unit of length; did you mean 'mm'?"),
        ("54 Mm", "length", "'Mm' in '54 Mm' is not a unit of length; did you mean 'mm'?"),
        ("3 G", "mass", "'G' in '3 G' is not a unit of mass; did you mean 'g'?"),
        ("3 mpa", "pressure", "'mpa' in '3 mpa' is not a unit of pressure; did you mean 'MPa'?"),
        ("3 ounses", "mass", "'ounses' in '3 ounses' is not a unit of mass; did you mean 'ounces'?"),
        ("3 quux", "angle", "'quux' in '3 quux' is not a unit of angle; write one of rad, deg"),
        ("10 mil", "length", "write 'thou' or 'mm'"),
        ("54,5 mm", "length", "'54,5 mm' has a comma; use a point: \"54.5 mm\""),
        ("1,234 mm", "length", 'which can mean two things; write "1.234 mm" or "1234 mm"'),
        ("1,234,567.5 mm", "length", 'write "1234567.5 mm"'),
        ("", "length", "a length is expected and the text is empty"),
        ("  ", "mass", "a mass is expected and the text is empty"),
        ("-", "length", "cannot be read as a length"),
        ("mm", "length", "cannot be read as a length"),
        ("nan mm", "length", "cannot be read as a length"),
        ("inf mm", "length", "cannot be read as a length"),
        ("٣ mm", "length", "cannot be read as a length"),
        ("2**3 mm", "length", "without a unit"),
        ("2 5/4 in", "length", "the fraction behind a whole number must be below one"),
        ("1/0 in", "length", "divides by zero"),
        ("1e400 mm", "length", "too large to be a finite number"),
        ("1e9999 mm", "length", "is not a unit of length"),
        ("9" * 5000 + " mm", "length", "is too long to be a length"),
        ("3 mm 3 mm", "length", "is more than one length; write one, the larger unit first"),
        ("3 in 2 ft", "length", "is more than one length"),
        ("3 ft -6 in", "length", "cannot be read"),
        ("3-6 mm", "length", "without a unit"),
        ("15", "temperature", "'15' has a number without a unit; write \"15 degC\""),
        ("15 C", "temperature", "'C' in '15 C' is not a unit of temperature"),
        ("15 deg", "temperature", "'15 deg' is an angle, expected a temperature"),
        ("5 °C", "angle", "'5 °C' is a temperature, expected an angle"),
        ("288 K 3 degC", "temperature", "is more than one temperature"),
        ("20 g", "percentage", "'20 g' is a mass, expected a percentage"),
    ],
)
def test_bad_text_gets_a_message_that_helps(typed: str, dimension: Dimension, message: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(typed, dimension)
    assert message in str(caught.value)
    assert len(str(caught.value)) < 300


PINT_NAMES = {
    "oz": "oz",
    '"': "in",
    "''": "in",
    "'": "ft",
    "°": "deg",
    "Ns": "N*s",
    "N s": "N*s",
    "kN s": "kN*s",
    "lbf s": "lbf*s",
    "g/ml": "g/milliliter",
    "g/mL": "g/milliliter",
    "mm2": "mm^2",
    "cm2": "cm^2",
    "m2": "m^2",
    "in2": "in^2",
    "ft2": "ft^2",
    "g/mm3": "g/mm^3",
    "kg/m3": "kg/m^3",
    "g/cm3": "g/cm^3",
    "g/cc": "g/cc",
    "lb/ft3": "lb/ft^3",
    "lb/in3": "lb/in^3",
    "g/m2": "g/m^2",
    "kg/m2": "kg/m^2",
    "oz/ft2": "oz/ft^2",
    "sec": "second",
    "%": "percent",
}
INTERNAL = {
    "length": "mm",
    "area": "mm^2",
    "mass": "g",
    "time": "s",
    "force": "N",
    "impulse": "N*s",
    "speed": "m/s",
    "angle": "rad",
    "density": "g/mm^3",
    "linear density": "g/m",
    "areal density": "g/m^2",
    "pressure": "MPa",
    "temperature": "K",
    "percentage": "percent",
}


def test_every_unit_agrees_with_an_independent_library() -> None:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    wrong = {}
    for dimension, units in UNITS.items():
        for unit in units:
            theirs = registry.Quantity(1.0, PINT_NAMES.get(unit, unit)).to(INTERNAL[dimension]).magnitude
            ours = parse(f"1 {unit}", dimension)
            if not math.isclose(ours, theirs, rel_tol=1e-12):
                wrong[unit] = (ours, theirs)
    assert wrong == {}
    assert set(INTERNAL) == set(UNITS) == set(DIMENSIONS)


def test_a_unit_name_belongs_to_one_dimension() -> None:
    names = [unit for units in UNITS.values() for unit in units]
    assert sorted(names) == sorted(set(names))


@given(finite, st.sampled_from(DIMENSIONS))
@example(5e-324, "length")
@example(1.7976931348623157e308, "mass")
@example(-0.0, "angle")
def test_exact_text_reads_back_as_the_same_number(value: float, dimension: Dimension) -> None:
    assert parse(exact(value, dimension), dimension) == value


@given(st.floats(-1e12, 1e12), st.sampled_from([(d, u) for d, units in UNITS.items() for u in units]))
def test_shown_text_reads_back_to_nine_digits(value: float, where: tuple[Dimension, str]) -> None:
    dimension, unit = where
    # Nine digits of a number that counts from another zero: 273.15 K is the scales' own size.
    near_zero = 1e-6 if dimension == "temperature" else 1e-300
    assert parse(show(value, dimension, unit), dimension) == pytest.approx(value, rel=1e-8, abs=near_zero)


@given(st.text(max_size=100) | st.from_regex(r"[0-9 .,/'\"a-zA-Z°½^*eE+-]{1,40}", fullmatch=True))
@example("\x00")
@example("1" + "\u0300 mm")
@example("²")
@example("0/0 mm")
@example("1/ 2 in")
def test_junk_raises_nothing_but_a_quantity_error(text: str) -> None:
    for dimension in DIMENSIONS:
        try:
            value = parse(text, dimension)
        except QuantityError:
            continue
        assert math.isfinite(value)


@given(st.integers(0, 10**6), st.integers(0, 15))
def test_inches_are_rounded_once(whole: int, sixteenths: int) -> None:
    expected = float((whole + Fraction(sixteenths, 16)) * Fraction("25.4"))
    assert parse(f"{whole} {sixteenths}/16 in", "length") == expected


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (250, '250 has no unit; write "250 mm"'),
        (54.5, '54.5 has no unit; write "54.5 mm"'),
        (True, "True is not a length"),
        (None, "None is not a length"),
        ([54], "a value of type list is not a length"),
        (b"54 mm", "a value of type bytes is not a length"),
        (math.nan, "nan is not a finite number"),
        (-math.inf, "-inf is not a finite number"),
        pytest.param(10**5000, "too large to be a finite number", id="huge"),
        (oz(3), "85.0485694 g is a mass, expected a length"),
    ],
)
def test_what_is_not_a_length_is_refused(value: object, message: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read(value, "length")
    assert message in str(caught.value)


def test_typed_quantities_are_read() -> None:
    assert read(mm(250), "length") == read("250 mm", "length") == 250.0
    assert read(inch(2.25), "length") == 57.15
    assert read(g(85), "mass") == 85.0
    assert read(oz(3), "mass") == 85.048569375
    assert read(deg(180), "angle") == math.pi
    assert read(kg_per_m3(1270), "density") == 0.00127


@pytest.mark.parametrize("number", [True, "5", None, math.nan, math.inf, 10**400, 3 + 0j])
def test_a_quantity_is_a_finite_number(number: float) -> None:
    with pytest.raises(QuantityError):
        inch(number)
    with pytest.raises(QuantityError):
        Quantity(number, "length")


def test_a_quantity_knows_its_dimension_and_shows_its_unit() -> None:
    assert str(deg(5)) == "5 deg"
    assert mm(3) == Quantity(3.0, "length") != Quantity(3.0, "mass")
    with pytest.raises(QuantityError, match="'lenght' is not a dimension"):
        Quantity(3.0, "lenght")  # type: ignore[arg-type]
    with pytest.raises(QuantityError, match="too large"):
        inch(1.7e308)


@pytest.mark.parametrize(
    ("value", "dimension", "unit", "digits", "text"),
    [
        (57.15, "length", None, None, "57.15 mm"),
        (57.150000000000006, "length", None, None, "57.15 mm"),
        (57.15, "length", "in", None, "2.25 in"),
        (57.15, "length", '"', 2, '2.25"'),
        (3000.0, "length", None, 1, "3000.0 mm"),
        (-0.01, "length", None, 1, "0.0 mm"),
        (math.pi / 2, "angle", None, None, "90 deg"),
        (math.pi / 2, "angle", "°", 0, "90°"),
        (0.00127, "density", None, None, "1270 kg/m3"),
        (math.nan, "length", None, None, "nan mm"),
        (288.15, "temperature", None, None, "15 degC"),
        (288.15, "temperature", "degF", None, "59 degF"),
        (288.15, "temperature", "K", None, "288.15 K"),
        (20.0, "percentage", None, None, "20 %"),
    ],
)
def test_values_are_shown_with_their_unit(
    value: float, dimension: Dimension, unit: str | None, digits: int | None, text: str
) -> None:
    assert show(value, dimension, unit, digits) == text


def test_a_value_is_never_shown_in_the_unit_of_something_else() -> None:
    with pytest.raises(QuantityError, match="is a mass, expected a length"):
        convert(3.0, "length", "oz")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0 in"),
        (0.1, "0 in"),
        (25.4, "1 in"),
        (57.15, "2 1/4 in"),
        (-57.15, "-2 1/4 in"),
        (54.0, "2 1/8 in"),
        (25.4 * 63 / 64, "63/64 in"),
        (25.39, "1 in"),
    ],
)
def test_lengths_are_shown_to_the_nearest_64th_of_an_inch(value: float, text: str) -> None:
    assert inches_64(value) == text


@given(st.floats(-1e5, 1e5))
def test_the_nearest_64th_is_near(value: float) -> None:
    assert abs(parse(inches_64(value), "length") - value) <= 25.4 / 128 + 1e-9


def test_errors_are_one_family_and_the_built_in_kind_too() -> None:
    for error, built_in in ((QuantityError, ValueError), (PartError, ValueError), (WriteError, OSError)):
        caught = error("wall: 40 mm leaves no room")
        assert isinstance(caught, FerruleError)
        assert isinstance(caught, built_in)
        assert str(caught) == "wall: 40 mm leaves no room"
        assert caught.exit_code == 2


def test_a_design_error_tells_all_its_problems() -> None:
    error = DesignError([Problem("must be above 0 mm", "wall", "a.toml", 3, 1), Problem("is empty", file="b.toml")])
    assert str(error) == "a.toml:3:1: wall: must be above 0 mm\nb.toml: is empty"
    assert str(Problem("is odd")) == "is odd"
    assert pickle.loads(pickle.dumps(error)).problems == error.problems
