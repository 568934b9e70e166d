"""Figures of a piece to print: sizes and masses against closed forms, lines against plain division, the table's words.

Bands of a print's mass (walls +-3 %, infill +-10 %), the usual nozzle of 0.4 mm and the tip of 2 mm: common practice.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from geometry_samples import bore_through, tube

from ferrule.analysis.print_notes import Core, PrintNotes, print_notes, printed_mass, wall_lines
from ferrule.parts.curve import Line
from ferrule.parts.errors import PartError
from ferrule.parts.infill import around, core
from ferrule.parts.kinds import CenteringRing
from ferrule.parts.machine import Printer
from ferrule.parts.poses import FLAT, STANDING
from ferrule.parts.print_defaults import print_defaults
from ferrule.parts.profiles import Profile
from ferrule.parts.readers.integrals import moments
from ferrule.parts.shape import Array, Cut, Edge, Fused, Meridian, Placed, Revolved, edges, moved
from ferrule.parts.tables import UnknownMaterialError, material, materials, softening

PRINTER = Printer("tall", 250.0, 210.0, 340.0, nozzle=0.4)
SLEEVE = tube(30.0, 28.4, 120.0)


def sleeve_notes(name: str = "sleeve", material: str | None = "petg", printer: Printer | None = PRINTER) -> PrintNotes:
    return print_notes(name, SLEEVE, STANDING.at(120.0), material, printer, {"body": 1.6})


def test_a_sleeve_on_end() -> None:
    found = sleeve_notes()
    assert (found.width, found.depth, found.height, found.is_round) == (60.0, 60.0, 120.0, True)
    assert found.volume == pytest.approx(math.pi * (30.0**2 - 28.4**2) * 120.0, rel=1e-12)
    assert found.room is not None
    assert (found.room.width, found.room.depth, found.room.height) == (190.0, 150.0, 220.0)
    assert found.room.fits
    assert found.overhangs.stretches == ()
    assert (found.refused, found.tip) == (None, "")


def test_holes_leave_the_size_alone_and_bosses_do_not() -> None:
    drilled = Cut(SLEEVE, (Array(bore_through(1.7, 60.0, 40.0), 3),))
    found = print_notes("drilled", drilled, STANDING.at(120.0))
    assert (found.width, found.height, found.is_round) == (60.0, 120.0, True)
    assert [(hole.count, hole.width) for hole in found.overhangs.holes] == [(3, 3.4)]
    bossed = print_notes("bossed", Fused((SLEEVE, bore_through(5.0, 60.0, 36.0, start=28.5))), STANDING.at(120.0))
    assert not bossed.is_round
    # At roll 0 the boss points along +y, to a flat end at 36 mm.
    assert (bossed.width, bossed.depth) == pytest.approx((60.0, 66.0), abs=0.05)


def test_a_shortened_piece_has_the_size_that_is_left() -> None:
    half = Cut(SLEEVE, (Placed(tube(40.0, 0.0, 60.0), moved(-1.0)),))
    found = print_notes("aft half", half, STANDING.at(120.0))
    assert (found.height, found.width) == pytest.approx((61.0, 60.0), abs=0.05)


def test_a_piece_on_its_side_has_a_box() -> None:
    found = print_notes("lying", SLEEVE, moved(0.0, 0.0, 30.0))
    assert not found.is_round
    assert (found.width, found.depth, found.height) == pytest.approx((120.0, 60.0, 60.0), abs=0.05)


def test_a_flat_plate() -> None:
    ring = CenteringRing.build(**CenteringRing.example)
    found = print_notes("ring", ring.shape(), ring.pose())
    assert ring.pose() == FLAT
    assert found.height == pytest.approx(ring.thickness)
    assert found.volume == pytest.approx(moments(ring.shape()).volume, rel=1e-12)


@pytest.mark.parametrize(
    ("printer", "fits", "short"),
    [
        (Printer("exact", 60.0, 60.0, 120.0), True, ()),
        (Printer("narrow", 59.0, 60.0, 120.0), False, ("width",)),
        (Printer("shallow", 60.0, 55.0, 120.0), False, ("depth",)),
        (Printer("low", 60.0, 60.0, 100.0), False, ("height",)),
        (Printer("small", 40.0, 40.0, 40.0), False, ("width", "depth", "height")),
    ],
    ids=lambda value: value.name if isinstance(value, Printer) else "",
)
def test_what_a_printer_has_to_spare(printer: Printer, fits: bool, short: tuple[str, ...]) -> None:
    room = sleeve_notes(printer=printer).room
    assert room is not None
    assert (room.printer, room.fits) == (printer.name, fits)
    assert tuple(side for side in ("width", "depth", "height") if getattr(room, side) < 0.0) == short
    assert room.height == printer.height - 120.0


def test_a_printer_that_is_not_stated() -> None:
    found = sleeve_notes(printer=None)
    assert found.room is None
    assert (found.walls[0].line, found.walls[0].whole) == (0.4, 4)
    assert "nozzle not stated" in found.walls[0].source
    assert "common practice" in found.walls[0].source


@pytest.mark.parametrize(
    ("thickness", "nozzle", "line_width", "whole", "between"),
    [
        (1.6, 0.4, None, 4, (4, 4)),
        (2.4, 0.4, None, 6, (6, 6)),
        (1.5, 0.4, None, None, (3, 4)),
        (2.4, 0.6, None, 4, (4, 4)),
        (1.6, 0.4, 0.45, None, (3, 4)),
        (1.8, None, 0.45, 4, (4, 4)),
        (0.3, 0.4, None, None, (0, 1)),
        (0.4, 0.4, None, 1, (1, 1)),
        (1.604, 0.4, None, 4, (4, 4)),
        (1.59, 0.4, None, None, (3, 4)),
    ],
)
def test_a_wall_in_lines(
    thickness: float, nozzle: float | None, line_width: float | None, whole: int | None, between: tuple[int, int]
) -> None:
    found = wall_lines("body", thickness, replace(PRINTER, nozzle=nozzle), line_width)
    assert (found.whole, found.between) == (whole, between)
    assert found.lines == pytest.approx(thickness / (line_width or nozzle or 0.4))
    assert found.source == ("as stated" if line_width else "nozzle of tall")


@pytest.mark.parametrize(("thickness", "line_width", "field"), [(0.0, None, "body"), (1.6, 0.0, "line_width")])
def test_a_wall_is_wider_than_nothing(thickness: float, line_width: float | None, field: str) -> None:
    with pytest.raises(PartError, match=f"^{field}: must be above 0 mm"):
        wall_lines("body", thickness, PRINTER, line_width)


def test_a_wall_as_modelled_weighs_volume_times_density() -> None:
    row = material("petg")
    found = printed_mass(50_000.0, "petg")
    assert found is not None
    assert found.amount == found.shell == pytest.approx(50_000.0 * row.density)
    assert found.low == pytest.approx(50_000.0 * row.low * 0.97)
    assert found.high == pytest.approx(50_000.0 * row.high * 1.03)
    assert found.infill == 0.0
    assert row.source in found.method
    assert "common practice" in found.method


def test_a_core_counts_by_its_infill() -> None:
    row = material("asa")
    found = printed_mass(100_000.0, "asa", None, Core(60_000.0, 0.15))
    assert found is not None
    assert found.shell == pytest.approx(40_000.0 * row.density)
    assert found.infill == pytest.approx(9_000.0 * row.density)
    assert found.amount == pytest.approx(found.shell + found.infill)
    assert found.low == pytest.approx(row.low * (40_000.0 * 0.97 + 9_000.0 * 0.9))
    assert found.high == pytest.approx(row.high * (40_000.0 * 1.03 + 9_000.0 * 1.1))
    assert "15 % of a core of 60 cm3" in found.method


def test_a_stated_density_has_no_band_of_its_own() -> None:
    found = printed_mass(10_000.0, "pla", 1.3e-3)
    assert found is not None
    assert (found.low, found.amount, found.high) == pytest.approx((12.61, 13.0, 13.39))
    assert "1300 kg/m3" in found.method


def test_a_solid_cone_as_printed() -> None:
    """Shell and core by their own closed forms: a cone less the smaller cone in it."""
    skin = Profile("cone", 80.0, 20.0).chain()
    rear = (Line((80.0, 20.0), (80.0, 0.0)),)
    inside = core(skin, 1.2, rear, 0.8)
    assert inside is not None
    solid = Meridian((*edges(skin), *edges(rear), Edge(Line((80.0, 0.0), (0.0, 0.0)))))
    height = 80.0 - 0.8 - 1.2 * math.hypot(80.0, 20.0) / 20.0
    whole, small = math.pi / 3.0 * 20.0**2 * 80.0, math.pi / 3.0 * (height / 4.0) ** 2 * height
    filled = Core(moments(Revolved(inside)).volume, 0.1)
    found = print_notes("cone", Revolved(solid), STANDING.at(80.0), "pla", core=filled, tip_radius=0.0).mass
    assert found is not None
    assert found.amount == pytest.approx(material("pla").density * (whole - 0.9 * small), rel=1e-9)
    assert found.shell == pytest.approx(material("pla").density * moments(around(solid, inside)).volume)


def test_neither_material_nor_density() -> None:
    found = sleeve_notes(material=None)
    assert found.mass is None
    assert found.cautions == ("material not stated: what it weighs and when it softens is not known",)


@pytest.mark.parametrize(
    ("volume", "share", "said"),
    [(11_000.0, 0.2, "larger than its piece"), (5_000.0, 1.2, "infill: 1.2 must be"), (-1.0, 0.2, "at least 0 mm3")],
)
def test_a_core_that_cannot_be(volume: float, share: float, said: str) -> None:
    with pytest.raises(PartError, match=said):
        printed_mass(10_000.0, "pla", None, Core(volume, share))


def test_an_unknown_material() -> None:
    with pytest.raises(UnknownMaterialError, match="no material 'cheese'"):
        sleeve_notes(material="cheese")


@pytest.mark.parametrize("name", sorted(softening()))
def test_what_softens_says_so(name: str) -> None:
    (caution,) = sleeve_notes(material=name).cautions
    assert f"softens near {softening()[name].temperature:g} °C" in caution
    assert ("do not leave it in one" in caution) is (name == "pla")


def test_every_plastic_of_the_table_has_a_caution() -> None:
    for row in materials().values():
        assert bool(sleeve_notes(material=row.name).cautions) is row.is_plastic


def test_a_refusal_is_kept_in_words() -> None:
    found = print_notes("can", SLEEVE, STANDING.at(120.0), "pla", refused="pla softens near 59 °C beside M")
    assert found.refused == "pla softens near 59 °C beside M"


@pytest.mark.parametrize(
    ("radius", "said"),
    [
        (0.0, "sharp: "),
        (1.0, "1 mm radius: .* sharper"),
        (2.0, r"2 mm radius: [^:]*$"),
        (7.5, r"7.5 mm radius: [^:]*$"),
        (math.inf, "flat: [^:]*$"),
    ],
)
def test_a_tip(radius: float, said: str) -> None:
    found = print_notes("nose", SLEEVE, STANDING.at(120.0), tip_radius=radius).tip
    assert "cleanly from about 2 mm radius (common practice)" in found
    assert re.match(said, found)


def test_every_row_of_the_table_says_where_it_comes_from() -> None:
    for row in print_defaults().values():
        assert row.reason
        assert row.mark in ("looked up", "derived", "common practice", "from memory")
        assert row.unit in ("mm", "share", "degrees")
        if row.low is not None and row.high is not None:
            assert row.low <= row.amount <= row.high
