"""The straight round tube that several kinds are made of."""

from __future__ import annotations

from ..shape import Edge, Meridian, Revolved, Role, polygon


def straight_tube(outside: float, inside: float, length: float, skin: Role = "fit") -> Revolved:
    """A straight tube about the axis, forward end at the origin.

    Args:
        outside: radius of its outside [mm].
        inside: radius of its bore [mm], above 0 and below the outside.
        length: end to end [mm].
        skin: role of its outside.
    """
    corners = ((0.0, outside), (length, outside), (length, inside), (0.0, inside))
    roles: tuple[Role, ...] = (skin, "seat", "fit", "seat")
    return Revolved(Meridian(tuple(Edge(edge.piece, role) for edge, role in zip(polygon(corners), roles, strict=True))))
