"""The curve of the drag over speed, what of it acts ahead of a joint, and rockets at random."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rocket_samples import fin_part, nose_part, rocket, tube_part, two_sections

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.drag.body import DragBody, drag_body
from ferrule.analysis.drag.flow import flow_at
from ferrule.analysis.drag.terms import (
    ALTITUDE_NOTE,
    MACH_NOTE,
    drag_coefficients,
    drag_curve,
    drag_terms,
    share_ahead,
)
from ferrule.analysis.drag_curve import DragCurve, stated_drag
from ferrule.analysis.rocket import Item, Rocket
from ferrule.app.design_file import load
from ferrule.parts.errors import PartError
from ferrule.parts.kinds import RailButton, Transition

SITE = Atmosphere()
AIR = SITE.at(0.0)
MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"


def of(what: Rocket, roughness: float = 20.0, motor: float | None = 29.0) -> DragBody:
    found = drag_body(what, roughness, motor)
    assert found is not None
    return found


def demo() -> DragBody:
    design = load(MARRAM)
    return of(design.rocket, motor=design.motors[0].diameter)


# --- the demo ---------------------------------------------------------------------------------------------------------


def test_the_demo_lies_where_such_rockets_lie() -> None:
    """0.45 to 0.65 for a rocket of this kind with square-cut fins (common practice; the model is not drawn to it)."""
    body = demo()
    for speed in (30.0, 60.0, 100.0, 120.0):
        powered, coasting = drag_coefficients(body, speed, AIR)
        assert 0.45 < powered < coasting < 0.65


def test_the_demo_has_the_terms_that_its_file_states() -> None:
    found = [(term.item, term.name) for term in drag_terms(demo(), 100.0, AIR, burning=False)]
    assert found == [
        ("body", "friction"),
        ("booster tube", "base"),
        ("nose, payload tube", "step that faces forward"),
        ("rail button", "rail button"),
        ("fin", "junctions with the body"),
        ("fin", "friction"),
        ("fin", "leading edges"),
        ("fin", "trailing edges"),
        ("rail button", "rail button"),
    ]


# --- the curve --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("body", [of(rocket(), 0.0), of(rocket(), 60.0, None), demo()], ids=["smooth", "rough", "demo"])
def test_straight_lines_between_the_speeds_are_good_to_a_thousandth(body: DragBody) -> None:
    curve = drag_curve(body, SITE)
    for step in range(1, 1200):
        speed = 0.2371 * step
        expected = drag_coefficients(body, speed, AIR)
        for burning, value in zip((True, False), expected, strict=True):
            assert curve.coefficient(speed, burning) == pytest.approx(value, rel=1e-3)


def test_the_curve_says_what_it_is() -> None:
    curve = drag_curve(of(rocket()), SITE)
    assert curve.reference_area == pytest.approx(math.pi * 33.0**2)
    assert curve.speeds[0] == 0.0
    assert curve.speeds[-1] == pytest.approx(0.8 * AIR.sound)
    assert "66.00 mm diameter" in curve.source
    assert {ALTITUDE_NOTE, MACH_NOTE} <= set(curve.notes)


def test_above_mach_0_8_the_curve_is_level() -> None:
    curve = drag_curve(of(rocket()), SITE)
    assert curve.coefficient(400.0, burning=False) == curve.coasting[-1]


def test_thinner_air_rubs_a_little_more() -> None:
    low, high = (drag_curve(of(rocket(), 0.0), Atmosphere(altitude)) for altitude in (0.0, 3000.0))
    assert 1.0 < high.coefficient(100.0, burning=False) / low.coefficient(100.0, burning=False) < 1.1


def test_a_curve_between_its_speeds_and_beyond_them() -> None:
    curve = DragCurve(100.0, (10.0, 20.0), (0.4, 0.6), (0.5, 0.7), "sample")
    found = [curve.coefficient(speed, burning=True) for speed in (0.0, 10.0, 12.5, 20.0, 99.0)]
    assert found == pytest.approx([0.4, 0.4, 0.45, 0.6, 0.6])
    assert curve.scaled(2.0).coefficient(15.0, burning=False) == pytest.approx(1.2)
    assert stated_drag(0.6, 100.0, "measured").coefficient(77.0, burning=True) == 0.6


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ((0.0, (0.0,), (0.5,), (0.5,)), "reference_area: must be above 0 mm2"),
        ((1.0, (), (), ()), "speeds: each speed needs"),
        ((1.0, (1.0, 1.0), (0.5, 0.5), (0.5, 0.5)), "speeds: must rise"),
        ((1.0, (0.0,), (-0.5,), (0.5,)), "drag coefficient: must be 0 or more"),
        ((1.0, (0.0,), (math.nan,), (0.5,)), "drag coefficient: must be 0 or more"),
    ],
)
def test_a_curve_that_is_none_is_refused(
    values: tuple[float, tuple[float, ...], tuple[float, ...], tuple[float, ...]], message: str
) -> None:
    with pytest.raises(PartError, match=message):
        DragCurve(*values, "sample")


# --- what acts ahead of a joint ---------------------------------------------------------------------------------------


def test_the_share_ahead_by_hand() -> None:
    """A tube of 900 mm alone, smooth, at 200 mm: a plate of 200 mm, and its flat face.

    At 40 m/s Re is 2,464,539 and 547,675, Cf 0.00379765 and 0.00501541: 0.455 / 119.811 and 0.455 / 90.7204.
    """
    body = of(Rocket("plain", (Item("tube", (0.0,), tube_part(length="900 mm")),)), 0.0)
    friction, base, face = (term.coefficient for term in drag_terms(body, 40.0, AIR, burning=False))
    ahead = 200.0 / 900.0 * (119.811 / 90.7204) * friction + face
    assert share_ahead(body, 200.0, 40.0, AIR) == pytest.approx(ahead / (friction + base + face), rel=1e-3)


def test_skin_near_the_nose_rubs_more_than_its_area() -> None:
    """28,094.72 of 173,236.30 mm2 are the nose's; a plate of its length has 1.32 times the friction of the whole."""
    body = of(Rocket("plain", rocket().items[:2]), 0.0)
    flow_share = body.friction.area_ahead(flow_at(40.0, AIR, 0.0), 200.0) / body.friction.area(flow_at(40.0, AIR, 0.0))
    assert 28094.72 / 173236.30 < flow_share < 1.33 * 28094.72 / 173236.30


