"""Readings in, finding out: ranked causes, or what cannot be told apart, what to do, and the next reading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim import turn
from sim.arrays import Floats, read_only
from sim.bench.bare_face import HubFace
from sim.bench.face_first import ordered
from sim.bench.mostly_over import as_it_counts
from sim.bench.mountings import ONE_SCREW, doubted, still_stand, told_apart
from sim.bench.next_act import Act
from sim.bench.told_by_mountings import ToldApart
from sim.causes import names
from sim.causes.answer import DirtLeft, Finding, Fitted, Otherwise, Ranked
from sim.causes.beyond import something_else
from sim.causes.checks import holds_off_centre, hub_face, more_than_read
from sim.causes.columns import COARSE_UM
from sim.causes.families import CAUSE_OF, FELL, GONE_AT_LAST, NEW_ONCE, ONCE, families_of, family_odds
from sim.causes.forward import BESIDE, FILM, GAUSSIAN, SCALE_LEFT, model
from sim.causes.one_act import NAMED, has_play, same_step
from sim.causes.ordered import LIKELIER, LIKELY, MISFIT, Standing, order
from sim.causes.otherwise import otherwise
from sim.causes.priors import Priors
from sim.causes.seen import Seen, Spot, named, seen
from sim.causes.signatures import signatures, thinned
from sim.causes.weigh import SEED, Posterior, posterior
from sim.causes.what_if import (
    MAY_BE_LEFT,
    dirt_of,
    share_of,
    tir_um,
    trace_of,
    without_dirt_um,
)
from sim.corner.road_state import badly_held
from sim.errors import BadInput, Fault
from sim.files.dial_readings import Readings, bounds_of
from sim.files.readings_rows import CLEAN_STATES
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.thickness import refuse_thicker
from sim.progress import Progress, silent

# A finding is made from this probability on, ways of writing down that are not as read counted against it, and not
# from fewer equivalent columns of dirt than that.
SURE, LEAST_COLUMNS = 0.85, 15.0
# Wear needs kilometres; with fewer than this since the rotor was fitted it becomes unlikely. Judgement, 500 .. 5 000.
WEARS_KM = 2000.0
# A rotor that varied from new is felt from its first kilometres: who comes so much later hardly has one, unless he put
# it off, which so many do. Judgement, 2 000 .. 10 000 and 0.1 .. 0.5.
FELT_KM, PUT_OFF = 5000.0, 0.3
SHOWN, LEAST_SHOWN = 3, 0.05
# How large a cause is if it is there is told from this probability on that it is: fewer samples do not show it.
SELDOM = 0.05
# What a thickness cannot part: kilometres do.
LOOK_ALIKE = (names.WORN, names.NEW_DTV)
# A pad marks its two sides unequally: standard deviation of one side's share of the mark over a half. Judgement,
# 0.1 .. 0.5.
SIDES_SD = 0.25
# Other ways of writing down are looked for with the columns of every so-manieth seating, of families as likely as this.
THIN, LEAST_LOOKED = 6, 0.02
# Dirt that cleaning left counts from this runout on. Judgement, 5 .. 15 um.
COUNTS_UM = 10.0


@one_thread
def weigh(
    readings: Readings, case: Case, priors: Priors = Priors(), *, drove_after_fitting_km: float | None = None,  # noqa: B008
    progress: Progress = silent, menu: bool = True,
) -> Finding:  # fmt: skip
    """Rank what may have caused these readings.

    Parameters
    ----------
    readings : Readings
        One mounted trace or more, of one corner.
    case : Case
        Geometry of that corner; its own faults are left out.
    priors : Priors
    drove_after_fitting_km : float, optional
        Since the rotor was put on. [km]
    progress : callable(fraction, what)
        The first answer on a geometry seats dirt on it, a quarter of a minute on one core; it is kept.
    menu : bool
        Whether to weigh what to read next.

    Returns
    -------
    Finding

    Raises
    ------
    BadInput
        Without a usable mounted trace, for readings of two corners or of another car.
    Refused
        If physics refuses the corner without its faults.

    Notes
    -----
    Holds if the causes listed and their signatures are right; coverage: tests/studies. [um, deg, min, bit]
    """
    _belongs(readings, case)
    readings, again = as_it_counts(readings, case.limits)
    told = told_apart(readings, again)
    data = seen(readings, () if again is None else again.mounts)
    known = signatures(case, progress)
    gauge_mm = readings.gauge_radius_mm or case.gauge_radius_mm
    lever = (readings.hub_face_radius_mm or case.hub.read_radius_mm) / gauge_mm
    scale = gauge_mm / known.gauge_radius_mm
    set_up = model(data, readings.studs, known.stud * scale, lever, priors)
    odds, odds_of_family = _odds(data, priors, case.pads.arc_deg, drove_after_fitting_km)
    families = families_of(known, odds_of_family, priors, case.pads.arc_deg, scale)
    often = {name: p for name, p in odds_of_family.items() if p >= LEAST_LOOKED}
    few = families_of(thinned(known, THIN), often, priors, case.pads.arc_deg, scale, COARSE_UM)
    hub_um = lever * priors.hub_face_runout.present_um
    found = posterior(set_up, data, odds, families)
    ways = otherwise(set_up, data, odds, (few, families), hub_um, priors, found.log_evidence)
    beyond = something_else(set_up, data, odds, few, found.log_evidence, priors)
    face, rule = hub_face(data, readings, case), ordered(readings, told, case.limits)
    contradicted, slipped = _contradicted(data, readings, told, found), _slipped(data, readings)
    drove_known, seat_seen = drove_after_fitting_km is not None, again is not None and told.parted
    doubts = _Doubts(contradicted, slipped, ways, beyond, face, rule, drove_known, seat_seen)
    return read_only(_answer(readings, case, priors, told, data, found, menu, doubts))


@dataclass(frozen=True)
class _Doubts:
    """What stands against taking readings at their word, and what they order by themselves."""

    contradicted: bool
    slipped: bool
    ways: tuple[Otherwise, ...]
    beyond: float
    face: HubFace | None
    rule: Act
    drove_known: bool
    seat_seen: bool


def _belongs(readings: Readings, case: Case) -> None:
    """Refuse readings that cannot be of this corner."""
    bounds = bounds_of(case)
    faults = []
    for key, (low, high) in bounds.items():
        value = getattr(readings, key)
        if value is not None and not low <= value <= high:
            allowed = f"{low:g}" if low == high else f"{low:g} .. {high:g}, from the case"
            faults.append(Fault(f"{value:g} in these readings does not lie on this corner", key=key, allowed=allowed))
    if faults:
        raise BadInput(faults)
    refuse_thicker(readings.thinnest_mm, case.rotor.thickness_mm)


def _odds(
    data: Seen, priors: Priors, arc_deg: float, drove_km: float | None
) -> tuple[dict[str, float], dict[str, float]]:
    """Odds of each Gaussian cause and of each family; without a thickness wear and a new rotor's are one cause."""
    parted = _parted(data)
    worn = 1.0 if drove_km is None else float(1.0 - np.exp(-max(drove_km, 0.0) / WEARS_KM))
    odds = {cause: priors.odds(cause) for cause in GAUSSIAN}
    if any(spot.cleaned and not spot.again for spot in data.spots):
        odds[SCALE_LEFT] = priors.poorly_cleaned
        odds[FILM] = priors.dirt_on_the_rotor * priors.poorly_cleaned
    odds[names.WORN] *= worn
    if drove_km is not None:
        odds[names.NEW_DTV] *= PUT_OFF + (1.0 - PUT_OFF) * float(np.exp(-max(drove_km, 0.0) / FELT_KM))
    if not parted:  # what is of the thickness is then called by its most usual name, and is there as often as either
        odds[names.WORN] += (1.0 - odds[names.WORN]) * odds.pop(names.NEW_DTV)
    families = family_odds(data, priors, arc_deg, worn)
    if names.HUB_DIRT in families:
        odds[BESIDE] = priors.dirt_on_both / (1.0 - priors.dirt_on_both)
    alone = {name: p * (1.0 - priors.dirt_on_both) for name, p in families.items() if CAUSE_OF[name] == names.HUB_DIRT}
    return odds, families | (alone if BESIDE in odds else {})


