"""The tables of a design file: one model each, with the unit, the bounds and the help of every field."""

from __future__ import annotations

import datetime
import re
from typing import Annotated, Any, ClassVar, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    SerializerFunctionWrapHandler,
    model_serializer,
    model_validator,
)

from ..analysis.limits import COMMON, Limit, profile_names
from ..analysis.rail_exit import STAND_OFF
from ..parts.params import Angle, ArealDensity, Count, Density, Duration, Force, Length, Mass, Ratio, Speed, near
from ..parts.part import MaterialName
from ..parts.tubes import MeasuredTube

FORMAT = 1
"""The only format of design files so far [-]."""


def _one_line(value: str) -> str:
    if not value.isprintable():
        raise ValueError(f"{value!r} holds a character that cannot be printed; write it on one line")
    return value


def _date_as_text(value: object) -> object:
    """TOML has dates of its own; one written without quotes is as good as its text."""
    return str(value) if isinstance(value, datetime.date) else value


def _rules(value: str) -> str:
    if value not in profile_names():
        raise ValueError(f"{value!r} is none of {', '.join(profile_names())}{near(value, profile_names())}")
    return value


Line = Annotated[str, AfterValidator(_one_line)]
"""A text that is printed on one line."""

Name = Annotated[Line, Field(min_length=1, max_length=80, description="name, unique in the design")]
Readings = Annotated[tuple[Annotated[Length, Field(gt=0, le=500)], ...], Field(max_length=24)]
Station = Annotated[Length, Field(ge=0, le=20000)]
Weight = Annotated[Mass | None, Field(gt=0, le=1e6)]
Unit = Literal["mm", "in"]
"""Which of the two is printed first."""


