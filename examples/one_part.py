"""Mass properties of one part, for a stability sheet of your own.

Run: python examples/one_part.py
The sizes are invented; put your own in.
"""

import ferrule
from ferrule.analysis.mass import mass_properties

nose = ferrule.NoseCone.build(
    profile="von-karman",
    length="250 mm",
    base_diameter="68.3 mm",
    wall="1.6 mm",
    shoulder_length="68 mm",
    shoulder_diameter="65.36 mm",
    material="petg",
)
found = mass_properties(ferrule.Item("nose", (0.0,), nose))

if found is None:
    print("mass: not stated; give a material or a density")
else:
    print(f"mass                 {found.mass:.1f} g")
    print(f"centre of gravity    {found.cg[0]:.1f} mm from the tip")
    print(f"inertia, rolling     {found.inertia[0][0] / 1e3:.1f} kg mm2")
    print(f"inertia, pitching    {found.inertia[1][1] / 1e3:.1f} kg mm2, about its own centre of gravity")
    print(f"found by             {found.method}")