def _answer(
    readings: Readings,
    case: Case,
    priors: Priors,
    told: ToldApart,
    data: Seen,
    found: Posterior,
    menu: bool,
    doubts: _Doubts,
) -> Finding:
    contradicted, slipped, rule = doubts.contradicted, doubts.slipped, doubts.rule
    mounted = [spot for spot in data.spots if spot.kind == "mounted"]
    as_found = [spot for spot in mounted if not spot.cleaned and not spot.retorqued]
    reference = _whole(as_found[:1] or mounted[-1:])  # as the car came: what fell off later was there
    now = _whole(mounted[-1:])
    shares = {cause: _share(data, found, reference, cause) for cause in _open(data, found)}
    tirs = np.array([tir_um(share) for share in shares.values()])
    dominant = tirs.argmax(axis=0)
    ranked = _ranked(found, reference, shares, tirs, dominant)
    none_fits = found.misfit_share < MISFIT or contradicted or doubts.beyond >= LIKELIER
    cancelled = more_than_read(ranked[0], data)
    dirt = _dirt_left(found, now, case.limits.mounted_runout_um) if now.cleaned else None
    played = has_play(told)  # nothing is found by what was read on it
    sure = not (none_fits or slipped or cancelled or played) and _earned(ranked[0], found, dirt, doubts, data)
    standing = Standing(
        readings, case, told, data, found, now, dominant, dirt, rule, doubts.face, priors.mount_scatter_um,
        contradicted=contradicted, slipped=slipped, cancelled=cancelled, none_fits=bool(none_fits),
        ways=doubts.ways, beyond=doubts.beyond, menu=menu,
    )  # fmt: skip
    ordered = order(standing)
    return Finding(
        told=told,
        ranked=ranked,
        finding=ranked[0].cause if sure else None,
        cannot_tell=() if sure else _fewest(ranked, cancelled, look_alike=() if doubts.drove_known else LOOK_ALIKE),
        none_fits=bool(none_fits),
        misfit_share=found.misfit_share,
        after=ordered.after,
        next_readings=ordered.rows,
        do=_first_of_all(case) or ordered.do,
        fitted=_fitted(data, found, dominant, list(shares), ranked),
        columns=found.columns,
        effective_columns=float(found.effective_columns),
        priors=priors,
        dirt_left=dirt,
        otherwise=doubts.ways,
        hub_face=doubts.face,
        more_than_read=cancelled,
        by_rule=NAMED[rule.what],
        rule_studs_turned=rule.studs_turned,
        rule_costs_min=ordered.rule_costs_min,
        something_else=doubts.beyond,
        also=rule.also if same_step(ordered.do, rule, now.cleaned) else (),
        even_um=rule.even_um,
        tried=ordered.tried,
        dial_um=rule.dial_um,
        thickness_close=rule.thickness_close,
        varies=rule.varies,
        read_um=rule.read_um,
        limit_um=rule.limit_um,
        turns=rule.turns,
        on_both=_likely(found, (names.HUB_DIRT, names.ROTOR_DIRT)),
        fell_off=float(np.mean([found.family[k].endswith(FELL) for k in found.of_family])),
    )


