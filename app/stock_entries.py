"""What parts are cut from, by a design file: tube in the lengths that are sold, and sheets."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..analysis.cut_list import cut_list
from ..parts.errors import PartError
from ..parts.fit import MeasuredTube
from .entries import SheetEntry, StockEntry
from .names import slug
from .reading import Path_, Reading


def read_stock(reading: Reading, data: Mapping[str, Any], path: Path_, tubes: Mapping[str, MeasuredTube]) -> None:
    """One `[[stock]]`: its pieces are tubes of the design, and go into its lengths."""
    entry = reading.entry("stock", StockEntry, data, path)
    if entry is None:
        return
    pieces = {}
    for index, name in enumerate(entry.pieces):
        where = (*path, "pieces", index)
        if reading.known(name, tubes, "tube", where) and name in tubes:
            length = tubes[name].length
            if length is None:
                reading.fault(where, f"{name!r} is a part and no tube to cut from stock")
            else:
                pieces[name] = length
    if pieces and len(pieces) == len(entry.pieces):
        try:
            cut_list(pieces, entry.lengths, entry.kerf)
        except PartError as error:
            reading.fault((*path, "lengths"), str(error))


def read_sheet(reading: Reading, data: Mapping[str, Any], path: Path_, sheets: dict[str, str]) -> None:
    """One `[[sheet]]`; its name is added to those of the sheets."""
    entry = reading.entry("sheet", SheetEntry, data, path)
    if entry is None:
        return
    short = slug(entry.name)
    if not short:
        reading.fault((*path, "name"), f"{entry.name!r} holds no letter or digit to name files by")
    elif short in sheets:
        reading.fault((*path, "name"), f"{entry.name!r} and {sheets[short]!r} would have the same file name")
    sheets[short] = entry.name
    if 2.0 * entry.margin >= min(entry.width, entry.length):
        reading.fault(
            (*path, "margin"),
            f"{entry.margin:g} mm on every side leaves nothing of {entry.length:g} x {entry.width:g} mm",
        )
