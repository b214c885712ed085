"""What a worn rotor tells: from its readings back to the runout with which it was fitted.

Wear is run forwards some thousand times, with everything that nobody knows drawn (`sim.bench.worn_library`); the
discs that came out most like the one on the bench tell what went in (`sim.bench.worn_likeness`). That is the mounted
runout, and no more: which part made it a worn disc does not know. Parts that were read by themselves are taken off it
as vectors.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sim.arrays import Complexes, Floats, InShort
from sim.bench.known_parts import HUB_FACE, OWN, WITH_HUB, KnownPart, counted, from_case, part_of, unread
from sim.bench.worn_library import KM_GIVE_OR_TAKE, Library, learn
from sim.bench.worn_likeness import (
    BAND,
    LEAN_FITTED,
    THICKNESS_FITTED,
    Recalled,
    Shelf,
    half_width,
    recall,
    shelve,
)
from sim.errors import BadInput, Fault, Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.checked import need_kind
from sim.parts.dial import BELOW, TOO_CLOSE
from sim.parts.thickness import uneven
from sim.progress import Progress, need_listener
from sim.turn import fit, high_spot_deg, tir, trace
from sim.weighted import weighted_quantile

SHRINKS = (
    "runout shrinks as the rotor wears to run true in its crooked seat: a reading within the limit today does not "
    "clear the fitting"
)
SEATED_AS_READ = (
    "the runout at fitting is told as this dial, with this clamping, would have read it; with the wheel on, dirt "
    "inside, under the wheel's own pad, leans a rotor that no dial shows without it"
)
KNOCK = "a hub bent by a knock or a crash reads as hub face runout"

ABOVE, WITHIN = "above the limit at fitting", "within the limit at fitting"
NOT_BY_RUNOUT, CANNOT_TELL = "not worn in by runout", "cannot tell"
#: Runout that a dial reads only with the wheel on.
INSIDE = "dirt inside that only the wheel presses"
#: Why runout did not wear it.
STRANGE = "no simulated rotor looks like this one: read again, or runout did not wear it"
LONE = (
    "no simulated rotor looks like this one: one place stands alone and reads so again; a score, a pad imprint or "
    "rust, no wave that runout wears"
)
#: What the band of the runout at fitting rests on.
RESTS = (
    "the 80 % band rests on the readings, on {rotors} rotors worn by our model over the ranges of the unsettled "
    "parameters, and on the kilometres ± {known:g} %; where braking evened less than in the model it was lower"
)
#: What one mounted runout may come from.
MAY_BE = (
    HUB_FACE,
    "dirt on the hub",
    "dirt on the rotor",
    OWN,
    "spigot",
    "uneven torque",
    "bearing play",
)
UNEVEN = ("DTV from new", "pad imprint", "parked-car rust", "warp", INSIDE)
CLEAN_AND_READ = "clean hub face, flange and spigot, read again: what is gone was dirt"
#: Readings under torque: none over scale on the spigot.
TIGHTEN_AND_READ = "slacken the nuts, tighten crosswise to torque, read again"
AS_DRIVEN_AND_READ = (
    "read the inboard face with the wheel on, at the road's torque, where a dial reaches: more than without it is dirt "
    "inside"
)
#: The next trace, and which causes it tells apart from the rest; what is lost with the rotor's removal comes first.
TRACES = (
    ("rock the hub under the dial before anything comes off", ("bearing play",)),
    (AS_DRIVEN_AND_READ, (INSIDE,)),
    (TIGHTEN_AND_READ, ("uneven torque",)),
    ("read again with the rotor one or two studs further on: what turns with it is its own", (OWN,)),
    (CLEAN_AND_READ, ("dirt on the hub", "dirt on the rotor", "spigot")),
    ("read the bare, clean hub face: a hub machined or knocked out of true", (HUB_FACE,)),
)
#: Places of the thickness: so many carry the orders that are fitted.
FEWEST = 2 * THICKNESS_FITTED + 1
#: A finding needs this much probability.
SURE = 0.9
#: A high spot known no better than this, either way, is not given. [deg]
WORST_ANGLE_DEG = 60.0


@dataclass(frozen=True, eq=False, repr=False)
class WornDisc(InShort):
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
        Standard uncertainty of one value of the thickness.
    face_doubt_um : float, optional
        Of one value of a face; as of the thickness unless given.
    give_or_take : float
        How well the distance is known, 0 to 100. [%]
    one_place : bool
        Whether one place of the thickness stands alone, and is no slip: no wave that runout wears.
    """

    distance_km: float
    angle_deg: Floats
    thickness_um: Floats
    outboard_um: Floats | None = None
    inboard_um: Floats | None = None
    doubt_um: float = 2.0
    face_doubt_um: float | None = None
    give_or_take: float = KM_GIVE_OR_TAKE
    one_place: bool = False


