"""File names made from what people call their parts."""

from __future__ import annotations

import re
import unicodedata

LONGEST = 60
"""Longest part of a file name that is made from one name [-]."""


def slug(name: str) -> str:
    """Lower case, ASCII, words joined by hyphens; empty when the name holds no letter or digit that survives."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii").lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:LONGEST].strip("-")
