"""STEP of a whole rocket: one product a part, one occurrence a place, the same bytes every time, no half files.

ISO 10303-21 (the text) and ISO 10303-214 (products and their occurrences) are read here line by line, with nothing of
the code under test; where parts lie is read by the kernel's other front end and compared with closed forms.
"""

from __future__ import annotations

import errno
import math
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from geometry_samples import bore_through, tube

from ferrule.parts.errors import PartError, WriteError
from ferrule.parts.kinds import CenteringRing, Fin, NoseCone, Tube
from ferrule.parts.readers import brep, integrals
from ferrule.parts.shape import Array, Cut, Outline, Placed, Placement, Plate, moved, polygon, rolled
from ferrule.parts.writers import step_assembly
from ferrule.parts.writers.step_assembly import AssemblyPart, write_step_assembly

STRANGE = "Düse 'A' \\ 2° 🚀 & <\"x\">"
SPELLED = r"D\X2\00FC\X0\se ''A'' \\ 2\X2\00B0\X0\ \X4\0001F680\X0\ & " + '<"x">'
"""By ISO 10303-21, section 6.4.3: quotes and backslashes doubled, other letters by their Unicode numbers."""

BAR = Plate(Outline(polygon(((0.0, -2.0), (30.0, -2.0), (30.0, 2.0), (0.0, 2.0)))), 50.0)
"""50 x 30 x 4 mm from the axis out to +y: volume 6000 mm3, centroid (25, 15, 0)."""


def three(x: float, out: float) -> tuple[Placement, ...]:
    return tuple(rolled(math.tau * index / 3.0).after(moved(x=x, y=out)) for index in range(3))


PARTS = (
    AssemblyPart(STRANGE, tube(33.0, 31.5, 200.0), description="1a2b-3c4d-5e6f"),
    AssemblyPart("bar", BAR, three(120.0, 33.0)),
)
VOLUME = math.pi * (33.0**2 - 31.5**2) * 200.0 + 3.0 * 6000.0
"""Closed form [mm3]."""


def whole_rocket() -> tuple[AssemblyPart, ...]:
    nose, body, fin, ring = (kind.build(**kind.example).shape() for kind in (NoseCone, Tube, Fin, CenteringRing))
    return (
        AssemblyPart("nose", nose),
        AssemblyPart("tube", body, (moved(x=250.0),)),
        AssemblyPart("fin", fin, three(400.0, 34.15)),
        AssemblyPart("ring", ring, (moved(x=380.0), moved(x=500.0))),
    )


def test_every_kind_is_placed_as_often_as_it_is_there(tmp_path: Path) -> None:
    parts = whole_rocket()
    proof = write_step_assembly(tmp_path / "rocket.step", "rocket", parts)
    assert (proof.products, proof.instances, proof.solids) == (4, 7, 7)
    exact = sum(len(part.placements) * integrals.moments(part.shape).volume for part in parts)
    assert proof.volume == pytest.approx(exact, rel=1e-6)


def test_the_file_names_products_and_occurrences_in_millimetres_and_nobody(tmp_path: Path) -> None:
    path = tmp_path / "rocket.step"
    write_step_assembly(path, "rocket", PARTS, description="6f5e")
    text = path.read_bytes().decode("ascii")
    assert text.startswith("ISO-10303-21;\nHEADER;\n")
    assert text.endswith("END-ISO-10303-21;\n")
    assert "FILE_DESCRIPTION(('6f5e'),'2;1');" in text
    assert "FILE_NAME('rocket','2000-01-01T00:00:00',(''),('')," in text, "no author, no organisation, no date"
    assert re.findall(r"FILE_SCHEMA\(\('(\w+)", text) == ["AUTOMOTIVE_DESIGN"]
    string = r"'((?:[^']|'')*)'"
    assert re.findall(rf"[^_]PRODUCT\({string},\s*{string},\s*{string}", text) == [
        ("rocket", "rocket", "6f5e"),
        (SPELLED, SPELLED, "1a2b-3c4d-5e6f"),
        ("bar", "bar", ""),
    ]
    assert re.findall(rf"NEXT_ASSEMBLY_USAGE_OCCURRENCE\({string},\s*{string}", text) == [
        ("1", SPELLED),
        ("2", "bar 1"),
        ("3", "bar 2"),
        ("4", "bar 3"),
    ]
    assert set(re.findall(r"LENGTH_UNIT\(\) NAMED_UNIT\(\*\) SI_UNIT\(([^)]*)\)", text)) == {".MILLI.,.METRE."}
    assert len(re.findall(r"= MANIFOLD_SOLID_BREP\(", text)) == 2, "each distinct part stands there once"


