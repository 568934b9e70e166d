"""The house keeps its order: who may import whom, what is packaged, and what starts without the geometry kernel."""

from __future__ import annotations

import ast
import doctest
import importlib
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fnmatch import fnmatch
from functools import cache
from pathlib import Path
from typing import Any

import ferrule

ROOT = Path(__file__).resolve().parent.parent
FOLDERS = ("analysis", "app", "parts")

FOUNDATION = ("parts.errors", "parts.quantity")
CURVES = (
    *FOUNDATION,
    "parts.curve",
    "parts.chain",
    "parts.inner_profile",
    "parts.profiles",
    "parts.transition_profiles",
)
SHAPES = (
    *CURVES,
    "parts.shape",
    "parts.rim",
    "parts.blade",
    "parts.marks",
    "parts.measures",
    "parts.flat_view",
    "parts.poses",
)
FIELDS = (
    *SHAPES,
    "parts.params",
    "parts.tables",
    "parts.tubes",
    "parts.fit",
    "parts.lettering",
    "parts.fingerprint",
    "parts.fin_set",
    "parts.part",
)

MAY_IMPORT: Mapping[str, tuple[str, ...]] = {
    # What one part is, from the ground up.
    "parts.errors": (),
    "parts.quantity": ("parts.errors",),
    "parts.fingerprint": FOUNDATION,
    "parts.curve": FOUNDATION,
    "parts.chain": (*FOUNDATION, "parts.curve"),
    "parts.envelope": (*FOUNDATION, "parts.curve", "parts.chain"),
    "parts.inner_profile": (*FOUNDATION, "parts.curve", "parts.chain"),
    "parts.profiles": CURVES,
    "parts.blunting": CURVES,
    "parts.profile_table": CURVES,
    "parts.transition_profiles": CURVES,
    "parts.shape": CURVES,
    "parts.rim": (*CURVES, "parts.shape"),
    "parts.aerofoil": SHAPES,
    "parts.blade": SHAPES,
    "parts.marks": SHAPES,
    "parts.measures": SHAPES,
    "parts.flat_view": SHAPES,
    "parts.poses": SHAPES,
    "parts.fin_set": SHAPES,
    "parts.tables": FOUNDATION,
    "parts.strengths": (),
    "parts.nylon_pins": (),
    "parts.glue_strengths": (),
    "parts.params": FOUNDATION,
    "parts.lettering": SHAPES,
    "parts.emboss": (*SHAPES, "parts.lettering"),
    "parts.tubes": (*FOUNDATION, "parts.tables"),
    "parts.tape": (*FOUNDATION, "parts.tables"),
    "parts.iso_limits": (*FOUNDATION, "parts.tables", "parts.params"),
    "parts.fit": (*SHAPES, "parts.tables", "parts.params", "parts.tubes", "parts.tape", "parts.iso_limits"),
    "parts.meetings": (*FOUNDATION, "parts.curve"),
    "parts.moved_edges": (*SHAPES, "parts.meetings"),
    "parts.outline_offset": (*SHAPES, "parts.meetings", "parts.moved_edges"),
    "parts.machine": FOUNDATION,
    "parts.print_defaults": FOUNDATION,
    "parts.plate": (*FOUNDATION, "parts.print_defaults"),
    "parts.infill": SHAPES,
    "parts.compensate": (*SHAPES, "parts.machine", "parts.moved_edges", "parts.outline_offset"),
    "parts.joint": SHAPES,
    "parts.joint_keys": (*SHAPES, "parts.joint"),
    "parts.split": (*SHAPES, "parts.joint", "parts.joint_keys"),
    "parts.split_plan": (*SHAPES, "parts.joint"),
    "parts.part": FIELDS,
    "parts.hardware": (*FOUNDATION, "parts.params"),
    "parts.hardware_shapes": (*SHAPES, "parts.hardware"),
    # A kind gives a shape and knows nothing of what is done with it.
    "parts.kinds": (
        *FIELDS,
        "parts.meetings",
        "parts.aerofoil",
        "parts.blunting",
        "parts.envelope",
        "parts.hardware",
        "parts.infill",
        "parts.joint",
        "parts.profile_table",
        "parts.split",
        "parts.split_plan",
    ),
    # Gauges are shapes, as kinds are; from plain sizes, so that they know no kind.
    "parts.gauges": (*FIELDS, "parts.emboss", "parts.hardware"),
    "parts.jigs": (*FIELDS, "parts.emboss", "parts.gauges.gauge"),
    # Readers and sheets know shapes and nothing of kinds; they know nothing of each other either.
    "parts.readers": (*SHAPES, "parts.fingerprint"),
    "parts.sheets": (*SHAPES, "parts.lettering", "parts.tubes"),
    # Papers are outlines with marks, from plain geometry; they measure their words in the type of the sheets.
    "parts.papers": (*SHAPES, "parts.sheets"),
    # Nesting is of plain outlines; it writes nothing and knows no kind.
    "parts.nesting": SHAPES,
    "parts.writers": (*SHAPES, "parts.lettering", "parts.fingerprint", "parts.readers", "parts.sheets", "parts.plate"),
    # Numbers about parts; writes no file and needs no exact solid.
    "analysis": (
        *FIELDS,
        "parts.kinds",
        "parts.hardware",
        "parts.hardware_shapes",
        "parts.machine",
        "parts.print_defaults",
        "parts.strengths",
        "parts.nylon_pins",
        "parts.glue_strengths",
        "parts.readers.facets",
        "parts.readers.integrals",
        "parts.readers.mesh",
        "parts.readers.moments",
        "parts.readers.radial",
    ),
    "app": ("analysis", "parts", "__init__"),
    # Readers of finished files know nothing of how these were made, or they would prove nothing.
    "app.proof": (),
    "__init__": ("analysis", "app", "parts"),
    "__main__": ("app",),
}
"""What each module or package may import beside itself. A new module of `parts` needs its line here."""