class Entry(BaseModel):
    """One table of the file."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)

    when_stated: ClassVar[frozenset[str]] = frozenset()
    """Fields that came later: they are told only where they say something, so that older designs keep their
    fingerprints."""

    @model_serializer(mode="wrap")
    def _told(self, told: SerializerFunctionWrapHandler) -> dict[str, Any]:
        fields = type(self).model_fields
        silent = {name for name in self.when_stated if getattr(self, name) == fields[name].default}
        return {name: value for name, value in told(self).items() if name not in silent}


class HeadEntry(Entry):
    """What stands at the top of a design file."""

    format: Annotated[Count, Field(ge=FORMAT, le=FORMAT, description="format of the file: 1")]
    name: Name
    note: Annotated[Line | None, Field(max_length=500, description="a sentence for every report")] = None


class SettingsEntry(Entry):
    """`[settings]`: how results are printed, and which state of the design they are of."""

    units: Annotated[Unit, Field(description="which unit of length is printed first")] = "mm"
    printer: Annotated[str | None, Field(description="name of the printer that print files are made for")] = None
    cutter: Annotated[str | None, Field(description="name of the cutter that cut files are made for")] = None
    revision: Annotated[Line | None, Field(max_length=20, description="revision, such as A")] = None
    date: Annotated[
        Line | None, BeforeValidator(_date_as_text), Field(max_length=40, description="date, as it shall be printed")
    ] = None
    limits: Annotated[
        Line,
        AfterValidator(_rules),
        Field(description=f"rules that the margin is held to: {', '.join(profile_names())}"),
    ] = COMMON


class TubeEntry(Entry):
    """`[[tube]]`: a tube as measured."""

    name: Name
    outside: Annotated[Readings, Field(description="caliper readings of the outside diameter, no end stated")] = ()
    inside: Annotated[Readings, Field(description="caliper readings of the inside diameter, no end stated")] = ()
    outside_forward: Annotated[Readings, Field(description="outside diameter at the forward end")] = ()
    outside_aft: Annotated[Readings, Field(description="outside diameter at the aft end")] = ()
    inside_forward: Annotated[Readings, Field(description="inside diameter at the forward end")] = ()
    inside_aft: Annotated[Readings, Field(description="inside diameter at the aft end")] = ()
    wall: Annotated[Readings, Field(description="thickness of the wall")] = ()
    strip: Annotated[
        tuple[Annotated[Length, Field(gt=0, le=2000)], ...],
        Field(max_length=24, description="length once round of a paper strip laid about the tube"),
    ] = ()
    strip_thickness: Annotated[Length | None, Field(ge=0, le=2, description="thickness of that strip")] = None
    length: Annotated[Length, Field(gt=0, le=5000, description="length, end to end")]
    station: Annotated[
        Station | None,
        Field(description="nose tip to the tube's forward end; left out where another part brings the tube along"),
    ] = None
    use: Annotated[Literal["airframe", "motor", "coupler"], Field(description="what the tube is for")] = "airframe"
    vents: Annotated[
        tuple[Station, ...], Field(max_length=24, description="nose tip to the middle of each vent hole")
    ] = ()
    vent_diameter: Annotated[Length | None, Field(gt=0, le=50, description="diameter of each vent hole")] = None
    vent_roll: Annotated[
        Angle | None, Field(ge=-7, le=7, description="roll of the vent holes, clockwise from the rail line")
    ] = None
    material: Annotated[MaterialName | None, Field(description="what it is made of")] = None
    density: Annotated[Density | None, Field(gt=0, le=2.5e-2, description="density, where it is known")] = None
    mass: Annotated[Weight, Field(description="mass as weighed")] = None

    def measured(self) -> MeasuredTube:
        """The tube by its readings.

        Raises:
            PartError: there are none, or they contradict each other.
        """
        return MeasuredTube(
            self.name,
            self.outside,
            self.inside,
            self.outside_forward,
            self.outside_aft,
            self.inside_forward,
            self.inside_aft,
            self.wall,
            self.strip,
            self.strip_thickness,
            self.length,
            self.mass,
        )


class PlaceEntry(Entry):
    """The part of a `[[part]]` that says where it goes; the rest are the fields of its kind."""

    name: Name
    kind: Annotated[str, Field(description="kind of part")]
    fits: Annotated[str | None, Field(description="name of the tube that it goes into or onto")] = None
    around: Annotated[str | None, Field(description="name of the tube that it goes around or reaches down to")] = None
    station: Annotated[Station | None, Field(description="nose tip to the part's forward end")] = None
    stations: Annotated[
        tuple[Station, ...], Field(max_length=100, description="the same for several alike along the axis")
    ] = ()
    fit: Annotated[
        str | None, Field(description="glued, tape, slip, press or free, or a class of ISO 286; else the usual one")
    ] = None
    process: Annotated[
        Literal["printed", "laser", "hand"] | None, Field(description="how it is made, which decides its clearance")
    ] = None
    clearance: Annotated[
        Length | None, Field(ge=-1, le=10, description="clearance on diameter, set by hand in place of the table's")
    ] = None
    made_on: Annotated[
        str | None, Field(description="name of the printer or cutter that it is made on; else that of [settings]")
    ] = None
    count: Annotated[Count, Field(ge=1, le=8, description="fins in the set, evenly spaced")] = 1
    mass: Annotated[
        Weight,
        Field(
            description="mass of one piece as weighed, without the rod, the ballast and the fillets that come with it"
        ),
    ] = None


class PlacedMass(Entry):
    """What all things have in common that have mass and a place and are no parts."""

    name: Name
    mass: Annotated[Weight, Field(description="mass; of one, where there are several")] = None
    station: Annotated[Station, Field(description="nose tip to its centre of gravity")]


class MassEntry(PlacedMass):
    """`[[mass]]`: anything else that has mass."""


class FromTable(PlacedMass):
    """What may be taken from the hardware tables."""

    item: Annotated[
        Line | None, Field(description="its name in the hardware tables, such as M5 hex nut; gives its mass")
    ] = None


class HardwareEntry(FromTable):
    """`[[hardware]]`: screws, nuts, retainers and the like."""

    count: Annotated[Count, Field(ge=1, le=1000, description="how many of them")] = 1


class PayloadEntry(PlacedMass):
    """`[[payload]]`: what the rocket carries."""

    when_stated: ClassVar[frozenset[str]] = frozenset({"length", "diameter", "greatest_g"})

    length: Annotated[Length | None, Field(gt=0, le=5000, description="length of the bay that it needs")] = None
    diameter: Annotated[Length | None, Field(gt=0, le=400, description="bore of the bay that it needs")] = None
    greatest_g: Annotated[
        Ratio | None, Field(gt=0, le=100_000, description="the payload's own limit, in multiples of gravity")
    ] = None


class AnchorEntry(FromTable):
    """`[[anchor]]`: an eyebolt, U-bolt or the like that the harness is tied to."""

    on: Annotated[str, Field(description="name of the part that it goes through")]
    material: Annotated[MaterialName | None, Field(description="what it is made of; an anchor is metal")] = None
    rating: Annotated[
        Force | None, Field(gt=0, le=1e6, description="load that its maker rates it for, in the direction of the pull")
    ] = None

    when_stated: ClassVar[frozenset[str]] = frozenset({"rating"})


class HarnessEntry(PlacedMass):
    """`[[harness]]`: one unbroken harness and everything that is tied to it."""

    anchors: Annotated[
        tuple[str, ...], Field(min_length=1, max_length=24, description="names of the anchors that it is tied to")
    ]
    length: Annotated[Length | None, Field(gt=0, le=100_000, description="length of the harness")] = None
    strength: Annotated[
        Force | None, Field(gt=0, le=1e6, description="load that it is sold to bear; knots take up to half of it")
    ] = None

    when_stated: ClassVar[frozenset[str]] = frozenset({"strength"})


class ParachuteEntry(PlacedMass):
    """`[[parachute]]`: the parachute with its protector."""

    diameter: Annotated[
        Length | None, Field(gt=0, le=20_000, description="diameter of the canopy as its maker gives it")
    ] = None
    drag_coefficient: Annotated[
        Ratio | None, Field(gt=0, le=3, description="drag coefficient on the area of that diameter")
    ] = None
    drag_area: Annotated[
        Literal["constructed", "projected"] | None,
        Field(description="which area diameter and coefficient are of: as cut and laid flat, or as it hangs open"),
    ] = None
    descent: Annotated[
        Speed | None, Field(gt=0, le=50, description="rate of descent that is wanted, for the size that would give it")
    ] = None
    harness: Annotated[str | None, Field(description="name of the harness that it is tied to")] = None
    packed_length: Annotated[
        Length | None, Field(gt=0, le=5000, description="length of the bundle as it is packed, with its protector")
    ] = None

    when_stated: ClassVar[frozenset[str]] = frozenset({"drag_area", "descent"})


Delays = Annotated[
    tuple[Annotated[Duration, Field(gt=0, le=60)], ...],
    Field(max_length=12, description="delays that it is to be had with, in seconds from burnout; rising"),
]
DelayTolerance = Annotated[
    Duration | None, Field(gt=0, le=10, description="by how much a delay may be off, to either side, by its maker")
]
CaseDiameter = Annotated[Length, Field(gt=0, le=300, description="outside diameter of the case")]
CaseLength = Annotated[Length, Field(gt=0, le=3000, description="length of the case")]
LoadedMass = Annotated[Mass, Field(gt=0, le=1e5, description="mass before the flight, from the maker's sheet")]


class MotorEntry(Entry):
    """`[[motor]]`: a motor to fly with; several can be compared in one file.

    What stands above its thrust table may be left out here.
    """

    name: Name
    diameter: CaseDiameter
    length: CaseLength
    aft_end: Annotated[Station, Field(description="nose tip to the motor's aft end")]
    loaded_mass: LoadedMass
    empty_mass: Annotated[Mass, Field(gt=0, le=1e5, description="mass after burnout, from the maker's sheet")]
    loaded_cg: Annotated[
        Length | None, Field(ge=0, le=3000, description="motor's forward end to its centre of gravity when loaded")
    ] = None
    empty_cg: Annotated[
        Length | None, Field(ge=0, le=3000, description="motor's forward end to its centre of gravity when empty")
    ] = None
    fits: Annotated[str | None, Field(description="name of the motor tube that it slides into")] = None
    thrust: Annotated[
        str | None, Field(description="file of its thrust table, beside the design: lines of time_s,thrust_N")
    ] = None
    delays: Delays = ()
    delay_tolerance: DelayTolerance = None

    when_stated: ClassVar[frozenset[str]] = frozenset({"delays", "delay_tolerance"})


class JointEntry(Entry):
    """`[[joint]]`: how two things are held together."""

    between: Annotated[
        tuple[str, ...], Field(min_length=2, max_length=2, description="names of the two things that meet")
    ]
    state: Annotated[
        Literal["glued", "screwed", "releases"],
        Field(description="whether it stays, can be undone, or opens in flight"),
    ]
    by: Annotated[Line | None, Field(max_length=120, description="what holds it or lets it go, such as 3 x M3")] = None
    screw_length: Annotated[Length | None, Field(gt=0, le=500, description="length of its screws, under the head")] = (
        None
    )
    pins: Annotated[Count | None, Field(ge=1, le=12, description="how many nylon shear pins hold it")] = None
    pin_size: Annotated[Literal["#2-56", "#4-40", "#6-32"] | None, Field(description="thread of those pins")] = None
    holding_force: Annotated[
        Force | None, Field(gt=0, le=1e5, description="pull at which it parts, as measured with a scale")
    ] = None
    opening_force: Annotated[
        Force | None, Field(gt=0, le=1e5, description="force that pushes it open, as somebody else states it")
    ] = None
    opening_force_from: Annotated[
        Line | None,
        Field(
            min_length=3,
            max_length=200,
            description="who states that force: the motor maker's sheet, or a test run by a mentor",
        ),
    ] = None

    when_stated: ClassVar[frozenset[str]] = frozenset(
        {"pins", "pin_size", "holding_force", "opening_force", "opening_force_from"}
    )

    @model_validator(mode="after")
    def _together(self) -> JointEntry:
        """What is of a joint that opens stands at none other, and no half of a pair alone.

        Raises:
            ValueError: as `field: rule`.
        """
        if self.state != "releases":
            for name in ("pins", "pin_size", "holding_force", "opening_force", "opening_force_from"):
                if getattr(self, name) is not None:
                    raise ValueError(f"{name}: is of a joint that releases, and this one is {self.state}; leave it out")
            return self
        if self.screw_length is not None:
            raise ValueError("screw_length: a joint that releases has no screws; leave it out, or state `screwed`")
        for name, other, why in (
            ("pins", "pin_size", "say which thread they have"),
            ("pin_size", "pins", "say how many there are"),
            ("opening_force", "opening_force_from", "say who states it; no charge is worked out here"),
            ("opening_force_from", "opening_force", "give the force in it"),
        ):
            if getattr(self, name) is not None and getattr(self, other) is None:
                raise ValueError(f"{name}: needs `{other}` with it: {why}")
        return self


class StockEntry(Entry):
    """`[[stock]]`: the lengths in which a tube is to be had, and what is cut from it."""

    name: Name
    lengths: Annotated[
        tuple[Annotated[Length, Field(gt=0, le=20000)], ...],
        Field(min_length=1, max_length=12, description="lengths in which the tube is to be had"),
    ]
    pieces: Annotated[
        tuple[str, ...], Field(min_length=1, max_length=40, description="names of the tubes that are cut from it")
    ]
    kerf: Annotated[Length, Field(ge=0, le=10, description="width of a cut; 0 for a knife")] = 0.0


class SheetEntry(Entry):
    """`[[sheet]]`: a sheet that parts are cut from, with its two sides as it lies on the machine."""

    name: Name
    material: Annotated[MaterialName, Field(description="what it is")]
    thickness: Annotated[Length, Field(gt=0, le=100, description="thickness, as measured")]
    width: Annotated[Length, Field(gt=0, le=5000, description="side up the machine's bed")]
    length: Annotated[Length, Field(gt=0, le=5000, description="side along the machine's bed")]
    grain: Annotated[
        Literal["length", "width"] | None, Field(description="the side that the grain of its face runs along")
    ] = None
    margin: Annotated[Length, Field(ge=0, le=100, description="what stays free along its rim")] = 5.0
    gap: Annotated[Length, Field(ge=0, le=100, description="least distance of two pieces")] = 4.0
    quantity: Annotated[
        Count | None, Field(ge=1, le=100, description="how many there are; as many as it takes if not stated")
    ] = None


class MarginEntry(Entry):
    """`[margin]`: limits of one's own for the static margin, in place of those of the rules that are chosen."""

    fail_below: Annotated[Ratio, Field(ge=0, le=20, description="margin that is too small to fly, in calibres")]
    warn_below: Annotated[Ratio | None, Field(ge=0, le=20, description="least margin that is wanted")] = None
    warn_above: Annotated[
        Ratio | None, Field(gt=0, le=50, description="margin above which it turns into the wind too much")
    ] = None
    source: Annotated[Line, Field(min_length=1, max_length=200, description="who says so, and where it is written")]

    def limit(self) -> Limit:
        """The limits as checks take them."""
        bounds = (self.fail_below, self.warn_below, self.warn_above)
        return Limit("static margin", "calibres", f"{self.source} (stated in the design file)", *bounds)


