"""What the command line says of a kind of part and its fields, made from the fields themselves."""

from __future__ import annotations

import inspect
import sys
from typing import Any

from pydantic.fields import FieldInfo

from ..analysis.mass import mass_properties
from ..analysis.rocket import Item
from ..parts.fingerprint import short
from ..parts.params import bounds_of, choices, dimension_of, is_list
from ..parts.part import Part
from ..parts.quantity import show


def first_line(kind: type[Part]) -> str:
    """What a kind is, in one line."""
    return (sys.modules[kind.__module__].__doc__ or "").strip().splitlines()[0]


def described(kind: type[Part]) -> str:
    """A kind with its drawing, its fields and an example that works as printed."""
    lines = [inspect.cleandoc(kind.__doc__ or "").replace("\n::\n", ""), "", "Fields:"]
    fields = kind.model_fields
    width = max(len(name) for name in fields)
    for name, field in fields.items():
        lines.append(f"  {name:{width}}  {field_help(field)}")
    values = " ".join(
        f'--{option_of(name)} "{one}"'
        for name, value in kind.example.items()
        for one in (value if isinstance(value, tuple) else (value,))
    )
    lines += ["", "Example:", f"  ferrule part {kind.kind} {values} --out out"]
    return "\n".join(lines)


def field_help(field: FieldInfo) -> str:
    """What a field is, and which values it takes."""
    dimension = dimension_of(field)
    about = [str(field.description)]
    if choices(field):
        about.append(f"one of {', '.join(choices(field))}")
    limits = bounds_of(field).text(dimension)
    if limits:
        about.append(limits)
    if is_list(field):
        about.append("may be repeated")
    if field.is_required():
        about.append("needed")
    elif field.default not in (None, ()):
        about.append(f"default {_value_text(field, field.default)}")
    return f"{about[0]} ({'; '.join(about[1:])})" if about[1:] else about[0]


def option_of(name: str) -> str:
    """A field's name as an option."""
    return name.replace("_", "-")


def part_figures(part: Part) -> str:
    """Every field that was used, and what the part weighs."""
    lines = [f"{part.kind}, fingerprint {short(part.fingerprint())}"]
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        if value in (None, ()):
            continue
        texts = [_value_text(field, one) for one in (value if isinstance(value, tuple) else (value,))]
        text = ("; " if any("," in one for one in texts) else ", ").join(texts)
        lines.append(f"  {name:20} {text}{'' if name in part.model_fields_set else '  (default)'}")
    item = Item(part.kind, (0.0,), part)
    found = mass_properties(item)
    volume = item.volume_moments().volume
    lines.append(f"  {'volume':20} {volume / 1000.0:.2f} cm3")
    if found is None:
        lines.append(f"  {'mass':20} not stated; give --material or --density")
    else:
        lines.append(f"  {'mass':20} {found.mass:.1f} g, volume x density")
        lines.append(f"  {'centre of gravity':20} {found.cg[0]:.1f} mm aft of {part.origin}")
    return "\n".join(lines)


def _value_text(field: FieldInfo, value: Any) -> str:  # noqa: ANN401
    dimension = dimension_of(field)
    return show(value, dimension) if dimension and isinstance(value, (int, float)) else str(value)
