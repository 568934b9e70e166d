"""Makes the charts of a design: for each motor its flight, its drag, its thrust and the margin through its burn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from ..analysis.aero.compressibility import HIGHEST_MACH
from ..analysis.drag_curve import DragCurve
from ..analysis.flight.deployment import COUNTED
from ..analysis.flight.result import Flight, NotFlown
from ..analysis.loading import BURNOUT, LIFTOFF, PREDICTED, Loading
from ..analysis.motor import Motor
from ..analysis.through_burn import EVENLY, through_burn
from ..parts.sheets import sheet
from . import flight_chart
from .burn_chart import STEPS, BurnChart
from .cautions import SHORT_CAUTION
from .chart_page import ChartPage
from .design import Design
from .drag_chart import SLOWEST, DragChart, Term
from .flight_chart import FlightChart
from .job import Say
from .manifest import Made, listed
from .names import slug
from .side_view import HEIGHT, WIDTH
from .thrust_chart import ThrustChart, told
from .whole import origin_of

FLIGHT_KIND, THRUST_KIND, BURN_KIND, DRAG_KIND = "flight chart", "thrust chart", "margin chart", "drag chart"
"""What the manifest calls them."""

PNG_DOTS = 150.0
"""Dots of an inch of the pictures [1/in]."""

_PREDICTED = f"Predicted, not measured. {SHORT_CAUTION}"
_FELT = "Acceleration as felt along the axis: 1 g at rest, 0 in free fall. Altitude above the pad."
_DATA = {
    "invented": "its thrust table is invented",
    "measured": "its thrust table was measured",
    "maker": "its thrust table is its maker's",
    None: "where its thrust table comes from is not stated",
}


class Drawn(Protocol):
    """A chart."""

    @property
    def page(self) -> ChartPage:
        """What stands round its strips."""

    def items(self) -> tuple[sheet.Item, ...]:
        """Everything on the sheet, in [mm] from its lower left corner."""


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart to be written.

    Attributes:
        kind: what the manifest calls it.
        stem: name of its file without the ending.
        drawn: the chart.
        proof: what the manifest says of it.
    """

    kind: str
    stem: str
    drawn: Drawn
    proof: dict[str, Any]


def flight_charts(
    design: Design,
    figures: Mapping[str, Any],
    flights: Mapping[str, Flight | NotFlown],
    failed: tuple[str, ...] = (),
    terms: Mapping[str, Sequence[Term]] | None = None,
) -> Iterator[Chart]:
    """The charts of a design, in the order of its motors.

    Args:
        design: the design.
        figures: its summary.
        flights: its flights by the motor's name; a motor that is not there, or has not flown, has no chart of a flight.
        failed: names of failed checks, stamped on each.
        terms: for a motor's name the terms of its drag, the lowest first.
    """
    head = _Head(design, figures, failed)
    for motor in design.motors:
        flown = flights.get(motor.name)
        if isinstance(flown, Flight):
            yield _flight(head, motor, flown)
            stacked = tuple((terms or {}).get(motor.name, ()))
            # One number for all speeds needs no chart.
            if stacked or len(flown.vehicle.drag.speeds) > 1:
                yield _drag(head, motor, flown, stacked)
        yield from _thrust(head, motor)
        yield from _burn(head, design, motor)


def make_flight_charts(
    design: Design,
    figures: Mapping[str, Any],
    flights: Mapping[str, Flight | NotFlown],
    folder: Path,
    formats: tuple[str, ...],
    failed: tuple[str, ...],
    say: Say,
    *,
    terms: Mapping[str, Sequence[Term]] | None = None,
    pictures: bool = False,
) -> list[Made]:
    """Write the charts of a design's flights, which come with `svg`.

    Args:
        design: the design.
        figures: its summary.
        flights: its flights by the motor's name.
        folder: where to.
        formats: which formats are made.
        failed: names of failed checks, stamped on each.
        say: told about each file.
        terms: for a motor's name the terms of its drag, the lowest first.
        pictures: whether a PNG lies beside each SVG.

    Raises:
        FerruleError: a file could not be made.
    """
    from ..parts.writers.drawing_png import write_drawing_png  # noqa: PLC0415
    from ..parts.writers.svg import write_drawing_svg  # noqa: PLC0415

    made: list[Made] = []
    wanted = [word for word, asked in (("svg", "svg" in formats), ("png", pictures or "png" in formats)) if asked]
    for chart in flight_charts(design, figures, flights, failed, terms) if wanted else ():
        page, items = chart.drawn.page, chart.drawn.items()
        title = f"{page.title}: {page.what}"
        for ending in wanted:
            path, proof = folder / f"{chart.stem}.{ending}", dict(chart.proof)
            if ending == "svg":
                write_drawing_svg(path, items, page.width, page.height, title)
            else:
                wide, high = write_drawing_png(path, items, page.width, page.height, title, PNG_DOTS)
                proof |= {"width_px": wide, "height_px": high}
            made.append(listed(path, chart.kind, origin_of(design, failed), proof))
            say(f"chart: {path.name}")
    return made


