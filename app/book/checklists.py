"""Checklists for preparation, for the pad and after the flight; common practice, only for what the design has.

They defer: what the range safety officer, the association's code or the motor maker's instructions say comes first.
Nothing here says how a motor, an igniter or a charge is made ready; that is for the maker's own sheet.
"""

from __future__ import annotations

from ...parts.kinds import Tube
from ...parts.sheets.blocks import Blanks, Block, Bullets, Heading, Words
from .about import About

_DEFERS = (
    "Common practice, not a rule: local law, the fire code, the association's safety code, the motor maker's "
    "instructions and the range safety officer come first."
)


def checklists(about: About) -> tuple[Block, ...]:
    """The chapter: before, at the pad, after."""
    return (
        Heading("Checklists", 1),
        Words(_DEFERS),
        Heading("Preparation, the day before and on the field", 2),
        Bullets(_preparation(about), "box"),
        Heading("At the pad", 2),
        Bullets(_pad(about), "box"),
        Heading("After the flight: look for damage before you fly again", 2),
        Bullets(_after(about), "box"),
        Blanks(("Height reached", "Delay flown [s]", "Landed: where, how", "Damage and repair"), columns=2),
        Words("After a repair, weigh and balance again, and re-mark the hull."),
    )


def _releasing(about: About) -> str:
    """The joint that opens, in words; an honest blank where none or several do."""
    found = [joint for joint in about.design.recovery.joints if joint.state == "releases"]
    return found[0].words if len(found) == 1 else "the joint that opens"


def _preparation(about: About) -> tuple[str, ...]:
    design, joint = about.design, _releasing(about)
    anchors = ", ".join(one.name for one in design.recovery.anchors)
    lines = [
        "Every part is of this book's fingerprint; no part is left over from an earlier revision.",
        "Shake it, bend it gently at each joint, flex each fin: nothing rattles, nothing gives.",
        f"The joint {joint} slides apart by hand and does not fall apart when the rocket is lifted by its nose; "
        "tried in today's heat and humidity.",
    ]
    held = [one.words for one in design.recovery.joints if one.state == "screwed"]
    lines += [f"Screws in and tight: {'; '.join(held)}."] if held else []
    if design.recovery.harnesses:
        lines.append(
            "Harness whole: no burn, no fray, no loose stitch; knots and links tight, quick link screwed shut."
        )
    lines += [f"Anchors tight, nuts locked: {anchors}."] if anchors else []
    if design.recovery.parachutes:
        lines += [
            "Parachute, lines and protector whole; packed today, not weeks ago; lines free, a second person looked on.",
            "The parachute slides out of its bay by its own weight.",
        ]
    vents = _vents(about)
    lines += [f"Vents open: {vents}."] if vents else []
    if any(item.kind == "rail-button" for item in design.rocket.items):
        lines.append("Both rail buttons tight, in line, and free on a piece of the rail.")
    lines += [
        "Motor: certified, of the type named on the field card, made ready by its maker's sheet and nobody else's.",
        "Delay: seconds count from burnout, not ignition; trimmed only with the maker's tool, by its sheet.",
        "Retainer on: the motor can neither be pulled out nor pushed forward.",
        "Weighed and balanced with the real motor in it; margin read off the margin tape; written on the field card.",
        "Flight card filled in; the range safety officer has seen the rocket.",
    ]
    return tuple(lines)


def _vents(about: About) -> str:
    """Every vent by its tube and station; a builder looks for holes by the ruler."""
    found = [
        f"{item.name} at {about.lengths.one(item.stations[0] + place, 0)}"
        for item in about.design.rocket.items
        if isinstance(item.part, Tube)
        for place in item.part.hole_positions
    ]
    return ", ".join(found)


def _pad(about: About) -> tuple[str, ...]:
    rail = about.design.leaving[0].rail if about.design.leaving else None
    length = f"rail of {about.lengths.both(rail.length, 0)}" if rail is not None and rail.is_stated else "rail"
    return (
        f"On the {length}: buttons run freely to the top and back; the rocket stands off the blast plate.",
        "The igniter goes in only here, by the motor maker's instructions, with the controller safe.",
        "Wind and sky as the range safety officer wants them; heads up called; spectators at their distance.",
        "Rail angle as agreed; away from people, never over them.",
        "Electronics, if any, switched on as their maker says, and telling that they are ready.",
        "A misfire: leave it alone for as long as the safety code says, then only as the range safety officer says.",
    )


def _after(about: About) -> tuple[str, ...]:
    lines = [
        "Before it is picked up: look over the place where it lies, take a photograph, collect every piece.",
        "Fin roots and fillets: tap and flex each; no crack, no click. Slot ends: no tear.",
        "Tubes: no crease, no zipper at a rim, no soft place above the motor mount.",
        "Shoulder and coupler: no split between layers, no ovality, screws and inserts tight.",
        "Motor tube: no blister, no glue gone brown; retainer threads clean.",
    ]
    if about.design.recovery.harnesses:
        lines.append("Harness and anchors: no burn, no fray, nuts still locked; eyes not opened.")
    if about.design.recovery.parachutes:
        lines.append("Parachute and protector: no scorch, no torn seam, lines even.")
    lines.append("Rail buttons: screws tight, heads not bent. Vents: soot wiped out, open.")
    return tuple(lines)