def _earned(first: Ranked, found: Posterior, dirt: DirtLeft | None, doubts: _Doubts, data: Seen) -> bool:
    """Whether the leading cause may be called found, other ways of writing the readings down counted against it.

    No hub face is found that nobody read bare: dirt that stayed under the rotor stays with the hub as its lean does,
    and so do uneven nuts, whatever their odds. No rotor is found, nor warp, before its seat was cleaned once more and
    it was read again: dirt that stayed there turns with it on every stud; nor from one stud alone. What no cleaning
    took off a spigot may be the hub's own; and what it took off may have been dirt, unless the rim was read off centre
    before. A thickness that was worn in and one from new look alike on a micrometer: only kilometres part them.
    """
    written_wrong = sum(way.probability for way in doubts.ways)
    likely = first.probability * (1.0 - written_wrong) * (1.0 - doubts.beyond) >= SURE and written_wrong < LIKELY
    unread = first.cause == names.HUB_FACE and doubts.face is None
    wavy = doubts.face is not None and (doubts.face.wavy or doubts.face.to_look_at)
    unread |= first.cause in (names.ROTOR, names.WARP) and not doubts.seat_seen
    unread |= first.cause in LOOK_ALIKE and _parted(data) and not doubts.drove_known
    stayed = first.cause == names.SPIGOT and ((dirt is not None and dirt.counts) or not holds_off_centre(data))
    return likely and found.effective_columns >= LEAST_COLUMNS and not (unread or stayed or wavy)


