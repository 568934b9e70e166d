"""Glue and paint of a design file as items, and all items in order from the nose."""

from __future__ import annotations

from ..analysis.allowances import glue_items, paint_item
from ..analysis.bonded_area import bonded_joints
from ..analysis.recovery import Joint
from ..analysis.rocket import Item, Rocket
from .entries import AllowancesEntry
from .names import slug
from .reading import Reading


def whole_rocket(
    reading: Reading, name: str, items: list[Item], allowances: AllowancesEntry, joints: tuple[Joint, ...]
) -> Rocket:
    """The items and the allowances in order from the nose; the order in the file changes nothing.

    Args:
        reading: what is told of faults.
        name: name of the design.
        items: everything that has a table.
        allowances: glue and paint.
        joints: films of glue lie in those that are glued.
    """
    items = list(items)
    if (allowances.glue is None) != (allowances.glue_station is None):
        missing = "glue" if allowances.glue is None else "glue_station"
        reading.fault(("allowances",), f"glue has a mass and a place: `{missing}` is not stated")
    elif allowances.glue is not None and allowances.glue_station is not None:
        place = (allowances.glue_station,)
        glue = Item(_free(reading, "glue"), place, stated_mass=allowances.glue, estimate=True, what="allowance")
        items.append(glue)
    if allowances.glue_film is not None:
        items += _films(reading, Rocket(name, tuple(items)), allowances.glue_film, joints)
    if allowances.paint is not None:
        _free(reading, "paint")
        painted = paint_item(Rocket(name, tuple(items)), allowances.paint)
        if painted is None:
            reading.fault(("allowances", "paint"), "there is no skin to paint: no nose, airframe tube or fins")
        else:
            items.append(painted)
    order = {item.name: item.stations[0] + (item.part.extent()[0] if item.part else 0.0) for item in items}
    return Rocket(name, tuple(sorted(items, key=lambda item: (order[item.name], item.name))))


def _films(reading: Reading, rocket: Rocket, film: float, joints: tuple[Joint, ...]) -> tuple[Item, ...]:
    """Glue on the faces of every glued joint."""
    bonded = bonded_joints(rocket, joints)
    found = glue_items(bonded, film)
    for item in found:
        _free(reading, item.name)
    # A joint that was refused is said where it stands.
    if not bonded and not reading.faults:
        reading.fault(
            ("allowances", "glue_film"),
            "no joint is glued, so there is no face for a film of glue; state each as a [[joint]] with state "
            '"glued", or leave it out',
        )
    elif not found and not reading.faults:
        names = ", ".join(" to ".join(one.between) for one in bonded)
        reading.fault(("allowances", "glue_film"), f"no face is found that the two of a glued joint share: {names}")
    return found


def _free(reading: Reading, name: str) -> str:
    """A name for an allowance, which must not be taken."""
    if slug(name) in reading.names:
        reading.fault(("allowances",), f"{name!r} is the name of something else in the design; call that otherwise")
    return name
