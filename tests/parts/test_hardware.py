"""Hardware against its standards.

Sources:
- [ISO 273] clearance holes, as printed on two pages and in an independent library's table, which agree to M10.
- [ISO 4032], [ISO 7380-1], [ISO 7089], [ISO 4762]: an independent library's tables, read once and compared by hand. It
  gives the largest washer and the knurled head where ours are nominal and plain, so those are held to the tolerances.
- [ISO 724], [ASME B1.1]: basic sizes of threads.
- [DIN 580] rated loads as printed on makers' pages; safety factor 6.
"""

from __future__ import annotations

import math

import pytest
from pydantic import ValidationError

from ferrule.parts.errors import QuantityError
from ferrule.parts.hardware import (
    FAMILIES,
    ButtonScrew,
    CapScrew,
    ClearanceHole,
    Eyebolt,
    Hardware,
    HexNut,
    Insert,
    ThreadedRod,
    TNut,
    UBolt,
    UnifiedScrew,
    UnknownHardwareError,
    Washer,
    every,
    hardware,
    sized,
)

ISO_273 = {
    "M2": (2.2, 2.4, 2.6),
    "M2.5": (2.7, 2.9, 3.1),
    "M3": (3.2, 3.4, 3.6),
    "M4": (4.3, 4.5, 4.8),
    "M5": (5.3, 5.5, 5.8),
    "M6": (6.4, 6.6, 7.0),
    "M8": (8.4, 9.0, 10.0),
    "M10": (10.5, 11.0, 12.0),
    "M12": (13.0, 13.5, 14.5),
}
ISO_4032 = {
    "M2": (4.0, 1.6),
    "M2.5": (5.0, 2.0),
    "M3": (5.5, 2.4),
    "M4": (7.0, 3.2),
    "M5": (8.0, 4.7),
    "M6": (10.0, 5.2),
    "M8": (13.0, 6.8),
    "M10": (16.0, 8.4),
    "M12": (18.0, 10.8),
}
KNURLED_ISO_4762 = {
    "M2": (3.98, 1.5, 1.0),
    "M2.5": (4.68, 2.0, 1.1),
    "M3": (5.68, 2.5, 1.3),
    "M4": (7.22, 3.0, 2.0),
    "M5": (8.72, 4.0, 2.5),
    "M6": (10.22, 5.0, 3.0),
    "M8": (13.27, 6.0, 4.0),
    "M10": (16.27, 8.0, 5.0),
    "M12": (18.27, 10.0, 6.0),
}
ISO_7380 = {
    "M3": (5.7, 1.65, 2.08, 1.04),
    "M4": (7.6, 2.2, 2.58, 1.3),
    "M5": (9.5, 2.75, 3.08, 1.56),
    "M6": (10.5, 3.3, 4.095, 2.08),
    "M8": (14.0, 4.4, 5.14, 2.6),
    "M10": (17.5, 5.5, 6.14, 3.12),
    "M12": (21.0, 6.6, 8.175, 4.16),
}
LARGEST_ISO_7089 = {
    "M2": (2.2, 5.0, 0.35),
    "M2.5": (2.7, 6.0, 0.55),
    "M3": (3.2, 7.0, 0.55),
    "M4": (4.3, 9.0, 0.9),
    "M5": (5.3, 10.0, 1.1),
    "M6": (6.4, 12.0, 1.8),
    "M8": (8.4, 16.0, 1.8),
    "M10": (10.5, 20.0, 2.2),
    "M12": (13.0, 24.0, 2.7),
}


def test_every_row_has_a_source_and_a_name_of_its_own_that_finds_it() -> None:
    rows = every(Hardware)
    assert len({row.name for row in rows}) == len(rows) > 60
    for row in rows:
        assert row.source
        assert hardware(row.name) == row
        assert hardware(f"  {row.name.upper()} ") == row
        assert hardware(row.name.replace(" ", "-")) == row
    assert {type(row) for row in rows} == set(FAMILIES)


def test_clearance_holes_are_those_of_iso_273() -> None:
    assert {row.size: (row.fine, row.medium, row.coarse) for row in every(ClearanceHole)} == ISO_273


def test_nuts_are_those_of_iso_4032() -> None:
    assert {row.size: (row.across_flats, row.height) for row in every(HexNut)} == ISO_4032


def test_cap_screws_are_those_of_iso_4762() -> None:
    found = {row.size: row for row in every(CapScrew)}
    assert found.keys() == KNURLED_ISO_4762.keys()
    for size, (knurled, flats, depth) in KNURLED_ISO_4762.items():
        row = found[size]
        assert row.head_height == pytest.approx(sized(ThreadedRod, size).major_diameter), (
            "as high as the thread is wide"
        )
        # The standard allows a knurl 0.18 to 0.27 mm over the plain head.
        assert 0.17 < knurled - row.head_diameter < 0.28
        assert (row.socket_across_flats, row.socket_depth) == (flats, depth)


