"""Parts drawn for a machine: measured in the mesh, against closed forms, and by undoing what the machine would do."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from cut_samples import RING, SAMPLES
from geometry_samples import CURVES, radial, tube
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.parts.compensate import compensated, cut_compensated, scaled, words
from ferrule.parts.curve import Arc, Floats, Line
from ferrule.parts.errors import PartError
from ferrule.parts.fingerprint import fingerprint
from ferrule.parts.kinds import Coupler, Fin, NoseCone, in_bench_order
from ferrule.parts.machine import Cutter, Printer
from ferrule.parts.part import Part
from ferrule.parts.readers.facets import Fineness
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import (
    Array,
    Bevelled,
    Blade,
    Cut,
    Edge,
    EdgeForm,
    Fused,
    Meridian,
    Outline,
    Placed,
    Plate,
    RadialFeature,
    Revolved,
    Shape,
    circle,
    hole,
    moved,
    polygon,
)

KINDS: tuple[type[Part], ...] = tuple(in_bench_order())
NOMINAL = Printer("tall", 250.0, 250.0, 340.0)
REAL = Printer("tall", 250.0, 250.0, 340.0, outside=0.1, hole=0.15, shrinkage={"petg": 0.005})
HUNDREDTHS = st.integers(-30, 30).map(lambda count: count / 100.0)


def printer(outside: float = 0.0, hole: float = 0.0, shrinkage: float | None = None) -> Printer:
    return Printer("tall", 250.0, 250.0, 340.0, None, outside, hole, {} if shrinkage is None else {"petg": shrinkage})


def example(kind: type[Part]) -> Part:
    return kind.build(**kind.example)


def vertices(shape: Shape) -> Floats:
    found = mesh(shape)
    assert found.faults() == ()
    return found.vertices


def size(shape: Shape) -> Floats:
    points = vertices(shape)
    return np.asarray(points.max(axis=0) - points.min(axis=0))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.kind)
def test_nothing_stated_is_the_part_itself(kind: type[Part]) -> None:
    shape = example(kind).shape()
    found = compensated(shape, NOMINAL, "petg", example(kind).pose())
    assert found is shape
    assert fingerprint(found) == fingerprint(shape)
    assert compensated(shape, printer(shrinkage=0.005), "pla") is shape, "a shrinkage of another material"


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.kind)
def test_every_kind_compensates_to_a_sound_solid(kind: type[Part]) -> None:
    part = example(kind)
    found = compensated(part.shape(), REAL, "petg", part.pose())
    solid = mesh(found)
    assert solid.faults() == ()
    exact = moments(found)
    # The mesh holds fit faces inside the material: 0.01 mm on every face that fits, at most.
    assert solid.moments().volume == pytest.approx(exact.volume, rel=5e-3)
    assert exact.volume != pytest.approx(moments(part.shape()).volume, rel=1e-4)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.kind)
def test_shrinkage_alone_makes_every_length_longer(kind: type[Part]) -> None:
    part = example(kind)
    nominal, grown = part.shape(), compensated(part.shape(), printer(shrinkage=0.005), "petg", part.pose())
    factor = 1.0 / 0.995
    assert moments(grown).volume == pytest.approx(moments(nominal).volume * factor**3, rel=1e-6)
    bed = mesh(grown).placed(part.pose()).vertices
    expected = mesh(nominal).placed(part.pose()).vertices * factor
    # Facets differ in number; a ring of vertices may miss an axis by its deviation.
    assert bed.min(axis=0) == pytest.approx(expected.min(axis=0), abs=0.03)
    assert bed.max(axis=0) == pytest.approx(expected.max(axis=0), abs=0.03)
    assert bed[:, 2].min() == pytest.approx(expected[:, 2].min(), abs=2e-6), "it still stands on the bed"


@pytest.mark.parametrize("kind", [kind for kind in KINDS if not kind.laid_at_the_bench], ids=lambda kind: kind.kind)
@settings(max_examples=12)
@given(HUNDREDTHS, HUNDREDTHS, st.floats(-0.01, 0.03))
def test_any_printer_gets_a_sound_solid_of_every_kind(
    kind: type[Part], outside: float, bore: float, ratio: float
) -> None:
    part = example(kind)
    shape = part.shape()
    found = compensated(shape, printer(outside, bore), "petg")
    removed = moments(shape).volume - moments(found).volume
    if outside > 0.0 and bore > 0.0:
        assert removed > 0.0
    if outside < 0.0 and bore < 0.0:
        assert removed < 0.0
    grown = compensated(shape, printer(outside, bore, ratio), "petg", part.pose())
    assert moments(grown).volume * (1.0 - ratio) ** 3 == pytest.approx(moments(found).volume, rel=1e-6)
    assert mesh(grown).faults() == ()


def nose(**changes: Any) -> NoseCone:
    return NoseCone.build(**{**NoseCone.example, **changes})


def test_a_shoulder_is_drawn_smaller_by_twice_the_outside() -> None:
    part = nose()
    points = radial(vertices(compensated(part.shape(), printer(outside=0.1), "petg")))
    shoulder = points[points[:, 0] > part.length + 1e-6]
    assert shoulder[:, 1].max() * 2.0 == pytest.approx((part.shoulder_diameter or 0.0) - 0.2, abs=2e-6)
    skin = points[points[:, 0] < part.length + 1e-6]
    nominal = radial(vertices(part.shape()))
    assert skin[:, 1].max() == pytest.approx(nominal[:, 1].max(), abs=2e-6), "the skin is no fit"
    assert points[:, 0].max() == nominal[:, 0].max(), "nor is its length"


def test_a_screw_hole_is_drawn_larger_by_twice_the_hole() -> None:
    part = nose(screw_into="hole")
    found = compensated(part.shape(), printer(hole=0.15), "petg")
    assert isinstance(found, Cut)
    assert isinstance(found.tools[0], Array)
    screw = found.tools[0].shape
    assert isinstance(screw, RadialFeature)
    assert screw.outline.box() == pytest.approx((-1.85, -1.85, 1.85, 1.85), abs=1e-12)
    # In the mesh: the stations that the rim of the hole reaches over the shoulder's outside.
    points = vertices(found)
    outside = (part.shoulder_diameter or 0.0) / 2.0
    on_rim = points[(np.hypot(points[:, 1], points[:, 2]) > outside - 0.3) & (points[:, 0] > part.length + 1.0)]
    rim = on_rim[on_rim[:, 0] < part.length + part.shoulder_length - 1.0]
    across = rim[:, 0].max() - rim[:, 0].min()
    assert 3.7 - 2e-6 <= across <= 3.7 + 4.0 * Fineness().fit_deviation, (
        "a facetted hole touches its true size from outside"
    )


def test_a_bore_grows_and_its_wall_gets_thinner() -> None:
    part = Coupler.build(outside_diameter="65.5 mm", wall="2.4 mm", length="136 mm")
    found = compensated(part.shape(), printer(outside=0.1, hole=0.15), "petg")
    outer, bore, length = 65.5 / 2.0 - 0.1, 65.5 / 2.0 - 2.4 + 0.15, 136.0
    assert moments(found).volume == pytest.approx(math.pi * (outer**2 - bore**2) * length, rel=1e-12)


def test_all_three_together_are_undone_by_the_machine() -> None:
    """What is printed shrinks, then its outside comes out 0.1 mm too far and its bore 0.15 mm too near."""
    found = compensated(tube(30.0, 20.0, 80.0, "fit", "fit"), REAL, "petg")
    assert isinstance(found, Revolved)
    low, high, outer = found.meridian.box()
    bore = min(edge.piece.start[1] for edge in found.meridian.edges)
    assert outer * 0.995 + 0.1 == pytest.approx(30.0, abs=1e-12)
    assert bore * 0.995 - 0.15 == pytest.approx(20.0, abs=1e-12)
    assert (high - low) * 0.995 == pytest.approx(80.0, abs=1e-12)


def test_a_plate_by_its_loops() -> None:
    found = compensated(Plate(RING, 6.0), printer(outside=0.1, hole=0.15), "petg")
    assert found == Plate(RING, 6.0), "without a role nothing fits"
    fitting = Outline(circle(32.85, role="fit"), (hole(15.6, role="fit"), hole(2.75, (0.0, 24.0), "fit")))
    found = compensated(Plate(fitting, 6.0), printer(outside=0.1, hole=0.15), "petg")
    area = math.pi * (32.75**2 - 15.75**2 - 2.9**2)
    assert moments(found).volume == pytest.approx(6.0 * area, rel=1e-12)


def test_a_tool_that_cuts_is_a_hole_and_what_it_leaves_in_the_middle_is_not() -> None:
    """A ring-shaped groove: its outer wall is the face of a hole, its inner wall an outside."""
    groove = Plate(Outline(circle(20.0, role="fit"), (hole(10.0, role="fit"),)), 5.0)
    found = compensated(Cut(Plate(Outline(circle(30.0)), 8.0), (groove,)), printer(outside=0.1, hole=0.15), "petg")
    assert isinstance(found, Cut)
    tool = found.tools[0]
    assert isinstance(tool, Plate)
    assert tool.outline.box()[2] == pytest.approx(20.15)
    assert moments(tool).volume == pytest.approx(5.0 * math.pi * (20.15**2 - 9.9**2), rel=1e-12)


def test_a_turned_tool_is_a_hole_too() -> None:
    plug = tube(10.0, 0.0, 20.0, "fit")
    found = compensated(Cut(tube(30.0, 0.0, 20.0), (plug,)), printer(hole=0.15, outside=0.1), "petg")
    assert isinstance(found, Cut)
    assert isinstance(found.tools[0], Revolved)
    assert found.tools[0].meridian.box()[2] == pytest.approx(10.15)


def test_a_boss_is_an_outside() -> None:
    boss = RadialFeature(20.0, 0.0, Outline(circle(5.0, role="fit")), 25.0, 35.0)
    found = compensated(Fused((tube(30.0, 20.0, 40.0), boss)), printer(outside=0.1), "petg")
    assert isinstance(found, Fused)
    assert isinstance(found.members[1], RadialFeature)
    assert found.members[1].outline.box()[2] == pytest.approx(4.9)


def test_the_tab_of_a_printed_fin_gets_smaller_and_the_fin_does_not() -> None:
    part = Fin.build(**Fin.example)
    assert part.tab_length > 0.0
    found = compensated(part.shape(), printer(outside=0.1), "petg")
    assert isinstance(found, Blade)
    assert found.thickness == part.thickness
    x0, y0, x1, y1 = found.planform.box()
    nominal = part.template().box()
    assert y0 == pytest.approx(-part.tab_depth + 0.1, abs=1e-9)
    assert (x0, x1, y1) == pytest.approx((nominal[0], nominal[2], nominal[3]), abs=1e-9)
    fitting = [edge.piece for edge in found.planform.outer if edge.role == "fit"]
    ends = [x for piece in fitting for x in (piece.start[0], piece.end[0])]
    assert max(ends) - min(ends) == pytest.approx(part.tab_length - 0.2, abs=1e-9)


@pytest.mark.parametrize("sweep", [0.0, 30.0])
def test_a_tab_at_the_leading_edge_gets_a_small_step(sweep: float) -> None:
    """The tab's forward side runs on into the leading edge, which stays where it is."""
    part = Fin.build(**{**Fin.example, "tab_position": "0 mm", "sweep_length": f"{sweep} mm"})
    found = compensated(part.shape(), printer(outside=0.1), "petg")
    assert isinstance(found, Blade)
    assert mesh(found).faults() == ()
    lost = part.tab_depth * 0.2 + part.tab_length * 0.1 - 0.02
    assert (moments(part.shape()).volume - moments(found).volume) / part.thickness == pytest.approx(lost, abs=0.03)


