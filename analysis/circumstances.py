"""What the checks of a rocket are told beside the rocket itself: tubes, motors, recovery and machines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..parts.fit import MeasuredTube, Surroundings
from .balance_test import BalanceTest
from .envelopes import Envelope
from .flown_checks import Flights
from .motor import Motor
from .packing import Packing
from .rail_exit import Rail, usual_rails
from .recovery import Recovery

Fits = dict[str, Surroundings]
"""For each item by name: the measured tube that it fits, the one that it goes around, and how it is to fit."""


@dataclass(frozen=True, slots=True)
class Circumstances:
    """Everything that a design says and that is no part in its place.

    Attributes:
        fits: which tubes the items fit.
        tubes: every tube by name, as measured or as it is to be made.
        measured: the tubes that were measured.
        motors: the motors to fly with.
        motor_tubes: the tube that each motor slides into, by the motor's name.
        recovery: joints, anchors, harnesses and parachutes.
        packing: what is measured of the parachute and the screws.
        envelopes: the room that washers and nuts take.
        printers: usable width, depth and height of each printer [mm].
        made_on: the machine that a part's files are made for, by the part's name.
        cutters: usable width and depth of each cutter [mm].
        balances: balance tests of the whole rocket.
        rails: the rail that it flies from, or the usual ones while none is stated.
        flights: its flights, and what is stated of loads; None where nobody asks for them.
    """

    fits: Fits = field(default_factory=dict)
    tubes: Mapping[str, MeasuredTube] = field(default_factory=dict)
    measured: tuple[MeasuredTube, ...] = ()
    motors: tuple[Motor, ...] = ()
    motor_tubes: Mapping[str, MeasuredTube] = field(default_factory=dict)
    recovery: Recovery = field(default_factory=Recovery)
    packing: Packing = field(default_factory=Packing)
    envelopes: tuple[Envelope, ...] = ()
    printers: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    cutters: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    made_on: Mapping[str, str] = field(default_factory=dict)
    balances: tuple[BalanceTest, ...] = ()
    rails: tuple[Rail, ...] = field(default_factory=usual_rails)
    flights: Flights | None = None
