"""Landing on the tip of a fin: what the fin bears of it as a plate that is clamped at the body.

The energy of the descent, m v^2 / 2, goes into ground that gives by a stated length and into the fin as it bends. With
the blow F on the tip, d = F / k the fin's own give and h that of the ground

    F h + F^2 / (2 k) = m v^2 / 2,  k = 3 E I / s^3 (cantilever, any textbook of strength of materials)

Along the fin, in its own plane, it has a stress of 6 F (s - y) / (t c^2) at the height y with the chord c there;
across, 6 F s / (c t^2) at its root, for the same blow. The stiffness is that of the mean chord, the greatest stress
along that of the trapezoid of its root chord, semi-span and area. One fin takes all of the rocket, which is careful;
how the ground is, is an assumption, and hard ground breaks fins that this calls sound.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ...parts.strengths import strength
from ...parts.tables import material as known
from ..demands import Demands
from ..limits import Check, Limit, Status
from ..rocket import FinsInPlace, Rocket
from .flutter import Panel, named_sets, panel_of

SOURCE = "clamped plate as a cantilever, energy method (any textbook of strength of materials)"

FORMULA = "F h + F^2 / (2 k) = m v^2 / 2, k = 3 E I / s^3; stress 6 F (s - y) / (t c^2) along, 6 F s / (c t^2) across"

GROUND = 30.0
"""How far turf gives under the tip of a fin [mm]: an assumption (common practice), not a measurement."""

_OUTERMOST = 0.9
"""Share of the semi-span up to which the stress along is looked at: the tip itself is crushed, not bent [-]."""

_STEPS = 45


@dataclass(frozen=True, slots=True)
class Blow:
    """A blow on the tip of a fin.

    Attributes:
        energy: energy of the descent [J].
        force: greatest force, along the fin [N].
        along: greatest stress by it in the plane of the fin [MPa].
        across: stress at the root by the same force square to the fin [MPa].
    """

    energy: float
    force: float
    along: float
    across: float

    def borne_aside(self, strength: float) -> float | None:
        """How far out of the plane of the fin it bears the blow [rad]; None where it bears it nowhere.

        Both stresses meet at one corner of the root, along cos(z) + across sin(z), which stays below the strength up to
        this z.

        Args:
            strength: strength in bending [MPa].
        """
        if self.along > strength:
            return None
        both = math.hypot(self.along, self.across)
        if both <= strength:
            return math.pi / 2.0
        return math.acos(self.along / both) - math.acos(strength / both)


def blow(panel: Panel, modulus: float, mass: float, speed: float, ground: float = GROUND) -> Blow:
    """The blow of a landing on the tip of one fin.

    Args:
        panel: the fin.
        modulus: modulus of elasticity in bending [MPa].
        mass: mass that comes down [g].
        speed: how fast [m/s].
        ground: how far the ground gives [mm], from 0.
    """
    energy = mass * 1e-3 * speed**2 / 2.0
    chord, span, thick = panel.area / panel.semi_span, panel.semi_span, panel.thickness
    stiffness = 3.0 * modulus * thick * chord**3 / 12.0 / span**3
    # Joule in N mm; the root of the quadratic that is above 0.
    force = stiffness * (math.sqrt(ground**2 + 2.0 * energy * 1e3 / stiffness) - ground)
    heights = [_OUTERMOST * index / _STEPS for index in range(_STEPS + 1)]
    along = max(6.0 * force * span * (1.0 - y) / (thick * panel.chord(y) ** 2) for y in heights)
    across = 6.0 * force * span / (panel.root_chord * thick**2)
    return Blow(energy, force, along, across)


def landing_checks(rocket: Rocket, demands: Demands, rules: Mapping[str, Limit]) -> Iterator[Check]:
    """For each set of fins whether one of them bears a landing on its tip.

    Args:
        rocket: the parts in place.
        demands: the greatest values of the flight, the descent among them.
        rules: limits by name; `landing_aside` is used.
    """
    materials = {item.name: item.part.material for item in rocket.items if item.part is not None}
    for name, fins in named_sets(rocket):
        yield _check(f"{name}: landing on a tip, {demands.motor}", fins, materials[fins.name], demands, rules)


def _check(name: str, fins: FinsInPlace, material: str | None, demands: Demands, rules: Mapping[str, Limit]) -> Check:
    limit = rules["landing_aside"]
    source = f"{limit.source}; {SOURCE}"
    row = strength(material)
    if demands.descent_speed is None:
        note = "enter the parachute's diameter and drag coefficient, from which the descent follows"
        return Check(name, "not-stated", None, limit.words(), source, note, FORMULA)
    if row is None or row.modulus is None or row.bending is None:
        note = (
            f"enter `material` for {fins.name}"
            if material is None
            else f"no modulus and strength in bending are known for {material}"
        )
        return Check(name, "not-stated", None, limit.words(), source, note, FORMULA)
    panel = panel_of(fins)
    found = blow(panel, row.modulus, demands.burnout_mass, demands.descent_speed)
    aside = found.borne_aside(row.bending)
    status: Status = "fail" if aside is None else limit.status(math.degrees(aside))
    borne = (
        "and not borne even there" if aside is None else f"borne up to {math.degrees(aside):.0f} deg out of its plane"
    )
    return Check(
        name,
        status,
        f"{found.force:.0f} N: {found.along:.1f} MPa of {row.bending:g} MPa along the fin, {borne}",
        limit.words(),
        source,
        "; ".join((*_grain(row.name), _NOTE)),
        FORMULA,
        (
            f"mass m {demands.burnout_mass:.0f} g at v {demands.descent_speed:.2f} m/s: {found.energy:.1f} J",
            f"ground that gives by h {GROUND:g} mm, as turf (assumption, common practice)",
            f"root chord {panel.root_chord:.2f} mm, semi-span s {panel.semi_span:.2f} mm, mean chord "
            f"{panel.area / panel.semi_span:.2f} mm, thickness t {panel.thickness:.2f} mm",
            f"across the fin the same blow would make {found.across:.0f} MPa",
            "the glue at the root is not looked at",
            f"{row.name}: modulus E {row.modulus:g} MPa, bending {row.bending:g} MPa ({row.source}; {row.mark})",
        ),
    )


_NOTE = (
    "one fin takes all of it, and the glue at its root is not looked at; on hard ground, or dragged over it, fins "
    "break sooner: look them over after each landing"
)


def _grain(material: str) -> Iterator[str]:
    """Wood bears less across its grain than the table says."""
    if known(material).family == "wood":
        thin = "; across it 4 mm birch plywood bears 11 MPa (from memory)" if material == "birch-plywood" else ""
        yield f"holds only with the face grain along the span{thin}"
