"""The measuring card before and after readings, and the build order with its cut list."""

from __future__ import annotations

import json
from pathlib import Path

import pdfplumber
import pytest
from typer.testing import CliRunner, Result

from ferrule.app.build_sheet import build_sheet
from ferrule.app.cli import app
from ferrule.app.design_file import load, parse
from ferrule.parts.errors import DesignError

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"
TWO = 'format = 1\nname = "New"\n[[tube]]\nname = "airframe"\n[[tube]]\nname = "motor tube"\noutside_mm = [31.0]\n'


def run(*arguments: str | Path) -> Result:
    result = CliRunner().invoke(app, [str(argument) for argument in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def test_a_card_needs_no_more_than_the_names_of_the_tubes(tmp_path: Path) -> None:
    (tmp_path / "new.toml").write_text(TWO, encoding="utf-8")
    result = run("measure", tmp_path / "new.toml", "--out", tmp_path / "out")
    assert result.exit_code == 0
    for paper, width in (("a4", 210.0), ("letter", 215.9)):
        with pdfplumber.open(tmp_path / "out" / f"new-measuring-card-{paper}.pdf") as document:
            assert float(document.pages[0].width) * 25.4 / 72.0 == pytest.approx(width, abs=0.01)
            text = document.pages[0].extract_text()
    assert "airframe" in text
    assert "motor tube" in text
    listed = json.loads((tmp_path / "out" / "manifest.json").read_text(encoding="utf-8"))["files"]
    assert {entry["kind"] for entry in listed} == {"measuring card"}


def test_a_file_without_tubes_has_no_card(tmp_path: Path) -> None:
    (tmp_path / "empty.toml").write_text('format = 1\nname = "Empty"\n', encoding="utf-8")
    result = run("measure", tmp_path / "empty.toml", "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "names no tube" in result.output
    assert not (tmp_path / "out").exists()


def test_a_card_in_a_designs_folder_stays_when_the_design_is_made(tmp_path: Path) -> None:
    assert run("measure", MARRAM, "--out", tmp_path).exit_code == 0
    assert run("template", MARRAM, "--out", tmp_path, "--only", "fin").exit_code == 0
    assert (tmp_path / "marram-measuring-card-a4.pdf").exists()


def test_the_build_order_of_the_demo_has_every_step_with_its_glue_and_what_stays_dry() -> None:
    text = build_sheet(load(MARRAM), ())
    for words in (
        "Fit U-bolt to forward ring and tie harness to it",
        "Glue forward ring on motor tube",
        "Fillets inside, along the tabs of fin",
        "- Keep dry: the bore of motor tube",
        "This is the joint that opens: no glue and no paint on it",
        "Weigh and balance",
        "booster tube 620.0 mm, payload tube 280.0 mm",
        "215.2 mm (8.472 in) once round",
        "Not a clearance to fly",
    ):
        assert words in text
    assert "not stated" not in text.split("## Cautions")[0], "every joint of the demo is stated"
    assert text.index("Fit U-bolt") < text.index("Put motor tube into booster tube") < text.index("Tack fin")


def test_a_failed_check_stands_on_top_of_the_build_order() -> None:
    assert "**CHECK FAILED: static margin**" in build_sheet(load(MARRAM), ("static margin",)).split("## 1.")[0]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('lengths = ["1000 mm"]', 'lengths = ["600 mm"]', "stock[1].lengths: "),
        ('lengths = ["1000 mm"]', "lengths = []", "stock[1].lengths: must not be empty"),
        ('pieces = ["payload tube"', 'pieces = ["payload tub"', "did you mean 'payload tube'?"),
        ('pieces = ["payload tube"', 'pieces = ["coupler"', "'coupler' is a part and no tube to cut from stock"),
    ],
)
def test_a_wrong_stock_is_refused_at_its_line(old: str, new: str, message: str) -> None:
    text = MARRAM.read_text(encoding="utf-8")
    assert old in text
    with pytest.raises(DesignError) as caught:
        parse(text.replace(old, new), "demo.toml", MARRAM.parent)
    assert message in str(caught.value)
