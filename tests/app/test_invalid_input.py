"""What no design file should hold: each is refused in words, with file, line, field and value, or is worked with.

Never a traceback, never a hang, never a file outside the folder that was named. FERRULE_EXAMPLES searches wider; see
DEVELOPERS.md.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner
from whole_design import BASE, CHANGES, THRUST, changed, text_of, written

from ferrule.app.cli import app
from ferrule.app.design import Design
from ferrule.app.design_file import PIECES, load, parse
from ferrule.app.machine_file import load_machines, parse_machines
from ferrule.app.make_design import make_design
from ferrule.app.motor_file import read_motor_file
from ferrule.app.report import report
from ferrule.app.starter import starter
from ferrule.app.summary import summary
from ferrule.app.toml_text import LARGEST, MOST
from ferrule.parts.errors import DesignError, FerruleError
from ferrule.parts.kinds import in_bench_order

ROOT = Path(__file__).resolve().parents[2]
DEMO = (ROOT / "examples" / "marram" / "marram.toml").read_text(encoding="utf-8")
SEARCHED = int(os.environ.get("FERRULE_EXAMPLES", "0"))

LONG = "x" * 10_000
WRONG: dict[str, Any] = {
    "empty": "",
    "blank": "   ",
    "number": 3,
    "float": 2.5,
    "true": True,
    "nan": float("nan"),
    "inf": float("inf"),
    "minus inf": float("-inf"),
    "huge": 10**18,
    "huge float": 1e308,
    "tiny": 5e-324,
    "negative": -1,
    "zero": 0,
    "nan mm": "nan mm",
    "inf mm": "inf mm",
    "huge mm": "1e308 mm",
    "overflow mm": "1e999 mm",
    "tiny mm": "5e-324 mm",
    "negative mm": "-3 mm",
    "zero mm": "0 mm",
    "mass": "3 oz",
    "no such unit": "9 parsec",
    "comma": "2,5 mm",
    "other digits": "\u0663 mm",
    "full width": "\uff11\uff12 mm",
    "long": LONG,
    "long number": "9" * 10_000 + " mm",
    "list": [],
    "mixed list": ["2 mm", 3, True, {"a": "b"}],
    "long list": ["2 mm"] * 200,
    "nested": [[[[]]]],
    "table": {"a": {"b": {}}},
    "lines": "x\ny\r\t\0\x1b[31m",
    "unicode": "e\u0301t\u00e9 \u706b \U0001f680 \u202e \u200b",
    "path": "../../../etc/passwd",
}

NAMES = {
    "up": "../x",
    "root": "/etc/passwd",
    "drive": "C:\\x",
    "device": "CON",
    "port": "lpt1.stl",
    "dots": "y...",
    "hidden": ".hidden",
    "dash": "--out",
    "percent": "%s %n {0} $HOME `id`",
    "markup": "<b>&amp;</b> | [x](y) \\",
    "unicode": "Fl\u00fcgel \u00c9t\u00e9",
    "combining": "A\u030ab",
    "eighty": "W" * 80,
}
"""Names that are somebody's path, device or markup, and that files are named by all the same."""

