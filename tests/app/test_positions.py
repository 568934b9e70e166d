"""Where keys stand in a TOML text: against texts written key by key, so that the true place of each is known."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.app.positions import nearest, positions

ROOT = Path(__file__).resolve().parents[2]

BARE = st.text("abcdefg-_019", min_size=1, max_size=6)
WORDS = st.sampled_from(["a = 1", "[[part]]", "# no comment", "[x]", "]]", "{ b = 2 }", "name", "é火", ""])
VALUES = st.one_of(
    st.integers(-99, 99).map(str),
    st.sampled_from(["true", "1.5e3", "nan", "2026-11-01", "[1, 2, 3]", "[\n  1, # a = 1\n  2,\n]", "[]"]),
    WORDS.map(lambda word: f'"{word}"'),
    WORDS.map(lambda word: f"'{word}'"),
    WORDS.map(lambda word: f'"""\n{word}\n"""'),
)


class Writer:
    """Writes a text piece by piece and notes where each key begins."""

    def __init__(self) -> None:
        self.text = ""
        self.places: dict[tuple[str | int, ...], tuple[int, int]] = {}

    def key(self, path: tuple[str | int, ...], piece: str) -> None:
        self.places[path] = (self.text.count("\n") + 1, len(self.text) - (self.text.rfind("\n") + 1) + 1)
        self.text += piece


@st.composite
def documents(draw: st.DrawFn) -> Writer:
    writer = Writer()
    keys = st.lists(BARE, max_size=3, unique=True)

    def noise() -> None:
        writer.text += draw(st.sampled_from(["", "\n", "# a = 1\n", "  # [[part]] \n"]))

    def entries(path: tuple[str | int, ...]) -> None:
        for key in draw(keys):
            noise()
            writer.text += draw(st.sampled_from(["", "  ", "\t"]))
            writer.key((*path, f"k{key}"), draw(st.sampled_from(["k{}", '"k{}"', "'k{}'"])).format(key))
            writer.text += draw(st.sampled_from([" = ", "=", "\t=  "]))
            if draw(st.booleans()):
                inside = draw(keys)
                writer.text += "{ "
                for number, name in enumerate(inside):
                    writer.text += ", " if number else ""
                    writer.key((*path, f"k{key}", name), name)
                    writer.text += f" = {draw(VALUES.filter(lambda value: chr(10) not in value))}"
                writer.text += " }"
            else:
                writer.text += draw(VALUES)
            writer.text += draw(st.sampled_from(["\n", "  # k = 2\n"]))

    entries(())
    for name in draw(st.lists(BARE, max_size=3, unique=True)):
        noise()
        if draw(st.booleans()):
            writer.key((f"t{name}",), f"[t{name}]")
            writer.text += draw(st.sampled_from(["\n", " # t\n"]))
            entries((f"t{name}",))
            continue
        for number in range(draw(st.integers(1, 3))):
            noise()
            writer.key((f"t{name}", number), f"[[t{name}]]")
            writer.places.setdefault((f"t{name}",), writer.places[f"t{name}", number])
            writer.text += draw(st.sampled_from(["\n", " # [[t]]\n"]))
            entries((f"t{name}", number))
    return writer


def paths(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Every key of what a second reader of TOML finds; positions in lists of plain values are no keys."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield (*path, key)
            yield from paths(inner, (*path, key))
    elif isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        for number, item in enumerate(value):
            yield (*path, number)
            yield from paths(item, (*path, number))


@given(documents())
def test_every_key_is_found_where_it_was_written(writer: Writer) -> None:
    assert set(paths(tomllib.loads(writer.text))) == writer.places.keys()
    assert positions(writer.text) == writer.places


@pytest.mark.parametrize("example", ["marram/marram.toml", "nose-only/nose.toml"])
def test_every_key_of_an_example_begins_at_its_place(example: str) -> None:
    text = (ROOT / "examples" / example).read_text(encoding="utf-8")
    found, lines = positions(text), text.split("\n")
    wanted = set(paths(tomllib.loads(text)))
    assert wanted == found.keys()
    for path, (line, column) in found.items():
        key = next(step for step in reversed(path) if isinstance(step, str))
        written = lines[line - 1][column - 1 :]
        if written.startswith("["):
            # A table by its whole name; one that only holds others stands where the first of them does.
            name = written.strip("[").partition("]")[0].split(".")
            assert written.startswith("[[") == isinstance(tomllib.loads(text)[str(path[0])], list), path
            assert name[: len(path)] == [step for step in path if isinstance(step, str)][: len(name)], path
        else:
            assert written.startswith(f"{key} = "), path


def test_dotted_keys_are_found_at_their_last_name_at_the_latest() -> None:
    found = positions('a = 1\nb.c = 2\n[d]\ne.f.g = "b.c = 2"\n')
    assert {path: found[path][0] for path in [("a",), ("b", "c"), ("d", "e", "f", "g")]} == {
        ("a",): 1,
        ("b", "c"): 2,
        ("d", "e", "f", "g"): 4,
    }


def test_a_path_without_a_place_has_the_place_of_the_nearest_table_around_it() -> None:
    found = positions("\n[[part]]\nwall = 3\n")
    assert nearest(found, ("part", 0, "wall", 2)) == (3, 1)
    assert nearest(found, ("part", 0, "length")) == (2, 1)
    assert nearest(found, ("part", 7)) == (2, 1)
    assert nearest(found, ("tube",)) is None
    assert nearest(found, ()) is None


def test_a_text_that_only_one_of_the_two_readers_takes_has_no_places() -> None:
    deep = "a = " + "[" * 150 + "]" * 150
    assert tomllib.loads(deep)
    assert positions(deep) == {}
