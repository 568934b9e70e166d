"""The rail's exit in words: tables of the report, and the lines of `ferrule check`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from .lengths import NOT_STATED as MISSING
from .lengths import Lengths
from .markdown_table import NOT_STATED, length, number, table
from .wording import sentence


def rail_section(figures: Mapping[str, Any], lengths: Lengths) -> str:
    """Speeds at the rail's exit and the margin there in a wind; empty without a motor."""
    found = figures["rail_exits"]
    if not found:
        return ""
    parts = ["## Leaving the rail", _speeds(found, lengths)]
    for _, group in groupby(found, key=lambda one: one["motor"]):
        parts.append(_winds(tuple(group), lengths))
    parts.append("\n".join((*_reasons(found, lengths), *_notes(found, lengths))))
    return "\n\n".join(filter(None, parts))


def rail_lines(figures: Mapping[str, Any], lengths: Lengths) -> Iterator[str]:
    """A line for each motor: the speed at which it leaves the rail, or why that is not stated."""
    for motor, group in groupby(figures["rail_exits"], key=lambda one: one["motor"]):
        some = tuple(group)
        reasons = tuple(dict.fromkeys(one["not_stated"] for one in some))
        if len(reasons) == 1 and reasons[0] is not None:
            yield f"  {motor} at the rail's exit: {MISSING}: {reasons[0]}"
            continue
        told = "; ".join(_told(one, lengths) for one in some)
        yield f"  {motor} at the rail's exit, no drag, no friction: {told}"


def _told(one: Mapping[str, Any], lengths: Lengths) -> str:
    if one["not_stated"]:
        return f"{_rail(one, lengths)}: {one['not_stated']}"
    wind = one["wind_for_one_calibre_m_per_s"]
    calibre = "" if wind is None else f" (margin down to 1 calibre in a wind of {wind:.1f} m/s)"
    return f"{one['exit_speed_m_per_s']:.1f} m/s from {_rail(one, lengths)}{calibre}"


def _rail(one: Mapping[str, Any], lengths: Lengths) -> str:
    return f"a rail of {lengths.one(one['rail_length_mm'], 0)}"


def _speeds(found: Sequence[Mapping[str, Any]], lengths: Lengths) -> str:
    unit = lengths.first
    rows = [
        (
            one["motor"],
            length(lengths, one["rail_length_mm"], 0) + ("" if one["rail_stated"] else " (usual)"),
            length(lengths, one["guided_travel_mm"], 0),
            number(one["exit_speed_m_per_s"], 1),
            number(one["aft_button_speed_m_per_s"], 1),
            number(one["quarter_of_exit_speed_m_per_s"], 1),
            number(one["mean_thrust_to_weight"], 1),
            number(one["first_thrust_to_weight"], 1),
            number(one["thrust_to_weight_for_15_m_per_s"], 1),
            number(one["swings_per_s"], 2),
            number(one["damping_ratio"], 3),
        )
        for one in found
    ]
    head = (
        "Motor",
        f"Rail [{unit}]",
        f"Guided travel [{unit}]",
        "Speed, forward button leaving [m/s]",
        "aft button leaving [m/s]",
        "a quarter of the first [m/s]",
        "Mean thrust over weight [-]",
        "in the first 0.3 s [-]",
        "steady one for 15 m/s [-]",
        "Swings a second [Hz]",
        "Damping over critical [-]",
    )
    return table(head, rows)


def _winds(some: Sequence[Mapping[str, Any]], lengths: Lengths) -> str:
    known = [one for one in some if one["winds"]]
    if not known:
        return ""
    # Every rail has the same winds.
    rows = [
        (
            number(rows[0]["wind_m_per_s"], 1),
            *(cell for row in rows for cell in (number(row["angle_deg"], 1), number(row["margin_cal"], 2))),
        )
        for rows in zip(*(one["winds"] for one in known), strict=True)
    ]
    rows.append(("**1 calibre at**", *(cell for one in known for cell in ("", _calibre(one)))))
    head = (
        f"Wind, {known[0]['motor']} [m/s]",
        *(name for one in known for name in (f"Angle of attack, {_rail(one, lengths)} [deg]", "Margin [calibres]")),
    )
    return table(head, rows)


def _calibre(one: Mapping[str, Any]) -> str:
    wind = one["wind_for_one_calibre_m_per_s"]
    if wind is None:
        return f"above 1 up to {number(one['wind_stated_to_m_per_s'], 1, 'm/s')}"
    return number(wind, 1, "m/s")


def _reasons(found: Sequence[Mapping[str, Any]], lengths: Lengths) -> Iterator[str]:
    """What keeps a speed or a margin from being stated."""
    for one in found:
        for reason in dict.fromkeys(filter(None, (one["not_stated"], one["wind_not_stated"]))):
            yield f"- {one['motor']} on {_rail(one, lengths)}: {NOT_STATED}: {reason}."


def _notes(found: Sequence[Mapping[str, Any]], lengths: Lengths) -> Iterator[str]:
    if all(one["exit_speed_m_per_s"] is None for one in found):
        return
    yield f"- {sentence(found[0]['method'])}"
    stand_off = f"the rocket's aft end {lengths.both(found[0]['stand_off_mm'], 0)} over the foot of the rail"
    usual = (
        "" if found[0]["rail_stated"] else "; rails as usual (common practice): enter your own as `length` in [rail]"
    )
    yield f"- Rail: {stand_off}{usual}."
    yield from (f"- Note: {note}." for note in found[0]["notes"])
    shares = [one["drag_share"] for one in found if one["drag_share"] is not None]
    if shares:
        coefficient = found[0]["drag_coefficient_of_share"]
        yield f"- Drag would take about {_percents(shares)} of the speed at a drag coefficient of {coefficient:g}."
    yield (
        "- Limits of the speed and of thrust over weight contradict each other on a usual rail; the speed decides. "
        "A quarter of the speed is the most wind by another rule (from memory)."
    )
    for name in ("wind_notes", "swing_notes"):
        yield from (f"- Note: {note}." for note in dict.fromkeys(note for one in found for note in one[name]))
    rows = [row for one in found for row in one["winds"]]
    yield from (f"- Note: {note}." for note in dict.fromkeys(note for row in rows for note in row["notes"]))


def _percents(shares: Sequence[float]) -> str:
    low, high = (f"{100.0 * share:.2g}" for share in (min(shares), max(shares)))
    return f"{low} %" if low == high else f"{low} to {high} %"
