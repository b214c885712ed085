"""The disc that remembers: from a worn disc back to the runout with which it was fitted.

Wear is run forwards some thousand times, with the parameters nobody knows and the runout at fitting both drawn; the
discs that came out most like the one on the bench tell what went in (approximate Bayesian computation with local
linear adjustment: M. A. Beaumont, W. Zhang, D. J. Balding, Genetics 162, 2025, 2002). Turning a disc turns everything
on it, so all are laid with the crest of the reading in the same place before they are compared. The bands are stretched
until they hold 80 % of the library's own discs, left out one by one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.bands import Progress
from sim.errors import BadInput, Fault, Refused
from sim.library import LEAN_ORDERS, THICKNESS_ORDERS, Library, learn
from sim.onethread import one_thread
from sim.parts import Case
from sim.ring import fit, high_spot_deg, tir, trace

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

SHRINKS = (
    "runout shrinks as the disc wears to run true in its crooked seat: a reading within the limit today does not "
    "clear the fitting"
)

#: Own runout of a rotor that nobody has measured by itself, TIR, evenly. Common practice, no source. [um]
OWN_RUNOUT_UM = (0.0, 30.0)

NEIGHBOURS = 160
#: Discs of the library on which its bands are tried.
SELF_TESTS = 250
#: A finding needs this much probability.
SURE = 0.9
#: A reading that lies farther from its neighbours than all but this share of simulated discs is not wear by runout.
STRANGE = 0.995
#: ... by this factor of squared distance, since so few are tried. Judgement.
STRANGE_MARGIN = 1.5
#: A high spot known no better than this, either way, is not given. [deg]
WORST_ANGLE_DEG = 60.0


@dataclass(frozen=True, eq=False)
class WornDisc:
    """What was read on a worn disc; all angles in the ROTOR frame.

    Parameters
    ----------
    distance_km : float
        Driven since it was fitted.
    angle_deg : ndarray, shape (k,)
        Where it was read, 9 places or more.
    thickness_um : ndarray, shape (k,)
        Thickness, any zero.
    outboard_um, inboard_um : ndarray, shape (k,), optional
        Traces of both faces as found, + outboard, any zero; only if it has not been moved since it was fitted.
    doubt_um : float
        Standard uncertainty of one value.
    """

    distance_km: float
    angle_deg: Floats
    thickness_um: Floats
    outboard_um: Floats | None = None
    inboard_um: Floats | None = None
    doubt_um: float = 2.0


@dataclass(frozen=True)
class Memory:
    """What a worn disc remembers.

    Parameters
    ----------
    fitted_runout_um, low_um, high_um : float
        Runout at fitting, TIR: median and 80 % band.
    runout_now_um : float or None
        TIR of the mean plane today.
    high_spot_deg, high_spot_band_deg : float or None
        Where the mean plane stood farthest outboard at fitting (first order), HUB frame, and half of the 80 % band;
        None if the readings do not tell.
    finding : str
        ``fitting fault``, ``disc fault`` or ``cannot tell``.
    reason : str
    looks_like_wear : bool
        False if no simulated disc looks like this one.
    notes : tuple of str
    """

    fitted_runout_um: float
    low_um: float
    high_um: float
    runout_now_um: float | None
    high_spot_deg: float | None
    high_spot_band_deg: float | None
    finding: str
    reason: str
    looks_like_wear: bool
    notes: tuple[str, ...]


def _turned(orders: Complexes, angle: Floats) -> Complexes:
    """Orders of curves turned back by ``angle`` (m,), so that what stood there stands at zero."""
    number = np.arange(1, orders.shape[1] + 1)
    out: Complexes = orders * np.exp(1j * number[None, :] * angle[:, None])
    return out


def _features(lean: Complexes | None, thickness: Complexes) -> tuple[Floats, Floats]:
    """What discs are compared by, and the angle each was turned by: shapes (m, f), (m,).

    Laid by the crest of the lean if that was read, else of the first order of the thickness. Micrometres go through
    asinh, so that small ones are compared by difference and large ones by ratio.
    """
    first = thickness[:, 0] if lean is None else lean[:, 0]
    angle = -np.angle(first)
    turned = _turned(thickness, angle)
    columns = [np.arcsinh(np.abs(turned))]
    if lean is not None:
        swing = np.abs(lean[:, 0])
        shape = _turned(lean, angle)[:, 1] / np.maximum(swing, 1.0)
        columns += [np.log(np.maximum(swing, 0.1))[:, None], shape.real[:, None], shape.imag[:, None]]
    size = np.maximum(np.abs(turned), 1e-9)
    unit = turned / size * np.tanh(size)
    start = 0 if lean is not None else 1  # without the lean the first order lies at zero by construction
    columns += [unit.real[:, start:3], unit.imag[:, start:3]]
    return np.concatenate(columns, axis=1), angle


def _noisy(library: Library, sigma: float, with_lean: bool, seed: int) -> tuple[Complexes | None, Complexes]:
    """The library as it would have been read: ``sigma`` is the doubt of one component of one order."""
    random = np.random.default_rng(seed)

    def noise(shape: tuple[int, ...], scale: float) -> Complexes:
        return np.asarray(scale * (random.standard_normal(shape) + 1j * random.standard_normal(shape)), np.complex128)

    thickness = library.thickness_um + noise(library.thickness_um.shape, sigma)
    # The mean of two faces is read twice as well in variance.
    lean = library.lean_um + noise(library.lean_um.shape, sigma / math.sqrt(2.0)) if with_lean else None
    return lean, thickness


@dataclass(frozen=True, eq=False)
class Shelf:
    """A library as one kind of reading sees it: features in units of their spread, and how far to trust them.

    Parameters
    ----------
    library : Library
    known, turned : ndarray, shapes (m, f), (m,)
        Features, and the angle each disc was turned by.
    middle, scale : ndarray, shape (f,)
    widen, widen_turn : float
        By how much bands must be stretched to hold 80 % of the library's own discs, left out one by one.
    white : ndarray, shape (f, f)
        Takes the correlations out of the features: what usually goes together is no surprise, what does not is.
    usual : float
        Squared distance to the fifth neighbour, in those, that all but a few discs keep within.
    """

    library: Library
    known: Floats
    turned: Floats
    middle: Floats
    scale: Floats
    widen: float
    widen_turn: float
    white: Floats
    usual: float


@dataclass(frozen=True, eq=False)
class Recalled:
    """Weighted draws of what went in: runout at fitting [um], high spot against the reading's own [rad]."""

    fitted_um: Floats
    turn_rad: Floats
    weight: Floats
    strange: bool


