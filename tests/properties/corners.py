"""Random corners for the property tests and the soak: dirt, scatter of torque, a crooked hub, dished faces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.parts.case import Case, Debris, Hub, Rotor, Studs

# Few geometries, so that their flexibilities are made once; everything else is drawn freely.
COUNTS = (5, 4)
MATERIALS = ("steel", "rigid")
CLAMPS = ("nuts and spacers", "bare nuts", "wheel", "screw only")


@dataclass(frozen=True)
class Draw:
    """Plain numbers of one corner, so that a failing one can be printed and pasted."""

    count: int
    material: str
    torque_nm: tuple[float, ...]
    hub_runout_um: float
    hub_high_deg: float
    hub_dish_um: float
    rotor_dish_um: float
    turned: int
    patches: tuple[Debris, ...]
    clamped_by: str = "nuts and spacers"

    def case(self) -> Case:
        return Case(
            rotor=Rotor(flange_dish_um=self.rotor_dish_um),
            hub=Hub(
                material=self.material,
                face_runout_um=self.hub_runout_um,
                face_high_spot_deg=self.hub_high_deg,
                face_dish_um=self.hub_dish_um,
            ),
            studs=Studs(
                count=self.count, torque_nm=self.torque_nm, studs_turned=self.turned, clamped_by=self.clamped_by
            ),
            debris=self.patches,
        )


def patch(inner, width, angle, arc, height, on, crush, shape="sector", ragged=0.0):
    """A patch within the face; crush pressure 0 stands for hard."""
    return Debris(
        on=on,
        shape=shape,
        ragged_share=ragged,
        angle_deg=angle,
        arc_deg=arc,
        inner_radius_mm=inner,
        outer_radius_mm=min(inner + width, 68.0),
        height_um=height,
        crush_mpa=crush or None,
        modulus_mpa=4000.0 if crush else None,
    )


def draw(rng: np.random.Generator) -> Draw:
    """One corner."""
    count = int(rng.choice(COUNTS))
    base = 10 ** rng.uniform(np.log10(5.0), np.log10(200.0))
    torque = np.clip(base * np.exp(rng.normal(0.0, 0.3, count)), 5.0, 200.0)
    torque[rng.random(count) < 0.06] = 0.0  # a nut left off
    patches = tuple(
        patch(
            rng.uniform(34.0, 66.0),
            rng.uniform(0.5, 20.0),
            rng.uniform(-180.0, 180.0),
            float(np.clip(10 ** rng.uniform(-0.5, 2.56), 0.3, 360.0)),
            float(rng.choice([-1.0, 1.0], p=[0.15, 0.85]) * 10 ** rng.uniform(-1.0, 2.7)),
            str(rng.choice(["hub", "rotor"])),
            float(rng.choice([0.0, 10 ** rng.uniform(0.5, 2.8)])),
            str(rng.choice(["sector", "round"], p=[0.8, 0.2])),
            float(rng.choice([0.0, rng.uniform(0.0, 0.95)], p=[0.8, 0.2])),
        )
        for _ in range(rng.integers(0, 4))
    )
    return Draw(
        count=count,
        material=str(rng.choice(MATERIALS)),
        torque_nm=tuple(float(t) for t in torque),
        hub_runout_um=float(rng.choice([0.0, rng.uniform(0.0, 100.0)])),
        hub_high_deg=float(rng.uniform(0.0, 360.0)),
        hub_dish_um=float(rng.choice([0.0, rng.uniform(-100.0, 100.0)])),
        rotor_dish_um=float(rng.choice([0.0, rng.uniform(-100.0, 100.0)])),
        turned=int(rng.integers(0, count)),
        patches=patches,
        clamped_by=str(rng.choice(CLAMPS, p=[0.7, 0.1, 0.15, 0.05])),
    )


def faults_of(seated) -> list[str]:
    """What breaks the laws of contact, worked out from the cells alone; empty when all is well."""
    cells, studs = seated.cells, seated.case.studs
    out = []
    arrays = (seated.outboard_um, seated.inboard_um, seated.thickness_um, cells.pressure_mpa, cells.gap_um)
    if not all(np.isfinite(array).all() for array in arrays) or not np.isfinite(seated.rigid_runout_um):
        out.append("not a number")
    half = np.deg2rad(cells.arc_deg) / 2
    area = half * (cells.outer_radius_mm**2 - cells.inner_radius_mm**2)
    force, theta = cells.pressure_mpa * area, np.deg2rad(cells.angle_deg)
    lever = 2 / 3 * (cells.outer_radius_mm**3 - cells.inner_radius_mm**3)
    lever = lever / (cells.outer_radius_mm**2 - cells.inner_radius_mm**2) * np.sinc(half / np.pi)
    pull = np.array(seated.stud_preload_n)
    stud = 2 * np.pi * np.arange(studs.count) / studs.count
    if studs.clamped_by == "screw only":  # one screw, half-way between two studs unless said
        stud = np.array([np.pi / studs.count])
    total, arm = pull.sum(), studs.pitch_circle_mm / 2
    if abs(force.sum() - total) > 1e-9 * total:
        out.append("force is not balanced")
    for wave in (np.cos, np.sin):
        if abs((force * lever * wave(theta)).sum() - (pull * arm * wave(stud)).sum()) > 1e-9 * total * arm:
            out.append("moment is not balanced")
    if force.min() < 0:
        out.append("a cell pulls")
    caps = np.array([np.inf if d.crush_mpa is None else d.crush_mpa for d in seated.case.debris] + [np.inf])
    can_crush = np.isfinite(caps[cells.debris_index])
    thin = 1e-6 * (1.0 + np.abs(cells.gap_um).max())
    if cells.gap_um[~can_crush].min(initial=0.0) < -thin:
        out.append("faces overlap")
    if np.minimum(cells.pressure_mpa, np.abs(cells.gap_um))[~can_crush].max(initial=0.0) > thin:
        out.append("pressure across a gap")
    if min(seated.contact.residual_height_um, default=0.0) < -2000.0 or not 0 <= seated.contact.closed_fraction <= 1:
        out.append("summary out of range")
    return out
