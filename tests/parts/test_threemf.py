"""3MF: what stands in the package, what an independent strict reader makes of it, the same bytes, no half files.

The 3MF Core Specification 1.3.0 (from memory) is held by lib3mf, the 3MF Consortium's own library, in its strict mode:
there every deviation that it knows of is an error or a warning.
"""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import lib3mf
import numpy as np
import pytest
from lxml import etree

from ferrule.parts.errors import PartError, WriteError
from ferrule.parts.kinds import CenteringRing, Fin, NoseCone, Tube
from ferrule.parts.plate import Bed
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import Mesh, mesh, welded
from ferrule.parts.writers import threemf
from ferrule.parts.writers.threemf import PrintObject, on_plates, write_3mf

CORNERS = np.array([[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0], [0.0, 0.0, 10.0]])
FACES = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])
CORNER = welded(CORNERS, FACES)
"""A corner of a cube of 10 mm: four triangles, volume 10^3 / 6 mm3."""

STRANGE = "Düse 'A' \"2°\" & <x> 🚀"

PLATE = (
    PrintObject(STRANGE, CORNER, "petg & co"),
    PrintObject("three of it", welded(CORNERS * [1.0, 2.0, 3.0] - 7.0, FACES), "abs", 3),
    PrintObject("not stated", welded(CORNERS / 3.0, FACES)),
)


