"""Measured tubes, and the sizes that follow from them, each shown as a sum with its reason."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from .errors import PartError
from .iso_limits import looks_like_class, pair, zone
from .params import near
from .tables import Clearance, clearances, material, readings
from .tape import wraps
from .tubes import MeasuredTube

__all__ = [
    "FITS",
    "PROCESSES",
    "Derived",
    "FitChoice",
    "MeasuredTube",
    "Surroundings",
    "as_measured",
    "bulkhead",
    "check_fit",
    "clearance_for",
    "coupler",
    "large_disc",
    "nose_base",
    "ring_bore",
    "ring_outside",
    "shoulder",
    "tab_depth",
]

FITS = ("glued", "tape", "slip", "press", "free")
"""Names of fits; a class of ISO 286 such as `H7/g6` is one too."""

PROCESSES = ("printed", "laser", "hand")
"""How a part is made, as far as its fit is concerned."""


@dataclass(frozen=True, slots=True)
class FitChoice:
    """How a part is to fit its tube, where the design says; what it does not say is the usual of the kind.

    Attributes:
        fit: name of the fit, or a class of ISO 286; None for the usual one of the part.
        process: how the part is made, which decides what clearance the fit needs; None where it is not stated.
        clearance: clearance on diameter set by hand [mm]; None for that of the table.
        material: what it is made of, which counts where it is printed; None where it is not stated.
    """

    fit: str | None = None
    process: str | None = None
    clearance: float | None = None
    material: str | None = None


@dataclass(frozen=True, slots=True)
class Surroundings:
    """The measured tubes beside a part, from which sizes follow.

    Attributes:
        fits: the tube that the part goes into or onto; None where none is named.
        around: the tube inside that, which the part goes around or reaches down to; None where none is named.
        choice: how it is to fit.
        around_use: what the inner tube is for: `airframe`, `motor` or `coupler`; None where it is not known.
    """

    fits: MeasuredTube | None = None
    around: MeasuredTube | None = None
    choice: FitChoice = FitChoice()
    around_use: str | None = None


@dataclass(frozen=True, slots=True)
class Derived:
    """A size that follows from a tube and a fit.

    Attributes:
        value: the size [mm].
        sum: how it came about, in words and numbers.
    """

    value: float
    sum: str


_USUAL = FitChoice()
_TIGHTEST, _WIDEST = -1.0, 10.0
_TAPE = "tape"
_BORE = "ring-bore"


def clearance_for(usage: str, choice: FitChoice = _USUAL, size: float | None = None) -> Clearance:
    """The clearance of a place and the bounds that a check holds the result to, on diameter.

    Nothing chosen gives the row of the place itself. What the table lacks for a process or a material is that of the
    process, or of the fit, in general, and the reason of the row says so.

    Args:
        usage: the place, a row of `data/fits.csv` such as `shoulder-tape` or `ring-bore`. One without a usual fit, such
            as `nose-base`, where two skins are to be flush, is the same whatever is chosen.
        choice: how it is to fit.
        size: diameter of the tube there [mm], needed for a class of ISO 286.

    Raises:
        PartError: a fit, process or class that is not known, with the nearest that is, or a clearance set by hand out
            of its range, -1 to 10 mm.
        UnknownMaterialError: a material that is not known.
    """
    rows = clearances()
    place, (process, plastic) = rows[usage], _making(choice)
    if not place.fit:
        return place
    if choice.fit is not None and choice.fit not in FITS:
        row = _of_class(choice.fit, usage == _BORE, size)
    elif choice.fit is None and choice.process is None:
        row = place
    else:
        fit = choice.fit or place.fit
        row = next(rows[key] for key in (f"{fit}/{process}/{plastic}", f"{fit}/{process}", fit) if key in rows)
    if choice.clearance is None:
        return row
    if row.fit not in FITS:
        raise PartError(f"clearance: the class {row.name!r} gives a clearance of its own; state one of the two")
    return replace(row, amount=choice.clearance, mark="set by hand")


def check_fit(name: str | None) -> None:
    """A fit is one of the names, or looks like a class of ISO 286.

    Raises:
        PartError: it is neither; the nearest name is told.
    """
    if name is not None and name not in FITS and not looks_like_class(name):
        raise PartError(
            f"fit: there is no fit {name!r}{near(name, FITS)}; there are {', '.join(FITS)}, and classes of "
            "ISO 286 such as 'H7/g6'"
        )


def _making(choice: FitChoice) -> tuple[str | None, str | None]:
    """Process and material of a choice all of whose words are known; a plastic of the table is taken as printed.

    Raises:
        PartError: a fit or process that is not known, or a clearance out of its range.
        UnknownMaterialError: a material that is not known.
    """
    check_fit(choice.fit)
    if choice.process is not None and choice.process not in PROCESSES:
        raise PartError(
            f"process: there is no process {choice.process!r}{near(choice.process, PROCESSES)}; "
            f"there are {', '.join(PROCESSES)}"
        )
    if choice.clearance is not None and not _TIGHTEST <= choice.clearance <= _WIDEST:
        raise PartError(
            f"clearance: must be at least {_TIGHTEST:g} mm and at most {_WIDEST:g} mm on diameter, "
            f"got {choice.clearance:g} mm"
        )
    if choice.material is None:
        return choice.process, None
    name = material(choice.material).name
    printed = choice.process is None and any(row.material == name for row in clearances().values())
    return "printed" if printed else choice.process, name


def _of_class(name: str, bore: bool, size: float | None) -> Clearance:
    """The clearance that a class of ISO 286 gives, the tube standing for the other side at its most material.

    Raises:
        PartError: no size, a class that is not known, or one of the wrong side.
    """
    if size is None:
        raise PartError(f"fit: the class {name!r} depends on the diameter, and no tube is named; give a clearance")
    if "/" in name:
        hole, shaft = pair(name, size)
        own, start = (hole, shaft.upper) if bore else (shaft, hole.lower)
    else:
        own, start = zone(name, size), 0.0
    if own.is_hole != bore:
        side = "a shaft, and this is a bore" if bore else "a hole, and this goes into one"
        raise PartError(f"fit: the class {name!r} is of {side}; write both, the hole first, such as 'H7/g6'")
    bounds = sorted((own.lower - start, own.upper - start) if bore else (start - own.upper, start - own.lower))
    stands = (
        "the tube's largest outside stands for the shaft's"
        if bore
        else "the tube's smallest inside stands for the hole's"
    )
    reason = f"middle of {own.words()}, ISO 286-1 {name}; {stands} actual size; on diameter"
    return Clearance(name, sum(bounds) / 2.0, bounds[0], bounds[1], reason, "looked up", name)


def _mm(value: float, digits: int = 2) -> str:
    return f"{value:.{digits}f}"


def _less(what: str, start: float, usage: str, choice: FitChoice = _USUAL, on: str = "") -> Derived:
    """A size that is less than another by a clearance, or more where it is the bore over something (`on`)."""
    row = clearance_for(usage, choice, start)
    value = round(start + (row.amount if on else -row.amount), 6)
    is_class = row.name == choice.fit and row.fit not in FITS
    digits = 4 if is_class else 2
    word = "-" if (row.amount < 0.0) == bool(on) else "+"
    total = f"{what} {_mm(start)} {word} {_mm(abs(row.amount), digits)} ({row.reason}; {row.mark}) = "
    total += f"{_mm(value, 3 if is_class else 2)} mm"
    if is_class:
        caliper = readings()["caliper"]
        total += f"; finer than the readings, which are good to {_mm(caliper.amount)} mm ({caliper.mark})"
    if row.fit == _TAPE:
        total += f"; {wraps(row.amount).words(start if on else value, on)}"
    return Derived(value, total)


def nose_base(tube: MeasuredTube, choice: FitChoice = _USUAL) -> Derived:
    """Diameter of a nose base on a tube [mm]; flush with the tube whatever fit is chosen for the shoulder."""
    return _less(f"mean outside of the {tube.name}", tube.mean_outside, "nose-base", choice)


def shoulder(tube: MeasuredTube, choice: FitChoice = _USUAL) -> Derived:
    """Diameter of a shoulder in a tube [mm]; usually a friction fit with tape."""
    return _less(f"smallest inside of the {tube.name}", tube.smallest_inside, "shoulder-tape", choice)


def ring_outside(tube: MeasuredTube, choice: FitChoice = _USUAL) -> Derived:
    """Diameter of a ring in a tube [mm]; usually glued."""
    return _less(f"smallest inside of the {tube.name}", tube.smallest_inside, "ring-outside", choice)


def ring_bore(tube: MeasuredTube, choice: FitChoice = _USUAL) -> Derived:
    """Bore of a ring over a tube [mm]; usually glued."""
    what = f"largest outside of the {tube.name}"
    return _less(what, tube.largest_outside, _BORE, choice, on=f"on the {tube.name}")


def as_measured(tube: MeasuredTube, side: Literal["outside", "inside"]) -> Derived:
    """Mean outside or inside diameter of a tube, for a part that is the tube itself or ends flush with it [mm]."""
    value = round(tube.mean_outside if side == "outside" else tube.mean_inside, 6)
    return Derived(value, f"mean {side} of the {tube.name} as measured = {_mm(value)} mm")


def bulkhead(tube: MeasuredTube, choice: FitChoice = _USUAL) -> Derived:
    """Diameter of a bulkhead in a tube, or of the small disc of a stepped one [mm]; usually glued."""
    return _less(f"smallest inside of the {tube.name}", tube.smallest_inside, "bulkhead", choice)


def large_disc(
    coupler_tube: MeasuredTube | None, airframe: MeasuredTube | None, choice: FitChoice = _USUAL
) -> Derived | None:
    """Diameter of the large disc of a stepped bulkhead [mm]: the coupler's outside, as far as the airframe lets it in.

    It slides in the airframe whatever fit is chosen for the small disc.

    Returns:
        None where neither tube is known.
    """
    free = (
        _less(f"smallest inside of the {airframe.name}", airframe.smallest_inside, "bulkhead-slide", choice)
        if airframe
        else None
    )
    if coupler_tube is None:
        return free
    flush = as_measured(coupler_tube, "outside")
    if free is None or flush.value <= free.value:
        return flush
    return Derived(
        free.value, f"{free.sum}, because the mean outside of the {coupler_tube.name}, {_mm(flush.value)} mm, is more"
    )


def coupler(tube: MeasuredTube, choice: FitChoice = _USUAL) -> Derived:
    """Outside diameter of a coupler in a tube [mm]; usually a sliding fit."""
    return _less(f"smallest inside of the {tube.name}", tube.smallest_inside, "coupler", choice)


def tab_depth(airframe: MeasuredTube, motor_tube: MeasuredTube, choice: FitChoice = _USUAL) -> Derived:
    """Depth of a fin tab from the surface of the airframe towards the motor tube [mm]; no fit on diameter."""
    row = clearance_for("tab-depth", choice)
    gap = (airframe.mean_outside - motor_tube.largest_outside) / 2.0
    value = round(gap - row.amount, 6)
    return Derived(
        value,
        f"(mean outside of the {airframe.name} {_mm(airframe.mean_outside)} - largest outside of the "
        f"{motor_tube.name} {_mm(motor_tube.largest_outside)}) / 2 - {_mm(row.amount)} ({row.reason}; {row.mark}) = "
        f"{_mm(value)} mm",
    )
