"""The sheet that lies beside the gauges on the bench: what to make, how to try it, what to write down, and where to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..parts.gauges.gauge import Gauge
from .cautions import CAUTIONS

_BLANK = "________"


def gauge_sheet(
    design: str,
    machine: str | None,
    gauges: Sequence[Gauge],
    sizes: Mapping[str, str],
    files: Mapping[str, Sequence[str]],
    commands: Mapping[str, str],
    refused: Mapping[str, str],
) -> str:
    """The sheet as Markdown.

    Args:
        design: name of the design.
        machine: the machine that they were made for; None for none.
        gauges: the gauges that were made.
        sizes: by gauge, what its files are compensated for, in words.
        files: names of the files by gauge.
        commands: by gauge, the command that takes its result, with `NUMBER` for what was written down.
        refused: by gauge, why it could not be made.
    """
    sections = [
        f"# {design}: fit gauges and coupons\n\nMade for {machine or 'no machine'}. Numbers are sizes in mm as drawn, "
        "on diameter where the thing is round.",
        *(_section(one, sizes[one.name], files.get(one.name, ()), commands.get(one.name)) for one in gauges),
        *(f"## {name}: not made\n\n{why}" for name, why in refused.items()),
        _last(bool(commands)),
        "## Cautions\n\n" + "\n".join(f"- {caution}" for caution in CAUTIONS),
    ]
    return "\n\n".join(sections) + "\n"


def _section(gauge: Gauge, sizes: str, files: Sequence[str], command: str | None) -> str:
    lines = [
        f"## {gauge.name}: {gauge.title}",
        f"- **Make:** {gauge.make}",
        f"- **Try:** {gauge.trial}",
        f"- **Write down:** {gauge.note} {_BLANK}",
    ]
    if gauge.reading:
        tried = "wanted" if gauge.reading.rule == "best" else "tried on"
        shown = ", ".join(text for text, _ in gauge.steps)
        lines.append(f"- **Numbers:** {shown}; {tried} {gauge.reading.wanted:.2f} mm")
    lines.append(f"- **Sizes in the files:** {sizes}")
    lines.append(f"- **Files:** {', '.join(f'`{name}`' for name in files)}")
    if command:
        lines.append(f"- **Feed back:** `{command}`")
    return f"{lines[0]}\n\n" + "\n".join(lines[1:])


def _last(fed: bool) -> str:
    if not fed:
        return (
            "## Feeding back\n\nThese gauges are for no machine, or for nothing that a machine keeps. Make them for a "
            "machine, `--machine NAME`, and its results can be fed back."
        )
    return (
        "## Feeding back\n\nGive the results of one run together, with one `--result` for each, in one command: they "
        "change the machine, and what was made before the change says nothing true after it. Leave out what was not "
        "tried. Then make the same gauges again: the second round is in finer steps, and comes within 0.02 mm per side "
        "for a printer. For a cutter the kerf comb is the better way: rings and plugs then show whether it was right."
    )
