"""Quantities as builders type them: `54 mm`, `2 1/4 in`, `3'6"`, `1 lb 3 oz`. The only place that converts units.

Inside Ferrule every value is a plain number in the unit of its dimension:

    length mm, area mm2, mass g, time s, force N, impulse N s, speed m/s, angle rad,
    density g/mm3, linear density g/m, areal density g/m2, pressure MPa (N/mm2), temperature K, percentage %

A text is an optional sign and one or more terms, each a number and a unit, the larger unit first (`3 ft 6 in`). A
number is decimal with a point (`2.25`), a fraction (`1/8`), or mixed (`2 1/4`, `2-1/4`). Whatever could be read two
ways is refused. The arithmetic is exact and rounded once, so the nearest number to what was typed comes out.
A temperature is one on the scale (`15 degC` is 288.15 K), not a difference.

Factors follow from the defined values of the inch (25.4 mm), the pound (453.59237 g), standard gravity (9.80665 m/s2)
and the nautical mile (1852 m), the zeros of the temperature scales from 0 degC = 273.15 K and 0 degF = 459.67 x 5/9 K;
source: NIST SP 811 (2008), appendix B.
"""

from __future__ import annotations

import difflib
import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from numbers import Real
from typing import Literal, get_args

from .errors import QuantityError

Dimension = Literal[
    "length",
    "area",
    "mass",
    "time",
    "force",
    "impulse",
    "speed",
    "angle",
    "density",
    "linear density",
    "areal density",
    "pressure",
    "temperature",
    "percentage",
]
"""What a quantity measures."""

_ONE = Fraction(1)
_KILO = Fraction(1000)
_INCH = Fraction("25.4")
_FOOT = 12 * _INCH
_POUND = Fraction("453.59237")
_OUNCE = _POUND / 16
_KILOGRAM_FORCE = Fraction("9.80665")
_POUND_FORCE = _POUND / 1000 * _KILOGRAM_FORCE
_HOUR = Fraction(3600)
_DEGREE = Fraction(math.pi) / 180

UNITS: Mapping[Dimension, Mapping[str, Fraction]] = {
    "length": {
        **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), _ONE),
        **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), Fraction(10)),
        **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), _KILO),
        "km": _KILO * _KILO,
        "um": 1 / _KILO,
        **dict.fromkeys(("in", "inch", "inches", '"', "''"), _INCH),
        **dict.fromkeys(("ft", "foot", "feet", "'"), _FOOT),
        "thou": _INCH / 1000,
    },
    "area": {"mm2": _ONE, "cm2": Fraction(100), "m2": _KILO**2, "in2": _INCH**2, "ft2": _FOOT**2},
    "mass": {
        **dict.fromkeys(("g", "gram", "grams"), _ONE),
        "mg": 1 / _KILO,
        **dict.fromkeys(("kg", "kilogram", "kilograms"), _KILO),
        **dict.fromkeys(("oz", "ounce", "ounces"), _OUNCE),
        **dict.fromkeys(("lb", "lbs", "pound", "pounds"), _POUND),
    },
    "time": {
        **dict.fromkeys(("s", "sec", "second", "seconds"), _ONE),
        "ms": 1 / _KILO,
        **dict.fromkeys(("min", "minute", "minutes"), Fraction(60)),
    },
    "force": {"N": _ONE, "kN": _KILO, "lbf": _POUND_FORCE, "kgf": _KILOGRAM_FORCE},
    "impulse": {**dict.fromkeys(("N s", "Ns"), _ONE), "kN s": _KILO, "lbf s": _POUND_FORCE},
    "speed": {
        "m/s": _ONE,
        "km/h": _KILO / _HOUR,
        "ft/s": _FOOT / 1000,
        "mph": 5280 * _FOOT / 1000 / _HOUR,
        **dict.fromkeys(("kt", "knot", "knots"), Fraction(1852) / _HOUR),
    },
    "angle": {"rad": _ONE, **dict.fromkeys(("deg", "degree", "degrees", "°"), _DEGREE)},
    "density": {
        "g/mm3": _ONE,
        "kg/m3": 1 / _KILO**2,
        **dict.fromkeys(("g/cm3", "g/cc", "g/ml", "g/mL"), 1 / _KILO),
        "lb/ft3": _POUND / _FOOT**3,
        "lb/in3": _POUND / _INCH**3,
    },
    "linear density": {"g/m": _ONE, "kg/m": _KILO, "g/ft": 1000 / _FOOT, "oz/ft": 1000 * _OUNCE / _FOOT},
    "areal density": {"g/m2": _ONE, "kg/m2": _KILO, "oz/ft2": _KILO**2 * _OUNCE / _FOOT**2},
    "pressure": {
        "MPa": _ONE,
        "GPa": _KILO,
        "kPa": 1 / _KILO,
        "hPa": Fraction(1, 10**4),
        "Pa": Fraction(1, 10**6),
        "bar": Fraction(1, 10),
        "psi": _POUND_FORCE / _INCH**2,
        "ksi": 1000 * _POUND_FORCE / _INCH**2,
    },
    "temperature": {"K": _ONE, "degC": _ONE, "degF": Fraction(5, 9)},
    "percentage": {"%": _ONE},
}
"""Every unit by dimension, with what one of it is in the internal unit."""