def _likely(found: Posterior, causes: Sequence[str]) -> float:
    """Probability that all of these are there."""
    return float(found.present[:, [names.CAUSES.index(cause) for cause in causes]].all(axis=1).mean())


def _dirt_left(found: Posterior, now: Spot, limit_um: float) -> DirtLeft:
    """What cleaning may have left, of the last mounted trace."""
    on_spigot = share_of(found, now, names.SPIGOT)
    share = dirt_of(found, now, tuple(names.OF_THICKNESS))
    share = share + found.unknown @ found.model.share_rows(now, names.ROTOR_DIRT).T
    scale = tir_um(on_spigot) > tir_um(share)
    share = share + on_spigot
    tir = tir_um(share)
    counts = tir >= COUNTS_UM
    probability = float(counts.mean())
    if not counts.any():
        return DirtLeft(0.0, False, (0.0, 0.0, 0.0), 0.0, None)
    under = float(np.mean(without_dirt_um(found, now) < limit_um))
    low, middle, high = (float(q) for q in np.quantile(tir[counts], (0.1, 0.5, 0.9)))
    on_hub = np.array([CAUSE_OF.get(family) == names.HUB_DIRT for family in found.family])[found.of_family]
    spot, _ = _high_spot(share[counts & on_hub & ~scale], names.HUB_DIRT, now, found.model.studs)
    stud = None if spot is None else round(spot / (360.0 / found.model.studs)) % found.model.studs + 1
    return DirtLeft(
        probability, probability >= MAY_BE_LEFT, (low, middle, high), float((on_hub | scale)[counts].mean()), stud,
        under, float(scale[counts].mean()),
    )  # fmt: skip


def _share(data: Seen, found: Posterior, spot: Spot, cause: str) -> Floats:
    """Share of a cause; what only a reading of the thickness tells from wear is counted with it where there is none."""
    if cause == names.WORN and not _parted(data):
        hidden = (names.NEW_DTV, names.IMPRINT, names.RUST)
        return share_of(found, spot, cause) + sum(share_of(found, spot, other) for other in hidden)
    share = share_of(found, spot, cause)
    if cause in (names.IMPRINT, names.RUST):
        sides = np.random.default_rng(SEED + 4).normal(1.0, SIDES_SD, len(share))
        share = share * sides[:, None]
    return share


def _parted(data: Seen) -> bool:
    """Whether a trace tells thickness from lean."""
    return any(spot.kind in ("thickness", "inboard") for spot in data.spots)


def _whole(spots: Sequence[Spot]) -> Spot:
    """Return the last trace with all three orders, whatever its places carry."""
    spot = spots[-1]
    return replace(spot, orders=(1, 2, 3))


def _open(data: Seen, found: Posterior) -> list[str]:
    """Causes that are in the list for these readings."""
    parted = _parted(data)
    hidden = set() if parted else {names.NEW_DTV, names.IMPRINT, names.RUST}
    kinds = {CAUSE_OF[family] for family in found.family[1:]}
    return [cause for cause in names.CAUSES if cause in (*GAUSSIAN, *kinds) and cause not in hidden]


def _slipped(data: Seen, readings: Readings) -> bool:
    """Whether a trace had to be used that gives a slip away, and was not read again."""
    slips = doubted(readings) | {fault.trace for fault in readings.faults if fault.read_last}
    again = [named(trace) for trace in readings.traces]
    return any(named(trace) in slips and again.count(named(trace)) == 1 for trace in data.traces)


def _contradicted(data: Seen, readings: Readings, told: ToldApart, found: Posterior) -> bool:
    """Whether what is used contradicts itself before any cause is thought of.

    Cleaned mountings may differ by dirt that the first cleaning left and the last took away.
    """
    if data.left_out:
        told = told_apart(replace(readings, traces=data.traces, faults=()))
    gone = np.array([family.endswith(ONCE) or family == NEW_ONCE for family in found.family])
    cleaned_twice = bool(gone[found.of_family].mean() > GONE_AT_LAST)
    return any(
        state.clamped_by == ONE_SCREW
        or (state.contradict or not all(pair.came_back for pair in state.returned))
        and not (state.state in CLEAN_STATES and cleaned_twice)
        for state in still_stand(told.states)
    )


