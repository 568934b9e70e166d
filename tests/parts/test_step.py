"""STEP files: what stands in them, what another reader makes of them, the same bytes every time, no half files.

ISO 10303-21 (the text) and ISO 10303-214 (the schema) are read here line by line, with nothing of the code under test.
"""

from __future__ import annotations

import errno
import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from geometry_samples import PROFILE_CASES, bore_through, hollow, profile, section, tube, turned

from ferrule.parts.curve import Bezier, Line
from ferrule.parts.errors import PartError, WriteError
from ferrule.parts.profiles import Family
from ferrule.parts.readers import brep, integrals
from ferrule.parts.readers.brep import Solid
from ferrule.parts.shape import (
    Array,
    Bevelled,
    Blade,
    Cut,
    EdgeForm,
    Fused,
    Outline,
    Placed,
    Placement,
    RadialFeature,
    Rounded,
    Shape,
    circle,
    hole,
    moved,
    polygon,
)
from ferrule.parts.shape import Plate as FlatPlate
from ferrule.parts.writers import step
from ferrule.parts.writers.step import write_step

NOSE_UP = Placement(turn=(0.0, 0.0, -1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 0.0), move=(0.0, 0.0, 10.0))
"""A pose made up for these tests: x of the part becomes z."""

BLADE = Blade(Outline(polygon(((0.0, 0.0), (120.0, 0.0), (110.0, 58.0), (50.0, 58.0)))), 4.0)

SHAPES: dict[str, Shape] = {
    "tube": tube(33.0, 31.5, 200.0),
    "ring": FlatPlate(Outline(circle(33.0), (hole(15.0), hole(2.0, (24.0, 0.0)))), 6.0),
    "blade": BLADE,
    "worked blade": Blade(BLADE.planform, 4.0, (EdgeForm(3, Bevelled(10.0, 1.0), 5.0), EdgeForm(1, Rounded(2.0)))),
    "drilled tube": Cut(tube(33.0, 31.5, 200.0), (Array(bore_through(2.0, 50.0, 40.0), 3),)),
    "boss": Fused((tube(33.0, 31.5, 200.0), bore_through(4.0, 50.0, 36.0, 0.3, 32.0))),
    "fins on a tube": Fused((tube(33.0, 31.5, 200.0), Array(Placed(BLADE, moved(x=60.0, y=32.0)), 3))),
    "three bars apart": Array(Placed(tube(3.0, 0.0, 20.0), moved(y=20.0)), 3),
}


def strings(path: Path) -> list[str]:
    """Every string of the file, still as it is spelled."""
    return re.findall(r"'((?:[^']|'')*)'", path.read_bytes().decode("ascii"))


@pytest.mark.parametrize("name", SHAPES)
def test_a_shape_reads_back_as_itself(name: str, tmp_path: Path) -> None:
    shape = SHAPES[name]
    proof = write_step(tmp_path / "part.step", shape, name=name, placement=NOSE_UP)
    assert proof.volume == pytest.approx(integrals.moments(shape).volume, rel=1e-6)
    assert proof.faces == brep.faces(brep.solid(shape))


@pytest.mark.parametrize("wall", [None, 2.0], ids=["solid", "hollow"])
@pytest.mark.parametrize("fineness", [0.5, 1.0, 6.0])
@pytest.mark.parametrize(("family", "constant"), PROFILE_CASES)
def test_every_profile_reads_back_to_rounding(
    family: Family, constant: float | None, fineness: float, wall: float | None, tmp_path: Path
) -> None:
    """Tips are where files break: a cap of less than a millimetre, an arc that goes on beyond the axis."""
    p = profile(family, constant, fineness)
    shape = turned(p.chain()) if wall is None else hollow(p, wall)
    proof = write_step(tmp_path / "part.step", shape, name="nose")
    assert proof.volume == pytest.approx(integrals.moments(shape).volume, rel=1e-9)


@pytest.mark.parametrize("beside", [0.0, 9e-8])
@pytest.mark.parametrize("size", [0.1, 1.0])
def test_a_small_blunt_end_of_a_hole_reads_back(size: float, beside: float, tmp_path: Path) -> None:
    """A cap 0.24 mm in radius or less, closed on the axis or within the tolerance of it."""
    cap = Bezier(((3.0 + 0.15 * size, 0.236 * size), (3.0, 0.1 * size), (3.0, beside)))
    shape = section(
        ((Line((0.0, 0.0), (0.0, 33.0)), Line((0.0, 33.0), (66.0, 33.0)), Line((66.0, 33.0), (66.0, 30.0))), ""),
        ((Line((66.0, 30.0), cap.start), cap, Line(cap.end, (0.0, 0.0))), ""),
    )
    proof = write_step(tmp_path / "part.step", shape, name="part")
    assert proof.volume == pytest.approx(integrals.moments(shape).volume, rel=1e-9)


