"""Design files: what loads, what follows from the tubes, what is refused and where, and what the fingerprint sees."""

from __future__ import annotations

from pathlib import Path

import pytest

from ferrule.app.design_file import Design, load, parse
from ferrule.app.names import slug
from ferrule.app.summary import summary
from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import CenteringRing, Fin, NoseCone

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"
NOSE_ONLY = ROOT / "examples" / "nose-only" / "nose.toml"

HEAD = 'format = 1\nname = "Demo"\n'
TUBE = """[[tube]]
name = "tube"
outside_mm = [68.42, 68.38]
inside_mm = [65.92, 65.88]
length = "280 mm"
station = "250 mm"
material = "kraft-tube"
"""
NOSE = """[[part]]
name = "nose"
kind = "nose-cone"
fits = "tube"
profile = "cone"
length = "250 mm"
shoulder_length = "66 mm"
material = "pla"
"""
PIN = """[[mass]]
name = "pin"
mass = "12 g"
station = "300 mm"
"""
DEMO = HEAD + TUBE + NOSE + PIN


def refused(text: str) -> list[str]:
    with pytest.raises(DesignError) as caught:
        parse(text, "demo.toml")
    assert all(problem.file == "demo.toml" for problem in caught.value.problems)
    return str(caught.value).split("\n")


def part(design: Design, name: str) -> NoseCone | CenteringRing | Fin:
    found = next(item.part for item in design.rocket.items if item.name == name)
    assert isinstance(found, (NoseCone, CenteringRing, Fin))
    return found


def nose(text: str) -> NoseCone:
    found = part(parse(text), "nose")
    assert isinstance(found, NoseCone)
    return found


# --- what loads -------------------------------------------------------------------------------------------------------


def test_the_large_example_loads_with_all_its_items_from_forward_to_aft() -> None:
    design = load(MARRAM)
    names = [item.name for item in design.rocket.items]
    assert names[:2] == ["nose", "payload tube"]
    # Tubes, parts, anchors, harness and parachute, payload, hardware, and what is allowed for glue and paint.
    assert len(names) == 3 + 7 + 2 + 2 + 2 + 4 + 2
    stations = [item.stations[0] + (item.part.extent()[0] if item.part else 0.0) for item in design.rocket.items]
    assert stations == sorted(stations)
    assert {item.name: item.quantity for item in design.rocket.items if item.quantity > 1} == {
        **{"fin ring": 2, "fin": 4, "rail button": 2, "button screws and blocks": 2},
        **{"nose screws and inserts": 3, "coupler screws and inserts": 3},
    }
    assert all(check.status != "fail" for check in design.checks)


def test_the_sizes_of_the_large_example_follow_from_the_readings_with_their_sums() -> None:
    """By hand: means and extremes of the readings in the file, less the clearances of the table (common practice)."""
    design = load(MARRAM)
    cone, ring, fin = part(design, "nose"), part(design, "fin ring"), part(design, "fin")
    assert isinstance(cone, NoseCone)
    assert isinstance(ring, CenteringRing)
    assert isinstance(fin, Fin)
    assert cone.base_diameter == pytest.approx(68.40 - 0.1, abs=1e-6)
    assert cone.shoulder_diameter == pytest.approx(65.86 - 0.5, abs=1e-6)
    assert ring.outside_diameter == pytest.approx(65.87 - 0.2, abs=1e-6)
    assert ring.inside_diameter == pytest.approx(31.02 + 0.2, abs=1e-6)
    assert fin.tab_depth == pytest.approx((68.40 - 31.02) / 2.0 - 0.3, abs=1e-6)
    assert "smallest inside of the payload tube 65.86 - 0.50" in design.derived["nose"]["shoulder_diameter"].sum


def test_the_small_example_loads_and_its_stated_mass_is_used() -> None:
    design = load(NOSE_ONLY)
    items = {item["name"]: item for item in summary(design)["items"]}
    assert items["tube"]["mass_g"] == 96.0
    assert items["tube"]["mass_basis"] == "weighed"
    assert items["nose"]["mass_basis"] == "estimated"


