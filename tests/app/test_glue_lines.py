"""Glue as a line for each joint, painted and glued areas in words, and tensors of inertia (closed forms by hand)."""

from __future__ import annotations

import json
import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ferrule.app.design import Design
from ferrule.app.design_file import parse
from ferrule.app.report import report
from ferrule.app.summary import summary
from ferrule.parts.errors import DesignError

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"
TEXT = MARRAM.read_text(encoding="utf-8")
LUMP = (
    'glue = "55 g" # until it is weighed: rings, fins and their fillets for the most part\nglue_station = "1010 mm"\n'
)


@cache
def read(film: str = "", lump: bool = True, text: str = TEXT) -> Design:
    allowance = (LUMP if lump else "") + (f'glue_film = "{film}"\n' if film else "")
    assert LUMP in text
    return parse(text.replace(LUMP, allowance), "marram.toml", MARRAM.parent)


@cache
def figures(film: str = "", lump: bool = True) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(json.dumps(summary(read(film, lump))))
    return found


def glue_of(found: dict[str, Any]) -> dict[str, tuple[float, float]]:
    return {
        item["name"]: (item["mass_g"], item["cg_mm"][0]) for item in found["items"] if item["name"].startswith("glue")
    }


# Bores 65.9 and 31.22 mm (31.02 + 0.2), rings of 6 mm, four fins of 4 mm with 90 of 120 mm in a wall of 1.25 mm.
RIM, BORE = math.pi * 65.9 * 6.0, math.pi * 31.22 * 6.0
AREAS = {
    "forward ring in booster tube": (RIM, 923.0),
    "fin ring in booster tube": (2.0 * RIM, (1031.65 + 1128.35) / 2.0),
    "forward ring on motor tube": (BORE, 923.0),
    "fin ring on motor tube": (2.0 * BORE, 1080.0),
    "fin in booster tube": (4.0 * (2.0 * 90.0 * 1.25 + 30.0 * 4.0), 1080.0),
}


def test_each_glued_joint_is_a_line_of_its_own() -> None:
    found = glue_of(figures("150 g/m2", lump=False))
    assert set(found) == {"glue: bulkhead in coupler", *(f"glue: {name}" for name in AREAS)}
    for name, (area, station) in AREAS.items():
        assert found[f"glue: {name}"] == pytest.approx((area * 150.0 * 1e-6, station), rel=1e-9)


def test_units_of_the_film() -> None:
    """1 oz/ft2 is 305.1517 g/m2 (28.349523125 g over 0.3048^2 m2)."""
    metric = glue_of(figures("305.1517 g/m2", lump=False))
    other = glue_of(figures("1 oz/ft2", lump=False))
    assert {name: row[0] for name, row in other.items()} == pytest.approx(
        {name: row[0] for name, row in metric.items()}, rel=1e-6
    )


def test_the_film_is_an_estimate_that_may_be_off_by_half() -> None:
    items = [item for item in figures("150 g/m2")["items"] if item["name"].startswith("glue")]
    assert {(item["kind"], item["mass_basis"]) for item in items} == {("allowance", "estimated")}
    rows = {row["name"]: row for row in figures("150 g/m2")["margin_band"]["items"]}
    row, mass = rows["glue: fin ring in booster tube"], 2.0 * RIM * 150.0 * 1e-6
    assert (row["mass_low_g"], row["mass_high_g"]) == pytest.approx((0.5 * mass, 1.5 * mass), rel=1e-9)


def test_lump_and_film_add_up_and_a_note_says_so() -> None:
    both, film, lump = figures("150 g/m2"), figures("150 g/m2", lump=False), figures()
    masses = [sum(row[0] for row in glue_of(one).values()) for one in (both, film, lump)]
    assert masses[0] == pytest.approx(masses[1] + masses[2], rel=1e-12)
    assert masses[2] == 55.0
    notes = [" ".join(one["body"]["notes"]) for one in (both, film, lump)]
    assert ["add up" in one for one in notes] == [True, False, False]
    assert ["glue film: one film" in one for one in notes] == [True, True, False]


def test_without_a_film_nothing_changes_and_the_areas_are_told_all_the_same() -> None:
    plain = figures()
    assert set(glue_of(plain)) == {"glue"}
    assert [one["glue_g"] for one in plain["bonded"]] == [None] * 6
    assert {one["name"]: one["area_mm2"] for one in plain["bonded"]}["fin in booster tube"] == pytest.approx(1380.0)


def test_a_film_is_glue_enough_to_be_asked_for_nothing_more() -> None:
    assert "`glue`" in str(figures("", lump=False)["next"])
    assert "`glue`" not in str(figures("150 g/m2", lump=False)["next"])


def test_fillets_count_by_themselves() -> None:
    text = TEXT.replace('tab_position = "15 mm"', 'fillet_radius = "8 mm"\ntab_position = "15 mm"')
    found = summary(read("150 g/m2", False, text))
    fillets = [item["name"] for item in found["items"] if item["kind"] == "fillet"]
    assert len(fillets) == 1
    assert any(f"{fillets[0]} count by their own shape" in note for note in found["body"]["notes"])
    bonded = {one["name"]: one["area_mm2"] for one in found["bonded"]}
    assert bonded["fin in booster tube"] == pytest.approx(1380.0)


# --- what is wrong ----------------------------------------------------------------------------------------------------


def refused(film: str, text: str = TEXT) -> str:
    with pytest.raises(DesignError) as error:
        read(film, True, text)
    return str(error.value)


def test_a_film_needs_a_glued_joint() -> None:
    said = refused("150 g/m2", TEXT.replace('state = "glued"', 'state = "screwed"'))
    assert "allowances.glue_film: no joint is glued" in said
    assert 'state each as a [[joint]] with state "glued"' in said


