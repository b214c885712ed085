"""March the wear over thousands of kilometres: a stabilised explicit method with an error estimate and dense output.

The method is the second-order Runge-Kutta-Chebyshev scheme (J. G. Verwer, W. H. Hundsdorfer, B. P. Sommeijer, Numer.
Math. 57, 157, 1990; error estimate after Sommeijer, Shampine, Verwer, J. Comput. Appl. Math. 88, 315, 1998). It takes
as many stages as stiffness asks for, and every stage is one averaged revolution. Steps are never cut to fit a wanted
distance: the states between them come from cubic interpolation, so a march that is stopped and continued is the same
march to the last bit.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from sim.arrays import Floats, Ints
from sim.errors import Refused
from sim.progress import Progress
from sim.wear.disc import WearProblem, balance

#: Largest step, as first change of any depth. [mm]
FIRST_STEP_MM = 2.0e-4
#: The stiffness (spectral radius) is measured again after so many steps, and raised by this margin.
STIFFNESS_EVERY = 25
STIFFNESS_MARGIN = 1.15
STIFFNESS_TRIES = 40
STIFFNESS_MOVE_MM = 1.0e-6
#: A step is given up when it has been refused so often in a row; a march when it takes more steps than this.
MOST_REFUSALS = 20
MOST_STEPS = 20000
#: Averaged turns that a forecast may cost, each 2 to 10 ms. What brakes cost that somebody has driven is 70 to 250;
#: judgement. Corners at the far ends of several ranges would take hours.
MOST_TURNS = 2000
#: Once so many are spent, a march is given up whose pace, from its start and over the last half of them, would take so
#: many times what it may cost. The slowest start that was seen to arrive asked for 10 times at 100 turns and 2.4 at
#: 200, as its steps grew; marches that never arrived asked for 35 to 1e8 times, and worked a minute and more in vain.
LOOK_AT_TURNS = 200
HOPELESS = 20.0
#: Stages of one step; usual steps take 2 to 10.
MOST_STAGES = 200
#: The metal balance must close to this, relative to the metal gone. Rounding leaves 1e-14 or so.
BALANCE = 1.0e-12

#: One averaged turn: change of a state per revolution, and its notes.
Turn = Callable[[Floats], tuple[Floats, Floats]]


class _Allowance:
    """Averaged turns that a march may still cost; work is refused before it is begun."""

    def __init__(self, turns: int | None, share: float = 0.0) -> None:
        self.turns, self.spent = turns, 0
        self.taken = [(0, share)]

    def spend(self, turns: int) -> None:
        self.spent += turns
        if self.turns is not None and self.spent > self.turns:
            raise self._refused()

    def arrived(self, share: float) -> None:
        """Give the march up where its pace leads nowhere: a step was taken, this share of the way is done."""
        self.taken.append((self.spent, share))
        if self.turns is None or self.spent < LOOK_AT_TURNS:
            return
        half = next(one for one in self.taken if 2 * one[0] >= self.spent)
        since = [one for one in (half, self.taken[0]) if one[0] < self.spent]
        if 1.0 - share > HOPELESS * self.turns * max((share - then) / (self.spent - before) for before, then in since):
            raise self._refused()

    def _refused(self) -> Refused:
        return Refused(
            f"the wear changes so fast beside the distance that it cannot be followed within {self.turns} "
            "averaged turns (a usual corner takes 70 to 250): a key of pads, caliper or drive, or the runout "
            "itself, must be far from what is usual"
        )


@dataclass(frozen=True, eq=False)
class March:
    """Every step of a march, and what it takes to go on: plain arrays, fit for saving.

    Parameters
    ----------
    revolutions : ndarray, shape (s,)
        Knots. [rev]
    state, rate : ndarray, shape (s, size)
        State at each knot and its change per revolution; see ``sim.wear.disc.parts_of``.
    notes : ndarray, shape (s, 5)
        Peak tap force, unsettled contacts, lowest braking pressure, released contact share, slip; see
        ``sim.wear.revolution``.
    balance : ndarray, shape (s,)
        Relative error of the metal balance.
    error : ndarray, shape (s,)
        Estimated local error over the tolerance, at most 1.
    going : ndarray, shape (3,)
        Next step [rev], stiffness [1/rev], steps since it was measured.
    """

    revolutions: Floats
    state: Floats
    rate: Floats
    notes: Floats
    balance: Floats
    error: Floats
    going: Floats


@cache
def _chebyshev(stages: int) -> tuple[Floats, Floats, float, float]:
    """Coefficients b_j, T_j(w0) and w0, w1 of the damped scheme."""
    w0 = 1.0 + (2.0 / 13.0) / stages**2
    t, d, dd = np.zeros(stages + 1), np.zeros(stages + 1), np.zeros(stages + 1)
    t[0], t[1], d[1] = 1.0, w0, 1.0
    for j in range(2, stages + 1):
        t[j] = 2.0 * w0 * t[j - 1] - t[j - 2]
        d[j] = 2.0 * t[j - 1] + 2.0 * w0 * d[j - 1] - d[j - 2]
        dd[j] = 4.0 * d[j - 1] + 2.0 * w0 * dd[j - 1] - dd[j - 2]
    b = np.empty(stages + 1)
    b[2:] = dd[2:] / d[2:] ** 2
    b[0] = b[1] = b[2]
    return b, t, w0, float(d[stages] / dd[stages])


def one_turn(problem: WearProblem, state: Floats) -> tuple[Floats, Floats]:
    """Change of the state per revolution, and the notes of that revolution."""
    from sim.wear.revolution import rates, scratch  # loaded by whoever drives

    rate = np.empty_like(state)
    view, off, on = scratch(problem.grid)
    rates(state, problem.base_mm, problem.grid, problem.law, view, off, on, rate)
    notes = off.notes
    notes[2] = on.notes[2]
    return rate, notes


def _step(turn: Turn, state: Floats, rate: Floats, h: float, stages: int) -> tuple[Floats, ...]:
    """One step of ``h`` revolutions: new state, its rate and notes, and the error estimate per entry."""
    b, t, w0, w1 = _chebyshev(stages)
    older, old = state, state + b[1] * w1 * h * rate
    for j in range(2, stages + 1):
        mu, nu = 2.0 * b[j] * w0 / b[j - 1], -b[j] / b[j - 2]
        slope = 2.0 * b[j] * w1 / b[j - 1]
        gamma = -(1.0 - b[j - 1] * t[j - 1]) * slope
        change, _ = turn(old)
        older, old = old, (1.0 - mu - nu) * state + mu * old + nu * older + h * (slope * change + gamma * rate)
    new_rate, notes = turn(old)
    return old, new_rate, notes, 0.8 * (state - old) + 0.4 * h * (rate + new_rate)


def _stiffness(turn: Turn, state: Floats, rate: Floats) -> float:
    """Largest rate at which a small change of the faces dies, by power iteration on the law itself. [1/rev]."""
    number = np.arange(state.size, dtype=float)
    direction = np.sin(1.7 * number**2 + 0.3)  # a fixed rough start: it has a part in every direction
    found = last = 0.0
    for _ in range(STIFFNESS_TRIES):
        direction[-4:] = 0.0
        length = float(np.linalg.norm(direction))
        if length == 0.0:
            break
        direction *= STIFFNESS_MOVE_MM / length
        direction = turn(state + direction)[0] - rate
        found = float(np.linalg.norm(direction[:-4])) / STIFFNESS_MOVE_MM
        if abs(found - last) < 0.02 * found:
            break
        last = found
    return found


def start(problem: WearProblem) -> March:
    """A march at its start: nothing worn.

    Parameters
    ----------
    problem : WearProblem

    Returns
    -------
    March
        One knot, at zero.

    Notes
    -----
    Depths in mm, turns in revolutions [rev]; the first step is judgement (`FIRST_STEP_MM`).
    """
    state = np.zeros(problem.size)
    rate, notes = one_turn(problem, state)
    fastest = float(np.max(np.abs(rate[:-4])))
    # No wear at all can happen (clearance never closed and the brake never used): any step will do.
    first = FIRST_STEP_MM / fastest if fastest > 0.0 else 1.0e6
    going = np.array([first, 0.0, float(STIFFNESS_EVERY)])
    zero = np.zeros(1)
    return March(zero, state[None], rate[None], notes[None], zero, zero, going)


def march(
    problem: WearProblem,
    revolutions: float,
    so_far: March | None = None,
    until: Callable[[Floats], bool] | None = None,
    progress: Progress | None = None,
    most_turns: int | None = None,
    nearing: Callable[[Floats], float] | None = None,
) -> March:
    """Wear the disc for at least so many revolutions.

    Parameters
    ----------
    problem : WearProblem
    revolutions : float
        Where to stop; the last step reaches beyond it. [rev]
    so_far : March, optional
        A march of the same problem to go on from; the result is the same to the bit as one march in one go.
    until : callable, optional
        Called with the state after each step; True ends the march.
    progress : callable, optional
        Called with the share done and a line of text.
    most_turns : int, optional
        Averaged turns that it may cost; unbounded unless given.
    nearing : callable, optional
        Called with the state: share of what ``until`` waits for. A march whose pace leads nowhere is given up early.

    Returns
    -------
    March

    Raises
    ------
    Refused
        If metal is lost or made, a contact does not settle, the error estimate cannot be met, or it takes too long.
    """
    so_far = start(problem) if so_far is None else so_far
    knots = [tuple(getattr(so_far, name)[i] for name in _KNOT) for i in range(so_far.revolutions.size)]
    going = so_far.going.copy()

    def share() -> float:
        at, state = knots[-1][:2]
        way = float(at) / revolutions if revolutions > 0.0 else 1.0
        return max(way, 0.0 if nearing is None else nearing(state))

    allowance = _Allowance(most_turns, share())

    def tell() -> None:
        if progress is not None:
            progress(min(1.0, float(knots[-1][0]) / revolutions), "wearing the rotor")

    def turn(state: Floats) -> tuple[Floats, Floats]:
        tell()  # a step may take a thousand turns, seconds of them: refused, tried again, many stages
        return one_turn(problem, state)

    while knots[-1][0] < revolutions and not (until is not None and until(knots[-1][1])):
        if len(knots) > MOST_STEPS:
            raise Refused(f"the wear takes more than {MOST_STEPS} steps; a parameter must be far outside its range")
        knots.append(_advance(problem, turn, knots[-1], going, allowance))
        allowance.arrived(share())
        tell()
    columns = {name: np.array([knot[i] for knot in knots]) for i, name in enumerate(_KNOT)}
    return March(**columns, going=going)


_KNOT = ("revolutions", "state", "rate", "notes", "balance", "error")


def _advance(problem: WearProblem, turn: Turn, knot: tuple, going: Floats, allowance: _Allowance) -> tuple:
    """One accepted step; ``going`` (next step, stiffness, age of the stiffness) is brought up to date in place."""
    at, state, rate = knot[0], knot[1], knot[2]
    tolerance = problem.fineness.tolerance_mm
    for _ in range(MOST_REFUSALS):
        if going[2] >= STIFFNESS_EVERY:
            allowance.spend(STIFFNESS_TRIES // 4)  # so many it takes on average
            going[1] = STIFFNESS_MARGIN * _stiffness(turn, state, rate)
            going[2] = 0.0
        h = going[0]
        h = min(h, (MOST_STAGES**2 - 1.0) / (1.54 * going[1])) if going[1] > 0.0 else h
        stages = max(2, int(np.ceil(np.sqrt(1.0 + 1.54 * h * going[1]))))
        allowance.spend(stages)
        new, new_rate, notes, error = _step(turn, state, rate, h, stages)
        worst = float(np.max(np.abs(error[:-4]))) / tolerance
        if not np.isfinite(worst):
            worst = 1.0e6
        going[0] = h * min(5.0, max(0.1, 0.8 * max(worst, 1e-12) ** (-1.0 / 3.0)))
        if worst <= 1.0:
            going[2] += 1.0
            if notes[1] > 0.0:
                raise Refused("a pad contact did not settle; a parameter must be far outside its range")
            lost = balance(problem, new)
            if not lost <= BALANCE:
                raise Refused(f"the wear solver lost metal: balance {lost:.1e}, allowed {BALANCE:.0e}")
            return at + h, new, new_rate, notes, lost, worst
        going[2] = STIFFNESS_EVERY  # refused: the stiffness may have grown
    raise Refused("the wear solver cannot keep its error small enough; a parameter must be far outside its range")


def states_at(marched: March, revolutions: Floats) -> Floats:
    """States between the knots, by cubic interpolation through states and rates.

    Parameters
    ----------
    marched : March
    revolutions : ndarray, shape (k,)
        Within the march. [rev]

    Returns
    -------
    ndarray, shape (k, size)
        [mm], and work in [N mm] at the end.

    Notes
    -----
    Hermite's polynomial (handbook).
    """
    low, h, s = _places(marched, revolutions)
    if h.size == 0:
        return np.repeat(marched.state, s.size, axis=0)
    y0, y1 = marched.state[low], marched.state[low + 1]
    f0, f1 = h * marched.rate[low], h * marched.rate[low + 1]
    jump = y1 - y0
    return np.asarray(y0 + s * (f0 + s * ((3.0 * jump - 2.0 * f0 - f1) + s * (f0 + f1 - 2.0 * jump))))


def rates_at(marched: March, revolutions: Floats, some: slice = slice(None)) -> Floats:
    """Change per revolution of the states between the knots: how the polynomial of `states_at` rises.

    Parameters
    ----------
    marched : March
    revolutions : ndarray, shape (k,)
        Within the march. [rev]
    some : slice
        Entries of the state that are asked for; all of hundreds unless given.

    Returns
    -------
    ndarray, shape (k, entries)
        [mm/rev], and work in [N mm/rev] at the end.

    Notes
    -----
    Derivative of Hermite's polynomial (handbook).
    """
    low, h, s = _places(marched, revolutions)
    rate = marched.rate[:, some]
    if h.size == 0:
        return np.repeat(rate, s.size, axis=0)
    state = marched.state[:, some]
    jump, f0, f1 = state[low + 1] - state[low], h * rate[low], h * rate[low + 1]
    return np.asarray((f0 + s * (2.0 * (3.0 * jump - 2.0 * f0 - f1) + s * 3.0 * (f0 + f1 - 2.0 * jump))) / h)


def _places(marched: March, revolutions: Floats) -> tuple[Ints, Floats, Floats]:
    """Knot before each place, the step from there and the share of it gone; no step where there is one knot alone."""
    knots, at = marched.revolutions, np.asarray(revolutions, dtype=float)
    if knots.size == 1:
        return np.zeros(0, dtype=np.int64), np.zeros(0), at
    low = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, knots.size - 2)
    h = (knots[low + 1] - knots[low])[:, None]
    return low, h, (at[:, None] - knots[low][:, None]) / h
