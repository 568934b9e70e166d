"""Print files through a slicer that knows nothing of Ferrule: no complaint, our volume, and the filament for it.

The slicer is Debian's `prusa-slicer` (the figures are of 2.5.0). Where it is not installed the tests are skipped; with
FERRULE_SLICER=required, as `.ci/run` sets it for its first gate, they fail instead; with FERRULE_SLICER=elsewhere, as
it does for the second, they are left to the first.

A slicer lays beads with round sides: of height h and width w, and spaced w - h (1 - pi/4), at which the plastic of one
bead just fills its share of the wall (from memory of the slicer's manual, "flow math"). What a wall of solid lines
lacks is then the round side of its two outermost beads, h (1 - pi/4) / 2 on each mm2 of standing skin (derived), which
is 1.8 to 4 % of walls of 2.4 to 1.6 mm. Volumes of blunted cones are closed forms (derived).
"""

from __future__ import annotations

import json
import math
import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import trimesh

from ferrule.parts.chain import Chain, reverse
from ferrule.parts.curve import Arc, Line
from ferrule.parts.poses import STANDING
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import Edge, Fused, Meridian, Placed, Revolved, Shape, edges, moved
from ferrule.parts.writers.stl import write_stl

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"

SETTINGS = {
    # Solid lines throughout: more loops than any wall has room for, each as wide as the nozzle, and fill where one has.
    "nozzle_diameter": "0.4",
    "perimeters": "8",
    "extrusion_width": "0.4",
    "first_layer_extrusion_width": "0.4",
    "perimeter_extrusion_width": "0.4",
    "external_perimeter_extrusion_width": "0.4",
    "infill_extrusion_width": "0.4",
    "solid_infill_extrusion_width": "0.4",
    "top_infill_extrusion_width": "0.4",
    "fill_density": "100%",
    "fill_pattern": "rectilinear",
    "gap_fill_enabled": "1",
    # Nothing but the part.
    "skirts": "0",
    "brim_width": "0",
    "support_material": "0",
    # Lines whose width follows a tapering wall, which is the slicer's default, and seams in a row, which are quick.
    "perimeter_generator": "arachne",
    "seam_position": "rear",
    "filament_diameter": "1.75",
    "bed_shape": "0x0,300x0,300x300,0x300",
    "max_print_height": "400",
}
"""A plain solid print from a nozzle of 0.4 mm; what is not named stays as the slicer has it."""

COMPLAINTS = re.compile(r"empty layer|manifold|repair|warning|error|cannot|fail|open edge|invalid", re.IGNORECASE)
"""Words of a line in which the slicer says that something is wrong, whatever its exit code."""


@dataclass(frozen=True, slots=True)
class Print:
    """What came of slicing a file: exit code, lines that complain, plastic [mm3]."""

    code: int
    complaints: tuple[str, ...]
    filament: float