def test_button_screws_are_those_of_iso_7380() -> None:
    found = {row.size: row for row in every(ButtonScrew)}
    assert found.keys() == ISO_7380.keys()
    for size, (head, height, largest_flats, depth) in ISO_7380.items():
        row = found[size]
        assert (row.head_diameter, row.head_height, row.socket_depth) == (head, height, depth)
        # The key has the nominal size; the socket's largest is 0.08 to 0.175 mm over it.
        assert 0.0 < largest_flats - row.socket_across_flats < 0.18


def test_washers_are_those_of_iso_7089() -> None:
    found = {row.size: row for row in every(Washer)}
    assert found.keys() == LARGEST_ISO_7089.keys()
    for size, (inside, outside, largest) in LARGEST_ISO_7089.items():
        row = found[size]
        assert (row.inside_diameter, row.outside_diameter) == (inside, outside)
        # Tolerance of the thickness: 0.05 mm to 0.5 mm, 0.1 mm to 1 mm, 0.2 mm to 2.5 mm.
        tolerance = 0.05 if row.thickness <= 0.5 else 0.1 if row.thickness <= 1.0 else 0.2
        assert row.thickness + tolerance == pytest.approx(largest, abs=1e-12)
        assert inside == sized(ClearanceHole, size).fine, "the fine series is that of the washers"


def test_threads_have_the_pitch_diameters_of_iso_724() -> None:
    published = {"M3": 2.675, "M4": 3.545, "M5": 4.480, "M6": 5.350, "M8": 7.188, "M10": 9.026, "M12": 10.863}
    for size, diameter in published.items():
        # The standard prints three places.
        assert sized(ThreadedRod, size).pitch_diameter == pytest.approx(diameter, abs=5.1e-4)
    thread = sized(ThreadedRod, "M6")
    # ISO 898-1: stress area on the mean of pitch diameter and d - 1.226869 P; M6 has 20.1 mm2.
    minor = thread.major_diameter - 1.226869 * thread.pitch
    assert math.pi / 4.0 * ((thread.pitch_diameter + minor) / 2.0) ** 2 == pytest.approx(20.123377, rel=1e-6)


def test_unified_threads_are_those_of_asme_b1_1() -> None:
    for number, threads in ((2, 56), (4, 40), (6, 32), (10, 24)):
        row = sized(UnifiedScrew, f"#{number}-{threads}")
        assert row.major_diameter == pytest.approx((0.060 + 0.013 * number) * 25.4, rel=1e-12), "numbered sizes"
        assert row.threads_per_inch == threads
    quarter = sized(UnifiedScrew, "1/4-20")
    assert (quarter.major_diameter, quarter.threads_per_inch) == (6.35, 20)
    # ASME B1.1: basic pitch diameters 0.0744, 0.0958, 0.1177, 0.1629, 0.2175 in (from memory), to four places.
    for size, pitch in (
        ("#2-56", 0.0744),
        ("#4-40", 0.0958),
        ("#6-32", 0.1177),
        ("#10-24", 0.1629),
        ("1/4-20", 0.2175),
    ):
        assert sized(UnifiedScrew, size).pitch_diameter / 25.4 == pytest.approx(pitch, abs=6e-5)


def test_holes_for_unified_screws_clear_the_thread_or_leave_enough_of_it() -> None:
    """ASME B18.2.8 clearance by number drills; tap drills leave 65 to 80 % of the full thread (common practice)."""
    drills = {
        "#2-56": (3 / 32, 0.1015, 0.116, 0.070),
        "#4-40": (0.120, 0.1285, 0.144, 0.089),
        "#6-32": (0.154, 0.1695, 0.185, 0.1065),
        "#10-24": (0.2055, 0.221, 0.238, 0.1495),
        "1/4-20": (17 / 64, 9 / 32, 19 / 64, 0.201),
    }
    assert [row.size for row in every(UnifiedScrew)] == list(drills)
    for size, inches in drills.items():
        row = sized(UnifiedScrew, size)
        holes = (row.clearance_close, row.clearance_normal, row.clearance_loose, row.tap_drill)
        assert holes == pytest.approx(tuple(25.4 * one for one in inches), rel=1e-12)
        assert row.tap_drill < row.major_diameter < row.clearance_close < row.clearance_normal < row.clearance_loose
        full = 2.0 * 0.649519 * 25.4 / row.threads_per_inch
        assert 0.65 < (row.major_diameter - row.tap_drill) / full < 0.80


def test_a_shear_pin_goes_through_the_hole_that_the_coupler_offers() -> None:
    """5/64 in (2.0 mm) is drilled for #2-56 (common practice): its thread bites, its core passes."""
    row = sized(UnifiedScrew, "#2-56")
    minor = row.major_diameter - 1.226869 * 25.4 / row.threads_per_inch
    assert minor < 2.0 < row.major_diameter


def test_eyebolts_are_rated_from_m8_up_only() -> None:
    """[DIN 580], kg along the shank and at 45 degrees."""
    published = {"M8": (140, 100), "M10": (230, 170), "M12": (340, 240), "M16": (700, 500)}
    for row in every(Eyebolt):
        if row.size in published:
            assert (row.rated_load, row.rated_load_45) == tuple(1000.0 * one for one in published[row.size])
        else:
            assert row.size in {"M5", "M6"}
            assert row.rating == "rating not stated"
            assert row.mark == "from memory"
    assert sized(Eyebolt, "M8").rating == "rated for 140 kg along its shank, 100 kg at 45 degrees to it"


