"""What users install: wheel and source archive are built and looked into, and the wheel is used from a user's folder.

That folder has modules called as folders of ours are, `parts.py`, `analysis.py` and `app.py`, which end the program
where they are imported. PEP 561 is the source for `py.typed`.

The environment is bare but for a path file that names the libraries of the one that runs the tests: they are 350 MB to
download again, and what they are was proved by installing. A path file adds a folder and runs nothing in it, so the
link by which the tests' own environment finds this tree is not followed, and `ferrule` is the wheel or nothing.
"""

from __future__ import annotations

import email
import json
import os
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import zipfile
from dataclasses import dataclass
from email.message import Message
from pathlib import Path

import pytest

import ferrule

pytestmark = [pytest.mark.once, pytest.mark.skipif(sys.platform == "win32", reason="scripts lie elsewhere there")]

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ("parts", "analysis", "app")
BESIDE = ("tests", "examples")
MARRAM = ROOT / "examples" / "marram"
SCRIPT = ROOT / "tests" / "typing" / "user_script.py"


def files_below(folder: Path) -> set[str]:
    """Every file of the tree in and below a folder that is no byte-code."""
    found = (path.relative_to(ROOT) for path in folder.rglob("*") if path.is_file())
    return {path.as_posix() for path in found if "__pycache__" not in path.parts}


def packaged() -> set[str]:
    """Every file that belongs into the wheel."""
    return {"__init__.py", "__main__.py", "py.typed"} | {name for part in PACKAGE for name in files_below(ROOT / part)}


def clean() -> dict[str, str]:
    """The environment of a process that finds nothing but what is installed."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "COV_"))}
    return {**kept, "PYTHONIOENCODING": "utf-8", "COLUMNS": "200", "FERRULE_MACHINES": os.devnull}


def done(*command: str | Path, folder: Path, **more: str) -> str:
    """What a command says; it must end well."""
    ended = subprocess.run(
        [str(word) for word in command],
        cwd=folder,
        env={**clean(), **more},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert ended.returncode == 0, ended.stdout + ended.stderr
    return ended.stdout


@dataclass(frozen=True)
class Built:
    """The two archives."""

    wheel: Path
    source: Path

    def in_wheel(self) -> set[str]:
        with zipfile.ZipFile(self.wheel) as archive:
            return set(archive.namelist())

    def metadata(self) -> Message:
        (name,) = [name for name in self.in_wheel() if name.endswith(".dist-info/METADATA")]
        with zipfile.ZipFile(self.wheel) as archive:
            return email.message_from_bytes(archive.read(name))

    def in_source(self) -> set[str]:
        """Names without the folder that holds them all."""
        with tarfile.open(self.source) as archive:
            return {member.name.partition("/")[2] for member in archive.getmembers() if member.isfile()}


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The source archive from a copy of the tree, where nothing of an older build lies; the wheel from that archive."""
    folder = tmp_path_factory.mktemp("build")
    tree = folder / "tree"
    tree.mkdir()
    for path in ROOT.iterdir():
        if path.is_file() and not path.name.startswith("."):
            shutil.copy2(path, tree)
        elif path.name in (*PACKAGE, *BESIDE):
            shutil.copytree(path, tree / path.name, ignore=shutil.ignore_patterns("__pycache__"))
    done(sys.executable, "-m", "build", "--no-isolation", "--outdir", folder / "dist", tree, folder=folder)
    (wheel,) = (folder / "dist").glob("*.whl")
    (source,) = (folder / "dist").glob("*.tar.gz")
    return Built(wheel, source)


@dataclass(frozen=True)
class Installed:
    """An environment with the wheel in it, and a folder of its user's."""

    environment: Path
    folder: Path

    @property
    def scripts(self) -> Path:
        return self.environment / "bin"

    def ferrule(self, *arguments: str | Path, **more: str) -> str:
        return done(self.scripts / "ferrule", *arguments, folder=self.folder, **more)

    def python(self, *arguments: str | Path) -> str:
        return done(self.scripts / "python", *arguments, folder=self.folder)


@pytest.fixture(scope="module")
def installed(built: Built, tmp_path_factory: pytest.TempPathFactory) -> Installed:
    folder = tmp_path_factory.mktemp("installed")
    environment, own = folder / "environment", folder / "of a user"
    own.mkdir()
    for name in PACKAGE:
        (own / f"{name}.py").write_text(f"raise SystemExit('{name}.py of the user was imported')\n", encoding="utf-8")
    for name in ("marram.toml", "demo-29.csv"):
        shutil.copy2(MARRAM / name, own)
    done(sys.executable, "-m", "venv", "--without-pip", environment, folder=folder)
    new = Installed(environment, own)
    options = ("--quiet", "--disable-pip-version-check", "--no-deps", "--no-index", "--no-compile")
    pip = (sys.executable, "-m", "pip", "--python", new.scripts / "python", "install", *options)
    done(*pip, built.wheel, folder=folder)
    there = Path(new.python("-c", "import sysconfig; print(sysconfig.get_path('purelib'))").strip())
    libraries = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (there / "libraries.pth").write_text("".join(f"{path}\n" for path in sorted(libraries)), encoding="utf-8")
    return new


