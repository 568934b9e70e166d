"""Checks of the way down: descent rate, drift, and whether it may leave sight."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from ..limits import Check, Limit
from .bands import APOGEE, DESCENT
from .canopy import is_unheard_of
from .descent import FORMULA as DESCENT_FORMULA
from .descent import NOT_MODELLED as NOT_IN_DESCENT
from .descent import SOURCE as DESCENT_SOURCE
from .descent import TIME_FORMULA, Descent, descent, diameter_for, touchdown_energy
from .drift import FORMULA as DRIFT_FORMULA
from .drift import NOT_MODELLED as NOT_IN_DRIFT
from .drift import SOURCE as DRIFT_SOURCE
from .drift import drift
from .flown import Flown, Site, Told, flown_inputs, site_words
from .result import NotFlown
from .sight import FORMULA as SIGHT_FORMULA
from .sight import NOT_MODELLED as NOT_IN_SIGHT
from .sight import Sight, seen


def landing_checks(one: Flown, site: Site, rules: Mapping[str, Limit]) -> Iterator[Check]:
    """Descent rate, drift and sight.

    Args:
        one: the flight with one motor.
        site: what is the same for all motors.
        rules: limits by name.

    Raises:
        PartError: a mass or speed out of its range.
    """
    yield _descent_rate(one, site, rules["descent_rate"])
    yield _drift(one, site)
    yield _sight(one, site, rules["angular_size"])


def _descent_of(one: Flown, site: Site, height: float) -> Descent | None:
    if one.descending is None or not site.canopies:
        return None
    return descent(one.descending, site.canopies, height, site.air)


def _descent_inputs(one: Flown, site: Site) -> tuple[str, ...]:
    mass = "not stated" if one.descending is None else f"{one.descending:.0f} g (after burnout)"
    ground = site.air.density_and_sound(0.0)[0]
    return (
        f"mass under the parachute: {mass}",
        *(canopy.words for canopy in site.canopies),
        *(() if site.canopies else ("parachute: not stated",)),
        f"density of the air at the ground {ground:.4f} kg/m3; {site_words(site.launch)}",
    )


def _missing(one: Flown, site: Site) -> str:
    """What the way down needs and nobody states."""
    if not site.canopies:
        return "enter the parachute as [[parachute]] with its `diameter` and `drag_coefficient`"
    needs = [
        f"{', '.join(f'`{field}`' for field in canopy.missing)} of {canopy.name}"
        for canopy in site.canopies
        if canopy.missing
    ]
    needs += ["the mass of every item"] if one.descending is None else []
    return f"enter {' and '.join(needs)}"


def _descent_rate(one: Flown, site: Site, limit: Limit) -> Check:
    source = f"{limit.source}; formula: {DESCENT_SOURCE}"
    name = f"descent rate at the ground, {one.motor}"
    inputs = _descent_inputs(one, site)
    told = Told(name, limit.words(), source, f"{DESCENT_FORMULA}; {NOT_IN_DESCENT}", inputs)
    height = 0.0 if isinstance(one.flight, NotFlown) else one.flight.apogee.height
    found = _descent_of(one, site, height)
    if found is None:
        return told.check("not-stated", None, _missing(one, site))
    value = _descent_words(one, found)
    unsure = any(canopy.missing for canopy in site.canopies)
    notes = [note for canopy in site.canopies for note in canopy.notes()]
    notes += _sizes(site, found, limit)
    status = limit.status(found.speed)
    row = None if one.bands is None else one.bands.row(DESCENT)
    if row is not None and row.least is not None and row.greatest is not None:
        value += f"; {row.least:.1f} to {row.greatest:.1f} m/s with the spread of its inputs"
    if status == "pass" and any(is_unheard_of(canopy) for canopy in site.canopies):
        status = "warn"
    return told.check("not-stated" if unsure else status, value, "; ".join(notes))


def _descent_words(one: Flown, found: Descent) -> str:
    value = f"{found.speed:.2f} m/s, {found.energy:.0f} J"
    if one.heaviest is not None:
        value += f", {touchdown_energy(one.heaviest, found.speed):.0f} J of the heaviest section"
    if found.height > 0.0:
        value += f"; {found.first_speed:.2f} m/s at the apogee, {found.time:.0f} s from there"
    return value


def _sizes(site: Site, found: Descent, limit: Limit) -> Iterator[str]:
    """The size of one canopy alike that comes down as wanted, or as fast and as slow as is usual."""
    (first, *others) = site.canopies
    if others or first.drag_coefficient is None:
        return
    if site.wanted_descent is not None:
        speeds = [site.wanted_descent]
    elif limit.status(found.speed) != "pass":
        speeds = [speed for speed in (limit.warn_below, limit.warn_above) if speed]
    else:
        return
    density = site.air.density_and_sound(0.0)[0]
    for speed in speeds:
        size = diameter_for(found.mass, speed, first.drag_coefficient, density)
        yield f"{speed:g} m/s needs {size:.0f} mm at C_D {first.drag_coefficient:g} on the same area"


def _wind_inputs(site: Site) -> str:
    if not site.launch.winds:
        return "winds not stated"
    told = "usual winds, none are stated" if site.launch.has_usual_winds else "the launch"
    return f"winds {', '.join(f'{wind:g}' for wind in site.launch.winds)} m/s ({told})"


def _longest(one: Flown, found: Descent) -> float | None:
    """Time under the parachute from the greatest apogee at the slowest descent [s]; None without either band."""
    rows = [] if one.bands is None else [row for name in (APOGEE, DESCENT) if (row := one.bands.row(name)) is not None]
    high = [row.greatest / row.value for row in rows if row.quantity == APOGEE and row.greatest and row.value > 0.0]
    slow = [row.value / row.least for row in rows if row.quantity == DESCENT and row.least and row.least > 0.0]
    return found.time * math.prod((*high, *slow)) if high or slow else None


def _drift(one: Flown, site: Site) -> Check:
    field = site.field
    limit = "within the field, not stated" if field is None else f"within {field:g} m of the pad"
    inputs = (
        *_descent_inputs(one, site),
        _wind_inputs(site),
        "way before the parachute opens: "
        + ("not stated, none counted" if one.before is None else "the flight in wind"),
    )
    formula = f"{DRIFT_FORMULA}; {TIME_FORMULA}; {NOT_IN_DRIFT}"
    told = Told(f"drift, {one.motor}", limit, DRIFT_SOURCE, formula, inputs)
    if isinstance(one.flight, NotFlown):
        return told.check("not-stated", None, one.flight.reason)
    found = _descent_of(one, site, one.flight.apogee.height)
    if found is None:
        return told.check("not-stated", None, _missing(one, site))
    rows = drift(found.time, site.launch.winds, one.before)
    if not rows:
        return told.check("not-stated", None, "enter `winds` of the launch")
    value = ", ".join(f"{row.radius:.0f} m in {row.wind:g} m/s" for row in rows)
    value += f"; {found.time:.0f} s under the parachute from the apogee"
    notes = ["what the boost carries it is not counted"] if one.before is None else []
    unsure = any(canopy.missing for canopy in site.canopies)
    if field is None or unsure:
        needed = _missing(one, site) if unsure else "measure the field from the pad to its nearest edge"
        return told.check("not-stated", value, "; ".join([needed, *notes]))
    inside = [row for row in rows if row.radius <= field]
    if len(inside) == len(rows):
        notes.append(NOT_IN_DRIFT)
        longest = _longest(one, found)
        wide = () if longest is None else drift(longest, site.launch.winds, one.before)
        out = [row for row in wide if row.radius > field]
        if not out:
            return told.check("pass", value, "; ".join(notes))
        far, first = max(row.radius for row in wide), min(row.wind for row in out)
        notes.insert(
            0,
            f"{far:.0f} m from the greatest apogee at the slowest descent of their spreads ({longest:.0f} s), which "
            f"leaves the field from {first:g} m/s on",
        )
        return told.check("warn", value, "; ".join(notes))
    if inside:
        notes.insert(0, f"it stays inside up to {max(row.wind for row in inside):g} m/s")
        return told.check("warn", value, "; ".join(notes))
    return told.check("fail", value, "; ".join(["it leaves the field in every one of these winds", *notes]))


def _sight(one: Flown, site: Site, limit: Limit) -> Check:
    size = (
        f"rocket {'not stated' if site.length is None else f'{site.length:.0f} mm'} long, "
        f"{'not stated' if site.diameter is None else f'{site.diameter:.0f} mm'} across (the design)"
    )
    inputs = (size, *(canopy.words for canopy in site.canopies), *flown_inputs(one.flight))
    formula = f"{SIGHT_FORMULA}; {NOT_IN_SIGHT}"
    told = Told(f"may leave sight, {one.motor}", limit.words(), limit.source, formula, inputs)
    if isinstance(one.flight, NotFlown):
        return told.check("not-stated", None, one.flight.reason)
    if site.length is None or site.diameter is None:
        return told.check("not-stated", None, "needs the body's length and diameter")
    height = one.flight.apogee.height
    if height <= 0.0:
        return told.check("not-stated", None, "it does not leave the ground")
    tops = [("in still air", seen(site.length, site.diameter, height))]
    tops += [
        (f"in a wind of {turned.wind:g} m/s", seen(site.length, site.diameter, turned.height, turned.way))
        for turned in one.in_wind
        if turned.height > 0.0
    ]
    air, top = min(tops, key=lambda view: view[1].angle)
    views = [(f"the rocket side on at the apogee {air}", top)]
    far = _far_off(one, site)
    if far is not None:
        views.append((f"the open parachute as it lands in {max(site.launch.winds):g} m/s", far))
    value = ", ".join(f"{words} {view.angle:.1f} arc minutes at {view.distance:.0f} m" for words, view in views)
    least = min(views, key=lambda view: view[1].angle)
    status = limit.status(least[1].angle)
    note = "" if status == "pass" else f"{least[0]} may leave sight: have spotters, bright colours or a tracker"
    return told.check(status, value, note)


def _far_off(one: Flown, site: Site) -> Sight | None:
    """How large the canopies look where the strongest wind takes them; None while it is not known."""
    sizes = [inflated for canopy in site.canopies if (inflated := canopy.inflated_diameter) is not None]
    if isinstance(one.flight, NotFlown) or not sizes or not site.launch.winds:
        return None
    found = _descent_of(one, site, one.flight.apogee.height)
    rows = () if found is None else drift(found.time, site.launch.winds, one.before)
    farthest = max((row.radius for row in rows), default=0.0)
    return seen(max(sizes), max(sizes), 0.0, farthest) if farthest > 0.0 else None
