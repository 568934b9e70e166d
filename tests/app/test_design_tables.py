"""Every table of a design file beside tubes and parts: what loads, what is refused where, what the fingerprint sees.

tests/app/test_design_file.py has the tubes and parts.
"""

from __future__ import annotations

import itertools
import math
import os
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.analysis.launch import Launch
from ferrule.app.check_text import check_text
from ferrule.app.circumstances import (
    canopies,
    drag_of,
    launch_of,
    loads_of,
    rails,
    stated_loads,
)
from ferrule.app.design import Design
from ferrule.app.design_file import load, parse
from ferrule.app.entries import ParachuteEntry, PayloadEntry
from ferrule.app.flight_entries import DragEntry, LoadsEntry
from ferrule.app.report import report
from ferrule.app.summary import summary
from ferrule.app.variants import Edit, Variants
from ferrule.parts.errors import DesignError
from ferrule.parts.quantity import mm

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"

THRUST = "# invented\ntime_s,thrust_N\n0,0\n0.1,40\n1.1,0\n"

HEAD = 'format = 1\nname = "Demo"\nnote = "Invented."\n'
TABLES = (
    """[settings]
units = "in"
revision = "B"
date = 2030-01-31
""",
    """[allowances]
glue = "41 g"
glue_station = "1001 mm"
paint = "150 g/m2"
""",
    """[rail]
length = "2.5 m"
""",
    """[launch]
altitude = "150 m"
temperature = "16 degC"
tilt = "4 deg"
winds = ["3 m/s", "9 km/h"]
ceiling = "3000 ft"
""",
    """[drag]
coefficient = 0.55
reference_diameter = "68.3 mm"
source = "coast of an earlier flight"
spread = "12 %"
thrust_spread = "5 %"
mass_spread = "2 %"
""",
    """[loads]
opening_factor = 41
gust = "9.5 m/s"
glue_shear = "2.5 MPa"
""",
    """[printer.tall]
width = "251 mm"
depth = "252 mm"
height = "341 mm"
""",
    """[cutter.laser]
width = "601 mm"
depth = "303 mm"
""",
    """[[tube]]
name = "payload tube"
outside_mm = [68.42, 68.38]
inside_mm = [65.92, 65.88]
length = "280 mm"
station = "250 mm"
material = "kraft-tube"
""",
    """[[tube]]
name = "booster tube"
outside_mm = [68.41, 68.39]
inside_mm = [65.91, 65.89]
length = "620 mm"
station = "530 mm"
vents = ["625 mm"]
vent_diameter = "4 mm"
material = "kraft-tube"
""",
    """[[tube]]
name = "motor tube"
use = "motor"
outside_mm = [31.02, 30.98]
inside_mm = [29.22, 29.18]
length = "249 mm"
station = "900 mm"
material = "kraft-tube"
""",
    """[[part]]
name = "nose"
kind = "nose-cone"
fits = "payload tube"
profile = "cone"
tip = "sharp"
length = "250 mm"
shoulder_length = "68 mm"
material = "petg"
""",
    """[[part]]
name = "coupler"
kind = "coupler"
fits = "booster tube"
station = "460 mm"
length = "140 mm"
wall = "2.4 mm"
material = "petg"
""",
    """[[part]]
name = "bulkhead"
kind = "bulkhead"
fits = "coupler"
around = "booster tube"
station = "594 mm"
thickness = "6 mm"
step_thickness = "6 mm"
step_faces = "forward"
material = "birch-plywood"
""",
    """[[part]]
name = "forward ring"
kind = "centering-ring"
fits = "booster tube"
around = "motor tube"
station = "920 mm"
thickness = "6.1 mm"
material = "birch-plywood"
""",
    """[[part]]
name = "fin"
kind = "fin"
fits = "booster tube"
around = "motor tube"
count = 4
station = "1020 mm"
root_chord = "120 mm"
tip_chord = "60 mm"
semi_span = "58 mm"
sweep_length = "50 mm"
thickness = "4 mm"
material = "birch-plywood"
""",
    """[[joint]]
between = ["nose", "payload tube"]
state = "screwed"
by = "3 x M3"
""",
    """[[joint]]
between = ["payload tube", "coupler"]
state = "glued"
""",
    """[[joint]]
between = ["coupler", "booster tube"]
state = "releases"
by = "tape fit"
""",
    """[[anchor]]
name = "eyebolt"
on = "bulkhead"
material = "steel"
rating = "900 N"
mass = "15 g"
station = "608 mm"
""",
    """[[anchor]]
name = "U-bolt"
on = "forward ring"
material = "aluminium-6061"
mass = "25 g"
station = "915 mm"
""",
    """[[harness]]
name = "main harness"
anchors = ["eyebolt", "U-bolt"]
length = "3.5 m"
strength = "3 kN"
mass = "60 g"
station = "640 mm"
""",
    """[[parachute]]
name = "parachute"
harness = "main harness"
diameter = "0.90 m"
drag_coefficient = 0.75
drag_area = "projected"
descent = "6.5 m/s"
mass = "110 g"
station = "680 mm"
""",
    """[[payload]]
name = "logger"
mass = "85 g"
station = "360 mm"
length = "90 mm"
diameter = "44 mm"
greatest_g = 120
""",
    """[[hardware]]
name = "screws"
count = 3
mass = "1.2 g"
station = "284 mm"
""",
    """[[mass]]
name = "ballast"
mass = "7 g"
station = "100 mm"
""",
    """[[motor]]
name = "small"
fits = "motor tube"
diameter = "29 mm"
length = "124 mm"
aft_end = "1152 mm"
loaded_mass = "130 g"
empty_mass = "70 g"
loaded_cg = "62 mm"
empty_cg = "66 mm"
thrust = "small.csv"
delays = ["4 s", "7 s"]
delay_tolerance = "1.2 s"
""",
    """[[motor]]
name = "large"
diameter = "29.1 mm"
length = "200 mm"
aft_end = "1153 mm"
loaded_mass = "190 g"
empty_mass = "100 g"
""",
)
FULL = HEAD + "".join(TABLES)
DRAG = next(table for table in TABLES if table.startswith("[drag]"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "small.csv").write_text(THRUST, encoding="utf-8")
    return tmp_path


def changed(old: str, new: str) -> str:
    assert FULL.count(old) == 1, f"{old!r} must be in the text once"
    return FULL.replace(old, new)


def refused(text: str, folder: Path) -> list[str]:
    with pytest.raises(DesignError) as caught:
        parse(text, "demo.toml", folder)
    assert all(problem.line for problem in caught.value.problems)
    return str(caught.value).split("\n")


# --- what loads -------------------------------------------------------------------------------------------------------


def test_every_table_is_loaded(folder: Path) -> None:
    design = parse(FULL, "demo.toml", folder)
    settings = design.settings
    assert (settings.units, settings.revision, settings.date) == ("in", "B", "2030-01-31")
    assert design.head.note == "Invented."
    assert [(joint.between, joint.state, joint.by) for joint in design.recovery.joints] == [
        (("nose", "payload tube"), "screwed", "3 x M3"),
        (("payload tube", "coupler"), "glued", None),
        (("coupler", "booster tube"), "releases", "tape fit"),
    ]
    assert [(anchor.name, anchor.on, anchor.metal) for anchor in design.recovery.anchors] == [
        ("eyebolt", "bulkhead", True),
        ("U-bolt", "forward ring", True),
    ]
    (harness,), (parachute,) = design.recovery.harnesses, design.recovery.parachutes
    assert (harness.name, harness.anchors) == ("main harness", ("eyebolt", "U-bolt"))
    assert (parachute.name, parachute.harness) == ("parachute", "main harness")
    small, large = design.motors
    assert (small.diameter, small.length, small.aft_end, small.forward_end) == (29.0, 124.0, 1152.0, 1028.0)
    assert (small.loaded_mass, small.empty_mass, small.loaded_cg, small.empty_cg) == (130.0, 70.0, 62.0, 66.0)
    assert small.thrust is not None
    assert small.thrust.total_impulse == pytest.approx(22.0, abs=1e-12)  # triangles: 40 N over 1.1 s
    assert (large.thrust, large.loaded_cg) == (None, None)
    assert (small.delays, small.delay_tolerance, small.data, small.propellant) == ((4.0, 7.0), 1.2, None, 60.0)
    assert (large.delays, large.delay_tolerance, large.propellant) == ((), None, 90.0)
    assert design.motor_tubes["small"].inside == (29.22, 29.18)
    assert "large" not in design.motor_tubes
    tall, laser = design.printers["tall"], design.cutters["laser"]
    assert (tall.width, tall.depth, tall.height, laser.width, laser.depth) == (251.0, 252.0, 341.0, 601.0, 303.0)
    assert design.allowances.paint == 150.0


def test_whatever_has_mass_takes_part_in_the_balance_at_its_station(folder: Path) -> None:
    figures = summary(parse(FULL, "demo.toml", folder))
    items = {item["name"]: item for item in figures["items"]}
    for name, kind, mass, station, basis in (
        ("eyebolt", "anchor", 15.0, 608.0, "stated"),
        ("U-bolt", "anchor", 25.0, 915.0, "stated"),
        ("main harness", "harness", 60.0, 640.0, "stated"),
        ("parachute", "parachute", 110.0, 680.0, "stated"),
        ("logger", "payload", 85.0, 360.0, "stated"),
        ("screws", "hardware", 3 * 1.2, 284.0, "stated"),
        ("ballast", "mass", 7.0, 100.0, "stated"),
        ("glue", "allowance", 41.0, 1001.0, "estimated"),
    ):
        item = items[name]
        assert (item["kind"], item["mass_basis"]) == (kind, basis), name
        assert item["mass_g"] == pytest.approx(mass, abs=1e-12), name
        assert item["cg_mm"] == pytest.approx([station, 0.0, 0.0], abs=1e-9), name
    assert items["screws"]["quantity"] == 3
    # By hand: cone pi r l of the sloped side, tubes pi d L, four fins with their rims; 150 g/m2.
    radius = (68.40 - 0.1) / 2.0
    cone = 3.14159265 * radius * (radius**2 + 250.0**2) ** 0.5
    tubes = 3.14159265 * 68.40 * (280.0 + 620.0)
    edges = 60.0 + (50.0**2 + 58.0**2) ** 0.5 + (10.0**2 + 58.0**2) ** 0.5
    fins = 4 * (2 * (120.0 + 60.0) / 2.0 * 58.0 + 4.0 * edges)
    assert items["paint"]["mass_g"] == pytest.approx((cone + tubes + fins) * 1e-6 * 150.0, rel=1e-3)
    assert items["paint"]["mass_basis"] == "estimated"
    whole = sum(item["mass_g"] for item in figures["items"])
    moment = sum(item["mass_g"] * item["cg_mm"][0] for item in figures["items"])
    bare = figures["loadings"][0]
    assert (bare["motor"], bare["name"]) == (None, "without motor")
    assert bare["mass_g"] == pytest.approx(whole, rel=1e-12)
    assert bare["cg_mm"][0] == pytest.approx(moment / whole, rel=1e-12)
    # The first motor says where it balances, the second counts as balanced at its middle.
    for loading, mass, station in zip(
        figures["loadings"][1:],
        (130.0, 70.0, 190.0, 100.0),
        (1028.0 + 62.0, 1028.0 + 66.0, 1053.0, 1053.0),
        strict=True,
    ):
        assert loading["mass_g"] == pytest.approx(whole + mass, rel=1e-12)
        assert loading["cg_mm"][0] == pytest.approx((moment + mass * station) / (whole + mass), rel=1e-12)


def test_what_goes_with_the_tables_is_checked(folder: Path) -> None:
    checks = {check.name: check for check in parse(FULL, "demo.toml", folder).checks}
    for name in (
        "one joint releases",
        "parachute on one harness",
        "small: in motor tube",
        "nose: on a printer",
        "fin: on a cutter",
        "static margin, small at liftoff",
        "static margin, large at burnout",
    ):
        assert checks[name].status == "pass", name
    anchored = [check for name, check in checks.items() if name.startswith("anchor on")]
    assert [check.status for check in anchored] == ["pass", "pass"]


@pytest.mark.parametrize("missing", [n for n, table in enumerate(TABLES) if not table.startswith("[[tube]]")])
def test_a_design_without_one_of_its_tables_loads_or_says_what_is_missing(missing: int, folder: Path) -> None:
    text = HEAD + "".join(table for number, table in enumerate(TABLES) if number != missing)
    named = re.search(r'name = "(.*)"', TABLES[missing])
    try:
        design = parse(text, "demo.toml", folder)
    except DesignError as error:
        assert named is not None
        lacking = f"there is no (tube or part|tube|anchor|harness) {re.escape(repr(named[1]))}"
        assert all(re.search(lacking, problem.message) for problem in error.problems)
    else:
        figures = summary(design)
        assert figures["loadings"]
        assert check_text(figures)
        assert report(design, figures)


# --- the flight and its loads -----------------------------------------------------------------------------------------

PINS = """pins = 2
pin_size = "#2-56"
holding_force = "45 N"
opening_force = "150 lbf"
opening_force_from = "a test run by a mentor"
"""
PINNED = 'by = "tape fit"\n', f'by = "tape fit"\n{PINS}'


def test_the_launch_is_as_stated(folder: Path) -> None:
    found = launch_of(parse(FULL, "demo.toml", folder).entries)
    assert found.altitude == 150.0
    assert found.temperature == pytest.approx(289.15)
    assert found.tilt == pytest.approx(math.radians(4.0))
    assert found.winds == (2.5, 3.0)  # 9 km/h and 3 m/s, rising
    assert found.ceiling == pytest.approx(914.4)  # 3000 ft


def test_a_launch_that_is_not_stated_is_as_usual() -> None:
    tables = [table for table in TABLES if not table.startswith(("[launch]", "[drag]", "[loads]", "[[motor]]"))]
    entries = parse(HEAD + "".join(tables)).entries
    assert launch_of(entries) == Launch(is_stated=False, winds_are_stated=False)
    assert (drag_of(entries), loads_of(entries)) == (DragEntry(), LoadsEntry())
    assert (stated_loads(entries).opening_factor, stated_loads(entries).glue_shear) == (None, None)


def test_the_drag_is_as_stated(folder: Path) -> None:
    found = drag_of(parse(FULL, "demo.toml", folder).entries)
    assert (found.coefficient, found.source) == (0.55, "coast of an earlier flight")
    assert found.area == pytest.approx(math.pi * 68.3**2 / 4.0, rel=1e-15)
    assert (found.spread, found.thrust_spread, found.mass_spread) == (12.0, 5.0, 2.0)
    area = changed('reference_diameter = "68.3 mm"', 'reference_area = "36.6 cm2"')
    assert drag_of(parse(area, "demo.toml", folder).entries).area == 3660.0
    rough = FULL.replace(DRAG, '[drag]\nroughness = "60 um"\n')
    assert drag_of(parse(rough, "demo.toml", folder).entries) == DragEntry(roughness=mm(0.06))


def test_loads_and_strengths_are_as_stated(folder: Path) -> None:
    entries = parse(changed(*PINNED), "demo.toml", folder).entries
    assert loads_of(entries).gust == 9.5
    found, words = stated_loads(entries), "coupler to booster tube"
    assert (found.opening_factor, found.glue_shear) == (41.0, 2.5)
    assert (found.harness_strength, found.anchor_ratings) == ({"main harness": 3000.0}, {"eyebolt": 900.0})
    assert {name: (pins.size, pins.count) for name, pins in found.pins.items()} == {words: ("#2-56", 2)}
    assert found.holding_force == {words: 45.0}
    assert found.opening_force[words].source == "a test run by a mentor"
    assert found.opening_force[words].force == pytest.approx(150 * 4.4482216152605)  # NIST SP 811
    (canopy,) = canopies(entries)
    assert (canopy.diameter, canopy.drag_coefficient, canopy.drag_area) == (900.0, 0.75, "projected")
    (logger,) = (one for one in entries["payload"] if isinstance(one, PayloadEntry))
    assert (logger.length, logger.diameter, logger.greatest_g) == (90.0, 44.0, 120.0)
    (parachute,) = (one for one in entries["parachute"] if isinstance(one, ParachuteEntry))
    assert parachute.descent == 6.5


def test_the_large_example_states_its_launch_and_no_strengths() -> None:
    entries = load(MARRAM).entries
    assert launch_of(entries) == Launch(20.0, None, 0.0, (2.0, 4.0, 6.0, 8.0), 900.0)
    assert [(rail.length, rail.is_stated) for rail in rails(entries)] == [(2400.0, True)]
    assert [one.words for one in canopies(entries)] == [
        "parachute and protector: 900 mm, C_D 0.75, on the constructed area (the design file)"
    ]
    loads = stated_loads(entries)
    assert (loads.opening_factor, loads.glue_shear, loads.harness_strength) == (None, None, {})
    assert (loads.anchor_ratings, loads.pins, loads.holding_force, loads.opening_force) == ({}, {}, {}, {})


@pytest.mark.parametrize(
    ("old", "new", "field", "message"),
    [
        ("pins = 2", "pins = 13", "pins", "must be at most 12, got 13"),
        ("pins = 2", "pins = 1.5", "pins", "1.5 is not a whole number"),
        ("pins = 2\n", "", "pin_size", "needs `pins` with it: say how many there are"),
        ('"#2-56"', '"2-56"', "pin_size", "'2-56' is not one of #2-56, #4-40, #6-32; did you mean '#2-56'?"),
        ('pin_size = "#2-56"\n', "", "pins", "needs `pin_size` with it: say which thread they have"),
        ('"45 N"', '"45 g"', "holding_force", "'45 g' is a mass, expected a force"),
        ('"45 N"', '"0 N"', "holding_force", "must be above 0 N, got 0 N"),
        ('"150 lbf"', '"150 lb"', "opening_force", "expected a force; did you mean 'lbf'?"),
        ('"150 lbf"', '"101 kN"', "opening_force", "must be at most 100000 N, got 101 kN"),
        ('opening_force_from = "a test run by a mentor"\n', "", "opening_force", "needs `opening_force_from` with it"),
        ('opening_force = "150 lbf"\n', "", "opening_force_from", "needs `opening_force` with it: give the force"),
        ('"a test run by a mentor"', "7", "opening_force_from", "7 is not a text; write it in quotes"),
        ('"a test run by a mentor"', '"me"', "opening_force_from", "takes at least 3 letters, got"),
        ("holding_force", "holding_farce", "holding_farce", "there is no such field; did you mean 'holding_force'?"),
    ],
)
def test_what_is_wrong_of_a_joint_that_opens_is_said_at_its_key(
    old: str, new: str, field: str, message: str, folder: Path
) -> None:
    text = changed(*PINNED)
    assert text.count(old) == 1
    (line,) = refused(text.replace(old, new), folder)
    _, number, _, named, *_ = line.split(":")
    assert named == f" joint[3].{field}"
    assert message in line
    assert text.replace(old, new).split("\n")[int(number) - 1].startswith(f"{field} = ")


@pytest.mark.parametrize("field", PINS.rstrip().split("\n"))
@pytest.mark.parametrize("state", ["glued", "screwed"])
def test_only_a_joint_that_releases_has_pins_and_forces(field: str, state: str, folder: Path) -> None:
    name = field.split(" ")[0]
    (line,) = refused(changed('state = "glued"', f'state = "{state}"\n{field}'), folder)
    assert line.endswith(f"joint[2].{name}: is of a joint that releases, and this one is {state}; leave it out")


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ("coefficient = 0.5", "drag.coefficient: needs `reference_diameter` or `reference_area`, which it refers to"),
        ('coefficient = 0.5\nreference_diameter = "68 mm"', "drag.coefficient: needs a `source`: who says so"),
        (
            'coefficient = 0.5\nreference_diameter = "68 mm"\nreference_area = "36 cm2"\nsource = "flown"',
            "drag.reference_area: give either",
        ),
        (
            'coefficient = 0.5\nreference_area = "36 cm2"\nsource = "flown"\nroughness = "60 um"',
            "drag.roughness: does nothing while `coefficient` is stated",
        ),
        ('reference_diameter = "68 mm"', "drag.reference_diameter: is of a `coefficient`, and none is stated"),
        ('reference_area = "36 cm2"', "drag.reference_area: is of a `coefficient`, and none is stated"),
        ('source = "flown"', "drag.source: is of a `coefficient`, and none is stated"),
        ('roughness = "60 mm"', "drag.roughness: must be at most 1 mm, got 60 mm"),
        ('roughness = "60"', "drag.roughness: '60' has a number without a unit"),
        ('roughness = "-1 um"', "drag.roughness: must be at least 0 mm, got -1 um"),
    ],
)
def test_a_drag_coefficient_says_what_it_is_of(table: str, message: str, folder: Path) -> None:
    text = FULL.replace(DRAG, f"[drag]\n{table}\n")
    (line,) = refused(text, folder)
    _, number, _ = line.split(":", 2)
    assert message in line
    key = message.split(":")[0].removeprefix("drag.")
    assert text.split("\n")[int(number) - 1].startswith(f"{key} = ")


