"""The elastic model against closed forms: cylinder, plate, ring, rigid modes, sphere on a flat, press fit.

Sources
-------
Thick cylinder and press fit: Lame, as in Timoshenko and Goodier, Theory of Elasticity, chapter 4.
Annular plate: Kirchhoff theory solved here per harmonic (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells,
chapter 9), and for n = 0 Roark's Formulas for Stress and Strain, table 11.2, case 1l (from memory; the two agree here).
Thin ring: Timoshenko, inextensional bending. Sphere on a flat: Hertz, as in Johnson, Contact Mechanics, chapter 4.

Tolerances: cylinder 0.1 %; plate 1 % at t = 0.5 and 1 mm only, since a plate of 12 mm is 2 to 8 % softer by shear;
ring 0.5 % (its section is 2 % of its radius); Hertz 2 % (finite block, rings of a twentieth of the contact radius).
Left out: the sphere off the axis, since cells are rings and sectors.
"""

from __future__ import annotations

import numpy as np
import pytest
from skfem import MeshQuad

from sim.bodies.flexibility import rigid_modes, solve_order
from sim.bodies.section import Section
from sim.bodies.stiffness import assemble, isotropic, vane_layer
from sim.parts.case import Case, Rotor
from sim.parts.materials import Metal, rotor_metal
from sim.seating.prepared import PRESETS, stiffness_of
from sim.seating.studs import area_mean
from sim.solvers import contact

IRON = Metal(110_000.0, 0.26)
STEEL = Metal(205_000.0, 0.29)
NOTHING = np.zeros(0, dtype=np.int64)


def rectangle(r_mm, z_mm, metal=IRON):
    mesh = MeshQuad.init_tensor(np.asarray(r_mm, float), np.asarray(z_mm, float))
    return assemble(Section(mesh, np.full(mesh.nelements, "solid")), metal)


def pick(stiffness, component, r_mm=None, z_mm=None):
    """Unknowns of one component on a line, in order along it."""
    found = stiffness.component == component
    if r_mm is not None:
        found &= np.abs(stiffness.dof_r_mm - r_mm) < 1e-7
    if z_mm is not None:
        found &= np.abs(stiffness.dof_z_mm - z_mm) < 1e-7
    index = np.flatnonzero(found)
    along = stiffness.dof_z_mm if r_mm is not None else stiffness.dof_r_mm
    return index[np.argsort(along[index])]


def edge_weights(places_mm):
    """Consistent nodal shares of an even load along quadratic elements; they add up to the length."""
    weights = np.zeros(places_mm.size)
    for k in range(0, places_mm.size - 2, 2):
        weights[k : k + 3] += (places_mm[k + 2] - places_mm[k]) * np.array([1, 4, 1]) / 6
    return weights


def close(ours, theirs, rel):
    assert abs(ours / theirs - 1) <= rel, (
        f"ours {ours:.6g}, theirs {theirs:.6g}, off by {100 * (ours / theirs - 1):.3f} %"
    )


# ---------------------------------------------------------------- thick cylinder


def lame_radial_mm(metal, inner, outer, pressure, radius, outside=False):
    """Radial displacement of a thick cylinder free to stretch, under pressure inside or outside."""
    square = outer**2 - inner**2
    a = pressure * (-(outer**2) if outside else inner**2) / square
    b = pressure * inner**2 * outer**2 / square * (-1 if outside else 1)
    return ((1 - metal.poisson) * a * radius + (1 + metal.poisson) * b / radius) / metal.youngs_mpa


def cylinder_mm(metal, inner, outer, elements, pressed):
    """Radial displacement at both edges under 1 MPa on the edge ``pressed``."""
    height = 5.0
    body = rectangle(np.linspace(inner, outer, elements + 1), [0.0, height / 2, height], metal)
    loads = np.zeros((body.k0.shape[0], 1))
    side = pick(body, 0, r_mm=pressed)
    loads[side, 0] = edge_weights(body.dof_z_mm[side]) * pressed * (1 if pressed == inner else -1)
    moved = solve_order(body, NOTHING, 0, loads)[:, 0]
    return moved[pick(body, 0, r_mm=inner)].mean(), moved[pick(body, 0, r_mm=outer)].mean()


def test_thick_cylinder_is_lames_and_the_error_falls():
    exact = lame_radial_mm(IRON, 30.0, 60.0, 1.0, 30.0)
    errors = [abs(cylinder_mm(IRON, 30.0, 60.0, n, 30.0)[0] / exact - 1) for n in (2, 4, 8)]
    assert errors[0] < 1e-3
    assert errors[1] < errors[0] / 4
    assert errors[2] < errors[1] / 4
    close(cylinder_mm(IRON, 30.0, 60.0, 4, 30.0)[1], lame_radial_mm(IRON, 30.0, 60.0, 1.0, 60.0), 1e-3)


