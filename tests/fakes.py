"""Stand-ins with the attributes of a computed run, for tests of what is drawn and printed: invented numbers."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from sim.bench.cures import Worth, doubt_of_move_um, weigh_gain
from sim.bench.stud_position import Position
from sim.corner.beside import Beside
from sim.corner.driven import Driven
from sim.parts.case import Case, Debris


def case(title: str = "Scale between studs 1 and 2", dirty: bool = True) -> Case:
    """Reference corner, with two patches of dirt when ``dirty``."""
    patches = (
        Debris(),
        Debris(angle_deg=144.0, arc_deg=8.0, inner_radius_mm=52.0, outer_radius_mm=58.0, height_um=40.0),
    )
    return replace(Case(), title=title, debris=patches if dirty else ())


def cells(dirty: bool) -> SimpleNamespace:
    """Three rings of forty contact cells, pressed hardest beside the studs."""
    inner = np.repeat([34.0, 46.0, 57.0], 40)
    angle = np.tile(np.arange(40) * 9.0 + 4.5, 3)
    near = np.cos(np.radians(5 * angle))
    pressure = np.clip(10.0 + 12.0 * near, 0.0, None) + (2.0 if not dirty else 0.0)
    gap = np.where(pressure > 0, 0.0, 4.0)
    index = np.full(angle.size, -1)
    if dirty:
        index[80 + 3 : 80 + 6] = 0
        pressure[80 + 3 : 80 + 6] = 180.0
    return SimpleNamespace(
        inner_radius_mm=inner,
        outer_radius_mm=inner + 11.0,
        angle_deg=angle,
        arc_deg=np.full(angle.size, 9.0),
        pressure_mpa=pressure,
        gap_um=gap,
        debris_index=index,
    )


def seat(runout_um: float = 104.0, of: Case | None = None) -> SimpleNamespace:
    """A seating that reads about ``runout_um`` (mostly a lean, some saddle)."""
    angle = np.arange(360.0)
    theta = np.radians(angle)
    lean = 0.42 * runout_um * np.cos(theta - 0.63) + 0.15 * runout_um * np.cos(2 * (theta - 0.63))
    thickness = 1.5 * np.cos(theta - 2.0)
    outboard, inboard = lean + thickness / 2, lean - thickness / 2
    dirty = runout_um > 60
    return SimpleNamespace(
        case=of or case(dirty=dirty),
        angle_deg=angle,
        outboard_um=outboard,
        inboard_um=inboard,
        thickness_um=thickness,
        lateral_runout_um={"outboard": float(np.ptp(outboard)), "inboard": float(np.ptp(inboard))},
        rigid_runout_um=1.8 * runout_um,
        stud_preload_n=(50000.0,) * 5,
        contact=SimpleNamespace(
            closed_fraction=0.62,
            debris_force_n=(41200.0, 900.0) if dirty else (),
            residual_height_um=(100.0, 40.0) if dirty else (),
            max_pressure_mpa=181.0 if dirty else 22.0,
        ),
        cells=cells(dirty),
        checks=SimpleNamespace(force_residual=3e-14, moment_residual=2e-13, complementarity=4e-15, iterations=7),
        warnings=("debris 2: the part inside a stud hole carries nothing",) if dirty else (),
    )


def forecast(peak_um: float = 18.0, first_um: float = 2.0) -> SimpleNamespace:
    """A wear forecast that rises to ``peak_um`` near 13 000 km and declines after."""
    distance = np.linspace(0.0, 30000.0, 61)
    growth = (distance / 13000.0) * np.exp(1 - distance / 13000.0)
    dtv = first_um + (peak_um - first_um) * growth
    angle = np.arange(180) * 2.0
    theta = np.radians(angle)
    out = 0.6 * dtv[:, None] * (1 + np.cos(theta - 0.63)) / 2 + distance[:, None] * 1e-3
    inn = 0.4 * dtv[:, None] * (1 - np.cos(theta - 0.63)) / 2 + distance[:, None] * 1e-3
    reached = dtv >= 15.0
    orders = np.array([0.45, 0.36, 0.05, 0.02])
    return SimpleNamespace(
        distance_km=distance,
        dtv_um=dtv,
        dtv_low_um=0.45 * dtv,
        dtv_high_um=1.5 * dtv,
        dtv_highest_band_um=(0.55 * peak_um, 1.6 * peak_um),
        thickness_um=-(out + inn),
        outboard_wear_um=out,
        inboard_wear_um=inn,
        angle_deg=angle,
        face_runout_um=np.column_stack([100.0 * np.exp(-distance / 20000), 98.0 * np.exp(-distance / 25000)]),
        km_to_limit=float(distance[np.argmax(reached)]) if reached.any() else None,
        probability_never=0.18,
        thin_spots=({"angle_deg": 36.0, "frame": "rotor"}, {"angle_deg": 216.0, "frame": "rotor"}),
        torque_variation_nm=dtv[:, None] * orders,
        pressure_variation_bar=dtv[:, None] * orders * 0.05,
        judder_speed_km_h=np.array([97.0, 48.5, 32.3, 24.3]),
        volume_balance=3e-16,
        disc_wear_mm=0.45,
        pad_wear_mm=1.1,
        stopped_by="",
        orders=(1, 2, 3, 4),
        judder_band_km_h=np.outer([97.0, 48.5, 32.3, 24.3], [0.9, 1.1]),
        drag_nm=np.linspace(1.0, 0.4, distance.size),
        km_low=float(distance[np.argmax(1.5 * dtv >= 15.0)]) if reached.any() else None,
        km_high=None,
        draws=256,
        disc_life_km=110000.0,
        pad_life_km=48000.0,
        disc_life_band_km=(60000.0, 210000.0),
        pad_life_range_km=(24000.0, 120000.0),
        released_wear_um=np.stack([out, inn], axis=1) * 0.1,
        braked_wear_um=np.stack([out, inn], axis=1) * 0.9,
        pedal_index=dtv / 15.0,
        wheel_index=dtv / 15.0,
        moves_most={"pads.disc_wear_mm3_per_nm": -0.71, "caliper.holder_stiffness_n_mm": -0.55},
        notes=("calibrated to service practice",),
    )


def run(title: str = "Scale between studs 1 and 2", dirty: bool = True, driven: bool = True) -> SimpleNamespace:
    """A computed corner: dirty (about 104 um, felt) or clean (about 22 um, quiet)."""
    what = case(title, dirty)
    return SimpleNamespace(
        case=what,
        seat=seat(104.0 if dirty else 22.0, what),
        forecast=forecast(18.0 if dirty else 3.0) if driven else None,
        spigot=None,
        beside=Beside(0.8 * (104.0 if dirty else 22.0), "", (61.0, 109.0) if dirty else None, (1200.0, 40.0) * dirty),
        versions={"trueseat": "0.1.0", "numpy": "2.0"},
        as_driven=as_driven(0.8 * (104.0 if dirty else 22.0), what),
        reading=None,
        started_from="as driven",
    )


def as_driven(runout_um: float, of: Case) -> Driven:
    """The corner as driven, under a wheel that leaves the runout open by a tenth."""
    seated = seat(runout_um, of)
    figure = seated.gauge_runout_um = seated.lateral_runout_um[of.gauge.face]
    band = SimpleNamespace(span_um=lambda _: (0.9 * figure, 1.1 * figure), drawn=("material", "pad_thickness_mm"))
    return Driven(seated, "", (140.0,) * 5, band)


def worth_moving(now: Position, best: Position, *how, **more) -> Worth:
    """Gain of the best position by reckoning against the uncertainty of its move; ``how`` as of `doubt_of_move_um`."""
    doubt = doubt_of_move_um(now, best, *how, **more)
    return weigh_gain(now.runout_um, best.runout_um, best.studs_turned != now.studs_turned, doubt)
