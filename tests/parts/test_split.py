"""A nose in sections: together the whole less the gaps, sound, joined without a step, and printable as they stand.

Sources: the CAD kernel for volumes and soundness, trimesh and shapely for what is measured on the meshes, the formulas
of the profiles for the skin. The limit of 45 degrees for overhangs is common practice.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
import shapely
import trimesh
from split_samples import END, LENGTH, SAMPLES, SHOULDER_RADIUS, Sample, across, facets, radii

from ferrule.parts.compensate import compensated
from ferrule.parts.curve import Line
from ferrule.parts.emboss import OnWall, embossed
from ferrule.parts.errors import PartError
from ferrule.parts.joint import Joint, collar, joint_at, socket, spigot
from ferrule.parts.joint_keys import ROLLS
from ferrule.parts.machine import Printer
from ferrule.parts.poses import STANDING
from ferrule.parts.profiles import Profile
from ferrule.parts.readers.brep import Measure, measure, solid
from ferrule.parts.readers.integrals import area, moments
from ferrule.parts.readers.mesh import mesh, shared_pieces
from ferrule.parts.shape import (
    Array,
    Blade,
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
    rolled,
)
from ferrule.parts.split import Section, gap_volume, sections, stations

NAMES = pytest.mark.parametrize("name", SAMPLES)


@cache
def cut(name: str) -> tuple[Section, ...]:
    return SAMPLES[name].sections()


@cache
def by_kernel(name: str) -> tuple[Measure, ...]:
    return tuple(measure(solid(section.shape)) for section in cut(name))


@cache
def by_mesh(name: str) -> tuple[trimesh.Trimesh, ...]:
    return tuple(facets(section.shape) for section in cut(name))


def turned(shape: Shape) -> Revolved:
    """The turned body of a section."""
    while not isinstance(shape, Revolved):
        assert isinstance(shape, (Cut, Fused))
        shape = shape.base if isinstance(shape, Cut) else shape.members[0]
    return shape


# --- the whole --------------------------------------------------------------------------------------------------------


@NAMES
def test_the_sections_are_the_whole_less_the_gaps(name: str) -> None:
    sample = SAMPLES[name]
    whole = moments(sample.whole).volume
    gaps = gap_volume(sample.joints, sample.inner)
    assert 0.0 < gaps < 0.02 * whole
    # The kernel knows nothing of the closed forms; it agrees to 1e-11 and better.
    assert sum(one.moments.volume for one in by_kernel(name)) + gaps == pytest.approx(whole, rel=1e-10)
    # Our integrals take what a key shares with a wall from a fine mesh.
    assert sum(moments(section.shape).volume for section in cut(name)) + gaps == pytest.approx(whole, rel=1e-6)


@NAMES
def test_sections_are_sound(name: str) -> None:
    for section, found, body in zip(cut(name), by_kernel(name), by_mesh(name), strict=True):
        assert (found.valid, found.bodies) == (True, 1)
        assert (found.low[0], found.high[0]) == pytest.approx((section.first, section.last), abs=1e-6)
        assert mesh(section.shape).faults() == ()
        assert body.is_volume
        assert len(body.split(only_watertight=False)) == 1
        # The mesh may lie 0.02 mm from the surface, on fit faces to one side of it.
        assert body.volume == pytest.approx(found.moments.volume, abs=0.01 * body.area)


@NAMES
def test_the_joined_skin_is_that_of_the_whole(name: str) -> None:
    sample = SAMPLES[name]
    skins = [turned(section.shape).meridian.role("wetted") for section in cut(name)]
    pieces = [piece for skin in skins for piece in skin]
    for before, after in pairwise(pieces):
        assert math.dist(before.end, after.start) < 1e-9
    assert [skin[-1].end[0] for skin in skins] == pytest.approx([*sample.stations, LENGTH], abs=1e-9)
    t = np.linspace(0.0, 1.0, 50)
    for piece in pieces:
        points = piece.at(t)
        # The chain follows the formula within 0.01 micrometre; a part of it no less closely.
        assert points[:, 1] == pytest.approx(radii(sample, np.clip(points[:, 0], 0.0, LENGTH)), abs=1e-5)
    whole = area(sample.whole.meridian, "wetted")
    assert sum(area(turned(section.shape).meridian, "wetted") for section in cut(name)) == pytest.approx(
        whole, rel=1e-9
    )
    uncut = set(sample.skin) & set(pieces)
    assert len(uncut) >= len(sample.skin) - len(sample.stations)


def test_a_joint_where_two_pieces_of_the_skin_meet_leaves_both_whole() -> None:
    skin = SAMPLES["von Karman in 2"].skin
    station = next(piece.end[0] for piece in skin if 100.0 < piece.end[0] < 200.0)
    sample = Sample("von-karman", False, (station,))
    tip, base = (turned(section.shape).meridian for section in sample.sections())
    assert (*tip.role("wetted"), *base.role("wetted")) == skin


@NAMES
def test_neighbours_share_nothing_and_come_together_along_the_axis(name: str) -> None:
    """Home, and at every stage of being pushed together; keys in their slots and all."""
    for ahead, behind in pairwise(cut(name)):
        for apart in (0.0, 4.0):
            shared = shared_pieces(Placed(ahead.shape, moved(-apart)), behind.shape)
            assert sum(piece.moments().volume for piece in shared) < 1e-6
    # Pushed further they share something: the check can fail.
    first, second = cut(name)[:2]
    assert shared_pieces(Placed(first.shape, moved(0.05)), second.shape)


@NAMES
def test_the_gap_is_left_between_spigot_and_socket_and_beside_the_keys(name: str) -> None:
    """Measured with shapely on the meshes as they are printed: facets of fit faces never eat the gap."""
    sample, bodies = SAMPLES[name], by_mesh(name)
    for index, joint in enumerate(sample.joints):
        ahead, behind = bodies[index], bodies[index + 1]
        groove = (joint.front + 6.0 + joint.gap + joint.station) / 2.0
        for station in (joint.front + 2.0, groove - 1.1, groove + 1.1, joint.station - 0.6):
            away = shapely.distance(across(ahead, station), across(behind, station))
            assert joint.gap - 5e-6 <= away <= joint.gap + 0.02
        assert across(ahead, groove).distance(across(behind, groove)) == pytest.approx(joint.gap + 0.4, abs=0.02)


@NAMES
def test_sections_go_together_in_one_way_only(name: str) -> None:
    joint = SAMPLES[name].joints[0]
    ahead, behind = (across(body, joint.front + 2.0) for body in by_mesh(name)[:2])
    assert ahead.intersection(behind).area == 0.0
    for roll in range(3, 358, 3):
        turned_round = shapely.affinity.rotate(ahead, roll, origin=(0.0, 0.0))
        assert turned_round.intersection(behind).area > 0.1, roll


def test_the_first_key_is_on_the_rail_line_and_the_others_clockwise_from_behind() -> None:
    """Roll 0 is +y; clockwise seen from behind is from +y towards -z."""
    name = "von Karman in 2"
    joint = SAMPLES[name].joints[0]
    keys = across(by_mesh(name)[0], joint.front + 2.0).intersection(shapely.Point(0.0, 0.0).buffer(joint.spigot_radius))
    rolls = sorted(math.degrees(math.atan2(-key.centroid.y, key.centroid.x)) % 360.0 for key in keys.geoms)
    assert [min(roll, 360.0 - roll) if index == 0 else roll for index, roll in enumerate(rolls)] == pytest.approx(
        [0.0, 110.0, 240.0], abs=0.1
    )


# --- for who prints it ------------------------------------------------------------------------------------------------


@NAMES
def test_no_face_hangs_over_by_more_than_45_degrees(name: str) -> None:
    """Standing on the aft end. The step from skin to shoulder is the whole's own, and not looked at here."""
    for section, body in zip(cut(name), by_mesh(name), strict=True):
        down, middle = body.face_normals[:, 0], body.triangles_center
        hanging = (down > math.sin(math.radians(45.0)) + 1e-3) & (middle[:, 0] < section.last - 1e-6)
        hanging &= ~((np.abs(middle[:, 0] - LENGTH) < 1e-3) & (np.hypot(*middle[:, 1:].T) > SHOULDER_RADIUS - 0.1))
        # Slivers that a boolean leaves have no direction to speak of.
        assert float(body.area_faces[hanging].sum()) < 1e-3


