"""Jigs hold what they say: holes, slots, seats and guides measured on written files by readers that are not ours.

Sources: ezdxf, shapely and trimesh as readers; plane geometry of tubes and fins written out here; clearances are
common practice, marked so beside their constants. The frame: roll 0 is the rail line, rolls run clockwise seen from
behind, and plates lie with the rail line down.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import ezdxf.math
import numpy as np
import pytest
import trimesh
from shapely.affinity import rotate
from shapely.geometry import LineString, Point, Polygon, box

from ferrule.parts.compensate import compensated, cut_compensated
from ferrule.parts.curve import Line
from ferrule.parts.errors import PartError
from ferrule.parts.fin_set import FinSet, rolls_of
from ferrule.parts.gauges.gauge import Sheeted
from ferrule.parts.jigs.drill_guide import Row, drill_guide
from ferrule.parts.jigs.fin_plates import PLACES, fin_plates, height_within, outer_box
from ferrule.parts.jigs.jig import Jig, ToPrint, TubeInHand
from ferrule.parts.jigs.marking_ring import marking_ring
from ferrule.parts.jigs.stand import stand
from ferrule.parts.machine import Cutter, Printer
from ferrule.parts.part import CutPiece
from ferrule.parts.readers import brep
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import Outline, Plate, Shape, polygon
from ferrule.parts.writers.dxf import write_dxf
from ferrule.parts.writers.stl import write_stl

WORDS = ("Marram", "1a2b-3c4d-5e6f")
RADIUS = 34.2
TUBE = TubeInHand("booster tube", 2.0 * RADIUS, (68.36, 68.44), 620.0)
THICK = 4.0
ROOT, TIP, SPAN, SWEEP = 120.0, 60.0, 58.0, 50.0


def fin_set(thickness: float = 4.0, cant: float = 0.0, span: float = SPAN, sweep: float = SWEEP) -> FinSet:
    corners = ((0.0, 0.0), (ROOT, 0.0), (sweep + TIP, span), (sweep, span))
    return FinSet(Outline(polygon(corners)), thickness, cant=cant)


@cache
def plates(fins: FinSet, count: int, tube: TubeInHand = TUBE) -> Jig:
    return fin_plates("fin-plates-fin", "fin", fins, count, tube, THICK, WORDS)


def read_back(sheeted: Sheeted, folder: Path, letters: bool = False) -> Polygon:
    """The piece as its cut file has it, every arc by its own centre and radius, in chords at most 0.001 mm off."""
    path = folder / "piece.dxf"
    write_dxf(path, sheeted.piece.outline, title="piece", engrave=sheeted.letters if letters else ())
    lines = ezdxf.readfile(path).modelspace().query('LWPOLYLINE[layer=="CUT"]')
    loops = sorted((Polygon(_dots(line.get_points("xyb"))) for line in lines), key=lambda one: -one.area)
    found = Polygon(loops[0].exterior, [one.exterior for one in loops[1:]])
    assert found.is_valid
    return found


def _dots(corners: list[tuple[float, float, float]]) -> Iterator[tuple[float, float]]:
    for (x0, y0, bulge), (x1, y1, _) in zip(corners, (*corners[1:], corners[0]), strict=True):
        yield x0, y0
        if bulge:
            centre = ezdxf.math.bulge_center((x0, y0), (x1, y1), bulge)
            radius = ezdxf.math.bulge_radius((x0, y0), (x1, y1), bulge)
            start, sweep = math.atan2(y0 - centre.y, x0 - centre.x), 4.0 * math.atan(bulge)
            steps = math.ceil(abs(sweep) / (2.0 * math.acos(1.0 - 0.001 / radius)))
            for angle in np.linspace(start, start + sweep, steps + 1)[1:-1]:
                yield centre.x + radius * math.cos(angle), centre.y + radius * math.sin(angle)


def void_of(plate: Polygon) -> Polygon:
    (hole,) = plate.interiors
    return Polygon(hole)


def bearing(roll: float) -> tuple[float, float]:
    """Direction of a roll on a plate: the rail line is down, clockwise seen from behind is to the left of it."""
    return -math.sin(roll), -math.cos(roll)


def along(roll: float, low: float, high: float, wide: float, aside: float = 0.0) -> Polygon:
    """A bar that runs outwards along a roll; `aside` moves it towards greater roll."""
    turn = math.degrees(math.atan2(*bearing(roll)[::-1]))
    return rotate(box(low, -aside - wide / 2.0, high, -aside + wide / 2.0), turn, origin=(0.0, 0.0))


def height_at(x: float) -> float:
    """Of the trapezoid, written out: up the leading edge, along the tip, down the trailing edge."""
    if not 0.0 <= x <= ROOT:
        return 0.0
    return min(SPAN, SPAN * x / SWEEP, SPAN * (ROOT - x) / (ROOT - SWEEP - TIP))


def solid_of(piece: ToPrint) -> trimesh.Trimesh:
    found = mesh(piece.shape).placed(piece.pose)
    return trimesh.Trimesh(found.vertices, found.triangles, process=False)


def section(solid: trimesh.Trimesh, height: float) -> list[Polygon]:
    cut = solid.section(plane_origin=[0.0, 0.0, height], plane_normal=[0.0, 0.0, 1.0])
    loops = [Polygon(line[:, :2]) for line in cut.discrete]
    filled = Polygon()
    for loop in sorted(loops, key=lambda one: -one.area):
        filled = filled.symmetric_difference(loop)
    return list(getattr(filled, "geoms", (filled,)))


# --- fin plates -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [3, 4, 5, 8])
def test_plates_are_one_piece_with_a_slot_for_each_fin(count: int, tmp_path: Path) -> None:
    jig = plates(fin_set(), count)
    for sheeted, (_, place) in zip(jig.cut, PLACES, strict=True):
        plate = read_back(sheeted, tmp_path)
        void = void_of(plate)
        # One piece, with 15 mm of it round everything that is cut out.
        assert plate.exterior.distance(void) >= 15.0 - 1e-6
        # The tube and 0.2 mm all round it: the hole is 0.4 mm wider.
        assert void.exterior.distance(Point(0.0, 0.0)) == pytest.approx(RADIUS + 0.2, abs=1e-3)
        for index in range(count):
            roll = math.tau * (index + 0.5) / count
            level = RADIUS + 18.0
            # Across the slot, and where its two sides are: 4.00 + 0.25 mm, half to each side of the roll.
            x, y = bearing(roll)
            line = LineString([(x * level - y * 5.0, y * level + x * 5.0), (x * level + y * 5.0, y * level - x * 5.0)])
            gap = line.intersection(void)
            assert gap.length == pytest.approx(4.25, abs=1e-6)
            middle = gap.interpolate(0.5, normalized=True)
            assert math.dist((middle.x, middle.y), (x * level, y * level)) < 1e-6
            # The fin's own section in the plate, from the tube outwards, goes into the slot.
            first, last = place * ROOT - THICK / 2.0, place * ROOT + THICK / 2.0
            high = max(height_at(x) for x in np.linspace(first, last, 41))
            assert void.contains(along(roll, RADIUS - 1.0, RADIUS + high, 4.0))
            # And 3 mm more, and no further.
            reach = RADIUS + max(height_at(x) for x in (*np.linspace(*_way(place), 401),))
            assert void.contains(along(roll, RADIUS, reach + 2.99, 4.2))
            assert not void.intersects(along(roll, reach + 3.01, reach + 3.5, 4.0))


def _way(place: float) -> tuple[float, float]:
    """Where the fins lie that a plate passes: it comes from its own end of the tube."""
    return (0.0, place * ROOT + THICK / 2.0) if place < 0.5 else (place * ROOT - THICK / 2.0, ROOT)


@pytest.mark.parametrize(("count", "tube"), [(4, 2.0 * RADIUS), (8, 2.0 * RADIUS), (3, 25.0)])
def test_glue_stays_off_the_plate_and_the_tube_still_bears_on_it(count: int, tube: float, tmp_path: Path) -> None:
    """20 mm round each root (common practice), less where the hole would lose more than 0.6 of its edge."""
    hand = TubeInHand("tube", tube, None, 500.0)
    void = void_of(read_back(plates(fin_set(2.0), count, hand).cut[0], tmp_path))
    hole = tube / 2.0 + 0.2
    rim = Point(0.0, 0.0).buffer(hole + 0.01, quad_segs=4000).exterior
    notch = 2.5 / rim.length
    assert rim.difference(void).length / rim.length >= 0.4 - notch - 1e-3
    # A fillet of 6 mm on both sides of the fin lies clear of the plate.
    for index in range(count):
        x, y = bearing(math.tau * (index + 0.5) / count)
        assert void.contains(Point(x * tube / 2.0, y * tube / 2.0).buffer(6.0))
    slots = [along(math.tau * (i + 0.5) / count, hole, hole + 40.0, 2.25) for i in range(count)]
    assert all(not one.intersects(other) for i, one in enumerate(slots) for other in slots[:i])


def test_both_plates_have_the_same_feet_and_clear_the_table(tmp_path: Path) -> None:
    for count in (3, 4):
        first, second = (read_back(one, tmp_path) for one in plates(fin_set(), count).cut)
        assert first.bounds == second.bounds
        left, low, right, high = first.bounds
        assert Polygon(first.exterior).area == pytest.approx((right - left) * (high - low))
        for index in range(count):
            tip = along(math.tau * (index + 0.5) / count, RADIUS, RADIUS + SPAN, 4.0)
            assert box(left, low, right, high).buffer(-15.0).contains(tip)


def test_the_notch_is_at_the_rail_line_below_the_hole(tmp_path: Path) -> None:
    void = void_of(read_back(plates(fin_set(), 4).cut[0], tmp_path))
    assert void.contains(LineString([(0.0, 0.0), (0.0, -RADIUS - 0.2 - 2.49)]))
    assert not void.contains(Point(0.0, RADIUS + 0.3))


def test_letters_lie_on_the_plate_clear_of_what_is_cut_out(tmp_path: Path) -> None:
    for count, tube, cant in ((3, 25.0, 0.0), (4, 68.4, 0.04)):
        jig = plates(fin_set(2.0, cant), count, TubeInHand("tube", tube, None, 500.0))
        sheeted = jig.cut[1]
        void = void_of(read_back(sheeted, tmp_path, letters=True))
        words = [Polygon([edge.piece.start for edge in letter.outer]) for letter in sheeted.letters]
        # F1 to the last fin, the rail line, and at least which face looks aft.
        assert len(words) > 2 * count + 16
        assert all(one.distance(void) > 1.0 for one in words)


def test_a_foot_may_be_asked_for() -> None:
    """Where other fins on the same tube reach further."""
    assert outer_box(fin_set(), 4, TUBE, THICK)[1] == -84.0
    jig = fin_plates("p", "fin", fin_set(), 4, TUBE, THICK, WORDS, 100.0)
    assert jig.cut[0].piece.outline.box()[1] == -100.0


@pytest.mark.parametrize("degrees", [-2.0, 1.0, 3.0])
def test_canted_fins_go_into_their_slots_and_through_them(degrees: float, tmp_path: Path) -> None:
    """The fin as a solid of trimesh, turned about the radius through the middle of its root, and cut by it."""
    cant = math.radians(degrees)
    planform = Polygon(((0.0, -5.0), (ROOT, -5.0), (ROOT, 0.0), (SWEEP + TIP, SPAN), (SWEEP, SPAN), (0.0, 0.0)))
    fin = trimesh.creation.extrude_polygon(planform, 4.0)
    fin.apply_translation((-ROOT / 2.0, 0.0, -2.0))
    # The leading edge, at -x, goes towards greater roll, which at the rail line is from +y towards -z.
    c, s = math.cos(cant), math.sin(cant)
    turn = np.eye(4)
    turn[:3, :3] = ((c, 0.0, -s), (0.0, 1.0, 0.0), (s, 0.0, c))
    fin.apply_transform(turn)
    front = fin.vertices[fin.vertices[:, 0] < -0.9 * ROOT / 2.0]
    assert math.copysign(1.0, -front[:, 2].mean()) == math.copysign(1.0, degrees)
    fin.apply_translation((ROOT / 2.0, RADIUS, 0.0))
    jig = plates(fin_set(cant=cant), 4)
    for sheeted, (word, place) in zip(jig.cut, PLACES, strict=True):
        void = void_of(read_back(sheeted, tmp_path))
        faces = [place * ROOT - THICK / 2.0 + 0.001, place * ROOT + THICK / 2.0 - 0.001]
        for x in faces:
            assert all(void.contains(one) for one in _cut_at(fin, x))
        # Slid off the way it came, the plate turns about the tube; some turn lets the fin through at every step.
        for step in np.linspace(0.0, 26.0, 5):
            moved = [x - step if word == "forward" else x + step for x in faces]
            sections = [one for x in moved for one in _cut_at(fin, x)]
            turns = np.degrees(np.linspace(-1.5, 1.5, 61) * math.tan(cant) * step / RADIUS)
            assert any(all(void.contains(rotate(one, turn, origin=(0.0, 0.0))) for one in sections) for turn in turns)


def _cut_at(fin: trimesh.Trimesh, x: float) -> list[Polygon]:
    """Where a plane across the tube cuts a fin that stands at the roll of fin 1 of four, on the plate's own frame."""
    cut = fin.section(plane_origin=[x, 0.0, 0.0], plane_normal=[1.0, 0.0, 0.0])
    if cut is None:
        return []
    # Seen from behind with the rail line down: +z to the right, +y down; clockwise is negative there.
    flat = [Polygon([(z, -y) for _, y, z in line]) for line in cut.discrete]
    return [rotate(one, -45.0, origin=(0.0, 0.0)) for one in flat]