def test_comments_survive_a_change_of_the_new_tables(folder: Path) -> None:
    text = FULL
    for old in ('altitude = "150 m"', "opening_factor = 41", 'strength = "3 kN"', 'rating = "900 N"'):
        assert text.count(old) == 1
        text = text.replace(old, f"{old} # of {old[:8]}")
    edits = (
        Edit(("launch", "altitude"), "160 m"),
        Edit(("launch", "tilt"), None),
        Edit(("loads", "opening_factor"), 42),
        Edit(("loads", "gust"), "8 m/s"),
        Edit(("harness", 0, "strength"), "4 kN"),
    )
    again = Variants(text, "demo.toml", folder).with_changes(edits)
    for line in (
        'altitude = "160 m" # of altitude',
        '# tilt = "4 deg"',
        "opening_factor = 42 # of opening_",
        'gust = "8 m/s"',
        'strength = "4 kN" # of strength',
        'rating = "900 N" # of rating =',
    ):
        assert line in again.split("\n")
    assert launch_of(parse(again, "demo.toml", folder).entries).tilt == 0.0


# --- settings ---------------------------------------------------------------------------------------------------------


def test_the_unit_of_the_settings_comes_first_and_the_figures_stay(folder: Path) -> None:
    inches = parse(FULL, "demo.toml", folder)
    millimetres = parse(changed('units = "in"\n', ""), "demo.toml", folder)
    assert (inches.settings.units, millimetres.settings.units) == ("in", "mm")
    both = [summary(design) for design in (inches, millimetres)]
    assert [figures["units"] for figures in both] == ["in", "mm"]
    assert both[0]["body"] == both[1]["body"]
    assert both[0]["loadings"] == both[1]["loadings"]
    cp = both[0]["body"]["cp_mm"]
    for design, figures, words in zip(
        (inches, millimetres),
        both,
        (f"{cp / 25.4:.3f} in ({cp:.1f} mm)", f"{cp:.1f} mm ({cp / 25.4:.3f} in)"),
        strict=True,
    ):
        assert f"centre of pressure  {words} from the nose tip" in check_text(figures)
        assert f"| Centre of pressure (CP) | {words} |" in report(design, figures)
        assert f"CG [{figures['units']}]" in check_text(figures)
        assert f"CG, predicted [{figures['units']}]" in report(design, figures)