class _Head:
    """What stands over every chart of a design."""

    def __init__(self, design: Design, figures: Mapping[str, Any], failed: tuple[str, ...]) -> None:
        about = [f"fingerprint {figures['fingerprint']}"]
        about += [f"{word} {figures[word]}" for word in ("revision", "date") if figures[word]]
        self._about = ", ".join(about)
        self._name = design.name
        self._note = (design.head.note,) if design.head.note else ()
        self._stamp = f"CHECK FAILED: {'; '.join(failed)}" if failed else ""

    def page(
        self, size: tuple[float, float], what: str, lines: Sequence[str], foot: Sequence[str] = (_PREDICTED,)
    ) -> ChartPage:
        """The frame of one chart."""
        told = (self._about, *lines, *self._note)
        return ChartPage(*size, self._name, what, told, self._stamp, tuple(foot))

    def stem(self, word: str, motor: Motor) -> str:
        """Start of a file's name."""
        return f"{slug(self._name)}-{word}-{slug(motor.name)}"


def _flight(head: _Head, motor: Motor, flown: Flight) -> Chart:
    lines = (
        f"Motor {motor.name}, {_DATA[motor.data]}; liftoff mass {flown.vehicle.mass:,.0f} g.",
        _FELT,
        f"{_drag_words(flown.vehicle.drag)}.",
        f"Method: {flown.method}.",
        *_too_fast(flown),
    )
    foot = (f"Delay: {COUNTED}.", _PREDICTED)
    size = (flight_chart.WIDTH, flight_chart.HEIGHT)
    page = head.page(size, f"predicted flight with {motor.name}", lines, foot)
    proof = {"apogee_m": flown.apogee.height, "greatest_speed_m_per_s": flown.greatest_speed.value}
    return Chart(FLIGHT_KIND, head.stem("flight", motor), FlightChart(flown, page), proof)


def _too_fast(flown: Flight) -> tuple[str, ...]:
    mach = flown.greatest_mach.value
    if mach <= HIGHEST_MACH:
        return ()
    return (f"It reaches Mach {mach:.2f}: above Mach {HIGHEST_MACH:g} drag rises steeply, which is not modelled.",)


def _drag_words(drag: DragCurve) -> str:
    return f"Drag on a reference area of {drag.reference_area:,.0f} mm2: {drag.source}"


def _thrust(head: _Head, motor: Motor) -> Iterator[Chart]:
    if motor.thrust is None:
        return
    lines = (f"Motor {motor.name}: {_DATA[motor.data]}.", told(motor.thrust))
    foot = (f"The motor's label and its maker's instructions decide. {SHORT_CAUTION}",)
    page = head.page((WIDTH, HEIGHT), f"thrust of {motor.name}", lines, foot)
    proof = {"total_impulse_ns": motor.thrust.total_impulse, "mean_thrust_n": motor.thrust.mean}
    yield Chart(THRUST_KIND, head.stem("thrust", motor), ThrustChart(motor.thrust, page), proof)


def _burn(head: _Head, design: Design, motor: Motor) -> Iterator[Chart]:
    found = {one.name: one for one in design.loadings if one.motor == motor.name}
    liftoff, burnout = found.get(LIFTOFF), found.get(BURNOUT)
    if liftoff is None or burnout is None:
        return
    steps = through_burn(liftoff, burnout, STEPS)
    if not steps or any(one.margin_calibres is None for one in steps):
        return
    limit = design.rules["static_margin"]
    lines = (
        f"Motor {motor.name}, {_basis(liftoff, burnout)}. One calibre is the largest diameter of the body.",
        f"Assumed: {EVENLY}.",
        f"Limits: {limit.source}.",
    )
    page = head.page((WIDTH, HEIGHT), f"margin through the burn of {motor.name}", lines)
    proof = {"margin_at_liftoff_cal": steps[0].margin_calibres, "margin_at_burnout_cal": steps[-1].margin_calibres}
    yield Chart(BURN_KIND, head.stem("margin", motor), BurnChart(steps, motor.thrust, limit, page), proof)


def _basis(liftoff: Loading, burnout: Loading) -> str:
    if liftoff.basis == burnout.basis == PREDICTED:
        return "CG predicted by the parts, not measured"
    return f"CG at liftoff {liftoff.basis}, at burnout {burnout.basis}"


def _drag(head: _Head, motor: Motor, flown: Flight, terms: tuple[Term, ...]) -> Chart:
    drag, fastest = flown.vehicle.drag, max(flown.greatest_speed.value, 1.0)
    bands = "Terms of the coast, one upon the other; each word points into its band. " if terms else ""
    lines = (f"{_drag_words(drag)}.", f"{bands}Not drawn below {SLOWEST * fastest:.0f} m/s.")
    page = head.page((WIDTH, HEIGHT), f"drag coefficient with {motor.name}", lines)
    proof = {"reference_area_mm2": drag.reference_area, "terms": len(terms)}
    return Chart(DRAG_KIND, head.stem("drag", motor), DragChart(drag, terms, fastest, page), proof)
