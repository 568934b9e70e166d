"""Round discs with holes: the rules that keep the holes in the disc, its outline, and the marks on its template."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from ..curve import Line, Point
from ..errors import PartError
from ..marks import CentreMark, Diameter, Guide, Label, Mark
from ..params import Angle, Length
from ..shape import Outline, circle, hole

HoleDiameter = Annotated[Length | None, Field(gt=0, le=200, description="diameter of each hole on the hole circle")]
HoleCircleDiameter = Annotated[
    Length | None, Field(gt=0, le=500, description="diameter of the circle through the middles of those holes")
]
HoleRolls = Annotated[
    tuple[Angle, ...], Field(max_length=72, description="where those holes are, clockwise from the rail line")
]

LEAST_WEB = 1.0
"""Material that must stay between any hole and an edge [mm]; less would not survive sawing (common practice)."""


@dataclass(frozen=True, slots=True)
class HoleCircle:
    """Equal holes on one circle, with the field names of the kinds in its messages.

    Attributes:
        hole_diameter: diameter of each hole [mm]; None where it is not stated.
        circle_diameter: diameter of the circle through their middles [mm]; None where it is not stated.
        rolls: where they are [rad], clockwise from the rail line seen from behind; empty for no holes.
    """

    hole_diameter: float | None
    circle_diameter: float | None
    rolls: tuple[float, ...]

    @property
    def hole_radius(self) -> float:
        """Radius of each hole [mm]; 0 where it is not stated."""
        return (self.hole_diameter or 0.0) / 2.0

    @property
    def circle_radius(self) -> float:
        """Radius of the circle through their middles [mm]; 0 where it is not stated."""
        return (self.circle_diameter or 0.0) / 2.0

    def centres(self, bore: float, rim: float) -> tuple[Point, ...]:
        """Middles of the holes seen from behind, the rail line upwards [mm].

        Args:
            bore: radius of the opening in the middle [mm]; 0 for none.
            rim: radius of the edge [mm].

        Raises:
            PartError: a size is missing, or a hole leaves too little material.
        """
        if not self.rolls:
            return ()
        if self.hole_diameter is None or self.circle_diameter is None:
            missing = "hole_diameter" if self.hole_diameter is None else "hole_circle_diameter"
            raise PartError(f"{missing}: is needed for the holes and not stated")
        middle, radius = self.circle_radius, self.hole_radius
        web = min(middle - radius - bore if bore else math.inf, rim - middle - radius)
        if web < LEAST_WEB:
            raise PartError(
                f"hole_circle_diameter: holes of {self.hole_diameter:g} mm on a circle of {self.circle_diameter:g} mm "
                f"leave {web:.3g} mm to the nearer edge; at least {LEAST_WEB:g} mm must stay"
            )
        rolls = sorted(roll % math.tau for roll in self.rolls)
        for first, second in zip(rolls, (*rolls[1:], rolls[0] + math.tau), strict=True):
            between = 2.0 * middle * abs(math.sin((second - first) / 2.0)) - 2.0 * radius
            if len(rolls) > 1 and between < LEAST_WEB:
                raise PartError(f"hole_rolls: two holes leave {between:.3g} mm between them; at least {LEAST_WEB:g} mm")
        return tuple((middle * math.sin(roll), middle * math.cos(roll)) for roll in self.rolls)


NO_HOLES = HoleCircle(None, None, ())


@dataclass(frozen=True, slots=True)
class Disc:
    """A flat round disc with an opening in the middle and a circle of holes, seen from behind.

    Attributes:
        rim: radius of the edge [mm].
        bore: radius of the opening [mm]; 0 for none.
        holes: the holes.
    """

    rim: float
    bore: float = 0.0
    holes: HoleCircle = NO_HOLES

    def outline(self) -> Outline:
        """Rim, opening and holes, the rail line upwards.

        Raises:
            PartError: a hole leaves too little material.
        """
        inner = (hole(self.bore, role="fit"),) if self.bore else ()
        radius = self.holes.hole_radius
        return Outline(
            circle(self.rim, role="fit"),
            (*inner, *(hole(radius, centre, "fit") for centre in self.holes.centres(self.bore, self.rim))),
        )

    def marks(self, rim_word: str, bore_word: str) -> tuple[Mark, ...]:
        """Centre lines, the rail line, diameters; the words name the rim and the opening."""
        rim, bore = self.rim, self.bore
        found: list[Mark] = [
            CentreMark((0.0, 0.0), rim + 4.0),
            Label("RAIL LINE", (0.0, rim + 7.5)),
            Guide((Line((0.0, bore), (0.0, rim)),)),
            Diameter((0.0, 0.0), rim, math.radians(315.0), 9.0, rim_word),
        ]
        if bore:
            found.append(Diameter((0.0, 0.0), bore, math.radians(225.0), rim - bore + 9.0, bore_word))
        centres = self.holes.centres(bore, rim)
        if centres:
            radius = self.holes.hole_radius
            angle = math.atan2(centres[0][1], centres[0][0])
            reach = rim - self.holes.circle_radius - radius + 9.0
            found.append(Diameter(centres[0], radius, angle, reach, f"{len(centres)} holes"))
            found.extend(CentreMark(centre, radius + 2.0) for centre in centres)
        return tuple(found)


def from_behind(template: Outline) -> Outline:
    """The template's (x, y) as the plate's (y, z): seen from behind, up is +y and right is -z."""
    return template.placed(0.0, 0.0, -math.pi / 2.0)
