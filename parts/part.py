"""What every kind of part has in common: a frozen, validated set of fields that gives one shape."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated, Any, ClassVar, Self, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, model_validator

from .chain import Chain
from .errors import DesignError, Problem
from .fin_set import FinSet
from .fingerprint import fingerprint
from .fit import Derived, Surroundings
from .flat_view import FlatView
from .marks import Mark
from .measures import Measure
from .params import Density, Fault, faults
from .shape import Outline, Placement, Shape
from .tables import material


def _known_material(value: object) -> object:
    if isinstance(value, str):
        return material(value).name
    return value


MaterialName = Annotated[str, BeforeValidator(_known_material)]
"""A material by its name in the table."""


@dataclass(frozen=True, slots=True)
class CutPiece:
    """One piece that is cut from sheet; most such parts are one piece, some are glued up from several.

    Attributes:
        word: what the piece is called within its part, such as `small disc`; empty where it is the whole part.
        outline: the outline to cut.
        marks: lines and words that belong on its template, in the outline's coordinates.
        thickness: thickness of its sheet [mm].
        count: how many of it are in one part [-].
    """

    word: str
    outline: Outline
    marks: tuple[Mark, ...]
    thickness: float
    count: int = 1


@dataclass(frozen=True, slots=True)
class Body:
    """A stretch of a part that is of one material.

    Attributes:
        shape: the stretch, in the part's frame.
        density: density [g/mm3]; None where it is not stated.
    """

    shape: Shape
    density: float | None


@dataclass(frozen=True, slots=True)
class Carried:
    """Something that a part brings along, which is not of its shape: a rod, ballast.

    Attributes:
        word: what it is, such as `rod`.
        description: what exactly, in words.
        mass: mass [g], from published sizes and densities or as stated.
        station: its centre of gravity in the part's own frame, on the axis [mm].
    """

    word: str
    description: str
    mass: float
    station: float


@dataclass(frozen=True, slots=True)
class Printed:
    """One piece that is printed; most parts are one piece, a tall one is printed in sections.

    Attributes:
        word: which piece of the part it is, such as `1 of 3`; empty where it is the whole part.
        shape: the piece, in the part's frame.
        pose: motion to the pose in which it is printed.
    """

    word: str
    shape: Shape
    pose: Placement


@dataclass(frozen=True, slots=True)
class Companion:
    """A part that comes with another, of a material of its own: the glue fillets of a fin.

    Attributes:
        word: what it is, such as `fillets`.
        part: the part.
        position: the other part's origin to its own, aft [mm].
        radius: radius of the surface that it lies on [mm].
    """

    word: str
    part: Part
    position: float
    radius: float


class Part(BaseModel):
    """One part. A kind is a subclass with its fields, its shape and an example; see DEVELOPERS.md.

    Attributes:
        kind: name of the kind on the command line and in the design file.
        bench_order: place in lists, in the order in which a builder meets the parts [-].
        example: field values, as a person types them, of a valid part.
        on_surface: True where the part's origin lies on the outside of a tube and its +y points away from it, as a
            fin's; False where it lies on the axis.
        spaced_round: True where copies stand evenly round the body with the rail line mid-way between two, as fins do.
        laid_at_the_bench: True for what has a shape and a mass and is made by no machine and from no paper, as glue.
        origin: where the part's own x = 0 lies, in words.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)

    kind: ClassVar[str]
    bench_order: ClassVar[int]
    example: ClassVar[Mapping[str, Any]]
    on_surface: ClassVar[bool] = False
    spaced_round: ClassVar[bool] = False
    laid_at_the_bench: ClassVar[bool] = False
    origin: ClassVar[str] = "the forward end"

    material: Annotated[MaterialName | None, Field(description="what it is made of, by its name in the table")] = None
    density: Annotated[
        Density | None, Field(gt=0, le=2.5e-2, description="density, where the table's is not the one in hand")
    ] = None

    @model_validator(mode="after")
    def _exists(self) -> Self:
        """A part that cannot exist is refused when its fields are read, not when a file is half made."""
        self.shape()
        return self

    @classmethod
    def build(cls, **values: Any) -> Self:  # noqa: ANN401  each value is checked by its field
        """A part from field values such as `"250 mm"` or `mm(250)`.

        Raises:
            DesignError: one problem for each field that is wrong.
        """
        try:
            return cls(**values)
        except ValidationError as error:
            problems = tuple(Problem(field=fault.field, message=fault.message) for fault in cls.faults(error))
            raise DesignError(problems) from None

    @classmethod
    def faults(cls, error: ValidationError) -> tuple[Fault, ...]:
        """All faults of a refused part in plain words."""
        return faults(error, cls)

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:  # noqa: ARG003  for kinds that do
        """Fields that follow from the tubes beside the part.

        Args:
            stated: names of the fields that were stated; a stated field is not derived.
            near: the tube that the part goes into or onto, and the one that it goes around or reaches down to.
        """
        return {}

    def skin(self) -> Chain:
        """The wetted skin from forward to aft in the (x, r) plane; empty for parts out of the air stream."""
        return ()

    def shape(self) -> Shape:
        """The part itself, in its own frame."""
        raise NotImplementedError

    def pose(self) -> Placement:
        """Motion from the part's frame to the pose in which it is made: on the bed, or flat on XY."""
        raise NotImplementedError

    def template(self) -> Outline | None:
        """The outline to cut, for parts that are cut from sheet; None for all others."""
        return None

    def marks(self) -> tuple[Mark, ...]:
        """Lines and words that belong on the template, in the template's coordinates."""
        return ()

    def sheet_thickness(self) -> float | None:
        """Thickness of the sheet that the part is cut from [mm]; None for parts that are not."""
        return None

    def cut_pieces(self) -> tuple[CutPiece, ...]:
        """The pieces to cut from sheet; none for parts that are not cut from sheet."""
        outline, thickness = self.template(), self.sheet_thickness()
        if outline is None or thickness is None:
            return ()
        return (CutPiece("", outline, self.marks(), thickness),)

    def cut_outlines(self) -> tuple[Outline, ...]:
        """The outlines of those pieces alone: what is marked on a template takes longer to lay out than all else."""
        if type(self).cut_pieces is not Part.cut_pieces:
            return tuple(piece.outline for piece in self.cut_pieces())
        outline = self.template() if self.sheet_thickness() is not None else None
        return () if outline is None else (outline,)

    def printed_pieces(self) -> tuple[Printed, ...]:
        """The pieces to print, forward one first; the part itself where it is printed in one."""
        return (Printed("", self.shape(), self.pose()),)

    def walls(self) -> Mapping[str, float]:
        """Its walls by what they are called [mm]; none for a part that is solid or cut from sheet."""
        return {}

    def measures(self) -> tuple[Measure, ...]:
        """What a person measures on it, for its section drawing; nothing for a part that has none."""
        return ()

    def section_shape(self) -> Shape:
        """The turned body of that drawing, about x, with what is cut from it: where that is not the whole shape."""
        return self.shape()

    def has_section_file(self) -> bool:
        """Whether the section drawing is a file of its own; else it stands in the build book alone."""
        return True

    def flat_views(self) -> tuple[FlatView, ...]:
        """Its flat faces for dimensioned drawings; none for a part without."""
        return ()

    def carried(self) -> tuple[Carried, ...]:
        """What it brings along that is not of its shape."""
        return ()

    def companions(self) -> tuple[Companion, ...]:
        """Parts that come with it, of materials of their own."""
        return ()

    def fin_set(self) -> FinSet | None:
        """Its fins as the air meets them; None for a part without."""
        return None

    def bodies(self) -> tuple[Body, ...]:
        """The part by material: bodies that do not overlap and together are its shape."""
        return (Body(self.shape(), self.density_in_use()),)

    def extent(self) -> tuple[float, float]:
        """First and last station of the part in its own frame [mm]."""
        raise NotImplementedError

    def density_in_use(self) -> float | None:
        """Density [g/mm3]: the one stated, else the material's, else None: not stated."""
        if self.density is not None:
            return self.density
        return material(self.material).density if self.material else None

    @property
    def may_be_printed(self) -> bool:
        """True where its material is a plastic, or is not stated."""
        return self.material is None or material(self.material).is_plastic

    def fingerprint(self) -> str:
        """Fingerprint of the kind, all its fields, and the density that the table gives for its material."""
        return self._fingerprint

    @cached_property  # a run asks for it many times, and a part never changes
    def _fingerprint(self) -> str:
        return fingerprint([self.kind, self.model_dump(), self.density_in_use()])


P = TypeVar("P", bound=Part)

KINDS: dict[str, type[Part]] = {}
"""Every kind by name, in bench order once `ferrule.parts.kinds` is imported."""


def register(cls: type[P]) -> type[P]:
    """Add a kind to the catalogue.

    Raises:
        TypeError: the name is taken.
    """
    if cls.kind in KINDS:
        raise TypeError(f"two kinds are called {cls.kind!r}")
    KINDS[cls.kind] = cls
    return cls
