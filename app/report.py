"""The report for people: figures with their methods, checks with their sources, and the sums behind derived sizes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..parts.tables import clearances, material
from .cautions import CAUTIONS
from .design_file import Design
from .summary import failed_checks

NOT_STATED = "*not stated*"


def report(design: Design, figures: dict[str, Any], files: tuple[str, ...] = ()) -> str:
    """The report of a design as Markdown.

    Args:
        design: what to report on.
        figures: its summary.
        files: names of the files that were made, if any.
    """
    sections = [
        _head(figures),
        _balance(figures),
        _items(figures),
        _checks(figures),
        _sizes(design),
        _methods(figures, design),
        _files(files),
        "## Cautions\n\n" + "\n".join(f"- {caution}" for caution in CAUTIONS),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def _number(value: float | None, digits: int, unit: str = "") -> str:
    if value is None:
        return NOT_STATED
    return f"{value:,.{digits}f}{' ' + unit if unit else ''}"


def _head(figures: dict[str, Any]) -> str:
    failed = failed_checks(figures)
    lines = [f"# {figures['design']}: balance and stability"]
    if failed:
        lines.append(f"**CHECK FAILED: {', '.join(failed)}**")
    if figures["note"]:
        lines.append(figures["note"])
    about = [f"Fingerprint {figures['fingerprint']}"]
    about += [f"{word} {figures[word]}" for word in ("revision", "date") if figures[word]]
    lines.append(", ".join(about) + ". Stations count from the nose tip. **CG not measured.**")
    return "\n\n".join(lines)


def _balance(figures: dict[str, Any]) -> str:
    total, margin = figures["total"], figures["stability"]
    cg = total["cg_mm"][0] if total["cg_mm"] else None
    rows = [
        ("Length", _number(total["length_mm"], 0, "mm")),
        ("Reference diameter (largest of the body)", _number(total["reference_diameter_mm"], 1, "mm")),
        ("Mass, as listed below", _number(total["mass_g"], 0, "g")),
        ("Centre of gravity (CG), predicted", _number(cg, 0, "mm")),
        ("Centre of pressure (CP)", _number(total["cp_mm"], 0, "mm")),
        ("Static margin", _number(margin["margin_cal"], 2, "calibres")),
        ("Static margin, of the length", _number(margin["margin_percent_of_length"], 1, "%")),
        ("Normal-force slope CN_alpha", _number(total["cn_alpha_per_rad"], 2, "per radian")),
    ]
    return _table(("Figure", "Value"), rows)


def _items(figures: dict[str, Any]) -> str:
    rows = [
        (
            item["name"],
            str(item["quantity"]),
            _number(item["mass_g"], 1),
            item["mass_basis"],
            _number(item["cg_mm"][0] if item["cg_mm"] else None, 1),
            _number(item["cn_alpha_per_rad"], 3) if item["cn_alpha_per_rad"] else "",
            _number(item["cp_mm"], 1) if item["cp_mm"] is not None else "",
        )
        for item in figures["items"]
    ]
    head = ("Item", "Pieces", "Mass [g]", "Mass is", "CG [mm]", "CN_alpha [1/rad]", "CP [mm]")
    return "## Items\n\n" + _table(head, rows)


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
    return "## Checks\n\n" + _table(("Status", "Check", "Value", "Held to", "Source"), rows)


def _sizes(design: Design) -> str:
    rows = [
        (name, field.replace("_", " "), f"{size.value:.2f} mm", size.sum)
        for name, sizes in design.derived.items()
        for field, size in sizes.items()
    ]
    if not rows:
        return ""
    return "## Sizes that follow from the tubes\n\n" + _table(("Part", "Size", "Value", "Sum"), rows)


def _methods(figures: dict[str, Any], design: Design) -> str:
    lines = [f"- Margin: {figures['stability']['method']}; {figures['stability']['loading']}."]
    methods = {item["cp_method"]: None for item in figures["items"] if item["cp_method"]}
    lines += [f"- {method}." for method in methods]
    lines += [f"- Note: {note}." for note in figures["stability"]["notes"]]
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


def _table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    lines = [head, tuple("---" for _ in head), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines)
