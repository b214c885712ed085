"""What of a table is still to be read again, whatever else was read: it leads, and nothing is ordered on top of it.

One rule for every command. What nobody can read again, or what changes nothing any more, is not asked for.
"""

from __future__ import annotations

from sim.bench.face_parted import face_parted
from sim.bench.faces_part import faces_part
from sim.bench.looked_since import changed_since
from sim.bench.low_spot import SEEN, is_seen
from sim.bench.wheel_on import OVER
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import CONFIRMED, LOOK_THERE, STANDS_UP, TWICE, WRITTEN, ReadingFault
from sim.files.readings_rows import CLEAN_STATES

#: How a slip is told of a mount that stands no more: nobody is sent to read it again.
STANDS_NO_MORE = "{name}: a turn gave a slip away; that mount stands no more, and it is left out where others remain"
#: Of a place of a bare face that stands up and is not to be read again.
LEFT_OUT = "left out, look there while it is bare"
READS_SO = "{name}: {where} degrees stands about {size:.0f} µm off the others and reads so again: no slip"


def open_readings(readings: Readings) -> tuple[ReadingFault, ...]:
    """Name what is to be read again before anything is left on, moved, cleaned or bought.

    Parameters
    ----------
    readings : Readings

    Returns
    -------
    tuple of ReadingFault
        Of the mounting that stands, of the bare hub face and of the thickness: slips that no sound turn answered, turns
        that differ and that nothing settles, a place of a clean bare face that stands up and was read so once. A
        mounting read twice and different, not by one slip, is read again before anything comes off, until three turns
        agree (`sim.bench.read_alike`): with bearing play they hardly do. Nor is the next mounting believed after it
        before two turns of that agree. By rule.
    """
    mounted = readings.of("mounted")
    if not mounted:
        return ()
    now = mounted[-1]
    once = len([one for one in mounted if (one.mount, one.state) == (now.mount, now.state)]) == 1
    dirty = any(one.state not in CLEAN_STATES for one in readings.of("hub face")[-1:])
    still = (*(one for one in readings.faults if _is_open(one, now, once, dirty)), *faces_part(readings, now))
    still = (*still, *changed_since(readings), *face_parted(readings))
    return tuple(sorted(still, key=lambda one: one.trace == "hub face"))  # last: the rotor comes off for it


def _is_open(fault: ReadingFault, now: Trace, once: bool, dirty: bool) -> bool:
    # Dirt on a face that nobody cleaned is no wonder.
    if fault.answer or (fault.fault == STANDS_UP and dirty):
        return False
    if fault.fault == OVER or fault.trace.startswith(("hub face", "thickness")):
        return True
    if fault.trace.endswith(f", mount {now.mount}"):
        return True
    return fault.fault == TWICE and fault.trace.startswith("mounted") and once


def left_out(readings: Readings) -> tuple[ReadingFault, ...]:
    """Name slips of mountings that stand no more: nobody can read them again.

    Parameters
    ----------
    readings : Readings
    """
    still = open_readings(readings)
    told = (one for one in readings.faults if one.doubts and not one.answer and one not in still)
    return tuple(one for one in told if one.fault != TWICE)


def remarks(readings: Readings) -> tuple[str, ...]:
    """Say what is worth knowing of a table, and what is to be read again: no other order to read stands beside it.

    Parameters
    ----------
    readings : Readings
    """
    by_itself = tuple(one for one in readings.faults if not one.answer)
    still = open_readings(readings) if readings.of("mounted") else by_itself
    told = [
        one.text.replace(LOOK_THERE, LEFT_OUT)
        for one in readings.faults
        if one.fault == STANDS_UP and not one.answer and one not in still
    ]
    told += [one.text for one in still]
    gone = dict.fromkeys(
        one.text if one.fault == WRITTEN else STANDS_NO_MORE.format(name=one.trace) for one in left_out(readings)
    )
    again = {
        (one.trace, one.left_out_deg): (SEEN if is_seen(one, readings.bare_face) else READS_SO).format(
            name=one.trace, where=" and ".join(f"{a:g}" for a in one.left_out_deg), size=abs(one.size_um)
        )
        for one in readings.faults
        if one.answer == CONFIRMED
    }
    return tuple(dict.fromkeys((*readings.notes, *told, *gone, *again.values())))
