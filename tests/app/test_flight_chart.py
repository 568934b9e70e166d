"""The charts of a flight: curves measured in the files against closed forms, and nothing that lies on anything else.

Scales are read off the files as a person does, from the numbers beside the strips.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from PIL import Image
from svgpathtools import parse_path
from typer.testing import CliRunner

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.drag.body import drag_body
from ferrule.analysis.drag.terms import drag_coefficients, drag_curve
from ferrule.analysis.drag_curve import DragCurve, stated_drag
from ferrule.analysis.flight.deployment import COUNTED
from ferrule.analysis.flight.fly import fly
from ferrule.analysis.flight.result import Flight, NotFlown
from ferrule.analysis.flight.vehicle import Vehicle
from ferrule.analysis.launch import Launch
from ferrule.analysis.limits import Limit, limits
from ferrule.analysis.motor import Thrust
from ferrule.analysis.rail_exit import GRAVITY
from ferrule.analysis.through_burn import BurnStep
from ferrule.app.burn_chart import BurnChart, burnt_at
from ferrule.app.chart_page import ChartPage
from ferrule.app.cli import app
from ferrule.app.design import Design
from ferrule.app.design_file import load
from ferrule.app.drag_chart import DragChart, Term, stacked_terms
from ferrule.app.flight_chart import HEIGHT, WIDTH, FlightChart, curves
from ferrule.app.make_flight_charts import flight_charts, make_flight_charts
from ferrule.app.strips import Flags, Moment, Strip
from ferrule.app.summary import summary
from ferrule.app.thrust_chart import ThrustChart
from ferrule.app.ticks import Axis, around, within
from ferrule.parts.marks import SMALLEST_TYPE, Pen
from ferrule.parts.sheets.sheet import WIDTHS, Box, Item, Solid, Text, Trace
from ferrule.parts.writers.svg import write_drawing_svg

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"
SPACE = "{http://www.w3.org/2000/svg}"
AREA = 3680.0

NO_DRAG = stated_drag(0.0, AREA, "none, for the closed form")
SOME_DRAG = DragCurve(
    AREA, (0.0, 50.0, 150.0, 272.0), (0.42, 0.40, 0.38, 0.41), (0.50, 0.48, 0.45, 0.49), "invented for the test"
)
BLOCK = Thrust((0.0, 1.5), (60.0, 60.0))
"""As long as it burns always the same."""
DEMO = Thrust((0.0, 0.04, 0.2, 0.6, 1.0, 1.3, 1.5, 1.6), (0.0, 125.0, 138.0, 126.0, 106.0, 88.0, 50.0, 0.0))
BLINK = Thrust((0.0, 0.01, 0.08, 0.1), (0.0, 3000.0, 2600.0, 0.0))
LONG = Thrust((0.0, 0.3, 1.0, 10.0, 28.0, 30.0), (0.0, 60.0, 45.0, 30.0, 25.0, 0.0))
HIGH = Thrust((0.0, 0.1, 6.0, 7.0), (0.0, 3000.0, 2500.0, 0.0))


def flown(thrust: Thrust, mass: float = 1225.0, propellant: float = 90.0, drag: DragCurve = SOME_DRAG) -> Flight:
    found = fly(Vehicle(mass, propellant, thrust, drag, 1415.0, 1600.0), Launch(), Atmosphere())
    assert isinstance(found, Flight)
    return found


def page(
    width: float = WIDTH, height: float = HEIGHT, lines: int = 4, stamp: str = "", title: str = "Marram"
) -> ChartPage:
    return ChartPage(width, height, title, "predicted flight", ("a line of words " * 12,) * lines, stamp, (COUNTED,))


class Read:
    """A chart's file as a person reads it: strips found by their frames, scales by the numbers beside them."""

    def __init__(self, path: Path) -> None:
        root = etree.parse(path).getroot()
        self.size = (root.get("width"), root.get("height"))
        high = float(root.get("height")[:-2])
        told = list(root.iter(f"{SPACE}text"))
        self.words = ["".join(one.itertext()) for one in told]
        self.level = [
            ("".join(one.itertext()), float(one.get("x")), high - float(one.get("y")))
            for one in told
            if one.get("transform") is None
        ]
        self.paths: list[tuple[str, np.ndarray]] = []
        for one in root.iter(f"{SPACE}path"):
            pieces = parse_path(one.get("d"))
            points = [piece.start for piece in pieces] + [pieces[-1].end]
            self.paths.append((one.get("stroke-width"), np.array([[p.real, high - p.imag] for p in points])))
        self.frames = sorted(
            (points for _, points in self.paths if len(points) >= 5 and self._is_frame(points)),
            key=lambda points: -points[:, 1].max(),
        )
        self.curves = [points for wide, points in self.paths if wide == f"{WIDTHS[Pen.CUT]:g}"]

    @staticmethod
    def _is_frame(points: np.ndarray) -> bool:
        return bool(np.allclose(points[0], points[-1]) and all(a == b or c == d for (a, c), (b, d) in pairwise(points)))

    def up(self, frame: np.ndarray) -> np.poly1d:
        """From a height on paper to a value, by the numbers at the left of a frame and their ticks."""
        left, low, high = frame[:, 0].min(), frame[:, 1].min(), frame[:, 1].max()
        ticks = [p[0, 1] for _, p in self.paths if len(p) == 2 and p[1, 0] == left and left - 2.0 < p[0, 0] < left]
        return self._fit(
            [(y, words) for words, x, y in self.level if left - 16.0 < x < left - 2.0 and low - 2.0 < y < high + 2.0],
            [y for y in ticks if low - 0.1 < y < high + 0.1],
        )

    def across(self) -> np.poly1d:
        """From a place across the paper to a value of the common scale, by the numbers below the lowest frame."""
        frame = self.frames[-1]
        left, right, low = frame[:, 0].min(), frame[:, 0].max(), frame[:, 1].min()
        ticks = [
            p[0, 0] for _, p in self.paths if len(p) == 2 and p[0, 1] == low and p[1, 1] == pytest.approx(low - 1.4)
        ]
        return self._fit(
            [
                (x + Text(words, (0.0, 0.0)).width / 2.0, words)
                for words, x, y in self.level
                if left - 5.0 < x < right + 1.0 and low - 6.0 < y < low - 3.0
            ],
            ticks,
        )

    @staticmethod
    def _fit(numbers: Sequence[tuple[float, str]], ticks: Sequence[float]) -> np.poly1d:
        values = []
        for place, words in numbers:
            tick = min(ticks, key=lambda one: abs(one - place))
            assert abs(tick - place) < 1.6, words
            values.append((tick, float(words.replace(",", ""))))
        places, read = zip(*values, strict=True)
        fit = np.poly1d(np.polyfit(places, read, 1))
        # The numbers are those of a straight scale.
        assert np.abs(fit(np.array(places)) - np.array(read)).max() < 1e-6 * max(np.abs(read)) + 1e-9
        return fit


