"""Invented turned parts with what is measured of them, whose section drawings the tests lay out and measure."""

from __future__ import annotations

import math
from itertools import pairwise

from ferrule.parts.curve import Arc, Line, Point
from ferrule.parts.kinds import NoseCone, Transition
from ferrule.parts.measures import (
    AngleToAxis,
    AxialLength,
    Chamfer,
    Detail,
    DiameterAt,
    Measure,
    RadiusOf,
    Remark,
    Wall,
    holes_of,
    wall_at,
)
from ferrule.parts.part import Part
from ferrule.parts.shape import (
    Array,
    Cut,
    Edge,
    Fused,
    Meridian,
    Outline,
    Placed,
    Plate,
    RadialFeature,
    Revolved,
    Shape,
    circle,
    moved,
    polygon,
)
from ferrule.parts.sheets.section_block import SectionLabel

LABEL = SectionLabel("Marram (invented)", "Nose cone", "petg", "1a2b-3c4d-5e6f", "A, 2026-11-25")

NOSES = {
    "demo": NoseCone.build(
        profile="von-karman",
        length="250 mm",
        base_diameter="68.42 mm",
        shoulder_length="68 mm",
        shoulder_diameter="65.4 mm",
        wall="1.6 mm",
        shoulder_wall="2.4 mm",
    ),
    "blunt": NoseCone.build(
        profile="half-ellipsoid",
        length="60 mm",
        base_diameter="66 mm",
        shoulder_length="50 mm",
        shoulder_diameter="63 mm",
        wall="2 mm",
    ),
    "long": NoseCone.build(
        profile="tangent-ogive",
        length="500 mm",
        base_diameter="102 mm",
        shoulder_length="100 mm",
        shoulder_diameter="98.5 mm",
        wall="2.4 mm",
        shoulder_wall="3 mm",
    ),
    "solid": NoseCone.build(
        profile="cone",
        length="90 mm",
        base_diameter="41 mm",
        body="solid",
        shoulder_length="40 mm",
        shoulder_diameter="38 mm",
    ),
}

TRANSITIONS = {
    "two shoulders": Transition.build(
        forward_diameter="68.3 mm",
        aft_diameter="102 mm",
        length="120 mm",
        wall="2 mm",
        forward_shoulder_length="65 mm",
        forward_shoulder_diameter="65.4 mm",
        aft_shoulder_length="90 mm",
        aft_shoulder_diameter="98.6 mm",
    ),
    "boat tail": Transition.build(
        forward_diameter="68.3 mm",
        aft_diameter="49.9 mm",
        length="80 mm",
        wall="2 mm",
        forward_shoulder_length="50 mm",
        forward_shoulder_diameter="65.4 mm",
    ),
}

PARTS: dict[str, Part] = {**NOSES, **TRANSITIONS}

SCREWS = {"demo": 3, "long": 4}
"""How many screw holes of 3.4 mm the shoulder has [-]."""


def shape_of(name: str) -> Shape:
    """One of the samples, with its screw holes."""
    part = PARTS[name]
    return screwed(part, SCREWS[name], 3.4) if isinstance(part, NoseCone) and name in SCREWS else part.shape()


def screwed(nose: NoseCone, count: int, diameter: float) -> Cut:
    """A nose with holes half-way along its shoulder."""
    outside = (nose.shoulder_diameter or 0.0) / 2.0
    station = nose.length + nose.shoulder_length / 2.0
    hole = RadialFeature(station, math.radians(60.0), Outline(circle(diameter / 2.0)), 0.0, outside + 1.0)
    return Cut(nose.shape(), (Array(hole, count),))


def meridian_of(shape: Shape) -> Meridian:
    """The section of the one turned body in a shape."""
    match shape:
        case Revolved():
            return shape.meridian
        case Cut():
            return meridian_of(shape.base)
    assert isinstance(shape, Fused)
    return meridian_of(shape.members[0])


