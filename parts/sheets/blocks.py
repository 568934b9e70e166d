"""What the pages of a book hold, as plain values from top to bottom: a writer lays them out and breaks the pages.

Words are plain text; a writer may print each letter that the type of the sheets has. Sizes are in [mm].
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeAlias

from .paper import Paper
from .sheet import Box, Item, Sheet

Style = Literal["body", "small", "strong", "large", "caution"]
"""How words look: body type, the smallest type, bold, large for what is read at arm's length, framed as a caution."""


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading.

    Attributes:
        text: its words.
        level: 1 for a chapter, which begins a page and is listed in the outline, 2 for a listed section, 3 for one
            that is not listed.
    """

    text: str
    level: Literal[1, 2, 3] = 2


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    text: str
    style: Style = "body"


@dataclass(frozen=True, slots=True)
class Bullets:
    """Short paragraphs with a mark before each.

    Attributes:
        texts: the paragraphs.
        mark: a dash, numbers, or boxes to tick.
    """

    texts: tuple[str, ...]
    mark: Literal["dash", "number", "box"] = "dash"


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture from a file, as wide and as high as stated at most, its proportions kept.

    Attributes:
        path: a PNG.
        width: widest [mm].
        height: highest [mm].
        words: what it shows, under it; empty for none.
    """

    path: Path
    width: float
    height: float
    words: str = ""


@dataclass(frozen=True, slots=True)
class Drawing:
    """Vector lines and words at true size, as wide as the text at most.

    Attributes:
        items: what is drawn, from the lower left corner (0, 0).
        width: width of it [mm].
        height: height of it [mm].
        words: what it shows, under it; empty for none.
    """

    items: tuple[Item, ...]
    width: float
    height: float
    words: str = ""


Cell: TypeAlias = str | Picture | Drawing
"""What stands in a cell of a table."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table; its head stands again on every page that it runs over.

    Attributes:
        head: heads of the columns; empty for none.
        rows: cells of each row, as many as there are columns.
        shares: how the width is shared among the columns [-]; by what they hold where not stated.
        right: columns whose words stand to the right, such as figures.
        strong: rows in bold.
        whole: whether it is kept on one page where it fits one.
        high: least height of a row [mm], for what is written by hand.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    shares: tuple[float, ...] = ()
    right: tuple[int, ...] = ()
    strong: tuple[int, ...] = ()
    whole: bool = False
    high: float = 0.0


@dataclass(frozen=True, slots=True)
class Figures:
    """Main figures in a grid of cells: a small label over a large value.

    Attributes:
        cells: label and value of each.
        columns: cells beside each other.
    """

    cells: tuple[tuple[str, str], ...]
    columns: int = 3


@dataclass(frozen=True, slots=True)
class Blanks:
    """Labels with a line after each to write on.

    Attributes:
        labels: what is to be written.
        columns: labels beside each other.
        high: height of a line [mm].
    """

    labels: tuple[str, ...]
    columns: int = 2
    high: float = 9.0


@dataclass(frozen=True, slots=True)
class Together:
    """Blocks that stay on one page where they fit one."""

    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Two stacks of blocks beside each other; the left one takes a share of the width [-]."""

    left: tuple[Block, ...]
    right: tuple[Block, ...]
    share: float = 0.5


@dataclass(frozen=True, slots=True)
class NewPage:
    """What follows begins a page.

    Attributes:
        paper: paper of the pages of text from here on; None for the same as before.
    """

    paper: Paper | None = None


@dataclass(frozen=True, slots=True)
class SheetPage:
    """A sheet that fills a page of its own as it is, at true size, such as a template.

    Attributes:
        sheet: the sheet.
        level: level of its title in the outline; 0 where it is not listed.
    """

    sheet: Sheet
    level: Literal[0, 2] = 2


@dataclass(frozen=True, slots=True)
class DrawnPage:
    """A page of its own size that one drawing fills, such as a side view that lies on its long side.

    Attributes:
        items: what is drawn, from the lower left corner (0, 0) of the page.
        width: width of the page [mm].
        height: height of the page [mm].
        title: its title in the outline.
        pictures: pictures from files under what is drawn, each with the rectangle that it fills [mm].
    """

    items: tuple[Item, ...]
    width: float
    height: float
    title: str
    pictures: tuple[tuple[Path, Box], ...] = ()


Block: TypeAlias = (
    Heading
    | Words
    | Bullets
    | Picture
    | Drawing
    | Table
    | Figures
    | Blanks
    | Together
    | SideBySide
    | NewPage
    | SheetPage
    | DrawnPage
)
"""Anything that a book holds."""


@dataclass(frozen=True, slots=True)
class Book:
    """A book.

    Attributes:
        title: title of the document.
        paper: paper of the pages of text.
        foot: words at the foot of every page of text, such as the name and the fingerprint of the design.
        stamp: words at the head of every page of text that nobody may overlook, such as failed checks; empty for none.
        blocks: what it holds, from the first page to the last.
    """

    title: str
    paper: Paper
    foot: str
    stamp: str
    blocks: tuple[Block, ...]