def test_revision_and_date_are_in_the_report(folder: Path) -> None:
    design = parse(FULL, "demo.toml", folder)
    assert "revision B, date 2030-01-31" in report(design, summary(design))


# --- what is refused --------------------------------------------------------------------------------------------------

REFUSED = [
    # settings
    ('units = "in"', 'units = "cm"', "settings.units", "'cm' is not one of mm, in"),
    ('revision = "B"', "revision = 2", "settings.revision", "2 is not a text; write it in quotes"),
    ('revision = "B"', f'revision = "{"B" * 21}"', "settings.revision", "takes at most 20 letters, got 21"),
    ('revision = "B"', 'revison = "B"', "settings.revison", "there is no such field; did you mean 'revision'?"),
    ("date = 2030-01-31", "date = 3", "settings.date", "3 is not a text"),
    # allowances
    ('glue = "41 g"', 'glue = "41 mm"', "allowances.glue", "'41 mm' is a length, expected a mass"),
    ('glue = "41 g"', "glue = 41", "allowances.glue", '41 has no unit; write "41 g"'),
    ('paint = "150 g/m2"', 'paint = "150 g"', "allowances.paint", "'150 g' is a mass, expected an areal density"),
    ('paint = "150 g/m2"', 'paint = "2001 g/m2"', "allowances.paint", "must be at most 2000 g/m2, got 2001 g/m2"),
    ('paint = "150 g/m2"', 'piant = "150 g/m2"', "allowances.piant", "did you mean 'paint'?"),
    # machines
    ('width = "251 mm"', 'width = "0 mm"', "printer.tall.width", "must be above 0 mm, got 0 mm"),
    ('height = "341 mm"', 'height = "341 mm"\nhight = "341 mm"', "printer.tall.hight", "did you mean 'height'?"),
    ('depth = "303 mm"', 'depth = "303"', "cutter.laser.depth", "'303' has a number without a unit"),
    ('depth = "303 mm"', 'depth = "303 mm"\nheight = "303 mm"', "cutter.laser.height", "there is no such field"),
    # joints
    (
        '["payload tube", "coupler"]',
        '["payload tub", "coupler"]',
        "joint[2].between[1]",
        "no tube or part 'payload tub'; did you mean 'payload tube'?",
    ),
    (
        '["payload tube", "coupler"]',
        '["payload tube", "Coupler"]',
        "joint[2].between[2]",
        "no tube or part 'Coupler'; did you mean 'coupler'?",
    ),
    ('["payload tube", "coupler"]', '["coupler", "coupler"]', "joint[2].between", "'coupler' is not joined to itself"),
    (
        '["payload tube", "coupler"]',
        '["payload tube", "nose"]',
        "joint[2].between",
        "'payload tube' and 'nose' are joined already, by joint[1]",
    ),
    ('["payload tube", "coupler"]', '["coupler", "logger"]', "joint[2].between[2]", "no tube or part 'logger'"),
    ('["payload tube", "coupler"]', '"coupler"', "joint[2].between", "'coupler' is not a list"),
    (
        '["payload tube", "coupler"]',
        '["payload tube", "coupler", "nose"]',
        "joint[2].between",
        "takes at most 2 values, got 3",
    ),
    ('["payload tube", "coupler"]', '["payload tube", 3]', "joint[2].between[2]", "3 is not a text"),
    (
        'state = "glued"',
        'state = "glue"',
        "joint[2].state",
        "'glue' is not one of glued, screwed, releases; did you mean 'glued'?",
    ),
    ('by = "tape fit"', 'by = "tape\\tfit"', "joint[3].by", "holds a character that cannot be printed"),
    ('by = "tape fit"', 'bye = "tape fit"', "joint[3].bye", "there is no such field"),
    # anchors, harness, parachute
    ('on = "bulkhead"', 'on = "bulkhaed"', "anchor[1].on", "no tube or part 'bulkhaed'; did you mean 'bulkhead'?"),
    (
        'material = "aluminium-6061"',
        'material = "alumnium-6061"',
        "anchor[2].material",
        "no material 'alumnium-6061' in the table; it has pla, petg,",
    ),
    ('mass = "15 g"', 'mass = "0 g"', "anchor[1].mass", "must be above 0 g, got 0 g"),
    ('station = "608 mm"', 'station = "-1 mm"', "anchor[1].station", "must be at least 0 mm, got -1 mm"),
    (
        '["eyebolt", "U-bolt"]',
        '["eyebolt", "Ubolt"]',
        "harness[1].anchors[2]",
        "no anchor 'Ubolt'; did you mean 'U-bolt'?",
    ),
    ('["eyebolt", "U-bolt"]', "[]", "harness[1].anchors", "must not be empty"),
    ('length = "3.5 m"', 'length = "101 m"', "harness[1].length", "must be at most 100000 mm, got 101 m"),
    (
        'harness = "main harness"',
        'harness = "harness"',
        "parachute[1].harness",
        "no harness 'harness'; did you mean 'main harness'?",
    ),
    (
        "drag_coefficient = 0.75",
        'drag_coefficient = "0.75 m"',
        "parachute[1].drag_coefficient",
        "'0.75 m' is not a plain number; this field has no unit",
    ),
    ("drag_coefficient = 0.75", "drag_coefficient = 0", "parachute[1].drag_coefficient", "must be above 0, got 0"),
    ('diameter = "0.90 m"', 'diameter = "0.90"', "parachute[1].diameter", "'0.90' has a number without a unit"),
    # payload, hardware, masses
    ('mass = "85 g"', "count = 2", "payload[1].count", "there is no such field"),
    ("count = 3", "count = 2.5", "hardware[1].count", "2.5 is not a whole number"),
    ("count = 3", "count = 1001", "hardware[1].count", "must be at most 1000, got 1001"),
    ('mass = "1.2 g"', 'mass = "1.2"', "hardware[1].mass", "'1.2' has a number without a unit"),
    ('station = "100 mm"', 'station = "100 g"', "mass[1].station", "'100 g' is a mass, expected a length"),
    ('name = "ballast"', 'name = "Logger"', "mass[1].name", "'Logger' and 'logger' would have the same file name"),
    # motors
    (
        'fits = "motor tube"\ndiameter',
        'fits = "motor tubes"\ndiameter',
        "motor[1].fits",
        "no tube 'motor tubes'; did you mean 'motor tube'?",
    ),
    ('diameter = "29 mm"', 'diameter = "29 g"', "motor[1].diameter", "'29 g' is a mass, expected a length"),
    ('diameter = "29 mm"', 'diameter = "301 mm"', "motor[1].diameter", "must be at most 300 mm, got 301 mm"),
    (
        'empty_mass = "70 g"',
        'empty_mass = "130 g"',
        "motor[1].empty_mass",
        "130 g is not less than the loaded mass, 130 g",
    ),
    (
        'empty_cg = "66 mm"',
        'empty_cg = "125 mm"',
        "motor[1].empty_cg",
        "125 mm is not within the motor's length, 124 mm",
    ),
    (
        'aft_end = "1152 mm"',
        'aft_end = "123 mm"',
        "motor[1].aft_end",
        "123 mm leaves no room for a motor of 124 mm behind",
    ),
    ('delays = ["4 s", "7 s"]', 'delays = "4 s"', "motor[1].delays", "'4 s' is not a list; write it in square"),
    ('delays = ["4 s", "7 s"]', 'delays = ["4 s", "7 N"]', "motor[1].delays[2]", "'7 N' is a force, expected a time"),
    ('delays = ["4 s", "7 s"]', 'delays = ["4 s", 7]', "motor[1].delays[2]", '7 has no unit; write "7 s"'),
    ('delays = ["4 s", "7 s"]', 'delays = ["0 s"]', "motor[1].delays[1]", "must be above 0 s, got 0 s"),
    ('delays = ["4 s", "7 s"]', 'delays = ["2 min"]', "motor[1].delays[1]", "must be at most 60 s, got 2 min"),
    ('delays = ["4 s", "7 s"]', 'delays = ["7 s", "4 s"]', "motor[1].delays", "must rise, got 7, 4 s"),
    (
        'delay_tolerance = "1.2 s"',
        'delay_tolerance = "11 s"',
        "motor[1].delay_tolerance",
        "must be at most 10 s, got 11 s",
    ),
    # launch, drag, loads
    ('altitude = "150 m"', 'altitude = "150 g"', "launch.altitude", "'150 g' is a mass, expected a length"),
    ('altitude = "150 m"', 'altitude = "6 km"', "launch.altitude", "must be at most 5000000 mm, got 6 km"),
    ('temperature = "16 degC"', "temperature = 16", "launch.temperature", '16 has no unit; write "16 degC"'),
    (
        'temperature = "16 degC"',
        'temperature = "60 degC"',
        "launch.temperature",
        "must be at most 56.85 degC, got 60 degC",
    ),
    ('tilt = "4 deg"', 'tilt = "31 deg"', "launch.tilt", "must be at most 30 deg, got 31 deg"),
    ('tilt = "4 deg"', 'tillt = "4 deg"', "launch.tillt", "there is no such field; did you mean 'tilt'?"),
    ('winds = ["3 m/s", "9 km/h"]', 'winds = "3 m/s"', "launch.winds", "'3 m/s' is not a list"),
    ('winds = ["3 m/s", "9 km/h"]', 'winds = ["3 m"]', "launch.winds[1]", "'3 m' is a length, expected a speed"),
    ('winds = ["3 m/s", "9 km/h"]', 'winds = ["3 m/s", "31 m/s"]', "launch.winds[2]", "must be at most 30 m/s, got"),
    ('ceiling = "3000 ft"', 'ceiling = "0 ft"', "launch.ceiling", "must be above 0 mm, got 0 ft"),
    ("coefficient = 0.55", 'coefficient = "0.55 mm"', "drag.coefficient", "is not a plain number; this field has no"),
    ("coefficient = 0.55", "coefficient = 0", "drag.coefficient", "must be above 0, got 0"),
    ('reference_diameter = "68.3 mm"', "reference_diameter = 68.3", "drag.reference_diameter", "68.3 has no unit"),
    ('source = "coast of an earlier flight"', 'source = "?"', "drag.source", "takes at least 3 letters, got"),
    ('spread = "12 %"\nt', "spread = 12\nt", "drag.spread", '12 has no unit; write "12 %"'),
    ('spread = "12 %"\nt', 'spread = "51 %"\nt', "drag.spread", "must be at most 50 %, got 51 %"),
    ('thrust_spread = "5 %"', 'thrust_spread = "5 N"', "drag.thrust_spread", "'5 N' is a force, expected a percentage"),
    ('mass_spread = "2 %"', 'mass_spread = "0 %"', "drag.mass_spread", "must be above 0 %, got 0 %"),
    ("opening_factor = 41", "opening_factor = 101", "loads.opening_factor", "must be at most 100, got 101"),
    ("opening_factor = 41", "opening_factor = 4", "loads.opening_factor", "must be at least 5, got 4"),
    ("opening_factor = 41", 'opening_factor = "41 g"', "loads.opening_factor", "'41 g' is not a plain number"),
    ("opening_factor = 41", "opening_facter = 41", "loads.opening_facter", "did you mean 'opening_factor'?"),
    ('gust = "9.5 m/s"', 'gust = "9.5 m"', "loads.gust", "'9.5 m' is a length, expected a speed"),
    ('gust = "9.5 m/s"', 'gust = "70 mph"', "loads.gust", "must be at most 30 m/s, got 70 mph"),
    ('glue_shear = "2.5 MPa"', 'glue_shear = "2.5 N"', "loads.glue_shear", "'2.5 N' is a force, expected a pressure"),
    ('glue_shear = "2.5 MPa"', 'glue_shear = "1 GPa"', "loads.glue_shear", "must be at most 50 MPa, got 1 GPa"),
    # strengths, and the room that things need
    ('rating = "900 N"', 'rating = "900 kg"', "anchor[1].rating", "'900 kg' is a mass, expected a force"),
    ('rating = "900 N"', 'rating = "0 N"', "anchor[1].rating", "must be above 0 N, got 0 N"),
    ('strength = "3 kN"', 'strength = "3"', "harness[1].strength", "'3' has a number without a unit; write \"3 N\""),
    ('strength = "3 kN"', 'strengt = "3 kN"', "harness[1].strengt", "did you mean 'strength'?"),
    (
        'drag_area = "projected"',
        'drag_area = "flat"',
        "parachute[1].drag_area",
        "'flat' is not one of constructed, projected",
    ),
    ('descent = "6.5 m/s"', 'descent = "6.5 m"', "parachute[1].descent", "'6.5 m' is a length, expected a speed"),
    ('descent = "6.5 m/s"', 'descent = "0 m/s"', "parachute[1].descent", "must be above 0 m/s, got 0 m/s"),
    ('length = "90 mm"', "length = 90", "payload[1].length", '90 has no unit; write "90 mm"'),
    ('diameter = "44 mm"', 'diameter = "0 mm"', "payload[1].diameter", "must be above 0 mm, got 0 mm"),
    ("greatest_g = 120", 'greatest_g = "120 g"', "payload[1].greatest_g", "'120 g' is not a plain number"),
    ("greatest_g = 120", "greatest_g = 0", "payload[1].greatest_g", "must be above 0, got 0"),
    ('thrust = "small.csv"', "thrust = 3", "motor[1].thrust", "3 is not a text"),
    ('thrust = "small.csv"', 'thrust = "none.csv"', "motor[1].thrust", "there is no such thrust table"),
    ('thrust = "small.csv"', 'thrust = ""', "motor[1].thrust", "this is a folder; name the thrust table in it"),
    ('thrust = "small.csv"', 'trust = "small.csv"', "motor[1].trust", "there is no such field; did you mean 'thrust'?"),
    ('name = "large"', 'name = "SMALL"', "motor[2].name", "'SMALL' and 'small' would have the same file name"),
    # vents of a tube
    (
        'vents = ["625 mm"]',
        'vents = ["625 mm", "529 mm"]',
        "tube[2].vents[2]",
        "529 mm is not on the tube, which reaches from 530 to 1150 mm",
    ),
    ('vents = ["625 mm"]', "vents_mm = [625, 1150]", "tube[2].vents_mm[2]", "1150 mm is not on the tube"),
    ('vent_diameter = "4 mm"', 'vent_roll = "90 deg"', "tube[2].vents", "need a `vent_diameter`, and it is not stated"),
    ('vents = ["625 mm"]', "# none", "tube[2].vent_diameter", "says how the vents are, and none are stated"),
]


