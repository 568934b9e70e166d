"""The margin tape: a strip at true size glued along the tube, 0 at the CP, that is read where the rocket balances.

No computer is needed at the field: a finger under the rocket, loaded as it will fly, and the number above the finger.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ...parts.marks import Pen
from ...parts.sheets.blocks import Block, Bullets, Drawing, Heading, Together, Words
from ...parts.sheets.letters import width
from ...parts.sheets.sheet import Box, Item, Solid, Text, centred, line, rectangle
from ..lengths import Lengths
from .about import About

MARKED = (1.0, 1.5, 2.0, 3.0)
"""Margins that have a long tick and a large number [calibres]."""

FURTHEST = 3.3
"""Where the tape ends ahead of the CP [calibres]."""

HIGH = 24.0
"""Height of the tape [mm]: it is read at arm's length."""

_BEHIND = 12.0
"""What of the tape lies behind the CP [mm]."""
_STEP = 0.1
_TICK, _HALF_TICK, _LONG_TICK = 3.0, 5.0, 9.0
_NUMBER, _SMALL = 15.0, 9.0
_LAP = 8.0
"""What two pieces of a tape share [mm]."""
_BAR_ROOM = 9.0
_BAR = 100.0


@dataclass(frozen=True, slots=True)
class Tape:
    """A tape.

    Attributes:
        calibre: reference diameter, one calibre [mm].
        name: what it is for, such as the name and the fingerprint of the design.
        place: where its zero goes, in words.
    """

    calibre: float
    name: str
    place: str

    @property
    def length(self) -> float:
        """Length of the whole tape [mm]."""
        return FURTHEST * self.calibre + _BEHIND

    def pieces(self, widest: float) -> tuple[Drawing, ...]:
        """The tape in pieces that fit a page, each with a bar of 100 mm to measure; the first holds the CP.

        The nose is to the left, so that the tape lies on the tube as it is printed.

        Args:
            widest: width that there is [mm], more than 110.
        """
        starts = [0.0]
        while self.length - starts[-1] > widest:
            starts.append(starts[-1] + widest - _LAP)
        found = []
        for number, start in enumerate(starts, 1):
            long = min(widest, self.length - start)
            words = f"piece {number} of {len(starts)}" if len(starts) > 1 else ""
            found.append(Drawing(tuple(self._piece(start, long, words)), max(long, _BAR + 10.0), HIGH + _BAR_ROOM))
        return tuple(found)

    def _piece(self, start: float, long: float, words: str) -> Iterator[Item]:
        """One piece; `start` is how far its aft end lies ahead of the aft end of the tape [mm]."""
        low, top = _BAR_ROOM, _BAR_ROOM + HIGH
        yield rectangle(Box(0.0, low, long, top), Pen.CUT)
        zero = long + start - _BEHIND
        for step in range(round(FURTHEST / _STEP) + 1):
            margin = step * _STEP
            x = zero - margin * self.calibre
            if not 0.0 < x < long:
                continue
            main = any(abs(margin - one) < 1e-9 for one in (0.0, *MARKED))
            high = _LONG_TICK if main else _HALF_TICK if step % 5 == 0 else _TICK
            yield line((x, top), (x, top - high), Pen.BAR if main else Pen.FRAME)
            if main:
                number = "CP" if step == 0 else f"{margin:.1f}"
                half = width(number, _NUMBER, bold=True) / 2.0
                middle = min(max(x, half + 0.8), long - half - 0.8)
                yield centred(number, (middle, top - _LONG_TICK - 4.0), _NUMBER, bold=True)
        if start > 0.0 and long - _LAP > 0.0:
            yield line((long - _LAP, low), (long - _LAP, top), Pen.SEAM)
        yield from self._told(long, low, words)
        yield from _bar()

    def _told(self, long: float, low: float, words: str) -> Iterator[Item]:
        """As many of the words as there is room for; the shortest piece still says where the nose is."""
        yield line((3.0, low + 2.6), (12.0, low + 2.6), Pen.BAR)
        yield Solid(((2.0, low + 2.6), (6.0, low + 1.4), (6.0, low + 3.8)))
        left = 13.5
        for told in ("nose", words, "margin in calibres", self.name):
            if told and left + width(told, _SMALL) < long - 2.0:
                yield Text(told, (left, low + 1.2), _SMALL)
                left += width(told, _SMALL) + 5.0


def _bar() -> Iterator[Item]:
    yield line((0.5, 3.0), (0.5 + _BAR, 3.0), Pen.BAR)
    for x in (0.5, 0.5 + _BAR):
        yield line((x, 1.5), (x, 4.5), Pen.BAR)
    yield centred("100 mm", (0.5 + _BAR / 2.0, 5.6), _SMALL)


def tape_of(about: About) -> Tape | None:
    """The tape of a design; None while it has no centre of pressure."""
    body = about.figures["body"]
    if body["cp_mm"] is None or body["reference_diameter_mm"] is None:
        return None
    lengths = about.lengths
    return Tape(
        body["reference_diameter_mm"],
        f"{about.name} {about.fingerprint}",
        f"{lengths.both(body['cp_mm'])} from the nose tip" + _from_the_tube(about, body["cp_mm"], lengths),
    )


def _from_the_tube(about: About, station: float, lengths: Lengths) -> str:
    """The same station from the nearest end of the tube that it lies on, which a rule can be laid against."""
    for item in about.design.rocket.body:
        first, last = item.skin_range()
        if item.kind == "tube" and first <= station <= last:
            if last - station <= station - first:
                return f", {lengths.both(last - station)} ahead of the aft end of {item.name}"
            return f", {lengths.both(station - first)} behind the forward end of {item.name}"
    return ""


def margin_tape(about: About) -> tuple[Block, ...]:
    """The chapter."""
    head = Heading("Margin tape", 1)
    tape = tape_of(about)
    if tape is None:
        return (head, Words("Not stated: the tape needs a centre of pressure, so a body and fins."))
    unit = about.lengths.both(tape.calibre)
    return (
        head,
        Words(
            "Cut it out and glue it along the rail line, or tape it over with clear film. Its zero is the centre of "
            f"pressure: {tape.place}. One calibre is the largest diameter of the body, {unit}."
        ),
        *(Together((Words(told, "small"), piece)) for told, piece in _laid(about, tape)),
        Heading("How to read it", 3),
        Bullets(
            (
                "Load the rocket as it will fly: the motor loaded, the parachute packed, harness, payload, ballast.",
                "Lay it across one finger or the edge of a rule, and move it until it balances.",
                "Read the number above the edge: that is the static margin in calibres.",
                "Behind the line CP there is no margin. What the range safety officer wants to see is for him or her "
                "to say; clubs differ.",
                "The CP is computed for small angles and low subsonic speed. After a change of fins, nose or length "
                "this tape is wrong: print a new one.",
            ),
            "number",
        ),
        Words("Measure the bar of 100 mm under each piece before cutting; print at 100 % (actual size).", "strong"),
    )


def _laid(about: About, tape: Tape) -> Iterator[tuple[str, Drawing]]:
    pieces = tape.pieces(about.text_width)
    for number, piece in enumerate(pieces, 1):
        lap = ": its right end goes under the left end of the piece before, up to the seam" if number > 1 else ""
        yield f"Piece {number} of {len(pieces)}{lap}", piece
