"""Checks of a whole design: does it fit together, and does it fly straight as far as the figures can say."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..parts.fit import MeasuredTube
from ..parts.kinds import CenteringRing, Fin, NoseCone
from ..parts.tables import Clearance, clearances
from .limits import Check, Status, limits
from .mass import mass_properties
from .rocket import Item, Rocket
from .stability import NO_FINS, Stability

Fits = dict[str, tuple[MeasuredTube | None, MeasuredTube | None]]
"""For each item by name: the measured tube that it fits, and the one that it goes around."""


_MEETING = 0.5
"""How far the ends of two skins may be from each other along the axis and still meet [mm]."""


def checks(rocket: Rocket, found: Stability | None, fits: Fits) -> tuple[Check, ...]:
    """All checks of a design, in the order of the work: fit, then balance.

    Args:
        rocket: the parts in place.
        found: its stability, or None where there is nothing to find it for.
        fits: which tubes the items fit.
    """
    return (
        *(check for item in rocket.items for check in _fit_checks(item, *fits.get(item.name, (None, None)))),
        *_tabs_between_rings(rocket),
        *_along_the_body(rocket),
        *_masses(rocket),
        _margin(found),
        Check(
            "centre of gravity measured",
            "not-stated",
            None,
            "balance the finished rocket, loaded as it will fly",
            "common practice",
            "CG not measured: every figure here is predicted",
        ),
    )


def _fit_checks(item: Item, fits: MeasuredTube | None, around: MeasuredTube | None) -> Iterator[Check]:
    part, rows = item.part, clearances()
    if isinstance(part, NoseCone) and part.shoulder_diameter is not None and fits:
        play = fits.smallest_inside - part.shoulder_diameter
        yield _clearance(f"{item.name}: shoulder in {fits.name}", play, rows["shoulder-tape"])
        limit = limits()["shoulder_length"]
        ratio = part.shoulder_length / fits.mean_inside
        yield Check(
            f"{item.name}: shoulder length",
            limit.status(ratio),
            f"{ratio:.2f} tube diameters",
            limit.words(),
            limit.source,
        )
    if isinstance(part, NoseCone) and fits:
        step = fits.mean_outside - part.base_diameter
        yield _clearance(f"{item.name}: base on {fits.name}", step, rows["nose-base"])
    if isinstance(part, CenteringRing):
        if fits:
            play = fits.smallest_inside - part.outside_diameter
            yield _clearance(f"{item.name}: rim in {fits.name}", play, rows["ring-outside"])
        if around:
            play = part.inside_diameter - around.largest_outside
            yield _clearance(f"{item.name}: bore over {around.name}", play, rows["ring-bore"])
    if isinstance(part, Fin) and part.tab_depth and fits and around:
        gap = (fits.mean_outside - around.largest_outside) / 2.0 - part.tab_depth
        yield _clearance(f"{item.name}: tab to {around.name}", gap, rows["tab-depth"])


def _clearance(name: str, amount: float, row: Clearance) -> Check:
    status: Status = "fail" if amount < 0.0 and row.name != "nose-base" else "pass"
    if status == "pass" and not row.least - 1e-9 <= amount <= row.most + 1e-9:
        status = "warn"
    note = {
        "fail": "it cannot go in" if row.name != "tab-depth" else "the tab is longer than the way to the motor tube",
        "warn": "tight" if amount < row.least else "loose",
    }.get(status, "")
    return Check(
        name,
        status,
        f"{amount:.3g} mm" if abs(amount) < 0.005 else f"{amount:.2f} mm",
        f"{row.least:g} to {row.most:g} mm ({row.reason})",
        row.mark,
        note,
    )


def _tabs_between_rings(rocket: Rocket) -> Iterator[Check]:
    row = clearances()["tab-between-rings"]
    rings = [
        (station, station + item.part.thickness)
        for item in rocket.items
        if isinstance(item.part, CenteringRing)
        for station in item.stations
    ]
    for item in rocket.fins:
        if not isinstance(item.part, Fin) or not item.part.tab() or not rings:
            continue
        several = len(item.stations) > 1
        for station in item.stations:
            name = f"{item.name}{f' at {station:g} mm' if several else ''}: tab between rings"
            yield _tab_check(name, station + item.part.tab_position, item.part.tab_length, rings, row)


def _tab_check(name: str, first: float, length: float, rings: list[tuple[float, float]], row: Clearance) -> Check:
    last = first + length
    limit = f"{row.least:g} to {row.most:g} mm ({row.reason})"
    hit = [ring for ring in rings if ring[0] < last - 1e-9 and ring[1] > first + 1e-9]
    ahead = [ring[1] for ring in rings if ring[1] <= first + 1e-9]
    behind = [ring[0] for ring in rings if ring[0] >= last - 1e-9]
    if hit:
        note = f"the ring at {hit[0][0]:.2f} to {hit[0][1]:.2f} mm is where the tab is ({first:.2f} to {last:.2f} mm)"
        return Check(name, "fail", "overlap", limit, row.mark, note)
    if not ahead or not behind:
        return Check(
            name, "warn", None, limit, row.mark, f"no ring {'behind' if ahead else 'ahead of'} the tab is stated"
        )
    gap = min(behind) - max(ahead) - length
    status: Status = "pass" if row.least - 1e-6 <= gap <= row.most + 1e-6 else "warn"
    return Check(name, status, f"{gap:.2f} mm", limit, row.mark)


def _along_the_body(rocket: Rocket) -> Iterator[Check]:
    """Skins that do not meet, and fins that stand on nothing: a slip in a station moves the centre of pressure."""
    ends = [(item, *item.skin_range()) for item in rocket.body]
    for (ahead, _, end), (behind, start, _) in pairwise(ends):
        gap = start - end
        if abs(gap) > _MEETING:
            what = "a gap between them" if gap > 0.0 else "they overlap"
            yield Check(
                f"{ahead.name} to {behind.name}",
                "fail",
                f"{gap:.2f} mm",
                f"ends meet within {_MEETING:g} mm",
                "common practice",
                f"{what}: {ahead.name} ends at {end:.2f} mm and {behind.name} starts at {start:.2f} mm",
            )
    for item in rocket.fins:
        for station in item.stations:
            if ends and isinstance(item.part, Fin):
                root = station + item.part.root_chord
                if station < ends[0][1] - _MEETING or root > ends[-1][2] + _MEETING:
                    yield Check(
                        f"{item.name}: on the body",
                        "fail",
                        f"root from {station:.2f} to {root:.2f} mm",
                        f"the body from {ends[0][1]:.2f} to {ends[-1][2]:.2f} mm",
                        "common practice",
                        "the root of the fins reaches beyond the body",
                    )


def _masses(rocket: Rocket) -> Iterator[Check]:
    missing = [item.name for item in rocket.items if mass_properties(item) is None]
    for name in missing:
        yield Check(
            f"{name}: mass",
            "not-stated",
            None,
            "a mass, a material or a density for every part",
            "needed for the balance",
            f"weigh it and enter `mass`, or enter `material` for {name}",
        )


def _margin(found: Stability | None) -> Check:
    limit = limits()["static_margin"]
    # A body without fins is a design half written, not one that fails.
    if found is None or found.margin_calibres is None or NO_FINS in found.notes:
        return Check(
            "static margin",
            "not-stated",
            None,
            limit.words(),
            limit.source,
            "needs a body, fins and the mass of every item",
        )
    value = found.margin_calibres
    return Check("static margin", limit.status(value), f"{value:.2f} calibres", limit.words(), limit.source)