@pytest.mark.parametrize(
    "readings",
    [
        "outside = ['68.42 mm', '68.38 mm']",
        "outside_mm = ['68.42 mm', '68.38 mm']",
        "outside_mm = [68.42, '6.838 cm']",
        "outside_in = [2.6937007874015748, '68.38 mm']",
    ],
)
def test_readings_carry_their_unit_once_or_each_their_own(readings: str) -> None:
    design = parse(DEMO.replace("outside_mm = [68.42, 68.38]", readings))
    fits = design.fits["nose"].fits
    assert fits is not None
    assert fits.outside == pytest.approx((68.42, 68.38), abs=1e-12)


def test_a_stated_size_wins_over_the_one_that_follows() -> None:
    design = parse(DEMO.replace('material = "pla"', 'base_diameter = "67.5 mm"'))
    assert nose(DEMO.replace('material = "pla"', 'base_diameter = "67.5 mm"')).base_diameter == 67.5
    assert set(design.derived["nose"]) == {"shoulder_diameter"}


def test_inches_and_millimetres_mix() -> None:
    assert nose(DEMO.replace('"250 mm"\nshoulder', '"10 in"\nshoulder')).length == 254.0


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("\n", "\r\n").encode(),
        lambda text: b"\xef\xbb\xbf" + text.encode(),
        lambda text: text.replace(" = ", "\t=\t").encode(),
        lambda text: text.replace(TUBE, "").replace(NOSE, NOSE + TUBE).encode(),
        lambda text: text.replace('kind = "nose-cone"', '"kind" = "nose-cone"').encode(),
        lambda text: text.rstrip("\n").encode(),
    ],
    ids=["windows-line-ends", "byte-order-mark", "tabs", "other-order", "quoted-key", "no-last-line-end"],
)
def test_a_file_may_be_written_in_many_ways(change: object, tmp_path: Path) -> None:
    path = tmp_path / "demo.toml"
    path.write_bytes(change(DEMO))  # type: ignore[operator]
    assert load(path).fingerprint == parse(DEMO).fingerprint


def test_a_date_may_be_written_with_or_without_quotes() -> None:
    assert parse(f"{HEAD}[settings]\ndate = 2026-11-01\n{PIN}").settings.date == "2026-11-01"
    assert parse(f'{HEAD}[settings]\ndate = "1 November"\n{PIN}').settings.date == "1 November"


@pytest.mark.parametrize(
    ("text", "missing"),
    [
        (HEAD + PIN.replace('mass = "12 g"\n', ""), "pin: mass"),
        (HEAD + TUBE.replace('material = "kraft-tube"\n', ""), "tube: mass"),
        (HEAD + TUBE, "static margin"),
        (DEMO, "centre of gravity measured"),
    ],
)
def test_a_half_written_design_works_and_says_what_is_not_stated(text: str, missing: str) -> None:
    design = parse(text)
    found = {check.name: check for check in design.checks}
    assert found[missing].status == "not-stated"
    assert found[missing].value is None
    margins = [one["margin_cal"] for one in summary(design)["loadings"]]
    assert all(margin is None for margin in margins) or missing in ("static margin", "centre of gravity measured")


# --- what is refused --------------------------------------------------------------------------------------------------


