"""The sheet beside the files of a printed part: everything of the notes in words, and nothing that they do not say."""

from __future__ import annotations

import math
import re

import pytest

from ferrule.analysis.overhangs import Overhang, Overhangs, SideHole
from ferrule.analysis.print_notes import PrintedMass, PrintNotes, Room, WallLines
from ferrule.app.cautions import CAUTIONS
from ferrule.app.print_sheet import JOINING, NOSE, Head, print_sheet
from ferrule.parts.errors import PartError

HEAD = Head("Demo: nose", "1a2b-3c4d-5e6f", revision="B", date="2026-11-01", note="Invented.")
STEEP = math.radians(62.0)


def piece(name: str = "1 of 2", **changed: object) -> PrintNotes:
    values: dict[str, object] = {
        "name": name,
        "height": 160.0,
        "width": 68.3,
        "depth": 68.3,
        "is_round": True,
        "volume": 40_000.0,
        "material": "petg",
        "mass": PrintedMass(50.8, 48.5, 53.1, 50.8, 0.0, "volume x density"),
        "walls": (
            WallLines("body", 1.6, 0.4, 4.0, "nozzle of tall"),
            WallLines("shoulder", 2.5, 0.4, 6.25, "nozzle of tall"),
        ),
        "overhangs": Overhangs((), (), math.pi / 4.0, "exact section"),
        "room": Room("tall", 181.7, 141.7, 180.0),
        "refused": None,
        "tip": "",
        "cautions": ("PETG softens near 77 °C",),
    }
    return PrintNotes(**{**values, **changed})  # type: ignore[arg-type]


def hanging(*stretches: Overhang, holes: tuple[SideHole, ...] = ()) -> PrintNotes:
    return piece(overhangs=Overhangs(stretches, holes, math.pi / 4.0, "exact section"))


def cells(text: str, title: str) -> dict[str, str]:
    """Second column by first of the table under a heading."""
    table = text.partition(f"## {title}")[2].partition("\n## ")[0]
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in table.splitlines() if line[:1] == "|"]
    return {row[0]: row[1] for row in rows[2:]}


def test_the_head_names_the_part_and_its_state() -> None:
    text = print_sheet(HEAD, [piece()], orientation=NOSE, files=["demo-nose.3mf"])
    assert text.startswith("# Demo: nose, print notes\n")
    assert "Fingerprint 1a2b-3c4d-5e6f, revision B, date 2026-11-01. 1 piece of petg." in text
    assert "Files: `demo-nose.3mf`" in text
    assert "\nInvented.\n" in text
    assert "tip up, shoulder on the bed. The seam to the rail side" in text
    assert "CHECK FAILED" not in text
    assert "REFUSED" not in text
    assert text.endswith("\n")


def test_what_is_not_stated_is_left_out_or_said() -> None:
    bare = piece(material=None, mass=None, room=None, cautions=("material not stated",))
    text = print_sheet(Head("nose", "1a2b"), [bare])
    assert "Fingerprint 1a2b. 1 piece of material not stated." in text
    assert cells(text, "Mass")["1 of 2"] == "not stated"
    assert cells(text, "Piece 1 of 2")["Printer"] == "not stated"
    assert "None" not in text


def test_a_failed_check_and_a_refusal_stand_on_top() -> None:
    refused = [
        piece(refused="pla softens near 59 °C beside M"),
        piece("2 of 2", refused="pla softens near 59 °C beside M"),
    ]
    text = print_sheet(Head("can", "1a2b", failed=("can: material beside M",)), refused)
    lines = [line for line in text.splitlines() if line]
    assert lines[1] == "**CHECK FAILED: can: material beside M**"
    assert lines[2].startswith("**REFUSED: pla softens near 59 °C beside M.")
    assert text.count("REFUSED") == 1


