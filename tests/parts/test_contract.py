"""What every kind of part must do, by the same tests for all: a new kind is covered once it is registered.

The exact integral, the CAD kernel and the mesh are three independent readers of one shape; each is held to the others.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from ferrule.parts.curve import Line
from ferrule.parts.kinds import Bulkhead, Coupler, Fillet, Fin, NoseCone, Transition, in_bench_order
from ferrule.parts.part import KINDS, Part, register
from ferrule.parts.profiles import FAMILIES
from ferrule.parts.readers.brep import measure, section_area, solid
from ferrule.parts.readers.integrals import box, moments
from ferrule.parts.readers.mesh import GRID, Fineness, Mesh, mesh
from ferrule.parts.shape import Blade, Cut, Fused, Placed, Plate, Ruled, Shape
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.paper import PAPERS
from ferrule.parts.sheets.template import template_sheets
from ferrule.parts.writers.dxf import write_dxf
from ferrule.parts.writers.glb import Node, write_glb
from ferrule.parts.writers.pdf import write_pdf
from ferrule.parts.writers.step import write_step
from ferrule.parts.writers.stl import write_stl
from ferrule.parts.writers.svg import write_svg
from ferrule.parts.writers.threemf import PrintObject, write_3mf

CONSTANTS: dict[str, dict[str, object]] = {
    "secant-ogive": {"arc_radius": "1200 mm"},
    "parabola": {"parabola_constant": 0.75},
    "power-law": {"power_exponent": 0.6},
    "haack": {"haack_constant": "0.3333333333"},
}


def noses() -> Iterator[tuple[str, Part]]:
    for family in FAMILIES:
        for body in ("hollow", "solid"):
            for shoulder in ({}, {"shoulder_length": "60 mm", "shoulder_diameter": "63 mm"}):
                name = f"{family}-{body}-{'shoulder' if shoulder else 'plain'}"
                fields: dict[str, Any] = {"length": "200 mm", "base_diameter": "66 mm", "wall": "2 mm", "body": body}
                yield name, NoseCone.build(profile=family, **fields, **shoulder, **CONSTANTS.get(family, {}))


DISC_FEATURES: dict[str, Any] = {
    "vent_hole_count": 2,
    "vent_hole_diameter": "4 mm",
    "vent_circle_diameter": "50 mm",
    "alignment_notch_width": "3 mm",
    "alignment_notch_depth": "1.5 mm",
    "washer_diameter": "10 mm",
}
RETENTION: dict[str, Any] = {
    "retention_hole_count": 2,
    "retention_hole_diameter": "3.2 mm",
    "retention_circle_diameter": "56 mm",
    "retention_roll": "25 deg",
}
SLOT: dict[str, Any] = {"harness_slot_width": "4 mm", "harness_slot_length": "15 mm", "harness_slot_roll": "-95 deg"}

NO_TRAPEZOID: dict[str, Any] = {"tip_chord": None, "semi_span": None, "sweep_length": None}

VARIANTS: dict[str, tuple[str, dict[str, Any]]] = {
    "centering-ring-notched": (
        "centering-ring",
        {
            **DISC_FEATURES,
            **RETENTION,
            **SLOT,
            "hole_rolls": (),
            "u_bolt_width": "20 mm",
            "u_bolt_hole_diameter": "5.5 mm",
            "u_bolt_roll": "90 deg",
            "notch_count": 4,
            "notch_width": "4.3 mm",
            "notch_depth": "9 mm",
            "notch_from": "rim",
            "layers": 2,
        },
    ),
    "centering-ring-notched-bore": (
        "centering-ring",
        {"notch_count": 3, "notch_width": "3.3 mm", "notch_depth": "8 mm", "notch_from": "bore", "hole_rolls": ()},
    ),
    "centering-ring-cluster": (
        "centering-ring",
        {
            "inside_diameter": "19 mm",
            "motor_tube_count": 4,
            "motor_tube_circle_diameter": "43 mm",
            "central_bore_diameter": "13 mm",
            "hole_rolls": (),
            "retention_hole_count": 4,
            "retention_hole_diameter": "3.2 mm",
            "retention_circle_diameter": "40 mm",
            "retention_roll": "45 deg",
        },
    ),
    "bulkhead-rods-stepped": (
        "bulkhead",
        {
            **DISC_FEATURES,
            "step_diameter": "61.2 mm",
            "step_thickness": "4.8 mm",
            "step_faces": "aft",
            "hole_rolls": (),
            "rod_hole_count": 2,
            "rod_hole_diameter": "5.5 mm",
            "rod_circle_diameter": "46 mm",
            "dowel_hole_count": 3,
            "dowel_hole_diameter": "3 mm",
            "dowel_circle_diameter": "30 mm",
            "cable_hole_diameter": "6 mm",
            "cable_hole_distance": "18 mm",
            "cable_hole_roll": "150 deg",
        },
    ),
    "bulkhead-printed": (
        "bulkhead",
        {
            "step_diameter": "61.2 mm",
            "step_thickness": "4.8 mm",
            "step_faces": "aft",
            "material": "petg",
            "centre_hole_diameter": None,
            "hole_rolls": (),
            "u_bolt_width": "20 mm",
            "u_bolt_hole_diameter": "5.5 mm",
        },
    ),
    "motor-mount-notched": (
        "motor-mount",
        {
            **DISC_FEATURES,
            **RETENTION,
            **SLOT,
            # A vee at the rail line takes the uppermost point of every rim, which the box of a turned solid keeps.
            "alignment_notch_width": None,
            "alignment_notch_depth": None,
            "ring_positions": ("10 mm", "16 mm", "46 mm", "142.7 mm"),
            "notch_count": 4,
            "notch_width": "4.3 mm",
            "notch_depth": "9 mm",
            "notched_rings": (2, 4),
            "hole_rolls": (),
            "u_bolt_width": "20 mm",
            "u_bolt_hole_diameter": "5.5 mm",
            "u_bolt_roll": "90 deg",
        },
    ),
    "tube-holes": ("tube", {"hole_diameter": "4 mm", "hole_positions": ("40 mm", "200 mm"), "hole_roll": "-30 deg"}),
    "bulkhead-bare": ("bulkhead", {"centre_hole_diameter": None, "hole_rolls": ()}),
    "bulkhead-stepped-forward": (
        "bulkhead",
        {"step_diameter": "61.2 mm", "step_thickness": "4.8 mm", "step_faces": "forward"},
    ),
    "bulkhead-stepped-aft": ("bulkhead", {"step_diameter": "61.2 mm", "step_thickness": "3 mm", "step_faces": "aft"}),
    "coupler-plain": ("coupler", {"screw_count": 0}),
    "coupler-pins": ("coupler", {"separates": "aft", "shear_pin_count": 3, "shear_pin_roll": "0 deg"}),
    "coupler-ledge": ("coupler", {"seat_station": "68 mm", "seat_depth": "4 mm", "seat_width": "2 mm"}),
    "coupler-band": ("coupler", {"switch_band_length": "25 mm", "switch_band_diameter": "68.4 mm"}),
    "coupler-everything": (
        "coupler",
        {
            "length": "160 mm",
            "separates": "forward",
            "shear_pin_count": 2,
            "shear_pin_distance": "30 mm",
            "vent_diameter": "4 mm",
            "vent_count": 3,
            "seat_station": "92.5 mm",
            "seat_depth": "3 mm",
            "seat_width": "2 mm",
            "switch_band_length": "25 mm",
            "switch_band_diameter": "68.4 mm",
        },
    ),
    "motor-mount-plain": ("motor-mount", {"hole_rolls": ()}),
    "motor-mount-flush": ("motor-mount", {"ring_positions": ("0 mm", "6 mm", "60 mm", "144 mm")}),
    "motor-mount-close": ("motor-mount", {"ring_positions": ("0 mm", "7 mm")}),
    "transition-nearly-equal": ("transition", {"forward_diameter": "68.302 mm", "aft_diameter": "68.3 mm"}),
    "transition-short": ("transition", {"length": "6 mm", "aft_diameter": "66 mm"}),
    "transition-boat-tail": (
        "transition",
        {
            "profile": "ogive",
            "motor_bore_diameter": "38.6 mm",
            "retainer_recess_diameter": "44 mm",
            "retainer_recess_depth": "6 mm",
            "forward_screw_count": 3,
            "vent_hole_diameter": "4 mm",
            "vent_hole_roll": "-60 deg",
        },
    ),
    "transition-elliptic-hollow-forward-aft": (
        "transition",
        {
            "forward_diameter": "49.9 mm",
            "aft_diameter": "68.3 mm",
            "profile": "elliptic",
            "forward_shoulder_diameter": "47 mm",
            "aft_shoulder_length": "40 mm",
            "aft_shoulder_diameter": "65.4 mm",
        },
    ),
    "transition-arc-solid": ("transition", {"profile": "ogive", "arc_radius": "900 mm", "body": "solid"}),
    "fillet-in-a-bore": ("fillet", {"side": "inside", "surface_diameter": "75 mm", "radius": "6 mm"}),
    "fin-elliptic": ("fin", {**NO_TRAPEZOID, "planform": "elliptic", "semi_span": "62 mm"}),
    "fin-polygon": (
        "fin",
        {
            **NO_TRAPEZOID,
            "planform": "polygon",
            "points": ("30 mm, 40 mm", "60 mm, 58 mm", "110 mm, 58 mm", "100 mm, 30 mm"),
            "notch_positions": ("30 mm", "70 mm"),
            "notch_length": "6.5 mm",
            "notch_depth": "9 mm",
            "pin_hole_diameter": "2 mm",
        },
    ),
    "fin-curved": (
        "fin",
        {
            **NO_TRAPEZOID,
            "planform": "curved",
            "points": (
                "spline through 20 mm, 40 mm; 55 mm, 62 mm to 100 mm, 64 mm",
                "arc through 124 mm, 36 mm to root",
            ),
        },
    ),
    "fin-worked": (
        "fin",
        {
            "leading_edge": "round",
            "tip_edge": "bevel 5 mm, land 1 mm",
            "trailing_edge": "bevel 12 mm, 6 deg, one side",
            "pin_hole_diameter": "3 mm",
        },
    ),
    "fin-aerofoil": (
        "fin",
        {
            "section": "naca-four-digit",
            "material": "petg",
            "thickness": "9 mm",
            "tab_thickness": "4 mm",
            "tab_length": "70 mm",
        },
    ),
    "rail-button-wide-foot": ("rail-button", {"foot_diameter": "14 mm"}),
    "rail-button-on-a-boss": ("rail-button", {"standoff": "6 mm"}),
}
"""Field values over the example's, for what the examples do not show."""