@pytest.mark.parametrize("family", ["tangent-ogive", "half-ellipsoid", "von-karman"])
def test_a_drilled_nose_reads_back(family: Family, tmp_path: Path) -> None:
    shape = Cut(hollow(profile(family, None), 2.0), (Array(bore_through(1.6, 150.0, 40.0, 0.2, 5.0), 3),))
    proof = write_step(tmp_path / "part.step", shape, name="nose")
    assert proof.volume == pytest.approx(integrals.moments(shape).volume, rel=1e-6)


def test_the_file_names_the_part_in_millimetres_and_nobody(tmp_path: Path) -> None:
    path = tmp_path / "nose.step"
    write_step(path, SHAPES["tube"], name="demo-nose", description="1a2b-3c4d-5e6f")
    text = path.read_bytes().decode("ascii")
    assert text.startswith("ISO-10303-21;\nHEADER;\n")
    assert text.endswith("END-ISO-10303-21;\n")
    assert "FILE_DESCRIPTION(('1a2b-3c4d-5e6f'),'2;1');" in text
    assert "FILE_NAME('demo-nose','2000-01-01T00:00:00',(''),('')," in text, "no author, no organisation, no date"
    assert re.findall(r"FILE_SCHEMA\(\('(\w+)", text) == ["AUTOMOTIVE_DESIGN"]
    assert re.findall(r"PRODUCT\('([^']*)','([^']*)','([^']*)'", text) == [("demo-nose", "demo-nose", "1a2b-3c4d-5e6f")]
    assert re.findall(r"LENGTH_UNIT\(\) NAMED_UNIT\(\*\) SI_UNIT\(([^)]*)\)", text) == [".MILLI.,.METRE."]
    assert len(re.findall(r"= MANIFOLD_SOLID_BREP\(", text)) == 1


def test_a_name_with_quotes_and_letters_beyond_ascii_is_spelled_by_the_standard(tmp_path: Path) -> None:
    path = tmp_path / "part.step"
    write_step(path, SHAPES["tube"], name="Düse 'A' \\ 2° 🚀 " + "long " * 20)
    spelled = r"D\X2\00FC\X0\se ''A'' \\ 2\X2\00B0\X0\ \X4\0001F680\X0\ " + "long " * 20
    assert strings(path).count(spelled) == 3, "file name, product id, product name"


def test_another_reader_finds_it_where_it_was_put(tmp_path: Path) -> None:
    """The kernel's other front end, in its own units."""
    import cadquery

    path = tmp_path / "part.step"
    shape = SHAPES["tube"]
    write_step(path, shape, name="tube", placement=NOSE_UP)
    found = cadquery.importers.importStep(str(path))
    assert found.solids().size() == 1
    box = found.val().BoundingBox()
    assert (box.zmin, box.zmax) == pytest.approx((10.0, 210.0), abs=1e-6)
    assert (box.xmin, box.xmax) == pytest.approx((-33.0, 33.0), abs=1e-6)
    assert found.val().Volume() == pytest.approx(np.pi * (33.0**2 - 31.5**2) * 200.0, rel=1e-12)


def test_bytes_are_the_same_in_one_process_and_in_another(tmp_path: Path) -> None:
    names = ("drilled tube", "worked blade")
    for name in names:
        first, second = tmp_path / f"{name}.step", tmp_path / "again" / f"{name}.step"
        write_step(first, SHAPES[name], name="part", description="same")
        write_step(tmp_path / "between.step", SHAPES["ring"], name="ring")
        write_step(second, SHAPES[name], name="part", description="same")
        assert first.read_bytes() == second.read_bytes(), name
    code = (
        "import sys, pathlib, test_step; from ferrule.parts.writers.step import write_step\n"
        "for name in sys.argv[2:]:\n"
        "    path = pathlib.Path(sys.argv[1], f'{name}.step')\n"
        "    write_step(path, test_step.SHAPES[name], name='part', description='same')"
    )
    paths = os.pathsep.join((str(Path(__file__).parent), *sys.path))
    subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "elsewhere"), *names],
        check=True,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONHASHSEED": "7", "LC_ALL": "C"},
        cwd=tmp_path,
    )
    for name in names:
        assert (tmp_path / "elsewhere" / f"{name}.step").read_bytes() == (tmp_path / f"{name}.step").read_bytes(), name


