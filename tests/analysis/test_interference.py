"""What occupies the same place is found and measured, and nothing else is: overlaps by hand, and against meshes.

Overlaps are what the sizes say by subtraction. The meshes and their booleans are the independent reader for turned
solids: there an overlap is measured from the vertices of the shared material alone.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rocket_samples import bulkhead_part, coupler_part, fin_part, nose_part, ring_part, tube_part, two_sections

import ferrule
from ferrule.analysis import interference
from ferrule.analysis.bands import bands
from ferrule.analysis.circumstances import Circumstances
from ferrule.analysis.envelopes import Envelope, nuts
from ferrule.analysis.interference import LEAST, interference_checks, overlap
from ferrule.analysis.limits import Check
from ferrule.analysis.motor import Motor
from ferrule.analysis.rocket import Item, Rocket
from ferrule.app.design_file import load
from ferrule.parts.fit import MeasuredTube, Surroundings
from ferrule.parts.kinds import Fillet, MotorMount, Part, RailButton, Transition
from ferrule.parts.readers.mesh import mesh, shared_pieces
from ferrule.parts.shape import Meridian, Outline, Placed, Plate, Revolved, Shape, moved, polygon

HERE = Path(str(ferrule.__file__)).parent
MOTOR = Motor("M-40", 38.0, 140.0, 400.0, 200.0, 1000.0)


def run(*items: Item, around: Circumstances = Circumstances(), fittings: tuple[Envelope, ...] = ()) -> list[Check]:
    return list(interference_checks(Rocket("sample", items), replace(around, envelopes=fittings)))


def only(*items: Item, **more: Any) -> Check:
    found = run(*items, **more)
    assert len(found) == 1, [check.name for check in found]
    assert found[0].status == "fail"
    return found[0]


TUBE = Item("tube", (200.0,), tube_part())
RING = Item("ring", (850.0,), ring_part())
MOTOR_TUBE = tube_part(outside_diameter="42 mm", inside_diameter="40 mm", length="150 mm", use="motor")


def test_a_sound_rocket_raises_nothing() -> None:
    assert list(interference_checks(two_sections(), Circumstances(motors=(MOTOR,)))) == []


@pytest.mark.parametrize("design", ["examples/marram/marram.toml", "app/data/starter.toml"])
def test_the_designs_that_come_with_it_raise_nothing(design: str) -> None:
    found = load(HERE / design)
    around = Circumstances(
        fits=found.fits,
        tubes=found.tubes,
        motors=found.motors,
        motor_tubes=found.motor_tubes,
        recovery=found.recovery,
    )
    assert list(interference_checks(found.rocket, around)) == []
    # The same design with the after ring moved into the tab is not sound, so the silence above is not blindness.
    items = tuple(
        replace(item, stations=(item.stations[0], item.stations[1] - 2.0)) if item.name == "fin ring" else item
        for item in found.rocket.items
    )
    names = [check.name for check in interference_checks(Rocket("moved", items), around)]
    assert len(names) == 1
    assert names[0].startswith("fin at ")
    assert "and fin ring at " in names[0]


def test_turned_parts_need_no_mesh(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor do solids whose rooms do not meet: a whole sound rocket with fins and tabs makes none."""

    def refuse(*shapes: Shape) -> None:
        raise AssertionError(shapes)

    monkeypatch.setattr(interference, "shared_pieces", refuse)
    assert list(interference_checks(two_sections(), Circumstances(motors=(MOTOR,)))) == []
    with pytest.raises(AssertionError):
        run(TUBE, Item("coupler", (780.0,), coupler_part()), Item("fins", (780.0,), tabbed(), 3, 33.0))


def tabbed(**changes: object) -> Part:
    """Fin on a tube of 66 mm with a tab of 90 x 11 mm, 15 mm aft of the leading edge; it ends 1 mm off a 42 mm tube."""
    return fin_part(**{"tab_length": "90 mm", "tab_depth": "11 mm", "tab_position": "15 mm", **changes})


