"""What is engraved on a piece that is cut: which way is forward, what it is, and which state of it this is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..parts.lettering import has_letters
from ..parts.marks import Guide, Label, Mark
from ..parts.part import CutPiece
from ..parts.shape import Loop, Outline, backwards, edges, polygon
from ..parts.sheets.drawing import draw
from ..parts.sheets.settling import settle

if TYPE_CHECKING:
    from .job import Job

_LEAST = 0.5
"""Between letters and the edge of the piece, at least [mm]."""

_DISCS = ("centering-ring", "bulkhead", "motor-mount")


def engraved(job: Job, piece: CutPiece) -> tuple[Outline, ...]:
    """Letters on a piece, the most that there is room for: all of it, else the fingerprint, else none.

    A ring is drawn as it is seen from behind, so the face with the words looks aft.
    """
    return engraving(job, piece)[0]


def engraving(job: Job, piece: CutPiece) -> tuple[tuple[Outline, ...], bool]:
    """The letters on a piece, and whether they tell its name."""
    from ..parts.writers.engraving import fitted_on_disc, fitted_on_fin  # noqa: PLC0415  only for what is cut
    from ..parts.writers.on_part import off_part  # noqa: PLC0415

    is_disc = job.part.kind in _DISCS
    face = "AFT" if is_disc else "FWD <-"
    fingerprint = job.fingerprint[:9]
    revision = f"rev {job.revision}" if job.revision else ""
    full = " ".join(filter(None, (face, job.name, revision, fingerprint)))
    avoid = [loop for settled in settle(piece.outline, piece.marks, 0.0) for loop in _taken(settled.mark)]
    for words in (full, f"{face} {fingerprint}", fingerprint, face):
        if not has_letters(words):
            continue  # a name may hold letters that the type has not
        if is_disc:
            low, foot, high, head = piece.outline.box()
            rim = min(high - low, head - foot) / 2.0
            notched = [piece.outline.outer] if len(piece.outline.outer) > 1 else []
            found = fitted_on_disc(words, rim, _bore(piece.outline), [*notched, *piece.outline.holes, *avoid])
        else:
            found = fitted_on_fin(words, piece.outline, avoid)
        # A notch goes deeper than the rim that was looked at.
        if found is not None and off_part(piece.outline, found, _LEAST) is None:
            return found, words == full
    return (), False


def _taken(mark: Mark) -> Iterator[Loop]:
    """Where a line or the words of a mark lie."""
    if isinstance(mark, Guide):
        yield edges(mark.pieces)
    if isinstance(mark, Guide | Label):
        for text in draw(mark, 0.0).words:
            yield polygon(text.corners())


def _bore(outline: Outline) -> float:
    """Radius of the opening round the middle [mm]; 0 where there is none."""
    radii = []
    for hole in outline.holes:
        box = Outline(backwards(hole)).box()
        if box[0] < 0.0 < box[2] and box[1] < 0.0 < box[3]:
            radii.append(max(abs(value) for value in box))
    return max(radii, default=0.0)