def _ranked(
    found: Posterior, reference: Spot, shares: dict[str, Floats], tirs: Floats, dominant: NDArray[np.int64]
) -> tuple[Ranked, ...]:
    rows = []
    for k, (cause, share) in enumerate(shares.items()):
        present = found.present[:, names.CAUSES.index(cause)]
        if cause == names.WORN:  # where no thickness was read, a pad's mark and rust are counted with it
            hidden = [other for other in (names.IMPRINT, names.RUST) if other not in shares]
            present = present | found.present[:, [names.CAUSES.index(other) for other in hidden]].any(axis=1)
        there = present | (dominant == k)
        spot, half = _high_spot(share[there], cause, reference, found.model.studs)
        if_there = _band(tirs[k][there]) if there.mean() >= SELDOM else None
        probability = float(np.mean(dominant == k))
        frame = names.frame_of(cause)
        rows.append(Ranked(cause, probability, float(present.mean()), _band(tirs[k]), if_there, spot, half, frame))
    return tuple(sorted(rows, key=lambda one: (-one.probability, -one.present, names.CAUSES.index(one.cause))))


def _band(tirs: Floats) -> tuple[float, float, float]:
    low, middle, high = (float(q) for q in np.quantile(tirs, (0.1, 0.5, 0.9)))
    return low, middle, high


def _high_spot(share: Floats, cause: str, reference: Spot, studs: int) -> tuple[float | None, float | None]:
    """Mean high spot in the cause's own frame and the half-width that holds 80 %; none where it may be anywhere."""
    order = 2 if cause in (names.WARP, names.SPIGOT) else 1
    value = share[:, 2 * order - 2] + 1j * share[:, 2 * order - 1]
    if value.size < 25 or not np.abs(value).sum():
        return None, None
    if names.frame_of(cause) == "hub":
        value = value * np.exp(-2j * np.pi * order * reference.turned / studs)
    middle = complex(value.sum())
    off = np.abs(np.degrees(np.angle(value * np.conj(middle) / max(abs(middle), 1e-12)))) / order
    half = float(np.quantile(off, 0.8))
    return (None, None) if half > 90.0 / order else (turn.high_spot_deg(middle, order), half)


def _fewest(
    ranked: Sequence[Ranked], cancelled: bool = False, together: float = 0.8, look_alike: tuple[str, ...] = ()
) -> tuple[str, ...]:
    """Fewest causes that hold so much together; with the share that cancels the first, where one does.

    Of causes that look alike both are named where one leads and the other is likely enough to be shown.
    """
    held, out = 0.0, []
    for one in ranked:
        out.append(one.cause)
        held += one.probability
        if held >= together:
            break
    if cancelled and len(out) == 1:
        out.append(max(ranked[1:], key=lambda one: one.runout_um[1]).cause)
    if out[0] in look_alike:
        out += [
            one.cause for one in ranked if one.cause in look_alike and one.cause not in out and one.present > SELDOM
        ]
    return tuple(out)


def _first_of_all(case: Case) -> str:
    """What comes before whatever a table orders: off with scale, no torque over it; else what holds the wheel badly.

    Nothing is read, left on or bought over a nut that was loose on the road, or studs that were pulled too hard.
    """
    if case.spigot_scale:
        return names.CLEAN
    return names.RETORQUE if badly_held(case) else ""


def _fitted(
    data: Seen, found: Posterior, dominant: NDArray[np.int64], causes: Sequence[str], ranked: Sequence[Ranked]
) -> tuple[Fitted, ...]:
    """Each trace of a face on what its leading causes would draw."""
    leading = [one.cause for one in ranked[:SHOWN] if one.probability >= LEAST_SHOWN]
    whole, out = np.radians(np.arange(360.0)), []
    for spot, trace in zip(data.spots, data.traces, strict=True):
        if spot.kind not in ("mounted", "inboard"):
            continue
        orders = trace_of(found, _whole([spot]))
        read = trace.value_um - turn.fit(trace.angle_deg, trace.value_um, len(spot.orders))[0].real
        drawn, residual = {}, {}
        for cause in leading:
            mean = orders[dominant == causes.index(cause)].mean(axis=0)
            curve = np.concatenate([[0.0], mean[::2] + 1j * mean[1::2]])
            drawn[cause] = turn.evaluate(curve, whole)
            residual[cause] = read - turn.evaluate(curve, np.radians(trace.angle_deg))
        out.append(Fitted(trace.kind, trace.mount, trace.angle_deg.copy(), read, drawn, residual))
    return tuple(out)
