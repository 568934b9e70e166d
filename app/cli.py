"""The command line: `ferrule kinds`, `part`, `check`, `make`."""

from __future__ import annotations

import functools
import inspect
import json
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any, Optional, TypeVar

import typer
from pydantic.fields import FieldInfo

from .. import __version__
from ..analysis.mass import mass_properties
from ..analysis.rocket import Item
from ..parts.errors import FerruleError
from ..parts.fingerprint import short
from ..parts.kinds import Fin, in_bench_order
from ..parts.params import bounds_of, choices, dimension_of, is_list, near
from ..parts.part import Part
from ..parts.quantity import show
from .cautions import NOT_A_CLEARANCE
from .design_file import Design, load
from .make import FORMATS, Job, add_to_manifest, check_formats, check_templates, make_part, write_manifest, write_report
from .names import slug
from .report import report
from .summary import failed_checks, summary

# Square brackets in the help name units; rich would take them for markup.
app = typer.Typer(
    name="ferrule",
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    no_args_is_help=True,
    help="Measured tubes and one design file in; every part of a hobby high-power airframe, and its stability, out.",
    epilog=NOT_A_CLEARANCE,
)
part_app = typer.Typer(rich_markup_mode=None, no_args_is_help=True, help="Make one part from its sizes.")
app.add_typer(part_app, name="part")

Command = TypeVar("Command", bound=Callable[..., None])