def transitions() -> Iterator[tuple[str, Part]]:
    ends = {"narrowing": ("68.3 mm", "49.9 mm"), "widening": ("49.9 mm", "68.3 mm"), "equal": ("68.3 mm", "68.3 mm")}
    for way, (forward, aft) in ends.items():
        for body in ("hollow", "solid"):
            for shoulders in ((), ("forward",), ("aft",), ("forward", "aft")):
                fields: dict[str, Any] = {"forward_diameter": forward, "aft_diameter": aft, "length": "80 mm"}
                for end in shoulders:
                    outside = "47 mm" if fields[f"{end}_diameter"] == "49.9 mm" else "65.4 mm"
                    fields |= {f"{end}_shoulder_length": "40 mm", f"{end}_shoulder_diameter": outside}
                name = f"transition-{way}-{body}-{'-'.join(shoulders) or 'bare'}"
                yield name, Transition.build(body=body, **fields)


PARTS: dict[str, Part] = {
    **{f"{kind.kind}-example": kind.build(**kind.example) for kind in in_bench_order()},
    **dict(noses()),
    **{name: KINDS[kind].build(**{**KINDS[kind].example, **fields}) for name, (kind, fields) in VARIANTS.items()},
    **dict(transitions()),
}


@pytest.fixture(params=PARTS)
def part(request: pytest.FixtureRequest) -> Part:
    return PARTS[request.param]


