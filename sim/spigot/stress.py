"""Stress of the rotor where a tight bore can crack it: at the bore and at the corner of flange and hat.

Stress is linear in the loads on the ports, harmonic by harmonic. The rows are made once per geometry and kept on disk.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, eye_array, kron

from sim.arrays import Complexes, Floats
from sim.bodies.flexibility import find_ports
from sim.bodies.stiffness import Stiffness, isotropic
from sim.bodies.vaned_ring import HIGHEST_TRUE, SLICES
from sim.disk_cache import fetch
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.materials import rotor_metal
from sim.seating.dial_trace import Loads
from sim.seating.prepared import PRESETS, Pair, solver_of, stiffness_of

if TYPE_CHECKING:
    from skfem import CellBasis

STRESS_ORDERS = 30  # higher ones die out within a millimetre or two of the load; judgement
CORNER_AWAY_MM = 1.0  # a sharp corner has no stress of its own: it is read this far from it, about a fillet's radius
ANGLES = 180  # every two degrees
LOCAL = np.array([0.0, 0.25, 0.5, 0.75, 1.0])  # places in an element, 0 .. 1, where stress is read


@dataclass(frozen=True, eq=False)
class StressRows:
    """Stress at chosen points per unit load on every loadable port.

    Parameters
    ----------
    bore : ndarray, shape (orders, heights, loaded ports)
        Hoop stress on the bore. [MPa/N]
    corner : ndarray, shape (orders, 2, 6, loaded ports)
        rr, tt, zz, rz (cosine) and rt, zt (sine) by the hat corner: under the flange, and on the inside of the wall.
    bore_z_mm : ndarray, shape (heights,)
        Above the mounting face. [mm]
    """

    bore: Floats
    corner: Floats
    bore_z_mm: Floats


@one_thread
@lru_cache(maxsize=8)
def stress_rows(pair: Pair) -> StressRows:
    """Stress rows of the pair's rotor; from the disk cache, else by solving.

    [MPa/N]. Hooke's law on the strain of the section's Fourier finite elements, order by order.
    """
    case = Case(rotor=pair.key.rotor, hub=pair.key.hub, studs=pair.key.studs)
    preset = PRESETS[pair.key.preset]
    loaded = pair.rotor.flexibility.ports
    true_vanes = pair.key.rotor.has_true_vanes and (SLICES, HIGHEST_TRUE)
    identity = repr((pair.key, true_vanes, STRESS_ORDERS, CORNER_AWAY_MM, loaded.loaded))

    def build() -> dict[str, NDArray]:
        _, _, lines = stiffness_of(case, "rotor", preset)
        stiffness, solve = solver_of(case, "rotor", preset)
        strain0, strain1, z = _strain_rows(stiffness, case)
        ports = find_ports(stiffness, lines).dof[: loaded.loaded]
        stress = kron(eye_array(z.size + 2), isotropic(rotor_metal(case.rotor))).tocsr()
        wanted = np.append(6 * np.arange(z.size) + 1, np.arange(6 * z.size, 6 * z.size + 12))
        out = []
        for order in range(min(STRESS_ORDERS, preset.highest) + 1):
            # By reciprocity the answer to these loads at the ports is the stress that unit loads there make.
            loads = (stress @ (strain0 + order * strain1))[wanted].T.toarray()
            out.append(solve(order, loads)[ports].T)
        rows = np.stack(out)
        return {"bore": rows[:, :-12], "corner": rows[:, -12:].reshape(rows.shape[0], 2, 6, -1), "z": z}

    arrays, _ = fetch("stress", identity, build, __name__)
    return StressRows(arrays["bore"], arrays["corner"], arrays["z"])


def _strain_rows(stiffness: Stiffness, case: Case) -> tuple[csr_matrix, csr_matrix, Floats]:
    """Strain at heights of the bore, then at two places by the hat corner, without and with the factor n."""
    from skfem import CellBasis, ElementQuadS2, ElementVector  # slow to load; a stored geometry asks for none of it

    mesh, rotor = stiffness.basis.mesh, case.rotor
    bore, hat = rotor.bore_diameter_mm / 2, rotor.hat_inner_radius_mm
    corner_r, corner_z = mesh.p[0][mesh.t], mesh.p[1][mesh.t]
    touching = (corner_r.min(axis=0) < bore + 1e-6) | (
        np.hypot(corner_r - hat, corner_z).min(axis=0) < CORNER_AWAY_MM + 1.0
    )
    elements = np.flatnonzero(touching)
    x, y = np.meshgrid(LOCAL, LOCAL)
    points = np.vstack([x.ravel(), y.ravel()])
    basis = CellBasis(
        mesh,
        ElementVector(ElementQuadS2(), 3),
        elements=elements,
        quadrature=(points, np.full(points.shape[1], 1.0 / points.shape[1])),
    )
    r, z = np.asarray(basis.global_coordinates())
    chosen: dict[float, tuple[int, int]] = {}
    end = (np.abs(r - bore) < 1e-9) & np.isin(np.round(z, 6), np.round(mesh.p[1], 6))
    for e, q in zip(*np.nonzero(end), strict=True):
        chosen.setdefault(round(float(z[e, q]), 6), (int(e), int(q)))
    places = [chosen[height] for height in sorted(chosen)]
    for at in ((hat - CORNER_AWAY_MM, 0.0), (hat, -CORNER_AWAY_MM)):
        e, q = np.unravel_index(int(np.argmin(np.hypot(r - at[0], z - at[1]))), r.shape)
        places.append((int(e), int(q)))
    return _rows(basis, places, 0), _rows(basis, places, 1), np.array(sorted(chosen))


def _rows(basis: CellBasis, places: list[tuple[int, int]], part: int) -> csr_matrix:
    """B0 (part 0) or B1 (part 1) of the section's strain at chosen points of chosen elements."""
    radius = np.asarray(basis.global_coordinates())[0]
    dofs = basis.element_dofs
    rows, columns, values = [], [], []
    for k, (e, q) in enumerate(places):
        for local in range(basis.Nbfun):
            field = basis.basis[local][0]
            u, du, r = np.asarray(field)[:, e, q], field.grad[:, :, e, q], radius[e, q]
            if part == 0:
                six = [du[0, 0], u[0] / r, du[2, 1], du[0, 1] + du[2, 0], du[1, 0] - u[1] / r, du[1, 1]]
            else:
                six = [0.0, u[1] / r, 0.0, 0.0, -u[0] / r, -u[2] / r]
            rows += [6 * k + c for c in range(6)]
            columns += [int(dofs[local, e])] * 6
            values += six
    return csr_matrix((values, (rows, columns)), shape=(6 * len(places), basis.N))