def test_worked_edges_stay_with_their_edges() -> None:
    """A moved edge that gets a step before it must not shift the numbers of the edges behind it."""
    corners = ((0.0, -10.0), (60.0, -10.0), (60.0, 0.0), (100.0, 0.0), (80.0, 60.0), (0.0, 60.0), (0.0, 0.0))
    loop = tuple(Edge(edge.piece, "fit" if index in (0, 1, 6) else "") for index, edge in enumerate(polygon(corners)))
    blade = Blade(Outline(loop), 4.0, (EdgeForm(3, Bevelled(8.0, 1.0), 5.0, 5.0), EdgeForm(5, Bevelled(8.0, 1.0))))
    found = compensated(blade, REAL, "petg")
    assert isinstance(found, Blade)
    for before, after in zip(blade.forms, found.forms, strict=True):
        old, new = blade.planform.outer[before.edge].piece, found.planform.outer[after.edge].piece
        run = [np.subtract(piece.end, piece.start) for piece in (old, new)]
        assert abs(float(np.cross([*run[0], 0.0], [*run[1], 0.0])[2])) < 1e-6
        assert new.length() == pytest.approx(old.length() / 0.995, rel=5e-3)
    assert mesh(found).faults() == ()


def curved_section() -> Revolved:
    """A barrel: an arc that fits between two flat ends."""
    arc = Arc((20.0, -10.0), 40.0, math.pi * 2.0 / 3.0, -math.pi / 3.0)
    rim = arc.start[1]
    (x0, _), (x1, _) = arc.start, arc.end
    loop = (
        Edge(arc, "fit"),
        Edge(Line(arc.end, (x1, 5.0))),
        Edge(Line((x1, 5.0), (x0, 5.0)), "fit"),
        Edge(Line((x0, 5.0), (x0, rim))),
    )
    return Revolved(Meridian(loop))


