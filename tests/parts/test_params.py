"""Fields carry unit, bounds and help; a bad value for each rule of each field of every kind gives one message."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Annotated, Any, Literal

import pytest
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from ferrule.parts.errors import DesignError, QuantityError
from ferrule.parts.kinds import Tube, in_bench_order
from ferrule.parts.params import (
    Angle,
    Area,
    Bounds,
    Count,
    Duration,
    Force,
    Length,
    Mass,
    Percentage,
    Pressure,
    Ratio,
    Speed,
    Temperature,
    bounds_of,
    choices,
    dimension_of,
    faults,
    is_list,
    near,
)
from ferrule.parts.part import Part
from ferrule.parts.quantity import UNITS, Dimension, Quantity, exact, kg_per_m3, mm, oz, show


class Sample(BaseModel):
    """Every form that a field can take."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    width: Annotated[Length, Field(gt=0, le=3000, description="width")]
    sweep: Annotated[Angle | None, Field(ge=-math.pi, lt=math.pi, description="sweep")] = None
    readings: Annotated[
        tuple[Annotated[Length, Field(gt=0, le=500)], ...], Field(max_length=3, description="readings")
    ] = ()
    weight: Annotated[Mass | None, Field(gt=0, description="weight")] = None
    shape: Annotated[Literal["round", "square"], Field(description="shape")] = "round"
    pieces: Annotated[Count, Field(ge=1, le=12, description="pieces")] = 1
    ratio: Annotated[Ratio | None, Field(ge=0, le=1, description="ratio")] = None
    word: Annotated[str, Field(max_length=5, description="word")] = ""


FIELDS = Sample.model_fields


def test_a_field_says_what_it_measures() -> None:
    found = {name: dimension_of(field) for name, field in FIELDS.items()}
    assert found == {
        "width": "length",
        "sweep": "angle",
        "readings": "length",
        "weight": "mass",
        "shape": None,
        "pieces": None,
        "ratio": None,
        "word": None,
    }


def test_a_field_says_its_bounds_in_its_own_unit() -> None:
    assert bounds_of(FIELDS["width"]).text("length") == "above 0 mm, at most 3000 mm"
    assert bounds_of(FIELDS["sweep"]).text("angle") == "at least -180 deg, below 180 deg"
    assert bounds_of(FIELDS["readings"]) == Bounds(above=0.0, most=500.0)
    assert bounds_of(FIELDS["pieces"]).text(None) == "at least 1, at most 12"
    assert bounds_of(FIELDS["word"]).text(None) == ""


@pytest.mark.parametrize(
    ("kind", "typed", "held", "written"),
    [
        (Area, "36 cm2", 3600.0, "3600.0 mm2"),
        (Duration, "1500 ms", 1.5, "1.5 s"),
        (Speed, "36 km/h", 10.0, "10.0 m/s"),
        (Force, "0.5 kN", 500.0, "500.0 N"),
        (Pressure, "2 MPa", 2.0, "2.0 MPa"),
        (Temperature, "15 degC", 288.15, "288.15 K"),
        (Percentage, "20 %", 20.0, "20.0 %"),
    ],
)
def test_a_type_reads_its_unit_and_writes_what_reads_back(kind: object, typed: str, held: float, written: str) -> None:
    adapter: TypeAdapter[float] = TypeAdapter(kind)
    assert adapter.validate_python(typed) == held
    assert adapter.dump_python(held) == written
    assert adapter.validate_python(written) == held
    with pytest.raises(ValidationError, match="has no unit"):
        adapter.validate_python(held)


def test_a_text_that_is_too_short_is_counted_in_letters() -> None:
    class Short(BaseModel):
        """A text and a list with a least length."""

        word: Annotated[str, Field(min_length=3)] = "abc"
        sizes: Annotated[tuple[Length, ...], Field(min_length=2)] = (1.0, 2.0)

    with pytest.raises(ValidationError) as caught:
        Short(word="a", sizes=("1 mm",))  # type: ignore[arg-type]
    messages = [fault.message for fault in faults(caught.value, Short)]
    assert messages == ["takes at least 3 letters, got 1", "takes at least 2 values, got 1"]


def test_a_field_says_its_words_and_whether_it_is_a_list() -> None:
    assert choices(FIELDS["shape"]) == ("round", "square")
    assert choices(FIELDS["width"]) == ()
    assert [name for name, field in FIELDS.items() if is_list(field)] == ["readings"]


