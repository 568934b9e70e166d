"""The side view: everything on the page, names in order, arrows at the true stations as another reader finds them."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from rocket_samples import fin_part, nose_part, tube_part
from svgpathtools import parse_path

from ferrule.analysis.motor import Motor
from ferrule.analysis.rocket import Item, Rocket
from ferrule.app.design_file import load, parse
from ferrule.app.side_view import HEIGHT, SCALES, WIDTH, Balance, SideView, spread
from ferrule.app.summary import failed_checks, summary
from ferrule.app.whole import side_view
from ferrule.parts.kinds import Bulkhead, CenteringRing, Coupler, MotorMount, RailButton, Transition
from ferrule.parts.quantity import mm
from ferrule.parts.sheets.sheet import Box, Text
from ferrule.parts.writers.svg import write_drawing_svg

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"
SPACE = "{http://www.w3.org/2000/svg}"
PAGE = Box(0.0, 0.0, WIDTH, HEIGHT)

# --- names beside each other ------------------------------------------------------------------------------------------

PLACES = st.lists(st.floats(-50.0, 350.0), max_size=60).map(sorted)


@given(PLACES, st.floats(0.5, 12.0))
def test_places_keep_their_order_their_distance_and_the_bounds(wanted: list[float], least: float) -> None:
    low, high = 14.0, 283.0
    found = spread(wanted, least, low, high)
    assert len(found) == len(wanted)
    room = min(least, (high - low) / max(len(wanted) - 1, 1))
    assert all(b - a >= room - 1e-9 for a, b in pairwise(found))
    assert all(low - 1e-9 <= place <= high + 1e-9 for place in found)


@given(PLACES, st.floats(0.5, 12.0))
def test_places_that_are_free_stay_where_they_are_wanted(wanted: list[float], least: float) -> None:
    free = [place for place in wanted if 14.0 <= place <= 283.0]
    free = [place for index, place in enumerate(free) if index == 0 or place - free[index - 1] > 1000.0 / 60.0]
    assert spread(free, min(least, 1000.0 / 60.0), 14.0, 283.0) == pytest.approx(free, abs=1e-9)


@given(PLACES, st.floats(0.5, 4.0))
def test_no_name_moves_without_need(wanted: list[float], least: float) -> None:
    """Of all places in order, at the distance and within the bounds these are the nearest: checked by small pushes."""
    wanted, low, high = [place for place in wanted if 14.0 <= place <= 283.0], 14.0, 283.0
    found = spread(wanted, least, low, high)
    room = min(least, (high - low) / max(len(wanted) - 1, 1))

    def cost(places: list[float]) -> float:
        return sum((a - b) ** 2 for a, b in zip(places, wanted, strict=True))

    for first in range(len(found)):
        for last in range(first, len(found)):
            for push in (-0.01, 0.01):
                pushed = [place + push if first <= n <= last else place for n, place in enumerate(found)]
                allowed = all(b - a >= room for a, b in pairwise(pushed)) and low <= pushed[0] and pushed[-1] <= high
                assert not allowed or cost(pushed) >= cost(found) - 1e-6


def test_names_at_one_place_stand_around_it() -> None:
    assert spread([100.0] * 3, 4.0, 0.0, 300.0) == pytest.approx([96.0, 100.0, 104.0])
    assert spread([1.0] * 3, 4.0, 0.0, 300.0) == pytest.approx([0.0, 4.0, 8.0])
    assert spread([299.0] * 3, 4.0, 0.0, 300.0) == pytest.approx([292.0, 296.0, 300.0])
    assert spread([5.0] * 11, 4.0, 0.0, 20.0) == pytest.approx([2.0 * n for n in range(11)])
    assert spread([], 4.0, 0.0, 20.0) == []


# --- scale ------------------------------------------------------------------------------------------------------------


def view(rocket: Rocket, **more: Any) -> SideView:
    fields: dict[str, Any] = {
        "motors": (),
        "balances": (Balance(300.0, "at liftoff with M"),),
        "cp": 400.0,
        "title": "Demo",
        "lines": ("fingerprint 1a2b-3c4d-5e6f",),
        "stamps": (),
    }
    return SideView(rocket, **{**fields, **more})


def tube_alone(length: float, diameter: float) -> Rocket:
    sizes = {"outside_diameter": mm(diameter), "inside_diameter": mm(diameter - 2.0), "length": mm(length)}
    return Rocket("r", (Item("tube", (0.0,), tube_part(**sizes)),))


@pytest.mark.parametrize(
    ("length", "diameter", "scale"),
    [
        (250.0, 50.0, 1),
        (269.0, 50.0, 1),  # the width of the sheet less 14 mm at each side
        (270.0, 50.0, 2),
        (538.0, 60.0, 2),
        (539.0, 60.0, 5),
        (1345.0, 98.0, 5),
        (1346.0, 98.0, 10),
        (2690.0, 150.0, 10),
        (2691.0, 150.0, 20),
        (200.0, 100.0, 2),  # its height decides
        (200.0, 200.0, 5),
        (300.0, 399.0, 10),
    ],
)
def test_the_largest_scale_of_the_standard_that_fits_is_taken(length: float, diameter: float, scale: int) -> None:
    """ISO 5455 (from memory): reductions 1:2, 1:5, 1:10, 1:20, 1:50."""
    assert view(tube_alone(length, diameter), cp=None).scale() == scale


def test_the_arrow_of_the_air_has_its_room_above_the_rocket() -> None:
    """56 mm of height: 100 mm at 1:2 leave 6 mm, which are too few for an arrow with its words."""
    assert view(tube_alone(200.0, 100.0), cp=None).scale() == 2
    assert view(tube_alone(200.0, 100.0), cp=100.0).scale() == 5


def test_a_rocket_beyond_all_scales_of_the_standard_still_fits() -> None:
    items = (Item("tube", (19000.0,), tube_part(length="3000 mm")), Item("nose", (0.0,), nose_part()))
    found = view(Rocket("long", items)).scale()
    assert found > SCALES[-1]
    assert found % 10 == 0


def test_a_motor_behind_the_body_takes_part_in_the_scale() -> None:
    motor = Motor("M", 29.0, 100.0, 100.0, 50.0, 270.0)
    assert view(tube_alone(250.0, 50.0), motors=(motor,), cp=None).scale() == 2


# --- what stands where, as another reader finds it --------------------------------------------------------------------


class Drawing:
    """A side view read back from its file; stations follow from the ruler's ends and the scale that is printed."""

    def __init__(self, folder: Path, shown: SideView) -> None:
        write_drawing_svg(folder / "view.svg", shown.items(), WIDTH, HEIGHT, "view")
        root = etree.parse(folder / "view.svg").getroot()
        assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("297mm", "210mm", "0 0 297 210")
        self.texts = list(root.iter(f"{SPACE}text"))
        self.words = [text.text for text in self.texts]
        self.polygons = [
            [tuple(map(float, corner.split(","))) for corner in one.get("points").split()]
            for one in root.iter(f"{SPACE}polygon")
        ]
        self.paths = [parse_path(path.get("d")) for path in root.iter(f"{SPACE}path")]
        scale = re.search(r"scale 1:(\d+)", " ".join(self.words))
        assert scale is not None
        self.scale = int(scale[1])
        flat = [(path[0].start, path[-1].end) for path in self.paths if len(path) == 1]
        level = [(a, b) for a, b in flat if abs(a.imag - b.imag) < 1e-9]
        self.axis = max(level, key=lambda line: abs(line[1] - line[0]))
        centre = self.axis[0].imag
        ruler = max((line for line in level if line[0].imag > centre + 20.0), key=lambda line: abs(line[1] - line[0]))
        self.tip, self.end = ruler[0].real, ruler[1].real

    def station(self, x: float) -> float:
        return (x - self.tip) * self.scale

    def height(self, y: float) -> float:
        return (self.axis[0].imag - y) * self.scale

    def edges(self) -> list[tuple[float, float]]:
        """Tips of the knife edges, on top of their triangles: station and height [mm]."""
        found = []
        for path in self.paths:
            corners = [piece.start for piece in path]
            if len(corners) == 3 and path.isclosed():
                tip = min(corners, key=lambda corner: corner.imag)
                found.append((self.station(tip.real), self.height(tip.imag)))
        return sorted(found)

    def place(self, words: str) -> tuple[float, float]:
        (text,) = [text for text in self.texts if text.text == words]
        return float(text.get("x")), float(text.get("y"))


