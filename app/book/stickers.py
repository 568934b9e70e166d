"""The stickers for the hull: CP at true size, and CG only where it was measured, with the motor that it is for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...analysis.loading import LIFTOFF, MEASURED
from ...parts.marks import Pen
from ...parts.sheets.blocks import Block, Drawing, Heading, Together, Words
from ...parts.sheets.letters import cut_to_fit, width
from ...parts.sheets.sheet import Box, Item, Solid, Text, centred, line, rectangle
from ..lengths import Lengths
from .about import About

REMARK = "PREDICTED: BALANCE AND RE-MARK"
"""What a sticker says that has no measured balance point."""

WIDE, HIGH = 80.0, 30.0
"""Size of a sticker [mm]."""

_MIDDLE = WIDE / 2.0
_LETTERS, _WORDS, _SMALL = 20.0, 11.0, 9.0
_PAD = 2.5
_APART = 4.0
"""Between two stickers on the page [mm]."""


def cp_sticker(station: Sequence[str], name: str) -> Drawing:
    """The sticker for the centre of pressure: its upright line goes on the station.

    Args:
        station: the station, in one unit and in the other.
        name: name and fingerprint of the design.
    """
    items = (*_frame(), *_arrow(), *_told("CP", "centre of pressure, computed", station, name))
    return Drawing(items, WIDE, HIGH + _APART)


def cg_sticker(station: Sequence[str], state: str, name: str, measured: bool) -> Drawing:
    """The sticker for the balance point.

    Args:
        station: the station, in one unit and in the other.
        state: the state that it holds for, with the motor.
        name: name and fingerprint of the design.
        measured: whether it was balanced; else it says that it was not.
    """
    words, below = (f"balance point, {state}", name) if measured else (REMARK, f"{state}, {name}")
    return Drawing((*_frame(), *_edge(), *_told("CG", words, station, below, not measured)), WIDE, HIGH + _APART)


def _both(lengths: Lengths, value: float) -> tuple[str, str]:
    return lengths.one(value), Lengths("in" if lengths.first == "mm" else "mm").one(value)


def _frame() -> Iterator[Item]:
    yield rectangle(Box(0.0, 0.0, WIDE, HIGH), Pen.CUT)
    yield line((_MIDDLE, 0.0), (_MIDDLE, 3.0), Pen.BAR)
    yield line((_MIDDLE, HIGH - 3.0), (_MIDDLE, HIGH), Pen.BAR)


def _arrow() -> Iterator[Item]:
    """The air's push from the side: an arrow down onto the line."""
    yield line((_MIDDLE, HIGH - 3.0), (_MIDDLE, HIGH - 9.0), Pen.HEAVY_FRAME)
    yield Solid(((_MIDDLE, HIGH - 13.0), (_MIDDLE - 2.5, HIGH - 7.5), (_MIDDLE + 2.5, HIGH - 7.5)))


def _edge() -> Iterator[Item]:
    """A knife edge that holds the rocket up from below."""
    yield Solid(((_MIDDLE, HIGH - 4.0), (_MIDDLE - 4.0, HIGH - 12.0), (_MIDDLE + 4.0, HIGH - 12.0)))


def _told(letters: str, words: str, station: Sequence[str], name: str, loud: bool = False) -> Iterator[Item]:
    yield Text(letters, (_PAD, HIGH - 10.5), _LETTERS, bold=True)
    for row, told in enumerate(station):
        yield Text(told, (WIDE - _PAD - width(told, _WORDS, bold=True), HIGH - 7.0 - 5.5 * row), _WORDS, bold=True)
    yield centred(cut_to_fit(words, WIDE - 2.0 * _PAD, _SMALL, bold=loud), (_MIDDLE, 11.5), _SMALL, bold=loud)
    yield centred(cut_to_fit(name, WIDE - 2.0 * _PAD, _SMALL), (_MIDDLE, 6.0), _SMALL)


def stickers(about: About) -> tuple[Block, ...]:
    """The section with all stickers of a design."""
    body, lengths, name = about.figures["body"], about.lengths, f"{about.name} {about.fingerprint}"
    blocks: list[Block] = [
        Heading("Stickers for the hull", 2),
        Words(
            "Cut out; the short lines at upper and lower edge go on the station. Cover with clear tape. They are at "
            "true size: print at 100 %."
        ),
    ]
    if body["cp_mm"] is None:
        blocks.append(Words("CP: not stated; it needs a body and fins."))
    else:
        blocks.append(cp_sticker(_both(lengths, body["cp_mm"]), name))
    blocks += _balances(about, name)
    return (Together(tuple(blocks)),)


def _balances(about: About, name: str) -> Iterator[Block]:
    """One for each motor at liftoff, which is the state on the pad; without a motor where none is stated."""
    states = [one for one in about.figures["loadings"] if one["name"] == LIFTOFF] or about.figures["loadings"][:1]
    for one in states:
        if one["cg_mm"] is None:
            yield Words("CG: not stated; it needs the mass of every item.")
            continue
        state = f"{one['motor']} loaded" if one["motor"] else "without a motor"
        yield cg_sticker(_both(about.lengths, one["cg_mm"][0]), state, name, one["cg_basis"] == MEASURED)
