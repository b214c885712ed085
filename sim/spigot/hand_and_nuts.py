"""From a path along the spigot to what a hand and nuts do: where a push stops, and at what torque it goes home."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats, read_only
from sim.disk_cache import fetch
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Studs
from sim.parts.threads import nominal_diameter_mm
from sim.seating.prepared import Pair
from sim.seating.studs import stud_angles_rad
from sim.spigot.path import Place, first_touch_mm, place_loads, pull_on, push_on, push_to, stand_off_at_mm
from sim.spigot.path_step import at_stud
from sim.spigot.stress import stress

Range = tuple[float, float]

HAND_N = (100.0, 300.0)  # push of two hands: judgement
FRICTION = (0.1, 0.4)  # of iron on steel and on scale, dry to rusty: judgement
NEARLY_HOME_MM = 0.05  # nearer than this a path has gone home; judgement


@dataclass(frozen=True)
class OneNut:
    """One nut run up first on a rotor that a hand left jammed.

    ``stud`` counts from 1. ``torque_nm`` draws the rotor on at that stud until it is down there, infinite (null in
    JSON) where the bore binds before; on the way it is cocked by ``lean_um`` (TIR at the gauge radius) while its middle
    stands off by ``stand_off_um``, and the hoop stress at the bore reaches ``hoop_mpa``. ``home`` tells whether the
    whole rotor came down with it.
    """

    stud: int
    torque_nm: float
    lean_um: float
    stand_off_um: float
    hoop_mpa: float
    home: bool


@dataclass(frozen=True, eq=False)
class Push:
    """Even pushes along the spigot: one path at the case's friction, one at each end of `FRICTION`.

    Parameters
    ----------
    case : Case
    paths : dict of float to list of Place
        By friction; empty lists where the bore has room.
    """

    case: Case
    paths: dict[float, list[Place]]

    @property
    def path(self) -> list[Place]:
        """The path at the case's friction."""
        return self.paths[self.case.contact.bore_friction]

    def most_n(self, friction: float) -> float:
        """Largest push on the way home; infinite where the bore binds before. [N]."""
        path = self.paths[friction]
        if path and path[-1].stand_off_mm > NEARLY_HOME_MM:
            return float("inf")
        return max((float(place.needed_n) for place in path), default=0.0)

    def stand_off_um(self, force_n: float, friction: float) -> float:
        """Where a push stops first. [um]. Statics: where the path first needs more than the push."""
        path = self.paths[friction]
        return 1000.0 * stand_off_at_mm(path, force_n, first_touch_mm(self.case)) if path else 0.0

    def span_um(self, forces_n: tuple[float, ...]) -> Range:
        """Stand-off over some pushes and over friction. [um]."""
        found = [self.stand_off_um(force, friction) for force in forces_n for friction in self.paths]
        return min(found), max(found)

    def torque_home_nm(self) -> Range:
        """Torque of each nut, evenly, that draws the rotor home, over friction; 0 where a hand does it. [N m].

        T = K d F for each nut (Shigley), F the path's largest push shared evenly.
        """
        arm = self.case.studs.nut_factor * nominal_diameter_mm(self.case.studs.thread) / 1000.0
        most = [self.most_n(friction) for friction in self.paths]
        torque = [0.0 if force <= HAND_N[0] else arm * force / self.case.studs.count for force in most]
        return min(torque), max(torque)

    def proof(self) -> dict[str, float]:
        """Worst residuals along the paths."""
        solved = [place.solved for path in self.paths.values() for place in path]
        return {
            "path_balance": max((float(one.balance) for one in solved), default=0.0),
            "path_complementarity": max((float(one.complementarity) for one in solved), default=0.0),
            "path_friction_cone": max((float(one.cone) for one in solved), default=0.0),
        }