def test_a_curved_fit_face_moves_square_to_itself() -> None:
    found = compensated(curved_section(), printer(outside=0.1), "petg")
    assert isinstance(found, Revolved)
    arc = found.meridian.role("fit")[0]
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(39.9)
    assert arc.centre == (20.0, -10.0)
    assert (arc.start[0], arc.end[0]) == pytest.approx((0.0, 40.0), abs=1e-9), "its ends stay on the flat faces"
    assert mesh(found).faults() == ()


@pytest.mark.parametrize(
    ("shape", "machine", "message"),
    [
        (tube(30.0, 29.8, 50.0, "fit", "fit"), printer(outside=0.1, hole=0.15), "an edge of 0.2 mm vanishes"),
        (tube(30.0, 29.95, 50.0, "fit"), printer(outside=0.1), "an edge of 0.05 mm vanishes"),
        (Plate(Outline(circle(0.05, role="fit")), 2.0), printer(outside=0.1), "a rounding of 0.05 mm radius vanishes"),
        (
            Plate(Outline(circle(20.0, role="fit"), (hole(5.0, (14.9, 0.0), "fit"),)), 2.0),
            printer(hole=0.15),
            "the hole of 10.3 mm diameter runs into the rim",
        ),
        (
            Cut(tube(30.0, 20.0, 50.0), (RadialFeature(9.0, 0.0, Outline(circle(0.1, role="fit")), 0.0, 40.0),)),
            printer(hole=-0.2),
            "a rounding of 0.1 mm radius vanishes",
        ),
    ],
)
def test_what_vanishes_is_said(shape: Shape, machine: Printer, message: str) -> None:
    with pytest.raises(PartError, match=f"compensated for tall: .*: {message}"):
        compensated(shape, machine, "petg")