def written(folder: Path, chart: Any) -> Read:
    write_drawing_svg(folder / "chart.svg", chart.items(), chart.page.width, chart.page.height, "trial")
    return Read(folder / "chart.svg")


def crosses(a: tuple[float, float], b: tuple[float, float], box: Box) -> bool:
    """Whether a straight line has a point within a rectangle (Liang and Barsky's clipping)."""
    t0, t1 = 0.0, 1.0
    for d, low, high, at in ((b[0] - a[0], box.left, box.right, a[0]), (b[1] - a[1], box.low, box.high, a[1])):
        if d == 0.0:
            if not low < at < high:
                return False
            continue
        ends = sorted(((low - at) / d, (high - at) / d))
        t0, t1 = max(t0, ends[0]), min(t1, ends[1])
    return t0 < t1


def check_page(items: Sequence[Item], width: float, height: float) -> None:
    """Everything lies on the page, no words on others, no line through any words, none smaller than 9 pt."""
    sheet = Box(0.0, 0.0, width, height)
    for item in items:
        assert sheet.holds(item.box()), item
    texts = [item for item in items if isinstance(item, Text) and item.words]
    assert all(text.size >= SMALLEST_TYPE for text in texts)
    boxes = [text.box().grown(-0.4) for text in texts]
    for index, box in enumerate(boxes):
        for other in range(index + 1, len(boxes)):
            assert not box.meets(boxes[other]), (texts[index].words, texts[other].words)
    for item in items:
        assert not isinstance(item, Solid)
        if isinstance(item, Trace):
            around_it = item.box().grown(1e-6)
            for box, text in zip(boxes, texts, strict=True):
                if box.meets(around_it):
                    assert not any(crosses(one.start, one.end, box) for one in item.pieces), text.words


