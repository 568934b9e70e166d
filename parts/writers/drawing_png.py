"""A drawing of sheet items as a PNG picture, in black on white; read back before it counts.

Letters are drawn as outlines of the sheets' own type, each in the place that a sheet gives it, so that words are as
wide in the picture as on paper. The same items give the same bytes: nothing of the date or of the program is written.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace as changed
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
import numpy.typing as npt

from ..curve import Line, Piece, Point
from ..errors import PartError, WriteError
from ..marks import Pen
from ..sheets.letters import POINT, printable, width
from ..sheets.sheet import DASHES, WIDTHS, CutLine, Item, Solid, Text, Trace
from .cubic import cubics
from .files import replace

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path as Way

INCH = 25.4
"""One inch [mm]."""

FINEST = 1200.0
"""Most dots that an inch of a picture may have [1/in]."""

LARGEST = 12_000
"""Longest side of a picture [px]; one twice as long takes more than a gigabyte to draw."""

_FONTS = {False: "Vera.ttf", True: "VeraBd.ttf"}
_MOVE, _LINE, _CURVE, _CLOSE = 1, 2, 4, 79
"""The commands of a path in matplotlib: they are numbers there too."""

_SETTINGS: dict[Any, Any] = {
    "agg.path.chunksize": 0,
    "lines.scale_dashes": False,
    "path.effects": [],
    "path.simplify": False,
    "path.sketch": None,
    "path.snap": True,
    "savefig.bbox": None,
    "savefig.facecolor": "white",
    "savefig.edgecolor": "white",
    "savefig.transparent": False,
}
"""What a person's own settings of matplotlib would change."""

Dots: TypeAlias = npt.NDArray[np.uint8]
"""Red, green, blue and cover of every dot, rows from the top (height, width, 4)."""


def write_drawing_png(
    path: Path, items: Sequence[Item], width: float, height: float, title: str, dpi: float = 150.0
) -> tuple[int, int]:
    """Write sheet items as a picture on white, and prove the file by reading it back.

    Args:
        path: the file.
        items: what to draw [mm], the origin in the lower left corner and +y upwards.
        width: width of the picture [mm].
        height: height of the picture [mm].
        title: title of the picture.
        dpi: dots of an inch [1/in], above 0 and at most 1200.

    Returns:
        Width and height of the picture [px].

    Raises:
        PartError: the picture has no size, more dots than can be drawn, an item no place, or a letter has
            no shape in the type.
        WriteError: the file cannot be written, or does not read back as it was drawn.
    """
    size = pixels(width, height, dpi)
    title = printable(title, "title")
    items = [
        changed(item, words=printable(item.words, "words of the drawing")) if isinstance(item, Text) else item
        for item in items
    ]
    for item in items:
        if not all(math.isfinite(side) for side in item.box()):
            raise PartError(f"a {type(item).__name__.lower()} of the drawing has a coordinate that is not a number")
    drawn: list[Dots] = []
    replace(
        path,
        lambda target: drawn.append(_draw(target, items, size, dpi, title)),
        lambda target: read_back_png(target, drawn[0], bool(items), path.name),
    )
    return size


def pixels(width: float, height: float, dpi: float) -> tuple[int, int]:
    """Width and height [px] of a picture of a size [mm].

    Raises:
        PartError: it has no size, or more dots than can be drawn.
    """
    for name, side in (("width", width), ("height", height)):
        if not 0.0 < side < math.inf:
            raise PartError(f"{name}: {side:g} mm of the drawing must be above 0 mm")
    if not 0.0 < dpi <= FINEST:
        raise PartError(f"dpi: must be above 0 and at most {FINEST:g} dots an inch, got {dpi:g}")
    wide, high = (max(round(side / INCH * dpi), 1) for side in (width, height))
    if max(wide, high) > LARGEST:
        raise PartError(f"dpi: {dpi:g} dots an inch make {wide} x {high} pixels; at most {LARGEST} a side")
    return wide, high


def read_back_png(path: Path, drawn: Dots, has_items: bool, name: str) -> None:
    """Hold a written picture to what was drawn, dot by dot, and to showing something.

    Args:
        path: where the file is now.
        drawn: the dots, rows from the top (height, width, 4).
        has_items: whether anything was to be drawn.
        name: what messages call it.

    Raises:
        WriteError: it is not that picture, or blank.
    """
    from matplotlib.image import imread

    try:
        found = np.asarray(imread(path, format="png"))
    except (OSError, SyntaxError, ValueError) as error:
        raise WriteError(f"{name} does not read back as a PNG: {error}") from None
    if found.shape != drawn.shape:
        raise WriteError(
            f"{name} reads back with {found.shape[1]} x {found.shape[0]} pixels instead of "
            f"{drawn.shape[1]} x {drawn.shape[0]}"
        )
    if not np.array_equal(np.rint(found * 255.0).astype(np.uint8), drawn):
        raise WriteError(f"{name} reads back with other dots than were drawn")
    if has_items and bool((drawn[..., :3] == 255).all()):
        raise WriteError(f"{name} is blank")


