"""Skins must meet and fins must stand on the body: a slip in a station would move the centre of pressure unseen."""

from __future__ import annotations

import pytest

from ferrule.analysis.checks import checks
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.kinds import CenteringRing, Fin, NoseCone, Tube

NOSE = NoseCone.build(profile="cone", tip="sharp", length="200 mm", base_diameter="66 mm", material="petg")
TUBE = Tube.build(outside_diameter="66 mm", inside_diameter="64 mm", length="700 mm", material="kraft-tube")
RING = CenteringRing.build(outside_diameter="63.8 mm", inside_diameter="30 mm", thickness="6 mm", material="balsa")
FIN = Fin.build(
    root_chord="120 mm",
    tip_chord="60 mm",
    semi_span="70 mm",
    sweep_length="50 mm",
    thickness="3 mm",
    tab_length="90 mm",
    tab_depth="10 mm",
    tab_position="15 mm",
    material="balsa",
)


def statuses(*items: Item) -> dict[str, tuple[str, str]]:
    return {one.name: (one.status, one.note) for one in checks(Rocket("test", items))}


def rocket(tube: float = 200.0, fins: tuple[float, ...] = (780.0,), rings: tuple[float, ...] = ()) -> tuple[Item, ...]:
    items = (Item("nose", (0.0,), NOSE), Item("tube", (tube,), TUBE), Item("fins", fins, FIN, 3, 33.0))
    return (*items, Item("rings", rings, RING)) if rings else items


def test_a_body_that_meets_raises_nothing() -> None:
    found = statuses(*rocket())
    assert "nose to tube" not in found
    assert "fins: on the body" not in found


@pytest.mark.parametrize(("tube", "word"), [(500.0, "a gap between them"), (100.0, "they overlap")])
def test_a_gap_or_an_overlap_along_the_body_fails(tube: float, word: str) -> None:
    status, note = statuses(*rocket(tube=tube))["nose to tube"]
    assert status == "fail"
    assert word in note
    assert "nose ends at 200.00 mm" in note


def test_fins_beyond_the_body_fail() -> None:
    assert statuses(*rocket(fins=(2000.0,)))["fins: on the body"][0] == "fail"


def test_every_set_of_fins_is_held_to_the_rings() -> None:
    found = statuses(*rocket(fins=(300.0, 780.0), rings=(788.65, 850.0)))
    assert found["fins at 300 mm: tab between rings"] == ("warn", "no ring ahead of the tab is stated")
    assert found["fins at 780 mm: tab between rings"][0] == "fail"


def test_a_tab_with_a_ring_on_one_side_only_says_so() -> None:
    found = statuses(*rocket(rings=(788.65,)))
    assert found["fins: tab between rings"] == ("warn", "no ring behind the tab is stated")
