"""Fields of holes that lie on one circle at rolls of their own, and the material that must stay beside any opening."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from ..params import Angle, Length

HoleDiameter = Annotated[Length | None, Field(gt=0, le=200, description="diameter of each hole on the hole circle")]
HoleCircleDiameter = Annotated[
    Length | None, Field(gt=0, le=500, description="diameter of the circle through the middles of those holes")
]
HoleRolls = Annotated[
    tuple[Angle, ...], Field(max_length=72, description="where those holes are, clockwise from the rail line")
]

LEAST_WEB = 1.0
"""Material that must stay between any hole and an edge [mm]; less would not survive sawing (common practice)."""
