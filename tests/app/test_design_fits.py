"""Readings of tubes and fits in the design file: what loads, what follows with its sum, and what is refused where."""

from __future__ import annotations

import pytest

from ferrule.app.design import Design
from ferrule.app.design_file import parse
from ferrule.app.report import report
from ferrule.app.summary import summary
from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import NoseCone

HEAD = 'format = 1\nname = "Demo"\n'
TUBE = """[[tube]]
name = "tube"
outside_forward_mm = [68.42, 68.38]
outside_aft_in = [2.693, 2.692]
inside_forward_mm = [65.92, 65.88]
inside_aft_mm = [65.90, 65.94]
wall_mm = [1.25]
strip_mm = [215.2]
length = "280 mm"
station = "250 mm"
mass = "55 g"
"""
NOSE = """[[part]]
name = "nose"
kind = "nose-cone"
fits = "tube"
profile = "cone"
length = "250 mm"
shoulder_length = "66 mm"
material = "petg"
"""


def nose(text: str) -> tuple[Design, NoseCone]:
    design = parse(text, "demo.toml")
    part = next(item.part for item in design.rocket.items if item.name == "nose")
    assert isinstance(part, NoseCone)
    return design, part


def test_readings_at_both_ends_in_mixed_units_are_one_tube() -> None:
    design, _ = nose(HEAD + TUBE + NOSE)
    tube = design.tubes["tube"]
    outside = (68.42, 68.38, 2.693 * 25.4, 2.692 * 25.4)
    assert tube.mean_outside == pytest.approx(sum(outside) / 4.0, abs=1e-9)
    assert tube.smallest_inside == 65.88
    checks = {check.name: check.status for check in design.checks}
    assert checks["tube: outside out of round, forward end"] == "pass"
    assert checks["tube: wall"] == "pass"
    assert checks["tube: outside by the strip"] == "pass"


@pytest.mark.parametrize(
    ("fields", "clearance", "words"),
    [
        ("", 0.5, "shoulder in a tube, friction fit"),
        ('fit = "slip"', 0.4, "slip fit, printed PETG"),
        ('fit = "slip"\nprocess = "hand"', 0.4, "slip fit, cut by hand"),
        ('fit = "tape"', 0.5, "1 wrap of"),
        ('clearance = "0.62 mm"', 0.62, "set by hand"),
        ('clearance = "0.025 in"', 0.635, "set by hand"),
    ],
)
def test_the_fit_decides_the_shoulder_and_shows_its_sum(fields: str, clearance: float, words: str) -> None:
    """Clearances are those of the table (common practice), on diameter."""
    design, part = nose(HEAD + TUBE + NOSE + fields + "\n")
    assert part.shoulder_diameter == pytest.approx(65.88 - clearance, abs=1e-6)
    told = design.derived["nose"]["shoulder_diameter"].sum
    assert words in told
    assert "smallest inside of the tube 65.88" in told
    found = next(check for check in design.checks if check.name == "nose: shoulder in tube")
    assert found.status == "pass"
    assert found.value == f"{65.88 - (part.shoulder_diameter or 0.0):.2f} mm"


def test_a_fit_of_iso_286_is_held_to_its_own_limits() -> None:
    """H7/g6 over 50 to 80 mm: the shaft is 10 to 29 micrometres below the hole's size (ISO 286-2, from memory)."""
    design, part = nose(HEAD + TUBE + NOSE + 'fit = "H7/g6"\n')
    assert 65.88 - 0.029 <= (part.shoulder_diameter or 0.0) <= 65.88 - 0.010
    found = next(check for check in design.checks if check.name == "nose: shoulder in tube")
    assert found.status == "pass"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (NOSE + 'fit = "slipp"\n', "demo.toml:22:1: part[1].fit: there is no fit 'slipp'; did you mean 'slip'?"),
        (NOSE + 'fit = "H7/z99"\n', "demo.toml:22:1: part[1].fit: "),
        (NOSE + 'process = "cast"\n', "demo.toml:22:1: part[1].process: 'cast' is not one of printed, laser, hand"),
        (NOSE + 'clearance = "60 mm"\n', "demo.toml:22:1: part[1].clearance: must be at most 10 mm, got 60 mm"),
        (
            NOSE.replace('"petg"', '"petgg"') + 'fit = "slip"\n',
            "demo.toml:21:1: part[1].material: there is no material",
        ),
    ],
)
def test_a_wrong_fit_is_refused_at_its_line(text: str, message: str) -> None:
    with pytest.raises(DesignError) as caught:
        parse(HEAD + TUBE + text, "demo.toml")
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("outside_aft_in = [2.693, 2.692]", "outside_aft_in = [2.593, 2.692]", "inside"),
        ("wall_mm = [1.25]", "wall_mm = [40]", "demo.toml:9:1: tube[1].wall_mm: a reading of 40 mm is not below half"),
        ("strip_mm = [215.2]", "strip_mm = [150]", "demo.toml:10:1: tube[1].strip_mm: a mean of 150 mm once round"),
        ("wall_mm = [1.25]", "wall_mm = [-1]", "demo.toml:9:1: tube[1].wall_mm[1]: must be above 0 mm"),
    ],
)
def test_an_impossible_reading_names_both(old: str, new: str, message: str) -> None:
    with pytest.raises(DesignError) as caught:
        parse((HEAD + TUBE).replace(old, new), "demo.toml")
    assert message in str(caught.value)


def test_what_stands_on_a_tube_has_no_fit() -> None:
    button = """[[part]]
name = "button"
kind = "rail-button"
fits = "tube"
fit = "slip"
station = "300 mm"
foot_diameter = "10 mm"
foot_height = "2 mm"
waist_diameter = "5 mm"
waist_height = "3 mm"
head_diameter = "10 mm"
head_height = "2 mm"
screw_diameter = "4 mm"
"""
    with pytest.raises(DesignError, match="a rail-button stands on it"):
        parse(HEAD + TUBE + button, "demo.toml")


def test_the_report_and_the_summary_tell_what_was_measured() -> None:
    """By hand: readings of 68.42, 68.38, 68.4022 and 68.3768 mm; 55 g over 280 mm are 196 g/m."""
    design, _ = nose(HEAD + TUBE + NOSE)
    figures = summary(design)
    (tube,) = figures["tubes"]
    assert tube["mean_outside_mm"] == pytest.approx(68.39475, abs=1e-6)
    assert tube["smallest_inside_mm"] == 65.88
    assert tube["wall_mm"] == 1.25
    assert tube["linear_density_g_per_m"] == pytest.approx(55.0 / 0.28, rel=1e-9)
    text = report(design, figures)
    assert "| tube | 68.39, 68.38 to 68.42 (4 readings) | 65.91, 65.88 to 65.94 (4 readings) |" in text
    assert "| 196 |" in text
