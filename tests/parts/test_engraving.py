"""Words that are fitted onto rings, discs and fins: clear of everything, as large as may be, or not there at all.

Source: shapely, for distances and for what lies on what.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

from ferrule.parts.curve import Line
from ferrule.parts.errors import PartError
from ferrule.parts.kinds.centering_ring import CenteringRing
from ferrule.parts.kinds.fin import Fin
from ferrule.parts.lettering import letters, width
from ferrule.parts.marks import Guide
from ferrule.parts.shape import Loop, Outline, circle, edges, hole, polygon, signed_area
from ferrule.parts.writers.engraving import LEAST_HEIGHT, MARGIN, fitted_on_disc, fitted_on_fin
from ferrule.parts.writers.on_part import off_part

WORDS = "FWD RING A R2 3f9c-71d0"


def region(outline: Outline, number: int = 129) -> Polygon:
    t = np.linspace(0.0, 1.0, number)[:-1]
    loops = [
        np.vstack([edge.piece.at(t[:1] if isinstance(edge.piece, Line) else t) for edge in loop])
        for loop in outline.loops
    ]
    return Polygon(loops[0], loops[1:])


def text(found: tuple[Outline, ...] | None) -> Any:
    assert found is not None
    return unary_union([region(letter, 33) for letter in found])


def height(found: tuple[Outline, ...] | None, words: str) -> float:
    """Of the capitals [mm], by the area that letters of 1 mm would have."""
    assert found is not None
    ours, unit = (
        sum(signed_area(loop) for letter in some for loop in letter.loops) for some in (found, letters(words, 1.0))
    )
    return math.sqrt(ours / unit)


def clear(found: tuple[Outline, ...] | None, part: Outline, lines: tuple[Loop, ...] = ()) -> None:
    """All on the material and 1.5 mm from every edge and line, less what the chords here leave out."""
    shape, letters_there = region(part, 1025), text(found)
    assert shape.contains(letters_there)
    assert shape.boundary.distance(letters_there) >= MARGIN - 1e-3
    for loop in lines:
        ends = [edge.piece.start for edge in loop] + [loop[-1].piece.end]
        assert LineString(ends).distance(letters_there) >= MARGIN - 1e-3


def guides(piece: Any) -> tuple[Loop, ...]:
    return tuple(edges(mark.pieces) for mark in piece.marks if isinstance(mark, Guide))


def test_words_on_a_ring_are_clear_of_its_edges_holes_and_lines() -> None:
    (piece,) = CenteringRing.build(**CenteringRing.example).cut_pieces()
    ring, lines = piece.outline, guides(piece)
    found = fitted_on_disc(WORDS, 65.7 / 2.0, 31.2 / 2.0, (*ring.holes[1:], *lines))
    clear(found, ring, lines)
    assert height(found, WORDS) == pytest.approx(4.5)
    # The next size, 5 mm, is longer than half a turn at its narrowest, 2.5 mm inside the middle of the web.
    assert width(WORDS, 5.0) > math.pi * ((65.7 + 31.2) / 4.0 - 2.5)
    assert len(found or ()) == len(letters(WORDS, 3.0))


def test_a_free_ring_carries_upright_words_at_its_top() -> None:
    found = fitted_on_disc("HOOH", 35.0, 20.0)
    box = text(found).bounds
    assert box[0] == pytest.approx(-box[2], abs=0.05)
    assert box[1] > 20.0
    assert height(found, "HOOH") == pytest.approx(6.0)


def test_a_hole_at_the_top_sends_them_to_the_foot() -> None:
    holes = (hole(3.0, (0.0, 27.5)),)
    found = fitted_on_disc("FORWARD", 35.0, 20.0, holes)
    assert text(found).bounds[3] < -15.0
    clear(found, Outline(circle(35.0), (hole(20.0), *holes)))


def test_a_plain_disc_has_room_too() -> None:
    found = fitted_on_disc("BULKHEAD 2", 30.0, 0.0, (hole(3.0),))
    clear(found, Outline(circle(30.0), (hole(3.0),)))


@pytest.mark.parametrize(
    ("rim", "bore", "avoid"),
    [
        (20.0, 15.0, ()),
        (20.0, 13.95, ()),
        (8.0, 0.0, ()),
        (33.0, 20.0, tuple(hole(2.5, (26.5 * math.cos(a), 26.5 * math.sin(a))) for a in np.arange(0.0, 6.2, 0.52))),
    ],
)
def test_where_there_is_no_room_there_are_no_words(rim: float, bore: float, avoid: tuple[Loop, ...]) -> None:
    """The second web is 6.05 mm: 3 mm letters and twice 1.5 mm go into it straight, but not round."""
    assert fitted_on_disc(WORDS, rim, bore, avoid) is None


def test_words_without_letters_are_none() -> None:
    assert fitted_on_disc("  ", 35.0, 20.0) is None
    assert fitted_on_fin("", Outline(polygon(((0.0, 0.0), (80.0, 0.0), (40.0, 60.0))))) is None


def test_a_letter_that_is_not_there_is_refused() -> None:
    with pytest.raises(PartError, match="does not have"):
        fitted_on_disc("Ω", 35.0, 20.0)
    with pytest.raises(PartError, match="does not have"):
        fitted_on_fin("Ω", Outline(polygon(((0.0, 0.0), (80.0, 0.0), (40.0, 60.0)))))


@settings(max_examples=25)
@given(
    rim=st.floats(15.0, 60.0),
    share=st.floats(0.0, 0.8),
    angles=st.lists(st.floats(0.0, 6.28), max_size=4),
    words=st.sampled_from(["FWD", WORDS, "Åg 8%"]),
)
def test_whatever_is_found_on_a_disc_is_clear(rim: float, share: float, angles: list[float], words: str) -> None:
    bore = rim * share
    middle = (bore + rim) / 2.0
    holes = tuple(hole(2.0, (middle * math.cos(a), middle * math.sin(a))) for a in angles)
    found = fitted_on_disc(words, rim, bore, holes)
    if found is not None:
        free = region(Outline(circle(rim)), 1025)
        for loop in (*((hole(bore),) if bore else ()), *holes):
            free = free.difference(region(Outline(circle_of(loop)), 1025))
        assert free.contains(text(found))
        assert free.boundary.distance(text(found)) >= MARGIN - 1e-3
        assert height(found, words) >= LEAST_HEIGHT - 1e-9


def circle_of(loop: Loop) -> Loop:
    """A hole as a disc."""
    arc: Any = loop[0].piece
    return circle(arc.radius, arc.centre)


def test_words_on_a_fin_are_clear_and_run_along_the_root() -> None:
    (piece,) = Fin.build(**Fin.example).cut_pieces()
    lines = guides(piece)
    found = fitted_on_fin("FIN 1 R2 3f9c", piece.outline, lines)
    clear(found, piece.outline, lines)
    left, low, right, high = text(found).bounds
    assert right - left > 5.0 * (high - low)
    assert height(found, "FIN 1 R2 3f9c") == pytest.approx(6.0)


def test_words_on_a_narrow_high_piece_run_upwards() -> None:
    piece = Outline(polygon(((0.0, 0.0), (9.0, 0.0), (9.0, 70.0), (0.0, 70.0))))
    found = fitted_on_fin("FIN 1 R2 3f9c", piece)
    clear(found, piece)
    left, low, right, high = text(found).bounds
    assert high - low > 5.0 * (right - left)
    assert fitted_on_fin("FIN 1 R2 3f9c", Outline(polygon(((0.0, 0.0), (5.0, 0.0), (5.0, 70.0), (0.0, 70.0))))) is None


def test_words_stay_out_of_the_notch_of_a_piece() -> None:
    """The middle of the box of an L lies off the piece."""
    piece = Outline(
        polygon(((0.0, 0.0), (80.0, 0.0), (80.0, 12.0), (12.0, 12.0), (12.0, 80.0), (0.0, 80.0))),
    )
    clear(fitted_on_fin("NOTCH 2", piece), piece)


# What is on a part


@pytest.mark.parametrize(
    ("dx", "dy", "on_it"),
    [(0.0, 0.0, True), (-8.0, 0.0, False), (40.0, 0.0, False), (12.0, 4.0, False), (0.0, 30.0, False)],
)
def test_a_letter_lies_on_a_part_or_not(dx: float, dy: float, on_it: bool) -> None:
    """Wholly on it, across its rim, beside it, with a hole between its corners, and beyond it."""
    part = Outline(polygon(((-5.0, -5.0), (35.0, -5.0), (35.0, 20.0), (-5.0, 20.0))), (hole(1.0, (16.0, 9.0)),))
    (letter,) = (shape.placed(dx, dy) for shape in letters("H", 10.0))
    assert region(part).contains(region(letter)) == on_it
    assert (off_part(part, (letter,)) is None) == on_it


def test_a_slot_that_passes_between_the_corners_of_a_letter_is_seen() -> None:
    loop = polygon(((-1.0, 4.0), (-1.0, 4.2), (9.0, 4.2), (9.0, 4.0)))
    part = Outline(polygon(((-5.0, -5.0), (35.0, -5.0), (35.0, 20.0), (-5.0, 20.0))), (loop,))
    (letter,) = letters("I", 10.0)
    assert off_part(part, (letter,)) is letter


def test_a_letter_round_a_hole_is_clear_of_it_by_the_margin() -> None:
    part = Outline(circle(40.0), (hole(1.0, (0.0, 0.0)),))
    (letter,) = letters("O", 10.0)
    left, low, right, high = letter.box()
    letter = letter.placed(-(left + right) / 2.0, -(low + high) / 2.0)
    assert off_part(part, (letter,), 1.5) is None
    assert off_part(part, (letter,), 2.9) is letter
