"""Seats a corner again with the wheel on, as it is driven, and says what the unknown wheel leaves open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import ndtri

from sim import turn
from sim.arrays import Floats, InShort
from sim.corner.behind_reading import BAND, driven_given_reading
from sim.corner.road_state import as_driven, loose_on_the_road, road_torque_nm, unfit_as_read
from sim.corner.seated import Seated, seat_corner
from sim.corner.unknown_wheel import DRAWS, WheelBand, wheel_band
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.dial import ABOVE, COVERAGE, TOO_CLOSE, Dial, against_limit, span_against_limit
from sim.parts.thickness import Uneven
from sim.progress import Progress, silent
from sim.seating.seat import Seat
from sim.spigot.state import CAUTIONS, on_the_face

#: Word of the readings for a rotor that is held as it is driven.
DRIVEN_BY = "wheel"
SEED = 3
WEDGED = "with the wheel of the case; no other is drawn, as scale on the spigot holds the rotor"


@dataclass(frozen=True, eq=False, repr=False)
class Driven(InShort):
    """How a corner sits on the road: wheel on, torque of the road.

    Parameters
    ----------
    seat : Seat or None
        None where it is not fit to drive, or cannot be seated so.
    refused : str
        Why there is none; empty where there is one.
    road_torque_nm : tuple of float
        Of each nut; empty where it is not fit to drive. [N m]
    wheel : WheelBand or None
        The same corner under wheels drawn from what is not known of them.
    without_band : str
        Why there is no such band; empty where there is one.
    """

    seat: Seat | None
    refused: str
    road_torque_nm: tuple[float, ...]
    wheel: WheelBand | None = None
    without_band: str = ""


@one_thread
def driven(seated: Seated, progress: Progress = silent) -> Driven:
    """Seat a corner as it is driven.

    Parameters
    ----------
    seated : Seated
        As read.
    progress : callable(fraction, what)

    Returns
    -------
    Driven
        A refusal is told in it, not raised: the reading stands by itself.
    """
    case, preset = seated.case, seated.preset
    if not seated.is_home:
        return Driven(
            None, f"the rotor is {seated.on_spigot}, not home on the hub: {CAUTIONS[0]}; nothing to drive", ()
        )
    try:
        on_road = as_driven(case)
        found = seated if on_road == case else seat_corner(on_road, preset, thorough=False)
    except Refused as error:
        return Driven(None, str(error), ())
    road, plain = road_torque_nm(case.studs), found.as_seat()
    if found.state is not None and not on_the_face(found.state):
        return Driven(plain, "", road, None, WEDGED)
    band, why = wheel_band(plain, progress=progress)
    return Driven(plain, "", road, band, why)


def reading_doubt_um(case: Case, step_um: float = 10.0) -> float:
    """Half-width of the doubt of a whole swing read here: the dial's, widened by the bearing's end float. [um].

    JCGM 100:2008, as `sim.parts.dial` has it.
    """
    return Dial(step_um).doubt_um + case.hub.bearing_end_float_um


def bearing_unsure(case: Case, runout_um: float) -> str:
    """Say that the bearing comes first where its end float alone makes a runout too close to its limit to tell. [um].

    By definition; empty where a dial is sure all the same, or is too close to the limit by itself. A float with which
    nothing that reads half the limit could be told below it comes first whatever is read: no cure could be judged by
    it. That half is judgement.
    """
    limit, loose_um = case.limits.mounted_runout_um, case.hub.bearing_end_float_um
    doubts_um = (reading_doubt_um(case), Dial().doubt_um)
    with_it, by_dial = (against_limit(runout_um, limit, doubt) == TOO_CLOSE for doubt in doubts_um)
    half = [against_limit(limit / 2.0, limit, doubt) == TOO_CLOSE for doubt in doubts_um]
    untold = half == [True, False]
    if not loose_um or not (untold or (with_it and not by_dial)):
        return ""
    return (
        f"the bearing first: its end float of {loose_um:g} µm leaves every reading unsure by as much; over the vehicle "
        "maker's limit it is set or renewed as the maker says, then read again"
    )


def mean_plane_um(seated: Seat) -> Floats:
    """Mounted trace of the disc's mean plane, on which the pads tap. Shape (360,), ROTOR frame. [um]. By definition."""
    return (seated.outboard_um + seated.inboard_um) / 2


