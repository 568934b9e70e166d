"""Fields that flat round discs share, declared once, and the openings that they stand for."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from ..curve import Arc, Point
from ..errors import PartError
from ..params import Angle, Count, Length
from ..shape import Role
from .disc_features import MIDDLE, Name, Notch, Round, Slot

UBoltWidth = Annotated[Length | None, Field(gt=0, le=300, description="middle to middle of the legs of a U-bolt")]
UBoltHoleDiameter = Annotated[Length | None, Field(gt=0, le=50, description="diameter of the holes for its legs")]
UBoltRoll = Annotated[
    Angle, Field(ge=-math.tau, le=math.tau, description="roll half way between its legs, clockwise from the rail line")
]
UBoltCircleDiameter = Annotated[
    Length | None, Field(gt=0, le=500, description="diameter of the circle on which its legs stand")
]
WasherDiameter = Annotated[
    Length | None, Field(gt=0, le=100, description="diameter of the washers under the nuts, for which room is kept")
]

VentHoleCount = Annotated[Count, Field(ge=0, le=72, description="holes that let pressure through, evenly spaced")]
VentHoleDiameter = Annotated[Length | None, Field(gt=0, le=200, description="diameter of each of those holes")]
VentCircleDiameter = Annotated[
    Length | None, Field(gt=0, le=500, description="diameter of the circle through their middles")
]
VentRoll = Annotated[
    Angle, Field(ge=-math.tau, le=math.tau, description="roll of the first of them, clockwise from the rail line")
]

RetentionHoleCount = Annotated[
    Count, Field(ge=0, le=24, description="holes for tee nuts or screws of the motor's retention, evenly spaced")
]
RetentionHoleDiameter = Annotated[Length | None, Field(gt=0, le=50, description="diameter of each retention hole")]
RetentionCircleDiameter = Annotated[
    Length | None, Field(gt=0, le=500, description="diameter of the circle through the retention holes")
]
RetentionRoll = Annotated[
    Angle,
    Field(ge=-math.tau, le=math.tau, description="roll of the first retention hole, clockwise from the rail line"),
]

NotchCount = Annotated[Count, Field(ge=0, le=12, description="notches for fin tabs, evenly spaced; 0 for none")]
NotchWidth = Annotated[
    Length | None, Field(gt=0, le=50, description="width of a notch: the thickness of the fin and its play")
]
NotchDepth = Annotated[Length | None, Field(gt=0, le=250, description="edge to the floor of a notch, along its middle")]
NotchFrom = Annotated[Literal["rim", "bore"] | None, Field(description="edge that the notches open")]
NotchRoll = Annotated[
    Angle | None,
    Field(
        ge=-math.tau,
        le=math.tau,
        description="roll of the first notch; if not stated, the rail line is mid-way between two",
    ),
]

SlotWidth = Annotated[Length | None, Field(gt=0, le=50, description="width of a slot for the harness, its ends round")]
SlotLength = Annotated[
    Length | None, Field(gt=0, le=300, description="length of that slot along its arc, over its ends")
]
SlotCircleDiameter = Annotated[
    Length | None, Field(gt=0, le=500, description="diameter of the circle through its middle")
]
SlotRoll = Annotated[
    Angle, Field(ge=-math.tau, le=math.tau, description="roll of its middle, clockwise from the rail line")
]

AlignmentWidth = Annotated[
    Length | None, Field(gt=0, le=20, description="width of a vee in the rim that shows the rail line")
]
AlignmentDepth = Annotated[Length | None, Field(gt=0, le=20, description="depth of that vee, from the rim")]


def point(radius: float, roll: float) -> Point:
    """Where a roll [rad] meets a circle about the middle [mm], seen from behind with the rail line upwards."""
    return radius * math.sin(roll), radius * math.cos(roll)


def place(roll: float) -> str:
    """A roll [rad] in words."""
    degrees = round(math.degrees(roll % math.tau), 3) % 360.0
    return f"at {degrees:g} deg"


def complete(what: str, fields: Mapping[str, float | str | None]) -> bool:
    """Whether a feature is wanted: True where all its fields are stated, False where none is.

    Args:
        what: the feature in words.
        fields: values by their field names; None or 0 where a field is not stated.

    Raises:
        PartError: some are stated and some are not.
    """
    missing = [name for name, value in fields.items() if not value]
    if len(missing) == len(fields):
        return False
    if missing:
        raise PartError(f"{missing[0]}: is needed for {what} and not stated")
    return True


def bolt_holes(diameter: float | None, circle: float | None, rolls: tuple[float, ...]) -> tuple[Round, ...]:
    """Holes at rolls of their own.

    Raises:
        PartError: a size is missing.
    """
    if not rolls:
        return ()
    if diameter is None or circle is None:
        missing = "hole_diameter" if diameter is None else "hole_circle_diameter"
        raise PartError(f"{missing}: is needed for the holes and not stated")
    return tuple(
        Round(
            Name("hole", place(roll), "hole_circle_diameter", "hole_rolls"), point(circle / 2.0, roll), diameter / 2.0
        )
        for roll in rolls
    )


@dataclass(frozen=True, slots=True)
class Ring:
    """Equal holes, evenly round a circle, as the fields state them.

    Attributes:
        count: how many [-].
        diameter: diameter of each [mm]; None where it is not stated.
        circle: diameter of the circle through their middles [mm]; None where it is not stated.
        roll: roll of the first [rad].
    """

    count: int
    diameter: float | None
    circle: float | None
    roll: float


def even_holes(prefix: str, what: Ring) -> tuple[Round, ...]:
    """Holes of one sort, such as `vent`, whose fields start with that word.

    Raises:
        PartError: they are half stated.
    """
    names = (f"{prefix}_hole_count", f"{prefix}_hole_diameter", f"{prefix}_circle_diameter")
    fields = dict(zip(names, (what.count, what.diameter, what.circle), strict=True))
    if not complete(f"the {prefix} holes", fields) or what.diameter is None or what.circle is None:
        return ()
    rolls = [what.roll + math.tau * i / what.count for i in range(what.count)]
    # Bolts, rods and dowels fit their holes; air does not.
    role: Role = "" if prefix == "vent" else "fit"
    return tuple(
        Round(
            Name(f"{prefix} hole", place(roll), names[2], names[0]),
            point(what.circle / 2.0, roll),
            what.diameter / 2.0,
            role,
        )
        for roll in rolls
    )


def u_bolt_holes(
    width: float | None, diameter: float | None, circle: float | None, roll: float, usual: float | None
) -> tuple[Round, ...]:
    """Holes for both legs, on a circle, so that the bolt runs square to the radius half way between them.

    Args:
        width: middle to middle of the legs [mm].
        diameter: diameter of the holes [mm].
        circle: diameter of the circle on which they stand [mm]; one as large as the width lays the bolt across the
            middle.
        roll: half way between them [rad].
        usual: diameter of that circle where it is not stated [mm]; None where there is no usual one.

    Raises:
        PartError: they are half stated, or the circle is smaller than the width.
    """
    fields = {"u_bolt_width": width, "u_bolt_hole_diameter": diameter}
    if circle is not None:
        fields["u_bolt_circle_diameter"] = circle
    if not complete("the U-bolt", fields) or width is None or diameter is None:
        return ()
    around = usual if circle is None else circle
    if around is None:
        raise PartError("u_bolt_circle_diameter: is needed with several motor tubes and not stated")
    if width > around + 1e-9:
        raise PartError(f"u_bolt_width: {width:g} mm is more than the circle on which the legs stand, {around:g} mm")
    half = math.asin(min(width / around, 1.0))
    return tuple(
        Round(Name("U-bolt hole", place(one), "u_bolt_width", "u_bolt_width"), point(around / 2.0, one), diameter / 2.0)
        for one in (roll - half, roll + half)
    )


def washers(diameter: float | None, over: Iterable[Round]) -> tuple[Round, ...]:
    """Places of the washers over holes.

    Raises:
        PartError: there is no such hole, or it is not smaller than the washer.
    """
    if diameter is None:
        return ()
    holes = tuple(over)
    if not holes:
        raise PartError(f"washer_diameter: there is no bolt to put a washer of {diameter:g} mm under")
    for one in holes:
        if 2.0 * one.radius >= diameter:
            raise PartError(f"washer_diameter: {diameter:g} mm is not larger than {one.name}, {2.0 * one.radius:g} mm")
    return tuple(
        Round(Name("washer", one.name.place, "washer_diameter", "washer_diameter"), one.centre, diameter / 2.0)
        for one in holes
    )


def fin_notches(
    count: int,
    width: float | None,
    depth: float | None,
    side: str | None,
    roll: float | None,
    edges: tuple[float, float],
) -> tuple[Notch, ...]:
    """Notches for fin tabs.

    Args:
        count: how many [-].
        width: width of each [mm].
        depth: edge to floor [mm].
        side: `rim` or `bore`.
        roll: roll of the first [rad]; if None the rail line is mid-way between two.
        edges: radii of rim and bore [mm]; a bore of 0 is none.

    Raises:
        PartError: they are half stated, or not in the disc.
    """
    fields: dict[str, float | str | None] = {
        "notch_count": count,
        "notch_width": width,
        "notch_depth": depth,
        "notch_from": side,
    }
    if not complete("the notches", fields) or width is None or depth is None:
        return ()
    rim, bore = edges
    at_rim = side == "rim"
    if not at_rim and not bore:
        raise PartError("notch_from: there is no bore in the middle that a notch could open")
    edge = rim if at_rim else bore
    _wide(width, depth, edge, "notch", at_rim)
    first = math.pi / count if roll is None else roll
    rolls = [first + math.tau * i / count for i in range(count)]
    floor = edge - depth if at_rim else edge + depth
    return tuple(
        Notch(
            Name("notch", place(one), "notch_depth", "notch_width"),
            one,
            width / 2.0,
            floor,
            edge,
            "rim" if at_rim else "bore",
        )
        for one in rolls
    )


def _wide(width: float, depth: float, edge: float, prefix: str, at_rim: bool) -> None:
    """The notch has sides and a floor.

    Raises:
        PartError: it has not.
    """
    if width >= 2.0 * edge:
        raise PartError(f"{prefix}_width: {width:g} mm is not less than the diameter that it opens, {2.0 * edge:g} mm")
    bulge = edge - math.sqrt(edge**2 - width**2 / 4.0)
    if at_rim and depth >= edge:
        raise PartError(f"{prefix}_depth: {depth:g} mm reaches the middle of the disc")
    if at_rim and depth <= bulge + 1e-6:
        raise PartError(
            f"{prefix}_depth: {depth:g} mm is not more than the {bulge:.3g} mm by which the rim bulges over a width of "
            f"{width:g} mm"
        )


def alignment_notch(width: float | None, depth: float | None, rim: float) -> tuple[Notch, ...]:
    """A vee in the rim at the rail line.

    Raises:
        PartError: it is half stated, or not in the disc.
    """
    fields = {"alignment_notch_width": width, "alignment_notch_depth": depth}
    if not complete("the alignment notch", fields) or width is None or depth is None:
        return ()
    _wide(width, depth, rim, "alignment_notch", at_rim=True)
    name = Name("alignment notch", "", "alignment_notch_depth", "alignment_notch_width")
    return (Notch(name, 0.0, width / 2.0, rim - depth, rim, "rim", vee=True),)


def harness_slot(
    width: float | None, length: float | None, circle: float | None, roll: float, usual: float | None
) -> tuple[Slot, ...]:
    """A slot with round ends along a circle.

    Args:
        width: its width [mm].
        length: its length along the middle line, over both ends [mm].
        circle: diameter of the circle through its middle [mm].
        roll: roll of its middle [rad].
        usual: diameter of that circle where it is not stated [mm]; None where there is no usual one.

    Raises:
        PartError: it is half stated, no longer than wide, or longer than half the circle.
    """
    fields = {"harness_slot_width": width, "harness_slot_length": length}
    if circle is not None:
        fields["harness_slot_circle_diameter"] = circle
    if not complete("the harness slot", fields) or width is None or length is None:
        return ()
    around = usual if circle is None else circle
    if around is None:
        raise PartError("harness_slot_circle_diameter: is needed with several motor tubes and not stated")
    if length <= width + 1e-6:
        raise PartError(f"harness_slot_length: {length:g} mm is not more than the width, {width:g} mm")
    if length > math.pi * around / 2.0:
        raise PartError(
            f"harness_slot_length: {length:g} mm is more than half the circle, {math.pi * around / 2.0:.4g} mm"
        )
    sweep = (length - width) / (around / 2.0)
    name = Name("harness slot", "", "harness_slot_width", "harness_slot_width")
    return (Slot(name, Arc(MIDDLE, around / 2.0, math.pi / 2.0 - roll - sweep / 2.0, sweep), width / 2.0),)