def test_the_height_of_a_fin_between_two_places_is_that_of_its_edges() -> None:
    fins = fin_set()
    for first, last in ((-10.0, -1.0), (-10.0, 5.0), (22.0, 26.0), (60.0, 70.0), (112.0, 115.0), (110.5, 200.0)):
        wanted = max(height_at(float(x)) for x in np.linspace(first, last, 2001))
        assert height_within(fins.planform, first, last) == pytest.approx(wanted, abs=1e-9)
    swept = fin_set(sweep=-40.0)
    # The tip of a fin swept forward lies ahead of its root, and the forward plate has to pass it.
    assert height_within(swept.planform, -math.inf, -30.0) == SPAN


def test_slots_that_meet_are_refused_with_what_would_fit() -> None:
    tube = TubeInHand("thin tube", 25.0, None, 300.0)
    with pytest.raises(PartError, match=r"8 slots of 6\.25 mm leave") as found:
        plates(fin_set(6.0), 8, tube)
    words = str(found.value)
    fewer, thinner, wider = (
        re.search(pattern, words)
        for pattern in (r"with (\d+) fins of this", r"fins of at most ([\d.]+) mm", r"a tube of (\d+) mm$")
    )
    assert wider
    wide = TubeInHand("wide tube", float(wider[1]), None, 300.0)
    assert plates(fin_set(6.0), 8, wide).cut
    with pytest.raises(PartError):
        plates(fin_set(6.0), 8, TubeInHand("tube", float(wider[1]) - 1.5, None, 300.0))
    assert fewer or thinner
    if fewer:
        assert plates(fin_set(6.0), int(fewer[1]), tube).cut
        with pytest.raises(PartError):
            plates(fin_set(6.0), int(fewer[1]) + 1, tube)
    if thinner:
        assert plates(fin_set(float(thinner[1])), 8, tube).cut


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: plates(fin_set(), 2), "3 to 8 fins, and there are 2"),
        (lambda: plates(fin_set(), 9), "3 to 8 fins, and there are 9"),
        (lambda: plates(fin_set(cant=math.radians(20.0)), 4), "cant: 20 deg carries the slots"),
        (lambda: fin_plates("p", "fin", fin_set(), 4, TUBE, 0.0, WORDS), "thickness: .* got 0 mm"),
        (
            lambda: fin_plates(
                "p", "fin", FinSet(Outline(polygon(((0, 0), (20, 0), (15, 9)))), 2.0), 3, TUBE, THICK, WORDS
            ),
            "a root of 23.3 mm has",
        ),
        (lambda: stand("s", TUBE, 40.0, THICK, WORDS), "a stand needs 15 mm"),
        (lambda: stand("s", TUBE, None, 20.0, WORDS), "thickness: .* got 20 mm"),
        (lambda: marking_ring("m", TubeInHand("straw", 6.0, None, 90.0), (), WORDS), "at least 10 mm"),
        (lambda: drill_guide("d", TUBE, Row("vent", 4.0, (0.0,), (3.0,)), WORDS), "3 mm from the end .* 5.05 mm"),
        (lambda: drill_guide("d", TUBE, Row("vent", 66.0, (0.0,), (200.0,)), WORDS), "does not go through"),
    ],
)
def test_what_cannot_be_is_refused(build: Callable[[], Jig], words: str) -> None:
    with pytest.raises(PartError, match=words):
        build()


