"""The personal machine file: read with every fault at its place, changed without losing a comment, and merged.

Folders of settings: the XDG base directory specification 0.8 ($XDG_CONFIG_HOME, absolute, else ~/.config); %APPDATA%
and ~/Library/Application Support are common practice on the other two systems.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.app.machine_file import (
    NOT_STATED,
    Machines,
    load_machines,
    merged,
    parse_machines,
    record,
    usual_path,
)
from ferrule.parts.compensate import words
from ferrule.parts.errors import DesignError, WriteError
from ferrule.parts.machine import Cutter, Printer, fed_back
from ferrule.parts.writers import files

TEXT = """# My workshop.

[printer.tall] # beside the window
width = "250 mm"
depth = "10 in"
height = "340 mm"
nozzle = "0.4 mm"
outside = "0.05 mm"   # gauge of 3 March
hole = "0.12 mm"
shrinkage = { petg = 0.003, pla = 0.002 } # filament of the last box

# The club's.
[cutter.laser]
width = "600 mm"
depth = "300 mm"
kerf = "0.2 mm"
kerf_for = { birch-plywood = "0.15 mm" }
"""


def test_a_file_is_read() -> None:
    found = parse_machines(TEXT)
    tall, laser = found.printers["tall"], found.cutters["laser"]
    assert (tall.width, tall.depth, tall.height, tall.nozzle) == (250.0, 254.0, 340.0, 0.4)
    assert (tall.outside, tall.hole, tall.shrinkage) == (0.05, 0.12, {"petg": 0.003, "pla": 0.002})
    assert (laser.kerf, laser.kerf_for) == (0.2, {"birch-plywood": 0.15})


BAD: dict[str, tuple[str, tuple[str, ...]]] = {
    "everything at once": (
        '[printer.tall]\nwidth = 250\nheigth = "3 mm"\noutside = "4 mm"\n[cutter.laser]\nkerf = "-1 mm"\n',
        (
            'm.toml:2:1: printer.tall.width: 250 has no unit; write "250 mm"',
            "m.toml:3:1: printer.tall.heigth: there is no such field; did you mean 'height'?",
            "m.toml:4:1: printer.tall.outside: must be at most 1 mm, got 4 mm",
            "m.toml:6:1: cutter.laser.kerf: must be at least 0 mm, got -1 mm",
        ),
    ),
    "materials": (
        '[printer.tall]\nshrinkage = { petg = 0.3, unobtainium = 0.01, pla = "2 mm" }\n'
        '[cutter.laser.kerf_for]\n"birch plywood" = "0.1 mm"\nbirch-plywood = "0.2 mm"\nacrylic = 0.1\n',
        (
            "m.toml:2:15: printer.tall.shrinkage.petg: must be at most 0.05, got 0.3",
            "m.toml:2:27: printer.tall.shrinkage.unobtainium: there is no material 'unobtainium' in the table",
            "m.toml:2:47: printer.tall.shrinkage.pla: '2 mm' is not a plain number",
            "m.toml:5:1: cutter.laser.kerf_for.birch-plywood: is the same material as 'birch plywood'",
            "m.toml:6:1: cutter.laser.kerf_for.acrylic: 0.1 has no unit",
        ),
    ),
    "no machine": ("[printr.tall]\n", ("m.toml:1:1: printr: there is no such table; did you mean 'printer'?",)),
    "a bare table": ('printer = "tall"\n', ("m.toml:1:1: printer: write each printer as a table with its name",)),
    "a list": ("[[printer]]\n", ("m.toml:1:1: printer: write each printer as a table with its name",)),
    "fields without a name": (
        '[printer]\nwidth = "3 mm"\n',
        ("m.toml:1:1: printer: write each printer as a table with its name, headed [printer.NAME]",),
    ),
    "names alike": (
        "[printer.tall]\n[printer.Tall]\n",
        ("m.toml:2:1: printer.Tall: 'Tall' and 'tall' would have the same file name",),
    ),
    "a name of nothing": (
        '[printer."!"]\n',
        ("m.toml:1:1: printer.!: '!' holds no letter or digit to name files by",),
    ),
    "no TOML": ("[printer.tall\n", ("m.toml:1:14: is not TOML",)),
    "a shrinkage that is no table": (
        "[printer.tall]\nshrinkage = 0.003\n",
        ("m.toml:2:1: printer.tall.shrinkage: ",),
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_every_fault_has_its_place(case: str) -> None:
    text, expected = BAD[case]
    with pytest.raises(DesignError) as caught:
        parse_machines(text, "m.toml")
    lines = str(caught.value).splitlines()
    assert len(lines) == len(expected), lines
    for line, start in zip(lines, expected, strict=True):
        assert line.startswith(start), line


# --- where ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("environment", "system", "expected"),
    [
        ({"FERRULE_MACHINES": "/a/b.toml", "XDG_CONFIG_HOME": "/c"}, "linux", "/a/b.toml"),
        ({"XDG_CONFIG_HOME": "/c"}, "linux", "/c/ferrule/machines.toml"),
        ({"XDG_CONFIG_HOME": "c"}, "linux", "HOME/.config/ferrule/machines.toml"),
        ({}, "linux", "HOME/.config/ferrule/machines.toml"),
        ({"XDG_CONFIG_HOME": "/c"}, "darwin", "HOME/Library/Application Support/ferrule/machines.toml"),
        ({"APPDATA": "/d/roaming"}, "win32", "/d/roaming/ferrule/machines.toml"),
        ({}, "win32", "HOME/AppData/Roaming/ferrule/machines.toml"),
    ],
)
def test_the_usual_place(environment: dict[str, str], system: str, expected: str, tmp_path: Path) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "home", lambda: tmp_path)
        assert usual_path(environment, system) == Path(expected.replace("HOME", str(tmp_path)))


def test_without_a_home_the_message_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    def nowhere() -> Path:
        raise RuntimeError

    monkeypatch.setattr(Path, "home", nowhere)
    with pytest.raises(DesignError, match=r"name the file in \$FERRULE_MACHINES"):
        usual_path({}, "linux")


def test_the_usual_file_need_not_be_there_but_a_named_one_must(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FERRULE_MACHINES", str(tmp_path / "mine.toml"))
    assert load_machines() == Machines("mine.toml")
    (tmp_path / "mine.toml").write_text(TEXT, encoding="utf-8")
    assert load_machines() == parse_machines(TEXT, "mine.toml")
    with pytest.raises(DesignError, match="there is no such machine file"):
        load_machines(tmp_path / "other.toml")


# --- merging ----------------------------------------------------------------------------------------------------------


def test_the_design_wins_field_by_field() -> None:
    design = parse_machines(
        '[printer.tall]\nheight = "300 mm"\nhole = "0 mm"\nshrinkage = { petg = 0.004 }\n'
        '[printer.small]\nwidth = "120 mm"\ndepth = "120 mm"\nheight = "120 mm"\n'
        '[cutter.laser]\nkerf_for = { acrylic = "0.1 mm" }\n',
        "demo.toml",
    )
    found = merged(parse_machines(TEXT, "machines.toml"), design)
    tall, laser = found.printers["tall"], found.cutters["laser"]
    assert tall.machine == Printer("tall", 250.0, 254.0, 300.0, 0.4, 0.05, 0.0, {"petg": 0.004, "pla": 0.002})
    assert tall.sources == {
        "width": "machines.toml",
        "depth": "machines.toml",
        "height": "demo.toml",
        "nozzle": "machines.toml",
        "outside": "machines.toml",
        "hole": "demo.toml",
        "shrinkage.petg": "demo.toml",
        "shrinkage.pla": "machines.toml",
    }
    assert laser.machine == Cutter("laser", 600.0, 300.0, 0.2, {"acrylic": 0.1, "birch-plywood": 0.15})
    assert laser.sources["kerf_for.acrylic"] == "demo.toml"
    assert laser.sources["kerf_for.birch-plywood"] == "machines.toml"
    small = found.printers["small"]
    assert small.machine == Printer("small", 120.0, 120.0, 120.0)
    assert {small.sources[key] for key in ("nozzle", "outside", "hole", "shrinkage")} == {NOT_STATED}
    assert words(tall.machine, "petg").endswith("petg shrinkage 0.40 %")


def test_a_bed_must_be_somewhere() -> None:
    personal = parse_machines('[printer.tall]\nwidth = "250 mm"\n', "machines.toml")
    design = parse_machines('[printer.tall]\nheight = "300 mm"\n[cutter.laser]\n', "demo.toml")
    with pytest.raises(DesignError) as caught:
        merged(personal, design)
    assert str(caught.value).splitlines() == [
        "printer.tall.depth: is needed and not stated in demo.toml or machines.toml",
        "cutter.laser.width: is needed and not stated in demo.toml",
        "cutter.laser.depth: is needed and not stated in demo.toml",
    ]


# --- writing ----------------------------------------------------------------------------------------------------------


def test_a_new_value_changes_its_own_words_alone(tmp_path: Path) -> None:
    path = tmp_path / "machines.toml"
    path.write_text(TEXT, encoding="utf-8")
    found = record(path, "printer", "tall", {"outside": 0.08, "shrinkage": {"petg": 0.0035}})
    assert found.printers["tall"].outside == 0.08
    expected = TEXT.replace('"0.05 mm"', '"0.08 mm"').replace("petg = 0.003,", "petg = 0.0035,")
    assert path.read_text(encoding="utf-8") == expected
    record(path, "cutter", "laser", {"kerf_for": {"birch plywood": 0.18}})
    assert path.read_text(encoding="utf-8") == expected.replace('"0.15 mm"', '"0.18 mm"')


def test_new_fields_machines_and_files(tmp_path: Path) -> None:
    path = tmp_path / "new" / "machines.toml"
    record(path, "printer", "tall", {"width": 250.0, "depth": 250.0, "height": 340.0})
    record(path, "printer", "tall", {"hole": 0.12, "shrinkage": {"petg": 0.003}})
    record(path, "cutter", "my laser", {"kerf_for": {"acrylic": 0.1}})
    assert path.read_text(encoding="utf-8") == (
        '[printer.tall]\nwidth = "250 mm"\ndepth = "250 mm"\nheight = "340 mm"\nhole = "0.12 mm"\n'
        'shrinkage = {petg = 0.003}\n\n[cutter."my laser"]\nkerf_for = {acrylic = "0.1 mm"}\n'
    )
    assert sorted(one.name for one in path.parent.iterdir()) == ["machines.toml"]


def test_a_machine_is_added_behind_what_is_there(tmp_path: Path) -> None:
    path = tmp_path / "machines.toml"
    path.write_text(TEXT, encoding="utf-8")
    record(path, "printer", "small", {"outside": 0.02})
    assert path.read_text(encoding="utf-8") == f'{TEXT}\n[printer.small]\noutside = "0.02 mm"\n'


def test_line_ends_and_the_byte_order_mark_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "machines.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    record(path, "printer", "tall", {"outside": 0.08})
    assert path.read_bytes() == TEXT.replace('"0.05 mm"', '"0.08 mm"').replace("\n", "\r\n").encode()


@pytest.mark.parametrize(
    ("old", "changes", "message"),
    [
        (TEXT, {"outside": 5.0}, "printer.tall.outside: must be at most 1 mm, got 5 mm"),
        (TEXT, {"shrinkage": {"petgg": 0.003}}, "there is no material 'petgg'"),
        (TEXT, {"colour": 3.0}, "printer.tall.colour: there is no such field"),
        ("[printer.tall\n", {"outside": 0.1}, "machines.toml:1:14: is not TOML"),
        ("[printer.tall]\nwidth = 3\n", {"outside": 0.1}, "machines.toml:2:1: printer.tall.width: 3 has no unit"),
        ("[printer.tall]\nshrinkage = 3\n", {"shrinkage": {"petg": 0.1}}, "machines.toml:2:1: printer.tall.shrinkage"),
        ("printer = 3\n", {"outside": 0.1}, "write each printer as a table"),
    ],
)
def test_a_refused_change_leaves_the_file(old: str, changes: dict[str, Any], message: str, tmp_path: Path) -> None:
    path = tmp_path / "machines.toml"
    path.write_text(old, encoding="utf-8")
    with pytest.raises(DesignError, match=message.replace("[", r"\[")):
        record(path, "printer", "tall", changes)
    assert path.read_text(encoding="utf-8") == old
    assert len(list(tmp_path.iterdir())) == 1


def test_an_interrupted_change_leaves_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "machines.toml"
    path.write_text(TEXT, encoding="utf-8")

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "replace", fails)
    with pytest.raises(WriteError, match="No space left"):
        record(path, "printer", "tall", {"outside": 0.08})
    assert path.read_text(encoding="utf-8") == TEXT
    assert len(list(tmp_path.iterdir())) == 1


FORMS = (
    TEXT,
    'printer.tall.width = "250 mm"\nprinter.tall.outside = "0.05 mm" # dotted\n',
    'printer = { tall = { width = "250 mm" } }\n',
    '[printer]\ntall = { width = "250 mm", outside = "0.1 mm" } # inline\n',
    '[cutter.laser]\nkerf = "0.1 mm"\n[printer.tall]\nwidth = "3 mm"\n[cutter.saw]\n'
    "[printer.tall.shrinkage]\nabs = 0.006\n",
    "[printer.tall.shrinkage]\nabs = 0.006 # alone\n",
    "# nothing but a comment",
    "",
)


@pytest.mark.parametrize("old", FORMS)
@given(
    amounts=st.dictionaries(st.sampled_from(("outside", "hole")), st.integers(-99, 99).map(lambda n: n / 100.0)),
    shrinks=st.dictionaries(st.sampled_from(("petg", "abs")), st.integers(-20, 50).map(lambda n: n / 1000.0)),
)
def test_whatever_the_form_nothing_else_changes(
    old: str, amounts: dict[str, float], shrinks: dict[str, float], tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("form") / "machines.toml"
    path.write_text(old, encoding="utf-8")
    changes: dict[str, Any] = {**amounts, **({"shrinkage": shrinks} if shrinks else {})}
    found = record(path, "printer", "tall", changes)
    entry = found.printers["tall"]
    assert {key: getattr(entry, key) for key in amounts} == amounts
    assert {key: entry.shrinkage[key] for key in shrinks} == shrinks
    before, after = parse_machines(old), found
    assert after.cutters == before.cutters
    if "tall" in before.printers:
        untouched = before.printers["tall"].model_dump(exclude={*amounts, "shrinkage"})
        assert entry.model_dump(exclude={*amounts, "shrinkage"}) == untouched
    text = path.read_text(encoding="utf-8")
    comments = [line.partition("#")[2] for line in old.splitlines() if "#" in line]
    assert [line.partition("#")[2] for line in text.splitlines() if "#" in line] == comments
    tomllib.loads(text)


def test_round_by_round_a_printer_gets_true(tmp_path: Path) -> None:
    """Make a gauge, try it, record, make again: the hidden errors of an invented printer come out."""
    path, hidden = tmp_path / "machines.toml", {"outside": 0.137, "hole": 0.212}
    record(path, "printer", "tall", {"width": 250.0, "depth": 250.0, "height": 340.0})
    known: dict[str, tuple[float, float]] = {}
    for _ in range(2):
        machine = merged(load_machines(path), Machines()).printers["tall"].machine
        for amount, now in (("outside", machine.outside), ("hole", machine.hole)):
            set_ = [round(15.0 + 0.1 * k, 6) for k in range(101)]
            error = hidden[amount] - now
            if amount == "outside":
                fitted = max(size for size in set_ if size + 2.0 * error <= 20.0)
            else:
                fitted = min(size for size in set_ if size - 2.0 * error >= 20.0)
            found = fed_back(amount, now, 20.0, fitted, known=known.get(amount))  # type: ignore[arg-type]
            known[amount] = (found.low, found.high)
            record(path, "printer", "tall", {amount: found.value})
    machine = merged(load_machines(path), Machines()).printers["tall"].machine
    assert abs(machine.outside - 0.137) <= 0.02
    assert abs(machine.hole - 0.212) <= 0.02
