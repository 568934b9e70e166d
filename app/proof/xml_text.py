"""XML read as a stream, with nothing in it that could make a small file large: no document type, no entities."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any
from xml.parsers import expat

from .findings import NotReadableError

Start = Callable[[str, dict[str, str]], None]
End = Callable[[str], None]


def stream(chunks: Iterable[bytes], start: Start, end: End, words: End | None = None) -> None:
    """Read XML and tell each element as it begins and ends, under its name without the namespace.

    Args:
        chunks: the text.
        start: told the name of an element and its attributes.
        end: told the name of an element.
        words: told text between elements.

    Raises:
        NotReadableError: it is not well formed, or declares a document type.
    """
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True

    def refuse(*_: Any) -> None:  # noqa: ANN401  what the parser says of it does not matter
        raise NotReadableError("a document type is declared, which could make a small file large; not read")

    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = lambda name, attributes: start(name.rpartition(" ")[2], attributes)
    parser.EndElementHandler = lambda name: end(name.rpartition(" ")[2])
    if words is not None:
        parser.CharacterDataHandler = words
    try:
        for chunk in chunks:
            parser.Parse(chunk, False)
        parser.Parse(b"", True)
    except expat.ExpatError as error:
        raise NotReadableError(f"not well-formed XML: {error}") from None
