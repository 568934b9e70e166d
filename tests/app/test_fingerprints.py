"""The fingerprint of a design: it changes when and only when something that matters does, and is the same everywhere.

The golden values in tests/data/golden_parts.txt are the same on every Python and machine. A change of a kind's fields,
of a table of the package or of how numbers are read changes them, which must be meant; then, from the root,
`FERRULE_GOLDEN=write pytest tests/app/test_fingerprints.py` writes them anew.
"""

from __future__ import annotations

import contextlib
import copy
import hashlib
import json
import os
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from whole_design import BASE, CHANGES, MODELS, THRUST, changed, renamed, written

from ferrule.app.design_file import load, parse
from ferrule.parts.errors import DesignError
from ferrule.parts.fingerprint import short
from ferrule.parts.kinds import in_bench_order
from ferrule.parts.quantity import read
from ferrule.parts.readers.integrals import box, moments

DATA = Path(__file__).resolve().parents[1] / "data" / "golden_parts.txt"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("whole")
    (folder / "thrust.csv").write_text(THRUST, encoding="utf-8")
    return folder


def of(text: str, folder: Path) -> str:
    return parse(text, "whole.toml", folder).fingerprint


# --- when something that matters changes ------------------------------------------------------------------------------


def test_every_field_of_every_table_is_among_the_changes() -> None:
    assert {name: set(CHANGES[name]) for name in MODELS} == {
        name: set(model.model_fields) for name, model in MODELS.items()
    }
    assert set(BASE) == set(MODELS)


def variants() -> dict[str, str]:
    """For each field a text in which it alone has another value than in the text it is compared with."""
    found = {
        f"{name}.{field}": written(changed(name, change))
        for name, fields in CHANGES.items()
        for field, change in fields.items()
        if change and not (field == "name" and name)
    }
    for name in CHANGES:
        if name and "name" in CHANGES[name]:
            old = BASE[name][0]["name"]
            found[f"{name}.name"] = renamed(old, CHANGES[name]["name"]["name"])
    fin = next(number for number, one in enumerate(BASE["part"]) if one["kind"] == "fin")
    return found | {"part.count": written(changed("part", {"count": 3}, fin))}


def test_every_field_of_every_table_changes_the_fingerprint(folder: Path) -> None:
    found = {name: of(text, folder) for name, text in variants().items()} | {"": of(written(BASE), folder)}
    assert len(found) == sum(map(len, CHANGES.values())), "all but the format, and the whole as it is"
    alike: dict[str, list[str]] = {}
    for name, mark in found.items():
        alike.setdefault(mark, []).append(name)
    assert [names for names in alike.values() if len(names) > 1] == []


@pytest.mark.parametrize("kind", in_bench_order(), ids=lambda kind: kind.kind)
def test_every_size_of_a_kind_changes_the_fingerprint_of_its_part(kind: Any) -> None:
    part = kind.build(**kind.example)
    assert set(part.model_dump()) == set(kind.model_fields)
    marks = {part.fingerprint()}
    tried = 0
    for name, value in kind.example.items():
        if not isinstance(value, str) or not value.endswith(" mm"):
            continue
        with contextlib.suppress(DesignError):  # of a size that another one is tied to
            tried += 1
            other = kind.build(**{**kind.example, name: f"{float(value[:-3]) * (1.0 + 1e-9)!r} mm"})
            assert other.fingerprint() not in marks, name
            marks.add(other.fingerprint())
    assert len(marks) > tried / 2


