"""A made-up run for tests of the drawing: a rotor that leans and bends by given amounts; no physics behind it."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from sim.bodies.displacement import Deformation
from sim.parts.case import Case, Debris, Rotor

ANGLE_DEG = np.arange(360.0)


def motion(first_um, second_um, at_radius_mm, high_deg, node_r, node_z):
    """Tilt (order 1) plus bend (order 2) of a body, given as amplitudes at a radius."""
    orders = np.array([0, 1, 2])
    axial = np.zeros((3, node_r.size), dtype=complex)
    radial = np.zeros_like(axial)
    tangential = np.zeros_like(axial)
    lean = first_um * 1e-3 / at_radius_mm * np.exp(-1j * np.deg2rad(high_deg))
    axial[1] = lean * node_r
    radial[1] = -lean * node_z
    tangential[1] = -1j * lean * node_z
    axial[2] = second_um * 1e-3 * (node_r / at_radius_mm) ** 2 * np.exp(-2j * np.deg2rad(high_deg))
    quad = np.zeros((0, 4), dtype=np.int64)
    return Deformation(node_r, node_z, quad, orders, radial, tangential, axial)


def grid(r_low, r_high, z_low, z_high):
    r, z = np.meshgrid(np.linspace(r_low, r_high, 30), np.linspace(z_low, z_high, 12))
    return r.ravel(), z.ravel()


def run(first_um=45.0, second_um=18.0, high_deg=40.0, dirty=True, style="solid", growth_um=26.0):
    """A run with the attributes that the drawing reads; lateral runout about twice ``first_um``."""
    rotor = Rotor()
    if style == "vented":
        rotor = Rotor(
            style="vented",
            outer_diameter_mm=320.0,
            thickness_mm=28.0,
            friction_inner_diameter_mm=205.0,
            ring_inner_diameter_mm=160.0,
            cheek_thickness_mm=9.0,
            vane_count=36,
            vane_thickness_mm=6.0,
            vane_inner_diameter_mm=170.0,
            vane_outer_diameter_mm=312.0,
        )
    debris = (Debris(angle_deg=36.0, height_um=100.0),) if dirty else ()
    case = Case(title="Scale between studs 1 and 2" if dirty else "Cleaned", rotor=rotor, debris=debris)
    gauge_radius = rotor.outer_diameter_mm / 2 - case.gauge.from_edge_mm
    angle = np.deg2rad(ANGLE_DEG)
    trace = first_um * np.cos(angle - np.deg2rad(high_deg)) + second_um * np.cos(2 * (angle - np.deg2rad(high_deg)))
    rotor_motion = motion(
        first_um, second_um, gauge_radius, high_deg, *grid(30.0, rotor.outer_diameter_mm / 2, -60.0, 10.0)
    )
    hub_motion = motion(0.2 * first_um, 0.0, gauge_radius, high_deg, *grid(18.0, 70.0, -55.0, 12.0))
    ring_r = np.arange(36.0, 68.0, 8.0)
    cell_r, cell_a = np.meshgrid(ring_r, np.arange(3.0, 360.0, 6.0))
    ripple = np.cos(5 * np.deg2rad(cell_a))
    cells = SimpleNamespace(
        inner_radius_mm=cell_r.ravel(),
        outer_radius_mm=cell_r.ravel() + 8.0,
        angle_deg=cell_a.ravel(),
        arc_deg=np.full(cell_r.size, 6.0),
        pressure_mpa=np.clip(20.0 * ripple, 0.0, None).ravel(),
        gap_um=np.clip(-15.0 * ripple, 0.0, None).ravel(),
        debris_index=np.full(cell_r.size, -1),
    )
    seat = SimpleNamespace(
        case=case,
        angle_deg=ANGLE_DEG,
        outboard_um=trace,
        inboard_um=trace,
        thickness_um=np.zeros(360),
        lateral_runout_um={"outboard": float(np.ptp(trace)), "inboard": float(np.ptp(trace))},
        rigid_runout_um=1.3 * float(np.ptp(trace)),
        stud_preload_n=(50000.0,) * 5,
        contact=SimpleNamespace(
            closed_fraction=0.6,
            debris_force_n=(9000.0,) if dirty else (),
            residual_height_um=(100.0,) if dirty else (),
            max_pressure_mpa=88.0,
        ),
        cells=cells,
        warnings=(),
        rotor_deformation=lambda: rotor_motion,
        hub_deformation=lambda: hub_motion,
    )
    distance = np.linspace(0.0, 30000.0, 121)
    growth = growth_um * (1.0 - np.exp(-distance / 9000.0))
    reached = np.flatnonzero(growth >= case.limits.dtv_um)
    forecast = SimpleNamespace(
        distance_km=distance,
        dtv_um=growth,
        dtv_low_um=0.6 * growth,
        dtv_high_um=1.5 * growth,
        dtv_highest_band_um=None,
        km_to_limit=float(distance[reached[0]]) if reached.size else None,
        probability_never=0.1 if reached.size else 0.8,
        judder_speed_km_h=(97.0,),
        angle_deg=np.arange(0.0, 360.0, 3.0),
        stopped_by="distance",
    )
    return SimpleNamespace(
        case=case,
        seat=seat,
        forecast=forecast,
        spigot=None,
        beside=None,
        as_driven=None,
        reading=None,
        started_from="as driven",
    )