@pytest.mark.parametrize(("old", "new", "field", "message"), REFUSED)
def test_a_fault_gives_one_line_with_the_place_of_its_key(
    old: str, new: str, field: str, message: str, folder: Path
) -> None:
    text = changed(old, new)
    (line,) = refused(text, folder)
    _, number, column, named, *_ = line.split(":")
    assert (column, named) == ("1", f" {field}")
    assert message in line
    key = field.rsplit(".", 1)[-1].partition("[")[0]
    assert text.split("\n")[int(number) - 1].startswith(f"{key} = ")
    # The very line, where the fault is in a line that was changed.
    if key == new.split(" ")[0]:
        assert int(number) == text[: text.index(new)].count("\n") + 1


@pytest.mark.parametrize(
    ("key", "field"),
    [
        ('state = "glued"\n', "joint[2].state"),
        ('between = ["coupler", "booster tube"]\n', "joint[3].between"),
        ('on = "bulkhead"\n', "anchor[1].on"),
        ('station = "640 mm"\n', "harness[1].station"),
        ('anchors = ["eyebolt", "U-bolt"]\n', "harness[1].anchors"),
        ('name = "logger"\n', "payload[1].name"),
        ('aft_end = "1153 mm"\n', "motor[2].aft_end"),
        ('loaded_mass = "190 g"\n', "motor[2].loaded_mass"),
        ('height = "341 mm"\n', "printer.tall.height"),
        ('width = "601 mm"\n', "cutter.laser.width"),
    ],
)
def test_what_is_needed_and_not_stated_is_named_at_its_table(key: str, field: str, folder: Path) -> None:
    text = changed(key, "")
    (line,) = refused(text, folder)
    _, number, _, named, *_ = line.split(":")
    assert named == f" {field}"
    assert f"{field}: is needed and not stated" in line
    table, _, _ = field.rpartition(".")
    head = f"[[{table.partition('[')[0]}]]" if "[" in table else f"[{table}]"
    assert text.split("\n")[int(number) - 1] == head


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[[motor]]\nname", "[motor]\nname", None),
        ("[settings]", "[[settings]]", "settings: write the settings as one table, headed [settings]"),
        ("[launch]", "[[launch]]", "launch: write the launch as one table, headed [launch]"),
        ("[drag]", "[[drag]]", "drag: write the drag as one table, headed [drag]"),
        ("[loads]", "[[loads]]", "loads: write the loads as one table, headed [loads]"),
        ("[loads]", "[load]", "load: there is no such field or table; did you mean 'loads'?"),
        ("[allowances]", "[[allowances]]", "allowances: write the allowances as one table, headed [allowances]"),
        ("[printer.tall]", "[printer]", "printer: write each printer as a table with its name, headed [printer.NAME]"),
        ("[cutter.laser]", "[[cutter]]", "cutter: write each cutter as a table with its name, headed [cutter.NAME]"),
        ("[[harness]]", "[harness]", "harness: write each harness as a table of its own, headed [[harness]]"),
        ("[[payload]]", "[[payloads]]", "payloads: there is no such field or table; did you mean 'payload'?"),
    ],
)
def test_a_table_with_the_wrong_head_is_told_how_to_write_it(
    old: str, new: str, message: str | None, folder: Path
) -> None:
    text = FULL.replace(old, new)
    assert text != FULL
    lines = refused(text, folder)
    if message is None:
        assert "is not TOML" in lines[0]  # the second of two tables of one name
    else:
        number = text[: text.index(new)].count("\n") + 1
        assert f"demo.toml:{number}:1: {message}" in lines


