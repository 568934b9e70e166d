"""Nose cone: every profile family, solid or hollow, with a shoulder and screw holes in it."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from ..chain import Chain, crossings, cut, reverse
from ..curve import Floats, Line
from ..errors import PartError
from ..fit import Derived, Surroundings, nose_base, shoulder
from ..params import Length, Ratio
from ..part import Part, register
from ..poses import STANDING
from ..profiles import CONSTANTS, Family, Profile, inner_profile
from ..shape import Array, Cut, Edge, Loop, Meridian, Placement, Revolved, edges
from .screws import ScrewCount, ScrewDiameter, ScrewRoll, Sleeve, screw_holes


@register
class NoseCone(Part):
    r"""A turned nose with a shoulder that enters the tube.

    ::

                          ___..---''''|       <- base_diameter, the skin ends here
               __..--'''              |____
           _-'                        |    |  <- shoulder_diameter
          <  - - - - - - - - - - - - -|- - |
           '-_                        |____|
               ''--..___              |
                        '''---....____|
          <---------- length --------><---->
          tip to base, the finished     shoulder_length
          length: no shoulder in it

    The profile's formula r(x), with L the length, R the base radius and x from the tip:

    - cone: R x/L
    - tangent-ogive: arc of radius (R^2 + L^2) / (2 R), tangent to the tube
    - secant-ogive: arc of `arc_radius` through tip and base rim
    - half-ellipsoid: R sqrt(1 - (1 - x/L)^2)
    - parabola: R (2 x/L - K (x/L)^2) / (2 - K), K the `parabola_constant`
    - power-law: R (x/L)^n, n the `power_exponent`
    - haack: R sqrt((t - sin(2 t)/2 + C sin(t)^3) / pi), cos(t) = 1 - 2 x/L, C the `haack_constant`
    - von-karman: the Haack body with C = 0
    """

    kind: ClassVar[str] = "nose-cone"
    bench_order: ClassVar[int] = 50
    example: ClassVar[dict[str, str]] = {
        "profile": "von-karman",
        "length": "250 mm",
        "base_diameter": "68.3 mm",
        "shoulder_length": "68 mm",
        "shoulder_diameter": "65.3 mm",
        "screw_count": "3",
        "material": "petg",
    }

    profile: Annotated[Family, Field(description="family of the profile")]
    length: Annotated[Length, Field(gt=0, le=3000, description="finished length, tip to base; the shoulder is extra")]
    base_diameter: Annotated[Length, Field(gt=0, le=500, description="outside diameter at the base")]
    arc_radius: Annotated[Length | None, Field(gt=0, le=1e6, description="secant-ogive: radius of the arc")] = None
    parabola_constant: Annotated[
        Ratio | None, Field(ge=0, le=1, description="parabola: K in the formula; 0 is a cone, 1 is tangent to the tube")
    ] = None
    power_exponent: Annotated[
        Ratio | None, Field(ge=0.3, le=1, description="power-law: n in the formula; 1 is a cone, 0.5 a paraboloid")
    ] = None
    haack_constant: Annotated[
        Ratio | None,
        Field(ge=0, le=2 / 3, description="haack: C in the formula; 1/3 for given length and volume"),
    ] = None
    body: Annotated[Literal["hollow", "solid"], Field(description="hollow with a wall, or solid throughout")] = "hollow"
    wall: Annotated[Length, Field(gt=0, le=100, description="wall of the body, square to the skin")] = 1.6
    shoulder_length: Annotated[Length, Field(ge=0, le=1000, description="length of the shoulder; 0 for none")] = 0.0
    shoulder_diameter: Annotated[
        Length | None, Field(gt=0, le=500, description="outside diameter of the shoulder, which enters the tube")
    ] = None
    shoulder_wall: Annotated[Length, Field(gt=0, le=100, description="wall of the shoulder, on the radius")] = 2.4
    screw_count: ScrewCount = 0
    screw_diameter: ScrewDiameter = 3.4
    screw_distance: Annotated[
        Length | None,
        Field(gt=0, le=1000, description="base to the screws' middles; the middle of the shoulder if not stated"),
    ] = None
    screw_roll: ScrewRoll = math.pi / 3.0

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Base from the tube's outside, shoulder from its inside."""
        found = super().derived(stated, near)
        fits = near.fits
        if fits and "base_diameter" not in stated:
            found["base_diameter"] = nose_base(fits)
        if fits and "shoulder_length" in stated and "shoulder_diameter" not in stated:
            found["shoulder_diameter"] = shoulder(fits, near.choice)
        return found

    def outside(self) -> Profile:
        """The profile of the skin.

        Raises:
            PartError: the constant of the family is missing, or one of another family is given.
        """
        name = CONSTANTS.get(self.profile)
        for field in CONSTANTS.values():
            if field != name and getattr(self, field) is not None:
                raise PartError(f"{field}: the profile {self.profile} has no such constant; leave it out")
        if name is not None and getattr(self, name) is None:
            raise PartError(f"{name}: is needed for the profile {self.profile} and not stated")
        return Profile(self.profile, self.length, self.base_diameter / 2.0, getattr(self, name) if name else None)

    def skin(self) -> Chain:
        """The wetted skin from the tip to the base."""
        return self.outside().chain()

    def shape(self) -> Revolved | Cut:
        """The nose about its axis, tip at the origin.

        Raises:
            PartError: the wall, the shoulder or the screws do not fit the body.
        """
        self._check_shoulder()
        skin = self.skin()
        opening, inner = self._inside(skin)
        section = (*edges(skin, "wetted"), *self._rear(opening), *edges(reverse(inner)))
        axis = Edge(Line(section[-1].piece.end, skin[0].start))
        body = Revolved(Meridian((*section, axis)))
        screws = self._screws()
        return Cut(body, (screws,)) if screws else body

    def _check_shoulder(self) -> None:
        base = self.base_diameter
        if self.shoulder_length == 0.0:
            if self.shoulder_diameter is not None:
                raise PartError("shoulder_length: is needed for a shoulder and not stated")
            if self.screw_count:
                raise PartError("screw_count: the screws sit in the shoulder, and there is none; give shoulder_length")
            return
        if self.shoulder_diameter is None:
            raise PartError("shoulder_diameter: is needed for a shoulder and not stated")
        if self.shoulder_diameter >= base:
            raise PartError(
                f"shoulder_diameter: {self.shoulder_diameter:g} mm is not smaller than the base, {base:g} mm, so it "
                "cannot enter the tube that the base sits on"
            )
        if self.body == "hollow" and self.shoulder_wall >= self.shoulder_diameter / 2.0:
            raise PartError(
                f"shoulder_wall: {self.shoulder_wall:g} mm is not less than the shoulder's radius, "
                f"{self.shoulder_diameter / 2.0:g} mm; make the body solid instead"
            )

    def _rear(self, bore: float) -> Loop:
        """From the base rim over the shoulder to the rear opening of radius `bore`, or to the axis when solid."""
        rim, base = self.base_diameter / 2.0, self.length
        if self.shoulder_length == 0.0:
            return (Edge(Line((base, rim), (base, bore)), "seat"),)
        outside, end = (self.shoulder_diameter or 0.0) / 2.0, base + self.shoulder_length
        return (
            Edge(Line((base, rim), (base, outside)), "seat"),
            Edge(Line((base, outside), (end, outside)), "fit"),
            Edge(Line((end, outside), (end, bore))),
        )

    def _inside(self, skin: Chain) -> tuple[float, Chain]:
        """Radius of the rear opening and the inside from its apex (or the axis) to the rear end.

        Raises:
            PartError: the wall leaves no room.
        """
        end = self.length + self.shoulder_length
        if self.body == "solid":
            return 0.0, ()
        if self.wall >= self.base_diameter / 2.0:
            raise PartError(
                f"wall: {self.wall:g} mm is not less than the radius of the base, {self.base_diameter / 2.0:g} mm; "
                "make the body solid instead"
            )
        inner = inner_profile(skin, self.wall)
        if self.shoulder_length == 0.0:
            return inner[-1].end[1], inner
        bore = (self.shoulder_diameter or 0.0) / 2.0 - self.shoulder_wall
        inner = _joined(inner, self._flare(), bore)
        return bore, (*inner, Line(inner[-1].end, (end, bore)))

    def _flare(self) -> float:
        """Station at which the bore of the shoulder starts to open at 45 degrees into the body [mm].

        The step from skin to shoulder hangs on the material between the bore and the base, so the bore runs on past
        the base by a shoulder wall before it opens.
        """
        return self.length - min(self.shoulder_wall, self.length / 4.0)

    def _screws(self) -> Array | None:
        if not self.screw_count:
            return None
        distance = self.shoulder_length / 2.0 if self.screw_distance is None else self.screw_distance
        sleeve = Sleeve(
            "shoulder",
            "the base",
            self.length,
            self.shoulder_length,
            (self.shoulder_diameter or 0.0) / 2.0,
            self.shoulder_wall if self.body == "hollow" else None,
        )
        return screw_holes(sleeve, self.screw_count, self.screw_diameter, distance, self.screw_roll)

    def pose(self) -> Placement:
        """Tip up, the rear end on the bed."""
        return STANDING.at(self.length + self.shoulder_length)

    def extent(self) -> tuple[float, float]:
        """Tip and the end of the shoulder."""
        return 0.0, self.length + self.shoulder_length


def _joined(inner: Chain, flare: float, bore: float) -> Chain:
    """The inside of the body joined to the bore of the shoulder.

    Where the body is wider than the bore, the bore opens into it at 45 degrees, which prints without support; where it
    is not, the bore runs forward until the body closes round it.
    """

    def beyond(points: Floats) -> Floats:
        return np.asarray(points[:, 1] - bore - np.maximum(flare - points[:, 0], 0.0))

    found = crossings(inner, beyond)
    if not found:
        # The whole inside is narrower than the bore: a step at the base.
        x, _ = inner[-1].end
        return (*inner, Line(inner[-1].end, (x, bore)))
    kept = cut(inner, None, found[0])
    x, _ = kept[-1].end
    return kept if x >= flare - 1e-9 else (*kept, Line(kept[-1].end, (flare, bore)))
