"""Binary STL: the layout that every slicer reads, an independent reader's opinion, and what is refused.

The layout (80 bytes of header, a little-endian count, 50 bytes for each triangle) is the common binary STL.
"""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from ferrule.parts.errors import WriteError
from ferrule.parts.kinds import in_bench_order
from ferrule.parts.part import Part
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import Mesh, mesh, welded
from ferrule.parts.writers.stl import read_stl, write_stl

CORNERS = np.array([[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0], [0.0, 0.0, 10.0]])
FACES = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])


@pytest.fixture
def corner() -> Mesh:
    """A corner of a cube of 10 mm: four triangles, volume 10^3 / 6 mm3."""
    return welded(CORNERS, FACES)


def test_the_file_has_header_count_and_fifty_bytes_for_each_triangle(corner: Mesh, tmp_path: Path) -> None:
    path = tmp_path / "corner.stl"
    proof = write_stl(path, corner, "ferrule mm corner")
    data = path.read_bytes()
    assert data[:80] == b"ferrule mm corner".ljust(80)
    assert struct.unpack("<I", data[80:84]) == (4,)
    assert len(data) == 84 + 4 * 50
    assert proof.triangles == 4
    assert proof.volume == pytest.approx(1000.0 / 6.0, rel=1e-12)


def test_normals_are_of_unit_length_and_point_out(corner: Mesh, tmp_path: Path) -> None:
    path = tmp_path / "corner.stl"
    write_stl(path, corner, "corner")
    records = [struct.unpack("<12fH", path.read_bytes()[84 + 50 * index : 134 + 50 * index]) for index in range(4)]
    normals = {tuple(round(value, 6) + 0.0 for value in record[:3]) for record in records}
    slope = round(1.0 / 3.0**0.5, 6)
    assert normals == {(-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0), (slope, slope, slope)}
    assert {record[12] for record in records} == {0}


@pytest.mark.parametrize("title", ["", "a" * 200, "Größe 火", "ferrule"])
def test_any_title_fits_the_header_and_no_file_passes_for_text(title: str, corner: Mesh, tmp_path: Path) -> None:
    path = tmp_path / "corner.stl"
    write_stl(path, corner, f"ferrule {title}")
    assert path.stat().st_size == 84 + 4 * 50
    assert path.read_bytes()[:80].isascii()
    assert not path.read_bytes().startswith(b"solid")


@pytest.mark.parametrize("kind", in_bench_order(), ids=lambda kind: kind.kind)
def test_an_independent_reader_finds_a_closed_oriented_solid_on_the_bed(kind: type[Part], tmp_path: Path) -> None:
    part, path = kind.build(**kind.example), tmp_path / "part.stl"
    proof = write_stl(path, mesh(part.shape()).placed(part.pose()), "part")
    found = trimesh.load(path)
    assert found.is_volume
    assert len(found.faces) == proof.triangles
    assert found.volume == pytest.approx(proof.volume, rel=1e-6)
    # Fit faces are kept clear by facets: 0.01 mm at most on each side of the thinnest wall here, 0.9 mm.
    assert found.volume == pytest.approx(moments(part.shape()).volume, rel=0.02 / 0.9)
    assert found.bounds[0][2] == pytest.approx(0.0, abs=1e-4)


def test_the_same_mesh_gives_the_same_bytes(corner: Mesh, tmp_path: Path) -> None:
    for name in ("a.stl", "b.stl"):
        write_stl(tmp_path / name, corner, "corner")
    assert (tmp_path / "a.stl").read_bytes() == (tmp_path / "b.stl").read_bytes()


def test_what_was_written_reads_back_with_its_corners_welded(corner: Mesh, tmp_path: Path) -> None:
    path = tmp_path / "corner.stl"
    write_stl(path, corner, "corner")
    again = read_stl(path)
    assert len(again.vertices) == 4
    assert again.faults() == ()


@pytest.mark.parametrize("length", [0, 40, 83, 84, 133, 233, 235])
def test_a_file_that_is_cut_off_or_too_long_is_refused(length: int, corner: Mesh, tmp_path: Path) -> None:
    path = tmp_path / "corner.stl"
    write_stl(path, corner, "corner")
    path.write_bytes(path.read_bytes().ljust(length, b"\0")[:length])
    with pytest.raises(WriteError, match=r"corner\.stl is not a whole binary STL"):
        read_stl(path)


@pytest.mark.parametrize(
    ("vertices", "faces"),
    [
        (CORNERS, FACES[:3]),
        (CORNERS, np.vstack([FACES[:3], FACES[3:, ::-1]])),
        # Sound as it is, and flat once the corners are rounded to the file's single precision.
        (CORNERS * [1.0, 1.0, 1e-9] + [0.0, 0.0, 1000.0], FACES),
    ],
    ids=["open", "one face turned over", "flat in single precision"],
)
def test_a_mesh_that_is_not_sound_is_not_written(
    vertices: np.ndarray[tuple[int, int], np.dtype[np.float64]],
    faces: np.ndarray[tuple[int, int], np.dtype[np.int64]],
    tmp_path: Path,
) -> None:
    path = tmp_path / "bad.stl"
    with pytest.raises(WriteError, match=r"bad\.stl: the mesh is not sound"):
        write_stl(path, Mesh(vertices, faces), "bad")
    assert list(tmp_path.iterdir()) == []
