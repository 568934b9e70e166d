"""A picture with the names of what it shows: where everything lies on its page, in millimetres of paper."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..parts.marks import SMALLEST_TYPE
from ..parts.sheets import sheet
from ..parts.sheets.leaders import RISE, Leader, led
from ..parts.sheets.letters import cut_to_fit, plain, width
from ..parts.sheets.sheet import Box, Solid, Text, around
from ..parts.writers.picture import Picture, View
from .lengths import Lengths
from .picture_scene import FINENESS, Named, in_rows

WIDTH, HEIGHT = 297.0, 210.0
"""The page [mm]: ISO A4, lying; lower where less is enough."""

_EDGE = 14.0
_ROOM = WIDTH - 2.0 * _EDGE
_LINE = 4.2
_STAMP = 5.5
_DOT = 0.45
"""Radius of the dot at the start of a leader [mm]."""
_BETWEEN = 5.0
"""Gap between two rows of parts [mm]."""
_LONGEST_NAME = 58.0
"""Longest name beside a leader [mm]."""
_MOST_ROWS = 5
_MARGIN = 2.0
"""White round the things in the picture [mm]."""


@dataclass(frozen=True, slots=True)
class Words:
    """What stands at the head of a page.

    Attributes:
        title: the design's name.
        what: what the picture is.
        lines: lines under the title.
        stamps: words that nobody may overlook, such as failed checks.
    """

    title: str
    what: str
    lines: tuple[str, ...]
    stamps: tuple[str, ...]

    @property
    def height(self) -> float:
        """Room from the upper edge of the page to the art [mm]."""
        return _EDGE + 7.0 + _LINE * len(self.lines) + _STAMP * len(self.stamps) + 2.0


@dataclass(frozen=True, eq=False, slots=True)
class Page:
    """A picture on its page.

    Attributes:
        picture: what is drawn.
        box: where it lies on the page [mm].
        items: names, leaders and the head, over it [mm].
        width: width of the page [mm].
        height: height of the page [mm].
        title: title of the document.
    """

    picture: Picture
    box: Box
    items: tuple[sheet.Item, ...]
    width: float
    height: float
    title: str


def in_place(things: Sequence[Named], view: View, words: Words, lengths: Lengths, pixels: int) -> Page:
    """Things where they belong, with their names above them.

    Args:
        things: what is shown.
        view: from where.
        words: the head of the page.
        lengths: how stations are printed.
        pixels: width of the picture.
    """
    art = around([one.body.box(view) for one in things])
    scale = (_ROOM - 2.0 * _MARGIN) / (art.right - art.left)
    left, low = _EDGE + _MARGIN - art.left * scale, _EDGE - art.low * scale
    leaders = _leaders(things, scale, left, low, lengths)
    drawn = _led(leaders, low + art.high * scale + 1.0)
    top = max([low + art.high * scale, *(item.box().high for item in drawn)])
    height = top + 2.0 + words.height
    frame = art.grown(_MARGIN / scale)
    picture = Picture(tuple(one.body for one in things), view, frame, pixels, FINENESS.deviation)
    return _page(picture, left, low, scale, (*_head(words, height), *drawn), height, words)


def on_lines(
    groups: Sequence[Sequence[Named]], gap: float, view: View, words: Words, lengths: Lengths, pixels: int
) -> Page:
    """Parts pulled apart along their axis, on as many lines as make them largest, each with its name above it.

    Args:
        groups: what stays together, from forward to aft.
        gap: between two groups [mm].
        view: from where.
        words: the head of the page.
        lengths: how stations are printed.
        pixels: width of the picture.
    """
    room = HEIGHT - words.height - _EDGE
    scale, placed, drawn, strokes = max(
        (_lines(groups, gap, count, room, lengths) for count in range(1, min(_MOST_ROWS, len(groups)) + 1)),
        key=lambda found: found[0],
    )
    bodies = tuple(one.body for one in placed)
    art = around([body.box(view) for body in bodies])
    ends = strokes[:, :, :2].reshape(-1, 2)
    art = around([art, Box(float(ends[:, 0].min()), art.low, float(ends[:, 0].max()), art.high)])
    frame = art.grown(_MARGIN / scale)
    picture = Picture(bodies, view, frame, pixels, FINENESS.deviation, strokes)
    low = min(0.0, *(item.box().low for item in drawn), art.low * scale) - _EDGE
    items = [item.placed(0.0, -low) for item in drawn]
    top = max([art.high * scale - low, *(item.box().high for item in items)])
    height = top + 2.0 + words.height
    return _page(picture, _EDGE, -low, scale, (*_head(words, height), *items), height, words)


def _lines(
    groups: Sequence[Sequence[Named]], gap: float, count: int, room: float, lengths: Lengths
) -> tuple[float, list[Named], list[sheet.Item], np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
    """Scale [-], the parts in their places, their names on paper from the lower left corner, and the dashes."""
    rows = in_rows(groups, gap, count)
    scale = (_ROOM - 2.0 * _MARGIN) / max(row.box.right - row.box.left for row in rows)
    while True:
        placed: list[Named] = []
        drawn: list[sheet.Item] = []
        strokes = []
        top = 0.0
        for row in rows:
            x = _MARGIN / scale - row.box.left
            leaders = _leaders(row.pieces, scale, _EDGE + x * scale, 0.0, lengths)
            names = _led(leaders, row.box.high * scale + 1.0)
            high = max([row.box.high * scale, *(item.box().high for item in names)])
            axis = top - high
            placed += [_moved(one, x, axis / scale) for one in row.pieces]
            drawn += [item.placed(0.0, axis) for item in names]
            strokes.append(row.strokes + np.array([x, axis / scale, 0.0]))
            top = axis + row.box.low * scale - _BETWEEN
        if -top - _BETWEEN <= room or scale < 1e-3:
            return scale, placed, drawn, np.concatenate(strokes)
        scale *= 0.96


def _moved(one: Named, x: float, y: float) -> Named:
    right, up, toward = one.body.shift
    body = replace(one.body, shift=(right + x, up + y, toward))
    return replace(one, body=body, point=(one.point[0] + x, one.point[1] + y))


def _leaders(things: Sequence[Named], scale: float, left: float, low: float, lengths: Lengths) -> list[Leader]:
    found = []
    for one in things:
        if not one.name:
            continue
        point = (left + one.point[0] * scale, low + one.point[1] * scale)
        name = cut_to_fit(plain(one.name), _LONGEST_NAME, SMALLEST_TYPE)
        below = "" if one.station is None else f"at {lengths.both(one.station, 0)}"
        found.append(Leader(point, name, below, (_dot(point),)))
    return found


def _led(leaders: Sequence[Leader], level: float) -> list[sheet.Item]:
    drawn = led(leaders, level, _EDGE, WIDTH - _EDGE, RISE)
    return [item for one in drawn for item in (*one.lines, *one.words)]


def _dot(point: tuple[float, float]) -> Solid:
    turns = [math.tau * k / 12.0 for k in range(12)]
    return Solid(tuple((point[0] + _DOT * math.cos(a), point[1] + _DOT * math.sin(a)) for a in turns))


def _head(words: Words, height: float) -> Iterator[sheet.Item]:
    top = height - _EDGE
    room = _ROOM - width(words.what, SMALLEST_TYPE) - 5.0
    yield Text(cut_to_fit(plain(words.title), room, 16.0, True), (_EDGE, top - 5.0), 16.0, bold=True)
    yield Text(words.what, (WIDTH - _EDGE - width(words.what, SMALLEST_TYPE), top - 5.0))
    for index, line in enumerate(words.lines):
        yield Text(cut_to_fit(plain(line), _ROOM, SMALLEST_TYPE), (_EDGE, top - 11.0 - _LINE * index))
    low = top - 11.0 - _LINE * len(words.lines)
    for index, stamp in enumerate(words.stamps):
        yield Text(cut_to_fit(plain(stamp), _ROOM, 12.0, True), (_EDGE, low - _STAMP * index), 12.0, bold=True)


def _page(
    picture: Picture,
    left: float,
    low: float,
    scale: float,
    items: tuple[sheet.Item, ...],
    height: float,
    words: Words,
) -> Page:
    frame = picture.frame
    # The picture is as high as its pixels are; that may be half a pixel more or less than the frame.
    half, middle = picture.height * picture.pixel / 2.0, (frame.low + frame.high) / 2.0
    box = Box(
        left + frame.left * scale,
        low + (middle - half) * scale,
        left + frame.right * scale,
        low + (middle + half) * scale,
    )
    return Page(picture, box, items, WIDTH, height, f"{words.title}: {words.what}")
