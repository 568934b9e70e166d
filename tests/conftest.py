"""Settings of all tests."""

from __future__ import annotations

import os

from hypothesis import settings

# The gate draws the same cases every time and never fails for being slow; FERRULE_EXAMPLES=5000 searches on purpose.
_searching = os.environ.get("FERRULE_EXAMPLES")
settings.register_profile(
    "ferrule",
    deadline=None,
    derandomize=_searching is None,
    max_examples=int(_searching or 100),
    print_blob=True,
)
settings.load_profile("ferrule")

# Nobody's own machines take part in a test; those that need some say where they are.
os.environ["FERRULE_MACHINES"] = os.devnull