def layer_area(found: Mesh, x: float) -> float:
    """Area that the mesh encloses at a station, as the sum over the lines in which its triangles pass the plane."""
    corners = found.vertices[found.triangles]
    above = corners[:, :, 0] > x
    corners, above = corners[(above.sum(axis=1) % 3) != 0], above[(above.sum(axis=1) % 3) != 0]
    # Turn each triangle so that its lone corner comes first, its order kept.
    lone = np.where(above.sum(axis=1) == 1, above.argmax(axis=1), (~above).argmax(axis=1))
    a, b, c = (corners[np.arange(len(corners)), (lone + k) % 3] for k in range(3))
    ends = [a + (other - a) * ((x - a[:, :1]) / (other[:, :1] - a[:, :1])) for other in (b, c)]
    p, q = (end[:, 1:] for end in ends)
    crosses = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    upward = np.where(a[:, 0] > x, 1.0, -1.0)
    return abs(float(np.sum(crosses * upward))) / 2.0


def has_features(shape: Shape) -> bool:
    if isinstance(shape, Fused):
        return any(isinstance(member, Ruled) for member in shape.members)
    return (
        isinstance(shape, Cut)
        or bool(isinstance(shape, Blade) and shape.forms)
        or (isinstance(shape, Placed) and has_features(shape.shape))
    )


