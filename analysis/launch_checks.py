"""Checks of the launch itself: how far the rail leans, how strong the wind is, and the margin in it at the exit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from .air_stream import AirStream
from .launch import Launch
from .leaving_the_rail import Leaving
from .limits import Check, Limit
from .loading import LIFTOFF, Loading
from .wind_at_exit import wind_at_exit

MARGIN_FORMULA = (
    "margin at the angle of attack atan(wind / exit speed), of body and fins, the flow across the body counted"
)


def launch_checks(
    launch: Launch,
    air: AirStream | None,
    loaded: Sequence[Loading],
    leaving: Sequence[Leaving],
    rules: Mapping[str, Limit],
) -> Iterator[Check]:
    """Tilt and winds against their rule, and the margin in each wind as each motor leaves the first rail.

    Args:
        launch: the launch.
        air: what the air meets of the rocket; None without a body.
        loaded: its loadings, whose balance at liftoff counts.
        leaving: the rocket as it leaves the rail, with each motor.
        rules: limits by name.

    Raises:
        PartError: a value out of its range.
    """
    tilt, wind = math.degrees(launch.tilt), max(launch.winds, default=0.0)
    if launch.tilt:
        limit = rules["launch_tilt"]
        inputs = (f"tilt {tilt:.3g} deg (the launch)",)
        yield Check(
            "tilt of the rail", limit.status(tilt), f"{tilt:.3g} deg", limit.words(), limit.source, inputs=inputs
        )
    if not launch.is_stated:
        return
    if launch.winds:
        limit = rules["launch_wind"]
        note = "" if limit.status(wind) == "pass" else "figures are told for it all the same"
        inputs = (f"winds {', '.join(f'{one:g}' for one in launch.winds)} m/s (the launch)",)
        yield Check(
            "greatest wind to fly in",
            limit.status(wind),
            f"{wind:g} m/s",
            limit.words(),
            limit.source,
            note,
            inputs=inputs,
        )
    for motor in dict.fromkeys(one.motor for one in leaving):
        first = next(one for one in leaving if one.motor == motor)
        cg = next((one.mass.cg[0] for one in loaded if one.motor == motor and one.name == LIFTOFF and one.mass), None)
        yield _in_wind(motor, first, cg, air, launch, rules["static_margin"])


def _in_wind(
    motor: str, leaving: Leaving, cg: float | None, air: AirStream | None, launch: Launch, limit: Limit
) -> Check:
    name, source = f"margin in wind at the rail's exit, {motor}", limit.source
    speed = leaving.forward.speed if leaving.forward else None
    if air is None or not air.fins or cg is None or speed is None or speed <= 0.0:
        note = "needs a body, fins, the mass of every item, and a motor that leaves the rail"
        return Check(name, "not-stated", None, limit.words(), source, note, MARGIN_FORMULA)
    found = wind_at_exit(air, cg, speed, launch.winds)
    inputs = (
        f"exit speed {speed:.1f} m/s, no drag",
        f"CG at {cg:.1f} mm",
        f"winds {', '.join(f'{one:g}' for one in launch.winds)} m/s (the launch)",
        *found.notes,
    )
    known = [(row.wind, row.margin_calibres) for row in found.rows if row.margin_calibres is not None]
    beyond = [row.wind for row in found.rows if row.margin_calibres is None]
    told = [f"{margin:.2f} calibres in {wind:g} m/s" for wind, margin in known]
    told += [f"not known from {min(beyond):g} m/s, beyond 15 deg"] if beyond else []
    value = ", ".join(told) or None
    low = [wind for wind, margin in known if limit.fail_below is not None and margin < limit.fail_below]
    if low or beyond:
        worst = min(low or beyond)
        note = f"it may turn into the wind as it leaves the rail in {worst:g} m/s: a faster exit, or fly in less wind"
        return Check(name, "warn", value, limit.words(), source, note, MARGIN_FORMULA, inputs)
    return Check(name, "pass" if known else "not-stated", value, limit.words(), source, "", MARGIN_FORMULA, inputs)