def test_a_machine_gets_its_own_sizes(tmp_path: Path) -> None:
    """A printer's holes grow by what it closes them, a slot on both its sides; a beam's path lies inside."""
    jig = plates(fin_set(), 4)
    level = RADIUS + 18.0
    x, y = bearing(math.pi / 4.0)
    line = LineString([(x * level - y * 5.0, y * level + x * 5.0), (x * level + y * 5.0, y * level - x * 5.0)])
    printer, piece = Printer("tall", 250.0, 250.0, 200.0, outside=0.05, hole=0.11), jig.printed[0]
    found = mesh(compensated(piece.shape, printer, None, piece.pose)).placed(piece.pose)
    (plate,) = section(trimesh.Trimesh(found.vertices, found.triangles, process=False), 1.0)
    void = void_of(plate)
    # FLAT lays +y of the shape, the plate's x, along x.
    assert line.intersection(void).length == pytest.approx(4.25 + 0.22, abs=1e-5)
    assert void.exterior.distance(Point(0.0, 0.0)) == pytest.approx(RADIUS + 0.2 + 0.11, abs=1e-5)
    path = cut_compensated(jig.cut[0].piece.outline, Cutter("laser", 600.0, 300.0, 0.2), None)
    inner = void_of(read_back(Sheeted(CutPiece("", path, (), THICK), ()), tmp_path))
    assert line.intersection(inner).length == pytest.approx(4.25 - 0.2, abs=1e-6)


