"""Text: UTF-8 without a zero byte."""

from __future__ import annotations

from .findings import Findings, Listed, NotReadableError


def prove(data: bytes, _: Listed, found: Findings) -> None:
    """Hold a file to be text.

    Raises:
        NotReadableError: it is not.
    """
    try:
        words = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise NotReadableError(f"not UTF-8 at byte {error.start}") from None
    found.hold(bool(words.strip()) and "\0" not in words, "it is empty, or holds a zero byte")


def told(_: Findings) -> str:
    """The proof of the files, in words."""
    return "UTF-8"
