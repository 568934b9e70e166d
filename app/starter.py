"""`ferrule new`: a commented design file to start from."""

from __future__ import annotations

import os
from importlib.resources import files
from pathlib import Path

from ..parts.errors import WriteError
from ..parts.writers.files import write_text

TEMPLATE = "starter.toml"


def starter() -> str:
    """The text of the starting design: a whole small rocket whose sizes are examples to be replaced."""
    return files(__package__).joinpath("data").joinpath(TEMPLATE).read_text(encoding="utf-8")


def write_starter(path: Path) -> None:
    """Write the starting design.

    Raises:
        WriteError: there is something at that place already, or it cannot be written.
    """
    if os.path.lexists(path):
        raise WriteError(f"{path} is there already, and nothing was changed; give another name")
    write_text(path, starter())
