"""What the later chapters show: solved seatings at the nodes that a page goes between, and three forecasts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Complexes, read_only
from sim.corner.clampings import clampings
from sim.corner.driven import Driven, driven, mean_plane_um
from sim.corner.road_state import as_driven, road_torque_nm
from sim.corner.seated import Seated, seat_corner
from sim.errors import Refused
from sim.handout.speck_table import ORDERS, hub_orders, with_speck
from sim.handout.specks import speck_of
from sim.one_thread import one_thread
from sim.parts.case import Case, SpigotScale
from sim.progress import Progress, silent
from sim.spigot.state import SpigotState
from sim.wear.asked import Settings
from sim.wear.forecast import Forecast, drive

KM = 30_000.0
"""Distance driven, about two years; judgement. [km]"""
DRAWS, POINTS = 200, 61
"""Draws behind each band, the fewest that one is shown with, and distances told: every 500 km."""
HAND_NM = 2.0
"""Nuts run up with the fingers; judgement, 1 to 4 N m."""
SHARES = (0.2, 0.6, 1.0)
"""Torque of nut 1 over that of the others."""
HUB_RUNOUTS_UM = (0.0, 10.0, 20.0, 30.0)
"""Hub face runouts to try beside the case's own; up to the usual limit (common practice, no source)."""
OVER_GAP_UM = (-30.0, -10.0, 15.0, 35.0, 55.0)
"""Scale on the spigot, over the clearance across the diameter: what drops on, and what does not."""


@dataclass(frozen=True, eq=False)
class Solved:
    """Seatings at the nodes of a few axes, the last axis innermost; nothing is read between them.

    Parameters
    ----------
    axes : tuple of tuple of float or str
        What the nodes of each axis are.
    seats : tuple of Seated or None
        None where the physics refuses one.
    """

    axes: tuple[tuple[float | str, ...], ...]
    seats: tuple[Seated | None, ...]

    def orders_um(self, face: str) -> Complexes:
        """Mounted traces, orders 1 and up, HUB frame; nought where refused. Shape (seats, ORDERS). [um].

        By definition of the Fourier series.
        """
        return np.array([np.zeros(ORDERS) if one is None else hub_orders(one, face) for one in self.seats])


@dataclass(frozen=True, eq=False)
class Roads:
    """Forecasts of the corner at three heights of its speck, driven from the seating as driven.

    Parameters
    ----------
    heights_um : tuple of float
    driven : tuple of Driven
    forecasts : tuple of Forecast
    """

    heights_um: tuple[float, ...]
    driven: tuple[Driven, ...]
    forecasts: tuple[Forecast, ...]


@dataclass(frozen=True, eq=False)
class Chapters:
    """What the chapters after the second are made of."""

    roads: Roads
    spigot: Solved
    holes: Solved
    clampings: Solved
    wheel: Solved


def heights_of(case: Case) -> tuple[float, float, float]:
    """Heights of the speck at which the later chapters are solved: none, half, whole. [um]. By definition."""
    height = speck_of(case).height_um
    return 0.0, height / 2.0, height


@one_thread
def chapters(case: Case, preset: str = "standard", progress: Progress = silent) -> Chapters:
    """Solve the later chapters.

    Parameters
    ----------
    case : Case
        With a torque of the road.
    preset : str
    progress : callable(fraction, what)

    Raises
    ------
    Refused
        If the corner is not fit to drive, or cannot be seated as the case has it.

    Notes
    -----
    Heights and runouts in um, distances in km, torques in N m. Each figure's source stands with its own module
    (`sim.seating`, `sim.spigot`, `sim.wear`, `sim.corner`).
    """
    as_driven(case)
    roads = _roads(case, preset, lambda done, what: progress(0.6 * done, what))
    progress(0.6, "scale on the spigot")
    bore = _spigot(case, preset)
    progress(0.75, "every stud position")
    holes = _holes(case, preset)
    progress(0.85, "every clamping")
    held = _clampings(case, preset)
    progress(0.95, "the wheel on")
    return Chapters(roads, bore, holes, held, _wheel(case, preset))


