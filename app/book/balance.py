"""Mass and balance: estimated beside measured, what each item adds, the margin through the burn, and what moves it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...parts.sheets.blocks import Block, DrawnPage, Heading, Table, Together, Words
from ..contribution_chart import contribution_chart
from ..lengths import NOT_STATED
from ..side_view import HEIGHT, WIDTH
from ..summary import basis_words
from .about import About


def balance(about: About, moves: Sequence[str] = ()) -> tuple[Block, ...]:
    """The chapter.

    Args:
        about: the design.
        moves: what moves the least margin, one line each.
    """
    return (
        Heading("Mass and balance", 1),
        Words(
            "Masses as they stand in the design file; what was weighed wins over what is estimated. Stations count "
            "from the nose tip. The centre of pressure is computed, at small angles and low subsonic speed."
        ),
        _states(about),
        Heading("Item by item", 2),
        _items(about),
        Words(about.figures["body"]["margin_method"] + ".", "small"),
        *_burn(about),
        *_moves(moves),
        *_chart(about),
    )


def _states(about: About) -> Table:
    unit = about.lengths.first
    rows = tuple(
        (
            " at ".join(filter(None, (one["motor"], one["name"]))),
            _number(one["mass_g"], 0),
            about.lengths.number(one["cg_mm"][0]) if one["cg_mm"] else NOT_STATED,
            str(one["cg_basis"]),
            about.lengths.number(one["cp_mm"]),
            _number(one["margin_cal"], 2),
            _number(one["margin_percent_of_length"], 1),
        )
        for one in about.figures["loadings"]
    )
    head = (
        "State",
        "Mass [g]",
        f"CG [{unit}]",
        "CG is",
        f"CP [{unit}]",
        "Margin [calibres]",
        "Margin [% of length]",
    )
    return Table(head, rows, right=(1, 2, 4, 5, 6))


def _items(about: About) -> Table:
    lengths = about.lengths
    rows = tuple(
        (
            item["name"],
            str(item["quantity"]),
            _number(item["estimated_mass_g"], 1),
            "" if item["measured_mass_g"] is None else _number(item["measured_mass_g"], 1),
            "" if item["difference_percent"] is None else f"{item['difference_percent']:+.1f} %",
            basis_words(item, lengths),
            lengths.number(item["cg_mm"][0]) if item["cg_mm"] else NOT_STATED,
        )
        for item in about.figures["items"]
    )
    whole = about.figures["loadings"][0]
    total = (
        "all, without a motor",
        "",
        _number(whole["predicted_mass_g"], 1),
        "" if whole["cg_basis"] == "predicted" else _number(whole["mass_g"], 1),
        "",
        "",
        lengths.number(whole["cg_mm"][0]) if whole["cg_mm"] else NOT_STATED,
    )
    head = (
        "Item",
        "Pieces",
        "Estimated [g]",
        "Measured [g]",
        "Difference",
        "Mass is",
        f"CG [{lengths.first}]",
    )
    return Table(head, (*rows, total), right=(1, 2, 3, 4, 6), strong=(len(rows),))


def _burn(about: About) -> Iterator[Block]:
    burns = [burn for burn in about.figures["burns"] if burn["steps"]]
    if not burns:
        return
    rows = tuple(
        (
            burn["motor"],
            f"{100.0 * step['burnt']:.0f} %",
            _number(step["mass_g"], 0),
            about.lengths.number(step["cg_mm"]),
            _number(step["margin_cal"], 2),
        )
        for burn in burns
        for step in burn["steps"]
    )
    head = ("Motor", "Propellant burnt", "Mass [g]", f"CG [{about.lengths.first}]", "Margin [calibres]")
    yield Together((Heading("Margin through the burn", 2), Table(head, rows, right=(1, 2, 3, 4))))


def _moves(moves: Sequence[str]) -> Iterator[Block]:
    if not moves:
        return
    words = Words("Each worked out anew, all else as it stands; what moves it most stands first.")
    yield Together((Heading("What moves the margin", 2), words, Table((), tuple((line,) for line in moves))))


def _chart(about: About) -> Iterator[Block]:
    chart = contribution_chart(about.design, about.figures, about.failed)
    yield DrawnPage(chart.items(), WIDTH, HEIGHT, "What each item adds")


def _number(value: float | None, digits: int) -> str:
    return NOT_STATED if value is None else f"{value:.{digits}f}"
