"""`ferrule solve`: what moves the margin, the smallest change that meets a target, and the file it is written into.

The centre of gravity with a mass added is the mean by mass (elementary statics); every change is confirmed by loading
the written file anew. Steel 7850 kg/m3 and the washer of ISO 7089 M5, 10 x 5.3 x 1 mm (from memory), are the tables'.
"""

from __future__ import annotations

import math
import os
import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from ferrule.app.cli import app
from ferrule.app.design import Design
from ferrule.app.design_file import load, parse
from ferrule.app.sensitivity_words import sensitivities
from ferrule.app.solve import solve, write_solution
from ferrule.app.targets import read_target
from ferrule.app.variables import variables
from ferrule.app.variants import Edit, NewMass, Variants
from ferrule.parts.errors import DesignError, FerruleError, WriteError

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """The demo in a folder of its own, with its thrust table."""
    shutil.copytree(MARRAM, tmp_path / "marram")
    return tmp_path / "marram" / "marram.toml"


def edited(file: Path, old: str, new: str) -> Path:
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1
    file.write_text(text.replace(old, new), encoding="utf-8")
    return file


def ask(file: Path, *arguments: str) -> Result:
    done = CliRunner().invoke(app, ["solve", str(file), *arguments])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done


def least_margin(design: Design) -> float:
    return min(one.margin_calibres or math.nan for one in design.loadings if one.motor)


def span_of(file: Path) -> float:
    line = next(line for line in file.read_text(encoding="utf-8").splitlines() if line.startswith("semi_span"))
    return float(line.split('"')[1].removesuffix(" mm"))


# --- a target ---------------------------------------------------------------------------------------------------------


def test_a_target_is_met_by_the_written_file_and_by_no_smaller_change(file: Path) -> None:
    before = file.read_text(encoding="utf-8")
    wanted = round(least_margin(load(file)) + 0.25, 2)
    done = ask(file, "--target", f"margin >= {wanted}", "--vary", "fin.semi_span", "--write")
    assert done.exit_code == 0, done.output
    assert "written" in done.output
    assert least_margin(load(file)) >= wanted
    span = span_of(file)
    lines = zip(before.splitlines(), file.read_text(encoding="utf-8").splitlines(), strict=True)
    old, new = 'semi_span = "58 mm" # tube surface to tip', f'semi_span = "{span:g} mm" # tube surface to tip'
    assert [(a, b) for a, b in lines if a != b] == [(old, new)]
    smaller = before.replace('semi_span = "58 mm"', f'semi_span = "{span - 0.1:.1f} mm"')
    assert least_margin(parse(smaller, file.name, file.parent)) < wanted


def test_without_write_only_the_line_is_told(file: Path) -> None:
    before = file.read_bytes()
    done = ask(file, "--target", "margin >= 2.6", "--vary", "fin.semi_span")
    assert done.exit_code == 0
    number = 1 + before.decode().splitlines().index('semi_span = "58 mm" # tube surface to tip')
    assert f"line {number}: semi_span = " in done.output
    assert "nothing is written" in done.output
    assert file.read_bytes() == before


def test_line_ends_and_a_byte_order_mark_stay(file: Path) -> None:
    file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes().replace(b"\n", b"\r\n"))
    write_solution(file, solve(file, ["margin >= 2.6"], ["fin.semi_span"]))
    data = file.read_bytes()
    assert data.startswith(b"\xef\xbb\xbf#")
    assert data.count(b"\n") == data.count(b"\r\n")
    assert least_margin(load(file)) >= 2.6


def test_equality_is_met_as_far_as_it_is_printed(file: Path) -> None:
    found = solve(file, ["margin at burnout = 2.2"], ["fin.semi_span"])
    assert found.met
    (burnout,) = [one for one in found.after.loadings if one.name == "burnout"]
    assert burnout.margin_calibres == pytest.approx(2.2, abs=0.005)


