"""What somebody who knows the population could tell: the best that any estimator of causes can do with these readings.

Importance weights over a bank of other corners of the same population (`tests.studies.corners_at_fault`, other seeds):
each entry is a set of faults with its scales and its seated columns (dirt, torque, spigot, pads' patches), and
what is a vector of known scale is integrated out, since it is a complex normal given its scale. Orders 1 .. 3 of every
trace are independent given an entry, so that each is a small matrix. Seated columns are used at every stud and mirrored
(exact), turned and scaled a little beyond (`JITTER`), with a discrepancy (`ROUGH`) that makes the sum smooth; they add,
while those of the truths meet each other. Faults that nobody would complain of are thrown out of the samples.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.special import chdtrc, logsumexp

from sim.bench.bare_face import lean_of
from sim.errors import BadInput, Refused
from sim.files.clean_turn import fit
from sim.files.dial_readings import Readings, Trace
from tests.studies import corners_at_fault as truth
from tests.studies.corners_at_fault import CAUSES, CLEANED_OFF, GROUPS, ON_HUB, VECTORS, Step

HIGHEST = 3
ENTRIES, SOLVED = 16_000, 220
JITTER = (0.12, 5.0)  # of the logarithm of a column's size, of its angle [deg]
ROUGH = (0.08, 0.7)  # of an order, share and [um]
#: How often a main fault stands in the bank; weights put it right. Those with a column need most entries.
STRATA = dict(zip(CAUSES, (0.06, 0.46, 0.12, 0.06, 0.10, 0.02, 0.04, 0.04, 0.04, 0.04, 0.02), strict=True))
SAMPLES = 500
#: Variance of a component of an order, without and with the mounting. Noise, rounding, the dial's own errors. [um2]
READ, MOUNT = 2.3, (0.0, 8.0, 0.8, 0.4)
THICK, RADIAL, FACE = 0.7, 63.0, 9.0


@dataclass(frozen=True, eq=False)
class Bank:
    """Entries of one group. Orders 0 .. 3."""

    group: int
    out: np.ndarray  # (entries, causes, orders), of what is no vector
    into: np.ndarray
    sd: np.ndarray  # (entries, vectors)
    worn: np.ndarray  # (entries, 2)
    off_centre: np.ndarray  # (entries,)
    log_weight: np.ndarray
    left: np.ndarray  # (entries, faces, hub and rotor, orders): what cleaning left


def _mirrored(rng: np.random.Generator, columns: np.ndarray, studs: int, jitter: bool) -> np.ndarray:
    """Some column at some stud, perhaps mirrored; turned and scaled a little. Shape (2, orders)."""
    one = columns[rng.integers(len(columns))]
    one = np.conj(one) if rng.random() < 0.5 else one
    angle = rng.integers(studs) * 2 * np.pi / studs
    size = 1.0
    if jitter:
        angle += np.radians(JITTER[1]) * rng.normal()
        size = float(np.exp(JITTER[0] * rng.normal()))
    return size * one * np.exp(-1j * np.arange(one.shape[-1]) * angle)


def _columns(group: int, seed: int, count: int) -> dict[str, np.ndarray]:
    """Seated columns of one group: dirt, loose studs, tolerable torque, spigot. Shape (count, 2, orders).

    Dirt and scale on the spigot have four rows: both faces as found, both with what poor cleaning left of it.
    """
    rng = np.random.default_rng([seed, group])
    found: dict[str, list[np.ndarray]] = {"dirt": [], "loose": [], "even": [], "spigot": []}
    wanted = {"dirt": count, "loose": count // 6, "even": count // 6, "spigot": count // 4}
    mains = {"dirt": truth.HUB_DIRT, "loose": truth.TORQUE, "even": truth.OWN, "spigot": truth.SPIGOT}
    for name, main in mains.items():
        while len(found[name]) < wanted[name]:
            drawn = truth.draw(rng, group, main)
            case = truth._other(group, drawn)
            try:
                if name == "dirt":
                    with_dirt = truth.both_faces(case, drawn.pulls, drawn.hub_dirt)
                    even = truth.both_faces(case, drawn.pulls, ())
                    stays = truth.poorly_cleaned(rng, drawn.hub_dirt)
                    after = truth.both_faces(case, drawn.pulls, stays)
                    found[name].append(np.concatenate([with_dirt - even, after - even]))
                elif name == "spigot":
                    if drawn.scale is not None:
                        stays_on = truth.stays_of(rng, drawn.scale)
                        both = [truth.on_spigot(case, one) for one in (drawn.scale, stays_on)]
                        found[name].append(np.concatenate(both))
                else:
                    found[name].append(truth.both_faces(case, drawn.pulls, ()))
            except (Refused, BadInput):
                continue
    return {name: np.array(each) for name, each in found.items()}


def columns(keep: Path, group: int, seed: int, count: int = SOLVED) -> dict[str, np.ndarray]:
    """As `_columns`, kept in a folder."""
    path = keep / f"columns_{seed}_{group}_{count}.npz"
    if not path.exists():
        keep.mkdir(parents=True, exist_ok=True)
        np.savez_compressed(path, **_columns(group, seed, count))
    with np.load(path) as kept:
        return {name: kept[name] for name in kept.files}


def bank(keep: Path, group: int, seed: int, entries: int = ENTRIES) -> Bank:
    """Draw the entries of a group."""
    solved, rng, studs = columns(keep, group, seed), np.random.default_rng([seed, group, 9]), GROUPS[group][1]
    mix = np.array(list(truth.MIX.values())) / sum(truth.MIX.values())
    strata = np.array(list(STRATA.values())) / sum(STRATA.values())
    out, into = np.zeros((2, entries, len(CAUSES), HIGHEST + 1), dtype=complex)
    sd, worn = np.zeros((entries, len(VECTORS))), np.zeros((entries, 2))
    off, log_weight = np.zeros(entries), np.zeros(entries)
    left = np.zeros((entries, 2, 2, HIGHEST + 1), dtype=complex)
    for e in range(entries):
        main = int(rng.choice(len(CAUSES), p=strata))
        drawn = truth.draw(rng, group, CAUSES[main])
        sd[e], worn[e], off[e] = drawn.sd_um, drawn.worn, drawn.off_centre_um
        log_weight[e] = np.log(mix[main] / strata[main])
        faces = {
            truth.TORQUE: _mirrored(rng, solved["loose" if truth.TORQUE in drawn.present else "even"], studs, False)
        }
        for cause, dirt in ((truth.HUB_DIRT, drawn.hub_dirt), (truth.ROTOR_DIRT, drawn.rotor_dirt)):
            if dirt:
                faces[cause] = _mirrored(rng, solved["dirt"], studs, True)
        for place, on in enumerate(("hub", "rotor")):
            if any(bit.on == on for bit in drawn.left):
                cause = (truth.HUB_DIRT, truth.ROTOR_DIRT)[place]
                pair = faces.get(cause, _mirrored(rng, solved["dirt"], studs, True))
                left[e, :, place] = pair[2:, : HIGHEST + 1]
        if drawn.scale is not None:
            faces[truth.SPIGOT] = _mirrored(rng, solved["spigot"], studs, True)
            if drawn.scale_left is not None:
                left[e, :, 0] += faces[truth.SPIGOT][2:, : HIGHEST + 1]
        for cause, (angle, arc, high, low) in drawn.box.items():
            shape = truth.box_orders(angle, arc)
            faces[cause] = np.array([high * shape, -low * shape])
        for cause, face in faces.items():
            out[e, CAUSES.index(cause)], into[e, CAUSES.index(cause)] = face[:2, : HIGHEST + 1]
    return Bank(group, out, into, sd, worn, off, log_weight, left)


def _seen(trace: Trace, studs: int) -> np.ndarray:
    if trace.kind == "hub face":
        return lean_of(trace.angle_deg, trace.value_um, truth.DIAL_UM, studs=studs).orders
    return fit(trace.angle_deg, trace.value_um, HIGHEST, np.ones(trace.angle_deg.size), 1.0).orders


def _gone(cause: str, state: str) -> bool:
    return (cause in CLEANED_OFF and state in truth.CLEAN) or (cause == truth.TORQUE and state == "retorqued")


def _factor(cause: str, step: Step, order: int, group: int) -> complex:
    """What a unit on the hub or rotor shows in a trace of either face."""
    if _gone(cause, step.state):
        return 0j
    turned = order * step.studs_turned * 2 * np.pi / GROUPS[group][1]
    return complex(np.exp(1j * turned)) if cause in ON_HUB else 1 + 0j


@dataclass(frozen=True, eq=False)
class Order:
    """One order of a plan.

    Parameters
    ----------
    steps : list of int
        Which traces show it.
    mean, design, inverse : ndarray of complex
        Columns (entries, rows), vectors with their scales in (entries, rows, latents), inverse covariance.
    noise : ndarray, shape (rows, rows)
        Variance of a component.
    own : ndarray, shape (entries, latents, causes)
        What a unit latent adds to each cause's outboard share.
    log_root : ndarray, shape (entries,)
    """

    steps: list[int]
    mean: np.ndarray
    design: np.ndarray
    noise: np.ndarray
    inverse: np.ndarray
    own: np.ndarray
    log_root: np.ndarray


@dataclass(frozen=True, eq=False)
class Plan:
    """A bank as a plan of readings sees it."""

    bank: Bank
    steps: tuple[Step, ...]
    orders: tuple[Order, ...]


def planned(bank: Bank, steps: tuple[Step, ...]) -> Plan:
    """Make a bank ready for a plan; slow once, so that a corner is quick."""
    return Plan(bank, steps, tuple(_order(bank, steps, n) for n in range(1, HIGHEST + 1)))


def _vectors(order: int) -> list[int]:
    return [k for k, v in enumerate(VECTORS) if v[1] == order]


def _rough(bank: Bank, order: int) -> list[np.ndarray]:
    """How far dirt on the hub and on the rotor may depart from its column, standard deviation of a component."""
    sizes = [np.abs(bank.out[:, CAUSES.index(c), order]) for c in (truth.HUB_DIRT, truth.ROTOR_DIRT)]
    return [np.where(size > 0, ROUGH[0] * size + ROUGH[1], 0.0) for size in sizes]


def _own(bank: Bank, order: int) -> np.ndarray:
    """Latents: the vectors of this order, dirt on hub and on rotor off its column, what is left of each, off centre."""
    vectors = _vectors(order)
    own = np.zeros((len(bank.log_weight), len(vectors) + 5, len(CAUSES)))
    for j, k in enumerate(vectors):
        own[:, j, CAUSES.index(VECTORS[k][0])] = bank.sd[:, k] * VECTORS[k][2]
    for j, (cause, rough) in enumerate(zip((truth.HUB_DIRT, truth.ROTOR_DIRT), _rough(bank, order), strict=True)):
        own[:, len(vectors) + j, CAUSES.index(cause)] = rough
    return own


def _order(bank: Bank, steps: tuple[Step, ...], order: int) -> Order:
    here = [k for k, s in enumerate(steps) if order == 1 or s.kind not in ("hub face", "radial")]
    own = _own(bank, order)
    mean = np.zeros((len(own), len(here)), dtype=complex)
    design = np.zeros((len(own), len(here), own.shape[1]), dtype=complex)
    for i, k in enumerate(here):
        mean[:, i], design[:, i] = _row(bank, steps[k], order)
    noise = _noise([steps[k] for k in here], order)
    spread = 2 * (design @ np.conj(np.swapaxes(design, 1, 2)) + noise)
    return Order(here, mean, design, noise, np.linalg.inv(spread), own, -np.linalg.slogdet(spread)[1])


def _noise(steps: list[Step], order: int) -> np.ndarray:
    faces = ("mounted", "inboard")
    noise = np.diag([{"thickness": THICK, "radial": RADIAL, "hub face": FACE}.get(s.kind, READ) for s in steps])
    for i, one in enumerate(steps):
        for j, other in enumerate(steps):
            if one.kind in faces and other.kind in faces and one.mount == other.mount:
                noise[i, j] += MOUNT[order]
    return noise


def _left(bank: Bank, step: Step, order: int) -> tuple[np.ndarray, np.ndarray]:
    """What poor cleaning left on hub and rotor shows in a trace, and how far it may depart. Shape (entries, 2)."""
    phase = np.array([_factor(cause, step, order, bank.group) for cause in (truth.HUB_FACE, truth.OWN)])
    columns = bank.left[:, int(step.kind == "inboard"), :, order]
    size = np.abs(columns)
    return phase * columns, phase * np.where(size > 0, ROUGH[0] * size + ROUGH[1], 0.0)


def _row(bank: Bank, step: Step, order: int) -> tuple[np.ndarray, np.ndarray]:
    """What each entry's columns and vectors show in one trace. Shapes (entries,) and (entries, latents)."""
    vectors, own = _vectors(order), _own(bank, order)
    mean = np.zeros(len(own), dtype=complex)
    design = np.zeros(own.shape[:2], dtype=complex)
    if step.kind == "radial":
        if step.state not in truth.CLEAN:
            design[:, -1] = bank.off_centre * _factor(truth.SPIGOT, step, 1, bank.group)
        return mean, design
    if step.kind == "hub face":
        case = truth.case_of(bank.group)
        for j, k in enumerate(vectors):
            if VECTORS[k][0] == truth.HUB_FACE:
                design[:, j] = case.hub.read_radius_mm / case.gauge_radius_mm * bank.sd[:, k]
        return mean, design
    for c, cause in enumerate(CAUSES):
        out, into = bank.out[:, c, order], bank.into[:, c, order]
        if step.kind == "thickness":
            mean += (out - into) * (cause in (truth.IMPRINT, truth.RUST))
        else:
            mean += _factor(cause, step, order, bank.group) * (out if step.kind == "mounted" else into)
    for j, k in enumerate(vectors):
        cause, _, sign, inward = VECTORS[k][:4]
        inside = inward * (bank.worn[:, order - 1] if cause == truth.WORN else 1.0)
        thick = (sign - inside) * (cause in (truth.WORN, truth.NEW_DTV))
        seen = {"mounted": sign, "inboard": inside, "thickness": thick}[step.kind]
        design[:, j] = (1.0 if step.kind == "thickness" else _factor(cause, step, order, bank.group)) * seen
        design[:, j] *= bank.sd[:, k]
    if step.kind in ("mounted", "inboard") and step.state == "cleaned":
        columns, rough = _left(bank, step, order)
        mean += columns.sum(axis=1)
        design[:, len(vectors) + 2 : len(vectors) + 4] = rough
    if step.kind != "thickness":
        for j, (cause, rough) in enumerate(zip((truth.HUB_DIRT, truth.ROTOR_DIRT), _rough(bank, order), strict=True)):
            design[:, len(vectors) + j] = _factor(cause, step, order, bank.group) * rough
    return mean, design


