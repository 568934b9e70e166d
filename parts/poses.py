"""The poses in which parts are made: standing on the bed with the forward end up, or flat on the table."""

from __future__ import annotations

from dataclasses import dataclass

from .shape import FLAT_TO_PLATE, Placement


@dataclass(frozen=True, slots=True)
class Standing:
    """Forward end up: the part's +x points down, its roll 0 side stays at +y."""

    def at(self, aft_end: float) -> Placement:
        """Pose that sets the station `aft_end` [mm] on the bed, z = 0."""
        return Placement(turn=(0.0, 0.0, 1.0, 0.0, 1.0, 0.0, -1.0, 0.0, 0.0), move=(0.0, 0.0, aft_end))


STANDING = Standing()

FLAT = FLAT_TO_PLATE
"""Plates flat on XY, thickness up."""
