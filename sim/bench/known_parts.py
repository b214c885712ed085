"""Parts of a mounted runout that were read by themselves, as vectors with their uncertainty; and what they leave.

First orders are complex, ``Re(c exp(i theta))``, amplitudes at the gauge radius in the rotor frame [um].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim import turn as ring
from sim.arrays import Floats
from sim.bench.after_indexing import MOUNT_SCATTER_UM
from sim.bench.bare_face import face_sd_um, lean_read
from sim.errors import BadInput, Fault
from sim.files.clean_turn import NOISE_UM
from sim.files.dial_readings import Readings, Trace
from sim.parts.case import Case

HUB_FACE, OWN = "hub face runout", "rotor's own runout"
#: What one trace taken with the rotor on at two stud positions parts from the rotor; cleaning and the bare hub part it
#: further.
WITH_HUB = "what stays with the hub"
#: Where a part comes from that nobody read here.
CASE_FILE, GIVEN_BY_CASE = "the case file", "as the case gives it"
#: A runout that a case file states was read with a dial once: standard uncertainty of a component. Judgement. [um]
STATED_SD_UM = 3.0
#: Two stud positions that part hub and rotor worse than this tell nothing: one stud of eight. Judgement.
LEAST_TURN = 0.7
#: Source of a hub face whose rows say that it was read as found: dirt reads so too.
FACE_AS_FOUND = "bare hub face, as found"
DRAWS = 4000


@dataclass(frozen=True)
class KnownPart:
    """One part of the runout that was read by itself.

    Parameters
    ----------
    cause : str
        Name of the cause, as everywhere.
    runout_um : float
        First order at the gauge radius, TIR.
    high_spot_deg : float
        Of it, rotor frame.
    sd_um : float
        Standard uncertainty of a component of the amplitude.
    source : str
        Where it was read.
    frame : str
        Of the high spot.
    """

    cause: str
    runout_um: float
    high_spot_deg: float
    sd_um: float
    source: str
    frame: str = "rotor"

    @property
    def how(self) -> str:
        """Whether somebody read it, or the case gives it: that may be the maker's or a part sheet's."""
        return GIVEN_BY_CASE if self.source == CASE_FILE else "as read"

    @property
    def vector(self) -> complex:
        """First order, amplitude. [um]. By definition of the first order."""
        return ring.coefficient(0.5 * self.runout_um, self.high_spot_deg)


def part_of(cause: str, vector: complex, sd_um: float, source: str) -> KnownPart:
    """Make a known part from its first order, amplitude at the gauge radius, rotor frame. [um].

    By definition of the first order.
    """
    return KnownPart(cause, 2.0 * abs(vector), ring.high_spot_deg(vector), float(sd_um), source)


def to_rotor(vector: complex, case: Case, studs_turned: int | None = None) -> complex:
    """First order of the hub frame in the rotor frame: hub angle = rotor angle + studs turned.

    Unit of the vector; by definition of the frames.
    """
    turned = case.studs.studs_turned if studs_turned is None else studs_turned
    return complex(vector * np.exp(2j * np.pi * turned / case.studs.count))


def from_case(case: Case) -> tuple[KnownPart, ...]:
    """Runouts that the case file itself states, hub face and rotor; what a part set or a default says was not read.

    Runouts in um TIR at the gauge radius. A lean grows with the radius (geometry); what a statement is uncertain by is
    judgement (`STATED_SD_UM`).
    """
    out = []
    rotor, hub, gauge = case.rotor, case.hub, case.gauge_radius_mm
    if rotor.own_runout_um > 0.0 and case.where_from("rotor", "own_runout_um") == CASE_FILE:
        lever = gauge / rotor.own_runout_read_at_mm
        vector = ring.coefficient(0.5 * lever * rotor.own_runout_um, rotor.own_high_spot_deg)
        out.append(part_of(OWN, vector, lever * STATED_SD_UM, CASE_FILE))
    if hub.face_runout_um > 0.0 and case.where_from("hub", "face_runout_um") == CASE_FILE:
        lever = gauge / hub.read_radius_mm
        vector = ring.coefficient(0.5 * lever * hub.face_runout_um, hub.face_high_spot_deg)
        out.append(part_of(HUB_FACE, to_rotor(vector, case), lever * STATED_SD_UM, CASE_FILE))
    return tuple(out)


def from_readings(case: Case, found: Readings) -> tuple[KnownPart, ...]:
    """What a readings file of a worn rotor holds besides it: the bare hub face, the rotor at a second stud position.

    Parameters
    ----------
    case : Case
    found : Readings
        The first mounting is the one in which it wore.

    Returns
    -------
    tuple of KnownPart

    Raises
    ------
    BadInput
        For a hub trace without its radius.

    Notes
    -----
    Runouts in um TIR at the gauge radius. A lean grows with the radius (geometry); two stud positions part the vectors
    (`sim.bench.stud_position.split_by_positions`).
    """
    out = []
    mounted = found.of("mounted")
    if (bare := found.bare_face) is not None:
        if found.hub_face_radius_mm is None:
            raise BadInput(Fault("where the hub face was read is missing", key="hub_face_radius_mm"))
        lean = lean_read(bare, found)
        lever = case.gauge_radius_mm / found.hub_face_radius_mm
        turned = mounted[0].studs_turned if mounted else None
        vector = to_rotor(lever * complex(lean.orders[1]), case, turned)
        source = FACE_AS_FOUND if found.face_as_found else "bare hub face"
        out.append(part_of(HUB_FACE, vector, lever * face_sd_um(lean, bare.creep_um), source))
    for other in mounted[1:]:
        part = _with_hub(mounted[0], other, found.studs, found.step_um(other))
        if part is not None:
            return (*out, part)
    return tuple(out)


def _with_hub(one: Trace, other: Trace, studs: int, dial_um: float) -> KnownPart | None:
    """What stays with the hub, from the same rotor read at two stud positions."""
    step = np.exp(2j * np.pi * (other.studs_turned - one.studs_turned) / studs) - 1.0
    if abs(step) < LEAST_TURN:
        return None
    first = [complex(ring.fit(turn.angle_deg, turn.value_um, 1)[1]) for turn in (one, other)]
    noise = ring.tir_sd(min(one.angle_deg.size, other.angle_deg.size), NOISE_UM, dial_um) / 2.0
    sd = np.hypot(noise, MOUNT_SCATTER_UM) * np.sqrt(2.0) / abs(step)
    return part_of(WITH_HUB, complex((first[1] - first[0]) / step), sd, "a second stud position")


def counted(parts: tuple[KnownPart, ...]) -> tuple[KnownPart, ...]:
    """Parts that add up: the hub's face is within what stays with the hub, and a reading counts before a statement."""
    kept: dict[str, KnownPart] = {}
    for part in parts:  # later ones, from readings, displace what the case file states
        kept[part.cause] = part
    if WITH_HUB in kept:
        kept.pop(HUB_FACE, None)
    return tuple(kept.values())


def unread(
    first_um: Floats, high_spot_rad: Floats, weight: Floats, parts: tuple[KnownPart, ...], seed: int = 11
) -> Floats:
    """Draws of what is left of a runout when the known parts are taken off as vectors.

    Parameters
    ----------
    first_um, high_spot_rad, weight : ndarray, shape (k,)
        Weighted draws of the whole: amplitude and high spot of the first order, rotor frame.
    parts : tuple of KnownPart
    seed : int

    Returns
    -------
    ndarray, shape (DRAWS,)
        First order that is left, TIR. [um]

    Notes
    -----
    Differences of vectors, drawn (JCGM 101).
    """
    random = np.random.default_rng(seed)
    row = random.choice(weight.size, DRAWS, p=weight)
    left = first_um[row] * np.exp(-1j * high_spot_rad[row])
    for part in parts:
        left = left - part.vector - part.sd_um * (random.standard_normal(DRAWS) + 1j * random.standard_normal(DRAWS))
    return np.asarray(2.0 * np.abs(left))