def pieces() -> Iterator[tuple[str, Shape]]:
    for name, outline in SAMPLES.items():
        yield name, Plate(outline, 3.0)
    base = tube(30.0, 20.0, 80.0, "fit", "fit")
    drilled = Cut(base, (Array(RadialFeature(20.0, 0.3, Outline(circle(3.0)), 10.0, 40.0), 3),))
    yield "drilled", Placed(drilled, moved(5.0, 6.0, 7.0))
    yield "fused", Fused((base, Placed(tube(30.0, 20.0, 10.0), moved(80.0))))


@pytest.mark.parametrize(("name", "shape"), tuple(pieces()), ids=lambda value: value if isinstance(value, str) else "")
@pytest.mark.parametrize("factor", [0.5, 1.0 / 0.995, 3.0])
def test_scaling_multiplies_volumes_by_the_cube_and_moments_by_the_fifth_power(
    name: str, shape: Shape, factor: float
) -> None:
    before, after = moments(shape), moments(scaled(shape, factor))
    assert after.volume == pytest.approx(before.volume * factor**3, rel=1e-7), name
    assert after.first == pytest.approx(np.array(before.first) * factor**4, rel=1e-7, abs=1e-6)
    assert after.second == pytest.approx(np.array(before.second) * factor**5, rel=1e-7, abs=1e-4)