def test_the_other_figures_are_held_to_in_the_worst_state(file: Path) -> None:
    """The mass is largest at liftoff; the centre of gravity lies farthest aft there."""
    now = load(file)
    mass = max(one.mass.mass for one in now.loadings if one.mass)
    lighter = solve(file, [f"mass <= {mass - 20:.0f} g"], ["fin.thickness"])
    assert lighter.met
    assert max(one.mass.mass for one in lighter.after.loadings if one.mass) <= round(mass - 20)
    aft = max(one.mass.cg[0] for one in now.loadings if one.mass)
    forward = solve(file, [f"cg <= {aft - 5:.1f} mm"], ["ballast"], "100 mm")
    assert forward.met
    assert max(one.mass.cg[0] for one in forward.after.loadings if one.mass) <= round(aft - 5, 1)


def test_several_targets_and_values_together(file: Path) -> None:
    now = load(file)
    mass = max(one.mass.mass for one in now.loadings if one.mass)
    margin = least_margin(now) + 0.2
    found = solve(file, [f"margin >= {margin:.2f}", f"mass <= {mass - 10:.0f} g"], ["fin.semi_span", "fin.thickness"])
    assert found.met
    write_solution(file, found)
    written = load(file)
    assert least_margin(written) >= round(margin, 2)
    assert max(one.mass.mass for one in written.loadings if one.mass) <= round(mass - 10)
    assert found.found.trials <= 60


def test_the_smaller_change_of_several_is_taken(file: Path) -> None:
    """The sum of shares for all together is at most that for each by itself."""
    target = [f"margin >= {least_margin(load(file)) + 0.2:.2f}"]
    names = ["fin.semi_span", "fin.root_chord"]

    def cost(vary: list[str]) -> float:
        found = solve(file, target, vary)
        if not found.met:
            return math.inf
        return sum(one.axis.share(value) for one, value in zip(found.variables, found.values, strict=True))

    alone = [cost([name]) for name in names]
    assert cost(names) <= min(alone) + 0.1 / 58.0
    assert min(alone) < math.inf


def test_what_is_met_already_changes_nothing(file: Path) -> None:
    before = file.read_bytes()
    done = ask(file, "--target", "margin >= 1", "--vary", "fin.semi_span", "--write")
    assert done.exit_code == 0
    assert "nothing to change" in done.output
    assert file.read_bytes() == before


def test_checks_that_newly_fail_are_told(file: Path) -> None:
    """Fins moved aft by two centimetres take their tab into the ring behind it."""
    done = ask(file, "--target", f"margin >= {least_margin(load(file)) + 0.2:.2f}", "--vary", "fin.station")
    assert done.exit_code == 0
    assert "CHECK NEWLY FAILS: fin: tab between rings" in done.output


# --- cannot be met ----------------------------------------------------------------------------------------------------


def test_a_bound_that_stops_it_is_named_and_nothing_is_written(file: Path) -> None:
    before = file.read_bytes()
    done = ask(file, "--target", "margin >= 9", "--vary", "fin.semi_span=40 mm..70 mm", "--write")
    assert done.exit_code == 1
    assert "CANNOT BE MET" in done.output
    assert "fin.semi_span: at 70 mm its bound is reached" in done.output
    wide = before.decode().replace('semi_span = "58 mm"', 'semi_span = "70 mm"')
    assert f"margin {least_margin(parse(wide, file.name, file.parent)):.2f} calibres, because" in done.output
    assert file.read_bytes() == before


def test_a_part_that_cannot_exist_is_told_with_its_rule(file: Path) -> None:
    """A tab of which 105 mm lie behind its forward end at 15 mm reaches to the end of a root of 120 mm."""
    done = ask(file, "--target", "mass >= 9 kg", "--vary", "fin.tab_length=80 mm..200 mm")
    assert done.exit_code == 1
    assert "fin.tab_length: at 105 mm there is no more to go: above it the design cannot be: fin: tab_" in done.output


def test_what_makes_no_difference_is_told(file: Path) -> None:
    found = solve(file, ["margin >= 9"], ["coupler.screw_roll"])
    assert found.stops == ("coupler.screw_roll: no value of it makes any difference",)


def test_a_solution_that_is_none_is_not_written(file: Path) -> None:
    found = solve(file, ["margin >= 9"], ["fin.semi_span=40 mm..70 mm"])
    with pytest.raises(FerruleError, match="not met"):
        write_solution(file, found)