def _draw(path: Path, items: Sequence[Item], size: tuple[int, int], dpi: float, title: str) -> Dots:
    import matplotlib as mpl
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with mpl.rc_context(_SETTINGS):
        # An eighth of a dot more than a whole number of them, because the canvas rounds down.
        figure = Figure(figsize=((size[0] + 0.125) / dpi, (size[1] + 0.125) / dpi), dpi=dpi, facecolor="white")
        canvas: Any = FigureCanvasAgg(figure)
        _Picture(figure).draw(items)
        canvas.print_png(path, metadata={"Software": None, "Title": title})
        return np.array(canvas.buffer_rgba(), dtype=np.uint8)


class _Picture:
    """Puts items on a figure in the order in which they come, one above the other."""

    def __init__(self, figure: Figure) -> None:
        from matplotlib.transforms import Affine2D

        self._figure = figure
        self._on_paper = Affine2D().scale(1.0 / INCH) + figure.dpi_scale_trans
        self._order = 0

    def draw(self, items: Iterable[Item]) -> None:
        for item in items:
            if isinstance(item, CutLine):
                self._cut_line(item)
            elif isinstance(item, Trace):
                self._line(_way([item.pieces], closed=_meets_itself(item.pieces)), item.pen)
            elif isinstance(item, Solid):
                self._fill(_way_of_points([*item.corners, item.corners[0]]))
            elif item.words.strip():
                self._fill(_way_of_words(item))

    def _cut_line(self, item: CutLine) -> None:
        """A line twice as wide, clipped to the part: what is left lies on the part, its outer edge on the size."""
        way = _way([tuple(edge.piece for edge in loop) for loop in item.outline.loops], closed=True)
        patch = self._line(way, Pen.CUT, 2.0)
        patch.set_clip_path(way, self._on_paper)

    def _line(self, way: Way, pen: Pen, times: float = 1.0) -> PathPatch:
        patch = self._patch(way)
        patch.set(
            fill=False, edgecolor="black", linewidth=WIDTHS[pen] * times / POINT, capstyle="butt", joinstyle="miter"
        )
        if pen in DASHES:
            patch.set_linestyle((0, [length / POINT for length in DASHES[pen]]))
        return patch

    def _fill(self, way: Way) -> None:
        # A line round a filled letter would make it bold, and moving it to whole dots would bend it.
        self._patch(way).set(fill=True, facecolor="black", edgecolor="none", linewidth=0.0, snap=False)

    def _patch(self, way: Way) -> PathPatch:
        from matplotlib.patches import PathPatch

        self._order += 1
        patch = PathPatch(way, transform=self._on_paper, antialiased=True, zorder=self._order)
        self._figure.add_artist(patch)
        return patch


def _meets_itself(pieces: Sequence[Piece]) -> bool:
    return math.dist(pieces[0].start, pieces[-1].end) < 1e-9


def _way(chains: Iterable[Sequence[Piece]], closed: bool) -> Way:
    """Chains of pieces as one path [mm]."""
    from matplotlib.path import Path as Way

    points: list[Point] = []
    codes: list[int] = []
    for chain in chains:
        points.append(chain[0].start)
        codes.append(_MOVE)
        for piece in chain:
            if isinstance(piece, Line):
                points.append(piece.end)
                codes.append(_LINE)
                continue
            for _, first, last, end in cubics(piece):
                points += (first, last, end)
                codes += (_CURVE,) * 3
        if closed:
            points.append(chain[0].start)
            codes.append(_CLOSE)
    return Way(points, codes)


def _way_of_points(points: Sequence[Point]) -> Way:
    from matplotlib.path import Path as Way

    return Way(points, [_MOVE, *(_LINE,) * (len(points) - 2), _CLOSE])


def _way_of_words(text: Text) -> Way:
    """Words as outlines in their place [mm], a letter after the other as wide as the sheets count it."""
    from matplotlib.path import Path as Way

    size = text.size * POINT
    c, s = math.cos(text.turn), math.sin(text.turn)
    turned = np.array([[c, s], [-s, c]])
    points, codes, reach = [np.empty((0, 2))], [np.empty(0, dtype=np.uint8)], 0.0
    for letter in text.words:
        outline, commands = _letter(letter, text.bold)
        points.append(outline * size + np.array([reach, 0.0]))
        codes.append(commands)
        reach += width(letter, text.size, text.bold)
    return Way(np.concatenate(points) @ turned + np.asarray(text.position), np.concatenate(codes))


@lru_cache(maxsize=1024)
def _letter(letter: str, bold: bool) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.uint8]]:
    """Outline of a letter in parts of the type size (n, 2), and its commands (n,)."""
    import reportlab
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextToPath

    font = FontProperties(fname=str(Path(reportlab.__file__).parent / "fonts" / _FONTS[bold]))
    to_path: Any = TextToPath()
    points, commands = to_path.get_text_path(font, letter, ismath=False)
    outline = np.asarray(points, dtype=np.float64).reshape(-1, 2) / TextToPath.FONT_SCALE
    return outline, np.asarray(commands, dtype=np.uint8)
