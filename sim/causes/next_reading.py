"""Which reading tells most of the cause in a minute, and whether any could still change what to do.

Every sample of what is possible says what a further reading would show. Samples are grouped by the cause that has the
largest share, and by whether the thickness varies over its limit; within a group the reading is taken as normally
distributed. How well the groups part is the information.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.causes import names
from sim.causes.answer import NextReading
from sim.causes.seen import BARE_WIDER, RIM_UM, Seen, Spot, one_reading
from sim.causes.weigh import SEED, Posterior
from sim.causes.what_if import COST, Cures, costs, dirt_of
from sim.files.clean_turn import CREEP_UM
from sim.one_thread import one_thread

# What a reading of twelve places takes, rotor off and on included; judgement, half to double. [min]
MINUTES = {
    names.ANOTHER_STUD: 8.0, names.BACK: 8.0, names.CLEAN_AND_REFIT: 20.0, names.BARE_HUB: 12.0, names.RADIAL: 3.0,
    names.THICKNESS: 5.0, names.INBOARD: 5.0, names.RETORQUED: 5.0, names.FINER_MICROMETER: 5.0,
    names.FINER_DIAL: 5.0, names.SECOND_TURN: 2.0,
}  # fmt: skip
WHY = {
    names.ANOTHER_STUD: "it parts what stays with the hub from what goes with the rotor",
    names.BACK: "it shows whether anything moved between the mountings",
    names.CLEAN_AND_REFIT: "it parts dirt and scale from parts that run out themselves",
    names.BARE_HUB: "it parts the hub face itself from what lies on it",
    names.RADIAL: "scale on the spigot holds the rotor off centre, dirt on the face does not",
    names.THICKNESS: "it parts wear, imprint and rust from lean",
    names.INBOARD: "it parts wear of one face from lean, which both faces share",
    names.RETORQUED: "it parts uneven nuts from the rest",
    names.FINER_MICROMETER: "the thickness is too close to its limit to tell",
    names.FINER_DIAL: "the runout is too close to its limit to tell",
    names.SECOND_TURN: "one turn alone shows no bearing that throws the hub otherwise each turn",
}
# After these nobody is in doubt whether dirt was left.
TELL_CLEAN = (names.BARE_HUB, names.CLEAN_AND_REFIT)
PLACES = 12
# Groups with fewer samples are taken together. Judgement.
FEWEST = 25
TRIED = 300
# No reading is worth naming that would change what to do less often, or tells less. Judgement.
LEAST_CHANGE, LEAST_BITS = 0.05, 0.02


@dataclass(frozen=True, eq=False)
class _Candidate:
    what: str
    spot: Spot


def menu(
    seen: Seen, now: Spot, positions: Sequence[int], dirt_left: bool = False, wanted: int | None = None
) -> list[_Candidate]:
    """Readings that are still possible: what was done is not done again, unless cleaning may have left dirt.

    A wanted stud position is the one that stands for another stud, where it can: one that was read too.
    """
    kinds = {spot.kind for spot in seen.spots}
    mounted = [spot for spot in seen.spots if spot.kind == "mounted" and spot.cleaned == now.cleaned]
    stood = {spot.turned for spot in mounted}
    out = [
        _Candidate(names.ANOTHER_STUD, Spot("mounted", -1, turned, now.cleaned, twice=now.twice))
        for turned in positions
        if turned not in stood or turned == wanted
    ]
    out = [one for one in out if one.spot.turned == wanted] or out
    first = mounted[0].turned
    if len(stood) > 1 and sum(spot.turned == first for spot in mounted) == 1:
        out.append(_Candidate(names.BACK, Spot("mounted", -1, first, now.cleaned, twice=now.twice)))
    if not now.cleaned:
        out.append(_Candidate(names.CLEAN_AND_REFIT, Spot("mounted", -1, first, True)))
    elif dirt_left:
        out.append(_Candidate(names.CLEAN_AND_REFIT, Spot("mounted", -1, now.turned, True, again=True)))
    if not now.cleaned:
        if "radial" not in kinds:
            out.append(_Candidate(names.RADIAL, Spot("radial", now.mount, now.turned, False, orders=(1,))))
        if now.first and not now.retorqued:
            out.append(_Candidate(names.RETORQUED, Spot("mounted", now.mount, now.turned, False, True)))
    if "hub face" not in kinds:
        out.append(_Candidate(names.BARE_HUB, Spot("hub face", 0, 0, now.cleaned, orders=(1,))))
    if "thickness" not in kinds:
        out.append(_Candidate(names.THICKNESS, Spot("thickness", now.mount, now.turned, now.cleaned)))
    if "inboard" not in kinds:
        out.append(_Candidate(names.INBOARD, replace(now, kind="inboard", first=False)))
    return out


def _noise(spot: Spot, dial_um: float, scatter_um: Sequence[float]) -> Floats:
    """Variance of each component of a reading that is yet to be taken. [um2]."""
    one, always = one_reading(spot.kind, dial_um, CREEP_UM)
    variance = np.full(2 * len(spot.orders), one**2 * 2.0 / PLACES + always)
    if spot.kind == "hub face":
        variance *= BARE_WIDER
    if spot.kind == "radial":
        variance += RIM_UM**2
    if spot.kind == "mounted" and spot.mount < 0:
        variance += np.repeat(np.asarray(scatter_um)[: len(spot.orders)], 2) ** 2
    if spot.retorqued and spot.kind == "mounted":
        variance += 1.0
    return variance


def _classes(dominant: NDArray[np.int64]) -> NDArray[np.int64]:
    """Group of each sample, small groups together."""
    known, group, size = np.unique(dominant, return_inverse=True, return_counts=True)
    if known.size == 1:
        return np.zeros_like(dominant)
    large = size >= FEWEST
    number = np.where(large, np.cumsum(large) - 1, int(large.sum()))
    grouped: NDArray[np.int64] = number[group]
    return grouped


def _posteriors(seen_then: Floats, variance: Floats, group: NDArray[np.int64], rng: np.random.Generator) -> Floats:
    """Probability of each group after the reading, for some readings that may come, shape (tried, groups)."""
    count = int(group.max()) + 1
    tried = rng.choice(group.size, min(TRIED, group.size), replace=False)
    would = seen_then[tried] + rng.normal(size=(tried.size, variance.size)) * np.sqrt(variance)
    logs = np.empty((tried.size, count))
    for k in range(count):
        here = seen_then[group == k]
        middle = here.mean(axis=0)
        covariance = np.diag(variance * (1.0 + 1.0 / here.shape[0]))
        if here.shape[0] > 1:
            covariance = covariance + np.cov(here.T).reshape(variance.size, variance.size)
        root = np.linalg.cholesky(covariance)
        off = np.linalg.solve(root, (would - middle).T)
        logs[:, k] = np.log(here.shape[0] / group.size) - 0.5 * (off**2).sum(axis=0) - np.log(np.diag(root)).sum()
    likely = np.exp(logs - logs.max(axis=1, keepdims=True))
    after: Floats = likely / likely.sum(axis=1, keepdims=True)
    return after


def _entropy(share: Floats) -> Floats:
    """Entropy of the last axis. [bit]. By definition (Shannon)."""
    bits: Floats = -(share * np.log2(np.maximum(share, 1e-12))).sum(axis=-1)
    return bits


@one_thread
def next_readings(
    found: Posterior, seen: Seen, now: Spot, positions: Sequence[int], dominant: NDArray[np.int64],
    left: Cures, open_cures: tuple[Sequence[str], Sequence[str]],
    settings: tuple[float, Sequence[float], int | None],
) -> tuple[tuple[NextReading, ...], dict[str, NextReading]]:  # fmt: skip
    """Readings worth taking, most information a minute first.

    Parameters
    ----------
    found : Posterior
    seen : Seen
    now : Spot
    positions : sequence of int
    dominant : ndarray of int, shape (samples,)
    left : Cures
        From `sim.causes.what_if.cures`.
    open_cures : (sequence of str, sequence of str)
        As it stands, and once it is known that no dirt was left; more of the second where it may have been.
    settings : (float, sequence of float, int or None)
        Step of the dial, scatter of a mounting by order [um]; stud position that another stud is to be.

    Returns
    -------
    tuple of NextReading
        Empty where none is likely to change what to do.
    dict of str to NextReading
        Every reading that is possible, worth it or not.

    Notes
    -----
    Mutual information of groups and reading, [bit]; minutes are judgement. A stud position is chosen by information.
    """
    dial_um, scatter_um, wanted = settings
    works = left.works
    group = _classes(2 * dominant + left.uneven)
    counts = np.bincount(group)
    shut, told_clean = (np.array([0.0 if what in one else np.inf for what in COST]) for one in open_cures)
    chances = np.array([[works[what][group == k].mean() for what in COST] for k in range(counts.size)])
    share = counts / counts.sum()
    today = costs(share @ chances) + shut
    known = float(_entropy(share))
    best: dict[str, tuple[NextReading, float]] = {}
    for candidate in menu(seen, now, positions, set(open_cures[0]) != set(open_cures[1]), wanted):
        spot = candidate.spot
        rng = np.random.default_rng(SEED + 3)
        then = found.unknown @ found.model.rows([spot]).T + dirt_of(found, spot)
        after = _posteriors(then, _noise(spot, dial_um, scatter_um), group, rng)
        bits = max(known - float(_entropy(after).mean()), 0.0)
        spent = costs(after @ chances) + (told_clean if candidate.what in TELL_CLEAN else shut)
        changed = float(np.mean(spent.argmin(axis=1) != today.argmin()))
        saved = float(today.min() - spent.min(axis=1).mean()) - MINUTES[candidate.what]
        turned = spot.turned if spot.kind == "mounted" and spot.mount < 0 else None
        reading = NextReading(candidate.what, turned, MINUTES[candidate.what], bits, WHY[candidate.what], saved)
        if candidate.what not in best or bits > best[candidate.what][0].bits + 1e-9:
            best[candidate.what] = reading, changed
    worth = [one for one in best.values() if one[1] > LEAST_CHANGE and one[0].bits > LEAST_BITS]
    worth.sort(key=lambda one: -one[0].bits / one[0].minutes)
    return tuple(one for one, _ in worth), {what: one for what, (one, _) in best.items()}
