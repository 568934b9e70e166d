"""Flight and loads: what each motor does, and every check with its limit, its source and what went into it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ...analysis.leaving_the_rail import Leaving, leaving_the_rail
from ...analysis.rail_exit import GRAVITY, usual_rails
from ...parts.sheets.blocks import Block, Bullets, DrawnPage, Figures, Heading, SideBySide, Table, Together, Words
from ..cautions import NOT_A_CLEARANCE
from ..circumstances import rails
from ..flight_tables import FLIGHT_CAUTIONS, NOT_MODELLED, way_words
from ..lengths import NOT_STATED
from ..make_flight_charts import flight_charts
from ..wording import capital
from .about import About
from .check_rows import check_tables, counted, flight_checks
from .flown_with import COUNTS, FlownWith, flown_with, number, spoken

CAUTIONS = (
    *FLIGHT_CAUTIONS,
    "What is not known says not stated; nothing is filled in for it.",
    "Metal only where it is needed: no metal nose tip, no spike.",
    "Harness anchors are metal through plywood; printed loops are not anchors.",
)
"""What stands at the end of the chapter."""

_BEFORE_FLIGHT = "nothing of a flight is worked out without a motor and its thrust table"


def flight_pages(about: About) -> tuple[Block, ...]:
    """The chapter.

    Args:
        about: the design.
    """
    motors = flown_with(about)
    checks = flight_checks(about.figures)
    return (
        Heading("Flight and loads, with every limit's source", 1),
        Words(NOT_A_CLEARANCE, "caution"),
        Words(
            "Everything here is computed, not measured: one stage, straight up in still air unless it says otherwise, "
            f"below the speed of sound. Of {len(checks)} checks {counted(checks)}."
        ),
        *(_compared(about, motors) if len(motors) > 1 else ()),
        *(block for one in motors for block in _motor(about, one)),
        *(() if motors else _nothing(about)),
        *_two_rules(about, motors),
        *check_tables(checks, [one.name for one in motors]),
        Together(
            (
                Heading("What is not modelled", 2),
                Words(f"{capital(', '.join(NOT_MODELLED))}."),
                Heading("Cautions", 2),
                Bullets(CAUTIONS),
            )
        ),
    )


def _nothing(about: About) -> Iterator[Block]:
    yield Heading("Flight: not stated", 2)
    told = f" Enter next: {spoken(about.figures['next'])}." if about.figures["next"] else ""
    yield Words(f"{capital(_BEFORE_FLIGHT)}. Enter the motor as [[motor]] in the design file.{told}")


# --- motors beside each other -----------------------------------------------------------------------------------------


def _compared(about: About, motors: Sequence[FlownWith]) -> Iterator[Block]:
    """The choice among several motors: the usual rails stand beside each other."""
    rows = tuple(_compared_row(one) for one in about.figures["compared"])
    usual = usual_rails()
    head = (
        "Motor",
        "Margin at liftoff [cal.]",
        "at burnout [cal.]",
        "Mean thrust over weight",
        *(f"Speed off a {_metres(one.length)} rail [m/s]" for one in usual),
        "Apogee [m]",
        "Delay wanted [s]",
        "to be had [s]",
    )
    shares = (0.18, 0.09, 0.1, 0.09, *(0.09,) * len(usual), 0.09, 0.09, 0.09)
    yield Together(
        (
            Heading("Motors compared", 2),
            Table(head, rows, shares=shares, right=tuple(range(1, len(head)))),
            Words(COUNTS, "strong"),
        )
    )
    missing = [one for one in motors if one.flight["not_stated"]]
    if missing:
        yield Bullets(tuple(f"{one.name}: not stated: {spoken(one.flight['not_stated'])}." for one in missing))


def _compared_row(one: Mapping[str, Any]) -> tuple[str, ...]:
    speeds = [number(row["speed_m_per_s"], 1) for row in one["exit_speeds"]]
    return (
        one["motor"],
        number(one["margin_at_liftoff_cal"], 2),
        number(one["margin_at_burnout_cal"], 2),
        number(one["mean_thrust_to_weight"], 1),
        *(speeds or [NOT_STATED] * len(usual_rails())),
        number(one["apogee_m"], 0),
        number(one["delay_wanted_s"], 1),
        ", ".join(f"{delay:g}" for delay in one["delays_stated_s"]) or NOT_STATED,
    )


# --- one motor --------------------------------------------------------------------------------------------------------


def _motor(about: About, one: FlownWith) -> Iterator[Block]:
    # A page that comes loose still says of which motor it is.
    of = f", {one.name}" if len(about.figures["motors"]) > 1 else ""
    yield Together((Heading(f"Flight with {one.name}", 2), *_main(one)))
    yield from _rails(about, one, of)
    yield from _delays(one, of)
    yield from _down(one, of)
    yield from _wind(one, of)
    yield from _bands(one, of)
    yield from _method(one, of)
    yield from _charts(about, one)


def _main(one: FlownWith) -> Iterator[Block]:
    flight = one.flight
    if flight["not_stated"]:
        yield Words(f"Flight not stated: {spoken(flight['not_stated'])}.", "strong")
        return
    burnout = (flight["burnout_time_s"], flight["burnout_height_m"], flight["burnout_speed_m_per_s"])
    yield Figures(
        (
            (f"Mass at liftoff, {one.basis}", one.mass),
            ("Mean thrust over weight", one.mean_ratio),
            (f"Rail exit speed, {one.rails}", one.exit_speeds),
            ("Apogee above the ground", one.apogee),
            ("Greatest speed", f"{flight['greatest_speed_m_per_s']:.0f} m/s, Mach {flight['greatest_mach']:.2f}"),
            ("Greatest acceleration, felt", f"{flight['greatest_acceleration_g']:.1f} g"),
            ("Burnout", "{:.2f} s, {:,.0f} m, {:.0f} m/s".format(*burnout)),
            ("Delay wanted, from burnout", "none: burns at the apogee" if _burns_on(flight) else one.delay_wanted),
            ("Descent rate at the ground", one.descent_rate),
        )
    )
    yield Words(COUNTS, "strong")


def _burns_on(flight: Mapping[str, Any]) -> bool:
    return flight["delay_wanted_s"] is None


def _rails(about: About, one: FlownWith, of: str) -> Iterator[Block]:
    found = leaving(about, one.name)
    rows = tuple(
        (
            about.lengths.both(row.rail.length, 0),
            about.lengths.number(row.travel, 0),
            number(row.forward.speed if row.forward else None, 1),
            number(row.aft.speed if row.aft else None, 1),
        )
        for row in found
    )
    if not rows:
        return
    head = (
        "Rail",
        f"Guided travel [{about.lengths.first}]",
        "Speed, forward button leaving [m/s]",
        "Aft button, for information [m/s]",
    )
    reasons = dict.fromkeys(row.reason for row in found if row.reason)
    told = [f"not stated: {spoken(reason)}" for reason in reasons]
    winds = [row["wind_for_one_calibre_m_per_s"] for row in one.exits if row["wind_for_one_calibre_m_per_s"]]
    told += [f"the margin is down to 1 calibre in a wind of {min(winds):.1f} m/s at the rail's end"] if winds else []
    told += ["no drag, no friction of the buttons"] if any(row.forward for row in found) else []
    strong = tuple(index for index, row in enumerate(found) if row.rail.is_stated)
    told += ["in bold the rail of the design"] if strong else ["rails as usual: the design states none"]
    table = Table(head, rows, right=(1, 2, 3), strong=strong)
    yield Together((Heading(f"Rails{of}", 3), table, Words(f"{capital('; '.join(told))}.", "small")))


def leaving(about: About, motor: str) -> tuple[Leaving, ...]:
    """The rocket with one motor on its own rail and on the usual ones, the shortest first."""
    design = about.design
    own = rails(design.entries)
    stated = [one for one in own if one.is_stated]
    lengths = {one.length for one in stated}
    some = [*stated, *(one for one in usual_rails(own[0].stand_off) if one.length not in lengths)]
    some.sort(key=lambda one: one.length)
    chosen = [one for one in design.motors if one.name == motor]
    return leaving_the_rail(design.rocket, design.loadings, chosen, some)


def _delays(one: FlownWith, of: str) -> Iterator[Block]:
    rows = one.delays["rows"]
    if not rows:
        return
    cells = tuple(
        (
            f"{row['delay_s']:.1f}",
            number(row["time_s"], 1),
            *(
                ("on the ground", "", "", "")
                if row["on_the_ground"]
                else (
                    number(row["height_m"], 0),
                    f"{row['speed_m_per_s']:.1f}{way_words(row)}",
                    number(row["fastest_m_per_s"], 1),
                    number(row["lowest_m"], 0),
                )
            ),
        )
        for row in rows
    )
    strong = tuple(index for index, row in enumerate(rows) if row["stated"])
    head = (
        "Delay [s]",
        "After ignition [s]",
        "Height [m]",
        "Speed [m/s]",
        "Fastest within the tolerance [m/s]",
        "Lowest then [m]",
    )
    off = dict.fromkeys(f"{row['tolerance_s']:.1f} s, {row['tolerance_source']}" for row in rows)
    told = [f"Tolerance, either way: {'; '.join(off)}."]
    told += ["In bold the delays that the motor is to be had with."] if strong else []
    told += [f"Delays of {one.delays['window']}."] if one.delays["window"] else []
    yield Together(
        (
            Heading(f"Delays{of}", 3),
            Words(f"{COUNTS[:-1]}. What the parachute meets:", "strong"),
            Table(head, cells, right=(1, 2, 3, 4, 5), strong=strong),
            Words(" ".join(told), "small"),
        )
    )


def _down(one: FlownWith, of: str) -> Iterator[Block]:
    found = one.descent
    yield Heading(f"Under the parachute{of}", 3)
    if found["not_stated"]:
        yield Words(f"Not stated: {spoken(found['not_stated'])}.")
        return
    yield Words(
        f"{found['mass_g']:,.0f} g come down on a drag area of {found['drag_area_m2']:.3f} m2: "
        f"{found['first_speed_m_per_s']:.1f} m/s where it opens at the apogee, {found['speed_m_per_s']:.1f} m/s at "
        f"the ground, {found['time_s']:.0f} s in all, {found['energy_j']:.0f} J at touchdown."
    )


def _wind(one: FlownWith, of: str) -> Iterator[Block]:
    """Drift, and what the wind does on the way up, for each wind."""
    drift = {row["wind_m_per_s"]: row for row in one.drift["rows"]}
    tilted = {row["wind_m_per_s"]: row for row in one.in_wind["rows"]}
    winds = sorted({*drift, *tilted})
    if not winds:
        return
    rows = tuple(
        (
            f"{wind:g}",
            *(number(drift[wind][key] if wind in drift else None, 0) for key in ("under_parachute_m", "radius_m")),
            *(number(tilted[wind][key] if wind in tilted else None, 0) for key in ("upwind_m", "apogee_m")),
            number(tilted[wind]["air_speed_at_apogee_m_per_s"] if wind in tilted else None, 0),
        )
        for wind in winds
    )
    head = (
        "Steady wind [m/s]",
        "Drift under the parachute [m]",
        "May land within, about [m]",
        "Into the wind on the way up [m]",
        "Apogee then [m]",
        "Air speed there [m/s]",
    )
    words = (
        "The last three are bounds, no predictions: the rocket turns into the wind at once as it leaves the rail, "
        "which is about the most that it can. Wind the same at every height; gusts and shear are left out. A parachute "
        "that opens late or drifts in rising air goes further."
    )
    yield Together(
        (
            Heading(f"In the wind{of}", 3),
            Table(head, rows, right=tuple(range(1, len(head)))),
            Words(words, "small"),
        )
    )


def _bands(one: FlownWith, of: str) -> Iterator[Block]:
    if one.bands is None or not one.bands["rows"]:
        return
    rows = tuple(
        (
            f"{capital(row['quantity'])} [{row['unit']}]",
            *(_value(row, row[key]) for key in ("value", "least", "greatest")),
            "\n".join(_effect(row, effect) for effect in row["effects"]),
        )
        for row in one.bands["rows"]
    )
    head = ("How sure it is", "Value", "Least", "Greatest", "Of that: each by itself, low and high")
    notes = [f"{note}." for note in one.bands["notes"]]
    yield Together(
        (
            Heading(f"How sure the figures are{of}", 3),
            Words(
                "Each input low and high by itself, the flight worked out again; effects add up as the root of the "
                "sum of their squares. No confidence is claimed.",
                "small",
            ),
            Table(head, rows, shares=(0.24, 0.11, 0.11, 0.11, 0.43), right=(1, 2, 3)),
            *((Words(" ".join(notes), "small"),) if notes else ()),
            *((Words(COUNTS, "small"),) if any("coast" in row["quantity"] for row in one.bands["rows"]) else ()),
        )
    )


def _value(row: Mapping[str, Any], value: float | None) -> str:
    return number(value, 0 if row["unit"] == "m" else 1)


def _effect(row: Mapping[str, Any], effect: Mapping[str, Any]) -> str:
    told = ["does not fly" if one is None else _signed(row, one) for one in (effect["at_low"], effect["at_high"])]
    return f"{effect['cause']}: {', '.join(told)}"


def _signed(row: Mapping[str, Any], value: float) -> str:
    words = _value(row, abs(value))
    return words if not words.strip("0.,") else f"{'-' if value < 0.0 else '+'}{words}"


def _method(one: FlownWith, of: str) -> Iterator[Block]:
    flight = one.flight
    if flight["not_stated"]:
        return
    told = [
        f"{capital(flight['method'])}.",
        f"Drag on a reference area of {flight['reference_area_mm2']:,.0f} mm2: {flight['drag_source']}.",
        *(f"{capital(note)}." for note in flight["notes"]),
    ]
    yield Together((Heading(f"How it was worked out{of}", 3), Words(" ".join(told), "small")))


def _charts(about: About, one: FlownWith) -> Iterator[Block]:
    design = about.design
    flights = {found.motor.name: found.flight for found in design.flights}
    titles = {
        f"predicted flight with {one.name}": f"Flight with {one.name}, chart",
        f"margin through the burn of {one.name}": f"Margin through the burn of {one.name}, chart",
    }
    for chart in flight_charts(design, about.figures, flights, about.failed):
        page = chart.drawn.page
        if page.what in titles:
            yield DrawnPage(chart.drawn.items(), page.width, page.height, titles[page.what])


# --- two rules --------------------------------------------------------------------------------------------------------


def _two_rules(about: About, motors: Sequence[FlownWith]) -> Iterator[Block]:
    """The two rules for the start that contradict each other, beside each other, and why."""
    if not motors:
        return
    rules = about.design.rules
    ratio, speed = rules["thrust_to_weight"], rules["rail_exit_speed"]
    checks = {one["name"]: one for one in about.figures["checks"]}
    left, right = [], []
    for one in motors:
        mean, at_exit = checks.get(f"mean thrust over weight, {one.name}"), checks.get(f"rail exit speed, {one.name}")
        left.append((one.name, *_found(mean)))
        right.append((one.name, *_found(at_exit)))
    shares = (0.36, 0.42, 0.22)
    yield Together(
        (
            Heading("Two rules for the start that contradict each other", 2),
            SideBySide(
                (
                    Words("Thrust over weight", "strong"),
                    Words(f"{capital(ratio.words())}. Source: {ratio.source}.", "small"),
                    Table(("Motor", "Found", "Status"), tuple(left), shares=shares),
                ),
                (
                    Words("Speed at the rail's end", "strong"),
                    Words(f"{capital(speed.words())}. Source: {speed.source}.", "small"),
                    Table(("Motor", "Found", "Status"), tuple(right), shares=shares),
                ),
            ),
            Words(f"Why: {_why(about, motors)}"),
        )
    )


def _found(check: Mapping[str, Any] | None) -> tuple[str, str]:
    if check is None:
        return NOT_STATED, "not stated"
    return check["value"] or NOT_STATED, check["status"].replace("-", " ")


def _why(about: About, motors: Sequence[FlownWith]) -> str:
    """The speed that the usual ratio gives on the rail of the design, and the ratio that the usual speed asks for."""
    wanted_ratio, wanted_speed = (
        about.design.rules[name].warn_below for name in ("thrust_to_weight", "rail_exit_speed")
    )
    exits = [row for one in motors for row in one.exits if (row["guided_travel_mm"] or 0.0) > 0.0]
    told = "the first asks how hard it pushes, the second how fast it is when nothing guides it any more"
    if wanted_ratio is not None and wanted_speed is not None and exits:
        row = exits[0]
        speed = math.sqrt(2.0 * (wanted_ratio - 1.0) * GRAVITY * row["guided_travel_mm"] / 1000.0)
        needed = wanted_speed**2 / (2.0 * GRAVITY * row["guided_travel_mm"] / 1000.0) + 1.0
        told += (
            f". On a rail of {_metres(row['rail_length_mm'])} with {about.lengths.both(row['guided_travel_mm'], 0)} of "
            f"guided travel a steady {wanted_ratio:g} times the weight gives {speed:.1f} m/s; "
            f"{wanted_speed:g} m/s asks for {needed:.1f} times (v = sqrt(2 (n - 1) g s))"
        )
    return f"{told}. The speed decides whether fins steer it; the range safety officer decides whether it flies."


# --- words ------------------------------------------------------------------------------------------------------------


def _metres(length: float) -> str:
    return f"{length / 1000.0:g} m"
