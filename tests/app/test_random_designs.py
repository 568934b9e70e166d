"""Random design files, valid and broken: each is a design whose every answer works, or is refused in words with lines.

Nothing else may happen: whatever a flyer writes, there is no traceback. More are searched with FERRULE_EXAMPLES; see
DEVELOPERS.md.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from whole_design import text_of

from ferrule.app.check_text import check_text
from ferrule.app.design import Design
from ferrule.app.design_file import parse
from ferrule.app.make import FORMATS
from ferrule.app.make_design import make_design
from ferrule.app.report import report
from ferrule.app.side_view import HEIGHT, WIDTH
from ferrule.app.summary import failed_checks, summary
from ferrule.app.whole import side_view
from ferrule.parts.errors import DesignError, FerruleError
from ferrule.parts.kinds import in_bench_order
from ferrule.parts.sheets.sheet import Box

pytestmark = pytest.mark.search

Draw = Callable[..., Any]
Table = dict[str, Any]
Tables = tuple[Table, list[tuple[str, Table]]]

SEARCHED = int(os.environ.get("FERRULE_EXAMPLES", "0"))
THRUST = "time_s,thrust_N\n0,0\n0.1,40\n1.1,0\n"

NAMES = st.one_of(
    st.sampled_from(["nose", "tube", "ring", "fin", "a", "W" * 80, "e\u0301t\u00e9 3", '\u2167 | <b> & "x"', "-1-"]),
    st.text("abcdefgh XYZ-_.#'\"\\[]{}=,\u00e9\u00df\u706b", min_size=1, max_size=20),
)
WRONG = st.sampled_from(
    [
        "",
        "3",
        "3 oz",
        "-2 mm",
        "0 mm",
        "nan mm",
        "1e400 mm",
        "9 parsec",
        "2,5 mm",
        3,
        3.5,
        True,
        [],
        ["2 mm", 3],
        {},
        "x\ny",
        float("nan"),
        float("inf"),
        -1,
        10**30,
        "\u0663 mm",
        "1e9 mm",
        "600 mm",
    ]
)


def millimetres(low: float, high: float) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda value: f"{value:.4g} mm")


def grams(low: float, high: float) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda value: f"{value:.4g} g")


def written(head: Table, tables: list[tuple[str, Table]]) -> str:
    lines = [f"{key} = {text_of(value)}" for key, value in head.items()]
    for name, table in tables:
        lines.append(name)
        lines += [f"{key} = {text_of(value)}" for key, value in table.items()]
    return "\n".join(lines) + "\n"


@st.composite
def sizes(draw: Draw, diameter: float, room: float, tubes: bool) -> tuple[str, Table]:
    """A kind with sizes; those that may follow from tubes are left out where there are some."""
    kind = draw(st.sampled_from(in_bench_order()))
    table = dict(kind.example)
    if tubes and draw(st.booleans()):
        follow = ("outside_diameter", "inside_diameter", "base_diameter", "shoulder_diameter", "tab_depth")
        table = {key: value for key, value in table.items() if key not in follow}
    lengths = {
        "length": min(room, 400.0),
        "thickness": 12.0,
        "wall": 4.0,
        "shoulder_length": diameter,
        "semi_span": 120.0,
    }
    for key, most in lengths.items():
        if key in table and draw(st.booleans()):
            table[key] = draw(millimetres(most * 0.2, most))
    if draw(st.booleans()):
        table["material"] = draw(st.sampled_from(["pla", "petg", "birch-plywood", "g10"]))
    return kind.kind, table


@st.composite
def designs(draw: Draw) -> Tables:
    """A rocket from forward to aft with whatever goes with it, as tables."""
    tables: list[tuple[str, Table]] = []
    diameter = draw(st.floats(24.0, 160.0))
    bore = diameter - draw(st.floats(1.0, 3.0))
    names: list[str] = []
    free = iter(range(1000))

    def name(word: str) -> str:
        names.append(f"{word} {next(free)}" if draw(st.booleans()) else f"{draw(NAMES)[:75]} {next(free)}")
        return names[-1]

    def some(word: str, table: Table, optional: tuple[str, ...] = ()) -> str:
        for key in optional:
            if draw(st.booleans()):
                del table[key]
        tables.append((f"[[{word}]]", {"name": name(word), **table}))
        return names[-1]

    at = draw(st.sampled_from([0.0, diameter * 3.0]))
    tubes: list[str] = []
    for _ in range(draw(st.integers(0, 3))):
        length = draw(st.floats(60.0, 900.0))
        table = {
            "outside_mm": [round(diameter + draw(st.floats(-0.1, 0.1)), 2) for _ in range(draw(st.integers(1, 4)))],
            "inside_mm": [round(bore + draw(st.floats(-0.1, 0.1)), 2) for _ in range(draw(st.integers(1, 4)))],
            "length": f"{length:.4g} mm",
            "station": f"{at:.6g} mm",
            "use": draw(st.sampled_from(["airframe", "airframe", "airframe", "coupler", "motor"])),
            "material": "kraft-tube",
            "mass": draw(grams(5.0, 300.0)),
            "vents": [f"{at + length * draw(st.floats(0.1, 0.9)):.5g} mm"],
            "vent_diameter": "4 mm",
        }
        if draw(st.booleans()):
            del table["vents"], table["vent_diameter"]
        tubes.append(some("tube", table, ("use", "material", "mass")))
        at += length
    known = st.sampled_from(tubes) if tubes else st.just("none")
    for _ in range(draw(st.integers(0, 5))):
        kind, table = draw(sizes(diameter, max(at, 100.0), bool(tubes)))
        table = {"kind": kind, "station": draw(millimetres(0.0, at + 1.0)), **table}
        if tubes:
            table |= {"fits": draw(known), "around": draw(known)}
        if kind == "fin":
            table["count"] = draw(st.integers(1, 8))
        some("part", table, ("material",) if "material" in table else ())
    things = list(names)
    anchors = []
    for word in draw(
        st.lists(st.sampled_from(["payload", "hardware", "mass", "anchor", "harness", "parachute"]), max_size=6)
    ):
        table = {"mass": draw(grams(1.0, 500.0)), "station": draw(millimetres(0.0, at + 10.0))}
        optional: tuple[str, ...] = ("mass",)
        if word == "hardware":
            table["count"] = draw(st.integers(1, 40))
        if word == "anchor":
            if not things:
                continue
            table |= {"on": draw(st.sampled_from(things)), "material": draw(st.sampled_from(["steel", "pla"]))}
            optional = ("mass", "material")
        if word == "harness":
            if not anchors:
                continue
            table |= {"anchors": anchors[:3], "length": "3 m"}
        if word == "parachute":
            table |= {"diameter": "0.9 m", "drag_coefficient": 0.75}
        given = some(word, table, optional)
        if word == "anchor":
            anchors.append(given)
    for _ in range(draw(st.integers(0, 2))):
        loaded, length = draw(st.floats(20.0, 2000.0)), draw(st.floats(40.0, 300.0))
        table = {
            "diameter": draw(millimetres(13.0, 98.0)),
            "length": f"{length:.4g} mm",
            "aft_end": f"{at + length + draw(st.floats(0.0, 50.0)):.6g} mm",
            "loaded_mass": f"{loaded:.4g} g",
            "empty_mass": f"{loaded * draw(st.floats(0.2, 0.9)):.4g} g",
            **({"fits": draw(known)} if tubes else {}),
            "loaded_cg": f"{length * 0.4:.4g} mm",
            "thrust": "thrust.csv",
        }
        some("motor", table, tuple(key for key in ("fits", "loaded_cg", "thrust") if key in table))
    joined: list[set[str]] = []
    for _ in range(draw(st.integers(0, 4)) if len(things) > 1 else 0):
        between = draw(st.permutations(things))[:2]
        if set(between) in joined:
            continue  # refused, and then nothing else of the design would be looked at; a slip writes a table twice
        joined.append(set(between))
        table = {
            "between": between,
            "state": draw(st.sampled_from(["glued", "screwed", "releases"])),
        }
        tables.append(("[[joint]]", table))
    if draw(st.booleans()):
        tables.append(("[settings]", {"units": draw(st.sampled_from(["mm", "in"])), "revision": draw(NAMES)[:20]}))
    if draw(st.booleans()):
        tables.append(
            ("[allowances]", {"glue": "20 g", "glue_station": draw(millimetres(0.0, at)), "paint": "100 g/m2"})
        )
    if draw(st.booleans()):
        tables.append(
            ("[printer.mine]", {"width": "220 mm", "depth": "220 mm", "height": draw(millimetres(50.0, 400.0))})
        )
        tables.append(('[cutter."two words"]', {"width": "300 mm", "depth": "400 mm"}))
    head = {"format": 1, "name": f"d {draw(NAMES)[:75]}", **({"note": draw(NAMES)} if draw(st.booleans()) else {})}
    return head, draw(st.permutations(tables))


@st.composite
def broken(draw: Draw) -> Tables:
    """A design with slips: keys dropped, misspelt or with a wrong value, tables twice or with a wrong head."""
    head, tables = draw(designs())
    tables = [(name, dict(table)) for name, table in tables]
    for _ in range(draw(st.integers(1, 4))):
        name, table = draw(st.sampled_from([("", head), *tables]))
        slip = draw(st.sampled_from(["drop", "value", "key", "twice", "head", "swap"]))
        if slip in ("drop", "value", "key", "swap") and table:
            key = draw(st.sampled_from(sorted(table)))
            value = table.pop(key)
            if slip == "value":
                table[key] = draw(WRONG)
            elif slip == "key":
                table[draw(st.sampled_from([f"{key}s", key[:-1] or "x", f"{key}_mm", f"{key}_in", "spam", "kind"]))] = (
                    value
                )
            elif slip == "swap":
                other = draw(st.sampled_from(tables))[1] if tables else head
                table[key] = draw(st.sampled_from(sorted(other.values(), key=str))) if other else value
        elif slip == "twice" and name:
            tables.append((name, dict(table)))
        elif slip == "head" and name:
            other_head = draw(
                st.sampled_from(["[spam]", "[[spam]]", "[part]", "[tube.x]", "[[settings]]", "[printer]"])
            )
            tables[tables.index((name, table))] = (other_head, table)
    return head, tables


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("random")
    (folder / "thrust.csv").write_text(THRUST, encoding="utf-8")
    return folder


def answers(design: Design) -> None:
    """Every answer that needs no file."""
    figures = summary(design)
    json.dumps(figures, allow_nan=False)
    assert figures["loadings"]
    assert all(check["limit"] and check["source"] for check in figures["checks"])
    names = [check["name"] for check in figures["checks"]]
    assert len(names) == len(set(names)), sorted(name for name in names if names.count(name) > 1)
    assert "nan" not in check_text(figures).lower().split()
    assert report(design, figures).endswith("\n")
    if any(item.part for item in design.rocket.items):
        page = Box(0.0, 0.0, WIDTH, HEIGHT)
        off = [
            item for item in side_view(design, figures, failed_checks(figures)).items() if not page.holds(item.box())
        ]
        assert off == []


def read(text: str, folder: Path) -> Design | None:
    """A design, or None where it is refused as it should be."""
    try:
        return parse(text, "random.toml", folder)
    except DesignError as error:
        assert error.problems
        lines = text.count("\n") + 1
        for problem in error.problems:
            assert problem.message
            assert problem.line is not None or "is not a design" in problem.message
            assert problem.line is None or 1 <= problem.line <= lines
            assert "\n" not in str(problem)
        return None


@settings(max_examples=SEARCHED or 60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(designs())
def test_a_random_design_answers_or_is_refused_in_words(folder: Path, tables: Tables) -> None:
    design = read(written(*tables), folder)
    if design is not None:
        answers(design)


@settings(max_examples=SEARCHED or 120, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(broken())
def test_a_broken_design_is_refused_in_words_or_answers(folder: Path, tables: Tables) -> None:
    design = read(written(*tables), folder)
    if design is not None:
        answers(design)


def test_enough_of_the_random_designs_hold_together(folder: Path) -> None:
    """Else the test above would only see refusals."""
    held: list[bool] = []

    @settings(max_examples=60, database=None, suppress_health_check=[HealthCheck.too_slow])
    @given(designs())
    def count(tables: Tables) -> None:
        held.append(read(written(*tables), folder) is not None)

    count()
    # Ten to twenty of sixty hold together, by how the examples fall; a handful is enough to see more than refusals.
    assert sum(held) >= 6


@settings(max_examples=max(SEARCHED // 20, 6), suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(designs())
def test_the_files_of_a_random_design_are_made_or_refused_and_never_half(folder: Path, tables: Tables) -> None:
    design = read(written(*tables), folder)
    if design is None:
        return
    with tempfile.TemporaryDirectory() as place:
        out = Path(place) / "out"
        try:
            outcome = make_design(design, out, (), tuple(word for word in FORMATS if word != "step"))
        except FerruleError as error:
            assert str(error)
            assert not out.exists()
            return
        manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
        assert {entry["file"] for entry in manifest["files"]} == set(outcome.files)
        assert {path.name for path in out.iterdir()} == {*outcome.files, "manifest.json"}
        for entry in manifest["files"]:
            assert hashlib.sha256((out / entry["file"]).read_bytes()).hexdigest() == entry["sha256"]
