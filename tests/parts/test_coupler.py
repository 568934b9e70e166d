"""Couplers and drilled tubes against volumes by hand; a drilled wall by the mean of its chord (elementary geometry)."""

from __future__ import annotations

import math
from typing import Any

import pytest
from scipy.integrate import quad

from ferrule.analysis.joints import Joint, sections
from ferrule.analysis.place_checks import place_checks
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import stability
from ferrule.parts.errors import DesignError
from ferrule.parts.fit import MeasuredTube, Surroundings
from ferrule.parts.kinds import Coupler, NoseCone, Tube
from ferrule.parts.readers.integrals import area, box, moments
from ferrule.parts.shape import Cut, Revolved

COUPLER: dict[str, Any] = {"outside_diameter": "65.5 mm", "wall": "2.4 mm", "length": "136 mm"}

BAND: dict[str, Any] = {"switch_band_length": "26 mm", "switch_band_diameter": "68.4 mm"}
LEDGE: dict[str, Any] = {"seat_station": "68 mm", "seat_depth": "4 mm", "seat_width": "2 mm"}
SLEEVE = math.pi * (32.75**2 - 30.35**2) * 136.0


def wall_behind_a_hole(outside: float, inside: float, radius: float) -> float:
    """Volume of a round tube's wall within a cylinder that crosses its axis at right angles, on one side [mm3]."""
    found, _ = quad(
        lambda w: 2.0 * math.sqrt(radius**2 - w**2) * (math.sqrt(outside**2 - w**2) - math.sqrt(inside**2 - w**2)),
        -radius,
        radius,
        epsabs=1e-10,
        epsrel=1e-10,
    )
    return float(found)


def test_a_plain_coupler_is_a_sleeve() -> None:
    coupler = Coupler.build(**COUPLER)
    assert coupler.inside_diameter == pytest.approx(60.7, abs=1e-12)
    volume = math.pi * (32.75**2 - 30.35**2) * 136.0
    assert moments(coupler.shape()).volume == pytest.approx(volume, rel=1e-12)


@pytest.mark.parametrize(("distance", "middle"), [({}, 34.0), ({"screw_distance": "20 mm"}, 20.0)])
def test_screw_holes_take_their_share_of_the_wall_where_they_are(distance: dict[str, str], middle: float) -> None:
    coupler = Coupler.build(**COUPLER, screw_count=3, screw_diameter="3.4 mm", **distance)
    sleeve = math.pi * (32.75**2 - 30.35**2) * 136.0
    holes = 3.0 * wall_behind_a_hole(32.75, 30.35, 1.7)
    found = moments(coupler.shape())
    assert found.volume == pytest.approx(sleeve - holes, rel=1e-9)
    assert found.centroid[0] == pytest.approx((sleeve * 68.0 - holes * middle) / (sleeve - holes), rel=1e-9)
    assert found.centroid[1:] == pytest.approx((0.0, 0.0), abs=1e-9)


def test_vents_go_through_one_wall_of_a_tube_at_their_roll() -> None:
    """Drilled on the rail line, mass is missing at +y; at roll 90 deg, clockwise from behind, at -z."""
    for roll, side in (("0 deg", (-1.0, 0.0)), ("90 deg", (0.0, 1.0))):
        tube = Tube.build(**Tube.example, hole_diameter="4 mm", hole_positions=("40 mm", "200 mm"), hole_roll=roll)
        plain = math.pi * (34.2**2 - 32.95**2) * 280.0
        hole = wall_behind_a_hole(34.2, 32.95, 2.0)
        found = moments(tube.shape())
        assert found.volume == pytest.approx(plain - 2.0 * hole, rel=1e-9)
        assert found.centroid[0] == pytest.approx((plain * 140.0 - hole * 240.0) / (plain - 2.0 * hole), rel=1e-9)
        # The wall of a small hole lies between the radii, so that its first moment is known to a few per cent.
        y, z = found.first[1:]
        assert (y, z) == pytest.approx(tuple(2.0 * hole * 33.57 * one for one in side), rel=2e-3, abs=1e-6)


def test_a_tube_without_holes_is_as_it_was() -> None:
    tube = Tube.build(**Tube.example)
    assert moments(tube.shape()).volume == pytest.approx(math.pi * (34.2**2 - 32.95**2) * 280.0, rel=1e-12)
    assert tube.skin() == Tube.build(**Tube.example, hole_diameter="4 mm", hole_positions=("40 mm",)).skin()