def with_nose(line: str, other: str) -> str:
    assert line in DEMO
    return DEMO.replace(line, other)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (with_nose("fits", "ffits"), "13:1: part[1].ffits: there is no such field; did you mean 'fits'?"),
        (with_nose('"tube"\nprofile', '"tub"\nprofile'), "13:1: part[1].fits: there is no tube 'tub'; did you mean"),
        (with_nose('"nose-cone"', '"Nose Cone"'), "12:1: part[1].kind: there is no kind 'Nose Cone'; did you mean"),
        (with_nose('"250 mm"\nshoulder', '"250"\nshoulder'), "15:1: part[1].length: '250' has a number without a unit"),
        (with_nose('"250 mm"\nshoulder', "250\nshoulder"), '15:1: part[1].length: 250 has no unit; write "250 mm"'),
        (with_nose('"66 mm"', '"3 oz"'), "16:1: part[1].shoulder_length: '3 oz' is a mass, expected a length"),
        (with_nose('"66 mm"', "nan"), "16:1: part[1].shoulder_length: nan is not a finite number"),
        (with_nose('"66 mm"', "1e400"), "16:1: part[1].shoulder_length: inf is not a finite number"),
        (with_nose('"66 mm"', '"-6 mm"'), "16:1: part[1].shoulder_length: must be at least 0 mm, got -6 mm"),
        (with_nose('"pla"', '"plaa"'), "17:1: part[1].material: there is no material 'plaa'"),
        (with_nose('"pla"', "3"), "17:1: part[1].material: 3 is not a text"),
        (with_nose('material = "pla"', 'wall.x = "3 mm"'), "part[1].wall: a value of type dict is not a length"),
        (with_nose('material = "pla"', 'wall = "40 mm"'), "17:1: part[1].wall: 40 mm is not less than the radius"),
        (with_nose('material = "pla"', "count = 3"), "17:1: part[1].count: counts the fins of a set"),
        (with_nose('material = "pla"', 'station = "1 mm"\nstations = ["2 mm"]'), "stations: give either station or"),
        (with_nose('material = "pla"', 'stations = ["-2 mm"]'), "17:1: part[1].stations[1]: must be at least 0 mm"),
        (with_nose('material = "pla"', 'stations = "2 mm"'), "17:1: part[1].stations: '2 mm' is not a list"),
        (with_nose("[68.42, 68.38]", "68.42"), "5:1: tube[1].outside_mm: 68.42 is not a list"),
        (with_nose("[68.42, 68.38]", "[]"), "5:1: tube[1].outside_mm: at least one reading is needed"),
        (with_nose("[68.42, 68.38]", '[68.42, "68.38"]'), "5:1: tube[1].outside_mm[2]: '68.38' has a number without"),
        (with_nose("[68.42, 68.38]", "[68.42, true]"), "5:1: tube[1].outside_mm[2]: True is not a length"),
        (with_nose("[68.42, 68.38]", "[68.42, -68.38]"), "5:1: tube[1].outside_mm[2]: must be above 0 mm"),
        (with_nose("[68.42, 68.38]", "[684.2, 68.38]"), "5:1: tube[1].outside_mm[1]: must be at most 500 mm"),
        (
            with_nose("[65.92, 65.88]", "[65.92, 68.40]"),
            "6:1: tube[1].inside_mm: a reading of 68.4 mm is not below the",
        ),
        (
            with_nose('length = "280 mm"', 'outside = ["70 mm"]\nlength = "280 mm"'),
            "outside_mm: there is no such field",
        ),
        (with_nose("[[part]]", "[part]"), "10:1: part: write each part as a table of its own, headed [[part]]"),
        (with_nose("[[part]]", "[[parts]]").replace(PIN, ""), "10:1: parts: there is no such field"),
        (with_nose('"pin"', '"tube"'), "19:1: mass[1].name: 'tube' and 'tube' would have the same file name"),
        (with_nose('"pin"', '"Tube"'), "19:1: mass[1].name: 'Tube' and 'tube' would have the same file name"),
        (with_nose('"pin"', '"../tube"'), "19:1: mass[1].name: '../tube' and 'tube' would have the same file name"),
        (with_nose('"pin"', '"火"'), "19:1: mass[1].name: '火' holds no letter or digit to name files by"),
        (with_nose('"pin"', '""'), "19:1: mass[1].name: must not be empty"),
        (with_nose('"pin"', f'"{"p" * 81}"'), "19:1: mass[1].name: takes at most 80 letters, got 81"),
        (with_nose('"pin"', '"p\\nin"'), "19:1: mass[1].name: 'p\\nin' holds a character that cannot be printed"),
        (with_nose('"pin"', '"p\\u0000"'), "19:1: mass[1].name: 'p\\x00' holds a character that cannot be printed"),
        (with_nose('"Demo"', '"火"'), "2:1: name: '火' holds no letter or digit to name files by"),
        (with_nose("format = 1", "format = 2"), "1:1: format: must be at most 1, got 2"),
        (with_nose("format = 1", 'format = "one"'), "1:1: format: 'one' is not a whole number"),
        (with_nose("format = 1", "format = 0x" + "f" * 5000), "is not a design: a whole number beyond 64 bits"),
        (with_nose("format = 1", "format = " + "9" * 5000), "is not a design: a whole number beyond 64 bits"),
        (with_nose("format = 1", "format = " + "[" * 150 + "]" * 150), "nested more than 20 deep"),
        (with_nose("format = 1", "format = " + "[" * 5000 + "]" * 5000), "nested more than 20 deep"),
        (with_nose("format = 1", "a." * 3000 + "b = 1"), "nested more than 20 deep"),
        (HEAD, "1:1: the design holds no tube, part or mass"),
        ('format = 1\nname = "x"\ntube = "t"\n', "3:1: tube: write each tube as a table of its own"),
        ('format = 1\nname = "x"\ntube.name = "t"\n', "tube: write each tube as a table of its own"),
        ("format = 1\nname = [", "demo.toml:2: is not TOML: invalid value"),
        (NOSE + HEAD, "demo.toml:10:14: is not TOML: cannot overwrite a value"),
    ],
)
def test_a_fault_gives_one_line_with_its_place(text: str, message: str) -> None:
    lines = refused(text)
    if "ffits" in text:
        # What would have followed from the tube is not stated either.
        assert any("part[1].base_diameter: is needed and not stated" in line for line in lines)
        lines = [line for line in lines if "base_diameter" not in line and "shoulder_diameter" not in line]
    (line,) = lines
    assert line.startswith("demo.toml:")
    assert message in line


