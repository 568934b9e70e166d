"""What a design shall come to: `margin >= 1.5`, `margin at liftoff = 1.5`, `cg <= 700 mm`, `mass <= 1200 g`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ..analysis.loading import BURNOUT, LIFTOFF, WITHOUT_MOTOR, Loading
from ..analysis.mass import mass_properties
from ..analysis.stability import NO_FINS
from ..parts.errors import FerruleError
from ..parts.params import near
from ..parts.quantity import read
from .design import Design
from .lengths import Lengths

Figure = Literal["margin", "cg", "mass"]
Relation = Literal[">=", "<=", "="]

_FIGURES: tuple[Figure, ...] = ("margin", "cg", "mass")
_STATES = (LIFTOFF, BURNOUT, WITHOUT_MOTOR)
_FORM = re.compile(
    r"\s*(?P<figure>\w+)(?:\s+at)?(?P<state>\s[a-z ]+?)?\s*(?P<relation>>=|<=|==?|≥|≤|<|>)\s*(?P<limit>.+)"
)
_SAME: dict[str, Relation] = {">=": ">=", "<=": "<=", "=": "=", "==": "=", "≥": ">=", "≤": "<=", ">": ">=", "<": "<="}
_EQUAL = {"margin": 0.005, "cg": 0.05, "mass": 0.5}
"""How near counts as equal: half of the last digit that is printed [calibres, mm, g]."""

_FARTHEST = 100.0
"""Margins beyond this are slips of the finger [calibres]."""

_HOW = 'write such as "margin >= 1.5", "margin at liftoff = 1.5", "cg <= 700 mm" or "mass <= 1200 g"'


@dataclass(frozen=True, slots=True)
class Target:
    """One figure and what it is held to.

    Attributes:
        figure: `margin` [calibres], `cg` [mm from the nose tip] or `mass` [g].
        relation: at least, at most, or equal as far as it is printed.
        limit: what it is held to, in its unit.
        state: the state in which it is meant; None for every state that is flown.
        motor: the motor that is meant; None for every one.
    """

    figure: Figure
    relation: Relation
    limit: float
    state: str | None = None
    motor: str | None = None

    def states(self, design: Design) -> tuple[Loading, ...]:
        """The states that count; without a motor in the file the one without.

        Raises:
            FerruleError: there is no such state.
        """
        if self.state == WITHOUT_MOTOR or (not design.motors and self.state is None):
            return design.loadings[:1]
        found = tuple(
            one
            for one in design.loadings
            if one.motor is not None and self.motor in (None, one.motor) and self.state in (None, one.name)
        )
        if not found:
            raise FerruleError(f"--target: no motor is stated to be at {self.state} with")
        return found

    def value(self, design: Design) -> float:
        """The figure in the worst of those states: the least margin, the most of all else, unless the least is held.

        Raises:
            FerruleError: it is not known.
        """
        values = [self._of(one, design) for one in self.states(design)]
        least = self.relation == ">=" or (self.figure == "margin" and self.relation == "=")
        return min(values) if least else max(values)

    def _of(self, loading: Loading, design: Design) -> float:
        if loading.mass is None:
            name = next((item.name for item in design.rocket.items if mass_properties(item) is None), "everything")
            raise FerruleError(f"{self.figure}: is not known, as the mass of {name} is not stated")
        if self.figure == "mass":
            return loading.mass.mass
        if self.figure == "cg":
            return loading.mass.cg[0]
        if loading.margin_calibres is None or loading.stability is None or NO_FINS in loading.stability.notes:
            raise FerruleError("margin: is not known without a body and fins")
        return loading.margin_calibres

    def shortfalls(self, design: Design) -> tuple[float, ...]:
        """By how much it is missed on each side that counts [-]; against a calibre, or a tenth of a mass.

        Raises:
            FerruleError: the figure is not known.
        """
        value = self.value(design)
        scale = {"margin": 1.0, "cg": design.rocket.reference_diameter or 100.0}.get(self.figure, 0.1 * self.limit)
        allowed = _EQUAL[self.figure] if self.relation == "=" else 0.0
        low, high = (self.limit - allowed - value) / scale, (value - allowed - self.limit) / scale
        return {">=": (low,), "<=": (high,), "=": (low, high)}[self.relation]

    def shown(self, value: float, lengths: Lengths) -> str:
        """A value of the figure with its unit."""
        if self.figure == "margin":
            return f"{value:.2f} calibres"
        return lengths.one(value) if self.figure == "cg" else f"{value:.0f} g"

    def words(self, lengths: Lengths) -> str:
        """The target, such as `margin >= 1.50 calibres`."""
        state = f" {'at ' if self.state in (LIFTOFF, BURNOUT) else ''}{self.state}" if self.state else ""
        return f"{self.figure}{state} {self.relation} {self.shown(self.limit, lengths)}"


def read_target(text: str, motor: str | None = None) -> Target:
    """A target from its text.

    Args:
        text: figure, state where one is meant, relation, limit with its unit; a margin in calibres has none.
        motor: the motor that is meant; None for every one.

    Raises:
        FerruleError: it cannot be read.
    """
    found = _FORM.fullmatch(text)
    if found is None:
        raise FerruleError(f"--target: {text!r} cannot be read; {_HOW}")
    figure = next((one for one in _FIGURES if one == found["figure"].lower()), None)
    if figure is None:
        raise FerruleError(f"--target: there is no figure {found['figure']!r}{near(found['figure'], _FIGURES)}; {_HOW}")
    state = (found["state"] or "").strip() or None
    if state is not None and state not in _STATES:
        raise FerruleError(f"--target: there is no state {state!r}{near(state, _STATES)}; {', '.join(_STATES)}")
    return Target(figure, _SAME[found["relation"]], _limit(figure, found["limit"].strip()), state, motor)


def _limit(figure: Figure, text: str) -> float:
    try:
        if figure != "margin":
            return _positive(figure, read(text, "length" if figure == "cg" else "mass"))
        plain = re.sub(r"\s*(cal|calibres?|calibers?)$", "", text)
        return _plausible(float(plain))
    except ValueError as error:
        reason = "a margin is a plain number of calibres" if figure == "margin" else str(error)
        raise FerruleError(f"--target: {figure}: {text!r}: {reason}") from None


def _plausible(value: float) -> float:
    if not abs(value) <= _FARTHEST:
        raise ValueError("no rocket has such a margin")
    return value


def _positive(figure: Figure, value: float) -> float:
    if value <= 0.0:
        raise FerruleError(f"--target: {figure}: must be above 0")
    return value


def motor_named(name: str | None, design: Design) -> str | None:
    """A motor of the design by its name.

    Raises:
        FerruleError: there is none of that name.
    """
    names: Sequence[str] = [one.name for one in design.motors]
    if name is not None and name not in names:
        there = f"; there {'are' if len(names) > 1 else 'is'} {', '.join(names) or 'none'}"
        raise FerruleError(f"--motor: there is no motor {name!r}{near(name, names)}{there}")
    return name