@one_thread
def shelve(library: Library, sigma_um: float, with_lean: bool, seed: int = 3) -> Shelf:
    """Make a library ready for readings with and without the faces' traces, and test it on its own discs.

    Parameters
    ----------
    library : Library
    sigma_um : float
        Doubt of each component of an order.
    with_lean : bool
        Whether the faces' traces are read too.
    seed : int
        Of the reading noise laid on the library.

    Returns
    -------
    Shelf
    """
    known, turned = _features(*_noisy(library, sigma_um, with_lean, seed))
    middle, scale = known.mean(axis=0), known.std(axis=0) + 1e-9
    known = (known - middle) / scale
    white = np.linalg.inv(np.linalg.cholesky(np.cov(known.T) + 1e-6 * np.eye(known.shape[1]))).T
    plain = Shelf(library, known, turned, middle, scale, 1.0, 1.0, white, math.inf)
    tried = np.arange(0, known.shape[0], max(1, known.shape[0] // SELF_TESTS))
    size, turn = [], []
    for row in tried:
        one = _look_up(plain, known[row], int(row))
        size.append(_needed(np.log(one.fitted_um), one.weight, math.log(library.fitted_um[row])))
        centre = _centre(one)
        away = float(_about(turned[row : row + 1], centre)[0])
        turn.append(_needed(_about(one.turn_rad, centre), one.weight, away))
    near = [_fifth(plain, known[row], 1) for row in tried]
    return replace(
        plain,
        widen=float(np.quantile(size, 0.8)),
        widen_turn=max(1.0, float(np.quantile(turn, 0.8))),
        usual=STRANGE_MARGIN * float(np.quantile(near, STRANGE)),
    )


def _about(angle: Floats, centre: float) -> Floats:
    """Angles as differences from a centre, -pi to pi."""
    return np.asarray(np.angle(np.exp(1j * (angle - centre))), dtype=np.float64)


def _fifth(shelf: Shelf, asked: Floats, leave_out: int) -> float:
    """Squared distance to the fifth disc like it, correlations taken out; the nearest ``leave_out`` do not count."""
    away = np.sum(((shelf.known - asked) @ shelf.white) ** 2, axis=1)
    return float(np.partition(away, 4 + leave_out)[4 + leave_out])


def _centre(found: Recalled) -> float:
    """Mean direction of the turns."""
    return float(np.angle(np.sum(found.weight * np.exp(1j * found.turn_rad))))


def _needed(values: Floats, weight: Floats, truth: float) -> float:
    """By how much the 80 % band of weighted draws must be stretched about its median to reach the truth."""
    low, middle, high = (weighted_quantile(values, weight, share) for share in (0.1, 0.5, 0.9))
    reach = high - middle if truth > middle else middle - low
    return abs(truth - middle) / max(reach, 1e-12)


@one_thread
def recall(shelf: Shelf, lean: Complexes | None, thickness: Complexes) -> Recalled:
    """Find the simulated discs most like one that was read, and carry them over to it.

    Parameters
    ----------
    shelf : Shelf
    lean : ndarray of complex, shape (LEAN_ORDERS,), optional
        Orders of the mean plane as read; as the shelf was made. [um]
    thickness : ndarray of complex, shape (THICKNESS_ORDERS,)

    Returns
    -------
    Recalled
    """
    asked, _ = _features(None if lean is None else lean[None], thickness[None])
    found = _look_up(shelf, (asked[0] - shelf.middle) / shelf.scale, None)
    size = np.log(found.fitted_um)
    middle = weighted_quantile(size, found.weight, 0.5)
    centre = _centre(found)
    turn = centre + np.clip(shelf.widen_turn * _about(found.turn_rad, centre), -math.pi, math.pi)
    return replace(found, fitted_um=np.exp(middle + shelf.widen * (size - middle)), turn_rad=turn)


def _look_up(shelf: Shelf, asked: Floats, without: int | None) -> Recalled:
    """Weighted neighbours carried to the asked features; ``without`` leaves one disc of the library out."""
    square = np.sum((shelf.known - asked) ** 2, axis=1)
    if without is not None:
        square[without] = np.inf
    count = min(NEIGHBOURS, square.size // 4)
    near = np.argpartition(square, count)[:count]
    near = near[np.argsort(square[near], kind="stable")]
    weight = 1.0 - square[near] / square[near[-1]] + 1e-6
    weight /= weight.sum()
    turned = shelf.turned[near]
    targets = np.stack([np.log(shelf.library.fitted_um[near]), np.cos(turned), np.sin(turned)], axis=1)
    carried = _carry(shelf.known[near] - asked, targets, weight)
    turn = np.arctan2(carried[:, 2], carried[:, 1])
    return Recalled(np.exp(carried[:, 0]), turn, weight, without is None and _fifth(shelf, asked, 0) > shelf.usual)


def _carry(shift: Floats, targets: Floats, weight: Floats) -> Floats:
    """Targets carried to where the shift is zero, by weighted least squares (a little damped)."""
    design = np.concatenate([np.ones((shift.shape[0], 1)), shift], axis=1)
    damping = 1e-3 * np.eye(design.shape[1])
    damping[0, 0] = 0.0
    solved = np.linalg.solve(design.T @ (weight[:, None] * design) + damping, design.T @ (weight[:, None] * targets))
    middle, left = solved[0], targets - design @ solved
    return np.asarray(middle + left, dtype=np.float64)


def weighted_quantile(values: Floats, weight: Floats, share: float) -> float:
    """Quantile of weighted draws."""
    order = np.argsort(values, kind="stable")
    middle = np.cumsum(weight[order]) - 0.5 * weight[order]
    return float(np.interp(share, middle, values[order]))


def _read_orders(disc: WornDisc) -> tuple[Complexes | None, Complexes, float]:
    count = disc.angle_deg.size
    if count < 2 * THICKNESS_ORDERS + 1:
        raise BadInput(
            Fault(f"{count} places are too few", key="angle_deg", allowed=f"{2 * THICKNESS_ORDERS + 1} or more")
        )
    if not (math.isfinite(disc.doubt_um) and disc.doubt_um > 0.0):
        raise BadInput(Fault(f"doubt {disc.doubt_um:g} µm", key="doubt_um", allowed="above 0"))
    thickness = fit(disc.angle_deg, disc.thickness_um, THICKNESS_ORDERS)[1:]
    sigma = disc.doubt_um * math.sqrt(2.0 / count)
    if disc.outboard_um is None or disc.inboard_um is None:
        return None, thickness, sigma
    middle = 0.5 * (np.asarray(disc.outboard_um) + np.asarray(disc.inboard_um))
    return fit(disc.angle_deg, middle, LEAN_ORDERS)[1:], thickness, sigma


@one_thread
def remember(
    case: Case,
    disc: WornDisc,
    own: complex | None = None,
    library: Library | None = None,
    progress: Progress | None = None,
) -> Memory:
    """What a worn disc tells about its fitting.

    Parameters
    ----------
    case : Case
        The corner it ran in: pads, caliper, duty, studs.
    disc : WornDisc
    own : complex, optional
        First order of the rotor's own runout if it was measured by itself (``sim.ring.coefficient``, rotor frame). [um]
    library : Library, optional
        From ``learn``, for the same case and distance; made if missing (some ten seconds).
    progress : callable, optional

    Returns
    -------
    Memory

    Raises
    ------
    BadInput
        For readings that cannot be.
    Refused
        If the library is of another distance.
    """
    lean, thickness, sigma = _read_orders(disc)
    library = learn(case, [disc.distance_km], progress=progress)[0] if library is None else library
    if not math.isclose(library.distance_km, disc.distance_km, rel_tol=1e-6):
        raise Refused(f"the library is for {library.distance_km:g} km, the disc ran {disc.distance_km:g} km")
    found = recall(shelve(library, sigma, lean is not None), lean, thickness)
    low, middle, high = (weighted_quantile(found.fitted_um, found.weight, q) for q in (0.1, 0.5, 0.9))
    crest, band = _crest(case, found, thickness if lean is None else lean)
    finding, reason = _finding(case, found, own, _crest_rad(found, thickness if lean is None else lean), thickness)
    return Memory(
        fitted_runout_um=middle,
        low_um=low,
        high_um=high,
        runout_now_um=None if lean is None else tir(trace(np.concatenate([[0.0], lean]))),
        high_spot_deg=crest,
        high_spot_band_deg=band,
        finding=finding,
        reason=reason,
        looks_like_wear=not found.strange,
        notes=(SHRINKS, f"80 % band from {found.weight.size} of {library.fitted_um.size} simulated discs"),
    )


def _crest_rad(found: Recalled, first: Complexes) -> Floats:
    """High spots of the runout at fitting, rotor frame, one a draw. [rad]."""
    # A library disc, its crest at zero, was turned back by turn_rad; so is the reading by the angle of its own crest.
    return math.radians(high_spot_deg(complex(first[0]))) - found.turn_rad


def _crest(case: Case, found: Recalled, first: Complexes) -> tuple[float | None, float | None]:
    crest = _crest_rad(found, first)
    mean = complex(np.sum(found.weight * np.exp(1j * crest)))
    middle = math.atan2(mean.imag, mean.real)
    off = np.angle(np.exp(1j * (crest - middle)))
    band = 0.5 * (weighted_quantile(off, found.weight, 0.9) - weighted_quantile(off, found.weight, 0.1))
    if math.degrees(band) > WORST_ANGLE_DEG:
        return None, None
    turned = case.studs.studs_turned * 360.0 / case.studs.count
    return (math.degrees(middle) + turned) % 360.0, math.degrees(band)


def _finding(case: Case, found: Recalled, own: complex | None, crest: Floats, thickness: Complexes) -> tuple[str, str]:
    """Fitting fault, disc fault or cannot tell, with the reason in words."""
    limit = case.limits.mounted_runout_um
    dtv = tir(trace(np.concatenate([[0.0], thickness])))
    if found.strange:
        return "disc fault", "no simulated disc looks like this: an imprint, rust or a disc that was uneven from new"
    fitted = found.fitted_um * np.exp(-1j * crest)
    if own is None:
        random = np.random.default_rng(11)
        size = OWN_RUNOUT_UM[0] + (OWN_RUNOUT_UM[1] - OWN_RUNOUT_UM[0]) * random.random(fitted.size)
        own_tir = size * np.exp(2j * math.pi * random.random(fitted.size))
    else:
        own_tir = np.full(fitted.size, 2.0 * own)
    mounting = float(np.sum(found.weight[np.abs(fitted - own_tir) > limit]))
    over = float(np.sum(found.weight[found.fitted_um > limit]))
    if mounting >= SURE:
        return "fitting fault", f"it was fitted with more than {limit:g} µm of runout that is not the rotor's own"
    if own is not None and over >= SURE and mounting <= 1.0 - SURE:
        return "disc fault", "the runout that wore it is the rotor's own"
    if over <= 1.0 - SURE and dtv >= case.limits.dtv_um:
        return "disc fault", f"it ran within {limit:g} µm, which does not wear a disc so uneven"
    if over <= 1.0 - SURE:
        return "cannot tell", f"it ran within {limit:g} µm and is hardly uneven: no fault to be found here"
    return "cannot tell", "rotor's own runout and the fitting cannot be parted: take it off and clock the hub"
