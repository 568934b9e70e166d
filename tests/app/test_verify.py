"""`ferrule verify`: a folder that was just made is proved, and what is then spoiled is told, and nothing else.

Files are spoiled by other means than those that made or read them: bytes by hand, pypdf, zipfile, regular expressions.
After that the manifest lists the spoiled file with its true hash, so that only the content can give it away.
Areas and volumes of the readers themselves are held to closed forms, splines to `scipy.interpolate.BSpline`.
"""

from __future__ import annotations

import hashlib
import io
import json
import math
import random
import re
import shutil
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pypdf import PdfReader, PdfWriter, Transformation
from pypdf.generic import NameObject
from scipy.interpolate import BSpline
from typer.testing import CliRunner

from ferrule.app import verify as verifying
from ferrule.app.cli import app
from ferrule.app.design_file import load, parse
from ferrule.app.make_design import make_design
from ferrule.app.manifest import MANIFEST, SCHEMA
from ferrule.app.proof import step_file, threemf_file
from ferrule.app.proof.contours import Run, arc, between, joined, loop, spline, straight
from ferrule.app.proof.dxf_file import _bulged
from ferrule.app.proof.findings import Findings, Listed, NotReadableError
from ferrule.app.proof.solids import solid, welded
from ferrule.app.proof.svg_file import _paths
from ferrule.app.verify import Verified, verify_folder
from ferrule.parts.errors import FerruleError

ROOT = Path(__file__).resolve().parents[2]

SMALL = """
format = 1
name = "Sanderling"
[[tube]]
name = "booster"
outside_mm = [68.4]
inside_mm = [65.9]
length = "300 mm"
station = "0 mm"
[[tube]]
name = "motor tube"
use = "motor"
outside_mm = [31.0]
inside_mm = [29.2]
length = "150 mm"
station = "150 mm"
[[part]]
name = "ring"
kind = "centering-ring"
fits = "booster"
around = "motor tube"
stations = ["160 mm", "280 mm"]
thickness = "6 mm"
material = "birch-plywood"
[[part]]
name = "fin"
kind = "fin"
fits = "booster"
station = "180 mm"
count = 3
root_chord = "100 mm"
tip_chord = "50 mm"
sweep_length = "40 mm"
semi_span = "50 mm"
thickness = "4 mm"
material = "birch-plywood"
"""

WITHOUT_STEP = ("stl", "3mf", "glb", "dxf", "svg", "pdf")


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("small")
    make_design(parse(SMALL), folder, (), WITHOUT_STEP)
    return folder


@pytest.fixture
def folder(small: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(small, tmp_path / "out"))


def manifest(folder: Path) -> dict[str, Any]:
    return dict(json.loads((folder / MANIFEST).read_text(encoding="utf-8")))


