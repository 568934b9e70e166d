"""How a command ends: an error of ours becomes its message and its exit code."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any, TypeVar

import typer

from ..parts.errors import FerruleError

Command = TypeVar("Command", bound=Callable[..., None])


def fails_clearly(command: Command) -> Command:
    """A command that tells an error of ours in words and exits with its code."""

    @functools.wraps(command)
    def run(*args: Any, **options: Any) -> None:  # noqa: ANN401
        try:
            command(*args, **options)
        except FerruleError as error:
            typer.echo(f"ferrule: {error}", err=True)
            raise typer.Exit(error.exit_code) from None

    return run  # type: ignore[return-value]