@NAMES
def test_walls_of_sockets_and_spigots_are_as_thick_as_stated(name: str) -> None:
    """The socket's least distance from the skin, by shapely from 20,000 points of the formula."""
    sample = SAMPLES[name]
    x = np.linspace(0.0, LENGTH, 20001)
    skin = shapely.LineString(np.column_stack([x, radii(sample, x)]))
    for index, joint in enumerate(sample.joints):
        lines = turned(cut(name)[index].shape).meridian.role("fit")
        (bore,) = [line for line in lines if line.start[1] == line.end[1] == joint.socket_radius]
        assert bore.end[0] in (joint.front, joint.edge)
        # To the bottom of a blind socket, half a millimetre deeper than the spigot.
        away = skin.distance(shapely.LineString([(joint.edge, joint.socket_radius), bore.start]))
        roof = lines[lines.index(bore) + 1 :][:1] if joint.solid else ()
        away = min([away, *(skin.distance(shapely.LineString([line.start, line.end])) for line in roof)])
        assert away >= sample.socket_wall - 1e-3
        if not joint.solid:
            # As wide as it can be, rounded down to 0.01 mm.
            assert away <= sample.socket_wall + 0.011
            assert joint.spigot_radius - joint.bore == pytest.approx(sample.spigot_wall)