@dataclass(frozen=True)
class Band:
    """Median and 80 % band of a runout, TIR. [um]."""

    median: float
    low: float
    high: float
    band: float = BAND[2] - BAND[0]


@dataclass(frozen=True)
class Memory:
    """What a worn rotor tells of.

    Parameters
    ----------
    fitted_runout_um, low_um, high_um : float
        Mounted runout at fitting, TIR: median and 80 % band; not a number where nothing tells it.
    runout_now_um : float or None
        TIR of the mean plane today.
    high_spot_deg, high_spot_band_deg : float or None
        Where the mean plane stood farthest outboard at fitting (first order), HUB frame, and half of the 80 % band;
        None if the readings do not tell.
    finding : str
        Whether the runout at fitting was ``above the limit at fitting``, ``within the limit at fitting``, whether the
        disc is ``not worn in by runout``, or ``cannot tell``. Never who or what made it.
    reason : str
    looks_like_wear : bool
        False if no simulated rotor looks like this one.
    notes : tuple of str
    fitting_runout_um : Band or None
        The first three in one.
    high_spot_half_width_deg : float or None
        Half of the 80 % band: readings, places marked by eye, and wear model.
    cannot_tell : tuple of str
        Causes that these readings cannot tell apart.
    would_tell : tuple of str
        Traces that would, in the order in which they can be taken.
    known : tuple of KnownPart
        Parts that were read by themselves.
    unread_um : Band or None
        First-order runout that is left when these are taken off as vectors; None where none was read.
    thickness_variation_um, thickness_doubt_um : float
        Highest less lowest of the thickness as read, and its uncertainty (k = 2).
    thickness_between_places_um, thickness_places : float, int
        Of that uncertainty, what the tops of two humps may stand over the places that were read; how many those were.
    thickness_turns, thickness_taken_um : int, float
        Readings a place whose middle that is; division taken for the micrometer's, 0 where a line says it.
    thickness_shaky : bool
        Whether its places, or turns, scatter by more than its micrometer does.
    thickness_division_um : float
        Of the micrometer; 0 where that is not known.
    faces_apart : str
        Why both faces and the micrometer cannot all be right; empty where they may.
    thickness_against_limit : str
        ``below``, ``above`` or ``too close to tell``, against the limit of thickness variation.
    scrap : str
        Why the rotor is scrap; empty where it is not, or where only its stamp can tell.
    thinnest_mm : float or None
        Thinnest place, where the thickness itself was read.
    studs_turned : int
        Stud pitches by which the painted hole sat from stud 1: hub angle = rotor angle + so many pitches.
    give_or_take : float
        How well the distance was taken as known. [%]
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
    fitting_runout_um: Band | None = None
    high_spot_half_width_deg: float | None = None
    cannot_tell: tuple[str, ...] = ()
    would_tell: tuple[str, ...] = ()
    known: tuple[KnownPart, ...] = ()
    unread_um: Band | None = None
    thickness_variation_um: float = 0.0
    thickness_doubt_um: float = 0.0
    thickness_against_limit: str = ""
    thickness_between_places_um: float = 0.0
    thickness_places: int = 0
    thickness_turns: int = 1
    thickness_taken_um: float = 0.0
    thickness_shaky: bool = False
    thickness_division_um: float = 0.0
    faces_apart: str = ""
    scrap: str = ""
    thinnest_mm: float | None = None
    studs_turned: int = 0
    give_or_take: float = KM_GIVE_OR_TAKE

    @property
    def tells(self) -> bool:
        """Whether figures of its fitting are told: some were found, it looks like wear, its readings may all be right.

        By rule.
        """
        return math.isfinite(self.fitted_runout_um) and self.looks_like_wear and not self.faces_apart


def read_orders(disc: WornDisc) -> tuple[Complexes | None, Complexes]:
    """Orders of the mean plane, where both faces were read, and of the thickness. [um].

    Raises
    ------
    BadInput
        For readings that cannot be.

    Notes
    -----
    Least squares (`sim.turn.fit`).
    """
    count = disc.angle_deg.size
    if count < FEWEST:
        raise BadInput(Fault(f"{count} places are too few", key="angle_deg", allowed=f"{FEWEST} or more"))
    for value in (disc.doubt_um, _face_doubt(disc)):
        if not (math.isfinite(value) and value > 0.0):
            raise BadInput(Fault(f"uncertainty {value:g} µm", key="doubt_um", allowed="above 0"))
    thickness = fit(disc.angle_deg, disc.thickness_um, THICKNESS_FITTED)[1:]
    if disc.outboard_um is None or disc.inboard_um is None:
        return None, thickness
    middle = 0.5 * (np.asarray(disc.outboard_um) + np.asarray(disc.inboard_um))
    return fit(disc.angle_deg, middle, LEAN_FITTED)[1:], thickness


def _face_doubt(disc: WornDisc) -> float:
    return disc.doubt_um if disc.face_doubt_um is None else disc.face_doubt_um


@lru_cache(maxsize=4)  # readings of one rotor are at the same places, and so are those of one bench
def _shelved(library: Library, angle_deg: tuple[float, ...], doubt_um: float, face_doubt_um: float | None) -> Shelf:
    return shelve(library, np.array(angle_deg), doubt_um, face_doubt_um)


@one_thread
def remember(
    case: Case,
    disc: WornDisc,
    own: complex | None = None,
    library: Library | None = None,
    progress: Progress | None = None,
    parts: Sequence[KnownPart] = (),
) -> Memory:
    """What a worn disc tells about its fitting.

    Parameters
    ----------
    case : Case
        The corner it ran in: pads, caliper, duty, studs; runouts that its file states are known parts.
    disc : WornDisc
    own : complex, optional
        First order of the rotor's own runout if it was measured by itself (``sim.turn.coefficient``, rotor frame). [um]
    library : Library, optional
        From ``learn``, for the same case, distance and what it may be off by; made if missing (some minutes of one
        core).
    progress : callable, optional
    parts : sequence of KnownPart
        What else was read by itself (``sim.bench.known_parts.from_readings``).

    Returns
    -------
    Memory

    Raises
    ------
    BadInput
        For readings that cannot be.
    Refused
        If the library is of another distance, or of one that is known better or worse.
    """
    need_listener(progress)
    need_kind(case, Case)
    need_kind(disc, WornDisc, "disc")
    lean, thickness = read_orders(disc)
    if library is None:
        library = learn(case, [disc.distance_km], progress=progress, give_or_take=disc.give_or_take)[0]
    if not math.isclose(library.distance_km, disc.distance_km, rel_tol=1e-6):
        raise Refused(f"the library is for {library.distance_km:g} km, the rotor ran {disc.distance_km:g} km")
    if library.give_or_take != disc.give_or_take:
        raise Refused(f"the library is for kilometres ± {library.give_or_take:g} %, not ± {disc.give_or_take:g} %")
    face_doubt = None if lean is None else _face_doubt(disc)
    places = tuple(map(float, disc.angle_deg))
    found = recall(_shelved(library, places, disc.doubt_um, face_doubt), lean, thickness)
    unlike = LONE if disc.one_place else STRANGE if found.strange else ""
    low, middle, high = (weighted_quantile(found.fitted_um, found.weight, share) for share in BAND)
    crest, half = _crest(case, found)
    told = () if own is None else (part_of(OWN, complex(own), 0.5 * disc.doubt_um, "read by itself"),)
    known = counted((*from_case(case), *told, *parts))
    left = None if not known else unread(found.first_um, found.high_spot_rad, found.weight, known)
    varies = uneven(disc.thickness_um, disc.doubt_um, case.limits.dtv_um)
    finding, reason, apart = _finding(case, found, varies.state, known, left, unlike)
    return Memory(
        fitted_runout_um=middle,
        low_um=low,
        high_um=high,
        runout_now_um=None if lean is None else tir(trace(np.concatenate([[0.0], lean]))),
        high_spot_deg=crest,
        high_spot_band_deg=half,
        finding=finding,
        reason=reason,
        looks_like_wear=not unlike,
        notes=_notes(found, library, apart, finding),
        fitting_runout_um=Band(middle, low, high),
        high_spot_half_width_deg=half,
        cannot_tell=apart,
        would_tell=tuple(what for what, causes in TRACES if set(causes) & set(apart)),
        known=known,
        unread_um=None if left is None else Band(*(float(np.quantile(left, share)) for share in (0.5, *BAND[::2]))),
        thickness_variation_um=varies.value_um,
        thickness_doubt_um=varies.doubt_um,
        thickness_between_places_um=varies.between_um,
        thickness_places=varies.places,
        thickness_against_limit=varies.state,
        studs_turned=case.studs.studs_turned,
        give_or_take=disc.give_or_take,
    )


def _notes(found: Recalled, library: Library, apart: tuple[str, ...], finding: str) -> tuple[str, ...]:
    if finding == NOT_BY_RUNOUT:
        return ()  # notes on a figure that is not told
    knock = (KNOCK,) if HUB_FACE in apart else ()
    shrinks = () if finding == WITHIN else (SHRINKS,)
    rests = RESTS.format(rotors=library.fitted_um.size, known=library.give_or_take)
    return (*shrinks, SEATED_AS_READ, *knock, rests)


def _crest(case: Case, found: Recalled) -> tuple[float | None, float | None]:
    """High spot of the first order at fitting in the hub frame, and half of its 80 % band. [deg]."""
    mean = complex(np.sum(found.weight * np.exp(-1j * found.high_spot_rad)))
    middle = high_spot_deg(mean)
    half = math.degrees(half_width(found.high_spot_rad, found.weight, math.radians(middle)))
    if half > WORST_ANGLE_DEG:
        return None, None
    return (middle + case.studs.studs_turned * 360.0 / case.studs.count) % 360.0, half


def _finding(
    case: Case, found: Recalled, varies: str, known: tuple[KnownPart, ...], left: Floats | None, unlike: str
) -> tuple[str, str, tuple[str, ...]]:
    """Finding, reason in words, and the causes that cannot be told apart.

    ``varies`` is how the thickness stands against its limit, ``unlike`` why runout did not wear it, if so.
    """
    limit = case.limits.mounted_runout_um
    if unlike:
        return NOT_BY_RUNOUT, unlike, UNEVEN
    over = float(np.sum(found.weight[found.fitted_um > limit]))
    if over <= 1.0 - SURE:
        ran = f"very likely a dial read it within {limit:g} µm when it was fitted"
        if varies == BELOW:
            elsewhere = "a pulsation that is felt has another source: another wheel's rotor, caliper, tyre"
            return WITHIN, f"{ran}, and its thickness is within its limit: {elsewhere}", ()
        if varies == TOO_CLOSE:
            return WITHIN, f"{ran}; whether its thickness is over its limit cannot be told", UNEVEN
        return WITHIN, f"{ran}, which does not wear a rotor so uneven", UNEVEN
    apart = _not_read(known)
    said = f"; {_accounted(known, found, left, limit)}" if left is not None else ""
    if over >= SURE:
        which = "" if left is not None else "; which part made it, only further traces can tell"
        return ABOVE, f"very likely it was mounted with more than {limit:g} µm of runout{which}{said}", apart
    return CANNOT_TELL, f"whether it was mounted with more or less than {limit:g} µm cannot be told{said}", apart


def _not_read(known: tuple[KnownPart, ...]) -> tuple[str, ...]:
    """Causes that no trace has parted from the rest."""
    read = {part.cause for part in known}
    # The rotor at two stud positions parts what turns with it: then only what stays with the hub is open.
    turns = {OWN, "dirt on the rotor"} if WITH_HUB in read else set()
    return tuple(cause for cause in MAY_BE if cause not in read | turns)


def _accounted(known: tuple[KnownPart, ...], found: Recalled, left_um: Floats, limit: float) -> str:
    """Say whether what was read by itself is enough to make the runout, or how much of it."""
    causes = " and ".join(f"{part.cause} {part.how}" for part in known)
    low, high = (float(np.quantile(left_um, share)) for share in BAND[::2])
    more = float(np.mean(left_um > limit))
    whole = [2.0 * weighted_quantile(found.first_um, found.weight, share) for share in BAND]
    if more <= 1.0 - SURE and high <= 0.5 * whole[1]:
        return f"{causes} can account for it: {high:.0f} µm at most is left for anything else"
    if more >= SURE:
        return f"{causes} cannot account for it: {low:.0f} to {high:.0f} µm more came from something else"
    return (
        f"its first order alone was {whole[0]:.0f} to {whole[2]:.0f} µm at fitting; {causes} taken off as a vector, "
        f"anything else made {low:.0f} to {high:.0f} µm"
    )
