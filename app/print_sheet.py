"""The sheet that lies beside the files of a printed part: sizes, mass, walls in lines, overhangs, joining, cautions."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..analysis.overhangs import Overhang, SideHole
from ..analysis.print_notes import PrintedMass, PrintNotes, Room, WallLines
from ..parts.errors import PartError
from ..parts.print_defaults import print_defaults
from .cautions import CAUTIONS
from .entries import Unit
from .lengths import NOT_STATED, Lengths

ON_END = "As the file has it: forward end up. The seam to the rail side, which is at the back of the bed (+y)."
"""How a part lies that is printed on end."""

AFT_UP = "As the file has it: aft end up, on its larger end. The seam to the rail side, at the back of the bed (+y)."
"""How a part lies that narrows towards its aft end."""

FORWARD_DOWN = (
    "As the file has it: aft end up, on its forward end. The seam to the rail side, at the back of the bed (+y)."
)
"""How a fin can lies whose fins carry themselves only so."""

HANGING = " The fins hang out over nothing: print them with support."
"""Said of a fin can whose fins carry themselves neither way."""

NOSE = "As the file has it: tip up, shoulder on the bed. The seam to the rail side, at the back of the bed (+y)."
"""How a nose cone lies."""

JOINING = (
    "Dry fit all sections before any glue is mixed. The keys let them go together one way only.",
    "Scuff the spigots and the insides that they enter, and wipe the dust off.",
    "Epoxy on the scuffed spigot and in its glue groove; none on the skin. Wipe off what comes out.",
    "The rod through the stack, bedded in the tip, clamps it by a washer and a nut at the rear while the epoxy cures.",
    "Roll the stack on a flat table before the epoxy sets: the tip must not wander.",
)
"""How sections of one part become one, in order (common practice)."""

ROUND_THE_TUBE = (
    "Dry fit all pieces round the airframe tube, which lines them up.",
    "Scuff the bores and the tube, and wipe the dust off.",
    "Epoxy on the tube and on the cut faces; slide or lay the pieces home, rail line to rail line.",
    "Tape or bands all round hold them until it cures; wipe off what comes out.",
)
"""How the pieces of a fin can become one, in order (common practice)."""


@dataclass(frozen=True, slots=True)
class Head:
    """What stands at the top of the sheet.

    Attributes:
        title: what the sheet is of, such as `Marram: nose`.
        fingerprint: short fingerprint of the part.
        revision: revision of the design; empty where it is not stated.
        date: date that the design states; empty where it is not.
        note: words that go on every sheet of the design; empty for none.
        failed: names of the checks that failed.
    """

    title: str
    fingerprint: str
    revision: str = ""
    date: str = ""
    note: str = ""
    failed: tuple[str, ...] = ()


def print_sheet(
    head: Head,
    notes: Sequence[PrintNotes],
    *,
    orientation: str = ON_END,
    joining: Sequence[str] | None = None,
    weighed: float | None = None,
    quantity: int = 1,
    files: Sequence[str] = (),
    units: Unit = "mm",
) -> str:
    """The sheet as Markdown that reads as well on a terminal and on paper.

    Args:
        head: what stands at the top.
        notes: the figures of each piece to print, in order, at least one.
        orientation: how the pieces lie on the bed, in words.
        joining: what is done to make one part of several pieces, in order; None for the usual steps.
        weighed: mass of the whole part, one of it, on the scale [g]; None where it was not weighed.
        quantity: how many of the part are wanted [-].
        files: names of the files that the sheet goes with.
        units: unit of length that comes first.

    Raises:
        PartError: there is no piece.
    """
    if not notes:
        raise PartError(f"{head.title}: there is no piece to print")
    lengths = Lengths(units)
    sections = [
        f"# {head.title}, print notes",
        *([f"**CHECK FAILED: {', '.join(head.failed)}**"] if head.failed else []),
        *_refusals(notes),
        *([head.note] if head.note else []),
        _about(head, notes, quantity, files),
        f"## On the bed\n\n{orientation}",
        _mass(notes, weighed, quantity),
        *(_piece(one, lengths) for one in notes),
        _usual(notes, lengths),
        *_joining(notes, joining),
        _cautions(notes),
    ]
    return "\n\n".join(sections) + "\n"


def _refusals(notes: Sequence[PrintNotes]) -> Iterator[str]:
    for reason in _once(one.refused for one in notes if one.refused):
        yield f"**REFUSED: {reason}. Do not fly a print of this material there.**"


def _about(head: Head, notes: Sequence[PrintNotes], quantity: int, files: Sequence[str]) -> str:
    about = [f"Fingerprint {head.fingerprint}"]
    about += [f"{word} {value}" for word, value in (("revision", head.revision), ("date", head.date)) if value]
    materials = " and ".join(_once(one.material or f"material {NOT_STATED}" for one in notes))
    pieces = f"{len(notes)} {'piece' if len(notes) == 1 else 'pieces'}"
    times = f", {quantity} of each" if quantity > 1 else ""
    lines = [
        f"{', '.join(about)}. {pieces} of {materials}{times}. Sizes are nominal; heights count from the bed.",
        *([f"Files: {', '.join(f'`{name}`' for name in files)}"] if files else []),
    ]
    return "\n\n".join(lines)


def _mass(notes: Sequence[PrintNotes], weighed: float | None, quantity: int) -> str:
    rows = [(one.name, *_estimate([one.mass])) for one in notes]
    known = [one.mass for one in notes if one.mass is not None]
    if len(notes) > 1:
        rows.append(("together", *_estimate([one.mass for one in notes])))
    if weighed is not None:
        rows.append(("**weighed**", f"**{weighed:.1f} g**", "on the scale: this one counts"))
    text = ["## Mass" + (", one of them" if quantity > 1 else ""), _table(("Piece", "Estimate", "Between"), rows)]
    if known:
        text.append("\n".join(f"- Estimate: {method}." for method in _once(mass.method for mass in known)))
    if weighed is None:
        text.append("Not weighed. An estimate is no reading: weigh the print, and give the design what the scale says.")
    elif len(known) == len(notes):
        text.append(_against(weighed, known))
    return "\n\n".join(text)


def _estimate(masses: Sequence[PrintedMass | None]) -> tuple[str, str]:
    known = [mass for mass in masses if mass is not None]
    if len(known) < len(masses):
        return NOT_STATED, "give the material, or its density"
    amount, low, high = (sum(getattr(mass, name) for mass in known) for name in ("amount", "low", "high"))
    return f"{amount:.1f} g", f"{low:.1f} and {high:.1f} g"


def _against(weighed: float, masses: Sequence[PrintedMass]) -> str:
    amount, low, high = (sum(getattr(mass, name) for mass in masses) for name in ("amount", "low", "high"))
    share = f"{100.0 * (weighed / amount - 1.0):+.1f} % against the estimate"
    if low <= weighed <= high:
        return f"Weighed {share}, within its band."
    return (
        f"Weighed {share}, outside its band: look at walls, infill and flow as printed, and at what else was weighed."
    )


def _piece(one: PrintNotes, lengths: Lengths) -> str:
    rows = [("Size on the bed", _size(one, lengths)), ("Volume", f"{one.volume / 1000.0:.1f} cm3")]
    if one.mass is not None and one.mass.infill > 0.0:
        rows.append(("Shell, infill", f"{one.mass.shell:.1f} g full, {one.mass.infill:.1f} g filled in part"))
    if one.room is not None:
        rows.append((f"Printer {one.room.printer}", _room(one.room, lengths)))
    else:
        rows.append(("Printer", NOT_STATED))
    rows += [(f"Wall: {wall.name}", _wall(wall, lengths)) for wall in one.walls]
    hanging = [f"- {_overhang(stretch, lengths)}" for stretch in one.overhangs.stretches]
    hanging = hanging or [f"- Nothing leans out beyond {_degrees(one.overhangs.limit)} from the vertical."]
    hanging += [f"- {_hole(hole, lengths)}" for hole in one.overhangs.holes]
    text = [f"## Piece {one.name}", _table(("What", "Figure"), rows), "Overhangs:", "\n".join(hanging)]
    return "\n\n".join([*text, *([f"Tip, {one.tip}."] if one.tip else [])])


def _size(one: PrintNotes, lengths: Lengths) -> str:
    high = f"{lengths.both(one.height)} high"
    if one.is_round:
        return f"{lengths.both(one.width)} diameter, {high}"
    return f"{lengths.one(one.width)} wide x {lengths.one(one.depth)} deep, {high}"


def _room(room: Room, lengths: Lengths) -> str:
    sides = (("width", room.width), ("depth", room.depth), ("height", room.height))
    if room.fits:
        return "it fits; left are " + ", ".join(f"{lengths.one(left)} of {word}" for word, left in sides)
    short = ", ".join(f"{lengths.one(-left)} of {word}" for word, left in sides if left < -1e-9)
    return f"**IT DOES NOT FIT: {short} too little**; print it in shorter sections, or on a larger printer"


def _wall(wall: WallLines, lengths: Lengths) -> str:
    text, line = lengths.one(wall.thickness, 2), f"{wall.line:g} mm ({wall.source})"
    if wall.whole is not None:
        return f"{text}: {wall.whole} {'line' if wall.whole == 1 else 'lines'} of {line}"
    low, high = wall.between
    if low == 0:
        return f"{text}: less than one line of {line}"
    sizes = f"{lengths.one(low * wall.line, 2)} and {lengths.one(high * wall.line, 2)}"
    return f"{text}: between {low} and {high} lines of {line}, which are {sizes}"


def _overhang(one: Overhang, lengths: Lengths) -> str:
    times = f", {one.count} times" if one.count > 1 else ""
    where = f"{one.side.capitalize()}, {_from_to(one, lengths)}{times}"
    small = one.across <= print_defaults()["bridge" if one.form == "roof" else "ledge"].amount + 1e-6
    if one.form == "roof":
        closing = "usually closes without support" if small else "support it"
        return (
            f"{where}: roof {lengths.one(one.across)} across, up to {_degrees(one.angle)} from the vertical; {closing}."
        )
    holds = "usually holds without support" if small else "support it, or expect its first lines to sag"
    if one.form == "ledge":
        return f"{where}: flat ledge {lengths.one(one.across)} wide; {holds}."
    return (
        f"{where}: leans out up to {_degrees(one.angle)} from the vertical, over {lengths.one(one.across)}; "
        f"{holds if small else 'support it'}."
    )


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.0f} degrees"


def _from_to(one: Overhang, lengths: Lengths) -> str:
    if one.high - one.low < 0.05:
        return f"at {lengths.one(one.low)}"
    return f"{lengths.number(one.low)} to {lengths.one(one.high)}"


def _hole(hole: SideHole, lengths: Lengths) -> str:
    small = hole.width <= print_defaults()["bridge"].amount + 1e-6
    count = f"{hole.count} holes" if hole.count > 1 else "1 hole"
    return (
        f"Sideways, {count} of {lengths.one(hole.width)} with the middle at {lengths.one(hole.height)}: "
        f"{'usually no support' if small else 'support the top'}."
    )


def _usual(notes: Sequence[PrintNotes], lengths: Lengths) -> str:
    """What the words about overhangs go by."""
    ledge, bridge = print_defaults()["ledge"], print_defaults()["bridge"]
    limits = " and ".join(_once(_degrees(one.overhangs.limit) for one in notes))
    return (
        f"Support ({ledge.mark}): needed where a wall leans out beyond {limits} from the vertical, or hangs out flat "
        f"by more than about {lengths.one(ledge.amount)}; roofs and tops of sideways holes close by themselves up to "
        f"about {lengths.one(bridge.amount)}. Printers differ: try yours."
    )


def _joining(notes: Sequence[PrintNotes], joining: Sequence[str] | None) -> Iterator[str]:
    steps = joining if joining is not None else JOINING if len(notes) > 1 else ()
    if steps:
        yield "## Joining\n\n" + "\n".join(f"{number}. {step}" for number, step in enumerate(steps, start=1))


def _cautions(notes: Sequence[PrintNotes]) -> str:
    own = _once(f"{caution[0].upper()}{caution[1:]}." for one in notes for caution in one.cautions)
    return "## Cautions\n\n" + "\n".join(f"- {caution}" for caution in (*own, *CAUTIONS))


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    """Each text once, in the order in which it came."""
    return tuple(dict.fromkeys(texts))


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table whose columns stand under each other on a terminal, but for the last, which may be long."""
    widths = [max(len(row[column]) for row in (head, *rows)) for column in range(len(head) - 1)]

    def line(cells: Sequence[str]) -> str:
        padded = [cell.ljust(width) for cell, width in zip(cells, widths, strict=False)]
        return f"| {' | '.join((*padded, cells[-1]))} |"

    rule = "| " + " | ".join("-" * width for width in (*widths, max(3, len(head[-1])))) + " |"
    return "\n".join((line(head), rule, *(line(row) for row in rows)))
