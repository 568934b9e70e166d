"""Which program makes files: Ferrule as it stands in its own files, the Python, and the libraries under it."""

from __future__ import annotations

import hashlib
import platform
import sys
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from .. import __version__
from ..parts.fingerprint import fingerprint, short

LIBRARIES = (
    *("cadquery", "cadquery-ocp", "ezdxf", "manifold3d", "matplotlib", "numpy", "pydantic", "pypdf", "reportlab"),
    *("scipy", "shapely", "spyrrow", "vtk"),
)
"""Libraries whose version may change the bytes of a file; one that is not installed writes none."""

_PACKAGE = Path(__file__).resolve().parents[1]
_FOLDERS = ("analysis", "app", "parts")


@lru_cache(maxsize=1)
def made_with() -> dict[str, Any]:
    """The program that runs, as the manifest tells of it; `id` stands for all the rest."""
    found: dict[str, Any] = {
        "ferrule": __version__,
        "source": short(_source()),
        "python": ".".join(map(str, sys.version_info[:2])),
        "system": f"{platform.system()} {platform.machine()}",
        "libraries": {name: number for name in LIBRARIES if (number := _version(name))},
    }
    return {"id": short(fingerprint(found)), **found}


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None


def _source() -> str:
    """Hash over every file of the package: a checkout that was changed keeps its version, and is another program."""
    total = hashlib.sha256()
    for path in sorted([*_PACKAGE.glob("*.py"), *(path for name in _FOLDERS for path in (_PACKAGE / name).rglob("*"))]):
        name = path.relative_to(_PACKAGE).as_posix()
        # What Python compiles beside a source, and what editors and tools hide there, writes no file.
        if path.is_file() and not any(word == "__pycache__" or word.startswith(".") for word in name.split("/")):
            data = path.read_bytes()
            total.update(f"{name}\0{len(data)}\0".encode())
            total.update(data)
    return total.hexdigest()
