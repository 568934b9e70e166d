"""SVG: size, view box, and the paths of each layer (SVG 1.1, chapters 7 and 8, and F.6 for arcs, from memory)."""

from __future__ import annotations

import base64
import binascii
import cmath
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from . import png_file
from .contours import Loop, Run, arc, joined, loop, prove_contours, prove_fingerprint, prove_square, spline, straight
from .contours import told as told_of_contours
from .findings import Findings, Listed, NotReadableError
from .xml_text import stream

_TOKEN = re.compile(r"([A-Za-z])|([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)|([\s,]+)|(.)", re.DOTALL)
_OPERANDS = {"M": 2, "L": 2, "C": 6, "A": 7, "Z": 0}
_PICTURE = "data:image/png;base64,"
_BEZIER = (0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0)


@dataclass(slots=True)
class _Drawing:
    """What the elements of a file tell, in their order."""

    head: dict[str, str] = field(default_factory=dict)
    shapes: list[tuple[str, str, dict[str, str]]] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    groups: list[str] = field(default_factory=list)
    in_text: bool = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """Take an element in.

        Raises:
            NotReadableError: the first one is not `svg`.
        """
        if not self.groups and not self.head:
            if name != "svg":
                raise NotReadableError("not an SVG")
            self.head = attributes
        self.groups.append(attributes.get("id", "") if name == "g" else "")
        if name == "script" or any(key.lower().startswith("on") for key in attributes):
            self.faults.append("there is a program in it")
        if "transform" in attributes and name in ("g", "path", "circle", "svg"):
            self.faults.append("something is moved or scaled by a transform")
        if name == "text":
            self.words.append("")
        self.in_text = name == "text"
        if name not in ("svg", "g"):
            self.shapes.append((next((one for one in reversed(self.groups) if one), ""), name, attributes))

    def end(self, _: str) -> None:
        """Leave an element."""
        self.groups.pop()
        self.in_text = False

    def text(self, words: str) -> None:
        """Take words in."""
        if self.in_text:
            self.words[-1] += words


def prove(data: bytes, listed: Listed, found: Findings) -> None:
    """Hold a file to be of true size and, where it is a cut file, its contours to be closed and as listed.

    Raises:
        NotReadableError: it is not an SVG.
    """
    drawing = _Drawing()
    stream((data,), drawing.start, drawing.end, drawing.text)
    wide, high = (_length(drawing.head.get(key, "")) for key in ("width", "height"))
    box = [_number(word) for word in drawing.head.get("viewBox", "").split()]
    true = len(box) == 4 and all(
        math.isfinite(a) and abs(a - b) <= 1e-6 for a, b in zip((wide, high), box[2:], strict=True)
    )
    found.hold(true, "it is not 1:1: width and height in mm are not those of its view box")
    found.hold(not drawing.faults, "; ".join(dict.fromkeys(drawing.faults)))
    for _, name, attributes in drawing.shapes:
        if name == "image":
            _picture(attributes, found)
    prove_fingerprint(drawing.words, listed, found)
    if listed.number("contours") is None:
        return
    found.totals["cut files"] += 1
    try:
        cut, fault = _loops(drawing, "CUT")
        seen, _ = _loops(drawing, "REFERENCE")
    except (KeyError, ValueError, OverflowError, ZeroDivisionError) as error:
        raise NotReadableError(f"a shape that cannot be read: {error}") from None
    if found.hold(not fault, fault):
        prove_contours(cut, listed, found)
    prove_square(seen, found)


def _length(text: str) -> float:
    return _number(text.removesuffix("mm")) if text.endswith("mm") else math.nan


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


def _picture(attributes: dict[str, str], found: Findings) -> None:
    """Hold a picture to lie inside the file and to be whole."""
    where = attributes.get("href", "") or next((attributes[key] for key in attributes if key.endswith("href")), "")
    if found.hold(where.startswith(_PICTURE), "it shows a picture that does not lie inside it"):
        try:
            data = base64.b64decode(where.removeprefix(_PICTURE), validate=True)
        except (binascii.Error, ValueError):
            found.hold(False, "the picture in it is not whole")
            return
        png_file.whole(data, found)


