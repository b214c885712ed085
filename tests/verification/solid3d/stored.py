"""The stored outcomes, and what they are worth: the best value of each case with its half-width.

Meshes of a speck approach their limit from above, about first order in the size of the sectors: the runout of E2 is
87.9, 87.3, 87.1 um with sectors of 2, 1 and 0.5 deg, and a section twice as fine takes another 0.3 um off. The limit
is therefore expected near the lower end of the half-width. A small chip does so slowest: that of E27 without its
wheel 56.3, 55.6, 55.2 um with the same sectors. Under a wheel with a nut off it is the other way, for want of a finer
section: E24 is 12.43, 12.67, 12.89 um at light, coarse and medium, and 12.94 with half the sectors.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from sim.parts.case import Case
from tests.verification.solid3d.catalogue import case_of

STORE = Path(__file__).with_name("results.json")
# Finest first: the best value is the first of these that has been computed.
BEST_FIRST = ("ring-fine", "ring-medium", "ring-coarse", "direct-coarse", "direct-light")
# Halving the sectors of a ring moves TIR by this share at most, in every case where both were computed (0.2 to 0.7 %).
SECTOR_SHARE = 0.007
# Where a quantity is next to nothing. [um, N]
LEAST_UM, LEAST_N = 0.1, 20.0


@dataclass(frozen=True)
class Reference:
    """One seating as three-dimensional finite elements see it; every ``_half`` is a half-width. [um, deg, N]

    ``amplitude_um`` and ``high_spot_deg`` are of orders 1 to 3 of the outboard trace; ``trace_um`` has it every 5 deg.
    """

    name: str
    case: Case
    level: str
    lateral_runout_um: dict[str, float]
    lateral_runout_half_um: float
    amplitude_um: tuple[float, ...]
    amplitude_half_um: tuple[float, ...]
    high_spot_deg: tuple[float, ...]
    debris_force_n: tuple[float, ...]
    debris_force_half_n: tuple[float, ...]
    mean_shift_um: float
    mean_shift_half_um: float
    trace_um: tuple[float, ...]


def load() -> dict:
    """Everything that has been stored."""
    return json.loads(STORE.read_text(encoding="utf-8")) if STORE.exists() else {"cases": {}}


def seatings() -> list[str]:
    """Names of the stored seatings that have ring solutions on two meshes."""
    cases = load()["cases"]
    return [name for name in cases if cases[name]["kind"] == "seating" and len(_rings(cases[name])) > 1]


def _rings(entry: dict) -> list[str]:
    return [level for level in entry["runs"] if level.startswith("ring")]


def reference(name: str) -> Reference:
    """Best value of a case.

    The half-width is the change from the coarse to the best mesh (to the coarse from the light where that is the best),
    plus the change between the solver's own contact and ours where both were run at that density; where the sectors
    were not refined, at least ``SECTOR_SHARE``.
    """
    entry = load()["cases"][name]
    runs = {level: outcome["outputs"] for level, outcome in entry["runs"].items()}
    level = next(one for one in BEST_FIRST if one in runs)
    rough = "ring-light" if level == "ring-coarse" else "ring-coarse"
    best, coarse = runs[level], runs[rough]
    direct = runs.get("direct-coarse", coarse) if level != "ring-coarse" else coarse
    case = case_of(entry["title"], entry["tables"])
    # The sectors of a vented rotor follow its vanes: they are refined in the gaps only.
    least = 0.0 if level == "ring-fine" and case.rotor.style == "solid" else SECTOR_SHARE

    def half(pick, floor: float) -> float:
        fine, rough, other = pick(best), pick(coarse), pick(direct)
        return max(floor, least * abs(fine), abs(fine - rough) + abs(rough - other))

    orders = range(len(best["harmonics_um"]))
    patches = range(len(best["debris_force_n"]))
    return Reference(
        name=name,
        case=case,
        level=level,
        lateral_runout_um=best["lateral_runout_um"],
        lateral_runout_half_um=half(lambda run: run["lateral_runout_um"]["outboard"], LEAST_UM),
        amplitude_um=tuple(best["harmonics_um"][k]["amplitude"] for k in orders),
        amplitude_half_um=tuple(half(lambda run, k=k: run["harmonics_um"][k]["amplitude"], LEAST_UM) for k in orders),
        high_spot_deg=tuple(best["harmonics_um"][k]["high_spot_deg"] for k in orders),
        debris_force_n=tuple(best["debris_force_n"]),
        debris_force_half_n=tuple(half(lambda run, k=k: run["debris_force_n"][k], LEAST_N) for k in patches),
        mean_shift_um=best["mean_shift_um"],
        mean_shift_half_um=half(lambda run: run["mean_shift_um"], LEAST_UM),
        trace_um=tuple(best["trace"]["outboard_um"]),
    )
