"""From two readings files to a stud position: what the bare hub and the mounted rotor say together, with the doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim import turn
from sim.arrays import Floats
from sim.bench.cures import Worth, worth_moving
from sim.bench.stud_position import IndexResult, Split, index_positions, split_mounted
from sim.errors import BadInput, Fault, Refused
from sim.files.dial_readings import Readings, Trace
from sim.one_thread import one_thread
from sim.parts.dial import Dial

# Standard deviation of one reading of a 0.01 mm dial: its repeatability (JIS B 7503:2011).
NOISE_UM = 3.0
# A reading this many standard deviations above the lean is a bump, not lean.
BUMP = 2.5
PASSES = 20
# Leaving bumps out makes the fit look better than it is; its variance is widened by this. Judgement, from simulation.
WIDER = 1.3
# Highest order fitted to a mounted trace of few points.
ORDERS = 3
# More than a rotor reads that is clamped on dirt, less than one that hangs on its spigot; judgement.
NOT_SEATED_UM = 1000.0


@dataclass(frozen=True)
class Lean:
    """Lean of a bare hub face, bumps left out.

    Parameters
    ----------
    orders : ndarray of complex, shape (2,)
        Mean and first order at the radius of the trace. [um]
    sd_um : float
        Standard deviation of a component of the first order. [um]
    bumps_deg : tuple of float
        Hub angles at which something stood up: look there. [deg]
    """

    orders: NDArray[np.complex128]
    sd_um: float
    bumps_deg: tuple[float, ...]


def lean_of(angle_deg: Floats, value_um: Floats, dial_um: float, noise_um: float = NOISE_UM) -> Lean:
    """First order of a bare hub face that may carry dirt: readings that stand up from it are left out.

    Parameters
    ----------
    angle_deg, value_um : ndarray, shape (k,)
        Readings. [deg, um]
    dial_um : float
        Step of the dial. [um]
    noise_um : float
        Standard deviation of one reading. [um]

    Returns
    -------
    Lean

    Notes
    -----
    Trimmed least squares, one-sided since dirt only adds height. At least six readings and half of all are kept. The
    spread is the dial's or that of the readings themselves (from the median deviation), whichever is larger, so that
    an uneven but clean face is not cut away.
    """
    sigma = float(np.hypot(noise_um, dial_um / np.sqrt(12.0)))
    kept = np.ones(angle_deg.size, dtype=bool)
    fewest = max(6, angle_deg.size // 2)
    for _ in range(PASSES):
        orders = turn.fit(angle_deg[kept], value_um[kept], 1)
        rest = value_um - turn.evaluate(orders, np.radians(angle_deg))
        spread = max(sigma, 1.4826 * float(np.median(np.abs(rest[kept]))))
        wanted = rest <= BUMP * spread
        if wanted.sum() < fewest:
            wanted = rest <= np.sort(rest)[fewest - 1]
        if (wanted == kept).all():
            break
        kept = wanted
    bumps = tuple(float(angle) for angle in angle_deg[~kept])
    sd = sigma * np.sqrt(2.0 / kept.sum()) * (np.sqrt(WIDER) if bumps else 1.0)
    return Lean(turn.fit(angle_deg[kept], value_um[kept], 1), float(sd), bumps)


@dataclass(frozen=True)
class BenchIndex:
    """Best stud position from readings.

    Parameters
    ----------
    result : IndexResult
        All positions; runouts are those predicted from the fitted orders. [um TIR]
    now : int
        Stud position at which the rotor was read.
    read_um : float
        Highest less lowest reading there, as the dial showed it. [um TIR]
    split : Split
        Hub and rotor apart.
    lean : Lean
        Bare hub.
    worth : Worth
        Whether moving it can be told from not moving it.
    doubt_um : float
        Doubt (k = 2) of one TIR read with this dial. [um]
    notes : tuple of str
        What the readings themselves gave to say, such as a dial that had moved.
    """

    result: IndexResult
    now: int
    read_um: float
    split: Split
    lean: Lean
    worth: Worth
    doubt_um: float
    notes: tuple[str, ...] = ()


@one_thread
def index_readings(hub: Readings, rotor: Readings, allowed: Sequence[int] | None = None) -> BenchIndex:
    """Find the best stud position from a bare hub trace and one mounted trace.

    Parameters
    ----------
    hub : Readings
        With one ``hub face`` trace (the last counts).
    rotor : Readings
        With a ``mounted`` trace (the last counts); may be the same file.
    allowed : sequence of int, optional
        Stud positions that may be used.

    Returns
    -------
    BenchIndex

    Raises
    ------
    BadInput
        If a trace is missing or the two files are of different wheels.
    """
    bare, on = _last(hub, "hub face", "hub"), _last(rotor, "mounted", "rotor")
    if hub.studs != rotor.studs:
        raise BadInput(Fault(f"{hub.studs} studs on the hub, {rotor.studs} on the rotor", key="studs"))
    if bare.corner and on.corner and bare.corner != on.corner:
        raise BadInput(Fault(f"the hub was read at {bare.corner!r}, the rotor at {on.corner!r}", key="corner"))
    swing = turn.tir(on.value_um)
    if swing > NOT_SEATED_UM:
        raise Refused(
            f"the mounted rotor reads {swing / 1000.0:.1f} mm from highest to lowest: no seated rotor does. It is not "
            "home on its hub (take it off, clean spigot, hub face and bore, read again), or the unit is another one"
        )
    gauge, at_hub = rotor.gauge_radius_mm, hub.hub_face_radius_mm
    if gauge is None or at_hub is None:
        raise BadInput(Fault("where the dial stood is missing", key="gauge_radius_mm, hub_face_radius_mm"))
    highest = min(ORDERS, (on.angle_deg.size - 1) // 2)
    read = turn.fit(on.angle_deg, on.value_um, highest)
    lean = lean_of(bare.angle_deg, bare.value_um, hub.dial_um)
    full = turn.fit(bare.angle_deg, bare.value_um, min(ORDERS, (bare.angle_deg.size - 1) // 2))
    full[:2] = lean.orders
    count = rotor.studs
    sd = turn.tir_sd(on.angle_deg.size, NOISE_UM, rotor.dial_um) / 2.0
    split = split_mounted(read, full, (gauge, at_hub), 360.0 * on.studs_turned / count, (sd, lean.sd_um))
    result = index_positions(split.hub, split.rotor, count, allowed)
    now = index_positions(split.hub, split.rotor, count, (on.studs_turned,)).positions[0]
    points = (on.angle_deg.size, bare.angle_deg.size)
    worth = worth_moving(now, result.at(result.best), count, rotor.dial_um, points, gauge / at_hub, NOISE_UM)
    doubt = Dial(step_um=rotor.dial_um).doubt_um
    said = tuple(dict.fromkeys((*hub.notes, *rotor.notes)))
    return BenchIndex(result, on.studs_turned, turn.tir(on.value_um), split, lean, worth, doubt, said)


def _last(readings: Readings, kind: str, of: str) -> Trace:
    found = readings.of(kind)
    if not found:
        there = ", ".join(dict.fromkeys(trace.kind for trace in readings.traces))
        reason = f"no {kind!r} trace among the readings of the {of}, only: {there}; were the two files swapped?"
        raise BadInput(Fault(reason, key="trace"))
    return found[-1]


def index_answer(result: IndexResult) -> dict[str, Any]:
    """Collect what ``index --json`` answers about the stud positions."""
    return {
        "seating": "as read",
        "positions": [
            {"studs_turned": one.studs_turned, "runout_um": one.runout_um, "first_order_um": one.first_order_um}
            for one in result.positions
        ],
        "best": result.best,
        "best_by_first_order": result.best_by_first_order,
        "floor_um": result.floor_um,
        "continuous": {"angle_deg": result.continuous_deg, "runout_um": result.continuous_um},
        "hub_um": result.hub_um,
        "rotor_um": result.rotor_um,
    }


def bench_answer(bench: BenchIndex) -> dict[str, Any]:
    """Collect what ``index --json`` answers from readings."""
    hub, rotor = complex(bench.split.hub[1]), complex(bench.split.rotor[1])
    return index_answer(bench.result) | {
        "studs_turned": bench.now,
        "read_um": bench.read_um,
        "reading_doubt_um": bench.doubt_um,
        "worth_moving": {
            "gain_um": bench.worth.gain_um,
            "doubt_um": bench.worth.doubt_um,
            "verdict": bench.worth.verdict,
        },
        "separated": {
            "hub": {"amplitude_um": abs(hub), "high_spot_deg": turn.high_spot_deg(hub), "frame": "hub"},
            "rotor": {"amplitude_um": abs(rotor), "high_spot_deg": turn.high_spot_deg(rotor), "frame": "rotor"},
            "rotor_sd_um": bench.split.rotor_sd_um,
        },
        "bumps_on_hub": [{"angle_deg": angle, "frame": "hub"} for angle in bench.lean.bumps_deg],
        "notes": [*bench.notes, *bench.split.notes],
    }