def list_anew(folder: Path, name: str, **check: object) -> None:
    """Let the manifest list a file as it is now."""
    found, data = manifest(folder), (folder / name).read_bytes()
    for entry in found["files"]:
        if entry["file"] == name:
            entry |= {"bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
            entry["self_check"] |= check
    (folder / MANIFEST).write_text(json.dumps(found), encoding="utf-8")


def only(folder: Path, *entries: dict[str, Any]) -> Path:
    """A folder whose manifest lists these entries alone."""
    folder.mkdir(exist_ok=True)
    content = {"schema": SCHEMA, "design": None, "fingerprint": None, "failed_checks": [], "files": list(entries)}
    (folder / MANIFEST).write_text(json.dumps(content), encoding="utf-8")
    return folder


def entry(name: str, data: bytes = b"", **changes: object) -> dict[str, Any]:
    total = hashlib.sha256(data).hexdigest()
    listed = {"file": name, "kind": "test", "bytes": len(data), "sha256": total, "fingerprint": "0", "self_check": {}}
    return {**listed, **changes}


def told(folder: Path) -> tuple[tuple[str, str], ...]:
    return verify_folder(folder, with_kernel=False).faults


# What holds


def test_the_nose_of_the_examples_is_proved(tmp_path: Path) -> None:
    design = load(ROOT / "examples" / "nose-only" / "nose.toml")
    made = make_design(design, tmp_path, ("nose",), ("stl", "pdf"))
    done = CliRunner().invoke(app, ["verify", str(tmp_path)])
    assert done.exit_code == 0, done.output
    lines = done.output.splitlines()
    assert f"all   {len(made.files)} files: there, bytes and SHA-256 as listed" in lines[0]
    assert re.fullmatch(
        rf"{len(made.files)} files, [\d,]+ proofs, all hold; Dunlin nose, fingerprint [-0-9a-f]+", lines[-1]
    )
    assert lines[-1].endswith(made.figures["fingerprint"])


def test_a_small_design_is_proved_and_nothing_in_its_folder_changes(folder: Path) -> None:
    before = {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()}
    found = verify_folder(folder)
    assert found.holds, found.faults
    assert {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()} == before
    assert [group.title for group in found.groups] == ["all", "STL", "3MF", "GLB", "DXF", "SVG", "PDF", "text"]
    assert found.files == len(before) - 1 == sum(group.files for group in found.groups[1:])
    # Every file has at least its hash and one thing of its content.
    assert found.proofs >= 2 * found.files


def test_solids_of_step_files_are_measured_or_it_is_said_that_they_were_not(tmp_path: Path) -> None:
    make_design(parse(SMALL), tmp_path, (), ("step",))
    full, without = verify_folder(tmp_path), verify_folder(tmp_path, with_kernel=False)
    assert full.holds
    assert without.holds
    (step,) = [group for group in full.groups if group.title == "STEP"]
    # The fin, the ring, and the rocket of 2 tubes, 2 rings and 3 fins.
    assert step.words.startswith("9 solids in mm, sound; volumes within")
    assert full.notes == ()
    assert "--without-kernel" in without.notes[0]
    assert without.proofs < full.proofs
    path = tmp_path / "sanderling-ring.step"
    text = path.read_bytes()
    path.write_bytes(re.sub(rb"CYLINDRICAL_SURFACE\((.*?),[\d.]+\)", rb"CYLINDRICAL_SURFACE(\1,30.)", text, count=1))
    list_anew(tmp_path, path.name)
    assert {name for name, _ in verify_folder(tmp_path).faults} == {path.name}
    path.write_bytes(text[: len(text) // 2])
    list_anew(tmp_path, path.name)
    assert verify_folder(tmp_path, with_kernel=False).faults == (
        (path.name, "not a whole STEP file: it does not begin or end as one"),
    )


def test_a_kernel_that_dies_spoils_one_file_and_no_other(tmp_path: Path) -> None:
    make_design(parse(SMALL), tmp_path, ("ring",), ("step",))
    name = "sanderling-ring.step"
    (one,) = [one for one in manifest(tmp_path)["files"] if one["file"] == name]
    listed = Listed(name, "step", one["bytes"], one["sha256"], one["fingerprint"], one["self_check"])
    data, found = (tmp_path / name).read_bytes(), Findings()
    with step_file.Kernel() as kernel:
        kernel.prove(data, listed, found)
        assert not found.faults
        assert kernel.process is not None
        kernel.process.kill()
        with pytest.raises(NotReadableError, match="breaks down"):
            kernel.prove(data, listed, found)
        kernel.prove(data, listed, found)
        assert not found.faults
        last = kernel.process
    assert last is not None
    assert last.poll() is not None


# What is spoiled

Spoil = Callable[[bytes], bytes]


def records(data: bytes) -> list[bytes]:
    return [data[place : place + 50] for place in range(84, len(data), 50)]


def stl(data: bytes, triangles: list[bytes]) -> bytes:
    return data[:80] + struct.pack("<I", len(triangles)) + b"".join(triangles)


def flipped(data: bytes) -> bytes:
    """One triangle with two corners changed over."""
    first, *others = records(data)
    return stl(data, [first[:12] + first[24:36] + first[12:24] + first[36:], *others])


def dropped(data: bytes) -> bytes:
    return stl(data, records(data)[1:])


def scaled(data: bytes) -> bytes:
    grown = [
        one[:12] + (np.frombuffer(one[12:48], "<f4") * np.float32(1.002)).tobytes() + one[48:] for one in records(data)
    ]
    return stl(data, grown)


def inside_out(data: bytes) -> bytes:
    return stl(data, [one[:12] + one[24:36] + one[12:24] + one[36:] for one in records(data)])


def not_a_number(data: bytes) -> bytes:
    first, *others = records(data)
    return stl(data, [first[:12] + struct.pack("<f", math.nan) + first[16:], *others])


def model(change: Callable[[str], str]) -> Spoil:
    """A 3MF file with another model."""

    def spoil(data: bytes) -> bytes:
        target = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(target, "w") as new:
            for name in old.namelist():
                text = old.read(name)
                new.writestr(name, change(text.decode()).encode() if name.endswith(".model") else text)
        return target.getvalue()

    return spoil


def put(pattern: str, words: str, count: int = 1) -> Callable[[str], str]:
    """A text with one thing in it put otherwise; it must be there."""

    def change(text: str) -> str:
        changed, times = re.subn(pattern, words, text, count=count, flags=re.DOTALL)
        assert times
        return changed

    return change


def text(pattern: str, words: str, count: int = 1) -> Spoil:
    return lambda data: put(pattern, words, count)(data.decode()).encode()


def scene(change: Callable[[dict[str, Any]], object]) -> Spoil:
    """A GLB file with another scene, of the same meshes."""

    def spoil(data: bytes) -> bytes:
        (size,) = struct.unpack_from("<I", data, 12)
        document = json.loads(data[20 : 20 + size])
        change(document)
        words = json.dumps(document).encode()
        words += b" " * (-len(words) % 4)
        rest = data[20 + size :]
        return struct.pack("<5I", 0x46546C67, 2, 20 + len(words) + len(rest), len(words), 0x4E4F534A) + words + rest

    return spoil


def pages(change: Callable[[PdfWriter], object]) -> Spoil:
    def spoil(data: bytes) -> bytes:
        writer, target = PdfWriter(clone_from=PdfReader(io.BytesIO(data))), io.BytesIO()
        change(writer)
        writer.write(target)
        return target.getvalue()

    return spoil


def without_type(writer: PdfWriter) -> None:
    fonts: Any = writer.pages[0]["/Resources"]
    next(iter(fonts["/Font"].values())).get_object()["/FontDescriptor"].get_object().pop("/FontFile2")


FIN_CONTOUR = r"(LWPOLYLINE(?:(?!LWPOLYLINE).)*?\n  8\nCUT\n.*?\n 70\n)1\n"
CIRCLE = r"(  0\nCIRCLE\n(?:(?!\n  0\n).)*?\n  8\nCUT\n.*?)(?=\n  0\n)"

SPOILED: dict[str, tuple[str, Spoil, tuple[str, ...]]] = {
    "stl: a triangle flipped": ("ring.stl", flipped, (r"3 edges are run twice the same way: not oriented",)),
    "stl: a triangle dropped": (
        "ring.stl",
        dropped,
        (r"\d+ triangles where the manifest lists \d+", r"3 edges have a triangle on one side alone: not closed"),
    ),
    "stl: larger by 0.2 %": (
        "fin.stl",
        scaled,
        (
            r"volume 1\d{4}\.?\d* mm3 where the manifest lists 1\d{4}\.?\d* mm3",
            r"its box is off the one that the manifest lists by 0\.\d+ mm",
        ),
    ),
    "stl: inside out": ("fin.stl", inside_out, ("the surface is inside out",)),
    "stl: not a number": ("fin.stl", not_a_number, ("a coordinate is not a number",)),
    "stl: cut short": ("fin.stl", lambda data: data[:-7], ("not a whole binary STL.*",)),
    "3mf: inches": ("ring.3mf", model(put('unit="millimeter"', 'unit="inch"')), ("its unit is inch, not millimetres",)),
    "3mf: a triangle dropped": (
        "ring.3mf",
        model(put("<triangle [^>]*/>", "")),
        (r"3 edges have a triangle on one side alone: not closed", r"\d+ triangles where .*"),
    ),
    "3mf: a corner that is not there": (
        "fin.3mf",
        model(put('v1="0"', 'v1="999999"')),
        ("the mesh: a triangle has a corner that is not there",),
    ),
    "3mf: a part mirrored": (
        "fin.3mf",
        model(put('transform="1 ', 'transform="-1 ')),
        ("a part on the plate is stretched or mirrored",),
    ),
    "3mf: a part in the plate": (
        "fin.3mf",
        model(put(r'(transform="[^"]*) [-\d.]+"', r'\1 -9"')),
        (r"a part lies \d.* mm below the plate",),
    ),
    "3mf: a part taken away": ("fin.3mf", model(put("<item [^>]*/>", "")), ("2 parts on the plate .*", "volume .*")),
    "3mf: entities": (
        "fin.3mf",
        model(put("<model", '<!DOCTYPE model [<!ENTITY a "aaaa">]><model')),
        ("a document type is declared, .*",),
    ),
    "3mf: no zip": ("fin.3mf", lambda _: b"PK\x03\x04junk", ("not a whole zip archive: .*",)),
    "glb: a part stretched": (
        ".glb",
        scene(lambda document: document["nodes"][0].update(scale=[1.0, 1.0, 1.1])),
        ("a part of mesh 0 is stretched or mirrored",),
    ),
    "glb: a part taken away": (
        ".glb",
        scene(lambda document: document["scenes"][0]["nodes"].pop()),
        (r"6 placed parts where the manifest lists 7", "volume .*"),
    ),
    "glb: nodes in a ring": (
        ".glb",
        scene(lambda document: document["nodes"][0].update(children=[0])),
        ("not a glTF scene: .*",),
    ),
    "glb: cut short": (".glb", lambda data: data[:-4], ("not a whole GLB file.*",)),
    "dxf: a contour opened": ("fin.dxf", text(FIN_CONTOUR, r"\g<1>0\n"), (r"not closed: a line ends at \(.*\) mm",)),
    "dxf: a contour twice": (
        "ring.dxf",
        text(CIRCLE, r"\1\n\1"),
        ("3 closed contours to cut where the manifest lists 2", r"a contour is there twice, round \(.*"),
    ),
    "dxf: a hole widened": (
        "ring.dxf",
        text(r"(\nCIRCLE\n(?:(?!\n  0\n).)*?\n 40\n)[\d.]+", r"\g<1>16.5"),
        ("area .* mm2 where .*",),
    ),
    "dxf: inches": ("ring.dxf", text(r"(\$INSUNITS\n 70\n)4\n", r"\g<1>1\n"), (".*its unit is the millimetre",)),
    "dxf: cut short": ("ring.dxf", lambda data: data[: len(data) * 9 // 10], ("not a whole DXF: .*",)),
    "dxf: another fingerprint": (
        "ring.dxf",
        text("fingerprint ....-", "fingerprint zzzz-"),
        ("it shows the fingerprint zzzz-.*, not the one listed",),
    ),
    "svg: a contour opened": (
        "fin.svg",
        text(r' L [-\d.]+ [-\d.]+ Z"', '"'),
        (r"not closed: a line ends at \(.*\) mm",),
    ),
    "svg: scaled": ("fin.svg", text('width="([0-9.]+)mm"', r'width="1\1mm"'), ("it is not 1:1: .*",)),
    "svg: moved": (
        "ring.svg",
        text('<g id="CUT"', '<g id="CUT" transform="scale(0.97)"'),
        ("something is moved or scaled by a transform",),
    ),
    "svg: a contour twice": (
        "ring.svg",
        text("(<circle [^>]*/>)", r"\1\1"),
        ("3 closed contours to cut where the manifest lists 2", "a contour is there twice, .*"),
    ),
    "svg: something unknown to cut": (
        "ring.svg",
        text("(<circle [^>]*/>)", r'\1<rect x="0" y="0" width="1" height="1"/>'),
        ("a rect is to be cut, of which nothing is known",),
    ),
    "svg: entities": ("ring.svg", text("<svg", "<!DOCTYPE svg><svg"), ("a document type is declared, .*",)),
    "svg: a picture elsewhere": (
        "side-view.svg",
        text("</svg>", '<image href="http://127.0.0.1/a.png"/></svg>'),
        ("it shows a picture that does not lie inside it",),
    ),
    "pdf: a page scaled": (
        "fin-a4.pdf",
        pages(lambda writer: writer.pages[0].scale_by(0.97)),
        (
            r"203\.7 x 288\.1 mm is not A4",
            r"the check bar across is 97\.00 mm, not 100\.00 mm",
            r"the check bar across is 98\.55 mm, not 101\.60 mm",
            r"the check bar up is 97\.00 mm, not 100\.00 mm",
            r"the check bar up is 98\.55 mm, not 101\.60 mm",
        ),
    ),
    "pdf: a page stretched": (
        "fin-letter.pdf",
        pages(lambda writer: writer.pages[0].add_transformation(Transformation().scale(1.0, 1.01))),
        (r"the check bar up is 101\.00 mm, not 100\.00 mm", r"the check bar up is 102\.62 mm, not 101\.60 mm"),
    ),
    "pdf: to be scaled": (
        "fin-a4.pdf",
        pages(
            lambda writer: writer.root_object["/ViewerPreferences"].update(
                {NameObject("/PrintScaling"): NameObject("/AppDefault")}
            )
        ),  # type: ignore[union-attr]
        (r"it does not ask for printing at 100 % .*",),
    ),
    "pdf: a page more": (
        "fin-a4.pdf",
        pages(lambda writer: writer.insert_blank_page(595.2756, 841.8898)),
        ("2 pages where the manifest lists 1", *[r"page 1: there is no check bar of 10\d\.\d mm (across|up)"] * 4),
    ),
    "pdf: no type": ("fin-a4.pdf", pages(without_type), (r"the type AAAAAA\+.* is not inside the file",)),
    "pdf: cut short": ("fin-a4.pdf", lambda data: data[: len(data) // 2], ("not a whole PDF: .*",)),
    "text: not UTF-8": ("report.md", lambda data: data + b"\xff", (r"not UTF-8 at byte \d+",)),
}


@pytest.mark.parametrize("name", SPOILED)
def test_what_is_spoiled_is_told_and_nothing_else(name: str, folder: Path) -> None:
    end, spoil, wanted = SPOILED[name]
    path = folder / (f"sanderling{end}" if end == ".glb" else end if end == "report.md" else f"sanderling-{end}")
    path.write_bytes(spoil(path.read_bytes()))
    # Its hash would give it away; here the manifest was made to fit, and its content does.
    list_anew(folder, path.name)
    faults = told(folder)
    assert {file for file, _ in faults} == {path.name}
    assert len(faults) == len(wanted), faults
    for (_, fault), pattern in zip(faults, wanted, strict=True):
        assert re.fullmatch(pattern, fault), fault


def test_the_command_fails_and_names_the_file_where_something_is_spoiled(folder: Path) -> None:
    path = folder / "sanderling-fin.stl"
    path.write_bytes(flipped(path.read_bytes()))
    list_anew(folder, path.name)
    done = CliRunner().invoke(app, ["verify", str(folder)])
    assert done.exit_code == 1
    assert "NOT PROVED: sanderling-fin.stl: 3 edges are run twice" in done.output
    assert "STL   2 files, 1 not as they should be: " in done.output
    assert "1 fault in sanderling-fin.stl; Sanderling" in done.output.splitlines()[-1]


def test_a_volume_that_the_manifest_makes_up_is_told(folder: Path) -> None:
    """The file is sound and its hash right, but the exact integral is another: 1 % is no facet of 0.01 mm."""
    list_anew(folder, "sanderling-ring.stl", volume_against_integral=0.01)
    ((name, fault),) = told(folder)
    assert name == "sanderling-ring.stl"
    assert re.fullmatch(r"volume .* mm3 is .* mm3 off the exact .* mm3: more than 0\.01 mm all over its surface", fault)


def test_one_byte_a_missing_file_and_files_beside_it(folder: Path) -> None:
    path = folder / "report.md"
    data = path.read_bytes()
    path.write_bytes(data.replace(b"a", b"b", 1))
    assert told(folder) == ((path.name, "not the file that was made: another SHA-256"),)
    path.write_bytes(data + b"\n")
    assert told(folder) == (
        (path.name, f"not the file that was made: {len(data) + 1} bytes where the manifest lists {len(data)}"),
    )
    path.unlink()
    assert told(folder) == ((path.name, "it is not there"),)
    path.write_bytes(data)
    # A note is nobody's business; a print file that nothing vouches for is.
    (folder / "my notes.txt").write_text("glue: 24 h")
    (folder / ".hidden").write_text("")
    (folder / "photographs").mkdir()
    found = verify_folder(folder)
    assert found.holds
    assert found.notes == ("not in the manifest, not looked into: my notes.txt, photographs",)
    (folder / "old-fin.STL").write_bytes(b"")
    assert told(folder) == (("old-fin.STL", "the manifest does not list it: nobody knows of which state it is"),)
    assert CliRunner().invoke(app, ["verify", str(folder)]).exit_code == 1
    assert (folder / "old-fin.STL").exists()


@pytest.mark.parametrize("name", ["../x", "/etc/hostname", "a/../../x", "..", "..\\x", "C:x", "a\0b"])
def test_a_name_that_leads_out_of_the_folder_is_refused(name: str, tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(b"secret")
    folder = only(tmp_path / "out", entry(name, b"secret"))
    ((_, fault),) = told(folder)
    assert fault == "the manifest leads out of the folder; not read"
    assert CliRunner().invoke(app, ["verify", str(folder)]).exit_code == 1


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(b"secret")
    folder = only(tmp_path / "out", entry("notes.md", b"secret"))
    (folder / "notes.md").symlink_to(tmp_path / "x")
    assert told(folder) == (("notes.md", "it is no file but a folder, a link or a device; not read"),)


@pytest.mark.parametrize(
    ("listed", "fault"),
    [
        (7, "the manifest names no file"),
        ({"file": ["a"]}, "the manifest names no file"),
        (entry("a\n\x1b[31mb"), "the manifest lists what is no name of a file; not read"),
        (entry("manifest.json"), "the manifest lists what is no name of a file; not read"),
        (entry("a.md", bytes=None), "the manifest lists no size or no hash"),
        (entry("a.md", sha256=3), "the manifest lists no size or no hash"),
        (entry("x" * 256), "the manifest lists what is no name of a file; not read"),
        (entry("a.md", kind="nested dxf"), "it is not there"),
        (entry("\ud800"), "the manifest lists what is no name of a file; not read"),
    ],
    ids=["number", "list", "controls", "itself", "no size", "no hash", "long", "not there", "half a letter"],
)
def test_absurd_entries_are_told_in_one_line_that_can_be_printed(listed: Any, fault: str, tmp_path: Path) -> None:
    found = verify_folder(only(tmp_path / "out", listed))
    assert [what for _, what in found.faults] == [fault]
    assert all(line.isprintable() for line in found.lines())
    assert max(map(len, found.lines())) < 400


def test_a_solid_that_is_called_text_is_told(tmp_path: Path) -> None:
    folder = only(tmp_path, entry("a.md", b"words", kind="nested dxf"))
    (folder / "a.md").write_bytes(b"words")
    assert told(folder) == (("a.md", "it is listed as dxf, which its name does not end in"),)


def test_failed_checks_of_the_design_are_told_beside_the_proof(folder: Path) -> None:
    content = {**manifest(folder), "failed_checks": ["static margin"]}
    (folder / MANIFEST).write_text(json.dumps(content))
    found = verify_folder(folder)
    assert found.holds
    assert found.notes == ("CHECK FAILED when the files were made: static margin",)


def test_a_file_listed_twice_is_told(folder: Path) -> None:
    found = manifest(folder)
    found["files"].append(found["files"][0])
    (folder / MANIFEST).write_text(json.dumps(found))
    assert told(folder) == ((found["files"][0]["file"], "the manifest lists it twice"),)


@pytest.mark.parametrize("content", [None, b"", b"{", b"\xff\xfe", b"[" * 200_000, b"[]", b'{"schema": "other"}'])
def test_without_a_manifest_of_ours_it_is_a_matter_of_usage(content: bytes | None, tmp_path: Path) -> None:
    if content is not None:
        (tmp_path / MANIFEST).write_bytes(content)
    done = CliRunner().invoke(app, ["verify", str(tmp_path)])
    assert done.exit_code == 2
    assert done.output.startswith("ferrule: ")
    assert done.output.count("\n") == 1


def test_what_is_no_folder_is_a_matter_of_usage(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for name in ("file", "nothing", "x" * 300):
        with pytest.raises(FerruleError):
            verify_folder(tmp_path / name)
    with pytest.raises(FerruleError, match="files: must be a list"):
        verify_folder(_with_files(tmp_path / "out", 5))


def _with_files(folder: Path, files: object) -> Path:
    folder.mkdir()
    (folder / MANIFEST).write_text(json.dumps({"schema": SCHEMA, "files": files}))
    return folder


def test_what_is_too_long_is_not_read(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(threemf_file, "_LARGEST_MODEL", 100)
    assert {fault for _, fault in told(folder)} == {"its model would unpack to more than 512 MiB; not read"}
    monkeypatch.setattr(verifying, "LARGEST", 100)
    faults = told(folder)
    assert len(faults) == len(list(folder.iterdir())) - 1
    assert all(re.fullmatch(r"\d+ bytes are too many to be read; at most 100", fault) for _, fault in faults)


def test_junk_is_told_and_never_a_traceback(folder: Path) -> None:
    """Every file in turn cut off, stirred, and put as junk, each listed as if it had been made so."""
    lots = random.Random(20)  # noqa: S311  the same lots every time
    for one in manifest(folder)["files"]:
        path = folder / one["file"]
        data = path.read_bytes()
        stirred = bytearray(data)
        for _ in range(20):
            stirred[lots.randrange(len(data))] ^= 1 << lots.randrange(8)
        for junk in (data[: lots.randrange(len(data))], bytes(stirred), lots.randbytes(500), b""):
            path.write_bytes(junk)
            list_anew(folder, path.name)
            found = _one(folder, path.name)
            if junk in (b"",) or len(junk) == 500:
                assert not found.holds, path.name
            assert {name for name, _ in found.faults} <= {path.name}
        path.write_bytes(data)
        list_anew(folder, path.name)


def _one(folder: Path, name: str) -> Verified:
    """The proof of one file alone, in a folder of its own."""
    alone = folder / "alone"
    (listed,) = [one for one in manifest(folder)["files"] if one["file"] == name]
    shutil.rmtree(alone, ignore_errors=True)
    only(alone, listed)
    shutil.copy(folder / name, alone / name)
    return verify_folder(alone, with_kernel=False)


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def test_pictures_are_held_to_their_sums_and_size(tmp_path: Path) -> None:
    head = chunk(b"IHDR", struct.pack(">2I5B", 2, 1, 8, 0, 0, 0, 0))
    picture = b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0\x10\x20")) + chunk(b"IEND", b"")
    size = {"width": 2, "height": 1}
    for data, check, fault in (
        (picture, size, ""),
        (picture, {"width": 3}, "its width is 2 pixels where the manifest lists 3"),
        (picture.replace(b"\x08\0", b"\x09\0", 1), size, "the sum of a chunk is wrong"),
        (picture[:-5], size, "not a whole PNG: it ends too soon, or goes on after its end"),
        (picture + b"more", size, "not a whole PNG: it ends too soon, or goes on after its end"),
        (b"GIF89a", size, "not a PNG"),
    ):
        folder = only(tmp_path, entry("a.png", data, self_check=check))
        (folder / "a.png").write_bytes(data)
        assert [what for _, what in told(folder)] == ([fault] if fault else [])


# The readers themselves, against closed forms


def test_areas_of_curves_are_those_of_closed_forms() -> None:
    disc = loop([arc(3 + 4j, 10, 10j, 0.3, math.tau)])
    assert disc.area == pytest.approx(100.0 * math.pi, rel=1e-13)
    oval = loop([arc(1 - 2j, 5 + 5j, -2 + 2j, -1.0, -math.tau)])
    assert oval.area == pytest.approx(math.pi * math.hypot(5, 5) * math.hypot(2, 2), rel=1e-13)
    # Two half circles by their bulge of 1, and a circle's segment of a quarter turn: r2 (angle - sin angle) / 2.
    assert loop([_bulged(0j, 2 + 0j, 1.0), _bulged(2 + 0j, 0j, 1.0)]).area == pytest.approx(math.pi, rel=1e-13)
    cap = loop([_bulged(1 + 0j, 1j, math.tan(math.pi / 8.0)), straight(1j, 1 + 0j)])
    assert cap.area == pytest.approx((math.pi / 2.0 - 1.0) / 2.0, rel=1e-12)
    # A parabola under its chord has two thirds of the rectangle, Archimedes.
    arch = loop([spline(2, [0, 0, 0, 1, 1, 1], [0j, 1 + 2j, 2 + 0j]), straight(2 + 0j, 0j)])
    assert arch.area == pytest.approx(2.0 / 3.0 * 2.0 * 1.0, rel=1e-13)


def test_splines_are_where_scipy_has_them() -> None:
    knots = [0.0, 0.0, 0.0, 0.0, 0.7, 1.5, 1.5, 2.0, 2.0, 2.0, 2.0]
    poles = [0j, 1 + 3j, 2 - 1j, 4 + 2j, 5 + 0j, 6 + 4j, 7 + 1j]
    other = BSpline(np.array(knots), np.array(poles), 3)
    found = spline(3, knots, poles)
    steps = np.concatenate([np.linspace(a, b, 9)[:-1] for a, b in ((0.0, 0.7), (0.7, 1.5), (1.5, 2.0))])
    assert np.abs(found.points[:-1] - other(steps)).max() < 1e-12
    t, weights = np.polynomial.legendre.leggauss(20)
    area = 0.0
    for a, b in ((0.0, 0.7), (0.7, 1.5), (1.5, 2.0)):
        x = (a + b) / 2.0 + (b - a) / 2.0 * t
        area += (b - a) / 4.0 * float(np.sum(weights * (np.conj(other(x)) * other.derivative()(x)).imag))
    assert found.area == pytest.approx(area, rel=1e-12)


@pytest.mark.parametrize(("large", "forward"), [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_svg_arcs_take_the_side_and_the_way_that_their_flags_say(large: int, forward: int) -> None:
    """SVG 1.1, 8.3.8: of the four arcs the flags pick one; radius 5, chord 6, so the centre is 4 off the chord."""
    (((run,), closed),) = list(_paths(f"M 0 0 A 5 5 0 {large} {forward} 6 0"))
    assert not closed
    angle = 2.0 * math.asin(0.6)
    sweep = math.tau - angle if large else angle
    assert abs(run.area) == pytest.approx(25.0 * (sweep - math.sin(sweep)) / 2.0, rel=1e-12)
    # With y downwards a positive angle runs from +x to +y: the arc bulges to -y where it does.
    assert run.points[len(run.points) // 2].imag == pytest.approx(
        (-1 if forward else 1) * (9.0 if large else 1.0), rel=1e-2
    )
    assert (run.area > 0.0) == bool(forward)


def test_contours_close_in_any_order_and_holes_count_against_rims() -> None:
    def square(side: float) -> list[Run]:
        corners = [0j, side + 0j, side + side * 1j, side * 1j]
        corners = [corner - side / 2.0 * (1 + 1j) for corner in corners]
        return [straight(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]

    runs = [*square(10.0), *square(6.0), *square(2.0)]
    lots = random.Random(3)  # noqa: S311  the same lots every time
    for _ in range(20):
        mixed = lots.sample(runs, len(runs))
        mixed = [Run(run.points[::-1], -run.area, True) if lots.random() < 0.5 else run for run in mixed]
        loops, fault = joined(mixed)
        assert not fault
        assert sorted(one.area for one in loops) == pytest.approx([4.0, 36.0, 100.0])
        assert between(loops) == pytest.approx(100.0 - 36.0 + 4.0)
    assert joined(runs[1:])[1].startswith("not closed: a line ends at")
    assert joined([*runs, runs[0]])[1].startswith("not closed: a line meets others at")


def test_volume_and_area_of_a_box_are_those_of_a_box() -> None:
    corners = np.array([[x, y, z] for x in (0.0, 10.0) for y in (0.0, 20.0) for z in (0.0, 30.0)]) + 1000.0
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    triangles = np.array([t for a, b, c, d in faces for t in ((a, b, c), (a, c, d))])
    found = Findings()
    measured = solid(*welded(corners[triangles].reshape(-1, 3), np.arange(36).reshape(-1, 3)), found)
    assert measured is not None
    assert not found.faults
    assert (measured.volume, measured.area) == pytest.approx((6000.0, 2200.0), rel=1e-12)
    flat = Findings()
    split = np.concatenate([triangles, [[0, 1, 1]]])
    solid(corners, split, flat)
    assert "1 triangles have no area" in flat.faults