def test_the_wheel_holds_the_package_and_nothing_else(built: Built) -> None:
    files = {name for name in built.in_wheel() if not name.endswith("/")}
    ours = {name.removeprefix("ferrule/") for name in files if name.startswith("ferrule/")}
    assert ours == packaged()
    described = f"ferrule-{ferrule.__version__}.dist-info"
    assert {name.partition("/")[0] for name in files} == {"ferrule", described}
    assert f"{described}/licenses/LICENSE" in files


def test_the_source_archive_holds_all_that_is_needed_to_build_and_to_test(built: Built) -> None:
    found = built.in_source()
    wanted = packaged() | {name for folder in BESIDE for name in files_below(ROOT / folder)}
    root = {"pyproject.toml", "MANIFEST.in", "README.md", "LICENSE", "CHANGELOG.md", "DEVELOPERS.md", "constraints.txt"}
    assert wanted | root | {"run"} <= found
    assert [name for name in found if "__pycache__" in name or name.endswith(".pyc")] == []


def test_the_version_is_the_one_of_the_source(built: Built, installed: Installed) -> None:
    assert built.metadata()["Version"] == ferrule.__version__
    assert built.source.name == f"ferrule-{ferrule.__version__}.tar.gz"
    assert installed.ferrule("--version") == f"ferrule {ferrule.__version__}\n"


def test_the_package_comes_from_the_environment(installed: Installed) -> None:
    """And the users' modules end a program that imports them: the tests below can fail."""
    where = Path(installed.python("-c", "import ferrule; print(ferrule.__file__)").strip())
    assert where.is_relative_to(installed.environment)
    with pytest.raises(AssertionError, match=r"parts\.py of the user was imported"):
        installed.python("-c", "import parts")


def test_the_demo_is_checked_beside_modules_called_as_ours(installed: Installed) -> None:
    """By `python -m`, for which the folder that it runs in is the first place to import from."""
    assert "static margin, DEMO-29 at liftoff" in installed.python("-m", "ferrule", "check", "marram.toml")


def test_the_demo_is_made_beside_modules_called_as_ours(installed: Installed) -> None:
    """By the script, with the folder on the path all the same."""
    out = installed.folder / "out"
    installed.ferrule("make", "marram.toml", "--formats", "stl,pdf", "--out", out, PYTHONPATH=str(installed.folder))
    listed = {entry["file"] for entry in json.loads((out / "manifest.json").read_text(encoding="utf-8"))["files"]}
    assert {"marram-fin.stl", "marram-fin-a4.pdf", "marram-nose-1-of-2.stl", "report.md"} <= listed
    assert listed == {path.name for path in out.iterdir()} - {"manifest.json"}


def test_a_script_of_a_user_runs(installed: Installed) -> None:
    """Its types are checked in the gate."""
    own = shutil.copy2(SCRIPT, installed.folder)
    lines = installed.python(own).splitlines()
    assert lines[0] == "largest: body"
    assert lines[1].startswith("refused: length: '200' has a number without a unit")


PRESSED = """
script=$(ferrule --show-completion bash) && eval "$script" || exit
function=$(complete -p ferrule | sed 's/.*-F \\([^ ]*\\) .*/\\1/')
pressed() {
    COMP_WORDS=(ferrule "$@")
    COMP_CWORD=$#
    COMPREPLY=()
    "$function" ferrule
    printf '%s ' "$*:" "${COMPREPLY[@]}"
    echo
}
pressed ch
pressed part nose
pressed make --form
"""
"""What bash does by itself with the script that it was given, each time that somebody presses the tabulator key."""


@pytest.mark.skipif(shutil.which("bash") is None, reason="needs bash, the shell that is completed")
def test_the_shell_completes_commands_kinds_and_options(installed: Installed) -> None:
    path = os.pathsep.join((str(installed.scripts), os.environ["PATH"]))
    found = done("bash", "--norc", "-c", PRESSED, folder=installed.folder, PATH=path)
    assert [line.strip() for line in found.splitlines()] == [
        "ch: check",
        "part nose: nose-cone",
        "make --form: --formats",
    ]
