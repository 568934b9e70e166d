"""What a payload finds: the room of its bay, and what it feels in boost and as the parachute opens.

Figures for the payload's own limit, which its maker or its builder knows; whether it bears them is not said here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ...parts.errors import PartError
from ..limits import Check, Status
from ..rail_exit import GRAVITY

WORDS = "for the payload's own limit"

FORMULA = "g felt = acceleration / 9.80665 m/s2; in boost (thrust - drag) / m, at opening force / m"

SOURCE = "the flight of this design; standard gravity of ISO 80000-3"


@dataclass(frozen=True, slots=True)
class PayloadBay:
    """A payload and its bay; what is not stated is None.

    Attributes:
        name: what the design calls it.
        free_length: free length of the bay along the axis [mm].
        bore: bore of the bay [mm].
        length: length of the payload [mm].
        diameter: diameter that it needs [mm].
        mass: mass of the payload [g].
        bears: greatest acceleration that the payload bears by its maker [g, times 9.80665 m/s2].

    Raises:
        PartError: a value that is not above 0.
    """

    name: str
    free_length: float | None = None
    bore: float | None = None
    length: float | None = None
    diameter: float | None = None
    mass: float | None = None
    bears: float | None = None

    def __post_init__(self) -> None:
        units = {"mass": "g", "bears": "g"}
        for field in ("free_length", "bore", "length", "diameter", "mass", "bears"):
            value, unit = getattr(self, field), units.get(field, "mm")
            if value is not None and not 0.0 < value < math.inf:
                raise PartError(f"{field}: must be above 0 {unit}, got {value:g} {unit}")

    @property
    def volume(self) -> float | None:
        """Room of the bay [mm3]; None while its length or bore is not stated."""
        if self.free_length is None or self.bore is None:
            return None
        return math.pi * self.bore**2 / 4.0 * self.free_length


def felt(acceleration: float) -> float:
    """An acceleration in multiples of standard gravity [-].

    Args:
        acceleration: acceleration as felt [m/s2].
    """
    return acceleration / GRAVITY


def payload_checks(bay: PayloadBay, motor: str, boost: float | None, opening: float | None) -> Iterator[Check]:
    """Room for a payload, and what it feels with one motor.

    Args:
        bay: the payload and its bay.
        motor: name of the motor.
        boost: greatest acceleration in boost as felt, thrust less drag over mass [m/s2]; None where it is not known.
        opening: greatest deceleration as the parachute opens, as felt [m/s2]; None where it is not known.
    """
    for what, value in (("in boost", boost), ("as the parachute opens", opening)):
        yield _felt(bay, f"{bay.name}: g {what}, {motor}", value)


def room_check(bay: PayloadBay) -> Check:
    """Whether a payload has room in its bay.

    Args:
        bay: the payload and its bay.
    """
    name, limit = f"{bay.name}: room", "the payload's length and diameter within the bay's free length and bore"
    inputs = tuple(
        f"{word}: {'not stated' if value is None else f'{value:g} mm'}"
        for word, value in (
            ("free length", bay.free_length),
            ("bore", bay.bore),
            ("payload's length", bay.length),
            ("payload's diameter", bay.diameter),
        )
    )
    pairs = ((bay.length, bay.free_length), (bay.diameter, bay.bore))
    known = [(need, room) for need, room in pairs if need is not None and room is not None]
    told = [f"free length {bay.free_length:.1f} mm"] if bay.free_length is not None else []
    told += [f"bore {bay.bore:.1f} mm"] if bay.bore is not None else []
    value = ", ".join(told) or None
    if any(need > room for need, room in known):
        note = "the payload is longer or wider than its bay"
        return Check(name, "fail", value, limit, "the design file", note, "payload <= bay", inputs)
    if len(known) < len(pairs):
        note = "enter the bay's free length and bore, and the payload's length and diameter"
        return Check(name, "not-stated", value, limit, "the design file", note, "payload <= bay", inputs)
    return Check(name, "pass", value, limit, "the design file", "", "payload <= bay", inputs)


def _felt(bay: PayloadBay, name: str, acceleration: float | None) -> Check:
    limit = f"what the payload bears, {'not stated' if bay.bears is None else f'{bay.bears:g} g'}"
    mass = "not stated" if bay.mass is None else f"{bay.mass:g} g"
    inputs = (
        f"acceleration as felt: {'not known' if acceleration is None else f'{acceleration:.1f} m/s2'}",
        f"payload's mass: {mass}",
    )
    if acceleration is None:
        return Check(name, "not-stated", None, limit, SOURCE, "needs the flight and the opening", FORMULA, inputs)
    multiple = felt(acceleration)
    value = f"{multiple:.1f} g"
    if bay.mass is not None:
        value += f", {bay.mass / 1000.0 * acceleration:.0f} N on what holds it"
    if bay.bears is None:
        note = f"{WORDS}: ask its maker, and enter what it bears"
        return Check(name, "not-stated", value, limit, SOURCE, note, FORMULA, inputs)
    status: Status = "pass" if multiple <= bay.bears else "fail"
    note = "" if status == "pass" else "more than the payload bears"
    return Check(name, status, value, limit, SOURCE, note, FORMULA, inputs)