def main() -> None:
    """Run the command line."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # Names of parts may hold letters that an old console does not have.
            stream.reconfigure(errors="replace")
    app()


def _fails_clearly(command: Command) -> Command:
    """Turn an error of ours into its message and exit code."""

    @functools.wraps(command)
    def run(*args: Any, **options: Any) -> None:  # noqa: ANN401
        try:
            command(*args, **options)
        except FerruleError as error:
            typer.echo(f"ferrule: {error}", err=True)
            raise typer.Exit(error.exit_code) from None

    return run  # type: ignore[return-value]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"ferrule {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """What holds for every command."""


@app.command()
@_fails_clearly
def kinds(
    kind: Annotated[Optional[str], typer.Argument(help="Show the fields of this kind.", show_default=False)] = None,  # noqa: UP045
) -> None:
    """List the kinds of parts, or the fields of one."""
    known = {one.kind: one for one in in_bench_order()}
    if kind is None:
        width = max(len(name) for name in known)
        for name, one in known.items():
            typer.echo(f"{name:{width}}  {_first_line(one)}")
        return
    if kind not in known:
        raise FerruleError(f"there is no kind {kind!r}{near(kind, known)}; kinds: {', '.join(known)}")
    typer.echo(_described(known[kind]))


@app.command()
@_fails_clearly
def check(
    file: Annotated[Path, typer.Argument(help="Design file.", show_default=False)],
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Check a design: mass, balance, centre of pressure, margin and fits."""
    figures = summary(load(file))
    if as_json:
        typer.echo(json.dumps(figures, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        typer.echo(_short_report(figures))
    if failed_checks(figures):
        raise typer.Exit(1)


@app.command()
@_fails_clearly
def make(
    file: Annotated[Path, typer.Argument(help="Design file.", show_default=False)],
    out: Annotated[Path, typer.Option("--out", help="Folder for the files.")] = Path("out"),
    only: Annotated[
        Optional[list[str]], typer.Option("--only", metavar="NAME", help="Make only this part; may be repeated.")  # noqa: UP045
    ] = None,
    formats: Annotated[str, typer.Option("--formats", help="Formats, separated by commas.")] = ",".join(FORMATS),
) -> None:
    """Make the files of a design: solids, print meshes, paper templates, report and manifest."""
    design, wanted = load(file), check_formats([formats])
    jobs = _jobs(design, only or [])
    figures = summary(design)
    failed = failed_checks(figures)
    check_templates(jobs, wanted, failed)
    made = []
    for job in jobs:
        made += make_part(job, out, wanted, failed, lambda line: typer.echo(line, err=True))
    fingerprint = figures["fingerprint"]
    text = report(design, figures, tuple(item.file for item in made))
    made.append(write_report(out, "report.md", text, fingerprint))
    write_manifest(out, design.name, fingerprint, made, bool(only), failed)
    typer.echo(_short_report(figures))
    typer.echo(f"{len(made)} files and manifest.json in {out}")
    if failed:
        raise typer.Exit(1)


def _jobs(design: Design, only: list[str]) -> list[Job]:
    """The parts to make: all that are not tubes, which lie on the bench already."""
    made = {item.name: item for item in design.rocket.items if item.part is not None and item.kind != "tube"}
    unknown = [name for name in only if name not in made]
    if unknown:
        known = ", ".join(made) or "none"
        raise FerruleError(f"--only: there is no part {unknown[0]!r} to make{near(unknown[0], made)}; parts: {known}")
    revision = ", ".join(filter(None, (design.head.revision, design.head.date))) or None
    notes = (design.head.note,) if design.head.note else ()
    return [
        Job(item.part, name, design.name, item.quantity, revision, notes)
        for name, item in made.items()
        if item.part is not None and (not only or name in only)
    ]


def _short_report(figures: Mapping[str, Any]) -> str:
    total, margin = figures["total"], figures["stability"]

    def number(value: float | None, digits: int, unit: str) -> str:
        return "not stated" if value is None else f"{value:.{digits}f} {unit}"

    cg = total["cg_mm"][0] if total["cg_mm"] else None
    lines = [
        f"{figures['design']}, fingerprint {figures['fingerprint']}",
        f"  mass               {number(total['mass_g'], 0, 'g')}",
        f"  centre of gravity  {number(cg, 0, 'mm from the nose tip, predicted: CG not measured')}",
        f"  centre of pressure {number(total['cp_mm'], 0, 'mm from the nose tip')}",
        f"  static margin      {number(margin['margin_cal'], 2, 'calibres')}, "
        f"{number(margin['margin_percent_of_length'], 1, '% of the length')}",
        "  (slender-body theory and the 1966 report's fin equations; everything in the file as it stands)",
    ]
    lines += [f"  note: {note}" for note in margin["notes"]]
    lines.append("")
    for one in figures["checks"]:
        value = one["value"] or "not stated"
        text = f"  {one['status'].replace('-', ' '):10}  {one['name']}: {value}"
        if one["status"] != "pass":
            text += f"; {one['note'] or one['limit']}"
            text += f" [{one['source']}]" if one["status"] in ("fail", "warn") else ""
        lines.append(text)
    lines += ["", NOT_A_CLEARANCE]
    return "\n".join(lines)


def _first_line(kind: type[Part]) -> str:
    return (sys.modules[kind.__module__].__doc__ or "").strip().splitlines()[0]


def _described(kind: type[Part]) -> str:
    lines = [inspect.cleandoc(kind.__doc__ or "").replace("\n::\n", ""), "", "Fields:"]
    fields = kind.model_fields
    width = max(len(name) for name in fields)
    for name, field in fields.items():
        lines.append(f"  {name:{width}}  {_field_help(field)}")
    values = " ".join(
        f'--{_option(name)} "{one}"'
        for name, value in kind.example.items()
        for one in (value if isinstance(value, tuple) else (value,))
    )
    lines += ["", "Example:", f"  ferrule part {kind.kind} {values} --out out"]
    return "\n".join(lines)


def _field_help(field: FieldInfo) -> str:
    dimension = dimension_of(field)
    about = [str(field.description)]
    if choices(field):
        about.append(f"one of {', '.join(choices(field))}")
    limits = bounds_of(field).text(dimension)
    if limits:
        about.append(limits)
    if is_list(field):
        about.append("may be repeated")
    if field.is_required():
        about.append("needed")
    elif field.default not in (None, ()):
        about.append(f"default {_value_text(field, field.default)}")
    return f"{about[0]} ({'; '.join(about[1:])})" if about[1:] else about[0]


def _value_text(field: FieldInfo, value: Any) -> str:  # noqa: ANN401
    dimension = dimension_of(field)
    return show(value, dimension) if dimension and isinstance(value, (int, float)) else str(value)


def _option(name: str) -> str:
    return name.replace("_", "-")


def _part_command(kind: type[Part]) -> Callable[..., None]:
    """The command that makes one kind, with an option for each of its fields."""

    @_fails_clearly
    def run(**options: Any) -> None:  # noqa: ANN401
        out, formats, name = options.pop("out"), options.pop("formats"), options.pop("name")
        stated = {field: value for field, value in options.items() if value not in (None, [])}
        part = kind.build(**stated)
        if name is not None and not slug(name):
            raise FerruleError(f"--name: {name!r} holds no letter or digit to name files by")
        job, wanted = Job(part, name or kind.kind), check_formats([formats])
        check_templates([job], wanted, ())
        made = make_part(job, out, wanted, (), lambda line: typer.echo(line, err=True))
        add_to_manifest(out, made)
        typer.echo(_part_figures(part))
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
    run.__doc__ = _first_line(kind)
    return run


def _parameter(name: str, field: FieldInfo) -> inspect.Parameter:
    kind: Any = Optional[list[str]] if is_list(field) else Optional[str]  # noqa: UP045
    dimension = dimension_of(field)
    metavar = dimension.upper() if dimension else "|".join(choices(field)) or "VALUE"
    option = typer.Option(f"--{_option(name)}", help=_field_help(field), metavar=metavar, show_default=False)
    return inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=Annotated[kind, option])


def _part_figures(part: Part) -> str:
    """Every field that was used, and what the part weighs."""
    lines = [f"{part.kind}, fingerprint {short(part.fingerprint())}"]
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        if value in (None, ()):
            continue
        text = ", ".join(_value_text(field, one) for one in (value if isinstance(value, tuple) else (value,)))
        lines.append(f"  {name:20} {text}{'' if name in part.model_fields_set else '  (default)'}")
    item = Item(part.kind, (0.0,), part)
    found = mass_properties(item)
    volume = item.volume_moments().volume
    lines.append(f"  {'volume':20} {volume / 1000.0:.2f} cm3")
    if found is None:
        lines.append(f"  {'mass':20} not stated; give --material or --density")
    else:
        origin = "root leading edge" if isinstance(part, Fin) else "forward end"
        lines.append(f"  {'mass':20} {found.mass:.1f} g, volume x density")
        lines.append(f"  {'centre of gravity':20} {found.cg[0]:.1f} mm aft of the {origin}")
    return "\n".join(lines)


for _kind in in_bench_order():
    part_app.command(_kind.kind)(_part_command(_kind))
