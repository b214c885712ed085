"""Many corners seated and driven, a row each: what each reads, how its DTV grows, where the limit is met."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from sim.chain import DEFAULT_KM, compute
from sim.corner.batch import several
from sim.corner.road_state import LEAST_OF_LARGEST, loose_on_the_road
from sim.errors import BadInput, Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.processes import counted, shared_out
from sim.progress import Progress, need_listener, silent
from sim.seating.prepared import need_preset
from sim.wear.asked import need_distance


@dataclass(frozen=True)
class RoadRow:
    """One corner driven; what physics refuses or a case contradicts is a row too.

    Parameters
    ----------
    index : int
        Position in the list of cases.
    as_read_um, as_driven_um : float
        TIR of the face that the dial reads, as it is read and with the wheel on; not a number where refused. [um]
    dtv_um, most_dtv_um : float
        Thickness variation at the end of the distance, and at its highest. [um]
    km_to_limit, km_low, km_high : float or None
        Distance to the thickness variation of the case's limit and its 80 % band; None: not within the distance. [km]
    probability_never : float
        Share of the draws that do not reach the limit within the distance.
    refused : str
        Reason, empty where the corner was driven.
    bad_input : bool
        Whether the case contradicts itself.
    spigot : mapping or None
        How the rotor sits on its spigot, as ``seat --json`` prints it. Nothing here clears a rotor that the nuts drew
        home over scale (``wedged``).
    loose_nut : str
        Which nut was loose or pulls far less than the others as driven; empty where all hold. Nothing here clears a
        corner with one.
    """

    index: int
    as_read_um: float
    as_driven_um: float
    dtv_um: float
    most_dtv_um: float
    km_to_limit: float | None
    km_low: float | None
    km_high: float | None
    probability_never: float
    refused: str = ""
    bad_input: bool = False
    spigot: Mapping[str, Any] | None = None
    loose_nut: str = ""


@one_thread
def drive_many(
    cases: Iterable[Case],
    km: float = DEFAULT_KM,
    preset: str = "standard",
    workers: int | None = None,
    progress: Progress = silent,
) -> tuple[RoadRow, ...]:
    """Seat and drive many cases.

    Parameters
    ----------
    cases : iterable of Case
    km : float
        Distance. [km]
    preset : {"standard", "fast", "fine"}
    workers : int, optional
        Processes; this one alone unless given. A script that asks for more keeps its own work under
        ``if __name__ == "__main__":``, because each process imports it again.
    progress : callable(fraction, what)

    Returns
    -------
    tuple of RoadRow
        In the order of the cases.

    Raises
    ------
    BadInput
        For a preset that does not exist, no distance, no list or no number of processes; a case that
        contradicts itself is a row.

    Notes
    -----
    The same functions as one corner's (`sim.chain.compute` without its fields), many times.

    Sources stand with these.
    """
    need_listener(progress)
    counted(workers)
    need_preset(preset)
    need_distance(km)
    listed = list(enumerate(several(cases)))
    rows: list[RoadRow] = []
    with shared_out(partial(_one, km, preset), listed, workers, 1) as found:
        for row in found:
            rows.append(row)
            progress(len(rows) / len(listed), "corners driven")
    return tuple(rows)


def _one(km: float, preset: str, item: tuple[int, Case]) -> RoadRow:
    index, case = item
    try:
        run = compute(case, km, preset, fields_too=False)
    except (BadInput, Refused) as error:
        none = (np.nan,) * 4
        return RoadRow(index, *none, None, None, None, np.nan, str(error), isinstance(error, BadInput))
    found, road = run.forecast, run.as_driven
    assert found is not None
    assert road is not None
    return RoadRow(
        index,
        run.seat.gauge_runout_um,
        np.nan if road.seat is None else road.seat.gauge_runout_um,
        float(found.dtv_um[-1]),
        float(found.dtv_um.max()),
        found.km_to_limit,
        found.km_low,
        found.km_high,
        found.probability_never,
        spigot=run.spigot,
        loose_nut=loose_on_the_road(case.studs, LEAST_OF_LARGEST),
    )
