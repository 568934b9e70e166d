"""Fin: a flat plate or a printed aerofoil of any planform, with a tab through the tube's wall."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from ..curve import Point
from ..errors import DesignError, PartError
from ..fin_set import FinSet
from ..fit import Derived, Surroundings, as_measured, tab_depth
from ..flat_view import FlatView
from ..marks import Mark
from ..params import Angle, Length
from ..part import Companion, MaterialName, Part, register
from ..quantity import mm
from ..shape import Blade, Outline, Placement, Shape, hole, moved
from .fillet import Fillet
from .fin_edge_work import AS_CUT, EdgeWork, WorkOfEdge
from .fin_edges import Asked, WorkedEdge, worked_edges
from .fin_pins import pin_places
from .fin_planform import MOST_CORNERS, DrawnStretch, Side, drawn, ellipse, round_about, trapezoid
from .fin_section import USUAL_TRAILING, aerofoil_shape, on_its_root
from .fin_tab import Tab, bottom, check_reach, notched, short_of, stands_off
from .fin_tab import tab as plain_tab


@register
class Fin(Part):
    r"""One fin, root leading edge at the origin; how many stand round the body is said where it is placed.

    ::

                    <-sweep_length->__________   tip_chord  ^
         forward   .                /          \            |
                 .                 /            \           | semi_span: tube surface to tip
               .                  /              \          |
              /__________________/________________\         v
              <- tab_position ->|   __         |   root_chord (on the tube's surface)
                                |__|  |________|   v tab_depth (below the surface)
                                <- tab_length ->     notch_length, notch_depth at each of notch_positions

      elliptic     .-'''-.        polygon   ____2        curved, one entry of points each:
                 .'       '.             1 /     \       "40 mm, 60 mm"                      straight there
                /           \             /       \ 3    "arc through x, y to x, y"          through one point
               |_____________|           /_________|     "spline through x, y; x, y to root" smooth, to the end

    Edges are `as cut`, `round`, `round 1.5 mm`, `bevel 12 mm, land 1.3 mm`, `bevel 12 mm, 8 deg` or `bevel 8 deg,
    land 1.3 mm`, a bevel also with `, one side`. A depth is square to the edge, a land is left at the rim.
    """

    kind: ClassVar[str] = "fin"
    bench_order: ClassVar[int] = 60
    on_surface: ClassVar[bool] = True
    spaced_round: ClassVar[bool] = True
    origin: ClassVar[str] = "the root leading edge"
    example: ClassVar[dict[str, str]] = {
        "root_chord": "120 mm",
        "tip_chord": "60 mm",
        "semi_span": "58 mm",
        "sweep_length": "50 mm",
        "thickness": "4 mm",
        "tab_length": "90 mm",
        "tab_depth": "18.4 mm",
        "tab_position": "15 mm",
        "material": "birch-plywood",
    }

    planform: Annotated[
        Literal["trapezoid", "elliptic", "polygon", "curved"],
        Field(description="outline outside the tube; a triangle is a trapezoid with a tip chord of 0"),
    ] = "trapezoid"
    root_chord: Annotated[Length, Field(gt=0, le=3000, description="chord at the tube's surface")]
    tip_chord: Annotated[
        Length | None, Field(ge=0, le=3000, description="chord at the tip of a trapezoid; 0 makes a triangle")
    ] = None
    semi_span: Annotated[
        Length | None,
        Field(gt=0, le=1500, description="tube surface to tip, of one fin; of a trapezoid or an elliptic fin"),
    ] = None
    sweep_length: Annotated[
        Length | None,
        Field(ge=-3000, le=3000, description="how far a trapezoid's tip leading edge lies aft of the root's"),
    ] = None
    points: Annotated[
        tuple[DrawnStretch, ...],
        Field(
            max_length=MOST_CORNERS,
            description="corners of a polygon or curved fin from the root leading edge round to the root trailing "
            "edge, both left out, each 'x, y' with units, +x aft and y outwards from the tube's surface",
        ),
    ] = ()
    thickness: Annotated[
        Length, Field(gt=0, le=50, description="thickness of the sheet, as measured; of an aerofoil at its root")
    ]
    section: Annotated[
        Literal["flat", "naca-four-digit"],
        Field(description="flat sheet, or for a printed trapezoid the symmetric four-digit aerofoil of NACA"),
    ] = "flat"
    trailing_edge_thickness: Annotated[
        Length | None, Field(ge=0, le=10, description="of an aerofoil at its root; 0.8 mm if not stated")
    ] = None
    leading_edge: Annotated[WorkOfEdge, Field(description="how the leading edge is worked, such as 'round'")] = AS_CUT
    tip_edge: Annotated[WorkOfEdge, Field(description="how the edge at the tip is worked")] = AS_CUT
    trailing_edge: Annotated[WorkOfEdge, Field(description="how the trailing edge is worked")] = AS_CUT
    edges: Annotated[
        tuple[WorkOfEdge, ...],
        Field(
            max_length=MOST_CORNERS + 1,
            description="how every edge is worked, such as 'bevel 12 mm, land 1 mm', from the root leading edge on; "
            "one entry stands for all",
        ),
    ] = ()
    edge_clearance: Annotated[
        Length | None,
        Field(
            gt=0,
            le=100,
            description="height above the tube's surface below which all edges stay as cut; 5 mm, or as high as the "
            "fillets outside where these are larger, if not stated",
        ),
    ] = None
    tab_length: Annotated[Length, Field(ge=0, le=3000, description="length of the tab along the root; 0 for none")] = (
        0.0
    )
    tab_depth: Annotated[Length, Field(ge=0, le=250, description="depth of the tab below the tube's surface")] = 0.0
    tab_position: Annotated[Length, Field(ge=0, le=3000, description="root leading edge to the tab's forward end")] = (
        0.0
    )
    tab_thickness: Annotated[
        Length | None, Field(gt=0, le=50, description="thickness of an aerofoil's tab; a flat fin's is its sheet's")
    ] = None
    notch_positions: Annotated[
        tuple[Length, ...],
        Field(max_length=12, description="root leading edge to the forward side of each notch for a ring in the tab"),
    ] = ()
    notch_length: Annotated[
        Length | None, Field(gt=0, le=200, description="length of a notch along the tab: the ring and its play")
    ] = None
    notch_depth: Annotated[
        Length | None, Field(gt=0, le=250, description="depth of a notch, from the tab's bottom edge upwards")
    ] = None
    pin_hole_diameter: Annotated[
        Length | None, Field(gt=0, le=20, description="two holes for pins that hold the fins stacked for sanding")
    ] = None
    cant: Annotated[
        Angle,
        Field(
            ge=-math.radians(5.0),
            le=math.radians(5.0),
            description="turn about the radius through the middle of the root; + turns the leading edge to more roll",
        ),
    ] = 0.0
    body_diameter: Annotated[
        Length | None, Field(gt=0, le=1000, description="outside diameter of the tube that it stands on")
    ] = None
    body_inside_diameter: Annotated[Length | None, Field(gt=0, le=1000, description="inside diameter of that tube")] = (
        None
    )
    motor_tube_diameter: Annotated[
        Length | None, Field(gt=0, le=1000, description="outside diameter of the tube that the tab reaches down to")
    ] = None
    fillet_radius: Annotated[
        Length | None, Field(gt=0, le=100, description="radius of the glue fillets outside, on both sides of the root")
    ] = None
    inner_fillet_radius: Annotated[
        Length | None,
        Field(gt=0, le=100, description="radius of those on both sides of the tab, on motor tube and inside the body"),
    ] = None
    fillet_material: Annotated[
        MaterialName, Field(description="what fillets are made of, by its name in the table")
    ] = "epoxy"

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Tab depth from the airframe's outside to the motor tube, and the diameters of the tubes themselves."""
        found = super().derived(stated, near)
        fits, around = near.fits, near.around
        if fits and around and "tab_length" in stated and "tab_depth" not in stated:
            found["tab_depth"] = tab_depth(fits, around)
        if fits and "body_diameter" not in stated:
            found["body_diameter"] = as_measured(fits, "outside")
        if fits and "body_inside_diameter" not in stated:
            found["body_inside_diameter"] = as_measured(fits, "inside")
        if around and "motor_tube_diameter" not in stated:
            found["motor_tube_diameter"] = as_measured(around, "outside")
        return found

    @model_validator(mode="after")
    def _goes_together(self) -> Self:
        """What no shape shows: the tab against the tubes, and fillets that have room.

        Raises:
            PartError: they do not go together.
        """
        check_reach(self._tab(), self.body_diameter, self.body_inside_diameter, self.motor_tube_diameter)
        if self.body_diameter is not None and self.thickness >= self.body_diameter:
            raise PartError(f"thickness: {self.thickness:g} mm is not less than the body, {self.body_diameter:g} mm")
        self.companions()
        return self

    # --- planform -----------------------------------------------------------------------------------------------------

    def sides(self) -> tuple[Side, ...]:
        """Its sides outside the body, from the root leading edge round to the root trailing edge.

        Raises:
            PartError: a size is missing or not of this planform, or the outline cannot be cut.
        """
        self._check_sizes()
        root, tip, span, sweep = self.root_chord, self.tip_chord or 0.0, self.semi_span or 0.0, self.sweep_length or 0.0
        match self.planform:
            case "trapezoid":
                return trapezoid(root, tip, span, sweep)
            case "elliptic":
                return ellipse(root, span)
            case _:
                return drawn(root, self.points)

    def _check_sizes(self) -> None:
        name, needed = _PLANFORMS[self.planform]
        stated = {one for one in _SIZES if getattr(self, one) not in (None, ())}
        missing = [one for one in needed if one not in stated]
        if missing:
            more = f", and {' and '.join(missing[1:])} too" if missing[1:] else ""
            raise PartError(f"{missing[0]}: {name} needs it{more}, and it is not stated")
        foreign = [one for one in _SIZES if one in stated and one not in needed]
        if foreign:
            raise PartError(
                f"{foreign[0]}: {name} has its outline from root_chord and {' and '.join(needed)}; leave it out"
            )
        bent = next((place for place, one in enumerate(self.points, 1) if one.way != "straight"), None)
        if self.planform == "polygon" and bent is not None:
            raise PartError(f"points: entry {bent} is a curve, and a polygon has none; planform 'curved' has")

    @property
    def span(self) -> float:
        """Tube surface to the outermost point [mm]."""
        return self.exposed().box()[3]

    def exposed(self) -> Outline:
        """One fin outside the tube: its root on y = 0 with the leading edge at the origin."""
        return Outline(round_about(bottom(self.root_chord, None), self.sides()))

    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Root leading edge, root trailing edge, tip trailing edge, tip leading edge of a trapezoid [mm].

        Raises:
            PartError: the fin is none.
        """
        if self.planform != "trapezoid":
            raise PartError(f"planform: {_PLANFORMS[self.planform][0]} has not the four corners of a trapezoid")
        first, last = self.sides()[0].pieces[0], self.sides()[-1].pieces[0]
        return first.start, last.end, last.start, first.end

    def fin_set(self) -> FinSet:
        """The fin as the air meets it."""
        return FinSet(self.exposed(), self.thickness, cant=self.cant, fillet_radius=self.fillet_radius or 0.0)

    def extent(self) -> tuple[float, float]:
        """Foremost and aftmost station of the fin from its root leading edge."""
        first, _, last, _ = self.exposed().box()
        return first, last

    # --- tab ----------------------------------------------------------------------------------------------------------

    def _tab(self) -> Tab | None:
        # None is wanted where a length of 0 is stated, though the tubes give a depth for one.
        none = self.tab_length == 0.0 and "tab_length" in self.model_fields_set
        depth = 0.0 if none else self.tab_depth
        plain = plain_tab(self.root_chord, self.tab_length, depth, self.tab_position)
        return notched(plain, self.notch_positions, self.notch_length, self.notch_depth)

    def tab(self) -> tuple[Point, ...]:
        """Corners of the tab from its forward end, notches left out, or nothing without a tab [mm].

        Raises:
            PartError: the tab is half stated, or not under the root.
        """
        found = self._tab()
        return found.corners() if found else ()

    def through_thickness(self) -> float:
        """Thickness of what goes through the tube's wall [mm]."""
        return self.thickness if self.tab_thickness is None else self.tab_thickness

    def root_gap(self) -> float | None:
        """How far the faces of a flat root stand off the tube [mm]; None where the tube is not stated."""
        return None if self.body_diameter is None else stands_off(self.body_diameter, self.thickness)

    def tab_gap(self) -> float | None:
        """How far the faces of the tab's flat end stand off a motor tube that its middle touches [mm].

        None without a tab, or where the motor tube is not stated.
        """
        if self.motor_tube_diameter is None or not self.tab() or self.through_thickness() >= self.motor_tube_diameter:
            return None
        return stands_off(self.motor_tube_diameter, self.through_thickness())

    def tab_short_of(self) -> float | None:
        """How far the tab ends from the motor tube [mm] where that is too far to be glued; None where it is not."""
        return short_of(self._tab(), self.body_diameter, self.motor_tube_diameter)

    # --- edges, holes, solid ------------------------------------------------------------------------------------------

    def worked(self) -> tuple[WorkedEdge, ...]:
        """The edges that are rounded or bevelled, from the root leading edge on.

        Raises:
            PartError: an edge cannot be worked so, or down into the fillets.
        """
        fillets, asked = self.fillet_radius or 0.0, self._asked()
        clearance = max(USUAL_CLEARANCE, fillets) if self.edge_clearance is None else self.edge_clearance
        if clearance < fillets and any(one.work != AS_CUT for one in asked):
            raise PartError(
                f"edge_clearance: {clearance:g} mm lets edges be worked down into the fillets of {fillets:g} mm, which "
                f"need the flat face; at least {fillets:g} mm, or leave it out"
            )
        return worked_edges(asked, self.exposed(), self.thickness, clearance)

    def _asked(self) -> tuple[Asked, ...]:
        sides = self.sides()
        named = {"leading edge": "leading_edge", "tip": "tip_edge", "trailing edge": "trailing_edge"}
        known = {side.name for side in sides}
        for name, field in named.items():
            if getattr(self, field) == AS_CUT:
                continue
            if self.edges:
                raise PartError(f"{field}: edges says how every edge is worked; state one of the two")
            if self.points:
                raise PartError(f"{field}: edges says how those of a {self.planform} fin are worked, in order")
            if name not in known:
                raise PartError(f"{field}: {_PLANFORMS[self.planform][0]} without a tip chord has no edge at its tip")
        if not self.edges:
            works: tuple[tuple[str, EdgeWork], ...] = tuple(
                (named[side.name], getattr(self, named[side.name])) if side.name in named else ("edges", AS_CUT)
                for side in sides
            )
        elif len(self.edges) in (1, len(sides)):
            works = tuple(("edges", work) for work in (self.edges if len(self.edges) > 1 else self.edges * len(sides)))
        else:
            raise PartError(
                f"edges: the fin has {len(sides)} edges, and {len(self.edges)} are stated; one stands for all"
            )
        for_all = len(self.edges) == 1
        return tuple(Asked(side, field, work, for_all) for side, (field, work) in zip(sides, works, strict=True))

    def pin_holes(self) -> tuple[tuple[Point, float], ...]:
        """Middle and radius of each hole for a stacking pin [mm].

        Raises:
            PartError: there is no room for them.
        """
        if self.pin_hole_diameter is None:
            return ()
        places = pin_places(self.pin_hole_diameter, self.exposed(), self._tab(), self.worked())
        return tuple((place, self.pin_hole_diameter / 2.0) for place in places)

    def outline(self) -> Outline:
        """The fin with its tab and its holes, forward to the left, tip upwards."""
        loop = round_about(bottom(self.root_chord, self._tab()), self.sides())
        return Outline(loop, tuple(hole(radius, middle) for middle, radius in self.pin_holes()))

    def template(self) -> Outline | None:
        """The outline to cut; none of an aerofoil, which is printed."""
        return self.outline() if self.section == "flat" else None

    def shape(self) -> Shape:
        """The fin in its own frame.

        Raises:
            PartError: something is stated that this section or planform does not have.
        """
        if self.section != "flat":
            return self._aerofoil()
        for name in ("trailing_edge_thickness", "tab_thickness"):
            if getattr(self, name) is not None:
                raise PartError(f"{name}: is of an aerofoil; the section is flat, of one sheet")
        outline, sides = self.outline(), self.sides()
        # The outline ends with the sides, the leading edge last.
        after = [sum(len(side.pieces) for side in sides[: place + 1]) for place in range(len(sides))]
        forms = (edge.edge_form(len(outline.outer) - after[edge.place]) for edge in self.worked())
        return Blade(outline, self.thickness, tuple(forms))

    def _aerofoil(self) -> Shape:
        if self.planform != "trapezoid":
            raise PartError(f"section: {_PLANFORMS[self.planform][0]} is flat; an aerofoil is made for a trapezoid")
        if not self.may_be_printed:
            raise PartError(f"section: an aerofoil is printed, and {self.material} is not a plastic")
        worked = next((one.field for one in self._asked() if one.work != AS_CUT), None)
        if worked:
            raise PartError(f"{worked}: an aerofoil has its edges from its section; leave it as cut")
        if self.pin_hole_diameter is not None:
            raise PartError("pin_hole_diameter: pins hold flat fins stacked; an aerofoil is printed")
        if self.tab_thickness is not None and not self.tab_length:
            raise PartError("tab_thickness: is of a tab, and the fin has none (tab_length)")
        trailing = USUAL_TRAILING if self.trailing_edge_thickness is None else self.trailing_edge_thickness
        sizes = (self.root_chord, self.tip_chord or 0.0, self.semi_span or 0.0, self.sweep_length or 0.0)
        return aerofoil_shape(sizes, self.thickness, trailing, self._tab(), self.through_thickness())

    def pose(self) -> Placement:
        """Flat on the table; an aerofoil stands on its root, for neither of its sides is flat."""
        return (
            moved(z=self.thickness / 2.0)
            if self.section == "flat"
            else on_its_root(self.tab_depth if self.tab() else 0.0)
        )

    def sheet_thickness(self) -> float | None:
        """Thickness of the sheet [mm]; None of an aerofoil, which is printed."""
        return self.thickness if self.section == "flat" else None

    # --- what comes with it, what is drawn on it ----------------------------------------------------------------------

    def companions(self) -> tuple[Companion, ...]:
        """Its glue fillets: outside along the root, and along the tab on the motor tube and inside the body.

        Raises:
            PartError: a tube's diameter is not stated, or they have no room.
        """
        found: list[Companion] = []
        if (radius := self.fillet_radius) is not None:
            found.append(self._fillets("fillets", "fillet_radius", radius, "body_diameter"))
        if (radius := self.inner_fillet_radius) is not None:
            if not self.tab():
                raise PartError("inner_fillet_radius: lie along the tab, and the fin has none (tab_length)")
            found.append(self._fillets("inner fillets", "inner_fillet_radius", radius, "body_inside_diameter"))
            found.append(self._fillets("motor tube fillets", "inner_fillet_radius", radius, "motor_tube_diameter"))
            room = found[-2].radius - found[-1].radius
            if 2.0 * radius > room:
                raise PartError(
                    f"inner_fillet_radius: fillets of {radius:g} mm inside the body and on the motor tube need "
                    f"{2.0 * radius:g} mm between the two, and there are {room:g} mm"
                )
        return tuple(found)

    def _fillets(self, word: str, field: str, radius: float, tube: str) -> Companion:
        diameter: float | None = getattr(self, tube)
        if diameter is None:
            raise PartError(f"{field}: needs {tube} (or name the tube with {'around' if 'motor' in tube else 'fits'})")
        along = (0.0, self.root_chord) if tube == "body_diameter" else (self.tab()[0][0], self.tab()[3][0])
        try:
            part = Fillet.build(
                radius=mm(radius),
                length=mm(along[1] - along[0]),
                fin_thickness=mm(self.thickness if tube == "body_diameter" else self.through_thickness()),
                surface_diameter=mm(diameter),
                side="inside" if tube == "body_inside_diameter" else "outside",
                material=self.fillet_material,
            )
        except DesignError as error:
            raise PartError(f"{field}: {error.problems[0].message}") from None
        return Companion(word, part, along[0], diameter / 2.0)

    def flat_views(self) -> tuple[FlatView, ...]:
        """The fin from the side, and a section across it."""
        from .fin_measures import fin_views  # noqa: PLC0415  it measures this kind, and so imports it

        return fin_views(self, self._tab())

    def marks(self) -> tuple[Mark, ...]:
        """Names of the edges, the root line, the grain, and the sizes that a ruler can check."""
        if self.section != "flat":
            return ()
        from .fin_marks import fin_marks  # noqa: PLC0415  it draws this kind, and so imports it

        return fin_marks(self)


USUAL_CLEARANCE = 5.0
"""Height above the tube's surface below which edges stay as cut where it is not stated [mm] (common practice)."""

_SIZES = ("tip_chord", "semi_span", "sweep_length", "points")

_PLANFORMS = {
    "trapezoid": ("a trapezoid", ("tip_chord", "semi_span", "sweep_length")),
    "elliptic": ("an elliptic fin", ("semi_span",)),
    "polygon": ("a polygon", ("points",)),
    "curved": ("a curved fin", ("points",)),
}
"""Every planform in words, and the sizes besides the root chord that it needs; it takes none of the others."""
