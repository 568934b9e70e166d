"""What is stated of the strength of a rocket's joints, harness and anchors; what is left out is not stated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Pins:
    """Nylon shear pins of one joint.

    Attributes:
        size: size of their thread, such as `#2-56`.
        count: how many hold the joint [-].
    """

    size: str
    count: int


@dataclass(frozen=True, slots=True)
class Force:
    """A force that somebody stands for.

    Attributes:
        force: the force [N].
        source: who says so, such as the motor's maker, or a test run by a mentor.
    """

    force: float
    source: str


@dataclass(frozen=True, slots=True)
class Canopy:
    """A canopy as its maker gives it.

    Attributes:
        diameter: diameter of the circle whose area the drag coefficient refers to [mm].
        drag_coefficient: drag coefficient on that area [-].
    """

    diameter: float
    drag_coefficient: float


@dataclass(frozen=True, slots=True)
class StatedLoads:
    """What a design states of loads and strengths; joints go by their `words`, the others by their names.

    Attributes:
        opening_factor: opening load over the weight that hangs on the parachute [-]; None where it is not stated.
        harness_strength: load that each harness is sold to bear [N].
        anchor_ratings: load that each anchor is rated for by its maker [N].
        anchor_sizes: what each anchor is, as the tables of hardware name it, such as `M5 eyebolt`.
        pins: the shear pins of a joint.
        holding_force: force that a joint bears before it slides, as pulled with a scale [N].
        opening_force: force that pushes a joint open, with who says so [N].
        glue_shear: shear that the glue lines bear [MPa]; None where it is not stated.
        canopies: the canopy of each parachute.
    """

    opening_factor: float | None = None
    harness_strength: Mapping[str, float] = field(default_factory=dict)
    anchor_ratings: Mapping[str, float] = field(default_factory=dict)
    anchor_sizes: Mapping[str, str] = field(default_factory=dict)
    pins: Mapping[str, Pins] = field(default_factory=dict)
    holding_force: Mapping[str, float] = field(default_factory=dict)
    opening_force: Mapping[str, Force] = field(default_factory=dict)
    glue_shear: float | None = None
    canopies: Mapping[str, Canopy] = field(default_factory=dict)
