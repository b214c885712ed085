"""Two faces of the mounting that stands and the micrometer, where they cannot all be right."""

from __future__ import annotations

import math

from sim.bench.between_places import counted_um
from sim.bench.pooled_turns import standing
from sim.bench.two_faces import parted_um
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import ReadingFault
from sim.parts.dial import COVERAGE, Dial
from sim.parts.thickness import micrometer_sd_um

FACES_PART = "faces part"
PART = (
    "the two faces of mount {mount} as read differ by about {size:.0f} µm once a turn, and the thickness as read does "
    "not: one of these turns is wrong; read both faces and the thickness once more"
)
#: The same where they were, and one face is over the limit that the other keeps.
STILL = (
    "the two faces of mount {mount} read {outboard:.0f} and inboard {inboard:.0f} µm, limit {limit:.3g} µm, and differ "
    "by about {size:.0f} µm once a turn, as the thickness as read does not: one of these turns is wrong, and the face "
    "that reads over counts until it is known which. Radius, places, base and tip of the dial on both faces and those "
    "of the micrometer looked at; then read both faces and the thickness once more"
)


def faces_part(readings: Readings, now: Trace) -> tuple[ReadingFault, ...]:
    """Two faces and a thickness that cannot all be right, the inner one read once: none is asked for.

    Parameters
    ----------
    readings : Readings
    now : Trace
        The mounting that stands.

    Notes
    -----
    `sim.bench.two_faces.parted_um`, whose source stands there. A rotor has one thickness, in whatever mount. [um]
    """
    outboard, inboard = (_middle(readings, kind, now) for kind in FACES)
    if outboard is None or inboard is None or inboard.turns > 1:
        return ()
    size = _parted(readings, outboard, inboard)
    return (_fault(now, size, PART.format(mount=now.mount, size=size)),) if size else ()


def over_behind(readings: Readings, limit_um: float) -> ReadingFault | None:
    """The same of an inner face that was read so again and is over the limit that the outer one keeps; else None.

    Parameters
    ----------
    readings : Readings
    limit_um : float
        Of the mounted runout. [um TIR]

    Notes
    -----
    Faces that both keep it are let be once each was read again, whichever is wrong. Judgement.
    """
    mounted = readings.of("mounted")
    if not mounted:
        return None
    outboard, inboard = (_middle(readings, kind, mounted[-1]) for kind in FACES)
    if outboard is None or inboard is None or inboard.turns == 1:
        return None
    reads, behind = (counted_um(one, readings.step_um(one)) for one in (outboard, inboard))
    size = _parted(readings, outboard, inboard)
    if not size or reads > limit_um or behind <= limit_um:
        return None
    mount = inboard.mount
    said = STILL.format(mount=mount, outboard=reads, inboard=behind, limit=limit_um, size=size)
    return _fault(mounted[-1], size, said)


FACES = ("mounted", "inboard")


def _fault(now: Trace, size_um: float, text: str) -> ReadingFault:
    return ReadingFault(FACES_PART, f"inboard, mount {now.mount}", (), size_um, 0.0, text)


def _middle(readings: Readings, kind: str, now: Trace) -> Trace | None:
    """Middle of the turns of one face of a mounting, held as it is; None where that was not read."""
    how = (now.mount, now.state, now.corner, now.clamped_by)
    turns = [one for one in readings.of(kind) if (one.mount, one.state, one.corner, one.clamped_by) == how]
    return standing(turns, [readings.step_um(one) for one in turns]) if turns else None


def _parted(readings: Readings, outboard: Trace, inboard: Trace) -> float:
    """How far both faces differ where the thickness is not right with both; 0 where it may be or is unread. [um]."""
    thick = readings.thickness
    if thick is None:
        return 0.0
    first, second = (Dial(readings.step_um(one), one.turns).doubt_um for one in (outboard, inboard))
    micrometer = COVERAGE * math.sqrt(2.0) * micrometer_sd_um(readings.micrometer_um(thick))
    return parted_um((outboard, inboard), thick, (first, second, micrometer))
