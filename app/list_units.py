"""Lists that carry their unit once, in the key: `inside_mm = [65.92, 65.88]`, `masses_g = [12.1, 12.3]`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from pydantic import BaseModel

from ..parts.params import is_list

_UNITS = {"_mm": "mm", "_in": "in", "_g": "g", "_oz": "oz"}


def with_units(data: Mapping[str, Any], models: Sequence[type[BaseModel]]) -> dict[str, Any]:
    """A table whose lists that carry their unit in the key carry it in every value.

    Args:
        data: the table as written.
        models: what it may be read as; only their lists are meant.
    """
    lists = _lists(tuple(models))
    found: dict[str, Any] = {}
    for key, value in data.items():
        plain, _, word = key.rpartition("_")
        unit = _UNITS.get(f"_{word}")
        if unit and plain in lists and plain not in data and not isinstance(value, list):
            found[plain] = value  # which says that a list is wanted
            continue
        if unit and isinstance(value, list) and plain not in data and plain not in found:
            found[plain] = [
                f"{item!r} {unit}" if isinstance(item, (int, float)) and not isinstance(item, bool) else item
                for item in value
            ]
        else:
            found[key] = value
    return found


@cache
def _lists(models: tuple[type[BaseModel], ...]) -> frozenset[str]:
    return frozenset(name for model in models for name, field in model.model_fields.items() if is_list(field))


def as_written(path: tuple[str | int, ...], data: Mapping[str, Any]) -> tuple[str | int, ...]:
    """The path with a list's key as the file has it, with its unit."""
    if path and path[0] not in data:
        for suffix in _UNITS:
            if f"{path[0]}{suffix}" in data:
                return (f"{path[0]}{suffix}", *path[1:])
    return path
