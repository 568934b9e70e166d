"""One run at a time writes into a folder, and what it made appears there all together.

Files are made in a hidden folder inside and moved when all are there. A run that is killed before that leaves the
folder as it was; one killed while it moves leaves whole files, old and new. The next run clears away what it left.
"""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from ..parts.errors import FerruleError, WriteError
from ..parts.writers.files import make_folder
from .folder_lock import locked
from .manifest import MANIFEST, Heading, Made, entries_of, heading_of, still_true, write_manifest

WORKSHOP = ".ferrule-making"
"""Where the files of a run are made before they are moved."""


@dataclass(slots=True)
class Run:
    """One run that writes into a folder.

    Attributes:
        folder: where the files are to be.
        workshop: where they are made.
        removed: names of files of an earlier run that were of another state of the design.
    """

    folder: Path
    workshop: Path
    removed: list[str] = field(default_factory=list)

    def publish(
        self,
        made: list[Made],
        heading: Heading | None,
        states: Mapping[tuple[str | None, str], str],
        kept: Collection[str] = (),
    ) -> None:
        """Move everything to its place, and write the manifest last.

        Args:
            made: the files of this run.
            heading: what the manifest says of the design; None leaves what it said.
            states: for each part (None for the whole design) and kind of file, the state in which it would be made
                now. What an earlier run of the same design made in another state is removed, while it is still as that
                run left it: two revisions in one folder end in one rocket. Files that somebody changed stay, and
                where nothing is said of the whole design, so do those of a part and kind without a state here.
            kept: names of those files of this run that lie in their place already.

        Raises:
            WriteError: a file cannot be put in its place, or one that was kept is no longer as it was.
        """
        names, true = {item.file for item in made}, still_true(self.folder)
        lost = set(kept) - {entry["file"] for entry in true}
        if lost:
            raise WriteError(f"{self.folder / min(lost)} was changed while this run was made; run it again")
        others = [entry for entry in true if entry["file"] not in names]
        design = heading.design if heading is not None else next((item.design for item in made), None)
        stale = []
        for one in others:
            place = (one.get("part"), str(one.get("kind")))
            known = heading is not None or place in states
            if known and one.get("design") == design and states.get(place) != one.get("state"):
                stale.append(one)
        left = [entry for entry in others if entry not in stale]
        write_manifest(self.workshop, heading or heading_of(self.folder), [*left, *entries_of(made)])
        try:
            for name in sorted(names - set(kept)):
                os.replace(self.workshop / name, self.folder / name)  # noqa: PTH105  tests put a fault into this call
            # While the old manifest still lists them: a run that is killed here leaves them to the next one.
            for entry in stale:
                (self.folder / entry["file"]).unlink(missing_ok=True)
                self.removed.append(entry["file"])
            os.replace(self.workshop / MANIFEST, self.folder / MANIFEST)  # noqa: PTH105
        except OSError as error:
            raise WriteError(f"{self.folder} cannot be written: {error.strerror or error}") from None


@contextmanager
def one_run(folder: Path, design: str | None = None) -> Iterator[Run]:
    """The only run that writes into a folder while it lasts.

    Args:
        folder: where to; made where it is missing, and taken away again where nothing came of it.
        design: name of the design whose files go there; None for a part on its own, which may go anywhere.

    Raises:
        FerruleError: the folder is another design's.
        WriteError: it cannot be written, or another run is at it.
    """
    new = not os.path.exists(folder)  # noqa: PTH110  a name that is too long is not there either
    make_folder(folder)
    try:
        with locked(folder):
            before = heading_of(folder).design
            if design is not None and before is not None and before != design:
                raise FerruleError(f"{folder} holds the files of {before!r}; give {design!r} another folder with --out")
            workshop = folder / WORKSHOP
            _clear(workshop)
            try:
                make_folder(workshop)
                yield Run(folder, workshop)
            finally:
                _clear(workshop)
    finally:
        if new:
            with contextlib.suppress(OSError):
                folder.rmdir()  # which an empty folder alone allows


def _clear(workshop: Path) -> None:
    shutil.rmtree(workshop, ignore_errors=True)