def test_glued_joints_without_a_face_are_named() -> None:
    """Both tubes butted and nothing else is glued."""
    text = TEXT.replace('state = "glued"', 'state = "screwed"')
    text = text.replace(
        "# --- recovery", '[[joint]]\nbetween = ["payload tube", "booster tube"]\nstate = "glued"\n\n# -', 1
    )
    said = refused("150 g/m2", text)
    assert "no face is found that the two of a glued joint share: payload tube to booster tube" in said


def test_one_joint_without_a_face_is_noted_and_not_counted() -> None:
    butt = '[[joint]]\nbetween = ["payload tube", "booster tube"]\nstate = "glued"\n\n# -'
    found = read("150 g/m2", True, TEXT.replace("# --- recovery", butt, 1))
    notes = " ".join(summary(found)["body"]["notes"])
    assert "no film counts there: payload tube to booster tube" in notes
    assert "no face is found that the two share" in report(found, summary(found))


@pytest.mark.parametrize(
    ("film", "said"),
    [
        ("150 g", "'150 g' is a mass, expected an areal density"),
        ("0 g/m2", "must be above 0 g/m2, got 0 g/m2"),
        ("2001 g/m2", "must be at most 2000 g/m2, got 2001 g/m2"),
    ],
)
def test_a_film_that_is_none(film: str, said: str) -> None:
    assert f"allowances.glue_film: {said}" in refused(film)


def test_the_name_of_a_line_of_glue_is_free() -> None:
    text = TEXT.replace('name = "retainer"', 'name = "glue fin in booster tube"')
    assert "'glue: fin in booster tube' is the name of something else" in refused("150 g/m2", text)


# --- in words ---------------------------------------------------------------------------------------------------------


def test_painted_and_glued_areas_stand_in_the_report_with_their_sums() -> None:
    found = figures("150 g/m2")
    words = report(read("150 g/m2"), found)
    section = words[words.index("## Painted and glued areas") :].partition("\n## ")[0]
    painted = found["painted"]
    assert painted["area_mm2"] == pytest.approx(sum(face["area_mm2"] for face in painted["faces"]), rel=1e-12)
    # A tube of 68.4 mm mean outside and 280 mm length: pi x 68.4 x 280 = 601.7 cm2.
    assert "| payload tube: skin | 601.7 | 390.0 |" in section
    paint = next(item for item in found["items"] if item["name"] == "paint")
    assert f"{painted['area_mm2'] / 100.0:.1f} cm2 x 150 g/m2 = {paint['mass_g']:.1f} g of paint" in section
    assert "| fin ring in booster tube | 2 x (pi x 65.90 x 6.00) | 24.8 | 1080.0 | 0.37 |" in section
    assert "off by half" in section
    assert "glue 55 g and a film of glue, 150 g/m2" in words


def test_without_a_film_no_mass_of_glue_is_told() -> None:
    section = report(read(), figures()).partition("## Painted and glued areas")[2].partition("\n## ")[0]
    assert "No film of glue is stated." in section
    assert "Glue [g]" not in section


# --- inertia ----------------------------------------------------------------------------------------------------------


def test_tensors_about_the_rocket_add_up_to_that_of_the_whole() -> None:
    """Parallel-axis theorem; the loading without a motor is the sum of all items."""
    found = figures("150 g/m2")
    about = found["inertia_about"]
    bare = next(one for one in found["loadings"] if one["motor"] is None)
    assert about["rocket_cg_mm"] == pytest.approx(bare["cg_mm"], rel=1e-12, abs=1e-9)
    summed = np.sum([np.array(item["inertia_about_rocket_g_mm2"]) for item in found["items"]], axis=0)
    whole = np.array(bare["inertia_g_mm2"])
    assert summed == pytest.approx(whole, rel=1e-9, abs=1e-9 * float(np.abs(whole).max()))
    assert "minus the integral" in about["sign"]


def test_a_tube_about_its_own_centre_and_the_rockets() -> None:
    """M (R^2 + r^2) / 2 and M (3 (R^2 + r^2) + L^2) / 12 for a hollow cylinder; the motor tube has no holes."""
    found = figures()
    tube = next(item for item in found["items"] if item["name"] == "motor tube")
    mass, squares = tube["mass_g"], 15.495**2 + 14.6**2
    roll, pitch = mass * squares / 2.0, mass * (3.0 * squares + 250.0**2) / 12.0
    assert np.array(tube["inertia_g_mm2"]) == pytest.approx(np.diag([roll, pitch, pitch]), rel=1e-9, abs=1e-6)
    away = 900.0 + 125.0 - found["inertia_about"]["rocket_cg_mm"][0]
    about = np.array(tube["inertia_about_rocket_g_mm2"])
    assert np.diag(about)[1] == pytest.approx(pitch + mass * away**2, rel=1e-6)


def test_what_is_not_stated_has_no_tensor() -> None:
    found = summary(read("", True, TEXT.replace('mass = "85 g"\n', "")))
    assert found["inertia_about"]["rocket_cg_mm"] is None
    assert {str(item["inertia_about_rocket_g_mm2"]) for item in found["items"]} == {"None"}
    assert "## Moments of inertia" not in report(read("", True, TEXT.replace('mass = "85 g"\n', "")), found)


def test_roll_and_pitch_of_every_state_stand_in_the_report() -> None:
    words, loadings = report(read(), figures()), figures()["loadings"]
    section = words.partition("## Moments of inertia")[2].partition("\n## ")[0]
    assert len(loadings) == 3
    for one in loadings:
        roll, pitch = (one["inertia_g_mm2"][axis][axis] / 1e6 for axis in (0, 1))
        assert f"| {roll:.3f} | {pitch:.3f} |" in section
    assert "[g m2]" in section