def _loops(drawing: _Drawing, layer: str) -> tuple[list[Loop], str]:
    """The closed contours of a layer, and what keeps others from closing."""
    loops: list[Loop] = []
    loose: list[Run] = []
    for group, name, attributes in drawing.shapes:
        if group != layer:
            continue
        if name == "circle":
            centre = complex(float(attributes["cx"]), float(attributes["cy"]))
            radius = float(attributes["r"])
            loops.append(loop([arc(centre, complex(radius), complex(0.0, radius), 0.0, math.tau)]))
        elif name == "path":
            for runs, closed in _paths(attributes["d"]):
                if closed:
                    loops.append(loop(runs))
                else:
                    loose += runs
        elif layer == "CUT":
            return [], f"a {name[:20]} is to be cut, of which nothing is known"
    more, fault = joined(loose)
    return [*loops, *more], fault


def _paths(text: str) -> Iterator[tuple[list[Run], bool]]:
    """The lines of a path, each with whether it is closed.

    Raises:
        NotReadableError: it begins without a place.
    """
    runs: list[Run] = []
    here = first = complex(math.nan, math.nan)
    for command, values in _commands(text):
        if command == "M":
            if runs:
                yield runs, False
            runs, here = [], complex(values[0], values[1])
            first = here
            continue
        if cmath.isnan(here):
            raise NotReadableError("a path begins without a place")
        if command == "Z":
            if abs(here - first) > 0.0:
                runs.append(straight(here, first))
            if runs:
                yield runs, True
            runs, here = [], first
            continue
        end = complex(values[-2], values[-1])
        if command == "L":
            runs.append(straight(here, end))
        elif command == "C":
            inner = (complex(values[0], values[1]), complex(values[2], values[3]))
            runs.append(spline(3, _BEZIER, (here, *inner, end)))
        else:
            runs.append(_elliptic(here, end, values))
        here = end
    if runs:
        yield runs, False


def _commands(text: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with its numbers, repeated ones one by one.

    Raises:
        NotReadableError: there is one that is not read here.
    """
    command, values = "", list[float]()
    for match in _TOKEN.finditer(text):
        letter, number, _, other = match.groups()
        if other or (letter and letter not in _OPERANDS):
            raise NotReadableError(f"a path holds {(other or letter)!r}, which is not read here")
        if letter:
            if values:
                raise NotReadableError("a path command has too few numbers")
            command = letter
        elif number:
            values.append(float(number))
        if command and (letter or number) and len(values) == _OPERANDS[command]:
            yield command, values
            values = []
            command = "L" if command == "M" else command
    if values:
        raise NotReadableError("a path command has too few numbers")


def _elliptic(start: complex, end: complex, values: list[float]) -> Run:
    """An arc by its ends: its centre by the implementation notes of the format, F.6.5."""
    semi_x, semi_y, turn, large, forward = abs(values[0]), abs(values[1]), math.radians(values[2]), values[3], values[4]
    if not semi_x or not semi_y or start == end:
        return straight(start, end)
    axis = cmath.rect(1.0, turn)

    def to_circle(place: complex) -> complex:
        along = place / axis
        return complex(along.real / semi_x, along.imag / semi_y)

    a, b = to_circle(start), to_circle(end)
    half = abs(b - a) / 2.0
    if half > 1.0:  # too short to reach: scaled up until it does
        semi_x, semi_y = semi_x * half, semi_y * half
        a, b, half = a / half, b / half, 1.0
    side = 1.0 if bool(large) != bool(forward) else -1.0
    centre = (a + b) / 2.0 + side * 1j * (b - a) / (2.0 * half) * math.sqrt(max(0.0, 1.0 - half * half))
    first, last = cmath.phase(a - centre), cmath.phase(b - centre)
    sweep = (last - first) % math.tau if forward else -((first - last) % math.tau)
    middle = axis * complex(centre.real * semi_x, centre.imag * semi_y)
    return arc(middle, axis * semi_x, axis * 1j * semi_y, first, sweep)


def told(found: Findings) -> str:
    """The proof of the files, in words."""
    cut = found.totals["cut files"]
    contours = f"; {cut} of them to cut: {told_of_contours(found)}" if cut else ""
    return f"true millimetres{contours}"
