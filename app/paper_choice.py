"""Which paper things are printed on, for which printer, and seen from which face.

What is chosen here changes no state of a design: sheets on other paper, put right for a printer or mirrored lie beside
the usual ones under names of their own, and all of them are taken away together once the design has moved on.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ..parts.errors import FerruleError
from ..parts.params import near
from ..parts.quantity import read
from ..parts.sheets.paper import A3, A4, PAPERS, US_LETTER, Paper, Printed, corrected, roll
from ..parts.sheets.sheet import Sheet

SHEETS = {"a4": A4, "letter": US_LETTER, "a3": A3}
"""Sheets by the word that is asked for, which ends the names of their files."""

CORRECT = 'If the bars are off at 100 %, print again with what X and Y measure: --printed "99.2 mm" "98.8 mm".'
"""What to do with a sheet whose check bars are not 100.0 mm."""

AGAIN = "--printed X Y"
"""The same in few words, for the sheets themselves."""


@dataclass(frozen=True, slots=True)
class PaperChoice:
    """How sheets are printed.

    Attributes:
        papers: the papers, each with the word that ends the names of its files.
        printed: what the printer makes of 100 mm, which is put right; None to draw everything as it is.
        mirrored: whether templates are drawn as seen from the other face.
    """

    papers: tuple[tuple[str, Paper], ...] = (("a4", A4), ("letter", US_LETTER))
    printed: Printed | None = None
    mirrored: bool = False

    def laid_out(self) -> Iterator[tuple[str, Paper]]:
        """The papers to lay out on, each with the end of its file's name."""
        more = ("-mirrored" if self.mirrored else "") + ("-corrected" if self.printed else "")
        for word, paper in self.papers:
            yield f"{word}{more}", corrected(paper, self.printed) if self.printed else paper

    def drawings(self) -> tuple[tuple[str, Paper], ...]:
        """The papers for drawings to scale, which are on A4 and US Letter alone and never corrected nor mirrored."""
        if self.printed or self.mirrored:
            return ()
        return tuple((word, paper) for word, paper in self.papers if paper in PAPERS)

    @property
    def sizes(self) -> str:
        """What the manifest says of the sizes on paper."""
        return self.printed.words if self.printed else "nominal"

    def proof(self, sheets: Sequence[Sheet]) -> dict[str, Any]:
        """What the manifest says of the pages of one file, which the writer has read back."""
        found: dict[str, Any] = {"pages": len(sheets), "check_bar_mm": 100.0, "paper": sheets[0].paper.words}
        if self.printed:
            found["check_bars_drawn_mm"] = [round(100.0 * scale, 4) for scale in sheets[0].paper.scale]
        if self.mirrored:
            found["mirrored"] = True
        return found


USUAL = PaperChoice()
"""A4 and US Letter, as they are."""


def choice_of(papers: Sequence[str], printed: tuple[str, str] | None = None, mirrored: bool = False) -> PaperChoice:
    """The choice that was typed in.

    Args:
        papers: `a4`, `letter`, `a3`, or a roll with its width such as `roll 610 mm`; A4 and US Letter where none is.
        printed: measured lengths of the bars X and Y of an earlier print, each with its unit.
        mirrored: whether templates are drawn as seen from the other face.

    Raises:
        FerruleError: there is no such paper, a length is not one, or out of its range.
    """
    found = dict(_paper(text) for text in papers) or dict(USUAL.papers)
    lengths = None
    if printed is not None:
        try:
            lengths = Printed(*(read(text, "length") for text in printed))
        except FerruleError as error:
            raise FerruleError(f"--printed: {str(error).removeprefix('printed: ')}") from None
    return PaperChoice(tuple(found.items()), lengths, mirrored)


def _paper(text: str) -> tuple[str, Paper]:
    word, _, width = " ".join(text.split()).lower().partition(" ")
    if word == "roll":
        if not width:
            raise FerruleError('--paper: a roll needs its width; write it as "roll 610 mm" or "roll 24 in"')
        try:
            wide = read(width, "length")
            return f"roll-{wide:.0f}", roll(wide)
        except FerruleError as error:
            raise FerruleError(f"--paper: {error}") from None
    name = " ".join(text.split()).lower().removeprefix("us ")
    if name not in SHEETS:
        known = f'{", ".join(SHEETS)}, or a roll such as "roll 610 mm"'
        raise FerruleError(f"--paper: {text!r} is no paper that is known{near(name, SHEETS)}; papers: {known}")
    return name, SHEETS[name]
