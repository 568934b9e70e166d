"""The air at a height: the US Standard Atmosphere 1976 over geometric altitude, with the launch day's temperature.

Sources: U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562): the constants, the layers of table 4, and equations 18
(geopotential), 23 and 33 (temperature and pressure), 42 (density), 50 (speed of sound) and 51 (viscosity, which is
Sutherland's law); equation and table numbers from memory, the figures held to two independent libraries by the tests.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise

from ..parts.errors import PartError

GAS_CONSTANT = 8314.32
"""Universal gas constant as the standard takes it [J/(kmol K)]."""

MOLAR_MASS = 28.9644
"""Mean molar mass of air [kg/kmol]."""

GRAVITY = 9.80665
"""Acceleration of free fall at sea level [m/s2]."""

EARTH_RADIUS = 6_356_766.0
"""Radius of the earth by which geometric altitude becomes geopotential [m]."""

HEAT_RATIO = 1.4
"""Ratio of the specific heats of air [-]."""

SUTHERLAND_FACTOR = 1.458e-6
"""Factor of Sutherland's law of viscosity [kg/(s m K^0.5)]."""

SUTHERLAND_TEMPERATURE = 110.4
"""Temperature of Sutherland's law of viscosity [K]."""

HIGHEST = 80_000.0
"""Highest geometric altitude [m]; above it the standard lets the molar mass change."""

LOWEST = -5_000.0
"""Lowest geometric altitude [m], where the standard's tables begin."""

_BASES = (0.0, 11_000.0, 20_000.0, 32_000.0, 47_000.0, 51_000.0, 71_000.0)
_RATES = (-0.0065, 0.0, 0.001, 0.0028, 0.0, -0.0028, -0.002)
_PER_KELVIN = GRAVITY * MOLAR_MASS / GAS_CONSTANT


def _layers() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Temperature [K] and pressure [Pa] at the base of each layer, each from the one below."""
    temperatures, pressures = [288.15], [101_325.0]
    for index, (low, high) in enumerate(pairwise(_BASES)):
        base, rate = temperatures[index], _RATES[index]
        temperatures.append(base + rate * (high - low))
        pressures.append(pressures[index] * _pressure_ratio(base, rate, high - low))
    return tuple(temperatures), tuple(pressures)


def _pressure_ratio(base: float, rate: float, rise: float) -> float:
    """Pressure above a base over that at the base [-], equation 33 a or b."""
    if rate == 0.0:
        return math.exp(-_PER_KELVIN * rise / base)
    return float((base / (base + rate * rise)) ** (_PER_KELVIN / rate))


_TEMPERATURES, _PRESSURES = _layers()


@dataclass(frozen=True, slots=True)
class Air:
    """Air at one place.

    Attributes:
        temperature: temperature [K].
        pressure: pressure [Pa].
        density: density [kg/m3].
        sound: speed of sound [m/s].
        viscosity: dynamic viscosity [Pa s].
    """

    temperature: float
    pressure: float
    density: float
    sound: float
    viscosity: float


@dataclass(frozen=True, slots=True)
class Atmosphere:
    """The air over a launch site.

    A temperature at the ground other than the standard's shifts the temperature at every height by the same number of
    kelvins. The pressure stays that of the standard at the same altitude, and the density follows by the gas law, as
    it is usual in performance charts of aircraft ("standard plus so many degrees", common practice). The barometer of
    the day is not asked for: 10 hPa are 1 % of density.

    Attributes:
        altitude: ground above sea level, geometric [m], from -500 to 10,000.
        temperature: air at the ground [K], from 200 to 340; None for the standard's.
        offset: how much warmer the air is than the standard's at every height [K].

    Raises:
        PartError: a value out of its range.
    """

    altitude: float = 0.0
    temperature: float | None = None
    offset: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not -500.0 <= self.altitude <= 10_000.0:
            raise PartError(f"altitude: must be from -500 to 10000 m, got {self.altitude:g} m")
        if self.temperature is not None and not 200.0 <= self.temperature <= 340.0:
            raise PartError(f"temperature: must be from 200 to 340 K, got {self.temperature:g} K")
        standard = _standard(self.altitude)[0]
        object.__setattr__(self, "offset", 0.0 if self.temperature is None else self.temperature - standard)

    def at(self, height: float) -> Air:
        """The air at a height.

        Args:
            height: height above the ground, geometric [m].

        Raises:
            PartError: an altitude of the place below -5,000 m or above 80,000 m.
        """
        altitude = self.altitude + height
        if not LOWEST <= altitude <= HIGHEST:
            raise PartError(f"altitude: must be from {LOWEST:g} to {HIGHEST:g} m, got {altitude:g} m")
        standard, pressure = _standard(altitude)
        temperature = standard + self.offset
        return Air(
            temperature,
            pressure,
            _density(temperature, pressure),
            _sound(temperature),
            SUTHERLAND_FACTOR * temperature**1.5 / (temperature + SUTHERLAND_TEMPERATURE),
        )

    def density_and_sound(self, height: float) -> tuple[float, float]:
        """Density [kg/m3] and speed of sound [m/s] at a height [m above the ground], for a flight's many questions.

        The same figures as `at` gives; beyond the altitudes that it takes, those at the nearest one.
        """
        altitude = self.altitude + height
        standard, pressure = _standard(min(max(altitude, LOWEST), HIGHEST))
        temperature = standard + self.offset
        return _density(temperature, pressure), _sound(temperature)


def _standard(altitude: float) -> tuple[float, float]:
    """Temperature [K] and pressure [Pa] of the standard at a geometric altitude [m]."""
    geopotential = EARTH_RADIUS * altitude / (EARTH_RADIUS + altitude)
    layer = max(bisect_right(_BASES, geopotential) - 1, 0)
    base, rate, rise = _TEMPERATURES[layer], _RATES[layer], geopotential - _BASES[layer]
    return base + rate * rise, _PRESSURES[layer] * _pressure_ratio(base, rate, rise)


def _density(temperature: float, pressure: float) -> float:
    return pressure * MOLAR_MASS / (GAS_CONSTANT * temperature)


def _sound(temperature: float) -> float:
    return math.sqrt(HEAT_RATIO * GAS_CONSTANT * temperature / MOLAR_MASS)
