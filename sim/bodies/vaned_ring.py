"""A vented rotor with its true straight vanes: one vane pitch in three dimensions, joined to the hat's harmonics.

The field of order n is exp(i n theta) times a function that repeats from vane to vane (Floquet). About the middle of a
vane it is even + i odd with real parts, so one real symmetric system on half a pitch holds it, with the odd part zero
on both cut faces. A field without change along the pitch is exactly a field of `sim.bodies.stiffness`: on a ring
without vanes the two models are one, rigid motion of orders 0 and 1 is free of strain, and the hat is joined at
common nodes.

Hat and flange stay harmonic. They see the ring as a stiffness of order n on the circle of nodes where the wall leaves
it; what the vanes add there in orders n +- vane count is held at zero, which dies out within the wall.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_matrix, csr_matrix, eye_array, hstack, kron

from sim.arrays import Floats, Ints
from sim.bodies.flexibility import Flexibility, solve_order
from sim.bodies.pitch_mesh import Sector, Slices, Vanes, extrude, means, nearest
from sim.bodies.pitch_system import reduce_system, tied_system
from sim.bodies.section import Section
from sim.bodies.stiffness import Stiffness, assemble
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Rotor
from sim.parts.materials import Metal
from sim.progress import Progress

HIGHEST_TRUE = 12  # above it what reaches the hub face does not tell vanes from a smeared layer
# Orders solved directly: 0 and 1, which hold rigid motion, and these shares of the highest.
SOLVED = np.array([0.5, 1.0])
SLICES = Slices()
NOTHING_HELD: Ints = np.zeros(0, dtype=np.int64)


@dataclass(frozen=True, eq=False)
class Ring:
    """The ring as the hat sees it, orders 0 upwards.

    Parameters
    ----------
    stiffness : ndarray, shape (orders, m, m)
        On the unknowns of the interface. [N/mm]
    carried : ndarray, shape (orders, k, m)
        Motion of the ring's unknowns of the section, averaged over a pitch of metal, per motion of the interface.
        0 at midside nodes beside the vanes' roots, where the finer sector has no node: nothing is read there.
    interface, ring_dof : ndarray of int
        Unknowns of the section.
    """

    stiffness: Floats
    carried: Floats
    interface: Ints
    ring_dof: Ints

    @property
    def orders(self) -> int:
        """Number of orders, the mean included."""
        return int(self.stiffness.shape[0])


def vanes_of(rotor: Rotor) -> Vanes:
    """Vanes of a vented rotor; its case has been checked to name them all.

    Lengths in mm, as the case's keys; by definition.
    """
    inner, outer = float(rotor.vane_inner_diameter_mm or 0.0) / 2, float(rotor.vane_outer_diameter_mm or 0.0) / 2
    return Vanes(int(rotor.vane_count or 1), float(rotor.vane_thickness_mm or 0.0), inner, outer)


def highest_order(count: int) -> int:
    """Highest order that the sector answers: above half the vane count an order is another one's alias."""
    return min(HIGHEST_TRUE, (count - 1) // 2)


def cut(section: Section, rotor: Rotor, wall_mm: float = 0.0) -> NDArray[np.bool_]:
    """Elements of a section that belong to the ring.

    Parameters
    ----------
    section : Section
    rotor : Rotor
    wall_mm : float
        Length of hat wall that stays with the ring, to see what the cut itself does. [mm]

    Returns
    -------
    ndarray of bool, shape (elements,)
    """
    height = section.mesh.p[1][section.mesh.t].mean(axis=0)
    return height < rotor.outboard_face_z_mm + wall_mm


@dataclass(frozen=True, eq=False)
class Places:
    """Unknowns of the section that the sector meets, and the sector's own.

    Parameters
    ----------
    ring_dof, interface : ndarray of int
        Unknowns of the section: all of the ring, and those that the hat has too.
    node_dof : ndarray of int, shape (places, 3)
        Unknowns of the section at the sector's places.
    """

    ring_dof: Ints
    interface: Ints
    node_dof: Ints


def _places(whole: Stiffness, in_ring: NDArray[np.bool_], sector: Sector) -> Places:
    dofs = whole.basis.element_dofs
    ring, hat = np.unique(dofs[:, in_ring]), np.unique(dofs[:, ~in_ring])
    node_dof = np.empty((sector.nodes.shape[0], 3), dtype=np.int64)
    for component in range(3):
        mine = ring[whole.component[ring] == component]
        at = nearest(sector.nodes, np.column_stack([whole.dof_r_mm[mine], whole.dof_z_mm[mine]]))
        if (at < 0).any():
            raise Refused("the ring's mesh does not fit the section that it was made from")
        node_dof[at, component] = mine
    return Places(ring, np.intersect1d(ring, hat), node_dof)


@one_thread
def make_ring(
    section: Section,
    whole: Stiffness,
    metal: Metal,
    rotor: Rotor,
    slices: Slices = SLICES,
    wall_mm: float = 0.0,
    progress: Progress = lambda fraction, what: None,
    orders: int | None = None,
) -> Ring:
    """Condense the ring with its true vanes to the nodes that it shares with the hat.

    Parameters
    ----------
    section : Section
        Of the rotor.
    whole : Stiffness
        Of that section; only its numbering is used.
    metal : Metal
    rotor : Rotor
        Vented.
    slices : Slices
        Elements along the turn.
    wall_mm : float
        Hat wall that goes with the ring. [mm]
    progress : callable(fraction, what)
    orders : int, optional
        Number of orders; as many as `highest_order` allows unless given.

    Returns
    -------
    Ring

    Notes
    -----
    Cyclic sector by Floquet's phase, condensed order by order (`sim.bodies.pitch_system`); against every vane meshed in
    three dimensions: tests/verification/test_vanes.py.
    """
    vanes, in_ring = vanes_of(rotor), cut(section, rotor, wall_mm)
    sector = extrude(section, np.flatnonzero(in_ring), vanes, slices)
    places = _places(whole, in_ring, sector)
    system = tied_system(sector, metal, places.node_dof, places.interface)
    count = highest_order(vanes.count) + 1 if orders is None else orders
    solved = np.unique(np.concatenate([np.arange(min(2, count)), np.round(SOLVED * (count - 1)).astype(int)]))
    done = 0

    def told(order: int) -> None:
        nonlocal done
        done += 1
        progress(done / solved.size, f"true vanes, order {order}")

    reduced = reduce_system(system, solved.tolist(), told)
    rows = _mean_rows(sector, places) @ system.tie
    # On the basis and on the interface: small matrices, once for all orders.
    on_basis, on_edge = np.asarray(rows[:, : system.free] @ reduced.basis), rows[:, system.free :].toarray()
    answers = [reduced.solve(order) for order in range(count)]
    carried = np.stack([on_basis @ amounts + on_edge for _, amounts in answers])
    return Ring(np.stack([answer[0] for answer in answers]), carried, places.interface, places.ring_dof)


def _mean_rows(sector: Sector, places: Places) -> csr_matrix:
    """Rows on the sector's unknowns (even, then odd): mean over a pitch of each of the section's unknowns."""
    spread = kron(means(sector), eye_array(3)).tocsr()  # row 3 place + component, as the sector's own
    order = np.searchsorted(places.ring_dof, places.node_dof.ravel())
    mean = csr_matrix((np.ones(order.size), (order, np.arange(order.size)))) @ spread
    return hstack([mean, csr_matrix(mean.shape)]).tocsr()


@dataclass(frozen=True, eq=False)
class TrueRotor:
    """A rotor whose hat is joined to a ring with true vanes.

    Parameters
    ----------
    hat : Stiffness
        Of the hat alone, on the unknowns ``hat_dof`` of the section.
    hat_dof : ndarray of int
    ring : Ring
    size : int
        Unknowns of the whole section.
    """

    hat: Stiffness
    hat_dof: Ints
    ring: Ring
    size: int

    @one_thread
    def solve(self, order: int, loads: Floats) -> Floats:
        """Displacement amplitudes of the free rotor, rigid motion as of the hat alone left out.

        Parameters
        ----------
        order : int
            One that the ring has.
        loads : ndarray, shape (unknowns of the section, cases)
            On the hat only. [N]

        Returns
        -------
        ndarray, shape (unknowns of the section, cases)
            In the ring: mean over a pitch of metal. [mm]

        Notes
        -----
        Hat's Fourier finite elements and the ring's condensed stiffness, joined at their shared nodes (statics).
        """
        hat, ring = self.hat, self.ring
        at = np.searchsorted(self.hat_dof, ring.interface)
        added = coo_array(
            (ring.stiffness[order].ravel(), (np.repeat(at, at.size), np.tile(at, at.size))), shape=hat.k0.shape
        )
        nothing = csc_matrix(hat.k0.shape)
        joined = replace(hat, k0=csc_matrix(hat.at_order(order) + added), k1=nothing, k2=nothing)
        moved = solve_order(joined, NOTHING_HELD, order, loads[self.hat_dof])
        out = np.zeros((self.size, loads.shape[1]))
        out[ring.ring_dof] = ring.carried[order] @ moved[at]
        out[self.hat_dof] = moved
        return out


def join(section: Section, whole: Stiffness, metal: Metal, in_ring: NDArray[np.bool_], ring: Ring) -> TrueRotor:
    """Join a ring to the hat of its section."""
    hat = assemble(section, metal, elements=np.flatnonzero(~in_ring))
    dof = np.unique(whole.basis.element_dofs[:, ~in_ring])
    k0, k1, k2, mass = (matrix[dof][:, dof].tocsc() for matrix in (hat.k0, hat.k1, hat.k2, hat.mass))
    own = Stiffness(k0, k1, k2, mass, whole.dof_r_mm[dof], whole.dof_z_mm[dof], whole.component[dof], whole.basis)
    return TrueRotor(own, dof, ring, whole.k0.shape[0])


def with_true_vanes(smeared: Flexibility, rotor: TrueRotor) -> Flexibility:
    """Replace the low orders of a rotor's flexibility by those with true vanes."""
    ports = smeared.ports
    loads = np.zeros((rotor.size, ports.loaded))
    loads[ports.dof[: ports.loaded], np.arange(ports.loaded)] = 1.0
    response = smeared.response.copy()
    for order in range(min(rotor.ring.orders, smeared.orders)):
        response[order] = rotor.solve(order, loads)[ports.dof]
    return Flexibility(response, ports)


def to_arrays(ring: Ring) -> dict[str, NDArray]:
    """Flat arrays of a ring, for a cache file."""
    return {f"ring.{item.name}": getattr(ring, item.name) for item in fields(Ring)}


def from_arrays(arrays: dict[str, NDArray]) -> Ring:
    """Inverse of `to_arrays`.

    Raises
    ------
    KeyError
        If an array is missing.
    """
    return Ring(**{item.name: arrays[f"ring.{item.name}"] for item in fields(Ring)})