@pytest.fixture(scope="module")
def marram(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, Any], Drawing]:
    design = load(MARRAM)
    figures = summary(design)
    return figures, Drawing(tmp_path_factory.mktemp("marram"), side_view(design, figures, ()))


def test_the_ruler_reaches_from_the_tip_to_the_end_of_the_rocket(marram: tuple[dict[str, Any], Drawing]) -> None:
    _, drawing = marram
    assert drawing.scale == 5
    # The motor's aft end at 1158 mm is the last of it.
    assert drawing.station(drawing.end) == pytest.approx(1158.0, abs=1e-5)


def test_the_arrow_of_the_air_ends_on_the_hull_at_the_centre_of_pressure(
    marram: tuple[dict[str, Any], Drawing],
) -> None:
    figures, drawing = marram
    (arrow,) = drawing.polygons
    x, y = max(arrow, key=lambda corner: corner[1])
    assert drawing.station(x) == pytest.approx(figures["body"]["cp_mm"], abs=1e-5)
    assert drawing.height(y) == pytest.approx(68.40 / 2.0, abs=1e-5)  # the booster tube as read
    assert min(corner[1] for corner in arrow) < y  # it points down
    assert drawing.place("CP")[1] < y
    assert f"{figures['body']['cp_mm']:.0f} mm" in drawing.words