# --- turned parts -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("station", "depth"), [(844.0, None), (844.04, None), (844.06, "0.06"), (849.0, "5.00")])
def test_rings_along_the_axis(station: float, depth: str | None) -> None:
    """Each is 6 mm thick: at 844 mm the faces touch; what is not above 0.05 mm is none."""
    other = Item("other ring", (station,), ring_part())
    if depth is None:
        assert run(RING, other) == []
    else:
        found = only(RING, other)
        assert found.name == f"ring at 850 mm and other ring at {station:g} mm: same place"
        assert found.value == f"{depth} mm"
        assert f"850.00 to {station + 6.0:.2f} mm" in found.note


@pytest.mark.parametrize(("outside", "depth"), [("64 mm", None), ("64.1 mm", None), ("64.2 mm", "0.10")])
def test_a_ring_in_its_tube(outside: str, depth: str | None) -> None:
    """The bore is 64 mm; depth is on the radius."""
    found = run(TUBE, Item("ring", (850.0,), ring_part(outside_diameter=outside)))
    assert [check.value for check in found] == ([f"{depth} mm"] if depth else [])


def test_a_ring_over_its_motor_tube() -> None:
    """Bore 41 over a tube of 42 mm: half a millimetre on the radius."""
    found = only(Item("ring", (850.0,), ring_part(inside_diameter="41 mm")), Item("motor tube", (845.0,), MOTOR_TUBE))
    assert found.value == "0.50 mm"


def test_a_motor_tube_that_reaches_a_bulkhead() -> None:
    found = only(Item("bulkhead", (842.0,), bulkhead_part()), Item("motor tube", (845.0,), MOTOR_TUBE))
    assert found.value == "1.00 mm", "the wall of the tube is 1 mm; along the axis it is 3 mm"


def test_a_hole_in_the_middle_lets_through_what_is_thinner() -> None:
    disc = bulkhead_part(centre_hole_diameter="43 mm")
    assert run(Item("bulkhead", (850.0,), disc), Item("motor tube", (845.0,), MOTOR_TUBE)) == []


def test_a_shoulder_that_reaches_a_bulkhead() -> None:
    """The shoulder ends at 260 mm, 2 mm inside the disc; its wall covers the disc's rim by 30 - (31.75 - 2.4) mm."""
    nose = nose_part(shoulder_length="60 mm", shoulder_diameter="63.5 mm", body="hollow")
    found = only(Item("nose", (0.0,), nose), TUBE, Item("bulkhead", (258.0,), bulkhead_part()))
    assert found.value == "0.65 mm"
    assert "from 258.00 to 260.00 mm" in found.note


def test_two_of_one_item() -> None:
    found = only(Item("rings", (850.0, 853.0), ring_part()))
    assert found.name == "rings at 850 mm and rings at 853 mm: same place"
    assert found.value == "3.00 mm"


@pytest.mark.parametrize(("station", "count"), [(399.6, 0), (399.4, 1)])
def test_skins_that_meet_within_the_precision_of_a_station(station: float, count: int) -> None:
    """Half a millimetre, as for joints; a wall of 1 mm is thicker than that."""
    found = run(Item("front", (200.0,), tube_part(length="200 mm")), Item("rear", (station,), tube_part()))
    assert len(found) == count


def cone(inner: float, outer: float) -> Revolved:
    """Shell of 100 mm whose walls open by 0.1 mm a millimetre; radii at its forward end [mm]."""
    return Revolved(Meridian(polygon(((0.0, inner), (0.0, outer), (100.0, outer + 10.0), (100.0, inner + 10.0)))))


