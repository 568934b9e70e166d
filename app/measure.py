"""`ferrule measure`: the card to take to the tubes, also before any reading is entered."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ..parts.errors import FerruleError, PartError
from ..parts.fingerprint import fingerprint, short
from ..parts.tubes import MeasuredTube
from .entries import TubeEntry
from .list_units import with_units
from .manifest import Made, Origin, listed
from .names import slug
from .run_folder import one_run
from .toml_text import tables_of, text_of

KIND = "measuring card"


def write_cards(file: Path, out: Path) -> tuple[str, ...]:
    """Write the measuring card of a design file on both papers.

    Args:
        file: the design file; it may be half written, as long as its tubes have names.
        out: folder for the card.

    Returns:
        The names of the files.

    Raises:
        FerruleError: the file cannot be read, or names no tube.
    """
    from ..parts.sheets.measuring_card import measuring_card  # noqa: PLC0415  only for this card
    from ..parts.sheets.paper import A4, US_LETTER  # noqa: PLC0415
    from ..parts.writers.pdf import write_pdf  # noqa: PLC0415

    data = tables_of(text_of(file), file.name)
    tubes, name = _tubes(data), str(data.get("name", ""))
    if not tubes:
        raise FerruleError(f"{file}: names no tube; write each as a table headed [[tube]], with a name")
    state = short(fingerprint([name, tubes]))
    made: list[Made] = []
    with one_run(out) as folder:
        for word, paper in (("a4", A4), ("letter", US_LETTER)):
            sheets = measuring_card(tubes, paper, design=name)
            path = folder.workshop / f"{'-'.join(filter(None, (slug(name), KIND.replace(' ', '-'), word)))}.pdf"
            write_pdf(path, sheets, f"{name or file.stem}: measuring card, {paper.words}")
            proof = {"pages": len(sheets), "check_bar_mm": 100.0, "paper": paper.words}
            # The card belongs to no state of the design: it is what the design is measured with.
            made.append(listed(path, KIND, Origin(None, None, state, state), proof))
        folder.publish(made, None, {})
    return tuple(item.file for item in made)


def _tubes(data: dict[str, Any]) -> Sequence[MeasuredTube | str]:
    """Each tube with its readings, or by its name where they are not entered or not right yet."""
    found: list[MeasuredTube | str] = []
    entries = data.get("tube")
    for entry in entries if isinstance(entries, list) else ():
        if not isinstance(entry, dict) or not isinstance(entry.get("name"), str) or not entry["name"].strip():
            continue
        try:
            read = TubeEntry(**with_units(entry, (TubeEntry,)))
            found.append(read.measured())
        except (ValidationError, PartError, TypeError):
            found.append(entry["name"])
    return found