def test_the_collar_is_the_bore_opens_at_45_degrees_and_is_no_wider_than_the_socket_ahead() -> None:
    joint = Joint(100.0, 15.0, 20.0, 18.4, 0.12, land=4.0)
    ahead, step, bore, flare = collar(joint)
    assert (ahead.start[1], ahead.end) == (20.12, (85.0, 20.12))
    assert (step.start, step.end) == ((85.0, 20.12), (85.0, 18.4))
    assert (bore.start, bore.end) == ((85.0, 18.4), (104.0, 18.4))
    assert flare.end[0] - flare.start[0] == flare.end[1] - flare.start[1] > 250.0


def test_the_details_of_spigot_and_socket() -> None:
    """Lead-in and relief 0.5 mm at 45 degrees; the groove 2 mm wide and 0.4 mm deep, clear of the keys."""
    joint = Joint(100.0, 15.0, 20.0, 18.4, 0.12)
    outside = [edge.piece.start for edge in spigot(joint)] + [spigot(joint)[-1].piece.end]
    middle = (85.0 + 6.12 + 100.0) / 2.0
    wanted = [(85.0, 18.4), (85.0, 19.5), (85.5, 20.0), (middle - 1.0, 20.0), (middle - 0.6, 19.6)]
    wanted += [(middle + 0.6, 19.6), (middle + 1.0, 20.0), (100.0, 20.0)]
    assert np.array(outside) == pytest.approx(np.array(wanted))
    inside = [edge.piece.start for edge in socket(joint, 85.0)] + [socket(joint, 85.0)[-1].piece.end]
    assert np.array(inside) == pytest.approx(np.array([(100.0, 20.62), (99.5, 20.12), (85.0, 20.12)]))
    assert {edge.role for edge in (*spigot(joint)[1:], *socket(joint, 85.0))} == {"fit"}


@pytest.mark.parametrize(
    ("name", "per_side"),
    [
        ("von Karman in 4", (0.1, 0.15)),
        ("von Karman in 4", (-0.05, -0.05)),
        ("von Karman solid in 3", (0.3, 0.3)),
        ("cone in 4, thick wall", (0.1, 0.15)),
        ("cone in 4, thick wall", (0.3, 0.3)),
    ],
)
def test_compensated_sections_are_sound_and_keep_their_gap_on_the_machine(
    name: str, per_side: tuple[float, float]
) -> None:
    """Drawn with a gap wider by what the machine makes too much on both sides, so that it prints as stated."""
    sample = SAMPLES[name]
    outside, hole = per_side
    printer = Printer("any", 250.0, 250.0, 250.0, outside=outside, hole=hole)
    drawn = [compensated(section.shape, printer, "petg", STANDING.at(section.last)) for section in cut(name)[:2]]
    for shape in drawn:
        found = measure(solid(shape))
        assert (found.valid, found.bodies) == (True, 1)
    bodies = [facets(shape) for shape in drawn]
    assert all(body.is_volume for body in bodies)
    joint = sample.joints[0]
    # Clear of the mouth's relief, which moves with the socket, and of the groove.
    plain = across(bodies[0], joint.station - 1.0).distance(across(bodies[1], joint.station - 1.0))
    assert plain == pytest.approx(joint.gap + outside + hole, abs=0.02)


# --- what else there is -----------------------------------------------------------------------------------------------

SCREWS = Array(RadialFeature(LENGTH + 34.0, 0.3, Outline(circle(1.7, role="fit")), 20.0, 40.0), 3)
VENT = RadialFeature(60.0, 1.0, Outline(circle(1.0)), 5.0, 40.0)


