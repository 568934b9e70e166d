"""`ferrule wrap`: the papers that are laid once round the tubes to mark them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from ..parts.errors import FerruleError
from ..parts.quantity import read
from .design import Design
from .manifest import Made, listed
from .run_folder import one_run
from .summary import failed_checks, summary
from .wrap_sheets import WRAP_FORMATS, WrapChoice, marked_tubes, wrap_files, wrap_origin


def write_wraps(design: Design, out: Path, strips: Sequence[str], whole: bool) -> tuple[str, ...]:
    """Write the wraps of a design's airframe tubes.

    Args:
        design: the design.
        out: folder for the files.
        strips: lengths once round as read off a first print, each as `TUBE=LENGTH`.
        whole: one paper over the whole of each tube.

    Returns:
        The names of the files.

    Raises:
        FerruleError: a strip is not one, there is no airframe tube, or a file could not be made.
    """
    if not marked_tubes(design):
        raise FerruleError("the design has no airframe tube with a station, and nothing to wrap")
    choice, failed = WrapChoice(whole, strips=dict(_strip(text) for text in strips)), failed_checks(summary(design))
    # A file is of a state of the design, however its paper was laid round and whatever was read off it.
    states = wrap_states(design, failed)
    made: list[Made] = []
    with one_run(out, design.name) as folder:
        for origin, kind, path, proof in wrap_files(design, folder.workshop, set(WRAP_FORMATS), failed, choice):
            made.append(listed(path, kind, replace(origin, state=states[origin.part, kind]), proof))
        folder.publish(made, None, {})
    return tuple(item.file for item in made)


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