def strict(path: Path) -> Any:
    """The model as the strict reader finds it, without one warning."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert [reader.GetWarning(index) for index in range(reader.GetWarningCount())] == []
    return model


def parsed(path: Path) -> Any:
    """The model part as another XML parser reads it."""
    with zipfile.ZipFile(path) as package:
        return etree.fromstring(package.read("3D/3dmodel.model"))


def walk(iterator: Any, current: str = "GetCurrent") -> list[Any]:
    found = []
    while iterator.MoveNext():
        found.append(getattr(iterator, current)())
    return found


def vertices_of(one: Any) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.array([list(vertex.Coordinates) for vertex in one.GetVertices()], dtype=float)


def placed_boxes(model: Any) -> list[np.ndarray[Any, np.dtype[np.float64]]]:
    """Low and high corner (2, 3) of every item on the plate [mm]."""
    boxes = []
    for item in walk(model.GetBuildItems()):
        one = model.GetMeshObjectByID(item.GetObjectResourceID())
        move = np.array([float(value) for value in item.GetObjectTransform().Fields[3]])
        vertices = vertices_of(one) + move
        boxes.append(np.array([vertices.min(axis=0), vertices.max(axis=0)]))
    return boxes


def test_a_strict_reader_finds_names_materials_and_every_item(tmp_path: Path) -> None:
    path = tmp_path / "plate.3mf"
    proof = write_3mf(path, PLATE, f"plate {STRANGE}")
    model = strict(path)
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = walk(model.GetMeshObjects(), "GetCurrentMeshObject")
    assert [one.GetName() for one in objects] == [one.name for one in PLATE]
    assert all(one.IsManifoldAndOriented() for one in objects)
    metadata = model.GetMetaDataGroup()
    found = [metadata.GetMetaData(index) for index in range(metadata.GetMetaDataCount())]
    assert [(item.GetName(), item.GetValue()) for item in found] == [
        ("Title", f"plate {STRANGE}"),
        ("Application", "Ferrule"),
    ]
    (group,) = walk(model.GetBaseMaterialGroups(), "GetCurrentBaseMaterialGroup")
    names = {number: group.GetName(number) for number in group.GetAllPropertyIDs()}
    assert list(names.values()) == ["abs", "petg & co"]
    of = [one.GetObjectLevelProperty() for one in objects]
    assert [names[number] if has else None for _, number, has in of] == ["petg & co", "abs", None]
    assert len(walk(model.GetBuildItems())) == proof.items == 5
    assert (proof.objects, proof.triangles) == (3, 12)
    # A corner of a box a x b x c has the volume a b c / 6.
    assert proof.volume == pytest.approx(1000.0 / 6.0 * (1.0 + 3.0 * 6.0 + 1.0 / 27.0), rel=1e-6)


@pytest.mark.parametrize("kind", [Tube, CenteringRing, NoseCone, Fin], ids=lambda kind: kind.kind)
def test_every_kind_reads_back_to_the_micrometre(kind: Any, tmp_path: Path) -> None:
    part, path = kind.build(**kind.example), tmp_path / "part.3mf"
    made = mesh(part.shape()).placed(part.pose())
    proof = write_3mf(path, (PrintObject("part", made, "pla"),), "part")
    (one,) = walk(strict(path).GetMeshObjects(), "GetCurrentMeshObject")
    assert one.IsManifoldAndOriented()
    assert one.GetTriangleCount() == proof.triangles
    assert one.GetVertexCount() == len(made.vertices), "facets share their vertices"
    # The strict reader keeps single precision: 2^-24 of the largest coordinate.
    assert np.abs(vertices_of(one) - made.vertices).max() < 2.0**-23 * 400.0
    # Fit faces are kept clear by facets: 0.01 mm at most on each side of the thinnest wall here, 1.25 mm.
    assert proof.volume == pytest.approx(moments(part.shape()).volume, rel=0.02 / 1.25)
    text = [[float(vertex.get(axis)) for axis in "xyz"] for vertex in parsed(path).iter("{*}vertex")]
    np.testing.assert_allclose(np.array(text), made.vertices, rtol=0.0, atol=1e-6)


def test_parts_lie_side_by_side_on_the_bed(tmp_path: Path) -> None:
    """5 mm apart (common practice: room for two brims), front left corner at the origin, lowest point on the bed."""
    write_3mf(tmp_path / "plate.3mf", PLATE, "plate")
    boxes = placed_boxes(strict(tmp_path / "plate.3mf"))
    assert len(boxes) == 5
    for index, one in enumerate(boxes):
        assert one[0].min() > -1e-5
        assert one[0][2] == pytest.approx(0.0, abs=1e-5)
        for other in boxes[:index]:
            clear = np.maximum(one[0] - other[1], other[0] - one[1])[:2].max()
            assert clear > 5.0 - 1e-5
    assert np.min([one[0] for one in boxes], axis=0) == pytest.approx((0.0, 0.0, 0.0), abs=1e-5)


def test_many_parts_fill_a_plate_and_not_a_line(tmp_path: Path) -> None:
    write_3mf(tmp_path / "plate.3mf", (PrintObject("peg", CORNER, None, 100),), "plate")
    boxes = placed_boxes(strict(tmp_path / "plate.3mf"))
    width, depth = np.max([one[1] for one in boxes], axis=0)[:2]
    assert len(boxes) == 100
    assert width == pytest.approx(depth, rel=0.15)


def test_on_a_bed_parts_lie_in_the_middle_and_clear_of_its_edges(tmp_path: Path) -> None:
    """5 mm to the edges and between parts (common practice); the bed's front left corner is the origin."""
    write_3mf(tmp_path / "plate.3mf", PLATE, "plate", Bed(60.0, 50.0, "small"))
    boxes = placed_boxes(strict(tmp_path / "plate.3mf"))
    assert len(boxes) == 5
    low, high = np.min([one[0] for one in boxes], axis=0), np.max([one[1] for one in boxes], axis=0)
    assert (low + high)[:2] == pytest.approx((60.0, 50.0), abs=1e-4)
    assert low[2] == pytest.approx(0.0, abs=1e-5)
    assert low[:2].min() > 5.0 - 1e-5
    assert (high[:2] < np.array([55.0, 45.0]) + 1e-5).all()
    for index, one in enumerate(boxes):
        for other in boxes[:index]:
            assert np.maximum(one[0] - other[1], other[0] - one[1])[:2].max() > 5.0 - 1e-5


def test_parts_are_sorted_onto_as_many_plates_as_they_need(tmp_path: Path) -> None:
    """A bed of 40 mm holds pegs of 10 mm two by two: 5 + 10 + 5 + 10 + 5 mm, and no third."""
    bed = Bed(40.0, 40.0, "tiny")
    pegs = (PrintObject("peg", CORNER, "pla", 9), PrintObject("other", CORNER, None, 2))
    found = on_plates(pegs, bed)
    assert [[(one.name, one.material, one.count) for one in plate] for plate in found] == [
        [("peg", "pla", 4)],
        [("peg", "pla", 4)],
        [("peg", "pla", 1), ("other", None, 2)],
    ]
    for number, plate in enumerate(found):
        assert write_3mf(tmp_path / f"{number}.3mf", plate, "plate", bed).items == sum(one.count for one in plate)
    # Six rows of two: 6 x 10 + 5 x 5 + 2 x 5 mm.
    said = (
        r"^all\.3mf: depth: tiny has 40 mm, too little for these 11 parts .*; 95 mm would do; or put them on 3 plates"
    )
    with pytest.raises(WriteError, match=said):
        write_3mf(tmp_path / "all.3mf", pegs, "plate", bed)
    assert not (tmp_path / "all.3mf").exists()


