"""Tapered shims: which step, where its thick end goes, and how the rotor sits on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim import turn
from sim.errors import BadInput, Fault

LEAST_STEP_UM = 2.0  # thinner none is ground, and it is a figure in millimetres; judgement
MOST_STEP_UM = 1000.0  # a wedge that takes more away is none; judgement


@dataclass(frozen=True)
class Shim:
    """A tapered shim between hub and rotor, its thick mark at a stud.

    Parameters
    ----------
    step_um : float
        Which of the steps; 0 is none. [um TIR at the gauge radius]
    thick_at_stud : int
        Hub stud (1 is the first) at which its thickest point stands.
    studs_turned : int
        Stud position of the rotor.
    left_um : float
        First-order runout that is left. [um TIR]
    """

    step_um: float
    thick_at_stud: int
    studs_turned: int
    left_um: float


@dataclass(frozen=True)
class ShimResult:
    """Best taper shim with the rotor where it is, and together with the best stud position.

    Parameters
    ----------
    best, with_indexing : Shim
        What to fit.
    bound_um : float or None
        What a shim can leave at most, with the rotor where it is; ``None`` where the runout is larger than the largest
        step covers. [um TIR]
    """

    best: Shim
    with_indexing: Shim
    bound_um: float | None


def need_steps(steps_um: Sequence[float]) -> None:
    """Refuse steps of shims that nobody can have, before anything is computed. [um TIR].

    Raises
    ------
    BadInput
    """
    if len(steps_um) == 0 or not all(LEAST_STEP_UM <= float(step) <= MOST_STEP_UM for step in steps_um):
        allowed = f"runouts of {LEAST_STEP_UM:g} to {MOST_STEP_UM:g} µm; 0.05 mm is 50"
        raise BadInput(Fault("tapered shims need their steps", key="shim", allowed=allowed))


def taper_shims(
    hub: complex, rotor: complex, steps_um: Sequence[float], count: int, studs_turned: int, allowed: Sequence[int]
) -> ShimResult:
    """Try every step of taper shim at every stud.

    Parameters
    ----------
    hub, rotor : complex
        First orders at the gauge radius, hub frame and rotor frame. [um amplitude]
    steps_um : sequence of float
        The steps that can be bought, as the runout that each takes away at the gauge radius. [um TIR]
    count : int
        Studs.
    studs_turned : int
        Where the rotor sits now.
    allowed : sequence of int
        Stud positions that it may take.

    Returns
    -------
    ShimResult

    Raises
    ------
    BadInput
        Without steps, or for one that is not above nought, up to `MOST_STEP_UM`.

    Notes
    -----
    For a shim of amplitude w and a misalignment d: r^2 = (v - w)^2 + 4 v w sin^2(d/2). Within the steps
    r <= sqrt(v^2 sin^2(pi/n) + (step/2)^2), step being the widest gap between neighbouring amplitudes, nought included.
    First order only. A shim must not take away spigot engagement or face contact: outside this calculation.

    Sum of phasors: a wedge leans as its TIR says (geometry).
    """
    need_steps(steps_um)
    steps = sorted(set(map(float, steps_um)))
    options = [0.0, *steps]
    best = _best_shim(hub, rotor, options, count, (studs_turned,))
    together = _best_shim(hub, rotor, options, count, tuple(allowed))
    size = 2.0 * abs(hub + rotor * np.exp(-2j * np.pi * studs_turned / count))
    widest = max(b - a for a, b in zip(options, options[1:], strict=False))
    reached = size <= steps[-1] + widest / 2.0
    bound = float(np.hypot(size * np.sin(np.pi / count), widest / 2.0)) if reached else None
    return ShimResult(best, together, bound)


def _best_shim(hub: complex, rotor: complex, steps_um: Sequence[float], count: int, turns: tuple[int, ...]) -> Shim:
    found = []
    for turned in turns:
        on_hub = hub + rotor * np.exp(-2j * np.pi * turned / count)
        for step in steps_um:
            for stud in range(count if step > 0.0 else 1):
                # The rotor leans away from the hub where the shim is thick: its high spot stands at that stud.
                left = 2.0 * abs(on_hub + turn.coefficient(step / 2.0, 360.0 * stud / count))
                found.append(Shim(step, stud + 1, turned, left))
    # Of equals the one without a shim, and the one that leaves the rotor where it is.
    return min(found, key=lambda shim: (round(shim.left_um, 6), shim.step_um))