def _roads(case: Case, preset: str, progress: Progress) -> Roads:
    speck, heights = speck_of(case), heights_of(case)
    starts, found = [], []
    for count, height in enumerate(heights):
        progress(count / len(heights), f"{KM:.0f} km on {height:.0f} µm")
        corner = with_speck(case, speck, height)
        start = driven(seat_corner(corner, preset)) if height > 0 else _clean_start(corner, preset)
        if start.seat is None:
            raise Refused(start.refused)
        others = None if start.wheel is None else start.wheel.plane_um
        settings = Settings(draws=DRAWS if height > 0 else 0, points=POINTS)
        found.append(drive(corner, mean_plane_um(start.seat), KM, settings=settings, others_um=others))
        starts.append(start)
    return Roads(heights, tuple(starts), tuple(found))


def _clean_start(corner: Case, preset: str) -> Driven:
    """The corner without its speck as driven: its road has no band, so no wheels are drawn for one."""
    seat = seat_corner(as_driven(corner), preset, thorough=False).as_seat()
    return Driven(seat, "", road_torque_nm(corner.studs), None, "a clean corner's road has none")


def spigot_heights_um(case: Case) -> tuple[float, ...]:
    """Heights of scale on the spigot to try: round the clearance that the bore leaves across its diameter. [um].

    Geometry; how far round it is a judgement.
    """
    gap = 1000.0 * (case.rotor.bore_diameter_mm - case.hub.spigot_diameter_mm)
    return tuple(round(max(gap + over, 5.0)) for over in OVER_GAP_UM)


def _spigot(case: Case, preset: str) -> Solved:
    """Scale on the spigot, a clean hub face: five heights, nuts run up by hand and at full torque."""
    usual = SpigotScale(angle_deg=180.0, arc_deg=120.0, from_face_mm=0.0, to_face_mm=min(4.0, _reach_mm(case)))
    scale = case.spigot_scale[0] if case.spigot_scale else usual
    full = road_torque_nm(case.studs)[0]
    heights, torques = spigot_heights_um(case), (HAND_NM, full)
    corner = replace(case, debris=(), hub=replace(case.hub, spigot_fit=None))
    return _solved(
        (heights, torques),
        lambda height, torque: replace(
            corner,
            spigot_scale=(replace(scale, height_um=height),),
            studs=replace(case.studs, torque_nm=torque, preload_n=None, road_torque_nm=full),
        ),
        preset,
    )


def _reach_mm(case: Case) -> float:
    return float(min(case.hub.spigot_length_mm, case.rotor.flange_thickness_mm))


def state_of(seated: Seated) -> SpigotState:
    """How a rotor sits on its spigot, of a seating with scale on it."""
    assert seated.state is not None
    return seated.state


def _holes(case: Case, preset: str) -> Solved:
    """Clean faces: hub face runouts, each stud position."""
    own = case.hub.face_runout_um
    hubs = tuple(sorted({own, *(value for value in HUB_RUNOUTS_UM if abs(value - own) > 3.0)}))
    clean = case.cleaned()
    return _solved(
        (hubs, tuple(float(k) for k in range(case.studs.count))),
        lambda hub, turned: replace(
            clean, hub=replace(case.hub, face_runout_um=hub), studs=replace(case.studs, studs_turned=int(turned))
        ),
        preset,
    )


def _clampings(case: Case, preset: str) -> Solved:
    speck, heights = speck_of(case), heights_of(case)
    names = tuple(clampings(case))
    return _solved(
        (heights, names), lambda height, name: clampings(with_speck(case, speck, height))[name], preset
    )  # fmt: skip


def _wheel(case: Case, preset: str) -> Solved:
    """Without and with the wheel, nut 1 at a share of the torque of the others, three heights of the speck."""
    speck, heights = speck_of(case), heights_of(case)
    full = road_torque_nm(case.studs)

    def corner(height: float, share: float, held: str) -> Case:
        torque = tuple(value * (share if k == 0 else 1.0) for k, value in enumerate(full))
        studs = replace(case.studs, torque_nm=torque, preload_n=None, clamped_by=held)
        return replace(with_speck(case, speck, height), studs=studs)

    return _solved((heights, SHARES, ("nuts and spacers", "wheel")), corner, preset)


def _solved(axes: Sequence[Sequence[float | str]], corner: Callable[..., Case], preset: str) -> Solved:
    seats: list[Seated | None] = []
    sizes = tuple(len(axis) for axis in axes)
    for index in np.ndindex(*sizes):
        case = corner(*(axis[k] for axis, k in zip(axes, index, strict=True)))
        try:
            seats.append(seat_corner(case, preset, thorough=False))
        except Refused:
            seats.append(None)
    return read_only(Solved(tuple(tuple(axis) for axis in axes), tuple(seats)))
