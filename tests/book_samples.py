"""Designs for the tests of the build book, and the text of its pages as another reader finds it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pdfplumber

from ferrule.app.book.about import About
from ferrule.app.design_file import load
from ferrule.app.summary import failed_checks, summary
from ferrule.parts.sheets.blocks import Block, Book, SideBySide, Table, Together
from ferrule.parts.sheets.paper import A4, Paper
from ferrule.parts.writers.book import write_book

EXAMPLES = Path(__file__).parents[1] / "examples"
DEMO = EXAMPLES / "marram" / "marram.toml"
NOSE = EXAMPLES / "nose-only" / "nose.toml"


def about(path: Path, paper: Paper = A4) -> About:
    """A design file on its way into a book."""
    design = load(path)
    figures = summary(design)
    return About(design, figures, failed_checks(figures), paper)


def demo_with(folder: Path, motors: dict[str, float], more: str = "") -> Path:
    """The demo's file with more motors, by name and by how many times the thrust of its own, and more tables."""
    text = DEMO.read_text(encoding="utf-8")
    table = DEMO.with_name("demo-29.csv").read_text(encoding="utf-8")
    (folder / "demo-29.csv").write_text(table, encoding="utf-8")
    rows = [row.split(",") for row in table.partition("time_s,thrust_N\n")[2].split()]
    for number, (name, times) in enumerate(motors.items()):
        lines = "\n".join(f"{time},{float(force) * times:g}" for time, force in rows)
        (folder / f"more-{number}.csv").write_text(f"time_s,thrust_N\n{lines}\n", encoding="utf-8")
        text += f'''
[[motor]]
name = "{name}"
fits = "motor tube"
diameter = "29 mm"
length = "220 mm"
aft_end = "1158 mm"
loaded_mass = "190 g"
empty_mass = "100 g"
thrust = "more-{number}.csv"
delays = ["6 s", "8 s"]
'''
    path = folder / "marram.toml"
    path.write_text(f"{text}\n{more}", encoding="utf-8")
    return path


def written(told: About, blocks: tuple[Block, ...], path: Path) -> Path:
    """Blocks as a book of their own, stamped as the whole book is."""
    stamp = f"CHECK FAILED: {'; '.join(told.failed)}" if told.failed else ""
    write_book(path, Book(told.name, told.paper, f"{told.name}, {told.fingerprint}", stamp, blocks))
    return path


def texts(path: Path) -> list[str]:
    """The text of every page, blanks and line ends tidied."""
    with pdfplumber.open(path) as found:
        return [" ".join(page.extract_text().split()) for page in found.pages]


def flat(blocks: tuple[Block, ...]) -> Iterator[Block]:
    """Blocks without those that only hold others."""
    for block in blocks:
        if isinstance(block, Together):
            yield from flat(block.blocks)
        elif isinstance(block, SideBySide):
            yield from flat((*block.left, *block.right))
        else:
            yield block


def cells(blocks: tuple[Block, ...]) -> list[str]:
    """The words in the cells of all tables."""
    tables = [block for block in flat(blocks) if isinstance(block, Table)]
    return [cell for table in tables for row in table.rows for cell in row if isinstance(cell, str)]