@pytest.fixture(scope="module")
def marram() -> Design:
    return load(MARRAM)


@pytest.fixture(scope="module")
def figures(marram: Design) -> dict[str, Any]:
    return summary(marram)


# Curves


def test_curves_are_those_of_the_closed_form(tmp_path: Path) -> None:
    """Thrust F on a mass m that stays, without drag: h = (F/m - g) t^2 / 2 to burnout, then a throw upward."""
    mass, force, burn = 1.2, 60.0, 1.5
    read = written(tmp_path, FlightChart(flown(BLOCK, 1200.0, 0.0, NO_DRAG), page()))
    rise = force / mass - GRAVITY
    speed = rise * burn
    apogee = burn + speed / GRAVITY
    time = read.across()
    assert len(read.frames) == 4
    thrust, felt, fast, high = (
        (time(curve[:, 0]), read.up(frame)(curve[:, 1]), read.up(frame))
        for curve, frame in zip(read.curves, read.frames, strict=True)
    )
    for at, _, _ in (thrust, felt, fast, high):
        assert at[0] == pytest.approx(0.0, abs=1e-6)
        assert at[-1] == pytest.approx(apogee, rel=1e-6)
    closed = {
        "speed": (fast, lambda t: np.where(t < burn, rise * t, speed - GRAVITY * (t - burn))),
        "height": (
            high,
            lambda t: np.where(
                t < burn, rise * t**2 / 2.0, rise * burn**2 / 2.0 + speed * (t - burn) - GRAVITY * (t - burn) ** 2 / 2.0
            ),
        ),
    }
    moments = np.linspace(0.0, apogee, 5000)
    for (at, values, scale), wanted in closed.values():
        millimetre = abs(scale.coeffs[0])
        # At the points and between them.
        assert np.abs(values - wanted(at)).max() < 0.1 * millimetre
        assert np.abs(np.interp(moments, at, values) - wanted(moments)).max() < 0.1 * millimetre
    for (at, values, scale), level in ((thrust, force), (felt, force / mass)):
        inside, after = (at > 0.01) & (at < burn - 0.01), at > burn + 0.01
        assert np.abs(values[inside] - level).max() < 0.1 * abs(scale.coeffs[0])
        assert np.abs(values[after]).max() < 0.1 * abs(scale.coeffs[0])
    assert f"greatest {speed:.1f} m/s" in " ".join(read.words)
    assert any(words.startswith(f"apogee {rise * burn**2 / 2 + speed**2 / 2 / GRAVITY:,.0f} m") for words in read.words)


def test_curves_of_a_flight_with_drag_are_the_flight(tmp_path: Path) -> None:
    """Speed is the slope of height and acceleration that of speed, as central differences of the drawn curves find."""
    flight = flown(DEMO)
    read = written(tmp_path, FlightChart(flight, page()))
    time = read.across()
    felt, fast, high = (
        (time(curve[:, 0]), read.up(frame)(curve[:, 1]), abs(read.up(frame).coeffs[0]))
        for curve, frame in zip(read.curves[1:], read.frames[1:], strict=True)
    )
    moments = np.linspace(flight.times[0], flight.apogee.time, 3000)
    wanted = np.array([flight.height_speed_at(float(moment)) for moment in moments])
    assert np.abs(np.interp(moments, high[0], high[1]) - wanted[:, 0]).max() < 0.1 * high[2]
    assert np.abs(np.interp(moments, fast[0], fast[1]) - wanted[:, 1]).max() < 0.1 * fast[2]
    middle = (moments[1:] + moments[:-1]) / 2.0
    gained = np.diff(wanted[:, 1]) / np.diff(moments) + GRAVITY
    # Where the thrust turns a corner, a difference over the corner is no slope.
    clear = np.min(np.abs(middle[:, None] - np.asarray(DEMO.times)[None, :]), axis=1) > 0.01
    assert np.abs(np.interp(middle, felt[0], felt[1]) - gained)[clear].max() < 0.1 * felt[2]


