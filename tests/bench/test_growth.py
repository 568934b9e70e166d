"""How time and memory of `make` grow with the number of parts, and what a change costs in a folder that is made.

Run: pytest tests/bench/test_growth.py. Processor time of whole processes; what an empty run takes is taken off.
"""

from __future__ import annotations

import shutil
from pathlib import Path

from bench_measures import MARRAM, change_one_part, exponent, grown_make, make, used

FORMATS = "stl"
SIZES = (10, 100, 1000)


def test_time_and_memory_grow_no_faster_than_the_design(tmp_path: Path) -> None:
    """Twice the parts take at most 2.5 times the time, far from the 4 times of what looks at every pair of parts."""
    one = grown_make(1, tmp_path / "1", FORMATS)
    found = {size: grown_make(size, tmp_path / str(size), FORMATS) for size in SIZES}
    for size in SIZES:
        assert len(list((tmp_path / str(size) / "out").glob("grown-bulkhead-*.stl"))) == size
    assert exponent(SIZES, [found[size].seconds - one.seconds for size in SIZES]) < 1.3
    # 4 GiB for far more parts than any rocket has.
    assert (found[1000].memory - one.memory) / 1000.0 < 0.4


def test_a_change_of_one_part_is_cheaper_than_the_whole_and_no_change_costs_little(tmp_path: Path) -> None:
    shutil.copytree(MARRAM, tmp_path / "design")
    file, out, formats = tmp_path / "design" / "marram.toml", tmp_path / "out", "stl,3mf,glb,dxf,svg,pdf"
    whole = used(*make(file, out, formats)).seconds
    nothing = used(*make(file, out, formats)).seconds
    change_one_part(file)
    changed = used(*make(file, out, formats)).seconds
    assert nothing < 0.5 * whole, (nothing, changed, whole)
    assert changed < 0.9 * whole, (nothing, changed, whole)
