"""What every chapter of the build book is told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ...parts.sheets.paper import Paper
from ...parts.writers.book import margin_of
from ..design import Design
from ..lengths import Lengths
from ..picture_page import Page

BOOK_KIND = "build book"
"""What the manifest calls the book and the single sheets of it."""


@dataclass(frozen=True)
class About:
    """A design on its way into a book.

    Attributes:
        design: the design.
        figures: its summary.
        failed: names of failed checks.
        paper: paper of the pages.
        pictures: shaded pictures by name: `whole`, `exploded`, `cutaway`, and those of parts by their names.
        pages: pages of pictures with the names of what they show, by their view.
        no_pictures: why there are none; empty where there are.
    """

    design: Design
    figures: Mapping[str, Any]
    failed: tuple[str, ...]
    paper: Paper
    pictures: Mapping[str, Path] = field(default_factory=dict)
    pages: Mapping[str, Page] = field(default_factory=dict)
    no_pictures: str = ""

    @property
    def lengths(self) -> Lengths:
        """How lengths are printed: mm with inches beside, or the reverse, as the design says."""
        return Lengths(self.design.settings.units)

    @property
    def name(self) -> str:
        """Name of the design."""
        return self.design.name

    @property
    def fingerprint(self) -> str:
        """Fingerprint of the design as it is printed."""
        return str(self.figures["fingerprint"])

    @property
    def text_width(self) -> float:
        """Width of the text on a page [mm]."""
        return self.paper.width - 2.0 * margin_of(self.paper)
