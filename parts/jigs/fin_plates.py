"""Two plates that hold the fins of a rocket in line while the glue sets: a hole for the tube, a slot for each fin.

Seen from behind, the rail line down: the plates stand on the table on the edge below it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from ..curve import Arc, Line, Point
from ..errors import PartError
from ..fin_set import FinSet, rolls_of
from ..marks import CentreMark, Diameter, Dimension, Guide, Label, Mark, Pen
from ..shape import Edge, Loop, Outline, Role, backwards, polygon
from .jig import Inscription, Jig, TubeInHand, flat_print, length, sheeted, upright, writable

SLOT_OVER_FIN = 0.25
"""How much wider a slot is than what goes through it [mm]: 0.2 to 0.3 (common practice)."""

SLOT_OVER_SPAN = 3.0
"""How far a slot goes on past the fin [mm] (common practice)."""

WEB = 15.0
"""Least width of the plate beyond the end of a slot [mm] (common practice)."""

RELIEF = 20.0
"""Diameter of the cut-out round a root, where no glue reaches the plate [mm] (common practice)."""

OVER_FILLETS = 2.0
"""How much wider a cut-out is than a fin with fillets beyond that, on the diameter [mm] (common practice)."""

PLACES = (("forward", 0.2), ("aft", 0.8))
"""The plates, and where along the root their middles stand [-]."""

FEWEST, MOST = 3, 8

_SEAT = 5.0
"""Least length of the hole's edge between two cut-outs [mm]."""
_SEAT_SHARE = 0.4
"""Least share of the hole's edge that bears on the tube [-]."""
_BETWEEN = 4.0
"""Least web between two cut-outs [mm]."""
_BESIDE = 2.0
"""How far a cut-out reaches beside the slot at least [mm]."""
_NOTCH = (1.2, 2.5)
"""Half the width and the depth of the notch at the rail line [mm]."""
_APART = 10.0
_MARGIN = 3.0
_HEIGHTS = (6.0, 5.0, 4.0, 3.5, 3.0, 2.5)
_NUMBERS = 5.0
_SAMPLES = 257
_STEP = 0.5
"""From one place that is tried for words to the next [mm]."""


def height_within(planform: Outline, first: float, last: float) -> float:
    """How far a fin stands out from the tube between two places along its root [mm]; 0 where there is none of it.

    Args:
        planform: the fin outside the tube, as in `FinSet`.
        first: forward one of the places, from the root leading edge [mm].
        last: aft one [mm].
    """
    best = 0.0
    for edge in planform.outer:
        points = edge.piece.at(np.linspace(0.0, 1.0, 2 if isinstance(edge.piece, Line) else _SAMPLES))
        for (x0, y0), (x1, y1) in zip(points[:-1].tolist(), points[1:].tolist(), strict=True):
            low, high = max(min(x0, x1), first), min(max(x0, x1), last)
            if low > high:
                continue
            if x0 == x1:
                best = max(best, y0, y1)
            else:
                best = max(best, *(y0 + (y1 - y0) * (x - x0) / (x1 - x0) for x in (low, high)))
    return best


def outer_box(fins: FinSet, count: int, tube: TubeInHand, thickness: float) -> tuple[float, float, float, float]:
    """Left, low, right and high edge of both plates about the tube's axis [mm], in whole mm.

    All four sides are feet: beyond each is room for every fin, so that fins clear the table on any of them.
    """
    reach = tube.outside / 2.0 + fins.semi_span + SLOT_OVER_SPAN
    half = slot_width(fins, tube, thickness) / 2.0 + max(abs(_shift(fins, place)) for _, place in PLACES)
    points = [_turned((reach, side), _angle(roll)) for roll in rolls_of(count) for side in (-half, half)]
    least = tube.hole / 2.0
    xs, ys = [abs(x) for x, _ in points], [y for _, y in points]
    wide = math.ceil(max(least, *xs) + WEB - 1e-6)
    return -wide, -math.ceil(max(least, -min(ys)) + WEB - 1e-6), wide, math.ceil(max(least, *ys) + WEB - 1e-6)


def slot_width(fins: FinSet, tube: TubeInHand, thickness: float) -> float:
    """Width of the slots [mm], the same in both plates, so that fins pushed to one side of both are in line.

    A canted fin is wider across the tube and crosses a plate aslant. A plate turns as it slides along it, by an angle,
    where the fin moves aside by a length: at the root and at the tip the slot is then off by half of what is left.
    """
    tilt = abs(fins.cant)
    ways = [_way(fins, word, place, thickness) for word, place in PLACES] if tilt else []
    off = max((math.tan(tilt) * long * high / (tube.outside + high) for high, long in ways), default=0.0)
    return fins.thickness / math.cos(tilt) + thickness * math.tan(tilt) + 2.0 * off + SLOT_OVER_FIN