def test_strips_share_one_axis_and_one_paper(tmp_path: Path) -> None:
    read = written(tmp_path, FlightChart(flown(DEMO), page()))
    assert read.size == ("210mm", "297mm")
    sides = {(round(frame[:, 0].min(), 6), round(frame[:, 0].max(), 6)) for frame in read.frames}
    assert len(read.frames) == 4
    assert len(sides) == 1
    heights = {round(np.ptp(frame[:, 1]), 6) for frame in read.frames}
    assert len(heights) == 1
    assert [word for word in read.words if word.endswith("]")] == [
        "Thrust [N]",
        "Acceleration [m/s2]",
        "Speed [m/s]",
        "Altitude [m]",
        "Time after ignition [s]",
    ]
    # Every moment is one dotted line through each strip, all at one place.
    dotted = [
        points
        for wide, points in read.paths
        if wide == f"{WIDTHS[Pen.LIMIT]:g}" and len(points) == 2 and np.ptp(points[:, 1]) > 20.0
    ]
    times = sorted(read.across()(np.array([points[0, 0] for points in dotted])))
    events = sorted(event.time for event in flown(DEMO).events for _ in range(4))
    assert times == pytest.approx(events, abs=1e-6)


def test_the_second_scale_counts_in_g() -> None:
    chart = FlightChart(flown(DEMO), page())
    felt = chart.strips()[1]
    assert felt.second is not None
    for mark in felt.second.axis.marks:
        assert felt.frame.low + felt.second.axis.share(mark) * (felt.frame.high - felt.frame.low) == pytest.approx(
            felt.y(mark * GRAVITY)
        )


def test_words_of_the_flight_chart(tmp_path: Path) -> None:
    flight = flown(DEMO)
    words = written(tmp_path, FlightChart(flight, page())).words
    told = " ".join(words)
    for event in flight.events:
        assert f"{event.name}, {event.time:.2f} s" in words
    assert "greatest 138.0 N at 0.20 s" in words
    top = flight.greatest_acceleration
    assert f"greatest {top.value:.1f} m/s2 ({top.value / GRAVITY:.1f} g) at {top.time:.2f} s" in told
    assert f"Mach {flight.greatest_mach.value:.2f}" in told
    assert f"{flight.coast_time:.1f} s after burnout" in told
    assert COUNTED in told


FLIGHTS = {
    "demo": (DEMO, 1225.0, 90.0),
    "a blink": (BLINK, 1500.0, 60.0),
    "long": (LONG, 2500.0, 600.0),
    "high": (HIGH, 20000.0, 8000.0),
}


@pytest.mark.parametrize("name", FLIGHTS)
@pytest.mark.parametrize(("lines", "stamp"), [(1, ""), (6, "CHECK FAILED: " + "; ".join(["static margin"] * 40))])
def test_nothing_lies_on_anything_else(name: str, lines: int, stamp: str) -> None:
    chart = FlightChart(flown(*FLIGHTS[name]), page(lines=lines, stamp=stamp, title="W" * 80))
    check_page(chart.items(), WIDTH, HEIGHT)


def test_many_moments_close_together() -> None:
    flight = flown(DEMO)
    event = flight.events[0]
    crowd = tuple(
        replace(event, name=f"moment number {number} of many", time=time)
        for number, time in enumerate((0.2, 0.2, 0.21, 0.22, 1.5, 1.55, 1.6, 1.6, 1.61, 9.0, 10.0, flight.apogee.time))
    )
    object.__setattr__(flight, "events", crowd)
    check_page(FlightChart(flight, page()).items(), WIDTH, HEIGHT)


@given(st.lists(st.tuples(st.floats(0.0, 10.0), st.integers(1, 60)), max_size=14))
@settings(max_examples=60)
def test_no_line_of_a_moment_crosses_the_words_of_another(moments: list[tuple[float, int]]) -> None:
    strip = Strip("", Box(33.0, 40.0, 183.0, 100.0), Axis(0.0, 10.0, 1.0), Axis(0.0, 1.0, 1.0))
    flags = Flags(strip, [Moment(x, "n" * long) for x, long in moments], 33.0, 196.0)
    items = tuple(flags.items((strip,), 101.0))
    check_page(items, 210.0, 101.0 + flags.height + 1.0)
    # Lines beside words stay apart, so that each can be followed down.
    beside_words = sorted(
        item.box().left
        for item in items
        if isinstance(item, Trace) and item.box().left == item.box().right and item.box().high > 105.5
    )
    assert len(beside_words) == len(moments)
    assert all(second - first > 2.0 for first, second in pairwise(beside_words))


# Round numbers