ONLY_IN: Mapping[str, tuple[str, ...]] = {
    "OCP": ("parts.readers.brep", "parts.writers.step", "parts.writers.step_assembly", "app.proof.step_process"),
    "cadquery": ("parts.readers.brep",),
    "manifold3d": ("parts.readers.mesh",),
    "ezdxf": ("parts.writers.dxf",),
    "reportlab": ("parts.sheets", "parts.writers"),
    "pypdf": ("parts.writers", "app.proof.pdf_file"),
    "shapely": ("parts.nesting",),
    "spyrrow": ("parts.nesting",),
    "scipy": ("analysis",),
    "matplotlib": ("parts.writers",),
    "vtkmodules": ("parts.writers",),
    "typer": ("app",),
    "rich": ("app",),
    "tomlkit": ("app",),
}
"""The only places for a library that the rest must not lean on."""

LATE = ("OCP", "cadquery", "ezdxf", "manifold3d", "matplotlib", "pypdf", "reportlab", "scipy", "spyrrow", "vtkmodules")
"""Libraries that are imported inside functions alone, so that a command starts without those that it does not need."""


@dataclass(frozen=True)
class Import:
    """One import statement: who imports what, where, and whether it runs when the module is imported."""

    importer: str
    imported: str
    line: int
    at_start: bool

    def __str__(self) -> str:
        return f"{self.importer}:{self.line} imports {self.imported}"


def sources() -> tuple[Path, ...]:
    found = [*ROOT.glob("*.py"), *(path for folder in FOLDERS for path in (ROOT / folder).rglob("*.py"))]
    return tuple(sorted(found))


