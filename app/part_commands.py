"""`ferrule part KIND`: one command for each kind, with an option for each of its fields."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Optional

import typer
from pydantic.fields import FieldInfo

from ..parts.errors import FerruleError
from ..parts.kinds import in_bench_order
from ..parts.params import choices, dimension_of, is_list
from ..parts.part import Part
from .exits import fails_clearly
from .job import FORMATS, Job
from .kind_words import field_help, first_line, option_of, part_figures
from .make import check_formats, make_part
from .names import DEVICES, slug
from .run_folder import one_run

part_app = typer.Typer(rich_markup_mode=None, no_args_is_help=True, help="Make one part from its sizes.")


def _part_command(kind: type[Part]) -> Callable[..., None]:
    @fails_clearly
    def run(**options: Any) -> None:  # noqa: ANN401
        out, formats, name = options.pop("out"), options.pop("formats"), options.pop("name")
        stated = {field: value for field, value in options.items() if value not in (None, [])}
        part = kind.build(**stated)
        if name is not None and not slug(name):
            raise FerruleError(f"--name: {name!r} holds no letter or digit to name files by")
        if name is not None and slug(name) in DEVICES:
            raise FerruleError(f"--name: {name!r} is what Windows calls a device; take another name")
        job, wanted = Job(part, name or kind.kind), check_formats([formats])
        with one_run(out) as folder:
            made = make_part(job, folder.workshop, wanted, (), lambda line: typer.echo(line, err=True))
            folder.publish(made, None, {})
        typer.echo(part_figures(part))
        typer.echo(f"{len(made)} files and manifest.json in {out}")

    parameters = [_parameter(name, field) for name, field in kind.model_fields.items()]
    parameters += [
        inspect.Parameter(
            "out",
            inspect.Parameter.KEYWORD_ONLY,
            default=Path("out"),
            annotation=Annotated[Path, typer.Option("--out", help="Folder for the files.")],
        ),
        inspect.Parameter(
            "formats",
            inspect.Parameter.KEYWORD_ONLY,
            default=",".join(FORMATS),
            annotation=Annotated[str, typer.Option("--formats", help="Formats, separated by commas.")],
        ),
        inspect.Parameter(
            "name",
            inspect.Parameter.KEYWORD_ONLY,
            default=None,
            annotation=Annotated[
                Optional[str], typer.Option("--name", help="Name for the files; the kind if not stated.")  # noqa: UP045
            ],
        ),
    ]
    run.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    run.__annotations__ = {parameter.name: parameter.annotation for parameter in parameters}
    run.__doc__ = first_line(kind)
    return run


def _parameter(name: str, field: FieldInfo) -> inspect.Parameter:
    kind: Any = Optional[list[str]] if is_list(field) else Optional[str]  # noqa: UP045
    dimension = dimension_of(field)
    metavar = dimension.upper() if dimension else "|".join(choices(field)) or "VALUE"
    option = typer.Option(f"--{option_of(name)}", help=field_help(field), metavar=metavar, show_default=False)
    return inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=Annotated[kind, option])


for _kind in in_bench_order():
    part_app.command(_kind.kind)(_part_command(_kind))
