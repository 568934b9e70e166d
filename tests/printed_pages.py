"""What a written PDF holds, read by pdfplumber and not by the project: its lines, loops and crosses in millimetres."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from pdfplumber.page import Page

from ferrule.parts.curve import bernstein

MM = 25.4 / 72.0
"""One point [mm]."""

CUT_WIDTH = 0.7
"""Width of the cut line's path [mm], of which the inner half is seen."""

Floats = NDArray[np.float64]


def segments(page: Page, width: float | None = None, across: float = 1.0) -> Floats:
    """Straight lines of a page, of one width [mm] or of any, (n, 4): both ends [mm] from its lower left corner.

    pdfplumber gives widths of lines as they are where the page is scaled `across` [-].
    """
    items = [item for item in page.lines if width is None or abs(item["linewidth"] * MM - width * across) < 1e-3]
    ends = np.array([[*item["pts"][0], *item["pts"][1]] for item in items], dtype=float).reshape(-1, 4) * MM
    high = float(page.height) * MM
    ends[:, 1], ends[:, 3] = high - ends[:, 1], high - ends[:, 3]
    return ends


def loops(page: Page, width: float, across: float = 1.0) -> list[Floats]:
    """Points along every path of a width [mm] that is not one straight line, curves followed closely, [mm] as above."""
    high = float(page.height)
    found = []
    for item in (*page.curves, *page.rects):
        if abs(item["linewidth"] * MM - width * across) > 1e-3:
            continue
        points: list[tuple[float, float]] = []
        t = np.linspace(0.0, 1.0, 200)
        for command, *operands in item["path"]:
            if command in ("m", "l"):
                points.append(operands[0])
            elif command == "c":
                poles = np.array([points[-1], *operands])
                points += [(x, y) for x, y in (bernstein(3, t) @ poles).tolist()]
        loop = np.array(points)
        loop[:, 1] = high - loop[:, 1]
        found.append(loop * MM)
    return found


def cut_loops(page: Page, across: float = 1.0) -> list[Floats]:
    """The loops of the cut line, the largest first, [mm] from the lower left corner of the page."""
    return sorted(loops(page, CUT_WIDTH, across), key=lambda loop: -abs(area(loop)))


def area(loop: Floats) -> float:
    """Area of a loop [mm2], positive anticlockwise."""
    x, y = loop[:, 0], loop[:, 1]
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2.0


def extent(loop: Floats) -> tuple[float, float]:
    """Width and height of a loop [mm]."""
    return float(np.ptp(loop[:, 0])), float(np.ptp(loop[:, 1]))
