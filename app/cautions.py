"""The cautions that go with every figure and file; README.md has the same ones."""

from __future__ import annotations

NOT_A_CLEARANCE = (
    "Not a clearance to fly: the range safety officer decides. Local law, the fire code as adopted, the association's "
    "safety code and the motor maker's instructions come first."
)

SHORT_CAUTION = "Not a clearance to fly: the range safety officer decides."
"""The same for the foot of a page."""

_NOT_MEASURED = "CG not measured: balance the finished rocket, loaded as it will fly, and go by that."
_MEASURED = "CG measured: after any change balance it again, loaded as it will fly, and go by that."

CAUTIONS: tuple[str, ...] = (
    NOT_A_CLEARANCE,
    "Every figure here is computed from the inputs and by the method named beside it. What is not known says "
    f"*not stated*. {_NOT_MEASURED}",
    "Templates: measure both check bars before cutting.",
    "PLA softens near 60 °C, less than a parked car reaches; take another material near the motor and for anything "
    "that travels.",
    "Wear eye protection. Keep resin off the skin; keep dust and fumes out of the lungs. CA glue fumes sting: give "
    "them air. Hot inserts burn.",
    "Never laser PVC, vinyl or G-10. Sand glass and carbon only wet and with a respirator.",
    "Harness anchors are metal through plywood; printed loops are not anchors.",
    "No modification of motors.",
    "Anyone under age works with an adult.",
)


def cautions(cg_measured: bool) -> tuple[str, ...]:
    """The cautions of a design.

    Args:
        cg_measured: whether the rocket was balanced as it is now; then none of them says that it was not.
    """
    return tuple(caution.replace(_NOT_MEASURED, _MEASURED) for caution in CAUTIONS) if cg_measured else CAUTIONS