def test_another_reader_finds_every_part_where_it_was_put(tmp_path: Path) -> None:
    """The kernel's other front end flattens the assembly; centroids of the bars by hand, roll as in parts/shape.py."""
    import cadquery

    path = tmp_path / "rocket.step"
    proof = write_step_assembly(path, "rocket", PARTS)
    solids = cadquery.importers.importStep(str(path)).solids().vals()
    assert len(solids) == 4
    assert sum(solid.Volume() for solid in solids) == pytest.approx(VOLUME, rel=1e-9)
    assert proof.volume == pytest.approx(VOLUME, rel=1e-9)
    found = [
        np.round(solid.Center().toTuple(), 9).tolist()
        for solid in solids
        if solid.Volume() == pytest.approx(6000.0, rel=1e-9)
    ]
    out = 33.0 + 15.0
    wanted = [[145.0, -24.0, -24.0 * math.sqrt(3.0)], [145.0, -24.0, 24.0 * math.sqrt(3.0)], [145.0, out, 0.0]]
    np.testing.assert_allclose(sorted(found), wanted, atol=1e-6)


def test_a_part_of_several_pieces_stays_one_product(tmp_path: Path) -> None:
    pieces = Array(Placed(tube(3.0, 0.0, 20.0), moved(y=20.0)), 3)
    proof = write_step_assembly(tmp_path / "a.step", "a", (AssemblyPart("pins", pieces, (moved(), moved(x=50.0))),))
    assert (proof.products, proof.instances, proof.solids) == (1, 2, 6)


def test_two_parts_in_one_place_both_count(tmp_path: Path) -> None:
    parts = (AssemblyPart("left", BAR, (moved(), moved())), AssemblyPart("right", BAR))
    assert write_step_assembly(tmp_path / "a.step", "a", parts).volume == pytest.approx(18000.0, rel=1e-9)


def test_bytes_are_the_same_in_one_process_and_in_another(tmp_path: Path) -> None:
    drilled = Cut(tube(33.0, 31.5, 200.0), (Array(bore_through(2.0, 50.0, 40.0), 3),))
    first = tmp_path / "first.step"
    write_step_assembly(first, "rocket", PARTS)
    write_step_assembly(tmp_path / "between.step", "other", (AssemblyPart("drilled", drilled),))
    for _ in range(2):
        write_step_assembly(tmp_path / "again.step", "rocket", PARTS)
    code = (
        "import sys, pathlib, test_step_assembly as t;"
        "t.write_step_assembly(pathlib.Path(sys.argv[1]), 'rocket', t.PARTS)"
    )
    paths = os.pathsep.join((str(Path(__file__).parent), *sys.path))
    subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "elsewhere.step")],
        check=True,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONHASHSEED": "7", "LC_ALL": "C"},
        cwd=tmp_path,
    )
    # Occurrences are counted on by the kernel, in more digits each time: 1 to 4 in the first file, 10 to 13 in another.
    for name in ("again", "elsewhere"):
        assert (tmp_path / f"{name}.step").read_bytes() == first.read_bytes(), name


def test_nothing_is_said_and_the_kernel_is_left_as_it_was(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_Controller

    STEPControl_Controller.Init_s()
    before = Interface_Static.CVal_s("write.step.assembly")
    write_step_assembly(tmp_path / "rocket.step", "rocket", PARTS)
    assert Interface_Static.CVal_s("write.step.assembly") == before
    assert capfd.readouterr() == ("", "")


STRETCHED = Placement(turn=(1.0, 0.0, 0.0, 0.0, 1.001, 0.0, 0.0, 0.0, 1.0))
MIRRORED = Placement(turn=(1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, -1.0))
NOWHERE = Placement(move=(math.nan, 0.0, 0.0))


@pytest.mark.parametrize(
    ("name", "parts", "said"),
    [
        ("rocket", (), r"there is nothing in the assembly"),
        ("rocket", (AssemblyPart("bar", BAR, ()),), r"there is nothing in the assembly"),
        ("rocket", (AssemblyPart("bar", BAR), AssemblyPart("peg", BAR, ())), r"peg has no place in the assembly"),
        ("rocket", (AssemblyPart("bar", BAR), AssemblyPart("bar", BAR)), r"two products are called 'bar'"),
        ("bar", (AssemblyPart("bar", BAR),), r"two products are called 'bar'"),
        ("rocket", (AssemblyPart(" ", BAR),), r"every product needs a name"),
        ("", (AssemblyPart("bar", BAR),), r"every product needs a name"),
        ("rocket", (AssemblyPart("half \ud83d", BAR),), r"half a character"),
        ("rocket", (AssemblyPart("bar", BAR, (STRETCHED,)),), r"a placement of bar is not a rigid motion"),
        ("rocket", (AssemblyPart("bar", BAR, (MIRRORED,)),), r"a placement of bar is not a rigid motion"),
        ("rocket", (AssemblyPart("bar", BAR, (NOWHERE,)),), r"a placement of bar is not a rigid motion"),
    ],
)
def test_what_cannot_be_an_assembly_is_refused(
    name: str, parts: tuple[AssemblyPart, ...], said: str, tmp_path: Path
) -> None:
    with pytest.raises(WriteError, match=said):
        write_step_assembly(tmp_path / "rocket.step", name, parts)
    assert list(tmp_path.iterdir()) == []


def test_a_part_that_cannot_be_built_is_named_and_nothing_is_written(tmp_path: Path) -> None:
    nothing = Cut(BAR, (Placed(tube(100.0, 0.0, 300.0), moved(x=-50.0)),))
    with pytest.raises(PartError, match=r"^peg: nothing is left"):
        write_step_assembly(tmp_path / "a.step", "a", (AssemblyPart("bar", BAR), AssemblyPart("peg", nothing)))
    assert list(tmp_path.iterdir()) == []


def refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, other: tuple[AssemblyPart, ...], name: str = "a") -> str:
    """What the writer says when the file holds other parts than were asked for; the old file must stay."""
    write_step_assembly(tmp_path / "other.step", name, other)
    path, read = tmp_path / "rocket.step", step_assembly._read
    path.write_text("the old file")
    monkeypatch.setattr(step_assembly, "_read", lambda _path, file: read(tmp_path / "other.step", file))
    with pytest.raises(WriteError) as caught:
        write_step_assembly(path, "a", (AssemblyPart("bar", BAR, (moved(), moved(x=60.0))),))
    assert path.read_text() == "the old file"
    assert sorted(item.name for item in tmp_path.iterdir()) == ["other.step", "rocket.step"]
    return str(caught.value)