def test_what_is_cut_from_the_whole_is_cut_from_the_section_it_lies_in() -> None:
    sample = SAMPLES["von Karman in 4"]
    words = Fused((RadialFeature(120.0, 0.0, Outline(polygon(((-1, -1), (1, -1), (1, 1), (-1, 1)))), 27.0, 40.0),))
    found = sample.sections(SCREWS, VENT, Placed(words, rolled(0.5)))
    plain = cut("von Karman in 4")
    assert [section.shape != other.shape for section, other in zip(found, plain, strict=True)] == [
        True,
        True,
        False,
        True,
    ]
    lost = [
        moments(other.shape).volume - moments(section.shape).volume for section, other in zip(found, plain, strict=True)
    ]
    assert lost[3] == pytest.approx(
        moments(Cut(sample.whole, (SCREWS,))).volume * -1.0 + moments(sample.whole).volume, rel=1e-3
    )
    assert all(mesh(section.shape).faults() == () for section in found)


def test_a_section_takes_sunk_words_as_any_part_does() -> None:
    """The words on the spigot of the base section."""
    sample = SAMPLES["von Karman in 2"]
    base = cut("von Karman in 2")[-1]
    where = OnWall(SHOULDER_RADIUS, 2.4, 3.0, 300.0, 0.0)
    found = facets(embossed(base.shape, "2/2", where, 0.4, raised=False))
    assert found.is_volume
    assert found.volume < by_mesh("von Karman in 2")[-1].volume
    assert sample.joints[0].station < 300.0


@pytest.mark.parametrize("place", [95.0 - 15.5, 95.0 - 7.0, 95.0 + 0.5])
def test_a_tool_through_a_joint_is_refused(place: float) -> None:
    hole = replace(VENT, station=place)
    with pytest.raises(
        PartError, match=r"^joint_stations: the joint at 95 mm reaches forward to 79.5 mm, through what is"
    ):
        SAMPLES["von Karman in 4"].sections(Array(hole, 2))


def test_where_tools_lie_along_the_axis() -> None:
    plate = Plate(Outline(circle(3.0)), 2.0)
    assert stations(Placed(Array(VENT, 3), moved(x=4.0))) == (63.0, 65.0)
    assert stations(Fused((VENT, SCREWS))) == (59.0, LENGTH + 35.7)
    assert stations(Cut(SAMPLES["cone solid in 2"].whole, (VENT,))) == (0.0, END)
    with pytest.raises(PartError, match="a Plate cannot be cut from a part in sections"):
        stations(plate)
    with pytest.raises(PartError, match="a Blade cannot"):
        stations(Blade(Outline(polygon(((0, 0), (9, 0), (9, 5)))), 2.0))


def test_the_names_of_the_sections() -> None:
    assert [(one.number, one.count, one.word) for one in cut("von Karman in 2")] == [(1, 2, "tip"), (2, 2, "base")]
    assert [one.word for one in cut("von Karman solid in 3")] == ["tip", "middle", "base"]
    assert [one.word for one in cut("von Karman in 4")] == ["tip", "middle 1", "middle 2", "base"]
    sample = SAMPLES["von Karman in 2"]
    (whole,) = sections(sample.whole.meridian.edges[:-1], (), (), ())
    assert (whole.word, whole.shape, whole.first, whole.last) == ("", sample.whole, 0.0, END)


def test_a_plug_ahead_of_a_cavity_leaves_a_solid_tip() -> None:
    """The inside begins behind the joint: the tip is solid, its socket closes in a cone."""
    sample = SAMPLES["von Karman in 2"]
    hollow = Sample("von-karman", False, ())
    rear = hollow.inner[0].piece.start
    pocket = (Line(rear, (200.0, rear[1])), Line((200.0, rear[1]), (200.0 - rear[1], 0.0)))
    inner = tuple(Edge(piece) for piece in pocket)
    plug = joint_at(sample.skin, 160.0, 15.0, 0.12, 1.6, 1.6, solid=True)
    tip, base = sections(hollow.outer, inner, (), (plug,))
    loop = (*hollow.outer, *inner)
    whole = Revolved(Meridian((*loop, Edge(Line(loop[-1].piece.end, loop[0].piece.start)))))
    found = [measure(solid(section.shape)) for section in (tip, base)]
    assert all(one.valid and one.bodies == 1 for one in found)
    total = sum(one.moments.volume for one in found) + gap_volume((plug,), inner)
    assert total == pytest.approx(moments(whole).volume, rel=1e-10)
    near = joint_at(sample.skin, 175.0, 15.0, 0.12, 1.6, 1.6, solid=True)
    with pytest.raises(
        PartError, match=r"^joint_stations: the solid spigot at 175 mm needs 1 mm of solid part behind it"
    ):
        sections(hollow.outer, inner, (), (near,))