@pytest.mark.parametrize("depth", [0.03, 0.08, 0.7])
def test_a_sheet_between_slanted_walls_is_as_deep_as_it_is_thick(depth: float) -> None:
    """Not as deep as it is long: it reaches over 100 mm along the axis and over 10 mm along the radius."""
    found = overlap(cone(20.0, 22.0), cone(18.0, 20.0 + depth))
    assert found is not None
    assert found.depth == pytest.approx(depth, rel=1e-9)
    assert found.along == pytest.approx(10.0 * depth, rel=1e-9)
    assert (found.first, found.last) == (0.0, 100.0)
    assert overlap(cone(20.0, 22.0), cone(18.0, 19.99)) is None


def step(radius: float) -> Revolved:
    """A solid shaft of 20 mm radius and 50 mm length, then one of another radius up to 100 mm."""
    points = ((0.0, 0.0), (0.0, 20.0), (50.0, 20.0), (50.0, radius), (100.0, radius), (100.0, 0.0))
    return Revolved(Meridian(polygon(points)))


def test_a_thin_bent_sheet_is_not_as_deep_as_its_bends() -> None:
    """A stepped shaft in a bore 0.02 mm too small and too shallow: an overlap 0.02 mm thick with two bends in it.

    Along the radius it is 10 mm where the step is, along the axis 50 mm, and nowhere does a ball of 0.05 mm fit in.
    """
    points = ((0.0, 19.98), (0.0, 40.0), (120.0, 40.0), (120.0, 9.98), (49.98, 9.98), (49.98, 19.98))
    bore = Revolved(Meridian(polygon(points)))
    found = overlap(step(10.0), bore)
    assert found is not None
    assert 0.02 <= found.depth <= 2.0 * 0.02
    assert (found.first, found.last) == (0.0, 100.0)


def test_a_wedge_is_as_deep_as_the_disc_that_it_holds() -> None:
    """A shaft of 20 mm in a cone of slope 1 that starts at 19 mm: legs of 1 mm, and a disc of 2 - sqrt(2) mm."""
    bore = Revolved(Meridian(polygon(((0.0, 19.0), (0.0, 60.0), (30.0, 60.0), (30.0, 49.0)))))
    found = overlap(step(20.0), bore)
    assert found is not None
    assert found.depth == pytest.approx(2.0 - math.sqrt(2.0))


# --- fins, motors, buttons and fittings -------------------------------------------------------------------------------

FINS = Item("fins", (870.0,), tabbed(), 3, 33.0)
"""Tabs from 885 to 975 mm, 22 to 33 mm from the axis."""


@pytest.mark.parametrize(("station", "depth"), [(879.0, None), (879.04, None), (880.0, "1.00"), (975.0, None)])
def test_a_tab_against_a_ring(station: float, depth: str | None) -> None:
    found = run(Item("ring", (station,), ring_part()), FINS)
    assert [check.value for check in found] == ([f"{depth} mm"] if depth else [])


@pytest.mark.parametrize(("depth", "count"), [("11 mm", 0), ("12.02 mm", 0), ("12.2 mm", 1)])
def test_a_tab_against_the_motor_tube(depth: str, count: int) -> None:
    """The tube's radius is 21 mm, the surface's 33: 12 mm. A tab of 3 mm is flat, so its corners stand off more."""
    found = run(Item("motor tube", (845.0,), MOTOR_TUBE), replace(FINS, part=tabbed(tab_depth=depth)))
    assert [check.value for check in found] == ["0.20 mm"] * count


def test_a_tab_goes_through_the_tube_that_the_fin_stands_on() -> None:
    fits = {"fins": Surroundings(MeasuredTube("tube", (66.0,), (64.0,)))}
    assert run(TUBE, FINS) == []
    assert run(TUBE, FINS, around=Circumstances(fits=fits)) == []
    sleeve = Item("sleeve", (800.0,), tube_part(outside_diameter="63.8 mm", inside_diameter="60 mm", use="coupler"))
    found = only(TUBE, sleeve, FINS, around=Circumstances(fits=fits))
    assert "sleeve at 800 mm and fins at 870 mm" in found.name
    assert found.value == f"{31.9 - math.sqrt(30.0**2 - 1.5**2):.2f} mm", "its wall over the 3 mm of the tab"