def test_glue_needs_its_mass_and_its_place(folder: Path) -> None:
    (line,) = refused(changed('glue_station = "1001 mm"\n', ""), folder)
    assert line.endswith("allowances: glue has a mass and a place: `glue_station` is not stated")
    (line,) = refused(changed('glue = "41 g"\n', ""), folder)
    assert line.endswith("allowances: glue has a mass and a place: `glue` is not stated")


def test_an_allowance_does_not_take_the_name_of_something_else(folder: Path) -> None:
    (line,) = refused(changed('name = "ballast"', 'name = "Paint"'), folder)
    assert "allowances: 'paint' is the name of something else in the design" in line
    assert parse(f'{HEAD}[[mass]]\nname = "paint"\nmass = "3 g"\nstation = "4 mm"\n').rocket.items[0].name == "paint"


def test_paint_needs_something_to_paint() -> None:
    text = f'{HEAD}[allowances]\npaint = "150 g/m2"\n[[mass]]\nname = "m"\nmass = "3 g"\nstation = "4 mm"\n'
    with pytest.raises(DesignError, match=r"^design:5:1: allowances\.paint: there is no skin to paint"):
        parse(text)


def test_every_fault_of_every_table_is_said_at_once_in_the_order_of_the_file(folder: Path) -> None:
    text = FULL
    for old, new in (
        ('units = "in"', 'units = "ft"'),
        ('paint = "150 g/m2"', 'paint = "150"'),
        ('height = "341 mm"', 'height = "341 g"'),
        ('depth = "303 mm"', 'depth = "0 mm"'),
        ('state = "glued"', 'state = "stuck"'),
        ('on = "bulkhead"', 'on = "bulk"'),
        ('length = "3.5 m"', "length = 3.5"),
        ('harness = "main harness"', 'harness = "no harness"'),
        ('mass = "85 g"', 'mass = "85 mm"'),
        ("count = 3", 'count = "three"'),
        ('station = "100 mm"', 'station = "100"'),
        ('empty_mass = "70 g"', 'empty_mass = "700 g"'),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    (folder / "small.csv").write_text(THRUST.replace("0.1,40", "0.1,-40"), encoding="utf-8")
    lines = refused(text, folder)
    fields = [line.split(": ")[1] for line in lines]
    assert fields[:-1] == [
        "settings.units",
        "allowances.paint",
        "printer.tall.height",
        "cutter.laser.depth",
        "joint[2].state",
        "anchor[1].on",
        "harness[1].length",
        "parachute[1].harness",
        "payload[1].mass",
        "hardware[1].count",
        "mass[1].station",
        "motor[1].empty_mass",
    ]
    assert lines[-1] == "small.csv:4: a thrust must be from 0 to 1e+06 N, got -40 N"
    numbers = [int(line.split(":")[1]) for line in lines[:-1]]
    assert [text.split("\n")[number - 1].split(" ")[0] for number in numbers] == [
        field.rsplit(".", 1)[-1] for field in fields[:-1]
    ]


def test_what_was_refused_is_not_called_unknown_as_well(folder: Path) -> None:
    """A harness, an anchor or a bulkhead with a fault of its own is not missing."""
    for old, new in (
        ('station = "608 mm"', 'station = "608"'),
        ('station = "640 mm"', 'station = "640"'),
        ('step_thickness = "6 mm"', 'step_thickness = "6"'),
        ('length = "140 mm"', 'length = "140"'),
        ('length = "620 mm"', 'length = "620"'),
    ):
        (line,) = refused(changed(old, new), folder)
        assert "has a number without a unit" in line


# --- thrust tables ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "messages"),
    [
        ("time_s,thrust_N\n0,0\n1,x\n2,0\n", ["small.csv:3: needs a time [s], a comma and a thrust [N], got '1,x'"]),
        ("time_s,thrust_N\n0,0\n1,9\n1,8\n", ["small.csv:4: times must rise, got 1 s after 1 s"]),
        ("0,0\n1,5\n", ["small.csv:1: the first line must be time_s,thrust_N, got '0,0'"]),
        (
            "time_s,thrust_N\n0,-1\n1;5\n2000,3\n",
            [
                "small.csv:2: a thrust must be from 0 to 1e+06 N, got -1 N",
                "small.csv:3: needs a time [s], a comma and a thrust [N], got '1;5'",
                "small.csv:4: a time must be from 0 to 1000 s, got 2000 s",
            ],
        ),
        ("time_s,thrust_N\r\n0,0\r\n1,nan\r\n", ["small.csv:3: needs a time [s]"]),
        ("\ufefftime_s,thrust_N\n0,0\n1,1,1\n", ["small.csv:3: needs a time [s]"]),
        ("time_s,thrust_N\n0,0\n1,0\n", ["demo.toml:{line}:1: motor[1].thrust: small.csv: no point has any thrust"]),
        ("time_s,thrust_N\n", ["demo.toml:{line}:1: motor[1].thrust: small.csv: a thrust curve needs at least two"]),
        ("", ["demo.toml:{line}:1: motor[1].thrust: small.csv: the thrust curve is empty"]),
    ],
)
def test_a_thrust_table_is_refused_with_its_own_lines(table: str, messages: list[str], folder: Path) -> None:
    (folder / "small.csv").write_bytes(table.encode())
    line = FULL[: FULL.index("thrust = ")].count("\n") + 1
    found = refused(FULL, folder)
    assert len(found) == len(messages)
    for shown, message in zip(found, messages, strict=True):
        assert shown.startswith(message.format(line=line))


