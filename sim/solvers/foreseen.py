"""Contact sets foreseen by compiled code: which cells will touch, so that the solve proper begins where it ends.

The primal-dual active set of `sim.solvers.contact` on the small systems of `sim.solvers.shared_block`, without a call
into a library: each set is one symmetric system over the cells that lift, touch or are new, and the rigid motions. It
is quasi-definite, so that L D L' exists in any order (Vanderbei, SIAM J. Optim. 5, 1995). Nothing that is found here is
an answer: the solve proper sets up the last set anew, refines and proves it, and goes on where it is not the one.

Compiled code is kept on disk and made anew when this file changes, and by nothing else: all that it reads comes in
through its arguments, and the tuples that it reads by place stand here too.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Index = NDArray[np.int64]

MOST_CHANGES = 60  # then the solve proper is left alone with the problem
SMALL = 1e-13  # share of the largest force or gap that is none, as the solve proper has it

#: Sums may be added up in any order, so that several terms go at once; what is no number stays one. Only ``foresee``
#: is called from Python: the others need no door of their own.
_SUMS: dict[str, Any] = {"error_model": "numpy", "fastmath": {"reassoc", "contract", "nsz"}}
_INNER: dict[str, Any] = _SUMS | {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
_DOOR: dict[str, Any] = _SUMS | {"cache": True, "no_cfunc_wrapper": True}


class Given(NamedTuple):
    """A problem as `sim.solvers.shared_block.Joined` has it, ``first`` and ``first_new`` its offsets reduced; mm, N.

    ``cap`` is of the new cells alone.
    """

    table: Floats
    lean: Floats
    upright: Floats
    softer: Floats
    push: Floats
    rows: Floats
    rows_turned: Floats
    inner: Floats
    new_lean: Floats
    column: Index
    layer: Floats
    first: Floats
    first_new: Floats
    rigid: Floats
    load: Floats
    cap: Floats


class Room(NamedTuple):
    """What is worked out on the way: cells of the small system, forces and gaps by cell and by place of new ones."""

    lifted: Index
    out: Floats
    out_new: Floats
    force_new: Floats
    placed: Floats
    by_place: Floats


@njit(**_INNER)
def _inside(given, closed, lifted):  # type: ignore[no-untyped-def]
    """Who is in the small system: where those end that are let go, those that touch, and the new ones."""
    often, size = given.push.size, given.softer.size
    free = 0
    for i in range(often):
        if not closed[i] or given.push[i] > 0.0:
            lifted[free] = i
            free += 1
    shared = free
    for i in range(often, size):
        if closed[i]:
            lifted[shared] = i
            shared += 1
    inside = shared
    for i in range(size, closed.size):
        if closed[i]:
            lifted[inside] = i - size
            inside += 1
    return free, shared, inside


@njit(**_INNER)
def _press(given, room):  # type: ignore[no-untyped-def]
    """Add what forces on the places of new cells do."""
    for c in range(room.placed.size):
        force = room.placed[c]
        if force != 0.0:
            for i in range(room.out.size):
                room.out[i] += force * given.rows[c, i]
            for i in range(room.placed.size):
                room.by_place[i] += force * given.inner[c, i]


@njit(**_INNER)
def _begin(given, capped, room):  # type: ignore[no-untyped-def]
    """What capped cells press with, before anything else is known."""
    for i in range(room.out.size):
        room.out[i] = given.first[i]
    for c in range(room.placed.size):
        room.placed[c] = room.by_place[c] = 0.0
    for i in range(given.column.size):
        room.force_new[i] = given.cap[i] if capped[given.softer.size + i] else 0.0
        room.placed[given.column[i]] += room.force_new[i]
    _press(given, room)


@njit(**_INNER)
def _fill(given, closed, room, ends, matrix, right):  # type: ignore[no-untyped-def]
    """The small system over the cells: lower half of its matrix, row by row, and its right side."""
    free, shared, inside = ends
    lifted = room.lifted
    for a in range(shared):
        i = lifted[a]
        for b in range(a + 1):
            matrix[a, b] = given.table[i, lifted[b]]
        if a >= free:
            matrix[a, a] += given.softer[i]
        elif closed[i]:
            matrix[a, a] -= given.push[i]
        right[a] = -room.out[i]
    for a in range(shared, inside):
        i = lifted[a]
        c = given.column[i]
        for b in range(shared):
            matrix[a, b] = given.rows[c, lifted[b]]
        for b in range(shared, a + 1):
            matrix[a, b] = given.inner[c, given.column[lifted[b]]]
        matrix[a, a] += given.layer[i]
        right[a] = -(given.first_new[i] + room.by_place[c])


@njit(**_INNER)
def _balance(given, room, ends, matrix, right):  # type: ignore[no-untyped-def]
    """The last rows of the small system: what the forces must add up to."""
    _, shared, inside = ends
    lifted = room.lifted
    for a in range(given.load.size):
        row, due = matrix[inside + a], given.load[a]
        for b in range(shared):
            row[b] = given.lean[a, lifted[b]]
        for b in range(shared, inside):
            row[b] = given.new_lean[a, lifted[b]]
        for b in range(a + 1):
            row[inside + b] = given.upright[a, b]
        for i in range(given.push.size):
            due -= room.out[i] * given.rigid[i, a]
        for i in range(given.column.size):
            due -= room.force_new[i] * given.rigid[given.softer.size + i, a]
        right[inside + a] = due


@njit(**_INNER)
def _four(row, low, b):  # type: ignore[no-untyped-def]
    """Four places of a row of L D at once, from those before them: each number of the row is read once for four."""
    one = two = three = four = 0.0
    for c in range(b):
        one += row[c] * low[b, c]
        two += row[c] * low[b + 1, c]
        three += row[c] * low[b + 2, c]
        four += row[c] * low[b + 3, c]
    row[b] -= one
    row[b + 1] -= two + row[b] * low[b + 1, b]
    row[b + 2] -= three + row[b] * low[b + 2, b] + row[b + 1] * low[b + 2, b + 1]
    row[b + 3] -= four + row[b] * low[b + 3, b] + row[b + 1] * low[b + 3, b + 1] + row[b + 2] * low[b + 3, b + 2]


@njit(**_INNER)
def _solve(ends, whole, low, pivot, right):  # type: ignore[no-untyped-def]
    """Solve by L D L', ``low`` is L and ``whole`` becomes L D; whether every pivot has the sign that it must have."""
    free, _, inside = ends
    order = right.size
    for a in range(order):
        for b in range(0, a - 3, 4):
            _four(whole[a], low, b)
        for b in range(a - a % 4, a):
            left = whole[a, b]
            for c in range(b):
                left -= whole[a, c] * low[b, c]
            whole[a, b] = left
        for b in range(a):
            low[a, b] = whole[a, b] / pivot[b]
        left, rest = whole[a, a], right[a]
        for c in range(a):
            left -= whole[a, c] * low[a, c]
            rest -= low[a, c] * right[c]
        pivot[a], right[a] = left, rest
        if not (left > 0.0 if free <= a < inside else left < 0.0):
            return False
    for a in range(order):
        right[a] /= pivot[a]
    for a in range(order - 1, 0, -1):
        for c in range(a):
            right[c] -= low[a, c] * right[a]
    return True


