"""Makes the files of the whole rocket: STEP and GLB with the nose up, and the side view."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from ..analysis.loading import BURNOUT, LIFTOFF, PREDICTED, Loading
from ..analysis.rocket import Item
from ..parts.fingerprint import fingerprint, short
from ..parts.poses import STANDING
from ..parts.readers.integrals import moments
from ..parts.shape import Placement, moved
from .cautions import SHORT_CAUTION
from .design import Design
from .job import Proof, Say
from .lengths import Lengths
from .manifest import Made, Origin, listed
from .names import slug
from .side_view import HEIGHT, WIDTH, Balance, SideView

KINDS = ("step", "glb", "side view")
"""Kinds of files of the whole rocket."""

_CAUTION = f"Predicted: CG not measured. {SHORT_CAUTION}"
_BALANCED = f"CG by the balance test of the rocket. {SHORT_CAUTION}"


def make_whole(
    design: Design,
    figures: Mapping[str, Any],
    folder: Path,
    formats: tuple[str, ...],
    failed: tuple[str, ...],
    say: Say,
) -> list[Made]:
    """Write the files of the whole rocket.

    Args:
        design: the design.
        figures: its summary.
        folder: where to.
        formats: which formats; the side view comes with `svg`.
        failed: names of failed checks, stamped on the side view.
        say: told about each file.

    Raises:
        FerruleError: a file could not be made.
    """
    placed = [item for item in design.rocket.items if item.part is not None]
    made: list[Made] = []
    for kind, write in (("step", _step), ("glb", _glb)):
        if kind in formats and placed:
            path, proof = write(design, placed, folder)
            made.append(listed(path, kind, origin_of(design, failed), proof))
            say(f"whole rocket: {path.name}")
    if "svg" in formats and placed:
        path, proof = _side_view(design, figures, folder, failed)
        made.append(listed(path, "side view", origin_of(design, failed), proof))
        say(f"side view: {path.name}")
    return made


def origin_of(design: Design, failed: tuple[str, ...]) -> Origin:
    """What a file of the whole design shows."""
    found = design.fingerprint
    return Origin(design.name, None, short(found), short(fingerprint([found, failed])))


def _step(design: Design, placed: list[Item], folder: Path) -> tuple[Path, Proof]:
    from ..parts.writers.step_assembly import AssemblyPart, write_step_assembly  # noqa: PLC0415  loads the kernel

    path = folder / f"{slug(design.name)}.step"
    up = STANDING.at(_aft_end(design))
    parts = [
        AssemblyPart(
            item.name,
            item.part.shape(),
            tuple(up.after(placement) for placement in item.placements()),
            short(item.part.fingerprint()),
        )
        for item in placed
        if item.part
    ]
    # A part of the design's own name would be taken for the whole.
    name = design.name if all(item.name != design.name for item in placed) else f"{design.name}, whole rocket"
    proof = write_step_assembly(path, name, parts, description=f"{design.name} {short(design.fingerprint)}")
    return path, {"products": proof.products, "solids": proof.solids, **_against(proof.volume, placed)}


def _glb(design: Design, placed: list[Item], folder: Path) -> tuple[Path, Proof]:
    from ..parts.readers.mesh import mesh  # noqa: PLC0415  loads manifold3d only when a mesh is wanted
    from ..parts.writers.glb import Node, write_glb  # noqa: PLC0415

    path = folder / f"{slug(design.name)}.glb"
    stand = moved(-_aft_end(design))  # aft end on the ground, as in the STEP file
    nodes = [node for item in placed for node in _nodes(item, stand, Node, mesh)]
    proof = write_glb(path, nodes, design.name)
    return path, {"nodes": proof.nodes, "triangles": proof.triangles, "unit": "m", **_against(proof.volume, placed)}


def _nodes(item: Item, stand: Placement, node: Any, mesh: Any) -> Iterator[Any]:  # noqa: ANN401  both are loaded late
    if item.part is None:
        return
    found = mesh(item.part.shape())
    placements = item.placements()
    for index, placement in enumerate(placements):
        name = item.name if len(placements) == 1 else f"{item.name} {index + 1}"
        yield node(name, found, stand.after(placement), item.part.material, short(item.part.fingerprint()))


def _against(volume: float, placed: list[Item]) -> Proof:
    exact = sum(moments(item.part.shape()).volume * len(item.placements()) for item in placed if item.part)
    return {"volume_mm3": volume, "volume_against_integral": volume / exact - 1.0}


def _aft_end(design: Design) -> float:
    return max(item.skin_extent()[1] for item in design.rocket.items if item.part is not None)


def _side_view(design: Design, figures: Mapping[str, Any], folder: Path, failed: tuple[str, ...]) -> tuple[Path, Proof]:
    from ..parts.writers.svg import write_drawing_svg  # noqa: PLC0415

    path, view = folder / f"{slug(design.name)}-side-view.svg", side_view(design, figures, failed)
    write_drawing_svg(path, view.items(), WIDTH, HEIGHT, f"{design.name}: side view, scale 1:{view.scale()}")
    return path, {"scale": f"1:{view.scale()}", "cp_mm": view.cp}


def side_view(design: Design, figures: Mapping[str, Any], failed: tuple[str, ...]) -> SideView:
    """The side view of a design: balanced as it lifts off, or without a motor where none is stated."""
    lengths = Lengths(design.settings.units)
    body = figures["body"]
    about = [f"fingerprint {figures['fingerprint']}"]
    about += [f"{word} {figures[word]}" for word in ("revision", "date") if figures[word]]
    lines = [
        ", ".join(about),
        f"length {lengths.both(body['length_mm'], 0)}, largest diameter {lengths.both(body['reference_diameter_mm'])}; "
        "stations count from the nose tip",
        _CAUTION if any(one.basis == PREDICTED for one in _drawn(design)) else _BALANCED,
        *(("Fins are drawn as they are seen from this side, foreshortened.",) if design.rocket.fin_sets else ()),
        *((design.head.note,) if design.head.note else ()),
    ]
    cp = body["cp_mm"]
    if cp is not None and not 0.0 <= cp <= body["length_mm"]:
        # Small slopes that cancel put it anywhere, as with a nose that stands inside its tube.
        lines.insert(2, f"Centre of pressure {lengths.both(cp)}: not on the rocket, and not drawn.")
        cp = None
    return SideView(
        design.rocket,
        design.motors,
        tuple(_balances(design)),
        cp,
        design.name,
        tuple(lines),
        tuple(f"CHECK FAILED: {name}" for name in failed),
        design.settings.units,
    )


def _drawn(design: Design) -> list[Loading]:
    """The states whose balance is drawn: those with the first motor, or without one where none is stated."""
    flown = [one for one in design.loadings if one.motor is not None]
    first = flown[0].motor if flown else None
    return [one for one in design.loadings if one.motor == first]


def _balances(design: Design) -> Iterator[Balance]:
    for loading in _drawn(design):
        if loading.mass is None:
            continue
        if loading.name == LIFTOFF:
            yield Balance(loading.mass.cg[0], f"at liftoff with {loading.motor}")
        elif loading.name == BURNOUT:
            yield Balance(loading.mass.cg[0], "at burnout")
        else:
            yield Balance(loading.mass.cg[0], "without a motor")
