"""`ferrule weigh` and the tables that it writes: which number counts, what stays in the file, and what is refused."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from ferrule.app.check_text import check_text
from ferrule.app.cli import app
from ferrule.app.design_file import load, parse
from ferrule.app.report import report
from ferrule.app.summary import summary
from ferrule.app.weigh import weigh
from ferrule.app.whole import side_view
from ferrule.parts.errors import DesignError, FerruleError, WriteError
from ferrule.parts.writers import files

TEXT = """# Invented.
format = 1
name = "Demo"  # a name

[[tube]]
name = "tube"
outside_mm = [68.4, 68.44]
inside_mm = [65.9, 65.86]
length = "600 mm"
station = "250 mm"
material = "kraft-tube"

[[part]]
name = "nose"  # the forward one
kind = "nose-cone"
fits = "tube"
profile = "cone"
length = "250 mm"
shoulder_length = "66 mm"
material = "petg"
wall = "1.6 mm"
solid_tip = "90 mm"
pocket_diameter = "14 mm"
pocket_length = "25 mm"
ballast_mass = "20 g"

# Three of them.
[[part]]
name = "fins"
kind = "fin"
fits = "tube"
station = "700 mm"
count = 3
root_chord = "120 mm"
tip_chord = "60 mm"
semi_span = "70 mm"
sweep_length = "50 mm"
thickness = "3 mm"
material = "birch-plywood"

[[payload]]
name = "logger"
mass = "85 g"
station = "300 mm"

[[motor]]
name = "small"
diameter = "29 mm"
length = "124 mm"
aft_end = "850 mm"
loaded_mass = "190 g"
empty_mass = "100 g"
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "design.toml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def with_tables(tables: str) -> dict[str, Any]:
    return summary(parse(f"{TEXT}\n{tables}"))


def item_of(figures: dict[str, Any], name: str) -> dict[str, Any]:
    return next(item for item in figures["items"] if item["name"] == name)


def refused(tables: str) -> tuple[str, ...]:
    with pytest.raises(DesignError) as caught:
        parse(f"{TEXT}\n{tables}")
    return tuple(f"{one.field}: {one.message}" for one in caught.value.problems)


