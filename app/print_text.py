"""The print notes of a part as text: its pieces one by one, from the figures of each."""

from __future__ import annotations

from ..analysis.print_notes import Core, PrintNotes, print_notes
from ..parts.kinds import FinCan, NoseCone, Transition
from ..parts.part import Part, Printed
from ..parts.readers.integrals import moments
from ..parts.shape import Cut, Revolved
from .job import Job
from .print_sheet import (
    AFT_UP,
    FORWARD_DOWN,
    HANGING,
    JOINING,
    NOSE,
    ON_END,
    ROUND_THE_TUBE,
    Head,
    print_sheet,
)

_WITHOUT_ROD = "Tape across the joint, all round, holds the stack together while the epoxy cures."


def print_text(job: Job, files: tuple[str, ...], failed: tuple[str, ...]) -> str:
    """The text of the notes.

    Args:
        job: the part.
        files: names of its print files.
        failed: names of failed checks.
    """
    part, notes = job.part, piece_notes(job)
    head = Head(
        f"{job.design}: {job.name}" if job.design else job.name,
        job.fingerprint,
        job.revision or "",
        job.date or "",
        " ".join(job.notes),
        failed,
    )
    return print_sheet(
        head,
        notes,
        joining=_joining(part) if len(notes) > 1 else (),
        orientation=orientation(part),
        weighed=job.weighed,
        quantity=job.quantity,
        files=files,
        units=job.units,
    )


def piece_notes(job: Job) -> tuple[PrintNotes, ...]:
    """The figures of each piece that a part is printed in, in order."""
    part = job.part
    pieces = part.printed_pieces()
    return tuple(
        print_notes(
            piece.word or job.name,
            piece.shape,
            piece.pose,
            part.material,
            job.printer,
            _walls(part, last=index == len(pieces) - 1),
            density=part.density,
            core=_core(part, piece),
            tip_radius=_tip(part) if not index else None,
            refused=job.refused,
        )
        for index, piece in enumerate(pieces)
    )


def _tip(part: Part) -> float | None:
    """Radius of a round tip [mm]; None where there is none, or it is flat and prints as any other face."""
    return part.tip_radius_in_use() if isinstance(part, NoseCone) and part.tip != "flat" else None


def orientation(part: Part) -> str:
    """How the pieces of a part lie on the bed, in words."""
    if isinstance(part, NoseCone) and part.shoulder_length:
        return NOSE
    if isinstance(part, FinCan):
        return (ON_END if part.stands_on == "aft" else FORWARD_DOWN) + ("" if part.carries_itself else HANGING)
    return AFT_UP if isinstance(part, Transition) and part.narrows else ON_END


def _walls(part: Part, last: bool) -> dict[str, float]:
    """The walls of one piece: the shoulder's is that of the last one alone."""
    return {word: wall for word, wall in part.walls().items() if last or word != "shoulder"}


def _joining(part: Part) -> tuple[str, ...]:
    """How the pieces become one; where no rod clamps them, something else must."""
    if isinstance(part, FinCan):
        return ROUND_THE_TUBE
    rod = isinstance(part, NoseCone) and part.rod_size is not None
    return tuple(step if rod or "rod through" not in step else _WITHOUT_ROD for step in JOINING)


def _core(part: Part, piece: Printed) -> Core | None:
    """What of a piece is filled in part."""
    if not isinstance(part, NoseCone) or part.infill is None:
        return None
    core = part.core()
    if core is None:
        return None
    whole = Revolved(core)
    elsewhere = moments(Cut(whole, (piece.shape,))).volume if piece.word else 0.0
    return Core(moments(whole).volume - elsewhere, part.infill)
