"""The cautions that go with every figure and file; README.md has the same ones."""

from __future__ import annotations

NOT_A_CLEARANCE = (
    "Not a clearance to fly: the range safety officer decides. Local law, the fire code as adopted, the association's "
    "safety code and the motor maker's instructions come first."
)

CAUTIONS: tuple[str, ...] = (
    NOT_A_CLEARANCE,
    "Every figure here is computed from the inputs and by the method named beside it. What is not known says "
    "*not stated*. CG not measured: balance the finished rocket, loaded as it will fly, and go by that.",
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