# --- ballast ----------------------------------------------------------------------------------------------------------


def test_ballast_is_what_the_lever_rule_says(file: Path) -> None:
    """Ballast b at x: (m c + b x) / (m + b) = c', so b = m (c - c') / (c' - x); rounded up to whole grams."""
    liftoff = next(one for one in load(file).loadings if one.name == "liftoff")
    assert liftoff.mass is not None
    mass, now = liftoff.mass.mass, liftoff.mass.cg[0]
    wanted = round(now - 12.0, 1)
    found = solve(file, [f"cg at liftoff <= {wanted} mm"], ["ballast"], "120 mm")
    assert found.values == (math.ceil(mass * (now - wanted) / (wanted - 120.0)),)
    write_solution(file, found)
    assert f'[[hardware]]\nname = "ballast"\nmass = "{found.values[0]:g} g"\nstation = "120 mm"' in file.read_text()
    again = solve(file, ["margin >= 3"], ["ballast"])
    assert [one.name for one in again.variables] == ["ballast.mass"]
    with pytest.raises(FerruleError, match="in the design already"):
        solve(file, ["margin >= 3"], ["ballast"], "120 mm")


def test_ballast_on_a_rod_is_washers(file: Path) -> None:
    edited(file, 'wall = "1.6 mm"', 'wall = "1.6 mm"\nsolid_tip = "60 mm"\nrod_size = "M5"\nwasher_count = 5')
    found = solve(file, [f"margin >= {least_margin(load(file)) + 0.01:.2f}"], ["ballast=3..15"])
    assert [one.name for one in found.variables] == ["nose.washer_count"]
    assert found.met
    more = found.values[0] - 5
    assert more >= 1
    washer = math.pi / 4.0 * (10.0**2 - 5.3**2) * 1.0 * 7.85e-3
    before, after = (one.loadings[0].mass for one in (found.before, found.after))
    assert before
    assert after
    assert after.mass - before.mass == pytest.approx(more * washer, rel=1e-6)
    write_solution(file, found)
    assert f"washer_count = {found.values[0]:g}\n" in file.read_text(encoding="utf-8")


def test_ballast_in_a_pocket_is_no_more_than_it_holds(file: Path) -> None:
    edited(
        file,
        'wall = "1.6 mm"',
        'wall = "1.6 mm"\nsolid_tip = "60 mm"\npocket_diameter = "20 mm"\npocket_length = "25 mm"',
    )
    now = least_margin(load(file))
    met = solve(file, [f"margin >= {now + 0.1:.2f}"], ["ballast"])
    assert met.met
    assert [change.path[-1] for change in met.changes if isinstance(change, Edit)] == ["ballast_mass"]
    full = solve(file, [f"margin >= {now + 2.0:.2f}"], ["ballast=0 g..120 g"])
    assert not full.met
    assert any("pocket" in reason for reason in full.stops)


# --- what was weighed -------------------------------------------------------------------------------------------------


def test_what_a_part_weighed_becomes_its_density(file: Path) -> None:
    """A fin of another span weighs by its area and tab, not what the old one did."""
    edited(file, 'tab_length = "90 mm"', 'tab_length = "90 mm"\nmass = "22 g" # weighed in May')
    now = load(file)
    found = solve(file, [f"margin >= {least_margin(now) + 0.2:.2f}"], ["fin.semi_span"])
    write_solution(file, found)
    text = file.read_text(encoding="utf-8")
    assert '\n# mass = "22 g" # weighed in May\n' in text
    fins = next(item for item in load(file).rocket.items if item.name == "fin")
    old = next(item for item in now.rocket.items if item.name == "fin")
    assert fins.stated_mass is None
    density = 4 * 22.0 / old.volume_moments().volume
    assert fins.part is not None
    assert fins.part.density == pytest.approx(density, rel=1e-8)


def test_what_was_weighed_stays_where_the_part_does(file: Path) -> None:
    edited(file, 'tab_length = "90 mm"', 'tab_length = "90 mm"\nmass = "22 g"')
    found = solve(file, [f"margin >= {least_margin(load(file)) + 0.05:.2f}"], ["fin.station"])
    assert [change.path[-1] for change in found.changes if isinstance(change, Edit)] == ["station"]