@pytest.mark.parametrize("name", [name for name in CURVES if name != "line"])
def test_every_sort_of_piece_is_scaled_point_by_point(name: str) -> None:
    piece = CURVES[name]
    loop = (Edge(piece), Edge(Line(piece.end, piece.start)))
    try:
        outline = Outline(loop)
    except PartError:
        outline = Outline(tuple(Edge(edge.piece.reversed()) for edge in reversed(loop)))
    found = scaled(Plate(outline, 1.0), 2.5)
    assert isinstance(found, Plate)
    t = np.linspace(0.0, 1.0, 33)
    for before, after in zip(outline.outer, found.outline.outer, strict=True):
        assert after.piece.at(t) == pytest.approx(before.piece.at(t) * 2.5, abs=1e-12)


@pytest.mark.parametrize("factor", [0.0, -1.0, math.nan, math.inf])
def test_a_factor_is_above_nothing(factor: float) -> None:
    with pytest.raises(PartError, match="above 0"):
        scaled(tube(3.0, 2.0, 5.0), factor)


@given(
    st.floats(5.0, 100.0),
    st.floats(1.0, 4.0),
    st.floats(-0.3, 0.3),
    st.floats(-0.3, 0.3),
    st.floats(-0.01, 0.03),
)
def test_any_printer_makes_any_tube_at_size(r: float, wall: float, outside: float, bore: float, ratio: float) -> None:
    found = compensated(tube(r, r - wall, 40.0, "fit", "fit"), printer(outside, bore, ratio), "petg")
    assert isinstance(found, Revolved)
    radii = [edge.piece.start[1] * (1.0 - ratio) for edge in found.meridian.edges]
    # Ends within 1e-8 mm of each other are one point.
    assert max(radii) + outside == pytest.approx(r, abs=2e-8)
    assert min(radii) - bore == pytest.approx(r - wall, abs=2e-8)


def test_a_beam_leaves_a_ring_at_size() -> None:
    laser = Cutter("laser", 600.0, 300.0, kerf=0.2, kerf_for={"birch-plywood": 0.15})
    for material, kerf in (("birch-plywood", 0.15), ("acrylic", 0.2), (None, 0.2)):
        path = cut_compensated(RING, laser, material)
        radii = [edge.piece.radius for loop in path.loops for edge in loop if isinstance(edge.piece, Arc)]
        half = kerf / 2.0
        assert radii == pytest.approx([32.85 + half, 15.6 - half, 2.75 - half, 2.75 - half], abs=1e-12)
    assert cut_compensated(RING, Cutter("laser", 600.0, 300.0), "acrylic") is RING
    with pytest.raises(PartError, match=r"compensated for laser: .*: the hole of 4 mm diameter closes"):
        cut_compensated(Outline(circle(9.0), (hole(2.0),)), Cutter("laser", 600.0, 300.0, kerf=5.0), None)


def test_words_say_what_is_done() -> None:
    assert words(printer(0.1, 0.15, 0.003), "petg") == (
        "compensated for tall: outside -0.10 mm and holes +0.15 mm per side on faces that fit, petg shrinkage 0.30 %"
    )
    assert words(printer(-0.025), "pla").startswith("compensated for tall: outside +0.025 mm and holes +0.00 mm")
    assert words(printer(0.1, 0.15), "pla").endswith("pla shrinkage not stated")
    assert words(NOMINAL, None) == (
        "nominal: nothing is compensated for the printer tall, material shrinkage not stated"
    )
    laser = Cutter("laser", 600.0, 300.0, kerf_for={"birch-plywood": 0.15})
    assert words(laser, "birch-plywood") == (
        "compensated for laser: outside +0.075 mm and holes -0.075 mm per side, half the kerf of 0.15 mm in "
        "birch-plywood"
    )
    assert words(laser, "acrylic") == "nominal: no kerf is stated for the cutter laser"
