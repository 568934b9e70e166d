"""The sizes that follow from measured tubes and fits: each value against a sum by hand.

Clearances are common practice, and stand in the data; those of ISO 286-1 are its printed values.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.parts.errors import FerruleError, PartError
from ferrule.parts.fit import (
    FITS,
    PROCESSES,
    Derived,
    FitChoice,
    MeasuredTube,
    as_measured,
    bulkhead,
    clearance_for,
    coupler,
    large_disc,
    nose_base,
    ring_bore,
    ring_outside,
    shoulder,
    tab_depth,
)
from ferrule.parts.tables import clearances, tapes
from ferrule.parts.tape import wraps

TUBE = MeasuredTube("payload tube", (68.42, 68.36, 68.44, 68.38), (65.92, 65.88, 65.94, 65.86))
MOTOR = MeasuredTube("motor tube", (30.98, 31.02, 30.96, 31.00), (29.22, 29.18, 29.20, 29.20))

DERIVED = [
    # By hand: mean 68.40 less 0.1; smallest inside 65.86 less 0.5 and less 0.2; largest outside 31.02 and 0.2;
    # (68.40 - 31.02) / 2 less 0.3. A bulkhead as a ring; a coupler slides with 0.4.
    (nose_base(TUBE), 68.30),
    (shoulder(TUBE), 65.36),
    (ring_outside(TUBE), 65.66),
    (ring_bore(MOTOR), 31.22),
    (tab_depth(TUBE, MOTOR), 18.39),
    (bulkhead(TUBE), 65.66),
    (coupler(TUBE), 65.46),
]


@pytest.mark.parametrize(("derived", "by_hand"), DERIVED)
def test_a_derived_size_is_the_sum_by_hand(derived: Derived, by_hand: float) -> None:
    assert derived.value == pytest.approx(by_hand, abs=1e-9)


@pytest.mark.parametrize(("derived", "by_hand"), DERIVED)
def test_the_sum_in_words_adds_up_and_says_why(derived: Derived, by_hand: float) -> None:
    terms, result = derived.sum.partition("; 1 wrap ")[0].rsplit(" = ", 1)
    numbers = [float(number) for number in re.findall(r"\d+\.\d\d", terms)]
    if " / 2 - " in terms:
        value = (numbers[0] - numbers[1]) / 2.0 - numbers[2]
    else:
        value = numbers[0] + numbers[1] * (1.0 if " + " in terms.partition("(")[0] else -1.0)
    assert value == pytest.approx(by_hand, abs=0.011)  # two digits are printed
    assert result == f"{by_hand:.2f} mm"
    assert any(f"{row.reason}; {row.mark}" in terms for row in clearances().values())


def test_a_size_as_measured_is_the_mean_of_its_readings() -> None:
    assert as_measured(MOTOR, "outside") == Derived(30.99, "mean outside of the motor tube as measured = 30.99 mm")
    assert as_measured(MOTOR, "inside") == Derived(29.2, "mean inside of the motor tube as measured = 29.20 mm")


def test_the_large_disc_is_flush_with_the_coupler_as_far_as_the_airframe_lets_it_in() -> None:
    """By hand: the airframe lets in 65.86 less 0.5 (common practice)."""
    slim, wide = MeasuredTube("coupler", (65.2, 65.3), (62.1,)), MeasuredTube("coupler", (65.5,), (62.1,))
    flush = large_disc(slim, TUBE)
    assert flush == Derived(65.25, "mean outside of the coupler as measured = 65.25 mm")
    assert large_disc(wide, None) == Derived(65.5, "mean outside of the coupler as measured = 65.50 mm")
    for disc in (large_disc(wide, TUBE), large_disc(None, TUBE)):
        assert disc is not None
        assert disc.value == pytest.approx(65.36, abs=1e-9)
        assert "smallest inside of the payload tube 65.86 - 0.50" in disc.sum
    held_back = large_disc(wide, TUBE)
    assert held_back is not None
    assert held_back.sum.endswith("= 65.36 mm, because the mean outside of the coupler, 65.50 mm, is more")
    assert large_disc(None, None) is None


SIXTY_FIVE = MeasuredTube("tube", (67.0,), (64.92,))

# How it is to fit, the shoulder in an inside of 64.92 mm by hand, and words of the sum.
CHOICES = [
    (FitChoice("tape", "printed", material="petg"), 64.42, "64.92 - 0.50 (tape fit, printed PETG, on diameter; common"),
    (FitChoice("slip", "printed", material="pla"), 64.62, "64.92 - 0.30 (slip fit, printed PLA, on diameter; common"),
    (FitChoice("slip", "printed", material="asa"), 64.52, "64.92 - 0.40 (slip fit, printed ASA, on diameter; common"),
    (FitChoice("slip", material="pla"), 64.62, "slip fit, printed PLA"),
    (FitChoice("slip", "printed", material=" PLA "), 64.62, "slip fit, printed PLA"),
    (FitChoice("slip", "printed", material="pc"), 64.52, "plastic that is not stated or not in the table"),
    (FitChoice("slip", "laser", material="pla"), 64.62, "slip fit, cut by laser"),
    (FitChoice("glued", "laser"), 64.72, "glued fit, cut by laser"),
    (FitChoice("press", "printed", material="petg"), 64.72, "press fit, printed PETG"),
    (FitChoice("free"), 64.22, "free fit, made in a way not stated"),
    (FitChoice(process="printed", material="abs"), 64.42, "tape fit, printed ABS"),  # the usual fit of a shoulder
    (FitChoice(clearance=0.33), 64.59, "64.92 - 0.33 (shoulder in a tube, friction fit built up with 1 or 2 wraps"),
    (FitChoice("slip", "hand", 0.25), 64.67, "64.92 - 0.25 (slip fit, cut by hand, on diameter; set by hand)"),
    (FitChoice("press", clearance=-0.05), 64.97, "64.92 + 0.05 (press fit"),
    # A material alone chooses nothing.
    (FitChoice(material="petg"), 64.42, "shoulder in a tube, friction fit"),
]


@pytest.mark.parametrize(("choice", "by_hand", "words"), CHOICES)
def test_a_choice_gives_the_clearance_of_the_fit_made_that_way(choice: FitChoice, by_hand: float, words: str) -> None:
    found = shoulder(SIXTY_FIVE, choice)
    assert found.value == pytest.approx(by_hand, abs=1e-9)
    assert words in found.sum
    assert f" = {by_hand:.2f} mm" in found.sum


def test_a_choice_holds_for_every_place_that_is_a_fit() -> None:
    """By hand: 0.4 mm for a slip fit printed in PETG (common practice), inside in a tube and outside over one."""
    choice = FitChoice("slip", "printed", material="petg")
    for found in (shoulder, ring_outside, bulkhead, coupler):
        assert found(TUBE, choice).value == pytest.approx(65.46, abs=1e-9)
    assert ring_bore(MOTOR, choice).value == pytest.approx(31.42, abs=1e-9)


def test_what_is_flush_or_on_the_radius_is_the_same_whatever_is_chosen() -> None:
    choice = FitChoice("press", "printed", 0.05, "pla")
    assert nose_base(TUBE, choice) == nose_base(TUBE)
    assert tab_depth(TUBE, MOTOR, choice) == tab_depth(TUBE, MOTOR)
    assert large_disc(MOTOR, TUBE, choice) == large_disc(MOTOR, TUBE)


def test_a_tape_fit_says_how_many_wraps_leave_play() -> None:
    """By hand, a wrap of 0.13 mm (from memory) being 0.26 on diameter: 64.42, 64.68, 64.94 in 64.92."""
    found = shoulder(SIXTY_FIVE, FitChoice("tape", "printed", material="petg"))
    assert found.sum == (
        "smallest inside of the tube 64.92 - 0.50 (tape fit, printed PETG, on diameter; common practice) = 64.42 mm; "
        "1 wrap of 0.13 mm tape (from memory) adds 0.26 on diameter: 64.68, play 0.24; 2 wraps: 64.94, 0.02 tight"
    )
    over = ring_bore(SIXTY_FIVE, FitChoice("tape"))
    assert "= 67.50 mm; 1 wrap of 0.13 mm tape on the tube (from memory) adds 0.26 on diameter: 67.26, play" in over.sum
    assert "wrap" not in shoulder(SIXTY_FIVE, FitChoice("slip")).sum.partition("=")[2]


@pytest.mark.parametrize(
    ("clearance", "number", "words"),
    [
        (0.20, 0, "1 wrap of 0.13 mm tape (from memory) adds 0.26 on diameter: 64.98, 0.06 tight"),
        (
            0.52,
            1,
            "1 wrap of 0.13 mm tape (from memory) adds 0.26 on diameter: 64.66, play 0.26; 2 wraps: 64.92, no play",
        ),
        (0.80, 3, "3 wraps of 0.13 mm tape (from memory) add 0.78 on diameter: 64.90, play 0.02; 4 wraps: 65.16, 0.24"),
    ],
)
def test_wraps_are_counted_up_to_the_first_that_leaves_no_play(clearance: float, number: int, words: str) -> None:
    assert wraps(clearance).number == number
    assert words in shoulder(SIXTY_FIVE, FitChoice("tape", clearance=clearance)).sum


@given(st.floats(-0.5, 3.0), st.sampled_from(sorted(tapes())))
def test_one_more_wrap_than_leaves_play_leaves_none(clearance: float, tape: str) -> None:
    found = wraps(clearance, tape)
    assert found.play(found.number) > 0.004 or found.number == 0
    assert found.play(found.number + 1) < 0.006


ISO = [
    # ISO 286-1 at 64.92 mm: g6 -29 to -10 um, H7 0 to +30, f7 -60 to -30, p6 +32 to +51; middle of the zone by hand.
    (shoulder, FitChoice("H7/g6"), 64.92 - 0.0195),
    (shoulder, FitChoice("g6"), 64.92 - 0.0195),
    (coupler, FitChoice("H8/f7"), 64.92 - 0.045),
    (ring_outside, FitChoice("H7/p6"), 64.92 + 0.0415),
    # G7 begins 10 um over the basic size, so h6 of -19 to 0 um lies 10 to 29 um under the tube: as H7/g6.
    (shoulder, FitChoice("G7/h6"), 64.92 - 0.0195),
    # Over 67.00 mm: H7 0 to +30 um and the shaft 10 um under the basic size, 10 to 40 um of clearance.
    (ring_bore, FitChoice("H7/g6"), 67.0 + 0.025),
    (ring_bore, FitChoice("G7"), 67.0 + 0.025),
]


@pytest.mark.parametrize(("found", "choice", "by_hand"), ISO)
def test_a_class_of_iso_286_takes_the_tube_as_the_other_side(
    found: Callable[[MeasuredTube, FitChoice], Derived], choice: FitChoice, by_hand: float
) -> None:
    derived = found(SIXTY_FIVE, choice)
    assert derived.value == pytest.approx(by_hand, abs=1e-6)
    side = "largest outside stands for the shaft" if found is ring_bore else "smallest inside stands for the hole"
    assert f"the tube's {side}'s actual size" in derived.sum
    assert f"ISO 286-1 {choice.fit}; " in derived.sum
    assert derived.sum.endswith("finer than the readings, which are good to 0.10 mm (common practice)")


def test_a_class_has_the_bounds_of_its_clearance() -> None:
    """Printed clearance of H7/g6 at 66 mm, hole at its smaller limit: 10 to 29 um; at the shaft's larger: 10 to 40."""
    shaft = clearance_for("shoulder-tape", FitChoice("H7/g6"), 66.0)
    assert (shaft.least, shaft.most) == pytest.approx((0.010, 0.029), abs=1e-9)
    bore = clearance_for("ring-bore", FitChoice("H7/g6"), 66.0)
    assert (bore.least, bore.amount, bore.most) == pytest.approx((0.010, 0.025, 0.040), abs=1e-9)


