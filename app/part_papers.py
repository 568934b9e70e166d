"""Papers for turned parts: the wrap of a cone, the gauge to hold against the skin, template and table to turn by."""

from __future__ import annotations

from ..parts.kinds import NoseCone, Transition
from ..parts.papers.development import conical
from ..parts.papers.pattern import Pattern
from ..parts.papers.profile_gauge import profile_gauge
from ..parts.papers.stations import Shoulder, Turned, table_csv, turning_table
from ..parts.papers.turning import turning_template
from ..parts.papers.wrap import wrap
from ..parts.part import Part


def patterns(name: str, part: Part) -> tuple[Pattern, ...]:
    """The papers of a part: none but for noses and transitions.

    What is straight along its length has a wrap; what is solid has a template to turn it by; all have a gauge.

    Args:
        name: name of the part, written on them.
        part: the part.

    Raises:
        PartError: a letter of the name cannot be printed.
    """
    turned = outside(part)
    if turned is None:
        return ()
    skin = part.skin()
    found = [profile_gauge(name, skin)]
    if conical(skin) is not None:
        found.append(wrap(name, skin))
    if is_turned(part):
        found.append(turning_template(turned))
    return tuple(found)


def turning_rows(part: Part) -> str | None:
    """The table to turn a part by, as CSV; None for a part that is not turned."""
    turned = outside(part)
    return table_csv(turning_table(turned)) if turned is not None and is_turned(part) else None


def is_turned(part: Part) -> bool:
    """True for a nose or transition that is solid: of balsa or foam it is turned, and a solid print is checked so."""
    return isinstance(part, NoseCone | Transition) and part.body == "solid"


def outside(part: Part) -> Turned | None:
    """The outside of a nose or transition; None for any other part."""
    if isinstance(part, NoseCone):
        return Turned(part.skin(), None, _shoulder(part.shoulder_length, part.shoulder_diameter))
    if isinstance(part, Transition):
        return Turned(
            part.skin(),
            _shoulder(part.forward_shoulder_length, part.forward_shoulder_diameter),
            _shoulder(part.aft_shoulder_length, part.aft_shoulder_diameter),
        )
    return None


def _shoulder(length: float, diameter: float | None) -> Shoulder | None:
    return Shoulder(length, diameter / 2.0) if diameter and length else None