@pytest.mark.parametrize("speed", [0.0, 20.0, 120.0, 300.0])
def test_the_share_grows_from_nothing_to_all(speed: float) -> None:
    body = demo()
    shares = [share_ahead(body, 5.0 * step, speed, AIR) for step in range(232)]
    assert shares[0] == 0.0
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)
    assert 0.1 < share_ahead(body, 530.0, speed, AIR) < 0.3


def test_the_face_of_a_step_belongs_to_its_own_part() -> None:
    """At the very joint: a larger tube behind has the face on it, a larger nose ahead carries its own back."""
    for base, name, counts in (("64 mm", "step that faces forward", False), ("68 mm", "step that faces aft", True)):
        items = (Item("nose", (0.0,), nose_part(base_diameter=base)), Item("tube", (200.0,), tube_part()))
        body = of(Rocket("stepped", items))
        found = drag_terms(body, 80.0, AIR, burning=False)
        whole = sum(term.coefficient for term in found)
        step = next(term.coefficient for term in found if term.name == name)
        jump = share_ahead(body, 200.001, 80.0, AIR) - share_ahead(body, 200.0 if not counts else 199.999, 80.0, AIR)
        assert jump == pytest.approx(step / whole, rel=0.05)
        at_joint = share_ahead(body, 200.0, 80.0, AIR) - share_ahead(body, 199.999, 80.0, AIR)
        assert (at_joint > step / whole / 2.0) == counts


def test_fins_and_base_are_behind_the_joint_of_two_sections() -> None:
    """At 400 mm only skin is ahead: nose and payload tube, less than half of the length and of the drag."""
    assert 0.1 < share_ahead(of(two_sections()), 400.0, 100.0, AIR) < 0.4


