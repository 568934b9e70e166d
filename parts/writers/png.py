"""PNG pictures in red, green and blue, the same bytes for the same pixels: no dates, no profile, one filter.

PNG (ISO/IEC 15948:2004; sections from memory): chunks in 5, filters in 9, the image header in 11.2.2.
"""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

from ..errors import WriteError

Pixels = NDArray[np.uint8]
"""A picture (height, width, 3), the top row first."""

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_UP = 2
"""The filter that stores each row as its difference from the one above: little is left of flat and upright areas."""
_TRUE_COLOUR = 2


def png_bytes(pixels: Pixels) -> bytes:
    """A picture as the bytes of a PNG file."""
    height, width, _ = pixels.shape
    rows = pixels.reshape(height, width * 3)
    rest = rows.copy()
    rest[1:] -= rows[:-1]  # modulo 256, as the filter has it
    lines = np.column_stack([np.full(height, _UP, dtype=np.uint8), rest])
    header = struct.pack(">2I5B", width, height, 8, _TRUE_COLOUR, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(lines.tobytes(), 9)), (b"IEND", b""))
    return _SIGNATURE + b"".join(_chunk(name, data) for name, data in chunks)


def png_pixels(data: bytes, name: str) -> Pixels:
    """The picture in the bytes of a PNG file that `png_bytes` wrote.

    Args:
        data: the file.
        name: what messages call it.

    Raises:
        WriteError: it is not a whole file of that sort.
    """
    found: dict[bytes, bytes] = {}
    try:
        if data[:8] != _SIGNATURE:
            raise WriteError(f"{name} is not a PNG file")
        place = 8
        while place < len(data):
            (size,) = struct.unpack_from(">I", data, place)
            kind, content = data[place + 4 : place + 8], data[place + 8 : place + 8 + size]
            if data[place : place + 12 + size] != _chunk(kind, content):
                raise WriteError(f"{name} is not a whole PNG file")
            found[kind] = content
            place += 12 + size
        width, height, *rest = struct.unpack(">2I5B", found[b"IHDR"])
        lines = np.frombuffer(zlib.decompress(found[b"IDAT"]), dtype=np.uint8).reshape(height, 1 + width * 3)
        if b"IEND" not in found or rest != [8, _TRUE_COLOUR, 0, 0, 0] or np.any(lines[:, 0] != _UP):
            raise WriteError(f"{name} is not a PNG file as it was written")
    except (struct.error, KeyError, ValueError, zlib.error) as error:
        raise WriteError(f"{name} is not a whole PNG file: {error}") from None
    rows = np.cumsum(lines[:, 1:], axis=0, dtype=np.uint8)
    return np.asarray(rows.reshape(height, width, 3), dtype=np.uint8)


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
