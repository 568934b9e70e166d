"""A design file that holds together: the rocket, what it flies with, and everything that follows from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypeAlias

from ..analysis.air_stream import AirStream, air_stream
from ..analysis.atmosphere import Atmosphere
from ..analysis.balance_test import BalanceTest, MotorFound, motors_found
from ..analysis.bonded_area import BondedJoint, bonded_joints
from ..analysis.checks import Circumstances, Fits, checks
from ..analysis.contributions import Contributions, contributions
from ..analysis.flight.flown import Site
from ..analysis.flight.rocket_flights import Conditions, MotorFlight, rocket_flights, site_of
from ..analysis.flown_checks import Flights
from ..analysis.leaving_the_rail import Leaving, leaving_the_rail
from ..analysis.limits import Check, Limit, limits
from ..analysis.loading import LIFTOFF, PREDICTED, Loading, loadings
from ..analysis.margin_bands import margin_bands
from ..analysis.motor import Motor
from ..analysis.recovery import Recovery
from ..analysis.rocket import Rocket
from ..analysis.stability import Stability, stability
from ..parts.fingerprint import canonical, fingerprint
from ..parts.fit import Derived, MeasuredTube
from ..parts.machine import Cutter, Printer
from .circumstances import envelopes, packing, rails, stated_loads
from .entries import (
    FORMAT,
    AllowancesEntry,
    Entry,
    HeadEntry,
    MarginEntry,
    SettingsEntry,
)
from .flown import conditions_of, gust_of, payload_bays

Machine: TypeAlias = Printer | Cutter

_ALLOWED = ("allowance", "paint")
"""What items are called that `[allowances]` brings."""


@dataclass(frozen=True)
class Design:
    """A design file that holds together.

    Attributes:
        head: what stands at its top.
        settings: how results are printed, and which state of the design they are of.
        rocket: everything in place, without a motor.
        fits: which tubes the items fit.
        tubes: every tube by name, as measured or as it is to be made.
        derived: for each item, the fields that follow from tubes, with their sums.
        motors: the motors to fly with.
        motor_tubes: the measured tube that each motor slides into, by the motor's name.
        recovery: joints, anchors, harnesses and parachutes.
        allowances: what is not weighed yet.
        printers: printers by name: those of the file, and of the personal ones those that it names.
        cutters: cutters by name, in the same way.
        made_on: the machine that each part's files are made for, by the part's name; the others are nominal.
        entries: the tables as they were read, for what is printed and takes part in no figure.
        balances: balance tests of the whole rocket, also those of an older one.
    """

    head: HeadEntry
    settings: SettingsEntry
    rocket: Rocket
    fits: Fits
    tubes: Mapping[str, MeasuredTube]
    derived: Mapping[str, Mapping[str, Derived]]
    motors: tuple[Motor, ...]
    motor_tubes: Mapping[str, MeasuredTube]
    recovery: Recovery
    allowances: AllowancesEntry
    printers: Mapping[str, Printer]
    cutters: Mapping[str, Cutter]
    made_on: Mapping[str, Machine]
    entries: Mapping[str, tuple[Entry, ...]] = field(default_factory=dict)
    balances: tuple[BalanceTest, ...] = ()

    @property
    def name(self) -> str:
        """Name of the design."""
        return self.head.name

    @property
    def measured_tubes(self) -> tuple[MeasuredTube, ...]:
        """The tubes that were measured, by name; a coupler that is to be made is none of them."""
        return tuple(tube for name, tube in sorted(self.tubes.items()) if name not in self.fits)

    @cached_property
    def stability(self) -> Stability | None:
        """Centre of pressure, and the margin without a motor; None where there is nothing to find them for."""
        return stability(self.rocket)

    @cached_property
    def air(self) -> AirStream | None:
        """What the air meets of the rocket; None without a body."""
        return air_stream(self.rocket)

    @cached_property
    def bonded(self) -> tuple[BondedJoint, ...]:
        """Every glued joint with the faces that its two parts share."""
        return bonded_joints(self.rocket, self.recovery.joints)

    @property
    def first_flown(self) -> Loading:
        """The state that most is told of: with the first motor at liftoff, or without one where none is stated."""
        return next((one for one in self.loadings if one.name == LIFTOFF), self.loadings[0])

    @cached_property
    def contributions(self) -> Contributions:
        """What each item adds to the first state that is flown, by the parts alone."""
        return contributions(self.rocket, next(iter(self.motors), None))

    @cached_property
    def loadings(self) -> tuple[Loading, ...]:
        """The rocket without a motor, and with each motor at liftoff and at burnout."""
        return loadings(self.rocket, self.motors, self.balances)

    @cached_property
    def leaving(self) -> tuple[Leaving, ...]:
        """The rocket as it leaves the rail, with each motor on the stated rail or on each of the usual ones."""
        return leaving_the_rail(self.rocket, self.loadings, self.motors, rails(self.entries))

    @cached_property
    def motors_by_balance(self) -> tuple[MotorFound, ...]:
        """Every motor that two balance tests have between them."""
        return motors_found(self.balances, self.motors)

    @cached_property
    def conditions(self) -> Conditions:
        """What the design says of its flights beside the rocket and its motors."""
        bands = margin_bands(self.rocket, self.contributions)
        return conditions_of(
            self.entries, () if bands is None else [(row.mass, row.low, row.high) for row in bands.rows]
        )

    @cached_property
    def flights(self) -> tuple[MotorFlight, ...]:
        """The flight with each motor, and all that follows from it."""
        return rocket_flights(self.rocket, self.loadings, self.motors, self.recovery, self.conditions, self.rules)

    @cached_property
    def site(self) -> Site:
        """What is the same for the flights with all motors."""
        return site_of(self.rocket, self.conditions)

    @property
    def site_air(self) -> Atmosphere:
        """The air over the launch site."""
        return Atmosphere(self.conditions.launch.altitude, self.conditions.launch.temperature)

    @property
    def is_balanced(self) -> bool:
        """Whether the rocket was balanced as it is now, without a motor or with one."""
        return any(test.is_current for test in self.balances)

    @property
    def is_measured(self) -> bool:
        """Whether the centre of gravity of every state that is flown comes from a balance test."""
        flown = [one for one in self.loadings if one.motor is not None] or self.loadings
        return all(one.basis != PREDICTED for one in flown)

    @cached_property
    def checks(self) -> tuple[Check, ...]:
        """All checks."""
        rooms = {name: (one.width, one.depth, one.height) for name, one in self.printers.items()}
        beds = {name: (one.width, one.depth) for name, one in self.cutters.items()}
        around = Circumstances(
            self.fits,
            self.tubes,
            self.measured_tubes,
            self.motors,
            self.motor_tubes,
            self.recovery,
            packing(self.entries),
            envelopes(self.rocket, self.entries),
            rooms,
            beds,
            {name: one.name for name, one in self.made_on.items()},
            self.balances,
            rails(self.entries),
            Flights(
                self.site,
                self.flights,
                self.air,
                stated_loads(self.entries),
                gust_of(self.entries),
                payload_bays(self.rocket, self.entries),
            ),
        )
        return checks(self.rocket, self.loadings, around, self.rules)

    @property
    def own_margin(self) -> Limit | None:
        """Limits of the design's own for the static margin; None where it states none."""
        return next((one.limit() for one in self.entries.get("margin", ()) if isinstance(one, MarginEntry)), None)

    @property
    def rules(self) -> Mapping[str, Limit]:
        """The limits that the design is held to: of the rules that it chooses, with its own above them."""
        chosen, own = limits(self.settings.limits), self.own_margin
        return chosen if own is None else {**chosen, "static_margin": own}

    @cached_property
    def fingerprint(self) -> str:
        """Fingerprint of everything that changes a part or a figure."""
        items = [
            [
                item.name,
                item.kind,
                item.stations,
                item.count,
                item.radius,
                item.stated_mass,
                item.weighed,
                item.estimate,
                item.part.fingerprint() if item.part else None,
            ]
            for item in self.rocket.items
            # Where glue and paint lie follows from the parts and from what is allowed for them, which both are in it.
            if item.what not in _ALLOWED
        ]
        told = {name: _in_any_order(one.model_dump() for one in some) for name, some in self.entries.items()}
        recovery = [
            _in_any_order(some)
            for some in (
                self.recovery.joints,
                self.recovery.anchors,
                self.recovery.harnesses,
                self.recovery.parachutes,
            )
        ]
        # The readings change the checks even where a size is stated and does not follow from them.
        return fingerprint(
            [
                FORMAT,
                self.head.model_dump(),
                self.settings.model_dump(),
                self.allowances.model_dump(exclude_none=True),
                items,
                self.fits,
                self.tubes,
                [one.identity for one in self.motors],
                self.motor_tubes,
                recovery,
                self.printers,
                self.cutters,
                {name: one.name for name, one in self.made_on.items()},
                told,
            ]
        )


def _in_any_order(some: Iterable[Any]) -> list[str]:
    """Values as texts whose order does not come from the file."""
    return sorted(canonical(one) for one in some)
