"""Annotated field types: each carries its unit, so that a field is declared once and read everywhere.

A field's type says what it measures; its `Field` says bounds and help. The command line, the design file, the docs and
the tests of bad values are all made from those.
"""

from __future__ import annotations

import difflib
import types
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, PlainSerializer, ValidationError
from pydantic.fields import FieldInfo

from .errors import QuantityError
from .quantity import Dimension, exact, read, show


@dataclass(frozen=True, slots=True)
class Measures:
    """Marks a field type with the dimension that it measures."""

    dimension: Dimension


def _reads(dimension: Dimension) -> BeforeValidator:
    return BeforeValidator(lambda value: read(value, dimension))


def _writes(dimension: Dimension) -> PlainSerializer:
    return PlainSerializer(lambda value: exact(value, dimension), return_type=str)


Length = Annotated[float, Measures("length"), _reads("length"), _writes("length")]
"""A length, held in [mm]."""


def _far(value: object) -> float:
    """A length in the field: who forgot its unit meant metres, and must not be told to write millimetres.

    Raises:
        QuantityError: it is no length.
    """
    try:
        return read(value, "length")
    except QuantityError as error:
        raise QuantityError(str(error).replace(' mm"', ' m"')) from None


Distance = Annotated[float, Measures("length"), BeforeValidator(_far), _writes("length")]
"""A distance or a height in the field, held in [mm] and usually typed in metres."""

Angle = Annotated[float, Measures("angle"), _reads("angle"), _writes("angle")]
"""An angle, held in [rad]."""

Mass = Annotated[float, Measures("mass"), _reads("mass"), _writes("mass")]
"""A mass, held in [g]."""

Density = Annotated[float, Measures("density"), _reads("density"), _writes("density")]
"""A density, held in [g/mm3]."""

ArealDensity = Annotated[float, Measures("areal density"), _reads("areal density"), _writes("areal density")]
"""A mass on each unit of surface, held in [g/m2]."""

Area = Annotated[float, Measures("area"), _reads("area"), _writes("area")]
"""An area, held in [mm2]."""

Duration = Annotated[float, Measures("time"), _reads("time"), _writes("time")]
"""A time that passes, held in [s]."""

Speed = Annotated[float, Measures("speed"), _reads("speed"), _writes("speed")]
"""A speed, held in [m/s]."""

Force = Annotated[float, Measures("force"), _reads("force"), _writes("force")]
"""A force, held in [N]."""

Pressure = Annotated[float, Measures("pressure"), _reads("pressure"), _writes("pressure")]
"""A pressure or a strength, held in [MPa]."""

Temperature = Annotated[float, Measures("temperature"), _reads("temperature"), _writes("temperature")]
"""A temperature on its scale, held in [K]."""

Percentage = Annotated[float, Measures("percentage"), _reads("percentage"), _writes("percentage")]
"""A share of something, held in [%]."""


def _number(value: object) -> object:
    if isinstance(value, bool):
        raise ValueError("a plain number is expected, without a unit")
    return value


def _text_or_number(value: object) -> object:
    value = _number(value)
    if isinstance(value, str):
        try:
            return float(value)
        except ValueError:
            raise ValueError(f"{value!r} is not a plain number; this field has no unit") from None
    return value


def _text_or_count(value: object) -> object:
    value = _number(value)
    if isinstance(value, str):
        try:
            return int(value)
        except ValueError:
            raise ValueError(f"{value!r} is not a whole number") from None
    return value


Ratio = Annotated[float, BeforeValidator(_text_or_number)]
"""A plain number without a unit [-]."""

Count = Annotated[int, BeforeValidator(_text_or_count)]
"""A whole number [-]."""


def dimension_of(field: FieldInfo) -> Dimension | None:
    """The dimension that a field measures, also inside an optional or a tuple; None for counts, words and ratios."""
    return next((item.dimension for item in _metadata(field) if isinstance(item, Measures)), None)


def is_list(field: FieldInfo) -> bool:
    """True for a field that takes several values."""
    return any(get_origin(kind) is tuple for kind in _alternatives(field.annotation))


def choices(field: FieldInfo) -> tuple[str, ...]:
    """The words that a field allows, or nothing for one that is not a choice of words."""
    for kind in _alternatives(field.annotation):
        if get_origin(kind) is Literal:
            return tuple(str(word) for word in get_args(kind))
    return ()


@dataclass(frozen=True, slots=True)
class Bounds:
    """Limits of a field in internal units; None where there is none."""

    above: float | None = None
    least: float | None = None
    below: float | None = None
    most: float | None = None

    def text(self, dimension: Dimension | None) -> str:
        """The limits in words, such as `above 0 mm, at most 3000 mm`."""
        words = (("above", self.above), ("at least", self.least), ("below", self.below), ("at most", self.most))
        return ", ".join(f"{word} {_shown(limit, dimension)}" for word, limit in words if limit is not None)


def bounds_of(field: FieldInfo) -> Bounds:
    """The limits that a field declares."""
    found: dict[str, float] = {}
    for item in _metadata(field):
        for name, ours in (("gt", "above"), ("ge", "least"), ("lt", "below"), ("le", "most")):
            limit = getattr(item, name, None)
            if limit is not None:
                found[ours] = float(limit)
    return Bounds(**found)