def test_a_part_larger_than_the_bed_is_refused(tmp_path: Path) -> None:
    long = (PrintObject("beam", welded(CORNERS * [1.0, 6.0, 1.0], FACES)),)
    with pytest.raises(PartError, match=r"^depth: tiny has 40 mm, and beam needs 60 mm"):
        on_plates(long, Bed(40.0, 40.0, "tiny"))
    with pytest.raises(WriteError, match=r"^plate\.3mf: depth: tiny has 40 mm, and beam needs 60 mm"):
        write_3mf(tmp_path / "plate.3mf", long, "plate", Bed(40.0, 40.0, "tiny"))
    assert list(tmp_path.iterdir()) == []


def test_a_part_over_the_edge_of_the_bed_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(threemf, "laid_out", lambda *_: ((10.0, 10.0), (28.0, 28.0)))
    with pytest.raises(WriteError, match="a part lies over the edge of the bed of tiny"):
        write_3mf(tmp_path / "plate.3mf", (PrintObject("peg", CORNER, None, 2),), "plate", Bed(40.0, 40.0, "tiny"))
    assert list(tmp_path.iterdir()) == []


def test_the_package_holds_three_parts_without_a_date(tmp_path: Path) -> None:
    path = tmp_path / "plate.3mf"
    write_3mf(path, PLATE, "plate")
    with zipfile.ZipFile(path) as package:
        entries = package.infolist()
        text = package.read("3D/3dmodel.model").decode("utf-8")
    assert [entry.filename for entry in entries] == ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
    assert {entry.date_time for entry in entries} == {(1980, 1, 1, 0, 0, 0)}
    assert {entry.compress_type for entry in entries} == {zipfile.ZIP_DEFLATED}
    assert "Date" not in text
    assert "-0 " not in text


def test_bytes_are_the_same_in_one_process_and_in_another(tmp_path: Path) -> None:
    write_3mf(tmp_path / "first.3mf", PLATE, "plate")
    write_3mf(tmp_path / "again.3mf", PLATE, "plate")
    code = "import sys, pathlib, test_threemf as t; t.write_3mf(pathlib.Path(sys.argv[1]), t.PLATE, 'plate')"
    paths = os.pathsep.join((str(Path(__file__).parent), *sys.path))
    subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "elsewhere.3mf")],
        check=True,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONHASHSEED": "7", "LC_ALL": "C", "TZ": "Asia/Tokyo"},
        cwd=tmp_path,
    )
    for name in ("again", "elsewhere"):
        assert (tmp_path / f"{name}.3mf").read_bytes() == (tmp_path / "first.3mf").read_bytes(), name


@pytest.mark.parametrize("title", ["", " two  spaces ", "line\nfeed\ttab\rreturn", "]]> &amp; <!-- -->"])
def test_any_title_and_name_that_xml_can_hold_reads_back(title: str, tmp_path: Path) -> None:
    """The writer refuses its own file if they do not; another parser must agree."""
    write_3mf(tmp_path / "a.3mf", (PrintObject(f"a{title}", CORNER),), title)
    model = parsed(tmp_path / "a.3mf")
    assert [one.get("name") for one in model.iter("{*}object")] == [f"a{title}"]
    assert [one.text or "" for one in model.iter("{*}metadata")] == [title, "Ferrule"]


@pytest.mark.parametrize(
    ("objects", "title", "said"),
    [
        ((), "t", "there is nothing to put on the plate"),
        ((PrintObject("bell\x07", CORNER),), "t", r"the name of a part holds a character .* U\+0007 in 'bell\\x07'"),
        ((PrintObject("half \ud83d", CORNER),), "t", r"the name of a part holds .* U\+D83D"),
        ((PrintObject("last \uffff", CORNER),), "t", r"the name of a part holds .* U\+FFFF"),
        ((PrintObject("peg", CORNER, "pla\x00"),), "t", r"the material of peg holds .* U\+0000"),
        ((PrintObject("peg", CORNER),), "t\x1b", r"the title holds .* U\+001B"),
        ((PrintObject(" ", CORNER),), "t", "the name of a part is empty"),
        ((PrintObject("peg", CORNER, ""),), "t", "the material of peg is empty"),
        ((PrintObject("peg", CORNER, None, 0),), "t", "peg must lie on the plate at least once, got 0"),
        ((PrintObject("peg", Mesh(CORNERS, FACES[:3])),), "t", "the mesh of peg is not sound: an edge has only one"),
        ((PrintObject("peg", Mesh(CORNERS, FACES[:, ::-1])),), "t", "the mesh of peg is not sound: .*inside out"),
        ((PrintObject("peg", Mesh(CORNERS * 1e-8, FACES)),), "t", "the mesh of peg is not sound: it has no triangles"),
        (
            (PrintObject("peg", Mesh(CORNERS + np.nan, FACES)),),
            "t",
            "the mesh of peg is not sound: a coordinate is not a number",
        ),
    ],
)
def test_what_cannot_be_printed_is_refused(
    objects: tuple[PrintObject, ...], title: str, said: str, tmp_path: Path
) -> None:
    with pytest.raises(WriteError, match=rf"^plate\.3mf: {said}"):
        write_3mf(tmp_path / "plate.3mf", objects, title)
    assert list(tmp_path.iterdir()) == []


