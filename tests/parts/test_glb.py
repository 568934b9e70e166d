"""GLB: the container and its JSON by the rules of the standard, an independent reader's opinion, and what is refused.

glTF 2.0 specification (Khronos; ISO/IEC 12113:2022), read here byte by byte with nothing of the code under test; the
section stands beside each rule (numbers from memory). Turns are undone by scipy.
"""

from __future__ import annotations

import errno
import json
import math
import os
import struct
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from geometry_samples import tube
from scipy.spatial.transform import Rotation

from ferrule.parts.errors import WriteError
from ferrule.parts.kinds import CenteringRing, Fin, NoseCone, Tube
from ferrule.parts.part import Part
from ferrule.parts.readers.facets import Fineness
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import Mesh, mesh, welded
from ferrule.parts.shape import Bevelled, Blade, EdgeForm, Outline, Placement, Rounded, moved, polygon, rolled
from ferrule.parts.writers import glb
from ferrule.parts.writers.glb import Node, write_glb
from ferrule.parts.writers.normals import smooth_normals

Array = np.ndarray[Any, np.dtype[np.float64]]

CORNERS = np.array([[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 20.0, 0.0], [0.0, 0.0, 30.0]])
FACES = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])
CORNER = welded(CORNERS, FACES)
"""A corner of a box of 10 x 20 x 30 mm: volume 1000 mm3; no two of its turns look the same."""

STRANGE = "Düse 'A' \"2°\" & <x> \\ 🚀"

TILTED = rolled(0.3).after(Placement(turn=(0.0, 0.0, 1.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0), move=(100.0, -20.0, 3.0)))

NODES = (
    Node(STRANGE, CORNER, Placement(), "petg", "1a2b-3c4d"),
    Node("fin 1", CORNER, rolled(math.pi / 2.0).after(moved(x=500.0, y=33.0)), "birch"),
    Node("fin 2", CORNER, rolled(math.pi).after(moved(x=500.0, y=33.0)), "birch"),
    Node("tilted", CORNER, TILTED),
)

TYPES: dict[int, tuple[str, int]] = {5121: ("<u1", 1), 5123: ("<u2", 2), 5125: ("<u4", 4), 5126: ("<f4", 4)}
WIDTHS = {"SCALAR": 1, "VEC3": 3}


@dataclass
class Gltf:
    """A GLB file taken apart; every rule of the container is asserted on the way."""

    json: dict[str, Any]
    binary: bytes

    @classmethod
    def of(cls, path: Path) -> Gltf:
        data = path.read_bytes()
        # 4.4.2: magic, version 2, length of the whole file; 4.4.3: chunks start and end on multiples of four.
        assert struct.unpack_from("<4sII", data) == (b"glTF", 2, len(data))
        size, kind = struct.unpack_from("<I4s", data, 12)
        assert kind == b"JSON"
        assert size % 4 == 0
        rest, rest_kind = struct.unpack_from("<I4s", data, 20 + size)
        assert rest_kind == b"BIN\0"
        assert rest % 4 == 0
        assert len(data) == 28 + size + rest
        text = data[20 : 20 + size]
        assert text.startswith(b"{"), "no byte order mark"
        assert text.rstrip(b" ").endswith(b"}"), "padded with spaces"
        return cls(json.loads(text.decode("utf-8")), data[28 + size :])

    def values(self, index: int) -> np.ndarray[Any, Any]:
        accessor = self.json["accessors"][index]
        view = self.json["bufferViews"][accessor["bufferView"]]
        kind, size = TYPES[accessor["componentType"]]
        width = WIDTHS[accessor["type"]]
        start = view["byteOffset"] + accessor.get("byteOffset", 0)
        # 3.6.2.4: an accessor starts at a multiple of its component's size and fits into its view.
        assert start % size == 0
        assert accessor["count"] * width * size <= view["byteLength"]
        return np.frombuffer(self.binary, kind, accessor["count"] * width, start).reshape(-1, width)

    def primitive(self, mesh_number: int) -> dict[str, Any]:
        (one,) = self.json["meshes"][mesh_number]["primitives"]
        return dict(one)

    def placed(self, node: dict[str, Any]) -> tuple[Array, np.ndarray[Any, Any]]:
        """Positions in the scene [m] and triangles of a node."""
        primitive = self.primitive(node["mesh"])
        points = self.values(primitive["attributes"]["POSITION"]).astype(float)
        turned = Rotation.from_quat(node.get("rotation", [0.0, 0.0, 0.0, 1.0])).apply(points)
        return turned + np.array(node.get("translation", [0.0, 0.0, 0.0])), self.values(primitive["indices"])