@njit(**_INNER)
def _spread(given, closed, room, ends, answer):  # type: ignore[no-untyped-def]
    """Forces on closed cells and gaps of the others, from what was solved for."""
    free, shared, inside = ends
    lifted = room.lifted
    for c in range(room.placed.size):
        room.placed[c] = 0.0
    for a in range(shared, inside):
        room.force_new[lifted[a]] = answer[a]
        room.placed[given.column[lifted[a]]] += answer[a]
    _press(given, room)
    for a in range(shared):
        i, value = lifted[a], answer[a]
        for b in range(room.out.size):
            room.out[b] += value * given.table[i, b]
        for c in range(room.placed.size):
            room.by_place[c] += value * given.rows_turned[i, c]
    for i in range(given.column.size):
        room.out_new[i] = given.first_new[i] + room.by_place[given.column[i]] + given.layer[i] * room.force_new[i]
    for a in range(given.load.size):
        value = answer[inside + a]
        for i in range(room.out.size):
            room.out[i] += value * given.lean[a, i]
        for i in range(given.column.size):
            room.out_new[i] += value * given.new_lean[a, i]
    for a in range(shared):  # told by what was solved for: a force, or by how much it sinks away
        i = lifted[a]
        if a < free:
            room.out[i] = answer[a] * given.push[i] if closed[i] else -answer[a]
        else:
            room.out[i] = answer[a]


@njit(**_INNER)
def _scale(closed, room):  # type: ignore[no-untyped-def]
    """Largest force and largest gap."""
    largest, widest = 0.0, 0.0
    size = room.out.size
    for i in range(size):
        if closed[i]:
            largest = max(largest, abs(room.out[i]))
        else:
            widest = max(widest, abs(room.out[i]))
    for i in range(room.out_new.size):
        largest = max(largest, abs(room.force_new[i]))
        if not closed[size + i]:
            widest = max(widest, abs(room.out_new[i]))
    return largest, widest


@njit(**_INNER)
def _changed(given, closed, capped, room):  # type: ignore[no-untyped-def]
    """Let cells lift, touch, crush and come back from their cap; whether any did."""
    largest, widest = _scale(closed, room)
    slack, thin = SMALL * largest, SMALL * widest
    changed, size = False, room.out.size
    for i in range(size):
        if room.out[i] < (-slack if closed[i] else -thin):
            closed[i] = not closed[i]
            changed = True
    for i in range(room.out_new.size):
        at = size + i
        crushes = closed[at] and room.force_new[i] > given.cap[i] + slack
        relents = capped[at] and room.out_new[i] > thin
        if crushes or relents:
            closed[at], capped[at] = relents, crushes
            changed = True
        elif not capped[at] and (room.force_new[i] < -slack if closed[at] else room.out_new[i] < -thin):
            closed[at] = not closed[at]
            changed = True
    return changed


@njit(**_DOOR)
def foresee(given, closed, capped):  # type: ignore[no-untyped-def]
    """Change ``closed`` and ``capped`` until no cell wants to change.

    Parameters
    ----------
    given : Given
    closed, capped : ndarray of bool, shape (cells,)

    Returns
    -------
    int
        How often they were changed; -1 if that was no use.
    """
    size, new, places = given.softer.size, given.column.size, given.rows.shape[0]
    room = Room(
        np.empty(size + new, np.int64),
        np.empty(size),
        np.empty(new),
        np.empty(new),
        np.empty(places),
        np.empty(places),
    )
    for change in range(MOST_CHANGES):
        ends = _inside(given, closed, room.lifted)
        free, _, inside = ends
        if given.push.size - free + inside < given.load.size:
            return -1
        order = inside + given.load.size
        matrix, right = np.empty((order, order)), np.empty(order)
        _begin(given, capped, room)
        _fill(given, closed, room, ends, matrix, right)
        _balance(given, room, ends, matrix, right)
        if not _solve(ends, matrix, np.empty((order, order)), np.empty(order), right):
            return -1
        _spread(given, closed, room, ends, right)
        if not _changed(given, closed, capped, room):
            return change
    return -1
