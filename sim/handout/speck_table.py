"""A table of solved seatings of one corner with one speck, read between its nodes with an error that is measured."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from sim import turn
from sim.arrays import Complexes, Floats, read_only
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.progress import Progress, silent
from sim.rigid.seat import rigid_runout_um
from sim.seating.lying_between import turn_rad
from sim.seating.seat import Seat, seat

ORDERS = 16
"""Orders of a trace that are kept: higher ones die out on the way to the gauge radius (part of the measured error)."""
ALLOWED_UM, ALLOWED_SHARE = 2.0, 0.03
"""Between the nodes the runout may be off by the larger of the two; a dial is read to half a division at best."""
CHECKS = 40
"""Direct solves off the nodes that a table is held against."""
SEED = 15
"""Of the drawn places; any other would do."""
AROUND, OUTWARD = "angle_deg", "radius_mm"


@dataclass(frozen=True)
class Error:
    """How far a table is from direct solves off its nodes.

    Parameters
    ----------
    runout_um : float
        Largest difference of the TIR. [um]
    of_allowed : float
        Largest difference over what is allowed there, the larger of `ALLOWED_UM` and `ALLOWED_SHARE` of the TIR; up
        to 1 the table holds.
    needle_um : float
        Largest difference of a reading anywhere on the turn. [um]
    solves : int
        Direct solves behind it.
    """

    runout_um: float
    of_allowed: float
    needle_um: float
    solves: int

    @property
    def holds(self) -> bool:
        """Whether the table may be read between its nodes."""
        return self.of_allowed <= 1.0


@dataclass(frozen=True, eq=False)
class Table:
    """Seatings over the place of a speck and its height.

    Parameters
    ----------
    first : {"angle_deg", "radius_mm"}
        What the first axis is: angle on the hub, all round, or radius of the speck's middle.
    places, heights_um : ndarray, shapes (p,), (h,)
        Equally spaced nodes. [deg or mm], [um]
    outboard_um, inboard_um : ndarray of complex, shape (p, h, ORDERS)
        What the speck adds to the trace of either face: orders 1 .. `ORDERS`, c of f(theta) = Re sum c exp(i n theta).
        HUB frame, angles counted from the speck. [um]
    clean_um : tuple of ndarray of complex, shape (ORDERS,)
        Outboard and inboard trace without it. HUB frame. [um]
    left_um : ndarray, shape (p, h)
        Height on which the rotor stands once the speck is crushed as far as it will be. [um]
    rigid_um : ndarray, shape (p, h)
        TIR of parts that do not bend, where the first axis is the radius; else nought. [um]
    error : Error
    seats : tuple of Seat
        The seatings, places outermost; for recovering fields.
    """

    first: str
    places: Floats
    heights_um: Floats
    outboard_um: Complexes
    inboard_um: Complexes
    clean_um: tuple[Complexes, Complexes]
    left_um: Floats
    rigid_um: Floats
    error: Error
    seats: tuple[Seat, ...]

    def weights(self, place: float, height_um: float) -> tuple[Floats, Floats]:
        """Weights of the nodes of both axes at a place; the page computes the same. Shapes (p,), (h,)."""
        return (
            cubic_weights(self.places, place, 360.0 if self.first == AROUND else None),
            cubic_weights(self.heights_um, height_um),
        )

    def trace_um(self, place: float, height_um: float, angle_deg: float, face: str = "outboard") -> Floats:
        """Mounted trace read from the table, one value a degree, HUB frame. Shape (360,). [um].

        By definition of the Fourier series.

        Parameters
        ----------
        place, height_um : float
            On the two axes.
        angle_deg : float
            Where the speck lies. [deg]
        face : {"outboard", "inboard"}
        """
        added = self.outboard_um if face == "outboard" else self.inboard_um
        clean = self.clean_um[0 if face == "outboard" else 1]
        first, second = self.weights(place, height_um)
        return trace_of(clean + turn_on(np.einsum("p,h,phn->n", first, second, added), angle_deg))


def cubic_weights(nodes: Floats, at: float, period: float | None = None) -> Floats:
    """Weights of equally spaced nodes for a cubic through the four nearest of them.

    Parameters
    ----------
    nodes : ndarray, shape (n,)
        At least four.
    at : float
        Clipped to the nodes unless there is a period.
    period : float, optional
        Of an axis that closes on itself; then the last node is followed by the first.

    Returns
    -------
    ndarray, shape (n,)
        They add up to one; at a node it alone counts.

    Notes
    -----
    Lagrange's interpolation formula, closed form; unit of the nodes.

    Examples
    --------
    >>> cubic_weights(np.arange(5.0), 2.0)
    array([0., 0., 1., 0., 0.])
    """
    count, step = nodes.size, float(nodes[1] - nodes[0])
    place = (at - float(nodes[0])) / step
    if period is None:
        place = min(max(place, 0.0), count - 1.0)
        start = min(max(math.floor(place) - 1, 0), count - 4)
    else:
        start = math.floor(place) - 1
    out = np.zeros(count)
    for k in range(4):
        others = [j for j in range(4) if j != k]
        value = math.prod((place - start - j) / (k - j) for j in others)
        out[(start + k) % count] += value
    return out


def trace_of(orders_um: Complexes) -> Floats:
    """Trace of orders 1 and up, one value a degree, by definition of the Fourier series. Shape (360,). [um]."""
    return turn.trace(np.concatenate([[0.0], orders_um]), 360)


def turn_on(orders: Complexes, by_deg: float) -> Complexes:
    """Orders 1 and up of the same curve turned on by [deg], counter-clockwise; by definition of the Fourier series.

    The last axis is the order; unit of the orders.
    """
    number = np.arange(1, orders.shape[-1] + 1)
    return orders * np.exp(-1j * number * np.deg2rad(by_deg))


def hub_orders(seated: Seat, face: str) -> Complexes:
    """Orders 1 .. `ORDERS` of the mounted trace in the HUB frame. Shape (ORDERS,). [um]."""
    trace = seated.outboard_um if face == "outboard" else seated.inboard_um
    return turn_on(turn.harmonics(trace, ORDERS)[1:], np.rad2deg(turn_rad(seated.case)))


def with_speck(case: Case, speck: Debris, height_um: float) -> Case:
    """Return the corner with nothing but one speck of a height between its faces; with none at height 0."""
    debris = (replace(speck, on="hub", height_um=height_um),) if height_um > 0 else ()
    return replace(case, debris=debris, spigot_scale=())


@one_thread
def table(
    case: Case,
    speck_at: Callable[[float], Debris],
    axes: tuple[str, Floats, Floats],
    preset: str = "standard",
    progress: Progress = silent,
) -> Table:
    """Seat a corner at every node, and hold the table against direct solves between them.

    Parameters
    ----------
    case : Case
        Its own dirt is left out.
    speck_at : callable(place)
        The speck at a place of the first axis.
    axes : tuple of str, ndarray and ndarray
        What the first axis is, its nodes, the heights; the first height is 0. [deg or mm], [um]
    preset : str
    progress : callable(fraction, what)

    Returns
    -------
    Table
        ``error.holds`` says whether it may be read between its nodes.

    Raises
    ------
    Refused
        If the corner cannot be seated at a node.

    Notes
    -----
    Every node is a seating with its proof (source: `sim.seating`); between them Lagrange's closed form.
    """
    first, places, heights = axes
    clean = seat(with_speck(case, speck_at(float(places[0])), 0.0), preset)
    clean_um = hub_orders(clean, "outboard"), hub_orders(clean, "inboard")
    seats, total = [], places.size * heights.size
    for count, (place, height) in enumerate((float(p), float(h)) for p in places for h in heights):
        progress(0.85 * count / total, f"seatings of a speck, {count} of {total}")
        seats.append(clean if height == 0.0 else _seated(case, speck_at(place), height, preset))
    shape = (places.size, heights.size)
    faces = []
    for which, face in enumerate(("outboard", "inboard")):
        added = np.array([hub_orders(one, face) - clean_um[which] for one in seats])
        back = [-speck_at(float(place)).angle_deg for place in np.repeat(places, heights.size)]
        faces.append(np.array([turn_on(row, by) for row, by in zip(added, back, strict=True)]).reshape(*shape, ORDERS))
    made = Table(
        first,
        places,
        heights,
        faces[0],
        faces[1],
        clean_um,
        np.array([one.contact.residual_height_um[0] if one.case.debris else 0.0 for one in seats]).reshape(shape),
        np.array([_rigid_um(one.case) for one in seats]).reshape(shape) if first == OUTWARD else np.zeros(shape),
        Error(0.0, 0.0, 0.0, 0),
        tuple(seats),
    )
    tell: Progress = lambda done, what: progress(0.85 + 0.15 * done, what)  # noqa: E731 - a share of ours
    return read_only(replace(made, error=measured(made, case, speck_at, preset, tell)))


def _seated(case: Case, speck: Debris, height_um: float, preset: str) -> Seat:
    return seat(with_speck(case, speck, height_um), preset)


def _rigid_um(case: Case) -> float:
    """Runout of parts that do not bend; not a number where they would rock on what lies there."""
    try:
        return rigid_runout_um(case)
    except Refused:
        return math.nan


@one_thread
def measured(
    made: Table,
    case: Case,
    speck_at: Callable[[float], Debris],
    preset: str = "standard",
    progress: Progress = silent,
) -> Error:
    """Hold a table against direct solves at places half way between its nodes and at drawn ones.

    Parameters
    ----------
    made : Table
    case, speck_at, preset
        As `table` was given them.
    progress : callable(fraction, what)

    Raises
    ------
    Refused
        If the corner cannot be seated there.

    Notes
    -----
    Half of the places lie in the middle of a mesh of the table, where a cubic is worst; half are drawn: judgement.
    Differences in um.
    """
    draw = np.random.default_rng(SEED)
    sizes = made.places.size - (made.first != AROUND), made.heights_um.size - 1
    steps = made.places[1] - made.places[0], made.heights_um[1] - made.heights_um[0]
    worst, worst_share, needle = 0.0, 0.0, 0.0
    for count in range(CHECKS):
        progress(count / CHECKS, "seatings between the nodes, to measure the error")
        within = np.full(2, 0.5) if count % 2 else draw.random(2)
        cell = draw.integers(0, sizes)
        place = float(made.places[0] + (cell[0] + within[0]) * steps[0])
        height = max(float(made.heights_um[0] + (cell[1] + within[1]) * steps[1]), 1.0)
        direct = _seated(case, speck_at(place), height, preset)
        for face in ("outboard", "inboard"):
            off = made.trace_um(place, height, speck_at(place).angle_deg, face) - _in_hub_frame(direct, face)
            needle = max(needle, float(np.abs(off).max()))
            read = direct.lateral_runout_um[face]
            wrong = abs(turn.tir(made.trace_um(place, height, speck_at(place).angle_deg, face)) - read)
            worst = max(worst, wrong)
            worst_share = max(worst_share, wrong / max(ALLOWED_UM, ALLOWED_SHARE * read))
    return Error(worst, worst_share, needle, CHECKS)


def _in_hub_frame(seated: Seat, face: str) -> Floats:
    trace = seated.outboard_um if face == "outboard" else seated.inboard_um
    return turn.turn_trace(trace, float(np.rad2deg(turn_rad(seated.case))))
