"""Random parts of every kind: sound for the kernel in 30 of each, for integrals and mesh in 300 of each, as files in 3.

The sizes come from the ranges in which such parts are built (18 to 160 mm tubes); what a kind refuses it must refuse in
words. More are searched with FERRULE_EXAMPLES, of each kind as many with the mesh, a tenth as many with the kernel and
a hundredth as files; see DEVELOPERS.md.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import trimesh
from ezdxf.bbox import extents
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import in_bench_order
from ferrule.parts.part import KINDS, Part
from ferrule.parts.profiles import FAMILIES
from ferrule.parts.quantity import deg, mm
from ferrule.parts.readers.brep import measure, solid
from ferrule.parts.readers.integrals import box, moments
from ferrule.parts.readers.mesh import Fineness, mesh
from ferrule.parts.shape import Blade, Cut, Plate, Revolved, Shape
from ferrule.parts.writers.dxf import write_dxf
from ferrule.parts.writers.step import write_step
from ferrule.parts.writers.stl import write_stl

pytestmark = pytest.mark.search

SEARCHED = int(os.environ.get("FERRULE_EXAMPLES", "0"))
Draw = Callable[..., Any]
diameters = st.floats(18.0, 160.0)


@st.composite
def tubes(draw: Draw) -> dict[str, Any]:
    outside, length = draw(diameters), draw(st.floats(10.0, 1200.0))
    fields: dict[str, Any] = {
        "outside_diameter": mm(outside),
        "inside_diameter": mm(outside - draw(st.floats(0.6, 6.0))),
        "length": mm(length),
        "use": draw(st.sampled_from(["airframe", "motor", "coupler"])),
    }
    if draw(st.booleans()):
        count = draw(st.integers(1, 4))
        fields |= {
            "hole_diameter": mm(draw(st.floats(1.0, outside * 0.4))),
            "hole_positions": tuple(mm(length * (i + 0.5) / count) for i in range(count)),
            "hole_roll": deg(draw(st.floats(-180.0, 180.0))),
        }
    return fields


def features(draw: Draw, web: float, middle: float) -> dict[str, Any]:
    """Some features of a disc whose free web [mm] lies about a circle [mm]; many of them will be too near others."""
    size = st.floats(1.0, max(1.1, web * 0.35))
    roll = st.floats(-180.0, 180.0)
    found: dict[str, Any] = {}
    if draw(st.booleans()):
        found |= {
            "vent_hole_count": draw(st.integers(1, 4)),
            "vent_hole_diameter": mm(draw(size)),
            "vent_circle_diameter": mm(middle * draw(st.floats(0.9, 1.1))),
            "vent_roll": deg(draw(roll)),
        }
    if draw(st.booleans()):
        found |= {
            "alignment_notch_width": mm(draw(st.floats(1.0, 4.0))),
            "alignment_notch_depth": mm(draw(st.floats(0.5, 3.0))),
        }
    if draw(st.booleans()):
        found |= {
            "u_bolt_width": mm(middle * draw(st.floats(0.2, 0.9))),
            "u_bolt_hole_diameter": mm(draw(size)),
            "u_bolt_circle_diameter": mm(middle),
            "u_bolt_roll": deg(draw(roll)),
        }
    return found


def ring_features(draw: Draw, web: float, middle: float) -> dict[str, Any]:
    """What rings alone have: slot, retention, notches for fins."""
    roll = st.floats(-180.0, 180.0)
    found = features(draw, web, middle)
    if draw(st.booleans()):
        wide = draw(st.floats(1.0, max(1.1, web * 0.4)))
        found |= {
            "harness_slot_width": mm(wide),
            "harness_slot_length": mm(wide * draw(st.floats(1.05, 4.0))),
            "harness_slot_roll": deg(draw(roll)),
        }
    if draw(st.booleans()):
        found |= {
            "retention_hole_count": draw(st.integers(1, 4)),
            "retention_hole_diameter": mm(draw(st.floats(1.0, max(1.1, web * 0.3)))),
            "retention_circle_diameter": mm(middle * draw(st.floats(0.9, 1.1))),
            "retention_roll": deg(draw(roll)),
        }
    if draw(st.booleans()) and web > 7.0:
        found |= {
            "notch_count": draw(st.integers(1, 6)),
            "notch_width": mm(draw(st.floats(1.0, 7.0))),
            "notch_depth": mm((web - 5.0) * draw(st.floats(0.2, 1.0))),
        }
    return found


@st.composite
def rings(draw: Draw) -> dict[str, Any]:
    outside = draw(diameters)
    bore = outside * draw(st.floats(0.2, 0.9))
    count = draw(st.integers(0, 4))
    web = (outside - bore) / 2.0
    first = draw(st.floats(-180.0, 180.0))
    fields: dict[str, Any] = {
        "outside_diameter": mm(outside),
        "inside_diameter": mm(bore),
        "thickness": mm(draw(st.floats(1.0, 20.0))),
        "layers": draw(st.integers(1, 3)),
    }
    if count and web > 4.0:
        fields |= {
            "hole_diameter": mm(draw(st.floats(1.0, web - 2.5))),
            "hole_circle_diameter": mm((outside + bore) / 2.0),
            "hole_rolls": tuple(deg(first + 360.0 * i / count) for i in range(count)),
        }
    if draw(st.booleans()):
        fields |= ring_features(draw, web, (outside + bore) / 2.0)
        if "notch_count" in fields:
            fields |= {"notch_from": draw(st.sampled_from(["rim", "bore"]))}
    if draw(st.integers(0, 3)) == 0:
        tubes = draw(st.integers(2, 5))
        # The widest tubes that leave the least web, or less.
        share = math.sin(math.pi / tubes) / (1.0 + math.sin(math.pi / tubes))
        each = (outside - 4.0) * share * draw(st.floats(0.5, 0.95))
        fields |= {
            "inside_diameter": mm(each),
            "motor_tube_count": tubes,
            "motor_tube_circle_diameter": mm((outside - 4.0) * (1.0 - share)),
            "motor_tube_roll": deg(first),
        }
    return fields


@st.composite
def bulkheads(draw: Draw) -> dict[str, Any]:
    outside = draw(diameters)
    fields: dict[str, Any] = {"outside_diameter": mm(outside), "thickness": mm(draw(st.floats(1.0, 20.0)))}
    small, eye = outside, 0.0
    if draw(st.booleans()):
        small = outside - draw(st.floats(0.2, 6.0))
        fields |= {
            "step_diameter": mm(small),
            "step_thickness": mm(draw(st.floats(1.0, 12.0))),
            "step_faces": draw(st.sampled_from(["forward", "aft"])),
        }
    if draw(st.booleans()):
        eye = draw(st.floats(2.0, small * 0.3))
        fields |= {"centre_hole_diameter": mm(eye)}
    if draw(st.booleans()):
        count, first = draw(st.integers(1, 4)), draw(st.floats(-180.0, 180.0))
        fields |= {
            "hole_diameter": mm(draw(st.floats(1.0, (small - eye) / 5.0))),
            "hole_circle_diameter": mm((small + eye) / 2.0),
            "hole_rolls": tuple(deg(first + 360.0 * i / count) for i in range(count)),
        }
    if draw(st.booleans()):
        fields |= features(draw, (small - eye) / 2.0, (small + eye) / 2.0)
        fields |= {"material": draw(st.sampled_from(["petg", "birch-plywood"]))}
    if draw(st.booleans()):
        fields |= {
            "rod_hole_count": 2,
            "rod_hole_diameter": mm(draw(st.floats(1.0, small * 0.1))),
            "rod_circle_diameter": mm((small + eye) / 2.0 * draw(st.floats(0.8, 1.2))),
            "cable_hole_diameter": mm(draw(st.floats(1.0, small * 0.1))),
            "cable_hole_distance": mm((small + eye) / 4.0),
            "cable_hole_roll": deg(draw(st.floats(-180.0, 180.0))),
        }
    return fields


@st.composite
def couplers(draw: Draw) -> dict[str, Any]:
    outside = draw(diameters)
    wall, length = draw(st.floats(0.6, min(5.0, outside * 0.3))), outside * draw(st.floats(0.5, 4.0))
    fields: dict[str, Any] = {
        "outside_diameter": mm(outside),
        "wall": mm(wall),
        "length": mm(length),
        "screw_count": draw(st.integers(0, 6)),
        "screw_diameter": mm(draw(st.floats(1.5, outside * 0.05 + 1))),
        "screw_roll": deg(draw(st.floats(-180.0, 180.0))),
    }
    if draw(st.booleans()):
        fields |= {"screw_distance": mm(outside * draw(st.floats(0.1, 1.0)))}
    if draw(st.booleans()):
        fields |= {"separates": draw(st.sampled_from(["forward", "aft"])), "shear_pin_count": draw(st.integers(0, 4))}
        fields |= {"shear_pin_roll": deg(draw(st.floats(-180.0, 180.0)))}
    if draw(st.booleans()):
        fields |= {
            "switch_band_length": mm(length * draw(st.floats(0.05, 0.5))),
            "switch_band_diameter": mm(outside + draw(st.floats(0.4, 6.0))),
        }
    if draw(st.booleans()):
        fields |= {
            "vent_diameter": mm(draw(st.floats(1.0, 6.0))),
            "vent_distance": mm(length * draw(st.floats(0.1, 0.9))),
            "vent_count": draw(st.integers(1, 4)),
        }
    if draw(st.booleans()):
        fields |= {
            "seat_station": mm(length * draw(st.floats(0.05, 0.9))),
            "seat_depth": mm((outside / 2.0 - wall) * draw(st.floats(0.05, 0.6))),
            "seat_width": mm(draw(st.floats(0.5, 6.0))),
        }
    return fields


@st.composite
def transitions(draw: Draw) -> dict[str, Any]:
    forward = draw(diameters)
    aft = forward * draw(st.one_of(st.just(1.0), st.floats(0.4, 2.0)))
    small = min(forward, aft)
    fields: dict[str, Any] = {
        "forward_diameter": mm(forward),
        "aft_diameter": mm(aft),
        "length": mm(forward * draw(st.floats(0.1, 4.0))),
        "body": draw(st.sampled_from(["hollow", "hollow", "solid"])),
        "wall": mm(draw(st.floats(0.8, min(4.0, small * 0.15)))),
        "shoulder_wall": mm(draw(st.floats(0.8, min(4.0, small * 0.15)))),
    }
    for end, diameter in (("forward", forward), ("aft", aft)):
        if draw(st.booleans()):
            fields |= {
                f"{end}_shoulder_length": mm(diameter * draw(st.floats(0.2, 1.2))),
                f"{end}_shoulder_diameter": mm(diameter - draw(st.floats(0.8, 6.0))),
            }
    return fields


@st.composite
def mounts(draw: Draw) -> dict[str, Any]:
    tube, count = draw(st.floats(14.0, 100.0)), draw(st.integers(1, 5))
    rim = tube + draw(st.floats(4.0, 60.0))
    thick, length = draw(st.floats(1.5, 12.0)), draw(st.floats(70.0, 600.0))
    room = length - count * thick
    shares = sorted(draw(st.floats(0.0, 1.0)) for _ in range(count))
    fields: dict[str, Any] = {
        "tube_outside_diameter": mm(tube),
        "tube_inside_diameter": mm(tube - draw(st.floats(0.6, 4.0))),
        "tube_length": mm(length),
        "ring_diameter": mm(rim),
        "ring_thickness": mm(thick),
        "ring_positions": tuple(mm(max(room, 0.0) * share + thick * i) for i, share in enumerate(shares)),
    }
    web = (rim - tube) / 2.0
    if web > 6.0 and draw(st.booleans()):
        holes, first = draw(st.integers(1, 3)), draw(st.floats(-180.0, 180.0))
        fields |= {
            "hole_diameter": mm(draw(st.floats(1.0, min(web - 3.0, 8.0)))),
            "hole_circle_diameter": mm((rim + tube) / 2.0),
            "hole_rolls": tuple(deg(first + 360.0 * i / holes) for i in range(holes)),
        }
    if draw(st.booleans()):
        fields |= ring_features(draw, web, (rim + tube) / 2.0)
        if "notch_count" in fields:
            fields |= {"notched_rings": tuple(draw(st.sets(st.integers(1, count), min_size=1)))}
    return fields


@st.composite
def buttons(draw: Draw) -> dict[str, Any]:
    waist = draw(st.floats(4.0, 12.0))
    return {
        "foot_diameter": mm(waist + draw(st.floats(0.5, 12.0))),
        "foot_height": mm(draw(st.floats(0.5, 8.0))),
        "standoff": mm(draw(st.one_of(st.just(0.0), st.floats(0.5, 30.0)))),
        "waist_diameter": mm(waist),
        "waist_height": mm(draw(st.floats(0.5, 8.0))),
        "head_diameter": mm(waist + draw(st.floats(0.5, 12.0))),
        "head_height": mm(draw(st.floats(0.5, 6.0))),
        "screw_diameter": mm(waist * draw(st.floats(0.2, 0.9))),
    }


@st.composite
def noses(draw: Draw) -> dict[str, Any]:
    base = draw(diameters)
    length = base * draw(st.floats(0.6, 8.0))
    family = draw(st.sampled_from(FAMILIES))
    radius = base / 2.0
    constants: dict[str, dict[str, Any]] = {
        "secant-ogive": {"arc_radius": mm((radius**2 + length**2) / (2.0 * radius) * draw(st.floats(0.9, 3.0)))},
        "parabola": {"parabola_constant": draw(st.floats(0.0, 1.0))},
        "power-law": {"power_exponent": draw(st.floats(0.4, 1.0))},
        "haack": {"haack_constant": draw(st.floats(0.0, 2.0 / 3.0))},
    }
    fields: dict[str, Any] = {
        "profile": family,
        "length": mm(length),
        "base_diameter": mm(base),
        "body": draw(st.sampled_from(["hollow", "hollow", "solid"])),
        "wall": mm(draw(st.floats(0.8, min(4.0, radius * 0.3)))),
        **constants.get(family, {}),
    }
    if draw(st.booleans()):
        shoulder = base - draw(st.floats(0.8, 6.0))
        fields |= {
            "shoulder_length": mm(base * draw(st.floats(0.4, 1.2))),
            "shoulder_diameter": mm(shoulder),
            "shoulder_wall": mm(draw(st.floats(0.8, min(4.0, shoulder * 0.2)))),
        }
        if draw(st.booleans()):
            fields |= {
                "screw_count": draw(st.integers(1, 6)),
                "screw_diameter": mm(draw(st.floats(1.5, base * 0.05 + 1))),
            }
            fields |= {"screw_roll": deg(draw(st.floats(-180.0, 180.0)))}
    return fields


@st.composite
def fins(draw: Draw) -> dict[str, Any]:
    root = draw(st.floats(20.0, 400.0))
    thick = draw(st.floats(0.5, 10.0))
    planform = draw(st.sampled_from(["trapezoid", "trapezoid", "elliptic", "polygon", "curved"]))
    fields: dict[str, Any] = {"root_chord": mm(root), "thickness": mm(thick), "planform": planform}
    if planform == "trapezoid":
        fields |= {
            "tip_chord": mm(root * draw(st.one_of(st.just(0.0), st.floats(0.05, 1.2)))),
            "semi_span": mm(draw(st.floats(10.0, 250.0))),
            "sweep_length": mm(root * draw(st.floats(-0.5, 1.5))),
        }
        for name in ("leading_edge", "tip_edge", "trailing_edge"):
            if draw(st.integers(0, 3)) == 0 and not (name == "tip_edge" and fields["tip_chord"].value == 0.0):
                fields |= {name: draw(edge_works(thick, root))}
    elif planform == "elliptic":
        fields |= {"semi_span": mm(draw(st.floats(10.0, 250.0)))}
    else:
        # Corners round the middle of the root, from its leading edge to its trailing edge.
        count = draw(st.integers(1, 6))
        angles = [math.pi * (1.0 - (i + draw(st.floats(0.2, 0.8))) / count) for i in range(count)]
        radii = [root * draw(st.floats(0.3, 1.0)) for _ in range(count)]
        texts = [
            f"{root / 2.0 + r * math.cos(a)!r} mm, {r * math.sin(a)!r} mm" for a, r in zip(angles, radii, strict=True)
        ]
        if planform == "curved":
            texts = (
                [f"spline through {'; '.join(texts)} to root"]
                if draw(st.booleans()) or count < 2
                else [f"arc through {texts[0]} to {texts[1]}", *texts[2:]]
            )
        elif draw(st.integers(0, 3)) == 0:
            fields |= {"edges": (draw(edge_works(thick, root)),)}
        fields |= {"points": tuple(texts)}
    if draw(st.booleans()):
        depth = draw(st.floats(1.0, 60.0))
        fields |= {
            "tab_length": mm(root * draw(st.floats(0.2, 0.7))),
            "tab_depth": mm(depth),
            "tab_position": mm(root * draw(st.floats(0.0, 0.25))),
        }
        if draw(st.integers(0, 3)) == 0:
            fields |= {
                "notch_positions": (mm(root * draw(st.floats(0.3, 0.4))),),
                "notch_length": mm(root * draw(st.floats(0.01, 0.1))),
                "notch_depth": mm(depth * draw(st.floats(0.1, 0.9))),
            }
    if draw(st.integers(0, 3)) == 0:
        fields |= {"pin_hole_diameter": mm(draw(st.floats(1.0, 4.0)))}
    return fields


@st.composite
def edge_works(draw: Draw, thick: float, root: float) -> str:
    if draw(st.booleans()):
        return f"round {thick * draw(st.floats(0.1, 0.5))!r} mm"
    land, sides = thick * draw(st.floats(0.1, 0.9)), draw(st.sampled_from(["", ", one side"]))
    return f"bevel {root * draw(st.floats(0.02, 0.2))!r} mm, land {land!r} mm{sides}"


@st.composite
def fillets(draw: Draw) -> dict[str, Any]:
    tube = draw(diameters)
    return {
        "radius": mm(draw(st.floats(1.0, 20.0))),
        "length": mm(draw(st.floats(5.0, 400.0))),
        "fin_thickness": mm(draw(st.floats(0.5, min(10.0, tube / 3.0)))),
        "surface_diameter": mm(tube),
        "side": draw(st.sampled_from(["outside", "inside"])),
    }


@st.composite
def cans(draw: Draw) -> dict[str, Any]:
    bore, root = draw(diameters), draw(st.floats(30.0, 250.0))
    wall = draw(st.floats(1.0, 4.0))
    fields: dict[str, Any] = {
        "bore_diameter": mm(bore),
        "length": mm(root + 3.0 * wall + draw(st.floats(10.0, 60.0))),
        "wall": mm(wall),
        "fin_count": draw(st.integers(3, 8)),
        "root_chord": mm(root),
        "tip_chord": mm(root * draw(st.floats(0.2, 1.0))),
        "semi_span": mm(draw(st.floats(15.0, 150.0))),
        "sweep_length": mm(root * draw(st.floats(-0.2, 1.0))),
        "thickness": mm(draw(st.floats(1.6, 6.0))),
        "section": draw(st.sampled_from(["flat", "flat", "naca-four-digit"])),
    }
    if draw(st.booleans()):
        fields |= {"cant": deg(draw(st.floats(-4.0, 4.0)))}
    elif fields["section"] == "flat":
        fields |= {"root_fillet_radius": mm(draw(st.floats(1.0, 6.0)))}
    if draw(st.booleans()):
        fields |= {"screw_count": draw(st.integers(2, 6)), "screw_diameter": mm(draw(st.floats(2.0, 4.0)))}
    return fields


FIELDS = {
    "tube": tubes(),
    "centering-ring": rings(),
    "bulkhead": bulkheads(),
    "coupler": couplers(),
    "nose-cone": noses(),
    "fin": fins(),
    "fillet": fillets(),
    "fin-can": cans(),
    "transition": transitions(),
    "motor-mount": mounts(),
    "rail-button": buttons(),
}


COSTLY = ("fin-can",)
"""Kinds that take many times as long as others, of which fewer are drawn."""


def is_worked(shape: Shape) -> bool:
    """Whether edges are rounded or bevelled, which is measured on a mesh of what is taken off."""
    return isinstance(shape, Blade) and bool(shape.forms)


def built(kind: str, fields: dict[str, Any]) -> Part:
    try:
        return KINDS[kind].build(**fields)
    except DesignError as refusal:
        # A refusal names a field of the kind and says why; such a draw is no part.
        assert all(problem.field in KINDS[kind].model_fields for problem in refusal.problems), str(refusal)
        assume(False)
        raise


def examples(kind: str, usual: int, share: float) -> int:
    """How many to draw of a kind: the usual number, or that share of what is searched."""
    if SEARCHED:
        return max(int(SEARCHED * share) // (5 if kind in COSTLY else 1), 1)
    return max(usual // (5 if kind in COSTLY else 1), 1)


def as_drawn(test: Callable[[Part], None], kind: str, count: int) -> None:
    """Draws parts until as many as wanted hold together; too few that do would prove nothing."""
    held: list[int] = []

    @settings(max_examples=count, suppress_health_check=list(HealthCheck))
    @given(FIELDS[kind])
    def run(fields: dict[str, Any]) -> None:
        part = built(kind, fields)
        held.append(1)
        test(part)

    run()
    assert len(held) >= count / 2, f"only {len(held)} {kind} of {count} could be built"


def in_place(part: Part, first: np.ndarray, last: np.ndarray, tolerance: float) -> None:
    """The room that a part is said to take up is that of its solid, or holds it where something is cut from its rim."""
    shape = part.shape()
    low, high = box(shape)
    assert np.all(first >= low - tolerance)
    assert np.all(last <= high + tolerance)
    assert part.extent() == pytest.approx((first[0], last[0]), abs=tolerance)
    if isinstance(shape, Revolved | Plate):
        assert np.allclose([first, last], [low, high], rtol=0.0, atol=tolerance)


def test_every_kind_has_its_random_parts() -> None:
    assert {kind.kind for kind in in_bench_order()} == set(FIELDS)


@pytest.mark.parametrize("kind", FIELDS)
def test_the_kernel_and_the_integral_agree_on_random_parts(kind: str) -> None:
    def agree(part: Part) -> None:
        exact, found = moments(part.shape()), measure(solid(part.shape()))
        assert found.valid
        assert found.bodies == (2 if kind == "fillet" else 1)
        shape = part.shape()
        tolerance = 1e-5 if is_worked(shape) else 1e-6 if isinstance(shape, Cut) or kind == "fin-can" else 1e-10
        assert found.moments.volume == pytest.approx(exact.volume, rel=tolerance)
        # What is said of its place is what the kernel measures, and so is its centre within its room.
        low, high = box(shape)
        in_place(part, np.array(found.low), np.array(found.high), 1e-6)
        room = float(np.max(high - low))
        assert np.allclose(found.moments.centroid, exact.centroid, rtol=0.0, atol=room * max(tolerance, 1e-9))

    as_drawn(agree, kind, examples(kind, 30, 0.1))


@pytest.mark.parametrize("kind", FIELDS)
def test_the_mesh_and_the_integral_agree_on_random_parts(kind: str) -> None:
    def agree(part: Part) -> None:
        exact, found = moments(part.shape()), mesh(part.shape())
        assert found.faults() == ()
        # On fit faces facets give up at most their deviation of 0.01 mm over the surface, and never add any.
        surface = float(np.abs(np.linalg.norm(_areas(found.vertices[found.triangles]), axis=1)).sum()) / 2.0
        # Where a rounded edge of a fin meets another the facets are not those that make up for each other.
        shape = part.shape()
        more = 1e-4 if is_worked(shape) else 1e-5
        assert exact.volume - 0.01 * surface <= found.moments().volume <= exact.volume * (1.0 + more) + 1e-6 * surface
        # Holes along the axis of a motor mount, what is taken off the edges of a fin and what a sunk root shares with
        # its sleeve are measured on a mesh, held to 1e-4 of them.
        stated = {"motor-mount": 1e-5, "fin-can": 1e-4}.get(kind, 1e-6)
        assert exact.error < (1e-4 if is_worked(shape) else stated)
        in_place(part, found.vertices.min(axis=0), found.vertices.max(axis=0), Fineness().deviation)
        assert part.model_validate(part.model_dump()).fingerprint() == part.fingerprint()

    as_drawn(agree, kind, examples(kind, 200 if kind in COSTLY else 300, 1.0))


@pytest.mark.parametrize("kind", FIELDS)
def test_the_files_of_random_parts_are_read_back_by_others(kind: str, tmp_path: Path) -> None:
    """STL by trimesh, DXF by ezdxf's own measure of what it holds, STEP by the kernel's reader in `write_step`."""

    def whole(part: Part) -> None:
        exact = moments(part.shape())
        tall = part.pose()
        made = mesh(part.shape())
        write_stl(tmp_path / "part.stl", made.placed(tall), "test")
        stl = trimesh.load(tmp_path / "part.stl")
        assert stl.is_volume
        # Single precision: 6e-8 of each coordinate.
        assert stl.volume == pytest.approx(made.moments().volume, rel=1e-5)
        assert stl.bounds[0][2] == pytest.approx(0.0, abs=1e-4), "it stands on the bed"
        step = write_step(tmp_path / "part.step", part.shape(), name="part", placement=tall, description="a test")
        assert step.volume == pytest.approx(exact.volume, rel=1e-5)
        for piece in part.cut_pieces():
            write_dxf(tmp_path / "part.dxf", piece.outline, title="part")
            found = extents(ezdxf.readfile(tmp_path / "part.dxf").modelspace().query('*[layer=="CUT"]'))
            low_x, low_y, high_x, high_y = piece.outline.box()
            assert (found.size.x, found.size.y) == pytest.approx((high_x - low_x, high_y - low_y), abs=0.02)

    as_drawn(whole, kind, examples(kind, 3, 0.01))


def _areas(corners: np.ndarray) -> np.ndarray:
    return np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
