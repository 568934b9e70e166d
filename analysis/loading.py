"""The states in which a rocket is balanced: without a motor, and with each motor at liftoff and at burnout."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from .balance_test import BalanceTest, measured_properties, without_motor
from .mass import MassProperties, combine, total
from .motor import Motor
from .rocket import Rocket
from .stability import Stability, stability

WITHOUT_MOTOR, LIFTOFF, BURNOUT = "without motor", "liftoff", "burnout"

PREDICTED = "predicted"
MEASURED = "measured"
FOLLOWS_BARE = "follows from the balance without a motor and the motor's table"
FOLLOWS_LOADED = "follows from the balance with the loaded motor and the motor's table"


@dataclass(frozen=True, slots=True)
class Loading:
    """One state of the rocket, with its mass and its balance.

    Attributes:
        name: `without motor`, `liftoff` or `burnout`.
        motor: name of the motor; None without one.
        mass: mass properties of everything in that state, measured where it was balanced; None while the mass of an
            item is not stated.
        stability: the rocket's stability with that mass; None without a body to find it for.
        predicted: mass properties by the parts alone; the same as `mass` where nothing was balanced.
        basis: where `mass` comes from: predicted, measured, or what it follows from.
    """

    name: str
    motor: str | None
    mass: MassProperties | None
    stability: Stability | None
    predicted: MassProperties | None = None
    basis: str = PREDICTED

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


def loadings(rocket: Rocket, motors: Iterable[Motor], balances: Sequence[BalanceTest] = ()) -> tuple[Loading, ...]:
    """Without a motor, then with each motor in turn at liftoff and at burnout.

    A state that was balanced has its measured mass and centre of gravity. The others follow from the balance without a
    motor and the motor's table; without that one, a burnout follows from the balance with the same motor loaded.

    Args:
        rocket: the parts in place, without a motor.
        motors: the motors to fly with.
        balances: balance tests; those of an older rocket change nothing.
    """
    found, bare = stability(rocket), total(rocket)
    tests = {test.motor: test for test in balances if test.is_current}
    measured = measured_properties(tests[None], rocket) if None in tests else None

    def state(name: str, motor: Motor | None, by_parts: MassProperties | None, by_test: _Found) -> Loading:
        mass, basis = by_test if by_test[0] is not None else (by_parts, PREDICTED)
        stable = replace(found, mass=mass) if found else None
        return Loading(name, motor.name if motor else None, mass, stable, by_parts, basis)

    states = [state(WITHOUT_MOTOR, None, bare, (measured, MEASURED))]
    for motor in motors:
        loaded = measured_properties(tests[motor.name], rocket, motor) if motor.name in tests else None
        for name in (LIFTOFF, BURNOUT):
            inside = motor.properties(name == LIFTOFF)
            by_parts = combine((bare, inside)) if bare else None
            if name == LIFTOFF and loaded is not None:
                by_test: _Found = (loaded, MEASURED)
            elif measured is not None:
                by_test = (combine((measured, inside)), FOLLOWS_BARE)
            else:
                empty = without_motor(loaded, motor, bare) if loaded is not None else None
                by_test = (combine((empty, inside)) if empty is not None else None, FOLLOWS_LOADED)
            states.append(state(name, motor, by_parts, by_test))
    return tuple(states)


_Found = tuple[MassProperties | None, str]