def whole_rocket() -> tuple[Node, ...]:
    nose, body, fin, ring = (mesh(kind.build(**kind.example).shape()) for kind in (NoseCone, Tube, Fin, CenteringRing))
    fins = (rolled(math.tau * (index + 0.5) / 3.0).after(moved(x=400.0, y=34.15)) for index in range(3))
    return (
        Node("nose", nose, Placement(), "petg"),
        Node("tube", body, moved(x=250.0), "kraft phenolic"),
        *(Node(f"fin {index}", fin, place, "birch") for index, place in enumerate(fins, start=1)),
        Node("ring", ring, moved(x=500.0)),
    )


@pytest.fixture(scope="module")
def rocket(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("glb") / "rocket.glb"
    write_glb(path, whole_rocket(), "rocket")
    return path


def test_buffers_views_and_accessors_keep_the_rules(rocket: Path) -> None:
    found = Gltf.of(rocket)
    assert found.json["asset"] == {"version": "2.0", "generator": "Ferrule"}
    assert set(found.json) <= {
        *("asset", "scene", "scenes", "nodes", "meshes", "materials", "accessors", "bufferViews", "buffers")
    }
    # 4.4.3.3: the binary chunk is the buffer and at most three bytes more.
    (buffer,) = found.json["buffers"]
    assert 0 <= len(found.binary) - buffer["byteLength"] <= 3
    views = found.json["bufferViews"]
    ends = [view["byteOffset"] + view["byteLength"] for view in views]
    assert [view["byteOffset"] for view in views] == [0, *ends[:-1]]
    assert ends[-1] == buffer["byteLength"]
    used = set()
    for number, item in enumerate(found.json["meshes"]):
        primitive = found.primitive(number)
        places, normals = (primitive["attributes"][name] for name in ("POSITION", "NORMAL"))
        used |= {places, normals, primitive["indices"]}
        assert item["name"]
        for accessor, target, component in (
            (places, 34962, 5126),
            (normals, 34962, 5126),
            (primitive["indices"], 34963, 5125),
        ):
            entry = found.json["accessors"][accessor]
            assert entry["componentType"] == component
            assert views[entry["bufferView"]]["target"] == target, "3.6.2.2: what the view is for"
        # 3.6.2.5: smallest and largest of every component, exactly as they stand in single precision.
        values, entry = found.values(places), found.json["accessors"][places]
        assert entry["min"] == values.min(axis=0).astype(float).tolist()
        assert entry["max"] == values.max(axis=0).astype(float).tolist()
        indices = found.values(primitive["indices"]).ravel()
        assert len(indices) % 3 == 0
        assert sorted(set(indices.tolist())) == list(range(len(values))), "every vertex is used, none is missing"
        # 3.7.2.1: normals are of unit length, one for each position.
        upright = found.values(normals).astype(float)
        assert len(upright) == len(values)
        np.testing.assert_allclose(np.linalg.norm(upright, axis=1), 1.0, atol=1e-6)
    assert used == set(range(len(found.json["accessors"])))
    assert found.json["scenes"] == [{"name": "rocket", "nodes": list(range(len(found.json["nodes"])))}]
    for node in found.json["nodes"]:
        if "rotation" in node:  # 3.5.3: a unit quaternion
            assert math.hypot(*node["rotation"]) == pytest.approx(1.0, abs=1e-12)
            assert all(-1.0 <= value <= 1.0 for value in node["rotation"])


def test_an_independent_reader_finds_closed_solids_in_metres_under_their_names(rocket: Path) -> None:
    scene = trimesh.load_scene(rocket)
    names = ["nose", "tube", "fin 1", "fin 2", "fin 3", "ring"]
    assert sorted(scene.graph.nodes_geometry) == sorted(names)
    assert len(scene.geometry) == 4, "the three fins share one mesh"
    for one in scene.geometry.values():
        one.merge_vertices(merge_norm=True, merge_tex=True)
        assert one.is_volume
    exact = {kind.kind: moments(kind.build(**kind.example).shape()).volume for kind in (NoseCone, Tube, Fin)}
    # Fit faces are kept clear by facets: 0.01 mm at most on each side of the thinnest wall here, 1.25 mm.
    for name, kind in (("nose", "nose-cone"), ("tube", "tube"), ("fin 1", "fin")):
        volume = scene.geometry[scene.graph[name][1]].volume * 1e9
        assert volume == pytest.approx(exact[kind], rel=0.02 / 1.25)
    # Nose tip at the origin, all else below it; the tube of the example ends 250 + 280 mm aft of the tip.
    assert scene.bounds[1][1] == pytest.approx(0.0, abs=1e-7)
    assert scene.bounds[0][1] == pytest.approx(-0.530, abs=1e-6)
    assert scene.extents[0] == pytest.approx(2.0 * (0.03415 + 0.058) * math.sin(math.tau / 6.0), abs=0.005)


def test_every_part_is_where_its_placement_puts_it(tmp_path: Path) -> None:
    """Axes by hand: forward is +Y (3.4: +Y is up), roll 0 is +Z (the front), so +X is -z; metres."""
    path = tmp_path / "a.glb"
    proof = write_glb(path, NODES, STRANGE)
    found = Gltf.of(path)
    assert [node["name"] for node in found.json["nodes"]] == [node.name for node in NODES]
    for entry, node in zip(found.json["nodes"], NODES, strict=True):
        x, y, z = node.placement.apply(CORNERS).T
        wanted = np.column_stack([-z, -x, y]) / 1000.0
        points, triangles = found.placed(entry)
        assert {tuple(np.round(point, 7) + 0.0) for point in points} == {
            tuple(np.round(point, 7) + 0.0) for point in wanted
        }
        a, b, c = (points[triangles.reshape(-1, 3)[:, corner]] for corner in range(3))
        volume = np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0
        assert volume == pytest.approx(1000.0e-9, rel=1e-4), "anticlockwise seen from outside: not mirrored"
    assert (proof.nodes, proof.meshes) == (4, 3)
    assert proof.volume == pytest.approx(4000.0, rel=1e-6)
    # Fin 1 is rolled by a quarter: clockwise seen from behind, +y goes to -z, which is +X here.
    points, _ = found.placed(found.json["nodes"][1])
    assert points[:, 0].max() == pytest.approx(0.053, abs=1e-7)
    assert points[:, 1].max() == pytest.approx(-0.5, abs=1e-7)


@pytest.mark.parametrize("seed", range(20))
def test_any_turn_is_written_as_a_quaternion(seed: int, tmp_path: Path) -> None:
    # Random turns and the half turns, where a quaternion's last component vanishes.
    rng = np.random.default_rng(seed)
    halves = [Rotation.from_rotvec(math.pi * axis) for axis in np.eye(3)]
    turn = halves[seed] if seed < 3 else Rotation.random(rng=rng)
    rows = tuple(float(value) for value in turn.as_matrix().ravel())
    place = Placement(rows, (7.0, -5.0, 3.0))  # type: ignore[arg-type]  # nine numbers
    write_glb(tmp_path / "a.glb", (Node("a", CORNER, place),), "a")
    found = Gltf.of(tmp_path / "a.glb")
    points, _ = found.placed(found.json["nodes"][0])
    x, y, z = place.apply(CORNERS).T
    wanted = np.column_stack([-z, -x, y]) / 1000.0
    distance = np.linalg.norm(points[:, None] - wanted, axis=2).min(axis=0)
    assert distance.max() < 1e-8


def test_materials_are_named_grey_and_shared(tmp_path: Path) -> None:
    write_glb(tmp_path / "a.glb", NODES, "a")
    found = Gltf.of(tmp_path / "a.glb").json
    assert [item["name"] for item in found["materials"]] == ["petg", "birch", "not stated"]
    colours = {tuple(item["pbrMetallicRoughness"]["baseColorFactor"]) for item in found["materials"]}
    assert len(colours) == 1
    (colour,) = colours
    assert len(set(colour[:3])) == 1
    assert colour[3] == 1.0
    assert found["nodes"][0]["extras"] == {"fingerprint": "1a2b-3c4d"}
    assert [node["mesh"] for node in found["nodes"]] == [0, 1, 1, 2]
    assert len(found["accessors"]) == 3, "one geometry in three materials stands there once"
    assert not {"rotation", "translation", "matrix", "scale"} & set(found["nodes"][0])


def angles(one: Array, other: Array) -> Array:
    """Angle between unit vectors [degrees]."""
    return np.degrees(
        np.arctan2(np.linalg.norm(np.cross(one, other), axis=-1), np.einsum("...i,...i->...", one, other))
    )


def facet_normals(found: Mesh) -> Array:
    a, b, c = (found.vertices[found.triangles[:, corner]] for corner in range(3))
    cross = np.cross(b - a, c - a)
    return np.asarray(cross / np.linalg.norm(cross, axis=1, keepdims=True))


def test_a_turned_part_is_smooth_round_its_axis_and_sharp_at_its_rims() -> None:
    """The exact normal of a cylinder is radial, that of its ends axial."""
    found = mesh(tube(33.0, 31.5, 200.0))
    normals, facets = smooth_normals(found, 0.02), facet_normals(found)
    corners = found.vertices[found.triangles]
    radial = corners * [0.0, 1.0, 1.0] / np.linalg.norm(corners[..., 1:], axis=2)[..., None]
    ends = np.abs(facets[:, 0]) > 0.5
    assert angles(normals[ends], facets[ends][:, None]).max() < 1e-4
    outwards = np.sign(np.einsum("ij,ij->i", facets, radial.mean(axis=1)))[:, None, None]
    assert angles(normals[~ends], (outwards * radial)[~ends]).max() < 0.01
    assert angles(facets[~ends][:, None], (outwards * radial)[~ends]).max() > 1.0, "flat facets would show"


def test_a_cone_is_smooth_up_to_its_tip() -> None:
    """The exact normal of a cone is the same along each of its lines, and is not the axis at the tip."""
    nose = NoseCone.build(profile="cone", tip="sharp", length="200 mm", base_diameter="66 mm", body="solid")
    found = mesh(nose.shape())
    normals, facets = smooth_normals(found, 0.02), facet_normals(found)
    skin = (facets[:, 0] < -0.01) & (facets[:, 0] > -0.5)
    assert skin.sum() > 50
    assert angles(normals[skin], facets[skin][:, None]).max() < 2.5
    assert angles(normals[skin], np.array([-1.0, 0.0, 0.0])).min() > 75.0  # a cone of half angle 9.4 degrees: 80.6


def test_the_bevel_of_a_fin_is_an_edge_and_its_rounded_edge_is_not() -> None:
    """A bevel of 1.5 mm over 10 mm stands at 8.5 degrees, less than the facets of the rounded edge beside it."""
    outline = Outline(polygon(((0.0, 0.0), (120.0, 0.0), (110.0, 58.0), (50.0, 58.0))))
    bevelled = mesh(Blade(outline, 4.0, (EdgeForm(3, Bevelled(10.0, 1.0), 5.0),)))
    assert angles(smooth_normals(bevelled, 0.02), facet_normals(bevelled)[:, None]).max() < 1e-3
    rounded = mesh(Blade(outline, 4.0, (EdgeForm(1, Rounded(2.0)),)))
    normals, facets = smooth_normals(rounded, 0.02), facet_normals(rounded)
    wide = np.abs(facets[:, 2]) > 1.0 - 1e-9
    off = angles(normals, facets[:, None])
    assert off[wide].max() < 1.0, "the flat sides stay flat to the eye"
    assert off[~wide].max() > 5.0, "the edge is round"


def test_what_is_smooth_goes_by_what_the_mesh_was_made_with() -> None:
    coarse = Fineness(deviation=0.5, fit_deviation=0.5)
    found = mesh(tube(33.0, 31.5, 200.0), coarse)
    off = {
        deviation: angles(smooth_normals(found, deviation), facet_normals(found)[:, None]).max()
        for deviation in (0.02, 0.5)
    }
    assert off[0.5] > 5.0
    assert off[0.02] < 1e-3


@pytest.mark.parametrize("kind", [Tube, CenteringRing, NoseCone, Fin], ids=lambda kind: kind.kind)
def test_every_kind_gives_a_closed_solid_where_it_is_welded(kind: type[Part], tmp_path: Path) -> None:
    part, path = kind.build(**kind.example), tmp_path / "part.glb"
    made = mesh(part.shape())
    proof = write_glb(path, (Node("part", made),), "part")
    found = trimesh.load_scene(path).geometry["part"]
    found.merge_vertices(merge_norm=True, merge_tex=True)
    assert found.is_volume
    assert len(found.faces) == proof.triangles
    assert found.volume * 1e9 == pytest.approx(made.moments().volume, rel=1e-4)
    low, high = made.vertices.min(axis=0), made.vertices.max(axis=0)
    np.testing.assert_allclose(found.bounds[:, 1], [-high[0] / 1000.0, -low[0] / 1000.0], atol=1e-7)


def test_bytes_are_the_same_in_one_process_and_in_another(tmp_path: Path) -> None:
    write_glb(tmp_path / "first.glb", NODES, "rocket")
    write_glb(tmp_path / "again.glb", NODES, "rocket")
    code = "import sys, pathlib, test_glb as t; t.write_glb(pathlib.Path(sys.argv[1]), t.NODES, 'rocket')"
    paths = os.pathsep.join((str(Path(__file__).parent), *sys.path))
    subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "elsewhere.glb")],
        check=True,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONHASHSEED": "7", "LC_ALL": "C"},
        cwd=tmp_path,
    )
    for name in ("again", "elsewhere"):
        assert (tmp_path / f"{name}.glb").read_bytes() == (tmp_path / "first.glb").read_bytes(), name


