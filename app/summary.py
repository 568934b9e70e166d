"""The figures of a design as plain data: for JSON, for the report, and for other programs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..analysis.aero.normal_force import NormalForce
from ..analysis.checks import checks
from ..analysis.limits import Check
from ..analysis.mass import MassProperties, mass_properties
from ..analysis.rocket import Item
from ..analysis.stability import Stability, normal_forces
from ..parts.fingerprint import short
from .design_file import Design

SCHEMA = "ferrule/check/1"
"""Name and version of the layout of `summary`."""


def summary(design: Design) -> dict[str, Any]:
    """Figures of a design: every item, totals, stability and checks, units in the names of the keys.

    What is not stated is None.
    """
    found = design.stability()
    forces = normal_forces(design.rocket)
    return {
        "schema": SCHEMA,
        "design": design.name,
        "note": design.head.note,
        "revision": design.head.revision,
        "date": design.head.date,
        "fingerprint": short(design.fingerprint()),
        "items": [_item(item, forces.get(item.name)) for item in design.rocket.items],
        "total": _total(found),
        "stability": _stability(found),
        "checks": [_check(check) for check in checks(design.rocket, found, design.fits)],
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
        **_force_figures(force),
        "notes": list(force.notes) if force else [],
        "fingerprint": short(item.part.fingerprint()) if item.part else None,
    }


def _total(found: Stability | None) -> dict[str, Any]:
    return {
        "length_mm": found.length if found else None,
        "reference_diameter_mm": found.reference_diameter if found else None,
        **mass_figures(found.mass if found else None),
        **_force_figures(found.normal_force if found else None),
    }


def _stability(found: Stability | None) -> dict[str, Any]:
    return {
        "margin_mm": found.margin if found else None,
        "margin_cal": found.margin_calibres if found else None,
        "margin_percent_of_length": found.margin_percent if found else None,
        "method": "static margin at small angles of attack, low subsonic: centre of pressure less centre of gravity",
        "loading": "everything in the design file, as it stands there",
        "cg_measured": False,
        "notes": list(found.notes) if found else ["no body or fins are stated"],
    }


def _check(check: Check) -> dict[str, Any]:
    return {
        "name": check.name,
        "status": check.status,
        "value": check.value,
        "limit": check.limit,
        "source": check.source,
        "note": check.note,
    }
