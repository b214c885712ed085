"""Reference cases that need no contact: the glued rotor under a force on its rim (A), and pressure in the bore (D).

The bodies are those of `sim`; loads and what is held are put on here. The reference: see `test_reference_seating`.
"""

from __future__ import annotations

import numpy as np

from sim.bodies.flexibility import find_ports, solve_order
from sim.parts.case import Case, Contact, Debris, Hub, Rotor, Studs
from sim.seating.prepared import PRESETS, stiffness_of
from sim.seating.studs import line_quadrature

GAUGE_MM = 140.0
CASE = Case(
    title="Reference rotor",
    rotor=Rotor(hole_diameter_mm=0.0),
    hub=Hub(material="rigid"),
    studs=Studs(preload_n=15_000.0, seat_inner_diameter_mm=15.0, seat_outer_diameter_mm=28.0),
    debris=(Debris(angle_deg=0.0, arc_deg=20.0, inner_radius_mm=60.0, outer_radius_mm=68.0, height_um=100.0),),
    contact=Contact(layer_stiffness_n_mm3=1e6),
)


def glued_bending_mm(preset, highest):
    """Axial displacement at the gauge, one value a degree from 0 to 180."""
    stiffness, _, lines = stiffness_of(CASE, "rotor", PRESETS[preset])
    ports = find_ports(stiffness, lines)
    glued = (np.abs(stiffness.dof_z_mm) < 1e-9) & (stiffness.dof_r_mm > 34 - 1e-9) & (stiffness.dof_r_mm < 68 + 1e-9)
    line = ports.dof[ports.outboard]
    r = stiffness.dof_r_mm[line]
    place, weight, shape = line_quadrature(r, (130.0, 150.0))
    nodal = (np.where(place > 130.0, place * weight, 0.0)) @ shape
    half = np.deg2rad(10.0)
    pressure = 1000.0 / (half * (150.0**2 - 130.0**2))
    assert abs(2 * half * nodal.sum() * pressure - 1000.0) < 1e-6
    theta = np.deg2rad(np.arange(181.0))
    total = np.zeros(181)
    for n in range(highest + 1):
        wave = half / np.pi if n == 0 else 2 * np.sin(n * half) / (np.pi * n)
        loads = np.zeros((stiffness.k0.shape[0], 1))
        loads[line, 0] = pressure * wave * nodal
        moved = solve_order(stiffness, np.flatnonzero(glued), n, loads)[line, 0]
        total += float(np.interp(GAUGE_MM, r, moved)) * np.cos(n * theta)
    return total


def bore_pressure(preset):
    """Radial displacement of the bore at mid height, and axial displacement at the gauge. [mm]."""
    stiffness, _, lines = stiffness_of(CASE, "rotor", PRESETS[preset])
    ports = find_ports(stiffness, lines)
    line = ports.dof[ports.bore_u]
    z = stiffness.dof_z_mm[line]
    _, weight, shape = line_quadrature(z, ())
    loads = np.zeros((stiffness.k0.shape[0], 1))
    loads[line, 0] = 20.0 * 32.5 * (weight @ shape)
    on_face = (np.abs(stiffness.dof_z_mm) < 1e-9) & (stiffness.dof_r_mm > 34 - 1e-9)
    held = on_face & (stiffness.dof_r_mm < 68 + 1e-9) & (stiffness.component == 2)
    moved = solve_order(stiffness, np.flatnonzero(held), 0, loads)[:, 0]
    outboard = ports.dof[ports.outboard]
    gauge = float(np.interp(GAUGE_MM, stiffness.dof_r_mm[outboard], moved[outboard]))
    return float(np.interp(3.5, z, moved[line])), gauge
