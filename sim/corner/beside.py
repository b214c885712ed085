"""What stands beside a seating: the driven car, the range where dirt is unsettled, the clamp lost when dirt crushes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.corner.road_state import as_driven
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.checked import need_kind
from sim.parts.dirt import settled, unsettled
from sim.parts.fastener import has_bolts, spacer_mm
from sim.parts.threads import nominal_diameter_mm, stress_area_mm2
from sim.seating.prepared import Body, prepare
from sim.seating.seat import Seat, seat
from sim.seating.studs import stud_angles_rad

Answer = TypeVar("Answer")

STUD_MPA = 205_000.0  # Young's modulus of a steel stud; from memory


@dataclass(frozen=True)
class Beside:
    """What is said beside a seating.

    Parameters
    ----------
    as_driven_um : float or None
        Runout with the wheel on at the torque of the road; None where that is refused. [um]
    as_driven_refused : str
        Why there is none; empty where there is one.
    runout_range_um : tuple of float or None
        Runout at the lowest and the highest crushing pressure of all dirt at once, where its kind leaves that open; no
        bound. [um]
    preload_lost_n : tuple of float
        Upper bound of what each stud loses if the dirt is crushed to its floor after tightening; empty where no dirt
        crushes. [N]
    """

    as_driven_um: float | None
    as_driven_refused: str
    runout_range_um: tuple[float, float] | None
    preload_lost_n: tuple[float, ...]


@one_thread
def beside(seated: Seat, driven: tuple[float | None, str] | None = None) -> Beside:
    """Work out what is said beside a seating; up to four more solves.

    Parameters
    ----------
    seated : Seat
    driven : tuple of float and str, optional
        Runout as driven [um], or None and why there is none; worked out unless given.

    Notes
    -----
    What the physics refuses under another clamping or another strength of the dirt is left out: the seating itself
    stands.
    """
    need_kind(seated, Seat, "seated")
    if driven is None:
        driven = _unless_refused(lambda: seat(as_driven(seated.case), seated.preset).gauge_runout_um)
    span, _ = _unless_refused(lambda: runout_range_um(seated.case, seated.preset))
    lost, _ = _unless_refused(lambda: preload_lost_n(seated))
    return Beside(*driven, span, lost or ())


def _unless_refused(work: Callable[[], Answer]) -> tuple[Answer | None, str]:
    """Do some work; its answer, or None and the reason of the refusal."""
    try:
        return work(), ""
    except Refused as error:
        return None, str(error)


@one_thread
def runout_range_um(case: Case, preset: str = "standard") -> tuple[float, float] | None:
    """Runout between the lowest and highest crushing pressure of every kind of dirt whose strength is not settled.

    Parameters
    ----------
    case : Case
    preset : str

    Returns
    -------
    tuple of float or None
        Lowest and highest; None where every strength is the user's own or nothing crushes. [um]

    Raises
    ------
    Refused
        If the rotor cannot be seated at one of the two.

    Notes
    -----
    Every patch is taken at its lowest, at its usual and at its highest strength at once: a range of strength, not a
    bound. Patches of unlike strength that work against each other read outside it (one corner in ten with two patches,
    one in five with three, by up to 11 um), and what else is not settled, stiffness and what stays, moves more than
    half of all corners out of it: ``python -m tests.studies.unsettled_dirt``.

    Examples
    --------
    >>> from sim.parts.case import Debris
    >>> runout_range_um(Case(debris=(Debris(kind="paint", crush_mpa=50.0),))) is None
    True
    """
    if not any(unsettled(debris) for debris in case.debris):
        return None
    values = []
    for which in (0, 1, 2):
        debris = tuple(settled(one, which) if unsettled(one) else one for one in case.debris)
        values.append(seat(replace(case, debris=debris), preset).gauge_runout_um)
    return min(values), max(values)


@one_thread
def preload_lost_n(seated: Seat) -> tuple[float, ...]:
    """Clamp force that each stud loses if crushable dirt goes down to its floor after tightening. [N].

    Parameters
    ----------
    seated : Seat

    Returns
    -------
    tuple of float
        One for each stud; empty where no dirt crushes, and under the locating screw, which holds nothing on the road.

    Raises
    ------
    Refused
        If the rotor cannot be seated on what the dirt leaves.

    Notes
    -----
    Embedding loses F = f / (delta_stud + delta_plates) (VDI 2230, loss of preload by embedding), f the change of the
    grip at the stud between the seating as tightened and the seating on the floor. The plates' own compliance is left
    out, so the figure is an upper bound.
    """
    case = seated.case
    soft = [settled(debris) for debris in case.debris]
    crushable = [debris.crush_mpa is not None and debris.height_um > 0 for debris in soft]
    if not any(crushable) or case.studs.clamped_by == "screw only":
        return ()
    floor = tuple(
        replace(
            debris,
            crush_mpa=None,
            modulus_mpa=None,
            height_um=max(debris.residual_share or 0.0, 1e-3) * debris.height_um,
        )
        if crushes
        else debris
        for debris, crushes in zip(soft, crushable, strict=True)
    )
    crushed = seat(replace(case, debris=floor), seated.preset)
    change = grip_um(seated) - grip_um(crushed)
    stiffness = STUD_MPA * stress_area_mm2(case.studs.thread) / grip_length_mm(case)
    return tuple(float(x) for x in np.clip(change / 1000.0 * stiffness, 0.0, np.array(seated.stud_preload_n)))


def grip_length_mm(case: Case) -> float:
    """Length over which a stud or a wheel bolt stretches as it is clamped. [mm].

    Notes
    -----
    A stud: both flanges, and the wheel's pad where it is on. A bolt: the rotor's flange and what lies under its head
    (wheel or spacer), and of the engaged thread half a diameter for its core and a third for the thread in the hub
    (VDI 2230, screwed into the part, from memory).
    """
    studs, grip = case.studs, case.rotor.flange_thickness_mm
    if has_bolts(studs):
        under = case.wheel.thickness_mm if studs.clamped_by == "wheel" else spacer_mm(case)
        return grip + under + (1 / 2 + 1 / 3) * nominal_diameter_mm(studs.thread)
    grip += case.hub.flange_thickness_mm
    return grip + case.wheel.thickness_mm if studs.clamped_by == "wheel" else grip


@one_thread
def grip_um(seated: Seat) -> Floats:
    """How much each stud's grip is longer than that of flat, unloaded parts. Shape (studs,). [um].

    Area mean of both bodies' displacement under nut and head (`sim.seating.studs.annulus_load`), reciprocal to their
    load (Betti's theorem).
    """
    case = seated.case
    pair = prepare(case, seated.preset)
    angle = stud_angles_rad(case.studs.count)
    motion, loads = seated.loads.motion, seated.loads
    pitch = case.studs.pitch_radius_mm
    total = motion[0] + pitch * (motion[1] * np.cos(angle) + motion[2] * np.sin(angle))
    for sign, body, face, back in zip((1.0, -1.0), pair.bodies, loads.face, loads.back, strict=False):
        total = total + sign * _back_mm(body, face, back, angle)
    return 1000.0 * total


def _back_mm(body: Body, face: NDArray, back: NDArray, angle: Floats) -> Floats:
    """Mean axial displacement of a body's loaded side under each stud, rigid motion left out. [mm]."""
    response = body.between("back", "face"), body.between("back", "back")
    wave = np.einsum("nij,nj->ni", response[0], face) + np.einsum("nij,nj->ni", response[1], back)
    # The work-conjugate mean over the seat: the stud's own load shape weighs the displacement (pi, 2 pi per order).
    norm = np.full(body.stud_load.shape[0], np.pi)
    norm[0] = 2 * np.pi
    mean = np.einsum("ni,ni->n", body.stud_load, wave) * norm
    return (np.exp(1j * np.outer(angle, np.arange(mean.size))) @ mean).real