def _alternatives(annotation: Any) -> Iterator[Any]:  # noqa: ANN401  an annotation may be any object
    """An annotation without its `Annotated` layers, or each member of a union."""
    if get_origin(annotation) is Annotated:
        yield from _alternatives(get_args(annotation)[0])
    elif get_origin(annotation) in (Union, types.UnionType):
        for member in get_args(annotation):
            yield from _alternatives(member)
    else:
        yield annotation


def _metadata(field: FieldInfo) -> Iterator[Any]:
    yield from field.metadata
    yield from _inner_metadata(field.annotation)


def _inner_metadata(annotation: Any) -> Iterator[Any]:  # noqa: ANN401
    for member in get_args(annotation):
        metadata: Iterable[Any] = getattr(member, "__metadata__", ())
        for item in metadata:
            yield from item.metadata if isinstance(item, FieldInfo) else (item,)
        yield from _inner_metadata(member)


def _shown(value: float, dimension: Dimension | None) -> str:
    return show(value, dimension) if dimension else f"{value:g}"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a set of fields: where (a path of names and list positions) and what."""

    path: tuple[str | int, ...]
    message: str

    @property
    def field(self) -> str:
        """The path as text, list positions counted from 1: `part[2].wall`."""
        text = "".join(f"[{step + 1}]" if isinstance(step, int) else f".{step}" for step in self.path)
        return text.removeprefix(".")


def faults(error: ValidationError, model: type[BaseModel]) -> tuple[Fault, ...]:
    """All faults of a validation in plain words, each naming the rule, the unit and the value."""
    items = error.errors(include_url=False)
    return tuple(Fault(*_in_words(item, model)) for item in items if not _follows(item, items))


def _follows(item: Mapping[str, Any], items: Iterable[Mapping[str, Any]]) -> bool:
    """True for a list that is called too short only because its values were refused one by one."""
    loc = item["loc"]
    return item["type"] == "too_short" and any(other["loc"][: len(loc)] == loc != other["loc"] for other in items)


def _in_words(item: Mapping[str, Any], model: type[BaseModel]) -> tuple[tuple[str | int, ...], str]:
    path: tuple[str | int, ...] = tuple(item["loc"])
    kind, context, value = str(item["type"]), item.get("ctx", {}), item.get("input")
    field = model.model_fields.get(str(path[0])) if path else None
    dimension = dimension_of(field) if field else None
    if kind == "value_error":
        message = str(context["error"])
        name, colon, rest = message.partition(": ")
        # A rule over several fields names the one to look at first.
        return ((*path, name), rest) if colon and not path and name in model.model_fields else (path, message)
    words = {
        "greater_than": ("must be above", "gt"),
        "greater_than_equal": ("must be at least", "ge"),
        "less_than": ("must be below", "lt"),
        "less_than_equal": ("must be at most", "le"),
    }
    if kind in words:
        word, key = words[kind]
        got = _shown(value, dimension) if isinstance(value, float) else str(value)
        return path, f"{word} {_shown(float(context[key]), dimension)}, got {got}"
    if kind == "missing":
        return path, f"is needed and not stated{_hint(field)}"
    if kind == "extra_forbidden":
        return path, f"there is no such field{near(str(path[-1]), model.model_fields)}"
    if kind == "literal_error":
        allowed = choices(field) if field else ()
        return path, f"{value!r} is not one of {', '.join(allowed)}{near(str(value), allowed)}"
    if kind == "finite_number":
        return path, f"{value!r} is not a finite number"
    if kind in ("int_from_float", "int_type", "int_parsing"):
        return path, f"{value!r} is not a whole number"
    if kind in ("float_type", "float_parsing"):
        return path, f"{value!r} is not a plain number"
    if kind in ("tuple_type", "list_type"):
        return path, f"{value!r} is not a list; write it in square brackets: [{value!r}]"
    if kind in ("too_long", "string_too_long"):
        things, size = ("letters", len(value)) if isinstance(value, str) else ("values", context["actual_length"])
        return path, f"takes at most {context['max_length']} {things}, got {size}"
    if kind in ("too_short", "string_too_short") and value:
        things = "letters" if isinstance(value, str) else "values"
        return path, f"takes at least {context['min_length']} {things}, got {len(value)}"
    if kind in ("too_short", "string_too_short"):
        return path, "must not be empty"
    if kind == "string_type":
        return path, f"{value!r} is not a text; write it in quotes"
    return path, f"{str(item['msg'])[:1].lower()}{str(item['msg'])[1:]}, got {value!r}"


def _hint(field: FieldInfo | None) -> str:
    return f" ({field.description})" if field and field.description else ""


_LONGEST_WORD = 200
"""Longest word that is compared with others [-]: the time it takes grows with the square."""


def near(word: str, known: Iterable[str]) -> str:
    """`; did you mean 'x'?` for the nearest known word, or nothing; nothing is near to what is longer than any name."""
    if len(word) > _LONGEST_WORD:
        return ""
    found = difflib.get_close_matches(word.lower().replace("_", "-"), [k.replace("_", "-") for k in known], 1, 0.6)
    if not found:
        return ""
    original = next(k for k in known if k.replace("_", "-") == found[0])
    return f"; did you mean {original!r}?"