def test_what_the_table_of_weighings_says_becomes_a_density_too(file: Path) -> None:
    """By similarity: the same density is 4 x 19.75 g over the volume of the four that were weighed."""
    assert CliRunner().invoke(app, ["weigh", str(file), "--set", "fin=19.9 g, 19.6 g, 19.8 g, 19.7 g"]).exit_code == 0
    old = next(item for item in load(file).rocket.items if item.name == "fin")
    wanted = f"margin >= {least_margin(load(file)) + 0.2:.2f}"
    done = ask(file, "--target", wanted, "--vary", "fin.semi_span", "--write")
    assert done.exit_code == 0, done.output
    assert "None" not in done.output
    assert "a new line in [[part]] fin, by what was weighed: density = " in done.output
    fin = next(item for item in load(file).rocket.items if item.name == "fin").part
    assert fin is not None
    assert fin.density == pytest.approx(4 * 19.75 / old.volume_moments().volume, rel=1e-8)


BALANCED = ["--balance", "mass=1052 g, CG=655 mm", "--balance", "mass=1243 g, CG=716 mm, motor=DEMO-29"]
"""Some 17 g more than the parts of the demo have, and farther aft."""


def test_what_a_balance_test_found_stays_in_what_is_changed(file: Path) -> None:
    """10 g at the tip: from 716 mm to 1243 x 716 / 1253 mm (lever rule on the measured state)."""
    assert CliRunner().invoke(app, ["weigh", str(file), *BALANCED]).exit_code == 0
    design = load(file)
    diameter, station = design.rocket.reference_diameter, design.loadings[1].centre_of_pressure
    assert diameter is not None
    assert station is not None
    moved = {one.name: one.gain for one in sensitivities(file)}
    assert moved["ballast"].more == pytest.approx(716.0 * 10.0 / 1253.0 / diameter, abs=1e-9)
    for name in ("humidity-logger.mass", "humidity-logger.station", "demo-29.mass"):
        more, less = moved[name].more, moved[name].less
        assert more is not None
        assert less is not None
        assert more * less < 0.0, name
    wanted = (station - 700.0) / diameter
    found = solve(file, [f"margin at liftoff >= {wanted:.6f}"], ["ballast"], "100 mm")
    # (1243 x 716 + m x 100) / (1243 + m) = 700, in whole grams
    assert found.values == (math.ceil(1243.0 * 16.0 / 600.0),)
    done = ask(file, "--target", "margin at liftoff >= 2.3", "--vary", "ballast", "--ballast-at", "100 mm")
    assert "before: as balanced; after: the same and what the change does by the parts, not measured" in done.stdout


# --- bad use ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--target", "margin >= 2.5"], "takes 1 to 4 names, got 0"),
        (["--target", "margin >= 2.5", "--vary", "fin.semi_spam"], "did you mean 'fin.semi_span'?"),
        (["--target", "margin >= 2.5", "--vary", "fun.semi_span"], "did you mean 'fin.semi_span'?"),
        (["--target", "margin >= 2.5", "--vary", "fin.motor_tube_diameter"], "of it may be varied: fin.station"),
        (["--target", "margn >= 2.5", "--vary", "fin.semi_span"], "did you mean 'margin'?"),
        (["--target", "margin >= 40 mm", "--vary", "fin.semi_span"], "plain number of calibres"),
        (["--target", "margin >= nan", "--vary", "fin.semi_span"], "plain number of calibres"),
        (["--target", "margin >= 2.5", "--vary", "fin.count=3..inf"], "two finite values"),
        (["--target", "margin about 2", "--vary", "fin.semi_span"], "cannot be read"),
        (["--target", "margin at lift >= 2", "--vary", "fin.semi_span"], "did you mean 'liftoff'?"),
        (["--target", "cg <= 700", "--vary", "fin.semi_span"], "700 mm"),
        (["--target", "mass <= 0 g", "--vary", "fin.semi_span"], "must be above 0"),
        (["--target", "margin >= 2.5", "--vary", "fin.semi_span=60 mm..70 mm"], "not within 60 mm..70 mm"),
        (["--target", "margin >= 2.5", "--vary", "fin.semi_span=60 mm"], "are no bounds"),
        (["--target", "margin >= 2.5", "--vary", "fin.semi_span=50..70"], "without a unit"),
        (["--target", "margin >= 2.5", "--vary", "fin.semi_span", "--vary", "fin.semi_span"], "named twice"),
        (["--target", "margin >= 2.5", "--vary", "ballast"], "--ballast-at"),
        (["--target", "margin >= 2.5", "--vary", "ballast", "--ballast-at", "120"], "without a unit"),
        (["--target", "margin >= 2.5", "--vary", "ballast", "--ballast-at", "5 m"], "behind the rocket, which ends at"),
        (["--target", "margin >= 2.5", "--vary", "fin.semi_span", "--ballast-at", "9 mm"], "goes with --vary ballast"),
        (["--target", "margin >= 2.5", "--vary", "fin.semi_span", "--motor", "DEMO-28"], "there is DEMO-29"),
        (["--vary", "fin.semi_span"], "--vary: goes with --target"),
        (["--write"], "--write: goes with --target"),
    ],
)
def test_bad_use_is_told(file: Path, arguments: list[str], words: str) -> None:
    done = ask(file, *arguments)
    assert done.exit_code == 2
    assert words in done.stderr