def is_worked(part: Part) -> bool:
    """Whether it is worked after it is cut: what it was cut from is more than it is."""
    return isinstance(part, Fin) and bool(part.worked())


def test_the_catalogue_is_in_bench_order_and_refuses_a_second_of_the_same_name() -> None:
    assert [kind.kind for kind in in_bench_order()] == [
        "tube",
        "centering-ring",
        "bulkhead",
        "coupler",
        "nose-cone",
        "fin",
        "fillet",
        "fin-can",
        "transition",
        "motor-mount",
        "rail-button",
    ]
    with pytest.raises(TypeError, match="two kinds are called 'tube'"):
        register(KINDS["tube"])


def test_every_field_says_what_it_is() -> None:
    silent = [
        f"{kind.kind}.{name}"
        for kind in in_bench_order()
        for name, field in kind.model_fields.items()
        if not field.description
    ]
    assert silent == []


def test_the_docstring_has_a_drawing() -> None:
    for kind in in_bench_order():
        assert "::" in (kind.__doc__ or ""), kind.kind


def test_a_part_round_trips_through_its_fields(part: Part) -> None:
    again = type(part)(**part.model_dump())
    assert again == part
    assert again.fingerprint() == part.fingerprint()


def test_the_kernel_finds_the_solid_sound_and_of_the_same_moments(part: Part) -> None:
    shape = part.shape()
    exact, found = moments(shape), measure(solid(shape))
    assert found.valid
    assert found.bodies == (2 if isinstance(part, Fillet) else 1), "two fillets, one on each side of the fin"
    # Both are exact but for rounding on plain solids; kernel booleans follow their cut edges only approximately.
    volume, inertia = (1e-6, 1e-5) if has_features(shape) else (1e-10, 1e-9)
    if isinstance(shape, Fused):
        # Its faces are exact; the kernel integrates over joined solids until the volume holds still, and no longer.
        inertia = 1e-6
    assert found.moments.volume == pytest.approx(exact.volume, rel=volume)
    size = float(np.max(np.subtract(found.high, found.low)))
    assert np.allclose(found.moments.centroid, exact.centroid, rtol=0.0, atol=size * volume)
    scale = float(np.abs(exact.inertia()).max())
    assert np.allclose(found.moments.inertia(), exact.inertia(), rtol=0.0, atol=scale * inertia)


def test_stated_bounds_are_measured_bounds(part: Part) -> None:
    low, high = box(part.shape())
    found = measure(solid(part.shape()))
    assert np.allclose(found.low, low, rtol=0.0, atol=1e-6)
    assert np.allclose(found.high, high, rtol=0.0, atol=1e-6)
    first, last = part.extent()
    assert found.low[0] == pytest.approx(first, abs=1e-6)
    assert found.high[0] == pytest.approx(last, abs=1e-6)