def nose_measures(nose: NoseCone, shape: Shape) -> tuple[Measure, ...]:
    """What a person would measure of a nose with calipers, a rule and a depth rod."""
    section = meridian_of(shape)
    base, rim, end = nose.length, nose.base_diameter / 2.0, nose.length + nose.shoulder_length
    measures: list[Measure] = [
        AxialLength((0.0, 0.0), (base, rim), "finished length"),
        DiameterAt((base, rim), "base"),
    ]
    outside = (nose.shoulder_diameter or 0.0) / 2.0
    if nose.shoulder_length:
        measures += [
            AxialLength((base, rim), (end, outside), "shoulder"),
            AxialLength((0.0, 0.0), (end, outside), "overall"),
            DiameterAt((end, outside), "shoulder"),
            Detail((base, outside), 9.0, "base step"),
        ]
    if nose.body == "hollow":
        apex = min(
            point[0] for edge in section.edges for point in (edge.piece.start,) if point[1] < 1e-6 and point[0] > 1e-6
        )
        opening = max(point for edge in section.edges for point in (edge.piece.start,) if point[0] > end - 1e-6)
        bore = min(e.piece.start[1] for e in section.edges if e.piece.start[0] > end - 1e-6)
        measures += [
            AxialLength((apex, 0.0), (end, bore), "depth from the rear"),
            AxialLength((0.0, 0.0), (apex, 0.0), "solid tip"),
            DiameterAt((opening[0], bore), "bore"),
            wall_at(section, 0.55 * base),
            Detail((apex, 0.0), 7.0, "tip"),
        ]
        if nose.shoulder_length:
            measures.append(wall_at(section, base + min(0.15 * nose.shoulder_length, 5.0), "shoulder wall"))
    if isinstance(shape, Cut):
        for tool in shape.tools:
            assert isinstance(tool, Array)
            holes = holes_of(tool, outside, "screw holes")
            measures += [holes, AxialLength((base, rim), (holes.feature.station, outside), "base to screws")]
    return tuple(measures)


def transition_measures(part: Transition) -> tuple[Measure, ...]:
    """What a person would measure of a transition."""
    section = meridian_of(part.shape())
    length, forward, aft = part.length, part.forward_diameter / 2.0, part.aft_diameter / 2.0
    first, last = part.extent()
    measures: list[Measure] = [
        AxialLength((0.0, forward), (length, aft), "skin"),
        DiameterAt((0.0, forward), "forward end"),
        DiameterAt((length, aft), "aft end"),
        wall_at(section, length / 2.0),
        AngleToAxis((0.0, forward), (length, aft)),
    ]
    ends = [
        (first, 0.0, part.forward_shoulder_length, part.forward_shoulder_diameter, "forward shoulder"),
        (last, length, part.aft_shoulder_length, part.aft_shoulder_diameter, "aft shoulder"),
    ]
    for end, skin, long, diameter, words in ends:
        bore = min(e.piece.start[1] for e in section.edges if abs(e.piece.start[0] - end) < 1e-6)
        measures.append(DiameterAt((end, bore), "bore"))
        if long and diameter:
            measures += [
                AxialLength((end, diameter / 2.0), (skin, diameter / 2.0), words),
                DiameterAt((end, diameter / 2.0), words),
                wall_at(section, (end + skin) / 2.0, "shoulder wall"),
                Detail((skin, diameter / 2.0), 9.0, words),
            ]
    if first < 0.0 or last > length:
        measures.append(AxialLength((first, 0.0), (last, 0.0), "overall"))
    return tuple(measures)


def measures_of(part: Part, shape: Shape) -> tuple[Measure, ...]:
    """What a person would measure of one of the samples."""
    if isinstance(part, NoseCone):
        return nose_measures(part, shape)
    assert isinstance(part, Transition)
    return transition_measures(part)