def test_a_figure_that_is_not_known_is_told(file: Path) -> None:
    edited(file, 'mass = "85 g"\n', "")
    done = ask(file, "--target", "margin >= 2.5", "--vary", "fin.semi_span")
    assert done.exit_code == 2
    assert "the mass of humidity logger is not stated" in done.stderr
    assert ask(file).exit_code == 2


def test_a_target_reads_back() -> None:
    target = read_target("margin without motor >= 1.5 calibres")
    assert (target.figure, target.state, target.relation, target.limit) == ("margin", "without motor", ">=", 1.5)
    assert read_target("CG at burnout<=27 in").limit == pytest.approx(685.8)
    with pytest.raises(FerruleError, match="cannot be read"):
        read_target("margin")


# --- the file ---------------------------------------------------------------------------------------------------------


def test_an_interrupted_write_leaves_the_old_file(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found = solve(file, ["margin >= 2.6"], ["fin.semi_span"])
    before = file.read_bytes()

    def broken(*_: object) -> None:
        raise OSError("no room left")

    monkeypatch.setattr(os, "replace", broken)
    with pytest.raises(WriteError):
        write_solution(file, found)
    assert file.read_bytes() == before
    assert sorted(path.name for path in file.parent.iterdir()) == sorted(path.name for path in MARRAM.iterdir())


def test_a_file_that_was_changed_meanwhile_is_left_alone(file: Path) -> None:
    found = solve(file, ["margin >= 2.6"], ["fin.semi_span"])
    edited(file, 'root_chord = "120 mm"', 'root_chord = "121 mm"')
    before = file.read_bytes()
    with pytest.raises(WriteError, match="changed meanwhile"):
        write_solution(file, found)
    assert file.read_bytes() == before


def test_a_new_key_and_a_new_table_stand_with_their_own() -> None:
    text = 'name = "x"\n\n[[part]]\nname = "a"\nwall = "1 mm" # thin\n\n# --- next ---\n\n[[part]]\nname = "b"\n'
    variants = Variants(text)
    assert variants.with_changes([Edit(("part", 0, "length"), "5 mm")]) == text.replace(
        "# thin\n", '# thin\nlength = "5 mm"\n'
    )
    added = variants.with_changes([NewMass("ballast", 12.5, 40.0)])
    assert added == f'{text.rstrip()}\n\n[[hardware]]\nname = "ballast"\nmass = "12.5 g"\nstation = "40 mm"\n'


def test_everything_that_may_be_varied_can_be_written(file: Path) -> None:
    """Each by itself, checked by a plain reading of the text: one value is another, or one more is there."""
    variants = Variants(file.read_text(encoding="utf-8"), file.name, file.parent)
    names = variables(variants, variants.design())
    assert {"fin.semi_span", "fin.count", "fin.station", "nose.wall", "humidity-logger.mass", "eyebolt.mass"} <= {
        *names
    }
    before = dict(flat(tomllib.loads(variants.text)))
    for variable in names.values():
        text = variants.with_changes(variable.changes(variable.axis.now + variable.axis.step))
        after = dict(flat(tomllib.loads(text)))
        assert {path for path in after if after[path] != before.get(path)} == {variable.path}, variable.name
        assert before.keys() <= after.keys()


def flat(value: object, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], object]]:
    if isinstance(value, dict | list):
        for key, inside in value.items() if isinstance(value, dict) else enumerate(value):
            yield from flat(inside, (*path, key))
    else:
        yield path, value