def test_the_knife_edges_hold_the_hull_where_it_balances(marram: tuple[dict[str, Any], Drawing]) -> None:
    figures, drawing = marram
    wanted = sorted(one["cg_mm"][0] for one in figures["loadings"] if one["motor"])
    found = drawing.edges()
    assert [station for station, _ in found] == pytest.approx(wanted, abs=1e-5)
    assert [height for _, height in found] == pytest.approx([-34.2, -34.2], abs=1e-5)
    assert drawing.words.count("CG") == 2
    for station, words in zip(wanted, ("at burnout", "at liftoff with DEMO-29"), strict=True):
        assert f"{station:.0f} mm, {words}" in drawing.words


def test_every_item_stands_under_its_station_by_name(marram: tuple[dict[str, Any], Drawing]) -> None:
    figures, drawing = marram
    for item in figures["items"]:
        several = (
            f" ({item['quantity'] // len(item['stations_mm'])})" if item["quantity"] > len(item["stations_mm"]) else ""
        )
        for station in item["stations_mm"]:
            assert f"{station:.0f} mm: {item['name']}{several}" in drawing.words
    for words in ("440 mm: vent in the payload tube", "1150 mm: aft end of the body", "1158 mm: aft end of DEMO-29"):
        assert words in drawing.words
    named = [(float(text.get("x")), text.text) for text in drawing.texts if text.get("transform")]
    stations = [float(words.partition(" mm: ")[0]) for _, words in sorted(named)]
    assert stations == sorted(stations)


def test_the_outline_of_the_nose_is_that_of_its_profile(marram: tuple[dict[str, Any], Drawing]) -> None:
    """Half-way along, a Von Karman nose has radius R sqrt((th - sin 2th / 2) / pi), th = 90 deg (Haack's equation)."""
    _, drawing = marram
    half = 68.30 / 2.0 * math.sqrt((math.pi / 2.0) / math.pi)
    points = [
        (drawing.station(piece.end.real), drawing.height(piece.end.imag)) for path in drawing.paths for piece in path
    ]
    near = [height for station, height in points if abs(station - 125.0) < 4.0]
    assert any(height == pytest.approx(half, abs=0.6) for height in near)
    assert any(height == pytest.approx(-half, abs=0.6) for height in near)


def test_inches_come_first_where_the_design_says_so(tmp_path: Path) -> None:
    text = MARRAM.read_text(encoding="utf-8").replace('units = "mm"', 'units = "in"')
    design = parse(text, "marram.toml", MARRAM.parent)
    figures = summary(design)
    drawing = Drawing(tmp_path, side_view(design, figures, ()))
    assert f"{figures['body']['cp_mm'] / 25.4:.2f} in" in drawing.words
    assert "17.32 in: vent in the payload tube" in drawing.words
    assert not [words for words in drawing.words if re.search(r"\d mm(, |: |$)", words)]
    assert f"length {1150 / 25.4:.1f} in (1150 mm), largest diameter {68.4 / 25.4:.3f} in (68.4 mm)" in " ".join(
        drawing.words
    )
    # The ruler counts inches.
    marks = {words: drawing.station(drawing.place(words)[0]) for words in ("10", "20", "30", "40")}
    steps = [b - a for a, b in pairwise(marks.values())]
    assert steps == pytest.approx([254.0] * 3, abs=5.0)  # middles of words of nearly one width


