"""The best stud position: hub and rotor each have a high spot, and turning one against the other lets them cancel.

Everything is at the gauge radius, in um. Curves are ``f(theta) = Re sum c_n exp(i n theta)``. What is fixed to the hub
is given in the hub frame, what is fixed to the rotor in the rotor frame; turned by m stud pitches the dial sees, in the
rotor frame, ``c_n = R_n + H_n exp(i n m 2 pi / N)``. Runouts are TIR; the modulus of a c_n is an amplitude.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from sim import turn
from sim.arrays import Complexes, Floats
from sim.corner.seated import seat_corner
from sim.errors import BadInput, Fault
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.discard import refuse_scrap
from sim.seating.seat import Seat
from sim.spigot.state import need_free_spigot

# Orders kept of a full trace, and points of the trace that is looked at for its TIR.
ORDERS = 16
POINTS = 720
# Two index positions whose weights differ less than this cannot tell hub from rotor in an order.
INSEPARABLE = 1e-9


@dataclass(frozen=True)
class Position:
    """One way to put the rotor on.

    Parameters
    ----------
    studs_turned : int
        Stud pitches by which the rotor is turned on the hub.
    runout_um : float
        Lateral runout there. [um TIR]
    first_order_um : float
        The same of the first order alone. [um TIR]
    """

    studs_turned: int
    runout_um: float
    first_order_um: float


@dataclass(frozen=True)
class IndexResult:
    """Every allowed stud position, and what no stud position can beat.

    Parameters
    ----------
    count : int
        Studs.
    positions : tuple of Position
        In the order of the studs.
    best, best_by_first_order : int
        Studs turned with the least runout, and with the least first order (the usual shortcut).
    floor_um : float
        Difference of the first orders of hub and rotor, which is left even if they oppose each other exactly. [um TIR]
    continuous_deg, continuous_um : float
        Angle of turn, hub against rotor, that would be best if any were possible, and the runout there. [deg, um TIR]
    hub_um, rotor_um : float
        First orders of what is fixed to the hub and to the rotor. [um TIR]
    by_vectors_um : tuple of float
        From a case: what adding the separated hub and rotor traces predicts at each position, beside the seating solved
        anew; they part where dirt lies on both sides, because contact is not linear. [um TIR]
    """

    count: int
    positions: tuple[Position, ...]
    best: int
    best_by_first_order: int
    floor_um: float
    continuous_deg: float
    continuous_um: float
    hub_um: float
    rotor_um: float
    by_vectors_um: tuple[float, ...] = ()
    vectors: tuple[complex, complex] = (0j, 0j)

    def at(self, studs_turned: int) -> Position:
        """Return one of the positions.

        Raises
        ------
        BadInput
            If it is not an allowed one.
        """
        for position in self.positions:
            if position.studs_turned == studs_turned:
                return position
        allowed = ", ".join(str(position.studs_turned) for position in self.positions)
        raise BadInput(Fault(f"no stud position {studs_turned}", key="studs_turned", allowed=allowed))


def index_positions(
    hub_trace: ArrayLike | complex,
    rotor_trace: ArrayLike | complex,
    count: int,
    allowed: Sequence[int] | None = None,
) -> IndexResult:
    """Lateral runout at every stud position.

    Parameters
    ----------
    hub_trace : array_like, shape (k,), or complex
        What is fixed to the hub, hub frame: one turn at equal steps from stud 1 (real), its orders c_0, c_1 ...
        (complex), or the first order alone. [um]
    rotor_trace : array_like, shape (m,), or complex
        What is fixed to the rotor, rotor frame, likewise. [um]
    count : int
        Studs.
    allowed : sequence of int, optional
        Positions that a locating screw allows; all otherwise.

    Returns
    -------
    IndexResult

    Raises
    ------
    BadInput
        Without studs, or for an allowed position that does not exist.

    Notes
    -----
    Sum of phasors at every position (closed form), TIR of the whole curve.
    """
    if count < 1:
        raise BadInput(Fault(f"{count} studs", key="studs", allowed="1 or more"))
    wanted = tuple(range(count)) if allowed is None else tuple(sorted(set(allowed)))
    if not wanted or any(not 0 <= turned < count for turned in wanted):
        raise BadInput(Fault(f"index positions {list(wanted)}", key="index_positions", allowed=f"0 .. {count - 1}"))
    hub, rotor = orders_of(hub_trace), orders_of(rotor_trace)
    used = max(2, 1 + int(np.flatnonzero(np.abs(hub) + np.abs(rotor)).max(initial=1)))
    hub, rotor = hub[:used], rotor[:used]
    first = complex(hub[1]), complex(rotor[1])
    positions = tuple(
        Position(
            turned,
            turn.tir(turn.trace(mounted(hub, rotor, 360.0 * turned / count), POINTS)),
            2.0 * abs(first[1] + first[0] * np.exp(2j * np.pi * turned / count)),
        )
        for turned in wanted
    )
    angle, least = _continuous(hub, rotor)
    return IndexResult(
        count=count,
        positions=positions,
        best=min(positions, key=lambda one: (one.runout_um, one.studs_turned)).studs_turned,
        best_by_first_order=min(positions, key=lambda one: (one.first_order_um, one.studs_turned)).studs_turned,
        floor_um=2.0 * abs(abs(first[0]) - abs(first[1])),
        continuous_deg=angle,
        continuous_um=least,
        hub_um=2.0 * abs(first[0]),
        rotor_um=2.0 * abs(first[1]),
        vectors=first,
    )


def orders_of(curve: ArrayLike | complex) -> Complexes:
    """Orders 0 ... `ORDERS` of a trace (real), a first order (one complex number) or orders c_0, c_1 ... (complex).

    The mean is dropped.
    """
    values = np.asarray(curve)
    orders = np.zeros(ORDERS + 1, dtype=complex)
    if values.ndim == 0:
        orders[1] = complex(values)
        return orders
    given = np.iscomplexobj(values)
    if values.ndim != 1 or values.size < (2 if given else 3) or not np.isfinite(values).all():
        raise BadInput("a trace is a row of at least 3 finite readings at equal steps; a first order is one number")
    if given:
        orders[1 : values.size] = values[1 : ORDERS + 1]
        return orders
    found = turn.harmonics(values, min(ORDERS, (values.size - 1) // 2))
    orders[1 : found.size] = found[1:]
    return orders


def mounted(hub: Complexes, rotor: Complexes, turned_deg: float) -> Complexes:
    """Orders of the mounted trace in the rotor frame: hub angle = rotor angle + ``turned_deg``."""
    return rotor + turn.turned(hub, -turned_deg)


def _continuous(hub: Complexes, rotor: Complexes) -> tuple[float, float]:
    """Angle of turn with the least TIR if every angle were possible: a scan, then finer about the best."""
    opposed = float(np.degrees(np.angle(-rotor[1] * hub[1].conjugate()))) % 360.0
    if not hub[2:].any() and not rotor[2:].any():
        return opposed, 2.0 * abs(abs(hub[1]) - abs(rotor[1]))
    step = 3.0
    angles = np.append(np.arange(0.0, 360.0, step), opposed)
    best = opposed
    for _ in range(4):
        turned = hub * np.exp(1j * np.radians(np.outer(angles, np.arange(hub.size))))
        spans = np.ptp(turn.evaluate_rows(rotor + turned, POINTS // 2), axis=1)
        best = float(angles[np.argmin(spans)])
        angles = best + np.linspace(-step, step, 21)
        step /= 10.0
    return best % 360.0, turn.tir(turn.trace(mounted(hub, rotor, best), POINTS))


@dataclass(frozen=True)
class Split:
    """What of a mounted trace belongs to the hub and what to the rotor.

    Parameters
    ----------
    hub, rotor : ndarray of complex
        Orders at the gauge radius, each in its own frame; of the hub the first order only. Order 0 is nought. [um]
    hub_higher : ndarray of complex
        Orders 2 and up of the hub face as read on it, NOT scaled to the gauge radius: a face that is not flat does not
        tilt the rotor by its radius. For showing only; entries 0 and 1 are nought. [um]
    rotor_sd_um : float
        Standard deviation of the rotor's first order (amplitude, each component). [um]
    notes : tuple of str
        What the reader must know.
    """

    hub: Complexes
    rotor: Complexes
    hub_higher: Complexes
    rotor_sd_um: float
    notes: tuple[str, ...] = ()


def split_mounted(
    mounted_orders: ArrayLike,
    hub_orders: ArrayLike,
    radii_mm: tuple[float, float],
    turned_deg: float,
    sd_um: tuple[float, float] = (0.0, 0.0),
) -> Split:
    """Take the hub's share out of a mounted trace.

    Parameters
    ----------
    mounted_orders : array_like of complex
        Orders of the mounted trace, rotor frame, at the gauge radius. [um]
    hub_orders : array_like of complex
        Orders of the bare hub face, hub frame, at the radius where it was read. [um]
    radii_mm : tuple of float
        Gauge radius, and radius of the hub trace. [mm]
    turned_deg : float
        How far the rotor was turned on the hub when the mounted trace was read. [deg]
    sd_um : tuple of float
        Standard deviation of each component of the two first orders as read. [um]

    Returns
    -------
    Split

    Notes
    -----
    A leaning hub face carries the rotor with it, so its first order grows with the radius. Its own reading error grows
    likewise: from 64 to 140 mm by 2.19.

    A lean grows with the radius (geometry); variances add (JCGM 100).
    """
    gauge, at_hub = radii_mm
    if not (gauge > 0.0 and at_hub > 0.0):
        raise BadInput(Fault(f"radii {gauge:g} and {at_hub:g} mm", key="gauge_radius_mm", allowed="above 0"))
    read, bare = np.array(mounted_orders, dtype=complex), np.array(hub_orders, dtype=complex)
    scale = gauge / at_hub
    hub = np.zeros(max(read.size, 2), dtype=complex)
    rotor = hub.copy()
    hub[1] = scale * bare[1]
    rotor[1 : read.size] = read[1:]
    rotor[1] -= hub[1] * np.exp(1j * np.radians(turned_deg))
    higher = bare.copy()
    higher[:2] = 0.0
    notes = ["orders above the first are counted as the rotor's: one stud position cannot tell them from the hub's"]
    if higher.size > 2 and np.abs(higher).sum() > 0.5 * abs(bare[1]):
        notes.append(
            "the hub face is far from a plane: dirt, a bump at a stud, or a worn face; its lean is less certain"
        )
    return Split(hub, rotor, higher, float(np.hypot(sd_um[0], scale * sd_um[1])), tuple(notes))


@dataclass(frozen=True)
class Separated:
    """Hub and rotor told apart by reading at several stud positions.

    Parameters
    ----------
    hub, rotor : ndarray of complex
        Orders, each in its own frame; not a number where the positions cannot tell. [um]
    separable : tuple of bool
        For each order; never for order 0 and for multiples of the number of studs.
    gain : ndarray
        Standard deviation of each order's vectors over that of one reading of it; infinite where not separable.
    """

    hub: Complexes
    rotor: Complexes
    separable: tuple[bool, ...]
    gain: Floats


def split_by_positions(studs_turned: Sequence[int], orders: ArrayLike, count: int) -> Separated:
    """Tell hub from rotor by reading the mounted trace at several stud positions.

    Parameters
    ----------
    studs_turned : sequence of int, length j
        Stud position of each reading.
    orders : array_like of complex, shape (j, h + 1)
        Orders of each mounted trace, rotor frame. [um]
    count : int
        Studs.

    Returns
    -------
    Separated

    Notes
    -----
    Least squares of c_n(j) = R_n + H_n exp(i n m_j 2 pi/N), the multi-step method of error separation (NIST/SEMATECH
    e-Handbook 3.4.4; Reeve, NBSIR 79-1758). The normal matrix is [[J, G], [G*, J]] with G the sum of the
    weights, so each vector's variance is J/(J^2 - |G|^2) of one reading's. Order N never separates: the stud pattern
    turns into itself.
    """
    read = np.atleast_2d(np.array(orders, dtype=complex))
    turns = np.asarray(studs_turned, dtype=float)
    if read.shape[0] != turns.size:
        raise BadInput(f"{turns.size} stud positions but {read.shape[0]} traces")
    size = read.shape[1]
    hub, rotor = np.full(size, np.nan, dtype=complex), np.full(size, np.nan, dtype=complex)
    gain = np.full(size, np.inf)
    number = float(turns.size)
    for n in range(1, size):
        weight = np.exp(2j * np.pi * n * turns / count)
        joint = complex(weight.sum())
        rest = number**2 - abs(joint) ** 2
        if rest < INSEPARABLE * number**2:
            continue
        total, turned = complex(read[:, n].sum()), complex((read[:, n] * weight.conj()).sum())
        rotor[n] = (number * total - joint * turned) / rest
        hub[n] = (number * turned - joint.conjugate() * total) / rest
        gain[n] = np.sqrt(number / rest)
    return Separated(hub, rotor, tuple(bool(g) for g in np.isfinite(gain)), gain)


@one_thread
def index_case(
    case: Case, preset: str = "standard", solve: Callable[[Case, str], Seat] = seat_corner
) -> tuple[IndexResult, tuple[Seat, ...]]:
    """Seat a corner at every stud position that it allows.

    Parameters
    ----------
    case : Case
        The corner; dirt on the hub stays, dirt on the rotor goes with it.
    preset : str
        Fineness of the seating.
    solve : callable
        What seats a case.

    Returns
    -------
    IndexResult
        Runout of `gauge.face`, elastic and solved anew at each position.
    tuple of Seat
        The seats, in the same sequence.

    Raises
    ------
    Refused
        If scale on the spigot makes the bore too tight or holds the rotor off: no stud position cures that.
    Scrap
        If the rotor is at or under its discard thickness: none is reckoned for it, as no road is.

    Notes
    -----
    Floor and continuous optimum come from hub and rotor as the solved positions tell them apart (with a single allowed
    position: by the rotor's stated own runout). Dirt on the rotor counts as fixed to the rotor.

    Runouts in um TIR. Each position is seated anew; vectors by `split_by_positions` (NIST/SEMATECH e-Handbook 3.4.4).
    """
    need_free_spigot(case)
    refuse_scrap(case, where="rotor.thickness_mm", at_too=True)
    count = case.studs.count
    turns = case.studs.positions
    seats = tuple(solve(replace(case, studs=replace(case.studs, studs_turned=turned)), preset) for turned in turns)
    traces = [s.outboard_um if case.gauge.face == "outboard" else s.inboard_um for s in seats]
    orders = np.array([orders_of(trace) for trace in traces])
    split = split_by_positions(turns, orders, count)
    # What these positions cannot tell apart stays the same at each of them: it is left with the rotor.
    hub = np.where(split.separable, split.hub, 0.0)
    rotor = np.where(split.separable, split.rotor, orders.mean(axis=0))
    if not split.separable[1]:
        own = turn.coefficient(case.rotor.own_runout_um / 2.0, case.rotor.own_high_spot_deg)
        rotor[1] = own * case.gauge_radius_mm / case.rotor.own_runout_read_at_mm
        hub[1] = (orders[0, 1] - rotor[1]) * np.exp(-2j * np.pi * turns[0] / count)
    simple = index_positions(hub, rotor, count, turns)
    positions = tuple(
        Position(turned, turn.tir(trace), 2.0 * abs(complex(order[1])))
        for turned, trace, order in zip(turns, traces, orders, strict=True)
    )
    best = min(positions, key=lambda one: (one.runout_um, one.studs_turned)).studs_turned
    by_first = min(positions, key=lambda one: (one.first_order_um, one.studs_turned)).studs_turned
    added = tuple(position.runout_um for position in simple.positions)
    found = replace(simple, positions=positions, best=best, best_by_first_order=by_first, by_vectors_um=added)
    return found, seats
