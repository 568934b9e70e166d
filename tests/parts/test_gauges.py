"""Gauges are as large as they say, carry their numbers upright, print without support, and measure what they claim.

Sources: plane geometry of a cut with a beam of known width (done a second time with shapely, which is not ours),
trimesh and ezdxf as readers that are not ours; what is common practice is marked so beside the constant.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from ferrule.parts.compensate import compensated, cut_compensated
from ferrule.parts.errors import PartError
from ferrule.parts.gauges.collars import TAB, ring_over, slice_of
from ferrule.parts.gauges.gauge import LEAST, RAISED, Gauge, Printed, Sheeted, label, ladder, letter_height
from ferrule.parts.gauges.go_no_go import plugs, rings
from ferrule.parts.gauges.insert_bosses import insert_bosses
from ferrule.parts.gauges.kerf_comb import STRIP, STRIPS, kerf_comb, kerf_from, outline
from ferrule.parts.gauges.shoulder import shoulder_slices
from ferrule.parts.gauges.slots import slot_gauge
from ferrule.parts.hardware import Insert, sized
from ferrule.parts.kinds.nose_cone import NoseCone
from ferrule.parts.lettering import letters
from ferrule.parts.machine import Cutter, Printer
from ferrule.parts.poses import FLAT
from ferrule.parts.readers import brep
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import Loop, Outline, Shape
from ferrule.parts.writers.dxf import write_dxf
from ferrule.parts.writers.stl import write_stl

SLICES = shoulder_slices("shoulder-nose", "nose's shoulder", 65.38, 2.4, 68.0, 1, "petg")
RINGS = rings("rings-tube", "tube", 68.44)
PLUGS = plugs("plugs-motor-tube", "motor tube", 29.2)
SLOTS = slot_gauge("slots-fin", "fin", 4.0)
COMB = kerf_comb("kerf-comb", "birch-plywood", 4.0)
BOSSES = insert_bosses("insert-m3", sized(Insert, "M3"))
GAUGES = (SLICES, RINGS, PLUGS, SLOTS, COMB, BOSSES)
PRINTED = tuple((gauge, piece) for gauge in GAUGES for piece in gauge.printed)
MIDDLE = Point(0.0, 0.0)
CUT = tuple((gauge, sheeted) for gauge in GAUGES for sheeted in gauge.cut)


def solid_of(shape: Shape) -> trimesh.Trimesh:
    """As it lies on the bed."""
    found = mesh(shape).placed(FLAT)
    return trimesh.Trimesh(found.vertices, found.triangles, process=False)


def section(solid: trimesh.Trimesh, height: float) -> tuple[Polygon, ...]:
    """What of a print is solid at a height over the bed."""
    cut = solid.section(plane_origin=[0.0, 0.0, height], plane_normal=[0.0, 0.0, 1.0])
    if cut is None:
        return ()
    loops = [Polygon(line[:, :2]) for line in cut.discrete]
    filled = Polygon()
    for loop in sorted(loops, key=lambda one: -one.area):
        filled = filled.symmetric_difference(loop)
    return tuple(getattr(filled, "geoms", (filled,)))


def ring_of(solid: trimesh.Trimesh, height: float) -> Polygon:
    return max(section(solid, height), key=lambda one: one.envelope.area)


def largest_radius(ring: Polygon) -> float:
    return max(math.hypot(*point) for point in ring.exterior.coords)


def bore_radius(ring: Polygon, middle: Point = MIDDLE) -> float:
    """Radius of the largest round thing that goes through the only bore of a ring."""
    (bore,) = ring.interiors
    return float(bore.distance(middle))


def polygon_of(outlines: tuple[Outline, ...]) -> Polygon:
    def ring(loop: Loop) -> Polygon:
        return Polygon(np.vstack([edge.piece.at(np.linspace(0.0, 1.0, 24)[:-1]) for edge in loop]))

    return unary_union(
        [ring(one.outer).difference(unary_union([ring(hole) for hole in one.holes])) for one in outlines]
    )


@pytest.mark.parametrize(("gauge", "piece"), PRINTED, ids=[f"{gauge.name}-{piece.label}" for gauge, piece in PRINTED])
def test_a_print_is_one_sound_body_that_needs_no_support(gauge: Gauge, piece: Printed, tmp_path: Path) -> None:
    path = tmp_path / "gauge.stl"
    write_stl(path, mesh(piece.shape).placed(FLAT), gauge.name)
    read = trimesh.load(path)
    assert read.is_volume
    assert read.body_count == 1
    assert read.bounds[0][2] == pytest.approx(0.0, abs=1e-6)
    hangs = (read.face_normals[:, 2] < -0.01) & (read.triangles_center[:, 2] > 1e-3)
    assert float(read.area_faces[hangs].sum()) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("gauge", [SLICES, PLUGS], ids=lambda gauge: gauge.name)
def test_plugs_and_slices_are_as_wide_as_their_number(gauge: Gauge) -> None:
    for piece, (text, size) in zip(gauge.printed, gauge.steps, strict=True):
        assert piece.label == text == f"{size:.2f}"
        solid = solid_of(piece.shape)
        # Corners of a fit face lie on the true radius; files hold 1e-6 mm.
        assert 2.0 * largest_radius(ring_of(solid, solid.bounds[1][2] - 0.5)) == pytest.approx(size, abs=4e-6)


def test_rings_let_through_what_their_number_says() -> None:
    for piece, (_, size) in zip(RINGS.printed, RINGS.steps, strict=True):
        ring = ring_of(solid_of(piece.shape), 8.0)
        # The middles of the chords of a bore of role fit lie on the true radius.
        assert 2.0 * bore_radius(ring) == pytest.approx(size, abs=4e-6)


def test_a_slice_is_a_slice_of_the_part_itself() -> None:
    """The nose of the design, cut at mid-shoulder by an independent reader, is the slice over its tab."""
    nose = NoseCone.build(**NoseCone.example | {"screw_count": 0})
    assert nose.shoulder_diameter is not None
    gauge = shoulder_slices("s", "nose", nose.shoulder_diameter, nose.shoulder_wall, nose.shoulder_length, 1, "petg")
    middle = gauge.printed[1]
    standing = mesh(nose.shape()).placed(nose.pose())
    part = trimesh.Trimesh(standing.vertices, standing.triangles, process=False)
    of_part, of_slice = ring_of(part, nose.shoulder_length / 2.0), ring_of(solid_of(middle.shape), 10.0)
    # Chords of the two readings may start elsewhere; each is within 0.01 mm of the circle (fineness of fit faces).
    assert of_part.symmetric_difference(of_slice).area < 2.0 * math.tau * 65.3 / 2.0 * 0.012
    assert largest_radius(of_part) == pytest.approx(largest_radius(of_slice), abs=4e-6)


def test_what_is_done_to_a_part_is_done_to_its_gauge() -> None:
    printer = Printer("tall", 250.0, 250.0, 300.0, outside=0.06, hole=0.11, shrinkage={"petg": 0.004})
    for piece, (_, size) in zip(SLICES.printed, SLICES.steps, strict=True):
        solid = solid_of(compensated(piece.shape, printer, "petg", FLAT))
        wanted = (size / 2.0 - 0.06) / (1.0 - 0.004)
        assert largest_radius(ring_of(solid, 15.0)) == pytest.approx(wanted, abs=2e-6)
    for piece, (_, size) in zip(RINGS.printed, RINGS.steps, strict=True):
        ring = ring_of(solid_of(compensated(piece.shape, printer, None, FLAT)), 8.0)
        assert bore_radius(ring) == pytest.approx(size / 2.0 + 0.11, abs=2e-6)


NUMBERS: tuple[tuple[str, Shape, float, tuple[str, ...]], ...] = (
    ("slice", SLICES.printed[0].shape, TAB, ("65.28", "1")),
    ("ring", RINGS.printed[2].shape, TAB, ("68.44",)),
    ("plug", PLUGS.printed[4].shape, TAB, ("29.40",)),
    ("slots", SLOTS.printed[0].shape, 3.0, ("4.20", "4.40", "4.60", "4.80")),
    ("bosses", BOSSES.printed[0].shape, 3.0, ("3.80", "3.90", "4.00", "4.10", "4.20")),
)


@pytest.mark.parametrize(("shape", "face", "words"), [row[1:] for row in NUMBERS], ids=[row[0] for row in NUMBERS])
def test_the_numbers_stand_out_upright_and_can_be_read(shape: Shape, face: float, words: tuple[str, ...]) -> None:
    """Half way up the letters only they, and walls and bosses that are higher, are left; letters as seen from above."""
    solid = solid_of(shape)
    low, high = (section(solid, height) for height in (face + RAISED / 2.0, face + RAISED + 0.2))
    taller = unary_union(high) if solid.bounds[1][2] > face + RAISED + 0.1 else Polygon()
    found = unary_union(low).difference(taller.buffer(0.05))
    pieces = sorted((one for one in getattr(found, "geoms", (found,)) if one.area > 0.05), key=lambda one: one.bounds)
    for text in words:
        off, scale = min(fitted_words(text, found, first) for first in pieces)
        # Letters are meshed to 0.05 mm at most off their curves: some hundredths of their area.
        assert off < 0.05, text
        assert scale >= LEAST - 0.05


def fitted_words(text: str, found: BaseGeometry, first: Polygon) -> tuple[float, float]:
    """How far off words are that start with a shape, as a share of their area, and the height of their capitals."""
    plain = polygon_of(letters(text, 1.0)[:1]).bounds
    scale = (first.bounds[3] - first.bounds[1]) / (plain[3] - plain[1])
    moved = first.bounds[0] - plain[0] * scale, first.bounds[1] - plain[1] * scale
    drawn = translate(polygon_of(letters(text, scale)), *moved)
    return drawn.symmetric_difference(found.intersection(drawn.envelope)).area / drawn.area, scale


@pytest.mark.parametrize("gauge", [SLICES, RINGS, PLUGS, SLOTS, BOSSES], ids=lambda gauge: gauge.name)
def test_the_kernel_finds_one_valid_solid_of_the_same_volume(gauge: Gauge) -> None:
    shape = gauge.printed[0].shape
    body = brep.solid(shape)
    assert brep.is_valid(body)
    assert brep.bodies(body) == 1
    # Facets of a fit face lose at most 0.01 mm of a wall of 2.4 mm.
    assert brep.moments(body).volume == pytest.approx(solid_of(shape).volume, rel=0.01 / 2.4)


def test_slots_are_as_wide_as_their_numbers() -> None:
    """Widths on the mesh, along a line through the slots; t + 0.2, 0.4, 0.6, 0.8 mm (common practice)."""
    assert [size for _, size in SLOTS.steps] == [4.2, 4.4, 4.6, 4.8]
    (plate,) = section(solid_of(SLOTS.printed[0].shape), 1.5)
    left, _, right, top = plate.bounds
    gaps = LineString([(left, top - 5.0), (right, top - 5.0)]).difference(plate)
    assert [gap.length for gap in gaps.geoms] == pytest.approx([4.2, 4.4, 4.6, 4.8], abs=4e-6)


def test_holes_of_bosses_are_as_wide_and_deep_as_said() -> None:
    """The diameter over chords whose middles lie on it; depth: length of the insert and 0.5 mm (common practice)."""
    solid = solid_of(BOSSES.printed[0].shape)
    rims = sorted(section(solid, 6.0), key=lambda one: one.centroid.x)
    widths = [2.0 * bore_radius(rim, rim.centroid) for rim in rims]
    assert widths == pytest.approx([size for _, size in BOSSES.steps], abs=1e-4)
    assert [size for _, size in BOSSES.steps] == [3.8, 3.9, 4.0, 4.1, 4.2]
    # The hole's floor is the top of the bar.
    assert solid.bounds[1][2] - 3.0 == pytest.approx(sized(Insert, "M3").length + 0.5, abs=1e-6)
    assert not [rim for rim in section(solid, 2.9) if rim.interiors]


@pytest.mark.parametrize(("gauge", "sheeted"), CUT, ids=[f"{one.name}-{piece.piece.word}" for one, piece in CUT])
def test_a_cut_piece_reads_back_with_its_numbers(gauge: Gauge, sheeted: Sheeted, tmp_path: Path) -> None:
    piece, engraved = sheeted.piece, sheeted.letters
    path = tmp_path / "gauge.dxf"
    write_dxf(path, piece.outline, title=gauge.name, engrave=engraved)
    space = ezdxf.readfile(path).modelspace()
    assert len(space.query('*[layer=="CUT"]')) == len(piece.outline.loops)
    assert len(space.query('*[layer=="ENGRAVE"]')) > 0
    circles = {round(2.0 * circle.dxf.radius, 6) for circle in space.query('CIRCLE[layer=="CUT"]')}
    if gauge in (RINGS, PLUGS):
        assert dict(gauge.steps)[piece.word] in circles


@pytest.mark.parametrize("kerf", [0.05, 0.16, 0.23, 0.4])
@pytest.mark.parametrize("scale", [1.0, 1.002])
def test_the_comb_measures_the_kerf(kerf: float, scale: float) -> None:
    """A beam of known width taken away along every line by shapely; the strips and the tray measured as on a bench.

    A machine that draws 0.2 % too large changes the result by 0.2 % of itself.
    """
    frame = outline()
    paths = [LineString([*(edge.piece.start for edge in loop), loop[0].piece.start]) for loop in frame.loops]
    paths = [LineString([(x * scale, y * scale) for x, y in path.coords]) for path in paths]
    sheet = Polygon(paths[0].buffer(20.0).exterior)
    left = sheet.difference(unary_union([path.buffer(kerf / 2.0, join_style="mitre") for path in paths]))
    pieces = sorted(left.geoms, key=lambda one: one.area)
    strips, rest = pieces[:STRIPS], pieces[STRIPS:]
    assert {round(strip.bounds[2] - strip.bounds[0], 6) for strip in strips} == {round(STRIP * scale - kerf, 6)}
    row = sum(strip.bounds[2] - strip.bounds[0] for strip in strips)
    comb = next(one for one in rest if len(one.interiors) == STRIPS + 1)
    tray = max((Polygon(hole) for hole in comb.interiors), key=lambda one: one.area)
    long = tray.bounds[2] - tray.bounds[0]
    assert kerf_from(long, row) == pytest.approx(kerf, abs=1e-9 if scale == 1.0 else 1e-3)
    # Calipers read to 0.01 mm and are good to 0.03 mm: the kerf is still good to 0.01 mm.
    assert kerf_from(round(long, 2) + 0.03, round(row, 2) - 0.03) == pytest.approx(kerf, abs=0.01)
    # The strips go into the tray with room to spare.
    assert max(strip.bounds[3] - strip.bounds[1] for strip in strips) < tray.bounds[3] - tray.bounds[1]
    assert kerf_from(long, row) * 11.0 == pytest.approx(long - row)


@pytest.mark.parametrize(("tray", "row", "words"), [(100.0, 101.0, "measure again"), (0.0, 1.0, "above 0 mm")])
def test_a_comb_that_cannot_be_is_refused(tray: float, row: float, words: str) -> None:
    with pytest.raises(PartError, match=words):
        kerf_from(tray, row)


@pytest.mark.parametrize(("gauge", "half"), [(RINGS, -0.1), (PLUGS, 0.1)], ids=["rings", "plugs"])
def test_cut_sets_carry_half_the_kerf(gauge: Gauge, half: float, tmp_path: Path) -> None:
    """The beam takes half its width off a plug all round, and as much out of a ring's bore."""
    cutter = Cutter("laser", 600.0, 300.0, kerf=0.2)
    for sheeted, (text, size) in zip(gauge.cut, gauge.steps, strict=True):
        path = tmp_path / f"{text}.dxf"
        write_dxf(path, cut_compensated(sheeted.piece.outline, cutter, None), title=text, engrave=sheeted.letters)
        radii = [one.dxf.radius for one in ezdxf.readfile(path).modelspace().query('CIRCLE[layer=="CUT"]')]
        assert min(abs(radius - size / 2.0 - half) for radius in radii) < 1e-9


