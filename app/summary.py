"""The figures of a design as plain data: for JSON, for the report, and for other programs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from ..analysis.aero.normal_force import NormalForce
from ..analysis.loading import Loading
from ..analysis.mass import MassProperties, mass_properties
from ..analysis.motor import Motor
from ..analysis.rocket import Item
from ..analysis.stability import Stability, normal_forces
from ..parts.fingerprint import short
from ..parts.tubes import MeasuredTube
from .cautions import NOT_A_CLEARANCE
from .design import Design
from .next_entry import next_entry

SCHEMA = "ferrule/check/2"
"""Name and version of the layout of `summary`."""

METHOD = "static margin at small angles of attack, low subsonic: centre of pressure less centre of gravity"


def summary(design: Design) -> dict[str, Any]:
    """Figures of a design: every item, every loading, stability and checks, units in the names of the keys.

    What is not stated is None.
    """
    forces = normal_forces(design.rocket)
    return {
        "schema": SCHEMA,
        "design": design.name,
        "note": design.head.note,
        "revision": design.settings.revision,
        "date": design.settings.date,
        "units": design.settings.units,
        "fingerprint": short(design.fingerprint),
        "tubes": [_tube(tube) for tube in design.measured_tubes],
        "items": [_item(item, forces.get(item.name)) for item in design.rocket.items],
        "motors": [_motor(motor) for motor in design.motors],
        "body": _body(design.stability),
        "loadings": [_loading(loading) for loading in design.loadings],
        "checks": [asdict(check) for check in design.checks],
        "next": next_entry(design),
        "caution": NOT_A_CLEARANCE,
    }


def failed_checks(figures: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of the checks that fail, from a summary."""
    return tuple(check["name"] for check in figures["checks"] if check["status"] == "fail")


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
        "estimated_mass_g": _estimate(item),
        **_force_figures(force),
        "notes": list(force.notes) if force else [],
        "fingerprint": short(item.part.fingerprint()) if item.part else None,
    }


def _estimate(item: Item) -> float | None:
    """Mass by shape and density of what was weighed: the scale counts, and both are shown; None for all else."""
    if not item.weighed or item.stated_mass is None or item.part is None:
        return None
    found = mass_properties(replace(item, stated_mass=None, weighed=False))
    return found.mass if found else None


def basis_words(item: Mapping[str, Any]) -> str:
    """Where the mass of an item comes from, and what was estimated where it was weighed."""
    estimate = item["estimated_mass_g"]
    return str(item["mass_basis"]) if estimate is None else f"{item['mass_basis']}, estimate {estimate:.1f}"


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
    }


def _body(found: Stability | None) -> dict[str, Any]:
    return {
        "length_mm": found.length if found else None,
        "reference_diameter_mm": found.reference_diameter if found else None,
        **_force_figures(found.normal_force if found else None),
        "margin_method": METHOD,
        "cg_measured": False,
        "notes": list(found.notes) if found else ["no body or fins are stated"],
    }


def _loading(loading: Loading) -> dict[str, Any]:
    return {
        "name": loading.name,
        "motor": loading.motor,
        **mass_figures(loading.mass),
        "cp_mm": loading.centre_of_pressure,
        "margin_mm": loading.margin,
        "margin_cal": loading.margin_calibres,
        "margin_percent_of_length": loading.margin_percent,
    }