def test_nothing_chosen_is_the_row_of_the_place_and_a_hand_set_clearance_keeps_its_bounds() -> None:
    for usage in ("shoulder-tape", "nose-base", "ring-bore", "tab-depth", "bulkhead-slide"):
        assert clearance_for(usage) is clearances()[usage]
    row = clearances()["slip/printed/pla"]
    found = clearance_for("coupler", FitChoice("slip", "printed", 0.9, "pla"))
    assert (found.amount, found.least, found.most, found.mark) == (0.9, row.least, row.most, "set by hand")


@given(
    st.sampled_from(("shoulder-tape", "ring-outside", "ring-bore", "bulkhead", "coupler")),
    st.sampled_from((None, *FITS)),
    st.sampled_from((None, *PROCESSES)),
    st.sampled_from((None, "pla", "petg", "abs", "asa", "pc", "birch-plywood")),
)
def test_every_choice_of_known_words_has_a_row(
    usage: str, fit: str | None, process: str | None, material: str | None
) -> None:
    row = clearance_for(usage, FitChoice(fit, process, None, material))
    assert row.least <= row.amount <= row.most
    assert row.fit == (fit or clearances()[usage].fit)
    assert row.process in ("", process or "printed")


@pytest.mark.parametrize(
    ("choice", "message"),
    [
        (FitChoice("slipp"), r"fit: there is no fit 'slipp'; did you mean 'slip'.*glued, tape, slip, press, free"),
        (FitChoice("H7/q6"), r"fit: 'q6': there is no letter 'q'"),
        (FitChoice("g6/H7"), r"the hole comes first"),
        (FitChoice("H7"), r"fit: the class 'H7' is of a hole, and this goes into one; write both"),
        (FitChoice(process="lazer"), r"process: there is no process 'lazer'; did you mean 'laser'"),
        (FitChoice(material="unobtainium"), r"no material 'unobtainium'"),
        (FitChoice(clearance=12.0), r"clearance: must be at least -1 mm and at most 10 mm on diameter, got 12 mm"),
        (FitChoice(clearance=-1.5), r"clearance: must be at least -1 mm .* got -1.5 mm"),
        (FitChoice(clearance=float("nan")), r"clearance: must be .* got nan mm"),
    ],
)
def test_a_choice_that_is_not_known_is_refused_with_the_nearest(choice: FitChoice, message: str) -> None:
    with pytest.raises(FerruleError, match=message):
        shoulder(TUBE, choice)


def test_a_class_of_the_shaft_alone_is_refused_for_a_bore() -> None:
    with pytest.raises(PartError, match=r"fit: the class 'g6' is of a shaft, and this is a bore; write both"):
        ring_bore(MOTOR, FitChoice("g6"))


def test_a_class_needs_the_diameter() -> None:
    with pytest.raises(PartError, match=r"fit: the class 'H7/g6' depends on the diameter"):
        clearance_for("shoulder-tape", FitChoice("H7/g6"))


readings = st.lists(st.floats(20.0, 30.0), min_size=1, max_size=6).map(tuple)


@given(readings, st.lists(st.floats(31.0, 40.0), min_size=1, max_size=6).map(tuple))
def test_what_follows_from_any_readings_goes_in(inside: tuple[float, ...], outside: tuple[float, ...]) -> None:
    tube = MeasuredTube("t", outside, inside)
    assert shoulder(tube).value < min(inside)
    assert ring_outside(tube).value < min(inside)
    assert bulkhead(tube).value < min(inside)
    assert coupler(tube).value < min(inside)
    assert ring_bore(tube).value > max(outside)
    assert min(outside) - 0.2 < nose_base(tube).value < max(outside)