class RailEntry(Entry):
    """`[rail]`: the launch rail that it flies from, upright."""

    length: Annotated[
        Length | None, Field(gt=0, le=20_000, description="length of the rail; left out: the usual ones are shown")
    ] = None
    stand_off: Annotated[
        Length, Field(ge=0, le=5000, description="foot of the rail to the rocket's aft end as it stands")
    ] = STAND_OFF


class AllowancesEntry(Entry):
    """`[allowances]`: what is not weighed yet; printed as an estimate."""

    glue: Annotated[Weight, Field(description="glue in all")] = None
    glue_station: Annotated[Station | None, Field(description="nose tip to the glue's centre of gravity")] = None
    glue_film: Annotated[
        ArealDensity | None, Field(gt=0, le=2000, description="set glue on each unit of the faces of glued joints")
    ] = None
    paint: Annotated[
        ArealDensity | None, Field(gt=0, le=2000, description="paint and primer on each unit of painted skin")
    ] = None


def _printed_fingerprint(value: str) -> str:
    if not re.fullmatch(r"[0-9a-f]{4}(-[0-9a-f]{4}){2}", value):
        raise ValueError(f"{value!r} is not a fingerprint as it is printed, such as 1a2b-3c4d-5e6f")
    return value


Fingerprint = Annotated[
    Annotated[str, AfterValidator(_printed_fingerprint)] | None,
    Field(description="printed fingerprint of what was measured; `ferrule weigh` writes it"),
]


