"""The fins of a fin can: one fin sunk into the sleeve, and the fillets along its root."""

from __future__ import annotations

import math
from typing import Annotated, Literal, NamedTuple

from pydantic import Field

from ..aerofoil import aerofoil_fin
from ..curve import Arc, Line, Point
from ..errors import PartError
from ..fin_set import FinSet, rolls_of
from ..params import Angle, Count, Length
from ..part import Part
from ..shape import Blade, Edge, Loop, Outline, Placed, Placement, Plate, Ruled, Shape, canted, moved, polygon, rolled
from .fin_edge_work import AS_CUT, EdgeWork, WorkOfEdge
from .fin_edges import Asked, WorkedEdge, worked_edges
from .fin_planform import Side, round_about, trapezoid
from .fin_section import USUAL_TRAILING
from .hole_circle import LEAST_WEB

USUAL_FILLET = 4.0
"""Radius of the fillets where it is not stated [mm] (common practice)."""

_FEATHER = 0.02
"""Fillets end where they are this thick [mm]: no printer lays less."""

_LEAST_FILLET = 0.2
"""A fillet of this radius is none [mm]: half a line of a print (common practice)."""

_INSIDE = 0.05
"""How far the ends of a fillet stay inside its fin, and worked edges off the fillet or the sleeve [mm]."""

_SHORTEST_FILLET = 1.0
"""A fillet shorter than this is none [mm]."""


class Root(NamedTuple):
    """The section of both fillets of a fin at roll 0, in the (y, z) plane of the sleeve.

    Attributes:
        outline: from the sleeve's mid-wall over the free faces to across the fin, sunk into both.
        lean: angle at the axis from the fin's middle plane to where a free face ends on the sleeve [rad].
        height: sleeve's surface to where the free faces end on the fin [mm].
    """

    outline: Outline
    lean: float
    height: float