def test_press_fit_is_lames():
    """A grey-iron ring 30..60 pressed on a steel tube 20..30 with 0.05 mm of interference on the radius."""
    interference = 0.05
    give = cylinder_mm(IRON, 30.0, 60.0, 8, 30.0)[0] - cylinder_mm(STEEL, 20.0, 30.0, 8, 30.0)[1]
    exact = lame_radial_mm(IRON, 30.0, 60.0, 1.0, 30.0) - lame_radial_mm(STEEL, 20.0, 30.0, 1.0, 30.0, outside=True)
    close(interference / give, interference / exact, 1e-3)


# ---------------------------------------------------------------- annular plate


def kirchhoff_rim_mm(metal, thickness, inner, outer, order):
    """Rim deflection of an annular plate, clamped inside, free outside, under 1 N/mm cos(n theta) on its rim."""
    rigidity = metal.youngs_mpa * thickness**3 / 12 / (1 - metal.poisson**2)
    nu, n = metal.poisson, order
    # Powers (p, log) of w = r^p or r^p ln r; scaled by the outer radius.
    terms = {0: [(0, 0), (2, 0), (0, 1), (2, 1)], 1: [(1, 0), (3, 0), (-1, 0), (1, 1)]}.get(
        n, [(n, 0), (-n, 0), (n + 2, 0), (2 - n, 0)]
    )

    def derivatives(p, log, x):
        """W and its first three derivatives at x."""
        out = []
        # d/dx of x^q (a + b ln x) = x^(q-1) ((q a + b) + q b ln x)
        a, b, q = (0.0, 1.0, p) if log else (1.0, 0.0, p)
        for _ in range(4):
            out.append(x**q * (a + b * np.log(x)))
            a, b, q = q * a + b, q * b, q - 1
        return out

    rows, x = np.zeros((4, 4)), inner / outer
    for column, (p, log) in enumerate(terms):
        w, d1, _, _ = derivatives(p, log, x)
        rows[0, column], rows[1, column] = w, d1
        w, d1, d2, d3 = derivatives(p, log, 1.0)
        rows[2, column] = d2 + nu * (d1 - n**2 * w)
        laplace = d3 + d2 - d1 - n**2 * (d1 - 2 * w)
        rows[3, column] = laplace - n**2 * (1 - nu) * (d1 - w)
    # V = -D [...] / a^3 balances the rim load: D [...] = -load a^3 for a load along +w.
    constants = np.linalg.solve(rows, np.array([0.0, 0.0, 0.0, -1.0]))
    rim = sum(c * derivatives(p, log, 1.0)[0] for c, (p, log) in zip(constants, terms, strict=True))
    return rim * outer**3 / rigidity


def roark_1l_mm(metal, thickness, inner, outer):
    """Roark, table 11.2, case 1l: how far a plate held at its bore goes at its free rim, per N/mm along that rim."""
    rigidity = metal.youngs_mpa * thickness**3 / 12 / (1 - metal.poisson**2)
    share, nu = inner / outer, metal.poisson
    c2 = (1 - share**2 * (1 + 2 * np.log(1 / share))) / 4
    c3 = share / 4 * ((share**2 + 1) * np.log(1 / share) + share**2 - 1)
    c8 = (1 + nu + (1 - nu) * share**2) / 2
    c9 = share * ((1 + nu) / 2 * np.log(1 / share) + (1 - nu) / 4 * (1 - share**2))
    return outer**3 / rigidity * (c2 / c8 * c9 / share - c3 / share)


def plate_rim_mm(thickness, inner, outer, order, elements=40):
    body = rectangle(np.linspace(inner, outer, elements + 1), [0.0, thickness])
    held = np.flatnonzero(np.abs(body.dof_r_mm - inner) < 1e-7)
    loads = np.zeros((body.k0.shape[0], 1))
    rim = pick(body, 2, r_mm=outer)
    loads[rim, 0] = np.array([1, 4, 1]) / 6 * outer
    return float(solve_order(body, held, order, loads)[rim[1], 0])


def test_roark_and_the_general_plate_solution_agree():
    close(roark_1l_mm(IRON, 1.0, 70.0, 150.0), kirchhoff_rim_mm(IRON, 1.0, 70.0, 150.0, 0), 1e-10)


@pytest.mark.parametrize("thickness", [0.5, 1.0])
@pytest.mark.parametrize("order", range(5))
def test_thin_plate_bends_as_kirchhoff_says(thickness, order):
    close(plate_rim_mm(thickness, 70.0, 150.0, order), kirchhoff_rim_mm(IRON, thickness, 70.0, 150.0, order), 0.01)


