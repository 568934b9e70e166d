r"""Flutter of fins: a screen, and no more.

Source: D. J. Martin, Summary of Flutter Experiences as a Guide to the Preliminary Design of Lifting Surfaces on
Missiles, NACA TN 4197, 1958, appendix (from memory, the report was not read):

    V = a sqrt(G / ((39.3 A^3 / ((t/c)^3 (A + 2))) ((l + 1) / 2) (p / p0)))      G in psi, p0 = 14.696 psi

with the panel aspect ratio A = s^2 / S of one fin outside the body, the taper l, thickness over chord t/c at the root,
the speed of sound a and the pressure p of the air. The same with p in the unit of G has the constant 39.3 / 14.696 =
2.674, which is 24 e k / pi with e = 0.25 and k = 1.4 (derived). A form with half of it, 1.337, is copied widely and
gives sqrt(2) times the speed; it is not used.

A planform that is no trapezoid counts as the trapezoid of its root chord, semi-span and area: l = 2 S / (s c) - 1.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ...parts.curve import Line
from ...parts.errors import PartError
from ...parts.shape import Outline
from ...parts.strengths import Strength, strength
from ...parts.tables import material as known
from ..aero.planform import planform
from ..demands import Demands
from ..limits import Check, Limit
from ..rocket import FinsInPlace, Rocket

SOURCE = "D. J. Martin, NACA TN 4197, 1958, appendix (from memory)"

FORMULA = "V = a sqrt(G / (2.674 p A^3 (taper + 1) / (2 (A + 2) (t/c)^3)))"

CONSTANT = 39.3 / 14.696
"""39.3 of the report over its standard pressure in psi [-]: the pressure then has the unit of the modulus."""

SCREEN = (
    "a screen only: published forms differ, and one that is copied widely gives sqrt(2) times this speed; it does not "
    "say that a fin is safe"
)

_MPA = 1e6


@dataclass(frozen=True, slots=True)
class Panel:
    """One fin outside the body, as the screen sees it.

    Attributes:
        root_chord: chord at the body [mm].
        semi_span: body surface to tip [mm].
        area: area [mm2].
        thickness: largest thickness at the root [mm].

    Raises:
        PartError: a size that is not above 0.
    """

    root_chord: float
    semi_span: float
    area: float
    thickness: float

    def __post_init__(self) -> None:
        for field, unit in (("root_chord", "mm"), ("semi_span", "mm"), ("area", "mm2"), ("thickness", "mm")):
            value = getattr(self, field)
            if not 0.0 < value < math.inf:
                raise PartError(f"{field}: must be above 0 {unit}, got {value:g} {unit}")

    @property
    def aspect_ratio(self) -> float:
        """Semi-span squared over area [-]."""
        return self.semi_span**2 / self.area

    @property
    def taper(self) -> float:
        """Tip chord over root chord of the trapezoid of its root chord, semi-span and area [-]; 0 or more."""
        return max(2.0 * self.area / (self.semi_span * self.root_chord) - 1.0, 0.0)

    @property
    def thickness_ratio(self) -> float:
        """Thickness over chord at the root [-]."""
        return self.thickness / self.root_chord

    def chord(self, share: float) -> float:
        """Chord of that trapezoid at a share of the semi-span, from 0 at the body to 1 at the tip [mm]."""
        return self.root_chord * (1.0 - (1.0 - self.taper) * share)


def panel_of(fins: FinsInPlace) -> Panel:
    """One fin of a set.

    Raises:
        PartError: nothing of it lies outboard of its root.
    """
    shape = planform(fins.planform)
    return Panel(fins.root_chord, shape.semi_span, shape.area, fins.thickness)


def flutter_speed(panel: Panel, shear_modulus: float, pressure: float, sound: float) -> float:
    """Flutter speed of the screen [m/s].

    Args:
        panel: the fin.
        shear_modulus: shear modulus of its sheet [MPa], above 0.
        pressure: pressure of the air [Pa], above 0.
        sound: speed of sound [m/s], above 0.

    Raises:
        PartError: a value not above 0.

    Example:
        >>> round(flutter_speed(Panel(150.0, 80.0, 9000.0, 3.0), 2600.0, 101325.0, 340.294), 2)
        298.93
    """
    for field, value, unit in (("shear_modulus", shear_modulus, "MPa"), ("pressure", pressure, "Pa")):
        if not 0.0 < value < math.inf:
            raise PartError(f"{field}: must be above 0 {unit}, got {value:g} {unit}")
    if not 0.0 < sound < math.inf:
        raise PartError(f"sound: must be above 0 m/s, got {sound:g} m/s")
    aspect = panel.aspect_ratio
    bracket = CONSTANT * aspect**3 * (panel.taper + 1.0) / (2.0 * (aspect + 2.0) * panel.thickness_ratio**3)
    return sound * math.sqrt(shear_modulus * _MPA / (bracket * pressure))


def thickness_for(panel: Panel, speed: float, wanted: float) -> float:
    """Thickness that the screen asks for, because its speed goes with the thickness to the power 3/2 [mm].

    Args:
        panel: the fin as it is.
        speed: its flutter speed [m/s].
        wanted: the flutter speed that it is to have [m/s].
    """
    return float(panel.thickness * (wanted / speed) ** (2.0 / 3.0))


def flutter_checks(rocket: Rocket, demands: Demands, rules: Mapping[str, Limit]) -> Iterator[Check]:
    """The screen for each set of fins, at the height of the greatest speed.

    Args:
        rocket: the parts in place.
        demands: the greatest values of the flight.
        rules: limits by name; `flutter_margin` is used.
    """
    materials = {item.name: item.part.material for item in rocket.items if item.part is not None}
    for name, fins in named_sets(rocket):
        yield _check(f"{name}: flutter screen, {demands.motor}", fins, materials[fins.name], demands, rules)


def named_sets(rocket: Rocket) -> Iterator[tuple[str, FinsInPlace]]:
    """Each set of fins with a name of its own: where an item has several, their stations tell them apart."""
    sets = rocket.fin_sets
    for fins in sets:
        several = sum(one.name == fins.name for one in sets) > 1
        yield (f"{fins.name} at {fins.station:g} mm" if several else fins.name), fins


def shear_moduli(row: Strength | None) -> tuple[float, float] | None:
    """Low and high shear modulus of a material [MPa]; None where the table has none."""
    if row is None or row.shear_modulus_low is None:
        return None
    return row.shear_modulus_low, row.shear_modulus_high or row.shear_modulus_low


def _check(name: str, fins: FinsInPlace, material: str | None, demands: Demands, rules: Mapping[str, Limit]) -> Check:
    limit = rules["flutter_margin"]
    row = strength(material)
    moduli = shear_moduli(row)
    if row is None or moduli is None:
        note = (
            f"enter `material` for {fins.name}"
            if material is None
            else f"no shear modulus is known for {material}; enter a material of the table of strengths"
        )
        return Check(name, "not-stated", None, limit.words(), f"{limit.source}; {SOURCE}", note, FORMULA)
    panel = panel_of(fins)
    low, high = (flutter_speed(panel, one, demands.pressure, demands.sound) for one in moduli)
    margin = low / demands.speed if demands.speed > 0.0 else math.inf
    ranged = f"{low:.0f} to {high:.0f}" if high > low else f"{low:.0f}"
    value = f"{ranged} m/s, {margin:.2f} times {demands.speed:.0f} m/s by the low one, screen only"
    return Check(
        name,
        limit.status(margin),
        value,
        limit.words(),
        f"{limit.source}; {SOURCE}",
        "; ".join((*_thickness_notes(panel, low, demands, limit), *_form_notes(fins, panel, row.name), SCREEN)),
        FORMULA,
        (
            f"greatest speed V {demands.speed:.1f} m/s at {demands.speed_height:.0f} m",
            f"speed of sound a {demands.sound:.1f} m/s and pressure p {demands.pressure:.0f} Pa there",
            f"root chord c {panel.root_chord:.2f} mm, semi-span s {panel.semi_span:.2f} mm, "
            f"area S {panel.area:.0f} mm2",
            f"A = s^2 / S {panel.aspect_ratio:.4f}, taper 2 S / (s c) - 1 {panel.taper:.4f}, "
            f"thickness {panel.thickness:.2f} mm, t/c {panel.thickness_ratio:.4f}",
            f"shear modulus G of {row.name} {moduli[0]:g} to {moduli[1]:g} MPa ({row.source}; {row.mark})",
        ),
    )


def _thickness_notes(panel: Panel, low: float, demands: Demands, limit: Limit) -> Iterator[str]:
    times = limit.warn_below or limit.fail_below
    if times is not None and demands.speed > 0.0:
        wanted = thickness_for(panel, low, times * demands.speed)
        yield f"{times:g} times needs {wanted:.2f} mm of the same sheet by the low modulus"


def _form_notes(fins: FinsInPlace, panel: Panel, material: str) -> Iterator[str]:
    if not _is_trapezoid(fins.planform):
        yield "no trapezoid: taken as that of its root chord, semi-span and area"
    if 2.0 * panel.area / (panel.semi_span * panel.root_chord) < 1.0:
        yield "narrower than a triangle: its taper counts as 0"
    if known(material).is_plastic:
        yield "a print counts as solid: lines that part and infill make it softer"


def _is_trapezoid(outline: Outline) -> bool:
    """Whether an outline is straight and has one corner outboard, or two at the same height."""
    pieces = [edge.piece for edge in outline.outer]
    outboard = {piece.start for piece in pieces if piece.start[1] > _LEVEL}
    heights = [y for _, y in outboard]
    straight = all(isinstance(piece, Line) for piece in pieces)
    return straight and len(outboard) in (1, 2) and max(heights) - min(heights) <= _LEVEL


_LEVEL = 1e-6