@pytest.mark.parametrize(
    ("separates", "screws", "pins"),
    [("aft", 34.0, 102.0), ("forward", 102.0, 34.0)],
)
def test_screws_go_into_the_side_that_stays_and_pins_into_the_one_that_separates(
    separates: str, screws: float, pins: float
) -> None:
    """Each in the middle of its side where nothing else is stated."""
    coupler = Coupler.build(**COUPLER, screw_count=3, separates=separates, shear_pin_count=2)
    holes = [(3.0 * wall_behind_a_hole(32.75, 30.35, 1.7), screws), (2.0 * wall_behind_a_hole(32.75, 30.35, 1.0), pins)]
    volume = SLEEVE - sum(hole for hole, _ in holes)
    found = moments(coupler.shape())
    assert found.volume == pytest.approx(volume, rel=1e-9)
    centre = (SLEEVE * 68.0 - sum(hole * middle for hole, middle in holes)) / volume
    assert found.centroid[0] == pytest.approx(centre, rel=1e-9)


def test_pins_stand_at_their_roll_clockwise_from_the_rail_line_seen_from_behind() -> None:
    """Two pins opposite each other at 90 deg, on the z axis: mass is missing there, so less resists a turn about y."""
    pinned = Coupler.build(
        **COUPLER, separates="aft", shear_pin_count=2, shear_pin_diameter="2 mm", shear_pin_roll="90 deg"
    )
    inertia = moments(pinned.shape()).second_matrix
    hole = wall_behind_a_hole(32.75, 30.35, 1.0)
    # The second moment across is short of the plain sleeve's by that of two small pieces of wall on the z axis.
    assert inertia[1, 1] - inertia[2, 2] == pytest.approx(2.0 * hole * 31.55**2, rel=5e-3)


def test_vents_start_on_the_rail_line() -> None:
    one = Coupler.build(**COUPLER, vent_diameter="4 mm", vent_distance="50 mm")
    hole = wall_behind_a_hole(32.75, 30.35, 2.0)
    found = moments(one.shape())
    assert found.volume == pytest.approx(SLEEVE - hole, rel=1e-9)
    # The rail line is +y; the piece of wall lies between its radii.
    assert found.first[1] == pytest.approx(-hole * 31.55, rel=3e-3)
    assert found.first[2] == pytest.approx(0.0, abs=1e-6)
    three = Coupler.build(**COUPLER, vent_diameter="4 mm", vent_distance="50 mm", vent_count=3)
    assert moments(three.shape()).volume == pytest.approx(SLEEVE - 3.0 * hole, rel=1e-9)


def test_a_ledge_is_a_ring_whose_underside_falls_away_at_45_degrees() -> None:
    coupler = Coupler.build(**COUPLER, **LEDGE)
    bore, top = 30.35, 26.35
    land = math.pi * (bore**2 - top**2) * 2.0
    # A cylinder's wall less a frustum, h (R^2 + R r + r^2) / 3.
    underside = math.pi * (bore**2 * 4.0 - 4.0 * (bore**2 + bore * top + top**2) / 3.0)
    shape = coupler.shape()
    assert moments(shape).volume == pytest.approx(SLEEVE + land + underside, rel=1e-12)
    assert isinstance(shape, Revolved)
    faces = [piece for piece in shape.meridian.role("seat") if piece.start[0] == piece.end[0] == 68.0]
    assert [sorted((face.start[1], face.end[1])) for face in faces] == [pytest.approx([top, bore])]
    assert box(shape)[1] == pytest.approx((136.0, 32.75, 32.75))


def test_a_switch_band_is_a_ring_round_the_middle_and_skin_in_the_air_stream() -> None:
    coupler = Coupler.build(**COUPLER, **BAND)
    shape = coupler.shape()
    assert isinstance(shape, Revolved)
    band = math.pi * (34.2**2 - 32.75**2) * 26.0
    found = moments(shape)
    assert found.volume == pytest.approx(SLEEVE + band, rel=1e-12)
    assert found.centroid == pytest.approx((68.0, 0.0, 0.0), abs=1e-9)
    assert coupler.insertion == 55.0
    assert (coupler.side("forward"), coupler.side("aft")) == ((0.0, 55.0), (81.0, 136.0))
    (line,) = coupler.skin()
    assert (line.start, line.end) == ((55.0, 34.2), (81.0, 34.2))
    assert area(shape.meridian, "wetted") == pytest.approx(math.tau * 34.2 * 26.0, rel=1e-12)
    assert Coupler.build(**COUPLER).skin() == ()
    assert Coupler.build(**COUPLER).insertion == 68.0


def test_a_vent_in_the_band_goes_through_all_of_the_wall() -> None:
    coupler = Coupler.build(**COUPLER, **BAND, vent_diameter="4 mm")
    plain = SLEEVE + math.pi * (34.2**2 - 32.75**2) * 26.0
    found = moments(coupler.shape())
    assert found.volume == pytest.approx(plain - wall_behind_a_hole(34.2, 30.35, 2.0), rel=1e-9)
    assert found.centroid[0] == pytest.approx(68.0, abs=1e-9)
    assert isinstance(coupler.shape(), Cut)


