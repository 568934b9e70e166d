"""File names made from what people call their parts."""

from __future__ import annotations

import re
import unicodedata

LONGEST = 60
"""Longest part of a file name that is made from one name [-]."""

DEVICES = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10)))
)
"""Names that Windows keeps for devices, whatever ending they have; no file may be called so."""


def slug(name: str) -> str:
    """Lower case, ASCII, words joined by hyphens; empty when the name holds no letter or digit that survives."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii").lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:LONGEST].strip("-")
