"""What is engraved lies on the piece whatever is cut into it, and says as much as there is room for."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ezdxf
import pytest

from ferrule.app.engrave import engraved
from ferrule.app.make import Job, make_part
from ferrule.parts.kinds import CenteringRing, Fin

NOTCHED: list[dict[str, Any]] = [
    {"outside": "54 mm", "inside": "24 mm", "count": "3", "width": "4 mm", "depth": "5 mm", "notch_from": "rim"},
    {"outside": "65.7 mm", "inside": "31.2 mm", "count": "4", "width": "4 mm", "depth": "8 mm", "notch_from": "rim"},
    {"outside": "98 mm", "inside": "54.5 mm", "count": "3", "width": "5 mm", "depth": "10 mm", "notch_from": "rim"},
    {"outside": "150 mm", "inside": "78 mm", "count": "6", "width": "4 mm", "depth": "12 mm", "notch_from": "rim"},
    {"outside": "150 mm", "inside": "78 mm", "count": "4", "width": "4 mm", "depth": "12 mm", "notch_from": "bore"},
]


def ring(outside: str, inside: str, count: str, width: str, depth: str, notch_from: str) -> CenteringRing:
    return CenteringRing.build(
        outside_diameter=outside,
        inside_diameter=inside,
        thickness="6 mm",
        notch_count=count,
        notch_width=width,
        notch_depth=depth,
        notch_from=notch_from,
        material="birch-plywood",
    )


@pytest.mark.parametrize("name", ["ring", "aft ring", "a rather long name for a ring"])
@pytest.mark.parametrize("notched", NOTCHED, ids=range(len(NOTCHED)))
def test_a_notched_ring_is_engraved_beside_its_notches(notched: dict[str, Any], name: str, tmp_path: Path) -> None:
    """The writers refuse a letter that is not wholly on the material."""
    job = Job(ring(**notched), name, "demo", revision="A")
    made = make_part(job, tmp_path, ("dxf", "svg"), (), str)
    assert len(made) == 2
    document = ezdxf.readfile(tmp_path / made[0].file)
    assert [one for one in document.modelspace() if one.dxf.layer == "ENGRAVE"]


@pytest.mark.parametrize("name", ["fin", "Flosse mit Größe", "名"])
def test_a_fin_is_engraved_clear_of_its_own_words(name: str) -> None:
    job = Job(Fin.build(**Fin.example), name, "demo", revision="A")
    (piece,) = job.part.cut_pieces()
    assert engraved(job, piece)


def test_a_piece_without_room_stays_blank() -> None:
    job = Job(CenteringRing.build(outside_diameter="20 mm", inside_diameter="15 mm", thickness="3 mm"), "ring")
    (piece,) = job.part.cut_pieces()
    assert engraved(job, piece) == ()
