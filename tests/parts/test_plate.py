"""Parts on the bed of a printer: clear of each other and of the edges, in the middle, on as few plates as they need.

5 mm between parts and to the edges: common practice, room for a brim.
"""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.parts.errors import PartError
from ferrule.parts.plate import Bed, laid_out, plates

BED = Bed(220.0, 200.0, "tall")

FOOTPRINTS = st.lists(st.tuples(st.floats(5.0, 190.0), st.floats(5.0, 180.0)), min_size=1, max_size=9)


def check_clear(footprints: list[tuple[float, float]], places: tuple[tuple[float, float], ...], bed: Bed) -> None:
    edge = 5.0 if len(footprints) > 1 else 0.0
    for (wide, deep), (x, y) in zip(footprints, places, strict=True):
        assert x >= edge - 1e-6
        assert y >= edge - 1e-6
        assert x + wide <= bed.width - edge + 1e-6
        assert y + deep <= bed.depth - edge + 1e-6
    for one, other in itertools.combinations(range(len(footprints)), 2):
        apart = max(
            places[one][axis] - places[other][axis] - footprints[other][axis]
            if places[one][axis] > places[other][axis]
            else places[other][axis] - places[one][axis] - footprints[one][axis]
            for axis in (0, 1)
        )
        assert apart >= 5.0 - 1e-6


@given(FOOTPRINTS)
@settings(max_examples=60)
def test_every_part_lies_once_and_clear(footprints: list[tuple[float, float]]) -> None:
    found = plates(footprints, BED)
    assert sorted(itertools.chain(*found)) == list(range(len(footprints)))
    for plate in found:
        assert list(plate) == sorted(plate)
        here = [footprints[number] for number in plate]
        check_clear(here, laid_out(here, BED), BED)


def test_the_layout_is_in_the_middle_of_the_bed() -> None:
    places = laid_out([(60.0, 60.0)] * 5, BED)
    # Three and two: 60 + 5 + 60 + 5 + 60 = 190 of the 210 mm between the edges.
    assert places == (
        (15.0, 37.5),
        (80.0, 37.5),
        (145.0, 37.5),
        (47.5, 102.5),
        (112.5, 102.5),
    )


def test_deeper_parts_come_first_and_keep_their_numbers() -> None:
    """The deepest makes the front row, so that no row is deeper than it needs."""
    low, tall = laid_out([(100.0, 20.0), (150.0, 90.0)], BED)
    assert low == (60.0, 137.5)
    assert tall == (35.0, 42.5)


def test_exactly_full_rows_go_on() -> None:
    """Two of 102.5 mm with 5 mm between are the 210 mm that the edges leave of 220 mm."""
    assert len(plates([(102.5, 92.5)] * 4, BED)) == 1
    assert len(plates([(102.6, 92.5)] * 4, BED)) == 2


def test_a_part_alone_may_come_near_the_edge() -> None:
    assert laid_out([(220.0, 200.0)], BED) == ((0.0, 0.0),)
    assert plates([(220.0, 200.0), (10.0, 10.0), (214.0, 30.0)], BED) == ((0,), (1,), (2,))


def test_each_part_goes_on_the_first_plate_with_room() -> None:
    assert plates([(200.0, 120.0), (200.0, 120.0), (50.0, 50.0), (200.0, 60.0)], BED) == ((0, 2), (1, 3))


def test_a_bed_may_be_two_lengths() -> None:
    assert plates([(10.0, 10.0)] * 3, (220.0, 200.0)) == ((0, 1, 2),)


@pytest.mark.parametrize(
    ("footprint", "said"),
    [
        ((220.5, 20.0), r"^width: tall has 220 mm, and ring needs 220\.5 mm as it lies; a bed of at least 220\.5 mm"),
        ((20.0, 201.0), r"^depth: tall has 200 mm, and ring needs 201 mm as it lies"),
        ((math.nan, 20.0), "^width: of ring must be above 0 mm"),
        ((20.0, 0.0), "^depth: of ring must be above 0 mm"),
    ],
)
def test_a_part_that_no_plate_holds_is_refused(footprint: tuple[float, float], said: str) -> None:
    for sort in (plates, laid_out):
        with pytest.raises(PartError, match=said):
            sort([footprint], BED, ["ring"])


@given(st.lists(st.tuples(st.floats(40.0, 190.0), st.floats(40.0, 180.0)), min_size=2, max_size=6))
@settings(max_examples=30)
def test_parts_that_do_not_go_together_are_told_what_would_do(footprints: list[tuple[float, float]]) -> None:
    count = len(plates(footprints, BED))
    if count == 1:
        return
    with pytest.raises(PartError, match=rf"on {count} plates$") as caught:
        laid_out(footprints, BED)
    text = str(caught.value)
    side, need = text.partition(":")[0], text.partition("; ")[2].partition(" mm would do")[0]
    if need.isdigit():
        larger = Bed(float(need), BED.depth) if side == "width" else Bed(BED.width, float(need))
        check_clear(footprints, laid_out(footprints, larger), larger)
    else:
        assert side == "width, depth"


@pytest.mark.parametrize(
    ("width", "depth", "field"), [(0.0, 200.0, "width"), (200.0, -1.0, "depth"), (math.inf, 1.0, "width")]
)
def test_a_bed_has_a_size(width: float, depth: float, field: str) -> None:
    with pytest.raises(PartError, match=f"^{field}: of bench must be above 0 mm"):
        Bed(width, depth, "bench")