def test_failed_checks_are_on_the_view_in_words(tmp_path: Path) -> None:
    text = MARRAM.read_text(encoding="utf-8").replace('semi_span = "58 mm"', 'semi_span = "20 mm"')
    design = parse(text, "marram.toml", MARRAM.parent)
    figures = summary(design)
    failed = failed_checks(figures)
    assert failed[:2] == ("static margin, DEMO-29 at liftoff", "static margin, DEMO-29 at burnout")
    drawing = Drawing(tmp_path, side_view(design, figures, failed))
    for name in failed:
        assert f"CHECK FAILED: {name}" in drawing.words
    (text_,) = [text for text in drawing.texts if text.text == f"CHECK FAILED: {failed[0]}"]
    assert text_.get("font-weight") == "bold"
    assert any("Not a clearance to fly" in words for words in drawing.words)
    assert not any("CHECK FAILED" in words for words in Drawing(tmp_path, side_view(design, figures, ())).words)


def test_without_a_motor_the_view_balances_without_one(tmp_path: Path) -> None:
    text = re.sub(r"(?s)\[\[motor\]\].*?\n\n", "\n", MARRAM.read_text(encoding="utf-8"))
    design = parse(text, "marram.toml", MARRAM.parent)
    figures = summary(design)
    drawing = Drawing(tmp_path, side_view(design, figures, ()))
    assert [station for station, _ in drawing.edges()] == pytest.approx([figures["loadings"][0]["cg_mm"][0]], abs=1e-5)
    assert any(words.endswith(" mm, without a motor") for words in drawing.words)


# --- nothing off the page ---------------------------------------------------------------------------------------------

NAMES = st.one_of(
    st.text(min_size=1, max_size=80),
    st.sampled_from(["W" * 80, "a", "fin ring", "\u706b\u7bad", "\U0001f680", "e\u0301t\u00e9", '<b> & "x"', "\u2167"]),
)


@st.composite
def rockets(draw: st.DrawFn) -> Rocket:
    """Long and thin, short and fat, without a body, without fins, or one nose only; everything else in any number."""
    items: list[Item] = []
    numbers = iter(range(1000))

    def add(station: float, part: Any = None, count: int = 1, radius: float = 0.0) -> None:
        items.append(Item(f"{draw(NAMES)}{next(numbers)}", (station,), part, count, radius))

    diameter = draw(st.one_of(st.floats(18.0, 160.0), st.floats(300.0, 400.0)))
    length = draw(st.one_of(st.floats(50.0, 500.0), st.floats(500.0, 5000.0)))
    at = 0.0
    if draw(st.booleans()):
        nose_length = diameter * draw(st.floats(0.6, 6.0))
        nose = nose_part(
            profile=draw(st.sampled_from(["cone", "tangent-ogive", "half-ellipsoid", "von-karman"])),
            length=mm(min(nose_length, 2500.0)),
            base_diameter=mm(diameter),
        )
        add(0.0, nose)
        at = nose.length
    if draw(st.booleans()):
        add(at, tube_part(outside_diameter=mm(diameter), inside_diameter=mm(diameter * 0.95), length=mm(length)))
        at += length
        inside = diameter * 0.94
        if draw(st.booleans()):
            bore, height = inside * 0.4, draw(st.floats(2.0, 12.0))
            sizes = {"outside_diameter": mm(inside), "thickness": mm(height)}
            add(at - length / 2.0, CenteringRing.build(inside_diameter=mm(bore), **sizes))
            add(at - length / 3.0, Bulkhead.build(**sizes))
            add(at - length / 4.0, Coupler.build(outside_diameter=mm(inside), length=mm(inside), wall="2 mm"))
        if draw(st.booleans()):
            add(
                at,
                Transition.build(forward_diameter=mm(diameter), aft_diameter=mm(diameter * 0.7), length=mm(diameter)),
            )
            at += diameter
        if draw(st.booleans()):
            add(at - length / 5.0, RailButton.build(**RailButton.example), 1, diameter / 2.0)
            add(at - length / 5.0, MotorMount.build(**MotorMount.example))
    if draw(st.booleans()):
        root = draw(st.floats(20.0, 300.0))
        sizes = {"root_chord": root, "tip_chord": root / 2.0, "semi_span": root * draw(st.floats(0.2, 2.0))}
        fin = fin_part(
            **{name: mm(size) for name, size in sizes.items()}, sweep_length=mm(root * draw(st.floats(-1.0, 2.0)))
        )
        add(max(at - root, 0.0), fin, draw(st.integers(1, 8)), diameter / 2.0)
    for _ in range(draw(st.sampled_from([0, 1, 5, 40]))):
        add(draw(st.floats(0.0, max(at, 10.0) * 1.2)))
    return Rocket("random", tuple(items))