@dataclass(frozen=True, eq=False)
class Stress:
    """Stress round the turn, every two degrees of the HUB frame. [MPa].

    ``bore`` is the hoop stress at heights of the bore, shape (heights, 180); ``corner`` the six stresses rr, tt, zz,
    rz, rt, zt at two places by the hat corner, shape (2, 6, 180).
    """

    bore: Floats
    corner: Floats

    @property
    def bore_hoop_mpa(self) -> float:
        """Highest hoop stress at the bore."""
        return float(self.bore.max())

    @property
    def corner_hoop_mpa(self) -> float:
        """Highest hoop stress by the hat corner."""
        return float(self.corner[:, 1].max())

    @property
    def corner_principal_mpa(self) -> float:
        """Highest principal stress by the hat corner."""
        tensor = self.corner[:, [[0, 4, 3], [4, 1, 5], [3, 5, 2]], :].transpose(0, 3, 1, 2)
        return float(np.linalg.eigvalsh(tensor)[..., -1].max())


@one_thread
def stress(pair: Pair, bore: Complexes, loads: Loads | None = None) -> Stress:
    """Stress of the rotor under loads on its bore, and on its faces too if given.

    Parameters
    ----------
    pair : Pair
    bore : ndarray of complex, shape (orders, bore ports)
        [N]
    loads : Loads, optional
        Face and stud loads; the bore's push alone if left out.

    Returns
    -------
    Stress

    Notes
    -----
    Superposition of the stress rows; Lame's ring stands beside it in tests/verification/test_spigot_closed_forms.py.
    """
    rows = stress_rows(pair)
    ports = pair.rotor.flexibility.ports
    count = rows.bore.shape[0]
    load = np.zeros((count, ports.loaded), dtype=complex)
    load[:, np.concatenate([ports.bore_u, ports.bore_w])] = bore[:count]
    if loads is not None:
        load[:, ports.face] += loads.face[0][:count]
        load[:, ports.top] += loads.back[0][:count]
    hoop = np.einsum("npl,nl->np", rows.bore, load)
    corner = np.einsum("npcl,nl->npc", rows.corner, load)
    corner[:, :, 4:] *= -1j
    turn = np.exp(1j * np.outer(np.arange(count), np.linspace(0, 2 * np.pi, ANGLES, endpoint=False)))
    return Stress((hoop.T @ turn).real, np.einsum("npc,nt->pct", corner, turn).real)
