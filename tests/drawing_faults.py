"""What is wrong with the words on a page of a drawing, found by shapely."""

from __future__ import annotations

from shapely import STRtree
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ferrule.parts.sheets.section_block import area
from ferrule.parts.sheets.sheet import Sheet, Solid, Trace
from ferrule.parts.sheets.space import dotted


def faults(sheet: Sheet) -> list[str]:
    """Words that leave the page, are too small, or stand on other words or on a line."""
    texts = sheet.texts()
    found = [text.words for text in texts if text.size < 9.0 or not area(sheet.paper).holds(text.box())]
    boxes = [Polygon(text.corners()).buffer(-0.02) for text in texts]
    tree = STRtree(boxes)
    items = [item for item in (*sheet.art, *sheet.furniture) if isinstance(item, (Trace, Solid))]
    lines: list[BaseGeometry] = [
        LineString(dotted(item.pieces)) if isinstance(item, Trace) else Polygon(item.corners) for item in items
    ]
    lines += [LineString([bar.start, bar.end]) for bar in sheet.bars]
    for i, box_ in enumerate(boxes):
        found += [f"{texts[i].words} on {texts[j].words}" for j in tree.query(box_, "intersects") if j > i]
    for item in lines:
        found += [f"{texts[i].words} on a line at {item.bounds}" for i in tree.query(item, "intersects")]
    return found
