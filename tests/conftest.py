"""Settings of all tests."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
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
if _searching is not None:
    # A search takes as long as it is let; what hangs in it is seen by who started it.
    os.environ.setdefault("PYTEST_TIMEOUT", "0")

# Nobody's own machines take part in a test; those that need some say where they are.
os.environ["FERRULE_MACHINES"] = os.devnull

MARRAM = Path(__file__).resolve().parents[1] / "examples" / "marram" / "marram.toml"


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All files of the demo, to be read and not to be changed.

    They take ten seconds, so one of the processes that share the tests makes them and the others wait. The command line
    makes them, in a place, with a clock and in a language that the tests themselves do not have.
    """
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "demo"
    out, ended = folder / "out", folder / "ended"
    try:
        folder.mkdir()
    except FileExistsError:
        patience = time.monotonic() + 250.0  # below the timeout of one test, so that it says what is missing
        while not ended.exists():
            assert time.monotonic() < patience, "the process that makes the demo has not ended"
            time.sleep(0.1)
    else:
        elsewhere = {"LC_ALL": "C", "PYTHONHASHSEED": "7", "TZ": "Asia/Kathmandu", "PYTHONIOENCODING": "utf-8"}
        done = subprocess.run(
            [sys.executable, "-m", "ferrule", "make", str(MARRAM), "--out", str(out)],
            cwd=folder,
            env={**os.environ, **elsewhere},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            check=False,
        )
        said = folder / "said"
        said.write_text(done.stderr if done.returncode else "", encoding="utf-8")
        said.rename(ended)
    assert ended.read_text(encoding="utf-8") == ""
    return out
