"""The chart of what each item adds: a row for each, and in it a bar for mass, CG, normal force and CP.

Bars start at the thin upright line of their column. For the two stations they point to the left where the item moves
the station forward and to the right where it moves it aft. Every bar has its figure beside it, so that no colour and
no scale is needed to read it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..analysis.contributions import Contribution, Contributions, gathered
from ..analysis.loading import PREDICTED
from ..parts.marks import SMALLEST_TYPE, Pen
from ..parts.sheets import sheet
from ..parts.sheets.letters import cut_to_fit, plain, width, wrap
from ..parts.sheets.sheet import Solid, Text, line
from .cautions import SHORT_CAUTION
from .design import Design
from .job import Say
from .lengths import Lengths
from .manifest import Made, listed
from .names import slug
from .side_view import HEIGHT, WIDTH
from .whole import origin_of

CHART_KIND = "contributions"
"""What the manifest calls it."""

_EDGE = 14.0
_ROOM = WIDTH - 2.0 * _EDGE
_NAMES = 61.0
"""Width of the column of names [mm]."""
_GAP = 4.0
"""Between two columns [mm]."""
_FIGURES = 16.0
"""Width of the figures beside the bars [mm]."""
_ROW = 4.9
"""Height of a row [mm]."""
_BAR = 2.4
"""Height of a bar [mm]."""
_HEAD = 12.0
"""Height of the heads of the columns [mm]."""
_STAMP = 5.5
"""Height of a line of the stamp [mm]."""
_STAMP_LINES = 3
"""Most lines of the stamp [-]."""
_FOOT = 8.0
"""Height of what stands below the rows [mm]."""
_BASE = 1.1
"""From the middle of a row down to where its letters stand [mm]."""
_MISSING = "-"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of bars.

    Attributes:
        head: its head.
        value: what it shows of a row; None where that is not stated.
        shown: the figure beside a bar.
        total: the figure under the column.
        moves: whether it shows what is moved, forward or aft.
    """

    head: str
    value: Callable[[Contribution], float | None]
    shown: Callable[[float], str]
    total: str
    moves: bool = False


@dataclass(frozen=True, slots=True)
class ContributionChart:
    """What is drawn.

    Attributes:
        found: what each item adds.
        title: the design's name.
        lines: words under the title.
        stamp: words that nobody may overlook, such as failed checks; empty for none.
        lengths: which unit stations are printed in.
    """

    found: Contributions
    title: str
    lines: tuple[str, ...]
    stamp: str
    lengths: Lengths

    def rows(self) -> tuple[Contribution, ...]:
        """The rows that there is room for; the last stands for several where there are more."""
        top = HEIGHT - _EDGE - self._words()
        return gathered(self.found, int((top - _HEAD - _EDGE - _FOOT) / _ROW))

    def columns(self) -> tuple[Column, ...]:
        """The columns from left to right."""
        found, lengths, unit = self.found, self.lengths, self.lengths.first

        def station(value: float | None) -> str:
            return _MISSING if value is None else f"at {lengths.number(value)}"

        def signed(value: float) -> str:
            return f"{'-' if value < 0.0 else '+'}{lengths.number(abs(value))}"

        mass = _MISSING if found.mass is None else f"{found.mass:.1f}"
        return (
            Column("Mass [g]", lambda row: row.mass, lambda value: f"{value:.1f}", mass),
            Column(f"Moves the CG [{unit}]", lambda row: row.cg_shift, signed, station(found.cg), moves=True),
            Column("CN_alpha [1/rad]", lambda row: row.slope, lambda value: f"{value:.2f}", f"{found.slope:.2f}"),
            Column(f"Moves the CP [{unit}]", lambda row: row.cp_shift, signed, station(found.cp), moves=True),
        )

    def items(self) -> tuple[sheet.Item, ...]:
        """Everything on the sheet, in [mm] from its lower left corner."""
        rows, columns = self.rows(), self.columns()
        top = HEIGHT - _EDGE - self._words() - _HEAD
        wide = (_ROOM - _NAMES) / len(columns)
        drawn: list[sheet.Item] = [*self._head(), *_lines(rows, top)]
        for index, column in enumerate(columns):
            drawn += _column(column, rows, _EDGE + _NAMES + wide * index + _GAP, wide - _GAP, top)
        return tuple(drawn)

    def _words(self) -> float:
        """Height of title, words and stamp [mm]."""
        return 11.0 + 4.2 * len(self.lines) + _STAMP * len(self._stamp_lines())

    def _stamp_lines(self) -> tuple[str, ...]:
        words = wrap(plain(self.stamp), _ROOM, 12.0, True)
        if len(words) <= _STAMP_LINES:
            return words
        last = cut_to_fit(f"{words[_STAMP_LINES - 1]} {words[_STAMP_LINES]}", _ROOM, 12.0, True)
        return (*words[: _STAMP_LINES - 1], last)

    def _head(self) -> Iterator[sheet.Item]:
        top, words = HEIGHT - _EDGE, "what each item adds"
        title = cut_to_fit(plain(self.title), _ROOM - width(words, 12.0) - 5.0, 16.0, True)
        yield Text(title, (_EDGE, top - 5.0), 16.0, bold=True)
        yield Text(words, (WIDTH - _EDGE - width(words, 12.0), top - 5.0), 12.0)
        for index, words in enumerate(self.lines):
            yield Text(cut_to_fit(plain(words), _ROOM, SMALLEST_TYPE), (_EDGE, top - 11.0 - 4.2 * index))
        for index, words in enumerate(self._stamp_lines()):
            place = top - 11.0 - 4.2 * len(self.lines) - _STAMP * (index + 0.5)
            yield Text(words, (_EDGE, place), 12.0, bold=True)