# --- stand ------------------------------------------------------------------------------------------------------------


def test_the_stand_holds_the_tube_at_the_height_of_the_plates(tmp_path: Path) -> None:
    axis = -outer_box(fin_set(), 4, TUBE, THICK)[1]
    saddle, strip = (read_back(one, tmp_path) for one in stand("s", TUBE, axis, THICK, WORDS).cut)
    tube = Point(0.0, axis).buffer(RADIUS, quad_segs=4000)
    # The tube touches its seat at the lowest place alone, 0.5 mm of radius freer elsewhere; chords: 3e-3 mm2.
    assert tube.intersection(saddle).area < 3e-3
    assert tube.distance(saddle) == pytest.approx(0.0, abs=1e-3)
    arc = [edge for edge in saddle.exterior.coords if edge[1] > axis - RADIUS - 1e-3 and abs(edge[0]) < RADIUS]
    centre = (0.0, axis + 0.5)
    radii = [math.dist(point, centre) for point in arc]
    assert (min(radii), max(radii)) == pytest.approx((RADIUS + 0.5, RADIUS + 0.5), abs=1e-6)
    angles = [math.degrees(math.atan2(point[0], centre[1] - point[1])) for point in arc]
    assert (min(angles), max(angles)) == pytest.approx((-60.0, 60.0), abs=1e-4)
    # Halved joints: where a strip stands, the saddle has the upper half and the strip the lower one.
    high = strip.bounds[3]
    cuts = box(*saddle.bounds).difference(saddle).intersection(box(*saddle.bounds[:3], high))
    slots = sorted(cuts.geoms, key=lambda one: one.bounds)
    assert len(slots) == 2
    assert [one.bounds[2] - one.bounds[0] for one in slots] == pytest.approx([THICK + 0.15] * 2)
    assert [one.bounds[3] for one in slots] == pytest.approx([high / 2.0] * 2)
    gaps = box(*strip.bounds).difference(strip)
    assert [one.bounds[1] for one in gaps.geoms] == pytest.approx([high / 2.0] * 2)
    assert [one.bounds[2] - one.bounds[0] for one in gaps.geoms] == pytest.approx([THICK + 0.15] * 2)
    # Nothing of the strips touches the tube.
    assert axis - RADIUS - high >= 5.0


