"""How little it takes: for every place on the hub face, the height of dirt that alone spoils the corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats, InShort
from sim.corner.driven import reading_doubt_um
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.parts.contradictions import check_case
from sim.processes import shared_out
from sim.progress import Progress, need_listener, silent
from sim.seating.prepared import prepare
from sim.seating.seat import Growing, seat
from sim.seating.studs import stud_angles_rad
from sim.spigot.state import need_free_spigot
from sim.units import shortest_deg

SPECK_MM = 8.0  # radial and circumferential size of the speck that is tried; judgement
HIGHEST_UM = 500.0  # thicker dirt is seen by eye; places that stand more are marked as "more than"
FIRST_UM = 8.0  # height that is tried first; only the number of tries depends on it
NEAR_UM = 1e-3  # how closely a spoiling height is found
ANGLES = 40  # of the map: every nine degrees
NEAR_STUD_MM = 12.0  # a place counts as "at a stud" within this distance of its angle


@dataclass(frozen=True)
class Zone:
    """One zone of the hub face in words, the least height that spoils the corner there, and where."""

    name: str
    least_um: float
    radius_mm: float
    angle_deg: float


@dataclass(frozen=True, eq=False, repr=False)
class FaceMap(InShort):
    """Spoiling heights over the hub face; angles in the HUB frame.

    Parameters
    ----------
    radius_mm : ndarray, shape (r,)
        Centres of the specks. [mm]
    angle_deg : ndarray, shape (a,)
    spoil_um : ndarray, shape (r, a)
        Least height that brings the mounted runout to the limit; infinite where ``highest_um`` does not. [um]
    limit_um, clean_um : float
        Limit, and runout of the corner without the speck (its own errors in). [um]
    clean_doubt_um : float
        Uncertainty (k = 2) of a reading of that, and of the heights with it; nought where that is not known. [um]
    kind : {"hard", "crushable"}
    highest_um, speck_mm : float
    zones : tuple of Zone
    """

    radius_mm: Floats
    angle_deg: Floats
    spoil_um: Floats
    limit_um: float
    clean_um: float
    kind: str
    highest_um: float
    speck_mm: float
    zones: tuple[Zone, ...]
    clean_doubt_um: float = 0.0


def speck(radius_mm: float, angle_deg: float, height_um: float, kind: str, zone_mm: tuple[float, float]) -> Debris:
    """Return the speck that is tried at one place, cut off at the edges of the contact zone.

    Lengths in mm; its size is judgement (`SPECK_MM`).
    """
    half = SPECK_MM / 2
    return Debris(
        kind="compact scale" if kind == "crushable" else "hard",
        angle_deg=angle_deg,
        arc_deg=float(np.rad2deg(SPECK_MM / radius_mm)),
        inner_radius_mm=max(radius_mm - half, zone_mm[0]),
        outer_radius_mm=min(radius_mm + half, zone_mm[1]),
        height_um=height_um,
    )


@one_thread
def runout_with_um(case: Case, debris: Debris, preset: str = "standard") -> float:
    """Mounted runout of a corner with one more patch of dirt, at the face that the dial reads. [um]."""
    return seat(replace(case, debris=(*case.debris, debris)), preset).gauge_runout_um


@one_thread
def spoiling_height_um(case: Case, place: tuple[float, float], kind: str, limit_um: float, preset: str) -> float:
    """Least height of a speck at one place that brings the mounted runout to the limit.

    Parameters
    ----------
    case : Case
        The corner, its own errors included.
    place : tuple of float
        Radius [mm] and angle [deg] of the speck's centre, hub frame.
    kind : {"hard", "crushable"}
    limit_um : float
    preset : str

    Returns
    -------
    float
        Infinite where `HIGHEST_UM` does not reach the limit. [um]

    Notes
    -----
    The runout grows in steps of doubling height until the limit is passed, then the height is enclosed by regula falsi
    (Illinois form) between the last two, so the answer is the first crossing at the resolution of the doubling.

    Root by regula falsi (common practice), the seating solved anew at each try.
    """
    clean = seat(case, preset).gauge_runout_um
    return _spoiling_um(case, kind, limit_um, preset, clean, place)


@one_thread
def _spoiling_um(
    case: Case, kind: str, limit_um: float, preset: str, clean_um: float, place: tuple[float, float]
) -> float:
    low, low_value = 0.0, clean_um - limit_um
    if low_value >= 0:
        return 0.0
    pair = prepare(case, preset)
    ends = [
        replace(case, debris=(*case.debris, speck(*place, height, kind, pair.zone_mm)))
        for height in (FIRST_UM, HIGHEST_UM)
    ]
    for end in ends:
        check_case(end, harmless_too=False)
    growing = Growing(pair, *ends)

    def excess(height: float) -> float:
        return growing.gauge_runout_um((height - FIRST_UM) / (HIGHEST_UM - FIRST_UM)) - limit_um

    high = FIRST_UM
    while (high_value := excess(high)) < 0:
        low, low_value = high, high_value
        if high >= HIGHEST_UM:
            return float("inf")
        high = min(2 * high, HIGHEST_UM)
    side = 0
    while high - low > NEAR_UM:
        trial = (low * high_value - high * low_value) / (high_value - low_value)
        value = excess(trial)
        if abs(value) < 1e-7:
            return trial
        if value < 0:
            low, low_value = trial, value
            high_value = high_value / 2 if side < 0 else high_value
            side = -1
        else:
            high, high_value = trial, value
            low_value = low_value / 2 if side > 0 else low_value
            side = 1
        if high - low < NEAR_UM:
            return high
    return high


@one_thread
def face_map(
    case: Case,
    kind: str = "hard",
    preset: str = "standard",
    progress: Progress = silent,
    workers: int | None = None,
) -> FaceMap:
    """Map how little dirt spoils a corner, place by place, by elastic seating.

    Parameters
    ----------
    case : Case
        Torque, limit, face runout and own errors of the corner count; its debris is left out: each speck is alone.
    kind : {"hard", "crushable"}
    preset : str
    progress : callable(fraction, what)
    workers : int, optional
        Processes, as `sim.processes.counted` has them.

    Returns
    -------
    FaceMap

    Raises
    ------
    Refused
        If scale on the spigot makes the bore too tight or holds the rotor off.

    Notes
    -----
    Heights in um; each is `spoiling_height_um`.

    Source stands with the seating (`sim.seating`).
    """
    need_listener(progress)
    need_free_spigot(case)
    case = replace(case, debris=())
    pair = prepare(case, preset)
    inner, outer = pair.zone_mm
    rings = max(3, round((outer - inner) / (SPECK_MM / 1.5)))
    radius = np.linspace(inner + SPECK_MM / 2, outer - SPECK_MM / 2, rings)
    count = case.studs.count * max(1, round(ANGLES / case.studs.count))
    angle = np.arange(count) * 360.0 / count
    places = [(float(r), float(a)) for r in radius for a in angle]
    limit = case.limits.mounted_runout_um
    clean = seat(case, preset).gauge_runout_um
    task = partial(_spoiling_um, case, kind, limit, preset, clean)
    found: list[float] = []
    with shared_out(task, places, workers, 4) as values:
        for value in values:
            found.append(value)
            progress(len(found) / len(places), f"height that spoils the corner, {kind} dirt")
    spoil = np.array(found).reshape(radius.size, angle.size)
    zones = _zones(case, radius, angle, spoil)
    return FaceMap(radius, angle, spoil, limit, clean, kind, HIGHEST_UM, SPECK_MM, zones, reading_doubt_um(case))


def _zones(case: Case, radius_mm: Floats, angle_deg: Floats, spoil_um: Floats) -> tuple[Zone, ...]:
    """Least height by zone of the face, in the words of the trade."""
    studs = np.rad2deg(stud_angles_rad(case.studs.count))
    away = np.abs(shortest_deg(angle_deg[:, None] - studs)).min(axis=1)
    third = (radius_mm[-1] - radius_mm[0]) / 3
    outer, inner = radius_mm > radius_mm[-1] - third, radius_mm < radius_mm[0] + third
    at_stud = np.deg2rad(away)[None, :] * radius_mm[:, None] < NEAR_STUD_MM
    masks: Sequence[tuple[str, NDArray[np.bool_]]] = (
        ("outer edge, at a stud", outer[:, None] & at_stud),
        ("outer edge, between studs", outer[:, None] & ~at_stud),
        ("middle, round the studs", (~outer & ~inner)[:, None] & at_stud),
        ("middle, between studs", (~outer & ~inner)[:, None] & ~at_stud),
        ("inner ring, next to the spigot", np.broadcast_to(inner[:, None], spoil_um.shape)),
    )
    out = []
    for name, mask in masks:
        if mask.any():
            heights = np.where(mask, spoil_um, np.inf)
            row, column = np.unravel_index(int(np.argmin(heights)), heights.shape)
            out.append(Zone(name, float(heights[row, column]), float(radius_mm[row]), float(angle_deg[column])))
    return tuple(out)
