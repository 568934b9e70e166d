"""Where to cut a tall turned part for a printer: the fewest sections that are low enough, as equal as possible."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .chain import Chain
from .curve import Floats
from .errors import PartError
from .joint import DEFAULT_LAND, Joint, Room, Sizes

CLEAR = 2.0
"""How far a joint keeps from whatever else there is [mm]."""

STEEPEST = math.radians(20.0)
"""Largest lean of the skin beside a spigot [rad]: a steeper one leaves a thick ring behind a thin spigot."""

_STEP = 0.5
"""Joints stand on whole multiples of this [mm] ..."""

_STATIONS = 1500
"""... or of a larger one, so that there are no more stations to choose from than this [-]."""

_STEEP, _NARROW, _TAKEN = "steep", "narrow", "taken"
_WORDS = {
    _STEEP: f"the skin is steeper than {math.degrees(STEEPEST):g} degrees",
    _NARROW: "the skin leaves no room for spigot and socket",
    _TAKEN: "something else is in the way",
}


@dataclass(frozen=True, slots=True)
class _Place:
    """A joint that can be, and the stretch that it takes [mm]."""

    joint: Joint
    first: float
    last: float


def plan(
    skin: Chain,
    end: float,
    section_height: float,
    *,
    blocked: tuple[tuple[float, float], ...] = (),
    spigot_length: float = 15.0,
    gap: float = 0.12,
    socket_wall: float = 1.6,
    spigot_wall: float = 1.6,
    solid: bool = False,
    land: float = DEFAULT_LAND,
) -> tuple[float, ...]:
    """Stations of the joints, the foremost first; none where the whole is low enough.

    The height of a section is what the printer builds: its own length and its spigot. Of all ways with the fewest
    sections, the one with the smallest sum of the squares of their heights is taken: the most equal one.

    Args:
        skin: wetted skin from the tip aft [mm].
        end: aftmost station of the whole, shoulder and all [mm].
        section_height: tallest section that the printer takes [mm].
        blocked: stretches of stations that must be kept free of joints, as (first, last) [mm].
        spigot_length: 12 to 20 mm.
        gap: between spigot and socket [mm per side].
        socket_wall: least wall of a socket [mm].
        spigot_wall: wall of a spigot [mm].
        solid: True for a part without a cavity.
        land: length of the bore behind a ring face [mm].

    Raises:
        PartError: no places work; the message names the smallest height that does, or why none does.
    """
    sizes = Sizes(spigot_length, gap, socket_wall, spigot_wall, solid, land)
    start = skin[0].start[0]
    if end - start <= section_height:
        return ()
    if section_height <= spigot_length:
        raise PartError(f"spigot_length: {spigot_length:g} mm is not less than section_height, {section_height:g} mm")
    places, refused = _places(skin, blocked, sizes)
    if not places:
        raise PartError(
            f"section_height: {section_height:g} mm needs a joint, and none can be anywhere: {_why(refused)}"
        )
    heights = _heights(places, start, end)
    chosen = _fewest(heights, section_height)
    if chosen is None:
        smallest = math.ceil(_smallest(heights) * 10.0 - 1e-6) / 10.0
        raise PartError(
            f"section_height: {section_height:g} mm is too low for any choice of joints; the smallest that works is "
            f"{smallest:g} mm"
        )
    return tuple(places[index].joint.station for index in chosen)


@lru_cache(maxsize=32)
def _places(
    skin: Chain, blocked: tuple[tuple[float, float], ...], sizes: Sizes
) -> tuple[tuple[_Place, ...], tuple[tuple[float, str], ...]]:
    """Every place for a joint, and the other stations with the reason why they are none."""
    room = Room.of(skin)
    start, stop = skin[0].start[0], skin[-1].end[0]
    step = _STEP * max(1, math.ceil((stop - start) / _STEP / _STATIONS))
    found: list[_Place] = []
    refused: list[tuple[float, str]] = []
    for number in range(math.floor(start / step) + 1, math.ceil(stop / step)):
        joint = room.joint(number * step, sizes)
        place = _Place(joint, joint.reach - CLEAR, _last(joint, room, sizes.socket_wall))
        reason = ""
        if room.objection(joint, sizes.socket_wall) or place.last > stop:
            reason = _NARROW
        elif room.steepest(joint.edge, joint.station) > STEEPEST:
            reason = _STEEP
        elif any(place.first < last and first < place.last for first, last in blocked):
            reason = _TAKEN
        if reason:
            refused.append((joint.station, reason))
        else:
            found.append(place)
    return tuple(found), tuple(refused)


def _last(joint: Joint, room: Room, wall: float) -> float:
    """Last station [mm] that a joint takes: behind the land, its bore opens at 45 degrees to the inside of the wall."""
    flare = joint.station + joint.land
    opening = 0.0 if joint.solid else max(room.radius(flare) - wall - joint.bore, 0.0)
    return flare + opening + CLEAR


def _why(refused: tuple[tuple[float, str], ...]) -> str:
    """For each stretch of stations, why no joint can be there."""
    stretches: list[tuple[float, float, str]] = []
    for station, reason in refused:
        if stretches and stretches[-1][2] == reason:
            stretches[-1] = (stretches[-1][0], station, reason)
        else:
            stretches.append((station, station, reason))
    return "; ".join(f"from {first:g} to {last:g} mm {_WORDS[reason]}" for first, last, reason in stretches)


# --- the choice -------------------------------------------------------------------------------------------------------


def _heights(places: tuple[_Place, ...], start: float, end: float) -> Floats:
    """Height of the section from each place to each later one [mm], shape (n + 2, n + 2); no section is infinite.

    The first place stands for the forward end of the whole, the last one for its aft end.
    """
    firsts = np.array([start, *(place.joint.first for place in places), end])
    stations = np.array([start, *(place.joint.station for place in places), end])
    taken_from = np.array([start, *(place.first for place in places), end])
    taken_to = np.array([start, *(place.last for place in places), end])
    heights = stations[None, :] - firsts[:, None]
    later = np.arange(len(firsts))[None, :] > np.arange(len(firsts))[:, None]
    return np.where(later & (taken_from[None, :] >= taken_to[:, None]), heights, np.inf)


def _fewest(heights: Floats, limit: float) -> tuple[int, ...] | None:
    """Numbers of the chosen places: the fewest, and of those the most equal; None where no choice keeps the limit."""
    squares = np.where(heights <= limit + 1e-9, heights**2, np.inf)
    best = squares[0]
    # For each number of sections, the place before each.
    before: list[NDArray[np.intp]] = []
    while not np.isfinite(best[-1]):
        total = best[:, None] + squares
        before.append(total.argmin(axis=0))
        best = total.min(axis=0)
        if not np.isfinite(best).any():
            return None
    chosen: list[int] = []
    place = len(heights) - 1
    for earlier in reversed(before):
        place = int(earlier[place])
        chosen.append(place - 1)
    return tuple(reversed(chosen))


def _smallest(heights: Floats) -> float:
    """Smallest limit that some choice of places keeps [mm]: the path with the lowest tallest section."""
    best = heights[0].copy()
    for place in range(1, len(heights)):
        best = np.minimum(best, np.maximum(best[place], heights[place]))
    return float(best[-1])
