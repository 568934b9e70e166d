"""The check bars and the sentences of every sheet.

Two bars at right angles, because a printer can be true along one axis and wrong along the other.
"""

from __future__ import annotations

import math

from ..curve import Line, Point
from ..marks import SMALLEST_TYPE, Pen
from .letters import LEADING, POINT, wrap
from .paper import BAR, Paper
from .sheet import Box, Item, Text, centred, line

INCH_BAR = 4.0 * 25.4
"""Length of the inch check bars [mm]: 4 in."""

BARS_DEPTH = 14.0
"""Room that a pair of bars takes beside the corner where all of them start [mm]."""

MEASURE = "Measure both bars before cutting: 100.0 mm each. If not, print again at 100 % (actual size)."
"""What to do before anything else."""

GOOD = "Good: 99.5 to 100.5 mm."
"""How near is near enough: half a per cent is 0.6 mm on a fin's root (common practice)."""

ELSE = "Good: 99.5 to 100.5. Else: {again}"
"""The same, and what to do where a printer is off at 100 %, by the names of the bars."""

CAUTIONS = (
    "Not a clearance to fly: the range safety officer decides.",
    "Eye protection; dust mask for wood dust.",
    "Laser: never PVC, vinyl or G-10; extract the fumes.",
)
"""Short words for the bench, on every sheet."""

_INCH_STEP = 8.5
_END_TICK = 3.0
_TICK = 1.5


def check_bars(corner: Point, foot: Point | None = None) -> tuple[Line, Line, Line, Line]:
    """The four bars that start beside a corner [mm]: 100 mm across and up, 4 in across and up.

    Args:
        corner: where those across start, and those up as well.
        foot: where those up start in its place, because there is no room for them above the corner.
    """
    (x, y), (left, low) = corner, foot or corner
    return (
        Line((x, y), (x + BAR, y)),
        Line((left, low), (left, low + BAR)),
        Line((x, y - _INCH_STEP), (x + INCH_BAR, y - _INCH_STEP)),
        Line((left - _INCH_STEP, low), (left - _INCH_STEP, low + INCH_BAR)),
    )


def axes(paper: Paper) -> tuple[str, str]:
    """The names of the metric bars across and up a page of a paper.

    X runs along the short side of the paper, or across a roll, and Y along the other, however the page reads: an error
    of the printer belongs to the way in which the paper goes through it.
    """
    return ("Y", "X") if paper.lies else ("X", "Y")


def bar_scales(bars: tuple[Line, Line, Line, Line], names: tuple[str, str] | None = None) -> tuple[Item, ...]:
    """Ticks and words of the check bars, on their outer side: below those across, to the left of those up.

    Args:
        bars: the bars as `check_bars` gives them.
        names: names of the metric ones across and up; without one they have none.
    """
    named = [f"100 mm ({name})" for name in names] if names else ["100 mm", "100 mm"]
    items: list[Item] = []
    for bar, words, steps in zip(bars, (*named, "4 in", "4 in"), (10, 10, 4, 4), strict=True):
        (x0, y0), (x1, y1) = bar.start, bar.end
        across = y0 == y1
        out = (0.0, -1.0) if across else (-1.0, 0.0)
        for step in range(steps + 1):
            long = _END_TICK if step in (0, steps) else _TICK
            x, y = x0 + (x1 - x0) * step / steps, y0 + (y1 - y0) * step / steps
            items.append(line((x, y), (x + out[0] * long, y + out[1] * long), Pen.BAR))
        beside = _TICK + 0.8 + SMALLEST_TYPE * POINT / 2.0
        middle = ((x0 + x1) / 2.0 + out[0] * beside, (y0 + y1) / 2.0 + out[1] * beside)
        items.append(centred(words, middle, bold=True, turn=0.0 if across else math.pi / 2.0))
    return tuple(items)


def paragraph(
    words: str, box: Box, size: float = SMALLEST_TYPE, bold: bool = False, first: float = 0.0
) -> tuple[tuple[Text, ...], float]:
    """Words as lines from the top of a box [mm].

    Args:
        words: what it says.
        box: where it goes; lines may run out of its lower edge, which the caller finds from the height.
        size: size of the type [pt].
        bold: whether the type is bold.
        first: height [mm] already used at the top of the box.

    Returns:
        The lines, and the height used so far [mm].
    """
    step = size * LEADING * POINT
    lines = wrap(words, box.right - box.left, size, bold)
    drop = step * 0.82
    texts = tuple(
        Text(part, (box.left, box.high - first - drop - step * row), size, bold) for row, part in enumerate(lines)
    )
    return texts, first + step * len(lines)
