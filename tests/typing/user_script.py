"""A script as a user writes it, with the public names alone; the gate checks its types strictly, and a test runs it.

Each `type: ignore` is a mistake that the checker must see: were a name without a type, the ignore would be of no use,
which strict checking refuses.
"""

from __future__ import annotations

from typing import assert_type

import ferrule


def heaviest(rocket: ferrule.Rocket) -> str:
    """Name of the item with the largest part, by volume."""
    solids = {item.name: ferrule.moments(item.part.shape()).volume for item in rocket.items if item.part is not None}
    return max(solids, key=lambda name: solids[name])


def main() -> None:
    """Build two parts, put them behind each other, and read what is wanted of them."""
    nose = ferrule.NoseCone.build(
        profile="tangent-ogive", length="200 mm", base_diameter="66 mm", wall="2 mm", material="petg"
    )
    body = ferrule.Tube.build(outside_diameter="66 mm", inside_diameter="63 mm", length="500 mm", material="kraft-tube")
    assert_type(nose, ferrule.NoseCone)
    assert_type(ferrule.moments(nose.shape()).volume, float)
    items = (ferrule.Item("nose", (0.0,), nose), ferrule.Item("body", (200.0,), body))
    rocket = ferrule.Rocket("sample", items)
    print("largest:", heaviest(rocket))
    try:
        ferrule.NoseCone.build(profile="tangent-ogive", length="200", base_diameter="66 mm", wall="2 mm")
    except ferrule.FerruleError as error:
        print("refused:", error)


def mistakes(rocket: ferrule.Rocket) -> None:
    """What the checker must not let pass; never run."""
    rocket.itms.index("nose")  # type: ignore[attr-defined]
    heaviest("rocket")  # type: ignore[arg-type]
    _: ferrule.Tube = ferrule.NoseCone.build(**ferrule.NoseCone.example)  # type: ignore[assignment]
    ferrule.load(54)  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