def test_a_thrust_table_that_is_no_text_is_refused_with_its_line(folder: Path) -> None:
    (folder / "small.csv").write_bytes(b"time_s,thrust_N\n0,\xff\n")
    assert refused(FULL, folder) == ["small.csv:2: byte 19 is not UTF-8 text; save the thrust table as UTF-8"]


def test_a_thrust_table_lies_beside_its_design(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "deep").mkdir()
    path = folder / "deep" / "demo.toml"
    path.write_text(FULL, encoding="utf-8")
    monkeypatch.chdir(folder)
    with pytest.raises(DesignError, match="there is no such thrust table"):
        load(path)
    (folder / "deep" / "small.csv").write_text(THRUST, encoding="utf-8")
    assert load(path).motors[0].thrust is not None


# --- a rocket that cannot open ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("states", list(itertools.product(["glued", "screwed"], repeat=2)), ids="-".join)
def test_a_screwed_nose_and_a_coupler_held_at_both_ends_are_refused_in_words(
    states: tuple[str, str], folder: Path
) -> None:
    text = changed('state = "glued"', f'state = "{states[0]}"').replace('state = "releases"', f'state = "{states[1]}"')
    with pytest.raises(DesignError) as caught:
        parse(text, "demo.toml", folder)
    assert caught.value.exit_code == 2
    (line,) = str(caught.value).split("\n")
    assert "nothing can open: nose is screwed to payload tube by 3 x M3" in line
    assert f"payload tube is {states[0]} to coupler and coupler is {states[1]} to booster tube by tape fit" in line
    assert line.endswith("let one of two joints release: nose to payload tube, or coupler to booster tube")
    number = int(line.split(":")[1])
    assert text.split("\n")[number - 1] == "[[joint]]"


