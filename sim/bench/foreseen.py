"""What readings alone would order next, were what they order now done: nothing changed, or just over a limit."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.face_first import MOVES, face_first
from sim.bench.next_act import CLEAN, SECOND_TURN, THICKNESS, Act, Against, choose, next_act
from sim.bench.told_by_mountings import ToldApart, Vector
from sim.files.dial_readings import Readings
from sim.files.readings_rows import CLEANED
from sim.parts.case import Limits
from sim.parts.dial import TOO_CLOSE, Dial
from sim.parts.thickness import MEAN_OF

#: A thickness that does not vary.
EVEN = Vector(0.0, 0.0, 0.0, None, told=False)
#: A middle over its limit by less than any dial shows. [um]
JUST_OVER_UM = 0.1


def foreseen(readings: Readings, told: ToldApart, limits: Limits, first: Act) -> tuple[Act, ...]:
    """List the acts behind the first: its thickness even, read the same once cleaned, and in a second turn.

    Parameters
    ----------
    readings : Readings
    told : ToldApart
        What they tell.
    limits : Limits
    first : Act
        What they order now.

    Returns
    -------
    tuple of Act
        Empty where another reading or a part is ordered now: what comes behind those only they tell.

    Notes
    -----
    By the rule of `sim.bench.next_act`, asked again: what it orders later is what it says here, if that comes true. A
    bare face that is read on before a stud stands before it here as well.
    """
    acts = [first]
    while acts[-1].what in (THICKNESS, CLEAN, SECOND_TURN) and len(acts) < 4:
        if acts[-1].what == SECOND_TURN:
            readings = _repeated(readings)
        else:
            told = _even(told) if acts[-1].what == THICKNESS else _clean(told)
            readings = readings if acts[-1].what == THICKNESS else _put_back(readings)
        then = next_act(readings, told, limits)
        face = face_first(then, told)
        acts += [then] if face is then else [face, then]
    return tuple(acts[1:])


def a_stud_if_over(told: ToldApart, limit_um: float) -> bool:
    """Whether another stud is read where the middle of the turns at the limit comes out over it, before any part.

    Parameters
    ----------
    told : ToldApart
    limit_um : float
        Of the mounted runout. [um TIR]

    Notes
    -----
    By the rule of `sim.bench.next_act`, asked of a middle of `MEAN_OF` turns that is just over the limit.
    """
    last = told.states[-1]
    read = max(limit_um + JUST_OVER_UM, last.now.read_um)
    then = replace(last, now=replace(last.now, read_um=read, turns=MEAN_OF))
    against = Against(read, TOO_CLOSE, limit_um, Dial(last.now.dial_um, MEAN_OF).doubt_um, coarse=False)
    return choose(told, then, against)[0] in MOVES


def _repeated(readings: Readings) -> Readings:
    return replace(readings, traces=(*readings.traces, replace(readings.of("mounted")[-1])))


def _put_back(readings: Readings) -> Readings:
    """With the mount that stands once more, clean: it is read by one turn then."""
    last = readings.of("mounted")[-1]
    return replace(readings, traces=(*readings.traces, replace(last, mount=last.mount + 1, state=CLEANED)))


def _even(told: ToldApart) -> ToldApart:
    return replace(told, thickness=EVEN)


def _clean(told: ToldApart) -> ToldApart:
    """The last state as if it had been read clean: nothing went, so what stays with the hub stays."""
    last = replace(told.states[-1], state=CLEANED)
    return replace(
        told, states=(last,), taken_off=None, hid=False, stayed=last.hub.get(1), stayed_beyond=told.beyond_face,
    )  # fmt: skip
