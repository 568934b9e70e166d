"""Invented parts whose templates the tests lay out and measure."""

from __future__ import annotations

import math

from ferrule.parts.curve import Line, Point
from ferrule.parts.marks import Arrow, CentreMark, Diameter, Dimension, Guide, Label, Mark
from ferrule.parts.shape import Outline, circle, hole, polygon
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.paper import Paper
from ferrule.parts.sheets.sheet import Sheet
from ferrule.parts.sheets.template import template_sheets

RING_OUTSIDE = 65.7
RING_BORE = 31.2
RING_HOLE = 5.5
RING_HOLE_AT = (RING_OUTSIDE + RING_BORE) / 4.0

FIN_POINTS: tuple[Point, ...] = (
    (0.0, 0.0),
    (15.0, 0.0),
    (15.0, -18.4),
    (105.0, -18.4),
    (105.0, 0.0),
    (120.0, 0.0),
    (110.0, 58.0),
    (50.0, 58.0),
)


def fin(
    root: float = 120.0,
    tip: float = 60.0,
    span: float = 58.0,
    sweep: float = 50.0,
    tab: float = 90.0,
    depth: float = 18.4,
    tab_at: float = 15.0,
) -> tuple[Outline, tuple[Mark, ...]]:
    """A trapezoidal fin with a tab, root leading edge at the origin; sizes in [mm]."""
    points = (
        (0.0, 0.0),
        (tab_at, 0.0),
        (tab_at, -depth),
        (tab_at + tab, -depth),
        (tab_at + tab, 0.0),
        (root, 0.0),
        (sweep + tip, span),
        (sweep, span),
    )
    lean = math.atan2(span, sweep)

    def inside(share: float, by: float) -> Point:
        return (sweep * share + by * math.sin(lean), span * share - by * math.cos(lean))

    marks: tuple[Mark, ...] = (
        Dimension((0.0, 0.0), (root, 0.0), away=-(depth + 10.0), words="root"),
        Dimension((sweep, span), (sweep + tip, span), words="tip"),
        Dimension((root, 0.0), (sweep + tip, span), away=-8.0 - max(0.0, sweep + tip - root), words="span", along="up"),
        Dimension((tab_at, -depth), (tab_at + tab, -depth), away=4.5, words="tab"),
        Dimension((tab_at, 0.0), (tab_at, -depth), away=-15.0, words="depth"),
        Label("LEADING EDGE", inside(0.5, 4.0), lean),
        Label("TRAILING EDGE", ((root + sweep + tip) / 2.0 - 5.5, span / 2.0), math.atan2(span, sweep + tip - root)),
        Label("TIP", (sweep + tip / 2.0, span - 3.0)),
        Label("ROOT: the tube lies along this line", (root / 2.0, 3.0)),
        Guide((Line((tab_at, 0.0), (tab_at + tab, 0.0)),)),
        Arrow("grain", inside(0.15, 13.0), inside(0.85, 13.0), heads=2),
        Arrow("forward", (root * 0.72, span * 0.4), (root * 0.72 - 25.0, span * 0.4)),
    )
    return Outline(polygon(points)), marks


def large_fin() -> tuple[Outline, tuple[Mark, ...]]:
    """A fin that takes six pages."""
    return fin(root=420.0, tip=200.0, span=260.0, sweep=180.0, tab=300.0, tab_at=60.0)


def long_fin() -> tuple[Outline, tuple[Mark, ...]]:
    """A fin that fits one page only where its figures are moved inside."""
    return fin(root=165.0, tip=80.0, span=75.0, sweep=90.0, tab=110.0, tab_at=20.0)


def ring() -> tuple[Outline, tuple[Mark, ...]]:
    """A centring ring with two anchor holes."""
    at = RING_HOLE_AT
    outline = Outline(
        circle(RING_OUTSIDE / 2.0),
        (hole(RING_BORE / 2.0), hole(RING_HOLE / 2.0, (at, 0.0)), hole(RING_HOLE / 2.0, (-at, 0.0))),
    )
    marks: tuple[Mark, ...] = (
        CentreMark((0.0, 0.0), RING_OUTSIDE / 2.0 + 4.0),
        CentreMark((at, 0.0), RING_HOLE / 2.0 + 2.5),
        CentreMark((-at, 0.0), RING_HOLE / 2.0 + 2.5),
        Diameter((0.0, 0.0), RING_OUTSIDE / 2.0, math.radians(40.0), 10.0, "outside"),
        Diameter((0.0, 0.0), RING_BORE / 2.0, math.radians(138.0), 26.0, "bore"),
        Diameter((at, 0.0), RING_HOLE / 2.0, math.radians(-50.0), 18.0, "2 x"),
        Dimension((-at, 0.0), (at, 0.0), away=-(RING_OUTSIDE / 2.0 + 8.0), words="hole to hole"),
        Label("RAIL SIDE", (0.0, RING_OUTSIDE / 2.0 + 7.0)),
    )
    return outline, marks


LABELS = {
    "long fin": TemplateLabel("Marram (invented)", "Long fin", 3, "birch plywood", 4.8, False, "5555-3c4d-5e6f"),
    "fin": TemplateLabel("Marram (invented)", "Fin", 4, "birch plywood", 4.0, True, "1a2b-3c4d-5e6f", "A, 2026-11-25"),
    "ring": TemplateLabel(
        "Marram (invented)",
        "Centring ring, forward",
        1,
        "birch plywood",
        6.0,
        False,
        "99aa-3c4d-5e6f",
        None,
        ("Sand the char off the rims before gluing.",),
    ),
    "large fin": TemplateLabel("Marram (invented)", "Large fin", 3, "birch plywood", 6.35, True, "7777-3c4d-5e6f", "A"),
}
PARTS = {"fin": fin, "long fin": long_fin, "ring": ring, "large fin": large_fin}


def sheets(name: str, paper: Paper, failed: tuple[str, ...] = ()) -> tuple[Sheet, ...]:
    """The template of one of the sample parts."""
    outline, marks = PARTS[name]()
    return template_sheets(outline, label=LABELS[name], paper=paper, marks=marks, failed_checks=failed)
