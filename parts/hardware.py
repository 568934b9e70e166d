"""Screws, nuts, washers, inserts, eyes and bolts by their names, such as `M5 hex nut` or `M4x12 cap screw`.

Each row of the tables has a source and a mark that says how far it may be trusted; sizes that differ by make are there
to plan with, and the piece in hand is to be measured. No strength follows from any of them.
"""

from __future__ import annotations

import csv
import re
from functools import lru_cache
from importlib.resources import files
from typing import Annotated, ClassVar, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field

from .errors import FerruleError
from .params import Count, Length, Mass, near
from .quantity import parse, show

Size = Annotated[Length, Field(gt=0, le=1000)]


class Hardware(BaseModel):
    """One row of a table of hardware.

    Attributes:
        word: what such a piece is called after its size.
        table: file of its rows.
        size: size of its thread or of the bolt that it goes with, such as `M5` or `#4-40`.
        source: where the numbers come from.
        mark: how far they may be trusted.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)

    word: ClassVar[str]
    table: ClassVar[str]

    size: str
    source: Annotated[str, Field(min_length=1)]
    mark: Literal["looked up", "derived", "common practice", "from memory"]

    @property
    def name(self) -> str:
        """Its name, such as `M5 hex nut`."""
        return f"{self.size} {self.word}"


class ClearanceHole(Hardware):
    """Diameter of the hole through which a screw passes freely [mm], in the three series of ISO 273."""

    word: ClassVar[str] = "clearance hole"
    table: ClassVar[str] = "hardware_clearance_holes.csv"

    fine: Size
    medium: Size
    coarse: Size


class OfLength(Hardware):
    """What is sold or cut to a length, which its name may state: `M4x12 cap screw`.

    Attributes:
        length: length under the head, or end to end of a rod [mm]; None where the name does not state it.
    """

    length: Size | None = None

    @property
    def name(self) -> str:
        """Its name, with the length where that is stated."""
        if self.length is None:
            return f"{self.size} {self.word}"
        length = f"{self.length:g}" if self.size.startswith("M") else show(self.length, "length", "in", 3)
        return f"{self.size}x{length} {self.word}"


class ThreadedRod(OfLength):
    """A metric coarse thread, as a rod [mm]."""

    word: ClassVar[str] = "threaded rod"
    table: ClassVar[str] = "hardware_threads.csv"

    major_diameter: Size
    pitch: Size

    @property
    def pitch_diameter(self) -> float:
        """Diameter at which thread and groove are equally wide [mm]: d - 0.649519 P (ISO 724)."""
        return self.major_diameter - 0.649519 * self.pitch


class HeadedScrew(OfLength):
    """A screw with a turned head and a hexagon socket [mm]."""

    head_diameter: Size
    head_height: Size
    socket_across_flats: Size
    socket_depth: Size


class CapScrew(HeadedScrew):
    """Hexagon socket head cap screw, ISO 4762 [mm]."""

    word: ClassVar[str] = "cap screw"
    table: ClassVar[str] = "hardware_cap_screws.csv"


class ButtonScrew(HeadedScrew):
    """Hexagon socket button head screw, ISO 7380-1 [mm]."""

    word: ClassVar[str] = "button screw"
    table: ClassVar[str] = "hardware_button_screws.csv"


class UnifiedScrew(OfLength):
    """A screw with a unified coarse thread: its thread and the holes that go with it [mm]; its head is not tabled.

    Attributes:
        threads_per_inch: threads on an inch [-].
        clearance_close: diameter of a close hole to pass through [mm].
        clearance_normal: diameter of a normal one [mm].
        clearance_loose: diameter of a loose one [mm].
        tap_drill: diameter to drill for tapping [mm].
    """

    word: ClassVar[str] = "screw"
    table: ClassVar[str] = "hardware_unified_screws.csv"

    major_diameter: Size
    threads_per_inch: Annotated[Count, Field(gt=0, le=120)]
    clearance_close: Size
    clearance_normal: Size
    clearance_loose: Size
    tap_drill: Size

    @property
    def pitch_diameter(self) -> float:
        """Diameter at which thread and groove are equally wide [mm]: d - 0.649519 P (ASME B1.1)."""
        return self.major_diameter - 0.649519 * 25.4 / self.threads_per_inch


class HexNut(Hardware):
    """Hexagon nut, ISO 4032, at its largest [mm]."""

    word: ClassVar[str] = "hex nut"
    table: ClassVar[str] = "hardware_hex_nuts.csv"

    across_flats: Size
    height: Size


class Washer(Hardware):
    """Plain washer, ISO 7089 [mm]."""

    word: ClassVar[str] = "washer"
    table: ClassVar[str] = "hardware_washers.csv"

    inside_diameter: Size
    outside_diameter: Size
    thickness: Size


class Insert(Hardware):
    """Heat-set insert [mm]; makes differ: take the hole from the insert's own sheet.

    Attributes:
        hole_diameter: hole in the finished part, what the printer makes of it not allowed for [mm].
        body_diameter: largest diameter, over the knurl [mm].
        length: length of the insert [mm].
    """

    word: ClassVar[str] = "insert"
    table: ClassVar[str] = "hardware_inserts.csv"

    hole_diameter: Size
    body_diameter: Size
    length: Size

    @property
    def boss_diameter(self) -> float:
        """Outside of the boss round it [mm]: twice the insert (common practice)."""
        return 2.0 * self.body_diameter

    @property
    def hole_depth(self) -> float:
        """Depth of its hole [mm]: its length and 0.5 mm (common practice)."""
        return self.length + 0.5


class Eyebolt(Hardware):
    """An eye on a shank [mm], lifting eyes of DIN 580 from M8 up.

    Attributes:
        eye_inside: inside diameter of the eye [mm].
        rod_diameter: thickness of the eye's ring [mm].
        collar_diameter: diameter of the collar under it [mm].
        collar_height: height of the collar [mm].
        shank_length: length of the threaded shank under the collar [mm].
        rated_load: load along the shank that it is rated for, as the mass that hangs from it [g]; None: not stated.
        rated_load_45: the same for each of two strands at 45 degrees, as printed [g]; None: not stated.
        mass: mass as published [g]; None: not stated.
    """

    word: ClassVar[str] = "eyebolt"
    table: ClassVar[str] = "hardware_eyebolts.csv"

    eye_inside: Size
    rod_diameter: Size
    collar_diameter: Size
    collar_height: Size
    shank_length: Size
    rated_load: Annotated[Mass | None, Field(gt=0)] = None
    rated_load_45: Annotated[Mass | None, Field(gt=0)] = None
    mass: Annotated[Mass | None, Field(gt=0)] = None

    @property
    def rating(self) -> str:
        """What it is rated for, in words."""
        if self.rated_load is None:
            return "rating not stated"
        along = f"rated for {show(self.rated_load, 'mass', 'kg', 0)} along its shank"
        if self.rated_load_45 is None:
            return along
        return f"{along}, {show(self.rated_load_45, 'mass', 'kg', 0)} at 45 degrees to it"


class UBolt(Hardware):
    """A round bar bent to a half circle between two straight, threaded legs [mm]; not rated.

    Attributes:
        rod_diameter: diameter of the bar [mm].
        inside_width: free width between the legs [mm].
        leg_length: length of each straight leg [mm].
    """

    word: ClassVar[str] = "U-bolt"
    table: ClassVar[str] = "hardware_u_bolts.csv"

    rod_diameter: Size
    inside_width: Size
    leg_length: Size

    @property
    def rating(self) -> str:
        """What it is rated for, in words."""
        return "rating not stated"

    @property
    def hole_spacing(self) -> float:
        """Distance between the middles of the holes for its legs [mm]."""
        return self.inside_width + self.rod_diameter


class TNut(Hardware):
    """Pronged nut that is driven into plywood from behind [mm]; makes differ.

    Attributes:
        barrel_diameter: diameter of the barrel, which the hole takes [mm].
        barrel_length: length of the barrel under the flange [mm].
        flange_diameter: diameter of the flange [mm].
        flange_thickness: thickness of the flange [mm].
    """

    word: ClassVar[str] = "T-nut"
    table: ClassVar[str] = "hardware_t_nuts.csv"

    barrel_diameter: Size
    barrel_length: Size
    flange_diameter: Size
    flange_thickness: Size


FAMILIES: tuple[type[Hardware], ...] = (
    ClearanceHole,
    ThreadedRod,
    CapScrew,
    ButtonScrew,
    UnifiedScrew,
    HexNut,
    Washer,
    Insert,
    Eyebolt,
    UBolt,
    TNut,
)
"""Every family of hardware that has a table."""

H = TypeVar("H", bound=Hardware)


class UnknownHardwareError(FerruleError, ValueError):
    """A piece of hardware that the tables do not have."""


def every(family: type[H]) -> tuple[H, ...]:
    """All rows of one family, in the order of its table."""
    return tuple(row for row in _all() if isinstance(row, family))


def sized(family: type[H], size: str) -> H:
    """The row of a family for one size, such as `sized(HexNut, "M5")`.

    Raises:
        UnknownHardwareError: there is no such size; the message lists those that there are.
    """
    found = {row.size.lower(): row for row in every(family)}
    if size.strip().lower() not in found:
        raise UnknownHardwareError(_no_such_size(size, family))
    return found[size.strip().lower()]


def hardware(name: str) -> Hardware:
    """One piece of hardware by its name.

    Args:
        name: size and family, such as `M5 hex nut`; what is cut to a length may say so, `M4x12 cap screw` in mm,
            `#4-40x1/2 in screw` with its unit.

    Raises:
        UnknownHardwareError: there is no such piece; the message lists the sizes, or the nearest name.
        QuantityError: the length is not one.

    Example:
        >>> hardware("M5 hex nut").across_flats
        8.0
        >>> hardware("M4x12 cap screw").length
        12.0
    """
    plain = " ".join(name.split())
    for family in FAMILIES:
        # `cap screw` is found before `screw` because that family comes later.
        found = re.fullmatch(rf"(?:(.+?)[ -])?{'[ -]'.join(re.split('[ -]', family.word))}", plain, re.IGNORECASE)
        if found is None:
            continue
        if found[1] is None:
            raise UnknownHardwareError(f"{name!r} states no size; there are {_sizes(family)}")
        size, _, length = (text.strip() for text in re.sub("[xX×]", "x", found[1]).partition("x"))
        row = sized(family, size)
        if not length:
            return row
        if not isinstance(row, OfLength):
            raise UnknownHardwareError(f"{name!r}: {row.word}s have no length to state")
        return _of_length(row, length)
    words = ", ".join(family.word for family in FAMILIES)
    guess = near(plain, [row.name for row in _all()]) or f"; they have {words}"
    raise UnknownHardwareError(f"there is no hardware {name!r} in the tables{guess}")


def _of_length(row: OfLength, text: str) -> OfLength:
    # `M4x12` has no unit because none but millimetres is ever meant.
    bare = row.size.startswith("M") and re.fullmatch(r"\d+(\.\d+)?", text)
    length = parse(f"{text} mm" if bare else text, "length")
    if not 0.0 < length <= 1000.0:
        raise UnknownHardwareError(f"length: must be above 0 mm, at most 1000 mm, got {show(length, 'length')}")
    return row.model_copy(update={"length": length})


def _no_such_size(size: str, family: type[Hardware]) -> str:
    return f"there is no {size} {family.word} in the table; it has {_sizes(family)}"


def _sizes(family: type[Hardware]) -> str:
    return ", ".join(row.size for row in every(family))


@lru_cache(maxsize=1)
def _all() -> tuple[Hardware, ...]:
    found: list[Hardware] = []
    for family in FAMILIES:
        text = files(__package__).joinpath("data").joinpath(family.table).read_text(encoding="utf-8")
        for row in csv.DictReader(text.splitlines()):
            found.append(family.model_validate({name: value or None for name, value in row.items()}))
    return tuple(found)
