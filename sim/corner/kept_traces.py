"""Traces of many seated corners: solved on every core, kept on disk for the code and the corners that made them."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Complexes
from sim.disk_cache import fetch
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.processes import counted, shared_out
from sim.progress import Progress, silent
from sim.seating.prepared import prepare
from sim.seating.seat import seat
from sim.turn import harmonics

ORDERS = 24  # of a trace that are kept
CHUNK = 16  # corners that go to a process at once: seconds of work against milliseconds of sending
DEPENDS_ON = ("rotor", "hub", "studs", "debris", "contact", "gauge", "wheel", "hub_topography", "rotor_topography")


@one_thread
def kept_orders(
    corners: Sequence[Case], preset: str = "fast", progress: Progress = silent, workers: int | None = None
) -> Complexes:
    """As `solved_orders`, from the disk where the very same corners were solved before."""
    told = repr((preset, ORDERS, [[getattr(corner, name) for name in DEPENDS_ON] for corner in corners]))

    def build() -> dict[str, NDArray]:
        orders = solved_orders(corners, preset, progress, workers)
        return {"sits": np.isfinite(orders[:, 0]).astype(np.int8), "orders": np.nan_to_num(orders.view(float))}

    arrays, _ = fetch("corners", hashlib.sha256(told.encode()).hexdigest(), build, __name__)
    out = arrays["orders"].view(complex)
    out[arrays["sits"] == 0] = np.nan
    return out


@one_thread
def solved_orders(
    corners: Sequence[Case], preset: str = "fast", progress: Progress = silent, workers: int | None = None
) -> Complexes:
    """Orders 0 .. `ORDERS` of each corner's trace at the gauge, ROTOR frame.

    Parameters
    ----------
    corners : sequence of Case
        Each as it is clamped; those of one wheel and one contact layer best stand together.
    preset : {"fast", "standard", "fine"}
    progress : callable(fraction, what)
    workers : int, optional
        Processes, as `sim.processes.counted` has them.

    Returns
    -------
    ndarray of complex, shape (corners, orders + 1)
        [um]; not a number where physics refuses the seating.

    Notes
    -----
    Fourier series of the seated traces, by definition.
    """
    task = partial(_orders, preset)
    rows: list[Complexes] = []
    count = counted(workers)
    if len(corners) <= CHUNK:
        count = 1
    if count > 1:
        prepare(corners[0], preset)  # so that the processes find the rotor's and the hub's flexibility in the cache
    with shared_out(task, corners, count, CHUNK) as answers:
        for row in answers:
            rows.append(row)
            progress(len(rows) / len(corners), "drawn corners")
    return np.array(rows)


def _orders(preset: str, corner: Case) -> Complexes:
    try:
        seated = seat(corner, preset)
    except Refused:
        return np.full(ORDERS + 1, np.nan, dtype=complex)
    return harmonics(seated.outboard_um if corner.gauge.face == "outboard" else seated.inboard_um, ORDERS)
