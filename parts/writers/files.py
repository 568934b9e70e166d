"""Files that are whole or not there: written under a temporary name, read back, then renamed."""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from ..errors import FerruleError, WriteError


def replace(path: Path, write: Callable[[Path], None], read_back: Callable[[Path], None]) -> None:
    """Write a file so that an interrupted run leaves the old one or the new one, never half of either.

    Args:
        path: the file; its folder is made where it is missing.
        write: writes to the name that it is given.
        read_back: reads what was written and raises if it is not what was meant.

    Raises:
        FerruleError: it did not read back as it was meant, in the words of whoever read it.
        WriteError: the folder or the file cannot be written.
    """
    make_folder(path.parent)
    # The suffix stays, because some writers go by it.
    temporary = path.with_name(f".{path.stem}-{secrets.token_hex(4)}{path.suffix}")
    try:
        write(temporary)
        read_back(temporary)
        os.replace(temporary, path)  # noqa: PTH105  tests put a fault into this very call
    except FerruleError:
        raise
    except OSError as error:
        raise WriteError(f"{path} cannot be written: {_reason(error)}") from None
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, where they are missing.

    Raises:
        WriteError: it cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise WriteError(f"the folder {folder} cannot be made: a file is in its place") from None
    except OSError as error:
        raise WriteError(f"the folder {folder} cannot be made: {_reason(error)}") from None


def write_text(path: Path, text: str) -> None:
    """Write a text file as UTF-8 with plain line ends, and read it back.

    Raises:
        WriteError: it cannot be written, or did not read back.
    """
    data = text.encode("utf-8")

    def check(written: Path) -> None:
        if written.read_bytes() != data:
            raise WriteError(f"{path} did not read back as it was written")

    replace(path, lambda target: write_bytes(target, data), check)


def write_bytes(target: Path, data: bytes) -> None:
    """What `replace` writes of a file that is made in memory."""
    target.write_bytes(data)


@dataclass(frozen=True, slots=True)
class Sum:
    """Size [bytes] and SHA-256 of a file."""

    size: int
    sha256: str


def sum_of(path: Path) -> Sum:
    """Size and SHA-256 of a file."""
    data = path.read_bytes()
    return Sum(len(data), hashlib.sha256(data).hexdigest())


def _reason(error: OSError) -> str:
    return error.strerror or str(error)
