"""Noses to cut into sections: outside, inside and joints, put together from profiles as a kind would do it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely
import trimesh

from ferrule.parts.chain import Chain, reverse
from ferrule.parts.curve import Line
from ferrule.parts.envelope import lowest
from ferrule.parts.inner_profile import inner_profile
from ferrule.parts.joint import Joint, collar, joint_at
from ferrule.parts.profiles import Family, Profile
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import Edge, Loop, Meridian, Revolved, Shape, edges
from ferrule.parts.split import Section, sections

LENGTH, RADIUS = 250.0, 34.15
SHOULDER, SHOULDER_RADIUS, SHOULDER_WALL = 68.0, 32.65, 2.4
END = LENGTH + SHOULDER


@dataclass(frozen=True)
class Sample:
    """A nose, and how it is joined."""

    family: Family
    solid: bool
    stations: tuple[float, ...]
    wall: float = 1.6
    socket_wall: float = 1.6
    spigot_wall: float = 1.6
    spigot_length: float = 15.0
    gap: float = 0.12

    @property
    def profile(self) -> Profile:
        return Profile(self.family, LENGTH, RADIUS)

    @property
    def skin(self) -> Chain:
        return self.profile.chain()

    @cached_property
    def joints(self) -> tuple[Joint, ...]:
        sizes = (self.spigot_length, self.gap, self.socket_wall, self.spigot_wall, self.solid)
        return tuple(joint_at(self.skin, station, *sizes) for station in self.stations)

    @cached_property
    def inner(self) -> Loop:
        if self.solid:
            return ()
        plain = inner_profile(self.skin, self.wall)
        bore, flare, first = SHOULDER_RADIUS - SHOULDER_WALL, LENGTH - SHOULDER_WALL, plain[0].start[0]
        shoulder = (Line((first, bore + flare - first), (flare, bore)), Line((flare, bore), (END, bore)))
        return edges(reverse(lowest((plain, shoulder, *(clipped(collar(joint)) for joint in self.joints)))))

    @cached_property
    def outer(self) -> Loop:
        bore = 0.0 if self.solid else SHOULDER_RADIUS - SHOULDER_WALL
        rear = (
            Edge(Line((LENGTH, RADIUS), (LENGTH, SHOULDER_RADIUS)), "seat"),
            Edge(Line((LENGTH, SHOULDER_RADIUS), (END, SHOULDER_RADIUS)), "fit"),
            Edge(Line((END, SHOULDER_RADIUS), (END, bore))),
        )
        return (*edges(self.skin, "wetted"), *rear)

    @cached_property
    def whole(self) -> Revolved:
        loop = (*self.outer, *self.inner)
        return Revolved(Meridian((*loop, Edge(Line(loop[-1].piece.end, loop[0].piece.start)))))

    def sections(self, *tools: Shape) -> tuple[Section, ...]:
        return sections(self.outer, self.inner, tools, self.joints)


def clipped(chain: Chain) -> Chain:
    """The part of a limit ahead of the end of the nose."""
    kept = [piece for piece in chain if piece.start[0] < END]
    run = kept[-1].end[0] - kept[-1].start[0]
    return (*kept[:-1], kept[-1].part(0.0, min((END - kept[-1].start[0]) / run, 1.0)))


SAMPLES = {
    "von Karman in 2": Sample("von-karman", False, (166.5,)),
    "von Karman in 4": Sample("von-karman", False, (95.0, 150.0, 210.0)),
    "von Karman solid in 3": Sample("von-karman", True, (126.0, 222.0)),
    "ogive in 3, thick sockets": Sample("tangent-ogive", False, (110.0, 190.0), wall=0.8, socket_wall=2.0, gap=0.2),
    "ogive solid in 2": Sample("tangent-ogive", True, (150.0,), socket_wall=4.0, spigot_length=20.0),
    "cone in 4, thick wall": Sample(
        "cone", False, (110.0, 155.0, 205.0), wall=2.6, socket_wall=1.2, spigot_length=12.0
    ),
    "cone in 2, thick spigot": Sample("cone", False, (170.0,), spigot_wall=4.0, gap=0.05),
    "cone solid in 2": Sample("cone", True, (180.0,)),
}


def facets(shape: Shape) -> trimesh.Trimesh:
    """The print mesh of a shape for trimesh."""
    found = mesh(shape)
    return trimesh.Trimesh(found.vertices, found.triangles, process=False)


def across(body: trimesh.Trimesh, station: float) -> Any:
    """Section of a mesh square to the axis at a station, in (y, z), for shapely."""
    cut = body.section(plane_origin=[station, 0.0, 0.0], plane_normal=[1.0, 0.0, 0.0])
    region = shapely.Polygon()
    for ring in cut.discrete if cut is not None else ():
        region = region.symmetric_difference(shapely.Polygon(ring[:, 1:]))
    return region


def radii(sample: Sample, x: np.ndarray) -> np.ndarray:
    """Radius of the skin by the formula of its family, which the chain of pieces only follows [mm]."""
    return sample.profile.radius(np.asarray(x))


def lean(sample: Sample, x: float) -> float:
    """Lean of the skin to the axis by differences of the formula [rad]."""
    low, high = radii(sample, np.array([x - 1e-4, x + 1e-4]))
    return math.atan((high - low) / 2e-4)
