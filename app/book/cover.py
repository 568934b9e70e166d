"""The cover: what rocket this is, in which state, what of its figures is measured, and its side view to scale."""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.loading import PREDICTED
from ...parts.sheets.blocks import Block, DrawnPage, Figures, Heading, Picture, Table, Words
from ..cautions import NOT_A_CLEARANCE
from ..lengths import NOT_STATED
from ..side_view import HEIGHT, WIDTH
from ..whole import side_view
from .about import About


def cover(about: About) -> tuple[Block, ...]:
    """The first pages: words and figures, and the side view on a page of its own."""
    return (
        Heading(f"{about.name}: build book", 1),
        *_whose(about),
        Words(NOT_A_CLEARANCE, "caution"),
        *_stamps(about),
        Figures(tuple(_figures(about)), columns=3),
        *((Picture(about.pictures["whole"], about.text_width, 75.0),) if "whole" in about.pictures else ()),
        Heading("Measured, estimated and not stated", 2),
        Table(("", "Measured", "Estimated, predicted or not stated"), tuple(_known(about)), shares=(0.22, 0.36, 0.42)),
        *side_view_page(about),
        *(
            DrawnPage(page.items, page.width, page.height, page.title, ((about.pictures[view], page.box),))
            for view, page in about.pages.items()
        ),
    )


def side_view_page(about: About) -> Iterator[Block]:
    """The side view, which lies on its long side."""
    if any(item.part is not None for item in about.design.rocket.items):
        view = side_view(about.design, about.figures, about.failed)
        yield DrawnPage(view.items(), WIDTH, HEIGHT, f"Side view, scale 1:{view.scale()}")


def _whose(about: About) -> Iterator[Block]:
    settings = about.design.settings
    told = [f"fingerprint {about.fingerprint}"]
    told += [f"revision {settings.revision}"] if settings.revision else []
    told += [settings.date] if settings.date else ["date not stated"]
    yield Words(", ".join(told), "large")
    if about.design.head.note:
        yield Words(about.design.head.note, "strong")


def _stamps(about: About) -> Iterator[Block]:
    if about.failed:
        yield Words(f"CHECK FAILED: {'; '.join(about.failed)}", "caution")


def _figures(about: About) -> Iterator[tuple[str, str]]:
    body, lengths = about.figures["body"], about.lengths
    yield "Overall length", lengths.both(body["length_mm"], 0)
    yield "Largest diameter, one calibre", lengths.both(body["reference_diameter_mm"])
    yield "CP from the nose tip, computed", lengths.both(body["cp_mm"])
    for one in about.figures["loadings"]:
        name = " at ".join(filter(None, (one["motor"], one["name"])))
        mass = NOT_STATED if one["mass_g"] is None else f"{one['mass_g']:.0f} g"
        yield f"Mass, {name}", mass
        cg = lengths.both(one["cg_mm"][0]) if one["cg_mm"] else NOT_STATED
        yield f"CG, {name} ({one['cg_basis'] if one['cg_basis'] == PREDICTED else 'by balance'})", cg
        # A body without fins is a design half written: its margin says nothing.
        known = one["margin_cal"] is not None and about.design.rocket.fin_sets
        margin = f"{one['margin_cal']:.2f} calibres" if known else NOT_STATED
        yield f"Static margin, {name}", margin


def _known(about: About) -> Iterator[tuple[str, str, str]]:
    design = about.design
    measured = [tube.name for tube in design.measured_tubes if tube.all_outside and tube.all_inside]
    others = [tube.name for tube in design.measured_tubes if tube.name not in measured]
    yield "Tubes", _listed(measured), _listed(others)
    items = about.figures["items"]
    weighed = [one["name"] for one in items if one["mass_basis"] == "weighed"]
    counts = {basis: sum(1 for one in items if one["mass_basis"] == basis) for basis in _UNWEIGHED}
    rest = [f"{count} {basis}" for basis, count in counts.items() if count]
    yield "Masses", _listed(weighed), f"{_listed(rest)}: see the table of masses"
    by_balance = [_state(one) for one in about.figures["loadings"] if one["cg_basis"] != PREDICTED]
    predicted = [_state(one) for one in about.figures["loadings"] if one["cg_basis"] == PREDICTED]
    yield "Balance point", _listed(by_balance), _listed([f"{one} (predicted)" for one in predicted])
    yield "CP", "none: it is computed", "from the shapes of this book; method in the chapter on balance"
    unknown = sum(1 for check in about.figures["checks"] if check["status"] == "not-stated")
    yield "Checks", "", f"{unknown} not stated, listed on the inspection sheet" if unknown else "all stated"


_UNWEIGHED = ("estimated", "stated", "not stated")
"""Where masses come from that no scale has seen."""


def _state(one: dict[str, str | None]) -> str:
    return " at ".join(filter(None, (one["motor"], one["name"])))


def _listed(names: list[str]) -> str:
    return ", ".join(names) or "none"