# --- rings ------------------------------------------------------------------------------------------------------------

FIN_ROLLS = tuple(math.tau * (index + 0.5) / 4 for index in range(4))


def gaps_of(pieces: list[Polygon], level: float) -> list[tuple[float, float]]:
    """Roll [deg] and width [mm] of each gap in a ring that stands on the bed with its forward end up.

    +x of the ring points down and roll 0 stays at +y; from there rolls run clockwise seen from behind, which is from
    below: towards -x of the bed.
    """
    angles = np.linspace(0.0, math.tau, 72001)
    ring = LineString([(-level * math.sin(a), level * math.cos(a)) for a in angles])
    for piece in pieces:
        ring = ring.difference(piece)
    found = []
    for one in getattr(ring, "geoms", (ring,)):
        middle = one.interpolate(0.5, normalized=True)
        found.append((math.degrees(math.atan2(-middle.x, middle.y)) % 360.0, one.length))
    # The line begins and ends at roll 0.
    ends = [length for roll, length in found if min(roll, 360.0 - roll) < 2.0]
    rest = [(roll, length) for roll, length in found if min(roll, 360.0 - roll) >= 2.0]
    return sorted([*rest, *([(0.0, sum(ends))] if ends else [])])


def test_the_marking_ring_has_its_lines_where_the_fins_are() -> None:
    solid = solid_of(marking_ring("m", TUBE, FIN_ROLLS, WORDS).printed[0])
    level = RADIUS + 2.0
    slots = gaps_of(section(solid, 12.0), level)
    assert [roll for roll, _ in slots] == pytest.approx([0.0, 45.0, 135.0, 225.0, 315.0], abs=0.02)
    assert [wide for _, wide in slots] == pytest.approx([1.2] * 5, abs=0.01)
    # In the notched face: quarter lines as well, and two small notches beside the rail line.
    mouths = gaps_of(section(solid, 19.0), level)
    flank = math.degrees(5.0 / (RADIUS + 0.2))
    wanted = [0.0, flank, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0, 360.0 - flank]
    assert [roll for roll, _ in mouths] == pytest.approx(wanted, abs=0.03)
    # The plain face is whole, and the bore runs on.
    (face,) = section(solid, 0.7)
    (bore,) = face.interiors
    assert bore.distance(Point(0.0, 0.0)) == pytest.approx(RADIUS + 0.2, abs=4e-6)
    assert solid.extents[2] == pytest.approx(20.0)