def test_a_tube_that_is_refused_does_not_drag_its_parts_along() -> None:
    (line,) = refused(DEMO.replace('length = "280 mm"', 'length = "280 kg"'))
    assert "tube[1].length: '280 kg' is a mass" in line


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("count = 4", 'count = "four"', "part[6].count: 'four' is not a whole number"),
        ('kind = "fin"\nfits = "booster tube"', 'kind = "fin"\nfits = "booster tub"', "did you mean 'booster tube'?"),
    ],
)
def test_a_slip_beside_a_tab_is_one_fault(old: str, new: str, message: str) -> None:
    """The depth of the tab would follow from the tubes, and is not called missing."""
    text = MARRAM.read_text(encoding="utf-8").replace('thrust = "demo-29.csv"', "")
    assert old in text
    (line,) = refused(text.replace(old, new))
    assert message in line


def test_fins_need_the_tube_that_they_stand_on_and_parts_need_a_place() -> None:
    fin = (
        '[[part]]\nname = "fin"\nkind = "fin"\nroot_chord = "9 mm"\ntip_chord = "9 mm"\nsemi_span = "9 mm"\n'
        'sweep_length = "0 mm"\nthickness = "1 mm"\n'
    )
    lines = refused(HEAD + fin)
    assert len(lines) == 1
    assert "part[1].station: is needed and not stated" in lines[0]
    (line,) = refused(f'{HEAD}{fin}station = "3 mm"\n')
    assert "part[1].fits: is needed and not stated (the tube that the fin stands on)" in line


def test_every_fault_is_said_at_once_in_the_order_of_the_file() -> None:
    text = DEMO.replace('name = "Demo"', "name = 3").replace('length = "280 mm"', 'length = "280"')
    text = text.replace('station = "250 mm"', 'station = "-2 mm"').replace('"kraft-tube"', '"paper"')
    text = text.replace('kind = "nose-cone"', 'kind = "nose-cone"\nmass = "3 mm"')
    text = text.replace('profile = "cone"', 'profile = "con"').replace('"66 mm"', '"0 kg"').replace('"12 g"', '"x"')
    lines = refused(text)
    fields = [line.split(": ")[1] for line in lines]
    assert fields == [
        "name",
        "tube[1].length",
        "tube[1].station",
        "tube[1].material",
        "part[1].mass",
        "part[1].profile",
        "part[1].shoulder_length",
        "mass[1].mass",
    ]
    numbers = [int(line.split(":")[1]) for line in lines]
    assert [text.split("\n")[number - 1].split(" ")[0] for number in numbers] == [
        field.rsplit(".", 1)[-1] for field in fields
    ]


