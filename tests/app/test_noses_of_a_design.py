"""A nose taller than its printer, what it carries, and a tail cone on a motor tube, as the design file has them."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from ferrule.app.cli import app
from ferrule.app.design import Design
from ferrule.app.design_file import parse
from ferrule.app.report import report
from ferrule.app.summary import summary
from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import NoseCone, Transition
from ferrule.parts.tables import material

HEAD = 'format = 1\nname = "Demo"\n'
TUBES = """[[tube]]
name = "tube"
outside_mm = [60.1, 59.9]
inside_mm = [57.7, 57.5]
length = "300 mm"
station = "150 mm"
mass = "60 g"

[[tube]]
name = "motor tube"
use = "motor"
outside_mm = [30.9, 31.1]
inside_mm = [29.2]
length = "200 mm"
station = "310 mm"
mass = "14 g"
"""
NOSE = """[[part]]
name = "nose"
kind = "nose-cone"
fits = "tube"
profile = "tangent-ogive"
length = "150 mm"
shoulder_length = "60 mm"
material = "petg"
"""
"""210 mm high with its shoulder."""


def printer(name: str = "bench", *, bed: float = 220.0, height: float = 220.0) -> str:
    return f'[printer.{name}]\nwidth = "220 mm"\ndepth = "{bed} mm"\nheight = "{height} mm"\n'


def settings(name: str = "bench") -> str:
    return f'[settings]\nprinter = "{name}"\n'


def nose_of(text: str) -> tuple[Design, NoseCone]:
    design = parse(text, "demo.toml")
    (part,) = [item.part for item in design.rocket.items if item.name == "nose"]
    assert isinstance(part, NoseCone)
    return design, part


# --- the printer ------------------------------------------------------------------------------------------------------


def check(folder: Path, text: str, *options: str) -> Result:
    path = folder / "demo.toml"
    path.write_text(text, encoding="utf-8")
    return CliRunner().invoke(app, ["check", str(path), *options], env={"COLUMNS": "300"})


@pytest.mark.parametrize("where", ["settings", "made_on"])
def test_a_bed_that_the_base_does_not_stand_on_is_refused_by_name(where: str, tmp_path: Path) -> None:
    """The base is the mean outside of 60.0 mm less 0.1."""
    text = HEAD + (settings() if where == "settings" else "") + TUBES + NOSE
    text += 'made_on = "bench"\n' if where == "made_on" else ""
    done = check(tmp_path, text + printer(bed=59.8))
    assert done.exit_code == 2
    (line,) = done.stderr.splitlines()
    assert "base_diameter: 59.9 mm does not stand on the bed of bench, 220 x 59.8 mm" in line
    assert "name a printer with a wider one" in line
    assert check(tmp_path, text + printer(bed=60.0)).exit_code == 0


def test_a_bed_too_small_for_a_base_that_is_stated_is_refused_at_its_line() -> None:
    text = HEAD + settings() + printer(bed=55.0) + NOSE.replace('fits = "tube"\n', 'base_diameter = "60 mm"\n')
    with pytest.raises(DesignError) as caught:
        parse(text.replace('shoulder_length = "60 mm"\n', 'station = "0 mm"\n'), "demo.toml")
    number = text[: text.index("base_diameter")].count("\n") + 1
    assert str(caught.value).startswith(f"demo.toml:{number}:")
    assert "base_diameter: 60 mm does not stand on the bed of bench" in str(caught.value)


@pytest.mark.parametrize(
    ("height", "sections"),
    [(219.9, 2), (220.0, 1), (140.0, 2)],
    ids=["just-too-low", "just-high-enough", "low"],
)
def test_sections_follow_from_the_height_of_the_printer(height: float, sections: int) -> None:
    """150 and 60 mm, with 10 mm free under the top: 220 mm are enough for one piece."""
    design, nose = nose_of(HEAD + TUBES + NOSE + printer(height=height))
    assert len(nose.printed_pieces()) == sections
    if sections == 1:
        assert nose.section_height is None
        assert "section_height" not in design.derived["nose"]
        return
    assert nose.section_height == pytest.approx(height - 10.0, abs=1e-9)
    found = design.derived["nose"]["section_height"]
    assert found.value == nose.section_height
    assert found.sum == (f"height of the printer bench {height:g} - 10 (common practice) = {height - 10.0:g} mm")
    assert found.sum in report(design, summary(design))


def test_what_is_stated_counts_more_than_the_printer() -> None:
    design, nose = nose_of(HEAD + TUBES + NOSE + 'section_height = "130 mm"\n' + printer(height=180.0))
    assert nose.section_height == 130.0
    assert "section_height" not in design.derived["nose"]
    design, nose = nose_of(HEAD + TUBES + NOSE + 'joint_stations = ["90 mm"]\n' + printer(height=180.0))
    assert (nose.section_height, len(nose.printed_pieces())) == (None, 2)


@pytest.mark.parametrize(
    ("named", "height"),
    [("", 180.0), (settings("low"), 150.0), ('made_on = "low"\n', 150.0)],
    ids=["tallest", "settings", "part"],
)
def test_it_is_the_printer_that_is_named_else_the_tallest(named: str, height: float) -> None:
    own = named if named.startswith("made_on") else ""
    text = HEAD + (named if not own else "") + TUBES + NOSE + own
    text += printer("low", height=150.0) + printer("high", height=180.0)
    _, nose = nose_of(text)
    assert nose.section_height == height - 10.0


# --- what a nose carries ----------------------------------------------------------------------------------------------

CARRIES = """solid_tip = "45 mm"
rod_size = "M5"
rod_start = "20 mm"
rod_length = "200 mm"
washer_count = 6
washer_distance = "70 mm"
"""


def rows(design: Design) -> dict[str, dict[str, Any]]:
    return {item["name"]: item for item in summary(design)["items"]}


def test_rod_and_washers_are_items_of_their_own() -> None:
    """Washers M5 of ISO 7089: 10.0 mm outside, 5.3 mm hole, 1 mm thick; 4 ISO 4032 nuts, 8 mm and 4.7 mm; steel."""
    steel = material("steel").density
    design, _ = nose_of(HEAD + TUBES + NOSE + CARRIES)
    found = rows(design)
    assert {"nose", "nose rod", "nose washers", "tube", "motor tube"} == set(found)
    nuts = 4.0 * 4.7 * (8.0**2 * math.sqrt(3.0) / 2.0 - math.pi / 4.0 * 5.0**2)
    washers = (6.0 * math.pi / 4.0 * (10.0**2 - 5.3**2) * 1.0 + nuts) * steel
    assert found["nose washers"]["mass_g"] == pytest.approx(washers, rel=1e-6)
    assert found["nose washers"]["cg_mm"][0] == pytest.approx(70.0 + 6.0 / 2.0, abs=1e-9)
    # A thread's metal is that of a bar of its pitch diameter, 4.480 mm (ISO 724), within 3 %.
    bar = math.pi / 4.0 * 4.480**2 * 200.0 * steel
    assert found["nose rod"]["mass_g"] == pytest.approx(bar, rel=0.03)
    assert found["nose rod"]["cg_mm"][0] == pytest.approx(20.0 + 100.0, abs=1e-9)


def test_what_is_carried_counts_once_and_beside_a_weighed_nose() -> None:
    """A nose is weighed without its rod and washers: they are screwed in later."""
    plain, _ = nose_of(HEAD + TUBES + NOSE + 'mass = "70 g"\n')
    loaded, _ = nose_of(HEAD + TUBES + NOSE + 'mass = "70 g"\n' + CARRIES)
    found = rows(loaded)
    assert found["nose"]["mass_g"] == 70.0
    masses = []
    for design in (plain, loaded):
        assert design.loadings[0].mass is not None
        masses.append(design.loadings[0].mass.mass)
    carried = found["nose rod"]["mass_g"] + found["nose washers"]["mass_g"]
    assert masses[1] - masses[0] == pytest.approx(carried, rel=1e-9)


def test_a_part_of_the_same_name_as_what_is_carried_is_refused() -> None:
    extra = '[[payload]]\nname = "nose rod"\nmass = "3 g"\nstation = "40 mm"\n'
    with pytest.raises(DesignError, match="'nose rod'"):
        parse(HEAD + TUBES + NOSE + CARRIES + extra, "demo.toml")


def test_what_is_carried_is_in_the_table_of_the_check(tmp_path: Path) -> None:
    done = check(tmp_path, HEAD + TUBES + NOSE + CARRIES, "--json")
    assert done.exit_code == 0, done.output
    found = {item["name"]: item for item in json.loads(done.stdout)["items"]}
    assert found["nose rod"]["kind"] == "hardware"
    assert found["nose rod"]["mass_g"] > 0.0


# --- a tail cone ------------------------------------------------------------------------------------------------------

TAIL = """[[part]]
name = "tail"
kind = "transition"
station = "450 mm"
fits = "tube"
around = "motor tube"
aft_diameter = "40 mm"
length = "55 mm"
forward_shoulder_length = "40 mm"
material = "asa"
"""


def test_the_bore_of_a_tail_cone_follows_from_the_motor_tube_it_is_round() -> None:
    """The largest outside of 31.1 mm, and 0.2 mm for glue on diameter."""
    design = parse(HEAD + TUBES + TAIL, "demo.toml")
    (part,) = [item.part for item in design.rocket.items if item.name == "tail"]
    assert isinstance(part, Transition)
    assert part.motor_bore_diameter == pytest.approx(31.1 + 0.2, abs=1e-9)
    assert part.aft_diameter == 40.0, "a motor tube is in it, not behind it"
    assert part.forward_diameter == pytest.approx(60.0 - 0.1, abs=1e-9)
    words = design.derived["tail"]["motor_bore_diameter"].sum
    assert words.startswith("largest outside of the motor tube 31.10 + 0.20")
    assert words in report(design, summary(design))


def test_a_bore_that_is_stated_counts_more() -> None:
    design = parse(HEAD + TUBES + TAIL + 'motor_bore_diameter = "31.5 mm"\n', "demo.toml")
    (part,) = [item.part for item in design.rocket.items if item.name == "tail"]
    assert isinstance(part, Transition)
    assert part.motor_bore_diameter == 31.5
    assert "motor_bore_diameter" not in design.derived["tail"]


def test_round_a_tube_that_holds_no_motor_a_transition_has_no_bore() -> None:
    """There `around` names the tube behind it: its skin and shoulder follow from that."""
    text = TUBES.replace('use = "motor"\n', "") + TAIL.replace('aft_diameter = "40 mm"\n', "")
    design = parse(HEAD + text, "demo.toml")
    (part,) = [item.part for item in design.rocket.items if item.name == "tail"]
    assert isinstance(part, Transition)
    assert part.motor_bore_diameter is None
    assert part.aft_diameter == pytest.approx(31.0 - 0.1, abs=1e-9)