def many() -> tuple[Shape, tuple[Measure, ...]]:
    """A nose in two print sections with a rounded solid tip, a rod hole, a seat, a boss, screw holes and a vent."""
    tip = Arc((4.0, 0.0), 4.0, math.pi, -math.pi / 2.0 - 0.18)
    joint, spigot = 110.0, 12.0
    start = tip.end
    slope = (34.0 - start[1]) / (220.0 - start[0])

    def skin(x: float) -> float:
        return start[1] + slope * (x - start[0])

    def inner(x: float) -> float:
        return skin(x) - 2.5

    def loop(points: list[Point]) -> tuple[Edge, ...]:
        return tuple(Edge(Line(a, b)) for a, b in pairwise(points))

    front = Revolved(
        Meridian(
            (
                Edge(tip, "wetted"),
                *loop(
                    [
                        start,
                        (joint, skin(joint)),
                        (joint, skin(joint) - 1.3),
                        (joint + spigot - 0.8, skin(joint) - 1.3),
                        (joint + spigot, skin(joint) - 2.1),
                        (joint + spigot, inner(joint) - 1.2),
                        (joint, inner(joint) - 1.2),
                        (60.0, inner(60.0) - 1.2),
                        (60.0, 4.0),
                        (46.0, 4.0),
                        (46.0, 2.5),
                        (20.0, 2.5),
                        (20.0, 0.0),
                        (0.0, 0.0),
                    ]
                ),
            )
        )
    )
    rear = Revolved(
        Meridian(
            loop(
                [
                    (joint, skin(joint) - 1.3),
                    (joint, skin(joint)),
                    (220.0, 34.0),
                    (220.0, 32.6),
                    (279.0, 32.6),
                    (280.0, 31.6),
                    (280.0, 29.8),
                    (220.0, 29.8),
                    (joint + spigot, skin(joint) - 1.3),
                    (joint, skin(joint) - 1.3),
                ]
            )
        )
    )
    boss = Array(RadialFeature(250.0, math.radians(60.0), Outline(circle(6.0)), 26.0, 31.0), 3)
    screws = Array(RadialFeature(250.0, math.radians(60.0), Outline(circle(2.1)), 20.0, 40.0), 3)
    vent = RadialFeature(190.0, math.pi, Outline(circle(1.5)), 10.0, 40.0)
    shape = Cut(Fused((front, rear, boss)), (screws, vent))
    measures: tuple[Measure, ...] = (
        AxialLength((0.0, 0.0), (220.0, 34.0), "finished length"),
        AxialLength((0.0, 0.0), (280.0, 31.6), "overall"),
        AxialLength((220.0, 34.0), (280.0, 31.6), "shoulder"),
        AxialLength((60.0, 4.0), (280.0, 29.8), "depth from the rear"),
        AxialLength((0.0, 0.0), (20.0, 2.5), "solid tip"),
        AxialLength((20.0, 2.5), (60.0, 4.0), "rod hole"),
        AxialLength((46.0, 4.0), (60.0, 4.0), "seat"),
        AxialLength((0.0, 0.0), (joint, skin(joint)), "tip section"),
        AxialLength((joint, skin(joint)), (joint + spigot, skin(joint) - 2.1), "spigot"),
        AxialLength((220.0, 34.0), (250.0, 32.6), "base to screws"),
        AxialLength((190.0, skin(190.0)), (220.0, 34.0), "vent to base"),
        DiameterAt((220.0, 34.0), "base"),
        DiameterAt((270.0, 32.6), "shoulder"),
        DiameterAt((280.0, 29.8), "bore"),
        DiameterAt((30.0, 2.5), "rod hole"),
        DiameterAt((50.0, 4.0), "seat"),
        DiameterAt((joint + 6.0, skin(joint) - 1.3), "spigot"),
        RadiusOf(tip, "tip radius", 0.7),
        Chamfer((279.0, 32.6), (280.0, 31.6)),
        Wall((170.0, skin(170.0)), (170.0, skin(170.0) - 3.0), "wall"),
        wall_at(rear.meridian, 235.0, "shoulder wall"),
        holes_of(screws, 32.6, "screw holes"),
        holes_of(vent, skin(190.0), "vent"),
        Remark((joint, skin(joint)), "joint"),
        Detail((220.0, 32.6), 9.0, "base step"),
        Detail((280.0, 31.0), 4.0, "rear end"),
    )
    return shape, measures


def slotted() -> Shape:
    """A tube with a slot, a plate that is not turned beside it."""
    tube = Revolved(Meridian(polygon(((0.0, 20.0), (80.0, 20.0), (80.0, 18.0), (0.0, 18.0)))[::1]))
    slot = RadialFeature(40.0, 0.0, Outline(polygon(((-8.0, -2.0), (8.0, -2.0), (8.0, 2.0), (-8.0, 2.0)))), 10.0, 30.0)
    square = Outline(polygon(((-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0))))
    return Cut(Fused((tube, Placed(Plate(square, 3.0), moved(20.0, 19.0, 0.0)))), (slot,))