def run(*arguments: str | Path) -> Result:
    result = CliRunner().invoke(app, [str(one) for one in arguments], env={"COLUMNS": "300"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


# --- the tables -------------------------------------------------------------------------------------------------------

PLAIN = summary(parse(TEXT))


def test_without_a_measurement_both_columns_are_there_and_the_cg_is_predicted() -> None:
    assert all(item["measured_mass_g"] is None and item["estimated_mass_g"] for item in PLAIN["items"])
    assert (PLAIN["balances"], PLAIN["motors_by_balance"], PLAIN["body"]["cg_measured"]) == ([], [], False)
    assert {one["cg_basis"] for one in PLAIN["loadings"]} == {"predicted"}
    assert "CG not measured" in check_text(PLAIN)
    assert "**CG not measured.**" in report(parse(TEXT), PLAIN)


def test_a_weighing_wins_while_the_shape_is_the_same_and_not_after() -> None:
    fins = item_of(PLAIN, "fins")
    fresh = with_tables(f'[[weighed]]\npart = "fins"\nmass = "14 g"\nfingerprint = "{fins["fingerprint"]}"\n')
    found = item_of(fresh, "fins")
    assert (found["mass_g"], found["mass_basis"], found["estimated_mass_g"]) == (42.0, "weighed", fins["mass_g"])
    assert found["measured_used"]
    old = f'[[weighed]]\npart = "fins"\nmass = "14 g"\nfingerprint = "{fins["fingerprint"]}"\n'
    changed = TEXT.replace('thickness = "3 mm"', 'thickness = "2.5 mm"')
    design = parse(f"{changed}\n{old}")
    figures = summary(design)
    found = item_of(figures, "fins")
    assert (found["mass_basis"], found["measured_mass_g"], found["measured_used"]) == ("estimated", 42.0, False)
    assert found["mass_g"] == found["estimated_mass_g"] == item_of(summary(parse(changed)), "fins")["mass_g"]
    for text in (check_text(figures), report(design, figures)):
        assert "weighed for an older shape" in text
        assert "42.0" in text
    # Its place is not its shape.
    moved = parse("\n".join((TEXT.replace('"700 mm"', '"690 mm"'), old)))
    assert item_of(summary(moved), "fins")["mass_g"] == 42.0


def test_an_old_weighing_never_keeps_a_file_from_loading() -> None:
    """The part has become shorter than its balance point, and there are fewer of it than were weighed."""
    old = 'fingerprint = "0000-0000-0000"\n'
    tables = f'[[weighed]]\npart = "nose"\nmass = "1 g"\nbalance = "900 mm"\n{old}'
    tables += f'[[weighed]]\npart = "fins"\nmasses_g = [1, 2, 3, 4]\n{old}'
    tables += f'[[balance]]\nmass = "500 g"\ncg = "2000 mm"\n{old}'
    figures = with_tables(tables)
    assert [item["mass_g"] for item in figures["items"]] == [item["mass_g"] for item in PLAIN["items"]]
    assert [one["mass_g"] for one in figures["loadings"]] == [one["mass_g"] for one in PLAIN["loadings"]]
    (check,) = (one for one in figures["checks"] if one["name"] == "centre of gravity measured")
    assert check["status"] == "warn"
    assert "CG not measured" in check_text(figures)


def test_fins_are_weighed_one_by_one_and_a_wide_spread_is_warned_of() -> None:
    figures = with_tables('[[weighed]]\npart = "fins"\nmasses = ["12 g", "12.5 g", "13 g"]\n')
    found = item_of(figures, "fins")
    # Mean 12.5, three of them; largest less smallest is 1 g of 12.5 g, 8 %.
    assert (found["mass_g"], found["spread_percent"]) == (37.5, pytest.approx(8.0))
    assert found["measured_pieces_g"] == [12.0, 12.5, 13.0]
    assert "weighed; for which shape is not stated; pieces differ by 8.0 %" in check_text(figures)
    assert next(one for one in figures["checks"] if one["name"] == "fins: pieces alike")["status"] == "warn"


def test_anything_with_a_mass_can_be_weighed_and_says_what_was_stated() -> None:
    figures = with_tables(
        '[[weighed]]\npart = "logger"\nmass = "90 g"\n[[weighed]]\npart = "nose ballast"\nmass = "21 g"\n'
    )
    logger, ballast = item_of(figures, "logger"), item_of(figures, "nose ballast")
    assert (logger["mass_g"], logger["estimated_mass_g"], logger["mass_basis"]) == (90.0, 85.0, "weighed")
    assert (ballast["mass_g"], ballast["estimated_mass_g"]) == (21.0, 20.0)


def test_a_weighed_tube_has_its_mass_for_each_metre() -> None:
    figures = with_tables('[[weighed]]\npart = "tube"\nmass = "120 g"\n')
    assert figures["tubes"][0]["linear_density_g_per_m"] == pytest.approx(200.0)


def test_a_balance_point_of_a_part_moves_its_cg() -> None:
    figures = with_tables('[[weighed]]\npart = "nose"\nmass = "100 g"\nbalance = "180 mm"\n')
    nose = item_of(figures, "nose")
    assert (nose["cg_mm"][0], nose["measured_cg_mm"]) == (180.0, 180.0)
    assert nose["estimated_cg_mm"] == item_of(PLAIN, "nose")["cg_mm"][0]
    assert f"CG as balanced, computed {nose['estimated_cg_mm']:.1f} mm" in check_text(figures)


def test_a_balanced_rocket_has_its_measured_margin_and_both_are_shown() -> None:
    bare = PLAIN["loadings"][0]
    mass, cg = bare["mass_g"] + 30.0, (bare["mass_g"] * bare["cg_mm"][0] + 30.0 * 500.0) / (bare["mass_g"] + 30.0)
    text = f'{TEXT}\n[[balance]]\nmass = "{mass!r} g"\ncg = "{cg!r} mm"\n'
    design = parse(text)
    figures = summary(design)
    state = figures["loadings"][0]
    assert (state["mass_g"], state["cg_mm"][0], state["cg_basis"]) == (mass, cg, "measured")
    assert state["margin_mm"] == pytest.approx(bare["cp_mm"] - cg)
    assert (state["predicted_mass_g"], state["predicted_cg_mm"]) == (bare["mass_g"], bare["cg_mm"])
    (test,) = figures["balances"]
    # The 30 g that were put into it, at 500 mm.
    assert (test["unexplained_mass_g"], test["unexplained_station_mm"]) == (pytest.approx(30.0), pytest.approx(500.0))
    assert figures["body"]["cg_measured"]
    for words in (check_text(figures), report(design, figures)):
        assert "30.0 g that no part explains, at 500 mm" in words
        assert "CG not measured" not in words
    assert f"| without motor | {mass:.0f} | {bare['mass_g']:.0f} | {cg:.0f} |" in report(design, figures)
    assert "scaled by the measured mass" in report(design, figures)


def test_the_order_of_the_tables_changes_nothing() -> None:
    tables = ['[[weighed]]\npart = "nose"\nmass = "100 g"\n', '[[balance]]\nmass = "500 g"\ncg = "450 mm"\n']
    one, other = (parse("\n".join((TEXT, *some))) for some in (tables, tables[::-1]))
    assert summary(one) == summary(other)
    assert one.fingerprint != parse(TEXT).fingerprint


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ('part = "fin"\nmass = "1 g"', "weighed[1].part: there is no part, tube or thing with a mass 'fin'; did"),
        ('part = "fins"', "weighed[1]: needs the `mass` of one, or the `masses` of several, and neither is stated"),
        ('part = "fins"\nmass = "1 g"\nmasses = ["1 g"]', "weighed[1].masses: give either `mass` of one or `masses`"),
        ('part = "fins"\nmass = "0 g"', "weighed[1].mass: must be above 0 g, got 0 g"),
        ('part = "fins"\nmass = "3 mm"', "weighed[1].mass: '3 mm' is a length, expected a mass"),
        ('part = "fins"\nmass = 3', "weighed[1].mass: 3 has no unit; write \"3 g\""),
        ('part = "fins"\nmasses_g = [1, 1, 1, 1]', "weighed[1].masses: 4 masses, and of 'fins' there are 3 pieces"),
        ('part = "nose"\nmasses = ["1 g", "2 g"]', "weighed[1].masses: 2 masses, and of 'nose' there is one piece"),
        ('part = "nose"\nmass = "9 g"\nbalance = "400 mm"', "weighed[1].balance: 400 mm is not on 'nose'"),
        ('part = "logger"\nmass = "9 g"\nbalance = "4 mm"', "weighed[1].balance: 'logger' has no shape"),
        ('part = "nose"\nmass = "9 g"\nfingerprint = "1a2b"', "weighed[1].fingerprint: '1a2b' is not a finger"),
        ('part = "nose"\nmass = "9 g"\n[[weighed]]\npart = "nose"\nmass = "8 g"', "weighed[2].part: 'nose' is"),
    ],
)  # fmt: skip
def test_a_weighing_that_cannot_be_is_refused_by_its_field(table: str, message: str) -> None:
    (problem,) = refused(f"[[weighed]]\n{table}\n")
    assert problem.startswith(message)


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ('mass = "600 g"', "balance[1].cg: is needed and not stated"),
        ('mass = "600 g"\ncg = "851 mm"', "balance[1].cg: 851 mm is behind the rocket, which ends at 850 mm"),
        ('mass = "600 g"\ncg = "450 mm"\nmotor = "smal"', "balance[1].motor: there is no motor 'smal'; did you mean"),
        ('mass = "190 g"\ncg = "450 mm"\nmotor = "small"', "balance[1].mass: 190 g is not more than its motor"),
        ('mass = "6 g"\ncg = "450 mm"\n[[balance]]\nmass = "6 g"\ncg = "450 mm"', "balance[2]: the rocket without a"),
    ],
)  # fmt: skip
def test_a_balance_that_cannot_be_is_refused_by_its_field(table: str, message: str) -> None:
    (problem,) = refused(f"[[balance]]\n{table}\n")
    assert problem.startswith(message)