@one_thread
def pushes(pair: Pair | None, case: Case, thorough: bool) -> Push:
    """Follow the even push at the case's friction and, if thorough, at the ends of its range.

    Without a pair the bore has room and there is nothing to follow.
    """
    every = sorted({*(FRICTION if thorough else ()), case.contact.bore_friction})
    if pair is None:
        return Push(case, {mu: [] for mu in every})
    studs = Studs(count=case.studs.count, pitch_circle_mm=case.studs.pitch_circle_mm)
    pushed = Case(rotor=case.rotor, hub=case.hub, studs=studs, spigot_scale=case.spigot_scale, contact=case.contact)
    return Push(case, {mu: list(_followed(pair, pushed, mu)) for mu in every})


@lru_cache(maxsize=12)  # one corner under all its clampings: whatever clamps it, it is pushed one way
def _followed(pair: Pair, pushed: Case, friction: float) -> tuple[Place, ...]:
    return read_only(tuple(push_on(pair, pushed, friction)))


BINDS = -1.0  # stands for an infinite torque where it is kept: what is kept is finite
# What one nut run up alone does follows from these parts of a case, and from its studs without what tightens them: the
# nut is followed as far as it goes.
FOLLOWS_FROM = ("rotor", "hub", "wheel", "spigot_scale", "debris", "contact", "gauge")
TIGHTENS = ("torque_nm", "road_torque_nm", "preload_n")


@one_thread
def one_nut(pair: Pair, case: Case, push: Push) -> tuple[OneNut, ...]:
    """Run one nut up on the rotor that a hand left jammed: the stud nearest the scale, and the most opposite.

    Kept on disk: it is most of the time of a jammed rotor's state, and one corner is asked for its state by many.
    """

    def build() -> dict[str, NDArray]:
        found = _one_nut(pair, case, push)
        rows = [[one.stud, one.torque_nm, one.lean_um, one.stand_off_um, one.hoop_mpa, one.home] for one in found]
        table: Floats = np.array(rows, dtype=float).reshape(len(rows), 6)
        return {"rows": np.nan_to_num(table, posinf=BINDS)}

    studs = {name: value for name, value in vars(case.studs).items() if name not in TIGHTENS}
    told = repr((pair.key.preset, studs, [getattr(case, name) for name in FOLLOWS_FROM]))
    arrays, _ = fetch("one-nut", hashlib.sha256(told.encode()).hexdigest(), build, __name__)
    return tuple(
        OneNut(int(stud), float("inf") if torque == BINDS else torque, lean, stand_off, hoop, bool(home))
        for stud, torque, lean, stand_off, hoop, home in arrays["rows"].tolist()
    )


def _one_nut(pair: Pair, case: Case, push: Push) -> tuple[OneNut, ...]:
    friction = case.contact.bore_friction
    left = push.stand_off_um(sum(HAND_N) / 2, friction) / 1000.0
    if left <= 0.0:
        return ()
    start = push_to(pair, case, friction, push.path, left)
    angle = stud_angles_rad(case.studs.count)
    middle = np.exp(1j * np.deg2rad([s.angle_deg for s in case.spigot_scale])).sum() if case.spigot_scale else 1.0
    toward = np.cos(angle - np.angle(middle))
    arm = case.studs.nut_factor * nominal_diameter_mm(case.studs.thread) / 1000.0
    out = []
    for stud in sorted({int(np.argmax(toward)), int(np.argmin(toward))}):
        way = at_stud(case, stud + 1)
        try:
            places = pull_on(pair, case, friction, start, way)
        except Refused:  # the rest of the answer stands without it
            continue
        cocked = max(places, key=lambda place: place.lean_rad)
        last = places[-1]
        down = float(-way.push @ last.motion) < NEARLY_HOME_MM
        hoop = [stress(pair, place_loads(pair, p)[0]).bore_hoop_mpa for p in places]
        out.append(
            OneNut(
                stud=stud + 1,
                torque_nm=arm * max(p.needed_n for p in places) if down else float("inf"),
                lean_um=2000.0 * case.gauge_radius_mm * cocked.lean_rad,
                stand_off_um=1000.0 * cocked.stand_off_mm,
                hoop_mpa=max(hoop),
                home=last.stand_off_mm < NEARLY_HOME_MM,
            )
        )
    return tuple(out)