def test_the_mesh_is_sound_and_within_its_deviation(part: Part) -> None:
    found = mesh(part.shape())
    assert found.faults() == ()
    independent = trimesh.Trimesh(found.vertices, found.triangles, process=False)
    assert independent.is_volume
    low, high = box(part.shape())
    deviation = Fineness().deviation
    assert np.all(found.vertices.min(axis=0) >= low - deviation)
    assert np.all(found.vertices.max(axis=0) <= high + deviation)


def test_a_mesh_without_fit_rule_has_the_exact_volume(part: Part) -> None:
    found = mesh(part.shape(), Fineness(hold_fit=False))
    exact = moments(part.shape()).volume
    # Facets are volume-true to 1e-8; the grid then moves each vertex by at most half its step. A cut follows the
    # facets and not the surface, which costs what the facets depart by at the rim of a hole.
    surface = trimesh.Trimesh(found.vertices, found.triangles, process=False).area
    tolerance = 1e-8 * exact + GRID / 2.0 * surface + (2e-6 * exact if has_features(part.shape()) else 0.0)
    assert found.moments().volume == pytest.approx(exact, abs=tolerance)


LAYERED = [
    name
    for name in PARTS
    if name.endswith(("-example", "-hollow-shoulder", "-hollow-forward-aft", "-holes")) or "stepped" in name
]


@pytest.mark.parametrize("name", LAYERED)
def test_layers_of_the_mesh_have_the_area_of_the_exact_section(name: str) -> None:
    """At 50 heights; a surface that passes through itself would enclose too much or too little somewhere."""
    part = PARTS[name]
    shape = part.shape()
    body, found = solid(shape), mesh(shape, Fineness(hold_fit=False))
    first, last = part.extent()
    # At irrational places, so that no layer lies in a face.
    for share in (np.arange(50) + 0.5**0.5) / 50.7:
        x = first + (last - first) * float(share)
        exact = section_area(body, x)
        area = layer_area(found, x)
        low, high = box(shape)
        rim = 2.0 * float(np.sum(high[1:] - low[1:])) * 2.0
        assert area == pytest.approx(exact, abs=rim * Fineness().deviation), x


def test_step_reads_back_the_same_every_time(part: Part, tmp_path: Path) -> None:
    for name in ("first", "second"):
        proof = write_step(
            tmp_path / f"{name}.step", part.shape(), name="part", placement=part.pose(), description="a test"
        )
        assert proof.volume == pytest.approx(moments(part.shape()).volume, rel=1e-6)
    first, second = (tmp_path / "first.step").read_bytes(), (tmp_path / "second.step").read_bytes()
    assert first == second
    assert b"SI_UNIT(.MILLI.,.METRE.)" in first
    assert b"PRODUCT('part','part'" in first


def test_stl_lies_in_the_same_pose_as_step(part: Part, tmp_path: Path) -> None:
    path = tmp_path / "part.stl"
    proof = write_stl(path, mesh(part.shape()).placed(part.pose()), "ferrule test")
    found = trimesh.load(path)
    assert found.is_volume
    assert len(found.faces) == proof.triangles
    low, high = box(part.shape())
    corners = part.pose().apply(np.array(np.meshgrid(*zip(low, high, strict=True))).reshape(3, -1).T)
    assert np.allclose(found.bounds[0], corners.min(axis=0), atol=Fineness().deviation)
    assert np.allclose(found.bounds[1], corners.max(axis=0), atol=Fineness().deviation)
    assert found.bounds[0][2] == pytest.approx(0.0, abs=1e-4), "it stands on the bed"


def test_a_template_has_the_volume_of_the_part_over_its_thickness(part: Part) -> None:
    outline, thickness = part.template(), part.sheet_thickness()
    assert (outline is None) == (thickness is None)
    if outline is not None and thickness is not None:
        layers = sum(piece.count for piece in part.cut_pieces())
        whole = layers * moments(Plate(outline, thickness)).volume
        if is_worked(part):
            assert whole > moments(part.shape()).volume
        else:
            assert whole == pytest.approx(moments(part.shape()).volume, rel=1e-12)