def test_a_mass_that_is_stated_twice_is_refused_and_both_are_named() -> None:
    text = TEXT.replace("count = 3\n", 'count = 3\nmass = "13 g"\n')
    with pytest.raises(
        DesignError, match=r"weighed\[1\].mass: 'fins' has a `mass` as weighed of its own, 13 g, and this"
    ):
        parse(f'{text}\n[[weighed]]\npart = "fins"\nmass = "14 g"\n')


# --- the command ------------------------------------------------------------------------------------------------------


def test_what_is_given_is_written_with_its_fingerprint_and_all_else_stays(file: Path) -> None:
    done = run(
        "weigh", file, "--set", "fins=14 g, 14.1 g,13.9 g", "--set", "nose = 3.6 oz, CG = 7 in", "--date", "2030-01-31"
    )
    assert done.exit_code == 0, done.output
    text = file.read_text(encoding="utf-8")
    assert text.startswith(TEXT)
    figures = summary(load(file))
    fins, nose = (item_of(PLAIN, name)["fingerprint"] for name in ("fins", "nose"))
    day = "2030-01-31"
    assert tomllib.loads(text)["weighed"] == [
        {"part": "fins", "masses": ["14 g", "14.1 g", "13.9 g"], "fingerprint": fins, "date": day},
        {"part": "nose", "mass": "3.6 oz", "balance": "7 in", "fingerprint": nose, "date": day},
    ]
    assert item_of(figures, "fins")["mass_g"] == pytest.approx(42.0)
    assert item_of(figures, "nose")["cg_mm"][0] == pytest.approx(177.8)
    estimate = item_of(PLAIN, "fins")["mass_g"]
    assert f"fins: estimated {estimate:.1f} g, measured 42.0 g ({100 * (42 / estimate - 1):+.1f} %)" in done.stdout
    old, new = PLAIN["loadings"][1]["margin_cal"], figures["loadings"][1]["margin_cal"]
    assert f"margin {old:.2f} calibres -> {new:.2f} calibres" in done.stdout