@pytest.mark.parametrize("released", [0, 1, 2])
def test_one_joint_that_releases_is_enough(released: int, folder: Path) -> None:
    states = ["releases" if number == released else "screwed" for number in range(3)]
    text = FULL
    for old, new in zip(('state = "screwed"', 'state = "glued"', 'state = "releases"'), "abc", strict=True):
        text = text.replace(old, f"state = {new}")
    for state, mark in zip(states, "abc", strict=True):
        text = text.replace(f"state = {mark}", f'state = "{state}"')
    assert [joint.state for joint in parse(text, "demo.toml", folder).recovery.joints] == states


def test_the_large_example_with_its_joint_screwed_is_refused() -> None:
    text = MARRAM.read_text(encoding="utf-8").replace('state = "releases"', 'state = "screwed"')
    with pytest.raises(DesignError, match="nothing can open: nose is screwed to payload tube by 3 x M3 into inserts"):
        parse(text, "marram.toml", MARRAM.parent)


# --- the fingerprint --------------------------------------------------------------------------------------------------

SEEN = [
    ('note = "Invented."', 'note = "Made up."'),
    ('units = "in"', 'units = "mm"'),
    ('revision = "B"', 'revision = "C"'),
    ("date = 2030-01-31", "date = 2030-02-01"),
    ('glue = "41 g"', 'glue = "42 g"'),
    ('glue_station = "1001 mm"', 'glue_station = "1002 mm"'),
    ('paint = "150 g/m2"', 'paint = "151 g/m2"'),
    ('width = "251 mm"', 'width = "250 mm"'),
    ('depth = "252 mm"', 'depth = "253 mm"'),
    ('height = "341 mm"', 'height = "342 mm"'),
    ("[printer.tall]", "[printer.small]"),
    ('width = "601 mm"', 'width = "602 mm"'),
    ("[cutter.laser]", "[cutter.saw]"),
    ('vents = ["625 mm"]', 'vents = ["626 mm"]'),
    ('vent_diameter = "4 mm"', 'vent_diameter = "4.5 mm"'),
    ('vent_diameter = "4 mm"', 'vent_diameter = "4 mm"\nvent_roll = "90 deg"'),
    ('["payload tube", "coupler"]', '["payload tube", "bulkhead"]'),
    ('state = "glued"', 'state = "screwed"'),
    ('by = "tape fit"', 'by = "friction"'),
    ('on = "bulkhead"', 'on = "coupler"'),
    ('material = "steel"', 'material = "aluminium-6061"'),
    ('mass = "15 g"', 'mass = "16 g"'),
    ('station = "608 mm"', 'station = "609 mm"'),
    ('["eyebolt", "U-bolt"]', '["eyebolt"]'),
    ('length = "3.5 m"', 'length = "3.6 m"'),
    ('diameter = "0.90 m"', 'diameter = "0.91 m"'),
    ("drag_coefficient = 0.75", "drag_coefficient = 0.76"),
    ('harness = "main harness"', ""),
    ('mass = "85 g"', 'mass = "86 g"'),
    ("count = 3", "count = 4"),
    ('station = "100 mm"', 'station = "101 mm"'),
    ("[[mass]]", "[[payload]]"),
    ('name = "small"', 'name = "Small"'),
    ('fits = "motor tube"\ndiameter', "diameter"),
    ('diameter = "29 mm"', 'diameter = "28.9 mm"'),
    ('length = "124 mm"', 'length = "125 mm"'),
    ('aft_end = "1152 mm"', 'aft_end = "1151 mm"'),
    ('loaded_mass = "130 g"', 'loaded_mass = "131 g"'),
    ('empty_mass = "70 g"', 'empty_mass = "71 g"'),
    ('loaded_cg = "62 mm"', 'loaded_cg = "61 mm"'),
    ('empty_cg = "66 mm"', ""),
    ('thrust = "small.csv"', ""),
    ('delays = ["4 s", "7 s"]', 'delays = ["4 s", "8 s"]'),
    ('delay_tolerance = "1.2 s"', 'delay_tolerance = "1.3 s"'),
    ('altitude = "150 m"', 'altitude = "151 m"'),
    ('temperature = "16 degC"', 'temperature = "17 degC"'),
    ('tilt = "4 deg"', 'tilt = "5 deg"'),
    ('winds = ["3 m/s", "9 km/h"]', 'winds = ["3 m/s"]'),
    ('ceiling = "3000 ft"', 'ceiling = "3001 ft"'),
    ("coefficient = 0.55", "coefficient = 0.56"),
    ('reference_diameter = "68.3 mm"', 'reference_diameter = "68.4 mm"'),
    ('source = "coast of an earlier flight"', 'source = "a wind tunnel"'),
    ('spread = "12 %"\nt', 'spread = "13 %"\nt'),
    ('thrust_spread = "5 %"', 'thrust_spread = "6 %"'),
    ('mass_spread = "2 %"', 'mass_spread = "3 %"'),
    ("opening_factor = 41", "opening_factor = 42"),
    ('gust = "9.5 m/s"', 'gust = "9.6 m/s"'),
    ('glue_shear = "2.5 MPa"', 'glue_shear = "2.6 MPa"'),
    ('rating = "900 N"', 'rating = "901 N"'),
    ('strength = "3 kN"', 'strength = "4 kN"'),
    ('drag_area = "projected"', 'drag_area = "constructed"'),
    ('descent = "6.5 m/s"', 'descent = "6.6 m/s"'),
    ('length = "90 mm"', 'length = "91 mm"'),
    ('diameter = "44 mm"', 'diameter = "45 mm"'),
    ("greatest_g = 120", "greatest_g = 121"),
    PINNED,
]


