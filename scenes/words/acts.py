"""What readings order next, each act in one sentence: the same whether a corner's geometry ranks causes or not."""

from __future__ import annotations

import math

from scenes.words.words import GAP, against_limit, counted, micrometres
from sim.parts.dial import COARSE_UM, TOO_CLOSE
from sim.parts.thickness import MEAN_OF

CLEAN = "rotor off, clean hub face, spigot and rotor seat, put the painted hole back on stud {stud} and read it again"
CLEAN_AGAIN = "rotor off, clean hub face, spigot and rotor seat once more"
#: A second cleaning has a name of its own in the table: dirt shows by it, a part does not.
READ_CLEANED_AGAIN = (
    "put the painted hole back on stud {stud}, the same as it was read on last, and read it again (next mount number, "
    "state cleaned again)"
)
SEAT = "dirt that cleaning left on the rotor's seat turns with the rotor on every stud, as its own runout does"
#: Before a rotor is bought for its runout, its seat cleaned twice.
SEAT_BY_EYE = (
    "before money is spent a straight edge across the rotor's seat and the hub face, as scale that a brush leaves "
    "turns with the rotor too; a scraper or a stone takes it (common practice, no source), and back on the same stud "
    "it is read again first"
)
TOWARDS = ", most of all towards stud {near}"
MOVE = "rotor off, put the painted hole on {place}, same torque, and read it again"
BEST = "hub and rotor cancel best there"
#: The best stud of those not tried, where it is expected to read over the limit all the same: what it is read for.
TRY_FIRST = (
    "for certainty before a part is bought, a pass is not expected: {expected}, limit {limit}{may}. Read there it "
    "parts hub from rotor once more"
)
NEITHER, LIKELY_OVER = "Neither done nor over", "Likely over, not done"
LIKELY_UNDER = "Likely under, and not sure enough to be done"
#: Off the limit by so much of its uncertainty (k = 2) a reading is on that side nine times in ten (normal law).
LIKELY_SHARE = 0.64
BARE_HUB = "rotor off, read the bare clean hub face"
THICKNESS = "thickness by micrometer at the same places, the rotor stays on"
#: One rule for every turn that is asked for: a number of its own where something was done before it.
ANEW = (
    "slacken the nuts, tighten them crosswise in stages and read it again, every turn under the next mount number, "
    "same stud, until there are three"
)
#: A turn of the finer dial has a mount's number of its own, though the rotor stays where it is.
FINER_DIAL = (
    "the rotor stays on, its nuts untouched: read it once more with a finer dial, 0.002 mm a division or finer, and "
    "enter it under the next mount number, same stud, with its division in the column dial_um (0.001 mm: 1)"
)
DECIDES = (
    "that turn decides, unless it lies within its own ± of the limit: ask again with it; without such a dial {anew}: "
    "the middle of these turns decides"
)
#: The end of reading a runout that no dial tells from its limit, by the side on which the middle of its turns lies.
MEAN = (
    "The end of reading: the middle of {turns} turns on clean faces is {read} (k = 2) on stud {stud}, {side} "
    "the limit of {limit}, and {closer}. "
)
#: What of a runout within its doubt of its limit is said of a fine dial, and of one that a finer one may follow.
NO_DIAL, NOT_THIS_DIAL = "no dial tells it closer", "this dial tells it no closer"
NOT_TOLD, NOT_BY_THIS = "no dial tells that from", "this dial does not tell that from"
#: Why one of two middles of the same printed figure counts as over and the other does not.
UNROUNDED = " (not rounded it is {side} it, and that counts)"
#: Of one that lies on the limit itself, as readings of a coarse step often do.
ON_IT = " (on the limit itself, which is still allowed: common practice, no source; that tells no side)"
MEAN_UNDER = "{there}, unless the vehicle maker's limit{takes} is lower. Still to check: {play}{thick}{hub}cracks."
MEAN_OVER = "It counts as over, unless the vehicle maker's limit{takes} is higher: {over_it}."
#: What is left out where the maker's least thickness after a cut is known and no cut keeps it: see `uncut`.
OR_CUT = ", or cut it where its maker allows"
#: The end of reading: the middle of several readings a place is over the limit, by less than it is sure to.
UNEVEN_END = (
    "Its thickness reads over its limit by less than this micrometer is sure to, and no more reading is asked. Count "
    f"it as over: renew the rotor{OR_CUT}, on a clean hub, both of the axle; read after fitting, in a new table. Only "
    "a finer measurement that reads it within its limit, or a wider limit of the vehicle maker's, keeps it on"
)
RETORQUE = (
    "slacken the nuts and tighten them crosswise in stages to the torque, the rotor not taken off, and read it again"
)
SPACERS = (
    "slacken the nuts, plain spacers under every one, tighten crosswise in stages to the torque, the rotor not taken "
    "off, and read it again"
)
RENEW = f"Renew the rotor{OR_CUT}, on a clean hub, both of the axle; read after fitting, in a new table"
#: Of a corner of which neither a reading nor its own file gives the thickness.
UNREAD = "Its thickness and the stamp are still to be read: no rotor is left on whose thickness nobody read."
#: Where the list is, behind what leads.
THE_WORK = "the work in its order, with its cautions: trueseat seat CASE, or trueseat report CASE --sheet"
#: Of one that comes off for what is ordered.
UNREAD_OFF = "Before it comes off its thickness is read by micrometer, and its stamp; " + THE_WORK + "."
#: A rotor near its discard thickness: said before any work, and nothing is cut from it.
THIN_FIRST = "Its thickness comes first: {thin}. "
#: The same of one at or under a stamp that the case states: there is nothing to judge.
SCRAP_BY_ITS_STAMP = (
    THIN_FIRST + "Both rotors of the axle new, each on a clean hub; read after fitting, in a new table. Nothing is cut."
)
#: The same of one that is so by a part set's figure.
UNTIL_ITS_STAMP = "Until its stamp is read nothing is cut, and nothing but that leaves it on."
STAMP_DECIDES = THIN_FIRST + UNTIL_ITS_STAMP
#: The same of one that is uneven over its limit besides: no stamp keeps it on.
UNEVEN_BESIDES = (
    THIN_FIRST + "Nothing is cut, and over its stamp it goes too: its thickness varies by {varies}, over its limit of "
    "{limit}; renew it, both of the axle."
)
#: A figure that nobody measured here.
AS_GIVEN = "{value} as given (measured before it is renewed)"
NO_ROAD = "No road, no stud and no cut is reckoned for it."
NOTHING, BUT_THE_SHEET = "Nothing", "Nothing but the fitting sheet"
PAGE_BY_CAUSES = (
    "{nothing} is written: of a table that holds a mounted turn too trueseat causes {table} makes page and job card "
    "(--case, --out)."
)
#: What the answer by machine calls the two.
RENEW_IT, READ_THE_STAMP = "renew the rotor", "read the stamp"
RENEW_ONLY = (
    "Renew the rotor, nothing is left to cut, on a clean hub, both of the axle; read after fitting, in a new table"
)
#: Of a rotor that goes by its own thickness or stamp, after the hub on which the next one is fitted and read.
THEN_THE_ROTOR = (
    f" Then the rotor{{because}}: renew it{OR_CUT}, both of the axle, each on a clean hub; read after fitting, in the "
    "new table."
)
THEN_NEW_ROTORS = " Then, on the new hub, the rotors; read after fitting, in the new table."
READ_AGAIN = "Read again before anything is blamed or bought: {why}."