def spoilt(old: str, new: str, monkeypatch: pytest.MonkeyPatch, path: Path) -> str:
    """What the writer says when another text gets into the file than it meant; the old file must stay."""
    path.write_text("the old file")
    write = threemf._write

    def wrong(target: Path, model: str) -> None:
        assert old in model
        write(target, model.replace(old, new, 1))

    monkeypatch.setattr(threemf, "_write", wrong)
    with pytest.raises(WriteError) as caught:
        write_3mf(path, PLATE, "plate")
    assert path.read_text() == "the old file"
    assert [item.name for item in path.parent.iterdir()] == [path.name]
    return str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('x="10"', 'x="10.00001"', "is another one"),
        ('v1="0" v2="2" v3="3"', 'v1="0" v2="3" v3="2"', "is another one"),
        ('name="three of it"', 'name="four of it"', "names and materials"),
        ('pindex="1"', 'pindex="0"', "names and materials"),
        ('pindex="1"', 'pindex="5"', "did not read back as 3MF"),
        (">plate<", ">plates<", "its title and its parts"),
        ('objectid="4"', 'objectid="9"', "did not read back as 3MF"),
        ("1 0 0 0 1 0 0 0 1 0 0 0", "1 0 0 0 1 0 0 0 1 0.5 0 0", "its parts in their places"),
        ("1 0 0 0 1 0 0 0 1 0 0 0", "-1 0 0 0 -1 0 0 0 1 0 0 0", "an item is turned"),
        ("millimeter", "inch", "in millimetres"),
        ("</build>", "", "did not read back as 3MF"),
    ],
)
def test_a_file_that_holds_something_else_is_refused(
    old: str, new: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert said in spoilt(old, new, monkeypatch, tmp_path / "plate.3mf")


def test_parts_on_one_spot_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    nowhere = tuple(threemf._Item(number, (0.0, 0.0, 0.0)) for number in range(3))
    monkeypatch.setattr(threemf, "_laid_out", lambda _: nowhere)
    with pytest.raises(WriteError, match="two parts lie on one spot"):
        write_3mf(tmp_path / "plate.3mf", PLATE, "plate")
    below = (threemf._Item(0, (0.0, 0.0, -1.0)),)
    monkeypatch.setattr(threemf, "_laid_out", lambda _: below)
    with pytest.raises(WriteError, match="beside the plate or below it"):
        write_3mf(tmp_path / "plate.3mf", PLATE[:1], "plate")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("length", [0, 30, 400, -30])
def test_a_file_that_is_cut_off_is_refused(length: int, tmp_path: Path) -> None:
    path = tmp_path / "plate.3mf"
    write_3mf(path, PLATE, "plate")
    path.write_bytes(path.read_bytes()[:length])
    with pytest.raises(WriteError, match=r"^plate\.3mf did not read back as 3MF"):
        threemf._read(path, "plate.3mf")


@pytest.mark.parametrize("stop", [OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)), KeyboardInterrupt()], ids=repr)
def test_an_interrupted_write_leaves_the_old_file(
    stop: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "plate.3mf"
    path.write_text("the old file")
    entries: list[str] = []
    write = zipfile.ZipFile.writestr

    def half(self: zipfile.ZipFile, entry: zipfile.ZipInfo, *rest: Any) -> None:
        entries.append(entry.filename)
        if len(entries) == 2:
            raise stop
        write(self, entry, *rest)

    monkeypatch.setattr(zipfile.ZipFile, "writestr", half)
    with pytest.raises((WriteError, KeyboardInterrupt)):
        write_3mf(path, PLATE, "plate")
    assert path.read_text() == "the old file"
    assert [item.name for item in tmp_path.iterdir()] == ["plate.3mf"]
