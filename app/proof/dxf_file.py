"""DXF as text, without the library that wrote it: pairs of a group code and a value (its reference, from memory).

Entities that are read: LINE, ARC, CIRCLE, ELLIPSE, LWPOLYLINE, SPLINE and TEXT, flat in the plane; others on the layer
that is cut are a fault, for then nothing is known of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from .contours import (
    Loop,
    Run,
    arc,
    joined,
    loop,
    prove_contours,
    prove_fingerprint,
    prove_square,
    spline,
    straight,
    told,
)
from .findings import Findings, Listed, NotReadableError

__all__ = ["prove", "told"]

_MILLIMETRES = "4"
_LAYERS = ("CUT", "ENGRAVE", "REFERENCE")


@dataclass(frozen=True, slots=True)
class _Entity:
    """One entity: its kind, and its pairs in their order."""

    kind: str
    pairs: list[tuple[int, str]] = field(default_factory=list)

    def text(self, code: int, missing: str = "") -> str:
        """The first value of a group code."""
        return next((value for known, value in self.pairs if known == code), missing)

    def number(self, code: int, missing: float = math.nan) -> float:
        """The same as a number."""
        found = self.text(code)
        return float(found) if found else missing

    def point(self, code: int) -> complex:
        """The first point of a group code."""
        return complex(self.number(code), self.number(code + 10))

    def all(self, code: int) -> list[float]:
        """Every value of a group code."""
        return [float(value) for known, value in self.pairs if known == code]


def prove(data: bytes, listed: Listed, found: Findings) -> None:
    """Hold a file to be a drawing in millimetres whose contours to cut are closed and as listed.

    Raises:
        NotReadableError: it is not a whole DXF.
    """
    try:
        header, entities = _read(data.decode("utf-8"))
        cut, fault = _loops([one for one in entities if one.text(8) == "CUT"])
        seen, _ = _loops([one for one in entities if one.text(8) == "REFERENCE" and one.kind == "LWPOLYLINE"])
    except (ValueError, OverflowError) as error:
        raise NotReadableError(f"not a whole DXF: {error}") from None
    found.hold(header.get("$INSUNITS") == _MILLIMETRES, "it does not say that its unit is the millimetre")
    others = sorted({one.text(8)[:40] for one in entities} - set(_LAYERS))
    found.hold(not others, f"there is something on the layer {', '.join(others)}")
    if found.hold(not fault, fault):
        prove_contours(cut, listed, found)
    prove_square(seen, found)
    prove_fingerprint((one.text(1) for one in entities if one.kind == "TEXT"), listed, found)


def _read(text: str) -> tuple[dict[str, str], list[_Entity]]:
    """Variables of the header, and the entities.

    Raises:
        NotReadableError: it ends too soon, or is no DXF.
    """
    header: dict[str, str] = {}
    entities: list[_Entity] = []
    section, variable, last = "", "", ""
    for code, value in _pairs(text):
        if code == 0:
            last = value
            section = "" if value in ("SECTION", "ENDSEC") else section
            if section == "ENTITIES":
                entities.append(_Entity(value))
        elif code == 2 and last == "SECTION" and not section:
            section = value
        elif section == "HEADER" and code == 9:
            variable = value
        elif section == "HEADER" and variable:
            header.setdefault(variable, value.strip())
        elif section == "ENTITIES" and entities:
            entities[-1].pairs.append((code, value))
    if last != "EOF":
        raise NotReadableError("not a whole DXF: it ends too soon")
    return header, entities


def _pairs(text: str) -> Iterator[tuple[int, str]]:
    lines = iter(text.split("\n"))
    for code in lines:
        if not code.strip():
            return
        value = next(lines, None)
        if value is None:
            raise NotReadableError("not a whole DXF: it ends too soon")
        yield int(code), value.rstrip("\r")


def _loops(entities: list[_Entity]) -> tuple[list[Loop], str]:
    """The closed contours of entities, and what keeps others from closing."""
    loops: list[Loop] = []
    loose: list[Run] = []
    for one in entities:
        if one.number(230, 1.0) != 1.0:
            return [], "something to cut does not lie flat in the plane"
        if one.kind == "LWPOLYLINE":
            runs = _polyline(one)
            if int(one.number(70, 0.0)) & 1:
                loops.append(loop(runs))
            else:
                loose += runs
        elif one.kind == "CIRCLE":
            loops.append(loop([_arc(one, 0.0, math.tau)]))
        elif one.kind in _CURVES:
            loose.append(_CURVES[one.kind](one))
        else:
            return [], f"a {one.kind[:20]} is to be cut, of which nothing is known"
    more, fault = joined(loose)
    return [*loops, *more], fault


def _polyline(one: _Entity) -> list[Run]:
    corners: list[complex] = []
    bulges: list[float] = []
    for code, value in one.pairs:
        if code == 10:
            corners.append(complex(float(value), math.nan))
            bulges.append(0.0)
        elif code == 20 and corners:
            corners[-1] = complex(corners[-1].real, float(value))
        elif code == 42 and bulges:
            bulges[-1] = float(value)
    if len(corners) < 2:
        raise NotReadableError("a polyline has less than two corners")
    closed = int(one.number(70, 0.0)) & 1
    ends = [*corners[1:], corners[0]] if closed else corners[1:]
    return [_bulged(a, b, bulge) for a, b, bulge in zip(corners, ends, bulges, strict=False)]


def _bulged(start: complex, end: complex, bulge: float) -> Run:
    """A straight line, or an arc whose bulge is the tangent of a quarter of its sweep."""
    if not bulge:
        return straight(start, end)
    sweep = 4.0 * math.atan(bulge)
    # The centre lies on the chord's perpendicular bisector, to its left for a sweep below half a turn.
    centre = (start + end) / 2.0 + 1j * (end - start) * (1.0 - bulge * bulge) / (4.0 * bulge)
    return arc(centre, start - centre, 1j * (start - centre), 0.0, sweep)


def _arc(one: _Entity, start: float, sweep: float) -> Run:
    radius = one.number(40)
    return arc(one.point(10), complex(radius), complex(0.0, radius), start, sweep)


def _open_arc(one: _Entity) -> Run:
    first, last = one.number(50), one.number(51)
    return _arc(one, math.radians(first), math.radians((last - first) % 360.0))


def _ellipse(one: _Entity) -> Run:
    first, last = one.number(41, 0.0), one.number(42, math.tau)
    longer = one.point(11)
    sweep = (last - first) % math.tau or math.tau
    return arc(one.point(10), longer, 1j * longer * one.number(40), first, sweep)


def _spline(one: _Entity) -> Run:
    if any(weight != 1.0 for weight in one.all(41)):
        raise NotReadableError("a spline has weights")
    poles = [complex(x, y) for x, y in zip(one.all(10), one.all(20), strict=True)]
    return spline(int(one.number(71)), one.all(40), poles)


_CURVES = {
    "LINE": lambda one: straight(one.point(10), one.point(11)),
    "ARC": _open_arc,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
}
