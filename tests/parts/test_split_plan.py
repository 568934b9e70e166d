"""Where a tall part is cut: low enough, clear of everything, the fewest sections and the most equal ones.

The choice is compared with scipy's shortest path through all places that a search at every half millimetre finds;
steepness, and what a joint takes, come from the formula of the profile there.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse.csgraph import dijkstra

from ferrule.parts.errors import PartError
from ferrule.parts.joint import Joint, Room, Sizes, joint_at
from ferrule.parts.profiles import FAMILIES, Profile
from ferrule.parts.split_plan import plan

VON_KARMAN = Profile("von-karman", 250.0, 34.15)
END = 318.0
BASE = (240.0, END)


def heights(end: float, joints: tuple[Joint, ...]) -> list[float]:
    """Of each section as it is printed: its own length and its spigot, point and all."""
    starts = [0.0, *(joint.first for joint in joints)]
    return [stop - start for start, stop in zip(starts, [*(joint.station for joint in joints), end], strict=True)]


def joints_at(profile: Profile, stations: tuple[float, ...], **sizes: Any) -> tuple[Joint, ...]:
    wanted = {"spigot_length": 15.0, "gap": 0.12, "socket_wall": 1.6, "spigot_wall": 1.6, "solid": False, **sizes}
    return tuple(joint_at(profile.chain(), station, **wanted) for station in stations)


def leans(profile: Profile, first: float, last: float) -> np.ndarray:
    """Lean of the skin between two stations by differences of the formula [rad]."""
    x = np.linspace(first, last, 60)
    return np.arctan(np.diff(profile.radius(x)) / np.diff(x))


def taken(profile: Profile, joint: Joint, wall: float) -> tuple[float, float]:
    """First and last station that a joint takes, with 2 mm on either side, from the formula [mm]."""
    flare = joint.station + joint.land
    if joint.solid:
        # The roof of the socket: half a millimetre deeper than the plug, at 45 degrees to the axis.
        return joint.front - 0.5 - joint.socket_radius - 2.0, flare + 2.0
    inside = float(profile.radius(np.array([flare]))[0]) - wall
    return joint.front - 0.5 - 2.0, flare + max(inside - joint.bore, 0.0) + 2.0


@pytest.mark.parametrize(("height", "count"), [(400.0, 1), (318.0, 1), (220.0, 2), (170.0, 2), (160.0, 3), (118.0, 3)])
def test_sections_are_the_fewest_and_equal(height: float, count: int) -> None:
    """318 mm in n sections with n - 1 spigots of 15 mm: (318 + 15 (n - 1)) / n each, to the half millimetre."""
    stations = plan(VON_KARMAN.chain(), END, height, blocked=(BASE,))
    found = heights(END, joints_at(VON_KARMAN, stations))
    assert len(found) == count
    assert max(found) <= height
    assert found == pytest.approx([(END + 15.0 * (count - 1)) / count] * count, abs=1.0)
    assert all(station % 0.5 == 0.0 for station in stations)


def test_a_blocked_middle_shifts_the_joint_to_its_nearer_side() -> None:
    free = plan(VON_KARMAN.chain(), END, 250.0, blocked=(BASE,))
    assert free == (166.5,)
    # A vent at 160 mm: in the way of a spigot that reaches 15.5 mm forward, 2 mm apart.
    (moved,) = plan(VON_KARMAN.chain(), END, 250.0, blocked=(BASE, (159.0, 161.0)))
    assert moved - 17.5 >= 161.0 or moved + 5.0 + 2.0 <= 159.0
    assert moved == pytest.approx(178.5, abs=0.5)


def test_a_wide_spigot_ahead_of_a_solid_section_counts_to_its_point() -> None:
    stations = plan(VON_KARMAN.chain(), END, 190.0, blocked=(BASE,), solid=True)
    joints = joints_at(VON_KARMAN, stations, solid=True)
    assert [joint.station - joint.first for joint in joints] == [30.0]
    assert heights(END, joints) == pytest.approx([174.0, 174.0])


def test_the_smallest_height_that_is_named_works_and_less_does_not() -> None:
    with pytest.raises(
        PartError, match=r"^section_height: 80 mm is too low .* the smallest that works is [\d.]+ mm$"
    ) as low:
        plan(VON_KARMAN.chain(), END, 80.0, blocked=(BASE,))
    smallest = float(str(low.value).split()[-2])
    stations = plan(VON_KARMAN.chain(), END, smallest, blocked=(BASE,))
    assert max(heights(END, joints_at(VON_KARMAN, stations))) <= smallest
    with pytest.raises(PartError, match="the smallest that works is"):
        plan(VON_KARMAN.chain(), END, smallest - 0.2, blocked=(BASE,))


def test_a_spigot_longer_than_a_section_is_refused() -> None:
    with pytest.raises(PartError, match=r"^spigot_length: 20 mm is not less than section_height, 18 mm$"):
        plan(VON_KARMAN.chain(), END, 18.0, spigot_length=20.0)


def test_sizes_out_of_range_are_refused_before_anything_is_planned() -> None:
    with pytest.raises(PartError, match=r"^spigot_length: 25 mm must be from 12 to 20 mm$"):
        plan(VON_KARMAN.chain(), END, 400.0, spigot_length=25.0)
    with pytest.raises(PartError, match=r"^socket_wall: 1 mm must be at least 1.2 mm$"):
        plan(VON_KARMAN.chain(), END, 100.0, socket_wall=1.0)


def test_why_no_joint_can_be_anywhere_is_said() -> None:
    """A cone of 90 mm on a base of 90 mm leans by atan(1/2) = 26.6 degrees."""
    blunt = Profile("cone", 90.0, 45.0).chain()
    with pytest.raises(
        PartError,
        match=r"^section_height: 60 mm needs a joint, and none can be anywhere: from 0.5 to .* mm the skin leaves no "
        r"room for spigot and socket; from .* mm the skin is steeper than 20 degrees; from",
    ):
        plan(blunt, 90.0, 60.0)
    with pytest.raises(PartError, match=r"none can be anywhere: .*; from .* mm something else is in the way"):
        plan(VON_KARMAN.chain(), END, 200.0, blocked=((0.0, END),))


# --- any nose ---------------------------------------------------------------------------------------------------------

CONSTANTS = {"parabola": 0.7, "power-law": 0.6, "haack": 0.3}


@st.composite
def cases(draw: Any) -> tuple[Profile, float, float, dict[str, Any]]:
    family = draw(st.sampled_from(FAMILIES))
    radius = draw(st.floats(20.0, 60.0))
    length = radius * draw(st.floats(4.0, 10.0))
    constant: float | None = CONSTANTS.get(family)
    if family == "secant-ogive":
        constant = 1.5 * (length**2 + radius**2) / (2.0 * radius)
    end = length + draw(st.floats(0.0, 80.0))
    middle = draw(st.floats(0.2, 0.8)) * length
    blocked = ((length - draw(st.floats(1.0, 20.0)), end + 1.0), (middle, middle + draw(st.floats(0.5, 20.0))))
    more = {
        "blocked": blocked,
        "spigot_length": draw(st.floats(12.0, 20.0)),
        "socket_wall": draw(st.floats(1.2, 3.0)),
        "solid": draw(st.booleans()),
    }
    height = 80.0 + draw(st.floats(0.0, 1.0)) * max(end - 100.0, 0.0)
    return Profile(family, length, radius, constant), end, height, more


def places(profile: Profile, more: dict[str, Any]) -> list[Joint]:
    """Joints at every half millimetre that keep all rules by a little."""
    found: list[Joint] = []
    sizes = Sizes(more["spigot_length"], 0.12, more["socket_wall"], 1.6, more["solid"])
    # What `joint_at` asks, without its search for a better station.
    room = Room.of(profile.chain())
    step = 0.5 * math.ceil(profile.length / 750.0)
    for number in range(1, int(profile.length / step)):
        joint = room.joint(number * step, sizes)
        if room.objection(joint, sizes.socket_wall):
            continue
        first, last = taken(profile, joint, more["socket_wall"])
        if last > profile.length - 0.01 or leans(profile, joint.front - 0.5, joint.station).max() > math.radians(19.99):
            continue
        if all(last < start - 0.01 or stop + 0.01 < first for start, stop in more["blocked"]):
            found.append(joint)
    return found


@settings(max_examples=settings().max_examples // 4)
@given(cases())
def test_any_nose_is_cut_as_well_as_can_be_or_refused_in_words(
    case: tuple[Profile, float, float, dict[str, Any]],
) -> None:
    profile, end, height, more = case
    sizes = {name: value for name, value in more.items() if name != "blocked"}
    try:
        stations = plan(profile.chain(), end, height, **more)
    except PartError as error:
        assert str(error).startswith(("section_height: ", "spigot_length: "))
        stations = None
    best = cheapest(profile, end, height, more)
    if stations is None:
        assert best is None
        return
    joints = joints_at(profile, stations, **sizes)
    found = heights(end, joints)
    assert max(found) <= height + 1e-6
    for joint in joints:
        first, last = taken(profile, joint, more["socket_wall"])
        assert all(last <= start + 0.01 or stop <= first + 0.01 for start, stop in more["blocked"])
        assert leans(profile, joint.front - 0.5, joint.station).max() <= math.radians(20.01)
    for before, after in pairwise(joints):
        assert after.first > before.station + before.land + 2.0
    if best is not None:
        assert (len(found), sum(value**2 for value in found)) <= (best[0], best[1] * (1.0 + 1e-9))


def cheapest(profile: Profile, end: float, height: float, more: dict[str, Any]) -> tuple[int, float] | None:
    """Fewest sections, and the smallest sum of the squares of their heights, by scipy's shortest path."""
    joints = places(profile, more)
    spans = [taken(profile, joint, more["socket_wall"]) for joint in joints]
    firsts = np.array([0.0, *(joint.first for joint in joints), end])
    stations = np.array([0.0, *(joint.station for joint in joints), end])
    taken_from = np.array([0.0, *(span[0] for span in spans), end])
    taken_to = np.array([0.0, *(span[1] for span in spans), end])
    span = stations[None, :] - firsts[:, None]
    count = len(stations)
    allowed = (np.arange(count)[None, :] > np.arange(count)[:, None]) & (taken_from[None, :] > taken_to[:, None] + 0.01)
    allowed &= span < height - 1e-6
    if end <= height:
        return 1, end**2
    each = 1e7
    lengths = dijkstra(np.where(allowed, each + span**2, 0.0), indices=0)
    total = float(lengths[-1])
    return (int(total // each), total % each) if math.isfinite(total) else None