def test_thick_plate_is_softer_than_thin_plate_theory():
    """Shear adds what plate theory leaves out; a ring as thick as a brake disc must not follow it."""
    ratio = [plate_rim_mm(12.0, 70.0, 150.0, n) / kirchhoff_rim_mm(IRON, 12.0, 70.0, 150.0, n) for n in range(5)]
    assert min(ratio) > 1.01
    assert 1.05 < max(ratio) < 1.10


def test_plate_converges_with_mesh_size():
    finest = plate_rim_mm(1.0, 70.0, 150.0, 2, 80)
    errors = [abs(plate_rim_mm(1.0, 70.0, 150.0, 2, n) / finest - 1) for n in (10, 20, 40)]
    assert errors[0] > errors[1] > errors[2]


# ---------------------------------------------------------------- ring, rigid modes, projection


@pytest.mark.parametrize("order", [2, 3, 4])
def test_thin_ring_bends_in_its_plane(order):
    radius, side = 100.0, 2.0
    body = rectangle([radius - side / 2, radius + side / 2], [0.0, side])
    loads = np.zeros((body.k0.shape[0], 1))
    for place in (radius - side / 2, radius + side / 2):  # half on each side, so that its line is the middle
        line = pick(body, 0, r_mm=place)
        loads[line, 0] = np.array([1, 4, 1]) / 6 * radius / 2
    moved = solve_order(body, NOTHING, order, loads)[:, 0]
    ours = moved[pick(body, 0, z_mm=side / 2)].mean()
    close(ours, radius**4 / (IRON.youngs_mpa * side**4 / 12 * (order**2 - 1) ** 2), 5e-3)


@pytest.fixture(scope="module")
def reference_body():
    return stiffness_of(Case(), "rotor", PRESETS["fast"])[0]


@pytest.mark.parametrize("order", [0, 1])
def test_rigid_motion_costs_nothing(reference_body, order):
    matrix = reference_body.at_order(order)
    if order == 0:
        axial = np.flatnonzero(reference_body.component != 1)
        matrix = matrix[axial][:, axial]
        modes = rigid_modes(reference_body, 0)[axial]
    else:
        modes = rigid_modes(reference_body, 1)
    assert np.abs(matrix @ modes).max() < 1e-11 * np.abs(matrix).max() * np.abs(modes).max()


def test_other_harmonics_resist_everything(reference_body):
    """A tilt of order 1 is no rigid motion of order 2."""
    modes = rigid_modes(reference_body, 1)
    stiff = reference_body.at_order(2)
    assert (modes * (stiff @ modes)).sum(axis=0).min() > 1.0


@pytest.mark.parametrize("order", [0, 1])
def test_free_body_response_is_balanced_and_symmetric(reference_body, order):
    """Self-equilibrated flexibility: K u = f less its resultants, u has no rigid part, and C is symmetric."""
    face = pick(reference_body, 2, z_mm=0.0)[::6]
    loads = np.zeros((reference_body.k0.shape[0], face.size))
    loads[face, np.arange(face.size)] = 1.0
    moved = solve_order(reference_body, NOTHING, order, loads)
    modes = rigid_modes(reference_body, order)
    weighted = reference_body.mass @ modes
    balanced = loads - weighted @ np.linalg.solve(modes.T @ weighted, modes.T @ loads)
    left = reference_body.at_order(order) @ moved - balanced
    if order == 0:
        left = left[reference_body.component != 1]
    assert np.abs(left).max() < 1e-9
    assert np.abs(weighted.T @ moved).max() < 1e-9 * np.abs(weighted.T).sum(axis=1).max() * np.abs(moved).max()
    square = moved[face]
    assert np.abs(square - square.T).max() < 1e-9 * np.abs(square).max()
    assert np.linalg.eigvalsh((square + square.T) / 2).min() > -1e-9 * np.abs(square).max()


# ---------------------------------------------------------------- sphere on a flat


