"""Many seatings at once: a list of cases, or random dirt on one corner; same seed, same answer on any machine load."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

import numpy as np

from sim.arrays import Floats, InShort, read_only
from sim.corner.seated import seat_corner
from sim.errors import BadInput, Fault, Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.parts.checked import need_kind
from sim.parts.contradictions import check_case
from sim.processes import counted, shared_out
from sim.progress import Progress, need_listener, silent
from sim.seating.prepared import need_preset, prepare
from sim.solvers.many import get_ready
from sim.units import is_whole, shown

CHUNK = 16  # cases that go to a process at once: seconds of work against milliseconds of sending


@dataclass(frozen=True, repr=False)
class Outcome(InShort):
    """One row of a study; what physics refuses or a case contradicts is a row too, and so is a rotor that is not home.

    Parameters
    ----------
    index : int
        Position in the list of cases.
    outboard_um, inboard_um : float
        TIR of each face; not a number where refused. [um]
    debris_force_n : tuple of float
        What each patch carries; empty for a rotor that is not home, whose faces do not meet. [N]
    refused : str
        Reason, empty where the rotor was seated.
    bad_input : bool
        Whether the case was refused before the physics was asked: it contradicts itself.
    on_spigot : str
        home, off centre, forced home, held off or jammed; empty where nothing is on the spigot and no fit is given.
    spigot : mapping or None
        That state in figures, as ``seat --json`` prints it, one nut run up alone left out.
    traces_um : ndarray, shape (2, 360), or None
        Outboard and inboard trace, ROTOR frame, where they were asked for; read-only. [um]
    """

    index: int
    outboard_um: float
    inboard_um: float
    debris_force_n: tuple[float, ...]
    refused: str
    on_spigot: str = ""
    spigot: Mapping[str, Any] | None = None
    bad_input: bool = False
    traces_um: Floats | None = field(default=None, repr=False, compare=False)


@one_thread
def seat_many(
    cases: Iterable[Case],
    preset: str = "standard",
    workers: int | None = None,
    progress: Progress = silent,
    *,
    traces: bool = False,
) -> tuple[Outcome, ...]:
    """Seat many cases.

    Parameters
    ----------
    cases : iterable of Case
    preset : {"standard", "fast", "fine"}
    workers : int, optional
        Processes; this one alone unless given. A script that asks for more keeps its own work under
        ``if __name__ == "__main__":``, because each process imports it again.
    progress : callable(fraction, what)
    traces : bool
        Keep both traces of every corner too.

    Returns
    -------
    tuple of Outcome
        In the order of the cases.

    Raises
    ------
    BadInput
        For a preset that does not exist, or no number of processes; a case that contradicts itself is a row.

    Notes
    -----
    Runouts in um, as read; each row is `sim.corner.seated.seat_corner`, nothing else is computed (by definition). As
    driven: seat ``[as_driven(case) for case in cases]`` (`sim.corner.road_state.as_driven`), or `drive_many`, whose
    rows have ``as_driven_um`` beside ``as_read_um``.
    """
    need_listener(progress)
    count = counted(workers)
    need_preset(preset)
    listed = list(enumerate(several(cases)))
    if len(listed) <= CHUNK:
        count = 1
    if count > 1:
        with suppress(BadInput, Refused):  # that row says so itself
            check_case(listed[0][1], harmless_too=False)
            prepare(listed[0][1], preset)  # so that the processes find the flexibility in the cache
    out: list[Outcome] = []
    with shared_out(partial(_one, preset, traces, len(listed)), listed, count, CHUNK) as outcomes:
        for outcome in outcomes:
            out.append(outcome)
            progress(len(out) / len(listed), "seatings")
    return tuple(out)


def several(cases: Iterable[Case]) -> Iterable[Case]:
    """Refuse what is no list of cases; what each of them is, its row says.

    Raises
    ------
    BadInput
    """
    if not isinstance(cases, Iterable) or isinstance(cases, (str, bytes)):
        raise BadInput(Fault(f"{shown(cases)} is no list", key="cases", allowed="a list of Case"))
    return cases


@one_thread
def _one(preset: str, traces: bool, of: int, item: tuple[int, Case]) -> Outcome:
    get_ready(of)
    index, case = item
    try:
        seated = seat_corner(case, preset)
    except (BadInput, Refused) as error:
        return Outcome(index, np.nan, np.nan, (), str(error), bad_input=isinstance(error, BadInput))
    runout = seated.lateral_runout_um
    carried = seated.contact.debris_force_n if seated.is_home else ()
    kept = read_only(np.array([seated.outboard_um, seated.inboard_um])) if traces else None
    return Outcome(
        index,
        runout["outboard"],
        runout["inboard"],
        carried,
        "",
        seated.on_spigot,
        seated.spigot,
        traces_um=kept,
    )


def random_debris(case: Case, count: int, seed: int, height_um: tuple[float, float] = (20.0, 120.0)) -> Sequence[Case]:
    """Draw corners with one patch of dirt each, anywhere on the contact zone.

    Parameters
    ----------
    case : Case
        The corner; its own debris is left out, every other fault of it stays: runouts, dish, uneven torque.
    count : int
    seed : int
    height_um : tuple of float
        Range, drawn log-uniformly. [um]

    Returns
    -------
    sequence of Case

    Raises
    ------
    BadInput
        For what is no case, no count or no seed.

    Notes
    -----
    Radius is drawn by area, because dirt does not prefer the middle; sizes, 3 to 12 mm by 4 to 25 deg, are a judgement.
    """
    need_kind(case, Case)
    for key, value in (("count", count), ("seed", seed)):
        if not is_whole(value) or value < 0:
            raise BadInput(Fault(f"{shown(value)} is no whole number", key=key, allowed="0 or more"))
    rng = np.random.default_rng(seed)
    inner, outer = case.contact_zone_mm
    out = []
    for _ in range(count):
        middle = float(np.sqrt(rng.uniform(inner**2, outer**2)))
        half = float(rng.uniform(1.5, 6.0))
        patch = Debris(
            angle_deg=float(rng.uniform(0.0, 360.0)),
            arc_deg=float(rng.uniform(4.0, 25.0)),
            inner_radius_mm=max(inner, middle - half),
            outer_radius_mm=min(outer, middle + half),
            height_um=float(np.exp(rng.uniform(*np.log(height_um)))),
        )
        out.append(replace(case, debris=(patch,)))
    return out
