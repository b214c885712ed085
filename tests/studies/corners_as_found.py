"""Corners as a workshop finds them, written apart from what the program assumes: the truths of the coverage studies.

Everything here is invented, a judgement, and deliberately of other shapes than `sim.corner.behind_reading.PRIOR`:
gamma, Weibull, beta, triangular and uniform laws instead of log-uniform and normal ones, patches that come in
clusters, ragged patches, faces that are uneven over the radius too, stud bumps, wheels of other thickness and
diameters.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.corner.clampings import DRIVEN, clampings
from sim.parts.case import Case, Debris, Wheel
from sim.parts.dirt import DIRT
from sim.parts.measured_face import Topography
from sim.seating.studs import preloads_n

#: Wheels of the population: material, thickness of the pad, how far its ring ends inside the flange (in diameter).
WHEELS = (("light alloy", 15.0, 3.0), ("light alloy", 26.0, 9.0), ("steel", 11.0, 6.0), ("light alloy", 20.0, 6.0))
LAYERS = (5.0e4, 2.0e5)
GROUPS = ("matched", "bad rotor", "bad hub", "dished face", "inner dirt")


@dataclass(frozen=True, eq=False)
class Truths:
    """Corners of one group: hub and rotor runout apart, because they only add as vectors.

    Parameters
    ----------
    corners : tuple of Case
    pulls : ndarray, shape (2, count, studs)
        Pull of each stud over nominal, as read and as driven.
    """

    corners: tuple[Case, ...]
    pulls: np.ndarray


def found(case: Case, group: str, count: int, seed: int) -> Truths:
    """Draw corners of a group on one geometry, ordered by wheel and contact layer."""
    rng = np.random.default_rng([seed, GROUPS.index(group)])
    corners = [_corner(case, group, rng) for _ in range(count)]
    corners.sort(key=lambda one: (one.wheel.thickness_mm, one.contact.layer_stiffness_n_mm3))
    both = rng.triangular(0.8, 1.0, 1.25, (1, count, 1))
    return Truths(tuple(corners), both * rng.uniform(0.8, 1.2, (2, count, case.studs.count)))


def _corner(case: Case, group: str, rng: np.random.Generator) -> Case:
    material, thick, inset = WHEELS[rng.integers(len(WHEELS))]
    wheel = Wheel(
        pad_inner_diameter_mm=case.rotor.bore_diameter_mm + inset,
        pad_outer_diameter_mm=case.rotor.hat_outer_diameter_mm - inset,
        pad_dish_um=rng.uniform(-30.0, 30.0),
        pad_thickness_mm=thick,
        material=material,
    )
    dish, flange = rng.uniform(-25.0, 25.0), rng.uniform(-30.0, 30.0)
    if group == "dished face":
        large = rng.uniform(40.0, 120.0) * rng.choice((-1.0, 1.0))
        dish, flange = (large, flange) if rng.random() < 0.5 else (dish, large)
    return replace(
        case,
        debris=_dirt(case, group, rng),
        hub=replace(case.hub, face_runout_um=0.0, face_dish_um=dish),
        rotor=replace(case.rotor, own_runout_um=0.0, own_thickness_variation_um=0.0, flange_dish_um=flange),
        wheel=wheel,
        contact=replace(case.contact, layer_stiffness_n_mm3=LAYERS[rng.integers(2)]),
        hub_topography=_uneven(case, rng),
    )


def _uneven(case: Case, rng: np.random.Generator) -> Topography:
    """A hub face with a saddle that grows with the radius, a third wave, and low bumps at the studs."""
    angle, radius = np.arange(0.0, 360.0, 9.0), np.linspace(*case.contact_zone_mm, 4)
    theta = np.deg2rad(angle)[:, None]
    saddle = rng.exponential(5.0) * np.cos(2 * theta - rng.uniform(0, 6.28)) * radius / radius[-1]
    third = rng.exponential(2.0) * np.cos(3 * theta - rng.uniform(0, 6.28))
    bumps = rng.uniform(0.0, 4.0) * np.cos(case.studs.count * theta)
    height = saddle + third + bumps
    return Topography(tuple(angle), tuple(radius), tuple(map(tuple, height)))


def _dirt(case: Case, group: str, rng: np.random.Generator) -> tuple[Debris, ...]:
    inner, outer = case.contact_zone_mm
    zone = outer - inner
    count = min(rng.poisson(1.4), 5)
    if group == "inner dirt":
        count = max(count, 1)
    about = rng.uniform(0.0, 360.0)
    patches = []
    for _ in range(count):
        place = rng.beta(1.2, 3.0) * 0.4 if group == "inner dirt" else rng.beta(2.0, 1.2)
        width = float(np.clip(1.5 + rng.gamma(2.0, 2.5), 1.5, 0.9 * zone))
        low = float(np.clip(inner + place * zone - width / 2, inner, outer - width))
        angle = rng.normal(about, 50.0) if rng.random() < 0.4 else rng.uniform(0.0, 360.0)
        kind = str(rng.choice(["hard", *DIRT], p=(0.2, 0.2, 0.35, 0.1, 0.15)))
        crush = None if kind == "hard" else float(rng.triangular(*DIRT[kind].crush_mpa))
        patches.append(
            Debris(
                on="rotor" if rng.random() < 0.3 else "hub",
                kind=kind,
                angle_deg=float(angle % 360.0),
                arc_deg=float(np.clip(rng.gamma(2.0, 9.0), 2.5, 90.0)),
                inner_radius_mm=low,
                outer_radius_mm=low + width,
                height_um=float(np.clip(rng.gamma(1.8, 35.0), 4.0, 260.0)),
                crush_mpa=crush,
                ragged_share=float(rng.uniform(0.0, 0.5)) if rng.random() < 0.3 else 0.0,
                seed=int(rng.integers(1, 1000)),
            )
        )
    return tuple(patches)


def clamped(corner: Case, name: str, pull: np.ndarray) -> Case:
    """A corner under a clamping, or as driven, every stud pulling as drawn."""
    state = clampings(corner)[name]
    forces = tuple(float(f * p) for f, p in zip(preloads_n(state.studs), pull, strict=True))
    return replace(state, studs=replace(state.studs, torque_nm=None, preload_n=forces))


def as_driven(corner: Case, pull: np.ndarray) -> Case:
    """A corner with the wheel on."""
    return clamped(corner, DRIVEN, pull)


def runout_waves(case: Case, group: str, count: int, rng: np.random.Generator) -> np.ndarray:
    """Orders 0 .. 2 at the gauge that hub and rotor make by themselves. Shape (count, 3), complex. [um]."""
    return hubs_and_waves(case, group, count, rng)[1]


def hubs_and_waves(case: Case, group: str, count: int, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Runout of each bare hub face (count,), and the orders 0 .. 2 that hub and rotor make at the gauge. [um]."""
    hub = 20.0 * rng.weibull(1.5, count)  # TIR on the hub face
    rotor = rng.gamma(2.2, 9.0, count)  # TIR at the gauge
    if group == "bad hub":
        hub = rng.uniform(35.0, 90.0, count)
    if group == "bad rotor":
        rotor = rng.uniform(50.0, 130.0, count)
    lever = case.gauge_radius_mm / case.hub.read_radius_mm
    turn = np.exp(1j * rng.uniform(0.0, 2 * np.pi, (3, count)))
    waves = np.zeros((count, 3), dtype=complex)
    waves[:, 1] = lever * hub / 2 * turn[0] + rotor / 2 * turn[1]
    waves[:, 2] = rng.exponential(2.5, count) * turn[2]
    return hub, waves


def dialled(tir_um: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """What a dial shows of a TIR: graduated 0.01 mm and read to a half, or 0.001 mm; both ends are read. [um]."""
    coarse = rng.random(tir_um.size) < 0.6
    half, step = np.where(coarse, 6.0, 1.6), np.where(coarse, 5.0, 1.0)
    error = rng.uniform(-half, half) - rng.uniform(-half, half)
    return np.maximum(np.round((tir_um + error) / step) * step, step)