_ZEROS: Mapping[str, Fraction] = {"degC": Fraction("273.15"), "degF": Fraction("459.67") * 5 / 9}
"""Where the zero of a scale lies in the internal unit, for those where it is not at its zero."""

_SHOWN: Mapping[Dimension, str] = {
    "length": "mm",
    "area": "mm2",
    "mass": "g",
    "time": "s",
    "force": "N",
    "impulse": "N s",
    "speed": "m/s",
    "angle": "deg",
    "density": "kg/m3",
    "linear density": "g/m",
    "areal density": "g/m2",
    "pressure": "MPa",
    "temperature": "degC",
    "percentage": "%",
}

_INTERNAL: Mapping[Dimension, str] = {**_SHOWN, "angle": "rad", "density": "g/mm3", "temperature": "K"}

_TWO_MEANINGS = {"mil": "is a thousandth of an inch to some and a millimetre to others; write 'thou' or 'mm'"}

_LONGEST_TEXT = 80  # characters; keeps a pasted page out of the arithmetic and out of the message

# Characters that stand for others on a phone or in a document.
_SAME = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "−": "-", "²": "2", "³": "3", "·": "*", "⋅": "*"}
    | {"µ": "u", "μ": "u", "º": "°", "⁄": "/", "℃": " degC", "℉": " degF"}
    | {sign: f" {unicodedata.normalize('NFKC', sign).replace('⁄', '/')}" for sign in "¼½¾⅛⅜⅝⅞"}
)

_NUMBER = r"""
    (?: (?P<whole>[0-9]+) (?:\s+|-) )? (?P<top>[0-9]+) \s*/\s* (?P<bottom>[0-9]+)
    | (?P<decimal> (?: [0-9]+ (?:\.[0-9]*)? | \.[0-9]+ ) (?: [eE][+-]?[0-9]{1,3} (?![0-9]) )? )
"""
# A power ends the text; a digit with more behind it starts the next term: "5ft3in" is five feet and three inches.
_WORD = r"[^\W\d_]+ (?: \^?[23] (?! \.?\s*[\w'\"] ) )?"
_SIGN = r"""'' | ["'%] | ° (?: \s*[CF]\b )?"""
_UNIT = rf"""{_SIGN} | {_WORD} (?: \s*[/*]\s* {_WORD} | \s+ {_WORD} )* (?: \. (?![0-9]) )?"""
_TERM = re.compile(rf"\s* (?: {_NUMBER} ) \s* (?P<unit> {_UNIT} )? \s*", re.VERBOSE)
_BARE = re.compile(rf"[+-]? (?: {_NUMBER} )", re.VERBOSE)
_COMMA = re.compile(r"[0-9],[0-9]")