OTHERS: dict[str, tuple[tuple[AssemblyPart, ...], str]] = {
    "one place less": ((AssemblyPart("bar", BAR, (moved(),)),), "1 placed parts for 2"),
    "another name": ((AssemblyPart("rod", BAR, (moved(), moved(x=60.0))),), "'rod 1' for 'bar 1'"),
    "another place": ((AssemblyPart("bar", BAR, (moved(), moved(x=60.001))),), "bar 2 lies in another place"),
    "another turn": (
        (AssemblyPart("bar", BAR, (moved(), moved(x=60.0).after(rolled(1e-3)))),),
        "bar 2 lies in another",
    ),
    "another size": ((AssemblyPart("bar", Plate(BAR.outline, 50.001), (moved(), moved(x=60.0))),), "volume 6000.12"),
    "moved within itself": (
        (AssemblyPart("bar", Placed(BAR, moved(z=0.1)), (moved(), moved(x=60.0))),),
        "it lies in another place",
    ),
    "in pieces": (
        (AssemblyPart("bar", Array(Placed(BAR, moved(y=9.0)), 2), (moved(), moved(x=60.0))),),
        "2 solids for 1",
    ),
}


@pytest.mark.parametrize("case", OTHERS)
def test_a_file_that_holds_other_parts_is_refused(case: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    other, said = OTHERS[case]
    assert said in refused(tmp_path, monkeypatch, other)


def test_a_file_of_another_assembly_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    same = (AssemblyPart("bar", BAR, (moved(), moved(x=60.0))),)
    assert "the assembly 'a', but as 'b'" in refused(tmp_path, monkeypatch, same, name="b")


def test_a_file_that_is_one_part_or_no_step_is_refused(tmp_path: Path) -> None:
    from ferrule.parts.writers.step import write_step

    path = tmp_path / "part.step"
    write_step(path, BAR, name="bar")
    with pytest.raises(WriteError, match=r"^part\.step did not read back as one assembly"):
        step_assembly._read(path, "part.step")
    path.write_text("solid but not a STEP file\n")
    with pytest.raises(WriteError, match=r"^part\.step did not read back as STEP"):
        step_assembly._read(path, "part.step")


def test_a_solid_that_is_not_sound_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(brep, "is_valid", lambda _: False)
    with pytest.raises(WriteError, match="bar did not read back as a sound solid"):
        write_step_assembly(tmp_path / "a.step", "a", (AssemblyPart("bar", BAR),))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("stop", [OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)), KeyboardInterrupt()], ids=repr)
def test_an_interrupted_write_leaves_the_old_file(
    stop: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "rocket.step"
    path.write_text("the old file")

    def half(self: Path, data: bytes) -> Any:
        with self.open("wb") as stream:
            stream.write(data[: len(data) // 2])
        raise stop

    monkeypatch.setattr(Path, "write_bytes", half)
    with pytest.raises((WriteError, KeyboardInterrupt)):
        write_step_assembly(path, "rocket", PARTS)
    assert path.read_text() == "the old file"
    assert [item.name for item in tmp_path.iterdir()] == ["rocket.step"]