@given(st.floats(-1e9, 1e9), st.floats(1e-6, 1e9), st.integers(2, 12))
def test_axes_hold_their_values_and_carry_round_numbers(low: float, long: float, most: int) -> None:
    for axis in (around(low, low + long, most), within(low, low + long, most)):
        assert 0 < axis.step < math.inf
        digits = axis.step / 10.0 ** math.floor(math.log10(axis.step) + 1e-9)
        assert min(abs(digits - one) for one in (1.0, 2.0, 5.0)) < 1e-6
        assert len(axis.marks) <= most + 1
        assert axis.low < axis.high
        near = 1e-6 * max(abs(low), abs(low + long), long)
        assert axis.low <= low + near
        assert axis.high >= low + long - near


def test_round_numbers_as_they_are_printed() -> None:
    assert [around(-3.0, 91.0, 6).words(mark) for mark in (-20.0, 0.0, 100.0)] == ["-20", "0", "100"]
    assert [within(0.0, 0.12, 6).words(mark) for mark in within(0.0, 0.12, 6).marks] == [
        "0.00",
        "0.02",
        "0.04",
        "0.06",
        "0.08",
        "0.10",
        "0.12",
    ]
    assert around(0.0, 12_345.0, 4).words(15_000.0) == "15,000"
    assert around(0.0, 0.0, 4).marks[0] == 0.0


# The other charts


def test_the_area_under_the_drawn_thrust_is_the_impulse(tmp_path: Path) -> None:
    chart = ThrustChart(DEMO, page(297.0, 210.0))
    read = written(tmp_path, chart)
    (curve,), (frame,) = read.curves, read.frames
    times, forces = read.across()(curve[:, 0]), read.up(frame)(curve[:, 1])
    assert np.trapezoid(forces, times) == pytest.approx(DEMO.total_impulse, rel=1e-6)
    assert times == pytest.approx(DEMO.times, abs=1e-6)
    (mean,) = [points for wide, points in read.paths if wide == f"{WIDTHS[Pen.REFERENCE]:g}"]
    assert read.up(frame)(mean[:, 1]) == pytest.approx(DEMO.total_impulse / 1.6, rel=1e-6)
    assert read.across()(mean[:, 0]) == pytest.approx((0.0, 1.6), abs=1e-6)
    assert {"greatest 138.0 N at 0.20 s", "mean of the burn 105.1 N", "area: 168.1 N s, total impulse"} <= set(
        read.words
    )


@pytest.mark.parametrize("thrust", [BLOCK, DEMO, BLINK, LONG, HIGH, Thrust((3.0, 3.001), (0.0, 1e6))])
def test_a_thrust_chart_has_room_for_everything(thrust: Thrust) -> None:
    check_page(ThrustChart(thrust, page(297.0, 210.0)).items(), 297.0, 210.0)


def test_propellant_burns_in_proportion_to_the_thrust() -> None:
    """Level thrust: evenly. Thrust that rises from nothing: with the square of time. Falling to nothing: likewise."""
    shares = np.linspace(0.0, 1.0, 11)
    assert burnt_at(BLOCK, shares) == pytest.approx(1.5 * shares)
    assert burnt_at(Thrust((0.0, 2.0), (0.0, 10.0)), shares) == pytest.approx(2.0 * np.sqrt(shares))
    assert burnt_at(Thrust((1.0, 3.0), (10.0, 0.0)), shares) == pytest.approx(1.0 + 2.0 * (1.0 - np.sqrt(1.0 - shares)))


def burn_steps(first: float, last: float, count: int = 200) -> tuple[BurnStep, ...]:
    return tuple(
        BurnStep(share, 1000.0, 500.0, 66.0 * margin, margin, 100.0)
        for share, margin in ((n / count, first + (last - first) * n / count) for n in range(count + 1))
    )


@pytest.mark.parametrize("thrust", [None, DEMO, BLINK])
@pytest.mark.parametrize(("first", "last"), [(2.1, 2.6), (-0.5, 0.4), (3.0, 3.0), (9.0, 12.0)])
def test_the_margin_through_the_burn(thrust: Thrust | None, first: float, last: float, tmp_path: Path) -> None:
    chart = BurnChart(burn_steps(first, last), thrust, limits()["static_margin"], page(297.0, 210.0))
    check_page(chart.items(), 297.0, 210.0)
    read = written(tmp_path, chart)
    (curve,), (frame,) = read.curves, read.frames
    up = read.up(frame)
    margins, places = up(curve[:, 1]), read.across()(curve[:, 0])
    assert margins[[0, -1]] == pytest.approx((first, last), abs=1e-6)
    if thrust is None:
        assert margins == pytest.approx(first + (last - first) * places / 100.0, abs=0.1 * abs(up.coeffs[0]))
    limit_lines = [up(points[0, 1]) for wide, points in read.paths if wide == f"{WIDTHS[Pen.REFERENCE]:g}"]
    assert sorted(limit_lines) == pytest.approx([1.0, 1.5, 3.0], abs=1e-6)
    assert {"fails below 1", "warns below 1.5", "warns above 3"} <= set(read.words)