def wheel_span_um(found: Driven, face: str) -> tuple[float, float]:
    """80 % band of a face's runout by the unknown wheel; the wheel that the figure is told for always lies in it. [um].

    By definition.
    """
    assert found.seat is not None
    assert found.wheel is not None
    value = found.seat.lateral_runout_um[face]
    low, high = found.wheel.span_um(face)
    return min(low, value), max(high, value)


def bounds_um(found: Driven, doubt_um: float) -> tuple[float, float]:
    """Least and greatest runout of the gauge face as driven: the wheel's 80 % band, never narrower than a reading's.

    Parameters
    ----------
    found : Driven
        With a seating.
    doubt_um : float
        Half-width of a reading here. [um]
    """
    assert found.seat is not None
    face, value = found.seat.case.gauge.face, found.seat.gauge_runout_um
    low, high = (value, value) if found.wheel is None else wheel_span_um(found, face)
    return min(low, value - doubt_um), max(high, value + doubt_um)


def road_span_um(case: Case, doubt_um: float) -> tuple[float, float, float] | None:
    """Least, likely and greatest runout as driven of a corner; None where it is not fit to drive.

    Parameters
    ----------
    case : Case
        As it is read.
    doubt_um : float
        Half-width of a reading. [um]
    """
    found = driven(seat_corner(case, thorough=False))
    if found.seat is None:
        return None
    low, high = bounds_um(found, doubt_um)
    return low, found.seat.gauge_runout_um, high


def verdict(found: Driven, limit_um: float, doubt_um: float) -> str:
    """Where the corner as driven stands against a limit of a mounted runout: below, above or too close to tell."""
    return span_against_limit(*bounds_um(found, doubt_um), limit_um)


def block(case: Case, found: Driven, doubt_um: float) -> dict[str, Any]:
    """Collect what ``--json`` says of the corner as driven.

    Parameters
    ----------
    case : Case
        As read.
    found : Driven
    doubt_um : float
        Half-width of a reading here. [um]
    """
    said: dict[str, Any] = {
        "refused": found.refused,
        "clamped_for_reading_fit_to_drive": not unfit_as_read(case.studs),
        "road_torque_nm": found.road_torque_nm or None,
        "loose_nut": loose_on_the_road(case.studs),
    }
    seated = found.seat
    if seated is None:
        return said
    trace = seated.outboard_um if case.gauge.face == "outboard" else seated.inboard_um
    band = found.wheel
    return said | {
        "lateral_runout_um": dict(seated.lateral_runout_um),
        "band_um": None if band is None else {face: wheel_span_um(found, face) for face in seated.lateral_runout_um},
        "band_drawn": () if band is None else band.drawn,
        "without_band": found.without_band,
        "limit_um": case.limits.mounted_runout_um,
        "against_limit": verdict(found, case.limits.mounted_runout_um, doubt_um),
        "face": case.gauge.face,
        "high_spot_deg": round(turn.high_spot_deg(turn.harmonics(trace, 1)[1]), 2),
        "frame": "rotor",
        "closed_fraction": seated.contact.closed_fraction,
        "carrying_fraction": seated.contact.carrying_fraction,
        "warnings": seated.warnings,
    }


@dataclass(frozen=True)
class BareHub:
    """A bare hub face as read: runout, its uncertainty (k = 2), its limit and where the dial stood. [um, mm].

    And whether it counts as over that limit by the middle of its turns, within its uncertainty; or whether it is to be
    looked at, as no dial tells what it showed there: then it is neither over nor under. So it is as found, under dirt.
    """

    runout_um: float
    doubt_um: float
    limit_um: float
    radius_mm: float
    counts_over: bool = False
    to_look_at: bool = False
    as_found: bool = False

    @property
    def state(self) -> str:
        """Where it stands against its limit; by rule."""
        if self.counts_over:
            return ABOVE
        return TOO_CLOSE if self.to_look_at else against_limit(self.runout_um, self.limit_um, self.doubt_um)