def parse(text: str, dimension: Dimension) -> float:
    """The value of a text in the internal unit of its dimension.

    Args:
        text: what was typed, at most 80 characters.
        dimension: what it must measure.

    Raises:
        QuantityError: the text is no quantity, has no unit or an unknown one, or measures something else.

    Example:
        >>> parse("2 1/4 in", "length"), parse("1 lb 3 oz", "mass")
        (57.15, 538.640939375)
    """
    if not isinstance(text, str):
        raise QuantityError(f"{_quoted(text)} is not a text; {_example(dimension)}")
    plain = text.translate(_SAME).strip()
    if not plain:
        raise QuantityError(f"{_an(dimension)} is expected and the text is empty; {_example(dimension)}")
    if len(plain) > _LONGEST_TEXT:
        raise QuantityError(f"{_quoted(text)} is too long to be {_an(dimension)}; {_example(dimension)}")
    if _COMMA.search(plain):
        raise QuantityError(_comma(text, plain))
    sign, unsigned = (-1, plain[1:]) if plain[0] == "-" else (1, plain.removeprefix("+"))
    total, zero, position = Fraction(0), Fraction(0), 0
    smallest: Fraction | None = None
    while smallest is None or position < len(unsigned):
        term = _TERM.match(unsigned, position)
        if term is None:
            raise QuantityError(f"{_quoted(text)} cannot be read as {_an(dimension)}; {_example(dimension)}")
        number, factor = _number(term, text), _factor(term["unit"], dimension, text)
        if smallest is not None and (factor >= smallest or dimension == "temperature"):
            raise QuantityError(f"{_quoted(text)} is more than one {dimension}; write one, the larger unit first")
        total, position, smallest = total + number * factor, term.end(), factor
        zero = _ZEROS.get(_unit_name(term["unit"]), zero)
    return _finite(sign * total + zero, text)


def read(value: object, dimension: Dimension) -> float:
    """The value of a text or `Quantity` in the internal unit of its dimension; a bare number is refused.

    Raises:
        QuantityError: the value has no unit, is not finite, or measures something else.

    Example:
        >>> read("250 mm", "length"), read(mm(250), "length")
        (250.0, 250.0)
    """
    if isinstance(value, str):
        return parse(value, dimension)
    if isinstance(value, Quantity):
        if value.dimension != dimension:
            raise QuantityError(f"{value} is {_an(value.dimension)}, expected {_an(dimension)}")
        return value.value
    if isinstance(value, Real) and not isinstance(value, bool):
        number = value if isinstance(value, int) and abs(value) < 10**15 else _plain(value)
        raise QuantityError(f"{number!r} has no unit; {_example(dimension, repr(number))}")
    raise QuantityError(f"{_quoted(value)} is not {_an(dimension)}; {_example(dimension)}")


def show(value: float, dimension: Dimension, unit: str | None = None, digits: int | None = None) -> str:
    """A value with its unit, for people.

    Args:
        value: in the internal unit of the dimension.
        dimension: what it measures.
        unit: unit to show it in; the usual one if not stated.
        digits: digits behind the point [-]; as many as it has, up to nine in all, if not stated.

    Raises:
        QuantityError: the unit is not one of this dimension.

    Example:
        >>> show(57.15, "length"), show(57.15, "length", "in"), show(57.15, "length", "mm", 1)
        ('57.15 mm', '2.25 in', '57.1 mm')
    """
    name = _SHOWN[dimension] if unit is None else unit
    amount = convert(value, dimension, name)
    text = f"{amount:z.9g}" if digits is None else f"{amount:z.{digits}f}"
    return f"{text}{name}" if name in ("'", '"', "''", "°") else f"{text} {name}"


def convert(value: float, dimension: Dimension, unit: str) -> float:
    """A value as a number of some unit; not a finite number stays what it is.

    Args:
        value: in the internal unit of the dimension.
        dimension: what it measures.
        unit: unit to count in.

    Raises:
        QuantityError: the unit is not one of this dimension.

    Example:
        >>> convert(57.15, "length", "in")
        2.25
    """
    factor = _factor(unit, dimension, unit)
    if not math.isfinite(value):
        return float(value)
    zero = _ZEROS.get(_unit_name(unit), Fraction(0))
    return _finite((Fraction(value) - zero) / factor, f"{value!r} {_INTERNAL[dimension]}")


