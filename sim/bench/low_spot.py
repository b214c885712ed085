"""A low spot of a bare hub face, a pit or the edge of a hole under the tip: read so twice it is seen, and no lean."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.arrays import Floats
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import CONFIRMED, ReadingFault, Turn, slips

FACE = "hub face"
#: Wider a hollow is a part of the seat that is missing: a rotor may tip or bend into it. Judgement, 45 .. 90. [deg]
WIDEST_DEG = 60.0
#: What is seen there, what it is not, and what to look at.
SEEN = (
    "{name}: low by about {size:.0f} µm at {where} degrees, and reads so again: a pit, a groove or a hole's edge under "
    "the tip, no dirt and by itself no lean; left out. Look there while it is bare: a burr round it is stoned flat by "
    "hand, a straight edge across it must not rock"
)


def low_places_deg(face: Trace, readings: Readings) -> tuple[float, ...]:
    """Find places of a bare face that lie low beside all others, in the turn that counts and in two turns alike.

    Parameters
    ----------
    face : Trace
        The bare face that counts, of `Readings.bare_face`.
    readings : Readings

    Returns
    -------
    tuple of float
        Hub angles, rising. [deg]

    Notes
    -----
    By `sim.files.reading_faults.slips`; what is low over more than `WIDEST_DEG` is none. [um]
    """
    seen = {angle for one in readings.faults if is_seen(one, face) for angle in one.left_out_deg}
    if not seen:
        return ()
    turn = Turn(FACE, FACE, face.angle_deg, face.value_um)
    found = slips(turn, readings.step_um(face), readings.studs)
    low = sorted({angle for one in found if one.size_um < 0.0 for angle in one.left_out_deg} & seen)
    return tuple(low) if _narrow(low, face) else ()


def is_seen(fault: ReadingFault, face: Trace | None) -> bool:
    """Whether one place or two neighbours of a bare face lie low and were read so twice. By definition.

    Parameters
    ----------
    fault : ReadingFault
        Of a table of readings.
    face : Trace or None
        The bare face that counts there.
    """
    low = fault.trace == FACE and fault.answer == CONFIRMED and fault.size_um < 0.0
    return low and face is not None and _narrow(fault.left_out_deg, face)


def _narrow(low_deg: Sequence[float], face: Trace) -> bool:
    return len(low_deg) * 360.0 / face.angle_deg.size <= WIDEST_DEG


def levelled_um(face: Trace, lean_um: Floats, low_deg: tuple[float, ...]) -> Floats:
    """Readings of a bare face with its low spots filled up to its lean: what carries a rotor. [um].

    Parameters
    ----------
    face : Trace
    lean_um : ndarray, shape (k,)
        Its lean at the same places.
    low_deg : tuple of float
        Of `low_places_deg`.

    Notes
    -----
    By definition; the rest is judged as the dial showed it.
    """
    filled: Floats = np.where(np.isin(face.angle_deg, low_deg), lean_um, face.value_um)
    return filled
