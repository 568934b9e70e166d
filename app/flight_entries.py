"""The tables of a flight: where it is launched, how it is slowed, and what its loads are reckoned with."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field, model_validator

from ..analysis.launch import STEEPEST_TILT
from ..parts.params import Angle, Area, Distance, Length, Percentage, Pressure, Ratio, Speed, Temperature
from .entries import Entry, Line

_Spread = Annotated[Percentage | None, Field(gt=0, le=50)]


class LaunchEntry(Entry):
    """`[launch]`: the site, the tilt of the rail, the winds and the ceiling."""

    altitude: Annotated[
        Distance, Field(ge=-500_000, le=5_000_000, description="ground above sea level; below 0 for what lies lower")
    ] = 0.0
    temperature: Annotated[
        Temperature | None,
        Field(ge=230, le=330, description="air at the ground; left out: that of the standard atmosphere"),
    ] = None
    tilt: Annotated[
        Angle, Field(ge=0, le=STEEPEST_TILT, description="how far the rail leans from upright, into the wind")
    ] = 0.0
    winds: Annotated[
        tuple[Annotated[Speed, Field(ge=0, le=30)], ...],
        Field(max_length=12, description="winds to tell drift for; left out: the usual ones"),
    ] = ()
    ceiling: Annotated[
        Distance | None, Field(gt=0, le=100_000_000, description="height above the ground that may not be passed")
    ] = None
    field: Annotated[
        Distance | None, Field(gt=0, le=100_000_000, description="distance from the pad to the field's nearest edge")
    ] = None


class DragEntry(Entry):
    """`[drag]`: how rough the skin is, or a drag coefficient that is known; and how sure the figures are."""

    roughness: Annotated[
        Length | None, Field(ge=0, le=1, description="height of the skin's roughness, such as 20 um for sprayed paint")
    ] = None
    coefficient: Annotated[
        Ratio | None, Field(gt=0, le=5, description="drag coefficient that was measured or is known")
    ] = None
    reference_diameter: Annotated[
        Length | None, Field(gt=0, le=1000, description="diameter of the area that the coefficient refers to")
    ] = None
    reference_area: Annotated[
        Area | None, Field(gt=0, le=1e6, description="area that the coefficient refers to, in place of a diameter")
    ] = None
    source: Annotated[
        Line | None, Field(min_length=3, max_length=200, description="where the coefficient comes from")
    ] = None
    spread: Annotated[_Spread, Field(description="by how much drag may be off, to either side")] = None
    thrust_spread: Annotated[_Spread, Field(description="by how much thrust may be off, to either side")] = None
    mass_spread: Annotated[_Spread, Field(description="by how much the mass may be off, to either side")] = None

    @model_validator(mode="after")
    def _whole(self) -> DragEntry:
        """A coefficient says what it refers to and who says so; it stands in place of one from the geometry.

        Raises:
            ValueError: as `field: rule`.
        """
        reference = (self.reference_diameter, self.reference_area)
        if self.coefficient is None:
            for name in ("reference_diameter", "reference_area", "source"):
                if getattr(self, name) is not None:
                    raise ValueError(f"{name}: is of a `coefficient`, and none is stated; give it, or leave this out")
            return self
        if reference == (None, None):
            raise ValueError("coefficient: needs `reference_diameter` or `reference_area`, which it refers to")
        if None not in reference:
            raise ValueError("reference_area: give either `reference_diameter` or `reference_area`")
        if self.source is None:
            raise ValueError("coefficient: needs a `source`: who says so, or how it was measured")
        if self.roughness is not None:
            raise ValueError("roughness: does nothing while `coefficient` is stated; leave one of the two out")
        return self

    @property
    def area(self) -> float | None:
        """Area that the coefficient refers to [mm2]; None without a coefficient."""
        if self.reference_diameter is not None:
            return math.pi * self.reference_diameter**2 / 4.0
        return self.reference_area


class LoadsEntry(Entry):
    """`[loads]`: what loads on parts are reckoned with where nothing is measured."""

    opening_factor: Annotated[
        Ratio | None,
        Field(ge=5, le=100, description="load as the parachute opens, in multiples of the weight that hangs on it"),
    ] = None
    gust: Annotated[
        Speed | None, Field(ge=0, le=30, description="gust across the rocket at its greatest dynamic pressure")
    ] = None
    glue_shear: Annotated[
        Pressure | None, Field(gt=0, le=50, description="shear that glue lines bear, as tested or as its maker says")
    ] = None