def _way(fins: FinSet, word: str, place: float, thickness: float) -> tuple[float, float]:
    """How far fins stand out where a plate passes them on its way from its end of the tube, and how long that is [mm].

    Args:
        fins: one fin, and how it stands.
        word: `forward` for the plate that comes from the forward end, `aft` for the other.
        place: where along the root the plate's middle stands [-].
        thickness: thickness of the plate [mm].
    """
    tilt, middle = abs(fins.cant), fins.root_chord / 2.0
    half = (thickness / 2.0 + fins.thickness / 2.0 * math.sin(tilt)) / math.cos(tilt)
    at = middle + (place * fins.root_chord - middle) / math.cos(tilt)
    first, _, last, _ = fins.planform.box()
    if word == "forward":
        return height_within(fins.planform, -math.inf, at + half), at + half - first
    return height_within(fins.planform, at - half, math.inf), last - at + half


def fin_plates(
    name: str,
    of: str,
    fins: FinSet,
    count: int,
    tube: TubeInHand,
    thickness: float,
    words: tuple[str, str],
    foot: float = 0.0,
) -> Jig:
    """The plates for one set of fins.

    Args:
        name: what files call them.
        of: what the design calls the fins.
        fins: one fin, and how it stands.
        count: fins round the tube [-], 3 to 8.
        tube: the tube that they stand on.
        thickness: thickness of the plates [mm].
        words: what is written on each plate beside its own name: the design and the fingerprint.
        foot: least height of the tube's axis over the foot [mm], where other fins on the tube ask for more.

    Raises:
        PartError: the count or the thickness is out of range, the root is too short for two plates, or the slots leave
            too little between them at the hole.
    """
    if not FEWEST <= count <= MOST:
        raise PartError(f"count: plates hold {FEWEST} to {MOST} fins, and there are {count}")
    if not 0.0 < thickness <= 12.0:
        raise PartError(f"thickness: plates are of a sheet above 0 and at most 12 mm thick, got {thickness:g} mm")
    between = (PLACES[1][1] - PLACES[0][1]) * fins.root_chord - thickness
    if between < _APART:
        need = (_APART + thickness) / (PLACES[1][1] - PLACES[0][1])
        raise PartError(
            f"root_chord: {fins.root_chord:g} mm leaves {max(between, 0.0):.3g} mm between two plates of {thickness:g} "
            f"mm; they are at least {_APART:g} mm apart, which a root of {need:.3g} mm has"
        )
    relief = _relief(fins, count, tube, thickness)
    left, low, right, high = outer_box(fins, count, tube, thickness)
    box = (left, min(low, -foot), right, high)
    plates = tuple(_Plate(word, place, fins, count, tube, thickness, relief, box) for word, place in PLACES)
    cut, printed = [], []
    for plate in plates:
        outline, lines = plate.outline(), plate.words(words)
        cut.append(sheeted(f"{plate.word} plate", outline, plate.marks(), lines, thickness))
        printed.append(flat_print(f"{plate.word} plate", outline, lines, thickness))
    return Jig(
        name,
        f"alignment plates for the {count} fins `{of}`",
        f"Cut both plates from flat sheet of {thickness:g} mm as measured, or print them flat, words up, no support. "
        "Keep the edges of the hole and of the slots square, and mark the face with the words: it looks aft. The foot "
        "is the straight edge under the rail-line notch; the opposite and both other edges are parallel or square to "
        "it.",
        f"Dry first, then with glue: set the fins into the tube, slide the forward plate on from the tube's forward "
        f"end and the aft plate from behind, words looking aft, notches on the rail line, fin 1 in the slot F1. "
        f"The middle of the forward plate stands {plates[0].station:.1f} mm and that of the aft one "
        f"{plates[1].station:.1f} mm behind the root leading edge. Stand both on a flat table on the edge under the "
        f"rail-line notch: the tube lies level, its axis {-box[1]:g} mm over the table, where the stand holds its "
        f"forward part. Push every fin against the same side of both its slots and let the glue set. Keep fillets for "
        f"afterwards: the cut-outs leave {relief:.3g} mm round each root, and glue in a slot makes the plate a part of "
        f"the rocket. Take both off the way they came; rail buttons go on after that.",
        "Before glue sight along each fin from behind; it must show its edge alone"
        + (f", turned by the cant of {math.degrees(fins.cant):g}°." if fins.cant else ".")
        + " Fins that are all turned the same way spin the rocket.",
        tuple(_sizes(plates, relief)),
        tuple(printed),
        tuple(cut),
        words[-1],
    )


