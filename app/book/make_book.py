"""`ferrule book`: all that goes to the bench and to the inspection table in one file, and single sheets of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ...parts.errors import FerruleError
from ...parts.params import near
from ...parts.sheets.blocks import Block, Book, Heading, NewPage
from ...parts.sheets.paper import A4, US_LETTER, Paper
from ...parts.writers.book import write_book
from ..cautions import SHORT_CAUTION
from ..design import Design
from ..design_file import load
from ..machine_file import load_machines
from ..manifest import Made, listed
from ..names import slug
from ..picture import NoPictures, pictures_or_reason
from ..run_folder import one_run
from ..sensitivity_words import sensitivities
from ..summary import failed_checks, summary
from ..whole import origin_of
from .about import BOOK_KIND, About
from .assembly import assembly
from .balance import balance
from .build_record import build_record
from .checklists import checklists
from .cover import cover
from .drawings import drawings
from .field_card import field_card
from .flight_page import flight_pages
from .gates import mentor_gates
from .inspection import inspection
from .margin_tape import margin_tape
from .papers import papers
from .parts_list import parts_list
from .stickers import stickers

PAPERS = {"a4": A4, "letter": US_LETTER}
"""Papers by the word that is asked for, which ends the names of the files."""

PICTURE_DOTS = 1200
"""Width of the picture of the whole rocket [pixels]: 170 dots an inch over a page, which ink shows no finer."""

PART_DOTS = 320
"""Width of the picture of a part [pixels]."""

Chapter = Callable[[About], tuple[Block, ...]]


@dataclass(frozen=True, slots=True)
class BookMade:
    """What a run made.

    Attributes:
        files: names of the files, the book first.
        pages: pages of the book.
        removed: names of files of an earlier run that were of another state of the design.
        no_pictures: why the book has no pictures; empty where it has, or where none were wanted.
        failed: names of failed checks.
    """

    files: tuple[str, ...]
    pages: int
    removed: tuple[str, ...]
    no_pictures: str
    failed: tuple[str, ...]


def make_book(file: Path, out: Path, paper: str = "a4", with_pictures: bool = True) -> BookMade:
    """Write the build book of a design file; see `write_book_of`.

    Args:
        file: the design file.
        out: folder for the files.
        paper: `a4` or `letter`.
        with_pictures: whether shaded pictures are drawn.

    Raises:
        FerruleError: the file is wrong, there is no such paper, or a file could not be made; nothing is written then.
    """
    machines = load_machines()
    _paper(paper)  # before anything is worked out
    design = load(file, machines)
    known = bool(design.rocket.fin_sets) and any(one.margin is not None for one in design.loadings)
    moves = tuple(str(one) for one in sensitivities(file, machines)) if known else ()
    return write_book_of(design, out, paper, moves, with_pictures)


def write_book_of(
    design: Design,
    out: Path,
    paper: str = "a4",
    moves: Sequence[str] = (),
    with_pictures: bool = True,
) -> BookMade:
    """Write the build book of a design, and the sheets of it that are used by themselves.

    Args:
        design: the design.
        out: folder for the files.
        paper: `a4` or `letter`.
        moves: what moves the least margin, one line each.
        with_pictures: whether shaded pictures are drawn.

    Raises:
        FerruleError: there is no such paper, or a file could not be made; nothing is written then.
    """
    size = _paper(paper)
    figures = summary(design)
    failed = failed_checks(figures)
    made: list[Made] = []
    with one_run(out, design.name) as folder:
        about = About(design, figures, failed, size)
        if with_pictures:
            about = _pictured(about, folder.workshop)
        pages = 0
        for stem, title, blocks in _books(about, moves):
            path = folder.workshop / f"{slug(design.name)}-{stem}-{paper}.pdf"
            proof = write_book(path, _book(about, title, blocks))
            pages = pages or proof.pages
            kept = {"pages": proof.pages, "outline": list(proof.outline), "sheets_at_true_size": proof.sheets}
            made.append(listed(path, BOOK_KIND, origin_of(design, failed), {**kept, "paper_of_text": size.words}))
        folder.publish(made, None, {(None, BOOK_KIND): origin_of(design, failed).state})
    return BookMade(tuple(one.file for one in made), pages, tuple(folder.removed), about.no_pictures, failed)


def _books(about: About, moves: Sequence[str]) -> Iterator[tuple[str, str, tuple[Block, ...]]]:
    """The whole book, then each sheet that is printed again by itself: name of the file, title, what it holds."""
    yield "book", "build book", whole_book(about, moves)
    single: tuple[tuple[str, str, Chapter], ...] = (
        ("inspection", "inspection sheet", inspection),
        ("stickers", "stickers for the hull", lambda one: (Heading("Stickers", 1), *stickers(one))),
        ("margin-tape", "margin tape", margin_tape),
        ("checklists", "checklists", checklists),
        ("build-record", "build record", lambda one: (Heading("Build record", 1), *build_record(one))),
        ("mentor-gates", "mentor gates", mentor_gates),
        ("field-card", "field card", field_card),
    )
    for stem, title, chapter in single:
        yield stem, title, chapter(about)


def whole_book(about: About, moves: Sequence[str] = ()) -> tuple[Block, ...]:
    """Every chapter in the order of the work.

    Args:
        about: the design.
        moves: what moves the least margin, one line each.
    """
    return (
        *cover(about),
        *parts_list(about),
        *drawings(about),
        *papers(about),
        *assembly(about),
        *balance(about, moves),
        *flight_pages(about),
        *inspection(about),
        *checklists(about),
        *margin_tape(about),
        *mentor_gates(about),
        *field_card(about),
        NewPage(about.paper),
    )


def _book(about: About, title: str, blocks: tuple[Block, ...]) -> Book:
    settings = about.design.settings
    told = [f"{about.name}, fingerprint {about.fingerprint}"]
    told += [f"revision {settings.revision}"] if settings.revision else []
    told += [settings.date] if settings.date else []
    stamp = f"CHECK FAILED: {'; '.join(about.failed)}" if about.failed else ""
    return Book(f"{about.name}: {title}", about.paper, f"{', '.join(told)}. {SHORT_CAUTION}", stamp, blocks)


def _paper(word: str) -> Paper:
    name = word.strip().lower()
    if name not in PAPERS:
        raise FerruleError(f"--paper: {word!r} is not among {', '.join(PAPERS)}{near(name, PAPERS)}")
    return PAPERS[name]


def _pictured(about: About, folder: Path) -> About:
    """With pictures of the whole and of the parts, or with the reason why there are none."""
    views = ("whole", "exploded", "cutaway")
    found = pictures_or_reason(about.design, folder, views, about.figures, PICTURE_DOTS, PART_DOTS)
    if isinstance(found, NoPictures):
        return replace(about, no_pictures=found.reason)
    shown = {view: one.path for view, one in found.views.items()}
    pages = {view: one.page for view, one in found.views.items() if one.page is not None}
    return replace(about, pictures={**shown, **found.parts}, pages=pages)