def _lines(rows: Sequence[Contribution], top: float) -> Iterator[sheet.Item]:
    """Names of the rows, with a hairline under each that leads the eye."""
    yield line((_EDGE, top), (WIDTH - _EDGE, top), Pen.BAR)
    for index, row in enumerate(rows):
        middle = top - _ROW * (index + 0.5)
        yield Text(cut_to_fit(plain(row.name), _NAMES, SMALLEST_TYPE), (_EDGE, middle - _BASE))
        low = top - _ROW * (index + 1)
        yield line((_EDGE, low), (WIDTH - _EDGE, low), Pen.BAR if index == len(rows) - 1 else Pen.DIMENSION)
    yield Text("all", (_EDGE, top - _ROW * (len(rows) + 0.5) - _BASE), bold=True)


def _column(column: Column, rows: Sequence[Contribution], left: float, wide: float, top: float) -> Iterator[sheet.Item]:
    """Head, bars, figures and total of a column that starts at `left` [mm]."""
    room, right = wide - _FIGURES - 1.0, left + wide
    values = [column.value(row) for row in rows]
    known = [value for value in values if value is not None]
    low, high = min(0.0, *known, 0.0), max(0.0, *known, 0.0)
    scale = room / (high - low) if high > low else 0.0
    zero = left - low * scale
    yield Text(column.head, (left, top + 6.6), bold=True)
    if column.moves:
        yield Text("forward", (left, top + 1.8))
        yield Text("aft", (left + room - width("aft", SMALLEST_TYPE), top + 1.8))
    yield line((zero, top), (zero, top - _ROW * len(rows)), Pen.BAR)
    for index, value in enumerate(values):
        middle = top - _ROW * (index + 0.5)
        # The air does not meet most items: an empty cell shows sooner than a zero which of them it does.
        if value == 0.0:
            continue
        words = _MISSING if value is None else column.shown(value)
        yield Text(words, (right - width(words, SMALLEST_TYPE), middle - _BASE))
        reach = 0.0 if value is None else value * scale
        if abs(reach) > 0.05:
            ends = (zero, zero + reach)
            corners = [(x, middle + side * _BAR / 2.0) for side, xs in ((-1, ends), (1, ends[::-1])) for x in xs]
            yield Solid(tuple(corners))
    words = column.total
    place = top - _ROW * (len(rows) + 0.5) - _BASE
    yield Text(words, (right - width(words, SMALLEST_TYPE, True), place), bold=True)


def contribution_chart(design: Design, figures: Mapping[str, Any], failed: tuple[str, ...]) -> ContributionChart:
    """The chart of a design: as it lifts off with its first motor, or without one where none is stated."""
    found = design.contributions
    about = [f"fingerprint {figures['fingerprint']}"]
    about += [f"{word} {figures[word]}" for word in ("revision", "date") if figures[word]]
    state = f"With {found.motor} at liftoff" if found.motor else "Without a motor"
    stated = all(None not in (row.mass, row.cg_shift, row.cp_shift) for row in found.rows)
    missing = "" if stated else f" A figure that is not stated is {_MISSING}."
    unmeasured = "" if design.first_flown.basis != PREDICTED else ": CG not measured"
    return ContributionChart(
        found,
        design.name,
        (
            ", ".join(about),
            f"{state}. CG and CP: the station of the whole less that of the whole without the item.{missing}",
            f"Predicted by the parts{unmeasured}. {SHORT_CAUTION}",
            *((design.head.note,) if design.head.note else ()),
        ),
        f"CHECK FAILED: {'; '.join(failed)}" if failed else "",
        Lengths(design.settings.units),
    )


def make_chart(
    design: Design,
    figures: Mapping[str, Any],
    folder: Path,
    formats: tuple[str, ...],
    failed: tuple[str, ...],
    say: Say,
) -> list[Made]:
    """Write the chart of a design, which comes with `svg`.

    Args:
        design: the design.
        figures: its summary.
        folder: where to.
        formats: which formats are made.
        failed: names of failed checks, stamped on it.
        say: told about the file.

    Raises:
        FerruleError: the file could not be made.
    """
    from ..parts.writers.svg import write_drawing_svg  # noqa: PLC0415

    if "svg" not in formats:
        return []
    path, chart = folder / f"{slug(design.name)}-contributions.svg", contribution_chart(design, figures, failed)
    write_drawing_svg(path, chart.items(), WIDTH, HEIGHT, f"{design.name}: what each item adds")
    say(f"chart: {path.name}")
    proof = {"rows": len(chart.rows()), "items": len(chart.found.rows)}
    return [listed(path, CHART_KIND, origin_of(design, failed), proof)]
