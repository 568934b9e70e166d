"""The field card: one A5 sheet, both sides, for the pocket; what is read and written at the pad."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ...parts.sheets.blocks import Blanks, Block, Bullets, Figures, Heading, NewPage, Table, Words
from ...parts.sheets.letters import cut_to_fit, plain, width
from ...parts.sheets.paper import A5
from ...parts.writers.book import margin_of
from ..cautions import SHORT_CAUTION
from ..circumstances import rails
from ..lengths import NOT_STATED, Lengths
from .about import About
from .flown_with import COUNTS, FlownWith, balance_point, basis, flown_with, number, state_words
from .stickers import REMARK
from .tape_fits import TapeFit, tape_fits

MOTORS, WINDS, JOINTS = 4, 5, 3
"""Most motors, winds and joints that there is room for; the card says how many more there are."""

_FEW = 3
"""Most motors beside which there is room to write down how it flew."""

_ROOM = A5.width - 2.0 * margin_of(A5)
"""Width of the text [mm]."""

_PAD = 3.0
"""What a cell of a table keeps free beside its words [mm]."""

_NAME, _BODY, _WORDS = 14.0, 9.5, 9.0
"""Type of the design's name, of cautions, and of words in tables [pt]."""

_LINES, _HEAD = 1.6, 1.4
"""Widths of its cell, and of its bold head, that a name may have [-]: two lines, the first of which is not full."""


def field_card(about: About) -> tuple[Block, ...]:
    """The card: two pages of A5, and after them the paper of the design's other pages.

    Args:
        about: the design.
    """
    motors = flown_with(about)
    return (NewPage(A5), *_front(about, motors), NewPage(A5), *_back(about, motors), NewPage(about.paper))


# --- side 1: the rocket and its motors --------------------------------------------------------------------------------


def _front(about: About, motors: Sequence[FlownWith]) -> Iterator[Block]:
    design, lengths = about.design, about.lengths
    yield Heading("Field card", 1)
    yield Words(_cut(about.name, _ROOM, _NAME, bold=True), "large")
    told = [f"fingerprint {about.fingerprint}"]
    told += [f"revision {design.settings.revision}"] if design.settings.revision else []
    yield Words(", ".join(told), "small")
    state = motors[0].liftoff if motors else about.figures["loadings"][0]
    yield from _remark(motors, state)
    margin = number(state["margin_cal"], 2, "calibres") if motors else f"{NOT_STATED} without a motor"
    yield Figures(
        (
            ("CP from the nose tip, computed", lengths.both(about.figures["body"]["cp_mm"])),
            (f"CG from the nose tip, {basis(state)}", balance_point(state, lengths)),
            (f"Mass, {basis(state)}", number(state["mass_g"], 0, "g")),
            ("Static margin", margin),
        ),
        columns=2,
    )
    yield Words(f"CG, mass and margin: {_cut(state_words(state), _ROOM - 38.0)}.", "small")
    yield from _motors(motors, lengths)
    yield Blanks(("Mass today [g]", "CG today", "Margin today [calibres]", "Motor, delay today"), columns=2, high=8.0)
    if len(motors) <= _FEW:
        yield Blanks(("Height reached", "Delay flown [s]", "Landed where, how", "Damage"), columns=2, high=8.0)
    yield Words(SHORT_CAUTION, "strong")


def _remark(motors: Sequence[FlownWith], state: Mapping[str, Any]) -> Iterator[Block]:
    """Says what was not measured, and with which motors where not all are alike."""
    bases = [one.basis for one in motors] or [basis(state)]
    if set(bases) == {"PREDICTED"}:
        yield Words(REMARK, "caution")
    elif "PREDICTED" in bases:
        names = ", ".join(one.name for one in motors if one.basis == "PREDICTED")
        yield Words(_cut(f"{REMARK}: {names}", _ROOM - 2.0 * _PAD, _BODY, bold=True), "caution")


def _motors(motors: Sequence[FlownWith], lengths: Lengths) -> Iterator[Block]:
    if not motors:
        yield Words("Motor: not stated. Nothing of a flight is worked out without one.")
        return
    rows = tuple(_motor(one, lengths) for one in motors[:MOTORS])
    head = (
        "Motor",
        "Mass [g]",
        f"CG [{lengths.first}]",
        "Margin [cal.]",
        "Thrust over weight",
        "Rail exit [m/s]",
        "Apogee [m]",
        "Delay wanted [s]",
    )
    yield Table(head, rows, shares=_SHARES, right=tuple(range(1, len(head))))
    told = ["All at liftoff."]
    rail_lengths = dict.fromkeys(one.rails for one in motors if one.rails)
    told += [f"Rail exit: {'; '.join(rail_lengths)} rail."] if rail_lengths else []
    told += [_basis_words(motors)]
    told += [_more(len(motors) - MOTORS, "motor")] if len(motors) > MOTORS else []
    yield Words(" ".join((*told, COUNTS)), "small")


_SHARES = (0.19, 0.1, 0.11, 0.125, 0.12, 0.1, 0.13, 0.125)


def _basis_words(motors: Sequence[FlownWith]) -> str:
    found = {one.basis for one in motors}
    if len(found) == 1:
        return f"Mass and CG {found.pop()}."
    measured = [one.name for one in motors if one.basis == "measured"]
    return _cut(f"Mass and CG measured with {', '.join(measured)} alone.", _ROOM) if measured else "Mass and CG mixed."


