"""What can be done about a runout, in which order, and whether indexing is worth it.

Runouts are TIR at the gauge radius in um unless a name says ``amplitude``. First orders are
complex, ``Re(c exp(i theta))``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.bench.after_indexing import MOUNT_SCATTER_UM, Band
from sim.bench.cut_on_car import Cut, cut_words
from sim.bench.next_act import BARE_NUTS
from sim.bench.stud_position import IndexResult, Position
from sim.bench.taper_shims import Shim, ShimResult
from sim.parts.dial import (
    ABOVE,
    BELOW,
    COVERAGE,
    against_limit,
    beside_limit,
    span_against_limit,
)
from sim.parts.thickness import Uneven
from sim.turn import tir_sd

#: What a part set's discard thickness orders of a rotor whose own nobody read.
STAMP = "read the stamp"
READ_AGAIN = "read again"
#: A figure below its limit under bare nuts: where their cones pull the rotor is not computed.
BARE = (
    "under bare cone nuts a small figure clears nothing, computed or read: slacken the nuts, plain spacers under every "
    "one, tighten crosswise in stages to the torque, the rotor not taken off, and read it again; the bare hub face too"
)


def worst_after_indexing(rotor: float, hub: float, count: int) -> float:
    """Largest runout that can be left at the best of ``count`` stud positions.

    Parameters
    ----------
    rotor, hub : float
        First orders, both TIR or both amplitudes.
    count : int
        Stud positions.

    Notes
    -----
    The best position misses exact opposition by at most pi/n: r^2 = (a - b)^2 + 4 a b sin^2(pi/2n). Also
    r <= |a - b| + 2 min(a, b) sin(pi/2n), with equality for a = b.

    Unit of the orders; closed form (law of cosines).
    """
    return float(np.sqrt((rotor - hub) ** 2 + 4.0 * rotor * hub * np.sin(np.pi / (2 * count)) ** 2))


def rms_after_indexing(rotor: float, hub: float, count: int) -> float:
    """Root mean square of what is left at the best position when the two high spots stand at random.

    Unit of the orders. Closed form: the mean of cos over an angle within pi/n of opposition.
    """
    share = np.sin(np.pi / count) / (np.pi / count)
    return float(np.sqrt(rotor**2 + hub**2 - 2.0 * rotor * hub * share))


def share_below_after_indexing(rotor: float, hub: float, count: int, limit: float) -> float:
    """Share of random pairs that the best position brings to ``limit`` or below.

    Closed form: the angle within which two vectors leave the limit, of pi/n (law of cosines).
    """
    if rotor == 0.0 or hub == 0.0:
        return float(abs(rotor - hub) <= limit)
    cosine = (rotor**2 + hub**2 - limit**2) / (2.0 * rotor * hub)
    return float(np.clip(count / np.pi * np.arccos(np.clip(cosine, -1.0, 1.0)), 0.0, 1.0))


def rms_of_population(rotor_scale: float, hub_scale: float, count: int) -> float:
    """Root mean square left at the best position over Rayleigh-distributed hub and rotor amplitudes.

    Parameters
    ----------
    rotor_scale, hub_scale : float
        Rayleigh parameters (standard deviation of a component).
    count : int
        Stud positions; 1 is no choice.

    Notes
    -----
    Unit of the scales; closed form over Rayleigh's distribution.
    """
    share = np.sin(np.pi / count) / (np.pi / count)
    return float(np.sqrt(2 * rotor_scale**2 + 2 * hub_scale**2 - np.pi * rotor_scale * hub_scale * share))


@dataclass(frozen=True)
class Worth:
    """Whether taking the rotor off to index it can be told from doing nothing.

    Parameters
    ----------
    gain_um, doubt_um : float
        Runout that the move takes away, and its doubt (k = 2). [um TIR]
    verdict : str
        ``worth it``, ``too close to tell`` or ``no gain``.
    """

    gain_um: float
    doubt_um: float
    verdict: str


def doubt_of_move_um(
    now: Position,
    best: Position,
    count: int,
    dial_um: float,
    readings: tuple[int, int],
    hub_scale: float = 1.0,
    noise_um: float = 3.0,
) -> float:
    """Uncertainty (k = 2) of what a move gains: of the dial, and of putting the rotor on again. [um TIR].

    Parameters
    ----------
    now, best : Position
        Where it sits and where it would be best.
    count : int
        Studs.
    dial_um : float
        Step of the dial. [um]
    readings : tuple of int
        Readings a turn on the rotor and on the hub.
    hub_scale : float
        Gauge radius over the radius of the hub trace: its reading error grows with it.
    noise_um : float
        Standard deviation of one reading; 3 um is the repeatability of a 0.01 mm dial (JIS B 7503:2011). [um]

    Returns
    -------
    float

    Notes
    -----
    The gain is 2 |C| - 2 |C + H (e - e0)|, with C as read and H scaled from the hub: its variance is at most that of
    the two TIRs of C, plus |e - e0|^2 times that of H, plus the scatter of the mounting that was read and of the new.
    """
    turn = 2.0 * np.sin(np.pi * (best.studs_turned - now.studs_turned) / count)
    rotor_sd = tir_sd(readings[0], noise_um, dial_um)
    hub_sd = hub_scale * tir_sd(readings[1], noise_um, dial_um)
    mounts = 2.0 * np.sqrt(2.0) * MOUNT_SCATTER_UM
    return COVERAGE * float(np.sqrt(2 * rotor_sd**2 + (turn * hub_sd) ** 2 + mounts**2))


def weigh_gain(now_um: float, then_um: float, moves: bool, doubt_um: float) -> Worth:
    """Hold what a move gains against its uncertainty.

    Parameters
    ----------
    now_um, then_um : float
        What it reads now, and what it should then read. [um TIR]
    moves : bool
        Whether the best position is another one.
    doubt_um : float
        Uncertainty (k = 2) of the gain. [um TIR]
    """
    gain = now_um - then_um
    if not moves or gain <= 0.0:
        return Worth(0.0, doubt_um, "no gain")
    return Worth(gain, doubt_um, "worth it" if gain > doubt_um else "too close to tell")


@dataclass(frozen=True)
class Cure:
    """One step of the way back to a true rotor.

    Parameters
    ----------
    name : str
        ``read again``, ``leave it on``, ``clean``, ``hub and bearing``, ``index``, ``shim``, ``cut``,
        ``replace the rotor``, ``read the stamp``; of a case also those of `sim.advice.with_stated`,
        of a table those of `sim.causes.cures_as_read`.
    left_um : float or None
        Runout expected after it; ``None`` where only a reading can tell. [um TIR]
    enough : bool or None
        Whether that is within the limit.
    why : str
        In a technician's words.
    again : bool
        Whether hub face and rotor are read again before it.
    conditions : tuple of str
        What has to be done or true before it; they begin ``why``.
    """

    name: str
    left_um: float | None
    enough: bool | None
    why: str
    again: bool = False
    conditions: tuple[str, ...] = ()


def stud_place(studs_turned: int) -> str:
    """Say where the rotor belongs so that nobody turns it the wrong way: by the painted hole, and by how far.

    Parameters
    ----------
    studs_turned : int
        Stud position, 0 where the painted hole sits on stud 1.

    Examples
    --------
    >>> stud_place(0), stud_place(1)
    ('painted hole on stud 1', 'painted hole on stud 2 (turned on by one hole)')
    """
    place = f"painted hole on stud {studs_turned + 1}"
    if studs_turned == 0:
        return place
    count = "one hole" if studs_turned == 1 else f"{studs_turned} holes"
    return f"{place} (turned on by {count})"


def second_best(studs_turned: int, band: Band) -> str:
    """Say of a stud position that it may do as well as the best, with its own figure. [um].

    Examples
    --------
    >>> second_best(3, Band(50.0, 32.0, 70.0))
    'stud 4 is not told to be worse but should read 50 µm (80 % band 32 to 70): the second to try'
    """
    return (
        f"stud {studs_turned + 1} is not told to be worse but should read {band.middle_um:.0f} µm (80 % band "
        f"{band.low_um:.0f} to {band.high_um:.0f}): the second to try"
    )


@dataclass(frozen=True)
class Found:
    """What is known of a corner before anything is ordered.

    Parameters
    ----------
    now_um, doubt_um : float or None, float
        Runout in the position in which it sits, and its uncertainty (k = 2); ``None`` where nobody read it. [um TIR]
    cleaned : bool
        Whether both faces are bare metal already.
    read_again : tuple of str
        What to read again before anything else.
    hub_face_um, hub_limit_um : float or None, float
        Runout of the bare hub face and its limit; ``None`` where nobody gave it. [um TIR]
    hub_share_um : float
        What the hub's lean is at the gauge. [um TIR]
    floor_doubt_um : float
        Uncertainty (k = 2) of what no stud position can beat. [um TIR]
    after : Band or None
        What the dial should show in the best position. [um TIR]
    either : tuple of int
        Stud positions as good as the best.
    second : tuple of pair of int and Band
        Stud positions that are not told to be worse, and should read more all the same.
    clamped_as_now : str
        How the rotor was held when it was read.
    confirms_um : float or None
        Highest reading that confirms the move; ``None`` where no one reading can. [um TIR]
    second_order : bool
        Whether the mounted trace has a second order that counts: warped, or something between the faces.
    rotor_goes : str
        Why it goes whatever it runs out, as `sim.parts.rotor_goes` says it; empty where it may stay.
    stamp_decides : bool
        Whether that is by a part set's discard thickness alone: its own stamp is read first.
    uneven : Uneven or None
        Its thickness where that is too close to its limit to tell: no rotor is left on over that.
    """

    now_um: float | None = None
    doubt_um: float = 0.0
    cleaned: bool = False
    read_again: tuple[str, ...] = ()
    hub_face_um: float | None = None
    hub_limit_um: float = 30.0
    hub_share_um: float = 0.0
    floor_doubt_um: float = 0.0
    after: Band | None = None
    either: tuple[int, ...] = ()
    second: tuple[tuple[int, Band], ...] = ()
    clamped_as_now: str = ""
    confirms_um: float | None = None
    second_order: bool = False
    rotor_goes: str = ""
    stamp_decides: bool = False
    uneven: Uneven | None = None

    @property
    def hub_over(self) -> bool:
        """Whether the bare hub face is over its limit."""
        return self.hub_face_um is not None and against_limit(self.hub_face_um, self.hub_limit_um, 0.0) == ABOVE


def order_of_cures(
    index: IndexResult,
    limit_um: float,
    worth: Worth,
    shims: ShimResult | None = None,
    cut: Cut | None = None,
    found: Found | None = None,
) -> tuple[Cure, ...]:
    """Say what to try, cheapest and least lasting harm first.

    Parameters
    ----------
    index : IndexResult
        Stud positions.
    limit_um : float
        Limit of the mounted runout. [um TIR]
    worth : Worth
        Of moving it.
    shims : ShimResult, optional
        Where steps can be bought.
    cut : Cut, optional
        Where both faces were read.
    found : Found, optional
        What else is known of the corner.

    Returns
    -------
    tuple of Cure
        What does not read soundly is read again, and nothing is ordered beside it but what no reading changes. Else
        cleaning comes first, unless that was done: dirt that is left makes every other cure a cure of the dirt. A hub
        face over its limit comes next, for moving the rotor round would only hide it. What gains less than its
        uncertainty is not ordered, nor a move that passes nowhere, unless a shim or a cut comes after it. The sequence
        stops with the first that is enough by reckoning. A rotor that goes by its thickness is neither moved nor left
        on.
    """
    found = found or Found()
    if found.read_again:
        again = "; ".join(found.read_again)
        held = Cure(READ_AGAIN, None, None, f"{again}; until then nothing is moved on these readings")
        return (held, *((_hub_and_bearing(found),) if found.hub_over else ()), *_rotor_too(found))
    steps: list[Cure] = []
    if not found.cleaned:
        steps.append(Cure("clean", None, None, "hub face, spigot and the rotor's flange, clean metal; then read again"))
    hub_first = (_hub_and_bearing(found),) if found.hub_over else ()
    if found.rotor_goes:
        new = _replaced(found)  # read on a hub that stays
        return (*steps, *hub_first, new) if hub_first else (new, *steps)
    if hub_first:
        return (*steps, *hub_first)
    now = index.at(index.best).runout_um if found.now_um is None else found.now_um
    # What reads below the limit stays on, and nothing is renewed on a reading that is too close to it to tell.
    state = against_limit(now, limit_um, found.doubt_um)
    if found.now_um is not None and now <= limit_um or worth.verdict != "worth it" and state != ABOVE:
        return (*steps, *_leave_on(now, limit_um, found, index))
    beside: list[Cure] = []
    shim = None if shims is None else shims.with_indexing if worth.verdict == "worth it" else shims.best
    if shim is not None and shim.step_um > 0.0:
        beside.append(shim_cure(shim, limit_um, _before_a_part(index, limit_um, worth, found)))
    if cut is not None and cut.possible:
        # Only a reading can tell what the lathe leaves, so no runout is promised.
        beside.append(Cure("cut", None, cut.residual_um[1] <= limit_um, cut_words(cut)))
    if worth.verdict == "worth it" and (beside or not passes_nowhere(found.after, limit_um)):
        steps.append(index_cure(index, limit_um, found))
    steps += beside
    for number, step in enumerate(steps):
        if step.enough:
            return tuple(steps[: number + 1])
    return (*steps, _hub_or_rotor(index, limit_um, worth, found))


def passes_nowhere(best: Band | None, limit_um: float) -> bool:
    """Whether no stud brings it under its limit, by what the best one should read: then it is not moved by itself.

    As `causes` orders it: a stud is tried before a part only where it may pass. [um TIR]; judgement.
    """
    return best is not None and span_against_limit(best.low_um, best.high_um, limit_um) == ABOVE


def shim_cure(shim: Shim, limit_um: float, first: tuple[str, ...]) -> Cure:
    """Say which tapered shim at the stud that was ordered, after what has to be known before anything is bought.

    Parameters
    ----------
    shim : Shim
    limit_um : float
        Limit of the mounted runout. [um TIR]
    first : tuple of str
        What has to be done or true before it.
    """
    why = (
        f"where the maker allows it: {shim.step_um:.0f} µm tapered shim, thick at stud {shim.thick_at_stud}, "
        f"{stud_place(shim.studs_turned)}; it is reckoned to leave {shim.left_um:.0f} µm of the first order, read it; "
        "one shim, never two"
    )
    return Cure("shim", None, shim.left_um <= limit_um, "; ".join([*first, why]), False, first)


#: Before a rotor is bought for its runout: what lies on its seat turns with it on every stud.
SEAT_AGAIN = "both faces cleaned once more and read again, still over the limit"
BOTH = "both of the axle"


def _hub_or_rotor(index: IndexResult, limit_um: float, worth: Worth, found: Found) -> Cure:
    """What to renew where nothing less is enough; not before readings have told whether another stud would be."""
    if found.hub_face_um is not None and against_limit(found.hub_share_um, limit_um, 0.0) == ABOVE:
        return _hub_and_bearing(found)
    why = "not before the bare hub was read: a new rotor cannot cure a leaning hub"
    if found.hub_face_um is not None:
        why = (
            "one without runout leaves what the hub has, "
            f"{found.hub_share_um:.0f} µm at the rotor's dial; read it before it is fitted for good"
        )
    first = (*_before_a_part(index, limit_um, worth, found), SEAT_AGAIN)
    again = _to_read_again(limit_um, worth, found) is not None
    return Cure("replace the rotor", None, None, "; ".join([*first, why, BOTH]), again, first)


def _to_read_again(limit_um: float, worth: Worth, found: Found) -> Band | None:
    """What the best stud may bring, where that is within the limit and too close to no gain to tell; else None."""
    band = found.after
    again = worth.verdict == "too close to tell" and band is not None and band.middle_um <= limit_um
    return band if again else None


def _before_a_part(index: IndexResult, limit_um: float, worth: Worth, found: Found) -> tuple[str, ...]:
    """What has to be done or true before anything is bought."""
    first = ["if it is still over the limit once cleaned and read again"] if not found.cleaned else []
    band = _to_read_again(limit_um, worth, found)
    if band is not None:
        first.append(
            f"first read hub face and rotor again, two turns, with a finer dial: {stud_place(index.best)} may bring "
            f"{band.middle_um:.0f} µm (80 % band {band.low_um:.0f} to {band.high_um:.0f}), which these readings cannot "
            "tell from no gain"
        )
    # Read at one stud only, something between the faces reads like a rotor's own runout.
    if found.second_order:
        first.append("first read it at one more stud: what turns with the rotor is the rotor's, the rest is not")
    return tuple(first)


def _with_doubt(value_um: float, doubt_um: float) -> str:
    """A runout with its uncertainty, where it was read."""
    return f"{value_um:.0f} ± {doubt_um:.0f} µm (k = 2)" if doubt_um > 0.0 else f"{value_um:.0f} µm"


#: What is done where a computed figure is too close to its limit: no dial read it, so no finer one is asked for.
READ_IT = "nothing was read yet: both faces cleaned, put back where it is and read, two turns; under the limit it stays"


def _hub_and_bearing(found: Found) -> Cure:
    """The hub first: its bearing, its face, and only then another hub."""
    read = f"the bare hub face runs out {found.hub_face_um or 0.0:.0f} µm"
    over = f", over its limit of {found.hub_limit_um:.0f} µm"
    brings = f", {found.hub_share_um:.0f} µm at the rotor's dial: no new rotor cures that"
    why = (
        f"{read}{over if found.hub_over else brings}: check the bearing for play, the face for burrs and rust, read "
        "the face again; renew hub or bearing as the maker says, then read bare face and rotor anew. A stud position "
        "would only hide it"
    )
    return Cure("hub and bearing", None, None, why)


def _replaced(found: Found) -> Cure:
    """A rotor that goes by its thickness, or whose stamp is read as a part set's figure alone condemns it."""
    if found.stamp_decides:
        return Cure(STAMP, None, None, found.rotor_goes)
    return Cure(
        "replace the rotor", None, None, f"{found.rotor_goes}; the new one is read before it is fitted for good"
    )