def test_u_bolts_are_not_rated_and_say_where_their_holes_are() -> None:
    assert {row.rating for row in every(UBolt)} == {"rating not stated"}
    assert {row.mark for row in every(UBolt)} == {"from memory"}
    assert sized(UBolt, "M6").hole_spacing == 31.0


def test_what_differs_by_make_says_so() -> None:
    for row in (*every(Insert), *every(TNut)):
        assert "makes differ" in row.source
        assert row.mark == "from memory"


def test_an_insert_is_larger_than_its_hole_and_its_boss_larger_than_both() -> None:
    """Holes reported by charts of the trade: M3 4.0, M4 5.6, M5 6.4 mm; boss 2 x the insert, 0.5 mm deeper."""
    assert [sized(Insert, size).hole_diameter for size in ("M3", "M4", "M5")] == [4.0, 5.6, 6.4]
    for row in every(Insert):
        assert sized(ThreadedRod, row.size).major_diameter < row.hole_diameter < row.body_diameter
        assert row.boss_diameter == 2.0 * row.body_diameter
        assert row.hole_depth == row.length + 0.5
    published = {"M2": 3.6, "M3": 4.7, "M4": 6.3, "M5": 7.1}
    for size, body in published.items():
        # One catalogue's bodies; makes differ by this much and more.
        assert sized(Insert, size).body_diameter == pytest.approx(body, abs=0.3)


def test_a_t_nut_holds_its_thread() -> None:
    for row in every(TNut):
        assert sized(ThreadedRod, row.size).major_diameter < row.barrel_diameter < row.flange_diameter


@pytest.mark.parametrize(
    ("name", "length", "shown"),
    [
        ("M4x12 cap screw", 12.0, "M4x12 cap screw"),
        ("m4 X 12 CAP screw", 12.0, "M4x12 cap screw"),
        ("M3x8.5 button screw", 8.5, "M3x8.5 button screw"),
        ("M6x1/2 in threaded rod", 12.7, "M6x12.7 threaded rod"),
        ("M6x200 mm threaded rod", 200.0, "M6x200 threaded rod"),
        ("#4-40x1/2 in screw", 12.7, "#4-40x0.500 in screw"),
        ("M4 cap screw", None, "M4 cap screw"),
    ],
)
def test_a_name_may_state_the_length(name: str, length: float | None, shown: str) -> None:
    found = hardware(name)
    assert isinstance(found, (CapScrew, ButtonScrew, ThreadedRod, UnifiedScrew))
    assert found.length == length
    assert found.name == shown
    assert hardware(shown) == found


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("M5 hexnut", "there is no hardware 'M5 hexnut' in the tables; did you mean 'M5 hex nut'?"),
        ("M6 eyebolts", "there is no hardware 'M6 eyebolts' in the tables; did you mean 'M6 eyebolt'?"),
        ("M5 U-bold", "there is no hardware 'M5 U-bold' in the tables; did you mean 'M5 U-bolt'?"),
        ("cap screw", "'cap screw' states no size; there are M2, M2.5, M3, M4, M5, M6, M8, M10, M12"),
        ("M7 hex nut", "there is no M7 hex nut in the table; it has M2, M2.5, M3, M4, M5, M6, M8, M10, M12"),
        ("#8-32 screw", "there is no #8-32 screw in the table; it has #2-56, #4-40, #6-32, #10-24, 1/4-20"),
        ("M5x10 washer", "'M5x10 washer': washers have no length to state"),
        ("M4x0 cap screw", "length: must be above 0 mm, at most 1000 mm, got 0 mm"),
        ("M4x2000 cap screw", "length: must be above 0 mm, at most 1000 mm, got 2000 mm"),
        (
            "",
            "there is no hardware '' in the tables; they have clearance hole, threaded rod, cap screw, button screw, "
            "screw, hex nut, washer, insert, eyebolt, U-bolt, T-nut",
        ),
    ],
)
def test_what_is_not_there_is_said_with_what_is(name: str, message: str) -> None:
    with pytest.raises(UnknownHardwareError) as refusal:
        hardware(name)
    assert str(refusal.value) == message
    assert refusal.value.exit_code == 2


def test_a_length_in_inches_needs_its_unit() -> None:
    with pytest.raises(QuantityError, match="unit"):
        hardware("#4-40x12 screw")


def test_a_row_cannot_be_changed_and_needs_its_numbers_with_units() -> None:
    row = sized(HexNut, "M5")
    with pytest.raises(ValidationError, match="frozen"):
        row.height = 4.0  # type: ignore[misc]  what is to be refused
    with pytest.raises(ValidationError, match="unit"):
        HexNut.model_validate({**row.model_dump(), "height": 4.7})
    assert HexNut.model_validate(row.model_dump()) == row
