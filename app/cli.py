"""The command line, one function for each command; `ferrule part` has a module of its own."""

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
from .jig import write_jigs
from .job import FORMATS, OTHER_FORMATS, PAPER
from .kind_words import described, first_line
from .machine_file import load_machines
from .make import check_formats
from .make_design import Outcome, make_design
from .measure import write_cards
from .nest import write_nest
from .paper_choice import CORRECT, choice_of
from .part_commands import part_app
from .picture import WIDTH, make_pictures
from .sensitivity_words import sensitivity_text, solution_text
from .solve import solve as solve_design
from .solve import write_solution
from .starter import write_starter
from .summary import failed_checks, summary
from .verify import verify_folder
from .weigh import weigh as take_weighings
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


OnPaper = Annotated[
    Optional[list[str]],  # noqa: UP045
    typer.Option(
        "--paper",
        metavar="PAPER",
        help='a4, letter, a3, or a roll with its width: "roll 610 mm"; a4 and letter if not stated; may be repeated.',
    ),
]
AsPrinted = Annotated[
    Optional[tuple[str, str]],  # noqa: UP045
    typer.Option(
        "--printed",
        metavar="X Y",
        help='What the bars X and Y of 100 mm measure on a print made at 100 % without this option, such as "99.2 mm" '
        '"98.8 mm": the sheets are made anew so that they print true on that printer.',
        show_default=False,
    ),
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
    formats: Annotated[
        str, typer.Option("--formats", help="Formats, separated by commas; png, of the charts, only where it is named.")
    ] = ",".join(FORMATS),
    anew: Annotated[
        bool, typer.Option("--anew", help="Make all files anew, also those that are there as they would be made.")
    ] = False,
) -> None:
    """Make the files of a design: solids, print meshes, cut files, paper templates, side view, report, manifest."""
    wanted = check_formats([formats], OTHER_FORMATS)
    _tell(make_design(load(file, load_machines()), out, only or [], wanted, anew=anew), out)


@app.command()
@fails_clearly
def template(
    file: DesignFile,
    out: Out = Path("out"),
    only: Only = None,
    paper: OnPaper = None,
    printed: AsPrinted = None,
    mirrored: Annotated[
        bool,
        typer.Option("--mirrored", help="As seen from the other face: only of what is cut from sheet."),
    ] = False,
) -> None:
    """Make only the paper: the templates of everything that is cut from sheet, on A4 and on US Letter."""
    choice = choice_of(paper or [], printed, mirrored)
    outcome = make_design(load(file, load_machines()), out, only or [], PAPER, choice)
    _tell(outcome, out, () if printed else (CORRECT,))


def _tell_removed(names: tuple[str, ...]) -> None:
    for name in names:
        typer.echo(f"removed {name}, which is of another state of the design")


def _tell(outcome: Outcome, out: Path, more: tuple[str, ...] = ()) -> None:
    typer.echo(check_text(outcome.figures, with_items=False))
    _tell_removed(outcome.removed)
    for words in (*outcome.sizes, *outcome.notes):
        typer.echo(words)
    made = len(outcome.files) - outcome.kept
    how = f": {made} made, {outcome.kept} kept as they were" if outcome.kept else ""
    typer.echo(f"{len(outcome.files)} files and manifest.json in {out}{how}")
    for words in more:
        typer.echo(words)
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
def weigh(
    file: DesignFile,
    sets: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option(
            "--set",
            metavar="NAME=MASS",
            help='What the scale says of one part, such as "nose=91 g"; of several alike each by itself, "fin=12.3 g, '
            '12.4 g, 12.2 g"; with its balance point "nose=91 g, CG=120 mm"; may be repeated.',
        ),
    ] = None,
    balance: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option(
            "--balance",
            metavar="READING",
            help='The whole rocket, "mass=600 g, CG=450 mm", or with a loaded motor in it, "mass=800 g, CG=530 mm, '
            'motor=NAME"; may be repeated.',
        ),
    ] = None,
    date: Annotated[Optional[str], typer.Option("--date", metavar="TEXT", help="Date to write beside each.")] = None,  # noqa: UP045
) -> None:
    """Take masses and balance points into the design file; without --set and --balance it asks for them one by one."""
    done = take_weighings(file, sets or [], balance or [], date, _ask if sys.stdin.isatty() else None, typer.echo)
    for line in done.lines:
        typer.echo(line)
    if done.failed:
        typer.echo(f"CHECK FAILED: {', '.join(done.failed)}")
        raise typer.Exit(1)


def _ask(words: str) -> str:
    return str(typer.prompt(words, default="", show_default=False))


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
    sleeve: Annotated[
        bool,
        typer.Option("--sleeve", help="Of card, to be glued into a sleeve: a window to draw through at each slot."),
    ] = False,
    card: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(
            "--card",
            metavar="THICKNESS",
            help="Thickness of the paper or card, as measured; 0.1 mm by default, 0.3 mm for a sleeve.",
        ),
    ] = None,
    paper: OnPaper = None,
    printed: AsPrinted = None,
) -> None:
    """Print the papers that are laid once round the tubes: lines for fins, slots, rings, vents, screws and balance."""
    design, choice = load(file, load_machines()), choice_of(paper or [], printed)
    made = write_wraps(design, out, strip or [], whole, choice, sleeve, card)
    _tell_removed(made.removed)
    for name in made.skipped:
        typer.echo(f"no sleeve for {name}, which has no slot")
    typer.echo(f"{len(made.files)} files and manifest.json in {out}")
    if strip and printed:
        typer.echo("The lengths of --strip must have been read off a print made with the same --printed.")
    if sleeve:
        typer.echo("Before you glue a sleeve, and before you cut its windows:")
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
def jig(
    file: DesignFile,
    out: Out = Path("out"),
    only: Annotated[
        Optional[list[str]], typer.Option("--only", metavar="NAME", help="Make only this jig; may be repeated.")  # noqa: UP045
    ] = None,
    machine: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(
            "--machine", metavar="NAME", help="Printer or cutter to make them on; nominal sizes if not stated."
        ),
    ] = None,
    thickness: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--thickness", metavar="LENGTH", help="Sheet for plates and stand, as measured; 4 mm by default."),
    ] = None,
) -> None:
    """Make jigs for this design: fin alignment plates, a stand, drilling guides, a ring to draw lines with."""
    names = write_jigs(file, out, machine, only or [], thickness)
    typer.echo(f"{len(names)} files and manifest.json in {out}")
    typer.echo(f"read {next(out / name for name in names if name.endswith('.md'))}")