def _rotor_too(found: Found) -> tuple[Cure, ...]:
    """A rotor that goes whatever is read again before it."""
    return (_replaced(found),) if found.rotor_goes else ()


def _leave_on(now_um: float, limit_um: float, found: Found, index: IndexResult) -> tuple[Cure, ...]:
    """A clean corner that is below its limit keeps its rotor on; one that was not cleaned is read again first."""
    if not found.cleaned:
        return ()
    if found.clamped_as_now.startswith(BARE_NUTS) and against_limit(now_um, limit_um, found.doubt_um) == BELOW:
        return (Cure(READ_AGAIN, None, None, BARE),)
    varies = found.uneven
    if varies is not None and not varies.counts_neither:
        why = f"{now_um:.0f} ± {found.doubt_um:.0f} µm (k = 2); but its thickness varies by {varies.said}"
        return (Cure("leave it on", now_um, None, why),)
    if against_limit(now_um, limit_um, found.doubt_um) == BELOW:
        where = beside_limit(now_um, limit_um, BELOW)
        why = f"{now_um:.0f} ± {found.doubt_um:.0f} µm (k = 2), {where} the limit of {limit_um:.0f} µm"
        return (Cure("leave it on", now_um, True, why),)
    close = f"too close to the limit of {limit_um:.0f} µm to tell"
    why = f"{now_um:.0f} ± {found.doubt_um:.0f} µm (k = 2), {close}; {READ_IT}"
    band, moves = found.after, index.at(index.best).runout_um < now_um
    if band is not None and moves and band.middle_um <= limit_um:
        why += f"; over it: {stud_place(index.best)}, which should then read {band.middle_um:.0f} µm"
    return (Cure("clean", None, None, why),)