def test_a_table_of_the_package_that_changes_a_figure_changes_the_fingerprint(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from dataclasses import replace

    from ferrule.parts import part

    before, table = of(written(BASE), folder), part.material
    monkeypatch.setattr(part, "material", lambda name: replace(table(name), density=0.001 + (table(name).density or 0)))
    assert of(written(BASE), folder) != before


# --- only then --------------------------------------------------------------------------------------------------------


def in_other_words(value: Any, rng: random.Random) -> Any:
    """A value written otherwise: another unit that has an exact factor, more blanks."""
    if isinstance(value, list):
        return [in_other_words(one, rng) for one in value]
    if not isinstance(value, str) or not value.endswith((" mm", " g")):
        return value
    if value.endswith(" g"):
        return f"  {value[:-2]}  g "
    length = read(value, "length")
    others = (f"{length!r}mm", f"{length:.9f} mm", f"{length / 10.0!r} cm", f"{length / 1000.0!r} m", f" {value}  ")
    return rng.choice([text for text in others if read(text, "length") == length])


@pytest.mark.parametrize("seed", range(8))
def test_how_it_is_written_does_not_change_the_fingerprint(seed: int, folder: Path) -> None:
    """Order of tables and of fields, spelling of units, comments, blanks, line ends, forms of TOML."""
    rng = random.Random(seed)  # noqa: S311  the same for each seed, which secrets are not
    tables = copy.deepcopy(BASE)
    head = tables.pop("")
    rest = list(tables.items())
    rng.shuffle(rest)

    def shuffled(fields: dict[str, Any]) -> dict[str, Any]:
        items = [(key, in_other_words(value, rng)) for key, value in fields.items()]
        rng.shuffle(items)
        return dict(items)

    again: dict[str, Any] = {"": shuffled(head)}
    for name, found in rest:
        if isinstance(found, list):
            again[name] = [shuffled(one) for one in found]
            rng.shuffle(again[name])
        elif name in ("printer", "cutter"):
            again[name] = {machine: shuffled(fields) for machine, fields in found.items()}
        else:
            again[name] = shuffled(found)
    lines = []
    for line in written(again).splitlines():
        lines += [rng.choice(["", "", "# a remark", "   "])]
        lines += [line + rng.choice(["", "   ", " # said beside it", "\t"])]
    text = "\n".join(lines)
    if seed % 2:
        text = tomlkit.dumps(tomlkit.parse(text).unwrap())
    path = folder / f"again-{seed}.toml"
    path.write_bytes((b"\xef\xbb\xbf" if seed % 3 else b"") + text.replace("\n", "\r\n" if seed % 4 else "\n").encode())
    assert load(path).fingerprint == of(written(BASE), folder)


def test_an_inch_is_exactly_25_4_millimetres(folder: Path) -> None:
    """International yard and pound agreement, 1959."""
    both = [of(written(changed("launch", {"ceiling": text})), folder) for text in ("254 mm", "10 in")]
    assert both[0] == both[1]
    assert of(written(changed("mass", {"station": "1 in"})), folder) == of(
        written(changed("mass", {"station": "25.4 mm"})), folder
    )


# --- everywhere -------------------------------------------------------------------------------------------------------


def golden() -> list[str]:
    """One line a kind: fingerprint, exact volume [mm3], its centre [mm], its room [mm]; and that of a whole design."""
    lines = []
    for kind in in_bench_order():
        part = kind.build(**kind.example)
        exact, (low, high) = moments(part.shape()), box(part.shape())
        numbers = (exact.volume, *exact.centroid, *low, *high)
        pieces = sum(len(loop) for piece in part.cut_pieces() for loop in piece.outline.loops)
        told = " ".join(f"{round(float(number), 9) + 0.0:.9f}" for number in numbers)
        lines.append(f"{kind.kind} {part.fingerprint()} {pieces} {told}")
    return lines


def test_parts_have_their_golden_fingerprints_entities_and_values(folder: Path) -> None:
    found = [*golden(), f"design {of(written(BASE), folder)}"]
    if os.environ.get("FERRULE_GOLDEN") == "write":
        DATA.write_text("\n".join(found) + "\n", encoding="utf-8")
    kept = DATA.read_text(encoding="utf-8").splitlines()
    assert [line.split()[0] for line in found] == [line.split()[0] for line in kept]
    for line, golden_line in zip(found, kept, strict=True):
        name, mark, *values = line.split()
        _, golden_mark, *golden_values = golden_line.split()
        assert mark == golden_mark, name
        # Volumes are up to 1e6 mm3, known to 1e-10 of them.
        assert [float(one) for one in values] == pytest.approx(
            [float(one) for one in golden_values], rel=1e-9, abs=1e-6
        ), name


CODE = """
import sys
from pathlib import Path
from ferrule.app.design_file import load
from ferrule.app.make_design import make_design

design = load(Path(sys.argv[1]))
make_design(design, Path(sys.argv[2]), (), ("stl", "3mf", "glb", "dxf", "svg", "pdf"))
print(design.fingerprint)
"""


def test_other_processes_folders_locales_time_zones_and_hash_seeds_make_the_same_bytes(
    folder: Path, tmp_path: Path
) -> None:
    tables = {name: BASE[name] for name in ("", "settings", "tube", "mass")}
    tables["part"] = [one for one in BASE["part"] if one["kind"] == "centering-ring"]
    (folder / "small.toml").write_text(written(tables), encoding="utf-8")
    found: list[dict[str, str]] = []
    for number, (seed, zone, locale) in enumerate([("0", "UTC", "C"), ("4242", "Pacific/Auckland", "de_DE.UTF-8")]):
        here, out = tmp_path / f"here {number}", tmp_path / f"out é {number}"
        here.mkdir()
        environment = {
            **os.environ,
            "PYTHONHASHSEED": seed,
            "TZ": zone,
            "LC_ALL": locale,
            "LANG": locale,
            "PYTHONPATH": os.pathsep.join(sys.path),
        }
        ran = subprocess.run(
            [sys.executable, "-c", CODE, str(folder / "small.toml"), str(out)],
            env=environment,
            cwd=here,
            capture_output=True,
            text=True,
            check=True,
        )
        assert list(here.iterdir()) == []
        found.append(
            {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted(out.iterdir())}
            | {"fingerprint": ran.stdout.strip()}
        )
        manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
        assert manifest["fingerprint"] == short(ran.stdout.strip())
    assert found[0] == found[1]
    assert len(found[0]) > 10