@app.command()
@fails_clearly
def nest(
    file: DesignFile,
    out: Out = Path("out"),
    dense: Annotated[
        bool, typer.Option("--dense", help="Look for denser places with spyrrow; takes seconds for each sheet.")
    ] = False,
    cutter: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--cutter", metavar="NAME", help="Cutter for all of it; that of the design if not stated."),
    ] = None,
    jigs: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--jigs", metavar="SHEET", help="Lay the plates of the jigs too, cut from this sheet."),
    ] = None,
) -> None:
    """Lay all that is cut from sheet on the sheets of the design: a DXF, an SVG and a page to read for each sheet."""
    made = write_nest(load(file, load_machines()), out, dense, cutter, jigs)
    _tell_removed(made.removed)
    for line in made.lines:
        typer.echo(line)
    typer.echo(f"{len(made.files)} files and manifest.json in {out}")
    if made.failed:
        typer.echo(f"CHECK FAILED: {', '.join(made.failed)}")
    if made.failed or made.missing:
        raise typer.Exit(1)


@app.command()
@fails_clearly
def book(
    file: DesignFile,
    out: Out = Path("out"),
    paper: Annotated[
        str, typer.Option("--paper", metavar="PAPER", help="a4 or letter: paper of the pages and of the templates.")
    ] = "a4",
    pictures: Annotated[
        bool, typer.Option("--pictures/--no-pictures", help="With shaded pictures of the rocket and its parts.")
    ] = True,
) -> None:
    """Make the build book: parts, drawings, templates, assembly, balance, flight, inspection sheet, in one PDF."""
    from .book.make_book import make_book  # noqa: PLC0415  all its chapters, which no other command needs

    made = make_book(file, out, paper, pictures)
    _tell_removed(made.removed)
    if made.no_pictures:
        typer.echo(f"no pictures: {made.no_pictures}")
    typer.echo(f"{made.files[0]}: {made.pages} pages; {len(made.files)} files and manifest.json in {out}")
    if made.failed:
        typer.echo(f"CHECK FAILED: {', '.join(made.failed)}")
        raise typer.Exit(1)


@app.command()
@fails_clearly
def picture(
    file: DesignFile,
    out: Out = Path("out"),
    view: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--view", metavar="VIEW", help="whole, exploded, cutaway, parts, or all; all if not stated."),
    ] = None,
    part: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option("--part", metavar="NAME", help="Show this part by itself; may be repeated."),
    ] = None,
    width: Annotated[
        int, typer.Option("--width", metavar="PIXELS", help="Width of the whole rocket; a part has 3/8 of it.")
    ] = WIDTH,
) -> None:
    """Make shaded pictures: the whole rocket, pulled apart and cut open with names, and each part."""
    made = make_pictures(load(file, load_machines()), out, view, part or [], width)
    _tell_removed(made.removed)
    typer.echo(f"{len(made.files)} files and manifest.json in {out}")


@app.command()
@fails_clearly
def verify(
    folder: Annotated[Path, typer.Argument(help="Folder of finished files.", show_default=False)],
    without_kernel: Annotated[
        bool,
        typer.Option("--without-kernel", help="Leave out the solids of STEP files, for which the kernel is loaded."),
    ] = False,
) -> None:
    """Prove a finished folder: read every file anew and hold it against the manifest and the exact figures."""
    proof = verify_folder(folder, with_kernel=not without_kernel)
    for line in proof.lines():
        typer.echo(line)
    if not proof.holds:
        raise typer.Exit(1)


@app.command()
@fails_clearly
def solve(
    file: DesignFile,
    target: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option(
            "--target",
            metavar="TARGET",
            help='What to come to, such as "margin >= 1.5", "margin at liftoff = 1.5", "cg <= 700 mm" or '
            '"mass <= 1200 g"; may be repeated.',
        ),
    ] = None,
    vary: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option(
            "--vary",
            metavar="NAME",
            help='What may change, such as fin.semi_span, "fin.semi_span=40 mm..90 mm", or ballast; up to four.',
        ),
    ] = None,
    ballast_at: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--ballast-at", metavar="LENGTH", help="Nose tip to where new ballast would lie."),
    ] = None,
    motor: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--motor", metavar="NAME", help="The motor that is meant; the worst of all if not stated."),
    ] = None,
    write: Annotated[bool, typer.Option("--write", help="Write the change into the design file.")] = False,
) -> None:
    """Tell what to change: what moves the margin, or with a target the smallest change that meets it."""
    machines = load_machines()
    if not target:
        for name, given in (("--vary", vary), ("--ballast-at", ballast_at), ("--motor", motor), ("--write", write)):
            if given:
                raise FerruleError(f"{name}: goes with --target")
        typer.echo(sensitivity_text(file, machines))
        return
    found = solve_design(file, target, vary or [], ballast_at, motor, machines)
    if write and found.met:
        write_solution(file, found, machines)
    typer.echo(solution_text(found, file, write))
    if not found.met:
        raise typer.Exit(1)


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
