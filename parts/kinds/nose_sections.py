"""Where a nose is cut into sections for the printer."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from ..chain import Chain
from ..errors import PartError
from ..joint import THINNEST_SOCKET, THINNEST_SPIGOT, Joint, joint_at
from ..params import Length
from ..part import Part
from ..split_plan import plan

_CLEAR = 3.0
"""Between a joint and what it must keep clear of [mm]."""


class NoseSections(Part):
    """The fields of a nose that is printed in sections."""

    section_height: Annotated[
        Length | None,
        Field(gt=0, le=3000, description="tallest section that the printer takes; one piece if not stated"),
    ] = None
    joint_stations: Annotated[
        tuple[Annotated[Length, Field(gt=0, le=3000)], ...],
        Field(max_length=12, description="tip to each joint between sections, where the usual places are not wanted"),
    ] = ()
    spigot_length: Annotated[
        Length, Field(ge=12, le=20, description="length of the spigot that plugs into the section ahead")
    ] = 15.0
    joint_gap: Annotated[Length, Field(ge=0.02, le=0.5, description="glue gap between spigot and socket, per side")] = (
        0.12
    )

    def section_joints(
        self, skin: Chain, opening: float, thick: float, rear: float, wall: float, solid: bool
    ) -> tuple[Joint, ...]:
        """The joints between the sections, forward one first; none where it is printed in one.

        Args:
            skin: the skin.
            opening: station at which the cavity begins [mm].
            thick: station behind which the wall is thick for the base step [mm].
            rear: last station [mm].
            wall: wall of the body [mm].
            solid: True for a body without a cavity.

        Raises:
            PartError: no places keep clear of all that they must, or a joint has no room.
        """
        if not self.joint_stations and (self.section_height is None or rear <= self.section_height):
            return ()
        blocked, length, gap = self.kept_clear(opening, thick, rear), self.spigot_length, self.joint_gap
        socket, spigot = max(wall, THINNEST_SOCKET), max(wall, THINNEST_SPIGOT)
        places = self._stated(blocked)
        if not places and self.section_height is not None:
            places = plan(
                skin,
                rear,
                self.section_height,
                blocked=blocked,
                spigot_length=length,
                gap=gap,
                socket_wall=socket,
                spigot_wall=spigot,
                solid=solid,
            )
        return tuple(joint_at(skin, place, length, gap, socket, spigot, solid) for place in places)

    def _stated(self, blocked: tuple[tuple[float, float], ...]) -> tuple[float, ...]:
        """The joints that are stated, forward one first [mm].

        Raises:
            PartError: one of them runs into what must be kept clear.
        """
        for place in sorted(self.joint_stations):
            for first, last in blocked:
                if first < place + _CLEAR and place - self.spigot_length - _CLEAR < last:
                    raise PartError(
                        f"joint_stations: a joint at {place:g} mm, with its spigot of {self.spigot_length:g} mm, "
                        f"runs into what lies at {first:.4g} to {last:.4g} mm"
                    )
        return tuple(sorted(self.joint_stations))

    def kept_clear(self, opening: float, thick: float, rear: float) -> tuple[tuple[float, float], ...]:
        """Stretches in which no joint may lie: tip, base step and shoulder, and holes in the skin."""
        raise NotImplementedError
