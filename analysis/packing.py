"""What is measured of a parachute and of screws with the parts in hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Packing:
    """What is measured with the parts in hand.

    Attributes:
        packed_length: length of the parachute as it is packed, with its protector and harness [mm].
        packed_volume: the room that it takes [mm3].
        screw_lengths: length under the head of the screws of an item, by its name [mm].
    """

    packed_length: float | None = None
    packed_volume: float | None = None
    screw_lengths: Mapping[str, float] = field(default_factory=dict)
