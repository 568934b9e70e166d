"""The sheet that lies beside the jigs on the bench: what to make, of which sizes and why, and how to use it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..parts.jigs.jig import Jig
from .cautions import CAUTIONS


def jig_sheet(
    design: str,
    machine: str | None,
    jigs: Sequence[Jig],
    sizes: Mapping[str, str],
    files: Mapping[str, Sequence[str]],
    refused: Mapping[str, str],
) -> str:
    """The sheet as Markdown.

    Args:
        design: name of the design.
        machine: the machine that they were made for; None for none.
        jigs: the jigs that were made.
        sizes: by jig, what its files are compensated for, in words.
        files: names of the files by jig.
        refused: by jig, why it could not be made.
    """
    sections = [
        f"# {design}: jigs\n\nMade for {machine or 'no machine'}. Rolls are clockwise from the rail line, seen from "
        "behind; the rail line is mid-way between the last fin and fin 1.",
        *(_section(one, sizes[one.name], files.get(one.name, ())) for one in jigs),
        *(f"## {name}: not made\n\n{why}" for name, why in refused.items()),
        "## Cautions\n\n" + "\n".join(f"- {caution}" for caution in CAUTIONS),
    ]
    return "\n\n".join(sections) + "\n"


def _section(jig: Jig, sizes: str, files: Sequence[str]) -> str:
    lines = [
        f"- **Make:** {jig.make}",
        f"- **Use:** {jig.trial}",
        f"- **Check:** {jig.note}",
        *(f"- **Size of {what}:** {words}" for what, words in jig.sizes),
        f"- **Fingerprint:** {jig.mark}",
        f"- **Sizes in the files:** {sizes}",
        f"- **Files:** {', '.join(f'`{name}`' for name in files)}",
    ]
    return f"## {jig.name}: {jig.title}\n\n" + "\n".join(lines)