@pytest.mark.parametrize("gauge", GAUGES, ids=lambda gauge: gauge.name)
def test_the_bench_is_told_what_to_do(gauge: Gauge) -> None:
    for words in (gauge.title, gauge.make, gauge.trial, gauge.note):
        assert len(words) > 15
    assert gauge.steps
    assert gauge.printed or gauge.cut
    # What is printed or cut is named by its sizes, from the first to the last.
    if gauge is not COMB:
        assert gauge.steps[0][0] in gauge.make
        assert gauge.steps[-1][0] in gauge.make


@given(st.floats(5.0, 200.0), st.integers(2, 9), st.sampled_from([0.05, 0.1]))
def test_a_ladder_lies_round_its_middle(middle: float, count: int, step: float) -> None:
    steps = ladder(middle, count, step)
    sizes = [size for _, size in steps]
    assert [float(text) for text, _ in steps] == sizes
    assert np.diff(sizes) == pytest.approx([step] * (count - 1))
    assert sum(sizes) / count == pytest.approx(middle, abs=0.0051)


@settings(max_examples=max(settings.default.max_examples // 5, 1))
@given(st.floats(24.0, 160.0), st.floats(1.2, 4.0))
def test_every_usual_tube_has_its_plugs_and_rings(diameter: float, wall: float) -> None:
    """24 to 160 mm are the tubes of motors and airframes (common practice)."""
    text = label(diameter)
    for shape in (slice_of(diameter, wall, 12.0, (text, "1")), ring_over(diameter, wall, 12.0, (text,))):
        solid = solid_of(shape)
        assert solid.is_volume
        assert solid.body_count == 1
        outer = diameter / 2.0
        # The tab never reaches the face that decides.
        cut = unary_union(section(solid, TAB / 2.0))
        circle = MIDDLE.buffer(outer, quad_segs=128)
        over, inside = cut.difference(circle.buffer(0.05)).area, cut.intersection(circle.buffer(-0.05)).area
        assert min(over, inside) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: slice_of(10.0, 5.0, 12.0, ("1",)), "wall: 5 mm"),
        (lambda: slice_of(60.0, 2.0, 4.0, ("1",)), "height: 4 mm"),
        (lambda: slice_of(9.0, 2.0, 12.0, ("9.00",)), "numbers: '9.00'"),
        (lambda: ring_over(0.0, 2.0, 12.0, ("1",)), "bore: 0 mm"),
        (lambda: shoulder_slices("shoulder-x", "x", 60.0, 2.0, 3.0, 1, None), "shoulder-x: height: 3 mm"),
        (lambda: plugs("plugs-x", "x", 8.0), "plugs-x: numbers"),
        (lambda: rings("rings-x", "x", 0.2), "steps: 5 sizes"),
        (lambda: slot_gauge("s", "x", 0.0), "thickness: 0 mm"),
        (lambda: kerf_comb("k", None, -1.0), "thickness: -1 mm"),
        (lambda: ladder(60.0, 1, 0.1), "at least 2 sizes"),
        (lambda: ladder(60.0, 3, 0.005), "not a multiple of 0.01 mm"),
        (lambda: letter_height("65.38", 5.0, 10.0), "nobody reads"),
    ],
)
def test_what_cannot_be_made_is_said_clearly(make: Callable[[], object], words: str) -> None:
    with pytest.raises(PartError, match=words):
        make()