def uncut(said: str, why: str) -> str:
    """Leave the cut out of what orders a rotor, with the reason; as it stands where there is none."""
    return said.replace(OR_CUT, f" ({why})") if why else said


def on_stud(studs_turned: int) -> str:
    """Name the stud on which the painted hole is put, and how far that is from stud 1.

    Parameters
    ----------
    studs_turned : int
        Stud pitches from stud 1, counter-clockwise.

    Examples
    --------
    >>> on_stud(0), on_stud(2)
    ('stud 1', 'stud 3, 2 studs on from stud 1 counter-clockwise')
    """
    if not studs_turned:
        return "stud 1"
    return f"stud {studs_turned + 1}, {counted(studs_turned, 'stud')} on from stud 1 counter-clockwise"


def anew(turns: int) -> str:
    """Say how turns are read anew until there are `MEAN_OF`, and how many of them are in.

    Parameters
    ----------
    turns : int
        Whose middle was judged.

    Examples
    --------
    >>> anew(2)[-34:], anew(1)[-12:]
    ('until there are three (two are in)', ' (one is in)')
    """
    return f"{ANEW} ({('one is', 'two are')[turns - 1]} in)" if 0 < turns < MEAN_OF else ANEW


def near_limit(read_um: float, half_um: float, limit_um: float) -> str:
    """Say what a runout is called that no dial tells from its limit: off it by so much, it is likely on that side.

    Parameters
    ----------
    read_um, half_um, limit_um : float
        The reading, its uncertainty (k = 2) and the limit. [um TIR]

    Examples
    --------
    >>> near_limit(53.0, 4.4, 50.0), near_limit(52.0, 4.4, 50.0)
    ('Likely over, not done', 'Neither done nor over')
    >>> near_limit(46.0, 4.4, 50.0)
    'Likely under, and not sure enough to be done'
    """
    if abs(read_um - limit_um) <= LIKELY_SHARE * half_um:
        return NEITHER
    return LIKELY_OVER if read_um > limit_um else LIKELY_UNDER


