"""Hardware as solids: by the exact integral, the kernel, closed forms and published masses.

Closed forms: a torus by Pappus; a hexagon of width s across its flats has the area s^2 sqrt(3)/2; a slice of a
ball of height h between circles of radius a and b holds pi h (3 a^2 + 3 b^2 + h^2) / 6. Published masses are kg a
thousand, from memory; density 7.85 g/cm3 throughout.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from ferrule.parts.errors import PartError
from ferrule.parts.hardware import (
    ButtonScrew,
    ClearanceHole,
    Eyebolt,
    Hardware,
    HexNut,
    OfLength,
    ThreadedRod,
    UBolt,
    every,
    hardware,
    sized,
)
from ferrule.parts.hardware_shapes import hardware_shape
from ferrule.parts.readers.brep import measure, solid
from ferrule.parts.readers.integrals import box, moments
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.tables import material

STEEL = material("steel").density


def pieces() -> list[Hardware]:
    found: list[Hardware] = []
    for row in every(Hardware):
        if isinstance(row, OfLength):
            length = "20" if row.size.startswith("M") else "3/4 in"
            found.append(hardware(f"{row.size}x{length} {row.word}"))
        elif not isinstance(row, ClearanceHole):
            found.append(row)
    return found


def mass(name: str) -> float:
    return moments(hardware_shape(hardware(name))).volume * STEEL


@pytest.mark.parametrize("item", pieces(), ids=lambda item: item.name)
def test_integral_kernel_and_mesh_agree(item: Hardware) -> None:
    shape = hardware_shape(item)
    exact, found, faceted = moments(shape), measure(solid(shape)), mesh(shape)
    assert found.valid
    assert found.bodies == 1
    # What two solids share is measured on a mesh that is held to 1e-5 of the shared part.
    assert found.moments.volume == pytest.approx(exact.volume, rel=max(1e-10, exact.error))
    assert faceted.faults() == ()
    assert faceted.moments().volume == pytest.approx(exact.volume, rel=5e-5)
    low, high = box(shape)
    assert np.allclose(found.low, low, rtol=0.0, atol=1e-6)
    assert np.allclose(found.high, high, rtol=0.0, atol=1e-6)


@pytest.mark.parametrize(
    ("name", "kilograms"),
    [
        ("M3 washer", 0.12),
        ("M4 washer", 0.308),
        ("M5 washer", 0.443),
        ("M6 washer", 1.02),
        ("M8 washer", 1.83),
        ("M10 washer", 3.57),
        ("M12 washer", 6.27),
    ],
)
def test_washers_weigh_what_iso_7089_says(name: str, kilograms: float) -> None:
    # Printed to three figures.
    assert mass(name) == pytest.approx(kilograms, rel=5e-3)


@pytest.mark.parametrize(
    ("size", "height", "kilograms"),
    [("M3", 2.4, 0.384), ("M4", 3.2, 0.81), ("M5", 4.0, 1.23), ("M6", 5.0, 2.5), ("M8", 6.5, 5.2)],
)
def test_nuts_weigh_what_din_934_says(size: str, height: float, kilograms: float) -> None:
    """DIN 934 has the widths of ISO 4032 to M8 and heights of its own."""
    row = sized(HexNut, size)
    nut = HexNut.model_validate({**row.model_dump(), "height": f"{height} mm"})
    found = moments(hardware_shape(nut)).volume * STEEL
    # The chamfers at the corners, which the shape does not have, are 1 to 4 % of a nut.
    assert 0.0 <= found / kilograms - 1.0 < 0.04


@pytest.mark.parametrize(
    ("size", "grams"),
    [("M3", 44.0), ("M4", 78.0), ("M5", 124.0), ("M6", 177.0), ("M8", 319.0), ("M10", 500.0), ("M12", 725.0)],
)
def test_threaded_rods_weigh_what_din_975_says(size: str, grams: float) -> None:
    """A metre of rod: so the pitch diameter is the one that weighs the same."""
    assert mass(f"{size}x1000 threaded rod") == pytest.approx(grams, rel=1e-2)


@pytest.mark.parametrize(
    ("name", "kilograms"),
    [("M3x10 cap screw", 0.88), ("M4x10 cap screw", 1.8), ("M6x20 cap screw", 6.53), ("M8x20 cap screw", 13.4)],
)
def test_cap_screws_weigh_what_iso_4762_says(name: str, kilograms: float) -> None:
    # Heads are made under their largest size, and have a chamfer.
    assert 0.0 <= mass(name) / kilograms - 1.0 < 0.08


def test_eyebolts_weigh_about_what_din_580_says() -> None:
    """Forged eyes are fuller than a plain ring on a collar: where the published mass stands, it is the one to use."""
    for row in every(Eyebolt):
        found = moments(hardware_shape(row)).volume * STEEL
        if row.mass is not None:
            assert -0.25 < found / row.mass - 1.0 < 0.02, row.name
        else:
            # M5 12 to 20 g, from memory.
            assert found == pytest.approx(16.0, abs=5.0)


def test_a_nut_is_a_hexagon_less_its_bore() -> None:
    row = sized(HexNut, "M5")
    bore = math.pi / 4.0 * (5.0 - 0.649519 * 0.8) ** 2
    expected = (8.0**2 * math.sqrt(3.0) / 2.0 - bore) * 4.7
    assert moments(hardware_shape(row)).volume == pytest.approx(expected, rel=1e-12)
    low, high = box(hardware_shape(row))
    assert (high - low)[0] == pytest.approx(4.7)
    assert (high - low)[1] == pytest.approx(8.0)
    assert (high - low)[2] == pytest.approx(16.0 / math.sqrt(3.0))


def test_a_cap_screw_is_a_head_less_its_socket_and_a_shank() -> None:
    row = hardware("M6x25 cap screw")
    head, socket = math.pi * 25.0 * 6.0, 25.0 * math.sqrt(3.0) / 2.0 * 3.0
    shank = math.pi / 4.0 * sized(ThreadedRod, "M6").pitch_diameter ** 2 * 25.0
    found = moments(hardware_shape(row))
    # The socket is measured on a mesh of it.
    assert found.volume == pytest.approx(head - socket + shank, rel=1e-7)
    centre = (-3.0 * head + 4.5 * socket + 12.5 * shank) / (head - socket + shank)
    assert found.centroid == pytest.approx((centre, 0.0, 0.0), abs=1e-6)


def test_a_button_screw_has_a_round_head_with_a_flat_round_its_socket() -> None:
    row = sized(ButtonScrew, "M5")
    rim, height, flat = row.head_diameter / 2.0, row.head_height, 0.65 * 3.0
    head = math.pi * height * (3.0 * rim**2 + 3.0 * flat**2 + height**2) / 6.0
    shank = math.pi / 4.0 * sized(ThreadedRod, "M5").pitch_diameter ** 2 * 12.0
    socket = 9.0 * math.sqrt(3.0) / 2.0 * row.socket_depth
    shape = hardware_shape(hardware("M5x12 button screw"))
    # The socket is measured on a mesh of it.
    assert moments(shape).volume == pytest.approx(head + shank - socket, rel=1e-6)
    low, high = box(shape)
    assert (low[0], high[0]) == pytest.approx((-2.75, 12.0), abs=1e-12)


@pytest.mark.parametrize("row", every(UBolt), ids=lambda row: row.name)
def test_a_u_bolt_is_a_bent_bar_by_pappus(row: UBolt) -> None:
    """Half a torus, pi R A, its centroid 2 (R^2 + a^2/4) / (pi R) from its axis for a bar of radius a, and two legs."""
    radius, bar = row.hole_spacing / 2.0, row.rod_diameter / 2.0
    area = math.pi * bar**2
    bend, legs = math.pi * radius * area, 2.0 * row.leg_length * area
    found = moments(hardware_shape(row))
    assert found.volume == pytest.approx(bend + legs, rel=1e-5)
    kernel = measure(solid(hardware_shape(row))).moments
    assert kernel.volume == pytest.approx(bend + legs, rel=1e-9)
    away = 2.0 * (radius**2 + bar**2 / 4.0) / (math.pi * radius)
    centre = (legs * row.leg_length / 2.0 - bend * away) / (bend + legs)
    assert kernel.centroid == pytest.approx((centre, 0.0, 0.0), abs=1e-6)
    assert found.centroid == pytest.approx((centre, 0.0, 0.0), abs=1e-3)


@pytest.mark.parametrize("row", every(Eyebolt), ids=lambda row: row.name)
def test_an_eye_stands_on_its_collar_and_lets_a_link_through(row: Eyebolt) -> None:
    low, high = box(hardware_shape(row))
    across = row.eye_inside + 2.0 * row.rod_diameter
    assert low == pytest.approx((-across, -across / 2.0, -max(row.rod_diameter, row.collar_diameter) / 2.0), abs=1e-9)
    assert high[0] == row.shank_length
    ring = 2.0 * math.pi**2 * (row.eye_inside + row.rod_diameter) / 2.0 * (row.rod_diameter / 2.0) ** 2
    collar = math.pi / 4.0 * row.collar_diameter**2 * row.collar_height
    shank = math.pi / 4.0 * sized(ThreadedRod, row.size).pitch_diameter ** 2 * row.shank_length
    found = moments(hardware_shape(row)).volume
    # What ring and collar share counts once, and is at most the collar.
    assert ring + shank < found < ring + shank + collar


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("M5 clearance hole", "M5 clearance hole: is no solid"),
        (
            "M4 cap screw",
            "length: is needed for the shape of M4 cap screw and not stated; write `M4x20 cap screw`",
        ),
        (
            "#2-56 screw",
            "length: is needed for the shape of #2-56 screw and not stated; write `#2-56x3/4 in screw`",
        ),
    ],
)
def test_what_has_no_solid_says_why(name: str, message: str) -> None:
    with pytest.raises(PartError) as refusal:
        hardware_shape(hardware(name))
    assert str(refusal.value) == message


def test_the_screw_of_the_unified_table_is_its_shank_alone() -> None:
    low, high = box(hardware_shape(hardware("#2-56x1/2 in screw")))
    # 0.0744 in, the pitch diameter of ASME B1.1 (from memory), to four places.
    assert high - low == pytest.approx((12.7, 0.0744 * 25.4, 0.0744 * 25.4), abs=2e-3)
