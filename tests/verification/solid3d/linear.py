"""Two linear load cases of the rotor alone, against which the mesh is proved before any contact is solved."""

from __future__ import annotations

import numpy as np

from sim.parts.case import Case, Debris
from tests.verification.solid3d.cases import Density, face_lines, gauge_nodes, material, rotor_mesh, sector_lines
from tests.verification.solid3d.deck import Body, Model
from tests.verification.solid3d.mesh import Floats, Mesh, facet_areas

AXIAL_N, AXIAL_BAND_MM, AXIAL_SPAN_DEG = 1000.0, (130.0, 150.0), (-10.0, 10.0)
BORE_PRESSURE_MPA = 20.0


def glued(case: Case, density: Density) -> Model:
    """Mounting face glued over the contact zone, an axial force spread over a piece of the outboard friction face."""
    span = Debris(angle_deg=0.0, arc_deg=AXIAL_SPAN_DEG[1] - AXIAL_SPAN_DEG[0])
    theta = sector_lines((span,), 0.0, True, density)
    mesh = rotor_mesh(case, face_lines(case, density), theta, density, AXIAL_BAND_MM)
    face = _face(case, mesh)
    held = {freedom: face for freedom in (1, 2, 3)}
    held[2] = np.concatenate([face, _plane(mesh)])
    low = case.rotor.flange_thickness_mm - case.rotor.overall_height_mm
    areas = facet_areas(mesh, low + case.rotor.thickness_mm, AXIAL_BAND_MM, AXIAL_SPAN_DEG)
    force = np.zeros((mesh.nodes.shape[0], 3))
    force[:, 2] = 0.5 * AXIAL_N * areas / areas.sum()
    return Model(Body(mesh, *material(case.rotor)), held=held, force=force, watch=gauge_nodes(case, mesh))


def bore_pressed(case: Case, density: Density) -> Model:
    """Uniform pressure all round the bore, the contact zone of the mounting face held axially only."""
    theta = sector_lines((), 0.0, True, density)
    mesh = rotor_mesh(case, face_lines(case, density), theta, density)
    bore = mesh.node_at[0, mesh.plane(0.0) :, :]
    held = {2: _plane(mesh), 3: _face(case, mesh)}
    watch = gauge_nodes(case, mesh) | {"BORE": bore.ravel()}
    # The bore's two innermost rings of elements in the first sector carry the hoop stress that is asked for.
    stress = mesh.hex_at[0:2, mesh.plane(0.0) :, 0].ravel()
    return Model(
        Body(mesh, *material(case.rotor)),
        held=held,
        force=bore_force(mesh),
        watch=watch,
        stress_elements=stress,
    )


def _face(case: Case, mesh: Mesh) -> np.ndarray:
    first, last = mesh.ring(0.5 * case.hub.face_inner_diameter_mm), mesh.ring(0.5 * case.hub.face_diameter_mm)
    return mesh.node_at[first : last + 1, mesh.plane(0.0), :].ravel()


def _plane(mesh: Mesh) -> np.ndarray:
    return np.nonzero(np.abs(mesh.nodes[:, 1]) < 1e-9)[0]


def bore_force(mesh: Mesh) -> Floats:
    """Pressure on the flat facets of the bore, each corner taking a quarter."""
    force = np.zeros((mesh.nodes.shape[0], 3))
    edges = np.radians(mesh.sector_edges)
    for k in range(mesh.plane(0.0), mesh.z.size - 1):
        for j in range(edges.size - 1):
            middle, half = 0.5 * (edges[j] + edges[j + 1]), 0.5 * (edges[j + 1] - edges[j])
            push = BORE_PRESSURE_MPA * 2.0 * mesh.r[0] * np.sin(half) * (mesh.z[k + 1] - mesh.z[k])
            corners = mesh.node_at[0, [k, k + 1, k, k + 1], [j, j, j + 1, j + 1]]
            force[corners, 0] += 0.25 * push * np.cos(middle)
            force[corners, 1] += 0.25 * push * np.sin(middle)
    return force
