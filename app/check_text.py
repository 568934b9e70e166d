"""The answer of `ferrule check` for people: items, loadings, checks, and what to enter next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ..analysis.loading import PREDICTED
from .cautions import NOT_A_CLEARANCE
from .flight_tables import flight_lines
from .lengths import NOT_STATED, Lengths
from .rail_tables import rail_lines
from .summary import basis_words, unmeasured

_WIDEST_NAME = 34


def check_text(figures: Mapping[str, Any], with_items: bool = True) -> str:
    """A summary in words.

    Args:
        figures: the summary of a design.
        with_items: whether each item is listed.
    """
    lengths = Lengths(figures["units"])
    lines = [f"{figures['design']}, fingerprint {figures['fingerprint']}"]
    if with_items:
        lines += ["", *_items(figures["items"], lengths)]
    lines += ["", *_loadings(figures, lengths), ""]
    lines += [_check(one) for one in figures["checks"]]
    if figures["next"]:
        lines += ["", f"next: {figures['next']}"]
    return "\n".join([*lines, "", NOT_A_CLEARANCE])


def _items(items: Sequence[Mapping[str, Any]], lengths: Lengths) -> Iterator[str]:
    unit = lengths.first
    head = (
        "item",
        "pieces",
        "estimated [g]",
        "measured [g]",
        "difference",
        "mass is",
        f"CG [{unit}]",
        "CN_alpha",
        f"CP [{unit}]",
    )
    rows = [
        (
            item["name"],
            str(item["quantity"]),
            _of(item, "estimated_mass_g", 1, "-"),
            _of(item, "measured_mass_g", 1, "-"),
            "" if item["difference_percent"] is None else f"{item['difference_percent']:+.1f} %",
            str(item["mass_basis"]),
            lengths.number(item["cg_mm"][0]) if item["cg_mm"] else "-",
            f"{item['cn_alpha_per_rad']:.3f}" if item["cn_alpha_per_rad"] else "",
            "" if item["cp_mm"] is None else lengths.number(item["cp_mm"]),
        )
        for item in items
    ]
    yield from table((head, *rows), left=(0, 5))
    for item in items:
        # More words than a column has room for.
        if basis_words(item, lengths) != item["mass_basis"]:
            yield f"  {item['name']}: {basis_words(item, lengths)}"


def _loadings(figures: Mapping[str, Any], lengths: Lengths) -> Iterator[str]:
    body, unit = figures["body"], lengths.first
    yield f"  centre of pressure  {lengths.both(body['cp_mm'])} from the nose tip"
    yield f"  CN_alpha            {_of(body, 'cn_alpha_per_rad', 2)} per radian"
    yield f"  length              {lengths.both(body['length_mm'], 0)}"
    yield f"  reference diameter  {lengths.both(body['reference_diameter_mm'])}, the largest of the body"
    yield "  (slender-body theory and the 1966 report's fin equations; masses as they stand in the file)"
    if body["cp_1307_mm"] is not None:
        apart = body["cp_1307_less_1966_mm"]
        yield (
            f"  for comparison      {lengths.both(body['cp_1307_mm'])} with the factors of NACA Report 1307, "
            f"{lengths.one(abs(apart))} {'aft' if apart >= 0.0 else 'forward'}; the checks keep to the first"
        )
    for note in body["notes"]:
        yield f"  note: {note}"
    yield ""
    head = ("loading", "mass [g]", f"CG [{unit}]", "margin [calibres]", "margin [% of length]")
    rows = [
        (
            " at ".join(filter(None, (one["motor"], one["name"]))),
            _of(one, "mass_g", 0),
            lengths.number(one["cg_mm"][0]) if one["cg_mm"] else NOT_STATED,
            _of(one, "margin_cal", 2),
            _of(one, "margin_percent_of_length", 1),
        )
        for one in figures["loadings"]
    ]
    yield from table((head, *rows), left=(0,))
    yield from _measured(figures, lengths)
    yield from rail_lines(figures, lengths)
    yield from flight_lines(figures)


def _measured(figures: Mapping[str, Any], lengths: Lengths) -> Iterator[str]:
    """What was balanced, beside what was predicted."""
    if not figures["body"]["cg_measured"]:
        yield "  CG predicted: CG not measured"
    elif unmeasured(figures):
        yield f"  {', '.join(unmeasured(figures))}: CG predicted: CG not measured"
    for one in figures["loadings"]:
        if one["cg_basis"] != PREDICTED:
            predicted = ""
            if one["predicted_mass_g"] is not None and one["predicted_cg_mm"] is not None:
                cg = lengths.one(one["predicted_cg_mm"][0])
                predicted = f"; predicted {one['predicted_mass_g']:.0f} g, {cg}, and not used"
            name = " at ".join(filter(None, (one["motor"], one["name"])))
            yield f"  {name}: {one['cg_basis']}{predicted}"
    for test in figures["balances"]:
        old = f"balanced for an older rocket at {lengths.one(test['cg_mm'])}, and not used"
        yield f"  {test['state']}: {test['words'] if test['used'] else old}"
    for motor in figures["motors_by_balance"]:
        yield f"  {motor['words']}"


def _of(figures: Mapping[str, Any], key: str, digits: int, missing: str = NOT_STATED) -> str:
    return missing if figures[key] is None else f"{figures[key]:.{digits}f}"


def _check(one: Mapping[str, Any]) -> str:
    told = [one["value"]] if one["value"] else []
    if one["status"] != "pass":
        told.append(one["note"] or one["limit"])
    text = f"  {one['status'].replace('-', ' '):10}  {one['name']}: {'; '.join(told) or NOT_STATED}"
    if one["status"] != "pass":
        text += f" [{one['source']}]" if one["status"] in ("fail", "warn") else ""
    return text


def table(rows: Sequence[Sequence[str]], left: Sequence[int]) -> Iterator[str]:
    """Rows as columns of equal width, figures to the right.

    Args:
        rows: the head and the rows below it.
        left: numbers of the columns that hold words, which stand to the left.
    """
    cut = [[_cut(cell) for cell in row] for row in rows]
    widths = [max(len(cell) for cell in column) for column in zip(*cut, strict=True)]
    for row in cut:
        cells = [
            cell.ljust(width) if index in left else cell.rjust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        yield f"  {'  '.join(cells)}".rstrip()


def _cut(cell: str) -> str:
    return cell if len(cell) <= _WIDEST_NAME else f"{cell[: _WIDEST_NAME - 3]}..."
