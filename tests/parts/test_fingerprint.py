"""The canonical text of a value and the fingerprint made from it.

Source: SHA-256 is FIPS 180-4, taken from the standard library; the golden text below was written by hand.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.parts.curve import Line
from ferrule.parts.fingerprint import SHORT, canonical, fingerprint, short
from ferrule.parts.shape import Array, Outline, Plate, RadialFeature, Shape, hole, polygon

few_numbers = st.sampled_from([0.0, -0.0, 1.0, 0.1, 0.3, 0.1 + 0.2, 1e-300, 5e-324, 1e300])
radii = st.sampled_from([0.0, -0.0, 1.0, 0.1, 0.3, 0.1 + 0.2, 1e-300, 5e-324])
thicknesses = st.sampled_from([1.0, 0.1, 0.3, 0.1 + 0.2, 1e-300, 5e-324, 1e300])
tilts = st.sampled_from([-0.0, 0.0, 1e-17])


@st.composite
def shapes(draw: st.DrawFn) -> Shape:
    outline = Outline(
        polygon(((draw(tilts), draw(tilts)), (4.0, 0.0), (0.0, 3.0))), draw(st.sampled_from([(), (hole(0.5),)]))
    )
    plate = Plate(outline, draw(thicknesses))
    feature = RadialFeature(draw(few_numbers), draw(few_numbers), outline, draw(radii), 2.0)
    return draw(st.sampled_from([plate, feature, Array(feature, 3), Array(feature, 4)]))


@given(shapes(), shapes())
def test_two_shapes_have_the_same_text_exactly_when_they_are_equal(one: Shape, other: Shape) -> None:
    assert (canonical(one) == canonical(other)) == (one == other)


@given(st.floats(allow_nan=False, allow_infinity=False), st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_keep_their_last_bit(one: float, other: float) -> None:
    assert (canonical(one) == canonical(other)) == (one == other)
    assert float(canonical(one)) == one


def test_minus_zero_is_written_as_zero() -> None:
    assert canonical(-0.0) == canonical(0.0) == canonical(0) == "0.0"
    assert canonical(Line((-0.0, 1.0), (0.0, -0.0))) == canonical(Line((0.0, 1.0), (-0.0, 0.0)))


def test_whole_numbers_and_numbers_that_are_whole_are_the_same() -> None:
    assert canonical((1, 2)) == canonical((1.0, 2.0))


def test_the_order_of_a_mapping_does_not_matter() -> None:
    assert canonical({"a": 1.0, "b": 2.0}) == canonical({"b": 2.0, "a": 1.0})
    assert canonical({"a": 1.0}) != canonical({"b": 1.0})


def test_values_of_different_classes_differ() -> None:
    @dataclass(frozen=True)
    class Other:
        start: tuple[float, float]
        end: tuple[float, float]

    assert canonical(Other((0.0, 0.0), (1.0, 0.0))) != canonical(Line((0.0, 0.0), (1.0, 0.0)))


@pytest.mark.parametrize("value", [float("nan"), float("inf"), (1.0, float("-inf"))])
def test_what_is_no_number_has_no_canonical_form(value: object) -> None:
    with pytest.raises(ValueError, match="Out of range"):
        canonical(value)


@pytest.mark.parametrize("value", [object(), {1.0, 2.0}, b"bytes", Line])
def test_what_is_not_a_value_of_ours_is_refused(value: object) -> None:
    with pytest.raises(TypeError, match="has no canonical form"):
        canonical(value)


PLATE = Plate(Outline(polygon(((0.0, 0.0), (4.0, 0.0), (0.0, 3.0)), "fit")), 0.1 + 0.2)
TEXT = (
    '["Plate",["Outline",['
    '["Edge",["Line",[0.0,0.0],[4.0,0.0]],"fit"],'
    '["Edge",["Line",[4.0,0.0],[0.0,3.0]],"fit"],'
    '["Edge",["Line",[0.0,3.0],[0.0,0.0]],"fit"]'
    "],[]],0.30000000000000004]"
)


def test_the_canonical_text_is_the_one_written_by_hand() -> None:
    assert canonical(PLATE) == TEXT


def test_the_fingerprint_is_the_sha_256_of_the_text() -> None:
    assert fingerprint(PLATE) == hashlib.sha256(TEXT.encode()).hexdigest()
    assert fingerprint(PLATE) == "2a055c18b14307c04d4bdc0c023a18587eab185a7e20ed55d9db500f95e9a90c"


@pytest.mark.parametrize("seed", ["0", "1", "4242"])
def test_the_fingerprint_is_the_same_in_every_process(seed: str) -> None:
    code = (
        "from ferrule.parts.fingerprint import fingerprint\n"
        "from ferrule.parts.shape import Outline, Plate, polygon\n"
        "print(fingerprint(Plate(Outline(polygon(((0, -0.0), (4, 0), (0, 3)), 'fit')), 0.1 + 0.2)))"
    )
    environment = {**os.environ, "PYTHONHASHSEED": seed, "LC_ALL": "C"}
    found = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True)
    assert found.stdout.strip() == fingerprint(PLATE)


def test_the_short_form_is_the_first_twelve_letters_in_fours() -> None:
    assert short("1a2b3c4d5e6f7788") == "1a2b-3c4d-5e6f"
    assert len(short(fingerprint(PLATE)).replace("-", "")) == SHORT
