"""What the dial should read once the rotor was indexed, and with what uncertainty.

The reading before the move, the bare hub's lean, putting the rotor on again twice, and the dial itself are drawn many
times; the band holds the middle 80 % of what the dial then shows, highest less lowest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim import turn
from sim.arrays import Floats

Complexes = NDArray[np.complex128]

DRAWS = 2000  # its quantiles scatter by about 2 % of the band's width
POINTS = 60  # of the curve whose TIR is taken: a third order loses 1 % of its share
SEED = 20_117  # any number: the same readings give the same answer
COVERAGE = 0.8  # of every band in the house
# Random first order of each mounting, standard deviation of a component. Judgement, 1 .. 6 um.
MOUNT_SCATTER_UM = 3.0
# Before anything was read: standard deviation of a component of the hub's and of the rotor's share, and of each higher
# order; every size as likely as the other. Judgement. [um]
SHARE_UM = (5.0, 10.0, 20.0, 40.0)
HIGHER_UM = (0.5, 1.5, 4.0, 10.0, 25.0)
# Share (of variance) of a higher order that stays with the hub when the rotor is moved. Judgement, 0 .. 0.5.
STAYS_WITH_HUB = 0.2
# Repeatability of a usual dial with its error along the travel, and the part of a division to which it is read; what
# JIS B 7503 allows is more. Judgement, 1.5 .. 4 um.
USUAL_NOISE_UM, PART_OF_STEP = 2.8, 0.75
# What does not average out in a turn: the dial's smooth error along its travel, and between going in and coming out, in
# a component of the first order. Judgement, 0.5 .. 1.5 um.
SMOOTH_UM = 1.0
# Two positions are as good as each other where the other may turn out better this often. Judgement.
TIE = 0.2


@dataclass(frozen=True)
class Band:
    """What the dial should show. All [um TIR].

    Parameters
    ----------
    middle_um : float
        As often less as more.
    low_um, high_um : float
        80 % band.
    """

    middle_um: float
    low_um: float
    high_um: float


@dataclass(frozen=True, eq=False)
class AsRead:
    """What two tables say before the move.

    Parameters
    ----------
    mounted : ndarray of complex, shape (h + 1,)
        Orders of the mounted trace, rotor frame. [um]
    mounted_sd_um : ndarray, shape (h + 1,)
        Standard deviation of a component of each. [um]
    hub : complex
        First order of the hub's share at the gauge radius, hub frame. [um]
    hub_sd_um : float
        Standard deviation of a component of it. [um]
    studs_turned, count : int
        Where the rotor sat, and studs.
    places_deg : ndarray
        Where the dial is read. [deg]
    dial_um : float
        Its step. [um]
    """

    mounted: Complexes
    mounted_sd_um: Floats
    hub: complex
    hub_sd_um: float
    studs_turned: int
    count: int
    places_deg: Floats
    dial_um: float


@dataclass(frozen=True, eq=False)
class AfterMoving:
    """Bands of every stud position.

    Parameters
    ----------
    bands : dict of int to Band
        By studs turned; where it sits now, without taking it off.
    gain_sd_um : dict of int to float
        Standard deviation of what a move there takes away. [um TIR]
    better : dict of int to float
        How often this position turns out better than the best by reckoning.
    """

    bands: dict[int, Band]
    gain_sd_um: dict[int, float]
    better: dict[int, float]

    def confirms_up_to_um(self, now: int, there: int) -> float | None:
        """Highest reading that speaks for the move: within its band, and below that of a rotor that was not moved.

        ``None`` where the two bands lie on each other and one reading cannot tell. [um TIR]
        """
        most = min(self.bands[there].high_um, self.bands[now].low_um)
        return most if most > self.bands[there].middle_um else None


def usual_sd(dial_um: float) -> float:
    """Standard deviation of one reading as it usually is. [um].

    Normal noise and a rectangle of part of a step (JCGM 100, 4.3.7), in quadrature; both sizes are judgement
    (`USUAL_NOISE_UM`, `PART_OF_STEP`).
    """
    return float(np.hypot(USUAL_NOISE_UM, PART_OF_STEP * dial_um / np.sqrt(12.0)))


def after_moving(read: AsRead, positions: Sequence[int], best: int) -> AfterMoving:
    """Draw what the dial shows at each stud position.

    Parameters
    ----------
    read : AsRead
    positions : sequence of int
        Stud positions.
    best : int
        The one that the reckoning prefers.

    Returns
    -------
    AfterMoving

    Notes
    -----
    At position m the first order is R + H e_m + x', what was read is R + H e_0 + x with the errors of the readings: hub
    H, rotor R, x and x' the scatter of the mounting that was read and of the next. H, R and x are drawn from what both
    readings leave of normal distributions of every size in `SHARE_UM`, each size weighted by how well it explains them:
    the short difference of two uncertain vectors reads too large otherwise. Of a higher order a share stays with the
    hub, unknown which.
    """
    rng = np.random.default_rng(SEED)
    size = read.mounted.size

    def pairs(sd: float) -> Complexes:
        drawn: Complexes = np.empty(DRAWS, dtype=complex)
        drawn.real, drawn.imag = sd * rng.normal(size=DRAWS), sd * rng.normal(size=DRAWS)
        return drawn

    orders: Complexes = np.zeros((DRAWS, size), dtype=complex)
    stays: Complexes = np.zeros((DRAWS, size), dtype=complex)
    start = complex(np.exp(2j * np.pi * read.studs_turned / read.count))
    hub, rotor, was = _shares(read, start, rng)
    orders[:, 1] = hub + rotor + was
    stays[:, 1] = hub / start
    for order in range(2, size):
        sd = float(read.mounted_sd_um[order])
        spread = rng.permutation(_higher(complex(read.mounted[order]), sd))
        believe = spread**2 / (spread**2 + sd**2)
        orders[:, order] = believe * read.mounted[order] + np.sqrt(believe) * pairs(sd)
        share = STAYS_WITH_HUB
        stays[:, order] = share * orders[:, order] + np.sqrt(share * (1.0 - share)) * spread * pairs(1.0)
    here = 2j * np.pi * np.arange(size) / read.count
    change = pairs(MOUNT_SCATTER_UM) - was
    at: dict[int, Complexes] = {}
    for turned in dict.fromkeys((*positions, best)):
        at[turned] = orders.copy()
        if turned != read.studs_turned:
            at[turned] += stays * (np.exp(here * turned) - np.exp(here * read.studs_turned))
            at[turned][:, 1] += change
    return _told(orders, at, best, Dialled(read.places_deg, read.dial_um), rng)


def _higher(told: complex, sd_um: float) -> Floats:
    """Standard deviation of a higher order for each draw, of `HIGHER_UM` as they explain what was read. [um]."""
    sizes = np.array(HIGHER_UM)
    spread = sizes**2 + sd_um**2
    logs = -np.log(spread) - 0.5 * abs(told) ** 2 / spread
    return sizes[_spread_over(logs)]


def _spread_over(logs: Floats) -> NDArray[np.intp]:
    """Which guess each draw takes, as often as its weight says; in rising order. Weights as logarithms."""
    share = np.cumsum(np.exp(logs - logs.max()))
    return np.searchsorted(share / share[-1], (np.arange(DRAWS) + 0.5) / DRAWS)


def _shares(read: AsRead, start: complex, rng: np.random.Generator) -> tuple[Complexes, Complexes, Complexes]:
    """Draws of hub (as it stood, rotor frame), rotor and scatter of the mounting, given both readings. [um]."""
    told = np.array([read.hub * start, complex(read.mounted[1])])
    errors = np.array([read.hub_sd_um, float(read.mounted_sd_um[1])])
    seen = np.array([[1.0, 0.0, 0.0], [1.0, 1.0, 1.0]])  # which of hub, rotor, scatter each reading holds
    sizes = [np.array([h, r, MOUNT_SCATTER_UM]) for h in SHARE_UM for r in SHARE_UM]
    spreads = [seen @ np.diag(size**2) @ seen.T + np.diag(errors**2) for size in sizes]
    # Both components of a complex number have this covariance, so its determinant counts whole.
    logs = np.array([
        -np.log(np.linalg.det(s)) - 0.5 * float((told.conj() @ np.linalg.solve(s, told)).real) for s in spreads
    ])  # fmt: skip
    which = _spread_over(logs)

    def normal(columns: int) -> Complexes:
        drawn: Complexes = rng.normal(size=(DRAWS, columns)) + 1j * rng.normal(size=(DRAWS, columns))
        return drawn

    scale = np.array(sizes)[which]
    prior = normal(3) * scale
    off = told - prior @ seen.T - normal(2) * errors
    # Drawn before, then moved by what the readings differ from the draw (Matheron's rule).
    gains = np.array([np.diag(n**2) @ seen.T @ np.linalg.inv(s) for n, s in zip(sizes, spreads, strict=True)])
    left = prior + np.einsum("dij,dj->di", gains[which], off)
    return left[:, 0], left[:, 1], left[:, 2]


@dataclass(frozen=True, eq=False)
class Dialled:
    """Where a dial of which step is read. [deg, um]."""

    places_deg: Floats
    dial_um: float


def after_seating(orders: dict[int, Complexes], now: int, best: int, dial: Dialled) -> AfterMoving:
    """Draw what the dial shows of traces that were computed, once the rotor was put on again.

    Parameters
    ----------
    orders : dict of int to ndarray of complex
        Orders of the trace at each stud position. [um]
    now, best : int
        Where it sits, and the position that the reckoning prefers.
    dial : Dialled
        What it will be read with.

    Notes
    -----
    Bands from draws; how far they hold: tests/studies/index_residual.md.
    """
    rng = np.random.default_rng(SEED)
    scatter = MOUNT_SCATTER_UM * (rng.normal(size=DRAWS) + 1j * rng.normal(size=DRAWS))
    at: dict[int, Complexes] = {}
    for turned, trace in orders.items():
        at[turned] = np.tile(trace, (DRAWS, 1))
        if turned != now:
            at[turned][:, 1] += scatter
    here = np.tile(orders[now] if now in orders else orders[best], (DRAWS, 1))
    return _told(here, at, best, dial, rng)


def _told(here: Complexes, at: dict[int, Complexes], best: int, dial: Dialled, rng: np.random.Generator) -> AfterMoving:
    """What the dial shows of drawn orders, position by position."""
    highest = here.shape[1] - 1
    noise: Floats = rng.normal(0.0, usual_sd(dial.dial_um), (DRAWS, dial.places_deg.size))
    read, round_turn = (
        turn.design_matrix(at_deg, highest).T for at_deg in (dial.places_deg, np.arange(POINTS) * 360.0 / POINTS)
    )
    now: Floats = np.ptp(_columns(here) @ round_turn, axis=1)
    true: dict[int, Floats] = {turned: np.ptp(_columns(moved) @ round_turn, axis=1) for turned, moved in at.items()}
    ends = (0.5 - COVERAGE / 2, 0.5, 0.5 + COVERAGE / 2)
    bands = {}
    for turned, moved in at.items():
        low, middle, high = np.quantile(np.ptp(_columns(moved) @ read + noise, axis=1), ends)
        bands[turned] = Band(float(middle), float(low), float(high))
    return AfterMoving(
        bands,
        {turned: float(np.std(now - value)) for turned, value in true.items()},
        {turned: float(np.mean(value < true[best])) for turned, value in true.items()},
    )


def _columns(orders: Complexes) -> Floats:
    """Orders (rows, h + 1) as what multiplies 1, cos, sin of `ring.design_matrix`."""
    found: Floats = np.hstack([orders.real, -orders.imag[:, 1:]])
    return found