@dataclass(frozen=True)
class Told:
    """What the oracle says of one corner: probability that each cause is dominant, and entries that carry it."""

    dominant: np.ndarray
    shares_um: np.ndarray  # (samples, causes)
    effective: float
    misfit: float  # posterior predictive tail of chi-square: how often readings would fit worse


def tell(plan: Plan, readings: Readings, rng: np.random.Generator) -> Told:
    """Weigh a corner's readings. They are to be free of slips."""
    bank = plan.bank
    seen = [_seen(trace, readings.studs) for trace in readings.traces]
    shown = [np.array([seen[k][n] for k in one.steps]) for n, one in enumerate(plan.orders, 1)]
    log = bank.log_weight.copy()
    for y, one in zip(shown, plan.orders, strict=True):
        off = y - one.mean
        log += one.log_root - np.einsum("ei,eij,ej->e", np.conj(off), one.inverse, off).real
    weight = np.exp(log - logsumexp(log))
    pick = rng.choice(len(weight), SAMPLES, p=weight)
    shares = bank.out[pick].copy()
    thick = (bank.out - bank.into)[pick][:, [CAUSES.index(truth.IMPRINT), CAUSES.index(truth.RUST)]].sum(axis=1)
    off_by, freedom = np.zeros(SAMPLES), 0
    for n, (y, one) in enumerate(zip(shown, plan.orders, strict=True), 1):
        z = _given(rng, one, pick, y)
        left = y - one.mean[pick] - np.einsum("sij,sj->si", one.design[pick], z)
        off_by += np.einsum("si,ij,sj->s", np.conj(left), np.linalg.inv(one.noise), left).real
        freedom += 2 * y.size
        shares[:, :, n] += np.einsum("sj,sjc->sc", z, one.own[pick])
        for j, k in enumerate(_vectors(n)):
            cause, _, sign, inward = VECTORS[k][:4]
            if cause in (truth.WORN, truth.NEW_DTV):
                inside = inward * (bank.worn[pick, n - 1] if cause == truth.WORN else 1.0)
                thick[:, n] += z[:, j] * bank.sd[pick, k] * (sign - inside)
    size = truth.tirs(shares.reshape(-1, HIGHEST + 1)).reshape(SAMPLES, -1)
    complained = (truth.tirs(shares.sum(axis=1)) >= truth.LEAST_UM - 5.0) | (truth.tirs(thick) >= truth.LEAST_DTV_UM)
    kept = complained if complained.sum() > SAMPLES // 20 else np.ones(SAMPLES, bool)
    dominant = np.bincount(size[kept].argmax(axis=1), minlength=len(CAUSES)) / kept.sum()
    return Told(dominant, size[kept], float(1.0 / (weight**2).sum()), float(chdtrc(freedom, off_by).mean()))


def _given(rng: np.random.Generator, one: Order, pick: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Latents drawn given the readings (Matheron's rule)."""

    def normal(count: int) -> np.ndarray:
        return rng.normal(size=(SAMPLES, count)) + 1j * rng.normal(size=(SAMPLES, count))

    design, z = one.design[pick], normal(one.design.shape[2])
    made = one.mean[pick] + np.einsum("sij,sj->si", design, z) + normal(y.size) @ np.linalg.cholesky(one.noise).T
    pull = np.einsum("sij,sj->si", one.inverse[pick], y - made)
    return z + 2 * np.einsum("sij,si->sj", np.conj(design), pull)