def exact(value: float, dimension: Dimension) -> str:
    """The text that reads back as the very same number.

    Raises:
        QuantityError: the value is not finite.

    Example:
        >>> exact(250.0, "length")
        '250.0 mm'
    """
    # A zero below zero equals zero, and so do the texts.
    return f"{Quantity(value, dimension).value + 0.0!r} {_INTERNAL[dimension]}"


def millimetres(value: float) -> str:
    """A length [mm] with one decimal, or two where the second is not zero.

    Example:
        >>> millimetres(54.0), millimetres(54.25)
        ('54.0 mm', '54.25 mm')
    """
    return f"{f'{value:.2f}'.removesuffix('0')} mm"


def inches_64(value: float) -> str:
    """A length as the nearest 64th of an inch, the way a tape measure shows it.

    Args:
        value: length [mm]; the text is within 0.2 mm of it.

    Raises:
        QuantityError: the value is not finite.

    Example:
        >>> inches_64(57.15), inches_64(54.0), inches_64(3.0)
        ('2 1/4 in', '2 1/8 in', '1/8 in')
    """
    parts = round(Fraction(mm(value).value) / _INCH * 64)
    whole, rest = divmod(abs(parts), 64)
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(str(Fraction(rest, 64)))
    return f"{'-' if parts < 0 else ''}{' '.join(words)} in"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number that knows what it measures; make one with `mm(250)` or `oz(3)`.

    Attributes:
        value: in the internal unit of the dimension, finite.
        dimension: what it measures.

    Raises:
        QuantityError: the value is not a finite number, or the dimension is unknown.
    """

    value: float
    dimension: Dimension

    def __post_init__(self) -> None:
        """Refuse what is not a finite number.

        Raises:
            QuantityError: the value is not a finite number, or the dimension is unknown.
        """
        if self.dimension not in get_args(Dimension):
            raise QuantityError(f"{_quoted(self.dimension)} is not a dimension; one of {', '.join(UNITS)}")
        object.__setattr__(self, "value", _plain(self.value))

    def __str__(self) -> str:
        """The value with its usual unit."""
        return show(self.value, self.dimension)


def mm(number: float) -> Quantity:
    """A length in millimetres."""
    return _of(number, "length", "mm")


def inch(number: float) -> Quantity:
    """A length in inches."""
    return _of(number, "length", "in")


def g(number: float) -> Quantity:
    """A mass in grams."""
    return _of(number, "mass", "g")


def oz(number: float) -> Quantity:
    """A mass in ounces (avoirdupois)."""
    return _of(number, "mass", "oz")


def deg(number: float) -> Quantity:
    """An angle in degrees."""
    return _of(number, "angle", "deg")


def kg_per_m3(number: float) -> Quantity:
    """A density in kilograms per cubic metre."""
    return _of(number, "density", "kg/m3")


def _of(number: float, dimension: Dimension, unit: str) -> Quantity:
    amount = Fraction(_plain(number)) * UNITS[dimension][unit]
    return Quantity(_finite(amount, f"{number!r} {unit}"), dimension)


def _plain(number: object) -> float:
    """A real number as a float.

    Raises:
        QuantityError: it is something else, a truth value, or not finite.
    """
    if isinstance(number, bool) or not isinstance(number, Real):
        raise QuantityError(f"{_quoted(number)} is not a plain number")
    try:
        plain = float(number)
    except OverflowError:
        raise QuantityError("a whole number is too large to be a finite number") from None
    if not math.isfinite(plain):
        raise QuantityError(f"{plain!r} is not a finite number")
    return plain


def _number(term: re.Match[str], text: str) -> Fraction:
    if term["decimal"]:
        return Fraction(term["decimal"])
    top, bottom = int(term["top"]), int(term["bottom"])
    if bottom == 0:
        raise QuantityError(f"{_quoted(text)} divides by zero")
    if term["whole"] is None:
        return Fraction(top, bottom)
    if top >= bottom:
        raise QuantityError(f"{_quoted(text)}: the fraction behind a whole number must be below one")
    return int(term["whole"]) + Fraction(top, bottom)


def _factor(unit: str | None, dimension: Dimension, text: str) -> Fraction:
    """What one of a unit is in the internal unit of a dimension.

    Raises:
        QuantityError: there is no unit, or it is not one of the dimension.
    """
    if not unit:
        raise QuantityError(f"{_quoted(text)} has a number without a unit; {_example(dimension, text)}")
    name, ours = _unit_name(unit), UNITS[dimension]
    if name in ours:
        return ours[name]
    other = next((kind for kind, names in UNITS.items() if name in names), None)
    if other:
        hint = f"; did you mean '{name}f'?" if f"{name}f" in ours else ""
        raise QuantityError(f"{_quoted(text)} is {_an(other)}, expected {_an(dimension)}{hint}")
    if name in _TWO_MEANINGS:
        raise QuantityError(f"{_quoted(text)}: {name!r} {_TWO_MEANINGS[name]}")
    raise QuantityError(f"{_quoted(name)} in {_quoted(text)} is not a unit of {dimension}{_near(name, ours)}")


def _unit_name(unit: str) -> str:
    """A unit in the one spelling that the table has."""
    if unit.startswith("°") and unit != "°":
        return f"deg{unit[-1]}"
    return re.sub(r"\s*\*\s*|\s+", " ", re.sub(r"\s*/\s*", "/", unit)).replace("^", "").removesuffix(".")


def _near(name: str, known: Mapping[str, Fraction]) -> str:
    """`; did you mean 'mm'?` for a slip of case first, then for a slip of the finger, else the units there are."""
    words = [unit for unit in known if unit[0].isalpha()]
    slips = [unit for unit in words if unit.lower() in (name.lower(), f"deg{name.lower()}")]
    close = difflib.get_close_matches(name, words, max(1, len(words)), 0.5)
    # A wrong letter is likelier than one too many, and the first unit of a dimension is the one used most.
    near = slips or sorted(close, key=lambda unit: (abs(len(unit) - len(name)), words.index(unit)))
    if near:
        return f"; did you mean {near[0]!r}?"
    if "degC" in known:  # kelvin and degrees Celsius are of one size, and both are told
        return "; write one of degC, degF, K"
    first_names = {factor: unit for unit, factor in reversed(tuple(known.items()))}
    return f"; write one of {', '.join(reversed(first_names.values()))}"


def _comma(text: str, plain: str) -> str:
    """A decimal comma or a comma between thousands: both are shown the way out."""
    point, nothing = plain.replace(",", "."), plain.replace(",", "")
    if point.count(".") > 1:
        return f'{_quoted(text)} has a comma; write "{nothing}"'
    if re.search(r"[0-9],[0-9]{3}(?![0-9])", plain):
        return f'{_quoted(text)} has a comma, which can mean two things; write "{point}" or "{nothing}"'
    return f'{_quoted(text)} has a comma; use a point: "{point}"'


def _finite(amount: Fraction, text: str) -> float:
    try:
        return float(amount)
    except OverflowError:
        raise QuantityError(f"{_quoted(text)} is too large to be a finite number") from None


def _quoted(value: object) -> str:
    """A value inside a message, cut short if it is long."""
    shown = repr(value) if isinstance(value, str | bool | None) else f"a value of type {type(value).__name__}"
    return shown if len(shown) <= _LONGEST_TEXT else f"{shown[: _LONGEST_TEXT - 1]}…"


def _an(dimension: Dimension) -> str:
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"


def _example(dimension: Dimension, text: str = "") -> str:
    """How to write it: with the number that was typed if that is all there is."""
    if _BARE.fullmatch(text.strip()):
        number = text.strip()
        if dimension == "percentage" and 0.0 < abs(float(number)) < 1.0:
            number = f"{100.0 * float(number):.10g}"  # a share as it is computed with
        return f'write "{number} {_SHOWN[dimension]}"'
    return f'write a number and a unit, such as "54 {_SHOWN[dimension]}"'