def test_tabs_that_meet_in_the_middle() -> None:
    """Six tabs down to 2 mm from the axis, each 3 mm thick, run into their neighbours."""
    deep = Item("fins", (870.0,), tabbed(tab_depth="31 mm"), 6, 33.0)
    assert only(deep).name == "two of fins at 870 mm: same place"
    assert run(replace(deep, part=tabbed(tab_depth="29 mm"))) == []


def test_a_motor_that_reaches_a_ring_and_a_bulkhead() -> None:
    long = replace(MOTOR, length=160.0)
    found = only(Item("bulkhead", (836.0,), bulkhead_part()), around=Circumstances(motors=(long, MOTOR)))
    assert found.name == "bulkhead at 836 mm and M-40 at 840 mm: same place"
    assert found.value == "2.00 mm"
    tight = Item("ring", (850.0,), ring_part(inside_diameter="37 mm"))
    assert only(tight, around=Circumstances(motors=(replace(MOTOR, length=160.0),))).value == "0.50 mm"


def test_a_motor_too_thick_for_its_tube() -> None:
    fat = Circumstances(motors=(replace(MOTOR, diameter=40.3),))
    assert only(Item("motor tube", (845.0,), MOTOR_TUBE), around=fat).value == "0.15 mm"


def button(**changes: object) -> RailButton:
    return RailButton.build(**{**RailButton.example, **changes})


def test_a_button_stands_on_its_tube_and_not_in_a_fin() -> None:
    """A flat foot touches a round tube along one line; the first of twelve fins stands 33 tan(15 deg) = 8.8 mm off."""
    assert run(TUBE, Item("button", (860.0,), button(), 1, 33.0)) == []
    fins = Item("fins", (870.0,), fin_part(), 12, 33.0)
    assert run(fins, Item("button", (920.0,), button(), 1, 33.0)) == []
    wide = Item("button", (920.0,), button(foot_diameter="20 mm"), 1, 33.0)
    assert only(fins, wide).name == "fins at 870 mm and button at 920 mm: same place"


def test_a_button_below_the_skin_of_another_tube() -> None:
    """It stands 33 mm from the axis; a sleeve of 68 mm round that place takes the first millimetre of its foot."""
    outer = Item("sleeve", (900.0,), tube_part(outside_diameter="68 mm", inside_diameter="66.2 mm"))
    assert "sleeve" in only(outer, Item("button", (1000.0,), button(), 1, 33.0)).name


ANCHORED = ring_part(hole_diameter="5.5 mm", hole_circle_diameter="53 mm", hole_rolls=("20 deg", "70 deg"))


def test_a_nut_against_motor_tube_tab_and_next_ring() -> None:
    """Washers of 12 mm on a circle of 53: their inner sides are 20.5 mm from the axis, the motor tube's outside 21."""
    ring = Item("ring", (850.0,), ANCHORED)
    fittings = nuts("U-bolt", ring, 12.0, 7.0)
    tube = Item("motor tube", (845.0,), MOTOR_TUBE)
    names = [check.name for check in run(ring, tube, fittings=fittings)]
    assert names == ["motor tube at 845 mm and U-bolt at 850 mm: same place"]
    assert run(ring, tube, fittings=nuts("U-bolt", ring, 10.0, 7.0)) == []
    behind = Item("second ring", (860.0,), ring_part())
    found = only(ring, behind, fittings=nuts("U-bolt", ring, 10.0, 7.0))
    assert found.value == "3.00 mm", "the nuts end at 863 mm"
    # The first of three fins stands at a roll of 60 degrees; a nut of 10 mm at 70 degrees reaches it at 26.5 mm.
    fins = Item("fins", (850.0,), tabbed(), 3, 33.0)
    found = only(ring, fins, fittings=nuts("U-bolt", ring, 10.0, 10.0))
    assert found.name == "fins at 850 mm and U-bolt at 850 mm: same place"


