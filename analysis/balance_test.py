"""The finished rocket on a scale and on an edge: which mass and CG that gives, and what the parts do not explain."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..parts.errors import PartError
from ..parts.fingerprint import fingerprint, short
from .limits import Check, Status, limits
from .mass import MassProperties, Tensor, Vector, combine, mass_properties, total
from .motor import Motor
from .rocket import Rocket

READING = 1.0
"""How near a balance point is read on an edge [mm] (common practice)."""

SMALL = (1.0, 0.002)
"""Unexplained mass [g], and as a share of the whole [-], below which no place of it can be told (common practice: a
kitchen scale shows 1 g and is true to some 0.2 %)."""

ALLOWANCES = ("allowance", "paint")
"""What is on the rocket whatever the file guesses of it; a better guess is no change of the rocket."""


@dataclass(frozen=True, slots=True)
class BalanceTest:
    """The rocket as it was put on a scale and balanced.

    Attributes:
        mass: its mass [g].
        cg: station of its centre of gravity [mm].
        motor: name of the motor that was in it, loaded; None without a motor.
        made_for: printed fingerprint of the rocket when it was balanced; None where it is not stated.
        now: printed fingerprint of the rocket as the design has it now, `rocket_state`.

    Raises:
        PartError: the mass is not above 0 g, or the station is before the nose tip.
    """

    mass: float
    cg: float
    motor: str | None = None
    made_for: str | None = None
    now: str = ""

    def __post_init__(self) -> None:
        """Refuse what no rocket can show.

        Raises:
            PartError: the mass is not above 0 g, or the station is before the nose tip.
        """
        if not self.mass > 0.0:
            raise PartError(f"mass: must be above 0 g, got {self.mass:g} g")
        if not self.cg >= 0.0:
            raise PartError(f"cg: must be at least 0 mm, got {self.cg:g} mm")

    @property
    def is_current(self) -> bool:
        """False where the rocket has changed since: then it is shown and not used."""
        return self.made_for in (None, self.now)

    @property
    def state(self) -> str:
        """The state it was in, in words."""
        return "without motor" if self.motor is None else f"loaded with {self.motor}"


@dataclass(frozen=True, slots=True)
class Reconciled:
    """What a balance test and the sum of the parts have between them.

    Attributes:
        mass: unexplained mass, the measured less the sum [g]; below 0 where the parts weigh more.
        station: where that mass must sit for the measured centre of gravity [mm]; None where it is too small to tell.
        cg_shift: measured less predicted centre of gravity [mm].
        is_possible: False where that place is not on the rocket.
        words: all of it in words.
    """

    mass: float
    station: float | None
    cg_shift: float
    is_possible: bool
    words: str


@dataclass(frozen=True, slots=True)
class MotorFound:
    """A motor by two balance tests, without it and with it loaded, beside its own table.

    Attributes:
        name: name of the motor.
        mass: mass [g].
        cg: its forward end to its centre of gravity [mm].
        within: how far that may be off if each balance point is read to `READING` [mm].
        stated_mass: mass by its table [g].
        stated_cg: the same place by its table [mm]; None where it is not stated and the middle is taken.
        is_sound: False where mass or place contradict the table or the motor's length.
        words: all of it in words.
    """

    name: str
    mass: float
    cg: float
    within: float
    stated_mass: float
    stated_cg: float | None
    is_sound: bool
    words: str


def rocket_state(rocket: Rocket, motor: Motor | None = None) -> str:
    """Printed fingerprint of what was balanced.

    It is of what the rocket is and not of what a scale said of it, so that neither a weighing nor a balance test that
    is entered later makes this one look old, and none can depend on itself: of a part its place and its own
    fingerprint without its mass; of a thing without a shape its place and the mass that its own table states;
    allowances for glue and paint not at all, for they guess at what is there; of the motor its size and place.

    Args:
        rocket: everything in place, without a motor; weighings in it change nothing.
        motor: the motor that is in it.
    """
    parts = []
    for item in rocket.items:
        if item.what in ALLOWANCES and item.part is None:
            continue
        if item.part is not None:
            parts.append([item.name, item.stations, item.count, item.radius, item.part.fingerprint()])
        else:
            parts.append([item.name, item.stations, item.count, item.what, item.unweighed().stated_mass])
    inside = None if motor is None else [motor.name, motor.diameter, motor.length, motor.aft_end]
    return short(fingerprint([sorted(parts, key=str), inside]))


def measured_properties(test: BalanceTest, rocket: Rocket, motor: Motor | None = None) -> MassProperties | None:
    """Mass properties of the state that was balanced: mass and station as measured, the rest scaled from the parts.

    Args:
        test: the balance test.
        rocket: the parts in place, without a motor.
        motor: the motor that was in it, loaded.

    Returns:
        None where no item has a mass that the inertia could be scaled from.
    """
    known = [found for item in rocket.items if (found := mass_properties(item)) is not None]
    if motor is not None:
        known.append(motor.properties(loaded=True))
    if not known:
        return None
    whole = len(known) == len(rocket.items) + (motor is not None)
    sum_of = combine(tuple(known))
    how = "inertia of the parts scaled by mass" if whole else "inertia scaled from the items whose mass is known"
    return MassProperties(
        test.mass,
        (test.cg, sum_of.cg[1], sum_of.cg[2]),
        _scaled(sum_of, test.mass),
        f"mass and CG by the balance test; {how}",
        "weighed",
    )


def without_motor(whole: MassProperties, motor: Motor, bare: MassProperties | None) -> MassProperties | None:
    """What is left of a measured state when its loaded motor is taken out of it; None where nothing is.

    Args:
        whole: mass properties of the state that was balanced.
        motor: the motor that was in it.
        bare: the rocket without a motor by its parts, for the inertia.
    """
    inside = motor.properties(loaded=True)
    mass = whole.mass - inside.mass
    if mass <= 0.0 or bare is None:
        return None
    x, y, z = ((a * whole.mass - b * inside.mass) / mass for a, b in zip(whole.cg, inside.cg, strict=True))
    cg: Vector = (x, y, z)
    return replace(bare, mass=mass, cg=cg, inertia=_scaled(bare, mass), method=f"{whole.method}; less the motor")


def _scaled(found: MassProperties, mass: float) -> Tensor:
    rows = [(float(a), float(b), float(c)) for a, b, c in np.array(found.inertia) * (mass / found.mass)]
    return rows[0], rows[1], rows[2]


def reconciled(test: BalanceTest, predicted: MassProperties | None, aft_end: float | None) -> Reconciled | None:
    """Unexplained mass of a state, and where it must sit.

    x = (M X - sum of m x) / (M - sum of m), from the moments about the nose tip.

    Args:
        test: the balance test.
        predicted: the same state by its parts; None while the mass of one is not stated.
        aft_end: last station of the rocket with its motor [mm]; None where it is not known.

    Returns:
        None where the state is not predicted.
    """
    if predicted is None:
        return None
    mass, shift = test.mass - predicted.mass, test.cg - predicted.cg[0]
    if abs(mass) < max(SMALL[0], SMALL[1] * test.mass):
        words = f"mass agrees within {abs(mass):.1f} g"
        words += f"; CG {abs(shift):.1f} mm {'aft' if shift > 0.0 else 'forward'} of the predicted one"
        if abs(shift) > 2.0 * READING:
            words += ": something sits at another station than the design says"
        return Reconciled(mass, None, shift, True, words)
    station = (test.mass * test.cg - predicted.mass * predicted.cg[0]) / mass
    possible = station >= 0.0 and (aft_end is None or station <= aft_end)
    if mass > 0.0:
        words = f"{mass:.1f} g that no part explains, at {station:.0f} mm"
    else:
        words = f"{-mass:.1f} g less than the sum of the parts, missing at {station:.0f} mm"
    if not possible:
        words += ": a mass outside the rocket would be needed: one of the readings or stations is wrong"
    return Reconciled(mass, station, shift, possible, words)


def motor_found(bare: BalanceTest, loaded: BalanceTest, motor: Motor) -> MotorFound | None:
    """The motor that two balance tests have between them; None where the loaded rocket weighs no more.

    Args:
        bare: the rocket without a motor.
        loaded: the rocket with this motor, loaded.
        motor: the motor by its table.
    """
    mass = loaded.mass - bare.mass
    if mass <= 0.0:
        return None
    cg = (loaded.mass * loaded.cg - bare.mass * bare.cg) / mass - motor.forward_end
    within = READING * (loaded.mass + bare.mass) / mass
    table = motor.length / 2.0 if motor.loaded_cg is None else motor.loaded_cg
    share = 100.0 * (mass / motor.loaded_mass - 1.0)
    words = (
        f"{motor.name} by both tests: {mass:.1f} g, by its table {motor.loaded_mass:.1f} g; CG {cg:.0f} mm from its "
        f"forward end, give or take {within:.0f} mm for {READING:g} mm in each reading, "
        + (f"middle of its length {table:.0f} mm" if motor.loaded_cg is None else f"by its table {table:.0f} mm")
    )
    inside = -within <= cg <= motor.length + within
    near = motor.loaded_cg is None or abs(cg - table) <= within
    heavy = limits()["weighed_difference"].status(abs(share)) == "pass"
    if not inside:
        words += ": outside the motor, so one of the readings or its station is wrong"
    elif not near:
        words += ": farther apart than the readings explain"
    elif motor.loaded_cg is None:
        words += ": enter `loaded_cg` from its maker's sheet"
    if not heavy:
        words += f"; mass differs by {share:+.1f} %"
    return MotorFound(
        motor.name, mass, cg, within, motor.loaded_mass, motor.loaded_cg, inside and near and heavy, words
    )


def motors_found(tests: Sequence[BalanceTest], motors: Iterable[Motor]) -> tuple[MotorFound, ...]:
    """Every motor that two balance tests have between them, both of the rocket as it is."""
    used = {test.motor: test for test in tests if test.is_current}
    if None not in used:
        return ()
    some = [motor_found(used[None], used[motor.name], motor) for motor in motors if motor.name in used]
    return tuple(found for found in some if found is not None)


def aft_end(rocket: Rocket, motor: Motor | None = None) -> float | None:
    """Last station of the rocket with its motor [mm]; None where it has no body."""
    ends = [] if rocket.length is None else [rocket.length]
    if motor is not None:
        ends.append(motor.aft_end)
    return max(ends, default=None)


def predicted_properties(rocket: Rocket, motor: Motor | None = None) -> MassProperties | None:
    """Mass properties by the parts, with a motor loaded; None while the mass of one is not stated."""
    bare = total(rocket)
    return bare if bare is None or motor is None else combine((bare, motor.properties(loaded=True)))


# --- checks -----------------------------------------------------------------------------------------------------------

_NAME = "centre of gravity measured"
_HELD = "balance the finished rocket, loaded as it will fly"
_SOURCE = "common practice"


def balance_checks(rocket: Rocket, motors: Sequence[Motor], tests: Sequence[BalanceTest]) -> tuple[Check, ...]:
    """Whether the centre of gravity was measured, what the parts do not explain, and the motor that follows.

    Args:
        rocket: the parts in place.
        motors: the motors to fly with.
        tests: the balance tests, also those of an older rocket.
    """
    if not tests:
        note = "CG not measured: every figure here is predicted"
        return (Check(_NAME, "not-stated", None, _HELD, _SOURCE, note),)
    known = {motor.name: motor for motor in motors}
    found: list[Check] = []
    limit = limits()["unexplained_mass"]
    for test in tests:
        motor = known.get(test.motor or "")
        predicted = predicted_properties(rocket, motor)
        between = reconciled(test, predicted, aft_end(rocket, motor))
        if not test.is_current or between is None:
            continue
        share = 100.0 * abs(between.mass) / test.mass
        sound = between.is_possible and limit.status(share) == "pass"
        note = "" if sound else "look for what is left out, weighed with something else on it, or at another station"
        status: Status = "pass" if sound else "warn"
        held = f"a place on the rocket; {limit.words()}"
        found.append(Check(f"unexplained mass, {test.state}", status, between.words, held, limit.source, note))
    for one in motors_found(tests, motors):
        note = "" if one.is_sound else "weigh the loaded motor by itself; read both balance points again"
        limit_words = "the motor's table, and a place inside the motor"
        status = "pass" if one.is_sound else "warn"
        found.append(Check(f"{one.name}: by both balance tests", status, one.words, limit_words, _SOURCE, note))
    return (*found, _measured(rocket, known, tests))


def _measured(rocket: Rocket, known: dict[str, Motor], tests: Sequence[BalanceTest]) -> Check:
    """The check that the centre of gravity was measured, with the readings."""
    said: list[str] = []
    for test in tests:
        predicted = predicted_properties(rocket, known.get(test.motor or ""))
        words = f"{test.state}: {test.mass:.0f} g, CG {test.cg:.0f} mm"
        if predicted is not None:
            words += f" (predicted {predicted.mass:.0f} g, {predicted.cg[0]:.0f} mm)"
        said.append(words if test.is_current else f"{words}, measured for an older rocket")
    value, used = "; ".join(said), [test for test in tests if test.is_current]
    if not used:
        note = "measured for an older rocket, and not used: balance it again; every figure here is predicted"
        return Check(_NAME, "warn", value, _HELD, _SOURCE, note)
    missing = [name for name in known if name not in {test.motor for test in used}]
    notes = []
    if all(test.motor is None for test in used):
        notes.append("balance it loaded as well, as it will fly")
    elif missing:
        notes.append(f"not balanced with {', '.join(missing)}")
    if any(test.made_for is None for test in used):
        notes.append("for which state of the rocket is not stated: `ferrule weigh` writes the fingerprint")
    return Check(_NAME, "warn" if notes else "pass", value, _HELD, _SOURCE, "; ".join(notes))
