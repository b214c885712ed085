"""What to do next on readings alone, no prior in it: which reading or which act, and when the runout is done."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.bench import finer_gauge, last_look, second_turn, which_share
from sim.bench.after_indexing import MOUNT_SCATTER_UM
from sim.bench.bare_face import HubFace, face_against_limit
from sim.bench.between_places import counted_um
from sim.bench.judged_thickness import even_um, judged_thickness
from sim.bench.left_on_studs import by_stud_um, humps_left_um, over_um, shares_half_um, unsure_um
from sim.bench.mountings import HUB_SIDE, best_second_position
from sim.bench.one_turn import bare_once, rests_on
from sim.bench.open_readings import open_readings
from sim.bench.scattering import scatters
from sim.bench.told_by_mountings import Apart, ToldApart
from sim.files.dial_readings import Readings
from sim.files.readings_head import WITH_PLAY
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.case import Limits, usual_hub_face_limit_um
from sim.parts.dial import ABOVE, BELOW, COARSE_UM, TOO_CLOSE, Dial, against_limit
from sim.parts.thickness import MEAN_OF, Uneven

# What to do, worded elsewhere.
READ_AGAIN, ANOTHER_STUD, CLEAN, BARE_HUB, THICKNESS = "read again", "another stud", "clean", "bare hub", "thickness"
WORN, INDEX, BACK, DONE, OPEN = "worn", "index", "back", "done", "open"
HUB, FINER, CLEAN_AGAIN, MICROMETER = "hub", "finer dial", "clean again", "finer micrometer"
SEAT, SPACERS, AT_LIMIT, UNEVEN_COUNTED = "rotor's seat", "spacers", "at the limit", "thickness counts as over"
#: As it stands, nothing touched: no mount is left on by one turn.
SECOND_TURN = "second turn"
#: The mountings part however often it is put on: no reading is asked, the bearing is judged.
SCATTERS = "bearing"
#: A bare face or thickness that only a finer gauge tells was read on by the coarse one: no more of its turns are asked.
GAUGE = "finer gauge"
#: What leaves the rotor on, if the rest allows it.
ENDS = (DONE, SECOND_TURN, FINER, AT_LIMIT, UNEVEN_COUNTED)
#: Where their cones pull the rotor is not computed: read so, a small runout clears nothing.
BARE_NUTS = "bare nuts"
# What another mounting may read more than this one: of the first order of both, 95 of 100 stay under it. [um TIR]
ANOTHER_MOUNTING_UM = 1.645 * 2.0 * np.sqrt(2.0) * MOUNT_SCATTER_UM


@dataclass(frozen=True)
class Act:
    """What to do next.

    Parameters
    ----------
    what : str
        ``read again``, ``another stud``, ``clean``, ``clean again`` (more stays with the hub than its cleaned face
        explains), ``rotor's seat`` (cleaned once more before a rotor is bought), ``bare hub`` (also where what stays
        with the hub may be dirt, or over its limit), ``thickness``, ``worn`` (the thickness varies beyond its limit),
        ``finer micrometer`` (too close to it to tell: every place three times, as finely as can be), ``hub`` (the bare
        face is over its limit, or `hub_counts_as_over`), ``finer dial``, ``index``, ``back`` (to the stud where it read
        least), ``spacers`` (small, but read under bare nuts), ``second turn`` (done, but read by one turn), ``done``,
        ``at the limit`` (within what the finest dial is sure to), ``thickness counts as over`` (a middle over its limit
        by less than it is sure to), ``bearing`` (mountings scatter for ever: `sim.bench.scattering`; or the table says
        that the hub was rocked and has play), ``finer gauge``
        (`sim.bench.finer_gauge`) or ``open``.
    studs_turned : int
        Stud on which the painted hole sits then, from stud 1, counter-clockwise.
    read_um, limit_um : float
        Mounted runout as read last, the middle of the turns of the rotor as it stands, and what it is held against.
        [um TIR]
    against : str
        ``below``, ``above`` or ``too close to tell``, with the dial's uncertainty.
    thickness_um, thickness_limit_um : float or None
        Thickness variation as read, and its limit. [um]
    thickness_state : str
        ``below``, ``above`` or ``too close to tell``, with the micrometer's uncertainty; empty where it was not read.
    thickness_close : Uneven or None
        That thickness with its uncertainty, where it is too close to its limit to tell.
    varies : Uneven or None
        The same wherever it was read.
    turns : int
        Of which ``read_um`` is the middle.
    dial_um : float
        Step of the dial that read last. [um]
    thinnest_mm : float or None
        Thinnest place as read; None where none was read, is to be read again or counts from any zero. [mm]
    hub_face : HubFace or None
        Bare hub face against its limit, where it was read.
    also : tuple of str
        What is done in the same go, in this sequence, where nothing that comes between could change it.
    cancels : bool
        Whether more stays with the hub than its limit allows and only this rotor holds the runout down.
    even_um : float or None
        Thickness variation up to which a micrometer of `UNSAID_UM` clears it; None where it was read. [um]
    expected_um : float or None
        Runout to expect on the stud of ``index``, where the direction behind it is not known well enough to call that
        stud the best, or it is over the limit and may be under it; else None. [um TIR]
    """

    what: str
    studs_turned: int
    read_um: float
    limit_um: float
    against: str
    thickness_um: float | None = None
    thickness_limit_um: float | None = None
    thickness_state: str = ""
    thickness_close: Uneven | None = None
    dial_um: float = 10.0
    thinnest_mm: float | None = None
    hub_face: HubFace | None = None
    also: tuple[str, ...] = ()
    cancels: bool = False
    even_um: float | None = None
    expected_um: float | None = None
    varies: Uneven | None = None
    turns: int = 1


def next_act(readings: Readings, told: ToldApart, limits: Limits = Limits()) -> Act:  # noqa: B008
    """Choose what to do next.

    Parameters
    ----------
    readings : Readings
    told : ToldApart
        What they tell, of `sim.bench.mountings.told_apart`.
    limits : Limits
        Common practice unless somebody gave others.

    Returns
    -------
    Act

    Notes
    -----
    A rule, no probability: the thickness first, as no rotor comes off for it and one that is uneven goes whatever
    else is found, and one that reads over its limit but not by more than its micrometer is sure to is read finer;
    then clean, as only what is read clean decides; nothing is indexed or bought before that, and a part is sought
    only while the runout is over its limit by more than the dial's doubt, and only once no stud that was not tried
    may bring it under: a stud takes minutes. No rotor is bought before its seat was cleaned once more: what cleaning
    left there turns with it on every stud. With the rotor off for cleaning the bare hub is read too. Below the
    limit nothing ends over a share of the hub that may be dirt (it settles, and the next rotor is fitted on it) or
    is over its limit (the next rotor does not cancel it). Common practice, no source. Best stud: least sum of the
    two first orders, as `sim.bench.mountings` tells them apart, or as the bare hub tells them on one stud.
    Uncertainty of a reading: `sim.parts.dial.Dial`; of a thickness: `sim.parts.thickness`. [um TIR]
    """
    last = _as_it_counts(readings, told.states[-1], limits)
    here, now = last.positions[-1], last.now
    read, step, doubt = now.read_um, now.dial_um, max(Dial(now.dial_um, now.turns).doubt_um, last.scatter_um)
    state = against_limit(read, limits.mounted_runout_um, doubt)
    thickness = readings.thickness
    uneven_um, varies, close, judged = None, BELOW, None, None
    if thickness is not None:
        judged = judged_thickness(readings, thickness, limits)
        uneven_um, varies = judged.value_um, judged.state
        close = judged if varies == TOO_CLOSE else None
    face = bare_hub(readings, limits)
    what, stud, cancels = told.next, here, False
    if told.bearing == WITH_PLAY or (what == READ_AGAIN and scatters(readings, told)):
        what = SCATTERS if told.bearing == WITH_PLAY else _where_it_scatters(readings, last, face, varies)
    elif what != READ_AGAIN:
        against = Against(read, state, limits.mounted_runout_um, doubt, step > COARSE_UM and now.turns < MEAN_OF)
        what, stud = (WORN, here) if varies == ABOVE else choose(told, last, against)
        if what in (OPEN, SEAT) and which_share.hub_counts_as_over(told, face):
            what, stud = HUB, here
        if what != WORN and face is not None and face.state == ABOVE:  # cleaned first, else it is dirt that is read
            what, stud = (HUB, here) if last.state in CLEAN_STATES else (CLEAN, last.positions[0])
        if what not in (WORN, THICKNESS) and face is not None and face.to_look_at and _was_cleaned(readings, last):
            what, stud = BARE_HUB, here  # on raised metal a rotor rocks: no stud is tried and nothing left on before
        if what in ENDS and which_share.hub_may_be_over(told, most_of_hub_um(readings, limits)):
            what, stud, cancels = BARE_HUB, here, True  # nothing is left on that the rotor alone holds under its limit
        if what in ENDS and which_share.unexplained(told, most_of_hub_um(readings, limits)):
            what, stud = OPEN, here  # only this rotor holds it down
        if _by_its_face(what, told, face) or (what == OPEN and at_odds_once(told, face)):
            what, stud = BARE_HUB, here  # its share is not told before that face is
        what, stud = _on_one_turn(what, stud, _ends(what, told, last, face, against.limit_um), readings, told)
        if what in ENDS and last.state in CLEAN_STATES and last.clamped_by == BARE_NUTS:
            what, stud = SPACERS, here
        what, stud = _thickness_close(close, what, stud, here)
        if held := _held(what, told, limits.mounted_runout_um, (face, close), readings):
            what, stud = held, here
    dtv_um = None if thickness is None else limits.dtv_um
    told_thick = "" if thickness is None else varies
    return Act(
        what, stud, read, limits.mounted_runout_um, state, uneven_um, dtv_um, told_thick, close, step,
        None if readings.thickness_in_doubt else readings.thinnest_mm,
        face, _also(what, _ends(what, told, last, face, limits.mounted_runout_um), last, face, readings), cancels,
        even_um(limits) if thickness is None else None,
        unsure_um(told, last, stud, limits.mounted_runout_um) if what == INDEX else None, judged,
        now.turns,
    )  # fmt: skip


def _where_it_scatters(readings: Readings, last: Apart, face: HubFace | None, varies: str) -> str:
    """What ends mountings that part for ever: what a micrometer or the bare face says by itself, else the bearing."""
    hub = face is not None and face.state == ABOVE and last.state in CLEAN_STATES
    hub = hub and all(one.trace != "hub face" for one in open_readings(readings))
    return WORN if varies == ABOVE else HUB if hub else SCATTERS


def _by_its_face(what: str, told: ToldApart, face: HubFace | None) -> bool:
    """Whether what is ordered rests on a bare face that is still to be read on, or on a dial too coarse for it.

    The end of reading does, and what a coarse dial leaves to what lies between. By rule.
    """
    if face is None or not face.read_on or told.states[-1].state not in CLEAN_STATES:
        return False
    return what == OPEN or (face.coarse and what in (HUB, CLEAN_AGAIN))


def _on_one_turn(what: str, stud: int, ends: str, readings: Readings, told: ToldApart) -> tuple[str, int]:
    """Before reading ends what rests on one turn is read once more: the bare face that chose the studs, or a stud.

    See `sim.bench.one_turn`: one whole turn may be begun elsewhere, or written the other way round.
    """
    if ends == OPEN and bare_once(readings):
        return BARE_HUB, stud
    at = rests_on(readings, told) if what == OPEN and which_share.unexplained(told) else None
    return (what, stud) if at is None else (ANOTHER_STUD, at)


def _ends(what: str, told: ToldApart, last: Apart, face: HubFace | None, limit_um: float) -> str:
    """What is ordered, or what follows it where it is an end at the limit that counts as over it. [um]."""
    over = what == AT_LIMIT and last.now.turns >= MEAN_OF and last.now.read_um > limit_um
    return counted_over(told, face) if over else what


def counted_over(told: ToldApart, face: HubFace | None) -> str:
    """What follows where the middle at the end of reading lies over the limit by less than it is sure to.

    The bare face, or the hub by it; both faces once more before a rotor is sought; else the part. By rule.

    Parameters
    ----------
    told : ToldApart
    face : HubFace or None
        The bare hub face, where it was read.
    """
    if face is None:
        return BARE_HUB
    if which_share.hub_counts_as_over(told, face):
        return HUB
    return SEAT if told.again is None and which_share.larger_share(told) != HUB_SIDE else OPEN


def _held(
    what: str, told: ToldApart, limit_um: float, read: tuple[HubFace | None, Uneven | None], readings: Readings
) -> str:
    """What comes before what is ordered: this mounting by itself, a finer gauge than read on, or a turn more of it."""
    if what in ENDS and stands_over(told, limit_um):
        return READ_AGAIN  # left on it is this mounting, not the middle of several
    face, close = read
    waits = what in (BARE_HUB, *(one for one in ENDS if one != UNEVEN_COUNTED)) and finer_gauge.coarse_face(face)
    now = told.states[-1].now
    half = Dial(now.dial_um, now.turns).doubt_um
    waits |= what == AT_LIMIT and finer_gauge.coarse_runout(now.read_um, limit_um, half, now.dial_um, now.turns)
    if waits or (what == MICROMETER and finer_gauge.coarse_thickness(close)):
        return GAUGE
    return SECOND_TURN if what == DONE and second_turn.wanted(readings, face, limit_um) else ""


def read_once(face: HubFace | None) -> bool:
    """Whether a bare face was read by one turn alone, which may be the one that is off.

    By rule.

    Parameters
    ----------
    face : HubFace or None
    """
    return face is not None and face.alike == 1


def at_odds_once(told: ToldApart, face: HubFace | None) -> bool:
    """Whether what stays with the hub, cleaned twice, is at odds with one turn of its bare face alone.

    By rule: one turn more of that face tells whether something lies between or that turn was off.

    Parameters
    ----------
    told : ToldApart
    face : HubFace or None
    """
    return read_once(face) and which_share.unexplained(told)


def _as_it_counts(readings: Readings, last: Apart, limits: Limits) -> Apart:
    """The last state with the rotor as it stands over its limit, where turns that were read out mostly are; else as is.

    See `sim.bench.last_look`. [um TIR]
    """
    look = last_look.of_mount(readings, limits)
    if last.state not in CLEAN_STATES or not look.overrules(last.now.read_um):
        return last
    return replace(last, now=replace(last.now, read_um=look.middle_um, turns=len(look.each_um)))


def _was_cleaned(readings: Readings, last: Apart) -> bool:
    """Whether the bare face was read clean, or the rotor after it; else it is dirt that is read."""
    return last.state in CLEAN_STATES or any(one.state in CLEAN_STATES for one in readings.of("hub face")[-1:])


def stands_over(told: ToldApart, limit_um: float) -> bool:
    """Whether the last mount by itself is over the limit, though the middle of those on its stud is not.

    Parameters
    ----------
    told : ToldApart
    limit_um : float
        Of the mounted runout. [um TIR]

    Notes
    -----
    Each by more than the dial's doubt (`sim.parts.dial.against_limit`). A middle of `MEAN_OF` that reads over it by
    less is the end: it counts as over whatever is read once more.
    """
    now = told.states[-1].now
    if now.turns >= MEAN_OF and now.read_um > limit_um:
        return False
    alone = against_limit(now.alone_um, limit_um, Dial(now.dial_um, now.alone_turns).doubt_um)
    return alone == ABOVE != against_limit(now.read_um, limit_um, Dial(now.dial_um, now.turns).doubt_um)


def _also(what: str, ends: str, last: Apart, face: HubFace | None, readings: Readings) -> tuple[str, ...]:
    """What is done in the same go: an even rotor is cleaned at once, and with the rotor off its bare hub is read.

    Once more where one turn of it alone is known, before a part.
    """
    bare = (BARE_HUB,) if face is None or face.as_found else ()
    if what == CLEAN_AGAIN:
        return (BARE_HUB,) if read_once(face) else ()
    if ends == SEAT:
        return (BARE_HUB,) if bare_once(readings) else ()
    if what == THICKNESS and last.state not in CLEAN_STATES and len(set(last.positions)) == 1:
        return (CLEAN, *bare)
    return bare if what == CLEAN else ()


def _thickness_close(close: Uneven | None, what: str, stud: int, here: int) -> tuple[str, int]:
    """Act on a thickness too close to its limit to tell: read every place three times, as finely as can be; then end.

    Nothing is left on that may vary too much. One read over its limit, or too coarsely for it, is read again at once; a
    middle over it that no more reading tells counts as over and ends at once: it spares the rest, but for a hub that is
    over its own limit. A middle that is not over it counts as neither: the runout goes on.
    """
    if close is None or close.counts_neither:
        return what, stud
    if not close.counts_over:
        over = (close.reads_over or close.coarse) and what != READ_AGAIN
        return (MICROMETER, here) if over or what in (*ENDS, OPEN) else (what, stud)
    return (what, stud) if what in (READ_AGAIN, HUB) else (UNEVEN_COUNTED, here)


def bare_hub(readings: Readings, limits: Limits) -> HubFace | None:
    """Hold the bare hub face against its limit; None where nobody read it, or not where.

    The rule of `sim.bench.bare_face.face_against_limit`. [um TIR]
    """
    at_hub, gauge = readings.hub_face_radius_mm, readings.gauge_radius_mm
    return None if at_hub is None or gauge is None else hub_face_at(readings, limits, (at_hub, gauge))


def hub_face_at(readings: Readings, limits: Limits, radii_mm: tuple[float, float]) -> HubFace | None:
    """Hold the bare hub face against its limit; turns that were read out and mostly read over it count as over it.

    Parameters
    ----------
    readings : Readings
    limits : Limits
    radii_mm : (float, float)
        Of the dial on the hub face and on the rotor. [mm]

    Notes
    -----
    The rule of `sim.bench.bare_face.face_against_limit`, and `sim.bench.last_look`. [um TIR]
    """
    face = face_against_limit(readings, limits, radii_mm)
    if face is None:
        return None
    if not (face.to_look_at or face.coarse) and (look := last_look.of_face(readings, face)).overrules(face.runout_um):
        turns = len(look.each_um)
        face = replace(face, runout_um=look.middle_um, state=ABOVE, times=turns, turns=turns)
    if face.state == ABOVE and readings.face_as_found:  # dirt reads so too, and condemns no hub
        return replace(face, state=TOO_CLOSE, to_look_at=True, as_found=True)
    if face.counted and not face.stated and held_under(readings, limits.mounted_runout_um):
        return replace(face, state=TOO_CLOSE)  # its limit is worked out of the mounted one, and that is kept
    return face


def held_under(readings: Readings, limit_um: float) -> bool:
    """Whether every turn of the rotor as it stands, read clean, lies below its limit by more than its dial errs.

    Parameters
    ----------
    readings : Readings
    limit_um : float
        Of the mounted runout. [um TIR]

    Notes
    -----
    By rule: `sim.parts.dial.against_limit`.
    """
    mounted = readings.of("mounted")
    now = [one for one in mounted if one.mount == mounted[-1].mount and one.state in CLEAN_STATES]
    steps = [readings.step_um(one) for one in now]
    each = [against_limit(counted_um(one, um), limit_um, Dial(um).doubt_um) for one, um in zip(now, steps, strict=True)]
    return bool(each) and all(one == BELOW for one in each)


def most_of_hub_um(readings: Readings, limits: Limits) -> float:
    """What the hub face may bring at the gauge by its own limit; that of the mounted runout where no radius is known.

    A face that leans brings more in proportion to the radius: geometry.

    Parameters
    ----------
    readings : Readings
        For the radii.
    limits : Limits

    Notes
    -----
    A lean grows with the radius. [um TIR]
    """
    at_hub, gauge = readings.hub_face_radius_mm, readings.gauge_radius_mm
    if at_hub is None or gauge is None:
        return limits.mounted_runout_um
    limit = limits.hub_face_runout_um or usual_hub_face_limit_um(limits.mounted_runout_um, at_hub, gauge)
    return limit * gauge / at_hub


@dataclass(frozen=True)
class Against:
    """The last reading beside its limit: where it stands, limit and uncertainty [um], whether a finer dial helps.

    The reading is the middle of the turns of the rotor as it stands.
    """

    read_um: float
    state: str
    limit_um: float
    doubt_um: float
    coarse: bool


def choose(told: ToldApart, last: Apart, against: Against) -> tuple[str, int]:
    """What is read or done by the runout, and on which stud; thickness, bare face and slips have rules around it.

    Parameters
    ----------
    told : ToldApart
    last : Apart
        The state that counts, of it or as it would be.
    against : Against

    Notes
    -----
    As `next_act` says. [um TIR]
    """
    here, below = last.positions[-1], against.state == BELOW
    one_stud = 1 not in last.hub
    another = (here + best_second_position(told.studs)) % told.studs
    if told.thickness is None:  # every end needs it, no rotor comes off for it, and one that is uneven goes anyway
        return THICKNESS, here
    if last.state not in CLEAN_STATES:
        # Cleaned it is read where it stood first: the difference is what cleaning took.
        return CLEAN, last.positions[0]
    beyond = told.stayed_beyond is not None and told.stayed_beyond.told and told.again is None
    if beyond and (below or not one_stud):
        # Dirt that lay on both parts reads so too, from one clean stud: nobody cleans twice for that.
        return (ANOTHER_STUD, another) if one_stud else (CLEAN_AGAIN, here)
    if which_share.may_be_dirt(told) and (below or one_stud):
        return BARE_HUB, here
    if below:
        return DONE, here
    if against.state == TOO_CLOSE and against.coarse and against.read_um <= against.limit_um:
        return FINER, here  # one turn of a finer dial is quicker than a stud, and the rotor stays as it was read
    moved = _moved(told, last, against)
    if moved is not None:
        return moved
    if one_stud and (told.bare is None or not _turns_tell(last, against)):
        return ANOTHER_STUD, _second_stud(told, last)
    if against.state == TOO_CLOSE:  # nothing is bought for what no dial tells from the limit
        return (FINER if against.coarse else AT_LIMIT), here
    if told.bare is None:
        return BARE_HUB, here
    return (OPEN if told.again is not None or which_share.larger_share(told) == HUB_SIDE else SEAT), here


def _second_stud(told: ToldApart, last: Apart) -> int:
    """Stud of a second clean mounting: the least by the bare face, else where it parts hub and rotor best."""
    here, by_vectors = last.positions[-1], by_stud_um(told, last)
    untried = [position for position in range(told.studs) if position not in last.positions]
    if by_vectors is None or not untried:
        return (here + best_second_position(told.studs)) % told.studs
    return min(untried, key=lambda position: by_vectors[position])


def _turns_tell(last: Apart, against: Against) -> bool:
    """Whether turns where it sits end a runout near its limit: fewer than `MEAN_OF` were read, or the middle passes."""
    return against.state == TOO_CLOSE and (last.now.turns < MEAN_OF or against.read_um <= against.limit_um)


def _moved(told: ToldApart, last: Apart, against: Against) -> tuple[str, int] | None:
    """Stud to put it on: one that was not tried, or back to the least; None where none may bring it under the limit.

    Over the limit a stud is tried wherever it may be under it, as far as dial and shares are known: what comes after it
    is a part. Near the limit it is tried only for more than the gain is unsure by: dial, shares, another mounting.
    """
    by_vectors = by_stud_um(told, last)
    if by_vectors is None:
        return None
    here, doubt, over = last.positions[-1], against.doubt_um, over_um(by_vectors, last)
    untried = [position for position in range(told.studs) if position not in last.positions]
    best = min(untried, key=lambda position: by_vectors[position], default=None)
    latest = dict(zip(last.positions, last.counted_um, strict=True))  # a finer dial overtakes a coarse one
    latest[here] = against.read_um
    least = min(latest, key=lambda position: latest[position])
    humps = 2 in last.hub and last.hub[2].told  # two humps that stay with the hub: no stud takes them off
    humps = humps or humps_left_um(last) > against.limit_um  # nor those that go with the rotor on every stud
    least_um = np.inf if best is None or humps else by_vectors[best] + over - against.limit_um
    half = np.hypot(doubt, shares_half_um(told, last))
    may, might = least_um <= doubt, least_um <= half
    # What is not over its limit is moved only for more than the move itself is unsure by.
    least_gain = doubt if against.state == ABOVE else float(np.hypot(half, ANOTHER_MOUNTING_UM))
    gains = best is not None and by_vectors[here] - by_vectors[best] > least_gain
    back = latest[here] - latest[least] > doubt and latest[least] - doubt <= against.limit_um
    if best is not None and may and gains and (not back or by_vectors[best] + over < latest[least]):
        return INDEX, best
    if back:
        return BACK, least
    if against.state != ABOVE:
        # A middle over its limit by less than the dial is sure to is the end, and a part comes after it.
        both, less = 1 in last.hub, best is not None and by_vectors[best] < by_vectors[here]
        passes = both and less and least_um <= 0.0 and _counts_over(last, against)
        return (INDEX, best) if best is not None and passes else None
    # Nothing is bought, nor a worse stud tried, while one that was read is not over the limit beyond its uncertainty.
    open_there = latest[least] < latest[here] and latest[least] - doubt <= against.limit_um
    if open_there and (best is None or latest[least] <= by_vectors[best] + over):
        return BACK, least
    return (INDEX, best) if best is not None and might else None


def _counts_over(last: Apart, against: Against) -> bool:
    """Whether a middle within its doubt of its limit counts as over it: no more turns there are asked. [um]."""
    return against.state == TOO_CLOSE and last.now.turns >= MEAN_OF and against.read_um > against.limit_um