@pytest.mark.parametrize(
    ("fields", "where", "message"),
    [
        ({}, "width", "is needed and not stated (width)"),
        ({"width": 3}, "width", '3 has no unit; write "3 mm"'),
        ({"width": "3 oz"}, "width", "'3 oz' is a mass, expected a length"),
        ({"width": oz(3)}, "width", "is a mass, expected a length"),
        ({"width": "0 in"}, "width", "must be above 0 mm, got 0 in"),
        ({"width": "4 m"}, "width", "must be at most 3000 mm, got 4 m"),
        ({"sweep": "180 deg"}, "sweep", "must be below 180 deg, got 180 deg"),
        ({"readings": ["1 mm", "0 mm"]}, "readings[2]", "must be above 0 mm, got 0 mm"),
        ({"readings": ["1 mm", "x"]}, "readings[2]", "'x' cannot be read as a length"),
        ({"readings": ["1 mm"] * 4}, "readings", "takes at most 3 values, got 4"),
        ({"readings": "1 mm"}, "readings", "'1 mm' is not a list; write it in square brackets: ['1 mm']"),
        ({"shape": "rownd"}, "shape", "'rownd' is not one of round, square; did you mean 'round'?"),
        ({"pieces": "2.5"}, "pieces", "'2.5' is not a whole number"),
        ({"pieces": 2.5}, "pieces", "2.5 is not a whole number"),
        ({"pieces": True}, "pieces", "a plain number is expected, without a unit"),
        ({"pieces": 13}, "pieces", "must be at most 12, got 13"),
        ({"ratio": "0.5 mm"}, "ratio", "'0.5 mm' is not a plain number; this field has no unit"),
        ({"ratio": math.nan}, "ratio", "nan is not a finite number"),
        ({"ratio": "inf"}, "ratio", "not a finite number"),
        ({"ratio": [1]}, "ratio", "[1] is not a plain number"),
        ({"word": 3}, "word", "3 is not a text; write it in quotes"),
        ({"word": "a" * 99}, "word", "takes at most 5 letters, got 99"),
        ({"widht": "3 mm", "width": "3 mm"}, "widht", "there is no such field; did you mean 'width'?"),
    ],
)
def test_a_fault_names_field_rule_unit_and_value(fields: dict[str, Any], where: str, message: str) -> None:
    with pytest.raises(ValidationError) as caught:
        Sample(**{"width": "3 mm", **fields} if fields else {})
    (fault,) = faults(caught.value, Sample)
    assert fault.field == where
    assert message in fault.message


def test_a_list_whose_only_value_is_refused_is_not_called_empty_as_well() -> None:
    class Listed(BaseModel):
        readings: Annotated[tuple[Length, ...], Field(min_length=1)]

    with pytest.raises(ValidationError) as caught:
        Listed(readings=("3",))  # type: ignore[arg-type]  that is what is tested
    (fault,) = faults(caught.value, Listed)
    assert fault.field == "readings[1]"
    with pytest.raises(ValidationError) as caught:
        Listed(readings=())
    (fault,) = faults(caught.value, Listed)
    assert (fault.field, fault.message) == ("readings", "must not be empty")


@pytest.mark.parametrize(
    ("word", "found"),
    [("lenght", "length"), ("base_diamter", "base_diameter"), ("base-diameter", "base_diameter"), ("zzz", None)],
)
def test_a_slip_of_the_finger_finds_the_nearest_name(word: str, found: str | None) -> None:
    hint = near(word, ("length", "base_diameter", "wall"))
    assert hint == (f"; did you mean {found!r}?" if found else "")


# --- every kind, from what its fields declare ------------------------------------------------------------------------

OTHER: dict[Dimension, str] = {"length": "3 oz", "angle": "3 mm", "mass": "3 mm", "density": "3 mm"}


def _beyond(limit: float, sign: float) -> float:
    return limit + sign * max(abs(limit), 1e-3) * 0.01


TABLED = {
    "screw_size": "there is no unobtainium clearance hole in the table; it has M2, M2.5, M3",
    "rod_size": "'unobtainium' is not among M4, M5, M6, M8, 1/4-20",
    "washer_size": "there is no unobtainium washer in the table; it has M2, M2.5, M3",
    "points": "'unobtainium' is not a point; write x and y with their units, such as '50 mm, 58 mm'",
    **dict.fromkeys(
        ("leading_edge", "tip_edge", "trailing_edge", "edges"),
        "'unobtainium' is nothing that is done to an edge; write 'as cut', 'round', 'round 1.5 mm', or 'bevel' with",
    ),
}
"""Texts that are sizes of hardware, places or what is done to an edge; all others are materials."""


