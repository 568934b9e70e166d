"""The build record: as designed beside as built, with room to write; the second rocket starts from here."""

from __future__ import annotations

from collections.abc import Iterator

from ...parts.sheets.blocks import Blanks, Block, Heading, Table, Words
from .about import About


def build_record(about: About) -> tuple[Block, ...]:
    """The section."""
    unit = about.lengths.first
    return (
        Heading("Build record: as built", 2),
        Words(
            "Write what the scale and the rule say; `ferrule weigh` takes it into the design file, and every figure is "
            "worked out again."
        ),
        Table(
            ("Part", "Pieces", "Mass of one, designed [g]", "as built [g]", "Fits, glued, by whom, date"),
            tuple(_rows(about)),
            shares=(0.28, 0.09, 0.17, 0.16, 0.3),
            right=(1, 2),
            high=8.5,
        ),
        Table(
            (
                "Whole rocket",
                f"Designed: mass [g], CG [{unit}]",
                "As built: mass [g]",
                f"CG from the nose tip [{unit}]",
            ),
            tuple(_states(about)),
            shares=(0.34, 0.26, 0.2, 0.2),
            high=8.5,
        ),
        Blanks(("Glue used [g]", "Paint used [g]", "Overall length", "Built by", "Date finished", "Photographs at")),
    )


def _rows(about: About) -> Iterator[tuple[str, ...]]:
    for item in about.figures["items"]:
        pieces = int(item["quantity"])
        each = None if item["mass_g"] is None else item["mass_g"] / pieces
        yield item["name"], str(pieces), "not stated" if each is None else f"{each:.1f}", _measured(item, pieces), ""


def _measured(item: dict[str, float | None], pieces: int) -> str:
    mass = item["measured_mass_g"]
    return "" if mass is None else f"{mass / pieces:.1f}"


def _states(about: About) -> Iterator[tuple[str, ...]]:
    for one in about.figures["loadings"]:
        name = " at ".join(filter(None, (one["motor"], one["name"])))
        told = "not stated"
        if one["mass_g"] is not None and one["cg_mm"] is not None:
            told = f"{one['mass_g']:.0f}, {about.lengths.number(one['cg_mm'][0])}"
        yield name, told, "", ""
