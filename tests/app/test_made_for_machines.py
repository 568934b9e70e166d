"""Files that are made for a machine: named, compensated once, and listed as such; STEP and paper stay nominal."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import trimesh

from ferrule.app.design_file import load, parse
from ferrule.app.machine_file import load_machines
from ferrule.app.make import FORMATS
from ferrule.app.make_design import make_design
from ferrule.parts.errors import DesignError
from ferrule.parts.readers.brep import measure, solid

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"
BENCH = '[printer.bench]\noutside = "0.10 mm"\nhole = "0.15 mm"\nshrinkage = {petg = 0.005}\n'
LASER = '[cutter.laser]\nkerf = "0.2 mm"\n'


def demo(settings: str = "", **changes: str) -> str:
    text = MARRAM.read_text(encoding="utf-8").replace('thrust = "demo-29.csv"\n', "")
    for head, table in (("[printer.bench]", BENCH), ("[cutter.laser]", LASER)):
        assert text.count(head) == 1
        text = text.replace(head, table)  # what stands behind the head is a comment
    text = text.replace('revision = "A"\n', f'revision = "A"\n{settings}')
    for old, new in changes.items():
        text = text.replace(old, new)
    return text


def manifest(folder: Path) -> dict[str, dict[str, Any]]:
    files = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    return {entry["file"]: entry for entry in files}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("for-machines")
    design = parse(demo('printer = "bench"\ncutter = "laser"\n'))
    make_design(design, folder, ("coupler", "forward ring"), FORMATS)
    return folder


def test_names_say_which_machine_a_file_is_for(made: Path) -> None:
    found = manifest(made)
    assert (
        "compensated for bench: outside -0.10 mm and holes +0.15 mm" in found["marram-coupler-for-bench.stl"]["sizes"]
    )
    assert "petg shrinkage 0.50 %" in found["marram-coupler-for-bench.3mf"]["sizes"]
    assert "half the kerf of 0.20 mm" in found["marram-forward-ring-for-laser.dxf"]["sizes"]
    nominal = {name for name, entry in found.items() if entry["sizes"] == "nominal"}
    assert {"marram-coupler.step", "marram-forward-ring.step", "marram-forward-ring-a4.pdf"} <= nominal
    assert not any("-for-" in name for name in nominal)


def test_the_coupler_is_smaller_outside_and_larger_all_over(made: Path) -> None:
    """65.47 mm less 0.10 on each side, then by 1 / (1 - 0.005); facets keep fit faces on their circle."""
    part = next(item.part for item in parse(demo()).rocket.items if item.name == "coupler")
    assert part is not None
    nominal = measure(solid(part.shape()))
    across = float(nominal.high[1] - nominal.low[1])
    found = trimesh.load(made / "marram-coupler-for-bench.stl")
    assert found.is_volume
    sizes = found.bounds[1] - found.bounds[0]
    assert sizes[0] == pytest.approx((across - 0.2) / 0.995, abs=0.02)
    assert sizes[2] == pytest.approx(140.0 / 0.995, abs=1e-3)
    assert found.bounds[0][2] == pytest.approx(0.0, abs=1e-4)


def test_the_ring_is_cut_half_a_beam_outside_its_rim(made: Path) -> None:
    """Rim and bore by the readings: 65.87 - 0.2 and 31.02 + 0.2 mm; the beam of 0.2 mm runs 0.1 mm beside them."""
    document = ezdxf.readfile(made / "marram-forward-ring-for-laser.dxf")
    circles = [one for one in document.modelspace() if one.dxf.layer == "CUT" and one.dxftype() == "CIRCLE"]
    radii = sorted(round(one.dxf.radius, 6) for one in circles)
    assert radii == [2.65, 2.65, 15.51, 32.935]
    texts = " ".join(one.dxf.text for one in document.modelspace() if one.dxftype() == "TEXT")
    assert "compensated for laser" in texts
    assert "nominal size" not in texts


def test_what_is_engraved_tells_face_and_state(made: Path) -> None:
    document = ezdxf.readfile(made / "marram-forward-ring-for-laser.dxf")
    engraved = [one for one in document.modelspace() if one.dxf.layer == "ENGRAVE"]
    closed = [one for one in engraved if one.dxftype() in ("LWPOLYLINE", "SPLINE", "LINE", "ARC")]
    assert len(closed) > 20, "AFT, name, revision and fingerprint as outlines, and the rail line"


def test_a_part_says_its_own_machine() -> None:
    ring = 'name = "forward ring"\nkind'
    design = parse(demo(**{ring: 'name = "forward ring"\nmade_on = "bench"\nkind'}))
    assert {name: machine.name for name, machine in design.made_on.items()} == {"forward ring": "bench"}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (demo('printer = "benc"\n'), "settings.printer: there is no printer 'benc'; did you mean 'bench'?"),
        (demo('cutter = "bench"\n'), "settings.cutter: there is no cutter 'bench'"),
        (
            demo(**{'name = "nose"\nkind': 'name = "nose"\nmade_on = "laser"\nkind'}),
            "made_on: 'laser' is a cutter, and a nose-cone of this form is not cut from sheet",
        ),
        (demo(**{'name = "nose"\nkind': 'name = "nose"\nmade_on = "small"\nkind'}), "there is no machine 'small'"),
        (
            demo(**{'outside = "0.10 mm"': 'outside = "10 mm"'}),
            "printer.bench.outside: must be at most 1 mm, got 10 mm",
        ),
        (demo(**{"petg = 0.005": "petgg = 0.005"}), "there is no material 'petgg'"),
    ],
)
def test_a_slip_in_a_machine_is_refused_at_its_line(text: str, message: str) -> None:
    with pytest.raises(DesignError) as caught:
        parse(text, "demo.toml")
    assert message in str(caught.value)
    assert str(caught.value).startswith("demo.toml:")


def test_a_personal_machine_fills_in_what_the_design_leaves_open(tmp_path: Path) -> None:
    own = tmp_path / "machines.toml"
    own.write_text(
        '[printer.desk]\nwidth = "220 mm"\ndepth = "220 mm"\nheight = "250 mm"\noutside = "0.05 mm"\n'
        '[printer.other]\nwidth = "1 mm"\ndepth = "1 mm"\nheight = "1 mm"\n',
        encoding="utf-8",
    )
    personal = load_machines(own)
    design = parse(demo('printer = "desk"\n'), personal=personal)
    assert set(design.printers) == {"bench", "desk"}, "machines that the design does not name take no part"
    assert design.made_on["nose"].name == "desk"
    plain = load(MARRAM)
    assert load(MARRAM, personal).fingerprint == plain.fingerprint


def test_files_of_another_compensation_are_of_another_state(tmp_path: Path) -> None:
    make_design(parse(demo('printer = "bench"\n')), tmp_path, ("coupler",), ("stl", "step"))
    finer = demo('printer = "bench"\n', **{'outside = "0.10 mm"': 'outside = "0.12 mm"'})
    outcome = make_design(parse(finer), tmp_path, ("nose",), ("stl",))
    assert "marram-coupler-for-bench.stl" in outcome.removed
    assert (tmp_path / "marram-coupler.step").exists(), "nominal, and as it would be made now"
