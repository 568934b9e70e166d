"""How far a run is: a bar on a terminal, a plain line for each file elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import typer


@dataclass(frozen=True, slots=True)
class Told:
    """Tells how far a run is.

    Attributes:
        say: called with a line about each file.
        step: called when one part is done.
    """

    say: Callable[[str], None]
    step: Callable[[], None]


@contextmanager
def progress(parts: int) -> Iterator[Told]:
    """Tell on standard error how far a run over some parts is.

    Args:
        parts: how many there are [-].
    """
    if not sys.stderr.isatty():
        yield Told(lambda line: typer.echo(line, err=True), lambda: None)
        return
    from rich.console import Console  # noqa: PLC0415  only where somebody watches
    from rich.progress import Progress  # noqa: PLC0415

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=parts)

        def say(line: str) -> None:
            bar.update(task, description=line.replace("[", "\\["))

        yield Told(say, lambda: bar.advance(task))
