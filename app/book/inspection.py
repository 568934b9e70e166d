"""The inspection sheet: what a range safety officer asks for, what is looked at, and what nobody may overlook."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...analysis.loading import LIFTOFF
from ...parts.kinds import Tube
from ...parts.marks import Pen
from ...parts.sheets.blocks import Blanks, Block, Bullets, Drawing, Figures, Heading, NewPage, Table, Together, Words
from ...parts.sheets.sheet import Box, Text, rectangle
from ..cautions import NOT_A_CLEARANCE
from ..entries import HarnessEntry, ParachuteEntry
from ..lengths import NOT_STATED
from .about import About
from .build_record import build_record
from .check_rows import counted, status_words, worst_first
from .flown_with import COUNTS, FlownWith, balance_point, basis, flown_with, number, spoken, state_words
from .stickers import REMARK, stickers

_SIDE = 3.4
"""Side of a box to tick [mm]."""

_DELAY_WORDS = ("delay", "deployment")


def inspection(about: About) -> tuple[Block, ...]:
    """The chapter: the sheet for the table, the stickers for the hull, the build record.

    Args:
        about: the design.
    """
    motors = flown_with(about)
    return (
        Heading("Inspection sheet", 1),
        Words(NOT_A_CLEARANCE, "caution"),
        Words(f"{about.name}, fingerprint {about.fingerprint}", "large"),
        *_unmeasured(about),
        *_fails(about),
        Figures(tuple(_rocket(about)), columns=3),
        Words(_recovery(about)),
        *(block for one in motors for block in _motor(one)),
        *(() if motors else _no_motor(about)),
        *_for_the_flyer(),
        Heading("What the inspector looks at", 2),
        Words("Tick what was seen. Only what this design has is listed; the field's own list comes first."),
        *(block for title, texts in _looks(about) for block in (Heading(title, 3), Bullets(texts, "box"))),
        *_open_checks(about),
        NewPage(),
        *stickers(about),
        *build_record(about),
    )


def _unmeasured(about: About) -> Iterator[Block]:
    """Says first what is not measured: it is what an inspector asks first."""
    figures = about.figures["loadings"]
    states = [one for one in figures if one["name"] == LIFTOFF] or figures
    some = [state_words(one) for one in states if basis(one) == "PREDICTED"]
    if some:
        yield Words(f"{REMARK}. Mass and CG not measured: {', '.join(some)}.", "caution")


def _fails(about: About) -> Iterator[Block]:
    """What fails by its names, and how much more there is to be read below."""
    if about.failed:
        yield Words(f"CHECK FAILED: {'; '.join(about.failed)}", "caution")
    yield Words(
        f"Of all {len(about.figures['checks'])} checks {counted(about.figures['checks'])}; they are listed below."
    )


# --- the rocket -------------------------------------------------------------------------------------------------------


def _rocket(about: About) -> Iterator[tuple[str, str]]:
    body, lengths = about.figures["body"], about.lengths
    yield "Length", lengths.both(body["length_mm"], 0)
    yield "Largest diameter, one calibre", lengths.both(body["reference_diameter_mm"])
    yield "CP from the nose tip, computed", lengths.both(body["cp_mm"])


def _recovery(about: About) -> str:
    """Parachute, harness and the joint that opens, in one sentence."""
    sizes = [
        about.lengths.both(one.diameter, 0)
        for one in about.design.entries.get("parachute", ())
        if isinstance(one, ParachuteEntry)
    ]
    opens = "; ".join(one.words for one in about.design.recovery.joints if one.state == "releases")
    parachutes = f"parachute{'s' if len(sizes) > 1 else ''}, {', '.join(sizes)}" if sizes else "parachute not stated"
    harness = _harness(about)
    return (
        f"Recovery: {parachutes}; harness{'' if harness == NOT_STATED else ','} {harness}; "
        f"the joint that opens {'is ' if opens else ''}{opens or NOT_STATED}."
    )


def _harness(about: About) -> str:
    lengths = [
        about.lengths.both(one.length, 0)
        for one in about.design.entries.get("harness", ())
        if isinstance(one, HarnessEntry)
    ]
    return ", ".join(lengths) or NOT_STATED


# --- each motor -------------------------------------------------------------------------------------------------------


def _motor(one: FlownWith) -> Iterator[Block]:
    motor = one.motor
    impulse = number(motor["total_impulse_ns"], 0, "N s")
    named = motor["impulse_class"]
    cells = (
        (f"Mass at liftoff, {one.basis}", one.mass),
        (f"CG from the nose tip, {one.basis}", one.cg),
        ("Margin at liftoff, burnout", one.margins),
        ("Class, total impulse", NOT_STATED if named is None else f"{named}, {impulse}"),
        ("Mean thrust", number(motor["mean_thrust_n"], 0, "N")),
        ("Mean thrust over weight", one.mean_ratio),
        (", ".join(filter(None, ("Rail exit speed", one.rails))), one.exit_speeds),
        ("Apogee expected", one.apogee),
        ("Descent rate at the ground", one.descent_rate),
        ("Delay wanted, from burnout", one.delay_wanted),
        ("Delays to be had", one.delays_stated),
        ("Delay in it today", "________ s"),
    )
    band = motor["certification_band"]
    told = f"{COUNTS} " + (
        "" if band is None else f"For information: {band['name']} by its impulse ({band['source']})."
    )
    why = one.flight["not_stated"]
    yield Together(
        (
            Heading(f"With {one.name}", 2),
            *((Words(f"Flight not stated: {spoken(why)}.", "strong"),) if why else ()),
            Figures(cells, columns=3),
            Words(told.strip(), "small"),
        )
    )


def _no_motor(about: About) -> Iterator[Block]:
    state = about.figures["loadings"][0]
    cells = (
        (f"Mass without a motor, {basis(state)}", number(state["mass_g"], 0, "g")),
        (f"CG from the nose tip, {basis(state)}", balance_point(state, about.lengths)),
        ("Margin", "not stated without a motor"),
    )
    yield Heading("Motor: not stated", 2)
    yield Figures(cells, columns=3)
    yield Words("Thrust, speed at the rail's end, apogee and delay are not stated without a motor in the design file.")


# --- checks -----------------------------------------------------------------------------------------------------------


def _open_checks(about: About) -> Iterator[Block]:
    """Every check that does not pass, plainly; of all checks, not only those of the flight."""
    some = [one for one in worst_first(about.figures["checks"]) if one["status"] != "pass"]
    yield Heading("What fails, warns or is not stated", 2)
    if not some:
        yield Words("No check of this design fails, warns or is not stated. That is no clearance to fly.")
        return
    rows = tuple(
        (status_words(one), one["name"], _plainly(one["value"] or NOT_STATED, one["limit"], one["note"]))
        for one in some
    )
    yield Table(("", "Check", "Found; held to; what to do"), rows, shares=(0.14, 0.27, 0.59))
    if any(word in one["name"] for one in some for word in _DELAY_WORDS):
        yield Words(COUNTS, "strong")


def _plainly(value: str, limit: str, note: str) -> str:
    return "\n".join(filter(None, (f"{value}; {limit}", f"{note[:1].upper()}{spoken(note[1:])}" if note else "")))


# --- what only the flyer can state ------------------------------------------------------------------------------------


def _for_the_flyer() -> Iterator[Block]:
    yield Together(
        (
            Heading("For the flyer to fill in", 2),
            Blanks(
                (
                    "Flyer",
                    "Membership number",
                    "Level held",
                    "Colours of the rocket",
                    "Mass today [g]",
                    "CG today, from the nose tip",
                    "Motor today, its maker, delay",
                    "Field, date, wind",
                    "Certification team",
                    "Signature of the flyer",
                )
            ),
            Table(
                (),
                (
                    ("First flight of this rocket", _box("yes"), _box("no")),
                    ("Flight for a certification", _box("yes"), _box("no")),
                    ("Built by the flyer", _box("yes"), _box("no")),
                    ("An adult or a certified flyer is in charge", _box("yes"), _box("no")),
                ),
                shares=(0.5, 0.25, 0.25),
                whole=True,
            ),
        )
    )


def _box(word: str) -> Drawing:
    """A box to tick with a word behind it."""
    return Drawing((rectangle(Box(0.0, 0.0, _SIDE, _SIDE), Pen.BAR), Text(word, (_SIDE + 1.8, 0.6))), 20.0, _SIDE)


# --- what is looked at ------------------------------------------------------------------------------------------------


def _looks(about: About) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Groups of what is looked at; only for what the design has."""
    yield "Flyer", ("Membership and level seen; card filled in.",)
    yield "Airframe", tuple(_airframe(about))
    joints = tuple(_joints(about))
    if joints:
        yield "Nose and joints", joints
    recovery = tuple(_recovery_looks(about))
    if recovery:
        yield "Recovery", recovery
    if about.figures["motors"]:
        yield (
            "Motor",
            (
                "Certified, in date, of the kind named on this sheet; made ready by its maker's sheet.",
                "Held in: it can neither be pulled out nor pushed forward.",
                "Thrust enough for this weight and this wind; within the greatest mass that its maker states.",
                f"The delay is right. {COUNTS[:-1]}.",
            ),
        )
    yield (
        "Balance",
        (
            "Weighed on the field's own scale, loaded as it will fly; the mass agrees with this sheet.",
            "CG measured, CP marked on the hull and shown with its document; margin read off, at least 1 calibre or "
            "what the field asks for.",
        ),
    )
    yield (
        "Flight",
        (
            "Expected height below the field's ceiling and below the clouds; wind as the field allows it.",
            "A first flight is called out, heads up.",
            "Electronics, if any, off until the pad.",
        ),
    )
    yield (
        "For a certification, in addition",
        ("Built by the flyer; CP marked on the outside; the association's form at hand.",),
    )