@dataclass(frozen=True, slots=True)
class Slicer:
    """The program, and the folder that it works in, with plain names, so that no path gets into what it says."""

    program: str
    folder: Path

    def run(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        command = [self.program, "--datadir", "settings", *arguments]
        return subprocess.run(command, cwd=self.folder, capture_output=True, text=True, check=False)

    def solids(self, file: str) -> tuple[tuple[bool, float], ...]:
        """Of each solid in a file, as the slicer sees it: closed or not, volume [mm3]."""
        done = self.run("--info", file)
        assert done.returncode == 0, done.stdout + done.stderr
        closed = re.findall(r"^manifold = (\w+)", done.stdout, re.MULTILINE)
        volumes = re.findall(r"^volume = ([\d.]+)", done.stdout, re.MULTILINE)
        assert set(closed) <= {"yes", "no"}
        return tuple((word == "yes", float(volume)) for word, volume in zip(closed, volumes, strict=True))

    def sliced(self, file: str, layer: float) -> Print:
        """A file sliced into layers of a height [mm]."""
        settings = {**SETTINGS, "layer_height": f"{layer:g}", "first_layer_height": f"{layer:g}"}
        lines = "".join(f"{name} = {value}\n" for name, value in settings.items())
        (self.folder / "solid.ini").write_text(lines, encoding="utf-8")
        code = self.folder / "print.gcode"
        code.unlink(missing_ok=True)
        done = self.run("--load", "solid.ini", "--export-gcode", "--output", code.name, file)
        log = (done.stdout + done.stderr).splitlines()
        length = re.search(r"filament used \[mm\] = ([\d.]+)", code.read_text("utf-8")) if code.exists() else None
        filament = float(length[1]) * math.pi * 1.75**2 / 4.0 if length else 0.0
        return Print(done.returncode, tuple(line for line in log if COMPLAINTS.search(line)), filament)


@pytest.fixture
def slicer(tmp_path: Path) -> Slicer:
    wanted = os.environ.get("FERRULE_SLICER")
    if wanted == "elsewhere":
        pytest.skip("FERRULE_SLICER=elsewhere: another run of the same tree slices")
    program = shutil.which("prusa-slicer")
    if program is None:
        missing = "the program prusa-slicer is not installed; on Debian: apt-get install prusa-slicer"
        if wanted == "required":
            pytest.fail(f"FERRULE_SLICER=required, and {missing}")
        pytest.skip(missing)
    return Slicer(program, tmp_path)


def round_sides(path: Path, layer: float) -> float:
    """What the round sides of the outermost beads leave out of a solid print [mm3]; the file is read by trimesh."""
    found = trimesh.load_scene(path).to_mesh()
    standing = float(found.area_faces @ np.hypot(found.face_normals[:, 0], found.face_normals[:, 1]))
    return standing * layer * (1.0 - math.pi / 4.0) / 2.0


# --- the demo's printed parts -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part", "form", "layer"), [("nose", "stl", 0.2), ("nose", "3mf", 0.3), ("coupler", "stl", 0.3)]
)
def test_a_printed_part_of_the_demo_slices_as_it_is(part: str, form: str, layer: float, slicer: Slicer) -> None:
    command = [sys.executable, "-m", "ferrule", "make", str(MARRAM), "--only", part, "--formats", form, "--out", "."]
    subprocess.run(command, cwd=slicer.folder, stdout=subprocess.DEVNULL, check=True)
    listed = json.loads((slicer.folder / "manifest.json").read_text("utf-8"))["files"]
    files = {entry["file"]: entry["self_check"] for entry in listed if entry["kind"] == form}
    # In sections or in one piece: what is listed is what is there.
    assert set(files) == {path.name for path in slicer.folder.glob(f"marram-{part}*.{form}")}
    assert files

    # The plate with everything on it is what is sliced of several 3MF files: the others are parts of it.
    plate = max(files, key=lambda name: files[name]["volume_mm3"])
    for name, proof in files.items():
        exact = proof["volume_mm3"] / (1.0 + proof["volume_against_integral"])
        solids = slicer.solids(name)
        volume = sum(volume for _, volume in solids)
        assert all(closed for closed, _ in solids), name
        # The slicer's single precision; then facets of fit faces, which stand 0.01 mm back at most: 0.007 mm on the
        # mean of a chord, of which a wall of 2.4 mm has it on one face or both.
        assert volume == pytest.approx(proof["volume_mm3"], rel=1e-4)
        assert volume == pytest.approx(exact, rel=2.0 * 0.007 / 2.4)
        if form == "3mf" and name != plate:
            continue

        made = slicer.sliced(name, layer)
        assert (made.code, made.complaints) == (0, ())
        assert made.filament == pytest.approx(exact, rel=0.05)
        # The rest is how evenly the lines fill the wall: 0.1 % in trials.
        left_out = round_sides(slicer.folder / name, layer)
        assert made.filament == pytest.approx(volume - left_out, rel=0.005)


# --- a slender nose with closed forms, and what the slicer must find wrong --------------------------------------------

LENGTH, RADIUS = 120.0, 8.0
"""Of the sharp cone [mm]."""

WALL = 1.6


@dataclass(frozen=True, slots=True)
class BluntCone:
    """A cone whose tip is a sphere tangent to it: half angle [rad], sphere's radius and centre, base station [mm]."""

    half: float
    tip: float
    centre: float
    base: float

    @property
    def chain(self) -> Chain:
        touch = (self.centre - self.tip * math.sin(self.half), self.tip * math.cos(self.half))
        sphere = Arc((self.centre, 0.0), self.tip, math.pi, self.half - math.pi / 2.0)
        rim = touch[1] + (self.base - touch[0]) * math.tan(self.half)
        return (sphere, Line(touch, (self.base, rim)))

    @property
    def volume(self) -> float:
        """Of a segment of the sphere and a frustum [mm3]."""
        (small, large), cap = self.radii, self.tip * (1.0 - math.sin(self.half))
        frustum = (large**3 - small**3) / math.tan(self.half)
        return math.pi / 3.0 * (cap**2 * (3.0 * self.tip - cap) + frustum)

    @property
    def radii(self) -> tuple[float, float]:
        """Where sphere and cone touch, and of the base [mm]."""
        _, cone = self.chain
        return cone.start[1], cone.end[1]


