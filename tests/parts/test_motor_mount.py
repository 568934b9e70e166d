"""Motor mounts against tube and annuli by hand (elementary geometry), and the rings that are cut for them."""

from __future__ import annotations

import math
from typing import Any

import pytest

from ferrule.parts.kinds import CenteringRing, MotorMount
from ferrule.parts.readers.brep import measure, solid
from ferrule.parts.readers.integrals import moments
from ferrule.parts.shape import Cut, Revolved
from ferrule.parts.tables import material

MOUNT: dict[str, Any] = {
    "tube_outside_diameter": "31 mm",
    "tube_inside_diameter": "29.2 mm",
    "tube_length": "150 mm",
    "ring_diameter": "65.7 mm",
    "ring_thickness": "6 mm",
}
HOLES: dict[str, Any] = {"hole_diameter": "5 mm", "hole_circle_diameter": "48 mm", "hole_rolls": ("0 deg", "90 deg")}
TUBE = math.pi * (15.5**2 - 14.6**2) * 150.0
RING = math.pi * (32.85**2 - 15.5**2) * 6.0
HOLE = math.pi * 2.5**2 * 6.0

POSITIONS: dict[str, tuple[float, ...]] = {
    "between": (10.0, 46.0, 142.7),
    "flush": (0.0, 144.0),
    "out of order": (100.0, 20.0),
    "face to face": (10.0, 16.0, 100.0),
    "all of it": tuple(6.0 * i for i in range(12)),
    "one": (0.0,),
}


def mount(*positions: float, **fields: Any) -> MotorMount:
    return MotorMount.build(**MOUNT, ring_positions=tuple(f"{one} mm" for one in positions), **fields)


@pytest.mark.parametrize("name", POSITIONS)
def test_tube_and_rings_weigh_what_they_weigh_by_hand(name: str) -> None:
    positions = POSITIONS[name]
    part = mount(*positions)
    assert isinstance(part.shape(), Revolved)
    found = moments(part.shape())
    volume = TUBE + len(positions) * RING
    assert found.volume == pytest.approx(volume, rel=1e-12)
    first = TUBE * 75.0 + RING * sum(one + 3.0 for one in positions)
    assert found.centroid[0] == pytest.approx(first / volume, rel=1e-12)
    kernel = measure(solid(part.shape()))
    assert kernel.valid
    assert kernel.bodies == 1


def test_each_body_has_its_own_density() -> None:
    """The tube by its material, the rings by theirs; a stated density goes before the table's."""
    part = mount(10.0, 100.0, material="kraft-tube", ring_material="birch-plywood")
    kraft, birch = material("kraft-tube").density, material("birch-plywood").density
    assert [body.density for body in part.bodies()] == [kraft, birch, birch]
    assert [moments(body.shape).volume for body in part.bodies()] == pytest.approx([TUBE, RING, RING], rel=1e-12)
    stated = mount(10.0, density="900 kg/m3", ring_material="birch-plywood", ring_density="600 kg/m3")
    assert [body.density for body in stated.bodies()] == pytest.approx([9e-4, 6e-4], rel=1e-12)
    assert [body.density for body in mount(10.0).bodies()] == [None, None]


def test_each_ring_field_changes_the_fingerprint() -> None:
    parts = [
        mount(10.0),
        mount(10.0, ring_material="birch-plywood"),
        mount(10.0, ring_density="700 kg/m3"),
        mount(10.0, ring_inside_diameter="31.4 mm"),
        mount(11.0),
    ]
    assert len({part.fingerprint() for part in parts}) == len(parts)


@pytest.mark.parametrize(
    ("name", "drilled"),
    [("between", 1), ("flush", 1), ("out of order", 1), ("face to face", 2), ("all of it", 12), ("one", 1)],
)
def test_anchor_holes_go_through_the_foremost_ring_and_what_is_glued_to_it(name: str, drilled: int) -> None:
    positions = POSITIONS[name]
    part = mount(*positions, **HOLES)
    assert isinstance(part.shape(), Cut)
    volume = TUBE + len(positions) * RING - 2 * drilled * HOLE
    assert moments(part.shape()).volume == pytest.approx(volume, rel=1e-7)
    assert sum(moments(body.shape).volume for body in part.bodies()) == pytest.approx(volume, rel=1e-12)
    kernel = measure(solid(part.shape()))
    assert kernel.valid
    assert kernel.moments.volume == pytest.approx(volume, rel=1e-7)
    pieces = {piece.word: piece.count for piece in part.cut_pieces()}
    plain = len(positions) - drilled
    assert pieces == {"anchor ring": drilled, **({"ring": plain} if plain else {})}


def test_a_ring_close_behind_is_not_scratched() -> None:
    """0.1 mm behind the foremost ring, where a hole's tool must not reach into the next."""
    part = mount(10.0, 16.1, **HOLES)
    assert moments(part.shape()).volume == pytest.approx(TUBE + 2 * RING - 2 * HOLE, rel=1e-7)


def test_the_pieces_to_cut_are_centering_rings_that_go_over_the_tube() -> None:
    """0.2 mm over the tube's outside, common practice; else what is stated."""
    ring: dict[str, Any] = {"outside_diameter": "65.7 mm", "inside_diameter": "31.2 mm", "thickness": "6 mm"}
    anchor, plain = mount(10.0, 46.0, 142.0, **HOLES).cut_pieces()
    assert (anchor.count, plain.count) == (1, 2)
    for piece, fields in ((anchor, {**ring, **HOLES}), (plain, ring)):
        alone = CenteringRing.build(**fields)
        assert piece.outline == alone.template()
        assert piece.marks == alone.marks()
        assert piece.thickness == 6.0
    (wide,) = mount(10.0, ring_inside_diameter="31.5 mm").cut_pieces()
    assert wide.outline == CenteringRing.build(**{**ring, "inside_diameter": "31.5 mm"}).template()
    assert moments(mount(10.0, ring_inside_diameter="31.5 mm").shape()).volume == pytest.approx(TUBE + RING, rel=1e-12)
