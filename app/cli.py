"""The command line: `ferrule new`, `measure`, `check`, `make`, `template`, `gauge`, `kinds`, `part`."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated, Optional

import typer

from .. import __version__
from ..parts.errors import FerruleError
from ..parts.kinds import in_bench_order
from ..parts.params import near
from .cautions import NOT_A_CLEARANCE
from .check_text import check_text
from .design_file import load
from .exits import fails_clearly
from .gauge import take_result, write_gauges
from .job import FORMATS, PAPER
from .kind_words import described, first_line
from .machine_file import load_machines
from .make import check_formats
from .make_design import Outcome, make_design
from .measure import write_cards
from .part_commands import part_app
from .starter import write_starter
from .summary import failed_checks, summary
from .wrap import write_wraps

# Square brackets in the help name units; rich would take them for markup.
app = typer.Typer(
    name="ferrule",
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    no_args_is_help=True,
    help="Measured tubes and one design file in; every part of a hobby high-power airframe, and its stability, out.",
    epilog=NOT_A_CLEARANCE,
)
app.add_typer(part_app, name="part")

DesignFile = Annotated[Path, typer.Argument(help="Design file.", show_default=False)]
Out = Annotated[Path, typer.Option("--out", help="Folder for the files.")]
Only = Annotated[
    Optional[list[str]], typer.Option("--only", metavar="NAME", help="Make only this part; may be repeated.")  # noqa: UP045
]


def main() -> None:
    """Run the command line."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # Names of parts may hold letters that an old console does not have.
            stream.reconfigure(errors="replace")
    app()


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
@fails_clearly
def new(
    file: Annotated[Path, typer.Argument(help="Design file to write; must not be there yet.", show_default=False)],
) -> None:
    """Write a commented design file to start from."""
    write_starter(file)
    typer.echo(f"{file} is written; put your own readings into it, then: ferrule check {file}")


@app.command()
@fails_clearly
def check(
    file: DesignFile,
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Check a design: fits, recovery, mass, balance, centre of pressure and margin for each motor."""
    figures = summary(load(file, load_machines()))
    if as_json:
        typer.echo(json.dumps(figures, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        typer.echo(check_text(figures))
    if failed_checks(figures):
        raise typer.Exit(1)


@app.command()
@fails_clearly
def make(
    file: DesignFile,
    out: Out = Path("out"),
    only: Only = None,
    formats: Annotated[str, typer.Option("--formats", help="Formats, separated by commas.")] = ",".join(FORMATS),
) -> None:
    """Make the files of a design: solids, print meshes, cut files, paper templates, side view, report, manifest."""
    _tell(make_design(load(file, load_machines()), out, only or [], check_formats([formats])), out)


@app.command()
@fails_clearly
def template(file: DesignFile, out: Out = Path("out"), only: Only = None) -> None:
    """Make only the paper: the templates of everything that is cut from sheet, on A4 and on US Letter."""
    _tell(make_design(load(file, load_machines()), out, only or [], PAPER), out)


def _tell(outcome: Outcome, out: Path) -> None:
    typer.echo(check_text(outcome.figures, with_items=False))
    for name in outcome.removed:
        typer.echo(f"removed {name}, which is of another state of the design")
    for words in outcome.sizes:
        typer.echo(words)
    typer.echo(f"{len(outcome.files)} files and manifest.json in {out}")
    if outcome.failed:
        typer.echo(f"CHECK FAILED: {', '.join(outcome.failed)}")
        raise typer.Exit(1)


@app.command()
@fails_clearly
def measure(
    file: Annotated[Path, typer.Argument(help="Design file; the names of its tubes are enough.", show_default=False)],
    out: Out = Path("out"),
) -> None:
    """Print the card to measure the tubes with, with a box for every reading, on A4 and on US Letter."""
    for name in write_cards(file, out):
        typer.echo(f"{out / name}")


@app.command()
@fails_clearly
def wrap(
    file: DesignFile,
    out: Out = Path("out"),
    strip: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option(
            "--strip", metavar="TUBE=LENGTH", help="Length once round, read off a first print; may be repeated."
        ),
    ] = None,
    whole: Annotated[bool, typer.Option("--whole", help="One paper over the whole length of each tube.")] = False,
) -> None:
    """Print the papers that are laid once round the tubes: lines for fins, slots, rings, vents, screws and balance."""
    names = write_wraps(load(file, load_machines()), out, strip or [], whole)
    typer.echo(f"{len(names)} files and manifest.json in {out}")
    typer.echo(
        "Lay each paper round its tube and read the number under the butt line; if it is not the printed length,"
    )
    typer.echo('print again with --strip "TUBE=NUMBER mm": same printer, same paper, same settings.')


@app.command()
@fails_clearly
def gauge(
    file: DesignFile,
    out: Out = Path("out"),
    machine: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(
            "--machine", metavar="NAME", help="Printer or cutter to make them on; nominal sizes if not stated."
        ),
    ] = None,
    only: Annotated[
        Optional[list[str]], typer.Option("--only", metavar="NAME", help="Make only this gauge; may be repeated.")  # noqa: UP045
    ] = None,
    result: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option(
            "--result", metavar="GAUGE=NUMBER", help="What fitted; kept in your own machine file; may be repeated."
        ),
    ] = None,
    made: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--made", metavar="CODE", help="The code on the sheet of the gauges that were tried."),
    ] = None,
) -> None:
    """Make fit gauges for this design's tubes and parts, or take in what fitted."""
    if result:
        if machine is None:
            raise FerruleError("--machine: say on which machine the gauges were made")
        typer.echo(take_result(file, machine, result, made))
        return
    if made is not None:
        raise FerruleError("--made: goes with --result")
    names = write_gauges(file, out, machine, only or [])
    typer.echo(f"{len(names)} files and manifest.json in {out}")
    typer.echo(f"read {next(out / name for name in names if name.endswith('.md'))}")


@app.command()
@fails_clearly
def kinds(
    kind: Annotated[Optional[str], typer.Argument(help="Show the fields of this kind.", show_default=False)] = None,  # noqa: UP045
) -> None:
    """List the kinds of parts, or the fields of one."""
    known = {one.kind: one for one in in_bench_order()}
    if kind is None:
        width = max(len(name) for name in known)
        for name, one in known.items():
            typer.echo(f"{name:{width}}  {first_line(one)}")
        return
    if kind not in known:
        raise FerruleError(f"there is no kind {kind!r}{near(kind, known)}; kinds: {', '.join(known)}")
    typer.echo(described(known[kind]))