def test_weighed_again_it_is_changed_where_it_stands_and_comments_stay(file: Path) -> None:
    tables = """[[weighed]]  # by the kitchen scale
part = "fins"
# one by one
masses_g = [11, 12]  # two of them
balance = "60 mm"
fingerprint = "0000-0000-0000"
note = "before sanding"
date = 2029-01-01

# what follows is another thing
[[weighed]]
part = "nose"
mass = "99 g"  # with a crumb
"""
    file.write_text(TEXT.replace("[[motor]]", f"{tables}\n[[motor]]"), encoding="utf-8")
    before = file.read_text(encoding="utf-8").split("\n")
    assert run("weigh", file, "--set", "fins=14 g", "--set", "nose=100 g").exit_code == 0
    after = file.read_text(encoding="utf-8").split("\n")
    fins, nose = (item_of(PLAIN, name)["fingerprint"] for name in ("fins", "nose"))
    gone = {
        "masses_g = [11, 12]  # two of them",
        'balance = "60 mm"',
        "date = 2029-01-01",
        'mass = "99 g"  # with a crumb',
    }
    gone.add('fingerprint = "0000-0000-0000"')
    assert set(before) - set(after) == gone
    assert set(after) - set(before) == {
        'mass = "14 g"', f'fingerprint = "{fins}"', 'mass = "100 g"  # with a crumb', f'fingerprint = "{nose}"',
    }  # fmt: skip
    follows = after.index("# what follows is another thing")
    # The new lines are in their own tables, before the comment of the next one.
    assert after.index('mass = "14 g"') < follows < after.index('mass = "100 g"  # with a crumb')
    assert after[follows + 1 : follows + 3] == ["[[weighed]]", 'part = "nose"']