def index_cure(index: IndexResult, limit_um: float, found: Found) -> Cure:
    """Say the move, what the dial should then read, and which reading confirms it.

    Parameters
    ----------
    index : IndexResult
        Stud positions; its best is the one that is ordered.
    limit_um : float
        Limit of the mounted runout. [um TIR]
    found : Found
    """
    best = index.at(index.best).runout_um
    others = [turned for turned in found.either if turned != index.best]
    why = stud_place(index.best) + "".join(f", or {stud_place(turned)}: either" for turned in others)
    if found.floor_doubt_um < index.floor_um:  # else hub and rotor are as large as each other, for all we know
        why += f"; no position can beat {_with_doubt(index.floor_um, found.floor_doubt_um)}"
    if found.after is None:
        return Cure("index", best, best <= limit_um, why)
    band = found.after
    held = f", held by {found.clamped_as_now} as before" if found.clamped_as_now else ", held as before"
    why += (
        f"; it should then read {band.middle_um:.0f} µm (80 % band {band.low_um:.0f} to {band.high_um:.0f}). Read it "
        f"there{held}: "
    )
    told = "one reading cannot confirm it, so little does it differ from what is read now"
    if found.confirms_um is not None:
        told = f"up to {found.confirms_um:.0f} µm confirms the move"
        told += f", over {limit_um:.0f} µm it is still over the limit" if found.confirms_um > limit_um else ""
    why += f"{told}; more than {band.high_um:.0f} µm is read after one sound move in ten: look for what else changed"
    why += "".join(f"; {second_best(turned, band)}" for turned, band in found.second)
    state = span_against_limit(band.low_um, band.high_um, limit_um)
    # Where the band reaches over the limit the reading decides; by reckoning the middle of the band is what it reads.
    return Cure("index", band.middle_um, state == BELOW or state != ABOVE and band.middle_um <= limit_um, why)
