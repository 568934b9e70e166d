"""A ring that draws lines on a tube: along it at the fins and the rail line, and round it along one face."""

from __future__ import annotations

import math

from ..poses import STANDING
from ..shape import Cut, Fused, Outline, RadialFeature, Shape, polygon
from .collar import Collar, gaps
from .jig import Jig, ToPrint, TubeInHand, writable

HEIGHT = 20.0
"""Height of the ring [mm]: enough not to tilt, so that its slots lie along the tube."""

SLOT = 1.2
"""Width of a slot for the pencil [mm] (common practice)."""

_BELT = 6.0
"""What is left of the ring below the slots [mm]."""
_MOUTH = (1.8, 2.0)
_SMALL = (1.2, 2.0)
"""Half the width and the depth of a notch [mm]."""
_BESIDE = 5.0
_CLOSE = 3.5
_SAME = 1e-6


def marking_ring(name: str, tube: TubeInHand, fin_rolls: tuple[float, ...], words: tuple[str, str]) -> Jig:
    """The ring for one tube.

    Args:
        name: what files call it.
        tube: the tube.
        fin_rolls: roll of each fin on it from fin 1 [rad]; none where no fin stands there.
        words: what is written on it: the design and the fingerprint.

    Raises:
        PartError: the tube is too small.
    """
    ring = Collar(tube.hole, HEIGHT)
    lines = {0.0: "R"} | {roll: f"F{number}" for number, roll in enumerate(fin_rolls, 1)}
    around = [(first - roll) % math.tau for roll in lines for first in lines if first != roll]
    least = min(around, default=math.tau) * ring.inner
    tools = [ring.through(_slot(), roll) for roll in lines]
    flank = min(_BESIDE, least - _MOUTH[0] - _SMALL[0] - 0.5)
    flanked = flank >= _MOUTH[0] + _SMALL[0] + 0.5
    if flanked:
        tools += [ring.notch(side * flank / ring.inner, *_SMALL) for side in (-1.0, 1.0)]
    quarters = [
        roll
        for roll in (math.pi / 2.0, math.pi, 1.5 * math.pi)
        if all(abs(math.remainder(roll - other, math.tau)) * ring.inner > _CLOSE for other in lines)
    ]
    tools += [ring.notch(roll, *_SMALL) for roll in quarters]
    shape: Shape = Cut(ring.shape(), (Fused(tuple[RadialFeature, ...](tools)),))
    for roll, label in lines.items():
        shape = ring.written(shape, label, HEIGHT - _BELT / 2.0, roll, 0.9 * least, _BELT - 2.0)
    # Between two lines is room for what the ring is.
    rooms = sorted(gaps((*lines, *quarters)), key=lambda one: (-round(one[1], 6), one[0]))
    for text, (roll, wide) in zip(writable(("^ FWD", *words)), rooms, strict=False):
        shape = ring.written(shape, text, (HEIGHT - _BELT) / 2.0 + 1.0, roll, wide * ring.outer - 2.0 * _CLOSE, 6.0)
    fins = f", {len(fin_rolls)} fins F1 to F{len(fin_rolls)}" if fin_rolls else ""
    apart = ", ".join(f"{math.degrees(roll):.4g}°" for roll in fin_rolls)
    rail = "R, the slot between two small notches" if flanked else "R"
    return Jig(
        name,
        f"marking ring for the {tube.name}",
        "Print it standing, plain face on the bed, notches up, no support, no brim, of any plastic.",
        f"Slide it on with the notches forward. The rail line is {rail}; turn it onto the first line that is drawn, "
        "wherever that lies on the tube. Draw along each slot with a sharp pencil: the ring is long enough to lie "
        "square, so the lines run along the tube. Slide the ring on until a slot ends on the line just drawn, and go "
        "on; for a long line lay a straight angle against two such marks. Small single notches are the quarter lines, "
        "to check by. For a line round the tube run the pencil along the plain face, which is square to the axis.",
        "Step the ring round by one fin and see all lines meet all slots again."
        if fin_rolls
        else "Turn the ring end for end and see the lines meet the notches again.",
        (
            ("bore", tube.hole_words()),
            ("lines", f"rail line at 0°{fins}{f' at {apart}' if apart else ''}, clockwise seen from behind"),
            ("slots", f"{SLOT:g} mm wide, {HEIGHT - _BELT:g} mm long; the ring is {HEIGHT:g} mm high"),
        ),
        (ToPrint("", shape, STANDING.at(HEIGHT)),),
        (),
        words[-1],
    )


def _slot() -> Outline:
    """A slot from the forward face, with a mouth that the eye finds."""
    half, (mouth, deep), end, past = SLOT / 2.0, _MOUTH, HEIGHT - _BELT, 1.0
    out = mouth + (mouth - half) * past / deep
    return Outline(polygon(((-past, -out), (deep, -half), (end, -half), (end, half), (deep, half), (-past, out))))