def test_a_balance_point_of_the_same_shape_stays(file: Path) -> None:
    assert run("weigh", file, "--set", "nose=100 g, CG=180 mm").exit_code == 0
    assert run("weigh", file, "--set", "nose=101 g").exit_code == 0
    (entry,) = tomllib.loads(file.read_text(encoding="utf-8"))["weighed"]
    assert (entry["mass"], entry["balance"]) == ("101 g", "180 mm")


def test_the_whole_rocket_is_balanced_without_and_with_its_motor(file: Path) -> None:
    readings = ("mass=400 g, CG=430 mm", "motor=small, cg=547 mm, mass=590 g")
    done = run("weigh", file, *(word for one in readings for word in ("--balance", one)))
    assert done.exit_code == 0, done.output
    figures = summary(load(file))
    assert [one["used"] for one in figures["balances"]] == [True, True]
    assert [one["cg_basis"] for one in figures["loadings"][:2]] == ["measured", "measured"]
    # (590 x 547 - 400 x 430) / 190 = 793.3, the motor's forward end is at 726.
    assert figures["motors_by_balance"][0]["cg"] == pytest.approx((590 * 547 - 400 * 430) / 190 - 726)
    assert "small by both tests: 190.0 g, by its table 190.0 g; CG 67 mm" in done.stdout
    # Weighing a part afterwards is no change of the rocket, moving one is.
    assert run("weigh", file, "--set", "nose=100 g").exit_code == 0
    assert [one["used"] for one in summary(load(file))["balances"]] == [True, True]
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('station = "700 mm"', 'station = "690 mm"'), encoding="utf-8")
    assert [one["used"] for one in summary(load(file))["balances"]] == [False, False]
    assert run("weigh", file, "--balance", "mass=401 g, CG=428 mm").exit_code == 0
    assert [one["used"] for one in summary(load(file))["balances"]] == [True, False]


def test_a_check_that_fails_now_gives_1_and_the_file_is_written(file: Path) -> None:
    done = run("weigh", file, "--balance", "mass=600 g, CG=610 mm")
    assert done.exit_code == 1
    assert "CHECK FAILED: static margin, small at liftoff" in done.stdout
    assert "[[balance]]" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--set", "fin=3 g"), "--set: there is nothing called 'fin' that has a mass; did you mean 'fins'?"),
        (("--set", "fins"), "--set: 'fins' is not NAME=MASS"),
        (("--set", "fins="), "--set: fins: needs a mass, such as fins=12.3 g"),
        (("--set", "fins=CG=3 mm"), "--set: fins: needs a mass"),
        (("--set", "fins=12"), "--set: fins: '12' has a number without a unit"),
        (("--set", "fins=12,5 g"), "--set: fins: '12,5 g' has a comma between digits"),
        (("--set", "fins=-1 g"), "--set: fins: must be above 0, got -1 g"),
        (("--set", "fins=3 g", "--set", "fins=4 g"), "--set: fins is given twice"),
        (("--set", "nose=9 g, CG=1 mm, CG=2 mm"), "--set: nose: CG is given twice"),
        (("--set", "nose=9 g, CG=900 mm"), "weighed[1].balance: 900 mm is not on 'nose'"),
        (("--set", "nose=9 g, 9 g"), "weighed[1].masses: 2 masses, and of 'nose' there is one piece"),
        (("--balance", "mass=600 g"), "--balance: CG= is needed and not stated"),
        (("--balance", "600 g, 450 mm"), "--balance: '600 g, 450 mm' is none of mass=, CG= and motor="),
        (("--balance", "mass=600 g, mass=3 g, CG=4 mm"), "--balance: mass is given twice"),
        (("--balance", "mass=600 g, CG=4 g"), "--balance: CG: '4 g' is a mass, expected a length"),
        (("--balance", "mass=600 g, CG=4 mm, motor=smal"), "--balance: there is no motor 'smal'; did you mean"),
        (("--balance", "mass=600 g, CG=4 mm", "--balance", "mass=1 g, CG=4 mm"), "--balance: the rocket without"),
        ((), "there is no terminal to ask at: give what was measured as --set"),
    ],
)  # fmt: skip
def test_bad_input_is_refused_in_words_and_the_file_stays(options: tuple[str, ...], message: str, file: Path) -> None:
    done = run("weigh", file, *options)
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.startswith(f"ferrule: {message}")
    assert file.read_text(encoding="utf-8") == TEXT