def _motor(one: FlownWith, lengths: Lengths) -> tuple[str, ...]:
    cg = one.liftoff["cg_mm"]
    return (
        _cut(one.name, _LINES * (_SHARES[0] * _ROOM - _PAD)),
        number(one.liftoff["mass_g"], 0),
        lengths.number(cg[0] if cg else None),
        number(one.liftoff["margin_cal"], 2),
        one.mean_ratio,
        _exit(one),
        number(one.flight["apogee_height_m"], 0),
        number(one.flight["delay_wanted_s"], 1),
    )


def _exit(one: FlownWith) -> str:
    """Speed at the end of the rail; from the least to the greatest where the usual rails stand for it."""
    speeds = [row["exit_speed_m_per_s"] for row in one.exits]
    known = [speed for speed in speeds if speed is not None]
    if len(known) < len(speeds) or not known:
        return NOT_STATED
    least, most = number(min(known), 1), number(max(known), 1)
    return least if least == most else f"{least} –\n{most}"


# --- side 2: wind, fits, ticks, whom to call --------------------------------------------------------------------------


def _back(about: About, motors: Sequence[FlownWith]) -> Iterator[Block]:
    yield Heading("Drift by wind", 3)
    yield from _drift(motors)
    yield Heading("Tape and rail", 3)
    yield from _tape(about)
    yield Words(_rail(about))
    yield Words(COUNTS, "strong")
    yield Bullets(
        (
            "Balanced with today's motor; margin read off.",
            "Joint slides by hand and holds when lifted by the nose.",
            "Parachute packed today; harness whole; vents open.",
            "Motor held in; delay as the range safety officer saw it.",
            "Buttons run freely on this field's rail.",
        ),
        "box",
    )
    yield Blanks(("Field", "Date, wind", "Flyer", "Phone", "If found, call"), columns=2, high=7.5)
    yield Words(SHORT_CAUTION, "strong")


def _drift(motors: Sequence[FlownWith]) -> Iterator[Block]:
    """The radius within which each motor may land, a row for each wind."""
    some = [one for one in motors[:MOTORS] if one.drift["rows"]]
    if not some:
        yield Words("Not stated: it needs a flight and a parachute with its diameter and drag coefficient.")
        return
    every = [row["wind_m_per_s"] for row in some[0].drift["rows"]]
    winds = every[:WINDS]
    wide = _ROOM / (len(some) + 1.0)
    rows = tuple((f"{wind:g} m/s", *(number(_radius(one, wind), 0, "m") for one in some)) for wind in winds)
    head = ("Steady wind", *(_cut(one.name, _HEAD * (wide - _PAD), bold=True) for one in some))
    yield Table(head, rows, shares=(1.0,) * len(head), right=tuple(range(1, len(head))))
    told = ["May land within about that of the pad, the way up into the wind counted; gusts are left out."]
    told += [_more(len(every) - WINDS, "wind")] if len(every) > WINDS else []
    yield Words(" ".join(told), "small")


def _radius(one: FlownWith, wind: float) -> float | None:
    found = next((row for row in one.drift["rows"] if row["wind_m_per_s"] == wind), None)
    return None if found is None else float(found["radius_m"])


def _tape(about: About) -> Iterator[Block]:
    found = tape_fits(about.design)
    if not found:
        yield Words("Tape: no joint of this design says that tape makes it fit.")
        return
    shares = (0.34, 0.11, 0.21, 0.21, 0.13)
    rows = tuple(
        (
            _joint(one, shares[0] * _ROOM - _PAD),
            str(one.wraps.number),
            _play(one.wraps.play(one.wraps.number), about.lengths),
            _play(one.wraps.play(one.wraps.number + 1), about.lengths),
            "",
        )
        for one in found[:JOINTS]
    )
    head = ("Joint", "Wraps", "leave", "one more", "today")
    yield Table(head, rows, shares=shares, right=(1, 2, 3))
    told = f"Wraps of {found[0].wraps.tape.amount:g} mm tape ({found[0].wraps.tape.mark}), by the tubes as measured."
    yield Words(" ".join((told, *((_more(len(found) - JOINTS, "joint"),) if len(found) > JOINTS else ()))), "small")


def _joint(one: TapeFit, room: float) -> str:
    """A joint on one line; where that is too long both names give way, because two joints may share either."""
    if width(plain(one.words), _WORDS) <= room:
        return one.words
    half = (room - width(" in ", _WORDS)) / 2.0
    return f"{_cut(one.part, half)} in {_cut(one.tube, half)}"


def _play(play: float, lengths: Lengths) -> str:
    return f"{lengths.one(abs(play), 2)} {'play' if play > 0.0 else 'tight'}"


def _rail(about: About) -> str:
    rail = rails(about.design.entries)[0]
    length = about.lengths.both(rail.length, 0) if rail.is_stated else NOT_STATED
    return f"Rail: {length}; aft end {about.lengths.both(rail.stand_off, 0)} above its foot (stand-off)."


# --- words ------------------------------------------------------------------------------------------------------------


def _more(count: int, word: str) -> str:
    return f"{count} more {word}{'' if count == 1 else 's'}: see the build book."


def _cut(words: str, room: float, size: float = _WORDS, bold: bool = False) -> str:
    """Words that keep to their line: the card has two pages, however long a name is."""
    return cut_to_fit(plain(words), room, size, bold)