@st.composite
def views(draw: st.DrawFn) -> SideView:
    rocket = draw(rockets())
    ends = [item.skin_extent()[1] for item in rocket.items if item.part is not None]
    long = max(ends, default=100.0)
    motors = st.builds(
        lambda name, length, end: Motor(name, 29.0, length, 100.0, 50.0, end),
        NAMES,
        st.floats(50.0, 300.0),
        st.floats(300.0, max(long * 1.1, 301.0)),
    )
    balances = st.builds(Balance, st.floats(0.0, long), NAMES.map(lambda name: f"at liftoff with {name}"))
    return SideView(
        rocket,
        tuple(draw(st.lists(motors, max_size=2))),
        tuple(draw(st.lists(balances, max_size=2))),
        draw(st.one_of(st.none(), st.floats(0.0, long))),
        draw(NAMES),
        tuple(draw(st.lists(NAMES, max_size=5))),
        tuple(f"CHECK FAILED: {name}" for name in draw(st.lists(NAMES, max_size=12))),
        draw(st.sampled_from(["mm", "in"])),
    )


def off_the_page(shown: SideView) -> list[str]:
    return [f"{item}"[:200] for item in shown.items() if not PAGE.holds(item.box())]


@given(views())
def test_nothing_is_off_the_page(shown: SideView) -> None:
    assert off_the_page(shown) == []


@given(views())
def test_names_under_the_rocket_do_not_stand_in_each_other(shown: SideView) -> None:
    """Where they are few enough for the sheet."""
    texts = [item for item in shown.items() if isinstance(item, Text) and item.turn]
    if len(texts) > 60:
        return
    boxes = sorted(text.box() for text in texts)
    assert all(a.right <= b.left + 1e-9 for a, b in pairwise(boxes))


def in_each_other(shown: SideView) -> list[Any]:
    """What stands in the words of the head, which are those that begin at the left edge or lie above."""
    items = shown.items()
    head = [item for item in items if isinstance(item, Text) and (item.size > 9.0 or item.position[0] < 14.1)]
    head = [item for item in head if item.words not in ("CP", "CG") and not item.turn]
    assert len(head) >= 1 + len(shown.lines) + bool(shown.stamps)
    return [item for item in items for words in head if item is not words and item.box().meets(words.box())]


def test_the_example_with_failed_checks_has_its_words_clear_of_the_rocket() -> None:
    text = MARRAM.read_text(encoding="utf-8").replace('semi_span = "58 mm"', 'semi_span = "20 mm"')
    design = parse(text, "marram.toml", MARRAM.parent)
    figures = summary(design)
    shown = side_view(design, figures, failed_checks(figures))
    assert len(shown.stamps) == 3
    assert shown.scale() == 5
    assert in_each_other(shown) == []


@pytest.mark.parametrize("failed", [0, 1, 2, 3, 6, 12, 60])
@pytest.mark.parametrize(("length", "diameter"), [(530.0, 110.0), (1300.0, 280.0), (200.0, 30.0), (3000.0, 60.0)])
def test_words_at_the_head_do_not_stand_in_the_rocket(length: float, diameter: float, failed: int) -> None:
    shown = view(
        tube_alone(length, diameter),
        balances=(Balance(length * 0.5, "at liftoff with M"),),
        cp=length * 0.1,
        lines=("one", "two", "three", "four", "five " * 40),
        stamps=tuple(f"CHECK FAILED: the {number}. thing in the tube" for number in range(failed)),
    )
    assert in_each_other(shown) == []
    assert off_the_page(shown) == []
    told = [item.words for item in shown.items() if isinstance(item, Text) and "CHECK FAILED" in item.words]
    if failed <= 6:
        assert told == list(shown.stamps)
    else:
        *first, last = told
        assert first == list(shown.stamps[: len(first)])
        assert last == f"CHECK FAILED: {failed - len(first)} more, in the report"


def test_a_long_title_leaves_room_for_the_scale() -> None:
    title, scale, *_ = view(Rocket("r", (Item("nose", (0.0,), nose_part()),)), title="W" * 80).items()
    assert isinstance(title, Text)
    assert isinstance(scale, Text)
    assert title.words.endswith("W…")
    assert title.box().right < scale.box().left


def test_a_view_of_random_letters_is_written(tmp_path: Path) -> None:
    rocket = Rocket("r", (Item("\u706b\u7bad \U0001f680 <&>", (0.0,), nose_part()),))
    drawing = Drawing(tmp_path, view(rocket, title="\u706b & <b>", stamps=("CHECK FAILED: \u706b",)))
    assert "? & <b>" in drawing.words
    assert "CHECK FAILED: ?" in drawing.words
    assert "0 mm: ?? ? <&>" in drawing.words
