"""Which simulated worn discs look like one that was read, and what they say of its fitting.

Approximate Bayesian computation: every disc of a library is read as the one on the bench was (same places, same dial,
places found by eye, a slip now and then), turned so that its crest lies at zero, and compared. What is compared are
regressions of the answer on all features (P. Fearnhead, D. Prangle, J. R. Stat. Soc. B 74, 419, 2012), the size of the
reading, and the features themselves; the nearest are carried over by weighted local least squares (M. A. Beaumont,
W. Zhang, D. J. Balding, Genetics 162, 2025, 2002). Bands are stretched until they hold 80 % of the library's own discs
in the neighbourhood of the reading, each left out in turn, and a little further (`MARGIN`): cars are not drawn from our
library.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Complexes, Floats
from sim.bench.worn_library import Library, rotated
from sim.one_thread import one_thread
from sim.turn import design_matrix
from sim.weighted import weighted_quantile

#: Orders that are fitted to readings.
THICKNESS_FITTED, LEAN_FITTED = 4, 3
#: Where stud 1 is marked on the rotor, and each place beside its angle: standard deviation. Judgement. [deg]
MARK_SD_DEG, PLACE_SD_DEG = 3.0, 2.5
#: A turn in so many holds one misread place, off by so much (standard deviation). Judgement. [-, um]
SLIPS, SLIP_UM = 0.04, 15.0
#: How often each disc of the library is read.
READ = 2
NEIGHBOURS = 300
#: Discs of the library on which its bands are tried, and how many of those nearest to the reading count.
SELF_TESTS, NEAR_TESTS = 1000, 250
#: Weight of the size of the reading, and of the other features, against the regressions. Judgement.
SIZE_WEIGHT, FEATURE_WEIGHT = 2.0, 0.3
#: Share of its features' range beyond which a reading is taken as at the end of it.
ENDS = 0.002
#: Runouts below this are compared as if they were this. [um]
LEAST_UM = 2.0
#: A reading that lies farther from its neighbours than all but this share of simulated rotors is not wear by runout.
STRANGE = 0.995
#: ... by this factor of squared distance, since so few are tried. Judgement.
STRANGE_MARGIN = 1.5
#: Half of a runout's band over that of one which holds 80 % of the library's own discs. What is drawn for the library
#: is judged, and cars differ from it in ways that are not drawn: without a margin, bands held 72 to 75 % of rotors from
#: causes and wear that the library does not know (population of the coverage study, seeds 4711 and 4712).
MARGIN = 1.12
#: Amplitude of the first order over the TIR: a half, and a little more where the third order flattens it.
MOST_FIRST = 0.6
BAND = (0.1, 0.5, 0.9)


@dataclass(frozen=True, eq=False)
class Shelf:
    """A library as one kind of reading sees it.

    Parameters
    ----------
    source : ndarray of int, shape (m,)
        Which disc of the library a row is.
    features : ndarray, shape (m, f)
        In units of their spread.
    answers : ndarray, shape (m, 4)
        Log of the runout at fitting over the reference, cosine and sine of the turn, log of the amplitude of the first
        order at fitting over the runout.
    summary : ndarray, shape (m, s)
        What is compared.
    middle, scale, lowest, highest : ndarray, shape (f,)
        Of the features.
    regression, spread : ndarray, shapes (q, 3), (3,)
        Of the answers on the features.
    sizes : tuple of int
        Features that are the size of the reading.
    with_faces : bool
    tried, needed : ndarray, shapes (t,), (t, 2)
        Rows left out in turn, and how far the bands of runout and of turn had to be stretched to hold their truth.
    white : ndarray, shape (f, f)
        Takes the correlations out of the features: what usually goes together is no surprise, what does not is.
    usual : float
        Squared distance to the fifth neighbour, in those, that all but a few discs keep within.
    """

    source: NDArray[np.int64]
    features: Floats
    answers: Floats
    summary: Floats
    middle: Floats
    scale: Floats
    lowest: Floats
    highest: Floats
    regression: Floats
    spread: Floats
    sizes: tuple[int, ...]
    with_faces: bool
    tried: NDArray[np.int64]
    needed: Floats
    white: Floats
    usual: float


@dataclass(frozen=True, eq=False)
class Recalled:
    """Weighted draws of what went in.

    Parameters
    ----------
    fitted_um, first_um : ndarray, shape (k,)
        Runout at fitting, TIR, and amplitude of its first order.
    high_spot_rad : ndarray, shape (k,)
        High spot of the first order, in the frame of the readings.
    weight : ndarray, shape (k,)
    strange : bool
        Whether no simulated rotor looks like the one that was read.
    """

    fitted_um: Floats
    first_um: Floats
    high_spot_rad: Floats
    weight: Floats
    strange: bool


def _at(orders: Complexes, theta: Floats) -> Floats:
    """Curves (m, h) at their own places (m, k)."""
    number = np.arange(1, orders.shape[1] + 1)
    return np.asarray(np.einsum("mh,mkh->mk", orders, np.exp(1j * theta[:, :, None] * number)).real)


@one_thread
def fitted_orders(angle_deg: Floats, rows: Floats, highest: int) -> Complexes:
    """Least-squares orders 1 to ``highest`` of turns that were read at the same places, shape (m, k).

    Unit of the rows; least squares.
    """
    solved = rows @ np.linalg.pinv(design_matrix(angle_deg, highest)).T
    return np.asarray(solved[:, 1 : highest + 1] - 1j * solved[:, highest + 1 :], dtype=np.complex128)


@one_thread
def spans(orders: Complexes) -> Floats:
    """TIR of curves, shape (m,). Unit of the orders; by definition, at 120 places."""
    theta = 2.0 * np.pi * np.arange(120) / 120
    return np.ptp((orders @ np.exp(1j * np.outer(np.arange(1, orders.shape[1] + 1), theta))).real, axis=1)


def _read(
    library: Library, angle_deg: Floats, doubt_um: float, face_doubt_um: float | None, random: np.random.Generator
) -> tuple[Complexes | None, Complexes, Floats]:
    """Every disc of a library as it would have been read, laid anyhow; and the angle it was laid at."""
    count, places = library.fitted_um.size, angle_deg.size
    laid = 2.0 * np.pi * random.random(count)
    mark = np.radians(MARK_SD_DEG) * random.standard_normal((count, 1))

    def at() -> Floats:
        return np.radians(angle_deg)[None] + mark + np.radians(PLACE_SD_DEG) * random.standard_normal((count, places))

    def noise(sd: float) -> Floats:
        out = sd * random.standard_normal((count, places))
        slip = (random.random(count) < SLIPS) * SLIP_UM * random.standard_normal(count)
        out[np.arange(count), random.integers(places, size=count)] += slip
        return out

    thick = rotated(library.thickness_um, laid)
    thickness = fitted_orders(angle_deg, _at(thick, at()) + noise(doubt_um), THICKNESS_FITTED)
    if face_doubt_um is None:
        return None, thickness, laid
    lean, half = rotated(library.lean_um, laid), 0.5 * thick[:, : library.lean_um.shape[1]]
    faces = [_at(lean + sign * half, at()) + noise(face_doubt_um) for sign in (1.0, -1.0)]
    return fitted_orders(angle_deg, 0.5 * (faces[0] + faces[1]), LEAN_FITTED), thickness, laid


def _features(lean: Complexes | None, thickness: Complexes) -> tuple[Floats, Floats, tuple[int, ...]]:
    """What discs are compared by, the crest each was turned back by, and which of the columns are sizes.

    Laid by the crest of the first order of the lean if that was read, else of the thickness. Thickness goes through
    asinh, so that small ones are compared by difference and large ones by ratio.
    """
    crest = -np.angle(thickness[:, 0] if lean is None else lean[:, 0])
    turned = rotated(thickness, -crest)
    size = np.abs(turned)
    unit = turned / np.maximum(size, 1e-9) * np.tanh(size)
    columns = [np.arcsinh(size), np.arcsinh(spans(thickness))[:, None]]
    if lean is None:  # its first order lies at zero by construction
        return np.concatenate([*columns, unit.real[:, 1:3], unit.imag[:, 1:3]], axis=1), crest, (THICKNESS_FITTED,)
    laid = rotated(lean, -crest)
    whole = np.sqrt(np.sum(np.abs(laid) ** 2, axis=1, keepdims=True)) + 1e-9
    columns += [np.log(np.maximum(spans(lean), LEAST_UM))[:, None], np.log(np.maximum(np.abs(laid[:, :1]), 1.0))]
    columns += [(laid / whole).real, (laid / whole).imag[:, 1:], unit.real[:, :3], unit.imag[:, :3]]
    return np.concatenate(columns, axis=1), crest, (THICKNESS_FITTED + 1, THICKNESS_FITTED + 2)


def _about(angle: Floats, centre: float | Floats) -> Floats:
    """Angles as differences from a centre, -pi to pi."""
    return np.asarray(np.angle(np.exp(1j * (angle - centre))), dtype=np.float64)


def _quadratic(features: Floats) -> Floats:
    row, column = np.triu_indices(features.shape[1])
    return np.concatenate([np.ones((features.shape[0], 1)), features, features[:, row] * features[:, column]], axis=1)


def _damped(design: Floats, targets: Floats, weight: Floats, damping: float) -> Floats:
    """Weighted least squares, all but the constant a little damped."""
    extra = damping * np.eye(design.shape[1])
    extra[0, 0] = 0.0
    weighted = weight[:, None] * design
    return np.asarray(np.linalg.solve(design.T @ weighted + extra, weighted.T @ targets))


@one_thread
def shelve(
    library: Library, angle_deg: Floats, doubt_um: float, face_doubt_um: float | None = None, seed: int = 3
) -> Shelf:
    """Make a library ready for one kind of reading, and test its bands on its own discs.

    Parameters
    ----------
    library : Library
    angle_deg : ndarray, shape (k,)
        Places of the readings.
    doubt_um, face_doubt_um : float
        Standard uncertainty of one reading of the thickness, and of a face if both were read.
    seed : int
        Of the reading noise laid on the library.

    Returns
    -------
    Shelf

    Notes
    -----
    Readings in um; regressions as the module says, with their source.

    Fearnhead and Prangle 2012, and Beaumont, Zhang, Balding 2002, as the module says.
    """
    random = np.random.default_rng(seed)
    rows = []
    for _ in range(READ):
        lean, thickness, laid = _read(library, angle_deg, doubt_um, face_doubt_um, random)
        seen, crest, sizes = _features(lean, thickness)
        reference = _reference(lean, library.fitted_um.size)
        turn = _about(crest, laid)
        told = [np.log(library.fitted_um) - reference, np.cos(turn), np.sin(turn)]
        rows.append((seen, np.stack([*told, np.log(library.fitted_first_um / library.fitted_um)], axis=1)))
    features, answers = (np.concatenate(column) for column in zip(*rows, strict=True))
    middle, scale = features.mean(axis=0), features.std(axis=0) + 1e-9
    features = (features - middle) / scale
    design = _quadratic(features)
    regression = _damped(design, answers[:, :3], np.full(len(design), 1.0 / len(design)), 0.01)
    spread = np.maximum((answers[:, :3] - design @ regression).std(axis=0), 0.02)
    white = np.linalg.inv(np.linalg.cholesky(np.cov(features.T) + 1e-6 * np.eye(features.shape[1]))).T
    plain = Shelf(
        source=np.tile(np.arange(library.fitted_um.size), READ),
        features=features,
        answers=answers,
        summary=_summary(features, regression, spread, sizes),
        middle=middle,
        scale=scale,
        lowest=np.quantile(features, ENDS, axis=0),
        highest=np.quantile(features, 1.0 - ENDS, axis=0),
        regression=regression,
        spread=spread,
        sizes=sizes,
        with_faces=face_doubt_um is not None,
        tried=np.arange(0, len(features), max(1, len(features) // SELF_TESTS)),
        needed=np.ones((0, 2)),
        white=white,
        usual=math.inf,
    )
    near = [_fifth(plain, features[row], int(row)) for row in plain.tried]
    usual = STRANGE_MARGIN * float(np.quantile(near, STRANGE))
    return replace(plain, needed=np.array([_needed(plain, int(row)) for row in plain.tried]), usual=usual)


def _reference(lean: Complexes | None, count: int) -> Floats:
    """Log of what the runout at fitting is compared with: the runout today where it was read."""
    return np.zeros(count) if lean is None else np.log(np.maximum(spans(lean), LEAST_UM))


def _summary(features: Floats, regression: Floats, spread: Floats, sizes: tuple[int, ...]) -> Floats:
    told = _quadratic(features) @ regression / spread
    return np.concatenate([told, SIZE_WEIGHT * features[:, list(sizes)], FEATURE_WEIGHT * features], axis=1)


def _fifth(shelf: Shelf, asked: Floats, without: int | None) -> float:
    """Squared distance to the fifth row like it, correlations taken out; readings of the same disc do not count."""
    away = np.sum(((shelf.features - asked) @ shelf.white) ** 2, axis=1)
    if without is not None:
        away[shelf.source == shelf.source[without]] = np.inf
    return float(np.partition(away, 4)[4])


def _look_up(shelf: Shelf, summary: Floats, without: int | None) -> tuple[Floats, Floats, Floats, Floats]:
    """Weighted neighbours carried over: log runout, turn, log of its first order over it, weight; one disc left out."""
    square = np.sum((shelf.summary - summary) ** 2, axis=1)
    if without is not None:
        square[shelf.source == shelf.source[without]] = np.inf
    count = min(NEIGHBOURS, square.size // 10)
    near = np.argpartition(square, count)[:count]
    near = near[np.argsort(square[near], kind="stable")]
    weight = 1.0 - square[near] / square[near[-1]] + 1e-6
    weight /= weight.sum()
    design = np.concatenate([np.ones((count, 1)), shelf.summary[near] - summary], axis=1)
    targets = shelf.answers[near]
    solved = _damped(design, targets, weight, 1e-3)
    carried = solved[0] + targets - design @ solved
    return carried[:, 0], np.arctan2(carried[:, 2], carried[:, 1]), carried[:, 3], weight


def _centre(turn: Floats, weight: Floats) -> float:
    """Mean direction of the turns."""
    return float(np.angle(np.sum(weight * np.exp(1j * turn))))


def half_width(turn: Floats, weight: Floats, centre: float) -> float:
    """Half of the 80 % band of angles about a centre. [rad]. By definition."""
    off = _about(turn, centre)
    return 0.5 * (weighted_quantile(off, weight, BAND[2]) - weighted_quantile(off, weight, BAND[0]))


def _needed(shelf: Shelf, row: int) -> tuple[float, float]:
    """By how much the bands of a row that is left out must be stretched to reach its truth."""
    size, turn, _, weight = _look_up(shelf, shelf.summary[row], row)
    low, middle, high = (weighted_quantile(size, weight, share) for share in BAND)
    truth, cosine, sine = shelf.answers[row, :3]
    reach = high - middle if truth > middle else middle - low
    centre = _centre(turn, weight)
    away = abs(float(_about(np.array([math.atan2(sine, cosine)]), centre)[0]))
    return abs(truth - middle) / max(reach, 1e-12), away / max(half_width(turn, weight, centre), 1e-12)


@one_thread
def recall(shelf: Shelf, lean: Complexes | None, thickness: Complexes) -> Recalled:
    """Find the simulated rotors most like one that was read, and carry them over to it.

    Parameters
    ----------
    shelf : Shelf
        Made for readings of this kind.
    lean : ndarray of complex, shape (LEAN_FITTED,), optional
        Orders of the mean plane as read. [um]
    thickness : ndarray of complex, shape (THICKNESS_FITTED,)

    Returns
    -------
    Recalled

    Notes
    -----
    Local regression as the module says, with its source (Beaumont, Zhang, Balding 2002).
    """
    rows = None if lean is None else lean[None]
    raw, crest, _ = _features(rows, thickness[None])
    asked = (raw[0] - shelf.middle) / shelf.scale
    strange = _fifth(shelf, asked, None) > shelf.usual
    within = np.clip(asked, shelf.lowest, shelf.highest)
    summary = _summary(within[None], shelf.regression, shelf.spread, shelf.sizes)[0]
    size, turn, first, weight = _look_up(shelf, summary, None)
    away = np.sum((shelf.summary[shelf.tried] - summary) ** 2, axis=1)
    count = min(NEAR_TESTS, away.size)
    wide = np.quantile(shelf.needed[np.argpartition(away, count - 1)[:count]], BAND[2] - BAND[0], axis=0)
    middle, centre = weighted_quantile(size, weight, BAND[1]), _centre(turn, weight)
    runout = np.exp(float(_reference(rows, 1)[0]) + middle + MARGIN * wide[0] * (size - middle))
    off = np.clip(wide[1] * _about(turn, centre), -math.pi, math.pi)
    # A disc of the library, its crest at zero, seemed turned forward by ``turn``; so does the reading.
    spot = np.asarray(crest[0] - centre - off, dtype=np.float64)
    return Recalled(runout, runout * np.exp(np.minimum(first, math.log(MOST_FIRST))), spot, weight, strange)