def test_many_fins_on_a_thin_tube_leave_out_what_has_no_room() -> None:
    rolls = tuple(math.tau * (index + 0.5) / 8 for index in range(8))
    solid = solid_of(marking_ring("m", TubeInHand("thin", 20.0, None, 300.0), rolls, WORDS).printed[0])
    slots = gaps_of(section(solid, 12.0), 12.0)
    assert [roll for roll, _ in slots] == pytest.approx([0.0, *(22.5 + 45.0 * i for i in range(8))], abs=0.05)
    assert solid.is_volume


def test_a_guide_leads_the_drill_to_the_hole() -> None:
    """Three M3 screws 34 mm from the forward end: 3.4 + 0.1 mm, at their rolls, 34 mm from the index face."""
    rolls = tuple(math.radians(angle) for angle in (60.0, 180.0, 300.0))
    solid = solid_of(drill_guide("d", TUBE, Row("screw", 3.4, rolls, (34.0,)), WORDS).printed[0])
    # Its index face, the forward one, is on the bed: rolls run clockwise seen from behind, which is from above.
    (whole,) = section(solid, 34.0 - 3.0)
    (bore,) = whole.interiors
    assert bore.distance(Point(0.0, 0.0)) == pytest.approx(RADIUS + 0.2, abs=4e-6)
    for roll in rolls:
        # Facets are at most 0.01 mm off a face that fits.
        y, z = math.cos(roll), -math.sin(roll)
        out = np.array([y, z, 0.0])
        cut = solid.section(plane_origin=out * (RADIUS + 6.0), plane_normal=out)
        guide = min((Polygon(line @ np.array([[z, 0.0], [-y, 0.0], [0.0, 1.0]])) for line in cut.discrete), key=_area)
        assert math.sqrt(guide.area * 4.0 / math.pi) == pytest.approx(3.5, abs=0.02)
        assert (guide.centroid.x, guide.centroid.y) == pytest.approx((0.0, 34.0), abs=1e-4)
        # The guide holds a drill over 10 mm.
        assert np.abs(solid.vertices[:, :2] @ out[:2]).max() >= RADIUS + 0.2 + 10.0 - 1e-3


