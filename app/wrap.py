"""`ferrule wrap`: the papers that are laid once round the tubes to mark them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ..parts.errors import FerruleError
from ..parts.quantity import read
from .design import Design
from .job import PAPER
from .manifest import Made, listed
from .paper_choice import USUAL, PaperChoice
from .run_folder import one_run
from .summary import failed_checks, summary
from .wrap_sheets import WRAP_FORMATS, WrapChoice, marked_tubes, wrap_files, wrap_origin

THICKEST = 1.0
"""Thickest paper or card that is laid round a tube [mm]."""


@dataclass(frozen=True, slots=True)
class Wraps:
    """What a run made.

    Attributes:
        files: names of the files.
        removed: names of wraps of an earlier run that were of another state of the design.
        skipped: names of tubes without slots, where sleeves were wanted.
    """

    files: tuple[str, ...]
    removed: tuple[str, ...]
    skipped: tuple[str, ...] = ()


def write_wraps(
    design: Design,
    out: Path,
    strips: Sequence[str],
    whole: bool,
    paper: PaperChoice = USUAL,
    sleeve: bool = False,
    card: str | None = None,
) -> Wraps:
    """Write the wraps of a design's airframe tubes.

    Args:
        design: the design.
        out: folder for the files.
        strips: lengths once round as read off a first print, each as `TUBE=LENGTH`.
        whole: one paper over the whole of each tube.
        paper: what they are printed on, and for which printer.
        sleeve: sleeves with windows at the slots, in place of wraps.
        card: thickness of the paper or card, with its unit; the usual one if not stated.

    Raises:
        FerruleError: a strip or a thickness is not one, there is no airframe tube, or for sleeves none with a slot, or
            a file could not be made.
    """
    tubes = marked_tubes(design)
    if not tubes:
        raise FerruleError("the design has no airframe tube with a station, and nothing to wrap")
    skipped = tuple(tube.name for tube in tubes if not tube.slots) if sleeve else ()
    if len(skipped) == len(tubes):
        raise FerruleError("--sleeve: no airframe tube of the design has a slot, and a sleeve would have no window")
    thickness = None if card is None else _thickness(card)
    choice = WrapChoice(whole, thickness, dict(_strip(text) for text in strips), paper, sleeve)
    failed = failed_checks(summary(design))
    # A file is of a state of the design, however its paper was laid round and whatever was read off it: so wraps and
    # sleeves of one state lie beside each other, and both go when the design is another one.
    states = wrap_states(design, failed)
    made: list[Made] = []
    with one_run(out, design.name) as folder:
        for origin, kind, path, proof in wrap_files(design, folder.workshop, set(WRAP_FORMATS), failed, choice):
            sizes = paper.sizes if kind in PAPER else "nominal"
            made.append(listed(path, kind, replace(origin, state=states[origin.part, kind]), proof, sizes))
        folder.publish(made, None, states)
    return Wraps(tuple(item.file for item in made), tuple(folder.removed), skipped)


def wrap_states(design: Design, failed: tuple[str, ...]) -> dict[tuple[str | None, str], str]:
    """The state in which the wraps of each tube would be made now, by tube and kind of file."""
    found = {tube.name: wrap_origin(design, tube, failed).state for tube in marked_tubes(design)}
    return {(name, kind): state for name, state in found.items() for kind in WRAP_FORMATS}


def _strip(text: str) -> tuple[str, float]:
    name, equals, length = text.rpartition("=")
    if not equals or not name.strip():
        raise FerruleError(f'--strip: {text!r} is not a tube and a length; write it as "booster tube=215.8 mm"')
    try:
        return name.strip(), read(length.strip(), "length")
    except FerruleError as error:
        raise FerruleError(f"--strip: {error}") from None


def _thickness(text: str) -> float:
    try:
        found = read(text.strip(), "length")
    except FerruleError as error:
        raise FerruleError(f"--card: {error}") from None
    if not 0.0 < found <= THICKEST:
        raise FerruleError(f"--card: {found:g} mm must be above 0 and at most {THICKEST:g} mm")
    return found
