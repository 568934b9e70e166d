"""Every item as estimated and as measured, side by side, and the checks of what was weighed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..parts.fingerprint import fingerprint, short
from ..parts.tables import material
from .limits import Check, limits
from .mass import mass_properties
from .rocket import Item, Rocket

NO_SHAPE_STATED = "for which shape is not stated"
OLDER_SHAPE = "weighed for an older shape"
_NEAR = 1e-9


@dataclass(frozen=True, slots=True)
class Compared:
    """An item as estimated and as measured, all pieces together.

    Attributes:
        estimated: mass by shape and density, or as its own table states it [g]; None where neither is known.
        low: least mass that is usual for its material [g]; None where that is not known.
        high: greatest such mass [g].
        measured: mass by the scale [g], also where it is not used; None where it was not weighed.
        is_used: whether the measured mass is the one that counts.
        estimated_cg: station of its computed centre of gravity [mm].
        measured_cg: station of its centre of gravity as balanced [mm], also where it is not used.
        spread: largest less smallest over the mean of the pieces that were weighed [-]; None of fewer than two.
        flags: what a reader shall look at, in words.
    """

    estimated: float | None
    low: float | None
    high: float | None
    measured: float | None
    is_used: bool
    estimated_cg: float | None
    measured_cg: float | None
    spread: float | None
    flags: tuple[str, ...]

    @property
    def difference(self) -> float | None:
        """Measured less estimated, over the estimate [%]; None where either is missing."""
        if self.measured is None or not self.estimated:
            return None
        return 100.0 * (self.measured / self.estimated - 1.0)


def piece_state(item: Item) -> str:
    """Printed fingerprint of what is put on the scale: of a part its fields and density, of all else what it is.

    A thing without a shape changes when the mass does that its own table states for one.
    """
    if item.part is not None:
        return short(item.part.fingerprint())
    plain = item.unweighed()
    one = None if plain.stated_mass is None else plain.stated_mass / plain.quantity
    return short(fingerprint([plain.what, plain.name, one]))


def mass_band(item: Item) -> tuple[float, float] | None:
    """Least and greatest mass that are usual for its material [g], all pieces together; None where nobody knows.

    The band is the density's: it says nothing of a wall that is thinner than it is drawn or of a print with infill.
    """
    part, found = item.part, mass_properties(item.unweighed())
    if part is None or part.material is None or part.density is not None or found is None:
        return None
    row = material(part.material)
    if any(body.density != row.density for body in part.bodies()):
        return None
    return found.mass * row.low / row.density, found.mass * row.high / row.density


def compared(item: Item) -> Compared:
    """An item as estimated and as measured."""
    found, band, weighing = mass_properties(item.unweighed()), mass_band(item), item.weighing
    estimated = found.mass if found else None
    measured = item.stated_mass if item.weighed else None
    used = measured is not None if weighing is None else weighing.is_current
    measured_cg, spread = None, None
    if weighing is not None:
        measured = weighing.mean * item.quantity
        spread = weighing.spread if len(weighing.masses) > 1 else None
        if weighing.balance is not None:
            measured_cg = sum(item.stations) / len(item.stations) + weighing.balance
    low, high = band or (None, None)
    cg = found.cg[0] if found else None
    plain = Compared(estimated, low, high, measured, used, cg, measured_cg, spread, ())
    return replace(plain, flags=tuple(_flags(item, plain)))


def _flags(item: Item, found: Compared) -> Iterator[str]:
    weighing = item.weighing
    if weighing is not None and not weighing.is_current:
        yield f"{OLDER_SHAPE}, not used"
        return
    if weighing is not None and weighing.made_for is None:
        yield NO_SHAPE_STATED
    yield from _far_off(found)
    if found.spread is not None and limits()["mass_spread"].status(100.0 * found.spread) != "pass":
        yield f"pieces differ by {100.0 * found.spread:.1f} %"


def _far_off(found: Compared) -> Iterator[str]:
    """In what the scale and the estimate do not agree."""
    if found.measured is None:
        return
    limit = limits()["weighed_difference"]
    if found.difference is not None and limit.status(abs(found.difference)) != "pass":
        yield f"{abs(found.difference):.1f} % {'over' if found.difference > 0.0 else 'under'} the estimate"
    if found.low is None or found.high is None:
        return
    if not found.low * (1.0 - _NEAR) <= found.measured <= found.high * (1.0 + _NEAR):
        yield f"outside {found.low:.1f} to {found.high:.1f} g, which is usual for its material"


def weighing_checks(rocket: Rocket) -> Iterator[Check]:
    """Of everything that was weighed piece by piece: for which shape, how near the estimate, and how much alike."""
    limit, alike = limits()["weighed_difference"], limits()["mass_spread"]
    for item in rocket.items:
        weighing = item.weighing
        if weighing is None:
            continue
        found = compared(item)
        of = f"{found.measured:.1f} g weighed"
        if found.estimated is not None:
            of += f", {found.estimated:.1f} g estimated"
        held = f"the shape that is in the design now; {limit.words()} off the estimate"
        off = tuple(_far_off(found))
        far = found.difference is not None and limit.status(abs(found.difference)) != "pass"
        name = f"{item.name}: weighed"
        if not weighing.is_current:
            note = f"{OLDER_SHAPE} ({weighing.made_for}, now {weighing.now}), and not used: weigh it again"
            yield Check(name, "warn", of, held, limit.source, note)
        elif far:
            note = f"{', '.join(off)}: look at its sizes, its material and the scale"
            yield Check(name, "warn", of, held, limit.source, note)
        elif weighing.made_for is None:
            note = f"{', '.join((NO_SHAPE_STATED, *off))}: write its `fingerprint`, or weigh it with `ferrule weigh`"
            yield Check(name, "warn", of, held, limit.source, note)
        else:
            # A print with infill and a thin layer of paint both leave the density's band and are nobody's mistake.
            yield Check(name, "pass", ", ".join((of, *off)), held, limit.source)
        # The odd one of pieces that are made anew says nothing of the new ones.
        if found.spread is not None and weighing.is_current:
            low, high = min(weighing.masses), max(weighing.masses)
            value = f"{low:.2f} to {high:.2f} g, spread {100.0 * found.spread:.1f} %"
            status = alike.status(100.0 * found.spread)
            note = "match the pieces before they go on, or exchange the odd one" if status != "pass" else ""
            yield Check(f"{item.name}: pieces alike", status, value, alike.words(), alike.source, note)