def test_an_eyebolt_in_the_middle() -> None:
    disc = Item("bulkhead", (842.0 - 6.0,), bulkhead_part(centre_hole_diameter="6 mm"))
    fittings = nuts("eyebolt", disc, 16.0, 9.0)
    assert len(fittings) == 2
    found = only(disc, around=Circumstances(motors=(MOTOR, replace(MOTOR, length=155.0))), fittings=fittings)
    assert found.name == "M-40 at 845 mm and eyebolt at 836 mm: same place"
    assert found.value == "6.00 mm", "the nut ends at 851 mm"


# --- against meshes ---------------------------------------------------------------------------------------------------


def turned_parts() -> st.SearchStrategy[Part]:
    """Parts turned about the axis with sizes that lie near each other, so that some pairs just touch."""
    fine = st.sampled_from((-0.2, -0.06, -0.04, 0.0, 0.04, 0.06, 0.2, 1.0))
    length = st.sampled_from((4.0, 6.0, 30.0))

    def ring(a: float, b: float, thick: float) -> Part:
        return ring_part(outside_diameter=f"{64 + a} mm", inside_diameter=f"{42 + b} mm", thickness=f"{thick} mm")

    def tube(a: float, b: float, long: float) -> Part:
        return tube_part(outside_diameter=f"{66 + a} mm", inside_diameter=f"{64 + b} mm", length=f"{long} mm")

    def inner(a: float, b: float, long: float) -> Part:
        return coupler_part(
            outside_diameter=f"{42 + a} mm", wall=f"{1.2 + b / 2} mm", length=f"{long} mm", screw_count=0
        )

    def stepped(a: float, b: float, thick: float) -> Part:
        step = {"step_diameter": f"{60 + b} mm", "step_thickness": f"{thick} mm", "step_faces": "aft"}
        return bulkhead_part(outside_diameter=f"{64 + a} mm", centre_hole_diameter="6 mm", **step)

    def cone(a: float, b: float, long: float) -> Part:
        return Transition.build(
            forward_diameter=f"{66 + a} mm", aft_diameter=f"{50 + b} mm", length=f"{long} mm", body="hollow"
        )

    def mount(a: float, b: float, long: float) -> Part:
        return MotorMount.build(
            tube_outside_diameter=f"{42 + a} mm",
            tube_inside_diameter="39 mm",
            tube_length=f"{long} mm",
            ring_diameter=f"{64 + b} mm",
            ring_thickness="2 mm",
            ring_positions=("1 mm",),
        )

    return st.one_of(*(st.builds(kind, fine, fine, length) for kind in (ring, tube, inner, stepped, cone, mount)))


def surface(vertices: np.ndarray[Any, Any], triangles: np.ndarray[Any, Any]) -> float:
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2.0


@given(
    turned_parts(),
    turned_parts(),
    st.sampled_from((-6.06, -6.04, -5.0, -4.04, -2.0, 0.0, 1.0, 3.0, 3.96, 5.94, 5.96, 29.94, 29.96)),
)
def test_turned_pairs_agree_with_the_meshed_boolean(first: Part, second: Part, shift: float) -> None:
    """Depth lies between two measures of the mesh of what is shared, and exceeds the limit when it must.

    No solid holds more than its greatest length along a direction times half its surface, so the depth is at least
    2 V/A; and no such length is more than the extent along that direction. Tolerance: meshes depart by 0.002 mm.
    """
    placed = Placed(second.shape(), moved(shift))
    found = overlap(first.shape(), placed)
    assert bands(first.shape()) is not None
    depth = found.depth if found else 0.0
    pieces = shared_pieces(first.shape(), placed)
    least, most = 0.0, 0.0
    for piece in pieces:
        radii = np.hypot(piece.vertices[:, 1], piece.vertices[:, 2])
        least = max(least, 2.0 * piece.moments().volume / surface(piece.vertices, piece.triangles))
        most = max(most, min(np.ptp(piece.vertices[:, 0]), np.ptp(radii)))
    slack = 0.005
    assert least - slack <= depth <= most + slack
    if least > LEAST + slack:
        assert depth > LEAST
    if most < LEAST - slack:
        assert depth <= LEAST


