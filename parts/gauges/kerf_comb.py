"""A frame that measures the width of a beam with nothing but calipers.

Ten strips drop out of ten windows, and a tray as long as ten strips drawn side by side is cut beside them. The beam
runs along the middle of every line: each strip comes out narrower by the whole width of the beam, half on each side,
and the tray longer by it. Ten strips pushed together in the tray leave eleven widths:

    tray T = 10 w + k,  row L = 10 (w - k),  T - L = 11 k

A machine that draws everything too large or too small by some share changes T and L alike, and the gap by that share of
itself alone, which is nothing.
"""

from __future__ import annotations

import math

from ..errors import PartError
from ..lettering import letters, width
from ..marks import Dimension, Label, Mark
from ..part import CutPiece
from ..shape import Loop, Outline, polygon
from .gauge import Gauge, Sheeted

STRIPS = 10
"""Strips that are pushed together [-]."""

STRIP = 10.0
"""Width of a strip as drawn [mm]."""

WIDTHS = STRIPS + 1
"""Widths of the beam in the gap [-]."""

TABLE = (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40)
"""Kerfs for which the sheet states the gap [mm]."""

_LONG = 24.0
_WEB = 4.0
_ROOM = 0.5
"""How much wider the tray is than the strips are long [mm], so that they lie in it freely."""
_LETTERS = 5.0
_WORDS = f"KERF = GAP / {WIDTHS}"


def kerf_from(tray: float, row: float) -> float:
    """Width of the beam [mm].

    Args:
        tray: length of the tray as measured between its ends [mm].
        row: length of the ten strips pushed together [mm].

    Raises:
        PartError: a length is not above 0, or the row is longer than the tray.
    """
    if not (0.0 < row < math.inf and 0.0 < tray < math.inf):
        raise PartError(f"tray {tray:g} mm, row {row:g} mm: both must be above 0 mm")
    if row > tray:
        raise PartError(f"row: {row:g} mm of strips do not go into a tray of {tray:g} mm; clean them and measure again")
    return (tray - row) / WIDTHS


def outline() -> Outline:
    """The frame: ten windows above, the tray below them."""
    long, high = _size()
    tray_left = (long - STRIPS * STRIP) / 2.0
    tray_high = _LONG + _ROOM
    low = 2.0 * _WEB + tray_high
    windows = [_window(_WEB + index * (STRIP + _WEB), low, STRIP, _LONG) for index in range(STRIPS)]
    tray = _window(tray_left, _WEB, STRIPS * STRIP, tray_high)
    return Outline(polygon(((0.0, 0.0), (long, 0.0), (long, high), (0.0, high))), (*windows, tray))


def _size() -> tuple[float, float]:
    return STRIPS * STRIP + WIDTHS * _WEB, 2.0 * _LONG + _ROOM + 4.0 * _WEB + _LETTERS


def _window(left: float, low: float, long: float, high: float) -> Loop:
    """A rectangle as a hole, which runs clockwise."""
    right, top = left + long, low + high
    return polygon(((left, low), (left, top), (right, top), (right, low)))


def kerf_comb(name: str, material: str | None, thickness: float) -> Gauge:
    """The frame as a gauge.

    Args:
        name: what files and results call it.
        material: the sheet that it is cut from; None where it is not stated.
        thickness: thickness of that sheet [mm]; a beam is not as wide in every one.

    Raises:
        PartError: the thickness is not above 0.
    """
    if not 0.0 < thickness < math.inf:
        raise PartError(f"thickness: {thickness:g} mm must be above 0 mm")
    long, high = _size()
    line = high - _WEB - _LETTERS
    start = (long - width(_WORDS, _LETTERS)) / 2.0
    engraved = tuple(shape.placed(start, line) for shape in letters(_WORDS, _LETTERS))
    row = STRIPS * STRIP
    tray = (long - row) / 2.0
    marks: tuple[Mark, ...] = (
        Label(_WORDS, (long / 2.0, line + _LETTERS / 2.0)),
        Dimension((tray, _WEB), (tray + row, _WEB), -10.0, "tray"),
    )
    gaps = "; ".join(f"{WIDTHS * kerf:.2f} mm is {kerf:.2f} mm" for kerf in TABLE)
    return Gauge(
        name,
        "kerf comb: how wide the beam is",
        f"Cut it once along the lines as they are drawn, with no kerf set in the machine, from the "
        f"{material or 'sheet'} of {thickness:g} mm that the parts are cut from, with the same power and speed. Keep "
        f"the {STRIPS} strips that drop out.",
        f"Wipe the edges clean and do not sand them. Lay the {STRIPS} strips side by side, push them together, and "
        f"measure the row L over its outside with calipers; measure the tray T between its two ends with the inside "
        f"jaws. The gap T - L is {WIDTHS} widths of the beam: each strip has lost one, and the tray has gained one.",
        f"The kerf: (T - L) / {WIDTHS}, to 0.01 mm. A gap of {gaps}.",
        (),
        (Sheeted(CutPiece("", outline(), marks, thickness), engraved),),
        tuple((f"{WIDTHS * kerf:.2f}", kerf) for kerf in TABLE),
        None,
        material,
        as_drawn=True,
    )
