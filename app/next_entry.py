"""What to enter next in a design that is not finished."""

from __future__ import annotations

from ..analysis.limits import Check
from ..parts.kinds import NoseCone, Tube
from .circumstances import canopies
from .design import Design


def next_entry(design: Design) -> str | None:
    """The next thing to enter, in the order in which a builder comes to know things; None when all is stated."""
    rocket = design.rocket
    parts = [item.part for item in rocket.items]
    airframe = any(isinstance(part, Tube) and part.use == "airframe" for part in parts)
    for missing, words in (
        (
            not design.tubes,
            "measure the tubes and enter each as [[tube]]: outside and inside readings, length, station",
        ),
        (not airframe, "enter the airframe: a [[tube]] with its station"),
        (not any(isinstance(part, NoseCone) for part in parts), 'enter the nose: a [[part]] of kind "nose-cone"'),
        (
            not rocket.fin_sets,
            'enter the fins: a [[part]] of kind "fin", with their count, or of kind "fin-can"',
        ),
    ):
        if missing:
            return words
    unknown = next((check for check in design.checks if _is_mass(check)), None)
    if unknown:
        return unknown.note
    for missing, words in (
        (not design.motors, "enter the motor as [[motor]]: sizes, loaded and empty mass, where its aft end is"),
        (not design.recovery.joints, "enter each [[joint]]: between which two, glued, screwed or releases"),
        (
            not design.recovery.parachutes,
            "enter the [[parachute]], its [[harness]], and the [[anchor]] on each section",
        ),
        (
            design.allowances.glue is None and design.allowances.glue_film is None,
            "enter the glue as `glue` and `glue_station` in [allowances]",
        ),
        (design.allowances.paint is None, "enter the paint as `paint` in [allowances], such as 150 g/m2"),
        (any(motor.thrust is None for motor in design.motors), "enter each motor's thrust table as `thrust`"),
        (
            any(not motor.delays for motor in design.motors),
            "enter the delays that each motor is to be had with as `delays`, here or in its file",
        ),
        (
            any(one.effective_area is None for one in canopies(design.entries)),
            "enter the parachute's `diameter` and `drag_coefficient`, with the `drag_area` that they are of",
        ),
        ("launch" not in design.entries, "enter the launch as [launch]: altitude, winds and ceiling of the site"),
    ):
        if missing:
            return words
    open_ones = (check for check in design.checks if check.status == "not-stated" and _can_be_entered(check))
    unknown = next(open_ones, None)
    return f"{unknown.name}: {unknown.note}" if unknown else None


def _is_mass(check: Check) -> bool:
    return check.status == "not-stated" and check.name.endswith(": mass")


def _can_be_entered(check: Check) -> bool:
    """Whether the file can say what is missing; not what is measured in the field or on the finished rocket.

    A check that has its value and no limit to hold it to says in its note what to enter, if that is a thing to enter.
    """
    if check.name == "centre of gravity measured":
        return False
    return check.value is None or "enter" in check.note.lower()