# --- at random --------------------------------------------------------------------------------------------------------


@st.composite
def rockets(draw: st.DrawFn) -> Rocket:
    """Nose, tube, a transition, another tube, fins and buttons of all sizes that can be built."""

    def size(low: float, high: float) -> float:
        return draw(st.floats(low, high))

    first, second = size(10.0, 200.0), size(10.0, 200.0)
    profile = draw(st.sampled_from(["cone", "tangent-ogive", "von-karman", "half-ellipsoid"]))
    nose_base = max(first - size(0.0, 2.0), 5.0)
    nose = nose_part(profile=profile, length=f"{size(2.0, 8.0) * nose_base} mm", base_diameter=f"{nose_base} mm")
    taper = Transition.build(
        forward_diameter=f"{first} mm", aft_diameter=f"{second} mm", length=f"{size(5.0, 300.0)} mm", body="solid"
    )
    parts = [nose, _tube(first, size(20.0, 1500.0)), taper, _tube(second, size(20.0, 1500.0))]
    parts = parts[: draw(st.integers(1, 4))]
    items, at = [], 0.0
    for number, part in enumerate(parts):
        items.append(Item(f"part {number}", (at,), part))
        at += part.skin()[-1].end[0]
    radius = parts[-1].skin()[-1].end[1]
    root = size(20.0, 300.0)
    tip, edges = size(1.0, root), draw(st.sampled_from(["as cut", "round"]))
    fin = fin_part(
        root_chord=f"{root} mm",
        tip_chord=f"{tip} mm",
        semi_span=f"{size(20.0, 300.0)} mm",
        sweep_length=f"{size(-0.5, 1.5) * root} mm",
        thickness=f"{size(0.5, 6.0)} mm",
        # A round of half the thickness needs room beside it at the tip.
        leading_edge=edges if tip > 20.0 else "as cut",
    )
    items.append(Item("fins", (max(at - root, 0.0),), fin, draw(st.integers(1, 8)), radius))
    items.append(Item("buttons", (at / 3.0, at / 1.5), RailButton.build(**RailButton.example), radius=radius))
    return Rocket("random", tuple(items))


def _tube(diameter: float, length: float) -> object:
    return tube_part(outside_diameter=f"{diameter} mm", inside_diameter=f"{diameter - 2.0} mm", length=f"{length} mm")


def check(what: Rocket, roughness: float, motor: float | None, speed: float) -> None:
    body = of(what, roughness, motor)
    powered, coasting = drag_coefficients(body, speed, AIR)
    assert 0.0 < powered <= coasting < math.inf
    for burning, value in ((True, powered), (False, coasting)):
        terms = drag_terms(body, speed, AIR, burning)
        assert all(0.0 <= term.coefficient < math.inf for term in terms)
        assert sum(term.coefficient for term in terms) == pytest.approx(value, rel=1e-9)
    curve = drag_curve(body, SITE)
    assert len(curve.speeds) < 5000
    assert curve.coefficient(speed, burning=False) == pytest.approx(coasting, rel=2e-3)
    length = body.friction.station
    shares = [share_ahead(body, length * place / 7.0, speed, AIR) for place in range(9)]
    assert all(0.0 <= share <= 1.0 + 1e-12 for share in shares)
    assert shares == sorted(shares)


CASES = {
    "what": rockets(),
    "roughness": st.floats(0.0, 1000.0),
    "motor": st.one_of(st.none(), st.floats(5.0, 150.0)),
    "speed": st.floats(0.0, 500.0),
}


@given(**CASES)
@settings(max_examples=15)
def test_no_rocket_has_a_drag_that_is_none(what: Rocket, roughness: float, motor: float | None, speed: float) -> None:
    check(what, roughness, motor, speed)


@pytest.mark.search
@given(**CASES)
def test_no_rocket_of_many_has_a_drag_that_is_none(
    what: Rocket, roughness: float, motor: float | None, speed: float
) -> None:
    check(what, roughness, motor, speed)
