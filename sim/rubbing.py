"""One quasi-static step of a bore that is pushed along a tight spigot with Coulomb friction.

Unknown are the pushes p of the bore cells, the axial friction f of each column of the bore, the pushes of the rim of
the flange on the hub face, the rotor's five rigid motions q and the force F at the point that is pushed down by a given
amount:

    gap     C_pp p + C_pf f + l_p F + R_p q - overlap >= 0,  p >= 0,  one of the two zero
    slip    v = C_fp p + C_ff f + l_f F + R_f q - v_before;   |f| <= mu P;   f = mu P against v where v is not 0
    balance R_p' p + R_f' f + R_g' g + d F = k (q - q_0),       d'q = -travel

P is the push of the whole column, l how the cells move when the push bends the rotor. k are springs too weak to matter
that hold the rotor while nothing touches. The sets (open or closed, stuck or slipping) are changed until nothing moves;
with friction the system is not symmetric and the solution need not be unique (Klarbring, Int. J. Solids Structures 26,
1990): what is found is the state on the path that was gone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MAX_CHANGES = 200
TINY = 1e-10


@dataclass(frozen=True, eq=False)
class Rub:
    """A step to be solved.

    Parameters
    ----------
    normal, cross, axial : ndarray, shapes (n, n), (n, c), (c, c)
        C_pp with the contact layer, C_pf, C_ff. [mm/N]
    column : ndarray of int, shape (n,)
        Column of each cell.
    overlap_mm : ndarray, shape (n,)
    rigid, rigid_axial : ndarray, shapes (n, 5), (c, 5)
        R_p, R_f.
    rim : ndarray, shape (m, 5)
        R_g: axial place of the flange's rim where it may touch the hub face.
    rim_give : float
        Give of one rim cell. [mm/N]
    before_mm : ndarray, shape (c,)
        v_before.
    friction : float
        mu.
    push : ndarray, shape (5,)
        d: generalised force on the rotor per unit of F.
    bend, bend_axial : ndarray, shapes (n,), (c,)
        l_p, l_f. [mm/N]
    travel_mm : float
    spring, rest : ndarray, shape (5,)
        k and q_0.
    """

    normal: Floats
    cross: Floats
    axial: Floats
    column: Ints
    overlap_mm: Floats
    rigid: Floats
    rigid_axial: Floats
    rim: Floats
    rim_give: float
    before_mm: Floats
    friction: float
    push: Floats
    bend: Floats
    bend_axial: Floats
    travel_mm: float
    spring: Floats
    rest: Floats


@dataclass(frozen=True, eq=False)
class Sets:
    """Which cells are closed, which rim cells touch, and how each column rubs: 0 stuck, 1 slipped down, -1 up."""

    closed: NDArray[np.bool_]
    touching: NDArray[np.bool_]
    slip: Ints


@dataclass(frozen=True, eq=False)
class Rubbed:
    """A solved step: forces [N], motions [mm, rad], slip [mm], proof (all relative) and set changes."""

    push_n: Floats
    rub_n: Floats
    rim_n: Floats
    motion: Floats
    force_n: float
    slip_mm: Floats
    balance: float
    complementarity: float
    cone: float
    changes: int
    sets: Sets


def step(rub: Rub, start: Sets | None = None) -> Rubbed | None:
    """Solve a step; ``None`` if the sets do not settle.

    Parameters
    ----------
    rub : Rub
    start : Sets, optional
        Sets to begin with; those of a straight push down if left out.

    Returns
    -------
    Rubbed or None
    """
    sums = np.zeros((rub.axial.shape[0], rub.column.size))
    sums[rub.column, np.arange(rub.column.size)] = 1.0
    sets = start or Sets(
        rub.overlap_mm - rub.rigid @ rub.rest > 0,
        np.zeros(rub.rim.shape[0], dtype=bool),
        np.ones(rub.axial.shape[0], dtype=int),
    )
    seen: set[bytes] = set()
    for change in range(1, MAX_CHANGES + 1):
        found = _solve(rub, sums, sets)
        if found is None:
            return None
        moved = _moved(rub, sums, sets, found)
        if moved is None:
            return _proof(rub, sums, sets, found, change)
        key = moved.closed.tobytes() + moved.touching.tobytes() + moved.slip.tobytes()
        if key in seen:
            moved = _some_of(sets, moved, change)
        seen.add(key)
        sets = moved
    return None


def _some_of(old: Sets, new: Sets, change: int) -> Sets:
    """Take only some of the changes, drawn with a fixed seed, so that a cycle breaks."""
    rng = np.random.default_rng(change)
    return Sets(
        np.where(rng.random(old.closed.size) < 0.4, new.closed, old.closed),
        np.where(rng.random(old.touching.size) < 0.4, new.touching, old.touching),
        np.where(rng.random(old.slip.size) < 0.4, new.slip, old.slip),
    )


def _solve(rub: Rub, sums: Floats, sets: Sets) -> tuple[Floats, Floats, Floats, Floats, float] | None:
    """Forces and motions for given sets."""
    cells, stuck, rims = np.flatnonzero(sets.closed), np.flatnonzero(sets.slip == 0), np.flatnonzero(sets.touching)
    a, b, c = cells.size, stuck.size, rims.size
    slide = (rub.friction * sets.slip)[:, None] * sums[:, cells]
    size = a + b + c + 6
    matrix, right = np.zeros((size, size)), np.zeros(size)
    s, t, q = a, a + b, a + b + c
    matrix[:a, :a] = rub.normal[np.ix_(cells, cells)] + rub.cross[cells] @ slide
    matrix[:a, s:t] = rub.cross[np.ix_(cells, stuck)]
    matrix[:a, q : q + 5] = rub.rigid[cells]
    matrix[:a, q + 5] = rub.bend[cells]
    right[:a] = rub.overlap_mm[cells]
    matrix[s:t, :a] = rub.cross[np.ix_(cells, stuck)].T + rub.axial[stuck] @ slide
    matrix[s:t, s:t] = rub.axial[np.ix_(stuck, stuck)]
    matrix[s:t, q : q + 5] = rub.rigid_axial[stuck]
    matrix[s:t, q + 5] = rub.bend_axial[stuck]
    right[s:t] = rub.before_mm[stuck]
    matrix[t:q, t:q] = rub.rim_give * np.eye(c)
    matrix[t:q, q : q + 5] = rub.rim[rims]
    matrix[q : q + 5, :a] = rub.rigid[cells].T + rub.rigid_axial.T @ slide
    matrix[q : q + 5, s:t] = rub.rigid_axial[stuck].T
    matrix[q : q + 5, t:q] = rub.rim[rims].T
    matrix[q : q + 5, q : q + 5] = -np.diag(rub.spring)
    matrix[q : q + 5, q + 5] = rub.push
    right[q : q + 5] = -rub.spring * rub.rest
    matrix[q + 5, q : q + 5] = rub.push
    right[q + 5] = rub.travel_mm
    # Forces are of the order of newtons per micrometre: scale both sides so that pivots compare.
    scale = np.ones(size)
    scale[:q] = 1.0 / np.sqrt(np.maximum(np.abs(np.diag(matrix)[:q]), 1e-12))
    scale[q + 5] = 1.0 / np.sqrt(float(np.mean(np.diag(rub.normal))) or 1.0)
    try:
        answer = scale * np.linalg.solve(matrix * np.outer(scale, scale), scale * right)
    except np.linalg.LinAlgError:
        return None
    push, rim = np.zeros(sets.closed.size), np.zeros(sets.touching.size)
    push[cells], rim[rims] = answer[:a], answer[t:q]
    friction = rub.friction * sets.slip * (sums @ push)
    friction[stuck] = answer[s:t]
    return push, friction, rim, answer[q : q + 5], float(answer[q + 5])


def _gaps(rub: Rub, found: tuple[Floats, Floats, Floats, Floats, float]) -> tuple[Floats, Floats, Floats]:
    """Gap of the cells and of the rim, slip of the columns."""
    push, friction, rim, motion, force = found
    gap = rub.normal @ push + rub.cross @ friction + rub.bend * force + rub.rigid @ motion - rub.overlap_mm
    slip = rub.cross.T @ push + rub.axial @ friction + rub.bend_axial * force + rub.rigid_axial @ motion - rub.before_mm
    return gap, rub.rim_give * rim + rub.rim @ motion, slip


def _moved(rub: Rub, sums: Floats, sets: Sets, found: tuple[Floats, Floats, Floats, Floats, float]) -> Sets | None:
    """Sets after the changes that the solution asks for; ``None`` when it asks for none."""
    push, friction, rim, _, _ = found
    gap, rim_gap, slip = _gaps(rub, found)
    small = TINY * (np.abs(push).max(initial=0.0) + 1.0)
    thin = TINY * (np.abs(gap).max(initial=0.0) + 1e-3)
    closed = (sets.closed & (push >= -small)) | (~sets.closed & (gap < -thin))
    touching = (sets.touching & (rim >= -small)) | (~sets.touching & (rim_gap < -thin))
    bound = rub.friction * (sums @ push)
    stuck = sets.slip == 0
    # Friction points up (+1) where the bore slips down.
    new = np.where(stuck & (np.abs(friction) > bound + small), np.sign(friction).astype(int), sets.slip)
    new = np.where(~stuck & (sets.slip * slip > thin) & (bound > small), 0, new)
    # A column that carries nothing cannot rub: which way it slips is no matter, so it must not keep the sets moving.
    new = np.where(bound <= small, np.where(stuck, 1, sets.slip), new)
    if (closed == sets.closed).all() and (touching == sets.touching).all() and (new == sets.slip).all():
        return None
    return Sets(closed, touching, new)


def _proof(
    rub: Rub, sums: Floats, sets: Sets, found: tuple[Floats, Floats, Floats, Floats, float], change: int
) -> Rubbed:
    push, friction, rim, motion, force = found
    gap, rim_gap, slip = _gaps(rub, found)
    terms = [rub.rigid.T @ push, rub.rigid_axial.T @ friction, rub.rim.T @ rim, rub.push * force]
    left = sum(terms) - rub.spring * (motion - rub.rest)
    added = (
        np.abs(rub.rigid).T @ np.abs(push)
        + np.abs(rub.rigid_axial).T @ np.abs(friction)
        + np.abs(rub.rim).T @ rim
        + np.abs(rub.push * force)
        + 1.0
    )
    size, length = push.max(initial=0.0) + 1.0, np.abs(rub.overlap_mm).max(initial=0.0) + 1e-3
    breach = max(
        float(-push.min(initial=0.0)) / size,
        float(-gap.min(initial=0.0)) / length,
        float(-rim_gap.min(initial=0.0)) / length,
        float((push * np.abs(gap)).max(initial=0.0)) / size / length,
    )
    bound = rub.friction * (sums @ push)
    outside = max(
        float((np.abs(friction) - bound).max(initial=0.0)) / size,
        float((friction * slip).max(initial=0.0)) / size / length,
    )
    return Rubbed(
        np.maximum(push, 0.0),
        friction,
        np.maximum(rim, 0.0),
        motion,
        force,
        slip,
        balance=float((np.abs(left) / added).max()),
        complementarity=breach,
        cone=outside,
        changes=change,
        sets=sets,
    )
