"""The steps that make a nose of its prints: what the screws go into, rod and ballast, and the sections glued."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..parts.hardware import Insert, sized
from ..parts.kinds import NoseCone
from .build_step import Step
from .rocket import Item


def nose_steps(item: Item, nose: NoseCone) -> Iterator[Step]:
    """Steps before the nose goes onto its tube, in the order in which a hand still reaches in.

    Args:
        item: the nose in its place.
        nose: the part.
    """
    if nose.screws and nose.body == "hollow" and nose.screw_into != "hole":
        yield _screws(item, nose)
    if nose.rod_size is not None:
        yield _rod(item, nose)
    elif nose.ballast_mass is not None:
        yield _ballast(item, nose)
    if nose.built().joints:
        yield _sections(item, nose)


def _screws(item: Item, nose: NoseCone) -> Step:
    place = item.stations[0] + nose.length + nose.screw_place(nose.sleeve())
    if nose.screw_into == "insert":
        depth = sized(Insert, nose.screw_size).length
        return Step(
            f"Melt {nose.screws} {nose.screw_size} inserts into {item.name}",
            (item.name,),
            f"shoulder at {place:.2f} mm",
            check=f"Each stands square and ends flush, {depth:g} mm deep; a screw turns in by hand.",
            caution="Not too hot and not too fast: an insert that has been pushed through its wall holds nothing.",
        )
    return Step(
        f"Press {nose.screws} {nose.screw_size} nuts into {item.name}",
        (item.name,),
        f"pockets inside the shoulder at {place:.2f} mm",
        "a drop of glue on the flats of each nut",
        ("the threads",),
        "A screw from outside turns in by hand.",
        "Turn a greased screw in while the glue sets, and out again after it.",
    )


def _rod(item: Item, nose: NoseCone) -> Step:
    built = nose.built()
    hole, *pockets = built.bores
    start, opening = hole.start, built.cavity[0].start[0] if built.cavity else nose.rear
    # A pocket is wider than the rod's hole, and begins with a cone of 45 degrees.
    opening = min([opening, *(pocket.start - pocket.radius + hole.radius for pocket in pockets)])
    rod, *rest = nose.carried()
    dowels = "; dowels across it at " + ", ".join(f"{x:g} mm" for x in nose.dowel_distances)
    held = {"washers": "between nuts that are locked in pairs", "ballast": "held by a washer and two nuts on the rod"}
    stack = "".join(f"; {one.description}, {held[one.word]}" for one in rest)
    return Step(
        f"Bed the rod in {item.name}",
        (item.name,),
        f"hole from {start:.2f} to {opening:.2f} mm from the tip{dowels if nose.dowel_distances else ''}",
        f"epoxy in the hole over {opening - start:.2f} mm",
        ("the rod's thread behind it",),
        f"{rod.description}; it runs along the axis, and turns nowhere{stack}.",
        "Scuff the rod and free it of oil. Ballast is held by nuts, never by glue alone.",
    )


def _ballast(item: Item, nose: NoseCone) -> Step:
    (ballast,) = nose.carried()
    return Step(
        f"Put the ballast into {item.name}",
        (item.name,),
        f"pocket on the axis, its middle at {ballast.station:.2f} mm from the tip",
        check=f"{ballast.description}, weighed; a plate over the pocket, screwed or glued in, holds it.",
        caution="Shake it: ballast that can move comes out in flight.",
    )


def _sections(item: Item, nose: NoseCone) -> Step:
    joints = nose.built().joints
    places = ", ".join(f"{item.stations[0] + joint.station:.2f} mm" for joint in joints)
    area = sum(math.tau * joint.spigot_radius * joint.spigot_length for joint in joints) / 100.0
    return Step(
        f"Glue the {len(joints) + 1} sections of {item.name}",
        (item.name,),
        f"joint{'s' if len(joints) > 1 else ''} at {places} from the nose tip",
        f"spigots, scuffed, and their grooves: {area:.0f} cm2",
        ("the skin", "whatever the inside still has to let through"),
        "Dry first: the keys let them go together one way only, and the ring faces meet all round.",
        "Roll it on a flat table before the glue sets: the tip must not wander.",
        photograph="the inside of both sections: rod, ballast and what the screws go into",
    )