@pytest.mark.parametrize(("old", "new"), SEEN)
def test_the_fingerprint_sees_every_table(old: str, new: str, folder: Path) -> None:
    before, after = (parse(text, "demo.toml", folder).fingerprint for text in (FULL, changed(old, new)))
    assert before != after


def test_the_fingerprint_sees_the_thrust_and_not_where_it_lies(folder: Path) -> None:
    before = parse(FULL, "demo.toml", folder).fingerprint
    (folder / "deep").mkdir()
    (folder / "deep" / "small.csv").write_text(THRUST.replace("# invented\n", ""), encoding="utf-8")
    assert parse(FULL, "other.toml", folder / "deep").fingerprint == before
    (folder / "small.csv").write_text(THRUST.replace("0.1,40", "0.1,41"), encoding="utf-8")
    assert parse(FULL, "demo.toml", folder).fingerprint != before


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('temperature = "16 degC"', 'temperature = "289.15 K"'),
        ('altitude = "150 m"', 'altitude = "0.15 km"'),
        ('strength = "3 kN"', 'strength = "3000 N"'),
        ('length = "3.5 m"', 'length = "3500 mm"'),
        ('mass = "15 g"', 'mass = "0.015 kg"'),
        ('paint = "150 g/m2"', 'paint = "0.15 kg/m2"'),
        ('vents = ["625 mm"]', "vents_mm = [625]"),
        ("date = 2030-01-31", 'date = "2030-01-31"'),
        ("drag_coefficient = 0.75", 'drag_coefficient = "0.75"'),
        ('material = "steel"', 'material = "Steel"'),
        ("[settings]", "# a remark\n[settings] # and another"),
    ],
)
def test_the_fingerprint_does_not_see_how_it_is_written(old: str, new: str, folder: Path) -> None:
    before, after = (parse(text, "demo.toml", folder).fingerprint for text in (FULL, changed(old, new)))
    assert before == after


LATER = {
    "motor": ("delays", "delay_tolerance"),
    "joint": ("pins", "pin_size", "holding_force", "opening_force", "opening_force_from"),
    "anchor": ("rating",),
    "harness": ("strength",),
    "parachute": ("drag_area", "descent"),
    "payload": ("length", "diameter", "greatest_g"),
}


def test_what_came_later_is_in_no_fingerprint_until_it_is_stated(folder: Path) -> None:
    """Designs that were printed before keep the fingerprint that stands on their sheets."""
    stated = parse(changed(*PINNED), "demo.toml", folder).entries
    text = FULL
    for table in ("launch", "drag", "loads"):
        start = text.index(f"[{table}]\n")
        text = text[:start] + text[text.index("\n[", start) + 1 :]
    blocks = re.split(r"(?m)^(?=\[)", text)
    for number, block in enumerate(blocks):
        for name in LATER.get(block.partition("]")[0].removeprefix("[["), ()):
            if not (block.startswith("[[motor]]") and name in ("length", "diameter")):
                blocks[number] = re.sub(rf"(?m)^{name} = .*\n", "", blocks[number])
    bare = parse("".join(blocks), "demo.toml", folder).entries
    assert not {"launch", "drag", "loads"} & bare.keys()
    for table, names in LATER.items():
        assert not [name for entry in bare[table] for name in entry.model_dump() if name in names], table
        told = [name for entry in stated[table] for name in entry.model_dump()]
        assert set(names) <= set(told), table


def test_a_value_that_is_the_usual_one_is_as_good_as_none(folder: Path) -> None:
    without, usual = changed('tilt = "4 deg"\n', ""), changed('tilt = "4 deg"', 'tilt = "0 deg"')
    assert parse(without, "demo.toml", folder).fingerprint == parse(usual, "demo.toml", folder).fingerprint


def everything(design: Design) -> dict[str, object]:
    """All that a design says of itself; checks come in the order in which joints and the like were entered."""
    figures = summary(design)
    figures["checks"] = sorted(figures["checks"], key=lambda check: check["name"])
    return figures


@settings(max_examples=int(os.environ.get("FERRULE_EXAMPLES", "30")))
@given(st.permutations(TABLES))
def test_the_order_of_the_file_changes_nothing(tables: list[str]) -> None:
    """Only the motors keep theirs: the first one is drawn, and their figures are printed in that order."""
    motors = iter([table.replace('thrust = "small.csv"\n', "") for table in TABLES if "[[motor]]" in table])
    text = "".join(next(motors) if "[[motor]]" in table else table for table in tables)
    assert everything(parse(HEAD + text)) == everything(parse(FULL.replace('thrust = "small.csv"\n', "")))


def test_a_joint_that_releases_has_no_screws(folder: Path) -> None:
    text = changed('state = "releases"\n', 'state = "releases"\nscrew_length = "8 mm"\n')
    (line,) = refused(text, folder)
    assert "screw_length: a joint that releases has no screws" in line


def test_what_was_weighed_has_its_estimate_beside_it(folder: Path) -> None:
    """The scale counts, and shape times density is shown with it, in words, in the report and for programs."""
    estimate = next(one for one in summary(parse(FULL, "demo.toml", folder))["items"] if one["name"] == "nose")
    assert (estimate["estimated_mass_g"], estimate["measured_mass_g"]) == (estimate["mass_g"], None)
    design = parse(changed('profile = "cone"\n', 'profile = "cone"\nmass = "91 g"\n'), "demo.toml", folder)
    figures = summary(design)
    weighed = next(one for one in figures["items"] if one["name"] == "nose")
    assert (weighed["mass_g"], weighed["mass_basis"]) == (91.0, "weighed")
    assert weighed["estimated_mass_g"] == pytest.approx(estimate["mass_g"], rel=1e-12)
    share = f"{100.0 * (91.0 / estimate['mass_g'] - 1.0):+.1f}"
    assert re.search(rf"nose +1 +{estimate['mass_g']:.1f} +91.0 +{re.escape(share)} % +weighed", check_text(figures))
    row = f"| nose | nose-cone | 1 | {estimate['mass_g']:.1f} | 91.0 | {share} | weighed; "
    assert row in report(design, figures, ())
