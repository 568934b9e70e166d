"""A folder that one process holds: the system lets go of it when the process ends, however it ends."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..parts.errors import WriteError

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_FILE = ".ferrule-lock"


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold a folder.

    Raises:
        WriteError: another process holds it, or it cannot be opened.
    """
    handle = _opened(folder)
    try:
        if not _taken(handle):
            raise WriteError(f"another run is writing into {folder}; wait for it, or give another folder with --out")
        yield
    finally:
        os.close(handle)
        with contextlib.suppress(OSError):
            (folder / _FILE).unlink(missing_ok=True)


def _opened(folder: Path) -> int:
    """The folder itself where the system can lock it, else a file in it.

    Raises:
        WriteError: it cannot be opened.
    """
    try:
        if sys.platform == "win32":
            return os.open(folder / _FILE, os.O_RDWR | os.O_CREAT)
        return os.open(folder, os.O_RDONLY)
    except OSError as error:
        raise WriteError(f"{folder} cannot be opened: {error.strerror or error}") from None


def _taken(handle: int) -> bool:
    """Whether nobody else has it; True also where the file system cannot lock: each file is whole all the same."""
    try:
        if sys.platform == "win32":
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        return True
    return True
