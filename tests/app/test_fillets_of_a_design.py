"""Glue fillets that come with fins: masses of their own, no files, no clash with what they are laid on."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from ferrule.app.build_sheet import build_sheet
from ferrule.app.design import Design
from ferrule.app.design_file import parse
from ferrule.app.make_design import jobs_of
from ferrule.app.summary import summary
from ferrule.app.whole import make_whole, side_view
from ferrule.app.wrap_sheets import marked_tubes
from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import Fillet
from ferrule.parts.readers.integrals import moments
from ferrule.parts.sheets.sheet import Text, Trace

MARRAM = (Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml").read_text(encoding="utf-8")
FOLDER = Path(__file__).resolve().parents[2] / "examples" / "marram"
FIN = 'tab_position = "15 mm"'
FILLETS = 'fillet_radius = "8 mm"\ninner_fillet_radius = "5 mm"\n'
NAMES = ("fin fillets", "fin inner fillets", "fin motor tube fillets")


def design(lines: str = "", old: str = "", new: str = "") -> Design:
    text = MARRAM.replace(FIN, f"{lines}{FIN}", 1)
    assert old in text
    return parse(text.replace(old, new, 1) if old else text, folder=FOLDER)


@pytest.fixture(scope="module")
def filled() -> Design:
    return design(FILLETS)


def rows(found: Design) -> dict[str, dict[str, Any]]:
    return {item["name"]: item for item in summary(found)["items"]}


def test_they_are_items_of_their_own_where_the_fin_puts_them(filled: Design) -> None:
    """Root from 1020 to 1140 mm; the tab, and what lies along it, from 1035 to 1125 mm; four fins of two fillets."""
    items = {item.name: item for item in filled.rocket.items}
    assert [items[name].stations for name in NAMES] == [(1020.0,), (1035.0,), (1035.0,)]
    assert [items[name].skin_extent()[1] for name in NAMES] == [1140.0, 1125.0, 1125.0]
    assert {items[name].count for name in NAMES} == {4}
    outside, inside, motor = (items[name].radius * 2.0 for name in NAMES)
    assert outside == pytest.approx(filled.tubes["booster tube"].mean_outside)
    assert inside == pytest.approx(filled.tubes["booster tube"].mean_inside)
    assert motor == pytest.approx(filled.tubes["motor tube"].mean_outside)


def test_they_weigh_what_their_shape_does_and_shift_the_balance(filled: Design) -> None:
    found, plain = rows(filled), rows(design())
    for name in NAMES:
        part = next(item.part for item in filled.rocket.items if item.name == name)
        assert part is not None
        assert found[name]["mass_g"] == pytest.approx(4.0 * moments(part.shape()).volume * 1.15e-3, rel=1e-12)
        assert found[name]["mass_basis"] == "estimated"
        assert found[name]["cg_mm"][0] == pytest.approx(1080.0), "the middle of root and tab"
    # r8 between two planes is 16 g/m (common practice); on a tube that falls away from the fin it is less.
    assert found["fin fillets"]["mass_g"] == pytest.approx(8 * 0.12 * 16.0, rel=0.4)
    assert found["fin fillets"]["mass_g"] < 8 * 0.12 * 16.0
    assert found["fin"]["mass_g"] == plain["fin"]["mass_g"]
    more = sum(found[name]["mass_g"] for name in NAMES)
    with_them, without = filled.loadings[0].mass, design().loadings[0].mass
    assert with_them is not None
    assert without is not None
    assert with_them.mass - without.mass == pytest.approx(more, rel=1e-9)
    assert with_them.cg[0] > without.cg[0]


def test_a_weighed_fin_was_weighed_without_them() -> None:
    weighed = rows(design(f'{FILLETS}mass = "20 g"\n'))
    assert weighed["fin"]["mass_g"] == pytest.approx(80.0)
    assert weighed["fin fillets"]["mass_g"] == pytest.approx(rows(design(FILLETS))["fin fillets"]["mass_g"])


def test_no_file_is_made_of_them_and_no_machine_is_asked_for_room(filled: Design) -> None:
    assert not {job.name for job in jobs_of(filled)} & set(NAMES)
    assert not set(NAMES) & set(filled.made_on)
    assert not [check.name for check in filled.checks if "fillets" in check.name]


def test_they_clash_with_nothing_that_they_are_laid_on(filled: Design) -> None:
    assert [check.name for check in filled.checks if check.status == "fail"] == [
        check.name for check in design().checks if check.status == "fail"
    ]


def test_fillets_of_neighbours_that_run_into_each_other_do_clash() -> None:
    """Four fins stand 90 deg apart; of 4 mm on 68.4 mm, fillets of 100 mm reach asin(102 / 134.2) = 49.5 deg round."""
    found = design('fillet_radius = "100 mm"\n')
    clashes = [check.name for check in found.checks if check.status == "fail" and "same place" in check.name]
    assert any(name.startswith("two of fin fillets") for name in clashes)


def test_fillets_that_reach_over_the_tip_of_the_fin_fail() -> None:
    """R 34.2, r 40, half a thickness 2: sqrt(74.2^2 - 42^2) - 34.2 = 26.97 mm up a fin of 58, or of 20 mm."""
    low = design('fillet_radius = "40 mm"\n', 'semi_span = "58 mm"', 'semi_span = "20 mm"')
    (check,) = [one for one in low.checks if one.name == "fin fillets: on the fin"]
    assert (check.status, check.value) == ("fail", "26.97 mm up the fin")
    assert not [one for one in design('fillet_radius = "40 mm"\n').checks if one.name == "fin fillets: on the fin"]


def test_the_glue_that_is_allowed_for_is_told_apart(filled: Design) -> None:
    (note,) = [note for note in summary(filled)["body"]["notes"] if note.startswith("glue: ")]
    assert all(name in note for name in NAMES)
    assert not [note for note in summary(design())["body"]["notes"] if note.startswith("glue")]


def test_the_order_of_work_names_them_with_their_radius(filled: Design) -> None:
    text = build_sheet(filled, ())
    assert "radius 8 mm, about 10 g of glue" in text
    assert "radius 5 mm, about 9 g of glue" in text


def test_a_canted_fin_takes_its_fillets_and_its_slots_along() -> None:
    found = design(f'{FILLETS}cant = "1 deg"\n')
    owner = next(item for item in found.rocket.items if item.name == "fin")
    laid = next(item for item in found.rocket.items if item.name == "fin inner fillets")
    assert [one.turn for one in laid.placements()] == [one.turn for one in owner.placements()]
    (booster,) = [tube for tube in marked_tubes(found) if tube.slots]
    assert {round(slot.lean * booster.diameter / 2.0 / (slot.last - slot.first), 4) for slot in booster.slots} == {
        round(math.tan(math.radians(1.0)), 4)
    }
    assert found.fingerprint != design(FILLETS).fingerprint


def test_fillets_may_be_stated_where_no_fin_brings_them() -> None:
    stated = '[[part]]\nname = "strakes"\nkind = "fillet"\nfits = "booster tube"\ncount = 4\nstation = "900 mm"\n'
    sizes = 'radius = "3 mm"\nlength = "40 mm"\nfin_thickness = "2 mm"\n'
    text = MARRAM + "\n" + stated + sizes
    found = parse(text, folder=FOLDER)
    item = next(item for item in found.rocket.items if item.name == "strakes")
    assert isinstance(item.part, Fillet)
    assert item.radius * 2.0 == pytest.approx(item.part.surface_diameter)
    assert item.part.surface_diameter == pytest.approx(found.tubes["booster tube"].mean_outside)
    assert len(item.placements()) == 4
    with pytest.raises(DesignError, match="is laid at the bench, and made on no machine"):
        parse(text + 'made_on = "bench"\n', folder=FOLDER)


@pytest.mark.parametrize(("count", "message"), [(9, "count: must be at most 8"), (0, "count: must be at least 1")])
def test_a_set_has_one_to_eight_fins(count: int, message: str) -> None:
    with pytest.raises(DesignError, match=message):
        design("", "count = 4", f"count = {count}")
    assert len(design("", "count = 4", "count = 8").rocket.fin_sets[0].rolls) == 8


def test_only_what_stands_round_the_body_has_a_count() -> None:
    with pytest.raises(DesignError, match="counts the fins of a set"):
        design("", 'name = "fin ring"', 'name = "fin ring"\ncount = 3')


def test_the_side_view_shows_the_fins_and_not_the_glue_along_them(filled: Design) -> None:
    def lines(found: Design) -> tuple[int, set[str]]:
        items = side_view(found, summary(found), ()).items()
        return sum(isinstance(one, Trace) for one in items), {one.words for one in items if isinstance(one, Text)}

    (with_them, words), (without, _) = lines(filled), lines(design())
    assert with_them == without
    assert not [one for one in words if "fillets" in one]


def test_the_whole_rocket_has_them_as_solids(filled: Design, tmp_path: Path) -> None:
    """Four of each of three, two solids each, over those of the design without; one node for each copy."""
    (made,) = make_whole(filled, summary(filled), tmp_path, ("glb",), (), lambda _: None)
    (plain,) = make_whole(design(), summary(design()), tmp_path, ("glb",), (), lambda _: None)
    assert made.self_check["nodes"] == plain.self_check["nodes"] + 12
    assert made.self_check["volume_against_integral"] == pytest.approx(0.0, abs=0.01)
