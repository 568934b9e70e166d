"""The inside of a hollow nose: wall, thick stretch, bore, ring, seat and collars, each limits how wide it may be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..chain import Chain
from ..curve import Line
from ..errors import PartError
from ..inner_profile import inner_profile
from ..joint import Joint, collar
from .cavity import opened_forward, ring, roof, within

if TYPE_CHECKING:
    from .nose_cone import NoseCone


_FOOT = 0.4
"""Least width of what a print stands on [mm]: one line of a 0.4 mm nozzle (common practice)."""


def cavity_of(nose: NoseCone, skin: Chain, joints: tuple[Joint, ...] = ()) -> Chain:
    """The inside of a hollow nose from its forward end to the rear opening.

    Raises:
        PartError: the wall or something inside leaves no room.
    """
    if nose.wall >= nose.base_radius:
        raise PartError(
            f"wall: {nose.wall:g} mm is not less than the radius of the base, {nose.base_radius:g} mm; "
            "make the body solid instead"
        )
    body = inner_profile(skin, nose.wall)
    first = max(body[0].start[0], nose.solid_tip)
    if first >= nose.length - 1.0:
        raise PartError(
            f"solid_tip: {nose.solid_tip:g} mm leaves no cavity in a nose of {nose.length:g} mm; make the body "
            "solid instead"
        )
    limits = [body, *(collar(joint) for joint in joints)]
    if nose.solid_tip > body[0].start[0]:
        limits.append(roof(nose.solid_tip))
    if nose.shoulder_length == 0.0:
        return within(limits, first, nose.length)
    bore, end = nose.shoulder_radius - nose.shoulder_wall, nose.rear
    # The step from skin to shoulder hangs on the material between the bore and the base, so the bore runs on past
    # the base by a shoulder wall before it opens.
    flare = nose.length - min(nose.shoulder_wall, nose.length / 4.0)
    limits.append(opened_forward((Line((flare, bore), (end, bore)),)))
    thick = _thick(nose, skin)
    if thick:
        limits.append(thick)
        first = max(first, thick[0].start[0])
    boss = nose.boss(nose.sleeve())
    if boss is not None:
        limits.append(ring(*boss))
    if nose.plate_seat is None:
        return within(limits, first, end)
    return _seated(nose, limits, first, bore, max([nose.length, *(end for _, end in nose.fastened())]) + 1.0)


def _thick(nose: NoseCone, skin: Chain) -> Chain:
    """The inside of the stretch ahead of the base that is as thick as the shoulder; none where it is no thicker.

    Raises:
        PartError: the skin does not allow so thick a wall.
    """
    if nose.thick_length == 0.0 or nose.shoulder_wall <= nose.wall:
        return ()
    try:
        offset = inner_profile(skin, nose.shoulder_wall)
    except PartError as error:
        raise PartError(
            f"thick_length: ahead of the base the wall shall be that of the shoulder, and "
            f"{str(error).partition(': ')[2]}; 0 mm for a body of one wall"
        ) from None
    start = nose.length - nose.thick_length
    if start <= offset[0].start[0]:
        return offset
    return opened_forward(within([offset], start, nose.length))


def _seated(nose: NoseCone, limits: list[Chain], first: float, bore: float, free: float) -> Chain:
    """The inside with a seat for a plate at its rear end.

    Raises:
        PartError: the seat runs into the ring of the screws, or out of the shoulder.
    """
    radius, rest = nose.seat(nose.shoulder_radius, bore)
    shelf = nose.rear - (nose.plate_thickness or 0.0)
    if rest < bore:
        limits = [*limits, opened_forward((Line((shelf - nose.seat_width, rest), (shelf, rest)),))]
    ahead = shelf - (nose.seat_width + bore - rest if rest < bore else 0.0)
    if ahead <= free:
        raise PartError(
            f"plate_thickness: the seat of a plate of {nose.plate_thickness:g} mm reaches to {ahead:.4g} mm, "
            f"and the shoulder is free behind {free:.4g} mm alone; take a thinner plate, a longer shoulder, or a "
            "smaller screw_distance"
        )
    most = nose.shoulder_radius - radius - _FOOT
    if nose.bed_chamfer > most:
        raise PartError(
            f"bed_chamfer: {nose.bed_chamfer:g} mm leaves less than {_FOOT:g} mm of the shoulder outside the seat to "
            f"stand on; at most {most:.3g} mm"
        )
    inside = within(limits, first, shelf)
    corner = (shelf, inside[-1].end[1])
    return (*inside, Line(corner, (shelf, radius)), Line((shelf, radius), (nose.rear, radius)))
