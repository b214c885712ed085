"""Recompute stored cases: ``python -m tests.verification.solid3d E1 ring-coarse ring-fine``."""

from __future__ import annotations

import sys

from tests.verification.solid3d import run
from tests.verification.solid3d.catalogue import CATALOGUE


def main(words: list[str]) -> int:
    """Solve the named cases at the named levels (``ring-coarse`` if none) and store them."""
    names = [word for word in words if word in CATALOGUE]
    levels = [word for word in words if word in run.LEVELS]
    if not names or len(names) + len(levels) != len(words):
        print(f"give cases ({' '.join(CATALOGUE)}) and levels ({' '.join(run.LEVELS)})")
        return 2
    for name in names:
        for level in levels or ["ring-coarse"]:
            outcome = run.compute(CATALOGUE[name], level)
            run.store(name, level, outcome)
            shown = {key: value for key, value in outcome["outputs"].items() if key != "trace"}
            print(name, level, f"{outcome['cpu_s']} CPU s", shown, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