def sphere_on_a_flat(force_n, sphere_mm=200.0):
    """Rigid sphere pressed on the end of a wide block: contact radius and peak pressure by the contact solver."""
    plane = IRON.youngs_mpa / (1 - IRON.poisson**2)
    hertz_a = (3 * force_n * sphere_mm / (4 * plane)) ** (1 / 3)
    fine = np.linspace(0.0, 1.6 * hertz_a, 33)
    coarse = fine[-1] + np.cumsum(0.05 * hertz_a * 1.35 ** np.arange(1, 17))
    depth = -np.concatenate([[0.0], np.cumsum(0.05 * hertz_a * 1.35 ** np.arange(18))])[::-1]
    body = rectangle(np.concatenate([fine, coarse]), depth)
    held = np.flatnonzero(np.abs(body.dof_z_mm - depth[0]) < 1e-9)
    face = pick(body, 2, z_mm=0.0)
    face = face[body.dof_r_mm[face] <= fine[-1] + 1e-9]
    nodes = body.dof_r_mm[face]
    rings = area_mean(nodes, fine[:-1], fine[1:])
    loads = np.zeros((body.k0.shape[0], face.size))
    loads[face, np.arange(face.size)] = 1 / (2 * np.pi)
    response = solve_order(body, held, 0, loads)[face]
    area = np.pi * (fine[1:] ** 2 - fine[:-1] ** 2)
    sphere = (fine[:-1] ** 2 + fine[1:] ** 2) / 2 / (2 * sphere_mm)  # area mean of r^2 / 2R
    flexibility = rings @ response @ rings.T + np.diag(1e-7 / area)
    solved = contact.solve(
        contact.Problem(flexibility, sphere, np.ones((area.size, 1)), np.array([force_n]), np.full(area.size, np.inf))
    )
    closed = np.flatnonzero(solved.force > 0)
    # The edge ring is closed as a whole or not at all: fit the ellipse p^2 = p0^2 (1 - r^2 / a^2) well inside.
    middle_square = (fine[:-1] ** 2 + fine[1:] ** 2) / 2
    inner = middle_square < (0.8 * hertz_a) ** 2
    slope, start = np.polyfit(middle_square[inner], (solved.force / area)[inner] ** 2, 1)
    return np.sqrt(-start / slope), np.sqrt(start), fine[closed[-1] + 1], hertz_a, solved


def test_sphere_on_a_flat_is_hertzs():
    force = 1000.0
    radius, peak, edge, hertz_a, solved = sphere_on_a_flat(force)
    close(radius, hertz_a, 0.02)
    close(peak, 3 * force / (2 * np.pi * hertz_a**2), 0.02)
    assert abs(edge - hertz_a) <= 0.05 * hertz_a  # one ring
    assert solved.checks.force_residual < 1e-9


def test_hertz_contact_radius_grows_with_the_cube_root():
    small, big = sphere_on_a_flat(100.0), sphere_on_a_flat(800.0)
    close(big[0] / small[0], 2.0, 1e-3)


# ---------------------------------------------------------------- material laws


def test_isotropic_law_gives_back_youngs_modulus_and_poissons_ratio():
    give = np.linalg.inv(isotropic(IRON))
    assert np.allclose(np.diag(give)[:3], 1 / IRON.youngs_mpa)
    assert np.allclose(give[0, 1:3], -IRON.poisson / IRON.youngs_mpa)
    assert np.allclose(np.diag(give)[3:], 2 * (1 + IRON.poisson) / IRON.youngs_mpa)


VENTED = Rotor(
    style="vented",
    thickness_mm=22.0,
    cheek_thickness_mm=7.0,
    vane_count=36,
    vane_thickness_mm=6.0,
    vane_inner_diameter_mm=160.0,
    vane_outer_diameter_mm=296.0,
)


def test_vane_layer_carries_along_its_vanes_by_their_share():
    radius = np.array([90.0, 120.0])
    metal = rotor_metal(VENTED)
    law = vane_layer(VENTED, metal, radius)
    share = 36 * 6.0 / (2 * np.pi * radius)
    for k in range(2):
        give = np.linalg.inv(law[:, :, k])
        assert 1 / give[0, 0] == pytest.approx(share[k] * metal.youngs_mpa)
        assert 1 / give[2, 2] == pytest.approx(share[k] * metal.youngs_mpa)
        assert 1 / give[1, 1] < 0.01 * metal.youngs_mpa


def test_vane_layer_shears_more_easily_than_a_bare_guided_beam():
    """Cheeks that bend with the vanes, and their roots, take stiffness away: 7 .. 37 % on the sets tried."""
    metal, radius = rotor_metal(VENTED), np.array([110.0])
    height, thick = 8.0, 6.0
    beam = 12 * metal.youngs_mpa / (1 - metal.poisson**2) * thick**3 / 12 / height**3
    pitch = 2 * np.pi * radius[0] / 36
    shear = metal.youngs_mpa / 2 / (1 + metal.poisson)
    guided = height / pitch / (1 / beam + 1.2 * height / (shear * thick))
    ours = vane_layer(VENTED, metal, radius)[5, 5, 0]
    assert 0.4 * guided < ours < 0.95 * guided
