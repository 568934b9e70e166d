"""Fin can: a sleeve over the airframe with its fins, printed in one."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Annotated, ClassVar

from pydantic import Field

from ..chain import Chain
from ..curve import Line, Point
from ..errors import PartError
from ..fit import Derived, Surroundings, ring_bore
from ..flat_view import FlatView
from ..measures import Measure
from ..params import Angle, Length
from ..part import Printed, register
from ..shape import Array, Cut, Edge, Fused, Meridian, Placement, Revolved, Role, Shape, between_rolls, polygon
from .fin_can_fins import FinCanFins
from .fin_can_measures import fin_can_measures, fin_can_section, fin_can_views
from .fin_can_pieces import FinCanPieces
from .hole_circle import LEAST_WEB
from .screws import ScrewCount, ScrewDiameter, Sleeve, screw_holes


@register
class FinCan(FinCanPieces, FinCanFins):
    r"""A sleeve that slides over the airframe, its fins in one with it; half of it, and one fin, from the side.

    ::

                              <-sweep_length->__________ tip_chord  ^
                                            /          |            |
                                          /            |            | semi_span: sleeve's surface to tip
         forward                        /              |            |
                 ___________.---------/________________|            v
          rim  _/______O____|_________root_chord_______|            ^ wall
              |_bore_diameter__________________________|            v
              <---> forward_taper
              <-------> screw_distance
              <--------- fin_position ->|
              <---------------- length ----------------->

    The roots are sunk into the wall and have a fillet along both sides. A flat fin may have its edges
    rounded or bevelled; an aerofoil has its own. Fins are spaced evenly with the rail line mid-way between two.

    It is printed on its aft end, or on its forward end where only that way no fin hangs in the air. Wider than the bed
    it is printed in `sectors`, cut from end to end mid-way between fins; taller than `section_height` it is cut across.
    The pieces are glued round the airframe tube, which lines them up.
    """

    kind: ClassVar[str] = "fin-can"
    bench_order: ClassVar[int] = 62
    example: ClassVar[dict[str, str]] = {
        "bore_diameter": "66.8 mm",
        "length": "120 mm",
        "fin_count": "3",
        "root_chord": "90 mm",
        "tip_chord": "45 mm",
        "semi_span": "60 mm",
        "sweep_length": "45 mm",
        "thickness": "4 mm",
        "screw_count": "3",
        "material": "petg",
    }

    bore_diameter: Annotated[Length, Field(gt=0, le=500, description="bore, which slides over the airframe")]
    length: Annotated[Length, Field(gt=0, le=3000, description="length of the sleeve, end to end")]
    wall: Annotated[Length, Field(ge=0.8, le=50, description="wall of the sleeve, on the radius")] = 2.4
    forward_taper: Annotated[
        Length | None,
        Field(
            ge=0,
            le=500,
            description="length over which the outside tapers to its forward end, 0 for a square step; 3 walls if not "
            "stated",
        ),
    ] = None
    rim: Annotated[Length, Field(ge=0.4, le=50, description="wall left at the forward end of the taper")] = 0.8
    screw_count: ScrewCount = 0
    screw_diameter: ScrewDiameter = 3.4
    screw_distance: Annotated[
        Length | None,
        Field(
            gt=0,
            le=3000,
            description="forward end to the screws' middles; mid-way between taper and fins if not stated",
        ),
    ] = None
    screw_roll: Annotated[
        Angle | None,
        Field(
            ge=-math.tau,
            le=math.tau,
            description="roll of the first screw, clockwise from the rail line; that of the first fin if not stated",
        ),
    ] = None

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Bore from the outside of the airframe: a sliding fit, printed."""
        found = super().derived(stated, near)
        if near.fits and "bore_diameter" not in stated:
            choice = near.choice
            usual = replace(choice, fit=choice.fit or "slip", process=choice.process or "printed")
            found["bore_diameter"] = ring_bore(near.fits, usual)
        return found

    def walls(self) -> Mapping[str, float]:
        """The sleeve's wall and the fins' thickness."""
        return {"sleeve": self.wall, "fins": self.thickness}

    @property
    def bore_radius(self) -> float:
        """Radius of the bore [mm]."""
        return self.bore_diameter / 2.0

    @property
    def sleeve_radius(self) -> float:
        """Outside radius of the sleeve, behind its taper [mm]."""
        return self.bore_radius + self.wall

    @property
    def sink(self) -> float:
        """How deep the roots go below the sleeve's surface [mm]: to mid-wall; of canted fins deeper, for their ends."""
        return (0.5 if self.cant == 0.0 else 0.8) * self.wall

    @property
    def taper(self) -> float:
        """Length of the taper at the forward end [mm]."""
        return 3.0 * self.wall if self.forward_taper is None else self.forward_taper

    @property
    def root_position(self) -> float:
        """Sleeve's forward end to the root leading edges [mm]."""
        return self.length - self.sunk_root()[1] if self.fin_position is None else self.fin_position

    # --- shape --------------------------------------------------------------------------------------------------------

    def shape(self) -> Fused | Cut:
        """The fin can about its axis, the sleeve's forward end at the origin.

        Raises:
            PartError: the sleeve, the fins, the fillets, the screws or the pieces do not go together.
        """
        return _built(self)

    def _build(self) -> Fused | Cut:
        body = Fused((*self.fins_at(self.fin_rolls()), self.sleeve()))
        self._check_place()
        holes = self.screws()
        self.check_pieces()
        return Cut(body, (holes,)) if holes else body

    def sleeve(self) -> Revolved:
        """The sleeve without its fins.

        Raises:
            PartError: the taper is longer than it, or leaves nothing of its wall.
        """
        taper, bore = self.taper, self.bore_radius
        if taper >= self.length:
            raise PartError(f"forward_taper: {taper:g} mm is not less than the sleeve's length, {self.length:g} mm")
        if taper and self.rim >= self.wall:
            raise PartError(f"rim: {self.rim:g} mm is not less than the wall, {self.wall:g} mm; nothing tapers")
        corners: list[tuple[Point, Role]] = [
            *((line.start, "wetted") for line in map(_line, self.skin())),
            ((self.length, self.sleeve_radius), "seat"),
            ((self.length, bore), "fit"),
            ((0.0, bore), "seat"),
        ]
        loop = polygon(tuple(point for point, _ in corners))
        return Revolved(Meridian(tuple(Edge(edge.piece, role) for edge, (_, role) in zip(loop, corners, strict=True))))

    def skin(self) -> Chain:
        """The outside of the sleeve from its forward end aft."""
        radius, taper = self.sleeve_radius, self.taper
        straight = Line((taper, radius), (self.length, radius))
        return (Line((0.0, self.bore_radius + self.rim), straight.start), straight) if taper else (straight,)

    def _check_place(self) -> None:
        """The roots lie on the straight of the sleeve.

        Raises:
            PartError: they do not.
        """
        first, last = self.sunk_root()
        room = self.length - self.taper
        if last - first > room + _SAME:
            raise PartError(
                f"root_chord: a root of {last - first:.4g} mm does not lie on the sleeve, of which {room:g} mm are "
                "straight behind the taper"
            )
        least, most = self.taper - first, self.length - last
        if not least - _SAME <= self.root_position <= most + _SAME:
            raise PartError(
                f"fin_position: a root of {last - first:.4g} mm from {self.root_position:g} mm on does not lie on the "
                f"straight of the sleeve, {self.taper:g} to {self.length:g} mm; from {least:.4g} to {most:.4g} mm it "
                "does"
            )

    # --- screws -------------------------------------------------------------------------------------------------------

    def screws(self) -> Array | None:
        """The holes for screws into the airframe; None without.

        Raises:
            PartError: they leave the sleeve, lie in its taper, or run into a fin or a fillet.
        """
        if not self.screw_count:
            return None
        ahead = self.root_position + self.sunk_root()[0]
        needs = self.screw_diameter + 2.0 * LEAST_WEB
        distance = self.screw_distance
        if distance is None:
            if ahead - self.taper < needs:
                raise PartError(
                    "screw_distance: is needed and not stated; between taper and fins there are "
                    f"{max(ahead - self.taper, 0.0):.4g} mm, and a hole of {self.screw_diameter:g} mm needs {needs:g} "
                    "mm"
                )
            distance = (self.taper + ahead) / 2.0
        first, last = distance - needs / 2.0, distance + needs / 2.0
        sleeve = Sleeve("sleeve", "the forward end", 0.0, self.length, self.sleeve_radius, self.wall)
        holes = screw_holes(sleeve, self.screw_count, self.screw_diameter, distance, self._first_screw())
        if first < self.taper - _SAME:
            raise PartError(
                f"screw_distance: holes of {self.screw_diameter:g} mm at {distance:g} mm lie in the taper, which ends "
                f"at {self.taper:g} mm; at least {self.taper + needs / 2.0:g} mm"
            )
        if last > ahead + _SAME and first < self.root_position + self.sunk_root()[1] - _SAME:
            self._check_beside(distance)
        return holes

    def _first_screw(self) -> float:
        return math.pi / self.fin_count if self.screw_roll is None else self.screw_roll

    def screw_rolls(self) -> tuple[float, ...]:
        """Roll of each screw [rad]."""
        return tuple(self._first_screw() + index * math.tau / self.screw_count for index in range(self.screw_count))

    def _check_beside(self, distance: float) -> None:
        """Screws beside the roots stand clear of fins and fillets.

        Raises:
            PartError: they do not.
        """
        half = math.asin(min((self.screw_diameter / 2.0 + LEAST_WEB) / self.sleeve_radius, 1.0))
        for screw in self.screw_rolls():
            for number, fin in enumerate(self.fin_rolls(), 1):
                if between_rolls(screw, fin) < half + self.root_lean():
                    raise PartError(
                        f"screw_roll: a screw at a roll of {math.degrees(screw):.4g} deg, {distance:g} mm from the "
                        f"forward end, runs into fin {number} at {math.degrees(fin):.4g} deg; move it ahead of the "
                        "roots or between the fins"
                    )

    # --- drawing ------------------------------------------------------------------------------------------------------

    def section_shape(self) -> Shape:
        """The sleeve without its fins, with its screw holes."""
        return fin_can_section(self)

    def measures(self) -> tuple[Measure, ...]:
        """The sleeve, and where the fins stand on it."""
        return fin_can_measures(self)

    def flat_views(self) -> tuple[FlatView, ...]:
        """One of its fins from the side."""
        return fin_can_views(self)

    # --- place --------------------------------------------------------------------------------------------------------

    def pose(self) -> Placement:
        """Standing on its aft end, or on its forward end where only that way no fin hangs in the air."""
        return self.standing(*self.extent())

    def printed_pieces(self) -> tuple[Printed, ...]:
        """The pieces: section by section from the forward end, in each sector by sector from the rail line."""
        return self.pieces() or super().printed_pieces()

    def extent(self) -> tuple[float, float]:
        """First and last station of the sleeve and its fins."""
        first, last = self.fin_extent()
        return min(0.0, first), max(self.length, last)


_SAME = 1e-9
"""Places nearer than this [mm] are the same."""


def _line(piece: object) -> Line:
    assert isinstance(piece, Line)  # noqa: S101  a sleeve has no other; this tells the type checker
    return piece


@lru_cache(maxsize=128)
def _built(can: FinCan) -> Fused | Cut:
    """Built once: every check and figure of a design asks for its shape again."""
    return can._build()
