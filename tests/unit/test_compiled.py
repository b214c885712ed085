"""Compiled code kept on disk is made anew when anything that it reads changes."""

from __future__ import annotations

import hashlib
import inspect
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from llvmlite.binding import get_host_cpu_name

from sim.disk_cache import code_digest
from sim.wear import revolution

SIM = Path(__file__).parents[2] / "sim"
# A kernel of one line beside the others, kept on disk as they are: it compiles in a second, they take twenty.
PULL = """

@njit(cache=True)
def pull(law):
    return law.spring + 2.0 * law.clamp
"""
ASK = """
from typing import get_type_hints
from sim.wear import revolution
from sim.wear.revolution import Law
values = {name: kind(1) for name, kind in get_type_hints(Law).items()} | {"spring": 100.0, "tilt_spring": 7.0}
print(revolution.pull(Law(**values)))
"""
WEAR = """
import hashlib
import numpy as np
from sim.parts.case import Case
from sim.wear.forecast import drive
from sim.wear.asked import Settings
theta = 2.0 * np.pi * np.arange(360) / 360
found = drive(Case(), 22.0 * np.cos(theta) + 3.0 * np.cos(2.0 * theta - 1.0), 3000.0, settings=Settings(draws=0))
print(hashlib.sha256(found.thickness_um.tobytes()).hexdigest())
"""


def printed(folder: Path, script: str) -> str:
    """What a script says with the package copied into ``folder``, whose compiled code is kept beside it."""
    room = {key: value for key, value in os.environ.items() if not key.startswith("NUMBA")} | {
        "PYTHONPATH": str(folder)
    }
    done = subprocess.run([sys.executable, "-c", script], cwd=folder, env=room, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_fields_moved_in_a_tuple_do_not_meet_old_compiled_code(tmp_path):
    """The named tuples stood in another file than the kernels: two fields exchanged moved a force without a word."""
    shutil.copytree(SIM, tmp_path / "sim", ignore=shutil.ignore_patterns("*.pyc", "*.nb?"))
    kernels = tmp_path / "sim" / Path(inspect.getfile(revolution.rates.py_func)).relative_to(SIM)
    kernels.write_text(kernels.read_text() + PULL)
    assert printed(tmp_path, ASK) == "102.0"
    assert list((tmp_path / "sim").rglob("*.nbc"))
    home = next(path for path in (tmp_path / "sim").rglob("*.py") if "class Law(NamedTuple)" in path.read_text())
    text = home.read_text()
    moved = text.replace("    spring: float\n    tilt_spring: float\n", "    tilt_spring: float\n    spring: float\n")
    assert moved != text
    home.write_text(moved)
    assert printed(tmp_path, ASK) == "102.0"


def worn_here() -> str:
    """What `WEAR` prints, in this process."""
    found: dict[str, str] = {}
    exec(WEAR.replace("print(", "said = (").strip(), found)
    return found["said"]


def test_code_that_was_just_compiled_wears_to_the_bit_like_code_that_was_kept(tmp_path, pytestconfig):
    """Flags that let a compiler reorder sums made the first run on a machine differ from every later one.

    What the same sources wore to when they were compiled on this machine is remembered: that takes a quarter minute.
    """
    remembered = getattr(pytestconfig, "cache", None)
    same = "|".join((WEAR, code_digest("sim.wear.forecast"), sys.version, get_host_cpu_name()))
    key = f"trueseat/just compiled {hashlib.sha256(same.encode()).hexdigest()[:24]}"
    first = remembered.get(key, None) if remembered and not revolution.rates.stats.cache_misses else None
    if first is not None:
        said = worn_here()
        if not revolution.rates.stats.cache_misses:
            assert revolution.rates.stats.cache_hits
            assert said == first
            return
    if revolution.rates.stats.cache_misses:  # this process has compiled it: nothing older was kept
        folder, first = SIM.parent, worn_here()
    else:
        shutil.copytree(SIM, tmp_path / "sim", ignore=shutil.ignore_patterns("*.pyc", "*.nb?"))
        folder, first = tmp_path, printed(tmp_path, WEAR)
    if remembered:
        remembered.set(key, first)
    assert list((folder / "sim").rglob("*.nbc"))
    assert printed(folder, WEAR) == first


def test_tuples_and_kernels_share_a_file():
    """What compiled code reads by place is defined beside it: nothing of ours is imported there."""
    compiled = [text for text in (path.read_text() for path in SIM.rglob("*.py")) if "from numba import" in text]
    assert len(compiled) > 1
    for source in compiled:
        assert not re.search(r"^\s*(from|import) (sim|scenes)\b", source, re.MULTILINE)
        assert "(NamedTuple):" in source
