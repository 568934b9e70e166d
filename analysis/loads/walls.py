"""The walls that carry the airframe: rings of one material, each where it carries alone."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ...parts.errors import PartError
from ...parts.kinds import Coupler, NoseCone, Transition, Tube
from ...parts.strengths import Strength, strength
from ..joints import airframe
from ..rocket import Item, Rocket


@dataclass(frozen=True, slots=True)
class Wall:
    """A stretch of wall, from one station to another.

    Attributes:
        name: the item, and which stretch of it.
        first: station from which it carries alone [mm].
        last: station up to which it does [mm].
        outside: outside radius [mm].
        inside: inside radius [mm]; 0 for what is solid.
        length: free length of the wall, for buckling [mm].
        material: what it is made of; None where it is not stated.
        half_angle: half the angle of the cone that it is [rad]; 0 for a cylinder.

    Raises:
        PartError: radii that leave no wall.
    """

    name: str
    first: float
    last: float
    outside: float
    inside: float
    length: float
    material: str | None
    half_angle: float = 0.0

    def __post_init__(self) -> None:
        if not 0.0 <= self.inside < self.outside < math.inf:
            raise PartError(
                f"inside: {self.inside:g} mm is not from 0 to below the outside radius, {self.outside:g} mm"
            )

    @property
    def thickness(self) -> float:
        """Thickness of the wall, on the radius [mm]."""
        return self.outside - self.inside

    @property
    def middle(self) -> float:
        """Radius of the middle of the wall [mm]."""
        return (self.outside + self.inside) / 2.0

    @property
    def area(self) -> float:
        """Area of the ring [mm2]."""
        return math.pi * (self.outside**2 - self.inside**2)

    @property
    def modulus(self) -> float:
        """Section modulus of the ring, pi (R^4 - r^4) / (4 R) [mm3]."""
        return math.pi * (self.outside**4 - self.inside**4) / (4.0 * self.outside)

    @property
    def strength(self) -> Strength | None:
        """What its material bears; None where the table has no row for it."""
        return strength(self.material)

    @property
    def bears(self) -> float | None:
        """The least of its strengths in bending, compression and tension [MPa]; None where one is not known.

        A printed wall stands upright on the bed: bent, it is pulled across its layers.
        """
        row = self.strength
        if row is None or row.bending is None or row.compression is None or row.tension is None:
            return None
        return min(row.bending, row.compression, row.tension)

    def unknown(self, what: str) -> str:
        """What to enter where something of its material is not known."""
        if self.material is None:
            return f"enter `material` for {self.name.partition(',')[0]}"
        return f"no {what} is known for {self.material}"

    @property
    def words(self) -> str:
        """Its section in words."""
        return f"outside radius R {self.outside:.2f} mm, wall t {self.thickness:.2f} mm"


def walls(rocket: Rocket) -> tuple[Wall, ...]:
    """Every wall that carries, from forward to aft: tubes, couplers where tubes meet, bodies and shoulders.

    A shoulder carries alone at the base, and a coupler where the tubes on it meet, or along its switch band; the walls
    that go on to both sides of there carry with it. Sleeves, fillets and motor tubes are left out: they only help.
    """
    found = [wall for item in airframe(rocket) for wall in _of(item, rocket)]
    return tuple(sorted(found, key=lambda wall: (wall.first, wall.last, wall.name)))


def _of(item: Item, rocket: Rocket) -> Iterator[Wall]:
    part, station = item.part, item.stations[0]
    if isinstance(part, NoseCone):
        yield from _nose(item.name, part, station)
    elif isinstance(part, Transition):
        yield from _transition(item.name, part, station)
    elif isinstance(part, Coupler | Tube) and not (isinstance(part, Tube) and part.use == "airframe"):
        inside = part.outside_diameter / 2.0 - part.wall if isinstance(part, Coupler) else part.inside_diameter / 2.0
        meeting = _meeting(item, rocket)
        if meeting is not None and inside > 0.0:
            first, last = meeting
            yield Wall(item.name, first, last, part.outside_diameter / 2.0, inside, part.length, part.material)
    elif isinstance(part, Tube):
        outside, inside = part.outside_diameter / 2.0, part.inside_diameter / 2.0
        yield Wall(item.name, station, station + part.length, outside, inside, part.length, part.material)


def _meeting(item: Item, rocket: Rocket) -> tuple[float, float] | None:
    """Where the skins of two others end and begin over a coupler [mm]; None where they do not."""
    start, end = item.skin_extent()
    sleeves = rocket.sleeves
    skins = [one.skin_range() for one in rocket.body if one is not item and one not in sleeves]
    ahead = [last for _, last in skins if start < last < end]
    behind = [first for first, _ in skins if start < first < end]
    return (max(ahead), max(min(behind), max(ahead))) if ahead and behind else None


def _nose(name: str, part: NoseCone, station: float) -> Iterator[Wall]:
    base, solid = station + part.length, part.body == "solid"
    angle = math.atan2(part.base_radius, part.length)
    inside = 0.0 if solid else max(part.base_radius - part.wall, 0.0)
    yield Wall(f"{name}, body", base, base, part.base_radius, inside, part.length, part.material, angle)
    if part.shoulder_length and part.shoulder_radius:
        inside = 0.0 if solid else max(part.shoulder_radius - part.shoulder_wall, 0.0)
        length = part.shoulder_length
        yield Wall(f"{name}, shoulder", base, base, part.shoulder_radius, inside, length, part.material)


def _transition(name: str, part: Transition, station: float) -> Iterator[Wall]:
    solid = part.body == "solid"
    ends = (
        ("forward", station, part.forward_diameter, part.forward_shoulder_length, part.forward_shoulder_diameter),
        ("aft", station + part.length, part.aft_diameter, part.aft_shoulder_length, part.aft_shoulder_diameter),
    )
    angle = abs(math.atan2((part.aft_diameter - part.forward_diameter) / 2.0, part.length))
    for end, at, diameter, length, shoulder in ends:
        inside = 0.0 if solid else max(diameter / 2.0 - part.wall, 0.0)
        yield Wall(f"{name}, {end} end", at, at, diameter / 2.0, inside, part.length, part.material, angle)
        if length and shoulder:
            inside = 0.0 if solid else max(shoulder / 2.0 - part.shoulder_wall, 0.0)
            yield Wall(f"{name}, {end} shoulder", at, at, shoulder / 2.0, inside, length, part.material)