def _area(one: Polygon) -> float:
    return float(one.area)


def test_what_lies_far_from_the_ends_is_set_on_a_line_and_what_is_near_on_its_end() -> None:
    assert Row("vent", 4.0, (0.0,), (95.0,)).end(620.0) is None
    assert Row("vent", 4.0, (0.0,), (40.0,)).end(620.0) == ("forward", 40.0)
    assert Row("vent", 4.0, (0.0,), (580.0,)).end(620.0) == ("aft", 40.0)
    assert Row("button", 4.0, (0.0,), (393.0, 580.0)).end(620.0) is None
    jig = drill_guide("d", TUBE, Row("rail button", 4.5, (0.0,), (393.0, 580.0)), WORDS)
    assert "378.0 mm and 565.0 mm from its forward end" in jig.trial
    aft = drill_guide("d", TUBE, Row("screw", 3.4, (0.0,), (585.0,)), WORDS)
    assert "over the aft end" in aft.trial
    # Printed on its index face, which then is the aft one: the guide is 35 mm over the bed.
    solid = solid_of(aft.printed[0])
    cut = solid.section(plane_origin=[0.0, RADIUS + 6.0, 0.0], plane_normal=[0.0, 1.0, 0.0])
    guide = min((Polygon(line[:, [0, 2]]) for line in cut.discrete), key=_area)
    assert guide.centroid.y == pytest.approx(35.0, abs=1e-4)


