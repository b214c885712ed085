"""Whether a corner is fit to drive, and its case as driven, wheel on: nuts and wheel change here, nothing is seated.

A dial reads the rotor under spacers, bare nuts or one screw; the pads rub on it with the wheel on, under the torque of
the road. Every forecast starts from that seating.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from sim.errors import NotFit, Refused
from sim.parts.case import Case, Studs
from sim.parts.fastener import bolts_on_the_road, said
from sim.parts.threads import nominal_diameter_mm, proof_load_n
from sim.seating.studs import preloads_n, proof_warnings

#: Share of the proof load (ISO 898-1) from which a torque that was given for reading counts as the road's: wheel nuts
#: are tightened to 0.4 .. 0.7 of it (from memory); judgement, 0.2 .. 0.4.
LEAST_OF_PROOF = 0.30
#: The same for a torque that was given as the road's, every nut on its own: less is hand tight; judgement, 0.05 .. 0.2.
LEAST_GIVEN = 0.10
#: The same where all of them are as slack: one may be loose and is computed, a wheel on nuts that all hold less is not
#: held as wheels are, whichever key says so.
LEAST_OF_ALL = LEAST_OF_PROOF
#: Least pull over largest, of nuts on the road, from which they count as even: a torque wrench scatters by a quarter
#: (VDI 2230, second-hand); judgement, 0.5 .. 0.8.
LEAST_OF_LARGEST = 0.6
#: The same of torques that somebody states of one corner: two nuts read alike by a wrench that errs by 6 % either way
#: (ISO 6789, from memory) stay over 0.89; judgement, 0.75 .. 0.9.
LEAST_OF_STATED = 0.8
KEY = "studs.road_torque_nm"
UNFIT = "not fit to drive: "
#: What a seating is called that is read under a clamping which nobody may drive with.
FOR_READING = "as clamped for reading; not fit to drive"
#: The same where the torque of the road was given, and is none to drive with.
ON_THE_ROAD = "as driven, not fit to drive"
#: In place of any torque over scale on the spigot: it would draw the rotor over, and the bore can crack.
NO_NUT = "no nut is tightened before the scale is off the spigot and the rotor goes home by hand"
#: What comes first where a nut was loose on the road.
LOOK_AT = "look at stud, nut and the wheel's seat there, worn ones are renewed (common practice, no source)"
ALL_TO_TORQUE = "then all to the vehicle maker's torque, crosswise in stages, and read again"
#: What comes first where studs were pulled past their proof load.
RENEWED = (
    "{over}; what was really pulled so is renewed, stud and nut, and not tightened again (common practice, no source)"
)
TOO_HARD = f"the studs first: {RENEWED}; then the vehicle maker's torque, by hand and torque wrench"


def as_driven(case: Case) -> Case:
    """Return the corner as it is driven: wheel on, torque of the road.

    Parameters
    ----------
    case : Case
        ``studs.road_torque_nm`` where it is given, else ``torque_nm`` or ``preload_n`` where that is one number that is
        fit to drive with. A list of those is uneven as fitted for reading and says nothing of the road.

    Returns
    -------
    Case
        The same corner; applying it again changes nothing.

    Raises
    ------
    NotFit
        Where no torque fit for the road is known; names the key to give.

    Examples
    --------
    >>> as_driven(Case(studs=Studs(torque_nm=140.0))).studs.clamped_by
    'wheel'
    """
    if reason := why_unfit(case):
        raise NotFit(reason, case)
    return replace(case, studs=_on_the_road(case.studs))


def why_unfit(case: Case) -> str:
    """Say why a corner is not fit to drive, and what to give; empty where it is."""
    reason = unfit(case.studs)
    return said(f"{UNFIT}{reason}; {_what_to_give(case)}", case.studs) if reason else ""


def nuts_first(case: Case, loose: str) -> str:
    """Say what comes first where a nut was loose as ``loose`` says; over scale on the spigot no torque.

    Studs that are pulled past their proof load beside it are named with it: nobody tightens those again.

    Examples
    --------
    >>> from sim.parts.case import SpigotScale
    >>> nuts_first(Case(), "stud 3 at 30 N m").endswith("crosswise in stages, and read again")
    True
    >>> nuts_first(Case(spigot_scale=(SpigotScale(),)), "stud 3 at 30 N m")[:31]
    'the nuts too: stud 3 at 30 N m;'
    """
    look = f"{loose}; {LOOK_AT}{renewed_too(case.studs)}"
    return f"the nuts too: {look}; {NO_NUT}" if case.spigot_scale else f"the nuts first: {look}; {ALL_TO_TORQUE}"


def renewed_too(studs: Studs) -> str:
    """Say, behind what a slack nut asks, which studs are past their proof load and renewed; empty where none is.

    Common practice, no source.
    """
    over = past_proof(studs)
    return f"; {RENEWED.format(over=over)}" if over else ""


def studs_first(case: Case, over: str) -> str:
    """Say what comes first where studs were pulled past their proof load; over scale on the spigot no torque."""
    if case.spigot_scale:
        return f"the studs too: {RENEWED.format(over=over)}; {NO_NUT}"
    return TOO_HARD.format(over=over)


def _what_to_give(case: Case) -> str:
    studs = case.studs
    if case.spigot_scale:
        return f"{NO_NUT}; how it is driven then {KEY} says"
    if studs.road_torque_nm is None:
        return f"give {KEY}, the vehicle maker's torque of the wheel nuts"
    return f"once every nut is at the vehicle maker's torque, the nuts looked at first, give that as {KEY}"


def unfit(studs: Studs) -> str:
    """Say why no torque fit for the road is known; empty where one is.

    Pulls in N against shares of the proof load (`LEAST_OF_PROOF`, `LEAST_GIVEN`): judgement.
    """
    if studs.road_torque_nm is None:
        return unfit_as_read(studs)
    on_road = _on_the_road(studs)
    one = _slack(on_road, LEAST_GIVEN, "road_torque_nm")
    if one:
        return one
    # One nut may pull little: that is a fault to compute. Where none pulls as a wheel takes it, nothing holds it.
    all_slack = max(preloads_n(on_road)) < LEAST_OF_ALL * proof_load_n(studs.thread, studs.property_class)
    return _slack(on_road, LEAST_OF_ALL, "road_torque_nm") if all_slack else ""


def unfit_as_read(studs: Studs) -> str:
    """Say why nobody may drive with the clamping of the reading; empty where it holds a wheel.

    Notes
    -----
    What presses (spacers, bare nuts, a screw, the wheel) is not asked here, only what the nuts pull with.
    """
    name, given = _as_read(studs)
    if isinstance(given, tuple):
        off = nuts_off(studs)
        nuts = f"no nut is on stud {', '.join(map(str, off))}, and " if off else ""
        # Alike and slack: what they pull is the reason that counts, that it is a list the lesser one.
        slack = _pulled_less(studs, given) or ("" if off else _slack(studs, LEAST_OF_PROOF, name))
        nuts += f"{slack}, and " if slack else ""
        how = "" if len(set(given)) == 1 else "uneven "
        return f"{nuts}{name} is a list, {how}as fitted for reading"
    return _slack(studs, LEAST_OF_PROOF, name)


def loose_as_read(studs: Studs) -> str:
    """Say which nut is off, loose or far from the others as clamped for reading; empty where all hold alike.

    Notes
    -----
    `unfit_as_read`, but for a list of torques that are even as stated (`LEAST_OF_STATED`, judgement; [N m]): its road
    is not known, and its nuts hold.
    """
    name, given = _as_read(studs)
    alike = isinstance(given, tuple) and min(given) >= LEAST_OF_STATED * max(given)
    return _slack(studs, LEAST_OF_PROOF, name) if alike else unfit_as_read(studs)


def nuts_off(studs: Studs) -> tuple[int, ...]:
    """Studs without a nut as clamped for reading, counted from 1; none where one figure holds for all."""
    _, given = _as_read(studs)
    return tuple(stud for stud, value in enumerate(given, 1) if value == 0) if isinstance(given, tuple) else ()


@lru_cache(maxsize=64)  # asked by every line that is said of one corner
def past_proof(studs: Studs) -> str:
    """Say which studs are pulled past their proof load (ISO 898-1), for reading or on the road; empty where none is.

    Where no nut is on, that is for `slack_nut` to say.
    """
    held = (one for one in (studs, _on_the_road(studs)) if _any_nut(one))
    return next((over[0] for one in held if (over := proof_warnings(one))), "")


def _any_nut(studs: Studs) -> bool:
    """Whether a nut is on."""
    given = _as_read(studs)[1]
    return any(given) if isinstance(given, tuple) else bool(given)


def uneven_on_the_road(studs: Studs, least: float = LEAST_OF_STATED) -> str:
    """Say which nuts pull far less than the others as driven; empty where they are even, or the road is not known.

    Parameters
    ----------
    studs : Studs
    least : float
        Share of the largest torque under which a nut is named: `LEAST_OF_LARGEST` for corners that are drawn.

    Notes
    -----
    Torque by torque, as T = K d F goes (`sim.seating.studs.preloads_n`). [N m].
    The share is judgement.
    """
    return "" if _bare_road(studs) else _pulled_less(_on_the_road(studs), studs.road_torque_nm, least)


def _pulled_less(studs: Studs, given: float | tuple[float, ...] | None, least: float = LEAST_OF_STATED) -> str:
    """Say which nuts of a list pull far less or more than the others; empty where they are even, or none is off.

    The middle one of those that are on is the measure: one that was pulled hard does not make the others slack, nor
    do studs without a nut make the others hard. Of a list of torques [N m] or of pulls [N]: ``studs`` as it holds them.
    """
    if not isinstance(given, tuple) or not any(given):
        return ""
    # Few that are past their proof load are no measure for the others, and are told as that. Most are.
    proof = proof_load_n(studs.thread, studs.property_class)
    on = [one for one in given if one]
    held = [one for one, load in zip(given, preloads_n(studs), strict=True) if one and load <= proof]
    counted = held if 2 * len(held) > len(on) else on
    usual = sorted(counted)[len(counted) // 2]
    unit = "N m" if studs.preload_n is None else "N"
    off = [
        f"stud {stud} at {one:g} {unit}"
        for stud, one in enumerate(given, 1)
        if 0.0 < one < least * usual or (one in counted and usual < least * one)
    ]
    return f"{', '.join(off)} where others have {usual:g} {unit}" if off else ""


def loose_on_the_road(studs: Studs, least: float = LEAST_OF_STATED) -> str:
    """Say which nut was loose or off as driven, by the road's torque as given; empty where all hold, or none is given.

    Notes
    -----
    `unfit`, then `uneven_on_the_road`, which takes the share too. [N m].
    """
    return "" if studs.road_torque_nm is None else unfit(studs) or uneven_on_the_road(studs, least)


@lru_cache(maxsize=64)
def slack_nut(studs: Studs) -> str:
    """Say which nut was loose or off, as driven; where nobody said how it is driven, as clamped for reading.

    Notes
    -----
    `loose_on_the_road`, else `loose_as_read`, which a list for reading is asked beside a road that holds, too: what it
    runs out so orders nothing. Empty where all hold. [N m].
    """
    if studs.road_torque_nm is None:
        return loose_as_read(studs)
    if loose := loose_on_the_road(studs):
        return f"as driven, {loose}"
    return loose_as_read(studs) if isinstance(_as_read(studs)[1], tuple) else ""


def one_is_slack(studs: Studs) -> bool:
    """Whether a nut of a list is off or pulls far less than the others, for reading or on the road.

    A list that is uneven by a stud that was pulled too hard alone makes none slack. [N m]; the share is judgement.

    Examples
    --------
    >>> one_is_slack(Studs(torque_nm=(140.0, 330.0, 140.0, 140.0, 140.0)))
    False
    >>> one_is_slack(Studs(torque_nm=(140.0, 330.0, 140.0, 30.0, 140.0)))
    True
    """
    read = bool(nuts_off(studs) or _pulled_less(studs, _as_read(studs)[1]))
    return read or bool(loose_on_the_road(studs))


#: What may hold a wheel badly.
NUTS, BOLTS, STUDS = "nuts", "bolts", "studs"


def held_badly_by(case: Case) -> tuple[str, str]:
    """Name what holds the wheel badly, and say why: the one rule of every command; both empty where all holds.

    Notes
    -----
    In the order of `badly_held`. A list of torques of which nothing is known but that they differ leads to the studs
    where one of them is past its proof load. [N m], [mm], [kN].
    """
    loose, over = slack_nut(case.studs), past_proof(case.studs)
    if loose and not (over and _differ_alone(case.studs)):
        return NUTS, loose
    if bolts := bolts_on_the_road(case):
        return BOLTS, bolts
    return (STUDS, over) if over else ("", "")


def _differ_alone(studs: Studs) -> bool:
    """Whether no nut is named as slack by a list for reading, and the road, if given, has none either."""
    given = _as_read(studs)[1]
    named = nuts_off(studs) or _pulled_less(studs, given) or loose_on_the_road(studs)
    return isinstance(given, tuple) and not named


def badly_held(case: Case) -> str:
    """Say what holds the wheel badly, by the case as given; empty where all holds, or nobody says.

    Notes
    -----
    `slack_nut`, then the length of wheel bolts, then `past_proof`. [N m], [mm], [kN].
    """
    return held_badly_by(case)[1]


def _bare_road(studs: Studs) -> bool:
    """Whether the road's torque, as given, is nothing at every nut."""
    given = studs.road_torque_nm
    return given is not None and not any(given if isinstance(given, tuple) else (given,))