STRETCHED = Placement(turn=(1.0, 0.0, 0.0, 0.0, 1.001, 0.0, 0.0, 0.0, 1.0))
MIRRORED = Placement(turn=(1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, -1.0))
FLATTENED = Placement(turn=(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0))
NOWHERE = Placement(move=(math.nan, 0.0, 0.0))


@pytest.mark.parametrize(
    ("nodes", "title", "said"),
    [
        ((), "t", "there is nothing in the scene"),
        ((Node(" ", CORNER),), "t", "every part needs a name"),
        ((Node("half \ud83d", CORNER),), "t", r"a name holds half a character: 'half \\ud83d'"),
        ((Node("a", CORNER),), "half \ud83d", "a name holds half a character"),
        ((Node("a", CORNER, STRETCHED),), "t", "the placement of a is not a rigid motion"),
        ((Node("a", CORNER, MIRRORED),), "t", "the placement of a is not a rigid motion"),
        ((Node("a", CORNER, FLATTENED),), "t", "the placement of a is not a rigid motion"),
        ((Node("a", CORNER, NOWHERE),), "t", "the placement of a is not a rigid motion"),
        ((Node("a", Mesh(CORNERS, FACES[:3])),), "t", "the mesh of a is not sound: an edge has only one triangle"),
        ((Node("a", Mesh(CORNERS, FACES[:, ::-1])),), "t", "the mesh of a is not sound: .*inside out"),
        ((Node("a", Mesh(CORNERS + np.nan, FACES)),), "t", "the mesh of a is not sound: a coordinate"),
        # Sound as it is, and flat once it is rounded to the file's single precision.
        ((Node("a", Mesh(CORNERS * [1.0, 1.0, 1e-9] + [0.0, 0.0, 1000.0], FACES)),), "t", "the mesh of a is not sound"),
    ],
)
def test_what_cannot_be_shown_is_refused(nodes: tuple[Node, ...], title: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(WriteError, match=rf"^a\.glb: {said}"):
        write_glb(tmp_path / "a.glb", nodes, title)
    assert list(tmp_path.iterdir()) == []


def changed(document: dict[str, Any], *keys: Any, to: Any) -> dict[str, Any]:
    place = document
    for key in keys[:-1]:
        place = place[key]
    place[keys[-1]] = to
    return document


WRONG: dict[str, tuple[tuple[Any, ...], Any, str]] = {
    "another name": (("nodes", 1, "name"), "fin 9", "under the names"),
    "another title": (("scenes", 0, "name"), "b", "under the names"),
    "another place": (("nodes", 1, "translation"), [0.033, -0.5, 1e-4], "fin 1 lies .* mm from its place"),
    "another turn": (("nodes", 1, "rotation"), [0.0, 0.0, 0.0, 1.0], "fin 1 lies .* mm from its place"),
    "another material": (("materials", 1, "name"), "balsa", "fin 1 is of balsa"),
    "another mesh": (("nodes", 0, "mesh"), 1, "is of birch"),
    "no such mesh": (("nodes", 0, "mesh"), 7, "is not a whole GLB file"),
    "a triangle less": (("accessors", 2, "count"), 9, "sound meshes: an edge has only one triangle"),
    "half a triangle less": (("accessors", 2, "count"), 10, "is not a whole GLB file"),
    "no such view": (("accessors", 2, "bufferView"), 7, "is not a whole GLB file"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_file_that_holds_something_else_is_refused(
    case: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keys, value, said = WRONG[case]
    path, container = tmp_path / "a.glb", glb._container
    path.write_text("the old file")
    monkeypatch.setattr(glb, "_container", lambda doc, data: container(changed(doc, *keys, to=value), data))
    with pytest.raises(WriteError, match=rf"^a\.glb .*{said}"):
        write_glb(path, NODES, "a")
    assert path.read_text() == "the old file"
    assert [item.name for item in tmp_path.iterdir()] == ["a.glb"]


def test_a_file_with_another_volume_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    other = welded(CORNERS * 1.01, FACES)
    monkeypatch.setattr(glb, "_in_metres", lambda _file, _node: Mesh(other.vertices / 1000.0, other.triangles))
    with pytest.raises(WriteError, match=r"has 1030\.3\d* mm3 for 1000 mm3"):
        write_glb(tmp_path / "a.glb", NODES, "a")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("length", [0, 11, 19, 100, -4, -1, 10_000])
def test_a_file_that_is_cut_off_or_too_long_is_refused(length: int, tmp_path: Path) -> None:
    path = tmp_path / "a.glb"
    write_glb(path, NODES, "a")
    data = path.read_bytes()
    path.write_bytes(data.ljust(length, b"\0")[:length])
    with pytest.raises(WriteError, match=r"^a\.glb is not a whole GLB file"):
        glb._read(path, "a.glb")


@pytest.mark.parametrize("stop", [OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)), KeyboardInterrupt()], ids=repr)
def test_an_interrupted_write_leaves_the_old_file(
    stop: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.glb"
    path.write_text("the old file")

    def half(self: Path, data: bytes) -> Any:
        with self.open("wb") as stream:
            stream.write(data[: len(data) // 2])
        raise stop

    monkeypatch.setattr(Path, "write_bytes", half)
    with pytest.raises((WriteError, KeyboardInterrupt)):
        write_glb(path, NODES, "a")
    assert path.read_text() == "the old file"
    assert [item.name for item in tmp_path.iterdir()] == ["a.glb"]
