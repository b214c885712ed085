"""Many random corners, to be run by hand: python -m tests.properties.seating_soak 10000 [seed].

Prints how many were refused and why, what broke (nothing should), set changes and time.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np

from sim.errors import Refused
from sim.seating.seat import seat

sys.path.insert(0, str(Path(__file__).parent))

from corners import draw, faults_of


def main(count: int, seed: int) -> int:
    reasons: Counter[str] = Counter()
    broken, steps, spent, slowest = [], [], [], (0.0, None)
    for k in range(count):
        corner = draw(np.random.default_rng([seed, k]))
        case = corner.case()
        start = time.process_time()
        try:
            seated = seat(case, "fast")
        except Refused as refusal:
            reasons[str(refusal).split(":")[0][:70]] += 1
            continue
        except Exception as error:  # the soak must go on to count the rest
            broken.append((k, f"{type(error).__name__}: {error}"))
            continue
        spent.append(time.process_time() - start)
        slowest = max(slowest, (spent[-1], k), key=lambda pair: pair[0])
        steps.append(seated.checks.iterations)
        if faults := faults_of(seated):
            broken.append((k, "; ".join(faults)))
    refused = sum(reasons.values())
    print(f"{count} corners, seed {seed}: {refused} refused ({100 * refused / count:.2f} %), {len(broken)} broken")
    for reason, times in reasons.most_common():
        print(f"  refused {times:6d}  {reason}")
    for k, why in broken[:20]:
        print(f"  BROKEN  draw {k}: {why}")
    if spent:
        print(f"set changes: median {np.median(steps):.0f}, 99 % {np.quantile(steps, 0.99):.0f}, most {max(steps)}")
        print(
            f"CPU a seating: median {1e3 * np.median(spent):.2f} ms, 99 % {1e3 * np.quantile(spent, 0.99):.1f} ms, "
            f"most {1e3 * slowest[0]:.0f} ms (draw {slowest[1]})"
        )
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000, int(sys.argv[2]) if len(sys.argv) > 2 else 1))