@lru_cache(maxsize=64)
def _on_the_road(studs: Studs) -> Studs:
    if studs.road_torque_nm is None:
        return replace(studs, clamped_by="wheel")
    return replace(studs, torque_nm=studs.road_torque_nm, preload_n=None, clamped_by="wheel")


def _as_read(studs: Studs) -> tuple[str, float | tuple[float, ...] | None]:
    """Key and value of what the nuts were tightened with for reading."""
    name = "torque_nm" if studs.preload_n is None else "preload_n"
    return name, getattr(studs, name)


def _slack(studs: Studs, least: float, name: str) -> str:
    """Say which nut is off or pulls less than a share of its proof load; empty where all hold."""
    try:
        loads = preloads_n(studs)
    except Refused:
        return "no nut is on"
    off = [str(stud) for stud, load in enumerate(loads, 1) if load == 0.0]
    if off:
        return f"no nut is on stud {', '.join(off)}"
    proof = proof_load_n(studs.thread, studs.property_class)
    share = min(loads) / proof
    if share >= least:
        return ""
    weak = [str(stud) for stud, load in enumerate(loads, 1) if load < least * proof]
    where = "" if len(weak) == len(loads) else f" at stud {', '.join(weak)}"
    much = f"{100 * least:.0f} % or more"
    # As fitted for reading it may pull little; only enough of one figure tells how the wheel is driven.
    as_read = name != "road_torque_nm" and not isinstance(_as_read(studs)[1], tuple)
    holds = f"and counts as the road's too at {much}" if as_read else f"where a wheel takes {much}"
    return (
        f"{name} pulls {min(loads) / 1000.0:.1f} kN{where}, {100 * share:.0f} % of the proof load of "
        f"{studs.thread} class {studs.property_class}, {holds}"
    )


def road_torque_nm(studs: Studs) -> tuple[float, ...]:
    """Torque of each nut on the road; from the pull by T = K d F where a force was given. [N m].

    T = K d F: Shigley, as `sim.seating.studs.preloads_n`.
    """
    arm_m = studs.nut_factor * nominal_diameter_mm(studs.thread) / 1000.0
    return tuple(load * arm_m for load in preloads_n(_on_the_road(studs)))
