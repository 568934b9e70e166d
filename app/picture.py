"""`ferrule picture`: shaded pictures of the whole rocket, pulled apart and cut open, and of each part.

Everything is drawn by one other process, because starting it takes longer than drawing. Where the machine draws no
pictures, the command says what is missing; who asks for pictures beside other files gets that as a value.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..analysis.loading import PREDICTED
from ..parts.errors import FerruleError
from ..parts.fingerprint import fingerprint, short
from ..parts.params import near
from ..parts.writers.picture import LARGEST, NoGraphicsError, Picture, PictureProof, write_pictures
from ..parts.writers.picture_svg import write_picture_svg
from .cautions import SHORT_CAUTION
from .design import Design
from .job import Proof
from .lengths import Lengths
from .manifest import Made, Origin, listed
from .names import slug
from .picture_page import Page, Words, in_place, on_lines
from .picture_scene import (
    CUTAWAY,
    EXPLODED,
    WHOLE,
    by_itself,
    cut_open,
    framed,
    pulled_apart,
    shown,
    whole,
)
from .run_folder import one_run
from .summary import failed_checks, summary
from .whole import origin_of

VIEWS = ("whole", "exploded", "cutaway")
"""Views of the whole rocket."""

PARTS = "parts"
"""The word for a picture of every part."""

WIDTH, PART_WIDTH = 1600, 600
"""Pixels across a picture of the whole rocket, and across the square one of a part."""

_NARROWEST = 100
_MARGIN = 0.03
_KIND, _PAGE = "picture", "picture with names"


@dataclass(frozen=True, slots=True)
class NoPictures:
    """Why there are no pictures; everything else can still be made."""

    reason: str


@dataclass(frozen=True, slots=True)
class Shown:
    """A view of the whole rocket.

    Attributes:
        path: the picture.
        page: where it lies on a page with the names of what it shows; None for a view without names.
        proof: what was read back from the picture.
    """

    path: Path
    page: Page | None
    proof: PictureProof


@dataclass(frozen=True, slots=True)
class Pictures:
    """Pictures of a design.

    Attributes:
        views: the views of the whole rocket, by their word.
        parts: the picture of each part, by the name of its item.
        proofs: what was read back from each file.
    """

    views: Mapping[str, Shown]
    parts: Mapping[str, Path]
    proofs: Mapping[Path, PictureProof]


@dataclass(frozen=True, slots=True)
class Written:
    """What a run made.

    Attributes:
        files: names of the files.
        removed: names of pictures of an earlier run that were of another state of the design.
    """

    files: tuple[str, ...]
    removed: tuple[str, ...]


def part_pictures(design: Design, folder: Path, width: int = PART_WIDTH) -> dict[str, Path] | NoPictures:
    """A square picture of every part that is made or bought, for a list of parts.

    Args:
        design: the design.
        folder: where to.
        width: across and up each [pixels].

    Returns:
        The file for each item, by its name; or why this machine draws none.

    Raises:
        FerruleError: a part cannot be meshed, or a file cannot be written.
    """
    found = pictures_or_reason(design, folder, (), {}, part_width=width)
    return found if isinstance(found, NoPictures) else dict(found.parts)


def pictures_or_reason(
    design: Design,
    folder: Path,
    views: Sequence[str],
    figures: Mapping[str, Any],
    width: int = WIDTH,
    part_width: int = PART_WIDTH,
) -> Pictures | NoPictures:
    """Views of the whole rocket and a picture of every part, all by one process.

    Args:
        design: the design.
        folder: where to.
        views: which of `VIEWS`.
        figures: its summary; needed for views alone.
        width: across a view [pixels].
        part_width: across and up a part [pixels].

    Returns:
        The files; or why this machine draws none.

    Raises:
        FerruleError: a part cannot be meshed, or a file cannot be written.
    """
    try:
        return draw(design, folder, views, part_names(design), figures, width, part_width)
    except NoGraphicsError as error:
        return NoPictures(str(error))


def part_names(design: Design) -> tuple[str, ...]:
    """Names of the items that have a picture of their own: all with a shape, but not the glue."""
    return tuple(item.name for item in shown(design) if item.part and not item.part.laid_at_the_bench)


def draw(
    design: Design,
    folder: Path,
    views: Sequence[str],
    parts: Sequence[str],
    figures: Mapping[str, Any],
    width: int,
    part_width: int,
) -> Pictures:
    """Draw some views and some parts; see `pictures_or_reason`.

    Raises:
        FerruleError: a part cannot be meshed, or a file cannot be written.
        NoGraphicsError: this machine draws no pictures.
    """
    jobs: list[tuple[Path, Picture]] = []
    pages: dict[str, Page] = {}
    stem = slug(design.name)
    for view in views:
        path = folder / f"{stem}-{view}.png"
        if view == "whole":
            jobs.append((path, framed(whole(design), WHOLE, width, _MARGIN)))
        else:
            pages[view] = page_of(design, view, figures, width)
            jobs.append((path, pages[view].picture))
    squares: dict[str, Path] = {}
    for item in shown(design):
        if item.name in parts:
            bodies, eye = by_itself(item)
            squares[item.name] = folder / f"{stem}-{slug(item.name)}-picture.png"
            jobs.append((squares[item.name], framed(bodies, eye, part_width, 2.0 * _MARGIN, square=True)))
    proofs = dict(zip((path for path, _ in jobs), write_pictures(jobs), strict=True))
    found = {view: Shown(path, pages.get(view), proofs[path]) for view, (path, _) in zip(views, jobs, strict=False)}
    return Pictures(found, squares, proofs)


def page_of(design: Design, view: str, figures: Mapping[str, Any], width: int) -> Page:
    """A view with the names of what it shows.

    Args:
        design: the design.
        view: `exploded` or `cutaway`.
        figures: its summary.
        width: across the picture [pixels].
    """
    lengths = Lengths(design.settings.units)
    if view == "cutaway":
        about = _HALF + (_CYLINDER if design.motors else "")
        words = _words(design, figures, "cutaway, not to scale", about)
        return in_place(cut_open(design), CUTAWAY, words, lengths, width)
    groups, gap = pulled_apart(design)
    words = _words(design, figures, "exploded view, not to scale", _ORDER)
    return on_lines(groups, gap, EXPLODED, words, lengths, width)


_ORDER = "Parts in their order along the axis, nose first; what is said below a name is its station from the nose tip."
_HALF = "The half towards you is taken away; what is cut through is darker."
_CYLINDER = " The motor is a plain cylinder of the stated size."


def _words(design: Design, figures: Mapping[str, Any], what: str, about: str) -> Words:
    known = [f"fingerprint {figures['fingerprint']}"]
    known += [f"{word} {figures[word]}" for word in ("revision", "date") if figures[word]]
    predicted = any(one.basis == PREDICTED for one in design.loadings)
    basis = "Predicted: masses and balance are not all measured." if predicted else "Balanced."
    lines = (
        ", ".join(known),
        about,
        f"{basis} {SHORT_CAUTION}",
        *((design.head.note,) if design.head.note else ()),
    )
    return Words(design.name, what, lines, tuple(f"CHECK FAILED: {name}" for name in failed_checks(figures)))


def make_pictures(design: Design, out: Path, view: str | None, parts: Sequence[str], width: int) -> Written:
    """Write pictures of a design.

    Args:
        design: the design.
        out: folder for the files.
        view: one of `VIEWS`, `parts`, or `all`; None for all, or with names of parts for none.
        parts: names of parts to show by themselves.
        width: across a view of the whole rocket [pixels]; the squares of parts are smaller in proportion.

    Raises:
        FerruleError: there is no such view or part, a width is out of range, or a file could not be made.
    """
    if not _NARROWEST <= width <= LARGEST:
        raise FerruleError(f"--width: {width} pixels must be at least {_NARROWEST} and at most {LARGEST}")
    views, names = _chosen(design, view, parts)
    figures = summary(design)
    failed = failed_checks(figures)
    states = picture_states(design, failed)
    with one_run(out, design.name) as folder:
        part_width = max(1, round(width * PART_WIDTH / WIDTH))
        found = draw(design, folder.workshop, views, names, figures, width, part_width)
        made = _listed(design, found, states, failed)
        folder.publish(made, None, states)
    return Written(tuple(one.file for one in made), tuple(folder.removed))


def picture_states(design: Design, failed: tuple[str, ...]) -> dict[tuple[str | None, str], str]:
    """The state in which each picture would be made now, by part (None for the whole design) and kind of file."""
    state = origin_of(design, failed).state
    found: dict[tuple[str | None, str], str] = {(None, _KIND): state, (None, _PAGE): state}
    for item in shown(design):
        if item.part is not None and not item.part.laid_at_the_bench:
            found[item.name, _KIND] = short(fingerprint([item.part.fingerprint(), item.part.material]))
    return found


def _chosen(design: Design, view: str | None, parts: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    known = part_names(design)
    for name in parts:
        if name not in known:
            raise FerruleError(f"--part: there is no part {name!r}{near(name, known)}; parts: {', '.join(known)}")
    if view is None:
        return ((), tuple(parts)) if parts else (VIEWS, known)
    if view not in (*VIEWS, PARTS, "all"):
        choice = (*VIEWS, PARTS, "all")
        raise FerruleError(f"--view: there is no view {view!r}{near(view, choice)}; views: {', '.join(choice)}")
    views = VIEWS if view == "all" else (view,) if view in VIEWS else ()
    return views, known if view in ("all", PARTS) else tuple(parts)


def _listed(
    design: Design, found: Pictures, states: Mapping[tuple[str | None, str], str], failed: tuple[str, ...]
) -> list[Made]:
    made: list[Made] = []
    for shot in found.views.values():
        origin = origin_of(design, failed)
        made.append(listed(shot.path, _KIND, origin, _proof(shot.proof)))
        if shot.page is not None:
            path, page = shot.path.with_suffix(".svg"), shot.page
            write_picture_svg(path, shot.path.read_bytes(), page.box, page.items, page.width, page.height, page.title)
            made.append(listed(path, _PAGE, origin, {"width_mm": page.width, "height_mm": page.height}))
    parts = {item.name: item.part for item in shown(design)}
    for name, path in found.parts.items():
        part = parts[name]
        if part is not None:
            origin = Origin(design.name, name, short(part.fingerprint()), states[name, _KIND])
            made.append(listed(path, _KIND, origin, _proof(found.proofs[path])))
    return made


def _proof(proof: PictureProof) -> Proof:
    return {"width": proof.width, "height": proof.height, "drawn_share": round(proof.drawn, 4)}