# --- what is refused --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"spigot_length": 11.0}, "spigot_length: 11 mm must be from 12 to 20 mm"),
        ({"spigot_length": 21.0}, "spigot_length: 21 mm must be from 12 to 20 mm"),
        ({"gap": 0.0}, "joint_gap: 0 mm per side must be above 0 and at most 0.5 mm"),
        ({"socket_wall": 1.1}, "socket_wall: 1.1 mm must be at least 1.2 mm"),
        ({"spigot_wall": 1.5}, "spigot_wall: 1.5 mm must be at least 1.6 mm"),
        ({"stations": (260.0,)}, "joint_stations: 260 mm is not on the skin, which runs from 0 to 250 mm"),
        ({"stations": (12.0,)}, "joint_stations: at 12 mm a spigot of 15 mm reaches past the forward end"),
        ({"stations": (248.0,)}, "joint_stations: at 248 mm its land of 5 mm reaches past the aft end"),
        (
            {"stations": (40.0,)},
            r"joint_stations: at 40 mm the skin leaves a spigot of \d\.\d+ mm radius, and it needs 6 mm",
        ),
        (
            {"stations": (60.0,), "spigot_wall": 9.0},
            r"joint_stations: at 60 mm the spigot is left a bore of \d.* needs 3 mm",
        ),
        ({"stations": (150.0,), "socket_wall": 40.0}, r"joint_stations: at 150 mm .*; no station has room"),
        (
            {"stations": (150.0, 165.0)},
            "joint_stations: the joint at 165 mm reaches forward to 149.5 mm, into the one at 150",
        ),
    ],
)
def test_what_has_no_room_is_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(PartError, match=f"^{message}"):
        replace(Sample("von-karman", False, (150.0,)), **change).sections()  # type: ignore[arg-type]


def test_the_nearest_station_with_room_is_one() -> None:
    skin = SAMPLES["von Karman in 2"].skin
    with pytest.raises(PartError, match=r"the nearest station with room is (\d+) mm$") as refused:
        joint_at(skin, 40.0, 15.0, 0.12, 1.6, 1.6, solid=False)
    nearest = float(str(refused.value).split()[-2])
    assert joint_at(skin, nearest, 15.0, 0.12, 1.6, 1.6, solid=False).spigot_radius >= 6.0
    with pytest.raises(PartError):
        joint_at(skin, nearest - 1.0, 15.0, 0.12, 1.6, 1.6, solid=False)


def test_a_blunt_nose_has_no_room_for_the_roof_of_a_plug() -> None:
    """A hemisphere of 30 mm radius: the cone from a plug 15 mm ahead of 24 mm comes out of it."""
    skin = Profile("half-ellipsoid", 30.0, 30.0).chain()
    with pytest.raises(PartError, match=r"^joint_stations: at 24 mm the roof of the socket comes nearer to the skin"):
        joint_at(skin, 24.0, 15.0, 0.12, 1.6, 1.6, solid=True)


def test_an_inside_that_is_not_limited_to_the_joints_is_refused() -> None:
    sample = SAMPLES["von Karman in 2"]
    with pytest.raises(PartError, match=r"^joint_stations: the inside of the spigot at 166\.5 mm is not the bore of"):
        sections(sample.outer, replace(sample, stations=()).inner, (), sample.joints)
    with pytest.raises(PartError, match=r"^joint_stations: the inside of the spigot at 166\.5 mm is not the bore of"):
        sections(sample.outer, (), (), sample.joints)
    late = replace(sample.joints[0], station=LENGTH + 20.0)
    with pytest.raises(PartError, match=r"^joint_stations: 270 mm is not on the skin"):
        sections(sample.outer, sample.inner, (), (late,))


def test_rolls_of_the_keys_are_uneven() -> None:
    """No turn but none maps the keys onto each other."""
    rolls = sorted(ROLLS)
    between = [(after - before) % math.tau for before, after in zip(rolls, [*rolls[1:], rolls[0]], strict=True)]
    assert len({round(value, 6) for value in between}) == 3
