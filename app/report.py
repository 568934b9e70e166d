"""The report for people: figures with their methods, checks with their sources, and the sums behind derived sizes."""

from __future__ import annotations

from typing import Any

from ..parts.hardware import hardware
from ..parts.tables import clearances, material
from .aero_tables import (
    burn_table,
    class_rows,
    contribution_table,
    margin_band_table,
    pressure_rows,
    turning_table,
    two_methods_rows,
)
from .areas import areas_section
from .balance_section import balance_section
from .cautions import cautions
from .design import Design
from .entries import AnchorEntry, HarnessEntry, JointEntry, ParachuteEntry
from .flight_tables import flight_section
from .inertia import inertia_section
from .lengths import Lengths
from .markdown_table import NOT_STATED, both, length, number, table
from .rail_tables import rail_section
from .summary import basis_words, failed_checks, unmeasured


def report(design: Design, figures: dict[str, Any], files: tuple[str, ...] = ()) -> str:
    """The report of a design as Markdown.

    Args:
        design: what to report on.
        figures: its summary.
        files: names of the files that were made, if any.
    """
    lengths = Lengths(design.settings.units)
    sections = [
        _head(figures),
        _loadings(figures, lengths),
        balance_section(figures, lengths),
        _body(figures, lengths),
        _items(figures, lengths),
        contribution_table(figures, lengths),
        margin_band_table(figures),
        burn_table(figures, lengths),
        turning_table(figures),
        inertia_section(figures),
        pressure_rows(figures, lengths),
        rail_section(figures, lengths),
        flight_section(figures),
        _motors(figures, lengths),
        _recovery(design, lengths),
        areas_section(figures, lengths),
        _checks(figures),
        _tubes(design, lengths),
        _sizes(design, lengths),
        _methods(figures, design),
        _files(files),
        "## Cautions\n\n" + "\n".join(f"- {caution}" for caution in cautions(not unmeasured(figures))),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def _head(figures: dict[str, Any]) -> str:
    failed = failed_checks(figures)
    lines = [f"# {figures['design']}: balance, stability and flight"]
    if failed:
        lines.append(f"**CHECK FAILED: {', '.join(failed)}**")
    if figures["note"]:
        lines.append(figures["note"])
    about = [f"Fingerprint {figures['fingerprint']}"]
    about += [f"{word} {figures[word]}" for word in ("revision", "date") if figures[word]]
    left = unmeasured(figures)
    of = f": {', '.join(left)}" if figures["body"]["cg_measured"] else ""
    predicted = f" **CG not measured{of}.**" if left else ""
    lines.append(f"{', '.join(about)}. Stations count from the nose tip.{predicted}")
    if figures["next"]:
        lines.append(f"Next: {figures['next']}.")
    return "\n\n".join(lines)


def _loadings(figures: dict[str, Any], lengths: Lengths) -> str:
    unit, measured = lengths.first, figures["body"]["cg_measured"]
    rows = [
        (
            " at ".join(filter(None, (one["motor"], one["name"]))),
            number(one["mass_g"], 0),
            one["mass_basis"],
            length(lengths, one["cg_mm"][0] if one["cg_mm"] else None, 0),
            *((one["cg_basis"],) if measured else ()),
            length(lengths, one["cp_mm"], 0),
            number(one["margin_cal"], 2),
            number(one["margin_percent_of_length"], 1),
        )
        for one in figures["loadings"]
    ]
    head = (
        "Loading",
        "Mass [g]",
        "Mass is",
        *((f"CG [{unit}]", "CG is") if measured else (f"CG, predicted [{unit}]",)),
        f"CP [{unit}]",
        "Margin [calibres]",
        "Margin [% of length]",
    )
    return "## Balance\n\n" + table(head, rows)


def _body(figures: dict[str, Any], lengths: Lengths) -> str:
    body = figures["body"]
    rows = [
        ("Length", both(lengths, body["length_mm"], 0)),
        ("Reference diameter (largest of the body)", both(lengths, body["reference_diameter_mm"])),
        ("Centre of pressure (CP)", both(lengths, body["cp_mm"])),
        ("Normal-force slope CN_alpha", number(body["cn_alpha_per_rad"], 2, "per radian")),
        *two_methods_rows(body, lengths),
    ]
    return "## Body and fins\n\n" + table(("Figure", "Value"), rows)


def _items(figures: dict[str, Any], lengths: Lengths) -> str:
    rows = [
        (
            item["name"],
            item["kind"],
            str(item["quantity"]),
            number(item["estimated_mass_g"], 1),
            "" if item["measured_mass_g"] is None else number(item["measured_mass_g"], 1),
            "" if item["difference_percent"] is None else f"{item['difference_percent']:+.1f}",
            basis_words(item, lengths),
            length(lengths, item["cg_mm"][0] if item["cg_mm"] else None),
            number(item["cn_alpha_per_rad"], 3) if item["cn_alpha_per_rad"] else "",
            length(lengths, item["cp_mm"]) if item["cp_mm"] is not None else "",
        )
        for item in figures["items"]
    ]
    unit = lengths.first
    head = (
        "Item",
        "Kind",
        "Pieces",
        "Estimated [g]",
        "Measured [g]",
        "Difference [%]",
        "Mass is",
        f"CG [{unit}]",
        "CN_alpha [1/rad]",
        f"CP [{unit}]",
    )
    return "## Items, without a motor\n\n" + table(head, rows)


def _motors(figures: dict[str, Any], lengths: Lengths) -> str:
    if not figures["motors"]:
        return ""
    rows = [
        (
            motor["name"],
            f"{length(lengths, motor['diameter_mm'])} x {length(lengths, motor['length_mm'])}",
            length(lengths, motor["aft_end_mm"]),
            number(motor["loaded_mass_g"], 0),
            number(motor["empty_mass_g"], 0),
            number(motor["total_impulse_ns"], 1),
            number(motor["mean_thrust_n"], 1),
            number(motor["burn_time_s"], 2),
        )
        for motor in figures["motors"]
    ]
    unit = lengths.first
    head = (
        "Motor",
        f"Size [{unit}]",
        f"Aft end [{unit}]",
        "Loaded [g]",
        "Empty [g]",
        "Total impulse [N s]",
        "Mean thrust [N]",
        "Burn time [s]",
    )
    words = "Masses and thrust table as entered, from the motor maker's sheet; its instructions decide."
    classes = "\n".join(class_rows(figures))
    return "\n\n".join(filter(None, (f"## Motors\n\n{table(head, rows)}", words, classes)))


def _recovery(design: Design, lengths: Lengths) -> str:
    entries = {name: design.entries.get(name, ()) for name in ("joint", "anchor", "harness", "parachute")}
    joints = [
        (f"{one.between[0]} to {one.between[1]}", one.state, one.by or NOT_STATED)
        for one in entries["joint"]
        if isinstance(one, JointEntry)
    ]
    lines = [
        f"- Anchor {one.name}: on {one.on}, {one.material or NOT_STATED}; {_rating(one)}."
        for one in entries["anchor"]
        if isinstance(one, AnchorEntry)
    ]
    lines += [
        f"- Harness {one.name}: {both(lengths, one.length, 0)} long, tied to {', '.join(one.anchors)}."
        for one in entries["harness"]
        if isinstance(one, HarnessEntry)
    ]
    lines += [
        f"- Parachute {one.name}: diameter {both(lengths, one.diameter, 0)}, drag coefficient "
        f"{number(one.drag_coefficient, 2)} on the area of that diameter, on {one.harness or NOT_STATED}."
        for one in entries["parachute"]
        if isinstance(one, ParachuteEntry)
    ]
    if not joints and not lines:
        return ""
    tables = table(("Joint between", "State", "By"), joints) if joints else ""
    return "## Joints and recovery\n\n" + "\n\n".join(filter(None, (tables, "\n".join(lines))))


def _rating(anchor: AnchorEntry) -> str:
    """What the hardware tables say an anchor is rated for; only lifting eyes are."""
    rating = getattr(hardware(anchor.item), "rating", None) if anchor.item else None
    return str(rating or "rating not stated") + (
        " by its table; go by its maker's" if rating else "; go by its maker's"
    )


def _checks(figures: dict[str, Any]) -> str:
    order = {"fail": 0, "warn": 1, "not-stated": 2, "pass": 3}
    rows = [
        (
            check["status"].replace("-", " "),
            check["name"],
            check["value"] or NOT_STATED,
            check["limit"] + (f". {check['note']}" if check["note"] else ""),
            check["source"],
        )
        for check in sorted(figures["checks"], key=lambda check: order[check["status"]])
    ]
    return "## Checks\n\n" + table(("Status", "Check", "Value", "Held to", "Source"), rows)


def _tubes(design: Design, lengths: Lengths) -> str:
    """Every measured tube by its readings."""
    measured = design.measured_tubes
    if not measured:
        return ""
    unit = lengths.first
    rows = [
        (
            tube.name,
            *(_of_readings(lengths, found) for found in (tube.all_outside, tube.all_inside)),
            length(lengths, tube.ovality("outside"), 2),
            length(lengths, tube.mean_wall, 2),
            length(lengths, tube.strip_outside, 2),
            number(tube.linear_density, 0),
        )
        for tube in measured
    ]
    head = (
        "Tube",
        f"Outside: mean, smallest to largest [{unit}]",
        f"Inside: mean, smallest to largest [{unit}]",
        f"Largest less smallest outside [{unit}]",
        f"Wall [{unit}]",
        f"Outside by strip [{unit}]",
        "Linear density [g/m]",
    )
    return "## Tubes as measured\n\n" + table(head, rows)


def _of_readings(lengths: Lengths, found: tuple[float, ...]) -> str:
    mean = sum(found) / len(found)
    low, high = lengths.number(min(found), 2), lengths.number(max(found), 2)
    return f"{lengths.number(mean, 2)}, {low} to {high} ({len(found)} readings)"


def _sizes(design: Design, lengths: Lengths) -> str:
    rows = [
        (name, field.replace("_", " "), both(lengths, size.value, 2), size.sum)
        for name, sizes in design.derived.items()
        for field, size in sizes.items()
    ]
    if not rows:
        return ""
    return "## Sizes that follow from the tubes\n\n" + table(("Part", "Size", "Value", "Sum"), rows)


def _methods(figures: dict[str, Any], design: Design) -> str:
    body = figures["body"]
    lines = [f"- Margin: {body['margin_method']}; masses as they stand in the design file."]
    methods = {item["cp_method"]: None for item in figures["items"] if item["cp_method"]}
    lines += [f"- {method}." for method in methods]
    lines += [f"- CP for comparison: {body['cp_1307_method']}: {body['cp_1307_note']}."] if body["cp_1307_note"] else []
    lines += [f"- Note: {note}." for note in body["notes"]]
    rules = figures["limits"]
    lines.append(f"- Limits of the margin: {rules['name']}, {rules['date']}: {rules['note']}.")
    if rules["own_margin"]:
        lines.append(f"- In place of those, the design's own: {rules['own_margin']}.")
    if design.motors:
        lines.append("- Motors: uniform cylinders of their size, balanced at the middle of their length unless stated.")
    allowances = design.allowances
    if any(one is not None for one in (allowances.glue, allowances.glue_film, allowances.paint)):
        glue = f"glue {number(allowances.glue, 0, 'g')}"
        if allowances.glue_film is not None:
            film = f"a film of glue, {allowances.glue_film:g} g/m2 on the faces of glued joints"
            glue = film if allowances.glue is None else f"{glue} and {film}"
        paint = f"paint {number(allowances.paint, 0, 'g/m2')} on the exact area of skin and fins"
        lines.append(f"- Allowances, estimates until weighed: {glue}; {paint}.")
    used = {item.part.material for item in design.rocket.items if item.part and item.part.material}
    for name in sorted(used):
        row = material(name)
        lines.append(
            f"- Density of {name}: {row.density * 1e6:.0f} kg/m3, usually {row.low * 1e6:.0f} to {row.high * 1e6:.0f} "
            f"({row.source}; {row.mark})."
        )
    marks = sorted({row.mark for row in clearances().values()})
    lines.append(f"- Clearances: {', '.join(marks)}; each sum names its own.")
    return "## Methods and inputs\n\n" + "\n".join(lines)


def _files(files: tuple[str, ...]) -> str:
    if not files:
        return ""
    return "## Files\n\n" + "\n".join(f"- `{name}`" for name in files)