PRINTS = {
    "plate": plates(fin_set(), 4).printed[0],
    "saddle": stand("s", TUBE, 84.0, THICK, WORDS).printed[0],
    "strip": stand("s", TUBE, 84.0, THICK, WORDS).printed[1],
    "ring": marking_ring("m", TUBE, FIN_ROLLS, WORDS).printed[0],
    "guide": drill_guide("d", TUBE, Row("rail button", 4.5, (0.0,), (393.0,)), WORDS).printed[0],
    "aft guide": drill_guide("d", TUBE, Row("screw", 3.4, (math.pi,), (585.0,)), WORDS).printed[0],
}


@pytest.mark.parametrize("name", PRINTS)
def test_a_print_is_one_sound_body_that_needs_no_support(name: str, tmp_path: Path) -> None:
    path = tmp_path / "jig.stl"
    write_stl(path, mesh(PRINTS[name].shape).placed(PRINTS[name].pose), name)
    read = trimesh.load(path)
    assert read.is_volume
    assert read.body_count == 1
    assert read.bounds[0][2] == pytest.approx(0.0, abs=1e-6)
    # What hangs over is no wider than the facets of a drill's guide and the heads of letters half a mm deep.
    hangs = (read.face_normals[:, 2] < -0.8) & (read.triangles_center[:, 2] > 1e-3)
    assert float(read.area_faces[hangs].max(initial=0.0)) < 4.0


SHORT = ("I", "1")
"""Letters are what takes the kernel its time."""


@pytest.mark.parametrize(
    "shape",
    [
        Plate(plates(fin_set(cant=math.radians(3.0)), 4).cut[0].piece.outline, THICK),
        stand("s", TUBE, 84.0, THICK, SHORT).printed[0].shape,
        marking_ring("m", TUBE, FIN_ROLLS[:1], SHORT).printed[0].shape,
        drill_guide("d", TubeInHand("thin", 24.0, None, 300.0), Row("I", 4.5, (0.0, 1.5, 3.0, 4.5), (50.0,)), SHORT)
        .printed[0]
        .shape,
    ],
    ids=["plate", "saddle", "ring", "guide"],
)
def test_the_kernel_finds_one_valid_solid_and_the_integrals_agree(shape: Shape) -> None:
    body = brep.solid(shape)
    assert brep.is_valid(body)
    assert brep.bodies(body) == 1
    assert moments(shape).volume == pytest.approx(brep.moments(body).volume, rel=1e-6)


def test_cut_outs_clear_the_fillets_or_say_that_they_do_not(tmp_path: Path) -> None:
    filleted = replace(fin_set(), fillet_radius=10.0)
    # Where a fillet ends on the tube by hand: the circles of tube and free face touch on the line through both middles.
    aside, apart = 2.0 + 10.0, RADIUS + 10.0
    height = math.sqrt(apart**2 - aside**2)
    for sheeted in plates(filleted, 4).cut:
        plate = read_back(sheeted, tmp_path)
        for roll in rolls_of(4):
            for side in (-1.0, 1.0):
                for across, out in ((aside * RADIUS / apart, height * RADIUS / apart), (2.0, height)):
                    turn = -math.pi / 2.0 - roll
                    x = out * math.cos(turn) - side * across * math.sin(turn)
                    y = out * math.sin(turn) + side * across * math.cos(turn)
                    assert not plate.buffer(0.5).contains(Point(x, y))
    assert (
        dict(plates(filleted, 4).sizes)["cut-out round each root"]
        == "26.0 mm across (more than the fin with its fillets)"
    )
    large = dict(plates(replace(fin_set(), fillet_radius=16.0), 4).sizes)["cut-out round each root"]
    assert "38 mm would leave too little of the hole's edge; fillets only after the plates are off" in large


def test_slot_sides_are_fits_and_relief_is_not() -> None:
    (hole,) = plates(fin_set(), 4).cut[0].piece.outline.holes
    sides = [edge for edge in hole if edge.role == "fit" and isinstance(edge.piece, Line)]
    assert len(sides) == 8
    assert sum(edge.role == "fit" for edge in hole) == 8 + 5
