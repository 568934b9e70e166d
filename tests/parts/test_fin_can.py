"""Fin cans: volumes by hand (elementary geometry), the kernel and the mesh, and pieces that are the whole.

What every kind must do is held by the contract test; here is what is special to a fin can.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np
import pytest

from ferrule.analysis.overhangs import overhangs
from ferrule.parts.compensate import compensated
from ferrule.parts.errors import DesignError
from ferrule.parts.fit import FitChoice, MeasuredTube, Surroundings
from ferrule.parts.kinds import Fillet, FinCan
from ferrule.parts.machine import Printer
from ferrule.parts.readers.brep import measure, section_area, solid
from ferrule.parts.readers.integrals import area, moments
from ferrule.parts.readers.mesh import mesh

BARE: dict[str, Any] = {
    **FinCan.example,
    "screw_count": 0,
    "root_fillet_radius": "0 mm",
}
"""Sleeve and fins alone."""

BORE, OUTSIDE, LENGTH, TAPER, RIM = 33.4, 35.8, 120.0, 7.2, 34.2
"""Radii, length, taper and the radius of its forward end, of the example [mm]."""


def can(**fields: Any) -> FinCan:
    return FinCan.build(**{**FinCan.example, **fields})


def beside(radius: float, aside: float) -> float:
    """Area of a circle within a distance to both sides of a diameter, on one side of the centre [mm2]."""
    return aside * math.sqrt(radius**2 - aside**2) + radius**2 * math.asin(aside / radius)


def sleeve_by_hand() -> float:
    """A cone and a cylinder less the bore [mm3]."""
    cone = math.pi * TAPER * (RIM**2 + RIM * OUTSIDE + OUTSIDE**2) / 3.0
    return cone + math.pi * OUTSIDE**2 * (LENGTH - TAPER) - math.pi * BORE**2 * LENGTH


def fins_by_hand(count: int, thickness: float) -> float:
    """Trapezoids on a flat that touches the sleeve, and what lies between that and the round [mm3]."""
    fin = (90.0 + 45.0) / 2.0 * 60.0 * thickness
    return count * (fin + 90.0 * (thickness * OUTSIDE - beside(OUTSIDE, thickness / 2.0)))


def gaps_by_hand(count: int, gap: float, length: float) -> float:
    """What cuts of a gap's width between sectors take away from the sleeve [mm3].

    In the taper the outer radius falls evenly, and the area beside a diameter is all but straight in the radius.
    """
    straight = beside(OUTSIDE, gap / 2.0) - beside(BORE, gap / 2.0)
    forward = beside(RIM, gap / 2.0) - beside(BORE, gap / 2.0)
    return count * (straight * (length - TAPER) + (straight + forward) / 2.0 * TAPER)


@pytest.mark.parametrize(("count", "thickness"), [(3, 4.0), (8, 6.5)])
def test_sleeve_and_fins_have_the_volume_of_elementary_geometry(count: int, thickness: float) -> None:
    found = FinCan.build(**{**BARE, "fin_count": count, "thickness": f"{thickness} mm"})
    by_hand = sleeve_by_hand() + fins_by_hand(count, thickness)
    # Sunk roots are shared with the sleeve, and what is shared is measured on a fine mesh; the kernel is exact.
    assert moments(found.shape()).volume == pytest.approx(by_hand, rel=1e-6)
    assert measure(solid(found.shape())).moments.volume == pytest.approx(by_hand, rel=1e-12)


def test_fillets_are_those_of_glue_but_for_their_feather_edges() -> None:
    """A glue fillet touches fin and tube; here its edges end where they are 0.02 mm thick, as no printer lays less."""
    bare, filled = FinCan.build(**BARE), FinCan.build(**{**BARE, "root_fillet_radius": "5 mm"})
    more = moments(filled.shape()).volume - moments(bare.shape()).volume
    # They run where the fin is as wide as they are high: 5 mm up it less the round of the sleeve.
    height = math.sqrt(40.8**2 - 7.0**2) - OUTSIDE
    length = 90.0 - 45.0 / 60.0 * height
    glue = Fillet.build(
        radius="5 mm", length=f"{length!r} mm", fin_thickness="4 mm", surface_diameter=f"{2.0 * OUTSIDE} mm"
    )
    assert 0.99 < more / (3.0 * moments(glue.shape()).volume) < 1.004
    # Nothing of a fillet stands ahead of its fin: on a leading edge swept by 45 mm over 60 mm.
    fillets = filled.fillets()
    assert fillets is not None
    assert fillets.placement.move[0] >= 30.0 + 45.0 / 60.0 * filled.root().height


VARIANTS: dict[str, dict[str, Any]] = {
    "edges": {"leading_edge": "round", "trailing_edge": "bevel 12 mm, land 1 mm", "tip_edge": "round", "fin_count": 4},
    "aerofoil": {"section": "naca-four-digit", "thickness": "8 mm", "cant": "-4 deg", "sweep_length": "80 mm"},
    "triangle": {"tip_chord": "0 mm", "sweep_length": "90 mm", "screw_count": 0, "cant": "5 deg"},
    "square step": {"forward_taper": "0 mm", "sweep_length": "-10 mm", "fin_position": "20 mm", "screw_count": 0},
    "eight": {"fin_count": 8, "root_fillet_radius": "3 mm", "wall": "1.2 mm", "thickness": "2 mm"},
}


@pytest.mark.parametrize("name", VARIANTS)
def test_kernel_mesh_and_integrals_agree_on(name: str) -> None:
    shape = can(**VARIANTS[name]).shape()
    exact, found, facets = moments(shape), measure(solid(shape)), mesh(shape)
    assert found.valid
    assert found.bodies == 1
    assert found.moments.volume == pytest.approx(exact.volume, rel=1e-6)
    assert np.allclose(found.moments.centroid, exact.centroid, rtol=0.0, atol=1e-4)
    assert facets.faults() == ()
    assert found.low[0] == pytest.approx(0.0, abs=1e-6)
    assert found.high[0] == pytest.approx(can(**VARIANTS[name]).extent()[1], abs=1e-6)


def test_the_rail_line_is_mid_way_between_two_fins() -> None:
    """Conventions of the frame: fin 1 is the first past roll 0, which lies mid-way between two."""
    for count in (3, 4, 5):
        rolls = can(fin_count=count).fin_rolls()
        assert rolls[0] == pytest.approx(math.pi / count, rel=1e-12)
        assert rolls[-1] - math.tau == pytest.approx(-rolls[0], rel=1e-12)
        vertices = mesh(can(fin_count=count).shape()).vertices
        beyond = vertices[np.hypot(vertices[:, 1], vertices[:, 2]) > OUTSIDE + 30.0]
        apart = np.arctan2(-beyond[:, 2], beyond[:, 1])
        assert np.abs(apart).min() == pytest.approx(math.pi / count, abs=0.04)


def test_cant_turns_the_leading_edge_towards_greater_roll() -> None:
    """The turn that a fin set states, found again in the mesh of the part."""
    part = FinCan.build(**{**BARE, "cant": "3 deg"})
    assert part.fin_set().cant == pytest.approx(math.radians(3.0), rel=1e-12)
    vertices = mesh(part.shape()).vertices
    # Seen along the radius of fin 1, which is at a roll of 60 degrees.
    out, aside = (
        vertices[:, 1] * math.cos(math.pi / 3.0) - vertices[:, 2] * math.sin(math.pi / 3.0),
        -vertices[:, 1] * math.sin(math.pi / 3.0) - vertices[:, 2] * math.cos(math.pi / 3.0),
    )
    tip = out > OUTSIDE + 59.0
    front, rear = vertices[tip, 0].min(), vertices[tip, 0].max()
    ends = [aside[tip & (np.abs(vertices[:, 0] - x) < 1.0)].mean() for x in (front, rear)]
    assert (ends[0] - ends[1]) / (rear - front) == pytest.approx(math.tan(math.radians(3.0)), rel=0.02)


def test_the_fin_set_is_what_stands_outside_the_sleeve() -> None:
    part = can()
    found = part.fin_set()
    assert (found.count, found.thickness, found.radius) == (3, 4.0, pytest.approx(OUTSIDE))
    assert found.position == pytest.approx(30.0)
    assert found.semi_span == pytest.approx(60.0)
    assert found.root_chord == pytest.approx(90.0)
    assert found.planform.box() == pytest.approx((0.0, 0.0, 90.0, 60.0))


def test_the_skin_is_the_outside_of_the_sleeve_with_its_taper() -> None:
    part = can()
    cone = math.pi * (RIM + OUTSIDE) * math.hypot(TAPER, OUTSIDE - RIM)
    assert area(part.sleeve().meridian, "wetted") == pytest.approx(
        cone + math.tau * OUTSIDE * (LENGTH - TAPER), rel=1e-12
    )
    assert part.skin() == part.sleeve().meridian.role("wetted")
    assert len(can(forward_taper="0 mm").skin()) == 1


def test_the_bore_is_a_sliding_fit_over_the_tube_as_measured() -> None:
    """Sliding fits of prints on diameter: 0.4 mm, PLA 0.3 mm (common practice)."""
    tube = MeasuredTube("airframe", (66.1, 66.3), (63.0,))
    found = FinCan.derived(frozenset(), Surroundings(tube))["bore_diameter"]
    assert found.value == pytest.approx(66.3 + 0.4)
    assert "66.30 + 0.40 (slip fit, printed" in found.sum
    choice = FitChoice(process="printed", material="pla")
    assert FinCan.derived(frozenset(), Surroundings(tube, choice=choice))["bore_diameter"].value == pytest.approx(66.6)
    glued = FinCan.derived(frozenset(), Surroundings(tube, choice=FitChoice(fit="glued")))
    assert glued["bore_diameter"].value == pytest.approx(66.54)
    assert FinCan.derived(frozenset({"bore_diameter"}), Surroundings(tube)) == {}


def test_a_printer_s_errors_move_the_bore_and_nothing_else_of_the_sleeve() -> None:
    printer = Printer("tall", 250, 250, 340, outside=0.1, hole=0.15)
    nominal, moved = (mesh(shape).vertices for shape in (can().shape(), compensated(can().shape(), printer, "petg")))
    for vertices, bore in ((nominal, BORE), (moved, BORE + 0.15)):
        radii = np.hypot(vertices[:, 1], vertices[:, 2])
        # Facets have their middles on the bore: the nearest vertex lies outside it by the sagitta.
        assert radii.min() == pytest.approx(bore, abs=0.01)
        assert radii[vertices[:, 0] == 0.0].max() == pytest.approx(RIM, abs=0.01)


# --- pieces -----------------------------------------------------------------------------------------------------------


@cache
def kernel_volume(part: FinCan, piece: int | None = None) -> float:
    shape = part.shape() if piece is None else part.printed_pieces()[piece].shape
    found = measure(solid(shape))
    assert found.valid
    assert found.bodies == 1
    return found.moments.volume


@pytest.mark.parametrize(("fins", "sectors"), [(4, 2), (5, 3), (3, 2)])
def test_the_sectors_and_their_gaps_are_the_whole(fins: int, sectors: int) -> None:
    part = can(fin_count=fins, sectors=sectors, screw_roll="60 deg" if fins == 5 else None)
    pieces = part.printed_pieces()
    assert [piece.word for piece in pieces] == [f"{number + 1} of {sectors}" for number in range(sectors)]
    whole, gaps = kernel_volume(part), gaps_by_hand(sectors, 0.1, LENGTH)
    assert sum(kernel_volume(part, k) for k in range(sectors)) + gaps == pytest.approx(whole, rel=1e-9)
    by_integrals = [moments(piece.shape).volume for piece in pieces]
    assert sum(by_integrals) + gaps == pytest.approx(moments(part.shape()).volume, rel=2e-6)
    assert by_integrals == pytest.approx([kernel_volume(part, k) for k in range(sectors)], rel=2e-6)
    assert len({len(sector.fins) for sector in part.sectors_round()}) <= 2, "as even as the fins allow"


def test_sections_by_height_and_sectors_together_are_the_whole_less_their_gaps() -> None:
    part = can(sectors=3, section_height="70 mm", sector_gap="0.2 mm")
    pieces = part.printed_pieces()
    assert len(pieces) == 6
    (cut,) = part.cuts_across()
    assert cut == pytest.approx(60.0)
    across = 0.2 * section_area(solid(part.shape()), cut)
    both = 3.0 * 0.2 * (beside(OUTSIDE, 0.1) - beside(BORE, 0.1))
    gaps = gaps_by_hand(3, 0.2, LENGTH) + across - both
    assert sum(kernel_volume(part, k) for k in range(6)) + gaps == pytest.approx(kernel_volume(part), rel=1e-8)


@pytest.mark.parametrize("fields", [{"sectors": 3}, {"sectors": 2, "section_height": "70 mm"}, {"sectors": 1}])
def test_every_piece_is_sound_and_stands_on_the_bed(fields: dict[str, Any]) -> None:
    part = can(**fields)
    for piece in part.printed_pieces():
        found = mesh(piece.shape).placed(piece.pose)
        assert found.faults() == ()
        high = float(np.ptp(found.vertices[:, 2]))
        assert found.vertices[:, 2].min() == pytest.approx(0.0, abs=1e-6)
        assert high <= (part.section_height or LENGTH)


def test_the_bed_tells_how_many_sectors_there_must_be() -> None:
    """The least that goes on the bed is found again in the meshes of the pieces."""
    for bed in (250.0, 160.0, 90.0):
        count = can().sectors_for(bed, bed)
        assert count is not None
        for sectors in (count, count - 1):
            if sectors < 1:
                continue
            sizes = [
                np.ptp(mesh(one.shape).placed(one.pose).vertices, axis=0)[:2]
                for one in can(sectors=sectors).printed_pieces()
            ]
            assert (max(float(size.max()) for size in sizes) <= bed) == (sectors == count)
    assert can().sectors_for(60.0, 60.0) is None


@pytest.mark.parametrize(
    ("fields", "end", "carries"),
    [
        ({}, "aft", True),  # trailing edges on the bed
        ({"sweep_length": "70 mm"}, "forward", True),  # leading edges swept by more than 45 degrees
        ({"sweep_length": "70 mm", "tip_chord": "20 mm"}, "aft", True),  # both; the bed is the better one
        ({"sweep_length": "10 mm", "tip_chord": "60 mm"}, "aft", False),
        ({"sweep_length": "-20 mm", "tip_chord": "40 mm"}, "aft", True),  # trailing edges swept forward
    ],
)
def test_it_stands_on_the_end_on_which_no_fin_hangs_in_the_air(fields: dict[str, Any], end: str, carries: bool) -> None:
    """Held against the facets of the print that look down by more than 45 degrees (common practice)."""
    part = FinCan.build(**{**BARE, **fields})
    assert (part.stands_on, part.carries_itself) == (end, carries)
    assert (overhangs(part.shape(), part.pose()).stretches == ()) == carries
    lowest = float(mesh(part.shape()).placed(part.pose()).vertices[:, 2].min())
    assert lowest == pytest.approx(0.0, abs=1e-6)


# --- what cannot be ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"forward_taper": "120 mm"}, r"forward_taper: 120 mm is not less than the sleeve's length, 120 mm"),
        ({"rim": "2.4 mm"}, r"rim: 2.4 mm is not less than the wall, 2.4 mm"),
        (
            {"root_chord": "115 mm"},
            r"root_chord: a root of 115 mm does not lie on the sleeve, .* 112.8 mm are straight",
        ),
        ({"fin_position": "35 mm"}, r"fin_position: .* 35 mm on .*; from 7.2 to 30 mm it does"),
        ({"fin_position": "5 mm"}, r"fin_position: .* 5 mm on does not lie on the straight of the sleeve, 7.2 to 120"),
        ({"fin_count": 8, "thickness": "30 mm"}, r"fin_count: 8 fins of 30 mm meet at the root on .* 71.6 mm diameter"),
        ({"thickness": "17 mm"}, r"thickness: the side of a root, 8.5 mm .* at most [78]\.\d+ mm does"),
        (
            {"root_fillet_radius": "40 mm", "fin_count": 6},
            r"root_fillet_radius: fillets of 40 mm meet .* most 30\.\d+ mm",
        ),
        ({"root_fillet_radius": "20 mm", "semi_span": "10 mm"}, r"root_fillet_radius: a fillet of 20 mm reaches"),
        ({"root_fillet_radius": "0.1 mm"}, r"root_fillet_radius: 0.1 mm is no fillet"),
        ({"root_fillet_radius": "4 mm", "cant": "1 deg"}, r"root_fillet_radius: .* leave cant out"),
        (
            {"root_fillet_radius": "4 mm", "section": "naca-four-digit", "thickness": "8 mm"},
            r"root_fillet_radius: .* leave section out",
        ),
        (
            {"section": "naca-four-digit", "thickness": "8 mm", "tip_edge": "round"},
            r"tip_edge: the edges of an aerofoil are its own",
        ),
        ({"leading_edge": "round 3 mm"}, r"leading_edge: a round of 3 mm is more than half the thickness of 4 mm"),
        ({"screw_distance": "9 mm"}, r"screw_distance: holes of 3.4 mm at 9 mm lie in the taper, .* at least 9.9 mm"),
        ({"screw_distance": "60 mm"}, r"screw_roll: a screw at a roll of 60 deg, .* runs into fin 1 at 60 deg"),
        ({"length": "100 mm"}, r"screw_distance: is needed and not stated; .* 2.8 mm, and a hole of 3.4 mm needs 5.4"),
        ({"sectors": 4}, r"sectors: 4 is more than the 3 fins"),
        ({"sectors": 3, "screw_roll": "0 deg"}, r"screw_roll: a screw at a roll of 0 deg lies on the cut .* at 0 deg"),
        ({"section_height": "30 mm"}, r"section_height: 30 mm cuts it at 30 mm, .* which lie from 30 to 120 mm"),
        (
            {"section_height": "70 mm", "screw_distance": "60 mm", "screw_roll": "0 deg"},
            r"screw_distance: the holes at 60 mm lie on the cut across at 60 mm, by the section_height of 70 mm",
        ),
        ({"cant": "6 deg"}, r"cant: .*5"),
        ({"fin_count": 2}, r"fin_count: .*3"),
    ],
)
def test_what_cannot_be_is_refused_by_the_field_that_says_so(fields: dict[str, Any], message: str) -> None:
    with pytest.raises(DesignError, match=message):
        can(**fields)


def test_screws_stand_beside_the_roots_where_there_is_room() -> None:
    part = can(screw_distance="60 mm", screw_roll="0 deg")
    assert part.screw_rolls() == pytest.approx((0.0, math.tau / 3.0, 2.0 * math.tau / 3.0))
    plain = can(screw_count=0)
    drilled = moments(plain.shape()).volume - moments(part.shape()).volume
    # Three cylinders of the wall, on the mean of its chords: within 1 in 1000 for a hole so small.
    assert drilled == pytest.approx(3.0 * math.pi * 1.7**2 * 2.4, rel=2e-3)
