"""Stiffness of a section against fields whose strain energy is a closed form, and motions that strain nothing."""

from __future__ import annotations

import numpy as np
import pytest

from sim.bodies.flexibility import _eliminated, _ports_last, condense, find_ports, solve_order, solver_of_orders
from sim.bodies.section import Fineness, Rectangle, mesh_section
from sim.bodies.stiffness import assemble
from sim.parts.case import Case
from sim.parts.materials import Metal
from sim.seating.prepared import PRESETS, stiffness_of

INNER, OUTER, HIGH = 30.0, 70.0, 8.0
METAL = Metal(youngs_mpa=110_000.0, poisson=0.26)
#: Integral of r over the section, which every even strain is multiplied by. [mm3]
FIRST_MOMENT = 0.5 * (OUTER**2 - INNER**2) * HIGH
SHEAR = METAL.youngs_mpa / (2.0 * (1.0 + METAL.poisson))
LAME = METAL.youngs_mpa * METAL.poisson / ((1.0 + METAL.poisson) * (1.0 - 2.0 * METAL.poisson))


@pytest.fixture(scope="module")
def body():
    section = mesh_section((Rectangle(INNER, OUTER, 0.0, HIGH),), (INNER, OUTER), (), Fineness(6.0, 2.0, 8.0), 1)
    return assemble(section, METAL)


def field(body, radial, tangential, axial):
    """Nodal values of a field given by three functions of r and z."""
    r, z = body.dof_r_mm, body.dof_z_mm
    parts = [np.broadcast_to(part(r, z), r.shape) for part in (radial, tangential, axial)]
    return np.choose(body.component, parts)


def nothing(r, z):
    return 0.0 * r


def test_even_stretch_has_the_energy_of_its_strains(body):
    """u_r = r, u_z = c z: rr = tt = 1, zz = c everywhere."""
    c = 0.4
    u = field(body, lambda r, z: r, nothing, lambda r, z: c * z)
    due = (LAME * (2.0 + c) ** 2 + 2.0 * SHEAR * (2.0 + c**2)) * FIRST_MOMENT
    assert u @ body.at_order(0) @ u == pytest.approx(due, rel=1e-12)


@pytest.mark.parametrize("order", [1, 2, 7])
def test_hoop_strain_of_a_wave(body, order):
    """u_theta = r sin n theta: tt = n cos n theta, no shear."""
    u = field(body, nothing, lambda r, z: r, nothing)
    due = order**2 * (LAME + 2.0 * SHEAR) * FIRST_MOMENT
    assert u @ body.at_order(order) @ u == pytest.approx(due, rel=1e-12)


@pytest.mark.parametrize("order", [2, 5])
def test_bending_and_twist_of_a_wave(body, order):
    """u_z = r cos n theta: rz = cos n theta, tz = -n sin n theta."""
    u = field(body, nothing, nothing, lambda r, z: r)
    due = SHEAR * (1.0 + order**2) * FIRST_MOMENT
    assert u @ body.at_order(order) @ u == pytest.approx(due, rel=1e-12)


def test_a_body_that_is_only_moved_is_not_strained(body):
    """Shift along the axis, turn about it, shift across it, tilt."""
    motions = (
        (0, field(body, nothing, nothing, lambda r, z: 1.0 + 0.0 * r)),
        (1, field(body, lambda r, z: 1.0 + 0.0 * r, lambda r, z: -1.0 + 0.0 * r, nothing)),
        (1, field(body, lambda r, z: -z, lambda r, z: z, lambda r, z: r)),
    )
    for order, u in motions:
        stiff = body.at_order(order)
        assert np.abs(stiff @ u).max() <= 1e-11 * np.abs(stiff).max() * np.abs(u).max()


def test_mass_weighs_every_component_alike_and_the_blocks_are_symmetric(body):
    for part in range(3):
        u = (body.component == part).astype(float)
        assert u @ body.mass @ u == pytest.approx(FIRST_MOMENT, rel=1e-12)
    for block in (body.k0, body.k1, body.k2, body.mass):
        assert np.abs(block - block.T).max() <= 1e-12 * np.abs(block).max()


@pytest.mark.parametrize("which", ["rotor", "hub", "wheel"])
def test_condensed_to_its_ports_a_body_answers_as_when_every_unknown_is_solved(which):
    """Static condensation is exact: what is eliminated first or last makes no difference beyond round-off."""
    stiffness, held, lines = stiffness_of(Case(), which, PRESETS["rough"])
    ports = find_ports(stiffness, lines)
    condensed = condense(stiffness, held, ports, 5).response
    loads = np.zeros((stiffness.k0.shape[0], ports.loaded))
    loads[ports.dof[: ports.loaded], np.arange(ports.loaded)] = 1.0
    of_orders = solver_of_orders(stiffness, held)
    for order in range(6):
        field = solve_order(stiffness, held, order, loads)
        whole = field[ports.dof]
        assert np.abs(condensed[order] - whole).max() <= 1e-10 * np.abs(whole).max(), order
        assert np.abs(of_orders(order, loads) - field).max() <= 1e-10 * np.abs(field).max(), order
    for order in range(2, 6):  # eliminated, where rigid motion has no part
        assert _eliminated(_ports_last(stiffness, held, ports), ports.loaded, order) is not None
