"""What a wheel bolt pulls the hub with: its flanks, along the engaged thread, from the hub face down."""

from __future__ import annotations

import numpy as np

from sim.arrays import Floats
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.seating.studs import annulus_load, line_quadrature

#: The pull falls by e over this length of thread, in thread diameters. Judgement, 0.2 .. evenly: the often quoted
#: shares of six coarse threads, 34, 23, 16, 11, 9 and 7 % (after Sopwith 1948, from memory), fall by e over 2.6
#: pitches, which is 0.28 (M14x1.5) to 0.38 (M12x1.75) diameters.
DECAY_DIAMETERS = 1 / 3
SHARE_ERROR = 1e-6


@one_thread
def depth_shares(z_mm: Floats, deep_mm: float, decay_mm: float) -> Floats:
    """Share of the pull at each node along the depth, most at the face.

    Parameters
    ----------
    z_mm : ndarray, shape (2 e + 1,)
        End and middle nodes of the elements along the depth, rising to the face at 0. [mm]
    deep_mm, decay_mm : float
        Engaged length, and the length over which the pull falls by e. [mm]

    Returns
    -------
    ndarray, shape (2 e + 1,)
        Add up to one.

    Raises
    ------
    Refused
        If the nodes do not reach as deep as the thread.

    Notes
    -----
    Exponential along the thread (Sopwith 1948, from memory; see `DECAY_DIAMETERS`).
    """
    z, weight, shape = line_quadrature(z_mm, (-deep_mm,))
    density = np.where(z >= -deep_mm, np.exp(z / decay_mm), 0.0) / (decay_mm * -np.expm1(-deep_mm / decay_mm))
    shares = (density * weight) @ shape
    if abs(shares.sum() - 1.0) > SHARE_ERROR:
        raise Refused(
            f"{deep_mm:g} mm of thread reach deeper than the hub's flange: {100 * shares.sum():.1f} % arrives"
        )
    return shares


@one_thread
def flank_load(
    r_mm: Floats, z_mm: Floats, pitch_radius_mm: float, flanks_mm: tuple[float, float], depth: Floats, highest: int
) -> Floats:
    """Nodal loads, per harmonic, of a unit pull at the flanks of a thread about a bolt at angle zero.

    Parameters
    ----------
    r_mm, z_mm : ndarray, shape (nodes,)
        Nodes of whole eight-node elements of a regular grid, corners and middles of sides, in any order. [mm]
    pitch_radius_mm : float
        [mm]
    flanks_mm : tuple of float
        Inner and outer radius of the flanks about the bolt. [mm]
    depth : ndarray, shape (rows,)
        Share of the pull on each row of nodes from below, as `depth_shares` gives it.
    highest : int
        Highest harmonic.

    Returns
    -------
    ndarray, shape (highest + 1, nodes)
        Cosine amplitudes. [N/N]

    Notes
    -----
    The nine-node element's loads are products of a row's and a column's; the eight-node element has no node in the
    middle, whose shape is spread as -1/4 on the corners and 1/2 on the middles of the sides.

    Shape functions integrated in closed form, as `sim.seating.studs.annulus_load`.
    """
    columns, column = np.unique(np.round(r_mm, 6), return_inverse=True)
    rows, row = np.unique(np.round(z_mm, 6), return_inverse=True)
    along = annulus_load(columns, pitch_radius_mm, *flanks_mm, highest)
    full = depth[None, :, None] * along[:, None, :]
    middle = full[:, 1::2, 1::2]
    for up in (0, 2):
        for out in (0, 2):
            full[:, up : up + full.shape[1] - 2 : 2, out : out + full.shape[2] - 2 : 2] -= middle / 4
    for side in (0, 2):
        full[:, side : side + full.shape[1] - 2 : 2, 1::2] += middle / 2
        full[:, 1::2, side : side + full.shape[2] - 2 : 2] += middle / 2
    return np.ascontiguousarray(full[:, row, column])
