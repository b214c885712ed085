"""Strain of the section at chosen points, held against fields whose strain is known by hand."""

from __future__ import annotations

import numpy as np
import pytest
from skfem import CellBasis, ElementQuadS2, ElementVector, MeshQuad

from sim.bodies.section import Section
from sim.bodies.stiffness import assemble
from sim.parts.materials import Metal
from sim.spigot.stress import LOCAL, _rows

# Field u, v, w of r and z; strain rr, tt, zz, rz, rt, zt by hand, of order 0 and what each order adds (B0, B1).
FIELDS = {
    "u = z": (
        lambda r, z: (z, 0 * r, 0 * r),
        lambda r, z: (0, z / r, 0, 1, 0, 0),
        lambda r, z: (0, 0, 0, 0, -z / r, 0),
    ),
    "w = r": (lambda r, z: (0 * r, 0 * r, r), lambda r, z: (0, 0, 0, 1, 0, 0), lambda r, z: (0, 0, 0, 0, 0, -1)),
    "a tilt": (lambda r, z: (-z, 0 * r, r), lambda r, z: (0, -z / r, 0, 0, 0, 0), lambda r, z: (0, 0, 0, 0, z / r, -1)),
    "v = r z": (lambda r, z: (0 * r, r * z, 0 * r), lambda r, z: (0, 0, 0, 0, 0, r), lambda r, z: (0, z, 0, 0, 0, 0)),
    "u = r": (lambda r, z: (r, 0 * r, 0 * r), lambda r, z: (1, 1, 0, 0, 0, 0), lambda r, z: (0, 0, 0, 0, -1, 0)),
    "w = z": (lambda r, z: (0 * r, 0 * r, z), lambda r, z: (0, 0, 1, 0, 0, 0), lambda r, z: (0, 0, 0, 0, 0, -z / r)),
}


@pytest.mark.parametrize("name", FIELDS)
def test_strain_of_a_known_field(name):
    field, even, by_order = FIELDS[name]
    mesh = MeshQuad.init_tensor(np.array([30.0, 33.0, 37.0]), np.array([1.0, 4.0]))
    body = assemble(Section(mesh, np.full(mesh.nelements, "solid")), Metal(110_000.0, 0.26))
    moved = np.choose(body.component, field(body.dof_r_mm, body.dof_z_mm))
    x, y = np.meshgrid(LOCAL, LOCAL)
    points = np.vstack([x.ravel(), y.ravel()])
    basis = CellBasis(mesh, ElementVector(ElementQuadS2(), 3), quadrature=(points, np.ones(points.shape[1])))
    places = [(0, 7), (1, 18)]
    at = np.asarray(basis.global_coordinates())
    for part, by_hand in ((0, even), (1, by_order)):
        strain = (_rows(basis, places, part) @ moved).reshape(2, 6)
        for row, (element, point) in zip(strain, places, strict=True):
            assert row == pytest.approx(by_hand(*at[:, element, point]), abs=1e-9)