def test_screws_keep_to_the_middle_of_their_side_beside_a_band() -> None:
    coupler = Coupler.build(**COUPLER, **BAND, screw_count=3)
    plain = SLEEVE + math.pi * (34.2**2 - 32.75**2) * 26.0
    hole = 3.0 * wall_behind_a_hole(32.75, 30.35, 1.7)
    found = moments(coupler.shape())
    assert found.centroid[0] == pytest.approx((plain * 68.0 - hole * 27.5) / (plain - hole), rel=1e-9)


def stack(coupler: Coupler, gap: float) -> Rocket:
    """A nose and two tubes of one diameter, `gap` between the tubes, the coupler in the middle of it."""
    nose = NoseCone.build(profile="tangent-ogive", length="200 mm", base_diameter="68.4 mm", material="petg")
    tube = {"outside_diameter": "68.4 mm", "inside_diameter": "65.9 mm", "material": "kraft-tube"}
    return Rocket(
        "stack",
        (
            Item("nose", (0.0,), nose),
            Item("payload tube", (200.0,), Tube.build(**tube, length="280 mm")),
            Item("coupler", (480.0 + gap / 2.0 - 68.0,), coupler),
            Item("booster tube", (480.0 + gap,), Tube.build(**tube, length="600 mm")),
        ),
    )


def test_a_band_closes_the_gap_between_the_tubes_for_the_air() -> None:
    banded, bare = stack(Coupler.build(**COUPLER, **BAND, material="petg"), 26.0), Coupler.build(**COUPLER)
    assert [item.name for item in banded.body] == ["nose", "payload tube", "coupler", "booster tube"]
    assert [item.skin_range() for item in banded.body] == [(0, 200), (200, 480), (480, 506), (506, 1106)]
    assert banded.reference_diameter == pytest.approx(68.4)
    assert not [check for check in place_checks(banded) if check.status == "fail"]
    open_body = [check for check in place_checks(stack(bare, 26.0)) if check.status == "fail"]
    assert [(check.name, check.value) for check in open_body] == [("payload tube to booster tube", "26.00 mm")]
    # A cylinder has no lift of its own in slender-body theory, so the band moves no centre of pressure.
    ends = Rocket("ends", tuple(item for item in banded.items if item.name != "coupler"))
    with_band, without = stability(banded), stability(ends)
    assert with_band is not None
    assert without is not None
    assert with_band.normal_force.station == pytest.approx(without.normal_force.station, rel=1e-12)


def test_a_banded_coupler_is_still_what_joins_its_tubes() -> None:
    rocket = stack(Coupler.build(**COUPLER, **BAND), 26.0)
    joints = (
        Joint(("nose", "payload tube"), "screwed"),
        Joint(("payload tube", "coupler"), "screwed"),
        Joint(("coupler", "booster tube"), "releases"),
    )
    assert sections(rocket, joints) == (("nose", "payload tube", "coupler"), ("booster tube",))


def test_the_material_says_whether_it_is_printed_or_cut_from_tube() -> None:
    assert Coupler.build(**COUPLER).cut_from_tube is None
    assert Coupler.build(**COUPLER, material="petg").cut_from_tube is False
    for name in ("kraft-tube", "phenolic-paper", "g10", "aluminium-6061"):
        assert Coupler.build(**COUPLER, material=name).cut_from_tube is True


def test_a_band_takes_the_outside_of_the_tube_that_the_coupler_fits() -> None:
    near = Surroundings(MeasuredTube("airframe", (68.4, 68.5), (65.9, 65.8)))
    found = Coupler.derived(frozenset({"switch_band_length"}), near)
    assert found["switch_band_diameter"].value == pytest.approx(68.45)
    assert "outside_diameter" in found
    assert "switch_band_diameter" not in Coupler.derived(frozenset(), near)
    stated = frozenset({"switch_band_length", "switch_band_diameter"})
    assert "switch_band_diameter" not in Coupler.derived(stated, near)


