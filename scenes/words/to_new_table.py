"""What a table lists whose readings renew a part: where its car stands, the stamp first, a new table at its end."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scenes.words import held_to_read, steps, words
from scenes.words.work_list import Asked, as_it_stands, do, hub_face
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.discard import is_stated

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scenes.words.steps import Step
    from sim.parts.case import Case

#: Of a rotor that still stands as it was read: nothing is moved before its stamp was read.
BY_ITS_STAMP = (
    "The rotor still on: read the discard thickness stamped on it. Its thinnest place over that, with wear left: that "
    "figure into a case file of your own, rotor.minimum_thickness_mm, and ask again, nothing moved. At or under it, or "
    "no wear left: both rotors of the axle, as below."
)
#: The same over a stamp that the case states.
AS_STATED = (
    "The rotor still on: its stamp read. Another figure than {stamp}: that into the case file, and ask again, nothing "
    "moved. Else both rotors of the axle, as below."
)
#: Of one that is uneven over its limit besides: no stamp keeps it.
WHATEVER_IT_SAYS = "It is uneven over its limit besides: both rotors of the axle, whatever the stamp, as below."
NEW_THICKNESS = f"Thickness of the rotor that is on, by micrometer at {held_to_read.PLACES} places."
STOP = (
    "Stop: {what}, ask again. Runout over the vehicle maker's limit{blank}: nothing goes back on. Caliper and wheel "
    "only when it says that the search ends."
)
#: Behind a hub or bearing that is renewed: what goes on it covers its face.
NEW_FACE = steps.own(
    "A new hub or bearing: its bare face first; over its limit stop, no rotor goes on it.", "", "hub face"
)
ALL_ANEW = "bare face, runout and thickness into a new table"
#: The same where the stamp may keep the rotor that was read.
BY_WHAT_IT_SAYS = "the stamp into the case file, the readings into the file, a new rotor's into a new table"


def stands_as_read(case: Case, reading: Any) -> bool:
    """Whether a rotor is still held as it was read on clean faces, under its nuts: wheel and caliper are off.

    Parameters
    ----------
    case : Case
        What holds it, where the reading does not say.
    reading : Any
        The last turn of the mounted rotor; None for none.
    """
    return getattr(reading, "state", "") in CLEAN_STATES and stands(case, reading)


def stands(case: Case, reading: Any) -> bool:
    """Whether it is still held as it was read, cleaned or not: wheel and caliper are off, as the work reads it.

    Parameters
    ----------
    case, reading
        As of `stands_as_read`.
    """
    return reading is not None and (getattr(reading, "clamped_by", "") or case.studs.clamped_by) == held_to_read.HELD_SO


def begins_there(case: Case, asked: Asked, reading: Any) -> bool:
    """Whether the work at a rotor that goes by its stamp begins where it stands, as nothing comes before it.

    Parameters
    ----------
    case : Case
    asked : Asked
    reading : Any
        As of `stands_as_read`; it may be one as found, as this rotor is read no more.
    """
    goes = asked.stamp is not None or any(one.what == steps.RENEW_BY_STAMP.what for one in asked.rotor)
    first = asked.nuts or asked.rotor_off or case.spigot_scale
    return goes and not first and stands(case, reading)


def by_stamp(case: Case, asked: Asked, uneven: bool) -> tuple[Step, ...]:
    """List what is done with a rotor that stands as it was read and goes by its stamp, as far as the new table.

    Parameters
    ----------
    case : Case
    asked : Asked
        Its brake and its bare hub face.
    uneven : bool
        Whether it is uneven over its limit besides: then it goes whatever its stamp.
    """
    first, *rest = as_it_stands(case, asked)
    stamp = f"{words.mark(case.rotor.minimum_thickness_mm)}{words.GAP}mm"
    by_it = AS_STATED.format(stamp=stamp) if is_stated(case) else BY_ITS_STAMP
    return (
        first,
        steps.own(WHATEVER_IT_SAYS if uneven else by_it, "", "stamp"),
        *rest,
        do(case, "rotor off", "clean", why=steps.DIRT_WHY),
        asked.hub or hub_face(case),
        *((NEW_FACE,) if asked.hub in steps.HUBS else ()),
        steps.RENEW_BY_STAMP,
        do(case, "fit", "tighten", "read"),
        *new_table(),
    )


def ended(listed: Iterable[Step], stamp: bool = False) -> tuple[Step, ...]:
    """The same list as far as the reading of the new part: behind that a new table is asked, and nothing goes back on.

    Parameters
    ----------
    listed : iterable of Step
        Of a corner whose part goes.
    stamp : bool
        Whether its stamp may still keep the rotor.
    """
    kept: list[Step] = []
    for step in listed:
        if "the rest" in step.keys:
            break
        kept += [NEW_FACE] if "fit" in step.keys and set(steps.HUBS) & set(kept) else []
        kept.append(step)
    return *kept, *new_table(BY_WHAT_IT_SAYS if stamp else ALL_ANEW)


def stop(what: str = ALL_ANEW, blank: str = "") -> str:
    """Say that the work stops at a new table; ``blank``: room to write the limit, on a card."""
    return STOP.format(what=what, blank=blank)


def new_table(what: str = ALL_ANEW) -> tuple[Step, ...]:
    """End a list: the thickness of the rotor that is on, then a stop at the table that ``what`` goes into."""
    return steps.own(NEW_THICKNESS, "", "thickness"), steps.own(stop(what))
