"""Moments of inertia: of every item about the whole's centre of gravity, and of the whole in each state."""

from __future__ import annotations

from typing import Any

from ..analysis.mass import MassProperties, inertia_about, mass_properties
from ..analysis.rocket import Item
from .markdown_table import number, table

ABOUT = {
    "inertia_g_mm2": "each tensor about the centre of gravity of its own row, cg_mm",
    "inertia_about_rocket_g_mm2": "each item about the centre of gravity of all items together, without a motor, "
    "rocket_cg_mm; these add up to the tensor of the whole",
    "axes": "x aft along the axis, y towards the rail line (roll 0), z completes a right-handed frame",
    "sign": "[[Ixx, Ixy, Ixz], [Ixy, Iyy, Iyz], [Ixz, Iyz, Izz]] with Ixx = integral of (y^2 + z^2) dm and "
    "Ixy = minus the integral of x y dm",
}
"""How the tensors are to be read."""

_M2 = 1e6
"""Square millimetres in a square metre."""


def inertia_figures(whole: MassProperties | None) -> dict[str, Any]:
    """How the tensors are to be read, and the point that those about the rocket are taken about.

    Args:
        whole: everything together, without a motor; None while that is not stated.
    """
    return {**ABOUT, "rocket_cg_mm": list(whole.cg) if whole else None}


def about_rocket(item: Item, whole: MassProperties | None) -> dict[str, Any]:
    """Inertia of an item about the centre of gravity of everything, without a motor; None while that is not stated."""
    own = mass_properties(item)
    found = None if own is None or whole is None else [list(row) for row in inertia_about(own, whole.cg)]
    return {"inertia_about_rocket_g_mm2": found}


def inertia_section(figures: dict[str, Any]) -> str:
    """Roll and pitch inertia of the whole in each state; empty where none is known."""
    known = [one for one in figures["loadings"] if one["inertia_g_mm2"] is not None]
    if not known:
        return ""
    rows = [
        (
            " at ".join(filter(None, (one["motor"], one["name"]))),
            *(number(one["inertia_g_mm2"][axis][axis] / _M2, 3) for axis in range(3)),
        )
        for one in known
    ]
    head = ("Loading", "Roll, Ixx [g m2]", "Pitch, Iyy [g m2]", "Pitch, Izz [g m2]")
    words = (
        "About the centre of gravity of each state; 1 g m2 = 0.001 kg m2. Iyy is about the radius that points to "
        "the rail line, Izz about the one square to it. Paint, glue and masses at a place count as points on the axis, "
        "so roll is a little larger in fact."
    )
    if figures["body"]["cg_measured"]:
        words += " No balance test measures them: they are those of the parts, scaled by the measured mass."
    return f"## Moments of inertia\n\n{table(head, rows)}\n\n{words}"