def module_name(path: Path) -> str:
    """Dotted name below the root; a package's own file has the package's name, except at the root."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" and len(parts) > 1 else parts)


def within(name: str, package: str) -> bool:
    return name == package or name.startswith(f"{package}.")


def only_for_types(test: ast.expr) -> bool:
    return isinstance(test, ast.Name) and test.id == "TYPE_CHECKING"


def import_statements(tree: ast.AST, at_start: bool = True) -> Iterator[tuple[ast.Import | ast.ImportFrom, bool]]:
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Import | ast.ImportFrom):
            yield node, at_start
        elif isinstance(node, ast.If) and only_for_types(node.test):
            for child in node.body:
                yield from import_statements(ast.Module([child], []), at_start=False)
        else:
            late = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
            yield from import_statements(node, at_start and not late)


def names(node: ast.Import | ast.ImportFrom, path: Path) -> tuple[str, ...]:
    """Every module that a statement may load, ours without `ferrule.` in front."""
    if isinstance(node, ast.Import):
        return tuple(alias.name.removeprefix("ferrule.") for alias in node.names)
    base = node.module or ""
    if node.level:
        folder = path.relative_to(ROOT).parent.parts
        kept = folder[: len(folder) - node.level + 1]
        base = ".".join((*kept, *filter(None, base.split("."))))
    elif base == "ferrule" or base.startswith("ferrule."):
        base = base.removeprefix("ferrule").removeprefix(".")
    else:
        return (base,)
    modules = tuple(f"{base}.{alias.name}".removeprefix(".") for alias in node.names)
    return tuple(module if module in our_modules() else base or "__init__" for module in modules)


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def our_modules() -> frozenset[str]:
    return frozenset(module_name(source) for source in sources())


@cache
def imports() -> tuple[Import, ...]:
    return tuple(
        Import(module_name(path), name, node.lineno, at_start)
        for path in sources()
        for node, at_start in import_statements(tree_of(path))
        for name in names(node, path)
    )


def rule_for(module: str) -> str | None:
    """The longest entry of the table that covers a module."""
    return max((entry for entry in MAY_IMPORT if within(module, entry)), key=len, default=None)


def ours(name: str) -> bool:
    return name.partition(".")[0] in (*FOLDERS, "__init__", "__main__")


def test_the_tests_run_against_this_tree() -> None:
    assert ferrule.__file__ is not None
    assert Path(ferrule.__file__).resolve().parent == ROOT


def test_every_module_has_its_place_in_the_house() -> None:
    packages_without_code = {"parts"}
    homeless = {module_name(path) for path in sources()} - packages_without_code
    assert {module for module in homeless if rule_for(module) is None} == set()


def test_imports_go_one_way() -> None:
    found = imports()
    assert any(item.importer == "parts.quantity" and item.imported == "parts.errors" for item in found)
    wrong = [
        str(item)
        for item in found
        if ours(item.imported)
        and (rule := rule_for(item.importer)) is not None
        and not any(within(item.imported, allowed) for allowed in (*MAY_IMPORT[rule], rule))
    ]
    assert wrong == []


def test_only_the_root_imports_the_package_by_name() -> None:
    inside = [path for path in sources() if path != ROOT / "__init__.py"]
    wrong = [
        f"{module_name(path)}:{node.lineno}"
        for path in inside
        for node, _ in import_statements(tree_of(path))
        for name in ([alias.name for alias in node.names] if isinstance(node, ast.Import) else [node.module or ""])
        if within(name, "ferrule") and not (isinstance(node, ast.ImportFrom) and node.level)
    ]
    assert wrong == []


def test_modules_do_not_import_each_other_in_a_ring() -> None:
    graph: dict[str, set[str]] = {module_name(path): set() for path in sources()}
    for item in imports():
        if ours(item.imported) and item.at_start and item.imported != item.importer:
            graph[item.importer].add(item.imported)
    # Take away, again and again, what imports nothing that is left; a ring is what stays.
    while leaves := {module for module, needs in graph.items() if not needs & graph.keys()}:
        graph = {module: needs for module, needs in graph.items() if module not in leaves}
    assert graph == {}


def test_each_outside_library_stays_in_its_room() -> None:
    wrong = [
        str(item)
        for item in imports()
        for library, homes in ONLY_IN.items()
        if within(item.imported, library) and not any(within(item.importer, home) for home in homes)
    ]
    assert wrong == []


def test_heavy_libraries_are_imported_late() -> None:
    wrong = [
        str(item) for item in imports() if item.at_start and any(within(item.imported, library) for library in LATE)
    ]
    assert wrong == []


@cache
def project() -> dict[str, Any]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def folder_of(package: str) -> Path:
    return ROOT.joinpath(*package.split(".")[1:])


def test_the_listed_packages_are_the_folders() -> None:
    folders = {path.parent for path in sources()}
    listed: list[str] = project()["tool"]["setuptools"]["packages"]
    assert sorted(listed) == listed, "keep the list in order"
    assert {folder_of(package) for package in listed} == folders
    assert [folder for folder in folders if not (folder / "__init__.py").is_file()] == []


def test_nothing_but_the_package_lies_at_the_root() -> None:
    assert {path.name for path in ROOT.glob("*.py")} == {"__init__.py", "__main__.py"}


def test_every_data_file_is_packaged() -> None:
    """And every pattern of the list finds a file."""
    patterns: dict[str, list[str]] = project()["tool"]["setuptools"]["package-data"]
    files = {
        path
        for folder in (ROOT / name for name in FOLDERS)
        for path in folder.rglob("*")
        if path.is_file() and path.suffix != ".py" and "__pycache__" not in path.parts
    }
    found: set[Path] = set()
    for package, globs in patterns.items():
        for pattern in globs:
            matches = {path for path in folder_of(package).rglob("*") if path in files or path.name == "py.typed"}
            matches = {path for path in matches if fnmatch(str(path.relative_to(folder_of(package))), pattern)}
            assert matches, f"{package}: {pattern} finds nothing"
            found |= matches
    assert files - found == set()


def test_the_version_stands_in_one_place_and_heads_the_changelog() -> None:
    assert "version" not in project()["project"]
    assert project()["tool"]["setuptools"]["dynamic"]["version"] == {"attr": "ferrule.__version__"}
    holders = [module_name(path) for path in sources() if f'"{ferrule.__version__}"' in path.read_text("utf-8")]
    assert holders == ["__init__"]
    headings = re.findall(r"^## \[(.+?)\] - (.+)$", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert headings[0][0] == ferrule.__version__, "the newest stands first"
    assert all(re.fullmatch(r"\d+\.\d+\.\d+", version) for version, _ in headings)  # Semantic Versioning 2.0.0
    assert all(date == "unreleased" or re.fullmatch(r"\d{4}-\d\d-\d\d", date) for _, date in headings)


def test_constraints_pin_what_is_needed() -> None:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pinned = {line.partition("==")[0] for line in lines if "==" in line}
    needed = [*project()["project"]["dependencies"], *project()["project"]["optional-dependencies"]["test"]]
    bare = {need.partition(">")[0].lower() for need in needed}
    assert bare - pinned == set()
    assert [line for line in lines if "://" in line or "--hash" in line] == []


def test_the_examples_in_docstrings_are_true() -> None:
    """By import name: the package is called ferrule whatever the folder is called."""
    failed: list[str] = []
    attempted = 0
    for path in sources():
        name = module_name(path)
        if name == "__main__":
            continue
        module = importlib.import_module("ferrule" if name == "__init__" else f"ferrule.{name}")
        results = doctest.testmod(module)
        attempted += results.attempted
        if results.failed:
            failed.append(name)
    assert failed == []
    assert attempted > 5


NOT_NEEDED = ("OCP", "cadquery", "pypdf", "reportlab", "shapely", "vtkmodules")
"""Libraries that only files need."""
STARTS = (
    "import ferrule",
    "import ferrule.parts.kinds",
    "import ferrule.app.design_file",
    *(f"import ferrule.{module_name(path)}" for path in sources() if module_name(path).startswith("analysis")),
    "from ferrule.app.cli import app; app(['--help'])",
    "from ferrule.app.cli import app; app(['kinds'])",
    f"from ferrule.app.cli import app; app(['check', {str(ROOT / 'examples' / 'marram' / 'marram.toml')!r}])",
)
RUN = """
import json, sys
statements, libraries = json.loads(sys.argv[1])
loaded = {}
for statement in statements:
    try:
        exec(statement)
    except SystemExit as end:
        assert end.code in (0, 1, None), end.code
    loaded[statement] = sorted(set(libraries) & set(sys.modules))
print(json.dumps(loaded))
"""


def loaded_after(statements: tuple[str, ...], folder: Path) -> dict[str, list[str]]:
    """Which libraries that only files need a new process has loaded after each statement of some."""
    done = subprocess.run(
        [sys.executable, "-c", RUN, json.dumps((statements, NOT_NEEDED))],
        cwd=folder,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, list[str]] = json.loads(done.stdout.splitlines()[-1])
    return found


def test_this_starts_without_the_geometry_kernel(tmp_path: Path) -> None:
    """In one process: what is loaded stays, so where nothing is there in the end, nothing ever was."""
    found = loaded_after(STARTS, tmp_path)
    assert len(found) == len(STARTS)
    assert {statement: names for statement, names in found.items() if names} == {}


def test_the_kernel_is_noticed_when_it_is_loaded(tmp_path: Path) -> None:
    """The check above can fail."""
    (found,) = loaded_after(("import OCP.gp",), tmp_path).values()
    assert "OCP" in found
