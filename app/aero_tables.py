"""Tables of the report about the air: what each item adds, the balance through the burn, and angles and speeds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from .aero_figures import ANGLES
from .lengths import Lengths
from .markdown_table import both, length, number, table
from .wording import sentence

SHOWN_MACHS = (0.0, 0.4, 0.8)
"""Mach numbers of the printed table [-]; the summary has more."""


def contribution_table(figures: dict[str, Any], lengths: Lengths) -> str:
    """What each item adds to mass, centre of gravity, normal force and centre of pressure."""
    found, unit = figures["contributions"], lengths.first
    rows = [
        (
            row["name"],
            number(row["mass_g"], 1),
            _percent(row["mass_share"]),
            length(lengths, row["cg_share_mm"]),
            _signed(lengths, row["cg_shift_mm"]),
            _percent(row["cn_alpha_share"]) if row["cn_alpha_per_rad"] else "",
            length(lengths, row["cp_share_mm"]) if row["cp_share_mm"] else "",
            _signed(lengths, row["cp_shift_mm"]) if row["cn_alpha_per_rad"] or row["cp_share_mm"] else "",
            _plus(row["margin_shift_cal"], 2),
        )
        for row in found["items"]
    ]
    rows.append(
        (
            "**all**",
            number(found["mass_g"], 1),
            _percent(1.0 if found["mass_g"] is not None else None),
            length(lengths, found["cg_mm"]),
            "",
            _percent(1.0) if found["cn_alpha_per_rad"] else "",
            length(lengths, found["cp_mm"]),
            "",
            "",
        )
    )
    head = (
        "Item",
        "Mass [g]",
        "of all mass [%]",
        f"of the CG [{unit}]",
        f"moves the CG aft by [{unit}]",
        "of CN_alpha [%]",
        f"of the CP [{unit}]",
        f"moves the CP aft by [{unit}]",
        "adds to the margin [calibres]",
    )
    words = (
        f"The rocket {_state(found['motor'])}. Shares are moments about the nose tip over the whole, and add up. What "
        "an item moves is the whole less the whole without its mass and its force, which does not add up. Minus is "
        "forward. By the parts alone, as predicted."
    )
    return f"## What each item adds\n\n{table(head, rows)}\n\n{words}"


def margin_band_table(figures: dict[str, Any]) -> str:
    """What estimated masses leave open of the margin; empty where it is not stated or nothing is estimated."""
    found = figures["margin_band"]
    if found is None or not found["items"]:
        return ""
    rows = [
        (
            row["name"],
            number(row["mass_g"], 1),
            f"{number(row['mass_low_g'], 1)} to {number(row['mass_high_g'], 1)}",
            _percent(row["share"]),
            _plus(row["margin_gain_at_low_cal"], 3),
            _plus(row["margin_gain_at_high_cal"], 3),
        )
        for row in found["items"]
    ]
    head = (
        "Item",
        "Mass [g]",
        "Usual [g]",
        "of all bands [%]",
        "margin gains at the least [calibres]",
        "at the greatest [calibres]",
    )
    words = (
        f"The rocket {_state(found['motor'])}. All at once, as bad and as good as they can be: a margin of "
        f"{number(found['margin_least_cal'], 2)} to {number(found['margin_greatest_cal'], 2)} calibres. Counted: "
        f"{found['counted']}. Weigh first what leaves most open."
    )
    return f"## What is not weighed yet\n\n{table(head, rows)}\n\n{words}"


def burn_table(figures: dict[str, Any], lengths: Lengths) -> str:
    """The balance through the burn; empty without a motor, or while a mass is not stated."""
    burns = [burn for burn in figures["burns"] if burn["steps"]]
    if not burns:
        return ""
    rows = [
        (
            burn["motor"],
            _percent(step["burnt"], 0),
            number(step["mass_g"], 0),
            length(lengths, step["cg_mm"]),
            number(step["margin_cal"], 2),
            number(step["margin_percent_of_length"], 1),
        )
        for burn in burns
        for step in burn["steps"]
    ]
    head = (
        "Motor",
        "Propellant burnt [%]",
        "Mass [g]",
        f"CG [{lengths.first}]",
        "Margin [calibres]",
        "Margin [% of length]",
    )
    return f"## Balance through the burn\n\n{table(head, rows)}\n\n{sentence(burns[0]['assumption'])}"


def turning_table(figures: dict[str, Any]) -> str:
    """How strongly the rocket turns back into the wind; empty where nothing of it is known."""
    known = [one for one in figures["loadings"] if one["restoring_slope_per_rad"] is not None]
    if not known:
        return ""
    rows = [
        (
            " at ".join(filter(None, (one["motor"], one["name"]))),
            number(one["restoring_slope_per_rad"], 1),
            number(one["swing_length_m"], 1),
            number(one["damping_ratio"], 3),
        )
        for one in known
    ]
    head = ("Loading", "CN_alpha x margin [1/rad]", "Flown in one swing [m]", "Damping over critical [-]")
    notes = dict.fromkeys(note for one in known for note in one["swing_notes"])
    lines = [
        f"- {sentence(known[0]['swing_method'])} Swings a second at a speed: that speed over the length of one swing.",
        *(f"- Note: {note}." for note in notes),
    ]
    return f"## Turning back\n\n{table(head, rows)}\n\n" + "\n".join(lines)


def pressure_rows(figures: dict[str, Any], lengths: Lengths) -> str:
    """Centre of pressure and normal force against angle of attack and Mach number; empty without a body."""
    found = figures["pressure"]
    if found is None:
        return ""
    points = {(point["angle_deg"], point["mach"]): point for point in found["points"]}
    rows = [
        (
            f"{angle:g}",
            *(length(lengths, points[angle, mach]["cp_mm"]) for mach in SHOWN_MACHS),
            *(number(points[angle, mach]["margin_cal"], 2) for mach in SHOWN_MACHS),
            *(number(points[angle, mach]["cn"], 2) for mach in SHOWN_MACHS),
        )
        for angle in ANGLES
    ]
    head = (
        "Angle of attack [deg]",
        *(f"CP at Mach {mach:g} [{lengths.first}]" for mach in SHOWN_MACHS),
        *(f"Margin at Mach {mach:g} [calibres]" for mach in SHOWN_MACHS),
        *(f"CN at Mach {mach:g} [-]" for mach in SHOWN_MACHS),
    )
    words = (
        f"- {found['method']}.",
        f"- Margin {_state(found['motor'])}.",
        *(f"- Note: {note}." for note in found["notes"]),
    )
    return f"## Angles and speeds\n\n{table(head, rows)}\n\n" + "\n".join(words)


def two_methods_rows(body: dict[str, Any], lengths: Lengths) -> Iterator[tuple[str, str]]:
    """Rows of the body's table: the other method's centre of pressure, and the side view."""
    if body["cp_1307_mm"] is not None:
        apart = body["cp_1307_less_1966_mm"]
        yield (
            "CP with the factors of NACA Report 1307, for comparison",
            f"{both(lengths, body['cp_1307_mm'])}, {both(lengths, abs(apart))} {'aft' if apart >= 0.0 else 'forward'}",
        )
        yield "CN_alpha with them", number(body["cn_alpha_1307_per_rad"], 2, "per radian")
    if body["side_area_mm2"] is not None:
        yield (
            "Side view of the body without fins",
            f"{number(body['side_area_mm2'] / 100.0, 0, 'cm2')}, middle at {both(lengths, body['side_centroid_mm'])}",
        )


def class_rows(figures: dict[str, Any]) -> Iterator[str]:
    """A line for each motor whose impulse is known: its class and the band of certification, as data."""
    for motor in figures["motors"]:
        name, source = motor["impulse_class"], motor["impulse_class_source"]
        if name is None:
            if source is not None:
                yield f"- {motor['name']}: {source}."
            continue
        band = motor["certification_band"]
        into, note = 100.0 * motor["impulse_class_share"], f"; {band['note']}" if band["note"] else ""
        yield (
            f"- {motor['name']}: class {name} by its thrust table, {into:.0f} % into it; {source}. "
            f"{sentence(band['name'])[:-1]} is {band['first']} to {band['last']}: {band['source']}, "
            f"{band['mark']}{note}. The motor's label and the association's current code decide."
        )


def _percent(share: float | None, digits: int = 1) -> str:
    return number(None if share is None else 100.0 * share, digits)


def _signed(lengths: Lengths, value: float | None) -> str:
    """A shift [mm] with its sign."""
    if value is None:
        return length(lengths, None)
    return f"{'-' if value < 0.0 else '+'}{lengths.number(abs(value))}"


def _plus(value: float | None, digits: int) -> str:
    # Nothing is added to turn a zero with a minus into one without.
    return number(None, digits) if value is None else f"{round(value, digits) + 0.0:+.{digits}f}"


def _state(motor: str | None) -> str:
    return f"with {motor} at liftoff" if motor else "without a motor"
