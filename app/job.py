"""One part to make files of, and what its files show."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ..parts.compensate import words
from ..parts.fingerprint import canonical, fingerprint, short
from ..parts.lettering import has_letters
from ..parts.machine import Cutter, Printer, compensation
from ..parts.part import Part
from .entries import Unit
from .manifest import Origin
from .names import slug

FORMATS = ("step", "stl", "3mf", "glb", "dxf", "svg", "pdf")
"""Formats that can be asked for, in the order in which they are made."""

OTHER_FORMATS = ("png",)
"""Formats that are made only where they are asked for: pictures of the charts."""

STAMPED = ("dxf", "svg", "pdf")
"""Formats that carry the revision and the names of failed checks."""

PRINTED, CUT = ("stl", "3mf"), ("dxf", "svg")
"""Formats that are compensated for a printer or a cutter; STEP, GLB and paper always have the nominal sizes."""

PRINT_NOTES, TURNING_TABLE = "print notes", "turning table"
"""What lies beside the files of a part."""

PAPER = ("pdf",)
"""Formats of what is printed on paper."""


@dataclass(frozen=True, slots=True)
class Job:
    """One part to make files of.

    Attributes:
        part: the part.
        name: what it is called.
        design: name of the design, or None for a part on its own.
        quantity: how many to make [-].
        revision: revision as printed, or None.
        date: date as printed, or None.
        notes: sentences for its template.
        machine: the printer or cutter that its files are made for; None for nominal sizes.
        printer: the printer that it is printed on, for its notes and its plate; None where none is stated.
        weighed: mass of one of it on the scale [g]; None where it was not weighed.
        refused: why it must not be made of its material, as a check says; None where none does.
        units: unit of length that is printed first.
    """

    part: Part
    name: str
    design: str | None = None
    quantity: int = 1
    revision: str | None = None
    date: str | None = None
    notes: tuple[str, ...] = ()
    machine: Printer | Cutter | None = None
    printer: Printer | None = None
    weighed: float | None = None
    refused: str | None = None
    units: Unit = "mm"

    @property
    def dated(self) -> tuple[str, ...]:
        """Revision and date as lines of words, as far as they are stated."""
        return (*((f"revision {self.revision}",) if self.revision else ()), *((self.date,) if self.date else ()))

    @property
    def state_words(self) -> str | None:
        """Revision and date in one cell of a block; None where neither is stated."""
        return ", ".join(filter(None, (self.revision, self.date))) or None

    @property
    def stem(self) -> str:
        """Start of its file names."""
        return "-".join(filter(None, (slug(self.design or ""), slug(self.name))))

    @property
    def fingerprint(self) -> str:
        """Fingerprint of the part as it is printed."""
        return short(self.part.fingerprint())

    def origin(self, kind: str, failed: tuple[str, ...]) -> Origin:
        """What a file of a kind shows: the part, and on paper and in cut files also the words beside it."""
        shown: list[object] = [self.part.fingerprint()]
        if kind in STAMPED:
            shown += [self.revision, self.date, self.notes, self.quantity, failed]
        if kind in PRINTED:
            shown += [self.mark, self.quantity if kind == "3mf" else 1]
        if kind == "3mf" and self.printer is not None:
            shown += [self.printer.width, self.printer.depth]
        if kind == PRINT_NOTES:
            shown += [
                self.revision,
                self.date,
                self.notes,
                self.quantity,
                failed,
                self.weighed,
                self.refused,
                self.units,
            ]
            shown += [canonical(self.printer)] if self.printer else []
        machine = self.maker_of(kind)
        if machine is not None:
            shown.append(compensation(machine, self.part.material))
        state = short(fingerprint(shown)) if len(shown) > 1 else self.fingerprint
        return Origin(self.design, self.name, self.fingerprint, state)

    def maker_of(self, kind: str) -> Printer | Cutter | None:
        """The machine that a kind of file is made for; None for files of nominal size."""
        kinds = PRINTED if isinstance(self.machine, Printer) else CUT
        return self.machine if kind in kinds else None

    def for_machine(self, kind: str) -> str:
        """End of the file's name that says which machine it is for; empty for nominal sizes."""
        machine = self.maker_of(kind)
        return f"-for-{slug(machine.name)}" if machine else ""

    def sizes(self, kind: str) -> str:
        """What the manifest says of the sizes in a kind of file."""
        machine = self.maker_of(kind)
        return words(machine, self.part.material) if machine else "nominal"

    @property
    def mark(self) -> str:
        """What is sunk into a print: revision and fingerprint, in letters that the lettering has."""
        revision = f"{self.revision} " if self.revision else ""
        return f"{revision if has_letters(revision) else ''}{self.fingerprint[:9]}"

    @property
    def description(self) -> str:
        """Words for the inside of its files."""
        return f"{self.stem} {self.fingerprint}"

    def description_for(self, kind: str) -> str:
        """The same, with whether the sizes in a kind of file are nominal."""
        return f"{self.description}{self.for_machine(kind) or ' nominal'}"


Proof = dict[str, Any]
"""What was found when a file was read back, for the manifest."""

Say = Callable[[str], None]
"""Told about each file."""


def against(volume: float, exact: float) -> Proof:
    """The volume of a file [mm3], and by how much it is off the exact integral [-]."""
    return {"volume_mm3": volume, "volume_against_integral": volume / exact - 1.0}
