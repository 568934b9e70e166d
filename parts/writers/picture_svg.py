"""A shaded picture under a drawing: an SVG with the PNG inside it and names and lines over it, read back."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from pathlib import Path
from xml.etree import ElementTree

from ..errors import WriteError
from ..sheets.sheet import Box, Item
from .files import replace
from .svg import read_back_drawing, write_drawing_svg

_DRAWING = '<g id="drawing"'
_SPACE = "{http://www.w3.org/2000/svg}"
_SCHEME = "data:image/png;base64,"


def write_picture_svg(
    path: Path, png: bytes, box: Box, items: Sequence[Item], width: float, height: float, title: str
) -> None:
    """Write a picture with sheet items over it, and prove the file by reading it back.

    Args:
        path: the file.
        png: the picture, a PNG file.
        box: where it lies [mm], the origin in the lower left corner and +y upwards.
        items: what is drawn over it [mm].
        width: width of the page [mm].
        height: height of the page [mm].
        title: title of the document.

    Raises:
        PartError: the page has no size, an item no place, or a letter cannot be printed.
        WriteError: the file cannot be written, or does not hold the picture and every item.
    """
    data = base64.b64encode(png).decode("ascii")
    image = (
        f'<image x="{box.left:.6g}" y="{height - box.high:.6g}" width="{box.right - box.left:.6g}" '
        f'height="{box.high - box.low:.6g}" preserveAspectRatio="none" href="{_SCHEME}{data}"/>'
    )

    def write(target: Path) -> None:
        write_drawing_svg(target, items, width, height, title)
        before, mark, after = target.read_text(encoding="utf-8").partition(_DRAWING)
        target.write_text(f"{before}{image}\n{mark}{after}", encoding="utf-8", newline="\n")

    def check(written: Path) -> None:
        read_back_drawing(written, items, path.name)
        found = ElementTree.parse(written).getroot().findall(f"{_SPACE}image")  # noqa: S314  written a moment ago
        if len(found) != 1 or base64.b64decode(found[0].get("href", "").removeprefix(_SCHEME)) != png:
            raise WriteError(f"{path.name} did not read back with its picture")

    replace(path, write, check)
