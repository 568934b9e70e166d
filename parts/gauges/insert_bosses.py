"""A bar with bosses whose holes grow in small steps: which one does the insert sit in straight and flush?"""

from __future__ import annotations

from ..emboss import OnPlate, embossed
from ..hardware import Insert
from ..lettering import width
from ..shape import Fused, Outline, Placed, Plate, Shape, circle, hole, moved
from .collars import rectangle
from .gauge import RAISED, STEP, Gauge, Printed, Reading, ladder

COUNT = 5
"""Bosses on a bar [-]."""

_BAR = 3.0
_SUNK = 0.5
"""How far a boss reaches into the bar [mm], so that no two faces lie on each other."""
_LETTERS = 4.0
_MARGIN = 2.0
_LOOSE = 3.0


def insert_bosses(
    name: str, insert: Insert, material: str | None = None, step: float = STEP, count: int = COUNT
) -> Gauge:
    """The bar for one size of insert.

    Args:
        name: what files and results call it.
        insert: the insert, with its hole.
        material: what it is printed of, which decides; None where it is not stated.
        step: from one hole to the next on diameter [mm].
        count: how many bosses [-].

    Raises:
        PartError: the holes begin at nothing.
    """
    steps = ladder(insert.hole_diameter, count, step)
    boss = insert.boss_diameter / 2.0
    pitch = max(insert.boss_diameter + 1.0, width(steps[-1][0], _LETTERS) + _LOOSE)
    left = _MARGIN + pitch / 2.0
    high = 3.0 * _MARGIN + _LETTERS + insert.boss_diameter
    shape: Shape = Plate(rectangle(2.0 * left + pitch * (count - 1), high), _BAR)
    middle = high - _MARGIN - boss
    bosses = tuple(
        Placed(
            Plate(
                Outline(circle(boss), (hole(size / 2.0, role="fit"),)).placed(left + index * pitch, middle),
                insert.hole_depth + _SUNK,
            ),
            moved(_BAR - _SUNK),
        )
        for index, (_, size) in enumerate(steps)
    )
    for index, (text, _) in enumerate(steps):
        where = OnPlate(_BAR, _LETTERS, (left + index * pitch, _MARGIN + _LETTERS / 2.0))
        shape = embossed(shape, text, where, RAISED, raised=True)
    shape = Fused((shape, *bosses))
    return Gauge(
        name,
        f"bosses for the {insert.name}",
        f"Print the bar flat, bosses up, no support, of the material and with the walls of the part that takes the "
        f"inserts. Its holes are {steps[0][0]} to {steps[-1][0]} mm, {insert.hole_depth:g} mm deep: the tables give "
        f"{insert.hole_diameter:g} mm, which is {insert.mark}; the insert's own sheet goes before it.",
        "Press an insert into each hole with the iron as hot as for the part, slowly and straight. Look for a rim of "
        "plastic pushed up, which is a hole too small, and turn a screw in it after it is cold: one that turns along "
        "is in a hole too large. Hot inserts burn.",
        "The number of the boss in which the insert sits straight, flush and firm; `tight` or `loose` where all are.",
        (Printed(steps[0][0], shape),),
        (),
        steps,
        Reading("opening", "best", insert.hole_diameter, step),
        material,
    )