def test_a_value_that_cannot_be_changed_alone_is_refused() -> None:
    variants = Variants('name = "x"\npart = [{ name = "a", wall = "1 mm" }, { name = "b", wall = "2 mm" }]\n')
    with pytest.raises(DesignError, match="edit it by hand"):
        variants.with_changes([Edit(("part", 1, "wall"), "3 mm")])


def test_inches_are_written_in_inches(file: Path) -> None:
    edited(file, 'units = "mm"', 'units = "in"')
    found = solve(file, ["margin >= 2.6"], ["fin.semi_span"])
    edit = found.changes[0]
    assert isinstance(edit, Edit)
    assert str(edit.value).endswith(" in")
    # On hundredths of an inch.
    assert float(str(edit.value).removesuffix(" in")) * 100.0 == pytest.approx(round(found.values[0] / 0.254), abs=1e-6)


# --- what moves the margin --------------------------------------------------------------------------------------------


def test_ten_grams_at_the_tip_gain_what_the_lever_rule_says(file: Path) -> None:
    """The centre of gravity goes from c to c m / (m + 10), and the margin gains the difference over the diameter."""
    design = load(file)
    diameter = design.rocket.reference_diameter
    assert diameter is not None
    after = min(
        ((one.centre_of_pressure or 0.0) - one.mass.cg[0] * one.mass.mass / (one.mass.mass + 10.0)) / diameter
        for one in design.loadings
        if one.motor and one.mass
    )
    tip = next(one for one in sensitivities(file) if one.name == "ballast")
    assert tip.gain.more == pytest.approx(after - least_margin(design), abs=1e-9)
    assert tip.gain.less is None
    assert str(tip).startswith("ballast, 10 g at the nose tip more: +0.")


def test_both_ways_of_the_main_sizes_have_opposite_signs(file: Path) -> None:
    """More span and fins farther aft move the centre of pressure aft; a heavier motor moves that of gravity aft."""
    found = {one.name: one.gain for one in sensitivities(file)}
    for name in ("fin.semi_span", "fin.station", "humidity-logger.mass"):
        more, less = found[name].more, found[name].less
        assert more is not None
        assert less is not None
        assert more > 0.0 > less, name
    for name in ("demo-29.mass", "demo-29.aft_end", "humidity-logger.station"):
        more, less = found[name].more, found[name].less
        assert more is not None
        assert less is not None
        assert more < 0.0 < less, name
    gains = [gain.largest for gain in found.values()]
    assert gains == sorted(gains, reverse=True)


def test_a_gain_is_that_of_the_file_with_the_size_in_it(file: Path) -> None:
    found = next(one for one in sensitivities(file) if one.name == "fin.semi_span")
    text = file.read_text(encoding="utf-8").replace('semi_span = "58 mm"', 'semi_span = "68 mm"')
    wider = least_margin(parse(text, file.name, file.parent))
    assert found.gain.more == pytest.approx(wider - least_margin(load(file)), abs=1e-12)


def test_the_list_is_printed_without_a_target(file: Path) -> None:
    edited(file, 'tab_position = "15 mm"', 'tab_position = "28 mm"')
    done = ask(file)
    assert done.exit_code == 0, done.output
    assert "10 g at the nose tip" in done.stdout
    # A root of 110 mm ends ahead of the tab's end at 118 mm.
    assert "fin.root_chord: not possible: fin: " in done.stdout
    assert "Not a clearance to fly" in done.stdout