def test_lines_are_counted_the_same_with_windows_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "demo.toml"
    path.write_bytes(DEMO.replace('"66 mm"', '"0 kg"').replace("\n", "\r\n").encode())
    with pytest.raises(DesignError, match=r"^demo\.toml:16:1: part\[1\]\.shoulder_length: '0 kg' is a mass"):
        load(path)
    with pytest.raises(DesignError, match=r"^demo\.toml:16:1: part\[1\]\.shoulder_length: '0 kg' is a mass"):
        parse(path.read_bytes().decode(), "demo.toml")


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b'name = "\xff"', r"demo\.toml:1: byte 9 is not UTF-8 text; save the design file as UTF-8"),
        (DEMO.encode("utf-16"), "is not UTF-8 text"),
        (b"\x00", "is not TOML"),
        (b"", "format: is needed and not stated"),
    ],
)
def test_a_file_that_is_no_text_of_ours_is_refused(data: bytes, message: str, tmp_path: Path) -> None:
    path = tmp_path / "demo.toml"
    path.write_bytes(data)
    with pytest.raises(DesignError, match=message):
        load(path)


@pytest.mark.parametrize(
    ("name", "message"),
    [("none.toml", "no such design file"), ("", "is a folder"), ("x/../none", "cannot|no such"), ("a" * 400, "cannot")],
)
def test_a_file_that_cannot_be_read_is_named(name: str, message: str, tmp_path: Path) -> None:
    with pytest.raises(DesignError, match=message) as caught:
        load(tmp_path / name)
    assert str(tmp_path) in str(caught.value)


# --- the fingerprint --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("[[tube]]", "# a remark\n[[tube]] # and another"),
        ('fits = "tube"\nprofile = "cone"', 'profile = "cone"\nfits = "tube"'),
        ('length = "250 mm"', 'length = "0.25 m"'),
        ('"12 g"', '"0.012 kg"'),
        ("[68.42, 68.38]", "['6.842 cm', 68.38]"),
        ('"kraft-tube"', '"Kraft Tube"'),
        (PIN, ""),
    ],
)
def test_the_fingerprint_does_not_see_how_it_is_written(old: str, new: str) -> None:
    text = DEMO.replace(old, new)
    if old == PIN:
        text = HEAD + PIN + TUBE + NOSE
    assert text != DEMO
    assert parse(text).fingerprint == parse(DEMO).fingerprint


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('name = "Demo"', 'name = "Demo 2"'),
        ('name = "Demo"', 'name = "Demo"\nsettings.revision = "B"'),
        ("[68.42, 68.38]", "[68.42, 68.39]"),
        ("[65.92, 65.88]", "[65.93, 65.87]"),
        ('length = "280 mm"', 'length = "281 mm"'),
        ('station = "250 mm"', 'station = "251 mm"'),
        ('"kraft-tube"', '"kraft-tube"\nuse = "coupler"'),
        ('"kraft-tube"', '"kraft-tube"\nmass = "90 g"'),
        ('"kraft-tube"', '"kraft-tube"\ndensity = "700 kg/m3"'),
        ('profile = "cone"', 'profile = "von-karman"'),
        ('material = "pla"', 'material = "abs"'),
        ('material = "pla"', 'material = "pla"\nmass = "50 g"'),
        ('"12 g"', '"13 g"'),
        ('station = "300 mm"', 'station = "301 mm"'),
    ],
)
def test_the_fingerprint_sees_everything_that_matters(old: str, new: str) -> None:
    assert old in DEMO
    assert parse(DEMO.replace(old, new)).fingerprint != parse(DEMO).fingerprint


def test_the_fingerprint_sees_readings_that_only_a_check_uses() -> None:
    """With both sizes stated no part changes, but what the fit is held to does."""
    stated = DEMO.replace('material = "pla"', 'base_diameter = "68.3 mm"\nshoulder_diameter = "65.4 mm"')
    changed = stated.replace("[65.92, 65.88]", "[66.00, 65.80]")
    values = [[check.value for check in parse(text).checks] for text in (stated, changed)]
    assert values[0] != values[1]
    assert parse(stated).fingerprint != parse(changed).fingerprint


@pytest.mark.parametrize(
    ("name", "file_name"),
    [
        ("Fin ring", "fin-ring"),
        ("../x", "x"),
        ("C:\\temp\\x.stl", "c-temp-x-stl"),
        ("Élan Ⅳ", "elan-iv"),
        ("火", ""),
        ("a" * 80, "a" * 60),
        ("--a__b--", "a-b"),
    ],
)
def test_a_name_becomes_a_plain_file_name(name: str, file_name: str) -> None:
    assert slug(name) == file_name