def test_every_caution_of_the_house_is_there_and_the_material_comes_first() -> None:
    text = print_sheet(HEAD, [piece(), piece("2 of 2")])
    cautions = text.partition("## Cautions\n\n")[2].strip().splitlines()
    assert cautions == ["- PETG softens near 77 °C.", *(f"- {caution}" for caution in CAUTIONS)]


def test_the_estimate_is_an_estimate_with_its_band() -> None:
    text = print_sheet(HEAD, [piece(), piece("2 of 2")])
    assert "| Piece    | Estimate | Between |" in text
    found = cells(text, "Mass")
    assert found == {"1 of 2": "50.8 g", "2 of 2": "50.8 g", "together": "101.6 g"}
    assert "| 97.0 and 106.2 g |" in text
    assert text.count("- Estimate: volume x density.") == 1
    assert "Not weighed." in text


@pytest.mark.parametrize(
    ("weighed", "said"),
    [
        (104.0, "Weighed +2.4 % against the estimate, within its band."),
        (120.0, "Weighed +18.1 % against the estimate, outside its band"),
    ],
)
def test_the_weighed_mass_counts_and_the_estimate_stays(weighed: float, said: str) -> None:
    text = print_sheet(HEAD, [piece(), piece("2 of 2")], weighed=weighed)
    assert cells(text, "Mass")["**weighed**"] == f"**{weighed:.1f} g**"
    assert cells(text, "Mass")["together"] == "101.6 g"
    assert "on the scale: this one counts" in text
    assert said in text
    assert "Not weighed" not in text


def test_a_weighed_part_of_no_known_material_is_compared_with_nothing() -> None:
    text = print_sheet(HEAD, [piece(mass=None)], weighed=50.0)
    assert "against the estimate" not in text
    assert "**50.0 g**" in text


def test_a_piece_in_figures() -> None:
    found = cells(print_sheet(HEAD, [piece()]), "Piece 1 of 2")
    assert found["Size on the bed"] == "68.3 mm (2.689 in) diameter, 160.0 mm (6.299 in) high"
    assert found["Volume"] == "40.0 cm3"
    assert found["Printer tall"] == "it fits; left are 181.7 mm of width, 141.7 mm of depth, 180.0 mm of height"
    assert found["Wall: body"] == "1.60 mm: 4 lines of 0.4 mm (nozzle of tall)"
    assert found["Wall: shoulder"] == (
        "2.50 mm: between 6 and 7 lines of 0.4 mm (nozzle of tall), which are 2.40 mm and 2.80 mm"
    )


def test_inches_come_first_where_the_design_says_so() -> None:
    found = cells(print_sheet(HEAD, [piece()], units="in"), "Piece 1 of 2")
    assert found["Size on the bed"] == "2.689 in (68.3 mm) diameter, 6.299 in (160.0 mm) high"


def test_a_flat_piece_and_a_thin_wall() -> None:
    flat = piece(is_round=False, width=120.0, depth=76.4, walls=(WallLines("web", 0.3, 0.4, 0.75, "as stated"),))
    found = cells(print_sheet(HEAD, [flat]), "Piece 1 of 2")
    assert found["Size on the bed"].startswith("120.0 mm wide x 76.4 mm deep, 160.0 mm")
    assert found["Wall: web"] == "0.30 mm: less than one line of 0.4 mm (as stated)"


def test_a_piece_that_does_not_fit_says_by_how_much() -> None:
    tall = piece(room=Room("low", 100.0, -3.5, -18.0))
    found = cells(print_sheet(HEAD, [tall]), "Piece 1 of 2")["Printer low"]
    assert found.startswith("**IT DOES NOT FIT: 3.5 mm of depth, 18.0 mm of height too little**")


def test_a_solid_piece_tells_shell_and_infill() -> None:
    solid = piece(mass=PrintedMass(30.0, 28.0, 32.0, 22.0, 8.0, "shell and core"))
    assert cells(print_sheet(HEAD, [solid]), "Piece 1 of 2")["Shell, infill"] == "22.0 g full, 8.0 g filled in part"
    assert "Shell, infill" not in print_sheet(HEAD, [piece()])