class FinCanFins(Part):
    """The fields of the fins; the sleeve beneath them is the kind's."""

    fin_count: Annotated[Count, Field(ge=3, le=8, description="fins, evenly round with the rail line mid-way")]
    root_chord: Annotated[Length, Field(gt=0, le=3000, description="chord at the sleeve's surface")]
    tip_chord: Annotated[Length, Field(ge=0, le=3000, description="chord at the tip; 0 makes a triangle")]
    semi_span: Annotated[Length, Field(gt=0, le=1500, description="sleeve's surface to tip, of one fin")]
    sweep_length: Annotated[
        Length, Field(ge=-3000, le=3000, description="how far the tip's leading edge lies aft of the root's")
    ]
    thickness: Annotated[Length, Field(gt=0, le=50, description="thickness of the fins, of an aerofoil its largest")]
    fin_position: Annotated[
        Length | None,
        Field(
            ge=0,
            le=3000,
            description="sleeve's forward end to the root leading edges; the roots end with the sleeve if not stated",
        ),
    ] = None
    section: Annotated[
        Literal["flat", "naca-four-digit"],
        Field(description="section of the fins: flat, or the symmetric aerofoil of four digits"),
    ] = "flat"
    trailing_edge_thickness: Annotated[
        Length, Field(ge=0, le=10, description="aerofoil: thickness of its trailing edge at the root")
    ] = USUAL_TRAILING
    leading_edge: Annotated[
        WorkOfEdge, Field(description="flat: the leading edge: as cut, round, or bevel with two of depth, angle, land")
    ] = AS_CUT
    trailing_edge: Annotated[WorkOfEdge, Field(description="flat: the trailing edge, in the same words")] = AS_CUT
    tip_edge: Annotated[WorkOfEdge, Field(description="flat: the tip, in the same words")] = AS_CUT
    root_fillet_radius: Annotated[
        Length | None,
        Field(
            ge=0,
            le=100,
            description="radius of the fillets printed along the roots, 0 for none; 4 mm if not stated on flat fins "
            "without cant, else none",
        ),
    ] = None
    cant: Annotated[
        Angle,
        Field(
            ge=-math.radians(5.0),
            le=math.radians(5.0),
            description="turn of each fin about the radius through the middle of its root, leading edge to more roll",
        ),
    ] = 0.0

    # --- what the kind says -------------------------------------------------------------------------------------------

    @property
    def sleeve_radius(self) -> float:
        """Outside radius of the sleeve [mm]."""
        raise NotImplementedError

    @property
    def sink(self) -> float:
        """How deep the roots go below the sleeve's surface [mm]."""
        raise NotImplementedError

    @property
    def root_position(self) -> float:
        """Sleeve's forward end to the root leading edges [mm]."""
        raise NotImplementedError

    # --- one fin ------------------------------------------------------------------------------------------------------

    @property
    def fillet(self) -> float:
        """Radius of the fillets [mm]; 0 for none."""
        if self.root_fillet_radius is not None:
            return self.root_fillet_radius
        return USUAL_FILLET if self.section == "flat" and self.cant == 0.0 else 0.0

    def fin_rolls(self) -> tuple[float, ...]:
        """Roll of each fin [rad], the first past the rail line first."""
        return rolls_of(self.fin_count)

    def planform(self) -> Outline:
        """One fin outside the sleeve, root leading edge at the origin [mm]."""
        bottom = (Edge(Line((0.0, 0.0), (self.root_chord, 0.0)), "seat"),)
        return Outline(round_about(bottom, self._sides()))

    def _sides(self) -> tuple[Side, ...]:
        return trapezoid(self.root_chord, self.tip_chord, self.semi_span, self.sweep_length)

    def fin_set(self) -> FinSet:
        """The fins as the air meets them."""
        return FinSet(
            self.planform(), self.thickness, self.root_position, self.fin_count, self.sleeve_radius, self.cant
        )

    def fin(self) -> Placed:
        """One fin at roll 0 in the sleeve's frame, its root sunk into the wall.

        Raises:
            PartError: the fins meet, a root does not go into the sleeve, or an edge cannot be worked so.
        """
        self._check_roots()
        seat = moved(self.root_position, self.sleeve_radius)
        return Placed(self._blade(), seat.after(self._turned()))

    def fins_at(self, rolls: tuple[float, ...]) -> tuple[Placed, ...]:
        """Fins at some rolls [rad], then their fillets.

        Raises:
            PartError: as for one fin and its fillets.
        """
        # Not an array of a fin that is rolled itself: the box round that would be rolled once more, and be too large.
        ones = [one for one in (self.fin(), self.fillets()) if one is not None]
        return tuple(Placed(one.shape, rolled(roll).after(one.placement)) for one in ones for roll in rolls)

    def _turned(self) -> Placement:
        """The turn by the cant about the middle of the root."""
        if self.cant == 0.0:
            return Placement()
        return canted(self.cant, self.root_chord / 2.0)

    def _blade(self) -> Shape:
        if self.section != "flat":
            self._check_plain_edges()
            return self._aerofoil()
        deep, root = -self.sink, self.root_chord
        foot = polygon(((0.0, 0.0), (0.0, deep), (root, deep), (root, 0.0)))[:-1]
        sides, worked = self._sides(), self.worked_fin_edges()
        # In the loop the sides come after the foot, last one first.
        last = len(foot) + len(sides) - 1
        return Blade(
            Outline(round_about(foot, sides)), self.thickness, tuple(one.edge_form(last - one.place) for one in worked)
        )

    def worked_fin_edges(self) -> tuple[WorkedEdge, ...]:
        """The edges of a flat fin that are rounded or bevelled; none of an aerofoil.

        Raises:
            PartError: an edge cannot be worked so.
        """
        if self.section != "flat":
            return ()
        works = self._works()
        # The working stops where the fillets end, so that these lie on the flat of the fin throughout.
        clearance = _INSIDE + (self.root().height if self.fillet else 0.0)
        asked = [Asked(side, *works[side.name]) for side in self._sides()]
        return worked_edges(asked, self.planform(), self.thickness, clearance)

    def _aerofoil(self) -> Ruled:
        return aerofoil_fin(
            self.root_chord,
            self.tip_chord,
            self.semi_span,
            self.sweep_length,
            self.thickness,
            self.trailing_edge_thickness,
            self.sink,
        )

    def _works(self) -> dict[str, tuple[str, EdgeWork]]:
        return {
            "leading edge": ("leading_edge", self.leading_edge),
            "tip": ("tip_edge", self.tip_edge),
            "trailing edge": ("trailing_edge", self.trailing_edge),
        }

    def _check_plain_edges(self) -> None:
        """An aerofoil has its own edges, and no fillets.

        Raises:
            PartError: it is to have others.
        """
        for field, work in self._works().values():
            if work != AS_CUT:
                raise PartError(
                    f"{field}: the edges of an aerofoil are its own; leave it out, or make the section flat"
                )

    def _check_roots(self) -> None:
        """The fins stand apart, and their roots go into the sleeve.

        Raises:
            PartError: they do not.
        """
        radius, half = self.sleeve_radius, self.half_width()
        between = 2.0 * (radius * math.sin(math.pi / self.fin_count) - half * math.cos(math.pi / self.fin_count))
        if half >= radius or between < LEAST_WEB:
            raise PartError(
                f"fin_count: {self.fin_count} fins of {self.thickness:g} mm meet at the root on a sleeve of "
                f"{2.0 * radius:g} mm diameter; at least {LEAST_WEB:g} mm must stay between them"
            )
        corner, most = math.hypot(radius - self.sink, half), radius - self.sink / 5.0
        if corner > most:
            field = "thickness" if self.cant == 0.0 else "cant"
            raise PartError(
                f"{field}: the side of a root, {half:.4g} mm beside the middle of its fin, does not go into the round "
                f"of the sleeve; at most {math.sqrt(most**2 - (radius - self.sink) ** 2):.3g} mm does, and more in a "
                "thicker wall"
            )

    def half_width(self) -> float:
        """How far a root reaches to either side of the radius through its middle [mm]."""
        return self.thickness / 2.0 * math.cos(self.cant) + self.root_chord / 2.0 * abs(math.sin(self.cant))

    # --- fillets ------------------------------------------------------------------------------------------------------

    def fillets(self) -> Placed | None:
        """Both fillets of the fin at roll 0, in the sleeve's frame; None where there are none.

        They run where the fin is as wide as they are high, so that none of them stands free ahead of a swept fin.

        Raises:
            PartError: they do not go with the fin, or meet those of the next.
        """
        if not self.fillet:
            return None
        for field, other in (("section", self.section != "flat"), ("cant", self.cant != 0.0)):
            if other:
                raise PartError(
                    f"root_fillet_radius: a fillet lies along a flat fin without cant; leave it out, or leave {field} "
                    "out"
                )
        root = self.root()
        first, last = self._along(root.height)
        if root.height >= self.semi_span or last - first < _SHORTEST_FILLET:
            raise PartError(
                f"root_fillet_radius: a fillet of {self.fillet:g} mm reaches {root.height:.4g} mm up the fin, where "
                f"{max(last - first, 0.0):.4g} mm of its root lie under it; make it smaller, or 0 for none"
            )
        return Placed(Plate(root.outline, last - first), moved(self.root_position + first))

    def _along(self, height: float) -> tuple[float, float]:
        """First and last of the root that lies under the fin at all heights up to one [mm], from its leading edge."""
        share = height / self.semi_span
        rear = self.sweep_length + self.tip_chord - self.root_chord
        # A little inside slanting edges: a corner that lies right on one makes no sound solid. Behind a square trailing
        # edge they end flush, so that they stand on the bed with the fin.
        first, last = max(0.0, self.sweep_length * share), self.root_chord
        return first + _INSIDE, last + (rear * share - _INSIDE if rear < 0.0 else 0.0)

    def root(self) -> Root:
        """The section of the fillets.

        Their free faces would end in feather edges where they touch fin and sleeve. What is thinner there than any
        printer lays is left out: faces that only touch make no sound solid.

        Raises:
            PartError: the fillets of neighbouring fins meet, or are smaller than a printer lays.
        """
        radius, half, r = self.sleeve_radius, self.thickness / 2.0, self.fillet
        aside, apart = half + r, radius + r
        sine = math.sin(math.pi / self.fin_count)
        most = (radius * sine - half - LEAST_WEB / 2.0) / (1.0 - sine)
        if r > most:
            raise PartError(
                f"root_fillet_radius: fillets of {r:g} mm meet between {self.fin_count} fins on a sleeve of "
                f"{2.0 * radius:g} mm diameter; "
                + (f"at most {math.floor(most * 100.0) / 100.0:g} mm" if most > 0.0 else "0 for none")
            )
        if r <= _LEAST_FILLET:
            raise PartError(f"root_fillet_radius: {r:g} mm is no fillet; above {_LEAST_FILLET:g} mm, or 0 for none")
        top = math.sqrt(apart**2 - aside**2)
        # From the middle of the free face: how far before the fin and the sleeve it is a feather's thickness off them.
        off_fin = math.acos(1.0 - _FEATHER / r)
        off_sleeve = math.acos((apart**2 + r**2 - (radius + _FEATHER) ** 2) / (2.0 * apart * r))
        start, end = -math.pi / 2.0 - off_fin, math.atan2(aside, top) - math.pi + off_sleeve
        free = Arc((top, aside), r, start, end - start)
        lean = math.atan2(free.end[1], free.end[0])
        # Not as deep as the root of the fin, whose flat foot it would touch.
        deep = radius - 0.6 * self.sink
        low: Point = (deep * math.cos(lean), deep * math.sin(lean))
        side: Loop = (Edge(free), Edge(Line(free.end, low)))
        other = tuple(Edge(edge.piece.mirrored().reversed()) for edge in reversed(side))
        foot = Edge(Arc((0.0, 0.0), deep, lean, -2.0 * lean))
        across = Edge(Line(other[-1].piece.end, free.start))
        return Root(Outline((*side, foot, *other, across)), lean, free.start[0] - radius)

    def root_lean(self) -> float:
        """Angle at the axis that a root with its fillets takes up on either side of its fin's middle [rad]."""
        return self.root().lean if self.fillet else math.asin(self.half_width() / self.sleeve_radius)

    # --- stations -----------------------------------------------------------------------------------------------------

    def fin_extent(self) -> tuple[float, float]:
        """First and last station of the fins, their sunk roots included [mm]."""
        first, last = self._stations((-self.sink, self.semi_span))
        return self.root_position + first, self.root_position + last

    def sunk_root(self) -> tuple[float, float]:
        """First and last station of what lies in the sleeve of a fin, from its root leading edge [mm]."""
        return self._stations((-self.sink, 0.0))

    def _stations(self, heights: tuple[float, ...]) -> tuple[float, float]:
        """First and last of a fin at some heights above the sleeve [mm], from its root leading edge.

        A flat fin goes straight down into the sleeve, an aerofoil goes on with its taper; an edge that is worked counts
        as cut.
        """
        middle, turn = self.root_chord / 2.0, math.cos(self.cant)
        found: list[float] = []
        aerofoil = self._aerofoil() if self.section != "flat" else None
        for height in heights:
            if aerofoil is not None:
                share = (height - aerofoil.from_y) / (aerofoil.to_y - aerofoil.from_y)
                first, _, last, _ = aerofoil.section.placed(0.0, 0.0, self.cant).box()
                size, lead = 1.0 + (aerofoil.ratio - 1.0) * share, aerofoil.sweep * share
                found += [middle + (lead - middle) * turn + size * end for end in (first, last)]
                continue
            share = max(height, 0.0) / self.semi_span
            lead, chord = self.sweep_length * share, self.root_chord + (self.tip_chord - self.root_chord) * share
            aside = self.thickness / 2.0 * abs(math.sin(self.cant))
            found += [middle + (lead - middle) * turn - aside, middle + (lead + chord - middle) * turn + aside]
        return min(found), max(found)