def test_settings_of_the_kernel_are_put_back_and_nothing_is_said(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_Controller

    STEPControl_Controller.Init_s()
    keys = ("write.step.unit", "xstep.cascade.unit", "write.surfacecurve.mode", "write.step.product.name")
    others = ("INCH", "M", "Off", "someone else's")
    kept = [Interface_Static.CVal_s(key) for key in keys]
    try:
        for key, value in zip(keys, others, strict=True):
            Interface_Static.SetCVal_s(key, value)
        write_step(tmp_path / "part.step", SHAPES["tube"], name="tube")
        assert tuple(Interface_Static.CVal_s(key) for key in keys) == others
    finally:
        for key, value in zip(keys, kept, strict=True):
            Interface_Static.SetCVal_s(key, value)
    assert b"SI_UNIT(.MILLI.,.METRE.)" in (tmp_path / "part.step").read_bytes()
    said = capfd.readouterr()
    assert said.out == ""
    assert said.err == ""


def refused(path: Path, monkeypatch: pytest.MonkeyPatch, found: Solid) -> str:
    """What the writer says when the file holds something else than was written; the old file must stay."""
    path.write_text("the old file")
    monkeypatch.setattr(step, "_read", lambda _path, _name: found)
    with pytest.raises(WriteError) as caught:
        write_step(path, SHAPES["tube"], name="tube")
    assert path.read_text() == "the old file"
    assert [item.name for item in path.parent.iterdir()] == [path.name]
    return str(caught.value)


def test_a_file_that_holds_another_volume_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    said = refused(tmp_path / "part.step", monkeypatch, brep.solid(tube(33.0, 31.4999, 200.0)))
    assert "part.step did not read back as the part: volume " in said


def test_a_file_that_holds_the_part_elsewhere_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    aside = brep.solid(Placed(SHAPES["tube"], moved(z=1.0)))
    assert "another place" in refused(tmp_path / "part.step", monkeypatch, aside)


def test_a_file_that_holds_more_solids_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "3 solids for 1" in refused(tmp_path / "part.step", monkeypatch, brep.solid(SHAPES["three bars apart"]))


def test_a_file_in_inches_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "part.step"
    write_step(path, SHAPES["tube"], name="tube")
    text = path.read_text()
    inch = (
        "( CONVERSION_BASED_UNIT('INCH',#9001) LENGTH_UNIT() NAMED_UNIT(#9002) );\n"
        "#9001 = LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#9003);\n"
        "#9002 = DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);\n"
        "#9003 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );"
    )
    path.write_text(text.replace("( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );", inch, 1))
    with pytest.raises(WriteError, match="did not read back in millimetres, but in"):
        step._read(path, "part.step")


def test_what_is_not_step_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "part.step"
    path.write_text("solid but not a STEP file\n")
    with pytest.raises(WriteError, match=r"^part\.step did not read back as STEP"):
        step._read(path, "part.step")


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "part.step"
    path.write_text("the old file")

    def full(self: Path, data: bytes) -> int:
        with self.open("wb") as stream:
            stream.write(data[: len(data) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(WriteError, match=r"part\.step cannot be written: No space left on device"):
        write_step(path, SHAPES["tube"], name="tube")
    assert path.read_text() == "the old file"
    assert [item.name for item in tmp_path.iterdir()] == ["part.step"]


def test_a_part_that_cannot_be_built_writes_nothing(tmp_path: Path) -> None:
    nothing = Cut(SHAPES["tube"], (Placed(tube(40.0, 0.0, 300.0), moved(x=-50.0)),))
    with pytest.raises(PartError, match=r"^tube: nothing is left"):
        write_step(tmp_path / "new" / "part.step", nothing, name="tube")
    assert list(tmp_path.iterdir()) == []
    flat = RadialFeature(12.0, 0.0, Outline(circle(2.0)), 0.0, 1e-300)  # above 0, and nothing to the kernel
    with pytest.raises(PartError, match="could not extrude"):
        write_step(tmp_path / "part.step", flat, name="tube")