class Measured(Entry):
    """What all measurements after building have in common."""

    fingerprint: Fingerprint = None
    note: Annotated[Line | None, Field(max_length=500, description="how it was measured")] = None
    date: Annotated[
        Line | None, BeforeValidator(_date_as_text), Field(max_length=40, description="date, as it shall be printed")
    ] = None


class WeighedEntry(Measured):
    """`[[weighed]]`: a part or anything else on the scale; it wins over the estimate while its shape is the same."""

    part: Annotated[Line, Field(description="name of the part, the tube or the thing that was weighed")]
    mass: Annotated[Weight, Field(description="mass of one piece")] = None
    masses: Annotated[
        tuple[Annotated[Mass, Field(gt=0, le=1e6)], ...],
        Field(max_length=100, description="masses of several alike, each by itself; their mean is used"),
    ] = ()
    balance: Annotated[
        Length | None,
        Field(ge=-5000, le=5000, description="the part's own forward end to the point where it balances"),
    ] = None


class BalanceEntry(Measured):
    """`[[balance]]`: the whole rocket on the scale and on an edge, without a motor or with one loaded."""

    mass: Annotated[Mass, Field(gt=0, le=1e6, description="mass of the whole rocket")]
    cg: Annotated[Station, Field(description="nose tip to the point where it balances")]
    motor: Annotated[
        str | None, Field(description="name of the motor that was in it, loaded; left out: without a motor")
    ] = None
