"""Which turns of the bare hub face count: the last that agree, and of those the finest dial's, as one turn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from sim.files.read_anew import agreeing, enough
from sim.files.reading_faults import TAIL, TAIL_OF_PART, ReadingFault, Turn, read_twice
from sim.files.rocking import NOT_YET, Rocking
from sim.files.trace import Trace
from sim.turn import interpolate

#: Of turns that others which agree contradict.
OUT = "hub face: {out} of {turns} turns {are} left out, {kept} agree and count{once}"


def alike(faces: Sequence[Trace], step_um: Callable[[Trace], float]) -> tuple[Trace, ...]:
    """Turns that read the face as the last one did, in one state: one after the other, or where enough of them agree.

    Parameters
    ----------
    faces : sequence of Trace
        Of the bare hub face, first read first, at least one.
    step_um : callable
        Step of the dial that read one. [um]

    Notes
    -----
    Two turns agree where `sim.files.reading_faults.read_twice` finds nothing; how many are enough:
    `sim.files.read_anew.enough`. [um]
    """
    there = of_last_state(faces)
    agree = _agree(there, step_um)
    first = 0 if enough(agree) else next(len(agree) - k for k, one in enumerate(reversed([False, *agree])) if not one)
    return tuple(one for one, agrees in zip(there[first:], agree[first:], strict=True) if agrees)


def unsettled(
    faces: Sequence[Trace], step_um: Callable[[Trace], float], rocking: Rocking = NOT_YET
) -> ReadingFault | None:
    """Say that turns of the bare face differ, and not enough of them agree; None where they do.

    Parameters
    ----------
    faces, step_um
        As `alike` takes them. [um]
    rocking : Rocking
        What is said of the bearing.

    Notes
    -----
    By rule: `sim.files.read_anew.enough`; chi-square of a difference (`sim.files.reading_faults.read_twice`).
    """
    there = of_last_state(faces)
    if enough(_agree(there, step_um)):
        return None
    found = (
        _apart(one, other, step_um, len(there) > 2, rocking) for k, one in enumerate(there) for other in there[k + 1 :]
    )
    return max((one for one in found if one is not None), key=lambda one: one.size_um)


def left_out(faces: Sequence[Trace], step_um: Callable[[Trace], float], rocking: Rocking = NOT_YET) -> tuple[str, ...]:
    """Say how many turns count no more, as enough agree and they do not; nothing where all do, or nothing settles it.

    Parameters
    ----------
    faces, step_um
        As `alike` takes them. [um]
    rocking : Rocking
        What is said of the bearing.

    Notes
    -----
    By rule: `alike`.
    """
    out, turns = how_many_out(faces, step_um)
    are, kept = "is" if out == 1 else "are", turns - out
    return (OUT.format(out=out, are=are, turns=turns, kept=kept, once=rocking.once),) if out else ()


def how_many_out(faces: Sequence[Trace], step_um: Callable[[Trace], float]) -> tuple[int, int]:
    """How many turns in the last state others contradict that agree, and of how many; none where nothing settles it.

    Parameters
    ----------
    faces, step_um
        As `alike` takes them. [um]

    Notes
    -----
    By rule: `alike`.
    """
    there = of_last_state(faces)
    out = len(there) - len(alike(faces, step_um))
    return (out if out and unsettled(faces, step_um) is None else 0), len(there)


def of_last_state(faces: Sequence[Trace]) -> list[Trace]:
    """Turns in the state in which the last was read, by definition."""
    return [one for one in faces if one.state == faces[-1].state]


def _agree(there: Sequence[Trace], step_um: Callable[[Trace], float]) -> list[bool]:
    """Whether each turn agrees with the last; one of three and more that is off that is seen sooner than one of two."""
    last, more = there[-1], len(there) > 2

    def parted(one: Trace, other: Trace) -> bool:
        return _apart(one, other, step_um, more and (one is last or other is last)) is not None

    return agreeing(there, last, parted)


def _apart(
    one: Trace, other: Trace, step_um: Callable[[Trace], float], in_company: bool, rocking: Rocking = NOT_YET
) -> ReadingFault | None:
    """What two turns differ by, where it is more than a dial scatters."""
    first, second = (
        Turn(face.kind, face.kind, face.angle_deg, face.value_um, dial_um=step_um(face)) for face in (one, other)
    )
    tail = TAIL_OF_PART if in_company or one.in_part or other.in_part else TAIL
    return read_twice(first, second, max(step_um(one), step_um(other)), tail, rocking)


def counted(turns: Sequence[Trace], step_um: Callable[[Trace], float]) -> Trace:
    """One turn of those of `alike` that the finest dial read, with the number of which it is the middle.

    Parameters
    ----------
    turns : sequence of Trace
        That agree, first read first, at least one.
    step_um : callable
        Step of the dial that read one. [um]

    Notes
    -----
    The median at each place, each turn about its own mean; turns at other places stand side by side. A coarser dial
    adds little to a finer one and is left out; judgement. [um]
    """
    finest = min(map(step_um, turns))
    fine = [one for one in turns if step_um(one) == finest]
    last = next((one for one in reversed(fine) if not one.in_part), fine[-1])
    values = [one.value_um - _middle_um(one, last) for one in fine]
    if len(fine) == 1:
        return last
    if any(not np.isin(one.angle_deg, last.angle_deg).all() for one in fine):
        angle = np.concatenate([one.angle_deg for one in fine])
        rising = np.argsort(angle, kind="stable")
        return replace(last, angle_deg=angle[rising], value_um=np.concatenate(values)[rising])
    drifts = [one.drift_um for one in fine if one.drift_um is not None]
    drift = float(np.median(drifts)) if drifts else None
    # What is left of a turn that slipped counts at its places, as one of those that read them.
    at = [[value[one.angle_deg == a] for one, value in zip(fine, values, strict=True)] for a in last.angle_deg]
    middle = np.array([np.median(np.concatenate(read)) for read in at]) + last.value_um.mean()
    return replace(last, value_um=middle, drift_um=drift, turns=min(sum(map(len, read)) for read in at))


def _middle_um(one: Trace, last: Trace) -> float:
    """Mean of a turn; of one whose slips were taken out what it would be with them, by another turn. [um]."""
    if not one.in_part:
        return float(one.value_um.mean())
    beside = interpolate(last.angle_deg, last.value_um - last.value_um.mean(), one.angle_deg)
    return float(one.value_um.mean() - beside.mean())