def test_a_part_that_states_its_mass_is_not_weighed_a_second_time(file: Path) -> None:
    text = TEXT.replace("count = 3\n", 'count = 3\nmass = "13 g"\n')
    file.write_text(text, encoding="utf-8")
    with pytest.raises(FerruleError, match="fins: its own table states its `mass` as weighed"):
        weigh(file, ["fins=14 g"], [])
    assert file.read_text(encoding="utf-8") == text


def test_tables_on_one_line_are_not_rewritten(file: Path) -> None:
    text = TEXT.replace("[[tube]]", 'weighed = [{part = "nose", mass = "99 g"}]\n\n[[tube]]', 1)
    file.write_text(text, encoding="utf-8")
    for name in ("nose", "fins"):
        with pytest.raises(WriteError, match=r"write each weighed as a table of its own, headed \[\[weighed\]\]"):
            weigh(file, [f"{name}=9 g"], [])
    assert file.read_text(encoding="utf-8") == text


def test_an_interrupted_run_leaves_the_old_file(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise OSError("no room")

    monkeypatch.setattr(files.os, "replace", broken)
    with pytest.raises(WriteError):
        weigh(file, ["nose=100 g"], [])
    assert file.read_text(encoding="utf-8") == TEXT
    assert [path.name for path in file.parent.iterdir()] == [file.name]


def test_line_ends_and_a_link_stay_what_they_are(file: Path, tmp_path: Path) -> None:
    file.write_bytes(TEXT.replace("\n", "\r\n").encode())
    link = tmp_path / "link.toml"
    link.symlink_to(file)
    weigh(link, ["nose=100 g"], [])
    assert link.is_symlink()
    data = file.read_bytes()
    assert data.count(b"\n") == data.count(b"\r\n") > TEXT.count("\n")


def test_a_balance_with_one_motor_says_nothing_of_another(tmp_path: Path) -> None:
    marram = Path(__file__).resolve().parents[2] / "examples" / "marram"
    file = tmp_path / "marram.toml"
    second = """
[[motor]]
name = "DEMO-30" # invented
fits = "motor tube"
diameter = "29 mm"
length = "220 mm"
aft_end = "1158 mm"
loaded_mass = "200 g"
empty_mass = "100 g"
thrust = "demo-29.csv"
"""
    file.write_text((marram / "marram.toml").read_text(encoding="utf-8") + second, encoding="utf-8")
    # The bare table: what its file states of the motor would contradict a heavier one.
    table = (marram / "demo-29.csv").read_text(encoding="utf-8")
    (tmp_path / "demo-29.csv").write_text(table[table.index("time_s") :], encoding="utf-8")
    weigh(file, [], ["mass=1240 g, CG=716 mm, motor=DEMO-30"])
    design = load(file)
    assert not design.is_measured
    figures = summary(design)
    words = report(design, figures)
    assert "**CG not measured: DEMO-29 at liftoff, DEMO-29 at burnout.**" in words
    assert "DEMO-29 at liftoff, DEMO-29 at burnout: CG predicted: CG not measured" in check_text(figures)
    # The first motor's states are drawn.
    assert "Predicted: CG not measured." in " ".join(side_view(design, figures, ()).lines)
    weigh(file, [], ["mass=1230 g, CG=712 mm, motor=DEMO-29"])
    design = load(file)
    figures = summary(design)
    assert design.is_measured
    assert "CG not measured" not in report(design, figures) + check_text(figures)
    assert "CG by the balance test" in " ".join(side_view(design, figures, ()).lines)


def test_a_byte_order_mark_and_who_may_read_it_stay(file: Path) -> None:
    file.write_bytes(b"\xef\xbb\xbf" + TEXT.encode())
    file.chmod(0o600)
    weigh(file, ["nose=100 g"], [])
    assert file.read_bytes().startswith(b"\xef\xbb\xbf" + TEXT.encode()[:40])
    assert file.stat().st_mode & 0o777 == 0o600


def answers(*given: str) -> tuple[Callable[[str], str], list[str]]:
    """Somebody who gives these answers in turn and nothing after them, and what was asked."""
    asked: list[str] = []
    left: Iterator[str] = iter(given)

    def ask(words: str) -> str:
        asked.append(words)
        return next(left, "")

    return ask, asked


def test_by_asking_everything_that_is_not_weighed_comes_in_turn(file: Path) -> None:
    said: list[str] = []
    ask, asked = answers("100 g", "180 mm", "21 g", "125", "125 g", "", "14 g, 14.1 g", "", "400 g", "430 mm")
    done = weigh(file, [], [], None, ask, said.append)
    found = {item["name"]: item["measured_mass_g"] for item in summary(load(file))["items"]}
    # The logger's mass stands in its table.
    assert found == {"nose": 100.0, "nose ballast": 21.0, "tube": 125.0, "fins": pytest.approx(42.15), "logger": None}
    assert [one["motor"] for one in summary(load(file))["balances"]] == [None]
    text = "\n".join(said)
    nose, fins = item_of(PLAIN, "nose"), item_of(PLAIN, "fins")
    assert f"nose (nose-cone): estimated {nose['mass_g']:.1f} g, usually" in text
    assert f"fins (fin, 3 pieces): estimated {fins['mass_g'] / 3:.1f} g each" in text
    assert "'125' has a number without a unit" in text
    assert any("from the root leading edge" in words for words in asked)
    assert done.failed == ()
    # The second time only what is left is asked for.
    ask, asked = answers()
    said.clear()
    again = weigh(file, [], [], None, ask, said.append)
    assert "Every part is weighed as it is now." in said
    assert len(asked) == 1  # the rocket with its motor
    assert again.lines == (f"Nothing was entered; {file} stays as it is.",)


def test_by_asking_a_wrong_answer_is_asked_for_again_and_keeps_the_others(file: Path) -> None:
    said: list[str] = []
    ask, _ = answers("100 g", "999 mm", "100 g", "180 mm")
    weigh(file, [], [], None, ask, said.append)
    assert any("999 mm is not on 'nose'" in words for words in said)
    (entry,) = tomllib.loads(file.read_text(encoding="utf-8"))["weighed"]
    assert entry["balance"] == "180 mm"


def test_without_a_terminal_nothing_is_asked(file: Path) -> None:
    with pytest.raises(FerruleError, match="no terminal to ask at"):
        weigh(file, [], [])
    assert run("weigh", file.with_name("none.toml"), "--set", "a=1 g").exit_code == 2
    assert os.listdir(file.parent) == [file.name]  # noqa: PTH208  names alone


def test_the_demo_holds_no_measurement_of_the_whole_rocket() -> None:
    """Its figures are predictions, and it says so."""
    demo = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"
    figures = summary(load(demo))
    assert (figures["balances"], figures["body"]["cg_measured"]) == ([], False)
    assert all(not item["measured_pieces_g"] for item in figures["items"])