@given(turned_parts(), turned_parts(), st.floats(-10.0, 30.0))
def test_the_order_of_two_does_not_matter(first: Part, second: Part, shift: float) -> None:
    one, other = first.shape(), Placed(second.shape(), moved(shift))
    found, again = overlap(one, other), overlap(other, one)
    assert (found is None) == (again is None)
    assert found is None or again is None or found.depth == pytest.approx(again.depth, abs=1e-9)


def test_pieces_of_what_two_solids_share() -> None:
    """A bar across a ring of bore 42 mm: two pieces, each a plate of 6 x 3 mm by (64 - 42)/2 mm or so."""
    bar = Placed(Plate(Outline(polygon(((-40.0, -1.5), (40.0, -1.5), (40.0, 1.5), (-40.0, 1.5)))), 20.0), moved(-5.0))
    pieces = shared_pieces(ring_part().shape(), bar)
    assert len(pieces) == 2
    assert all(piece.faults() == () for piece in pieces)
    # Half the area of a disc within a strip of half width w: r^2 asin(w/r) + w sqrt(r^2 - w^2).
    strip = [r * r * math.asin(1.5 / r) + 1.5 * math.sqrt(r * r - 1.5**2) for r in (32.0, 21.0)]
    assert sum(piece.moments().volume for piece in pieces) == pytest.approx(6.0 * 2.0 * (strip[0] - strip[1]), rel=1e-4)
    assert shared_pieces(ring_part().shape(), Placed(ring_part().shape(), moved(7.0))) == ()
    assert mesh(bar).faults() == ()


def laid(count: int = 4, radius: str = "8 mm", **changes: Any) -> tuple[Item, Item]:
    """Fins on the tube with a tab, and the fillets along their roots."""
    fins = Item("fins", (780.0,), fin_part(), count, 33.0)
    sizes = {"radius": radius, "length": "120 mm", "fin_thickness": "3 mm", "surface_diameter": "66 mm", **changes}
    return fins, Item("glue", (780.0,), Fillet.build(**sizes), count, 33.0, beside=fins)


def test_glue_takes_the_form_of_what_it_is_laid_on() -> None:
    """Also of a canted fin, whose straight fillets dip into a round tube, and inside on rings and motor tube."""
    fins, glue = laid()
    assert run(TUBE, fins, glue) == []
    canted = replace(fins, part=fin_part(cant="5 deg"))
    assert run(TUBE, canted, replace(glue, beside=canted)) == []
    inside = Item("inner", (800.0,), laid(side="inside", surface_diameter="64 mm")[1].part, 4, 32.0, beside=fins)
    assert run(TUBE, fins, inside, RING) == []


def test_glue_of_two_fins_does_not_run_together() -> None:
    """Eight fins of 3 mm: fillets of radius r reach asin((1.5 + r) / (33 + r)) round, 22.5 deg is half the way."""
    least = (33.0 * math.sin(math.pi / 8.0) - 1.5) / (1.0 - math.sin(math.pi / 8.0))
    assert run(TUBE, *laid(8, f"{least - 0.3!r} mm")) == []
    check = run(TUBE, *laid(8, f"{least + 3.0!r} mm"))
    assert [one.name for one in check] == ["two of glue at 780 mm: same place"]


def test_glue_does_not_lie_where_a_button_stands() -> None:
    """One fin a hand's breadth from the rail line, which its fillets of 30 mm reach: asin(31.5 / 63) = 30 deg."""
    button = Item("button", (820.0,), RailButton.build(**RailButton.example), radius=33.0)
    assert any("button" in check.name for check in run(TUBE, *laid(6, "30 mm"), button))
    assert run(TUBE, *laid(4, "8 mm"), button) == []