def test_a_margin_is_held_to_limits_of_its_own(tmp_path: Path) -> None:
    own = Limit("static margin", "calibres", "own", fail_below=2.0, fail_above=5.0)
    read = written(tmp_path, BurnChart(burn_steps(2.1, 2.6), DEMO, own, page(297.0, 210.0)))
    assert {"fails below 2", "fails above 5"} <= set(read.words)


def test_terms_of_the_drag_are_stacked_to_the_whole(marram: Design, tmp_path: Path) -> None:
    body, air = drag_body(marram.rocket, 60.0, 29.0), Atmosphere()
    assert body is not None
    drag = drag_curve(body, air)
    chart = DragChart(drag, stacked_terms(body, drag, air.at(0.0)), 120.0, page(297.0, 210.0))
    check_page(chart.items(), 297.0, 210.0)
    for speed, stacked in zip(chart.speeds(), np.sum([values for _, values in chart.bands()], axis=0), strict=True):
        assert stacked == pytest.approx(drag_coefficients(body, speed, air.at(0.0))[1], rel=2e-3, abs=6e-4)
    read = written(tmp_path, chart)
    coasting = read.curves[0]
    speeds, found = read.across()(coasting[:, 0]), read.up(read.frames[0])(coasting[:, 1])
    assert found == pytest.approx([drag.coefficient(speed, False) for speed in speeds], abs=1e-4)
    assert speeds[-1] == pytest.approx(120.0)


def test_thin_terms_are_one_and_what_is_nothing_has_no_words() -> None:
    terms = (*(Term(f"thin {n}", (0.0015,) * 4) for n in range(3)), Term("thick", (0.1,) * 4), Term("none", (0.0,) * 4))
    bands = list(DragChart(SOME_DRAG, terms, 200.0, page(297.0, 210.0)).bands())
    assert [(name, round(float(values[0]), 9)) for name, values in bands] == [("thick", 0.1), ("others", 0.0045)]
    (only,) = DragChart(SOME_DRAG, (terms[-1], terms[-2]), 200.0, page(297.0, 210.0)).bands()
    assert only[0] == "thick"


@pytest.mark.parametrize("count", [0, 1, 30])
def test_a_drag_chart_has_room_for_its_terms(count: int) -> None:
    terms = tuple(Term(f"term {'n' * 60} {n}", (0.1 / (n + 1),) * 4) for n in range(count))
    check_page(DragChart(SOME_DRAG, terms, 200.0, page(297.0, 210.0)).items(), 297.0, 210.0)


# Files


def some(marram: Design) -> tuple[Design, dict[str, Flight | NotFlown]]:
    (motor,) = marram.motors
    other = replace(motor, name="Other 29", thrust=None)
    return replace(marram, motors=(motor, other)), {motor.name: flown(DEMO), other.name: NotFlown("no thrust table")}


def test_a_file_for_each_chart_and_a_picture_beside_it(marram: Design, figures: dict[str, Any], tmp_path: Path) -> None:
    design, flights = some(marram)
    told: list[str] = []
    made = make_flight_charts(
        design, figures, flights, tmp_path, ("svg",), ("static margin",), told.append, pictures=True
    )
    names = ["flight-demo-29", "drag-demo-29", "thrust-demo-29", "margin-demo-29", "margin-other-29"]
    assert [one.file for one in made] == [f"marram-{name}.{end}" for name in names for end in ("svg", "png")]
    assert [one.file for one in made if one.kind == "flight chart"] == [
        "marram-flight-demo-29.svg",
        "marram-flight-demo-29.png",
    ]
    assert told == [f"chart: {one.file}" for one in made]
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(one.file for one in made)
    for one in made:
        path = tmp_path / one.file
        if path.suffix == ".png":
            with Image.open(path) as picture:
                assert picture.size == (one.self_check["width_px"], one.self_check["height_px"])
                assert picture.size == ((1240, 1754) if "flight" in path.name else (1754, 1240))
                dark = np.asarray(picture.convert("L")) < 128
                assert 0.002 < dark.mean() < 0.1
        else:
            words = Read(path).words
            assert f"fingerprint {figures['fingerprint']}, revision A" in words
            assert "CHECK FAILED: static margin" in words
            assert any("Not a clearance to fly" in line for line in words)
    flight = " ".join(Read(tmp_path / "marram-flight-demo-29.svg").words)
    assert "predicted flight with DEMO-29" in flight
    assert "liftoff mass 1,225 g" in flight
    assert "reference area of 3,680 mm2: invented for the test" in flight
    assert COUNTED in flight