@dataclass(frozen=True, eq=False, repr=False)
class MountedReading(InShort):
    """What a dial read on the car, and the runout as driven behind it.

    Parameters
    ----------
    trace_um : ndarray, shape (360,)
        Mean plane as read, ROTOR frame, mean removed. [um]
    clamped_by : str
        What held the rotor while it was read.
    said_by : str
        Who says so: ``the readings`` or ``the case``.
    driven_um : tuple of float
        10, 50 and 90 % points of the runout as driven. [um]
    ratio : ndarray, shape (draws,)
        Equally likely draws of driven over read; by the dial alone where the wheel was on.
    doubt_um : float
        Uncertainty of the reading by its dial (k = 2), widened by the bearing's end float; 0 in runs of an earlier
        version. [um]
    which : str
        Which of several mountings it is, in words; empty where there is one.
    state : str
        In which it was read: ``as found``, ``cleaned`` ...; empty where nobody says.
    bare_hub : BareHub or None
        The bare hub face, where it was read too.
    outboard_um : float or None
        What the outboard face ran out by itself, where both faces were read. [um TIR]
    between_um : float
        How much further its tops reach between few places of the turn that is held against the limit. [um]
    places : int
        Of that turn, where they do.
    faces_apart : Uneven or None
        Thickness variation once a turn by the two faces, where both were read. [um]
    better_stud : int or None
        Stud, from 1, on which the same clean corner was read to run out less; None where it stands best.
    move_to : int or None
        Stud, from 1, to which the readings order the rotor moved, 0 where they order none; None where nobody asked.
    """

    trace_um: Floats
    clamped_by: str
    said_by: str
    driven_um: tuple[float, float, float]
    ratio: Floats
    doubt_um: float = 0.0
    which: str = ""
    state: str = ""
    bare_hub: BareHub | None = None
    outboard_um: float | None = None
    between_um: float = 0.0
    places: int = 0
    faces_apart: Uneven | None = None
    better_stud: int | None = None
    move_to: int | None = None

    @property
    def at_dial_um(self) -> float:
        """What is held against a limit: the outboard face, as every other command takes it; else what was read. [um].

        By definition; what lies between few places counts in.
        """
        return self.between_um + (self.read_um if self.outboard_um is None else self.outboard_um)

    @property
    def as_it_runs(self) -> bool:
        """Whether it was read with the wheel on: nothing but the dial lies between it and the road."""
        return self.clamped_by == DRIVEN_BY

    @property
    def read_um(self) -> float:
        """TIR as read. [um]."""
        return turn.tir(self.trace_um)

    @property
    def start_um(self) -> Floats:
        """Trace that the road starts from: as read, times the middle ratio. Shape (360,). [um].

        By definition of the ratio.
        """
        return self.trace_um if self.others_um is None else self.trace_um * (self.driven_um[1] / self.read_um)

    @property
    def others_um(self) -> Floats | None:
        """Traces that it may start from as well. Shape (draws, 360). [um]. By definition of the ratio."""
        return None if self.ratio.size == 1 else self.ratio[:, None] * self.trace_um


def of_reading(
    case: Case,
    trace_um: Floats,
    clamped_by: str,
    step_um: float = 10.0,
    preset: str = "fast",
    progress: Progress = silent,
) -> MountedReading:
    """Carry a reading over to the road: through what corners that read alike do as driven, unless the wheel was on.

    Parameters
    ----------
    case : Case
    trace_um : ndarray, shape (360,)
        [um]
    clamped_by : str
        As the readings say; empty where they do not, then the case's own word counts.
    step_um : float
        Of the dial. [um]
    preset : str
    progress : callable(fraction, what)

    Raises
    ------
    Refused
        If the corner is not fit to drive, or too few corners read like this one.

    Notes
    -----
    Ratio of driven to read from corners that read alike (`sim.corner.behind_reading`).

    Weighted draws by Bayes' rule.
    """
    as_driven(case)
    by, said_by = (clamped_by, "the readings") if clamped_by else (case.studs.clamped_by, "the case")
    read = turn.tir(trace_um)
    doubt = reading_doubt_um(case, step_um)
    if read == 0.0:
        return MountedReading(trace_um, by, said_by, (0.0, 0.0, doubt), np.ones(1), doubt)
    if by == DRIVEN_BY:
        return _by_the_dial_alone(trace_um, said_by, doubt)
    found = driven_given_reading(case, by, read, DRAWS, progress=progress)
    return MountedReading(trace_um, by, said_by, (found.low_um, found.middle_um, found.high_um), found.ratio, doubt)


def _by_the_dial_alone(trace_um: Floats, said_by: str, doubt_um: float) -> MountedReading:
    """A reading with the wheel on: what its dial leaves open is all that is drawn, evenly over a normal law."""
    read = turn.tir(trace_um)
    sd = doubt_um / COVERAGE
    share = np.random.default_rng(SEED).permutation((np.arange(DRAWS) + 0.5) / DRAWS)
    ends = tuple(max(0.0, read + sd * float(ndtri(point))) for point in BAND)
    ratio = np.maximum((read + sd * ndtri(share)) / read, 0.0)
    return MountedReading(trace_um, DRIVEN_BY, said_by, (ends[0], read, ends[2]), ratio, doubt_um)