def bad_values(kind: type[Part]) -> Iterator[tuple[str, object, str]]:
    """Field, a value that breaks one rule of it, and what the message must hold."""
    for name, field in kind.model_fields.items():
        dimension, limits = dimension_of(field), bounds_of(field)
        whole_number = "int" in repr(field.annotation)
        if dimension:
            unit = next(iter(UNITS[dimension]))
            yield name, 3, "has no unit"
            yield name, "3", "'3' has a number without a unit"
            yield name, True, f"True is not a{'n' if dimension == 'angle' else ''} {dimension}"
            yield name, OTHER[dimension], f"'{OTHER[dimension]}' is a"
            yield name, f"nan {unit}", f"'nan {unit}' cannot be read"
            yield name, f"1e400 {unit}", f"'1e400 {unit}' is too large"
            yield name, "3 bananas", "'bananas' in '3 bananas' is not a unit"
            yield name, "", "the text is empty"
        elif choices(field):
            yield name, "zzz", f"'zzz' is not one of {', '.join(choices(field))}"
            yield name, choices(field)[0].upper(), f"did you mean '{choices(field)[0]}'?"
        elif limits != Bounds():
            for value, words in (
                ("x", "'x' is not a"),
                (True, "a plain number is expected"),
                ("3 mm", "'3 mm' is not"),
            ):
                yield name, value, words
            yield name, math.nan, "nan is not a"
        elif whole_number:
            yield name, "x", "'x' is not a whole number"
            yield name, 1.5, "1.5 is not a whole number"
        else:
            yield name, "unobtainium", TABLED.get(name, "there is no material 'unobtainium'")
            yield name, 3, "3 is not a text"
        for word, limit, sign in (
            ("must be above", limits.above, 0.0),
            ("must be above", limits.above, -1.0),
            ("must be at least", limits.least, -1.0),
            ("must be below", limits.below, 0.0),
            ("must be at most", limits.most, 1.0),
        ):
            if limit is None:
                continue
            if dimension:
                value = _beyond(limit, sign) if sign else limit
                typed = exact(value, dimension)
                yield name, typed, f"{word} {show(limit, dimension)}, got {typed}"
            else:
                whole = int(limit) + int(sign) if limit == int(limit) and whole_number else _beyond(limit, sign)
                yield name, whole, f"{word} {limit:g}, got {whole:g}"


CASES = [(kind, *case) for kind in in_bench_order() for case in bad_values(kind)]


@pytest.mark.parametrize(
    ("kind", "name", "value", "message"), CASES, ids=[f"{kind.kind}-{name}-{value}" for kind, name, value, _ in CASES]
)
def test_each_bad_value_gives_one_message_that_names_its_field(
    kind: type[Part], name: str, value: object, message: str
) -> None:
    listed = is_list(kind.model_fields[name])
    with pytest.raises(DesignError) as caught:
        kind.build(**{**kind.example, name: (value,) if listed else value})
    (problem,) = caught.value.problems
    assert problem.field == (f"{name}[1]" if listed else name)
    assert message in problem.message
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("kind", in_bench_order(), ids=lambda kind: kind.kind)
def test_every_bound_of_a_field_is_tried(kind: type[Part]) -> None:
    """The list above is not empty for any field, so a new field cannot slip through."""
    assert {name for name, _, _ in bad_values(kind)} == set(kind.model_fields)


@pytest.mark.parametrize("kind", in_bench_order(), ids=lambda kind: kind.kind)
def test_all_missing_fields_are_named_at_once(kind: type[Part]) -> None:
    needed = [name for name, field in kind.model_fields.items() if field.is_required()]
    with pytest.raises(DesignError) as caught:
        kind.build()
    assert [problem.field for problem in caught.value.problems] == needed
    assert all("is needed and not stated (" in problem.message for problem in caught.value.problems)


@pytest.mark.parametrize("kind", in_bench_order(), ids=lambda kind: kind.kind)
def test_an_unknown_field_is_refused_with_the_nearest_name(kind: type[Part]) -> None:
    name = next(iter(kind.example))
    with pytest.raises(DesignError) as caught:
        kind.build(**kind.example, **{f"{name}s": "3 mm"})
    (problem,) = caught.value.problems
    assert problem.field == f"{name}s"
    assert problem.message == f"there is no such field; did you mean {name!r}?"


def test_a_library_caller_may_give_quantities_instead_of_texts() -> None:
    typed = Tube.build(outside_diameter="68.4 mm", inside_diameter="65.9mm", length="280 mm", density="700 kg/m3")
    given = Tube.build(
        outside_diameter=mm(68.4), inside_diameter=mm(65.9), length=Quantity(280.0, "length"), density=kg_per_m3(700)
    )
    assert typed == given
    assert typed.fingerprint() == given.fingerprint()
    with pytest.raises(QuantityError):
        Quantity(math.nan, "length")