def _sizes(plates: tuple[_Plate, ...], relief: float) -> Iterator[tuple[str, str]]:
    one = plates[0]
    fins, tube = one.fins, one.tube
    yield "hole", tube.hole_words()
    canted = ""
    if fins.cant:
        canted = (
            f", of which {one.slot - fins.thickness - SLOT_OVER_FIN:.2f} mm because a fin canted by "
            f"{math.degrees(fins.cant):g}° crosses the plate aslant, and the plate turns as it slides past it"
        )
    yield (
        "slot width",
        (f"{one.slot:.2f} mm: the fin, {fins.thickness:.2f} mm, and {one.slot - fins.thickness:.2f} mm{canted}"),
    )
    for plate in plates:
        from_where = "the tube's forward end" if plate.word == "forward" else "behind"
        yield (
            f"slot length, {plate.word} plate",
            (
                f"ends {plate.end:.1f} mm from the axis: the tube's radius, {tube.outside / 2.0:.2f} mm, the "
                f"{plate.height:.1f} mm of fin that the plate passes as it comes from {from_where}, and "
                f"{SLOT_OVER_SPAN:g} mm"
            ),
        )
        if fins.cant:
            yield (
                f"slot shift, {plate.word} plate",
                (
                    f"{abs(plate.shift):.2f} mm towards {'greater' if plate.shift > 0.0 else 'smaller'} roll: "
                    f"tan({math.degrees(fins.cant):g}°) x {abs(plate.station - fins.root_chord / 2.0):.1f} mm from mid "
                    "root"
                ),
            )
    wanted = _wanted(fins)
    why = " (more than the fin with its fillets)" if wanted > RELIEF else ""
    if relief < wanted - 1e-9:
        why = f" ({wanted:.4g} mm would leave too little of the hole's edge"
        why += "; fillets only after the plates are off)" if wanted > RELIEF else ")"
    yield "cut-out round each root", f"{relief:.1f} mm across{why}"
    left, low, right, high = one.box
    yield (
        "outside of both plates",
        (
            f"{right - left:g} x {high - low:g} mm; axis {-low:g} mm over the foot, at least {WEB:g} mm of plate "
            "beyond every slot"
        ),
    )


# --- geometry ---------------------------------------------------------------------------------------------------------


def _angle(roll: float) -> float:
    """Direction of a roll on the plate [rad], anticlockwise from +x: the rail line is down, rolls run clockwise."""
    return -math.pi / 2.0 - roll


