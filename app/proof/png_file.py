"""PNG: signature, chunks and their sums (ISO/IEC 15948, clauses 5 and 11, from memory)."""

from __future__ import annotations

import zlib

from .findings import Findings, Listed, NotReadableError

_SIGNATURE = b"\x89PNG\r\n\x1a\n"


def prove(data: bytes, listed: Listed, found: Findings) -> None:
    """Hold a picture to be whole, and of the size that is listed.

    Raises:
        NotReadableError: it is not a whole PNG.
    """
    wide, high = whole(data, found)
    if found.faults:
        return
    for key, size in (("width", wide), ("height", high)):
        stated = listed.number(key)
        if stated is not None:
            found.hold(size == stated, f"its {key} is {size} pixels where the manifest lists {stated:g}")


def whole(data: bytes, found: Findings) -> tuple[int, int]:
    """Hold a picture to be whole; gives its width and height [pixels].

    Raises:
        NotReadableError: it is not a whole PNG.
    """
    if data[:8] != _SIGNATURE:
        raise NotReadableError("not a PNG")
    place, kinds, wide, high = 8, set[bytes](), 0, 0
    while place < len(data):
        size, kind = int.from_bytes(data[place : place + 4], "big"), data[place + 4 : place + 8]
        body, end = memoryview(data)[place + 8 : place + 8 + size], place + 12 + size
        if end > len(data) or b"IEND" in kinds:
            raise NotReadableError("not a whole PNG: it ends too soon, or goes on after its end")
        total = int.from_bytes(data[end - 4 : end], "big")
        if not found.hold(zlib.crc32(body, zlib.crc32(kind)) == total, "the sum of a chunk is wrong"):
            break
        if kind == b"IHDR":
            wide, high = int.from_bytes(body[:4], "big"), int.from_bytes(body[4:8], "big")
        kinds.add(kind)
        place = end
    if not {b"IHDR", b"IDAT", b"IEND"} <= kinds and not found.faults:
        raise NotReadableError("not a whole PNG: a chunk that it needs is missing")
    found.totals["pictures"] += 1
    return wide, high


def told(_: Findings) -> str:
    """The proof of the files, in words."""
    return "whole, the sum of every chunk right"
