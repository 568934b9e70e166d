"""The figures of a design as plain data: for JSON, for the report, and for other programs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from ..analysis.aero.normal_force import NormalForce
from ..analysis.balance_test import BalanceTest, aft_end, predicted_properties, reconciled
from ..analysis.limits import Limit, RuleProfile, rule_profile
from ..analysis.loading import PREDICTED, Loading
from ..analysis.mass import MassProperties, mass_properties, total
from ..analysis.motor import Motor
from ..analysis.rocket import Item
from ..analysis.stability import normal_forces
from ..analysis.weighed_items import compared
from ..parts.fingerprint import short
from ..parts.tubes import MeasuredTube
from .aero_figures import (
    burn_figures,
    contribution_figures,
    margin_band_figures,
    motor_class,
    pressure_table,
    seen_from_the_side,
    swinging,
    two_methods,
)
from .areas import bonded_figures, glue_notes, painted_figures
from .cautions import NOT_A_CLEARANCE
from .design import Design
from .flown_figures import flown_figures
from .inertia import about_rocket, inertia_figures
from .lengths import Lengths
from .next_entry import next_entry
from .rail_figures import rail_figures

SCHEMA = "ferrule/check/3"
"""Name and version of the layout of `summary`."""

METHOD = "static margin at small angles of attack, low subsonic: centre of pressure less centre of gravity"


def summary(design: Design) -> dict[str, Any]:
    """Figures of a design: every item, every loading, stability and checks, units in the names of the keys.

    What is not stated is None.
    """
    forces, whole = normal_forces(design.rocket), total(design.rocket)
    return {
        "schema": SCHEMA,
        "design": design.name,
        "note": design.head.note,
        "revision": design.settings.revision,
        "date": design.settings.date,
        "units": design.settings.units,
        "fingerprint": short(design.fingerprint),
        "tubes": [_tube(tube) for tube in design.measured_tubes],
        "items": [_item(item, forces.get(item.name)) | about_rocket(item, whole) for item in design.rocket.items],
        "inertia_about": inertia_figures(whole),
        "motors": [_motor(motor) for motor in design.motors],
        "body": _body(design),
        "loadings": [_loading(loading) | swinging(loading, design.air) for loading in design.loadings],
        "burns": burn_figures(design.loadings),
        "contributions": contribution_figures(design.contributions),
        "margin_band": margin_band_figures(design),
        "pressure": pressure_table(design.air, design.first_flown),
        "rail_exits": rail_figures(design),
        **flown_figures(design),
        "painted": painted_figures(design),
        "bonded": bonded_figures(design),
        "limits": _rules(rule_profile(design.settings.limits), design.own_margin),
        "balances": [_balance(design, test) for test in design.balances],
        "motors_by_balance": [asdict(one) for one in design.motors_by_balance],
        "checks": [asdict(check) for check in design.checks],
        "next": next_entry(design),
        "caution": NOT_A_CLEARANCE,
    }


def failed_checks(figures: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of the checks that fail, from a summary."""
    return tuple(check["name"] for check in figures["checks"] if check["status"] == "fail")


def unmeasured(figures: Mapping[str, Any]) -> tuple[str, ...]:
    """States that are flown and whose centre of gravity no balance test gives, from a summary."""
    states = [one for one in figures["loadings"] if one["motor"] is not None] or figures["loadings"]
    return tuple(
        " at ".join(filter(None, (one["motor"], one["name"]))) for one in states if one["cg_basis"] == PREDICTED
    )


def mass_figures(found: MassProperties | None) -> dict[str, Any]:
    """Mass, centre of gravity and inertia with their units, each None when not stated."""
    if found is None:
        return {"mass_g": None, "mass_basis": "not stated", "cg_mm": None, "inertia_g_mm2": None, "mass_method": None}
    return {
        "mass_g": found.mass,
        "mass_basis": found.basis,
        "cg_mm": list(found.cg),
        "inertia_g_mm2": [list(row) for row in found.inertia],
        "mass_method": found.method,
    }


def _force_figures(force: NormalForce | None) -> dict[str, Any]:
    return {
        "cn_alpha_per_rad": force.slope if force else None,
        "cp_mm": force.station if force else None,
        "cp_method": force.method if force else None,
    }


def _item(item: Item, force: NormalForce | None) -> dict[str, Any]:
    return {
        "name": item.name,
        "kind": item.kind,
        "quantity": item.quantity,
        "stations_mm": list(item.stations),
        **mass_figures(mass_properties(item)),
        **_compared(item),
        **_force_figures(force),
        "notes": list(force.notes) if force else [],
        "fingerprint": short(item.part.fingerprint()) if item.part else None,
    }