def _turned(point: Point, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return (point[0] * c - point[1] * s, point[0] * s + point[1] * c)


def _shift(fins: FinSet, place: float) -> float:
    """How far the fins lie towards greater roll at a place along the root [mm]: leading edges there if canted so."""
    return math.tan(fins.cant) * (0.5 - place) * fins.root_chord


def _widest_relief(count: int, hole: float) -> float:
    """Diameter of the largest cut-outs that leave the hole an edge and a web between them [mm]."""
    pitch = math.tau / count
    half_seat = (pitch - max(_SEAT / hole, _SEAT_SHARE * pitch)) / 2.0
    return 2.0 * min(
        2.0 * hole * math.sin(max(half_seat, 0.0) / 2.0), hole * math.sin(math.pi / count) - _BETWEEN / 2.0
    )


def _relief(fins: FinSet, count: int, tube: TubeInHand, thickness: float) -> float:
    """Diameter of the cut-out round each root [mm].

    Raises:
        PartError: slots leave too little between them, or fins lie too far off the tube's middle.
    """
    hole, wide = tube.hole / 2.0, slot_width(fins, tube, thickness)
    shift = max(abs(_shift(fins, place)) for _, place in PLACES)
    if shift > hole / 3.0:
        raise PartError(
            f"cant: {math.degrees(fins.cant):g} deg carries the slots {shift:.3g} mm off the middle of a tube of "
            f"{tube.outside:g} mm; plates allow a third of its radius"
        )
    least = wide + 2.0 * _BESIDE
    widest = _widest_relief(count, hole)
    if widest < least:
        left = 2.0 * hole * math.sin(math.pi / count) - wide
        more = wide - fins.thickness
        thinner = widest - 2.0 * _BESIDE - more
        counts = [n for n in range(FEWEST, count) if _widest_relief(n, hole) >= least]
        would = [f"{counts[-1]} fins of this thickness"] if counts else []
        would += [f"{count} fins of at most {math.floor(thinner * 10.0) / 10.0:g} mm"] if thinner >= 1.0 else []
        # Web and edge grow with the radius, so a few halvings find the tube that is wide enough.
        low, high = hole, 50.0 * hole
        for _ in range(60):
            middle = (low + high) / 2.0
            low, high = (low, middle) if _widest_relief(count, middle) >= least else (middle, high)
        would.append(f"a tube of {math.ceil(2.0 * high - (tube.hole - tube.outside)):g} mm")
        raise PartError(
            f"thickness: {count} slots of {wide:.2f} mm leave {max(left, 0.0):.2g} mm between two of them at the hole "
            f"for a tube of {tube.outside:g} mm, too little for a plate in one piece with room for glue; it would go "
            f"with {' or '.join(would)}"
        )
    return min(_wanted(fins), widest)


def _wanted(fins: FinSet) -> float:
    """Diameter of the cut-outs that also clears the fillets, so that plates come off over these [mm]."""
    return max(RELIEF, fins.thickness + 2.0 * fins.fillet_radius + OVER_FILLETS)


@dataclass(frozen=True, slots=True)
class _Plate:
    """One of the two plates."""

    word: str
    place: float
    fins: FinSet
    count: int
    tube: TubeInHand
    thickness: float
    relief: float
    box: tuple[float, float, float, float]

    @property
    def station(self) -> float:
        """Root leading edge to the middle of the plate [mm]."""
        return self.place * self.fins.root_chord

    @property
    def shift(self) -> float:
        """How far its slots lie towards greater roll [mm]."""
        return _shift(self.fins, self.place)

    @property
    def slot(self) -> float:
        """Width of its slots [mm]."""
        return slot_width(self.fins, self.tube, self.thickness)

    @property
    def height(self) -> float:
        """How far the fin stands out where the plate passes it on its way from its end of the tube [mm]."""
        return _way(self.fins, self.word, self.place, self.thickness)[0]

    @property
    def end(self) -> float:
        """Axis to the end of a slot [mm]."""
        return self.tube.outside / 2.0 + self.height + SLOT_OVER_SPAN

    def outline(self) -> Outline:
        """A rectangle with one hole, which has the slots."""
        left, low, right, high = self.box
        rim = polygon(((left, low), (right, low), (right, high), (left, high)))
        return Outline(rim, (self._hole(),))

    def _hole(self) -> Loop:
        hole = self.tube.hole / 2.0
        half, beside = self.slot / 2.0, self.relief / 2.0
        # Anticlockwise is towards smaller roll.
        side = -self.shift
        off = math.asin(side / hole)
        turn = 2.0 * math.asin(beside / (2.0 * hole))
        foot = (hole * math.cos(off), side)
        start, stop = (_turned((hole, 0.0), off + way * turn) for way in (-1.0, 1.0))
        reach = math.sqrt(beside**2 - half**2)
        first = math.atan2(start[1] - foot[1], start[0] - foot[0])
        last = math.atan2(-half, reach)
        sweep = (last - first) % math.tau
        near, far = foot[0] + reach, self.end
        pieces: tuple[tuple[Line | Arc, Role], ...] = (
            (Arc(foot, beside, first, sweep), ""),
            (Line((near, side - half), (far, side - half)), "fit"),
            (Line((far, side - half), (far, side + half)), ""),
            (Line((far, side + half), (near, side + half)), "fit"),
            (
                Arc(
                    foot,
                    beside,
                    math.atan2(half, reach),
                    (math.atan2(stop[1] - foot[1], stop[0] - foot[0]) - math.atan2(half, reach)) % math.tau,
                ),
                "",
            ),
        )
        edges: list[Edge] = []
        angles = sorted(_angle(roll) % math.tau for roll in rolls_of(self.count))
        rail = _angle(0.0) % math.tau
        for angle, after in zip(angles, (*angles[1:], angles[0] + math.tau), strict=True):
            edges += [Edge(piece.placed(0.0, 0.0, angle), role) for piece, role in pieces]
            begin, finish = angle + off + turn, after + off - turn
            if angle < rail < after:
                edges += _notched(hole, begin, finish, rail)
            else:
                edges.append(Edge(Arc((0.0, 0.0), hole, begin, finish - begin), "fit"))
        # Holes run clockwise.
        return backwards(tuple(edges))

    def marks(self) -> tuple[Mark, ...]:
        """The tube's centre, the middle of each fin, and the sizes that a ruler can check."""
        left, low, right, high = self.box
        hole = self.tube.hole / 2.0
        found: list[Mark] = [CentreMark((0.0, 0.0), min(8.0, hole * 0.3))]
        for roll in rolls_of(self.count):
            at = partial(_turned, angle=_angle(roll))
            found.append(Guide((Line(at((hole * 0.8, -self.shift)), at((self.end, -self.shift))),), Pen.CENTRE_LINE))
        # The hole's own edge reaches this far to both sides of the rail line.
        bare = math.pi / self.count - 2.0 * math.asin(self.relief / (4.0 * hole))
        found += [
            Diameter((0.0, 0.0), hole, _angle(0.0) + 0.7 * bare, -hole * 0.4, "hole"),
            Label(f"slots {self.slot:.2f} mm", (0.0, high - 3.0)),
            Dimension((left, low), (left, 0.0), 8.0, "axis to foot", "up"),
            Dimension((left, low), (right, low), -8.0),
        ]
        if high != -low:
            found.append(Dimension((right, low), (right, high), -8.0, "", "up"))
        return tuple(found)

    def words(self, more: tuple[str, str]) -> tuple[Inscription, ...]:
        """The number of each fin past its slot; between the slots what the plate is, and which face looks aft."""
        found = [self._number(index, roll) for index, roll in enumerate(rolls_of(self.count), 1)]
        plate = f"{self.word.upper()} PLATE"
        blocks = (writable(("RAIL LINE",)), writable((*more[:1], plate)), writable(("AFT FACE", *more[1:])))
        for index, block in enumerate(blocks):
            found += self._between(block, math.tau * index / self.count)
        return tuple(one for one in found if one is not None)

    def _number(self, index: int, roll: float) -> Inscription | None:
        angle = _angle(roll)
        middle = _turned((self.end + 2.0 + _NUMBERS / 2.0, -self.shift), angle)
        one = Inscription(f"F{index}", middle, _NUMBERS, upright(angle + math.pi / 2.0))
        return one if self._on_plate(one) else None

    def _between(self, lines: tuple[str, ...], roll: float) -> tuple[Inscription, ...]:
        """Lines one above the other between two slots, as large and as near to the hole as there is room."""
        angle = _angle(roll)
        turn = upright(angle + math.pi / 2.0)
        # Whether the first line, which is above the others, is the outermost one.
        outwards = math.cos(turn + math.pi / 2.0 - angle) > 0.0
        order = lines[::-1] if outwards else lines
        nearest = self.tube.hole / 2.0 + _NOTCH[1] + _MARGIN
        for height in _HEIGHTS:
            halves = [length(line, height) / 2.0 for line in order]
            pitch, steps = 1.6 * height, math.ceil((max(map(abs, self.box)) - nearest) / _STEP)
            for step in range(steps):
                foot = nearest + _STEP * step
                if not all(self._clear(foot + pitch * i, height, half) for i, half in enumerate(halves)):
                    continue
                block = tuple(
                    Inscription(line, _turned((foot + height / 2.0 + pitch * i, 0.0), angle), height, turn)
                    for i, line in enumerate(order)
                )
                if all(self._on_plate(one) for one in block):
                    return block
        return ()

    def _on_plate(self, one: Inscription) -> bool:
        left, low, right, high = self.box
        return all(left <= x <= right and low <= y <= high for x, y in one.corners(1.5))

    def _clear(self, foot: float, height: float, half: float) -> bool:
        """Whether a line of words between two slots keeps clear of both and of the cut-outs at their roots.

        Args:
            foot: axis to the edge of the line that is nearer to it [mm].
            height: height of the line, outwards [mm].
            half: half its length [mm].
        """
        hole, beside = self.tube.hole / 2.0, math.pi / self.count
        off = abs(self.shift)
        slot = foot * math.sin(beside) - half * math.cos(beside) - off
        # The middle of the cut-out of the slot that has come nearer.
        turn = beside - math.asin(off / hole)
        x, y = hole * math.cos(turn), hole * math.sin(turn)
        root = math.hypot(max(foot - x, x - foot - height, 0.0), max(y - half, 0.0))
        return slot >= self.slot / 2.0 + _MARGIN and root >= self.relief / 2.0 + _MARGIN


def _notched(hole: float, begin: float, finish: float, rail: float) -> list[Edge]:
    """The hole's edge with the notch at the rail line."""
    half, deep = _NOTCH
    turn = math.asin(half / hole)
    before, apex, past = (
        _turned((radius, 0.0), rail + way * turn) for radius, way in ((hole, -1.0), (hole + deep, 0.0), (hole, 1.0))
    )
    return [
        Edge(Arc((0.0, 0.0), hole, begin, rail - turn - begin), "fit"),
        Edge(Line(before, apex)),
        Edge(Line(apex, past)),
        Edge(Arc((0.0, 0.0), hole, rail + turn, finish - rail - turn), "fit"),
    ]
