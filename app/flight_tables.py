"""The flight in words: a section of the report, and the lines of `ferrule check`.

What is printed is taken from these keys of the summary; each is a list, one entry a motor, and may be missing:

    flights     from `flight_figures.flight_figures`
    delays      from `flight_figures.delay_figures`: what the parachute meets at each delay
    descent     from `flight_figures.descent_figures`
    drift       from `flight_figures.drift_figures`
    in_wind     from `flown_figures.flown_figures`: the flight from the leaning rail in each wind
    compared    from `flown_figures.flown_figures`: one row a motor, for who chooses among several
    bands       from `flight_figures.band_figures`
    drag_terms  from `flight_figures.drag_figures`: the terms of the drag at one speed
    checks      the checks of the design; those that have a formula are told with it and with what went into it
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ..analysis.flight.deployment import COUNTED
from ..parts.quantity import convert
from .cautions import NOT_A_CLEARANCE
from .lengths import NOT_STATED as MISSING
from .markdown_table import NOT_STATED, number, table
from .wording import capital, sentence

NOT_MODELLED = (
    "roll",
    "gusts and shear of the wind",
    "friction of the rail and its whip",
    "thrust that is out of line",
    "fins that are out of line",
    "tip-off as the rail lets go",
    "how fast it turns into the wind",
    "drag near the speed of sound",
    "the time that a parachute takes to open",
    "thermals",
    "terrain",
)
"""What no figure of a flight has in it."""

FLIGHT_CAUTIONS = (
    NOT_A_CLEARANCE,
    f"Delays: {COUNTED}. No modification of motors.",
    "Holds for one stage, slender, straight and below Mach 0.8, flown close to upright.",
    "Predicted is not measured: weigh the rocket, balance it loaded as it will fly, and hold the first flight against "
    "this page.",
    "An adult, or a flyer who is certified for it, is in charge.",
)
"""What stands below the figures of a flight."""


def flight_section(figures: Mapping[str, Any]) -> str:
    """The flight with each motor, and all that follows from it; empty without a motor.

    Args:
        figures: the summary, see above.
    """
    flights = figures.get("flights") or ()
    if not flights:
        return ""
    flown = [one for one in flights if one["not_stated"] is None]
    parts = [
        "## Flight",
        _compared(figures.get("compared") or ()),
        "\n".join(f"- {one['motor']}: {NOT_STATED}: {one['not_stated']}." for one in flights if one not in flown),
        *((_pad(flown), _sky(flown), f"Delay wanted is the coast from burnout to apogee: {COUNTED}.") if flown else ()),
        *_delays(figures.get("delays") or ()),
        _descent(figures.get("descent") or ()),
        *_drift(figures.get("drift") or ()),
        *_in_wind(figures.get("in_wind") or ()),
        *_bands(figures.get("bands") or ()),
        *_drag_terms(figures.get("drag_terms") or ()),
        _made_of(figures.get("checks") or ()),
        _methods(flown),
        f"### What is not modelled\n\n{', '.join(NOT_MODELLED)}.".replace("\n\nroll", "\n\nRoll"),
        "### Cautions of the flight\n\n" + "\n".join(f"- {caution}" for caution in FLIGHT_CAUTIONS),
    ]
    return "\n\n".join(filter(None, parts))


def flight_lines(figures: Mapping[str, Any]) -> Iterator[str]:
    """A line for each motor: how high, how fast, and the delay that is wanted; or why that is not stated.

    Args:
        figures: the summary, see above.
    """
    flights = figures.get("flights") or ()
    for one in flights:
        if one["not_stated"] is not None:
            yield f"  {one['motor']} in flight: {MISSING}: {one['not_stated']}"
            continue
        wanted = one["delay_wanted_s"]
        delay = "still burning there" if wanted is None else f"delay wanted {wanted:.1f} s"
        yield (
            f"  {one['motor']} in flight, predicted: apogee {_height(one['apogee_height_m'])} after "
            f"{one['apogee_time_s']:.1f} s, {delay}; greatest speed {one['greatest_speed_m_per_s']:.0f} m/s "
            f"(Mach {one['greatest_mach']:.2f}), {one['greatest_acceleration_g']:.1f} g"
        )
    if any(one["delay_wanted_s"] is not None for one in flights):
        yield f"  ({COUNTED})"


def _height(metres: float) -> str:
    return f"{metres:,.0f} m ({_feet(metres):,.0f} ft)"


def _feet(metres: float) -> float:
    return convert(metres * 1000.0, "length", "ft")


def _pad(flown: Sequence[Mapping[str, Any]]) -> str:
    rows = [
        (
            one["motor"],
            number(one["liftoff_mass_g"], 0),
            number(one["burnout_mass_g"], 0),
            number(one["mean_thrust_to_weight"], 1),
            number(one["first_thrust_to_weight"], 1),
            number(one["forward_button_speed_m_per_s"], 1),
            number(one["aft_button_speed_m_per_s"], 1),
        )
        for one in flown
    ]
    head = (
        "Motor",
        "Liftoff mass [g]",
        "Burnout mass [g]",
        "Mean thrust over weight [-]",
        f"in the first {flown[0]['first_moment_s']:g} s [-]",
        "Speed, forward button leaving the rail [m/s]",
        "aft button, for information [m/s]",
    )
    return table(head, rows)


def _sky(flown: Sequence[Mapping[str, Any]]) -> str:
    rows = [
        (
            one["motor"],
            number(one["greatest_speed_m_per_s"], 1),
            number(one["greatest_mach"], 2),
            number(one["greatest_acceleration_m_per_s2"], 0),
            number(one["greatest_acceleration_g"], 1),
            number(one["greatest_dynamic_pressure_pa"] / 1000.0, 2),
            f"{one['burnout_time_s']:.2f} s, {one['burnout_height_m']:,.0f} m, {one['burnout_speed_m_per_s']:.0f} m/s",
            number(one["apogee_height_m"], 0),
            number(_feet(one["apogee_height_m"]), 0),
            number(one["apogee_time_s"], 1),
            "none: it still burns at the apogee" if one["delay_wanted_s"] is None else f"{one['delay_wanted_s']:.1f}",
        )
        for one in flown
    ]
    head = (
        "Motor",
        "Greatest speed [m/s]",
        "Mach [-]",
        "Greatest acceleration as felt [m/s2]",
        "the same [g]",
        "Greatest dynamic pressure [kPa]",
        "Burnout",
        "Apogee [m]",
        "Apogee [ft]",
        "Apogee after [s]",
        "Delay wanted [s]",
    )
    return table(head, rows)


def _delays(found: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    some = [one for one in found if one["rows"]]
    if not some:
        return
    yield f"### Delays\n\n{sentence(COUNTED)}"
    for one in some:
        rows = [
            (
                f"{row['delay_s']:.1f}" + (" (stated)" if row["stated"] else ""),
                number(row["time_s"], 1),
                *(
                    ("on the ground before that", "")
                    if row["on_the_ground"]
                    else (number(row["height_m"], 0), f"{row['speed_m_per_s']:.1f}{way_words(row)}")
                ),
                number(row["tolerance_s"], 1),
                number(row["fastest_m_per_s"], 1),
                number(row["lowest_m"], 0),
            )
            for row in one["rows"]
        ]
        head = (
            f"Delay with {one['motor']} [s]",
            "after ignition [s]",
            "Height [m]",
            "Speed [m/s]",
            "Tolerance, either way [s]",
            "Fastest within it [m/s]",
            "Lowest within it [m]",
        )
        yield table(head, rows)
        marks = dict.fromkeys(row["tolerance_source"] for row in one["rows"])
        lines = [f"- Tolerance: {', '.join(marks)}.", *((f"- Delays of {one['window']}.",) if one["window"] else ())]
        yield "\n".join(lines)


def way_words(row: Mapping[str, Any]) -> str:
    """Whether it rises or falls at a delay, as it follows a speed; nothing where it stands still."""
    if round(row["speed_m_per_s"], 1) == 0.0:
        return ""
    return ", rising" if row["rising"] else ", falling"


def _descent(found: Sequence[Mapping[str, Any]]) -> str:
    if not found:
        return ""
    rows = [
        (
            one["motor"],
            number(one["mass_g"], 0),
            number(one["drag_area_m2"], 3),
            number(one["first_speed_m_per_s"], 1),
            number(one["speed_m_per_s"], 1),
            number(one["time_s"], 0),
            number(one["energy_j"], 0),
        )
        for one in found
    ]
    head = (
        "Motor",
        "Mass that comes down [g]",
        "Drag coefficient times area [m2]",
        "Descent rate where it opens [m/s]",
        "at the ground [m/s]",
        "Time under it [s]",
        "Energy at the ground [J]",
    )
    reasons = [f"- {one['motor']}: {NOT_STATED}: {one['not_stated']}." for one in found if one["not_stated"]]
    return "\n\n".join(filter(None, (f"### Under the parachute\n\n{table(head, rows)}", "\n".join(reasons))))


def _drift(found: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    some = [one for one in found if one["rows"]]
    if some:
        yield "### Drift in a steady wind"
    for one in some:
        rows = [
            (
                number(row["wind_m_per_s"], 1),
                number(row["under_parachute_m"], 0),
                number(row["before_m"], 0),
                number(row["radius_m"], 0),
            )
            for row in one["rows"]
        ]
        head = (
            f"Wind, {one['motor']} [m/s]",
            "Under the parachute [m]",
            "Before it opens [m]",
            "May land within [m]",
        )
        yield table(head, rows)


def _in_wind(found: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    some = [one for one in found if any(row["apogee_m"] is not None for row in one["rows"])]
    if some:
        yield "### Turned into the wind"
    for one in some:
        rows = [
            (
                number(row["wind_m_per_s"], 1),
                number(row["apogee_m"], 0),
                number(row["apogee_lost_m"], 0),
                number(row["upwind_m"], 0),
                number(row["air_speed_at_apogee_m_per_s"], 1),
            )
            for row in one["rows"]
        ]
        head = (
            f"Wind, {one['motor']} [m/s]",
            "Apogee [m]",
            "Lost against upright in still air [m]",
            "Upwind there [m]",
            "Speed through the air there [m/s]",
        )
        yield table(head, rows)
        yield "\n".join(f"- Note: {note}." for note in one["notes"])


def _compared(found: Sequence[Mapping[str, Any]]) -> str:
    """One row a motor; nothing where there is no choice."""
    if len(found) < 2:
        return ""
    rows = [
        (
            one["motor"],
            number(one["margin_at_liftoff_cal"], 2),
            number(one["margin_at_burnout_cal"], 2),
            number(one["mean_thrust_to_weight"], 1),
            *(number(row["speed_m_per_s"], 1) for row in one["exit_speeds"]),
            number(one["apogee_m"], 0),
            number(one["delay_wanted_s"], 1),
            ", ".join(f"{delay:g}" for delay in one["delays_stated_s"]) or NOT_STATED,
        )
        for one in found
    ]
    rails = [f"{row['rail_length_mm'] / 1000.0:g} m" for row in found[0]["exit_speeds"]]
    head = (
        "Motor",
        "Margin at liftoff [calibres]",
        "at burnout [calibres]",
        "Mean thrust over weight [-]",
        *(f"Speed off a rail of {rail} [m/s]" for rail in rails),
        "Apogee [m]",
        "Delay wanted [s]",
        "Delays to be had [s]",
    )
    return f"### Motors beside each other\n\n{table(head, rows)}"


def _bands(found: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    some = [one for one in found if one["rows"]]
    if some:
        yield (
            "### How sure the figures are\n\nEach input is taken low and high by itself and the flight computed again; "
            "the effects add up as the root of the sum of their squares. No confidence is claimed."
        )
    for one in some:
        causes = tuple(dict.fromkeys(effect["cause"] for row in one["rows"] for effect in row["effects"]))
        rows = [
            (
                f"{capital(row['quantity'])} [{row['unit']}]",
                _value(row, row["value"]),
                _value(row, row["least"]),
                _value(row, row["greatest"]),
                *(_effect(row, cause) for cause in causes),
            )
            for row in one["rows"]
        ]
        head = (f"With {one['motor']}", "Value", "Least", "Greatest", *(f"{cause}: low, high" for cause in causes))
        yield table(head, rows)
        if one["notes"]:
            yield "\n".join(f"- Note: {note}." for note in one["notes"])


def _effect(row: Mapping[str, Any], cause: str) -> str:
    effect = next((one for one in row["effects"] if one["cause"] == cause), None)
    if effect is None:
        return ""
    return ", ".join(
        "does not fly" if one is None else _signed(_value(row, abs(one)), one)
        for one in (effect["at_low"], effect["at_high"])
    )


def _signed(words: str, value: float) -> str:
    """A figure with its sign, without one where it is rounded to nothing."""
    return words if not words.strip("0.") else f"{'-' if value < 0.0 else '+'}{words}"


def _value(row: Mapping[str, Any], value: float | None) -> str:
    return number(value, 0 if row["unit"] == "m" else 1)


def _drag_terms(found: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    some = [one for one in found if one["rows"]]
    if some:
        yield "### Drag, term by term"
    for one in some:
        rows = [
            (row["name"], row["item"], number(row["coefficient"], 4), row["formula"], row["source"], row["range"])
            for row in one["rows"]
        ]
        rows.append(("**all**", "", number(one["coefficient"], 4), "", "", ""))
        state = "motor burning" if one["burning"] else "coasting"
        head = (f"Term, {one['motor']} at {one['speed_m_per_s']:.0f} m/s, {state}", "Of", "C_D [-]")
        yield table((*head, "Formula", "Source", "Holds for"), rows)
        notes = dict.fromkeys(note for row in one["rows"] for note in row["notes"])
        if notes:
            yield "\n".join(f"- Note: {note}." for note in notes)


def _made_of(checks: Sequence[Mapping[str, Any]]) -> str:
    """Formula and inputs of every check that has some: a status alone teaches nothing."""
    rows = [
        (
            one["name"],
            one["status"].replace("-", " "),
            one["value"] or NOT_STATED,
            one["limit"],
            one["formula"],
            "; ".join(one["inputs"]),
            one["source"],
        )
        for one in checks
        if one.get("formula") or one.get("inputs")
    ]
    if not rows:
        return ""
    head = ("Check", "Status", "Value", "Held to", "Formula", "Inputs", "Source")
    return f"### What the checks are made of\n\n{table(head, rows)}"


def _methods(flown: Sequence[Mapping[str, Any]]) -> str:
    if not flown:
        return ""
    lines = [f"- {sentence(method)}" for method in dict.fromkeys(one["method"] for one in flown)]
    for area, source in dict.fromkeys((one["reference_area_mm2"], one["drag_source"]) for one in flown):
        lines.append(f"- Drag on a reference area of {area:,.0f} mm2: {source}.")
    lines += [f"- Note: {note}." for note in dict.fromkeys(note for one in flown for note in one["notes"])]
    return "### How the flight was computed\n\n" + "\n".join(lines)