@pytest.mark.parametrize(
    ("fields", "field", "message"),
    [
        ({"wall": "32.75 mm"}, "wall", "32.75 mm is not less than the outside radius, 32.75 mm"),
        (
            {"screw_count": 3, "separates": "aft", "screw_distance": "100 mm"},
            "screw_distance",
            "screws of 3.4 mm at 100 mm are not wholly in the forward side, 0 to 68 mm from the forward end; the aft "
            "side separates, and screws in it would keep the parachute in",
        ),
        (
            {"screw_count": 3, "separates": "forward", "screw_distance": "69 mm"},
            "screw_distance",
            "screws of 3.4 mm at 69 mm are not wholly in the aft side, 68 to 136 mm from the forward end; the forward "
            "side separates, and screws in it would keep the parachute in",
        ),
        (
            {"screw_count": 3, "screw_distance": "136 mm"},
            "screw_distance",
            "a hole of 3.4 mm at 136 mm from the forward end is not wholly in the coupler of 136 mm, "
            "1 mm from its ends",
        ),
        (
            {"screw_count": 24, "screw_diameter": "8 mm"},
            "screw_count",
            "24 holes of 8 mm do not leave half a hole between them round the coupler",
        ),
        (
            {"shear_pin_count": 2},
            "separates",
            "is needed for shear pins, which go into the side that separates; not stated",
        ),
        (
            {"separates": "aft", "shear_pin_count": 1},
            "shear_pin_count",
            "one pin lets the joint tilt and jam, and is all that holds it; at least 2, or 0 for none",
        ),
        (
            {"separates": "aft", "shear_pin_count": 2, "shear_pin_distance": "68.5 mm"},
            "shear_pin_distance",
            "pins of 2 mm at 68.5 mm are not wholly in the aft side, which separates, 68 to 136 mm from the forward "
            "end",
        ),
        (
            {"separates": "aft", "shear_pin_count": 24, "shear_pin_diameter": "8 mm"},
            "shear_pin_count",
            "24 holes of 8 mm do not leave half a hole between them round the coupler",
        ),
        ({"vent_diameter": "4 mm"}, "vent_distance", "is needed for the vents and not stated"),
        ({"vent_distance": "40 mm"}, "vent_diameter", "is needed for the vents and not stated"),
        (
            {"vent_diameter": "4 mm", "vent_distance": "1 mm"},
            "vent_distance",
            "a hole of 4 mm at 1 mm from the forward end is not wholly in the coupler of 136 mm, 1 mm from its ends",
        ),
        (
            {"vent_diameter": "4 mm", "vent_distance": "36 mm", "screw_count": 3, "screw_roll": "0 deg"},
            "vent_distance",
            "the screws at 34 mm and the vents at 36 mm leave 0 mm between them; at least 1 mm must stay",
        ),
        (
            {"vent_diameter": "4 mm", "vent_distance": "38 mm", "screw_count": 3, "screw_roll": "360 deg"},
            "vent_distance",
            "the screws at 34 mm and the vents at 38 mm leave 0.3 mm between them; at least 1 mm must stay",
        ),
        ({"seat_station": "68 mm"}, "seat_depth", "is needed for the ledge and not stated"),
        ({"seat_depth": "4 mm"}, "seat_station", "is needed for the ledge and not stated"),
        (
            {**LEDGE, "material": "kraft-tube"},
            "seat_station",
            "a coupler of kraft-tube is cut from tube and has no ledge; glue the ring in where it belongs",
        ),
        ({**LEDGE, "seat_depth": "30 mm"}, "seat_depth", "30 mm all but closes the bore of 60.7 mm diameter"),
        (
            {**LEDGE, "seat_station": "130 mm"},
            "seat_station",
            "a ledge from 130 mm, with its underside at 45 degrees, reaches to 136 mm, not wholly in the coupler of "
            "136 mm",
        ),
        (
            {**LEDGE, "screw_count": 3, "screw_distance": "75 mm"},
            "screw_distance",
            "the screws at 75 mm run into the ledge, 68 to 74 mm",
        ),
        ({"switch_band_length": "25 mm"}, "switch_band_diameter", "is needed for the switch band and not stated"),
        ({"switch_band_diameter": "68 mm"}, "switch_band_length", "is needed for the switch band and not stated"),
        (
            {**BAND, "switch_band_length": "136 mm"},
            "switch_band_length",
            "136 mm is not less than the coupler's length, 136 mm, so nothing enters the tubes",
        ),
        (
            {**BAND, "switch_band_diameter": "65.5 mm"},
            "switch_band_diameter",
            "65.5 mm is not larger than the coupler, 65.5 mm",
        ),
        (
            {**BAND, "vent_diameter": "4 mm", "vent_distance": "55 mm"},
            "vent_distance",
            "the vents at 55 mm lie on an edge of the switch band",
        ),
        (
            {**BAND, "screw_count": 3, "separates": "aft", "screw_distance": "54 mm"},
            "screw_distance",
            "screws of 3.4 mm at 54 mm are not wholly in the forward side, 0 to 55 mm from the forward end; the aft "
            "side separates, and screws in it would keep the parachute in",
        ),
        ({"vent_count": 0}, "vent_count", "must be at least 1, got 0"),
        ({"separates": "middle"}, "separates", "'middle' is not one of forward, aft"),
    ],
)
def test_what_cannot_be_is_refused_in_words(fields: dict[str, Any], field: str, message: str) -> None:
    with pytest.raises(DesignError) as refusal:
        Coupler.build(**{**COUPLER, **fields})
    assert [(one.field, one.message) for one in refusal.value.problems] == [(field, message)]
