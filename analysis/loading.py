"""The states in which a rocket is balanced: without a motor, and with each motor at liftoff and at burnout."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from .mass import MassProperties, combine, total
from .motor import Motor
from .rocket import Rocket
from .stability import Stability, stability

WITHOUT_MOTOR, LIFTOFF, BURNOUT = "without motor", "liftoff", "burnout"


@dataclass(frozen=True, slots=True)
class Loading:
    """One state of the rocket, with its mass and its balance.

    Attributes:
        name: `without motor`, `liftoff` or `burnout`.
        motor: name of the motor; None without one.
        mass: mass properties of everything in that state; None while the mass of an item is not stated.
        stability: the rocket's stability with that mass; None without a body to find it for.
    """

    name: str
    motor: str | None
    mass: MassProperties | None
    stability: Stability | None

    @property
    def centre_of_pressure(self) -> float | None:
        """Centre of pressure [mm]; None where it is not known. A motor inside does not move it."""
        return self.stability.normal_force.station if self.stability else None

    @property
    def margin(self) -> float | None:
        """Centre of pressure behind the centre of gravity [mm]; None where either is not known."""
        return self.stability.margin if self.stability else None

    @property
    def margin_calibres(self) -> float | None:
        """Static margin in calibres of the reference diameter [-]."""
        return self.stability.margin_calibres if self.stability else None

    @property
    def margin_percent(self) -> float | None:
        """Static margin in per cent of the length [-]."""
        return self.stability.margin_percent if self.stability else None


def loadings(rocket: Rocket, motors: Iterable[Motor]) -> tuple[Loading, ...]:
    """Without a motor, then with each motor in turn at liftoff and at burnout."""
    found, bare = stability(rocket), total(rocket)

    def state(name: str, motor: Motor | None, mass: MassProperties | None) -> Loading:
        return Loading(name, motor.name if motor else None, mass, replace(found, mass=mass) if found else None)

    states = [state(WITHOUT_MOTOR, None, bare)]
    for motor in motors:
        for name in (LIFTOFF, BURNOUT):
            mass = combine((bare, motor.properties(name == LIFTOFF))) if bare else None
            states.append(state(name, motor, mass))
    return tuple(states)
