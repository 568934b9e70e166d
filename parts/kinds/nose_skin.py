"""The outside of a nose: family, sizes and tip, or a table of points."""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated, Literal, TypeAlias, get_args

from pydantic import Field

from ..blunting import Blunt, Tip, blunted, own_tip_is_rounder
from ..chain import Chain
from ..curve import bounds
from ..errors import PartError
from ..params import Length, Ratio
from ..part import Part
from ..profile_table import TableProfile
from ..profiles import CONSTANTS, Family, Profile

TABLE = "table"
Skin: TypeAlias = Literal[Family, "table"]
SKINS: tuple[Skin, ...] = get_args(Skin)

ROUND_TIP = 2.0
"""Radius of a round tip where none is stated [mm]: prints cleanly, survives, and no spike (common practice)."""

_WIDEST = 1.5
"""Largest radius of a bulging ogive over that of its base [-]; more is no nose of a rocket (common practice)."""

_TIP_SHARE = 0.25
"""Largest share of the base radius that a round tip takes where none is stated [-]."""


class NoseSkin(Part):
    """The fields of a nose's outside, and the skin that follows from them."""

    profile: Annotated[Skin, Field(description="family of the profile, or `table` for points of your own")]
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
    point_stations: Annotated[
        tuple[Annotated[Length, Field(ge=0, le=3000)], ...],
        Field(max_length=500, description="table: distance of each point from the tip, the first 0, the last `length`"),
    ] = ()
    point_radii: Annotated[
        tuple[Annotated[Length, Field(ge=0, le=250)], ...],
        Field(max_length=500, description="table: radius at each point, the last half of `base_diameter`"),
    ] = ()
    tip: Annotated[
        Literal["round", "flat", "sharp"],
        Field(description="round: a sphere tangent to the profile; flat: a disc; sharp: as the formula has it"),
    ] = "round"
    tip_radius: Annotated[
        Length | None,
        Field(
            gt=0,
            le=250,
            description="radius of the round or flat tip; a round one is 2 mm if not stated, or as the profile has it "
            "where that is rounder",
        ),
    ] = None

    def skin(self) -> Chain:
        """The wetted skin from the tip to the base.

        Raises:
            PartError: a constant, the tip or the table does not go with the profile.
        """
        if self.profile == TABLE:
            return self._table().chain()
        blunt = self.blunt()
        skin = blunt.chain if blunt else self.outside().chain()
        if self.profile == "secant-ogive" and max(bounds(piece)[3] for piece in skin) > _WIDEST * self.base_radius:
            raise PartError(
                f"arc_radius: {self.arc_radius:g} mm bulges to more than {_WIDEST:g} times the base; take a "
                f"larger one, {self.outside().tangent_arc_radius:.5g} mm is tangent to the tube"
            )
        return skin

    def outside(self) -> Profile:
        """The profile of the skin as its formula has it: with a blunt tip, the sharp one that the tip is put on.

        Raises:
            PartError: the constant of the family is missing, or one of another family is given.
        """
        blunt = self.blunt()
        return blunt.profile if blunt else Profile(self._family(), self.length, self.base_radius, self._constant())

    @property
    def base_radius(self) -> float:
        """Radius of the base [mm]."""
        return self.base_diameter / 2.0

    def blunt(self) -> Blunt | None:
        """The blunt tip and the profile that it is put on; None where the profile runs to its own tip.

        Raises:
            PartError: such a tip cannot be put on this profile.
        """
        if self.profile == TABLE:
            return None
        family, constant = self._family(), self._constant()
        if self.tip == "sharp":
            if self.tip_radius is not None:
                raise PartError("tip_radius: a sharp tip has none; leave it out, or say tip = round or flat")
            return None
        if self.tip == "flat" and self.tip_radius is None:
            raise PartError("tip_radius: is needed for a flat tip and not stated")
        if self.tip_radius is not None:
            return blunted(family, self.length, self.base_radius, constant, Tip(self.tip, self.tip_radius))
        return _usual(Profile(family, self.length, self.base_radius, constant))

    def tip_radius_in_use(self) -> float:
        """Radius of the round or flat tip as made [mm]; 0 for a sharp one."""
        blunt = self.blunt()
        if blunt is not None:
            return self.tip_radius or min(ROUND_TIP, _TIP_SHARE * self.base_radius)
        return 0.0 if self.profile == TABLE else own_tip_radius(self.outside())

    def _family(self) -> Family:
        if self.profile == "table":
            raise PartError("profile: a table has no formula")
        return self.profile

    def _constant(self) -> float | None:
        name = CONSTANTS.get(self._family())
        self._check_unused(name)
        if name is None:
            return None
        value: float | None = getattr(self, name)
        if value is None:
            raise PartError(f"{name}: is needed for the profile {self.profile} and not stated")
        return value

    def _check_unused(self, name: str | None) -> None:
        for field in CONSTANTS.values():
            if field != name and getattr(self, field) is not None:
                raise PartError(f"{field}: the profile {self.profile} has no such constant; leave it out")
        for field in ("point_stations", "point_radii"):
            if self.profile != TABLE and getattr(self, field):
                raise PartError(f"{field}: the profile {self.profile} has its formula; points are for profile = table")

    def _table(self) -> TableProfile:
        self._check_unused(None)
        if self.tip_radius is not None or self.tip == "flat":
            raise PartError("tip: the tip of a table is what its points say; leave `tip` and `tip_radius` out")
        if not self.point_stations or not self.point_radii:
            missing = "point_radii" if self.point_stations else "point_stations"
            raise PartError(f"{missing}: is needed for the profile table and not stated")
        for field, last, wanted, name in (
            ("point_stations", self.point_stations[-1], self.length, "length"),
            ("point_radii", self.point_radii[-1], self.base_radius, "half of base_diameter"),
        ):
            if abs(last - wanted) > 1e-6:
                raise PartError(f"{field}: the last one, {last:g} mm, must be {name}, {wanted:g} mm")
        return TableProfile(self.point_stations, self.point_radii)


@lru_cache(maxsize=128)
def _usual(own: Profile) -> Blunt | None:
    """The round tip that a nose has if none is stated; None where the profile's own is rounder."""
    radius = min(ROUND_TIP, _TIP_SHARE * own.base_radius)
    if own_tip_is_rounder(own, radius):
        return None
    return blunted(own.family, own.length, own.base_radius, own.constant, Tip("round", radius))


def own_tip_radius(profile: Profile) -> float:
    """Radius of curvature of a profile at its own tip [mm]; 0 for a pointed one, infinite for a flat one.

    Half-ellipsoid R^2/L; power law R^2/(2 L) for n = 1/2, flat for less, pointed for more: elementary geometry of the
    families' formulas. Haack bodies stand upright at the tip and are pointed all the same.
    """
    square = profile.base_radius**2
    if profile.family == "half-ellipsoid":
        return square / profile.length
    if profile.family == "power-law" and profile.constant is not None and profile.constant <= 0.5:
        return square / (2.0 * profile.length) if profile.constant == 0.5 else float("inf")
    return 0.0
