"""`ferrule gauge`: writes the gauges of a design, and takes what they have shown into the personal machine file."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from ..parts.compensate import words
from ..parts.errors import FerruleError, PartError
from ..parts.fingerprint import fingerprint, short
from ..parts.gauges.gauge import Gauge, Reading, Rule, Sort
from ..parts.jigs.jig import ToPrint
from ..parts.machine import KERF, PER_SIDE, Amount, Cutter, FedBack, Printer, fed_back
from ..parts.params import near
from ..parts.poses import FLAT
from ..parts.quantity import parse
from ..parts.tables import material as material_named
from ..parts.writers.files import write_text
from .bench_files import BenchFiles, BenchThing
from .design import Design
from .design_file import load
from .gauge_sheet import gauge_sheet
from .gauges_of import Sourced, chosen, gauges_of, machine_named
from .machine_file import NOT_STATED, Change, load_machines, record, usual_path
from .manifest import Made, Origin, listed
from .names import slug
from .run_folder import one_run

KIND = "gauge"
NOMINAL = "nominal"

# --- writing ----------------------------------------------------------------------------------------------------------


def write_gauges(file: Path, out: Path, machine: str | None, only: Sequence[str]) -> tuple[str, ...]:
    """Write the gauges of a design file with the sheet for the bench.

    Args:
        file: the design file.
        out: folder for the files.
        machine: name of the printer or cutter that they are made on, which they are compensated for; None for nominal
            sizes and for both kinds of machine.
        only: names of the gauges to make; all where there is none.

    Returns:
        The names of the files.

    Raises:
        FerruleError: the file is wrong, there is no such machine or gauge, or a file cannot be made; nothing is
            written then.
    """
    personal = load_machines()
    design = load(file, personal)
    sourced = machine_named(machine, file, personal) if machine is not None else None
    every_gauge = gauges_of(design, sourced)
    gauges = chosen(every_gauge, only, sourced)
    made: list[Made] = []
    names: dict[str, list[str]] = {}
    suffix = f"-for-{slug(machine)}" if machine is not None else ""
    with one_run(out) as folder:
        for gauge in gauges:
            stem = f"{slug(design.name)}-gauge-{gauge.name}"
            sizes = _sizes(gauge, sourced)
            state = short(fingerprint([design.name, gauge, sizes]))
            machine_in_use = sourced.machine if sourced else None
            writing = BenchFiles(_thing(gauge, design, sourced), machine_in_use, folder.workshop, stem, suffix)
            for kind, path, proof in writing.files(state):
                made.append(replace(listed(path, kind, Origin(None, None, state, state), proof), sizes=sizes))
                names.setdefault(gauge.name, []).append(path.name)
        code = made_code(every_gauge.made, sourced)
        sheet = folder.workshop / f"{slug(design.name)}-gauge{suffix}.md"
        sizes_of = {one.name: _sizes(one, sourced) for one in gauges}
        commands = _commands(file, sourced, gauges, code)
        refused = {} if only else every_gauge.refused
        text = gauge_sheet(design.name, machine, gauges, sizes_of, names, commands, refused)
        write_text(sheet, text)
        state = short(fingerprint([text]))
        made.append(listed(sheet, "gauge sheet", Origin(None, None, state, state), {"read_back": True}))
        # Gauges belong to no state of the design: they are what its machines are measured with.
        folder.publish(made, None, {})
    return tuple(item.file for item in made)


def _sizes(gauge: Gauge, sourced: Sourced | None) -> str:
    if sourced is None:
        return NOMINAL
    return f"{NOMINAL}: cut as drawn" if gauge.as_drawn else words(sourced.machine, gauge.material)


def _thing(gauge: Gauge, design: Design, sourced: Sourced | None) -> BenchThing:
    several = len(gauge.printed) > 1
    return BenchThing(
        design.name,
        gauge.name,
        gauge.title,
        tuple(ToPrint(piece.label if several else "", piece.shape, FLAT) for piece in gauge.printed),
        gauge.cut,
        gauge.material,
        # For no machine, a set's material is what it would be printed of.
        gauge.material if gauge.as_drawn or sourced is not None else None,
        gauge.as_drawn,
    )


def made_code(gauges: Sequence[Gauge], sourced: Sourced | None) -> str:
    """Eight letters that stand for the machine and the sets as they are now, so that an old set is noticed."""
    machine = sourced.machine if sourced else None
    return fingerprint([machine, [(one.name, one.steps) for one in gauges if one.reading]])[:8]


def _commands(file: Path, sourced: Sourced | None, gauges: Sequence[Gauge], code: str) -> dict[str, str]:
    """For each gauge that says something of the machine, the command that takes its result."""
    if sourced is None:
        return {}
    start = f"ferrule gauge {_quoted(file.name)} --machine {_quoted(sourced.machine.name)} --result"
    found: dict[str, str] = {}
    for one in gauges:
        if one.reading is not None:
            found[one.name] = f"{start} {one.name}=NUMBER --made {code}"
        elif one.as_drawn:
            of = f".{one.material}" if one.material else ""
            found[one.name] = f'{start} "kerf{of}=NUMBER mm" --made {code}'
    return found


def _quoted(word: str) -> str:
    return word if all(letter.isalnum() or letter in "-_./" for letter in word) else f'"{word}"'


# --- taking results ---------------------------------------------------------------------------------------------------


NOT_ONE: Mapping[Rule, tuple[str, ...]] = {"limit": ("none",), "best": ("tight", "loose")}
"""What is written instead of a number where no piece of a set fits."""


@dataclass(frozen=True, slots=True)
class _Told:
    """What one result says of one field, a field of a material written `kerf_for.acrylic`."""

    field: str
    found: FedBack
    words: str


def take_result(file: Path, machine: str, results: Sequence[str], made: str | None = None) -> str:
    """Take results of gauges into the personal machine file.

    Args:
        file: the design file that the gauges were made from.
        machine: name of the printer or cutter that they were made on.
        results: each `GAUGE=NUMBER`, the number on the piece as the sheet asks for it, or `none`, `tight` or `loose`
            where no piece fits; or a value that was measured itself, `kerf=0.16 mm`, `kerf.birch-plywood=0.16 mm`,
            `outside=0.05 mm`, `hole=0.10 mm`.
        made: the code that the sheet of the gauges states, by which gauges of an earlier state are noticed.

    Returns:
        What was changed, in words.

    Raises:
        FerruleError: a result is wrong or contradicts another, the design's own tables state the value, or the machine
            file cannot be changed; nothing is changed then.
    """
    personal = load_machines()
    design = load(file, personal)
    sourced = machine_named(machine, file, personal)
    gauges = gauges_of(design, sourced).made
    if not results:
        raise FerruleError("--result: give at least one, such as shoulder-nose=65.48 or 'kerf=0.16 mm'")
    if made is not None and made != made_code(gauges, sourced):
        raise FerruleError(
            f"--made: {made} is not what gauges for {machine} would be made from now: the machine or the design has "
            "changed since, and they say nothing true of it any more; make them again"
        )
    told: dict[str, list[_Told]] = {}
    for result in results:
        one = _told(result, sourced, gauges)
        told.setdefault(one.field, []).append(one)
    agreed = {field: _agreed(field, some) for field, some in told.items()}
    _check_free(sourced, agreed, file)
    path = usual_path()
    kind: Literal["printer", "cutter"] = "printer" if isinstance(sourced.machine, Printer) else "cutter"
    record(path, kind, machine, _changes({field: found.value for field, found in agreed.items()}))
    lines = [_change(kind, sourced, field, agreed[field], some) for field, some in told.items()]
    lines.append(
        f"Written into {path}. The gauges that were tried are used up: make them again to check or come nearer."
    )
    return "\n".join(lines)


def _told(result: str, sourced: Sourced, gauges: Sequence[Gauge]) -> _Told:
    name, equals, value = (part.strip() for part in result.partition("="))
    if not equals or not name or not value:
        raise FerruleError(f"--result: {result!r} is not GAUGE=NUMBER, such as shoulder-nose=65.48")
    sets = {one.name: one for one in gauges}
    amounts = ("kerf",) if isinstance(sourced.machine, Cutter) else ("outside", "hole")
    head, dot, stuff = name.partition(".")
    if head in amounts and (not dot or head == "kerf"):
        return _measured(head, stuff if dot else None, value)
    if name not in sets:
        known = (*(one.name for one in gauges if one.reading), *amounts)
        raise FerruleError(
            f"--result: {sourced.machine.name} has no gauge or value {name!r}{near(name, known)}; there are "
            f"{', '.join(known)}"
        )
    gauge = sets[name]
    if gauge.reading is None:
        raise FerruleError(f"--result: {name} is not fed back by a number of its own. Write down: {gauge.note}")
    return _read(gauge, gauge.reading, value, sourced.machine)


def _measured(amount: str, stuff: str | None, value: str) -> _Told:
    """A value that was measured itself.

    Raises:
        FerruleError: it is no length, of no known material, or out of range.
    """
    size = parse(value, "length")
    low, high = KERF if amount == "kerf" else PER_SIDE
    if not low <= size <= high:
        raise FerruleError(f"--result: {amount}: must be at least {low:g} mm and at most {high:g} mm, got {size:g} mm")
    field = amount if stuff is None else f"kerf_for.{material_named(stuff).name}"
    size = round(size, 3)
    return _Told(field, FedBack(size, size, size), f"{amount} as measured")


def _read(gauge: Gauge, reading: Reading, value: str, machine: Printer | Cutter) -> _Told:
    """What the piece that fitted says.

    Raises:
        FerruleError: no piece carries the number, or it says what no sound machine does.
    """
    plug = reading.sort == "plug"
    fitted, beyond = _fitted(gauge, reading, value)
    field, now = _field(machine, gauge, reading.sort)
    amount: Amount = "kerf" if isinstance(machine, Cutter) else "outside" if plug else "hole"
    # Of what fits best, the size as made is the wanted one, give or take half a step.
    half = reading.step / 2.0 if reading.rule == "best" else 0.0
    wanted = reading.wanted + (half if plug else -half)
    try:
        found = fed_back(amount, now, wanted, fitted, reading.sort, reading.step)
    except PartError as error:
        raise FerruleError(f"--result: {gauge.name}: {error}") from None
    said = f"{gauge.name} {value}"
    if beyond:
        said += ", at the end of its set, so that the true value may lie beyond: make the set again"
    return _Told(field, found, said)


def _fitted(gauge: Gauge, reading: Reading, value: str) -> tuple[float, bool]:
    """Size of the piece that fitted [mm], and whether it is at the end of its set.

    Where none fitted, it is the size that the next piece would have had.
    """
    sizes = [size for _, size in gauge.steps]
    first, last = (sizes[0], sizes[-1]) if reading.sort == "plug" else (sizes[-1], sizes[0])
    # The sizes from tight to loose, whichever way they run.
    step = math.copysign(reading.step, last - first)
    word = value.lower()
    if word in NOT_ONE[reading.rule]:
        return (last + step if word == "loose" else first - step), True
    fitted = _marked(gauge, reading, value)
    return fitted, fitted == last or (reading.rule == "best" and fitted == first)


def _marked(gauge: Gauge, reading: Reading, value: str) -> float:
    """The size with a number.

    Raises:
        FerruleError: no piece carries it.
    """
    text = value.lower().removesuffix("mm").strip()
    try:
        number = float(text)
    except ValueError:
        number = float("nan")
    found = next((size for _, size in gauge.steps if abs(size - number) < 1e-6), None)
    if found is None:
        shown = ", ".join((*(text for text, _ in gauge.steps), *NOT_ONE[reading.rule]))
        raise FerruleError(f"--result: {gauge.name}: no piece is marked {value!r}; give one of {shown}")
    return found


def _field(machine: Printer | Cutter, gauge: Gauge, sort: Sort) -> tuple[str, float]:
    """The field that a set measures, and its value when the set was made [mm]."""
    if isinstance(machine, Printer):
        return ("outside", machine.outside) if sort == "plug" else ("hole", machine.hole)
    if gauge.material is not None and gauge.material in machine.kerf_for:
        return f"kerf_for.{gauge.material}", machine.kerf_for[gauge.material]
    return "kerf", machine.kerf


def _agreed(field: str, some: Sequence[_Told]) -> FedBack:
    """What all results say together.

    Raises:
        FerruleError: two contradict each other.
    """
    low, high = max(one.found.low for one in some), min(one.found.high for one in some)
    if low > high + 1e-9:
        said = "; ".join(f"{one.words}: {one.found.low:.3f} to {one.found.high:.3f} mm" for one in some)
        raise FerruleError(
            f"--result: {field}: the results contradict each other ({said}); measure again, or give the one that "
            "matters most: small holes come out smaller than large ones"
        )
    if len(some) == 1:
        return some[0].found
    return FedBack(round((low + high) / 2.0, 2) + 0.0, low, high)


def _check_free(sourced: Sourced, agreed: Mapping[str, FedBack], file: Path) -> None:
    """Refuse a value that the design's own tables state, which would win unseen.

    Raises:
        FerruleError: one does.
    """
    for field, found in agreed.items():
        if sourced.sources.get(field) == file.name:
            kind = "printer" if isinstance(sourced.machine, Printer) else "cutter"
            raise FerruleError(
                f"{kind}.{sourced.machine.name}.{field}: is stated in {file.name}, which goes before the machine file; "
                f"write {found.value:.2f} mm there, or take it out"
            )


def _changes(values: Mapping[str, float]) -> dict[str, Change]:
    plain: dict[str, Change] = {}
    by_material: dict[str, float] = {}
    for field, value in values.items():
        head, dot, stuff = field.partition(".")
        if dot:
            by_material[stuff] = value
            plain[head] = by_material
        else:
            plain[field] = value
    return plain


def _change(kind: str, sourced: Sourced, field: str, found: FedBack, some: Sequence[_Told]) -> str:
    old = "not stated"
    if sourced.sources.get(field, NOT_STATED) != NOT_STATED:
        head, dot, stuff = field.partition(".")
        value = getattr(sourced.machine, head)
        old = f"{value[stuff] if dot else value:.2f} mm"
    side = " wide" if isinstance(sourced.machine, Cutter) else " per side"
    why = "; ".join(one.words for one in some)
    doubt = f"; true within {found.within:.3f} mm" if found.high > found.low else ""
    return f"{kind} {sourced.machine.name}, {field}: {old} -> {found.value:.2f} mm{side} (from {why}{doubt})"