def test_the_pieces_to_cut_are_the_parts_of_sheet(part: Part) -> None:
    """A part that is cut from sheet throughout has the volume of its pieces; their words tell them apart."""
    pieces = part.cut_pieces()
    assert len({piece.word for piece in pieces}) == len(pieces)
    assert all(piece.count >= 1 and piece.marks for piece in pieces)
    if part.template() is not None or (isinstance(part, Bulkhead) and not part.is_printed()):
        cut = sum(piece.count * moments(Plate(piece.outline, piece.thickness)).volume for piece in pieces)
        assert is_worked(part) or cut == pytest.approx(moments(part.shape()).volume, rel=1e-12)
    if part.template() is not None:
        assert [(piece.word, piece.outline, piece.marks) for piece in pieces] == [("", part.template(), part.marks())]


def test_the_bodies_are_the_part(part: Part) -> None:
    """Volume, centre and inertia of the bodies together are the shape's, so none is left out or counted twice."""
    exact, found = moments(part.shape()), [moments(body.shape) for body in part.bodies()]
    # Holes along the axis through a turned solid are measured on a mesh; the bodies are exact.
    tolerance = 1e-6 if has_features(part.shape()) else 1e-11
    volume = sum(one.volume for one in found)
    assert volume == pytest.approx(exact.volume, rel=tolerance)
    size = float(np.max(np.subtract(*reversed(box(part.shape())))))
    assert np.allclose(sum(np.array(one.first) for one in found), exact.first, rtol=0.0, atol=volume * size * tolerance)
    second = sum(np.array(one.second) for one in found)
    assert np.allclose(second, exact.second, rtol=0.0, atol=volume * size**2 * tolerance)


def test_skin_is_part_of_the_shape(part: Part) -> None:
    for piece in part.skin():
        assert isinstance(piece, Line) or piece.length() > 0.0
    if isinstance(part, NoseCone):
        assert part.skin()[-1].end == pytest.approx((part.length, part.base_diameter / 2.0), abs=1e-9)
    if isinstance(part, Coupler):
        shape = part.shape()
        assert part.skin() == (shape.base if isinstance(shape, Cut) else shape).meridian.role("wetted")
    if isinstance(part, Transition):
        assert part.skin()[0].start == pytest.approx((0.0, part.forward_diameter / 2.0), abs=1e-9)
        assert part.skin()[-1].end == pytest.approx((part.length, part.aft_diameter / 2.0), abs=1e-9)


def test_3mf_and_glb_hold_the_mesh_of_the_part(part: Part, tmp_path: Path) -> None:
    found = mesh(part.shape())
    threemf = write_3mf(tmp_path / "part.3mf", [PrintObject("part", found.placed(part.pose()), part.material)], "test")
    assert threemf.triangles == len(found.triangles)
    assert threemf.volume == pytest.approx(found.moments().volume, rel=1e-6)
    glb = write_glb(tmp_path / "part.glb", [Node("part", found, material=part.material)], "test")
    assert glb.volume == pytest.approx(found.moments().volume, rel=1e-5)
    # The rocket stands nose up: the part's +x, which points aft, is the file's -Y, in metres.
    first, last = part.extent()
    deviation = Fineness().deviation
    assert [-1000.0 * glb.high[1], -1000.0 * glb.low[1]] == pytest.approx([first, last], abs=deviation)


def test_every_piece_to_cut_is_whole_in_dxf_svg_and_pdf(part: Part, tmp_path: Path) -> None:
    for number, piece in enumerate(part.cut_pieces()):
        exact = moments(Plate(piece.outline, 1.0)).volume
        for suffix, write in ((".dxf", write_dxf), (".svg", write_svg)):
            proof = write(tmp_path / f"{number}{suffix}", piece.outline, title="part", marks=piece.marks)
            assert proof.contours == len(piece.outline.loops)
            assert proof.area == pytest.approx(exact, rel=1e-6)
        label = TemplateLabel("test", "part", piece.count, part.material, piece.thickness)
        for paper in PAPERS:
            sheets = template_sheets(piece.outline, label=label, paper=paper, marks=piece.marks, failed_checks=())
            write_pdf(tmp_path / f"{number}-{paper.width:g}.pdf", sheets, "part")