@pytest.mark.parametrize(
    ("stretch", "said"),
    [
        (
            Overhang("outside", "ledge", 68.0, 68.0, math.pi / 2.0, 1.5),
            "- Outside, at 68.0 mm: flat ledge 1.5 mm wide; support it, or expect its first lines to sag.",
        ),
        (
            Overhang("inside", "ledge", 68.0, 68.0, math.pi / 2.0, 0.8, 3),
            "- Inside, at 68.0 mm, 3 times: flat ledge 0.8 mm wide; usually holds without support.",
        ),
        (
            Overhang("inside", "roof", 140.0, 142.5, STEEP, 7.0),
            "- Inside, 140.0 to 142.5 mm: roof 7.0 mm across, up to 62 degrees from the vertical; usually closes "
            "without support.",
        ),
        (
            Overhang("inside", "roof", 90.0, 90.0, math.pi / 2.0, 50.0),
            "- Inside, at 90.0 mm: roof 50.0 mm across, up to 90 degrees from the vertical; support it.",
        ),
        (
            Overhang("outside", "leaning", 10.0, 30.0, STEEP, 37.6),
            "- Outside, 10.0 to 30.0 mm: leans out up to 62 degrees from the vertical, over 37.6 mm; support it.",
        ),
        (
            Overhang("outside", "leaning", 10.0, 10.4, STEEP, 0.75),
            "- Outside, 10.0 to 10.4 mm: leans out up to 62 degrees from the vertical, over 0.8 mm; usually holds "
            "without support.",
        ),
    ],
)
def test_an_overhang_in_words(stretch: Overhang, said: str) -> None:
    text = print_sheet(HEAD, [hanging(stretch)])
    assert said in text.splitlines()
    assert "Nothing leans out" not in text
    assert "Support (common practice): needed where a wall leans out beyond 45 degrees" in text


def test_holes_in_words() -> None:
    text = print_sheet(HEAD, [hanging(holes=(SideHole(3.4, 34.0, 3), SideHole(12.0, 50.0, 1)))])
    assert "- Nothing leans out beyond 45 degrees from the vertical." in text
    assert "- Sideways, 3 holes of 3.4 mm with the middle at 34.0 mm: usually no support." in text
    assert "- Sideways, 1 hole of 12.0 mm with the middle at 50.0 mm: support the top." in text


def test_sections_are_joined_in_order() -> None:
    text = print_sheet(HEAD, [piece(), piece("2 of 2")])
    steps = re.findall(r"^\d\. (.*)$", text, re.MULTILINE)
    assert steps == list(JOINING)
    assert "## Joining" not in print_sheet(HEAD, [piece()])
    own = print_sheet(HEAD, [piece()], joining=["Glue the ring in.", "Let it cure."])
    assert "## Joining\n\n1. Glue the ring in.\n2. Let it cure.\n" in own
    assert "## Joining" not in print_sheet(HEAD, [piece(), piece("2 of 2")], joining=())


def test_a_tip_and_several_of_one_part() -> None:
    text = print_sheet(HEAD, [piece(tip="sharp: it breaks")], quantity=3)
    assert "\nTip, sharp: it breaks.\n" in text
    assert "1 piece of petg, 3 of each." in text
    assert "## Mass, one of them" in text


def test_columns_stand_under_each_other() -> None:
    """All but the last column of each table are as wide in every line."""
    text = print_sheet(HEAD, [piece(), piece("2 of 2")], weighed=104.0)
    for table in re.findall(r"(?:^\|.*\n)+", text, re.MULTILINE):
        assert len({tuple(len(cell) for cell in line.split("|")[:-2]) for line in table.splitlines()}) == 1


def test_a_sheet_is_of_something() -> None:
    with pytest.raises(PartError, match="no piece to print"):
        print_sheet(HEAD, [])