def over_at_last(turns: int, read_um: float, limit_um: float) -> bool:
    """Whether the middle of so many turns ends the reading over the limit: what follows is said with it. [um TIR]."""
    return turns >= MEAN_OF and read_um > limit_um


def stays_on(done: bool, at_limit: bool, turns: int, read_um: float, limit_um: float) -> bool:
    """Whether a rotor is left on as it reads: then the lead says what its thickness counts as.

    Parameters
    ----------
    done, at_limit : bool
        Whether its runout is done, or no dial tells it from its limit.
    turns, read_um, limit_um
        As `over_at_last` takes them. [um TIR]
    """
    return done or (at_limit and not over_at_last(turns, read_um, limit_um))


def not_told_from(dial_um: float) -> str:
    """Say that a dial does not tell a runout from its limit: of none only where no finer one would.

    Parameters
    ----------
    dial_um : float
        Its division. [um]

    Examples
    --------
    >>> not_told_from(1.0), not_told_from(10.0)
    ('no dial tells that from', 'this dial does not tell that from')
    """
    return NOT_TOLD if dial_um <= COARSE_UM else NOT_BY_THIS


def beside_at_last(state: str, turns: int, read_um: float, limit_um: float, dial_um: float) -> str:
    """Say where a runout stands beside its limit, one that turns leave within its doubt as the end of reading has it.

    Parameters
    ----------
    state : str
        ``below``, ``above`` or ``too close to tell``.
    turns : int
        Of which the reading is the middle.
    read_um, limit_um, dial_um : float
        The reading, its limit and the division of its dial. [um]

    Examples
    --------
    >>> beside_at_last("too close to tell", 3, 45.0, 50.0, 20.0), beside_at_last("below", 3, 30.0, 50.0, 20.0)
    ('under the limit, and this dial tells it no closer', 'below the limit')
    """
    if state != TOO_CLOSE or turns < MEAN_OF:
        return against_limit(state, read_um, limit_um)
    return f"{_side(read_um, limit_um)} the limit, and {_closer(dial_um)}"


def _closer(dial_um: float) -> str:
    return NO_DIAL if dial_um <= COARSE_UM else NOT_THIS_DIAL


def _side(read_um: float, limit_um: float) -> str:
    if round(read_um) == round(limit_um):  # the same figures may lie on either side
        return "at"
    return "over" if read_um > limit_um else "under"


def at_the_limit(turns: int, read_um: float, half_um: float, limit_um: float, dial_um: float) -> str:
    """Say the end of reading where the middle of enough turns lies within its uncertainty of the limit; else empty.

    Parameters
    ----------
    turns : int
        Of which the reading is the middle.
    read_um, half_um, limit_um : float
        The reading, its uncertainty (k = 2) and the limit. [um TIR]
    dial_um : float
        Division of its dial. [um]

    Returns
    -------
    str
        With ``stud``, ``there``, ``thick``, ``hub``, ``play``, ``takes`` and ``over_it`` still to be filled in.
    """
    if turns < MEAN_OF:
        return ""
    over = read_um > limit_um
    side = _side(read_um, limit_um)
    opened = MEAN.format(
        turns=turns,
        read=f"{read_um:.0f} ± {half_um:.0f}{GAP}µm",
        side=side,
        limit=micrometres(limit_um) + (_unrounded(read_um, limit_um) if side == "at" else ""),
        stud="{stud}",
        closer=_closer(dial_um),
    )
    return opened + (MEAN_OVER if over else MEAN_UNDER)


def _unrounded(read_um: float, limit_um: float) -> str:
    """Tell why figures that look alike count as over it or not; the limit itself tells no side."""
    if math.isclose(read_um, limit_um, abs_tol=1e-6):
        return ON_IT
    return UNROUNDED.format(side="over" if read_um > limit_um else "not over")
