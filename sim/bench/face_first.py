"""A bare face near its limit is read on before a stud: the rotor is off between two, and the choice rests on it."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.next_act import ANOTHER_STUD, BACK, BARE_HUB, INDEX, Act, next_act
from sim.bench.told_by_mountings import ToldApart
from sim.files.dial_readings import Readings
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.case import Limits

#: What takes the rotor off to put it on a stud.
MOVES = (INDEX, ANOTHER_STUD, BACK)


def ordered(readings: Readings, told: ToldApart, limits: Limits) -> Act:
    """Say what to read or do next, by the rule of `sim.bench.next_act` and `face_first`: with a case and without.

    Parameters
    ----------
    readings : Readings
    told : ToldApart
        What they tell.
    limits : Limits
    """
    return face_first(next_act(readings, told, limits), told)


def face_first(act: Act, told: ToldApart) -> Act:
    """Order the bare face before the stud where more turns of its dial are wanted; else the act as it is.

    Parameters
    ----------
    act : Act
        What the readings order, of `sim.bench.next_act.next_act`.
    told : ToldApart

    Notes
    -----
    By rule, of clean faces: one turn of a bare face, begun elsewhere or written with every sign turned over, sends to
    the worst stud of all.
    """
    last, face = told.states[-1], act.hub_face
    if act.what not in MOVES or last.state not in CLEAN_STATES or face is None or not face.first:
        return act
    return replace(act, what=BARE_HUB, studs_turned=last.positions[-1], expected_um=None)
