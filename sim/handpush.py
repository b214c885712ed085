"""From a path along the spigot to what a hand and nuts do: where a push stops, and at what torque it goes home."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.clamp import pulls
from sim.hoop import stress
from sim.jammed import Place, Way, first_touch_mm, place_loads, pull_on, push_to, stand_off_at_mm
from sim.pair import Pair
from sim.parts import Case
from sim.threads import nominal_diameter_mm

Floats = NDArray[np.float64]
Range = tuple[float, float]

HAND_N = (100.0, 300.0)  # push of two hands: judgement
FRICTION = (0.1, 0.4)  # of iron on steel and on scale, dry to rusty: judgement
NEARLY_HOME_MM = 0.05


@dataclass(frozen=True)
class OneNut:
    """One nut run up first on a rotor that a hand left jammed.

    ``stud`` counts from 1. ``torque_nm`` draws the rotor on at that stud until it is down there; on the way it is
    cocked by ``lean_um`` (TIR at the gauge radius) while its middle stands off by ``stand_off_um``, and the hoop stress
    at the bore reaches ``hoop_mpa``. ``home`` tells whether the whole rotor came down with it.
    """

    stud: int
    torque_nm: float
    lean_um: float
    stand_off_um: float
    hoop_mpa: float
    home: bool


@dataclass(frozen=True, eq=False)
class Push:
    """The push-on, seen as a curve of push against stand-off, at any friction."""

    case: Case
    path: list[Place]

    def needed_n(self, friction: float) -> Floats:
        """Push needed at each place: what the columns carry hardly depends on friction, so one path serves all."""
        ramp = (1 + friction) / (1 - friction)
        return np.array([friction * p.solved.push_n.sum() + ramp * p.climb_n for p in self.path])

    def most_n(self, friction: float | None = None) -> float:
        """Largest push on the way home."""
        if not self.path:
            return 0.0
        mine = [p.needed_n for p in self.path] if friction is None else self.needed_n(friction)
        return float(np.max(mine))

    def stand_off_um(self, force_n: float, friction: float | None = None) -> float:
        """Where a push first stops. [um]."""
        if not self.path:
            return 0.0
        need = np.array([p.needed_n for p in self.path]) if friction is None else self.needed_n(friction)
        return 1000.0 * stand_off_at_mm(self.path, need, force_n, first_touch_mm(self.case))

    def by_hand_um(self) -> Range:
        """Stand-off left by a hand, over its force and over friction. [um]."""
        found = [
            self.stand_off_um(force, mu) for force in HAND_N for mu in (*FRICTION, self.case.contact.bore_friction)
        ]
        return min(found, default=0.0), max(found, default=0.0)

    def torque_home_nm(self) -> Range:
        """Torque of each nut, evenly, that draws the rotor home, over friction. [N m]."""
        arm = self.case.studs.nut_factor * nominal_diameter_mm(self.case.studs.thread) / 1000.0
        found = [self.most_n(mu) for mu in (*FRICTION, self.case.contact.bore_friction)]
        torque = [0.0 if force <= HAND_N[0] else arm * force / self.case.studs.count for force in found]
        return min(torque), max(torque)

    def proof(self) -> dict[str, float]:
        """Worst residuals along the path."""
        return {
            "path_balance": max((float(p.solved.balance) for p in self.path), default=0.0),
            "path_complementarity": max((float(p.solved.complementarity) for p in self.path), default=0.0),
            "path_friction_cone": max((float(p.solved.cone) for p in self.path), default=0.0),
        }


def one_nut(pair: Pair, case: Case, push: Push) -> tuple[OneNut, ...]:
    """Run one nut up on the rotor that a hand left jammed: the stud nearest the scale, and the most opposite."""
    friction = case.contact.bore_friction
    left = push.stand_off_um(sum(HAND_N) / 2) / 1000.0
    if left <= 0.0:
        return ()
    start = push_to(pair, case, friction, push.path, left)
    studs = pulls(case.studs)
    middle = np.exp(1j * np.deg2rad([s.angle_deg for s in case.spigot_scale])).sum() if case.spigot_scale else 1.0
    toward = np.cos(studs.angle_rad - np.angle(middle))
    arm = case.studs.nut_factor * nominal_diameter_mm(case.studs.thread) / 1000.0
    out = []
    for stud in sorted({int(np.argmax(toward)), int(np.argmin(toward))}):
        way = Way(float(studs.x_mm[stud]), float(studs.y_mm[stud]))
        places = pull_on(pair, case, friction, start, way)
        cocked = max(places, key=lambda place: place.lean_rad)
        last = places[-1]
        hoop = [stress(pair, place_loads(pair, p)[0]).bore_hoop_mpa for p in places]
        out.append(
            OneNut(
                stud=stud + 1,
                torque_nm=arm * max(p.needed_n for p in places),
                lean_um=2000.0 * case.gauge_radius_mm * cocked.lean_rad,
                stand_off_um=1000.0 * cocked.stand_off_mm,
                hoop_mpa=max(hoop),
                home=last.stand_off_mm < NEARLY_HOME_MM,
            )
        )
    return tuple(out)