def _airframe(about: About) -> Iterator[str]:
    kinds = {item.kind for item in about.design.rocket.items}
    yield "Sound as a whole: no crush, no crease, no soft place; nothing rattles, nothing loose inside."
    if kinds & {"fin", "fin-can"}:
        yield "Fins tight, no crack at their roots, straight along the axis, stiff enough for this thrust."
    if "rail-button" in kinds:
        yield "Rail buttons of the field's size, in line, screwed tight; they slide freely on a piece of the rail."
    yield "Metal only where it is needed; no metal tip, no spike; ballast, if any, cannot come loose."


def _joints(about: About) -> Iterator[str]:
    joints = about.design.recovery.joints
    opens = _named([one.words for one in joints if one.state == "releases"])
    if opens:
        yield (
            f"The joint that opens, {opens}: neither loose nor tight, no wobble; holds when lifted by the nose, and a "
            "hand pulls it apart."
        )
        yield "It stays shut as the rocket slows after burnout: tape or pins as the field card says."
    held = _named([one.words for one in joints if one.state == "screwed" and "button" not in one.words])
    if held:
        yield f"Screwed joints tight: {held}."
    vents = _named(
        [
            f"{item.name} at {about.lengths.one(item.stations[0] + place, 0)}"
            for item in about.design.rocket.items
            if isinstance(item.part, Tube)
            for place in item.part.hole_positions
        ]
    )
    if vents:
        yield f"Vents open: {vents}."


def _recovery_looks(about: About) -> Iterator[str]:
    recovery = about.design.recovery
    if recovery.harnesses:
        yield (f"Harness, {_harness(about)}: material and strength fit the mass; no burn, no fray; links shut.")
    anchors = _named([f"{one.name} through {one.on}" for one in recovery.anchors])
    if anchors:
        yield f"Anchors tight, nuts locked, metal through plywood: {anchors}."
    if recovery.parachutes:
        yield "Parachute whole, of the size on this sheet, packed today, tied to the harness; protector in place."
        yield "A second person has looked at the packing."


def _named(names: Sequence[str]) -> str:
    return "; ".join(names)
