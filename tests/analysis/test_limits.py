"""The rule profiles: each says where it comes from, and changes the check of the margin and nothing else."""

from __future__ import annotations

import re

import pytest
from rocket_samples import rocket

from ferrule.analysis.checks import checks
from ferrule.analysis.limits import COMMON, Check, limits, profile_names, rule_profile
from ferrule.analysis.loading import loadings
from ferrule.analysis.motor import Motor
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.errors import PartError

MARGIN = {"static_margin", "static_margin_percent"}


def test_the_profiles_that_there_are() -> None:
    assert profile_names() == ("common-practice", "long-body", "one-calibre", "two-calibres")


@pytest.mark.parametrize("name", profile_names())
def test_every_profile_has_its_date_its_sources_and_is_no_law(name: str) -> None:
    profile = rule_profile(name)
    assert re.fullmatch(r"20\d\d-\d\d-\d\d", profile.date)
    assert profile.note.startswith("not law; the range safety officer and the association's code decide")
    for limit in profile.limits.values():
        assert re.search(r"common practice|looked up|from memory", limit.source)
    assert profile.limits["static_margin"].fail_below is not None, "no profile lets an unstable rocket pass"


@pytest.mark.parametrize("name", [name for name in profile_names() if name != COMMON])
def test_a_profile_says_only_what_the_margin_is_held_to(name: str) -> None:
    """All else is read without it, so that a limit of its own for anything else would be left out without a word."""
    assert set(rule_profile(name).limits) <= MARGIN
    assert {key: limit for key, limit in limits(name).items() if key not in MARGIN} == {
        key: limit for key, limit in limits().items() if key not in MARGIN
    }


def flown(payload: float, profile: str) -> dict[str, Check]:
    made = rocket(4)
    made = Rocket("flown", (*made.items[:3], Item("payload", (payload,), stated_mass=500.0)))
    motor = Motor("M", 29.0, 200.0, 180.0, 95.0, 905.0)
    found = checks(made, loadings(made, (motor,)), rules=limits(profile))
    return {check.name: check for check in found if check.name.startswith("static margin")}


@pytest.mark.parametrize(
    ("profile", "margin", "status"),
    [
        ("common-practice", 0.99, "fail"),
        ("common-practice", 1.25, "warn"),
        ("common-practice", 1.75, "pass"),
        ("common-practice", 3.1, "warn"),
        ("one-calibre", 0.99, "fail"),
        ("one-calibre", 1.01, "pass"),
        ("one-calibre", 3.1, "warn"),
        ("two-calibres", 0.99, "fail"),
        ("two-calibres", 1.75, "warn"),
        ("two-calibres", 2.01, "pass"),
        ("long-body", 0.99, "fail"),
        ("long-body", 3.1, "pass"),
    ],
)
def test_the_margin_by_each_profile(profile: str, margin: float, status: str) -> None:
    """The rules as they are known in the trade: at least 1, at least 2 or a proven design, 1.5 to 2 wanted."""
    assert limits(profile)["static_margin"].status(margin) == status


def test_the_check_is_by_the_profile_that_is_chosen() -> None:
    """Margins at liftoff of the same rocket with its payload moved aft: from above 2 calibres down to below 1."""
    name = "static margin, M at liftoff"
    seen = {
        profile: [flown(place, profile)[name].status for place in (230.0, 300.0, 600.0)] for profile in profile_names()
    }
    values = [flown(place, COMMON)[name].value for place in (230.0, 300.0, 600.0)]
    margins = [float(str(value).split()[0]) for value in values]
    assert margins == sorted(margins, reverse=True)
    for profile, found in seen.items():
        assert found == [limits(profile)["static_margin"].status(margin) for margin in margins]


def test_a_long_body_is_held_to_its_length_as_well() -> None:
    found = flown(300.0, "long-body")
    check = found["static margin, M at liftoff, by length"]
    assert check.value is not None
    assert check.value.endswith("% of length")
    assert check.limit == "warns below 8, warns above 15 % of length"
    assert not any(name.endswith("by length") for name in flown(300.0, COMMON))


def test_an_unknown_profile_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(PartError, match=r"'two-calibre' is none of .*; did you mean 'two-calibres'"):
        rule_profile("two-calibre")