HALF = math.atan(RADIUS / LENGTH)
OUTSIDE = BluntCone(HALF, 2.0, 2.0 / math.sin(HALF), LENGTH)
INSIDE = BluntCone(HALF, 2.0 - WALL, 2.0 / math.sin(HALF), LENGTH)


def closed(skin: Chain, inside: Chain = ()) -> Revolved:
    """A turned solid from its skin, tip to base, and its inside, if it is hollow."""
    opening = inside[-1].end if inside else (skin[-1].end[0], 0.0)
    inner = reverse(inside) if inside else ()
    section = (*skin, Line(skin[-1].end, opening), *inner)
    return Revolved(Meridian((*edges(section), Edge(Line(section[-1].end, skin[0].start)))))


def write(folder: Path, shape: Shape, length: float) -> str:
    """The name of an STL file of a shape, standing on its rear end."""
    write_stl(folder / "sample.stl", mesh(shape).placed(STANDING.at(length)), "sample")
    return "sample.stl"


def test_the_closed_form_of_a_blunted_cone_is_the_published_kind() -> None:
    """Cone of 33 by 200 mm with a tip of 5 mm: 227516.057543 mm3 by quadrature of 60 digits (derived)."""
    half = math.atan(33.0 / 200.0)
    assert BluntCone(half, 5.0, 5.0 / math.sin(half), 200.0).volume == pytest.approx(227516.057543, abs=1e-5)


def test_a_hollow_nose_with_a_tip_of_2_mm_slices_without_a_word(slicer: Slicer) -> None:
    shape, exact = closed(OUTSIDE.chain, INSIDE.chain), OUTSIDE.volume - INSIDE.volume
    assert moments(shape).volume == pytest.approx(exact, rel=1e-12)
    name = write(slicer.folder, shape, LENGTH)
    ((is_closed, volume),) = slicer.solids(name)
    assert is_closed
    assert volume == pytest.approx(exact, rel=1e-6)  # no face fits anything, so that the mesh is true to the volume

    made = slicer.sliced(name, 0.2)
    assert (made.code, made.complaints) == (0, ())
    assert made.filament == pytest.approx(exact, rel=0.05)
    assert made.filament == pytest.approx(exact - round_sides(slicer.folder / name, 0.2), rel=0.005)


def test_the_same_cone_with_a_sharp_tip_has_an_empty_layer_below_it(slicer: Slicer) -> None:
    sharp = closed((Line((0.0, 0.0), (LENGTH, RADIUS)),))
    made = slicer.sliced(write(slicer.folder, sharp, LENGTH), 0.2)
    assert made.code == 0
    assert any("Empty layer" in line for line in made.complaints), made
    made = slicer.sliced(write(slicer.folder, closed(OUTSIDE.chain), LENGTH), 0.2)
    assert (made.code, made.complaints) == (0, ())


def test_a_part_in_the_air_is_complained_of(slicer: Slicer) -> None:
    cone = closed(OUTSIDE.chain)
    name = write(slicer.folder, Fused((cone, Placed(cone, moved(x=LENGTH + 5.0)))), 2.0 * LENGTH + 5.0)
    made = slicer.sliced(name, 0.3)
    assert any("Empty layer" in line for line in made.complaints), made


@pytest.mark.parametrize("lost", [0, -1])
def test_a_triangle_that_is_missing_is_seen(lost: int, slicer: Slicer) -> None:
    whole = slicer.folder / write(slicer.folder, closed(OUTSIDE.chain, INSIDE.chain), LENGTH)
    assert slicer.solids(whole.name)[0][0]
    header, records = whole.read_bytes()[:80], whole.read_bytes()[84:]
    triangles = [records[start : start + 50] for start in range(0, len(records), 50)]
    del triangles[lost]
    open_file = slicer.folder / "open.stl"
    open_file.write_bytes(header + len(triangles).to_bytes(4, "little") + b"".join(triangles))
    ((is_closed, _),) = slicer.solids("open.stl")
    assert not is_closed


def test_a_file_that_is_cut_off_is_refused(slicer: Slicer) -> None:
    whole = slicer.folder / write(slicer.folder, closed(OUTSIDE.chain), LENGTH)
    whole.write_bytes(whole.read_bytes()[:2000])
    made = slicer.sliced(whole.name, 0.3)
    assert made.code != 0
    assert made.filament == 0.0
