"""Vehicles and airs that tests of the flight share; invented."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ferrule.analysis.drag_curve import DragCurve, stated_drag
from ferrule.analysis.flight.fly import fly
from ferrule.analysis.flight.result import Flight, NotFlown
from ferrule.analysis.flight.vehicle import Column, Vehicle
from ferrule.analysis.launch import Launch
from ferrule.analysis.motor import Thrust

DEMO = Thrust((0.0, 0.04, 0.2, 0.6, 1.0, 1.3, 1.5, 1.6), (0.0, 125.0, 138.0, 126.0, 106.0, 88.0, 50.0, 0.0))
"""An invented curve of 173 N s."""

BODY = stated_drag(0.55, math.pi * 34.2**2, "invented")
"""C_d 0.55 on 68.4 mm."""

ROCKET = Vehicle(1225.0, 90.0, DEMO, BODY, 1415.0, 2015.0)


@dataclass(frozen=True, slots=True)
class Uniform:
    """Air of one density everywhere [kg/m3]."""

    density: float = 1.225
    sound: float = 340.0

    def density_and_sound(self, height: float) -> tuple[float, float]:
        """The same at every height."""
        del height
        return self.density, self.sound


@dataclass(frozen=True, slots=True)
class Exponential:
    """Air whose density falls by e with each scale height above a height [kg/m3, m, m]."""

    density: float
    scale: float
    above: float = 0.0

    def density_and_sound(self, height: float) -> tuple[float, float]:
        return self.density * math.exp(-(height - self.above) / self.scale), 340.0


def no_drag() -> DragCurve:
    return stated_drag(0.0, 1000.0, "no air")


def flown(vehicle: Vehicle, air: Column, rtol: float = 1e-6, launch: Launch = Launch()) -> Flight:
    """The flight, which there is.

    Raises:
        AssertionError: there is none.
    """
    found = fly(vehicle, launch, air, rtol)
    assert isinstance(found, Flight), found
    return found


def not_flown(vehicle: Vehicle, air: Column) -> NotFlown:
    """Why there is no flight, which there is not.

    Raises:
        AssertionError: there is one.
    """
    found = fly(vehicle, Launch(), air)
    assert isinstance(found, NotFlown), found
    return found