def test_the_same_bytes_twice_and_no_colour(marram: Design, figures: dict[str, Any], tmp_path: Path) -> None:
    design, flights = some(marram)
    runs = [
        {
            one.file: one.sha256
            for one in make_flight_charts(design, figures, flights, tmp_path / word, ("svg",), (), lambda _: None)
        }
        for word in ("a", "b")
    ]
    assert runs[0] == runs[1]
    for path in (tmp_path / "a").iterdir():
        root = etree.parse(path).getroot()
        colours = {one.get(key) for one in root.iter() for key in ("fill", "stroke")} - {None, "none"}
        assert colours <= {"#000000", "#ffffff"}


def test_another_format_makes_none(marram: Design, figures: dict[str, Any], tmp_path: Path) -> None:
    design, flights = some(marram)
    assert make_flight_charts(design, figures, flights, tmp_path, ("pdf", "step"), (), lambda _: None) == []
    assert list(tmp_path.iterdir()) == []


def test_a_flight_that_is_not_stated_leaves_the_charts_that_need_none(marram: Design, figures: dict[str, Any]) -> None:
    kinds = [chart.kind for chart in flight_charts(marram, figures, {})]
    assert kinds == ["thrust chart", "margin chart"]
    one_number = {"DEMO-29": flown(DEMO, drag=stated_drag(0.5, AREA, "known"))}
    assert "drag chart" not in [chart.kind for chart in flight_charts(marram, figures, one_number)]


def test_a_flight_faster_than_its_drag_is_stated_for_says_so(marram: Design, figures: dict[str, Any]) -> None:
    for flight, says in ((flown(*FLIGHTS["high"]), True), (flown(DEMO), False)):
        chart = next(flight_charts(marram, figures, {"DEMO-29": flight}))
        words = " ".join(item.words for item in chart.drawn.items() if isinstance(item, Text))
        assert ("above Mach 0.8 drag rises steeply, which is not modelled" in words) is says


@pytest.mark.parametrize("data", ["invented", "measured", "maker", None])
def test_a_thrust_chart_says_where_its_table_comes_from(marram: Design, figures: dict[str, Any], data: Any) -> None:
    design = replace(marram, motors=(replace(marram.motors[0], data=data),))
    (chart,) = [chart for chart in flight_charts(design, figures, {}) if chart.kind == "thrust chart"]
    words = " ".join(item.words for item in chart.drawn.items() if isinstance(item, Text))
    assert {
        "invented": "its thrust table is invented",
        "measured": "its thrust table was measured",
        "maker": "its thrust table is its maker's",
        None: "where its thrust table comes from is not stated",
    }[data] in words


def curve_count() -> Iterator[int]:
    for name in FLIGHTS:
        yield len(curves(flown(*FLIGHTS[name])).times)


def test_curves_have_as_many_points_as_paper_can_show() -> None:
    """Some four on a millimetre of 150, whatever the flight."""
    assert all(600 <= count < 1000 for count in curve_count())


def test_make_draws_the_charts_as_pictures_only_where_png_is_named(tmp_path: Path) -> None:
    marram = Path(__file__).parents[2] / "examples" / "marram" / "marram.toml"
    result = CliRunner().invoke(app, ["make", str(marram), "--out", str(tmp_path), "--formats", "png"])
    assert result.exit_code == 0, result.output
    made = {path.name for path in tmp_path.glob("*.png")}
    assert made == {f"marram-{what}-demo-29.png" for what in ("drag", "flight", "margin", "thrust")}
    assert not list(tmp_path.glob("*.svg"))
