"""One canonical serialisation of frozen values, and the fingerprint made from it."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Mapping
from typing import Any

SHORT = 12
"""Letters of a fingerprint that are printed on sheets [-]: 48 bits, enough to tell any two revisions apart."""


def canonical(value: Any) -> str:  # noqa: ANN401  any frozen value of ours
    """Canonical text of a value: dataclasses by name and fields, floats by their shortest exact form.

    Two values have the same text exactly when they are equal; -0.0 is written as 0.0 because it is equal to it.

    Raises:
        TypeError: the value holds something that has no canonical form.
    """
    return json.dumps(_plain(value), separators=(",", ":"), ensure_ascii=True, sort_keys=True, allow_nan=False)


def fingerprint(value: Any) -> str:  # noqa: ANN401  any frozen value of ours
    """SHA-256 of the canonical text, in hexadecimal."""
    return hashlib.sha256(canonical(value).encode("ascii")).hexdigest()


def short(full: str) -> str:
    """The printed form of a fingerprint: its first 12 letters in groups of four, as `1a2b-3c4d-5e6f`."""
    return "-".join(full[i : i + 4] for i in range(0, SHORT, 4))


def _plain(value: Any) -> Any:  # noqa: ANN401
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = (_plain(getattr(value, field.name)) for field in dataclasses.fields(value))
        return [type(value).__name__, *fields]
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if isinstance(value, (int, float)):
        return float(value) + 0.0
    if isinstance(value, (tuple, list)):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    raise TypeError(f"{type(value).__name__} has no canonical form")