def _compared(item: Item) -> dict[str, Any]:
    """An item as estimated and as measured, all pieces together; the measured mass is used where `measured_used`."""
    found, weighing = compared(item), item.weighing
    return {
        "estimated_mass_g": found.estimated,
        "usual_mass_g": None if found.low is None else [found.low, found.high],
        "measured_mass_g": found.measured,
        "measured_pieces_g": list(weighing.masses) if weighing else [],
        "measured_used": found.is_used,
        "measured_for": weighing.made_for if weighing else None,
        "difference_percent": found.difference,
        "spread_percent": None if found.spread is None else 100.0 * found.spread,
        "estimated_cg_mm": found.estimated_cg,
        "measured_cg_mm": found.measured_cg,
        "flags": list(found.flags),
    }


def basis_words(item: Mapping[str, Any], lengths: Lengths) -> str:
    """Where the mass and the centre of gravity of an item come from, and what is to be looked at."""
    words = [str(item["mass_basis"]), *item["flags"]]
    if item["measured_used"] and item["measured_cg_mm"] is not None:
        words.append(f"CG as balanced, computed {lengths.one(item['estimated_cg_mm'])}")
    return "; ".join(words)


def _tube(tube: MeasuredTube) -> dict[str, Any]:
    return {
        "name": tube.name,
        "mean_outside_mm": tube.mean_outside,
        "smallest_outside_mm": tube.smallest_outside,
        "largest_outside_mm": tube.largest_outside,
        "mean_inside_mm": tube.mean_inside,
        "smallest_inside_mm": tube.smallest_inside,
        "largest_inside_mm": tube.largest_inside,
        "outside_out_of_round_mm": tube.ovality("outside"),
        "inside_out_of_round_mm": tube.ovality("inside"),
        "wall_mm": tube.mean_wall,
        "outside_by_strip_mm": tube.strip_outside,
        "linear_density_g_per_m": tube.linear_density,
    }


def _motor(motor: Motor) -> dict[str, Any]:
    thrust = motor.thrust
    return {
        "name": motor.name,
        "diameter_mm": motor.diameter,
        "length_mm": motor.length,
        "aft_end_mm": motor.aft_end,
        "loaded_mass_g": motor.loaded_mass,
        "empty_mass_g": motor.empty_mass,
        "total_impulse_ns": thrust.total_impulse if thrust else None,
        "mean_thrust_n": thrust.mean if thrust else None,
        "greatest_thrust_n": thrust.greatest if thrust else None,
        "burn_time_s": thrust.burn_time if thrust else None,
        **motor_class(motor),
    }


def _rules(profile: RuleProfile, own: Limit | None) -> dict[str, Any]:
    told = {"name": profile.name, "date": profile.date, "note": profile.note}
    return {**told, "own_margin": None if own is None else f"{own.words()}: {own.source}"}


def _body(design: Design) -> dict[str, Any]:
    found, glue = design.stability, glue_notes(design)
    return {
        "length_mm": found.length if found else None,
        "reference_diameter_mm": found.reference_diameter if found else None,
        **_force_figures(found.normal_force if found else None),
        **two_methods(design.air),
        **seen_from_the_side(design.air),
        "margin_method": METHOD,
        "cg_measured": design.is_balanced,
        "notes": [*(found.notes if found else ["no body or fins are stated"]), *glue],
    }


def _loading(loading: Loading) -> dict[str, Any]:
    return {
        "name": loading.name,
        "motor": loading.motor,
        **mass_figures(loading.mass),
        "cg_basis": loading.basis,
        "predicted_mass_g": loading.predicted.mass if loading.predicted else None,
        "predicted_cg_mm": list(loading.predicted.cg) if loading.predicted else None,
        "cp_mm": loading.centre_of_pressure,
        "margin_mm": loading.margin,
        "margin_cal": loading.margin_calibres,
        "margin_percent_of_length": loading.margin_percent,
    }


def _balance(design: Design, test: BalanceTest) -> dict[str, Any]:
    """A balance test beside the parts: what they do not explain, and where that must sit."""
    motor = next((one for one in design.motors if one.name == test.motor), None)
    predicted = predicted_properties(design.rocket, motor)
    between = reconciled(test, predicted, aft_end(design.rocket, motor))
    return {
        "state": test.state,
        "motor": test.motor,
        "mass_g": test.mass,
        "cg_mm": test.cg,
        "predicted_mass_g": predicted.mass if predicted else None,
        "predicted_cg_mm": predicted.cg[0] if predicted else None,
        "measured_for": test.made_for,
        "fingerprint": test.now,
        "used": test.is_current,
        "unexplained_mass_g": between.mass if between else None,
        "unexplained_station_mm": between.station if between else None,
        "possible": between.is_possible if between else None,
        "words": between.words if between else "the mass of an item is not stated, so nothing can be compared",
    }
