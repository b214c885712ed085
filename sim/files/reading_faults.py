"""Slips that a table of readings gives away: a lost sign, places swapped, a slipped decimal, a place misread.

Each is weighed against a clean turn (`sim.files.slip_odds`), and turns of one thing against each other. Nothing is put
right: the answer is the place to read again.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri, fdtrc

from sim import turn as ring
from sim.arrays import Floats, read_only
from sim.files.clean_turn import CREEP_UM, NOISE_UM, Looks, looks, reading_sd, rounded_alike_um
from sim.files.lost_signs import of_all, without_signs
from sim.files.rocking import NOT_YET, Rocking
from sim.files.slip_odds import APART, DECIMAL, OUTLIER, PAIR, SIGN, SIGNS, SWAP, TRIPLE, Odds, log_sum, odds_of_slips
from sim.one_thread import one_thread
from sim.parts.dial import FINE_STEP_UM
from sim.turn import fit, interpolate

STANDS_UP, MIRRORED, DRIFT, TWICE = "stands up", "faces swapped", "drift", "read twice and different"
#: Of a whole turn, by the others: `sim.bench.read_otherwise`.
WRITTEN = "written otherwise"
NO_SIGNS = "no minus signs"
#: Of a mount that reads more once cleaned than as found: put on again, and no slip (`sim.bench.worse_cleaned`).
WORSE = "more than as found"
NO_SLIPS = (STANDS_UP, WORSE)
#: Why nothing is to be read again of a fault: another turn reads so too, or it was read since in another state.
CONFIRMED, REPLACED = "reads so again", "read since"
# An alarm needs these log odds; set so that clean turns, drawn otherwise than assumed here, alarm in at most 2 % of
# tables (`python -m tests.studies.slips`). Bolt holes make a bare hub face the more ragged trace, and with fewer than
# `FEW` readings a rotor on dirt looks much like one with a slip in its table.
ALARM, ALARM_OF_FEW, ALARM_ON_HUB = 1.0, 1.7, 1.5
FEW = 8
# A place is named beside the likeliest where its share of the odds is at least this.
SHARE = 0.15
# A slip that moves a reading by less than so many standard deviations is not told: 15 um of a 0.01 mm dial, where noise
# and step put two readings as far apart. A slipped decimal leaves a figure that speaks for itself. Judgement, 3 .. 4.
LEAST_SDS = 3.6
# Tables longer than this come from a logger; no pen slips in them.
LONGEST = 200
MOST_FAULTS = 6
# Components of an order of the mean plane and of the thickness, standard deviation; judgement. [um]
PLANE_UM, THICKNESS_UM = 40.0, 8.0
# Log odds for one face being the mirror image of the other. Judgement: a hundred to one.
MIRROR = 4.6
# Two turns of one mount differ by more than the dial at this chi-square tail; orders in which parts and seats move,
# and the fewest places that carry two.
TAIL, WAVES, LEAST_FOR_WAVES = 0.002, 2, 8
# What a dial of 3 µm a division or finer scatters by beforehand on a bare face, and as of how many readings more that
# counts. Judgement, 0.8 .. 2 um and 2 .. 8; a chance that is told from none in the figures of a computer.
FINE_NOISE_UM, FINE_FREEDOM, LEAST_CHANCE = 1.5, 4, 1e-300
# The same of what is left of a turn that slipped, and of one among three and more, where the others tell which is odd.
# Judgement, 0.01 to 0.05.
TAIL_OF_PART = 0.02
# A dial that comes back further off its start than this many standard deviations, and this far, has moved. [1, um]
DRIFT_SDS, DRIFT_UM = 2.5, 10.0


@dataclass(frozen=True)
class ReadingFault:
    """Something in a trace that a clean turn would not show.

    Parameters
    ----------
    fault : str
        One of the words of this module.
    trace : str
        Which trace, and of which mount.
    angle_deg : tuple of float
        Places to read again; empty where the whole turn is meant. [deg]
    size_um : float
        How far it is off. [um]
    log_odds : float
        Natural logarithm of the odds for it against a clean turn.
    text : str
        What to do, in a technician's words.
    left_out_deg : tuple of float
        The likeliest of the places; the rest was judged without them. [deg]
    read_last : bool
        Whether a sound turn of the same, which counts in its place, was read before it and none after it.
    answer : str
        ``reads so again`` or ``read since`` where nothing is to be read again for it; else empty.
    """

    fault: str
    trace: str
    angle_deg: tuple[float, ...]
    size_um: float
    log_odds: float
    text: str
    left_out_deg: tuple[float, ...] = ()
    read_last: bool = False
    answer: str = ""

    @property
    def doubts(self) -> bool:
        """Whether its turn is in doubt: a face that stands up is none, nor what reads so again. By definition."""
        return self.fault not in NO_SLIPS and self.answer != CONFIRMED and not self.read_last


@dataclass(frozen=True, eq=False)
class Turn:
    """One turn as it is doubted.

    Parameters
    ----------
    kind, name : str
        Kind of the trace, and what people call it.
    angle_deg, shown_um : ndarray, shape (k,)
        Places, and what the dial showed there. [deg, um]
    sign : float
        What turns a reading into + outboard.
    mount : tuple of str and int
        Corner and mount; turns of one mount are held against each other.
    dial_um : float or None
        Step of its own dial, where it is not the file's. [um]
    how : tuple
        How it was put on and held: turns of one name and of equal value read the same thing.
    """

    kind: str
    name: str
    angle_deg: Floats
    shown_um: Floats
    sign: float = 1.0
    mount: tuple[str, int] = ("", 0)
    dial_um: float | None = None
    how: tuple[Hashable, ...] = ()


def alarm(kind: str, count: int) -> float:
    """Log odds from which a turn of so many readings alarms."""
    if count < FEW:
        return ALARM_OF_FEW
    return ALARM_ON_HUB if kind == "hub face" else ALARM


@one_thread
def slips(turn: Turn, dial_um: float, studs: int) -> tuple[ReadingFault, ...]:
    """Places of one turn that ought to be read again.

    Parameters
    ----------
    turn : Turn
    dial_um : float
        Step of the dial. [um]
    studs : int
        Studs of the hub; they count for its bare face only.

    Returns
    -------
    tuple of ReadingFault
        Empty for a clean turn. A place that was named is left out and the rest is weighed again.
    """
    angles, shown = tuple(map(float, turn.angle_deg)), tuple(map(float, turn.shown_um))
    return _slips(turn.kind, turn.name, angles, shown, turn.sign, float(dial_um), studs)


@lru_cache(maxsize=512)  # one table is asked a dozen times on the way to one order
def _slips(
    kind: str, name: str, angles: tuple[float, ...], shown: tuple[float, ...], sign: float, dial_um: float, studs: int
) -> tuple[ReadingFault, ...]:
    """What `slips` answers, by what its answer follows from."""
    turn = Turn(kind, name, np.array(angles), np.array(shown), sign)
    bare = kind == "hub face"
    left = np.arange(turn.angle_deg.size)
    fewest = max(6, (turn.angle_deg.size + 1) // 2)
    found: list[ReadingFault] = []
    while fewest <= left.size <= LONGEST and len(found) < MOST_FAULTS:
        angle, value = turn.angle_deg[left], turn.shown_um[left]
        clean = looks(angle, dial_um, studs if bare else 0)
        odds = odds_of_slips(value, clean, bare)
        if odds.total < alarm(turn.kind, left.size):
            break
        named, fault = _named(turn, odds, angle, value, clean)
        if fault.fault != DECIMAL and abs(fault.size_um) < LEAST_SDS * reading_sd(dial_um):
            break
        found.append(fault)
        left = np.delete(left, named)
        if left.size < fewest:
            break
    return tuple(found)


def _named(turn: Turn, odds: Odds, angle: Floats, value: Floats, clean: Looks) -> tuple[list[int], ReadingFault]:
    """The likeliest slip of a turn that slipped: which places to leave out, and what to say."""
    best = max(odds.each, key=lambda slip: float(odds.each[slip].max()))
    share = odds.places()
    named = list(dict.fromkeys(int(i) for i in odds.at[best][odds.each[best].argmax()]))
    kinds = {slip: float(np.exp(log_sum(log_odds) - odds.total)) for slip, log_odds in odds.each.items()}
    likely = [slip for slip in HINT if kinds.get(slip, 0.0) > 0.5]
    extra = [int(i) for i in np.argsort(-share) if share[i] >= SHARE and int(i) not in named][:2]
    guess = int(np.argmax(clean.log_likelihood(value)))
    pull = clean.precision[guess] @ (value - clean.mean[guess])
    block = clean.precision[guess][np.ix_(named, named)]
    off = np.linalg.solve(block, pull[named]) * turn.sign
    size = float(off[np.argmax(np.abs(off))])
    places = [named[0], *named[1:], *extra]
    where = " and ".join(f"{angle[i]:g}" for i in places)
    # Whatever stands up on a bare face may be dirt, also where a slip would explain it as well.
    up = turn.kind == "hub face" and size > 0.0 and best not in (SIGN, SIGNS, SWAP, APART)
    fault = STANDS_UP if up else likely[0] if likely else OUTLIER if best in (PAIR, TRIPLE) else best
    if up:
        height = f"stands up by about {size:.0f} µm at {where} degrees"
        text = f"{turn.name}: {height}: dirt, or misread; {LOOK_THERE}"
    else:
        hint = HINT.get(likely[0], "") if likely else ""
        text = f"{turn.name}: read {where} degrees again, about {abs(size):.0f} µm off the others{hint}{WHOLE_TURN}"
    out = tuple(float(angle[i]) for i in named)
    where_all = tuple(float(angle[i]) for i in places)
    return named, ReadingFault(fault, turn.name, where_all, size, float(odds.total), text, out)


#: What is done about a place of a bare face that stands up.
LOOK_THERE = "look there, wipe it, read it again"
#: How a place is read again: the file takes no line of an angle that its turn has.
WHOLE_TURN = "; as a whole further turn"
READ_TWICE, AGAIN = "read twice, and the two turns", "a third time"
#: How turns of a mount that differ end, where it still stands.
AS_IT_STANDS = "read it as it stands now until three turns agree, and fewer do not: those count"
#: Where so many turns did not end it.
MANY = 6
#: So many turns of one thing that still part: one more tells nothing that those did not. Judgement, as of mountings.
MOST_TURNS = 8
#: Of `sim.files.rocking.Rocking.of`.
DIAL_TWICE = f"{{may_be}}a dial that moved, or nuts retorqued in between{{first}}{AS_IT_STANDS}"
FACE_TWICE = f"{{may_be}}a dial that moved, or dirt under the tip{{first}}{AS_IT_STANDS}"
MICROMETER_TWICE = (
    "another radius, dirt under the anvils or another micrometer; mark radius and places, wipe both faces there, read "
    f"it {AGAIN}: the turns that agree count"
)
WHY_TWICE = {"thickness": MICROMETER_TWICE, "hub face": FACE_TWICE}
HINT = {
    SIGN: "; a lost sign would explain it",
    SIGNS: "; signs lost there would explain it",
    DECIMAL: "; a decimal point one place off would explain it",
    SWAP: "; two neighbours written the wrong way round would explain it",
    APART: "; two places written the wrong way round would explain it",
}


@one_thread
def mirrored(out: Turn, into: Turn, thickness: Turn | None = None) -> ReadingFault | None:
    """Whether the traces of the two faces are each other's mirror image: a face or a sign taken for the other.

    Parameters
    ----------
    out, into : Turn
        The ``mounted`` and the ``inboard`` trace of one mount; ``sign`` turns each to + outboard.
    thickness : Turn, optional
        Of the same disc.

    Notes
    -----
    Both faces of a rotor move together but for its thickness variation. The other way about, the runout would be
    half that thickness and the thickness twice that runout. Both faces taken for each other looks sound and cannot be
    told from one mount.

    Readings in um; odds of normal densities (Bayes' rule), sizes are judgement.
    """
    highest = min(2, (min(out.angle_deg.size, into.angle_deg.size) - 1) // 2)
    one, two = (fit(turn.angle_deg, turn.sign * turn.shown_um, highest)[1:] for turn in (out, into))
    read = np.zeros_like(one)
    spread = THICKNESS_UM
    if thickness is not None:
        read = fit(thickness.angle_deg, thickness.shown_um, highest)[1:]
        spread = reading_sd(10.0)

    def log_likelihood(other: NDArray[np.complex128]) -> float:
        plane, thick = (one + other) / 2.0, one - other - read
        return -0.5 * float((np.abs(plane) ** 2).sum() / PLANE_UM**2 + (np.abs(thick) ** 2).sum() / spread**2)

    log_odds = log_likelihood(-two) - log_likelihood(two)
    if log_odds < MIRROR:
        return None
    size = 2.0 * float(np.abs(one - two).max())
    text = (
        f"{out.name}: the inboard face runs against the outboard one, as if it were {size:.0f} µm thicker on one side; "
        "was the sign or the face taken for the other? Read one face again"
    )
    return ReadingFault(MIRRORED, out.name, (), size, log_odds, text)


@one_thread
def read_twice(
    one: Turn,
    other: Turn,
    dial_um: float,
    tail: float = TAIL,
    rocking: Rocking = NOT_YET,
    noise_um: float = NOISE_UM,
) -> ReadingFault | None:
    """Whether two turns of one mount differ by more than the dial scatters.

    Parameters
    ----------
    one, other : Turn
        Of the same trace and mount.
    dial_um : float
        Step of the dial. [um]
    tail : float
        Of chi-square.
    rocking : Rocking
        What is said of the bearing.
    noise_um : float
        Standard deviation of one reading, rounding apart. [um]

    Notes
    -----
    The second turn is held against the first at its own angles, straight lines between them, an offset free: all
    places together, and what of it goes once and twice a turn, as a part or a seat that moved does. Sums of squares
    against chi-square. Between places the lines add what the curve bends: only common places count where there are six.

    Chi-square of a difference, by definition; the tail is judgement (`TAIL`), half of it each.
    """
    apart, sums = _difference(one, other, dial_um, noise_um)
    over = [(square, freedom) for square, freedom in sums if square > chdtri(freedom, tail / 2.0)]
    if not over:
        return None
    square, freedom = over[0]
    size = float(np.ptp(apart))
    why = rocking.of(WHY_TWICE.get(one.kind, DIAL_TWICE))
    text = f"{one.name}: {READ_TWICE} differ by up to {size:.0f} µm: {why}"
    return ReadingFault(TWICE, one.name, (), size, 0.5 * (square - freedom), text)


def waves_part(one: Turn, other: Turn, dial_um: float) -> bool:
    """Whether two turns differ once or twice a turn, as no hand scatters; parameters and test as `read_twice` has them.

    Chi-square (`TAIL`); readings in um.
    """
    _, (_, (square, freedom)) = _difference(one, other, dial_um)
    return square > float(chdtri(freedom, TAIL / 2.0))


_Shown = tuple[str, bytes, bytes, float, float | None]
_Sums = tuple[tuple[float, int], tuple[float, int]]


def _difference(one: Turn, other: Turn, dial_um: float, noise_um: float = NOISE_UM) -> tuple[Floats, _Sums]:
    """What two turns differ by, + outboard; its square over its variance with its freedom, of all and of its waves."""
    return _differing(_shown(one), _shown(other), dial_um, noise_um)


def _shown(turn: Turn) -> _Shown:
    """What counts of a turn that is held against another, as something to find it by."""
    places, shown = (np.asarray(one, dtype=float).tobytes() for one in (turn.angle_deg, turn.shown_um))
    return turn.kind, places, shown, turn.sign, turn.dial_um


@lru_cache(maxsize=512)  # two turns of one table are held against each other a dozen times on the way to one order
def _differing(first: _Shown, second: _Shown, dial_um: float, noise_um: float) -> tuple[Floats, _Sums]:
    """What `_difference` answers, by what its answer follows from."""
    one, other = (
        Turn(kind, "", np.frombuffer(places), np.frombuffer(shown), sign, dial_um=own_um)
        for kind, places, shown, sign, own_um in (first, second)
    )
    common = np.isin(other.angle_deg, one.angle_deg)
    at = other.angle_deg[common] if common.sum() >= 6 else other.angle_deg
    apart = interpolate(other.angle_deg, other.shown_um, at) - interpolate(one.angle_deg, one.shown_um, at)
    apart = one.sign * (apart - apart.mean())
    # A micrometer does not creep.
    noise, creep = 2.0 * reading_sd(dial_um, noise_um) ** 2, 0.0 if one.kind == "thickness" else 2.0 * CREEP_UM**2
    # A dial that creeps by d in a turn adds d^2/12 a place, and d/(n pi) to order n.
    every = float((apart**2).sum()) / (noise + creep / 12.0), at.size - 1
    highest = WAVES if at.size >= LEAST_FOR_WAVES else 1
    wave = ring.design_matrix(at, highest)[:, 1:]
    low = wave @ np.linalg.lstsq(wave, apart, rcond=None)[0]
    crept = creep * at.size / (4.0 * np.pi**2 * highest) * sum(1.0 / n**2 for n in range(1, highest + 1))
    rounded = (rounded_alike_um(turn.shown_um, turn.dial_um or dial_um) for turn in (one, other))
    alike = at.size / 2.0 * sum(sd**2 for sd in rounded)
    waves, freedom = float((low**2).sum()), 2 * highest
    square = waves / (noise + crept + alike)
    if one.kind == "hub face" and dial_um <= FINE_STEP_UM and at.size > freedom + 1:  # bare, nothing moves on it
        square = max(square, _by_own_scatter(waves, freedom, apart - low, dial_um, crept))
    return read_only(apart), (every, (square, freedom))


def _by_own_scatter(waves_um2: float, freedom: int, rest_um: Floats, dial_um: float, crept_um2: float) -> float:
    """Square over its variance of waves by which turns of a fine dial differ, scattering as the rest of them shows.

    Parameters
    ----------
    waves_um2, freedom : float, int
        Sum of squares of these waves, and of how many figures. [um2]
    rest_um : ndarray, shape (k,)
        What the turns differ by besides. [um]
    dial_um : float
        Its step. [um]
    crept_um2 : float
        Variance of such a figure by creep. [um2]

    Returns
    -------
    float
        The chi-square of the same chance; no unit.

    Notes
    -----
    Ratio of two variances (F distribution), the lower one with `FINE_FREEDOM` figures of `FINE_NOISE_UM` beside its own
    and no more than that of any dial (`reading_sd`).
    """
    own = rest_um.size - 1 - freedom
    beforehand = FINE_FREEDOM * 2.0 * reading_sd(dial_um, FINE_NOISE_UM) ** 2
    scatter = (beforehand + float((rest_um**2).sum())) / (FINE_FREEDOM + own)
    variance = min(scatter, 2.0 * reading_sd(dial_um) ** 2) + crept_um2
    chance = float(fdtrc(freedom, FINE_FREEDOM + own, waves_um2 / freedom / variance))
    return float(chdtri(freedom, max(chance, LEAST_CHANCE)))


def most_drift_um(dial_um: float) -> float:
    """How far a dial may come back off its start after one turn before the turn is read again. [um].

    Least that counts is judgement (`DRIFT_UM`); variances add (JCGM 100).
    """
    return max(DRIFT_UM, DRIFT_SDS * float(np.sqrt(2.0)) * reading_sd(dial_um))


def came_back(name: str, drift_um: float | None, dial_um: float) -> ReadingFault | None:
    """Whether the dial came back too far off its start after one turn.

    [um]. As `most_drift_um` says; the difference of two readings has twice their variance (JCGM 100:2008).
    """
    if drift_um is None or abs(drift_um) <= most_drift_um(dial_um):
        return None
    sd = float(np.sqrt(2.0)) * reading_sd(dial_um)
    gauge, check = ("micrometer", "wiped and square") if name.startswith("thickness") else ("dial", "held fast")
    text = (
        f"{name}: the {gauge} came back {drift_um:+.0f} µm off its start; check that it is {check}, read the turn again"
    )
    return ReadingFault(DRIFT, name, (), drift_um, 0.5 * (drift_um / sd) ** 2, text)


@one_thread
def against_each_other(
    turns: Sequence[Turn], slipped: Sequence[bool], dial_um: float, rocking: Rocking = NOT_YET
) -> tuple[ReadingFault, ...]:
    """What ought to be read again by turns that are held against each other: faces that mirror, turns read twice.

    Parameters
    ----------
    turns : sequence of Turn
        Of one file.
    slipped : sequence of bool
        Which of them give a slip away.
    dial_um : float
        Step of the dial. [um]
    rocking : Rocking
        As `read_twice` takes it.

    Notes
    -----
    Turns of a thickness and of a bare hub face have rules of their own: `sim.files.thickness_turns`, `face_turns`.
    """
    slips_of = {id(turn): one for turn, one in zip(turns, slipped, strict=True)}
    found: list[ReadingFault] = []
    for one, other in combinations(turns, 2):
        if one.mount != other.mount:
            continue
        if one.name == other.name:
            if one.kind in ("thickness", "hub face") or one.how != other.how:
                continue
            coarser = max(one.dial_um or dial_um, other.dial_um or dial_um)
            found += [fault] if (fault := read_twice(one, other, coarser, rocking=rocking)) else []
        elif {one.kind, other.kind} == {"mounted", "inboard"}:
            out, into = (one, other) if one.kind == "mounted" else (other, one)
            thick = [turn for turn in turns if turn.kind == "thickness" and turn.mount == one.mount]
            if any(slips_of[id(turn)] for turn in (out, into, *thick)):
                continue  # a slip in one of them is no other face's fault
            found += [fault] if (fault := mirrored(out, into, thick[0] if thick else None)) else []
    return tuple(fault for fault in found if fault.fault != TWICE or fault is _furthest(found, fault.trace))


def so_often(fault: ReadingFault, turns: int, rocking: Rocking = NOT_YET) -> ReadingFault:
    """Say how often a turn was read that differs from another of the same.

    Parameters
    ----------
    fault : ReadingFault
        Of `read_twice`.
    turns : int
    rocking : Rocking
        As `read_twice` took it.
    """
    if fault.fault != TWICE or turns < 3:
        return fault
    text = fault.text.replace(READ_TWICE, f"read {turns} times, and two of the turns").replace(AGAIN, "once more")
    if turns >= MOST_TURNS:
        text = text.replace(rocking.first + AS_IT_STANDS, rocking.ended)
    elif turns >= MANY and text.endswith(AS_IT_STANDS):
        text += rocking.no_end
    return replace(fault, text=text)


@one_thread
def of_each(turns: Sequence[Turn], dial_um: float, studs: int) -> list[tuple[ReadingFault, ...]]:
    """Slips of each turn.

    Parameters
    ----------
    turns : sequence of Turn
        Of one file.
    dial_um : float
        Step of the dial. [um]
    studs : int
        Studs of the hub.
    """
    return [_of_one(turn, turn.dial_um or dial_um, studs) for turn in turns]


def _furthest(found: Iterable[ReadingFault], trace: str) -> ReadingFault:
    """Of turns of one mount that differ the two that do by most: one mount is one finding."""
    return max((one for one in found if one.fault == TWICE and one.trace == trace), key=lambda one: one.size_um)


def _of_one(turn: Turn, dial_um: float, studs: int) -> tuple[ReadingFault, ...]:
    """Slips of one turn; where every minus sign may be missing, that alone, for no place is better than another."""
    restored = 0.0 if turn.kind == "thickness" else without_signs(turn.angle_deg, turn.shown_um, dial_um)
    found = () if restored else slips(turn, dial_um, studs)
    if any(one.fault == SIGNS for one in found):
        restored = of_all(turn.angle_deg, turn.shown_um, dial_um)
    if not restored:
        return found
    text = (
        f"{turn.name}: its readings have one sign; with part of them turned over they are one wave: were signs left "
        f"out? With them it would run out by about {restored:.0f} µm. Read it again and write every sign; if it truly "
        "has two humps set the dial to 100 µm at the first place"
    )
    return (ReadingFault(NO_SIGNS, turn.name, (), restored, alarm(turn.kind, turn.angle_deg.size), text),)
