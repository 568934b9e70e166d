"""What to enter next: a design grows table by table, in the order in which a builder comes to know things."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from ferrule.app.cli import app
from ferrule.app.design_file import load, parse
from ferrule.app.next_entry import next_entry
from ferrule.app.report import report
from ferrule.app.summary import summary

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"

NOSE = """[[part]]
name = "nose"
kind = "nose-cone"
profile = "cone"
length = "250 mm"
base_diameter = "68.3 mm"
shoulder_length = "66 mm"
shoulder_diameter = "65.4 mm"
"""
TUBE = """[[tube]]
name = "tube"
outside_mm = [68.4]
inside_mm = [65.9]
length = "700 mm"
"""
MOTOR = """[[motor]]
name = "motor"
diameter = "29 mm"
length = "124 mm"
aft_end = "950 mm"
loaded_mass = "130 g"
empty_mass = "70 g"
"""

STEPS = (
    ('format = 1\nname = "Demo"\n' + NOSE, "measure the tubes and enter each as [[tube]]"),
    (TUBE, "enter the airframe: a [[tube]] with its station"),
    ('station = "250 mm"\n', "enter the fins: a [[part]] of kind"),
    (
        '[[part]]\nname = "fin"\nkind = "fin"\nfits = "tube"\ncount = 3\nstation = "820 mm"\nroot_chord = "120 mm"\n'
        'tip_chord = "60 mm"\nsemi_span = "60 mm"\nsweep_length = "50 mm"\nthickness = "4 mm"\n',
        "weigh it and enter `mass`, or enter `material` for nose",
    ),
    ("material", "weigh it and enter `mass`, or enter `material` for tube"),
    ("material", "weigh it and enter `mass`, or enter `material` for fin"),
    ("material", "enter the motor as [[motor]]"),
    (MOTOR, "enter each [[joint]]"),
    ('[[joint]]\nbetween = ["nose", "tube"]\nstate = "releases"\n', "enter the [[parachute]], its [[harness]]"),
    (
        '[[anchor]]\nname = "a"\non = "nose"\nmaterial = "steel"\nmass = "9 g"\nstation = "300 mm"\n'
        '[[anchor]]\nname = "b"\non = "tube"\nmaterial = "steel"\nmass = "9 g"\nstation = "700 mm"\n'
        '[[harness]]\nname = "h"\nanchors = ["a", "b"]\nmass = "20 g"\nstation = "500 mm"\n'
        '[[parachute]]\nname = "p"\nharness = "h"\nmass = "50 g"\nstation = "500 mm"\n',
        "enter the glue as `glue` and `glue_station` in [allowances]",
    ),
    ('[allowances]\nglue = "20 g"\nglue_station = "900 mm"\n', "enter the paint as `paint` in [allowances]"),
    ('paint = "150 g/m2"\n', "enter each motor's thrust table as `thrust`"),
)


def grown(steps: int) -> str:
    """The design after so many entries; materials are put into the tables that are there."""
    text, places = "", iter(("nose", "tube", "fin"))
    for entry, _ in STEPS[:steps]:
        if entry == "material":
            head = f'name = "{next(places)}"\n'
            text = text.replace(head, f'{head}material = "abs"\n', 1)
        else:
            text += entry
    return text


@pytest.mark.parametrize("steps", range(1, len(STEPS) + 1))
def test_the_next_thing_is_asked_for_in_the_order_of_the_work(steps: int) -> None:
    text = grown(steps)
    design = parse(text)
    asked = next_entry(design)
    assert asked is not None
    assert asked.startswith(STEPS[steps - 1][1])
    figures = summary(design)
    assert figures["next"] == asked
    assert f"Next: {asked}." in report(design, figures)


FLIGHT = (
    ('thrust = "motor.csv"\n', "enter the delays that each motor is to be had with as `delays`"),
    ('delays = ["6 s", "8 s"]\n', "enter the parachute's `diameter` and `drag_coefficient`"),
    ('diameter = "0.6 m"\ndrag_coefficient = 0.75\n', "enter the launch as [launch]"),
)


@pytest.mark.parametrize("steps", range(1, len(FLIGHT) + 1))
def test_what_a_flight_needs_is_asked_for_after_the_thrust(steps: int, tmp_path: Path) -> None:
    (tmp_path / "motor.csv").write_text("time_s,thrust_N\n0,0\n0.1,40\n1.1,0\n", encoding="utf-8")
    text = grown(len(STEPS))
    for entry, _ in FLIGHT[:steps]:
        table = '[[parachute]]\nname = "p"\n' if entry.startswith("diameter") else '[[motor]]\nname = "motor"\n'
        assert text.count(table) == 1
        text = text.replace(table, table + entry)
    asked = next_entry(parse(text, "demo.toml", tmp_path))
    assert asked is not None
    assert asked.startswith(FLIGHT[steps - 1][1])
    after = next_entry(parse(text + '[launch]\naltitude = "20 m"\n', "demo.toml", tmp_path))
    assert (after or "").startswith(FLIGHT[steps - 1][1]) == (steps < len(FLIGHT))


def test_delays_in_the_motors_own_file_are_stated(tmp_path: Path) -> None:
    table = "delays,6 s\ntime_s,thrust_N\n0,0\n0.1,40\n1.1,0\n"
    (tmp_path / "motor.csv").write_text(table, encoding="utf-8")
    text = grown(len(STEPS)).replace('name = "motor"\n', 'name = "motor"\nthrust = "motor.csv"\n')
    assert (next_entry(parse(text, "demo.toml", tmp_path)) or "").startswith("enter the parachute's")


def test_a_nose_is_asked_for_once_there_is_a_tube() -> None:
    asked = next_entry(parse('format = 1\nname = "Demo"\n' + TUBE + 'station = "250 mm"\n'))
    assert asked == 'enter the nose: a [[part]] of kind "nose-cone"'


STRENGTHS = (
    ('field = "1000 m" # from the pad to its nearest edge\n', '\n[loads]\nglue_shear = "8 MPa"\n', "glue line, "),
    ('mass = "15 g"\n', 'rating = "1200 N"\n', "eyebolt under the opening load: "),
    ('mass = "25 g"\n', 'rating = "1200 N"\n', "U-bolt under the opening load: "),
    ('length = "3.5 m"\n', 'strength = "3 kN"\n', "harness under the opening load: enter what harness is sold to bear"),
    ('by = "tape fit"\n', 'holding_force = "20 N"\n', "joint coupler to booster tube: lifted by the nose: "),
    (
        'by = "tape fit"\n',
        'opening_force = "60 N"\nopening_force_from = "a test run by a mentor"\n',
        "joint coupler to booster tube: opens: enter the force that the motor's maker states",
    ),
)


def test_a_design_is_asked_for_what_holds_it_and_then_for_nothing(tmp_path: Path) -> None:
    """What is measured in the field or at the bench is in no file: drift, and what screws bear."""
    text = MARRAM.read_text(encoding="utf-8")
    assert f"next: {STRENGTHS[0][2]}" in CliRunner().invoke(app, ["check", str(MARRAM)]).stdout
    for key, entry, words in STRENGTHS:
        assert (next_entry(parse(text, "marram.toml", MARRAM.parent)) or "").startswith(words)
        assert text.count(key) == 1
        text = text.replace(key, key + entry)
    path = tmp_path / "marram.toml"
    path.write_text(text, encoding="utf-8")
    (tmp_path / "demo-29.csv").write_bytes((MARRAM.parent / "demo-29.csv").read_bytes())
    assert next_entry(load(path)) is None
    assert "next:" not in CliRunner().invoke(app, ["check", str(path)]).stdout
    path = tmp_path / "demo.toml"
    path.write_text(grown(3), encoding="utf-8")
    result = CliRunner().invoke(app, ["check", str(path)])
    assert "next: enter the fins" in result.stdout
    figures = json.loads(CliRunner().invoke(app, ["check", str(path), "--json"]).stdout)
    assert figures["next"].startswith("enter the fins")


def test_what_a_check_still_needs_is_asked_for_last() -> None:
    """The large example with two joints that release: all is entered, and the gas bay cannot be told."""
    text = MARRAM.read_text(encoding="utf-8").replace('state = "screwed"', 'state = "releases"', 1)
    text = text.replace('screw_length = "8 mm"\n', "", 1)
    assert text.count('thrust = "demo-29.csv"\n') == 1
    design = parse(text, "marram.toml", MARRAM.parent)
    assert next_entry(design) == (
        "parachute bay: room: needs exactly one joint that releases, and a disc at each end of the bay"
    )
    without = parse(text.replace('thrust = "demo-29.csv"\n', ""), "marram.toml", MARRAM.parent)
    assert next_entry(without) == "enter each motor's thrust table as `thrust`"
