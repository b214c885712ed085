"""Contact problems that share most of their cells: what nearly every solve closes is eliminated once and for all.

Problems on the same bodies differ by the cells of their dirt, by a few shared cells that lift and a few more that
touch. With the shared cells that nearly always close exchanged once (a principal pivot: their forces become what
follows, their gaps what is given; Cottle, Pang and Stone, The Linear Complementarity Problem, 2.3), any set of closed
cells is one small system, over those that lift, touch or are new. Whatever it finds is proved on the whole flexibility.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.blas import dsymv, dtrsv
from scipy.linalg.lapack import dpotrf, dpotrs, dtrtrs

from sim.arrays import Bools, Floats
from sim.one_thread import one_thread
from sim.solvers.turned import Exchanged, exchanged

Index = NDArray[np.int64]
SINGULAR = 1e-12  # least pivot of the scaled balance up to which closed cells hold no rigid motion


@dataclass(frozen=True, eq=False)
class SharedBlock:
    """Cells that problems have in common, those of them exchanged that are nearly always closed.

    Parameters
    ----------
    order : ndarray of int, shape (n,)
        The cells in the order of all that follows: the ``often`` first ones are nearly always closed.
    often : int
    flexibility : ndarray, shape (n, n)
        Over all shared cells, contact layer included. [mm/N]
    rigid : ndarray, shape (n, k)
        Their displacement per unit of each rigid motion.
    exchanged : Exchanged
        With a table over ``order``: forces on the first and gaps of the rest, per unit by which the first sink and per
        force on the rest; symmetric. [N/mm], [1], [mm/N]
    lean : ndarray, shape (k, n)
        The same per unit of each rigid motion.
    upright : ndarray, shape (k, k)
        What the forces on the first ones oppose to the rigid motions.
    """

    order: Index
    often: int
    flexibility: Floats
    rigid: Floats
    exchanged: Exchanged
    lean: Floats
    upright: Floats

    @property
    def table(self) -> Floats:
        """The table. Shape (n, n). [N/mm], [1], [mm/N]; as `sim.solvers.turned.Exchanged`."""
        return self.exchanged.table


@one_thread
def shared_block(flexibility: Floats, rigid: Floats, closed: Bools, alike: Index | None = None) -> SharedBlock | None:
    """Exchange some cells' forces and gaps.

    Parameters
    ----------
    flexibility : ndarray, shape (n, n)
        Over the cells that problems share. [mm/N]
    rigid : ndarray, shape (n, k)
        Displacement of these cells per unit of each rigid motion.
    closed : ndarray of bool, shape (n,)
    alike : ndarray of int, shape (repeats, m), optional
        The cells, where they come again round a circle and close alike; those of a column turn into each other.

    Returns
    -------
    SharedBlock or None
        None where the matrix is not positive definite.

    Notes
    -----
    By definition of the inverse, in N/mm; block elimination, as `sim.solvers.turned.exchanged`.
    """
    columns = np.arange(closed.size)[None] if alike is None else alike
    inside, outside = (columns[:, which] for which in (closed[columns[0]], ~closed[columns[0]]))
    found = exchanged(flexibility, inside, outside)
    if found is None:
        return None
    table = found.table
    order, often = np.concatenate([inside.ravel(), outside.ravel()]), inside.size
    flexibility, rigid = flexibility[np.ix_(order, order)], rigid[order]
    lean = table[:, :often] @ rigid[:often]
    lean[often:] += rigid[often:]
    upright = rigid[:often].T @ lean[:often]
    return SharedBlock(order, often, flexibility, rigid, found, np.ascontiguousarray(lean.T), upright)


@dataclass(frozen=True, eq=False)
class Joined:
    """A contact problem of shared cells and of new ones, for `sim.solvers.contact.solve_joined`.

    Parameters
    ----------
    shared : SharedBlock
    place : ndarray of int, shape (cells,)
        Where the problem as it was set up has the shared cells, in the order of the table, and then the new ones; all
        that follows is in this order.
    softer : ndarray, shape (n,)
        What each shared cell gives more than the shared flexibility says: dirt covers a part of it. [mm/N]
    beside : ndarray, shape (c, n)
        Flexibility between places of new cells and the shared cells. [mm/N]
    among : ndarray, shape (c, c)
        Flexibility over these places, without any layer. [mm/N]
    column : ndarray of int, shape (m,)
        Place of each new cell: dirt that crushes and the floor under it have the same.
    layer : ndarray, shape (m,)
        Give of each new cell's own layer. [mm/N]
    offset, rigid, load, cap
        As of `sim.solvers.contact.Problem`, over all cells.
    """

    shared: SharedBlock
    place: Index
    softer: Floats
    beside: Floats
    among: Floats
    column: Index
    layer: Floats
    offset: Floats
    rigid: Floats
    load: Floats
    cap: Floats

    def moved(self, offset: Floats, layer: Floats) -> Joined:
        """Return the same cells with other gaps and other layers of the new ones; what was eliminated is kept.

        Parameters
        ----------
        offset : ndarray, shape (cells,)
            [mm]
        layer : ndarray, shape (m,)
            [mm/N]

        Notes
        -----
        By definition: none of what is kept follows from either.
        """
        other = replace(self, offset=offset, layer=layer)
        for name in ("gives_more", "push", "rows", "rows_turned", "inner", "new_lean"):
            other.__dict__[name] = getattr(self, name)
        return other

    def gap(self, force: Floats, motion: Floats) -> Floats:
        """Gap that comes of cell forces [N] and rigid motions [mm, rad]. Shape (cells,). [mm].

        Superposition on the whole flexibility.
        """
        # Symmetric: half of it is read, which lies in no cache near by.
        return self._gap(force, motion, dsymv(1.0, self.shared.flexibility.T, force[: self.softer.size], lower=1))

    def gap_where(self, touch: Index, force: Floats, motion: Floats) -> Floats:
        """The same on the cells that are often closed, on some others, and on the new ones; any number elsewhere.

        [mm]. Superposition, as `gap`.
        """
        often, size = self.shared.often, self.softer.size
        shared, pressed = force[:size], np.zeros(size)
        pressed[:often] = self.shared.flexibility[:often] @ shared
        pressed[touch] = self.shared.flexibility.take(touch, axis=0) @ shared
        return self._gap(force, motion, pressed)

    def _gap(self, force: Floats, motion: Floats, pressed: Floats) -> Floats:
        """Gaps, from what the shared forces do to the shared cells but for what these give more."""
        size = self.softer.size
        out: Floats = self.offset + self.rigid @ motion
        shared, new = force[:size], force[size:]
        out[:size] += pressed
        out[:size] += self.softer * shared
        if new.size:
            placed = self.placed(new)
            out[:size] += placed @ self.beside
            out[size:] += (self.beside @ shared + self.among @ placed)[self.column] + self.layer * new
        return out

    def held(self, closed: Bools, capped: Bools) -> Held | None:
        """Set up ``closed`` cells at no gap and ``capped`` ones at their cap; None if singular.

        Parameters
        ----------
        closed, capped : ndarray of bool, shape (cells,)

        Notes
        -----
        Gaps in mm, forces in N. Block elimination (Golub and Van Loan, chapter 2).
        """
        size = self.softer.size
        at_cap = capped[size:].nonzero()[0]
        if np.count_nonzero(capped) > at_cap.size or np.count_nonzero(closed) < self.load.size:
            return None  # bare metal does not crush
        return _held(self, closed, at_cap)

    def placed(self, new: Floats) -> Floats:
        """Force on each place of new cells, from the forces on these. [N]. Those of one place add up (statics)."""
        if self.beside.shape[0] == new.size:
            return new  # each has its own
        found: Floats = np.bincount(self.column, new, minlength=self.beside.shape[0]).astype(float)
        return found

    @cached_property
    def gives_more(self) -> Bools:
        """Which of the cells that are nearly always closed give more than is shared."""
        found: Bools = self.softer[: self.shared.often] > 0.0
        return found

    @cached_property
    def push(self) -> Floats:
        """What these push with per sinking, none for the others. [N/mm]. By definition of `softer`."""
        gives = self.softer[: self.shared.often]
        return np.divide(1.0, gives, out=np.zeros_like(gives), where=self.gives_more)

    @cached_property
    def rows(self) -> Floats:
        """Rows of the table for each place of new cells. Shape (c, n).

        [1], [mm/N]. Block elimination (Golub and Van Loan, chapter 2).
        """
        often = self.shared.often
        found = self.shared.exchanged.through(self.beside[:, :often])
        found[:, often:] += self.beside[:, often:]
        return found

    @cached_property
    def rows_turned(self) -> Floats:
        """`rows` the other way round, lying close. Shape (n, c)."""
        return np.ascontiguousarray(self.rows.T)

    @cached_property
    def inner(self) -> Floats:
        """The table between the places of new cells. Shape (c, c). [mm/N].

        Block elimination (Golub and Van Loan, chapter 2).
        """
        often = self.shared.often
        found: Floats = self.among + self.rows[:, :often] @ self.beside[:, :often].T
        return found

    @cached_property
    def new_lean(self) -> Floats:
        """Lean of the new cells, as of the table. Shape (k, m).

        As `rigid`. Block elimination (Golub and Van Loan, chapter 2).
        """
        often = self.shared.often
        turned: Floats = self.rows[:, :often] @ self.rigid[:often]
        return np.ascontiguousarray((self.rigid[self.softer.size :] + turned[self.column]).T)

    @cached_property
    def first(self) -> tuple[Floats, Floats]:
        """What `reduced` makes of the offsets: what every set of closed cells starts from."""
        return self.reduced(self.offset)

    def reduced(self, gap: Floats) -> tuple[Floats, Floats]:
        """Take the shared closed cells out of gaps that are to be closed.

        Parameters
        ----------
        gap : ndarray, shape (cells,)
            [mm]

        Returns
        -------
        tuple of ndarray, shapes (n,) and (m,)
            Forces that close the shared closed cells [N], then what is left of the other shared cells' gaps; and of
            the new ones' [mm].

        Notes
        -----
        Block elimination (Golub and Van Loan, chapter 2).
        """
        often, size = self.shared.often, self.softer.size
        found = self.shared.exchanged.through(gap[:often])
        found[often:] += gap[often:size]
        new = gap[size:]
        if new.size:
            new = new + (self.rows[:, :often] @ gap[:often])[self.column]
        return found, new


@dataclass(frozen=True, eq=False)
class Held:
    """One set of closed and capped cells of a `Joined` problem, ready to be solved for; made by `Joined.held`.

    ``free`` are shared closed cells that are let go, or give more than the shared flexibility says, ``held_by`` what
    they push with per sinking; ``touch`` and ``new`` are closed as well. ``table`` and ``across`` are the rows of the
    first two, over the shared cells and over the places of new ones.
    """

    joined: Joined
    closed: Bools
    free: Index
    touch: Index
    new: Index
    capped: Index
    held_by: Floats
    table: Floats
    across: Floats
    factor: Floats
    reach: Floats
    border: Floats
    bordered: Floats
    balance: Floats

    def found(self) -> tuple[Floats, Floats, Floats]:
        """Forces, motions and the gaps that come of them. [N], [mm, rad], [mm].

        Block elimination (Golub and Van Loan, chapter 2).
        """
        joined, often, size = self.joined, self.joined.shared.often, self.joined.softer.size
        force, motion, rest = self._from_caps()
        gap = np.zeros(force.size)
        gap[often:size] = rest[0]
        gap[self.touch] = 0.0
        gap[self.free] = np.where(self.held_by > 0.0, 0.0, -rest[1])
        if joined.column.size:
            moved = np.concatenate([rest[1], force[self.touch]])
            by_place = moved @ self.across + joined.inner @ joined.placed(force[size:])
            gap[size:] = joined.first[1] + motion @ joined.new_lean + by_place[joined.column]
            gap[size:] += joined.layer * force[size:]
        return force, motion, gap

    def forces(self) -> tuple[Floats, Floats]:
        """Forces and motions alone. [N], [mm, rad]; as `found`."""
        return self._from_caps()[:2]

    def _from_caps(self) -> tuple[Floats, Floats, tuple[Floats, Floats]]:
        """What `_solved` gives, capped cells pressing with their caps."""
        joined, size = self.joined, self.joined.softer.size
        shared, new = joined.first
        load = joined.load
        if not self.capped.size:
            return self._solved(shared, new, load)
        cap = np.zeros(joined.column.size)
        cap[self.capped] = joined.cap[size:][self.capped]
        on = joined.placed(cap)
        shared, new = shared + on @ joined.rows, new + (joined.inner @ on)[joined.column]
        force, motion, rest = self._solved(shared, new, load - cap @ joined.rigid[size:])
        force[size:] += cap
        return force, motion, rest

    def refined(self, force: Floats, motion: Floats) -> tuple[Floats, Floats]:
        """Take one step of refinement: the balance must hold to round-off whatever the conditioning.

        Parameters
        ----------
        force, motion : ndarray
            As found. [N], [mm, rad]

        Notes
        -----
        Iterative refinement on the whole flexibility (Golub and Van Loan, chapter 3).
        """
        joined = self.joined
        shared, new = joined.reduced(np.where(self.closed, joined.gap_where(self.touch, force, motion), 0.0))
        more, turned, _ = self._solved(shared, new, joined.load - force @ joined.rigid)
        return force + more, motion + turned

    def _solved(self, shared: Floats, new: Floats, load: Floats) -> tuple[Floats, Floats, tuple[Floats, Floats]]:
        """Forces on all cells but capped ones, motions; gaps of cells that are seldom closed, sinking of free ones."""
        joined, often, k = self.joined, self.joined.shared.often, load.size
        split, size = self.free.size, self.touch.size + self.new.size
        load = load - shared[:often] @ joined.rigid[:often]
        right, lifted = np.concatenate([shared[self.touch], new[self.new]]), shared[self.free]
        if split:
            lifted = dtrsv(self.factor, lifted, lower=1)
            by_lifted = self.reach @ lifted
            right, load = right + by_lifted[:size], load - by_lifted[size:]
        if size:
            right = dtrsv(self.border, right, lower=1)
        answer = np.empty(size + k)
        motion = answer[size:] = -dpotrs(self.balance, load + self.bordered @ right, lower=1)[0]
        answer[:size] = right + motion @ self.bordered
        if size:
            answer[:size] = -dtrsv(self.border, answer[:size], lower=1, trans=1)
        if split:
            lifted = dtrsv(self.factor, lifted + answer @ self.reach, lower=1, trans=1)
        touching, pressed = answer[: self.touch.size], answer[self.touch.size : size]
        force = np.zeros(joined.offset.size)
        force[joined.softer.size :][self.new] = pressed
        out = shared + motion @ joined.shared.lean + np.concatenate([lifted, touching]) @ self.table
        if self.new.size:
            out += joined.placed(force[joined.softer.size :]) @ joined.rows
        force[:often] = out[:often]
        force[self.free] = lifted * self.held_by
        force[self.touch] = touching
        return force, motion, (out[often:], lifted)


def _held(joined: Joined, closed: Bools, capped: Index) -> Held | None:
    shared = joined.shared
    often, k, cells = shared.often, joined.load.size, joined.softer.size
    free = (~closed[:often] | joined.gives_more).nonzero()[0]
    # A cell that gives more is let go and held again by what it gives: its force is then its sinking over its give.
    held_by = joined.push[free] * closed[free]
    touch, new = closed[often:cells].nonzero()[0] + often, closed[cells:].nonzero()[0]
    place = joined.column[new]
    split, on_touch, size = free.size, touch.size, touch.size + new.size
    index = np.concatenate([free, touch])
    table, across = shared.table.take(index, axis=0), joined.rows_turned.take(index, axis=0)
    among, beside = table.take(index, axis=1), across.take(place, axis=1)
    leans = shared.lean.take(index, axis=1)
    # Rows: closed cells that are not often so, then rigid motions; columns: those that are let go.
    reach = np.empty((size + k, split))
    factor = np.empty((0, 0))
    if split:
        reach[:on_touch], reach[on_touch:size], reach[size:] = among[split:, :split], beside[:split].T, leans[:, :split]
        letting = np.negative(among[:split, :split], order="C")
        letting.ravel()[:: split + 1] += held_by
        factor, status = dpotrf(letting.T, lower=1, overwrite_a=1)
        if status != 0:
            return None
        reach = dtrtrs(factor, reach.T, lower=1, overwrite_b=1)[0].T
    matrix = reach @ reach.T  # as one product; the inside is the flexibility of the closed cells, its lower half whole
    if on_touch:
        matrix[:on_touch, :on_touch] += among[split:, split:]
        matrix[on_touch:size, :on_touch] += beside[split:].T
        matrix[size:, :on_touch] += leans[:, split:]
    if new.size:
        matrix[on_touch:size, on_touch:size] += joined.inner.take(place, axis=0).take(place, axis=1)
        matrix[size:, on_touch:size] += joined.new_lean.take(new, axis=1)
    give = np.concatenate([joined.softer[touch], joined.layer[new]])
    matrix.ravel()[: size * (size + k + 1) : size + k + 1] += give
    balance = -(shared.upright + matrix[size:, size:])
    border, bordered = np.empty((0, 0)), np.empty((k, 0))
    if size:
        border, status = dpotrf(matrix[:size, :size], lower=1)
        if status != 0:
            return None
        bordered = dtrtrs(border, matrix[size:, :size].T, lower=1)[0].T
        balance += bordered @ bordered.T
    upright = _upright(balance)
    if upright is None:
        return None
    return Held(
        joined, closed, free, touch, new, capped, held_by, table, across, factor, reach, border, bordered, upright
    )


def _upright(balance: Floats) -> Floats | None:
    """Factor of the balance of rigid motions; None where closed cells leave one of them free."""
    factor, status = dpotrf(balance, lower=1)
    if status != 0 or not (factor.diagonal() ** 2 > SINGULAR * balance.diagonal()).all():
        return None
    return factor