NO_NAMES = {
    "empty": ("", "must not be empty"),
    "dots": ("..", "holds no letter or digit"),
    "slash": ("/", "holds no letter or digit"),
    "blank": ("   ", "holds no letter or digit"),
    "rocket": ("\U0001f680", "holds no letter or digit"),
    "nul": ("a\0b", "cannot be printed"),
    "escape": ("a\x1b[2Jb", "cannot be printed"),
    "backwards": ("a\u202eb", "cannot be printed"),
    "lines": ("a\nb", "cannot be printed"),
    "long": ("x" * 300, "at most 80 letters"),
    "page": (LONG, "at most 80 letters"),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("invalid")
    (folder / "thrust.csv").write_text(THRUST, encoding="utf-8")
    (folder / "demo-29.csv").write_text(
        (ROOT / "examples" / "marram" / "demo-29.csv").read_text(encoding="utf-8"), encoding="utf-8"
    )
    return folder


def in_words(error: DesignError, file: str, lines: int) -> None:
    """A refusal names the file and the line, and fits on a screen."""
    assert error.problems
    for problem in error.problems:
        assert problem.message
        assert problem.file is not None
        told = str(problem)
        assert len(told) < 4000
        assert told.isprintable()
        if problem.file == file and "is not a design" not in problem.message:
            assert problem.line is not None, told
            assert 1 <= problem.line <= lines + 1


def works(design: Design) -> None:
    figures = summary(design)
    json.dumps(figures, allow_nan=False)
    assert report(design, figures).endswith("\n")


def answered(text: str, folder: Path) -> list[str]:
    """The problems of a text, each as it is told; none where it is a design whose every answer works."""
    try:
        design = parse(text, "odd.toml", folder)
    except DesignError as error:
        in_words(error, "odd.toml", text.count("\n"))
        return [str(problem) for problem in error.problems]
    works(design)
    return []


# --- fields -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("word", WRONG)
def test_a_wrong_value_in_every_field_of_a_table_is_refused_field_by_field(word: str, folder: Path) -> None:
    for name in CHANGES:
        if name in ("settings", "part", "joint", "drag", "printer", "launch"):
            tables = changed(name, dict.fromkeys(CHANGES[name], WRONG[word]))
            found = answered(written(tables), folder)
            assert found, name


@pytest.mark.parametrize("kind", in_bench_order(), ids=lambda kind: kind.kind)
def test_a_wrong_value_in_every_field_of_a_kind_is_refused_in_words(kind: Any) -> None:
    for word, value in WRONG.items():
        with pytest.raises(FerruleError) as caught:
            kind.build(**dict.fromkeys(kind.model_fields, value))
        assert isinstance(caught.value, DesignError), word
        fields = {str(problem.field).partition("[")[0].partition(".")[0] for problem in caught.value.problems}
        assert fields <= set(kind.model_fields), word
        assert all(str(problem).isprintable() and len(str(problem)) < 4000 for problem in caught.value.problems), word


FIELDS = [(name, field) for name, fields in CHANGES.items() for field in fields]


@pytest.mark.search
@settings(max_examples=SEARCHED or 50, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_one_wrong_value_in_any_field_is_refused_or_works(folder: Path, data: st.DataObject) -> None:
    name, field = data.draw(st.sampled_from(FIELDS))
    value = data.draw(st.one_of(st.sampled_from(list(WRONG.values())), _anything()))
    where = data.draw(st.integers(0, len(BASE[name]) - 1)) if isinstance(BASE[name], list) else 0
    found = answered(written(changed(name, {**CHANGES[name][field], field: value}, where)), folder)
    for problem in found:
        assert problem.startswith("odd.toml:"), problem


def _anything() -> st.SearchStrategy[Any]:
    alone = st.one_of(
        st.text(st.characters(exclude_categories=["Cs"]), max_size=30),
        st.floats(),
        st.integers(-(2**63), 2**63 - 1),
        st.booleans(),
        st.builds(lambda x, unit: f"{x!r} {unit}", st.floats(), st.sampled_from(["mm", "in", "g", "deg", "m/s", "N"])),
    )
    return st.one_of(alone, st.lists(alone, max_size=4), st.dictionaries(st.text("abc", min_size=1), alone, max_size=2))


# --- text -------------------------------------------------------------------------------------------------------------

TEXTS = {
    "nothing": "",
    "remark": "# only this",
    "no value": "format =",
    "deep lists": f"format = 1\nname = {'[' * 5000}{']' * 5000}\n",
    "deep tables": f"format = 1\n[{'.'.join('a' * 3000)}]\n",
    "dotted": f"format = 1\n{'.'.join('a' * 3000)} = 1\n",
    "huge list": f"format = 1\nname = [{'1, ' * 200_000}]\n",
    "huge number": f"format = {'9' * 10_000}\n",
    "huge date": 'format = 1\nname = "x"\n[settings]\ndate = 9999-99-99\n',
    "key twice": 'format = 1\nname = "x"\nname = "y"\n',
    "table twice": 'format = 1\nname = "x"\n[settings]\n[settings]\n',
    "table and list": 'format = 1\nname = "x"\n[tube]\n[[tube]]\n',
    "list and table": 'format = 1\nname = "x"\n[[tube]]\n[tube]\n',
    "nul": 'format = 1\nname = "a\0b"\n',
    "carriage returns": 'format = 1\rname = "x"\r',
    "second mark": '\ufeffformat = 1\nname = "x"\n',
    "half a surrogate": 'format = 1\nname = "\\ud800"\n',
    "no such escape": 'format = 1\nname = "\\q"\n',
    "no end": 'format = 1\nname = """x',
    "table without end": "format = 1\n[settings",
    "empty key": 'format = 1\n"" = 1\nname = "x"\n',
    "lists for tables": 'format = 1\nname = "x"\ntube = [1, 2]\npart = "x"\nsettings = 3\nprinter = [1]\n',
    "tables for words": "format = {}\nname = {a = 1}\n",
    "keys of python": 'format = 1\nname = "x"\n[[tube]]\n__class__ = "x"\nself = 1\nmodel_config = 2\nname = "t"\n',
}


@pytest.mark.parametrize("word", TEXTS)
def test_a_text_that_is_no_design_is_refused_in_words(word: str, folder: Path) -> None:
    start = time.perf_counter()
    assert answered(TEXTS[word], folder)
    assert time.perf_counter() - start < 20.0


def cut(text: str, at: int) -> bytes:
    return text.encode()[:at]


@pytest.mark.parametrize(("text", "step"), [(DEMO, 331), (starter(), 353)], ids=["demo", "starter"])
def test_a_file_that_breaks_off_anywhere_is_refused_or_works(text: str, step: int, folder: Path) -> None:
    """Every byte with FERRULE_EXAMPLES; else some, most of which lie within a line."""
    for at in range(0, len(text.encode()), 1 if SEARCHED else step):
        path = folder / "broken-off.toml"
        path.write_bytes(cut(text, at))
        try:
            design = load(path)
        except DesignError as error:
            in_words(error, path.name, cut(text, at).count(b"\n") + 1)
        else:
            summary(design)


@pytest.mark.search
@settings(max_examples=SEARCHED or 40, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_a_file_with_changed_bytes_is_refused_or_works(folder: Path, data: st.DataObject) -> None:
    found = bytearray(data.draw(st.sampled_from([DEMO, written(BASE)])).encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(found) - 1))
        what = data.draw(st.sampled_from(["other", "gone", "more", "twice"]))
        if what == "other":
            found[at] = data.draw(st.integers(0, 255))
        elif what == "gone":
            del found[at : at + data.draw(st.integers(1, 60))]
        elif what == "more":
            found[at:at] = data.draw(st.binary(min_size=1, max_size=8))
        else:
            found[at:at] = found[at : at + data.draw(st.integers(1, 200))]
    path = folder / "changed.toml"
    path.write_bytes(bytes(found))
    try:
        design = load(path)
    except DesignError as error:
        in_words(error, path.name, bytes(found).count(b"\n") + 1)
    else:
        works(design)


@pytest.mark.search
@settings(max_examples=SEARCHED or 20, suppress_health_check=list(HealthCheck))
@given(st.binary(max_size=300), st.text(max_size=200))
def test_junk_is_refused_wherever_a_file_is_read(folder: Path, junk: bytes, letters: str) -> None:
    path = folder / "junk"
    for content in (junk, letters.encode("utf-8", "surrogatepass"), b"\xef\xbb\xbf" + junk):
        path.write_bytes(content)
        with pytest.raises(DesignError) as caught:
            load(path)
        in_words(caught.value, path.name, content.count(b"\n") + 1)
        try:
            load_machines(path)
        except DesignError as error:
            in_words(error, path.name, content.count(b"\n") + 1)
        (folder / "junk.csv").write_bytes(content)
        found = answered(written(changed("motor", {"thrust": "junk.csv"})), folder)
        assert found
        assert all("junk.csv" in problem for problem in found)


# --- files that are none ----------------------------------------------------------------------------------------------


def no_files(place: Path) -> dict[str, tuple[Path, str]]:
    os.mkfifo(place / "pipe")
    (place / "loop").symlink_to(place / "loop")
    (place / "large").touch()
    os.truncate(place / "large", 10 * 10**9)  # 10 GB that take up no room
    found = {
        "pipe": (place / "pipe", "this is a pipe"),
        "folder": (place, "this is a folder"),
        "missing": (place / "missing", "there is no such"),
        "loop": (place / "loop", "cannot be read"),
        "long": (place / LONG, "cannot be read"),
        "nul": (place / "a\0b", "cannot be read"),
        "below a file": (place / "large" / "x", "cannot be read"),
        "large": (place / "large", f"larger than {LARGEST / 1e6:g} MB"),
        "endless": (Path("/dev/zero"), f"larger than {LARGEST / 1e6:g} MB"),
        "memory": (Path("/proc/self/mem"), "cannot be read"),
    }
    if os.geteuid():
        (place / "closed").touch(0o000)
        found["closed"] = (place / "closed", "cannot be read")
    return found


@pytest.mark.skipif(sys.platform != "linux", reason="the files are those of Linux")
def test_what_is_no_file_is_named_and_never_waited_for(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text("", encoding="utf-8")
    for word, (path, message) in no_files(tmp_path).items():
        for reads in (load, load_machines):
            with pytest.raises(DesignError, match=message) as caught:
                reads(path)
            assert caught.value.problems[0].file == str(path), word
        found = answered(written(changed("motor", {"thrust": str(path)})), tmp_path)
        assert any(message in problem for problem in found), word


@pytest.mark.parametrize(
    "junk",
    [
        "",
        "time_s,thrust_N\n",
        "time_s,thrust_N\n0,nan\n1,inf\n",
        "time_s,thrust_N\n0,0\n0,0\n",
        "time_s,thrust_N\n" + "0" * 5000 + "," + "9" * 5000 + "\n1,0\n",
        "time_s,thrust_N\n0,1e999\n1,0\n",
        "name," + LONG + "\ntime_s,thrust_N\n0,0\n1,1\n2,0\n",
        "," * 5000,
        "delays," + ",".join(f"{i} s" for i in range(1, 2000)) + "\ntime_s,thrust_N\n0,0\n1,1\n2,0\n",
        "\x00\x01\x02",
        "\u2028time_s,thrust_N\u20280,0",
        "name\nname\nname\n",
    ],
)
def test_a_thrust_table_of_junk_is_refused_line_by_line(junk: str, folder: Path) -> None:
    with pytest.raises(DesignError):
        read_motor_file(junk)
    (folder / "junk.csv").write_text(junk, encoding="utf-8")
    found = answered(written(changed("motor", {"thrust": "junk.csv"})), folder)
    assert found
    assert all("junk.csv" in problem for problem in found)


@pytest.mark.parametrize("word", WRONG)
def test_a_machine_file_with_wrong_values_is_refused_field_by_field(word: str) -> None:
    for name in ("printer", "cutter"):
        fields = dict.fromkeys(CHANGES[name], WRONG[word])
        text = f"[{name}.x]\n" + "".join(f"{key} = {text_of(value)}\n" for key, value in fields.items())
        with pytest.raises(DesignError) as caught:
            parse_machines(text, "machines.toml")
        in_words(caught.value, "machines.toml", text.count("\n"))


# --- names ------------------------------------------------------------------------------------------------------------


def ring(name: str, station: float = 10.0) -> dict[str, Any]:
    return {
        "name": name,
        "kind": "centering-ring",
        "station": f"{station} mm",
        "outside_diameter": "40 mm",
        "inside_diameter": "20 mm",
        "thickness": "3 mm",
    }


def below(place: Path) -> set[str]:
    return {path.relative_to(place).as_posix() for path in place.rglob("*")}


def test_names_that_look_like_paths_make_files_in_the_folder_alone(tmp_path: Path) -> None:
    parts = [ring(name, 5.0 * number) for number, name in enumerate(NAMES.values())]
    for design in ("../../up", "CON", "W" * 80):
        tables = {
            "": {"format": 1, "name": design},
            "settings": {"cutter": "../" + "V" * 50},
            "part": parts if design == "CON" else parts[:2],
            "cutter": {"../" + "V" * 50: {"width": "300 mm", "depth": "300 mm"}},
        }
        place = tmp_path / "deep" / "er"
        place.mkdir(parents=True, exist_ok=True)
        out = place / f"out {len(below(place))}"
        outcome = make_design(parse(written(tables), "names.toml", tmp_path), out, (), ("svg",))
        assert below(out) == {*outcome.files, "manifest.json"}
        for file in outcome.files:
            assert file == Path(file).name
            assert len(file) < 255
            assert file.lower() == file
            assert set(file) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.")
    assert {path.name for path in tmp_path.iterdir()} == {"deep"}
    assert {path.name for path in (tmp_path / "deep").iterdir()} == {"er"}


@pytest.mark.parametrize("word", NO_NAMES)
def test_a_name_that_no_file_can_have_is_refused(word: str, folder: Path) -> None:
    name, message = NO_NAMES[word]
    tables = {"": {"format": 1, "name": "x"}, "part": [ring(name)]}
    found = answered(written(tables), folder)
    assert len(found) == 1
    assert "part[1].name" in found[0]
    assert message in found[0]
    found = answered(written({"": {"format": 1, "name": name}, "part": [ring("a")]}), folder)
    assert any(message in problem for problem in found)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Ring", "ring"),
        ("a b", "a-b"),
        ("\u00e9", "e"),
        ("x.", "x"),
        ("W" * 61, "W" * 62),
        ("\uff41", "a"),
        ("a/b", "a\\b"),
    ],
)
def test_names_that_would_make_one_file_are_refused(one: str, other: str, folder: Path) -> None:
    found = answered(written({"": {"format": 1, "name": "x"}, "part": [ring(one), ring(other, 50.0)]}), folder)
    assert len(found) == 1
    assert "would have the same file name" in found[0]


# --- very many --------------------------------------------------------------------------------------------------------

MANY = {
    "part": lambda i: ring(f"r {i}", i % 19000 + 0.5),
    "tube": lambda i: {"name": f"t {i}", "outside": ["40 mm"], "inside": ["38 mm"], "length": "1 m"},
    "mass": lambda i: {"name": f"m {i}", "mass": "1 g", "station": f"{i % 19000} mm"},
    "joint": lambda i: {"between": [f"a {i}", f"b {i}"], "state": "glued"},
    "weighed": lambda i: {"part": f"p {i}", "mass": "1 g"},
}


@pytest.mark.parametrize("name", MANY)
def test_ten_thousand_of_a_table_are_refused_by_their_number_at_once(name: str, folder: Path) -> None:
    text = written({"": {"format": 1, "name": "x"}, name: [MANY[name](i) for i in range(10_000)]})
    start = time.perf_counter()
    found = answered(text, folder)
    assert time.perf_counter() - start < 20.0
    assert len(found) == 1
    line, _, rest = found[0].removeprefix("odd.toml:").partition(":")
    assert f"at most {MOST} of [[{name}]], got 10000" in rest
    # The table over the limit is the one that is named.
    assert text.splitlines()[int(line) - 1] == f"[[{name}]]"
    assert sum(row == f"[[{name}]]" for row in text.splitlines()[: int(line)]) == MOST + 1


def test_hundreds_of_faults_are_told_in_bounded_time_and_length(folder: Path) -> None:
    tubes = [MANY["tube"](i) for i in range(300)]
    parts = [{**ring(f"r {i}"), "fits": f"no such {i}"} for i in range(300)]
    start = time.perf_counter()
    found = answered(written({"": {"format": 1, "name": "x"}, "tube": tubes, "part": parts}), folder)
    assert time.perf_counter() - start < 60.0
    assert len(found) == 300
    assert "and 260 more" in found[0]


def test_very_many_in_one_place_end_the_search_for_overlaps(folder: Path) -> None:
    fins = [
        {**BASE["part"][2], "name": f"fin {i}", "tab_depth": "10 mm", "station": f"{600 + i % 40} mm", "count": 1}
        for i in range(60)
    ]
    for one in fins:
        del one["around"]
    tables = {"": {"format": 1, "name": "x"}, "tube": BASE["tube"][:1], "part": fins}
    start = time.perf_counter()
    design = parse(written(tables), "many.toml", folder)
    found = [check for check in summary(design)["checks"] if check["name"].endswith("same place")]
    assert time.perf_counter() - start < 60.0
    assert len(found) == 100
    last = next(check for check in design.checks if check.name == "room for everything")
    assert last.status == "fail"
    assert "100 overlaps or more" in str(last.value)


def test_pieces_are_counted_over_all_parts(folder: Path) -> None:
    stations = [f"{10 * place + 1} mm" for place in range(100)]
    parts = [{**ring(f"r {i}"), "stations": stations} for i in range(41)]
    for one in parts:
        del one["station"]
    found = answered(written({"": {"format": 1, "name": "x"}, "part": parts}), folder)
    assert len(found) == 1
    assert f"part: are 4100 pieces in all, and a design holds at most {PIECES}" in found[0]


def test_every_list_has_a_bound(folder: Path) -> None:
    for field, name in (("vents", "tube"), ("outside", "tube"), ("stations", "part"), ("pieces", "stock")):
        found = answered(written(changed(name, {field: ["2 mm"] * 5000})), folder)
        assert any("takes at most" in problem and "got 5000" in problem for problem in found), field


# --- the command line -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"\x7fELF\x00\xff", "is not UTF-8 text"),
        (b"format = 1\nname = [", "is not TOML"),
        (written(changed("part", {"thickness": LONG})).encode(), "part[1].thickness"),
    ],
)
def test_the_command_line_says_it_in_words_and_exits_with_2(content: bytes, message: str, tmp_path: Path) -> None:
    path = tmp_path / "odd.toml"
    path.write_bytes(content)
    ran = subprocess.run(
        [sys.executable, "-m", "ferrule", "make", str(path), "--out", str(tmp_path / "out")],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), "LC_ALL": "C", "PYTHONIOENCODING": "ascii"},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ran.returncode == 2
    assert message in ran.stderr
    assert "Traceback" not in ran.stderr
    assert "odd.toml:" in ran.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["odd.toml"]


@pytest.mark.parametrize(
    ("name", "message"), [("CON", "calls a device"), ("..", "holds no letter"), ("lpt1.", "device")]
)
def test_a_part_on_its_own_has_no_name_that_no_file_can_have(name: str, message: str, tmp_path: Path) -> None:
    result = CliRunner().invoke(
        app,
        [
            *("part", "centering-ring", "--outside-diameter", "60 mm", "--inside-diameter", "30 mm"),
            *("--thickness", "6 mm", "--name", name, "--out", str(tmp_path / "out")),
        ],
    )
    assert result.exit_code == 2
    assert message in result.stderr
    assert list(tmp_path.iterdir()) == []
